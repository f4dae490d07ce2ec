"""What a file draws, whatever its format: lines in inks, filled areas, words; mm, x to the right, y up."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise
from math import hypot
from typing import Final, TypeAlias

from ..geometry.point import XY
from ..geometry.polygon import Box
from ..values import dataclass, field

RGB: TypeAlias = tuple[int, int, int]

_CYCLE: Final = (
    ((0, 0, 0), 2, ()),
    ((110, 110, 110), 1, ()),
    ((70, 70, 70), 3, ()),
    ((150, 150, 150), 3, ()),
    ((0, 0, 0), 1, (7, 3)),
    ((110, 110, 110), 2, (10, 4)),
    ((70, 70, 70), 1, (2, 3)),
    ((150, 150, 150), 2, (2, 4)),
    ((0, 0, 0), 4, ()),
    ((110, 110, 110), 4, (12, 5)),
)  # grey, width and dashes in pixels of the finished picture; common practice, no source


@dataclass(frozen=True, slots=True)
class Ink:
    """How lines of one pen, layer or style look: what is in mm grows with the picture, what is in pixels does not."""

    name: str
    rgb: RGB = (0, 0, 0)
    width: float = 0.0
    """mm."""
    least: int = 1
    """Pixels that it is wide at least."""
    dashes: tuple[float, ...] = ()
    """mm, drawn and left out by turns."""
    pixel_dashes: tuple[int, ...] = ()
    alpha: float = 1.0

    def words(self) -> str:
        """As it is told: `black, 2 px`."""
        grey = "black" if self.rgb == (0, 0, 0) else f"grey {round(100 * (1 - self.rgb[0] / 255))} %"
        return f"{grey}, {self.least} px" + (", dashed" if self.pixel_dashes else "")


def nth_ink(name: str, number: int) -> Ink:
    """The look of the pen or layer with that number, from 0; those near to each other can be told apart.

    >>> nth_ink("pen 1", 0).words(), nth_ink("pen 5", 4).words()
    ('black, 2 px', 'black, 1 px, dashed')
    """
    rgb, least, dashes = _CYCLE[number % len(_CYCLE)]
    return Ink(name, rgb, least=least, pixel_dashes=dashes)


@dataclass(frozen=True, slots=True)
class Line:
    """One drawn line; a closed one ends where it starts. One point is a dot."""

    points: tuple[XY, ...]
    ink: Ink

    def length(self) -> float:
        """mm."""
        return sum(hypot(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(self.points))


@dataclass(frozen=True, slots=True)
class Area:
    """Filled outlines; where they overlap `even_odd` leaves a hole, the other rule only against the direction."""

    rings: tuple[tuple[XY, ...], ...]
    rgb: RGB
    alpha: float = 1.0
    even_odd: bool = False


@dataclass(frozen=True, slots=True)
class Words:
    """A line of text; its base line begins at `at`. `height` is that of capitals, mm."""

    text: str
    at: XY
    height: float
    angle_deg: float = 0.0
    rgb: RGB = (0, 0, 0)
    anchor: str = "ls"
    """Of Pillow: left, middle or right, and the base line (s)."""


Mark: TypeAlias = Line | Area | Words


@dataclass(frozen=True, slots=True)
class Drawn:
    """What a reader found, in the order in which it is drawn."""

    kind: str
    """HP-GL, SVG, DXF."""
    marks: tuple[Mark, ...]
    page: Box | None = None
    """The page, where the format has one."""
    moves: tuple[tuple[XY, ...], ...] = ()
    """The ways of the lifted pen."""
    outside: tuple[tuple[XY, ...], ...] = ()
    """What the device cannot draw, of those lines."""
    beyond: float = 0.0
    """How far the farthest of it lies outside, mm."""
    frame: tuple[tuple[XY, ...], ...] = ()
    """Where the device can draw, as rings."""
    notes: tuple[str, ...] = field(default=())

    def lines(self) -> list[Line]:
        return [mark for mark in self.marks if isinstance(mark, Line)]


def bounds(drawn: Drawn) -> Box:
    """Round all that is drawn; of words only their place. There must be a mark at least."""
    points: list[XY] = []
    for mark in drawn.marks:
        if isinstance(mark, Line):
            points += mark.points
        elif isinstance(mark, Area):
            points += [p for ring in mark.rings for p in ring]
        else:
            points.append(mark.at)
    return Box.round([*points, *(p for line in drawn.outside for p in line)])


def around(boxes: Iterable[Box], more: float = 0.0) -> Box:
    """The smallest box round all, and `more` mm at every side."""
    held = list(boxes)
    return Box(
        min(b.left for b in held) - more,
        min(b.bottom for b in held) - more,
        max(b.right for b in held) + more,
        max(b.top for b in held) + more,
    )


def moved(box: Box, dx: float, dy: float) -> Box:
    return Box(box.left + dx, box.bottom + dy, box.right + dx, box.top + dy)
