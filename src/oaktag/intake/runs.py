"""What both readers make: runs of lines and cubics in mm, from points, arcs and quadratics under an affine map."""

from __future__ import annotations

from math import atan, atan2, ceil, cos, hypot, isfinite, pi, sin, sqrt, tan
from typing import Final, TypeAlias

from ..geometry.curve import Cubic, Curve, Line
from ..geometry.point import Point, distance
from .limits import FARTHEST

Affine: TypeAlias = tuple[float, float, float, float, float, float]
"""(a, b, c, d, e, f): x' = a x + c y + e, y' = b x + d y + f, in the order of SVG's matrix()."""

IDENTITY: Final[Affine] = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)
ARC_WITHIN: Final = 0.001
"""mm that cubics may lie off the arc that they stand for."""
_ARC_PART: Final = 1e-5
"""The same in parts of the radius, so that a small circle can tell the scale of a large drawing."""
CLOSES: Final = 1e-6
"""mm between the ends of a run that is closed without saying so."""
MARK: Final = 6.0
"""mm: a smaller circle marks a place (a drill hole, a button)."""
_QUARTER: Final = pi / 2


def after(outer: Affine, inner: Affine) -> Affine:
    """The map that does `inner` first, then `outer`."""
    a, b, c, d, e, f = outer
    p, q, r, s, t, u = inner
    return (
        a * p + c * q,
        b * p + d * q,
        a * r + c * s,
        b * r + d * s,
        a * t + c * u + e,
        b * t + d * u + f,
    )


def mapped(m: Affine, x: float, y: float) -> Point:
    """Where a point comes to lie."""
    return Point(m[0] * x + m[2] * y + m[4], m[1] * x + m[3] * y + m[5])


def stretch(m: Affine) -> float:
    """The greatest factor by which a length grows: the larger singular value of the map."""
    a, b, c, d = m[:4]
    return (hypot(a + d, b - c) + hypot(a - d, b + c)) / 2


def flattens(m: Affine) -> bool:
    """Whether the map leaves nothing but a line or a point."""
    size = stretch(m)
    if not size < 1e12:
        raise ValueError("its transform makes it larger than any drawing")
    return abs(m[0] * m[3] - m[1] * m[2]) <= 1e-12 * size * size


def arc(m: Affine, start: float, end: float, *, within: float = ARC_WITHIN) -> list[Curve]:
    """The unit circle from angle `start` to `end`, radians, as the map lays it: cubics within `within` mm.

    Over an angle q, the cubic with handles 4/3 tan(q/4) lies off the unit circle by at most 2/27 sin⁶(q/4) / cos²(q/4):
    2.73e-4 for a quarter (Goldapp 1991, from memory). The map stretches that by its larger singular value at most.
    """
    sweep = end - start
    count = max(1, ceil(abs(sweep) / _QUARTER - 1e-9))
    size = stretch(m)
    if not (isfinite(size) and isfinite(sweep)) or size > 1e9:
        raise ValueError("an arc is larger than any drawing")
    within = min(within, _ARC_PART * size) if size > 0.0 else within
    while True:
        part = abs(sweep) / count / 4
        if size * 2 / 27 * sin(part) ** 6 / cos(part) ** 2 <= within:
            break
        count += 1
    step = sweep / count
    handle = 4 / 3 * tan(step / 4)
    curves: list[Curve] = []
    x, y = cos(start), sin(start)
    a = mapped(m, x, y)
    for i in range(1, count + 1):
        u, v = cos(start + i * step), sin(start + i * step)
        d = mapped(m, u, v)
        curves.append(Cubic(a, mapped(m, x - handle * y, y + handle * x), mapped(m, u + handle * v, v - handle * u), d))
        x, y, a = u, v, d
    return curves


def raised(a: Point, q: Point, d: Point) -> Cubic:
    """A quadratic as the same curve of the third degree."""
    return Cubic(
        a,
        Point(a[0] + (q[0] - a[0]) * 2 / 3, a[1] + (q[1] - a[1]) * 2 / 3),
        Point(d[0] + (q[0] - d[0]) * 2 / 3, d[1] + (q[1] - d[1]) * 2 / 3),
        d,
    )


def bulged(m: Affine, p: tuple[float, float], q: tuple[float, float], bulge: float, a: Point, d: Point) -> list[Curve]:
    """From p to q by the arc whose bulge, the tangent of a quarter of its angle, is given; a and d are p and q mapped.

    Source: DXF reference, LWPOLYLINE, group 42 (from memory): 0 is straight, 1 half a circle, negative clockwise.
    """
    dx, dy = q[0] - p[0], q[1] - p[1]
    chord = hypot(dx, dy)
    if chord == 0.0:
        return []
    size = stretch(m)
    if abs(bulge) * chord / 2 * size < 1e-6:  # the rise of the arc over its chord
        return [Line(a, d)]
    square = bulge * bulge
    if square < 0.05 and chord * square * square * abs(bulge) / 54 * size <= ARC_WITHIN:
        # one cubic, as in `arc`: tan(q/4) is the bulge, so its handles are a third of the chord, turned by q/2
        straight, aside = (1.0 - square) / 3, 2.0 * bulge / 3
        hx, hy = straight * dx + aside * dy, straight * dy - aside * dx
        kx, ky = straight * dx - aside * dy, straight * dy + aside * dx
        first = Point(a[0] + m[0] * hx + m[2] * hy, a[1] + m[1] * hx + m[3] * hy)
        last = Point(d[0] - m[0] * kx - m[2] * ky, d[1] - m[1] * kx - m[3] * ky)
        return [Cubic(a, first, last, d)]
    # the middle lies off the chord's middle by chord/2 × (1 - bulge²) / (2 bulge), to the left
    off = (1.0 - bulge * bulge) / (4.0 * bulge)
    cx, cy = (p[0] + q[0]) / 2 - off * (q[1] - p[1]), (p[1] + q[1]) / 2 + off * (q[0] - p[0])
    ux, uy = p[0] - cx, p[1] - cy
    whole: Affine = after(m, (ux, uy, -uy, ux, cx, cy))  # unit circle with p at angle 0
    return pinned_ends(arc(whole, 0.0, 4.0 * atan(bulge)), a, d)


def pinned_ends(curves: list[Curve], start: Point, end: Point) -> list[Curve]:
    """The run with its ends laid exactly on the points that they are next to."""
    if curves:
        curves[0] = curves[0].with_controls((start, *curves[0].controls()[1:]))
        curves[-1] = curves[-1].with_controls((*curves[-1].controls()[:-1], end))
    return curves


def closed_run(curves: list[Curve]) -> list[Curve]:
    """The run led back to where it begins."""
    if not curves:
        return curves
    start, end = curves[0].start, curves[-1].end
    if start == end:
        return curves
    if distance(start, end) <= CLOSES and len(curves) > 1:
        curves[-1] = curves[-1].with_controls((*curves[-1].controls()[:-1], start))
        return curves
    return [*curves, Line(end, start)]


def comes_back(curves: list[Curve]) -> bool:
    """Whether a run ends where it begins, and is more than a line there and back."""
    if not curves or distance(curves[0].start, curves[-1].end) > CLOSES:
        return False
    return len(curves) > 2 or any(isinstance(curve, Cubic) for curve in curves)


def strays(curves: list[Curve]) -> Point | None:
    """A point that is not finite, or farther than any pattern reaches."""
    far = FARTHEST
    for curve in curves:
        for p in curve.controls():
            if not (-far < p[0] < far and -far < p[1] < far):
                return p
    return None


def ellipse_map(cx: float, cy: float, rx: float, ry: float, turn: float = 0.0) -> Affine:
    """The unit circle laid on an ellipse; `turn` in radians."""
    c, s = cos(turn), sin(turn)
    return (rx * c, rx * s, -ry * s, ry * c, cx, cy)


def svg_arc(
    p: tuple[float, float], rx: float, ry: float, turn: float, large: bool, sweep: bool, q: tuple[float, float]
) -> tuple[Affine, float, float] | None:
    """The map of the unit circle, and the angles from and to, of an arc given by its ends; None: a straight line.

    Source: SVG 1.1, F.6.5 and F.6.6 (radii that are too small are scaled up until one arc fits).
    """
    rx, ry = abs(rx), abs(ry)
    if rx == 0.0 or ry == 0.0:
        return None
    c, s = cos(turn), sin(turn)
    dx, dy = (p[0] - q[0]) / 2, (p[1] - q[1]) / 2
    x, y = (c * dx + s * dy) / rx, (c * dy - s * dx) / ry  # half the chord, on the unit circle
    far = x * x + y * y
    if far == 0.0 or not isfinite(far):
        return None
    if far > 1.0:
        grown = sqrt(far)
        rx, ry, x, y, far = rx * grown, ry * grown, x / grown, y / grown, 1.0
    root = sqrt(max(0.0, 1.0 / far - 1.0)) * (1.0 if large == sweep else -1.0)
    ux, uy = -root * y, root * x  # the middle, from the chord's middle, on the unit circle
    cx = c * rx * ux - s * ry * uy + (p[0] + q[0]) / 2
    cy = s * rx * ux + c * ry * uy + (p[1] + q[1]) / 2
    start = atan2(y - uy, x - ux)
    end = atan2(-y - uy, -x - ux)
    if sweep and end <= start:
        end += 2 * pi
    elif not sweep and end >= start:
        end -= 2 * pi
    return ellipse_map(cx, cy, rx, ry, turn), start, end
