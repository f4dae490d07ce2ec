"""How every named place of a piece grows from the base size: the grade of a pattern that is drafted in each size."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from ..errors import DraftError
from ..geometry.point import XY, Point
from ..model.nest import Nest
from ..model.piece import piece_words
from ..model.places import places_of
from ..units import INCH, Unit


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


_DECIMALS: Final = {"in": 3, "cm": 2, "mm": 1}
_PER: Final = {"in": INCH, "cm": 10.0, "mm": 1.0}


def growth_lines(nest: Nest, piece: str, unit: Unit) -> tuple[str, ...]:
    """The same as a table to read: a line a place, a column a size, `dx dy` in each.

    Decimals (0.001 in, 0.01 cm or 0.1 mm), as these moves are smaller than the fractions of a tape.
    """
    found = growth(nest, piece)

    def cell(move: XY) -> str:
        words = []
        for mm in move:
            text = f"{mm / _PER[unit]:+.{_DECIMALS[unit]}f}"
            words.append("0" if float(text) == 0 else text)
        return " ".join(word.rjust(_DECIMALS[unit] + 4) for word in words)

    rows = [[f"{piece_words(piece)} ({unit}; dx dy from size {nest.base})", *nest.sizes]]
    rows += [[g.place, *(cell(g.moves[size]) for size in nest.sizes)] for g in found]
    widths = [max(len(row[i]) for row in rows) for i in range(len(rows[0]))]
    return tuple(
        "  ".join(
            [row[0].ljust(widths[0]), *(word.rjust(w) for word, w in zip(row[1:], widths[1:], strict=True))]
        ).rstrip()
        for row in rows
    )
