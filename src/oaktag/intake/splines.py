"""B-splines as cubics: exactly up to the third degree without weights, else fitted."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import hypot
from typing import Final

from ..geometry.curve import Cubic, Curve, Line
from ..geometry.point import XY, Point
from .runs import raised

WITHIN: Final = 0.002
"""mm that fitted cubics may lie off the spline."""
_HALVINGS: Final = 12
_BETWEEN: Final = 0.6
"""The share of the tolerance that seven samples may use up; the worst may lie between two of them."""


def blossom(controls: Sequence[XY], knots: Sequence[float], degree: int, span: int, at: Sequence[float]) -> Point:
    """The spline's polar form on a span of knots: de Boor's algorithm with a parameter of its own at each level.

    With all parameters alike it is the point of the spline (Ramshaw 1987, Blossoming, from memory).
    """
    d = [controls[i] for i in range(span - degree, span + 1)]
    for level in range(1, degree + 1):
        t = at[level - 1]
        for j in range(degree, level - 1, -1):
            i = span - degree + j
            width = knots[i + degree - level + 1] - knots[i]
            part = (t - knots[i]) / width if width else 0.0
            d[j] = (d[j - 1][0] + part * (d[j][0] - d[j - 1][0]), d[j - 1][1] + part * (d[j][1] - d[j - 1][1]))
    return Point(*d[degree])


def exact(controls: Sequence[XY], knots: Sequence[float], degree: int) -> list[Curve]:
    """A spline without weights, of degree 1 to 3, as lines and cubics, one for each span of its knots.

    `knots` are as many as controls and degree and one more, none less than the one before. Clamped or not.
    """
    curves: list[Curve] = []
    for span in range(degree, len(controls)):
        a, b = knots[span], knots[span + 1]
        if b <= a:
            continue
        p = [blossom(controls, knots, degree, span, [a] * (degree - j) + [b] * j) for j in range(degree + 1)]
        if curves:
            p[0] = curves[-1].end if _same(curves[-1].end, p[0]) else p[0]
        if all(q == p[0] for q in p):
            continue
        if degree == 1:
            curves.append(Line(p[0], p[1]))
        elif degree == 2:
            curves.append(raised(p[0], p[1], p[2]))
        else:
            curves.append(Cubic(p[0], p[1], p[2], p[3]))
    return curves


def _same(p: XY, q: XY) -> bool:
    return hypot(p[0] - q[0], p[1] - q[1]) < 1e-9


Place = Callable[[float], tuple[Point, Point]]
"""Point and first derivative at a parameter."""


def fitted(place: Place, start: float, end: float, *, within: float = WITHIN) -> list[Curve]:
    """Cubics with the curve's own points and derivatives at their ends, halved until they lie within `within` mm.

    The distance is taken at equal parameters, so it is never less than the true one.
    """
    return _part(place, start, place(start), end, place(end), within, 0)


def _part(
    place: Place, t0: float, a: tuple[Point, Point], t1: float, d: tuple[Point, Point], within: float, depth: int
) -> list[Curve]:
    step = (t1 - t0) / 3
    guess = Cubic(
        a[0], Point(a[0][0] + a[1][0] * step, a[0][1] + a[1][1] * step),
        Point(d[0][0] - d[1][0] * step, d[0][1] - d[1][1] * step), d[0],
    )  # fmt: skip
    worst = 0.0
    for i in range(1, 8):
        p, q = guess.at(i / 8), place(t0 + (t1 - t0) * i / 8)[0]
        worst = max(worst, hypot(p[0] - q[0], p[1] - q[1]))
    if worst <= _BETWEEN * within or depth >= _HALVINGS:
        return [guess] if worst > 0.0 or a[0] != d[0] else []
    middle = (t0 + t1) / 2
    m = place(middle)
    return _part(place, t0, a, middle, m, within, depth + 1) + _part(place, middle, m, t1, d, within, depth + 1)
