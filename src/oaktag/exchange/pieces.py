"""A block of a pattern-data file as a piece in mm (ASTM D6673-10, 4.3)."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Mapping
from math import atan2, cos, degrees, hypot, radians, sin
from typing import Final

from ..geometry.point import XY, distance
from ..geometry.polygon import Box, area, nearest_on
from ..values import dataclass, field, replace
from . import model
from .model import BOUNDARY, NOTCH_LAYERS, VALIDATED, DrillHole, LineData, NotchData, PieceData, RuleTag, TextData
from .notes import Context, Steps
from .outlines import CLOSE, Joined, as_closed, crossing_of, joined, without_repeats
from .records import NO_LAYER, RawBlock, RawInsert, RawLine
from .words import fact_of, quantity_of, tag_of

OFF_NOTCH: Final = 0.05
"""A notch further from the boundary is told, mm."""
_PIECE_FACTS: Final = {
    "piece name": "name", "size": "size", "size name": "size", "quantity": "quantity", "material": "material",
    "fabric": "material", "category": "category", "annotation": "annotation", "rotation": "rotation", "flip": "flip",
    "tilt": "tilt", "fold": "fold",
}  # fmt: skip
_STRAIGHT: Final = frozenset((model.GRADE, model.MIRROR, model.GRAIN, model.STRIPE, model.PLAID, model.DRILL))
"""Layers that may not hold a POLYLINE (4.3)."""


@dataclass(frozen=True, slots=True)
class _Place:
    """From a block's own units to mm in the drawing: x' = a·x + c·y + e, y' = b·x + d·y + f."""

    a: float
    b: float
    c: float
    d: float
    e: float
    f: float

    @classmethod
    def of(cls, block: RawBlock, insert: RawInsert | None, unit: float) -> _Place:
        if insert is None:
            return cls(unit, 0.0, 0.0, unit, 0.0, 0.0)
        turn = radians(insert.angle_deg) if insert.angle_deg else 0.0
        cosine, sine = (cos(turn), sin(turn)) if turn else (1.0, 0.0)
        a, b = cosine * insert.x_scale * unit, sine * insert.x_scale * unit
        c, d = -sine * insert.y_scale * unit, cosine * insert.y_scale * unit
        x, y = block.base
        return cls(a, b, c, d, insert.x * unit - a * x - c * y, insert.y * unit - b * x - d * y)

    @property
    def is_plain(self) -> bool:
        return (self.a, self.b, self.c, self.d, self.e, self.f) == (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)

    def all(self, points: list[XY]) -> list[XY]:
        if self.is_plain:
            return points
        a, b, c, d, e, f = self.a, self.b, self.c, self.d, self.e, self.f
        if not b and not c:
            return [(a * x + e, d * y + f) for x, y in points]
        return [(a * x + c * y + e, b * x + d * y + f) for x, y in points]

    def at(self, x: float, y: float) -> XY:
        return self.a * x + self.c * y + self.e, self.b * x + self.d * y + self.f

    def angle(self, deg: float) -> float:
        """The direction `deg` in the block, in the drawing, 0 to 360."""
        if not self.b and self.a == self.d > 0:
            return deg % 360.0
        x, y = cos(radians(deg)), sin(radians(deg))
        return degrees(atan2(self.b * x + self.d * y, self.a * x + self.c * y)) % 360.0

    @property
    def scale(self) -> float:
        """mm to a unit."""
        return hypot(self.a, self.b)


@dataclass(slots=True)
class _Facts:
    """What the texts of a block say."""

    known: dict[str, str] = field(default_factory=dict)
    others: dict[str, str] = field(default_factory=dict)
    tags: list[RuleTag] = field(default_factory=list)
    annotations: list[TextData] = field(default_factory=list)
    not_mirrored: list[XY] = field(default_factory=list)
    loose: list[TextData] = field(default_factory=list)
    without_words: int = 0


def piece_of(block: RawBlock, insert: RawInsert | None, context: Context) -> PieceData | None:
    """A block as a piece; None, and a note, where its boundary encloses nothing."""
    block_name = context.texts.plain(block.name)

    def note(sentence: str) -> None:
        context.notes.add(f"{block_name}: {sentence}")

    place = _Place.of(block, insert, context.unit)
    _note_insert(insert, note)
    others = Counter(block.others)
    facts = _facts(block, place, context, note)
    by_layer: dict[int, list[RawLine]] = {}
    for line in block.lines:
        by_layer.setdefault(line.layer, []).append(line)
    for layer in sorted(_STRAIGHT & by_layer.keys()):
        if any(len(line.points) > 2 for line in by_layer[layer]):
            note(f"layer {layer} holds a line of many points, where only LINE and POINT may stand.")
    outline = _boundary(by_layer.pop(BOUNDARY), place, note)
    if outline is None:
        return None
    raw, boundary, from_raw, clockwise = outline
    _note_shape(boundary, context.steps, note)
    lines = {
        layer: tuple(_line(line, place) for line in by_layer.pop(layer, ()))
        for layer in (model.STITCH, model.INTERNAL, model.CUTOUT, model.STRIPE, model.PLAID)
    }
    if any(not line.closed for line in lines[model.CUTOUT]):
        note("a cutout (layer 11) is not closed.")
    validation = {
        of: tuple(_line(line, place) for line in by_layer.pop(layer))
        for layer, of in VALIDATED.items()
        if layer in by_layer
    }
    straight = {
        layer: _straight(by_layer.pop(layer, ()), place, layer, note)
        for layer in (model.GRAIN, model.GRADE, model.MIRROR)
    }
    mirror = straight[model.MIRROR][0] if straight[model.MIRROR] else None
    if len(straight[model.MIRROR]) > 1:
        note("several mirror lines (layer 6); the first is kept.")
    if mirror and max(nearest_on(boundary, end)[1] for end in mirror) > 1.0:
        note("the mirror line (layer 6) does not end on the boundary.")
    spots: dict[int, list[LineData]] = {model.STRIPE: [], model.PLAID: []}
    turn, curve, notches, holes = _points(block, place, boundary, spots, context, others, note)
    holes += [_round_hole(line, place) for line in by_layer.pop(model.DRILL, ())]
    for layer, rest in by_layer.items():
        others[f"line on layer {layer}" if layer != NO_LAYER else "line on another layer"] += len(rest)
    for what, count in others.items():
        note(f"{count} × {what} not read.")
    if facts.without_words:
        others["TEXT without words"] += facts.without_words
        note(f"{times(facts.without_words, 'text')} without words (no group 1).")
    holes = _numbered(holes, facts)
    known = facts.known
    quantity = known.pop("quantity", "")
    right, left = quantity_of(quantity)
    if quantity and right is None:
        note(f"Quantity {quantity[:40]!r} is not understood.")
    if "name" not in known:
        note("no Piece Name; the block's name is taken.")
    if mirror and left:
        note(f"a half (layer 6) of which {(right or 0) + (left or 0)} are cut; whether halves are meant is not told.")
    return PieceData(
        block=block_name,
        name=known.pop("name", "") or block_name,
        size=known.pop("size", ""),
        boundary=boundary,
        boundary_raw=raw,
        from_raw=from_raw,
        clockwise=clockwise,
        right=right,
        left=left,
        **known,
        facts=facts.others,
        stitch_lines=lines[model.STITCH],
        internal_lines=lines[model.INTERNAL],
        cutouts=lines[model.CUTOUT],
        notches=notches,
        drill_holes=tuple(holes),
        grain_lines=straight[model.GRAIN],
        grade_reference_lines=straight[model.GRADE],
        mirror_line=mirror,
        stripe_lines=(*lines[model.STRIPE], *spots[model.STRIPE]),
        plaid_lines=(*lines[model.PLAID], *spots[model.PLAID]),
        turn_points=turn,
        curve_points=curve,
        rule_tags=tuple(facts.tags),
        annotations=tuple(facts.annotations),
        not_mirrored=tuple(facts.not_mirrored),
        other_texts=tuple(facts.loose),
        validation=validation,
        others=dict(others),
    )


def times(count: int, what: str) -> str:
    """`1 line`, `3 lines`."""
    return f"{count} {what}{'s' if count > 1 else ''}"


def _note_insert(insert: RawInsert | None, note: Callable[[str], None]) -> None:
    if insert is None:
        note("no INSERT puts it anywhere; it is read where the block has it.")
        return
    if (insert.x_scale, insert.y_scale) != (1.0, 1.0):
        note(f"its INSERT scales it by {insert.x_scale:g} × {insert.y_scale:g}.")
    if insert.angle_deg:
        note(f"its INSERT turns it by {insert.angle_deg:g}°.")
    if insert.repeated:
        note("its INSERT repeats it in rows or columns; the first is kept.")


def _facts(block: RawBlock, place: _Place, context: Context, note: Callable[[str], None]) -> _Facts:
    found = _Facts()
    displaced: dict[str, tuple[str, int]] = {}
    for text in block.texts:
        if text.words is None:
            found.without_words += 1
            continue
        words = context.texts.plain(text.words)
        if not words:
            continue
        if tag := tag_of(words):
            found.tags.append(RuleTag(*tag, text.layer, place.at(text.x, text.y)))
            continue
        if words == "NM":
            found.not_mirrored.append(place.at(text.x, text.y))
            continue
        fact = fact_of(words)
        key = _PIECE_FACTS.get(fact[0]) if fact else None
        if text.layer == BOUNDARY and fact:
            kept = found.known.setdefault(key, fact[1]) if key else found.others.setdefault(*fact)
            if kept != fact[1]:
                note(f"two texts say {fact[0]!r}; the first is kept.")
            continue
        if key and fact:
            displaced.setdefault(key, (fact[1], text.layer))
        whole = TextData(
            words, place.at(text.x, text.y), text.height * place.scale, place.angle(text.angle_deg), text.layer
        )
        (found.annotations if text.layer == model.ANNOTATION else found.loose).append(whole)
    for key, (value, layer) in displaced.items():
        if key not in found.known and ("name" not in found.known or layer != model.ANNOTATION):
            found.known[key] = value
            note(f"{key} stands on layer {layer}, not on layer 1.")
    return found


def _boundary(
    lines: Iterable[RawLine], place: _Place, note: Callable[[str], None]
) -> tuple[tuple[XY, ...], tuple[XY, ...], tuple[int, ...], bool] | None:
    """Vertices in the file's order; counter-clockwise; their indices in the first; whether the first is clockwise."""
    runs = joined([(place.all(line.points), line.closed) for line in lines])
    closed = [run for run in runs if run.closed and len(run.points) > 2] or [run for run in runs if len(run.points) > 2]
    if not closed:
        note("layer 1 holds no line that encloses anything; left out.")
        return None
    sizes = [abs(area(run.points)) for run in closed]
    run = closed[sizes.index(max(sizes))]
    _note_boundary(run, len(runs) - 1, note)
    kept = without_repeats(run.points, closed=True)
    if len(kept) < len(run.points):
        note(f"{times(len(run.points) - len(kept), 'repeated vertex').replace('vertexs', 'vertices')} dropped.")
    points = [run.points[i] for i in kept] if len(kept) < len(run.points) else run.points
    signed = area(points)
    if len(points) < 3 or abs(signed) < 1e-3:
        note("its boundary encloses nothing; left out.")
        return None
    clockwise = signed < 0
    if clockwise:
        points = [points[0], *points[:0:-1]]
        kept = [kept[0], *kept[:0:-1]]
    return tuple(run.points), tuple(points), tuple(kept), clockwise


def _note_boundary(run: Joined, others: int, note: Callable[[str], None]) -> None:
    if run.parts > 1:
        turned = f", {run.turned} of them turned round" if run.turned else ""
        note(f"boundary is a chain of {run.parts} open lines; joined{turned}.")
    if run.gap:
        note(f"boundary is open by {run.gap:.3g} mm; closed with a straight line.")
    if others:
        note(f"{times(others, 'more line')} on layer 1; the one round the largest area is taken as boundary.")


def _note_shape(ring: tuple[XY, ...], steps: Steps, note: Callable[[str], None]) -> None:
    at, steps.left = crossing_of(ring, steps.left)
    if at:
        note(f"boundary crosses itself at ({at[0]:.1f}, {at[1]:.1f}).")
    elif steps.left < 0:
        steps.left = 0
        note("boundary winds so much that it was not looked at for crossings.")
    elif len(set(ring)) < len(ring):
        x, y = next(p for p, count in Counter(ring).items() if count > 1)
        note(f"boundary passes twice through ({x:.1f}, {y:.1f}).")


def _line(line: RawLine, place: _Place) -> LineData:
    whole = as_closed(place.all(line.points), line.closed)
    return LineData(tuple(whole.points), whole.closed, line.layer)


def _straight(
    lines: Iterable[RawLine], place: _Place, layer: int, note: Callable[[str], None]
) -> tuple[tuple[XY, XY], ...]:
    found: list[tuple[XY, XY]] = []
    for line in lines:
        points = place.all(line.points)
        if distance(points[0], points[-1]) < CLOSE:
            note(f"a line of no length on layer {layer}; left out.")
        else:
            found.append((points[0], points[-1]))
    return tuple(found)


def _round_hole(line: RawLine, place: _Place) -> DrillHole:
    """A drill hole drawn as a circle or a cross-stroke: its middle and its breadth."""
    box = Box.round(place.all(line.points))
    middle = (box.left + box.right) / 2, (box.bottom + box.top) / 2
    return DrillHole(middle, box.width if line.closed else 0.0)


def _numbered(holes: list[DrillHole], facts: _Facts) -> list[DrillHole]:
    """Drill holes with the numbers that texts on layer 13 give to the nearest of them."""
    numbers = [text for text in facts.loose if text.layer == model.DRILL and text.words.isdigit()]
    if not numbers or not holes or len(numbers) * len(holes) > 100_000:
        return holes
    kinds: dict[int, str] = {}
    for text in numbers:
        near = min(range(len(holes)), key=lambda i: distance(holes[i].point, text.point))
        kinds.setdefault(near, text.words)
    facts.loose = [text for text in facts.loose if text not in numbers]
    return [replace(hole, kind=kinds.get(i, "")) for i, hole in enumerate(holes)]


def _points(
    block: RawBlock,
    place: _Place,
    boundary: tuple[XY, ...],
    spots: Mapping[int, list[LineData]],
    context: Context,
    others: Counter[str],
    note: Callable[[str], None],
) -> tuple[tuple[XY, ...], tuple[XY, ...], tuple[NotchData, ...], list[DrillHole]]:
    """Turn points, curve points, notches, drill holes; points of the layers in `spots` go there."""
    turn: list[XY] = []
    curve: list[XY] = []
    notches: list[NotchData] = []
    holes: list[DrillHole] = []
    vertices = frozenset(boundary) if block.points else frozenset()
    far, off_count, unmeasured = 0.0, 0, 0
    for layer, x, y, z, thickness, angle, _ in block.points:
        if layer == model.TURN:
            turn.append((x, y))
        elif layer == model.CURVE:
            curve.append((x, y))
        elif layer in NOTCH_LAYERS:
            point = place.at(x, y)
            on, off = point, 0.0
            if point not in vertices:
                context.steps.left -= len(boundary)
                if context.steps.left > 0:
                    on, off = nearest_on(boundary, point)
                else:
                    unmeasured += 1
            off_count, far = off_count + (off > OFF_NOTCH), max(far, off)
            width = abs(thickness) * place.scale
            kind = "V" if layer == model.NOTCH and width else NOTCH_LAYERS[layer]
            turned = None if angle is None else place.angle(angle)
            depth = z * place.scale
            notches.append(NotchData(point, kind, abs(depth), width, turned, layer, on, off, depth))
        elif layer in spots:
            spots[layer].append(LineData((place.at(x, y),), layer=layer))
        elif layer == model.DRILL:
            holes.append(DrillHole(place.at(x, y), abs(z) * place.scale))
        else:
            others[f"POINT on layer {layer}" if layer != NO_LAYER else "POINT on another layer"] += 1
    if off_count:
        note(f"{times(off_count, 'notch').replace('notchs', 'notches')} off the boundary, by up to {far:.3g} mm.")
    if unmeasured:
        note(f"{unmeasured} notches were not measured to the boundary: there are too many.")
    return tuple(place.all(turn)), tuple(place.all(curve)), tuple(notches), holes
