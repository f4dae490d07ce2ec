"""The rulers on the table: a straight one, curves that leave and arrive as told, and a compass.

A curve is one cubic whose ends have given directions, each handle a share of the way to where they meet: it makes no S
(worked rules for the curves that drafting books leave open; the share 0.6 served forty bodies).
"""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil, cos, radians, sin, tan
from typing import Final, Literal, TypeAlias

from ..errors import GeometryError
from ..geometry.curve import Cubic, Curve, Line
from ..geometry.path import Path
from ..geometry.point import XY, Point, direction, distance, left_of, meeting, turn_deg
from ..values import dataclass


@dataclass(frozen=True, slots=True)
class Bevel:
    """An end that makes that angle with the edge beyond the corner, inside the piece."""

    deg: float


Way: TypeAlias = Literal["free", "level", "upright", "smooth", "square"] | Bevel | float
"""How a curve leaves or arrives: level, upright, as the next run of the edge goes on, square to the edge beyond or at a
bevel to it, at an angle in degrees (0 to the right, 90 up); or free, as the other end has it."""

SHARE: Final = 0.6
_LONE: Final = 0.4
"""Handles of ends that meet nowhere ahead, as part of the chord."""
_HOOK: Final = 0.05
"""Nor do those that meet nearer to an end than this part of the chord: the curve would turn within some mm there."""
_ARC_DEG: Final = 30.0
"""An arc is drawn in cubics of no more than this; they stray by less than 1e-6 of the radius."""


@dataclass(frozen=True, slots=True)
class Ruler:
    """How one run of an edge is drawn between two points."""

    kind: Literal["straight", "curve", "compass"] = "straight"
    leave: Way = "free"
    arrive: Way = "free"
    share: float = SHARE
    about: str = ""
    """The point at which the compass stands."""


STRAIGHT: Final = Ruler()
HIP_CURVE: Final = Ruler("curve", "smooth", "free")
"""Goes on as the run before it, then bends away freely."""
FRENCH_CURVE: Final = Ruler("curve", "square", "square")
"""Square to the edges at either end: a neckline, the top of an armhole."""


def curve(leave: Way = "free", arrive: Way = "free", *, share: float = SHARE) -> Ruler:
    """A curved ruler laid so that it leaves and arrives as told."""
    return Ruler("curve", leave, arrive, share)


def compass(about: str) -> Ruler:
    """An arc about a point."""
    return Ruler("compass", about=about)


def toward(way: Way, a: Point, b: Point) -> Point | None:
    """The unit direction of an end that is told outright, the way that leads from a to b; None for the others."""
    if isinstance(way, Bevel):
        return None
    if isinstance(way, str):
        if way not in ("level", "upright"):
            return None
        plain = Point(1.0, 0.0) if way == "level" else Point(0.0, 1.0)
    else:
        plain = Point(cos(radians(way)), sin(radians(way)))
    ahead = plain.x * (b.x - a.x) + plain.y * (b.y - a.y)
    return plain if ahead >= 0 or not isinstance(way, str) else Point(-plain.x, -plain.y)


def drawn_curve(a: Point, leave: XY | None, b: Point, arrive: XY | None, share: float) -> Curve:
    """From a to b; an end without a direction takes that of the other, mirrored; straight without both."""
    if leave is None and arrive is None:
        return Line(a, b)
    chord = direction(a, b)
    if leave is None and arrive is not None:
        leave = _mirrored(arrive, chord)
    elif arrive is None and leave is not None:
        arrive = _mirrored(leave, chord)
    assert leave is not None and arrive is not None
    out, back = _reaches(a, leave, b, arrive, share)
    return Cubic.leaving_and_arriving(a, (leave[0] * out, leave[1] * out), b, (arrive[0] * back, arrive[1] * back))


def _mirrored(way: XY, chord: Point) -> Point:
    """The direction at the other end of an arc with that chord."""
    along = way[0] * chord.x + way[1] * chord.y
    return Point(2 * along * chord.x - way[0], 2 * along * chord.y - way[1])


def _reaches(a: Point, leave: XY, b: Point, arrive: XY, share: float) -> tuple[float, float]:
    """How long the handles are: a share of the way to where the two directions meet, if that is ahead of both."""
    met = meeting(a, leave, b, arrive)
    if met is not None:
        out = (met.x - a.x) * leave[0] + (met.y - a.y) * leave[1]
        back = (b.x - met.x) * arrive[0] + (b.y - met.y) * arrive[1]
        if _HOOK * distance(a, b) < min(out, back) and max(out, back) < 4 * distance(a, b):
            return share * out, share * back
    return _LONE * distance(a, b), _LONE * distance(a, b)


def drawn_arc(a: Point, b: Point, centre: Point) -> Path:
    """The shorter arc from a to b about a centre; GeometryError where they lie at unlike distances from it."""
    radius = distance(centre, a)
    if abs(distance(centre, b) - radius) > 0.01:
        raise GeometryError(
            f"a compass at {centre.x:.1f}, {centre.y:.1f} reaches {radius:.1f} mm to one end and "
            f"{distance(centre, b):.1f} mm to the other"
        )
    turned = turn_deg(direction(centre, a), direction(centre, b))
    count = max(1, ceil(abs(turned) / _ARC_DEG))
    step = radians(turned / count)
    points = [a, *(_round(a, centre, step * i) for i in range(1, count)), b]
    reach = 4 / 3 * tan(step / 4) * radius
    ways = [left_of(direction(centre, p)) for p in points]
    return tuple(
        Cubic.leaving_and_arriving(p, (v.x * reach, v.y * reach), q, (w.x * reach, w.y * reach))
        for p, v, q, w in zip(points, ways, points[1:], ways[1:], strict=False)
    )


def _round(p: Point, centre: Point, by: float) -> Point:
    x, y = p.x - centre.x, p.y - centre.y
    return Point(centre.x + x * cos(by) - y * sin(by), centre.y + x * sin(by) + y * cos(by))


def drawn_run(
    points: Sequence[Point], rulers: Sequence[Ruler], centres: Sequence[Point | None], ends: tuple[XY | None, XY | None]
) -> Path:
    """An edge from point to point, a ruler between each two; `ends` are the directions at its first and last point
    where a ruler there asks for a corner of a certain angle."""
    ways = [_told(points, rulers, k, ends) for k in range(len(points))]
    path: list[Curve] = []
    for k, (ruler, centre) in enumerate(zip(rulers, centres, strict=True)):
        a, b = points[k], points[k + 1]
        if ruler.kind == "straight":
            path.append(Line(a, b))
        elif centre is not None:
            path += drawn_arc(a, b, centre)
        else:
            leave = None if ruler.leave == "free" else toward(ruler.leave, a, b) or ways[k]
            arrive = None if ruler.arrive == "free" else toward(ruler.arrive, a, b) or ways[k + 1]
            path.append(drawn_curve(a, leave, b, arrive, ruler.share))
    return tuple(path)


def _told(points: Sequence[Point], rulers: Sequence[Ruler], k: int, ends: tuple[XY | None, XY | None]) -> XY | None:
    """The direction of the whole edge at one of its points, for a run that goes on smoothly there."""
    before = rulers[k - 1] if k > 0 else None
    after = rulers[k] if k < len(rulers) else None
    if before is None:
        return ends[0]
    if after is None:
        return ends[1]
    for ruler, a, b, way in (
        (before, points[k - 1], points[k], before.arrive),
        (after, points[k], points[k + 1], after.leave),
    ):
        if ruler.kind == "straight":
            return direction(a, b)
        if (told := toward(way, a, b)) is not None:
            return told
    return direction(points[k - 1], points[k + 1])
