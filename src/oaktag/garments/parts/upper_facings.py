"""Facings of a bodice: of the neck, with its dip or keyhole, and of the armholes, from the halves with darts closed."""

from __future__ import annotations

from itertools import pairwise
from typing import Final

from ...draft.facings import facing
from ...geometry.curve import Cubic, Curve, Line
from ...geometry.path import Path, path_length, pinned, place_at
from ...geometry.point import Point, turn_deg
from ...model.length import Length
from ...model.piece import Piece, sew
from ...values import replace
from .neckline import KEYHOLE_END, keyhole_of
from .part import Part
from .princess import came_of
from .style_darts import placed
from .upper import Faced
from .wrap_front import is_wrapped

_CORNER_DEG: Final = 3.0
_PARTS: Final = 8


def facings_of(
    shell: tuple[Piece, ...], faced: Faced, wide: Length, *, necks: bool = True, armholes: bool = True
) -> Part:
    """Facings of the neck, and of the armholes, cut from the halves with their darts closed."""
    pieces, own, to_shell = [], [], []
    front, back, arm = faced.front, faced.back, faced.arm
    whole = placed(arm, "neck" if len(arm.edge("neck").curves) == 1 else "centre") if arm.edge("side").takes else arm
    for what, beside in (("neck", ("shoulder",)), ("armhole", ("shoulder", "side")))[not necks : 1 + armholes]:
        made_of = whole if what == "armhole" else front
        first = _facing(made_of, what, f"{what}_facing_front", wide.mm)
        pair = [_marked(first, shell, what), _facing(back, what, f"{what}_facing_{back.name}", wide.mm)]
        pieces += pair
        own += [sew(f"{what} facing {edge} seam", f"{pair[0].name}.{edge}", to=f"{pair[1].name}.{edge}")
                for edge in beside]  # fmt: skip
        to_shell += [sew(f"{half.name} {what} facing", f"{made.name}.{what}", to=came_of(shell, f"{half.name}.{what}"),
                         how="faced", meets=_meeting(made, half, shell) if what == "neck" else ())
                     for half, made in zip((front, back), pair, strict=True)]  # fmt: skip
    return Part(tuple(map(_even, pieces)), (*own, *to_shell))


def _facing(half: Piece, what: str, name: str, wide: float) -> Piece:
    """A strip as wide all along; of a neck with a dip or a keyhole, deeper at the centre, in one curve."""
    hole = keyhole_of(half) if what == "neck" else None
    if hole:
        deep = half.points["neck_centre"].y - min(p.y for p in hole.points)
        made = facing(half, (what,), name, (wide, deep + wide / 2))
        ends = [replace(n, at=n.at) for n in half.notches if n.name == KEYHOLE_END]
        return replace(made, internal_lines=(hole,), notches=(*made.notches, *ends))
    if is_wrapped(half):
        wide = min(wide, 0.85 * half.edge("wrap_end").length())
    return facing(half, (what,), name, (wide, wide) if what == "neck" and _dips(half) else wide)


def _dips(half: Piece) -> bool:
    """Whether its neck falls to the centre in an arc."""
    last = half.edge("neck").curves[-1]
    return isinstance(last, Cubic) and last.way(1.0).y < -0.5


def _meeting(facing: Piece, half: Piece, shell: tuple[Piece, ...]) -> tuple[str, ...]:
    """Where a neck facing is notched to the shell: at its middle, but not where that falls in an arc, or the bust dart
    opens there."""
    parted = _dips(half) or any(piece.name == half.name and piece.edge("neck").takes for piece in shell)
    return (f"{facing.name}.neck 3/4",) if parted else ()


def _marked(facing: Piece, shell: tuple[Piece, ...], what: str) -> Piece:
    """The facing of the front with the notches that the shell has since it was cut: where gathers begin and end."""
    for piece in shell:
        if piece.name == "front":
            edge = piece.edge(what)
            notches = tuple(
                replace(n, at=edge.sewn(n.at))
                for n in piece.notches
                if n.edge == what and not any(t.kind != "gathers" and t.start <= n.at <= t.end for t in edge.takes)
            )
            return replace(facing, notches=notches)
    return facing


def _even(made: Piece) -> Piece:
    """The facing with as many curves in each edge that is its own in every size: so sizes are drawn alike."""
    own = ("free_edge", "shoulder", "side", "wrap_end")
    edges = (replace(each, curves=_evened(each.curves)) if each.name in own else each for each in made.edges)
    return replace(made, edges=tuple(edges))


def _evened(path: Path) -> Path:
    """The line drawn anew through eight places of each run between two corners; a straight run in one."""
    runs: list[list[Curve]] = [[path[0]]]
    for before, curve in pairwise(path):
        if abs(turn_deg(before.way(1.0), curve.way(0.0))) > _CORNER_DEG:
            runs.append([])
        runs[-1].append(curve)
    found: list[Curve] = []
    for run in runs:
        long = path_length(run)
        if all(isinstance(curve, Line) for curve in run):
            found.append(Line(run[0].start, run[-1].end))
            continue
        places = [place_at(run, long * k / _PARTS) for k in range(_PARTS + 1)]
        third = long / _PARTS / 3
        for (a, leave), (b, arrive) in pairwise(places):
            handles = Point(leave.x * third, leave.y * third), Point(arrive.x * third, arrive.y * third)
            found.append(Cubic.leaving_and_arriving(a, handles[0], b, handles[1]))
    return pinned(tuple(found), path[0].start, path[-1].end)
