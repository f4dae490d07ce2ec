"""Points and directions in the plane: mm, x to the right, y up."""

from __future__ import annotations

from collections.abc import Sequence
from math import atan2, degrees, hypot
from typing import NamedTuple, TypeAlias

XY: TypeAlias = tuple[float, float]
Polyline: TypeAlias = Sequence[XY]
Ring: TypeAlias = Sequence[XY]
"""A closed line; the first point is not repeated."""


class Point(NamedTuple):
    """A named place of a draft, mm."""

    x: float
    y: float


def distance(a: XY, b: XY) -> float:
    """From a to b in mm."""
    return hypot(b[0] - a[0], b[1] - a[1])


def between(a: XY, b: XY, part: float = 0.5) -> Point:
    """The point `part` of the way from a to b."""
    return Point(a[0] + (b[0] - a[0]) * part, a[1] + (b[1] - a[1]) * part)


def direction(a: XY, b: XY) -> Point:
    """Unit vector from a to b; (0, 0) where they coincide."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    size = hypot(dx, dy)
    return Point(dx / size, dy / size) if size else Point(0.0, 0.0)


def along(start: XY, way: XY, by: float) -> Point:
    """`by` mm from start in the direction `way`."""
    return Point(start[0] + way[0] * by, start[1] + way[1] * by)


def left_of(way: XY) -> Point:
    """The direction a quarter turn to the left (counter-clockwise)."""
    return Point(-way[1], way[0])


def right_of(way: XY) -> Point:
    """The direction a quarter turn to the right; outwards, on a counter-clockwise outline."""
    return Point(way[1], -way[0])


def turn_deg(before: XY, after: XY) -> float:
    """Signed turn from one direction to the next, degrees, left positive."""
    return degrees(atan2(before[0] * after[1] - before[1] * after[0], before[0] * after[0] + before[1] * after[1]))


def meeting(p: XY, way: XY, q: XY, other: XY) -> Point | None:
    """Where the line through p along `way` meets the line through q along `other`; None if parallel."""
    cross = way[0] * other[1] - way[1] * other[0]
    if abs(cross) < 1e-9:
        return None
    t = ((q[0] - p[0]) * other[1] - (q[1] - p[1]) * other[0]) / cross
    return Point(p[0] + way[0] * t, p[1] + way[1] * t)


def mirrored(p: XY, a: XY, way: XY) -> Point:
    """p mirrored about the line through a along the unit vector `way`."""
    dx, dy = p[0] - a[0], p[1] - a[1]
    dot = 2 * (dx * way[0] + dy * way[1])
    return Point(a[0] + dot * way[0] - dx, a[1] + dot * way[1] - dy)
