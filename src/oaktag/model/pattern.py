"""Pieces with their cut lines, then with their marks: the stage is in the type."""

from __future__ import annotations

from collections.abc import Mapping

from ..geometry.point import XY, Point
from ..units import Unit
from ..values import dataclass, field
from .draft import Draft
from .piece import NotchKind, Piece
from .widths import Profile


@dataclass(frozen=True, slots=True)
class CutPiece:
    """A piece with its allowances. All lines are flattened (0.05 mm), counter-clockwise, mm."""

    piece: Piece
    lines: Mapping[str, tuple[XY, ...]]
    """Each edge of the stitch line, both ends included."""
    stitch_line: tuple[XY, ...]
    cut_line: tuple[XY, ...]
    cut_edges: Mapping[str, tuple[XY, ...]]
    """The run of the cut line that lies beside each edge, without the corners."""
    allowances: Mapping[str, float]
    """The widest allowance of each edge, mm."""
    corners: Mapping[str, str]
    """The finish at the start of each edge (see finish/corners.py)."""
    notes: tuple[str, ...] = ()
    profiles: Mapping[str, Profile] = field(default_factory=dict)
    """The width along each edge, where it was made by the finishing stage."""
    as_drawn: bool = False
    """Whether the cut line was drawn elsewhere and kept as it is; its allowances are then measured, not asked for."""
    folds: Mapping[str, str] = field(default_factory=dict)
    """At the start of which edge which allowance is folded over before its neighbour is sewn."""

    def width_at(self, edge: str, far: float, *, after: bool = True) -> float:
        """The allowance `far` mm along an edge; at a step, the width after it (or before it)."""
        profile = self.profiles.get(edge)
        return self.allowances[edge] if profile is None else profile.at(far, after=after)


@dataclass(frozen=True, slots=True)
class CutPattern:
    """A draft whose pieces have cut lines."""

    draft: Draft
    pieces: tuple[CutPiece, ...]


@dataclass(frozen=True, slots=True)
class Notch:
    """A notch: its place on the stitch line, run out square to it to the cut line.

    `direction` is the unit vector outwards; `spots` are the 1 or 2 places on the cut line, `depth` how far it is cut
    in from there (a V outwards: how far it stands out), `width` its breadth at the cut line, mm, 0 for a slit.
    A double notch is two of them either side of `point`, each square to the stitch line: `ways` are their unit
    vectors outwards (`direction` where there are none).
    """

    edge: str
    point: Point
    direction: Point
    count: int
    name: str
    spots: tuple[Point, ...]
    depth: float
    kind: NotchKind = NotchKind.SLIT
    width: float = 0.0
    ways: tuple[Point, ...] = ()

    def each(self) -> tuple[tuple[Point, Point], ...]:
        """Every place on the cut line, with its direction outwards."""
        return tuple(zip(self.spots, self.ways or (self.direction,) * len(self.spots), strict=True))


@dataclass(frozen=True, slots=True)
class Label:
    """Lines of text set in a box: `at` is the box's centre; height is the capitals' height of the first line, mm."""

    lines: tuple[str, ...]
    at: Point
    height: float
    width: float
    angle_deg: float = 0.0


@dataclass(frozen=True, slots=True)
class MarkedPiece:
    """A piece ready to cut: cut line, notches, drill holes, grain, label."""

    cut: CutPiece
    number: int
    notches: tuple[Notch, ...]
    drill_holes: tuple[Point, ...]
    grain_line: tuple[Point, Point]
    fold_line: tuple[Point, Point] | None
    label: Label
    handling: tuple[str, ...] = ()
    """What to do to its allowances once it is sewn: `clip the neckline allowance every 1/2 in, nearly to the stitch
    line`."""

    @property
    def name(self) -> str:
        return self.cut.piece.name


@dataclass(frozen=True, slots=True)
class Pattern:
    """All pieces of one size, marked."""

    title: str
    size: str
    unit: Unit
    draft: Draft
    pieces: tuple[MarkedPiece, ...]
    date: str = ""

    def piece(self, name: str) -> MarkedPiece:
        """The piece of that name; KeyError if there is none."""
        for piece in self.pieces:
            if piece.name == name:
                return piece
        raise KeyError(name)
