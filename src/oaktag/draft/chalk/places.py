"""What the places of a piece are called, and the letters that they are given."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from typing import Final, TypeAlias

from ...geometry.point import Point, distance
from ...model.piece import Piece, piece_words
from ...units import Unit
from .marks import Frame, Spot
from .numbers import across, down

SAME: Final = 0.02
"""Two places nearer than this are one, mm."""
Cell: TypeAlias = tuple[int, int]
"""A square of 0.05 mm: places in neighbouring ones share a letter."""
_LETTERS: Final = "ABCDEFGHJKLMNPQRSTUVWXYZ"  # no I, no O: they read as numbers
_AROUND: Final = ((0, 0), *((dx, dy) for dx in (-1, 0, 1) for dy in (-1, 0, 1) if dx or dy))


def point_name(piece: Piece, p: Point) -> str:
    """What the draft calls the place, or ""."""
    x, y = p
    for name, (at_x, at_y) in piece.points.items():
        if -SAME < at_x - x < SAME and -SAME < at_y - y < SAME:
            return name
    return ""


def is_leg(piece: Piece, p: Point) -> bool:
    """Whether an open dart begins or ends there."""
    return any(
        dart.is_open and min(distance(dart.points[0], p), distance(dart.points[2], p)) < SAME for dart in piece.darts
    )


def words_at(piece: Piece, p: Point) -> str:
    """What the draft calls the place, or the edges that meet there, or what is to be seen there."""
    if name := point_name(piece, p):
        return piece_words(name)
    edges = [e.name for e in piece.edges if distance(e.start, p) < SAME or distance(e.end, p) < SAME]
    if edges:
        return " and ".join(piece_words(edge) for edge in edges)
    if is_leg(piece, p):
        return "dart leg"
    for edge in piece.edges:
        if any(distance(curve.end, p) < SAME for curve in edge.curves):
            return "dart fold" if edge.takes else f"corner of the {piece_words(edge.name)}"
    return ""


def cell_of(p: Point) -> Cell:
    return round(p.x * 20), round(p.y * 20)


def met(cells: Collection[Cell], p: Point) -> Cell | None:
    """The cell of a place that was met before and is this one, if there is any."""
    x, y = cell_of(p)
    for dx, dy in _AROUND:
        if (x + dx, y + dy) in cells:
            return x + dx, y + dy
    return None


def lettered(places: Iterable[tuple[Point, str]], piece: Piece, frame: Frame, unit: Unit) -> Mapping[Cell, Spot]:
    """The places with a letter each, in the order in which they are met; what is met again keeps letter and words."""
    found: dict[Cell, Spot] = {}
    for p, words in places:
        if met(found, p) is None:
            n, more = len(found) % len(_LETTERS), len(found) // len(_LETTERS)
            letter = _LETTERS[n] + (str(more + 1) if more else "")
            found[cell_of(p)] = spot_at(found, p, frame, unit, letter, words or words_at(piece, p))
    return found


def spot_at(
    letters: Mapping[Cell, Spot], p: Point, frame: Frame, unit: Unit, letter: str = "", words: str = ""
) -> Spot:
    """The place as it was lettered, or measured with the letter and words given."""
    known = met(letters, p)
    return Spot(letter, words, p, across(p.x, frame, unit), down(p.y, frame, unit)) if known is None else letters[known]
