"""Exact lines and cubics. They are flattened on the way to a device, not before."""

from __future__ import annotations

from cmath import sqrt as sqrt_of
from math import ceil, hypot, sqrt
from typing import Final, TypeAlias

from ..values import dataclass
from .point import XY, Point, between, direction

CHORD: Final = 0.05
"""Greatest distance from chord to curve when flattening, mm (the project's tolerance)."""

_GAUSS_16: Final = (
    (0.0950125098376374, 0.1894506104550685),
    (0.2816035507792589, 0.1826034150449236),
    (0.4580167776572274, 0.1691565193950025),
    (0.6178762444026438, 0.1495959888165767),
    (0.7554044083550030, 0.1246289712555339),
    (0.8656312023878318, 0.0951585116824928),
    (0.9445750230732326, 0.0622535239386479),
    (0.9894009349916499, 0.0271524594117541),
)
"""Abscissae and weights of 16-point Gauss-Legendre quadrature (Abramowitz & Stegun 1964, table 25.4)."""
_AT: Final = tuple((0.5 + 0.5 * sign * x, 0.5 * weight) for x, weight in _GAUSS_16 for sign in (-1.0, 1.0))
_NODES: Final = tuple((weight, (1.0 - t) * (1.0 - t), 2 * (1.0 - t) * t, t * t) for t, weight in _AT)
"""Of each node its weight, and how much of each control of the derivative counts there."""
_ELLIPSE: Final = 1.2
"""Sum of the distances from a root to both ends, in stretches, from which on the quadrature is accurate."""
_ALIKE: Final = 0.6
"""Square of how far, in lengths of the middle one of the derivative's controls, the other two may lie from it: then no
root lies in that ellipse, which spares looking for it (|1 - t|² + |t|² is at most 1.22 in there)."""
_TINY: Final = 1e-4
"""So short a curve needs no more halving, mm."""


@dataclass(frozen=True, slots=True)
class Line:
    """A straight run from a to b."""

    a: Point
    b: Point

    @property
    def start(self) -> Point:
        return self.a

    @property
    def end(self) -> Point:
        return self.b

    def at(self, t: float) -> Point:
        """Point at parameter t, 0 to 1."""
        return between(self.a, self.b, t)

    def way(self, t: float) -> Point:
        """Unit direction at parameter t."""
        return direction(self.a, self.b)

    def length(self) -> float:
        """Length in mm."""
        return hypot(self.b[0] - self.a[0], self.b[1] - self.a[1])

    def chords(self, chord: float = CHORD) -> int:
        """How many chords come within `chord` mm of it: one."""
        return 1

    def flat(self, chord: float = CHORD, *, chords: int = 0) -> list[XY]:
        """Its points after the first."""
        return [self.b]

    def split(self, t: float) -> tuple[Line, Line]:
        """The two parts before and after parameter t."""
        middle = self.at(t)
        return Line(self.a, middle), Line(middle, self.b)

    def reversed(self) -> Line:
        """The same run walked the other way."""
        return Line(self.b, self.a)

    def controls(self) -> tuple[Point, ...]:
        """Its defining points."""
        return (self.a, self.b)

    def with_controls(self, points: tuple[Point, ...]) -> Line:
        """A line on other defining points."""
        return Line(*points)


@dataclass(frozen=True, slots=True)
class Cubic:
    """A cubic from a to d, leaving towards b and arriving from c."""

    a: Point
    b: Point
    c: Point
    d: Point

    @classmethod
    def leaving_and_arriving(cls, a: XY, leave: XY, d: XY, arrive: XY) -> Cubic:
        """From a, leaving by the handle vector `leave`, to d, arriving by the handle vector `arrive` (mm)."""
        return cls(
            Point(*a), Point(a[0] + leave[0], a[1] + leave[1]), Point(d[0] - arrive[0], d[1] - arrive[1]), Point(*d)
        )

    @property
    def start(self) -> Point:
        return self.a

    @property
    def end(self) -> Point:
        return self.d

    def at(self, t: float) -> Point:
        """Point at parameter t, 0 to 1."""
        u = 1.0 - t
        k0, k1, k2, k3 = u * u * u, 3 * u * u * t, 3 * u * t * t, t * t * t
        return Point(
            k0 * self.a[0] + k1 * self.b[0] + k2 * self.c[0] + k3 * self.d[0],
            k0 * self.a[1] + k1 * self.b[1] + k2 * self.c[1] + k3 * self.d[1],
        )

    def speed(self, t: float) -> Point:
        """First derivative at t."""
        u = 1.0 - t
        k0, k1, k2 = 3 * u * u, 6 * u * t, 3 * t * t
        return Point(
            k0 * (self.b[0] - self.a[0]) + k1 * (self.c[0] - self.b[0]) + k2 * (self.d[0] - self.c[0]),
            k0 * (self.b[1] - self.a[1]) + k1 * (self.c[1] - self.b[1]) + k2 * (self.d[1] - self.c[1]),
        )

    def bend(self, t: float) -> float:
        """Signed curvature at t, 1/mm, left positive."""
        x1, y1 = self.speed(t)
        u = 1.0 - t
        x2 = 6 * (u * (self.c[0] - 2 * self.b[0] + self.a[0]) + t * (self.d[0] - 2 * self.c[0] + self.b[0]))
        y2 = 6 * (u * (self.c[1] - 2 * self.b[1] + self.a[1]) + t * (self.d[1] - 2 * self.c[1] + self.b[1]))
        size = hypot(x1, y1)
        return (x1 * y2 - y1 * x2) / size**3 if size else 0.0

    def way(self, t: float) -> Point:
        """Unit direction at parameter t, also where an end handle has no length."""
        x, y = self.speed(t)
        size = hypot(x, y)
        if size > 1e-9:
            return Point(x / size, y / size)
        near = 1e-4 if t < 0.5 else -1e-4
        return direction(self.at(t), self.at(t + near)) if t < 0.5 else direction(self.at(t + near), self.at(t))

    def length(self) -> float:
        """Length in mm, within 1e-6 mm on a garment: 16-point Gauss-Legendre quadrature, in halves where it must be.

        The speed is the root of a polynomial that is zero where the derivative, taken as a complex number, or its
        mirror image is. The rule is accurate unless such a root lies near the stretch from 0 to 1: within an ellipse
        about its ends (Trefethen, Approximation Theory and Approximation Practice, 2013, th. 19.3, from memory).
        """
        ax, ay = self.a
        x1, y1 = self.b[0] - ax, self.b[1] - ay
        x2, y2 = self.c[0] - self.b[0], self.c[1] - self.b[1]
        x3, y3 = self.d[0] - self.c[0], self.d[1] - self.c[1]
        px, py, qx, qy = x1 - x2, y1 - y2, x3 - x2, y3 - y2
        alike = _ALIKE * (x2 * x2 + y2 * y2)
        if (px * px + py * py > alike or qx * qx + qy * qy > alike) and not self._is_smooth():
            before, after = self.split(0.5)
            return before.length() + after.length()
        total = 0.0
        for weight, k0, k1, k2 in _NODES:
            total += weight * hypot(k0 * x1 + k1 * x2 + k2 * x3, k0 * y1 + k1 * y2 + k2 * y3)
        return 3.0 * total

    def _is_smooth(self) -> bool:
        """Whether the derivative, a quadratic given by its three controls, is zero nowhere near the stretch 0 to 1.

        Its roots are far / lead and first / far, never divided out, since either may lie at infinity.
        """
        (ax, ay), (bx, by), (cx, cy), (dx, dy) = self.a, self.b, self.c, self.d
        first, middle, last = complex(bx - ax, by - ay), complex(cx - bx, cy - by), complex(dx - cx, dy - cy)
        half = first - middle
        lead, root = half - middle + last, sqrt_of(middle * middle - first * last)
        far = half + root if abs(half + root) >= abs(half - root) else half - root
        clear = abs(first) + abs(first - far) >= _ELLIPSE * abs(far)
        if clear and abs(far) + abs(far - lead) >= _ELLIPSE * abs(lead):
            return True
        return abs(first) + abs(middle) + abs(last) <= _TINY

    def chords(self, chord: float = CHORD) -> int:
        """How many chords of equal parameter come within `chord` mm of the curve.

        By the second-difference bound, after Wang (1984), from memory.
        """
        (x0, y0), (x1, y1), (x2, y2), (x3, y3) = self.a, self.b, self.c, self.d
        bend = max(hypot(x0 - 2 * x1 + x2, y0 - 2 * y1 + y2), hypot(x1 - 2 * x2 + x3, y1 - 2 * y2 + y3))
        return ceil(sqrt(6 * bend / (8 * chord))) or 1

    def flat(self, chord: float = CHORD, *, chords: int = 0) -> list[XY]:
        """Its points after the first, no chord further than `chord` mm from the curve; or that many `chords`."""
        n = chords or self.chords(chord)
        (x0, y0), (x1, y1), (x2, y2), (x3, y3) = self.a, self.b, self.c, self.d
        cx, bx = 3 * (x1 - x0), 3 * (x2 - 2 * x1 + x0)
        cy, by = 3 * (y1 - y0), 3 * (y2 - 2 * y1 + y0)
        ax, ay = x3 - x0 - cx - bx, y3 - y0 - cy - by
        h = 1.0 / n
        points: list[XY] = []
        for i in range(1, n):
            t = i * h
            points.append((((ax * t + bx) * t + cx) * t + x0, ((ay * t + by) * t + cy) * t + y0))
        points.append((x3, y3))
        return points

    def split(self, t: float) -> tuple[Cubic, Cubic]:
        """The two parts before and after parameter t (de Casteljau)."""
        ab, bc, cd = between(self.a, self.b, t), between(self.b, self.c, t), between(self.c, self.d, t)
        abc, bcd = between(ab, bc, t), between(bc, cd, t)
        middle = between(abc, bcd, t)
        return Cubic(self.a, ab, abc, middle), Cubic(middle, bcd, cd, self.d)

    def reversed(self) -> Cubic:
        """The same run walked the other way."""
        return Cubic(self.d, self.c, self.b, self.a)

    def controls(self) -> tuple[Point, ...]:
        """Its defining points."""
        return (self.a, self.b, self.c, self.d)

    def with_controls(self, points: tuple[Point, ...]) -> Cubic:
        """A cubic on other defining points."""
        return Cubic(*points)


Curve: TypeAlias = Line | Cubic
