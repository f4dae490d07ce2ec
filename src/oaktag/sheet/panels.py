"""A figure that is larger than the sheet, split into panels that are joined again along marked lines.

Every panel but the last goes on for a strip beyond its join line; the next one is laid on that strip, its edge on the
line and its half crosses on the crosses. Each panel has a cut line of its own, all round.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil
from typing import Final

from ..geometry.clip import clip_line
from ..geometry.offset import inside
from ..geometry.point import XY, Point
from ..geometry.polygon import Box, crossings
from ..values import dataclass, replace
from .drawing import NAMES, WORDS, beside, set_free
from .room import Room
from .strokes import Figure, Role, Stroke

STRIP: Final = 15.0
"""What a panel goes on beyond its join, to be glued or taped, mm (common practice, no source)."""
_CROSS: Final = 6.0
_STEP: Final = 5.0
_CLEAR: Final = 4.0
_SLACK: Final = 0.01
"""mm that a panel keeps below its room, for what rounding adds."""
_INSIDE: Final = 1e-3
"""mm: where a side of a panel is a join, the piece is looked for this far inside."""


@dataclass(frozen=True, slots=True)
class Panel:
    """One part of a figure: what of it lies in `box`, mm in the figure's own coordinates, and its joins."""

    figure: Figure
    whole: str
    size: str
    part: int
    of: int
    box: Box


def panels_of(figure: Figure, rooms: Sequence[XY]) -> tuple[Panel, ...]:
    """The figure in as few panels as fit in one of the rooms (width, length; mm), upright or turned; none if it fits.

    Joins are laid where they cross least of the lettering and the marks.
    """
    bounds = figure.bounds()
    if any(_fits(bounds, way) for room in rooms for way in (room, room[::-1])):
        return ()
    ways = [
        (_count(bounds.width, most_x) * _count(bounds.height, most_y), most_x, most_y)
        for room in rooms
        for most_x, most_y in ((room[0] - _SLACK, room[1] - _SLACK), (room[1] - _SLACK, room[0] - _SLACK))
    ]
    _, most_x, most_y = min(ways, key=lambda way: way[0])
    joins_x = _joins(figure, bounds.left, bounds.right, most_x, axis=0)
    joins_y = _joins(figure, bounds.bottom, bounds.top, most_y, axis=1)
    spans_x, spans_y = _spans(bounds.left, joins_x, bounds.right), _spans(bounds.bottom, joins_y, bounds.top)
    boxes = [Box(a, c, b, d) for c, d in spans_y for a, b in spans_x]
    held = [box for box in boxes if any(_clipped(s, box) for s in figure.strokes if s.role is Role.CUT)]
    rings = [s.points for s in figure.strokes if s.role is Role.CUT and s.closed]
    marks = _marks(rings, joins_x, joins_y, bounds)
    return tuple(
        Panel(_panel(figure, box, number, len(held), joins_x, joins_y, marks), figure.name, figure.size, number,
              len(held), box)
        for number, box in enumerate(held, start=1)
    )  # fmt: skip


def _fits(box: Box, room: XY) -> bool:
    return box.width <= room[0] + 1e-9 and box.height <= room[1] + 1e-9


def _count(span: float, most: float) -> int:
    if span <= most + 1e-9:
        return 1
    return ceil((span - STRIP) / (most - STRIP) - 1e-9)


def _joins(figure: Figure, low: float, high: float, most: float, *, axis: int) -> list[float]:
    """Where the joins lie along an axis, so that no panel is longer than `most`."""
    count = _count(high - low, most)
    weights = {Role.LABEL: 3, Role.NOTCH: 5, Role.DRILL: 5, Role.GRAIN: 1, Role.FOLD: 1}
    taken = []
    for stroke in figure.strokes:
        if stroke.role in weights:
            along = [p[axis] for p in stroke.points]
            if max(along) - min(along) < 60.0:
                taken.append((min(along) - _CLEAR, max(along) + _CLEAR, weights[stroke.role]))
    joins: list[float] = []
    for k in range(1, count):
        start = joins[-1] if joins else low
        least = max(start + 3 * STRIP, high - most - (count - 1 - k) * (most - STRIP))
        farthest = start + most - STRIP
        usual = low + (high - low) * k / count
        spots = [least + i * _STEP for i in range(int((farthest - least) / _STEP) + 1)] or [farthest]
        joins.append(min(spots, key=lambda s: (sum(w for a, b, w in taken if a < s < b), abs(s - usual))))
    return joins


def _spans(low: float, joins: Sequence[float], high: float) -> list[tuple[float, float]]:
    starts = [low, *joins]
    ends = [*(min(high, join + STRIP) for join in joins), high]
    return list(zip(starts, ends, strict=True))


def _clipped(stroke: Stroke, box: Box) -> list[Stroke]:
    """What of a stroke lies in the box; a closed one is closed again along the box's sides."""
    if stroke.closed and len(stroke.points) > 2 and stroke.role is Role.CUT:
        return [replace(stroke, points=tuple(ring)) for ring in inside(stroke.points, box)]
    points = (*stroke.points, stroke.points[0]) if stroke.closed else stroke.points
    if all(box.left <= x <= box.right and box.bottom <= y <= box.top for x, y in points):
        return [stroke]
    return [replace(stroke, points=tuple(run), closed=False) for run in clip_line(points, box)]


def _marks(rings: Sequence[Sequence[XY]], joins_x: Sequence[float], joins_y: Sequence[float], bounds: Box) -> list[XY]:
    """Where crosses stand on the joins: two where a piece is wide there, one where it is narrow."""
    found: list[XY] = []
    for axis, joins in ((0, joins_x), (1, joins_y)):
        for join in joins:
            for ring in rings:
                turned = [(y, x) for x, y in ring] if axis == 0 else ring
                ends = crossings(turned, join)
                for a, b in zip(ends[::2], ends[1::2], strict=False):
                    parts = (0.25, 0.75) if b - a > 60.0 else (0.5,)
                    for part in parts:
                        u = a + (b - a) * part
                        found.append((join, u) if axis == 0 else (u, join))
    return found


def _panel(
    figure: Figure,
    box: Box,
    number: int,
    count: int,
    joins_x: Sequence[float],
    joins_y: Sequence[float],
    marks: Sequence[XY],
) -> Figure:
    strokes = [part for stroke in figure.strokes for part in _clipped(stroke, box)]
    rings = [s.points for s in strokes if s.role is Role.CUT and s.closed]
    lines: list[tuple[XY, XY]] = []
    for axis, joins in ((0, joins_x), (1, joins_y)):
        low, high = (box.left, box.right) if axis == 0 else (box.bottom, box.top)
        for join in joins:
            if not low - 1e-9 <= join <= high + 1e-9:
                continue
            level = min(max(join, low + _INSIDE), high - _INSIDE)
            for ring in rings:
                turned = [(y, x) for x, y in ring] if axis == 0 else ring
                ends = crossings(turned, level)
                for a, b in zip(ends[::2], ends[1::2], strict=False):
                    lines.append(((join, a), (join, b)) if axis == 0 else ((a, join), (b, join)))
    edge = [line for line in lines if _on_edge(line, box)]
    inner = [line for line in lines if line not in edge]
    added = [Stroke(Role.JOIN, line) for line in inner]
    for x, y in marks:
        for arm in (((x - _CROSS, y), (x + _CROSS, y)), ((x, y - _CROSS), (x, y + _CROSS))):
            added += [Stroke(Role.JOIN, tuple(run)) for run in clip_line(arm, box) if len(run) > 1]
    room = Room([*strokes, *added], max(rings, key=lambda ring: Box.round(ring).height * Box.round(ring).width))
    words: list[Stroke] = []
    name = figure.label.upper()
    for line in inner:
        words += _words(room, "the next part lies on this strip, its edge on the line", [line])
    for line in edge:
        words += _words(room, "this edge lies on the line of the part before", [line])
    words += _words(room, f"{name} PART {number} OF {count}", inner + edge, WORDS)
    return Figure(f"{figure.name}, part {number} of {count}", (*strokes, *added, *words), figure.size)


def _on_edge(line: tuple[XY, XY], box: Box) -> bool:
    (ax, ay), (bx, by) = line
    return (ax == bx and ax in (box.left, box.right)) or (ay == by and ay in (box.bottom, box.top))


def _words(room: Room, text: str, lines: Sequence[tuple[XY, XY]], size: float = NAMES) -> list[Stroke]:
    """The words beside the first of the lines that has room for them, or a little farther from it."""
    for away in (0.0, 6.0, 12.0, 20.0):
        lifts = tuple(lift + (away if lift > 0 else -away) for lift in beside(size))
        for a, b in lines:
            found = set_free(room, text, size, (Point(*a), Point(*b)), lifts, middle_first=True)
            if found:
                return list(found)
    return []
