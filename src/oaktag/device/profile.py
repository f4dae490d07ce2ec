"""What a sheet is sent to: its width, margins, unit, range of coordinates, pens, and what its language needs.

The profiles are kinds of machine, not makes: what an HP-GL/2 wide-format roll plotter of that roll width takes. Those
that ship are TOML files in `devices/`; `store.py` reads them, and a maker's own.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from ..values import dataclass, field
from .correction import Correction

UNIT: Final = 0.025
"""Plotter unit of HP-GL and HP-GL/2, mm: 40 a millimetre, 1016 an inch (HP-GL command lists of several makers)."""
LONGEST: Final = 15_000.0
"""Longest plot on an endless roll, mm; half a usual 30 m roll (common practice, no source)."""
HPGL2_LEAST: Final = -8_388_608
HPGL2_MOST: Final = 8_388_607
"""Range of HP-GL/2's integers as first published, 209.7 m (from memory of the maker's manual)."""
HPGL_MOST: Final = 32_767
"""Range of HP-GL's 16-bit integers, 819.175 mm (HP-GL command list of a printer maker; clones agree)."""

LANGUAGES: Final[Mapping[str, str]] = {
    "hpgl": "HP-GL",
    "hpgl2": "HP-GL/2",
    "pe8": "HP-GL/2 with coded lines of 8 bits",
    "pe7": "HP-GL/2 with coded lines of 7 bits",
    "cad": "a general CAD drawing (DXF)",
    "svg": "SVG, cuts and marks apart",
    "pdf": "PDF",
}
PLOTTED: Final = ("hpgl", "hpgl2", "pe8", "pe7")
"""The languages that are streams of pen moves."""
ROLES: Final = (
    "cut", "stitch", "fold", "notch", "drill", "dart", "internal", "grain", "label", "scale", "join", "code",
)  # fmt: skip
"""What can have a pen of its own."""
FLOWS: Final = ("none", "xon/xoff", "rts/cts")


@dataclass(frozen=True, slots=True)
class Link:
    """How bytes reach it: its buffer, and the serial line if it has one."""

    flow: str = "none"
    baud: int = 9600
    bits: int = 8
    parity: str = "none"
    stop_bits: int = 1
    buffer: int = 1024
    """Bytes that it holds; no chunk is larger."""
    at: str = ""
    """Where it is: tcp:HOST or tcp:HOST:PORT, serial:PATH, file:PATH or queue:NAME; "" if that is said when sending."""


@dataclass(frozen=True, slots=True)
class Blade:
    """A drag knife: its tip trails the holder's axis by `offset` mm."""

    offset: float
    overcut: float = 1.0
    """How far a closed cut goes on past its start, mm."""
    swivel_deg: float = 20.0
    """Corners sharper than this get an arc round the corner, by which the blade turns in place."""
    tabs: int = 0
    """Bridges left in each closed cut, so that the piece stays in its place."""
    tab_width: float = 0.8


@dataclass(frozen=True, slots=True)
class Laser:
    """A beam or a bit that takes `kerf` mm of material away."""

    kerf: float


@dataclass(frozen=True, slots=True)
class DeviceProfile:
    """One kind of device. Lengths in mm; `least` and `most` bound every coordinate, in plotter units.

    `width` is across the way of the paper, `length` along it; None is an endless roll: plots up to `longest` are sent.
    With `axis` "along" X runs along the paper and Y across it, to the left; with "across" X runs across. The origin is
    the corner of the printable area, or the middle of the sheet.
    """

    name: str
    words: str
    width: float
    length: float | None = None
    language: str = "hpgl2"
    side: float = 5.0
    """Margin at both sides."""
    start: float = 0.0
    """Margin at the beginning and at the end; beyond what the device keeps by itself."""
    end: float = 0.0
    unit: float = UNIT
    origin: str = "corner"
    axis: str = "along"
    least: int = HPGL2_LEAST
    most: int = HPGL2_MOST
    longest: float = LONGEST
    frame: float | None = None
    """Length of a frame along the paper: a longer plot is sent in frames, each from its own origin."""
    frame_advance: str = "FR;"
    pens: Mapping[str, int] = field(default_factory=dict)
    """Pen by role; what is not named has pen 1, pen 0 is not drawn."""
    speed: Mapping[int, float] = field(default_factory=dict)
    """cm a second by pen."""
    force: Mapping[int, float] = field(default_factory=dict)
    line_end: str = "\n"
    """What follows each command."""
    points_a_command: int = 12
    sends_page_size: bool = True
    """Whether `PS length,width;` is sent; it means something else to desktop pen plotters."""
    advance: str = "PG;"
    """What feeds the finished plot out, or nothing."""
    cuts_off: bool = False
    """Whether the end of the paper is to be cut off (`EC;`)."""
    link: Link = field(default_factory=Link)
    blade: Blade | None = None
    laser: Laser | None = None
    cautions: tuple[str, ...] = ()
    correction: Correction = field(default_factory=Correction)

    def pen(self, role: str) -> int:
        """The pen of a role, by its word in `ROLES`; 0: not drawn. Unless told, codes have that of the lettering."""
        return self.pens.get(role, self.pens.get("label", 1) if role == "code" else 1)

    @property
    def cuts(self) -> bool:
        """Whether it cuts what a pen would draw."""
        return self.blade is not None or self.laser is not None


def usable_width(profile: DeviceProfile) -> float:
    """How wide a drawing may be: within both margins and within the coordinates that the device can read, mm.

    >>> usable_width(DeviceProfile("x", "", 914.0)), usable_width(DeviceProfile("y", "", 900.0, most=32_767))
    (904.0, 819.175)
    """
    reach = _reach(profile)
    return min(profile.width - 2 * profile.side, reach)


def usable_length(profile: DeviceProfile) -> float:
    """How long a drawing may be, mm; see `usable_width`. A plot in frames may be as long as the roll.

    >>> usable_length(DeviceProfile("x", "", 914.0)), usable_length(DeviceProfile("y", "", 900.0, most=32_767))
    (15000.0, 819.175)
    """
    length = profile.longest if profile.length is None else profile.length - profile.start - profile.end
    return length if profile.frame is not None else min(length, _reach(profile))


def _reach(profile: DeviceProfile) -> float:
    """mm that coordinates reach from one end of their range that is used to the other."""
    units = profile.most if profile.origin == "corner" else 2 * min(profile.most, -profile.least)
    return round(units * profile.unit, 6)
