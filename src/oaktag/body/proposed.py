"""A size chart worked out from measured people.

The method, in words: one measurement leads (the bust girth); its sizes lie a fixed interval apart. Every other
measurement is a straight line over the leading one and the stature, by least squares, read off at each size and at the
people's mean stature. A slope that cannot be told from none is not used. docs/charts.md has the formulas and the limits.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from ..units import INCH, Unit
from .measurements import KINDS

LEAST_TO_FIT: Final = 10  # people for a line (common practice, no source)
LEAST_FOR_STATURE: Final = 20  # people for a second slope (common practice, no source)
LEAST_IN_SIZE: Final = (
    5  # people within half an interval, or the size is marked as extrapolated (common practice, no source)
)
TELLING: Final = (
    2.0  # slope ÷ its standard error; below, a slope is not told from none at about 1 in 20 (statistics, any textbook)
)

Person = Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Trend:
    """A measurement as a straight line: `mean` + Σ `slopes[m]` × (m − `at[m]`), mm over mm.

    `errors` are the standard errors of the slopes, `spread` the residual standard deviation in mm, `people` how many
    were measured. `held` are measurements whose slope could not be told from none and was left out.
    """

    name: str
    mean: float
    at: Mapping[str, float]
    slopes: Mapping[str, float]
    errors: Mapping[str, float]
    spread: float
    people: int
    held: tuple[str, ...] = ()

    def value(self, person: Person) -> float:
        """What the line says of a person, in mm."""
        return self.mean + sum(slope * (person[name] - self.at[name]) for name, slope in self.slopes.items())


def fit(name: str, over: Sequence[str], people: Sequence[Person]) -> Trend:
    """The line of least squares of `name` over at most two measurements, by those people who have all of them.

    Source: least squares and the standard errors of slopes, any textbook of statistics. ValueError for fewer than two
    people more than there are slopes; a measurement in which all are alike gets no slope.
    """
    have = [person for person in people if name in person and all(other in person for other in over)]
    n = len(have)
    if n < len(over) + 2:
        raise ValueError(f"{n} people are too few for a line over {len(over)}")
    mean = math.fsum(person[name] for person in have) / n
    at = {other: math.fsum(person[other] for person in have) / n for other in over}
    moved = {other: [person[other] - at[other] for person in have] for other in over}
    y = [person[name] - mean for person in have]
    free = [other for other in over if _dot(moved[other], moved[other]) > 1e-6 * n]
    if len(free) == 2:
        a, b = free
        saa, sab, sbb = _dot(moved[a], moved[a]), _dot(moved[a], moved[b]), _dot(moved[b], moved[b])
        det = saa * sbb - sab * sab
        if det <= 1e-9 * saa * sbb:  # the one follows from the other
            free = [a]
        else:
            ay, by = _dot(moved[a], y), _dot(moved[b], y)
            slopes = {a: (sbb * ay - sab * by) / det, b: (saa * by - sab * ay) / det}
            inverse = {a: sbb / det, b: saa / det}
    if len(free) == 1:
        (a,) = free
        saa = _dot(moved[a], moved[a])
        slopes, inverse = {a: _dot(moved[a], y) / saa}, {a: 1 / saa}
    elif not free:
        slopes, inverse = {}, {}
    left = [v - sum(slopes[m] * moved[m][i] for m in free) for i, v in enumerate(y)]
    spread = math.sqrt(_dot(left, left) / (n - 1 - len(free)))
    errors = {m: spread * math.sqrt(inverse[m]) for m in free}
    return Trend(name, mean, {m: at[m] for m in free}, slopes, errors, spread, n)


def trend(name: str, over: Sequence[str], people: Sequence[Person]) -> Trend:
    """As `fit`, but slopes that cannot be told from none are left out, the weakest first."""
    kept, held = list(over), []
    while True:
        found = fit(name, kept, people)
        weak = {m: abs(found.slopes[m]) / found.errors[m] for m in found.slopes if found.errors[m] > 0}
        dropped = min(weak, key=lambda m: weak[m], default=None)
        if dropped is None or weak[dropped] >= TELLING:
            return Trend(
                found.name, found.mean, found.at, found.slopes, found.errors, found.spread, found.people, tuple(held)
            )
        kept.remove(dropped)
        held.append(dropped)


def _dot(a: Sequence[float], b: Sequence[float]) -> float:
    return math.fsum(x * y for x, y in zip(a, b, strict=True))


def grain(unit: Unit) -> tuple[float, float]:
    """To what a chart's values and its intervals are rounded, mm: 1/8 and 1/16 in, or 1 and 0.5 mm."""
    return (INCH / 8, INCH / 16) if unit == "in" else (1.0, 0.5)


def laid_out(
    leading: str,
    sizes: Sequence[float],
    trends: Sequence[Trend],
    centre: Person,
    unit: Unit,
) -> dict[str, tuple[float, ...]]:
    """The rows of a chart with even intervals: each line read off at the middle size and rounded, then its rounded step.

    `sizes` are the leading measurement, an interval apart; `centre` holds the means of what the lines lie over.
    """
    value_grain, step_grain = grain(unit)
    step = sizes[1] - sizes[0] if len(sizes) > 1 else 0.0
    middle = min(range(len(sizes)), key=lambda i: abs(sizes[i] - centre[leading]))
    rows = {leading: tuple(sizes)}
    for line in trends:
        value = round(line.value({**centre, leading: sizes[middle]}) / value_grain) * value_grain
        rise = round(line.slopes.get(leading, 0.0) * step / step_grain) * step_grain
        rows[line.name] = tuple(round(value + rise * (i - middle), 4) for i in range(len(sizes)))
    return {name: rows[name] for name in KINDS if name in rows}


def thin_sizes(
    leading: str, names: Sequence[str], sizes: Sequence[float], step: float, people: Sequence[Person]
) -> tuple[str, ...]:
    """Sizes with fewer than `LEAST_IN_SIZE` people within half an interval."""
    have = [person[leading] for person in people if leading in person]
    return tuple(
        name
        for name, size in zip(names, sizes, strict=True)
        if sum(abs(value - size) <= step / 2 for value in have) < LEAST_IN_SIZE
    )
