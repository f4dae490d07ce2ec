"""Which sizes are cut together: an order split over lays of a longest table and so many plies (a cut-order plan).

Every lay is a set of garments that are cut side by side, and as many plies of it. An integer program (HiGHS, by way of
scipy) takes, from all sets that the table holds, those that make the order exactly with the least cloth, for each
number of lays: fewer lays are fewer set-ups, more lays waste less.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from math import ceil
from typing import Final

from ..errors import InputError
from ..units import Unit
from ..values import dataclass
from .words import tape_words

MOST_SETS: Final = 4_000
_SECONDS: Final = 10.0
"""For each number of lays; what is best by then is taken, and told."""
_LEAST_SECONDS: Final = 0.5
_MOST_LAYS: Final = 12


@dataclass(frozen=True, slots=True)
class PlannedLay:
    """So many garments of each size side by side, `length` mm long, in `plies`."""

    garments: tuple[tuple[str, int], ...]
    length: float
    plies: int

    @property
    def cloth(self) -> float:
        return self.length * self.plies

    def words(self) -> str:
        """`2 x 12, 1 x 14`."""
        return ", ".join(f"{count} x {size}" for size, count in self.garments)


@dataclass(frozen=True, slots=True)
class Plan:
    """An order in so many lays; `proved`: no split into as many lays takes less cloth (by the lengths given)."""

    lays: tuple[PlannedLay, ...]
    proved: bool

    @property
    def cloth(self) -> float:
        """mm of cloth in all plies."""
        return sum(lay.cloth for lay in self.lays)


def plans(
    order: Mapping[str, int],
    length: Callable[[Mapping[str, int]], float],
    *,
    table: float,
    plies: int,
    seconds: float = 120.0,
    unit: Unit = "cm",
) -> tuple[Plan, ...]:
    """The best plan for each number of lays, from the fewest on, as long as one more lay saves cloth and it is time.

    `length` gives that of a lay of so many garments of each size, mm; `table` is the longest that may be.
    Raises InputError where one garment alone is longer than the table.
    """
    wanted = {size: count for size, count in order.items() if count > 0}
    for size in wanted:
        alone = length({size: 1})
        if alone > table + 1e-6:
            raise InputError(
                f"a lay of one garment of size {size} is {tape_words(alone, unit)} long, and the table "
                f"{tape_words(table, unit)}",
                expected="a table that holds one garment",
                instead="Give a longer --table or a larger --cloth-width",
            )
    sets = list(_sets(wanted, length, table))
    columns = [(own, long, h) for own, long in sets for h in _plies(own, wanted, plies)]
    found: list[Plan] = []
    ends = time.monotonic() + seconds
    for count in range(1, _MOST_LAYS + 1):
        left = ends - time.monotonic()
        if found and left < _LEAST_SECONDS:
            break
        plan = _best(wanted, columns, count, min(_SECONDS, max(_LEAST_SECONDS, left)))
        if plan is None:
            continue
        if found and plan.cloth >= found[-1].cloth - 1.0:
            break
        found.append(plan)
    return tuple(found)


Own = tuple[tuple[str, int], ...]


def _sets(
    order: Mapping[str, int], length: Callable[[Mapping[str, int]], float], table: float
) -> Iterator[tuple[Own, float]]:
    """All sets of garments that the table holds, small ones first, not more than MOST_SETS."""
    sizes = list(order)
    layer: list[tuple[tuple[int, ...], int]] = [((0,) * len(sizes), 0)]
    given = 0
    while layer:
        following: list[tuple[tuple[int, ...], int]] = []
        for counts, first in layer:
            for i in range(first, len(sizes)):
                if counts[i] >= order[sizes[i]]:
                    continue
                more = (*counts[:i], counts[i] + 1, *counts[i + 1 :])
                own = tuple((size, n) for size, n in zip(sizes, more, strict=True) if n)
                long = length(dict(own))
                if long > table + 1e-6:
                    continue
                yield own, long
                given += 1
                if given >= MOST_SETS:
                    return
                following.append((more, i))
        layer = following


def _plies(own: Own, order: Mapping[str, int], most: int) -> list[int]:
    """The numbers of plies worth trying: all there can be, and those that leave a size's order a whole part."""
    limit = min(most, *(order[size] // count for size, count in own))
    if limit < 1:
        return []
    if limit <= 12:
        return list(range(1, limit + 1))
    good = {1, 2, limit}
    for size, count in own:
        for parts in range(1, 9):
            good |= {order[size] // (count * parts), ceil(order[size] / (count * parts)), order[size] % most or most}
    return sorted(h for h in good if 1 <= h <= limit)


def _best(
    order: Mapping[str, int], columns: Sequence[tuple[Own, float, int]], lays: int, seconds: float
) -> Plan | None:
    import numpy as np
    from scipy.optimize import Bounds, LinearConstraint, milp
    from scipy.sparse import csr_matrix

    sizes = list(order)
    row = {size: i for i, size in enumerate(sizes)}
    values, rows, cols = [], [], []
    for j, (own, _, plies) in enumerate(columns):
        for size, count in own:
            values.append(float(count * plies))
            rows.append(row[size])
            cols.append(j)
        values.append(1.0)
        rows.append(len(sizes))
        cols.append(j)
    matrix = csr_matrix((values, (rows, cols)), shape=(len(sizes) + 1, len(columns)))
    demand = [float(order[size]) for size in sizes]
    answer = milp(
        np.array([long * plies for _, long, plies in columns]),
        constraints=LinearConstraint(matrix, [*demand, 0.0], [*demand, float(lays)]),
        integrality=np.ones(len(columns)),
        bounds=Bounds(0, lays),
        options={"time_limit": seconds},
    )
    if answer.x is None:
        return None
    chosen: list[PlannedLay] = []
    for (own, long, plies), times in zip(columns, answer.x, strict=True):
        chosen += [PlannedLay(own, long, plies)] * round(times)
    return Plan(tuple(sorted(chosen, key=lambda lay: (-lay.plies, lay.garments))), answer.status == 0)
