"""Points between grade rules: they move in between, by how far along the line they lie."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Mapping, Sequence
from itertools import accumulate, pairwise

from ..geometry.point import XY, distance


def spread(line: Sequence[XY], ruled: Mapping[int, XY], *, smooth: bool = True) -> list[XY]:
    """How far each point of an open line moves, given the moves of some of them; its two ends must be among these.

    `line`: n points, mm; `ruled`: (dx, dy) in mm by the point's number. Between two rules the moves change with the
    length walked: evenly, or, if `smooth`, by a monotone cubic, so that a curve bends no sharper at a rule and no move
    overshoots its neighbours (Fritsch and Carlson, SIAM J. Numer. Anal. 17 (1980) 238-246, with the harmonic mean of
    Fritsch and Butland, SIAM J. Sci. Stat. Comput. 5 (1984) 300-304). Raises KeyError without a rule at an end.
    """
    walked = [0.0, *accumulate(distance(a, b) for a, b in pairwise(line))]
    known = sorted({0, len(line) - 1} | set(ruled))
    at = [walked[i] for i in known]
    columns = []
    for axis in (0, 1):
        values = [ruled[i][axis] for i in known]
        slopes = _slopes(at, values) if smooth and len(known) > 2 else None
        columns.append(_between(walked, known, at, values, slopes))
    return list(zip(*columns, strict=True))


def _slopes(at: Sequence[float], values: Sequence[float]) -> list[float]:
    """At each rule: nothing where the moves turn back, else the weighted harmonic mean of those on either side."""
    gaps = [b - a for a, b in pairwise(at)]
    steep = [(b - a) / gap if gap else 0.0 for (a, b), gap in zip(pairwise(values), gaps, strict=True)]
    slopes = [steep[0]]
    for (d0, d1), (g0, g1) in zip(pairwise(steep), pairwise(gaps), strict=True):
        if d0 * d1 <= 0:
            slopes.append(0.0)
        else:
            w0, w1 = 2 * g1 + g0, g1 + 2 * g0
            slopes.append((w0 + w1) / (w0 / d0 + w1 / d1))
    return [*slopes, steep[-1]]


def _between(
    walked: Sequence[float],
    known: Sequence[int],
    at: Sequence[float],
    values: Sequence[float],
    slopes: Sequence[float] | None,
) -> list[float]:
    found = [values[0]]
    for k, (i, j) in enumerate(pairwise(known)):
        gap = at[k + 1] - at[k]
        for n in range(i + 1, j + 1):
            t = (walked[n] - at[k]) / gap if gap else 1.0
            a, b = values[k], values[k + 1]
            if slopes is None:
                found.append(a + (b - a) * t)
            else:
                found.append(_eased(t, gap, a, b, slopes[k], slopes[k + 1]))
    return found


def moving(at: Sequence[float], moves: Sequence[XY]) -> Callable[[float], XY]:
    """The move of a place so many mm along a line; as `spread`, smooth.

    `at`: where the rules lie along it, ascending, mm; `moves`: (dx, dy) of each, mm. Before the first and after the
    last the moves are those of the end.
    """
    columns = [[move[axis] for move in moves] for axis in (0, 1)]
    slopes = [_slopes(at, values) if len(at) > 1 else [0.0] for values in columns]

    def found(far: float) -> XY:
        k = max(0, min(len(at) - 2, bisect_right(at, far) - 1))
        if len(at) < 2 or (gap := at[k + 1] - at[k]) <= 0:
            return columns[0][k], columns[1][k]
        t = max(0.0, min(1.0, (far - at[k]) / gap))
        x, y = (
            _eased(t, gap, values[k], values[k + 1], steep[k], steep[k + 1])
            for values, steep in zip(columns, slopes, strict=True)
        )
        return x, y

    return found


def _eased(t: float, gap: float, a: float, b: float, slope_a: float, slope_b: float) -> float:
    """A cubic from a to b with these slopes at its ends, at the part t of the gap."""
    rest = (1 - t) * (1 - t) * t * slope_a - t * t * (1 - t) * slope_b
    return a + (b - a) * t * t * (3 - 2 * t) + gap * rest
