"""A set-in sleeve: upper arm, armhole and cap, read together; and the fist through the wrist."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from ..model.claim import Claim, told
from ..model.finding import Finding, Severity
from ..model.length import Length
from ..model.pattern import Pattern
from ..units import INCH, rounded, show
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

    @property
    def words(self) -> str:
        return "fit of the sleeve"

    def check(self, pattern: Pattern) -> Iterator[Finding]:
        unit = pattern.unit

        def finding(
            name: str, severity: Severity, held: bool, measured: float, limit: float, say: str, do: str
        ) -> Finding:
            say = f"sleeve: {say}" + ("" if held else f" {do}")
            return Finding(f"{self.id}.{name}", severity, held, round(measured, 2), round(limit, 2), "mm", say)

        arm, line, armhole, cap_ease = self.upper_arm.mm, self.biceps_line.mm, self.armhole.mm, self.cap_ease.mm
        ease = line - arm
        least, easy = rounded(LEAST_BICEPS_EASE, unit), rounded(EASY_BICEPS_EASE, unit)
        severity = Severity.ERROR if ease < least - 0.1 else Severity.WARNING
        yield finding(
            "upper-arm",
            severity,
            ease >= easy - 0.1,
            ease,
            easy if severity is Severity.WARNING else least,
            f"{show(line, unit)} wide at the {self.level} line, for an upper arm {show(arm, unit)} round.",
            f"Set {self.change} to {show(easy, unit)} to bend the arm easily; less than {show(least, unit)} binds.",
        )
        yield finding(
            "cap-ease",
            Severity.WARNING,
            CAP_EASE[0] <= cap_ease <= CAP_EASE[1],
            cap_ease,
            CAP_EASE[0] if cap_ease < CAP_EASE[0] else CAP_EASE[1],
            f"the cap is {show(cap_ease, unit)} longer than the armhole of {show(armhole, unit)}.",
            f"A {pattern.draft.noun} in woven cloth wants {show(CAP_EASE[0], unit)} to {show(CAP_EASE[1], unit)}: "
            f"change {self.cap_by}.",
        )
        height, shoulder = self.cap_height.mm, self.shoulder_height.mm
        yield finding(
            "cap-height",
            Severity.ERROR,
            height <= shoulder + 0.1,
            height,
            shoulder,
            f"cap height {show(height, unit)}; the shoulder is {show(shoulder, unit)} above the underarm.",
            f"Widen the sleeve with {self.change}.",
        )
        room = armhole - arm
        yield finding(
            "armhole",
            Severity.WARNING,
            room >= ARMHOLE_OVER_ARM,
            room,
            ARMHOLE_OVER_ARM,
            f"the armhole is {show(room, unit)} longer than the upper arm is round.",
            f"Less than {show(ARMHOLE_OVER_ARM, unit)} binds under the arm: raise {self.armhole_by}.",
        )
        if self.wrist_opening is not None and self.fist is not None:
            spare = self.wrist_opening.mm - self.fist.mm
            yield finding(
                "wrist",
                Severity.ERROR,
                spare >= FIST_EASE,
                spare,
                FIST_EASE,
                f"the wrist is {show(self.wrist_opening.mm, unit)} round, the hand {show(self.fist.mm, unit)}.",
                told(f"The hand does not pass: add {{more}} or more to {self.wrist_by}.", unit, more=FIST_EASE - spare),
            )
