"""From the stitch line to the cut line: one width per edge, a finish at every corner, then one clean-up.

The cut line is built edge by edge, so that it is always known which run of it belongs to which edge:
each edge is moved outwards by its own width, neighbours are joined at the corners by their finish, and the ring goes
once through the offset engine, which drops what an inner curve tighter than its allowance has turned inside out.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import sqrt
from typing import Final

from ..errors import GeometryError, InputError
from ..geometry.curve import CHORD
from ..geometry.offset import outer
from ..geometry.point import (
    XY,
    Point,
    along,
    between,
    direction,
    distance,
    left_of,
    meeting,
    mirrored,
    right_of,
    turn_deg,
)
from ..model.draft import Draft
from ..model.pattern import CutPattern, CutPiece
from ..model.piece import Edge, EdgeKind, Piece

MITRE_LIMIT: Final = 2.5
"""A mitre reaches at most this many allowances from the corner, else it is bevelled (common practice, no source)."""
_STRAIGHT_ON_DEG: Final = 1.0
_STANDS_OUT: Final = 0.08
"""A mitre between two runs of one curve stands out no further than this, mm: within the project's +0.10."""
_HAIR: Final = 0.001
"""No run of a cut line is shorter, mm: ten steps of the grid on which the offset engine sees crossings."""
_TURN_BACK_DEG: Final = 50.0
"""A hem turns back against a neighbour that is no further than this from square to it; else its corner is plain."""


def allow(draft: Draft, asked: Mapping[str, float]) -> CutPattern:
    """Cut lines for every piece. `asked` overrides the draft's widths, by edge (`side`) or by one edge (`front.side`).

    Raises InputError for an edge that no piece has.
    """
    edges = {edge.name for piece in draft.pieces for edge in piece.edges}
    edges |= {f"{piece.name}.{edge.name}" for piece in draft.pieces for edge in piece.edges}
    known = edges | set(draft.default_allowances)
    for name in asked:
        if name not in known and name.split(".")[-1] not in draft.default_allowances:
            raise InputError(f"no piece has an edge {name!r}", expected="one of " + ", ".join(sorted(edges)))
    return CutPattern(draft, tuple(allow_piece(piece, widths_for(piece, draft, asked)) for piece in draft.pieces))


def widths_for(piece: Piece, draft: Draft, asked: Mapping[str, float]) -> dict[str, float]:
    """The allowance of each edge: fold edges have none; `piece.edge` goes before `edge`, before the draft's own."""
    return {
        edge.name: 0.0
        if edge.kind is EdgeKind.FOLD
        else asked.get(f"{piece.name}.{edge.name}", asked.get(edge.name, draft.default_allowances[edge.name]))
        for edge in piece.edges
    }


def allow_piece(piece: Piece, widths: Mapping[str, float]) -> CutPiece:
    """The cut line of one piece; `widths` in mm by edge name. Raises GeometryError naming the piece."""
    lines = {edge.name: tuple(_flattened(edge, widths[edge.name])) for edge in piece.edges}
    beside = [_Beside.of(edge.name, edge.kind, lines[edge.name], widths[edge.name]) for edge in piece.edges]
    corners = [_corner(a, b) for a, b in zip([beside[-1], *beside[:-1]], beside, strict=True)]
    ring: list[XY] = []
    for i, run in enumerate(beside):
        start, end = corners[i], corners[(i + 1) % len(corners)]
        ring.extend(start.points)
        ring.extend(run.between(start.skip_after, end.skip_before))
    notes: tuple[str, ...] = ()
    try:
        cut, changed = outer(_without_repeats(ring))
    except GeometryError as problem:
        raise GeometryError(f"{piece.name}: {problem}") from None
    if changed:
        notes = (f"{piece.name}: an inner curve is tighter than its allowance; the cut line keeps to the envelope.",)
    return CutPiece(
        piece=piece,
        lines=lines,
        stitch_line=tuple(p for edge in piece.edges for p in lines[edge.name][:-1]),
        cut_line=tuple(cut),
        cut_edges={run.name: tuple(run.points) for run in beside},
        allowances=dict(widths),
        corners={run.name: corner.finish for run, corner in zip(beside, corners, strict=True)},
        notes=notes,
    )


def _flattened(edge: Edge, width: float) -> list[XY]:
    """The edge within the usual chord, finer where the mitres between its moved runs would stand out too far."""
    points: list[XY] = [edge.start]
    for curve in edge.curves:
        run = curve.flat()
        out = width * _mitre_excess([curve.start, *run])
        points.extend(curve.flat(CHORD * _STANDS_OUT / out) if out > _STANDS_OUT else run)
    return points


def _mitre_excess(line: Sequence[XY]) -> float:
    """How much further than its width a mitre between two runs reaches, at the sharpest left turn; in widths."""
    ways = [direction(a, b) for a, b in itertools.pairwise(line)]
    sharpest = min(
        (ax * bx + ay * by for (ax, ay), (bx, by) in itertools.pairwise(ways) if ax * by > ay * bx), default=1
    )
    return sqrt(2 / (1 + min(1.0, max(-0.9, sharpest)))) - 1


@dataclass(frozen=True, slots=True)
class _Beside:
    """An edge moved outwards by its width: still a polyline, with the directions of its ends."""

    name: str
    kind: EdgeKind
    width: float
    first: XY
    last: XY
    points: tuple[XY, ...]
    leaving: Point
    arriving: Point

    @classmethod
    def of(cls, name: str, kind: EdgeKind, line: Sequence[XY], width: float) -> _Beside:
        ways = [direction(a, b) for a, b in itertools.pairwise(line)]
        return cls(name, kind, width, line[0], line[-1], tuple(_moved_out(line, ways, width)), ways[0], ways[-1])

    def between(self, skip_after: int, skip_before: int) -> Iterator[XY]:
        """Its points less those that the corners at its start and end have replaced."""
        yield from self.points[skip_after : len(self.points) - skip_before]


def _moved_out(line: Sequence[XY], ways: Sequence[XY], width: float) -> Iterator[XY]:
    """Each vertex moved to the right, mitred between its two runs."""
    if width == 0:
        yield from line
        return
    yield along(line[0], right_of(ways[0]), width)
    for p, (ax, ay), (bx, by) in zip(line[1:], ways, ways[1:], strict=False):
        reach = width / max(0.1, 1.0 + ax * bx + ay * by)
        yield (p[0] + (ay + by) * reach, p[1] - (ax + bx) * reach)
    yield along(line[-1], right_of(ways[-1]), width)


@dataclass(frozen=True, slots=True)
class _Corner:
    """What joins two edges: its points, and how many points of the runs before and after it they replace."""

    finish: str
    points: tuple[XY, ...]
    skip_before: int = 0
    skip_after: int = 0


def _corner(a: _Beside, b: _Beside) -> _Corner:
    """The finish where edge a ends and edge b starts, by rule."""
    folds = (a.kind is EdgeKind.FOLD) + (b.kind is EdgeKind.FOLD)
    hems = (a.kind is EdgeKind.HEM) + (b.kind is EdgeKind.HEM)
    if hems == 1 and not folds and abs(turn_deg(a.arriving, b.leaving) - 90.0) <= _TURN_BACK_DEG:
        return _turned_back(a, b)
    if folds == 1:
        return _at_fold(a, b)
    return _plain_corner(a, b)


def _plain_corner(a: _Beside, b: _Beside) -> _Corner:
    turn = turn_deg(a.arriving, b.leaving)
    if abs(turn) < _STRAIGHT_ON_DEG:
        if a.width != b.width:
            return _Corner("step", ())
        return _Corner("straight on", (between(a.points[-1], b.points[0]),), 1, 1)
    if turn < 0:
        return _inner_corner(a, b)
    met = meeting(a.points[-1], a.arriving, b.points[0], b.leaving)
    if met is not None and (_ahead(a.points[-1], met, a.arriving) < 0 or _ahead(met, b.points[0], b.leaving) < 0):
        return _Corner("step", ())
    if met is not None and distance(met, b.first) <= MITRE_LIMIT * max(a.width, b.width, 1e-9):
        return _Corner("mitre", (met,), 1, 1)
    return _bevel(a, b, met)


def _ahead(start: XY, p: XY, way: XY) -> float:
    """How far p lies from start in that direction, mm."""
    return (p[0] - start[0]) * way[0] + (p[1] - start[1]) * way[1]


def _bevel(a: _Beside, b: _Beside, met: Point | None) -> _Corner:
    """A sharp point cut off square to its mitre, as far out as a mitre may reach: never inside the allowance."""
    corner = b.first
    out = direction(corner, met) if met is not None else a.arriving
    square = left_of(out)
    at = along(corner, out, MITRE_LIMIT * max(a.width, b.width))
    ends = (meeting(a.points[-1], a.arriving, at, square), meeting(b.points[0], b.leaving, at, square))
    return _Corner("bevel", tuple(end for end in ends if end is not None), 1, 1)


def _at_fold(a: _Beside, b: _Beside) -> _Corner:
    """The cut line of the other edge ends on the fold: led on to it, or cut off there, so that halves unfold to one."""
    fold_first = a.kind is EdgeKind.FOLD
    fold, other = (a, b) if fold_first else (b, a)
    way = fold.arriving if fold_first else fold.leaving
    run = other.points if fold_first else other.points[::-1]
    skip = next((i for i, p in enumerate(run) if _ahead(b.first, p, left_of(way)) > 1e-9), 0)
    before, after = (run[skip - 1], run[skip]) if skip else (run[0], run[1])
    met = meeting(b.first, way, before, direction(before, after))
    if met is None:
        return _plain_corner(a, b)
    skip = max(1, skip)
    return _Corner("fold", (met,), 1, skip) if fold_first else _Corner("fold", (met,), skip, 1)


def _inner_corner(a: _Beside, b: _Beside) -> _Corner:
    """At an inward corner the two runs cross, or the wider one ends square to its edge on the other: both stop there.

    Where they do not cross, the engine takes the envelope.
    """
    before, after = [*a.points, a.last], [b.first, *b.points]
    for i in range(len(before) - 1, 0, -1):
        for j in range(1, len(after)):
            if i == len(a.points) and j == 1:
                continue
            met = _crossing(before[i - 1], before[i], after[j - 1], after[j])
            if met is not None:
                return _Corner("mitre", (met,), len(a.points) - i, j - 1)
    return _Corner("envelope", (b.first,))


def _crossing(a: XY, b: XY, c: XY, d: XY) -> Point | None:
    met = meeting(a, direction(a, b), c, direction(c, d))
    if met is None:
        return None
    within = distance(a, met) + distance(met, b) <= distance(a, b) + 1e-7
    return met if within and distance(c, met) + distance(met, d) <= distance(c, d) + 1e-7 else None


def _turned_back(a: _Beside, b: _Beside) -> _Corner:
    """Hem turned back: beyond the hem line the allowance mirrors the cut edge of its neighbour about that line.

    So the turned-up hem lies flat, edge on edge, whether the side tapers or flares (derived; see the guide).
    """
    hem_first = a.kind is EdgeKind.HEM
    hem, other = (a, b) if hem_first else (b, a)
    corner = hem.last if hem_first else hem.first
    fold_way = hem.arriving if hem_first else hem.leaving
    run = list(other.points) if hem_first else list(reversed(other.points))

    def above(p: XY) -> float:
        return fold_way[0] * (p[1] - corner[1]) - fold_way[1] * (p[0] - corner[0])

    first_way = direction(run[0], run[1])
    skip = 0
    while skip < len(run) - 1 and above(run[skip]) <= 1e-9:
        skip += 1
    before = run[skip - 1] if skip else along(run[0], first_way, -1.0)
    at_fold = meeting(corner, fold_way, before, direction(before, run[skip]))
    if at_fold is None:
        return _plain_corner(a, b)
    flap: list[XY] = [at_fold]
    previous: XY = at_fold
    for p in run[skip:]:
        if above(p) >= hem.width:
            break
        flap.append(p)
        previous = p
    else:
        p = along(run[-1], direction(run[-2], run[-1]), 1e4)
    span = above(p) - above(previous)
    if span <= 1e-9:
        return _plain_corner(a, b)
    flap.append(between(previous, p, (hem.width - above(previous)) / span))
    if distance(at_fold, flap[-1]) > MITRE_LIMIT * hem.width:
        return _plain_corner(a, b)
    mirror = [mirrored(p, corner, fold_way) for p in flap[1:]]
    if hem_first:
        return _Corner("turned back", (*reversed(mirror), at_fold), 1, skip)
    return _Corner("turned back", (at_fold, *mirror), skip, 1)


def _without_repeats(ring: Sequence[XY]) -> list[XY]:
    kept: list[XY] = []
    for p in ring:
        if not kept or distance(kept[-1], p) > _HAIR:
            kept.append(p)
    while len(kept) > 1 and distance(kept[0], kept[-1]) <= _HAIR:
        kept.pop()
    return kept
