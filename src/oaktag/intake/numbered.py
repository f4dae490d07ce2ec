"""The picture of a first plan: outlines and edges by number, lines inside by letter, legible on a printed page.

Every length is mm on the page, y down. A page is as large as A4 and Letter both have room for, so that it is printed in
its own size on either; its lettering has capitals of 3 mm and more there. No lettering touches a line or another.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from html import escape
from math import cos, pi, sin
from typing import Any, Final

from ..geometry.path import Path, flatten, path_length, place_at, place_on, polyline_length
from ..geometry.point import XY, Point, along, distance, left_of
from ..geometry.polygon import Box, contains, crossings
from ..values import dataclass, field, replace
from .model import Outline

PAGE: Final = (190.0, 255.0)
"""A4 is 210 mm wide, Letter 279 mm high; printers leave 10 to 12 mm free (common practice, no source)."""
SIZE: Final = 4.5
"""Height of the lettering: sans-serif capitals and figures are 0.70 to 0.73 of it high, so 3.1 mm and more."""
_NAME: Final = 5.8
_CAPITAL: Final = 0.73
_WIDE: Final = 0.62
"""Width of a figure or letter over the height of the lettering, bold 0.7: the widest of the usual sans-serif faces."""
_BROAD: Final = 1.05
"""The same of signs that fill a square, as Chinese ones do."""
_CLEAR: Final = 0.7
_PAD: Final = 11.0
_LEADER: Final = 6.5
"""Lettering further off than this has a line that leads to its place, mm."""
_NEAR: Final = 16.0
_MOST_ON_A_PAGE: Final = 6
MOST_PICTURED: Final = 240
"""Outlines beyond these are in no picture; a plan of so many is not made by hand."""
_MOST_NAMES: Final = 60
"""Outlines of one page that get their names beside their numbers."""
_MOST_LINES: Final = 200
"""Lines of one outline that are drawn though nothing is asked of them."""
_MOST_WORDS: Final = 150
"""Edges of one page that get a number, the longest first."""
_INK, _BLUE, _TEAL, _RED = "#16181d", "#1f4e79", "#0b6b5f", "#8a2b17"


@dataclass(frozen=True, slots=True)
class Lettered:
    """Lines that the plan asks about, with the letter that stands for them; in mm of the drawing.

    `outline` is the number of that in which they lie, from 0; None where they lie in none.
    """

    letter: str
    outline: int | None
    lines: tuple[Path, ...]


def pages_of(outlines: Sequence[Outline], names: Sequence[str], lettered: Sequence[Lettered]) -> tuple[str, ...]:
    """The pages as SVG. The first shows the drawing as it is laid out; where it has no room for every number, it shows
    the outlines' numbers alone, and the next ones show them larger, six to a page."""
    outlines = outlines[:MOST_PICTURED]
    lettered = [one for one in lettered if one.outline is None or one.outline < len(outlines)]
    whole = _at_top(Box.round(_everything(outlines, lettered)))
    figures = [_Figure(i, outline, names[i], whole) for i, outline in enumerate(outlines)]
    page = _Page(figures, lettered)
    edges = sum(len(outline.edges) for outline in outlines)
    if edges + len(lettered) <= _MOST_WORDS and page.place(everything=True, anywhere=False):
        return (page.svg("Outlines and edges by number, lines inside by letter"),)
    page = _Page(figures, lettered)
    page.place(everything=False)
    pages = [page.svg("Outlines by number; their edges are on the pages that follow")]
    for start in range(0, len(outlines), _MOST_ON_A_PAGE):
        group = range(start, min(start + _MOST_ON_A_PAGE, len(outlines)))
        figures = [
            _Figure(i, outlines[i], names[i], _fitted(_box(outlines[i]), cell))
            for i, cell in zip(group, _cells(len(group)), strict=True)
        ]
        page = _Page(figures, [one for one in lettered if one.outline in group])
        page.place(everything=True)
        first, last = group[0] + 1, group[-1] + 1
        which = f"Outline {first}" if first == last else f"Outlines {first} to {last}"
        pages.append(page.svg(f"{which}: edges by number, lines inside by letter; each in a size of its own"))
    return tuple(pages)


def _everything(outlines: Sequence[Outline], lettered: Sequence[Lettered]) -> list[XY]:
    found = [p for outline in outlines for edge in outline.edges for p in flatten(edge, 0.5)]
    found += [p for one in lettered for line in one.lines for p in flatten(line, 0.5)]
    return found or [(0.0, 0.0), (100.0, 100.0)]


def _box(outline: Outline) -> Box:
    return Box.round(p for edge in outline.edges for p in flatten(edge, 0.5))


def _cells(count: int) -> list[Box]:
    """The page parted in cells, by rows; x to the right, y down."""
    across, down = {1: (1, 1), 2: (1, 2), 3: (1, 3), 4: (2, 2)}.get(count, (2, 3))
    wide, high = PAGE[0] / across, PAGE[1] / down
    return [
        Box(i % across * wide, i // across * high, (i % across + 1) * wide, (i // across + 1) * high)
        for i in range(count)
    ]


@dataclass(frozen=True, slots=True)
class _Fit:
    """From the drawing to the page."""

    scale: float
    left: float
    top: float

    def at(self, p: XY) -> Point:
        return Point(self.left + p[0] * self.scale, self.top - p[1] * self.scale)

    def line(self, points: Sequence[XY]) -> list[XY]:
        return [self.at(p) for p in points]


def _fitted(box: Box, cell: Box) -> _Fit:
    """As large as the cell has room for, in its middle."""
    room = cell.width - 2 * _PAD, cell.height - 2 * _PAD
    scale = min(room[0] / max(box.width, 1e-6), room[1] / max(box.height, 1e-6))
    x, y = (cell.left + cell.right) / 2, (cell.bottom + cell.top) / 2
    return _Fit(scale, x - scale * (box.left + box.right) / 2, y + scale * (box.bottom + box.top) / 2)


def _at_top(box: Box) -> _Fit:
    """As large as the page has room for, at its top."""
    fit = _fitted(box, Box(0.0, 0.0, *PAGE))
    return replace(fit, top=_PAD + fit.scale * box.top)


@dataclass(frozen=True, slots=True)
class _Figure:
    number: int
    outline: Outline
    name: str
    fit: _Fit

    def edges(self) -> list[list[XY]]:
        return [self.fit.line(flatten(edge, 0.1 / self.fit.scale)) for edge in self.outline.edges]

    def ring(self) -> list[XY]:
        return [p for edge in self.edges() for p in edge[:-1]]


@dataclass(frozen=True, slots=True)
class _Words:
    """Lettering at its middle; where it is led to a place, that place."""

    text: str
    at: Point
    size: float
    fill: str
    bold: bool
    led_to: Point | None

    def box(self) -> Box:
        return _box_of(self.at, self.text, self.size, bold=self.bold)


def _box_of(at: XY, text: str, size: float, *, bold: bool) -> Box:
    wide = sum(_BROAD if ord(sign) > 0x2E80 else 0.7 if bold else _WIDE for sign in text)
    half = wide * size / 2, _CAPITAL * size / 2
    if any(sign in text for sign in "gjpqy_"):
        half = half[0], half[1] + 0.2 * size
    return Box(at[0] - half[0], at[1] - half[1], at[0] + half[0], at[1] + half[1])


@dataclass(slots=True)
class _Page:
    """A page while its lettering finds its places; made new for each."""

    figures: Sequence[_Figure]
    lettered: Sequence[Lettered]
    plain: list[list[XY]] = field(default_factory=list)
    """Lines inside that a layer's name explains, and nothing is asked of."""
    words: list[_Words] = field(default_factory=list)
    lines: list[list[XY]] = field(default_factory=list)
    taken: list[Box] = field(default_factory=list)
    led: list[Any] = field(default_factory=list)
    """Lines that lead from lettering to its place."""
    tree: Any = None

    def place(self, *, everything: bool, anywhere: bool = True) -> bool:
        """Lettering for all edges and lines, or for lines and outlines alone; False once some has no place near what
        it stands for and may not lie `anywhere`."""
        import shapely

        by_number = {figure.number: figure for figure in self.figures}
        fits = self.figures[0].fit if self.figures else _Fit(1.0, 0.0, 0.0)
        drawn: list[tuple[str, list[list[XY]]]] = []
        for one in self.lettered:
            fit = by_number[one.outline].fit if one.outline in by_number else fits
            drawn.append((one.letter, [fit.line(flatten(line, 0.1 / fit.scale)) for line in one.lines]))
        self.lines = [line for _, lines in drawn for line in lines]
        asked = {id(line) for one in self.lettered for line in one.lines}
        self.plain = [
            figure.fit.line(flatten(path.curves, 0.1 / figure.fit.scale))
            for figure in self.figures
            for path in figure.outline.paths[:_MOST_LINES]
            if id(path.curves) not in asked
        ]
        solid = [edge for figure in self.figures for edge in figure.edges()]
        corners = [
            shapely.Point(edge[0]).buffer(1.9 if i == 0 else 0.9)
            for figure in self.figures
            for i, edge in enumerate(figure.edges())
        ]
        lines = [shapely.LineString(line) for line in (*solid, *self.lines, *self.plain) if len(line) > 1]
        self.tree = shapely.STRtree([*lines, *corners])
        wanted: list[tuple[str, Iterable[tuple[Point, Point]], str, bool]] = []
        if everything:
            edges = [(figure, i) for figure in self.figures for i in range(len(figure.outline.edges))]
            edges.sort(key=lambda pair: -path_length(pair[0].outline.edges[pair[1]]))
            wanted = [(str(i + 1), _beside_edge(figure, i), _INK, False) for figure, i in edges[:_MOST_WORDS][::-1]]
        wanted += [(letter, _beside_lines(lines), _TEAL, True) for letter, lines in drawn]
        for text, spots, fill, bold in wanted:
            if not self._put(text, spots, SIZE, fill, bold=bold) and not anywhere:
                return False
        named = [self._put_name(figure) for figure in self.figures]
        return anywhere or all(named)

    def _put_name(self, figure: _Figure) -> bool:
        ring = figure.ring()
        spots = list(_within(ring))
        number = str(figure.number + 1)
        for text in (f"{number} {figure.name}", number) if len(self.figures) <= _MOST_NAMES else (number,):
            for at in spots:
                if self._free(at, f"  {text}  ", _NAME, bold=True) and contains(ring, at):
                    self._take(_Words(text, at, _NAME, _BLUE, True, None))
                    return True
        return self._put(number, [(at, at) for at in spots[:1]], _NAME, _BLUE, bold=True)

    def _put(
        self, text: str, spots: Iterable[tuple[Point, Point]], size: float, fill: str, *, bold: bool = False
    ) -> bool:
        """At the first free spot of those given with the places that they stand for; else at the nearest on the page,
        and then False. Where the page is full it is left out."""
        first: Point | None = None
        for at, place in spots:
            first = first or place
            led = place if distance(at, place) > _LEADER else None
            if self._free(at, text, size, bold=bold) and (led is None or self._leads(at, led)):
                self._take(_Words(text, at, size, fill, bold, led))
                return True
        if first is None:
            return False
        for far in range(8, 160, 4):
            for k in range(12 + far // 4):
                turn = 2 * pi * k / (12 + far // 4)
                at = along(first, (cos(turn), sin(turn)), far)
                if self._free(at, text, size, bold=bold):
                    self._take(_Words(text, at, size, fill, bold, first))
                    return False
        return False

    def _free(self, at: XY, text: str, size: float, *, bold: bool) -> bool:
        import shapely

        box = _box_of(at, text, size, bold=bold)
        if min(box.left, box.bottom, PAGE[0] - box.right, PAGE[1] - box.top) < 1.0:
            return False
        wide = Box(box.left - _CLEAR, box.bottom - _CLEAR, box.right + _CLEAR, box.top + _CLEAR)
        if any(wide.overlaps(other) for other in self.taken):
            return False
        room = shapely.box(wide.left, wide.bottom, wide.right, wide.top)
        return not len(self.tree.query(room, predicate="intersects")) and not any(
            room.intersects(line) for line in self.led
        )

    def _leads(self, at: XY, place: XY) -> bool:
        """Whether a line from the lettering to its place crosses no lettering, and no line but at that place."""
        import shapely

        line = shapely.LineString([at, along(place, _way(place, at), 0.4)])
        return not len(self.tree.query(line, predicate="intersects")) and not any(
            line.intersects(shapely.box(other.left, other.bottom, other.right, other.top)) for other in self.taken
        )

    def _take(self, words: _Words) -> None:
        import shapely

        box, more = words.box(), 1.0 if words.bold else 0.0
        self.words.append(words)
        self.taken.append(Box(box.left - more, box.bottom - more, box.right + more, box.top + more))
        if words.led_to is not None:
            self.led.append(shapely.LineString([words.at, words.led_to]).buffer(0.2))

    def svg(self, title: str) -> str:
        """What was placed, drawn."""
        out: list[str] = []
        for figure in self.figures:
            edges = figure.edges()
            d = "M" + "L".join(_xy(p) for p in figure.ring()) + "Z"
            out.append(f'<path class="outline" d="{d}"/>')
            for i, edge in enumerate(edges):
                x, y = _xy(edge[0]).split()
                out.append(f'<circle cx="{x}" cy="{y}" {_FIRST if i == 0 else _OTHER}/>')
        out += [f'<path class="plain" d="M{"L".join(_xy(p) for p in line)}"/>' for line in self.plain]
        out += [f'<path class="inside" d="M{"L".join(_xy(p) for p in line)}"/>' for line in self.lines]
        for words in self.words:
            if words.led_to is not None:
                out.append(f'<path class="leader" d="M{_xy(_border(words))}L{_xy(words.led_to)}"/>')
        for words in self.words:
            weight = ' font-weight="700"' if words.bold else ""
            foot = words.at.y + _CAPITAL * words.size / 2
            out.append(
                f'<text x="{words.at.x:.2f}" y="{foot:.2f}" font-size="{words.size:g}"{weight} fill="{words.fill}">'
                f"{escape(words.text)}</text>"
            )
        wide = PAGE[0]
        ends = [p[1] for line in (*self.lines, *self.plain) for p in line]
        ends += [p[1] for figure in self.figures for p in figure.ring()]
        high = min(PAGE[1], 4.0 + max([*ends, *(words.box().top for words in self.words)], default=PAGE[1]))
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide:g}mm" height="{high:.2f}mm" '
            f'viewBox="0 0 {wide:g} {high:.2f}" font-family="Arial, Helvetica, sans-serif" text-anchor="middle">\n'
            f"<title>{escape(title)}; a ring is the first corner. Not to scale.</title>\n<style>{_STYLE}</style>\n"
            f'<rect width="100%" height="100%" fill="#fff"/>\n' + "\n".join(out) + "\n</svg>\n"
        )


_STYLE: Final = (
    ".outline{fill:#f2f3f6;stroke:#16181d;stroke-width:.35;stroke-linejoin:round}"
    ".inside{fill:none;stroke:#0b6b5f;stroke-width:.3;stroke-linecap:round}"
    ".plain{fill:none;stroke:#9aa1ad;stroke-width:.2}"
    ".leader{stroke:#6b7280;stroke-width:.15}"
)
_FIRST: Final = f'r="1.3" fill="none" stroke="{_RED}" stroke-width=".4"'
_OTHER: Final = f'r=".6" fill="{_RED}"'


def _xy(p: XY) -> str:
    return f"{p[0]:.2f} {p[1]:.2f}"


def _way(a: XY, b: XY) -> Point:
    long = distance(a, b)
    return Point((b[0] - a[0]) / long, (b[1] - a[1]) / long) if long > 1e-9 else Point(0.0, 0.0)


def _border(words: _Words) -> Point:
    """Where the leader leaves the lettering: at its box's border."""
    assert words.led_to is not None
    box, way = words.box(), _way(words.at, words.led_to)
    half = (box.width / 2 + 0.4, box.height / 2 + 0.4)
    far = min(h / abs(w) for h, w in zip(half, way, strict=True) if abs(w) > 1e-9)
    return along(words.at, way, far)


def _beside_edge(figure: _Figure, i: int) -> Iterator[tuple[Point, Point]]:
    """Spots for the number of an edge: inside, by its middle first; then outside; ever further off."""
    edge = figure.outline.edges[i]
    long = path_length(edge)
    places = []
    for part in (0.5, 0.42, 0.58, 0.33, 0.67, 0.25, 0.75, 0.15, 0.85):
        p, way = place_at(edge, part * long)
        left = left_of(way)
        places.append((figure.fit.at(p), Point(left.x, -left.y)))
    for far in range(6, int(2 * _NEAR)):
        for side in (1.0, -1.0):
            for place, inwards in places:
                yield along(place, inwards, side * far / 2), place


def _beside_lines(lines: Sequence[Sequence[XY]]) -> Iterator[tuple[Point, Point]]:
    """Spots beside lines that have one letter, the longest first."""
    ordered = sorted((line for line in lines if len(line) > 1), key=lambda line: -polyline_length(line))[:8]
    for far in range(6, int(2 * _NEAR)):
        for line in ordered:
            long = polyline_length(line)
            for part in (0.5, 0.3, 0.7, 0.1, 0.9):
                place, way = place_on(line, part * long)
                for side in (1.0, -1.0):
                    yield along(place, left_of(way), side * far / 2), place
            place, _ = place_on(line, long / 2)
            for k in range(12):
                yield along(place, (cos(pi * k / 6), sin(pi * k / 6)), far / 2), place


def _within(ring: Sequence[XY]) -> Iterator[Point]:
    """Spots for a name in an outline: the widest places first."""
    box = Box.round(ring)
    found: list[tuple[float, Point]] = []
    for k in range(1, 40):
        y = box.bottom + k / 40 * box.height
        xs = crossings(ring, y)
        for a, b in zip(xs[::2], xs[1::2], strict=False):
            off_middle = abs(k - 20) / 40
            for part in (0.5, 0.35, 0.65, 0.25, 0.75):
                found.append(((b - a) * (1.0 - abs(part - 0.5)) * (1.0 - off_middle), Point(a + part * (b - a), y)))
    yield from (at for _, at in sorted(found, key=lambda pair: (-pair[0], pair[1])))
