"""Measuring finished pieces: walking edges, widths along a level, corners."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from functools import cache, partial
from itertools import pairwise

from ..errors import DraftError
from ..geometry.point import XY, Point, Ring, along, between, direction, distance, turn_deg
from ..geometry.polygon import crossings
from ..model.draft import Notion
from ..model.pattern import CutPiece, MarkedPiece, Pattern
from ..model.piece import Corner, Edge, LevelLine, NotchPlace, Piece, Seam
from ..model.ref import Ref
from ..model.sewing import SeamLengths, seam_lengths, sewn_length

BODY, ARM = "body", "arm"
"""What a piece may go round."""
_SAME = 1e-6
"""Two depths this near are one, mm."""
_CLEAR, _BEYOND = 0.1, 300.0
"""Nearer to the stitch line a point lies on it; and no side of a piece bulges further between two levels, mm."""


def edge_of(pattern: Pattern, ref: Ref) -> Edge:
    """The edge of that name; KeyError if there is none."""
    return pattern.piece(ref.piece).cut.piece.edge(ref.edge)


def run_length(pattern: Pattern, refs: tuple[Ref, ...]) -> float:
    """Length of several edges together, on the exact stitch line with its darts closed, as drawn, mm."""
    return sum(sewn_length(pattern.piece(ref.piece).cut.piece, ref) for ref in refs)


def seam_sides(pattern: Pattern, seam: Seam) -> SeamLengths:
    """Length of both sides of a seam, mm, as `seam_lengths` of sewing.py tells."""
    return seam_lengths(lambda name: pattern.piece(name).cut.piece, seam, by_hand=pattern.draft.by_hand > 0)


def round_length(pattern: Pattern, refs: tuple[Ref, ...]) -> float:
    """The same all round the wearer, as often as the pieces come round."""
    return sum(pattern.piece(ref.piece).cut.piece.to_cut.around * run_length(pattern, (ref,)) for ref in refs)


# ---------------------------------------------------------------- levels


def goes_round(pattern: Pattern, worn: str = BODY) -> list[MarkedPiece]:
    """The pieces with levels that go round the body, or a leg, or an arm."""
    return [p for p in pattern.pieces if p.cut.piece.worn == worn and p.cut.piece.levels]


def reach_of(piece: MarkedPiece) -> tuple[float, float]:
    """The depths from which and to which a piece with levels goes, mm below the top line."""
    levels = piece.cut.piece.levels
    return levels[0].depth, levels[-1].depth


def pieces_at(pattern: Pattern, depth: float, worn: str = BODY) -> list[MarkedPiece]:
    """What goes round at a depth; where one piece ends and the next starts, the lower one."""
    reaching = [(piece, *reach_of(piece)) for piece in goes_round(pattern, worn)]
    starts = any(abs(top - depth) < _SAME < bottom - depth for _, top, bottom in reaching)
    return [
        piece
        for piece, top, bottom in reaching
        if top - _SAME < depth < bottom + _SAME and not (starts and abs(bottom - depth) < _SAME)
    ]


def level_depth(pattern: Pattern, name: str, worn: str = BODY) -> float:
    """How far below the top line a level lies, mm; KeyError if no piece has it."""
    for piece in goes_round(pattern, worn):
        for level in piece.cut.piece.levels:
            if level.name == name:
                return level.depth
    raise DraftError(f"no piece that goes round the {worn or 'body'} (worn={worn!r}) has a level {name!r}.")


def ladders(piece: Piece) -> list[tuple[LevelLine, ...]]:
    """The levels of a piece from the top down; those of front and back apart, where it is both, cut as one: they
    have the same names."""
    found: list[tuple[LevelLine, ...]] = []
    for level in piece.levels:
        if not found or (level.depth < found[-1][-1].depth - _SAME and level.name in {own.name for own in found[-1]}):
            found.append((level,))
        else:
            found[-1] = (*found[-1], level)
    return found


def line_at(
    cut: CutPiece,
    depth: float,
    inside: Callable[[XY], bool] | None = None,
    levels: Sequence[LevelLine] = (),
) -> Sequence[Point]:
    """A depth of the body as a line of the piece: between the lines of the levels next to it; the first of its ladders,
    unless they are told.

    Where both of them end at the side of the piece, or beyond, it goes on to the side, however that runs between them:
    `inside` tells of a point whether it lies inside the piece, clear of its stitch line.
    """
    inside = inside or partial(_inside, cut.stitch_line)
    levels = levels or ladders(cut.piece)[0]
    upper = levels[0]
    for level in levels:
        if level.depth > depth:
            break
        upper = level
    else:
        return upper.points
    if level.depth <= upper.depth or depth <= upper.depth:
        return upper.points
    part = (depth - upper.depth) / (level.depth - upper.depth)
    first, last = upper.points, level.points
    if len(first) != len(last):
        first, last = (first[0], first[-1]), (last[0], last[-1])
    line = [between(a, b, part) for a, b in zip(first, last, strict=True)]
    for end, before in ((0, 1), (-1, -2)):
        if not inside(first[end]) and not inside(last[end]):
            line[end] = along(line[end], direction(line[before], line[end]), _BEYOND)
    return line


def _inside(ring: Ring, p: XY) -> bool:
    """Whether a point lies inside the stitch line, clear of it."""
    met = iter(crossings(ring, p[1]))
    return any(left + _CLEAR < p[0] < right - _CLEAR for left, right in zip(met, met, strict=True))


def depth_of(piece: Piece, y: float) -> float:
    """Which depth of the body a height of the piece is, mm below the top line: `line_at` the other way round."""
    lines = [(level.depth, level.points[0].y) for level in ladders(piece)[0]]
    for (a, high), (b, low) in pairwise(lines):
        if high >= y > low:
            return a + (b - a) * (high - y) / (high - low)
    depth, end = lines[0] if y > lines[0][1] else lines[-1]
    return depth + end - y


def width_along(cut: CutPiece, line: Sequence[Point]) -> float:
    """What of a line lies inside the stitch line, less what the darts that it crosses take out, mm: one that opens at
    an edge where the line runs across both of its legs, wherever they are; not where it runs along the dart."""
    width = 0.0
    for a, b in pairwise(line):
        level = a.y == b.y and a.x < b.x
        ring = cut.stitch_line if level else _turned(cut.stitch_line, a, b)
        low, y = (a.x, a.y) if level else (0.0, 0.0)
        high = b.x if level else distance(a, b)
        width += _between(ring, y, low, high)
        for dart in cut.piece.darts:
            own = dart.points if level else _turned(dart.points, a, b)
            if not dart.is_open or _crossed(own, y):
                width -= _between(own, y, low, high)
    return width


def _crossed(dart: Sequence[XY], y: float) -> bool:
    """Whether a level runs across an open dart, over both of its legs, and not along it."""
    (ax, ay), (tip_x, tip_y), (bx, by) = dart
    return (ay > y) != (tip_y > y) != (by > y) and abs(ay + by - 2 * tip_y) > abs(ax + bx - 2 * tip_x)


def _between(ring: Ring, y: float, low: float, high: float) -> float:
    """How much of a level lies inside a ring, from `low` to `high`, mm."""
    met = iter(crossings(ring, y))
    return sum(max(0.0, min(right, high) - max(left, low)) for left, right in zip(met, met, strict=True))


def _turned(points: Iterable[XY], a: XY, b: XY) -> tuple[Point, ...]:
    """Points as they lie from a towards b: along, and to its left."""
    way = direction(a, b)
    return tuple(
        Point((x - a[0]) * way.x + (y - a[1]) * way.y, (y - a[1]) * way.x - (x - a[0]) * way.y) for x, y in points
    )


def girth_at(pattern: Pattern, depth: float, worn: str = BODY) -> float:
    """The garment all round at a depth below the top line, darts closed, mm."""
    return girths_at(pattern, (depth,), worn)[0]


def girths_at(pattern: Pattern, depths: Iterable[float], worn: str = BODY) -> list[float]:
    """The same at each of some depths, mm; what is inside a piece is found once for all of them."""
    inside = {each.name: cache(partial(_inside, each.cut.stitch_line)) for each in goes_round(pattern, worn)}

    def width(piece: MarkedPiece, depth: float) -> float:
        lines = (line_at(piece.cut, depth, inside[piece.name], levels) for levels in ladders(piece.cut.piece))
        return piece.cut.piece.to_cut.around * sum(width_along(piece.cut, line) for line in lines)

    return [sum(width(piece, depth) for piece in pieces_at(pattern, depth, worn)) for depth in depths]


# ---------------------------------------------------------------- places


def reach_of_notion(pieces: Iterable[Piece], notion: Notion) -> tuple[float, float] | None:
    """The depths of both of its ends, by their notches on the first piece that has them; None where there is none."""
    made = tuple(pieces)
    end = _notch(made, notion.end)
    if end is None:
        return None
    named = _notch(made, notion.top)
    piece, top = named or next((p, NotchPlace(e.name, 0.0)) for p in made for e in p.edges if e.name == end[1].edge)
    return _notch_depth(piece, top), _notch_depth(*end)


def _notch(pieces: Iterable[Piece], name: str) -> tuple[Piece, NotchPlace] | None:
    return next(((p, n) for p in pieces if p.levels for n in p.notches if name and n.name == name), None)


def _notch_depth(piece: Piece, notch: NotchPlace) -> float:
    from ..geometry.path import place_at

    return depth_of(piece, place_at(piece.edge(notch.edge).curves, notch.at)[0].y)


def corner_angle_deg(pattern: Pattern, corner: Corner) -> float:
    """Interior angle between the two edges of a corner, degrees."""
    piece = pattern.piece(corner.piece).cut.piece
    run, across = piece.edge(corner.run), piece.edge(corner.across)
    if distance(run.end, across.start) < 1e-6:
        arriving, leaving = run.curves[-1].way(1.0), across.curves[0].way(0.0)
    else:
        arriving, leaving = across.curves[-1].way(1.0), run.curves[0].way(0.0)
    return 180.0 - turn_deg(arriving, leaving)
