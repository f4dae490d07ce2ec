"""What a reader finds in a file: lines by piece and role, mm, y up; and the squares of the scale block."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator, Mapping
from math import hypot
from typing import Final

from ..geometry.point import XY, distance
from ..geometry.polygon import Box, area
from ..values import dataclass, field

SQUARES: Final = (100.0, 101.6)
"""Nominal sides of the two squares of a scale block, mm: 100 mm and 4 in."""
FARTHEST: Final = 1_000_000.0
_MOST_POINTS: Final = 500_000


class UnreadableError(Exception):
    """The file is damaged, or not of its kind; the text is a sentence without its full stop."""


@dataclass(frozen=True, slots=True)
class Run:
    """One drawn line, mm; a closed one does not repeat its first point."""

    points: tuple[XY, ...]
    closed: bool = False

    @classmethod
    def of(cls, points: Iterable[XY], *, closed: bool = False, near: float = 1e-3) -> Run:
        """Closed also where the last point lies within `near` mm of the first; repeated points are dropped."""
        kept: list[XY] = []
        for x, y in points:
            if not (-FARTHEST < x < FARTHEST and -FARTHEST < y < FARTHEST):
                raise UnreadableError(f"it has a point at ({x:g}, {y:g}) mm, which is on no sheet")
            if not kept or (x, y) != kept[-1]:
                kept.append((float(x), float(y)))
        if len(kept) > 3 and distance(kept[0], kept[-1]) <= near:
            kept.pop()
            closed = True
        return cls(tuple(kept), closed and len(kept) > 2)

    def length(self) -> float:
        """mm; with the run back to the first point if closed."""
        ends = self.points[1:] + (self.points[:1] if self.closed else ())
        return sum(distance(a, b) for a, b in zip(self.points, ends, strict=False))


Runs = tuple[Run, ...]


def inside_box(run: Run, box: Box) -> Iterator[Run]:
    """The parts of a line inside a box; a line wholly inside stays as it is (Liang and Barsky's clip, by hand)."""
    if all(box.left <= x <= box.right and box.bottom <= y <= box.top for x, y in run.points):
        yield run
        return
    ends = run.points[1:] + (run.points[:1] if run.closed else ())
    for (ax, ay), (bx, by) in zip(run.points, ends, strict=False):
        start, end = 0.0, 1.0
        for go, low, high in ((bx - ax, box.left - ax, box.right - ax), (by - ay, box.bottom - ay, box.top - ay)):
            if go == 0.0:
                start = start if low <= 0.0 <= high else 2.0
            else:
                near, far = sorted((low / go, high / go))
                start, end = max(start, near), min(end, far)
        if start < end:
            yield Run(tuple((ax + t * (bx - ax), ay + t * (by - ay)) for t in (start, end)))


@dataclass(frozen=True, slots=True)
class Named:
    """A piece as a file names it; `size` is "" where the file has no place for it."""

    name: str
    size: str = ""


@dataclass(frozen=True, slots=True)
class Measured:
    """Something that a reader measured on its own, such as the pitch of the register crosses; mm."""

    what: str
    worst: float
    limit: float
    message: str


@dataclass(frozen=True, slots=True)
class Proved:
    """Something else that a reader proved, such as the size of the page; `wrong` says what is the matter, else ""."""

    what: str
    wrong: str = ""
    right: str = ""


Square = tuple[XY, ...]
"""The four corners of a square of a scale block."""


@dataclass(frozen=True, slots=True)
class Drawing:
    """All that a reader found."""

    cut: Mapping[Named, Runs] = field(default_factory=dict)
    stitch: Mapping[Named, Runs] = field(default_factory=dict)
    loose: Runs = ()
    """Closed lines of a format that names no pieces."""
    strokes: Runs = ()
    """Its open lines: dashes among them."""
    squares: Mapping[float, tuple[Square, ...]] = field(default_factory=dict)
    """The squares of all its scale blocks, by nominal side."""
    measured: tuple[Measured, ...] = ()
    marks: Mapping[Named, Mapping[str, Runs]] = field(default_factory=dict)
    """Marks by piece, then by role (`notches`, `grain line`, … as in marks.ROLES)."""
    by_role: Mapping[str, Runs] = field(default_factory=dict)
    """Lines by role of a format that has layers and names no pieces."""
    proved: tuple[Proved, ...] = ()
    dashes: Mapping[Named, tuple[float, ...]] = field(default_factory=dict)
    """The line pattern of each cut line, drawn, left out, …, in the file's own units; none where it is solid."""
    codes: Runs = ()
    """The lines that fill the modules of codes."""
    in_tiles: bool = False
    """Lines are cut at the edges of pages, and drawn twice where pages overlap."""


def checked(drawing: Drawing) -> Drawing:
    """The same drawing, unless it is too big to be a pattern."""
    count = sum(len(run.points) for runs in (*drawing.cut.values(), *drawing.stitch.values()) for run in runs)
    if count + sum(len(run.points) for run in drawing.loose) > _MOST_POINTS:
        raise UnreadableError(f"it has more than {_MOST_POINTS} points, so it is not a pattern")
    return drawing


def slug(text: str) -> str:
    """A name without accents, capitals, blanks: how names are compared over formats that spell them differently.

    >>> slug("Centre Back"), slug("CENTRE_BACK")
    ('centre-back', 'centre-back')
    """
    plain = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode()
    return re.sub(r"[^a-z0-9]+", "-", plain.lower()).strip("-") or text


def corners_of_square(run: Run) -> tuple[XY, ...] | None:
    """The four corners, if this is a closed line of four corners with four nearly equal sides."""
    p = run.points
    if not run.closed or len(p) != 4:
        return None
    sides = [distance(a, b) for a, b in zip(p, p[1:] + p[:1], strict=True)]
    if min(sides) < 60.0 or max(sides) > 160.0 or max(sides) > 1.15 * min(sides):
        return None
    return p if abs(area(p)) > 0.9 * min(sides) ** 2 else None


def squares_by_size(runs: Iterable[Run]) -> dict[float, tuple[Square, ...]]:
    """The squares of scale blocks that are not named: of an even number, the smaller half is 100 mm, the other 4 in.

    Of an odd number each belongs to the nominal side that it is nearer to, so that one missing square is seen.
    """
    found = sorted((s for run in runs if (s := corners_of_square(run))), key=mean_side)
    if found and len(found) % 2 == 0:
        half = len(found) // 2
        return {SQUARES[0]: tuple(found[:half]), SQUARES[1]: tuple(found[half:])}
    named: dict[float, tuple[Square, ...]] = {}
    for square in found:
        nominal = min(SQUARES, key=lambda side: abs(side - mean_side(square)))
        named[nominal] = (*named.get(nominal, ()), square)
    return named


def mean_side(square: tuple[XY, ...]) -> float:
    """Mean of the four sides, mm."""
    return sum(distance(a, b) for a, b in zip(square, square[1:] + square[:1], strict=True)) / 4


def worst_of_square(square: tuple[XY, ...], nominal: float) -> float:
    """How far any of the four sides and both diagonals is from a square of the nominal side, mm."""
    sides = [abs(distance(a, b) - nominal) for a, b in zip(square, square[1:] + square[:1], strict=True)]
    diagonal = hypot(nominal, nominal)
    return max(*sides, *(abs(distance(square[i], square[i + 2]) - diagonal) for i in (0, 1)))
