"""What a pattern-data file holds, in the words of the trade: mm, y up, whatever the file's own units.

Layers: ASTM D6673-10, 4.3, as public notes on it and 37 exchange files show them.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final, Literal, TypeAlias

from ..geometry.point import XY
from ..values import dataclass, field

DeclaredUnits: TypeAlias = Literal["metric", "english", ""]

BOUNDARY, TURN, CURVE, NOTCH, GRADE, MIRROR, GRAIN, INTERNAL = 1, 2, 3, 4, 5, 6, 7, 8
STRIPE, PLAID, CUTOUT, DRILL, STITCH, ANNOTATION = 9, 10, 11, 13, 14, 15
NOTCH_LAYERS: Final = {NOTCH: "slit", 80: "T", 81: "castle", 82: "check", 83: "U"}
"""Notches by layer; one on layer 4 that has a width is a V."""
VALIDATED: Final = {84: BOUNDARY, 85: INTERNAL, 86: CUTOUT, 87: STITCH}
"""Which layer's lines a validation layer holds again, densely sampled."""
SCALE_PIECES: Final = {"SCALE_100_MM": 100.0, "SCALE_4_IN": 101.6}
"""Blocks that prove the scale and are not cut, with the side of their square, mm."""


@dataclass(frozen=True, slots=True)
class LineData:
    """A line on a layer; a closed one does not repeat its first point. In the file's order."""

    points: tuple[XY, ...]
    closed: bool = False
    layer: int = INTERNAL


@dataclass(frozen=True, slots=True)
class NotchData:
    """A notch as the file has it.

    `depth` is |30|: whether a sign means "stands out" is unsettled, so it is kept in `signed_depth` alone. `width` is
    its breadth at the boundary, 0 for a slit. `angle_deg` is counter-clockwise from +X, None where the file leaves
    it out (square to the boundary). `on` is the nearest place on the boundary, `off` how far that is.
    """

    point: XY
    kind: str
    depth: float
    width: float
    angle_deg: float | None
    layer: int
    on: XY
    off: float
    signed_depth: float = 0.0


@dataclass(frozen=True, slots=True)
class DrillHole:
    """A drill hole; `diameter` is 0 where the file gives none. `kind` is the drill's number, if told."""

    point: XY
    diameter: float = 0.0
    kind: str = ""


@dataclass(frozen=True, slots=True)
class RuleTag:
    """Which grade rule moves the point at `point`; `layer` is where the tag stands."""

    rule: int
    alternate: int | None
    layer: int
    point: XY


@dataclass(frozen=True, slots=True)
class TextData:
    """A text that is not a fact of the piece; `height` in mm."""

    words: str
    point: XY
    height: float
    angle_deg: float
    layer: int


@dataclass(frozen=True, slots=True)
class StyleData:
    """What the file says of the style. `units` is what it declares, "" where it declares none."""

    name: str = ""
    sample_size: str = ""
    rule_table: str = ""
    units: DeclaredUnits = ""
    date: str = ""
    time: str = ""
    author: str = ""
    version: str = ""
    curve_tolerance: str = ""
    others: Mapping[str, str] = field(default_factory=dict)
    """Identifiers that the standard does not have, in small letters, with their values."""
    texts: tuple[str, ...] = ()
    """Texts without an identifier."""


@dataclass(frozen=True, slots=True)
class PieceData:
    """One piece in one size; mm, where its INSERT puts it.

    `boundary` is counter-clockwise, without repeated points, and begins at the file's first vertex. `boundary_raw` has
    every vertex in the file's own order, chains joined, without the closing repetition of the first: vertices of
    several sizes of a piece are compared by their index in it. `boundary[i]` is `boundary_raw[from_raw[i]]`.
    `right` and `left` are how many are cut as drawn and mirrored; `left` is None where the file has one number only.
    """

    block: str
    name: str
    size: str
    boundary: tuple[XY, ...]
    boundary_raw: tuple[XY, ...]
    from_raw: tuple[int, ...]
    clockwise: bool
    """Whether the file draws the boundary clockwise."""
    right: int | None = None
    left: int | None = None
    material: str = ""
    category: str = ""
    annotation: str = ""
    rotation: str = ""
    flip: str = ""
    tilt: str = ""
    fold: str = ""
    facts: Mapping[str, str] = field(default_factory=dict)
    """Identifiers that the standard does not have, in small letters, with their values."""
    stitch_lines: tuple[LineData, ...] = ()
    internal_lines: tuple[LineData, ...] = ()
    cutouts: tuple[LineData, ...] = ()
    notches: tuple[NotchData, ...] = ()
    drill_holes: tuple[DrillHole, ...] = ()
    grain_lines: tuple[tuple[XY, XY], ...] = ()
    grade_reference_lines: tuple[tuple[XY, XY], ...] = ()
    """The grade reference line, then alternates."""
    mirror_line: tuple[XY, XY] | None = None
    """The piece is a half, to be unfolded about this line."""
    stripe_lines: tuple[LineData, ...] = ()
    """Stripe reference lines, then points of that layer, each as a line of one point; `plaid_lines` likewise."""
    plaid_lines: tuple[LineData, ...] = ()
    turn_points: tuple[XY, ...] = ()
    curve_points: tuple[XY, ...] = ()
    rule_tags: tuple[RuleTag, ...] = ()
    annotations: tuple[TextData, ...] = ()
    """Layer 15, in the file's order."""
    not_mirrored: tuple[XY, ...] = ()
    """Places of the texts `NM`: what stands there is not repeated when the half is unfolded."""
    other_texts: tuple[TextData, ...] = ()
    validation: Mapping[int, tuple[LineData, ...]] = field(default_factory=dict)
    """Densely sampled lines, by the layer that they prove: 1, 8, 11, 14."""
    others: Mapping[str, int] = field(default_factory=dict)
    """Entities that were not read, counted: `SPLINE on layer 8`."""

    @property
    def proves_scale(self) -> bool:
        """Whether this is a square to measure and not a piece to cut."""
        return self.block.upper() in SCALE_PIECES


@dataclass(frozen=True, slots=True)
class PatternData:
    """A whole file. `unit` is what its numbers were taken as; `notes` tell each oddity in a sentence."""

    style: StyleData
    pieces: tuple[PieceData, ...]
    notes: tuple[str, ...] = ()
    unit: Literal["mm", "cm", "in"] = "mm"

    @property
    def sizes(self) -> tuple[str, ...]:
        """The sizes of the pieces, in the file's order."""
        return tuple(dict.fromkeys(piece.size for piece in self.pieces if not piece.proves_scale))

    def of_size(self, size: str) -> tuple[PieceData, ...]:
        """The pieces of one size, without those that prove the scale."""
        return tuple(piece for piece in self.pieces if piece.size == size and not piece.proves_scale)
