"""Pieces of pattern data as outlines: each line is what the file says that it is, and each size comes in.

The boundary (layer 1) is the cut line, layer 14 the stitch line. Where a piece has a boundary alone, only its maker
knows which of the two it is, and is asked. Turn points are corners, curve points are none. Sizes are those of the
file's blocks (a graded nest), or made from the base by the rules of a table (D6673-10, 4.3).
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import pairwise
from typing import Final

from ..errors import InputError, InputErrors, Where
from ..exchange.as_json import outward, stands_out, stitch_ring
from ..exchange.graded import graded_piece, untagged, with_notches_of
from ..exchange.model import BOUNDARY, CUTOUT, INTERNAL, STITCH, LineData, NotchData, PatternData, PieceData
from ..exchange.outlines import joined
from ..exchange.rule_table import RuleTable
from ..geometry.curve import Curve, Line
from ..geometry.path import Path
from ..geometry.point import XY, Point, between, direction, distance, turn_deg
from ..geometry.polygon import Box, area, distance_to_line, nearest_on
from ..values import dataclass, replace
from . import sewn
from .corners import corners_of
from .fit import fitted, is_rough
from .loops import flat_ring, untangled
from .model import DrawnNotch, DrawnPath, DrawnPoint, DrawnText, Outline, Outlines, Said
from .plan import Reading

_FLAT_DEG: Final = 1.0
"""A turn point at which the line turns by less parts no edges."""
_SHARP_DEG: Final = 60.0
"""A curve point at which it turns by more is a corner all the same: no curve is smooth there."""
_ON_LINE: Final = 0.3
"""What lies on the mirror line is this near to it, mm: what files of two decimals in inches may be off."""
_TOUCHES: Final = 1.0
"""An open stitch line whose ends come this near to the boundary ends on it, mm."""
_BESIDE: Final = 0.1
"""A validation curve that keeps this near to its line says the same, mm (the project's tolerance)."""
_MOST_MEASURED: Final = 4_000_000


@dataclass(frozen=True, slots=True)
class _Ring:
    """The outline of a piece as the edges are taken from it; where its corners are, and at which of them it begins."""

    points: tuple[XY, ...]
    corners: tuple[int, ...]
    start: int
    fold: int


def outlines_of(data: PatternData, reading: Reading, name: str, table: RuleTable | None = None) -> Outlines:
    """The outlines of all pieces, of the base size and of every other, with what each piece says of itself.

    `table` holds the rules by which a base size grows. Notes tell of each piece what came in and what did not, by name.
    Raises InputError: a piece with a boundary alone, of which nobody has said what it is; an outline that crosses
    itself; rules that do not fit.
    """
    notes = [note for note in data.notes if not note.startswith("No piece has a stitch line")]
    cut = [piece for piece in data.pieces if not piece.proves_scale]
    squares = [piece.block for piece in data.pieces if piece.proves_scale]
    if squares:
        notes.append(f"Left out, as they are squares to measure by and not to cut: {', '.join(squares)}.")
    if not cut:
        raise InputError("it holds no piece to cut", where=Where(name), expected="pieces beside the scale squares")
    base, rows = _rows(cut, data.style.sample_size, notes)
    sizes = _graded(rows, base, table, notes) if table is not None else tuple(rows[0])
    if _ask(name, [row[base] for row in rows], reading):
        notes.append(f'What is told of the outlines, "{reading.outline}", is not needed: every piece has both lines.')
    found: dict[str, list[Outline]] = {size: [] for size in sizes}
    spoilt: dict[str, str] = {}
    for row in rows:
        ring, note = _ring(row[base], name, reading)
        notes += [f"{row[base].block}: {words}" for words in note]
        several = len(sizes) > 1
        for size in sizes:
            own = ring if size == base else _like(row[size], ring, name, reading)
            if own is None or (own is not ring and _marks(row[size]) != _marks(row[base])):
                spoilt.setdefault(size, _unlike(row[size], row[base], own is not None))
            elif size not in spoilt:
                piece = row[size] if size == base else _with_base_of(row[size], row[base])
                found[size].append(_outline(piece, row[base], own, reading, name, several=several))
        notes += _account(row[base], found[base][-1], table, row)
    for size, why in spoilt.items():
        notes.append(f"Size {size} is left out: {why}.")
        del found[size]
    notes += _of_style(data, table, base)
    whole = {size: tuple(outlines) for size, outlines in found.items()}
    return Outlines(whole[base], notes=tuple(notes), sizes=whole if len(whole) > 1 else {}, base=base)


# ------------------------------------------------------------------------------------------------------------- sizes


def _rows(cut: Sequence[PieceData], sample: str, notes: list[str]) -> tuple[str, list[dict[str, PieceData]]]:
    """The base size, and each piece in every size, in the file's order."""
    sizes = list(dict.fromkeys(piece.size for piece in cut))
    by_name: dict[tuple[str, int], dict[str, PieceData]] = {}
    count: dict[tuple[str, str], int] = defaultdict(int)
    for piece in cut:
        number = count[piece.name, piece.size] = count[piece.name, piece.size] + 1
        by_name.setdefault((piece.name, number), {})[piece.size] = piece
    rows = list(by_name.values())
    most = max(len(row) for row in rows)
    if most == 1:
        # every piece is there once: sizes that differ by piece are no sizes of one pattern
        if len(sizes) > 1:
            named = ", ".join(f"{piece.name} {piece.size or '(none)'}" for piece in cut)
            notes.append(f"Its pieces name sizes of their own, and each is there once ({named}): taken as one size.")
        base = sample if sample in sizes or len(sizes) > 1 else sizes[0]
        return base, [{base: next(iter(row.values()))} for row in rows]
    kept = [size for size in sizes if all(size in row for row in rows if len(row) > 1)]
    base = sample if sample in kept else _fullest(rows, kept)
    for size in sizes:
        if size not in kept:
            missing = ", ".join(next(iter(row.values())).name for row in rows if len(row) > 1 and size not in row)
            notes.append(f"Size {size or '(none)'} is left out: it has no {missing}.")
    if not kept:
        raise InputError("no size has all of its pieces", expected="every piece in the base size at least")
    whole = []
    for row in rows:
        if len(row) == 1:
            (piece,) = row.values()
            notes.append(f"{piece.block} is there in one size alone: it is the same in all.")
            whole.append(dict.fromkeys(kept, piece))
        else:
            whole.append({size: row[size] for size in kept})
    return base, whole


def _fullest(rows: Sequence[Mapping[str, PieceData]], kept: Sequence[str]) -> str:
    """The size whose blocks hold turn points and notches, as that of the base alone does; else the middle one."""
    held = [size for size in kept if any(row[size].turn_points or row[size].notches for row in rows if size in row)]
    return held[0] if held else kept[len(kept) // 2] if kept else ""


def _graded(rows: list[dict[str, PieceData]], base: str, table: RuleTable, notes: list[str]) -> tuple[str, ...]:
    """Every size of the table put beside the base in each row; the sizes in the table's order."""
    if len(rows[0]) > 1:
        notes.append(f"Rule table {table.name or ''} is not used: the file has its sizes itself.".replace("  ", " "))
        return tuple(rows[0])
    errors: list[InputError] = []
    own = next((size for size in table.sizes if size.casefold() == table.sample.casefold()), table.sample)
    for row in rows:
        piece = row.pop(base)
        if not piece.rule_tags:
            notes.append(f"{piece.block} carries no rule: it is the same in every size.")
        elif idle := untagged(piece):
            notes.append(f"{piece.block}: not taken, as they stand at no point: {len(idle)} grade rule tags.")
        try:
            for size in table.sizes:
                row[base if size == own else size] = piece if size == own else graded_piece(piece, table, size)
        except InputError as error:
            errors.append(error)
    if errors:
        raise errors[0] if len(errors) == 1 else InputErrors(errors)
    return tuple(rows[0])


def _with_base_of(piece: PieceData, base: PieceData) -> PieceData:
    """A piece of another size with the base's notches: a nest has them in the base alone."""
    if len(piece.boundary) == len(base.boundary) and not piece.notches and base.notches:
        return with_notches_of(piece, base)
    return piece


def _marks(piece: PieceData) -> list[str]:
    """What is drawn inside, by name, and how many drill holes there are: alike in sizes of one pattern."""
    lines = [label for _, label, _ in _inside(piece, bool(_sewn_ring(piece)[0]), False)]
    return [*(label for label in lines if not label.startswith(sewn.GRAIN)), f"{len(piece.drill_holes)} drill holes"]


def _unlike(piece: PieceData, base: PieceData, outline_fits: bool) -> str:
    if outline_fits:
        return f"{piece.block} has other lines or drill holes inside than {base.block}"
    return (
        f"{piece.block} has {len(piece.boundary)} points on its boundary and {len(stitch_ring(piece))} on its stitch "
        f"line, {base.block} has {len(base.boundary)} and {len(stitch_ring(base))}"
    )


# ---------------------------------------------------------------------------------------------------------- which line


def _ask(name: str, pieces: Sequence[PieceData], reading: Reading) -> bool:
    """InputError where a piece has a boundary alone, and nobody has said what it is; True if it is said, and no piece
    is so."""
    alone = [piece for piece in pieces if not _sewn_ring(piece)[0]]
    if not alone or reading.outline:
        return bool(reading.outline) and not alone
    boxes = [(piece, Box.round(piece.boundary)) for piece in alone[:6]]
    listed = ", ".join(f"{piece.name} ({box.width:.0f} × {box.height:.0f} mm)" for piece, box in boxes)
    more = f" and {len(alone) - 6} more" if len(alone) > 6 else ""
    has = "has" if len(alone) == 1 else "have"
    raise InputError(
        f"{listed}{more} {has} one outline (layer 1) and no stitch line (layer 14), so the file does not tell whether "
        "allowances are in it",
        where=Where(name),
        expected="which of the two it is",
        instead='Write --outline "cut line" if it is to be cut along, --outline "stitch line" if it is to be sewn '
        'along (in a plan: outline = "cut line" below [reading])',
    )


def _sewn_ring(piece: PieceData) -> tuple[tuple[XY, ...], str]:
    """The stitch line as a ring, and what was done to close it; none where the file has none that goes round."""
    ring = stitch_ring(piece)
    if ring or not piece.stitch_lines:
        return ring, ""
    runs = [run for run in joined([(line.points, line.closed) for line in piece.stitch_lines]) if len(run.points) > 2]
    lines = [[*piece.boundary, piece.boundary[0]], *([list(piece.mirror_line)] if piece.mirror_line else [])]
    if len(runs) == 1 == len(joined([(line.points, line.closed) for line in piece.stitch_lines])):
        a, b = runs[0].points[0], runs[0].points[-1]
        spots = (a, b, *(between(a, b, part) for part in (0.25, 0.5, 0.75)))
        if any(all(distance_to_line(p, line) <= _TOUCHES for p in spots) for line in lines):
            points = runs[0].points
            ring = tuple(points if area(points) > 0 else [points[0], *points[:0:-1]])
            return ring, "its stitch line is open where it meets the boundary: closed there, without an allowance"
    return (), "layer 14 has no stitch line that goes round: its lines are drawn inside"


# ------------------------------------------------------------------------------------------------------- one outline


def _ring(piece: PieceData, name: str, reading: Reading) -> tuple[_Ring, list[str]]:
    """What the edges of the base size are taken from, and what there is to say of it."""
    sewn_ring, note = _sewn_ring(piece)
    points, more = _simple(sewn_ring or piece.boundary, piece, name)
    notes = [*([note] if note else []), *more]
    mirror = piece.mirror_line
    corners = [i for i in _corners(points, piece, reading.corner_angle) if not _within_fold(points, i, mirror)]
    lowest = corners or range(len(points))
    bottom = min(points[i][1] for i in lowest)
    start = min((i for i in lowest if points[i][1] <= bottom + 0.1), key=lambda i: (points[i], i))
    ring = _Ring(points, tuple(corners), start, 0)
    fold = _fold_of(ring, mirror)
    if mirror is not None and not fold:
        notes.append(
            "no edge lies along its mirror line (layer 6): drawn as a line inside, say fold = EDGE if it is one"
        )
    return replace(ring, fold=fold), notes


def _like(piece: PieceData, ring: _Ring, name: str, reading: Reading) -> _Ring | None:
    """The outline of another size, with corners at the same points as the base has; None if it has other points."""
    points, _ = _simple(_sewn_ring(piece)[0] or piece.boundary, piece, name)
    return replace(ring, points=points) if len(points) == len(ring.points) else None


def _simple(ring: Sequence[XY], piece: PieceData, name: str) -> tuple[tuple[XY, ...], list[str]]:
    """The ring without small loops; InputError for a large one."""
    path = tuple(Line(Point(*a), Point(*b)) for a, b in pairwise([*ring, ring[0]]) if a != b)
    clean = untangled(path)
    if clean.large:
        (x, y), size = clean.large.at, clean.large.size
        raise InputError(
            f"{piece.block} boundary crosses or touches itself at {x:.1f} {y:.1f}; the loop there has {size:.0f} mm²",
            where=Where(name), expected="an outline that does not cross itself",
            instead="Part the outline there in the drawing",
        )  # fmt: skip
    if not clean.loops and not clean.spurs:
        return tuple(ring), []
    told = [f"a loop of {loop.size:.1f} mm² cut off at {loop.at[0]:.1f} {loop.at[1]:.1f}" for loop in clean.loops]
    told += [
        f"a run of {spur.length():.1f} mm out and back left out at {spur.a[0]:.1f} {spur.a[1]:.1f}"
        for spur in clean.spurs
    ]
    return tuple(flat_ring(clean.path)[0]), told


def _corners(ring: Sequence[XY], piece: PieceData, corner_deg: float) -> list[int]:
    """Turn points, and vertices that are neither turn nor curve points, where the line turns enough; all ascending."""
    turning, curving = set(piece.turn_points), set(piece.curve_points)
    if not any(p in turning or p in curving for p in ring):
        return corners_of([Line(Point(*a), Point(*b)) for a, b in pairwise([*ring, ring[0]])], corner_deg)
    found = []
    for i, p in enumerate(ring):
        turn = abs(turn_deg(direction(ring[i - 1], p), direction(p, ring[(i + 1) % len(ring)])))
        least = _FLAT_DEG if p in turning else _SHARP_DEG if p in curving else corner_deg
        if turn >= least:
            found.append(i)
    return found


def _within_fold(ring: Sequence[XY], i: int, mirror: tuple[XY, XY] | None) -> bool:
    """Whether a corner lies within the fold: both runs beside it lie on the mirror line."""
    if mirror is None:
        return False
    return all(_off_line(ring[k % len(ring)], mirror) <= _ON_LINE for k in (i - 1, i, i + 1))


def _off_line(p: XY, line: tuple[XY, XY]) -> float:
    way = direction(*line)
    return abs((p[0] - line[0][0]) * way.y - (p[1] - line[0][1]) * way.x)


def _fold_of(ring: _Ring, mirror: tuple[XY, XY] | None) -> int:
    """The number of the edge on the mirror line, from 1; 0 if none is."""
    if mirror is None:
        return 0
    long = {
        number: distance(run[0], run[-1])
        for number, run in enumerate(_parted(ring), 1)
        if all(_off_line(p, mirror) <= _ON_LINE for p in run)
    }
    return max(long, key=lambda number: (long[number], -number)) if long else 0


def _parted(ring: _Ring) -> list[list[XY]]:
    """The points of every edge, both ends included, from the first corner on."""
    count = len(ring.points)
    at = sorted((i - ring.start) % count for i in ring.corners) or [0]
    turned = [*ring.points[ring.start :], *ring.points[: ring.start + 1]]
    return [turned[a : b + 1] for a, b in pairwise([*at, count])]


def _outline(piece: PieceData, base: PieceData, ring: _Ring, reading: Reading, name: str, *, several: bool) -> Outline:
    """The outline of a piece in one size; its lines go by the names of the base's, so that a plan means all sizes."""
    sewn_ring, _ = _sewn_ring(piece)
    boundary, _ = _simple(piece.boundary, piece, name)
    as_cut = bool(sewn_ring) or reading.outline == "cut line"
    fit = 0.0 if as_cut or several else reading.fit
    title = base.name or base.block
    used = bool(sewn_ring)
    paths = [
        DrawnPath(curves, line.closed, layer, f"{base.block} {label}", (title,), len(curves) > 1, label)
        for layer, label, line in _inside(piece, used, bool(ring.fold))
        if (curves := _run(line))
    ]
    points = [
        DrawnPoint(Point(*hole.point), sewn.DRILL, f"{base.block} {sewn.DRILL} {number}", (title,))
        for number, hole in enumerate(piece.drill_holes, 1)
    ]
    texts = [
        DrawnText(text.words, Point(*text.point), text.height, sewn.TEXT, "", (title,))
        for text in (*base.annotations, *base.other_texts)
    ]
    said = Said(
        title, base.right, base.left, base.material, ring.fold,
        tuple(_notch(notch, piece.boundary) for notch in piece.notches),
    )  # fmt: skip
    return Outline(
        tuple(_edge(run, fit) for run in _parted(ring)),
        sewn.BOUNDARY,
        f"{base.block} {sewn.BOUNDARY}",
        (title,),
        tuple(paths),
        tuple(texts),
        tuple(points),
        boundary if as_cut else (),
        as_cut and not sewn_ring,
        said,
    )


def _inside(piece: PieceData, sewn_used: bool, folded: bool) -> Iterator[tuple[str, str, LineData]]:
    """Layer, name and line of all that is drawn inside."""
    kinds: tuple[tuple[str, Sequence[LineData]], ...] = (
        (sewn.GRAIN, [LineData(line) for line in piece.grain_lines]),
        (sewn.FOLD, [LineData(piece.mirror_line)] if piece.mirror_line and not folded else []),
        (sewn.INTERNAL, piece.internal_lines),
        (sewn.CUTOUT, piece.cutouts),
        (sewn.STITCH, () if sewn_used else piece.stitch_lines),
        (sewn.STRIPE, piece.stripe_lines),
        (sewn.PLAID, piece.plaid_lines),
    )
    for layer, lines in kinds:
        drawn = [line for line in lines if len(line.points) > 1]
        for number, line in enumerate(drawn, 1):
            yield layer, f"{layer} {number}" if len(drawn) > 1 else layer, line


def _run(line: LineData) -> Path:
    points = [*line.points, *(line.points[:1] if line.closed else ())]
    return tuple(Line(Point(*p), Point(*q)) for p, q in pairwise(points) if p != q)


def _edge(points: Sequence[XY], fit: float) -> Path:
    """The run of one edge: straight from point to point, or curves through them."""
    if fit > 0.0 and len(points) > 2 and not is_rough(points, fit):
        return fitted(points, fit)
    curves: list[Curve] = [Line(Point(*a), Point(*b)) for a, b in pairwise(points) if a != b]
    return tuple(curves)


def _notch(notch: NotchData, boundary: Sequence[XY]) -> DrawnNotch:
    kind = "V outwards" if notch.kind == "V" and stands_out(notch, boundary) else notch.kind
    return DrawnNotch(Point(*notch.on), Point(*outward(notch, boundary)), kind, notch.depth, notch.width)


# ------------------------------------------------------------------------------------------------------- the account


def _account(
    piece: PieceData, outline: Outline, table: RuleTable | None, row: Mapping[str, PieceData]
) -> Iterator[str]:
    """Two sentences of a piece: what came in, line by line, and what did not."""
    came = list(_came(piece, outline, row))
    if table is not None and piece.rule_tags and len(row) > 1:
        came.append(_count(len(piece.rule_tags), "grade rule tag"))
    yield f"{piece.block} came in: {'; '.join(came)}."
    left = list(_left(piece, table, several=len(row) > 1))
    if left:
        yield f"{piece.block}, not taken: {'; '.join(left)}."


def _came(piece: PieceData, outline: Outline, row: Mapping[str, PieceData]) -> Iterator[str]:
    ring, _ = _sewn_ring(piece)
    what = "the cut line" if outline.cut else "the stitch line, as told"
    what += ", as told" if outline.traced else ""
    yield f"boundary (layer 1) as {what}, {_count(len(piece.boundary), 'point')}"
    if ring:
        yield f"stitch line (14), {_count(len(ring), 'point')}"
    on = {*piece.boundary, *ring}
    turn, curve = (sum(p in on for p in set(points)) for points in (piece.turn_points, piece.curve_points))
    tagged = [_count(count, what) for what, count in (("turn point", turn), ("curve point", curve)) if count]
    if tagged:
        yield f"{' and '.join(tagged)} of them"
    for what, count in (
        ("notch", len(piece.notches)),
        ("drill hole", len(piece.drill_holes)),
        ("grain line", len(piece.grain_lines[:1])),
        ("line inside", len(piece.internal_lines)),
        ("cutout, drawn inside", len(piece.cutouts)),
        ("stitch line inside", 0 if ring else len(piece.stitch_lines)),
        ("stripe line", sum(len(line.points) > 1 for line in piece.stripe_lines)),
        ("plaid line", sum(len(line.points) > 1 for line in piece.plaid_lines)),
        ("text", len(piece.annotations) + len(piece.other_texts)),
    ):
        if count:
            yield _count(count, what)
    if piece.mirror_line:
        yield "mirror line (6) as the fold" if outline.said and outline.said.fold else "mirror line (6), inside"
    if not piece.grain_lines:
        yield "no grain line, so upright"
    if piece.right is None:
        yield "no quantity, so 1"
    else:
        told = str(piece.right) if piece.left is None else f"{piece.right},{piece.left}"
        yield f"quantity {told} " + ("(mirrored or not is not told)" if piece.left is None else "(as drawn, mirrored)")
    if piece.material:
        yield f"material: {piece.material}"
    if len(row) > 1:
        blocks = list(dict.fromkeys(own.block for own in row.values()))
        yield f"sizes: {', '.join(row)}" + (f" (blocks {', '.join(blocks)})" if len(blocks) > 1 else "")
    elif piece.size:
        yield f"size: {piece.size}"


def _left(piece: PieceData, table: RuleTable | None, *, several: bool) -> Iterator[str]:
    if piece.right is not None and piece.left and piece.right != piece.left:
        yield f"that {piece.left} of the {piece.right + piece.left} are mirrored"
    if piece.right is not None and not piece.right + (piece.left or 0):
        yield "quantity 0 (cut 1 is taken)"
    for what, words in (
        ("category", piece.category), ("annotation", piece.annotation), ("rotation", piece.rotation),
        ("flip", piece.flip), ("tilt", piece.tilt), ("fold of tubular cloth", piece.fold), *piece.facts.items(),
    ):  # fmt: skip
        if words:
            yield f"{what} {words[:80]!r}"
    if len(piece.grain_lines) > 1:
        yield _count(len(piece.grain_lines) - 1, "further grain line")
    if piece.grade_reference_lines and (table is None or len(piece.grade_reference_lines) > 1):
        spare = len(piece.grade_reference_lines) - (1 if table is not None else 0)
        yield _count(spare, "grade reference line")
    for what, lines in (("stripe point", piece.stripe_lines), ("plaid point", piece.plaid_lines)):
        if count := sum(len(line.points) == 1 for line in lines):
            yield _count(count, what)
    if sized := [hole for hole in piece.drill_holes if hole.diameter or hole.kind]:
        said = ", ".join(
            " ".join(
                filter(
                    None,
                    (f"{hole.diameter:.3g} mm" if hole.diameter else "", f"drill {hole.kind}" if hole.kind else ""),
                )
            )
            for hole in sized[:6]
        )
        yield f"how drill holes are drilled ({said})"
    if piece.not_mirrored:
        yield f"{_count(len(piece.not_mirrored), 'mark')} NM (not mirrored)"
    if piece.rule_tags and table is None and not several:
        yield f"{_count(len(piece.rule_tags), 'grade rule tag')}, as there is no table of rules with it"
    elif piece.rule_tags and table is None:
        yield f"{_count(len(piece.rule_tags), 'grade rule tag')}: the sizes come from the file itself"
    if alternate := sum(tag.alternate is not None for tag in piece.rule_tags):
        yield _count(alternate, "alternate rule")
    yield from _validation(piece)


def _validation(piece: PieceData) -> Iterator[str]:
    """Validation curves, and how far the lines that are taken are off them."""
    lines: dict[int, Iterable[Sequence[XY]]] = {
        BOUNDARY: [piece.boundary],
        STITCH: [ring] if (ring := _sewn_ring(piece)[0]) else [],
        INTERNAL: [line.points for line in piece.internal_lines],
        CUTOUT: [line.points for line in piece.cutouts],
    }
    words = {BOUNDARY: "boundary", STITCH: "stitch line", INTERNAL: "lines inside", CUTOUT: "cutouts"}
    for layer, curves in piece.validation.items():
        rings = list(lines.get(layer, ()))
        points = [p for curve in curves for p in curve.points]
        told = f"validation curve of its {words.get(layer, 'lines')}"
        if rings and len(points) * sum(map(len, rings)) <= _MOST_MEASURED:
            off = max((min(nearest_on(ring, p)[1] for ring in rings) for p in points), default=0.0)
            told += (
                f", which it keeps to within {max(off, 0.01):.2f} mm"
                if off <= _BESIDE
                else (f", which runs up to {off:.1f} mm beside the line that is taken: measure before you cut")
            )
        yield told


def _of_style(data: PatternData, table: RuleTable | None, base: str) -> Iterator[str]:
    style = data.style
    left = [
        f"{what} {words[:80]!r}"
        for what, words in (
            ("author", style.author), ("creation date", style.date), ("creation time", style.time),
            ("version", style.version), ("curve tolerance", style.curve_tolerance),
            *style.others.items(), *(("text", text) for text in style.texts),
        )
        if words
    ]  # fmt: skip
    if style.rule_table and table is None:
        left.append(f"grade rule table {style.rule_table!r}, which is not beside it as a .rul file")
    if table is not None and style.rule_table and table.name and style.rule_table.casefold() != table.name.casefold():
        yield f"The file asks for the rule table {style.rule_table!r}, and this one is called {table.name!r}."
    if table is not None:
        named, sizes = table.name or "(no name)", ", ".join(table.sizes)
        yield f"Rule table {named} came in: {len(table.rules)} rules, sizes {sizes}."
        yield from (f"Rule table: {note}" for note in table.notes)
        for what, words in (
            ("author", table.author),
            ("date", table.date),
            ("time", table.time),
            ("version", table.version),
        ):
            if words:
                left.append(f"{what} of the rule table {words!r}")
    if left:
        yield f"Of the style, not taken: {'; '.join(left)}."


def _count(count: int, what: str) -> str:
    """`1 notch`, `2 lines inside`: the first of the words that ends what is counted takes the plural."""
    if count == 1:
        return f"1 {what}"
    words = re.split(r"(?= inside|,)", what, maxsplit=1)
    head = f"{words[0]}es" if words[0].endswith("ch") else f"{words[0]}s"
    return f"{count} {head}{''.join(words[1:])}"
