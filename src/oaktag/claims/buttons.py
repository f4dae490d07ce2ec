"""Buttonholes: long enough for the button, inside the piece, and not too near to its finished edge."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from ..geometry.point import along, direction, distance
from ..geometry.polygon import contains, distance_to_line
from ..model.claim import Claim
from ..model.finding import Finding, Severity
from ..model.length import Length
from ..model.pattern import Pattern
from ..model.piece import LineKind
from ..units import show
from ..values import dataclass

HOLE_LONGER: Final = 3.0
"""A hole is longer than its button, mm (two makers' lists, for flat buttons)."""
PAST_BUTTON: Final = 3.0
"""From the end of a hole to the middle of its button, mm (a maker's list)."""
FROM_EDGE: Final = 0.75
"""The middle of a button lies within the finished edge by this part of its diameter at least (a maker's list, of the
extension beyond the centre line)."""


@dataclass(frozen=True, slots=True)
class HolesKept(Claim):
    """The lines of a piece whose names begin with `lines` are holes for a button of that diameter: 3 mm longer at
    least, inside the piece, and far enough from its finished edge: the stitch line, or a fold.

    A button stands 3 mm from the first end of its hole. `<id>.fits`, `<id>.inside`, `<id>.edge`.
    """

    piece: str
    button: Length
    lines: str

    @property
    def words(self) -> str:
        return "buttonholes"

    def check(self, pattern: Pattern) -> Iterator[Finding]:
        unit, cut, button = pattern.unit, pattern.piece(self.piece).cut, self.button.mm
        holes = [line for line in cut.piece.internal_lines if line.name.startswith(self.lines)]
        if not holes:
            return
        ring = cut.stitch_line
        lines = [[*ring, ring[0]], *(line.points for line in cut.piece.internal_lines if line.kind is LineKind.FOLD)]
        shortest, least = min(distance(*hole.points) for hole in holes), button + HOLE_LONGER
        say = f"{self.piece}: the buttonholes are {show(shortest, unit)} long, the button {show(button, unit)} wide."
        do = f"{show(least, unit)} is wanted, or it does not go through."
        yield self.finding(shortest >= least - 0.1, round(shortest, 2), round(least, 2), say, do, part="fits")
        out = [hole.name for hole in holes if not all(contains(ring, p) for p in hole.points)]
        say = f"{self.piece}: {'its buttonholes lie inside it' if not out else ', '.join(out) + ' leaves the piece'}."
        yield self.finding(not out, len(out), 0, say, self.change, part="inside")
        stands = {hole.name: along(hole.points[0], direction(*hole.points), PAST_BUTTON) for hole in holes}
        near, name = min((distance_to_line(p, line), name) for name, p in stands.items() for line in lines)
        least = FROM_EDGE * button
        say = f"{self.piece}: the button of {name} stands {show(near, unit)} from the finished edge."
        do = f"Less than {show(least, unit)} and it reaches over: {self.change}"
        yield self.finding(near >= least - 0.1, round(near, 2), round(least, 2), say, do, Severity.WARNING, "edge")
