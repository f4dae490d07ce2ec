"""What is drawn already, so that words can be set where they touch nothing."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise
from math import hypot
from typing import Final, TypeAlias

from ..geometry.point import XY, Point, Polyline, along, between, direction, distance, left_of
from ..geometry.polygon import contains
from .strokes import Role, Stroke

_GROUP: Final = 6
_SQUARE: Final = 50.0
_AIR: Final = 1.0
_Box: TypeAlias = tuple[int, XY, Point, float, float]
_Group: TypeAlias = tuple[float, float, float, float, int, Sequence[XY]]


class Room:
    """Lines in groups of a few runs, found by the squares of 50 mm that they reach; and the boxes of words."""

    def __init__(self, strokes: Iterable[Stroke], cut_line: Polyline) -> None:
        self.cut_line = cut_line
        self.count = 0
        self.groups: dict[tuple[int, int], list[_Group]] = {}
        self.boxes: dict[tuple[int, int], list[_Box]] = {}
        self.words: set[int] = set()
        self.notches: set[int] = set()
        for stroke in strokes:
            self.add(stroke.points, stroke.closed)
            if stroke.role is Role.NOTCH:
                self.notches.add(self.count)

    def take(self, middle: XY, way: Point, half_width: float, half_height: float) -> None:
        """A box of words (or a leader to some) is drawn there."""
        up = left_of(way)
        bottom, top = along(middle, up, -half_height), along(middle, up, half_height)
        self.add([along(p, way, s * half_width) for p, s in ((bottom, -1), (bottom, 1), (top, 1), (top, -1))], True)
        self.words.add(self.count)
        (x, y), reach = middle, hypot(half_width, half_height)
        for square in _squares(x - reach, x + reach, y - reach, y + reach):
            self.boxes.setdefault(square, []).append((self.count, middle, way, half_width, half_height))

    def is_free(self, middle: XY, way: Point, half_width: float, half_height: float) -> bool:
        """Whether a box, with a little air, lies inside the cut line and touches nothing."""
        return contains(self.cut_line, middle) and not self.meets(middle, way, half_width, half_height)

    def meets(self, middle: XY, way: Point, half_width: float, half_height: float, air: float = _AIR) -> bool:
        """Whether a box, with `air` mm round it, touches a line or a box."""
        return next(self.touched(middle, way, half_width, half_height, air), None) is not None

    def touched(self, middle: XY, way: Point, half_width: float, half_height: float, air: float = 0.0) -> Iterator[int]:
        """The numbers of the lines and boxes that a box, with `air` mm round it, touches; one may come twice."""
        (mx, my), (c, s) = middle, way
        here = int(mx // _SQUARE), int(my // _SQUARE)
        for number, (tx, ty), (tc, ts), half_w, half_h in self.boxes.get(here, ()):
            dx, dy = mx - tx, my - ty
            if abs(dx * tc + dy * ts) <= half_w and abs(dy * tc - dx * ts) <= half_h:
                yield number
        w, h = half_width + air, half_height + air
        across, up = abs(c) * w + abs(s) * h, abs(s) * w + abs(c) * h
        left, right, bottom, top = mx - across, mx + across, my - up, my + up
        for square in _squares(left, right, bottom, top):
            for low, high, under, over, number, line in self.groups.get(square, ()):
                if low > right or high < left or under > top or over < bottom:
                    continue
                for (ax, ay), (bx, by) in pairwise(line):
                    if (
                        (ax > right and bx > right)
                        or (ax < left and bx < left)
                        or (ay > top and by > top)
                        or (ay < bottom and by < bottom)
                    ):
                        continue
                    ax, ay, bx, by = ax - mx, ay - my, bx - mx, by - my
                    if _touches(ax * c + ay * s, ay * c - ax * s, bx * c + by * s, by * c - bx * s, w, h):
                        yield number
                        break

    def crossed(self, a: XY, b: XY, air: float = 0.5) -> set[int]:
        """The numbers of the lines and boxes that a straight line meets, or passes within `air` mm."""
        return set(self.touched(between(a, b), direction(a, b), distance(a, b) / 2, 0.0, air))

    def add(self, points: Polyline, closed: bool = False) -> None:
        """Keeps a line in groups of a few runs, with the box round each group."""
        ring = (*points, points[0]) if closed else tuple(points)
        self.count += 1
        for start in range(0, len(ring) - 1, _GROUP):
            line = ring[start : start + _GROUP + 1]
            xs, ys = zip(*line, strict=True)
            group = (min(xs), max(xs), min(ys), max(ys), self.count, line)
            for square in _squares(group[0], group[1], group[2], group[3]):
                self.groups.setdefault(square, []).append(group)


def _squares(left: float, right: float, bottom: float, top: float) -> list[tuple[int, int]]:
    """The squares that a box reaches, (column, row)."""
    rows = range(int(bottom // _SQUARE), int(top // _SQUARE) + 1)
    return [(column, row) for column in range(int(left // _SQUARE), int(right // _SQUARE) + 1) for row in rows]


def _touches(ax: float, ay: float, bx: float, by: float, w: float, h: float) -> bool:
    """Whether the run a to b meets the box from (−w, −h) to (w, h) (after Liang and Barsky, from memory)."""
    low, high = 0.0, 1.0
    for start, step, limit in ((ax, bx - ax, w), (ay, by - ay, h)):
        if step == 0.0:
            if abs(start) > limit:
                return False
            continue
        enter, leave = sorted(((-limit - start) / step, (limit - start) / step))
        low, high = max(low, enter), min(high, leave)
        if low > high:
            return False
    return True
