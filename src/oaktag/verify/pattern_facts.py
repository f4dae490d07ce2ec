"""What a pattern-data file says besides lines: style, units, quantities, kinds of points, rule tags, validation curves.

Which of them a receiver goes by, and on which layer they stand: ASTM D6673-10, 4.3, as public notes quote it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from math import hypot
from typing import Final

from ..exchange.graded import untagged
from ..exchange.model import (
    BOUNDARY,
    CURVE,
    CUTOUT,
    DRILL,
    GRAIN,
    INTERNAL,
    STITCH,
    TURN,
    LineData,
    PatternData,
    PieceData,
)
from ..geometry.point import XY, distance, turn_deg
from ..values import dataclass
from .compare import Lines, Placement, measured
from .drawing import Run, slug
from .marks import Marks

_SHORT: Final = 20
"""Characters of a name (D6673-10, 4.3.1.1)."""
_SHARP_DEG: Final = 30.0
_SMOOTH_DEG: Final = 3.0
"""A vertex that turns by more is a corner, by less it is none, whoever draws the line; between, it may be either."""
_AT: Final = 0.0126
"""mm: two numbers of a file this near are one place: 0.01 mm (0.0005 in) and the half of a step."""
_VERSIONS: Final = ("D 6673", "D6673", "ANSI/AAMA", "292")
_ONE_NUMBER: Final = "Quantity is one number"
"""What is noted of every file of the older flavour, which has no other way to tell it."""
_NO_PIECE: Final = "which no piece of a garment is"
"""What is noted of a curtain. Whether its units are right is told by its lines, which lie as pattern.json has them."""
_TOLERANCE: Final = 0.152
"""mm, of validation curves, as exchange files have it."""
_VALIDATED: Final = 0.05
"""mm that a validation curve may be off the line that it repeats (contract: any outline)."""


@dataclass(frozen=True, slots=True)
class Told:
    """What a file must say of its style: title, base size as the file spells it, whether a table goes with it (None:
    that is told with the table)."""

    title: str
    sample: str
    ruled: bool | None


def wrong_style(data: PatternData, told: Told) -> Iterator[str]:
    """What is said of the whole file and is not so."""
    style = data.style
    older = any(word in style.version.upper() for word in ("AAMA", "292"))
    for note in data.notes:
        if _NO_PIECE not in note and not (older and note.startswith(_ONE_NUMBER)):
            yield note.rstrip(".")
    if style.units not in ("metric", "english"):
        yield "it names no units: they are METRIC (mm) or ENGLISH (inches)"
    elif data.unit != {"metric": "mm", "english": "in"}[style.units]:
        yield f"its units are told to be {style.units.upper()}, and its numbers are {data.unit}"
    name = slug(told.title)
    if told.title.isascii() and told.title and not (style.name and name.startswith(slug(style.name))):
        yield f"its style is called {style.name!r}, {told.title[:_SHORT].strip()!r} is meant"
    if told.sample and style.sample_size.casefold() != told.sample.casefold():
        yield f"its sample size is told to be {style.sample_size!r}, {told.sample!r} is meant"
    if told.ruled is not None and bool(style.rule_table) != told.ruled:
        yield (
            "it names no grade rule table, and one goes with it" if told.ruled
            else f"it names the grade rule table {style.rule_table!r}, and none goes with it"
        )  # fmt: skip
    if not any(word in style.version.upper() for word in _VERSIONS):
        yield f"it says {style.version!r} where the version of the standard is told"
    if style.others or style.texts:
        said = next(iter((*style.others, *style.texts)))
        yield f"it says {said!r} of the style, which is none of the standard's facts"
    if style.curve_tolerance:
        value = _number(style.curve_tolerance) * (25.4 if style.units == "english" else 1.0)
        if abs(value - _TOLERANCE) > 0.001:
            yield f"its curve tolerance is {style.curve_tolerance}, which is {value:.3f} mm; {_TOLERANCE} mm is meant"
        if not any(piece.validation for piece in data.pieces):
            yield "it tells a curve tolerance and has no validation curves"
    for piece in data.pieces:
        if piece.proves_scale and (piece.right, piece.left or 0) not in ((0, 0), (None, 0)):
            yield f"{piece.name} proves the scale, and is told to be cut {piece.right},{piece.left}"


def _number(text: str) -> float:
    try:
        return float(text)
    except ValueError:
        return 0.0


def wrong_facts(piece: PieceData, marks: Marks, *, base: bool) -> Iterator[str]:
    """What is said of a piece and is not so."""
    if marks.quantity and (base or piece.right is not None):
        want = _quantity(marks)
        got = (piece.right, piece.left) if piece.left is not None else (piece.right, None)
        whole = want[0] + want[1]
        if got != want and not (got[1] is None and got[0] == whole):
            told = "nothing" if got[0] is None else ",".join(str(n) for n in got if n is not None)
            yield f"its quantity is told to be {told}, {want[0]},{want[1]} is meant"
    if (
        marks.material
        and (base or piece.material)
        and marks.material.isascii()
        and slug(piece.material) != slug(marks.material)
    ):
        yield f"its material is told to be {piece.material!r}, {marks.material!r} is meant"
    for words in (piece.category, piece.rotation, piece.flip, piece.tilt, piece.fold, *piece.facts, *piece.others):
        if words:
            yield f"it says {words!r}, which is not meant"
    if piece.not_mirrored or piece.other_texts:
        yield "it has texts that are neither facts nor plotted"
    if not base and (piece.turn_points or piece.curve_points or piece.notches):
        yield "it has points that stand in the base size alone"
    if len(piece.grade_reference_lines) != 1:
        yield f"it has {len(piece.grade_reference_lines)} grade reference lines, one is meant"


def _quantity(marks: Marks) -> tuple[int, int]:
    """How many are cut as drawn, and mirrored: a pair is one of each; what is left over of an odd number as drawn."""
    if not marks.mirrored_pair:
        return marks.quantity, 0
    mirrored = max(1, marks.quantity // 2)
    return max(mirrored, marks.quantity - mirrored), mirrored


def _lines(piece: PieceData) -> Iterator[LineData]:
    yield LineData(piece.boundary_raw, True, BOUNDARY)
    yield from piece.stitch_lines
    yield from piece.internal_lines
    yield from piece.cutouts


def _turns(line: LineData) -> list[tuple[XY, float]]:
    """Of each vertex how much the line turns there, degrees; 180 at the ends of an open one."""
    ring = line.points
    found: list[tuple[XY, float]] = []
    for i, (x, y) in enumerate(ring):
        if not line.closed and i in (0, len(ring) - 1):
            found.append(((x, y), 180.0))
            continue
        (ax, ay), (bx, by) = ring[i - 1], ring[(i + 1) % len(ring)]
        before, after = (x - ax, y - ay), (bx - x, by - y)
        found.append(((x, y), abs(turn_deg(before, after)) if hypot(*before) and hypot(*after) else 0.0))
    return found


class _Places:
    """Points by cell."""

    def __init__(self, points: Sequence[XY]) -> None:
        self.cells: dict[tuple[int, int], list[XY]] = {}
        for x, y in points:
            self.cells.setdefault((round(x / 0.1), round(y / 0.1)), []).append((x, y))

    def holds(self, point: XY) -> bool:
        x, y = round(point[0] / 0.1), round(point[1] / 0.1)
        around = (p for a in (-1, 0, 1) for b in (-1, 0, 1) for p in self.cells.get((x + a, y + b), ()))
        return any(distance(p, point) <= _AT for p in around)


def wrong_points(piece: PieceData) -> Iterator[str]:
    """Whether every vertex is a turn point or a curve point, corners the one, smooth vertices the other.

    Two vertices may lie within a hundredth of a mm of each other, so that one place may be both.
    """
    turns, curves = _Places(piece.turn_points), _Places(piece.curve_points)
    lines = list(_lines(piece))
    told = [(line, _turns(line)) for line in lines]
    for line, vertices in told:
        for (x, y), turn in vertices:
            where = f"({x:.1f}, {y:.1f}) of the file, on layer {line.layer}"
            corner, curve = turns.holds((x, y)), curves.holds((x, y))
            if not corner and not curve:
                yield f"the vertex at {where}, is neither a turn point nor a curve point"
            elif turn > _SHARP_DEG and not corner:
                yield f"the corner at {where}, is told to be a point of a curve, and would be rounded"
    may_turn = _Places(
        [p for line in lines[1:] for p in line.points] + [p for p, turn in told[0][1] if turn >= _SMOOTH_DEG]
    )
    for (x, y), turn in told[0][1]:
        if turn < _SMOOTH_DEG and turns.holds((x, y)) and not may_turn.holds((x, y)):
            yield f"the boundary is smooth at ({x:.1f}, {y:.1f}) of the file, and told to turn there"
    known = _Places([
        *(p for line in lines for p in line.points), *(hole.point for hole in piece.drill_holes),
        *(p for ends in (*piece.grain_lines, *piece.grade_reference_lines) for p in ends), *(piece.mirror_line or ()),
    ])  # fmt: skip
    loose = [p for p in (*piece.turn_points, *piece.curve_points) if not known.holds(p)]
    if not loose:
        return
    import numpy as np

    off = Lines([Run.of(line.points, closed=line.closed) for line in lines]).off(np.array(loose))
    for (x, y), far in zip(loose, off.tolist(), strict=True):
        if far > _AT:  # on a straight run between two vertices it does no harm
            yield f"a turn or curve point at ({x:.1f}, {y:.1f}) of the file is on no line"


def wrong_tags(piece: PieceData) -> Iterator[str]:
    """Whether every corner, end and mark carries a rule: a point without one is left to what lies beside it."""
    tagged: Mapping[int, _Places] = {
        layer: _Places([tag.point for tag in piece.rule_tags if tag.layer in (layer, TURN, CURVE)])
        for layer in (BOUNDARY, STITCH, INTERNAL, CUTOUT, DRILL, GRAIN)
    }
    spots = [(line.layer, p) for line in _lines(piece) for p, turn in _turns(line) if turn > _SHARP_DEG]
    spots += [(DRILL, hole.point) for hole in piece.drill_holes]
    spots += [(GRAIN, end) for ends in piece.grain_lines for end in ends]
    for layer, (x, y) in spots:
        if not tagged[layer].holds((x, y)):
            yield f"the point at ({x:.1f}, {y:.1f}) of the file, on layer {layer}, carries no rule"
    for tag in untagged(piece):
        yield f"the tag of rule {tag.rule} at ({tag.point[0]:.1f}, {tag.point[1]:.1f}) of the file is on no point"


def wrong_validation(piece: PieceData) -> Iterator[str]:
    """Whether the validation curves lie on the lines that they prove, all of them."""
    own: dict[int, list[Run]] = {}
    for line in _lines(piece):
        own.setdefault(line.layer, []).append(Run.of(line.points, closed=line.closed))
    still = Placement(0, 0.0, 0.0)
    for layer, lines in piece.validation.items():
        dense = Lines([Run.of(line.points, closed=line.closed) for line in lines])
        meant = Lines(own.get(layer, []))
        if dense.empty or meant.empty:
            yield f"validation curves of layer {layer} repeat no line"
            continue
        fit = measured(dense, meant, still)
        if fit.worst > _VALIDATED:
            x, y = fit.at
            where = f"({x:.1f}, {y:.1f}) of the file"
            yield f"a validation curve of layer {layer} is {fit.worst:.3f} mm off its line at {where}"
    if piece.validation and set(own) - set(piece.validation) - {CUTOUT}:
        lacking = min(set(own) - set(piece.validation) - {CUTOUT})
        yield f"layer {lacking} has no validation curves, and other layers do"
