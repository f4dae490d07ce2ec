"""Waist seams above the waist, and shaped ones, which fall to the centre.

A bodice that ends above the waist is cut across, its waist darts as wide as they are there. The new edge is drawn with
the darts closed: it leaves the centre and each dart leg square, and meets the side square, so that it runs on when all
is sewn. A shaped one stays where it is at the side, and lies lower at the centre front, in a point or in a curve; its
darts are led down to it, no wider than they were, or end sooner. The skirt is drawn so too, as long there as the bodice
is (common practice, no source).
"""

from __future__ import annotations

from itertools import pairwise
from typing import Final

from ...draft.cuts import cut
from ...draft.moves import turn
from ...draft.rulers import SHARE, drawn_curve
from ...draft.sectors import undone
from ...errors import GeometryError
from ...geometry.affine import Move
from ...geometry.curve import Cubic, Curve, Line
from ...geometry.path import Path, moved_path, part, path_length, place_at, reverse, solve
from ...geometry.point import Point, along, between, direction, distance, right_of, turn_deg
from ...model.piece import Dart, Edge, LevelLine, Piece, Take
from ...values import replace

_LEAST: Final = 25.0
"""A dart shorter than this is not sewn, mm (judgement, no source)."""


def raised(half: Piece, by: float) -> Piece:
    """The half cut off `by` mm above its waist, as much at the centre line as along the side seam; its lower edge is
    called `waist` again. A waist dart whose point that line passes, or nearly, is gone."""
    waist, side = half.edge("waist"), half.edge("side")
    opened = [dart for dart in half.darts if dart.name.startswith("waist") and dart.is_open]
    bare = replace(
        half,
        darts=tuple(dart for dart in half.darts if dart not in opened),
        edges=tuple(replace(edge, takes=()) if edge.name == "waist" else edge for edge in half.edges),
    )
    low = min(distance(side.start, p) for p in (waist.start, waist.end)) < 0.01
    at_side = place_at(side.curves, by if low else side.length() - by)[0]
    at_centre = Point(half.points["waist_centre"].x, half.points["waist_centre"].y + by)
    beyond = 20.0 / distance(at_centre, at_side)
    line = between(at_centre, at_side, -beyond), between(at_centre, at_side, 1 + beyond)
    upper, _ = cut(bare, *line, names=(f"{half.name} above", f"{half.name} below"), edge="waist", holding="armhole")
    drawn, darts = _through(upper, upper.edge("waist"), opened)
    return replace(
        upper,
        name=half.name,
        darts=(*upper.darts, *darts),
        edges=tuple(drawn if edge.name == "waist" else edge for edge in upper.edges),
        points={**upper.points, "waist_side": at_side, "waist_centre": drawn.start if low else drawn.end},
        to_cut=half.to_cut,
    )


def _through(piece: Piece, edge: Edge, darts: list[Dart]) -> tuple[Edge, list[Dart]]:
    """The edge drawn through darts that open at it, and the darts, their legs alike."""
    ahead = direction(edge.start, edge.end)
    stops: list[tuple[Point, Point]] = []
    shorter = []
    for dart in sorted(darts, key=lambda dart: abs(dart.points[1].x - edge.start.x)):
        tip = dart.points[1]
        ends = sorted((dart.points[0], dart.points[2]), key=lambda p: (p.x - tip.x) * ahead.x)
        far = _down(tip, between(ends[0], ends[1]), edge)
        if far < _LEAST:
            continue
        legs = [along(tip, direction(tip, p), far) for p in ends]
        stops += [(p, onward(direction(tip, p), ahead)) for p in legs]
        same = legs if ends[0] == dart.points[0] else legs[::-1]
        shorter.append(replace(dart, points=(same[0], tip, same[1]), intake=distance(*legs)))
    at = next(k for k, each in enumerate(piece.edges) if each.name == edge.name)
    before, after = piece.edges[at - 1], piece.edges[(at + 1) % len(piece.edges)]
    first, last = (onward(w, ahead) for w in (before.curves[-1].way(1.0), after.curves[0].way(0.0)))
    places = [(edge.start, first), *stops, (edge.end, last)]
    curves: list[Curve] = []
    takes = []
    for k, ((a, leave), (b, arrive)) in enumerate(pairwise(places)):
        if k % 2:
            start = path_length(curves)
            tip = shorter[k // 2].points[1]
            takes.append(Take(start, start + distance(a, b), tip=tip, pressed="start"))
            curves.append(Line(a, b))
        else:
            curves.append(drawn_curve(a, leave, b, arrive, SHARE))
    return replace(edge, curves=tuple(curves), takes=tuple(takes)), shorter


def _down(tip: Point, foot: Point, edge: Edge) -> float:
    """How far below a dart's point its middle line meets the edge, mm; less than nothing where that is above."""
    way, line = direction(tip, foot), direction(edge.start, edge.end)
    across = way.x * line.y - way.y * line.x
    return ((edge.start.x - tip.x) * line.y - (edge.start.y - tip.y) * line.x) / across


def onward(leg: Point, ahead: Point) -> Point:
    """Square to a way, as the edge runs."""
    square = right_of(leg)
    return square if square.x * ahead.x + square.y * ahead.y > 0 else Point(-square.x, -square.y)


# ---------------------------------------------------------------- shaped

SHAPES: Final = ("level", "point", "curve")


def shaped(half: Piece, name: str, by: float, shape: str) -> Piece:
    """A half whose edge of that name, its waist or what it is joined at, lies `by` mm lower at the centre line: in a
    `point`, or in a `curve` that is square there. Raises GeometryError where too little is left of a dart."""
    edge = half.edge(name)
    outwards = edge.start.x < edge.end.x
    ends = (edge.start, edge.end) if outwards else (edge.end, edge.start)
    low = Point(ends[0].x, ends[0].y - by)
    darts = sorted((d for d in half.darts if d.is_open and _opens_at(d, edge)), key=lambda dart: dart.points[1].x)
    frames, folds = [Move()], []
    for dart in darts:
        inner, outer = sorted((dart.points[0], dart.points[2]), key=lambda p: p.x)
        tip = dart.points[1]
        if tip.y > ends[0].y:
            inner, outer = _led_down(inner, tip, outer, by * max(0.0, 1 - inner.x / ends[1].x))
        shut = turn(tip, turn_deg(direction(tip, outer), direction(tip, inner)))
        folds.append((frames[-1].point(tip), frames[-1].point(inner)))
        frames.append(shut.then(frames[-1]))
    side = frames[-1].point(ends[1])
    line = _falling(half, name, (low, by), side, frames[-1], shape)
    stops = [_meets(line, tip, inner, half.name) for tip, inner in folds]
    runs, legs, at = [], [], 0.0
    for frame, far in zip(frames, [*stops, path_length(line)], strict=True):
        runs.append(moved_path(part(line, at, far), undone(frame)))
        at = far
    curves: list[Curve] = list(runs[0])
    takes: list[Take] = []
    for dart, before, after in zip(darts, runs, runs[1:], strict=False):
        a, b = before[-1].end, after[0].start
        legs.append(replace(dart, points=(a, dart.points[1], b) if dart.points[0].x < dart.points[2].x else
                            (b, dart.points[1], a), intake=distance(a, b)))  # fmt: skip
        start = path_length(curves)
        takes.append(Take(start, start + distance(a, b), tip=dart.points[1], pressed="start" if outwards else "end"))
        curves += [Line(a, b), *after]
    drawn: Path = tuple(curves)
    if not outwards:
        long = path_length(drawn)
        drawn = reverse(drawn)
        takes = [replace(take, start=long - take.end, end=long - take.start) for take in reversed(takes)]
    at_centre = half.beside(name)[0 if outwards else 1]
    made = {name: replace(edge, curves=drawn, takes=tuple(takes), spans=()),
            at_centre: _led_to(half.edge(at_centre), low, at_end=outwards)}  # fmt: skip
    by_name = {dart.name: dart for dart in legs}
    return replace(
        half,
        edges=tuple(made.get(each.name, each) for each in half.edges),
        darts=tuple(by_name.get(dart.name, dart) for dart in half.darts),
        notches=tuple(n for n in half.notches if n.edge != name),
        points={**half.points, "waist_centre": low} if name == "waist" else half.points,
    )


def shaped_to(half: Piece, name: str, by: float, shape: str, long: float) -> Piece:
    """The same, so much lower, near to `by` mm, that the edge is `long` mm as sewn.

    Raises GeometryError where no depth serves.
    """

    def off(deep: float) -> float:
        return shaped(half, name, deep, shape).edge(name).sewn_length() - long

    least, most = 0.1 * by, 2.0 * by
    if off(least) * off(most) > 0:
        raise GeometryError(f"{half.name}: its {name} cannot be made {long:.1f} mm long by shaping it")
    return shaped(half, name, solve(off, least, most, near=1e-6), shape)


def told_from(piece: Piece, by: float) -> Piece:
    """A piece whose levels begin `by` mm below its first one, without a name: above that it does not go all round."""
    first, second, *rest = piece.levels
    share = by / (second.depth - first.depth)
    if not 0 < share < 1 or len(first.points) != len(second.points):
        return piece
    points = tuple(between(a, b, share) for a, b in zip(first.points, second.points, strict=True))
    return replace(piece, levels=(LevelLine("", first.depth + by, points), second, *rest))


def _led_down(a: Point, tip: Point, b: Point, by: float) -> tuple[Point, Point]:
    """The ends of a dart so much further from its point, no further apart."""
    way, half = direction(tip, between(a, b)), distance(a, b) / 2
    foot, across = along(between(a, b), way, by), direction(a, b)
    return along(foot, across, -half), along(foot, across, half)


def _opens_at(dart: Dart, edge: Edge) -> bool:
    starts = [place_at(edge.curves, take.start)[0] for take in edge.takes if take.kind == "dart"]
    return any(distance(start, p) < 0.05 for start in starts for p in dart.points)


def _falling(half: Piece, name: str, fallen: tuple[Point, float], side: Point, frame: Move, shape: str) -> Path:
    """From the centre, fallen by so much, out to the side, square to it, with the darts closed."""
    low, by = fallen
    beyond = half.edge(half.beside(name)[1 if half.edge(name).start.x < half.edge(name).end.x else 0])
    at_start = distance(beyond.start, undone(frame).point(side)) < 0.05
    leg = beyond.curves[0].way(0.0) if at_start else beyond.curves[-1].way(1.0)
    turned = replace(frame, dx=0.0, dy=0.0).point(leg)
    arrive = onward(turned, direction(low, side))
    if shape == "curve":
        return (drawn_curve(low, (1.0, 0.0), side, arrive, SHARE),)
    chord = direction(low, side)
    leave = direction((0.0, 0.0), (side.x - low.x, max(1.3 * (side.y - low.y), 1.1 * by)))
    if arrive.y > chord.y:  # a circle's side: one even bend
        leave = turn((0.0, 0.0), -turn_deg(chord, arrive)).point(chord)
    long = distance(low, side)
    handles = [Point(way.x * long * share, way.y * long * share) for way, share in ((leave, 0.4), (arrive, 0.3))]
    return (Cubic.leaving_and_arriving(low, handles[0], side, handles[1]),)


def _meets(line: Path, tip: Point, inner: Point, piece: str) -> float:
    """How far along the line the leg of a closed dart meets it."""
    way = direction(tip, inner)

    def beside(far: float) -> float:
        p = place_at(line, far)[0]
        return way.x * (p.y - tip.y) - way.y * (p.x - tip.x)

    long = path_length(line)
    far = solve(beside, 0.0, long, near=1e-7) if beside(0.0) * beside(long) < 0 else 0.0
    p = place_at(line, far)[0]
    if not far or (p.x - tip.x) * way.x + (p.y - tip.y) * way.y < _LEAST:
        raise GeometryError(f"{piece}: a dart ends nearer than {_LEAST:g} mm to the shaped edge, or beyond it")
    return far


def _led_to(edge: Edge, end: Point, *, at_end: bool) -> Edge:
    """A straight centre line led on to a point of it."""
    *before, last = edge.curves if at_end else reversed(edge.curves)
    if not isinstance(last, Line):
        raise GeometryError(f"{edge.name} is not straight at the shaped edge")
    curves = (*before, Line(last.start, end)) if at_end else (Line(end, last.end), *reversed(before))
    return replace(edge, curves=tuple(curves))
