"""A draft with what was pinned put into it: at the halves it is made from, else on the draft as it stands.

Every seam that was changed is told, before and after.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import TypeAlias

from ..errors import DraftError
from ..model.draft import Draft
from ..model.fitted import Ask, SeamFitted
from ..model.piece import Piece
from ..model.sewing import seam_lengths
from ..units import Unit
from ..values import replace
from .run import CHANGED, mended, steps_of

Make: TypeAlias = Callable[[Sequence[Ask]], Draft]
"""The garment drafted with those faults put into the halves that it is made from, as far as these have the places."""


def fitted_draft(plain: Draft, make: Make, asks: Sequence[Ask], unit: Unit) -> Draft:
    """The draft with every fault mended. Raises DraftError for one that cannot be, naming the limit or what lacks."""
    if any(ask.side for ask in asks):
        from .sided import SIDES, sided

        draft = sided(*(_mended(make, [ask for ask in asks if ask.side in ("", side)], unit) for side in SIDES))
    else:
        draft = _mended(make, asks, unit)
    return replace(
        draft,
        steps=(*draft.steps, *steps_of(draft.altered)),
        fitted=tuple(_seams(plain, draft)),
    )


def _mended(make: Make, asks: Sequence[Ask], unit: Unit) -> Draft:
    draft = make(asks)
    done = {altered.ask for altered in draft.altered}
    left = [ask for ask in asks if ask not in done]
    return on_draft(draft, left, unit) if left else draft


def on_draft(draft: Draft, asks: Sequence[Ask], unit: Unit) -> Draft:
    """The faults mended on the pieces of a draft as they are. Raises DraftError for one whose places it lacks."""
    done = mended(draft.pieces, asks, unit)
    if done.lacked:
        lines = [f"[fitting] {words}: {lack} in this {draft.noun}" for words, lack in done.lacked.items()]
        raise DraftError("\n".join(lines))
    return replace(draft, pieces=done.pieces, altered=(*draft.altered, *done.altered))


def _seams(before: Draft, after: Draft) -> Iterator[SeamFitted]:
    """The seams whose sides have other lengths now."""
    was = _lengths(before)
    for name, (a, b) in _lengths(after).items():
        old = was.get(name)
        if old is None or max(abs(a - old[0]), abs(b - old[1])) > CHANGED:
            first, second = old or (0.0, 0.0)
            yield SeamFitted(name, (first, a), (second, b))


def _lengths(draft: Draft) -> Mapping[str, tuple[float, float]]:
    by_name: dict[str, Piece] = {piece.name: piece for piece in draft.pieces}
    found = {seam.name: seam_lengths(by_name.__getitem__, seam) for seam in draft.seams}
    return {name: (both.a, both.b) for name, both in found.items()}
