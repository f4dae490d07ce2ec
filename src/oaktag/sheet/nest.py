"""A nest drawn: every piece once with all its sizes stacked, told apart by line pattern and by name; or each by itself.

Cut lines, notches, drill holes, darts and lines inside are drawn for every size; label, grain line and the words on
them once, for the base. There are no stitch lines: two lines a size would hide each other, and the label says what the
allowances are.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from itertools import pairwise
from typing import Final

from ..finish.labels import Measured, Wording, find_spot, words_of
from ..geometry.affine import Move
from ..geometry.point import XY, Point, along, direction, distance, turn_deg
from ..geometry.polygon import area
from ..model.nest import Nest
from ..model.pattern import Label, MarkedPiece
from ..model.piece import InternalLine, LineKind, NotchKind
from ..values import dataclass, replace
from .dashes import SHARP_DEG, fitted, patterns_for, ring_length
from .drawing import (
    ARROW_LENGTH,
    NAMES,
    SECOND_LINE,
    WORDS,
    arrow,
    beside,
    bracket_of,
    drill_strokes,
    figure_of,
    fold_words,
    label_box,
    label_strokes,
    line_signs,
    notch_strokes,
    set_free,
    take_label,
)
from .lettering import text_width
from .nest_labels import TELLABLE, Family, key_in, key_lines, name_beside, name_beyond, name_sizes
from .room import Room
from .strokes import Figure, Role, Stroke

KEY: Final = "key"
"""Name of the figure that tells which line is which size."""
_SAME: Final = 0.01
"""Lines of all sizes that are this near to each other, mm, are drawn once."""
_STRAIGHT: Final = 0.05
"""Lines this near to one straight line, mm, lie on each other."""
_FACT: Final = re.compile(r"size: |cut \d|one way: |allowances |\d+ of \d+|clip |notch out |run |ease in ")
"""How a fact of a label begins."""


def nest_figures(nest: Nest) -> list[Figure]:
    """A figure for every piece, in the coordinates of the base size, mm; a nest of one size is drawn as ever.

    Strokes that belong to one size are named after it (`Stroke.size`); the cut line of each is one closed stroke with
    its pattern. Raises InputError for more sizes than there are patterns.
    """
    base = nest.base_pattern
    if len(nest.patterns) == 1:
        return [figure_of(piece) for piece in base.pieces]
    patterns = patterns_for(nest.sizes, nest.base)
    measured = Measured(label_box)
    return [_stacked(nest, piece, patterns, measured) for piece in base.pieces]


def size_figures(nest: Nest) -> list[Figure]:
    """Every piece of every size by itself, with stitch lines and its own label; `Figure.size` tells them apart."""
    if len(nest.patterns) == 1:
        return nest_figures(nest)
    return [replace(figure_of(piece), size=pattern.size) for pattern in nest.patterns for piece in pattern.pieces]


def key_figure(nest: Nest) -> Figure:
    """Which line pattern is which size, to lie beside the pieces of a nest; all strokes have the role LABEL."""
    return Figure(KEY, tuple(key_lines(patterns_for(nest.sizes, nest.base), nest.base)))


# ---- one piece


@dataclass(frozen=True, slots=True)
class _Laid:
    """What is drawn of one size of a piece, laid on the base."""

    cut_line: tuple[XY, ...]
    darts: Sequence[Sequence[XY]]
    inside: Mapping[str, InternalLine]
    notches: Sequence[tuple[Point, Point]]
    """The end inside the piece of each notch, and its direction inwards."""
    marks: Sequence[Stroke]
    fold_line: tuple[Point, Point] | None


def _laid(piece: MarkedPiece, dx: float, dy: float, size: str, dashes: tuple[float, ...]) -> _Laid:
    cut, move = piece.cut, Move.by(dx, dy)
    marks = [Stroke(Role.DART, dart.points, len(dart.points) > 3, size, dashes) for dart in cut.piece.darts]
    for hole in piece.drill_holes:
        marks += drill_strokes(hole)
    for notch in piece.notches:
        marks += notch_strokes(notch)
    fold = piece.fold_line
    return _Laid(
        move.points(cut.cut_line),
        [move.points(dart.points) for dart in cut.piece.darts],
        {
            line.name: replace(line, points=tuple([move.point(p) for p in line.points]))
            for line in cut.piece.internal_lines
        },
        [
            (move.point(along(spot, out, -notch.depth)), Point(-out.x, -out.y))
            for notch in piece.notches
            if notch.kind is not NotchKind.V_OUT
            for spot, out in notch.each()
        ],
        [Stroke(s.role, move.points(s.points), s.closed, size, s.dashes) for s in marks],
        (move.point(fold[0]), move.point(fold[1])) if fold else None,
    )


def _stacked(nest: Nest, base: MarkedPiece, patterns: Mapping[str, tuple[float, ...]], measured: Measured) -> Figure:
    laid = {
        p.size: _laid(p.piece(base.name), *nest.shift(p.size, base.name), p.size, patterns[p.size])
        for p in nest.patterns
    }
    strokes = [
        Stroke(Role.CUT, one.cut_line, True, size, fitted(patterns[size], ring_length(one.cut_line)))
        for size, one in laid.items()
    ]
    common, own = _sorted_out([one.marks for one in laid.values()])
    strokes += [*common, *own]
    inside = [_Inside.of({size: one.inside[name] for size, one in laid.items()}) for name in laid[nest.base].inside]
    strokes += [stroke for line in inside for stroke in line.strokes(nest.base)]
    strokes += arrow(Role.GRAIN, *base.grain_line, both=not base.cut.piece.one_way)
    bracket: list[Stroke] = []
    if base.fold_line is not None:
        strokes += _folds({size: one.fold_line for size, one in laid.items() if one.fold_line is not None})
        bracket = bracket_of(base.fold_line, base.cut.stitch_line)
        strokes += bracket

    smallest = min([one.cut_line for one in laid.values()], key=area)
    room = Room(strokes, smallest)
    label = _label(base.label, nest, smallest, strokes, measured)
    take_label(room, label)
    words = list(label_strokes(label))
    if bracket:
        words += fold_words(room, bracket[0])
    if text_width("GRAIN", WORDS) + 4 * ARROW_LENGTH <= distance(*base.grain_line):
        words += set_free(room, "GRAIN", WORDS, base.grain_line, beside(WORDS), middle_first=True)
    for line in base.cut.piece.internal_lines:
        words += set_free(room, line.name, NAMES, line.points, beside(NAMES), middle_first=False)
    families = [*_edges(base, laid), *_legs(laid), *(Family(line.points(), once=True) for line in inside if line.apart)]
    words += name_sizes(room, families)
    ends = [line.ends() for line in inside if not line.apart]
    words += [stroke for tips in ends for stroke in name_beside(room, tips)]
    words += [stroke for tips in _crowded_notches(laid) for stroke in name_beyond(room, tips)]
    words += key_in(room, patterns, nest.base, label.at)
    return Figure(base.name, (*strokes, *words))


def _sorted_out(marks: Sequence[Sequence[Stroke]]) -> tuple[list[Stroke], list[Stroke]]:
    """What is the same in all sizes, once and without a size; and the rest, size by size."""

    def place(stroke: Stroke) -> object:
        return stroke.role, tuple([(round(x / _SAME), round(y / _SAME)) for x, y in stroke.points])

    places = [{place(stroke): stroke for stroke in of_size} for of_size in marks]
    common = set(places[0]).intersection(*places[1:])
    once = [replace(stroke, size="", dashes=None) for at, stroke in places[0].items() if at in common]
    return once, [stroke for of_size in places for at, stroke in of_size.items() if at not in common]


@dataclass(frozen=True, slots=True)
class _Inside:
    """One line inside a piece in every size; `apart` unless all lie on one straight line."""

    lines: Mapping[str, InternalLine]
    apart: bool

    @classmethod
    def of(cls, lines: Mapping[str, InternalLine]) -> _Inside:
        return cls(lines, _on_one_line([point for line in lines.values() for point in line.points]) is None)

    def points(self) -> dict[str, Sequence[XY]]:
        return {size: line.points for size, line in self.lines.items()}

    def strokes(self, base: str) -> list[Stroke]:
        """Every line with its signs; or one line as long as all together, with the signs along it once, as the base's.

        The bars and crosses that end a line are drawn for every size.
        """
        signs = [[replace(sign, size=size) for sign in line_signs(line)] for size, line in self.lines.items()]
        if self.apart:
            lines = [Stroke(Role.INTERNAL, line.points, size=size) for size, line in self.lines.items()]
            return lines + [sign for of_size in signs for sign in of_size]
        line = Stroke(Role.INTERNAL, _longest([point for line in self.lines.values() for point in line.points]))
        if self.lines[base].kind in (LineKind.BALANCE, LineKind.PLACEMENT):
            common, own = _sorted_out(signs)
            return [line, *common, *own]
        return [line, *line_signs(self.lines[base])]

    def ends(self) -> dict[str, tuple[XY, Point]]:
        """The far end of each line and its direction, for lines on each other that do not all end there at a bar."""
        if next(iter(self.lines.values())).kind not in (LineKind.BALANCE, LineKind.PLACEMENT):
            return {}
        ends: dict[str, tuple[XY, Point]] = {}
        for size, line in self.lines.items():
            ends[size] = line.points[-1], direction(line.points[0], line.points[-1])
        first, _ = next(iter(ends.values()))
        return ends if any(distance(tip, first) > _STRAIGHT for tip, _ in ends.values()) else {}


def _on_one_line(points: Sequence[XY]) -> Point | None:
    """The direction of the straight line on which all the points lie; None if they do not."""
    a = points[0]
    way = direction(a, max(points, key=lambda p: distance(a, p)))
    return way if all(abs((x - a[0]) * way.y - (y - a[1]) * way.x) <= _STRAIGHT for x, y in points) else None


def _longest(points: Sequence[XY]) -> tuple[XY, XY]:
    """The two ends of points that lie on one straight line."""
    a = points[0]
    end = max(points, key=lambda p: distance(a, p))
    return max(points, key=lambda p: distance(end, p)), end


def _folds(folds: Mapping[str, tuple[Point, Point]]) -> list[Stroke]:
    """The fold lines of all sizes: one as long as all together where they lie on each other, else one each."""
    ends = [point for fold in folds.values() for point in fold]
    if _on_one_line(ends) is None:
        return [Stroke(Role.FOLD, fold, size=size) for size, fold in folds.items()]
    return [Stroke(Role.FOLD, _longest(ends))]


def _label(label: Label, nest: Nest, outline: Sequence[XY], strokes: Sequence[Stroke], measured: Measured) -> Label:
    """The base's label with all sizes named in it, where it keeps clear of the lines of all of them."""
    texts = _naming_all(_facts(label), nest)
    drawn = [(*s.points, *s.points[: s.closed]) for s in strokes if s.role is not Role.CUT]
    drawn += [line for s in strokes if s.role is Role.CUT for line in _inside_of(outline, s.points)]
    spot = find_spot(outline, drawn, [Wording(texts)], measured)
    return Label(spot.lines, spot.at, spot.height, spot.width, spot.angle_deg)


def _facts(label: Label) -> list[str]:
    """What a label says, one fact a text: its lines, those put together that were broken because they were too long.

    The heading, in capitals, goes on in capitals. Another line goes on in the next one if that one's first word had no
    room in it and begins no fact.
    """
    facts = [label.lines[0]]
    for above, line in pairwise(label.lines):
        heading = len(facts) == 1
        too_long = text_width(f"{above} {words_of(line)[0]}", SECOND_LINE * label.height) > label.width
        if line.isupper() if heading else too_long and not _FACT.match(line):
            facts[-1] += f" {line}"
        else:
            facts.append(line)
    return facts


def _inside_of(outline: Sequence[XY], ring: Sequence[XY]) -> list[tuple[XY, XY]]:
    """The runs of a size's cut line that do not clearly lie outside that of the smallest, node by node; both are built
    alike, counter-clockwise."""
    count = len(outline)
    near = []
    for i in range(count):
        (ax, ay), (bx, by), (x, y) = outline[i - 1], outline[(i + 1) % count], ring[i]
        cx, cy = outline[i]
        near.append((x - cx) * (by - ay) - (y - cy) * (bx - ax) <= _STRAIGHT * (abs(bx - ax) + abs(by - ay)))
    return [(ring[i - 1], ring[i]) for i in range(count) if near[i] or near[i - 1]]


def _naming_all(texts: Sequence[str], nest: Nest) -> tuple[str, ...]:
    """The texts of the base's label, where `size: size 12` is now `sizes: 8 to 16`."""
    named = f"sizes: {nest.sizes[0]} to {nest.sizes[-1]}"
    own = re.compile(rf"size: (?:size )?{re.escape(nest.base)}(?=[,; ]|$)")
    return tuple(own.sub(lambda _: named, text) for text in texts)


def _edges(base: MarkedPiece, laid: Mapping[str, _Laid]) -> list[Family]:
    """The cut line of every size from one sharp corner to the next, fold lines left out."""
    ring = base.cut.cut_line
    count = len(ring)
    turns = {size: _turns(one.cut_line) for size, one in laid.items()}
    own = _turns(ring)
    corners = [i for i in range(count) if abs(own[i]) > SHARP_DEG]
    places = {size: _corners_like(corners, own, turns[size]) for size in laid}
    found = []
    for k, start in enumerate(corners):
        after = (k + 1) % len(corners)
        end = corners[after]
        if base.fold_line is None or _on_one_line([*base.fold_line, ring[start], ring[end]]) is None:
            found.append(
                Family({size: _run(one.cut_line, places[size][k], places[size][after]) for size, one in laid.items()})
            )
    return found


def _turns(ring: Sequence[XY]) -> list[float]:
    """By how much the ring turns at each of its points, degrees, left positive."""
    ways = [(x1 - x0, y1 - y0) for (x0, y0), (x1, y1) in pairwise([*ring, ring[0]])]
    return [turn_deg(before, after) for before, after in pairwise([ways[-1], *ways])]


def _corners_like(corners: Sequence[int], own: Sequence[float], turns: Sequence[float]) -> list[int]:
    """The corners of another size that are those of the base, one each, by their order.

    A corner that is hardly sharp may be one in one size alone: the sharpest of both are paired, and what is left of the
    base's keeps its place behind the one before.
    """
    count = len(turns)
    sharp = [i for i in range(count) if abs(turns[i]) > SHARP_DEG]
    both = min(len(sharp), len(corners))
    mine, theirs = _sharpest(corners, own, both), _sharpest(sharp, turns, both)
    orders = [theirs[first:] + theirs[:first] for first in range(both)]
    pairs = [list(zip(mine, order, strict=True)) for order in orders]
    best = dict(min(pairs, key=lambda row: sum(_apart(a, b, count) for a, b in row), default=()))
    before = max(best, default=0)
    found = []
    for i in corners:
        before = i if i in best else before
        found.append((i + best.get(before, before) - before) % count)
    return found


def _sharpest(corners: Sequence[int], turns: Sequence[float], most: int) -> list[int]:
    """So many of the corners, in their order."""
    return sorted(sorted(corners, key=lambda i: -abs(turns[i]))[:most])


def _apart(a: int, b: int, count: int) -> int:
    """How many points of a ring lie between two numbers, the shorter way round."""
    return min((a - b) % count, (b - a) % count)


def _run(ring: tuple[XY, ...], start: int, end: int) -> tuple[XY, ...]:
    """The points of a ring from one number to another, both included."""
    return ring[start : end + 1] if start < end else ring[start:] + ring[: end + 1]


def _legs(laid: Mapping[str, _Laid]) -> list[Family]:
    """The first leg of every dart, from its upper point or its tip."""
    found = []
    for i, points in enumerate(next(iter(laid.values())).darts):
        legs = {size: one.darts[i][:2] for size, one in laid.items()}
        if len(points) == 3:
            legs = {size: (tip, leg) for size, (leg, tip) in legs.items()}
        found.append(Family(legs, once=True))
    return found


def _crowded_notches(laid: Mapping[str, _Laid]) -> list[dict[str, tuple[XY, Point]]]:
    """The inner ends of each notch in all sizes, where their cut lines lie so near that nobody sees whose it is."""
    found: list[dict[str, tuple[XY, Point]]] = []
    for i in range(min(len(one.notches) for one in laid.values())):
        ends: dict[str, tuple[XY, Point]] = {size: one.notches[i] for size, one in laid.items()}
        inward = next(iter(ends.values()))[1]
        levels = sorted([x * inward.x + y * inward.y for (x, y), _ in ends.values()])
        aside = sorted([y * inward.x - x * inward.y for (x, y), _ in ends.values()])
        if min(b - a for a, b in pairwise(levels)) < TELLABLE and aside[-1] - aside[0] > TELLABLE:
            found.append(ends)
    return found
