"""How much of a drawing is read, and what is refused for being more; counted while it is read."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from ..errors import InputError, Where

MOST_BYTES: Final = 100_000_000
MOST_POINTS: Final = 1_000_000
MOST_ELEMENTS: Final = 200_000
DEEPEST: Final = 100
"""Groups within groups, blocks within blocks, uses of uses."""
MOST_TOLD: Final = 20
"""Mistakes that are told together before reading is given up."""
FARTHEST: Final = 1_000_000.0
"""mm: no pattern reaches as far as 1 km."""
LONGEST_TEXT: Final = 2_000
"""Characters that are kept of one text."""


@dataclass(slots=True)
class Budget:
    """What is still allowed of one drawing. It is the one thing here that changes; made new for each reading."""

    name: str
    points: int = MOST_POINTS
    elements: int = MOST_ELEMENTS

    def take_points(self, count: int) -> None:
        """Raises InputError once there are too many."""
        self.points -= count
        if self.points < 0:
            raise too_many(self.name, MOST_POINTS, "points")

    def take_element(self, count: int = 1) -> None:
        """Raises InputError once there are too many, copies of symbols and blocks counted each time."""
        self.elements -= count
        if self.elements < 0:
            raise too_many(self.name, MOST_ELEMENTS, "elements, copies counted each time")


def too_many(name: str, most: int, what: str) -> InputError:
    """That there is more than can be read."""
    return InputError(
        f"it has more than {most:,} {what}", where=Where(name), expected="a drawing of sewing patterns",
        instead="Save it in parts, or simplify it",
    )  # fmt: skip


def too_deep(name: str, what: str, line: int = 0, key: str = "") -> InputError:
    """That things lie in each other without end."""
    return InputError(f"{what} more than {DEEPEST} deep", where=Where(name, line, key))
