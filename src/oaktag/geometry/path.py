"""Runs of curves joined end to end: their length, points along them, parts of them, lines parallel to them."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterable, Sequence
from math import hypot
from typing import Final, TypeAlias

from ..errors import GeometryError
from .affine import Move
from .curve import CHORD, Cubic, Curve, Line
from .point import XY, Point, Polyline, along, between, direction, distance, meeting, mirrored, right_of

Path: TypeAlias = tuple[Curve, ...]

_BETWEEN: Final = 0.85
"""The share of a tolerance that eight samples may use up; the worst may lie between two of them."""
_EIGHTHS: Final = (4, 2, 6, 1, 7, 3, 5)
"""The samples, the middle first: what is off is so there, mostly."""


def path_length(path: Iterable[Curve]) -> float:
    """Length of the run, mm, on the exact curves."""
    return sum(curve.length() for curve in path)


def flatten(path: Sequence[Curve], chord: float = CHORD) -> list[XY]:
    """All points of the run, first and last included, within `chord` mm of the curves."""
    points: list[XY] = [path[0].start]
    for curve in path:
        points.extend(curve.flat(chord))
    return points


def reverse(path: Sequence[Curve]) -> Path:
    """The same run walked the other way."""
    return tuple(curve.reversed() for curve in reversed(path))


def moved_path(path: Iterable[Curve], move: Move) -> Path:
    """The run moved, curve by curve; a move keeps every length."""
    return tuple(curve.with_controls(tuple(move.point(p) for p in curve.controls())) for curve in path)


def solve(function: Callable[[float], float], low: float, high: float, *, near: float = 1e-6) -> float:
    """Root of a monotone function between low and high, to `near` in its value (Illinois false position).

    Raises GeometryError when the ends have the same sign.
    """
    f_low, f_high = function(low), function(high)
    if abs(f_low) <= near:
        return low
    if abs(f_high) <= near:
        return high
    if f_low * f_high > 0:
        raise GeometryError(f"no solution between {low:g} and {high:g}")
    side = 0
    middle = low
    for _ in range(200):
        middle = (f_low * high - f_high * low) / (f_low - f_high)
        value = function(middle)
        if abs(value) <= near or abs(high - low) < 1e-12:
            return middle
        if value * f_high > 0:
            high, f_high = middle, value
            if side == -1:
                f_low /= 2
            side = -1
        else:
            low, f_low = middle, value
            if side == 1:
                f_high /= 2
            side = 1
    return middle


def parameter_at(curve: Curve, far: float, length: float, *, near: float = 1e-6) -> float:
    """The parameter at which a curve, `length` mm long, is `far` mm long, 0 <= far <= length, to `near` mm.

    Newton's steps, since the speed along the curve is known; halved where they would leave what is left to search.
    """
    t = far / length if length else 0.0
    if isinstance(curve, Line):
        return t
    low, high = 0.0, 1.0
    for _ in range(60):
        over = curve.split(t)[0].length() - far
        if abs(over) <= near:
            break
        low, high = (t, high) if over < 0 else (low, t)
        speed = hypot(*curve.speed(t))
        t = t - over / speed if speed * low < speed * t - over < speed * high else (low + high) / 2
    return t


def place_at(path: Sequence[Curve], far: float) -> tuple[Point, Point]:
    """Point and unit direction `far` mm along the run; the ends are held."""
    if far <= 0:
        return path[0].start, path[0].way(0.0)
    for curve in path:
        length = curve.length()
        if far <= length:
            t = parameter_at(curve, far, length)
            return curve.at(t), curve.way(t)
        far -= length
    return path[-1].end, path[-1].way(1.0)


def part(path: Sequence[Curve], start: float, end: float) -> Path:
    """The run between two distances along it, mm."""
    kept: list[Curve] = []
    walked = 0.0
    for curve in path:
        length = curve.length()
        a, b = max(0.0, start - walked), min(length, end - walked)
        if b - a > 1e-9:
            piece = curve
            if b < length - 1e-9:
                piece = piece.split(parameter_at(piece, b, length))[0]
            if a > 1e-9:
                piece = piece.split(parameter_at(piece, a, piece.length()))[1]
            kept.append(piece)
        walked += length
    return tuple(kept)


def parallel(path: Sequence[Curve], by: float, *, within: float = 0.01) -> Path:
    """The run moved `by` mm to its right (left if negative), as curves within `within` mm of the true parallel.

    Where two curves meet at a corner, their parallels are led on to their meeting point, or cut off there.
    Each cubic is halved until a cubic with the exact end points and end derivatives of the parallel comes near
    enough (the derivative of a parallel curve is that of the curve times 1 + curvature × distance).
    Raises GeometryError where the curve bends more sharply than `by`, so that the parallel would fold back.
    """
    moved: list[Curve] = []
    for curve in path:
        if isinstance(curve, Line):
            way = right_of(curve.way(0.0))
            run: list[Curve] = [Line(along(curve.a, way, by), along(curve.b, way, by))]
        else:
            run = _parallel_cubic(curve, by, within, 0)
        if moved and distance(moved[-1].end, run[0].start) > 1e-6:
            if distance(moved[-1].end, run[0].start) < within:  # they run on into each other
                run = list(pinned(tuple(run), moved[-1].end))
            else:
                _join(moved, run)
        moved.extend(run)
    return tuple(moved)


def _join(before: list[Curve], after: list[Curve]) -> None:
    """Lead two parallel runs on to the point where they meet, or cut them off there (straight runs only)."""
    a, b = before[-1], after[0]
    met = meeting(a.end, a.way(1.0), b.start, b.way(0.0))
    if met is None:
        raise GeometryError("a line turns back on itself, so no line runs parallel to it")
    if isinstance(a, Line):
        before[-1] = Line(a.a, met)
    else:
        before.append(Line(a.end, met))
    if isinstance(b, Line):
        after[0] = Line(met, b.b)
    else:
        after.insert(0, Line(met, b.start))


def _parallel_cubic(curve: Cubic, by: float, within: float, depth: int) -> list[Curve]:
    def place(t: float) -> Point:
        return along(curve.at(t), right_of(curve.way(t)), by)

    def handle(t: float) -> Point:
        scale = (1.0 + curve.bend(t) * by) / 3.0
        if scale <= 0:
            raise GeometryError(f"a curve bends more sharply than {abs(by):.1f} mm, so no line runs parallel to it")
        speed = curve.speed(t)
        return Point(speed[0] * scale, speed[1] * scale)

    guess = Cubic.leaving_and_arriving(place(0.0), handle(0.0), place(1.0), handle(1.0))
    if depth > 8 or all(abs(_gap(guess, curve, i / 8, by)) <= _BETWEEN * within for i in _EIGHTHS):
        return [guess]
    first, second = curve.split(0.5)
    return _parallel_cubic(first, by, within, depth + 1) + _parallel_cubic(second, by, within, depth + 1)


def _gap(guess: Cubic, curve: Cubic, t: float, by: float) -> float:
    """How far the guess at t is from the parallel, measured square to it."""
    (x, y), on, at = curve.way(t), curve.at(t), guess.at(t)
    return (at[0] - (on[0] + y * by)) * -y + (at[1] - (on[1] - x * by)) * x


def polyline_length(points: Polyline) -> float:
    """Length of an open line through the points, mm."""
    return sum(distance(a, b) for a, b in itertools.pairwise(points))


def place_on(points: Polyline, far: float) -> tuple[Point, Point]:
    """Point and unit direction `far` mm along an open line; its last point beyond the end."""
    for a, b in itertools.pairwise(points):
        length = distance(a, b)
        if far <= length and length > 0:
            return between(a, b, far / length), direction(a, b)
        far -= length
    return Point(*points[-1]), direction(points[-2], points[-1])


def pinned(path: Path, start: Point | None = None, end: Point | None = None) -> Path:
    """The run with one end or both laid exactly on points that they are next to; the ends' handles stay."""
    if start is not None:
        path = (path[0].with_controls((start, *path[0].controls()[1:])), *path[1:])
    if end is not None:
        path = (*path[:-1], path[-1].with_controls((*path[-1].controls()[:-1], end)))
    return path


def mirror(path: Iterable[Curve], a: XY, way: XY) -> Path:
    """The run mirrored about the line through a along the unit vector `way`."""
    return tuple(curve.with_controls(tuple(mirrored(p, a, way) for p in curve.controls())) for curve in path)


def shifted(path: Iterable[Curve], dx: float, dy: float) -> Path:
    """The run moved by (dx, dy)."""
    return tuple(curve.with_controls(tuple(Point(p.x + dx, p.y + dy) for p in curve.controls())) for curve in path)


def until_line(path: Sequence[Curve], a: XY, way: XY) -> Path:
    """The run up to where it first crosses the line through a along `way`; led straight on to it if it stops short.

    Raises GeometryError if it runs away from the line.
    """

    def side(p: XY) -> float:
        return way[0] * (p[1] - a[1]) - way[1] * (p[0] - a[0])

    kept: list[Curve] = []
    start = side(path[0].start)
    for curve in path:
        if start * side(curve.end) <= 0:
            t = solve(lambda t: side(curve.at(t)), 0.0, 1.0, near=1e-9)  # noqa: B023 - used at once
            kept.append(curve.split(t)[0])
            return tuple(kept)
        kept.append(curve)
    end = path[-1].end
    met = meeting(end, path[-1].way(1.0), a, way)
    if met is None or (met[0] - end[0]) * path[-1].way(1.0)[0] + (met[1] - end[1]) * path[-1].way(1.0)[1] < 0:
        raise GeometryError("a run does not reach the line it is to be cut at")
    return (*kept, Line(end, met))
