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
    Walk,
    hem_needed,
    leg_girth,
    shortest_opening,
    step_allowed,
)
from ..units import show, show_at_least
from .measure import girth_at
from .rule import check

TRIAL_OPENING = 260.0
"""Height of the opening that served all daily movement in wearing trials, mm ("Some Function of Tight Skirt", Japanese
university bulletin, abstract: pleat stop about 26 cm above the hem, hem about 125 cm at knee level)."""
TRIAL_HEM = 1250.0
CLEAR_OF_ZIP = 100.0


@check(error="walk.stride", warning="walk.stride walk.zip-clear", info="walk.everyday")
def stride(pattern: Pattern) -> Iterator[Finding]:
    """The step that hem and opening allow, and the shortest opening that would do."""
    walk = pattern.draft.walk
    if walk is None:
        return
    unit = pattern.unit
    hem = girth_at(pattern, walk.hem_depth - walk.flare_rise - 0.01)
    plain = step_allowed(hem, walk.hip_joint, walk.hem_height, leg_girth(walk, walk.hem_height))
    if walk.opening == "none":
        wanted = hem_needed(EASY_STEP, walk.hip_joint, walk.hem_height, leg_girth(walk, walk.hem_height)) - hem
        yield _step_finding(
            plain,
            EASY_STEP,
            f"hem {show(hem, unit)} round, no opening: it allows a step of {_step(plain, unit)}.",
            f"Widen the hem by {show_at_least(max(wanted, 0.0), unit)}, or open the back: {_shortest(pattern, walk)}.",
        )
    else:
        depth = walk.hem_depth - walk.opening_length
        height = walk.top_height - depth
        above = girth_at(pattern, depth)
        allowed = step_allowed(above, walk.hip_joint, height, leg_girth(walk, height))
        yield _step_finding(
            allowed,
            VENT_STEP,
            f"hem {show(hem, unit)} round allows a step of {_step(plain, unit)} by itself; with the {walk.opening} of "
            f"{show(walk.opening_length, unit)} the dress allows {_step(allowed, unit)}.",
            f"To walk freely: {_shortest(pattern, walk)}.",
        )
        zipper = pattern.draft.zip
        if zipper is not None and zipper.place == "centre back":
            clear = depth - zipper.end_depth
            held = clear >= CLEAR_OF_ZIP - 0.1
            yield Finding(
                "walk.zip-clear",
                Severity.WARNING,
                held,
                round(clear, 1),
                CLEAR_OF_ZIP,
                "mm",
                f"the {walk.opening} starts {show(clear, unit)} below the zip."
                + ("" if held else f" Keep {show_at_least(CLEAR_OF_ZIP, unit)}: shorten opening_length or zip_length."),
            )
    yield Finding(
        "walk.everyday",
        Severity.INFO,
        walk.opening_length >= TRIAL_OPENING or hem >= TRIAL_HEM,
        round(walk.opening_length, 1),
        TRIAL_OPENING,
        "mm",
        f"Stairs, buses and sitting ask for more than a level step: in wearing trials a tight skirt served with an "
        f"opening {show(TRIAL_OPENING, unit)} high (hem about {show(TRIAL_HEM, unit)} round when open); "
        f"here the opening is {show(walk.opening_length, unit)}. Try the hem on real stairs before you finish it.",
    )


def _step_finding(step: float, wanted: float, say: str, do: str) -> Finding:
    held = step >= wanted - 0.5
    severity = Severity.WARNING if held or step >= SHORT_STEP else Severity.ERROR
    limit = wanted if severity is Severity.WARNING else SHORT_STEP
    measured = 9999.0 if isinf(step) else round(step, 1)
    return Finding("walk.stride", severity, held, measured, limit, "mm", say + ("" if held else f" {do}"))


def _step(step: float, unit: str) -> str:
    if step > 1500:
        return "any length"
    return f"{step / 25.4:.0f} in" if unit == "in" else f"{step / 10:.0f} cm"


def _shortest(pattern: Pattern, walk: Walk) -> str:
    shortest = shortest_opening(walk, lambda depth: girth_at(pattern, depth), unit=pattern.unit)
    if shortest is None:
        return 'no vent or slit that stays clear of zip and hip is enough; widen the hem (hem = "straight")'
    kind = walk.opening if walk.opening != "none" else "vent"
    length = show_at_least(shortest, pattern.unit)
    return f'the shortest {kind} that passes is {length} (opening = "{kind}", opening_length = "auto")'
