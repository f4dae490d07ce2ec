"""Facings, derived from the shell as it is sewn: darts closed, shoulders joined."""

from __future__ import annotations

from typing import Final

from ...draft.construct import trimmed, x_at
from ...draft.worksheet import Worksheet
from ...errors import DraftError, GeometryError
from ...geometry.curve import Cubic, Line
from ...geometry.path import Path, flatten, parallel, path_length, pinned, place_at, reverse, solve
from ...geometry.point import Point, along, between, direction, distance, right_of
from ...model.draft import Step
from ...model.piece import Cut, Edge, EdgeKind, Join, NotchPlace, Piece, Seam, half_cut, sew
from ...units import INCH, Unit, rounded, show, show_at_most
from ...values import dataclass, replace
from .half import Half
from .shell import smooth_across
from .style import Asked

BELOW_UNDERARM: Final = 2 * INCH
"""How far an all-in-one facing reaches down the side, mm (2 in; common practice, no source)."""
SHORT_OF_DART: Final = 6.0
"""A lined all-in-one facing ends this far above a bust dart, so that the lining has the whole dart, mm."""


@dataclass(frozen=True, slots=True)
class Made:
    """Pieces that go with the shell, how they are sewn, and the steps that led to them."""

    pieces: tuple[Piece, ...] = ()
    seams: tuple[Seam, ...] = ()
    joins: tuple[Join, ...] = ()
    steps: tuple[Step, ...] = ()

    def piece(self, name: str) -> Piece:
        """The piece of that name; KeyError if there is none."""
        for piece in self.pieces:
            if piece.name == name:
                return piece
        raise KeyError(name)


def armhole_is_faced(asked: Asked) -> bool:
    """Whether an armhole, or part of it, has no sleeve that would finish it."""
    return asked.choice("sleeve") in ("none", "cap")


def lined(asked: Asked) -> bool:
    return asked.choice("lining") == "full"


def draft_facings(front: Half, back: Half, asked: Asked, unit: Unit, back_fold: bool, notes: list[str]) -> Made:
    """Neck facings, and armhole facings where there is no sleeve; or both in one piece.

    Under a full lining the armhole needs no facing of its own: the lining itself is sewn to it.
    Raises DraftError for an all-in-one facing with a sleeve.
    """
    if asked.choice("facing") == "all-in-one":
        if asked.choice("sleeve") != "none":
            raise DraftError(
                'facing = "all-in-one" faces the armhole too, so it is for a dress without sleeves. Set '
                'sleeve = "none", or facing = "separate".'
            )
        return _all_in_one(front, back, asked, unit, back_fold, notes)
    with_armhole = armhole_is_faced(asked) and not lined(asked)
    if with_armhole:
        _tell_overlap(front, asked, unit, notes)
    pieces: list[Piece] = []
    steps: list[Step] = []
    for half in (front, back):
        piece, own = neck_facing(half, asked, unit, half.name == "front" or back_fold, notes)
        pieces.append(piece)
        steps += own
    seams = [
        *(
            to_shell(half, asked, piece, "neckline", "facing")
            for half, piece in zip((front, back), pieces, strict=True)
        ),
        sew("facing shoulder seam", "facing_front.shoulder", to="facing_back.shoulder"),
    ]
    joins = [smooth_across("facing edge across the shoulder", "facing_front", "facing_back", "outer_edge", "shoulder")]
    if with_armhole:
        for half in (front, back):
            piece, own = armhole_facing(half, asked, unit, notes)
            pieces.append(piece)
            steps += own
            seams.append(to_shell(half, asked, piece, "armhole", "facing"))
        a, b = "armhole_facing_front", "armhole_facing_back"
        seams += [
            sew("armhole facing shoulder seam", f"{a}.shoulder", to=f"{b}.shoulder"),
            sew("armhole facing side seam", f"{a}.side", to=f"{b}.side"),
        ]
        joins += [
            smooth_across(f"armhole facing edge across the {across}", a, b, "outer_edge", across)
            for across in ("shoulder", "side")
        ]
    if lined(asked):
        pieces = [_notched_for_lining(piece) for piece in pieces]
    return Made(tuple(pieces), tuple(seams), tuple(joins), tuple(steps))


def interfacing_of(facing: Piece) -> Piece:
    """The same shape in interfacing; its allowances are narrow, so that it stays out of the seams."""
    return replace(
        facing,
        name=facing.name.replace("facing", "interfacing"),
        to_cut=replace(facing.to_cut, cloth="interfacing"),
        notches=(),
    )


# ---------------------------------------------------------------- seams


def to_shell(half: Half, asked: Asked, made: Piece, edge: str, what: str) -> Seam:
    """A facing or lining sewn to the shell: as long, unless it is drawn inside it by the turn of cloth."""
    shell = half.neckline if edge == "neckline" else half.armhole
    turned = asked.length("turn_of_cloth") > 0
    ease = made.edge(edge).length() - path_length(shell) if turned else 0.0
    words = "neck" if edge == "neckline" else edge
    upper = half.upper
    return sew(f"{half.name} {what} to {words}", f"{made.name}.{edge}", to=f"{upper}.{edge}", ease=ease)


def _notched_for_lining(facing: Piece) -> Piece:
    """Its outer edge is a seam, with a notch half way along it, two on the back."""
    middle = facing.edge("outer_edge").length() / 2
    count = 1 if facing.name.endswith("front") else 2
    return replace(
        facing,
        edges=tuple(replace(e, kind=EdgeKind.SEAM) if e.name == "outer_edge" else e for e in facing.edges),
        notches=(*facing.notches, NotchPlace("outer_edge", middle, count, "lining")),
    )


# ---------------------------------------------------------------- widths and notes


def _width(half: Half, asked: Asked, option: str, unit: Unit, notes: list[str]) -> float:
    """As asked for, but short of the far end of a shoulder that is shorter: by 1/4 in, under a lining by 1 in."""
    shoulder = distance(half.points["neck_side"], half.points["shoulder_tip"])
    spare = min(rounded(INCH, unit), shoulder / 3) if lined(asked) else rounded(INCH / 4, unit)
    width = asked.length(option)
    if width > shoulder - spare:
        if half.name == "front":
            notes.append(
                f"The shoulder is {show(shoulder, unit)} long: {option} was cut down from {show(width, unit)} to stop "
                f"{show(spare, unit)} short of its end."
            )
        return shoulder - spare
    return width


def _tell_overlap(front: Half, asked: Asked, unit: Unit, notes: list[str]) -> None:
    """Where neck facing and armhole facing would lie on each other on the shoulder."""
    shoulder = distance(front.points["neck_side"], front.points["shoulder_tip"])
    widths = asked.length("facing_width"), asked.length("armhole_facing_width")
    over = sum(widths) - shoulder
    if over <= 0:
        return
    instead = (
        'facing = "all-in-one" avoids it, and so do narrower facings'
        if asked.choice("sleeve") == "none"
        else "make facing_width or armhole_facing_width narrower"
    )
    notes.append(
        f"On a shoulder of {show(shoulder, unit)} the neck facing ({show(widths[0], unit)}) and the armhole facing "
        f"({show(widths[1], unit)}) overlap: {instead}."
    )


def lowest_centre(half: Half, low: float, asked: Asked, unit: Unit) -> None:
    """Refuse a facing that reaches the waist. Raises DraftError."""
    room = low - half.points["waist_side"].y
    if room < INCH:
        most = asked.length("facing_width") + room - INCH
        raise DraftError(
            f"{half.name}: the facing would reach {show(-low, unit)} down, into the waist line at "
            f"{show(-half.points['waist_side'].y, unit)}. "
            + (
                f"Make facing_width {show_at_most(most, unit)} or less."
                if most >= 30
                else f"Make {half.name}_neck_depth less, or facing_width narrower."
            )
        )


def _drawn_beside(half: Half, run: Path, width: float, option: str, unit: Unit) -> Path:
    """The line inside the piece that runs `width` beside its neckline or armhole, mm.

    Raises DraftError where that bends too sharply, with the greatest width of that option that can be drawn.
    """
    try:
        return parallel(run, -width)
    except GeometryError:
        pass
    low, high = 0.0, width
    while high - low > 0.1:
        middle = (low + high) / 2
        try:
            parallel(run, -middle)
            low = middle
        except GeometryError:
            high = middle
    on_neck = run is half.neckline
    reshape = f"{half.name}_neck_depth, neck_width" if on_neck else "armhole_hollow, ease_bust"
    enough = low - INCH / 8 > (0 if option == "turn_of_cloth" else 30)
    raise DraftError(
        f"{half.name}: the {'neckline' if on_neck else 'armhole'} bends too sharply for a line {show(width, unit)} "
        f"beside it. {f'Make {option} {show_at_most(low, unit)} or less, or change' if enough else 'Change'} {reshape} "
        "or shoulder_drop."
    )


# ---------------------------------------------------------------- the edges that are the shell's own


def neck_edge(half: Half, turn_of_cloth: float, unit: Unit) -> Path:
    """The neckline from the shoulder to the centre line, that much inside the shell's."""
    if turn_of_cloth <= 0:
        return half.neckline
    side = along(half.points["neck_side"], _shoulder(half), turn_of_cloth)
    beside = _drawn_beside(half, half.neckline, turn_of_cloth, "turn_of_cloth", unit)
    inside, centre = _to_the_centre(reverse(beside))
    return reverse(pinned(inside, centre, side))


def armhole_edge(half: Half, turn_of_cloth: float, unit: Unit) -> Path:
    """The armhole from the side to the shoulder, that much inside the shell's."""
    if turn_of_cloth <= 0:
        return half.armhole
    tip = along(half.points["shoulder_tip"], _shoulder(half), -turn_of_cloth)
    beside = _drawn_beside(half, half.armhole, turn_of_cloth, "turn_of_cloth", unit)
    inside, start = to_the_side(beside, half.side)
    return pinned(inside, start, tip)


def _shoulder(half: Half) -> Point:
    return direction(half.points["neck_side"], half.points["shoulder_tip"])


def _to_the_centre(outer: Path) -> tuple[Path, Point]:
    """The parallel run, from the centre line on: under a V it is led straight on to the centre line."""
    start = outer[0].start
    if abs(start.x) < 0.02:
        return outer, Point(0.0, start.y)
    way = outer[0].way(0.0)
    low = Point(0.0, start.y - start.x * way.y / way.x)
    return (Line(low, start), *outer), low


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


# ---------------------------------------------------------------- neck


def neck_facing(half: Half, asked: Asked, unit: Unit, on_fold: bool, notes: list[str]) -> tuple[Piece, list[Step]]:
    """Parallel to the neckline, so that its edge crosses the shoulder square to it, front and back alike."""
    name = f"facing_{half.name}"
    w = Worksheet(name)
    p = half.points
    width = w(
        "facing width",
        "at the shoulder, and parallel to the neckline",
        _width(half, asked, "facing_width", unit, notes),
    )
    neckline = neck_edge(half, asked.length("turn_of_cloth"), unit)
    outer, low = _to_the_centre(reverse(_drawn_beside(half, half.neckline, width, "facing_width", unit)))
    far = along(p["neck_side"], _shoulder(half), width)
    outer = pinned(outer, low, far)
    if lined(asked):
        lowest_centre(half, low.y, asked, unit)
    w("facing depth at the centre", "neck depth + facing width", -low.y)
    w("outer edge", "curve, so long", path_length(outer))
    side, centre = neckline[0].start, neckline[-1].end
    middle = half.neckline[0].at(0.5)
    inside = outer[len(outer) // 2].start
    grain_x = min(middle.x, inside.x) * 0.35
    piece = Piece(
        name,
        (
            _centre_edge(half, on_fold, centre, low),
            Edge("outer_edge", EdgeKind.OPENING, outer),
            Edge.straight("shoulder", far, side),
            Edge("neckline", EdgeKind.SEAM, neckline),
        ),
        points={"neck_side": side, "neck_centre": centre, "facing_centre": low, "facing_shoulder": far},
        grain=(Point(grain_x, centre.y - 0.12 * width), Point(grain_x, low.y + 0.12 * width)),
        to_cut=half_cut(on_fold),
        notches=(NotchPlace("neckline", path_length(neckline) / 2, 1 if on_fold else 2, "neck"),),
    )  # fmt: skip
    return piece, w.steps


def _centre_edge(half: Half, on_fold: bool, top: Point, low: Point) -> Edge:
    return Edge.straight(f"centre_{half.name}", top, low, EdgeKind.FOLD if on_fold else EdgeKind.SEAM)


# ---------------------------------------------------------------- armhole


def armhole_facing(half: Half, asked: Asked, unit: Unit, notes: list[str]) -> tuple[Piece, list[Step]]:
    """Parallel to the armhole; towards the side its edge is faired, to arrive square to the seam."""
    name = f"armhole_facing_{half.name}"
    w = Worksheet(name)
    p = half.points
    width = w("facing width", "parallel to the armhole", _width(half, asked, "armhole_facing_width", unit, notes))
    armhole = armhole_edge(half, asked.length("turn_of_cloth"), unit)
    top, tip = armhole[0].start, armhole[-1].end
    inner = along(p["shoulder_tip"], _shoulder(half), -width)
    meet, way = place_at(half.side, width)
    upper = _drawn_beside(half, half.armhole[1:], width, "armhole_facing_width", unit)
    lower = _drawn_beside(half, half.armhole[:1], width, "armhole_facing_width", unit)
    outer = pinned((*_faired(lower, meet, way), *upper), meet, inner)
    side = reverse(trimmed(half.side, top.y, meet.y))
    w("facing depth at the side", "along the side seam", path_length(side))
    w("outer edge", "curve, so long", path_length(outer))
    middle = outer[-1].start
    hollow = half.armhole[0].end
    grain_x = (middle.x + hollow.x) / 2
    piece = Piece(
        name,
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
    )  # fmt: skip
    return piece, w.steps


def armhole_notch(half: Half, armhole: Path, name: str) -> NotchPlace:
    """Beside the shell's, at mid armhole; two on the back."""
    at = path_length(armhole) * half.armhole[0].length() / path_length(half.armhole)
    return NotchPlace("armhole", at, 1 if half.name == "front" else 2, name)


def _faired(run: Path, meet: Point, way: Point) -> Path:
    """The run from half way on, reached by one curve from the side seam, square to it (`way` leads down the seam)."""
    kept = run[len(run) // 2 :] if len(run) > 1 else (run[0].split(0.5)[1],)
    end, arrive = kept[0].start, kept[0].way(0.0)
    leave = right_of(way)
    reach = distance(meet, end) * 0.36
    curve = Cubic.leaving_and_arriving(
        meet, (leave.x * reach, leave.y * reach), end, (arrive.x * reach, arrive.y * reach)
    )
    return (curve, *kept)


# ---------------------------------------------------------------- both in one piece


def _all_in_one(front: Half, back: Half, asked: Asked, unit: Unit, back_fold: bool, notes: list[str]) -> Made:
    """Neckline, shoulder, armhole and the top of the side seam, with one smooth lower edge from centre to side."""
    down = rounded(BELOW_UNDERARM, unit)
    dart = front.bust_dart
    if dart is not None and lined(asked):
        above = path_length(trimmed(front.side, front.points["underarm"].y, -dart.depth)) - SHORT_OF_DART
        if above < down:
            down = above
            notes.append(
                f"The facing reaches {show(down, unit)} down the side, no more, so that the lining has the whole dart."
            )
    made = [
        _all_in_one_piece(half, asked, unit, half.name == "front" or back_fold, down, notes) for half in (front, back)
    ]
    pieces = [piece for piece, _ in made]
    if asked.choice("zip") == "side":
        notes.append(
            "At the side zip the facing's side edges are folded under, clear of the zip, and sewn down by hand."
        )
    seams = [
        to_shell(half, asked, piece, edge, "facing")
        for edge in ("neckline", "armhole")
        for half, piece in zip((front, back), pieces, strict=True)
    ]
    seams += [
        sew(f"facing {edge} seam", f"facing_front.{edge}", to=f"facing_back.{edge}") for edge in ("shoulder", "side")
    ]
    joins = (smooth_across("facing edge across the side", "facing_front", "facing_back", "outer_edge", "side"),)
    if lined(asked):
        pieces = [_notched_for_lining(piece) for piece in pieces]
    return Made(tuple(pieces), tuple(seams), joins, tuple(step for _, steps in made for step in steps))


def _all_in_one_piece(
    half: Half, asked: Asked, unit: Unit, on_fold: bool, down: float, notes: list[str]
) -> tuple[Piece, list[Step]]:
    name = f"facing_{half.name}"
    w = Worksheet(name)
    p = half.points
    width = w("facing width", "below the neckline, at the centre", asked.length("facing_width"))
    turn_of_cloth = asked.length("turn_of_cloth")
    neckline, armhole = neck_edge(half, turn_of_cloth, unit), armhole_edge(half, turn_of_cloth, unit)
    neck_side, neck_centre = neckline[0].start, neckline[-1].end
    top, tip = armhole[0].start, armhole[-1].end
    low = Point(0.0, p["neck_centre"].y - width)
    lowest_centre(half, low.y, asked, unit)
    meet, way = place_at(half.side, w("facing depth at the side", "down the side seam from the underarm", down))
    square = right_of((-way.x, -way.y))
    lower = _lower_edge(low, meet, square)
    w("lower edge", "curve square to the centre line and to the side seam, so long", path_length(lower))
    _clear_of_darts(half, lower, asked, unit, notes)
    side = reverse(trimmed(half.side, top.y, meet.y))
    grain_x = (p["neck_side"].x + p["shoulder_tip"].x) / 2
    shoulder = between(p["neck_side"], p["shoulder_tip"])
    bottom = _y_of(lower, grain_x)
    piece = Piece(
        name,
        (
            _centre_edge(half, on_fold, neck_centre, low),
            Edge("outer_edge", EdgeKind.OPENING, lower),
            Edge("side", EdgeKind.SEAM, pinned(side, meet, top)),
            Edge("armhole", EdgeKind.SEAM, armhole),
            Edge.straight("shoulder", tip, neck_side),
            Edge("neckline", EdgeKind.SEAM, neckline),
        ),
        points={"neck_side": neck_side, "neck_centre": neck_centre, "shoulder_tip": tip}
        | {"mid_armhole": p["mid_armhole"], "underarm": top, "facing_centre": low, "facing_side": meet},
        grain=(Point(grain_x, shoulder.y - 15), Point(grain_x, bottom + 15)),
        to_cut=half_cut(on_fold),
        notches=(
            NotchPlace("neckline", path_length(neckline) / 2, 1 if on_fold else 2, "neck"),
            armhole_notch(half, armhole, "armhole"),
        ),
    )
    return piece, w.steps


def _lower_edge(low: Point, meet: Point, square: Point) -> Path:
    """One curve from the centre line, square to it, to the side seam, square to it."""
    across = meet.x - low.x
    leave, arrive = 0.42 * across, 0.42 * across
    return (Cubic.leaving_and_arriving(low, (leave, 0.0), meet, (arrive * square.x, arrive * square.y)),)


def _y_of(path: Path, x: float) -> float:
    curve = path[0]
    return curve.at(solve(lambda t: curve.at(t).x - x, 0.0, 1.0, near=1e-6)).y


def _clear_of_darts(half: Half, lower: Path, asked: Asked, unit: Unit, notes: list[str]) -> None:
    """Tell of a waist dart, refuse a bust dart, that the facing's lower edge runs over."""
    for waist_dart in half.darts:
        top = waist_dart.points[0]
        if (over := top.y - _y_of(lower, top.x)) > 1:
            notes.append(
                f"The {half.name} facing reaches {show(over, unit)} over the point of the {waist_dart.name} dart: "
                "pinch out of its lower edge what the dart takes in there."
            )
    dart = half.bust_dart
    if dart is None or not lined(asked):
        return
    upper = direction(dart.tip, Point(x_at(half.side, -dart.depth), -dart.depth))
    for x, y in flatten(lower):
        if x >= dart.tip.x and y < dart.tip.y + (x - dart.tip.x) * upper.y / upper.x:
            raise DraftError(
                f"{half.name}: the lower edge of the facing, which the lining is sewn to, runs across the bust dart. "
                'Make the neck less deep, facing_width narrower, or choose facing = "separate".'
            )
