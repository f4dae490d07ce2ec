"""Where an outline has corners, and the edges between them."""

from __future__ import annotations

import itertools
from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from math import radians
from typing import Final

from ..geometry.curve import Curve, Line
from ..geometry.path import Path
from ..geometry.point import turn_deg

CORNER_DEG: Final = 25.0
"""An outline that turns more than this at one place has a corner there; common practice, no source."""
WINDOW: Final = 1.0
"""How long a run counts as one place, mm: a corner that was drawn with short chords is one corner."""
_SHARE: Final = 0.7
"""A corner has this share of the turn in three such runs about it; a round curve has a third in each."""
_PARTS: Final = 8
"""Into how many steps the turn of a cubic is parted."""


def corners_of(outline: Sequence[Curve], corner_deg: float = CORNER_DEG, *, window: float = WINDOW) -> list[int]:
    """The curves at whose beginning a closed outline has a corner, ascending; empty if it is smooth.

    The turn counts that is made within a run of `window` mm about a joint, exact at curves' ends. A curve drawn with
    fine chords turns little in so short a run, or as much in the next; a corner has its turn to itself.
    """
    n = len(outline)
    far, at, turns, joints = 0.0, [], [], []
    before = outline[-1].way(1.0)
    for i, curve in enumerate(outline):
        length = curve.length()
        turn = radians(turn_deg(before, curve.way(0.0)))
        joints.append((far, turn, i))
        at.append(far)
        turns.append(turn)
        before = curve.way(1.0)
        if not isinstance(curve, Line):
            ways = [curve.way(k / _PARTS) for k in range(_PARTS + 1)]
            for k, (a, b) in enumerate(itertools.pairwise(ways)):
                at.append(far + length * (k + 0.5) / _PARTS)
                turns.append(radians(turn_deg(a, b)))
        far += length
    if n < 2 or far < 3 * window:
        return [i for _, turn, i in joints if abs(turn) >= radians(corner_deg)]
    # once round on both sides, so that windows may lie across the start
    head, tail = bisect_right(at, 2 * window), bisect_left(at, far - 2 * window)
    places = [*(s - far for s in at[tail:]), *at, *(s + far for s in at[:head])]
    sums = [0.0, *itertools.accumulate([*turns[tail:], *turns, *turns[:head]])]

    def turned(low: float, high: float) -> float:
        return sums[bisect_right(places, high)] - sums[bisect_left(places, low)]

    least, half = radians(corner_deg), window / 2 + 1e-9
    found: list[tuple[float, float, float, int]] = []
    for s, turn, i in joints:
        if turn == 0.0:
            continue
        here = turned(s - half, s + half)
        if abs(here) >= least * (1 - 1e-9) and (
            turn * here >= _SHARE * here * here or abs(here) >= _SHARE * abs(turned(s - 3 * half, s + 3 * half))
        ):
            found.append((-round(abs(here), 6), -round(turn if here > 0 else -turn, 6), s, i))
    kept: list[tuple[float, int]] = []
    taken: dict[int, list[float]] = {}
    for _, _, s, i in sorted(found):
        cell = int(s / window)
        round_ = int(far / window)
        near = [other for k in (cell - 1, cell, cell + 1) for other in taken.get(k, ())]
        near += [other for k in (0, round_ - 1, round_) for other in taken.get(k, ())] if cell in (0, round_) else []
        if all(min(abs(s - other), far - abs(s - other)) > window for other in near):
            kept.append((s, i))
            taken.setdefault(cell, []).append(s)
    return sorted(i for _, i in kept)


def parted(outline: Sequence[Curve], corner_deg: float = CORNER_DEG, *, window: float = WINDOW) -> tuple[Path, ...]:
    """The edges of a closed outline from corner to corner, in its direction; a smooth one has a single edge.

    The first begins at the lowest corner, the leftmost of those within 0.1 mm of that height; a smooth outline begins
    at its lowest joint.
    """
    corners = corners_of(outline, corner_deg, window=window)
    starts = corners or range(len(outline))
    bottom = min(outline[i].start[1] for i in starts)
    first = min((i for i in starts if outline[i].start[1] <= bottom + 0.1), key=lambda i: (outline[i].start, i))
    turned = [*outline[first:], *outline[:first]]
    if not corners:
        return (tuple(turned),)
    at = [(i - first) % len(outline) for i in corners]
    at.sort()
    return tuple(tuple(turned[a:b]) for a, b in zip(at, [*at[1:], len(turned)], strict=True))
