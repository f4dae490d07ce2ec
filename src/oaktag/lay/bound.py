"""How short a lay could be at best: a length that no lay of these pieces on this cloth goes below.

Cut every piece into slices across the cloth and let each slice lie wherever it likes along it. Any true lay is then an
arrangement of slices in which those side by side, at every level, have room across the cloth, and in which at most one
of those that lie side by side is at a fold. The shortest arrangement of slices is a linear program (cutting stock, by
column generation; Gilmore and Gomory 1961), and no lay can be shorter. Slices are taken at their narrowest and rounded
down to a step, so what is said is safe; with a gap, pieces count with half of it all round, and so does the cloth.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import floor
from typing import Any, Final

from ..geometry.polygon import Box
from ..values import dataclass
from .cloth import Cloth
from .pieces import LayPiece

_SLICE: Final = 10.0
"""Thickness of a slice along the cloth, mm."""
_STEPS: Final = 200
"""The cloth's width in whole steps."""
_ROUNDS: Final = 400
_NEAR: Final = 1e-7


@dataclass(frozen=True, slots=True)
class _Slice:
    """Of that many steps across, in all `long` mm of it; at the fold or not."""

    steps: int
    fold: bool
    long: float


def least_length(pieces: Sequence[LayPiece], cloth: Cloth) -> float:
    """A length, with both ends' allowance, that no lay of the pieces in one stretch goes below, mm.

    Pieces lie along their grain: with a tolerance of the grain they have other slices, and this says nothing.
    """
    if not pieces:
        return 0.0
    across = cloth.right - cloth.left + cloth.gap
    step = across / _STEPS
    slices = _slices(pieces, cloth.gap, step)
    folds = 2 if cloth.spread == "tubular" else 1
    return _shortest(slices, folds) - cloth.gap + 2 * cloth.ends


def least_by_area(pieces: Sequence[LayPiece], cloth: Cloth) -> float:
    """A length that no lay of the pieces in one stretch goes below however they are turned, by their area alone, mm."""
    import shapely

    if not pieces:
        return 0.0
    shapes: Any = [shapely.Polygon(piece.outline) for piece in pieces]
    if cloth.gap:
        shapes = shapely.buffer(shapes, cloth.gap / 2 - 0.01, quad_segs=8)
    across = cloth.right - cloth.left + cloth.gap
    return float(shapely.area(shapes).sum()) / across - cloth.gap + 2 * cloth.ends


def _slices(pieces: Sequence[LayPiece], gap: float, step: float) -> list[_Slice]:
    import shapely

    found: dict[tuple[int, bool], float] = {}
    counted: dict[tuple[tuple[tuple[float, float], ...], bool], dict[int, float]] = {}
    for piece in pieces:
        key = piece.outline, piece.on_fold
        if key not in counted:
            shape: Any = shapely.Polygon(piece.outline)
            if gap:
                shape = shape.buffer(gap / 2 - 0.01, quad_segs=8)
            if piece.on_fold:
                shape = shape.intersection(shapely.box(0.0, -1e7, 1e7, 1e7))
            counted[key] = _slices_of(shape, step)
        for steps, long in counted[key].items():
            found[steps, piece.on_fold] = found.get((steps, piece.on_fold), 0.0) + long
    return [_Slice(steps, fold, long) for (steps, fold), long in sorted(found.items())]


def _slices_of(shape: Any, step: float) -> dict[int, float]:
    """Steps across, rounded down from the narrowest in the slice, and how long along in all."""
    import shapely

    box = Box(*shape.bounds)
    levels = [box.bottom]
    while levels[-1] + _SLICE < box.top:
        levels.append(levels[-1] + _SLICE)
    levels.append(box.top)
    ys = sorted({*levels, *(y for _, y in shape.exterior.coords)})
    lines = [shapely.LineString([(box.left - 1, y), (box.right + 1, y)]) for y in ys]
    widths = [float(w) for w in shapely.length(shapely.intersection(shape, lines))]
    # between two neighbouring levels without a corner the width runs straight, but just beside a level edge may jump
    found: dict[int, float] = {}
    for (a, wa), (b, wb) in zip(zip(ys, widths, strict=True), zip(ys[1:], widths[1:], strict=True), strict=False):
        middle = shapely.LineString([(box.left - 1, (a + b) / 2), (box.right + 1, (a + b) / 2)])
        halfway = float(shape.intersection(middle).length)
        least = min(wa, wb, halfway) if b - a > 1e-6 else halfway
        steps = max(0, floor(least / step - _NEAR))
        found[steps] = found.get(steps, 0.0) + (b - a)
    return found


def _shortest(slices: Sequence[_Slice], folds: int) -> float:
    """The linear program: so many mm of every pattern of slices side by side that all slices are used up."""
    import numpy as np
    from scipy.optimize import linprog

    own = [s for s in slices if s.long > 0]
    count = len(own)
    need = np.array([s.long for s in own])
    columns = [np.eye(count)[i] * max(1, _fits(own[i], folds)) for i in range(count)]
    best = 0.0
    for _ in range(_ROUNDS):
        answer = linprog(np.ones(len(columns)), A_ub=-np.array(columns).T, b_ub=-need, bounds=(0, None), method="highs")
        prices = -np.asarray(answer.ineqlin.marginals)
        column, worth = _dearest(own, prices, folds)
        best = max(best, float(answer.fun) / max(1.0, worth))  # Farley's bound: right at every round
        if worth <= 1.0 + 1e-6:
            break
        columns.append(column)
    return best


def _fits(one: _Slice, folds: int) -> int:
    most = _STEPS // one.steps if one.steps else 50
    return min(most, folds) if one.fold else most


def _dearest(own: Sequence[_Slice], prices: Any, folds: int) -> tuple[Any, float]:
    """The pattern across the cloth that is worth most: a knapsack of the steps, with at most `folds` at a fold."""
    import numpy as np

    count = len(own)
    free = np.zeros(count)
    total = 0.0
    for i, one in enumerate(own):
        if one.steps == 0 and prices[i] > 0:  # narrower than a step: as many as anyone could want
            free[i] = 50
            total += 50 * prices[i]
    plain = sorted(
        {
            one.steps: i for i, one in sorted(enumerate(own), key=lambda e: prices[e[0]]) if not one.fold and one.steps
        }.items()
    )
    at_fold = {one.steps: i for i, one in sorted(enumerate(own), key=lambda e: prices[e[0]]) if one.fold and one.steps}
    worth = np.zeros(_STEPS + 1)
    took = np.full(_STEPS + 1, -1)
    for room in range(1, _STEPS + 1):
        worth[room], took[room] = worth[room - 1], -1
        for steps, i in plain:
            if steps > room:
                break
            if worth[room - steps] + prices[i] > worth[room] + 1e-12:
                worth[room], took[room] = worth[room - steps] + prices[i], i
    best = float(worth[_STEPS])
    pair: tuple[int, ...] = ()
    singles: list[tuple[int, ...]] = [(i,) for i in at_fold.values()]
    if folds == 2:
        singles += [(i, j) for i in at_fold.values() for j in at_fold.values() if i <= j]
    for held in singles:
        used = sum(own[i].steps for i in held)
        if used <= _STEPS:
            value = float(sum(prices[i] for i in held) + worth[_STEPS - used])
            if value > best + 1e-12:
                best, pair = value, held
    column = free.copy()
    room = _STEPS - sum(own[i].steps for i in pair)
    for i in pair:
        column[i] += 1
    while room > 0:
        i = int(took[room])
        if i < 0:
            room -= 1
        else:
            column[i] += 1
            room -= own[i].steps
    return column, total + best
