"""A marked piece as strokes, in the piece's own coordinates."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise, product
from math import atan2, cos, degrees, hypot, pi, radians, sin
from typing import Final

from ..geometry.path import place_on, polyline_length
from ..geometry.point import XY, Point, Polyline, along, between, direction, distance, left_of, right_of
from ..geometry.polygon import contains
from ..model.pattern import Label, MarkedPiece, Notch
from ..model.piece import Dart, EdgeKind, InternalLine, LineKind, NotchKind
from .lettering import DESCENDER, text_lines, text_width
from .strokes import Figure, Role, Stroke

DRILL_DIAMETER: Final = 3.0
"""Diameter of the circle at a drill hole, mm (common practice, no source)."""
AXIS_DASHES: Final = (6.0, 3.0)
"""Drawn and left out, mm, along the axis on which a dart is folded."""
SECOND_LINE: Final = 0.7
"""Height of a label's lines after the first, as a part of the first's."""
PITCH: Final = 1.6
"""Baseline to baseline, as a part of the line's own height."""

_WORDS: Final = 5.0
_NAMES: Final = 3.0
_CLEAR: Final = 1.5
_ARROW_LENGTH: Final = 8.0
_ARROW_HALF: Final = 2.5
_SIGN: Final = 2.5
_HALF_TURN: Final = 8
_BRACKET_DEPTHS: Final = (14.0, 9.0)
_BRACKET_INSETS: Final = (0.15, 0.25, 0.33)
_GROUP: Final = 12


def figure_of(piece: MarkedPiece) -> Figure:
    """All strokes of the piece, named after it, mm.

    The cut line is one closed stroke. The stitch line is one open stroke for each edge that is neither a fold nor
    without an allowance (that one lies on the cut line). All lettering has the role LABEL, so that line styles of the
    other roles never break up a word.
    """
    cut = piece.cut
    strokes = [Stroke(Role.CUT, tuple(cut.cut_line), closed=True)]
    for edge in cut.piece.edges:
        if edge.kind is not EdgeKind.FOLD and cut.allowances[edge.name] > 0:
            strokes.append(Stroke(Role.STITCH, tuple(cut.lines[edge.name])))
    for dart in cut.piece.darts:
        strokes += _dart(dart)
    for hole in piece.drill_holes:
        strokes += _drill(hole)
    for notch in piece.notches:
        strokes += _notch(notch)
    for line in cut.piece.internal_lines:
        strokes.append(Stroke(Role.INTERNAL, tuple(line.points)))
        strokes += _line_signs(line)
    strokes += _arrow(Role.GRAIN, *piece.grain_line, both=not cut.piece.one_way)
    bracket: list[Stroke] = []
    if piece.fold_line is not None:
        strokes.append(Stroke(Role.FOLD, piece.fold_line))
        bracket = _bracket(piece.fold_line, cut.stitch_line)
        strokes += bracket
    room = _Room(strokes, piece.label, cut.cut_line)
    strokes += _label(piece.label)
    if bracket:
        strokes += _fold_words(room, bracket[0])
    if text_width("GRAIN", _WORDS) + 4 * _ARROW_LENGTH <= distance(*piece.grain_line):
        strokes += _set_free(room, "GRAIN", _WORDS, piece.grain_line, _beside(_WORDS), middle_first=True)
    for line in cut.piece.internal_lines:
        strokes += _set_free(room, line.name, _NAMES, line.points, _beside(_NAMES), middle_first=False)
    return Figure(piece.name, tuple(strokes))


def label_box(lines: Sequence[str], height: float) -> tuple[float, float]:
    """Width and height of a label, mm, whose first line has capitals of `height` and the others 0.7 of that.

    The box reaches from the capitals' top of the first line to the descenders of the last.
    """
    heights = _line_heights(lines, height)
    if not heights:
        return 0.0, 0.0
    width = max(text_width(line, size) for line, size in zip(lines, heights, strict=True))
    return width, heights[0] + PITCH * sum(heights[1:]) + DESCENDER * heights[-1]


def dashed(points: Polyline, pattern: Sequence[float]) -> list[tuple[XY, ...]]:
    """The dashes along an open line: `pattern` is drawn, left out, drawn, ... in mm, repeated.

    The pattern is counted on round corners, so a dash may bend.
    """
    if not pattern or min(pattern) <= 0:
        return [tuple(points)]
    dashes: list[tuple[XY, ...]] = []
    index, left = 0, pattern[0]
    current: list[XY] = [points[0]]
    for a, b in pairwise(points):
        way, walked, length = direction(a, b), 0.0, distance(a, b)
        while length - walked > left:
            walked += left
            here = along(a, way, walked)
            if index % 2 == 0:
                dashes.append((*current, here))
            current = [here]
            index += 1
            left = pattern[index % len(pattern)]
        left -= length - walked
        if index % 2 == 0:
            current.append(b)
    if index % 2 == 0 and len(current) > 1 and polyline_length(current) > 1e-9:
        dashes.append(tuple(current))
    return dashes


def _line_heights(lines: Sequence[str], height: float) -> list[float]:
    return [height if row == 0 else SECOND_LINE * height for row in range(len(lines))]


def _label(label: Label) -> Iterator[Stroke]:
    down = right_of(_way(label.angle_deg))
    _, box = label_box(label.lines, label.height)
    fall = -box / 2
    for row, (line, size) in enumerate(zip(label.lines, _line_heights(label.lines, label.height), strict=True)):
        fall += size if row == 0 else PITCH * size
        base = along(label.at, down, fall)
        for points in text_lines(line, size, base, angle_deg=label.angle_deg, anchor="centre"):
            yield Stroke(Role.LABEL, points)


def _dart(dart: Dart) -> Iterator[Stroke]:
    """A dart of four points (upper, leg, lower, leg) is closed; one of three (leg, point, leg) opens to an edge."""
    yield Stroke(Role.DART, tuple(dart.points), closed=len(dart.points) > 3)
    if len(dart.points) > 3:
        axis = (dart.points[0], dart.points[2])
    else:
        axis = (dart.points[1], between(dart.points[0], dart.points[-1]))
    for dash in dashed(axis, AXIS_DASHES):
        yield Stroke(Role.DART, dash)


def _drill(hole: Point) -> Iterator[Stroke]:
    radius, arm, corners = DRILL_DIAMETER / 2, DRILL_DIAMETER / 2 + 1.0, 24
    turns = [2 * pi * i / corners for i in range(corners)]
    yield Stroke(Role.DRILL, tuple((hole.x + radius * cos(t), hole.y + radius * sin(t)) for t in turns), closed=True)
    yield Stroke(Role.DRILL, ((hole.x - arm, hole.y), (hole.x + arm, hole.y)))
    yield Stroke(Role.DRILL, ((hole.x, hole.y - arm), (hole.x, hole.y + arm)))


def _notch(notch: Notch) -> Iterator[Stroke]:
    """A notch as it is cut; a V outwards stands on the cut line, which itself stays as it is."""
    for spot, out in notch.each():
        side, half = left_of(out), notch.width / 2
        tip = along(spot, out, notch.depth if notch.kind is NotchKind.V_OUT else -notch.depth)
        a, b = along(spot, side, -half), along(spot, side, half)
        if notch.kind in (NotchKind.V, NotchKind.V_OUT):
            yield Stroke(Role.NOTCH, (a, tip, b))
        elif notch.kind is NotchKind.CHECK:
            yield Stroke(Role.NOTCH, (spot, tip, along(spot, side, notch.width)))
        elif notch.kind is NotchKind.CASTLE:
            yield Stroke(Role.NOTCH, (a, along(a, out, -notch.depth), along(b, out, -notch.depth), b))
        elif notch.kind is NotchKind.U:
            middle = along(tip, out, half)
            turns = [pi * i / _HALF_TURN for i in range(_HALF_TURN + 1)]
            bow = [along(along(middle, side, -half * cos(t)), out, -half * sin(t)) for t in turns]
            yield Stroke(Role.NOTCH, (a, *bow, b))
        else:
            yield Stroke(Role.NOTCH, (spot, tip))
            if notch.kind is NotchKind.T:
                yield Stroke(Role.NOTCH, (along(tip, side, -half), along(tip, side, half)))


def _line_signs(line: InternalLine) -> Iterator[Stroke]:
    """Small signs on a line inside a piece that tell its kind without colour; solid, so they have the lettering's role.

    Fold: arrow heads on both sides that point at it. Pleat: slanting strokes across. Zip: teeth, to either side in
    turn. Placement: a cross at each end. Balance: a bar across each end. (Our own choice.)
    """
    length = polyline_length(line.points)
    if line.kind is LineKind.PLAIN or length < 4 * _SIGN:
        return
    if line.kind is LineKind.FOLD:
        for at, way in _evenly(line.points, length, 80.0):
            for side in (left_of(way), right_of(way)):
                base = along(at, side, 2 * _SIGN)
                ends = along(base, way, -0.6 * _SIGN), along(base, way, 0.6 * _SIGN)
                yield Stroke(Role.LABEL, (ends[0], along(at, side, 0.8 * _SIGN), ends[1]))
    elif line.kind is LineKind.PLEAT:
        for at, way in _evenly(line.points, length, 20.0):
            slant = direction((0.0, 0.0), (way.x + left_of(way).x, way.y + left_of(way).y))
            yield Stroke(Role.LABEL, (along(at, slant, -_SIGN), along(at, slant, _SIGN)))
    elif line.kind is LineKind.ZIP:
        for i, (at, way) in enumerate(_evenly(line.points, length, 4.0)):
            yield Stroke(Role.LABEL, (at, along(at, left_of(way) if i % 2 else right_of(way), 0.6 * _SIGN)))
    else:
        for at, way in (place_on(line.points, 0.0), place_on(line.points, length)):
            side = left_of(way)
            yield Stroke(Role.LABEL, (along(at, side, -_SIGN), along(at, side, _SIGN)))
            if line.kind is LineKind.PLACEMENT:
                yield Stroke(Role.LABEL, (along(at, way, -_SIGN), along(at, way, _SIGN)))


def _evenly(points: Polyline, length: float, about: float) -> list[tuple[Point, Point]]:
    """Points and directions along a line, about so far apart, the first and the last half of that from its ends."""
    count = max(1, round(length / about))
    return [place_on(points, length * (i + 0.5) / count) for i in range(count)]


def _arrow(role: Role, a: Point, b: Point, *, both: bool = True) -> list[Stroke]:
    """A line with a head at both ends, or at b alone; the heads shrink on a line shorter than four of them."""
    size = min(1.0, distance(a, b) / (4 * _ARROW_LENGTH))
    tail = [_head(role, a, direction(b, a), size)] if both else []
    return [Stroke(role, (a, b)), *tail, _head(role, b, direction(a, b), size)]


def _head(role: Role, tip: XY, way: Point, size: float = 1.0) -> Stroke:
    back = along(tip, way, -_ARROW_LENGTH * size)
    side = left_of(way)
    half = _ARROW_HALF * size
    return Stroke(role, (along(back, side, half), tip, along(back, side, -half)))


def _bracket(fold: tuple[Point, Point], stitch_line: Polyline) -> list[Stroke]:
    """A bracket inside the piece whose two ends point at the fold; nothing where the piece is too small for it."""
    a, b = fold
    length, way = distance(a, b), direction(a, b)
    inward = left_of(way)
    if not contains(stitch_line, along(between(a, b), inward, 0.5)):
        inward = right_of(way)
    for depth, part in product(_BRACKET_DEPTHS, _BRACKET_INSETS):
        inset = min(60.0, part * length)
        ends = along(a, way, inset), along(b, way, -inset)
        corners = along(ends[0], inward, depth), along(ends[1], inward, depth)
        if length - 2 * inset > 2 * depth and all(contains(stitch_line, corner) for corner in corners):
            outward = Point(-inward.x, -inward.y)
            heads = (_head(Role.GRAIN, end, outward, depth / 2 / _ARROW_LENGTH) for end in ends)
            return [Stroke(Role.FOLD, (ends[0], *corners, ends[1])), *heads]
    return []


def _fold_words(room: _Room, bracket: Stroke) -> list[Stroke]:
    """PLACE ON FOLD, half-way between the fold and the bracket, where it is long enough."""
    start, corner, far_corner, end = bracket.points
    depth, words = distance(start, corner), "PLACE ON FOLD"
    for size in (0.36 * depth, 0.28 * depth, 0.22 * depth):
        if text_width(words, size) + 1.4 * depth <= distance(corner, far_corner):
            line = between(start, corner), between(end, far_corner)
            return _set_free(room, words, size, line, (0.0,), middle_first=True)
    return []


def _beside(size: float) -> tuple[float, float]:
    """How far the middle of words lies from the line that they are set above, or else below."""
    return size / 2 + _CLEAR, -size / 2 - _CLEAR - DESCENDER * size


def _set_free(
    room: _Room, words: str, size: float, line: Polyline, lifts: tuple[float, ...], *, middle_first: bool
) -> list[Stroke]:
    """The words along a line, `lifts` mm above it, at the first place where they touch nothing; else no words.

    Places are tried from the middle outwards; or from the start and the end inwards, then beyond the ends.
    """
    width, length = text_width(words, size), polyline_length(line)
    if not words.strip():
        return []
    first, last = width / 2 + 4.0, length - width / 2 - 4.0
    if last <= first:
        places = [length / 2]
    else:
        steps = max(1, min(24, round((last - first) / 12.0)))
        places = [first + (last - first) * i / steps for i in range(steps + 1)]
        from_ends = [place for pair in zip(places, reversed(places), strict=True) for place in pair]
        places = from_ends[: len(places)][::-1] if middle_first else from_ends[: len(places)]
    for at, way, lift in _spots(line, places, lifts, beyond=0.0 if middle_first else width / 2 + 2 * _CLEAR):
        angle = _reading_angle(way)
        along_words = _way(angle)
        middle = along(at, left_of(along_words), lift)
        if room.is_free(middle, along_words, width / 2, size / 2):
            room.take(middle, along_words, width / 2, size / 2)
            return _words(words, size, middle, angle)
    return []


def _spots(
    line: Polyline, places: Sequence[float], lifts: Sequence[float], *, beyond: float
) -> Iterator[tuple[Point, Point, float]]:
    """Point, direction and lift of every place to try; `beyond` mm off both ends come last."""
    for place in places:
        at, way = place_on(line, place)
        for lift in lifts:
            yield at, way, lift
    if beyond:
        for tip, inner in ((line[-1], line[-2]), (line[0], line[1])):
            way = direction(inner, tip)
            yield along(tip, way, beyond), way, 0.0


def _words(words: str, size: float, middle: XY, angle_deg: float) -> list[Stroke]:
    """Words whose capitals have their middle at `middle`."""
    base = along(middle, right_of(_way(angle_deg)), size / 2)
    return [Stroke(Role.LABEL, line) for line in text_lines(words, size, base, angle_deg=angle_deg, anchor="centre")]


def _way(angle_deg: float) -> Point:
    return Point(cos(radians(angle_deg)), sin(radians(angle_deg)))


def _reading_angle(way: XY) -> float:
    """The angle of a line so that words on it are never upside down: above −90° to 90°; upright ones read upwards."""
    angle = degrees(atan2(way[1], way[0]))
    if angle > 90.0 + 1e-6:
        angle -= 180.0
    elif angle <= -90.0 + 1e-6:
        angle += 180.0
    return angle


class _Room:
    """What is drawn already, so that words can be set where they touch nothing."""

    def __init__(self, strokes: Iterable[Stroke], label: Label, cut_line: Polyline) -> None:
        self.cut_line = cut_line
        self.groups: list[tuple[float, float, float, float, Sequence[XY]]] = []
        self.taken: list[tuple[XY, Point, float, float]] = []
        for stroke in strokes:
            self._add(stroke.points, stroke.closed)
        width, height = label_box(label.lines, label.height)
        self.take(label.at, _way(label.angle_deg), width / 2, height / 2)

    def take(self, middle: XY, way: Point, half_width: float, half_height: float) -> None:
        """A box of words is drawn there."""
        up = left_of(way)
        bottom, top = along(middle, up, -half_height), along(middle, up, half_height)
        self._add([along(p, way, s * half_width) for p, s in ((bottom, -1), (bottom, 1), (top, 1), (top, -1))], True)
        self.taken.append((middle, way, half_width, half_height))

    def is_free(self, middle: XY, way: Point, half_width: float, half_height: float) -> bool:
        """Whether a box, with a little air, lies inside the cut line and touches nothing."""
        if not contains(self.cut_line, middle):
            return False
        (mx, my), (c, s) = middle, way
        for (tx, ty), (tc, ts), half_w, half_h in self.taken:
            dx, dy = mx - tx, my - ty
            if abs(dx * tc + dy * ts) <= half_w and abs(dy * tc - dx * ts) <= half_h:
                return False
        w, h = half_width + 1.0, half_height + 1.0
        reach = hypot(w, h)
        left, right, bottom, top = mx - reach, mx + reach, my - reach, my + reach
        for low, high, under, over, line in self.groups:
            if low > right or high < left or under > top or over < bottom:
                continue
            for (ax, ay), (bx, by) in pairwise(line):
                ax, ay, bx, by = ax - mx, ay - my, bx - mx, by - my
                if _touches(ax * c + ay * s, ay * c - ax * s, bx * c + by * s, by * c - bx * s, w, h):
                    return False
        return True

    def _add(self, points: Polyline, closed: bool) -> None:
        """Keeps a line in groups of a few runs, with the box round each group."""
        ring = (*points, points[0]) if closed else tuple(points)
        for start in range(0, len(ring) - 1, _GROUP):
            line = ring[start : start + _GROUP + 1]
            xs, ys = zip(*line, strict=True)
            self.groups.append((min(xs), max(xs), min(ys), max(ys), line))


def _touches(ax: float, ay: float, bx: float, by: float, w: float, h: float) -> bool:
    """Whether the run a to b meets the box from (−w, −h) to (w, h) (after Liang and Barsky, from memory)."""
    low, high = 0.0, 1.0
    for start, step, limit in ((ax, bx - ax, w), (ay, by - ay, h)):
        if step == 0.0:
            if abs(start) > limit:
                return False
            continue
        enter, leave = sorted(((-limit - start) / step, (limit - start) / step))
        low, high = max(low, enter), min(high, leave)
        if low > high:
            return False
    return True
