"""Whom a size chart serves: every person goes to the nearest size, and is served if no measurement is too far off it.

Nearest is meant in the measurement that leads (the bust girth; of children the stature); there a person is served up to
half way to the next size, and beyond the last sizes by half their interval. In each of the others (bust, waist and hip
girth) by a tolerance: 4 cm unless another is asked for, one interval of a 4 cm chart, about what a dress with little
ease can be taken in or let out (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise
from typing import Final

from ..errors import InputError, Where
from ..units import Unit, show
from ..values import dataclass
from .charts import SizeChart
from .measurements import KINDS
from .people import People
from .proposed import leading

JUDGED: Final = ("bust_girth", "waist_girth", "hip_girth")
WITHIN: Final = 40.0
EVEN: Final = 1e-6


@dataclass(frozen=True, slots=True)
class Window:
    """What a size serves: from `low` to `high`, mm, of each judged measurement."""

    size: str
    low: Mapping[str, float]
    high: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Placed:
    """A person with the nearest size, and the measurements that are too far off it: -1 too small, 1 too large."""

    line: int
    values: Mapping[str, float]
    size: str
    misses: Mapping[str, int]


@dataclass(frozen=True, slots=True)
class Coverage:
    """`judged` are the measurements, the leading one first. `not_judged` counts, by measurement, people who lack it."""

    judged: tuple[str, ...]
    windows: tuple[Window, ...]
    placed: tuple[Placed, ...]
    not_judged: Mapping[str, int]
    within: Mapping[str, float]
    """Tolerances, mm; the leading measurement has none where it reaches half way to the next size."""
    dropped: tuple[str, ...]
    """Measurements that should be judged, but that the chart or all of the people lack."""
    wearer: str = ""
    """Whose chart it is."""

    @property
    def served(self) -> int:
        return sum(not person.misses for person in self.placed)

    def of_size(self, size: str) -> tuple[int, int]:
        """How many are nearest to a size, and how many of them it serves."""
        near = [person for person in self.placed if person.size == size]
        return len(near), sum(not person.misses for person in near)

    def missed(self, name: str) -> tuple[int, int]:
        """How many are too small, and too large, in a measurement."""
        ways = [person.misses.get(name, 0) for person in self.placed]
        return ways.count(-1), ways.count(1)

    def tolerances(self, unit: Unit) -> dict[str, str]:
        """Of every judged measurement, in words."""
        return {
            name: f"± {show(self.within[name], unit)}" if name in self.within else "half way to the next size"
            for name in self.judged
        }

    def missed_only(self, name: str) -> int:
        """How many would be served but for this measurement."""
        return sum(set(person.misses) == {name} for person in self.placed)


def share(part: int, whole: int) -> str:
    """`68 %`; of nobody, `-`.

    >>> share(2, 3), share(0, 0)
    ('67 %', '-')
    """
    return f"{100 * part / whole:.0f} %" if whole else "-"


def cover(
    chart: SizeChart, people: People, *, by: str = "", within: Mapping[str, float] | None = None, others: float = WITHIN
) -> Coverage:
    """Whom the chart serves.

    `within` are tolerances in mm by measurement (more may be named than are judged as a rule), `others` that of waist
    and hip girth where it names none.

    Raises InputError if the leading measurement is missing in either, or if nobody can be judged.
    """
    asked = dict(within or {})
    by = by or next((name for name in leading(chart.wearer) if name in chart.rows), next(iter(chart.rows)))
    had = {name for row in people.rows for name in row.values}
    for place, there in ((chart.file or chart.name, set(chart.rows)), (people.file, had)):
        for name in (by, *asked):
            if name not in there:
                found = f"{KINDS[name].words} is to be judged, and is not there"
                raise InputError(found, where=Where(place), expected=f"a line or column {name}")
    wanted = tuple(dict.fromkeys((by, *(name for name in JUDGED if name != by), *asked)))
    judged = tuple(name for name in wanted if name in chart.rows and name in had)
    tolerance = {name: asked.get(name, others) for name in judged if name != by or name in asked}
    windows = _windows(chart, by, judged, tolerance)
    placed, lacking = [], dict.fromkeys(judged, 0)
    for row in people.rows:
        lacks = [name for name in judged if name not in row.values]
        for name in lacks:
            lacking[name] += 1
        if not lacks:
            window = _nearest(chart, by, windows, row.values[by])
            placed.append(Placed(row.line, row.values, window.size, _misses(window, row.values, judged)))
    if not placed:
        names = ", ".join(judged)
        raise InputError("nobody has all that is judged", where=Where(people.file), expected=f"people with {names}")
    return Coverage(
        judged,
        windows,
        tuple(placed),
        {name: count for name, count in lacking.items() if count},
        tolerance,
        tuple(name for name in wanted if name not in judged),
        chart.wearer,
    )


def _windows(chart: SizeChart, by: str, judged: Sequence[str], tolerance: Mapping[str, float]) -> tuple[Window, ...]:
    """In the chart's order. The leading measurement reaches half way to its neighbours, unless a tolerance is given."""
    leading = sorted(set(chart.rows[by]))
    gaps = [b - a for a, b in pairwise(leading)] or [WITHIN]
    below = dict(zip(leading, [gaps[0], *gaps], strict=False))
    above = dict(zip(leading, [*gaps, gaps[-1]] if len(leading) > 1 else gaps, strict=False))
    windows = []
    for at, size in enumerate(chart.sizes):
        value = chart.rows[by][at]
        low = {name: chart.rows[name][at] - tolerance.get(name, below[value] / 2) for name in judged}
        high = {name: chart.rows[name][at] + tolerance.get(name, above[value] / 2) for name in judged}
        windows.append(Window(size, low, high))
    return tuple(windows)


def _nearest(chart: SizeChart, by: str, windows: Sequence[Window], value: float) -> Window:
    """Of two that are equally near, the first."""
    at = min(range(len(windows)), key=lambda i: abs(chart.rows[by][i] - value))
    return windows[at]


def _misses(window: Window, person: Mapping[str, float], judged: Sequence[str]) -> dict[str, int]:
    return {
        name: -1 if person[name] < window.low[name] else 1
        for name in judged
        if not window.low[name] - EVEN <= person[name] <= window.high[name] + EVEN
    }
