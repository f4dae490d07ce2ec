"""Sizes of a piece made from its base size and a grade rule table.

A tag names the rule that moves the point at which it stands (D6673-10, 4.3.1.4). x of a rule runs along the piece's
grade reference line (layer 5), else along the drawing's X. Points between two tagged ones move evenly with the length
walked along the line from one to the other in the base size: the standard says nothing of them, and this keeps straight
runs straight and curves like themselves. On a closed line the walk goes round; before the first and after the last
tagged point of an open line its other points move as that one does. A line without a tag stays.

Tags stand on the layer of their line (1, 8, 11, 14) or, in files of the older flavour, on layers 2 and 3, where they
hold for every line through that point. The second number of a tag, a rule for an alternate grade reference line, is
kept in the tag but not used.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import accumulate, pairwise
from math import inf
from typing import Final

from ..errors import InputError, Where
from ..geometry.point import XY, between, direction, distance, turn_deg
from ..geometry.polygon import nearest_on
from ..values import replace
from .model import BOUNDARY, CURVE, DRILL, GRAIN, MIRROR, TURN, LineData, PieceData, RuleTag
from .rule_table import RuleTable

AT_POINT: Final = 0.011
"""A tag this near a vertex stands on it, mm: files write hundredths of a mm."""


def grade_vertices(piece: PieceData, table: RuleTable) -> Mapping[str, Mapping[int, XY]]:
    """By size, where each vertex of the boundary lies that carries a rule: by its index in `boundary_raw`, mm.

    Raises InputError: rules that the table does not have, a piece of another size than the sample, no rule at all.
    """
    ruled = _ruled(piece.boundary_raw, _tags(piece, BOUNDARY))
    _need(piece, table, ruled)
    moves = {size: _turned(piece, table, size) for size in table.sizes}
    return {
        size: {i: _moved(piece.boundary_raw[i], moves[size][rule]) for i, rule in ruled.items()} for size in table.sizes
    }


def grade_boundary(piece: PieceData, table: RuleTable) -> Mapping[str, tuple[XY, ...]]:
    """By size, the whole boundary, vertex by vertex as in `boundary_raw`. Raises InputError as grade_vertices does."""
    ruled = _ruled(piece.boundary_raw, _tags(piece, BOUNDARY))
    _need(piece, table, ruled)
    return {
        size: _graded(piece.boundary_raw, True, {i: moves[rule] for i, rule in ruled.items()})
        for size in table.sizes
        for moves in (_turned(piece, table, size),)
    }


def grade_line(piece: PieceData, line: LineData, table: RuleTable) -> Mapping[str, tuple[XY, ...]]:
    """By size, a stitch line, internal line or cutout of the piece, point by point. Raises InputError."""
    ruled = _ruled(line.points, _tags(piece, line.layer))
    _need(piece, table, ruled, may_stay=True)
    return {
        size: _graded(line.points, line.closed, {i: moves[rule] for i, rule in ruled.items()})
        for size in table.sizes
        for moves in (_turned(piece, table, size),)
    }


def grade_point(piece: PieceData, point: XY, layer: int, table: RuleTable) -> Mapping[str, XY]:
    """By size, a single point: a drill hole (13), an end of the grain line (7). It stays if it carries no rule."""
    ruled = _ruled((point,), _tags(piece, layer))
    _need(piece, table, ruled, may_stay=True)
    return {size: _moved(point, _turned(piece, table, size)[ruled[0]]) if ruled else point for size in table.sizes}


def graded_piece(piece: PieceData, table: RuleTable, size: str) -> PieceData:
    """The whole piece in another size: its lines point for point, its marks, its notches with the boundary.

    A piece without any tag is the same in every size. Raises InputError as grade_boundary does.
    """
    if not piece.rule_tags:
        return replace(piece, size=size)

    def line(own: LineData) -> LineData:
        return replace(own, points=grade_line(piece, own, table)[size])

    def ends(pair: tuple[XY, XY], layer: int) -> tuple[XY, XY]:
        a, b = (grade_point(piece, end, layer, table)[size] for end in pair)
        return a, b

    raw = grade_boundary(piece, table)[size]
    graded = replace(
        piece,
        size=size,
        boundary_raw=raw,
        boundary=tuple(raw[i] for i in piece.from_raw),
        stitch_lines=tuple(map(line, piece.stitch_lines)),
        internal_lines=tuple(map(line, piece.internal_lines)),
        cutouts=tuple(map(line, piece.cutouts)),
        stripe_lines=tuple(map(line, piece.stripe_lines)),
        plaid_lines=tuple(map(line, piece.plaid_lines)),
        drill_holes=tuple(
            replace(hole, point=grade_point(piece, hole.point, DRILL, table)[size]) for hole in piece.drill_holes
        ),
        grain_lines=tuple(ends(pair, GRAIN) for pair in piece.grain_lines),
        mirror_line=ends(piece.mirror_line, MIRROR) if piece.mirror_line else None,
    )
    return with_notches_of(graded, piece)


def with_notches_of(piece: PieceData, base: PieceData) -> PieceData:
    """A piece with the notches of its base size, which alone has any: each at its part of the same run of the boundary.

    Both boundaries must have as many points.
    """
    notches = []
    for notch in base.notches:
        on, turned = _at_same_place(base.boundary, piece.boundary, notch.on)
        angle = None if notch.angle_deg is None else (notch.angle_deg + turned) % 360.0
        notches.append(replace(notch, point=on, on=on, off=0.0, angle_deg=angle))
    return replace(piece, notches=tuple(notches))


def _at_same_place(base: Sequence[XY], other: Sequence[XY], at: XY) -> tuple[XY, float]:
    """Where a place of a ring lies on another with as many points, and by how much its run is turned, degrees."""
    best = inf
    spot, turned = other[0], 0.0
    for i in range(len(base)):
        a, b = base[i - 1], base[i]
        near, off = nearest_on((a, b), at)
        if off < best - 1e-9:
            best = off
            size = distance(a, b)
            spot = between(other[i - 1], other[i], distance(a, near) / size if size else 0.0)
            turned = turn_deg(direction(a, b), direction(other[i - 1], other[i]))
    return spot, turned


def untagged(piece: PieceData) -> tuple[RuleTag, ...]:
    """Tags that stand on no vertex of any line and on no mark of the piece: they move nothing."""
    lines = (*piece.stitch_lines, *piece.internal_lines, *piece.cutouts, *piece.stripe_lines, *piece.plaid_lines)
    spots = _Spots(
        [
            *piece.boundary_raw,
            *(p for line in lines for p in line.points),
            *(p for ends in (*piece.grain_lines, *piece.grade_reference_lines) for p in ends),
            *(piece.mirror_line or ()),
            *(hole.point for hole in piece.drill_holes),
            *(notch.point for notch in piece.notches),
        ]
    )
    return tuple(tag for tag in piece.rule_tags if not spots.near(tag.point))


class _Spots:
    """Points by cell, so that tags find theirs."""

    def __init__(self, points: Sequence[XY]) -> None:
        self.points = points
        self.exact: dict[XY, list[int]] = {}
        self.cells: dict[tuple[int, int], list[int]] = {}
        for i, point in enumerate(points):
            self.exact.setdefault(point, []).append(i)
            self.cells.setdefault(_cell(point), []).append(i)

    def near(self, point: XY) -> list[int]:
        """The points at exactly that place; else the nearest one within reach, with those at its place."""
        if found := self.exact.get(point):
            return found
        x, y = _cell(point)
        around = [i for a in (-1, 0, 1) for b in (-1, 0, 1) for i in self.cells.get((x + a, y + b), ())[:64]]
        best = min(around, key=lambda i: distance(self.points[i], point), default=None)
        if best is None or distance(self.points[best], point) > AT_POINT:
            return []
        return self.exact[self.points[best]]


def _cell(point: XY) -> tuple[int, int]:
    return round(point[0] / (2 * AT_POINT)), round(point[1] / (2 * AT_POINT))


def _tags(piece: PieceData, layer: int) -> Iterable[RuleTag]:
    """Those on the line's own layer come last, so that they count where both stand at one point."""
    return (
        *(tag for tag in piece.rule_tags if tag.layer in (TURN, CURVE)),
        *(tag for tag in piece.rule_tags if tag.layer == layer),
    )


def _ruled(points: Sequence[XY], tags: Iterable[RuleTag]) -> dict[int, int]:
    """Index of a point -> its rule."""
    spots = _Spots(points)
    return {i: tag.rule for tag in tags for i in spots.near(tag.point)}


def _need(piece: PieceData, table: RuleTable, ruled: Mapping[int, int], *, may_stay: bool = False) -> None:
    where = Where(table.name or "rule table", 0, piece.block)
    missing = sorted(set(ruled.values()) - set(table.rules))
    if missing:
        raise InputError(
            f"the piece asks for rule {', '.join(map(str, missing[:10]))}, which the table does not have", where=where,
            expected=f"one of the {len(table.rules)} that it has", instead="Fetch the table that belongs to this file",
        )  # fmt: skip
    if piece.size and piece.size.casefold() != table.sample.casefold():
        raise InputError(
            f"the piece is size {piece.size!r}, the rules are measured from {table.sample!r}", where=where,
            expected="the piece in the sample size",
        )  # fmt: skip
    if not ruled and not may_stay:
        raise InputError(
            "no vertex of the boundary carries a rule", where=where, expected="tags # number at the vertices that move"
        )


def _turned(piece: PieceData, table: RuleTable, size: str) -> dict[int, XY]:
    """Every rule's move in a size, in the drawing's directions."""
    at = table.sizes.index(size)
    if not piece.grade_reference_lines:
        return {rule: moves[at] for rule, moves in table.rules.items()}
    x, y = direction(*piece.grade_reference_lines[0])
    return {
        rule: (x * moves[at][0] - y * moves[at][1], y * moves[at][0] + x * moves[at][1])
        for rule, moves in table.rules.items()
    }


def _moved(point: XY, by: XY) -> XY:
    return point[0] + by[0], point[1] + by[1]


def _graded(points: Sequence[XY], closed: bool, moves: Mapping[int, XY]) -> tuple[XY, ...]:
    """All points of a line, those with a move of their own by that, the others evenly between."""
    if not moves:
        return tuple(points)
    held = sorted(moves)
    walked = [0.0, *accumulate(distance(a, b) for a, b in pairwise((*points, points[0])))]
    by = [moves[held[0]]] * len(points)
    for i in range(held[-1], len(points)):
        by[i] = moves[held[-1]]
    runs = list(pairwise(held))
    if closed:
        runs.append((held[-1], held[0] + len(points)))
    for start, end in runs:
        first, second = moves[start], moves[end % len(points)]
        far = walked[end % len(points)] + (walked[-1] if end >= len(points) else 0.0) - walked[start]
        for i in range(start, end):
            here = walked[i % len(points)] + (walked[-1] if i >= len(points) else 0.0) - walked[start]
            part = here / far if far else 0.0
            by[i % len(points)] = (
                first[0] + (second[0] - first[0]) * part,
                first[1] + (second[1] - first[1]) * part,
            )
    return tuple(_moved(point, move) for point, move in zip(points, by, strict=True))
