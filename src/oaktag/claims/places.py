"""Where darts end, what a side takes in, how an armhole is scooped."""

from __future__ import annotations

from collections.abc import Iterator

from ..model.claim import Claim, told
from ..model.finding import Finding, Severity
from ..model.length import Length
from ..model.pattern import Pattern
from ..units import show, show_at_most
from ..values import dataclass


@dataclass(frozen=True, slots=True)
class DartEnds(Claim):
    """A dart ends from `least` to `most` mm below a place of the body, neither on it nor far from it.

    The place lies so far `down` from the piece's top line.
    """

    piece: str
    dart: str
    about: str
    down: Length
    least: float
    most: float

    @property
    def words(self) -> str:
        return f"end of the {self.dart} dart"

    def check(self, pattern: Pattern) -> Iterator[Finding]:
        unit, least, most = pattern.unit, self.least, self.most
        darts = pattern.piece(self.piece).cut.piece.darts
        tip = next((d.points[1] if d.is_open else d.points[0] for d in darts if d.name == self.dart), None)
        if tip is None:
            return
        short = -self.down.mm - tip.y
        held = least - 0.1 <= short <= most + 0.1
        where = f"{show(abs(short), unit)} {'below' if short >= 0 else 'above'} the {self.about}"
        say = f"{self.piece}: the {self.dart} dart ends {where}."
        do = f"{show(least, unit)} to {show(most, unit)} below it is usual. {self.change}"
        limit = least if short < least else most
        yield self.finding(held, round(short, 2), limit, say, do, Severity.WARNING)


@dataclass(frozen=True, slots=True)
class SideTakesIn(Claim):
    """A side runs in, from an outer to an inner point of any of these pieces, by no more than can be pressed smooth;
    darts take the rest. Or, told as a note, by no more than is usual. `side.<where>`, a warning or a note.
    """

    places: tuple[tuple[str, str, str], ...]
    """Piece, outer point, inner point."""
    most: Length
    severity: Severity = Severity.WARNING

    def check(self, pattern: Pattern) -> Iterator[Finding]:
        unit, made = pattern.unit, {piece.name: piece.cut.piece.points for piece in pattern.pieces}
        found = [
            (made[piece][outer].x - made[piece][inner].x, piece, outer)
            for piece, outer, inner in self.places
            if piece in made
        ]
        if not found:
            return
        taken, piece, outer = max(found)
        most, start = self.most.mm, outer.split("_")[0]
        say = f"{piece}: its side runs in by {show(max(0.0, taken), unit)} from {start} to {self.words}."
        limit = "usual" if self.severity is Severity.INFO else "the most"
        do = f"At one edge {show_at_most(most, unit)} is {limit}. {self.change}"
        yield self.finding(taken <= most + 0.1, round(taken, 2), most, say, do, self.severity)


@dataclass(frozen=True, slots=True)
class ArmholeScoop(Claim):
    """The armhole reaches far enough under the arm: the point `under` it beyond the one in its `middle`.

    `change` has `{hollow}`, by how much the middle must lie inside the point at the `top`, and `{girth}`, what the
    garment lacks all round. A warning.
    """

    pieces: tuple[str, ...]
    under: str
    middle: str
    top: str
    least: float

    def check(self, pattern: Pattern) -> Iterator[Finding]:
        unit, least = pattern.unit, self.least
        for piece in pattern.pieces:
            if piece.name not in self.pieces:
                continue
            points = piece.cut.piece.points
            wide = points[self.under].x - points[self.middle].x
            lack = least - wide
            hollow = points[self.top].x - points[self.middle].x + lack
            say = f"{piece.name}: the armhole is scooped {show(wide, unit)} beyond mid armhole, under the arm."
            do = f"Less than {show(least, unit)} is pinched and rubs: "
            do += told(self.change, unit, hollow=hollow, girth=4 * lack)
            yield self.finding(wide >= least - 0.1, round(wide, 2), least, say, do, Severity.WARNING)
