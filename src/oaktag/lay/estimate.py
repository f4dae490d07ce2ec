"""How much cloth to buy, at once: the pieces slid together in broad columns, in one order, without a search.

It errs on the long side, by some per cent, where pieces would nest into each other. `oaktag lay` gives the true length.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import chain
from math import ceil, inf
from typing import Final, TypeAlias

from ..geometry.point import XY
from ..geometry.polygon import Box
from ..model.nest import Nest
from ..units import INCH
from .cloth import Cloth
from .pieces import LayPiece, Pieces, pieces_for

WIDTHS_CM: Final = (90.0, 112.0, 137.0, 150.0)
WIDTHS_IN: Final = (36.0, 45.0, 54.0, 60.0)
"""Widths that cloth is sold in (trade: common practice, no source)."""
YARD: Final = 36 * INCH
_COLUMN: Final = 25.0
"""Breadth of a column across the cloth, mm."""


@dataclass(frozen=True, slots=True)
class Estimate:
    """The length for one width, mm; `folded` or else open; `by`: the pieces that set it, from the start on."""

    width: float
    length: float
    folded: bool
    by: tuple[str, ...]

    @property
    def fits(self) -> bool:
        return self.length > 0

    def to_buy(self, inches: bool) -> float:
        """Rounded up to what a shop cuts: 10 cm, or an eighth of a yard, mm."""
        step = YARD / 8 if inches else 100.0
        return ceil(self.length / step - 1e-9) * step


def estimates(
    nest: Nest, material: str, quantities: Mapping[str, int], widths: Iterable[float], cloth: Cloth
) -> tuple[Estimate, ...]:
    """For every width: folded if the pieces fit so, else open; length 0 where they do not fit at all."""
    ways: list[tuple[Cloth, Pieces]] = []
    for spread in ("fold", "open"):
        own = replace(cloth, spread=spread, flaws=(), repeat_along=0.0, repeat_across=0.0, tolerance_deg=0.0)
        ways.append((own, pieces_for(nest, material, own, quantities)))
    known: Known = {}
    return tuple(_estimate(ways, replace(cloth, width=width), known) for width in widths)


def _estimate(ways: Sequence[tuple[Cloth, Pieces]], cloth: Cloth, known: Known) -> Estimate:
    """The shorter of the two ways to spread cloth of that width, with what it shrinks."""
    found: list[Estimate] = []
    for way, pieces in ways:
        own = replace(way, width=cloth.width)
        stretches = [(pieces.spread, own), (pieces.opened, own.opened())]
        slid = [_slid(part, of, known) for part, of in stretches if part]
        if any(part is None for part in slid):
            continue
        length = sum(part[0] for part in slid if part is not None)
        by = tuple(chain.from_iterable(part[1] for part in slid if part is not None))
        repeats = sum(cloth.repeat_along for _ in by) if cloth.repeat_along else 0.0
        found.append(Estimate(cloth.width, own.to_buy(length + repeats), own.spread == "fold", by))
    return min(found, key=lambda one: one.length, default=Estimate(cloth.width, 0.0, True, ()))


def _slid(pieces: Sequence[LayPiece], cloth: Cloth, known: Known) -> tuple[float, tuple[str, ...]] | None:
    """How long, and what sets it: longest first, each as low as it goes; None where one is too wide."""
    room, gap = cloth.right - cloth.left, cloth.gap
    taken = [cloth.ends] * max(1, int((room + gap) / _COLUMN))
    placed: list[tuple[str, Box]] = []
    sizes = [(piece, Box.round(piece.outline)) for piece in pieces]
    for piece, box in sorted(sizes, key=lambda e: (-e[1].height, not e[0].on_fold, e[0].key)):
        key = piece.outline, piece.on_fold
        if key not in known:
            known[key] = [_columns(v.move().points(piece.outline), gap) for v in piece.variants]
        best: tuple[float, int, _Columns] | None = None
        for columns in known[key]:
            last = len(taken) - len(columns.low)
            for x in range(1 if piece.on_fold else last + 1) if last >= 0 else ():
                y = max([h - low for h, low in zip(taken[x:], columns.low, strict=False)])
                if best is None or (y + columns.height, x) < (best[0] + best[2].height, best[1]):
                    best = y, x, columns
        if best is None or box.width > room + 1e-6:
            return None
        y, x, columns = best
        for i, high in enumerate(columns.high):
            taken[x + i] = max(taken[x + i], y + high + gap)
        placed.append((piece.name, Box(x * _COLUMN, y, x * _COLUMN + box.width, y + columns.height)))
    top = max(box.top for _, box in placed)
    return top + cloth.ends, setters(placed, cloth.ends + gap, _COLUMN)


@dataclass(frozen=True, slots=True)
class _Columns:
    """The lowest and the highest of an outline in each column from its left end on, from its lowest point, mm."""

    low: tuple[float, ...]
    high: tuple[float, ...]
    height: float


Known: TypeAlias = dict[tuple[tuple[XY, ...], bool], list[_Columns]]
"""What has been worked out, by outline and whether it lies on a fold: its columns in every way that it may lie."""


def _columns(ring: Sequence[XY], gap: float) -> _Columns:
    box = Box.round(ring)
    count = max(1, ceil((box.width + gap) / _COLUMN - 1e-9))
    low, high = [inf] * count, [-inf] * count
    ax, ay = ring[-1]
    for bx, by in ring:
        first, last = sorted((ax - box.left, bx - box.left))
        for i in range(int(first / _COLUMN), min(count - 1, int(last / _COLUMN)) + 1):
            for x in (max(first, i * _COLUMN), min(last, (i + 1) * _COLUMN)):
                part = (x + box.left - ax) / (bx - ax) if bx != ax else 0.0
                for y in (ay + part * (by - ay), by) if bx == ax else (ay + part * (by - ay),):
                    low[i], high[i] = min(low[i], y - box.bottom), max(high[i], y - box.bottom)
        ax, ay = bx, by
    return _Columns(
        tuple(0.0 if v == inf else v for v in low), tuple(0.0 if v == -inf else v for v in high), box.height
    )


def setters(placed: Sequence[tuple[str, Box]], start: float, near: float) -> tuple[str, ...]:
    """The pieces that stand on each other from the start of the lay to its end: they set the length."""
    at = max(range(len(placed)), key=lambda i: placed[i][1].top)
    found = [placed[at][0]]
    while placed[at][1].bottom > start + near:
        box = placed[at][1]
        below = [
            i
            for i, (_, other) in enumerate(placed)
            if other.left < box.right and other.right > box.left and other.bottom < box.bottom - 1e-6
        ]
        if not below:
            break
        at = max(below, key=lambda i: placed[i][1].top)
        found.append(placed[at][0])
    return tuple(reversed(found))
