"""Whether pieces go on the cloth that they are cut from."""

from __future__ import annotations

from collections.abc import Iterator

from ..geometry.point import XY, Point, direction
from ..model.claim import Claim, told
from ..model.finding import Finding
from ..model.length import Length
from ..model.pattern import CutPiece, Pattern
from ..model.piece import EdgeKind
from ..units import show
from ..values import dataclass


@dataclass(frozen=True, slots=True)
class GoesOnCloth(Claim):
    """Each of these pieces, with its allowances, goes on cloth of that width, straight or across; one that is cut on
    the fold lies opened out. `change` has `{more}` for what the cloth lacks."""

    pieces: tuple[str, ...]
    wide: Length

    def check(self, pattern: Pattern) -> Iterator[Finding]:
        unit, cloth = pattern.unit, self.wide.mm
        found, name = max((narrow_side(pattern.piece(name).cut), name) for name in self.pieces)
        say = f"{name}: it needs cloth {show(found, unit)} wide; this is {show(cloth, unit)}."
        do = f"It does not go on it: {told(self.change, unit, more=found - cloth)}"
        yield self.finding(found <= cloth + 0.1, round(found, 1), round(cloth, 1), say, do)


def narrow_side(cut: CutPiece) -> float:
    """The shorter side of the box round what is cut, its fold opened out, along the fold or the grain, mm."""
    fold = next((edge for edge in cut.piece.edges if edge.kind is EdgeKind.FOLD), None)
    a, b = (fold.start, fold.end) if fold else cut.piece.grain
    way = direction(a, b)
    off = [_across(way, a, p) for p in cut.cut_line]
    far = [(p[0] - a[0]) * way.x + (p[1] - a[1]) * way.y for p in cut.cut_line]
    wide = 2 * max(map(abs, off)) if fold else max(off) - min(off)
    return min(wide, max(far) - min(far))


def _across(way: Point, a: XY, p: XY) -> float:
    return (p[1] - a[1]) * way.x - (p[0] - a[0]) * way.y
