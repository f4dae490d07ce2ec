"""Pattern pieces as sewn-product pattern data: ASTM D6673, units METRIC.

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
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from math import atan2, ceil, cos, degrees, radians, sin
from typing import Final
from unicodedata import normalize

from ..errors import GeometryError
from ..geometry.point import XY, Ring
from ..geometry.polygon import Box, nearest_on
from ..model.pattern import MarkedPiece, Notch, Pattern
from ..model.piece import NotchKind, Piece

CUT, TURN, CURVE, NOTCH, GRADE, MIRROR, GRAIN, INTERNAL, DRILL, STITCH, WORDS = 1, 2, 3, 4, 5, 6, 7, 8, 13, 14, 15
"""Layers by what they hold (D6673-10 §4.3)."""
NOTCH_LAYERS: Final = {NotchKind.T: 80, NotchKind.CASTLE: 81, NotchKind.CHECK: 82, NotchKind.U: 83}
"""Layers of the kinds that are neither slit nor V (the same, as the public notes list them)."""

RELEASE: Final = "0.1.0"
VERSION: Final = "D 6673-04"
CORNER_DEG: Final = 15.0
"""A vertex that turns by more is a turn point, by less a curve point (common practice, no source)."""
NAME_LENGTH: Final = 20
"""Longest piece or style name that readers keep whole (public notes on the standard)."""
BLOCK_LENGTH: Final = 31
"""Longest symbol name of DXF Release 12 (from memory)."""
_COS2: Final = cos(radians(CORNER_DEG)) ** 2
_GAP: Final = 50.0
_SMALL: Final = 3.5
_LARGE: Final = 5.0
_SIGNS: Final = {
    "×": "x", "÷": "/", "⁄": "/", "−": "-", "–": "-", "—": "-", "‐": "-", "‑": "-", "’": "'", "‘": "'", "′": "'",
    "“": '"', "”": '"', "″": '"', "…": "...", "°": " deg", "½": " 1/2", "¼": " 1/4", "¾": " 3/4", "ß": "ss",
    "æ": "ae", "Æ": "AE", "œ": "oe", "Œ": "OE", "ø": "o", "Ø": "O", "ł": "l", "Ł": "L", "ı": "i",
}  # fmt: skip
_SPELT: Final = str.maketrans(_SIGNS)


def render(pattern: Pattern, *, date: str = "") -> bytes:
    """All pieces of one size, and two pieces to prove the scale, as the bytes of a .dxf file.

    Layer 1 is the cut line, 14 the stitch line; a piece on the fold is its half, with the fold on layer 6. `date`, or
    else the pattern's, is written as dd-mm-yyyy; without one the Creation Date stays blank, as no clock is read.
    Raises GeometryError for a notch that lies off the cut line.
    """
    lines: list[str] = ["  0\nSECTION\n  2\nHEADER\n  0\nENDSEC\n  0\nSECTION\n  2\nBLOCKS\n"]
    blocks: list[str] = []
    names: set[str] = set()
    x = 0.0
    for piece in pattern.pieces:
        box = Box.round(piece.cut.cut_line)
        # Whole millimetres, so that the fourth decimal stays what pattern.json says.
        place = _Place(ceil(x - box.left), ceil(-box.bottom))
        name = unique(ascii_text(piece.name).upper(), NAME_LENGTH, names)
        block = block_name(name, pattern.size, blocks)
        blocks.append(block)
        lines.append(_block(block, _piece(piece, name, pattern.size, place)))
        x = ceil(x + box.width) + _GAP
    for title, side in (("SCALE_100_MM", 100.0), ("SCALE_4_IN", 101.6)):
        block = block_name(title, "", blocks)
        blocks.append(block)
        lines.append(_block(block, _scale(title.replace("_", " "), side, pattern.size, x)))
        x += ceil(side) + _GAP
    lines.append("  0\nENDSEC\n  0\nSECTION\n  2\nENTITIES\n")
    y = -20.0
    for words in _style_texts(pattern, date or pattern.date):
        lines.append(_text(CUT, 0.0, y, _LARGE, words))
        y -= 8.0
    lines += [f"  0\nINSERT\n  8\n1\n  2\n{block}\n 10\n0.0000\n 20\n0.0000\n" for block in blocks]
    lines.append("  0\nENDSEC\n  0\nEOF\n")
    return "".join(lines).replace("\n", "\r\n").encode("ascii")


def ascii_text(text: str, most: int = 250) -> str:
    """In 7-bit ASCII on one line (§4.3.1.1): accents dropped, signs spelt out, the rest as `?`; nothing DXF interprets.

    >>> ascii_text("première – 1½ in"), ascii_text("図 5%%d^J")
    ('premiere - 1 1/2 in', '? 5% %d J')
    """
    if not text.isascii():
        plain = normalize("NFKD", text.translate(_SPELT)).translate(_SPELT)
        text = re.sub(r"[̀-ͯ]", "", plain).encode("ascii", "replace").decode("ascii")
    text = re.sub(r"[\x00-\x20\x7f^]+", " ", text).strip()
    return text.replace("%%", "% %")[:most].strip()


def unique(text: str, most: int, taken: set[str]) -> str:
    """`text` in `most` characters, numbered where cutting it short would give two pieces one name; joins `taken`."""
    name, number = text[:most].strip() or "PIECE", 2
    while name in taken:
        name = f"{text[: most - len(str(number)) - 1].strip()} {number}"
        number += 1
    taken.add(name)
    return name


def block_name(piece: str, size: str, taken: Iterable[str]) -> str:
    """PIECE_SIZE of A-Z 0-9 _ $ - alone, at most 31 characters, unlike any in `taken`.

    >>> block_name("FRONT", "12 1/2", ()), block_name("A PIECE OF A VERY LONG NAME", "12", ())
    ('FRONT_12-1-2', 'A-PIECE-OF-A-VERY-LONG-NAME_12')
    """
    first, last = (re.sub(r"[^A-Z0-9_$-]+", "-", ascii_text(part).upper()).strip("-") for part in (piece, size))
    first = first or "PIECE"
    tail = f"_{last[:10]}" if last else ""
    name, number = first[: BLOCK_LENGTH - len(tail)] + tail, 2
    while name in taken:
        end = f"{tail}-{number}"
        name = first[: BLOCK_LENGTH - len(end)] + end
        number += 1
    return name


@dataclass(frozen=True, slots=True)
class _Place:
    """Where a piece's own (0, 0) lies in the drawing."""

    dx: float
    dy: float

    def pair(self, p: XY) -> str:
        return f" 10\n{p[0] + self.dx:.4f}\n 20\n{p[1] + self.dy:.4f}\n"


def _block(name: str, entities: Sequence[str]) -> str:
    head = f"  0\nBLOCK\n  8\n0\n  2\n{name}\n 70\n64\n 10\n0.0000\n 20\n0.0000\n"
    return f"{head}{''.join(entities)}  0\nENDBLK\n"


def _text(layer: int, x: float, y: float, height: float, words: str, angle_deg: float = 0.0) -> str:
    place = f" 10\n{x:.4f}\n 20\n{y:.4f}\n 40\n{height:.4f}\n 50\n{angle_deg:.4f}\n"
    return f"  0\nTEXT\n  8\n{layer}\n{place}  1\n{words}\n"


def _line(layer: int, place: _Place, ends: Sequence[XY]) -> str:
    (ax, ay), (bx, by) = ends
    end = f" 11\n{bx + place.dx:.4f}\n 21\n{by + place.dy:.4f}\n"
    return f"  0\nLINE\n  8\n{layer}\n{place.pair((ax, ay))}{end}"


def _polyline(layer: int, pairs: Sequence[str], closed: bool) -> str:
    vertex = f"  0\nVERTEX\n  8\n{layer}\n"
    head = f"  0\nPOLYLINE\n  8\n{layer}\n 66\n1\n 70\n{int(closed)}\n"
    return f"{head}{vertex}{vertex.join(pairs)}  0\nSEQEND\n  8\n{layer}\n"


def _sharp(points: Ring, closed: bool) -> list[bool]:
    """Whether each vertex turns by more than CORNER_DEG; the ends of an open line do."""
    count = len(points)
    xs, ys = zip(*points, strict=True)
    flags: list[bool] = []
    ax, ay = xs[0] - xs[-1], ys[0] - ys[-1]
    for i in range(count):
        j = i + 1 if i + 1 < count else 0
        bx, by = xs[j] - xs[i], ys[j] - ys[i]
        dot = ax * bx + ay * by
        flags.append(dot <= 0 or dot * dot < _COS2 * (ax * ax + ay * ay) * (bx * bx + by * by))
        ax, ay = bx, by
    if not closed:
        flags[0] = flags[-1] = True
    return flags


class _Tagged:
    """Lines of one block and the points that they need: each vertex once, a corner of any line as turn point."""

    def __init__(self, place: _Place) -> None:
        self.place = place
        self.lines: list[str] = []
        self.corners: dict[str, bool] = {}

    def add(self, layer: int, points: Sequence[XY], closed: bool, corner: Callable[[XY], bool] | None = None) -> None:
        """A line; `corner` names vertices that are turn points however little they turn."""
        dx, dy, corners = self.place.dx, self.place.dy, self.corners
        pairs: list[str] = []
        for (x, y), sharp in zip(points, _sharp(points, closed), strict=True):
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
            self.lines.append(_polyline(layer, pairs, closed))
        else:
            self.lines.append(_line(layer, self.place, (points[0], points[-1])))

    def entities(self) -> list[str]:
        """Boundary first, then the points, then the other lines."""
        turn, curve = (f"  0\nPOINT\n  8\n{layer}\n" for layer in (TURN, CURVE))
        points = [(turn if corner else curve) + pair for pair, corner in self.corners.items()]
        return [self.lines[0], *points, *self.lines[1:]]


def _piece(marked: MarkedPiece, name: str, size: str, place: _Place) -> list[str]:
    cut, piece = marked.cut, marked.cut.piece
    ends = {line[0] for line in cut.lines.values()}
    tagged = _Tagged(place)
    tagged.add(CUT, cut.cut_line, True)
    tagged.add(STITCH, cut.stitch_line, True, ends.__contains__)
    for dart in piece.darts:
        tagged.add(INTERNAL, dart.points, True, lambda _: True)
    for internal in piece.internal_lines:
        tagged.add(INTERNAL, internal.points, False)
    out = _piece_texts(marked, name, size, place)
    out += tagged.entities()
    for notch in marked.notches:
        out += _notch(notch, marked, place)
    out += [_line(GRADE, place, marked.grain_line), _line(GRAIN, place, marked.grain_line)]
    if marked.fold_line:
        out.append(_line(MIRROR, place, marked.fold_line))
    out += [f"  0\nPOINT\n  8\n{DRILL}\n{place.pair(hole)}" for hole in marked.drill_holes]
    return out


def quantity(piece: Piece) -> str:
    """`R,L`: how many are cut as drawn, how many mirrored. A half on the fold counts once, as the whole piece.

    A mirrored pair of quantity 1 or 2 is `1,1`, of 4 is `2,2`.
    """
    if not piece.mirrored_pair:
        return f"{piece.quantity},0"
    pairs = max(1, piece.quantity // 2)
    return f"{max(pairs, piece.quantity - pairs)},{pairs}"


def _piece_texts(marked: MarkedPiece, name: str, size: str, place: _Place) -> list[str]:
    label = marked.label
    words = [ascii_text(line) for line in label.lines]
    longest = max(map(len, words), default=0)
    height = _LARGE if longest * _LARGE <= label.width else _SMALL
    facts = (
        f"Piece Name: {name}",
        f"Size: {ascii_text(size)}",
        f"Quantity: {quantity(marked.cut.piece)}",
        f"Material: {ascii_text(marked.cut.piece.material).upper()}",
        f"Annotation: {ascii_text('; '.join(words))}",
    )
    rows = [(CUT, _SMALL, fact) for fact in facts] + [(WORDS, height, line) for line in words]
    # Rows run down from the label's centre along its own direction.
    turn = radians(label.angle_deg)
    way = cos(turn), sin(turn)
    x = label.at[0] + place.dx - way[0] * label.width / 2
    y = label.at[1] + place.dy - way[1] * label.width / 2
    down = way[1], -way[0]
    out: list[str] = []
    far = -1.6 * _SMALL * len(facts)
    for layer, size_mm, text in rows:
        if text:
            out.append(_text(layer, x + down[0] * far, y + down[1] * far, size_mm, text, label.angle_deg % 360.0))
        far += 1.6 * size_mm
    return out


def _notch(notch: Notch, marked: MarkedPiece, place: _Place) -> list[str]:
    """On the boundary: 30 the depth, 39 the width (0 for a slit), 50 the direction, inwards or, of a V, outwards."""
    layer = NOTCH_LAYERS.get(notch.kind, NOTCH)
    to = 1.0 if notch.kind is NotchKind.V_OUT else -1.0
    out: list[str] = []
    for spot, way in notch.each():
        angle = degrees(atan2(to * way[1], to * way[0])) % 360.0
        on, off = nearest_on(marked.cut.cut_line, spot)
        if off > 0.5:
            raise GeometryError(
                f"notch {notch.name!r} of {marked.name}.{notch.edge} lies {off:.1f} mm off the cut line, so no pattern "
                "room would find it; move the notch further from the corner"
            )
        shape = f" 30\n{abs(notch.depth):.4f}\n 39\n{notch.width:.4f}\n 50\n{angle:.4f}\n"
        out.append(f"  0\nPOINT\n  8\n{layer}\n{place.pair(on)}{shape}")
    return out


def _scale(name: str, side: float, size: str, x: float) -> list[str]:
    """A square and its diagonals by which a reader can prove the units; never to be cut."""
    place = _Place(x, 0.0)
    a, b, c, d = (0.0, 0.0), (side, 0.0), (side, side), (0.0, side)
    tagged = _Tagged(place)
    tagged.add(CUT, (a, b, c, d), True)
    tagged.add(INTERNAL, (a, c), False)
    tagged.add(INTERNAL, (b, d), False)
    words = f"DO NOT CUT - MEASURE: {name.removeprefix('SCALE ')}"
    facts = (f"Piece Name: {name}", f"Size: {ascii_text(size)}", "Quantity: 0,0", "Material:", f"Annotation: {words}")
    texts = [_text(CUT, x + 5.0, side - 8.0 - 6.0 * i, _SMALL, fact) for i, fact in enumerate(facts)]
    return [*texts, *tagged.entities(), _text(WORDS, x + 5.0, 5.0, _SMALL, words)]


def _style_texts(pattern: Pattern, date: str) -> tuple[str, ...]:
    iso = re.fullmatch(r"(\d{4})-(\d\d)-(\d\d)", date.strip())
    written = "-".join(reversed(iso.groups())) if iso else ascii_text(date)
    title = ascii_text(pattern.title) or ascii_text(pattern.draft.garment)
    facts = (
        f"Style Name: {title[:NAME_LENGTH].strip().upper()}",
        f"Creation Date: {written}",
        "Creation Time:",
        f"Author: Oaktag;oaktag;{RELEASE}",
        f"Sample Size: {ascii_text(pattern.size)}",
        "Grade Rule Table:",
        "Units: METRIC",
        f"ASTM/D13Proposal 1 Version: {VERSION}",
    )
    return tuple(fact.strip() for fact in facts)
