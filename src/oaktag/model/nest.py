"""One pattern in several sizes, and how their pieces are laid on each other."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from ..geometry.point import XY, Point
from ..values import dataclass, field, replace
from .pattern import Pattern
from .piece import Piece

_SAME_LINES: Final = 5.0
"""A point of two pieces this near to itself was drafted on the same lines, mm: a turn of cloth may lie between."""


@dataclass(frozen=True, slots=True)
class Nest:
    """The sizes of a pattern, in their chart's order, with the same pieces and edges in all of them.

    The pieces lie as they were drafted; `shift` brings those of one size onto those of the base size. A single body is
    a nest of one size. `stack` names the point at which pieces that have it are laid on each other; empty: on their
    centre (or grain) line, at the level of bust, biceps or hip.
    """

    patterns: tuple[Pattern, ...]
    base: str
    stack: str = ""
    bodies: Mapping[str, Mapping[str, float]] = field(default_factory=dict)
    """The body of each size, mm."""

    @classmethod
    def single(cls, pattern: Pattern) -> Nest:
        """One body."""
        return cls((pattern,), pattern.size, bodies={pattern.size: pattern.draft.body})

    @property
    def sizes(self) -> tuple[str, ...]:
        return tuple(pattern.size for pattern in self.patterns)

    @property
    def base_pattern(self) -> Pattern:
        return self.of(self.base)

    def of(self, size: str) -> Pattern:
        """The pattern of that size; KeyError if there is none."""
        for pattern in self.patterns:
            if pattern.size == size:
                return pattern
        raise KeyError(size)

    def only(self, sizes: tuple[str, ...]) -> Nest:
        """Some of its sizes, in its order; the base is kept if it is among them, else the middle one of them is it."""
        kept = tuple(pattern for pattern in self.patterns if pattern.size in sizes)
        base = self.base if self.base in sizes else kept[len(kept) // 2].size
        return Nest(kept, base, self.stack, self.bodies)

    def of_pieces(self, names: tuple[str, ...]) -> Nest:
        """Some of its pieces, in its order and marked as in the whole, with the seams between them."""
        return replace(self, patterns=tuple(_of_pieces(pattern, names) for pattern in self.patterns))

    def shift(self, size: str, piece: str) -> XY:
        """What is added to a piece of that size to lay it on the base size, mm."""
        own, base = (zero_point(self.of(s), piece, self.stack) for s in (size, self.base))
        return base[0] - own[0], base[1] - own[1]


def _of_pieces(pattern: Pattern, names: tuple[str, ...]) -> Pattern:
    draft = pattern.draft
    kept = tuple(piece for piece in draft.pieces if piece.name in names)
    seams = tuple(s for s in draft.seams if all(ref.piece in names for ref in (*s.a, *s.b)))
    own = replace(draft, pieces=kept, seams=seams)
    return replace(pattern, draft=own, pieces=tuple(piece for piece in pattern.pieces if piece.name in names))


def zero_point(pattern: Pattern, name: str, stack: str = "") -> Point:
    """The point at which the sizes of a piece are laid on each other, in its own coordinates, mm.

    The point named `stack`, where the piece has it. Else its centre or grain line (x = 0 as drafted) at its zero level
    (bust, biceps or hip line); a facing moves as the piece that it faces, and any other piece lies as drafted.
    """
    piece = pattern.piece(name).cut.piece
    points = piece.points
    if stack and stack in points:
        return points[stack]
    own = _zero_level(pattern, piece)
    if own is not None:
        return Point(0.0, own)
    for other in pattern.pieces:
        zero, there = _zero_level(pattern, other.cut.piece), other.cut.piece.points
        if zero is not None and any(
            abs(p.x - there[key].x) + abs(p.y - there[key].y) < _SAME_LINES for key, p in points.items() if key in there
        ):
            return Point(0.0, zero)
    return Point(0.0, 0.0)


def _zero_level(pattern: Pattern, piece: Piece) -> float | None:
    """The height of the first of the draft's zero levels that the piece has, mm."""
    heights = {level.name: level.points[-1].y for level in piece.levels}
    return next((heights[name] for name in pattern.draft.zero_levels if name in heights), None)
