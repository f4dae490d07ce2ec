"""What a sheet is sent to: its width, margins, unit, range of coordinates, and what its language needs.

The profiles are kinds of machine, not makes: what an HP-GL/2 wide-format roll plotter of that roll width takes.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

UNIT: Final = 0.025
"""Plotter unit of HP-GL and HP-GL/2, mm: 40 a millimetre, 1016 an inch (HP-GL command lists of several makers)."""
LONGEST: Final = 15_000.0
"""Longest plot on an endless roll, mm; half a usual 30 m roll (common practice, no source)."""
HPGL2_LEAST: Final = -8_388_608
HPGL2_MOST: Final = 8_388_607
"""Range of HP-GL/2's integers as first published, 209.7 m (from memory of the maker's manual)."""
HPGL_MOST: Final = 32_767
"""Range of HP-GL's 16-bit integers, 819.175 mm (HP-GL command list of a printer maker; clones agree)."""


@dataclass(frozen=True, slots=True)
class DeviceProfile:
    """One kind of plotter. Lengths in mm; `least` and `most` bound every coordinate, in plotter units.

    X runs along the roll, Y across it; the origin is the corner of the printable area, so a drawing may be as wide as
    the roll less both margins. `length` None is an endless roll: plots up to `longest` are sent.
    """

    name: str
    words: str
    width: float
    length: float | None = None
    margin: float = 5.0
    unit: float = UNIT
    least: int = HPGL2_LEAST
    most: int = HPGL2_MOST
    pens: int = 2
    sends_page_size: bool = True
    """Whether `PS length,width;` is sent; it means something else to desktop pen plotters."""
    advance: str = "PG;"
    """What feeds the finished plot out, or nothing."""
    longest: float = LONGEST


def usable_width(profile: DeviceProfile) -> float:
    """How wide a drawing may be: within both margins and within the coordinates that the device can read, mm.

    >>> usable_width(DEVICES["roll-914"]), usable_width(DEVICES["roll-900-16bit"])
    (904.0, 819.175)
    """
    return min(profile.width - 2 * profile.margin, round(profile.most * profile.unit, 6))


def usable_length(profile: DeviceProfile) -> float:
    """How long a drawing may be, mm; see `usable_width`.

    >>> usable_length(DEVICES["roll-914"]), usable_length(DEVICES["roll-900-16bit"])
    (15000.0, 819.175)
    """
    length = profile.longest if profile.length is None else profile.length - 2 * profile.margin
    return min(length, round(profile.most * profile.unit, 6))


def _roll(width: int, inches: int) -> DeviceProfile:
    words = f"HP-GL/2 wide-format plotter with a {inches} in ({width} mm) roll"
    return DeviceProfile(f"roll-{width}", words, float(width))


DEVICES: Final[Mapping[str, DeviceProfile]] = MappingProxyType(
    {
        profile.name: profile
        for profile in (
            _roll(610, 24),
            _roll(914, 36),
            _roll(1067, 42),
            _roll(1524, 60),
            _roll(1830, 72),
            DeviceProfile(
                "roll-900-16bit",
                "older HP-GL plotter with a 900 mm roll, whose coordinates end at 32,767 (819.175 mm)",
                900.0,
                least=-HPGL_MOST,
                most=HPGL_MOST,
                pens=1,
                sends_page_size=False,
                advance="",
            ),
        )
    }
)
"""The devices that can be named in a job."""
