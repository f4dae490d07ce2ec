"""Outlines that cross themselves: small loops and lines out and back are cut off, large ones are found and told."""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot
from typing import TYPE_CHECKING, Final, NamedTuple

from ..geometry.curve import Curve, Line
from ..geometry.path import Path
from ..geometry.point import XY, Point, distance
from ..geometry.polygon import area
from ..values import dataclass
from .limits import CHORD, CROSSING, LOOP, PAIR, Budget

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Numbers = NDArray[np.float64]
    Indices = NDArray[np.intp]

FINE: Final = 0.01
"""Chord of curves whose crossings are looked for, mm."""
SMALL: Final = 25.0
"""A loop of less than this is cut off, mm²: a corner whose lines run past each other; common practice, no source."""
SMALL_SHARE: Final = 0.001
"""So is a loop of less than this share of its piece."""
_BACK: Final = 0.02
"""A line runs back on itself if it comes so near to itself, mm."""
_ROUNDS: Final = 50
"""How often an outline is looked through anew after loops were cut off."""
_AT_ONCE, _SOME = 4_000_000, 100_000
"""Pairs of runs that may be held at once, and those that are worked through together."""
_LONG: Final = 5_000
"""Points from which on an outline is not handed to a library that says simple or not, and counts no work."""


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


def untangled(path: Path, budget: Budget | None = None) -> Untangled:
    """A closed outline made simple. A loop of less than `SMALL` mm² or `SMALL_SHARE` of the piece is cut off.

    Where it crosses itself it is parted into two loops, and the smaller goes; the smallest of all is looked at first.
    Raises InputError if there is more of it than the budget allows.
    """
    budget = budget or Budget("")
    path, spurs = _without_spurs(path)
    loops: list[Loop] = []
    large: Loop | None = None
    for turn in range(_ROUNDS):
        if len(path) < 2:
            break
        points, origin = flat_ring(path, budget=budget)
        met = meetings(points, budget)
        if not met.many:
            break
        cuts, large = _cuts(points, met, budget)
        loops += [Loop(cut.at, cut.size) for cut in cuts]
        if large or turn == _ROUNDS - 1:
            large = large or Loop(cuts[0].at, cuts[0].size)
            break
        path, more = _without_spurs(_cut(path, origin, cuts))
        spurs += more
    return Untangled(path, tuple(loops), tuple(spurs), large)


def flat_ring(
    path: Sequence[Curve], chord: float = FINE, *, budget: Budget | None = None
) -> tuple[list[XY], list[tuple[int, float, float]]]:
    """The points of a closed outline, none repeated; and of the run after each the curve and the stretch of it."""
    if budget is not None:
        budget.spend(CHORD, sum(curve.chords(chord) for curve in path))
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


class Meetings(NamedTuple):
    """Where a ring meets itself: the places along it at which it passes, in numbers of points, the first before the
    second; the signed area of the loop between them, mm²; and the place."""

    many: int
    first: Numbers
    second: Numbers
    area: Numbers
    at: Numbers


class _Cut(NamedTuple):
    """A loop to be cut off: from one place along a ring on to another, over its beginning if that is less."""

    start: float
    end: float
    at: XY
    size: float


def meetings(ring: Sequence[XY], budget: Budget) -> Meetings:
    """All places at which a ring meets itself, other than in the points that neighbours share.

    Pairs whose boxes touch are found by a tree of boxes, some at a time; each counts as work.
    """
    import numpy as np
    import shapely

    p = np.array(ring, dtype=float).reshape(-1, 2)
    n = len(p)
    found: list[tuple[Numbers, ...]] = []
    if n >= 4 and (n > _LONG or not shapely.is_simple(shapely.linearrings(p))):
        q = np.roll(p, -1, axis=0)
        boxes = shapely.box(*np.minimum(p, q).T, *np.maximum(p, q).T)
        tree = shapely.STRtree(boxes)
        step = max(1, _AT_ONCE // n)
        for start in range(0, n, step):
            first, second = tree.query(boxes[start : start + step])
            first += start
            keep = (second > first + 1) & ((first > 0) | (second < n - 1))
            first, second = first[keep], second[keep]
            budget.spend(PAIR, len(first))
            for some in range(0, len(first), _SOME):
                found.append(_met(p, q, first[some : some + _SOME], second[some : some + _SOME]))
                budget.spend(CROSSING, len(found[-1][0]))
    i, of_i, k, of_k, x, y = (
        (np.concatenate(column) for column in zip(*found, strict=True)) if found else (p[:0, 0],) * 6
    )
    if not len(x):
        return Meetings(0, x, x, x, p[:0])
    first, second = i.astype(int), k.astype(int)
    # areas about the first point, so that far-off outlines lose no digits
    around = p - p[0]
    after = np.roll(around, -1, axis=0)
    sums = np.concatenate(((0.0,), np.cumsum(around[:, 0] * after[:, 1] - after[:, 0] * around[:, 1]) / 2))
    at = np.column_stack((x, y))
    own, leaving, coming = at - p[0], after[first], around[second]
    area = sums[second] - sums[first + 1]
    area += (own[:, 0] * leaving[:, 1] - leaving[:, 0] * own[:, 1]) / 2
    area += (coming[:, 0] * own[:, 1] - own[:, 0] * coming[:, 1]) / 2
    return Meetings(len(x), i + of_i, k + of_k, area, at)


def _met(p: Numbers, q: Numbers, first: Indices, second: Indices) -> tuple[Numbers, ...]:
    """Where straight runs meet, ends included, pair by pair: the runs, how far along each, 0 to less than 1, the place.

    What meets at the end of a run is told by the run that begins there.
    """
    import numpy as np

    a, c = p[first], p[second]
    ab, cd, ac = q[first] - a, q[second] - c, c - a
    cross = ab[:, 0] * cd[:, 1] - ab[:, 1] * cd[:, 0]
    long_ab, long_cd = np.hypot(ab[:, 0], ab[:, 1]), np.hypot(cd[:, 0], cd[:, 1])
    level = np.abs(cross) <= 1e-12 * long_ab * long_cd
    whole = np.where(level, 1.0, cross)
    of_ab = (ac[:, 0] * cd[:, 1] - ac[:, 1] * cd[:, 0]) / whole
    of_cd = (ac[:, 0] * ab[:, 1] - ac[:, 1] * ab[:, 0]) / whole
    near_ab, near_cd = 1e-9 / long_ab, 1e-9 / long_cd
    meets = ~level & (of_ab >= -near_ab) & (of_ab <= 1 + near_ab) & (of_cd >= -near_cd) & (of_cd <= 1 + near_cd)
    of_ab = np.where(of_ab <= near_ab, 0.0, np.where(of_ab >= 1 - near_ab, 1.0, of_ab))
    of_cd = np.where(of_cd <= near_cd, 0.0, np.where(of_cd >= 1 - near_cd, 1.0, of_cd))
    if level.any():  # those in one line: the first end of the one on the other
        one_line = level & (np.abs(ab[:, 0] * ac[:, 1] - ab[:, 1] * ac[:, 0]) <= 1e-9 * long_ab)
        start = (ac * ab).sum(axis=1) / (long_ab * long_ab)
        end = ((ac + cd) * ab).sum(axis=1) / (long_ab * long_ab)
        other = -(ac * cd).sum(axis=1) / (long_cd * long_cd)
        by_start, by_end = (start >= 0.0) & (start <= 1.0), (end >= 0.0) & (end <= 1.0)
        of_ab = np.where(level, np.where(by_start, start, np.where(by_end, end, 0.0)), of_ab)
        of_cd = np.where(level, np.where(by_start, 0.0, np.where(by_end, 1.0, other)), of_cd)
        meets |= one_line & (by_start | by_end | ((other >= 0.0) & (other <= 1.0)))
    meets &= (of_ab < 1.0) & (of_cd < 1.0)
    first, second, of_ab, of_cd = first[meets], second[meets], of_ab[meets], of_cd[meets]
    at = a[meets] + ab[meets] * of_ab[:, None]
    return first.astype(float), of_ab, second.astype(float), of_cd, at[:, 0], at[:, 1]


def _cuts(ring: Sequence[XY], met: Meetings, budget: Budget) -> tuple[list[_Cut], Loop | None]:
    """The loops to be cut off, the smallest first; and the first of those left that is too large for it.

    Meetings on a loop that is cut off go with it; those exactly at its ends are left for another look.
    """
    import numpy as np

    _, first, second, inner, at = met
    whole = area(ring)
    cuts: list[_Cut] = []
    while len(first):
        budget.spend(LOOP, len(first))
        sizes = np.minimum(np.abs(inner), np.abs(whole - inner))
        size = float(sizes.min())
        best = min(np.flatnonzero(sizes == size).tolist(), key=lambda i: (at[i, 0], at[i, 1]))
        place = (float(at[best, 0]), float(at[best, 1]))
        if size >= max(SMALL, SMALL_SHARE * abs(whole)):
            return cuts, Loop(place, size)
        start, end, loop = float(first[best]), float(second[best]), float(inner[best])
        if abs(loop) <= abs(whole - loop):
            cuts.append(_Cut(start, end, place, size))
            round_it = (first < start) & (second > end)
            keep = round_it | (second < start) | (first > end)
            inner = np.where(round_it, inner - loop, inner)
            whole -= loop
        else:
            cuts.append(_Cut(end, start, place, size))
            keep = (first > start) & (second < end)
            whole = loop
        first, second, inner, at = first[keep], second[keep], inner[keep], at[keep]
    return cuts, None


def _cut(path: Path, origin: Sequence[tuple[int, float, float]], cuts: Sequence[_Cut]) -> Path:
    """The outline without those loops, led over where each crossed itself."""

    def place(along: float) -> tuple[int, float]:
        at = int(along)
        curve, low, high = origin[at]
        return curve, low + (high - low) * (along - at)

    # a loop that lies in one that was cut off later is gone with it
    outside = [cut for cut in cuts if cut.end < cut.start][-1:]
    outermost = outside[:]
    for cut in sorted(cut for cut in cuts if cut.start < cut.end):
        if not outside or outside[0].end < cut.start < cut.end < outside[0].start:
            if outermost and outermost[-1].start < cut.start and cut.end < outermost[-1].end:
                continue
            outermost.append(cut)
    kept: list[Curve] = []
    for before, after in zip(outermost, [*outermost[1:], outermost[0]], strict=True):
        run = _between(path, place(before.end), place(after.start))
        if run:
            # both ends lie where the lines cross, to the last digit
            run[0] = run[0].with_controls((Point(*before.at), *run[0].controls()[1:]))
            run[-1] = run[-1].with_controls((*run[-1].controls()[:-1], Point(*after.at)))
            kept += run
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
