"""What of a line lies in an upright box."""

from __future__ import annotations

from collections.abc import Sequence
from math import inf
from typing import Final, TypeAlias

from .point import XY
from .polygon import Box

Chunk: TypeAlias = tuple[int, int, tuple[float, float, float, float]]
"""Index of the first and of the last point of a part of a line, and the box round it (left, bottom, right, top)."""
CHUNK: Final = 16
"""Segments that are judged together by the box round them."""
_EVERYWHERE: Final = (-inf, -inf, inf, inf)


def clip_line(points: Sequence[XY], box: Box) -> list[list[XY]]:
    """The runs of an open line inside a closed box, joined where they go on (Liang and Barsky, ACM TOG 3 (1984) 1-22).

    Points of the line are kept as they are, so that neighbouring pages repeat the same numbers.
    """
    return runs_in(points, box, [])


def runs_in(points: Sequence[XY], box: Box, starts: list[int], chunks: Sequence[Chunk] = ()) -> list[list[XY]]:
    """The runs of `clip_line`; to `starts` goes the index of the point from which the first segment of each comes.

    Chunks of the line that lie wholly inside or beside the box are taken or left whole.
    """
    left, bottom, right, top = box.left, box.bottom, box.right, box.top
    runs: list[list[XY]] = []
    run: list[XY] = []
    x0, y0 = points[0]
    in0 = left <= x0 <= right and bottom <= y0 <= top
    for first, last, (low_x, low_y, high_x, high_y) in chunks or ((0, len(points) - 1, _EVERYWHERE),):
        if low_x >= left and high_x <= right and low_y >= bottom and high_y <= top:
            if not run:
                run = [points[first]]
                runs.append(run)
                starts.append(first)
            run += points[first + 1 : last + 1]
            (x0, y0), in0 = points[last], True
            continue
        if low_x > right or high_x < left or low_y > top or high_y < bottom:
            run, (x0, y0), in0 = [], points[last], False
            continue
        for at in range(first, last):
            point = points[at + 1]
            x1, y1 = point
            in1 = left <= x1 <= right and bottom <= y1 <= top
            if in0 and in1:
                if not run:
                    run = [(x0, y0)]
                    runs.append(run)
                    starts.append(at)
                run.append(point)
            elif not (
                (x0 < left and x1 < left)
                or (x0 > right and x1 > right)
                or (y0 < bottom and y1 < bottom)
                or (y0 > top and y1 > top)
            ):
                dx, dy = x1 - x0, y1 - y0
                enter, leave = 0.0, 1.0
                for d, gap in ((-dx, x0 - left), (dx, right - x0), (-dy, y0 - bottom), (dy, top - y0)):
                    if d < 0.0:
                        enter = max(enter, gap / d)
                    elif d > 0.0:
                        leave = min(leave, gap / d)
                if enter < leave:
                    start = (x0, y0) if in0 else (x0 + enter * dx, y0 + enter * dy)
                    if not (in0 and run):
                        run = [start]
                        runs.append(run)
                        starts.append(at)
                    run.append(point if in1 else (x0 + leave * dx, y0 + leave * dy))
            if not in1:
                run = []
            x0, y0, in0 = x1, y1, in1
    return runs


def chunks_of(points: Sequence[XY]) -> list[Chunk]:
    """Parts of a line: indices of the first point and of the last, where the next begins, and the box round them."""
    found: list[Chunk] = []
    for first in range(0, len(points) - 1, CHUNK):
        part = points[first : first + CHUNK + 1]
        xs, ys = zip(*part, strict=True)
        found.append((first, first + len(part) - 1, (min(xs), min(ys), max(xs), max(ys))))
    return found
