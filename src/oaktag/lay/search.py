"""A lay within a time: at once one that is placed in order, then better ones until the time is over.

What is tried: other orders (a piece moved or two exchanged, kept if it is no worse), for as long as nothing else can be
done; and, where no flaw and no repeat binds, packing by a library for the most of the time.
"""

from __future__ import annotations

import random
import time
from collections.abc import Callable, Iterator, Sequence
from typing import Final

from ..errors import InputError
from ..geometry.polygon import Box
from ..values import dataclass, replace
from .cloth import Cloth
from .drop import Placer
from .estimate import MANY, rough, settled
from .judge import judged
from .pack import LEAST_SECONDS, packed, strip_of
from .pieces import LayPiece, Pieces
from .placed import Lay, Placement, Stretch, stretch_of

_ORDERING: Final = 0.15
"""The part of the time in which orders are tried before the packing begins."""
_LONGEST_ORDERING: Final = 5.0
_SHORT: Final = 0.6
"""The part of the packing time that goes into finding how to stack what lies on a fold."""
_LONG: Final = 500.0
"""Pieces longer than this lie together on a fold, shorter ones behind them, mm."""
_WORSE: Final = 0.01
"""How much longer a lay may be, as a part, and still be gone on from, at the start of the search."""

STOPPED: Final = "stopped after"
"""How a lay was found that Ctrl-C ended."""

Told = Callable[[float, Lay], None]


@dataclass(slots=True)
class _Clock:
    start: float
    stopped: bool = False
    """Whether Ctrl-C ended it."""

    def gone(self) -> float:
        return time.monotonic() - self.start


def lay_of(
    material: str,
    pieces: Pieces,
    cloth: Cloth,
    seconds: float,
    *,
    seed: int = 1,
    workers: int | None = None,
    told: Told | None = None,
) -> Lay:
    """The shortest lay that was found; `told` hears of each better one. Ctrl-C gives the best so far.

    Raises InputError for a piece that is wider than the cloth. Every lay that is handed on was judged.
    """
    clock = _Clock(time.monotonic())
    share = len(pieces.spread) / max(1, pieces.count)
    spread = _stretch(pieces.spread, cloth, clock, seconds * share, seed, workers, material, told)
    stretches = [spread] if pieces.spread else []
    if pieces.opened:
        until = clock.gone() if clock.stopped else seconds
        stretches.append(_stretch(pieces.opened, cloth.opened(), clock, until, seed, workers, material, None))
    took = f"{min(clock.gone(), seconds):.0f} s"
    return Lay(material, tuple(stretches), f"{STOPPED} {took}" if clock.stopped else f"in {took}")


def _stretch(
    pieces: Sequence[LayPiece],
    cloth: Cloth,
    clock: _Clock,
    until: float,
    seed: int,
    workers: int | None,
    material: str,
    told: Told | None,
) -> Stretch:
    if not pieces:
        return Stretch(cloth, (), 0.0)
    best = [stretch_of(cloth, ())]

    def better(placements: tuple[Placement, ...]) -> bool:
        found = stretch_of(cloth, placements)
        if best[0].placements and found.length >= best[0].length - 1e-6:
            return False
        lay = Lay(material, (found,))
        if not judged(lay, Pieces(tuple(pieces))).holds:
            return False
        best[0] = found
        if told is not None:
            told(clock.gone(), lay)
        return True

    placer = Placer(cloth)
    order = sorted(pieces, key=lambda piece: (not piece.on_fold, -Box.round(piece.outline).height, piece.key))
    placements, length = placer.place(order)
    if not better(placements):
        problems = judged(Lay(material, (stretch_of(cloth, placements),)), Pieces(tuple(pieces))).problems
        raise InputError(f"the {material} cannot be laid: {problems[0] if problems else 'nothing is to be placed'}")
    if len(pieces) == 1:
        return best[0]
    try:
        can_pack = not cloth.flaws and not _bound(cloth, pieces)
        gridded: tuple[Placement, ...] = ()
        along = all(variant.turn % 180.0 != 90.0 for piece in pieces for variant in piece.variants)
        if can_pack and along and cloth.spread != "tubular" and len(pieces) <= MANY:  # the grid knows half turns alone
            gridded = settled(rough(pieces, cloth), cloth)
        packs = can_pack and until - clock.gone() > LEAST_SECONDS + 1.0
        ordering = until - clock.gone()
        if packs:  # what lies on a fold, and which side up, is settled by then
            ordering = min(_ORDERING * ordering, _LONGEST_ORDERING) if cloth.layers == 2 else 0.0
        _try_orders(placer, order, length, clock, clock.gone() + ordering, seed, better)
        starts = [best[0].placements, *([gridded] if gridded and cloth.layers == 2 else [])]
        if gridded:
            better(gridded)
        if packs and until - clock.gone() > LEAST_SECONDS:
            _pack(cloth, starts, clock, until, workers, seed, better)
    except KeyboardInterrupt:
        clock.stopped = True
    return best[0]


def _pack(
    cloth: Cloth,
    starts: list[tuple[Placement, ...]],
    clock: _Clock,
    until: float,
    workers: int | None,
    seed: int,
    better: Callable[[tuple[Placement, ...]], bool],
) -> None:
    """By the library for the rest of the time. On a fold it keeps the order there and which side is up: so several
    starts are tried for a while each, as many as there is time for, then the best."""
    if cloth.layers == 2:
        starts = [*starts, *_stacks(starts[0])]
    trying = _SHORT * (until - clock.gone())
    starts = starts[: max(1, int(trying / LEAST_SECONDS))]
    if len(starts) > 1:
        short = trying / len(starts)
        ends: list[tuple[float, int]] = []
        for number, start in enumerate(starts):
            found = packed(strip_of(cloth, start), cloth, short, workers=workers, seed=seed + number, on_better=better)
            if found is not None:
                ends.append((stretch_of(cloth, found).length, number))
        if ends:
            starts = [starts[min(ends)[1]]]
    packed(strip_of(cloth, starts[0]), cloth, until - clock.gone(), workers=workers, seed=seed, on_better=better)


def _stacks(placements: Sequence[Placement]) -> Iterator[tuple[Placement, ...]]:
    """Other orders along the fold: small or large first, all one way up, the other pieces mirrored."""
    folded = [p for p in placements if p.piece.on_fold]
    rest = [p for p in placements if not p.piece.on_fold]
    for way in (1.0, -1.0):
        stack: list[Placement] = []
        y = 0.0
        by_size = sorted(
            folded, key=lambda p: (Box.round(p.piece.outline).height < _LONG, way * p.piece.area, p.piece.key)
        )
        for placed in by_size:
            variant = placed.piece.variants[0]
            box = Box.round(placed.piece.placed(variant, (0.0, 0.0)))
            stack.append(Placement(placed.piece, variant, (placed.at[0], y - box.bottom)))
            y += box.height
        yield (*stack, *(replace(p, variant=replace(p.variant, mirrored=_may_mirror(p))) for p in rest))


def _may_mirror(placed: Placement) -> bool:
    return any(variant.mirrored for variant in placed.piece.variants)


def _bound(cloth: Cloth, pieces: Sequence[LayPiece]) -> bool:
    return cloth.matched and any(piece.matches for piece in pieces)


def _try_orders(
    placer: Placer,
    order: Sequence[LayPiece],
    length: float,
    clock: _Clock,
    until: float,
    seed: int,
    better: Callable[[tuple[Placement, ...]], bool],
) -> None:
    """Moves one piece, or exchanges two, again and again; a little worse is gone on from, less so towards the end."""
    dice = random.Random(seed)
    current, now, least = list(order), length, length
    begun = clock.gone()
    while (gone := clock.gone()) < until:
        tried = list(current)
        i, j = dice.randrange(len(tried)), dice.randrange(len(tried))
        if dice.random() < 0.5:
            tried[i], tried[j] = tried[j], tried[i]
        else:
            tried.insert(j, tried.pop(i))
        placements, found = placer.place(tried)
        worse = _WORSE * max(0.0, 1.0 - (gone - begun) / max(1e-9, until - begun))
        if found <= now * (1.0 + worse * dice.random()):
            current, now = tried, found
        if found < least - 1e-6:
            least = found
            better(placements)
