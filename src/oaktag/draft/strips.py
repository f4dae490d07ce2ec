"""Pieces drafted to a run of edges: a band, a facing; and a casing that is turned down at an edge."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import accumulate, pairwise
from typing import Final

from ..errors import GeometryError
from ..geometry.affine import Move
from ..geometry.curve import Curve, Line
from ..geometry.path import Path, flatten, moved_path, parallel, path_length, pinned, polyline_length, reverse
from ..geometry.point import XY, Point, along, direction, distance, left_of, turn_deg
from ..geometry.polygon import distance_to_segment
from ..model.piece import Cut, Edge, EdgeKind, InternalLine, LineKind, NotchPlace, Piece
from ..model.ref import Ref, words_of
from ..model.spans import put_in, resolve
from ..values import replace
from .cuts import crossed, grain_in
from .moves import turn, turned_over
from .stretches import Stretch, chained, cut_run, place, ridden, stretch_of

_FINE: Final = 0.002
"""Curves are drawn as chords this near to them, mm, where two are to meet."""


def band(
    pieces: Iterable[Piece],
    run: Sequence[Ref],
    name: str,
    wide: float,
    *,
    on_fold: bool = False,
    doubled: bool = True,
    lap: float = 0.0,
    ratio: float = 1.0,
    cloth: str = "shell",
) -> Piece:
    """A straight strip, `wide` mm as worn, fitted to a run of edges with their darts closed and their pleats laid.

    The run is told from the start of the strip. A strip on the fold starts there, and takes in the half of the wearer;
    a whole one goes round her: halves twice, the run there and back. A notch lies wherever two edges meet. `doubled`:
    cut twice as wide, and folded; `lap`: so much longer at its end, notched there; `ratio`: of the run's length, below
    1 where the strip is stretched on.
    Raises GeometryError for a strip on the fold for whole pieces, and for a run of halves and wholes.
    """
    pieces = tuple(pieces)
    around = {piece.name: piece.to_cut.around for piece in pieces}
    found = [stretch for ref in run for stretch in resolve(pieces, ref)]
    times = {around[stretch.edge.piece] for stretch in found}
    if len(times) != 1 or (on_fold and times != {2}):
        kind = "a strip on the fold fits halves" if on_fold else "a strip fits either halves or whole pieces"
        raise GeometryError(f"{name}: {kind}, but {words_of(tuple(run))} lies in pieces that come {times} times round")
    edges = {Ref(piece.name, edge.name): edge for piece in pieces for edge in piece.edges}
    longs = [(e := edges[s.edge.whole]).sewn(s.end) * ratio - e.sewn(s.start) * ratio for s in found]
    if not on_fold and times == {2}:
        longs += longs[::-1]
    *meetings, fitted = accumulate(longs)
    to_cut = Cut("fold" if on_fold else "whole", 1, cloth)
    return _strip(name, fitted, meetings, wide * (2 if doubled else 1), lap, to_cut, doubled)


def _strip(
    name: str, fitted: float, meetings: Sequence[float], deep: float, lap: float, to_cut: Cut, doubled: bool
) -> Piece:
    on_fold = to_cut.side == "fold"
    long = fitted + lap
    a, b, c, d = Point(0.0, 0.0), Point(long, 0.0), Point(long, deep), Point(0.0, deep)
    fold = InternalLine("fold", (Point(0.0, deep / 2), Point(long, deep / 2)), LineKind.FOLD)
    return Piece(
        name,
        (
            Edge.straight("seam", a, b),
            Edge.straight("end", b, c),
            Edge.straight("inside" if doubled else "free_edge", c, d),
            Edge.straight("fold" if on_fold else "start", d, a, EdgeKind.FOLD if on_fold else EdgeKind.SEAM),
        ),
        points={},
        grain=(Point(long / 10, deep / 4), Point(long * 0.9, deep / 4)),
        to_cut=to_cut,
        notches=(
            *(NotchPlace("seam", far, 1, "seam") for far in meetings),
            *((NotchPlace("seam", fitted, 1, "lap end"),) if lap else ()),
        ),
        internal_lines=(fold,) if doubled else (),
    )


# ---------------------------------------------------------------- facings


def facing(piece: Piece, run: Sequence[str], name: str, wide: float, *, cloth: str = "shell") -> Piece:
    """A strip `wide` mm wide inside a run of a piece's edges, neighbours counter-clockwise, with their darts closed.

    Its ends lie along the edges beside the run and are called as these; its other edge is `free_edge`. The run's
    notches come with it. Raises GeometryError where an edge beside the run is too short, or the run bends too sharply.
    """
    order = [edge.name for edge in piece.edges]
    first = order.index(run[0])
    if [order[(first + i) % len(order)] for i in range(len(run))] != list(run):
        raise GeometryError(f"{piece.name}: {', '.join(run)} are not neighbours, counter-clockwise")
    before, after = piece.edges[first - 1], piece.edges[(first + len(run)) % len(order)]
    paths, last = closed_run([piece.edge(each) for each in run])
    outer = _led_on(parallel([curve for path in paths for curve in path], -wide), 2 * wide)
    start = reverse(before.curves)
    end = moved_path(after.curves, last)
    (a, on_start), (b, on_end) = _meeting(start, outer), _meeting(end, outer)
    if a is None or b is None:
        short = (before if a is None else after).name
        raise GeometryError(f"{piece.name}: a facing {wide:.1f} mm wide does not end at {short}, which is too short")
    head = cut_run(cut_run(outer, on_end[1])[0], on_start[1])[1]
    edges = (
        *(Edge(each, piece.edge(each).kind, path) for each, path in zip(run, paths, strict=True)),
        Edge(after.name, after.kind, pinned(cut_run(end, on_end[0])[0], end=b)),
        Edge("free_edge", EdgeKind.OPENING, pinned(reverse(head), b, a)),
        Edge(before.name, before.kind, reverse(pinned(cut_run(start, on_start[0])[0], end=a))),
    )
    on_fold = EdgeKind.FOLD in (before.kind, after.kind)
    closed = [(n, piece.edge(n.edge)) for n in piece.notches if n.edge in run]
    return Piece(
        name,
        edges,
        points={},
        grain=grain_in(edges, direction(*piece.grain)),
        to_cut=replace(piece.to_cut, cloth=cloth) if on_fold or not piece.on_fold else Cut("pair", 2, cloth),
        notches=tuple(
            replace(n, at=edge.sewn(n.at))
            for n, edge in closed
            if not any(take.start <= n.at <= take.end for take in edge.takes)
        ),
    )


def closed_run(edges: Sequence[Edge]) -> tuple[list[Path], Move]:
    """Neighbouring edges as they run with their darts closed and their pleats laid: what comes after each is moved with
    it. And how what follows the last is moved."""
    move = Move()
    found = []
    for edge in edges:
        kept: list[Curve] = []
        done = 0.0
        for take in sorted(edge.takes, key=lambda take: take.start):
            kept += moved_path(cut_run(cut_run(edge.curves, take.start)[0], done)[1], move)
            a, b, done = place(edge, take.start), place(edge, take.end), take.end
            if take.tip is None:
                shut = Move.by(a.x - b.x, a.y - b.y)
            else:
                shut = turn(take.tip, turn_deg(direction(take.tip, b), direction(take.tip, a)))
            move = shut.then(move)
        rest = moved_path(cut_run(edge.curves, done)[1], move)
        kept += pinned(rest, kept[-1].end) if kept and rest else rest
        found.append(tuple(kept))
    return found, move


def _led_on(path: Path, by: float) -> Path:
    """The run with straight ends added."""
    a, b = path[0], path[-1]
    return (Line(along(a.start, a.way(0.0), -by), a.start), *path, Line(b.end, along(b.end, b.way(1.0), by)))


def _meeting(path: Path, other: Path) -> tuple[Point | None, tuple[float, float]]:
    """Where a run first meets another, and how far along both, mm."""
    points, walls = [Point(*p) for p in flatten(path, _FINE)], list(pairwise(flatten(other, _FINE)))
    for i, (p, q) in enumerate(pairwise(points)):
        met = crossed((p, q), walls)
        if len(met) > 2:
            far = polyline_length([*points[: i + 1], met[1]])
            return met[1], (far, _far_on(walls, met[1]))
    return None, (0.0, 0.0)


def _far_on(walls: Sequence[tuple[XY, XY]], p: Point) -> float:
    near = min(range(len(walls)), key=lambda i: distance_to_segment(p, *walls[i]))
    return sum(distance(a, b) for a, b in walls[:near]) + distance(walls[near][0], p)


# ---------------------------------------------------------------- casings


def casing(piece: Piece, name: str, deep: float) -> Piece:
    """A piece with a casing for elastic, `deep` mm, to be folded down at a straight edge.

    The edges beside it go on beyond the fold as they lie below it, mirrored, so that they meet when it is folded; the
    new edge is NAME_casing. Raises GeometryError if the edge is not straight, or an edge beside it is too short.
    """
    edge = piece.edge(name)
    way = direction(edge.start, edge.end)
    ways = [unit for curve in edge.curves for unit in (curve.way(0.0), curve.way(0.5), curve.way(1.0))]
    if max(abs(turn_deg(way, unit)) for unit in ways) > 0.1 or edge.takes:
        raise GeometryError(f"{piece.name}: a casing is folded at a straight edge without darts, and {name} is none")
    index = [each.name for each in piece.edges].index(name)
    before, after = piece.edges[index - 1], piece.edges[(index + 1) % len(piece.edges)]
    fold = turned_over(edge.start, edge.end)
    level = _led_on((Line(*(along(p, left_of(way), deep) for p in (edge.start, edge.end))),), 4 * deep)
    rising: list[Path] = []
    for beside, path in ((before, reverse(before.curves)), (after, after.curves)):
        met, (far, _) = _meeting(path, level)
        if met is None:
            raise GeometryError(f"{piece.name}: {beside.name} is too short for a casing {deep:.1f} mm deep")
        rising.append(moved_path(pinned(cut_run(path, far)[0], end=met), fold))
    up, down = rising[0], reverse(rising[1])
    own, other = (stretch_of(piece.name, each, 0.0, each.length()) for each in (before, after))
    longer, _ = chained(before, [own, Stretch(up, (), put_in(own.spans, (), path_length(up)), -1.0)])
    later = [Stretch(down, (), put_in((), other.spans, path_length(down)), -1.0), other]
    last, offsets = chained(after, later)
    new = Edge.straight(f"{name}_casing", up[-1].end, down[0].start, EdgeKind.HEM)
    edges = {index: new, (index - 1) % len(piece.edges): longer, (index + 1) % len(piece.edges): last}
    kept = [n for n in piece.notches if n.edge not in (name, after.name)]
    return replace(
        piece,
        edges=tuple(edges.get(i, each) for i, each in enumerate(piece.edges)),
        notches=(
            *kept,
            *ridden(piece.notches, after, later, offsets),
            NotchPlace(before.name, own.long, 1, "casing fold"),
            NotchPlace(after.name, path_length(down), 1, "casing fold"),
        ),
        internal_lines=(*piece.internal_lines, InternalLine("casing fold", (edge.start, edge.end), LineKind.FOLD)),
    )
