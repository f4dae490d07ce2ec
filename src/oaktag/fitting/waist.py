"""Faults at the waist."""

from __future__ import annotations

from typing import Final

from ..model.fitted import Ask
from ..model.length import inch
from .fault import Fault
from .fitter import Fitter, NotHere
from .warp import Pin


def sway_back(on: Fitter, ask: Ask) -> None:
    """Take the centre back down at a waist seam, bodice and skirt alike, to nothing at the side (drafting rules)."""
    if not on.has("back", "waist", "centre"):
        raise NotHere("the back has no waist seam")
    waist = on.edge("back", "waist")
    at = on.at("back", "waist", "centre")
    up = ask.amount if on.has("back", "armhole") else -ask.amount
    on.shift("back", (Pin(waist.name, at, up=up),))


ROWS: Final[tuple[Fault, ...]] = (
    Fault(
        "sway_back",
        sign="folds lie across the back at the waist",
        pin="pinch the fold at the centre back until it is gone, and measure what is pinched, to nothing at the sides",
        change="lapped across the back at the waist, at the centre back",
        stays="side seams and armhole",
        way=sway_back, most=inch(1), keeps=("back.side", "back.armhole"), usual="1/4 to 1 in (0.6 to 2.5 cm)",
    ),
)  # fmt: skip
