"""What a chalk card is made of: places to be measured, marks to be chalked, numbered steps."""

from __future__ import annotations

from enum import Enum
from typing import TypeAlias

from ...geometry.point import XY, Point
from ...values import dataclass

Row: TypeAlias = tuple[str, str, str, str]
"""Letter, name, across, down."""


class MarkKind(Enum):
    """How a mark is chalked."""

    UPRIGHT = "upright"  # the line from which all is measured across
    LEVEL = "level"  # a line square to it
    POINT = "point"
    STRAIGHT = "straight"  # edge: joins its two spots
    CURVE = "curve"  # edge: runs through its spots
    FOLD = "fold"  # edge: lies on the fold, is not chalked
    DART = "dart"
    INSIDE = "inside"  # a line inside the piece
    NOTCH = "notch"
    CUT = "cut"


@dataclass(frozen=True, slots=True)
class Spot:
    """A place to be measured: `across` and `down` as printed, without the unit; `at` the true place, mm.

    An ordinate of a curve has no letter. "2 left", "2 beyond" and "1/2 up" lie on the other side of their line.
    """

    letter: str
    words: str
    at: Point
    across: str
    down: str

    @property
    def row(self) -> Row:
        return (self.letter, self.words, self.across, self.down)


@dataclass(frozen=True, slots=True)
class Mark:
    """A line or place that one step puts on the cloth; `line` as it is to be drawn, mm; `name` of its edge or dart.

    `square` tells, for the first and the last spot, what a curve is square to there: "upright", "level", the name of
    a straight edge, or "" for nothing.
    """

    kind: MarkKind
    name: str
    spots: tuple[Spot, ...] = ()
    line: tuple[XY, ...] = ()
    square: tuple[str, str] = ("", "")


@dataclass(frozen=True, slots=True)
class ChalkStep:
    """One numbered step: what to do, the formulas behind it, what it leaves on the cloth.

    `table` has a row a number to be measured: (letter, name, across, down); `columns` are its headings.
    `part` says what it belongs to, so that steps of one part can share a picture: the name of an edge, or "lines",
    "across", "dart", "inside", "finish".
    """

    number: int
    piece: str
    title: str
    words: tuple[str, ...]
    formula: tuple[str, ...]
    marks: tuple[Mark, ...]
    table: tuple[Row, ...] = ()
    columns: tuple[str, str] = ("", "")
    part: str = ""


@dataclass(frozen=True, slots=True)
class Frame:
    """The two lines from which a piece is measured, through (x, y) of the piece; their names in words."""

    x: float
    y: float
    upright: str
    level: str
    fold: bool
    both_sides: bool
    """The piece lies left and right of the upright line alike."""


@dataclass(frozen=True, slots=True)
class ChalkPiece:
    """All steps of one piece; `outline` and `cut_line` in mm, as on the piece."""

    name: str
    title: str
    cut: str
    frame: Frame
    outline: tuple[XY, ...]
    cut_line: tuple[XY, ...]
    steps: tuple[ChalkStep, ...]
