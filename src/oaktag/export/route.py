"""In which order a pen draws: the nearest end next, then the long ways of that walk shortened."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from math import hypot, inf
from typing import Final, TypeAlias

from ..values import dataclass

Spot: TypeAlias = tuple[int, int]
Ends: TypeAlias = tuple[Spot, Spot]
"""Where a run begins and ends, plotter units."""
Step: TypeAlias = tuple[int, bool]
"""Number of a run, and whether it is drawn from its last point to its first."""

_FAR: Final = 60
"""So many runs further on in the walk an exchange is looked for (our own choice: more gains less than 1 %)."""
_ROUNDS: Final = 8
_RUNS: Final = 150
"""So many runs are gone through again after two rounds over all; more gain 0.5 % of the way for twice the time (our own
choice)."""
_MANY: Final = 1000
_LONG: Final = 1.5
"""Of more than _MANY runs a leg is looked at if it is so many times as long as the middle one."""


def tour(ends: Sequence[Ends], at: Spot) -> list[Step]:
    """A short way through all runs from `at`: greedy, then 2-opt and single runs moved elsewhere."""
    return shortened(ends, walk(ends, at), at)


def travel(ends: Sequence[Ends], steps: Sequence[Step], at: Spot) -> float:
    """The way from `at` to the first run and from run to run, plotter units."""
    total = 0.0
    x, y = at
    for number, turned in steps:
        a, b = ends[number]
        if turned:
            a, b = b, a
        total += hypot(a[0] - x, a[1] - y)
        x, y = b
    return total


def walk(ends: Sequence[Ends], at: Spot) -> list[Step]:
    """Number, and whether it is turned, of the nearest pair of ends each time.

    Ends are kept sorted along X and linked, so that a search looks only at those nearer in X than the best so far.
    """
    entries = sorted(
        (pair[end][0], pair[end][1], number, end)
        for number, pair in enumerate(ends)
        for end in ((0,) if pair[0] == pair[1] else (0, 1))
    )
    count = len(entries)
    xs = [entry[0] for entry in entries]
    ys = [entry[1] for entry in entries]
    places = {(number, end): i for i, (_, _, number, end) in enumerate(entries)}
    # Slot `count` closes the chain at both ends.
    after = [*range(1, count + 1), 0]
    before = [count, *range(count)]
    right = bisect_left(xs, at[0])
    left = right - 1 if right else count
    x, y = at
    steps: list[Step] = []
    for _ in ends:
        best, nearest = 1 << 80, count
        for i, beyond in ((right, after), (left, before)):
            while i != count:
                dx = xs[i] - x
                if dx * dx >= best:
                    break
                dy = ys[i] - y
                if dx * dx + dy * dy < best:
                    best, nearest = dx * dx + dy * dy, i
                i = beyond[i]
        _, _, number, end = entries[nearest]
        steps.append((number, end == 1))
        last = places.get((number, 1 - end), nearest)
        for i in (nearest, last) if last != nearest else (nearest,):
            after[before[i]], before[after[i]] = after[i], before[i]
        x, y, left, right = xs[last], ys[last], before[last], after[last]
    return steps


def shortened(ends: Sequence[Ends], steps: Sequence[Step], at: Spot) -> list[Step]:
    """The same runs by a way that is no longer: stretches turned round (2-opt), single runs put elsewhere (or-opt).

    The first leg begins at `at`, the last run is free. Croes, A method for solving traveling-salesman problems (1958),
    for 2-opt; both from memory.
    """
    count = len(steps)
    if count < 2:
        return list(steps)
    way = _Way(
        [number for number, _ in steps],
        [complex(*(ends[number][1] if turned else ends[number][0])) for number, turned in steps],
        [complex(*(ends[number][0] if turned else ends[number][1])) for number, turned in steps],
        [turned for _, turned in steps],
        complex(*at),
        [0.0] * (count + 1),
    )
    way.measure(0, count)
    least = 1.0
    if count > _MANY:
        least = max(least, _LONG * sorted(way.legs[:-1])[count // 2])
    for _ in range(min(_ROUNDS, 2 + _RUNS // count)):
        if _turned_round(way, least) + _moved(way, least) < 1.0:
            break
    return list(zip(way.order, way.flipped, strict=True))


@dataclass(slots=True)
class _Way:
    """Runs in their order: numbers, where each is entered and left (x + y·i), whether it is turned, and the legs: the
    way to each run, and none behind the last."""

    order: list[int]
    enter: list[complex]
    leave: list[complex]
    flipped: list[bool]
    at: complex
    legs: list[float]

    def measure(self, first: int, end: int) -> None:
        """The legs to the runs from `first` to before `end`, anew."""
        for i in range(first, min(end, len(self.order))):
            self.legs[i] = abs(self.enter[i] - (self.leave[i - 1] if i else self.at))


def _turned_round(way: _Way, least: float) -> float:
    order, enter, leave, flipped, legs = way.order, way.enter, way.leave, way.flipped, way.legs
    count = len(order)
    gained = 0.0
    for i in range(count):
        old = legs[i]
        if old <= least:
            continue
        a, b = leave[i - 1] if i else way.at, enter[i]
        best, at_j = 1e-6, -1
        for j in range(i, min(count, i + _FAR)):
            gain = old + legs[j + 1] - abs(leave[j] - a)
            if gain > best and (j + 1 == count or (gain := gain - abs(enter[j + 1] - b)) > best):
                best, at_j = gain, j
        if at_j >= 0:
            gained += best
            part = slice(i, at_j + 1)
            order[part] = order[part][::-1]
            enter[part], leave[part] = leave[part][::-1], enter[part][::-1]
            flipped[part] = [not turned for turned in reversed(flipped[part])]
            way.measure(i, at_j + 2)
    return gained


def _moved(way: _Way, least: float) -> float:
    order, enter, leave, flipped, legs = way.order, way.enter, way.leave, way.flipped, way.legs
    count = len(order)
    gained = 0.0
    for i in range(count):
        before = leave[i - 1] if i else way.at
        e, x = enter[i], leave[i]
        there = legs[i] + (legs[i + 1] - abs(enter[i + 1] - before) if i + 1 < count else 0.0)
        if there <= least:
            continue
        best, to, turned = 1e-6, -1, False
        own = abs(e - x) + 1e-6  # turned round, a run begins nearer by no more than that
        low, high = max(0, i - _FAR), min(count + 1, i + _FAR)
        came = leave[low - 1 : high - 1] if low else [way.at, *leave[: high - 1]]
        for j, (leg, p) in enumerate(zip(legs[low:high], came, strict=True), low):
            if i <= j <= i + 1:
                continue
            room = there + leg
            gain = room - abs(e - p)
            if gain + own <= best:
                continue
            if gain > best and (j == count or (gain := gain - abs(enter[j] - x)) > best):
                best, to, turned = gain, j, False
            gain = room - abs(x - p)
            if gain > best and (j == count or (gain := gain - abs(enter[j] - e)) > best):
                best, to, turned = gain, j, True
        if to >= 0:
            gained += best
            place = to if to < i else to - 1
            order.insert(place, order.pop(i))
            flipped.insert(place, flipped.pop(i) != turned)
            for ends in (enter, leave):
                ends.pop(i)
            enter.insert(place, x if turned else e)
            leave.insert(place, e if turned else x)
            way.measure(min(i, place), max(i, place) + 2)
    return gained


def grouped(ends: Sequence[Ends], near: float) -> list[list[int]]:
    """Numbers of the runs in the order given, those together that follow one another within `near` units."""
    groups: list[list[int]] = []
    x, y = inf, inf
    for number, (start, end) in enumerate(ends):
        if abs(start[0] - x) <= near and abs(start[1] - y) <= near:
            groups[-1].append(number)
        else:
            groups.append([number])
        x, y = end
    return groups


def ends_of(groups: Sequence[Sequence[int]], ends: Sequence[Ends]) -> list[Ends]:
    """Where each group begins and ends."""
    return [(ends[group[0]][0], ends[group[-1]][1]) for group in groups]
