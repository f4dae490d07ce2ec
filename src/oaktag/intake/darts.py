"""Darts as people draw them: two strokes that meet, a V, a triangle, a wedge cut into the outline; told by shape.

Strokes may cross the edge or stop short of it; the legs are made to end on it.
"""

from __future__ import annotations

import itertools
from bisect import bisect_left
from collections.abc import Iterator, Sequence
from math import hypot
from typing import Any, Final, NamedTuple

from ..geometry.curve import Line
from ..geometry.path import Path, flatten, path_length, place_at
from ..geometry.point import XY, Point, along, between, direction, distance, turn_deg
from ..geometry.polygon import distance_to_segment
from ..values import dataclass, replace
from .model import DrawnPath, Outline

_TIP: Final = 4.0
"""Strokes whose ends come this near meet in a dart's point, mm; all such bounds are from hand drawings, no source."""
_CROSSED: Final = 15.0
"""Where strokes cross this near to both their ends, they cross at the point, mm."""
_MOUTH: Final = 6.0
"""A stroke from one leg's end to the other's, this near to both, closes the dart at the edge, mm."""
_SHARED: Final = 4.0
"""A third stroke that begins this near to a leg's end makes a pleat of it, or something else that is no dart, mm."""
_BESIDE: Final = 0.25
"""A third stroke to the point is the dart's middle if it leaves it by no more than this share of its mouth."""
_DEEP: Final = 15.0
"""The point of a dart that no layer names lies this far inside, mm."""
_GOES_ON: Final = 50.0
"""An edge goes on over the mouth of a cut out wedge if it turns by no more, degrees."""
_MOST_STROKES: Final = 400
"""Strokes of one piece that may be (part of) a dart; where there are more, only named ones are, and none of more."""
_MOST_POINTS: Final = 5_000


class _Limits(NamedTuple):
    """What a dart may look like: mm, and degrees between its legs."""

    over: float
    short: float
    leg: float
    mouth: tuple[float, float]
    legs: float
    """The longer leg over the shorter."""
    angle: float


_NAMED: Final = _Limits(30.0, 12.0, 10.0, (1.0, 400.0), 2.0, 100.0)
_UNNAMED: Final = _Limits(15.0, 8.0, 25.0, (4.0, 100.0), 1.25, 45.0)


@dataclass(frozen=True, slots=True)
class Stroke:
    """A line inside a piece that may be (part of) a dart; `named`: its layer or the plan says that it is."""

    curves: Path
    closed: bool
    named: bool


@dataclass(frozen=True, slots=True)
class FoundDart:
    """A dart that opens at an edge: from `start` to `end` mm along the edge of that number; leg end, point, leg end.

    `strokes` are the numbers of those it was made of; `moved` is the most that a leg was led on to the edge or cut off
    there, mm.
    """

    edge: int
    start: float
    end: float
    points: tuple[Point, Point, Point]
    strokes: tuple[int, ...]
    named: bool
    moved: float

    @property
    def intake(self) -> float:
        """Its width at the edge, mm."""
        return distance(self.points[0], self.points[2])


def darts_in(edges: Sequence[Path], strokes: Sequence[Stroke]) -> list[FoundDart]:
    """The darts that some of the strokes are, by edge and place; each stroke is part of one at most.

    `edges` are those of a closed outline, counter-clockwise. Strokes that are named may look like anything with a point
    inside and two legs to one edge; others must look like a dart: straight legs, about equally long, narrow, no other
    line beginning where they end.
    """
    shapes = [_corners(stroke) for stroke in strokes]
    likely = _likely(strokes, shapes)
    if not likely:
        return []
    room = _Room.of(edges)
    ends = _Ends.of(shapes)
    found: list[FoundDart] = []
    used: set[int] = set()
    whole = (_best(_one_stroke(room, number, strokes[number], shapes[number])) for number in likely)
    for dart in (*(dart for dart in whole if dart), *_two_strokes(room, likely, strokes, shapes)):
        if used.isdisjoint(dart.strokes) and _alone(dart, ends, strokes, shapes) and not _overlaps(dart, found):
            dart = replace(dart, strokes=(*dart.strokes, *_across(dart, ends, shapes)))
            used.update(dart.strokes)
            found.append(dart)
    return sorted(found, key=lambda dart: (dart.edge, dart.start))


def corners_of_stroke(curves: Path, *, closed: bool) -> list[Point]:
    """Its corners, the ends of an open one among them, without the wobble of the hand.

    What begins where it ends, nearly, is closed.
    """
    import shapely

    points = flatten(curves, 0.05)
    long = path_length(curves)
    if len(points) > _MOST_POINTS or long <= 0.0:
        return []
    within = min(4.0, max(1.5, 0.025 * long))
    if not closed and distance(points[0], points[-1]) > max(_TIP, 0.03 * long):
        line = shapely.LineString(points).simplify(within, preserve_topology=False)
        return [Point(x, y) for x, y in line.coords]
    ring = points[:-1] if distance(points[0], points[-1]) < 1e-9 else points
    middle = (sum(x for x, _ in ring) / len(ring), sum(y for _, y in ring) / len(ring))
    first = max(range(len(ring)), key=lambda i: distance(ring[i], middle))
    turned = [*ring[first:], *ring[:first], ring[first]]
    line = shapely.LineString(turned).simplify(within, preserve_topology=False)
    corners = [Point(x, y) for x, y in line.coords][:-1]
    # what is farthest from the first corner is kept above, though it may lie on a side
    for i in range(len(corners) - 1, 0, -1):
        if (
            len(corners) > 3
            and distance_to_segment(corners[i], corners[i - 1], corners[(i + 1) % len(corners)]) <= within
        ):
            del corners[i]
    return [*corners, *corners[:1]]


def _corners(stroke: Stroke) -> list[Point]:
    return corners_of_stroke(stroke.curves, closed=stroke.closed)


def _likely(strokes: Sequence[Stroke], shapes: Sequence[Sequence[Point]]) -> list[int]:
    """The numbers of those that are long enough for a leg and have no more corners than a dart."""
    found = [
        number
        for number, (stroke, shape) in enumerate(zip(strokes, shapes, strict=True))
        if 2 <= len(shape) <= 4
        and max(distance(a, b) for a, b in itertools.pairwise(shape)) >= (_NAMED if stroke.named else _UNNAMED).leg
    ]
    if len(found) > _MOST_STROKES:
        found = [number for number in found if strokes[number].named]
    return found if len(found) <= _MOST_STROKES else []


@dataclass(frozen=True, slots=True)
class _Ends:
    """Where strokes begin and end, to be found by place."""

    numbers: list[int]
    tree: Any

    @classmethod
    def of(cls, shapes: Sequence[Sequence[Point]]) -> _Ends:
        import shapely

        held = [(number, end) for number, shape in enumerate(shapes) if shape for end in (shape[0], shape[-1])]
        return cls([number for number, _ in held], shapely.STRtree(shapely.points([end for _, end in held])))

    def near(self, spots: Sequence[XY], within: float) -> list[int]:
        """The numbers of strokes that begin or end at one of the spots, ascending."""
        import shapely

        hits = self.tree.query(shapely.points(list(spots)), predicate="dwithin", distance=within)[1]
        return sorted({self.numbers[i] for i in hits})


# ---------------------------------------------------------------- the piece, and where a leg ends on its edge


class _End(NamedTuple):
    edge: int
    far: float
    at: Point
    moved: float


@dataclass(frozen=True, slots=True)
class _Room:
    """The outline of a piece: its edges as curves and as points, its ring, what lies in it."""

    edges: tuple[Path, ...]
    stops: tuple[list[float], ...]
    """How far along its edge each curve ends, mm."""
    lines: Any
    ring: Any
    solid: Any

    @classmethod
    def of(cls, edges: Sequence[Path]) -> _Room:
        import shapely

        flat = tuple(flatten(edge, 0.02) for edge in edges)
        ring = [p for points in flat for p in points[:-1]]
        solid = shapely.Polygon(ring)
        shapely.prepare(solid)
        lines = [shapely.LineString(points) for points in flat]
        stops = tuple(list(itertools.accumulate(curve.length() for curve in edge)) for edge in edges)
        return cls(tuple(edges), stops, lines, shapely.LinearRing(ring), solid)

    def holds(self, p: XY) -> bool:
        import shapely

        return bool(shapely.contains_xy(self.solid, p[0], p[1]))

    def depth(self, p: XY) -> float:
        import shapely

        return float(self.ring.distance(shapely.Point(p)))

    def end(self, tip: Point, out: Point, limits: _Limits) -> _End | None:
        """Where the leg from a point inside through `out` ends on the outline, if that is near to `out`."""
        import shapely

        long = distance(tip, out)
        if long < 1.0:
            return None
        way = direction(tip, out)
        short = max(3.0, min(limits.short, 0.1 * long))
        ray = shapely.LineString([tip, along(tip, way, long + short)])
        hits = [Point(float(x), float(y)) for x, y in shapely.get_coordinates(self.ring.intersection(ray))]
        near = self.ring.interpolate(self.ring.project(shapely.Point(out)))
        if distance(out, (near.x, near.y)) <= 0.5:
            hits.append(Point(near.x, near.y))
        far = [(distance(tip, hit) - long, hit) for hit in hits]
        if not far or any(by < -min(limits.over, 0.5 * long) for by, _ in far):
            return None
        at = min(far, key=lambda pair: (abs(pair[0]), pair[1]))[1]
        spot = shapely.Point(at)
        edge = min(range(len(self.edges)), key=lambda i: (float(self.lines[i].distance(spot)), i))
        stops = self.stops[edge]
        along_it = float(self.lines[edge].project(spot)) * stops[-1] / float(self.lines[edge].length)
        i = min(bisect_left(stops, along_it), len(stops) - 1)
        on_it, _ = place_at(self.edges[edge][i : i + 1], along_it - (stops[i - 1] if i else 0.0))
        return _End(edge, along_it, on_it, distance(at, out))


def far_along(run: Path, p: XY) -> float:
    """How far along the run a point lies that is on it, or before its start (0) or behind its end (its length)."""
    points = flatten(run, 0.005)
    best, far, walked = 1e300, 0.0, 0.0
    for a, b in itertools.pairwise(points):
        gap = distance_to_segment(p, a, b)
        long = distance(a, b)
        if gap < best - 1e-9:
            t = ((p[0] - a[0]) * (b[0] - a[0]) + (p[1] - a[1]) * (b[1] - a[1])) / (long * long) if long else 0.0
            best, far = gap, walked + min(1.0, max(0.0, t)) * long
        walked += long
    return far * path_length(run) / walked if walked else 0.0


# ---------------------------------------------------------------- a dart of one stroke, or of two


def _one_stroke(room: _Room, number: int, stroke: Stroke, shape: Sequence[Point]) -> Iterator[FoundDart]:
    """A V, or a triangle, whichever of its corners is the point."""
    limits = _NAMED if stroke.named else _UNNAMED
    if len(shape) == 3 and shape[0] != shape[-1]:
        a, tip, b = shape
        dart = _dart(room, tip, a, b, (number,), named=stroke.named, limits=limits)
        if dart:
            yield dart
    elif len(shape) == 4 and shape[0] == shape[-1]:
        limits = limits._replace(over=_NAMED.over)
        for i in range(3):
            tip, a, b = shape[i], shape[(i + 1) % 3], shape[(i + 2) % 3]
            dart = _dart(room, tip, a, b, (number,), named=stroke.named, limits=limits)
            if dart:
                yield dart


def _best(darts: Iterator[FoundDart]) -> FoundDart | None:
    return min(darts, key=lambda dart: dart.moved, default=None)


class _Leg(NamedTuple):
    """A straight stroke from a point inside to the edge."""

    number: int
    tip: Point
    out: Point
    end: _End
    named: bool


def _two_strokes(
    room: _Room, likely: Sequence[int], strokes: Sequence[Stroke], shapes: Sequence[Sequence[Point]]
) -> list[FoundDart]:
    """Strokes whose ends meet, the nearest first; of three the outer two, where the third is the dart's middle."""
    legs: list[_Leg] = []
    for number in likely:
        stroke, shape = strokes[number], shapes[number]
        if len(shape) != 2 or stroke.closed:
            continue
        limits = _NAMED if stroke.named else _UNNAMED
        for tip, out in (shape, shape[::-1]):
            if distance(tip, out) >= limits.leg and room.holds(tip):
                end = room.end(tip, out, limits)
                if end:
                    legs.append(_Leg(number, tip, out, end, stroke.named))
    found: list[tuple[float, FoundDart]] = []
    for one, other in itertools.combinations(legs, 2):
        gap = distance(one.tip, other.tip)
        if gap > _TIP or one.number == other.number or one.end.edge != other.end.edge:
            continue
        tip = _point_of(one, other)
        others = (
            leg
            for leg in legs
            if distance(leg.tip, tip) <= _TIP + gap and leg.end.edge == one.end.edge and leg not in (one, other)
        )
        meeting_there = list(itertools.islice(others, 2))
        low, high = sorted((one.end.far, other.end.far))
        middle, spare = (low + high) / 2, _BESIDE * (high - low)
        if len(meeting_there) > 1 or any(abs(leg.end.far - middle) > spare for leg in meeting_there):
            continue
        named = one.named and other.named
        limits = _NAMED if named else _UNNAMED
        dart = _dart(room, tip, one.out, other.out, (one.number, other.number), named=named, limits=limits)
        if dart:
            found.append((gap, dart))
    return [dart for _, dart in sorted(found, key=lambda pair: (pair[0], pair[1].strokes))]


def _point_of(one: _Leg, other: _Leg) -> Point:
    """Where two strokes cross near their ends, else half way between the ends."""
    import shapely

    crossed = shapely.LineString([one.tip, one.out]).intersection(shapely.LineString([other.tip, other.out]))
    if crossed.geom_type == "Point":
        at = Point(crossed.x, crossed.y)
        if max(distance(at, one.tip), distance(at, other.tip)) <= _CROSSED:
            return at
    return between(one.tip, other.tip)


def _dart(
    room: _Room, tip: Point, a: Point, b: Point, numbers: tuple[int, ...], *, named: bool, limits: _Limits
) -> FoundDart | None:
    """The dart with its point at `tip` and legs through `a` and `b`, if it is one."""
    if not room.holds(tip) or (not named and room.depth(tip) < _DEEP):
        return None
    first, second = room.end(tip, a, limits), room.end(tip, b, limits)
    if first is None or second is None or first.edge != second.edge:
        return None
    if first.far > second.far:
        first, second = second, first
    legs = sorted((distance(tip, first.at), distance(tip, second.at)))
    mouth = distance(first.at, second.at)
    angle = abs(turn_deg(direction(tip, first.at), direction(tip, second.at)))
    good = (
        legs[0] >= limits.leg
        and limits.mouth[0] <= mouth <= limits.mouth[1]
        and legs[1] <= limits.legs * legs[0]
        and angle <= limits.angle
        and second.far - first.far <= 1.5 * mouth + 1.0
    )
    if not good:
        return None
    moved = max(first.moved, second.moved)
    return FoundDart(first.edge, first.far, second.far, (first.at, tip, second.at), numbers, named, moved)


def _alone(dart: FoundDart, near: _Ends, strokes: Sequence[Stroke], shapes: Sequence[Sequence[Point]]) -> bool:
    """Whether no other line begins at the end of one of its legs, as in the sign for a pleat; named ones are darts."""
    if dart.named:
        return True
    first, tip, second = dart.points
    mine = [p for number in dart.strokes for p in shapes[number] if distance(p, tip) > _TIP + 1.0]
    for number in near.near((*mine, first, second), _SHARED):
        stroke, shape = strokes[number], shapes[number]
        if number in dart.strokes or stroke.closed or len(shape) < 2 or _closes(dart, shape):
            continue
        if all(distance(end, tip) > _TIP for end in (shape[0], shape[-1])):  # else it is the dart's middle
            return False
    return True


def _closes(dart: FoundDart, shape: Sequence[Point]) -> bool:
    if len(shape) != 2:
        return False
    first, _, second = dart.points
    (a, b), near = shape, _MOUTH
    return (distance(a, first) <= near and distance(b, second) <= near) or (
        distance(a, second) <= near and distance(b, first) <= near
    )


def _across(dart: FoundDart, near: _Ends, shapes: Sequence[Sequence[Point]]) -> Iterator[int]:
    """The strokes that close its mouth along the edge."""
    numbers = near.near(dart.points[:1], _MOUTH)
    return (n for n in numbers if n not in dart.strokes and _closes(dart, shapes[n]))


def _overlaps(dart: FoundDart, others: Sequence[FoundDart]) -> bool:
    return any(
        dart.edge == other.edge and dart.start < other.end and other.start < dart.end for other in others
    )  # fmt: skip


# ---------------------------------------------------------------- wedges cut into the outline


def wedges_closed(outline: Outline) -> tuple[Outline, int]:
    """The outline led straight across the mouths of the wedges that are cut into it, each kept inside as a line of the
    layer `dart`; and how many there were. A notch cut out of the edge stays: a dart's legs are 25 mm and more."""
    import shapely

    edges = list(outline.edges)
    solid: Any = None
    wedges: list[DrawnPath] = []
    i = 0
    while len(edges) >= 4 and i < len(edges):
        n = len(edges)
        before, one, other, after = (edges[(i + k) % n] for k in range(4))
        wedge = _wedge(before, one, other, after)
        if wedge is not None and solid is None:
            solid = shapely.Polygon([p for edge in outline.edges for p in flatten(edge, 0.1)[:-1]])
        if wedge is not None and (
            wedge.is_empty or shapely.area(solid.intersection(wedge)) < 0.05 * shapely.area(wedge)
        ):
            legs = (Line(one[0].start, one[-1].end), Line(one[-1].end, other[-1].end))
            name = "dart" + (f" {len(wedges) + 1}" if wedges else "")
            wedges.append(DrawnPath(legs, False, "dart", name, outline.groups))
            merged = (*before, Line(one[0].start, other[-1].end), *after)
            rest = [edges[(i + k) % n] for k in range(4, n)]
            edges = [merged, *rest]
            i = 0
        else:
            i += 1
    if not wedges:
        return outline, 0
    starts = [edge[0].start for edge in edges]
    lowest = min(p.y for p in starts)
    first = min((k for k, p in enumerate(starts) if p.y <= lowest + 0.1), key=lambda k: starts[k])
    turned = (*edges[first:], *edges[:first])
    return replace(outline, edges=turned, paths=(*outline.paths, *wedges)), len(wedges)


def _wedge(before: Path, one: Path, other: Path, after: Path) -> Any:
    """What two edges cut out, if they may be the legs of a dart between the edges before and after; else None."""
    import shapely

    a, tip, b = one[0].start, one[-1].end, other[-1].end
    legs = sorted((distance(a, tip), distance(tip, b)))
    mouth = distance(a, b)
    back = abs(turn_deg(direction(a, tip), direction(tip, b)))
    if not (
        legs[0] >= _UNNAMED.leg
        and _UNNAMED.mouth[0] <= mouth <= _UNNAMED.mouth[1]
        and legs[1] <= _UNNAMED.legs * legs[0]
        and back >= 180.0 - _UNNAMED.angle
        and turn_deg(direction(a, tip), direction(tip, b)) < 0.0
    ):
        return None
    for leg in (one, other):
        if len(corners_of_stroke(leg, closed=False)) != 2:
            return None
    over = direction(a, b)
    if max(abs(turn_deg(before[-1].way(1.0), over)), abs(turn_deg(over, after[0].way(0.0)))) > _GOES_ON:
        return None
    return shapely.Polygon([a, tip, b]).buffer(-0.5)


def wedge_in(corners: Sequence[XY], within: Any) -> bool:
    """Whether a closed run of these points is a triangle that lies over the edge of a polygon: its point well inside,
    its mouth outside or on the edge."""
    import shapely

    ring = corners_of_stroke(
        tuple(Line(Point(*p), Point(*q)) for p, q in itertools.pairwise([*corners, corners[0]]) if p != q), closed=True
    )
    if len(ring) != 4:
        return False
    inside = [bool(shapely.contains_xy(within, x, y)) for x, y in ring[:3]]
    if sum(inside) != 1:
        return False
    tip = inside.index(True)
    point, a, b = ring[tip], ring[(tip + 1) % 3], ring[(tip + 2) % 3]
    border = within.exterior
    depth = float(border.distance(shapely.Point(point)))
    off = max(float(border.distance(shapely.Point(p))) for p in (a, b))
    return depth >= _DEEP and off <= _NAMED.over and hypot(a.x - b.x, a.y - b.y) <= _UNNAMED.mouth[1]
