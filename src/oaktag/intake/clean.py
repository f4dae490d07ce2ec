"""From what a drawing holds to cleaned outlines: doubled lines, gaps and loops mended and told."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from itertools import product
from math import floor, inf
from operator import is_
from typing import Any, Final

from ..errors import InputError, InputErrors, Where
from ..geometry.curve import Cubic, Curve, Line
from ..geometry.path import Path, flatten, path_length, reverse
from ..geometry.point import XY, Point, distance, meeting, turn_deg
from ..geometry.polygon import Box, area
from ..values import dataclass, replace
from .chains import MEET, Chain, Run, chained
from .corners import CORNER_DEG, parted
from .darts import wedge_in
from .fit import fitted, is_rough
from .limits import ALIKE, INSIDE, LINE, MOST_TOLD, OUTLINE, Budget
from .loops import flat_ring, meetings, untangled
from .model import Drawing, DrawnPath, DrawnPoint, DrawnText, OpenEnd, Outline, Outlines

GAP: Final = 0.5
"""Ends this near are joined, mm."""
WIDE: Final = 5.0
"""Gaps up to this width are told, mm."""
FIT: Final = 0.05
"""How near fitted curves come to the points, mm (the project's tolerance)."""
TINY: Final = 0.01
"""Shorter segments are left out, mm."""
TOUCH: Final = 1.0
"""What comes this near to an outline belongs to it, mm: a notch on its edge."""
_SAME: Final = 0.001
"""Ends this near are the same but for how they were rounded, mm."""
_LED: Final = 0.2
"""Two straight runs are led on at least so far to their corner, however sharp it is, mm."""
_SHORT: Final = 1.0
"""A shorter cubic that rises no more than `_SAME` over its chord is drawn as that chord, and fitted with the others."""
_THIN: Final = 0.02
"""An outline that is thinner than this, mm, has no area."""
_CHORD: Final = 0.02
"""Chord of curves where only inside or outside is asked, mm."""
_WITHIN: Final = 0.9
"""A closed run lies in another if this share of it does."""
_MARK: Final = 0.01
"""A closed run on an edge with less than this share of the piece's area is a mark on that edge, as a notch is."""
_WEDGE: Final = 0.1
"""A triangle over an edge with less than this share of the piece's area is a dart's."""
_SAMPLES: Final = 24
_AT_ONCE: Final = 20_000
"""Pairs of a thing and an outline that are looked at together."""
_NAMED: Final = 5
"""Places of the same kind that are told one by one."""
_SPARE: Final = 0.25
"""The share of the work left that looking for gaps may take: without it a drawing is read as well."""
_MOST_GAPS: Final = 20
"""Gaps that are told where nothing else can be."""

Asked = Callable[[DrawnPath], bool]


@dataclass(frozen=True, slots=True)
class _Closed:
    """A closed run: its curves, what stands for it in messages, its points, its area."""

    path: Path
    drawn: DrawnPath
    ring: list[XY]
    size: float
    gaps: tuple[OpenEnd, ...] = ()


def outlines_of(
    drawing: Drawing,
    *,
    gap: float = GAP,
    corner_deg: float = CORNER_DEG,
    fit: float = FIT,
    is_outline: Asked | None = None,
    ignored: Asked | None = None,
    budget: Budget | None = None,
) -> Outlines:
    """The closed outlines of a drawing, counter-clockwise and simple, parted at their corners, with what lies in them.

    drawing     mm, y up, true size
    gap         ends of open runs that are this near are joined, mm
    corner_deg  the turn at one place from which on there is a corner
    fit         runs of straight chords between corners become curves this near to the points, mm; 0: they stay
    is_outline  which closed runs are outlines; without it those that lie in no other
    ignored     which runs are not looked at
    budget      what reading the drawing has left of the work that may be done

    Segments shorter than 0.01 mm, lines drawn twice (within 0.02 mm), outlines without area, small loops and gaps are
    mended and told, with places. Closed runs within an outline (drill holes, a pocket's place, the stitch line in the
    cut line), open runs, texts and points come with the smallest outline that holds most of them, or which they touch
    within 1 mm.

    Raises InputError (InputErrors, if there are several) for an outline that crosses itself, with the place; if there
    is no closed outline at all, with every gap that keeps one open; and for more work than the budget has.
    """
    budget = budget or Budget(drawing.name)
    notes: list[str] = []
    paths = [path for path in drawing.paths if not (ignored and ignored(path))]
    if len(paths) < len(drawing.paths):
        notes.append(f"{_count(len(drawing.paths) - len(paths), 'run')} not looked at, as asked")
    paths = _without_tiny(paths, notes)
    paths = _once(paths, notes, budget)
    whole = [_closed(path.curves, path, budget) for path in paths if path.closed]
    parts = [path for path in paths if not path.closed]
    joined, parts = _chained(parts, gap, is_outline, budget)
    closed = _with_area(_closed_once([*whole, *joined], notes, budget), notes, budget)
    roots, inner = _sorted_out(closed, is_outline, budget)
    for outline in roots:
        notes += [
            f"a gap of {wide.gap:.2f} mm in {outline.drawn.name} closed at {_at(wide.a)}" for wide in outline.gaps
        ]
    roots, spurs = _simple(drawing, roots, notes, budget)
    budget.spend(OUTLINE, len(roots))
    holds = _Holds(roots)
    others = [*inner, *parts, *spurs]
    holders = holds.holders([_sampled(path.curves) for path in others])
    outside = [path for path, at in zip(others, holders, strict=True) if at is None]
    ends = _open_ends([path for path in outside if not path.closed], gap, is_outline, budget)
    if not roots:
        raise _none(drawing, parts, ends, notes)
    notes += [
        f"a gap of {end.gap:.2f} mm is left open, between {_at(end.a)} and {_at(end.b)}: close it in the drawing, "
        f"or allow a wider gap"
        for end in ends
    ]
    held = zip(others, holders, strict=True)
    return _handed_over(drawing, roots, held, holds, notes, ends, corner_deg, fit, budget)


# --- what is too small, and what is drawn twice ---


def _without_tiny(paths: Sequence[DrawnPath], notes: list[str]) -> list[DrawnPath]:
    """Runs without segments shorter than `TINY`; those that hold nothing else are left out. Closed runs end exactly."""
    kept: list[DrawnPath] = []
    places: list[XY] = []
    for path in paths:
        curves: list[Curve] = []
        for curve in path.curves:
            at = curves[-1].end if curves else path.curves[0].start
            if _is_tiny(curve, at):
                places.append(curve.start)
                continue
            if not isinstance(curve, Line) and _is_straight(curve):
                curve = Line(curve.start, curve.end)
            curves.append(curve if curve.start == at else curve.with_controls((at, *curve.controls()[1:])))
        if not curves:
            continue
        if path.closed and curves[-1].end != curves[0].start:
            if distance(curves[-1].end, curves[0].start) <= MEET:
                curves[-1] = curves[-1].with_controls((*curves[-1].controls()[:-1], curves[0].start))
            else:
                curves.append(Line(curves[-1].end, curves[0].start))
        same = len(curves) == len(path.curves) and all(map(is_, curves, path.curves))
        kept.append(path if same else replace(path, curves=tuple(curves)))
    if places:
        notes.append(f"{_count(len(places), 'segment')} shorter than {TINY:g} mm left out, {_places(places)}")
    return kept


def _is_tiny(curve: Curve, at: XY) -> bool:
    if isinstance(curve, Line):
        return abs(curve.b[0] - at[0]) < TINY and abs(curve.b[1] - at[1]) < TINY and distance(curve.b, at) < TINY
    return all(distance(p, at) < TINY for p in curve.controls())


def _is_straight(curve: Cubic) -> bool:
    """Whether a short cubic is no more than a chord of the curve that it is part of."""
    (ax, ay), (dx, dy) = curve.a, curve.d
    wide, high = dx - ax, dy - ay
    if abs(wide) > _SHORT or abs(high) > _SHORT:
        return False
    long = wide * wide + high * high
    for x, y in (curve.b, curve.c):
        if not 0.0 <= (x - ax) * wide + (y - ay) * high <= long:
            return False
        if ((x - ax) * high - (y - ay) * wide) ** 2 > _SAME * _SAME * long:
            return False
    return True


def _once(paths: Sequence[DrawnPath], notes: list[str], budget: Budget) -> list[DrawnPath]:
    """Open runs of one layer and group, drawn twice in either direction within `MEET` mm, once."""
    kept: list[DrawnPath] = []
    places: list[XY] = []
    cells: dict[tuple[str, tuple[str, ...]], dict[int, list[int]]] = defaultdict(dict)
    size = 2.0  # of a cell, in the sum of both ends and in how far apart they are
    near = 2 * MEET / size * 1.01
    far = 1.0 - near
    for number, path in enumerate(paths):
        if path.closed:
            kept.append(path)
            continue
        (ax, ay), (bx, by) = path.curves[0].start, path.curves[-1].end
        x, y, wide, high = (ax + bx) / size, (ay + by) / size, abs(ax - bx) / size, abs(ay - by) / size
        held = cells[path.layer, path.groups]
        own = _cell(x, y, wide, high)
        others = held.get(own, [])
        if not (
            near < x % 1.0 < far and near < y % 1.0 < far and near < wide % 1.0 < far and near < high % 1.0 < far
        ):  # another cell is near
            sides = ((v,) if near < v % 1.0 < far else (v - near, v + near) for v in (x, y, wide, high))
            keys = {_cell(*at) for at in product(*sides)}
            others = sorted({other for key in keys for other in held.get(key, ())})
        if others:
            budget.spend(ALIKE, len(others))
            if any(_same_run(path, paths[other], budget) for other in others):
                places.append(path.curves[0].start)
                continue
        held.setdefault(own, []).append(number)
        kept.append(path)
    if places:
        notes.append(f"{_count(len(places), 'line')} drawn twice, kept once: {_places(places)}")
    return kept


def _cell(x: float, y: float, wide: float, high: float) -> int:
    return (floor(x) * 0x1000000 + floor(y)) * 0x1000000 + floor(wide) * 0x1001 + floor(high)


def _same_run(a: DrawnPath, b: DrawnPath, budget: Budget) -> bool:
    (p, q), (r, s) = (a.curves[0].start, a.curves[-1].end), (b.curves[0].start, b.curves[-1].end)
    if not ((distance(p, r) <= MEET and distance(q, s) <= MEET) or (distance(p, s) <= MEET and distance(q, r) <= MEET)):
        return False
    if len(a.curves) == len(b.curves) == 1 and isinstance(a.curves[0], Line) and isinstance(b.curves[0], Line):
        return True
    return _alike(flatten(a.curves, MEET / 10), flatten(b.curves, MEET / 10), budget)


def _alike(a: Sequence[XY], b: Sequence[XY], budget: Budget) -> bool:
    """Whether two lines keep within `MEET` mm of each other."""
    import shapely

    budget.spend(ALIKE, (len(a) + len(b)) // 8)
    one, other = shapely.LineString(a), shapely.LineString(b)
    return bool(
        (shapely.distance(shapely.points(a), other) <= MEET * 1.1).all()
        and (shapely.distance(shapely.points(b), one) <= MEET * 1.1).all()
    )


def _closed_once(closed: Sequence[_Closed], notes: list[str], budget: Budget) -> list[_Closed]:
    """Closed runs that are drawn twice, within `MEET` mm, once: the first."""
    kept: list[_Closed] = []
    places: list[XY] = []
    cells: dict[tuple[int, ...], list[tuple[_Closed, Box]]] = {}
    for run in closed:
        box = Box.round(run.ring)
        sides = (box.left, box.bottom, box.right, box.top)
        keys = {tuple(map(floor, at)) for at in product(*((v - 0.1, v + 0.1) for v in sides))}
        near = [other for key in sorted(keys) for other in cells.get(key, ())]
        if any(
            max(
                abs(box.left - o.left), abs(box.right - o.right), abs(box.top - o.top), abs(box.bottom - o.bottom)
            ) <= 2 * MEET
            and _alike([*run.ring, run.ring[0]], [*other.ring, other.ring[0]], budget)
            for other, o in near
        ):  # fmt: skip
            places.append(run.path[0].start)
            continue
        cells.setdefault(tuple(map(floor, sides)), []).append((run, box))
        kept.append(run)
    if places:
        notes.append(f"{_count(len(places), 'closed line')} drawn twice, kept once: {_places(places)}")
    return kept


def _with_area(closed: Sequence[_Closed], notes: list[str], budget: Budget) -> list[_Closed]:
    """Those that enclose anything."""
    import shapely

    kept: list[_Closed] = []
    for run in closed:
        thin = _THIN / 2 * path_length(run.path)
        if run.size < thin and len(run.ring) >= 3:
            meetings(run.ring, budget)  # making it valid takes as much work as it crosses itself
        if run.size < thin and (
            len(run.ring) < 3 or shapely.area(shapely.make_valid(shapely.Polygon(run.ring))) < thin
        ):
            notes.append(f"{run.drawn.name} encloses nothing and is left out, at {_at(run.path[0].start)}")
        else:
            kept.append(run)
    return kept


# --- open runs to closed ones ---


def _closed(path: Path, drawn: DrawnPath, budget: Budget, gaps: tuple[OpenEnd, ...] = ()) -> _Closed:
    ring = flat_ring(path, _CHORD, budget=budget)[0] or [path[0].start]
    return _Closed(path, drawn, ring, abs(area(ring)), gaps)


def _run(path: Path) -> Run:
    a, b = path[0].start, path[-1].end
    return Run(a, b, distance(a, b) if len(path) == 1 and isinstance(path[0], Line) else path_length(path))


def _chained(
    parts: Sequence[DrawnPath], gap: float, is_outline: Asked | None, budget: Budget
) -> tuple[list[_Closed], list[DrawnPath]]:
    """Closed chains: of one layer and group first, then of one layer, then of any; and the runs that are left."""

    def line_of(number: int) -> list[XY]:
        return flatten(parts[number].curves, _CHORD)

    runs = [_run(part.curves) for part in parts]
    asked = [bool(is_outline(part)) if is_outline else True for part in parts]
    left = list(range(len(parts)))
    found: list[tuple[int, _Closed]] = []
    keys: tuple[Callable[[int], object], ...] = (
        lambda i: (asked[i], parts[i].layer, parts[i].groups),
        lambda i: (asked[i], parts[i].layer),
        lambda i: asked[i],
        lambda i: None,
    )
    before = -1
    for key in keys:
        sets: dict[object, list[int]] = defaultdict(list)
        for i in left:
            sets[key(i)].append(i)
        if len(sets) == before:
            continue
        before = len(sets)
        left = []
        for numbers in sets.values():
            closed, rest = chained(runs, numbers, gap, line_of, budget)
            found += [(min(chain)[0], _assembled(parts, runs, chain, budget)) for chain in closed]
            left += rest
        left.sort()
    found.sort(key=lambda pair: pair[0])
    return [run for _, run in found], [parts[i] for i in left]


def _assembled(parts: Sequence[DrawnPath], runs: Sequence[Run], chain: Chain, budget: Budget) -> _Closed:
    """The curves of a closed chain joined end to end: what it was named by its longest layer and run."""
    rows = [reverse(parts[i].curves) if back else parts[i].curves for i, back in chain]
    gaps: list[OpenEnd] = []
    curves = list(rows[0])
    for row in rows[1:]:
        _join(curves, list(row), gaps)
    _close(curves, gaps)
    length: dict[str, float] = defaultdict(float)
    for i, _ in chain:
        length[parts[i].layer] += runs[i].length
    layer = max(sorted(length), key=lambda name: length[name])
    main = min((i for i, _ in chain if parts[i].layer == layer), key=lambda i: (-runs[i].length, i))
    path = tuple(curves)
    drawn = replace(parts[main], curves=path, closed=True, polyline=any(parts[i].polyline for i, _ in chain))
    return _closed(path, drawn, budget, tuple(gaps))


def _join(before: list[Curve], after: list[Curve], gaps: list[OpenEnd]) -> None:
    """Lead one run on to the next: two straight ones to the point where they meet, others by a straight line."""
    a, b = before[-1], after[0]
    wide = distance(a.end, b.start)
    if wide > _SAME:
        if wide > MEET:
            gaps.append(OpenEnd(a.end, b.start, wide))
        met = _corner(a, b, wide)
        if met is not None:
            before[-1], after[0] = Line(a.start, met), Line(met, b.end)
        elif wide <= MEET:
            after[0] = b.with_controls((a.end, *b.controls()[1:]))
        else:
            before.append(Line(a.end, b.start))
    elif wide > 0.0:
        after[0] = b.with_controls((a.end, *b.controls()[1:]))
    before += after


def _close(curves: list[Curve], gaps: list[OpenEnd]) -> None:
    """Join the last of a chain to the first."""
    last, first = curves[-1], curves[0]
    wide = distance(last.end, first.start)
    if wide > _SAME:
        if wide > MEET:
            gaps.append(OpenEnd(last.end, first.start, wide))
        met = _corner(last, first, wide) if len(curves) > 1 else None
        if met is not None:
            curves[-1], curves[0] = Line(last.start, met), Line(met, first.end)
        elif wide <= MEET:
            curves[-1] = last.with_controls((*last.controls()[:-1], first.start))
        else:
            curves.append(Line(last.end, first.start))
    elif wide > 0.0:
        curves[-1] = last.with_controls((*last.controls()[:-1], first.start))


def _corner(a: Curve, b: Curve, wide: float) -> Point | None:
    """Where two straight runs meet, if that is near both ends and they make a corner there."""
    if not (isinstance(a, Line) and isinstance(b, Line)):
        return None
    before, after = a.way(1.0), b.way(0.0)
    if not 5.0 < abs(turn_deg(before, after)) < 175.0:
        return None
    met = meeting(a.end, before, b.start, after)
    if met is None or max(distance(met, a.end), distance(met, b.start)) > max(2 * wide, _LED):
        return None
    ahead = (met[0] - a.start[0]) * before[0] + (met[1] - a.start[1]) * before[1]
    left = (b.end[0] - met[0]) * after[0] + (b.end[1] - met[1]) * after[1]
    return met if min(ahead, left) > TINY else None


def _open_ends(parts: Sequence[DrawnPath], gap: float, is_outline: Asked | None, budget: Budget) -> tuple[OpenEnd, ...]:
    """The gaps that keep what is else an outline open, up to `WIDE` mm; none where there are too many to look for."""
    if gap >= WIDE or not parts:
        return ()
    ends: list[OpenEnd] = []
    try:
        runs = _chained(parts, WIDE, is_outline, Budget(budget.name, work=budget.work * _SPARE))[0]
    except InputError:
        return ()
    for run in runs:
        wide = [end for end in run.gaps if end.gap > gap]
        if run.size > 25.0 and path_length(run.path) > 20 * sum(end.gap for end in wide):
            ends += wide
    return tuple(ends)


def _none(drawing: Drawing, parts: Sequence[DrawnPath], ends: Sequence[OpenEnd], notes: Sequence[str]) -> InputError:
    where = Where(drawing.name)
    expected = "at least one closed outline"
    if ends:
        gaps = "; ".join(f"{end.gap:.2f} mm between {_at(end.a)} and {_at(end.b)}" for end in ends[:_MOST_GAPS])
        gaps += f"; and {len(ends) - _MOST_GAPS} more" if len(ends) > _MOST_GAPS else ""
        widest = max(end.gap for end in ends)
        return InputError(
            f"no outline is closed; gaps: {gaps}",
            where=where,
            expected=expected,
            instead=f"Close the gaps in the drawing, or allow gaps of {widest + 0.05:.1f} mm",
        )
    if not parts:
        told = f" ({notes[-1]})" if notes else ""
        return InputError(f"there is no outline in it{told}", where=where, expected=expected)
    longest = max(parts, key=lambda part: path_length(part.curves))
    a, b = longest.curves[0].start, longest.curves[-1].end
    return InputError(
        f"no outline is closed; the longest run, {longest.name}, goes from {_at(a)} to {_at(b)}, "
        f"{distance(a, b):.1f} mm apart",
        where=where,
        expected=expected,
        instead="Draw the outline as one closed line",
    )


# --- outlines, and what lies in them ---


def _sorted_out(
    closed: Sequence[_Closed], is_outline: Asked | None, budget: Budget
) -> tuple[list[_Closed], list[DrawnPath]]:
    """The outlines, and the closed runs that are none."""
    asked = [bool(is_outline(run.drawn)) for run in closed] if is_outline else _roots(closed, budget)
    inner = [replace(run.drawn, curves=run.path) for run, yes in zip(closed, asked, strict=True) if not yes]
    return [run for run, yes in zip(closed, asked, strict=True) if yes], inner


def _roots(closed: Sequence[_Closed], budget: Budget) -> list[bool]:
    """Whether each closed run lies in no other, nor is a small mark on the edge of one."""
    import numpy as np
    import shapely

    if len(closed) < 2:
        return [True] * len(closed)
    rings = shapely.linearrings(
        [ring for run in closed for ring in _at_least_three(run.ring)], indices=_numbers(closed)
    )
    solids = shapely.polygons(rings)
    shapely.prepare(solids)
    tree = shapely.STRtree(solids)
    found = [True] * len(closed)
    sizes = np.array([run.size for run in closed])
    for i, run in enumerate(closed):
        others = tree.query(shapely.buffer(shapely.box(*shapely.bounds(rings[i])), TOUCH))
        others = others[(sizes[others] > run.size) | ((sizes[others] == run.size) & (others < i))]
        if not len(others):
            continue
        points = np.array(_spread([*run.ring, run.ring[0]], _SAMPLES))
        spots = shapely.points(points)
        for k in others.tolist():
            budget.spend(INSIDE, _SAMPLES + len(closed[k].ring) // 16)
            inside = shapely.contains_xy(solids[k], points)
            if not inside.all():
                inside |= shapely.distance(rings[k], spots) <= _THIN
            mark = run.size < _MARK * sizes[k]
            if (
                inside.mean() >= _WITHIN
                or (mark and shapely.dwithin(rings[i], solids[k], TOUCH))
                or (run.size < _WEDGE * sizes[k] and inside.mean() >= 0.5 and wedge_in(run.ring, solids[k]))
            ):
                found[i] = False
                break
    return found


def _at_least_three(ring: list[XY]) -> list[XY]:
    return [*ring, *([ring[-1]] * (3 - len(ring)))]


def _numbers(closed: Sequence[_Closed]) -> list[int]:
    return [i for i, run in enumerate(closed) for _ in range(max(3, len(run.ring)))]


def _simple(
    drawing: Drawing, roots: Sequence[_Closed], notes: list[str], budget: Budget
) -> tuple[list[_Closed], list[DrawnPath]]:
    """The outlines without loops, counter-clockwise; and the lines out and back that were cut off them."""
    kept: list[_Closed] = []
    spurs: list[DrawnPath] = []
    errors: list[InputError] = []
    for run in roots:
        clean = untangled(run.path, budget)
        if len(clean.loops) > _NAMED:
            largest = max(loop.size for loop in clean.loops)
            notes.append(
                f"{len(clean.loops)} loops of {run.drawn.name}, of {largest:.1f} mm² at most, cut off "
                f"{_places([loop.at for loop in clean.loops])}"
            )
        else:
            notes += [
                f"a loop of {loop.size:.1f} mm² of {run.drawn.name} cut off at {_at(loop.at)}" for loop in clean.loops
            ]
        for spur in clean.spurs:
            notes.append(
                f"{run.drawn.name} goes out and back on itself for {spur.length():.1f} mm at {_at(spur.a)}: "
                f"taken off the outline, kept as a line"
            )
            spurs.append(replace(run.drawn, curves=(spur,), closed=False))
        if clean.large:
            errors.append(
                InputError(
                    f"{run.drawn.name} crosses or touches itself at {_at(clean.large.at)}; "
                    f"the loop there has {clean.large.size:.0f} mm²",
                    where=Where(drawing.name),
                    expected="an outline that does not cross itself",
                    instead="Part the outline there in the drawing",
                )
            )
            if len(errors) >= MOST_TOLD:
                break
            continue
        path = clean.path
        ring = flat_ring(path, _CHORD)[0] if path else []
        if len(ring) < 3 or abs(area(ring)) < _THIN / 2 * path_length(path):
            notes.append(f"{run.drawn.name} encloses nothing and is left out, at {_at(run.path[0].start)}")
            continue
        if area(ring) < 0.0:
            path, ring = reverse(path), ring[::-1]
        kept.append(replace(run, path=path, ring=ring, size=abs(area(ring))))
    if len(errors) == 1:
        raise errors[0]
    if errors:
        raise InputErrors(errors)
    return kept, spurs


class _Holds:
    """Which outline holds a run, a text or a point: the smallest that holds half of it, else one that it touches."""

    def __init__(self, outlines: Sequence[_Closed]) -> None:
        import shapely

        self.sizes = [outline.size for outline in outlines]
        self.solids: Any = [shapely.Polygon(outline.ring) for outline in outlines]
        shapely.prepare(self.solids)
        self.tree = shapely.STRtree(self.solids)

    def holders(self, things: Sequence[Sequence[XY]]) -> list[int | None]:
        """The number of the outline that holds each thing, given as points on it; None if there is none."""
        import numpy as np
        import shapely

        if not things or not self.sizes:
            return [None] * len(things)
        counts = np.array([len(points) for points in things])
        starts = np.concatenate(((0,), np.cumsum(counts)[:-1]))
        spots = np.array([p for points in things for p in points], dtype=float).reshape(-1, 2)
        low, high = np.minimum.reduceat(spots, starts) - TOUCH, np.maximum.reduceat(spots, starts) + TOUCH
        thing, outline = self.tree.query(shapely.box(*low.T, *high.T))
        best: dict[int, tuple[float, int]] = {}
        near: list[tuple[int, int]] = []
        for start in range(0, len(thing), _AT_ONCE):
            some, solid = thing[start : start + _AT_ONCE], outline[start : start + _AT_ONCE]
            long = counts[some]
            each = np.repeat(np.arange(len(some)), long)
            own = np.arange(len(each)) - np.repeat(np.cumsum(long) - long, long) + np.repeat(starts[some], long)
            solids = np.array(self.solids, dtype=object)[solid]
            inside = shapely.contains_xy(solids[each], spots[own])
            holds = np.bincount(each, inside, len(some)) >= 0.5 * long
            for one, k, yes in zip(some.tolist(), solid.tolist(), holds.tolist(), strict=True):
                if yes:
                    best[one] = min(best.get(one, (inf, 0)), (self.sizes[k], k))
                else:
                    near.append((one, k))
        found: list[int | None] = [best[one][1] if one in best else None for one in range(len(things))]
        touched: dict[int, tuple[float, float, int]] = {}
        for one, k in near:
            if one not in best:
                points = things[one]
                line = shapely.LineString(points) if len(points) > 1 else shapely.Point(points[0])
                off = float(shapely.distance(self.solids[k], line))
                if off <= TOUCH:
                    touched[one] = min(touched.get(one, (inf, inf, 0)), (off, self.sizes[k], k))
        for one, (_, _, k) in touched.items():
            found[one] = k
        return found


def _spread(line: Sequence[XY], count: int) -> list[XY]:
    """So many points at equal distances along a line, its ends and the middles of its steps among them in turn."""
    import numpy as np

    points = np.array(line, dtype=float)
    far = np.concatenate(((0.0,), np.cumsum(np.hypot(*np.diff(points, axis=0).T))))
    at = (np.arange(count) + 0.5) * far[-1] / count
    xs, ys = np.interp(at, far, points[:, 0]).tolist(), np.interp(at, far, points[:, 1]).tolist()
    return list(zip(xs, ys, strict=True))


def _sampled(path: Path) -> list[XY]:
    """Points along a run, its ends among them."""
    line = flatten(path, 0.1)
    if len(line) == 2:
        (ax, ay), (bx, by) = line
        return [line[0], *((ax + (bx - ax) * k / 18, ay + (by - ay) * k / 18) for k in range(1, 18, 2)), line[1]]
    return [line[0], *_spread(line, 9), line[-1]]


def _handed_over(
    drawing: Drawing,
    roots: Sequence[_Closed],
    others: Iterable[tuple[DrawnPath, int | None]],
    holds: _Holds,
    notes: list[str],
    ends: tuple[OpenEnd, ...],
    corner_deg: float,
    fit: float,
    budget: Budget,
) -> Outlines:
    """The outlines with their edges and with all that lies in them."""
    paths: dict[int, list[DrawnPath]] = defaultdict(list)
    texts: dict[int, list[DrawnText]] = defaultdict(list)
    points: dict[int, list[DrawnPoint]] = defaultdict(list)
    loose: list[DrawnPath] = []
    for path, at in others:
        (loose if at is None else paths[at]).append(path)
    budget.spend(LINE, sum(map(len, paths.values())))
    stray_texts: list[DrawnText] = []
    for text, at in zip(drawing.texts, holds.holders([[text.at] for text in drawing.texts]), strict=True):
        (stray_texts if at is None else texts[at]).append(text)
    stray_points: list[XY] = []
    for point, at in zip(drawing.points, holds.holders([[point.at] for point in drawing.points]), strict=True):
        if at is None:
            stray_points.append(point.at)
        else:
            points[at].append(point)
    if stray_points:
        notes.append(f"{_count(len(stray_points), 'point')} in no outline left out, {_places(stray_points)}")
    if stray_texts:
        notes.append(
            f"{_count(len(stray_texts), 'text')} in no outline left out, {_places([t.at for t in stray_texts])}"
        )
    outlines: list[Outline] = []
    for i, root in enumerate(roots):
        edges = parted(root.path, corner_deg)
        smooth = len(edges) == 1 and _is_smooth(edges[0], corner_deg)
        rough: list[XY] = []
        if fit > 0.0:
            edges = tuple(_curved(edge, fit, smooth, rough, budget) for edge in edges)
        if rough:
            notes.append(
                f"{root.drawn.name} has points that scatter too widely for curves within {fit:g} mm, {_places(rough)}: "
                f"left as straight lines"
            )
        drawn = root.drawn
        outlines.append(
            Outline(edges, drawn.layer, drawn.id, drawn.groups, tuple(paths[i]), tuple(texts[i]), tuple(points[i]))
        )
    return Outlines(tuple(outlines), tuple(loose), tuple(notes), ends)


def _is_smooth(edge: Path, corner_deg: float) -> bool:
    return abs(turn_deg(edge[-1].way(1.0), edge[0].way(0.0))) < corner_deg


def _curved(edge: Path, fit: float, smooth: bool, rough: list[XY], budget: Budget) -> Path:
    """An edge whose rows of straight chords have become curves; curves that were drawn stay, and lead them on."""
    made: list[Curve] = []
    i = 0
    while i < len(edge):
        k = i
        while k < len(edge) and isinstance(edge[k], Line):
            k += 1
        if k - i < 2:
            k = max(k, i + 1)
            made += edge[i:k]
            i = k
            continue
        whole = k - i == len(edge)
        points: list[XY] = [edge[i].start, *(curve.end for curve in edge[i:k])]
        leaving = _goes_on(edge[i - 1], edge[i]) if i > 0 else None
        arriving = _goes_on(edge[k - 1], edge[k], back=True) if k < len(edge) else None
        made += fitted(points, fit, leaving=leaving, arriving=arriving, smooth=smooth and whole, budget=budget)
        if is_rough(points, fit):
            rough.append(points[0])
        i = k
    return tuple(made)


def _goes_on(a: Curve, b: Curve, *, back: bool = False) -> XY | None:
    """The direction of the curve that is kept (a, or b if `back`), if the two go on smoothly."""
    before, after = a.way(1.0), b.way(0.0)
    return (after if back else before) if abs(turn_deg(before, after)) < 5.0 else None


# --- words ---


def _at(p: XY) -> str:
    return f"{p[0] + 0.0:.1f} {p[1] + 0.0:.1f}"


def _count(n: int, noun: str) -> str:
    return f"{n} {noun}" if n == 1 else f"{n} {noun}s"


def _places(places: Sequence[XY]) -> str:
    named = ", ".join(_at(p) for p in places[:_NAMED])
    return f"at {named}" + (f" and {len(places) - _NAMED} more" if len(places) > _NAMED else "")
