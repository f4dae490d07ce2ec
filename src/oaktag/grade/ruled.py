"""Drafts of other sizes from the draft of one, by a table of grade rules: for patterns that were not drafted by size.

At a ruled place the outline moves as it is told. Between two rules it moves smoothly, by how far along the edge it lies
(grade/spread.py); a corner without a rule moves by its share between the nearest rules on either side of it along the
outline. Straight runs stay straight and curves stay single curves, their handles moved with them; at a corner a curve
keeps its angle to the straighter of the two edges, so that runs stay true across their seams. A curve that is ruled
between its ends is parted there, in all sizes; what lies on it anyhow, as a notch does, leaves its shape.

Notches keep their part of the way between the places on either side; what lies inside a piece moves by where it lies
between the two sides of it, at its level. A dart moves as a whole and keeps its intake unless its points are ruled; the
grain line keeps its direction.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import accumulate, pairwise
from math import atan2, cos, hypot, sin
from typing import Final, TypeAlias

from ..claims.measure import reach_of_notion
from ..errors import InputError, InputErrors, Where
from ..geometry.curve import Cubic, Curve, Line
from ..geometry.path import Path, place_at, shifted
from ..geometry.path import part as part_of
from ..geometry.point import XY, Point, between, direction, distance
from ..model.draft import Draft, Notion
from ..model.piece import Dart, Edge, EdgeKind, InternalLine, LevelLine, Piece, Seam, piece_words
from ..model.places import places_of
from ..model.sewing import sewn_length
from ..values import dataclass, replace
from .rules import GradeRules, Rule, near
from .spread import moving

_ON: Final = 0.05
"""A place this near to the outline lies on it, mm (the tolerance of a flattened curve)."""
_SAME: Final = 0.01
"""Two places this near are one, mm."""
_APART: Final = 1e-6
"""Parts of a curve are no shorter, in its parameter."""
_OFF_LINE: Final = 0.05
"""A fold's ends may leave its line by as much, mm: what two typed decimals may differ by."""

Bodies: TypeAlias = Mapping[str, Mapping[str, float]]


def graded_by_rules(draft: Draft, base: str, rules: GradeRules, bodies: Bodies | None = None) -> dict[str, Draft]:
    """The draft in every size of the rules, in their order; the base is the draft itself.

    Seams, joins and girths are carried over, so that the checks walk them in each size: what no longer fits is a failed
    check. Girths are proved against `bodies` (by size, mm) where those are given; else a size has no levels to prove,
    and a note says so. What depends on the wearer alone (stride, fit of the sleeve) is known of the base only.
    A piece whose centre line is moved as a whole is laid back on it.

    Raises InputErrors: a base, piece or place that is not there, a piece without any rule, two rules for one place
    that differ, a fold that would leave its line.
    """
    if rules.base != base:
        raise InputError(
            f"the rules count from size {rules.base}, the draft is size {base}",
            instead=f"Draft size {rules.base}, or write base,{base} and the moves from there",
        )
    errors: list[InputError] = []
    plans: list[_Plan] = []
    names = [piece.name for piece in draft.pieces]
    for rule in rules.rules:
        if rule.piece not in names:
            errors.append(_unknown(rule, f"there is no piece {rule.piece!r}", names, rule.piece))
    for piece in draft.pieces:
        plan = _plan(piece, rules.of(piece.name), rules, errors)
        if plan is not None:
            plans.append(plan)
    if errors:
        raise InputErrors(_once(errors))
    found: dict[str, Draft] = {}
    for size in rules.sizes:
        moved = {plan.piece.name: _moved_piece(plan, size, size == base, errors) for plan in plans}
        found[size] = draft if size == base else _draft_of(draft, base, size, plans, moved, bodies)
        if size == base and any(plan.parted for plan in plans):
            found[size] = replace(draft, pieces=tuple(moved[name].piece for name in names))
    if errors:
        raise InputErrors(_once(errors))
    return found


def _once(errors: Iterable[InputError]) -> list[InputError]:
    return list({str(error): error for error in errors}.values())


def _unknown(rule: Rule, words: str, known: Sequence[str], name: str) -> InputError:
    return InputError(words, where=rule.where, expected=" or ".join(known), instead=near(name, known))


# ------------------------------------------------------------------------------------------------- what rules say


@dataclass(frozen=True, slots=True)
class _Station:
    """A place of an edge with the moves that rule it."""

    far: float
    moves: Mapping[str, XY]
    where: Where | None = None


@dataclass(frozen=True, slots=True)
class _PlannedEdge:
    """An edge, its curves parted where a rule lies inside one, and its ruled places, both ends among them."""

    edge: Edge
    cuts: tuple[tuple[_Station, ...], ...]
    """Of each curve of the edge, where it is parted."""
    curves: Path
    joints: tuple[float, ...]
    """How far along each curve starts, and the last ends, mm."""
    stations: tuple[_Station, ...]


@dataclass(frozen=True, slots=True)
class _Plan:
    """All that the rules say of one piece."""

    piece: Piece
    edges: tuple[_PlannedEdge, ...]
    ruled: tuple[tuple[Point, Mapping[str, XY]], ...]
    """Every place with a rule, on the outline or not."""
    by_name: Mapping[str, Mapping[str, XY]]

    @property
    def parted(self) -> bool:
        return any(len(planned.curves) != len(planned.edge.curves) for planned in self.edges)


def _plan(piece: Piece, rules: Sequence[Rule], table: GradeRules, errors: list[InputError]) -> _Plan | None:
    others = [size for size in table.sizes if size != table.base]
    still = {table.base: (0.0, 0.0)}
    places = places_of(piece)
    edge_names = [edge.name for edge in piece.edges]
    if not rules:
        errors.append(
            InputError(
                f"the {piece_words(piece.name)} has no rule",
                expected="one place of every piece at least",
                instead=f"Write a row for {piece.name}; with moves of 0 it is the same in every size",
            )
        )
        return None
    spots: list[tuple[Rule, Point]] = []
    for rule in rules:
        if rule.far is not None:
            if rule.place not in edge_names:
                errors.append(_unknown(rule, f"{piece.name} has no edge {rule.place!r}", edge_names, rule.place))
                continue
            edge = piece.edge(rule.place)
            if not 0 <= rule.far <= edge.length() + _SAME:
                errors.append(
                    InputError(
                        f"{piece.name}.{rule.place} is {edge.length():.1f} mm long, and no place lies "
                        f"{rule.far:.1f} mm along it",
                        where=rule.where,
                    )
                )
                continue
            spots.append((rule, place_at(edge.curves, rule.far)[0]))
        elif rule.place in places:
            spots.append((rule, places[rule.place]))
        else:
            errors.append(
                InputError(
                    f"{piece.name} has no place {rule.place!r}",
                    where=rule.where,
                    expected="a point, corner, notch, dart point or line of it, or an edge and how far along it",
                    instead=near(rule.place, places),
                )
            )
    if len(spots) < len(rules):
        return None
    _refuse_conflicts(piece, spots, others, errors)
    shaping = [(rule, p) for rule, p in spots if rule.far is not None or rule.place not in _inner(piece)]
    stations = _stations(piece, shaping, still)
    edges = tuple(
        _planned(edge, own, others)
        for edge, own in zip(piece.edges, _with_corners(piece, stations, table), strict=True)
    )
    return _Plan(
        piece,
        edges,
        tuple((p, {**rule.moves, **still}) for rule, p in spots),
        {rule.place: {**rule.moves, **still} for rule, _ in spots if rule.far is None},
    )


def _inner(piece: Piece) -> set[str]:
    """The names of places that do not shape the outline, even where they touch it."""
    found = {f"{line.name} {i}" for line in piece.internal_lines for i in range(1, len(line.points) + 1)}
    return (found | {"grain 1", "grain 2"}) - set(piece.points)


def _refuse_conflicts(
    piece: Piece, spots: Sequence[tuple[Rule, Point]], sizes: Sequence[str], errors: list[InputError]
) -> None:
    inner = _inner(piece)
    for i, (rule, p) in enumerate(spots):
        for other, q in spots[:i]:
            if distance(p, q) >= _SAME or (rule.place in inner) != (other.place in inner):
                continue
            odd = [size for size in sizes if distance(rule.moves[size], other.moves[size]) > _OFF_LINE]
            if odd:
                errors.append(
                    InputError(
                        f"{piece.name} {rule.place} is the same place as {other.place}, and moves otherwise in size "
                        f"{odd[0]}",
                        where=rule.where,
                        instead="Keep one of the two rows",
                    )
                )


def _stations(piece: Piece, spots: Sequence[tuple[Rule, Point]], still: Mapping[str, XY]) -> list[list[_Station]]:
    """The ruled places of each edge, ascending; a corner is one of both edges that meet there."""
    found: list[list[_Station]] = [[] for _ in piece.edges]
    for rule, p in spots:
        moves = {**rule.moves, **still}
        for edge, own in zip(piece.edges, found, strict=True):
            if rule.far is not None:
                far = rule.far if edge.name == rule.place else _at_an_end(edge, p)
            else:
                far = far_on(edge.curves, p)
            if far is not None and all(abs(far - s.far) >= _SAME for s in own):
                own.append(_Station(far, moves, rule.where))
    return [sorted(own, key=lambda s: s.far) for own in found]


def _at_an_end(edge: Edge, p: Point) -> float | None:
    if distance(edge.start, p) < _SAME:
        return 0.0
    return edge.length() if distance(edge.end, p) < _SAME else None


def far_on(path: Sequence[Curve], p: XY) -> float | None:
    """How far along a run a point lies, mm; None if it is more than 0.05 mm off it."""
    walked = 0.0
    best: tuple[float, float] | None = None
    for curve in path:
        length = curve.length()
        if _far_off(curve, p):
            walked += length
            continue
        t = _nearest(curve, p)
        off = distance(curve.at(t), p)
        if off <= _ON and (best is None or off < best[0] - 1e-9):
            best = off, walked + (length if t >= 1 else curve.split(t)[0].length() if t > 0 else 0.0)
        walked += length
    return None if best is None else best[1]


def _far_off(curve: Curve, p: XY) -> bool:
    """Whether a point lies outside the box round a curve's control points."""
    xs, ys = zip(*curve.controls(), strict=True)
    return not (min(xs) - _ON <= p[0] <= max(xs) + _ON and min(ys) - _ON <= p[1] <= max(ys) + _ON)


def _nearest(curve: Curve, p: XY) -> float:
    """The parameter of a curve's point nearest to p: looked for at 33 places, then closer between two of them."""
    if isinstance(curve, Line):
        dx, dy = curve.b.x - curve.a.x, curve.b.y - curve.a.y
        size = dx * dx + dy * dy
        return max(0.0, min(1.0, ((p[0] - curve.a.x) * dx + (p[1] - curve.a.y) * dy) / size)) if size else 0.0
    for t, end in ((0.0, curve.start), (1.0, curve.end)):
        if distance(end, p) < 1e-6:
            return t
    middle = min(range(33), key=lambda i: distance(curve.at(i / 32), p))
    low, high = max(0, middle - 1) / 32, min(32, middle + 1) / 32
    while high - low > 1e-9:
        a, b = low + (high - low) / 3, high - (high - low) / 3
        low, high = (low, b) if distance(curve.at(a), p) < distance(curve.at(b), p) else (a, high)
    t = (low + high) / 2
    return min((t, 0.0, 1.0), key=lambda s: distance(curve.at(s), p) - (1e-9 if s in (0.0, 1.0) else 0.0))


def _with_corners(piece: Piece, stations: Sequence[list[_Station]], table: GradeRules) -> list[tuple[_Station, ...]]:
    """The same with both ends of every edge: a corner without a rule moves by its share between the nearest two."""
    lengths = [edge.length() for edge in piece.edges]
    starts = [0.0, *accumulate(lengths)]
    around = starts[-1]
    all_round = sorted(
        (((start + s.far) % around, s.moves) for start, own in zip(starts, stations, strict=False) for s in own),
        key=lambda entry: entry[0],
    )
    found = []
    for start, length, own in zip(starts, lengths, stations, strict=False):
        ends = [
            _Station(far, _share(all_round, (start + far) % around, around, table.sizes))
            for far in (0.0, length)
            if all(abs(s.far - far) >= _SAME for s in own)
        ]
        found.append(tuple(sorted([*own, *ends], key=lambda s: s.far)))
    return found


def _share(
    all_round: Sequence[tuple[float, Mapping[str, XY]]], at: float, around: float, sizes: Sequence[str]
) -> Mapping[str, XY]:
    """The moves at a place between the nearest rules either way round the outline, even by the length walked."""
    if not all_round:
        return dict.fromkeys(sizes, (0.0, 0.0))
    before = max(all_round, key=lambda entry: (entry[0] - at - 1e-9) % around)
    after = min(all_round, key=lambda entry: (entry[0] - at) % around)
    gap = (after[0] - before[0]) % around
    part = ((at - before[0]) % around) / gap if gap > 1e-9 else 0.0
    return {size: tuple(between(before[1][size], after[1][size], part)) for size in sizes}  # type: ignore[misc]


def _planned(edge: Edge, stations: tuple[_Station, ...], sizes: Sequence[str]) -> _PlannedEdge:
    """The edge with its curves parted at the rules that lie inside one; a line stays whole if it stays straight."""
    joints = [0.0, *accumulate(curve.length() for curve in edge.curves)]
    parted: list[tuple[_Station, ...]] = []
    curves: list[Curve] = []
    for curve, start, end in zip(edge.curves, joints, joints[1:], strict=False):
        inside = tuple(s for s in stations if start + _SAME < s.far < end - _SAME)
        if isinstance(curve, Line):
            known = {s.far: s.moves for s in stations}
            if all(_stays_on(curve, start, end, s, known, sizes) for s in inside):
                inside = ()
        parted.append(inside)
        cuts = [start, *(s.far for s in inside), end]
        curves += (
            [curve] if not inside else [c for a, b in pairwise(cuts) for c in part_of((curve,), a - start, b - start)]
        )
    joints = [0.0, *accumulate(curve.length() for curve in curves)]
    return _PlannedEdge(edge, tuple(parted), tuple(curves), tuple(joints), stations)


def _stays_on(
    line: Line,
    start: float,
    end: float,
    inside: _Station,
    known: Mapping[float, Mapping[str, XY]],
    sizes: Sequence[str],
) -> bool:
    """Whether a ruled place of a straight run still lies on it once its ends have moved, in all sizes."""
    first, last = (next((m for far, m in known.items() if abs(far - at) < _SAME), None) for at in (start, end))
    if first is None or last is None:
        return False
    p = line.at((inside.far - start) / (end - start))
    for size in sizes:
        a, b, q = (_add(point, m[size]) for point, m in ((line.a, first), (line.b, last), (p, inside.moves)))
        way = direction(a, b)
        if abs((q.x - a.x) * way.y - (q.y - a.y) * way.x) > _SAME:
            return False
    return True


def _add(p: XY, move: XY) -> Point:
    return Point(p[0] + move[0], p[1] + move[1])


# ------------------------------------------------------------------------------------------------- moving a piece


@dataclass(frozen=True, slots=True)
class _Moved:
    """A piece in another size, and how far along each edge the joints of its plan lie now."""

    piece: Piece
    plan: _Plan
    paths: tuple[Path, ...]
    size: str
    back: XY
    """What was added to the whole piece to lay its centre line where it was."""

    def far(self, edge: str, at: float) -> float:
        """How far along an edge a place of the base's edge lies now: at its part of the way between two places."""
        number = next(i for i, planned in enumerate(self.plan.edges) if planned.edge.name == edge)
        return _new_far(self.plan.edges[number], self.paths[number], at, self.size)

    def spot(self, p: XY) -> Point:
        """Where a place of the base piece lies now."""
        return _add(_spot(self.plan, self.paths, p, self.size), self.back)


def _moved_piece(plan: _Plan, size: str, is_base: bool, errors: list[InputError]) -> _Moved:
    piece = plan.piece
    paths = tuple(planned.curves for planned in plan.edges) if is_base else _moved_paths(plan, size)
    back = (0.0, 0.0) if is_base else _back(plan, paths, size, errors)
    laid = tuple(shifted(path, *back) for path in paths) if any(back) else paths
    frame = _Moved(piece, plan, paths, size, back)
    darts = tuple(_moved_dart(frame, dart) for dart in piece.darts)

    def in_dart(p: Point) -> Point | None:
        pairs = (
            (q, to)
            for old, new in zip(piece.darts, darts, strict=True)
            for q, to in zip(old.points, new.points, strict=True)
        )
        return next((to for q, to in pairs if distance(p, q) < _SAME), None)

    points = {
        name: frame.spot(p) if name in plan.by_name else in_dart(p) or frame.spot(p) for name, p in piece.points.items()
    }
    edges = tuple(
        replace(
            planned.edge,
            curves=path,
            takes=tuple(
                replace(
                    take,
                    start=frame.far(planned.edge.name, take.start),
                    end=frame.far(planned.edge.name, take.end),
                    tip=take.tip and (in_dart(take.tip) or frame.spot(take.tip)),
                )
                for take in planned.edge.takes
            ),
        )
        for planned, path in zip(plan.edges, laid, strict=True)
    )
    moved = replace(
        piece,
        edges=edges,
        points=points,
        darts=darts,
        grain=_moved_grain(frame),
        notches=tuple(replace(n, at=frame.far(n.edge, n.at)) for n in piece.notches),
        internal_lines=tuple(_moved_line(frame, line, darts) for line in piece.internal_lines),
        levels=tuple(_moved_level(frame, level) for level in piece.levels),
    )
    return _Moved(moved, plan, paths, size, back)


def _moved_paths(plan: _Plan, size: str) -> tuple[Path, ...]:
    """Every edge moved; at each corner the curve that bends more keeps its angle to the other, which leads."""
    paths = [_moved_path(planned, size) for planned in plan.edges]
    olds = [planned.edge.curves for planned in plan.edges]
    for i, after in enumerate(olds):
        arriving, leaving = olds[i - 1][-1], after[0]
        if _bend_at(leaving, at_start=True) > _bend_at(arriving, at_start=False):
            if isinstance(leaving, Cubic):
                turned = _turn(arriving.way(1.0), paths[i - 1][-1].way(1.0))
                paths[i] = (_with_angle(paths[i][0], leaving, turned, at_start=True), *paths[i][1:])
        elif isinstance(arriving, Cubic):
            turned = _turn(leaving.way(0.0), paths[i][0].way(0.0))
            paths[i - 1] = (*paths[i - 1][:-1], _with_angle(paths[i - 1][-1], arriving, turned, at_start=False))
    return tuple(_parted(planned, path, size) for planned, path in zip(plan.edges, paths, strict=True))


def _parted(planned: _PlannedEdge, path: Path, size: str) -> Path:
    """The run parted where rules lie inside its curves: each curve at its place nearest to where the rule puts it, and
    there joint and handles moved to it. A place that lies on the curve anyhow, as a notch does, leaves its shape."""
    found: list[Curve] = []
    start = 0.0
    for old, curve, cuts in zip(planned.edge.curves, path, planned.cuts, strict=True):
        spots = [_add(place_at(planned.edge.curves, s.far)[0], s.moves[size]) for s in cuts]
        at = [0.0, *(_nearest(curve, p) for p in spots), 1.0]
        if any(b - a < _APART for a, b in pairwise(at)):  # a rule that puts them in another order
            at = [0.0, *((s.far - start) / old.length() for s in cuts), 1.0]
        start += old.length()
        rest = curve
        for a, b, spot in zip(at, at[1:], spots, strict=False):
            first, rest = rest.split((b - a) / (1.0 - a))
            by = spot.x - first.end.x, spot.y - first.end.y
            found.append(_end_moved(first, by, 2))
            rest = _end_moved(rest, by, 0)
        found.append(rest)
    return tuple(found)


def _end_moved(curve: Curve, by: XY, handle: int) -> Curve:
    """The curve with its start (0) or its end (2), and the handle there, moved."""
    if isinstance(curve, Line):
        return Line(curve.a, _add(curve.b, by)) if handle else Line(_add(curve.a, by), curve.b)
    controls = curve.controls()
    moved = tuple(_add(p, by) for p in controls[handle : handle + 2])
    return Cubic(*controls[:handle], *moved, *controls[handle + 2 :])


def _bend_at(curve: Curve, *, at_start: bool) -> float:
    """By how much a curve's direction at one end differs from that of its chord, radians; 0 for a line."""
    if isinstance(curve, Line):
        return 0.0
    return abs(_turn(direction(curve.a, curve.d), curve.way(0.0 if at_start else 1.0)))


def _turn(old: XY, new: XY) -> float:
    """From one direction to another, radians."""
    return atan2(old[0] * new[1] - old[1] * new[0], old[0] * new[0] + old[1] * new[1])


def _with_angle(curve: Curve, old: Cubic, turned: float, *, at_start: bool) -> Curve:
    """The curve leaving (or arriving) at the angle that it had to its neighbour, which has turned (radians)."""
    assert isinstance(curve, Cubic)
    end, handle = (old.a, old.b) if at_start else (old.d, old.c)
    now, moved = (curve.a, curve.b) if at_start else (curve.d, curve.c)
    if distance(end, handle) < 1e-9:
        return curve
    long = distance(now, moved)
    point = _add(now, _turned_to((long, 0.0), direction(end, handle), turned))
    return Cubic(curve.a, point, curve.c, curve.d) if at_start else Cubic(curve.a, curve.b, point, curve.d)


def _moved_path(planned: _PlannedEdge, size: str) -> Path:
    """The edge, unparted, with its joints moved, and the handles of its curves stretched as each curve is.

    Where two curves meet, both handles turn by the mean of what the two curves would turn them, or as a straight run
    does that one of them is: the angle between them stays, and a smooth joint smooth.
    """
    move = moving([s.far for s in planned.stations], [s.moves[size] for s in planned.stations])
    curves = planned.edge.curves
    joints = [curves[0].start, *(curve.end for curve in curves)]
    fars = [0.0, *accumulate(curve.length() for curve in curves)]
    spots = [_add(p, move(far)) for p, far in zip(joints, fars, strict=True)]
    leaving, arriving = [], []
    for curve, a, d in zip(curves, spots, spots[1:], strict=False):
        _, b, c, _ = curve.controls() if isinstance(curve, Cubic) else (curve.a, curve.b, curve.a, curve.b)
        grown = _grown(curve, a, d)
        leaving.append(((b.x - curve.start.x) * grown[0], (b.y - curve.start.y) * grown[1]))
        arriving.append(((curve.end.x - c.x) * grown[0], (curve.end.y - c.y) * grown[1]))
    for i, (before, after) in enumerate(pairwise(curves)):
        ins, outs = before.way(1.0), after.way(0.0)
        turns = [
            _turn(way, handle)
            for curve, way, handle in ((before, ins, arriving[i]), (after, outs, leaving[i + 1]))
            if not (isinstance(before if curve is after else after, Line) and isinstance(curve, Cubic))
        ]
        mean = sum(turns) / len(turns)
        arriving[i] = _turned_to(arriving[i], ins, mean)
        leaving[i + 1] = _turned_to(leaving[i + 1], outs, mean)
    return tuple(
        Line(a, d) if isinstance(curve, Line) else Cubic.leaving_and_arriving(a, leave, d, arrive)
        for curve, a, d, leave, arrive in zip(curves, spots, spots[1:], leaving, arriving, strict=False)
    )


_MOST_GROWN: Final = 1.5
"""No curve is stretched or shortened more than this across or up by its ends alone; beyond it, as its chord."""


def _turned_to(handle: XY, way: XY, turned: float) -> XY:
    """A handle as long as it is, in a direction that has turned so far (radians)."""
    long = hypot(*handle)
    return (way[0] * cos(turned) - way[1] * sin(turned)) * long, (way[0] * sin(turned) + way[1] * cos(turned)) * long


def _grown(curve: Curve, start: Point, end: Point) -> XY:
    """How many times as far as before a curve runs across and up; where that would be too much, as its chord."""
    old = curve.end.x - curve.start.x, curve.end.y - curve.start.y
    new = end.x - start.x, end.y - start.y
    whole = hypot(*new) / (hypot(*old) or 1.0)
    x, y = (
        n / o if abs(o) > 1e-9 and 1 / _MOST_GROWN <= n / o <= _MOST_GROWN else whole
        for o, n in zip(old, new, strict=True)
    )
    return x, y


def _back(plan: _Plan, paths: Sequence[Path], size: str, errors: list[InputError]) -> XY:
    """What lays the piece's fold, or else its centre line on x = 0, back on its line; an error if the fold is bent."""
    for planned, path in zip(plan.edges, paths, strict=True):
        edge = planned.edge
        on_centre = all(abs(end.x) < _SAME for curve in edge.curves for end in (curve.start, curve.end))
        if edge.kind is not EdgeKind.FOLD and not on_centre:
            continue
        way = direction(edge.start, edge.end)
        across = Point(way.y, -way.x)
        nodes = [
            (old.x, old.y, new.x - old.x, new.y - old.y)
            for was, now in zip(planned.curves, path, strict=True)
            for old, new in zip(was.controls(), now.controls(), strict=True)
        ]
        off = [dx * across.x + dy * across.y for _, _, dx, dy in nodes]
        if max(off) - min(off) <= _OFF_LINE:
            mean = sum(off) / len(off)
            return (-mean * across.x or 0.0, -mean * across.y or 0.0) if abs(mean) > 1e-9 else (0.0, 0.0)
        if edge.kind is EdgeKind.FOLD:
            where = next((s.where for s in planned.stations if s.where is not None), None)
            errors.append(
                InputError(
                    f"{plan.piece.name}: the fold {edge.name} would not stay straight on its line in size {size}: one "
                    f"end moves {min(off, key=abs):.2f} mm across it, the other {max(off, key=abs):.2f} mm",
                    where=where,
                    expected="the same move across the fold at both of its ends",
                    instead="Give both the same dx" if abs(across.x) > 0.5 else "Give both the same dy",
                )
            )
            return (0.0, 0.0)
    return (0.0, 0.0)


def _new_far(planned: _PlannedEdge, path: Path, at: float, size: str) -> float:
    """Where a place of an edge has come to lie along it, mm."""
    joints = planned.joints
    ends = (0.0, *accumulate(curve.length() for curve in path))
    if at >= joints[-1] - 1e-9:
        return ends[-1]
    i = max(k for k in range(len(path)) if joints[k] <= at + 1e-9)
    known = [(joints[i], ends[i])]
    curve, new = planned.curves[i], path[i]
    if isinstance(curve, Line) and isinstance(new, Line):
        for s in planned.stations:  # a ruled place of a run that stayed straight
            if joints[i] + _SAME < s.far < joints[i + 1] - _SAME:
                place = _add(curve.at((s.far - joints[i]) / (joints[i + 1] - joints[i])), s.moves[size])
                known.append((s.far, ends[i] + distance(new.a, place)))
    known.append((joints[i + 1], ends[i + 1]))
    for (a, new_a), (b, new_b) in pairwise(known):
        if at <= b + 1e-9:
            return new_a + (new_b - new_a) * (at - a) / (b - a) if b > a else new_a
    return ends[-1]


# ------------------------------------------------------------------------------------------------- what lies inside


def _spot(plan: _Plan, paths: Sequence[Path], p: XY, size: str) -> Point:
    """Where a place comes to lie: as it is ruled, with the outline that it lies on, or with both sides of its level."""
    for q, moves in plan.ruled:
        if distance(p, q) < _SAME:
            return _add(p, moves[size])
    for planned, path in zip(plan.edges, paths, strict=True):
        far = far_on(planned.curves, p)
        if far is not None:
            return place_at(path, _new_far(planned, path, far, size))[0]
    return _add(p, _inner_move(plan, paths, p))


def _inner_move(plan: _Plan, paths: Sequence[Path], p: XY) -> XY:
    """By where a place lies between the nearest crossings of the outline on its left and its right."""
    ring: list[tuple[XY, XY]] = []
    for planned, path in zip(plan.edges, paths, strict=True):
        for old, new in zip(planned.curves, path, strict=True):
            steps = 1 if isinstance(old, Line) else 16
            for i in range(steps):
                a, b = old.at(i / steps), new.at(i / steps)
                ring.append((a, (b.x - a.x, b.y - a.y)))
    left: tuple[float, XY] | None = None
    right: tuple[float, XY] | None = None
    for ((x0, y0), m0), ((x1, y1), m1) in zip(ring, [*ring[1:], ring[0]], strict=True):
        if (y0 > p[1]) == (y1 > p[1]):
            continue
        part = (p[1] - y0) / (y1 - y0)
        x = x0 + (x1 - x0) * part
        move = tuple(between(m0, m1, part))
        if x <= p[0] and (left is None or x > left[0]):
            left = x, move  # type: ignore[assignment]
        if x >= p[0] and (right is None or x < right[0]):
            right = x, move  # type: ignore[assignment]
    if left is None or right is None:  # beyond the outline: with it at that level, if it has one
        beside = left or right
        if beside is not None:
            return beside[1]
        return min(ring, key=lambda entry: distance(entry[0], p))[1]
    part = (p[0] - left[0]) / (right[0] - left[0]) if right[0] > left[0] else 0.0
    x, y = between(left[1], right[1], part)
    return x, y


def _moved_dart(frame: _Moved, dart: Dart) -> Dart:
    """Its ruled points as ruled, those on the outline with it, the others with these; without any, as a whole."""
    plan, size = frame.plan, frame.size
    known: dict[int, XY] = {}
    for i, p in enumerate(dart.points):
        ruled = next((moves for q, moves in plan.ruled if distance(p, q) < _SAME), None)
        if ruled is not None:
            known[i] = ruled[size]
        elif any(far_on(planned.curves, p) is not None for planned in plan.edges):
            spot = _spot(plan, frame.paths, p, size)
            known[i] = spot.x - p.x, spot.y - p.y
    if not known:
        count = len(dart.points)
        centre = sum(p.x for p in dart.points) / count, sum(p.y for p in dart.points) / count
        known = dict.fromkeys(range(count), _inner_move(plan, frame.paths, centre))
    moves = [known[i] if i in known else _between_known(dart, known, i) for i in range(len(dart.points))]
    points = tuple(_add(_add(p, move), frame.back) for p, move in zip(dart.points, moves, strict=True))
    a, b = (0, -1) if dart.is_open else (1, 3)
    grown = distance(points[a], points[b]) - distance(dart.points[a], dart.points[b])
    return replace(dart, points=points, intake=dart.intake + grown if abs(grown) > 1e-9 else dart.intake)


def _between_known(dart: Dart, known: Mapping[int, XY], i: int) -> XY:
    """A leg point between two ruled points moves by its share, by height; else as the mean of the known ones."""
    p = dart.points[i]
    above = [k for k in known if dart.points[k].y >= p.y]
    below = [k for k in known if dart.points[k].y < p.y]
    if not dart.is_open and above and below:
        a, b = min(above, key=lambda k: dart.points[k].y), max(below, key=lambda k: dart.points[k].y)
        x, y = between(known[a], known[b], (dart.points[a].y - p.y) / (dart.points[a].y - dart.points[b].y))
        return x, y
    return sum(x for x, _ in known.values()) / len(known), sum(y for _, y in known.values()) / len(known)


def _moved_grain(frame: _Moved) -> tuple[Point, Point]:
    """Both ends as ruled; else each up or down by its own move, and both across by the mean of them."""
    grain = frame.plan.piece.grain
    if "grain 1" in frame.plan.by_name and "grain 2" in frame.plan.by_name:
        a, b = (_add(p, frame.plan.by_name[f"grain {i}"][frame.size]) for i, p in enumerate(grain, 1))
        return _add(a, frame.back), _add(b, frame.back)
    ends = [frame.spot(p) for p in grain]
    way = direction(*grain)
    square = Point(-way.y, way.x)
    moves = [(new.x - old.x, new.y - old.y) for old, new in zip(grain, ends, strict=True)]
    mean = sum(dx * square.x + dy * square.y for dx, dy in moves) / 2
    a, b = (
        _add(
            p,
            (square.x * mean + way.x * (dx * way.x + dy * way.y), square.y * mean + way.y * (dx * way.x + dy * way.y)),
        )
        for p, (dx, dy) in zip(grain, moves, strict=True)
    )
    return a, b


def _moved_line(frame: _Moved, line: InternalLine, darts: Sequence[Dart]) -> InternalLine:
    named = frame.plan.by_name
    points = []
    for i, p in enumerate(line.points, 1):
        moves = named.get(f"{line.name} {i}")
        points.append(frame.spot(p) if moves is None else _add(_add(p, moves[frame.size]), frame.back))
    return replace(line, points=tuple(points))


def _moved_level(frame: _Moved, level: LevelLine) -> LevelLine:
    """It stays level: up or down with its outer end, where the side is, and across with either end."""
    ends = [frame.spot(p) for p in level.points]
    up = ends[-1].y - level.points[-1].y
    return replace(level, points=tuple(Point(new.x, p.y + up) for new, p in zip(ends, level.points, strict=True)))


# ------------------------------------------------------------------------------------------------- the draft


def _draft_of(
    draft: Draft, base: str, size: str, plans: Sequence[_Plan], moved: Mapping[str, _Moved], bodies: Bodies | None
) -> Draft:
    """The draft with its moved pieces; what it claims is worked again from the body of that size."""
    body = bodies.get(size) if bodies else None
    pieces = _with_depths([moved[piece.name].piece for piece in draft.pieces], draft.pieces)
    notions = tuple(_notion_of(notion, draft.pieces, pieces) for notion in draft.notions)
    again = [(claim, claim.again(body or {}, draft.style)) for claim in draft.claims]
    lost = [claim for claim, new in again if new is None]
    notes = [f"Graded by rules from size {base}."]
    if body is None and not all(claim.in_base_only for claim in lost):
        notes.append(f"The girths of size {size} are not proved: its measurements were not given.")
    elif body is not None:
        notes += [
            f"The {claim.words} is not proved: its measurement was not given."
            for claim in lost
            if not claim.in_base_only
        ]
    in_base = dict.fromkeys(claim.words for claim in lost if claim.in_base_only)
    if in_base:
        notes.append(f"Proved in size {base} only: {', '.join(in_base)}.")
    return replace(
        draft,
        pieces=pieces,
        seams=tuple(_seam_of(draft, seam, moved) for seam in draft.seams),
        claims=tuple(new for _, new in again if new is not None),
        steps=(),
        notes=tuple(notes),
        body=body or {},
        worked={notion.option: notion.length for notion in notions},
        assumed=(),
        notions=notions,
        cords=tuple(cord.again(body or {}, draft.style) for cord in draft.cords),
    )


def _with_depths(moved: Sequence[Piece], drafted: Sequence[Piece]) -> tuple[Piece, ...]:
    """The pieces with the depths of their levels, each as the first piece that has that level moves it; a piece hangs
    from where the one above it ends."""
    depths: dict[tuple[str, float], float] = {}
    ends = {(old.levels[-1].name, old.levels[-1].depth) for old in drafted if old.levels}
    for new, old in zip(moved, drafted, strict=True):
        own = {
            (was.name, was.depth): was.depth + was.points[-1].y - level.points[-1].y
            for level, was in zip(new.levels, old.levels, strict=True)
        }
        top = next(iter(own), None)
        hung = depths[top] - own[top] if top in ends and top in depths else 0.0
        depths = {key: depth + hung for key, depth in own.items()} | depths
    return tuple(
        replace(new, levels=tuple(replace(v, depth=depths[v.name, v.depth]) for v in new.levels)) for new in moved
    )


def _notion_of(notion: Notion, drafted: Sequence[Piece], moved: Sequence[Piece]) -> Notion:
    """The notion, longer by what lies more between its ends."""
    was, now = (reach_of_notion(pieces, notion) for pieces in (drafted, moved))
    grown = 0.0 if was is None or now is None else (now[1] - now[0]) - (was[1] - was[0])
    return replace(notion, length=notion.length + grown)


def _seam_of(draft: Draft, seam: Seam, moved: Mapping[str, _Moved]) -> Seam:
    """The seam with its ease, and the length that it leaves alone, which ends at notches of side b, or grows as side b
    does. What is gathered or stretched stays so by the same share of side b; any other ease is the same in every size.
    """
    by_share = seam.how in ("gathered", "stretched")
    if not seam.free and not by_share:
        return seam
    old = new = 0.0
    lengths = [0.0, 0.0]
    for ref in seam.b:
        piece = next(piece for piece in draft.pieces if piece.name == ref.piece)
        graded = moved[ref.piece].piece
        lengths[0] += sewn_length(piece, ref)
        lengths[1] += sewn_length(graded, ref)
        for was, now in zip(piece.notches, graded.notches, strict=True):
            if was.edge == ref.edge:
                old, new = old + was.at, new + now.at
                break
    held = abs(old - seam.free) < 0.1
    grown = lengths[1] / lengths[0]
    ease = seam.ease * grown if by_share else seam.ease
    return replace(
        seam,
        free=new if held else seam.free * grown,
        ease=ease,
        least=seam.least + ease - seam.ease,
        most=seam.most + ease - seam.ease,
    )
