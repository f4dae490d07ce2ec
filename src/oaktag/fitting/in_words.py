"""Faults of fit in words and as a job has them: what the command line and the page tell alike."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from ..model.fitted import Ask, FittedSide
from ..model.length import inch
from ..units import Unit, show, was_rounded
from .ask import Sign, signs_of
from .fault import Fault

CAUTIONS: Final = (
    "Pins: point them away from the body, keep them out of the mouth, and count them in and out. Twice for a child.",
    "Nobody sits down or bends in a pinned garment.",
    "Blades: snip and rip with the blade away from the body; on the body, pin.",
    "Iron: take the garment off before it is pressed, pins out first, and turn the iron off when you go to pin again.",
)
"""Of a fitting (common practice, no source)."""


def reach(fault: Fault, unit: Unit) -> str:
    """The usual amount, and between what it can be.

    >>> from .table import BY_NAME
    >>> reach(BY_NAME["sway_back"], "in")
    '1/4 to 1 in (0.6 to 2.5 cm); at most 1 in'
    """
    least = f"{show(fault.least.mm, unit)} to " if fault.least.mm < 0 else "at most "
    bounds = f"{least}{show(fault.most.mm, unit)}"
    return f"{fault.usual}; {bounds}" if fault.usual else bounds


def usual_side(fault: Fault) -> FittedSide:
    """The side of an example: none but where one side alone can have it."""
    return "left" if all(sign.sides == "one" for sign in signs_of(fault)) else ""


def sample(fault: Fault, unit: Unit) -> float:
    """An amount that could be pinned, mm, for an example."""
    usual = inch(3 / 8).mm if unit == "in" else 10.0
    return min(max(usual, fault.least.mm), fault.most.mm)


def in_the_job(fault: Fault, unit: Unit, side: FittedSide = "", sign: Sign | None = None) -> str:
    """What to write below [fitting], of one side or of both, for what was seen; the amount is an example.

    >>> from .table import BY_NAME
    >>> print(in_the_job(BY_NAME["sway_back"], "in"))
    [fitting]
    sway_back = "3/8 in"
    """
    seam, level = (fault.seams or ("",))[0], (fault.levels or ("",))[0]
    level = sign.level if sign and sign.level in fault.levels else level
    amount = sample(fault, unit) * (-1 if sign and sign.less else 1)
    return table_of((Ask(fault.name, amount, side or usual_side(fault), seam, level),), unit)


def table_of(asks: Sequence[Ask], unit: Unit) -> str:
    """[fitting] as a job has it, with its units.

    >>> print(table_of([Ask("high_hip", 12.7, "left"), Ask("sway_back", 10.0)], "in"))
    [fitting]
    high_hip = { left = "1/2 in" }
    sway_back = "10 mm"
    """
    by_fault: dict[str, list[Ask]] = {}
    for ask in asks:
        by_fault.setdefault(ask.fault, []).append(ask)
    lines = ["[fitting]"]
    for name, own in by_fault.items():
        values = [_value(ask, unit) for ask in own]
        if [ask.side for ask in own] in (["left", "right"], ["right", "left"]) and not own[0].seam:
            values = [f"{{ {', '.join(value[2:-2] for value in values)} }}"]
        lines.append(f"{name} = {values[0] if len(values) == 1 else '[ ' + ', '.join(values) + ' ]'}")
    return "\n".join(lines)


def _value(ask: Ask, unit: Unit) -> str:
    """An amount that reads back as it was: where the unit of the maker would round it, in mm."""
    amount = f"{round(ask.amount, 3):g} mm" if was_rounded(ask.amount, unit) else show(ask.amount, unit)
    if not (ask.side or ask.seam):
        return f'"{amount}"'
    words = {"seam": ask.seam, "level": ask.level, ask.side or "amount": amount}
    return f"{{ {', '.join(f'{key} = {chr(34)}{word}{chr(34)}' for key, word in words.items() if word)} }}"
