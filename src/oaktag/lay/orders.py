"""Several orders in one lay: their pieces as those of one pattern, each named by its order; and whether they are cut
from the same cloth."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import fields
from typing import Final

from ..errors import InputError
from ..finish.cut_list import cut_list
from ..geometry.polygon import Box
from ..model.draft import Draft
from ..model.nest import Nest
from ..model.pattern import MarkedPiece, Pattern
from ..units import Unit, show
from ..values import dataclass, replace
from .cloth import Cloth
from .words import Asked

ONE_OF_EACH: Final = "one of each order"
"""What stands where a lay of one order has its size."""


@dataclass(frozen=True, slots=True)
class Ordered:
    """One order: its name, its pattern, what its job says of each kind of cloth ("": of all), and the SHA-256 of its
    pattern.json, where it is a made folder."""

    name: str
    nest: Nest
    cloth: Mapping[str, Asked]
    digest: str = ""

    def asked(self, material: str) -> Asked:
        """Of one kind of cloth."""
        return self.cloth.get(material, Asked()).over(self.cloth.get("", Asked()))

    @property
    def materials(self) -> tuple[str, ...]:
        return tuple(own.material for own in cut_list(self.nest.base_pattern))


def merged(orders: Sequence[Ordered], unit: Unit) -> tuple[Nest, dict[str, str]]:
    """One pattern of all pieces, called `alto-3 front`, `stage-dress 12 front`; and the order of each by that name."""
    pieces: list[MarkedPiece] = []
    of: dict[str, str] = {}
    for order in orders:
        for pattern in order.nest.patterns:
            size = f" {pattern.size}" if len(order.nest.sizes) > 1 else ""
            for piece in pattern.pieces:
                own = replace(piece.cut.piece, name=f"{order.name}{size} {piece.name}")
                pieces.append(replace(piece, number=len(pieces) + 1, cut=replace(piece.cut, piece=own)))
                of[own.name] = order.name
    draft = Draft("", (), (), (), (), (), {}, {}, {})
    title = ", ".join(order.name for order in orders)
    return Nest.single(Pattern(title, ONE_OF_EACH, unit, draft, tuple(pieces))), of


def one_cloth(orders: Sequence[Ordered], material: str, asked: Asked, unit: Unit) -> Cloth:
    """The cloth that all orders of that material are cut from.

    What one job says and others do not holds for all. Raises InputError where two jobs say different things of it and
    `asked` does not settle it; where a stripe is to be matched, which is laid order by order; where no width is known.
    """
    settled, said_by = asked, dict.fromkeys((field.name for field in fields(Asked)), "")
    for order in (order for order in orders if material in order.materials):
        own = order.asked(material)
        for field in fields(Asked):
            a, b = getattr(settled, field.name), getattr(own, field.name)
            if getattr(asked, field.name) is None and a is not None and b is not None and a != b:
                word = "the width" if field.name == "width" else field.name.replace("_", " ")
                raise InputError(
                    f"the orders are not of one cloth: of the {material}, {word} is {_shown(a, unit)} in "
                    f"{said_by[field.name]} and {_shown(b, unit)} in {order.name}", expected="orders of the same cloth",
                    instead="Lay those apart that differ, or say what holds for all, as with --cloth-width",
                )  # fmt: skip
            if a is None and b is not None:
                said_by[field.name] = order.name
        settled = settled.over(own)
    cloth = settled.cloth()
    if cloth.matched:
        raise InputError(
            f"the {material} has a repeat, and seams are matched within one order", expected="one order at a time",
            instead="Lay each by itself: oaktag lay JOB",
        )  # fmt: skip
    return cloth


def _shown(value: object, unit: Unit) -> str:
    if isinstance(value, bool):
        return "meant" if value else "not meant"
    if isinstance(value, float):
        return show(value, unit)
    if isinstance(value, tuple) and all(isinstance(part, Box) for part in value):
        return f"told with {len(value)} flaws"
    if isinstance(value, tuple):
        return " x ".join(f"{part:g}" for part in value)
    return str(value)
