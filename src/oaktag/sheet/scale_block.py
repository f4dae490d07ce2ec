"""The scale block: two squares, two diagonals and two rulers by which anyone can prove the scale of a print."""

from __future__ import annotations

from collections.abc import Callable
from math import floor
from typing import Final

from ..errors import GeometryError
from ..geometry.point import XY
from ..units import INCH
from .lettering import text_lines, text_width, wrapped
from .strokes import Figure, Role, Stroke

NAME: Final = "scale block"
SQUARE: Final = 100.0
"""Side of the metric square, mm; its diagonals are 141.4 mm."""
INCH_SQUARE: Final = 4 * INCH
"""Side of the inch square, mm."""
SENTENCE: Final = (
    "Before cutting, measure the sides of the 100 mm square and both its diagonals with a steel rule "
    "(100.0 mm and 141.4 mm); if any is off by more than 0.5 mm, do not cut: "
    "print again at 100 % (“actual size”)."
)
"""What to do with the block, for other pages too."""

_NUMERAL: Final = 3.0
_TICK: Final = 5.0
_BAND: Final = 2 * (_TICK + 1.0 + _NUMERAL + 0.5)
"""Breadth of a ruler, numerals on both sides included."""
_END: Final = 3.5
"""Room at the ends of a ruler, for half a numeral."""
_SPACE: Final = 6.0
_LONGEST_CM: Final = 25
_LONGEST_INCHES: Final = 10
_CORNER: Final = _BAND + _SPACE
_ALONG: Final = _CORNER + SQUARE + _SPACE + INCH_SQUARE + 0.5
_ACROSS: Final = _CORNER + INCH_SQUARE + 0.5


def scale_block(width: float, height: float) -> Figure:
    """The block within `width` × `height` mm, its lower left corner at (0, 0); all strokes have the role SCALE.

    │ ┌────────┐     The square of 100 mm is the one closed stroke whose first two points are 100 mm apart,
    │ │  4 in  │     its diagonals the strokes of two points that join its corners; the 4 in square (101.6 mm)
    │ └────────┘     is the other closed stroke. They stand side by side where the width allows, else above
    │ ┌────────┐     each other. The rulers count cm on one side and inches on the other, 25 cm and 10 in long
    │ │ 100 mm │     or as many whole ones as fit.
    │ └────────┘
      ──────────     Raises GeometryError where the two squares do not fit beside the rulers.
    """
    if width >= _ALONG and height >= _ACROSS:
        inch_corner = (_CORNER + SQUARE + _SPACE, _CORNER)
    elif width >= _ACROSS and height >= _ALONG:
        inch_corner = (_CORNER, _CORNER + SQUARE + _SPACE)
    else:
        raise GeometryError(
            f"the scale block does not fit in {width:.1f} × {height:.1f} mm; "
            f"it needs {_ALONG:.1f} × {_ACROSS:.1f} mm or {_ACROSS:.1f} × {_ALONG:.1f} mm. Take larger paper"
        )
    lines = [
        *_metric_square(_CORNER, _CORNER),
        *_inch_square(*inch_corner),
        *_ruler(width - 2 * _END, lambda u, v: (_END + u, _BAND / 2 + v), 0.0),
        *_ruler(height - _BAND - 2 * _END, lambda u, v: (_BAND / 2 - v, _BAND + _END + u), 90.0),
    ]
    return Figure(NAME, tuple(lines))


SMALL_NAME: Final = "small scale block"
SMALL_SQUARE: Final = 50.0
"""Side of the square of a small block, mm; its diagonals are 70.7 mm."""


def small_scale_block() -> Figure:
    """A square of 50 mm with its diagonals, for sheets that may be drawn without the one that has the scale block."""
    square = _square(0.0, 0.0, SMALL_SQUARE)
    a, b, c, d = square.points
    words = [
        *_words("50 mm", 4.0, (SMALL_SQUARE / 2, 3.0)),
        *_words("70.7 mm", 3.0, (SMALL_SQUARE / 4 - 1.5, SMALL_SQUARE / 4 + 1.5), 45.0),
        *_words("70.7 mm", 3.0, (3 * SMALL_SQUARE / 4 + 1.5, SMALL_SQUARE / 4 + 1.5), -45.0),
    ]
    return Figure(SMALL_NAME, (square, Stroke(Role.SCALE, (a, c)), Stroke(Role.SCALE, (b, d)), *words))


def _square(x: float, y: float, side: float) -> Stroke:
    return Stroke(Role.SCALE, ((x, y), (x + side, y), (x + side, y + side), (x, y + side)), closed=True)


def _words(text: str, height: float, at: XY, angle_deg: float = 0.0) -> list[Stroke]:
    return [Stroke(Role.SCALE, line) for line in text_lines(text, height, at, angle_deg=angle_deg, anchor="centre")]


def _metric_square(x: float, y: float) -> list[Stroke]:
    square = _square(x, y, SQUARE)
    a, b, c, d = square.points
    middle = x + SQUARE / 2
    quarter, off = SQUARE / 4, 1.5
    return [
        square,
        Stroke(Role.SCALE, (a, c)),
        Stroke(Role.SCALE, (b, d)),
        *_words("100 mm", 6.0, (middle, y + 4.0)),
        *_words("141.4 mm", 4.0, (x + quarter - off, y + quarter + off), 45.0),
        *_words("141.4 mm", 4.0, (x + SQUARE - quarter + off, y + quarter + off), -45.0),
    ]


def _inch_square(x: float, y: float) -> list[Stroke]:
    strokes = [_square(x, y, INCH_SQUARE), *_words("4 in", 6.0, (x + INCH_SQUARE / 2, y + 4.0))]
    height, pitch = 3.6, 6.6
    lines = wrapped(SENTENCE, height, INCH_SQUARE - 14.0)
    top = y + INCH_SQUARE / 2 + 5.0 + ((len(lines) - 1) * pitch + height) / 2
    left = x + (INCH_SQUARE - max(text_width(line, height) for line in lines)) / 2
    for row, words in enumerate(lines):
        for line in text_lines(words, height, (left, top - height - row * pitch)):
            strokes.append(Stroke(Role.SCALE, line))
    return strokes


def _ruler(room: float, place: Callable[[float, float], XY], angle_deg: float) -> list[Stroke]:
    """A ruler along u, cm on its left side and inches on its right; `place` turns (u, v) into the block's x, y.

    Each side is one stroke, a comb, so that a plotter need not lift its pen at every tick.
    """
    cm = min(_LONGEST_CM, floor(room / 10.0 + 1e-9))
    inches = min(_LONGEST_INCHES, floor(room / INCH + 1e-9))
    millimetre_ticks = [(i * 1.0, _TICK if i % 10 == 0 else 3.8 if i % 5 == 0 else 2.4) for i in range(cm * 10 + 1)]
    eighth_ticks = [(i * INCH / 8, -(_TICK, 2.4, 3.0, 2.4, 3.8, 2.4, 3.0, 2.4)[i % 8]) for i in range(inches * 8 + 1)]
    strokes = [_comb(millimetre_ticks, place), _comb(eighth_ticks, place)]
    above, below = _TICK + 1.0, -_TICK - 1.0 - _NUMERAL
    for i in range(cm + 1):
        strokes += _words(str(i), _NUMERAL, place(i * 10.0, above), angle_deg)
    for i in range(inches + 1):
        strokes += _words(str(i), _NUMERAL, place(i * INCH, below), angle_deg)
    strokes += _words("cm", _NUMERAL * 0.7, place(5.0, above), angle_deg)
    return strokes + _words("in", _NUMERAL * 0.7, place(5.0, below), angle_deg)


def _comb(ticks: list[tuple[float, float]], place: Callable[[float, float], XY]) -> Stroke:
    points: list[XY] = []
    for u, v in ticks:
        foot = place(u, 0.0)
        points += (foot, place(u, v), foot)
    return Stroke(Role.SCALE, tuple(points))
