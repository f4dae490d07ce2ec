"""Edges as they are drawn: in runs from corner to corner, each with a ruler or as one curve."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Final, TypeAlias

from ...geometry.curve import Cubic, Curve, Line
from ...geometry.path import Path, reverse
from ...geometry.point import XY, Point, direction, distance
from ...model.piece import Edge, Piece
from ...units import Unit
from ...values import dataclass
from .marks import Frame
from .ordinates import Node
from .places import SAME, is_leg, point_name, words_at

OrdinatesOf: TypeAlias = Callable[[Path, Point, Unit, tuple[tuple[int, str], ...]], tuple[Node, ...]]
Runs: TypeAlias = Mapping[str, tuple["Run", ...]]
"""Name of an edge -> its runs, read downwards, or outwards."""
_STRAIGHT: Final = 0.7
"""A run that bends less than this is joined with a ruler, mm."""
_LONG: Final = 30.0
"""A straight part of an edge from this length on is told apart from the curve that it runs into, mm."""
_SMOOTH: Final = 0.9986  # cosine of 3 degrees
_SQUARE: Final = 0.9994  # cosine of 2 degrees


@dataclass(frozen=True, slots=True)
class Run:
    """A part of an edge from corner to corner, or a straight part: joined with a ruler (no nodes), or a curve."""

    edge: str
    path: Path
    nodes: tuple[Node, ...] = ()

    @property
    def straight(self) -> bool:
        return not self.nodes

    @property
    def ends(self) -> tuple[Point, Point]:
        return self.path[0].start, self.path[-1].end

    def at_end(self, p: Point) -> bool:
        return any(distance(end, p) < SAME for end in self.ends)


def runs_of(piece: Piece, frame: Frame, unit: Unit, ordinates_of: OrdinatesOf) -> Runs:
    """All edges cut at their corners, and where a long straight part begins or ends."""
    zero = Point(frame.x, frame.y)

    def run_of(edge: Edge, path: Path) -> Run:
        path = reverse(path) if _upwards(path) else path
        if _bends(path) <= _STRAIGHT:
            return Run(edge.name, path)
        joints = [(k, curve.end) for k, curve in enumerate(path[:-1], start=1)]
        named = tuple((k, words_at(piece, p)) for k, p in joints if point_name(piece, p) or is_leg(piece, p))
        return Run(edge.name, path, ordinates_of(path, zero, unit, named))

    found = {edge.name: tuple(run_of(edge, path) for path in _parted(edge)) for edge in piece.edges}
    return {edge.name: found[edge.name][:: -1 if _upwards(edge.curves) else 1] for edge in piece.edges}


def square_to(run: Run, at: Point, runs: Runs, frame: Frame, level: str) -> str:
    """What the run is square to at one of its ends: "upright", "level" (where `level` is), a straight edge, or ""."""
    way = _way_at(run, at)
    for others in runs.values():
        for other in others:
            if other.edge == run.edge or not other.straight or not other.at_end(at):
                continue
            along = direction(*other.ends)
            if abs(way.x * along.y - way.y * along.x) > _SQUARE:
                on_upright = abs(along.x) < 1e-6 and abs(at.x - frame.x) < 0.05
                return "upright" if on_upright else other.edge
    if abs(way.x) > _SQUARE and abs(at.x - frame.x) < 0.05:
        return "upright"
    return "level" if abs(way.y) > _SQUARE and level else ""


def runs_on(run: Run, at: Point, runs: Runs) -> bool:
    """Whether a straight part of the same edge goes on smoothly there."""
    way = _way_at(run, at)
    for other in runs[run.edge]:
        if other is not run and other.straight and other.at_end(at):
            on = _way_at(other, at)
            if abs(way.x * on.x + way.y * on.y) > _SMOOTH:
                return True
    return False


def _way_at(run: Run, at: Point) -> Point:
    return run.path[0].way(0.0) if distance(run.path[0].start, at) < SAME else run.path[-1].way(1.0)


def _parted(edge: Edge) -> list[Path]:
    groups: list[list[Curve]] = []
    for curve in edge.curves:
        if groups and _goes_on(groups[-1][-1], curve):
            groups[-1].append(curve)
        else:
            groups.append([curve])
    return [tuple(group) for group in groups]


def _goes_on(before: Curve, after: Curve) -> bool:
    (ax, ay), (bx, by) = before.way(1.0), after.way(0.0)
    return ax * bx + ay * by >= _SMOOTH and _is_ruled(before) == _is_ruled(after)


def _upwards(path: Path) -> bool:
    """Whether the run leads up, or inwards where it is flat."""
    start, end = path[0].start, path[-1].end
    steep = abs(start.y - end.y) >= abs(start.x - end.x)
    return start.y < end.y - 1e-6 if steep else start.x > end.x


def _is_ruled(curve: Curve) -> bool:
    return isinstance(curve, Line) and curve.length() >= _LONG


def _bends(path: Path) -> float:
    """How far the run leaves its chord, mm."""
    a, b = path[0].start, path[-1].end
    way = direction(a, b)
    points: list[XY] = []
    for curve in path:
        points += (curve.a, *curve.flat(0.3)) if isinstance(curve, Cubic) else curve.controls()
    return max(abs((p[0] - a[0]) * way[1] - (p[1] - a[1]) * way[0]) for p in points)
