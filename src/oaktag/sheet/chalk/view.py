"""How much of the cloth a picture shows, and where on paper a place of the cloth lies."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise
from typing import Final

from ...draft.chalk.marks import ChalkPiece, Mark, MarkKind
from ...geometry.point import XY, Point, between, distance
from ...geometry.polygon import Box
from ...values import dataclass
from .picture import TextWidth

_CLOTH: Final = 30.0
"""Cloth shown beyond the cut line, mm of cloth."""
_AIR: Final = 14.0
"""And air beyond the cloth."""


@dataclass(frozen=True, slots=True)
class View:
    """The part of the cloth that is drawn, `width` by `height` mm of paper; `capital` is the height of capitals."""

    piece: ChalkPiece
    cloth: Box
    window: Box
    width: float
    height: float
    capital: float
    text_width: TextWidth

    @property
    def scale(self) -> float:
        """mm of cloth to 1 mm of paper, across."""
        return self.window.width / self.width

    def x(self, x: float) -> float:
        return (x - self.window.left) * self.width / self.window.width

    def y(self, y: float) -> float:
        return (y - self.window.bottom) * self.height / self.window.height

    def at(self, p: XY) -> Point:
        return Point(self.x(p[0]), self.y(p[1]))

    def inside(self, p: XY, by: float = 0.0) -> bool:
        """Whether a place of the paper lies so far inside the picture."""
        return by <= p[0] <= self.width - by and by <= p[1] <= self.height - by

    def runs(self, line: Iterable[XY]) -> list[list[Point]]:
        """The parts of a line on the cloth that are seen, on paper."""
        return _clipped([self.at(p) for p in line], self.width, self.height)

    def seen(self) -> Box:
        """The part of the picture that is cloth."""
        return Box(
            max(0.0, self.x(self.cloth.left)), max(0.0, self.y(self.cloth.bottom)),
            min(self.width, self.x(self.cloth.right)), min(self.height, self.y(self.cloth.top)),
        )  # fmt: skip


def cloth_of(piece: ChalkPiece) -> Box:
    cut = Box.round(piece.cut_line)
    left = piece.frame.x if piece.frame.fold else cut.left - _CLOTH
    return Box(left, cut.bottom - _CLOTH, cut.right + _CLOTH, cut.top + _CLOTH)


def window_of(piece: ChalkPiece, now: Sequence[Mark], cloth: Box) -> Box:
    """The part of the cloth that the marks lie on, with the lines that they are measured from, if these are near."""
    kinds = {mark.kind for mark in now}
    if now[0].kind is MarkKind.UPRIGHT or MarkKind.CUT in kinds:
        return grown(cloth, _AIR)
    outline = Box.round(piece.outline)
    points: list[XY] = [(outline.left, outline.bottom), (outline.right, outline.top)]
    if kinds.isdisjoint({MarkKind.UPRIGHT, MarkKind.LEVEL}):
        points = []
    for mark in now:
        points += [*mark.line, *(spot.at for spot in mark.spots)] if mark.kind is not MarkKind.UPRIGHT else []
    box = Box.round([*points, *((piece.frame.x, p[1]) for p in points)])
    if piece.frame.y - box.bottom <= 2.0 * max(box.height, box.width, 150.0) and box.bottom < piece.frame.y:
        box = Box(box.left, box.bottom, box.right, max(box.top, piece.frame.y))
    return grown(box, max(22.0, 0.09 * max(box.width, box.height)))


def filled(window: Box, cloth: Box, aspect: float) -> Box:
    """The window made as wide or as high as the picture, on the cloth as far as there is any."""
    most = grown(cloth, _AIR)
    if window.width / window.height < aspect:
        more = window.height * aspect - window.width
        left = min(more / 2, max(0.0, window.left - most.left))
        return Box(window.left - left, window.bottom, window.right + more - left, window.top)
    more = window.width / aspect - window.height
    down = min(max(more / 2, more - max(0.0, most.top - window.top)), more)
    return Box(window.left, window.bottom - down, window.right, window.top + more - down)


def grown(box: Box, by: float) -> Box:
    return Box(box.left - by, box.bottom - by, box.right + by, box.top + by)


def _clipped(points: Sequence[XY], width: float, height: float) -> list[list[Point]]:
    """The parts of a line inside the box from (0, 0), after Liang & Barsky (1984), from memory."""
    runs: list[list[Point]] = []
    for a, b in pairwise(points):
        low, high = 0.0, 1.0
        dx, dy = b[0] - a[0], b[1] - a[1]
        for p, q in ((-dx, a[0]), (dx, width - a[0]), (-dy, a[1]), (dy, height - a[1])):
            if p == 0:
                if q < 0:
                    low = 2.0
            elif p < 0:
                low = max(low, q / p)
            else:
                high = min(high, q / p)
        if low > high:
            continue
        start, end = between(a, b, low), between(a, b, high)
        if runs and distance(runs[-1][-1], start) < 1e-6:
            runs[-1].append(end)
        else:
            runs.append([start, end])
    return runs
