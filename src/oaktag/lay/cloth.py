"""The cloth that is laid on: how wide it is, how it is spread, and what must be kept to."""

from __future__ import annotations

from math import ceil
from typing import Final

from ..geometry.polygon import Box
from ..units import INCH
from ..values import dataclass, replace

YARD: Final = 36 * INCH
SPREADS: Final = ("open", "fold", "tubular")
"""Flat in one layer; folded lengthwise, right sides together; a knitted tube lying flat, with a fold at both sides."""
GAP: Final = 3.0
"""Between pieces, mm: room for the blade (common practice, no source)."""
SELVEDGE: Final = 10.0
"""Kept free along each selvedge, mm (common practice, no source: 1 to 2 cm are woven tighter, printed or pierced)."""
ENDS: Final = 10.0
"""Kept free at either end of the lay, mm (common practice, no source: 1 to 2 cm)."""


def shop_length(length: float, inches: bool) -> float:
    """Rounded up to what a shop cuts: 5 cm, or an eighth of a yard (common practice, no source); mm.

    >>> shop_length(1301.0, False), shop_length(1300.0, False), round(shop_length(1000.0, True), 1)
    (1350.0, 1300.0, 1028.7)
    """
    step = YARD / 8 if inches else 50.0
    return ceil(length / step - 1e-6) * step


@dataclass(frozen=True, slots=True)
class Cloth:
    """One kind of cloth; lengths in mm. `width` is the width as it is sold: of a tube, as it lies flat.

    `shrink_along` and `shrink_across` are parts of its length and width that the cloth loses in the wash before it is
    cut. `repeat_along` and `repeat_across` are those of a stripe or check, 0: none. `flaws` are boxes to keep off,
    measured from the lower left corner of the lay as it is spread (a fold at the left). `tolerance_deg`: how far the
    grain may be off the cloth's.
    """

    width: float
    spread: str = "open"
    one_way: bool = False
    gap: float = GAP
    selvedge: float = SELVEDGE
    ends: float = ENDS
    shrink_along: float = 0.0
    shrink_across: float = 0.0
    tolerance_deg: float = 0.0
    flaws: tuple[Box, ...] = ()
    repeat_along: float = 0.0
    repeat_across: float = 0.0

    @property
    def washed_width(self) -> float:
        """Its width when it is cut, mm."""
        return self.width * (1.0 - self.shrink_across)

    @property
    def spread_width(self) -> float:
        """How wide it lies on the table, mm."""
        return self.washed_width / 2 if self.spread == "fold" else self.washed_width

    @property
    def left(self) -> float:
        """Where pieces may begin, mm from the left edge: at a fold that is the edge itself."""
        return self.selvedge if self.spread == "open" else 0.0

    @property
    def right(self) -> float:
        """Where they must end."""
        return self.spread_width - (0.0 if self.spread == "tubular" else self.selvedge)

    @property
    def room(self) -> tuple[float, float]:
        """From and to across, for outlines that are wider by half the gap: as far beyond, but not beyond a fold."""
        half = self.gap / 2
        left = self.left - half if self.spread == "open" else 0.0
        return left, self.right + (half if self.spread != "tubular" else 0.0)

    @property
    def layers(self) -> int:
        """How many a knife goes through."""
        return 1 if self.spread == "open" else 2

    @property
    def matched(self) -> bool:
        """Whether a stripe or check binds the pieces."""
        return self.repeat_along > 0 or self.repeat_across > 0

    def opened(self) -> Cloth:
        """The same cloth flat in one layer (a tube cut open)."""
        width = self.width * 2 if self.spread == "tubular" else self.width
        return replace(self, width=width, spread="open", flaws=())

    def to_buy(self, length: float) -> float:
        """The length that must be bought for a lay of that length, mm: as much longer as it shrinks."""
        return length / (1.0 - self.shrink_along)

    def words(self) -> str:
        """`folded, two-way`."""
        spread = {"open": "open", "fold": "folded lengthwise", "tubular": "tubular"}[self.spread]
        return f"{spread}, {'one-way' if self.one_way else 'two-way'}"
