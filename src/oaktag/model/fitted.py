"""What was pinned at a fitting, and what became of it in the pattern."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Literal, TypeAlias

from ..values import dataclass
from .piece import Piece

FittedSide: TypeAlias = Literal["", "left", "right"]
"""The wearer's side on which it was pinned; "": both alike."""


@dataclass(frozen=True, slots=True)
class Ask:
    """A fault as it was pinned: its name (fitting/table.py), how much of it, mm, on which side; of what is let out or
    taken in, at which seam, and at which level, "" for all of it."""

    fault: str
    amount: float
    side: FittedSide = ""
    seam: str = ""
    level: str = ""

    @property
    def words(self) -> str:
        """`sway back`; `let out, side at the waist`; `high hip, left`."""
        own = self.fault.replace("_", " ")
        at = " ".join(word for word in (self.seam, f"at the {self.level}" if self.level else "") if word)
        return ", ".join(word for word in (own, at, self.side) if word)


@dataclass(frozen=True, slots=True)
class EdgeFitted:
    """An edge or one side of a seam before and after, as it is sewn, mm."""

    name: str
    before: float
    after: float


@dataclass(frozen=True, slots=True)
class Altered:
    """One fault, mended: the pieces that it changed, and their edges before and after."""

    ask: Ask
    pieces: tuple[str, ...]
    edges: tuple[EdgeFitted, ...]


@dataclass(frozen=True, slots=True)
class SeamFitted:
    """A seam that all faults together have changed: both sides and the ease before and after, mm."""

    name: str
    a: tuple[float, float]
    b: tuple[float, float]


Mend: TypeAlias = Callable[[Sequence[Piece], Sequence[str]], tuple[tuple[Piece, ...], tuple[Altered, ...]]]
"""Puts what was pinned into the pieces that all else is made from, as far as they have the places, and tells it;
the edges of those names stay as long as they are."""
