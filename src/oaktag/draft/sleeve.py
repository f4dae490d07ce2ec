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
from functools import cache
from math import inf
from typing import Final, TypeAlias

from ..errors import DraftError, GeometryError
from ..geometry.curve import Cubic
from ..geometry.path import Path, path_length, reverse, solve
from ..geometry.point import Point, direction, distance, left_of
from ..units import INCH, Unit, show, show_at_least, show_at_most
from ..values import dataclass, replace
from .construct import level_curve

LEAST_CAP: Final = 50.0
"""No cap is drafted flatter than this, mm (2 in; common practice, no source: flatter is a shirt, not a dress)."""
CAP_SHARE: Final = 5 / 6
"""A cap that is free to choose stands no higher than this part of the shoulder above the underarm (cap height of a
Japanese block, from memory)."""
LEAST_UNDERARM: Final = 40.0
"""No underarm seam is shorter, mm (common practice, no source)."""
LEAST_BICEPS_EASE: Final = 1 * INCH
"""No less is advised (common practice: it binds)."""
MOST_BICEPS_EASE: Final = 250.0
"""No more is advised, mm: what may be asked for."""
_SHORT_OF_MEETING: Final = 0.9
"""A handle that stops short of where the tangents at both ends meet makes no S (derived)."""
_NEAR: Final = 0.005
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


FRONT: Final = CapShape(across=0.54, up=0.44, steeper=0.50, hollow=0.40, round=0.46)
BACK: Final = CapShape(across=0.56, up=0.47, steeper=0.48, hollow=0.36, round=0.48)
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

    @property
    def biceps_line(self) -> float:
        return self.underarm_front[-1].end.x - self.underarm_back[0].start.x

    @property
    def hem_width(self) -> float:
        return self.underarm_front[0].start.x - self.underarm_back[-1].end.x

    @property
    def length(self) -> float:
        """From the top of the cap to the hem."""
        return self.cap_height - self.underarm_front[0].start.y


@dataclass(frozen=True, slots=True)
class SleeveOrder:
    """What is asked of a sleeve, mm, and what may be chosen for it."""

    biceps_line: float
    front_armhole: float
    back_armhole: float
    cap_ease: float
    length: float
    shoulder_height: float
    """The shoulder above the underarm: the cap may not stand higher."""
    hem_less: float = 0.0
    """The hem is so much narrower than the biceps line."""
    hem_most: float = inf
    """And no wider than this."""
    biceps_ease: float = 0.0
    """How much of the biceps line is wearing ease."""
    may_widen: float = 0.0
    """The biceps line may be so much wider, for a cap that would stand too high."""
    may_narrow: float = 0.0
    """The biceps line may be so much narrower, for a cap that would be too flat."""
    may_lengthen: bool = False
    """Whether the sleeve may be longer, for an underarm seam of `least_underarm`."""
    least_underarm: float = LEAST_UNDERARM
    ease_by: str = "the ease round the arm"
    """The option that sets it; so with the next two."""
    depth_by: str = "the depth of the armhole"
    length_by: str = "the length of the sleeve"

    @property
    def cap_length(self) -> float:
        """Front and back armhole, and the sewing ease."""
        return self.front_armhole + self.back_armhole + self.cap_ease

    @property
    def room_for_cap(self) -> float:
        """What the length of the sleeve leaves for a cap."""
        return inf if self.may_lengthen else self.length - self.least_underarm

    @property
    def hem_width(self) -> float:
        return min(self.biceps_line - self.hem_less, self.hem_most)


_Balanced: TypeAlias = Callable[[SleeveOrder, float], Sleeve]


def _cap_side(underarm: Point, top: Point, leave: Point, shape: CapShape, sign: float) -> Path:
    """One side, from the underarm up to the top; `sign` +1 for the front (right), −1 for the back."""
    half, height = (underarm.x - top.x) * sign, top.y - underarm.y
    turn = Point(top.x + sign * half * shape.across, underarm.y + height * shape.up)
    chord = direction(underarm, top)
    lean = direction((0.0, 0.0), (chord.x * (1 - shape.steeper), chord.y))
    low, high = distance(underarm, turn), distance(turn, top)
    out = min(low * shape.hollow, _SHORT_OF_MEETING * _to_meeting(underarm, leave, turn, lean))
    lower = Cubic.leaving_and_arriving(
        underarm,
        (leave.x * out, leave.y * out),
        turn,
        (lean.x * low * 0.40, lean.y * low * 0.40),
    )
    upper = Cubic.leaving_and_arriving(
        turn, (lean.x * high * 0.40, lean.y * high * 0.40), top, (-sign * high * shape.round, 0.0)
    )
    return (lower, upper)


def _to_meeting(a: Point, way: Point, b: Point, other: Point) -> float:
    """How far from a, along its way, the line through b along the other way is met; inf where it is not ahead."""
    across = way.x * other.y - way.y * other.x
    far = ((b.x - a.x) * other.y - (b.y - a.y) * other.x) / across if across else inf
    return far if far > 0 else inf


def _balanced(order: SleeveOrder, cap_height: float) -> Sleeve:
    """The sleeve of that cap height whose ease is alike in front and back: the top moves to the side that wants it."""
    half, hem_half = order.biceps_line / 2, order.hem_width / 2
    below = max(order.length - cap_height, order.least_underarm)
    lean = UNDERARM_LEAN * (half - hem_half) / below
    front = level_curve((hem_half, -below), (half, 0.0), 0.0, lean)
    back = level_curve((-half, 0.0), (-hem_half, -below), -lean, 0.0)
    leave = left_of(front.way(1.0))

    def caps(shift: float) -> tuple[Path, Path]:
        """Both sides, upwards."""
        top = Point(shift, cap_height)
        cap_front = _cap_side(Point(half, 0.0), top, leave, FRONT, 1.0)
        return cap_front, _cap_side(Point(-half, 0.0), top, Point(-leave.x, leave.y), BACK, -1.0)

    def more_in_front(shift: float) -> float:
        cap_front, cap_back = caps(shift)
        return path_length(cap_front) - order.front_armhole - (path_length(cap_back) - order.back_armhole)

    reach = 0.2 * order.biceps_line
    shift = solve(more_in_front, -reach, reach, near=1e-3)
    cap_front, cap_back = caps(shift)
    return Sleeve(cap_height, Point(shift, cap_height), cap_front, reverse(cap_back), (front,), (back,))


def _over(order: SleeveOrder, cap_height: float, balanced: _Balanced = _balanced) -> float:
    """By how much a cap of that height is too long."""
    sleeve = balanced(order, cap_height)
    return path_length(sleeve.cap_front) + path_length(sleeve.cap_back) - order.cap_length


def draft_sleeve(order: SleeveOrder, unit: Unit, armhole_with: Callable[[float], float]) -> Sleeve:
    """Solve the cap height so that cap = armhole + ease, to 0.01 mm; width and length follow, where they may.

    A cap that would be too flat takes a narrower biceps line; one that would stand higher than CAP_SHARE of the
    shoulder, or leave too short an underarm seam, a wider one; and the sleeve gets as long as its cap asks.
    `armhole_with(extra)` is the length of the whole armhole if `armhole_depth_ease` were `extra` mm more.
    Raises DraftError when nothing fits: what the limit is, and which option mends it with what number.
    """
    balanced = cache(_balanced)
    if _over(order, LEAST_CAP, balanced) > 0:
        order = _wider(order, -(_by(order, -1.0, order.may_narrow, LEAST_CAP) or order.may_narrow))
        short = _over(order, LEAST_CAP, balanced)
        if short > _NEAR:
            raise DraftError(_arm_too_big(order, unit, short, armhole_with))
    height = _cap_height(order, balanced)
    most = min(CAP_SHARE * order.shoulder_height, order.room_for_cap)
    if height > most and order.may_widen > 0:
        order = _wider(order, _by(order, 1.0, order.may_widen, most) or order.may_widen)
        height = _cap_height(order, balanced)
    if height > min(order.shoulder_height, order.room_for_cap) + _NEAR:
        raise DraftError(_cap_too_high(order, unit, height))
    return balanced(order, height)


def _cap_height(order: SleeveOrder, balanced: _Balanced) -> float:
    """How high the cap must be, never below LEAST_CAP."""
    high = 2 * LEAST_CAP
    while _over(order, high, balanced) < 0:
        high *= 1.5
    if _over(order, LEAST_CAP, balanced) >= -_NEAR:
        return LEAST_CAP
    return solve(lambda height: _over(order, height, balanced), LEAST_CAP, high, near=_NEAR)


def _wider(order: SleeveOrder, by: float) -> SleeveOrder:
    """The same sleeve with more wearing ease round the arm."""
    return replace(order, biceps_line=order.biceps_line + by, biceps_ease=order.biceps_ease + by)


def _by(order: SleeveOrder, sign: float, most: float, cap_height: float) -> float | None:
    """How much wider (+1) or narrower (−1) the biceps line must be for a cap of that height, mm; None above `most`."""
    with suppress(GeometryError):
        return solve(lambda by: _over(_wider(order, sign * by), cap_height), 0.0, max(most, 0.0), near=_NEAR)
    return None


def _arm_too_big(order: SleeveOrder, unit: Unit, short: float, armhole_with: Callable[[float], float]) -> str:
    have, ways = order.front_armhole + order.back_armhole, []
    with suppress(GeometryError):
        deeper = solve(lambda extra: armhole_with(extra) - have - short, 0.0, 150.0, near=0.1)
        ways.append(f"add {show_at_least(deeper + 0.5, unit)} to {order.depth_by}")
    less = _by(order, -1.0, order.biceps_ease - LEAST_BICEPS_EASE - 0.5, LEAST_CAP)
    if less is not None:
        ways.append(f"make {order.ease_by} {show_at_most(order.biceps_ease - less - 0.5, unit)} or less")
    mend = f"To mend it, {' or '.join(ways)}" if ways else "No armhole depth would mend it"
    return (
        f"no cap fits: the arm is too big for the armhole. The sleeve is {show(order.biceps_line, unit)} wide at the "
        f"biceps line, the armhole only {show(have, unit)} long; its cap would be {show_at_least(short, unit)} too "
        f"long even at the least height, {show(LEAST_CAP, unit)}. {mend}; and check upper_arm_girth."
    )


def _cap_too_high(order: SleeveOrder, unit: Unit, height: float) -> str:
    have, room, shoulder = order.front_armhole + order.back_armhole, order.room_for_cap, order.shoulder_height

    def ease_for(cap_height: float) -> str:
        room = MOST_BICEPS_EASE - order.biceps_ease
        more = _by(order, 1.0, room, cap_height - 0.5) if cap_height > LEAST_CAP else None
        return "" if more is None else f"{order.ease_by} {show_at_least(order.biceps_ease + more, unit)} or more"

    def length_for(cap_height: float) -> str:
        return f"{order.length_by} {show_at_least(cap_height + order.least_underarm + 0.5, unit)} or more"

    ways = [length_for(height)] if height <= shoulder else []
    if wider := ease_for(min(shoulder, room)):
        ways.append(wider)
    elif not ways and (wider := ease_for(shoulder)):
        ways.append(f"{wider} and {length_for(shoulder)}")
    mend = f"To mend it, make {' or '.join(ways)}" if ways else f"Lower {order.depth_by}"
    why, so = "the armhole is too big for the arm", f"the shoulder is only {show(shoulder, unit)} above the underarm"
    if room < shoulder:
        why = "the sleeve is too short for its cap"
        so = f"a sleeve {show(order.length, unit)} long has room for {show_at_most(room, unit)}, with "
        so += f"{show(order.least_underarm, unit)} of underarm seam below it"
    return (
        f"no cap fits: {why}. Over a sleeve {show(order.biceps_line, unit)} wide at the biceps line the armhole, "
        f"{show(have, unit)} long, asks for a cap {show_at_least(height, unit)} high; {so}. {mend}; and check "
        "upper_arm_girth and bust_girth."
    )
