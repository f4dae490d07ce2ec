"""Which points of a line carry a grade rule: as few as let a plain reader find all others between them."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from itertools import accumulate, pairwise
from typing import Final

from ..geometry.point import XY, distance

WITHIN: Final = 0.05
"""How near every point of every size must come when it is moved evenly between two rules, mm: what a flattened curve
is off its curve (the project's tolerance)."""


def ruled(
    line: Sequence[XY],
    moves: Sequence[Sequence[XY]],
    must: Collection[int],
    *,
    closed: bool = False,
    within: float = WITHIN,
) -> tuple[int, ...]:
    """The numbers of the points that need a rule, ascending.

    `line`: n points of the base size, mm; `moves`: for every size how far each of them moves, (dx, dy) in mm; `must`:
    points that carry a rule whatever they do (corners, notches), to which an open line's ends are added. Between two
    rules a plain reader moves points evenly with the length walked along the line (as `spread` does unless it is
    smooth). Where that leaves a point of any size further than `within` mm from its place, the worst one is given a
    rule, until none is left; sizes that move most are looked at first.
    """
    count = len(line)
    if count < 3 and not closed:
        return tuple(range(count))
    first = min(must, default=0) if closed else 0
    order = [*range(first, count), *range(first)] if closed else list(range(count))
    if closed:
        order.append(first)
    points = [line[i] for i in order]
    walked = [0.0, *accumulate(distance(a, b) for a, b in pairwise(points))]
    by_move = sorted(moves, key=lambda own: -max(abs(x) + abs(y) for x, y in own))
    sizes = [[own[i] for i in order] for own in by_move]
    kept = sorted({0, len(order) - 1, *((i - first) % count for i in must)})
    spans = list(pairwise(kept))
    found = set(kept)
    while spans:
        start, end = spans.pop()
        if end - start < 2:
            continue
        worst = _worst(walked, sizes, start, end, within)
        if worst:
            found.add(worst)
            spans += ((start, worst), (worst, end))
    return tuple(sorted({order[i] for i in found}))


def _worst(walked: Sequence[float], sizes: Sequence[Sequence[XY]], start: int, end: int, within: float) -> int:
    """The point between two rules that is furthest off if it moves evenly, in the first size that has one too far off;
    0 if there is none."""
    gap = walked[end] - walked[start]
    parts = [(far - walked[start]) / gap if gap else 1.0 for far in walked[start + 1 : end]]
    for own in sizes:
        ax, ay = own[start]
        bx, by = own[end][0] - ax, own[end][1] - ay
        off = [
            (x - ax - bx * t) ** 2 + (y - ay - by * t) ** 2
            for (x, y), t in zip(own[start + 1 : end], parts, strict=True)
        ]
        most = max(off)
        if most > within * within:
            return start + 1 + off.index(most)
    return 0
