"""What a job says of cloth: [cloth], and a table in it for each kind that differs, [cloth.lining].

How it stretches is an option of the garments that are drafted for knit cloth.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from ..body.measurements import spoken
from ..errors import Where
from ..lay.words import KEYS, Asked, asked_of, counted
from .model import ClothWords, GarmentWords, SizeSet
from .reader import Reader

STRETCHES: Final = ("stretch", "stretch_along", "recovery")
"""Keys of [cloth] that are options of a garment."""


def cloth_of(reader: Reader, table: str) -> ClothWords:
    """Every kind of cloth; what is said of all of it goes by ""."""
    typed, known = reader.table(table), reader.below(table)
    own = {key: value for key, value in typed.items() if not isinstance(value, dict) or key in known}
    others = {key: value for key, value in typed.items() if key not in own and isinstance(value, dict)}
    by_material: dict[str, Asked] = {}
    for name, part, keys in (("", own, known), *((name, part, tuple(KEYS)) for name, part in others.items())):
        at = (table, name) if name else (table,)
        reader.refuse_others(part, keys, *at)
        told = {key: value for key, value in part.items() if key in KEYS}
        places = {key: reader.where(*at, key) for key in told}
        asked = reader.take(lambda told=told, places=places: asked_of(told, reader.of("units"), places))  # type: ignore[misc]
        if asked is not None:
            by_material[name] = asked
    return ClothWords(by_material, reader.of(table, "quantity"), reader.of(table, "match"))


def quantities_of(reader: Reader, *keys: str) -> Mapping[str, int]:
    """Garments of each size; a number alone goes by no size, "": of one body."""
    asked = reader.typed(*keys)
    if isinstance(asked, int) and not isinstance(asked, bool):
        asked = {"": asked}
    if not asked and (asked is None or isinstance(asked, dict)):
        return {}
    if not isinstance(asked, dict) or not all(isinstance(n, int) and not isinstance(n, bool) for n in asked.values()):
        expected = '{ "10" = 2, "12" = 3 }, or a number where the job has one body'
        reader.fault("the quantity is not a number for each size", *keys, expected=expected)
        return {}
    sizes: SizeSet | None = reader.of("sizes")
    made = sizes.make if sizes is not None else ("",)
    for size in asked:
        if size not in made:
            names = ", ".join(made) if sizes is not None else "no sizes: write quantity = 2"
            reader.fault(f"size {spoken(size)} is not made by this job", *keys, expected=names)
    return reader.take(lambda: counted(asked, reader.where(*keys))) or {}


def matches_of(reader: Reader, *keys: str) -> Mapping[str, str]:
    """At which notch each seam meets the repeat."""
    match = reader.typed(*keys)
    if match is None:
        return {}
    if not isinstance(match, dict) or not all(isinstance(notch, str) for notch in match.values()):
        reader.fault("match is not a notch for each seam", *keys, expected='{ "side seam" = "waist" }')
        return {}
    return {str(seam): str(notch) for seam, notch in match.items()}


def style_with_cloth(reader: Reader, garment: GarmentWords) -> tuple[Mapping[str, object], Mapping[str, Where]]:
    """What the job says of the style, [style] and the keys of [cloth] that are options; and where the latter stand."""
    style, cloth, options = dict(reader.table("style")), reader.table("cloth"), [o.name for o in garment.options]
    places: dict[str, Where] = {}
    for key in (key for key in STRETCHES if key in cloth):
        if key in style:
            reader.fault(f"{key} is given twice, in [style] too", "cloth", key, instead="Take one of them out")
        elif key not in options:
            found = f"{garment.name} is drafted for cloth whose {key.replace('_', ' ')} does not count"
            reader.fault(found, "cloth", key, instead=f"Take {key} out")
        else:
            style[key], places[key] = cloth[key], reader.where("cloth", key)
    return style, places
