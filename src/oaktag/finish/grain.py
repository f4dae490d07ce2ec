"""The grain line: long enough to lay by, inside the piece, clear of its darts."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final

from ..geometry.point import XY, Point, Polyline, Ring, direction
from ..geometry.polygon import crossings

INSIDE: Final = 5.0
"""Kept between the grain line and the stitch line, mm (common practice, no source)."""
LONG_ENOUGH: Final = 100.0
"""mm; or a third of the piece's length (common practice, no source)."""
_BARELY: Final = 0.5
"""So far inside ends a grain line that was drawn beyond the stitch line, mm."""
_SHORTEST: Final = 15.0
"""A shorter rest of it is none, mm."""
_TRIES: Final = 25
Span = tuple[float, float]


def placed_grain(
    drafted: tuple[Point, Point],
    outline: Ring,
    darts: Sequence[Polyline],
    fold: tuple[Point, Point] | None,
    clear: float,
) -> tuple[Point, Point]:
    """The drafted grain line if it is long enough and lies 5 mm inside; else the best place in the same direction.

    That is the longest run inside the piece, or a run of half the piece's length that is near its middle; clear of the
    `darts` if it can be, and by `clear` mm of a fold. Where the piece is too narrow for 5 mm, it keeps what it can.
    """
    way = direction(*drafted)
    turned = [_turned(p, way) for p in outline]
    ys = [p[1] for p in turned]
    length = max(ys) - min(ys)
    (x, low), (_, high) = sorted((_turned(drafted[0], way), _turned(drafted[1], way)), key=lambda p: p[1])
    enough = min(LONG_ENOUGH, length / 3)
    if high - low >= enough - 1e-6 and any(
        a <= low - INSIDE + 1e-6 and high + INSIDE - 1e-6 <= b for a, b in _free(turned, x, INSIDE)
    ):
        return drafted
    lines = [[_turned(p, way) for p in dart] for dart in darts]
    xs = [p[0] for p in turned]
    left, right = min(xs), max(xs)
    edge = None if fold is None else _turned(fold[0], way)[0]
    wanted = max(LONG_ENOUGH, length / 2)
    best: tuple[float, float, float, float] | None = None
    for inside in (INSIDE, 2.0, 0.5):
        for i in range(_TRIES):
            at = left + (right - left) * (i + 0.5) / _TRIES
            near_fold = edge is not None and abs(at - edge) < clear and inside == INSIDE
            for a, b in _free(turned, at, inside):
                for low, high in _without(lines, at, (a + inside, b - inside), INSIDE):
                    run = min(high - low, wanted)
                    score = run - 0.15 * abs(at - (left + right) / 2) - (0.5 * run if near_fold else 0.0)
                    if run > 0 and (best is None or score > best[0]):
                        best = (score, at, low, high)
        if best is not None:
            break
    if best is None:
        return drafted
    _, at, low, high = best
    middle, half = (low + high) / 2, min(high - low, wanted) / 2
    ends = [_back((at, middle - half), way), _back((at, middle + half), way)]
    return (ends[0], ends[1])


def kept_grain(drawn: tuple[Point, Point], outline: Ring) -> tuple[Point, Point] | None:
    """A grain line that stays where it was drawn; what of it lies inside, if it runs out of the piece. None if that is
    next to nothing."""
    way = direction(*drawn)
    low, high = (_turned(end, way)[1] for end in drawn)
    x = _turned(drawn[0], way)[0]
    runs = [
        (low if a < low - _BARELY else a + _BARELY, high if b > high + _BARELY else b - _BARELY)
        for a, b in _free([_turned(p, way) for p in outline], x, _BARELY)
        if b > low and a < high
    ]
    a, b = max(runs, key=lambda run: run[1] - run[0], default=(0.0, 0.0))
    if b - a < _SHORTEST:
        return None
    if (a, b) == (low, high):
        return drawn
    return _back((x, a), way), _back((x, b), way)


def _turned(p: XY, way: Point) -> XY:
    """With the grain upright: across it, and along it."""
    return (p[0] * way.y - p[1] * way.x, p[0] * way.x + p[1] * way.y)


def _back(p: XY, way: Point) -> Point:
    return Point(p[0] * way.y + p[1] * way.x, p[1] * way.y - p[0] * way.x)


def _free(ring: Ring, x: float, beside: float) -> list[Span]:
    """The runs along the upright at x that lie inside the ring, and still do `beside` mm to its left and right."""
    sideways = [(p[1], p[0]) for p in ring]
    runs: list[Span] | None = None
    for at in (x - beside, x, x + beside):
        cuts = crossings(sideways, at)
        spans = list(zip(cuts[::2], cuts[1::2], strict=False))
        runs = spans if runs is None else list(_common(runs, spans))
    return runs or []


def _common(first: Iterable[Span], second: Sequence[Span]) -> Iterable[Span]:
    for a, b in first:
        for c, d in second:
            if min(b, d) > max(a, c):
                yield max(a, c), min(b, d)


def _without(lines: Sequence[Polyline], x: float, run: Span, clear: float) -> list[Span]:
    """The run less whatever comes near to a dart; all of it if nothing of use is left."""
    taken: list[Span] = []
    for line in lines:
        xs, ys = zip(*line, strict=True)
        if min(xs) - clear < x < max(xs) + clear:
            taken.append((min(ys) - clear, max(ys) + clear))
    left: list[Span] = [run]
    for low, high in taken:
        left = [part for a, b in left for part in ((a, min(b, low)), (max(a, high), b)) if part[1] - part[0] > 1.0]
    return left
