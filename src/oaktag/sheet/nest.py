"""A nest drawn: every piece once with all its sizes stacked, told apart by line pattern and by name; or each by itself.

Cut lines, notches, drill holes, darts and lines inside are drawn for every size; label, grain line and the words on
them once, for the base. There are no stitch lines: two lines a size would hide each other, and the label says what the
allowances are.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

from ..finish.labels import Measured, Wording, find_spot
from ..geometry.affine import Move
from ..geometry.point import XY, Point, along, direction, distance
from ..geometry.polygon import area, distance_to_segment
from ..model.nest import Nest
from ..model.pattern import Label, MarkedPiece
from ..model.piece import EdgeKind
from .dashes import fitted, patterns_for, ring_length
from .drawing import (
    ARROW_LENGTH,
    NAMES,
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
from .nest_labels import Family, key_in, key_lines, name_sizes
from .room import Room
from .strokes import Figure, Role, Stroke

KEY: Final = "key"
"""Name of the figure that tells which line is which size."""
_SAME: Final = 0.01
"""Lines of all sizes that are this near to each other, mm, are drawn once."""
_STRAIGHT: Final = 0.5
"""Fold lines this near to one straight line, mm, lie on each other."""


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


@dataclass(frozen=True, slots=True)
class PictureLine:
    """The cut line of one size in a small picture: a ring, mm, stacked as in the nest; and its pattern, () solid."""

    size: str
    points: tuple[XY, ...]
    dashes: tuple[float, ...]


def nest_picture(nest: Nest, piece: str, *, within: float = 0.5) -> tuple[PictureLine, ...]:
    """The stacked cut lines of a piece for a small picture: points that lie within `within` mm of a chord are left out.

    The patterns are those of the full-size drawing, in its mm: a picture at a scale draws them at that of the page.
    """
    patterns = patterns_for(nest.sizes, nest.base)
    lines = []
    for pattern in nest.patterns:
        ring = Move.by(*nest.shift(pattern.size, piece)).points(pattern.piece(piece).cut.cut_line)
        lines.append(PictureLine(pattern.size, _thinned(ring, within), patterns[pattern.size]))
    return tuple(lines)


# ---- one piece


@dataclass(frozen=True, slots=True)
class _Laid:
    """What is drawn of one size of a piece, laid on the base."""

    cut_line: tuple[XY, ...]
    edges: Mapping[str, Sequence[XY]]
    darts: Sequence[Sequence[XY]]
    inside: Mapping[str, Sequence[XY]]
    """Lines inside, by name."""
    marks: Sequence[Stroke]
    fold_line: tuple[Point, Point] | None


def _laid(piece: MarkedPiece, dx: float, dy: float, size: str, dashes: tuple[float, ...]) -> _Laid:
    cut, move = piece.cut, Move.by(dx, dy)
    marks = [Stroke(Role.DART, dart.points, len(dart.points) > 3, size, dashes) for dart in cut.piece.darts]
    for hole in piece.drill_holes:
        marks += drill_strokes(hole)
    for notch in piece.notches:
        marks += notch_strokes(notch)
    for line in cut.piece.internal_lines:
        marks += [Stroke(Role.INTERNAL, line.points), *line_signs(line)]
    fold = piece.fold_line
    return _Laid(
        move.points(cut.cut_line),
        {
            edge.name: move.points(cut.cut_edges[edge.name])
            for edge in cut.piece.edges
            if edge.kind is not EdgeKind.FOLD
        },
        [move.points(dart.points) for dart in cut.piece.darts],
        {line.name: move.points(line.points) for line in cut.piece.internal_lines},
        [replace(stroke.moved(move), size=size) for stroke in marks],
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
    strokes += own
    strokes += common
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
    words += name_sizes(room, _families(laid))
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


def _folds(folds: Mapping[str, tuple[Point, Point]]) -> list[Stroke]:
    """The fold lines of all sizes: one as long as all together where they lie on each other, else one each."""
    a, b = next(iter(folds.values()))
    way = direction(a, b)
    ends = [point for fold in folds.values() for point in fold]
    if max(abs((x - a.x) * way.y - (y - a.y) * way.x) for x, y in ends) > _STRAIGHT:
        return [Stroke(Role.FOLD, fold, size=size) for size, fold in folds.items()]
    fars = [(x - a.x) * way.x + (y - a.y) * way.y for x, y in ends]
    return [Stroke(Role.FOLD, (along(a, way, min(fars)), along(a, way, max(fars))))]


def _label(label: Label, nest: Nest, outline: Sequence[XY], strokes: Sequence[Stroke], measured: Measured) -> Label:
    """The base's label with all sizes named in it, where it keeps clear of the lines of all of them."""
    lines = _naming_all(label.lines, nest)
    drawn = [(*stroke.points, *stroke.points[: stroke.closed]) for stroke in strokes]
    spot = find_spot(outline, drawn, [Wording(lines)], measured)
    return Label(spot.lines, spot.at, spot.height, spot.width, spot.angle_deg)


def _naming_all(lines: Sequence[str], nest: Nest) -> tuple[str, ...]:
    """The lines of the base's label, where `size: size 12` is now `sizes: 8 to 16`."""
    named = f"sizes: {nest.sizes[0]} to {nest.sizes[-1]}"
    break_ = "\0"
    text = re.sub(
        rf"size:[ {break_}](?:size[ {break_}])?{re.escape(nest.base)}(?=[,; {break_}]|$)",
        lambda _: named,
        break_.join(lines),
    )
    return tuple(text.split(break_))


def _families(laid: Mapping[str, _Laid]) -> list[Family]:
    """The lines that are the same line in every size: edges of the cut line, dart legs, lines inside."""
    first = next(iter(laid.values()))
    found = [Family({size: one.edges[name] for size, one in laid.items()}) for name in first.edges]
    for i, points in enumerate(first.darts):
        legs = {size: one.darts[i][:2] for size, one in laid.items()}
        if len(points) == 3:
            legs = {size: (tip, leg) for size, (leg, tip) in legs.items()}
        found.append(Family(legs, once=True))
    return [*found, *(Family({s: one.inside[name] for s, one in laid.items()}, once=True) for name in first.inside)]


def _thinned(ring: Sequence[XY], within: float) -> tuple[XY, ...]:
    """Points left out while all between two kept ones lie near enough to their chord."""
    kept, start, line = [ring[0]], 0, [*ring, ring[0]]
    for end in range(2, len(line)):
        if any(distance_to_segment(p, line[start], line[end]) > within for p in line[start + 1 : end]):
            start = end - 1
            kept.append(line[start])
    return tuple(kept)
