"""The drawing handed to a device: strokes by role, in mm, y up. Only an exporter knows layers, pens, colours."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from itertools import groupby
from operator import attrgetter

from ..geometry.affine import Move
from ..geometry.point import XY
from ..geometry.polygon import Box


class Role(Enum):
    """What a stroke is; the value is what people read (and the readable id in SVG and PDF layers)."""

    CUT = "cut line"
    STITCH = "stitch line"
    FOLD = "fold line"
    NOTCH = "notches"
    DRILL = "drill holes"
    DART = "darts"
    INTERNAL = "internal lines"
    GRAIN = "grain line"
    LABEL = "lettering"
    SCALE = "scale block"


@dataclass(frozen=True, slots=True)
class Stroke:
    """One run of the pen through `points` (mm); a closed stroke does not repeat its first point."""

    role: Role
    points: tuple[XY, ...]
    closed: bool = False

    def moved(self, move: Move) -> Stroke:
        """The same stroke elsewhere."""
        return Stroke(self.role, move.points(self.points), self.closed)


@dataclass(frozen=True, slots=True)
class Figure:
    """All strokes of one piece (or of the scale block), kept together when placed."""

    name: str
    strokes: tuple[Stroke, ...]

    def bounds(self) -> Box:
        """The box round every point of the figure."""
        xs = [x for stroke in self.strokes for x, _ in stroke.points]
        ys = [y for stroke in self.strokes for _, y in stroke.points]
        return Box(min(xs), min(ys), max(xs), max(ys))

    def by_role(self) -> dict[Role, list[Stroke]]:
        """Its strokes by role; both in the order in which they come."""
        found: dict[Role, list[Stroke]] = {}
        for role, strokes in groupby(self.strokes, attrgetter("role")):
            found.setdefault(role, []).extend(strokes)
        return found

    def moved(self, move: Move) -> Figure:
        """The same figure elsewhere."""
        return Figure(self.name, tuple(stroke.moved(move) for stroke in self.strokes))


@dataclass(frozen=True, slots=True)
class Sheet:
    """Figures placed on an area from (0, 0) to (width, height), mm, x right, y up. Full size: it has no scale."""

    title: str
    width: float
    height: float
    figures: tuple[Figure, ...]
