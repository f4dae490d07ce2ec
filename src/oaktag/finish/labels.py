"""Where a label fits: inside the piece, clear of every line, as large as it goes.

The piece is cut into rows, and each row into cells that are free or not, as the bits of one number: a box fits where
enough rows have enough free bits in common. So hundreds of settings are tried in the time of a few.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from functools import cache
from itertools import pairwise
from math import ceil, cos, radians, sin
from typing import Final, TypeAlias

from ..geometry.point import Point, Polyline, Ring
from ..values import dataclass

LabelBox: TypeAlias = Callable[[Sequence[str], float], tuple[float, float]]
"""(lines, height of the first line) -> width and height of the set text, mm; twice the height is twice the box."""
Words: TypeAlias = tuple[tuple[str, float], ...]
"""Each word with its width in the first line, as a multiple of the heading's height."""
_Segment: TypeAlias = tuple[float, float, float, float]

UPRIGHT_DOWN_TO: Final = 7.0
"""Capitals of the first line, mm, from which down a turned label is tried too."""
HEIGHTS: Final = (9.0, 8.0, 7.0, 6.2, 5.5, 5.0, 4.5, 4.1, 3.8, 3.6, 3.3, 3.0, 2.7, 2.4, 2.1)
"""Capitals of the first line, mm, largest first: 9 is read from a metre away, 3.6 makes the other lines 2.5."""
WIDTHS: Final = (24.0, 19.0, 15.0, 12.0, 9.5, 7.8, 6.2)
"""How long a line may be, as a multiple of the heading's height, widest setting first."""
CLEAR: Final = 5.0
"""Between the text and any line, mm; less round small text."""
_ROWS, _CELLS = 120, 300
_FINEST: Final = 0.8
_LARGE_PIECE, _COARSE_ROWS = 300.0, 80
_MORE: Final = (2.0, 5.0, 10.0, 20.0, 40.0)
_NUMBER_GAP: Final = re.compile(r"(?<=\d) (?=\d|in\b|cm\b|mm\b|OF\b|of\b)|(?<=\d (?:OF|of)) (?=\d)")


@dataclass(frozen=True, slots=True)
class Wording:
    """A label's texts, the first its heading; set from `least` to `most` high (capitals of the heading, mm), and in
    lines no shorter than `shortest` headings' heights."""

    texts: tuple[str, ...]
    least: float = 0.0
    most: float = HEIGHTS[0]
    shortest: float = 0.0


@dataclass(frozen=True, slots=True)
class Spot:
    """A label that fits: how it is wrapped, its height, the centre of its box, its turn."""

    lines: tuple[str, ...]
    height: float
    width: float
    at: Point
    angle_deg: float


def clear_of(height: float) -> float:
    """What is kept free round a label with a heading of that height, mm."""
    return min(CLEAR, 0.5 + 0.6 * height)


class Measured:
    """Widths of words as multiples of the heading's height, each asked for once."""

    def __init__(self, box: LabelBox) -> None:
        self.box = box
        self.words: dict[str, float] = {}
        self.known: dict[str, Words] = {}
        self.tall: dict[int, float] = {}
        self.later = box(("", "x"), 1.0)[0] / box(("x",), 1.0)[0]
        """How much smaller the lines after the first are."""
        self.space = self.word(" ")

    def word(self, word: str) -> float:
        """In the first line. Letters without accents are measured one by one: they stand side by side."""
        if word not in self.words:
            alone = word.isascii() and len(word) > 1
            self.words[word] = sum([self.word(letter) for letter in word]) if alone else self.box((word,), 1.0)[0]
        return self.words[word]

    def texts(self, texts: Sequence[str]) -> list[Words]:
        """The words of each text with their widths."""
        for text in texts:
            if text not in self.known:
                self.known[text] = tuple((word, self.word(word)) for word in words_of(text))
        return [self.known[text] for text in texts]

    def height(self, lines: int) -> float:
        """Of the box round so many lines."""
        if lines not in self.tall:
            self.tall[lines] = self.box(("",) * lines, 1.0)[1]
        return self.tall[lines]


def find_spot(
    outline: Ring,
    obstacles: Sequence[Polyline],
    wordings: Sequence[Wording],
    measured: Measured,
    turn_deg: float = 90.0,
) -> Spot:
    """The largest setting of the label that keeps clear of the outline and the obstacles, where there is most room.

    At each height every wording is tried in its order, wrapped from wide to narrow, upright and, from 7 mm down, turned
    by `turn_deg`. If nothing fits, the smallest setting is laid where the most of it lies inside.
    """
    places = _Places(outline, [(*a, *b) for line in obstacles for a, b in pairwise(line)], turn_deg)
    best, chosen = len(HEIGHTS), (0, 0.0)
    for i, wording in enumerate(wordings):
        first = sum(height > wording.most for height in HEIGHTS)
        allowed = sum(height >= wording.least for height in HEIGHTS)
        if best <= first or not places.may_hold(wording):
            continue
        texts = measured.texts(wording.texts)
        for limit in WIDTHS:
            if best <= first or limit < wording.shortest:
                break
            wide, count = _size(texts, limit, measured)
            tall = measured.height(count)
            low, high = first, min(best, allowed)
            if high <= low or places.at(high - 1, wide, tall) is None:
                continue
            high -= 1
            while low < high:  # the largest height that fits
                middle = (low + high) // 2
                if places.at(middle, wide, tall) is None:
                    low = middle + 1
                else:
                    high = middle
            best, chosen = high, (i, limit)
    if best < len(HEIGHTS):
        lines = _wrapped(measured.texts(wordings[chosen[0]].texts), chosen[1], measured)
        wide, _ = _size(measured.texts(wordings[chosen[0]].texts), chosen[1], measured)
        tall = measured.height(len(lines))
        cells = places.at(best, wide, tall)
        assert cells is not None
        height = HEIGHTS[best]
        clear = clear_of(height)
        at = cells.roomiest(wide * height + 2 * clear, tall * height + 2 * clear)
        return Spot(lines, height, wide * height, at, cells.angle_deg)
    height = HEIGHTS[-1]
    texts = measured.texts(wordings[-1].texts)
    lines, (wide, _) = _wrapped(texts, WIDTHS[-1], measured), _size(texts, WIDTHS[-1], measured)
    wide, tall = wide * height, measured.height(len(lines)) * height
    bare = _Cells(outline, [], 0.0)
    for part in (0.8, 0.6, 0.4, 0.2, 0.0):
        if bare.fits(part * wide, part * tall):
            return Spot(lines, height, wide, bare.roomiest(part * wide, part * tall), 0.0)
    return Spot(lines, height, wide, Point(*outline[0]), 0.0)


class _Places:
    """Where a label of some size fits, upright or turned."""

    def __init__(self, outline: Ring, segments: Sequence[_Segment], turn_deg: float) -> None:
        self.outline, self.segments, self.turn_deg = outline, segments, turn_deg
        self.upright = _Cells(outline, segments, 0.0)
        self.turned: _Cells | None = None

    def may_hold(self, wording: Wording) -> bool:
        """Whether there is room for so many letters at all, each taken as smaller than any is set."""
        letters = sum(map(len, wording.texts))
        height = max(wording.least, HEIGHTS[-1])
        cell = self.upright.across * self.upright.up
        return 0.3 * letters * height * height <= self.upright.area * cell

    def at(self, size: int, wide: float, tall: float) -> _Cells | None:
        """The cells in which a label of HEIGHTS[size] fits; `wide` and `tall` are its box as multiples of that."""
        height = HEIGHTS[size]
        clear = 2 * clear_of(height)
        width, up = wide * height + clear, tall * height + clear
        if self.upright.fits(width, up):
            return self.upright
        if height > UPRIGHT_DOWN_TO:
            return None
        if self.turned is None:
            self.turned = _Cells(self.outline, self.segments, self.turn_deg)
        return self.turned if self.turned.fits(width, up) else None


def _size(texts: Sequence[Words], limit: float, measured: Measured) -> tuple[float, int]:
    """The widest line, and how many lines there are, when the texts are broken at that width."""
    space, later = measured.space, measured.later
    widest, scale, count = 0.0, 1.0, 0
    for text in texts:
        width = -space
        for _, size in text:
            more = width + space + size
            if width >= 0 and more * scale > limit:
                widest = max(widest, width * scale)
                scale, count, more = later, count + 1, size
            width = more
        widest = max(widest, width * scale)
        scale, count = later, count + 1
    return widest, count


def _wrapped(texts: Sequence[Words], limit: float, measured: Measured) -> tuple[str, ...]:
    """The same, with the lines."""
    lines: list[str] = []
    for text in texts:
        line, width = "", -measured.space
        for word, size in text:
            more = width + measured.space + size
            if line and more * (measured.later if lines else 1.0) > limit:
                lines.append(line)
                line, more = "", size
            line, width = f"{line} {word}" if line else word, more
        lines.append(line)
    return tuple(lines)


def words_of(text: str) -> tuple[str, ...]:
    """Its words; a number, its fraction and its unit are one.

    >>> words_of("hem 1 1/2 in, side")
    ('hem', '1 1/2 in,', 'side')
    """
    return tuple(word.replace("\u00a0", " ") for word in _NUMBER_GAP.sub("\u00a0", text).split(" "))


class _Cells:
    """What is free for a label whose lines run at an angle: rows of bits, the lowest bit at the left."""

    def __init__(self, outline: Ring, segments: Sequence[_Segment], angle_deg: float) -> None:
        self.angle_deg = angle_deg
        self.c, self.s = cos(radians(angle_deg)), sin(radians(angle_deg))
        c, s = self.c, self.s
        ring = outline if angle_deg == 0.0 else [(x * c + y * s, y * c - x * s) for x, y in outline]
        xs, ys = [p[0] for p in ring], [p[1] for p in ring]
        self.left, self.bottom = min(xs), min(ys)
        self.across = max(0.5, (max(xs) - self.left) / _CELLS)
        tall = max(ys) - self.bottom
        self.up = max(_FINEST, tall / (_ROWS if tall < _LARGE_PIECE else _COARSE_ROWS))
        count = ceil(tall / self.up + 1e-9)
        self.cells = ceil((max(xs) - self.left) / self.across + 1e-9)
        taken, inside = [0] * count, [0] * count
        x0, y0 = ring[-1]
        for x1, y1 in ring:
            self._take(x0, y0, x1, y1, taken, inside)
            x0, y0 = x1, y1
        for x0, y0, x1, y1 in segments:
            self._take(x0 * c + y0 * s, y0 * c - x0 * s, x1 * c + y1 * s, y1 * c - x1 * s, taken, None)
        full = (1 << self.cells) - 1
        self.windows: dict[int, list[int]] = {1: [i & full & ~t for i, t in zip(inside, taken, strict=True)]}
        self.area = sum(row.bit_count() for row in self.windows[1])
        self.known: dict[tuple[int, int], bool] = {}

    def _take(self, x0: float, y0: float, x1: float, y1: float, taken: list[int], inside: list[int] | None) -> None:
        """Mark the cells that a straight run touches; right of the outline, inside and outside change places."""
        if y0 > y1:
            x0, y0, x1, y1 = x1, y1, x0, y0
        left, across, up = self.left, self.across, self.up
        y0, y1 = y0 - self.bottom, y1 - self.bottom
        first, last = max(0, int(y0 / up)), min(len(taken) - 1, int(y1 / up))
        if abs(x1 - x0) < 1e-6:
            at = int((x0 - left) / across)
            bit = 1 << at if at >= 0 else 0
            for row in range(first, last + 1):
                taken[row] |= bit
            if inside is not None:
                beyond = -1 << at
                for row in range(max(first, ceil(y0 / up - 0.5)), min(last + 1, ceil(y1 / up - 0.5))):
                    inside[row] ^= beyond
            return
        slope = (x1 - x0) / (y1 - y0) if y1 - y0 > 1e-9 else 0.0
        for row in range(first, last + 1):
            low, high = row * up, (row + 1) * up
            a = x0 + slope * (low - y0) if y0 < low else x0
            b = x0 + slope * (high - y0) if y1 > high else x1
            if a > b:
                a, b = b, a
            start, end = int((a - left) / across), int((b - left) / across)
            if end >= 0:
                taken[row] |= (2 << end) - (1 << (start if start > 0 else 0))
            if inside is not None:
                middle = low + up / 2
                if y0 <= middle < y1:
                    inside[row] ^= -1 << int((x0 + slope * (middle - y0) - left) / across)

    def fits(self, width: float, tall: float) -> bool:
        """Whether a box of that size lies free somewhere."""
        rows, cells = ceil(tall / self.up), ceil(width / self.across)
        if rows > len(self.windows[1]) or cells > self.cells or rows * cells > self.area:
            return False
        for (other_rows, other_cells), fitted in self.known.items():
            if fitted and rows <= other_rows and cells <= other_cells:
                return True
            if not fitted and rows >= other_rows and cells >= other_cells:
                return False
        steps = _steps(cells)
        for free in self._window(max(1, rows)):
            if free.bit_count() < cells:
                continue
            for step in steps:
                free &= free >> step
            if free:
                self.known[rows, cells] = True
                return True
        self.known[rows, cells] = False
        return False

    def roomiest(self, width: float, tall: float) -> Point:
        """The centre of the place for a box that has most room all round; one must fit."""
        most = 0.0
        for more in _MORE:
            if not self.fits(width + 2 * more, tall + 2 * more):
                break
            most = more
        rows, cells = max(1, ceil((tall + 2 * most) / self.up)), max(1, ceil((width + 2 * most) / self.across))
        places: list[tuple[int, int]] = []
        for row, free in enumerate(self._window(rows)):
            for step in _steps(cells):
                free &= free >> step
            if free:
                places.append((row, free))
        centre = sum(row for row, _ in places) / len(places)
        row, starts = min(places, key=lambda place: abs(place[0] - centre))
        first = _middle_of_longest(starts)
        u = self.left + (first + cells / 2) * self.across
        v = self.bottom + (row + rows / 2) * self.up
        return Point(u * self.c - v * self.s, u * self.s + v * self.c)

    def _window(self, rows: int) -> list[int]:
        """What is free in that many rows from each row up, by doubling."""
        if rows not in self.windows:
            half = 1 << ((rows - 1).bit_length() - 1)
            base, shift = self._window(half), rows - half
            self.windows[rows] = [a & b for a, b in zip(base, base[shift:], strict=False)]
        return self.windows[rows]


@cache
def _steps(cells: int) -> list[int]:
    """Shifts by which `free &= free >> shift` leaves the bits from which that many on are free."""
    steps, have = [], 1
    while have < cells:
        steps.append(min(have, cells - have))
        have += steps[-1]
    return steps


def _middle_of_longest(bits: int) -> int:
    """The middle of the longest run of bits."""
    run = bits
    length = 1
    while run & run >> 1:
        run &= run >> 1
        length += 1
    first = (run & -run).bit_length() - 1
    return first + (length - 1) // 2
