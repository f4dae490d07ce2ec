"""The worked steps as lines of text, the same for the screen and for the report."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from ..model.draft import Step
from ..model.piece import piece_words
from ..units import Unit, show

ROUNDING: Final[dict[Unit, str]] = {
    "in": "Inches are rounded to the nearest 1/8",
    "cm": "Centimetres are rounded to 0.1",
    "mm": "Millimetres are rounded to 0.1",
}


def rounding_words(unit: Unit) -> str:
    """How the lengths of the steps are rounded; to be said once.

    >>> rounding_words("cm")
    'Centimetres are rounded to 0.1; “about” marks a result that is not exact. The pieces are drawn unrounded.'
    """
    return f"{ROUNDING[unit]}; “about” marks a result that is not exact. The pieces are drawn unrounded."


def step_line(step: Step, unit: Unit) -> str:
    """`label = formula = value`, in the maker's unit, marked "about" where the value was rounded.

    >>> step_line(Step("front", "chest line", "bust girth ÷ 6 + {a} + {b}", 241.3, {"a": 25.4, "b": 38.1}), "in")
    'chest line = bust girth ÷ 6 + 1 in + 1 1/2 in = 9 1/2 in'
    >>> step_line(Step("back", "neck depth", "{a}", 25.4, {"a": 25.4}), "in")
    'neck depth = 1 in'
    """
    formula, value = step.words(unit), show(step.value, unit, exact=True)
    return f"{step.label} = {value}" if formula == value else f"{step.label} = {formula} = {value}"


def steps_by_piece(steps: Sequence[Step]) -> dict[str, list[Step]]:
    """Piece -> its steps in drafting order; pieces in the order in which they are begun."""
    pieces: dict[str, list[Step]] = {}
    for step in steps:
        pieces.setdefault(step.piece, []).append(step)
    return pieces


def step_lines(steps: Sequence[Step], unit: Unit) -> list[str]:
    """For each piece a heading (its name), then its steps in drafting order, two spaces in.

    >>> step_lines([Step("facing_front", "facing width", "at the shoulder", 76.2)], "in")
    ['facing front', '  facing width = at the shoulder = 3 in']
    """
    lines: list[str] = []
    for piece, own in steps_by_piece(steps).items():
        lines.append(piece_words(piece))
        lines += [f"  {step_line(step, unit)}" for step in own]
    return lines
