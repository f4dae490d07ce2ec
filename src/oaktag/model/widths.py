"""How wide an allowance is along its edge: one width, or stations between which it steps or runs out."""

from __future__ import annotations

from typing import TypeAlias

from ..values import dataclass


@dataclass(frozen=True, slots=True)
class Station:
    """A width asked for at a place along an edge: mm from its start, or the name of a notch, `start` or `end`."""

    at: float | str
    width: float


Allowance: TypeAlias = float | tuple[Station, ...]
"""As asked for: one width in mm, or stations in the order of the edge; two at one place are a step."""


@dataclass(frozen=True, slots=True)
class Profile:
    """Widths along an edge: (mm from its start, width in mm), straight between; a single station is the same all along.

    >>> Profile(((0.0, 20.0), (100.0, 20.0), (100.0, 10.0), (200.0, 0.0))).at(150.0)
    5.0
    """

    stations: tuple[tuple[float, float], ...]

    @classmethod
    def even(cls, width: float) -> Profile:
        """One width all along."""
        return cls(((0.0, width),))

    @property
    def is_even(self) -> bool:
        return all(width == self.stations[0][1] for _, width in self.stations)

    @property
    def most(self) -> float:
        return max(width for _, width in self.stations)

    def at(self, far: float, *, after: bool = True) -> float:
        """Width `far` mm along; at a step, the width after it (or before it)."""
        before = self.stations[0]
        for station in self.stations:
            if station[0] > far + 1e-9 or (not after and station[0] > far - 1e-9):
                if station[0] - before[0] < 1e-9:
                    return before[1] if not after else station[1]
                return before[1] + (station[1] - before[1]) * max(0.0, far - before[0]) / (station[0] - before[0])
            before = station
        return before[1]
