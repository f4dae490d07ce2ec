"""Pages of the chalk card: how the cloth of a piece is folded before anything is chalked, as small pictures."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import Final

from ..geometry.polygon import Box
from ..model.draft import Fold
from ..model.pattern import MarkedPiece, Pattern
from ..model.piece import piece_words
from ..sheet.chalk.picture import Look
from ..units import show
from ..values import dataclass
from .chalk_page import CAPITAL, LEAD, SIZE, Layout, draw_traces
from .pdf_page import draw_words, text_width, wrapped

_HIGH: Final = 72.0
"""A picture is no higher, mm."""
_GAP: Final = 8.0
_LAYER: Final = 1.1
"""So far the edge of each layer shows beyond the one above it, mm."""
_NUMBER: Final = re.compile(r"(?<=\d) (?=\d+/\d|(?:in|cm|mm)\b)")
_WAYS: Final = {"lengthwise": "at your left", "crosswise": "at the top"}


@dataclass(frozen=True, slots=True)
class Folded:
    """A cloth as it lies: its size in mm, and the folds in it so far."""

    wide: float
    high: float
    folds: tuple[Fold, ...] = ()

    @property
    def layers(self) -> int:
        return 1 << len(self.folds)

    def once_more(self, fold: Fold) -> Folded:
        """Folded in half."""
        along = fold == "lengthwise"
        return Folded(self.wide / 2 if along else self.wide, self.high if along else self.high / 2,
                      (*self.folds, fold))  # fmt: skip


def folded(piece: MarkedPiece, folds: Sequence[Fold]) -> tuple[Folded, ...]:
    """The cloth that a piece takes with its allowances: spread out, then after each fold. A half on the fold is a half
    of it, and so is one of a pair."""
    box = Box.round(piece.cut.cut_line)
    fold = piece.fold_line
    wide = 2 * max(box.right - fold[0].x, fold[0].x - box.left) if fold else box.width
    if piece.cut.piece.mirrored_pair:
        wide *= 2
    lies = [Folded(wide, box.height)]
    for each in folds:
        lies.append(lies[-1].once_more(each))
    return tuple(lies)


def fold_pages(pattern: Pattern, names: Sequence[str], layout: Layout) -> list[str]:
    """Those pages, for the pieces of these names whose cloth is folded; none, where there are none."""
    rows = [
        _row(piece, pattern, layout) for piece in pattern.pieces
        if piece.name in names and pattern.draft.folding.get(piece.name)
    ]  # fmt: skip
    if not rows:
        return []
    head = draw_words("How the cloth is folded", (layout.left, layout.top - 6), 16.0, bold=True)
    pages: list[str] = [head]
    y = layout.top - 14
    for high, parts in rows:
        if y - high < layout.bottom and y < layout.top - 14:
            pages.append(head)
            y = layout.top - 14
        pages[-1] += "".join(part(y) for part in parts)
        y -= high + _GAP
    return pages


class _Words:
    """Words at a place below the top of a row."""

    __slots__ = ("bold", "down", "part", "text", "x")

    def __init__(self, text: str, x: float, down: float, *, bold: bool = False, part: float = 0.0) -> None:
        self.text, self.x, self.down, self.bold, self.part = text, x, down, bold, part

    def __call__(self, y: float) -> str:
        return draw_words(self.text, (self.x, y - self.down), SIZE, bold=self.bold, grey=0.0, part=self.part)


class _Lines:
    """Lines below the top of a row."""

    __slots__ = ("lines", "look")

    def __init__(self, look: Look, lines: Sequence[Sequence[tuple[float, float]]]) -> None:
        self.look, self.lines = look, lines

    def __call__(self, y: float) -> str:
        return draw_traces(self.look, [[(x, y + dy) for x, dy in line] for line in self.lines])


def _row(piece: MarkedPiece, pattern: Pattern, layout: Layout) -> tuple[float, list[_Words | _Lines]]:
    """How high it is, and what is drawn at its top: a picture for each way in which the cloth lies, its words below."""
    lies = folded(piece, pattern.draft.folding[piece.name])
    column = (layout.right - layout.left + _GAP) / len(lies)
    room = column - _GAP - 2 - max(text_width(show(each.high, pattern.unit), SIZE, bold=True) for each in lies)
    scale = min(_HIGH / lies[0].high, room / lies[0].wide)
    title = f"{piece_words(piece.name)[:1].upper()}{piece_words(piece.name)[1:]}"
    parts: list[_Words | _Lines] = [_Words(title, layout.left, LEAD, bold=True)]
    top, tall = LEAD + 3.0, lies[0].high * scale
    below = top + LEAD + tall + 5 + _LAYER * lies[-1].layers
    deepest = 0
    for k, each in enumerate(lies):
        x = layout.left + column * k
        parts += _picture(each, x, top + LEAD, scale, pattern)
        whole = _NUMBER.sub("~", _said(k + 1, each, pattern))  # a number, its fraction and its unit stay together
        lines = [line.replace("~", " ") for line in wrapped(whole, column - _GAP, SIZE)]
        for n, line in enumerate(lines):
            parts.append(_Words(line, x, below + LEAD * (n + 1)))
        deepest = max(deepest, len(lines))
    return below + LEAD * deepest, parts


def _said(number: int, lies: Folded, pattern: Pattern) -> str:
    size = f"{show(lies.wide, pattern.unit)} by {show(lies.high, pattern.unit)}"
    if not lies.folds:
        return f"{number}  Spread the cloth out, right side up: {size}."
    last = lies.folds[-1]
    return f"{number}  Fold it {last}, the fold {_WAYS[last]}: {size}, {lies.layers} layers."


def _picture(lies: Folded, x: float, down: float, scale: float, pattern: Pattern) -> Iterator[_Words | _Lines]:
    """The cloth with its folds drawn strong, its free edges layer by layer, and both measures."""
    wide, high = lies.wide * scale, lies.high * scale
    top, low, right = -down, -down - high, x + wide
    outline = [(x, top), (x, low), (right, low), (right, top), (x, top)]
    beneath = [
        [(x + (0 if "lengthwise" in lies.folds else d), low - d), (right + d, low - d),
         (right + d, top - (0 if "crosswise" in lies.folds else d))]
        for d in (_LAYER * n for n in range(1, lies.layers))
    ]  # fmt: skip
    yield _Lines(Look.CLOTH, beneath)
    yield _Lines(Look.BEFORE, [outline])
    sides = {"lengthwise": [(x, top), (x, low)], "crosswise": [(x, top), (right, top)]}
    yield _Lines(Look.FOLD, [sides[fold] for fold in lies.folds])
    yield _Words(show(lies.wide, pattern.unit), x + wide / 2, down - 2.0, bold=True, part=0.5)
    past = right + _LAYER * lies.layers + 1.5
    yield _Words(show(lies.high, pattern.unit), past, down + high / 2 + CAPITAL / 2, bold=True)
