"""What joins two allowances at a corner: the finishes by name, and the rule that chooses between them.

    mitre        both cut lines led on to where they meet; above 2.5 allowances cut off square (bevel)
    square       squared to the seam sewn first: its stitch line led on to the other cut line, then square outwards
    turned-back  the allowance mirrors its neighbour's cut edge about the line it is folded on (hems)
    mitred-hem   two turnings that meet in a mitre: cut 1/4 in outside the line in which they are sewn
    faced        trimmed off close to the corner, for enclosed corners
    fold         ends on the fold line
Where two edges meet inwards the cut lines simply cross; where the widths differ on a straight run they step.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping, Sequence
from math import hypot
from typing import Final

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
from ..model.piece import EdgeKind
from ..model.widths import Profile
from ..values import dataclass, replace

MITRE_LIMIT: Final = 2.5
"""A mitre reaches at most this many allowances from the corner, else it is bevelled (common practice, no source)."""
MITRE_SEAM: Final = 25.4 / 4
"""Allowance of the sewn mitre of two turnings, mm (1/4 in; common practice, no source)."""
_STRAIGHT_ON_DEG: Final = 1.0
_MARKED_DEG: Final = 45.0
"""An inward corner sharper than this is one that was meant; a flatter one is a step between two widths."""
_APART: Final = 0.1
"""Runs whose boxes lie further apart than this do not cross, mm, whatever is rounded."""
_TURN_BACK_DEG: Final = 50.0
"""A hem turns back against a neighbour that is no further than this from square to it; else its corner is plain."""


@dataclass(frozen=True, slots=True)
class Beside:
    """An edge moved outwards by its width: still a polyline.

    `leaving` and `arriving` are the directions of the stitch line at its ends, `cut_leaving` and `cut_arriving` those
    of the cut line (the same where the width is even).
    """

    name: str
    kind: EdgeKind
    first: XY
    last: XY
    points: tuple[XY, ...]
    leaving: Point
    arriving: Point
    start_width: float
    end_width: float
    cut_leaving: Point
    cut_arriving: Point

    @classmethod
    def of(cls, name: str, kind: EdgeKind, line: Sequence[XY], profile: Profile) -> Beside:
        """`line` is the flattened stitch edge, both ends included."""
        leaving, arriving = direction(line[0], line[1]), direction(line[-2], line[-1])
        if profile.is_even:
            width = profile.stations[0][1]
            points = tuple(_moved_out(line, width))
            return cls(name, kind, line[0], line[-1], points, leaving, arriving, width, width, leaving, arriving)
        ways = [direction(a, b) for a, b in itertools.pairwise(line)]
        points = tuple(_moved_unevenly(line, ways, profile))
        start, end = distance(points[0], line[0]), distance(points[-1], line[-1])
        cut = direction(points[0], points[1]), direction(points[-2], points[-1])
        return cls(name, kind, line[0], line[-1], points, leaving, arriving, start, end, *cut)

    def between(self, skip_after: int, skip_before: int) -> tuple[XY, ...]:
        """Its points less those that the corners at its start and end have replaced."""
        return self.points[skip_after : len(self.points) - skip_before]


def _moved_out(line: Sequence[XY], width: float) -> list[XY]:
    """Each vertex moved to the right, mitred between its two runs. One plain loop: it runs over every point."""
    if width == 0:
        return list(line)
    (x0, y0), (x, y) = line[0], line[1]
    size = hypot(x - x0, y - y0)
    ax, ay = (x - x0) / size, (y - y0) / size
    moved: list[XY] = [(x0 + ay * width, y0 - ax * width)]
    add = moved.append
    for next_x, next_y in line[2:]:
        bx, by = next_x - x, next_y - y
        size = hypot(bx, by)
        bx /= size
        by /= size
        turned = 1.0 + ax * bx + ay * by
        reach = width / (turned if turned > 0.1 else 0.1)
        add((x + (ay + by) * reach, y - (ax + bx) * reach))
        x, y, ax, ay = next_x, next_y, bx, by
    moved.append((x + ay * width, y - ax * width))
    return moved


def _moved_unevenly(line: Sequence[XY], ways: Sequence[XY], profile: Profile) -> Iterator[XY]:
    """As `_moved_out`, each place by its own width; a station adds a point, a step two."""
    places = iter(sorted({place for place, _ in profile.stations}))
    place = next(places, None)
    walked = 0.0
    yield along(line[0], right_of(ways[0]), profile.at(0.0))
    while place is not None and place <= 1e-6:
        place = next(places, None)
    for i, (a, b) in enumerate(itertools.pairwise(line)):
        size, square = distance(a, b), right_of(ways[i])
        while place is not None and place < walked + size - 1e-6:
            base = along(a, ways[i], place - walked)
            before, after = profile.at(place, after=False), profile.at(place)
            yield along(base, square, before)
            if abs(after - before) > 1e-9:
                yield along(base, square, after)
            place = next(places, None)
        walked += size
        if i + 1 < len(ways):
            (ax, ay), (bx, by) = ways[i], ways[i + 1]
            reach = profile.at(walked) / max(0.1, 1.0 + ax * bx + ay * by)
            yield (b[0] + (ay + by) * reach, b[1] - (ax + bx) * reach)
    yield along(line[-1], right_of(ways[-1]), profile.at(walked, after=False))


@dataclass(frozen=True, slots=True)
class Corner:
    """What joins two edges: its points, and how many points of the runs before and after it they replace.

    `folds` is the edge whose allowance is folded over here before the other is sewn, if any.
    """

    finish: str
    points: tuple[XY, ...]
    skip_before: int = 0
    skip_after: int = 0
    folds: str = ""


def corner_between(a: Beside, b: Beside, order: Mapping[str, int], asked: str = "", asked_first: str = "") -> Corner:
    """The finish where edge a ends and edge b starts: as asked for, else by rule.

    By rule: a fold ends square; a hem turns back, and meets a turned opening edge in a mitre; of two seams the one
    sewn first (by `order`: the lower number) is squared; all else is mitred.
    """
    if (a.kind is EdgeKind.FOLD) != (b.kind is EdgeKind.FOLD):
        return _at_fold(a, b)
    first = asked_first or _first_sewn(a, b, order)
    finish = asked or _by_rule(a, b, first)
    turn = turn_deg(a.arriving, b.leaving)
    if finish == "mitre" or turn <= _STRAIGHT_ON_DEG or max(a.end_width, b.start_width) <= 1e-6:
        plain = _plain(a, b)
        return replace(plain, folds=first) if first and turn > _STRAIGHT_ON_DEG else plain
    if finish == "bevel":
        return _bevel(a, b, meeting(a.points[-1], a.cut_arriving, b.points[0], b.cut_leaving))
    if finish == "faced":
        return _faced(a, b)
    if finish == "mitred-hem":
        return _mitred_hem(a, b)
    return _folded(a, b, first or a.name, square=finish == "square")


def _first_sewn(a: Beside, b: Beside, order: Mapping[str, int]) -> str:
    """A hem is turned last, but folds at its own line; of two seams the one sewn first folds."""
    hems = [edge.name for edge in (a, b) if edge.kind is EdgeKind.HEM]
    if len(hems) == 1:
        return hems[0]
    rank, other = order.get(a.name), order.get(b.name)
    if rank is None or other is None or rank == other:
        return ""
    return a.name if rank < other else b.name


def _by_rule(a: Beside, b: Beside, first: str) -> str:
    kinds = {a.kind, b.kind}
    if kinds == {EdgeKind.HEM, EdgeKind.OPENING}:
        return "mitred-hem"
    if EdgeKind.HEM in kinds and len(kinds) == 2:
        turn = abs(turn_deg(a.arriving, b.leaving) - 90.0)
        return "turned-back" if turn <= _TURN_BACK_DEG else "mitre"
    return "square" if first else "mitre"


# ---------------------------------------------------------------- plain


def _plain(a: Beside, b: Beside) -> Corner:
    turn = turn_deg(a.arriving, b.leaving)
    if abs(turn) < _STRAIGHT_ON_DEG:
        if abs(a.end_width - b.start_width) > 1e-9:
            return _step(a, b)
        return Corner("straight on", (between(a.points[-1], b.points[0]),), 1, 1)
    if turn < 0:
        return _inner(a, b)
    met = meeting(a.points[-1], a.cut_arriving, b.points[0], b.cut_leaving)
    if met is not None and (
        _ahead(a.points[-1], met, a.cut_arriving) < 0 or _ahead(met, b.points[0], b.cut_leaving) < 0
    ):
        return Corner("step", ())
    if met is not None and distance(met, b.first) <= MITRE_LIMIT * max(a.end_width, b.start_width, 1e-9):
        return Corner("mitre", (met,), 1, 1)
    return _bevel(a, b, met)


def _step(a: Beside, b: Beside) -> Corner:
    """Two widths on a straight run: the wider one ends square to its edge, the narrower one runs up to that end."""
    if a.end_width < b.start_width:
        met = meeting(a.points[-1], a.cut_arriving, b.first, right_of(b.leaving))
        return Corner("step", (met,) if met is not None else (), 1, 0)
    met = meeting(b.points[0], b.cut_leaving, b.first, right_of(a.arriving))
    return Corner("step", (met,) if met is not None else (), 0, 1)


def _ahead(start: XY, p: XY, way: XY) -> float:
    """How far p lies from start in that direction, mm."""
    return (p[0] - start[0]) * way[0] + (p[1] - start[1]) * way[1]


def _bevel(a: Beside, b: Beside, met: Point | None) -> Corner:
    """A sharp point cut off square to its mitre, as far out as a mitre may reach: never inside the allowance."""
    out = direction(b.first, met) if met is not None else a.arriving
    reach = MITRE_LIMIT * max(a.end_width, b.start_width)
    if met is not None:
        reach = min(reach, 0.999 * distance(b.first, met))
    return _cut_off(a, b, out, reach, "bevel")


def _faced(a: Beside, b: Beside) -> Corner:
    """Trimmed square to the corner, three quarters of the narrower allowance away from it."""
    if min(a.end_width, b.start_width) <= 1e-6:
        return _plain(a, b)
    met = meeting(a.points[-1], a.cut_arriving, b.points[0], b.cut_leaving)
    if met is None:
        return _plain(a, b)
    reach = min(0.75 * min(a.end_width, b.start_width), 0.999 * distance(b.first, met))
    return _cut_off(a, b, direction(b.first, met), reach, "faced")


def _cut_off(a: Beside, b: Beside, out: XY, reach: float, finish: str) -> Corner:
    at, square = along(b.first, out, reach), left_of(out)
    end, start = _cut_by(a.points[::-1], at, square), _cut_by(b.points, at, square)
    if end is None or start is None:
        return Corner("step", ())
    return Corner(finish, (end[0], start[0]), end[1], start[1])


def _cut_by(run: Sequence[XY], at: XY, way: XY) -> tuple[Point, int] | None:
    """Where a run, walked from its corner, is cut by a line, and how many of its points lie before that.

    A run that starts beyond the line already is led back to it. None if it runs beside the line.
    """

    def side(p: XY) -> float:
        return way[0] * (p[1] - at[1]) - way[1] * (p[0] - at[0])

    for i, (p, q) in enumerate(itertools.pairwise(run)):
        if side(p) * side(q) <= 0 and abs(side(p) - side(q)) > 1e-9:
            return between(p, q, side(p) / (side(p) - side(q))), i + 1
    met = meeting(run[0], direction(run[0], run[1]), at, way)
    return None if met is None else (met, 1)


def _at_fold(a: Beside, b: Beside) -> Corner:
    """The cut line of the other edge ends on the fold: led on to it, or cut off there, so that halves unfold to one."""
    fold_first = a.kind is EdgeKind.FOLD
    fold, other = (a, b) if fold_first else (b, a)
    way = fold.arriving if fold_first else fold.leaving
    run = other.points if fold_first else other.points[::-1]
    skip = next((i for i, p in enumerate(run) if _ahead(b.first, p, left_of(way)) > 1e-9), 0)
    before, after = (run[skip - 1], run[skip]) if skip else (run[0], run[1])
    met = meeting(b.first, way, before, direction(before, after))
    if met is None:
        return _plain(a, b)
    skip = max(1, skip)
    return Corner("fold", (met,), 1, skip) if fold_first else Corner("fold", (met,), skip, 1)


def _inner(a: Beside, b: Beside) -> Corner:
    """At an inward corner the two cut lines cross and both stop there.

    At a marked corner (a vent's) the wider one is led on to the other if it falls a little short; else it ends square
    to its edge on the other. Where they do not cross at all, the engine takes the envelope.
    """
    marked = turn_deg(a.arriving, b.leaving) < -_MARKED_DEG
    reach = 2 * min(a.end_width, b.start_width)
    before, after = along(a.points[-1], a.cut_arriving, reach), along(b.points[0], b.cut_leaving, -reach)
    led = _first_crossing([*a.points, before], [after, *b.points], len(a.points)) if marked else None
    square = led or _first_crossing([*a.points, a.last], [b.first, *b.points], len(a.points))
    return square or Corner("envelope", (b.first,))


def _first_crossing(before: Sequence[XY], after: Sequence[XY], own: int) -> Corner | None:
    """The crossing nearest the corner; both lists have one point more than the runs themselves."""
    for i in range(len(before) - 1, 0, -1):
        for j in range(1, len(after)):
            if i == own and j == 1:
                continue
            met = _crossing(before[i - 1], before[i], after[j - 1], after[j])
            if met is not None:
                return Corner("mitre", (met,), own - i, j - 1)
    return None


def _crossing(a: XY, b: XY, c: XY, d: XY) -> Point | None:
    for axis in (0, 1):  # runs that lie apart are not looked at: by far the most
        low, high = (c[axis], d[axis]) if c[axis] < d[axis] else (d[axis], c[axis])
        low, high = low - _APART, high + _APART
        if (a[axis] < low and b[axis] < low) or (a[axis] > high and b[axis] > high):
            return None
    met = meeting(a, direction(a, b), c, direction(c, d))
    if met is None:
        return None
    within = distance(a, met) + distance(met, b) <= distance(a, b) + 1e-7
    return met if within and distance(c, met) + distance(met, d) <= distance(c, d) + 1e-7 else None


# ---------------------------------------------------------------- folded


def _folded(a: Beside, b: Beside, first: str, *, square: bool) -> Corner:
    """The allowance that is folded over at its stitch line must then lie within the other's cut edge.

    Turned back, it mirrors that cut edge about the stitch line, so that they lie edge on edge however the side tapers
    or flares. Squared, it ends square to its stitch line, where that meets the other's cut edge; only where the corner
    is sharp (the squared end would stick out) it mirrors it.
    """
    folds_first = a.name == first
    folding, other = (a, b) if folds_first else (b, a)
    corner = folding.last if folds_first else folding.first
    way = folding.arriving if folds_first else folding.leaving
    width = folding.end_width if folds_first else folding.start_width
    run = list(other.points) if folds_first else list(reversed(other.points))
    if width <= 1e-6:
        return _plain(a, b)

    def above(p: XY) -> float:
        return way[0] * (p[1] - corner[1]) - way[1] * (p[0] - corner[0])

    skip = 0
    while skip < len(run) - 1 and above(run[skip]) <= 1e-9:
        skip += 1
    before = run[skip - 1] if skip else along(run[0], direction(run[0], run[1]), -1.0)
    at_fold = meeting(corner, way, before, direction(before, run[skip]))
    if at_fold is None:
        return _plain(a, b)
    flap: list[XY] = [at_fold]
    p = run[skip]
    for p in run[skip:]:
        if above(p) >= width:
            break
        flap.append(p)
    else:
        p = along(run[-1], direction(run[-2], run[-1]), 1e4)
    span = above(p) - above(flap[-1])
    if span <= 1e-9:
        return _plain(a, b)
    flap.append(between(flap[-1], p, (width - above(flap[-1])) / span))
    outwards = way if folds_first else Point(-way[0], -way[1])
    leans_in = max(_ahead(q, at_fold, outwards) for q in flap[1:])
    widest = max(a.end_width, b.start_width)
    finish = "turned-back"
    if square and leans_in <= 1e-6:
        flap = [at_fold, along(at_fold, left_of(way), width)]
        finish = "square"
    elif square:
        finish = "square"
    if distance(at_fold, flap[-1]) > MITRE_LIMIT * width or distance(at_fold, corner) > MITRE_LIMIT * widest:
        return _plain(a, b)
    end: list[XY] = [at_fold, *(mirrored(q, corner, way) for q in flap[1:])]
    own = folding.points[::-1] if folds_first else folding.points
    end, dropped = _joined_to(end, own)
    if folds_first:
        return Corner(finish, tuple(reversed(end)), dropped, skip, first)
    return Corner(finish, tuple(end), skip, dropped, first)


def _joined_to(end: list[XY], run: Sequence[XY]) -> tuple[list[XY], int]:
    """The end of a flap, walked outwards, as far as the run of its own cut line; and how many points it replaces.

    A curved run may cross the flap's end before its last point.
    """
    longer: list[XY] = [*end, along(end[-1], direction(end[-2], end[-1]), 0.5)]
    for i in range(1, len(run)):
        for j in range(len(longer) - 1, 0, -1):
            met = _crossing(run[i - 1], run[i], longer[j - 1], longer[j])
            if met is not None:
                return [*longer[:j], met], i
    return end, 1


def _mitred_hem(a: Beside, b: Beside) -> Corner:
    """Two turnings that meet in a mitre: both are folded in, and the mitre is sewn from the corner to where their
    edges cross; unfolded, that line mirrors itself about each fold. Cut 1/4 in outside it."""
    corner = b.first
    inside_a = along(corner, left_of(a.arriving), a.end_width)
    inside_b = along(corner, left_of(b.leaving), b.start_width)
    inner = meeting(inside_a, a.arriving, inside_b, b.leaving)
    if inner is None:
        return _plain(a, b)
    ways = [direction(corner, mirrored(inner, corner, way)) for way in (a.arriving, b.leaving)]
    on_a = along(corner, left_of(ways[0]), MITRE_SEAM)
    on_b = along(corner, right_of(ways[1]), MITRE_SEAM)
    end, start = _cut_by(a.points[::-1], on_a, ways[0]), _cut_by(b.points, on_b, ways[1])
    if end is None or start is None:
        return _plain(a, b)
    met = meeting(on_a, ways[0], on_b, ways[1])
    middle = (met,) if met is not None and distance(met, corner) < 4 * MITRE_SEAM else ()
    return Corner("mitred-hem", (end[0], *middle, start[0]), end[1], start[1])
