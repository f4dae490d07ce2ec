"""A piece cut at some gaps of its outline into sectors, which are moved; the gaps close, or are filled with cloth.

Lengths outside the gaps stay as they are. The sector of the fold stays where it is, or that of the grain line; so the
grain of the cloth is never turned.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from math import hypot
from typing import Final, Literal

from ..errors import GeometryError
from ..geometry.affine import Move
from ..geometry.curve import Cubic, Line
from ..geometry.path import Path, flatten, path_length, pinned
from ..geometry.point import XY, Point, along, between, direction, distance, left_of, turn_deg
from ..geometry.polygon import contains, distance_to_line
from ..model.piece import Dart, Edge, EdgeKind, InternalLine, LevelLine, LineKind, NotchPlace, Piece, Take
from ..model.spans import put_in
from ..values import dataclass, replace
from .cuts import Run, crossed, grain_in, is_at_mouth, ring_between, trimmed
from .darts import dart_cap
from .moves import moved_dart
from .stretches import MEET, NEAR, Stretch, chained, moved, place, ridden, stretch_of, way

Kind = Literal["dart", "pleat", "tuck", "gathers", "flare"]

LEGS: Final = 0.5
"""Two legs that are sewn to each other differ by no more than this, mm (the tolerance of a plain seam)."""
APART: Final = 1.0
"""Two cuts lie no nearer to each other than this, mm (judgement, no source)."""
TOUCH: Final = 0.05
"""A point this near to a line touches it, mm (curves are drawn as chords here)."""
_ASLANT_DEG: Final = 15.0
"""No leg of a dart lies nearer to the edge that it opens at, degrees (judgement, no source)."""
_COARSE: Final = 0.2
"""Chords this near to the curves, mm, tell whether an outline crosses itself (judgement, no source)."""
_OUT: Final = 0.5
"""A cut leaves the piece where it lies this far outside the outline, mm (curves are drawn as chords here)."""


@dataclass(frozen=True, slots=True)
class Opening:
    """A place where a piece is opened: `at` mm along an edge as drawn; what becomes of the cloth that comes in there.

    `dart`, `pleat` and `tuck` are folded away, pressed to that end of the edge; `gathers` are drawn in, between notches
    `reach` mm to either side (3 to 5 cm; common practice); `flare` stays as it is. `share` is its part of a dart that
    is moved, `name` what a new dart is called, `tip` where its point comes to lie, unless that is where all cuts meet.
    """

    edge: str
    at: float
    kind: Kind = "dart"
    share: float = 1.0
    pressed: Literal["start", "end"] = "start"
    name: str = ""
    reach: float = 40.0
    tip: Point | None = None


# ---------------------------------------------------------------- sectors


@dataclass(frozen=True, slots=True)
class Gap:
    """Where the outline is cut: the number of the edge, from and to mm along it, and what is put in there."""

    edge: int
    low: float
    high: float
    fill: Opening | None = None


@dataclass(frozen=True, slots=True)
class Swing:
    """How a piece is rearranged: its gaps round the outline, and how the cloth after each is moved, up to the next. The
    cuts run from the gaps to the apex, or, without one, from gap to gap; `hold` is an edge that stays."""

    gaps: Sequence[Gap]
    moves: Sequence[Move]
    apex: Point | None
    hold: str = ""


@dataclass(frozen=True, slots=True)
class _Sectors:
    """The cloth between the gaps: its runs of the outline, outlines as drawn, and moves; and the cloth that is gone."""

    piece: Piece
    gaps: Sequence[Gap]
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
        if any(contains(ring, p) for ring in self.gone) and distance_to_line(p, self.rings[near]) > TOUCH:
            return None
        return near

    def moved(self, p: Point) -> Point | None:
        """Where the cloth at that point comes to lie."""
        k = self.where(p)
        return None if k is None else self.moves[k].point(p)


def swung(piece: Piece, swing: Swing, closed: str) -> Piece:
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


def place_of(piece: Piece, gap: Gap) -> Point:
    return place(piece.edges[gap.edge], gap.low)


def _walls(piece: Piece, swing: Swing) -> list[tuple[Point, Point]]:
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
        if gap is not after and distance(place_of(piece, gap), place_of(piece, after)) < APART:
            name = piece.edges[gap.edge].name
            raise GeometryError(
                f"{piece.name}: two cuts meet {name} less than {APART:g} mm apart, {gap.low:.1f} mm along it"
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
    return near > TOUCH and side(p, q, a) * side(p, q, b) < 0 and side(a, b, p) * side(a, b, q) < 0


def _is_at_corner(cloth: _Sectors) -> bool:
    """Whether all that moves is an edge, or a part of it that begins or ends at a corner: cloth is added beside it."""
    moving = [runs for k, runs in enumerate(cloth.runs) if k != cloth.held]
    corners = any(gap.low < NEAR or gap.low > cloth.piece.edges[gap.edge].length() - NEAR for gap in cloth.gaps)
    return corners and len(moving) == 1 == len(moving[0])


def _sectors(piece: Piece, swing: Swing) -> _Sectors:
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
    back = undone(swing.moves[held])
    moves = [Move() if k == held else move.then(back) for k, move in enumerate(swing.moves)]
    return _Sectors(piece, gaps, runs, rings, gone, moves, held)


def _held(piece: Piece, runs: Sequence[Sequence[Run]], rings: Sequence[Sequence[XY]], hold: str) -> int:
    """The sector that stays: that of the edge to hold, else that of the fold, else that of most of the grain line."""
    fold = next((edge.name for edge in piece.edges if edge.kind is EdgeKind.FOLD), "")
    held: list[int] = []
    for name in filter(None, (fold, hold)):
        index = index_of(piece, name)
        held = [k for k, sector in enumerate(runs) if any(run.edge == index for run in sector)]
        if len(held) > 1:
            what = "is on the fold" if name == fold else "is to stay as it is"
            raise GeometryError(f"{piece.name}: {name} {what}, so the piece cannot be cut open there")
    if held:
        return held[0]
    places = [between(*piece.grain, i / 16) for i in range(17)]
    return max(range(len(rings)), key=lambda k: sum(len(rings[k]) > 2 and contains(rings[k], p) for p in places))


def undone(move: Move) -> Move:
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
            tip = fill.tip or apex
            if fill.kind == "dart" and tip is not None:
                a, b = runs[number].curves[0].start, runs[number].curves[-1].end
                darts.append(Dart(fill.name, (a, tip, b), distance(a, b)))
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
    gap, apex = cloth.gaps[k], fill.tip or apex
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


def _cap(cloth: _Sectors, gap: Gap, fill: Opening, sides: Sequence[Stretch | None], apex: Point | None) -> Path:
    """The edge over folded cloth; slashed in parallel, its point lies too far away to matter."""
    name, edge = cloth.piece.name, cloth.piece.edges[gap.edge].name
    before, after = sides
    if before is None or after is None:
        raise GeometryError(f"{name}: a {fill.kind} cannot open at the end of {edge}, {gap.low:.1f} mm along it")
    ends = before.curves[-1].end, after.curves[0].start
    tip = apex or along(between(*ends), left_of(direction(*ends)), 1e6)
    aslant = (
        turn_deg(direction(tip, ends[0]), before.curves[-1].way(1.0)),
        turn_deg(direction(tip, ends[1]), after.curves[0].way(0.0)),
    )
    if not all(_ASLANT_DEG < abs(angle) < 180.0 - _ASLANT_DEG for angle in aslant):
        raise GeometryError(
            f"{name}: the fold of the {fill.name} {fill.kind} would lie along {edge}, {gap.low:.1f} mm along it; open "
            f"it where the way to its point is nearer to square to the edge"
        )
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


def index_of(piece: Piece, name: str) -> int:
    names = [edge.name for edge in piece.edges]
    if name not in names:
        raise GeometryError(f"{piece.name} has no edge {name}; it has {', '.join(names)}")
    return names.index(name)
