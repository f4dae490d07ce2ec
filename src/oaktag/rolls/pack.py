"""Where pieces lie on a roll of paper: packed as `lay` packs cloth, in lengths that the device can draw.

A length is bands one behind the other: the scale block with the words where it begins, the pieces all together or
order by order, and a second block at the far end of a long one. Every band slides as far into the one before as it can.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import ceil, floor, hypot
from typing import TYPE_CHECKING, Any, Final, TypeAlias

from ..errors import InputError
from ..geometry.affine import Move
from ..geometry.point import XY
from ..geometry.polygon import Box
from ..lay.bound import least_by_area
from ..lay.cloth import Cloth
from ..lay.judge import judged
from ..lay.pieces import LayPiece, Pieces, Variant
from ..lay.placed import Lay, Placement, Stretch
from ..lay.search import STOPPED, lay_of
from ..lay.shapes import widened
from ..lay.words import Search
from ..sheet.roll import FAR_END, LONG
from ..sheet.scale_block import NAME, scale_block
from ..sheet.strokes import Figure
from ..values import dataclass, replace
from .pieces import RollPiece, box_piece

if TYPE_CHECKING:
    from numpy.typing import NDArray

GAP: Final = 5.0
"""Between pieces on paper, mm: room for scissors (common practice, no source)."""
EDGE: Final = 2.0
"""Kept free along the edges of the paper, mm, so that no line loses half its width there."""
HEAD: Final = "head of the roll"
_COLUMN: Final = 2.0
_BLOCK: Final = (290.0, 127.2)
_TALL: Final = (130.0, 300.0)
_USE: Final = 0.85
"""What of the paper the pieces take, at the best that is found (measured: tests/bench/roll.py)."""
_SURE: Final = 0.6
"""What pieces take at the least even where they are only placed in order: with room for that, they fit at once."""
_BETTER: Final = 1.15
"""A search makes a roll shorter by so much at the most (measured likewise)."""
_ATTEMPTS: Final = 8

Told: TypeAlias = Callable[[float, Lay], None]
Band: TypeAlias = tuple[Placement, ...]


@dataclass(frozen=True, slots=True)
class Put:
    """A piece where it lies: its place in the cut list, and the move from its own coordinates to the paper."""

    number: int
    piece: RollPiece
    placed: Placement

    @property
    def move(self) -> Move:
        return self.placed.whole_move()


@dataclass(frozen=True, slots=True)
class Length:
    """One stretch of the roll, as one plot. `blocks` are the scale blocks and the words, where they lie; mm."""

    width: float
    long: float
    puts: tuple[Put, ...]
    blocks: tuple[tuple[Figure, Move], ...]
    stopped: bool = False


@dataclass(frozen=True, slots=True)
class Paper:
    """What is packed on, and how: `across` and `most` (along) can be drawn, mm; `head` makes the words for a width."""

    across: float
    most: float
    gap: float = GAP

    def cloth(self) -> Cloth:
        """As the packing sees it: open, without selvedges."""
        return Cloth(self.across, gap=self.gap, selvedge=EDGE, ends=EDGE)

    @property
    def room(self) -> XY:
        """For one piece, across and along, mm."""
        return self.across - 2 * EDGE, self.most - 2 * EDGE - _BLOCK[1] - self.gap


def lengths_of(
    pieces: Sequence[RollPiece], paper: Paper, search: Search, head: Figure, *, by_order: bool, told: Told | None = None
) -> tuple[Length, ...]:
    """The pieces on as few lengths of the roll as hold them, numbered in the order in which they are drawn.

    `by_order` keeps each order's pieces together, in the order in which they are given. Ctrl-C gives the best so far.
    Raises InputError for a piece that fits in no length.
    """
    _refuse_wide(pieces, paper)
    least = least_length(pieces, paper)
    per = max(1, ceil(least / _USE / paper.most))
    longest = 0.0
    for count in range(per, min(len(pieces), per + _ATTEMPTS) + 1):
        groups = _groups(pieces, count)
        if least / _SURE > count * paper.most:  # without a search first: what is far too long is not searched for
            tried = _lengths(groups, paper, replace(search, seconds=0.0), head, by_order=by_order, told=None)
            longest = max(one.long for one in tried)
            if longest > _BETTER * paper.most:
                continue
        found = _lengths(groups, paper, search, head, by_order=by_order, told=told)
        longest = max(one.long for one in found)
        if longest <= paper.most + 1e-6:
            return found
    raise InputError(
        f"the pieces need {longest:.0f} mm of the roll at once, and {paper.most:.0f} mm can be drawn",
        expected="a device that draws longer plots", instead="Name another with --device",
    )  # fmt: skip


def _refuse_wide(pieces: Sequence[RollPiece], paper: Paper) -> None:
    """InputError for a piece that is too wide in every turn; those of a new roll come in parts before."""
    room = paper.across - 2 * EDGE
    for piece in pieces:
        box = Box.round(piece.outline)
        if min(box.width, box.height) > room + 1e-6:
            raise InputError(
                f"{piece.order} {piece.words} is {box.width:.0f} by {box.height:.0f} mm, and {room:.0f} mm across can "
                "be drawn", expected="wider paper", instead="Name a wider device with --device",
            )  # fmt: skip


def _lengths(
    groups: Sequence[Sequence[RollPiece]],
    paper: Paper,
    search: Search,
    head: Figure,
    *,
    by_order: bool,
    told: Told | None,
) -> tuple[Length, ...]:
    """Each group on a length of its own; the time is shared by their pieces."""
    found: list[Length] = []
    count = sum(map(len, groups))
    for group in groups:
        seconds = 0.0 if found and found[-1].stopped else search.seconds * len(group) / count
        own = replace(search, seconds=seconds)
        found.append(_length(group, paper, own, head, by_order=by_order, told=told, after=_count(found)))
    return tuple(found)


def least_length(pieces: Sequence[RollPiece], paper: Paper) -> float:
    """What the pieces need of the roll at the least, by their area; mm."""
    return least_by_area([piece.lay_piece() for piece in pieces], paper.cloth())


def kept_lengths(groups: Sequence[Sequence[Put]], paper: Paper, head: Figure) -> tuple[Length, ...]:
    """Pieces of a roll that was packed already, each group as it lay, moved to the beginning of a length."""
    return tuple(_finished(paper, head, [tuple(put.placed for put in group)], list(group)) for group in groups if group)


def _count(found: Sequence[Length]) -> int:
    return sum(len(one.puts) for one in found)


def _groups(pieces: Sequence[RollPiece], count: int) -> list[list[RollPiece]]:
    """In their order, of about the same area."""
    areas = [piece.lay_piece().area for piece in pieces]
    whole, gone = sum(areas), 0.0
    groups: list[list[RollPiece]] = [[] for _ in range(count)]
    for piece, own in zip(pieces, areas, strict=True):
        groups[min(count - 1, int(count * (gone + own / 2) / whole))].append(piece)
        gone += own
    return [group for group in groups if group]


def _length(
    pieces: Sequence[RollPiece],
    paper: Paper,
    search: Search,
    head: Figure,
    *,
    by_order: bool,
    told: Told | None,
    after: int,
) -> Length:
    by_key = {piece.lay_piece().key: piece for piece in pieces}
    orders: dict[str, list[RollPiece]] = {}
    for piece in pieces:
        orders.setdefault(piece.order if by_order else "", []).append(piece)
    bands: list[Band] = []
    stopped = False
    for own in orders.values():
        parts = tuple(piece.lay_piece() for piece in own)
        seconds = 0.0 if stopped else search.seconds * len(own) / len(pieces)
        lay = lay_of(
            "paper", Pieces(parts), paper.cloth(), seconds, seed=search.seed, workers=search.workers, told=told
        )
        stopped = stopped or lay.how.startswith(STOPPED)
        bands.append(lay.stretches[0].placements)
    placed = [placement for band in bands for placement in _in_order(band)]
    if not by_order:
        placed = _in_order(placed)
    puts = [Put(after + n, by_key[one.piece.key], one) for n, one in enumerate(placed, start=1)]
    return replace(_finished(paper, head, bands, puts), stopped=stopped)


def _in_order(placements: Sequence[Placement]) -> list[Placement]:
    """From the start of the roll on; across, where they begin alike."""
    boxes = {id(one): Box.round(one.outline()) for one in placements}
    return sorted(placements, key=lambda one: (round(boxes[id(one)].bottom), boxes[id(one)].left, one.piece.key))


def _finished(paper: Paper, head: Figure, bands: Sequence[Band], puts: Sequence[Put]) -> Length:
    """The bands behind the scale block, and a second block where the length is a long one; judged."""
    cloth = paper.cloth()
    block = _block(cloth)
    blocks = {NAME: block, HEAD: head}
    start = [_at_corner(NAME, block, EDGE)]
    if head.strokes:
        start.append(_at_corner(HEAD, head, start[0].piece.outline[1][0] - block.bounds().left + EDGE + 2 * paper.gap))
    front = _Front(cloth)
    front.take(start)
    moved: dict[str, Placement] = {}
    for band in bands:
        slid = front.slide(band)
        front.take(slid)
        moved |= {one.piece.key: one for one in slid}
    end = []
    if front.top + EDGE > LONG:
        far = replace(block, name=FAR_END)
        blocks[FAR_END] = far
        end = [front.at_far_end(box_piece(FAR_END, far.bounds()))]
        front.take(end)
    every = (*start, *moved.values(), *end)
    stretch = Stretch(cloth, every, front.top + EDGE)
    verdict = judged(Lay("paper", (stretch,)), Pieces(tuple(one.piece for one in every)))
    if not verdict.holds:
        raise InputError(f"the roll cannot be laid: {verdict.problems[0]}", expected="a wider device")
    return Length(
        paper.across,
        stretch.length,
        tuple(replace(put, placed=moved[put.placed.piece.key]) for put in puts),
        tuple((blocks[one.piece.name], one.whole_move()) for one in (*start, *end)),
    )


def _block(cloth: Cloth) -> Figure:
    room = cloth.right - cloth.left
    return scale_block(min(_BLOCK[0], room), _BLOCK[1]) if room >= 235.0 else scale_block(*_TALL)


def head_room(paper: Paper) -> XY:
    """Width and height for the words beside the scale block, mm; 0 where there is none."""
    wide = paper.across - 2 * EDGE - _BLOCK[0] - 2 * paper.gap
    return (wide, _BLOCK[1] - 10.0) if wide > 150.0 else (0.0, 0.0)


def _at_corner(name: str, figure: Figure, x: float) -> Placement:
    box = figure.bounds()
    piece = box_piece(name, box)
    return Placement(piece, piece.variants[0], (x - box.left, EDGE - box.bottom))


class _Front:
    """How far along the roll is taken, in columns across it; pieces count with half the gap all round."""

    def __init__(self, cloth: Cloth) -> None:
        import numpy as np

        self.cloth = cloth
        self.left = cloth.room[0]
        self.taken: NDArray[Any] = np.full(ceil((cloth.room[1] - self.left) / _COLUMN) + 2, cloth.ends - cloth.gap / 2)
        self.top = 0.0
        """Of the cut lines themselves, mm."""

    def _profile(self, band: Sequence[Placement]) -> tuple[Any, Any]:
        """The lowest and the highest point of a band in each column."""
        import numpy as np

        low, high = np.full(len(self.taken), np.inf), np.full(len(self.taken), -np.inf)
        for one in band:
            ring = widened(one.outline(), self.cloth.gap)
            for (ax, ay), (bx, by) in zip(ring, (*ring[1:], ring[0]), strict=True):
                for x, y in _cut_at_columns((ax - self.left, ay), (bx - self.left, by)):
                    for column in {floor((x - 1e-6) / _COLUMN), floor((x + 1e-6) / _COLUMN)}:
                        i = min(max(column, 0), len(low) - 1)
                        low[i], high[i] = min(low[i], y), max(high[i], y)
        return low, high

    def slide(self, band: Band) -> Band:
        """The band moved along the roll to where it comes to rest."""
        low, _ = self._profile(band)
        by = float((self.taken - low).max())
        return tuple(replace(one, at=(one.at[0], one.at[1] + by)) for one in band)

    def take(self, band: Sequence[Placement]) -> None:
        import numpy as np

        _, high = self._profile(band)
        self.taken = np.maximum(self.taken, high)
        self.top = max([self.top, *(Box.round(one.outline()).top for one in band)])

    def at_far_end(self, piece: LayPiece) -> Placement:
        """Where nothing lies farther along than it, at the place across that costs least."""
        box = Box.round(piece.outline)
        best: Placement | None = None
        for step in range(int((self.cloth.right - self.cloth.left - box.width) / 10.0) + 1):
            one = Placement(piece, Variant(False, 0.0), (self.cloth.left + 10.0 * step - box.left, -box.bottom))
            (slid,) = self.slide((one,))
            if best is None or slid.at[1] < best.at[1] - 1e-6:
                best = slid
        assert best is not None  # a block is never wider than the paper
        return replace(best, at=(best.at[0], max(best.at[1], self.top - box.top)))


def _cut_at_columns(a: XY, b: XY) -> list[XY]:
    """Both ends of a straight run, and where it goes from one column to the next."""
    (ax, ay), (bx, by) = a, b
    found = [a, b]
    if hypot(bx - ax, by - ay) > 0 and ax != bx:
        first, last = sorted((ax, bx))
        for k in range(ceil(first / _COLUMN), floor(last / _COLUMN) + 1):
            part = (k * _COLUMN - ax) / (bx - ax)
            found.append((k * _COLUMN, ay + part * (by - ay)))
    return found
