"""A picture of a few steps of the chalk card."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final

from ...draft.chalk.marks import ChalkPiece, ChalkStep
from ...geometry.point import distance
from .layers import Layer, Stroke, before, ground, measures, new, plan
from .picture import Dot, Picture, TextWidth
from .view import View, cloth_of, filled, window_of
from .words import Kind, Waiting, set_words

_PLAN: Final = 15.0
"""Width of the small plan of the whole piece, mm of paper."""
_DOT: Final = 6
"""A word over a dot is as bad as one over so many places of a line."""


def picture(
    piece: ChalkPiece,
    steps: Sequence[ChalkStep],
    width: float,
    height: float,
    *,
    capital: float,
    text_width: TextWidth,
) -> Picture:
    """What `steps` (one after another, of this piece) chalk, over what was there before them.

    `capital` is the height of capitals and numbers, mm.
    """
    cloth = cloth_of(piece)
    window = window_of(piece, [mark for step in steps for mark in step.marks], cloth)
    planned = window.height < 0.62 * cloth.height and cloth.height > 400 and width > 55
    wide = width - (_PLAN + 2 if planned else 0)
    view = View(piece, cloth, filled(window, cloth, wide / height), wide, height, capital, text_width)
    drawn = list(_layers(view, steps))
    strokes = [one for one in drawn if isinstance(one, Stroke)]
    dots = _apart(one for one in drawn if isinstance(one, Dot))
    ink = [*(p for stroke in strokes for p in stroke.ink), *(dot.at for dot in dots for _ in range(_DOT))]
    words, along = set_words(_once(one for one in drawn if isinstance(one, Waiting)), ink, view)
    small = plan(view, width - _PLAN, _PLAN) if planned else ()
    traces = (*(stroke.trace for stroke in strokes), *along, *small)
    return Picture(width, height, view.seen(), traces, tuple(dots), tuple(words))


def _layers(view: View, steps: Sequence[ChalkStep]) -> Layer:
    first = steps[0].number
    yield from ground(view, first == 1)
    for step in view.piece.steps:
        if step.number < first:
            for mark in step.marks:
                yield from before(view, mark)
    for step in steps:
        for mark in step.marks:
            yield from new(view, mark, step.number)
    yield from measures(view, [mark for step in steps for mark in step.marks])


def _apart(dots: Iterable[Dot]) -> list[Dot]:
    """Each place once, as it was drawn first."""
    kept: list[Dot] = []
    for dot in dots:
        if not any(distance(dot.at, other.at) < 0.1 for other in kept):
            kept.append(dot)
    return kept


def _once(words: Iterable[Waiting]) -> list[Waiting]:
    """Each letter once."""
    letters: set[str] = set()
    kept = []
    for word in words:
        if word.kind is not Kind.LETTER or word.text not in letters:
            kept.append(word)
        if word.kind is Kind.LETTER:
            letters.add(word.text)
    return kept
