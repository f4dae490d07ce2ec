"""The register of garments. The command line, the docs and the tests walk this table."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from importlib import import_module
from typing import Final, TypeAlias

from ..body.measurements import Measurements, Wearer
from ..body.whom import not_for, serving, wearer_of
from ..errors import DraftError, InputError
from ..model.draft import Draft, OptionTold
from ..model.fitted import Mend
from ..units import Unit
from ..values import dataclass, field, replace
from .options import LengthOption, Option, Style

__all__ = ["GARMENT_NAMES", "DraftFunction", "Garment", "GarmentFile", "Names", "Style", "find_garment", "garments_for"]

DraftFunction: TypeAlias = Callable[..., Draft]
"""Of measurements, style and unit, and of what mends the pieces, if anything was pinned at a fitting."""

_MODULES: Final = {
    "sheath-dress": "oaktag.garments.sheath_dress:sheath_dress",
    "straight-skirt": "oaktag.garments.straight_skirt:straight_skirt",
    "circle-skirt": "oaktag.garments.circle_skirt:circle_skirt",
    "t-shirt": "oaktag.garments.t_shirt:t_shirt",
    "shirt": "oaktag.garments.shirt:shirt",
    "gathered-skirt": "oaktag.garments.gathered_skirt:gathered_skirt",
    "pleated-skirt": "oaktag.garments.pleated_skirt:pleated_skirt",
    "wrap-skirt": "oaktag.garments.wrap_skirt:wrap_skirt",
    "trousers": "oaktag.garments.trousers:trousers",
    "gored-skirt": "oaktag.garments.gored_skirt:gored_skirt",
    "bodice": "oaktag.garments.bodice:bodice",
    "dress": "oaktag.garments.dress:dress",
    "blouse": "oaktag.garments.blouse:blouse",
    "kimono-gown": "oaktag.garments.kimono_gown:kimono_gown",
    "leggings": "oaktag.garments.leggings:leggings",
    "salwar": "oaktag.garments.salwar:salwar",
    "princess-slip": "oaktag.garments.princess_slip:princess_slip",
    "saree-blouse": "oaktag.garments.saree_blouse:saree_blouse",
    "childs-bodice": "oaktag.garments.childs_bodice:childs_bodice",
    "childs-dress": "oaktag.garments.childs_dress:childs_dress",
    "pinafore": "oaktag.garments.pinafore:pinafore",
    "buba": "oaktag.garments.buba:buba",
    "sokoto": "oaktag.garments.sokoto:sokoto",
    "bubu": "oaktag.garments.bubu:bubu",
    "kaftan": "oaktag.garments.kaftan:kaftan",
    "wrapper": "oaktag.garments.wrapper:wrapper",
    "childs-trousers": "oaktag.garments.childs_trousers:childs_trousers",
    "school-shirt": "oaktag.garments.school_shirt:school_shirt",
}
GARMENT_NAMES: Final = tuple(_MODULES)


@dataclass(frozen=True, slots=True)
class GarmentFile:
    """The file that a garment of the maker's own was read from: its name, and the very bytes that were run."""

    name: str
    sha256: str
    """Of the bytes (FIPS 180-4), in hexadecimal."""
    source: bytes


@dataclass(frozen=True, slots=True)
class Names:
    """All measurements that a garment can use, and the names of its edges and pieces."""

    uses: tuple[str, ...]
    edges: tuple[str, ...]
    pieces: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Garment:
    """A garment that can be drafted.

    `needs(style)` are the measurements without which it cannot be drafted in that style, `uses` all that it can use;
    `edges` and `pieces` are the names that allowances may be given for: `names_of` works them out when they are asked
    for. `instead` has, for a measurement that is
    needed, another that serves as well; `wishes` say of common words of the trade that are none of its names what
    serves them.
    """

    name: str
    words: str
    draft: DraftFunction
    needs: Callable[[Style], tuple[str, ...]]
    options: tuple[Option, ...]
    names_of: Callable[[], Names]
    instead: Mapping[str, str] = field(default_factory=dict)
    wishes: Mapping[str, str] = field(default_factory=dict)
    for_whom: str = ""
    """The people whom the method serves, as `body.whom` knows them: others are refused. Empty: anybody."""
    file: GarmentFile | None = None
    """Where it was read from, if it is a file of the maker's own (`outside/`)."""
    package: str = ""
    """The installed package that offers it, with its version, if one does."""
    needs_of: Callable[[Style, Wearer], tuple[str, ...]] | None = None
    """As `needs`, of any wearer: what is estimated of one must be measured of another. None: it is the same of all."""

    @property
    def whence(self) -> Mapping[str, str | Mapping[str, str]]:
        """Whose program it is, where it is none of ours, as pattern.json tells it."""
        if self.file is not None:
            return {"garment_file": {"name": self.file.name, "sha256": self.file.sha256}}
        return {"garment_package": self.package} if self.package else {}

    @property
    def uses(self) -> tuple[str, ...]:
        return self.names_of().uses

    @property
    def edges(self) -> tuple[str, ...]:
        return self.names_of().edges

    @property
    def pieces(self) -> tuple[str, ...]:
        return self.names_of().pieces

    def needs_for(self, style: Style, wearer: str) -> tuple[str, ...]:
        """The measurements without which it cannot be drafted in that style for that wearer, "" for those it is for."""
        whose = wearer_of(self.for_whom, wearer)
        first = whose == wearer_of(self.for_whom)
        return self.needs(style) if first or self.needs_of is None else self.needs_of(style, whose)

    def drafted(self, body: Measurements, style: Style, unit: Unit, mend: Mend | None = None) -> Draft:
        """The draft for that body; DraftError for one whom the garment is not for, or whom the method cannot serve.

        `mend` is what a fitting does to the pieces that all else is made from (`fitting/drafts.py`)."""
        refused = not_for(self.for_whom, body, unit, body.wearer, garments_for)
        if refused:
            raise DraftError(f"{self.name} is {refused}")
        body = replace(body, wearer=wearer_of(self.for_whom, body.wearer))
        draft = self.draft(body, style, unit) if mend is None else self.draft(body, style, unit, mend)
        return self.told(draft, unit)

    def told(self, draft: Draft, unit: Unit) -> Draft:
        """The draft with what checks and reports tell of the garment, so that they need not look it up."""
        return replace(
            draft, uses=draft.uses or self.uses, options=tuple(_told(option, unit) for option in self.options)
        )


def _told(option: Option, unit: Unit) -> OptionTold:
    worked = option.usual_words(unit) if isinstance(option, LengthOption) and option.default_words else ""
    return OptionTold(option.name, option.words, option.usual(unit), worked)


def garments_for(wearer: Wearer) -> tuple[str, ...]:
    """The names of the garments that ship and say they are for that wearer; all of them are imported for it."""
    return serving(wearer, map(find_garment, GARMENT_NAMES))


def find_garment(name: str) -> Garment:
    """The garment of that name, its module imported now; InputError with the near names if there is none."""
    if name not in _MODULES:
        raise InputError(f"{name!r} is not a garment", expected=" or ".join(GARMENT_NAMES))
    module, _, word = _MODULES[name].partition(":")
    found: Garment = getattr(import_module(module), word)
    return found
