"""What hangs from a garment and can catch: cords, ties, sashes, drawstrings, tabs."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final, Literal

from ..values import dataclass, replace
from .length import Length

Place = Literal["hood", "neck", "shoulder", "sleeve", "cuff", "waist", "back", "hem", "leg", "ankle"]
"""Where it is tied or comes out: `neck` in front or behind; `sleeve` above the elbow, `cuff` at the end of a long one;
`back` behind, but not at the neck; `hem` a lower edge above the crotch, `leg` one below it, `ankle` at full length."""
Kind = Literal["drawstring", "elastic", "tie", "sash", "tab"]
"""A drawstring runs in a channel, and so does elastic whose ends come out; elastic that is sewn in with both of them is
no cord. A sash is a belt of cloth; a tab is sewn on at one end and buttoned."""
_AT_HEAD: Final = ("hood", "neck")
_RUNS: Final = ("drawstring", "elastic")
_ROUND_IT: Final = ("waist", "hem")


@dataclass(frozen=True, slots=True)
class Cord:
    """One of them. Lengths are formulas, so that every size has its own; one found on a piece stays the base's.

    `end`: how far each free end hangs beyond its channel, or from where it is tied or sewn on, the garment laid flat at
    its full width; 0 for one whose ends stay inside, or that has none. `drawn`: the same, drawn in as far as it goes.
    `loop`: round a loop that stands out as worn. `knotted`: its ends have knots, toggles or beads. `tacked`: it is sewn
    fast in the middle of its run. `change`: which option to change where an end is too long; `{most}` is the limit.
    """

    name: str
    where: Place
    kind: Kind
    end: Length
    drawn: Length | None = None
    loop: Length | None = None
    knotted: bool = False
    tacked: bool = False
    change: str = ""

    @property
    def at_head(self) -> bool:
        """Whether it is tied or drawn at hood or neck; a tab that is buttoned there is not."""
        return self.where in _AT_HEAD and self.kind != "tab"

    @property
    def runs(self) -> bool:
        """Whether it runs in a channel, out of which it can be pulled."""
        return self.kind in _RUNS

    @property
    def goes_round(self) -> bool:
        """Whether it draws in the waist, or a lower edge above the crotch."""
        return self.where in _ROUND_IT

    def again(self, body: Mapping[str, float], style: Mapping[str, object]) -> Cord:
        """The same for another body; a length that cannot be worked again stays as it is."""

        def worked(length: Length) -> Length:
            mm = length.again(body, style)
            return length if mm is None else replace(length, mm=mm)

        return replace(
            self,
            end=worked(self.end),
            drawn=None if self.drawn is None else worked(self.drawn),
            loop=None if self.loop is None else worked(self.loop),
        )
