"""The chalk card as data: how each piece is drawn straight on the cloth, with a tape, chalk and a square.

      fold                    Every place is given by two distances: across from an upright line (the fold, the centre
        │╲_____               line, ...) and down from a level line (the top line, ...). Straight lines join two places;
        │      ╲ C            a curve runs through ordinates, places along it. What is printed is rounded (1/8 in,
        │       )             0.1 cm), and the ordinates are chosen so that a smooth curve through the printed
        │      ( D            numbers stays within 1/8 in of the true line.
Any piece can be chalked: where the draft has a formula for a place it is told, else the numbers alone.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from enum import Enum
from itertools import pairwise
from math import acos, ceil, sqrt
from typing import Final

from ..geometry.curve import Cubic, Curve, Line
from ..geometry.path import Path, reverse
from ..geometry.point import XY, Point, between, direction, distance
from ..geometry.polygon import Box
from ..model.draft import Step
from ..model.pattern import MarkedPiece, Pattern
from ..model.piece import DOUBLE_APART, Dart, Edge, EdgeKind, Piece, cut_words, piece_words
from ..units import INCH, Unit, show
from ..values import dataclass

WITHIN: Final = INCH / 8
"""How far a smooth curve through the printed ordinates may run from the true one, mm."""
ROUNDED: Final = "~"
"""Stands before a printed number that is not exact."""


class MarkKind(Enum):
    """How a mark is chalked."""

    UPRIGHT = "upright"  # the line from which all is measured across
    LEVEL = "level"  # a line square to it
    POINT = "point"
    STRAIGHT = "straight"  # edge: joins its two spots
    CURVE = "curve"  # edge: runs through its spots
    FOLD = "fold"  # edge: lies on the fold, is not chalked
    DART = "dart"
    INSIDE = "inside"  # a line inside the piece
    NOTCH = "notch"
    CUT = "cut"


@dataclass(frozen=True, slots=True)
class Spot:
    """A place to be measured: `across` and `down` as printed, without the unit; `at` the true place, mm.

    An ordinate of a curve has no letter. "2 left", "2 beyond" and "1/2 up" lie on the other side of their line.
    """

    letter: str
    words: str
    at: Point
    across: str
    down: str


@dataclass(frozen=True, slots=True)
class Mark:
    """A line or place that one step puts on the cloth; `line` as it is to be drawn, mm; `name` of its edge or dart.

    `square` tells, for the first and the last spot, what a curve is square to there: "upright", "level", the name of
    a straight edge, or "" for nothing.
    """

    kind: MarkKind
    name: str
    spots: tuple[Spot, ...] = ()
    line: tuple[XY, ...] = ()
    square: tuple[str, str] = ("", "")


@dataclass(frozen=True, slots=True)
class ChalkStep:
    """One numbered step: what to do, the formulas behind it, what it leaves on the cloth.

    `table` has a row a number to be measured: (letter, name, across, down); `columns` are its headings.
    `part` says what it belongs to, so that steps of one part can share a picture.
    """

    number: int
    piece: str
    title: str
    words: tuple[str, ...]
    formula: tuple[str, ...]
    marks: tuple[Mark, ...]
    table: tuple[tuple[str, str, str, str], ...] = ()
    columns: tuple[str, str] = ("", "")
    part: str = ""


@dataclass(frozen=True, slots=True)
class Frame:
    """The two lines from which a piece is measured, through (x, y) of the piece; their names in words."""

    x: float
    y: float
    upright: str
    level: str
    fold: bool
    both_sides: bool
    """The piece lies left and right of the upright line alike."""


@dataclass(frozen=True, slots=True)
class ChalkPiece:
    """All steps of one piece; `outline` and `cut_line` in mm, as on the piece."""

    name: str
    title: str
    cut: str
    frame: Frame
    outline: tuple[XY, ...]
    cut_line: tuple[XY, ...]
    steps: tuple[ChalkStep, ...]


def chalk_pieces(pattern: Pattern) -> tuple[ChalkPiece, ...]:
    """Every piece of the pattern in its order. The same pattern gives the same steps; raises nothing of its own."""
    known: dict[tuple[object, ...], tuple[_Node, ...]] = {}
    copies: dict[tuple[XY, ...], str] = {}
    out = []
    for marked in pattern.pieces:
        out.append(_Card(pattern, marked, known, copies).piece())
        for edge in marked.cut.piece.edges:
            copies.setdefault(marked.cut.lines[edge.name], f"{piece_words(marked.name)}’s {piece_words(edge.name)}")
    return tuple(out)


# ---------------------------------------------------------------- numbers as they are printed

_LADDER: Final[Mapping[Unit, tuple[float, ...]]] = {
    "in": (INCH, INCH / 2, INCH / 4, INCH / 8),
    "cm": (10.0, 5.0, 1.0),
    "mm": (10.0, 5.0, 1.0),
}
"""Round distances, the roundest first: one number of every ordinate is one of them."""


def printed(mm: float, unit: Unit) -> str:
    """A distance as it is printed on the card: without unit and sign, marked where it is rounded.

    >>> printed(-76.2, "in"), printed(77.0, "in"), printed(77.0, "cm"), printed(77.25, "mm")
    ('3', '~3', '7.7', '~77')
    """
    mm = abs(mm)
    if unit == "mm":
        return f"{'' if abs(mm - round(mm)) <= 0.05 else ROUNDED}{round(mm)}"
    text = show(mm, unit, with_unit=False, exact=True)
    return text.replace("about ", ROUNDED)


def printed_length(mm: float, unit: Unit) -> str:
    """The same with its unit: `~3 1/8 in`."""
    return f"{printed(mm, unit)} {unit}"


def rounding_words(unit: Unit) -> str:
    """How the numbers of the card are rounded, and what that costs."""
    step = {"in": "1/8 in", "cm": "0.1 cm", "mm": "1 mm"}[unit]
    return (
        f"{ROUNDED} stands before a number that is rounded to {step}. A smooth curve through the printed places keeps "
        "within 1/8 in (3 mm) of the pattern."
    )


def _as_printed(mm: float, unit: Unit) -> float:
    step = {"in": INCH / 8, "cm": 1.0, "mm": 1.0}[unit]
    return round(mm / step) * step


def _round_up(mm: float, unit: Unit) -> str:
    step = INCH / 2 if unit == "in" else 10.0
    return show(ceil(mm / step - 1e-6) * step, unit)


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


# ---------------------------------------------------------------- ordinates

_SAG: Final = 7.0
"""Height of an arc between two ordinates to begin with, mm; the measure decides."""
_NEAR: Final = 2.6
"""The measure that is aimed at, mm: less than WITHIN, since nobody draws the very curve that is measured here."""
_STRAIGHT: Final = 0.7
"""A run that bends less than this is joined with a ruler, mm."""
_LONG: Final = 30.0
"""A straight part of an edge from this length on is told apart from the curve that it runs into, mm."""
_MOST: Final = 12


@dataclass(frozen=True, slots=True)
class _Node:
    """A place on a curve, where its printed numbers lie, and its index among the samples; `name` if it has one."""

    at: Point
    told: Point
    sample: float
    name: str = ""


@dataclass(frozen=True, slots=True)
class _Samples:
    """A run of curves as points with their unit directions and how far along they lie, mm."""

    points: tuple[Point, ...]
    ways: tuple[Point, ...]
    far: tuple[float, ...]
    weight: tuple[float, ...]
    """Grows with length and with bend: ordinates are set evenly in it."""
    joints: tuple[int, ...]

    @classmethod
    def of(cls, path: Path) -> _Samples:
        points, ways, joints = [path[0].start], [path[0].way(0.0)], [0]
        for curve in path:
            count = 12 if isinstance(curve, Cubic) else 4
            for i in range(1, count + 1):
                points.append(curve.at(i / count))
                ways.append(curve.way(i / count))
            joints.append(len(points) - 1)
        far, weight = [0.0], [0.0]
        for i in range(1, len(points)):
            step = distance(points[i - 1], points[i])
            (ax, ay), (bx, by) = ways[i - 1], ways[i]
            turn = acos(max(-1.0, min(1.0, ax * bx + ay * by)))
            far.append(far[-1] + step)
            weight.append(weight[-1] + sqrt(step * turn / 8 / _SAG) + step / 250)
        return cls(tuple(points), tuple(ways), tuple(far), tuple(weight), tuple(joints))


def _ordinates(path: Path, frame: Frame, unit: Unit, named: Mapping[int, str]) -> tuple[_Node, ...]:
    """Nodes along a smooth run: its ends, its named joints (index of the joint -> name), and what lies between.

    Each ordinate lies at a round distance from one line; only the other number is rounded. More are taken where a
    smooth curve through the printed places, free at its ends or held to the true direction there, strays further than
    `_NEAR` from the true one.
    """
    s = _Samples.of(path)
    fixed = [
        _Node(s.points[i], _told(s.points[i], frame, unit), i, named.get(k, ""))
        for k, i in enumerate(s.joints)
        if k in (0, len(s.joints) - 1) or k in named
    ]
    spans = list(pairwise(fixed))
    counts = [max(0, ceil(s.weight[int(b.sample)] - s.weight[int(a.sample)] - 0.3) - 1) for a, b in spans]
    if len(spans) == 1:
        counts = [max(1, counts[0])]
    while True:
        nodes = [fixed[0]]
        for (a, b), count in zip(spans, counts, strict=True):
            nodes += [*_between(s, a, b, count, frame, unit), b]
        strayed = _strayed(s, nodes)
        worst = [0.0] * len(spans)
        at = 0
        for i, far in enumerate(strayed):
            if nodes[i].sample >= spans[at][1].sample:
                at += 1
            worst[at] = max(worst[at], far)
        more = [far > _NEAR and count < _MOST for far, count in zip(worst, counts, strict=True)]
        if not any(more):
            return tuple(nodes)
        counts = [count + add for count, add in zip(counts, more, strict=True)]


def _told(p: Point, frame: Frame, unit: Unit) -> Point:
    """Where the printed numbers put a place."""
    return Point(frame.x + _as_printed(p.x - frame.x, unit), frame.y + _as_printed(p.y - frame.y, unit))


def _between(s: _Samples, a: _Node, b: _Node, count: int, frame: Frame, unit: Unit) -> Iterator[_Node]:
    first, last = int(a.sample), int(b.sample)
    gap = (s.weight[last] - s.weight[first]) / (count + 1)
    before = a.sample
    for k in range(1, count + 1):
        ideal = s.weight[first] + gap * k
        i = first
        while s.weight[i] < ideal:
            i += 1
        node = _round_place(s, i, ideal, gap, frame, unit, (first, last))
        if before < node.sample < b.sample and min(distance(node.told, a.told), distance(node.told, b.told)) > 3.0:
            before = node.sample
            yield node


def _round_place(
    s: _Samples, i: int, ideal: float, gap: float, frame: Frame, unit: Unit, within: tuple[int, int]
) -> _Node:
    """The place nearest the ideal one at a round distance down (where the curve is steep) or across (where flat)."""
    steep = abs(s.ways[i].y) >= abs(s.ways[i].x)
    axis, zero = (1, frame.y) if steep else (0, frame.x)
    for step, part in zip(_LADDER[unit], (0.25, 0.3, 0.35, 0.5), strict=False):
        target = zero + round((s.points[i][axis] - zero) / step) * step
        for j in sorted(range(within[0] + 1, within[1] + 1), key=lambda j: abs(j - i)):
            low, high = s.points[j - 1][axis], s.points[j][axis]
            if (low - target) * (high - target) <= 0 and low != high:
                t = (target - low) / (high - low)
                if abs(s.weight[j - 1] + t * (s.weight[j] - s.weight[j - 1]) - ideal) > part * gap:
                    break
                at = _on_arc(s, j, t)
                at = Point(at.x, target) if steep else Point(target, at.y)
                return _Node(at, _told(at, frame, unit), j - 1 + t)
    return _Node(s.points[i], _told(s.points[i], frame, unit), i)


def _on_arc(s: _Samples, j: int, t: float) -> Point:
    """Between two samples, bent as the curve is there."""
    long = s.far[j] - s.far[j - 1]
    return _hermite(s.points[j - 1], s.ways[j - 1], s.points[j], s.ways[j], long, t)


def _hermite(a: XY, way_a: XY, b: XY, way_b: XY, long: float, t: float) -> Point:
    u = 1.0 - t
    h0, h1, g0, g1 = u * u * (1 + 2 * t), t * t * (3 - 2 * t), long * t * u * u, -long * t * t * u
    return Point(
        h0 * a[0] + h1 * b[0] + g0 * way_a[0] + g1 * way_b[0], h0 * a[1] + h1 * b[1] + g0 * way_a[1] + g1 * way_b[1]
    )


def _strayed(s: _Samples, nodes: Sequence[_Node]) -> list[float]:
    """For each span between nodes, how far a smooth curve through the printed places runs from the true one, mm."""
    told = [node.told for node in nodes]
    gaps = [max(1e-6, distance(p, q)) for p, q in pairwise(told)]
    far = [_far(s, node) for node in nodes]
    probes = [_probe(s, a, b, far[i], far[i + 1], t) for i, (a, b) in enumerate(pairwise(nodes)) for t in _PROBES]
    worst = [0.0] * len(gaps)
    free = _spline(told, gaps, None, None)
    held = _spline(told, gaps, s.ways[0], s.ways[-1])
    rounded = _parabolas(told, gaps)
    runs = (free, held, rounded, [s.ways[0], *rounded[1:-1], s.ways[-1]])
    for k, (u, base, way) in enumerate(probes):
        i = k // len(_PROBES)
        (ax, ay), (bx, by) = told[i], told[i + 1]
        v = 1.0 - u
        h0, h1, g0, g1 = v * v * (1 + 2 * u), u * u * (3 - 2 * u), gaps[i] * u * v * v, -gaps[i] * u * u * v
        x0, y0 = h0 * ax + h1 * bx - base[0], h0 * ay + h1 * by - base[1]
        for speeds in runs:
            (px, py), (qx, qy) = speeds[i], speeds[i + 1]
            off = abs((x0 + g0 * px + g1 * qx) * way[1] - (y0 + g0 * py + g1 * qy) * way[0])
            if off > worst[i]:
                worst[i] = off
    return worst


_PROBES: Final = (0.25, 0.5, 0.75)


def _probe(s: _Samples, a: _Node, b: _Node, far_a: float, far_b: float, t: float) -> tuple[float, Point, Point]:
    """A place of the true curve between two nodes: its part of the way, the point, its direction."""
    place = a.sample + t * (b.sample - a.sample)
    j = min(int(place), len(s.points) - 2)
    rest = place - j
    base, way = s.points[j], s.ways[j]
    if rest > 0:
        base, way = _on_arc(s, j + 1, rest), between(way, s.ways[j + 1], rest)
    far = s.far[j] + rest * (s.far[j + 1] - s.far[j])
    return (far - far_a) / max(1e-9, far_b - far_a), base, way


def _spline(told: Sequence[XY], gaps: Sequence[float], first: XY | None, last: XY | None) -> list[XY]:
    """The directions at the places of a cubic spline over chord lengths, natural at an end where none is given."""
    n = len(told)
    chords = [((q[0] - p[0]) / g, (q[1] - p[1]) / g) for (p, q), g in zip(pairwise(told), gaps, strict=True)]
    above, right = [0.0] * n, [(0.0, 0.0)] * n
    if first is None:
        above[0], right[0] = 0.5, (1.5 * chords[0][0], 1.5 * chords[0][1])
    else:
        right[0] = first
    for i in range(1, n - 1):
        a, b = gaps[i - 1], gaps[i]
        pivot = 2 * (a + b) - b * above[i - 1]
        above[i] = a / pivot
        right[i] = (
            (3 * (a * chords[i][0] + b * chords[i - 1][0]) - b * right[i - 1][0]) / pivot,
            (3 * (a * chords[i][1] + b * chords[i - 1][1]) - b * right[i - 1][1]) / pivot,
        )
    if last is None:
        pivot = 1 - 0.5 * above[n - 2]
        x, y = right[n - 2]
        right[n - 1] = ((1.5 * chords[-1][0] - 0.5 * x) / pivot, (1.5 * chords[-1][1] - 0.5 * y) / pivot)
    else:
        right[n - 1] = last
    for i in range(n - 2, -1, -1):
        right[i] = (right[i][0] - above[i] * right[i + 1][0], right[i][1] - above[i] * right[i + 1][1])
    return right


def _parabolas(told: Sequence[XY], gaps: Sequence[float]) -> list[XY]:
    """The directions at the places of a curve that is led from place to place, each by its two neighbours alone."""
    chords = [((q[0] - p[0]) / g, (q[1] - p[1]) / g) for (p, q), g in zip(pairwise(told), gaps, strict=True)]
    inner = [
        ((b * c[0] + a * d[0]) / (a + b), (b * c[1] + a * d[1]) / (a + b))
        for (a, b), (c, d) in zip(pairwise(gaps), pairwise(chords), strict=True)
    ]
    first, last = (inner[0], inner[-1]) if inner else (chords[0], chords[0])
    return [
        (1.5 * chords[0][0] - 0.5 * first[0], 1.5 * chords[0][1] - 0.5 * first[1]),
        *inner,
        (1.5 * chords[-1][0] - 0.5 * last[0], 1.5 * chords[-1][1] - 0.5 * last[1]),
    ]


def _far(s: _Samples, node: _Node) -> float:
    j = int(node.sample)
    part = node.sample - j
    return s.far[j] + (part * (s.far[j + 1] - s.far[j]) if part else 0.0)


# ---------------------------------------------------------------- runs of an edge


@dataclass(frozen=True, slots=True)
class _Run:
    """A part of an edge from corner to corner, or a straight part: joined with a ruler, or a curve."""

    edge: str
    path: Path
    straight: bool


def _runs(edge: Edge) -> list[_Run]:
    """The edge cut at its corners, and where a long straight part begins or ends; read downwards, or outwards."""
    groups: list[list[Curve]] = []
    for curve in edge.curves:
        if groups:
            before = groups[-1][-1]
            turn = before.way(1.0)[0] * curve.way(0.0)[0] + before.way(1.0)[1] * curve.way(0.0)[1]
            split = turn < 0.9986  # 3 degrees
            split |= _is_ruled(before) != _is_ruled(curve)
            if not split:
                groups[-1].append(curve)
                continue
        groups.append([curve])
    runs = []
    for group in groups:
        path = tuple(group)
        if _upwards(path):
            path = reverse(path)
        runs.append(_Run(edge.name, path, _bends(path) <= _STRAIGHT))
    return runs[::-1] if _upwards(edge.curves) else runs


def _upwards(path: Path) -> bool:
    """Whether the run leads up, or inwards where it is flat."""
    start, end = path[0].start, path[-1].end
    steep = abs(start.y - end.y) >= abs(start.x - end.x)
    return start.y < end.y - 1e-6 if steep else start.x > end.x


def _is_ruled(curve: Curve) -> bool:
    return isinstance(curve, Line) and curve.length() >= _LONG


def _bends(path: Path) -> float:
    """How far the run leaves its chord, mm."""
    a, b = path[0].start, path[-1].end
    way = direction(a, b)
    points = (
        p for curve in path for p in ((curve.a, *curve.flat(0.3)) if isinstance(curve, Cubic) else curve.controls())
    )
    return max(abs((p[0] - a[0]) * way[1] - (p[1] - a[1]) * way[0]) for p in points)


# ---------------------------------------------------------------- the card of a piece

_ORDER: Final = (
    "neckline", "shoulder", "armhole", "cap", "side", "underarm_front", "underarm_back", "waist", "outer_edge", "",
    "hem", "cap_hem",
)  # fmt: skip
"""The order of work; "" stands for edges that are not named here."""
_ABOUT: Final[Mapping[str, tuple[str, ...]]] = {
    "cap": ("cap ",),
    "hem": ("sleeve ",),
    "outer_edge": ("facing ",),
    "vent_top": ("vent",),
    "slit": ("slit",),
}
"""What the steps of the draft that give no coordinate begin with, if they tell of an edge."""
_SQUARE_DEG: Final = 0.9994  # cosine of 2 degrees


_AROUND: Final = tuple((dx, dy) for dx in (-1, 0, 1) for dy in (-1, 0, 1) if dx or dy)


class _Card:
    """Works through one piece; letters are given in the order in which the places are met."""

    def __init__(
        self,
        pattern: Pattern,
        marked: MarkedPiece,
        known: dict[tuple[object, ...], tuple[_Node, ...]],
        copies: Mapping[tuple[XY, ...], str],
    ) -> None:
        self.unit: Unit = pattern.unit
        self.marked, self.drafted = marked, marked.cut.piece
        self.known, self.copies = known, copies
        self.frame = _frame(marked)
        self.formulas = _formulas(self.drafted, pattern.draft.steps)
        self.said: set[int] = set()
        self.letters: dict[tuple[int, int], Spot] = {}
        self.told: set[str] = set()
        self.steps: list[ChalkStep] = []
        self.runs = {edge.name: _runs(edge) for edge in self.drafted.edges}
        self.levels: dict[float, str] = {}

    def piece(self) -> ChalkPiece:
        drafted = self.drafted
        self._frame_step()
        self._levels()
        self._across()
        for edge in self._in_order(openings=False):
            self._edge(edge)
        for dart in drafted.darts:
            self._dart(dart)
        for edge in self._in_order(openings=True):
            self._edge(edge, "opening")
        self._inside()
        self._notches()
        self._allowances()
        return ChalkPiece(
            drafted.name,
            piece_words(drafted.name),
            cut_words(drafted),
            self.frame,
            self.marked.cut.stitch_line,
            self.marked.cut.cut_line,
            tuple(self.steps),
        )

    # ---- places

    def across(self, x: float) -> str:
        """As printed, with the side where that is not plain."""
        away = x - self.frame.x
        text = printed(away, self.unit)
        if abs(away) < 0.05 or text == f"{ROUNDED}0":
            return text
        if self.frame.both_sides:
            return f"{text} {'right' if away > 0 else 'left'}"
        return text if away > 0 else f"{text} beyond"

    def down(self, y: float) -> str:
        """As printed; "up" where the place lies above the level line."""
        away = self.frame.y - y
        text = printed(away, self.unit)
        return f"{text} up" if away < -0.05 and text != f"{ROUNDED}0" else text

    def spot(self, p: Point, words: str = "", *, letter: bool = True) -> Spot:
        """The place, with the letter that it has, or the next free one."""
        key = (round(p.x * 20), round(p.y * 20))
        if key in self.letters:
            return self.letters[key]
        for dx, dy in _AROUND:
            if (key[0] + dx, key[1] + dy) in self.letters:
                return self.letters[key[0] + dx, key[1] + dy]
        if not letter:
            return Spot("", words, p, self.across(p.x), self.down(p.y))
        n = len(self.letters)
        sign = "ABCDEFGHJKLMNPQRSTUVWXYZ"  # no I, no O: they read as numbers
        name = sign[n % len(sign)] + (str(n // len(sign) + 1) if n >= len(sign) else "")
        spot = Spot(name, words or self.name_of(p), p, self.across(p.x), self.down(p.y))
        self.letters[key] = spot
        return spot

    def name_of(self, p: Point) -> str:
        """What the draft calls the place, or the edges that meet there."""
        name = self.point_name(p)
        if name:
            return piece_words(name)
        edges = [e.name for e in self.drafted.edges if distance(e.start, p) < 0.02 or distance(e.end, p) < 0.02]
        if edges:
            return " and ".join(piece_words(edge) for edge in edges)
        if self.is_leg(p):
            return "dart leg"
        for edge in self.drafted.edges:
            if any(distance(curve.end, p) < 0.02 for curve in edge.curves):
                return "dart fold" if edge.takes else f"corner of the {piece_words(edge.name)}"
        return ""

    def is_leg(self, p: Point) -> bool:
        """Whether an open dart begins or ends there."""
        return any(
            dart.is_open and min(distance(dart.points[0], p), distance(dart.points[2], p)) < 0.02
            for dart in self.drafted.darts
        )

    def point_name(self, p: Point) -> str:
        return next((name for name, q in self.drafted.points.items() if distance(p, q) < 0.02), "")

    def is_known(self, p: Point) -> bool:
        return bool(self.spot(p, letter=False).letter)

    def say(self, mm: float) -> str:
        return printed_length(mm, self.unit)

    def add(
        self,
        title: str,
        words: Iterable[str],
        marks: Iterable[Mark],
        *,
        formula: Iterable[str] = (),
        table: Iterable[tuple[str, str, str, str]] = (),
        columns: tuple[str, str] = ("", ""),
        part: str,
    ) -> None:
        rows, marks = tuple(table), tuple(marks)
        self.told.update(spot.letter for mark in marks for spot in mark.spots)
        if rows and not any(columns):
            columns = self.columns()
        self.steps.append(
            ChalkStep(
                len(self.steps) + 1,
                self.drafted.name,
                title,
                tuple(words),
                tuple(formula),
                marks,
                rows,
                columns,
                part,
            )
        )

    def columns(self) -> tuple[str, str]:
        """Headings of a table; what they are measured from is told in the first step."""
        return (f"across, {self.unit}", f"down, {self.unit}")

    @staticmethod
    def row(spot: Spot) -> tuple[str, str, str, str]:
        return (spot.letter, spot.words, spot.across, spot.down)

    # ---- formulas

    def formula(self, name: str, axis: str) -> list[str]:
        """How the draft works out a coordinate of a named point; and what was added since, if anything."""
        step = self.formulas.get(f"{name}.{axis}")
        p = self.drafted.points.get(name)
        if step is None or p is None:
            return []
        self.said.add(id(step))
        here = p.x - self.frame.x if axis == "x" else self.frame.y - p.y
        return [f"= {step.words(self.unit)}{self.moved(step.value, here)}"]

    def moved(self, value: float, here: float) -> str:
        away = here - value
        if abs(away) < 0.05:
            return ""
        way = "more" if away > 0 else "less"
        return f" = {self.say(value)}; here {self.say(away)} {way}"

    def leftover(self, *about: str) -> list[str]:
        """Steps of the draft that give no coordinate, but tell of this."""
        found = []
        for step in self.formulas.values():
            if id(step) in self.said or not step.label.startswith(about):
                continue
            self.said.add(id(step))
            found.append(f"{step.label} = {step.words(self.unit)} = {self.say(step.value)}")
        return found

    # ---- steps

    def _frame_step(self) -> None:
        frame, cut = self.frame, Box.round(self.marked.cut.cut_line)
        above = _round_up(max(0.0, cut.top - frame.y), self.unit)
        high, wide = _round_up(cut.height, self.unit), _round_up(cut.width, self.unit)
        level = f"Chalk {frame.level} square to it, at least {above} below the end of the cloth."
        if frame.fold:
            title = f"Fold and {frame.level.removeprefix('the ')}"
            words = ["Fold the cloth, right sides together, along the thread. Pin.", level]
        else:
            beside = _round_up(max(0.0, frame.x - cut.left), self.unit)
            title = f"{_capital(frame.upright.removeprefix('the '))} and {frame.level.removeprefix('the ')}"
            layers = "Two layers, right sides together. Pin." if self.drafted.mirrored_pair else "One layer."
            words = [f"{layers} Chalk {frame.upright} along the thread, at least {beside} from the left edge.", level]
        words.append(f"“Across” is measured from {frame.upright}, “down” from {frame.level}.")
        words.append(f"The piece with its allowances is {wide} across and {high} down.")
        box = Box.round(self.marked.cut.stitch_line)
        upright = Mark(MarkKind.UPRIGHT, frame.upright, line=((frame.x, cut.top), (frame.x, cut.bottom)))
        level_line = Mark(
            MarkKind.LEVEL,
            frame.level.removeprefix("the "),
            line=((min(frame.x, box.left), frame.y), (box.right, frame.y)),
        )
        self.levels[frame.y] = frame.level.removeprefix("the ")
        formula = self.leftover(frame.level.removeprefix("the "))
        self.add(title, words, (upright, level_line), formula=formula, part="lines")

    def _levels(self) -> None:
        """Lines that the draft calls so, then lines inside the piece that are level and long."""
        found: list[tuple[float, str, str]] = []
        right = Box.round(self.marked.cut.stitch_line).right
        for at, step in self.formulas.items():
            name, _, axis = at.partition(".")
            if axis == "y" and step.label.endswith(" line") and name in self.drafted.points:
                found.append((self.drafted.points[name].y, step.label, name))
        for line in self.drafted.internal_lines:
            a, b = line.points[0], line.points[-1]
            if len(line.points) == 2 and abs(a.y - b.y) < 0.02 and abs(a.x - b.x) > 60:
                found.append((a.y, piece_words(line.name), ""))
        for y, label, name in sorted(found, key=lambda level: -level[0]):
            if any(abs(y - other) < 0.02 for other in self.levels):
                continue
            self.levels[y] = label
            down = self.down(y)
            drawn = ((self.frame.x, y), (right, y))
            spot = Spot("", label, Point(self.frame.x, y), "0", down)
            self.add(
                _capital(label),
                [f"{_sided(down, self.unit, 'down')} from {self.frame.level}, square across."],
                [Mark(MarkKind.LEVEL, label, (spot,), drawn)],
                formula=self.formula(name, "y") if name else (),
                part="lines",
            )

    def _across(self) -> None:
        """Places on a level line that have a formula of their own."""
        for at in self.formulas:
            name, _, axis = at.partition(".")
            p = self.drafted.points.get(name)
            if axis == "x" and p is not None and abs(p.y - self.frame.y) > 0.02 and self.level_at(p.y):
                self._point(name, "across")

    def level_at(self, y: float) -> str:
        return next((label for level, label in self.levels.items() if abs(level - y) < 0.02), "")

    def _point(self, name: str, part: str) -> None:
        p = self.drafted.points[name]
        if self.is_known(p):
            return
        spot = self.spot(p)
        level = self.level_at(p.y)
        across = f"{_sided(spot.across, self.unit)} from {self.frame.upright}"
        on_upright = abs(p.x - self.frame.x) < 0.05
        where = f"on the {level}" if level else f"{_sided(spot.down, self.unit, 'down')} from {self.frame.level}"
        words = f"{_capital(where)}, {f'on {self.frame.upright}' if on_upright else across}."
        formula = [] if on_upright else self.formula(name, "x")
        formula += [] if level else self.formula(name, "y")
        if not formula:
            del self.letters[(round(p.x * 20), round(p.y * 20))]
            return
        self.add(_capital(spot.words), [words], [Mark(MarkKind.POINT, name, (spot,))], formula=formula, part=part)

    def _in_order(self, *, openings: bool) -> list[Edge]:
        def place(edge: Edge) -> int:
            if edge.name in _ORDER:
                return _ORDER.index(edge.name)
            if edge.kind is EdgeKind.FOLD:
                return len(_ORDER)
            return _ORDER.index("hem" if edge.kind is EdgeKind.HEM else "")

        def is_opening(edge: Edge) -> bool:
            if edge.name in _ORDER or edge.kind is EdgeKind.FOLD:
                return False
            upright = all(abs(p.x - self.frame.x) < 0.02 for curve in edge.curves for p in curve.controls())
            return edge.kind is EdgeKind.OPENING or upright or edge.name.split("_")[0] in ("vent", "slit")

        return sorted((e for e in self.drafted.edges if is_opening(e) is openings), key=place)

    def _edge(self, edge: Edge, part: str = "") -> None:
        part = part or ("hem" if edge.kind in (EdgeKind.HEM, EdgeKind.FOLD) else edge.name)
        self._points_of(edge, part)
        label = piece_words(edge.name)
        words: list[str] = []
        marks: list[Mark] = []
        if edge.kind is EdgeKind.FOLD:
            spots = (self.spot(edge.start), self.spot(edge.end))
            words = [f"The fold itself, from {_place(spots[0])} to {_place(spots[1])}: no seam, never cut."]
            marks = [Mark(MarkKind.FOLD, edge.name, spots, (edge.start, edge.end))]
        else:
            for run in self.runs[edge.name]:
                mark, told = self._run(run, edge)
                marks.append(mark)
                words += told
        rows = dict.fromkeys(self.row(s) for mark in marks for s in mark.spots if self._fresh(s))
        if any(mark.kind is MarkKind.CURVE for mark in marks):
            copied = self.copies.get(self.marked.cut.lines[edge.name])
            if copied:
                words.append(f"It is the {copied}: trace that instead, if you like.")
            closed = ", dart closed" if edge.takes else ""
            words.append(f"Check with the tape: {self.say(edge.sewn_length())} long{closed}.")
        self.add(
            _capital(label), words, marks, formula=self.leftover(*_ABOUT.get(edge.name, ())), table=rows, part=part
        )

    def _fresh(self, spot: Spot) -> bool:
        """Whether no step has told the numbers of this place yet."""
        return not spot.letter or spot.letter not in self.told

    def _points_of(self, edge: Edge, part: str) -> None:
        """Steps of their own for those places of an edge that the draft has a formula for."""
        places = [edge.start, *(curve.end for curve in edge.curves)]
        names = [
            name
            for name in map(self.point_name, places)
            if f"{name}.x" in self.formulas or f"{name}.y" in self.formulas
        ]
        order = list(self.formulas)
        for name in sorted(
            names, key=lambda n: min(order.index(at) for at in (f"{n}.x", f"{n}.y") if at in self.formulas)
        ):
            self._point(name, part)

    def _run(self, run: _Run, edge: Edge) -> tuple[Mark, list[str]]:
        start, end = run.path[0].start, run.path[-1].end
        if run.straight:
            a, b = self.spot(start), self.spot(end)
            mark = Mark(MarkKind.STRAIGHT, edge.name, (a, b), (start, end))
            return mark, [f"Straight from {_place(a)} to {_place(b)}."]
        nodes = self._nodes(run)
        first = self.spot(nodes[0].at)
        spots = (first, *(self.spot(n.at, letter=bool(n.name)) for n in nodes[1:-1]), self.spot(nodes[-1].at))
        line: list[XY] = [start]
        for curve in run.path:
            line.extend(curve.flat(0.2))
        square = (self._square(run, 0.0), self._square(run, 1.0))
        mark = Mark(MarkKind.CURVE, edge.name, spots, tuple(line), square)
        through = [s.letter for s in spots[1:-1] if s.letter]
        rings = sum(not s.letter for s in spots)
        by = ", ".join([*through, *(["the ring" if rings == 1 else "the rings"] if rings else [])])
        words = f"A curve from {_place(spots[0])} to {_place(spots[-1])}, through {' and '.join(by.rsplit(', ', 1))}."
        said = [words]
        for spot, to in ((spots[0], square[0]), (spots[-1], square[1])):
            if to:
                what = {"upright": self.frame.upright, "level": f"the {self.level_at(spot.at.y)}"}.get(
                    to, f"the {piece_words(to)}"
                )
                said.append(f"Square to {what} at {spot.letter}.")
        for curve_end, spot in ((run.path[0].start, spots[0]), (run.path[-1].end, spots[-1])):
            if self._runs_on(run, edge, curve_end):
                said.append(f"It runs smoothly into the straight line at {spot.letter}.")
        return mark, said

    def _runs_on(self, run: _Run, edge: Edge, at: Point) -> bool:
        """Whether a straight part of the same edge goes on there."""
        return any(
            other is not run
            and other.straight
            and min(distance(other.path[0].start, at), distance(other.path[-1].end, at)) < 0.02
            and self._smooth(run, other, at)
            for other in self.runs[edge.name]
        )

    @staticmethod
    def _smooth(run: _Run, other: _Run, at: Point) -> bool:
        ways = [
            r.path[0].way(0.0) if distance(r.path[0].start, at) < 0.02 else r.path[-1].way(1.0) for r in (run, other)
        ]
        return abs(ways[0].x * ways[1].x + ways[0].y * ways[1].y) > 0.9986

    def _nodes(self, run: _Run) -> tuple[_Node, ...]:
        named = {}
        for k, curve in enumerate(run.path[:-1], start=1):
            if self.point_name(curve.end) or self.is_leg(curve.end):
                named[k] = self.name_of(curve.end)
        key = (run.path, self.frame.x, self.frame.y, tuple(named.items()))
        if key not in self.known:
            self.known[key] = _ordinates(run.path, self.frame, self.unit, named)
        return self.known[key]

    def _square(self, run: _Run, t: float) -> str:
        """What the run is square to at its start (0) or end (1)."""
        at = run.path[0].start if t == 0.0 else run.path[-1].end
        way = run.path[0].way(0.0) if t == 0.0 else run.path[-1].way(1.0)
        for edge in self.drafted.edges:
            if edge.name == run.edge:
                continue
            for other in self.runs[edge.name]:
                if (
                    not other.straight
                    or min(distance(other.path[0].start, at), distance(other.path[-1].end, at)) > 0.02
                ):
                    continue
                along = direction(other.path[0].start, other.path[-1].end)
                if abs(way.x * along.y - way.y * along.x) > _SQUARE_DEG:
                    on_upright = abs(along.x) < 1e-6 and abs(at.x - self.frame.x) < 0.05
                    return "upright" if on_upright else edge.name
        if abs(way.x) > _SQUARE_DEG and abs(at.x - self.frame.x) < 0.05:
            return "upright"
        return "level" if abs(way.y) > _SQUARE_DEG and self.level_at(at.y) else ""

    def _dart(self, dart: Dart) -> None:
        label = f"{piece_words(dart.name)} dart"
        for p in dart.points:
            name = self.point_name(p)
            if f"{name}.x" in self.formulas or f"{name}.y" in self.formulas:
                self._point(name, "dart")
        if dart.is_open:
            names: tuple[str, ...] = ("dart leg", "dart point", "dart leg")
        else:
            names = ("dart, upper point", "dart, outer", "dart, lower point", "dart, inner")
        spots = tuple(self.spot(p, name) for p, name in zip(dart.points, names, strict=True))
        line = dart.points if dart.is_open else (*dart.points, dart.points[0])
        joined = "-".join(s.letter for s in (spots if dart.is_open else (*spots, spots[0])))
        words = [
            f"Join {joined} with straight lines: {self.say(dart.intake)} is taken in.",
            "Push a pin through both layers at each point and chalk the under layer there.",
        ]
        rows = [self.row(s) for s in spots if self._fresh(s)]
        formula = self.leftover(f"{dart.name} ", *(() if dart.is_open else ("dart, ",)))
        self.add(
            _capital(label),
            words,
            [Mark(MarkKind.DART, dart.name, spots, line)],
            formula=formula,
            table=rows,
            part="dart",
        )

    def _inside(self) -> None:
        for line in self.drafted.internal_lines:
            ys = {round(p.y, 2) for p in line.points}
            if len(ys) == 1 and self.level_at(line.points[0].y):
                continue
            spots = tuple(self.spot(p, self.name_of(p) or piece_words(line.name)) for p in line.points)
            rows = [self.row(s) for s in spots if self._fresh(s)]
            words = [f"Chalk {' to '.join(s.letter for s in spots)}: {piece_words(line.name)}. Do not cut."]
            self.add(
                _capital(piece_words(line.name)),
                words,
                [Mark(MarkKind.INSIDE, line.name, spots, line.points)],
                formula=self.leftover(line.name.split()[0]),
                table=rows,
                part="opening",
            )

    def _notches(self) -> None:
        if not self.marked.notches:
            return
        marks, rows = [], []
        double = False
        for notch in self.marked.notches:
            spot = self.spot(notch.point, letter=False)
            marks.append(
                Mark(
                    MarkKind.NOTCH,
                    notch.edge,
                    (spot,),
                    (notch.point, Point(notch.point.x + notch.direction.x, notch.point.y + notch.direction.y)),
                )
            )
            twice = " (two)" if notch.count > 1 else ""
            double |= notch.count > 1
            name = f"{piece_words(notch.edge)}: {notch.name or 'notch'}{twice}"
            rows.append((spot.letter, name, spot.across, spot.down))
        words = ["On the stitch line; lead each square out to the cut line and snip it there last."]
        if double:
            words.append(f"“Two”: a pair of snips, {self.say(DOUBLE_APART)} apart.")
        self.add("Notches", words, marks, table=rows, part="finish")

    def _allowances(self) -> None:
        cut, drafted = self.marked.cut, self.drafted
        rows = [
            (
                "",
                piece_words(edge.name),
                self.say(cut.allowances[edge.name]) if cut.allowances[edge.name] else "none",
                "",
            )
            for edge in drafted.edges
            if edge.kind is not EdgeKind.FOLD
        ]
        words = ["Chalk the cut line outside every edge by its allowance. Pin inside the lines, then cut."]
        if any(edge.kind is EdgeKind.FOLD for edge in drafted.edges):
            words.append("Nothing is added at the fold.")
        if "turned back" in cut.corners.values():
            words.append(
                "Below the hem line, let the sides run out again as they run in above it: turned up, the hem lies flat."
            )
        mark = Mark(MarkKind.CUT, "cut line", line=(*cut.cut_line, cut.cut_line[0]))
        self.add("Allowances", words, [mark], table=rows, columns=("cut outside", ""), part="finish")


def _place(spot: Spot) -> str:
    return f"{spot.letter} ({spot.words})" if spot.words else spot.letter


def _sided(text: str, unit: Unit, usual: str = "") -> str:
    """`~2 left` -> `~2 in to the left`; `2 up` -> `2 in up`."""
    number, _, side = text.rpartition(" ") if text[-1].isalpha() else (text, "", usual)
    side = f"to the {side}" if side in ("left", "right") else side
    return f"{number} {unit} {side}".rstrip()


# ---------------------------------------------------------------- from where it is measured


def _frame(marked: MarkedPiece) -> Frame:
    piece = marked.cut.piece
    box = Box.round(marked.cut.stitch_line)
    centre = next((e for e in piece.edges if e.kind is EdgeKind.FOLD and _is_upright(e)), None)
    centre = centre or next((e for e in piece.edges if e.name.startswith("centre") and _is_upright(e)), None)
    middle = (piece.grain[0].x + piece.grain[1].x) / 2
    both = False
    if centre is not None:
        x, fold = centre.start.x, centre.kind is EdgeKind.FOLD
        upright = "the fold" if fold else f"the {piece_words(centre.name)} line"
        if box.right - x < x - box.left:
            both = True
    elif abs(piece.grain[0].x - piece.grain[1].x) < 0.02 and abs(box.left + box.right - 2 * middle) < 0.35 * box.width:
        x, fold, upright, both = middle, False, "the middle line", True
    else:
        x, fold, upright = box.left, False, "the upright line"
    inside = {round(line.points[0].y, 2): line.name for line in piece.internal_lines if _is_level(line.points)}
    if abs(box.top) < 1.0:
        y, level = 0.0, "the top line"
    elif 0.0 in inside:
        y, level = 0.0, f"the {piece_words(inside[0.0])}"
    elif centre is not None:
        y, level = max(centre.start.y, centre.end.y), "the level line"
    else:
        y, level = box.top, "the level line"
    for name, p in piece.points.items():
        if level == "the level line" and name == "waist_centre" and abs(p.y - y) < 0.02:
            level = "the waist line"
    return Frame(x, y, upright, level, fold, both)


def _is_level(points: Sequence[Point]) -> bool:
    return max(p.y for p in points) - min(p.y for p in points) < 0.02


def _is_upright(edge: Edge) -> bool:
    return abs(edge.start.x - edge.end.x) < 1e-6 and all(isinstance(curve, Line) for curve in edge.curves)


def steps_of(piece: str, steps: Sequence[Step]) -> str:
    """The name under which the draft tells the steps of a piece: its own, or for `skirt_front` that of `front`."""
    names = {step.piece for step in steps}
    if piece in names:
        return piece
    return next((name for name in sorted(names) if piece.endswith(f"_{name}")), "")


def _formulas(piece: Piece, steps: Sequence[Step]) -> dict[str, Step]:
    """What the draft says of the piece: by the coordinate it gives, else by its label."""
    base = steps_of(piece.name, steps)
    return {step.at or step.label: step for step in steps if step.piece == base}
