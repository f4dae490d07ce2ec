"""Where a label fits: inside the piece, clear of every line."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Final, TypeAlias

from ..geometry.point import Point, Polyline, Ring
from ..geometry.polygon import Box, contains

LabelBox: TypeAlias = Callable[[Sequence[str], float], tuple[float, float]]
"""(lines, height of the first line) -> width and height of the set text, mm."""
Segments: TypeAlias = list[tuple[float, float, float, float]]

LARGE: Final = (9.0, 7.0)
HEIGHTS: Final = (7.0, 5.5, 4.5, 3.8, 3.2, 2.7, 2.2)
"""Capitals of the first line, mm: the largest that fits is taken, upright as long as it stays large."""
CLEAR: Final = 5.0
"""Between the text and any line, mm."""
_ROWS: Final = 14


@dataclass(frozen=True, slots=True)
class Spot:
    """A label that fits: how it is wrapped, its height, the centre of its box, its turn."""

    lines: tuple[str, ...]
    height: float
    width: float
    at: Point
    angle_deg: float


def find_spot(outline: Ring, obstacles: Sequence[Polyline], layouts: Sequence[tuple[str, ...]], box: LabelBox) -> Spot:
    """The largest setting of the label that keeps clear of the outline and the obstacles.

    Tries each height with each layout (the same words wrapped wider or narrower), upright and turned by a quarter.
    If nothing fits, the smallest setting is centred in the widest place that was found.
    """
    upright = _segments(outline, obstacles)
    for height in LARGE:
        for lines in layouts:
            width, tall = box(lines, height)
            found = _roomiest(outline, upright, width, tall)
            if found is not None:
                return Spot(lines, height, width, found, 0.0)
    turned = [(-y0, x0, -y1, x1) for x0, y0, x1, y1 in upright]
    turned_outline = [(-y, x) for x, y in outline]
    for height in HEIGHTS:
        for lines in layouts:
            width, tall = box(lines, height)
            found = _roomiest(outline, upright, width, tall)
            if found is not None:
                return Spot(lines, height, width, found, 0.0)
            found = _roomiest(turned_outline, turned, width, tall)
            if found is not None:
                return Spot(lines, height, width, Point(found.y, -found.x), -90.0)
    lines = layouts[-1]
    width, tall = box(lines, HEIGHTS[-1])
    found = _roomiest(outline, _segments(outline, ()), 1.0, 1.0) or Point(*outline[0])
    return Spot(lines, HEIGHTS[-1], width, found, 0.0)


def _segments(outline: Ring, obstacles: Sequence[Polyline]) -> Segments:
    found: Segments = []
    x0, y0 = outline[-1]
    for x1, y1 in outline:
        found.append((x0, y0, x1, y1))
        x0, y0 = x1, y1
    for line in obstacles:
        for a, b in itertools.pairwise(line):
            found.append((a[0], a[1], b[0], b[1]))
    return found


def _roomiest(outline: Ring, segments: Segments, width: float, tall: float) -> Point | None:
    """Centre of the place for a width × tall box with most room beside it; None if there is none."""
    bounds = Box.round(outline)
    if bounds.width < width + 2 * CLEAR or bounds.height < tall + 2 * CLEAR:
        return None
    best: tuple[float, Point] | None = None
    span = bounds.height - tall - 2 * CLEAR
    for row in range(_ROWS + 1):
        low = bounds.bottom + CLEAR + span * row / _ROWS
        for left, right in _gaps(segments, low - CLEAR, low + tall + CLEAR):
            room = right - left - width - 2 * CLEAR
            if room < 0:
                continue
            middle = Point((left + right) / 2, low + tall / 2)
            room -= abs(row / _ROWS - 0.5) * 0.5 * span / _ROWS
            if (best is None or room > best[0]) and contains(outline, middle):
                best = (room, middle)
    return best[1] if best else None


def _gaps(segments: Segments, low: float, high: float) -> Iterator[tuple[float, float]]:
    """The free runs of x between all that crosses the band from low to high."""
    blocked: list[tuple[float, float]] = []
    for x0, y0, x1, y1 in segments:
        if y0 > y1:
            x0, y0, x1, y1 = x1, y1, x0, y0
        if y1 < low or y0 > high:
            continue
        if y1 - y0 > 1e-9:
            slope = (x1 - x0) / (y1 - y0)
            left = x0 + slope * (low - y0) if y0 < low else x0
            right = x0 + slope * (high - y0) if y1 > high else x1
        else:
            left, right = x0, x1
        blocked.append((left, right) if left <= right else (right, left))
    blocked.sort()
    edge = None
    for left, right in blocked:
        if edge is not None and left > edge:
            yield edge, left
        edge = right if edge is None else max(edge, right)
