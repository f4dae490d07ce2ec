"""A set of sizes as pattern data has it: each piece a row of sizes with the same lines, as many points in each."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from itertools import pairwise
from math import ceil, cos, radians, sin
from typing import Final, Literal, TypeAlias

from ..errors import GeometryError
from ..geometry.path import flatten
from ..geometry.point import XY, between, distance
from ..geometry.polygon import Box, crossings
from ..grade.alike import matched
from ..model.nest import Nest, zero_point
from ..model.pattern import MarkedPiece, Notch
from ..model.piece import Edge, InternalLine, LineKind, cut_words, piece_words
from ..values import dataclass, replace
from .dxf_entities import (
    CUT,
    CUTOUT,
    DRILL,
    GAP,
    GRADE,
    GRAIN,
    INTERNAL,
    MIRROR,
    OFF_CUT,
    SCALES,
    STITCH,
    Place,
    ascii_text,
    on_boundary,
    piece_name,
    quantity,
    sharp_vertices,
)

VALIDATION: Final = {CUT: 84, INTERNAL: 85, CUTOUT: 86, STITCH: 87}
"""Layers of the densely sampled lines."""
DENSE: Final = 0.01
"""Greatest distance from the exact stitch line to its validation curve, mm: a fifth of what other lines are off."""
_LONG: Final = 10.0
_MOST_PARTS: Final = 8
"""A run of the cut line that ends in a curve point is parted into runs no longer than 10 mm, but at most eight."""
_AT_VERTEX: Final = 0.05
_SAME: Final = 0.0005
_SHORTEST: Final = 20.0
"""Narrowest place for a grade reference line, mm."""


Dense: TypeAlias = Literal["all", "base", "none"]
"""Which sizes are to have validation curves."""


@dataclass(frozen=True, slots=True)
class Line:
    """A line, or a single point, of one piece: its points in every size, in that size's own coordinates, mm."""

    layer: int
    sizes: Sequence[Sequence[XY]]
    closed: bool = False
    corners: tuple[bool, ...] = ()
    """Of the base size, which points are turn points; empty where they are neither turn nor curve points."""
    must: frozenset[int] = frozenset()
    """Points that carry a rule whatever they do."""

    def form(self) -> str:
        """Its entity, with a place for every number."""
        count = len(self.sizes[0])
        spot = " 10\n%.4f\n 20\n%.4f\n"
        if count == 1:
            return f"  0\nPOINT\n  8\n{self.layer}\n{spot}"
        if count == 2 and self.layer not in VALIDATION.values():
            return f"  0\nLINE\n  8\n{self.layer}\n{spot} 11\n%.4f\n 21\n%.4f\n"
        vertices = f"  0\nVERTEX\n  8\n{self.layer}\n{spot}" * count
        head = f"  0\nPOLYLINE\n  8\n{self.layer}\n 66\n1\n 70\n{int(self.closed)}\n"
        return f"{head}{vertices}  0\nSEQEND\n  8\n{self.layer}\n"


@dataclass(frozen=True, slots=True)
class Row:
    """One piece in all sizes; or a piece to prove the scale, in the base size alone (`in_sizes` is then false)."""

    name: str
    sizes: tuple[str, ...]
    base: int
    places: tuple[Place, ...]
    """Where the own (0, 0) of each size lies, so that they lie on each other."""
    quantity: str
    material: str
    annotation: str
    words: tuple[str, ...]
    """What is plotted, besides the size."""
    words_at: XY
    """In the drawing."""
    angle_deg: float
    cut: Line
    lines: tuple[Line, ...]
    """Stitch line and inner lines."""
    marks: tuple[Line, ...]
    """Grade reference line, grain line, mirror line, drill holes."""
    notches: tuple[tuple[Notch, XY, int], ...] = ()
    """Each with its direction outwards and its point of the cut line."""
    dense: tuple[Line, ...] = ()
    in_sizes: bool = True


def rows_of(nest: Nest, names: tuple[str, ...], *, dense: Dense) -> Iterator[Row]:
    """Every piece in all sizes, laid on each other, side by side, and then the pieces to prove the scale.

    `names` are the sizes as they are written; `dense`: which of them have validation curves. Raises
    GeometryError for a notch that lies off the cut line, or at another point of it than in the base size.
    """
    base = nest.sizes.index(nest.base)
    taken: set[str] = set()
    x = 0.0
    for pieces in zip(*(pattern.pieces for pattern in nest.patterns), strict=True):
        name = pieces[base].name
        shifts = [nest.shift(size, name) for size in nest.sizes]
        boxes = [Box.round(piece.cut.cut_line) for piece in pieces]
        left = min(box.left + dx for box, (dx, _) in zip(boxes, shifts, strict=True))
        right = max(box.right + dx for box, (dx, _) in zip(boxes, shifts, strict=True))
        bottom = min(box.bottom + dy for box, (_, dy) in zip(boxes, shifts, strict=True))
        # Whole millimetres, so that the fourth decimal of the base stays what pattern.json says.
        over, up = ceil(x - left), ceil(-bottom)
        places = tuple(Place(over + dx, up + dy) for dx, dy in shifts)
        written = piece_name(name, pieces[base].number, taken)
        yield _row(nest, pieces, base, written, names, places, dense=dense)
        x = ceil(over + right) + GAP
    for title, side in SCALES:
        yield _scale(title.replace("_", " "), side, names[base], x, dense=dense)
        x += ceil(side) + GAP


def _row(
    nest: Nest,
    pieces: Sequence[MarkedPiece],
    base: int,
    name: str,
    names: tuple[str, ...],
    places: tuple[Place, ...],
    *,
    dense: Dense,
) -> Row:
    marked, own = pieces[base], places[base]
    piece, label = marked.cut.piece, marked.label
    rings, notches = _with_notches(pieces, base, names)
    cut = _named(CUT, rings, base, also={at for _, _, at in notches}, closed=True)
    stitch = _stitch(pieces, base)
    darts = [
        _named(INTERNAL, [dart.points for dart in same], base, turning=range(len(same[base].points)), closed=True)
        for same in zip(*(p.cut.piece.darts for p in pieces), strict=True)
    ]
    inner = [_inner(same, base) for same in zip(*(p.cut.piece.internal_lines for p in pieces), strict=True)]
    words = (piece_words(marked.name).upper(), nest.base_pattern.title, cut_words(piece))
    turn = radians(label.angle_deg)
    return Row(
        name=name,
        sizes=names,
        base=base,
        places=places,
        quantity=quantity(piece),
        material=ascii_text(piece.material).upper(),
        annotation=ascii_text("; ".join(ascii_text(line) for line in label.lines)),
        words=tuple(filter(None, map(ascii_text, words))),
        words_at=(
            label.at[0] + own.dx - cos(turn) * label.width / 2,
            label.at[1] + own.dy - sin(turn) * label.width / 2,
        ),
        angle_deg=label.angle_deg % 360.0,
        cut=cut,
        lines=(stitch, *darts, *inner),
        marks=_marks(nest, pieces, base, places),
        notches=notches,
        dense=_validation(cut, (*darts, *inner), pieces, base, dense),
    )


def _named(
    layer: int,
    sizes: Sequence[Sequence[XY]],
    base: int,
    *,
    turning: Collection[int] = (),
    also: Collection[int] = (),
    closed: bool = False,
) -> Line:
    """A line whose points are turn or curve points: `turning` are turn points however little they turn, `also` carry a
    rule as turn points do."""
    sharp = sharp_vertices(sizes[base], closed)
    corners = tuple([flag or i in turning for i, flag in enumerate(sharp)])
    must = frozenset(also).union([i for i, corner in enumerate(corners) if corner])
    return Line(layer, sizes, closed, corners, must)


def _inner(same: Sequence[InternalLine], base: int) -> Line:
    """A line inside in every size; a cutout is closed, and has a layer of its own."""
    sizes = _once(matched([line.points for line in same]))
    if same[base].kind is LineKind.CUTOUT:
        return _named(CUTOUT, [points[:-1] for points in sizes], base, closed=True)
    return _named(INTERNAL, sizes, base)


def _once(sizes: Sequence[Sequence[XY]]) -> Sequence[Sequence[XY]]:
    """The same points, but those only once that lie on the one before in every size."""
    first = sizes[0]
    twice = {
        i
        for i, (a, b) in enumerate(pairwise(first), start=1)
        if distance(a, b) < _SAME and all(distance(points[i - 1], points[i]) < _SAME for points in sizes)
    }
    return [[p for i, p in enumerate(points) if i not in twice] for points in sizes] if twice else sizes


def _stitch(pieces: Sequence[MarkedPiece], base: int) -> Line:
    """Ends of edges are turn points; where a dart opens, the line carries a rule."""
    sizes = _once([piece.cut.stitch_line for piece in pieces])
    cut = pieces[base].cut
    ends = {line[0] for line in cut.lines.values()}
    legs = [p for dart in cut.piece.darts if dart.is_open for p in (dart.points[0], dart.points[-1])]
    turning = {i for i, p in enumerate(sizes[base]) if p in ends}
    mouths = {min(range(len(sizes[base])), key=lambda i: distance(sizes[base][i], leg)) for leg in legs}
    return _named(STITCH, sizes, base, turning=turning, also=mouths, closed=True)


def _with_notches(
    pieces: Sequence[MarkedPiece], base: int, names: Sequence[str]
) -> tuple[Sequence[Sequence[XY]], tuple[tuple[Notch, XY, int], ...]]:
    """The cut lines of all sizes, and which of their points is which notch of the base size.

    Notches are points of the cut line, but for one at a step of the allowance, which stands a little off it: it takes
    the next point, or is made one.
    """
    rings = [list(ring) for ring in _once([piece.cut.cut_line for piece in pieces])]
    found: list[tuple[Notch, XY, int]] = []
    for number, notch in enumerate(pieces[base].notches):
        for which, (spot, way) in enumerate(notch.each()):
            spots = [piece.notches[number].spots[which] for piece in pieces]
            on = on_boundary(rings[base], spot, notch, pieces[base].name)
            at, off = min(((i, distance(p, on)) for i, p in enumerate(rings[base])), key=lambda pair: pair[1])
            if off > _AT_VERTEX:
                at = _segment(rings[base], on)
                for ring, there in zip(rings, spots, strict=True):
                    ring.insert(at, _between(ring[at - 1], ring[at % len(ring)], there))
                found = [(other, out, i + (i >= at)) for other, out, i in found]
            for ring, there, size in zip(rings, spots, names, strict=True):
                if distance(ring[at], there) > OFF_CUT + _AT_VERTEX:
                    raise GeometryError(
                        f"notch {notch.name!r} of {pieces[base].name}.{notch.edge}, size {size}, lies "
                        f"{distance(ring[at], there):.1f} mm from the point of the cut line that it is in size "
                        f"{names[base]}, so it cannot be graded; move the notch further from the corner"
                    )
            found.append((notch, way, at))
    return rings, tuple(found)


def _segment(ring: Sequence[XY], on: XY) -> int:
    """The end of that run of the ring on which a point lies."""
    return min(
        range(len(ring)),
        key=lambda i: distance(ring[i - 1], on) + distance(on, ring[i]) - distance(ring[i - 1], ring[i]),
    )


def _between(a: XY, b: XY, near: XY) -> XY:
    """The point of a run next to another, not at its very ends."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    size = dx * dx + dy * dy
    part = ((near[0] - a[0]) * dx + (near[1] - a[1]) * dy) / size if size else 0.5
    return between(a, b, min(max(part, 0.02), 0.98))


def _marks(nest: Nest, pieces: Sequence[MarkedPiece], base: int, places: Sequence[Place]) -> tuple[Line, ...]:
    a, b = _reference(nest, pieces[base])
    own = places[base]
    back = [(own.dx - place.dx, own.dy - place.dy) for place in places]
    reference = [((a[0] + dx, a[1] + dy), (b[0] + dx, b[1] + dy)) for dx, dy in back]
    marks = [Line(GRADE, reference), Line(GRAIN, [piece.grain_line for piece in pieces])]
    folds = [piece.fold_line for piece in pieces if piece.fold_line]
    if len(folds) == len(pieces):
        marks.append(Line(MIRROR, folds))
    marks += [Line(DRILL, [(p,) for p in holes]) for holes in zip(*(p.drill_holes for p in pieces), strict=True)]
    return tuple(marks)


def _reference(nest: Nest, marked: MarkedPiece) -> tuple[XY, XY]:
    """The grade reference line in the base size's own coordinates: level, in the middle of the piece, at its zero point
    or else at the middle of its grain line."""
    ring = marked.cut.cut_line
    (_, low), (_, high) = marked.grain_line
    for y in (zero_point(nest.base_pattern, marked.name, nest.stack).y, (low + high) / 2):
        met = crossings(ring, y)
        runs = [(b - a, a, b) for a, b in zip(met[::2], met[1::2], strict=True)]
        if runs and max(runs)[0] >= _SHORTEST:
            break
    else:
        box = Box.round(ring)
        runs = [(box.width, box.left, box.right)]
    _, a, b = max(runs)
    return (a + (b - a) / 4, y), (b - (b - a) / 4, y)


# -------------------------------------------------------------------------------------------------- validation curves


def _validation(
    cut: Line, inner: Sequence[Line], pieces: Sequence[MarkedPiece], base: int, dense: Dense
) -> tuple[Line, ...]:
    if dense == "none":
        return ()
    if dense == "all":
        return (_dense_cut(cut, base), _dense_stitch(pieces), *map(_repeated, inner))
    # The base stands in the place of every size: no other is asked for.
    alone = (_dense_cut(replace(cut, sizes=[cut.sizes[base]]), 0), _dense_stitch([pieces[base]]))
    return (*(replace(line, sizes=[line.sizes[0]] * len(pieces)) for line in alone), *map(_repeated, inner))


def _dense_cut(cut: Line, base: int) -> Line:
    """The cut line with points put in runs that end in a curve point: a receiver's curve may belly there."""
    ring = cut.sizes[base]
    parts = {
        i: min(_MOST_PARTS, ceil(distance(ring[i - 1], p) / _LONG))
        for i, p in enumerate(ring)
        if not (cut.corners[i - 1] and cut.corners[i]) and distance(ring[i - 1], p) > _LONG
    }
    return Line(VALIDATION[CUT], [_parted(points, parts) for points in cut.sizes], closed=True)


def _parted(ring: Sequence[XY], parts: dict[int, int]) -> Sequence[XY]:
    out: list[XY] = []
    done = 0
    for i, count in parts.items():
        out += ring[done:i]
        out += [between(ring[i - 1], ring[i], n / count) for n in range(1, count)]
        done = i
    return [*out, *ring[done:]]


def _dense_stitch(pieces: Sequence[MarkedPiece]) -> Line:
    """The exact stitch line at 0.01 mm, with as many points in every size."""
    sizes: list[list[XY]] = [[] for _ in pieces]
    for edges in zip(*(piece.cut.piece.edges for piece in pieces), strict=True):
        for ring, line in zip(sizes, matched(_dense_edge(edges)), strict=True):
            ring += line[:-1]
    return Line(VALIDATION[STITCH], sizes, closed=True)


def _dense_edge(edges: Sequence[Edge]) -> list[tuple[XY, ...]]:
    if len({len(edge.curves) for edge in edges}) > 1:
        return [tuple(flatten(edge.curves, DENSE)) for edge in edges]
    counts = [max(curve.chords(DENSE) for curve in same) for same in zip(*(e.curves for e in edges), strict=True)]
    lines: list[tuple[XY, ...]] = []
    for edge in edges:
        line: list[XY] = [edge.start]
        for curve, count in zip(edge.curves, counts, strict=True):
            line += curve.flat(chords=count)
        lines.append(tuple(line))
    return lines


def _repeated(line: Line) -> Line:
    """Straight lines are as they are."""
    return Line(VALIDATION[line.layer], line.sizes, line.closed)


def _scale(name: str, side: float, size: str, x: float, *, dense: Dense) -> Row:
    """A square and its diagonals by which a reader can prove the units; never to be cut."""
    a, b, c, d = (0.0, 0.0), (side, 0.0), (side, side), (0.0, side)
    cut = _named(CUT, [(a, b, c, d)], 0, closed=True)
    lines = tuple(_named(INTERNAL, [ends], 0) for ends in ((a, c), (b, d)))
    words = f"DO NOT CUT - MEASURE: {name.removeprefix('SCALE ')}"
    return Row(
        name=name,
        sizes=(size,),
        base=0,
        places=(Place(x, 0.0),),
        quantity="0,0",
        material="",
        annotation=words,
        words=(words,),
        words_at=(x + 5.0, side - 45.0),
        angle_deg=0.0,
        cut=cut,
        lines=lines,
        marks=(Line(GRADE, [((side / 4, side / 4), (side * 3 / 4, side / 4))]),),
        dense=() if dense == "none" else (_dense_cut(cut, 0), *map(_repeated, lines)),
        in_sizes=False,
    )
