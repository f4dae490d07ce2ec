"""What a draft hands on: pieces, seams, worked steps, and the facts that the checks need."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal, TypeAlias

from ..units import Unit, show
from ..values import dataclass, field
from .claim import Claim
from .cord import Cord
from .fitted import Altered, SeamFitted
from .piece import Join, Piece, Seam
from .widths import Allowance


@dataclass(frozen=True, slots=True)
class Step:
    """One worked line of the draft. `formula` holds `{name}` for each length in `lengths` (mm); value in mm."""

    piece: str
    label: str
    formula: str
    value: float
    lengths: Mapping[str, float] = field(default_factory=dict)
    at: str = ""
    """The coordinate of a named point that this step gives: `underarm.x`, `underarm.y` (as a depth)."""
    level: bool = False
    """The depth is that of a level line, square across the piece and called as the label says."""
    about: tuple[str, ...] = ()
    """What it tells of besides: names of edges, points, notches, lines inside; of a dart, its name and "dart"."""

    def words(self, unit: Unit) -> str:
        """The formula in the maker's units: `bust girth ÷ 6 + 1 in + 1 1/2 in`."""
        return self.formula.format(**{name: show(mm, unit) for name, mm in self.lengths.items()})


@dataclass(frozen=True, slots=True)
class Notion:
    """A thing to buy besides cloth, as long as the seam it is sewn into is open; `option` is what sets its length, mm.

    `top` and `end` are the notches at its ends; where no notch is named `top`, it starts where the end's seam does.
    What is bought by the piece has a `count` and no end: its length is how wide it is across (a button).
    """

    name: str
    length: float
    option: str
    top: str
    end: str
    count: int = 0


@dataclass(frozen=True, slots=True)
class OptionTold:
    """An option as reports tell it: its usual value, or how it is worked out where it is left open."""

    name: str
    words: str
    usual: float | str | None
    worked: str = ""


Fold: TypeAlias = Literal["lengthwise", "crosswise"]
"""Along the grain, so that the fold lies at the left; or across it, so that it lies at the top."""


@dataclass(frozen=True, slots=True)
class Draft:
    """Named points, curves and pieces, with the steps that led there."""

    garment: str
    pieces: tuple[Piece, ...]
    seams: tuple[Seam, ...]
    joins: tuple[Join, ...]
    steps: tuple[Step, ...]
    notes: tuple[str, ...]
    body: Mapping[str, float]
    style: Mapping[str, float | str]
    default_allowances: Mapping[str, Allowance]
    claims: tuple[Claim, ...] = ()
    noun: str = "garment"
    """What it is called in a sentence: dress."""
    options: tuple[OptionTold, ...] = ()
    """All that could be chosen; `style` has what was."""
    uses: tuple[str, ...] = ()
    """The measurements that the method can use; none named: all of them."""
    worked: Mapping[str, float | str] = field(default_factory=dict)
    """What options came to that were left open, lengths in mm."""
    assumed: tuple[str, ...] = ()
    """What was assumed for measurements that were not taken, and that the checks alone hang on."""
    notions: tuple[Notion, ...] = ()
    cords: tuple[Cord, ...] = ()
    """What hangs from it and can catch."""
    advice: Mapping[str, str] = field(default_factory=dict)
    """What to change in its options, by a check of any pattern and what that speaks of: `dart.intake bust`;
    one that begins with `note` makes no more than a note of it: `note dart.intake bust`, or of one piece's,
    `note dart.intake front waist`."""
    zero_levels: tuple[str, ...] = ()
    """The levels on which the sizes of a piece are laid on each other: the first that it has (common practice, no
    source: bust line, biceps line, hip line)."""
    neck_edges: tuple[str, ...] = ()
    """The edges at shoulder and neck, and those of facings and linings, which move as the edge that is faced."""
    match_at: tuple[str, ...] = ()
    """The notches at which a seam is matched on patterned cloth, the first that it has."""
    sewing_order: tuple[str, ...] = ()
    """Edge names in the order in which they are sewn, where a maker told it; else it is that of the list of seams."""
    folding: Mapping[str, tuple[Fold, ...]] = field(default_factory=dict)
    """Of pieces that are chalked on folded cloth and cut through all its layers: how it is folded, first fold first."""
    by_hand: float = 0.0
    """Up to here what does not fit is told and stops nothing, mm: of a pattern that was drawn elsewhere, by hand
    perhaps; 0 for one that was drafted."""
    altered: tuple[Altered, ...] = ()
    """The faults of fit that were mended, in their order."""
    halves: Mapping[str, str] = field(default_factory=dict)
    """Of edges that are drawn for one side of the wearer, as `front_left.side`, what they are called of both."""
    fitted: tuple[SeamFitted, ...] = ()
    """The seams that this changed."""
