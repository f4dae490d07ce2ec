"""An outline redrawn: places of it moved and what lies between them led along; or all that is drawn, by a rule.

The rigid ways, slash and spread, lap and pivot, are those of draft/pivots.py. Curves stay lines and cubics; notches,
darts, points, lines and levels go along.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from itertools import accumulate, pairwise
from typing import Final, NamedTuple, TypeAlias

from ..draft.cuts import roots
from ..draft.inside import far_along
from ..draft.stretches import NEAR, cut_run
from ..geometry.curve import Cubic, Curve, Line
from ..geometry.path import Path, path_length, pinned, place_at
from ..geometry.point import Point, direction, distance, turn_deg
from ..model.piece import Dart, Edge, LineKind, NotchPlace, Piece, Take
from ..values import replace

Field: TypeAlias = Callable[[Point], Point]
"""Where the cloth at a point comes to lie."""
ON: Final = 0.1
"""A point this near to the outline, mm, lies on it (curves are drawn as chords here)."""

HELD: Final = 5.0
"""A level stays on an outline that is redrawn where no pin is so near to it, mm."""
APART: Final = 0.05
"""Two joints of an edge are no nearer to each other, mm (the tolerance of curves drawn as chords)."""
MOST_APART: Final = 3.0
"""Legs of a dart that redrawing has made this unlike, mm, are trued (judgement, no source)."""


class Pin(NamedTuple):
    """A place of the outline, mm along an edge as drawn, and by how much it moves, mm."""

    edge: str
    at: float
    right: float = 0.0
    up: float = 0.0


# ---------------------------------------------------------------- by a rule


def warped(piece: Piece, field: Field, levels: Sequence[float] = ()) -> Piece:
    """The piece with all that is drawn moved by a rule; `levels` are the heights y at which the rule has a bend, so
    that curves are parted there. The cut line that a piece was drawn with is made anew."""
    edges, notches = [], list[NotchPlace]()
    for edge in piece.edges:
        parted = replace(edge, curves=tuple(bit for curve in edge.curves for bit in parted_at(curve, levels)))
        new = tuple(curve.with_controls(tuple(field(p) for p in curve.controls())) for curve in parted.curves)
        edges.append(_redrawn(parted, new, field))
        notches += _riding(piece.notches, parted, new)
    return replace(_remade(piece, edges, notches, field, levels=True), grain=_upright(piece.grain, field))


def _upright(grain: tuple[Point, Point], field: Field) -> tuple[Point, Point]:
    """The grain line moved, of the direction that it had: cloth is not turned by redrawing."""
    a, b = grain
    p, q = field(a), field(b)
    long, was = distance(p, q), distance(a, b)
    way = Point((b.x - a.x) / was, (b.y - a.y) / was)
    middle = Point((p.x + q.x) / 2, (p.y + q.y) / 2)
    half = min(long, was) / 2
    return Point(middle.x - way.x * half, middle.y - way.y * half), Point(
        middle.x + way.x * half, middle.y + way.y * half
    )


def _dart(dart: Dart, field: Field) -> Dart:
    points = tuple(map(field, dart.points))
    return replace(
        dart, points=points, intake=distance(points[0 if dart.is_open else 1], points[2 if dart.is_open else 3])
    )


def parted_at(curve: Curve, levels: Sequence[float]) -> Iterable[Curve]:
    """The curve parted where it crosses those heights."""
    at = sorted(t for y in levels for t in roots(curve, lambda p, y=y: p[1] - y) if 1e-6 < t < 1 - 1e-6)  # type: ignore[misc]
    done = 0.0
    for t in at:
        if t - done > 1e-6:
            head, curve = curve.split((t - done) / (1.0 - done))
            done = t
            yield head
    yield curve


# ---------------------------------------------------------------- by pins


def with_legs_alike(piece: Piece) -> Piece:
    """The piece with both legs of every dart that opens at an edge as long as each other, half way between: its mouth
    is redrawn. Legs that differ by more than a plain seam may are left, for the checks to tell."""
    for dart in piece.darts:
        if not dart.is_open:
            continue
        first, tip, second = dart.points
        legs = distance(first, tip), distance(second, tip)
        if not NEAR < abs(legs[0] - legs[1]) < MOST_APART:
            continue
        for edge in piece.edges:
            for take in edge.takes:
                if take.kind == "dart" and distance(place_at(edge.curves, take.start)[0], first) < ON:
                    half = (legs[1] - legs[0]) / 2
                    pins = []
                    for at, end, by in ((take.start, first, half), (take.end, second, -half)):
                        way = direction(tip, end)
                        pins.append(Pin(edge.name, at, way.x * by, way.y * by))
                    piece = shifted(piece, pins, mouths_as_one=False)
    return piece


def shifted(piece: Piece, pins: Sequence[Pin], *, mouths_as_one: bool = True) -> Piece:
    """The piece with pinned places of its outline moved. Between two pins of an edge, and between a pin and the end of
    its edge, which stays where no pin holds it, the outline is led along by how far they are apart; where a line at a
    level of the body ends, such as the waist line, it stays.

    What lies on the outline goes with it; what lies inside stays. A pin at the end of an edge is one at the start of
    the next. Raises KeyError for an edge that there is not.
    """
    pinned_at = pins_by_edge(piece, pins)
    edges, notches = [], list[NotchPlace]()
    moved: list[tuple[Point, Point]] = []
    for edge in piece.edges:
        known = pinned_at[edge.name]
        known = _as_one(edge, known) if mouths_as_one else known
        if not any(by.x or by.y for _, by in known):
            edges.append(edge)
            notches += [notch for notch in piece.notches if notch.edge == edge.name]
            continue
        parted = replace(edge, curves=_cut_at(edge.curves, [at for at, _ in known[1:-1]]))
        new, walked = list[Curve](), 0.0
        for curve in parted.curves:
            controls, long = curve.controls(), curve.length()
            steps = [walked + long * k / (len(controls) - 1) for k in range(len(controls))]
            new.append(
                curve.with_controls(tuple(_by(p, _between(known, s)) for p, s in zip(controls, steps, strict=True)))
            )
            walked += long
        made = _redrawn(parted, tuple(new), None)
        edges.append(made)
        notches += _riding(piece.notches, parted, tuple(new))
        moved += [(place_at(edge.curves, t)[0], place_at(made.curves, _along(parted.curves, made.curves, t))[0])
                  for take in edge.takes for t in (take.start, take.end)]  # fmt: skip
        moved += [(place_at(edge.curves, at)[0], _by(place_at(edge.curves, at)[0], by)) for at, by in known]
        moved += [(p, _by(p, by)) for p, by in _on_it(piece, edge, known)]

    def field(p: Point) -> Point:
        return next((q for was, q in moved if distance(was, p) < ON), p)

    return _remade(piece, edges, notches, field)


def pins_by_edge(piece: Piece, pins: Sequence[Pin]) -> dict[str, list[tuple[float, Point]]]:
    """By edge, where along it a place is held, its two ends among them, and by how much it moves; mm."""
    by_edge: dict[str, dict[float, Point]] = {edge.name: {} for edge in piece.edges}
    ends = {edge.name: edge.length() for edge in piece.edges}
    for pin in pins:
        at = 0.0 if pin.at < NEAR else ends[pin.edge] if pin.at > ends[pin.edge] - NEAR else pin.at
        by_edge[pin.edge][at] = Point(pin.right, pin.up)
    for before, after in zip([piece.edges[-1], *piece.edges[:-1]], piece.edges, strict=True):
        held = by_edge[before.name].get(ends[before.name]) or by_edge[after.name].get(0.0) or Point(0.0, 0.0)
        by_edge[before.name][ends[before.name]] = by_edge[after.name][0.0] = held
    for name, places in by_edge.items():
        if any(by.x or by.y for by in places.values()):
            for at in _levels_on(piece, piece.edge(name)):
                if min(abs(at - other) for other in places) > HELD:
                    places[at] = Point(0.0, 0.0)
    return {name: sorted(places.items()) for name, places in by_edge.items()}


def _levels_on(piece: Piece, edge: Edge) -> Iterable[float]:
    """Where lines at levels of the body, such as the waist line, end on an edge between its corners, mm along it."""
    for line in piece.internal_lines:
        for p in (line.points[0], line.points[-1]) if line.kind is LineKind.BALANCE else ():
            far, off = far_along(edge.curves, p)
            if off < ON and HELD < far < edge.length() - HELD:
                yield far


def _on_it(piece: Piece, edge: Edge, known: Sequence[tuple[float, Point]]) -> Iterable[tuple[Point, Point]]:
    """The named points and ends of lines on an edge, and by how much the edge moves there."""
    lines = [*(line.points for line in piece.internal_lines), *(line.points for line in piece.levels)]
    marks = [*piece.points.values(), *(p for points in lines for p in points)]
    for p in marks:
        walked = 0.0
        for curve in edge.curves:
            long = curve.length()
            steps = [curve.at(k / 64) for k in range(65)]
            if distance(p, curve.start) - long > ON:
                walked += long
                continue
            near = min(range(65), key=lambda k: distance(p, steps[k]))
            for k in (near - 1, near):
                if 0 <= k < 64 and (share := _share(steps[k], steps[k + 1], p)) is not None:
                    yield p, _between(known, walked + long * (k + share) / 64)
            walked += long


def _share(a: Point, b: Point, p: Point) -> float | None:
    """How far along a to b a point lies, where it lies on it."""
    long = distance(a, b)
    t = ((p.x - a.x) * (b.x - a.x) + (p.y - a.y) * (b.y - a.y)) / long**2 if long > NEAR else 0.0
    on = Point(a.x + (b.x - a.x) * t, a.y + (b.y - a.y) * t)
    return t if -1e-6 <= t <= 1 + 1e-6 and distance(on, p) < ON else None


def _as_one(edge: Edge, known: list[tuple[float, Point]]) -> list[tuple[float, Point]]:
    """With the mouth of every dart and pleat moved as its middle is, so that its legs stay alike."""
    for take in edge.takes:
        by = _between(known, (take.start + take.end) / 2)
        inside = [
            row for row in known if not take.start - NEAR < row[0] < take.end + NEAR or row in (known[0], known[-1])
        ]
        known = sorted([*inside, (take.start, by), (take.end, by)], key=lambda row: row[0])
    return known


def _by(p: Point, by: Point) -> Point:
    return Point(p.x + by.x, p.y + by.y)


def _between(known: Sequence[tuple[float, Point]], far: float) -> Point:
    """How much a place moves between those that are pinned."""
    for (low, a), (high, b) in pairwise(known):
        if far <= high + NEAR:
            t = 0.0 if high - low < NEAR else min(1.0, max(0.0, (far - low) / (high - low)))
            return Point(a.x + (b.x - a.x) * t, a.y + (b.y - a.y) * t)
    return known[-1][1]


def _cut_at(path: Path, places: Sequence[float]) -> Path:
    done: Path = ()
    rest, walked = path, 0.0
    for at in (at_end(path, at) for at in places):
        head, rest = cut_run(rest, at - walked)
        done, walked = (*done, *head), at
    return (*done, *rest)


# ---------------------------------------------------------------- both


def _along(old: Path, new: Path, far: float) -> float:
    """Where a place of an edge lies in the same edge redrawn, curve by curve."""
    walked = 0.0
    for k, curve in enumerate(old):
        long = curve.length()
        if far <= long + NEAR or k == len(old) - 1:
            share = far / long if long > NEAR else 0.0
            return walked + new[k].length() * min(1.0, max(0.0, share))
        far -= long
        walked += new[k].length()
    return walked


def _redrawn(edge: Edge, curves: Path, field: Field | None) -> Edge:
    """The edge on its new curves, with its takes, and as many spans."""
    takes = tuple(
        _take(take, _along(edge.curves, curves, take.start), _along(edge.curves, curves, take.end), field)
        for take in edge.takes
    )
    share = path_length(curves) / edge.length() if edge.spans else 1.0
    spans = tuple(replace(span, long=span.long * share) for span in edge.spans)
    return replace(edge, curves=curves, takes=takes, spans=spans)


def _take(take: Take, start: float, end: float, field: Field | None) -> Take:
    return replace(take, start=start, end=end, tip=field(take.tip) if field and take.tip else take.tip)


def _riding(notches: Iterable[NotchPlace], edge: Edge, curves: Path) -> list[NotchPlace]:
    own = (notch for notch in notches if notch.edge == edge.name)
    return [replace(notch, at=_along(edge.curves, curves, notch.at), out=None) for notch in own]


def _remade(
    piece: Piece,
    edges: Sequence[Edge],
    notches: Sequence[NotchPlace],
    field: Field,
    *,
    levels: bool = False,
    darts: Sequence[Dart] | None = None,
) -> Piece:
    """The piece with those edges and notches, its points and lines inside moved, levels if told, and darts unless all
    are told."""
    return _closed(
        replace(
            piece,
            edges=tuple(edges),
            points={name: field(p) for name, p in piece.points.items()},
            darts=tuple(_dart(dart, field) for dart in piece.darts) if darts is None else tuple(darts),
            notches=tuple(notches),
            internal_lines=tuple(replace(x, points=tuple(map(field, x.points))) for x in piece.internal_lines),
            levels=tuple(replace(x, points=tuple(map(field, x.points))) for x in piece.levels)
            if levels
            else piece.levels,
            cut_line=(),
        )
    )


def _closed(piece: Piece) -> Piece:
    """The outline with its ends on each other, bit for bit."""
    edges = tuple(
        replace(edge, curves=_straightened(pinned(edge.curves, start=before.end)))
        for before, edge in zip((piece.edges[-1], *piece.edges[:-1]), piece.edges, strict=True)
    )
    return replace(piece, edges=edges)


def _straightened(path: Path) -> Path:
    """Lines that go straight on from one another as one: what was straight stays one straight run."""
    found: list[Curve] = []
    for curve in path:
        last = found[-1] if found else None
        if isinstance(last, Line) and isinstance(curve, Line):
            off = turn_deg(direction(last.a, last.b), direction(curve.a, curve.b))
            if abs(off) < 1e-6:
                found[-1] = Line(last.a, curve.b)
                continue
        found.append(curve)
    return tuple(found)


# ---------------------------------------------------------------- edges drawn anew

_AT_END: Final = 0.01
"""A place this near to the end of a curve, mm, is that end: lengths are no more exact along a run and back."""
Rows: TypeAlias = Sequence[tuple[Path, Path]]
"""An edge drawn anew, stretch by stretch in its direction: its curves as they were, and those that stand for them; none
as they were, for cloth that is put in."""


def redrawn(
    piece: Piece, drawn: Mapping[str, Rows], takes: Mapping[str, tuple[Take, ...]], darts: Sequence[Dart]
) -> Piece:
    """The piece with edges drawn anew, by name; those that are not named stay, but that their ends meet the others.

    Notches, points and ends of lines on a stretch go along with it, and takes, unless those of an edge are told. What
    lies inside stays; `darts` are all that there are. An edge starts where the one before it ends.
    """
    edges, notches = [], list[NotchPlace]()
    for edge in piece.edges:
        rows = drawn.get(edge.name)
        own = [notch for notch in piece.notches if notch.edge == edge.name]
        if rows is None:
            edges.append(edge)
            notches += own
            continue
        curves = tuple(curve for _, new in rows for curve in new)
        kept = takes.get(edge.name)
        if kept is None:
            kept = tuple(replace(t, start=_in_rows(rows, t.start), end=_in_rows(rows, t.end)) for t in edge.takes)
        kept = tuple(replace(t, start=at_end(curves, t.start), end=at_end(curves, t.end)) for t in kept)
        share = path_length(curves) / edge.length() if edge.spans else 1.0
        spans = tuple(replace(span, long=span.long * share) for span in edge.spans)
        edges.append(replace(edge, curves=curves, takes=kept, spans=spans))
        notches += [replace(notch, at=_in_rows(rows, notch.at), out=None) for notch in own]
    every = [row for rows in drawn.values() for row in rows]

    def field(p: Point) -> Point:
        return next((q for row in every if (q := _with_row(row, p)) is not None), p)

    return _remade(piece, edges, notches, field, darts=darts)


def at_end(path: Path, far: float) -> float:
    """A place along a run, mm; that of the end of a curve where it is hardly off it."""
    end = min((0.0, *accumulate(curve.length() for curve in path)), key=lambda end: abs(end - far))
    return end if abs(end - far) < _AT_END else far


def with_takes_at_ends(piece: Piece) -> Piece:
    """The piece with every take from the end of a curve to that of another, where it is hardly off."""
    edges = [
        replace(
            edge,
            takes=tuple(
                replace(t, start=at_end(edge.curves, t.start), end=at_end(edge.curves, t.end)) for t in edge.takes
            ),
        )
        for edge in piece.edges
    ]
    return replace(piece, edges=tuple(edges))


def _in_rows(rows: Rows, far: float) -> float:
    """Where a place of an edge lies in the same edge drawn anew."""
    walked = 0.0
    for old, new in rows:
        long = path_length(old)
        if far <= long + NEAR and old:
            if len(old) == len(new):
                return walked + _along(old, new, far)
            return walked + path_length(new) * (min(1.0, max(0.0, far / long)) if long > NEAR else 0.0)
        far -= long
        walked += path_length(new)
    return walked


def _with_row(row: tuple[Path, Path], p: Point) -> Point | None:
    """Where a point on a stretch comes to lie with it; None for one that is not on it."""
    old, new = row
    walked = 0.0
    for curve in old if new else ():
        long = curve.length()
        if min(distance(p, curve.start), distance(p, curve.end)) < long + ON:
            steps = [curve.at(k / 64) for k in range(65)]
            for k in range(64):
                share = _share(steps[k], steps[k + 1], p)
                if share is not None:
                    return place_at(new, _in_rows((row,), walked + curve.split((k + share) / 64)[0].length()))[0]
        walked += long
    return None


# ---------------------------------------------------------------- by how far along an edge


class Way(NamedTuple):
    """How an edge is led: by how much each place moves, told by mm along it as it is sewn; and where that bends."""

    by: Callable[[float], Point]
    stops: tuple[float, ...] = ()


def eased(a: float, b: float, far: float) -> float:
    """From 0 up to a to 1 from b on, level at both: a blend that leaves the corners at its ends as they are.

    >>> [eased(0, 10, far) for far in (-1, 0, 5, 10, 11)]
    [0.0, 0.0, 0.5, 1.0, 1.0]
    """
    t = min(1.0, max(0.0, (far - a) / (b - a))) if abs(b - a) > NEAR else float(far >= b)
    return t * t * (3 - 2 * t)


TRUED: Final = 0.25
"""So much of a wedge is drawn square to its end, at either end (common practice, no source)."""


def wedge(a: float, b: float, far: float) -> float:
    """From 0 up to a to 1 from b on, evenly as a wedge does, but level at both ends, where it is trued.

    >>> [wedge(0, 10, far) for far in (-1, 0, 2.5, 4, 7.5, 10, 11)]
    [0.0, 0.0, 0.25, 0.4, 0.75, 1.0, 1.0]
    """
    t = min(1.0, max(0.0, (far - a) / (b - a))) if abs(b - a) > NEAR else float(far >= b)
    end = min(t, 1 - t) / TRUED
    near = TRUED * end * end * (2 - end) if end < 1 else min(t, 1 - t)
    return near if t < 0.5 else 1 - near


def trued_at(a: float, b: float) -> tuple[float, float]:
    """Where a wedge from a to b begins to be even, and ends to be."""
    return a + TRUED * (b - a), b - TRUED * (b - a)


def sewn_on(edge: Edge, far: float) -> float:
    """How far along the edge with its darts and pleats closed a place lies, mm; gathers count as they are drawn."""
    folded = (take for take in edge.takes if take.kind != "gathers")
    return far - sum(max(0.0, min(far, take.end) - take.start) for take in folded)


def drawn_on(edge: Edge, far: float) -> float:
    """The place of the drawn edge that lies so far along it with its darts closed: before a mouth."""
    for take in sorted((take for take in edge.takes if take.kind != "gathers"), key=lambda take: take.start):
        if far > take.start + NEAR:
            far += take.end - take.start
    return far


def led(piece: Piece, ways: Mapping[str, Way]) -> Piece:
    """The piece with edges led, each as told; mouths of darts and pleats move as one. An edge that is not told goes
    along with what is beside it, and straight ones stay straight. What lies on the outline goes along, what lies inside
    stays. Where the move is level, directions stay: a corner that was square is square.

    Raises KeyError for an edge that there is not.
    """
    long = {edge.name: sewn_on(edge, edge.length()) for edge in piece.edges}
    for name in ways:
        piece.edge(name)
    told = dict(ways)
    for before, edge, after in zip(
        (piece.edges[-1], *piece.edges), piece.edges, (*piece.edges[1:], piece.edges[0]), strict=False
    ):
        if edge.name not in ways:
            a = ways[before.name].by(long[before.name]) if before.name in ways else Point(0.0, 0.0)
            b = ways[after.name].by(0.0) if after.name in ways else Point(0.0, 0.0)
            if a != Point(0.0, 0.0) or b != Point(0.0, 0.0):
                told[edge.name] = straight_way(a, b, long[edge.name])
    edges, notches = [], list[NotchPlace]()
    moved: list[tuple[Point, Point]] = []
    for edge in piece.edges:
        if edge.name not in told:
            edges.append(edge)
            notches += [notch for notch in piece.notches if notch.edge == edge.name]
            continue
        way = told[edge.name]
        folded = [take for take in edge.takes if take.kind != "gathers"]
        stops = {drawn_on(edge, far) for far in way.stops} | {at for take in folded for at in (take.start, take.end)}
        parted = replace(edge, curves=_cut_at(edge.curves, _new_joints(edge, stops)))
        new, walked = list[Curve](), 0.0
        for curve in parted.curves:
            far = walked + curve.length()
            new.append(_led(curve, way.by, sewn_on(parted, walked), sewn_on(parted, far)))
            walked = far
        made = _redrawn(parted, tuple(new), None)
        edges.append(made)
        notches += _riding(piece.notches, parted, tuple(new))
        moved += [(place_at(edge.curves, t)[0], place_at(made.curves, _along(parted.curves, made.curves, t))[0])
                  for take in edge.takes for t in (take.start, take.end)]  # fmt: skip
        known = [(far, way.by(sewn_on(edge, far))) for far in (edge.length() * k / 64 for k in range(65))]
        moved += [(edge.start, _by(edge.start, known[0][1])), (edge.end, _by(edge.end, known[-1][1]))]
        moved += [(p, _by(p, by)) for p, by in _on_it(piece, edge, known)]

    def field(p: Point) -> Point:
        return next((q for was, q in moved if distance(was, p) < ON), p)

    return _remade(piece, edges, notches, field, levels=True)


def remouthed(piece: Piece, name: str, take: Take, old: tuple[Path, Path], new: tuple[Path, Path, Path]) -> Piece:
    """The piece with an edge drawn anew beside a dart: `old` are its runs before and after the mouth, `new` the same,
    curve by curve, and the mouth."""
    (before, after), (ahead, beyond, cap) = old, new
    start, wide = path_length(ahead), path_length(cap)

    def at(far: float) -> float:
        if far <= take.start + NEAR:
            return _along(before, ahead, far)
        if far < take.end - NEAR:
            return start + wide * (far - take.start) / (take.end - take.start)
        return start + wide + _along(after, beyond, far - take.end)

    edge = piece.edge(name)
    curves = (*ahead, *cap, *beyond)
    share = path_length(curves) / edge.length()
    made = replace(
        edge,
        curves=curves,
        takes=tuple(replace(each, start=at(each.start), end=at(each.end)) for each in edge.takes),
        spans=tuple(replace(span, long=span.long * share) for span in edge.spans),
    )
    return _closed(
        replace(
            piece,
            edges=tuple(made if each.name == name else each for each in piece.edges),
            notches=tuple(replace(n, at=at(n.at), out=None) if n.edge == name else n for n in piece.notches),
        )
    )


def recurved(piece: Piece, name: str, curves: Path) -> Piece:
    """The piece with an edge on other curves, as many as it has; what lies along it goes along."""
    old = piece.edge(name)
    others = (notch for notch in piece.notches if notch.edge != name)
    return _closed(
        replace(
            piece,
            edges=tuple(_redrawn(edge, curves, None) if edge is old else edge for edge in piece.edges),
            notches=(*others, *_riding(piece.notches, old, curves)),
        )
    )


def led_by(piece: Piece, field: Field, stops: Sequence[float] = (), across: Sequence[float] = ()) -> Piece:
    """The piece with all that is drawn moved by a rule, edges as `led` has them; the rule has a bend at the heights y
    that `stops` tells and at the x of `across`. An edge that does not move stays as it is, curve by curve."""
    ways = {}
    for edge in piece.edges:
        long = edge.length()

        def by(far: float, edge: Edge = edge) -> Point:
            p = place_at(edge.curves, drawn_on(edge, far))[0]
            q = field(p)
            return Point(q.x - p.x, q.y - p.y)

        sewn = sewn_on(edge, long)
        if any(distance((0.0, 0.0), by(sewn * k / 16)) > 1e-6 for k in range(17)):
            places, walked = list[float](), 0.0
            for curve in edge.curves:
                for axis, values in ((1, stops), (0, across)):
                    for value in values:
                        for t in roots(curve, lambda p, axis=axis, value=value: p[axis] - value):  # type: ignore[misc]
                            places.append(walked + curve.split(t)[0].length())
                walked += curve.length()
            ways[edge.name] = Way(by, tuple(sewn_on(edge, far) for far in places))
    new = led(piece, ways)
    return replace(
        new,
        points={name: field(p) for name, p in piece.points.items()},
        grain=_upright(piece.grain, field),
        darts=tuple(
            now if now.is_open else _dart_along(dart, field) for dart, now in zip(piece.darts, new.darts, strict=True)
        ),
        internal_lines=tuple(replace(x, points=tuple(map(field, x.points))) for x in piece.internal_lines),
        levels=tuple(replace(x, points=tuple(map(field, x.points))) for x in piece.levels),
    )


def _new_joints(edge: Edge, places: Iterable[float]) -> list[float]:
    """Those of the places at which an edge is not parted yet, mm along it as drawn."""
    joints = [0.0, edge.length()]
    for curve in edge.curves[:-1]:
        joints.append(joints[-1] + curve.length() if len(joints) > 2 else curve.length())
    new: list[float] = []
    for at in sorted(places):
        if 0.0 < at < joints[1] and min(abs(at - joint) for joint in (*joints, *new)) > APART:
            new.append(at)
    return new


def _dart_along(dart: Dart, field: Field) -> Dart:
    """A dart inside the piece, moved as its middle is at each height, so that its legs stay alike."""
    middle = (dart.points[0].x + dart.points[2].x) / 2

    def moved(p: Point) -> Point:
        at = Point(middle, p.y)
        now = field(at)
        return Point(p.x + now.x - at.x, p.y + now.y - at.y)

    return replace(dart, points=tuple(map(moved, dart.points)))


def straight_way(a: Point, b: Point, long: float) -> Way:
    """From one move at the start of an edge to another at its end, evenly."""

    def by(far: float) -> Point:
        t = far / long if long > NEAR else 0.0
        return Point(a.x + (b.x - a.x) * t, a.y + (b.y - a.y) * t)

    return Way(by)


def _led(curve: Curve, by: Callable[[float], Point], start: float, end: float) -> Curve:
    """A curve whose ends move as told, and whose directions turn as the way between them does."""
    a, b = by(start), by(end)
    run = end - start
    if run < NEAR:  # in a mouth
        return curve.with_controls(tuple(_by(p, a) for p in curve.controls()))
    step = run * 1e-3
    leave, arrive = (
        _slope(a, by(start + step), by(start + 2 * step), step),
        _slope(b, by(end - step), by(end - 2 * step), -step),
    )
    even = Point((b.x - a.x) / run, (b.y - a.y) / run)
    p = curve.controls()
    if len(p) == 2:
        way = direction(p[0], p[1])
        along = all(abs(way.x * m.y - way.y * m.x) < 1e-6 for m in (a, b, leave, arrive))
        if along or (distance(leave, even) < 1e-3 and distance(arrive, even) < 1e-3):
            return curve.with_controls((_by(p[0], a), _by(p[1], b)))
        third = Point((p[1].x - p[0].x) / 3, (p[1].y - p[0].y) / 3)
        p = (p[0], _by(p[0], third), Point(p[1].x - third.x, p[1].y - third.y), p[1])
    first, last = distance(p[0], p[1]), distance(p[2], p[3])
    return Cubic(
        _by(p[0], a),
        Point(p[1].x + a.x + leave.x * first, p[1].y + a.y + leave.y * first),
        Point(p[2].x + b.x - arrive.x * last, p[2].y + b.y - arrive.y * last),
        _by(p[3], b),
    )


def _slope(at: Point, near: Point, further: Point, step: float) -> Point:
    """How a way goes on from a place, by two others on the same side of it: exact where it is a parabola."""
    return Point((4 * near.x - 3 * at.x - further.x) / (2 * step), (4 * near.y - 3 * at.y - further.y) / (2 * step))
