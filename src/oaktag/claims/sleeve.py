"""A set-in sleeve: upper arm, armhole and cap, read together; and the fist through the wrist."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from ..model.claim import Claim
from ..model.finding import Finding, Severity
from ..model.length import Length
from ..model.pattern import Pattern
from ..units import INCH, rounded, show, show_at_least
from ..values import dataclass

LEAST_BICEPS_EASE: Final = 1 * INCH
EASY_BICEPS_EASE: Final = 2 * INCH
"""These two in inches are `rounded` where metric is read."""
CAP_EASE: Final = (15.0, 40.0)
ARMHOLE_OVER_ARM: Final = 70.0
FIST_EASE: Final = 10.0


@dataclass(frozen=True, slots=True)
class SleeveFits(Claim):
    """The three numbers that must be read together, and what limits them (mm). `sleeve.…`.

    `change` is the option for wearing ease round the upper arm, `cap_by` that for the cap's ease, `armhole_by` that
    for the depth of the armhole, `wrist_by` that for the ease at the wrist. `level` is that of the biceps line.
    """

    level: str
    upper_arm: Length
    biceps_line: Length
    armhole: Length
    cap_ease: Length
    cap_height: Length
    shoulder_height: Length
    cap_by: str
    armhole_by: str
    wrist_by: str
    wrist: Length | None = None
    """The body's, where the sleeve reaches it."""
    wrist_opening: Length | None = None
    fist: Length | None = None
    cap_wants: tuple[float, float] | None = CAP_EASE
    """The ease that is usual in such a cap; None: it is gathered."""

    @property
    def words(self) -> str:
        return "fit of the sleeve"

    def check(self, pattern: Pattern) -> Iterator[Finding]:
        unit, warn, error = pattern.unit, Severity.WARNING, Severity.ERROR
        arm, line, armhole, cap = self.upper_arm.mm, self.biceps_line.mm, self.armhole.mm, self.cap_ease.mm
        ease, room, high, most_high = line - arm, armhole - arm, self.cap_height.mm, self.shoulder_height.mm
        least, easy = rounded(LEAST_BICEPS_EASE, unit), rounded(EASY_BICEPS_EASE, unit)
        binds, limit = (error, least) if ease < least - 0.1 else (warn, easy)
        say = f"sleeve: {show(line, unit)} wide at the {self.level} line, for an upper arm {show(arm, unit)} round."
        do = f"Set {self.change} to {show(easy, unit)} to bend the arm easily; less than {show(least, unit)} binds."
        yield self.finding(ease >= easy - 0.1, round(ease, 2), round(limit, 2), say, do, binds, "upper-arm")
        if self.cap_wants is not None:
            least, most = self.cap_wants
            limit = least if cap < least else most
            say = f"sleeve: the cap is {show(cap, unit)} longer than the armhole of {show(armhole, unit)}."
            do = f"A {pattern.draft.noun} in woven cloth wants {show(least, unit)} to {show(most, unit)}: "
            do += f"change {self.cap_by}."
            yield self.finding(least <= cap <= most, round(cap, 2), limit, say, do, warn, "cap-ease")
        say = f"sleeve: cap height {show(high, unit)}; the shoulder is {show(most_high, unit)} above the underarm."
        do = f"Widen the sleeve with {self.change}."
        yield self.finding(high <= most_high + 0.1, round(high, 2), round(most_high, 2), say, do, error, "cap-height")
        say = f"sleeve: the armhole is {show(room, unit)} longer than the upper arm is round."
        do = f"Less than {show(ARMHOLE_OVER_ARM, unit)} binds under the arm: raise {self.armhole_by}."
        yield self.finding(room >= ARMHOLE_OVER_ARM, round(room, 2), ARMHOLE_OVER_ARM, say, do, warn, "armhole")
        if self.wrist_opening is not None and self.fist is not None:
            wrist, fist = self.wrist_opening.mm, self.fist.mm
            say = f"sleeve: the wrist is {show(wrist, unit)} round, the hand {show(fist, unit)}."
            more = show_at_least(FIST_EASE - wrist + fist, unit)
            do = f"The hand does not pass: add {more} or more to {self.wrist_by}."
            yield self.finding(wrist - fist >= FIST_EASE, round(wrist - fist, 2), FIST_EASE, say, do, error, "wrist")
