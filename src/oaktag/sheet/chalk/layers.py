"""What is drawn, layer by layer: the cloth, what was chalked before, what these steps chalk, how it is measured."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise
from math import ceil
from typing import Final, TypeAlias

from ...draft.chalk.marks import Mark, MarkKind
from ...geometry.path import place_on, polyline_length
from ...geometry.point import XY, Point, along, between, direction, distance, left_of
from ...geometry.polygon import Box, contains
from ...values import dataclass
from .picture import Dot, Look, Trace
from .view import View
from .words import Kind, Waiting

_HEAD: Final = 1.8
_ALONG: Final = (0.5, *(0.5 + side * i / 24 for i in range(1, 10) for side in (-1, 1)))
"""Where a number may stand along its measure, the middle first."""
_NOTCH: Final = 3.5
_PIN_ASIDE: Final = 12.0
"""How far from the edge of the cloth a pin is put, mm of cloth."""


@dataclass(frozen=True, slots=True)
class Stroke:
    """A line, and the places of the paper where a word would be in its way."""

    trace: Trace
    ink: tuple[XY, ...]


Layer: TypeAlias = Iterator[Stroke | Dot | Waiting]


def ground(view: View, pins: bool) -> Layer:
    """The cloth, pinned where the first step is shown."""
    cloth, fold = view.cloth, view.piece.frame.fold
    left_low, left_high = (cloth.left, cloth.bottom), (cloth.left, cloth.top)
    ring = (left_low, (cloth.right, cloth.bottom), (cloth.right, cloth.top), left_high)
    yield from _line(view, Look.CLOTH, ring if fold else (*ring, ring[0]))
    if fold:
        yield from _line(view, Look.FOLD, (left_low, left_high), heavy=4)
    if not pins:
        return
    for part in (0.12, 0.38, 0.64, 0.9):
        y = cloth.bottom + part * cloth.height
        yield from _pin(view, (cloth.right - _PIN_ASIDE, y), (0.0, 1.0))
        if not fold:
            yield from _pin(view, (cloth.left + _PIN_ASIDE, y), (0.0, 1.0))
    for part in (0.3, 0.75):
        for y in (cloth.bottom + _PIN_ASIDE, cloth.top - _PIN_ASIDE):
            yield from _pin(view, (cloth.left + part * cloth.width, y), (1.0, 0.0))


def before(view: View, mark: Mark) -> Layer:
    """A mark that was there already."""
    guide = mark.kind in (MarkKind.UPRIGHT, MarkKind.LEVEL)
    on_fold = mark.kind is MarkKind.FOLD or (mark.kind is MarkKind.UPRIGHT and view.piece.frame.fold)
    if mark.line and not on_fold:
        yield from _line(view, Look.GUIDE if guide else Look.BEFORE, mark.line)
    for spot in mark.spots:
        if spot.letter:
            yield from _dot(view, spot.at, spot.letter)


def new(view: View, mark: Mark, number: int) -> Layer:
    """A mark of the steps shown; its words wait until all lines are there."""
    if mark.kind is MarkKind.NOTCH:
        at, way = mark.spots[0].at, direction(*mark.line)
        yield from _line(view, Look.NEW, (at, along(at, way, _NOTCH * view.scale)), heavy=2)
    elif mark.kind is MarkKind.CUT:
        yield from _line(view, Look.CUT, mark.line, heavy=2)
        for at, way in _pins_inside(view.piece.outline):
            yield from _pin(view, at, way)
    elif mark.kind is MarkKind.UPRIGHT:
        if not view.piece.frame.fold:
            yield from _line(view, Look.NEW, mark.line, heavy=2)
        yield from _badge(view, number, mark.line, 0.3)
    elif mark.kind is MarkKind.LEVEL:
        yield from _line(view, Look.NEW, mark.line, heavy=2)
        yield _level_name(view, f"{number} {mark.name}", mark.line)
    else:
        yield from _edge(view, mark, number)


def measures(view: View, marks: Sequence[Mark]) -> Layer:
    """How far new places and levels lie from the two lines."""
    zero = view.at((view.piece.frame.x, view.piece.frame.y))
    levels = [mark for mark in marks if mark.kind is MarkKind.LEVEL and mark.spots]
    aside = {id(mark): zero.x + 9.0 + 10.0 * i for i, mark in enumerate(levels)}
    taken: list[float] = []
    for mark in marks:
        if id(mark) in aside:
            x = aside[id(mark)]
            yield from _rule(view, Point(x, zero.y), Point(x, view.y(mark.line[0][1])), mark.spots[0].down)
        elif mark.kind is MarkKind.POINT:
            spot = mark.spots[0]
            at = view.at(spot.at)
            if abs(at.x - zero.x) > 4:
                yield from _rule(view, Point(zero.x, at.y), at, spot.across)
            if abs(at.y - zero.y) > 4 and view.inside((at.x, zero.y)) and not _on_level(view, spot.at):
                x = at.x if abs(at.x - zero.x) > 4 else at.x + 9
                while any(abs(x - other) < 5 for other in taken):
                    x += 8
                taken.append(x)
                yield from _rule(view, Point(x, zero.y), Point(x, at.y), spot.down)


def plan(view: View, left: float, wide: float) -> tuple[Trace, Trace]:
    """The whole piece, very small, and the part of it that the picture shows."""
    outline, window = Box.round(view.piece.outline), view.window
    scale = min(wide / outline.width, min(70.0, view.height) / outline.height)

    def at(p: XY) -> Point:
        x = left + wide - outline.width * scale + (p[0] - outline.left) * scale
        return Point(x, view.height - (outline.top - p[1]) * scale)

    ring = [at(p) for p in view.piece.outline]
    low = at((max(window.left, outline.left), max(window.bottom, outline.bottom)))
    high = at((min(window.right, outline.right), min(window.top, outline.top)))
    frame = (low, Point(high.x, low.y), high, Point(low.x, high.y), low)
    return Trace(Look.BEFORE, (*ring, ring[0])), Trace(Look.PLAN, frame)


# ---------------------------------------------------------------- parts of the layers


def _line(view: View, look: Look, points: Iterable[XY], *, heavy: int = 1) -> Iterator[Stroke]:
    """A line through places of the cloth, cut off at the edge of the picture."""
    for run in view.runs(points):
        yield Stroke(Trace(look, tuple(run)), tuple(inked(run)) * heavy)


def _pin(view: View, at: XY, way: XY) -> Iterator[Stroke]:
    middle = view.at(at)
    a, b = along(middle, way, -2.6), along(middle, way, 2.6)
    if view.inside(a, 1.0) and view.inside(b, 1.0):
        yield Stroke(Trace(Look.PIN, (a, b)), (a, middle, b))


def _dot(view: View, p: XY, letter: str) -> Layer:
    at = view.at(p)
    if view.inside(at, 0.8):
        yield Dot(at, bool(letter))
        if letter:
            yield Waiting(letter, (at,), Kind.LETTER)


def _edge(view: View, mark: Mark, number: int) -> Layer:
    """Points, edges, darts and lines inside."""
    if mark.kind is not MarkKind.FOLD:
        yield from _line(view, Look.NEW, mark.line, heavy=2)
    for spot in mark.spots:
        yield from _dot(view, spot.at, spot.letter)
    if mark.kind is MarkKind.CURVE:
        for line, to in zip((mark.line, mark.line[::-1]), mark.square, strict=True):
            if to:
                yield from _square(view, line)
    if mark.line:
        yield from _badge(view, number, mark.line, 0.5)


def _level_name(view: View, text: str, line: Sequence[XY]) -> Waiting:
    """Beside the cloth, else on the line."""
    a, b = view.at(line[0]), view.at(line[-1])
    up = view.capital * 0.5 + 1.2
    beside = max(b.x, view.x(view.cloth.right)) + 1.5 + view.text_width(text) / 2
    on = ((a.x + (b.x - a.x) * t, b.y + way * up) for t in (0.6, 0.5, 0.7, 0.4, 0.8, 0.3) for way in (1, -1))
    return Waiting(text, ((beside, b.y), *on), Kind.NAME)


def _badge(view: View, number: int, line: Sequence[XY], part: float) -> Iterator[Waiting]:
    """The step's number beside the middle of its line, as far as that is seen."""
    run = max(view.runs(line), key=polyline_length, default=None)
    if run is None:
        return
    away = view.capital * 0.5 + 3.2
    places: list[XY] = []
    for t in (part, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8):
        at, way = place_on(run, t * polyline_length(run))
        places += [along(at, left_of(way), sign * away) for sign in (1, -1)]
    yield Waiting(str(number), tuple(places), Kind.BADGE)


def _square(view: View, line: Sequence[XY]) -> Iterator[Stroke]:
    """A small square corner at the start of a line, on the side where the piece is."""
    corner, size, outline = line[0], 3.0 * view.scale, view.piece.outline
    way = direction(corner, line[1])
    sides = [left_of(way), left_of((-way[0], -way[1]))]
    side = max(sides, key=lambda s: contains(outline, along(along(corner, way, size / 2), s, size / 2)))
    a, b = along(corner, way, size), along(corner, side, size)
    yield from _line(view, Look.SQUARE, (a, along(a, side, size), b))


def _on_level(view: View, p: Point) -> bool:
    levels = (m for step in view.piece.steps for m in step.marks if m.kind is MarkKind.LEVEL)
    return any(abs(m.line[0][1] - p.y) < 0.05 for m in levels)


def _rule(view: View, a: Point, b: Point, text: str) -> Iterator[Waiting]:
    """A measure from a to b, which is drawn if its number finds room."""
    if not (view.inside(a) and view.inside(b)):
        return
    way = direction(a, b)
    traces = [Trace(Look.MEASURE, (a, b))]
    for tip, back in ((a, way), (b, (-way[0], -way[1]))):
        foot, side = along(tip, back, _HEAD), left_of(back)
        traces.append(Trace(Look.MEASURE, (along(foot, side, _HEAD / 3), tip, along(foot, side, -_HEAD / 3))))
    on = [between(a, b, t) for t in _ALONG]
    off = (view.capital if abs(way[1]) < 0.5 else view.text_width(text)) / 2 + 1.0
    beside = [along(p, left_of(way), side * off) for p in on for side in (1, -1)]
    yield Waiting(text, (*on, *beside), Kind.MEASURE, tuple(traces), tuple(inked((a, b))))


def inked(line: Sequence[XY]) -> list[XY]:
    """Places along a line, near enough to each other that no word falls between them, mm of paper."""
    return [
        between(a, b, i / n)
        for a, b in pairwise(line)
        for n in (max(1, ceil(distance(a, b) / 0.7)),)
        for i in range(n + 1)
    ]


def _pins_inside(outline: Sequence[XY]) -> Iterator[tuple[Point, Point]]:
    """Eight places beside the outline, inside it, with the way along it."""
    ring = [*outline, outline[0]]
    eighth = polyline_length(ring) / 8
    for i in range(8):
        at, way = place_on(ring, (i + 0.5) * eighth)
        inner = along(at, left_of(way), 22.0)
        if contains(outline, inner):
            yield inner, way
