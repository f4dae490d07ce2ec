"""A front slashed round its bust point, and spread or lapped, so that it holds more or less of a bust.

    neck  shoulder      three slashes meet at the bust point: to the armhole, where it turns about a hinge on the stitch
     │   ╲    ╲         line; to the side, where the dart grows; to the lower edge, whose banks stay parallel; a fourth,
     │    ╲   H         level across the centre, so that this goes down as far as the rest
     ├─────╲─╱──┤ dart  v, u: the hinge above and beside the bust point; turned by t the bust point goes out by
     │      │   │       w = v sin t + u (1 - cos t), down by d = u sin t - v (1 - cos t); the dart opens by
    fold  waist side    2 × its arm × sin (t / 2)

Geometry; the slashes are common practice (alterations of the trade; rules proved, 8).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import suppress
from itertools import accumulate
from math import asin, copysign, cos, degrees, radians, sin, tan
from typing import Final, Literal

from ..draft.cuts import mouth_of
from ..draft.moves import turn
from ..draft.pivots import open_dart, pivot
from ..draft.sectors import Gap, Opening, Swing, index_of, swung
from ..draft.stretches import place
from ..errors import GeometryError
from ..geometry.affine import Move
from ..geometry.curve import Cubic, Curve, Line
from ..geometry.path import Path, parameter_at, path_length, place_at, solve
from ..geometry.point import Point, along, between, direction, distance, left_of, turn_deg
from ..model.piece import Dart, Edge, EdgeKind, Piece
from ..values import dataclass, replace
from .fitter import NotHere, called
from .warp import Pin, shifted

BUST: Final = "bust"
UP_THE_ARMHOLE: Final = 1 / 3
"""Where the hinge lies on an armhole without a notch, from the underarm up (common practice, no source)."""
PULLED_BACK: Final = 50.0
"""No dart's point lies further back from the bust point, mm (judgement, no source)."""
BELOW_BUST: Final = 25.0
"""A waist dart ends so far below the bust point, mm (as the blocks have it)."""
BESIDE: Final = 25.0
"""A hinge lies so far from a dart of the armhole, mm; a dart so far below the underarm (judgement, no source)."""
ABOVE_LOWER: Final = 40.0
"""And so far above the lower end of the side (as blocks have it above the waist)."""
CLEAR: Final = 0.06
"""The upper leg of a new dart falls away from the bust line by so much at least, radians (judgement, no source)."""
LEAST: Final = 2.0
"""What is left of a dart, mm, at least: less cannot be sewn (judgement, no source)."""
EASED: Final = 40.0
"""An edge is redrawn so far to either side of a hinge, mm (judgement, no source)."""
_BENT: Final = 3.0
"""Further in or out no joint is moved for the sake of the length, mm."""
_MOST_TURN: Final = radians(35.0)


# ---------------------------------------------------------------- places


def bust_point(front: Piece) -> Point:
    """The bust point: as named, or where the bust dart, led on past its point, meets that of the waist; without a bust
    dart, above that of the waist. Raises NotHere."""
    if "bust_point" in front.points:
        return front.points["bust_point"]
    dart, upright = bust_dart(front), [d for d in front.darts if not d.is_open or d.name.startswith("waist")]
    if dart is not None:
        tip = dart.points[1]
        way = direction(between(dart.points[0], dart.points[2]), tip)
        past = [(_top(d).x - tip.x) / way.x for d in upright if abs(way.x) > 0.5]
        return along(tip, way, min((far for far in past if 0.0 <= far <= PULLED_BACK), default=0.0))
    if not upright:
        raise NotHere(f"the {front.name} has no bust point and no dart that leads to it")
    top = _top(upright[0])
    return Point(top.x, top.y + BELOW_BUST)


def _top(dart: Dart) -> Point:
    """The upper point of an upright dart."""
    return dart.points[1 if dart.is_open else 0]


def bust_dart(front: Piece) -> Dart | None:
    """The dart that carries the bust: the one called so, else one that opens in the side."""
    opened = [dart for dart in front.darts if dart.is_open]
    own = [dart for dart in opened if dart.name == BUST]
    at_side = [dart for dart in opened if front.edges[mouth_of(front, dart)[0]].name == called(front, "side")]
    return next(iter((*own, *at_side)), None)


def lower_edge(piece: Piece) -> str:
    """The waist, or the hem of what goes on below it. Raises NotHere."""
    name = called(piece, "waist") or called(piece, "hem")
    if not name:
        raise NotHere(f"the {piece.name} has neither a waist nor a hem")
    return name


def far_to(run: Path, off: Callable[[Point], float]) -> float | None:
    """How far along a run, mm, a rule of its points passes 0 first; None where it does not."""
    long, steps = path_length(run), 64
    before = off(run[0].start)
    for k in range(1, steps + 1):
        after = off(place_at(run, long * k / steps)[0])
        if before * after <= 0 and before != after:
            return solve(lambda far: off(place_at(run, far)[0]), long * (k - 1) / steps, long * k / steps)
        before = after
    return None


def side_place(front: Piece, apex: Point, below: float) -> float:
    """Where a bust dart opens in the side, mm along it: so much below the level of the bust point, as an angle in
    radians there, as leaves room above and below.

    Raises NotHere where the side has none."""
    side = front.edge(called(front, "side"))
    high, low = max(side.start.y, side.end.y), min(side.start.y, side.end.y)
    y = max(min(apex.y - tan(below) * (max(side.start.x, side.end.x) - apex.x), high - BESIDE), low + ABOVE_LOWER)
    far = far_to(side.curves, lambda p: p.y - y) if y <= high - BESIDE + 0.1 else None
    if far is None:
        raise NotHere(f"the side of the {front.name} has no room for a bust dart")
    return far


def joints_of(edge: Edge) -> list[float]:
    """Where the curves of an edge meet, mm along it."""
    return list(accumulate(curve.length() for curve in edge.curves[:-1]))


def hinge_on(front: Piece, closed: float | None) -> float:
    """Where the slash to the armhole is hinged, mm along it: its notch, a pitch near a third up, or that third; clear
    of where a dart was closed."""
    edge = front.edge(called(front, "armhole"))
    long, from_start = edge.length(), edge.start.y < edge.end.y
    notch = next((n.at for n in front.notches if n.edge == edge.name), None)
    at = long * (UP_THE_ARMHOLE if from_start else 1 - UP_THE_ARMHOLE) if notch is None else notch
    at = next((joint for joint in joints_of(edge) if abs(joint - at) < BESIDE / 2), at)
    if closed is not None and abs(closed - at) < BESIDE:
        far = max(BESIDE, long / 6)
        at = closed + (far if from_start else -far)
    return at


# ---------------------------------------------------------------- the bust dart in the side, and back


def with_dart_at_side(front: Piece, w: float, change: Callable[[Piece, float | None], Piece]) -> Piece:
    """A change of the front with its bust dart turned to the side and back, so that no slash meets it; `change` is
    told where in the armhole one was closed. It opens where its middle will be level when the bust point has gone out
    by about w, so that the bust line runs on through it. Points of waist darts that reach too high are set lower
    meanwhile. The levels stay as they are, wherever the cloth goes."""
    return replace(_at_side(replace(front, levels=()), front, w, change), levels=front.levels)


def _at_side(bare: Piece, front: Piece, w: float, change: Callable[[Piece, float | None], Piece]) -> Piece:
    apex, dart, side = bust_point(front), bust_dart(front), called(front, "side")
    if dart is None or front.edges[mouth_of(front, dart)[0]].name == side:
        low = set_lower(bare, min(apex.y, *(p.y for p in dart.points)) if dart else apex.y)
        return set_back(change(low, None), front, low)
    index, at, _ = mouth_of(front, dart)
    home = front.edges[index]
    pressed = _pressed(home, at)
    closed = at if home.name == called(front, "armhole") else None
    more = 0.0
    for _ in range(2 if w > 0 else 1):  # how far the dart will open hangs a little on where it lies
        far = side_place(front, apex, (left_in(front) + more) / 2)
        lowered = set_lower(bare, min(apex.y, place(front.edge(side), far).y))
        moved = pivot(lowered, dart.name, Opening(side, far, name=dart.name), about=apex)
        more = cup_of(moved, w, closed).t if w > 0 else 0.0
    changed = change(moved, closed)
    at = next((far for far in joints_of(changed.edge(home.name)) if abs(far - at) < 0.1), at)  # to cut at the joint
    back = Opening(home.name, at, pressed=pressed, name=dart.name)
    return set_back(pivot(changed, dart.name, back, about=bust_point(changed)), front, lowered)


def _pressed(edge: Edge, low: float) -> Literal["start", "end"]:
    return next((take.pressed or "start" for take in edge.takes if abs(take.start - low) < 1e-3), "start")


def set_lower(front: Piece, y: float) -> Piece:
    """The points of open darts of the lower edge that lie nearly as high as y, below it; not of that below the bust."""
    own, apex = under_bust(front), bust_point(front)
    edge = front.edge(lower_edge(front))
    for dart in front.darts:
        if not dart.is_open or dart is own or dart.points[1].y < y - 5 or not _opens_at(front, dart, edge.name):
            continue
        if dart.points[1].x > apex.x:
            front = with_tip(
                front, dart, Point(dart.points[1].x, max(y - 10, between(dart.points[0], dart.points[2]).y + 10))
            )
    return front


def _opens_at(front: Piece, dart: Dart, edge: str) -> bool:
    with suppress(GeometryError):
        return front.edges[mouth_of(front, dart)[0]].name == edge
    return False


def with_tip(front: Piece, dart: Dart, tip: Point) -> Piece:
    """An open dart with its point elsewhere, its edge as it is."""
    index, low, _ = mouth_of(front, dart)
    edge = front.edges[index]
    takes = tuple(replace(take, tip=tip) if abs(take.start - low) < 1e-3 else take for take in edge.takes)
    new = replace(dart, points=(dart.points[0], tip, dart.points[2]))
    return replace(
        front,
        edges=tuple(replace(edge, takes=takes) if each is edge else each for each in front.edges),
        darts=tuple(new if each is dart else each for each in front.darts),
    )


def set_back(changed: Piece, front: Piece, lowered: Piece) -> Piece:
    """The points that were set lower where their darts have gone."""
    low = {dart.name: dart.points[1] for dart in lowered.darts if dart.is_open}
    for old in front.darts:
        new = next((dart for dart in changed.darts if dart.name == old.name and dart.is_open), None)
        if new is None or not old.is_open or low.get(old.name, old.points[1]) == old.points[1]:
            continue
        way = direction(old.points[0], old.points[2]), direction(new.points[0], new.points[2])
        move = turn(old.points[0], turn_deg(*way)).then(
            Move.by(new.points[0].x - old.points[0].x, new.points[0].y - old.points[0].y)
        )
        changed = with_tip(changed, new, _below_leg(changed, move.point(old.points[1])))
    return changed


def _below_leg(front: Piece, tip: Point) -> Point:
    """The point of a waist dart, no higher than the lower leg of the bust dart."""
    dart = bust_dart(front)
    if dart is None:
        return tip
    low, apex = min(dart.points[::2], key=lambda p: p.y), dart.points[1]
    if not apex.x < tip.x < low.x:
        return tip
    return Point(tip.x, min(tip.y, apex.y + (low.y - apex.y) * (tip.x - apex.x) / (low.x - apex.x)))


# ---------------------------------------------------------------- the turn


def turn_for(w: float, v: float, u: float) -> float:
    """The angle t, radians, at which the bust point goes out by w: w = v sin t + u (1 - cos t)."""
    return solve(lambda t: v * sin(t) + u * (1 - cos(t)) - w, -_MOST_TURN, _MOST_TURN, near=1e-9)


def grown(arm: float, taken: float, t: float) -> float:
    """What a dart of that arm that takes in so much, mm, takes in when it is opened by t more."""
    return 2 * arm * sin(asin(taken / 2 / arm) + t / 2)


def under_bust(front: Piece) -> Dart | None:
    """The dart in the lower edge, or above it with two ends, that lies straight below the bust point."""
    x, lower = bust_point(front).x, lower_edge(front)
    for dart in front.darts:
        if dart.name == BUST:
            continue
        ends = sorted(p.x for p in (dart.points[::2] if dart.is_open else dart.points[1::2]))
        upright = dart.is_open and _opens_at(front, dart, lower)
        if (upright or not dart.is_open) and ends[0] - 1 <= x <= ends[1] + 1:
            return dart
    return None


@dataclass(frozen=True, slots=True)
class Cup:
    """A front laid ready: the bust point, hinge, dart in the side, what is to be spread."""

    front: Piece
    apex: Point
    hinge: float
    side: tuple[float, float]
    dart: Dart | None
    below: Dart | None
    t: float
    w: float

    @property
    def arm(self) -> float:
        """From the bust point to the side."""
        return distance(self.apex, place(self.front.edge(called(self.front, "side")), self.side[0]))

    @property
    def intake(self) -> float:
        """What the dart takes in when it is turned."""
        side = self.front.edge(called(self.front, "side"))
        ends = [place(side, far) for far in self.side]
        return grown(self.arm, distance(*ends), self.t)


def cup_of(front: Piece, w: float, closed: float | None) -> Cup:
    """The places and the angle of a front whose bust dart, if any, is in the side. Raises NotHere, GeometryError."""
    apex, dart = bust_point(front), bust_dart(front)
    if w < 0 and dart is not None:  # half of what is lapped lies on either side of the bust point
        apex = along(apex, direction(apex, between(dart.points[0], dart.points[2])), -w / 2)
    hinge = hinge_on(front, closed)
    armhole = front.edge(called(front, "armhole"))
    if not 1.0 < hinge < armhole.length() - 1.0:
        raise GeometryError(f"{front.name}: the hinge on the armhole lies less than 1 mm from its end")
    at = place(armhole, hinge)
    v, u = at.y - apex.y, at.x - apex.x
    furthest = copysign(_MOST_TURN, w)
    if (v * sin(furthest) + u * (1 - cos(furthest)) - w) * furthest <= 0 or v < 10:
        raise GeometryError(
            f"{front.name}: the bust point lies {v:.0f} mm below the armhole's hinge, too near for that"
        )
    t = turn_for(w, v, u)
    if dart is not None:
        _, low, high = mouth_of(front, dart)
    else:
        low = high = side_place(front, apex, t + CLEAR)
    return Cup(front, apex, hinge, (low, high), dart, under_bust(front), t, w)


def turned(cup: Cup, *, alone: bool = False) -> Piece:
    """The front slashed, and spread or lapped. `alone`: the other side of the wearer is not, so the centre stays as
    long as it is, and the lower edge is led down from there to the slash."""
    front, apex, t = cup.front, cup.apex, cup.t
    side, armhole, centre = (called(front, name) for name in ("side", "armhole", "centre"))
    hinge = place(front.edge(armhole), cup.hinge)
    about_hinge = turn(hinge, degrees(t))
    out = about_hinge.point(apex)
    down = apex.y - out.y
    beside, middle = Move.by(out.x - apex.x, -down), Move.by(0.0, -down)

    low = _lower_gap(cup, beside, middle)
    gaps = [
        (_side_gap(cup, side, about_hinge, beside, out), about_hinge),
        (Gap(index_of(front, armhole), cup.hinge, cup.hinge), Move()),
        *(() if alone else ((_centre_gap(front, centre, apex, down), middle),)),
        (low, beside),
    ]
    kinds = {edge.name: edge.kind for edge in front.edges}
    loose = replace(
        front,
        edges=tuple(replace(e, kind=EdgeKind.SEAM) if e.kind is EdgeKind.FOLD else e for e in front.edges),
        darts=tuple(dart for dart in front.darts if dart is not cup.dart and dart is not cup.below),
    )
    edge, wide = front.edges[low.edge].name, low.high - low.low > 1e-6
    if alone and wide:
        loose = _led_down(loose, edge, low.low, low.high, down)
        corners = middle.point(place(front.edges[low.edge], low.low)), place(front.edges[low.edge], low.high)
        joints = joints_of(loose.edge(edge))
        ends = [min(joints, key=lambda far, p=p: distance(place(loose.edge(edge), far), p)) for p in corners]  # type: ignore[misc]
        gaps[-1] = replace(low, low=ends[0], high=ends[1]), beside
    first = gaps[0][0].edge
    count = len(front.edges)
    gaps.sort(key=lambda row: ((row[0].edge - first) % count, row[0].low))
    made = swung(loose, Swing([g for g, _ in gaps], [m for _, m in gaps], apex, called(front, "neck")), "")
    if alone and not wide:
        made = _led_down(made, edge, low.low, low.low + out.x - apex.x, down)
    made = smoothed(made, armhole, hinge)
    dart = next((each for each in made.darts if each.name == (cup.dart.name if cup.dart else BUST)), None)
    at = out
    if dart is not None and out.x > apex.x:  # in the middle of what was opened, where both legs of the dart are as far
        at = along(out, direction(between(dart.points[0], dart.points[2]), out), (out.x - apex.x) / 2)
    return replace(
        made,
        edges=tuple(_whole(replace(edge, kind=kinds[edge.name]), front) for edge in made.edges),
        points={**made.points, **_points(cup, made), "bust_point": at},
        darts=(*made.darts, *_doubled(cup, beside, middle)),
    )


def _led_down(front: Piece, edge: str, low: float, high: float, down: float) -> Piece:
    """An edge led down to a place along it, mm, from where it begins; from another on it is as it was."""
    return shifted(front, (Pin(edge, low, up=-down), Pin(edge, high)), mouths_as_one=False)


def _side_gap(cup: Cup, side: str, upper: Move, lower: Move, out: Point) -> Gap:
    index, (low, high) = index_of(cup.front, side), cup.side
    edge = cup.front.edges[index]
    from_below = edge.start.y < edge.end.y
    ends = [(lower if (k == 0) == from_below else upper).point(place(edge, far)) for k, far in enumerate((low, high))]
    back = distance(cup.dart.points[1], cup.apex) if cup.dart else 0.0
    pressed = _pressed(edge, low)
    tip = along(out, direction(out, between(ends[0], ends[1])), back)
    return Gap(index, low, high, Opening(side, low, "dart", 1.0, pressed, cup.dart.name if cup.dart else BUST, tip=tip))


def _centre_gap(front: Piece, centre: str, apex: Point, down: float) -> Gap:
    """Across the centre, level with the bust point."""
    index = index_of(front, centre)
    edge = front.edges[index]
    at = far_to(edge.curves, lambda p: p.y - apex.y)
    if at is None:
        raise NotHere(f"the centre of the {front.name} does not reach the bust point")
    if down >= 0:
        return Gap(index, at, at, Opening(centre, at, "flare"))
    return Gap(index, at + down / 2, at - down / 2)


def _lower_gap(cup: Cup, beside: Move, middle: Move) -> Gap:
    """Straight below the bust point: the dart there takes in what is spread; else the edge is as much wider."""
    front, apex = cup.front, cup.apex
    name = lower_edge(front)
    index = index_of(front, name)
    edge = front.edges[index]
    if cup.below is not None and cup.below.is_open:
        _, low, high = mouth_of(front, cup.below)
        first, tip, second = cup.below.points
        if second.x - first.x + cup.w < LEAST:
            raise GeometryError(f"{front.name}: the {cup.below.name} dart takes in no more than is to be lapped")
        a, b = middle.point(first), beside.point(second)
        way = left_of(direction(a, b))
        m = between(a, b)
        new = along(m, way, (middle.point(tip).y - m.y) / way.y)
        pressed = _pressed(edge, low)
        return Gap(index, low, high, Opening(name, low, "dart", 1.0, pressed, cup.below.name, tip=new))
    lapped = max(0.0, -cup.w)
    places = [far_to(edge.curves, lambda p, x=x: p.x - x) for x in (apex.x - lapped, apex.x)]  # type: ignore[misc]
    if None in places:
        raise NotHere(f"the {name} of the {front.name} does not lie below the bust point")
    low, high = sorted(far for far in places if far is not None)
    return Gap(index, low, high, None if lapped else Opening(name, low, "flare"))


def _points(cup: Cup, made: Piece) -> dict[str, Point]:
    """The named points of darts that were redrawn."""
    named = {}
    for dart in filter(None, (cup.dart, cup.below)):
        new = next((each for each in made.darts if each.name == dart.name), None)
        for name, p in cup.front.points.items():
            for old, now in zip(dart.points, new.points if new else (), strict=False):
                if distance(p, old) < 0.01 and name != "bust_point":
                    named[name] = now
    return named


def _doubled(cup: Cup, beside: Move, middle: Move) -> Sequence[Dart]:
    """A dart with two ends that was slashed: wider by what was spread."""
    if cup.below is None or cup.below.is_open:
        return ()
    upper, outer, lower, inner = cup.below.points
    right, left = (outer, inner) if outer.x > inner.x else (inner, outer)
    right, left = beside.point(right), middle.point(left)
    if right.x - left.x < LEAST:
        raise GeometryError(f"{cup.front.name}: the {cup.below.name} dart takes in no more than is to be lapped")
    ends = [between(middle.point(p), beside.point(p)) for p in (upper, lower)]
    sides = (right, left) if outer.x > inner.x else (left, right)
    return (replace(cup.below, points=(ends[0], sides[0], ends[1], sides[1]), intake=distance(*sides)),)


def _whole(edge: Edge, front: Piece) -> Edge:
    """A centre that was one straight line is one again."""
    old = front.edge(edge.name)
    if edge.name != called(front, "centre") or len(old.curves) != 1 or not isinstance(old.curves[0], Line):
        return edge
    return replace(edge, curves=(Line(edge.start, edge.end),))


def levelled(made: Piece, front: Piece, w: float, *, alone: bool = False) -> Piece:
    """The front with its levels above the bust point as they were, that of the bust point and those below it as much
    lower as its side, and its centre unless it is `alone`; as much longer as was spread."""
    apex, side = bust_point(front), called(front, "side")
    down = min(p.y for p in _ends(front, side)) - min(p.y for p in _ends(made, side))

    def moved(p: Point) -> Point:
        beside = p.x > apex.x
        lower = down if p.y < apex.y + 1.0 and (beside or not alone) else 0.0
        return Point(p.x + (w if beside else 0.0), p.y - lower)

    return replace(made, levels=tuple(replace(x, points=tuple(map(moved, x.points))) for x in front.levels))


def _ends(piece: Piece, edge: str) -> tuple[Point, Point]:
    return piece.edge(edge).start, piece.edge(edge).end


def smoothed(piece: Piece, name: str, hinge: Point) -> Piece:
    """The edge bent on either side of a joint, so that it has no corner there; the joint goes in or out by as much as
    keeps the edge as long as it was."""
    edge = piece.edge(name)
    joints = joints_of(edge)
    k = min(range(len(joints)), key=lambda k: distance(edge.curves[k].end, hinge), default=None)
    if k is None:
        return piece
    *start, near = _last(edge.curves[k])
    far, *rest = _first(edge.curves[k + 1])
    (a, b, c, at), (_, d, e, f) = near.controls(), far.controls()
    ways = near.way(1.0), far.way(0.0)
    way = direction((0.0, 0.0), (ways[0].x + ways[1].x, ways[0].y + ways[1].y))

    def drawn(out: float) -> tuple[Cubic, Cubic]:
        p = along(at, left_of(way), out)
        return (Cubic(a, b, along(p, way, -distance(c, at)), p), Cubic(p, along(p, way, distance(at, d)), e, f))

    def over(out: float) -> float:
        return path_length(drawn(out)) - near.length() - far.length()

    out = solve(over, -_BENT, _BENT, near=1e-7) if over(-_BENT) * over(_BENT) < 0 else 0.0
    bits = drawn(out)
    made = replace(edge, curves=(*edge.curves[:k], *start, *bits, *rest, *edge.curves[k + 2 :]))
    points = {name: bits[0].end if distance(p, at) < 0.01 else p for name, p in piece.points.items()}
    return replace(piece, edges=tuple(made if each is edge else each for each in piece.edges), points=points)


def _last(curve: Curve) -> tuple[Cubic, ...]:
    """A curve with its last `EASED` mm apart, as cubics."""
    return tuple(each.reversed() for each in _first(curve.reversed())[::-1])


def _first(curve: Curve) -> tuple[Cubic, ...]:
    """A curve with its first `EASED` mm apart, as cubics."""
    bits = curve.split(parameter_at(curve, EASED, curve.length())) if curve.length() > 1.5 * EASED else (curve,)
    return tuple(map(_cubic, bits))


def _cubic(curve: Curve) -> Cubic:
    if isinstance(curve, Cubic):
        return curve
    third = Point((curve.b.x - curve.a.x) / 3, (curve.b.y - curve.a.y) / 3)
    return Cubic.leaving_and_arriving(curve.a, third, curve.b, third)


def left_in(front: Piece) -> float:
    """The angle of the bust dart, radians, as it opens at the bust point; 0 without one."""
    dart = bust_dart(front)
    if dart is None:
        return 0.0
    apex = bust_point(front)
    first, second = open_dart(front, dart.name).points[::2]
    return abs(radians(turn_deg(direction(apex, first), direction(apex, second))))
