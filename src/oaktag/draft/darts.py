"""Darts that open at an edge: the cap of the edge over the dart, and edges trued with the dart closed."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import accumulate
from math import cos, radians, sin, sqrt
from typing import Final

from ..errors import GeometryError
from ..geometry.curve import Cubic, Curve, Line
from ..geometry.path import Path, mirror, path_length, pinned, reverse, solve, until_line
from ..geometry.point import XY, Point, between, direction, distance, turn_deg
from ..model.piece import Dart, Edge, EdgeKind, Take

_SHARPEST_CAP_DEG: Final = 140.0
"""The edge over an open dart turns by no more than this at the fold: a sharper point cannot be cut (judgement, no
source)."""
_FURTHEST_OUT: Final = 2.5
"""So many times its length may a handle be drawn out, to keep a bent edge as long as it was (judgement, no source)."""


def dart_cap(before: Path, tip: Point, after: Path, *, pressed_to_start: bool) -> Path:
    """The edge over an open dart, from the end of `before` to the start of `after`.

    Fold the dart as it will be pressed, cut straight across, unfold: the edge between the leg ends is the mirror
    image, in the leg, of the edge that the underlay lies against, up to the fold; then mirrored in the fold. So, when
    the dart is closed, the underlay ends with the edge. `pressed_to_start`: the underlay lies against `before`. Legs
    that are trued are equal but for some hundredths of a mm: the cap is laid on the ends of both.
    Common practice; the geometry is derived.
    """
    first, last = before[-1].end, after[0].start
    fold = direction(tip, between(first, last))
    if pressed_to_start:
        half = until_line(mirror(reverse(before), tip, direction(tip, first)), tip, fold)
        cap = (*half, *reverse(mirror(half, tip, fold)))
    else:
        half = until_line(mirror(after, tip, direction(tip, last)), tip, fold)
        cap = (*mirror(half, tip, fold), *reverse(half))
    return pinned(cap, first, last)


def trued_beside_dart(before: Path, tip: Point, after: Path, *, as_long: bool = True) -> tuple[Path, Path]:
    """The two runs beside an open dart, bent at the legs so that the edge runs smoothly when the dart is closed.

    Each takes half of the corner that the closed dart would leave; the leg ends stay where they are. `as_long`: the
    runs keep their lengths, with a bend that may lie close to the leg; else they are bent evenly.
    """
    closing = radians(turn_deg(direction(tip, before[-1].end), direction(tip, after[0].start)))
    kink = radians(turn_deg(_turned(before[-1].way(1.0), closing), after[0].way(0.0)))
    return (*before[:-1], bent(before[-1], kink / 2, at_end=True, as_long=as_long)), (
        bent(after[0], -kink / 2, at_end=False, as_long=as_long),
        *after[1:],
    )


def bent(curve: Curve, by: float, *, at_end: bool, as_long: bool) -> Curve:
    """The curve with its direction at one end turned by an angle, radians, and its length kept as near as it can be, if
    `as_long`.

    The handle of the turned end is drawn in until the curve is as long as it was, so that the seam still walks; where
    turning has straightened the curve too much for that (a very hollow side), it or the other handle is drawn out.
    """
    if isinstance(curve, Line):
        third = Point((curve.b.x - curve.a.x) / 3, (curve.b.y - curve.a.y) / 3)
        curve = Cubic.leaving_and_arriving(curve.a, third, curve.b, third)
    a, b, c, d = curve.controls()
    far = _turned((d.x - c.x, d.y - c.y), by) if at_end else _turned((b.x - a.x, b.y - a.y), by)

    near = Point(b.x - a.x, b.y - a.y) if at_end else Point(d.x - c.x, d.y - c.y)

    def drawn(part: float, other: float = 1.0) -> Cubic:
        (leave, by_a), (arrive, by_d) = ((near, other), (far, part)) if at_end else ((far, part), (near, other))
        return Cubic.leaving_and_arriving(a, (leave.x * by_a, leave.y * by_a), d, (arrive.x * by_d, arrive.y * by_d))

    if not as_long:
        return drawn(1.0)
    long = curve.length()
    tries: tuple[tuple[Callable[[float], Cubic], float, float], ...] = (
        (drawn, 0.1, 1.0),
        (drawn, 1.0, _FURTHEST_OUT),
        (lambda other: drawn(1.0, other), 1.0, _FURTHEST_OUT),
    )
    for draw, low, high in tries:
        if (draw(low).length() - long) * (draw(high).length() - long) <= 0:
            return draw(solve(lambda part: draw(part).length() - long, low, high, near=1e-4))  # noqa: B023 - used at once
    return min((drawn(0.1), drawn(1.0)), key=lambda found: abs(found.length() - long))


def _turned(way: tuple[float, float], by: float) -> Point:
    return Point(way[0] * cos(by) - way[1] * sin(by), way[0] * sin(by) + way[1] * cos(by))


def trued_waist(
    centre: Point, side: Point, side_slope: float, darts: Sequence[tuple[float, Point]]
) -> tuple[Path, ...]:
    """The waist edge of a bodice or skirt with its darts (intake, point), outwards: from the centre to the first dart,
    from dart to dart, from the last dart to the side.

    Square to the centre line, to all dart legs and to the side seam (dx/dy = `side_slope`), so that it runs smoothly
    with the darts closed. The runs are exactly as long as the straight waist between the darts, so that bodice and
    skirt, and the waist girth, agree, and both legs of a dart are alike. Towards a dart it leaves the level line away
    from the tip.
    Raises GeometryError where there is no room for the darts.
    """
    ends = [centre.x, *(x for intake, tip in darts for x in (tip.x - intake / 2, tip.x + intake / 2)), side.x]
    spans = [b - a for a, b in zip(ends[::2], ends[1::2], strict=True)]
    if min(spans) < 10:
        raise GeometryError("the darts leave no waist beside them")
    up = 1.0 if darts[0][1].y < centre.y else -1.0

    def run(a: Point, way_a: XY, b: Point, way_b: XY) -> Path:
        reach = (b.x - a.x) / 3
        leave, arrive = direction((0.0, 0.0), way_a), direction((0.0, 0.0), way_b)
        return (
            Cubic.leaving_and_arriving(a, (reach * leave.x, reach * leave.y), b, (reach * arrive.x, reach * arrive.y)),
        )

    halves = [intake / 2 for intake, _ in darts]
    drops = [0.0] * len(darts)
    runs: list[Path] = []
    for _ in range(4):  # the runs are bent, so their ends lie a little further apart than the dart is wide
        reaches = [abs(tip.y - centre.y) + down for (_, tip), down in zip(darts, drops, strict=True)]
        slopes = [half / reach for half, reach in zip(halves, reaches, strict=True)]
        steps = [
            long * (slope - before) / 2
            for long, slope, before in zip(spans, slopes, [0.0, *slopes], strict=False)
        ]  # fmt: skip
        drops = list(accumulate(steps))
        runs, halves = [], []
        start, way = centre, (1.0, 0.0)
        for (intake, tip), slope, down, long in zip(darts, slopes, drops, spans, strict=False):
            arrive, y = (1.0, slope * up), centre.y + down * up

            def inner(x: float, at: Point = start, way: XY = way, arrive: XY = arrive, y: float = y) -> Path:
                return run(at, way, Point(x, y), arrive)

            x = solve(lambda x: path_length(inner(x)) - long, start.x + 5, tip.x + intake / 2, near=1e-6)  # noqa: B023
            runs.append(inner(x))
            halves.append(tip.x - x)
            start, way = Point(2 * tip.x - x, y), (1.0, -slope * up)
    intake, tip = darts[-1]
    leg = distance(start, tip)

    def outer(x: float) -> Path:
        """From the end of a leg as long as the one beside it, and square to it."""
        high = sqrt(leg**2 - (x - tip.x) ** 2)
        return run(Point(x, tip.y + high * up), (high, (tip.x - x) * up), side, (1.0, -side_slope))

    furthest = min(tip.x + min(intake, 0.99 * leg), side.x - 5)
    x = solve(lambda x: spans[-1] - path_length(outer(x)), tip.x, furthest, near=1e-6)
    return (*runs, outer(x))


def waist_over_darts(
    name: str, darts: tuple[Dart, ...], waist: Point, side: Point, slope: float, *, upwards: bool
) -> tuple[Edge, tuple[Dart, ...]]:
    """An edge from the centre line to the side over double-ended darts that it cuts, as `trued_waist` has it: over
    their upper parts, left to right, or `upwards` over their lower ones, right to left; pressed towards the centre.

    Raises GeometryError where a dart is too wide for its length.
    """
    if not darts:
        edge = Edge.straight(name, waist, side)
        return (Edge(name, EdgeKind.SEAM, reverse(edge.curves)) if upwards else edge), ()
    sewn = [(dart, dart.points[2 if upwards else 0]) for dart in darts]
    runs = trued_waist(waist, side, slope, [(dart.intake, tip) for dart, tip in sewn])
    if upwards:
        runs, sewn = tuple(reverse(run) for run in runs[::-1]), sewn[::-1]
    path, takes, opened = runs[0], [], []
    for (dart, tip), after in zip(sewn, runs[1:], strict=True):
        cap = dart_cap(path, tip, after, pressed_to_start=not upwards)
        fold, start = len(cap) // 2, path_length(path)
        if abs(turn_deg(cap[fold - 1].way(1.0), cap[fold].way(0.0))) > _SHARPEST_CAP_DEG:
            raise GeometryError("no edge runs smoothly over a dart as wide as that")
        takes.append(Take(start, start + path_length(cap), "dart", tip, "end" if upwards else "start"))
        opened.append(Dart(dart.name, (path[-1].end, tip, after[0].start), dart.intake))
        path = (*path, *cap, *after)
    return Edge(name, EdgeKind.SEAM, path, tuple(takes)), tuple(opened[::-1] if upwards else opened)
