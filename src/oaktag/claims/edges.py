"""Edges that meet: one as long as another, eased where it may be; gathers and pleats that take up what is told."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from ..errors import DraftError
from ..geometry.path import place_at
from ..geometry.point import distance
from ..model.claim import Claim, told
from ..model.finding import Finding, Severity
from ..model.length import Length
from ..model.pattern import Pattern
from ..model.piece import LineKind
from ..model.ref import Ref
from ..model.sewing import stretch_of
from ..units import show
from ..values import dataclass
from .girth import SUM_LIMIT
from .measure import round_length, run_length

SEGMENT_LIMIT: Final = 2.0
"""Two edges of a seam, and a fold and the place where it is laid, agree within this, mm (fit checks of the trade, S1:
0.2 cm a segment; common practice, no source)."""
MOST_OVER_BUST: Final = 6.0
"""So much a side panel may be eased to the centre one over the bust, mm (garment rules 2.2, 8: 0 to 0.6 cm; common
practice, no source)."""


@dataclass(frozen=True, slots=True)
class EdgesMeet(Claim):
    """Edges are longer than those that they go with by `least` to `most` mm: all round, or as drawn where both come
    round the wearer equally often. `about` is what they are. `change` has `{off}`, by how much they miss it."""

    about: str
    edges: tuple[Ref, ...]
    to: tuple[Ref, ...]
    least: float
    most: float
    severity: Severity = Severity.ERROR

    def check(self, pattern: Pattern) -> Iterator[Finding]:
        unit = pattern.unit
        once = len({pattern.piece(ref.piece).cut.piece.to_cut.around for ref in (*self.edges, *self.to)}) == 1
        ruler = run_length if once else round_length
        try:
            own, other = ruler(pattern, self.edges), ruler(pattern, self.to)
        except DraftError as error:
            yield self.finding(False, 0.0, self.most, f"{self.about}: it cannot be proved: {error}", "", self.severity)
            return
        over = own - other
        limit = self.least if over < self.least else self.most
        say = f"{self.about}: {show(own, unit)} to {show(other, unit)}{'' if once else ', all round'}."
        off = abs(over - limit)
        do = f"It is {off:.1f} mm too {'little' if over < self.least else 'much'}: {told(self.change, unit, off=off)}"
        held = self.least <= over <= self.most
        yield self.finding(held, round(over, 2), limit, say, do, self.severity)


@dataclass(frozen=True, slots=True)
class EasedAbove(Claim):
    """Of two edges that are sewn together one is eased to the other above a notch that both have, by no more than
    `most` mm; below it both are as long. The ease is told. `<id>.below`, `<id>.ease`."""

    about: str
    longer: Ref
    shorter: Ref
    at: str
    most: float = MOST_OVER_BUST

    def check(self, pattern: Pattern) -> Iterator[Finding]:
        unit = pattern.unit
        below, above = (a - b for a, b in zip(self._parts(pattern, self.longer), self._parts(pattern, self.shorter),
                                              strict=True))  # fmt: skip
        say = f"{self.about}: below the {self.at} its two edges are equally long."
        do = f"Below the {self.at} they differ by {abs(below):.1f} mm: {self.change}"
        yield self.finding(abs(below) <= SEGMENT_LIMIT, round(below, 2), SEGMENT_LIMIT, say, do, part="below")
        ease, least = below + above, -SEGMENT_LIMIT
        held = least <= ease <= self.most
        say = f"{self.about}: {show(max(0.0, ease), unit)} are eased in at the {self.at}."
        do = f"It is {ease:.1f} mm, and 0 to {show(self.most, unit)} can be eased: {self.change}"
        yield self.finding(held, round(ease, 2), least if ease < least else self.most, say, do, part="ease")

    def _parts(self, pattern: Pattern, ref: Ref) -> tuple[float, float]:
        """How long an edge is below its notch, and above."""
        piece = pattern.piece(ref.piece).cut.piece
        edge = piece.edge(ref.edge)
        _, far = stretch_of(piece, ref._replace(start="start", end=self.at))
        rest = edge.sewn_length() - far
        return (far, rest) if edge.start.y < edge.end.y else (rest, far)


@dataclass(frozen=True, slots=True)
class DrawnIn(Claim):
    """Edges that are gathered have all the cloth that was told for what they are gathered to, all round."""

    edges: tuple[Ref, ...]
    cloth: Length
    onto: Length

    @property
    def asked(self) -> bool:
        return True

    def check(self, pattern: Pattern) -> Iterator[Finding]:
        unit, found, meant = pattern.unit, round_length(pattern, self.edges), self.cloth.mm
        held = abs(found - meant) <= SUM_LIMIT * len(self.edges) and found >= self.onto.mm
        say = f"{self.words}: {show(found, unit)} of cloth gathered to {show(self.onto.mm, unit)}, "
        say += f"{found / self.onto.mm:.2f} times as much."
        do = f"{show(meant, unit)} are meant: {self.change}"
        yield self.finding(held, round(found, 2), round(meant, 2), say, do)


@dataclass(frozen=True, slots=True)
class PleatsFold(Claim):
    """All folds of a kind in an edge have two lines each, as far apart there as what they take up."""

    piece: str
    edge: str
    kind: str

    def check(self, pattern: Pattern) -> Iterator[Finding]:
        unit, piece = pattern.unit, pattern.piece(self.piece).cut.piece
        edge = piece.edge(self.edge)
        folds = [line.points[0] for line in piece.internal_lines if line.kind is LineKind.PLEAT]
        laid = [take for take in edge.takes if take.kind == self.kind]
        ends = [place_at(edge.curves, far)[0] for take in laid for far in (take.start, take.end)]
        off = max((min((distance(p, fold) for fold in folds), default=9999.0) for p in ends), default=0.0)
        taken = show(sum(take.end - take.start for take in laid), unit)
        say = f"{self.words}: {len(laid)} {self.kind}{'' if len(laid) == 1 else 's'}, {taken} together."
        do = f"A fold line is {off:.1f} mm away from where its {self.kind} is laid: {self.change}"
        yield self.finding(off <= SEGMENT_LIMIT, round(off, 2), SEGMENT_LIMIT, say, do)
