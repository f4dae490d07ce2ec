"""A lining, made from a finished piece and its facings."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from types import MappingProxyType
from typing import Final

from ..errors import GeometryError
from ..geometry.affine import Move
from ..geometry.curve import Cubic, Curve, Line
from ..geometry.path import Path, moved_path, path_length, pinned, place_at, reverse
from ..geometry.point import Point, along, direction, distance, left_of, right_of, turn_deg
from ..model.piece import Dart, Edge, EdgeKind, InternalLine, LineKind, NotchPlace, Piece, Take, piece_words, sheets_of
from ..values import replace
from .cuts import cut_off
from .facings import inner_line
from .inside import crossing, far_along
from .moves import copy, turn
from .pivots import refold
from .stretches import MEET, NEAR, cut_run, place

TACK: Final = 25.4
"""A pleat is marked so far from the edge or the waist that it is laid at, mm (1 in; common practice, no source)."""


def lining(
    piece: Piece,
    name: str,
    *,
    short: float = 0.0,
    facings: Mapping[str, Piece] = MappingProxyType({}),
    sewn: Collection[str] = (),
    without: Collection[str] = (),
    slit: str = "",
    above: float = 0.0,
    hem: str = "",
    tack: float = TACK,
) -> Piece:
    """A finished piece as it is lined: `lining(back, "lining", short=25, facings={"top": faced}, slit="centre_back")`.

    Its hem (unless told, the edge of that kind) lies `short` mm above that of the piece. It ends where each facing of
    the piece does, at the edge so called, with the darts that these close laid there as pleats. All other darts become
    pleats as well, marked over `tack` mm; those `sewn` stay darts. Where vent or slit follow upon the edge `slit`, it
    is left open, without extension, from `above` mm above their top to the hem.
    Lines inside the piece are left out, and levels, since it goes round nothing; notches and points ride, but for
    those called as in `without` (the ends of a pocket).
    Raises GeometryError for a facing of another piece, one that runs over a dart beside it, or beyond one's point, and
    for a hem that does not fit.
    """
    hem = hem or next((edge.name for edge in piece.edges if edge.kind is EdgeKind.HEM), "")
    made = replace(
        piece,
        name=name,
        points={key: p for key, p in piece.points.items() if piece_words(key) not in without},
        to_cut=replace(piece.to_cut, cloth="lining"),
        worn="",
        notches=tuple(notch for notch in piece.notches if notch.name not in without),
        internal_lines=(),
        levels=(),
        sheets=sheets_of(piece),
    )
    if slit:
        made = _opened(made, slit, hem, above)
    if short > 0:
        made = _shorter(made, hem, short)
    for edge, facing in facings.items():
        made = _beyond(made, facing, edge)
    for dart in made.darts:
        if dart.name not in sewn:
            made = refold(made, dart.name, "pleat", reach=tack) if dart.is_open else _laid(made, dart, tack)
    return copy(made, name)


def pleated(piece: Piece, name: str, deep: float, *, full: float = 0.0, gone: float = 0.0, tack: float = 0.0) -> Piece:
    """A piece wider by a pleat beyond a straight edge, such as the centre back of a lining, laid at the edge before it.

    Beyond a fold it goes down to the hem; beyond a seam it is `full` mm long, and gone `gone` mm from the start. It is
    marked over `tack` mm. Raises GeometryError for an edge that is not straight.
    """
    edge = piece.edge(name)
    way, above = direction(edge.start, edge.end), piece.beside(name)[0]
    if not all(isinstance(curve, Line) for curve in edge.curves):
        raise GeometryError(f"{piece.name} gets a pleat at a straight edge; {name} is none")
    a, b = (along(p, right_of(way), deep) for p in (edge.start, edge.end))
    edges, below = {each.name: each for each in piece.edges}, ""
    if edge.kind is EdgeKind.FOLD:
        below = piece.beside(name)[1]
        curves: Path = (Line(a, b),)
        edges[below] = replace(edges[below], curves=(Line(b, edge.end), *edges[below].curves))
    else:
        down, out = along(a, way, full), along(edge.start, way, gone)
        third = ((gone - full) * way.x / 3, (gone - full) * way.y / 3)
        curves = (Line(a, down), Cubic.leaving_and_arriving(down, third, out, third), Line(out, edge.end))
    long, first = edges[above].length(), edges[above]
    take = Take(long, long + deep, "pleat")
    edges[above] = replace(first, curves=(*first.curves, Line(edge.start, a)), takes=(*first.takes, take))
    edges[name] = replace(edge, curves=curves)

    def longer(notch: NotchPlace) -> float:
        """By how much the edge is longer up to a notch, mm."""
        past = notch.edge == name and edge.kind is not EdgeKind.FOLD and notch.at > gone - NEAR
        return deep if notch.edge == below else path_length(curves) - edge.length() if past else 0.0

    line = InternalLine("pleat line", (edge.start, along(edge.start, way, tack)), LineKind.PLEAT)
    return replace(
        piece,
        edges=tuple(edges[each.name] for each in piece.edges),
        notches=(*(replace(n, at=n.at + longer(n)) for n in piece.notches), NotchPlace(above, long, 1, "pleat")),
        internal_lines=(*piece.internal_lines, line),
    )


# ---------------------------------------------------------------- what is left out


def _opened(piece: Piece, seam: str, hem: str, above: float) -> Piece:
    """Without a vent's extension: from `above` mm above its top, or a slit's, straight down to the hem."""
    order = [edge.name for edge in piece.edges]
    first = order.index(seam)
    if order[(first + 1) % len(order)] == hem:
        return piece
    edge = piece.edges[first]
    way, stop = edge.curves[-1].way(1.0), edge.length() - above
    down = Line(edge.end, along(edge.end, way, 2 * sum(distance(e.start, e.end) for e in piece.edges)))
    met = crossing((down,), piece.edge(hem).curves)
    if met is None or stop < NEAR:
        raise GeometryError(f"{piece.name}: {seam} cannot be led on to {hem}")
    slit = Edge.straight("slit", place_at(edge.curves, stop)[0], met.at, EdgeKind.OPENING)
    made = cut_off(piece, (seam, stop), (hem, met.on_other), slit)
    tops = (replace(n, at=stop) for n in piece.notches if n.edge == seam and n.at > edge.length() - NEAR)
    return replace(made, notches=(*made.notches, *tops)) if above > 0 else made


def _shorter(piece: Piece, hem: str, by: float) -> Piece:
    """The hem so much higher; what tells of its ends goes up with it."""
    old, (before, after) = piece.edge(hem), piece.beside(hem)
    line, (first, last) = inner_line(piece, [hem], by)
    made = cut_off(piece, (before, piece.edge(before).length() - first), (after, last), replace(old, curves=line))
    ends = [(old.start, line[0].start), (old.end, line[-1].end)]
    folds = (
        NotchPlace(n.edge, made.edge(n.edge).length() if n.edge == before else 0.0, n.count, n.name)
        for n in piece.notches
        if (n.edge == before and n.at > piece.edge(before).length() - NEAR) or (n.edge == after and n.at < NEAR)
    )
    points = {key: new for key, p in piece.points.items() for was, new in ends if distance(p, was) < NEAR}
    return replace(made, points={**made.points, **points}, notches=(*made.notches, *folds))


def _beyond(piece: Piece, facing: Piece, name: str) -> Piece:
    """What lies beyond the free edge of a facing that was drawn to this piece."""
    own = {edge.name for edge in piece.edges}
    at = next((i for i, edge in enumerate(facing.edges) if edge.name not in own), -1)
    count = len(facing.edges)
    after, free, before, *run = (facing.edges[(at + i) % count] for i in range(-1, count - 1))
    if at < 0 or not {before.name, after.name, *(edge.name for edge in run)} <= own:
        raise GeometryError(f"{piece.name}: {facing.name} was drawn to another piece")
    line, takes, tips = _let_open(piece, [piece.edge(edge.name) for edge in run], reverse(free.curves), facing.name)
    start, end = piece.edge(before.name), piece.edge(after.name)
    (first, off), (last, away) = far_along(start.curves, line[0].start), far_along(end.curves, line[-1].end)
    if max(off, away) > MEET:
        raise GeometryError(f"{piece.name}: {facing.name} was drawn to another piece")
    over = [t for t in start.takes if t.end > first] + [t for t in end.takes if t.start < last]
    if over:
        raise GeometryError(f"{piece.name}: {facing.name}, which the lining is sewn to, runs across a dart beside it")
    kept = (dart for dart in piece.darts if not dart.is_open or dart.points[1] not in tips)
    bank = Edge(name, EdgeKind.SEAM, line, takes)
    made = cut_off(replace(piece, darts=tuple(kept)), (before.name, first), (after.name, last), bank)
    ends = {key: p for key, p in facing.points.items() if key.startswith("facing_")}
    return replace(made, points={**made.points, **ends})


def _let_open(
    piece: Piece, run: Sequence[Edge], line: Path, facing: str
) -> tuple[Path, tuple[Take, ...], tuple[Point, ...]]:
    """A line of a facing, which was drawn with the darts of its run closed, as it lies where these are open: with what
    is to be laid in pleats along it; and the points of the darts."""
    move, tips = Move(), []
    found: list[Curve] = []
    takes: list[Take] = []
    for edge, take in ((each, take) for each in run for take in sorted(each.takes, key=lambda take: take.start)):
        a, b = place(edge, take.start), place(edge, take.end)
        tip = take.tip or along(a, left_of(direction(a, b)), path_length(line))
        met = crossing(line, (Line(move.point(a), move.point(tip)),))
        if met is None:
            raise GeometryError(f"{piece.name}: {facing}, which the lining is sewn to, reaches beyond a dart's point")
        shut = turn(tip, turn_deg(direction(tip, b), direction(tip, a))) if take.tip else Move.by(a.x - b.x, a.y - b.y)
        before, line = cut_run(line, met.far)
        found += moved_path(pinned(before, end=met.at), _back(move))
        move, line = shut.then(move), pinned(line, met.at)
        low, start = _back(move).point(met.at), path_length(found)
        takes.append(Take(start, start + distance(found[-1].end, low), "pleat"))
        found.append(Line(found[-1].end, low))
        tips.append(tip)
    last = moved_path(line, _back(move))
    return (*found, *(pinned(last, found[-1].end) if found else last)), tuple(takes), tuple(tips)


def _back(move: Move) -> Move:
    """The turn that undoes a turn."""
    x, y = move.dx, move.dy
    return Move(move.xx, move.yx, move.xy, move.yy, -move.xx * x - move.yx * y, -move.xy * x - move.yy * y)


def _laid(piece: Piece, dart: Dart, tack: float) -> Piece:
    """A dart inside a piece laid as a pleat: a line on either side of it."""
    upper, outer, lower, inner = dart.points
    way = direction(upper, lower)
    lines = (
        InternalLine(words, (along(leg, way, -tack), along(leg, way, tack)), LineKind.PLEAT)
        for words, leg in (("pleat, lay to the side", inner), ("pleat", outer))
    )
    kept = tuple(other for other in piece.darts if other is not dart)
    return replace(piece, darts=kept, internal_lines=(*piece.internal_lines, *lines))
