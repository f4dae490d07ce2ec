"""A draft with what was pinned put into it: at the halves it is made from, else on the draft as it stands.

Every seam that was changed is told, before and after.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import TypeAlias

from ..body.measurements import Measurements
from ..draft.garment import Garment
from ..draft.options import Style
from ..errors import DraftError
from ..model.draft import Draft
from ..model.fitted import Altered, Ask, SeamFitted
from ..model.piece import Piece
from ..model.sewing import seam_lengths
from ..units import Unit, show
from ..values import replace
from .as_drawn import HIP_DOWN, NO_PLACES, Places, laid, places_told
from .follow import Lying
from .refit import refitted
from .run import CHANGED, edges_changed, mended, steps_of
from .table import in_order

Make: TypeAlias = Callable[[Sequence[Ask]], Draft]
"""The garment drafted with those faults put into the halves that it is made from, as far as these have the places."""


def drafted(
    garment: Garment, body: Measurements, style: Style, unit: Unit, asks: Sequence[Ask], plain: Draft | None = None
) -> Draft:
    """The garment for that body with what was pinned; `plain` is the same without, where that was drafted before.
    Raises DraftError as `fitted_draft` and the garment do."""
    plain = plain or garment.drafted(body, style, unit)
    if not asks:
        return plain

    def make(asks: Sequence[Ask]) -> Draft:
        def mend(pieces: Sequence[Piece], as_long: Sequence[str]) -> tuple[tuple[Piece, ...], tuple[Altered, ...]]:
            done = mended(pieces, asks, unit, as_long=as_long)
            return done.pieces, done.altered

        return garment.drafted(body, style, unit, mend)

    return fitted_draft(plain, make, asks, unit)


def fitted_draft(plain: Draft, make: Make, asks: Sequence[Ask], unit: Unit, places: Places = NO_PLACES) -> Draft:
    """The draft with every fault mended. Raises DraftError for one that cannot be, naming the limit or what lacks."""
    if any(ask.side for ask in asks):
        from .sided import SIDES, sided

        draft = sided(*(_mended(make, [ask for ask in asks if ask.side in ("", side)], unit, places) for side in SIDES))
    else:
        draft = _mended(make, asks, unit, places)
    return replace(
        draft,
        steps=(*draft.steps, *steps_of(draft.altered)),
        fitted=tuple(_seams(plain, draft)),
    )


def _mended(make: Make, asks: Sequence[Ask], unit: Unit, places: Places) -> Draft:
    draft = make(asks)
    done = {altered.ask for altered in draft.altered}
    left = [ask for ask in asks if ask not in done]
    return on_draft(draft, left, unit, places) if left else draft


def on_draft(draft: Draft, asks: Sequence[Ask], unit: Unit, places: Places = NO_PLACES) -> Draft:
    """The faults mended on the pieces of a draft as they are, with what lies on them and is sewn to them.

    `places` says what the edges of a drawn pattern are called. Raises DraftError for a fault whose places it lacks, and
    for a seam that would not fit any more.
    """
    drawn = not any(piece.worn for piece in draft.pieces)
    table = laid(draft, places) if drawn else None
    own = table.draft if table else draft
    now, altered, lacked, notes = own.pieces, list[Altered](), dict[str, str](), list[str]()
    for ask in in_order(tuple(asks)):
        try:
            done = mended(now, (ask,), unit, Lying(own.seams, as_drawn=not drawn))
        except KeyError as error:  # a drawn piece lacks an edge that every drafted one has
            lacked[ask.words] = str(error.args[0])
            continue
        lacked |= done.lacked
        if not done.altered:
            continue
        fitting, told = refitted(replace(own, pieces=now), done.pieces, ask.words, unit)
        names = [old.name for old, new in zip(now, fitting, strict=True) if old is not new]
        altered.append(Altered(ask, tuple(names), edges_changed(now, fitting)))
        notes += told
        now = fitting
    if lacked:
        lines = [f"[fitting] {words}: {lack} in this {draft.noun}. Leave it out." for words, lack in lacked.items()]
        raise DraftError("\n".join([*lines, *([places_told(draft)] if drawn else [])]))
    found, cut = table.back(now) if table else (replace(draft, pieces=now), ())
    if table:
        altered = [table.told(one) for one in altered]
        if table.hip_taken:
            notes.append(f"No hip line is drawn: it was taken to lie {show(HIP_DOWN, unit)} below the waist.")
    if cut:
        notes.append(f"As fitted, so the cut lines are made anew from the allowances: {', '.join(cut)}.")
    return replace(found, altered=(*draft.altered, *altered), notes=(*draft.notes, *notes))


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
