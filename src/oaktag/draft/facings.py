"""Facings: strips inside a run of edges, as these are sewn: darts closed, pieces laid together."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from itertools import accumulate, chain, groupby, pairwise, product
from typing import Final

from ..errors import GeometryError
from ..geometry.affine import Move
from ..geometry.curve import Curve
from ..geometry.path import Path, moved_path, parallel, part, path_length, pinned, place_at, reverse
from ..geometry.point import Point, direction, distance, turn_deg
from ..model.piece import Cut, Edge, EdgeKind, NotchPlace, Piece, half_cut
from ..model.ref import Ref
from ..model.spans import resolve
from ..values import dataclass, replace
from .cuts import grain_in
from .inside import across, beside, crossing, ended, led_on
from .moves import placed, turn, turned_over
from .stretches import NEAR, cut_run, place, turned_round

_OVER: Final = turned_over((0.0, 0.0), (0.0, 1.0))


def facing(
    pieces: Piece | Iterable[Piece],
    run: Sequence[str],
    name: str,
    wide: float | tuple[float, float],
    *,
    inside: float = 0.0,
    own: Collection[str] = (),
    rounded: float = 0.0,
    free: str = "free_edge",
    lined: bool = False,
    cloth: str = "shell",
) -> Piece:
    """A strip `wide` mm wide inside a run of edges, with their darts closed and their pleats laid.

    Of one piece, `facing(front, ["neckline"], "neck_facing", 75)`; or of several, laid together as they are sewn:
    `facing((front, back), ["back.waist", "front.waist"], "waist_facing", 50)`, from one end of the run to the other,
    counter-clockwise; a piece is turned over where only so it meets the one before. Edges of one name become one.
    The ends lie along the edges beside the run and are called as these. The free edge crosses them as the run does, so
    that it goes on smoothly over a seam there. Of two widths, each is measured along such an edge, at the run's start
    and at its end, and one curve joins them, square to both (neck and armhole in one).
    `inside`: the run is drawn so far inside (turn of cloth), but for its `own` edges, where facing is sewn to facing.
    `rounded`: so far on either side a corner of the free edge is rounded. `free`: what this is called; `lined`: a
    lining is sewn to it. Notches and named points of the run come with it; where pieces meet there is a notch.
    Raises GeometryError for edges that are no run, an edge beside it that is too short, and a run that bends too
    sharply.
    """
    laid = _laid_together((pieces,) if isinstance(pieces, Piece) else tuple(pieces), run)
    shell = tuple(chain.from_iterable(laid.paths))
    if isinstance(wide, tuple):
        for edge, side, far in zip(laid.beside, laid.sides, wide, strict=True):
            if far > path_length(side):
                raise GeometryError(f"{laid.name}: {edge.name} is shorter than the facing, {far:.1f} mm")
        fars, inner = wide, across(laid.sides[0], wide[0], laid.sides[1], wide[1])
    else:
        inner, fars = _inner(laid, shell, wide, rounded)
    paths, lows = _drawn_inside(laid, [0.0 if edge.name in own else inside for edge in laid.edges])
    ends = [part(side, *between) for side, between in zip(laid.sides, zip(lows, fars, strict=True), strict=True)]
    head = reverse(pinned(ends[0], paths[0][0].start, inner[0].start))
    tail = pinned(ends[1], paths[-1][-1].end, inner[-1].end)
    before, after = laid.beside
    made = [replace(edge, curves=path) for edge, path in zip(laid.edges, paths, strict=True)]
    outer = Edge(free, EdgeKind.SEAM if lined else EdgeKind.OPENING, reverse(inner))
    edges = (Edge(after.name, after.kind, tail), outer, Edge(before.name, before.kind, head), *made)
    scale = {edge.name: edge.length() / path_length(path) for edge, path in zip(made, laid.paths, strict=True)}
    on_fold = EdgeKind.FOLD in (before.kind, after.kind)
    return Piece(
        name,
        edges,
        points={key: _node(made[i].curves, far * scale[made[i].name]) for key, i, far in laid.points}
        | {f"facing_{after.name}": inner[-1].end, f"facing_{before.name}": inner[0].start},
        grain=grain_in(edges, laid.grain),
        to_cut=half_cut(on_fold, cloth) if on_fold or laid.to_cut.side == "fold" else replace(laid.to_cut, cloth=cloth),
        notches=tuple(replace(n, at=n.at * scale[n.edge]) for n in laid.notches),
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


# ---------------------------------------------------------------- the run


@dataclass(frozen=True, slots=True)
class _Run:
    """A run as it is sewn; and the edges beside it, closed as well, leading away from it."""

    name: str
    """Of the first piece; how that is cut, and which way its grain lies."""
    to_cut: Cut
    grain: Point
    edges: tuple[Edge, ...]
    """As sewn, without takes; those of one name are one."""
    beside: tuple[Edge, Edge]
    sides: tuple[Path, Path]
    notches: tuple[NotchPlace, ...]
    points: tuple[tuple[str, int, float], ...]
    """Name, number of the edge, and how far along it."""

    @property
    def paths(self) -> tuple[Path, ...]:
        return tuple(edge.curves for edge in self.edges)


def _laid_together(pieces: tuple[Piece, ...], run: Sequence[str]) -> _Run:
    parts = list(_parts(pieces, run))
    edges: list[Edge] = []
    notches: list[NotchPlace] = []
    points: list[tuple[str, int, float]] = []
    sides: list[Path] = []
    beside: list[Edge] = []
    for piece, names in parts:
        order = [edge.name for edge in piece.edges]
        first = order.index(names[0])
        *own, after = (piece.edges[(first + i) % len(order)] for i in range(len(names) + 1))
        if [edge.name for edge in own] != names:
            raise GeometryError(f"{piece.name}: {', '.join(names)} are not neighbours, counter-clockwise")
        before = piece.edges[first - 1]
        (start,), _ = closed_run([turned_round(before, Move())])
        paths, _ = closed_run([*own, after])
        lay = Move()
        if sides:
            corner, to = start[0].start, sides[-1][0]
            swing = turn(corner, turn_deg(start[0].way(0.0), to.way(0.0)))
            lay = swing.then(Move.by(to.start.x - corner.x, to.start.y - corner.y))
        *paths, end = (moved_path(path, lay) for path in paths)
        for edge, path in zip(own, paths, strict=True):
            done = 0.0
            if edges and edges[-1].name == edge.name:
                done = edges[-1].length()
                notches.append(NotchPlace(edge.name, done, 1, "seam"))
                edges[-1] = replace(edges[-1], curves=(*edges[-1].curves, *pinned(path, edges[-1].end)))
            else:
                edges.append(Edge(edge.name, edge.kind, pinned(path, edges[-1].end) if edges else path))
            notches += (
                replace(n, at=done + edge.sewn(n.at))
                for n in piece.notches
                if n.edge == edge.name and not any(take.start <= n.at <= take.end for take in edge.takes)
            )
            points += ((key, len(edges) - 1, done + edge.sewn(far)) for key, far in _nodes(piece, edge))
        sides += (start, end)
        beside += (before, after)
    lead = parts[0][0]
    return _Run(
        lead.name, lead.to_cut, direction(*lead.grain), tuple(edges), (beside[0], beside[-1]), (sides[0], sides[-1]),
        tuple(notches), tuple(points),
    )  # fmt: skip


def _parts(pieces: tuple[Piece, ...], run: Sequence[str]) -> Iterator[tuple[Piece, list[str]]]:
    """The pieces of a run and their edges in it, those turned over that meet the one before only so."""
    by_name = {piece.name: piece for piece in pieces}
    found: list[Ref] = []
    for asked in run:
        ref = Ref.of(asked) if "." in asked else Ref(pieces[0].name, asked)
        for stretch in resolve(pieces, ref):
            long = by_name[stretch.edge.piece].edge(stretch.edge.edge).length()
            if stretch.end - stretch.start < long - NEAR:
                raise GeometryError(f"{asked} is only part of {stretch.edge}, and a facing is drawn to whole edges")
            found.append(stretch.edge)
    groups = [(by_name[name], [ref.edge for ref in refs]) for name, refs in groupby(found, key=lambda ref: ref.piece)]

    def laid(turned: tuple[bool, ...]) -> list[tuple[Piece, list[str]]]:
        return [(placed(piece, _OVER) if over else piece, names)
                for (piece, names), over in zip(groups, turned, strict=True)]  # fmt: skip

    options = map(laid, product((False, True), repeat=len(groups)))
    yield from next((parts for parts in options if _meet(parts)), groups)


def _meet(parts: Sequence[tuple[Piece, list[str]]]) -> bool:
    """Whether the edges at which each part of a run meets the next have one name."""
    return all(
        piece.beside(names[-1])[1] == other.beside(others[0])[0] for (piece, names), (other, others) in pairwise(parts)
    )


def _nodes(piece: Piece, edge: Edge) -> Iterator[tuple[str, float]]:
    """The named points of a piece at which curves of that edge meet, and how far along it they lie."""
    ends = accumulate(curve.length() for curve in edge.curves)
    nodes = [(edge.start, 0.0), *zip((curve.end for curve in edge.curves), ends, strict=True)]
    for key, p in piece.points.items():
        yield from ((key, far) for node, far in nodes if distance(p, node) < NEAR)


def _node(path: Path, far: float) -> Point:
    return path[-1].end if far > path_length(path) - NEAR else place_at(path, far)[0]


def inner_line(piece: Piece, run: Sequence[str], wide: float) -> tuple[Path, tuple[float, float]]:
    """The line `wide` mm inside a run of a piece's edges, as it runs with their darts closed; and how far along the
    edges beside it, from their corners with it, it starts and ends. Raises GeometryError as `facing` does."""
    laid = _laid_together((piece,), run)
    return _inner(laid, tuple(chain.from_iterable(laid.paths)), wide, 0.0)


def _inner(laid: _Run, shell: Path, wide: float, rounded: float) -> tuple[Path, tuple[float, float]]:
    line, first = _ended(laid, 0, beside(shell, wide, rounded), shell, wide)
    back, last = _ended(laid, 1, reverse(line), reverse(shell), wide)
    return reverse(back), (first, last)


def _ended(laid: _Run, which: int, line: Path, run: Path, wide: float) -> tuple[Path, float]:
    try:
        return ended(line, run, laid.sides[which], wide)
    except GeometryError:
        short = laid.beside[which].name
        words = f"a facing {wide:.1f} mm wide does not end at {short}, which is too short"
        raise GeometryError(f"{laid.name}: {words}") from None


def _drawn_inside(laid: _Run, by: Sequence[float]) -> tuple[tuple[Path, ...], tuple[float, float]]:
    """Each edge of the run so far inside, and how far along the edges beside it they start and end."""
    if not any(by):
        return laid.paths, (0.0, 0.0)
    first, *rest = (led_on(parallel(path, -w), 4 * w) if w else path for path, w in zip(laid.paths, by, strict=True))
    found, low = [first], 0.0
    if by[0]:
        found[0], low = _cut_at(laid, first, laid.sides[0])
    for path in rest:
        after, far = _cut_at(laid, path, found[-1])
        found[-1] = pinned(cut_run(found[-1], far)[0], end=after[0].start)
        found.append(after)
    high = 0.0
    if by[-1]:
        back, high = _cut_at(laid, reverse(found[-1]), laid.sides[1])
        found[-1] = reverse(back)
    return tuple(found), (low, high)


def _cut_at(laid: _Run, path: Path, other: Path) -> tuple[Path, float]:
    """A run from where it meets another on, and how far along the other that is."""
    met = crossing(path, other)
    if met is None:
        raise GeometryError(f"{laid.name}: the run cannot be drawn inside by the turn of cloth")
    return pinned(cut_run(path, met.far)[1], met.at), met.on_other
