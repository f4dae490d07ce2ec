"""How every named place of a piece grows from the base size: the grade of a pattern that is drafted in each size."""

from __future__ import annotations

from collections.abc import Mapping

from ..errors import DraftError
from ..geometry.point import XY, Point
from ..model.nest import Nest
from ..model.piece import piece_words
from ..model.places import places_of
from ..values import dataclass


@dataclass(frozen=True, slots=True)
class Growth:
    """One place of a piece and its moves from the base size, mm: x to the right, y up, the sizes laid on each other."""

    piece: str
    place: str
    """Its name (see model/places.py)."""
    at: Point
    """Where it lies in the base size, as drafted."""
    moves: Mapping[str, XY]
    """(dx, dy) of every size, in the nest's order; (0, 0) for the base."""


def growth(nest: Nest, piece: str) -> tuple[Growth, ...]:
    """The moves of every named point, corner, notch, dart point, inner line and grain end of a piece, mm.

    Grade = draft of the size less draft of the base, after `nest.shift`: with another zero point, all moves of the
    piece change by one vector. KeyError if the base has no such piece; DraftError where a size lacks a place.
    """
    base = _places(nest, nest.base, piece)
    moves: dict[str, dict[str, XY]] = {place: {} for place in base}
    for size in nest.sizes:
        own = _places(nest, size, piece)
        if missing := [place for place in base if place not in own]:
            raise DraftError(
                f"size {size}: the {piece_words(piece)} has no {', '.join(missing)}, which the base size {nest.base} "
                "has. Leave that size out, or choose an option for all"
            )
        dx, dy = nest.shift(size, piece)
        for place, p in base.items():
            moves[place][size] = own[place].x + dx - p.x, own[place].y + dy - p.y
    return tuple(Growth(piece, place, p, moves[place]) for place, p in base.items())


def _places(nest: Nest, size: str, name: str) -> dict[str, Point]:
    marked = next((piece for piece in nest.of(size).pieces if piece.name == name), None)
    if marked is None:
        if size == nest.base:
            raise KeyError(name)
        return {}
    return places_of(marked.cut.piece, [notch.point for notch in marked.notches])
