"""Old and new piece on each other at full size, as figures of a sheet, and that on pages."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from ..geometry.point import XY, Point
from ..geometry.polygon import Box
from ..sheet.drawing import arrow
from ..sheet.lettering import text_lines
from ..sheet.paper import Paper
from ..sheet.strokes import Figure, Role, Stroke
from ..units import Unit
from .fits import PieceFit
from .laid import Laid, moved_words
from .side import SidePiece
from .table import Comparison

OLD, NEW = "old", "new"
"""What the two are called where a reader can switch one of them off."""
OLD_CUT: Final = (14.0, 6.0)
OLD_STITCH: Final = (1.2, 2.4)
"""Line patterns of the old piece, drawn and left out, mm (our own choice)."""
_TOLD: Final = 1.0  # mm: what moves less is not told on the sheet
_TITLE, _WORDS = 6.0, 3.5  # mm, heights of capitals
_CROSS: Final = 3.0
CAUTIONS: Final = (
    "Measure the scale block on the printed paper before you alter anything.",
    "Old seams leave needle holes and a fold: look at the right side before you let a seam out.",
    "Scissors, rotary blades and irons: cut away from your fingers, unplug the iron when you leave it.",
)


def render(compared: Comparison, unit: Unit, paper: Paper) -> bytes:
    """The pieces on pages of paper, with the page map and the scale block first, as a PDF of full size.

    Raises InputError for paper that is too small, DraftError for a piece that is wider than eight pages.
    """
    from ..export.pdf import render_tiles
    from ..export.tiles import tile_pitch
    from ..sheet.arrange import arrange_for_tiles, arrange_on_sheets

    figures = [figure_of(laid, fit, unit) for laid, fit in compared.drawn]
    across, up = tile_pitch(paper)
    if paper.large:
        sheet = arrange_on_sheets(compared.title, figures, across, up, inset=6.0)
    else:
        sheet = arrange_for_tiles(compared.title, figures, across, up)
    return render_tiles(sheet, paper, cautions=CAUTIONS, unit=unit)


def figure_of(laid: Laid, fit: PieceFit, unit: Unit) -> Figure:
    """A piece of both patterns: the old one in broken lines, the new one as patterns are drawn; what moved, in words;
    a cross where the cloth does not do."""
    strokes = [*_lines(laid.old, old=True), *_lines(laid.new, old=False)]
    strokes += arrow(Role.GRAIN, Point(*laid.new.grain[0]), Point(*laid.new.grain[1]))
    box = Box.round((*laid.old.stitch_line, *laid.new.stitch_line))
    middle = ((box.left + box.right) / 2, (box.bottom + box.top) / 2)
    strokes += _title(laid, fit, middle)
    for move in laid.moves:
        if move.far >= _TOLD:
            words = moved_words(move.dx, move.dy, laid.out, unit)
            strokes.append(Stroke(Role.INTERNAL, (move.old, move.new), dashes=()))
            inwards = 2.0 if move.new[0] < middle[0] else -2.0
            strokes += _words(words, (move.new[0] + inwards, move.new[1] - 2 * _WORDS), middle)
    for edge in fit.edges:
        if not edge.held:
            (x, y), arm = edge.at, _CROSS
            strokes += [
                Stroke(Role.DRILL, ((x - arm, y - arm), (x + arm, y + arm)), dashes=()),
                Stroke(Role.DRILL, ((x - arm, y + arm), (x + arm, y - arm)), dashes=()),
            ]
    return Figure(laid.old.name, tuple(strokes))


def _lines(piece: SidePiece, *, old: bool) -> Iterator[Stroke]:
    size = OLD if old else NEW
    yield Stroke(Role.CUT, tuple(piece.cut_line), True, size, OLD_CUT if old else ())
    for edge in piece.edges:
        if not edge.on_fold and edge.allowance > 0:
            yield Stroke(Role.STITCH, edge.points, False, size, OLD_STITCH if old else (3.0, 1.5))
    for dart in piece.darts:
        closed = len(dart.points) > 3
        yield Stroke(Role.DART, tuple(dart.points), closed, size, OLD_STITCH if old else (6.0, 1.5, 0.8, 1.5))


def _words(text: str, at: XY, middle: XY) -> Iterator[Stroke]:
    """Words that begin at a place and run towards the middle of the piece."""
    for points in text_lines(text, _WORDS, at, anchor="left" if at[0] <= middle[0] else "right"):
        yield Stroke(Role.LABEL, points)


def _title(laid: Laid, fit: PieceFit, middle: XY) -> Iterator[Stroke]:
    rows = [
        (laid.new.title, _TITLE),
        (f"laid {laid.words}", _WORDS),
        ("the cloth can take it" if fit.held else "the cloth cannot take it: see the crosses", _WORDS),
    ]
    x, y = middle
    for text, size in rows:
        for points in text_lines(text, size, (x, y), anchor="centre"):
            yield Stroke(Role.LABEL, points)
        y -= 2 * _WORDS
    for text, dashes in (("OLD", OLD_CUT), ("NEW", ())):
        for points in text_lines(text, _WORDS, (x - 2.0, y), anchor="right"):
            yield Stroke(Role.LABEL, points)
        yield Stroke(Role.CUT, ((x + 2.0, y + _WORDS / 2), (x + 36.0, y + _WORDS / 2)), dashes=dashes)
        y -= 2 * _WORDS
