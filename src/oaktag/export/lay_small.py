"""lay-small.pdf: the lays at a tenth of their size, on A4 or Letter pages, to hang up beside the cutting table."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Final

from ..geometry.polygon import Box
from ..lay.cloth import YARD
from ..lay.names import Name, Told, arrow_of, name_of, told
from ..lay.placed import Lay, Stretch
from ..lay.words import tape_words
from ..model.nest import Nest
from ..sheet.paper import PAPERS, usual_paper
from ..units import Unit, show
from .cloth_table import width_words
from .lay_page import UNIT_WORDS, edge_words, marks
from .pdf_page import GREY, INK, LIGHT, PT, Page, document, draw_lines, draw_words, shortened

_SCALE: Final = 0.1
_MARGIN: Final = 15.0
_HEAD: Final = 22.0
_LETTERS: Final = (6.0, 11.0)
"""The least and the largest, points."""
_ARROW: Final = 40.0
"""On the cloth, mm."""
_ROWS: Final = 44
_COLUMNS: Final = (8.0, 68.0, 88.0, 112.0, 136.0, 158.0, 180.0)
"""Of the table: where each ends, but the first, mm; the second begins at 10 mm."""


def _paper(unit: Unit) -> tuple[float, float]:
    """Width and height of a page in a job of that unit, mm."""
    paper = PAPERS[usual_paper(unit)]
    return paper.width, paper.height


def render(lays: Sequence[Lay], nest: Nest, title: str, unit: Unit) -> bytes:
    """As many pages as it takes at 1 : 10, each with a bar of one metre or yard of cloth, then where each piece lies;
    cloth wider than 1.8 m is smaller."""
    pages: list[Page] = []
    for lay in lays:
        for number, stretch in enumerate(lay.stretches):
            opened = ", opened out" if number else ""
            pieces = told(stretch, nest)
            heading = f"{title}: {lay.material}, {stretch.cloth.words()}{opened}"
            pages += _stretch(stretch, pieces, heading, unit)
            pages += _places(stretch, pieces, heading, unit)
    return document(f"{title}, lay", pages, {})


def _stretch(stretch: Stretch, pieces: Sequence[Told], title: str, unit: Unit) -> list[Page]:
    scale = min(_SCALE, (_paper(unit)[0] - 2 * _MARGIN) / stretch.cloth.spread_width)
    room = (_paper(unit)[1] - 2 * _MARGIN - _HEAD) / scale
    count = max(1, -(-stretch.length // room))
    return [_page(stretch, pieces, title, unit, scale, i * room, room, i + 1, int(count)) for i in range(int(count))]


def _page(
    stretch: Stretch,
    pieces: Sequence[Told],
    title: str,
    unit: Unit,
    scale: float,
    start: float,
    room: float,
    number: int,
    count: int,
) -> Page:
    cloth, end = stretch.cloth, min(stretch.length, start + room)

    def at(x: float, y: float) -> tuple[float, float]:
        return _MARGIN + x * scale, _MARGIN + (y - start) * scale

    bar = _paper(unit)[1] - _MARGIN - 14.0
    one, bar_words = (YARD, "1 yd of cloth") if unit == "in" else (1000.0, "1 m of cloth")
    out = [
        draw_words(title, (_MARGIN, _paper(unit)[1] - _MARGIN - 4.0), 11.0, bold=True),
        draw_words(
            f"1 : {1 / scale:.3g}, not for cutting. Cloth {width_words(cloth.width, unit)} wide; from "
            f"{tape_words(start, unit)} to {tape_words(end, unit)} of {tape_words(stretch.length, unit)}; "
            f"marks in {UNIT_WORDS[unit]}; page {number} of {count}",
            (_MARGIN, _paper(unit)[1] - _MARGIN - 10.0), 8.5,
        ),
        draw_lines([[(_MARGIN, bar), (_MARGIN + one * scale, bar)]], grey=INK),
        draw_words(bar_words, (_MARGIN + one * scale + 2.0, bar - 1.0), 8.5),
    ]  # fmt: skip
    edges = []
    for x, fold in ((0.0, cloth.spread != "open"), (cloth.spread_width, cloth.spread == "tubular")):
        line = [at(x, start), at(x, end)]
        out.append(draw_lines([line], grey=INK, width=0.6 if fold else 0.2, dashes="9 3 1.5 3" if fold else ""))
    edges += [[at(0.0, y), at(cloth.spread_width, y)] for y in (start, end)]
    out.append(draw_lines(edges, grey=GREY))
    window = Box(-1.0, start, cloth.spread_width + 1.0, end)
    small, large = marks(stretch.length, unit)
    out.append(
        draw_lines([[(_MARGIN - 1.0, at(0, y)[1]), (_MARGIN - 2.0, at(0, y)[1])] for y in small if start <= y <= end])
    )
    for y, words in large:
        if start <= y <= end:
            out.append(draw_words(words, (_MARGIN - 2.5, at(0, y)[1] - 0.9), 7.0, part=1.0, grey=GREY))
    for piece in pieces:
        ring = piece.placed.outline()
        if not piece.box.overlaps(window):
            continue
        out.append(draw_lines([[at(x, y) for x, y in run] for run in _clipped(ring, window)], grey=INK, width=0.25))
        k = scale * PT
        least, most = (size / k for size in _LETTERS)
        name = name_of(piece, window, least=least, most=most, along_first=False, arrow=_ARROW)
        if name is not None:
            out += _letters(name, at(*name.at), name.size * k)
        out.append(_arrow(piece, at, window))
    for flaw in cloth.flaws:
        corners = [
            at(flaw.left, flaw.bottom),
            at(flaw.right, flaw.top),
            at(flaw.left, flaw.top),
            at(flaw.right, flaw.bottom),
        ]
        if flaw.bottom < end and flaw.top > start:
            out.append(draw_lines([corners[:2], corners[2:]], grey=LIGHT, width=0.4))
    return Page(*_paper(unit), "".join(out))


def _letters(name: Name, middle: tuple[float, float], size: float) -> list[str]:
    out: list[str] = []
    height = size / PT
    for i, line in enumerate(name.lines):
        down = height * (1.2 * (i - (len(name.lines) - 1) / 2) + 0.36)
        x, y = (middle[0] + down, middle[1]) if name.along else (middle[0], middle[1] - down)
        out.append(draw_words(line, (x, y), size, part=0.5, angle_deg=90.0 if name.along else 0.0))
    return out


def _arrow(piece: Told, at: Callable[[float, float], tuple[float, float]], window: Box) -> str:
    line = arrow_of(piece, _ARROW)
    if line is None or not window.bottom < line[0][1] < window.top:
        return ""
    (x, tail), (_, tip) = at(*line[0]), at(*line[1])
    way = 1.6 if tip > tail else -1.6
    return draw_lines([[(x, tail), (x, tip)], [(x - 1, tip - way), (x, tip), (x + 1, tip - way)]], grey=GREY)


def _places(stretch: Stretch, pieces: Sequence[Told], title: str, unit: Unit) -> list[Page]:
    """Where each piece lies, for tape and chalk: as many pages as it takes."""
    edge = edge_words(stretch)
    heads = ("No.", "Piece", "Begins", "Ends", f"From {edge}", "to", "Grain line")
    pages: list[Page] = []
    for first in range(0, len(pieces), _ROWS):
        y = _paper(unit)[1] - _MARGIN - 4.0
        out = [draw_words(shortened(title, 180.0, 11.0, True), (_MARGIN, y), 11.0, bold=True)]
        y -= 6.0
        words = f"Where each piece lies: from the start of the cloth, and from the {edge}, to its cut line."
        out.append(draw_words(words, (_MARGIN, y), 8.5))
        rows = [heads]
        for one in pieces[first : first + _ROWS]:
            box, fold = one.box, one.placed.piece.on_fold
            garment = f", garment {one.placed.piece.garment}" if one.placed.piece.garment > 1 else ""
            rows.append(
                (
                    str(one.number), one.words + garment, tape_words(box.bottom, unit), tape_words(box.top, unit),
                    "on it" if fold else show(box.left, unit), show(box.right, unit),
                    "on it" if fold else show(one.grain, unit),
                )
            )  # fmt: skip
        for number, row in enumerate(rows):
            y -= 5.4
            for column, (words, right) in enumerate(zip(row, _COLUMNS, strict=True)):
                left = column == 1
                at = (_MARGIN + (10.0 if left else right), y)
                text = shortened(words, 56.0, 8.5) if left else words
                out.append(draw_words(text, at, 8.5, bold=not number, part=0.0 if left else 1.0))
            out.append(draw_lines([[(_MARGIN, y - 1.6), (_paper(unit)[0] - _MARGIN, y - 1.6)]], grey=LIGHT, width=0.1))
        pages.append(Page(*_paper(unit), "".join(out)))
    return pages


def _clipped(ring: Sequence[tuple[float, float]], window: Box) -> list[list[tuple[float, float]]]:
    from ..geometry.clip import clip_line

    return [list(run) for run in clip_line([*ring, ring[0]], window) if len(run) > 1]
