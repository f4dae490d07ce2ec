"""What a drawing from elsewhere holds, before anything is made of it; mm, y up, in its true size."""

from __future__ import annotations

from collections.abc import Mapping

from ..exchange.model import PatternData
from ..geometry.path import Path
from ..geometry.point import XY, Point
from ..values import dataclass, field


@dataclass(frozen=True, slots=True)
class DrawnPath:
    """One run of lines and cubics, joined end to end.

    A closed run ends where it begins. `layer` is what the drawing itself sorts by: a DXF layer, an SVG group's label or
    id (the nearest one that has any); `id` names this run alone: an SVG id, a DXF handle. `groups` are the labels or
    ids of all groups round it, from the outermost. `polyline`: the source gave points, not curves, though it may mean
    curves. `label` is what an editor calls this run alone, if it does so. `number`: its place among the drawing's runs,
    from 1; a plan names one that has no other name by it (0: not numbered).
    """

    curves: Path
    closed: bool
    layer: str = ""
    id: str = ""
    groups: tuple[str, ...] = ()
    polyline: bool = False
    label: str = ""
    number: int = 0

    @property
    def name(self) -> str:
        """What a message calls it."""
        return self.id or (f"a line of layer {self.layer}" if self.layer else "a line")


@dataclass(frozen=True, slots=True)
class DrawnText:
    """Words at a point, with the height of their capitals in mm (0: not known)."""

    words: str
    at: Point
    height: float = 0.0
    layer: str = ""
    id: str = ""
    groups: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class DrawnPoint:
    """A lone point: a DXF POINT, or a circle so small that it marks a place (its middle)."""

    at: Point
    layer: str = ""
    id: str = ""
    groups: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Drawing:
    """All that is drawn in one file, and what was odd about it.

    `unit` tells how its size was known: `mm (width, height and viewBox)`, `in ($INSUNITS 1)`, `scale bar = 100 mm`.
    """

    name: str
    unit: str
    paths: tuple[DrawnPath, ...]
    texts: tuple[DrawnText, ...] = ()
    points: tuple[DrawnPoint, ...] = ()
    notes: tuple[str, ...] = ()
    pattern: PatternData | None = None
    """The pieces, where it is pattern data."""


@dataclass(frozen=True, slots=True)
class Known:
    """A path of the drawing, by id or label, whose length is known, mm."""

    path: str
    length: float


@dataclass(frozen=True, slots=True)
class DrawnNotch:
    """A notch as a file has it, mm: its place on the cut line, its direction outwards, its kind."""

    at: Point
    way: Point
    kind: str
    depth: float = 0.0
    width: float = 0.0


@dataclass(frozen=True, slots=True)
class Said:
    """What the file itself says of a piece.

    `right` and `left`: how many are cut as drawn, and mirrored; None where that is not told. `fold`: the number of the
    edge that lies on the fold, from 1; 0 for none.
    """

    name: str
    right: int | None = None
    left: int | None = None
    material: str = ""
    fold: int = 0
    notches: tuple[DrawnNotch, ...] = ()


@dataclass(frozen=True, slots=True)
class Outline:
    """One closed outline, cleaned: counter-clockwise, simple, parted at its corners.

    `edges` are the runs from corner to corner, in order; a smooth outline has one. What lies within it comes with it.
    `cut` is the cut line round them, counter-clockwise, where there is one; `traced`: the edges are those of the cut
    line, and the stitch line is still to be found inside them.
    """

    edges: tuple[Path, ...]
    layer: str
    id: str
    groups: tuple[str, ...]
    paths: tuple[DrawnPath, ...] = ()
    texts: tuple[DrawnText, ...] = ()
    points: tuple[DrawnPoint, ...] = ()
    cut: tuple[XY, ...] = ()
    traced: bool = False
    said: Said | None = None


@dataclass(frozen=True, slots=True)
class OpenEnd:
    """A gap that is too wide to close: from, to and how wide, mm."""

    a: XY
    b: XY
    gap: float


@dataclass(frozen=True, slots=True)
class Outlines:
    """All outlines of a drawing, what lies in none, and what was cleaned, in words with places.

    `open_ends` are the gaps too wide to close, up to 5 mm, that keep what is else an outline open. Where the file has
    its pieces in several sizes, `sizes` holds the outlines of each, in the same order, the base's among them.
    """

    outlines: tuple[Outline, ...]
    loose: tuple[DrawnPath, ...] = ()
    notes: tuple[str, ...] = ()
    open_ends: tuple[OpenEnd, ...] = ()
    sizes: Mapping[str, tuple[Outline, ...]] = field(default_factory=dict)
    base: str = ""
    """The base of several sizes, or the only one, if the file names it."""
