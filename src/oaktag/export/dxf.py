"""Pattern pieces of one size as sewn-product pattern data: ASTM D6673.

Source: ASTM D6673-10, as its abstract and public notes quote it, and the habits of 37 exchange files that were counted.
The standard was withdrawn in 2019 without a successor; pattern rooms still ask for it.

- Sections HEADER (empty), BLOCKS, ENTITIES, EOF. No tables, no handles, no block that is not a piece: they are refused.
- A block a piece, placed side by side by the coordinates in the block; one INSERT each at (0, 0).
- Curves go out flattened, every vertex tagged as turn or curve point, because the standard defines no interpolation.
- Coordinates with 4 decimals. The standard asks for 2 (0.01 mm), the files in use write 4 to 6 and readers take them;
  4 is what pattern.json holds, so that whoever reads back compares with nothing lost.
- Lines end in CR LF, as in files written where this format comes from; readers take either.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from math import ceil, cos, radians, sin
from typing import Final

from ..geometry.point import XY
from ..geometry.polygon import Box
from ..model.pattern import MarkedPiece, Notch, Pattern
from ..model.piece import LineKind
from ..units import INCH
from .dxf_entities import (
    CURVE,
    CUT,
    CUTOUT,
    DRILL,
    GAP,
    GRADE,
    GRAIN,
    INTERNAL,
    LARGE,
    MIRROR,
    NOTCH,
    NOTCH_LAYERS,
    SCALES,
    SMALL,
    STITCH,
    TURN,
    WORDS,
    Place,
    ascii_text,
    block_name,
    block_of,
    crlf,
    document,
    line_entity,
    notch_angle,
    on_boundary,
    piece_name,
    polyline_entity,
    quantity,
    sharp_vertices,
    style_texts,
    text_entity,
)

_LENGTH: Final = re.compile(rb"^( 10| 20| 11| 21| 30| 39| 40)\r\n(-?[0-9.]+)", re.MULTILINE)
"""A group that holds a length: coordinates, depth and width of a notch, height of a text."""


def render(pattern: Pattern, *, date: str = "", units: str = "metric") -> bytes:
    """All pieces of one size, and two pieces to prove the scale, as the bytes of a .dxf file.

    `units` is "metric", or "english" for inches (§4.3.1.1), with 4 decimals in either.

    Layer 1 is the cut line, 14 the stitch line; a piece on the fold is its half, with the fold on layer 6. `date`, or
    else the pattern's, is written as dd-mm-yyyy; without one the Creation Date stays blank, as no clock is read.
    Raises GeometryError for a notch that lies off the cut line.
    """
    blocks: dict[str, str] = {}
    names: set[str] = set()
    x = 0.0
    for piece in pattern.pieces:
        box = Box.round(piece.cut.cut_line)
        # Whole millimetres, so that the fourth decimal stays what pattern.json says.
        place = Place(ceil(x - box.left), ceil(-box.bottom))
        name = piece_name(piece.name, piece.number, names)
        key = block_name(name, pattern.size, blocks)
        blocks[key] = block_of(key, map(crlf, _piece(piece, name, pattern.size, place)))
        x = ceil(x + box.width) + GAP
    for title, side in SCALES:
        key = block_name(title, "", blocks)
        blocks[key] = block_of(key, map(crlf, _scale(title.replace("_", " "), side, pattern.size, x)))
        x += ceil(side) + GAP
    facts = style_texts(pattern, ascii_text(pattern.size), date or pattern.date, units=units.upper())
    metric = document(blocks, facts)
    if units == "metric":
        return metric
    return _LENGTH.sub(lambda group: b"%b\r\n%.4f" % (group[1], float(group[2]) / INCH), metric)


class _Tagged:
    """Lines of one block and the points that they need: each vertex once, a corner of any line as turn point."""

    def __init__(self, place: Place) -> None:
        self.place = place
        self.lines: list[str] = []
        self.corners: dict[str, bool] = {}

    def add(self, layer: int, points: Sequence[XY], closed: bool, corner: Callable[[XY], bool] | None = None) -> None:
        """A line; `corner` names vertices that are turn points however little they turn."""
        dx, dy, corners = self.place.dx, self.place.dy, self.corners
        pairs: list[str] = []
        for (x, y), sharp in zip(points, sharp_vertices(points, closed), strict=True):
            pair = f" 10\n{x + dx:.4f}\n 20\n{y + dy:.4f}\n"
            if pairs and pair == pairs[-1]:
                corners[pair] = corners[pair] or sharp
                continue
            pairs.append(pair)
            if not sharp and corner is not None:
                sharp = corner((x, y))
            corners[pair] = sharp or corners.get(pair, False)
        if closed and len(pairs) > 1 and pairs[-1] == pairs[0]:
            pairs.pop()
        if closed or len(pairs) > 2:
            self.lines.append(polyline_entity(layer, pairs, closed))
        else:
            self.lines.append(line_entity(layer, self.place, (points[0], points[-1])))

    def entities(self) -> list[str]:
        """Boundary first, then the points, then the other lines."""
        turn, curve = (f"  0\nPOINT\n  8\n{layer}\n" for layer in (TURN, CURVE))
        points = [(turn if corner else curve) + pair for pair, corner in self.corners.items()]
        return [self.lines[0], *points, *self.lines[1:]]


def _piece(marked: MarkedPiece, name: str, size: str, place: Place) -> list[str]:
    cut, piece = marked.cut, marked.cut.piece
    ends = {line[0] for line in cut.lines.values()}
    tagged = _Tagged(place)
    tagged.add(CUT, cut.cut_line, True)
    tagged.add(STITCH, cut.stitch_line, True, ends.__contains__)
    for dart in piece.darts:
        tagged.add(INTERNAL, dart.points, True, lambda _: True)
    for internal in piece.internal_lines:
        cutout = internal.kind is LineKind.CUTOUT
        tagged.add(CUTOUT if cutout else INTERNAL, internal.points, cutout)
    out = _piece_texts(marked, name, size, place)
    out += tagged.entities()
    for notch in marked.notches:
        out += _notch(notch, marked, place)
    out += [line_entity(GRADE, place, marked.grain_line), line_entity(GRAIN, place, marked.grain_line)]
    if marked.fold_line:
        out.append(line_entity(MIRROR, place, marked.fold_line))
    out += [f"  0\nPOINT\n  8\n{DRILL}\n{place.pair(hole)}" for hole in marked.drill_holes]
    return out


def _piece_texts(marked: MarkedPiece, name: str, size: str, place: Place) -> list[str]:
    label = marked.label
    words = [ascii_text(line) for line in label.lines]
    longest = max(map(len, words), default=0)
    height = LARGE if longest * LARGE <= label.width else SMALL
    facts = (
        f"Piece Name: {name}",
        f"Size: {ascii_text(size)}",
        f"Quantity: {quantity(marked.cut.piece)}",
        f"Material: {ascii_text(marked.cut.piece.material).upper()}",
        f"Annotation: {ascii_text('; '.join(words))}",
    )
    rows = [(CUT, SMALL, fact) for fact in facts] + [(WORDS, height, line) for line in words]
    # Rows run down from the label's centre along its own direction.
    turn = radians(label.angle_deg)
    way = cos(turn), sin(turn)
    x = label.at[0] + place.dx - way[0] * label.width / 2
    y = label.at[1] + place.dy - way[1] * label.width / 2
    down = way[1], -way[0]
    out: list[str] = []
    far = -1.6 * SMALL * len(facts)
    for layer, size_mm, text in rows:
        if text:
            out.append(text_entity(layer, x + down[0] * far, y + down[1] * far, size_mm, text, label.angle_deg % 360.0))
        far += 1.6 * size_mm
    return out


def _notch(notch: Notch, marked: MarkedPiece, place: Place) -> list[str]:
    """On the boundary: 30 the depth, 39 the width (0 for a slit), 50 the direction."""
    layer = NOTCH_LAYERS.get(notch.kind, NOTCH)
    out: list[str] = []
    for spot, way in notch.each():
        on = on_boundary(marked.cut.cut_line, spot, notch, marked.name)
        angle = notch_angle(notch.kind, way)
        shape = f" 30\n{abs(notch.depth):.4f}\n 39\n{notch.width:.4f}\n 50\n{angle:.4f}\n"
        out.append(f"  0\nPOINT\n  8\n{layer}\n{place.pair(on)}{shape}")
    return out


def _scale(name: str, side: float, size: str, x: float) -> list[str]:
    """A square and its diagonals by which a reader can prove the units; never to be cut."""
    place = Place(x, 0.0)
    a, b, c, d = (0.0, 0.0), (side, 0.0), (side, side), (0.0, side)
    tagged = _Tagged(place)
    tagged.add(CUT, (a, b, c, d), True)
    tagged.add(INTERNAL, (a, c), False)
    tagged.add(INTERNAL, (b, d), False)
    words = f"DO NOT CUT - MEASURE: {name.removeprefix('SCALE ')}"
    facts = (f"Piece Name: {name}", f"Size: {ascii_text(size)}", "Quantity: 0,0", "Material:", f"Annotation: {words}")
    texts = [text_entity(CUT, x + 5.0, side - 8.0 - 6.0 * i, SMALL, fact) for i, fact in enumerate(facts)]
    return [*texts, *tagged.entities(), text_entity(WORDS, x + 5.0, 5.0, SMALL, words)]
