"""What a draft hands on: pieces, seams, worked steps, and the facts that the checks need."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from ..units import Unit, show
from .piece import Join, Piece, Seam
from .walking import Walk


@dataclass(frozen=True, slots=True)
class Step:
    """One worked line of the draft. `formula` holds `{name}` for each length in `lengths` (mm); value in mm."""

    piece: str
    label: str
    formula: str
    value: float
    lengths: Mapping[str, float] = field(default_factory=dict)

    def words(self, unit: Unit) -> str:
        """The formula in the maker's units: `bust girth ÷ 6 + 1 in + 1 1/2 in`."""
        return self.formula.format(**{name: show(mm, unit) for name, mm in self.lengths.items()})


@dataclass(frozen=True, slots=True)
class Level:
    """A girth of the dress to be proved: the finished width at y, all round, is the body's girth + wearing ease."""

    name: str
    y: float
    body: float
    wearing_ease: float
    pieces: tuple[str, ...] = ("front", "back")


@dataclass(frozen=True, slots=True)
class Zip:
    """A zip from the neck down the centre back. Depths below the top line, mm."""

    neck_depth: float
    end_depth: float
    edge: str = "back.centre_back"

    @property
    def length(self) -> float:
        return self.end_depth - self.neck_depth


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
    levels: tuple[Level, ...]
    steps: tuple[Step, ...]
    notes: tuple[str, ...]
    body: Mapping[str, float]
    style: Mapping[str, float | str]
    default_allowances: Mapping[str, float]
    zip: Zip | None = None
    walk: Walk | None = None
    sleeve: SleeveFit | None = None
