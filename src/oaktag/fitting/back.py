"""Faults of the back: round, over-erect, round below the neck; broad and narrow."""

from __future__ import annotations

from itertools import pairwise
from math import asin, degrees
from typing import Final

from ..draft.darts import dart_cap
from ..draft.moves import turn
from ..draft.pivots import shorten, trued
from ..draft.stretches import NEAR
from ..errors import GeometryError
from ..geometry.affine import Move
from ..geometry.path import Path, flatten, path_length, place_at, solve
from ..geometry.point import Point, along, between, direction, distance, left_of
from ..geometry.polygon import contains, distance_to_line
from ..model.fitted import Ask
from ..model.length import inch
from ..model.piece import Dart, Edge, Piece, Take
from ..values import replace
from .fault import Fault
from .fitter import Fitter
from .laid import (
    HALF,
    Anew,
    Half,
    Shoulder,
    bent_above,
    bracket,
    by_row,
    led_armhole,
    led_neck,
    led_side,
    long_of,
    mapped,
    stretch,
)
from .warp import Rows, with_takes_at_ends

_WIDEST: Final = 40.0
"""A dart takes in no more than this, mm (alterations, program output)."""
_LEAST_DART: Final = 3.0
"""Less than this, mm, is no dart: the shoulder is laid so that it needs none (judgement, no source)."""
_NONE: Final = 0.05
"""A dart that would take in less than this, mm, is gone."""
_EASED: Final = 6.5
"""A shoulder dart of no more than this, mm, may be eased in its place (0.6 cm; alterations)."""
_CLEAR: Final = 3.0
"""The point of a dart lies so far within the piece, mm (judgement, no source)."""
_PLACES: Final = (*HALF, "centre")


# ---------------------------------------------------------------- along the centre


def round_back(on: Fitter, ask: Ask) -> None:
    """Opened across at the blades, at the centre, to nothing at the armhole."""
    on.change("back", lambda piece: _opened(on, ask, piece, ask.amount), *_PLACES)


def erect_back(on: Fitter, ask: Ask) -> None:
    """Lapped across at the blades, at the centre, to nothing at the armhole."""
    on.change("back", lambda piece: _opened(on, ask, piece, -ask.amount), *_PLACES)


def _opened(on: Fitter, ask: Ask, piece: Piece, by: float) -> Piece:
    """All above the blades turned about the armhole there, but the centre stays straight: so the shoulder opens, and
    its dart takes that in, or, where there is none, a new one."""
    half = Half.of(piece)
    shoulder, blades = Shoulder.of(half), _blades(half)
    about = _on_armhole(half, blades)
    wide = about.x - half.centre.x

    def up(p: Point) -> Point:
        return Point(0.0, by * (1.0 - (p.x - half.centre.x) / wide) if p.y > blades else 0.0)

    neck = _neck_kept(half, by, up(half.neck).y)
    at = neck.rows["neck"][-1][1][-1].end
    sewn, turned = shoulder.long, turn(about, -2 * degrees(asin(by / 2 / wide))).point(half.tip)
    excess = shoulder.long_at(turned, at, without=True) - sewn
    if shoulder.folds and excess < -_NONE:
        on.refuse(
            ask,
            f"the shoulder dart of the {piece.name} takes in {on.say(shoulder.intake)}, and that is not enough",
            f"Make it less than {on.say(-by)}",
        )
    dart = excess > _LEAST_DART
    if not shoulder.folds and dart:
        shoulder = shoulder.with_dart(Point((half.neck.x + half.tip.x) / 2, blades), "shoulder")

    def made(share: float) -> Anew:
        """With the tip so far from the place about which it is turned; without a dart, as far from the neck as it is to
        be."""
        tip = between(about, turned, share)
        if dart:
            laid = shoulder.laid(tip, at, sewn=sewn, led=up)
        else:
            tip = _as_far(shoulder, tip, at)
            laid = shoulder.laid(tip, at, without=True)
        return laid + bent_above(half, blades, tip, laid.turned_deg("tip"))

    long = half.edge("armhole").length()

    def over(share: float) -> float:
        return long_of(made(share), "armhole") - long

    laid = made(solve(over, *bracket(over, 1.0, 0.02, 0.3), near=1e-7))
    _refuse_wide(on, ask, laid)
    return _told(on, (laid + neck + _centre(half, blades, by)).trued("neck").piece(), Shoulder.of(half), laid)


def _as_far(shoulder: Shoulder, tip: Point, neck: Point) -> Point:
    """A tip moved to or from the neck until a shoulder without darts is as long as it is sewn."""
    far = shoulder.long / shoulder.long_at(tip, neck, without=True) * distance(neck, tip)
    return along(neck, direction(neck, tip), far)


def _blades(half: Half) -> float:
    """The height of the blades: where the draft has it, else half way from the nape to the underarm."""
    known = half.piece.points.get("blade_centre")
    return known.y if known else (half.centre.y + half.underarm.y) / 2


def _on_armhole(half: Half, y: float) -> Point:
    path = half.upwards()
    if not half.underarm.y + 10.0 < y < half.tip.y - 10.0:
        raise GeometryError(f"{half.piece.name}: the blades do not lie between underarm and shoulder tip")
    far = solve(lambda far: place_at(path, far)[0].y - y, 0.0, path_length(path), near=1e-9)
    return place_at(path, far)[0]


def _neck_kept(half: Half, centre: float, side: float) -> Anew:
    """The neck with its ends so much higher, as long as it was: its end at the shoulder goes out or in for that."""
    long = half.edge("neck").sewn_length()

    def led(out: float) -> Anew:
        return led_neck(half, Point(0.0, centre), Point(out, side))

    def over(out: float) -> float:
        return long_of(led(out), "neck") - long

    return led(solve(over, *bracket(over, 0.0, 1.0, 40.0), near=1e-7))


def _centre(half: Half, low: float, by: float) -> Anew:
    """The centre so much longer, between a height and the neck."""
    edge, top = half.edge("centre"), half.centre
    path = edge.curves if not half.is_turned("centre") else tuple(c.reversed() for c in reversed(edge.curves))

    def point(p: Point) -> Point:
        return Point(p.x, p.y + by * max(0.0, (p.y - low) / (top.y - low)))

    return Anew(half, {"centre": by_row(path, point)}, {}, {})


def _refuse_wide(on: Fitter, ask: Ask, laid: Anew) -> None:
    for dart in laid.darts.values():
        if dart and dart.intake > _WIDEST:
            on.refuse(
                ask,
                f"the {dart.name} dart would take in {on.say(dart.intake)}, and {on.say(_WIDEST)} is the most",
                "Make it less, and look whether the size is right",
            )


def _told(on: Fitter, piece: Piece, before: Shoulder, laid: Anew) -> Piece:
    """With a note where a shoulder dart is new."""
    dart = laid.darts.get("shoulder")
    if before.folds or dart is None:
        return piece
    words = f"As fitted a new shoulder dart takes in {on.say(dart.intake)}; of a back with a yoke, the yoke seam does."
    if dart.intake <= _EASED:
        words += " It is small: where there is no yoke, the shoulder may be eased to the front's in its place."
    return replace(piece, notes=(*piece.notes, words))


def high_round_back(on: Fitter, ask: Ask) -> None:
    """Opened below the neck, at the centre, to nothing at the tip of the shoulder, about which neck and shoulder go."""
    on.change("back", lambda piece: _raised(piece, ask.amount), *_PLACES)


def _raised(piece: Piece, by: float) -> Piece:
    half = Half.of(piece)
    shoulder = Shoulder.of(half)
    tip = shoulder.closed(half.tip)
    deg = -2 * degrees(asin(by / 2 / (tip.x - half.centre.x)))
    at = turn(tip, deg).point(half.neck)
    neck = led_neck(half, Point(0.0, by), Point(at.x - half.neck.x, at.y - half.neck.y))
    laid, still = shoulder.laid(half.tip, at), Point(0.0, 0.0)
    armhole = led_armhole(half, still, still, turned=laid.turned_deg("tip"))
    return (laid + armhole + neck + _centre(half, _blades(half), by)).trued("neck").piece()


# ---------------------------------------------------------------- across


def broad_back(on: Fitter, ask: Ask) -> None:
    """Opened from the middle of the shoulder down to the waist, all the way alike."""
    on.change("back", lambda piece: _across(on, ask, piece, ask.amount), *_PLACES, "side")


def narrow_back(on: Fitter, ask: Ask) -> None:
    """Lapped from the middle of the shoulder down to the waist, all the way alike."""
    on.change("back", lambda piece: _across(on, ask, piece, -ask.amount), *_PLACES, "side")


def _across(on: Fitter, ask: Ask, piece: Piece, by: float) -> Piece:
    """So much wider; where one waist dart alone has no room for it, several take their parts, and at last the side."""
    left = by
    while abs(left) > 1e-6:
        dart, room = _waist_dart(Half.of(piece), left)
        slants = dart is not None and room < 0.5
        part = left if dart is None or slants else min(max(left, -room), room)
        piece = _wider(on, ask, piece, part, None if slants else dart, slants=slants)
        left -= part
    return piece


def _wider(on: Fitter, ask: Ask, piece: Piece, by: float, dart: Dart | None, *, slants: bool) -> Piece:
    half = Half.of(piece)
    shoulder, blades = Shoulder.of(half), _blades(half)
    tip = Point(half.tip.x + by, half.tip.y)

    def beside(p: Point) -> Point:
        return Point(by / 2, 0.0)

    excess = shoulder.long_at(tip, half.neck, beside, without=True) - shoulder.long
    if excess > _LEAST_DART:
        if not shoulder.folds:
            shoulder = shoulder.with_dart(Point((half.neck.x + half.tip.x) / 2, blades), "shoulder")
        laid = shoulder.laid(tip, half.neck, sewn=shoulder.long, led=beside)
    elif by > 0 or (shoulder.folds and excess > -_NONE):
        tip = _as_far(shoulder, tip, half.neck)
        laid = shoulder.laid(tip, half.neck, without=True)
    else:  # hinged at the shoulder: no dart can take it
        tip, laid = half.tip, shoulder.laid(half.tip, half.neck)
    _refuse_wide(on, ask, laid)
    armhole = led_armhole(
        half, Point(by, 0.0), Point(tip.x - half.tip.x, tip.y - half.tip.y), turned=laid.turned_deg("tip")
    )
    made = (laid + armhole + _lower(half, dart, by, slants=slants)).trued("neck").piece()
    return _told(on, _levels(_within(_smooth(made, dart), dart), by), Shoulder.of(half), laid)


def _within(piece: Piece, dart: Dart | None) -> Piece:
    """With the point of a dart that was moved pulled down, where it would lie at the armhole or beyond."""
    if dart is None:
        return piece
    ring, name = [p for edge in piece.edges for p in flatten(edge.curves)], dart.name

    def lies(made: Piece) -> bool:
        point = next(each for each in made.darts if each.name == name).points[1 if dart.is_open else 0]
        return contains(ring, point) and distance_to_line(point, ring) > _CLEAR

    while not lies(piece):
        if dart.is_open:
            made = shorten(piece, name, _CLEAR)
            piece = replace(made, levels=piece.levels, internal_lines=piece.internal_lines)
        else:
            darts = [
                replace(d, points=(Point(d.points[0].x, d.points[0].y - _CLEAR), *d.points[1:])) if d.name == name
                else d for d in piece.darts
            ]  # fmt: skip
            piece = replace(piece, darts=tuple(darts))
    return piece


def _lower(half: Half, dart: Dart | None, by: float, *, slants: bool) -> Anew:
    """Side and lower edge, the side so much further out at the underarm: as far at the waist, where a dart takes it in,
    and back at the hip; the same all the way down where there are no darts, so that waist or hem are as much wider; to
    nothing at the waist where it `slants`. The side is as long as it was: its lower end moves up or down for that."""
    place = half.lower
    top, low, at_waist = half.underarm.y, _low(half).y, 0.0 if slants else by
    rows = [(top, by), (low, at_waist)]
    bend = top
    if (dart or slants) and not half.ends_at_waist:
        levels = {line.name: line.points[0].y for line in half.piece.levels}
        bend = levels.get("waist", dart.points[1].y if dart else low)
        rows = [(top, by), (bend, at_waist), (max(low, levels.get("hip", low)), 0.0)]

    def out(y: float) -> float:
        for (high, a), (under, b) in pairwise(rows):
            if y >= under:
                return b + (a - b) * min(1.0, (y - under) / (high - under))
        return rows[-1][1]

    def side(down: float) -> Anew:
        def at(y: float) -> Point:
            return Point(out(y), -down * min(1.0, max(0.0, (bend - y) / (bend - rows[-1][0]))))

        return led_side(half, at, [y for y, _ in rows[1:] if y > low + 1.0])

    def over(down: float) -> float:
        return long_of(side(down), "side") - half.edge("side").length()

    down = 0.0 if abs(over(0.0)) < 1e-6 else solve(over, *bracket(over, 0.0, 0.5, 15.0), near=1e-7)
    if dart and half.ends_at_waist:
        return side(down) + _dart_wider(half, dart, by)
    made = side(down) + _end_out(half, place, Point(rows[-1][1], -down))
    if dart:
        made = made + Anew(half, {}, {}, {dart.name: _moved_waist(dart, by), **_beyond(half, dart, by)})
    return made


def _low(half: Half) -> Point:
    edge = half.edge("side")
    return edge.start if edge.start.y < edge.end.y else edge.end


def _waist_dart(half: Half, by: float) -> tuple[Dart | None, float]:
    """The waist dart that lies nearest below the middle of the shoulder, of those that have room for so much more or
    less; else the one that has most; and how much. None: the half has no waist dart."""
    piece, middle = half.piece, (half.neck.x + half.tip.x) / 2
    lower = piece.edge(half.lower)
    legs = [p for take in lower.takes for p in _mouth(lower, take)] if half.ends_at_waist else []
    found = [dart for dart in piece.darts if not dart.is_open and not half.ends_at_waist]
    found += [d for d in piece.darts if d.is_open and any(distance(d.points[0], p) < 0.1 for p in legs)]
    if not found:
        return None, 0.0
    room = {dart.name: _WIDEST - dart.intake if by > 0 else dart.intake - _LEAST_DART for dart in found}
    roomy = [dart for dart in found if room[dart.name] >= abs(by)]
    if roomy:
        near = min(roomy, key=lambda dart: abs(dart.points[0].x - middle))
    else:
        near = max(found, key=lambda dart: room[dart.name])
    return near, max(0.0, room[near.name])


def _mouth(edge: Edge, take: Take) -> tuple[Point, Point]:
    return place_at(edge.curves, take.start)[0], place_at(edge.curves, take.end)[0]


def _moved_waist(dart: Dart, by: float) -> Dart:
    """A dart with two ends, so much wider: its outer leg further out, its points half as far."""
    upper, outer, lower, inner = dart.points
    if outer.x < inner.x:
        outer, inner = inner, outer
    points = (
        Point(upper.x + by / 2, upper.y), Point(outer.x + by, outer.y), Point(lower.x + by / 2, lower.y), inner,
    )  # fmt: skip
    return replace(dart, points=points, intake=dart.intake + by)


def _beyond(half: Half, dart: Dart, by: float) -> dict[str, Dart]:
    """The darts that lie further out, moved with the cloth."""
    return {
        other.name: replace(other, points=tuple(Point(p.x + by, p.y) for p in other.points))
        for other in half.piece.darts
        if other.is_open is dart.is_open and other.name not in (dart.name, "shoulder")
        and other.points[0].x > dart.points[0].x
    }  # fmt: skip


def _dart_wider(half: Half, dart: Dart, by: float) -> Anew:
    """A waist edge, told from the side to the centre, with one of its darts so much wider and all beyond it further
    out."""
    edge = half.edge(half.lower)
    turned, long = half.is_turned(half.lower), edge.length()
    path = tuple(c.reversed() for c in reversed(edge.curves)) if turned else edge.curves
    takes = [replace(t, start=long - t.end, end=long - t.start) for t in reversed(edge.takes)] if turned else edge.takes
    own = next(t for t in takes if t.tip is not None and distance(t.tip, dart.points[1]) < 0.1)
    outer, cap, inner = stretch(path, 0.0, own.start), stretch(path, own.start, own.end), stretch(path, own.end, long)
    moved = mapped(outer, Move.by(by, 0.0).point)
    p, q = moved[-1].end, inner[0].start
    tip = _apex(p, q, Point(dart.points[1].x + by / 2, dart.points[1].y))
    new = dart_cap(moved, tip, inner, pressed_to_start=(own.pressed == "start") is not turned)
    rows: Rows = (*by_row(outer, Move.by(by, 0.0).point), (cap, new), *by_row(inner, lambda p: p))
    start = path_length(outer)
    end = start + path_length(new)
    kept = [
        replace(own, start=start, end=end, tip=tip) if t is own
        else replace(t, tip=t.tip and Point(t.tip.x + by, t.tip.y)) if t.end <= own.start + NEAR
        else replace(t, start=t.start - own.end + end, end=t.end - own.end + end)
        for t in takes
    ]  # fmt: skip
    legs = (q, tip, p) if turned else (p, tip, q)
    wider = Dart(dart.name, legs, distance(p, q))
    return Anew(half, {half.lower: rows}, {half.lower: kept}, {dart.name: wider, **_beyond(half, dart, by)})


def _apex(p: Point, q: Point, near: Point) -> Point:
    """The place nearest to a point that is as far from p as from q."""
    middle, way = between(p, q), left_of(direction(p, q))
    far = (near.x - middle.x) * way.x + (near.y - middle.y) * way.y
    return Point(middle.x + way.x * far, middle.y + way.y * far)


def _end_out(half: Half, place: str, by: Point) -> Anew:
    """A lower edge led along with the side, to nothing at the centre, or at the dart nearest to the side."""
    edge, end = half.edge(place), _low(half)
    turned, long = half.is_turned(place), edge.length()
    path: Path = tuple(c.reversed() for c in reversed(edge.curves)) if turned else edge.curves
    first = min((long - take.end if turned else take.start for take in edge.takes), default=long)
    outer, inner = stretch(path, 0.0, first), stretch(path, first, long)
    foot = outer[-1].end

    def point(p: Point) -> Point:
        t = (p.x - foot.x) / (end.x - foot.x)
        return Point(p.x + by.x * t, p.y + by.y * t)

    return Anew(half, {place: (*by_row(outer, point), *by_row(inner, lambda p: p))}, {}, {})


def _smooth(piece: Piece, dart: Dart | None) -> Piece:
    """With the waist bent beside the dart that is wider, so that it runs smoothly with that closed."""
    if dart is None or not dart.is_open:
        return piece
    made = trued(piece, dart.name, next(d.points[1] for d in piece.darts if d.name == dart.name))
    return with_takes_at_ends(replace(made, levels=piece.levels, internal_lines=piece.internal_lines))


def _levels(piece: Piece, by: float) -> Piece:
    """With the levels led on as far as the side is further out."""
    if by < 0:
        return piece
    levels = tuple(
        replace(line, points=(*line.points[:-1], Point(line.points[-1].x + by, line.points[-1].y)))
        for line in piece.levels
    )
    return replace(piece, levels=levels)


ROWS: Final[tuple[Fault, ...]] = (
    Fault(
        "round_back",
        sign="the back is too short over round shoulder blades: it rides up at the waist and stands off at the neck",
        pin="cut across the back at the blades, from armhole to armhole, let it open until it lies, and measure the "
        "gap at the centre",
        change="opened across at the blades, at the centre, to nothing at the armhole; the centre stays straight, and "
        "the shoulder dart takes in what the shoulder opens by",
        stays="armhole, neck, side and waist, and the shoulder as sewn",
        way=round_back, most=inch(1), keeps=("back.armhole", "back.neck", "back.side", "back.waist", "back.shoulder"),
        usual="1/4 to 3/4 in (0.6 to 2 cm)",
    ),
    Fault(
        "erect_back",
        sign="the back is too long above the waist: a fold lies across it between the blades and the neck",
        pin="pinch the fold across the back at the blades, most at the centre, to nothing at the armholes, and "
        "measure all that is pinched at the centre, both layers",
        change="lapped across at the blades, at the centre, to nothing at the armhole; the centre stays straight, and "
        "the shoulder dart takes in less",
        stays="armhole, neck, side and waist, and the shoulder as sewn",
        way=erect_back, most=inch(0.75),
        keeps=("back.armhole", "back.neck", "back.side", "back.waist", "back.shoulder"),
        usual="1/4 to 1/2 in (0.5 to 1.2 cm)",
    ),
    Fault(
        "high_round_back",
        sign="below the nape the back is round and full: the neckline stands away at the back, and folds run from "
        "there to the shoulders",
        pin="cut across just below the back neck, let it open until the neckline lies on the nape, and measure the gap "
        "at the centre",
        change="opened across below the neck, at the centre, to nothing at the shoulder tips; the centre stays "
        "straight, and the neckline is as long as that makes it",
        stays="armhole, side and waist, and the shoulder as sewn; collar and facing follow the neckline",
        way=high_round_back, most=inch(0.75),
        keeps=("back.armhole", "back.side", "back.waist", "back.shoulder"), usual="1/4 to 5/8 in (0.6 to 1.5 cm)",
    ),
    Fault(
        "broad_back",
        sign="the back strains across the blades, and the sleeves pull when the arms reach forward",
        pin="open the back lengthwise beside the blades until it lies, and measure the gap on one side",
        change="opened lengthwise from the middle of the shoulder to the waist, all the way alike; the shoulder dart "
        "takes it in above, the waist dart below",
        stays="armhole, neck and side, and shoulder and waist as sewn",
        way=broad_back, most=inch(0.625), keeps=("back.armhole", "back.neck", "back.shoulder", "back.side"),
        usual="1/4 to 5/8 in (0.6 to 1.5 cm)",
    ),
    Fault(
        "narrow_back",
        sign="upright folds lie on the back beside the armholes",
        pin="pinch the fold on one side of the back, from the shoulder down, and measure all that is pinched, both "
        "layers",
        change="lapped lengthwise from the middle of the shoulder to the waist, all the way alike; the shoulder dart "
        "takes in less above, the waist dart below; a shoulder without a dart stays where it is",
        stays="armhole, neck and side, and shoulder and waist as sewn",
        way=narrow_back, most=inch(0.625), keeps=("back.armhole", "back.neck", "back.shoulder", "back.side"),
        usual="1/4 to 5/8 in (0.6 to 1.5 cm)",
    ),
)  # fmt: skip
