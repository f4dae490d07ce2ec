"""How much cloth to buy, told at once: the pieces put down on a coarse grid in some orders, without a search.

A piece goes where it ends lowest of all places that are free, holes between others too. A row of cells is a whole
number, a bit a cell, so that all places on a level are tried at once. A few orders are tried, then a few exchanges. A
search of 20 s finds lays a little shorter, and that is taken off. `oaktag lay` gives the true length.
"""

from __future__ import annotations

import random
from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import chain
from math import ceil, floor
from typing import Final, TypeAlias

from ..geometry.point import XY
from ..geometry.polygon import Box, crossings, simplified
from ..model.nest import Nest
from ..values import dataclass, replace
from .cloth import Cloth, shop_length
from .pieces import LayPiece, Pieces, Variant, pieces_for
from .placed import Placement

WIDTHS_CM: Final = (90.0, 112.0, 137.0, 150.0)
WIDTHS_IN: Final = (36.0, 45.0, 54.0, 60.0)
"""Widths that cloth is sold in (trade: common practice, no source)."""
_ACROSS: Final = 6.0
_ALONG: Final = 20.0
"""A cell of the grid, mm: whether pieces fit side by side is told more finely than how long the lay is."""
_SEARCHED: Final = {"open": 0.93, "fold": 1.0}
"""What a search of 20 s makes of a length on the grid (measured: tests/bench/bench_lay.py estimates)."""
OFF: Final = 0.12
"""So much may an estimate be off what a search of 20 s finds, as a part, either way (measured likewise: -10 to +10.5 %
on 23 dresses, half of them within 5 %)."""
_MOVES: Final = 12
_LEVELS: Final = 150
_ASIDE: Final = (0.0, -2.0, 2.0, -4.0, 4.0, -7.0, 7.0, -11.0, 11.0)
_NET: Final = 12.0
"""Where a piece is settled: levels by 2 mm, so far beside its place, mm; or anywhere on a net of so many mm."""
MANY: Final = 15
"""Of more pieces than this the area is told, and how much of the cloth they use."""
_USE: Final = {"open": 0.79, "fold": 0.74}
"""What so many pieces use after a search of 20 s (measured: 0.78 for 80 pieces, 0.81 for 24; folded 0.74 for 20)."""


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
        """Rounded up to what a shop cuts, mm."""
        return shop_length(self.length, inches)


def estimates(
    nest: Nest, material: str, quantities: Mapping[str, int], widths: Iterable[float], cloth: Cloth
) -> tuple[Estimate, ...]:
    """For every width: folded or open, whichever is shorter; length 0 where the pieces fit neither way."""
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
        told = [_length(part, of, known) for part, of in stretches if part]
        if any(part is None for part in told):
            continue
        length = sum(part[0] for part in told if part is not None)
        by = tuple(chain.from_iterable(part[1] for part in told if part is not None))
        repeats = sum(cloth.repeat_along for _ in by) if cloth.repeat_along else 0.0
        found.append(Estimate(cloth.width, own.to_buy(length + repeats), own.spread == "fold", by))
    return min(found, key=lambda one: one.length, default=Estimate(cloth.width, 0.0, True, ()))


def _length(pieces: Sequence[LayPiece], cloth: Cloth, known: Known) -> tuple[float, tuple[str, ...]] | None:
    """How long, and what sets it; None where one is too wide."""
    boxes = [Box.round(piece.outline) for piece in pieces]
    wide = max(box.right if piece.on_fold else box.width for piece, box in zip(pieces, boxes, strict=True))
    if wide > cloth.right - cloth.left + 1e-6:
        return None
    longest = max(box.height for box in boxes) + 2 * cloth.ends
    if len(pieces) > MANY:
        area = sum(piece.area for piece in pieces)
        return max(longest, area / cloth.spread_width / _USE[cloth.spread]), ()
    put = _put(pieces, cloth, known)
    by = setters([(piece.name, box) for piece, _, box in put.placed], 0.0, 1.5)
    return max(longest, _SEARCHED[cloth.spread] * put.length(cloth)), by


def rough(pieces: Sequence[LayPiece], cloth: Cloth) -> tuple[Placement, ...]:
    """A lay to begin a search with, on open or folded cloth that is wide enough.

    On the grid, in the order in which they were put there; the true outlines may overlap by a cell (`settled`).
    """
    put = _put(pieces, cloth, {})
    placements: list[Placement] = []
    for piece, variant, box in put.placed:
        own = Box.round(variant.move().points(piece.outline))
        if piece.on_fold:
            x = 0.0
        elif box.right == put.across:
            x = cloth.right - own.right
        else:
            x = cloth.left + box.left * _ACROSS - own.left
        placements.append(Placement(piece, variant, (x, cloth.ends + box.bottom * _ALONG - own.bottom)))
    return tuple(placements)


def settled(placements: Sequence[Placement], cloth: Cloth) -> tuple[Placement, ...]:
    """The placements of a rough lay one after another, each at the first level near its own where it overlaps nothing,
    else at the first place anywhere, else behind all others.
    """
    import shapely
    import shapely.affinity

    found: list[Placement] = []
    shapes: list[shapely.Geometry] = []
    for placed in placements:
        shape = shapely.Polygon(placed.outline())
        top = max((float(other.bounds[3]) for other in shapes), default=cloth.ends)
        above = top + cloth.gap + 0.01 - float(shape.bounds[1])
        here = replace(placed, at=(placed.at[0], placed.at[1] + above))
        moved = shapely.affinity.translate(shape, 0.0, above)
        for dx, dy in _nudges(placed, Box(*shape.bounds), cloth):
            tried = shapely.affinity.translate(shape, dx, dy)
            if not shapely.dwithin(tried, shapes, cloth.gap).any():
                here, moved = replace(placed, at=(placed.at[0] + dx, placed.at[1] + dy)), tried
                break
        found.append(here)
        shapes.append(moved)
    return tuple(found)


def _nudges(placed: Placement, box: Box, cloth: Cloth) -> Iterator[XY]:
    """How far a piece may be moved, mm, the lowest level first: near its place, then anywhere; on a fold along it."""
    least, left, right = cloth.ends - box.bottom, cloth.left - box.left, cloth.right - box.right
    near = [dx for dx in _ASIDE if left - 1e-9 <= dx <= right + 1e-9]
    for level in range(_LEVELS):
        for dx in near[: 1 if placed.piece.on_fold else None]:
            yield dx, max(least, 2.0 * level - 2 * _ALONG)
    for level in range(0 if placed.piece.on_fold else _LEVELS):
        for column in range(max(0, int((right - left) / _NET))):
            yield left + _NET * column, least + _NET * level


def _put(pieces: Sequence[LayPiece], cloth: Cloth, known: Known) -> _Put:
    """The shortest of some orders, and of a few exchanges."""
    boxes = [Box.round(piece.outline) for piece in pieces]
    longest, area = max(box.height for box in boxes), sum(piece.area for piece in pieces)
    grid = _Grid(cloth, ceil((area / cloth.spread_width / 0.4 + longest) / _ALONG), known)
    best: _Put | None = None
    for order in _orders(pieces, boxes):
        best = grid.put(order, best) or best
    if best is None:  # the room did not do: one above the other there is room for all
        grid = _Grid(cloth, sum(ceil((box.height + cloth.gap) / _ALONG) + 1 for box in boxes), known)
        best = grid.put([(piece, False) for piece in pieces], None)
    assert best is not None
    grid = _Grid(cloth, best.rows, known)
    dice = random.Random(1)
    for _ in range(_MOVES):
        order = list(best.order)
        i, j, way = dice.randrange(len(order)), dice.randrange(len(order)), dice.random()
        if way < 0.3:
            order[i], order[j] = order[j], order[i]
        elif way < 0.6:
            order.insert(j, order.pop(i))
        else:
            order[i] = order[i][0], not order[i][1]
        best = grid.put(order, best) or best
    return best


Order: TypeAlias = "list[tuple[LayPiece, bool]]"
"""Pieces as they are put down one after another, each at the left of where it may lie, or (True) at the right."""


def _orders(pieces: Sequence[LayPiece], boxes: Sequence[Box]) -> Iterator[Order]:
    """Those on the fold, then the longest or the largest first, or the longest after the next two; all at the left, or
    at the left and right in turn, one by one or two by two."""
    count = range(len(pieces))
    long = sorted(count, key=lambda i: (not pieces[i].on_fold, -boxes[i].height, pieces[i].key))
    large = sorted(count, key=lambda i: (not pieces[i].on_fold, -pieces[i].area, pieces[i].key))
    for row in (long, large, [*long[1:3], *long[:1], *long[3:]]):
        for turn in (0, 1, 2):
            yield [(pieces[i], turn > 0 and (k // turn) % 2 == 1) for k, i in enumerate(row)]


@dataclass(frozen=True, slots=True)
class _Put:
    """All pieces on the grid: in which order, in how many rows of cells, and where, in cells."""

    order: Order
    rows: int
    across: int
    placed: list[tuple[LayPiece, Variant, Box]]

    def length(self, cloth: Cloth) -> float:
        """With both ends, mm."""
        return self.rows * _ALONG - cloth.gap + 2 * cloth.ends


@dataclass(frozen=True, slots=True)
class _Cells:
    """A piece in one way that it may lie: `wide` cells across; each row as bits and as runs."""

    wide: int
    rows: tuple[int, ...]
    runs: tuple[tuple[tuple[int, tuple[int, ...]], ...], ...]
    """Of each: its first bit, and the shifts that put a bit wherever one of so many next bits is set."""

    def mirrored(self) -> _Cells:
        return _cells_of(self.wide, [int(f"{row:0{self.wide}b}"[::-1], 2) for row in self.rows])

    def turned(self) -> _Cells:
        """By half a turn."""
        return _cells_of(self.wide, self.mirrored().rows[::-1])


def _cells_of(wide: int, rows: Sequence[int]) -> _Cells:
    return _Cells(wide, tuple(rows), tuple(tuple(_runs(row)) for row in rows))


def _runs(row: int) -> Iterator[tuple[int, tuple[int, ...]]]:
    at = 0
    while row:
        skip = (row & -row).bit_length() - 1
        row >>= skip
        long = (~row & (row + 1)).bit_length() - 1
        yield at + skip, tuple(_shifts(long))
        at, row = at + skip + long, row >> long


def _shifts(long: int) -> Iterator[int]:
    """Doubling: with 1, 2, 4, … and what is left over, bits stand for themselves and the `long` − 1 next ones.

    >>> list(_shifts(1)), list(_shifts(11))
    ([], [1, 2, 4, 3])
    """
    done = 1
    while 2 * done <= long:
        yield done
        done *= 2
    if done < long:
        yield long - done


Known: TypeAlias = "dict[tuple[tuple[XY, ...], bool, tuple[Variant, ...]], tuple[_Cells, ...]]"
"""The cells of every outline that was put on a grid in every way that it may lie, by the outline, whether it lies on a
fold, and those ways."""


@dataclass(slots=True)
class _Grid:
    """The cloth in cells, rows along it; what is worked out about a piece is kept."""

    cloth: Cloth
    rows: int
    known: Known
    across: int = 0

    def __post_init__(self) -> None:
        self.across = round((self.cloth.right - self.cloth.left + self.cloth.gap) / _ACROSS)

    def put(self, order: Order, best: _Put | None) -> _Put | None:
        """All of them in that order; None where they do not fit, or take more rows than the best so far."""
        most = self.rows if best is None else best.rows
        taken = [0] * most
        placed: list[tuple[LayPiece, Variant, Box]] = []
        rows = 0
        for piece, right in order:
            found = self._lowest(piece, taken, right)
            if found is None:
                return None
            way, x, y = found
            cells = self._ways(piece)[way]
            for level, row in enumerate(cells.rows, start=y):
                taken[level] |= row << x
            rows = max(rows, y + len(cells.rows))
            placed.append((piece, _upright(piece)[way], Box(x, y, x + cells.wide, y + len(cells.rows))))
        return _Put(order, rows, self.across, placed)

    def _lowest(self, piece: LayPiece, taken: Sequence[int], right: bool) -> tuple[int, int, int] | None:
        """In which way it ends lowest, and where."""
        best: tuple[int, int, int] | None = None
        answer: tuple[int, int, int] | None = None
        for way, cells in enumerate(self._ways(piece)):
            high = len(cells.rows)
            count = 1 if piece.on_fold else self.across - cells.wide + 1
            top = len(taken) if best is None else best[0]
            for y in range(top - high + 1):
                free = _free(cells, taken, y, (1 << max(0, count)) - 1)
                if free:
                    x = (free if right else free & -free).bit_length() - 1
                    rank = (y + high, y, -x if right else x)
                    if best is None or rank < best:
                        best, answer = rank, (way, x, y)
                    break
        return answer

    def _ways(self, piece: LayPiece) -> tuple[_Cells, ...]:
        """Its cells in every way that it may lie."""
        upright = tuple(_upright(piece))
        key = piece.outline, piece.on_fold, upright
        if key not in self.known:
            cells = _cells(piece, self.cloth.gap)
            ways = []
            for variant in upright:
                own = cells.mirrored() if variant.mirrored else cells
                ways.append(own.turned() if variant.turn == 180.0 else own)
            self.known[key] = tuple(ways)
        return self.known[key]


def _free(cells: _Cells, taken: Sequence[int], y: int, free: int) -> int:
    """Of the places on level y that `free` has bits for, those where the piece shares no cell with others."""
    for level, runs in enumerate(cells.runs, start=y):
        row = taken[level]
        if row:
            for first, shifts in runs:
                met = row >> first
                for shift in shifts:
                    met |= met >> shift
                free &= ~met
            if not free:
                break
    return free


def _upright(piece: LayPiece) -> list[Variant]:
    """The ways in which its grain is straight."""
    return [variant for variant in piece.variants if variant.turn in (0.0, 180.0)]


def _cells(piece: LayPiece, gap: float) -> _Cells:
    """A bit where the middle of a cell lies in the outline, or within half the gap beside it."""
    ring = simplified(piece.outline, 1.0)
    box = Box.round(ring)
    left = 0.0 if piece.on_fold else box.left - gap / 2
    wide, high = max(1, round((box.right + gap / 2 - left) / _ACROSS)), max(1, round((box.height + gap) / _ALONG))
    cell = (box.right + gap / 2 - left) / wide
    rows = []
    for level in range(high):
        y = box.bottom - gap / 2 + (level + 0.5) * (box.height + gap) / high
        xs = crossings(ring, min(max(y, box.bottom + 0.1), box.top - 0.1))
        row = 0
        for a, b in zip(xs[::2], xs[1::2], strict=False):
            first = max(0, ceil((a - gap / 2 - left) / cell - 0.5))
            last = min(wide - 1, floor((b + gap / 2 - left) / cell - 0.5))
            if last >= first:
                row |= (1 << (last + 1)) - (1 << first)
        rows.append(row)
    return _cells_of(wide, rows)


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
