"""Girths and lengths: the finished garment at a level of the body, against the tape and the wearing ease."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from ..model.claim import Claim, told
from ..model.finding import Finding, Severity
from ..model.length import Length
from ..model.pattern import Pattern
from ..model.ref import Ref
from ..units import rounded, show, show_at_least, show_at_most
from ..values import dataclass
from .measure import BODY, girth_at, level_depth, line_at, pieces_at, round_length, run_length

SUM_LIMIT: Final = 1.0
"""A girth or length that is to be just so may be off by this, mm (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Girth(Claim):
    """All round at a level the garment measures body + wearing ease: measured along `seam` where one runs there, else
    through the cloth of all that is `worn` there. `girth.<level>`."""

    level: str
    body: Length
    ease: Length
    seam: tuple[Ref, ...] = ()
    worn: str = BODY

    @property
    def asked(self) -> bool:
        return True

    def measured(self, pattern: Pattern) -> float:
        """The garment, mm; KeyError where it has no such level, piece or edge."""
        if self.seam:
            return round_length(pattern, self.seam)
        return girth_at(pattern, level_depth(pattern, self.level, self.worn), self.worn)

    def check(self, pattern: Pattern) -> Iterator[Finding]:
        unit, found, meant = pattern.unit, self.measured(pattern), (self.body + self.ease).mm
        held = abs(found - meant) <= SUM_LIMIT
        say = f"{self.level}: the {pattern.draft.noun} is {show(found, unit)} round, {show(self.body.mm, unit)} of body"
        say += f" and {show(self.ease.mm, unit)} of wearing ease." if held else f"; {show(meant, unit)} is meant."
        do = told(self.change, unit, more=max(0.0, meant - found), less=max(0.0, found - meant))
        yield self.finding(held, round(found, 2), round(meant, 2), say, do)


@dataclass(frozen=True, slots=True)
class EaseInRange(Claim):
    """The wearing ease at a level is usual: from `least` to `most` mm, `rounded` where metric is read, as `of` says.

    `change` is the option that sets it. `ease.<level>`, a warning.
    """

    level: str
    ease: Length
    least: float
    most: float
    of: str

    @property
    def asked(self) -> bool:
        return True

    def check(self, pattern: Pattern) -> Iterator[Finding]:
        unit, ease = pattern.unit, self.ease.mm
        least, most = rounded(self.least, unit), rounded(self.most, unit)
        say = f"{self.level}: wearing ease {show(ease, unit)}; {self.of} has {show(least, unit)} to {show(most, unit)}."
        do = (
            f"Set {self.change} to {show_at_least(least, unit)} or more, unless the cloth stretches."
            if ease < least
            else f"Set {self.change} to {show_at_most(most, unit)} or less for a close fit."
        )
        held = least - 0.1 <= ease <= most + 0.1
        yield self.finding(held, ease, least if ease < least else most, say, do, Severity.WARNING)


@dataclass(frozen=True, slots=True)
class GirthAtLeast(Claim):
    """All round at a level the garment is no narrower than the body and its ease. A warning, unless it is told graver.

    What is worn on both legs or arms is measured on both: `each` is how many the body's girth is of. `change` has
    `{more}` for what is lacking.
    """

    level: str
    body: Length
    ease: Length
    worn: str = BODY
    each: int = 1
    severity: Severity = Severity.WARNING

    @property
    def asked(self) -> bool:
        return True

    def check(self, pattern: Pattern) -> Iterator[Finding]:
        unit, depth = pattern.unit, level_depth(pattern, self.level, self.worn)
        found, wanted = girth_at(pattern, depth, self.worn) / self.each, (self.body + self.ease).mm
        say = (
            f"{self.words}: the {pattern.draft.noun} is {show(found, unit)} round, {show(self.body.mm, unit)} of body."
        )
        do = f"{show(wanted, unit)} is wanted: {told(self.change, unit, more=wanted - found)}"
        held = found >= wanted - SUM_LIMIT
        yield self.finding(held, round(found, 2), round(wanted, 2), say, do, self.severity)


@dataclass(frozen=True, slots=True)
class GirthBelow(Claim):
    """So far below a level, but not below the next, the garment is no narrower than the body and the lesser ease.

    `change` has `{more}` for what is lacking; where the darts there take in as much, `of_darts` with `{rise}`, the
    height above the lower level, helps too. A warning.
    """

    about: str
    upper: str
    lower: str
    below: float
    body: Length
    ease: Length
    of_darts: str = ""

    def check(self, pattern: Pattern) -> Iterator[Finding]:
        unit = pattern.unit
        top, bottom = level_depth(pattern, self.upper), level_depth(pattern, self.lower)
        depth = top + min(self.below, bottom - top)
        found, wanted = girth_at(pattern, depth), (self.body + self.ease).mm
        lack = wanted - found
        darts = sum(
            piece.cut.piece.to_cut.around * dart.width_at(line_at(piece.cut, depth)[0].y)
            for piece in pieces_at(pattern, depth)
            for dart in piece.cut.piece.darts
        )
        ways = [told(self.change, unit, more=lack)]
        if self.of_darts and darts >= lack:
            ways.append(told(self.of_darts, unit, rise=bottom - depth))
        say = f"{self.about}: {show(depth - top, unit)} below the {self.upper} the {pattern.draft.noun} is "
        say += f"{show(found, unit)} round, the body {show(self.body.mm, unit)}."
        do = f"{show(wanted, unit)} is wanted there, or it rides up: {' or '.join(ways)}."
        yield self.finding(lack <= SUM_LIMIT, round(found, 2), round(wanted, 2), say, do, Severity.WARNING)


@dataclass(frozen=True, slots=True)
class LengthTo(Claim):
    """From a named point of a piece straight down to a level it is as long as the body, where that was measured.

    It is where a tape is laid, too (checks/finished.py). `length.<name>`.
    """

    piece: str
    point: str
    level: str
    body: Length | None = None

    @property
    def asked(self) -> bool:
        return True

    def check(self, pattern: Pattern) -> Iterator[Finding]:
        if self.body is None:
            return
        unit, piece = pattern.unit, pattern.piece(self.piece).cut.piece
        line = next(level for level in piece.levels if level.name == self.level)
        found, body = piece.points[self.point].y - line.points[-1].y, self.body.mm
        held = abs(found - body) <= SUM_LIMIT
        say = f"{self.words}: {show(found, unit)} from the {self.point} to the {self.level} line, {show(body, unit)}"
        say += " by the tape." if held else " is measured."
        do = f"The {self.level} line must lie that far below it."
        yield self.finding(held, round(found, 2), round(body, 2), say, do)


@dataclass(frozen=True, slots=True)
class RunAsLong(Claim):
    """Edges, laid end to end with their darts closed, are as long as the body and an ease: a crotch, a collar's neck.

    `each` is how often the run comes on the wearer: twice for one half of a collar. `change` has `{off}`.
    """

    edges: tuple[Ref, ...]
    body: Length
    ease: Length
    each: int = 1

    @property
    def asked(self) -> bool:
        return True

    def check(self, pattern: Pattern) -> Iterator[Finding]:
        unit, found = pattern.unit, self.each * run_length(pattern, self.edges)
        body, ease = self.body.mm, self.ease.mm
        wanted = body + ease
        say = f"{self.words}: {show(found, unit)} long, for {show(body, unit)} of body and {show(ease, unit)} of ease."
        do = f"{show(wanted, unit)} is meant: {told(self.change, unit, off=abs(found - wanted))}"
        yield self.finding(abs(found - wanted) <= SUM_LIMIT, round(found, 2), round(wanted, 2), say, do)


@dataclass(frozen=True, slots=True)
class RoundAsMeant(Claim):
    """Edges are so long all round as they were worked out to be."""

    edges: tuple[Ref, ...]
    meant: Length

    @property
    def asked(self) -> bool:
        return True

    def check(self, pattern: Pattern) -> Iterator[Finding]:
        unit, found, meant = pattern.unit, round_length(pattern, self.edges), self.meant.mm
        held = abs(found - meant) <= SUM_LIMIT
        say = f"{self.words}: {show(found, unit)} all round{', as meant' if held else ''}."
        do = f"{show(meant, unit)} is meant: {told(self.change, unit, off=abs(found - meant))}"
        yield self.finding(held, round(found, 2), round(meant, 2), say, do)


@dataclass(frozen=True, slots=True)
class RunInRange(Claim):
    """Edges, laid end to end with their darts closed, are longer than the body by `least` to `most` mm. A warning.

    `change` has `{off}`.
    """

    edges: tuple[Ref, ...]
    body: Length
    least: float
    most: float

    @property
    def asked(self) -> bool:
        return True

    def check(self, pattern: Pattern) -> Iterator[Finding]:
        unit, found = pattern.unit, run_length(pattern, self.edges)
        over = found - self.body.mm
        limit = self.least if over < self.least else self.most
        say = f"{self.words}: {show(found, unit)} long, for {show(self.body.mm, unit)} of body."
        do = f"{show(self.body.mm + limit, unit)} is the {'least' if over < limit else 'most'}: "
        do += told(self.change, unit, off=abs(over - limit))
        held = self.least <= over <= self.most
        yield self.finding(held, round(found, 2), round(self.body.mm + limit, 2), say, do, Severity.WARNING)
