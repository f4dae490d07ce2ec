"""Pieces cut in two: along a straight line, or through darts, whose cloth falls away (a princess line).

Both parts get new names, and the old one stands for all that came of it (`model/spans.resolve`). Edges that are not
cut are the piece's own, bit for bit. Marks go with their part; lines and levels are cut where they cross.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import partial
from math import sqrt
from typing import Final, TypeAlias, TypeVar

from ..errors import GeometryError
from ..geometry.curve import Cubic, Curve, Line
from ..geometry.path import Path, flatten, path_length, pinned, reverse, solve
from ..geometry.point import XY, Point, along, between, direction, distance, left_of
from ..geometry.polygon import contains, crossings, distance_to_line, touches
from ..model.piece import Dart, Edge, EdgeKind, InternalLine, LevelLine, LineKind, NotchPlace, Piece
from ..values import dataclass, replace
from .stretches import NEAR, Stretch, chained, place, ridden, stretch_of, with_marks

_ON: Final = 1e-9
"""A point this near to a line, mm, lies on it."""
BANKS: Final = 6.0
"""Most that one bank of a cut through darts is eased to the other, mm (0.6 cm over the bust; common practice)."""

Inside: TypeAlias = Callable[[XY], float]
"""How far inside a part a point lies, mm; negative outside, 0 on the cut."""
_Line = TypeVar("_Line", InternalLine, LevelLine)


@dataclass(frozen=True, slots=True)
class Run:
    """A stretch of one of the piece's edges, by its number."""

    edge: int
    cut: Stretch


# ---------------------------------------------------------------- along a line


def cut(
    piece: Piece,
    a: XY,
    b: XY,
    *,
    names: tuple[str, str],
    edge: str = "cut",
    kind: EdgeKind = EdgeKind.SEAM,
    holding: str = "",
) -> tuple[Piece, Piece]:
    """The two parts of a piece along the straight line from a on to b.

    The first name is that of the part in which the edge `holding` lies whole; unless told, of that to the left. Both
    begin with the new edge, whose ends are the same points in both. A part without the grain line gets one of the same
    direction; a part of a folded piece that is off the fold is cut as a pair.
    Raises GeometryError if the line does not cut the outline just twice, or cuts a dart or the mouth of one.
    """
    _check_names(piece, names)
    way = direction(a, b)

    def side(p: XY) -> float:
        return way[0] * (p[1] - a[1]) - way[1] * (p[0] - a[0])

    runs = list(_runs(piece, side))
    changes = [i for i in range(len(runs)) if runs[i][1] != runs[i - 1][1]]
    if len(changes) != 2:
        raise GeometryError(f"{piece.name}: the line to cut it at cuts the outline {len(changes)} times, not twice")
    first, second = changes
    one, other = runs[first:second], [*runs[second:], *runs[:first]]
    parts = []
    for part, inside in ((one, side), (other, side)):
        own = inside if part[0][1] else lambda p: -side(p)
        kept = [run for run, _ in part]
        bank = (Line(kept[-1].cut.curves[-1].end, kept[0].cut.curves[0].start),)
        parts.append((_part(piece, kept, Edge(edge, kind, bank), own, partial(_clipped, own)), part[0][1]))
    parts.sort(key=lambda found: not found[1])
    return _named(piece, (parts[0][0], parts[1][0]), names, holding)


def _check_names(piece: Piece, names: tuple[str, str]) -> None:
    if names[0] == names[1] or piece.name in names:
        raise GeometryError(
            f"{piece.name} is cut into {names[0]} and {names[1]}: both parts need names of their own, since the old "
            "one stands for both from now on"
        )
    if piece.cut_line:
        raise GeometryError(f"{piece.name} keeps the cut line that it was drawn with, so it cannot be cut in two")


def _named(piece: Piece, parts: tuple[Piece, Piece], names: tuple[str, str], holding: str) -> tuple[Piece, Piece]:
    """Both parts named, the first by an edge that lies in it whole."""
    if holding:
        long = piece.edge(holding).length()
        where = [i for i, part in enumerate(parts) for e in part.edges if e.name == holding and _is_whole(e, long)]
        if not where:
            raise GeometryError(
                f"{piece.name}: {holding} lies whole in neither part, so it cannot say which is {names[0]}"
            )
        parts = parts if where[0] == 0 else parts[::-1]
    return replace(parts[0], name=names[0]), replace(parts[1], name=names[1])


def _is_whole(edge: Edge, long: float) -> bool:
    return abs(edge.length() - long) < NEAR


def _runs(piece: Piece, side: Callable[[XY], float]) -> Iterator[tuple[Run, bool]]:
    """The edges in their order, cut where they cross the line, each run with whether it lies to the left."""
    for index, edge in enumerate(piece.edges):
        walked = start = 0.0
        kept: list[Curve] = []
        left = False
        for curve in edge.curves:
            for bit in _cut_at(curve, roots(curve, side)):
                where = max((side(bit.at(t)) for t in (0.5, 0.25, 0.75, 0.0, 1.0)), key=abs)
                if abs(where) <= _ON:
                    raise GeometryError(f"{piece.name}: {edge.name} lies along the line to cut it at")
                if kept and left != (where > 0):
                    yield Run(index, with_marks(piece.name, edge, tuple(kept), start, walked)), left
                    kept, start = [], walked
                left = where > 0
                kept.append(bit)
                walked += bit.length()
        yield Run(index, with_marks(piece.name, edge, tuple(kept), start, walked)), left


def _cut_at(curve: Curve, places: Sequence[float]) -> Iterator[Curve]:
    done = 0.0
    for t in places:
        bit, curve = curve.split((t - done) / (1.0 - done))
        done = t
        yield bit
    yield curve


def roots(curve: Curve, side: Callable[[XY], float]) -> list[float]:
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


# ---------------------------------------------------------------- through darts


def cut_through(
    piece: Piece,
    way: Sequence[str | tuple[str, float]],
    *,
    names: tuple[str, str],
    edge: str = "princess",
    holding: str = "",
    rounded: float = 0.0,
    through: bool = False,
    ease: float = BANKS,
) -> tuple[Piece, Piece]:
    """The two parts of a piece along a line through darts, whose cloth falls away: `way` names the darts, and places
    (edge, mm along it) where the line begins or ends at none: `("shoulder", "waist")`, or `(("armhole", 60), "waist")`.

    Each part keeps one leg of every dart. The corners at the points are rounded off over `rounded` mm, or `through`
    the points themselves, so that nothing is lost there and the sharper bank is a little longer. Names and marks are
    dealt out as in `cut`; unless told, the first part is the one after the line's beginning, counter-clockwise.
    Raises GeometryError where the line does not run from edge to edge, or the banks differ by more than `ease` mm.
    """
    _check_names(piece, names)
    stops = [_stop(piece, asked) for asked in way]
    if len(stops) < 2 or None in (stops[0].at, stops[-1].at) or any(stop.at for stop in stops[1:-1]):
        raise GeometryError(f"{piece.name}: the line through {_words(way)} does not run from edge to edge")
    right, left = _banks(stops, rounded, through=through)
    off = path_length(right) - path_length(left)
    if abs(off) > ease:
        raise GeometryError(
            f"{piece.name}: the two sides of the line through {_words(way)} are {path_length(right):.1f} and "
            f"{path_length(left):.1f} mm long, but may differ by {ease:.1f} mm of ease; make the darts' legs alike"
        )
    gone = {asked for asked in way if isinstance(asked, str)}
    mouths = [stop.at for stop in (stops[0], stops[-1]) if stop.at]
    kept = replace(
        piece,
        darts=tuple(dart for dart in piece.darts if dart.name not in gone),
        notches=tuple(n for n in piece.notches if not any(is_at_mouth(piece, n, *mouth) for mouth in mouths)),
    )
    first, last = stops[0].at, stops[-1].at
    assert first is not None and last is not None
    parts = []
    for from_, to, bank in ((first, last, reverse(right)), (last, first, left)):
        runs = ring_between(piece, (from_[0], from_[2]), (to[0], to[1]))
        bank = pinned(bank, runs[-1].cut.curves[-1].end, runs[0].cut.curves[0].start)
        ring = [p for run in runs for p in flatten(run.cut.curves)] + flatten(bank)[1:-1]
        inside = _within(ring, flatten(bank))
        parts.append(_part(kept, runs, Edge(edge, EdgeKind.SEAM, bank), inside, partial(trimmed, ring)))
    return _named(piece, (parts[0], parts[1]), names, holding)


def _words(way: Sequence[str | tuple[str, float]]) -> str:
    return ", ".join(asked if isinstance(asked, str) else f"{asked[0]} at {asked[1]:.1f} mm" for asked in way)


def is_at_mouth(piece: Piece, notch: NotchPlace, edge: int, low: float, high: float) -> bool:
    """Whether a notch lies at the mouth of a dart, or in it."""
    return high > low and notch.edge == piece.edges[edge].name and low - 0.01 <= notch.at <= high + 0.01


@dataclass(frozen=True, slots=True)
class _Stop:
    """A place that a cut goes through: its points on the right and on the left of the way; where it is on the outline,
    the number of the edge, and from and to mm along it."""

    right: tuple[Point, ...]
    left: tuple[Point, ...]
    at: tuple[int, float, float] | None = None


def _stop(piece: Piece, asked: str | tuple[str, float]) -> _Stop:
    """A place or dart as asked for; an open dart told from its edge inwards, a double one from its upper point down."""
    if not isinstance(asked, str):
        name, far = asked
        index = [edge.name for edge in piece.edges].index(name)
        p = place(piece.edges[index], far)
        return _Stop((p,), (p,), (index, far, far))
    dart = next((dart for dart in piece.darts if dart.name == asked), None)
    if dart is None:
        raise GeometryError(f"{piece.name} has no {asked} dart to cut through")
    if not dart.is_open:
        upper, outer, lower, inner = dart.points
        return _Stop((upper, outer, lower), (upper, inner, lower))
    index, start, end = mouth_of(piece, dart)
    first, tip, second = dart.points
    return _Stop((second, tip), (first, tip), (index, start, end))


def mouth_of(piece: Piece, dart: Dart) -> tuple[int, float, float]:
    """The number of the edge that a dart opens at, and from and to mm along it.

    Raises GeometryError if it opens at none.
    """
    for index, edge in enumerate(piece.edges):
        for take in edge.takes:
            if take.kind == "dart" and distance(place(edge, take.start), dart.points[0]) < 0.01:
                return index, take.start, take.end
    raise GeometryError(f"{piece.name}: the {dart.name} dart opens at no edge")


def _banks(stops: Sequence[_Stop], rounded: float, *, through: bool) -> tuple[Path, Path]:
    """The cut's right and left side, both from its beginning to its end."""
    right: list[Point] = []
    left: list[Point] = []
    for number, stop in enumerate(stops):
        own, other = stop.right, stop.left
        if number == len(stops) - 1:  # told from its edge inwards
            own, other = stop.left[::-1], stop.right[::-1]
        elif stop.at is None:
            if distance(right[-1], own[-1]) < distance(right[-1], own[0]):
                own, other = own[::-1], other[::-1]
            if _is_left(own[0], own[-1], own[1]):
                own, other = other, own
        right += own
        left += other
    sides = [_apart(right), _apart(left)]
    first, second = (_corners(points, rounded) for points in sides)
    same = [(p, q) for p, q in itertools.pairwise(sides[0]) if (p, q) in itertools.pairwise(sides[1])]
    for p in (p for run in same for p in run if through and p in first and p in second):
        # one line up to here: one way through, so that no width is lost beside it
        (far, half), (other_far, other_half) = first[p], second[p]
        shared = direction((0.0, 0.0), (half.x + other_half.x, half.y + other_half.y))
        first[p] = second[p] = min(far, other_far), shared
    return _rounded(sides[0], first, through=through), _rounded(sides[1], second, through=through)


def _is_left(a: Point, b: Point, p: Point) -> bool:
    return (b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x) > 0


def _apart(points: Sequence[Point]) -> list[Point]:
    return [*(p for p, q in itertools.pairwise(points) if distance(p, q) > NEAR), points[-1]]


def _corners(points: Sequence[Point], by: float) -> dict[Point, tuple[float, Point]]:
    """How far to either side each corner of straight runs is rounded, `by` mm or as far as there is room; and the way
    through it, evenly turned to both."""
    found = {}
    for before, corner, after in zip(points, points[1:], points[2:], strict=False):
        ways = direction(before, corner), direction(corner, after)
        half = direction((0.0, 0.0), (ways[0].x + ways[1].x, ways[0].y + ways[1].y))
        found[corner] = min(by, 0.45 * distance(before, corner), 0.45 * distance(corner, after)), half
    return found


def _rounded(points: Sequence[Point], corners: Mapping[Point, tuple[float, Point]], *, through: bool = False) -> Path:
    """The straight runs through points, each corner rounded: inside it, or `through` it."""
    found: list[Curve] = []
    start = points[0]
    for before, corner, after in zip(points, points[1:], points[2:], strict=False):
        reach, half = corners[corner]
        ways = direction(before, corner), direction(corner, after)
        enter, leave = along(corner, ways[0], -reach), along(corner, ways[1], reach)
        found.append(Line(start, enter))
        if reach > NEAR and through:
            for a, leave_by, b, arrive_by in ((enter, ways[0], corner, half), (corner, half, leave, ways[1])):
                found.append(_evenly(a, leave_by, b, arrive_by))
        elif reach > NEAR:
            handles = [(way.x * reach * 0.55, way.y * reach * 0.55) for way in ways]
            found.append(Cubic.leaving_and_arriving(enter, handles[0], leave, handles[1]))
        start = leave
    return (*found, Line(start, points[-1]))


def _evenly(a: Point, leave: Point, b: Point, arrive: Point) -> Cubic:
    third = distance(a, b) / 3
    return Cubic.leaving_and_arriving(a, (leave.x * third, leave.y * third), b, (arrive.x * third, arrive.y * third))


def ring_between(piece: Piece, start: tuple[int, float], end: tuple[int, float]) -> list[Run]:
    """The outline from one place on round to another; a place is the number of an edge and mm along it."""
    count = len(piece.edges)
    (first, low), (last, high) = start, end
    steps = (last - first) % count or (0 if high > low else count)
    runs = []
    for step in range(steps + 1):
        index = (first + step) % count
        edge = piece.edges[index]
        a, b = low if step == 0 else 0.0, high if step == steps else edge.length()
        if b - a > NEAR:
            runs.append(Run(index, stretch_of(piece.name, edge, a, b)))
    return runs


def cut_off(piece: Piece, start: tuple[str, float], end: tuple[str, float], bank: Edge) -> Piece:
    """A piece without what lies beyond a line from a place (edge, mm along it) to another, further on round the outline
    counter-clockwise; the line becomes its edge there. It keeps its name, and its edges end where the line does.

    Raises GeometryError if the line cuts a dart or the mouth of one.
    """
    order = [edge.name for edge in piece.edges]
    runs = ring_between(piece, (order.index(end[0]), end[1]), (order.index(start[0]), start[1]))
    for i, ends in ((0, {"start": bank.end}), (-1, {"end": bank.start})):
        runs[i] = replace(runs[i], cut=replace(runs[i].cut, curves=pinned(runs[i].cut.curves, **ends)))
    ring = [p for run in runs for p in flatten(run.cut.curves)] + flatten(bank.curves)[1:-1]
    part = _part(piece, runs, bank, _within(ring, flatten(bank.curves)), partial(trimmed, ring))
    first = next((i for i, edge in enumerate(part.edges) if edge.name == order[0]), 0)
    return replace(part, edges=(*part.edges[first:], *part.edges[:first]))


def _within(ring: Sequence[XY], bank: Sequence[XY]) -> Inside:
    def inside(p: XY) -> float:
        off = distance_to_line(p, bank)
        return 0.0 if off < 1e-3 else off if contains(ring, p) or _is_on(ring, p) else -off

    return inside


def _is_on(ring: Sequence[XY], p: XY) -> bool:
    """On the outline; curves are drawn as chords here."""
    return touches(ring, p, 0.05)


# ---------------------------------------------------------------- the parts


_Trim: TypeAlias = Callable[[Sequence[Point]], Iterator[list[Point]]]


def _part(piece: Piece, runs: Sequence[Run], bank: Edge, inside: Inside, trim: _Trim) -> Piece:
    """The part of a piece that those runs and the bank, from the end of the last to the start of the first, enclose."""
    edges: list[Edge] = [bank]
    notches: list[NotchPlace] = []
    for run in runs:
        whole = piece.edges[run.edge]
        called = whole.name
        if any(edge.name == called for edge in edges):
            called += "_2"
        edge, offsets = chained(whole, [run.cut])
        edges.append(replace(edge, name=called))
        notches += [replace(n, edge=called) for n in ridden(piece.notches, whole, [run.cut], offsets)]
    points = {key: p for key, p in piece.points.items() if inside(p) >= -_ON}
    on_fold = any(edge.kind is EdgeKind.FOLD for edge in edges)
    off = piece.on_fold and not on_fold
    to_cut = replace(piece.to_cut, side="pair", count=2 * piece.quantity) if off else piece.to_cut
    return replace(
        piece,
        edges=tuple(edges),
        points=points,
        grain=piece.grain if min(map(inside, piece.grain)) >= 0 else grain_in(edges, direction(*piece.grain)),
        to_cut=replace(to_cut, side="fold") if on_fold else to_cut,
        darts=tuple(_darts_in(piece, inside)),
        notches=tuple(notches),
        internal_lines=tuple(_lines_in(piece.internal_lines, trim, piece.name)),
        levels=tuple(_lines_in(piece.levels, trim, piece.name)),
        holes=tuple(hole for hole in piece.holes if hole in points),
    )


def _darts_in(piece: Piece, inside: Inside) -> Iterator[Dart]:
    for dart in piece.darts:
        where = [inside(p) for p in dart.points]
        if min(where) >= -_ON:
            yield dart
        elif max(where) > _ON:
            raise GeometryError(f"{piece.name}: the line to cut it at cuts the {dart.name} dart")


def _lines_in(lines: Sequence[_Line], trim: _Trim, piece: str) -> Iterator[_Line]:
    for line in lines:
        runs = list(trim(line.points))
        if isinstance(line, InternalLine) and line.kind is LineKind.CUTOUT and runs not in ([], [list(line.points)]):
            raise GeometryError(f"{piece}: the line to cut it at cuts {line.name}, which is cut out of it")
        for run in runs:
            yield replace(line, points=tuple(run))


def _clipped(inside: Inside, line: Sequence[Point]) -> Iterator[list[Point]]:
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


def trimmed(ring: Sequence[XY], line: Sequence[Point]) -> Iterator[list[Point]]:
    """The runs of a line that lie inside a ring."""
    run: list[Point] = []
    for p, q in itertools.pairwise(crossed(line, list(zip(ring, [*ring[1:], ring[0]], strict=True)))):
        if contains(ring, between(p, q)) or _is_on(ring, between(p, q)):
            run = [*run, q] if run else [p, q]
        elif run:
            yield run
            run = []
    if run:
        yield run


def crossed(line: Sequence[Point], walls: Sequence[tuple[XY, XY]]) -> list[Point]:
    """An open line with a point put in wherever it crosses one of the straight walls."""
    out = [line[0]]
    for p, q in itertools.pairwise(line):
        found = []
        for a, b in walls:
            s, t = (((b[0] - a[0]) * (c.y - a[1]) - (b[1] - a[1]) * (c.x - a[0])) for c in (p, q))
            u, v = (((q.x - p.x) * (c[1] - p.y) - (q.y - p.y) * (c[0] - p.x)) for c in (a, b))
            if s * t < 0 and u * v <= 0:
                found.append(s / (s - t))
        out += [between(p, q, part) for part in sorted(set(found))]
        out.append(q)
    return out


def grain_in(edges: Sequence[Edge], way: Point) -> tuple[Point, Point]:
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
