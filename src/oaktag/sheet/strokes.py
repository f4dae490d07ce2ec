"""The drawing handed to a device: strokes by role, in mm, y up. Only an exporter knows layers, pens, colours."""

from __future__ import annotations

from collections.abc import Sequence
from enum import Enum
from itertools import groupby
from operator import attrgetter

from ..geometry.affine import Move
from ..geometry.point import XY
from ..geometry.polygon import Box
from ..values import dataclass, field
from .dashes import corner_strokes


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
    JOIN = "joins"
    CODE = "code"


@dataclass(frozen=True, slots=True)
class Stroke:
    """One run of the pen through `points` (mm); a closed stroke does not repeat its first point.

    Where several sizes are stacked, `size` names the one that the stroke belongs to ("": all of them), and `dashes`
    (drawn, left out, drawn, … mm) is the line pattern that tells it apart, in place of the role's own; `phase` is how
    far into the pattern the stroke begins. () is a solid line; None leaves the line to its role.
    """

    role: Role
    points: tuple[XY, ...]
    closed: bool = False
    size: str = ""
    dashes: tuple[float, ...] | None = None
    phase: float = 0.0

    def moved(self, move: Move) -> Stroke:
        """The same stroke elsewhere."""
        return Stroke(self.role, move.points(self.points), self.closed, self.size, self.dashes, self.phase)


@dataclass(frozen=True, slots=True)
class Alike:
    """Strokes of one role of a figure that share their size and their line pattern."""

    size: str
    dashes: tuple[float, ...] | None
    phase: float
    strokes: tuple[Stroke, ...]
    corners: tuple[tuple[XY, ...], ...]
    """Short lines over what the pattern might leave out: sharp corners, ends; none of a solid line."""

    @classmethod
    def of(cls, size: str, dashes: tuple[float, ...] | None, phase: float, strokes: Sequence[Stroke]) -> Alike:
        """With their corners."""
        over = [line for s in strokes for line in corner_strokes(s.points, closed=s.closed)] if dashes else []
        return cls(size, dashes, phase, tuple(strokes), tuple(over))


@dataclass(frozen=True, slots=True)
class Figure:
    """All strokes of one piece (or of the scale block), kept together when placed.

    `size` is that of the whole figure, where each size of a pattern is drawn by itself.
    """

    name: str
    strokes: tuple[Stroke, ...]
    size: str = ""
    _box: Box | None = field(default=None, init=False, compare=False, repr=False)
    """What `bounds` has found."""
    _alike: dict[Role, list[Alike]] | None = field(default=None, init=False, compare=False, repr=False)
    """What `alike` has found."""

    @property
    def label(self) -> str:
        """Its name as it is read; with its size, where it has one."""
        return f"{self.name}, size {self.size}" if self.size else self.name

    def bounds(self) -> Box:
        """The box round every point of the figure; measured once."""
        if self._box is None:
            xs = [x for stroke in self.strokes for x, _ in stroke.points]
            ys = [y for stroke in self.strokes for _, y in stroke.points]
            object.__setattr__(self, "_box", Box(min(xs), min(ys), max(xs), max(ys)))
        assert self._box is not None
        return self._box

    def by_role(self) -> dict[Role, list[Stroke]]:
        """Its strokes by role; both in the order in which they come."""
        found: dict[Role, list[Stroke]] = {}
        for role, strokes in groupby(self.strokes, attrgetter("role")):
            found.setdefault(role, []).extend(strokes)
        return found

    def alike(self) -> dict[Role, list[Alike]]:
        """Its strokes by role, then those together that a format draws with one pen: same size, same pattern.

        Sorted once, for all files that show the figure.
        """
        if self._alike is not None:
            return self._alike
        found: dict[Role, list[Alike]] = {}
        for role, strokes in self.by_role().items():
            groups: dict[tuple[str, tuple[float, ...] | None, float], list[Stroke]] = {}
            for stroke in strokes:
                groups.setdefault((stroke.size, stroke.dashes, stroke.phase), []).append(stroke)
            found[role] = [
                Alike.of(size or self.size, dashes, phase, held) for (size, dashes, phase), held in groups.items()
            ]
        object.__setattr__(self, "_alike", found)
        return found

    def sizes(self) -> tuple[str, ...]:
        """The sizes that are stacked in it, in the order in which they come; none where one size is drawn."""
        return tuple(dict.fromkeys(stroke.size for stroke in self.strokes if stroke.size))

    def moved(self, move: Move) -> Figure:
        """The same figure elsewhere."""
        return Figure(self.name, tuple(stroke.moved(move) for stroke in self.strokes), self.size)


@dataclass(frozen=True, slots=True)
class Sheet:
    """Figures placed on an area from (0, 0) to (width, height), mm, x right, y up. Full size: it has no scale."""

    title: str
    width: float
    height: float
    figures: tuple[Figure, ...]
