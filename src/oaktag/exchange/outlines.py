"""Outlines as files have them: chains of lines joined, repeated vertices dropped, crossings found."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from math import floor, hypot
from operator import eq

from ..geometry.point import XY, distance
from ..values import dataclass

CLOSE = 0.05
"""Ends this near meet, mm: the tolerance of flattening. All chains that were seen close within 1e-3."""
_DEEP = 1e-4
"""A crossing reaches further than this beyond the other line, mm; less is a touch."""
_MOST_AT_A_PLACE = 64
"""Ends that are looked at in one place; an outline has two."""


@dataclass(frozen=True, slots=True)
class Joined:
    """A line made of `parts` lines, some of them turned round. A closed one does not repeat its first point."""

    points: list[XY]
    closed: bool
    parts: int = 1
    turned: int = 0

    @property
    def gap(self) -> float:
        """From the last point to the first, mm; 0 if it closes."""
        return 0.0 if self.closed else distance(self.points[-1], self.points[0])


def joined(lines: Sequence[tuple[Sequence[XY], bool]]) -> list[Joined]:
    """Lines (points, closed), mm, joined where ends meet: first as they follow each other, then in any order.

    A line whose last point is its first is closed, whatever its flag says.
    """
    done: list[Joined] = []
    chains: list[Joined] = []
    for points, closed in lines:
        line = as_closed(points, closed)
        before = chains[-1] if chains else None
        if line.closed:
            done.append(line)
        elif before and not before.closed and _meet(before.points[-1], line.points[0]):
            before.points.extend(line.points[1:])
            chains[-1] = Joined(before.points, False, before.parts + 1)
            if len(before.points) > 3 and _meet(before.points[-1], before.points[0]):
                before.points.pop()
                chains[-1] = Joined(before.points, True, before.parts + 1)
        else:
            chains.append(line)
    done += [chain for chain in chains if chain.closed]
    return done + _in_any_order([chain for chain in chains if not chain.closed])


def as_closed(points: Sequence[XY], closed: bool) -> Joined:
    """One line; its repeated last point dropped if it is closed or ends where it began."""
    kept = list(points)
    back = len(kept) > 1 and _meet(kept[0], kept[-1])
    if (closed and back) or (len(kept) > 3 and back):
        kept.pop()
        return Joined(kept, True)
    return Joined(kept, closed)


def _meet(a: XY, b: XY) -> bool:
    return abs(a[0] - b[0]) <= CLOSE and abs(a[1] - b[1]) <= CLOSE


def _in_any_order(chains: list[Joined]) -> list[Joined]:
    """Chains joined at either end. Ends are looked up by cell, and each is used once, so that it takes no time."""
    if len(chains) < 2:
        return chains
    cells: dict[tuple[int, int], list[tuple[int, bool]]] = defaultdict(list)
    for number, chain in enumerate(chains):
        for at_end in (False, True):
            cells[_cell(chain.points[-1 if at_end else 0])].append((number, at_end))
    used = [False] * len(chains)

    def following(end: XY) -> tuple[int, bool] | None:
        x, y = _cell(end)
        for key in ((x + i, y + j) for i in (0, -1, 1) for j in (0, -1, 1)):
            held = cells.get(key, [])
            while held and used[held[-1][0]]:
                held.pop()
            for number, at_end in held[: -1 - _MOST_AT_A_PLACE : -1]:
                if not used[number] and _meet(chains[number].points[-1 if at_end else 0], end):
                    return number, at_end
        return None

    made: list[Joined] = []
    for number, chain in enumerate(chains):
        if used[number]:
            continue
        used[number] = True
        points, parts, turned = list(chain.points), chain.parts, 0
        for backwards in (False, True):
            if backwards:
                points.reverse()
            while not (len(points) > 3 and _meet(points[0], points[-1])) and (found := following(points[-1])):
                used[found[0]] = True
                more = chains[found[0]].points
                points += more[-2::-1] if found[1] else more[1:]
                parts += chains[found[0]].parts
                turned += chains[found[0]].parts if found[1] != backwards else 0
            if backwards:
                points.reverse()
        closed = as_closed(points, False)
        made.append(Joined(closed.points, closed.closed, parts, turned))
    return made


def _cell(p: XY) -> tuple[int, int]:
    return floor(p[0] / CLOSE), floor(p[1] / CLOSE)


def without_repeats(points: Sequence[XY], *, closed: bool) -> list[int]:
    """The indices of the points that are kept where several follow each other at the same place."""
    after = [*points[1:], points[0]] if closed else points[1:]
    if not any(map(eq, points, after)):
        return list(range(len(points)))
    kept = [0]
    for i in range(1, len(points)):
        if points[i] != points[kept[-1]]:
            kept.append(i)
    while closed and len(kept) > 1 and points[kept[-1]] == points[0]:
        kept.pop()
    return kept


def crossing_of(ring: Sequence[XY], steps: int) -> tuple[XY | None, int]:
    """Where an outline first found crosses itself, None if it does not; and what is left of `steps`.

    The ring is cut into runs that go on one way both across and up; such a run cannot cross itself, and its bounds are
    its ends, so that pairs of runs are halved until they lie apart. Below 0 steps are left if they did not suffice.
    """
    points = [*ring, ring[0]]
    runs = _one_way_runs(points)
    boxes = sorted((min(points[a][0], points[b][0]), max(points[a][0], points[b][0]), a, b) for a, b in runs)
    for i, (_, right, a, b) in enumerate(boxes):
        for k in range(i + 1, len(boxes)):
            left, _, c, d = boxes[k]
            steps -= 1
            if left > right or steps < 0:
                break
            found, steps = _run_crossing(points, a, b, c, d, steps)
            if found:
                return found, steps
        if steps < 0:
            break
    return None, steps


def _one_way_runs(points: Sequence[XY]) -> list[tuple[int, int]]:
    runs: list[tuple[int, int]] = []
    start, across, up = 0, 0.0, 0.0
    x0, y0 = points[0]
    for i in range(1, len(points)):
        x, y = points[i]
        dx, dy = x - x0, y - y0
        if dx * across < 0.0 or dy * up < 0.0:
            runs.append((start, i - 1))
            start, across, up = i - 1, dx, dy
        else:
            if dx:
                across = dx
            if dy:
                up = dy
        x0, y0 = x, y
    runs.append((start, len(points) - 1))
    return runs


def _run_crossing(points: Sequence[XY], a: int, b: int, c: int, d: int, steps: int) -> tuple[XY | None, int]:
    """Where the run a..b crosses the run c..d."""
    pairs = [(a, b, c, d)]
    while pairs and steps >= 0:
        steps -= 1
        a, b, c, d = pairs.pop()
        (ax, ay), (bx, by), (cx, cy), (dx, dy) = points[a], points[b], points[c], points[d]
        if ax > bx:
            ax, bx = bx, ax
        if cx > dx:
            cx, dx = dx, cx
        if ax > dx or cx > bx:
            continue
        if ay > by:
            ay, by = by, ay
        if cy > dy:
            cy, dy = dy, cy
        if ay > dy or cy > by:
            continue
        if b - a == 1 and d - c == 1:
            found = _cross(points[a], points[b], points[c], points[d])
            if found:
                return found, steps
        elif b - a >= d - c:
            middle = (a + b) // 2
            pairs += ((a, middle, c, d), (middle, b, c, d))
        else:
            middle = (c + d) // 2
            pairs += ((a, b, c, middle), (a, b, middle, d))
    return None, steps


def _cross(a: XY, b: XY, c: XY, d: XY) -> XY | None:
    abx, aby, cdx, cdy = b[0] - a[0], b[1] - a[1], d[0] - c[0], d[1] - c[1]
    of_c = abx * (c[1] - a[1]) - aby * (c[0] - a[0])
    of_d = abx * (d[1] - a[1]) - aby * (d[0] - a[0])
    if of_c * of_d >= 0.0:
        return None
    of_a = cdx * (a[1] - c[1]) - cdy * (a[0] - c[0])
    of_b = cdx * (b[1] - c[1]) - cdy * (b[0] - c[0])
    if of_a * of_b >= 0.0:
        return None
    if min(abs(of_c), abs(of_d)) < _DEEP * hypot(abx, aby) or min(abs(of_a), abs(of_b)) < _DEEP * hypot(cdx, cdy):
        return None
    part = of_c / (of_c - of_d)
    return c[0] + cdx * part, c[1] + cdy * part
