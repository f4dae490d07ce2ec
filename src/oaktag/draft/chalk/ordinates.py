"""Ordinates of a curve: the places along it that are measured, so that a smooth curve through them is the true one."""

from __future__ import annotations

from cmath import phase
from collections.abc import Iterator, Sequence
from itertools import islice, pairwise
from math import ceil, sqrt
from typing import Final

from ...geometry.curve import Cubic
from ...geometry.path import Path
from ...geometry.point import Point, distance
from ...units import Unit
from ...values import dataclass
from .numbers import LADDER, told_at
from .smooth import between, led, spline

_SAG: Final = 7.0
"""Height of an arc between two ordinates to begin with, mm; the measure decides."""
_NEAR: Final = 2.6
"""How far a smooth curve through the printed ordinates may run from the true one, mm: less than the 1/8 in that the
card promises, since nobody draws the very curve that is measured here."""
_MOST: Final = 12
_PARTS: Final = (0.25, 0.3, 0.35, 0.5)
"""How far from its even place an ordinate may lie for a number of each rung of the ladder, in parts of a gap."""
_PROBES: Final = (0.25, 0.5, 0.75)


@dataclass(frozen=True, slots=True)
class Node:
    """A place on a curve, where its printed numbers lie, and its index among the samples; `name` if it has one."""

    at: Point
    told: Point
    sample: float
    name: str = ""


@dataclass(frozen=True, slots=True)
class _Samples:
    """A run of curves as places with their unit directions and how far along they lie, mm."""

    points: tuple[complex, ...]
    ways: tuple[complex, ...]
    far: tuple[float, ...]
    weight: tuple[float, ...]
    """Grows with length and with bend: ordinates are set evenly in it."""
    joints: tuple[int, ...]

    def point(self, i: int) -> Point:
        return Point(self.points[i].real, self.points[i].imag)

    def split(self, sample: float) -> tuple[int, float]:
        """The sample before that place, and the part of the way to the next."""
        i = min(int(sample), len(self.points) - 2)
        return i, sample - i

    def on_arc(self, i: int, part: float) -> complex:
        """Between a sample and the next, bent as the curve is there."""
        long = self.far[i + 1] - self.far[i]
        return between(self.points[i], self.ways[i], self.points[i + 1], self.ways[i + 1], long, part)

    def far_at(self, sample: float) -> float:
        i, part = self.split(sample)
        return self.far[i] + part * (self.far[i + 1] - self.far[i])


def ordinates(path: Path, zero: Point, unit: Unit, named: tuple[tuple[int, str], ...]) -> tuple[Node, ...]:
    """Nodes along a smooth run: its ends, its named joints (index of the joint, name), and what lies between.

    Each ordinate lies at a round distance from one of the two lines through `zero`; only the other number is rounded.
    More are taken where a smooth curve through the printed places, free at its ends or held to the true direction
    there, strays further than `_NEAR` from the true one.
    """
    s, names = _sampled(path), dict(named)
    last = len(s.joints) - 1
    fixed = [
        Node(s.point(i), told_at(s.point(i), zero, unit), i, names.get(k, ""))
        for k, i in enumerate(s.joints)
        if k in (0, last) or k in names
    ]
    spans = list(pairwise(fixed))
    counts = [max(0, ceil(s.weight[int(b.sample)] - s.weight[int(a.sample)] - 0.3) - 1) for a, b in spans]
    if len(spans) == 1:
        counts = [max(1, counts[0])]
    while True:
        inner = [tuple(_set(s, a, b, count, zero, unit)) for (a, b), count in zip(spans, counts, strict=True)]
        nodes = fixed[:1]
        for (_, end), found in zip(spans, inner, strict=True):
            nodes += [*found, end]
        strayed = iter(_strayed(s, nodes))
        worst = [max(islice(strayed, len(found) + 1)) for found in inner]
        more = [far > _NEAR and count < _MOST for far, count in zip(worst, counts, strict=True)]
        if not any(more):
            return tuple(nodes)
        counts = [count + add for count, add in zip(counts, more, strict=True)]


def _sampled(path: Path) -> _Samples:
    points, ways, joints = [complex(*path[0].start)], [complex(*path[0].way(0.0))], [0]
    for curve in path:
        count = 12 if isinstance(curve, Cubic) else 4
        for i in range(1, count + 1):
            points.append(complex(*curve.at(i / count)))
            ways.append(complex(*curve.way(i / count)))
        joints.append(len(points) - 1)
    far, weight = [0.0], [0.0]
    for (a, b), (before, after) in zip(pairwise(points), pairwise(ways), strict=True):
        step = abs(b - a)
        turn = abs(phase(after * before.conjugate()))
        far.append(far[-1] + step)
        weight.append(weight[-1] + sqrt(step * turn / 8 / _SAG) + step / 250)
    return _Samples(tuple(points), tuple(ways), tuple(far), tuple(weight), tuple(joints))


def _set(s: _Samples, a: Node, b: Node, count: int, zero: Point, unit: Unit) -> Iterator[Node]:
    """Up to so many nodes between two others, spread evenly by weight; none as good as on another."""
    first, last = int(a.sample), int(b.sample)
    gap = (s.weight[last] - s.weight[first]) / (count + 1)
    before = a.sample
    for k in range(1, count + 1):
        node = _round_place(s, s.weight[first] + gap * k, gap, zero, unit, range(first, last))
        if before < node.sample < b.sample and min(distance(node.told, a.told), distance(node.told, b.told)) > 3.0:
            before = node.sample
            yield node


def _round_place(s: _Samples, ideal: float, gap: float, zero: Point, unit: Unit, within: range) -> Node:
    """The place nearest the ideal one at a round distance down (where the curve is steep) or across (where flat)."""
    i = next(j for j in range(within[0], within[-1] + 2) if s.weight[j] >= ideal)
    steep = abs(s.ways[i].imag) >= abs(s.ways[i].real)
    values = [p.imag if steep else p.real for p in s.points]
    start = zero.y if steep else zero.x
    for step, part in zip(LADDER[unit], _PARTS, strict=False):
        target = start + round((values[i] - start) / step) * step
        crossed = [
            j for j in within if (values[j] - target) * (values[j + 1] - target) <= 0 and values[j] != values[j + 1]
        ]
        if not crossed:
            continue
        j = min(crossed, key=lambda j: abs(j + 1 - i))
        t = (target - values[j]) / (values[j + 1] - values[j])
        if abs(s.weight[j] + t * (s.weight[j + 1] - s.weight[j]) - ideal) <= part * gap:
            at = s.on_arc(j, t)
            place = Point(at.real, target) if steep else Point(target, at.imag)
            return Node(place, told_at(place, zero, unit), j + t)
    return Node(s.point(i), told_at(s.point(i), zero, unit), i)


def _strayed(s: _Samples, nodes: Sequence[Node]) -> list[float]:
    """For each span between nodes, how far a smooth curve through the printed places runs from the true one, mm."""
    told = [complex(*node.told) for node in nodes]
    gaps = [max(1e-6, abs(b - a)) for a, b in pairwise(told)]
    first, last = s.ways[0], s.ways[-1]
    by_neighbours = led(told, gaps)
    drawn = (
        spline(told, gaps), spline(told, gaps, first, last), by_neighbours, [first, *by_neighbours[1:-1], last],
    )  # fmt: skip
    far = [s.far_at(node.sample) for node in nodes]
    worst = []
    for i, gap in enumerate(gaps):
        leaving, arriving = [ways[i] for ways in drawn], [ways[i + 1] for ways in drawn]
        off: list[float] = []
        for t in _PROBES:
            along, base, way = _probe(s, nodes[i].sample + t * (nodes[i + 1].sample - nodes[i].sample))
            part = (along - far[i]) / max(1e-9, far[i + 1] - far[i])
            mirrored = way.conjugate()
            here = between(told[i], 0, told[i + 1], 0, gap, part) - base
            bent = [
                gap * part * (1 - part) * ((1 - part) * a - part * b) for a, b in zip(leaving, arriving, strict=True)
            ]
            off += [((here + more) * mirrored).imag for more in bent]
        worst.append(max(map(abs, off)))
    return worst


def _probe(s: _Samples, sample: float) -> tuple[float, complex, complex]:
    """A place of the true curve: how far along it lies, mm, where, and the direction there."""
    i, part = s.split(sample)
    way = s.ways[i] + part * (s.ways[i + 1] - s.ways[i])
    return s.far[i] + part * (s.far[i + 1] - s.far[i]), s.on_arc(i, part), way
