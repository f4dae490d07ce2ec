"""A set-in sleeve, drafted to the armhole that was really drafted.

     ____
   /  |   \\        cap: from the front underarm (right) over the shoulder notch to the back underarm
  /   |    \\       biceps line: upper arm girth + wearing ease
_/____|_____\\_     cap length: front armhole + back armhole + cap ease (sewing ease)
 |    |     |      cap height: solved
  \\___|____/
"""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, replace
from math import inf
from typing import Final

from ..errors import DraftError, GeometryError
from ..geometry.curve import Cubic
from ..geometry.path import Path, path_length, reverse, solve
from ..geometry.point import Point, direction, distance, left_of
from ..units import Unit, show, show_at_least
from .construct import level_curve

LEAST_CAP: Final = 50.0
"""No cap is drafted flatter than this, mm (2 in; common practice, no source: flatter is a shirt, not a dress)."""
UNDERARM_LEAN: Final = 1.5
"""The underarm seam leaves this much steeper than its chord and reaches the hem upright."""


@dataclass(frozen=True, slots=True)
class CapShape:
    """How one side of the cap runs: the turning point as parts of half width (from the top) and height, its lean."""

    across: float
    up: float
    steeper: float
    hollow: float
    round: float


FRONT: Final = CapShape(across=0.54, up=0.44, steeper=0.34, hollow=0.44, round=0.50)
BACK: Final = CapShape(across=0.56, up=0.47, steeper=0.24, hollow=0.34, round=0.54)
"""Front hollower than back (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Sleeve:
    """The curves of a sleeve; front to the right, biceps line on y = 0, the shoulder notch at (top.x, cap_height)."""

    cap_height: float
    top: Point
    cap_front: Path
    cap_back: Path
    underarm_front: Path
    underarm_back: Path


@dataclass(frozen=True, slots=True)
class SleeveOrder:
    """What is asked of a sleeve, mm."""

    biceps_line: float
    front_armhole: float
    back_armhole: float
    cap_ease: float
    length: float
    hem_width: float
    most_cap: float
    """The cap may not stand higher than the shoulder stands above the underarm."""
    biceps_ease: float = inf
    """How much of the biceps line may be given up, mm."""


def _cap_side(underarm: Point, top: Point, leave: Point, shape: CapShape, sign: float) -> Path:
    """One side, from the underarm up to the top; `sign` +1 for the front (right), −1 for the back."""
    half, height = (underarm.x - top.x) * sign, top.y - underarm.y
    turn = Point(top.x + sign * half * shape.across, underarm.y + height * shape.up)
    chord = direction(underarm, top)
    lean = direction((0.0, 0.0), (chord.x * (1 - shape.steeper), chord.y))
    low, high = distance(underarm, turn), distance(turn, top)
    lower = Cubic.leaving_and_arriving(
        underarm,
        (leave.x * low * shape.hollow, leave.y * low * shape.hollow),
        turn,
        (lean.x * low * 0.40, lean.y * low * 0.40),
    )
    upper = Cubic.leaving_and_arriving(
        turn, (lean.x * high * 0.40, lean.y * high * 0.40), top, (-sign * high * shape.round, 0.0)
    )
    return (lower, upper)


def _sleeve_at(order: SleeveOrder, cap_height: float, shift: float) -> Sleeve:
    half, hem_half = order.biceps_line / 2, order.hem_width / 2
    below = order.length - cap_height
    lean = UNDERARM_LEAN * (half - hem_half) / below
    front = level_curve((hem_half, -below), (half, 0.0), 0.0, lean)
    back = level_curve((-half, 0.0), (-hem_half, -below), -lean, 0.0)
    top = Point(shift, cap_height)
    leave = left_of(front.way(1.0))
    cap_front = _cap_side(Point(half, 0.0), top, leave, FRONT, 1.0)
    cap_back = _cap_side(Point(-half, 0.0), top, Point(-leave.x, leave.y), BACK, -1.0)
    return Sleeve(cap_height, top, cap_front, reverse(cap_back), (front,), (back,))


def _balanced(order: SleeveOrder, cap_height: float) -> Sleeve:
    """The sleeve of that cap height whose ease is alike in front and back: the top moves to the side that wants it."""

    def more_in_front(shift: float) -> float:
        sleeve = _sleeve_at(order, cap_height, shift)
        front = path_length(sleeve.cap_front) - order.front_armhole
        return front - (path_length(sleeve.cap_back) - order.back_armhole)

    reach = 0.2 * order.biceps_line
    return _sleeve_at(order, cap_height, solve(more_in_front, -reach, reach, near=1e-3))


def _cap_length(order: SleeveOrder, cap_height: float) -> float:
    sleeve = _balanced(order, cap_height)
    return path_length(sleeve.cap_front) + path_length(sleeve.cap_back)


def draft_sleeve(order: SleeveOrder, unit: Unit, armhole_with: Callable[[float], float]) -> Sleeve:
    """Solve the cap height so that cap = armhole + ease, to 0.01 mm.

    `armhole_with(extra)` is the length of the whole armhole if `armhole_depth_ease` were `extra` mm more.
    Raises DraftError with the measurement or option to change, and by how much, when no cap height fits.
    """
    wanted = order.front_armhole + order.back_armhole + order.cap_ease
    most = order.most_cap
    shortest, longest = _cap_length(order, LEAST_CAP), _cap_length(order, most)
    if shortest > wanted:
        raise DraftError(_arm_too_big(order, unit, shortest - wanted, armhole_with))
    if longest < wanted:
        raise DraftError(_arm_too_small(order, unit, wanted - longest))
    height = solve(lambda h: _cap_length(order, h) - wanted, LEAST_CAP, most, near=0.005)
    return _balanced(order, height)


def _wider(order: SleeveOrder, by: float) -> SleeveOrder:
    """The same sleeve with a biceps line (and hem) wider by so much."""
    return replace(order, biceps_line=order.biceps_line + by, hem_width=order.hem_width + by)


def _arm_too_big(order: SleeveOrder, unit: Unit, short: float, armhole_with: Callable[[float], float]) -> str:
    have = order.front_armhole + order.back_armhole
    text = (
        f"no cap fits: the arm is too big for the armhole. The sleeve is {show(order.biceps_line, unit)} wide at the "
        f"biceps line, the armhole only {show(have, unit)} long; its cap would be {show_at_least(short, unit)} too "
        f"long even at the least height, {show(LEAST_CAP, unit)}."
    )
    ways = []
    with suppress(GeometryError):
        deeper = solve(lambda extra: armhole_with(extra) - have - short, 0.0, 150.0, near=0.1)
        ways.append(f"add {show_at_least(deeper + 0.5, unit)} to armhole_depth_ease")
    with suppress(GeometryError):
        wanted = have + order.cap_ease
        less = 1.0 + solve(lambda by: _cap_length(_wider(order, -by), LEAST_CAP) - wanted, 0.0, 250.0, near=0.1)
        if less <= order.biceps_ease:
            ways.append(f"take {show_at_least(less, unit)} from ease_biceps")
    mend = f" To mend it, {' or '.join(ways)}" if ways else " No armhole depth would mend it"
    return f"{text}{mend}; and check upper_arm_girth."


def _arm_too_small(order: SleeveOrder, unit: Unit, over: float) -> str:
    have = order.front_armhole + order.back_armhole
    text = (
        f"no cap fits: the armhole, {show(have, unit)} long, is too big for the arm. The sleeve is "
        f"{show(order.biceps_line, unit)} wide at the biceps line, and its cap would be {show_at_least(over, unit)} "
        f"short even at the greatest height, {show(order.most_cap, unit)} (the shoulder above the underarm)."
    )
    wanted = have + order.cap_ease
    mend = "Lower armhole_depth_ease"
    with suppress(GeometryError):
        more = solve(lambda by: _cap_length(_wider(order, by), order.most_cap) - wanted, 0.0, 250.0, near=0.1)
        mend = f"Add {show_at_least(more + 1.0, unit)} to ease_biceps, or lower armhole_depth_ease"
    return f"{text} {mend}; and check upper_arm_girth and bust_girth."
