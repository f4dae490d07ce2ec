"""Names of the sizes beside their lines, and the key that tells which line pattern is which size."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping, Sequence
from itertools import accumulate, pairwise, product
from math import ceil, cos, hypot, pi, sin
from typing import Final

from ..geometry.point import XY, Point, along, between, distance, left_of, right_of
from ..geometry.polygon import Box
from ..values import dataclass
from .drawing import dashed, reading_angle, way_of, words_at
from .lettering import text_lines, text_width
from .room import Room
from .strokes import Role, Stroke

SMALLEST: Final = 2.5
"""Capitals of a size's name, mm: read at arm's length."""
_HEIGHTS: Final = ((6.7, 4.0), (5.9, 3.2), (5.2, SMALLEST))
"""(lines at least so far apart, capitals), mm: a name beside its line, with more air to the next one."""
_CLOSE: Final = 0.8
"""Free between a name and its own line, mm."""
_FAR: Final = 1.6
"""Free between a name and the next line, mm."""
TELLABLE: Final = 1.0
"""Lines nearer than this to each other, mm, are not named there but where they fan out."""
_A_SPOT: Final = 260.0
"""Sizes are named about so often along an edge, mm."""
_SHORTEST: Final = 20.0
_STEP: Final = 9.0
_MOST_STEPS: Final = 8
"""Names are moved along their line by so much, mm, and so often either way, to where there is room."""
_BEYOND: Final = 2.5
"""From the outermost line to the names at the ends of leaders, mm."""
_DOT: Final = 0.45
_END: Final = 3.3
"""From a line to the name at its end, mm: past the bar or cross there."""
_SAMPLE: Final = 45.0
_ROW: Final = 5.0
_CAPITALS: Final = 3.0
_ROWS: Final = 10
"""Of the key: length of a sample, height of a row and of capitals, mm; rows in a column."""


@dataclass(frozen=True, slots=True)
class Family:
    """One line in every size, open, mm. `once`: named at one spot only, however long it is."""

    lines: Mapping[str, Sequence[XY]]
    once: bool = False


class _Run:
    """An open line with the length up to each of its points."""

    def __init__(self, points: Sequence[XY]) -> None:
        self.points = points
        self.fars = [0.0, *accumulate([hypot(q[0] - p[0], q[1] - p[1]) for p, q in pairwise(points)])]
        self.length = self.fars[-1]

    def at(self, far: float) -> tuple[Point, Point]:
        """Point and direction so far along; the ends are held."""
        i = min(max(1, bisect_left(self.fars, far)), len(self.points) - 1)
        (ax, ay), (bx, by) = self.points[i - 1], self.points[i]
        step = (self.fars[i] - self.fars[i - 1]) or 1.0
        part = min(1.0, max(0.0, (far - self.fars[i - 1]) / step))
        dx, dy = bx - ax, by - ay
        return Point(ax + dx * part, ay + dy * part), Point(dx / step, dy / step)

    def over(self, foot: Point, way: Point, part: float) -> Point | None:
        """Where the line square to `way` through `foot` meets the run, looked for from a part of it on; None if not."""
        far = part * self.length
        for _ in range(6):
            at, here = self.at(far)
            aside = (foot.x - at.x) * way.x + (foot.y - at.y) * way.y
            if abs(aside) < 0.02:
                return at
            straight = here.x * way.x + here.y * way.y
            if straight < 0.4:
                return None
            far += aside / straight
            if not 0.0 < far < self.length:
                return None
        return None


@dataclass(frozen=True, slots=True)
class _Spot:
    """A part of a family's lines at which its sizes are to be named.

    Its middle, and how far it reaches either way, as parts of each line; how near the two nearest lines lie to each
    other in the middle, mm; whether it is the only spot.
    """

    runs: Mapping[str, _Run]
    middle: float
    reach: float
    gap: float
    once: bool


def name_sizes(room: Room, families: Sequence[Family]) -> list[Stroke]:
    """The name of every size at several places of its lines; no name touches a line or another name.

    Where lines are far enough apart a name stands beside its own, on the left of the line's direction (inside an
    outline). Where they are not, names stand in a row beyond the outermost line, each at the end of a leader to a dot
    on its line. Lines nearer than 1 mm are named elsewhere, unless there is no other place.
    """
    spots = [spot for family in families for spot in _spots(family)]
    strokes: list[Stroke] = []
    named: set[str] = set()
    crowded: list[_Spot] = []
    for spot in spots:
        if spot.gap < TELLABLE:
            crowded.append(spot)
            continue
        strokes += _named(room, spot, spot.runs, named)
    for spot in sorted(crowded, key=lambda spot: -spot.gap):
        left = {size: run for size, run in spot.runs.items() if size not in named}
        strokes += _named(room, spot, left, named) if left else []
    return strokes


def name_beside(room: Room, ends: Mapping[str, tuple[XY, Point]]) -> list[Stroke]:
    """The name of each size beside the end of its own of several lines that lie on each other, where there is room."""
    strokes: list[Stroke] = []
    for size, (tip, way) in ends.items():
        half = text_width(size, SMALLEST) / 2
        angle = reading_angle(way)
        up = left_of(way_of(angle))
        for lift in (-1.0, 1.0):
            middle = along(tip, up, lift * (_END + SMALLEST / 2))
            if not room.meets(middle, way, half, SMALLEST / 2, 0.5):
                room.take(middle, way, half, SMALLEST / 2)
                strokes += [_of(size, stroke) for stroke in words_at(size, SMALLEST, middle, angle)]
                break
    return strokes


def name_beyond(room: Room, ends: Mapping[str, tuple[XY, Point]]) -> list[Stroke]:
    """The name of each size beyond the end of its own mark, along the mark's direction, where there is room.

    Marks that lie on each other get their names together, and those belong to no size.
    """
    strokes: list[Stroke] = []
    left = dict(ends)
    while left:
        tip, way = next(iter(left.values()))
        together = [size for size, (other, _) in left.items() if distance(tip, other) < TELLABLE]
        left = {size: end for size, end in left.items() if size not in together}
        words = " ".join(together)
        half = text_width(words, SMALLEST) / 2
        middle = along(tip, way, half + 1.2)
        if not room.meets(middle, way, half, SMALLEST / 2, 0.3):
            room.take(middle, way, half, SMALLEST / 2)
            size = together[0] if len(together) == 1 else ""
            strokes += [_of(size, stroke) for stroke in words_at(words, SMALLEST, middle, reading_angle(way))]
    return strokes


def _spots(family: Family) -> list[_Spot]:
    runs = {size: _Run(points) for size, points in family.lines.items()}
    shortest = min(run.length for run in runs.values())
    if shortest < _SHORTEST:
        return []
    count = 1 if family.once else max(1, round(shortest / _A_SPOT))
    reach = 0.5 / count
    found = []
    for i in range(count):
        middle, best = 0.0, -1.0
        for part in (0.0, 0.25, -0.25, 0.5, -0.5):
            here = (2 * i + 1 + part) * reach
            gap = _gap(runs, here)
            if gap > best * 1.2 + 0.1:
                middle, best = here, gap
            if best >= _HEIGHTS[0][0]:
                break
        found.append(_Spot(runs, middle, 0.8 * reach, best, family.once))
    return found


def _gap(runs: Mapping[str, _Run], part: float) -> float:
    """Between the two lines that lie nearest to each other there, square to them, mm."""
    places = [run.at(part * run.length) for run in runs.values()]
    out = right_of(places[len(places) // 2][1])
    levels = sorted([at.x * out.x + at.y * out.y for at, _ in places])
    return min([b - a for a, b in pairwise(levels)])


def _named(room: Room, spot: _Spot, runs: Mapping[str, _Run], named: set[str]) -> list[Stroke]:
    strokes: list[Stroke] = []
    left = dict(runs)
    heights = [height for gap, height in _HEIGHTS if spot.gap >= gap]
    for size, run in runs.items():
        for height in heights:
            beside = _beside_line(room, size, run, spot, height)
            if beside:
                strokes += beside
                del left[size]
                break
    if left:
        on_leaders = _on_leaders(room, left, spot)
        strokes += on_leaders
        left = left if not on_leaders else {}
    named |= set(runs) - set(left)
    return strokes


def _beside_line(room: Room, size: str, run: _Run, spot: _Spot, height: float) -> list[Stroke]:
    """The name on the left of its line, as near to the middle of the spot as there is room; else nothing."""
    half = text_width(size, height) / 2
    deep = (height + _FAR) / 2
    steps = int(spot.reach * run.length / _STEP)
    for step in sorted(range(-steps, steps + 1), key=abs):
        far = spot.middle * run.length + step * _STEP
        if not half + 2.0 <= far <= run.length - half - 2.0:
            continue
        at, way = run.at(far)
        inward = left_of(way)
        if room.meets(along(at, inward, _CLOSE + deep), way, half + 0.8, deep, 0.0) or not _lone(room, at, way, half):
            continue
        middle = along(at, inward, _CLOSE + height / 2)
        room.take(middle, way, half, height / 2)
        return [_of(size, stroke) for stroke in words_at(size, height, middle, reading_angle(way))]
    return []


def _on_leaders(room: Room, runs: Mapping[str, _Run], spot: _Spot) -> list[Stroke]:
    """The names in a row beyond all lines of the family, on leaders square to them; nothing where there is no room.

    Leaders end where one line runs alone, and keep clear of notches; for what is named nowhere else, anyhow.
    """
    height = SMALLEST
    shortest = min(run.length for run in runs.values())
    rows = 1 if (height + 1.5) * (len(runs) - 1) + 6.0 <= shortest else 2
    pitch = (height + 1.5) if rows == 1 else (height + 2.1) / 2
    wide = pitch * (len(runs) - 1)
    if wide + 6.0 > shortest:
        return []
    steps = min(_MOST_STEPS, int(spot.reach * shortest / _STEP))
    for anyhow, inwards in product((False, True) if spot.once else (spot.gap < TELLABLE,), (False, True)):
        for step in sorted(range(-steps, steps + 1), key=abs):
            middle = spot.middle + step * _STEP / shortest
            if wide / 2 + 3.0 <= min(middle, 1.0 - middle) * shortest:
                comb = _comb(room, runs, spot, middle, pitch, rows, inwards, anyhow, height)
                if comb:
                    return comb
    return []


def _comb(
    room: Room,
    runs: Mapping[str, _Run],
    spot: _Spot,
    part: float,
    pitch: float,
    rows: int,
    inwards: bool,
    anyhow: bool,
    height: float,
) -> list[Stroke]:
    """The leaders are parallel, `pitch` mm apart, each from where it meets its own line to beyond the outermost."""
    places = [(run, run.at(part * run.length)) for run in spot.runs.values()]
    origin, way = places[len(places) // 2][1]
    out = left_of(way) if inwards else right_of(way)
    outermost, _ = max(places, key=lambda place: place[1][0].x * out.x + place[1][0].y * out.y)
    widest = max(text_width(size, height) for size in runs)
    boxes: list[tuple[str, Point, Point, float]] = []
    for i, (size, run) in enumerate(runs.items()):
        foot = along(origin, way, (i - (len(runs) - 1) / 2) * pitch)
        dot, edge = run.over(foot, way, part), outermost.over(foot, way, part)
        if dot is None or edge is None or (not anyhow and not _lone(room, dot, way, _DOT)):
            return []
        level = max(0.0, (edge.x - dot.x) * out.x + (edge.y - dot.y) * out.y)
        tip = level + _BEYOND + (i % rows) * (widest + 1.5)
        half = text_width(size, height) / 2
        middle = along(dot, out, tip + 0.8 + half)
        end = along(dot, out, tip)
        if room.meets(middle, out, half, height / 2, 0.7):
            return []
        crossed = room.crossed(dot, end)
        if not crossed.isdisjoint(room.words) or (not anyhow and not crossed.isdisjoint(room.notches)):
            return []
        boxes.append((size, dot, middle, half))
    strokes: list[Stroke] = []
    for size, dot, middle, half in boxes:
        tip_at = along(middle, out, -half - 0.8)
        room.take(middle, out, half, height / 2)
        room.take(between(dot, tip_at), out, distance(dot, tip_at) / 2, 0.2)
        ring = tuple((dot.x + _DOT * cos(k * pi / 3), dot.y + _DOT * sin(k * pi / 3)) for k in range(6))
        strokes += [Stroke(Role.LABEL, ring, True, size), Stroke(Role.LABEL, (dot, tip_at), size=size)]
        strokes += [_of(size, stroke) for stroke in words_at(size, height, middle, reading_angle(out))]
    return strokes


def _lone(room: Room, at: Point, way: Point, half_width: float) -> bool:
    """Whether one line alone runs there: where edges of several sizes lie on each other, a name would be anyone's."""
    return len(set(room.touched(at, way, half_width, _CLOSE))) <= 1


def _of(size: str, stroke: Stroke) -> Stroke:
    return Stroke(stroke.role, stroke.points, stroke.closed, size)


# ---- the key


def key_in(room: Room, patterns: Mapping[str, tuple[float, ...]], base: str, near: XY) -> list[Stroke]:
    """The key inside a piece, as near as it goes to its label; nothing where it has no room."""
    width, height = _key_size(patterns, base)
    box = Box.round(room.cut_line)
    across, up = box.width - width, box.height - height
    if min(across, up) <= 0:
        return []
    columns, rows = 8, 12
    middles = [
        (box.left + width / 2 + across * i / columns, box.bottom + height / 2 + up * j / rows)
        for i in range(1, columns)
        for j in range(1, rows)
    ]
    flat = way_of(0.0)
    for x, y in sorted(middles, key=lambda m: distance(m, near)):
        if room.is_free((x, y), flat, width / 2 + 2.0, height / 2 + 2.0):
            room.take((x, y), flat, width / 2 + 1.0, height / 2 + 1.0)
            return _key_rows(patterns, base, (x - width / 2, y + height / 2))
    return []


def key_lines(patterns: Mapping[str, tuple[float, ...]], base: str) -> list[Stroke]:
    """The key by itself, with a heading; its lower left corner at (0, 0)."""
    _, height = _key_size(patterns, base)
    heading = "KEY: one line pattern a size"
    strokes = [Stroke(Role.LABEL, line) for line in text_lines(heading, 4.0, (0.0, height + 3.0))]
    under = "Cut on the line of one size. Allowances are included."
    strokes += [Stroke(Role.LABEL, line) for line in text_lines(under, _CAPITALS, (0.0, -_ROW - 1.0))]
    return strokes + _key_rows(patterns, base, (0.0, height))


def _key_size(patterns: Mapping[str, tuple[float, ...]], base: str) -> tuple[float, float]:
    columns = ceil(len(patterns) / _ROWS)
    return columns * _column(patterns, base) - 5.0, _ROW * ceil(len(patterns) / columns)


def _column(patterns: Mapping[str, tuple[float, ...]], base: str) -> float:
    return _SAMPLE + 2.5 + max(text_width(_key_words(size, base), _CAPITALS) for size in patterns) + 5.0


def _key_words(size: str, base: str) -> str:
    return f"{size} (base)" if size == base else size


def _key_rows(patterns: Mapping[str, tuple[float, ...]], base: str, top_left: XY) -> list[Stroke]:
    rows = ceil(len(patterns) / ceil(len(patterns) / _ROWS))
    strokes: list[Stroke] = []
    for i, (size, dashes) in enumerate(patterns.items()):
        x = top_left[0] + (i // rows) * _column(patterns, base)
        y = top_left[1] - (i % rows + 0.5) * _ROW
        sample = ((x, y), (x + _SAMPLE, y))
        strokes += [Stroke(Role.LABEL, dash) for dash in dashed(sample, dashes)]
        words = text_lines(_key_words(size, base), _CAPITALS, (x + _SAMPLE + 2.5, y - _CAPITALS / 2))
        strokes += [Stroke(Role.LABEL, line) for line in words]
    return strokes
