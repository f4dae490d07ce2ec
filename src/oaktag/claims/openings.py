"""Getting in: what must pass an opening, and how far a zip opens it."""

from __future__ import annotations

from collections.abc import Iterator

from ..model.claim import Claim, told
from ..model.finding import Finding
from ..model.length import Length
from ..model.pattern import Pattern
from ..model.ref import Ref
from ..units import show
from ..values import dataclass
from .girth import SUM_LIMIT, Girth
from .measure import girths_at, level_depth, reach_of_notion, round_length


@dataclass(frozen=True, slots=True)
class Passes(Claim):
    """A part of the body passes an opening that is not undone: head and neckline, foot and hem of a leg.

    All round the edges measure, stretched by the share of them that the cloth gives, the part and its `ease`; of legs
    or sleeves `each` is how many the edges go round. `known` says how the part's girth is. `change` has `{more}` for
    what the opening lacks.
    """

    opening: str
    edges: tuple[Ref, ...]
    part: str
    body: Length
    known: str
    ease: float
    stretch: float = 0.0
    each: int = 1

    def check(self, pattern: Pattern) -> Iterator[Finding]:
        unit = pattern.unit
        long = round_length(pattern, self.edges) / self.each * (1 + self.stretch)
        wanted = self.body.mm + self.ease
        stretched = " when stretched" if self.stretch else ""
        say = f"the {self.opening} is {show(long, unit)} round{stretched}, the {self.part} {show(self.body.mm, unit)}"
        do = f"The {self.part} does not pass: {told(self.change, unit, more=wanted - long)}"
        yield self.finding(long >= wanted, round(long, 1), round(wanted, 1), f"{say} ({self.known}).", do)


@dataclass(frozen=True, slots=True)
class BodyPasses(Claim):
    """Without any opening the body passes the garment where that is narrowest, of all levels that are claimed."""

    body: Length
    without: str

    def check(self, pattern: Pattern) -> Iterator[Finding]:
        unit, body = pattern.unit, self.body.mm
        girths = [claim for claim in pattern.draft.claims if isinstance(claim, Girth)]
        narrowest, level = min((claim.measured(pattern), claim.level) for claim in girths)
        say = f"without {self.without}, {show(body, unit)} of body must pass the {pattern.draft.noun} where it is "
        say += f"narrowest, at the {level}: {show(narrowest, unit)} round."
        do = f"It cannot in woven cloth: {self.change}"
        yield self.finding(narrowest >= body, round(narrowest, 1), round(body, 1), say, do)


@dataclass(frozen=True, slots=True)
class OpenedPasses(Claim):
    """Undone, an opening from an edge down to a notch lets a part of the body through: all round the edges, and the
    opening on both sides of it, measure the part and its `ease`. `change` has `{enough}`, the opening that would do.

    A skirt's: opening (hip less waist and 2 in) ÷ 2 or more (a sewing magazine, on flies).
    """

    place: str
    edges: tuple[Ref, ...]
    end: str
    body: Length
    ease: float
    gathers: float = 0.0
    """How much of the edges is gathered away, mm."""

    def check(self, pattern: Pattern) -> Iterator[Finding]:
        unit, wanted = pattern.unit, self.body.mm + self.ease
        tops, down = {(ref.piece, ref.edge) for ref in self.edges}, 0.0
        for piece in (marked.cut.piece for marked in pattern.pieces):
            for notch in piece.notches:
                beside = piece.beside(notch.edge)
                at_top = [(piece.name, name) in tops for name in beside]
                if notch.name == self.end and any(at_top):
                    down = notch.at if at_top[0] else piece.edge(notch.edge).length() - notch.at
        round_it = round_length(pattern, self.edges) - self.gathers
        found = round_it + 2 * down
        say = f"the opening at the {self.place}, {show(down, unit)} long, is {show(found, unit)} round with the edge "
        say += f"that it starts at; {show(self.body.mm, unit)} of body must pass."
        do = f"{show(wanted, unit)} is wanted: {told(self.change, unit, enough=(wanted - round_it) / 2)}"
        yield self.finding(found >= wanted - SUM_LIMIT, round(found, 2), round(wanted, 2), say, do)


@dataclass(frozen=True, slots=True)
class OpensTo(Claim):
    """A zip opens the garment, at its `place`, down to where it is as wide as the body at a level.

    Looked for from there up to its end, and at the `narrow` level. `change` has `{enough}`, the length that reaches.
    """

    notion: str
    place: str
    level: str
    narrow: str
    body: Length

    def check(self, pattern: Pattern) -> Iterator[Finding]:
        unit = pattern.unit
        notion = next((one for one in pattern.draft.notions if one.name == self.notion), None)
        pieces = (piece.cut.piece for piece in pattern.pieces)
        reach = None if notion is None else reach_of_notion(pieces, notion)
        if notion is None or reach is None:
            lacks = f"no notch {notion.end!r} on a piece with levels" if notion else "no such notion in the draft"
            yield self.finding(False, 0.0, 0.0, f"{self.notion}: it cannot be proved, since there is {lacks}.", "")
            return
        level, narrow, body = level_depth(pattern, self.level), level_depth(pattern, self.narrow), self.body.mm
        end = min(reach[1], level)
        below = [end + (level - end) * i / 12 for i in range(13)]
        narrowest = min(girths_at(pattern, {*below, max(end, narrow)}))
        enough = notion.length + max(0.0, level - reach[1])
        say = f"{notion.name}: {show(notion.length, unit)} at the {self.place}; from its end to the {self.level} line "
        say += f"the {pattern.draft.noun} is {show(narrowest, unit)} round at least, "
        say += f"the {self.level} {show(body, unit)}."
        do = f"It cannot be stepped into: {told(self.change, unit, enough=enough)}"
        yield self.finding(narrowest >= body - SUM_LIMIT, round(narrowest, 2), round(body, 2), say, do)
