"""Whom a garment is for: a body that it is not drafted for is refused, and told why.

A child is no small woman: no bust, a waist as wide as the hip, shoulders and back of other proportions. Limits by
measured people (fixtures/bodies): children from 2 to 20 years measured in 1975-77, women measured in 1988 and 2010-12.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from ..units import Unit, show

WOMEN: Final = "women"
GROWN: Final = "women and men"
CHILD_STATURE: Final = 1400.0
"""Shorter is a child, mm: 19 of 20 children up to 10 years; the shortest of 600 women has 1448."""
GROWN_BUST: Final = 880.0
GROWN_HIP: Final = 920.0
"""But not with a bust or hip as large as this, mm, which no child up to 10 years has that is so short."""
CHILD_BUST: Final = 745.0
CHILD_HIP: Final = 830.0
"""A child, whatever the stature, is smaller in both, mm: 19 of 20 children up to 10 years, and none of 600 women."""

SMALLEST: Final = 440.0
"""Less is another unit, and no child, mm: the smallest of 300 from 2 years has 457."""


def child_signs(body: Mapping[str, float]) -> tuple[str, ...]:
    """The measurements by which a body is a child's; none if it is not, or too little was measured.

    >>> child_signs({"bust_girth": 635.0, "hip_girth": 690.0}), child_signs({"bust_girth": 752.0, "hip_girth": 812.0})
    (('bust_girth', 'hip_girth'), ())
    >>> child_signs({"bust_girth": 760.0, "hip_girth": 840.0, "stature": 1350.0})
    ('stature', 'bust_girth', 'hip_girth')
    """
    bust, hip, stature = body.get("bust_girth"), body.get("hip_girth"), body.get("stature")
    if bust is None or hip is None or min(bust, hip) < SMALLEST:
        return ()
    if bust < CHILD_BUST and hip < CHILD_HIP:
        return ("bust_girth", "hip_girth")
    if stature is not None and stature < CHILD_STATURE and bust < GROWN_BUST and hip < GROWN_HIP:
        return ("stature", "bust_girth", "hip_girth")
    return ()


def not_for(for_whom: str, body: Mapping[str, float], unit: Unit) -> str:
    """Why a garment for those people cannot be drafted for that body; empty if it can, or if it is for anybody."""
    signs = child_signs(body) if for_whom in (WOMEN, GROWN) else ()
    if not signs:
        return ""
    listed = ", ".join(f"{name} {show(body[name], unit)}" for name in signs)
    who = "she" if for_whom == WOMEN else "the wearer"
    grown = (
        f" If {who} is grown, leave out stature and give waist_height, knee_height and arm_length."
        if "stature" in signs
        else ""
    )
    return (
        f"drafted for grown {for_whom}, and these are the measurements of a child ({listed}). A child needs another "
        f"draft, and there is none here. Check the numbers and their unit if {who} is grown.{grown}"
    )
