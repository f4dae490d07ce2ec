"""Faults tried on garments for a standard figure: which have the places for one, and what it does there."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final

from ..body.charts import CHART_OF, shipped
from ..body.measurements import Measurements
from ..body.whom import wearer_of
from ..draft.garment import GARMENT_NAMES, Garment, Style, find_garment
from ..draft.options import defaults
from ..errors import DraftError, GeometryError
from ..model.draft import Draft
from ..model.fitted import Ask
from ..model.length import inch
from ..progress import Told, silent
from ..units import Unit
from ..values import dataclass, replace
from .drafts import drafted
from .fault import Fault
from .in_words import usual_side

_LEAST: Final = 3.0
"""A garment has a fault that takes so much of it, mm."""
_SHOWN: Final = (20.0, 12.0, 5.0)
"""So much is shown, mm, the first that the garment takes: enough to be seen in a picture."""

_LONGER: Final = inch(1.5).mm
"""By so much a standard figure is longer from the shoulder to the waist in front, over the bust, than at the back
(common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Stand:
    """A garment in its usual style on a standard figure, drafted once."""

    garment: Garment
    body: Measurements
    style: Style
    unit: Unit
    plain: Draft

    @classmethod
    def for_garment(cls, garment: Garment, unit: Unit) -> Stand:
        wearer = wearer_of(garment.for_whom)
        chart = shipped(CHART_OF[wearer])
        taken = dict(chart.body(chart.sizes[len(chart.sizes) // 2]))
        if wearer == "woman":  # without it no bust dart is drafted
            taken.setdefault("front_waist_length", taken["back_waist_length"] + _LONGER)
        body = Measurements(taken, wearer=wearer)
        style = defaults(garment.options, unit)
        return cls(garment, body, style, unit, garment.drafted(body, style, unit))

    def mended(self, ask: Ask) -> Draft | None:
        """With that in it; None where it lacks the places, or does not take so much."""
        try:
            return drafted(self.garment, self.body, self.style, self.unit, (ask,), self.plain)
        except (DraftError, GeometryError):
            return None


@dataclass(frozen=True, slots=True)
class Tried:
    """A garment that has a fault: a little of it put in, mm."""

    stand: Stand
    ask: Ask
    fitted: Draft

    @property
    def garment(self) -> str:
        return self.stand.garment.name

    @property
    def plain(self) -> Draft:
        return self.stand.plain


def tried(
    faults: Sequence[Fault], unit: Unit, garments: Sequence[Garment] = (), told: Told = silent
) -> Mapping[str, tuple[Tried, ...]]:
    """By the name of a fault the garments that have the places for it, in the order of the register; of all that ship,
    or of those."""
    found: dict[str, list[Tried]] = {fault.name: [] for fault in faults}
    own = garments or tuple(map(find_garment, GARMENT_NAMES))
    for k, garment in enumerate(own, 1):
        told(f"trying {garment.name}", k, len(own))
        stand = Stand.for_garment(garment, unit)
        for fault in faults:
            for seam in fault.seams or ("",):
                ask = Ask(fault.name, _within(fault, _LEAST), usual_side(fault), seam)
                draft = stand.mended(ask)
                if draft is not None:
                    found[fault.name].append(Tried(stand, ask, draft))
                    break
    return {name: tuple(rows) for name, rows in found.items()}


def shown(rows: Sequence[Tried], fault: Fault) -> Tried | None:
    """Of them the one that shows it best, with as much of it as can be seen: with darts, and else of the fewest
    pieces."""

    def order(row: Tried) -> tuple[bool, int]:
        return not any(piece.darts for piece in row.plain.pieces), len(row.plain.pieces)

    best = min(rows, key=order, default=None)
    if best is None:
        return None
    for mm in _SHOWN:
        ask = replace(best.ask, amount=_within(fault, mm))
        draft = best.stand.mended(ask)
        if draft is not None:
            return replace(best, ask=ask, fitted=draft)
    return best


def _within(fault: Fault, mm: float) -> float:
    return min(max(mm, fault.least.mm), fault.most.mm)
