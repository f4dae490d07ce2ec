"""What a job file says, as values."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

from ..body.measurements import Measurements
from ..device.profile import DeviceProfile
from ..device.store import find_device
from ..draft.garment import Style
from ..draft.options import Option
from ..formats import usual
from ..lay.words import Asked
from ..model.fitted import Ask
from ..model.widths import Allowance
from ..units import Unit
from ..values import dataclass, field

if TYPE_CHECKING:
    from ..body.charts import SizeChart
    from ..book.people import Sitting
    from ..draft.garment import Garment
    from ..grade.rules import GradeRules
    from ..model.draft import Draft


@dataclass(frozen=True, slots=True)
class SizeSet:
    """The sizes to make, in their order; `stack` names the point on which they are nested.

    `bodies` are those of a chart, one a size. With `rules` the base alone is drafted and the others are graded from it;
    without a chart the base then has the only body.
    """

    make: tuple[str, ...]
    base: str
    bodies: Mapping[str, Measurements]
    chart: SizeChart | None = None
    rules: GradeRules | None = None
    stack: str = ""
    drawn: Mapping[str, Draft] = field(default_factory=dict)
    """A draft of each size, where the file of the pattern has them all."""


@dataclass(frozen=True, slots=True)
class Output:
    """What to write. `sizes` by format, "" for every format that is not named; an empty mapping: all sizes in all."""

    formats: tuple[str, ...] = field(default_factory=usual)
    paper: str = "a4"
    tiles: str = "overlap"
    roll: str = "split"
    print_client: bool = False
    profile: DeviceProfile = field(default_factory=lambda: find_device("roll-914"))
    """The device that is plotted or cut on, with its correction."""
    printer: DeviceProfile | None = None
    """The printer of the pages, if one is named, with its correction."""
    sizes: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    layout: str = "nested"
    dxf_units: str = "metric"
    dxf_flavour: str = "astm"
    lay: Path | None = None
    """A lay that was kept, to be written with the pattern."""

    def sizes_of(self, form: str) -> tuple[str, ...]:
        """The sizes to draw in a format; none named: all."""
        return self.sizes.get(form, self.sizes.get("", ()))


@dataclass(frozen=True, slots=True)
class ClothWords:
    """What the job says of cloth: of all of it (""), and where a kind of cloth differs; how many garments, what meets.

    `matches`: at which notch each seam meets the repeat of a stripe or check.
    """

    by_material: Mapping[str, Asked] = field(default_factory=dict)
    quantities: Mapping[str, int] = field(default_factory=dict)
    matches: Mapping[str, str] = field(default_factory=dict)

    def of(self, material: str) -> Asked:
        """For one kind of cloth."""
        return self.by_material.get(material, Asked()).over(self.by_material.get("", Asked()))


@dataclass(frozen=True, slots=True)
class Fitting:
    """What was pinned at a fitting; `size`: of a set the size that was tried on, "" for all of them."""

    asks: tuple[Ask, ...] = ()
    size: str = ""
    places: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    """Of a drawn pattern: by front, back or sleeve what it calls a place, and below "piece" what it calls that."""

    def of(self, size: str) -> tuple[Ask, ...]:
        """What is put into a size."""
        return self.asks if self.size in ("", size) else ()


@dataclass(frozen=True, slots=True)
class Job:
    """A body or a set of sizes, one garment, and what to make of it. Lengths in mm; `unit` is the maker's.

    `body` is the one measured, or that of the base size. `allowances` hold only what the file gives, by edge ("side")
    or by piece and edge ("front.side"). `date` is empty unless the file gives one: nothing is printed that would differ
    from run to run.
    """

    path: Path
    title: str
    garment: str
    unit: Unit
    body: Measurements
    style: Style
    allowances: Mapping[str, Allowance]
    corners: Mapping[str, str] = field(default_factory=dict)
    """Corner finishes by the two edges that meet: "side/hem" or "front.side/hem"."""
    output: Output = field(default_factory=Output)
    size: str = "measured"
    date: str = ""
    sizes: SizeSet | None = None
    cloth: ClothWords = field(default_factory=ClothWords)
    drawn: Draft | None = None
    """The pattern itself, where it was drawn elsewhere and nothing is to be drafted."""
    client: str = ""
    """Whom it is for: kept in the job file, and printed only where `output.print_client` asks for it."""
    sitting: Sitting | None = None
    """What the measurements were taken from, where they stand in the measurement book and not in the job."""
    fitting: Fitting = field(default_factory=Fitting)
    made_by: Garment | None = None
    """The garment itself, where it is none of ours: a file of the maker's, or of an installed package."""

    @property
    def printed_title(self) -> str:
        """What is printed on pages and pieces: the title; with the client's name where the job asks for that."""
        return f"{self.title}, {self.client}" if self.client and self.output.print_client else self.title

    @property
    def size_words(self) -> str:
        """What a label and the report say of the size of a single pattern."""
        if self.drawn is None:
            return "made to measure"
        return "as drawn" if self.size == "measured" else self.size

    @property
    def formats(self) -> tuple[str, ...]:
        return self.output.formats

    @property
    def paper(self) -> str:
        return self.output.paper

    @property
    def device(self) -> str:
        return self.output.profile.name


class GarmentWords(Protocol):
    """What a job file must know of a garment; `draft.garment.Garment` is one."""

    @property
    def name(self) -> str: ...
    @property
    def needs(self) -> Callable[[Style], tuple[str, ...]]: ...
    @property
    def instead(self) -> Mapping[str, str]: ...
    @property
    def options(self) -> tuple[Option, ...]: ...
    @property
    def edges(self) -> tuple[str, ...]: ...
    @property
    def pieces(self) -> tuple[str, ...]: ...
    @property
    def for_whom(self) -> str: ...
    @property
    def wishes(self) -> Mapping[str, str]: ...
