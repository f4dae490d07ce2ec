"""What is cut from what: the pieces sorted by cloth."""

from __future__ import annotations

from typing import Final

from ..model.pattern import MarkedPiece, Pattern
from ..model.piece import title_of
from ..values import dataclass

_ORDER: Final = ("shell", "lining", "interfacing")


@dataclass(frozen=True, slots=True)
class Cloth:
    """The pieces that are cut from one material, in the pattern's order."""

    material: str
    pieces: tuple[MarkedPiece, ...]

    @property
    def total(self) -> int:
        """How many pieces of cloth are cut; a pair is two, a piece on the fold is one."""
        return sum(piece.cut.piece.quantity for piece in self.pieces)

    def words(self) -> str:
        """`lining: lining front 1 on the fold, lining back 2; 3 in all`."""
        each = ", ".join(
            f"{title_of(piece.cut.piece)} {piece.cut.piece.quantity}"
            + (" on the fold" if piece.cut.piece.on_fold else "")
            for piece in self.pieces
        )
        return f"{self.material}: {each}; {self.total} in all"


def cut_list(pattern: Pattern) -> tuple[Cloth, ...]:
    """The pieces by material: shell (facings are cut from it), lining, interfacing, then any other as it occurs."""
    found: dict[str, list[MarkedPiece]] = {material: [] for material in _ORDER}
    for piece in pattern.pieces:
        found.setdefault(piece.cut.piece.material, []).append(piece)
    return tuple(Cloth(material, tuple(pieces)) for material, pieces in found.items() if pieces)
