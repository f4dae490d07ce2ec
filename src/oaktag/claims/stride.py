"""Can she walk in it: the hem against a model of the stride (model/walking.py), and the vent or slit."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from math import isinf

from ..model.claim import Claim, told
from ..model.finding import Finding, Severity
from ..model.pattern import Pattern
from ..model.walking import (
    EASY_STEP,
    SHORT_STEP,
    VENT_STEP,
    Walk,
    hem_needed,
    leg_girth,
    shortest_opening,
    step_allowed,
)
from ..units import show, show_at_least
from ..values import dataclass
from .measure import girth_at

TRIAL_OPENING = 260.0
"""Height of the opening that served all daily movement in wearing trials, mm ("Some Function of Tight Skirt", Japanese
university bulletin, abstract: pleat stop about 26 cm above the hem, hem about 125 cm at knee level)."""
TRIAL_HEM = 1250.0
CLEAR_OF_ZIP = 100.0


@dataclass(frozen=True, slots=True)
class Stride(Claim):
    """The step that hem and opening allow, the shortest opening that would do, and its distance from a zip above it.

    `change` has `{more}`, what a hem without an opening lacks, and `{shortest}`; that is told by `open_by`, with
    `{kind}` and `{length}`, or by `widen`, where no opening is enough. `clear_by` says what brings it clear of a zip
    that ends at `zip_end` (depth, mm) in the same seam. `walk.…`.
    """

    walk: Walk
    open_by: str
    widen: str
    clear_by: str
    zip_end: float | None = None

    @property
    def words(self) -> str:
        return "stride"

    @property
    def in_base_only(self) -> bool:
        return True

    def again(self, body: Mapping[str, float], style: Mapping[str, object]) -> None:
        """Heights and legs of another body are not known."""

    def check(self, pattern: Pattern) -> Iterator[Finding]:
        walk, unit = self.walk, pattern.unit
        hem = girth_at(pattern, walk.hem_depth - walk.flare_rise - 0.01)
        leg = leg_girth(walk, walk.hem_height)
        plain = step_allowed(hem, walk.hip_joint, walk.hem_height, leg)
        if walk.opening == "none":
            wanted = hem_needed(EASY_STEP, walk.hip_joint, walk.hem_height, leg) - hem
            yield self._step_finding(
                plain,
                EASY_STEP,
                f"hem {show(hem, unit)} round, no opening: it allows a step of {_step(plain, unit)}.",
                self.change.format(more=show_at_least(max(wanted, 0.0), unit), shortest="{shortest}"),
                pattern,
            )
        else:
            depth = walk.hem_depth - walk.opening_length
            height = walk.top_height - depth
            allowed = step_allowed(girth_at(pattern, depth), walk.hip_joint, height, leg_girth(walk, height))
            yield self._step_finding(
                allowed,
                VENT_STEP,
                f"hem {show(hem, unit)} round allows a step of {_step(plain, unit)} by itself; with the {walk.opening} "
                f"of {show(walk.opening_length, unit)} the {pattern.draft.noun} allows {_step(allowed, unit)}.",
                "To walk freely: {shortest}.",
                pattern,
            )
            if self.zip_end is not None:
                clear = depth - self.zip_end
                held = clear >= CLEAR_OF_ZIP - 0.1
                yield Finding(
                    f"{self.id}.zip-clear",
                    Severity.WARNING,
                    held,
                    round(clear, 1),
                    CLEAR_OF_ZIP,
                    "mm",
                    f"the {walk.opening} starts {show(clear, unit)} below the zip."
                    + ("" if held else told(f" Keep {{clear}}: {self.clear_by}", unit, clear=CLEAR_OF_ZIP)),
                )
        yield Finding(
            f"{self.id}.everyday",
            Severity.INFO,
            walk.opening_length >= TRIAL_OPENING or hem >= TRIAL_HEM,
            round(walk.opening_length, 1),
            TRIAL_OPENING,
            "mm",
            f"Stairs, buses and sitting ask for more than a level step: in wearing trials a tight skirt served with an "
            f"opening {show(TRIAL_OPENING, unit)} high (hem about {show(TRIAL_HEM, unit)} round when open); "
            f"here the opening is {show(walk.opening_length, unit)}. Try the hem on real stairs before you finish it.",
        )

    def _step_finding(self, step: float, wanted: float, say: str, do: str, pattern: Pattern) -> Finding:
        held = step >= wanted - 0.5
        severity = Severity.WARNING if held or step >= SHORT_STEP else Severity.ERROR
        limit = wanted if severity is Severity.WARNING else SHORT_STEP
        measured = 9999.0 if isinf(step) else round(step, 1)
        say += "" if held else f" {do.format(shortest=self._shortest(pattern))}"
        return Finding(f"{self.id}.stride", severity, held, measured, limit, "mm", say)

    def _shortest(self, pattern: Pattern) -> str:
        shortest = shortest_opening(self.walk, lambda depth: girth_at(pattern, depth), unit=pattern.unit)
        if shortest is None:
            return self.widen
        kind = self.walk.opening if self.walk.opening != "none" else "vent"
        return self.open_by.format(kind=kind, length=show_at_least(shortest, pattern.unit))


def _step(step: float, unit: str) -> str:
    if step > 1500:
        return "any length"
    return f"{step / 25.4:.0f} in" if unit == "in" else f"{step / 10:.0f} cm"
