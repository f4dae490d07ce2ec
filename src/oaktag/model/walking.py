"""How long a step a hem allows: a hull of two legs, standing apart at the hem.

Model: hip joint height Hj = 0.5 × stature, hem height h, girth of one leg at that height g, step s. The legs are
d = s (Hj − h)/Hj apart at the hem, and a band round both is 2 d + g long. So a hem C allows the step
s = (C − g)/2 × Hj/(Hj − h). Derived (no published source); it is a lower bound.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable
from math import inf
from typing import Final

from ..units import Unit
from ..values import dataclass

EASY_STEP: Final = 600.0
"""A step that needs no remark, mm (women's free step about 60-70 cm; common practice, no source)."""
SHORT_STEP: Final = 450.0
"""Below this a skirt hobbles, mm (common practice, no source)."""
VENT_STEP: Final = 670.0
"""The step that a vent or slit is to allow, mm (a Japanese skirt-drafting text, from memory)."""
TRADE_OPENING: Final = 6 * 25.4
"""No vent or slit shorter than this, mm (6 in; in a metric job 15 cm; common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Walk:
    """What the stride needs: heights above the floor and girths, mm."""

    stature: float
    top_height: float
    """Height of the draft's top line above the floor."""
    hem_depth: float
    leg_girths: tuple[tuple[float, float], ...]
    """(height, girth of one leg), from the floor up."""
    opening: str
    opening_length: float
    highest_opening_depth: float
    """An opening may not reach above this depth below the top line."""
    flare_rise: float = 0.0
    """How much higher a flared hem meets the side than the centre."""

    @property
    def hip_joint(self) -> float:
        return 0.5 * self.stature

    @property
    def hem_height(self) -> float:
        return self.top_height - self.hem_depth


def leg_girth(walk: Walk, height: float) -> float:
    """Girth of one leg at a height, straight between the measured heights, held beyond them."""
    table = walk.leg_girths
    if height <= table[0][0]:
        return table[0][1]
    for (h0, g0), (h1, g1) in itertools.pairwise(table):
        if height <= h1:
            return g0 + (g1 - g0) * (height - h0) / (h1 - h0)
    return table[-1][1]


def legs_apart(step: float, hip_joint: float, height: float) -> float:
    """Distance between the legs at a height for a step, mm."""
    return step * max(0.0, hip_joint - height) / hip_joint


def hem_needed(step: float, hip_joint: float, height: float, leg: float) -> float:
    """Girth that lets that step through at that height, mm."""
    return 2 * legs_apart(step, hip_joint, height) + leg


def step_allowed(girth: float, hip_joint: float, height: float, leg: float) -> float:
    """The longest step that a girth at that height allows, mm; infinite at the hip joint and above."""
    if height >= hip_joint:
        return inf
    return max(0.0, (girth - leg) / 2 * hip_joint / (hip_joint - height))


def shortest_opening(
    walk: Walk, girth_at: Callable[[float], float], step: float = VENT_STEP, *, unit: Unit = "in"
) -> float | None:
    """The shortest vent or slit above which the dress no longer binds the legs: in whole inches from 6 in, or where
    metric is read in whole centimetres from 15 cm.

    `girth_at` gives the dress all round at a depth below the top line, mm. None if even the highest one allowed by
    `highest_opening_depth` is too short.
    """
    whole, by = (6, 25.4) if unit == "in" else (15, 10.0)
    while True:
        length = whole * by
        depth = walk.hem_depth - length
        if depth < walk.highest_opening_depth:
            return None
        if opening_serves(walk, girth_at, length, step):
            return length
        whole += 1


def opening_serves(walk: Walk, girth_at: Callable[[float], float], length: float, step: float = VENT_STEP) -> bool:
    """Whether a vent or slit of that length lets that step through."""
    depth = walk.hem_depth - length
    height = walk.top_height - depth
    return girth_at(depth) >= hem_needed(step, walk.hip_joint, height, leg_girth(walk, height)) - 1e-6
