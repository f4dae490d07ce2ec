"""Pieces moved, unfolded, copied, laid against each other and joined.

Curves stay exact lines and cubics, outlines counter-clockwise; nothing is flattened on the way. All that lies in or on
a piece rides with every move: takes, notches, points, levels, lines, darts, grain.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import pairwise
from math import cos, radians, sin
from typing import Final, Literal, TypeVar

from ..errors import GeometryError
from ..geometry.affine import Move
from ..geometry.curve import Line
from ..geometry.path import moved_path, pinned, place_at
from ..geometry.point import XY, Point, direction, distance, turn_deg
from ..model.piece import Dart, Edge, EdgeKind, InternalLine, LevelLine, NotchPlace, Piece
from ..values import replace
from .stretches import MEET, NEAR, chained, ridden, stretch_of, turned_round

_ON: Final = 1e-9
"""A point this near to a line, mm, lies on it."""
_FIT: Final = 0.5
"""Two edges that are to become one cloth lie no further apart than this, mm (the tolerance of a plain seam)."""

_Line = TypeVar("_Line", InternalLine, LevelLine)


# ---------------------------------------------------------------- moving


def turn(about: XY, angle_deg: float) -> Move:
    """The move that turns the plane counter-clockwise about a point."""
    c, s = cos(radians(angle_deg)), sin(radians(angle_deg))
    return Move(c, -s, s, c, about[0] - c * about[0] + s * about[1], about[1] - s * about[0] - c * about[1])


def turned_over(a: XY, b: XY) -> Move:
    """The move that mirrors the plane about the line through a and b; exact, if the line is upright or level."""
    if a[0] == b[0]:
        return Move(-1.0, 0.0, 0.0, 1.0, 2 * a[0], 0.0)
    if a[1] == b[1]:
        return Move(1.0, 0.0, 0.0, -1.0, 0.0, 2 * a[1])
    x, y = direction(a, b)
    xx, xy = x * x - y * y, 2 * x * y
    return Move(xx, xy, xy, -xx, a[0] - xx * a[0] - xy * a[1], a[1] - xy * a[0] + xx * a[1])


def placed(piece: Piece, move: Move) -> Piece:
    """The whole piece moved. Turned over, it is walked the other way, so that it stays counter-clockwise."""
    edges, notches = _moved_edges(piece.edges, piece.notches, move)
    cut_line = move.points(piece.cut_line)
    return replace(
        piece,
        edges=edges,
        points={name: move.point(p) for name, p in piece.points.items()},
        grain=(move.point(piece.grain[0]), move.point(piece.grain[1])),
        darts=tuple(moved_dart(dart, move) for dart in piece.darts),
        notches=notches,
        internal_lines=tuple(moved_line(line, move) for line in piece.internal_lines),
        levels=tuple(moved_line(level, move) for level in piece.levels),
        cut_line=cut_line[::-1] if _turns_over(move) else cut_line,
    )


def _turns_over(move: Move) -> bool:
    return move.xx * move.yy - move.xy * move.yx < 0


def _moved_edges(
    edges: Sequence[Edge], notches: Iterable[NotchPlace], move: Move
) -> tuple[tuple[Edge, ...], tuple[NotchPlace, ...]]:
    notches = [_moved_notch(notch, move) for notch in notches]
    if not _turns_over(move):
        return tuple(_moved_edge(edge, move) for edge in edges), tuple(notches)
    lengths = {edge.name: edge.length() for edge in edges}
    back = tuple(turned_round(edge, move) for edge in reversed(edges))
    return back, tuple(replace(n, at=lengths[n.edge] - n.at) for n in notches if n.edge in lengths)


def _moved_edge(edge: Edge, move: Move) -> Edge:
    takes = tuple(replace(take, tip=take.tip and move.point(take.tip)) for take in edge.takes)
    return replace(edge, curves=moved_path(edge.curves, move), takes=takes)


def _moved_notch(notch: NotchPlace, move: Move) -> NotchPlace:
    if notch.out is None:
        return notch
    at, way = notch.out
    return replace(notch, out=(move.point(at), replace(move, dx=0.0, dy=0.0).point(way)))


def moved_dart(dart: Dart, move: Move) -> Dart:
    """The dart moved; an open one stays in the order of the outline."""
    points = tuple(move.point(p) for p in dart.points)
    return replace(dart, points=points[::-1] if dart.is_open and _turns_over(move) else points)


def moved_line(line: _Line, move: Move) -> _Line:
    """A line inside a piece, or a level, moved."""
    return replace(line, points=tuple(move.point(p) for p in line.points))


def copy(piece: Piece, name: str) -> Piece:
    """The same shape as another piece: its edges start an ancestry of their own."""
    return replace(piece, name=name, edges=tuple(replace(edge, spans=()) for edge in piece.edges))


def mirror(piece: Piece, name: str) -> Piece:
    """A copy for the other side of the wearer, turned over about the centre line, x = 0."""
    return copy(placed(piece, turned_over((0.0, 0.0), (0.0, 1.0))), name)


# ---------------------------------------------------------------- unfolding


def unfold(piece: Piece, side: Literal["left", "right"] | None = None, *, other: Piece | None = None) -> Piece:
    """The whole of a piece that is cut on the fold: the half as drawn, and its mirror image, exactly meeting it.

    All that is drawn keeps its name; its mirror image is named after the other side of the wearer (`side_right`), and
    is a copy. `side` is the wearer's side that is drawn; unless told, the right of a back and the left of all else, as
    halves are drawn outside up and from the centre to the right. The outline starts with the edge after the fold. A
    level that ends at the fold goes on beyond it. `other` is the half whose mirror image it is to be, where the other
    side of the wearer is unlike; both have the same edges.
    Raises GeometryError for a piece without just one straight fold.
    """
    fold = _fold_of(piece)
    at = piece.edges.index(fold)
    move = turned_over(fold.start, fold.end)
    drawn = side or ("right" if "back" in piece.name else "left")
    suffix = "left" if drawn == "right" else "right"
    own = (*piece.edges[at + 1 :], *piece.edges[:at])
    beyond = other or piece
    turned = (*beyond.edges[at + 1 :], *beyond.edges[:at])
    edges, notches = _moved_edges(turned, [n for n in beyond.notches if n.edge != fold.name], move)
    mirrored = [replace(edge, name=f"{edge.name}_{suffix}", spans=()) for edge in edges]
    mirrored[0] = replace(mirrored[0], curves=pinned(mirrored[0].curves, fold.start))
    mirrored[-1] = replace(mirrored[-1], curves=pinned(mirrored[-1].curves, end=fold.end))
    beside = {f"{name}_{suffix}": q for name, p in beyond.points.items() if distance(p, q := move.point(p)) > _ON}
    return replace(
        piece,
        edges=(*own, *mirrored),
        points={**piece.points, **beside},
        to_cut=replace(piece.to_cut, side="whole"),
        darts=(*piece.darts, *(replace(moved_dart(d, move), name=f"{d.name}_{suffix}") for d in beyond.darts)),
        notches=(
            *(n for n in piece.notches if n.edge != fold.name),
            *(replace(n, edge=f"{n.edge}_{suffix}") for n in notches),
        ),
        internal_lines=(
            *piece.internal_lines,
            *(replace(moved_line(line, move), name=f"{line.name} {suffix}") for line in beyond.internal_lines),
        ),
        holes=(*piece.holes, *(f"{name}_{suffix}" for name in beyond.holes if f"{name}_{suffix}" in beside)),
        levels=led_on(*piece.levels, *(moved_line(level, move) for level in beyond.levels)),
    )


def _fold_of(piece: Piece) -> Edge:
    folds = [edge for edge in piece.edges if edge.kind is EdgeKind.FOLD]
    if len(folds) != 1 or len(folds[0].curves) != 1 or not isinstance(folds[0].curves[0], Line):
        raise GeometryError(f"{piece.name} has no single straight fold to unfold it at")
    return folds[0]


def led_on(*lines: _Line) -> tuple[_Line, ...]:
    """Lines in their order; where one of the same name goes on from the end of another, the two are one, and one
    that lies in both is there once."""
    found: list[_Line] = []
    for line in lines:
        for i, before in enumerate(found):
            alike = replace(before, points=()) == replace(line, points=())
            if alike and line.points in (before.points, before.points[::-1]):
                break
            if alike and (points := _led_on(before.points, line.points)):
                found[i] = replace(before, points=points)
                break
        else:
            found.append(line)
    return tuple(found)


def _led_on(a: tuple[Point, ...], b: tuple[Point, ...]) -> tuple[Point, ...]:
    """One line through both, from the far end of one to that of the other; none where they do not meet."""
    if not a or not b or a[0] == a[-1]:
        return ()
    for first, last in ((a, b), (a, b[::-1]), (a[::-1], b), (a[::-1], b[::-1])):
        if distance(first[-1], last[0]) <= MEET:
            joint = () if _lies_between(first[-2], first[-1], last[1]) else (first[-1],)
            line = (*first[:-1], *joint, *last[1:])
            return line if first is a else line[::-1]
    return ()


def _lies_between(a: Point, p: Point, b: Point) -> bool:
    return abs(turn_deg(direction(a, p), direction(p, b))) < 1e-6


# ---------------------------------------------------------------- joining


def laid(
    a: Piece, own: str, b: Piece, other: str, *, at: Literal["start", "end"] = "start", over: bool | None = None
) -> Piece:
    """b laid against a as a seam joins an edge of each: the corners meet at that end of a's edge, and run the same way
    there.

    `over` turns b over first; unless told, where both edges have one name, since halves that are sewn to each other
    are drawn with the same hand.
    """
    if (own == other) if over is None else over:
        b = placed(b, turned_over((0.0, 0.0), (0.0, 1.0)))
    to, of = a.edge(own), b.edge(other)
    if at == "start":
        from_point, from_way = of.end, of.curves[-1].way(1.0)
        to_point, to_way = to.start, to.curves[0].way(0.0)
    else:
        from_point, from_way = of.start, of.curves[0].way(0.0)
        to_point, to_way = to.end, to.curves[-1].way(1.0)
    swing = turn(from_point, turn_deg(from_way, (-to_way[0], -to_way[1])))
    return placed(b, swing.then(Move.by(to_point.x - from_point.x, to_point.y - from_point.y)))


def join(a: Piece, own: str, b: Piece, other: str, name: str, *, over: bool | None = None) -> Piece:
    """Two pieces as one cloth, without the seam of that edge of each; a stays where it is.

    b is laid against a (`over` as there), unless it lies there already. Neighbours of one name become one edge; what
    is called alike elsewhere is named after b as well (`hem_side_front`). Notches of the seam go with it.
    Raises GeometryError where the two edges are not of one shape.
    """
    if apart(a.edge(own), b.edge(other)) > MEET:
        b = laid(a, own, b, other, over=over)
    gap = apart(a.edge(own), b.edge(other))
    if gap > _FIT:
        long, beside = a.edge(own).length(), b.edge(other).length()
        raise GeometryError(
            f"{a.name}.{own}, {long:.1f} mm long, and {b.name}.{other}, {beside:.1f} mm long, lie up to {gap:.1f} mm "
            f"apart when they are laid together, so they cannot become one cloth (within {_FIT} mm)"
        )
    ring = [(a, edge) for edge in _after(a, own)]
    beside_it = [(b, edge) for edge in _after(b, other)]
    edges, notches = _one_ring(a, b, ring, beside_it)
    points, called = _points_of_both(a, b)
    taken = {dart.name for dart in a.darts}
    first, last = (b, a) if _is_longer(b.grain, a.grain) else (a, b)
    return replace(
        a,
        name=name,
        edges=edges,
        points=points,
        grain=first.grain,
        to_cut=a.to_cut if a.on_fold or not b.on_fold else replace(a.to_cut, side="fold", count=b.quantity),
        darts=(*a.darts, *(replace(d, name=_other(d.name, b, taken)) for d in b.darts)),
        notches=notches,
        internal_lines=led_on(*a.internal_lines, *b.internal_lines),
        levels=led_on(*a.levels, *b.levels),
        holes=(*a.holes, *(called[hole] for hole in b.holes if called[hole] not in a.holes)),
        worn=a.worn or last.worn or first.worn,
    )


def apart(own: Edge, other: Edge) -> float:
    """How far apart two edges lie that run against each other, at most, at nine places along them, mm."""
    long, beside = own.length(), other.length()
    places = [
        (place_at(own.curves, long * i / 8)[0], place_at(other.curves, beside * (1 - i / 8))[0]) for i in range(9)
    ]
    return max(distance(p, q) for p, q in places)


def _after(piece: Piece, name: str) -> list[Edge]:
    """The edges after that one, walked round to it."""
    at = [edge.name for edge in piece.edges].index(name)
    return [*piece.edges[at + 1 :], *piece.edges[:at]]


def _other(name: str, b: Piece, taken: Iterable[str]) -> str:
    return f"{name}_{b.name}" if name in taken else name


_Owned = tuple[Piece, Edge]


def _one_ring(
    a: Piece, b: Piece, ring: list[_Owned], beside: list[_Owned]
) -> tuple[tuple[Edge, ...], tuple[NotchPlace, ...]]:
    """The edges of both, neighbours of one name as one, starting as a does; and the notches on them."""
    groups = [[owned] for owned in (*ring, *beside)]
    count = len(ring)
    if _go_on(groups[count - 1], groups[count]):
        groups[count - 1 : count + 1] = [groups[count - 1] + groups[count]]
    if len(groups) > 1 and _go_on(groups[-1], groups[0]):
        groups = [groups[-1] + groups[0], *groups[1:-1]]
    own = {edge.name for edge in a.edges}
    edges: list[Edge] = []
    notches: list[NotchPlace] = []
    for group in groups:
        lead = group[0][1]
        only_b = all(owner is b for owner, _ in group)
        runs = [stretch_of(owner.name, edge, 0.0, edge.length()) for owner, edge in group]
        edge, offsets = chained(replace(lead, name=_other(lead.name, b, own if only_b else ())), runs, within=_FIT)
        edges.append(edge)
        for (owner, old), run, offset in zip(group, runs, offsets, strict=True):
            notches += [replace(n, edge=edge.name) for n in ridden(owner.notches, old, [run], [offset])]
    edges = [replace(e, curves=pinned(e.curves, before.end)) for before, e in pairwise((edges[-1], *edges))]
    start = next((i for i, edge in enumerate(edges) if edge.name == a.edges[0].name), 0)
    return (*edges[start:], *edges[:start]), tuple(notches)


def _go_on(before: list[_Owned], after: list[_Owned]) -> bool:
    return before[-1][1].name == after[0][1].name and before[-1][1].kind is after[0][1].kind


def _points_of_both(a: Piece, b: Piece) -> tuple[Mapping[str, Point], Mapping[str, str]]:
    """The named points of both, and what those of b are called now: a name is shared where the place is."""
    called = {
        name: name if name not in a.points or distance(a.points[name], p) <= MEET else f"{name}_{b.name}"
        for name, p in b.points.items()
    }
    return {**{called[name]: p for name, p in b.points.items()}, **a.points}, called


def _is_longer(grain: tuple[Point, Point], other: tuple[Point, Point]) -> bool:
    """Whether a grain line is the longer one of two that lie the same way."""
    same = abs(turn_deg(direction(*grain), direction(*other))) < 1e-3
    return same and distance(*grain) > distance(*other) + NEAR
