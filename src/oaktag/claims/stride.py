"""Can she walk in it: the hem against a model of the stride (model/walking.py), and the vent or slit."""

from __future__ import annotations

from collections.abc import Iterator
from math import isinf

from ..model.finding import Finding, Severity
from ..model.pattern import Pattern
from ..model.walking import (
    EASY_STEP,
    SHORT_STEP,
    VENT_STEP,
    hem_needed,
    leg_girth,
    shortest_opening,
    step_allowed,
)
from ..units import show, show_at_least
from ..values import dataclass
from .measure import girth_at
from .walking import OfHerWalk

TRIAL_OPENING = 260.0
"""Height of the opening that served all daily movement in wearing trials, mm ("Some Function of Tight Skirt", Japanese
university bulletin, abstract: pleat stop about 26 cm above the hem, hem about 125 cm at knee level)."""
TRIAL_HEM = 1250.0
CLEAR_OF_ZIP = 100.0


@dataclass(frozen=True, slots=True)
class Stride(OfHerWalk):
    """The step that hem and opening allow, the shortest opening that would do, and its distance from a zip above it.

    `change` has `{more}`, what a hem without an opening lacks, and `{shortest}`; that is told by `open_by`, with
    `{kind}` and `{length}`, or by `widen`, where no opening is enough. `clear_by` says what brings it clear of a zip
    that ends at `zip_end` (depth, mm) in the same seam. `walk.…`.
    """

    open_by: str
    widen: str
    clear_by: str
    zip_end: float | None = None
    hobbled: Severity = Severity.ERROR
    """How bad a hem is in which she hobbles."""

    def check(self, pattern: Pattern) -> Iterator[Finding]:
        walk, unit = self.walk, pattern.unit
        hem = girth_at(pattern, walk.hem_depth - walk.flare_rise - 0.01)
        leg = leg_girth(walk, walk.hem_height)
        step = step_allowed(hem, walk.hip_joint, walk.hem_height, leg)
        depth, long = walk.hem_depth - walk.opening_length, show(walk.opening_length, unit)
        say = f"hem {show(hem, unit)} round"
        if walk.opening == "none":
            wanted, change = EASY_STEP, self.change
            say += f", no opening: it allows a step of {_step(step, unit)}."
        else:
            wanted, change = VENT_STEP, "To walk freely: {shortest}."
            say += f" allows a step of {_step(step, unit)} by itself; with the {walk.opening} of {long} the "
            height = walk.top_height - depth
            step = step_allowed(girth_at(pattern, depth), walk.hip_joint, height, leg_girth(walk, height))
            say += f"{pattern.draft.noun} allows {_step(step, unit)}."
        held = step >= wanted - 0.5
        severity = Severity.WARNING if held or step >= SHORT_STEP else self.hobbled
        limit = wanted if severity is Severity.WARNING else SHORT_STEP
        lack = hem_needed(EASY_STEP, walk.hip_joint, walk.hem_height, leg) - hem
        do = "" if held else self._to_walk(change, lack, pattern)
        yield self.finding(held, 9999.0 if isinf(step) else round(step, 1), limit, say, do, severity, "stride")
        if walk.opening != "none" and self.zip_end is not None:
            clear = depth - self.zip_end
            say = f"the {walk.opening} starts {show(clear, unit)} below the zip."
            do = f"Keep {show_at_least(CLEAR_OF_ZIP, unit)}: {self.clear_by}"
            held = clear >= CLEAR_OF_ZIP - 0.1
            yield self.finding(held, round(clear, 1), CLEAR_OF_ZIP, say, do, Severity.WARNING, "zip-clear")
        yield Finding(
            f"{self.id}.everyday",
            Severity.INFO,
            walk.opening_length >= TRIAL_OPENING or hem >= TRIAL_HEM,
            round(walk.opening_length, 1),
            TRIAL_OPENING,
            "mm",
            f"Stairs, buses and sitting ask for more than a level step: in wearing trials a tight skirt served with an "
            f"opening {show(TRIAL_OPENING, unit)} high (hem about {show(TRIAL_HEM, unit)} round when open); "
            f"here the opening is {long}. Try the hem on real stairs before you finish it.",
        )

    def _to_walk(self, change: str, lack: float, pattern: Pattern) -> str:
        """What to change, with the shortest opening that would do."""
        unit, shortest = pattern.unit, self.widen
        long = shortest_opening(self.walk, lambda depth: girth_at(pattern, depth), unit=unit)
        if long is not None:
            kind = self.walk.opening if self.walk.opening != "none" else "vent"
            shortest = self.open_by.format(kind=kind, length=show_at_least(long, unit))
        return change.format(more=show_at_least(max(lack, 0.0), unit), shortest=shortest)


def _step(step: float, unit: str) -> str:
    if step > 1500:
        return "any length"
    return f"{step / 25.4:.0f} in" if unit == "in" else f"{step / 10:.0f} cm"
