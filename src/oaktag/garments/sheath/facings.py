"""Facings, derived from the shell as it is sewn: darts closed, shoulders joined."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Final, TypeAlias

from ...draft.board import Board
from ...draft.construct import trimmed
from ...draft.facings import facing
from ...draft.inside import widest
from ...errors import DraftError, GeometryError
from ...geometry.path import path_length, solve
from ...geometry.point import Point, distance
from ...model.length import Length, found, inch, least, mm
from ...model.piece import Edge, NotchPlace, Piece
from ...units import INCH, show_at_most
from ...values import replace
from .half import Half

LEAST_FACING: Final = mm(30)
"""No facing is drawn narrower."""
BELOW_UNDERARM: Final = inch(2)
"""How far an all-in-one facing reaches down the side (2 in; common practice, no source)."""
SHORT_OF_DART: Final = 6.0
"""A lined all-in-one facing ends this far above a bust dart, so that the lining has the whole dart, mm."""
_Wide: TypeAlias = float | tuple[float, float]


def draft_facings(
    on: Board, front: Half, back: Half, whole: Mapping[str, Piece], kind: str, *, widths: tuple[Length, Length],
    turn: Length, sleeve: str, lined: bool, side_zip: bool,
) -> list[Piece]:  # fmt: skip
    """Neck facings, and armhole facings where there is no sleeve; or "all-in-one"; drawn to front and back, whole,
    without a bust dart unless a lining has it too.

    Under a full lining the armhole needs no facing of its own: the lining itself is sewn to it.
    """
    halves = [(half, whole[half.name]) for half in (front, back)]
    if kind == "all-in-one":
        down = _depth_at_side(on, front, sleeve, lined)
        pieces = [_facing_in_one(on, half, piece, widths[0], turn, lined, down) for half, piece in halves]
        if side_zip:
            on.note(
                "At the side zip the facing's side edges are folded under, clear of the zip, and sewn down by hand."
            )
        return pieces
    at_armhole = sleeve in ("none", "cap") and not lined
    if at_armhole:
        _tell_overlap(on, front, widths, sleeve)
    pieces = [_neck_facing(on, half, piece, widths[0], turn, lined) for half, piece in halves]
    return pieces + [_armhole_facing(on, half, piece, widths[1], turn) for half, piece in halves if at_armhole]


def _depth_at_side(on: Board, front: Half, sleeve: str, lined: bool) -> float:
    """How far a facing of neckline, shoulder, armhole and the top of the side seam reaches down that, mm.

    Raises DraftError for a dress with sleeves.
    """
    if sleeve != "none":
        raise DraftError(
            'facing = "all-in-one" faces the armhole too, so it is for a dress without sleeves. Set '
            'sleeve = "none", or facing = "separate".'
        )
    down, dart = on.usual(BELOW_UNDERARM).mm, front.bust_dart
    if dart is None or not lined:
        return down
    above = path_length(trimmed(front.side, front.points["underarm"].y, -dart.depth)) - SHORT_OF_DART
    if above < down:
        on.note(f"The facing reaches {on.say(above)} down the side, no more, so that the lining has the whole dart.")
    return min(above, down)


def interfacing_of(made: Piece) -> Piece:
    """The same shape in interfacing; its allowances are narrow, so that it stays out of the seams."""
    name = made.name.replace("facing", "interfacing")
    cloth = replace(made.to_cut, cloth="interfacing")
    return replace(made, name=name, to_cut=cloth, notches=(), sheets=(made.name,))


# ---------------------------------------------------------------- widths and notes


def _shoulder_length(half: Half) -> float:
    return distance(half.points["neck_side"], half.points["shoulder_tip"])


def _width(on: Board, half: Half, width: Length, lined: bool) -> Length:
    """As asked for, but short of the far end of a shoulder that is shorter: by 1/4 in, under a lining by 1 in."""
    shoulder = mm(_shoulder_length(half))
    spare = least(on.usual(inch(1)), shoulder / 3) if lined else on.usual(inch(0.25))
    if width <= shoulder - spare:
        return width
    if half.name == "front":
        on.note(
            f"The shoulder is {on.say(shoulder)} long: {width.name} was cut down from {on.say(width)} to stop "
            f"{on.say(spare)} short of its end."
        )
    return shoulder - spare


def _tell_overlap(on: Board, front: Half, widths: tuple[Length, Length], sleeve: str) -> None:
    """Where neck facing and armhole facing would lie on each other on the shoulder."""
    shoulder = _shoulder_length(front)
    if (widths[0] + widths[1]).mm > shoulder:
        instead = (
            'facing = "all-in-one" avoids it, and so do narrower facings'
            if sleeve == "none"
            else "make facing_width or armhole_facing_width narrower"
        )
        on.note(
            f"On a shoulder of {on.say(shoulder)} the neck facing ({on.say(widths[0])}) and the armhole facing "
            f"({on.say(widths[1])}) overlap: {instead}."
        )


def _stays_above_the_waist(on: Board, half: Half, low: Point, width: Length) -> None:
    """Refuse a facing that reaches the waist. Raises DraftError."""
    room = low.y - half.points["waist_side"].y
    if room < INCH:
        most = width.mm + room - INCH
        mend = (
            f"Make facing_width {show_at_most(most, on.unit)} or less."
            if most >= LEAST_FACING.mm
            else f"Make {half.name}_neck_depth less, or facing_width narrower."
        )
        raise DraftError(
            f"{half.name}: the facing would reach {on.say(-low.y)} down, into the waist line at "
            f"{on.say(half.depth('waist_side'))}. {mend}"
        )


# ---------------------------------------------------------------- the pieces


def _neck_facing(on: Board, half: Half, piece: Piece, option: Length, turn: Length, lined: bool) -> Piece:
    """Parallel to the neckline, so that its edge crosses the shoulder square to it, front and back alike."""
    s, width = on.sketch(f"facing_{half.name}"), _width(on, half, option, lined)
    s.tell(width.told("at the shoulder, and parallel to the neckline"), "facing width", about="outer_edge")
    made = faced(on, half, piece, s.name, ("neckline",), width.mm, turn, option, lined=lined)
    low, centre = made.points["facing_centre"], made.points["neck_centre"]
    if lined:
        _stays_above_the_waist(on, half, low, option)
    outer = made.edge("outer_edge")
    s.tell(found(-low.y, "neck depth + facing width"), "facing depth at the centre", about="outer_edge")
    s.tell(found(outer.length(), "curve, so long"), "outer edge")
    x = min(half.neckline[0].at(0.5).x, outer.curves[len(outer.curves) // 2].start.x) * 0.35
    return replace(made, grain=(Point(x, centre.y - 0.12 * width.mm), Point(x, low.y + 0.12 * width.mm)))


def _armhole_facing(on: Board, half: Half, piece: Piece, option: Length, turn: Length) -> Piece:
    """Parallel to the armhole; towards the side its edge is faired."""
    s, width = on.sketch(f"armhole_facing_{half.name}"), _width(on, half, option, False)
    s.tell(width.told("parallel to the armhole"), "facing width", about="outer_edge")
    made = faced(on, half, piece, s.name, ("armhole",), width.mm, turn, option)
    s.tell(found(made.edge("side").length(), "along the side seam"), "facing depth at the side", about="outer_edge")
    s.tell(found(made.edge("outer_edge").length(), "curve, so long"), "outer edge")
    return made


def _facing_in_one(on: Board, half: Half, piece: Piece, width: Length, turn: Length, lined: bool, down: float) -> Piece:
    """Its lower edge is one curve from the centre line, square to it, to the side seam, square to it."""
    s = on.sketch(f"facing_{half.name}")
    s.tell(width.told("below the neckline, at the centre"), "facing width", about="outer_edge")
    _stays_above_the_waist(on, half, Point(0.0, half.points["neck_centre"].y - width.mm), width)
    s.tell(found(down, "down the side seam from the underarm"), "facing depth at the side", about="outer_edge")
    run = ("armhole", "shoulder", "neckline")
    made = faced(on, half, piece, s.name, run, (down, width.mm), turn, width, lined=lined)
    lower = made.edge("outer_edge")
    words = "curve square to the centre line and to the side seam, so long"
    s.tell(found(lower.length(), words), "lower edge")
    _tell_darts(on, half, lower)
    return made


def faced(
    on: Board, half: Half, piece: Piece, name: str, run: tuple[str, ...], wide: _Wide, turn: Length, option: Length, *,
    lined: bool = False,
) -> Piece:  # fmt: skip
    """A facing of front or back. Raises DraftError where the run bends too sharply for it."""

    def drawn(wide: _Wide, inside: float, run: tuple[str, ...] = run) -> Piece:
        return facing(piece, run, name, wide, inside=inside, own=("shoulder",), free="outer_edge", lined=lined)

    try:
        made = drawn(wide, turn.mm)
    except GeometryError:
        of_turn, sharp = _works(lambda: drawn(wide, 0.0)), run[0]
        if len(run) > 1:
            sharp = "armhole" if _works(lambda: drawn(LEAST_FACING.mm, turn.mm, ("neckline",))) else "neckline"
        option, fewest = (turn, 0.0) if of_turn else (option, LEAST_FACING.mm)
        low = widest(lambda mm: drawn(wide, mm) if of_turn else drawn(mm, 0.0), 0.0, option.mm)
        reshape = f"{half.name}_neck_depth, neck_width" if sharp == "neckline" else "armhole_hollow, ease_bust"
        narrower = f"Make {option.name} {show_at_most(low, on.unit)} or less, or change"
        raise DraftError(
            f"{half.name}: the {sharp} bends too sharply for a line {on.say(option)} beside it. "
            f"{narrower if low - INCH / 8 > fewest else 'Change'} {reshape} or shoulder_drop."
        ) from None
    notches = [replace(n, name={"facing": "neck", "sleeve": "armhole"}[n.name]) for n in made.notches]
    if lined:
        notches.append(NotchPlace("outer_edge", made.edge("outer_edge").length() / 2, half.count, "lining"))
    points = {key.replace(f"centre_{half.name}", "centre"): p for key, p in made.points.items() if key != "nape"}
    return replace(made, points=points, notches=tuple(notches))


def _works(drawn: Callable[[], object]) -> bool:
    try:
        drawn()
    except GeometryError:
        return False
    return True


def _tell_darts(on: Board, half: Half, lower: Edge) -> None:
    """Tell of a waist dart that the facing's lower edge runs over."""
    (curve,) = lower.curves
    for dart in half.darts:
        top = dart.points[0]
        at = solve(lambda t: curve.at(t).x - top.x, 0.0, 1.0, near=1e-6)  # noqa: B023 - used at once
        if (over := top.y - curve.at(at).y) > 1:
            on.note(
                f"The {half.name} facing reaches {on.say(over)} over the point of the {dart.name} dart: "
                "pinch out of its lower edge what the dart takes in there."
            )
