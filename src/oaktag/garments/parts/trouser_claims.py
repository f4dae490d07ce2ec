"""What trousers promise under the fork: a saddle as wide as the body is deep, and curves that meet smoothly."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from ...geometry.curve import Cubic
from ...geometry.point import Point, distance, turn_deg
from ...model.claim import Claim, told
from ...model.finding import Finding, Severity
from ...model.length import Length
from ...model.pattern import Pattern
from ...model.piece import Edge, Piece
from ...model.ref import Ref, refs
from ...units import show
from ...values import dataclass

LEAST_SADDLE: Final = 0.14
MOST_SADDLE: Final = 0.20
"""Of the hip girth (garments handbook, trousers, from published drafts that have 0.15 to 0.19)."""
FORKS: Final = refs("front.crotch", "back.crotch")
TOGETHER: Final = 2.0
"""Degrees by which the corners at the fork may miss 180 together (worked rules for trousers)."""


@dataclass(frozen=True, slots=True)
class Saddle(Claim):
    """From the fork of the front to that of the back, both measured from the upright of the centre front, trousers are
    as wide as bodies are deep: from 0.14 to 0.20 of the hip girth. A warning. `change` has `{off}`."""

    hip: Length
    forks: tuple[Ref, ...] = FORKS

    def measured(self, pattern: Pattern) -> float:
        """How wide it is, mm."""
        front, back = (piece.points for piece in _halves(pattern, self.forks))
        return 2 * front["seat"].x - front["fork"].x - back["fork"].x

    def check(self, pattern: Pattern) -> Iterator[Finding]:
        unit, found, hip = pattern.unit, self.measured(pattern), self.hip.mm
        limit = hip * (LEAST_SADDLE if found < hip * LEAST_SADDLE else MOST_SADDLE)
        held = LEAST_SADDLE * hip - 1 <= found <= MOST_SADDLE * hip + 1
        say = f"saddle: {show(found, unit)} from fork to fork, {found / hip:.2f} of the hip girth."
        do = f"{LEAST_SADDLE} to {MOST_SADDLE:.2f} of it is usual: {told(self.change, unit, off=abs(found - limit))}"
        yield self.finding(held, round(found, 2), round(limit, 2), say, do, Severity.WARNING)


@dataclass(frozen=True, slots=True)
class UnderTheFork(Claim):
    """Sewn together, front and back crotch run under the fork without a corner, and neither curve bends both ways."""

    forks: tuple[Ref, ...] = FORKS

    def check(self, pattern: Pattern) -> Iterator[Finding]:
        pieces = _halves(pattern, self.forks)
        corners = [_corner(piece) for piece in pieces]
        off = abs(sum(corners) - 180.0)
        bent = [piece.name for piece in pieces if _is_an_s(piece.edge("crotch"))]
        say = f"under the fork: front {corners[0]:.1f}° and back {corners[1]:.1f}°, together 180° within {TOGETHER:g}."
        do = f"The curve of the {' and the '.join(bent)} bends both ways: {self.change}" if bent else self.change
        yield self.finding(off <= TOGETHER and not bent, round(off, 2), TOGETHER, say, do)


def _halves(pattern: Pattern, forks: tuple[Ref, ...]) -> list[Piece]:
    """The front and the back, of the side that is drawn where left and right are unlike."""
    return [pattern.piece(forks[k].piece).cut.piece for k in (0, len(forks) // 2)]


def _corner(piece: Piece) -> float:
    """The angle between crotch and inseam, inside the piece, degrees."""
    fork = piece.points["fork"]
    one, other = (_way_in(piece.edge(name), fork) for name in ("crotch", "inseam"))
    return abs(turn_deg(one, other))


def _way_in(edge: Edge, at: Point) -> Point:
    """The direction in which an edge leaves one of its ends."""
    if distance(edge.start, at) < distance(edge.end, at):
        return edge.curves[0].way(0.0)
    x, y = edge.curves[-1].way(1.0)
    return Point(-x, -y)


def _is_an_s(edge: Edge) -> bool:
    bends = [curve.bend(k / 12) for curve in edge.curves if isinstance(curve, Cubic) for k in range(13)]
    return min(bends, default=0.0) < -1e-6 and max(bends, default=0.0) > 1e-6
