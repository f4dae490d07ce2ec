"""Line patterns: how the sizes of a nest are told apart on any device, in any ink, after any photocopier.

A pattern is made of long dashes, dashes and dots with the same gap between them. Native patterns (SVG, PDF) and dashes
drawn one by one (HP-GL) come from the same numbers: counted from the outline's first point and fitted to its length,
with every corner drawn.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from itertools import accumulate, cycle, pairwise
from math import cos, floor, hypot, radians
from typing import Final

from ..errors import InputError
from ..geometry.point import XY, Polyline

LONG, DASH, DOT, GAP = 15.0, 5.0, 1.0, 2.0
"""mm: 3 and 5 to one, so that a photocopy or a pen 0.5 mm wide keeps them apart (our own choice)."""
CORNER: Final = 3.0
"""Drawn on either side of every corner, mm."""
SHARP_DEG: Final = 20.0
"""A turn above this is a corner; flattened curves above a radius of 3.3 mm turn less at each of their points
(0.05 mm chords)."""
_COS: Final = cos(radians(SHARP_DEG))
_LEAST: Final = 0.4
"""A gap or dash shorter than this, mm, is closed or left out where a corner meets the pattern."""

_WORDS: Final = (
    "_.", "-", "_..", "_-", "_...", "_--", "_.-", ".", "_-.-", "_....", "_---", "_.-.", "_", "-.", "_..-", "-..",
    "_.--", "-...", "_.--.",
)  # fmt: skip
"""Long dash `_`, dash `-`, dot `.`: none is another one begun elsewhere, or read from the other end. Neighbours in the
order differ most, the plainest come first."""
_LENGTHS: Final = {"_": LONG, "-": DASH, ".": DOT}

PATTERNS: Final = tuple(tuple(part for sign in word for part in (_LENGTHS[sign], GAP)) for word in _WORDS)
"""Drawn, left out, drawn, … mm."""
MOST: Final = len(PATTERNS) + 1
"""Sizes that can be told apart in one nest: the base is a solid line."""


def patterns_for(sizes: Sequence[str], base: str) -> dict[str, tuple[float, ...]]:
    """A pattern for every size, solid () for the base. Raises InputError for more sizes than there are patterns.

    >>> patterns_for(("10", "12", "14"), "12")
    {'10': (15.0, 2.0, 1.0, 2.0), '12': (), '14': (5.0, 2.0)}
    """
    if len(sizes) > MOST:
        raise InputError(
            f"{len(sizes)} sizes in one nest",
            expected=f"at most {MOST} stacked on each other, which is as many lines as can be told apart",
            instead="Name fewer sizes for this output, or have every size drawn by itself",
        )
    others = iter(PATTERNS)
    return {size: () if size == base else next(others) for size in sizes}


def fitted(dashes: Sequence[float], length: float) -> tuple[float, ...]:
    """The pattern made longer or shorter so that it goes a whole number of times into `length` mm."""
    period = sum(dashes)
    if not period or not length:
        return tuple(dashes)
    scale = length / (period * max(1, round(length / period)))
    return tuple([part * scale for part in dashes])


def ring_length(ring: Polyline) -> float:
    """Length of a closed line, mm."""
    return sum([hypot(bx - ax, by - ay) for (ax, ay), (bx, by) in pairwise([*ring, ring[0]])])


def corner_strokes(points: Polyline, *, closed: bool) -> list[tuple[XY, ...]]:
    """Short lines over sharp corners and both ends (of a ring: its first point), which a pattern might leave out."""
    line, fars = _measured(points, closed)
    return _parts(line, fars, _merged(_corner_parts(line, fars, closed)))


def dashed_line(points: Polyline, dashes: Sequence[float], *, closed: bool, phase: float = 0.0) -> list[tuple[XY, ...]]:
    """The dashes one by one, bending with the line; every sharp corner, both ends and a ring's first point are drawn.

    The dashes of a ring come in its order: the first begins, and the last ends, at its first point.
    """
    line, fars = _measured(points, closed)
    if not dashes or min(dashes) <= 0:
        return [tuple(line)]
    parts = [*_pattern_parts(dashes, fars[-1], phase), *_corner_parts(line, fars, closed)]
    return _parts(line, fars, _merged(parts))


def _measured(points: Polyline, closed: bool) -> tuple[list[XY], list[float]]:
    """The line without repeated points, and how far along it each point is."""
    line = [points[0]]
    line += [q for p, q in pairwise([*points, points[0]] if closed else points) if p != q]
    return line, [0.0, *accumulate([hypot(bx - ax, by - ay) for (ax, ay), (bx, by) in pairwise(line)])]


def _corner_parts(line: Sequence[XY], fars: Sequence[float], closed: bool) -> list[tuple[float, float]]:
    """From, to: mm along the line round its corners and its ends."""
    ways = [(bx - ax, by - ay) for (ax, ay), (bx, by) in pairwise(line)]
    length = fars[-1]
    sharp = [0.0, length]
    sharp += [
        far for before, far, after, (ax, ay), (bx, by) in zip(fars, fars[1:], fars[2:], ways, ways[1:], strict=False)
        if ax * bx + ay * by < _COS * (far - before) * (after - far)
    ]  # fmt: skip
    return [(max(0.0, far - CORNER), min(length, far + CORNER)) for far in sharp]


def _pattern_parts(dashes: Sequence[float], length: float, phase: float) -> list[tuple[float, float]]:
    period = sum(dashes) * (1 if len(dashes) % 2 == 0 else 2)
    at = -(phase - floor(phase / period) * period)
    parts: list[tuple[float, float]] = []
    for i, part in enumerate(cycle(dashes)):
        if at >= length:
            return parts
        if i % 2 == 0 and at + part > 0:
            parts.append((max(0.0, at), min(length, at + part)))
        at += part
    return parts


def _merged(parts: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """In order, those joined that touch or nearly touch."""
    merged: list[tuple[float, float]] = []
    for start, end in sorted(parts):
        if merged and start <= merged[-1][1] + _LEAST:
            merged[-1] = merged[-1][0], max(merged[-1][1], end)
        else:
            merged.append((start, end))
    return merged


def _parts(line: Sequence[XY], fars: Sequence[float], parts: Sequence[tuple[float, float]]) -> list[tuple[XY, ...]]:
    """The pieces of the line between the distances."""
    found: list[tuple[XY, ...]] = []
    for start, end in parts:
        first, last = bisect_right(fars, start + 1e-9), bisect_left(fars, end - 1e-9)
        run = (_place(line, fars, start, first), *line[first:last], _place(line, fars, end, last))
        found.append(run)
    return found


def _place(line: Sequence[XY], fars: Sequence[float], far: float, after: int) -> XY:
    """The point so far along, which lies before the point numbered `after`."""
    if after == 0:
        return line[0]
    if after >= len(line):
        return line[-1]
    start, end = fars[after - 1], fars[after]
    if far <= start + 1e-9:
        return line[after - 1]
    if far >= end - 1e-9:
        return line[after]
    (ax, ay), (bx, by), part = line[after - 1], line[after], (far - start) / (end - start)
    return ax + (bx - ax) * part, ay + (by - ay) * part
