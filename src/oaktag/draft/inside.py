"""Lines that run inside a piece, beside some of its edges, to where they meet the edges beside those."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import suppress
from itertools import pairwise
from math import hypot, inf, radians, sin
from typing import Final

from ..errors import GeometryError
from ..geometry.affine import Move
from ..geometry.curve import Cubic, Curve, Line
from ..geometry.path import Path, parallel, path_length, pinned, place_at
from ..geometry.point import Point, along, distance, right_of, turn_deg
from ..geometry.polygon import distance_to_segment
from ..values import dataclass
from .stretches import cut_run

_CORNER: Final = 5.0
"""What turns by more is a corner, degrees."""
_STRAIGHT: Final = 0.25
"""What turns by less is straight, degrees."""
_TINY: Final = 1e-3
"""A line that would be led on by less, mm, ends where it is."""
_ACROSS: Final = 0.42
"""Both handles of a curve that joins two edges, by the way across."""
_BEYOND: Final = 0.2
"""Chords may cross so far beyond their ends, by their length, where curves do at theirs."""
_FAIRED: Final = 2.0
"""A line beside an edge is faired over so many times its distance from it."""


def widest(works: Callable[[float], object], low: float, high: float) -> float:
    """The greatest width between two with which a drawing works, found by trying, to 0.1 mm: it raises GeometryError
    where it does not."""
    while high - low > 0.1:
        middle = (low + high) / 2
        with suppress(GeometryError):
            works(middle)
            low = middle
            continue
        high = middle
    return low


# ---------------------------------------------------------------- where runs cross


@dataclass(frozen=True, slots=True)
class Met:
    """Where a run crosses another: the place, and how far along both it lies, mm."""

    at: Point
    far: float
    on_other: float


def crossing(path: Path, other: Path) -> Met | None:
    """Where a run first crosses another, on the exact curves."""
    walked = 0.0
    for curve in path:
        found = []
        beside = 0.0
        for against in other:
            for t, u in _hits(curve, against):
                met = Met(curve.at(t), walked + _up_to(curve, t), beside + _up_to(against, u))
                found.append((t, beside, met))
            beside += against.length()
        if found:
            return min(found, key=lambda hit: hit[:2])[2]
        walked += curve.length()
    return None


def _up_to(curve: Curve, t: float) -> float:
    return curve.length() * t if isinstance(curve, Line) else curve.split(t)[0].length() if t > 0 else 0.0


def _hits(a: Curve, b: Curve) -> Iterator[tuple[float, float]]:
    """The parameters at which two curves cross: where their chords do, then by Newton's steps."""
    boxes = [[(min(axis), max(axis)) for axis in zip(*curve.controls(), strict=True)] for curve in (a, b)]
    if any(low > top + 1 or bottom > high + 1 for (low, high), (bottom, top) in zip(*boxes, strict=True)):
        return
    own, walls = ([curve.start, *curve.flat(0.2)] for curve in (a, b))
    for i, (p, q) in enumerate(pairwise(own)):
        for j, (c, d) in enumerate(pairwise(walls)):
            s, t = ((d[0] - c[0]) * (e[1] - c[1]) - (d[1] - c[1]) * (e[0] - c[0]) for e in (p, q))
            u, v = ((q[0] - p[0]) * (e[1] - p[1]) - (q[1] - p[1]) * (e[0] - p[0]) for e in (c, d))
            if s != t and u != v and all(-_BEYOND < x < 1 + _BEYOND for x in (s / (s - t), u / (u - v))):
                hit = _refined(a, (i + s / (s - t)) / (len(own) - 1), b, (j + u / (u - v)) / (len(walls) - 1))
                if hit is not None:
                    yield hit


def _refined(a: Curve, t: float, b: Curve, u: float) -> tuple[float, float] | None:
    for _ in range(12):
        p, q = a.at(t), b.at(u)
        x, y = q.x - p.x, q.y - p.y
        if hypot(x, y) < 1e-10:
            break
        one, two = _speed(a, t), _speed(b, u)
        cross = two.x * one.y - one.x * two.y
        if abs(cross) < 1e-12:
            return None
        t = min(1.0, max(0.0, t + (two.x * y - two.y * x) / cross))
        u = min(1.0, max(0.0, u + (one.x * y - one.y * x) / cross))
    return (t, u) if distance(a.at(t), b.at(u)) < 1e-6 else None


def _speed(curve: Curve, t: float) -> Point:
    return Point(curve.b.x - curve.a.x, curve.b.y - curve.a.y) if isinstance(curve, Line) else curve.speed(t)


def far_along(path: Path, p: Point) -> tuple[float, float]:
    """How far along a run the place nearest to a point lies, and how far from it, mm."""
    best, walked = (inf, 0.0), 0.0
    for curve in path:
        chords = list(pairwise([curve.start, *curve.flat(0.2)]))
        i = min(range(len(chords)), key=lambda k: distance_to_segment(p, *chords[k]))
        low, high = i / len(chords), (i + 1) / len(chords)
        for _ in range(50):
            t = (low + high) / 2
            at, way = curve.at(t), curve.way(t)
            ahead = (p.x - at.x) * way.x + (p.y - at.y) * way.y
            low, high = (t, high) if ahead > 0 else (low, t)
        best = min(best, (distance(curve.at(low), p), walked + _up_to(curve, low)))
        walked += curve.length()
    return best[1], best[0]


def led_on(path: Path, by: float) -> Path:
    """The run with straight ends added."""
    a, b = path[0], path[-1]
    return (Line(along(a.start, a.way(0.0), -by), a.start), *path, Line(b.end, along(b.end, b.way(1.0), by)))


# ---------------------------------------------------------------- lines beside a run


def beside(run: Path, wide: float, rounded: float = 0.0) -> Path:
    """The line `wide` mm to the left of a run, inside its piece; where the run has a corner outwards it has one too,
    rounded over `rounded` mm. Raises GeometryError where the run bends too sharply."""
    stretches: list[list[Curve]] = [[run[0]]]
    for one, other in pairwise(run):
        if turn_deg(one.way(1.0), other.way(0.0)) > _CORNER:
            stretches.append([])
        stretches[-1].append(other)
    line = parallel(stretches[0], -wide)
    for stretch in stretches[1:]:
        after = parallel(stretch, -wide)
        met = crossing(line, after)
        if met is None:
            raise GeometryError(f"an edge is too short for a line {wide:.1f} mm beside it and its neighbour")
        line, after = cut_run(line, met.far - rounded)[0], cut_run(after, met.on_other + rounded)[1]
        line = (
            (*line, _curve(line[-1].end, line[-1].way(1.0), after[0].start, after[0].way(0.0), 0.55 * rounded))
            if rounded > 0
            else pinned(line, end=met.at)
        )
        line = (*line, *pinned(after, line[-1].end))
    return line


def ended(line: Path, run: Path, side: Path, wide: float) -> tuple[Path, float]:
    """The line `wide` mm beside a run from where it meets the edge beside the run's start, and how far along that, mm;
    both lead away from the corner that they have with each other.

    It crosses a straight edge where it does; one that is curved, or that a curved run meets aslant, as the run does, at
    the same angle, and, if it is curved itself, as far from the corner as if that were straight: so it goes on smoothly
    over a seam there, and both sides of that are as long. Raises GeometryError if the edge is too short.
    """
    corner = Move.turned(turn_deg(side[0].way(0.0), run[0].way(0.0)))
    far, first = wide / abs(corner.yx) if corner.yx else inf, line[0]
    longer = (Line(along(first.start, first.way(0.0), -8 * wide), first.start), *line)
    met = crossing(side, longer)
    meet, way = place_at(side, far)
    if met is not None and isinstance(first, Line):
        far, meet, way = met.far, met.at, place_at(side, met.far)[1]
    aslant = not isinstance(run[0], Line) and abs(corner.xx) > sin(radians(_STRAIGHT))
    if far < path_length(side) and (aslant or abs(turn_deg(side[0].way(0.0), way)) > _STRAIGHT):
        kept = cut_run(line, min(_FAIRED * wide, path_length(line) / 2))[1]
        leave, start, arrive = corner.point(way), kept[0].start, kept[0].way(0.0)
        return (_curve(meet, leave, start, arrive, 0.36 * distance(meet, start)), *kept), far
    if met is None:
        raise GeometryError(f"a line {wide:.1f} mm inside does not reach it")
    kept = cut_run(longer, met.on_other)[1]
    while len(kept) > 1 and kept[0].length() < _TINY:  # it all but ends there already
        kept = kept[1:]
    return pinned(kept, met.at), met.far


def across(start: Path, far: float, end: Path, beyond: float) -> Path:
    """One curve, square to both, from a place so far along the edge at the start of a run to one so far along that at
    its end; both edges lead away from the run."""
    (a, down), (b, away) = place_at(start, far), place_at(end, beyond)
    leave, arrive = right_of(down), right_of(away)
    return (_curve(a, leave, b, arrive, _ACROSS * abs((b.x - a.x) * arrive.x + (b.y - a.y) * arrive.y)),)


def _curve(a: Point, leave: Point, b: Point, arrive: Point, reach: float) -> Cubic:
    """From a to b along two unit directions."""
    return Cubic.leaving_and_arriving(a, (leave.x * reach, leave.y * reach), b, (arrive.x * reach, arrive.y * reach))
