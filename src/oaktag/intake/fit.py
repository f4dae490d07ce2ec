"""Curves through points: what a drawing gives as a fine polyline becomes lines and a few cubics again."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from math import hypot, radians
from typing import TYPE_CHECKING, Any, Final

from ..errors import GeometryError
from ..geometry.curve import Cubic, Curve, Line
from ..geometry.path import Path
from ..geometry.point import XY, Point, direction
from ..values import dataclass
from .limits import FIT, Budget

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Numbers = NDArray[np.float64]

KNEE: Final = 0.3
"""If both chords beside a point were chords of a curve that comes further from them than this, mm, the point is meant
as a bend between straight lines; common practice, no source: drawings are flattened finer."""
_KNEE_DEG: Final = 30.0
"""More than this at one point is a bend, however short the chords."""
_STRAIGHT: Final = 5.0
"""A straight run among curves is at least this long, mm ..."""
_LONGER: Final = 2.5
"""... and this many times as long as the chords beside it, with as many times their rise over the curve."""
_NEAR: Final = 0.1
"""The share of the tolerance within which points are taken to lie on one straight run."""
_SLACK: Final = 1.1
"""A curve that bends unevenly rises so much more than a round one."""
_HOLD: Final = 0.03
_ROUNDS: Final = 8
_TRIES: Final = 6
_LEAST_ROUGH: Final = 12
_MANY: Final = 16
_FEW: Final = 5
"""So many cubics with no more than so many points each are no curve, but rough data: they stay straight lines."""


def fitted(
    points: Sequence[XY],
    within: float,
    *,
    leaving: XY | None = None,
    arriving: XY | None = None,
    smooth: bool = False,
    budget: Budget | None = None,
) -> Path:
    """Lines and cubics along a run of points, mm, each point within `within` mm of them; the ends stay exact.

    The result keeps within `within` mm and the chord error of the polyline: how far a round curve through the points
    would rise over that chord. Straight runs become one `Line`; joints have one direction, save where the points show
    a bend between straight lines (`KNEE`). `leaving` and `arriving` are unit directions at the ends if they are known;
    `smooth`: the run is closed (its last point is its first), and goes on smoothly there.

    Raises GeometryError for fewer than two different points.
    Source: P. J. Schneider, An algorithm for automatically fitting digitized curves, Graphics Gems (1990) 612-626, from
    memory; here the ends' directions are fitted too where nothing holds them, and each cubic is led as far as it goes.
    """
    import numpy as np

    kept = [points[0], *(b for a, b in itertools.pairwise(points) if a != b)]
    if len(kept) < 2:
        raise GeometryError("a curve needs two different points at least")
    if len(kept) == 2:
        return (_line(kept[0], kept[1]),)
    run = np.array(kept, dtype=float)
    closed = smooth and kept[0] == kept[-1]
    if not closed and _is_straight(run, within):
        return (_line(kept[0], kept[-1]),)
    if is_rough(kept, within):
        line = _coarse(run, within * 0.9)
        return tuple(_line(kept[i], kept[k]) for i, k in itertools.pairwise(line))
    # the points in between straight runs and bends
    coarse = _coarse(run, min(within * _NEAR, 0.01))
    stops = _stops(run, coarse)
    if closed and not stops[0].bend and (way := _way(_around(run, coarse), len(run) - 1)) is not None:
        leaving = arriving = way
    found: list[Curve] = []
    for first, last in itertools.pairwise(stops):
        part = run[first.at : last.at + 1]
        leave = leaving if first.at == 0 else None if first.bend else first.way
        arrive = arriving if last.at == len(run) - 1 else None if last.bend else last.way
        if first.straight or (leave is None and arrive is None and _is_straight(part, within * _NEAR)):
            found.append(_line(kept[first.at], kept[last.at]))
            continue
        found += _cubics(part, within, leave, arrive, budget)
    return tuple(found)


def is_rough(points: Sequence[XY], within: float) -> bool:
    """Whether the points scatter so widely about any smooth line that no curve comes within that distance of them.

    That is how points look that were rounded too far: turns to the left and right follow each other without end. Such
    a run stays straight lines, within the tolerance of its points.
    """
    import numpy as np

    if len(points) < _LEAST_ROUGH:
        return False
    run = np.array(points, dtype=float)
    turn = _turns(run)[1]
    before, after = run[:-2], run[2:]
    chord = after - before
    size = np.maximum(np.hypot(chord[:, 0], chord[:, 1]), 1e-12)
    off = run[1:-1] - before
    rise = (chord[:, 0] * off[:, 1] - chord[:, 1] * off[:, 0]) / size
    scatter = float(np.median(np.abs(rise[1:-1] - (rise[:-2] + rise[2:]) / 2)))
    signs = np.sign(turn[np.abs(turn) > 1e-9])
    return scatter > within / 2 and int((signs[1:] != signs[:-1]).sum()) > len(points) / 5


@dataclass(slots=True)
class _Stop:
    """A point at which a straight run begins or ends (with its direction), or a bend."""

    at: int
    bend: bool = False
    straight: bool = False  # what follows
    way: XY | None = None


def _line(a: XY, b: XY) -> Line:
    return Line(Point(*a), Point(*b))


def _is_straight(run: Numbers, within: float) -> bool:
    """Whether the points lie along the chord from the first to the last, in its direction."""
    import numpy as np

    along = run[-1] - run[0]
    length = float(np.hypot(along[0], along[1]))
    if length == 0.0:
        return False
    ux, uy = along / length
    x, y = run[:, 0] - run[0, 0], run[:, 1] - run[0, 1]
    if float(np.max(np.abs(x * uy - y * ux))) > within:
        return False
    far = x * ux + y * uy
    return float(np.min(np.diff(far))) > -within and float(far.max()) <= length + within and float(far.min()) >= -within


def _coarse(run: Numbers, near: float) -> list[int]:
    """Indices of as few points as keep the others within `near` mm of the chords (a cone narrowed from each start)."""
    kept = [0]
    points: list[list[float]] = run.tolist()
    n, start = len(points), 0
    while start < n - 1:
        x0, y0 = points[start]
        end = start + 1
        dx, dy = points[end][0] - x0, points[end][1] - y0
        far = hypot(dx, dy)
        # the cone is held by the unit direction of its middle, and by how far left and right of it still serves
        ux, uy = dx / far, dy / far
        low, high = -near / far, near / far
        for i in range(start + 2, n):
            dx, dy = points[i][0] - x0, points[i][1] - y0
            ahead, aside = dx * ux + dy * uy, dy * ux - dx * uy
            if ahead <= far - near or ahead <= 0.0:
                break
            slope = aside / ahead
            if not low <= slope <= high:
                break
            low, high = max(low, slope - near / ahead), min(high, slope + near / ahead)
            far, end = max(far, ahead), i
        kept.append(end)
        start = end
    return kept


def _turns(run: Numbers) -> tuple[Numbers, Numbers]:
    """Lengths of the chords, and the turn at each point, radians, left positive; 0 at the ends."""
    import numpy as np

    step = np.diff(run, axis=0)
    dx, dy = step[:, 0], step[:, 1]
    turn = np.zeros(len(run))
    turn[1:-1] = np.arctan2(dx[:-1] * dy[1:] - dy[:-1] * dx[1:], dx[:-1] * dx[1:] + dy[:-1] * dy[1:])
    return np.hypot(dx, dy), turn


def _rises(length: Numbers, turn: Numbers) -> Numbers:
    """How far a round curve through the points would rise over each chord, mm: half of it × tan of a quarter turn."""
    import numpy as np

    size = np.abs(turn)
    size[0], size[-1] = size[1], size[-2]
    if len(size) > 3:  # the ends go on as their neighbours do
        size[0], size[-1] = (
            np.clip(2 * size[0] - size[2], 0, 2 * size[0]),
            np.clip(2 * size[-1] - size[-3], 0, 2 * size[-1]),
        )
    return np.asarray(_SLACK * length / 2 * np.tan(np.minimum((size[:-1] + size[1:]) / 8, 1.0)))


def _stops(run: Numbers, coarse: list[int]) -> list[_Stop]:
    """Where the run is parted: its ends, its bends, and the ends of its straight runs."""
    points = run[coarse]
    if len(points) < 3:
        return [_Stop(0, True), _Stop(len(run) - 1, True)]
    lengths, turns = _turns(points)
    rises: list[float] = _rises(lengths, turns.copy()).tolist()
    length: list[float] = lengths.tolist()
    turn: list[float] = turns.tolist()
    last = len(points) - 1
    bends = {
        i
        for i in range(1, last)
        if abs(turn[i]) > radians(_KNEE_DEG) or min(length[i - 1], length[i]) * abs(turn[i]) / 8 > KNEE
    }

    def is_line(i: int) -> bool:
        if length[i] < _STRAIGHT:
            return False
        beside = [k for k, joint in ((i - 1, i), (i + 1, i + 1)) if 0 <= k < last and joint not in bends]
        if 0 in beside or last - 1 in beside:  # a single chord is no curve beside it
            return False
        return all(length[i] > _LONGER * length[k] and rises[i] > _LONGER * rises[k] for k in beside)

    straight = [is_line(i) for i in range(last)]
    stops: list[_Stop] = []
    for i in range(last + 1):
        before, after = i > 0 and straight[i - 1], i < last and straight[i]
        if i in (0, last) or i in bends or before or after:
            stop = _Stop(coarse[i], i in bends, after)
            if before != after and i not in bends and 0 < i < last:
                k = i - 1 if before else i
                a, b = points[k], points[k + 1]
                stop.way = direction((float(a[0]), float(a[1])), (float(b[0]), float(b[1])))
            stops.append(stop)
    return stops


def _around(run: Numbers, coarse: list[int]) -> Numbers:
    """A closed run twice, so that its seam lies in the middle."""
    import numpy as np

    return np.concatenate((run, run[1:]))


def _way(run: Numbers, at: int) -> XY | None:
    """The direction at a point: that of the cubic through it that comes nearest to its neighbours on both sides.

    At an end, or with few neighbours, that of the parabola.
    """
    import numpy as np

    n = len(run)
    first, last = max(0, at - 60), min(n - 1, at + 60)
    part = run[first : last + 1]
    step = np.hypot(*np.diff(part, axis=0).T)
    s = np.concatenate(((0.0,), np.cumsum(step)))
    s -= s[at - first]
    reach = min(5.0, max(1.0, 0.05 * float(s[-1] - s[0])))
    low = min(int(np.searchsorted(s, -reach)), max(0, at - first - 2))
    high = max(int(np.searchsorted(s, reach, side="right")), min(len(s), at - first + 3))
    s, d = s[low:high] / reach, part[low:high] - run[at]
    powers = np.array([s, s * s, s * s * s] if len(s) > 4 and s[0] < 0.0 < s[-1] else [s, s * s] if len(s) > 2 else [s])
    try:
        v = np.linalg.solve(powers @ powers.T, powers @ d)[0]
    except np.linalg.LinAlgError:
        v = s @ d
    size = float(np.hypot(v[0], v[1]))
    return (float(v[0]) / size, float(v[1]) / size) if size > 0.0 else None


def _cubics(
    run: Numbers, within: float, leave: XY | None, arrive: XY | None, budget: Budget | None = None
) -> list[Curve]:
    """Cubics along the points, each led as far as it comes near enough."""
    import numpy as np

    length, turn = _turns(run)
    rise = np.minimum(_rises(length, turn), KNEE) if len(run) > 2 else np.zeros(1)
    far = np.concatenate(((0.0,), np.cumsum(length)))
    found: list[Curve] = []
    first, last, ahead = 0, len(run) - 1, len(run)
    while first < last:
        if len(found) > _MANY and first < _FEW * len(found):  # rougher than the tolerance: no curve is meant
            rest = [first + i for i in _coarse(run[first:], within)]
            found += [_line_of(run, i, k) for i, k in itertools.pairwise(rest)]
            break
        top = min(last, first + ahead)
        way = arrive if top == last else _way(run, top)
        if budget is not None:
            budget.spend(FIT, 1 + (top - first) // 50)
        cubic, error = _cubic(run[first : top + 1], far[first : top + 1], rise[first:top], within, leave, way)
        if error <= 1.0 or top - first == 1:
            found.append(cubic if error <= 1.0 else _line_of(run, first, top))
            leave, ahead, first = way if error <= 1.0 else None, 4 * ahead, top
            continue
        good, bad = first + 1, top
        kept: tuple[Curve, XY | None] | None = None
        reach = float(far[top] - far[first])
        for _ in range(_TRIES):
            if bad - good < 2 and kept:
                break
            share = max(0.1, min(0.9, 0.97 * error**-0.2)) if error < np.inf else 0.5
            at = int(np.searchsorted(far, far[first] + reach * share))
            at = min(max(at, good + 1), bad - 1) if bad - good > 1 else good
            if kept and at - good > 0.9 * (bad - good):
                at = (good + bad) // 2
            way = _way(run, at)
            if budget is not None:
                budget.spend(FIT, 1 + (at - first) // 50)
            cubic, error = _cubic(
                run[first : at + 1], far[first : at + 1] - far[first], rise[first:at], within, leave, way
            )
            reach = float(far[at] - far[first])
            if error <= 1.0:
                good, kept = at, (cubic, way)
                if error > 0.5:
                    break
                error = max(error, 0.05)
            else:
                bad = at
                if at == first + 1:
                    break
        if kept is None:
            good, way = first + 1, _way(run, first + 1)
            cubic, error = _cubic(run[first : good + 1], far[first : good + 1], rise[first:good], within, leave, way)
            kept = (cubic, way) if error <= 1.0 else (_line_of(run, first, good), None)
        found.append(kept[0])
        leave, ahead, first = kept[1], max(8, 4 * (good - first)), good
    return found


def _line_of(run: Numbers, first: int, last: int) -> Line:
    (ax, ay), (bx, by) = run[first].tolist(), run[last].tolist()
    return Line(Point(ax, ay), Point(bx, by))


def _cubic(
    run: Numbers, far: Numbers, rise: Numbers, within: float, leave: XY | None, arrive: XY | None
) -> tuple[Cubic, float]:
    """The cubic nearest to the points, and its worst deviation in tolerances: proved if it is 1 at most.

    An end without a direction takes that which fits best. The parameter of each point is moved to the foot of its
    normal, then all is solved anew (Schneider's `Reparameterize`).
    """
    import numpy as np

    a, d = run[0], run[-1]
    total = float(far[-1] - far[0])
    t = (far - far[0]) / total
    if len(run) < 6:  # too few to show where it points: take the ends' parabolas
        leave = leave or _way(run, 0)
        arrive = arrive or _way(run, len(run) - 1)
    best: tuple[Cubic, float] | None = None
    before, ways = np.inf, None
    for turn in range(_ROUNDS):
        b, c = _handles(run, t, leave, arrive, total, ways)
        # position and derivatives as polynomials of t
        k1, k2 = 3 * (b - a), 3 * (c - 2 * b + a)
        k3 = d - a - k1 - k2
        t = _feet(run, t, a, k1, k2, k3)
        ways = (3 * np.outer(t, k3) + 2 * k2) * t[:, None] + k1
        error = _deviation(run, t, (a, k1, k2, k3), rise, within)
        if best is None or error < best[1]:
            corners = [Point(float(p[0]), float(p[1])) for p in (a, b, c, d)]
            best = Cubic(corners[0], corners[1], corners[2], corners[3]), error
        if error <= 0.8 or error > (400.0, 150.0, 40.0, 10.0)[min(turn, 3)] or (turn > 2 and error > 0.9 * before):
            break
        before = error
    assert best is not None
    return best


def _handles(
    run: Numbers, t: Numbers, leave: XY | None, arrive: XY | None, total: float, ways: Numbers | None
) -> tuple[Numbers, Numbers]:
    """The two inner control points by least squares: of the distances at t, then of those square to the curve.

    `ways` are the curve's derivatives at t when they are known. Distances square to the curve let the points slide
    along it, which takes few rounds where Schneider's way takes many (Wang, Pottmann, Liu, Fitting B-spline curves to
    point clouds by curvature-based squared distance minimization, ACM TOG 25 (2006) 214-238, from memory).
    """
    import numpy as np

    a, d = run[0], run[-1]
    chord = float(np.hypot(*(d - a)))
    u = 1.0 - t
    w1, w2 = 3 * u * u * t, 3 * u * t * t
    rest = run - np.outer(u * u * u + w1, a) - np.outer(t * t * t + w2, d)
    # unknown: start handle (1 along its direction, or 2), end handle likewise; columns over x and y stacked
    columns: list[Any] = []
    zero = np.zeros_like(t)
    for way, w in ((leave, w1), (arrive, w2)):
        if way is None:
            columns += [np.concatenate((w, zero)), np.concatenate((zero, w))]
        else:
            columns.append(np.concatenate((w * way[0], w * way[1])))
    matrix = np.array(columns)
    aim = np.concatenate((rest[:, 0], rest[:, 1]))
    if ways is not None:
        n = len(t)
        size = np.maximum(np.hypot(ways[:, 0], ways[:, 1]), 1e-9)
        across, up = -ways[:, 1] / size, ways[:, 0] / size
        slid = matrix[:, :n] * across + matrix[:, n:] * up
        # a little of the first kind holds what the second leaves free
        matrix = np.concatenate((slid, _HOLD * matrix), axis=1)
        aim = np.concatenate((rest[:, 0] * across + rest[:, 1] * up, _HOLD * aim))
    normal = matrix @ matrix.T
    third = max(chord, total / 3) / 3
    try:
        x: list[float] = np.linalg.solve(normal, matrix @ aim).tolist()
    except np.linalg.LinAlgError:
        x = []
    start: Any = None
    end: Any = None
    if x:
        start = np.array(x[:2]) if leave is None else x[0] * np.array(leave)
        end = np.array(x[-2:]) if arrive is None else x[-1] * np.array(arrive)
        low, high = 1e-3 * total, 1.5 * total
        if (leave is not None and x[0] < low) or float(np.hypot(*start)) > high:
            start = None
        if (arrive is not None and x[-1] > -low) or float(np.hypot(*end)) > high:
            end = None
    if start is None or end is None:  # after Wu and Barsky, as Schneider does: a third of the chord
        start = third * np.array(leave or _way(run, 0) or (0.0, 0.0))
        end = -third * np.array(arrive or _way(run, len(run) - 1) or (0.0, 0.0))
    return a + start, d + end


def _feet(run: Numbers, t: Numbers, a: Numbers, k1: Numbers, k2: Numbers, k3: Numbers) -> Numbers:
    """The parameters moved towards the nearest points of the cubic: two of Newton's steps, kept in order."""
    import numpy as np

    x, y = run[:, 0], run[:, 1]
    for _ in range(2):
        dx = ((k3[0] * t + k2[0]) * t + k1[0]) * t + a[0] - x
        dy = ((k3[1] * t + k2[1]) * t + k1[1]) * t + a[1] - y
        vx, vy = (3 * k3[0] * t + 2 * k2[0]) * t + k1[0], (3 * k3[1] * t + 2 * k2[1]) * t + k1[1]
        ax, ay = 6 * k3[0] * t + 2 * k2[0], 6 * k3[1] * t + 2 * k2[1]
        slope = vx * vx + vy * vy + dx * ax + dy * ay
        move = (dx * vx + dy * vy) / np.where(slope > 1e-12, slope, np.inf)
        t = np.clip(t - move, 0.0, 1.0)
        t[0], t[-1] = 0.0, 1.0
        t = np.maximum.accumulate(t)
    return t


def _deviation(
    run: Numbers, t: Numbers, cubic: tuple[Numbers, Numbers, Numbers, Numbers], rise: Numbers, within: float
) -> float:
    """Worst deviation in tolerances: of the points from the cubic, and of the cubic from the chord it runs beside."""
    import numpy as np

    a, k1, k2, k3 = cubic
    at = ((np.outer(t, k3) + k2) * t[:, None] + k1) * t[:, None] + a
    points = float(np.hypot(*(at - run).T).max())
    worst = points / within
    if worst > 1.0:
        return worst
    p, step = run[:-1], np.diff(run, axis=0)
    size = np.maximum((step * step).sum(axis=1), 1e-18)
    most = within + rise[: len(step)]
    for part in (0.25, 0.5, 0.75):
        s = (t[:-1] + (t[1:] - t[:-1]) * part)[:, None]
        off = ((k3 * s + k2) * s + k1) * s + a - p
        foot = np.clip((off * step).sum(axis=1) / size, 0.0, 1.0)[:, None]
        worst = max(worst, float((np.hypot(*(off - foot * step).T) / most).max()))
    return worst
