"""A draft with what was pinned put into it: at the halves it is made from, else on the draft as it stands.

What it promised of eases is told as fitted, and every seam that was changed, before and after.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import TypeAlias

from ..errors import DraftError
from ..model.claim import Claim
from ..model.draft import Draft
from ..model.finding import Finding, Severity
from ..model.fitted import Ask, SeamFitted
from ..model.pattern import Pattern
from ..model.piece import Piece
from ..model.sewing import seam_lengths
from ..units import Unit
from ..values import dataclass, replace
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
        claims=tuple(AsFitted(claim.id, claim.change, claim) if claim.asked else claim for claim in draft.claims),
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


@dataclass(frozen=True, slots=True)
class AsFitted(Claim):
    """A promise of eases or lengths that were asked for, which a fitting overrules: what is off is told, and stops
    nothing."""

    claim: Claim

    def check(self, pattern: Pattern) -> Iterator[Finding]:
        for finding in self.claim.check(pattern):
            if finding.passed or finding.severity is not Severity.ERROR:
                yield finding
            else:
                yield replace(finding, severity=Severity.WARNING, message=f"As fitted: {finding.message}")

    def again(self, body: Mapping[str, float], style: Mapping[str, object]) -> Claim | None:
        claim = self.claim.again(body, style)
        return None if claim is None else replace(self, claim=claim)
