"""A marked piece as strokes, in the piece's own coordinates."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise, product
from math import atan2, cos, degrees, pi, radians, sin
from typing import Final

from ..geometry.path import place_on, polyline_length
from ..geometry.point import XY, Point, Polyline, along, between, direction, distance, left_of, right_of
from ..geometry.polygon import contains
from ..model.pattern import Label, MarkedPiece, Notch
from ..model.piece import Dart, EdgeKind, InternalLine, LineKind, NotchKind
from .lettering import DESCENDER, text_lines, text_width
from .room import Room
from .strokes import Figure, Role, Stroke

DRILL_DIAMETER: Final = 3.0
"""Diameter of the circle at a drill hole, mm (common practice, no source)."""
AXIS_DASHES: Final = (6.0, 3.0)
"""Drawn and left out, mm, along the axis on which a dart is folded."""
SECOND_LINE: Final = 0.7
"""Height of a label's lines after the first, as a part of the first's."""
PITCH: Final = 1.6
"""Baseline to baseline, as a part of the line's own height."""

WORDS: Final = 5.0
NAMES: Final = 3.0
_CLEAR: Final = 1.5
ARROW_LENGTH: Final = 8.0
_ARROW_HALF: Final = 2.5
_SIGN: Final = 2.5
_HALF_TURN: Final = 8
_BRACKET_DEPTHS: Final = (14.0, 9.0)
_BRACKET_INSETS: Final = (0.15, 0.25, 0.33)


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
        strokes += drill_strokes(hole)
    for notch in piece.notches:
        strokes += notch_strokes(notch)
    for line in cut.piece.internal_lines:
        strokes.append(Stroke(Role.INTERNAL, tuple(line.points)))
        strokes += line_signs(line)
    strokes += arrow(Role.GRAIN, *piece.grain_line, both=not cut.piece.one_way)
    bracket: list[Stroke] = []
    if piece.fold_line is not None:
        strokes.append(Stroke(Role.FOLD, piece.fold_line))
        bracket = bracket_of(piece.fold_line, cut.stitch_line)
        strokes += bracket
    room = Room(strokes, cut.cut_line)
    take_label(room, piece.label)
    strokes += label_strokes(piece.label)
    if bracket:
        strokes += fold_words(room, bracket[0])
    if text_width("GRAIN", WORDS) + 4 * ARROW_LENGTH <= distance(*piece.grain_line):
        strokes += set_free(room, "GRAIN", WORDS, piece.grain_line, beside(WORDS), middle_first=True)
    for line in cut.piece.internal_lines:
        strokes += set_free(room, line.name, NAMES, line.points, beside(NAMES), middle_first=False)
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


def label_lines(label: Label) -> Iterator[tuple[str, float, Point]]:
    """Each line of a label: its text, the height of its capitals, and the middle of its baseline, mm."""
    down = right_of(way_of(label.angle_deg))
    _, box = label_box(label.lines, label.height)
    fall = -box / 2
    for row, (line, size) in enumerate(zip(label.lines, _line_heights(label.lines, label.height), strict=True)):
        fall += size if row == 0 else PITCH * size
        yield line, size, along(label.at, down, fall)


def label_strokes(label: Label) -> Iterator[Stroke]:
    for line, size, base in label_lines(label):
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


def drill_strokes(hole: Point) -> Iterator[Stroke]:
    radius, arm, corners = DRILL_DIAMETER / 2, DRILL_DIAMETER / 2 + 1.0, 24
    turns = [2 * pi * i / corners for i in range(corners)]
    yield Stroke(Role.DRILL, tuple((hole.x + radius * cos(t), hole.y + radius * sin(t)) for t in turns), closed=True)
    yield Stroke(Role.DRILL, ((hole.x - arm, hole.y), (hole.x + arm, hole.y)))
    yield Stroke(Role.DRILL, ((hole.x, hole.y - arm), (hole.x, hole.y + arm)))


def notch_strokes(notch: Notch) -> Iterator[Stroke]:
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


def line_signs(line: InternalLine) -> Iterator[Stroke]:
    """Small signs on a line inside a piece that tell its kind without colour; solid, so they have the lettering's role.

    Fold: arrow heads on both sides that point at it. Pleat: slanting strokes across. Zip: teeth, to either side in
    turn. Placement: a cross at each end. Balance: a bar across each end. Cutout: slanting crosses. (Our own choice.)
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
    elif line.kind is LineKind.CUTOUT:
        for at, way in _evenly(line.points, length, 60.0):
            for side in (left_of(way), right_of(way)):
                slant = direction((0.0, 0.0), (way.x + side.x, way.y + side.y))
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


def arrow(role: Role, a: Point, b: Point, *, both: bool = True) -> list[Stroke]:
    """A line with a head at both ends, or at b alone; the heads shrink on a line shorter than four of them."""
    size = min(1.0, distance(a, b) / (4 * ARROW_LENGTH))
    tail = [_head(role, a, direction(b, a), size)] if both else []
    return [Stroke(role, (a, b)), *tail, _head(role, b, direction(a, b), size)]


def _head(role: Role, tip: XY, way: Point, size: float = 1.0) -> Stroke:
    back = along(tip, way, -ARROW_LENGTH * size)
    side = left_of(way)
    half = _ARROW_HALF * size
    return Stroke(role, (along(back, side, half), tip, along(back, side, -half)))


def bracket_of(fold: tuple[Point, Point], stitch_line: Polyline) -> list[Stroke]:
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
            heads = (_head(Role.GRAIN, end, outward, depth / 2 / ARROW_LENGTH) for end in ends)
            return [Stroke(Role.FOLD, (ends[0], *corners, ends[1])), *heads]
    return []


def fold_words(room: Room, bracket: Stroke) -> list[Stroke]:
    """PLACE ON FOLD, half-way between the fold and the bracket, where it is long enough."""
    start, corner, far_corner, end = bracket.points
    depth, words = distance(start, corner), "PLACE ON FOLD"
    for size in (0.36 * depth, 0.28 * depth, 0.22 * depth):
        if text_width(words, size) + 1.4 * depth <= distance(corner, far_corner):
            line = between(start, corner), between(end, far_corner)
            return set_free(room, words, size, line, (0.0,), middle_first=True)
    return []


def beside(size: float) -> tuple[float, float]:
    """How far the middle of words lies from the line that they are set above, or else below."""
    return size / 2 + _CLEAR, -size / 2 - _CLEAR - DESCENDER * size


def set_free(
    room: Room, words: str, size: float, line: Polyline, lifts: tuple[float, ...], *, middle_first: bool
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
        angle = reading_angle(way)
        along_words = way_of(angle)
        middle = along(at, left_of(along_words), lift)
        if room.is_free(middle, along_words, width / 2, size / 2):
            room.take(middle, along_words, width / 2, size / 2)
            return words_at(words, size, middle, angle)
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


def words_at(words: str, size: float, middle: XY, angle_deg: float) -> list[Stroke]:
    """Words whose capitals have their middle at `middle`."""
    base = along(middle, right_of(way_of(angle_deg)), size / 2)
    return [Stroke(Role.LABEL, line) for line in text_lines(words, size, base, angle_deg=angle_deg, anchor="centre")]


def way_of(angle_deg: float) -> Point:
    return Point(cos(radians(angle_deg)), sin(radians(angle_deg)))


def reading_angle(way: XY) -> float:
    """The angle of a line so that words on it are never upside down: above −90° to 90°; upright ones read upwards."""
    angle = degrees(atan2(way[1], way[0]))
    if angle > 90.0 + 1e-6:
        angle -= 180.0
    elif angle <= -90.0 + 1e-6:
        angle += 180.0
    return angle


def take_label(room: Room, label: Label) -> None:
    """The label's box is drawn on."""
    width, height = label_box(label.lines, label.height)
    room.take(label.at, way_of(label.angle_deg), width / 2, height / 2)
