"""Runs whose ends meet, chained into closed outlines: in any order and direction, across small gaps, past side lines.

Works on the numbers of runs only. A `Step` is a run and whether it is walked backwards; a chain is a list of steps. All
is done by places in a grid, so that the time grows with the number of runs and no faster.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Sequence
from math import atan2, floor
from typing import Final, NamedTuple, TypeAlias

from ..geometry.point import XY, distance
from ..geometry.polygon import area
from ..values import dataclass
from .limits import JOIN, NEAR, NET, Budget

MEET: Final = 0.02
"""Ends this near are one point, mm: the tolerance for lines drawn twice."""
_MOST: Final = 16
"""Ends that are looked at in one place, beside those of exactly the same point."""
_FEW: Final = 100
"""Ends that are compared each with each; more are looked up in a tree."""
_AT_ONCE: Final = 100_000
"""Pairs of ends that are held as numbers of Python at once."""
_SLACK: Final = 1e-6
"""So that a gap that is just as wide as allowed is closed, mm."""
_AHEAD: Final = 0.5
"""So far along a run its direction is looked for where several meet, mm."""
_ROUNDS: Final = 8
"""Outlines that may lie within each other and touch, before the rest is left open."""

Step: TypeAlias = tuple[int, bool]
Chain: TypeAlias = list[Step]


LineOf: TypeAlias = Callable[[int], list[XY]]
"""The points of a run, by its number: asked for where more than two meet."""


class Run(NamedTuple):
    """What chaining must know of an open run: its ends and its length."""

    start: XY
    end: XY
    length: float


@dataclass(frozen=True, slots=True)
class _Strand:
    """Runs in a row between two nodes at which not just two ends meet."""

    steps: Chain
    a: int
    b: int


def chained(
    runs: Sequence[Run], numbers: Iterable[int], gap: float, line_of: LineOf, budget: Budget
) -> tuple[list[Chain], list[int]]:
    """Closed chains of some of the runs, in the order of their first run, and the numbers of the runs left over.

    Ends within `MEET` are one point. Free ends within `gap` mm are joined, nearest first. Runs that end blindly at an
    outline do not keep it from closing; where lines part it, the outline is what goes round all of them.
    """
    live = list(numbers)
    budget.spend(JOIN, 2 * len(live))
    nodes = _Nodes(runs, live)
    closed, strands = nodes.strands(live)
    if strands and nodes.bridge(strands, gap, budget):
        rest = sorted(run for strand in strands for run, _ in strand.steps)
        more, strands = nodes.strands(rest)
        closed += more
    for _ in range(_ROUNDS):
        core = _core(strands)
        if not core:
            break
        more, core = nodes.strands(sorted(run for strand in core for run, _ in strand.steps))
        budget.spend(NET, sum(len(strand.steps) for strand in core))
        more += [cycle for component in _components(core) for cycle in _around(line_of, component)]
        if not more:
            break
        closed += more
        used = {run for chain in more for run, _ in chain}
        rest = sorted(run for strand in strands for run, _ in strand.steps if run not in used)
        again, strands = nodes.strands(rest)
        closed += again
    used = {run for chain in closed for run, _ in chain}
    closed.sort(key=min)
    return closed, [run for run in live if run not in used]


class _Nodes:
    """The points at which ends of runs meet; end 2 n is the start of run n, end 2 n + 1 its end."""

    def __init__(self, runs: Sequence[Run], live: Sequence[int]) -> None:
        self.runs = runs
        self.node = [-1] * (2 * len(runs))
        self.places: list[XY] = []
        self.ends: dict[int, list[int]] = {}  # of each node, once they are asked for
        exact: dict[tuple[float, float], int] = {}
        count: list[int] = []
        for number in live:
            run = runs[number]
            for end, place in ((2 * number, run.start), (2 * number + 1, run.end)):
                key = (round(place[0], 3), round(place[1], 3))
                node = exact.get(key)
                if node is None:
                    node = exact[key] = len(count)
                    self.places.append(place)
                    count.append(0)
                self.node[end] = node
                count[node] += 1
        odd = [node for node, number in enumerate(count) if number % 2]
        if odd:
            for end, node in enumerate(self.node):
                if node >= 0:
                    self.ends.setdefault(node, []).append(end)
            self._meet(odd)

    def _meet(self, odd: Sequence[int]) -> None:
        """Nodes with an odd number of ends take in the nearest node within `MEET`."""
        cells: dict[tuple[int, int], list[int]] = defaultdict(list)
        for node, (x, y) in enumerate(self.places):
            cells[floor(x / MEET), floor(y / MEET)].append(node)
        for node in odd:
            ends = self.ends.get(node, [])
            if len(ends) % 2 == 0:
                continue
            own = {end >> 1 for end in ends}
            best: tuple[bool, float, int] | None = None
            for other in _near(cells, self.places[node], MEET):
                if other == node or other not in self.ends:
                    continue
                off = distance(self.places[node], self.places[other])
                if off > MEET or any(
                    end >> 1 in own and self.runs[end >> 1].length < 4 * MEET for end in self.ends[other]
                ):
                    continue
                rank = (len(self.ends[other]) % 2 == 0, off, other)
                best = min(best or rank, rank)
            if best:
                self._merge(best[2], node)

    def _merge(self, keep: int, gone: int) -> None:
        for end in self.ends.pop(gone):
            self.node[end] = keep
            self.ends[keep].append(end)

    def strands(self, live: Sequence[int]) -> tuple[list[Chain], list[_Strand]]:
        """Closed chains, and strands between nodes at which not just two ends of the given runs meet."""
        node = self.node
        count, other = [0] * len(self.places), [0] * len(self.places)
        for run in live:
            for end in (2 * run, 2 * run + 1):
                count[node[end]] += 1
                other[node[end]] ^= end  # of two ends, either is this without the other
        seen: set[int] = set()

        def walk(end: int) -> tuple[Chain, int]:
            """From an end along its run, and on through nodes of two ends; where it stopped."""
            steps: Chain = []
            while True:
                run = end >> 1
                seen.add(run)
                steps.append((run, end & 1 == 1))
                at = node[end ^ 1]
                if count[at] != 2:
                    return steps, at
                end = other[at] ^ end ^ 1
                if end >> 1 in seen:
                    return steps, at

        strands: list[_Strand] = []
        for run in live:
            for end in (2 * run, 2 * run + 1):
                if count[node[end]] != 2 and run not in seen:
                    steps, stop = walk(end)
                    strands.append(_Strand(steps, node[end], stop))
        closed = [walk(2 * run)[0] for run in live if run not in seen]
        return closed, strands

    def bridge(self, strands: Sequence[_Strand], gap: float, budget: Budget) -> bool:
        """Join free ends, nearest first, within `gap` mm; whether any was."""
        gap += _SLACK
        count: dict[int, int] = defaultdict(int)
        for strand in strands:
            count[strand.a] += 1
            count[strand.b] += 1
        free: dict[int, int] = {}
        for number, strand in enumerate(strands):
            for at in (strand.a, strand.b):
                if count[at] == 1:
                    free[at] = number
        pairs = _pairs([self.places[at] for at in free], list(free), gap, budget)
        lengths = [sum(self.runs[run].length for run, _ in strand.steps) for strand in strands]
        parent = list(range(len(strands)))

        def root(i: int) -> int:
            while parent[i] != i:
                parent[i] = parent[parent[i]]
                i = parent[i]
            return i

        done = False
        for off, at, other in pairs:
            if at not in free or other not in free:
                continue
            a, b = root(free[at]), root(free[other])
            if a == b and lengths[a] < 5 * off:  # a dash is no outline
                continue
            if a != b:
                parent[b] = a
                lengths[a] += lengths[b]
            del free[at], free[other]
            self._merge(at, other)
            done = True
        return done


def _pairs(places: Sequence[XY], names: Sequence[int], gap: float, budget: Budget) -> Iterator[tuple[float, int, int]]:
    """Pairs of places within `gap` mm, nearest first: how far apart they are, and what they are called."""
    import numpy as np

    if len(places) < 2:
        return
    p, called = np.array(places, dtype=float), np.array(names)
    if len(places) <= _FEW:
        one, other = np.triu_indices(len(places), 1)
    else:
        from scipy.spatial import KDTree

        tree = KDTree(p)
        budget.spend(NEAR, int(tree.count_neighbors(tree, gap)) // 2)
        one, other = tree.query_pairs(gap, output_type="ndarray").T
    off = np.hypot(*(p[one] - p[other]).T)
    near = off <= gap
    one, other, off = called[one[near]], called[other[near]], np.round(off[near], 6)
    one, other = np.minimum(one, other), np.maximum(one, other)
    order = np.lexsort((other, one, off))
    for start in range(0, len(order), _AT_ONCE):
        some = order[start : start + _AT_ONCE]
        yield from zip(off[some].tolist(), one[some].tolist(), other[some].tolist(), strict=True)


def _near(cells: dict[tuple[int, int], list[int]], place: XY, size: float) -> Iterable[int]:
    x, y = floor(place[0] / size), floor(place[1] / size)
    for i in (x - 1, x, x + 1):
        for k in (y - 1, y, y + 1):
            yield from cells.get((i, k), ())[:_MOST]


def _core(strands: Sequence[_Strand]) -> list[_Strand]:
    """The strands that are left when those with a free end are taken away, again and again."""
    at: dict[int, set[int]] = defaultdict(set)
    count: dict[int, int] = defaultdict(int)
    for number, strand in enumerate(strands):
        for node in (strand.a, strand.b):
            at[node].add(number)
            count[node] += 1
    gone: set[int] = set()
    look = [node for node, number in count.items() if number == 1]
    while look:
        node = look.pop()
        if count[node] != 1:
            continue
        number = next(i for i in sorted(at[node]) if i not in gone)
        gone.add(number)
        for end in (strands[number].a, strands[number].b):
            count[end] -= 1
            at[end].discard(number)
            if count[end] == 1:
                look.append(end)
    return [strand for number, strand in enumerate(strands) if number not in gone]


def _components(strands: Sequence[_Strand]) -> list[list[_Strand]]:
    parent: dict[int, int] = {}

    def root(node: int) -> int:
        parent.setdefault(node, node)
        while parent[node] != node:
            parent[node] = parent[parent[node]]
            node = parent[node]
        return node

    for strand in strands:
        parent[root(strand.b)] = root(strand.a)
    found: dict[int, list[_Strand]] = defaultdict(list)
    for strand in strands:
        found[root(strand.a)].append(strand)
    return list(found.values())


def _around(line_of: LineOf, strands: Sequence[_Strand]) -> list[Chain]:
    """The closed chains that bound a net of strands on the outside; two where they meet in one point only.

    All faces of the net are walked, each turning off as sharply as it can; the outside is the one of greatest area.
    """
    lines = [_points(line_of, strand.steps) for strand in strands]
    # half-edge 2 i goes along strand i, 2 i + 1 back
    leaving: dict[int, list[tuple[float, int]]] = defaultdict(list)
    for number, strand in enumerate(strands):
        leaving[strand.a].append((_angle(lines[number]), 2 * number))
        leaving[strand.b].append((_angle(lines[number][::-1]), 2 * number + 1))
    after: dict[int, int] = {}
    for fan in leaving.values():
        fan.sort()
        for (_, one), (_, other) in zip(fan, [*fan[1:], fan[0]], strict=True):
            after[one ^ 1] = other  # arriving along `one` backwards, leave by the next to its left: the outside
    outside: list[int] = []
    greatest = 0.0
    seen: set[int] = set()
    for start in range(2 * len(strands)):
        if start in seen:
            continue
        face, half = [], start
        while half not in seen:
            seen.add(half)
            face.append(half)
            half = after[half]
        ring = [p for half in face for p in (lines[half >> 1][::-1] if half & 1 else lines[half >> 1])[:-1]]
        size = abs(area(ring)) if ring else 0.0
        if size > greatest * (1 + 1e-9):
            greatest, outside = size, face
    around = set(outside)
    both = {half >> 1 for half in outside if half ^ 1 in around}
    cycles: list[Chain] = []
    walked: list[tuple[int, int]] = []  # node it left, half-edge
    places: dict[int, int] = {}  # of the nodes that were left, in that list
    for half in outside:
        if half >> 1 in both:
            continue
        strand = strands[half >> 1]
        start, stop = (strand.b, strand.a) if half & 1 else (strand.a, strand.b)
        places.setdefault(start, len(walked))
        walked.append((start, half))
        back = places.get(stop)
        if back is not None:
            cycles.append([step for _, h in walked[back:] for step in _steps(strands[h >> 1], bool(h & 1))])
            for node, _ in walked[back:]:
                if places.get(node, -1) >= back:
                    del places[node]
            del walked[back:]
    return cycles


def _steps(strand: _Strand, backwards: bool) -> Chain:
    return [(run, not back) for run, back in reversed(strand.steps)] if backwards else strand.steps


def _points(line_of: LineOf, steps: Chain) -> list[XY]:
    points: list[XY] = []
    for run, back in steps:
        line = line_of(run)
        points += (line[::-1] if back else line)[1 if points else 0 :]
    return points


def _angle(line: Sequence[XY]) -> float:
    """The direction of a line at its beginning, radians."""
    start = line[0]
    ahead = next((p for p in line if distance(start, p) >= _AHEAD), line[-1])
    return atan2(ahead[1] - start[1], ahead[0] - start[0])
