"""The new piece laid on the old one, by the grain and a point, and how far each place then has moved."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise
from types import MappingProxyType
from typing import Final

from ..errors import InputError
from ..geometry.affine import Move
from ..geometry.point import XY, Point, direction, distance, right_of, turn_deg
from ..geometry.polygon import Box, distance_to_segment, nearest_on
from ..model.piece import piece_words
from ..units import Unit, show
from ..values import dataclass
from .side import ON_LINE, Side, SidePiece, middle_of

_SQUARE: Final = 0.001
"""Grain lines this near to each other in direction are parallel, degrees: their ends are rounded to 1e-4 mm."""
_ONE: Final = 1.0  # mm: places of an edge that are nearer to each other are told once
STILL: Final = 0.05
"""What moves less has not moved, mm (curves are flattened to that)."""


@dataclass(frozen=True, slots=True)
class Moved:
    """A named place of both pieces, laid on each other, mm."""

    name: str
    old: XY
    new: XY

    @property
    def dx(self) -> float:
        return self.new[0] - self.old[0]

    @property
    def dy(self) -> float:
        return self.new[1] - self.old[1]

    @property
    def far(self) -> float:
        return distance(self.old, self.new)


@dataclass(frozen=True, slots=True)
class Laid:
    """A piece of both patterns: `new` lies where it was laid on `old`.

    `at` is the point that both lie on, "" where they have none in common; `turned` is by how much the new one was, in
    degrees; `out`: which way along x leads away from the centre of the wearer, 1 or -1, 0 where none does.
    """

    old: SidePiece
    new: SidePiece
    at: str
    turned: float
    shift: XY
    out: int
    moves: tuple[Moved, ...]

    @property
    def same(self) -> bool:
        """Whether nothing has moved, neither where it is sewn nor where it is cut."""
        return all(
            nearest_on(ring, p)[1] <= 3 * STILL
            for a, b in ((self.old.stitch_line, self.new.stitch_line), (self.old.cut_line, self.new.cut_line))
            for ring, other in ((a, b), (b, a))
            for p in other
        ) and all(move.far <= 3 * STILL for move in self.moves)

    @property
    def words(self) -> str:
        """By what they were laid on each other."""
        fold = self.old.fold is not None and self.new.fold is not None
        along = "fold on fold" if fold else "by the grain"
        return f"{along}, at {piece_words(self.at)}" if self.at else f"{along}, middle on middle"

    def seam_moves(self, edge: str) -> list[tuple[str, float, Moved]]:
        """How far an edge goes out (more than 0) or in, square to itself, mm, at its named places."""
        old, new = self.old.edge(edge), self.new.edge(edge)
        if old is None or new is None:
            return []
        before, after = self.old.places_on(old), self.new.places_on(new)
        found: list[tuple[str, float, Moved]] = []
        for name, p in before.items():
            if name in after and all(distance(p, other.old) > _ONE for _, _, other in found):
                moved = Moved(name, p, after[name])
                out = right_of(_way_at(old.points, p))
                found.append((name, moved.dx * out.x + moved.dy * out.y, moved))
        return found


def _way_at(line: Sequence[XY], p: XY) -> Point:
    """The direction of a line where it is nearest to p."""
    runs = [(a, b) for a, b in pairwise(line) if distance(a, b) > 1e-6]
    return direction(*min(runs, key=lambda run: distance_to_segment(p, *run))) if runs else Point(1.0, 0.0)


def refuse_unknown_points(asked: Sequence[str], old: Side, new: Side) -> None:
    """InputError for a point of `--at` that no piece of both patterns has."""
    common = {p.name: {*p.points} & {*q.points} for p in old.pieces if (q := new.piece(p.name)) is not None}
    known = sorted({name for names in common.values() for name in names})
    from difflib import get_close_matches

    for word in asked:
        piece, _, point = word.rpartition(".")
        if not (point in common.get(piece, ()) if piece else point in known):
            near = get_close_matches(point, known, n=1)
            raise InputError(
                f"--at {word}: no piece of both patterns has this point",
                expected=f"one of {', '.join(known)}; or piece.point" if known else "patterns with named points",
                instead=f"Write --at {near[0]}" if near else "",
            )


def shared_points(old: Side) -> dict[str, int]:
    """How many pieces have each point on their centre line: where that is several, they can be laid alike."""
    found: dict[str, int] = {}
    for piece in old.pieces:
        for name in piece.points:
            found[name] = found.get(name, 0) + _on_centre(piece, name)
    return found


def lay_on(
    old: SidePiece, new: SidePiece, asked: Sequence[str] = (), shared: Mapping[str, int] = MappingProxyType({})
) -> Laid:
    """The new piece on the old one; its grain as the old one's, turned about as little as that needs.

    The point is the one of `asked` that both have (`point`, or `piece.point`), else the one in common that is nearest
    the middle of the old piece: of those on its centre line, if there are any, and there of those that the most pieces
    share (`shared_points`), so that front and back are laid alike. Of pieces on the fold the fold stays on
    the fold, and the point tells how far along it (common practice, no source: the centre is not let out).
    """
    folds = old.fold, new.fold
    if folds[0] is not None and folds[1] is not None:
        ways = [direction(fold.points[0], fold.points[-1]) for fold in folds if fold is not None]
        turned = turn_deg(ways[1], ways[0])
    else:
        turned = turn_deg(direction(*new.grain), direction(*old.grain))
        turned = turned - 180.0 if turned > 90.0 else turned + 180.0 if turned <= -90.0 else turned
    turned = 0.0 if abs(turned) < _SQUARE else turned
    turn = Move.turned(turned)
    at = _point(old, new, asked, shared)
    a = old.points[at] if at else middle_of(old.stitch_line)
    b = turn.point(new.points[at] if at else middle_of(new.stitch_line))
    dx, dy = a[0] - b[0], a[1] - b[1]
    if folds[0] is not None and folds[1] is not None:
        on, way = folds[0].points[0], ways[0]
        off = turn.point(folds[1].points[0])
        far = dx * way.x + dy * way.y
        across = (on[0] - off[0]) * -way.y + (on[1] - off[1]) * way.x
        dx, dy = far * way.x - across * way.y, far * way.y + across * way.x
    laid = new.moved(turn.then(Move.by(dx, dy)))
    moves = tuple(Moved(name, p, laid.points[name]) for name, p in old.points.items() if name in laid.points)
    return Laid(old, laid, at, turned, (dx, dy), _outwards(old), moves)


def _point(old: SidePiece, new: SidePiece, asked: Sequence[str], shared: Mapping[str, int]) -> str:
    common = [name for name in old.points if name in new.points]
    for word in (*(w for w in asked if "." in w), *(w for w in asked if "." not in w)):
        piece, _, point = word.rpartition(".")
        if point in common and piece in ("", old.name):
            return point
    middle = middle_of(old.stitch_line)
    centre = [name for name in common if _on_centre(old, name) and _on_centre(new, name)]
    most = max((shared.get(name, 0) for name in centre), default=0)
    best = [name for name in centre if shared.get(name, 0) == most] or common
    return min(best, key=lambda name: distance(old.points[name], middle), default="")


def _on_centre(piece: SidePiece, name: str) -> bool:
    """Whether a point lies on the centre line of a half: its fold, else x = 0, where halves have it."""
    p = piece.points[name]
    if (fold := piece.fold) is not None:
        return distance_to_segment(p, fold.points[0], fold.points[-1]) <= ON_LINE
    return piece.cut_as == "pair" and abs(p[0]) <= ON_LINE


def _outwards(piece: SidePiece) -> int:
    box = Box.round(piece.stitch_line)
    if piece.cut_as == "whole" or min(-box.left, box.right) > box.width / 4:
        return 0
    return 1 if box.left + box.right > 0 else -1


def moved_words(dx: float, dy: float, out: int, unit: Unit) -> str:
    """`3/8 in out, 1/4 in up`; `out` as in `Laid`.

    >>> moved_words(9.525, 6.35, 1, "in"), moved_words(9.5, 0.0, -1, "mm"), moved_words(-3.0, -4.0, 0, "mm")
    ('3/8 in out, 1/4 in up', '9.5 mm in', '3 mm left, 4 mm down')
    >>> moved_words(0.0, 0.01, 1, "in"), moved_words(0.5, 0.0, 1, "in")
    ('stays', 'less than 1/16 in')
    """
    sides: Mapping[bool, str] = {True: "right", False: "left"} if not out else {True: "out", False: "in"}
    parts = []
    for value, words in ((dx * (out or 1), sides), (dy, {True: "up", False: "down"})):
        shown = show(abs(value), unit)
        if abs(value) >= STILL and shown != show(0.0, unit):
            parts.append(f"{shown} {words[value > 0]}")
    if parts:
        return ", ".join(parts)
    if distance((0.0, 0.0), (dx, dy)) < STILL:
        return "stays"
    return {"in": "less than 1/16 in", "cm": "less than 0.05 cm", "mm": "less than 0.05 mm"}[unit]
