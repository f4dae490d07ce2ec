"""Closed outlines of straight runs: area, bounds, inside, crossings with a level."""

from __future__ import annotations

import itertools
from collections.abc import Iterable
from math import hypot, inf

from ..values import dataclass
from .point import XY, Polyline, Ring


@dataclass(frozen=True, slots=True)
class Box:
    """Bounds, mm."""

    left: float
    bottom: float
    right: float
    top: float

    @property
    def width(self) -> float:
        return self.right - self.left

    @property
    def height(self) -> float:
        return self.top - self.bottom

    def overlaps(self, other: Box) -> bool:
        """Whether they have more than a border in common."""
        return (
            self.left < other.right and self.right > other.left and self.bottom < other.top and self.top > other.bottom
        )

    @classmethod
    def round(cls, points: Iterable[XY]) -> Box:
        """The smallest box round the points; there must be one at least."""
        xs, ys = zip(*points, strict=True)
        return cls(min(xs), min(ys), max(xs), max(ys))


def area(ring: Ring) -> float:
    """Signed area, mm²; positive for a counter-clockwise ring."""
    total = 0.0
    x0, y0 = ring[-1]
    for x1, y1 in ring:
        total += x0 * y1 - x1 * y0
        x0, y0 = x1, y1
    return total / 2


def contains(ring: Ring, p: XY) -> bool:
    """Whether p lies inside (even-odd rule)."""
    x, y = p
    inside = False
    x0, y0 = ring[-1]
    for x1, y1 in ring:
        if (y0 > y) != (y1 > y) and x < (x1 - x0) * (y - y0) / (y1 - y0) + x0:
            inside = not inside
        x0, y0 = x1, y1
    return inside


def crossings(ring: Ring, y: float) -> list[float]:
    """The x at which a ring crosses the level y, ascending; in pairs, inside between each."""
    found: list[float] = []
    x0, y0 = ring[-1]
    for x1, y1 in ring:
        if (y0 > y) != (y1 > y):
            found.append((x1 - x0) * (y - y0) / (y1 - y0) + x0)
        x0, y0 = x1, y1
    return sorted(found)


def distance_to_segment(p: XY, a: XY, b: XY) -> float:
    """From p to the nearest point of the straight run a to b, mm."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    size = dx * dx + dy * dy
    t = ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / size if size else 0.0
    t = 0.0 if t < 0.0 else 1.0 if t > 1.0 else t
    return hypot(p[0] - a[0] - t * dx, p[1] - a[1] - t * dy)


def distance_to_line(p: XY, line: Polyline) -> float:
    """From p to the nearest point of an open line, mm."""
    return min([distance_to_segment(p, a, b) for a, b in itertools.pairwise(line)])


def touches(ring: Ring, p: XY, within: float) -> bool:
    """Whether a closed line comes nearer to p than `within` mm."""
    px, py = p
    left, right, low, high = px - within, px + within, py - within, py + within
    a = ring[-1]
    for b in ring:
        (ax, ay), (bx, by) = a, b
        if (
            (ax > left or bx > left)
            and (ax < right or bx < right)
            and (ay > low or by > low)
            and (ay < high or by < high)
            and distance_to_segment(p, a, b) < within
        ):
            return True
        a = b
    return False


def nearest_on(ring: Ring, p: XY) -> tuple[XY, float]:
    """The point of a closed line nearest to p, and how far it is, mm."""
    px, py = p
    best, on = 1e300, p
    ax, ay = ring[-1]
    for bx, by in ring:
        dx, dy = bx - ax, by - ay
        size = dx * dx + dy * dy
        t = ((px - ax) * dx + (py - ay) * dy) / size if size else 0.0
        t = 0.0 if t < 0.0 else 1.0 if t > 1.0 else t
        x, y = ax + t * dx, ay + t * dy
        gap = (px - x) * (px - x) + (py - y) * (py - y)
        if gap < best:
            best, on = gap, (x, y)
        ax, ay = bx, by
    return on, best**0.5


def ray_out(ring: Ring, start: XY, way: XY) -> float:
    """How far from start along the unit vector `way` the ring is first met, mm; infinite if never."""
    nearest = inf
    x0, y0 = ring[-1]
    for x1, y1 in ring:
        ex, ey = x1 - x0, y1 - y0
        cross = way[0] * ey - way[1] * ex
        if abs(cross) > 1e-12:
            dx, dy = x0 - start[0], y0 - start[1]
            far = (dx * ey - dy * ex) / cross
            part = (dx * way[1] - dy * way[0]) / cross
            if -1e-9 <= part <= 1 + 1e-9 and -1e-6 < far < nearest:
                nearest = far
        x0, y0 = x1, y1
    return nearest


def simplified(ring: Ring, within: float) -> list[XY]:
    """As few of its points as keep every other one within that distance of the line (Douglas and Peucker, 1973)."""
    if len(ring) < 4:
        return list(ring)
    x0, y0 = ring[0]
    far = max(range(len(ring)), key=lambda i: (ring[i][0] - x0) ** 2 + (ring[i][1] - y0) ** 2)
    line = [*ring, ring[0]]
    kept = {0, far}
    runs = [(0, far), (far, len(ring))]
    while runs:
        first, last = runs.pop()
        (ax, ay), (bx, by) = line[first], line[last]
        ux, uy = bx - ax, by - ay
        square = ux * ux + uy * uy or 1.0
        worst, at = within * within, 0
        for i in range(first + 1, last):
            px, py = line[i]
            px -= ax
            py -= ay
            part = (px * ux + py * uy) / square
            part = 0.0 if part < 0.0 else 1.0 if part > 1.0 else part
            across, along = px - part * ux, py - part * uy
            off = across * across + along * along
            if off > worst:
                worst, at = off, i
        if at:
            kept.add(at)
            runs += [(first, at), (at, last)]
    return [ring[i] for i in sorted(kept)]


def ring_below(ring: Ring, y: float) -> tuple[XY, ...]:
    """What of a closed ring lies at or below a level, mm: closed along it."""
    found: list[XY] = []
    for (ax, ay), (bx, by) in itertools.pairwise((*ring, ring[0])):
        if ay <= y:
            found.append((ax, ay))
        if (ay <= y) != (by <= y):
            found.append((ax + (bx - ax) * (y - ay) / (by - ay), y))
    return tuple(found)
