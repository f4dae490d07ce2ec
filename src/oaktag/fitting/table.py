"""Every fault of fit, in the order in which faults are mended.

Lengths, bust, back, shoulders, neck, armhole and sleeve, waist, hip, legs; last what is let out or taken in (order of
fitting; common practice, no source).

A fault more is a row more in the module of its operation.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from ..errors import InputError
from ..model.fitted import Ask
from . import back, bust, crotch, hip, lengths, neck, seams, shoulder, sleeve, waist
from .fault import Fault

GROUPS: Final[Mapping[str, tuple[Fault, ...]]] = {
    "lengths": lengths.ROWS,
    "bust and chest": bust.ROWS,
    "back": back.ROWS,
    "shoulders": shoulder.ROWS,
    "neck": neck.ROWS,
    "sleeve": sleeve.ROWS,
    "waist": waist.ROWS,
    "hip": hip.ROWS,
    "trousers": crotch.ROWS,
    "seams": seams.ROWS,
}
BY_NAME: Final[Mapping[str, Fault]] = {fault.name: fault for rows in GROUPS.values() for fault in rows}


def fault_of(name: str) -> Fault:
    """The fault of that name; InputError if there is none."""
    if name not in BY_NAME:
        raise InputError(f"{name!r} is not a fault of fit", expected="one that `oaktag fitting` lists")
    return BY_NAME[name]


def in_order(asks: tuple[Ask, ...]) -> tuple[Ask, ...]:
    """The faults in the order in which they are mended."""
    order = list(BY_NAME)
    return tuple(sorted(asks, key=lambda ask: order.index(ask.fault)))
