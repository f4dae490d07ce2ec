"""Where the pieces lie: the answer that is kept, drawn and judged."""

from __future__ import annotations

from collections.abc import Sequence

from ..geometry.affine import Move
from ..geometry.point import XY
from ..geometry.polygon import Box
from ..values import dataclass
from .cloth import Cloth
from .matching import SeamSide
from .pieces import LayPiece, Variant


@dataclass(frozen=True, slots=True)
class Placement:
    """One piece put down: as `variant`, then moved by `at` (mm; x across from the left edge, y along the cloth)."""

    piece: LayPiece
    variant: Variant
    at: XY

    def outline(self) -> tuple[XY, ...]:
        """Its cut line on the cloth, mm."""
        return self.piece.placed(self.variant, self.at)

    def matched_points(self, cloth: Cloth) -> list[tuple[SeamSide, XY]]:
        """Where its matched points lie on the cloth, by seam and side; of two layers the lower is the mirror image."""
        found: list[tuple[SeamSide, XY]] = []
        move = self.variant.move().then(Move.by(*self.at))
        for match in self.piece.matches:
            x, y = move.point(match.at)
            seam, side = self.variant.side_of(match)
            found.append(((seam, side), (x, y)))
            if cloth.layers == 2:
                found.append(((seam, -side), (-x, y)))
        return found

    def whole_move(self) -> Move:
        """From the piece's own coordinates to the cloth."""
        return self.piece.home.then(self.variant.move()).then(Move.by(*self.at))


@dataclass(frozen=True, slots=True)
class Stretch:
    """A stretch of cloth that is spread in one way, with what lies on it; `length` with both ends, mm."""

    cloth: Cloth
    placements: tuple[Placement, ...]
    length: float

    @property
    def area(self) -> float:
        """What is cut out of it, all layers, mm²."""
        return self.cloth.layers * sum(placed.piece.area for placed in self.placements)

    @property
    def whole(self) -> float:
        """The cloth there is, all layers, selvedges and all, mm²."""
        return self.length * self.cloth.spread_width * self.cloth.layers


@dataclass(frozen=True, slots=True)
class Lay:
    """All that is cut from one kind of cloth for an order: a spread stretch, perhaps a second that is opened out."""

    material: str
    stretches: tuple[Stretch, ...]
    how: str = ""
    """How it was found: `placed in order`, `packed for 20 s`."""

    @property
    def cloth(self) -> Cloth:
        return self.stretches[0].cloth

    @property
    def length(self) -> float:
        """Of the whole lay, as it lies, mm."""
        return sum(stretch.length for stretch in self.stretches)

    @property
    def to_buy(self) -> float:
        """What must be bought, with what shrinks, mm."""
        return self.cloth.to_buy(self.length)

    @property
    def use(self) -> float:
        """What of the cloth ends up in the garments, per cent of the whole width and length."""
        whole = sum(stretch.whole for stretch in self.stretches)
        return 100.0 * sum(stretch.area for stretch in self.stretches) / whole if whole else 0.0


def stretch_of(cloth: Cloth, placements: Sequence[Placement]) -> Stretch:
    """The placements on as much cloth as they need, both ends added."""
    top = max((Box.round(placed.outline()).top for placed in placements), default=0.0)
    return Stretch(cloth, tuple(placements), top + cloth.ends if placements else 0.0)
