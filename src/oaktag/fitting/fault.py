"""What a fault of fit is: words for people, limits, and the operation that mends it."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeAlias

from ..model.fitted import Ask
from ..model.length import Length, mm
from ..values import dataclass
from .fitter import Fitter

Operation: TypeAlias = Callable[[Fitter, Ask], None]
"""Raises NotHere where the pieces lack a place, DraftError where the amount cannot be."""


@dataclass(frozen=True, slots=True)
class Fault:
    """A fault, in the trade's words.

    `keeps` are the edges whose sewn lengths the operation must leave as they are, by role and place: `back.armhole`;
    it is refused where one does not. `least` and `most` bound what is pinned; a negative least means that it can be
    taken the other way. `seams` and `levels` are those that a let-out may name.
    """

    name: str
    sign: str
    """What is seen on the body, for one who does not know its name."""
    pin: str
    """How it is pinned at the fitting, and what of that is measured."""
    change: str
    """What is done to the pattern, for the worked steps."""
    stays: str
    """What must stay as it is, in words."""
    way: Operation
    most: Length
    least: Length = mm(1)
    keeps: tuple[str, ...] = ()
    usual: str = ""
    source: str = "common practice, no source"
    seams: tuple[str, ...] = ()
    levels: tuple[str, ...] = ()

    @property
    def words(self) -> str:
        return self.name.replace("_", " ")
