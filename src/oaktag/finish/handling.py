"""What must be done to allowances once they are sewn, so that they lie flat when turned: clip, notch out, ease.

An allowance of width w along a curve of radius r is w/r shorter than its stitch line on a hollow edge, and as much
longer on a round one (exact for circles). From 4 % on it pulls, or bunches (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Iterator
from math import radians
from typing import Final

from ..geometry.curve import Cubic
from ..geometry.point import turn_deg
from ..model.pattern import CutPiece
from ..model.piece import Edge, EdgeKind
from ..units import INCH, Unit, show

PULLS: Final = 0.04
"""The part by which a cut edge differs from its stitch line, from which on it is dealt with."""
TIGHT: Final = 0.10
"""From here on the clips are closer."""
_LEAST: Final = 3.0
"""A difference that cloth takes up by itself, mm."""
_CORNER_DEG: Final = 30.0


def handling(cut: CutPiece, eased: frozenset[str], unit: Unit) -> tuple[str, ...]:
    """A note for each edge that needs one: `clip the neckline allowance every 1/2 in where it is hollow, …`.

    `eased` are the piece's edges that are sewn with ease.
    """
    return tuple(_notes(cut, eased, *((INCH / 2, INCH) if unit == "in" else (12.0, 25.0)), unit))


def _notes(cut: CutPiece, eased: frozenset[str], close: float, wide: float, unit: Unit) -> Iterator[str]:
    edges = cut.piece.edges
    for i, edge in enumerate(edges):
        width = cut.allowances[edge.name]
        if edge.kind is EdgeKind.FOLD or width <= 0:
            continue
        words = _words(edge)
        before, after = edges[i - 1], edges[(i + 1) % len(edges)]
        if _inner_corners(edge):
            yield f"clip into the corner of the {words}, to a thread from the stitch line"
        elif _is_pointed(edge, before, after):
            yield f"clip into the point of the {words}, to a thread from the stitch line"
        if after.kind is not EdgeKind.FOLD and _turn(edge, after) <= -_CORNER_DEG:
            yield f"clip into the corner of {words} and {_words(after)}, to a thread from the stitch line"
        if edge.kind is EdgeKind.OPENING:
            continue
        hollow, hollow_length, round_, round_length = _bends(edge)
        short, long = hollow * width, round_ * width
        if short >= _LEAST and short >= PULLS * hollow_length:
            spacing = show(close if short >= TIGHT * hollow_length else wide, unit)
            yield f"clip the {words} allowance every {spacing} where it is hollow, nearly to the stitch line"
        if edge.name in eased:
            yield f"run two rows of ease stitches in the {words} allowance between the notches"
        elif long >= _LEAST and long >= PULLS * round_length:
            if edge.kind is EdgeKind.HEM:
                yield f"ease in the fullness of the {words} allowance before you fold it"
            else:
                spacing = show(close if long >= TIGHT * round_length else wide, unit)
                yield f"notch out the {words} allowance every {spacing} where it is round"


def _words(edge: Edge) -> str:
    return edge.name.replace("_", " ")


def _turn(before: Edge, after: Edge) -> float:
    return turn_deg(before.curves[-1].way(1.0), after.curves[0].way(0.0))


def _bends(edge: Edge) -> tuple[float, float, float, float]:
    """How far it turns where it is hollow, radians, and how long that is; the same where it is round."""
    hollow = hollow_length = round_ = round_length = 0.0
    for curve in edge.curves:
        if not isinstance(curve, Cubic):
            continue
        ways = (curve.way(0.0), curve.way(0.5), curve.way(1.0))
        turns = radians(turn_deg(ways[0], ways[1])), radians(turn_deg(ways[1], ways[2]))
        if abs(turns[0]) + abs(turns[1]) < 0.02:
            continue
        middle = curve.at(0.5)
        chords = (
            ((middle.x - curve.a.x) ** 2 + (middle.y - curve.a.y) ** 2) ** 0.5,
            ((curve.d.x - middle.x) ** 2 + (curve.d.y - middle.y) ** 2) ** 0.5,
        )
        for turn, chord in zip(turns, chords, strict=True):
            if turn < 0:
                hollow, hollow_length = hollow - turn, hollow_length + chord
            else:
                round_, round_length = round_ + turn, round_length + chord
    return hollow, hollow_length, round_, round_length


def _inner_corners(edge: Edge) -> int:
    """Corners inside the edge that point into the piece; those of a dart's mouth do not count."""
    if edge.mouths:
        return 0
    pairs = zip(edge.curves, edge.curves[1:], strict=False)
    return sum(turn_deg(a.way(1.0), b.way(0.0)) <= -_CORNER_DEG for a, b in pairs)


def _is_pointed(edge: Edge, before: Edge, after: Edge) -> bool:
    """Whether it comes to an inward point at a fold, once the piece is unfolded (a V neckline)."""
    if after.kind is EdgeKind.FOLD:
        return 90.0 - _turn(edge, after) >= _CORNER_DEG / 2
    return before.kind is EdgeKind.FOLD and 90.0 - _turn(before, edge) >= _CORNER_DEG / 2
