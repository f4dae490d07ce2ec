"""Faults of bust and chest."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from math import asin, cos, degrees, pi, radians, sin
from typing import Final

from ..draft.cuts import mouth_of
from ..draft.darts import bent
from ..draft.moves import turn
from ..draft.pivots import lap, open_dart
from ..draft.stretches import cut_run, place
from ..errors import GeometryError
from ..geometry.affine import Move
from ..geometry.curve import Cubic, Line
from ..geometry.path import Path, moved_path, path_length, place_at, reverse, solve
from ..geometry.point import Point, along, direction, distance, turn_deg
from ..model.fitted import Ask
from ..model.length import inch
from ..model.piece import Edge, EdgeKind, NotchPlace, Piece, Take
from ..units import show_at_most
from ..values import replace
from .cup import (
    BESIDE,
    LEAST,
    bust_dart,
    bust_point,
    cup_of,
    far_to,
    joints_of,
    left_in,
    levelled,
    lower_edge,
    smoothed,
    turned,
    under_bust,
    with_dart_at_side,
    with_tip,
)
from .fault import Fault
from .fitter import Fitter, NotHere, called, role_of
from .warp import Pin, shifted

WIDEST: Final = 40.0
"""A bust dart in the side takes in no more than this, mm (common practice, no source)."""
ROOM: Final = 10.0
"""Beside a dart so much of the side is left, mm, at least (judgement, no source)."""
LED: Final = 120.0
"""The side is redrawn so far above and below a dart that moves along it, mm, at most (judgement, no source)."""
LEFT_HOLLOW: Final = 5.0
"""A front armhole is hollowed by so much, mm, at least (judgement, no source)."""
_PLACES: Final = ("side", "armhole", "shoulder", "neck", "centre")


def full_bust(on: Fitter, ask: Ask) -> None:
    """Slash from the bust point to lower edge, armhole and side; spread by what each half must gain."""
    _turned(on, ask, ask.amount)


def small_bust(on: Fitter, ask: Ask) -> None:
    """The same slashes, lapped."""
    _turned(on, ask, -ask.amount)


def _turned(on: Fitter, ask: Ask, w: float) -> None:
    front = on.piece("front", *_PLACES)
    lower_edge(front)
    alone = bool(ask.side)
    dart, side = bust_dart(front), on.edge("front", "side").name
    at_side = dart is None or side in [e.name for e in front.edges if any(t.tip == dart.points[1] for t in e.takes)]

    def change(piece: Piece, closed: float | None) -> Piece:
        cup = cup_of(piece, w, closed)
        v, u = (p := place(piece.edge(on.edge("front", "armhole").name), cup.hinge)).y - cup.apex.y, p.x - cup.apex.x
        angle = left_in(piece)

        def spread(t: float) -> float:
            return abs(v * sin(t) + u * (1 - cos(t)))

        if w < 0 and angle + cup.t < 2 * asin(LEAST / 2 / cup.arm):
            if not angle:
                on.refuse(
                    ask, f"the {front.name} has no bust dart to be made smaller", "Take it in at the side instead"
                )
            most = show_at_most(spread(2 * asin(LEAST / 2 / cup.arm) - angle), on.unit)
            on.refuse(ask, f"its bust dart is gone when {most} is lapped",
                      f"Make it {most} or less, and take the rest in at the side")  # fmt: skip
        if at_side and w > 0 and cup.intake > WIDEST + 0.1:
            room = 2 * asin(WIDEST / 2 / cup.arm) - angle
            most = show_at_most(spread(room), on.unit)
            say = f"its bust dart would take in {on.say(cup.intake)}, and one that takes in more than {on.say(WIDEST)}"
            less = f"Make it {most} or less, or draft" if room > 0 and most[0] != "0" else "Draft"
            on.refuse(ask, f"{say} puckers", f"{less} it anew on the girth and front_waist_length of this body")
        return turned(cup, alone=alone)

    def whole(piece: Piece) -> Piece:
        return levelled(with_dart_at_side(piece, w, change), piece, w, alone=alone)

    on.change("front", whole, *_PLACES)


# ---------------------------------------------------------------- the dart's level


def dart_level(on: Fitter, ask: Ask) -> None:
    """Move the bust dart and its point up, or down where it is negative, as a box; the waist dart's point follows."""
    front = on.piece("front", "side")
    if bust_dart(front) is None:
        raise NotHere(f"the {front.name} has no bust dart")
    apex, by = bust_point(front), ask.amount
    on.change("front", lambda piece: with_dart_at_side(piece, 0.0, lambda p, _: raised(p, by)), "side")
    halves = [front, *([on.piece("back", "side")] if on.has("back", "side") else [])]
    lines = [(half, line.points[0].y) for half in halves for line in half.levels if line.name == "bust"]
    if (
        not ask.side
        and lines
        and abs(lines[0][1] - apex.y) < 1.0
        and all(y + by <= _underarm(half) + 0.1 for half, y in lines)
    ):
        for half, _ in lines:
            on.change(role_of(half), lambda piece: _bust_line(piece, by), "side")


def _underarm(half: Piece) -> float:
    side = half.edge(called(half, "side"))
    return max(side.start.y, side.end.y)


def _bust_line(half: Piece, by: float) -> Piece:
    """The half with its bust line that much higher."""
    return replace(
        half,
        levels=tuple(
            replace(line, depth=line.depth - by, points=tuple(Point(p.x, p.y + by) for p in line.points))
            if line.name == "bust"
            else line
            for line in half.levels
        ),
    )


def raised(front: Piece, by: float) -> Piece:
    """The front with its bust point and the dart in its side that much higher: the dart moves along the side, the same
    size, and the point of that below it follows. Raises GeometryError where the side has no room."""
    apex, dart, below = bust_point(front), bust_dart(front), under_bust(front)
    assert dart is not None
    if below is not None and below.is_open:
        front = with_tip(front, below, Point(below.points[1].x, below.points[1].y + by))
    elif below is not None:
        upper, *rest = below.points
        led = replace(below, points=(Point(upper.x, upper.y + by), *rest))
        front = replace(front, darts=tuple(led if dart is below else dart for dart in front.darts))
    front = _slid(front, dart.name, by)
    tip = open_dart(front, dart.name).points[1]
    moved = Point(apex.x + tip.x - dart.points[1].x, apex.y + by)
    return replace(front, points={**front.points, "bust_point": moved})


def _slid(front: Piece, name: str, by: float) -> Piece:
    """A dart in the side moved that much higher as a box, its point with it; the side redrawn above and below it, as
    long as it was: so the box goes a little in or out."""
    dart = open_dart(front, name)
    index, low, high = mouth_of(front, dart)
    side = front.edges[index]
    long = side.sewn_length()
    ends = sorted((side.start.y, side.end.y))
    mouth = sorted((place(side, low).y, place(side, high).y))
    room = ends[1] - mouth[1] if by > 0 else mouth[0] - ends[0]
    if abs(by) > room - ROOM:
        way = "up" if by > 0 else "down"
        raise GeometryError(f"{front.name}: the {name} dart can go {way} by {max(0.0, room - ROOM):.0f} mm, no further")

    ends_at = low - LED, high + LED
    still = tuple(Pin(side.name, far) for far in ends_at if 0.0 < far < side.length())

    def moved(right: float) -> Piece:
        return shifted(front, (Pin(side.name, (low + high) / 2, right, by), *still))

    def over(right: float) -> float:
        return moved(right).edge(side.name).sewn_length() - long

    right = _nearest_zero(over, abs(by) / 2)
    made = moved(right)
    new = made.edge(side.name)
    take = new.takes[[each.start for each in side.takes].index(low)]
    tip = Point(dart.points[1].x + right, dart.points[1].y + by)
    made = with_tip(made, next(each for each in made.darts if each.name == name), tip)
    own = (_kept(notch, side, new, (low, high), take) for notch in front.notches if notch.edge == side.name)
    return replace(made, notches=(*(notch for notch in front.notches if notch.edge != side.name), *own))


def _kept(notch: NotchPlace, old: Edge, new: Edge, mouth: tuple[float, float], take: Take) -> NotchPlace:
    """A notch of the side as far along it, as it is sewn, as it was; those of the dart's ends at its ends."""
    for end, at in zip(mouth, (take.start, take.end), strict=True):
        if abs(notch.at - end) < 0.1:
            return replace(notch, at=at)
    far = old.sewn(notch.at)
    return replace(notch, at=far if far <= take.start else far + take.end - take.start)


def _nearest_zero(over: Callable[[float], float], most: float) -> float:
    """Where a hollow curve of a number within `most` of 0 passes 0 nearest to that, or else comes nearest to it."""
    steps = [most * k / 20 for k in range(-20, 21)]
    values = [over(x) for x in steps]
    crossed = [(a, b) for a, b, u, v in zip(steps, steps[1:], values, values[1:], strict=False) if u * v < 0]
    if crossed:
        return solve(over, *min(crossed, key=lambda ends: abs(ends[0] + ends[1])), near=1e-6)
    low = steps[min(range(41), key=lambda k: abs(values[k]))]
    fine = [low + most * k / 400 for k in range(-20, 21)]
    return min(fine, key=lambda x: abs(over(x)))


# ---------------------------------------------------------------- shoulder, chest


def flat_bust(on: Fitter, ask: Ask) -> None:
    """Turn the front shoulder about its tip, its neck end down by what is pinned; cut the neck that much lower."""
    front = on.piece("front", *_PLACES)
    if front.edge(called(front, "neck")).takes:
        raise NotHere(f"the neck of the {front.name} has a dart")
    on.change("front", lambda piece: with_dart_at_side(piece, 0.0, lambda p, _: dropped(p, ask.amount)), *_PLACES)


def dropped(front: Piece, by: float) -> Piece:
    """The front with the neck end of its shoulder that much lower: shoulder and neck as long as they were."""
    shoulder, neck, centre, armhole = (front.edge(called(front, name)) for name in
                                       ("shoulder", "neck", "centre", "armhole"))  # fmt: skip
    tip, high = shoulder.start, shoulder.end
    reach = distance(tip, high)
    deg = degrees(asin((high.y - tip.y) / reach) - asin((high.y - by - tip.y) / reach))
    move = turn(tip, deg)
    ends = move.point(high)

    def redrawn(down: float) -> Path:
        pins = {0.0: Point(ends.x - high.x, ends.y - high.y), 1.0: Point(0.0, -down)}
        curves, walked, long = [], 0.0, neck.length()
        for curve in neck.curves:
            points = curve.controls()
            steps = [(walked + curve.length() * k / (len(points) - 1)) / long for k in range(len(points))]
            curves.append(curve.with_controls(tuple(
                Point(p.x + pins[0.0].x * (1 - s), p.y + pins[0.0].y * (1 - s) - down * s)
                for p, s in zip(points, steps, strict=True))))  # fmt: skip
            walked += curve.length()
        return _aimed(tuple(curves), move, neck.curves)

    down = solve(lambda down: path_length(redrawn(down)) - neck.length(), -by, 4 * by + 20.0, near=1e-6)
    drawn = redrawn(down)
    last = bent(armhole.curves[-1], radians(deg), at_end=True, as_long=False)
    if abs(last.length() - armhole.curves[-1].length()) > 0.3:
        last = bent(armhole.curves[-1], radians(deg), at_end=True, as_long=True)
    first = centre.curves[0]
    if not isinstance(first, Line):
        raise GeometryError(f"{front.name}: its centre is not straight at the neck")
    curves = {
        shoulder.name: moved_path(shoulder.curves, move),
        neck.name: drawn,
        centre.name: (Line(drawn[-1].end, first.b), *centre.curves[1:]),
        armhole.name: (*armhole.curves[:-1], last),
    }
    at = {high: ends, neck.end: drawn[-1].end}
    return _with_curves(front, curves, at)


def _aimed(run: Path, move: Move, was: Path) -> Path:
    """A run that leaves as it did, turned, and arrives as it did."""
    start, end = replace(move, dx=0.0, dy=0.0).point(was[0].way(0.0)), was[-1].way(1.0)
    first = run[0]
    if isinstance(first, Cubic):
        a, b, c, d = first.controls()
        run = (first.with_controls((a, along(a, start, distance(a, b)), c, d)), *run[1:])
    last = run[-1]
    if isinstance(last, Cubic):
        a, b, c, d = last.controls()
        run = (*run[:-1], last.with_controls((a, b, along(d, end, -distance(c, d)), d)))
    return run


def _joined(run: Path, was: Path) -> Path:
    """A run whose curves go on smoothly where they did: their handles there turned to the middle way of both."""
    made = [*run]
    for k in range(len(run) - 1):
        before, after = made[k], made[k + 1]
        if abs(turn_deg(was[k].way(1.0), was[k + 1].way(0.0))) > 1.0:
            continue
        ways = before.way(1.0), after.way(0.0)
        way = direction((0.0, 0.0), (ways[0].x + ways[1].x, ways[0].y + ways[1].y))
        if isinstance(before, Cubic):
            a, b, c, d = before.controls()
            made[k] = before.with_controls((a, b, along(d, way, -distance(c, d)), d))
        if isinstance(after, Cubic):
            a, b, c, d = after.controls()
            made[k + 1] = after.with_controls((a, along(a, way, distance(a, b)), c, d))
    return tuple(made)


def _with_curves(piece: Piece, curves: Mapping[str, Path], at: Mapping[Point, Point]) -> Piece:
    """The piece with edges drawn anew; their notches keep their share of the way, named points of corners go along."""
    edges, notches = [], list(piece.notches)
    for edge in piece.edges:
        new = curves.get(edge.name, edge.curves)
        share = path_length(new) / edge.length()
        takes = tuple(replace(take, start=take.start * share, end=take.end * share) for take in edge.takes)
        spans = tuple(replace(span, long=span.long * share) for span in edge.spans)
        edges.append(edge if new is edge.curves else replace(edge, curves=new, takes=takes, spans=spans))
        notches = [replace(n, at=n.at * share) if n.edge == edge.name and abs(share - 1) > 1e-9 else n for n in notches]
    points = {name: next((new for old, new in at.items() if distance(p, old) < 0.01), p)
              for name, p in piece.points.items()}  # fmt: skip
    return replace(piece, edges=tuple(edges), notches=tuple(notches), points=points, cut_line=())


def hollow_chest(on: Fitter, ask: Ask) -> None:
    """Lap a wedge across the chest, from the centre to nothing at the armhole, and straighten the centre."""
    on.piece("front", *_PLACES)
    on.change("front", lambda piece: with_dart_at_side(piece, 0.0, lambda p, _: lapped(p, ask.amount)), *_PLACES)


def lapped(front: Piece, by: float) -> Piece:
    """The front lapped at its centre, half way from neck to bust point, hinged on the armhole. Raises GeometryError."""
    apex = bust_point(front)
    centre, armhole, neck = (front.edge(called(front, name)) for name in ("centre", "armhole", "neck"))
    if len(centre.curves) != 1 or not isinstance(centre.curves[0], Line) or abs(centre.start.x - centre.end.x) > 0.01:
        raise GeometryError(f"{front.name}: its centre is not one straight line")
    y = (centre.start.y + apex.y) / 2
    met = far_to(armhole.curves, lambda p: p.y - y), far_to(reverse(armhole.curves), lambda p: p.y - y)
    met = met[0], None if met[1] is None else armhole.length() - met[1]
    hinge = min((far for far in met if far is not None), key=lambda far: place(armhole, far).x, default=None)
    if hinge is not None:  # at a joint beside it, so that no short bit is bent
        hinge = next((far for far in joints_of(armhole) if abs(far - hinge) < BESIDE), hinge)
        y = place(armhole, hinge).y
    if hinge is None or min(hinge, armhole.length() - hinge) < 1.0:
        raise GeometryError(f"{front.name}: the armhole does not reach that level")
    loose = replace(front, edges=tuple(replace(e, kind=EdgeKind.SEAM) if e is centre else e for e in front.edges))
    about = place(armhole, hinge)
    made = lap(loose, (centre.name, centre.start.y - y), (armhole.name, hinge), by, hold=lower_edge(front))
    made = smoothed(made, armhole.name, about)
    x, low = centre.end.x, made.edge(centre.name).end
    turned_neck = made.edge(neck.name)
    far = far_to(turned_neck.curves, lambda p: p.x - x)
    if far is None:
        raise GeometryError(f"{front.name}: the neck does not reach the centre when it is lapped")
    kept = _level_at_end(cut_run(turned_neck.curves, far)[0])
    curves = {neck.name: kept, centre.name: (Line(kept[-1].end, low),)}
    whole = _with_curves(made, curves, {turned_neck.end: kept[-1].end})
    edges = tuple(replace(e, kind=centre.kind) if e.name == centre.name else e for e in whole.edges)
    return replace(whole, edges=edges)


def _level_at_end(run: Path) -> Path:
    """A run that arrives level, square to an upright centre."""
    last = run[-1]
    if not isinstance(last, Cubic):
        return run
    a, b, c, d = last.controls()
    return (*run[:-1], last.with_controls((a, b, Point(d.x + distance(c, d), d.y), d)))


def narrow_chest(on: Fitter, ask: Ask) -> None:
    """Hollow the front armhole at chest level, to nothing at shoulder tip and underarm."""
    _hollowed(on, ask, -ask.amount)


def broad_chest(on: Fitter, ask: Ask) -> None:
    """Fill the front armhole out at chest level, to nothing at shoulder tip and underarm."""
    _hollowed(on, ask, ask.amount)


def _hollowed(on: Fitter, ask: Ask, out: float) -> None:
    front = on.piece("front", "armhole", "shoulder", "side")
    armhole = front.edge(called(front, "armhole"))
    if out > 0:
        straight = min(_line_at(armhole, p.y) - p.x for p in map(armhole_at(armhole), (0.35, 0.5, 0.65)))
        if straight < out + LEFT_HOLLOW:
            most = show_at_most(max(0.0, straight - LEFT_HOLLOW), on.unit)
            on.refuse(ask, "the front armhole would not be hollow any more", f"Make it {most} or less")

    def change(piece: Piece) -> Piece:
        if bust_dart(piece) is None or "bust_point" not in piece.points:
            return bowed(piece, out)
        return with_dart_at_side(piece, 0.0, lambda p, _: bowed(p, out))

    on.change("front", change, "armhole", "shoulder", "side")


def armhole_at(edge: Edge) -> Callable[[float], Point]:
    return lambda share: place_at(edge.curves, edge.length() * share)[0]


def _line_at(edge: Edge, y: float) -> float:
    """Where the straight line between the ends of an edge passes a height."""
    a, b = edge.start, edge.end
    return a.x + (b.x - a.x) * (y - a.y) / (b.y - a.y)


def bowed(piece: Piece, out: float) -> Piece:
    """The piece with its armhole that much further out half way up, and as it was at its ends, where it leaves and
    arrives as it did."""
    armhole = piece.edge(called(piece, "armhole"))
    low, high = sorted((armhole.start.y, armhole.end.y))

    def moved(p: Point) -> Point:
        share = min(1.0, max(0.0, (p.y - low) / (high - low)))
        return Point(p.x + out * sin(pi * share) ** 2, p.y)

    curves = tuple(curve.with_controls(tuple(map(moved, curve.controls()))) for curve in armhole.curves)
    curves = _joined(_aimed(curves, Move(), armhole.curves), armhole.curves)
    made = _with_curves(piece, {armhole.name: curves}, {})
    joints = {old.end: new.end for old, new in zip(armhole.curves, curves, strict=True)}
    points = {name: next((new for old, new in joints.items() if distance(p, old) < 0.01), p)
              for name, p in made.points.items()}  # fmt: skip
    return replace(made, points=points)


_CUP: Final = ("front.armhole", "front.shoulder", "front.neck", "front.side")
ROWS: Final[tuple[Fault, ...]] = (
    Fault(
        "full_bust",
        sign="cloth pulls in folds to the bust, and the front rides up; armhole or neck may gape",
        pin="cut the trial garment up from the waist to the bust point, across to the side and to the armhole, let it "
            "spread, and measure the gap at the bust point: half an inch for an inch of girth",
        change="slashed from the bust point to the waist, the side and the armhole, and spread at the bust point",
        stays="armhole, shoulder, neck, and the side with its dart closed",
        way=full_bust, most=inch(1.5), keeps=_CUP, usual="1/2 in (1.25 cm) in each half for an inch of girth",
    ),
    Fault(
        "small_bust",
        sign="cloth is slack over the bust, and folds hang there",
        pin="pinch an upright fold at the bust point until the cloth lies, and measure all that is pinched on one "
        "side, both layers",
        change="slashed from the bust point to the waist, the side and the armhole, and lapped at the bust point",
        stays="armhole, shoulder, neck, and the side with its dart closed",
        way=small_bust, most=inch(1), keeps=_CUP, usual="1/4 to 1/2 in (0.6 to 1.25 cm) in each half",
    ),
    Fault(
        "dart_level",
        sign="the bust dart points above or below her bust",
        pin="chalk the point of her bust on the trial garment, and measure up to it from where the dart points; "
        "write it with a minus if it is down",
        change="bust dart and bust point moved up as a box; down, where the amount is less than nothing",
        stays="what the dart takes in, and the side with it closed",
        way=dart_level, least=inch(-1), most=inch(1),
        keeps=("front.armhole", "front.shoulder", "front.neck", "front.side", "front.centre", "front.waist"),
        usual="up or down freely",
    ),
    Fault(
        "flat_bust",
        sign="the front sags: folds lie across it below the bust, and it is too long for her",
        pin="take up the front at the neck end of the shoulder seam, to nothing at its tip, until the folds are gone, "
        "and measure how far the seam has moved",
        change="front shoulder lowered at its neck end, to nothing at its tip, and the neck as much deeper",
        stays="shoulder, neck, armhole and side",
        way=flat_bust, most=inch(0.75), keeps=("front.armhole", "front.shoulder", "front.neck", "front.side"),
        usual="1/4 to 1/2 in (0.6 to 1.25 cm)",
    ),
    Fault(
        "hollow_chest",
        sign="cloth folds across the chest above the bust, at the centre front",
        pin="pinch the fold at the centre front until it is gone, to nothing at the armholes, and measure all that "
        "is pinched there, both layers",
        change="lapped across the chest at the centre front, to nothing at the armhole, and the centre straightened",
        stays="armhole, shoulder and side; the neck is a little shorter",
        way=hollow_chest, most=inch(0.75), keeps=("front.armhole", "front.shoulder", "front.side"),
        usual="1/4 to 5/8 in (0.5 to 1.5 cm)",
    ),
    Fault(
        "narrow_chest",
        sign="cloth folds upright in front of the armholes, above the bust",
        pin="pinch the upright fold beside the front armhole until it is gone, and measure all that is pinched on "
        "one side, both layers",
        change="front armhole cut further in half way up, to nothing at shoulder and underarm",
        stays="shoulder, side and neck; the sleeve follows the armhole",
        way=narrow_chest, most=inch(0.75), keeps=("front.shoulder", "front.side", "front.neck"),
        usual="1/4 to 5/8 in (0.6 to 1.5 cm)",
    ),
    Fault(
        "broad_chest",
        sign="cloth is strained across the chest, and the front armhole cuts in",
        pin="snip the armhole's allowance in front until it lies flat, and measure how far it opens on one side",
        change="front armhole filled out half way up, to nothing at shoulder and underarm",
        stays="shoulder, side and neck; the sleeve follows the armhole",
        way=broad_chest, most=inch(0.75), keeps=("front.shoulder", "front.side", "front.neck"),
        usual="1/4 to 1/2 in (0.6 to 1.25 cm)",
    ),
)  # fmt: skip
