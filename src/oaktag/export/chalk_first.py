"""The first page of the chalk card: what is needed, cautions, how to read it, what its lines mean, the pieces."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Final

from ..draft.chalk.marks import ChalkPiece
from ..draft.chalk.numbers import rounding_words
from ..geometry.point import XY
from ..model.pattern import Pattern
from ..sheet.chalk.picture import Look
from ..values import dataclass
from .chalk_folds import fold_pages
from .chalk_page import CAPITAL, LEAD, SIZE, Layout, disc, draw_traces, ring
from .pdf_page import draw_words, shortened, text_width, wrapped

_BIG: Final = 19.0
_NEEDS: Final = "Tape, sharp chalk or a marking pencil, a square, a ruler and a curved ruler, pins, shears."
_CARE: Final = (
    "Try the chalk on a scrap first: it must brush out. Press the cloth. Count the pins. Cut away from your fingers, "
    "and check every number on this card against the tape once more before you cut."
)


def first_pages(pattern: Pattern, pieces: Sequence[ChalkPiece], starts: Sequence[int], layout: Layout) -> list[str]:
    """Title, what is needed, cautions, how to read the card, what its lines mean, the pieces and their pages; and how
    their cloth is folded."""
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
    folds = fold_pages(pattern, [piece.name for piece in pieces], layout)
    # the number of first pages depends on this list, which is short: laid out once to count, once for good
    count = len(flow.listed(pieces, starts, 1).pages()) + len(folds)
    return [*flow.listed(pieces, starts, count).pages(), *folds]


@dataclass(slots=True)
class _Flow:
    """Words down one page and on to the next."""

    layout: Layout
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
            self.room_for(LEAD * size / SIZE)
            self.held += draw_words(line, (self.layout.left, self.y + 1.2), size, bold=bold, grey=0.0)

    def gap(self) -> None:
        self.y -= 2.6

    def samples(self, *pair: tuple[str, Callable[[XY], str]] | None) -> None:
        self.room_for(LEAD + 1.6)
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
            flow.room_for(LEAD)
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
    return [
        ("fold of the cloth", _line(Look.FOLD)),
        ("line to measure from", _line(Look.GUIDE)),
        ("chalk this now", _line(Look.NEW)),
        ("chalked before", _line(Look.BEFORE)),
        ("number of the step", _badge),
        ("distance to measure", _arrows),
        ("place with its letter", _lettered),
        ("ring: a curve passes here", lambda at: ring((at[0] + 9, at[1]))),
        ("square to that line", _corner),
        ("notch", _notch),
        ("cut line", _line(Look.CUT)),
        ("pin", lambda at: draw_traces(Look.PIN, [[(at[0] + 6.4, at[1]), (at[0] + 11.6, at[1])]])),
    ]


def _line(look: Look) -> Callable[[XY], str]:
    return lambda at: draw_traces(look, [[at, (at[0] + 18, at[1])]])


def _arrows(at: XY) -> str:
    x, y = at
    heads = [[(x + 1.8, y + 0.6), at, (x + 1.8, y - 0.6)], [(x + 16.2, y + 0.6), (x + 18, y), (x + 16.2, y - 0.6)]]
    return draw_traces(Look.MEASURE, [[at, (x + 18, y)], *heads])


def _lettered(at: XY) -> str:
    return disc((at[0] + 6, at[1]), 0.85) + draw_words(
        "A", (at[0] + 8.4, at[1] - CAPITAL / 2), SIZE, bold=True, grey=0.0
    )


def _badge(at: XY) -> str:
    middle = (at[0] + 9, at[1])
    return disc(middle, 3.0, grey=1.0, edge=0.3) + draw_words(
        "7", (middle[0], middle[1] - CAPITAL / 2), SIZE, bold=True, part=0.5, grey=0.0
    )


def _corner(at: XY) -> str:
    x, y = at[0] + 6, at[1] - 2
    return draw_traces(Look.NEW, [[(x, y), (x + 9, y)]]) + draw_traces(
        Look.SQUARE, [[(x, y + 3), (x + 3, y + 3), (x + 3, y)]]
    )


def _notch(at: XY) -> str:
    x, y = at
    return draw_traces(Look.BEFORE, [[(x, y - 1), (x + 18, y - 1)]]) + draw_traces(
        Look.NEW, [[(x + 9, y - 1), (x + 9, y + 2.5)]]
    )
