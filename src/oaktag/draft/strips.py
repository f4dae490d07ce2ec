"""Pieces drafted to a run of edges: a band; and a casing that is turned down at an edge."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import accumulate

from ..errors import GeometryError
from ..geometry.curve import Line
from ..geometry.path import Path, moved_path, path_length, pinned, reverse
from ..geometry.point import Point, along, direction, left_of, turn_deg
from ..model.piece import Cut, Edge, EdgeKind, InternalLine, LineKind, NotchPlace, Piece
from ..model.ref import Ref, words_of
from ..model.spans import put_in, resolve
from ..values import replace
from .inside import crossing, led_on
from .moves import turned_over
from .stretches import Stretch, chained, cut_run, ridden, stretch_of


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
    level = led_on((Line(*(along(p, left_of(way), deep) for p in (edge.start, edge.end))),), 4 * deep)
    rising: list[Path] = []
    for beside, path in ((before, reverse(before.curves)), (after, after.curves)):
        met = crossing(path, level)
        if met is None:
            raise GeometryError(f"{piece.name}: {beside.name} is too short for a casing {deep:.1f} mm deep")
        rising.append(moved_path(pinned(cut_run(path, met.far)[0], end=met.at), fold))
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
