"""The path of a drag knife's holder, whose tip trails behind; starts, overcuts and tabs of closed cuts. Lengths in mm.

The tip stands `offset` behind the holder's axis, in the direction of travel. So along a straight run the holder is led
`offset` ahead of the line; at a corner it goes round the tip on an arc, so that the blade turns in its place (common
practice, no source; the geometry is derived).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import accumulate, pairwise
from math import atan2, ceil, cos, degrees, hypot, pi, radians, remainder, sin
from typing import Final

from ..device.profile import Blade
from ..geometry.point import XY

_ARC_DEG: Final = 12.0
"""Chords of a swivel arc: at an offset of 0.5 mm they are 0.003 mm off it (derived)."""
_ALIKE_DEG: Final = 3.0
"""A bend below this does not end a straight run, where a start is looked for."""
_KEPT: Final = 2.0
"""mm that a tab keeps from a corner, where there is room."""


def started(ring: Sequence[XY]) -> list[XY]:
    """A closed line begun in the middle of its longest straight run, where the start of a cut does least harm.

    The point is put in; the ring does not repeat it.
    """
    count = len(ring)
    if count < 3:
        return list(ring)
    ways = [_deg(ring[i], ring[(i + 1) % count]) for i in range(count)]
    runs: list[tuple[int, float]] = []
    first = next((i for i in range(count) if abs(_turn(ways[i - 1], ways[i])) > _ALIKE_DEG), 0)
    for k in range(count):
        i = (first + k) % count
        long = _length(ring[i], ring[(i + 1) % count])
        if runs and k and abs(_turn(ways[i - 1], ways[i])) <= _ALIKE_DEG:
            runs[-1] = runs[-1][0], runs[-1][1] + long
        else:
            runs.append((i, long))
    i, long = max(runs, key=lambda run: run[1])
    half = long / 2
    while True:
        a, b = ring[i], ring[(i + 1) % count]
        step = _length(a, b)
        if half <= step:
            break
        half -= step
        i = (i + 1) % count
    part = half / step if step else 0.0
    start = (a[0] + (b[0] - a[0]) * part, a[1] + (b[1] - a[1]) * part)
    rest = [ring[(i + 1 + k) % count] for k in range(count)]
    return [start, *(p for p in rest if _length(p, start) > 1e-9)]


def tips(ring: Sequence[XY], blade: Blade) -> list[list[XY]]:
    """The ways of the tip for one closed cut: once round and `overcut` on; or, with tabs, in parts between them."""
    line = [*started(ring)]
    line.append(line[0])
    if blade.tabs:
        return _between_tabs(line, blade)
    return [[*line, *_onward(line, blade.overcut)]] if blade.overcut > 0 else [line]


def holder(tip: Sequence[XY], blade: Blade, facing: float) -> tuple[list[XY], float]:
    """The holder's path for a way of the tip, and where the blade faces after it; angles in degrees.

    `facing` is where the blade faced before: the path begins with an arc from there into the first direction.
    """
    line = [tip[0], *(q for p, q in pairwise(tip) if p != q)]
    if len(line) < 2:
        return [_ahead(line[0], facing, blade.offset)], facing
    path: list[XY] = []
    for a, b in pairwise(line):
        way = _deg(a, b)
        turn = _turn(facing, way)
        if abs(turn) > (blade.swivel_deg if path else 1e-6):
            steps = max(1, ceil(abs(turn) / _ARC_DEG))
            first = 0 if not path else 1
            path += [_ahead(a, facing + turn * k / steps, blade.offset) for k in range(first, steps + 1)]
        else:
            path.append(_ahead(a, way, blade.offset))
        path.append(_ahead(b, way, blade.offset))
        facing = way
    return [path[0], *(q for p, q in pairwise(path) if p != q)], facing


def _between_tabs(line: Sequence[XY], blade: Blade) -> list[list[XY]]:
    fars = [0.0, *accumulate(_length(a, b) for a, b in pairwise(line))]
    total = fars[-1]
    count = min(blade.tabs, int(total / (10 * blade.tab_width)))
    if count < 1:
        return [[*line, *_onward(line, blade.overcut)]]
    ways = [_deg(a, b) for a, b in pairwise(line)]
    corners = [
        far for far, before, after in zip(fars[1:], ways, ways[1:], strict=False) if abs(_turn(before, after)) > 20
    ]
    middles = []
    for k in range(count):
        usual = total * (k + 0.5) / count
        reach = total / count / 3
        shifts = sorted((reach * s / 20 for s in range(-20, 21)), key=abs)
        middles.append(
            next(
                (usual + s for s in shifts if all(abs(usual + s - c) > _KEPT + blade.tab_width for c in corners)), usual
            )
        )
    half = blade.tab_width / 2
    starts = [middle + half for middle in middles]
    stops = [*(middle - half for middle in middles[1:]), middles[0] - half + total]
    twice = [*line, *line[1:]]
    far_twice = [*fars, *(far + total for far in fars[1:])]
    return [list(_stretch(twice, far_twice, a, b)) for a, b in zip(starts, stops, strict=True)]


def _onward(line: Sequence[XY], overcut: float) -> list[XY]:
    fars = [0.0, *accumulate(_length(a, b) for a, b in pairwise(line))]
    return list(_stretch(line, fars, 0.0, min(overcut, fars[-1])))[1:]


def _stretch(line: Sequence[XY], fars: Sequence[float], start: float, stop: float) -> Iterator[XY]:
    yield _at(line, fars, start)
    yield from (p for p, far in zip(line, fars, strict=True) if start + 1e-9 < far < stop - 1e-9)
    yield _at(line, fars, stop)


def _at(line: Sequence[XY], fars: Sequence[float], far: float) -> XY:
    for (a, b), (low, high) in zip(pairwise(line), pairwise(fars), strict=True):
        if far <= high and high > low:
            part = max(0.0, far - low) / (high - low)
            return a[0] + (b[0] - a[0]) * part, a[1] + (b[1] - a[1]) * part
    return line[-1]


def _length(a: XY, b: XY) -> float:
    return hypot(b[0] - a[0], b[1] - a[1])


def _deg(a: XY, b: XY) -> float:
    return degrees(atan2(b[1] - a[1], b[0] - a[0]))


def _turn(before_deg: float, after_deg: float) -> float:
    """By how much it turns, −180 to 180 degrees."""
    return degrees(remainder(radians(after_deg - before_deg), 2 * pi))


def _ahead(p: XY, facing_deg: float, offset: float) -> XY:
    return p[0] + offset * cos(radians(facing_deg)), p[1] + offset * sin(radians(facing_deg))
