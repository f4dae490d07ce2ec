"""An overlap while she walks: how far its edges still lie over each other at the hem in a stride."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Final

from ..model.claim import Claim, told
from ..model.finding import Finding, Severity
from ..model.pattern import Pattern
from ..model.ref import Ref
from ..model.walking import EASY_STEP, Walk, hem_needed, leg_girth
from ..units import show
from ..values import dataclass
from .measure import round_length

LEAST_LAP: Final = 150.0
"""What laps at the hem in a stride, mm (chosen: no source; 15 cm)."""


@dataclass(frozen=True, slots=True)
class OfHerWalk(Claim):
    """What hangs on her legs, which are known of the base size alone."""

    walk: Walk

    @property
    def words(self) -> str:
        return "stride"

    @property
    def in_base_only(self) -> bool:
        return True

    def again(self, body: Mapping[str, float], style: Mapping[str, object]) -> None:
        """Heights and legs of another body are not known."""


@dataclass(frozen=True, slots=True)
class LapInStride(OfHerWalk):
    """The hem edges together are so long that, round both legs in a free step, they lap by 15 cm. A warning.

    The hull of two legs is that of model/walking.py. `change` has `{more}` for what the overlap lacks.
    """

    hem: tuple[Ref, ...]

    @property
    def words(self) -> str:
        return "overlap in a stride"

    def check(self, pattern: Pattern) -> Iterator[Finding]:
        unit, cloth = pattern.unit, round_length(pattern, self.hem)
        lap = cloth - wrapped(self.walk)
        say = f"in a step of {show(EASY_STEP, unit)} the overlap at the hem is "
        say += f"{show(lap, unit)}." if lap >= 0 else f"gone: {show(-lap, unit)} are missing."
        do = f"Less than {show(LEAST_LAP, unit)} opens on stairs: {told(self.change, unit, more=LEAST_LAP - lap)}"
        yield self.finding(lap >= LEAST_LAP - 1.0, round(lap, 1), LEAST_LAP, say, do, Severity.WARNING)


def wrapped(walk: Walk) -> float:
    """What of the hem goes once round both legs in a free step, mm."""
    leg = leg_girth(walk, walk.hem_height)
    return hem_needed(EASY_STEP, walk.hip_joint, walk.hem_height, leg)
