"""Where the tip of a drag knife goes when its holder is led along a path; the tip trails at a fixed distance.

Along a straight run of the holder the tip follows a tractrix: with α the angle from the blade to the run, tan(α/2)
falls by e to the power of the way over the offset (from memory of the curve; derived by hand).
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import atan, atan2, ceil, cos, exp, hypot, pi, remainder, sin, tan
from typing import Final

from ..geometry.point import XY

_STEP: Final = 0.05
"""mm of the holder between two places at which the tip is told, while the blade turns."""
_STRAIGHT: Final = 1e-4
"""Below this angle the blade lies in the run, radians."""


def tip_path(holder: Sequence[XY], offset: float, facing: float) -> tuple[list[XY], float]:
    """The tip's way for the holder's, mm, and where the blade faces at its end, radians; `facing`: at its start."""
    x, y = holder[0]
    tips = [(x - offset * cos(facing), y - offset * sin(facing))]
    for (ax, ay), (bx, by) in pairwise(holder):
        long = hypot(bx - ax, by - ay)
        if long == 0.0:
            continue
        way = atan2(by - ay, bx - ax)
        lag = remainder(way - facing, 2 * pi)
        steps = 1 if abs(lag) < _STRAIGHT else max(1, ceil(min(long, 12 * offset) / _STEP))
        gone = [min(long, 12 * offset) * k / steps for k in range(1, steps + 1)] if steps > 1 else []
        for far in (*gone, long):
            left = 2 * atan(tan(max(-3.1, min(3.1, lag)) / 2) * exp(-far / offset)) if offset else 0.0
            facing = way - left
            hx, hy = ax + (bx - ax) * far / long, ay + (by - ay) * far / long
            tips.append((hx - offset * cos(facing), hy - offset * sin(facing)))
    return tips, facing
