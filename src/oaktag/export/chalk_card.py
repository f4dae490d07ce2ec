"""The chalk card, a PDF to lie beside the cloth: pictures of a few steps each, with the numbers to be measured.

Every word and number has capitals of 3.5 mm, so that it can be read at arm's length; black on white, for any printer.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Final

from ..draft.chalk.card import chalk_pieces
from ..draft.chalk.marks import ChalkPiece, ChalkStep
from ..geometry.point import XY
from ..geometry.polygon import Box
from ..model.pattern import Pattern
from ..progress import Told, silent
from ..sheet.chalk.draw import picture
from ..sheet.paper import Paper
from ..values import replace
from .chalk_first import first_pages
from .chalk_page import CAPITAL, GUTTER, HEAD, LEAD, MARGIN, PICTURE, SIZE, Layout, drawn, ring
from .pdf_page import Page, document, draw_lines, draw_words, shortened, text_width, wrapped

_BETWEEN: Final = 7.0
_LEAST: Final = 84.0  # height of a picture, mm
_FEW: Final = 3
"""Steps to a picture."""
_SMALL: Final = 350.0
"""A piece not higher than this is shown whole anyway, mm."""
_NUMBER_GAP: Final = re.compile(r"(?<=\d) (?=\d+/\d|(?:in|cm|mm)\b)|(?<=[=÷×+−]) ")


def render(pattern: Pattern, paper: Paper, *, only: Sequence[str] | None = None, told: Told = silent) -> bytes:
    """The card for all pieces, or for those named in `only`, upright on `paper`. The same pattern, the same bytes.

    Raises nothing of its own.
    """
    pieces = [piece for piece in chalk_pieces(pattern) if only is None or piece.name in only]
    body: list[tuple[ChalkPiece, str]] = []
    starts: list[int] = []
    layout = Layout(paper)
    for k, piece in enumerate(pieces, start=1):
        told(f"drawing the card of {piece.title}", k, len(pieces))
        starts.append(len(body))
        body += [(piece, page) for page in _pages_of(piece, layout)]
    first = first_pages(pattern, pieces, starts, layout)
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


def _foot(title: str, number: int, count: int, layout: Layout) -> str:
    place = f"page {number} of {count}"
    room = layout.right - layout.left - text_width(place, SIZE) - 8
    return draw_words(shortened(title, room, SIZE), (layout.left, MARGIN), SIZE, grey=0.3) + draw_words(
        place, (layout.right, MARGIN), SIZE, grey=0.3, part=1.0
    )


# ---------------------------------------------------------------- boards: a picture and its steps


def _pages_of(piece: ChalkPiece, layout: Layout) -> list[str]:
    """The boards of a piece, as many on a page as go; what is left of the page goes to the pictures."""
    half, most = (layout.room - _BETWEEN) / 2, layout.room - _BETWEEN - _LEAST
    pages = min((_paged(piece, limit, layout) for limit in (half, most)), key=len)
    out = []
    for page in pages:
        spare = layout.room - sum(h for _, h in page) - _BETWEEN * (len(page) - 1)
        top = layout.top - HEAD
        content = []
        for board, high in page:
            tall = min(high + spare / len(page), max(high, 150.0))
            shown = picture(piece, board, PICTURE, tall, capital=CAPITAL, text_width=_bold_width)
            content.append(drawn(shown, (layout.left, top - tall)))
            content.append(_set(board, (layout.left + PICTURE + GUTTER, top), layout)[0])
            top -= tall + _BETWEEN
        out.append("".join(content))
    return out


def _paged(piece: ChalkPiece, most: float, layout: Layout) -> list[list[tuple[tuple[ChalkStep, ...], float]]]:
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


def _height(board: Sequence[ChalkStep], layout: Layout) -> float:
    return _set(board, (0.0, 0.0), layout)[1]


def _boards(piece: ChalkPiece, most: float, layout: Layout) -> list[tuple[ChalkStep, ...]]:
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
    """Where each part lies: the edges in the upper half of the piece, those that reach below, the last steps."""
    box = Box.round(piece.outline)
    regions = {"lines": "lines", "across": "across", "dart": "dart", "inside": "last", "finish": "last"}
    for part in {step.part for step in piece.steps} - regions.keys():
        marks = [mark for step in piece.steps if step.part == part for mark in step.marks]
        lowest = min(y for mark in marks for _, y in (*mark.line, *(spot.at for spot in mark.spots)))
        regions[part] = "upper" if lowest > (box.bottom + box.top) / 2 else "lower"
    return regions


def _split(step: ChalkStep, layout: Layout) -> list[ChalkStep]:
    """A step whose table is higher than a page goes on, on the next."""
    rows = len(step.table)
    while rows > 1 and _height((replace(step, table=step.table[:rows]),), layout) > layout.room:
        rows -= 1
    if rows == len(step.table):
        return [step]
    rest = replace(step, words=("Continued.",), formula=(), table=step.table[rows:])
    return [replace(step, table=step.table[:rows]), *_split(rest, layout)]


_NUMBER: Final = 26.0  # mm: width of a column of numbers


def _set(board: Sequence[ChalkStep], at: XY, layout: Layout) -> tuple[str, float]:
    """The words of the steps below one another from `at`, the top left corner; and the height they took, mm."""
    x, y = at
    width = layout.column
    out: list[str] = []

    def say(text: str, *, bold: bool = False, grey: float = 0.0, indent: float = 0.0) -> None:
        nonlocal y
        for line in _broken(text, width - indent, bold):
            y -= LEAD
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
    y -= LEAD + 0.6
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
        y -= LEAD
        nameless = not letter and not name
        out.append(
            ring((x + 2.2, y + 1.2 + CAPITAL / 2)) if nameless else draw_words(letter, (x, y + 1.2), SIZE, bold=True)
        )
        for column, edge in zip(used, edges, strict=True):
            out.append(draw_words(numbers[column], (edge, y + 1.2), SIZE, bold=True, part=1.0))
        indent = 7.0 if letter or nameless or any(row[0] for row in step.table) else 0.0
        for i, line in enumerate(lines):
            y -= LEAD if i else 0.0
            out.append(draw_words(line, (x + indent, y + 1.2), SIZE))
    return y - 0.6
