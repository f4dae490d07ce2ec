"""How much cloth to buy, told at once: the pieces put down on a coarse grid in some orders, without a search.

A piece goes where it ends lowest of all places that are free, holes between others too. All places are tried at once:
how many cells a piece would share with those taken is a convolution. A few orders are tried, then a few exchanges. A
search of 20 s finds lays a little shorter, and that is taken off. `oaktag lay` gives the true length.
"""

from __future__ import annotations

import random
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import chain
from math import ceil
from typing import TYPE_CHECKING, Any, Final, TypeAlias

from ..geometry.point import XY
from ..geometry.polygon import Box, crossings, simplified
from ..model.nest import Nest
from .cloth import Cloth, shop_length
from .pieces import LayPiece, Pieces, Variant, pieces_for
from .placed import Placement

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Cells = NDArray[np.float32]

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


Ways: TypeAlias = "tuple[list[Cells], NDArray[np.complexfloating[Any, Any]]]"
"""A piece's cells in every way that it may lie, and their transforms."""
Known: TypeAlias = "dict[tuple[tuple[XY, ...], bool], Cells]"
"""The cells of every outline that was put on a grid, by the outline and whether it lies on a fold."""


@dataclass(slots=True)
class _Grid:
    """The cloth in cells, rows along it; what is worked out about a piece is kept."""

    cloth: Cloth
    rows: int
    known: Known
    across: int = 0
    shape: tuple[int, int] = (0, 0)
    ways: dict[tuple[tuple[XY, ...], bool], Ways] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.across = round((self.cloth.right - self.cloth.left + self.cloth.gap) / _ACROSS)
        self.shape = _quick(self.rows), _quick(self.across)

    def put(self, order: Order, best: _Put | None) -> _Put | None:
        """All of them in that order; None where they do not fit, or take more rows than the best so far."""
        import numpy as np

        most = self.rows if best is None else best.rows
        taken = np.zeros((self.rows, self.across), np.float32)
        placed: list[tuple[LayPiece, Variant, Box]] = []
        rows = 0
        for piece, right in order:
            found = self._lowest(piece, np.fft.rfft2(taken, self.shape), right)
            if found is None:
                return None
            way, x, y = found
            cells = self._ways(piece)[0][way]
            high, wide = cells.shape
            rows = max(rows, y + high)
            if rows > most:
                return None
            taken[y : y + high, x : x + wide] += cells
            placed.append((piece, _upright(piece)[way], Box(x, y, x + wide, y + high)))
        return _Put(order, rows, self.across, placed)

    def _lowest(
        self, piece: LayPiece, taken: NDArray[np.complexfloating[Any, Any]], right: bool
    ) -> tuple[int, int, int] | None:
        """In which way it ends lowest, and where."""
        import numpy as np

        masks, turned = self._ways(piece)
        best: tuple[int, int, int] | None = None
        answer: tuple[int, int, int] | None = None
        for way, shared in enumerate(np.fft.irfft2(taken * turned, self.shape, axes=(1, 2))):
            high, wide = masks[way].shape
            free = shared[: self.rows - high + 1, : 1 if piece.on_fold else self.across - wide + 1] < 0.5
            levels = free.any(axis=1)
            if not levels.any():
                continue
            y = int(levels.argmax())
            x = free.shape[1] - 1 - int(free[y, ::-1].argmax()) if right else int(free[y].argmax())
            rank = (y + high, y, -x if right else x)
            if best is None or rank < best:
                best, answer = rank, (way, x, y)
        return answer

    def _ways(self, piece: LayPiece) -> Ways:
        """Its cells in every way that it may lie, and their transforms, conjugate."""
        import numpy as np

        key = piece.outline, piece.on_fold
        if key not in self.ways:
            if key not in self.known:
                self.known[key] = _cells(piece, self.cloth.gap)
            cells = self.known[key]
            ways = []
            for variant in _upright(piece):
                own: Cells = cells[:, ::-1] if variant.mirrored else cells
                ways.append(own[::-1, ::-1] if variant.turn == 180.0 else own)
            self.ways[key] = ways, np.stack([np.conj(np.fft.rfft2(own, self.shape)) for own in ways])
        return self.ways[key]


def _upright(piece: LayPiece) -> list[Variant]:
    """The ways in which its grain is straight."""
    return [variant for variant in piece.variants if variant.turn in (0.0, 180.0)]


def _cells(piece: LayPiece, gap: float) -> Cells:
    """1 where the middle of a cell lies in the outline, or within half the gap beside it."""
    import numpy as np

    ring = simplified(piece.outline, 1.0)
    box = Box.round(ring)
    left = 0.0 if piece.on_fold else box.left - gap / 2
    wide, high = max(1, round((box.right + gap / 2 - left) / _ACROSS)), max(1, round((box.height + gap) / _ALONG))
    middles = left + (np.arange(wide) + 0.5) * (box.right + gap / 2 - left) / wide
    cells = np.zeros((high, wide), np.float32)
    for row in range(high):
        y = box.bottom - gap / 2 + (row + 0.5) * (box.height + gap) / high
        xs = crossings(ring, min(max(y, box.bottom + 0.1), box.top - 0.1))
        for a, b in zip(xs[::2], xs[1::2], strict=False):
            cells[row, (middles >= a - gap / 2) & (middles <= b + gap / 2)] = 1.0
    return cells


def _quick(length: int) -> int:
    """The next length of which a transform is quick: with no factor but 2, 3 and 5."""
    while True:
        rest = length
        for factor in (2, 3, 5):
            while rest % factor == 0 and rest > 1:
                rest //= factor
        if rest == 1:
            return length
        length += 1


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
