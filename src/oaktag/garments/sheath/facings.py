"""Facings, derived from the shell as it is sewn: darts closed, shoulders joined."""

from __future__ import annotations

from typing import Final

from ...draft.board import Board
from ...draft.construct import trimmed, x_at
from ...draft.inside import widest
from ...errors import DraftError, GeometryError
from ...geometry.curve import Cubic, Line
from ...geometry.path import Path, flatten, parallel, path_length, pinned, place_at, reverse, solve
from ...geometry.point import Point, along, between, direction, distance, right_of
from ...model.length import Length, found, inch, least, mm
from ...model.piece import Cut, Edge, EdgeKind, NotchPlace, Piece, half_cut
from ...units import INCH, show_at_most
from ...values import replace
from .half import Half
from .openings import Opened

LEAST_FACING: Final = mm(30)
"""No facing is drawn narrower."""
BELOW_UNDERARM: Final = inch(2)
"""How far an all-in-one facing reaches down the side (2 in; common practice, no source)."""
SHORT_OF_DART: Final = 6.0
"""A lined all-in-one facing ends this far above a bust dart, so that the lining has the whole dart, mm."""
_ACROSS: Final = 0.42
"""Both handles of its lower edge, by the way across."""


def draft_facings(
    on: Board, front: Half, back: Half, opened: Opened, kind: str, *, widths: tuple[Length, Length], turn: Length,
    sleeve: str, lined: bool,
) -> list[Piece]:  # fmt: skip
    """Neck facings, and armhole facings where there is no sleeve; or "all-in-one".

    Under a full lining the armhole needs no facing of its own: the lining itself is sewn to it.
    """
    folds = (front, True), (back, opened.nowhere_at_back)
    if kind == "all-in-one":
        down = _depth_at_side(on, front, sleeve, lined)
        pieces = [_facing_in_one(on, half, widths[0], turn, lined, fold, down) for half, fold in folds]
        if opened.side_zip is not None:
            on.note(
                "At the side zip the facing's side edges are folded under, clear of the zip, and sewn down by hand."
            )
        return pieces
    faced = sleeve in ("none", "cap") and not lined
    if faced:
        _tell_overlap(on, front, widths, sleeve)
    pieces = [_neck_facing(on, half, widths[0], turn, lined, fold) for half, fold in folds]
    return pieces + [_armhole_facing(on, half, widths[1], turn, lined) for half, _ in folds if faced]


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


def interfacing_of(facing: Piece) -> Piece:
    """The same shape in interfacing; its allowances are narrow, so that it stays out of the seams."""
    name = facing.name.replace("facing", "interfacing")
    cloth = replace(facing.to_cut, cloth="interfacing")
    return replace(facing, name=name, to_cut=cloth, notches=(), sheets=(facing.name,))


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


def _beside(on: Board, half: Half, run: Path, width: float, option: Length) -> Path:
    """The line inside the piece that runs `width` beside its neckline or armhole, mm.

    Raises DraftError where that bends too sharply, with the greatest width of that option that can be drawn.
    """
    try:
        return parallel(run, -width)
    except GeometryError:
        low = widest(lambda wide: parallel(run, -wide), 0.0, width)
    on_neck, fewest = run is half.neckline, 0.0 if option.name == "turn_of_cloth" else LEAST_FACING.mm
    reshape = f"{half.name}_neck_depth, neck_width" if on_neck else "armhole_hollow, ease_bust"
    narrower = f"Make {option.name} {show_at_most(low, on.unit)} or less, or change"
    raise DraftError(
        f"{half.name}: the {'neckline' if on_neck else 'armhole'} bends too sharply for a line {on.say(width)} "
        f"beside it. {narrower if low - INCH / 8 > fewest else 'Change'} {reshape} or shoulder_drop."
    )


# ---------------------------------------------------------------- the edges that are the shell's own


def neck_edge(on: Board, half: Half, turn: Length) -> Path:
    """The neckline from the shoulder to the centre line, by the turn of cloth inside the shell's."""
    if turn.mm <= 0:
        return half.neckline
    return reverse(_inside_neck(on, half, turn.mm, turn))


def _inside_neck(on: Board, half: Half, width: float, option: Length) -> Path:
    """From the centre line to the shoulder, `width` mm beside the neckline."""
    side = along(half.points["neck_side"], _shoulder(half), width)
    inside, centre = to_the_centre(reverse(_beside(on, half, half.neckline, width, option)))
    return pinned(inside, centre, side)


def armhole_edge(on: Board, half: Half, turn: Length) -> Path:
    """The armhole from the side to the shoulder, by the turn of cloth inside the shell's."""
    if turn.mm <= 0:
        return half.armhole
    tip = along(half.points["shoulder_tip"], _shoulder(half), -turn.mm)
    inside, start = to_the_side(_beside(on, half, half.armhole, turn.mm, turn), half.side)
    return pinned(inside, start, tip)


def armhole_notch(half: Half, armhole: Path, name: str) -> NotchPlace:
    """Beside the shell's, at mid armhole; two on the back."""
    at = path_length(armhole) * half.armhole[0].length() / path_length(half.armhole)
    return NotchPlace("armhole", at, half.count, name)


def _neck_notch(half: Half, neckline: Path) -> NotchPlace:
    return NotchPlace("neckline", path_length(neckline) / 2, half.count, "neck")


def _shoulder(half: Half) -> Point:
    return direction(half.points["neck_side"], half.points["shoulder_tip"])


# ---------------------------------------------------------------- the pieces


def _outer(half: Half, path: Path, lined: bool) -> tuple[Edge, tuple[NotchPlace, ...]]:
    """The outer edge: free; or sewn to a lining, with a notch half way along it."""
    if not lined:
        return Edge("outer_edge", EdgeKind.OPENING, path), ()
    edge = Edge("outer_edge", EdgeKind.SEAM, path)
    return edge, (NotchPlace("outer_edge", edge.length() / 2, half.count, "lining"),)


def _centre(half: Half, on_fold: bool, top: Point, low: Point) -> Edge:
    return Edge.straight(f"centre_{half.name}", top, low, EdgeKind.FOLD if on_fold else EdgeKind.SEAM)


def _neck_facing(on: Board, half: Half, option: Length, turn: Length, lined: bool, on_fold: bool) -> Piece:
    """Parallel to the neckline, so that its edge crosses the shoulder square to it, front and back alike."""
    s, width = on.sketch(f"facing_{half.name}"), _width(on, half, option, lined)
    s.tell(width.told("at the shoulder, and parallel to the neckline"), "facing width", about="outer_edge")
    neckline = neck_edge(on, half, turn)
    outer = _inside_neck(on, half, width.mm, option)
    low, far = outer[0].start, outer[-1].end
    if lined:
        _stays_above_the_waist(on, half, low, option)
    s.tell(found(-low.y, "neck depth + facing width"), "facing depth at the centre", about="outer_edge")
    s.tell(found(path_length(outer), "curve, so long"), "outer edge")
    side, centre = neckline[0].start, neckline[-1].end
    grain_x = min(half.neckline[0].at(0.5).x, outer[len(outer) // 2].start.x) * 0.35
    edge, notches = _outer(half, outer, lined)
    return Piece(
        s.name,
        (
            _centre(half, on_fold, centre, low),
            edge,
            Edge.straight("shoulder", far, side),
            Edge("neckline", EdgeKind.SEAM, neckline),
        ),
        points={"neck_side": side, "neck_centre": centre, "facing_centre": low, "facing_shoulder": far},
        grain=(Point(grain_x, centre.y - 0.12 * width.mm), Point(grain_x, low.y + 0.12 * width.mm)),
        to_cut=half_cut(on_fold),
        notches=(_neck_notch(half, neckline), *notches),
    )


def _armhole_facing(on: Board, half: Half, option: Length, turn: Length, lined: bool) -> Piece:
    """Parallel to the armhole; towards the side its edge is faired, to arrive square to the seam."""
    s, p, width = on.sketch(f"armhole_facing_{half.name}"), half.points, _width(on, half, option, lined)
    s.tell(width.told("parallel to the armhole"), "facing width", about="outer_edge")
    armhole = armhole_edge(on, half, turn)
    top, tip = armhole[0].start, armhole[-1].end
    inner = along(p["shoulder_tip"], _shoulder(half), -width.mm)
    meet, way = place_at(half.side, width.mm)
    upper, lower = (_beside(on, half, run, width.mm, option) for run in (half.armhole[1:], half.armhole[:1]))
    outer = pinned((*faired(lower, meet, way), *upper), meet, inner)
    side = reverse(trimmed(half.side, top.y, meet.y))
    s.tell(found(path_length(side), "along the side seam"), "facing depth at the side", about="outer_edge")
    s.tell(found(path_length(outer), "curve, so long"), "outer edge")
    grain_x = (outer[-1].start.x + half.armhole[0].end.x) / 2
    return Piece(
        s.name,
        (
            Edge("side", EdgeKind.SEAM, pinned(side, meet, top)),
            Edge("armhole", EdgeKind.SEAM, armhole),
            Edge.straight("shoulder", tip, inner),
            Edge("outer_edge", EdgeKind.OPENING, reverse(outer)),
        ),
        points={"shoulder_tip": tip, "mid_armhole": p["mid_armhole"], "underarm": top}
        | {"facing_shoulder": inner, "facing_side": meet},
        grain=(Point(grain_x, inner.y - 25), Point(grain_x, p["mid_armhole"].y - 10)),
        to_cut=Cut("pair", 2),
        notches=(armhole_notch(half, armhole, "armhole"),),
    )


def _facing_in_one(
    on: Board, half: Half, width: Length, turn: Length, lined: bool, on_fold: bool, down: float
) -> Piece:
    """Its lower edge is one curve from the centre line, square to it, to the side seam, square to it."""
    s, p = on.sketch(f"facing_{half.name}"), half.points
    s.tell(width.told("below the neckline, at the centre"), "facing width", about="outer_edge")
    neckline, armhole = neck_edge(on, half, turn), armhole_edge(on, half, turn)
    (neck_side, neck_centre), (top, tip) = ((run[0].start, run[-1].end) for run in (neckline, armhole))
    low = Point(0.0, p["neck_centre"].y - width.mm)
    _stays_above_the_waist(on, half, low, width)
    s.tell(found(down, "down the side seam from the underarm"), "facing depth at the side", about="outer_edge")
    meet, way = place_at(half.side, down)
    across, square = _ACROSS * meet.x, right_of((-way.x, -way.y))
    lower = (Cubic.leaving_and_arriving(low, (across, 0.0), meet, (across * square.x, across * square.y)),)
    words = "curve square to the centre line and to the side seam, so long"
    s.tell(found(path_length(lower), words), "lower edge")
    _clear_of_darts(on, half, lower, lined)
    side = reverse(trimmed(half.side, top.y, meet.y))
    shoulder = between(p["neck_side"], p["shoulder_tip"])
    edge, notches = _outer(half, lower, lined)
    return Piece(
        s.name,
        (
            _centre(half, on_fold, neck_centre, low),
            edge,
            Edge("side", EdgeKind.SEAM, pinned(side, meet, top)),
            Edge("armhole", EdgeKind.SEAM, armhole),
            Edge.straight("shoulder", tip, neck_side),
            Edge("neckline", EdgeKind.SEAM, neckline),
        ),
        points={"neck_side": neck_side, "neck_centre": neck_centre, "shoulder_tip": tip}
        | {"mid_armhole": p["mid_armhole"], "underarm": top, "facing_centre": low, "facing_side": meet},
        grain=(Point(shoulder.x, shoulder.y - 15), Point(shoulder.x, _y_of(lower, shoulder.x) + 15)),
        to_cut=half_cut(on_fold),
        notches=(_neck_notch(half, neckline), armhole_notch(half, armhole, "armhole"), *notches),
    )


def _y_of(path: Path, x: float) -> float:
    curve = path[0]
    return curve.at(solve(lambda t: curve.at(t).x - x, 0.0, 1.0, near=1e-6)).y


def _clear_of_darts(on: Board, half: Half, lower: Path, lined: bool) -> None:
    """Tell of a waist dart, refuse a bust dart, that the facing's lower edge runs over."""
    for waist_dart in half.darts:
        top = waist_dart.points[0]
        if (over := top.y - _y_of(lower, top.x)) > 1:
            on.note(
                f"The {half.name} facing reaches {on.say(over)} over the point of the {waist_dart.name} dart: "
                "pinch out of its lower edge what the dart takes in there."
            )
    dart = half.bust_dart
    if dart is None or not lined:
        return
    upper = direction(dart.tip, Point(x_at(half.side, -dart.depth), -dart.depth))
    for x, y in flatten(lower):
        if x >= dart.tip.x and y < dart.tip.y + (x - dart.tip.x) * upper.y / upper.x:
            raise DraftError(
                f"{half.name}: the lower edge of the facing, which the lining is sewn to, runs across the bust dart. "
                'Make the neck less deep, facing_width narrower, or choose facing = "separate".'
            )


def to_the_centre(run: Path) -> tuple[Path, Point]:
    """A run that starts near the centre line (x = 0), from there on: led straight to it, under a V say."""
    start = run[0].start
    if abs(start.x) < 0.02:
        return run, Point(0.0, start.y)
    way = run[0].way(0.0)
    low = Point(0.0, start.y - start.x * way.y / way.x)
    return (Line(low, start), *run), low


def to_the_side(run: Path, side: Path) -> tuple[Path, Point]:
    """A run that starts near the side seam, from the seam on: cut off where it crosses it, or led straight to it."""
    first = run[0]
    start, way = first.start, first.way(0.0)
    gap = start.x - x_at(side, start.y)
    if abs(gap) < 0.02:
        meet = Point(x_at(side, start.y), start.y)
        return pinned(run, meet), meet
    if gap < 0:

        def beyond(far: float) -> Point:
            return along(start, way, -far)

        far = solve(lambda far: beyond(far).x - x_at(side, beyond(far).y), 0.0, 4 * abs(gap) + 10, near=1e-9)
        return (Line(beyond(far), start), *run), beyond(far)
    t = solve(lambda t: first.at(t).x - x_at(side, first.at(t).y), 0.0, 1.0, near=1e-9)
    kept = first.split(t)[1]
    return (kept, *run[1:]), kept.start


def faired(run: Path, meet: Point, way: Point) -> Path:
    """The run from half way on, reached by one curve from the side seam, square to it (`way` leads down the seam)."""
    kept = run[len(run) // 2 :] if len(run) > 1 else (run[0].split(0.5)[1],)
    end, arrive, leave = kept[0].start, kept[0].way(0.0), right_of(way)
    reach = distance(meet, end) * 0.36
    leaving, arriving = (leave.x * reach, leave.y * reach), (arrive.x * reach, arrive.y * reach)
    return (Cubic.leaving_and_arriving(meet, leaving, end, arriving), *kept)
