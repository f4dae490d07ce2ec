"""Which garment a job names: one of ours, of an installed package, or a file of the maker's own."""

from __future__ import annotations

from ..errors import GarmentFault, InputError
from .model import GarmentWords
from .reader import Reader


def names_a_garment_file(value: object) -> bool:
    return isinstance(value, str) and value.endswith(".py")


def garment_of(reader: Reader, key: str) -> GarmentWords | None:
    """The garment that is named; nothing for a drawing, nor, with a fault, where there is none or it may not be run."""
    if reader.is_drawn:
        return None
    known, value = reader.known, reader.values.get(key)
    garments = known.garments
    if value is None:
        example = f'Write garment = "{garments[0]}"' if garments else ""
        reader.fault("no garment is named", key, expected=" or ".join(garments), instead=example)
    elif not isinstance(value, str) or known.outside is None or value in garments:
        if reader.one_of(value, garments, key, "garment"):
            return known.find(str(value))
    else:
        try:
            return known.outside(value, reader.beside)
        except GarmentFault as fault:
            reader.errors.append(fault)
        except InputError as error:
            reader.fault(error.found, key, expected=error.expected, instead=error.instead)
    return None
