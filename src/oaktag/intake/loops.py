"""Outlines that cross themselves: small loops and lines out and back are cut off, large ones are found and told."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot
from typing import Final

from ..geometry.curve import Curve, Line
from ..geometry.path import Path
from ..geometry.point import XY, Point, distance
from ..geometry.polygon import area

FINE: Final = 0.01
"""Chord of curves whose crossings are looked for, mm."""
SMALL: Final = 25.0
"""A loop of less than this is cut off, mm²: a corner whose lines run past each other; common practice, no source."""
SMALL_SHARE: Final = 0.001
"""So is a loop of less than this share of its piece."""
_BACK: Final = 0.02
"""A line runs back on itself if it comes so near to itself, mm."""
_MOST: Final = 500
"""Loops that are cut off one outline."""


@dataclass(frozen=True, slots=True)
class Loop:
    """Where an outline crosses itself, and how large the smaller of the two loops is, mm²."""

    at: XY
    size: float


@dataclass(frozen=True, slots=True)
class Untangled:
    """An outline without loops; what was cut off; a loop too large to be cut off, if there is one."""

    path: Path
    loops: tuple[Loop, ...] = ()
    spurs: tuple[Line, ...] = ()  # lines out and back, from the outline to their tip
    large: Loop | None = None


def untangled(path: Path) -> Untangled:
    """A closed outline made simple. A loop of less than `SMALL` mm² or `SMALL_SHARE` of the piece is cut off.

    Where it crosses itself it is parted into two loops, and the smaller goes; the smallest of all is looked at first.
    """
    path, spurs = _without_spurs(path)
    loops: list[Loop] = []
    for _ in range(_MOST):
        if len(path) < 2:
            break
        points, origin = flat_ring(path)
        found = crossings(points)
        if not found:
            break
        most = abs(area(points))
        sizes = _loop_sizes(points, found)
        best = min(range(len(found)), key=lambda i: (sizes[i], found[i].at))
        crossing, size = found[best], sizes[best]
        if size >= max(SMALL, SMALL_SHARE * most):
            return Untangled(path, tuple(loops), tuple(spurs), Loop(crossing.at, size))
        loops.append(Loop(crossing.at, size))
        path = _cut(path, points, origin, crossing)
        path, more = _without_spurs(path)
        spurs += more
    return Untangled(path, tuple(loops), tuple(spurs))


def flat_ring(path: Sequence[Curve], chord: float = FINE) -> tuple[list[XY], list[tuple[int, float, float]]]:
    """The points of a closed outline, none repeated; and of the run after each the curve and the stretch of it."""
    points: list[XY] = []
    origin: list[tuple[int, float, float]] = []
    for i, curve in enumerate(path):
        if isinstance(curve, Line):
            if curve.a != curve.b:
                points.append(curve.a)
                origin.append((i, 0.0, 1.0))
            continue
        line = [curve.start, *curve.flat(chord)]
        n = len(line) - 1
        for k in range(n):
            if line[k] != line[k + 1]:
                points.append(line[k])
                origin.append((i, k / n, (k + 1) / n))
    return points, origin


@dataclass(frozen=True, slots=True)
class Crossing:
    """Where the run after point `i` meets the run after point `k` of a ring, and how far along each, 0 to 1."""

    i: int
    of_i: float
    k: int
    of_k: float
    at: XY


def crossings(ring: Sequence[XY]) -> list[Crossing]:
    """All places at which a ring meets itself, other than in the points that neighbours share.

    Pairs whose boxes touch are found by a tree of boxes; the arithmetic is done here.
    """
    import numpy as np
    import shapely

    if len(ring) < 4:
        return []
    p = np.array(ring, dtype=float)
    if shapely.is_simple(shapely.linearrings(p)):
        return []
    q = np.roll(p, -1, axis=0)
    n = len(p)
    boxes = shapely.box(*np.minimum(p, q).T, *np.maximum(p, q).T)
    first, second = shapely.STRtree(boxes).query(boxes)
    keep = (second > first + 1) & ~((first == 0) & (second == n - 1))
    first, second = first[keep], second[keep]
    found: list[Crossing] = []
    for i, k in sorted(zip(first.tolist(), second.tolist(), strict=True)):
        met = _meet(ring[i], ring[(i + 1) % n], ring[k], ring[(k + 1) % n])
        if met is None:
            continue
        of_i, of_k, at = met
        # a meeting in a shared point is told by the run that begins there
        if (of_i >= 1.0 and (i + 1) % n != k) or (of_k >= 1.0 and (k + 1) % n != i):
            continue
        if (i + 1 == k and of_i >= 1.0) or ((k + 1) % n == i and of_k >= 1.0):
            continue
        found.append(Crossing(i, of_i, k, of_k, at))
    return found


def _meet(a: XY, b: XY, c: XY, d: XY) -> tuple[float, float, XY] | None:
    """Where two straight runs meet, ends included: how far along each, and the place."""
    abx, aby, cdx, cdy = b[0] - a[0], b[1] - a[1], d[0] - c[0], d[1] - c[1]
    cross = abx * cdy - aby * cdx
    acx, acy = c[0] - a[0], c[1] - a[1]
    long_ab, long_cd = hypot(abx, aby), hypot(cdx, cdy)
    if abs(cross) <= 1e-12 * long_ab * long_cd:
        if abs(abx * acy - aby * acx) > 1e-9 * long_ab:
            return None
        for p, of_cd in ((c, 0.0), (d, 1.0)):  # they lie in one line: the first end of the one on the other
            of_ab = ((p[0] - a[0]) * abx + (p[1] - a[1]) * aby) / (long_ab * long_ab)
            if 0.0 <= of_ab <= 1.0:
                return of_ab, of_cd, p
        of_cd = -(acx * cdx + acy * cdy) / (long_cd * long_cd)
        return (0.0, of_cd, a) if 0.0 <= of_cd <= 1.0 else None
    of_ab, of_cd = (acx * cdy - acy * cdx) / cross, (acx * aby - acy * abx) / cross
    near_ab, near_cd = 1e-9 / long_ab, 1e-9 / long_cd
    if not (-near_ab <= of_ab <= 1 + near_ab and -near_cd <= of_cd <= 1 + near_cd):
        return None
    of_ab = 0.0 if of_ab <= near_ab else 1.0 if of_ab >= 1 - near_ab else of_ab
    of_cd = 0.0 if of_cd <= near_cd else 1.0 if of_cd >= 1 - near_cd else of_cd
    return of_ab, of_cd, (a[0] + abx * of_ab, a[1] + aby * of_ab)


def _loop_sizes(ring: Sequence[XY], found: Sequence[Crossing]) -> list[float]:
    """The area of the smaller loop at each crossing, mm²; the areas from the first point on are summed once."""
    sums = [0.0]
    x0, y0 = ring[0]  # areas about this point, so that far-off outlines lose no digits
    for (ax, ay), (bx, by) in itertools.pairwise([*ring, ring[0]]):
        sums.append(sums[-1] + ((ax - x0) * (by - y0) - (bx - x0) * (ay - y0)) / 2)
    sizes: list[float] = []
    for c in found:
        x, y = c.at
        part = sums[c.k] - sums[c.i + 1]
        corner = [(x, y), ring[(c.i + 1) % len(ring)]]
        for (ax, ay), (bx, by) in ((corner[0], corner[1]), (ring[c.k], corner[0])):
            part += ((ax - x0) * (by - y0) - (bx - x0) * (ay - y0)) / 2
        sizes.append(min(abs(part), abs(sums[-1] - part)))
    return sizes


def _cut(path: Path, points: Sequence[XY], origin: Sequence[tuple[int, float, float]], c: Crossing) -> Path:
    """The outline without the smaller of the two loops at a crossing."""
    (i, low, high), (k, low_k, high_k) = origin[c.i], origin[c.k]
    first, second = low + (high - low) * c.of_i, low_k + (high_k - low_k) * c.of_k
    inner = _between(path, (i, first), (k, second))
    outer = _between(path, (k, second), (i, first))
    kept = max((outer, inner), key=lambda loop: abs(area(flat_ring(loop)[0])) if len(loop) > 1 else 0.0)
    if not kept:
        return path
    # both ends lie where the lines cross, to the last digit
    kept = [*kept[:-1], kept[-1].with_controls((*kept[-1].controls()[:-1], Point(*c.at)))]
    kept[0] = kept[0].with_controls((Point(*c.at), *kept[0].controls()[1:]))
    return tuple(kept)


def _between(path: Path, start: tuple[int, float], end: tuple[int, float]) -> list[Curve]:
    """The run of a closed outline from one curve's parameter to another's, over its beginning if need be."""
    (i, s), (k, e) = start, end
    if i == k and s < e:
        part: Curve = path[i]
        if e < 1.0:
            part = part.split(e)[0]
        return [part.split(s / e)[1] if s > 0.0 else part]
    kept: list[Curve] = []
    if s < 1.0:
        kept.append(path[i].split(s)[1] if s > 0.0 else path[i])
    at = (i + 1) % len(path)
    while at != k:
        kept.append(path[at])
        at = (at + 1) % len(path)
    if e > 0.0:
        kept.append(path[k].split(e)[0] if e < 1.0 else path[k])
    return kept


def _without_spurs(path: Path) -> tuple[Path, list[Line]]:
    """The outline without straight runs out and back on themselves, and these runs, each from its foot to its tip."""
    found: list[Line] = []
    while len(path) > 1:
        path, more = _without_spurs_once(path)
        if not more:
            break
        found += more
    return path, [spur for spur in found if distance(spur.a, spur.b) > _BACK]


def _without_spurs_once(path: Path) -> tuple[Path, list[Line]]:
    spurs: list[Line] = []
    kept: list[Curve] = []

    def is_spur(a: Curve, b: Curve) -> bool:
        if not (isinstance(a, Line) and isinstance(b, Line)):
            return False
        ax, ay, bx, by = a.a[0] - a.b[0], a.a[1] - a.b[1], b.b[0] - b.a[0], b.b[1] - b.a[1]
        if ax * bx + ay * by <= 0.0:
            return False
        longer = max(hypot(ax, ay), hypot(bx, by))
        shorter = min(hypot(ax, ay), hypot(bx, by))
        return abs(ax * by - ay * bx) <= min(_BACK, 0.05 * shorter) * longer

    def fold(a: Line, b: Line) -> list[Curve]:
        foot = a.a if distance(a.a, a.b) < distance(b.b, b.a) else b.b
        spurs.append(Line(foot, a.b))
        return [Line(a.a, b.b)] if distance(a.a, b.b) > _BACK else []

    def take(curve: Curve) -> None:
        if kept and kept[-1].end != curve.start:
            curve = curve.with_controls((kept[-1].end, *curve.controls()[1:]))
        while kept and isinstance(curve, Line) and isinstance(kept[-1], Line) and is_spur(kept[-1], curve):
            left = fold(kept.pop(), curve)  # type: ignore[arg-type]
            if not left:
                return
            curve = left[0]
        kept.append(curve)

    for curve in path:
        take(curve)
    while len(kept) > 2 and is_spur(kept[-1], kept[0]):
        last, first = kept.pop(), kept.pop(0)
        kept += fold(last, first)  # type: ignore[arg-type]
    if kept and kept[-1].end != kept[0].start:
        kept[-1] = kept[-1].with_controls((*kept[-1].controls()[:-1], kept[0].start))
    return tuple(kept), spurs
