"""What a draft hands on: pieces, seams, worked steps, and the facts that the checks need."""

from __future__ import annotations

from collections.abc import Mapping

from ..geometry.point import Point
from ..units import Unit, show
from ..values import dataclass, field
from .piece import Join, Piece, Seam
from .ref import Ref
from .walking import Walk
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
class GirthPiece:
    """A half that goes round the body from one depth to another (mm below the top line), drawn `shift` mm lower."""

    piece: str
    top: float
    bottom: float
    shift: float = 0.0


@dataclass(frozen=True, slots=True)
class Level:
    """A girth of the dress to be proved: the finished width at a depth, all round, is body + wearing ease.

    Where a seam runs at that depth, `edges` are measured instead of the cloth.
    """

    name: str
    depth: float
    body: float
    wearing_ease: float
    edges: tuple[Ref, ...] = ()


@dataclass(frozen=True, slots=True)
class BodyLength:
    """A length of the body to be proved: on that piece, from one named point straight down to the level of another."""

    name: str
    piece: str
    top: str
    bottom: str
    body: float


@dataclass(frozen=True, slots=True)
class DartPoint:
    """The dart that ends below a bust point, in that piece's coordinates; `mend` says how to bring it near."""

    piece: str
    dart: str
    bust_point: Point
    mend: str


@dataclass(frozen=True, slots=True)
class TakenIn:
    """How far a side runs in, at any of the places (piece, outer, inner point) `most` mm; `mend`: what takes less."""

    name: str
    places: tuple[tuple[str, str, str], ...]
    most: float
    mend: str


@dataclass(frozen=True, slots=True)
class Zip:
    """A zip from one depth to another below the top line, mm; `length` is measured along its seam."""

    top_depth: float
    end_depth: float
    length: float
    place: str = "centre back"


@dataclass(frozen=True, slots=True)
class Entry:
    """What must pass where there is no zip to the neck: the head through the neckline; and, without any, the body."""

    neck_edges: tuple[Ref, ...]
    head: float
    words: str
    """How the head girth is known."""
    through_waist: float | None = None
    """The girth that must pass the waist of a dress without any opening."""


@dataclass(frozen=True, slots=True)
class SleeveFit:
    """The three numbers that must be read together, and what limits them (mm)."""

    upper_arm: float
    biceps_ease: float
    biceps_line: float
    armhole: float
    cap: float
    cap_ease: float
    cap_height: float
    shoulder_height: float
    wrist_opening: float | None = None
    fist: float | None = None


@dataclass(frozen=True, slots=True)
class Draft:
    """Named points, curves and pieces, with the steps that led there."""

    garment: str
    pieces: tuple[Piece, ...]
    seams: tuple[Seam, ...]
    joins: tuple[Join, ...]
    girths: tuple[GirthPiece, ...]
    levels: tuple[Level, ...]
    steps: tuple[Step, ...]
    notes: tuple[str, ...]
    body: Mapping[str, float]
    style: Mapping[str, float | str]
    default_allowances: Mapping[str, Allowance]
    zip: Zip | None = None
    walk: Walk | None = None
    sleeve: SleeveFit | None = None
    entry: Entry | None = None
    lengths: tuple[BodyLength, ...] = ()
    dart_points: tuple[DartPoint, ...] = ()
    sides: tuple[TakenIn, ...] = ()
    sewing_order: tuple[str, ...] = ()
    """Edge names in the order in which their seams are sewn; it decides how corners are finished."""
    by_hand: float = 0.0
    """Up to here what does not fit is told and stops nothing, mm: of a pattern that was drawn elsewhere, by hand
    perhaps; 0 for one that was drafted."""
