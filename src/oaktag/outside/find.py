"""Which garment a name means: one of ours, one that an installed package offers, or a file of the maker's own.

A package offers a garment in the entry-point group `oaktag.garments`: `half-apron = "aprons.half:GARMENT"`. Installing
it was the maker's own act, so it is not asked about again. Packages are looked through only where a name is not one of
ours, or where garments are listed; one that has the name of ours is never taken for it.
"""

from __future__ import annotations

from collections.abc import Iterator
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING, Final

from ..body.measurements import spoken
from ..draft.garment import GARMENT_NAMES, Garment, find_garment
from ..draft.options import unknown
from ..errors import GarmentFault, InputError, Where
from ..values import replace
from .file import away, garment_beside, garment_in, guarded, is_file_name, named_plainly

if TYPE_CHECKING:
    from importlib.metadata import EntryPoint

GROUP: Final = "oaktag.garments"


def garment_named(name: str) -> Garment:
    """The garment that is named on the command line; a file there is any path, from where the maker is.

    Raises InputError with the names that there are."""
    if name in GARMENT_NAMES:
        return find_garment(name)
    if is_file_name(name):
        return garment_in(Path(name))
    return _offered(name)


def garment_of_job(name: str, folder: Path) -> Garment:
    """The garment that a job in that folder names: a file lies beside the job or below it. Raises InputError without a
    place, or GarmentFault, which has its own."""
    if name in GARMENT_NAMES:
        return find_garment(name)
    if is_file_name(name):
        return garment_beside(name, folder)
    return _offered(name)


def offered_names() -> tuple[str, ...]:
    """The names of garments that installed packages offer, without those of ours, sorted."""
    return tuple(sorted({point.name for point in _points()} - set(GARMENT_NAMES)))


def hidden_names() -> tuple[str, ...]:
    """Names that a package offers and that are ours: never taken."""
    return tuple(sorted({point.name for point in _points()} & set(GARMENT_NAMES)))


def _points() -> Iterator[EntryPoint]:
    from importlib.metadata import entry_points

    yield from entry_points(group=GROUP)


def _offered(name: str) -> Garment:
    found = {(point.value, _owner(point)): point for point in _points() if point.name == name}
    if not found:
        known = (*GARMENT_NAMES, *offered_names())
        error = unknown("", name, known, Where(""), quote=True)
        raise InputError(f"{spoken(name)} is not a garment", expected=error.expected, instead=error.instead)
    if len(found) > 1:
        owners = ", ".join(sorted(owner for _, owner in found))
        raise InputError(
            f"{spoken(name)} is offered by several installed packages ({owners})", expected="one of that name",
            instead="Uninstall the others",
        )  # fmt: skip
    ((_, owner),) = found
    (point,) = found.values()
    blame = f"{name} (installed package {owner})"
    try:
        garment = point.load()
        file = getattr(import_module(point.module), "__file__", None) or blame
    except Exception as error:
        raise GarmentFault(
            f"{blame}: it cannot be imported: {type(error).__name__}: {error}",
            instead="The package is faulty, not the job",
        ) from error
    if not isinstance(garment, Garment) or garment.name != name:
        found_ = f"its garment is called {garment.name!r}" if isinstance(garment, Garment) else "it is no Garment"
        raise GarmentFault(f"{blame}: {point.value}: {found_}", instead="The package is faulty, not the job")
    return guarded(replace(garment, package=owner), blame, Path(file))


def _owner(point: EntryPoint) -> str:
    return f"{point.dist.name} {point.dist.version}" if point.dist is not None else "unknown"


def name_in_job(garment: Garment, typed: str, folder: Path) -> str:
    """How a job in that folder names a garment that was typed on the command line: a file by its place from there."""
    if garment.file is None:
        return garment.name
    try:
        name = Path(typed).resolve().relative_to(folder.resolve()).as_posix()
    except ValueError:
        raise away(typed) from None
    named_plainly(name)
    return name
