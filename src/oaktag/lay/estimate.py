"""How much cloth to buy, told at once: the pieces put down on a coarse grid in some orders, without a search.

A piece goes where it ends lowest of all places that are free, holes between others too. The cells of the cloth are one
whole number, a bit a cell, so that all places are tried at once. A few orders are tried, then a few exchanges. A
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
from ..values import dataclass, field, replace
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
_PROBES: Final = 3
"""Its lowest and its highest row and two between are tried before all cells of a piece are."""
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
    grid = _Grid.of(cloth, known)
    most = ceil((area / cloth.spread_width / 0.4 + longest) / _ALONG)
    best: _Put | None = None
    for order in _orders(pieces, boxes):
        best = grid.put(order, most if best is None else best.rows) or best
    if best is None:  # the room did not do: one above the other there is room for all
        room = sum(ceil((box.height + cloth.gap) / _ALONG) + 1 for box in boxes)
        best = grid.put([(piece, False) for piece in pieces], room)
    assert best is not None
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
        best = grid.put(order, best.rows) or best
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
    placed: tuple[tuple[LayPiece, Variant, Box], ...]

    def length(self, cloth: Cloth) -> float:
        """With both ends, mm."""
        return self.rows * _ALONG - cloth.gap + 2 * cloth.ends


@dataclass(frozen=True, slots=True)
class _Cells:
    """A piece in one way that it may lie: `wide` cells across; each row as bits."""

    wide: int
    rows: tuple[int, ...]

    def mirrored(self) -> _Cells:
        return _Cells(self.wide, tuple(int(f"{row:0{self.wide}b}"[::-1], 2) for row in self.rows))

    def turned(self) -> _Cells:
        """By half a turn."""
        return _Cells(self.wide, self.mirrored().rows[::-1])


Known: TypeAlias = "dict[tuple[tuple[XY, ...], bool, tuple[Variant, ...]], tuple[_Cells, ...]]"
"""The cells of every outline that was put on a grid in every way that it may lie, by the outline, whether it lies on a
fold, and those ways."""


@dataclass(frozen=True, slots=True)
class _Way:
    """A piece on a grid in one way: all its rows in one number, a row behind the other as on the cloth.

    `probes` are some of its runs: the first and the last cell at which the run of 2 to the power `doubled` cells begins
    that covers its left or its right end. Where one of them meets what lies there, the piece cannot lie.
    """

    variant: Variant
    wide: int
    high: int
    bits: int
    probes: tuple[tuple[int, int, int], ...]


@dataclass(slots=True)
class _Lain:
    """What lies on the cloth after some pieces of an order; `then`: what came of the next one, by piece and side."""

    taken: int
    rows: int
    placed: tuple[tuple[LayPiece, Variant, Box], ...]
    then: dict[tuple[int, bool], _Lain] = field(default_factory=dict)
    met: list[int] = field(default_factory=list)
    """A bit for every place from which 1, 2, 4, … cells to the right are not all free."""

    def doubled(self, power: int) -> int:
        while len(self.met) <= power:
            last = self.met[-1] if self.met else self.taken
            self.met.append(last | last >> (1 << len(self.met) - 1) if self.met else last)
        return self.met[power]


@dataclass(slots=True)
class _Grid:
    """The cloth in cells, `across` of them in a row; keeps what it worked out of a piece, and of how an order begins.

    All rows are one number, so that all places are tried at once.
    """

    cloth: Cloth
    known: Known
    across: int
    begun: _Lain = field(default_factory=lambda: _Lain(0, 0, ()))
    ways: dict[int, tuple[_Way, ...]] = field(default_factory=dict)
    columns: dict[tuple[int, int], int] = field(default_factory=dict)

    @classmethod
    def of(cls, cloth: Cloth, known: Known) -> _Grid:
        return cls(cloth, known, round((cloth.right - cloth.left + cloth.gap) / _ACROSS))

    def put(self, order: Order, most: int) -> _Put | None:
        """All of them in that order; None where they take more rows than `most`."""
        lain = self.begun
        for piece, right in order:
            key = id(piece), right
            if key not in lain.then:
                found = self._lowest(piece, lain, right, most)
                if found is None:
                    return None
                lain.then[key] = self._laid(piece, lain, *found)
            lain = lain.then[key]
            if lain.rows > most:
                return None
        return _Put(order, lain.rows, self.across, lain.placed)

    def _laid(self, piece: LayPiece, lain: _Lain, way: _Way, x: int, y: int) -> _Lain:
        placed = piece, way.variant, Box(x, y, x + way.wide, y + way.high)
        taken = lain.taken | way.bits << y * self.across + x
        return _Lain(taken, max(lain.rows, y + way.high), (*lain.placed, placed))

    def _lowest(self, piece: LayPiece, lain: _Lain, right: bool, most: int) -> tuple[_Way, int, int] | None:
        """In which way it ends lowest, and where."""
        best: tuple[int, int, int] | None = None
        answer: tuple[_Way, int, int] | None = None
        for way in self._ways(piece):
            count = 1 if piece.on_fold else self.across - way.wide + 1
            if count <= 0:
                continue
            top = most if best is None else best[0]
            place = self._free(way, lain, count, right, top - way.high)
            if place is not None:
                x, y = place
                rank = (y + way.high, y, -x if right else x)
                if best is None or rank < best:
                    best, answer = rank, (way, x, y)
        return answer

    def _free(self, way: _Way, lain: _Lain, count: int, right: bool, last: int) -> tuple[int, int] | None:
        """The place on the lowest level up to the last one where it shares no cell with others, at the left or right.

        Its probes leave few places; those are tried with all its cells.
        """
        met = 0
        for power, first, other in way.probes:
            doubled = lain.doubled(power)
            met |= doubled >> first
            met |= doubled >> other
        every = self._columns(count, lain.rows + 1)
        free = every ^ (every & met)
        while free:
            y = ((free & -free).bit_length() - 1) // self.across
            if y > last:
                return None
            row = free >> y * self.across & (1 << count) - 1
            free ^= row << y * self.across
            while row:
                x = (row if right else row & -row).bit_length() - 1
                if not lain.taken >> y * self.across + x & way.bits:
                    return x, y
                row ^= 1 << x
        return None

    def _columns(self, count: int, rows: int) -> int:
        """A bit in each of the first `count` places of so many rows."""
        key = count, rows
        if key not in self.columns:
            self.columns[key] = _stacked([(1 << count) - 1] * rows, self.across)
        return self.columns[key]

    def _ways(self, piece: LayPiece) -> tuple[_Way, ...]:
        """It on this grid in every way that it may lie."""
        if id(piece) not in self.ways:
            upright = tuple(_upright(piece))
            key = piece.outline, piece.on_fold, upright
            if key not in self.known:
                self.known[key] = tuple(_turned(_cells(piece, self.cloth.gap), upright))
            own = zip(upright, self.known[key], strict=True)
            self.ways[id(piece)] = tuple(_way(variant, cells, self.across) for variant, cells in own)
        return self.ways[id(piece)]


def _way(variant: Variant, cells: _Cells, across: int) -> _Way:
    high = len(cells.rows)
    probes = []
    for level in sorted({(high - 1) * k // _PROBES for k in range(_PROBES + 1)}):
        for first, long in _runs(cells.rows[level]):
            power = long.bit_length() - 1
            at = level * across + first
            probes.append((power, at, at + long - (1 << power)))
    return _Way(variant, cells.wide, high, _stacked(cells.rows, across), tuple(probes))


def _stacked(rows: Sequence[int], across: int) -> int:
    """Rows of so many bits as one number, the first one lowest."""
    return int("".join([f"{row:0{across}b}" for row in reversed(rows)]), 2)


def _turned(cells: _Cells, variants: Iterable[Variant]) -> Iterator[_Cells]:
    for variant in variants:
        own = cells.mirrored() if variant.mirrored else cells
        yield own.turned() if variant.turn == 180.0 else own


def _runs(row: int) -> Iterator[tuple[int, int]]:
    """Where the runs of bits that are set begin, and how long they are.

    >>> list(_runs(0b11101100))
    [(2, 2), (5, 3)]
    """
    at = 0
    while row:
        skip = (row & -row).bit_length() - 1
        row >>= skip
        long = (~row & (row + 1)).bit_length() - 1
        yield at + skip, long
        at, row = at + skip + long, row >> long


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
    return _Cells(wide, tuple(rows))


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
