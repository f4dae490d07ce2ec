"""What has changed of a client from sitting to sitting, and what of it is odd. Millimetres; nothing is written.

How much is odd (common practice, no source): a length that hangs on bones differs by 15 mm from one taking to the next,
a girth by 5 % of it and at least 20 mm, and by 3 % more for each year that lies between. A child grows: 8 % a year more
are no surprise, in any measurement; to shrink is one.
"""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from typing import Final

from ..body.measurements import KINDS, kinds_of
from ..body.sanity import plausible
from ..units import Unit, show
from ..values import dataclass
from .people import Client, Sitting

BONE: Final = 15.0
GIRTH_SHARE: Final = 0.05
GIRTH_LEAST: Final = 20.0
A_YEAR: Final = 0.03
A_CHILDS_YEAR: Final = 0.08
LEAST_REACH: Final = 30.0
"""Of a picture of changes, mm: twice what bones differ by."""
_HARD: Final = ("head_girth",)
"""Girths over bone."""
_BARS: Final = "▁▂▃▄▅▆▇█"


@dataclass(frozen=True, slots=True)
class Series:
    """One measurement over time, as often as it was really taken: days and mm."""

    name: str
    days: tuple[str, ...]
    values: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Odd:
    """A measurement of a sitting that should be taken again, and why: `against` her last, or the bands."""

    name: str
    against: str
    words: str


def series_of(client: Client) -> tuple[Series, ...]:
    """All that was measured of her, in the order in which measurements are told."""
    found = []
    for name in KINDS:
        taken = [
            (sitting.day, sitting.lengths[name].mm)
            for sitting in client.sittings
            if name in sitting.lengths and sitting.lengths[name].day == sitting.day
        ]
        if not taken:  # it came into the book as one that was taken over
            taken = [(s.lengths[name].day, s.lengths[name].mm) for s in client.sittings if name in s.lengths][:1]
        if taken:
            found.append(Series(name, tuple(day for day, _ in taken), tuple(mm for _, mm in taken)))
    return tuple(found)


def usual_change(name: str, before: float, years: float, wearer: str) -> tuple[float, float]:
    """How much less and how much more is no surprise after so long, mm.

    >>> usual_change("waist_girth", 800.0, 0.0, "woman"), usual_change("arm_length", 580.0, 2.0, "woman")
    ((40.0, 40.0), (15.0, 15.0))
    >>> usual_change("stature", 1200.0, 1.0, "child")
    (15.0, 111.0)
    """
    soft = name.endswith("_girth") and name not in _HARD
    slack = max(GIRTH_LEAST, GIRTH_SHARE * before) if soft else BONE
    if wearer == "child":
        return slack, slack + A_CHILDS_YEAR * before * years
    if soft:
        slack += A_YEAR * before * years
    return slack, slack


def odd_in(sitting: Sitting, earlier: Sequence[Sitting], unit: Unit) -> tuple[Odd, ...]:
    """What is odd in a sitting: against the last time that each was taken `earlier`, then against the bands."""
    kinds = kinds_of(sitting.wearer)
    found = []
    for name, taken in sitting.lengths.items():
        last = next((s.lengths[name] for s in reversed(earlier) if name in s.lengths), None)
        if last is None or taken.day != sitting.day:
            continue
        less, more = usual_change(name, last.mm, _years(last.day, taken.day), sitting.wearer)
        change = taken.mm - last.mm
        if -less - 1e-6 <= change <= more + 1e-6:
            continue
        kind = kinds[name]
        found.append(
            Odd(
                name,
                "last",
                f"{kind.words} is {show(taken.mm, unit)}, and was {show(last.mm, unit)} on {last.day}: "
                f"{show(abs(change), unit)} {'more' if change > 0 else 'less'}. Take it again. {kind.how}",
            )
        )
    doubts = plausible(sitting.body, unit, sitting.wearer)
    return (*found, *(Odd(doubt.id, "bands", doubt.message) for doubt in doubts))


def _years(before: str, after: str) -> float:
    days = (datetime.date.fromisoformat(after) - datetime.date.fromisoformat(before)).days
    return max(0.0, days / 365.25)


def reach_of(values: Sequence[float]) -> tuple[float, float]:
    """From where on and how far a picture of them reaches, mm: never so little that the hand of whoever measures looks
    like a change.

    >>> reach_of([960.0, 990.0]), reach_of([580.0, 582.0])
    ((960.0, 30.0), (566.0, 30.0))
    """
    low, high = min(values), max(values)
    span = max(high - low, LEAST_REACH)
    return (low + high - span) / 2, span


def spark(values: Sequence[float]) -> str:
    """Bars as high as the values lie in their reach.

    >>> spark([960.0, 970.0, 990.0]), spark([960.0]), spark([580.0, 582.0, 580.0])
    ('▁▃█', '▄', '▄▄▄')
    """
    low, span = reach_of(values)
    return "".join(_BARS[min(len(_BARS) - 1, int((value - low) / span * (len(_BARS) - 1)))] for value in values)
