"""One sheet on the table: points, edges drawn with rulers, darts, levels; at last a piece.

    back = on.sketch("back", Cut("pair", 2), worn="body")
    back.at("hip_side", right=quarter_hip, down=hip_line)
    back.edge("side", "hem_side", "hip_side", HIP_CURVE, "waist_side")
    back.dart("waist", "waist", at=third, of="waist_centre", intake=intake, deep=inch(5))
    back.level("hip", hip_line)

The origin is where the top line meets the centre line; what is told of a place is told once, and becomes a worked line.
Edges are drawn in the dressmaker's order, either way round; the piece has them counter-clockwise.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from math import cos, radians, sin
from typing import Final, Literal, TypeAlias

from ..errors import DraftError, GeometryError
from ..geometry.affine import Move
from ..geometry.curve import Line as Straight
from ..geometry.path import Path, flatten, part, path_length, pinned, place_at, reverse, solve
from ..geometry.point import XY, Point, along, between, direction, distance, left_of, right_of
from ..geometry.polygon import Box, area, crossings
from ..model.draft import Step
from ..model.length import Length, found, mm
from ..model.piece import (
    Cut,
    Dart,
    Edge,
    EdgeKind,
    InternalLine,
    LevelLine,
    LineKind,
    NotchPlace,
    Piece,
    Take,
    TakeKind,
)
from ..units import Unit, show
from ..values import dataclass, replace
from .darts import dart_cap, trued_beside_dart
from .rulers import STRAIGHT, Bevel, Ruler, drawn_run
from .stretches import turned_round

Side: TypeAlias = Literal["right", "left", "down", "up"]
_WAYS: Final[Mapping[Side, Point]] = {
    "right": Point(1.0, 0.0), "left": Point(-1.0, 0.0), "down": Point(0.0, -1.0), "up": Point(0.0, 1.0),
}  # fmt: skip
_BACK: Final[Mapping[Side, Side]] = {"right": "left", "left": "right", "down": "up", "up": "down"}
_AT: Final = 1e-6
_NOTHING: Final = 0.05
"""A point that `fit` moves by less has not been moved, as far as anyone is told, mm."""
_NO_LENGTHS: Final[Mapping[str, float]] = {}
_CHORDS: Final = 16
"""Of a level that is drawn with a curved ruler or a compass, for each curve."""


@dataclass(frozen=True, slots=True)
class _Line:
    """An edge as it is told: from point to point, a ruler between each two."""

    points: tuple[str, ...]
    rulers: tuple[Ruler, ...]
    kind: EdgeKind
    traced: Path = ()
    """The very line, where it was taken from another sheet."""


@dataclass(frozen=True, slots=True)
class _Pinch:
    """A dart or pleat as told: its middle `at` mm along the edge from a point, its intake, so deep or to a point."""

    name: str
    edge: str
    at: float
    of: str
    intake: float
    deep: float
    tip: str
    pressed: str
    change: str = ""
    pleat: bool = False


class Sketch:
    """A sheet that is being drawn; `points` are where they were set, in mm. Local to one draft."""

    def __init__(self, name: str, cut: Cut, worn: str, unit: Unit) -> None:
        self.name, self.cut, self.worn, self.unit = name, cut, worn, unit
        self.points: dict[str, Point] = {}
        self.steps: list[Step] = []
        self._edges: dict[str, _Line] = {}
        self._pinches: list[_Pinch] = []
        self._cut: dict[str, tuple[Edge, tuple[Dart, ...]]] = {}
        """Edges of which a part was cut off: they stay as they were drawn by then."""
        self._notches: list[tuple[str, str, float, str, int]] = []
        self._levels: list[tuple[str, float, _Line | None, float]] = []
        self._lines: list[InternalLine] = []
        self._told: set[str] = set()
        self._way = Point(0.0, 1.0)
        self._on: dict[str, tuple[str, float]] = {}
        """Of points that lie on an edge, which, and how far from its start, mm."""
        self._made: dict[str, tuple[tuple[str, ...], Callable[[Mapping[str, Point]], Point]]] = {}
        """Of each point those that it was measured from, and how it is found from all: it goes with them."""

    # ------------------------------------------------------------------------------------------------ points

    def at(
        self,
        name: str,
        *,
        right: Length | None = None,
        left: Length | None = None,
        down: Length | None = None,
        up: Length | None = None,
        of: str = "",
        far: Length | None = None,
    ) -> Point:
        """A point, so far from the origin or from another point `of`; on its upright or level where nothing is told.

        `far`: so far from `of` as the tape runs; the direction that was told gives the other.
        """
        dx = self._gone(name, "x", of, right=right, left=left)
        dy = self._gone(name, "y", of, up=up, down=down)
        if far is not None:
            self.tell(far, f"{_words(name)}, from the {_words(of)}")
            across, short = right is None and left is None, far.mm**2 - dx**2 - dy**2
            if short < 0:
                say = f"{show(far.mm, self.unit)} do not reach from the {_words(of)} to the {_words(name)}"
                raise DraftError(f"{self.name}: {say}.")
            dx, dy = (dx + short**0.5, dy) if across else (dx, dy - short**0.5)
        if not of:
            return self.put(name, Point(dx, dy))
        return self._set(name, lambda points: Point(points[of].x + dx, points[of].y + dy), of)

    def _set(self, name: str, place: Callable[[Mapping[str, Point]], Point], *of: str) -> Point:
        """A point, and how it is found from others: whenever one of those is moved, it is found anew."""
        self._made.pop(name, None)
        self._made[name] = (of, place)
        self.points[name] = at = place(self.points)
        return at

    def _move(self, name: str, to: Point) -> None:
        """A point is laid elsewhere, and all that were measured from it go with it."""
        self.points[name] = to
        moved = {name}
        for other, (of, place) in self._made.items():
            if other != name and not moved.isdisjoint(of):
                self.points[other] = place(self.points)
                moved.add(other)

    def _gone(self, name: str, axis: str, of: str, **told: Length | None) -> float:
        """How far it lies along an axis, told by one of two words, the first of which counts up; each a step."""
        for word, by in told.items():
            if by is None:
                continue
            across = axis == "x"
            where = "across" if across else "down" if word == "down" else "up"
            label = "" if of else by.name if by.op == "named" else f"{_words(name)}, {where}"
            self.tell(by, label or f"{_words(name)}, {word} of the {_words(of)}", "" if of else f"{name}.{axis}")
            return by.mm if word in ("right", "up") else -by.mm
        return 0.0

    def tell(
        self, length: Length, label: str = "", at: str = "", *, about: str | tuple[str, ...] = (), level: bool = False
    ) -> None:
        """A worked line, by the length's name or so called; before it those of the named lengths that it shows, each
        once on this sheet. `at`: the coordinate of a point that it gives, "underarm.y"; `about`, `level`: see Step."""
        own = length.op == "named" and label in ("", length.name)
        if own:
            if length.name in self._told:
                return
            self._told.add(length.name)
        if length.op == "named" and not own:
            formula, lengths = length.name, _NO_LENGTHS
            named: Sequence[Length] = (length,)
        else:
            formula, lengths, named = length.shown()
        for one in named:
            if one.name not in self._told:
                self.tell(one)
        if formula == "{a}" and length.op == "option":
            formula, lengths = "as asked for", _NO_LENGTHS
        of = (about,) if isinstance(about, str) else about
        self.steps.append(Step(self.name, label or length.name, formula, length.mm, lengths, at, level, of))

    def put(self, name: str, p: XY) -> Point:
        """A point that was found on the sheet, not measured from anywhere."""
        self._made.pop(name, None)
        self.points[name] = at = Point(*p)
        return at

    def between(
        self,
        name: str,
        a: str,
        b: str,
        share: float = 0.5,
        *,
        left: Length | None = None,
        right: Length | None = None,
    ) -> Point:
        """A point so far along the straight way from one to another; and then square off it, to the left or right."""
        off = left or right
        if off is not None:
            self.tell(off, f"{_words(name)}, square off the way from the {_words(a)} to the {_words(b)}")

        def place(points: Mapping[str, Point]) -> Point:
            at, way = between(points[a], points[b], share), direction(points[a], points[b])
            return at if off is None else along(at, left_of(way) if left else right_of(way), off.mm)

        return self._set(name, place, a, b)

    def slant(self, name: str, of: str, far: Length, deg: float) -> Point:
        """A point so far from another, at an angle: 0 to the right, 90 up, -90 down."""
        where = f"{abs(deg):g}° {'above' if deg >= 0 else 'below'} level"
        self.tell(far, f"{_words(name)}, from the {_words(of)}, {where}")
        way = Point(cos(radians(deg)), sin(radians(deg)))
        return self._set(name, lambda points: along(points[of], way, far.mm), of)

    def swing(self, name: str, of: str, *, about: str, deg: float, reach: Length) -> Point:
        """A point swung about another, to the left: `reach` is how far it lies from there; told as a straight way."""
        self.tell(reach * round(2 * sin(radians(deg) / 2), 5), f"{_words(name)}, straight from the {_words(of)}")

        def place(points: Mapping[str, Point]) -> Point:
            (x, y), pin = direction(points[about], points[of]), points[about]
            c, s = reach.mm * cos(radians(deg)), reach.mm * sin(radians(deg))
            return Point(pin.x + x * c - y * s, pin.y + x * s + y * c)

        return self._set(name, place, of, about)

    def on(self, name: str, edge: str, at: Length, of: str) -> Point:
        """A point so far along an edge from one of its ends, as it is drawn, dart mouths and all."""
        self.tell(at, f"{_words(name)}, along the {_words(edge)} from the {_words(of)}")
        ahead = self._starts(edge, of)

        def place(points: Mapping[str, Point]) -> Point:
            drawn = self.drawn(edge)[0]
            self._on[name] = edge, at.mm if ahead else drawn.length() - at.mm
            return place_at(drawn.curves, self._on[name][1])[0]

        return self._set(name, place, *self.points)

    def _starts(self, edge: str, of: str) -> bool:
        """Whether an edge starts at that point, or else ends there. Raises DraftError if it does neither."""
        first, last = self._edges[edge].points[0], self._edges[edge].points[-1]
        if of not in (first, last):
            raise DraftError(f"{self.name}: {edge} is measured from {of}, and has its ends at {first} and {last}.")
        return of == first

    # ------------------------------------------------------------------------------------------------ edges

    def edge(self, name: str, *run: str | Ruler, kind: EdgeKind = EdgeKind.SEAM) -> None:
        """An edge from point to point: straight, or by the ruler that stands between two of them."""
        self._edges[name] = self._run(name, run, kind)

    def _run(self, name: str, run: Sequence[str | Ruler], kind: EdgeKind = EdgeKind.SEAM) -> _Line:
        points: list[str] = []
        rulers: list[Ruler] = []
        for word in run:
            if isinstance(word, Ruler):
                rulers.append(word)
            else:
                if points and len(rulers) < len(points):
                    rulers.append(STRAIGHT)
                points.append(word)
        unknown = [point for point in points if point not in self.points]
        if unknown or len(points) < 2 or len(rulers) != len(points) - 1:
            raise DraftError(
                f"{self.name}: the edge {name} runs {f'to {unknown[0]}, which is not set' if unknown else 'nowhere'}."
            )
        return _Line(tuple(points), tuple(rulers), kind)

    def fold(self, name: str, a: str, b: str) -> None:
        """A straight edge on the fold of the cloth."""
        self.edge(name, a, b, kind=EdgeKind.FOLD)

    def hem(self, name: str, *run: str | Ruler) -> None:
        """An edge that is hemmed."""
        self.edge(name, *run, kind=EdgeKind.HEM)

    def trace(self, name: str, start: str, path: Path, end: str, kind: EdgeKind = EdgeKind.SEAM) -> None:
        """An edge taken over from another sheet, between two points that lie on its ends."""
        self.put(start, path[0].start)
        self.put(end, path[-1].end)
        self._edges[name] = _Line((start, end), (), kind, path)

    def grain(self, a: str, b: str) -> None:
        """The grain runs as the straight way from one point to another; unless told, up the sheet."""
        self._way = direction(self.points[a], self.points[b])

    def run(self, edge: str, a: str, b: str) -> Path:
        """The stretch of an edge from one point that lies `on` it to another."""
        start, end = self._on[a][1], self._on[b][1]
        path = part(self.drawn(edge)[0].curves, min(start, end), max(start, end))
        return path if start < end else reverse(path)

    def box(self, wide: Length, high: Length, edges: Sequence[str], *, fold: str = "") -> None:
        """A straight strip from the origin to the right and down; `edges` are its left, lower, right, upper one."""
        self.at("top_left")
        self.at("bottom_left", down=high)
        self.at("bottom_right", right=wide, down=high)
        self.at("top_right", right=wide)
        corners = ("top_left", "bottom_left", "bottom_right", "top_right", "top_left")
        if wide > high and not fold:
            self.grain("top_left", "top_right")
        for name, a, b in zip(edges, corners, corners[1:], strict=False):
            self.edge(name, a, b, kind=EdgeKind.FOLD if name == fold else EdgeKind.SEAM)

    def cut_off(self, name: str, a: str, b: str) -> tuple[Path, Path]:
        """Cut a corner off straight, from a to b, which lie `on` the edges that meet there: these end where it is cut,
        and between is a new edge. The lines that are cut off: from a to the corner, and from there to b."""
        ends = [{self._edges[self._on[p][0]].points[k] for k in (0, -1)} for p in (a, b)]
        corner = next(iter(ends[0] & ends[1]))
        first, second = self._shortened(a, corner), self._shortened(b, corner)
        self.edge(name, a, b)
        del self.points[corner]
        self._made.pop(corner, None)
        return first, reverse(second)

    def split(self, edge: str, at: str, name: str) -> None:
        """Part an edge at a point that lies `on` it: from where it starts up to there it gets a name of its own."""
        start = self._edges[edge].points[0]
        self._edges[name] = _Line((start, at), (), self._edges[edge].kind, reverse(self._shortened(at, start)))

    def _shortened(self, p: str, corner: str) -> Path:
        """Let an edge end at a point that lies on it; what is left over, from there to the corner."""
        name, far = self._on[p]
        line, (edge, darts) = self._edges[name], self.drawn(name)
        cut = self.points[p]
        before = pinned(part(edge.curves, 0.0, far), end=cut)
        after = pinned(part(edge.curves, far, edge.length()), start=cut)
        ends = (line.points[0], p) if line.points[-1] == corner else (p, line.points[-1])
        kept, off, start = (before, after, 0.0) if ends[1] == p else (after, reverse(before), far)
        takes = tuple(replace(take, start=take.start - start, end=take.end - start) for take in edge.takes)
        self._edges[name] = _Line(ends, (), line.kind, kept)
        self._cut[name] = replace(edge, curves=kept, takes=takes), darts
        self.put(p, cut)
        return off

    def line(self, name: str, *points: str, kind: LineKind = LineKind.PLAIN) -> None:
        """A line drawn inside the piece."""
        self._lines.append(InternalLine(name, tuple(self.points[p] for p in points), kind))

    def level(self, name: str, down: Length, *run: str | Ruler, beyond: float = 0.0) -> None:
        """A level of the body, so far below the top line as worn: straight across the piece, or as the run goes.

        A straight one may go `beyond` both sides, mm: then it marks no place of the seams there.
        """
        self._levels.append((name, down.mm, self._run(name, run) if run else None, beyond))
        if down.op == "named" and not run:
            self.tell(down, down.name)
            told = next(i for i, step in enumerate(self.steps) if step.label == down.name)
            self.steps[told] = replace(self.steps[told], level=True)

    def notch(self, edge: str, name: str, of: str, *, at: Length | None = None, count: int = 1) -> None:
        """A notch on an edge: at one of its points, or so far along it from one of its ends."""
        self._notches.append((edge, name, -1.0 if at is None else at.mm, of, count))

    def _path(self, name: str) -> Path:
        """The edge as it is told, no dart worked in."""
        return self._path_of(name, self._edges[name])

    def _path_of(self, name: str, line: _Line) -> Path:
        if line.traced:
            return line.traced
        points = [self.points[p] for p in line.points]
        centres = [self.points[r.about] if r.about else None for r in line.rulers]
        first, last = line.rulers[0], line.rulers[-1]
        ends = (
            self._beveled(name, line.points[0], points[0], points[1], first.leave),
            self._beveled(name, line.points[-1], points[-1], points[-2], last.arrive, arriving=True),
        )
        return drawn_run(points, line.rulers, centres, ends)

    def _beveled(
        self, name: str, corner: str, at: Point, inner: Point, way: object, *, arriving: bool = False
    ) -> Point | None:
        """The direction of an end that makes a told angle with the other edge there: inwards, outwards on arriving."""
        deg = way.deg if isinstance(way, Bevel) else 90.0
        if way != "square" and not isinstance(way, Bevel):
            return None
        other = next((n for n, e in self._edges.items() if n != name and corner in (e.points[0], e.points[-1])), None)
        if other is None:
            raise DraftError(
                f"{self.name}: {name} is to stand at {deg:g}° to the edge beyond {corner}, and none is drawn there."
            )
        path = self._path(other)
        x, y = path[0].way(0.0) if self._edges[other].points[0] == corner else reverse(path)[0].way(0.0)
        turn = radians(deg if x * (inner.y - at.y) - y * (inner.x - at.x) > 0 else -deg)
        c, s = cos(turn), sin(turn)
        return Point(s * y - c * x, -s * x - c * y) if arriving else Point(c * x - s * y, s * x + c * y)

    # ------------------------------------------------------------------------------------------------ darts and fit

    def dart(
        self,
        name: str,
        edge: str,
        *,
        at: Length,
        of: str,
        intake: Length,
        deep: Length | None = None,
        tip: str = "",
        pressed: str = "",
        change: str = "",
    ) -> None:
        """A dart open at an edge: its middle so far along it from one end, square to it and so deep, or to a point.

        Its legs are made equal, and the edge is trued with it closed, pressed towards `of`, or where `pressed` says.
        `change` is what makes room for it.
        """
        about = f"{_words(name)} dart"
        self.tell(at, f"{about}, along the {_words(edge)} from the {_words(of)}", about=about)
        self.tell(intake, f"{about}, takes in", about=about)
        if deep is not None:
            self.tell(deep, f"{about}, so deep", about=about)
        depth = deep.mm if deep else 0.0
        self._pinches.append(_Pinch(name, edge, at.mm, of, intake.mm, depth, tip, pressed or of, change))

    def pleat(self, name: str, edge: str, *, at: Length, of: str, intake: Length, deep: Length) -> None:
        """A pleat at an edge, its middle so far along it from one end, towards which it is laid; its folds are drawn so
        deep, square to the edge."""
        about = f"{_words(name)} pleat"
        self.tell(at, f"{about}, along the {_words(edge)} from the {_words(of)}")
        self.tell(intake, f"{about}, takes in")
        self.tell(deep, f"{about}, folds so long")
        self._pinches.append(_Pinch(name, edge, at.mm, of, intake.mm, deep.mm, "", of, pleat=True))

    def long(self, *edges: str) -> Length:
        """How long the edges are together as they are sewn: a length found on the sheet."""
        which = " and ".join(f"{_words(self.name)} {_words(edge)}" for edge in edges)
        return found(sum(self.drawn(edge)[0].sewn_length() for edge in edges), which)

    def size(self) -> tuple[Length, Length]:
        """How wide and how high the piece lies on the cloth, unfolded."""
        box = Box.round(p for name in self._edges for p in flatten(self._path(name)))
        wide = box.width * (2 if self.cut.side == "fold" else 1)
        return found(wide, f"width of the {_words(self.name)}"), found(box.height, f"height of the {_words(self.name)}")

    def fit(self, edge: str, *, to: Length, move: str, way: Side, change: str, most: float = 150.0) -> Length:
        """Move a point, so that the edge is sewn as long as told; how far it went.

        Raises DraftError with what is to be changed where no place within `most` mm serves.
        """
        start = self.points[move]
        laid = next((n for n, line in self._edges.items() if line.traced and move in line.points), "")
        if laid:
            raise DraftError(
                f"{self.name}: {move} cannot be moved: {laid}, which ends there, was traced or cut by then."
            )

        def over(by: float) -> float:
            self._move(move, along(start, _WAYS[way], by))
            return self.drawn(edge)[0].sewn_length() - to.mm

        try:
            reach = _bracketed(over, most)
            by = solve(over, *reach, near=1e-5) if reach[0] != reach[1] else reach[0]
        except GeometryError:
            self._move(move, start)
            have = self.drawn(edge)[0].sewn_length()
            say = f"its {_words(edge)}, {show(have, self.unit)} long, cannot be made {show(to.mm, self.unit)} long"
            raise DraftError(f"{self.name}: {say}. Change {change}.") from None
        self._move(move, along(start, _WAYS[way], by))
        if abs(by) < _NOTHING:
            return mm(0)
        self.tell(to, _words(edge), about=edge)
        went = way if by >= 0 else _BACK[way]
        solved = found(abs(by), f"so that the {_words(edge)} is as long as that")
        self.tell(solved, f"{_words(move)}, moved {went}", about=edge)
        return solved

    def drawn(self, name: str) -> tuple[Edge, tuple[Dart, ...]]:
        """The edge with its darts worked in, the way it was told, and the darts."""
        if name in self._cut:
            return self._cut[name]
        line = self._edges[name]
        path = self._path(name)
        own = [pinch for pinch in self._pinches if pinch.edge == name]
        if not own:
            return Edge(name, line.kind, path), ()
        try:
            return self._pinched(name, line, path, own)
        except GeometryError:
            change = "".join(sorted({f" Change {pinch.change}." for pinch in own if pinch.change}))
            raise DraftError(f"{self.name}: its darts leave no room at the {_words(name)}.{change}") from None

    def _pinched(self, name: str, line: _Line, path: Path, own: list[_Pinch]) -> tuple[Edge, tuple[Dart, ...]]:
        """Runs beside the darts, trued with them closed, and the cap over each; a pleat lies straight across."""
        whole = path_length(path)
        middles = [(p.at if self._starts(name, p.of) else whole - p.at, p) for p in own]
        middles.sort(key=lambda entry: entry[0])
        runs: list[Path] = []
        tips: list[Point] = []
        start = 0.0
        for middle, pinch in middles:
            low, high = self._mouth(path, middle, pinch)
            if low < start + 5 or high > whole - 5:
                raise GeometryError("no room")
            runs.append(part(path, start, low))
            tips.append(self._tip(path, low, high, pinch))
            start = high
        runs.append(part(path, start, whole))
        for k, (_, pinch) in enumerate(middles):
            if not pinch.pleat:
                runs[k], runs[k + 1] = trued_beside_dart(runs[k], tips[k], runs[k + 1], as_long=False)
        curves: Path = runs[0]
        takes, darts = [], []
        for (_, pinch), tip, before, after in zip(middles, tips, runs, runs[1:], strict=False):
            far = path_length(curves)
            to_start = self._starts(name, pinch.pressed)
            if pinch.pleat:
                cap: Path = (Straight(before[-1].end, after[0].start),)
            else:
                cap = dart_cap(before, tip, after, pressed_to_start=to_start)
                darts.append(Dart(pinch.name, (before[-1].end, tip, after[0].start), pinch.intake))
            kind: TakeKind = "pleat" if pinch.pleat else "dart"
            takes.append(Take(far, far + path_length(cap), kind, tip, "start" if to_start else "end"))
            curves = (*curves, *cap, *after)
        return Edge(name, line.kind, curves, tuple(takes)), tuple(darts)

    def _mouth(self, path: Path, middle: float, pinch: _Pinch) -> tuple[float, float]:
        """Where along the edge the dart opens: its ends lie as far apart as it takes in, and alike from a given tip."""
        half = pinch.intake / 2
        for _ in range(40):
            a, b = (place_at(path, middle + side * half)[0] for side in (-1, 1))
            if abs(distance(a, b) - pinch.intake) < 1e-7 or a == b:
                break
            half *= pinch.intake / distance(a, b)
        if not pinch.tip:
            return middle - half, middle + half
        tip = self.points[pinch.tip]

        def uneven(by: float) -> float:
            ends = (place_at(path, middle + by + side * half)[0] for side in (-1, 1))
            first, second = (distance(tip, end) for end in ends)
            return first - second

        by = solve(uneven, -pinch.intake, pinch.intake, near=1e-7)
        return middle + by - half, middle + by + half

    def _tip(self, path: Path, low: float, high: float, pinch: _Pinch) -> Point:
        """The point of the dart: as told, or square to the mouth from its middle, into the piece."""
        if pinch.tip:
            return self.points[pinch.tip]
        a, b = place_at(path, low)[0], place_at(path, high)[0]
        square = left_of(direction(a, b))
        middle = Point(sum(p.x for p in self.points.values()), sum(p.y for p in self.points.values()))
        count = len(self.points)
        inside = Point(middle.x / count - a.x, middle.y / count - a.y)
        if square.x * inside.x + square.y * inside.y < 0:
            square = right_of(direction(a, b))
        return along(between(a, b), square, pinch.deep)

    def _folds(self, pinch: _Pinch) -> Iterator[InternalLine]:
        """The two folds of a pleat."""
        path = self._path(pinch.edge)
        middle = pinch.at if self._starts(pinch.edge, pinch.of) else path_length(path) - pinch.at
        low, high = self._mouth(path, middle, pinch)
        a, b = place_at(path, low)[0], place_at(path, high)[0]
        way = direction(between(a, b), self._tip(path, low, high, pinch))
        for number, end in enumerate((a, b), 1):
            yield InternalLine(f"{pinch.name} pleat {number}", (end, along(end, way, pinch.deep)), LineKind.PLEAT)

    # ------------------------------------------------------------------------------------------------ the piece

    def piece(self) -> Piece:
        """The sheet as a piece: edges counter-clockwise from the first that was drawn. Raises DraftError if they do not
        go once round."""
        ring = self._ring()
        drawn = {name: self.drawn(name) for name, _ in ring}
        if area([p for name, ahead in ring for p in _points(drawn[name][0].curves, ahead)]) < 0:
            first, *rest = [(name, not ahead) for name, ahead in ring]
            ring = [first, *reversed(rest)]
        edges = tuple(drawn[name][0] if ahead else turned_round(drawn[name][0], Move()) for name, ahead in ring)
        darts = tuple(
            dart if ahead else replace(dart, points=dart.points[::-1])
            for name, ahead in ring
            for dart in drawn[name][1]
        )
        outline = [p for edge in edges for p in flatten(edge.curves)[:-1]]
        return Piece(
            self.name,
            edges,
            points=dict(self.points),
            grain=_grain(outline, self._way),
            to_cut=self.cut,
            darts=darts,
            notches=tuple(self._notch(edges, ring, told) for told in self._notches),
            internal_lines=(*self._lines, *(fold for p in self._pinches if p.pleat for fold in self._folds(p))),
            worn=self.worn,
            levels=tuple(self._level_line(outline, *told) for told in self._levels),
        )

    def _ring(self) -> list[tuple[str, bool]]:
        """The edges one after the other, each with whether it is walked as it was told."""
        left = dict(self._edges)
        if not left:
            raise DraftError(f"{self.name}: it has no edges.")
        first = next(iter(left))
        ring, at = [(first, True)], left.pop(first).points[-1]
        while left:
            name = next((n for n, e in left.items() if at in (e.points[0], e.points[-1])), "")
            if not name:
                raise DraftError(f"{self.name}: no edge goes on from {at}; {', '.join(left)} lie elsewhere.")
            line = left.pop(name)
            ahead = line.points[0] == at
            ring.append((name, ahead))
            at = line.points[-1] if ahead else line.points[0]
        if at != self._edges[first].points[0]:
            raise DraftError(f"{self.name}: its edges do not close: {at} is not {self._edges[first].points[0]}.")
        return ring

    def _notch(
        self, edges: tuple[Edge, ...], ring: list[tuple[str, bool]], told: tuple[str, str, float, str, int]
    ) -> NotchPlace:
        name, words, at, of, count = told
        k = [n for n, _ in ring].index(name)
        edge = edges[k]
        whole = edge.length()
        if at >= 0:
            far = at if self._starts(name, of) == ring[k][1] else whole - at
        else:
            far = _far_to(edge.curves, self.points[of])
        return NotchPlace(name, far, count, words)

    def _level_line(self, outline: list[XY], name: str, depth: float, line: _Line | None, beyond: float) -> LevelLine:
        """From the centre line of a piece of the body, from side to side of any other; as many points at each level."""
        if line is not None:
            curves = self._path_of("", line)
            points = [p for curve in curves for p in curve.flat(chords=1 if isinstance(curve, Straight) else _CHORDS)]
            return LevelLine(name, depth, (curves[0].start, *(Point(*p) for p in points)))
        xs = crossings(outline, -depth) or [0.0]
        xs += [p[0] for p in outline if abs(p[1] + depth) < 0.01]
        low = max(0.0, min(xs)) if self.worn == "body" else min(xs)
        return LevelLine(name, depth, (Point(low - beyond, -depth), Point(max(xs) + beyond, -depth)))


def _words(name: str) -> str:
    return name.replace("_", " ")


def _points(path: Path, ahead: bool) -> list[XY]:
    points = flatten(path)
    return (points if ahead else points[::-1])[:-1]


def _far_to(path: Path, p: Point) -> float:
    """How far along an edge one of its joints lies."""
    far = 0.0
    for curve in path:
        if distance(curve.start, p) < _AT:
            return far
        far += curve.length()
    if distance(path[-1].end, p) < _AT:
        return far
    raise DraftError(f"a notch at {p.x:.1f}, {p.y:.1f} mm, which no run of its edge ends at.")


def _grain(outline: Sequence[XY], way: Point) -> tuple[Point, Point]:
    """Along the way, in the middle half of the piece; the marks find a better place where that is none."""
    across = right_of(way)
    far = [x * way.x + y * way.y for x, y in outline]
    off = [x * across.x + y * across.y for x, y in outline]
    at = (min(off) * 2 + max(off)) / 3
    ends = (min(far) * 0.75 + max(far) * 0.25, min(far) * 0.25 + max(far) * 0.75)
    a, b = (Point(way.x * end + across.x * at, way.y * end + across.y * at) for end in ends)
    return a, b


def _bracketed(over: Callable[[float], float], most: float) -> tuple[float, float]:
    """Two places nearest to 0, either side of it or both on one, between which the excess changes its sign.

    Raises GeometryError if there are none within `most`.
    """
    here = over(0.0)
    if abs(here) < 1e-6:
        return 0.0, 0.0
    step, reached = min(2.0, most), {1: 0.0, -1: 0.0}
    while reached:
        for sign, last in tuple(reached.items()):
            try:
                there = over(sign * step)
            except (GeometryError, DraftError):
                del reached[sign]  # nothing can be drawn that far out, so what lies beyond is no answer
                continue
            if there * here <= 0:
                return min(last, sign * step), max(last, sign * step)
            reached[sign] = sign * step
        if step >= most:
            break
        step = min(step * 1.6, most)
    raise GeometryError("no place serves")
