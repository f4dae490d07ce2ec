"""Knit cloth: how much of its stretch is used in wear, at a level and along a seam."""

from __future__ import annotations

from collections.abc import Iterator

from ..model.claim import Claim, told
from ..model.finding import Finding, Severity
from ..model.length import Length
from ..model.pattern import Pattern
from ..model.ref import Ref
from ..units import show
from ..values import dataclass
from .girth import SUM_LIMIT
from .measure import BODY, girth_at, level_depth, run_length


@dataclass(frozen=True, slots=True)
class StretchUsed(Claim):
    """At a level the body stretches the cloth by no more than `limit`, in parts of one, of what lies there unstretched.

    Used in wear = body ÷ garment − 1. What is worn on both legs or arms is measured on both: `each` is how many the
    body's girth is of. `change` has `{more}` for what is lacking. Source of a limit: who claims it.
    """

    level: str
    body: Length
    limit: float
    worn: str = BODY
    each: int = 1

    def check(self, pattern: Pattern) -> Iterator[Finding]:
        unit, depth = pattern.unit, level_depth(pattern, self.level, self.worn)
        found, least = girth_at(pattern, depth, self.worn) / self.each, self.body.mm / (1 + self.limit)
        used = max(0.0, self.body.mm / found - 1)
        say = f"{self.words}: {show(self.body.mm, unit)} of body stretches {show(found, unit)} of cloth by {used:.0%}; "
        say += f"{self.limit:.0%} may be used in wear."
        do = told(self.change, unit, more=least - found)
        yield self.finding(found >= least - SUM_LIMIT, round(found, 2), round(least, 2), say, do)


@dataclass(frozen=True, slots=True)
class RunStretched(Claim):
    """Edges laid end to end, stretched by `most`, in parts of one, are no shorter than the body. A warning.

    `change` has `{more}` for what is lacking.
    """

    edges: tuple[Ref, ...]
    body: Length
    most: float

    def check(self, pattern: Pattern) -> Iterator[Finding]:
        unit, found, least = pattern.unit, run_length(pattern, self.edges), self.body.mm / (1 + self.most)
        say = f"{self.words}: {show(found, unit)} long, {show(found * (1 + self.most), unit)} stretched by "
        say += f"{self.most:.0%}; {show(self.body.mm, unit)} of body."
        do = told(self.change, unit, more=least - found)
        yield self.finding(found >= least - SUM_LIMIT, round(found, 2), round(least, 2), say, do, Severity.WARNING)
