"""Faults tried on garments for a standard figure: which have the places for one, and what it does there."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from ..body.charts import CHART_OF, shipped
from ..body.measurements import Measurements
from ..body.whom import wearer_of
from ..draft.garment import GARMENT_NAMES, Garment, find_garment
from ..draft.options import defaults
from ..errors import DraftError, GeometryError
from ..model.draft import Draft
from ..model.fitted import Ask
from ..units import Unit
from ..values import dataclass
from .drafts import drafted
from .fault import Fault

_TRIED: Final = (20.0, 12.0, 6.0)
"""So much is tried, mm, the first that the garment takes: enough to be seen in a picture."""


@dataclass(frozen=True, slots=True)
class Tried:
    """A garment in its usual style on a standard figure, without the fault and with it mended."""

    garment: str
    ask: Ask
    plain: Draft
    fitted: Draft


def tried_on(garment: Garment, fault: Fault, unit: Unit) -> Tried | None:
    """The fault mended on a garment; None where that lacks the places for it, or does not take so much."""
    wearer = wearer_of(garment.for_whom) or "woman"
    chart = shipped(CHART_OF[wearer])
    body = Measurements(chart.body(chart.sizes[len(chart.sizes) // 2]), wearer=wearer)
    style = defaults(garment.options, unit)
    plain = garment.drafted(body, style, unit)
    for ask in _asks(fault):
        try:
            return Tried(garment.name, ask, plain, drafted(garment, body, style, unit, (ask,)))
        except (DraftError, GeometryError):
            continue
    return None


def _asks(fault: Fault) -> Iterator[Ask]:
    """The amounts, at the first seam of those that may be named that there is."""
    amounts = dict.fromkeys(min(max(mm, fault.least.mm), fault.most.mm) for mm in _TRIED)
    for seam in fault.seams or ("",):
        for amount in amounts:
            yield Ask(fault.name, amount, seam=seam)


def tried(fault: Fault, unit: Unit, names: Sequence[str] = GARMENT_NAMES) -> tuple[Tried, ...]:
    """The garments that have the places for it, in the order of the register."""
    found = (tried_on(find_garment(name), fault, unit) for name in names)
    return tuple(one for one in found if one is not None)


def plainest(rows: Sequence[Tried]) -> Tried | None:
    """Of them the one with the fewest pieces, which shows it best."""
    return min(rows, key=lambda row: len(row.plain.pieces), default=None)
