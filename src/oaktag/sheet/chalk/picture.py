"""What a picture of the chalk card is made of: lines by their look, dots, words."""

from __future__ import annotations

from collections.abc import Callable
from enum import Enum
from typing import TypeAlias

from ...geometry.point import XY
from ...geometry.polygon import Box
from ...values import dataclass

TextWidth: TypeAlias = Callable[[str], float]
"""Width of a bold word as it will be set, mm."""


class Look(Enum):
    """What a line of a picture is."""

    CLOTH = "edge of the cloth"
    FOLD = "fold"
    GUIDE = "line to measure from"
    BEFORE = "chalked before"
    NEW = "chalk now"
    MEASURE = "measure"
    CUT = "cut line"
    PIN = "pin"
    SQUARE = "square corner"
    PLAN = "the whole piece"


@dataclass(frozen=True, slots=True)
class Trace:
    """One line of a picture."""

    look: Look
    points: tuple[XY, ...]


@dataclass(frozen=True, slots=True)
class Dot:
    """A place: full where it has a letter, a ring where it is an ordinate of a curve."""

    at: XY
    full: bool


@dataclass(frozen=True, slots=True)
class Word:
    """A word on the picture: `box` is kept free for it; a badge stands in a circle."""

    text: str
    box: Box
    badge: bool = False


@dataclass(frozen=True, slots=True)
class Picture:
    """All that is drawn; `cloth` is the part of the cloth that is seen."""

    width: float
    height: float
    cloth: Box | None
    traces: tuple[Trace, ...]
    dots: tuple[Dot, ...]
    words: tuple[Word, ...]
