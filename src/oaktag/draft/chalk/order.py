"""The order of work: what is chalked after what, and which places are lettered on the way.

Points and levels come as the draft worked them out. An edge comes when the draft has found both its ends; what the
draft says nothing of goes in where the outline brings it, round the piece from its top, away from the upright line.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import inf
from typing import Final, TypeAlias

from ...geometry.path import flatten
from ...geometry.point import XY, Point
from ...geometry.polygon import Box
from ...model.pattern import MarkedPiece
from ...model.piece import Dart, Edge, EdgeKind, InternalLine
from ...values import dataclass
from .frame import Level, is_level, is_upright, level_at
from .marks import Frame
from .numbers import EXACT
from .places import SAME, Cell, cell_of, met, point_name, words_at
from .runs import Runs
from .sheet import Sheet

Lettered: TypeAlias = tuple[Point, str]
"""A place that gets a letter, and its name, or "" where the draft or the edges name it."""
_OPEN: Final = ("dart leg", "dart point", "dart leg")
_INSIDE: Final = ("dart, upper point", "dart, outer", "dart, lower point", "dart, inner")
_ON_LINE: Final = 0.02
"""An edge that keeps as near as this to the upright line lies on it, mm."""


@dataclass(frozen=True, slots=True)
class Table:
    """What lies on the table before the first step is told: a piece, its two lines, its levels, its runs."""

    marked: MarkedPiece
    sheet: Sheet
    frame: Frame
    levels: tuple[Level, ...]
    runs: Runs
    twice: bool = False
    """Whether the cloth is folded across at the level line as well: above it all is as below, but for what crosses it.
    """

    def above(self, *places: XY) -> bool:
        """Whether all the places lie on layers that are cut with those below the level line."""
        high = [y - self.frame.y for _, y in places]
        return self.twice and min(high) > -SAME and max(high) > SAME

    @property
    def top(self) -> float:
        """How far up the piece is chalked: to what crosses the level line, on cloth that is folded there."""
        piece = self.marked.cut.piece
        if not self.twice:
            return inf
        kept = [flatten(e.curves) for e in piece.edges if not self.above(*flatten(e.curves))]
        return max((y for line in kept for _, y in line), default=self.frame.y)

    def crossing(self) -> list[str]:
        """The edges that cross that fold, and are cut with the cloth opened out there."""
        found = []
        for edge in self.marked.cut.piece.edges if self.twice else ():
            ys = [y - self.frame.y for _, y in flatten(edge.curves)]
            if min(ys) < -SAME and max(ys) > SAME:
                found.append(edge.name)
        return found


@dataclass(frozen=True, slots=True)
class Task:
    """One step before it is told: a level, a named point, an edge, a dart or a line inside, and its places."""

    what: Level | str | Edge | Dart | InternalLine
    part: str
    places: tuple[Lettered, ...] = ()


def tasks_of(on: Table) -> tuple[Task, ...]:
    """All that is chalked between the two lines and the notches, in order."""
    met_before: set[Cell] = set()
    kept = []
    for task in _wanted(on):
        if _cut_with_it(on, task):
            continue
        if isinstance(task.what, str) and (met(met_before, task.places[0][0]) or not _worked_out(on, task.what)):
            continue
        met_before |= {cell_of(p) for p, _ in task.places}
        kept.append(task)
    return tuple(kept)


def _cut_with_it(on: Table, task: Task) -> bool:
    """Whether it lies on the layers that are cut with those below the level line, so that nothing need be chalked."""
    match task.what:
        case Level():
            return on.twice and task.what.y > on.frame.y + SAME
        case str():
            place = on.marked.cut.piece.points[task.what]
            return on.above(place) and place.y > on.top + SAME
        case Edge():
            return on.above(*flatten(task.what.curves))
        case _:
            return on.above(*task.what.points)


def formula_axes(on: Table, name: str) -> str:
    """For which of its distances a place needs a formula: not for what lies on the upright line or on a level, nor
    across from another line than the draft's x = 0."""
    p = on.marked.cut.piece.points[name]
    across = "" if on_upright(on, p) or abs(on.frame.x) > EXACT else "x"
    return across + ("" if level_at(on.levels, p.y) else "y")


def on_upright(on: Table, p: Point) -> bool:
    return abs(p.x - on.frame.x) < EXACT


def edges_in_order(on: Table) -> list[Edge]:
    """As the draft finds their ends, else round the piece; last what lies on the upright line, which is there."""
    ring = _round(on)
    found: list[float] = []
    for edge in ring:
        ends = [on.sheet.places.get(point_name(on.marked.cut.piece, p)) for p in (edge.start, edge.end)]
        known = [end for end in ends if end is not None]
        found.append(max(known) if len(known) == 2 else found[-1] if found else -1)
    places = [inf if _on_upright(edge, on.frame) else place for edge, place in zip(ring, found, strict=True)]
    return [ring[i] for i in sorted(range(len(ring)), key=places.__getitem__)]


def _worked_out(on: Table, name: str) -> bool:
    return any(f"{name}.{axis}" in on.sheet.at for axis in formula_axes(on, name))


def _wanted(on: Table) -> Iterator[Task]:
    piece = on.marked.cut.piece
    for level in on.levels[1:]:
        yield Task(level, "lines")
    for name, _ in on.sheet.along("x"):
        p = piece.points.get(name)
        if p is not None and level_at(on.levels[1:], p.y):
            yield _point(on, name, "across")
    for edge in edges_in_order(on):
        yield from _points(on, [edge.start, *(curve.end for curve in edge.curves)], edge.name)
        yield Task(edge, edge.name, tuple(_places_of(on, edge)))
    for dart in piece.darts:
        names = _OPEN if dart.is_open else _INSIDE
        yield from _points(on, dart.points, "dart")
        yield Task(dart, "dart", tuple(zip(dart.points, names, strict=True)))
    for line in piece.internal_lines:
        if not (is_level(line) and level_at(on.levels, line.points[0].y)):
            name = line.name.replace("_", " ")
            yield Task(line, "inside", tuple((p, words_at(piece, p) or name) for p in line.points))


def _point(on: Table, name: str, part: str) -> Task:
    return Task(name, part, ((on.marked.cut.piece.points[name], ""),))


def _points(on: Table, places: Sequence[Point], part: str) -> Iterator[Task]:
    """Steps of their own for those of the places that the draft has a formula for, as it worked them out."""
    names = {name for p in places if (name := point_name(on.marked.cut.piece, p))}
    for name in on.sheet.places:
        if name in names:
            yield _point(on, name, part)


def _places_of(on: Table, edge: Edge) -> Iterator[Lettered]:
    if edge.kind is EdgeKind.FOLD:
        yield from ((edge.start, ""), (edge.end, ""))
        return
    for run in on.runs[edge.name]:
        start, end = run.ends
        yield start, ""
        yield from ((node.at, "") for node in run.nodes[1:-1] if node.name)
        yield end, ""


def _round(on: Table) -> list[Edge]:
    """The edges from the uppermost end of one on the upright line on, away from it; else clockwise from the top."""
    piece, lines = on.marked.cut.piece, on.marked.cut.lines
    corners = {p for edge in piece.edges if _on_upright(edge, on.frame) for p in (edge.start, edge.end)}
    box = Box.round(on.marked.cut.stitch_line)
    leftwards = bool(corners) and box.left + box.right < 2 * on.frame.x
    ring = list(piece.edges) if leftwards else list(piece.edges[::-1])

    def first(edge: Edge) -> tuple[float, ...]:
        begins = edge.start if leftwards else edge.end
        if corners:
            return (begins in corners, begins.y)
        return (round(max(y for _, y in lines[edge.name]), 1), round(begins.y, 1), -begins.x)

    at = max(range(len(ring)), key=lambda i: first(ring[i]))
    return ring[at:] + ring[:at]


def _on_upright(edge: Edge, frame: Frame) -> bool:
    return is_upright(edge) and abs(edge.start.x - frame.x) < _ON_LINE
