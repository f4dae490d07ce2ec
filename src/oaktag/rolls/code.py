"""QR codes (ISO/IEC 18004) as strokes: what a pen of 0.3 to 0.5 mm fills, or what wide lines cover."""

from __future__ import annotations

from functools import cache
from math import ceil
from typing import Final, Literal, TypeAlias

from ..geometry.point import XY
from ..sheet.strokes import Role, Stroke

Ink: TypeAlias = Literal["pen", "filled"]
"""How modules are filled: by parallel strokes of a pen; or, in PDF and SVG, by lines that cover them."""

LINE: Final = 0.6
"""mm that a line of the role `code` is wide in PDF and SVG: one or two of them, with square ends, fill a row."""
MODULES: Final = (1.0, 0.8, 0.6)
"""Sides of a module, mm, the first that has room: at 200 dpi 8, 6 and 5 dots (read back in tests/test_roll.py)."""
QUIET: Final = 4
"""Modules kept white all round (ISO/IEC 18004, 5.3.8)."""
_INSET: Final = 0.2
"""mm that the outermost stroke keeps from a module's edge: half a pen of 0.4 mm."""
_PITCH: Final = 0.3
"""mm from stroke to stroke at the most: the thinnest pen that fills."""


def code_text(order: str, piece: str, size: str, mark: str) -> str:
    """`alto-3 front 14 3f9ac2d1`; a piece made to measure has a hyphen in place of its size.

    >>> code_text("alto-3", "front", "14", "3f9ac2d1"), code_text("alto-3", "facing front", "", "3f9ac2d1")
    ('alto-3 front 14 3f9ac2d1', 'alto-3 facing_front - 3f9ac2d1')
    """
    words = ("_".join(word.split()) or "-" for word in (order, piece, size, mark))
    return " ".join(words)


@cache
def modules(text: str) -> tuple[tuple[bool, ...], ...]:
    """The rows of a code from the top, dark ones true, without the quiet zone; level M (15 % may be lost)."""
    import segno

    rows = segno.make(text, error="m", micro=False, boost_error=False).matrix
    return tuple(tuple(bool(cell) for cell in row) for row in rows)


def side_of(text: str, module: float) -> float:
    """Of the code with its quiet zone, mm; `module` is the side of one of its squares."""
    return (len(modules(text)) + 2 * QUIET) * module


def code_strokes(text: str, module: float, corner: XY, ink: Ink) -> list[Stroke]:
    """The dark modules, row by row; `corner` is the lower left one of the quiet zone."""
    rows = modules(text)
    strokes: list[Stroke] = []
    x0, top = corner[0] + QUIET * module, corner[1] + (QUIET + len(rows)) * module
    for number, row in enumerate(rows):
        high = top - number * module
        low = high - module
        for start, end in _runs(row):
            left, right = x0 + start * module, x0 + end * module
            if ink == "filled":
                middles = dict.fromkeys((round(high - LINE / 2, 6), round(low + LINE / 2, 6)))
                strokes += [Stroke(Role.CODE, ((left, y), (right, y))) for y in middles]
            else:
                strokes.append(Stroke(Role.CODE, _hatched(left, right, low, high)))
    return strokes


def _runs(row: tuple[bool, ...]) -> list[tuple[int, int]]:
    starts = [i for i, dark in enumerate(row) if dark and (i == 0 or not row[i - 1])]
    return [(i, next((k for k in range(i, len(row)) if not row[k]), len(row))) for i in starts]


def _hatched(left: float, right: float, bottom: float, top: float) -> tuple[XY, ...]:
    """To and fro, so that the pen stays down."""
    room = top - bottom - 2 * _INSET
    count = ceil(room / _PITCH - 1e-9) + 1
    points: list[XY] = []
    for i in range(count):
        y = top - _INSET - room * i / (count - 1)
        ends = ((left + _INSET, y), (right - _INSET, y))
        points += ends if i % 2 == 0 else ends[::-1]
    return tuple(points)
