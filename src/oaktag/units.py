"""Text <-> millimetres. Nobody else in the project knows inches.

1 in = 25.4 mm exactly (international inch, 1959).
"""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Final, Literal

from .errors import InputError, Where

Unit = Literal["in", "cm", "mm"]
UNITS: Final[tuple[Unit, ...]] = ("in", "cm", "mm")
INCH: Final = 25.4
_MM_PER: Final = {"in": Fraction(254, 10), "cm": Fraction(10), "mm": Fraction(1)}
_ALIASES: Final = {
    '"': "in", "''": "in", "″": "in", "inch": "in", "inches": "in", "in": "in", "in.": "in",
    "cm": "cm", "cm.": "cm", "centimetre": "cm", "centimetres": "cm", "centimeter": "cm", "centimeters": "cm",
    "mm": "mm", "mm.": "mm", "millimetre": "mm", "millimetres": "mm", "millimeter": "mm", "millimeters": "mm",
}  # fmt: skip
_VULGAR: Final = {"½": " 1/2", "¼": " 1/4", "¾": " 3/4", "⅛": " 1/8", "⅜": " 3/8", "⅝": " 5/8", "⅞": " 7/8"}
_LENGTH: Final = re.compile(
    r"^(?P<sign>[-−+]?)\s*(?:(?P<whole>\d{1,9}(?:[.,]\d{1,9})?)?(?:(?:^|(?<=\d)[\s-]+|(?<![\d.,])\s*)(?P<num>\d{1,6})\s*[/⁄]\s*(?P<den>\d{1,6}))?)\s*(?P<unit>[^\d\s]*)$"
)


def parse_length(value: object, unit: Unit, where: Where | None = None) -> float:
    """In mm: '30 1/2' with unit 'in' is 774.7; '104 cm' is 1040.0 with any unit; a bare 38 takes `unit`.

    Accepts int, float or text: decimals (point or comma), fractions (`1/2`, `30 1/2`, `30-1/2`, `30½`), with or
    without a unit. Raises InputError, with `where`, for anything else. The sign is kept: ranges are not judged here.

    >>> parse_length("30 1/2", "in")
    774.7
    >>> parse_length("104 cm", "in")
    1040.0
    >>> parse_length("½", "in")
    12.7
    """
    if isinstance(value, bool) or not isinstance(value, (int, float, str)):
        raise InputError(
            f"{value!r} is not a length", where=where, expected="a number or a text", instead='Write 38 or "30 1/2"'
        )
    if not isinstance(value, str):
        if value != value or value in (float("inf"), float("-inf")):
            raise InputError(f"{value!r} is not a length", where=where, expected="a finite number", instead="Write 38")
        if abs(value) > 1e9:
            raise InputError(f"{value!r} is absurdly large", where=where, expected="a length of a body or a garment")
        return float(Fraction(repr(value)) * _MM_PER[unit])
    text = value.strip()
    shown = text if len(text) <= 40 else text[:37] + "..."
    for sign, spelt in _VULGAR.items():
        text = text.replace(sign, spelt)
    text = text.strip()
    match = _LENGTH.match(text)
    if match is None or (match["whole"] is None and match["num"] is None):
        raise InputError(
            f"{shown!r} is not a length",
            where=where,
            expected="a number, a fraction, or either with in, cm or mm",
            instead='Write "30 1/2", "30.5" or "77.5 cm"',
        )
    spelt_unit = match["unit"].lower()
    if spelt_unit and spelt_unit not in _ALIASES:
        raise InputError(
            f"{match['unit'][:20]!r} is not a unit of length",
            where=where,
            expected="in, cm or mm",
            instead=f'Write "{shown[: max(0, len(shown) - len(match["unit"]))].strip()} cm"',
        )
    number = Fraction((match["whole"] or "0").replace(",", "."))
    if match["num"] is not None:
        if int(match["den"]) == 0:
            raise InputError(f"{shown!r} divides by zero", where=where, instead='Write a fraction such as "30 1/2"')
        number += Fraction(int(match["num"]), int(match["den"]))
    if match["sign"] in ("-", "−"):
        number = -number
    return float(number * _MM_PER[_ALIASES[spelt_unit] if spelt_unit else unit])


def whole(text: str) -> int | None:
    """The whole number that plain digits spell, nine of them at most; None for any other text.

    >>> whole("12"), whole("²"), whole("9" * 5000), whole("-1"), whole("")
    (12, None, None, None, None)
    """
    return int(text) if text.isascii() and text.isdigit() and len(text) <= 9 else None


def natural(name: str) -> tuple[tuple[int, int, str], ...]:
    """What to sort names by, so that `layer 2` comes before `layer 14`.

    >>> sorted(["14", "²", "x" + "9" * 5000, "2"], key=natural)[-2:]
    ['2', '14']
    """
    parts = [part for part in re.split(r"(\d+)", name) if part]
    return tuple((0, 0, part) if (number := whole(part)) is None else (1, number, "") for part in parts)


def rounded(mm: float, unit: Unit) -> float:
    """A length that is customary in inches as people who read `unit` would set it, mm: in inches itself, else the
    nearest 1/2 cm, from 10 cm the nearest cm, below 1/2 cm the nearest mm (common practice, no source).

    >>> rounded(50.8, "in"), rounded(50.8, "cm"), rounded(38.1, "cm"), rounded(12.7, "mm"), rounded(3.175, "cm")
    (50.8, 50.0, 40.0, 15.0, 3.0)
    >>> rounded(635.0, "cm")
    640.0
    """
    if unit == "in":
        return mm
    step = 10.0 if mm >= 100.0 else 5.0 if mm >= 5.0 else 1.0
    return round(mm / step) * step


def show(mm: float, unit: Unit, *, with_unit: bool = True, exact: bool = False) -> str:
    """A length as the maker reads it: inches to the nearest 1/8, centimetres to 0.1, millimetres to 0.1.

    `exact=True` adds "about" where rounding moved the value by more than 0.05 mm.

    >>> show(241.3, "in"), show(241.3, "cm"), show(12.7, "in"), show(-3.175, "in")
    ('9 1/2 in', '24.1 cm', '1/2 in', '-1/8 in')
    >>> show(242.0, "in", exact=True)
    'about 9 1/2 in'
    """
    if unit == "in":
        eighths = round(abs(mm) / INCH * 8)
        shown_mm = eighths * INCH / 8
        whole, part = divmod(eighths, 8)
        fraction = Fraction(part, 8)
        words = [str(whole)] if whole or not part else []
        if part:
            words.append(f"{fraction.numerator}/{fraction.denominator}")
        text = " ".join(words)
    else:
        per = 10.0 if unit == "cm" else 1.0
        shown_mm = round(abs(mm) / per, 1) * per
        text = f"{shown_mm / per:.1f}".removesuffix(".0")
    if mm < 0 and shown_mm > 0:
        text = "-" + text
    if with_unit:
        text += f" {unit}"
    return f"about {text}" if exact and abs(abs(mm) - shown_mm) > 0.05 else text


def show_fine(mm: float, unit: Unit, *, signed: bool = False) -> str:
    """A small length in decimals, without its unit: to 0.001 in, 0.01 cm or 0.1 mm; for grades, which are finer than
    the fractions of a tape.

    >>> show_fine(15.0, "in", signed=True), show_fine(15.0, "cm", signed=True), show_fine(-0.01, "mm", signed=True)
    ('+0.591', '+1.50', '0')
    """
    decimals = {"in": 3, "cm": 2, "mm": 1}[unit]
    text = f"{mm / float(_MM_PER[unit]):{'+' if signed else ''}.{decimals}f}"
    return "0" if float(text) == 0 else text


def was_rounded(mm: float, unit: Unit) -> bool:
    """Whether `show` moves this length by more than 0.05 mm."""
    return show(mm, unit, exact=True).startswith("about")


def show_at_least(mm: float, unit: Unit) -> str:
    """Rounded up to what the maker can read (1/8 in or 1 mm): for "add so much or more".

    >>> show_at_least(0.4, "in"), show_at_least(254.1, "cm")
    ('1/8 in', '25.5 cm')
    """
    step = INCH / 8 if unit == "in" else 1.0
    return show(-(-(mm - 1e-6) // step) * step, unit)


def show_at_most(mm: float, unit: Unit) -> str:
    """Rounded down to what the maker can read (1/8 in or 1 mm): for "so much or less".

    >>> show_at_most(25.3, "in"), show_at_most(254.9, "cm")
    ('7/8 in', '25.4 cm')
    """
    step = INCH / 8 if unit == "in" else 1.0
    return show((mm + 1e-6) // step * step, unit)
