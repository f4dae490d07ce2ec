"""Words on a picture of the chalk card: each is set where it covers the fewest lines."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from enum import Enum
from itertools import product
from math import floor
from typing import Final, TypeAlias

from ...geometry.point import XY
from ...geometry.polygon import Box
from ...values import dataclass
from .picture import Trace, Word
from .view import View, grown

Cells: TypeAlias = Counter[tuple[int, int]]
"""How often each square of 1 mm of the paper is inked."""
_LETTER_AWAY: Final = 1.6
_WORD_AIR: Final = 0.6
"""mm of paper between two words at the least."""


class Kind(Enum):
    """What a word is, in the order in which room is found for them."""

    LETTER = 0
    BADGE = 1
    NAME = 2
    MEASURE = 3


@dataclass(frozen=True, slots=True)
class Waiting:
    """A word that waits for its place: the middles that would do, the best first; `traces` are drawn along with it,
    and it may stand on their `ink`."""

    text: str
    places: tuple[XY, ...]
    kind: Kind
    traces: tuple[Trace, ...] = ()
    ink: tuple[XY, ...] = ()


def set_words(waiting: Sequence[Waiting], ink: Iterable[XY], view: View) -> tuple[list[Word], list[Trace]]:
    """What waits, letters first, and the lines that are drawn along with it. A number covers no line but its own
    measure: one that finds no such room is left out with it, since the words beside the picture tell it too."""
    cells = Counter(map(_cell, ink))
    own = [Counter(map(_cell, word.ink)) for word in waiting]
    for mine in own:
        cells.update(mine)
    words: list[Word] = []
    traces: list[Trace] = []
    for word, mine in sorted(zip(waiting, own, strict=True), key=lambda pair: pair[0].kind.value):
        box = _best(word, cells, mine, words, view)
        if box is not None:
            words.append(Word(word.text, box, word.kind is Kind.BADGE))
            traces += word.traces
        else:
            cells.subtract(mine)
    return words, traces


def _best(word: Waiting, cells: Cells, mine: Cells, words: Sequence[Word], view: View) -> Box | None:
    """The box that covers the least ink but its own, of those inside the picture and clear of other words."""
    wide, high = _size(word, view)
    best: tuple[float, Box] | None = None
    for rank, (x, y) in enumerate(_places(word, wide, high)):
        box = Box(x - wide / 2, y - high / 2, x + wide / 2, y + high / 2)
        outside = box.left < 0 or box.bottom < 0 or box.right > view.width or box.top > view.height
        if outside or any(grown(box, _WORD_AIR).overlaps(other.box) for other in words):
            continue
        covered = sum(cells[cell] - mine[cell] for cell in _cells_of(box))
        if covered and word.kind is Kind.MEASURE:
            continue
        cost = covered + 0.4 * rank
        if best is None or cost < best[0]:
            best = (cost, box)
    return None if best is None else best[1]


def _size(word: Waiting, view: View) -> tuple[float, float]:
    """How wide and how high the room is that a word takes; a badge is round."""
    wide, high = view.text_width(word.text) + 0.8, view.capital + 0.8
    if word.kind is not Kind.BADGE:
        return wide, high
    side = max(wide, view.capital + 1.8) + 1.6
    return side, side


def _places(word: Waiting, wide: float, high: float) -> Sequence[XY]:
    """The middles that would do; of a letter, eight round its place, near ones first."""
    if word.kind is not Kind.LETTER:
        return word.places
    reach_x, reach_y = wide / 2 + _LETTER_AWAY - 0.4, high / 2 + _LETTER_AWAY - 0.4
    ((x, y),) = word.places
    return tuple(
        (x + dx * reach_x * far, y + dy * reach_y * far)
        for far in (1.0, 1.35, 1.7, 2.1, 2.5)
        for dx, dy in ((1, 1), (1, 0), (1, -1), (0, 1), (0, -1), (-1, 1), (-1, -1), (-1, 0))
    )


def _cell(p: XY) -> tuple[int, int]:
    """The square of 1 mm that a place lies in."""
    return floor(p[0]), floor(p[1])


def _cells_of(box: Box) -> Iterator[tuple[int, int]]:
    return product(range(floor(box.left), floor(box.right) + 1), range(floor(box.bottom), floor(box.top) + 1))
