"""The pictures of the chalk card as data: the folded cloth drawn small, with what a few steps leave on it.

A picture is in mm of paper, x to the right, y up, its lower left corner at (0, 0). Lines have a look; only an exporter
knows pens and greys. Words are set where they cover the fewest lines; all of them stand inside the picture.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from enum import Enum
from itertools import pairwise, product
from math import ceil, floor
from typing import Final, TypeAlias

from ..draft.chalk.marks import ChalkPiece, ChalkStep, Mark, MarkKind
from ..geometry.path import place_on, polyline_length
from ..geometry.point import XY, Point, along, between, direction, distance, left_of
from ..geometry.polygon import Box, contains
from ..values import dataclass, field

TextWidth: TypeAlias = Callable[[str], float]
"""Width of a bold word as it will be set, mm."""


class Look(Enum):
    """What a line of a picture is."""

    CLOTH = "edge of the cloth"
    FOLD = "fold"
    GUIDE = "line to measure from"
    BEFORE = "chalked before"
    NEW = "chalk now"
    MEASURE = "measure"
    CUT = "cut line"
    PIN = "pin"
    SQUARE = "square corner"
    PLAN = "the whole piece"


@dataclass(frozen=True, slots=True)
class Trace:
    """One line of a picture."""

    look: Look
    points: tuple[XY, ...]


@dataclass(frozen=True, slots=True)
class Dot:
    """A place: full where it has a letter, a ring where it is an ordinate of a curve."""

    at: XY
    full: bool


@dataclass(frozen=True, slots=True)
class Word:
    """A word on the picture: `box` is kept free for it; a badge stands in a circle."""

    text: str
    box: Box
    badge: bool = False


@dataclass(frozen=True, slots=True)
class Picture:
    """All that is drawn; `cloth` is the part of the cloth that is seen."""

    width: float
    height: float
    cloth: Box | None
    traces: tuple[Trace, ...]
    dots: tuple[Dot, ...]
    words: tuple[Word, ...]


_CLOTH: Final = 30.0
"""Cloth shown beyond the cut line, mm of cloth."""
_AIR: Final = 14.0
"""And air beyond the cloth."""
_PLAN: Final = 15.0
"""Width of the small plan of the whole piece, mm of paper."""
_LETTER_AWAY: Final = 1.6
_HEAD: Final = 1.8
_WORD_AIR: Final = 0.6
"""mm of paper between two words at the least."""
_ALONG: Final = (0.5, *(0.5 + side * i / 24 for i in range(1, 10) for side in (-1, 1)))
"""Where a number may stand along its measure, the middle first."""


def picture(
    piece: ChalkPiece,
    steps: Sequence[ChalkStep],
    width: float,
    height: float,
    *,
    capital: float,
    text_width: TextWidth,
    measures: bool = True,
) -> Picture:
    """What `steps` (one after another, of this piece) chalk, over what was there before them.

    `capital` is the height of capitals and numbers, mm; `measures` draws the distances of new places and levels.
    """
    first = steps[0].number
    before = [mark for step in piece.steps if step.number < first for mark in step.marks]
    now = [mark for step in steps for mark in step.marks]
    cloth = _cloth(piece)
    window = _window(piece, now, cloth)
    planned = window.height < 0.62 * cloth.height and cloth.height > 400 and width > 55
    scale_width = width - (_PLAN + 2 if planned else 0)
    window = _filled(window, cloth, scale_width / height)
    page = _Page(piece, window, scale_width, height, capital, text_width)
    page.ground(cloth, first == 1)
    page.before(before)
    for step in steps:
        for mark in step.marks:
            page.new(mark, step.number)
    if measures:
        for step in steps:
            for mark in step.marks:
                page.measure(mark)
    page.name()
    if planned:
        page.plan(cloth, width - _PLAN, _PLAN)
    seen = Box(
        max(0.0, page.x(cloth.left)), max(0.0, page.y(cloth.bottom)),
        min(scale_width, page.x(cloth.right)), min(height, page.y(cloth.top)),
    )  # fmt: skip
    return Picture(width, height, seen, tuple(page.traces), tuple(page.dots), tuple(page.words))


def _cloth(piece: ChalkPiece) -> Box:
    cut = Box.round(piece.cut_line)
    left = piece.frame.x if piece.frame.fold else cut.left - _CLOTH
    return Box(left, cut.bottom - _CLOTH, cut.right + _CLOTH, cut.top + _CLOTH)


def _window(piece: ChalkPiece, now: Sequence[Mark], cloth: Box) -> Box:
    """The part of the cloth that the marks lie on, with the lines that they are measured from, if these are near."""
    outline = Box.round(piece.outline)
    points: list[XY] = []
    for mark in now:
        if mark.kind is MarkKind.CUT:
            return _grown(cloth, _AIR)
        if mark.kind in (MarkKind.UPRIGHT, MarkKind.LEVEL):
            points += [(outline.left, outline.bottom), (outline.right, outline.top)]
        points += [*mark.line, *(spot.at for spot in mark.spots)] if mark.kind is not MarkKind.UPRIGHT else []
    if now[0].kind is MarkKind.UPRIGHT:
        return _grown(cloth, _AIR)
    box = Box.round([*points, *((piece.frame.x, p[1]) for p in points)])
    if piece.frame.y - box.bottom <= 2.0 * max(box.height, box.width, 150.0) and box.bottom < piece.frame.y:
        box = Box(box.left, box.bottom, box.right, max(box.top, piece.frame.y))
    return _grown(box, max(22.0, 0.09 * max(box.width, box.height)))


def _grown(box: Box, by: float) -> Box:
    return Box(box.left - by, box.bottom - by, box.right + by, box.top + by)


def _filled(window: Box, cloth: Box, aspect: float) -> Box:
    """The window made as wide or as high as the picture, on the cloth as far as there is any."""
    most = _grown(cloth, _AIR)
    if window.width / window.height < aspect:
        more = window.height * aspect - window.width
        left = min(more / 2, max(0.0, window.left - most.left))
        return Box(window.left - left, window.bottom, window.right + more - left, window.top)
    more = window.width / aspect - window.height
    down = min(max(more / 2, more - max(0.0, most.top - window.top)), more)
    return Box(window.left, window.bottom - down, window.right, window.top + more - down)


class _Kind(Enum):
    """What a word is, in the order in which room is found for them."""

    LETTER = 0
    BADGE = 1
    NAME = 2
    MEASURE = 3


@dataclass(frozen=True, slots=True)
class _Waiting:
    """A word that waits for its place: the middles that would do, the best first; `traces` are drawn along with it,
    and may run under it."""

    text: str
    places: tuple[XY, ...]
    kind: _Kind
    traces: tuple[Trace, ...] = ()


@dataclass(slots=True)
class _Page:
    """Collects what is drawn, and where words would be in the way."""

    piece: ChalkPiece
    window: Box
    width: float
    height: float
    capital: float
    text_width: TextWidth
    traces: list[Trace] = field(default_factory=list)
    dots: list[Dot] = field(default_factory=list)
    words: list[Word] = field(default_factory=list)
    ink: list[XY] = field(default_factory=list)
    cloth_right: float = 0.0
    levels: int = 0
    downs: list[float] = field(default_factory=list)
    waiting: list[_Waiting] = field(default_factory=list)

    # ---- cloth to paper

    def x(self, x: float) -> float:
        return (x - self.window.left) * self.width / self.window.width

    def y(self, y: float) -> float:
        return (y - self.window.bottom) * self.height / self.window.height

    def at(self, p: XY) -> Point:
        return Point(self.x(p[0]), self.y(p[1]))

    def line(self, look: Look, points: Iterable[XY], *, heavy: int = 1) -> None:
        """A line through places of the cloth, cut off at the edge of the picture."""
        for run in _clipped([self.at(p) for p in points], self.width, self.height):
            self.traces.append(Trace(look, tuple(run)))
            self.ink += _inked(run) * heavy

    def inside(self, p: XY, by: float = 0.0) -> bool:
        return by <= p[0] <= self.width - by and by <= p[1] <= self.height - by

    # ---- layers

    def ground(self, cloth: Box, pins: bool) -> None:
        frame = self.piece.frame
        self.cloth_right = self.x(cloth.right)
        corners = (
            (cloth.left, cloth.bottom),
            (cloth.right, cloth.bottom),
            (cloth.right, cloth.top),
            (cloth.left, cloth.top),
        )
        if frame.fold:
            self.line(Look.CLOTH, corners)
            self.line(Look.FOLD, (corners[0], corners[3]), heavy=4)
        else:
            self.line(Look.CLOTH, (*corners, corners[0]))
        if pins:
            aside = 0.4 * _CLOTH
            for part in (0.12, 0.38, 0.64, 0.9):
                y = cloth.bottom + part * cloth.height
                self.pin((cloth.right - aside, y), (0.0, 1.0))
                if not frame.fold:
                    self.pin((cloth.left + aside, y), (0.0, 1.0))
            for part in (0.3, 0.75):
                for y in (cloth.bottom + aside, cloth.top - aside):
                    self.pin((cloth.left + part * cloth.width, y), (1.0, 0.0))

    def pin(self, at: XY, way: XY) -> None:
        middle = self.at(at)
        a, b = along(middle, way, -2.6), along(middle, way, 2.6)
        if self.inside(a, 1.0) and self.inside(b, 1.0):
            self.traces.append(Trace(Look.PIN, (a, b)))
            self.ink += [a, middle, b]

    def before(self, marks: Sequence[Mark]) -> None:
        for mark in marks:
            if mark.kind is MarkKind.UPRIGHT:
                if not self.piece.frame.fold:
                    self.line(Look.GUIDE, mark.line)
            elif mark.kind is MarkKind.LEVEL:
                self.line(Look.GUIDE, mark.line)
            elif mark.kind is not MarkKind.FOLD and mark.line:
                self.line(Look.BEFORE, mark.line)
            for spot in mark.spots:
                if spot.letter:
                    self.dot(spot.at, True, spot.letter)

    def dot(self, p: XY, full: bool, letter: str = "") -> None:
        at = self.at(p)
        if not self.inside(at, 0.8):
            return
        if not any(distance(at, other.at) < 0.1 for other in self.dots):
            self.dots.append(Dot(at, full))
            self.ink += [at] * 6
        if letter and not any(word.text == letter for word in self.waiting):
            self.waiting.append(_Waiting(letter, (at,), _Kind.LETTER))

    def new(self, mark: Mark, number: int) -> None:
        """A mark of the steps shown; its words wait until all lines are there."""
        if mark.kind is MarkKind.UPRIGHT:
            if not self.piece.frame.fold:
                self.line(Look.NEW, mark.line, heavy=2)
            self.badge(number, mark.line, 0.3)
            return
        if mark.kind is MarkKind.NOTCH:
            at, way = mark.spots[0].at, direction(*mark.line)
            self.line(Look.NEW, (at, along(at, way, 3.5 * self.window.width / self.width)), heavy=2)
            return
        if mark.kind is MarkKind.CUT:
            self.line(Look.CUT, mark.line, heavy=2)
            for at, way in _pins_inside(self.piece.outline):
                self.pin(at, way)
            return
        if mark.kind is not MarkKind.FOLD:
            self.line(Look.NEW, mark.line, heavy=2)
        for spot in mark.spots:
            if mark.kind is not MarkKind.LEVEL:
                self.dot(spot.at, bool(spot.letter), spot.letter)
        if mark.kind is MarkKind.CURVE:
            for end, to in enumerate(mark.square):
                if to:
                    self.square(mark.line if end == 0 else mark.line[::-1])
        if mark.kind is MarkKind.LEVEL:
            a, b = self.at(mark.line[0]), self.at(mark.line[-1])
            up = self.capital * 0.5 + 1.2
            places: list[XY] = [
                (max(b.x, self.cloth_right) + 1.5 + self.text_width(f"{number} {mark.name}") / 2, b.y),
                *((a.x + (b.x - a.x) * t, b.y + way * up) for t in (0.6, 0.5, 0.7, 0.4, 0.8, 0.3) for way in (1, -1)),
            ]
            self.waiting.append(_Waiting(f"{number} {mark.name}", tuple(places), _Kind.NAME))
        elif mark.line:
            self.badge(number, mark.line, 0.5)

    def badge(self, number: int, line: Sequence[XY], part: float) -> None:
        """The step's number beside the middle of its line, as far as that is seen."""
        run = max(_clipped([self.at(p) for p in line], self.width, self.height), key=polyline_length, default=None)
        if run is None:
            return
        away = self.capital * 0.5 + 3.2
        places: list[XY] = []
        for t in (part, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8):
            at, way = place_on(run, t * polyline_length(run))
            places += [along(at, left_of(way), sign * away) for sign in (1, -1)]
        self.waiting.append(_Waiting(str(number), tuple(places), _Kind.BADGE))

    def square(self, line: Sequence[XY]) -> None:
        """A small square corner at the start of a line, on the side where the piece is."""
        corner, size = line[0], 3.0 * self.window.width / self.width
        way = direction(corner, line[1])
        sides = [left_of(way), left_of((-way[0], -way[1]))]
        side = max(sides, key=lambda s: contains(self.piece.outline, along(along(corner, way, size / 2), s, size / 2)))
        a, b = along(corner, way, size), along(corner, side, size)
        self.line(Look.SQUARE, (a, along(a, side, size), b))

    def measure(self, mark: Mark) -> None:
        """How far a new place or level lies from the two lines."""
        frame = self.piece.frame
        if mark.kind is MarkKind.LEVEL and mark.spots:
            x = self.x(frame.x) + 9.0 + 10.0 * self.levels
            self.levels += 1
            self.rule(Point(x, self.y(frame.y)), Point(x, self.y(mark.line[0][1])), mark.spots[0].down)
        elif mark.kind is MarkKind.POINT:
            spot = mark.spots[0]
            at, zero = self.at(spot.at), self.at((frame.x, frame.y))
            if abs(at.x - zero.x) > 4:
                self.rule(Point(zero.x, at.y), at, spot.across)
            if abs(at.y - zero.y) > 4 and self.inside((at.x, zero.y)) and not self.on_level(spot.at):
                x = at.x if abs(at.x - zero.x) > 4 else at.x + 9
                while any(abs(x - other) < 5 for other in self.downs):
                    x += 8
                self.downs.append(x)
                self.rule(Point(x, zero.y), Point(x, at.y), spot.down)

    def on_level(self, p: Point) -> bool:
        levels = (m for step in self.piece.steps for m in step.marks if m.kind is MarkKind.LEVEL)
        return any(abs(m.line[0][1] - p.y) < 0.05 for m in levels)

    def rule(self, a: Point, b: Point, text: str) -> None:
        if not (self.inside(a) and self.inside(b)):
            return
        way = direction(a, b)
        traces = [Trace(Look.MEASURE, (a, b))]
        for tip, back in ((a, way), (b, (-way[0], -way[1]))):
            foot, side = along(tip, back, _HEAD), left_of(back)
            traces.append(Trace(Look.MEASURE, (along(foot, side, _HEAD / 3), tip, along(foot, side, -_HEAD / 3))))
        on = [between(a, b, t) for t in _ALONG]
        level = abs(way[1]) < 0.5
        off = (self.capital if level else self.text_width(text)) / 2 + 1.0
        beside = [along(p, left_of(way), side * off) for p in on for side in (1, -1)]
        self.waiting.append(_Waiting(text, (*on, *beside), _Kind.MEASURE, tuple(traces)))

    # ---- words

    def name(self) -> None:
        """Sets what waits: letters first, each where it covers least. A number covers no line but its own measure: one
        that finds no such room is left out with it, since the words beside the picture tell it too."""
        ink = Counter(_cell(p) for p in self.ink)
        own = [Counter(_cell(p) for trace in word.traces[:1] for p in _inked(trace.points)) for word in self.waiting]
        for cells in own:
            ink.update(cells)
        for word, mine in sorted(zip(self.waiting, own, strict=True), key=lambda pair: pair[0].kind.value):
            text, places, badge = word.text, word.places, word.kind is _Kind.BADGE
            wide = max(self.text_width(text), self.capital + 1.0 if badge else 0.0) + 0.8
            high = self.capital + 0.8
            if badge:
                wide = high = max(wide, high) + 1.6
            if word.kind is _Kind.LETTER:
                reach_x, reach_y = wide / 2 + _LETTER_AWAY - 0.4, high / 2 + _LETTER_AWAY - 0.4
                (x, y) = places[0]
                places = tuple(
                    (x + dx * reach_x * far, y + dy * reach_y * far)
                    for far in (1.0, 1.35, 1.7, 2.1, 2.5)
                    for dx, dy in ((1, 1), (1, 0), (1, -1), (0, 1), (0, -1), (-1, 1), (-1, -1), (-1, 0))
                )
            best: tuple[float, Box] | None = None
            for rank, (x, y) in enumerate(places):
                box = Box(x - wide / 2, y - high / 2, x + wide / 2, y + high / 2)
                if box.left < 0 or box.bottom < 0 or box.right > self.width or box.top > self.height:
                    continue
                if any(_grown(box, _WORD_AIR).overlaps(other.box) for other in self.words):
                    continue
                covered = sum(ink[cell] - mine[cell] for cell in _cells_of(box))
                if covered and word.kind is _Kind.MEASURE:
                    continue
                cost = covered + 0.4 * rank
                if best is None or cost < best[0]:
                    best = (cost, box)
            if best is not None:
                self.words.append(Word(text, best[1], badge))
                self.traces += word.traces
            else:
                ink.subtract(mine)

    def plan(self, cloth: Box, left: float, wide: float) -> None:
        """The whole piece, very small, and the part of it that the picture shows."""
        outline = Box.round(self.piece.outline)
        scale = min(wide / outline.width, min(70.0, self.height) / outline.height)
        top = self.height

        def at(p: XY) -> Point:
            x = left + wide - outline.width * scale + (p[0] - outline.left) * scale
            return Point(x, top - (outline.top - p[1]) * scale)

        ring = [at(p) for p in self.piece.outline]
        self.traces.append(Trace(Look.BEFORE, (*ring, ring[0])))
        low = at((max(self.window.left, outline.left), max(self.window.bottom, outline.bottom)))
        high = at((min(self.window.right, outline.right), min(self.window.top, outline.top)))
        frame = (low, Point(high.x, low.y), high, Point(low.x, high.y), low)
        self.traces.append(Trace(Look.PLAN, frame))


def _inked(line: Sequence[XY]) -> list[XY]:
    """Places along a line, near enough to each other that no word falls between them, mm of paper."""
    return [
        between(a, b, i / n)
        for a, b in pairwise(line)
        for n in (max(1, ceil(distance(a, b) / 0.7)),)
        for i in range(n + 1)
    ]


def _cell(p: XY) -> tuple[int, int]:
    """The square of 1 mm that a place lies in."""
    return floor(p[0]), floor(p[1])


def _cells_of(box: Box) -> Iterator[tuple[int, int]]:
    return product(range(floor(box.left), floor(box.right) + 1), range(floor(box.bottom), floor(box.top) + 1))


def _pins_inside(outline: Sequence[XY]) -> Iterator[tuple[Point, Point]]:
    """Eight places beside the outline, inside it, with the way along it."""
    ring = [*outline, outline[0]]
    eighth = polyline_length(ring) / 8
    for i in range(8):
        at, way = place_on(ring, (i + 0.5) * eighth)
        inner = along(at, left_of(way), 22.0)
        if contains(outline, inner):
            yield inner, way


def _clipped(points: Sequence[XY], width: float, height: float) -> list[list[Point]]:
    """The parts of a line inside the box from (0, 0), after Liang & Barsky (1984), from memory."""
    runs: list[list[Point]] = []
    for a, b in pairwise(points):
        low, high = 0.0, 1.0
        dx, dy = b[0] - a[0], b[1] - a[1]
        for p, q in ((-dx, a[0]), (dx, width - a[0]), (-dy, a[1]), (dy, height - a[1])):
            if p == 0:
                if q < 0:
                    low = 2.0
            elif p < 0:
                low = max(low, q / p)
            else:
                high = min(high, q / p)
        if low > high:
            continue
        start, end = between(a, b, low), between(a, b, high)
        if runs and distance(runs[-1][-1], start) < 1e-6:
            runs[-1].append(end)
        else:
            runs.append([start, end])
    return runs
