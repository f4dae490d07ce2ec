"""A size chart worked out from measured people.

The method, in words: one measurement leads (the bust girth; of children the stature); its sizes lie a fixed interval
apart. Every other
measurement is a straight line over the leading one and the stature, by least squares, read off at each size and at the
people's mean stature. A slope that cannot be told from none is not used. Formulas and limits: docs/charts.md.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Final, Literal

from ..errors import InputError, Where
from ..units import INCH, Unit, show
from ..values import dataclass, replace
from .charts import MOST_SIZES, SizeChart, written
from .measurements import KINDS, Wearer, kinds_of, range_words
from .people import People
from .sanity import plausible

LEADING: Final = ("bust_girth", "waist_girth", "hip_girth")  # the first that people have leads
CHILD_LEADING: Final = ("stature", *LEADING)
STEP: Final = 40.0  # mm (common practice, no source)
HEIGHT_STEP: Final = 60.0
HEIGHTS_THROUGH: Final = 920.0
"""Heights of children every 6 cm: 86, 92, 98 … (EN 13402-3, from memory; that 98 is of 3 years is in print)."""
LEAST_TO_FIT: Final = 10  # people for a line (common practice, no source)
LEAST_FOR_STATURE: Final = 20  # people for a second slope (common practice, no source)
LEAST_IN_SIZE: Final = 5  # people within half an interval, or the size is marked as extrapolated (no source)
FEW: Final = 50  # people; of fewer, a chart is told to be rough (common practice, no source)
TELLING: Final = 2.0  # slope ÷ standard error; below, a slope is not told from none at 1 in 20 (any textbook)
STRANGE: Final = 4.0  # standard deviations off the line of all others (common practice, no source)
LEAST_STEP: Final = 5.0  # mm
MOST_STEP: Final = 200.0
MOST_STRANGERS: Final = 20  # told one by one

Person = Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Trend:
    """A measurement as a straight line: `mean` + Σ `slopes[m]` × (m − `at[m]`), mm over mm.

    `covariance` is that of the slopes, `spread` the residual standard deviation in mm, `people` how many were measured.
    `held` are measurements whose slope could not be told from none and was left out.
    """

    name: str
    mean: float
    at: Mapping[str, float]
    slopes: Mapping[str, float]
    covariance: Mapping[tuple[str, str], float]
    spread: float
    people: int
    held: tuple[str, ...] = ()

    def value(self, person: Person) -> float:
        """What the line says of a person, in mm."""
        return self.mean + sum(slope * (person[name] - self.at[name]) for name, slope in self.slopes.items())

    def error(self, name: str) -> float:
        """The standard error of a slope."""
        return math.sqrt(self.covariance[name, name])

    def off(self, person: Person) -> float:
        """How many standard deviations a person, who is one of those measured, lies off the line of all the others.

        The residual over its own standard error with that person left out: any textbook of regression ("studentized").
        """
        d = {name: person[name] - self.at[name] for name in self.slopes}
        pull = sum(d[a] * d[b] * c for (a, b), c in self.covariance.items())
        leverage = 1 / self.people + (pull / self.spread**2 if self.spread > 0 else 0.0)
        left = person[self.name] - self.value(person)
        free = self.people - 1 - len(self.slopes)
        if free < 2 or self.spread == 0 or leverage > 1 - 1e-9:
            return 0.0
        others = (free * self.spread**2 - left**2 / (1 - leverage)) / (free - 1)
        return math.copysign(math.inf, left) if others <= 0 else left / math.sqrt(others * (1 - leverage))


def fit(name: str, over: Sequence[str], people: Sequence[Person]) -> Trend:
    """The line of least squares of `name` over at most two measurements, by those people who have all of them.

    Source: any textbook of statistics. ValueError for fewer than two people more than there are slopes. A measurement
    in which all are alike, or that follows from the other, gets no slope.
    """
    have = [person for person in people if name in person and all(other in person for other in over)]
    n = len(have)
    if n < len(over) + 2:
        raise ValueError(f"{n} people are too few for a line over {len(over)}")
    mean = math.fsum(person[name] for person in have) / n
    at = {other: math.fsum(person[other] for person in have) / n for other in over}
    moved = {other: [person[other] - at[other] for person in have] for other in over}
    y = [person[name] - mean for person in have]
    inverse = _inverse(moved)
    names = tuple(dict.fromkeys(a for a, _ in inverse))
    slopes = {a: sum(inverse[a, b] * _dot(moved[b], y) for b in names) for a in names}
    left = [v - sum(slopes[m] * moved[m][i] for m in names) for i, v in enumerate(y)]
    spread = math.sqrt(_dot(left, left) / (n - 1 - len(names)))
    covariance = {key: spread**2 * value for key, value in inverse.items()}
    return Trend(name, mean, {m: at[m] for m in names}, slopes, covariance, spread, n)


def _inverse(moved: Mapping[str, Sequence[float]]) -> dict[tuple[str, str], float]:
    """The inverse of the matrix of squares and products, without columns that say nothing new."""
    free = [name for name, column in moved.items() if _dot(column, column) > 1e-6 * len(column)]
    if len(free) == 2:
        a, b = free
        aa, ab, bb = _dot(moved[a], moved[a]), _dot(moved[a], moved[b]), _dot(moved[b], moved[b])
        det = aa * bb - ab * ab
        if det > 1e-9 * aa * bb:
            return {(a, a): bb / det, (a, b): -ab / det, (b, a): -ab / det, (b, b): aa / det}
    return {(a, a): 1 / _dot(moved[a], moved[a]) for a in free[:1]}


def trend(name: str, over: Sequence[str], people: Sequence[Person]) -> Trend:
    """As `fit`, but slopes that cannot be told from none are left out, the weakest first."""
    kept, held = list(over), list[str]()
    while True:
        found = fit(name, kept, people)
        weak = {m: abs(found.slopes[m]) / found.error(m) for m in found.slopes if found.error(m) > 0}
        dropped = min(weak, key=lambda m: weak[m], default=None)
        if dropped is None or weak[dropped] >= TELLING:
            return replace(found, held=tuple(held))
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
    """The rows of a chart with even intervals: each line read off at the middle size, rounded, then its rounded step.

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


def extrapolated(
    leading: str, names: Sequence[str], sizes: Sequence[float], step: float, people: Sequence[Person]
) -> tuple[str, ...]:
    """Sizes beyond the smallest and the largest near which `LEAST_IN_SIZE` people are, within half an interval."""
    have = [person[leading] for person in people if leading in person]
    full = [i for i, size in enumerate(sizes) if sum(abs(v - size) <= step / 2 for v in have) >= LEAST_IN_SIZE]
    return tuple(name for i, name in enumerate(names) if not full or not full[0] <= i <= full[-1])


# --------------------------------------------------------------------------------------------------------- proposing

Naming = Literal["measurement", "number"]


@dataclass(frozen=True, slots=True)
class Proposal:
    """A chart with the lines it rests on, and what a maker should know of it, in words."""

    chart: SizeChart
    trends: tuple[Trend, ...]
    notes: tuple[str, ...]

    def growth(self, line: Trend, by: str, unit: Unit) -> str:
        """How much a measurement grows from size to size in the chart, signed."""
        row, lead = self.chart.rows[line.name], self.chart.rows[by]
        mm = row[1] - row[0] if len(lead) > 1 else 0.0
        return f"{'-' if mm < 0 else '+'}{written(abs(mm), unit)} {unit}"


def leading(wearer: str) -> tuple[str, ...]:
    """What leads a chart for that `Wearer`, the first that there is."""
    return CHILD_LEADING if wearer == "child" else LEADING


def usual_step(by: str, wearer: str) -> float:
    """How far sizes lie apart in that measurement, mm, where nobody says it."""
    return HEIGHT_STEP if by == "stature" and wearer == "child" else STEP


def propose(
    people: People,
    *,
    by: str,
    step: float,
    unit: Unit,
    name: str,
    naming: Naming = "measurement",
    wearer: Wearer | Literal[""] = "",
) -> Proposal:
    """A chart from measured people, its sizes `step` mm apart in `by`, from the smallest of them to the largest.

    Sizes are multiples of the step; heights of children go through 92 cm.

    Raises InputError where there are too few, where the step does not suit, or where all are alike.
    """
    where = Where(people.file)
    if not LEAST_STEP <= step <= MOST_STEP:
        expected = range_words(LEAST_STEP, MOST_STEP, unit)
        raise InputError(f"a step of {show(step, unit)} makes no sizes", expected=expected, instead="Write --step 4cm")
    persons = [row.values for row in people.rows if by in row.values]
    words = kinds_of(wearer)[by].words
    if len(persons) < LEAST_TO_FIT:
        found = f"{len(persons)} people with a {words} are too few to draw lines through"
        raise InputError(found, where=where, expected=f"at least {LEAST_TO_FIT}", instead="Measure more people")
    low, high = min(person[by] for person in persons), max(person[by] for person in persons)
    if high - low < step:
        found = f"all have nearly the same {words}, {show(low, unit)} to {show(high, unit)}"
        raise InputError(found, where=where, expected=f"people further apart than a step of {show(step, unit)}")
    through = HEIGHTS_THROUGH if by == "stature" and wearer == "child" else 0.0
    first, last = math.ceil((low - through) / step - 0.5), math.floor((high - through) / step + 0.5)
    if last - first + 1 > MOST_SIZES:
        found = f"a step of {show(step, unit)} makes {last - first + 1} sizes"
        raise InputError(found, expected=f"at most {MOST_SIZES}", instead="Write a wider --step")
    values = tuple(round(through + i * step, 4) for i in range(first, last + 1))
    names = tuple(str(i + 1) for i in range(len(values)))
    if naming == "measurement":
        names = tuple(
            f"{value / {'in': INCH, 'cm': 10.0, 'mm': 1.0}[unit]:.2f}".rstrip("0").rstrip(".") for value in values
        )
    centre = {by: math.fsum(person[by] for person in persons) / len(persons)}
    tall = [person["stature"] for person in persons if "stature" in person]
    use_stature = by != "stature" and len(tall) >= LEAST_TO_FIT
    if use_stature:
        centre["stature"] = math.fsum(tall) / len(tall)
    trends, short = _trends(persons, by, use_stature, people.columns)
    rows = laid_out(by, values, trends, centre, unit)
    if use_stature:
        value_grain, _ = grain(unit)
        height = round(round(centre["stature"] / value_grain) * value_grain, 4)
        rows = {"stature": (height,) * len(values), **rows}
    beyond = extrapolated(by, names, values, step, persons)
    source = f"{len(persons)} people, by least squares over {words}{' and stature' if use_stature else ''}"
    chart = SizeChart(
        name, f"Proposed from {len(persons)} people", source, unit, names, rows, file=name, extrapolated=beyond,
        wearer=wearer,
    )  # fmt: skip
    return Proposal(chart, trends, (*_about(persons, short), *_strangers(people, trends, by, unit, wearer)))


def _trends(
    persons: Sequence[Person], by: str, use_stature: bool, columns: Sequence[str]
) -> tuple[tuple[Trend, ...], dict[str, int]]:
    """A line for every measurement that enough people have, and how many have each of the others."""
    found, short = [], {}
    for name in columns:
        if name in (by, "stature"):
            continue
        have = [person for person in persons if name in person]
        both = [person for person in have if "stature" in person]
        if len(have) < LEAST_TO_FIT:
            short[name] = len(have)
        elif use_stature and len(both) >= LEAST_FOR_STATURE and 2 * len(both) >= len(have):
            found.append(trend(name, (by, "stature"), both))
        else:
            found.append(trend(name, (by,), have))
    return tuple(found), short


def _about(persons: Sequence[Person], short: Mapping[str, int]) -> tuple[str, ...]:
    notes = []
    if len(persons) < FEW:
        notes.append(f"{len(persons)} people are few: take the chart as a rough one, and measure more ({FEW} or more).")
    notes += [
        f"{KINDS[name].words} is left out: {count} people have it, and a line needs {LEAST_TO_FIT}."
        for name, count in short.items()
    ]
    return tuple(notes)


def _strangers(people: People, trends: Sequence[Trend], by: str, unit: Unit, wearer: str) -> tuple[str, ...]:
    """People who differ much from what the others let expect; they are named by their line, and kept."""
    notes, kinds = [], kinds_of(wearer)
    for row in people.rows:
        person = row.values
        told = [
            f"{kinds[line.name].words} {show(person[line.name], unit)}, about {show(line.value(person), unit)} is usual"
            for line in trends
            if line.name in person and all(m in person for m in (by, *line.slopes)) and abs(line.off(person)) > STRANGE
        ]
        girths = {n: person[n] for n in leading(wearer) if n in person}
        told += [doubt.found.rstrip(".") for doubt in plausible(girths, unit, wearer)]
        if told:
            notes.append(f"line {row.line} is unusual, and kept: {'; '.join(told)}. Measure again.")
    if len(notes) > MOST_STRANGERS:
        return (*notes[:MOST_STRANGERS], f"{len(notes) - MOST_STRANGERS} more people are unusual.")
    return tuple(notes)
