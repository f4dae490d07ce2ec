"""The register of garments. The command line, the docs and the tests walk this table."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from importlib import import_module
from typing import Final, TypeAlias

from ..body.measurements import Measurements
from ..errors import InputError
from ..model.draft import Draft
from ..units import Unit
from .options import Option

Style: TypeAlias = Mapping[str, float | str | None]
DraftFunction: TypeAlias = Callable[[Measurements, Style, Unit], Draft]

_MODULES: Final = {"sheath-dress": "oaktag.garments.sheath_dress"}
GARMENT_NAMES: Final = tuple(_MODULES)


@dataclass(frozen=True, slots=True)
class Garment:
    """A garment that can be drafted.

    `needs(style)` are the measurements without which it cannot be drafted in that style, `uses` all that it can use;
    `edges` and `pieces` are the names that allowances may be given for; `wishes` say of common words
    of the trade that are none of its names what serves them.
    """

    name: str
    words: str
    draft: DraftFunction
    needs: Callable[[Style], tuple[str, ...]]
    uses: tuple[str, ...]
    options: tuple[Option, ...]
    edges: tuple[str, ...]
    pieces: tuple[str, ...]
    wishes: Mapping[str, str] = field(default_factory=dict)


def find_garment(name: str) -> Garment:
    """The garment of that name, its module imported now; InputError with the near names if there is none."""
    if name not in _MODULES:
        raise InputError(f"{name!r} is not a garment", expected=" or ".join(GARMENT_NAMES))
    found: Garment = import_module(_MODULES[name]).GARMENT
    return found
