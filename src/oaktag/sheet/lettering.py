"""Single-stroke lettering: the same lines in every format, so that no device needs a font."""

from __future__ import annotations

from functools import cache
from math import cos, radians, sin
from typing import Final, Literal, NamedTuple
from unicodedata import category, combining, normalize

from ..geometry.point import XY
from .glyphs import CAPITAL, GLYPHS, MARKS, SMALL

Anchor = Literal["left", "centre", "right"]

DESCENDER: Final = 7.0 / CAPITAL
"""How far letters like g reach below the baseline, as a part of the capitals' height."""

_UNKNOWN: Final = "□"
_DOTLESS: Final = {"i": "ı", "j": "ȷ"}
_TALL: Final = frozenset("bdfhklt0123456789")
_STACK: Final = 6.0
"""Step between accents that stand on each other, units."""


class _Glyph(NamedTuple):
    advance: float
    lines: tuple[tuple[XY, ...], ...]


def text_lines(
    text: str, height: float, at: XY = (0.0, 0.0), *, angle_deg: float = 0.0, anchor: Anchor = "left"
) -> list[tuple[XY, ...]]:
    """The strokes of one line of text: open polylines, mm.

    `at` is the point of the baseline where the text begins, has its middle, or ends, by `anchor`; `height` is that of
    the capitals, mm; the text runs at `angle_deg`, counter-clockwise from x. A sign that the table does not know is
    drawn as a small box, never left out.
    """
    glyphs = _glyphs(text)
    scale = height / CAPITAL
    cx, sx = cos(radians(angle_deg)) * scale, sin(radians(angle_deg)) * scale
    x, y = at
    if anchor != "left":
        back = sum(glyph.advance for glyph in glyphs) * (0.5 if anchor == "centre" else 1.0)
        x, y = x - cx * back, y - sx * back
    strokes: list[tuple[XY, ...]] = []
    for advance, lines in glyphs:
        for line in lines:
            strokes.append(tuple([(x + cx * u - sx * v, y + sx * u + cx * v) for u, v in line]))
        x, y = x + cx * advance, y + sx * advance
    return strokes


def text_width(text: str, height: float) -> float:
    """Length along the baseline of one line of text with capitals of that height, mm.

    >>> text_width("AB", 21.0) == text_width("A", 21.0) + text_width("B", 21.0)
    True
    """
    return sum(glyph.advance for glyph in _glyphs(text)) * height / CAPITAL


def unlettered(text: str) -> str:
    """The signs of a text that the table does not know, each once: they are drawn as small boxes.

    >>> unlettered("Pièce première"), unlettered("前片, 2 前")
    ('', '前片')
    """
    found = [sign for sign in normalize("NFC", text) if not (sign.isspace() or combining(sign) or sign in GLYPHS)]
    return "".join(dict.fromkeys(s for s in found if category(s) != "Cf" and normalize("NFD", s)[0] not in GLYPHS))


def wrapped(text: str, height: float, width: float) -> list[str]:
    """The text broken at its spaces into lines no longer than `width` mm; a longer word has a line of its own."""
    lines: list[str] = []
    for word in text.split():
        if lines and text_width(f"{lines[-1]} {word}", height) <= width:
            lines[-1] = f"{lines[-1]} {word}"
        else:
            lines.append(word)
    return lines


def _glyphs(text: str) -> list[_Glyph]:
    if text.isascii():
        return [_glyph(sign) for sign in text]
    signs: list[str] = []
    for char in normalize("NFC", text):
        if combining(char) and signs:
            signs[-1] += char
        elif category(char) != "Cf":
            signs.append(char)
    return [_glyph(sign) for sign in signs]


@cache
def _glyph(sign: str) -> _Glyph:
    """One sign with its accents; any blank is a space."""
    if sign.isspace():
        return _Glyph(GLYPHS[" "][0], ())
    if sign in GLYPHS:
        return _from_table(sign)
    parts = normalize("NFD", sign)
    base, marks = parts[0], parts[1:]
    if any(MARKS.get(mark, ("", ""))[0] == "above" for mark in marks):
        base = _DOTLESS.get(base, base)
    letter = _from_table(base if base in GLYPHS else _UNKNOWN)
    xs = [x for line in letter.lines for x, _ in line] or [letter.advance]
    middle = (min(xs) + max(xs)) / 2
    above = (CAPITAL if base.isupper() or base in _TALL else SMALL) + 3.0
    lines = list(letter.lines)
    for mark in marks:
        if mark not in MARKS:
            continue
        where, strokes = MARKS[mark]
        lift = above if where == "above" else 0.0
        lines += [tuple((x + middle, y + lift) for x, y in line) for line in _strokes(strokes)]
        if where == "above":
            above += _STACK
    return _Glyph(letter.advance, tuple(lines))


def _from_table(sign: str) -> _Glyph:
    advance, strokes = GLYPHS[sign]
    return _Glyph(float(advance), _strokes(strokes))


def _strokes(text: str) -> tuple[tuple[XY, ...], ...]:
    lines: list[tuple[XY, ...]] = []
    for line in text.split(";") if text else ():
        points = (pair.partition(",") for pair in line.split())
        lines.append(tuple((float(x), float(y)) for x, _, y in points))
    return tuple(lines)
