"""Necklines drawn anew on finished halves: from a place on the shoulder to one on the centre line.

Front and back give up as much of the shoulder, so that the shoulder seam stays one; both arrive square at their centre
and at the shoulder, so that the neckline runs on. Shapes as the sheath dress has them; a boat's
measures are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Final

from ...draft.board import Board
from ...draft.construct import neckline, square_neckline, sweetheart_neckline, v_neckline
from ...draft.stretches import chained, place, ridden, stretch_of
from ...errors import GeometryError
from ...geometry.curve import Cubic, Line
from ...geometry.path import Path, flatten
from ...geometry.point import Point, between
from ...model.length import Length, found, greatest, inch, mm
from ...model.piece import Edge, InternalLine, LineKind, NotchPlace, Piece
from ...values import replace
from .wrap_front import WRAPPED, wrap_front

STYLES: Final = ("plain", "round", "v", "square", "boat", "sweetheart", "wrap")
"""Plain: as the block has it, at the base of the neck. Wrap: the fronts cross over (parts/wrap_front.py)."""
WIDER: Final[Mapping[str, Length]] = {
    "plain": mm(0), "round": inch(0.75), "v": inch(0.75), "square": inch(1), "boat": inch(2.25),
    "sweetheart": inch(1.5), "wrap": inch(0.75),
}  # fmt: skip
DEEPER: Final[Mapping[str, Length]] = {
    "plain": mm(0), "round": inch(1.5), "v": inch(4), "square": inch(2.5), "boat": inch(-0.75),
    "sweetheart": inch(4), "wrap": mm(0),
}  # fmt: skip
"""How much wider at each shoulder, and deeper at the centre front, than the block (common practice, no source)."""
KEYHOLES: Final = ("none", "front slit", "front drop", "back slit", "back drop")
KEYHOLE_END: Final = "keyhole end"
_CLEAR_OF: Final = 30.0
"""An opening ends so far above the lower edge, mm (common practice, no source)."""
WRAP_END: Final = inch(2.5)
"""How far a wrap front is caught in the side seam, up from the waist (common practice, no source)."""
SHALLOW: Final = 0.2, 0.4
"""A neckline as deep for its width is bent all along, or none of it more than usual (judgement, no source)."""
_BACK_LEAST, _BACK_SHARE = 15.0, 0.19
"""A back neck lies so far below the shoulder's end, mm, and by so much of its half width (judgement, no source)."""
LEAST_SHOULDER: Final = mm(31)
"""So much of a shoulder is left (3 cm; common practice, no source)."""


def shallow(neck_side: Point, shoulder_tip: Point, neck_centre: Point) -> Path:
    """The neckline of all drafts; but the shallower it is for its width, the longer it bends, so that it does not turn
    in a few millimetres where it leaves the shoulder (common practice, no source)."""
    width, depth = neck_side.x - neck_centre.x, neck_side.y - neck_centre.y
    (usual,) = neckline(neck_side, shoulder_tip, neck_centre)
    flat = min(1.0, max(0.0, (SHALLOW[1] - depth / width) / (SHALLOW[1] - SHALLOW[0])))
    if not flat or not isinstance(usual, Cubic):
        return (usual,)
    leave = between(usual.b, between(neck_side, usual.b, depth / (neck_side.y - usual.b.y)), flat)
    arrive = between(usual.c, Point(neck_centre.x + 0.75 * width, neck_centre.y), flat)
    return (Cubic(neck_side, leave, arrive, neck_centre),)


_SHAPES: Final[Mapping[str, Callable[[Point, Point, Point], Path]]] = {
    "round": neckline, "v": v_neckline, "square": square_neckline, "boat": shallow,
    "sweetheart": sweetheart_neckline,
}  # fmt: skip


def new_neck(
    on: Board, front: Piece, back: Piece, style: str, *, wider: Length | None = None, deeper: Length | None = None,
    back_deeper: Length | None = None, head: Length | None = None,
) -> tuple[Piece, Piece]:  # fmt: skip
    """Front and back with a neckline of that style, so much wider at each shoulder and deeper at either centre than
    they have; usual for the style where nothing is told, and wider where a `head` (with its ease) would not pass.
    Raises DraftError where the shoulder has no room for it.
    """
    shape, usual = _SHAPES.get(style, neckline), on.usual(WIDER[style])
    room = min(_room(piece) for piece in (front, back))
    by = wider or (usual if usual.mm <= room else mm(max(0.0, room - 1)))
    down, back_down = deeper or on.usual(DEEPER[style]), back_deeper or mm(0)

    def back_low(wide: float) -> float:
        """How much deeper the back is: as asked, and so that its neck does not rise to the centre."""
        shoulder = back.edge("shoulder")
        side = place(shoulder, shoulder.length() - wide)
        least = max(_BACK_LEAST, _BACK_SHARE * (side.x - back.points["neck_centre"].x))
        return max(back_down.mm, back.points["neck_centre"].y - side.y + least)

    if style == "plain" and max(by.mm, down.mm, back_down.mm) < 0.1 and head is None:
        return front, back
    if head is not None and wider is None and usual.mm < room and style != "wrap":

        def lack(wide: Length) -> float:
            new = with_neck(front, wide.mm, down.mm, shape), with_neck(back, wide.mm, back_low(wide.mm), shallow)
            return head.mm + 1.0 - neck_round(*new)

        by = on.solve(usual, mm(room - 1), lack=lack, so_that="a head passes")
        if by > usual:
            on.note(f"The neckline was made wider by {on.say(by - usual)} at each shoulder, so that the head passes.")
    if by.mm > room:
        on.refuse(f"the neckline, {on.say(by)} wider at each shoulder, leaves no {on.say(LEAST_SHOULDER)} of "
                  "it, or lies in a dart there", f"neck_wider to {on.say(max(0.0, room - 1))} or less")  # fmt: skip
    if style == "wrap":
        on.note(f"The neck edge of a wrap front lies on the bias: sew stay tape to it, {on.say(on.usual(inch(0.25)))} "
                "shorter than it is, before it is faced, and hold it in over the bust.")  # fmt: skip
        wrapped = wrap_front(front, by.mm, on.usual(WRAP_END).mm)
        behind = with_neck(back, by.mm, back_low(by.mm), shallow)
        ends = (notch for notch in wrapped.notches if notch.name == WRAPPED)
        return wrapped, replace(behind, notches=(*behind.notches, *ends))
    low = min(front.points["bust_point"].y if "bust_point" in front.points else -1e9, front.points["underarm"].y)
    if front.points["neck_centre"].y - down.mm < low:
        on.refuse(f"the front neckline, {on.say(down)} deeper than the block, lies below the bust line",
                  "neck_deeper to less")  # fmt: skip
    return with_neck(front, by.mm, down.mm, shape), with_neck(back, by.mm, back_low(by.mm), shallow)


def _room(piece: Piece) -> float:
    """How much of a shoulder the neck may take: up to a dart, and so that some is left, mm."""
    shoulder = piece.edge("shoulder")
    after = max((take.end for take in shoulder.takes), default=0.0)
    left = shoulder.length() - after - 6.0 if shoulder.takes else shoulder.length() - LEAST_SHOULDER.mm
    return min(left, shoulder.sewn_length() - LEAST_SHOULDER.mm)


def with_neck(
    piece: Piece, wider: float, deeper: float, shape: Callable[[Point, Point, Point], Path]
) -> Piece:  # fmt: skip
    """A half whose neck begins `wider` mm along the shoulder, and ends `deeper` mm down its centre line.

    Raises GeometryError where the neck's edges do not lie between shoulder and centre, or have darts.
    """
    names = [edge.name for edge in piece.edges]
    at = names.index("neck")
    before, after = piece.edges[at - 1], piece.edges[(at + 1) % len(names)]
    if before.name != "shoulder" or piece.edges[at].takes:
        raise GeometryError(f"{piece.name}: its neck is not drawn anew where it has a dart, or no shoulder beside it")
    long = before.length() - wider
    head = stretch_of(piece.name, before, 0.0, long)
    shoulder, _ = chained(before, [head])
    down = max(deeper, 0.0)
    tail = stretch_of(piece.name, after, down, after.length())
    centre, offsets = chained(after, [tail])
    if deeper < 0:
        raised = Point(after.start.x, after.start.y - deeper)
        if not isinstance(after.curves[0], Line):
            raise GeometryError(f"{piece.name}: {after.name} is not straight at the neck")
        centre = replace(centre, curves=(Line(raised, centre.curves[0].end), *centre.curves[1:]), spans=())
    side, low = place(before, long), centre.start
    way = shoulder.curves[-1].way(1.0)
    tip = Point(side.x - way.x * 50.0, side.y - way.y * 50.0)
    neck = Edge("neck", piece.edges[at].kind, shape(side, tip, low))
    edges = list(piece.edges)
    edges[at - 1], edges[at], edges[(at + 1) % len(names)] = shoulder, neck, centre
    kept = [
        n for n in piece.notches if n.edge not in ("neck", after.name) and not (n.edge == "shoulder" and n.at > long)
    ]
    return replace(
        piece,
        edges=tuple(edges),
        notches=(*kept, *ridden(piece.notches, after, [tail], offsets)),
        points={**piece.points, "neck_side": side, "neck_centre": low},
    )


def neck_round(*halves: Piece) -> float:
    """A neckline all round the wearer, mm."""
    return sum(2 * half.edge("neck").sewn_length() for half in halves)


# ---------------------------------------------------------------- keyholes


def keyhole_deep(on: Board, front: Piece, back: Piece, asked: Length | None, head: Length | None) -> Length:
    """How far a keyhole opens the neck: 3 in, and so far that a head (with its ease) passes: half of what the neckline
    lacks (worked checks of getting in, N2; a kameez is slit 7.5 to 12 cm)."""
    lack = found((head.mm - neck_round(front, back)) / 2, "half of what the neckline lacks") if head else mm(0)
    deep = (asked or greatest(on.usual(inch(3)), lack)).called("keyhole")
    on.work("keyhole_deep", deep)
    return deep


def with_keyhole(
    on: Board, half: Piece, shape: str, deep: Length, *, above: str = "underarm", option: str = "keyhole_deep"
) -> Piece:
    """A half with an opening below its neck at the centre line, to be faced: `slit`, sewn 3 mm beside the line and to a
    point; or `drop`, closed at the neck, a quarter as wide again as half its depth (common practice, no source). It
    ends `above` that point of the half; `option` is what says how deep it is."""
    top, d = half.points["neck_centre"], deep.mm
    low = half.points[above].y
    if above != "underarm" and top.y - d < low + _CLEAR_OF:
        on.refuse(f"an opening of {on.say(deep)} would end too near the lower edge",
                  f"{option} to {on.say(max(0.0, top.y - low - _CLEAR_OF))} or less")  # fmt: skip
    if above == "underarm" and top.y - d < low:
        most = max(0.0, top.y - low)
        on.refuse(f"a keyhole of {on.say(deep)} would end below the bust line",
                  f"keyhole_deep to {on.say(most)} or less, or neck_wider to more")  # fmt: skip
    end = Point(top.x, top.y - d)
    if shape == "slit":
        points = [Point(top.x + 3.0, top.y), end]
    else:
        wide, side = 0.3 * d, Point(top.x + 0.3 * d, top.y - 0.64 * d)
        upper = Cubic.leaving_and_arriving(top, (0.2 * wide, -0.25 * d), side, (0.0, -0.22 * d))
        lower = Cubic.leaving_and_arriving(side, (0.0, -0.2 * d), end, (-0.55 * wide, 0.0))
        points = [Point(*p) for p in flatten((upper, lower))]
    line = InternalLine("keyhole", tuple(points), LineKind.PLACEMENT)
    centre = next(edge for edge in half.edges if edge.name.startswith("centre_"))
    return replace(
        half,
        internal_lines=(*half.internal_lines, line),
        notches=(*half.notches, NotchPlace(centre.name, d, 1, KEYHOLE_END)),
    )


def keyhole_of(half: Piece) -> InternalLine | None:
    return next((line for line in half.internal_lines if line.name == "keyhole"), None)
