"""The chalk card, a PDF to lie beside the cloth: pictures of a few steps each, with the numbers to be measured.

Every word and number has capitals of 3.5 mm, so that it can be read at arm's length; black on white, for any printer.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from typing import Final

from ..draft.chalk.card import chalk_pieces
from ..draft.chalk.marks import ChalkPiece, ChalkStep
from ..draft.chalk.numbers import rounding_words
from ..geometry.point import XY
from ..geometry.polygon import Box
from ..model.pattern import Pattern
from ..progress import Told, silent
from ..sheet.chalk import Look, Picture, picture
from ..sheet.paper import Paper
from ..values import dataclass, replace
from .pdf_page import PT, Page, document, draw_lines, draw_words, pts, shortened, text_width, wrapped

SIZE: Final = 14.0
"""Points: capitals and numbers of Helvetica are 0.718 of it (Adobe Core 14 font metrics, from memory), 3.55 mm."""
CAPITAL: Final = SIZE * 0.718 / PT
_LEAD: Final = 5.9  # mm from line to line
_BIG: Final = 19.0
_MARGIN: Final = 12.0
_PICTURE: Final = 84.0  # width, mm
_GUTTER: Final = 6.0
_BETWEEN: Final = 7.0
_LEAST: Final = 84.0  # height of a picture, mm
_FEW: Final = 3
"""Steps to a picture."""
_HEAD: Final = 12.0
_FOOT: Final = 9.0
_SMALL: Final = 350.0
"""A piece not higher than this is shown whole anyway, mm."""
_PENS: Final[dict[Look, tuple[float, float, str]]] = {  # grey (0 black), width mm, dashes mm
    Look.CLOTH: (0.45, 0.25, ""),
    Look.FOLD: (0.0, 1.1, "7 2"),
    Look.GUIDE: (0.4, 0.3, "1.2 1.2"),
    Look.BEFORE: (0.55, 0.45, ""),
    Look.NEW: (0.0, 0.9, ""),
    Look.MEASURE: (0.0, 0.22, ""),
    Look.CUT: (0.0, 0.5, "3 1.5"),
    Look.PIN: (0.0, 0.45, ""),
    Look.SQUARE: (0.0, 0.35, ""),
    Look.PLAN: (0.0, 0.5, ""),
}
_CLOTH: Final = 0.94
_NUMBER_GAP: Final = re.compile(r"(?<=\d) (?=\d+/\d|(?:in|cm|mm)\b)|(?<=[=÷×+−]) ")
_NEEDS: Final = "Tape, sharp chalk or a marking pencil, a square, a ruler and a curved ruler, pins, shears."
_CARE: Final = (
    "Try the chalk on a scrap first: it must brush out. Press the cloth. Count the pins. Cut away from your fingers, "
    "and check every number on this card against the tape once more before you cut."
)


def render(pattern: Pattern, paper: Paper, *, only: Sequence[str] | None = None, told: Told = silent) -> bytes:
    """The card for all pieces, or for those named in `only`, upright on `paper`. The same pattern, the same bytes.

    Raises nothing of its own.
    """
    pieces = [piece for piece in chalk_pieces(pattern) if only is None or piece.name in only]
    body: list[tuple[ChalkPiece, str]] = []
    starts: list[int] = []
    layout = _Layout(paper)
    for k, piece in enumerate(pieces, start=1):
        told(f"drawing the card of {piece.title}", k, len(pieces))
        starts.append(len(body))
        body += [(piece, page) for page in _pages_of(piece, layout)]
    first = _first_pages(pattern, pieces, starts, layout)
    count = len(first) + len(body)
    pages = []
    for number, content in enumerate(first, start=1):
        pages.append(Page(paper.width, paper.height, content + _foot(pattern.title, number, count, layout)))
    for number, (piece, content) in enumerate(body, start=len(first) + 1):
        name = f"{piece.title[:1].upper()}{piece.title[1:]}: {piece.cut}"
        name = shortened(name, layout.right - layout.left, 16.0, bold=True)
        head = draw_words(name, (layout.left, layout.top - 6), 16.0, bold=True)
        rule = draw_lines([((layout.left, layout.top - 9), (layout.right, layout.top - 9))], grey=0.0, width=0.4)
        pages.append(
            Page(paper.width, paper.height, head + rule + content + _foot(pattern.title, number, count, layout))
        )
    return document(f"{pattern.title}: chalk card", pages)


@dataclass(frozen=True, slots=True)
class _Layout:
    """The page inside its margins, mm."""

    paper: Paper

    @property
    def left(self) -> float:
        return _MARGIN

    @property
    def right(self) -> float:
        return self.paper.width - _MARGIN

    @property
    def top(self) -> float:
        return self.paper.height - _MARGIN

    @property
    def bottom(self) -> float:
        return _MARGIN + _FOOT

    @property
    def room(self) -> float:
        """Height for boards."""
        return self.top - _HEAD - self.bottom

    @property
    def column(self) -> float:
        """Width of the words beside a picture."""
        return self.right - self.left - _PICTURE - _GUTTER


def _foot(title: str, number: int, count: int, layout: _Layout) -> str:
    place = f"page {number} of {count}"
    room = layout.right - layout.left - text_width(place, SIZE) - 8
    return draw_words(shortened(title, room, SIZE), (layout.left, _MARGIN), SIZE, grey=0.3) + draw_words(
        place, (layout.right, _MARGIN), SIZE, grey=0.3, part=1.0
    )


# ---------------------------------------------------------------- boards: a picture and its steps


def _pages_of(piece: ChalkPiece, layout: _Layout) -> list[str]:
    """The boards of a piece, as many on a page as go; what is left of the page goes to the pictures."""
    half, most = (layout.room - _BETWEEN) / 2, layout.room - _BETWEEN - _LEAST
    pages = min((_paged(piece, limit, layout) for limit in (half, most)), key=len)
    out = []
    for page in pages:
        spare = layout.room - sum(h for _, h in page) - _BETWEEN * (len(page) - 1)
        top = layout.top - _HEAD
        content = []
        for board, high in page:
            tall = min(high + spare / len(page), max(high, 150.0))
            drawn = picture(piece, board, _PICTURE, tall, capital=CAPITAL, text_width=_bold_width)
            content.append(_drawn(drawn, (layout.left, top - tall)))
            content.append(_set(board, (layout.left + _PICTURE + _GUTTER, top), layout)[0])
            top -= tall + _BETWEEN
        out.append("".join(content))
    return out


def _paged(piece: ChalkPiece, most: float, layout: _Layout) -> list[list[tuple[tuple[ChalkStep, ...], float]]]:
    """The boards of each page with their heights, none higher than `most` unless one step alone is."""
    pages: list[list[tuple[tuple[ChalkStep, ...], float]]] = []
    used = 0.0
    for board in _boards(piece, most, layout):
        high = max(_LEAST, _height(board, layout))
        if not pages or used + high > layout.room:
            pages.append([])
            used = 0.0
        pages[-1].append((board, high))
        used += high + _BETWEEN
    return pages


def _bold_width(text: str) -> float:
    return text_width(text, SIZE, bold=True)


def _height(board: Sequence[ChalkStep], layout: _Layout) -> float:
    return _set(board, (0.0, 0.0), layout)[1]


def _boards(piece: ChalkPiece, most: float, layout: _Layout) -> list[tuple[ChalkStep, ...]]:
    """Steps that share a picture: of one part, or of neighbouring parts where they are few; never too high."""
    small = Box.round(piece.outline).height < _SMALL
    boards: list[list[ChalkStep]] = []
    regions = _regions(piece)
    for step in (part for whole in piece.steps for part in _split(whole, layout)):
        if boards:
            last = boards[-1]
            alike = last[-1].part == step.part or small or regions[last[-1].part] == regions[step.part]
            if alike and len(last) < _FEW and _height((*last, step), layout) <= most:
                last.append(step)
                continue
        boards.append([step])
    return [tuple(board) for board in boards]


def _regions(piece: ChalkPiece) -> dict[str, str]:
    """Where each part lies on the piece, an edge in its upper half or not: parts of one region can share a picture."""
    box = Box.round(piece.outline)
    lowest: dict[str, float] = {}
    for step in piece.steps:
        ys = [y for mark in step.marks for _, y in (*mark.line, *(spot.at for spot in mark.spots))]
        lowest[step.part] = (
            min(ys, default=box.bottom, key=float) if step.part not in lowest else min(lowest[step.part], *ys)
        )
    own = {"lines": "lines", "across": "across", "dart": "dart", "inside": "last", "finish": "last"}
    middle = (box.bottom + box.top) / 2
    return {part: own.get(part, "upper" if y > middle else "lower") for part, y in lowest.items()}


def _split(step: ChalkStep, layout: _Layout) -> list[ChalkStep]:
    """A step whose table is higher than a page goes on, on the next."""
    rows = len(step.table)
    while rows > 1 and _height((replace(step, table=step.table[:rows]),), layout) > layout.room:
        rows -= 1
    if rows == len(step.table):
        return [step]
    rest = replace(step, words=("Continued.",), formula=(), table=step.table[rows:])
    return [replace(step, table=step.table[:rows]), *_split(rest, layout)]


_NUMBER: Final = 26.0  # mm: width of a column of numbers


def _set(board: Sequence[ChalkStep], at: XY, layout: _Layout) -> tuple[str, float]:
    """The words of the steps below one another from `at`, the top left corner; and the height they took, mm."""
    x, y = at
    width = layout.column
    out: list[str] = []

    def say(text: str, *, bold: bool = False, grey: float = 0.0, indent: float = 0.0) -> None:
        nonlocal y
        for line in _broken(text, width - indent, bold):
            y -= _LEAD
            out.append(draw_words(line, (x + indent, y + 1.2), SIZE, bold=bold, grey=grey))

    for i, step in enumerate(board):
        if i:
            y -= 2.6
        letter = _letter(step)
        say(f"{step.number}  {letter + '  ' if letter else ''}{step.title}", bold=True)
        for words in step.words:
            say(words)
        for formula in step.formula:
            say(formula, grey=0.3, indent=4.0)
        if step.table:
            y = _table(step, (x, y), width, out)
    return "".join(out), at[1] - y


def _broken(text: str, width: float, bold: bool = False) -> list[str]:
    """The text in lines of at most `width` mm; a number, its fraction and its unit stay together."""
    lines: list[str] = []
    for word in _NUMBER_GAP.sub("\0", text).split():
        word = word.replace("\0", " ")
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and text_width(longer, SIZE, bold) <= width:
            lines[-1] = longer
        elif text_width(word, SIZE, bold) <= width:
            lines.append(word)
        else:
            lines += wrapped(word, width, SIZE, bold)
    return lines


def _letter(step: ChalkStep) -> str:
    """The letter of a step that is about one place."""
    spots = [spot for mark in step.marks for spot in mark.spots]
    return spots[0].letter if len(spots) == 1 and len(step.marks) == 1 and not step.table else ""


def _table(step: ChalkStep, at: XY, width: float, out: list[str]) -> float:
    """Letter, name, and the numbers under their headings; rows without letter and name stand two abreast."""
    x, y = at
    y -= _LEAD + 0.6
    used = [column for column in (0, 1) if step.columns[column]]
    widths = [
        max(_NUMBER, *(text_width(t, SIZE, True) for t in (step.columns[c], *(r[2 + c] for r in step.table))))
        for c in used
    ]
    edges = [x + width - sum(widths[i + 1 :]) for i in range(len(used))]
    for column, edge in zip(used, edges, strict=True):
        out.append(draw_words(step.columns[column], (edge, y + 1.2), SIZE, part=1.0, grey=0.3))
    out.append(draw_lines([((x, y - 0.2), (x + width, y - 0.2))], grey=0.3, width=0.25))
    y -= 0.6
    room = width - sum(widths) - 9.0
    for letter, name, *numbers in step.table:
        lines = wrapped(name, room, SIZE) or [""]
        if len(lines) > 2 and room < 20:
            lines = [shortened(name, room, SIZE)]
        y -= _LEAD
        ring = not letter and not name
        out.append(
            _ring((x + 2.2, y + 1.2 + CAPITAL / 2)) if ring else draw_words(letter, (x, y + 1.2), SIZE, bold=True)
        )
        for column, edge in zip(used, edges, strict=True):
            out.append(draw_words(numbers[column], (edge, y + 1.2), SIZE, bold=True, part=1.0))
        indent = 7.0 if letter or ring or any(row[0] for row in step.table) else 0.0
        for i, line in enumerate(lines):
            y -= _LEAD if i else 0.0
            out.append(draw_words(line, (x + indent, y + 1.2), SIZE))
    return y - 0.6


# ---------------------------------------------------------------- ink


def _drawn(shown: Picture, at: XY) -> str:
    """A picture with its lower left corner at `at` on the page, mm."""
    dx, dy = at
    out = []
    if shown.cloth is not None:
        box = shown.cloth
        out.append(f"{_CLOTH} g {pts(dx + box.left)} {pts(dy + box.bottom)} {pts(box.width)} {pts(box.height)} re f\n")
    for look in Look:
        traces = [trace for trace in shown.traces if trace.look is look]
        if traces:
            out.append(_traces(look, [[(x + dx, y + dy) for x, y in trace.points] for trace in traces]))
    for dot in shown.dots:
        at_dot = (dot.at[0] + dx, dot.at[1] + dy)
        out.append(_disc(at_dot, 0.85) if dot.full else _ring(at_dot))
    for word in shown.words:
        box = word.box
        x, y = dx + (box.left + box.right) / 2, dy + (box.bottom + box.top) / 2
        if word.badge:
            out.append(_disc((x, y), box.width / 2 - 0.2, grey=1.0, edge=0.3))
        else:
            corner = f"{pts(dx + box.left)} {pts(dy + box.bottom)}"
            out.append(f"{_under(box, shown)} g {corner} {pts(box.width)} {pts(box.height)} re f\n")
        out.append(draw_words(word.text, (x, y - CAPITAL / 2), SIZE, bold=True, grey=0.0, part=0.5))
    return "".join(out)


def _under(box: Box, shown: Picture) -> float:
    """The grey that lies under a word."""
    cloth = shown.cloth
    on = (
        cloth is not None
        and cloth.left <= (box.left + box.right) / 2 <= cloth.right
        and cloth.bottom <= (box.bottom + box.top) / 2 <= cloth.top
    )
    return _CLOTH if on else 1.0


def _traces(look: Look, lines: Sequence[Sequence[XY]]) -> str:
    grey, width, dashes = _PENS[look]
    out = draw_lines(lines, grey=grey, width=width, dashes=" ".join(pts(float(d)) for d in dashes.split()))
    if look is Look.PIN:
        out += "".join(_disc(line[0], 0.75) for line in lines)
    return out


_ARC: Final = 0.5523  # a quarter circle as a cubic


def _circle(at: XY, radius: float) -> str:
    x, y = at
    k = _ARC * radius
    turns: Iterable[tuple[XY, XY, XY]] = (
        ((x + radius, y + k), (x + k, y + radius), (x, y + radius)),
        ((x - k, y + radius), (x - radius, y + k), (x - radius, y)),
        ((x - radius, y - k), (x - k, y - radius), (x, y - radius)),
        ((x + k, y - radius), (x + radius, y - k), (x + radius, y)),
    )
    parts = [f"{pts(x + radius)} {pts(y)} m\n"]
    for points in turns:
        parts.append(" ".join(f"{pts(px)} {pts(py)}" for px, py in points) + " c\n")
    return "".join(parts)


def _disc(at: XY, radius: float, *, grey: float = 0.0, edge: float = 0.0) -> str:
    if edge:
        return f"{grey} g 0 G {pts(edge)} w [] 0 d\n{_circle(at, radius)}b\n"
    return f"{grey} g\n{_circle(at, radius)}f\n"


def _ring(at: XY) -> str:
    return _disc(at, 1.0, grey=1.0, edge=0.35)


# ---------------------------------------------------------------- the first page


def _first_pages(pattern: Pattern, pieces: Sequence[ChalkPiece], starts: Sequence[int], layout: _Layout) -> list[str]:
    """Title, what is needed, cautions, how to read the card, what its lines mean, the pieces and their pages."""
    width = layout.right - layout.left
    flow = _Flow(layout)
    flow.say(shortened(pattern.title, width * 1.9, _BIG, bold=True), size=_BIG, bold=True)
    flow.say("Chalk card: every line of the pattern, to be drawn on the cloth itself.")
    if pattern.date:
        flow.say(shortened(pattern.date, width, SIZE))
    flow.gap()
    for head, words in (("You need", _NEEDS), ("Take care", _CARE)):
        flow.say(head, bold=True)
        flow.say(words)
        flow.gap()
    flow.say("How to read it", bold=True)
    flow.say(
        "Work through the numbers in order. Each place has two distances: across from an upright line (the fold, the "
        "centre line), and down from the level line at the top. “Left”, “beyond” and “up” lie on the other side of it. "
        "All lines are stitch lines; the allowances come last."
    )
    flow.say(rounding_words(pattern.unit))
    flow.gap()
    samples = _samples()
    for left, right in zip(samples[::2], [*samples[1::2], None], strict=False):
        flow.samples(left, right)
    flow.gap()
    flow.say("The pieces", bold=True)
    # the number of first pages depends on this list, which is short: laid out once to count, once for good
    count = len(flow.listed(pieces, starts, 1).pages())
    return flow.listed(pieces, starts, count).pages()


@dataclass(slots=True)
class _Flow:
    """Words down one page and on to the next."""

    layout: _Layout
    done: tuple[str, ...] = ()
    held: str = ""
    y: float = 0.0

    def __post_init__(self) -> None:
        self.y = self.layout.top

    def room_for(self, high: float) -> None:
        if self.y - high < self.layout.bottom:
            self.done, self.held, self.y = (*self.done, self.held), "", self.layout.top
        self.y -= high

    def say(self, text: str, *, size: float = SIZE, bold: bool = False) -> None:
        for line in wrapped(text, self.layout.right - self.layout.left, size, bold):
            self.room_for(_LEAD * size / SIZE)
            self.held += draw_words(line, (self.layout.left, self.y + 1.2), size, bold=bold, grey=0.0)

    def gap(self) -> None:
        self.y -= 2.6

    def samples(self, *pair: tuple[str, Callable[[XY], str]] | None) -> None:
        self.room_for(_LEAD + 1.6)
        half = (self.layout.right - self.layout.left) / 2
        for i, sample in enumerate(pair):
            if sample is not None:
                x = self.layout.left + half * i
                self.held += sample[1]((x, self.y + 1.2 + CAPITAL / 2)) + draw_words(
                    sample[0], (x + 22, self.y + 1.2), SIZE, grey=0.0
                )

    def listed(self, pieces: Sequence[ChalkPiece], starts: Sequence[int], before: int) -> _Flow:
        """A copy that ends with the list of pieces; `before` pages stand in front of theirs."""
        flow = _Flow(self.layout, self.done, self.held, 0.0)
        flow.y = self.y
        for piece, start in zip(pieces, starts, strict=True):
            flow.room_for(_LEAD)
            page = f"page {before + start + 1}"
            room = self.layout.right - self.layout.left - text_width(page, SIZE) - 6
            words = shortened(f"{piece.title}: {piece.cut}", room, SIZE)
            flow.held += draw_words(words, (self.layout.left, flow.y + 1.2), SIZE, grey=0.0)
            flow.held += draw_words(page, (self.layout.right, flow.y + 1.2), SIZE, grey=0.0, part=1.0)
        return flow

    def pages(self) -> list[str]:
        return [*self.done, self.held]


def _samples() -> list[tuple[str, Callable[[XY], str]]]:
    """What the lines and marks of the pictures mean: words, and what draws a sample 18 mm wide."""

    def line(look: Look) -> Callable[[XY], str]:
        return lambda at: _traces(look, [[at, (at[0] + 18, at[1])]])

    def arrows(at: XY) -> str:
        x, y = at
        heads = [[(x + 1.8, y + 0.6), at, (x + 1.8, y - 0.6)], [(x + 16.2, y + 0.6), (x + 18, y), (x + 16.2, y - 0.6)]]
        return _traces(Look.MEASURE, [[at, (x + 18, y)], *heads])

    def lettered(at: XY) -> str:
        return _disc((at[0] + 6, at[1]), 0.85) + draw_words(
            "A", (at[0] + 8.4, at[1] - CAPITAL / 2), SIZE, bold=True, grey=0.0
        )

    def badge(at: XY) -> str:
        middle = (at[0] + 9, at[1])
        return _disc(middle, 3.0, grey=1.0, edge=0.3) + draw_words(
            "7", (middle[0], middle[1] - CAPITAL / 2), SIZE, bold=True, part=0.5, grey=0.0
        )

    def corner(at: XY) -> str:
        x, y = at[0] + 6, at[1] - 2
        return _traces(Look.NEW, [[(x, y), (x + 9, y)]]) + _traces(
            Look.SQUARE, [[(x, y + 3), (x + 3, y + 3), (x + 3, y)]]
        )

    def notch(at: XY) -> str:
        x, y = at
        return _traces(Look.BEFORE, [[(x, y - 1), (x + 18, y - 1)]]) + _traces(
            Look.NEW, [[(x + 9, y - 1), (x + 9, y + 2.5)]]
        )

    return [
        ("fold of the cloth", line(Look.FOLD)),
        ("line to measure from", line(Look.GUIDE)),
        ("chalk this now", line(Look.NEW)),
        ("chalked before", line(Look.BEFORE)),
        ("number of the step", badge),
        ("distance to measure", arrows),
        ("place with its letter", lettered),
        ("ring: a curve passes here", lambda at: _ring((at[0] + 9, at[1]))),
        ("square to that line", corner),
        ("notch", notch),
        ("cut line", line(Look.CUT)),
        ("pin", lambda at: _traces(Look.PIN, [[(at[0] + 6.4, at[1]), (at[0] + 11.6, at[1])]])),
    ]
