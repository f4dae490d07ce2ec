"""Moves, turns and mirrors: the plane maps that keep full size."""

from __future__ import annotations

from math import cos, radians, sin

from ..values import dataclass
from .point import Point, Polyline


@dataclass(frozen=True, slots=True)
class Move:
    """x' = xx x + xy y + dx, y' = yx x + yy y + dy; only turns and mirrors, so sizes never change."""

    xx: float = 1.0
    xy: float = 0.0
    yx: float = 0.0
    yy: float = 1.0
    dx: float = 0.0
    dy: float = 0.0

    @classmethod
    def by(cls, dx: float, dy: float) -> Move:
        """Shift by (dx, dy) mm."""
        return cls(dx=dx, dy=dy)

    @classmethod
    def quarters(cls, turns: int) -> Move:
        """Counter-clockwise about the origin by `turns` quarter turns."""
        c, s = ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[turns % 4]
        return cls(c, -s, s, c)

    @classmethod
    def turned(cls, angle_deg: float) -> Move:
        """Counter-clockwise about the origin; exact for quarter turns."""
        quarters = angle_deg / 90.0
        if quarters == round(quarters):
            return cls.quarters(round(quarters))
        c, s = cos(radians(angle_deg)), sin(radians(angle_deg))
        return cls(c, -s, s, c)

    def then(self, after: Move) -> Move:
        """This move followed by another."""
        return Move(
            after.xx * self.xx + after.xy * self.yx,
            after.xx * self.xy + after.xy * self.yy,
            after.yx * self.xx + after.yy * self.yx,
            after.yx * self.xy + after.yy * self.yy,
            after.xx * self.dx + after.xy * self.dy + after.dx,
            after.yx * self.dx + after.yy * self.dy + after.dy,
        )

    def point(self, p: tuple[float, float]) -> Point:
        """One point moved."""
        return Point(self.xx * p[0] + self.xy * p[1] + self.dx, self.yx * p[0] + self.yy * p[1] + self.dy)

    def points(self, line: Polyline) -> tuple[tuple[float, float], ...]:
        """All points moved."""
        xx, xy, yx, yy, dx, dy = self.xx, self.xy, self.yx, self.yy, self.dx, self.dy
        if xx == yy == 1.0 and xy == yx == 0.0:  # most moves only shift
            return tuple([(x + dx, y + dy) for x, y in line])
        return tuple([(xx * x + xy * y + dx, yx * x + yy * y + dy) for x, y in line])
