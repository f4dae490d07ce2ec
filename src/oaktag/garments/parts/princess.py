"""Princess lines: front and back cut through their darts, from the shoulder or the armhole down.

The line runs through the bust point, and is rounded there, not cut off: no width is lost. Each panel takes a leg of
every dart, so that both are as long, but for the side panel's ease over the bust, 0 to 0.6 cm (garment rules, 2.2; the
ease is common practice).
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from ...draft.cuts import cut_through
from ...draft.pivots import trued
from ...errors import GeometryError
from ...geometry.path import place_at, solve
from ...model.piece import Piece, Seam, sew
from ...model.ref import Ref
from ...model.spans import resolve
from ...values import replace
from .style_darts import placed, where

ROUNDED: Final = 30.0
"""The corner of a princess line at the bust point is rounded over so much on either side, mm, through the point itself
(judgement, no source)."""
BEHIND: Final = 15.0
"""And that of the back at the point of its waist dart, which turns less, and lies above the bust level: a longer round
would leave cloth there that the dart takes in (judgement, no source)."""
_MEETS: Final = 0.3
"""Edges that differ by no more are one length, mm."""


def front_princess(front: Piece, start: str) -> tuple[Piece, Piece]:
    """The centre and the side panel of a front, along a line from its shoulder or armhole through the bust point to the
    waist dart. What is left of other darts stays. Raises GeometryError where the line leaves the piece."""
    name = front.name
    names = f"{name}_centre", f"{name}_side"
    if not any(dart.name == "waist" for dart in front.darts):
        raise GeometryError(f"{name} has no waist dart, which a princess line runs through")
    way: list[str | tuple[str, float]] = [where(front, start)]
    if any(dart.name == "bust" for dart in front.darts):
        front = placed(front, start)
        way = ["bust"]
    return cut_through(_led_to_bust(front), (*way, *_down(front)), names=names, edge="princess",
                       holding="centre_front", rounded=ROUNDED, through=True)  # fmt: skip


def back_princess(back: Piece, start: str) -> tuple[Piece, Piece]:
    """The centre and the side panel of a back, along a line from its shoulder (its dart, where it has one) or armhole
    to its waist dart; from the armhole to that nearest to the side."""
    names = f"{back.name}_centre", f"{back.name}_side"
    darts = {dart.name for dart in back.darts}
    way: str | tuple[str, float] = "shoulder" if start == "shoulder" and "shoulder" in darts else where(back, start)
    low = "waist_2" if start == "armhole" and "waist_2" in darts else "waist"
    return cut_through(back, (way, *_down(back, low)), names=names, edge="princess", holding="centre_back",
                       rounded=BEHIND, through=True)  # fmt: skip


def _led_to_bust(front: Piece) -> Piece:
    """The front with the upper point of its waist dart on the bust point, so that the line has one corner."""
    low, apex = next(dart for dart in front.darts if dart.name == "waist"), front.points["bust_point"]
    if low.is_open:
        return trued(front, "waist", apex)
    led = replace(low, points=(apex, *low.points[1:]))
    return replace(front, darts=tuple(led if dart is low else dart for dart in front.darts))


def _down(piece: Piece, dart: str = "waist") -> list[str | tuple[str, float]]:
    """Down through a waist dart; below one with two ends straight on to the hem."""
    low = next(each for each in piece.darts if each.name == dart)
    if low.is_open:
        return [dart]
    hem, x = piece.edge("hem"), low.points[2].x
    long = hem.length()
    far = solve(lambda far: place_at(hem.curves, far)[0].x - x, 0.0, long, near=1e-6)
    return [dart, ("hem", far)]


def princess_seam(centre: Piece, side: Piece, name: str) -> Seam:
    """The seam of the two panels, with the ease that the longer has: the side panel's, over the bust."""
    a, b = centre.edge("princess").sewn_length(), side.edge("princess").sewn_length()
    refs = f"{side.name}.princess", f"{centre.name}.princess"
    if abs(b - a) <= _MEETS:
        return sew(name, refs[0], to=refs[1])
    return sew(name, refs[0], to=refs[1], ease=b - a) if b > a else sew(name, refs[1], to=refs[0], ease=a - b)


def came_of(pieces: Sequence[Piece], edge: str) -> tuple[str, ...]:
    """The edges that an edge of a piece is now, in its own order: those of the panels that it was cut into."""
    return tuple(dict.fromkeys(str(part.edge.whole) for part in resolve(pieces, Ref.of(edge))))
