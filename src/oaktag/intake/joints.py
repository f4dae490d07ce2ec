"""Which edges of drawn pieces may be sewn to each other: told by their lengths, both ends, and notches."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from typing import Final

from ..geometry.path import flatten, place_at
from ..geometry.point import XY, direction, distance, turn_deg
from ..geometry.polygon import distance_to_segment
from ..model.piece import Edge, EdgeKind, Piece
from ..values import dataclass

SHORTEST: Final = 40.0
"""Of an edge that may be a seam, mm."""
APART: Final = 3.0
"""Edges that a hand drew to be equal differ by no more, and so do the places of their notches, mm."""
ENDS: Final = 15.0
"""Where a seam ends the edges beside it go on, the two corners together make 180°; a hand is off by no more."""
_DOUBLE: Final = 10.0
"""A single notch may meet a double one, mm."""
_AHEAD: Final = 15.0
"""So far along an edge its direction is taken, mm: beyond the wobble of a hand."""
_OWN: Final = 2.0
"""A seam of a piece with itself comes behind one with another."""
_MOST_EDGES: Final = 400


@dataclass(frozen=True, slots=True)
class Joint:
    """Two edges, `piece.edge`, that fit: their sewn lengths (mm), how far the corners at the ends that meet are off
    180° (degrees), and how many notches meet."""

    a: str
    b: str
    lengths: tuple[float, float]
    ends: tuple[float, float]
    notches: int
    doubt: float
    """The smaller the better: lengths that differ, corners that are off, edges of unlike shape."""

    @property
    def apart(self) -> float:
        """How much longer the first is, mm."""
        return self.lengths[0] - self.lengths[1]


@dataclass(frozen=True, slots=True)
class _Side:
    piece: str
    edge: str
    length: float
    corners: tuple[float, float]
    """The angles inside the piece at its start and its end, degrees."""
    notches: tuple[float, ...]
    bulge: float

    @property
    def ref(self) -> str:
        return f"{self.piece}.{self.edge}"


def joints_of(pieces: Sequence[Piece]) -> tuple[list[Joint], list[Joint]]:
    """Those that may be meant, the surest first, no edge in two of them; and what else would fit."""
    sides = [side for piece in pieces for side in _sides(piece)][:_MOST_EDGES]
    found = sorted(
        (joint for a, b in itertools.combinations(sides, 2) for joint in _joints(a, b)),
        key=lambda joint: (joint.doubt, joint.a, joint.b),
    )
    likely: list[Joint] = []
    others: list[Joint] = []
    taken: set[str] = set()
    for joint in found:
        if taken.isdisjoint((joint.a, joint.b)):
            likely.append(joint)
            taken |= {joint.a, joint.b}
        else:
            others.append(joint)
    return likely, others


def _sides(piece: Piece) -> Iterator[_Side]:
    n = len(piece.edges)
    for i, edge in enumerate(piece.edges):
        length = edge.sewn_length()
        if n < 3 or length < SHORTEST or edge.kind is EdgeKind.FOLD:
            continue
        corners = _corner(piece.edges[i - 1], edge), _corner(edge, piece.edges[(i + 1) % n])
        notches = sorted(edge.sewn(notch.at) for notch in piece.notches if notch.edge == edge.name)
        yield _Side(piece.name, edge.name, length, corners, tuple(notches), _bulge(flatten(edge.curves, 0.5)))


def _corner(before: Edge, after: Edge) -> float:
    """The angle inside the piece where two edges meet, degrees."""
    arriving = place_at(before.curves, before.length() - min(_AHEAD, before.length() / 3))[0]
    leaving = place_at(after.curves, min(_AHEAD, after.length() / 3))[0]
    return 180.0 - turn_deg(direction(arriving, after.start), direction(after.start, leaving))


def _bulge(points: Sequence[XY]) -> float:
    """How far an edge leaves its chord, mm."""
    if distance(points[0], points[-1]) < 1e-6:
        return 0.0
    return max(distance_to_segment(p, points[0], points[-1]) for p in points)


def _joints(a: _Side, b: _Side) -> Iterator[Joint]:
    """The better of the two ways in which the edges may lie on each other, if either fits."""
    off = abs(a.length - b.length)
    if off > APART:
        return
    best: Joint | None = None
    for backwards in (True, False):
        other = b.corners[::-1] if backwards else b.corners
        ends = abs(a.corners[0] + other[0] - 180.0), abs(a.corners[1] + other[1] - 180.0)
        marks = tuple(sorted(b.length - at for at in b.notches)) if backwards else b.notches
        meet = _meet(a.notches, marks)
        if meet is None or max(ends) > ENDS:
            continue
        doubt = off / APART + max(ends) / ENDS + abs(a.bulge - b.bulge) / 20.0 - (1.0 if meet else 0.0)
        if a.piece == b.piece:
            doubt += _OWN
        if best is None or doubt < best.doubt:
            best = Joint(a.ref, b.ref, (a.length, b.length), ends, meet, doubt)
    if best is not None:
        yield best


def _meet(a: Sequence[float], b: Sequence[float]) -> int | None:
    """How many notches meet; None if some should and do not. Where only one side has any, they tell nothing."""
    if not a or not b:
        return 0
    if len(a) == len(b):
        return len(a) if all(abs(x - y) <= APART for x, y in zip(a, b, strict=True)) else None
    few, many = sorted((a, b), key=len)
    return len(few) if all(min(abs(x - y) for y in many) <= _DOUBLE for x in few) else None
