"""The places of a piece that have a name: what a grade tells the growth of, and what a grade rule is typed for.

| place | name |
| --- | --- |
| a point of the draft | `underarm` |
| a corner, by the edges that meet there, in the outline's order | `hem/side` |
| a notch, by edge and name; numbered where several are alike | `cap shoulder notch`, `side balance notch 2` |
| the points of a dart, in order | `waist dart 1` |
| the ends and corners of a line inside the piece | `hip line 1` |
| the two ends of the grain line | `grain 1` |
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from ..geometry.path import place_at
from ..geometry.point import Point
from .piece import NotchPlace, Piece


def places_of(piece: Piece, notch_points: Sequence[Point] | None = None) -> dict[str, Point]:
    """Every named place of a piece, in its own coordinates, mm. A name that comes twice keeps its first place.

    `notch_points` are the places of its notches on the stitch line, where they are known already.
    """
    found: dict[str, Point] = dict(piece.points)

    def put(name: str, p: Point) -> None:
        found.setdefault(name, p)

    for before, after in zip([piece.edges[-1], *piece.edges[:-1]], piece.edges, strict=True):
        put(corner_name(before.name, after.name), after.start)
    if notch_points is None or len(notch_points) != len(piece.notches):
        notch_points = [place_at(piece.edge(n.edge).curves, n.at)[0] for n in piece.notches]
    for name, p in zip(notch_names(piece.notches), notch_points, strict=True):
        put(name, p)
    for dart in piece.darts:
        for number, p in enumerate(dart.points, 1):
            put(dart_point_name(dart.name, number), p)
    for line in piece.internal_lines:
        for number, p in enumerate(line.points, 1):
            put(f"{line.name} {number}", p)
    for number, p in enumerate(piece.grain, 1):
        put(f"grain {number}", p)
    return found


def corner_name(before: str, after: str) -> str:
    """A corner, by the edge that ends there and the edge that starts there."""
    return f"{before}/{after}"


def dart_point_name(dart: str, number: int) -> str:
    """A point of a dart, counted from 1."""
    return f"{dart} dart {number}"


def notch_names(notches: Sequence[NotchPlace]) -> list[str]:
    """The names of notches, in their order; those alike on one edge are numbered.

    >>> notch_names([NotchPlace("side", 5, name="hip"), NotchPlace("side", 9, name="hip"), NotchPlace("cap", 1)])
    ['side hip notch 1', 'side hip notch 2', 'cap notch']
    """
    plain = [" ".join(word for word in (n.edge, n.name, "notch") if word) for n in notches]
    often, seen = Counter(plain), Counter[str]()
    names = []
    for name in plain:
        seen[name] += 1
        names.append(f"{name} {seen[name]}" if often[name] > 1 else name)
    return names
