"""A wrap front: each front crosses over to the other side seam, where its end is caught at the waist, or tied.

      ns ____ st      ns to e: the neck edge, straight but for a short way square to the shoulder; it lies on the bias,
     /   \\   (        so it is stayed with tape
    /      \\  ua      e to w: the wrap end, on the other side seam, up from the waist; there the half beyond the centre
   e        │         is the front turned over, its darts closed: as long at the waist as the front is when sewn
    w ──▽───┘
Length of the wrap end, ties as a wrap skirt has them: common practice, no source.
"""

from __future__ import annotations

from typing import Final

from ...draft.board import Board
from ...draft.construct import v_neckline
from ...draft.facings import closed_run
from ...draft.moves import turned_over
from ...draft.stretches import chained, place, ridden, stretch_of
from ...errors import GeometryError
from ...geometry.path import moved_path, part, path_length, pinned, place_at, reverse, solve
from ...geometry.point import Point
from ...model.cord import Cord
from ...model.length import Length, cm
from ...model.piece import Edge, EdgeKind, LineKind, NotchPlace, Piece, Seam, Take, half_cut, sew
from ...values import replace
from .part import Part

CENTRE: Final = "centre front"
"""The notch of a wrap front at its waist, where it passes the centre line; that on the neck is called `crossing`."""
CROSSING: Final = "crossing"
WRAPPED: Final = "wrap end"
_OVER: Final = turned_over((0.0, 0.0), (0.0, 1.0))
_LEAST_END: Final = 15.0


def wrap_front(front: Piece, wider: float, end: float) -> Piece:
    """A front that crosses over, drawn from a half on the fold whose neck begins `wider` mm along the shoulder; its end
    is up to `end` mm long, less where a dart of the side lies there.

    Raises GeometryError for a half that has no waist seam, or a dart or seam at its neck or centre.
    """
    names = [edge.name for edge in front.edges]
    if "waist" not in names or "neck" not in names or front.edge("neck").takes or front.edge("centre_front").takes:
        raise GeometryError(f"{front.name}: a front is wrapped where it ends at a waist seam, and has no dart at its "
                            "neck or centre")  # fmt: skip
    waist, side, shoulder = front.edge("waist"), front.edge("side"), front.edge("shoulder")
    low = min((take.start for take in side.takes), default=end + 5.0) - 5.0
    end = min(end, low)
    if end < _LEAST_END:
        raise GeometryError(f"{front.name}: the bust dart opens at the side where the wrap end is sewn in")
    long = shoulder.length() - wider
    head = stretch_of(front.name, shoulder, 0.0, long)
    kept, _ = chained(shoulder, [head])
    paths, _ = closed_run([waist, side])
    beyond = reverse(moved_path(paths[0], _OVER))
    beyond = pinned(beyond, end=waist.start)
    tail = reverse(moved_path(part(paths[1], 0.0, end), _OVER))
    tail = pinned(tail, end=beyond[0].start)
    neck_side, way = place(shoulder, long), kept.curves[-1].way(1.0)
    tip = Point(neck_side.x - way.x * 50.0, neck_side.y - way.y * 50.0)
    neck = v_neckline(neck_side, tip, tail[0].start)
    far = path_length(beyond)
    takes = tuple(Take(t.start + far, t.end + far, t.kind, t.tip, t.pressed) for t in waist.takes)
    at_centre = solve(lambda along: place_at(neck, along)[0].x, 0.0, path_length(neck), near=1e-6)
    drawn = {
        "shoulder": kept, "waist": replace(waist, curves=(*beyond, *waist.curves), takes=takes, spans=()),
        "neck": Edge("neck", front.edge("neck").kind, neck),
        "centre_front": Edge("wrap_end", EdgeKind.SEAM, tail),
    }  # fmt: skip
    notches = [n for n in front.notches if n.edge in ("armhole", "side")]
    notches += [replace(n, at=n.at + far) for n in front.notches if n.edge == "waist"]
    notches += ridden(front.notches, shoulder, [head], [0.0])
    notches += [NotchPlace("waist", far, 1, CENTRE), NotchPlace("neck", at_centre, 1, CROSSING),
                NotchPlace("side", end, 1, WRAPPED)]  # fmt: skip
    points = {name: p for name, p in front.points.items() if name != "neck_centre"}
    return replace(
        front,
        edges=tuple(drawn.get(name, front.edge(name)) for name in names),
        notches=tuple(notches),
        points={**points, "neck_side": neck_side},
        to_cut=half_cut(False),
    )


def is_wrapped(front: Piece) -> bool:
    return any(edge.name == "wrap_end" for edge in front.edges)


def own_levels(front: Piece) -> Piece:
    """The waist level of a wrap front from the centre on: what lies beyond is the other's upper layer."""
    waist = front.edge("waist")
    centre = next(n.at for n in front.notches if n.edge == "waist" and n.name == CENTRE)
    own = place_at(waist.curves, centre)[0], waist.end
    return replace(front, levels=tuple(replace(level, points=own) if level.name == "waist" else level
                                       for level in front.levels))  # fmt: skip


def wrap_seam(front: Piece) -> Seam:
    """The end of one front caught in the other's side seam."""
    return sew("wrap end", f"left {front.name}.wrap_end",
               to=f"right {front.name}.side from waist to {WRAPPED}")  # fmt: skip


def own_waist(piece: str) -> str:
    """The waist of a wrap front up to the centre: what lies beyond is the other's upper layer."""
    return f"{piece}.waist from {CENTRE} to side"


def wrap_ties(on: Board, wide: Length) -> Part:
    """A tie for each end, one of which goes round: waist and 50 cm, waist and 90 cm (chosen, as of a wrap skirt)."""
    ties, cords = [], []
    for name, more in (("tie_short", cm(50)), ("tie_long", cm(90))):
        s = on.sketch(name)
        s.box(on.body.waist_girth + on.usual(more), wide * 2, ("tie_end", "tie_lower", "tie_point", "tie_upper"))
        s.between("fold_start", "bottom_left", "top_left")
        s.between("fold_end", "bottom_right", "top_right")
        s.line("fold", "fold_start", "fold_end", kind=LineKind.FOLD)
        ties.append(s.piece())
        cords.append(Cord(name.replace("_", " "), "waist", "sash", on.usual(more)))
    on.note("Sew each tie, folded along its line, to the end of a front. The long one, at the front that lies under, "
            f"comes out through the other side seam, left open {on.say(wide)} up from the waist.")  # fmt: skip
    sewn = tuple(sew(t.name.replace("_", " "), f"{t.name}.tie_lower", to=f"{t.name}.tie_upper") for t in ties)
    return Part(tuple(ties), sewn, cords=tuple(cords))
