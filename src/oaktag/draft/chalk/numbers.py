"""Numbers as they are printed on the chalk card."""

from __future__ import annotations

from collections.abc import Mapping
from math import ceil
from typing import Final

from ...geometry.point import Point
from ...units import INCH, Unit, show
from .marks import Frame

ROUNDED: Final = "~"
"""Stands before a printed number that is not exact."""
EXACT: Final = 0.05
"""A distance nearer to a number than this is that number, mm: less than a tape shows."""
LADDER: Final[Mapping[Unit, tuple[float, ...]]] = {
    "in": (INCH, INCH / 2, INCH / 4, INCH / 8),
    "cm": (10.0, 5.0, 1.0),
    "mm": (10.0, 5.0, 1.0),
}
"""Round distances, the roundest first, the last as fine as the card prints: one number of an ordinate is of these."""


def printed(mm: float, unit: Unit) -> str:
    """A distance as it is printed on the card: without unit and sign, marked where it is rounded.

    >>> printed(-76.2, "in"), printed(77.0, "in"), printed(77.0, "cm"), printed(77.25, "mm")
    ('3', '~3', '7.7', '~77')
    """
    mm = abs(mm)
    if unit == "mm":
        return f"{'' if abs(mm - round(mm)) <= EXACT else ROUNDED}{round(mm)}"
    text = show(mm, unit, with_unit=False, exact=True)
    return text.replace("about ", ROUNDED)


def printed_length(mm: float, unit: Unit) -> str:
    """The same with its unit: `~3 1/8 in`."""
    return f"{printed(mm, unit)} {unit}"


def rounding_words(unit: Unit) -> str:
    """How the numbers of the card are rounded, and what that costs."""
    step = {"in": "1/8 in", "cm": "0.1 cm", "mm": "1 mm"}[unit]
    return (
        f"{ROUNDED} stands before a number that is rounded to {step}. A smooth curve through the printed places keeps "
        "within 1/8 in (3 mm) of the pattern."
    )


def across(x: float, frame: Frame, unit: Unit) -> str:
    """How far a place lies from the upright line, as printed, with the side where that is not plain."""
    away = x - frame.x
    text = printed(away, unit)
    if abs(away) < EXACT or text == f"{ROUNDED}0":
        return text
    if frame.both_sides:
        return f"{text} {'right' if away > 0 else 'left'}"
    return text if away > 0 else f"{text} beyond"


def down(y: float, frame: Frame, unit: Unit) -> str:
    """How far a place lies below the level line, as printed; "up" where it lies above."""
    away = frame.y - y
    text = printed(away, unit)
    return f"{text} up" if away < -EXACT and text != f"{ROUNDED}0" else text


def in_words(text: str, unit: Unit, usual: str = "") -> str:
    """A printed distance with its unit, and its side, or else the usual one, as they are said.

    >>> in_words("~2 left", "in"), in_words("2 up", "in", "down"), in_words("9 1/2", "in", "down")
    ('~2 in to the left', '2 in up', '9 1/2 in down')
    """
    number, _, side = text.rpartition(" ") if text[-1].isalpha() else (text, "", usual)
    side = f"to the {side}" if side in ("left", "right") else side
    return f"{number} {unit} {side}".rstrip()


def told_at(p: Point, zero: Point, unit: Unit) -> Point:
    """Where the printed numbers put a place that is measured from `zero`."""
    step = LADDER[unit][-1]
    return Point(zero.x + round((p.x - zero.x) / step) * step, zero.y + round((p.y - zero.y) / step) * step)


def room(mm: float, unit: Unit) -> str:
    """A length of cloth that is surely enough: rounded up to 1/2 in or 1 cm."""
    step = INCH / 2 if unit == "in" else 10.0
    return show(ceil(mm / step - 1e-6) * step, unit)
