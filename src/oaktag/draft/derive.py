"""Pieces made from pieces: moved, unfolded, split along a line, joined at a seam, a dart closed.

Curves stay exact lines and cubics, outlines counter-clockwise; nothing is flattened on the way.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator, Sequence
from math import cos, radians, sin, sqrt
from typing import Final, Literal

from ..errors import GeometryError
from ..geometry.affine import Move
from ..geometry.curve import Curve, Line
from ..geometry.path import Path, flatten, moved_path, parameter_at, path_length, pinned, place_at, reverse, solve
from ..geometry.point import XY, Point, along, between, direction, distance, left_of, turn_deg
from ..geometry.polygon import contains, crossings
from ..model.piece import Dart, Edge, EdgeKind, InternalLine, NotchPlace, Piece, Seam
from ..values import dataclass, replace

_ON: Final = 1e-9
"""A point this near to a line, mm, lies on it."""


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
    return replace(
        piece,
        edges=edges,
        points={name: move.point(p) for name, p in piece.points.items()},
        grain=(move.point(piece.grain[0]), move.point(piece.grain[1])),
        darts=tuple(_moved_dart(dart, move) for dart in piece.darts),
        notches=notches,
        internal_lines=tuple(_moved_line(line, move) for line in piece.internal_lines),
    )


def _turns_over(move: Move) -> bool:
    return move.xx * move.yy - move.xy * move.yx < 0


def _moved_edges(
    edges: Sequence[Edge], notches: Sequence[NotchPlace], move: Move
) -> tuple[tuple[Edge, ...], tuple[NotchPlace, ...]]:
    if not _turns_over(move):
        return tuple(replace(edge, curves=moved_path(edge.curves, move)) for edge in edges), tuple(notches)
    lengths = {edge.name: edge.length() for edge in edges}
    back = tuple(
        replace(
            edge,
            curves=reverse(moved_path(edge.curves, move)),
            mouths=tuple((lengths[edge.name] - end, lengths[edge.name] - start) for start, end in edge.mouths[::-1]),
        )
        for edge in reversed(edges)
    )
    return back, tuple(replace(n, at=lengths[n.edge] - n.at) for n in notches if n.edge in lengths)


def _moved_dart(dart: Dart, move: Move) -> Dart:
    points = tuple(move.point(p) for p in dart.points)
    return replace(dart, points=points[::-1] if dart.is_open and _turns_over(move) else points)


def _moved_line(line: InternalLine, move: Move) -> InternalLine:
    return replace(line, points=tuple(move.point(p) for p in line.points))


# ---------------------------------------------------------------- unfolding


def unfold(piece: Piece, side: Literal["left", "right"] | None = None) -> Piece:
    """The whole of a piece that is cut on the fold: the half as drawn, and its mirror image, exactly meeting it.

    All that is drawn keeps its name; its mirror image is named after the other side of the wearer (`side_right`).
    `side` is the wearer's side that is drawn; unless told, the right of a back and the left of all else, as halves
    are drawn outside up and from the centre to the right. The outline starts with the edge after the fold.
    Raises GeometryError for a piece without just one straight fold.
    """
    fold = _fold_of(piece)
    at = piece.edges.index(fold)
    move = turned_over(fold.start, fold.end)
    drawn = side or ("right" if "back" in piece.name else "left")
    suffix = "left" if drawn == "right" else "right"
    own = (*piece.edges[at + 1 :], *piece.edges[:at])
    edges, notches = _moved_edges(own, [n for n in piece.notches if n.edge != fold.name], move)
    mirrored = [replace(edge, name=f"{edge.name}_{suffix}") for edge in edges]
    mirrored[0] = replace(mirrored[0], curves=pinned(mirrored[0].curves, fold.start))
    mirrored[-1] = replace(mirrored[-1], curves=pinned(mirrored[-1].curves, end=fold.end))
    on_fold = {name for name, p in piece.points.items() if distance(p, move.point(p)) <= _ON}
    return replace(
        piece,
        edges=(*own, *mirrored),
        points={
            **piece.points,
            **{f"{name}_{suffix}": move.point(p) for name, p in piece.points.items() if name not in on_fold},
        },
        to_cut=replace(piece.to_cut, side="whole"),
        darts=(*piece.darts, *(replace(_moved_dart(d, move), name=f"{d.name}_{suffix}") for d in piece.darts)),
        notches=(
            *(n for n in piece.notches if n.edge != fold.name),
            *(replace(n, edge=f"{n.edge}_{suffix}") for n in notches),
        ),
        internal_lines=(
            *piece.internal_lines,
            *(replace(_moved_line(line, move), name=f"{line.name} {suffix}") for line in piece.internal_lines),
        ),
    )


def _fold_of(piece: Piece) -> Edge:
    folds = [edge for edge in piece.edges if edge.kind is EdgeKind.FOLD]
    if len(folds) != 1 or len(folds[0].curves) != 1 or not isinstance(folds[0].curves[0], Line):
        raise GeometryError(f"{piece.name} has no single straight fold to unfold it at")
    return folds[0]


# ---------------------------------------------------------------- splitting


@dataclass(frozen=True, slots=True)
class _Part:
    """A part of an edge that lies on one side of a line: its curves, and where it starts along the edge, mm."""

    edge: int
    curves: Path
    start: float
    left: bool


def split(
    piece: Piece,
    a: XY,
    b: XY,
    *,
    name: str = "split",
    kind: EdgeKind = EdgeKind.SEAM,
    names: tuple[str, str] | None = None,
) -> tuple[Piece, Piece]:
    """The parts of a piece to the left and to the right of the straight line from a on to b.

    Both begin with the new edge, `name`, whose ends are the same points in both; edges that the line does not cut are
    the piece's own, bit for bit. Marks go with their part; an internal line is cut at the line. A part without the
    grain line gets one of the same direction. Parts are named `names`, or PIECE_1 and PIECE_2.
    Raises GeometryError if the line does not cut the outline just twice, or cuts a dart or the mouth of one.
    """
    way = direction(a, b)

    def side(p: XY) -> float:
        return way[0] * (p[1] - a[1]) - way[1] * (p[0] - a[0])

    runs = list(_parts(piece, side))
    changes = [i for i in range(len(runs)) if runs[i].left != runs[i - 1].left]
    if len(changes) != 2:
        raise GeometryError(f"{piece.name}: the line to split it at cuts the outline {len(changes)} times, not twice")
    first, second = changes
    one, other = runs[first:second], [*runs[second:], *runs[:first]]
    left, right = (one, other) if one[0].left else (other, one)
    called = names or (f"{piece.name}_1", f"{piece.name}_2")
    return (
        _part_of(piece, left, name, kind, called[0], side, way),
        _part_of(piece, right, name, kind, called[1], lambda p: -side(p), way),
    )


def _parts(piece: Piece, side: Callable[[XY], float]) -> Iterator[_Part]:
    """The edges in their order, cut where they cross the line, each part on one side of it."""
    for index, edge in enumerate(piece.edges):
        walked = start = 0.0
        kept: list[Curve] = []
        left: bool | None = None
        for curve in edge.curves:
            for bit in _cut_at(curve, _roots(curve, side)):
                where = max((side(bit.at(t)) for t in (0.5, 0.25, 0.75, 0.0, 1.0)), key=abs)
                if abs(where) <= _ON:
                    raise GeometryError(f"{piece.name}: {edge.name} lies along the line to split it at")
                if kept and left != (where > 0):
                    yield _Part(index, tuple(kept), start, bool(left))
                    kept, start = [], walked
                left = where > 0
                kept.append(bit)
                walked += bit.length()
        yield _Part(index, tuple(kept), start, bool(left))


def _cut_at(curve: Curve, places: Sequence[float]) -> Iterator[Curve]:
    done = 0.0
    for t in places:
        bit, curve = curve.split((t - done) / (1.0 - done))
        done = t
        yield bit
    yield curve


def _roots(curve: Curve, side: Callable[[XY], float]) -> list[float]:
    """Where, between its ends, a curve passes from one side of a line to the other; `side` is linear."""
    s = [side(p) for p in curve.controls()]
    if min(s) >= -_ON or max(s) <= _ON:
        return []
    if isinstance(curve, Line):
        return [s[0] / (s[0] - s[1])]
    d0, d1, d2 = s[1] - s[0], s[2] - s[1], s[3] - s[2]
    a, b, c = d0 - 2 * d1 + d2, d1 - d0, d0
    turns: list[float] = []
    if abs(a) > 1e-12:
        inside = b * b - a * c
        turns = sorted((-b + k * sqrt(inside)) / a for k in (-1.0, 1.0)) if inside > 0 else []
    elif abs(b) > 1e-12:
        turns = [-c / (2 * b)]
    stops = [0.0, *(t for t in turns if 0.0 < t < 1.0), 1.0]
    found: list[float] = []
    for low, high in itertools.pairwise(stops):
        at_low, at_high = side(curve.at(low)), side(curve.at(high))
        if min(abs(at_low), abs(at_high)) > _ON and at_low * at_high < 0:
            found.append(solve(lambda t: side(curve.at(t)), low, high, near=1e-11))
    return found


def _part_of(
    piece: Piece,
    parts: Sequence[_Part],
    name: str,
    kind: EdgeKind,
    called: str,
    inside: Callable[[XY], float],
    way: Point,
) -> Piece:
    edges: list[Edge] = [Edge.straight(name, parts[-1].curves[-1].end, parts[0].curves[0].start, kind)]
    notches: list[NotchPlace] = []
    for part in parts:
        whole = piece.edges[part.edge]
        cut = len(part.curves) != len(whole.curves) or part.curves != whole.curves
        end = part.start + path_length(part.curves) if cut else whole.length()
        mouths = []
        for low, high in whole.mouths:
            if low >= part.start - _ON and high <= end + _ON:
                mouths.append((low - part.start, high - part.start))
            elif low < end - _ON and high > part.start + _ON:
                raise GeometryError(f"{piece.name}: the line to split it at cuts a dart open at {whole.name}")
        edge_name = whole.name
        if any(edge.name == edge_name for edge in edges):
            edge_name += "_2"
        edges.append(Edge(edge_name, whole.kind, part.curves, tuple(mouths)))
        notches += [
            replace(n, edge=edge_name, at=n.at - part.start)
            for n in piece.notches
            if n.edge == whole.name and part.start - 1e-6 <= n.at <= end + 1e-6
        ]
    darts = []
    for dart in piece.darts:
        where = [inside(p) for p in dart.points]
        if min(where) >= -_ON:
            darts.append(dart)
        elif max(where) > _ON:
            raise GeometryError(f"{piece.name}: the line to split it at cuts the {dart.name} dart")
    grain = piece.grain
    if min(inside(p) for p in grain) < 0:
        grain = _grain_in(edges, direction(*grain))
    on_fold = any(edge.kind is EdgeKind.FOLD for edge in edges)
    return replace(
        piece,
        name=called,
        edges=tuple(edges),
        points={key: p for key, p in piece.points.items() if inside(p) >= -_ON},
        grain=grain,
        to_cut=replace(piece.to_cut, side="fold" if on_fold else "whole" if piece.on_fold else piece.to_cut.side),
        darts=tuple(darts),
        notches=tuple(notches),
        internal_lines=tuple(
            replace(line, points=tuple(run)) for line in piece.internal_lines for run in _clipped(line.points, inside)
        ),
    )


def _clipped(line: Sequence[Point], inside: Callable[[XY], float]) -> Iterator[list[Point]]:
    """The runs of an open line where `inside`, which is linear, is not negative."""
    run: list[Point] = []
    for p, q in itertools.pairwise(line):
        s, t = inside(p), inside(q)
        if s >= -_ON and not run:
            run = [p]
        if (s > _ON and t < -_ON) or (s < -_ON and t > _ON):
            run.append(between(p, q, s / (s - t)))
        if t >= -_ON:
            run.append(q)
        elif run:
            if len(run) > 1:
                yield run
            run = []
    if len(run) > 1:
        yield run


def _grain_in(edges: Sequence[Edge], way: Point) -> tuple[Point, Point]:
    """The longest line along `way` that fits, of nine tried, short of the outline by an eighth at each end."""
    ring = [p for edge in edges for p in flatten(edge.curves)[:-1]]
    across = left_of(way)
    turned = [(x * way.x + y * way.y, x * across.x + y * across.y) for x, y in ring]
    low, high = min(y for _, y in turned), max(y for _, y in turned)
    best = (-1.0, 0.0, 0.0, 0.0)
    for i in range(1, 10):
        level = low + (high - low) * i / 10
        found = crossings(turned, level)
        for start, end in zip(found[::2], found[1::2], strict=False):
            best = max(best, (end - start, start, end, level))
    size, start, end, level = best

    def back(far: float) -> Point:
        return Point(far * way.x + level * across.x, far * way.y + level * across.y)

    return back(start + size / 8), back(end - size / 8)


# ---------------------------------------------------------------- joining


def joined(a: Piece, b: Piece, seam: Seam, *, at: Literal["start", "end"] = "start", over: bool | None = None) -> Piece:
    """b laid against a as the seam joins them: the corners meet at that end of a's edge, and run the same way there.

    `over` turns b over first; unless told, where both edges have one name, since halves that are sewn to each other
    are drawn with the same hand. Raises GeometryError if the seam is not one of one edge of each.
    """
    own, other = _edge_in(seam, a), _edge_in(seam, b)
    if (own.name == other.name) if over is None else over:
        b = placed(b, turned_over((0.0, 0.0), (0.0, 1.0)))
    other = b.edge(other.name)
    if at == "start":
        from_point, from_way = other.end, other.curves[-1].way(1.0)
        to_point, to_way = own.start, own.curves[0].way(0.0)
    else:
        from_point, from_way = other.start, other.curves[0].way(0.0)
        to_point, to_way = own.end, own.curves[-1].way(1.0)
    swing = turn(from_point, turn_deg(from_way, (-to_way[0], -to_way[1])))
    return placed(b, swing.then(Move.by(to_point.x - from_point.x, to_point.y - from_point.y)))


def _edge_in(seam: Seam, piece: Piece) -> Edge:
    for side in (seam.a, seam.b):
        if len(side) == 1 and side[0].piece == piece.name:
            return piece.edge(side[0].edge)
    raise GeometryError(f"{seam.name} does not join a single edge of {piece.name}")


# ---------------------------------------------------------------- closing a dart


def closed_edge(edge: Edge, dart: Dart) -> Path:
    """An edge as it runs with the dart that opens in it closed: what lies after the dart turned about its point.

    Raises GeometryError if the dart does not open at that edge.
    """
    before, after = _beside_mouth(edge, dart)
    return (*before, *pinned(moved_path(after, _closing(dart)), dart.points[0]))


def close_dart(piece: Piece, name: str, to: tuple[str, float] | None = None) -> Piece:
    """The piece with a dart closed, and cut open instead from the dart's point to a place `to` (edge, mm along it).

    The cloth from the dart's second leg on round to that place turns about the dart's point until the legs meet; the
    gap that this opens is a notch in the outline, between the edges `opened_1` and `opened_2`. Unless told, the cut
    goes straight on from the dart. The turned part of the edge that is cut is named EDGE_turned.
    Raises GeometryError for a dart that opens at no edge, or if another dart lies across the cut.
    """
    dart = next((d for d in piece.darts if d.name == name and d.is_open), None)
    if dart is None:
        raise GeometryError(f"{piece.name} has no {name} dart that opens at an edge")
    tip = dart.points[1]
    home = next((i for i, edge in enumerate(piece.edges) if _opens_at(edge, dart)), None)
    if home is None:
        raise GeometryError(f"{piece.name}: the {name} dart opens at no edge")
    place = to or _straight_on(piece, dart)
    cut = next(i for i, edge in enumerate(piece.edges) if edge.name == place[0])
    opened = piece.edges[cut]
    move = _closing(dart)
    before, after = _beside_mouth(piece.edges[home], dart)
    mouth = path_length(before)
    lost = piece.edges[home].length() - mouth - path_length(after)
    if cut == home:
        raise GeometryError(f"{piece.name}: the {name} dart cannot be opened at {opened.name}, where it is")
    head, tail = _cut_run(opened.curves, place[1])

    between_them = _ring_between(piece.edges, home, cut)
    staying = _ring_between(piece.edges, cut, home)
    swung = (tuple(after), *(edge.curves for edge in between_them), head)
    region = [p for run in swung for p in flatten(run)] + [tip]

    def turns(p: XY) -> bool:
        return contains(region, p)

    turned_name = f"{opened.name}_turned"
    home_edge = replace(
        piece.edges[home],
        curves=(*before, *pinned(moved_path(after, move), dart.points[0])),
        mouths=tuple(
            (low, high) if high <= mouth + 1e-6 else (low - lost, high - lost)
            for low, high in piece.edges[home].mouths
            if abs(low - mouth) > 1e-3
        ),
    )
    end = moved_path(head, move)
    edges = [
        home_edge,
        *(replace(edge, curves=moved_path(edge.curves, move)) for edge in between_them),
        *([replace(opened, name=turned_name, curves=end, mouths=())] if end else []),
        Edge.straight("opened_1", move.point(_place(opened, place[1])), tip),
        Edge.straight("opened_2", tip, _place(opened, place[1])),
        *([replace(opened, curves=tail, mouths=())] if tail else []),
        *staying,
    ]
    notches = []
    for n in piece.notches:
        if n.edge == home_edge.name and n.at > mouth + 1e-6:
            n = replace(n, at=max(mouth, n.at - lost))
        elif n.edge == opened.name:
            n = replace(n, edge=turned_name) if n.at < place[1] else replace(n, at=n.at - place[1])
        notches.append(n)
    darts = []
    for other in piece.darts:
        if other is dart:
            continue
        inside = [turns(p) for p in _inwards(other)]
        if any(inside) and not all(inside):
            raise GeometryError(f"{piece.name}: the {other.name} dart lies across the cut")
        darts.append(_moved_dart(other, move) if all(inside) else other)
    grain_turns = [turns(p) for p in piece.grain]
    grain = piece.grain
    if all(grain_turns):
        grain = (move.point(grain[0]), move.point(grain[1]))
    elif any(grain_turns):
        grain = next(
            (Point(*p), Point(*q))
            for p, q in itertools.pairwise(_at_cut(grain, tip, _place(opened, place[1])))
            if not turns(between(p, q))
        )
    lines = [
        _moved_line(replace(line, points=(p, q)), move) if turns(between(p, q)) else replace(line, points=(p, q))
        for line in piece.internal_lines
        for p, q in itertools.pairwise(_at_cut(line.points, tip, _place(opened, place[1])))
    ]
    return replace(
        piece,
        edges=tuple(edges),
        points={key: move.point(p) if _goes(p, swung, turns) else p for key, p in piece.points.items()},
        grain=grain,
        darts=tuple(darts),
        notches=tuple(notches),
        internal_lines=tuple(lines),
    )


def _closing(dart: Dart) -> Move:
    """The turn about an open dart's point that lays its second leg on its first."""
    first, tip, second = dart.points
    return turn(tip, turn_deg(direction(tip, second), direction(tip, first)))


def _opens_at(edge: Edge, dart: Dart) -> bool:
    return any(distance(place_at(edge.curves, low)[0], dart.points[0]) < 0.01 for low, _ in edge.mouths)


def _beside_mouth(edge: Edge, dart: Dart) -> tuple[Path, Path]:
    """The runs of an edge before and after the mouth of a dart, ending and starting on the dart's own leg ends."""
    for low, high in edge.mouths:
        if distance(place_at(edge.curves, low)[0], dart.points[0]) < 0.01:
            before, rest = _cut_run(edge.curves, low)
            after = _cut_run(rest, high - low)[1]
            return pinned(before, end=dart.points[0]), pinned(after, dart.points[2])
    raise GeometryError(f"the {dart.name} dart does not open at {edge.name}")


def _cut_run(path: Sequence[Curve], far: float) -> tuple[Path, Path]:
    """A run before and after a distance along it, mm; cut between two curves where there are two."""
    before: list[Curve] = []
    for i, curve in enumerate(path):
        length = curve.length()
        if far <= 1e-6:
            return tuple(before), tuple(path[i:])
        if far < length - 1e-6:
            head, tail = curve.split(parameter_at(curve, far, length, near=1e-7))
            return (*before, head), (tail, *path[i + 1 :])
        before.append(curve)
        far -= length
    return tuple(before), ()


def _place(edge: Edge, far: float) -> Point:
    """The very point at which `_cut_run` cuts."""
    before, after = _cut_run(edge.curves, far)
    return before[-1].end if before else after[0].start


def _ring_between(edges: Sequence[Edge], first: int, last: int) -> list[Edge]:
    """The edges after the first and before the last, walked round."""
    found = []
    i = (first + 1) % len(edges)
    while i != last:
        found.append(edges[i])
        i = (i + 1) % len(edges)
    return found


def _straight_on(piece: Piece, dart: Dart) -> tuple[str, float]:
    """Where the dart's axis, led on past its point, first meets the outline."""
    first, tip, second = dart.points
    way = direction(between(first, second), tip)

    def side(p: XY) -> float:
        return way[0] * (p[1] - tip[1]) - way[1] * (p[0] - tip[0])

    best: tuple[float, str, float] | None = None
    for edge in piece.edges:
        walked = 0.0
        for curve in edge.curves:
            for t in _roots(curve, side):
                p = curve.at(t)
                far = (p[0] - tip[0]) * way[0] + (p[1] - tip[1]) * way[1]
                if far > _ON and (best is None or far < best[0]):
                    best = (far, edge.name, walked + curve.split(t)[0].length())
            walked += curve.length()
    if best is None:
        raise GeometryError(f"{piece.name}: the {dart.name} dart, led straight on, meets no edge")
    return best[1], best[2]


def _at_cut(line: Sequence[Point], a: Point, b: Point) -> list[Point]:
    """An open line with a point put in wherever it crosses the straight run from a to b."""
    out = [line[0]]
    way = direction(a, b)
    for p, q in itertools.pairwise(line):
        s, t = (way.x * (c.y - a.y) - way.y * (c.x - a.x) for c in (p, q))
        if s * t < 0:
            met = between(p, q, s / (s - t))
            if 0 <= (met.x - a.x) * way.x + (met.y - a.y) * way.y <= distance(a, b):
                out.append(met)
        out.append(q)
    return out


def _inwards(dart: Dart) -> list[Point]:
    """A dart's points, those on the outline a little inside it."""
    middle = dart.points[1] if dart.is_open else between(dart.points[0], dart.points[2])
    return [along(p, direction(p, middle), 0.01) for p in dart.points]


def _goes(p: Point, swung: Sequence[Path], turns: Callable[[XY], bool]) -> bool:
    """Whether a named point goes with the cloth that turns: inside it, or at a corner of its outline."""
    return turns(p) or any(distance(p, end) < 1e-6 for run in swung for c in run for end in (c.start, c.end))
