"""The upper edges of a half drawn anew: its shoulder laid between other ends, armhole, neck and side led to them.

neck ___            a shoulder is straight, or of its shape, with its darts closed; so it is laid: turned, and drawn
 |      \\__ tip     out where it is to be longer, as if they were closed, and opened again about the same points
 |       (
 |        \\__ underarm
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from itertools import pairwise
from math import radians
from typing import Final, Literal, TypeAlias

from ..draft.darts import bent, dart_cap
from ..draft.moves import turn
from ..draft.pivots import open_dart, shorten
from ..draft.sectors import undone
from ..draft.stretches import cut_run
from ..errors import GeometryError
from ..geometry.affine import Move
from ..geometry.curve import Curve, Line
from ..geometry.path import Path, part, path_length, place_at, reverse, solve
from ..geometry.point import Point, along, between, direction, distance, meeting, turn_deg
from ..geometry.polygon import contains
from ..model.piece import Dart, Edge, EdgeKind, Piece, Side, Take
from ..values import dataclass, replace
from .fitter import NotHere, called
from .warp import Rows, at_end, parted_at, redrawn

Led: TypeAlias = Callable[[Point], Point]
"""By how much a place moves."""
_WIDEST_DEG: Final = 40.0
_SMOOTH_DEG: Final = 0.5
"""A line that turns by no more runs on smoothly."""
_ROOM: Final = 10.0
"""An armhole is turned no nearer to a dart or to its end, mm (judgement, no source)."""
HALF: Final = ("neck", "shoulder", "armhole")


@dataclass(frozen=True, slots=True)
class Half:
    """A front or back half, by its upper edges."""

    piece: Piece

    @classmethod
    def of(cls, piece: Piece) -> Half:
        """Raises NotHere where neck, shoulder and armhole do not follow each other."""
        half = cls(piece)
        for name in HALF:
            if not called(piece, name):
                raise NotHere(f"the {piece.name} has no {name}")
        names = set(piece.beside(half.name("shoulder")))
        if names != {half.name("neck"), half.name("armhole")}:
            raise NotHere(f"the shoulder of the {piece.name} does not lie between neck and armhole")
        return half

    def name(self, place: str) -> str:
        return called(self.piece, place)

    def edge(self, place: str) -> Edge:
        """Raises NotHere where there is none."""
        if not self.name(place):
            raise NotHere(f"the {self.piece.name} has no {place}")
        return self.piece.edge(self.name(place))

    @property
    def from_neck(self) -> bool:
        """Whether the shoulder runs from the neck to the tip in the outline's direction."""
        return self.piece.beside(self.name("shoulder"))[0] == self.name("neck")

    @property
    def neck(self) -> Point:
        shoulder = self.edge("shoulder")
        return shoulder.start if self.from_neck else shoulder.end

    @property
    def tip(self) -> Point:
        shoulder = self.edge("shoulder")
        return shoulder.end if self.from_neck else shoulder.start

    @property
    def underarm(self) -> Point:
        armhole = self.edge("armhole")
        return armhole.end if self.from_neck else armhole.start

    @property
    def centre(self) -> Point:
        """Where the neck ends at the centre."""
        neck = self.edge("neck")
        return neck.start if self.from_neck else neck.end

    @property
    def lower(self) -> str:
        """The name of the edge at the lower end of the side."""
        return next(name for name in self.piece.beside(self.name("side")) if name != self.name("armhole"))

    @property
    def ends_at_waist(self) -> bool:
        """Whether it ends in a seam, as at the waist, so that darts open there."""
        return self.edge(self.lower).kind is not EdgeKind.HEM

    def along_shoulder(self) -> Path:
        """The shoulder from the neck to the tip, its darts open."""
        shoulder = self.edge("shoulder").curves
        return shoulder if self.from_neck else reverse(shoulder)

    def upwards(self) -> Path:
        """The armhole from the underarm up to the tip."""
        armhole = self.edge("armhole").curves
        return reverse(armhole) if self.from_neck else armhole

    def outwards(self) -> Path:
        """The neck from the centre to the shoulder."""
        neck = self.edge("neck").curves
        return neck if self.from_neck else reverse(neck)

    def is_turned(self, place: str) -> bool:
        """Whether an edge runs, in the outline's direction, against the way in which it is told here."""
        return self.from_neck is (place in ("armhole", "side", "centre"))


# ---------------------------------------------------------------- shoulder


@dataclass(frozen=True, slots=True)
class _Fold:
    """A dart of a shoulder: its legs, the nearer to the neck first, its point; None in place of the legs: a new one."""

    inner: Point
    outer: Point
    tip: Point
    pressed: Side
    name: str

    @property
    def deg(self) -> float:
        return turn_deg(direction(self.tip, self.inner), direction(self.tip, self.outer))


@dataclass(frozen=True, slots=True)
class Shoulder:
    """A shoulder from the neck outwards: its runs between its darts."""

    half: Half
    runs: tuple[Path, ...]
    caps: tuple[Path, ...]
    folds: tuple[_Fold, ...]

    @classmethod
    def of(cls, half: Half) -> Shoulder:
        """Raises NotHere where something else than darts is sewn into it."""
        edge, piece = half.edge("shoulder"), half.piece
        long = edge.length()
        takes = sorted(edge.takes, key=lambda take: take.start)
        if any(take.kind != "dart" or take.tip is None for take in takes):
            raise NotHere(f"the shoulder of the {piece.name} is gathered or pleated")
        ends = [0.0, *(far for take in takes for far in (take.start, take.end)), long]
        runs = [stretch(edge.curves, a, b) for a, b in zip(ends[::2], ends[1::2], strict=True)]
        caps = [stretch(edge.curves, take.start, take.end) for take in takes]
        if not half.from_neck:
            runs, caps = [reverse(run) for run in reversed(runs)], [reverse(cap) for cap in reversed(caps)]
            takes = takes[::-1]
        folds = []
        for cap, take in zip(caps, takes, strict=True):
            assert take.tip is not None
            name = next((d.name for d in piece.darts if d.is_open and distance(d.points[1], take.tip) < 0.1), "")
            folds.append(_Fold(cap[0].start, cap[-1].end, take.tip, take.pressed, name))
        return cls(half, tuple(runs), tuple(caps), tuple(folds))

    @property
    def long(self) -> float:
        """As it is sewn, mm."""
        return sum(map(path_length, self.runs))

    def opened(self, degs: Sequence[float], tips: Sequence[Point]) -> list[Move]:
        """How each run lies, from where it would be with all darts closed."""
        moves = [Move()]
        for deg, tip in zip(degs, tips, strict=True):
            moves.append(moves[-1].then(turn(tip, deg)))
        return moves

    def closed(self, tip: Point) -> Point:
        """Where a place beyond all darts lies with them closed."""
        return undone(self._moves()[-1]).point(tip)

    def _moves(self) -> list[Move]:
        return self.opened([fold.deg for fold in self.folds], [fold.tip for fold in self.folds])

    @property
    def intake(self) -> float:
        """What its darts take in, mm."""
        return sum(distance(fold.inner, fold.outer) for fold in self.folds)

    @property
    def chord(self) -> float:
        """Straight from neck to tip with all darts closed, mm."""
        return distance(self.half.neck, self.closed(self.half.tip))

    def slope_deg(self) -> float:
        """How it slopes with its darts closed."""
        a, b = self.half.neck, self.closed(self.half.tip)
        return abs(turn_deg((1.0 if b.x > a.x else -1.0, 0.0), direction(a, b)))

    def long_at(self, tip: Point, neck: Point, led: Led | None = None, *, without: bool = False) -> float:
        """How long it is as sewn if it is laid from there to there, its darts as wide as they are, or none at all."""
        degs, tips = self._darts(led)
        moves = self.opened([0.0 if without else deg for deg in degs], tips)
        return self.long * distance(neck, undone(moves[-1]).point(tip)) / self.chord

    def _darts(self, led: Led | None) -> tuple[list[float], list[Point]]:
        def moved(p: Point) -> Point:
            by = led(p) if led else Point(0.0, 0.0)
            return Point(p.x + by.x, p.y + by.y)

        return [fold.deg for fold in self.folds], [moved(fold.tip) for fold in self.folds]

    def with_dart(self, tip: Point, name: str) -> Shoulder:
        """With a dart to that point that takes nothing in as yet, square to the shoulder or near its middle."""
        (run,) = self.runs
        a, b = run[0].start, run[-1].end
        way = direction(a, b)
        foot = (tip.x - a.x) * way.x + (tip.y - a.y) * way.y
        at = path_length(run) * min(0.65, max(0.35, foot / distance(a, b)))
        inner, outer = cut_run(run, at)
        p = inner[-1].end
        return replace(self, runs=(inner, outer), caps=((),), folds=(_Fold(p, p, tip, "", name),))

    def laid(
        self, tip: Point, neck: Point, *, sewn: float | None = None, led: Led | None = None, without: bool = False
    ) -> Anew:
        """From the neck to the tip, both where they are to be. `sewn`: its first dart takes in what it would be longer
        than that; `led`: by how much the points of its darts move; `without` them.

        Raises GeometryError where no dart makes it so short, or so long.
        """
        half = self.half
        degs, tips = self._darts(led)
        if without:
            degs = [0.0] * len(degs)
        elif sewn is not None:
            degs[0] = self._deg(tip, neck, sewn, tips, degs)
        before, now = self._moves(), self.opened(degs, tips)
        a, b = half.neck, self.closed(half.tip)
        c, d = neck, undone(now[-1]).point(tip)
        k = complex(d.x - c.x, d.y - c.y) / complex(b.x - a.x, b.y - a.y)

        def moved(index: int) -> Led:
            back, on = undone(before[index]), now[index]

            def point(p: Point) -> Point:
                q = back.point(p)
                z = complex(q.x - a.x, q.y - a.y) * k
                return on.point((c.x + z.real, c.y + z.imag))

            return point

        runs = [mapped(run, moved(i)) for i, run in enumerate(self.runs)]
        return self._assembled(runs, tips, degs)

    def _deg(self, tip: Point, neck: Point, sewn: float, tips: list[Point], degs: list[float]) -> float:
        sign = -1.0 if turn_deg(direction(tips[0], neck), direction(tips[0], tip)) < 0 else 1.0

        def over(deg: float) -> float:
            moves = self.opened([deg * sign, *degs[1:]], tips)
            return self.long * distance(neck, undone(moves[-1]).point(tip)) / self.chord - sewn

        if abs(over(0.0)) < 1e-6:
            return 0.0
        return solve(over, 0.0, _WIDEST_DEG, near=1e-9) * sign

    def _assembled(self, runs: list[Path], tips: list[Point], degs: list[float]) -> Anew:
        half = self.half
        rows: list[tuple[Path, Path]] = [(self.runs[0], runs[0])]
        takes: list[Take] = []
        darts: dict[str, Dart | None] = {fold.name: None for fold in self.folds}
        done = path_length(runs[0])
        for fold, tip, deg, cap, run, old in zip(
            self.folds, tips, degs, self.caps, runs[1:], self.runs[1:], strict=True
        ):
            if abs(deg) > 1e-4:
                pressed: Side = fold.pressed or ("start" if half.from_neck else "end")
                to_neck = (pressed == "start") is half.from_neck
                new = dart_cap(rows[-1][1], tip, run, pressed_to_start=to_neck)
                rows.append((cap, new))
                first, last = new[0].start, new[-1].end
                darts[fold.name] = _open_dart(fold.name, (first, tip, last), turned=not half.from_neck)
                takes.append(Take(done, done + path_length(new), "dart", tip, pressed))
                done += path_length(new)
            rows.append((old, run))
            done += path_length(run)
        return Anew(half, {"shoulder": rows}, {"shoulder": takes}, darts)


def _open_dart(name: str, points: tuple[Point, Point, Point], *, turned: bool) -> Dart:
    return Dart(name, points[::-1] if turned else points, distance(points[0], points[2]))


# ---------------------------------------------------------------- what is drawn anew


@dataclass(frozen=True, slots=True)
class Anew:
    """Edges of a half drawn anew, by place: rows and takes, the shoulder's and the neck's outwards from neck or centre,
    armhole and side upwards, the centre downwards; darts by name, None for one that is gone."""

    half: Half
    rows: Mapping[str, Rows]
    takes: Mapping[str, Sequence[Take]]
    darts: Mapping[str, Dart | None]

    def __add__(self, other: Anew) -> Anew:
        return Anew(
            self.half, {**self.rows, **other.rows}, {**self.takes, **other.takes}, {**self.darts, **other.darts}
        )

    def turned_deg(self, at: Literal["neck", "tip"]) -> float:
        """By how much the shoulder is turned where it meets the neck or the armhole."""
        index = 0 if at == "neck" else -1
        old, new = self.half.along_shoulder(), tuple(c for _, run in self.rows["shoulder"] for c in run)
        return turn_deg(old[index].way(float(-index)), new[index].way(float(-index)))

    def trued(self, *places: Literal["neck", "armhole"]) -> Anew:
        """With neck or armhole bent at their upper ends, so that they meet the shoulder at the angles that they met it
        at, and run on over the seam; as long as they are."""
        rows = dict(self.rows)
        for place in places:
            path = self.half.outwards() if place == "neck" else self.half.upwards()
            own = list(rows.get(place) or by_row(path, lambda p: p))
            old, last = own[-1] if own[-1][1] else own[-2]
            by = self.turned_deg("neck" if place == "neck" else "tip")
            by -= turn_deg(path[-1].way(1.0), last[-1].way(1.0))
            if abs(by) > 1e-6:
                new = (*last[:-1], bent(last[-1], radians(by), at_end=True, as_long=True))
                own[own.index((old, last))] = (old, new)
            rows[place] = own
        return replace(self, rows=rows)

    def piece(self) -> Piece:
        """The half with all that, and nothing else moved."""
        piece, half = self.half.piece, self.half
        drawn: dict[str, Rows] = {}
        takes: dict[str, tuple[Take, ...]] = {}
        for place, rows in self.rows.items():
            name = half.name(place)
            turned = half.is_turned(place)
            drawn[name] = tuple((reverse(a), reverse(b)) for a, b in reversed(rows)) if turned else tuple(rows)
            if place in self.takes:
                long = sum(path_length(new) for _, new in rows)
                takes[name] = tuple(
                    replace(take, start=long - take.end, end=long - take.start) for take in reversed(self.takes[place])
                ) if turned else tuple(self.takes[place])  # fmt: skip
        darts = [self.darts.get(dart.name, dart) for dart in piece.darts]
        known = {dart.name for dart in piece.darts}
        new = [dart for name, dart in self.darts.items() if name not in known]
        made = redrawn(piece, drawn, takes, [dart for dart in (*darts, *new) if dart is not None])
        tips = [(old.points[1], now.points[1]) for old, now in zip(piece.darts, darts, strict=True) if now]
        points = {
            name: next((now for was, now in tips if distance(was, old) < 1e-6), made.points[name])
            for name, old in piece.points.items()
        }
        return replace(made, points=points)


def stretch(path: Path, start: float, end: float) -> Path:
    """A run from one place to another, mm along it; a place that is hardly off the end of a curve is that end."""
    return part(path, at_end(path, start), at_end(path, end))


def mapped(path: Path, point: Led) -> Path:
    """A run with its controls moved."""
    return tuple(curve.with_controls(tuple(map(point, curve.controls()))) for curve in path)


def by_row(path: Path, point: Led) -> Rows:
    """Curve by curve, with its controls moved; what ran on smoothly from curve to curve does so still."""
    new = list(mapped(path, point))
    for k, (before, after) in enumerate(pairwise(path)):
        if abs(turn_deg(before.way(1.0), after.way(0.0))) > _SMOOTH_DEG:
            continue
        a, b = new[k].way(1.0), new[k + 1].way(0.0)
        way = direction((0.0, 0.0), (a.x + b.x, a.y + b.y))
        if isinstance(before, Line) is not isinstance(after, Line):  # a line is led by nothing
            way = a if isinstance(before, Line) else b
        new[k], new[k + 1] = aimed(new[k], way, at_end=True), aimed(new[k + 1], way, at_end=False)
    return tuple(((old,), (curve,)) for old, curve in zip(path, new, strict=True))


def aimed(curve: Curve, way: Point, *, at_end: bool, as_far: Curve | None = None) -> Curve:
    """The curve with that direction at one end, and its handle there as long as it is, or as that of another curve."""
    if isinstance(curve, Line) or isinstance(as_far, Line):
        return curve
    (a, b, c, d), like = curve.controls(), (as_far or curve).controls()
    if at_end:
        return curve.with_controls((a, b, along(d, way, -distance(like[2], like[3])), d))
    return curve.with_controls((a, along(a, way, distance(like[0], like[1])), c, d))


# ---------------------------------------------------------------- armhole, neck, side


def led_armhole(half: Half, low: Point, high: Point, *, turned: float = 0.0) -> Anew:
    """The armhole with its lower end moved by `low`, its upper one by `high`, where it is turned by so many degrees, as
    the shoulder is; all between is led along so that it is as long as it was. A dart in it opens as wide as it did,
    about its point.

    Raises GeometryError where it cannot be as long.
    """
    edge = half.edge("armhole")
    (take,) = edge.takes or (None,)
    long, path = edge.sewn_length(), half.upwards()
    if path_length(path) - distance(path[0].start, path[-1].end) < 1.0:
        raise NotHere(f"the armhole of the {half.piece.name} is straight, and there is none that is curved")
    if take is None:
        return Anew(half, {"armhole": _led_run(path, low, high, long, turned)}, {}, {})
    return _led_about_dart(half, take, low, high, turned)


def _led_run(path: Path, low: Point, high: Point, long: float, turned: float) -> Rows:
    """A run led from one shift to another, as long as told: its middle further out or in."""
    a, b = path[0].start, path[-1].end

    def rows(out: float) -> Rows:
        def point(p: Point) -> Point:
            t = (p.y - a.y) / (b.y - a.y)
            more = out * 4 * t * (1.0 - t)
            return Point(p.x + low.x + (high.x - low.x) * t + more, p.y + low.y + (high.y - low.y) * t)

        return end_turned(by_row(path, point), path, turned)

    def over(out: float) -> float:
        return sum(path_length(new) for _, new in rows(out)) - long

    if abs(over(0.0)) < 1e-6:
        return rows(0.0)
    try:
        return rows(solve(over, *bracket(over, 0.0, 1.0, 25.0), near=1e-7))
    except GeometryError:
        if not turned:
            raise
        return _led_run(path, low, high, long, 0.0)  # of one great curve: it meets the shoulder as that lies now


def end_turned(rows: Rows, path: Path, turned: float) -> Rows:
    """With the last curve leaving by the way that the run left, turned by so many degrees."""
    old, new = rows[-1]
    by = turned - turn_deg(path[-1].way(1.0), new[-1].way(1.0))
    return (*rows[:-1], (old, (*new[:-1], bent(new[-1], radians(by), at_end=True, as_long=False))))


def bracket(over: Callable[[float], float], start: float, step: float, most: float) -> tuple[float, float]:
    """Two values about a root, sought to both sides of a start. Raises GeometryError where there is none near."""
    by = step
    while by <= most:
        for low, high in ((start, start + by), (start - by, start)):
            if over(low) * over(high) <= 0:
                return low, high
        by += step
    raise GeometryError("no line of that length can be drawn there")


def _led_about_dart(half: Half, take: Take, low: Point, high: Point, turned: float) -> Anew:
    path, edge = half.upwards(), half.edge("armhole")
    total, long = edge.length(), edge.sewn_length()
    ends = (total - take.end, total - take.start) if half.from_neck else (take.start, take.end)
    lower, cap, upper = stretch(path, 0.0, ends[0]), stretch(path, *ends), stretch(path, ends[1], total)
    p, q, tip = cap[0].start, cap[-1].end, take.tip
    assert tip is not None
    deg = turn_deg(direction(tip, p), direction(tip, q))
    opened = turn(tip, deg)

    def drawn(share: float) -> tuple[Rows, Rows]:
        by = turn((0.0, 0.0), -share * deg).point(low)
        leg = opened.point((p.x + by.x, p.y + by.y))
        above = end_turned(_led(upper, Point(leg.x - q.x, leg.y - q.y), high), path, turned)
        below = _led(lower, low, by)
        a, b = below[-1][1][-1].way(1.0), turn((0.0, 0.0), -deg).point(above[0][1][0].way(0.0))
        way = direction((0.0, 0.0), (a.x + b.x, a.y + b.y))  # smooth with the dart closed
        end = aimed(below[-1][1][-1], way, at_end=True)
        start = aimed(above[0][1][0], turn((0.0, 0.0), deg).point(way), at_end=False)
        return (*below[:-1], (below[-1][0], (end,))), ((above[0][0], (start,)), *above[1:])

    def over(share: float) -> float:
        return sum(path_length(new) for rows in drawn(share) for _, new in rows) - long

    before, after = drawn(solve(over, *bracket(over, 0.5, 0.25, 3.0), near=1e-7))
    pressed = (take.pressed == "start") is not half.from_neck
    new = dart_cap(before[-1][1], tip, after[0][1], pressed_to_start=pressed)
    start = sum(path_length(row) for _, row in before)
    name = next(d.name for d in half.piece.darts if d.is_open and distance(d.points[1], tip) < 0.1)
    dart = _open_dart(name, (new[0].start, tip, new[-1].end), turned=half.from_neck)
    own = replace(take, start=start, end=start + path_length(new))
    return Anew(half, {"armhole": (*before, (cap, new), *after)}, {"armhole": (own,)}, {name: dart})


def _led(path: Path, low: Point, high: Point) -> Rows:
    a, b = path[0].start, path[-1].end

    def point(p: Point) -> Point:
        t = (p.y - a.y) / (b.y - a.y)
        return Point(p.x + low.x + (high.x - low.x) * t, p.y + low.y + (high.y - low.y) * t)

    return by_row(path, point)


def bent_above(half: Half, low: float, tip: Point, turned: float, new: Path | None = None) -> Anew:
    """The armhole bent in a smooth curve from a height upwards to another end, where it is turned by so many degrees;
    or, of as many curves, a `new` one, which is it at that height and below."""
    path = half.upwards()
    new = new or path
    end = new[-1].end
    before, runs = (tuple(bit for c in run for bit in parted_at(c, (low,))) for run in (path, new))
    first = next(k for k, curve in enumerate(runs) if (curve.start.y + curve.end.y) / 2 > low)
    by = Point(tip.x - end.x, tip.y - end.y)

    def point(p: Point) -> Point:
        t = max(0.0, (p.y - low) / (end.y - low)) ** 2
        return Point(p.x + by.x * t, p.y + by.y * t)

    upper = end_turned(by_row(runs[first:], point), path, turned)
    after = [*runs[:first], aimed(upper[0][1][0], runs[first].way(0.0), at_end=False)]
    after += [row[0] for _, row in upper[1:]]
    return Anew(half, {"armhole": tuple(((a,), (b,)) for a, b in zip(before, after, strict=True))}, {}, {})


def hinge(half: Half, below: float) -> float:
    """How far up from the underarm the place lies that is so far below the tip along the armhole; above a dart that it
    would lie in or below. Raises GeometryError where no room is left above that."""
    edge = half.edge("armhole")
    long = edge.length()
    ends = [long - take.start if half.from_neck else take.end for take in edge.takes]
    at = max(long - below, max(ends, default=0.0) + 2 * _ROOM)
    if at > long - 2 * _ROOM:
        raise GeometryError(f"{half.piece.name}: the armhole leaves no room above its dart")
    return at


def place_up(half: Half, at: float) -> Point:
    return place_at(half.upwards(), at)[0]


def led_neck(half: Half, centre: Point, side: Point) -> Anew:
    """The neck with its ends moved and what lies between led along; the centre line is met as it was."""
    path = half.outwards()
    a, b = path[0].start, path[-1].end

    def point(p: Point) -> Point:
        u = (b.x - p.x) / (b.x - a.x)
        t = u * (2.0 - u)
        return Point(p.x + side.x + (centre.x - side.x) * t, p.y + side.y + (centre.y - side.y) * t)

    rows: list[tuple[Path, Path]] = list(by_row(path, point))
    first = path[0].controls()
    kept = tuple(Point(p.x + centre.x, p.y + centre.y) for p in first[:2])
    if len(first) > 2:
        rows[0] = ((path[0],), (path[0].with_controls((*kept, *rows[0][1][0].controls()[2:])),))
    return Anew(half, {"neck": tuple(rows)}, {}, {})


def long_of(anew: Anew, place: str) -> float:
    """How long an edge is as drawn anew, mm."""
    return sum(path_length(new) for _, new in anew.rows[place])


def led_side(half: Half, by: Callable[[float], Point], bends: Sequence[float]) -> Anew:
    """The side with every place of it moved by what a rule says of its height y, which has a bend at those heights."""
    edge = half.edge("side")
    path = reverse(edge.curves) if half.is_turned("side") else edge.curves
    runs: list[Curve] = [bit for curve in path for bit in parted_at(curve, bends)]

    def point(p: Point) -> Point:
        moved = by(p.y)
        return Point(p.x + moved.x, p.y + moved.y)

    return Anew(half, {"side": by_row(tuple(runs), point)}, {}, {})


def risen_side(half: Half, up: float) -> tuple[Anew, Point]:
    """The side led straight on at the underarm until that lies so much higher, or cut off there so much lower; and by
    how much the underarm moves. Raises GeometryError where it does not run up and down."""
    edge = half.edge("side")
    path = reverse(edge.curves) if half.is_turned("side") else edge.curves
    end, way = path[-1].end, path[-1].way(1.0)
    if way.y < 0.5:
        raise GeometryError(f"{half.piece.name}: the side does not run up to the underarm")
    if up > 0:
        top = along(end, way, up / way.y)
        rows: Rows = (*by_row(path, lambda p: p), ((), (Line(end, top),)))
    else:
        long = path_length(path)
        far = solve(lambda far: place_at(path, far)[0].y - end.y - up, max(0.0, long + 2 * up), long, near=1e-9)
        kept, gone = cut_run(path, far)
        top, rows = kept[-1].end, (*by_row(kept, lambda p: p), (gone, ()))
    return Anew(half, {"side": rows}, {}, {}), Point(top.x - end.x, top.y - end.y)


def clear_of(piece: Piece, name: str) -> Piece:
    """The half with the points of other darts pulled down, where they would lie in the mouth of that one."""
    first, tip, second = open_dart(piece, name).points
    made = piece
    for dart in piece.darts:
        point = dart.points[1 if dart.is_open else 0]
        if dart.name == name or not contains((first, tip, second), point):
            continue
        way = direction(point, between(dart.points[0], dart.points[2]) if dart.is_open else dart.points[2])
        ends = [met for leg in (first, second) if (met := meeting(point, way, tip, direction(tip, leg)))]
        by = min(far for met in ends if (far := (met.x - point.x) * way.x + (met.y - point.y) * way.y) > 0) + 0.05
        if dart.is_open:
            made = replace(shorten(made, dart.name, by), levels=piece.levels, internal_lines=piece.internal_lines)
        else:
            moved = replace(dart, points=(along(point, way, by), *dart.points[1:]))
            made = replace(made, darts=tuple(moved if each is dart else each for each in made.darts))
    return made
