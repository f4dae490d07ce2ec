"""Cloth turned about a point: a dart moved, parted or let out in gathers; a piece slashed and spread, lapped, flared.

A piece is cut at some gaps of its outline into sectors, the sectors are moved, and the gaps close, or are filled with
the cloth that is put in there. Lengths outside the gaps stay as they are. The sector of the fold stays where it is, or
that of the grain line; so the grain of the cloth is never turned.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from math import asin, degrees, hypot
from typing import Final, Literal, TypeVar

from ..errors import GeometryError
from ..geometry.affine import Move
from ..geometry.curve import Cubic, Line
from ..geometry.path import Path, flatten, path_length, pinned, solve
from ..geometry.point import XY, Point, along, between, direction, distance, left_of, turn_deg
from ..geometry.polygon import contains, distance_to_line
from ..model.piece import Dart, Edge, EdgeKind, InternalLine, LevelLine, LineKind, NotchPlace, Piece, Take
from ..model.spans import put_in
from ..values import dataclass, replace
from .cuts import Run, crossed, grain_in, is_at_mouth, mouth_of, ring_between, roots, trimmed
from .darts import dart_cap
from .moves import moved_dart, turn
from .stretches import MEET, NEAR, Stretch, chained, moved, place, ridden, stretch_of, way

Kind = Literal["dart", "pleat", "tuck", "gathers", "flare"]

LEGS: Final = 0.5
"""Two legs that are sewn to each other differ by no more than this, mm (the tolerance of a plain seam)."""
_APART: Final = 1.0
"""Two cuts lie no nearer to each other than this, mm (judgement, no source)."""
_TOUCH: Final = 0.05
"""A point this near to a line touches it, mm (curves are drawn as chords here)."""
_COARSE: Final = 0.2
"""Chords this near to the curves, mm, tell whether an outline crosses itself (judgement, no source)."""
_OUT: Final = 0.5
"""A cut leaves the piece where it lies this far outside the outline, mm (curves are drawn as chords here)."""

_Line = TypeVar("_Line", InternalLine, LevelLine)


@dataclass(frozen=True, slots=True)
class Opening:
    """A place where a piece is opened: `at` mm along an edge as drawn; what becomes of the cloth that comes in there.

    `dart`, `pleat` and `tuck` are folded away, pressed to that end of the edge; `gathers` are drawn in, between notches
    `reach` mm to either side (3 to 5 cm; common practice); `flare` stays as it is. `share` is its part of a dart that
    is moved, `name` what a new dart is called.
    """

    edge: str
    at: float
    kind: Kind = "dart"
    share: float = 1.0
    pressed: Literal["start", "end"] = "start"
    name: str = ""
    reach: float = 40.0


# ---------------------------------------------------------------- darts


def pivot(piece: Piece, name: str, *to: Opening, about: Point | None = None, hold: str = "") -> Piece:
    """A dart closed, and the piece opened instead where asked, by the shares given; what is left stays in the dart.

    The cloth turns about the dart's point, or `about` another, such as the bust point: the dart is led on to it first.
    `hold` is an edge whose cloth stays where it is.
    Raises GeometryError for a dart that opens at no edge, for legs that are not alike, for cuts that leave the piece,
    lie across another dart or in one, and for a fold that would be bent.
    """
    dart = open_dart(piece, name)
    home, low, high = mouth_of(piece, dart)
    apex = about or dart.points[1]
    legs = distance(dart.points[0], apex), distance(dart.points[2], apex)
    if abs(legs[0] - legs[1]) > LEGS:
        raise GeometryError(
            f"{piece.name}: the legs of the {name} dart are {legs[0]:.1f} and {legs[1]:.1f} mm long, measured to the "
            f"point that it is to be closed about; make them alike first (within {LEGS} mm)"
        )
    given = sum(opening.share for opening in to)
    if not to or min(opening.share for opening in to) <= 0 or given > 1 + 1e-9:
        raise GeometryError(
            f"{piece.name}: {given:g} of the {name} dart is to be opened elsewhere, not more than 0 up to 1"
        )
    left = 1.0 - given if given < 1 - 1e-9 else 0.0
    edge = piece.edges[home]
    rest = Opening(edge.name, low, share=left, pressed=_pressed(edge, low), name=name) if left else None
    called = [o.name or (name if len(to) == 1 and not left else f"{name} {o.edge}") for o in to]
    cuts = [_cut_at(piece, replace(o, name=new), (home, low, high)) for o, new in zip(to, called, strict=True)]
    gaps = [_Gap(home, low, high, rest), *sorted(cuts, key=lambda gap: _round_from(piece, home, high, gap))]
    closing = turn_deg(direction(apex, dart.points[2]), direction(apex, dart.points[0]))
    shares = [gap.fill.share for gap in gaps[1:] if gap.fill]
    moves = [turn(apex, closing * sum(shares[k:])) for k in range(len(gaps))]
    return _swung(replace(piece, darts=_without(piece, dart)), _Swing(gaps, moves, apex, hold), dart.name)


def refold(
    piece: Piece, name: str, kind: Kind, *, pressed: Literal["start", "end"] = "start", reach: float = 40.0
) -> Piece:
    """A dart made into a pleat, a tuck or gathers where it is, or left open as flare."""
    dart = open_dart(piece, name)
    home, low, high = mouth_of(piece, dart)
    fill = Opening(piece.edges[home].name, low, kind, 1.0, pressed, name, reach)
    swing = _Swing([_Gap(home, low, high, fill)], [Move()], dart.points[1])
    return _swung(replace(piece, darts=_without(piece, dart)), swing, name)


def shorten(piece: Piece, name: str, by: float) -> Piece:
    """A dart's point pulled back by `by` mm along its middle: its ends stay, so the angle that is sewn grows."""
    dart = open_dart(piece, name)
    home, low, high = mouth_of(piece, dart)
    first, tip, second = dart.points
    middle = between(first, second)
    if by >= distance(tip, middle) - _APART:
        raise GeometryError(
            f"{piece.name}: the {name} dart is {distance(tip, middle):.1f} mm long, so not {by:.1f} mm shorter"
        )
    back = along(tip, direction(tip, middle), by)
    edge = piece.edges[home]
    fill = Opening(edge.name, low, pressed=_pressed(edge, low), name=name)
    swing = _Swing([_Gap(home, low, high, fill)], [Move()], back)
    return _swung(replace(piece, darts=_without(piece, dart)), swing, name)


def open_dart(piece: Piece, name: str) -> Dart:
    """The piece's dart of that name; GeometryError if it has none that opens at an edge."""
    dart = next((dart for dart in piece.darts if dart.name == name and dart.is_open), None)
    if dart is None:
        raise GeometryError(f"{piece.name} has no {name} dart that opens at an edge")
    return dart


def straight_on(piece: Piece, name: str) -> tuple[str, float]:
    """Where a dart's middle, led on past its point, first meets the outline: the edge, and mm along it."""
    first, tip, second = open_dart(piece, name).points
    way = direction(between(first, second), tip)

    def side(p: XY) -> float:
        return way[0] * (p[1] - tip[1]) - way[1] * (p[0] - tip[0])

    best: tuple[float, str, float] | None = None
    for edge in piece.edges:
        walked = 0.0
        for curve in edge.curves:
            for t in roots(curve, side):
                p = curve.at(t)
                far = (p[0] - tip[0]) * way[0] + (p[1] - tip[1]) * way[1]
                if far > NEAR and (best is None or far < best[0]):
                    best = (far, edge.name, walked + curve.split(t)[0].length())
            walked += curve.length()
    if best is None:
        raise GeometryError(f"{piece.name}: the {name} dart, led straight on, meets no edge")
    return best[1], best[2]


def _without(piece: Piece, dart: Dart) -> tuple[Dart, ...]:
    return tuple(other for other in piece.darts if other is not dart)


def _pressed(edge: Edge, low: float) -> Literal["start", "end"]:
    return next((take.pressed or "start" for take in edge.takes if abs(take.start - low) < 1e-3), "start")


def _cut_at(piece: Piece, opening: Opening, home: tuple[int, float, float]) -> _Gap:
    """Where an opening is cut; not in the dart's own mouth, at an edge's end, or outside the edge."""
    index = _index(piece, opening.edge)
    long = piece.edges[index].length()
    if not -NEAR <= opening.at <= long + NEAR:
        raise GeometryError(
            f"{piece.name}: {opening.edge} is {long:.1f} mm long, so it is not opened at {opening.at:.1f} mm"
        )
    if index == home[0] and home[1] - _APART < opening.at < home[2] + _APART:
        raise GeometryError(
            f"{piece.name}: a dart cannot be opened at {opening.edge}, {opening.at:.1f} mm along it, where it is"
        )
    return _Gap(index, opening.at, opening.at, opening)


def _index(piece: Piece, name: str) -> int:
    names = [edge.name for edge in piece.edges]
    if name not in names:
        raise GeometryError(f"{piece.name} has no edge {name}; it has {', '.join(names)}")
    return names.index(name)


def _round_from(piece: Piece, home: int, high: float, gap: _Gap) -> tuple[int, float]:
    """How far round the outline from a place a gap lies: edges, then mm."""
    count = len(piece.edges)
    return (count if gap.edge == home and gap.low < high else (gap.edge - home) % count), gap.low


# ---------------------------------------------------------------- slashed


def spread(piece: Piece, at: Opening, to: tuple[str, float], by: float, also: float = 0.0, *, hold: str = "") -> Piece:
    """A piece slashed from a place on one edge to a place on another, and spread by `by` mm at the first, measured
    straight across, and by `also` at the other: 0 makes it the hinge, the same as `by` spreads in parallel.

    Raises GeometryError where the slash leaves the piece, or lies across a dart.
    """
    if by <= 0 or also < 0:
        raise GeometryError(
            f"{piece.name}: spread by {by:g} and {also:g} mm; the first is more than 0, and neither is less"
        )
    gap = _cut_at(piece, replace(at, name=at.name or at.kind), (-1, 0.0, 0.0))
    end = _cut_at(piece, Opening(*to, kind=at.kind, name=at.name or at.kind), (-1, 0.0, 0.0))
    a, b = _place(piece, gap), _place(piece, end)
    if distance(a, b) < max(by, also, _APART):
        raise GeometryError(
            f"{piece.name}: a slash {distance(a, b):.1f} mm long cannot be spread by {max(by, also):.1f} mm"
        )
    if also <= 0:
        end, apex, move = replace(end, fill=None), b, turn(b, 2 * degrees(asin(by / 2 / distance(a, b))))
    else:
        apex, move = None, _apart_by(a, b, by, also)
    return _swung(piece, _Swing([gap, end], [move, Move()], apex, hold), "")


def _apart_by(a: Point, b: Point, by: float, also: float) -> Move:
    """The move of the cloth after a and before b on the outline that takes both so far from where they were, mm."""
    out = left_of(direction(a, b))
    shift = Move.by(-out.x * also, -out.y * also)
    about = shift.point(b)
    if abs(by - also) < NEAR:
        return shift

    def off(angle_deg: float) -> float:
        return distance(shift.then(turn(about, angle_deg)).point(a), a) - by

    most = 60.0 if by > also else -2 * degrees(asin(min(1.0, also / 2 / distance(a, b))))
    return shift.then(turn(about, solve(off, 0.0, most, near=1e-9)))


def lap(piece: Piece, at: tuple[str, float], to: tuple[str, float], by: float, *, hold: str = "") -> Piece:
    """A piece slashed from a place on one edge to a place on another, the hinge, and lapped by `by` mm at the first,
    measured straight across: the edge loses the cloth that lies between, half on either side of the place.

    Raises GeometryError where the slash meets the edge so aslant that the lapped edge would have a step.
    """
    index, hinge = _index(piece, at[0]), _cut_at(piece, Opening(*to), (-1, 0.0, 0.0))
    edge, apex = piece.edges[index], _place(piece, hinge)
    room = min(at[1], edge.length() - at[1])

    def ends(half: float) -> tuple[Point, Point]:
        return place(edge, at[1] - half), place(edge, at[1] + half)

    if by <= 0 or distance(*ends(room)) < by:
        raise GeometryError(
            f"{piece.name}: {edge.name} has no room to be lapped by {by:.1f} mm, {at[1]:.1f} mm along it"
        )
    half = solve(lambda half: distance(*ends(half)) - by, 0.0, room, near=1e-9)
    low, high = ends(half)
    step = abs(distance(apex, low) - distance(apex, high))
    if step > LEGS:
        raise GeometryError(
            f"{piece.name}: lapped by {by:.1f} mm there, {edge.name} would have a step of {step:.1f} mm; slash nearer "
            f"to square to the edge"
        )
    move = turn(apex, turn_deg(direction(apex, high), direction(apex, low)))
    gaps = [_Gap(index, at[1] - half, at[1] + half), replace(hinge, fill=None)]
    return _swung(piece, _Swing(gaps, [move, Move()], apex, hold), "")


def flare(piece: Piece, edge: str, by: float, *, to: str, slashes: int = 1, hold: str = "") -> Piece:
    """An edge made `by` mm longer by slashes at equal distances, each hinged at the like place of the edge `to`, which
    stays as long as it is. Raises GeometryError as `spread` does."""
    long, far = piece.edge(edge).length(), piece.edge(to).length()
    for i in reversed(range(slashes)):
        share = (i + 1) / (slashes + 1)
        piece = spread(piece, Opening(edge, long * share, "flare"), (to, far * (1 - share)), by / slashes, hold=hold)
    return piece


def widen(piece: Piece, fold: str, by: float) -> Piece:
    """A piece made wider by `by` mm at a straight edge, such as the fold: this stays where it is, and all else moves
    away from it. The edges beside it, levels and lines that end at it are led on, square to it.

    Raises GeometryError if that edge is not straight.
    """
    edge = piece.edge(fold)
    if len(edge.curves) != 1 or not isinstance(edge.curves[0], Line):
        raise GeometryError(f"{piece.name} is widened at a straight edge; {fold} is none")
    index = _index(piece, fold)
    way = direction(edge.start, edge.end)
    inwards = left_of(way)
    count = len(piece.edges)
    gaps = [
        _Gap((index + 1) % count, 0.0, 0.0, Opening("", 0.0, "flare")),
        _Gap((index - 1) % count, far := piece.edges[index - 1].length(), far, Opening("", far, "flare")),
    ]
    move = Move.by(inwards.x * by, inwards.y * by)
    wider = _swung(piece, _Swing(gaps, [move, Move()], None, fold), "")

    def led_on(line: _Line) -> _Line:
        """Those that end where the fold was, before all else moved away from it."""
        points = list(line.points)
        for p in (points[0], points[-1]):
            if _is_at(p, along(edge.start, inwards, by), way):
                points.insert(0 if p == points[0] else len(points), along(p, inwards, -by))
        return replace(line, points=tuple(points))

    return replace(
        wider,
        internal_lines=tuple(map(led_on, wider.internal_lines)),
        levels=tuple(map(led_on, wider.levels)),
    )


def _is_at(p: Point, a: Point, way: Point) -> bool:
    """Whether a point touches the line through a."""
    return abs(way.x * (p.y - a.y) - way.y * (p.x - a.x)) < _TOUCH


# ---------------------------------------------------------------- sectors


@dataclass(frozen=True, slots=True)
class _Gap:
    """Where the outline is cut: the number of the edge, from and to mm along it, and what is put in there."""

    edge: int
    low: float
    high: float
    fill: Opening | None = None


@dataclass(frozen=True, slots=True)
class _Swing:
    """How a piece is rearranged: its gaps round the outline, and how the cloth after each is moved, up to the next. The
    cuts run from the gaps to the apex, or, without one, from gap to gap; `hold` is an edge that stays."""

    gaps: Sequence[_Gap]
    moves: Sequence[Move]
    apex: Point | None
    hold: str = ""


@dataclass(frozen=True, slots=True)
class _Sectors:
    """The cloth between the gaps: its runs of the outline, outlines as drawn, and moves; and the cloth that is gone."""

    piece: Piece
    gaps: Sequence[_Gap]
    runs: Sequence[Sequence[Run]]
    rings: Sequence[Sequence[XY]]
    gone: Sequence[Sequence[XY]]
    moves: Sequence[Move]
    held: int

    def where(self, p: Point) -> int | None:
        """The sector that a point lies in, or is nearest to; none for one in cloth that is gone."""
        for k, gap in enumerate(self.gaps):
            edge = self.piece.edges[gap.edge]
            if distance(p, place(edge, gap.high)) < NEAR and gap.high > NEAR:
                return k
            if distance(p, place(edge, gap.low)) < NEAR:
                return k - 1 if k else len(self.gaps) - 1
        for k, ring in enumerate(self.rings):
            if len(ring) > 2 and contains(ring, p):
                return k
        near = min(range(len(self.rings)), key=lambda k: distance_to_line(p, (*self.rings[k], self.rings[k][0])))
        if any(contains(ring, p) for ring in self.gone) and distance_to_line(p, self.rings[near]) > _TOUCH:
            return None
        return near

    def moved(self, p: Point) -> Point | None:
        """Where the cloth at that point comes to lie."""
        k = self.where(p)
        return None if k is None else self.moves[k].point(p)


def _swung(piece: Piece, swing: _Swing, closed: str) -> Piece:
    """The piece with its sectors moved, and the gaps filled; `closed` is the dart whose notches go with it."""
    if piece.cut_line:
        raise GeometryError(f"{piece.name} keeps the cut line that it was drawn with, so its cloth cannot be turned")
    walls = _walls(piece, swing)
    cloth = _sectors(piece, swing)
    _check(piece, cloth, walls)
    edges, darts, notches = _edges(cloth, swing.apex, closed)
    _check_outline(piece.name, edges)
    points = {name: q for name, p in piece.points.items() if (q := _point(cloth, p, swing.apex)) is not None}
    return replace(
        piece,
        edges=edges,
        points=points,
        grain=_grain(cloth, edges),
        darts=(*(_dart(cloth, dart) for dart in piece.darts), *darts),
        notches=notches,
        internal_lines=tuple(part for line in piece.internal_lines for part in _parted(cloth, line, walls)),
        levels=tuple(new for level in piece.levels if (new := _bridged(cloth, level, walls)).points),
        holes=tuple(hole for hole in piece.holes if hole in points),
    )


def _point(cloth: _Sectors, p: Point, apex: Point | None) -> Point | None:
    if apex is not None and distance(p, apex) < NEAR:
        return p
    return cloth.moved(p)


def _place(piece: Piece, gap: _Gap) -> Point:
    return place(piece.edges[gap.edge], gap.low)


def _walls(piece: Piece, swing: _Swing) -> list[tuple[Point, Point]]:
    """The straight cuts, from the outline inwards."""
    ends = [place(piece.edges[gap.edge], far) for gap in swing.gaps for far in dict.fromkeys((gap.low, gap.high))]
    if swing.apex is None:
        return [(ends[0], ends[1])]
    return [(p, swing.apex) for p in ends if distance(p, swing.apex) > NEAR]


def _check(piece: Piece, cloth: _Sectors, walls: Sequence[tuple[Point, Point]]) -> None:
    """That the cuts lie in the piece, and not on top of each other."""
    ring = [p for edge in piece.edges for p in flatten(edge.curves)[:-1]]
    for a, b in () if _is_at_corner(cloth) else walls:
        for i in range(1, 16):
            p = between(a, b, i / 16)
            if not contains(ring, p) and distance_to_line(p, [*ring, ring[0]]) > _OUT:
                raise GeometryError(
                    f"{piece.name}: the cut from ({a.x:.1f}, {a.y:.1f}) to ({b.x:.1f}, {b.y:.1f}) leaves the piece"
                )
    for gap, after in zip(cloth.gaps, [*cloth.gaps[1:], cloth.gaps[0]], strict=True):
        if gap is not after and distance(_place(piece, gap), _place(piece, after)) < _APART:
            name = piece.edges[gap.edge].name
            raise GeometryError(
                f"{piece.name}: two cuts meet {name} less than {_APART:g} mm apart, {gap.low:.1f} mm along it"
            )


def _check_outline(piece: str, edges: Sequence[Edge]) -> None:
    """That the new outline does not cross itself."""
    walls = [(edge.name, p, q) for edge in edges for p, q in pairwise(flatten(edge.curves, _COARSE))]
    for i, (name, p, q) in enumerate(walls):
        low, high = min(p[0], q[0]), max(p[0], q[0])
        for other, a, b in walls[i + 2 :]:
            if (a[0] > low or b[0] > low) and (a[0] < high or b[0] < high) and _cross(p, q, a, b):
                raise GeometryError(
                    f"{piece}: {name} would cross {other} near ({p[0]:.1f}, {p[1]:.1f}); cut further away, or "
                    f"open it by less"
                )


def _cross(p: XY, q: XY, a: XY, b: XY) -> bool:
    def side(p: XY, q: XY, c: XY) -> float:
        return (q[0] - p[0]) * (c[1] - p[1]) - (q[1] - p[1]) * (c[0] - p[0])

    near = min(distance(p, a), distance(p, b), distance(q, a), distance(q, b))
    return near > _TOUCH and side(p, q, a) * side(p, q, b) < 0 and side(a, b, p) * side(a, b, q) < 0


def _is_at_corner(cloth: _Sectors) -> bool:
    """Whether all that moves is an edge, or a part of it that begins or ends at a corner: cloth is added beside it."""
    moving = [runs for k, runs in enumerate(cloth.runs) if k != cloth.held]
    corners = any(gap.low < NEAR or gap.low > cloth.piece.edges[gap.edge].length() - NEAR for gap in cloth.gaps)
    return corners and len(moving) == 1 == len(moving[0])


def _sectors(piece: Piece, swing: _Swing) -> _Sectors:
    gaps = swing.gaps
    runs = [
        ring_between(piece, (gap.edge, gap.high), (after.edge, after.low))
        for gap, after in zip(gaps, [*gaps[1:], gaps[0]], strict=True)
    ]
    centre: list[XY] = [] if swing.apex is None else [swing.apex]
    rings = [[p for run in sector for p in flatten(run.cut.curves)] + centre for sector in runs]
    gone = [
        flatten(stretch_of(piece.name, piece.edges[gap.edge], gap.low, gap.high).curves) + centre
        for gap in gaps
        if gap.high - gap.low > NEAR
    ]
    held = _held(piece, runs, rings, swing.hold)
    back = _undone(swing.moves[held])
    moves = [Move() if k == held else move.then(back) for k, move in enumerate(swing.moves)]
    return _Sectors(piece, gaps, runs, rings, gone, moves, held)


def _held(piece: Piece, runs: Sequence[Sequence[Run]], rings: Sequence[Sequence[XY]], hold: str) -> int:
    """The sector that stays: that of the edge to hold, else that of the fold, else that of most of the grain line."""
    fold = next((edge.name for edge in piece.edges if edge.kind is EdgeKind.FOLD), "")
    for name in filter(None, (hold, fold)):
        index = _index(piece, name)
        found = [k for k, sector in enumerate(runs) if any(run.edge == index for run in sector)]
        if len(found) > 1:
            what = "is on the fold" if name == fold else "is to stay as it is"
            raise GeometryError(f"{piece.name}: {name} {what}, so the piece cannot be cut open there")
        if name == hold or not hold:
            held = found[0]
    if hold or fold:
        return held
    places = [between(*piece.grain, i / 16) for i in range(17)]
    return max(range(len(rings)), key=lambda k: sum(len(rings[k]) > 2 and contains(rings[k], p) for p in places))


def _undone(move: Move) -> Move:
    """The turn and shift that takes a turn and shift back."""
    dx, dy = move.dx, move.dy
    return Move(
        move.xx, move.yx, move.xy, move.yy, -move.xx * dx - move.yx * dy, -move.xy * dx - move.yy * dy
    )  # fmt: skip


# ---------------------------------------------------------------- edges


def _edges(
    cloth: _Sectors, apex: Point | None, closed: str
) -> tuple[tuple[Edge, ...], tuple[Dart, ...], tuple[NotchPlace, ...]]:
    """The edges with their stretches moved and what is put in between; new darts; notches."""
    edges, darts = [], []
    notches: list[NotchPlace] = []
    home = cloth.gaps[0]
    legs = [n for n in cloth.piece.notches if closed and is_at_mouth(cloth.piece, n, home.edge, home.low, home.high)]
    kept = [n for n in cloth.piece.notches if n not in legs]
    for index, old in enumerate(cloth.piece.edges):
        runs, fills = _stretches(cloth, index, apex)
        edge, offsets = chained(old, runs, within=LEGS)
        edges.append(edge)
        notches += ridden(kept, old, runs, offsets)
        for number, fill in fills:
            start, end = offsets[number], offsets[number] + runs[number].long
            notches += _notches_of(edge, fill, start, end, legs)
            if fill.kind == "dart" and apex is not None:
                a, b = runs[number].curves[0].start, runs[number].curves[-1].end
                darts.append(Dart(fill.name, (a, apex, b), distance(a, b)))
    closed_ring = [
        replace(e, curves=pinned(e.curves, before.end)) for before, e in zip([edges[-1], *edges], edges, strict=False)
    ]
    return tuple(closed_ring), tuple(darts), tuple(notches)


def _stretches(cloth: _Sectors, index: int, apex: Point | None) -> tuple[list[Stretch], list[tuple[int, Opening]]]:
    """An edge's stretches as they lie now, with the cloth that is put in between, and which of them that is."""
    placed: list[tuple[float, int, Stretch | int]] = [
        (run.cut.start, 1, moved(run.cut, cloth.moves[k]))
        for k, sector in enumerate(cloth.runs)
        for run in sector
        if run.edge == index
    ]
    placed += [(gap.low, 0, k) for k, gap in enumerate(cloth.gaps) if gap.edge == index]
    rows = [row[2] for row in sorted(placed, key=lambda row: row[:2])]
    found: list[Stretch] = []
    fills = []
    for i, row in enumerate(rows):
        if isinstance(row, Stretch):
            found.append(row)
        elif fill := cloth.gaps[row].fill:
            before, after = (rows[i - 1] if i else None), (rows[i + 1] if i + 1 < len(rows) else None)
            fills.append((len(found), fill))
            found.append(_filled(cloth, row, fill, before, after, apex))
    return found, fills


def _filled(
    cloth: _Sectors,
    k: int,
    fill: Opening,
    before: Stretch | int | None,
    after: Stretch | int | None,
    apex: Point | None,
) -> Stretch:
    """The cloth that is put in at a gap, from the end of the stretch before to the start of the one after it."""
    gap = cloth.gaps[k]
    edge = cloth.piece.edges[gap.edge]
    sides = [side if isinstance(side, Stretch) else None for side in (before, after)]
    p, q = cloth.moves[k - 1].point(place(edge, gap.low)), cloth.moves[k].point(place(edge, gap.high))
    if fill.kind in ("gathers", "flare"):
        ways = (_turned(way(edge, gap.low), cloth.moves[k - 1]), _turned(way(edge, gap.high), cloth.moves[k]))
        curves = _smooth(p, ways[0], q, ways[1])
    else:
        curves = _cap(cloth, gap, fill, sides, apex)
    long = path_length(curves)
    spans = [side.spans if side else () for side in sides]
    takes: tuple[Take, ...] = ()
    if fill.kind == "gathers":
        takes = (Take(0.0, long, fill.kind),)
    elif fill.kind != "flare":
        takes = (Take(0.0, long, fill.kind, apex, fill.pressed),)
    return Stretch(curves, takes, put_in(spans[0], spans[1], long), -1.0)


def _cap(cloth: _Sectors, gap: _Gap, fill: Opening, sides: Sequence[Stretch | None], apex: Point | None) -> Path:
    """The edge over folded cloth; slashed in parallel, its point lies too far away to matter."""
    name, edge = cloth.piece.name, cloth.piece.edges[gap.edge].name
    before, after = sides
    if before is None or after is None:
        raise GeometryError(f"{name}: a {fill.kind} cannot open at the end of {edge}, {gap.low:.1f} mm along it")
    ends = before.curves[-1].end, after.curves[0].start
    tip = apex or along(between(*ends), left_of(direction(*ends)), 1e6)
    try:
        return dart_cap(before.curves, tip, after.curves, pressed_to_start=fill.pressed == "start")
    except GeometryError as fault:
        raise GeometryError(
            f"{name}: no edge can be drawn over the {fill.name} {fill.kind} at {edge}, {gap.low:.1f} mm along it: "
            f"{edge} runs away from its fold. Open it nearer to square to the edge, or press it the other way"
        ) from fault


def _turned(way: Point, move: Move) -> Point:
    return replace(move, dx=0.0, dy=0.0).point(way)


def _smooth(p: Point, leave: Point, q: Point, arrive: Point) -> Path:
    """From p to q, leaving and arriving by those directions; straight where these are one."""
    if abs(turn_deg(leave, arrive)) < 1e-6:
        return (Line(p, q),)
    third = distance(p, q) / 3
    handles = [(unit.x * third, unit.y * third) for unit in (leave, arrive)]
    return (Cubic.leaving_and_arriving(p, handles[0], q, handles[1]),)


def _notches_of(edge: Edge, fill: Opening, start: float, end: float, legs: Sequence[NotchPlace]) -> list[NotchPlace]:
    """The notches of what was put in: a dart's as the closed one had them, a pleat's folds, the ends of gathers."""
    if fill.kind == "flare" or (fill.kind == "dart" and not legs):
        return []
    if fill.kind == "gathers":
        start, end = max(0.0, start - fill.reach), min(edge.length(), end + fill.reach)
    name, count = (legs[0].name, legs[0].count) if fill.kind == "dart" else (fill.kind, 1)
    return [NotchPlace(edge.name, far, count, name) for far in (start, end)]


# ---------------------------------------------------------------- marks


def _dart(cloth: _Sectors, dart: Dart) -> Dart:
    """A dart moved with its cloth; GeometryError if a cut parts it."""
    middle = between(dart.points[0], dart.points[2])
    inner = [along(p, direction(p, middle if p != middle else dart.points[1]), 0.01) for p in dart.points]
    found = {cloth.where(p) for p in inner}
    k = found.pop()
    if found or k is None:
        raise GeometryError(f"{cloth.piece.name}: the {dart.name} dart lies across the cut")
    return moved_dart(dart, cloth.moves[k])


def _grain(cloth: _Sectors, edges: Sequence[Edge]) -> tuple[Point, Point]:
    """The grain line with its cloth, where that is not turned; else another of the same direction."""
    grain = cloth.piece.grain
    found = {cloth.where(between(*grain, i / 16)) for i in range(17)}
    k = found.pop()
    if not found and k is not None and hypot(cloth.moves[k].xx - 1.0, cloth.moves[k].xy) < 1e-9:
        return cloth.moves[k].point(grain[0]), cloth.moves[k].point(grain[1])
    return grain_in(edges, direction(*grain))


def _bits(
    cloth: _Sectors, line: Sequence[Point], walls: Sequence[tuple[Point, Point]]
) -> Iterator[tuple[Point, Point] | None]:
    """The straight bits of a line between the cuts, each moved with its cloth; None for one whose cloth is gone."""
    for p, q in pairwise(crossed(line, walls)):
        if distance(p, q) > NEAR:
            k = cloth.where(between(p, q))
            yield None if k is None else (cloth.moves[k].point(p), cloth.moves[k].point(q))


def _bridged(cloth: _Sectors, level: LevelLine, walls: Sequence[tuple[Point, Point]]) -> LevelLine:
    """A level with its cloth, as far as there is cloth: parted by a cut, it goes straight on from one side of it to the
    other; where a dart is closed, its two sides meet half way."""
    ring = [p for edge in cloth.piece.edges for p in flatten(edge.curves)[:-1]]
    points: list[Point] = []
    gone = False
    for bit in (bit for run in trimmed(ring, level.points) for bit in _bits(cloth, run, walls)):
        if bit and points and gone:
            points[-1] = between(points[-1], bit[0])
            points.append(bit[1])
        elif bit:
            points += [p for p in bit if not points or distance(points[-1], p) > NEAR]
        gone = bit is None
    return replace(level, points=tuple(points))


def _parted(cloth: _Sectors, line: InternalLine, walls: Sequence[tuple[Point, Point]]) -> Iterator[InternalLine]:
    """A line with its cloth: one for every part that a cut makes of it."""
    runs: list[list[Point]] = []
    for p, q in filter(None, _bits(cloth, line.points, walls)):
        if runs and distance(runs[-1][-1], p) <= MEET:
            runs[-1].append(q)
        else:
            runs.append([p, q])
    if line.kind is LineKind.CUTOUT and len(runs) != 1:
        raise GeometryError(f"{cloth.piece.name}: {line.name} lies across the cut, and is cut out of it")
    for run in runs:
        yield replace(line, points=tuple(run))
