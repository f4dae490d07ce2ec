"""Smooth curves through given places, as people draw them; places and directions are complex numbers, x + y i.

scipy has such splines, but loading it takes longer than all chalk cards of a dress.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise


def spline(
    places: Sequence[complex], gaps: Sequence[float], first: complex | None = None, last: complex | None = None
) -> list[complex]:
    """The directions at the places of a cubic spline over `gaps`, mm between them; natural at an end without a
    direction (de Boor, A Practical Guide to Splines, chapter IV, from memory)."""
    chords = _chords(places, gaps)
    rows = [(0.5, 1.5 * chords[0]) if first is None else (0.0, first)]
    for (a, b), (before, after) in zip(pairwise(gaps), pairwise(chords), strict=True):
        carried, known = rows[-1]
        pivot = 2 * (a + b) - b * carried
        rows.append((a / pivot, (3 * (a * after + b * before) - b * known) / pivot))
    carried, known = rows[-1]
    ways = [(1.5 * chords[-1] - 0.5 * known) / (1 - 0.5 * carried) if last is None else last]
    for carried, known in reversed(rows):
        ways.append(known - carried * ways[-1])
    return ways[::-1]


def led(places: Sequence[complex], gaps: Sequence[float]) -> list[complex]:
    """The directions at the places of a curve that is led from place to place, each by its two neighbours alone."""
    chords = _chords(places, gaps)
    inner = [
        (b * before + a * after) / (a + b)
        for (a, b), (before, after) in zip(pairwise(gaps), pairwise(chords), strict=True)
    ]
    first, last = (inner[0], inner[-1]) if inner else (chords[0], chords[0])
    return [1.5 * chords[0] - 0.5 * first, *inner, 1.5 * chords[-1] - 0.5 * last]


def between(a: complex, way_a: complex, b: complex, way_b: complex, long: float, part: float) -> complex:
    """The place `part` of the way along an arc from a to b that is `long` mm and leaves and arrives in those ways."""
    rest = 1.0 - part
    ends = rest * rest * (1 + 2 * part) * a + part * part * (3 - 2 * part) * b
    return ends + long * part * rest * (rest * way_a - part * way_b)


def _chords(places: Sequence[complex], gaps: Sequence[float]) -> list[complex]:
    return [(b - a) / gap for (a, b), gap in zip(pairwise(places), gaps, strict=True)]
