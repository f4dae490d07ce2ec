"""The parts of a pattern-data file (ASTM D6673-10) that one size and sets share: layers, names, entities."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from itertools import accumulate
from math import atan2, cos, degrees, radians
from typing import Final
from unicodedata import normalize

from ..errors import GeometryError
from ..geometry.point import XY, Ring
from ..geometry.polygon import nearest_on
from ..model.pattern import Notch, Pattern
from ..model.piece import NotchKind, Piece
from ..values import dataclass

CUT, TURN, CURVE, NOTCH, GRADE, MIRROR, GRAIN, INTERNAL, DRILL, STITCH, WORDS = 1, 2, 3, 4, 5, 6, 7, 8, 13, 14, 15
CUTOUT = 11
"""Layers by what they hold (D6673-10 §4.3)."""
NOTCH_LAYERS: Final = {NotchKind.T: 80, NotchKind.CASTLE: 81, NotchKind.CHECK: 82, NotchKind.U: 83}
"""Layers of the kinds that are neither slit nor V (the same, as the public notes list them)."""

RELEASE: Final = "0.1.0"
AUTHOR: Final = f"Oaktag;oaktag;{RELEASE}"
"""Vendor; application; release."""
VERSION: Final = "D 6673-04"
CORNER_DEG: Final = 15.0
"""A vertex that turns by more is a turn point, by less a curve point (common practice, no source)."""
NAME_LENGTH: Final = 20
"""Longest piece or style name that readers keep whole (public notes on the standard)."""
BLOCK_LENGTH: Final = 31
"""Longest symbol name of DXF Release 12 (from memory)."""
SCALES: Final = (("SCALE_100_MM", 100.0), ("SCALE_4_IN", 101.6))
"""Squares to prove the units by: block and side, mm."""
_COS2: Final = cos(radians(CORNER_DEG)) ** 2
OFF_CUT: Final = 0.5
"""Farthest that a notch may stand off the cut line, mm: at a step of the allowance (common practice, no source)."""
GAP: Final = 50.0
"""Between pieces, mm."""
SMALL: Final = 3.5
LARGE: Final = 5.0
"""Heights of text, mm (suggested with layer 15)."""
_SIGNS: Final = {
    "×": "x", "÷": "/", "⁄": "/", "−": "-", "–": "-", "—": "-", "‐": "-", "‑": "-", "’": "'", "‘": "'", "′": "'",
    "“": '"', "”": '"', "″": '"', "…": "...", "°": " deg", "½": " 1/2", "¼": " 1/4", "¾": " 3/4", "ß": "ss",
    "æ": "ae", "Æ": "AE", "œ": "oe", "Œ": "OE", "ø": "o", "Ø": "O", "ł": "l", "Ł": "L", "ı": "i",
}  # fmt: skip
_SPELT: Final = str.maketrans(_SIGNS)
_SIGN: Final = re.compile(r"\\U\+[0-9A-F]{4}|.")
"""A letter, or one that is spelt by its number."""


def ascii_text(text: str, most: int = 250) -> str:
    """In 7-bit ASCII on one line (§4.3.1.1): accents dropped, signs spelt out; nothing else that DXF interprets.

    Letters that ASCII has no likeness of are written as DXF itself writes them, by their number in Unicode.

    >>> ascii_text("première – 1½ in"), ascii_text("図 5%%d^J")
    ('premiere - 1 1/2 in', '\\\\U+56F3 5% %d J')
    """
    if not text.isascii():
        plain = normalize("NFKD", text.translate(_SPELT)).translate(_SPELT)
        text = normalize("NFC", re.sub(r"[̀-ͯ]", "", plain))
    text = re.sub(r"[\x00-\x20\x7f-\x9f^]+", " ", text).strip().replace("%%", "% %")
    if text.isascii():
        return text[:most].strip()
    spelt = (sign if sign.isascii() else _numbered(sign) for sign in text)
    return cut_to("".join(spelt), most)


def _numbered(sign: str) -> str:
    """A sign by its number; those beyond four figures, which DXF cannot spell, as `?`."""
    return f"\\U+{ord(sign):04X}" if ord(sign) < 0x10000 else "?"


def cut_to(text: str, most: int) -> str:
    """The text in so many characters at most, never cut within a letter that is spelt by its number."""
    whole = _SIGN.findall(text)
    ends = list(accumulate(map(len, whole)))
    return "".join(sign for sign, end in zip(whole, ends, strict=True) if end <= most).strip()


def unique(text: str, most: int, taken: set[str]) -> str:
    """`text` in `most` characters, numbered where cutting it short would give two pieces one name; joins `taken`."""
    name, number = cut_to(text, most) or "PIECE", 2
    while name in taken:
        name = f"{cut_to(text, most - len(str(number)) - 1)} {number}"
        number += 1
    taken.add(name)
    return name


def piece_name(name: str, number: int, taken: set[str]) -> str:
    """A piece's name as the file has it: capitals, at most 20 characters, unlike those in `taken`, which it joins.

    A name of letters that ASCII has no likeness of, too long to be spelt by their numbers, is that of its place.

    >>> piece_name("pièce_première", 1, set()), piece_name("Вытачка", 2, set())
    ('PIECE_PREMIERE', 'PIECE 2')
    """
    spelt = ascii_text(name).upper()
    return unique(spelt if len(spelt) <= NAME_LENGTH or "\\U+" not in spelt else f"PIECE {number}", NAME_LENGTH, taken)


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
class Place:
    """Where a piece's own (0, 0) lies in the drawing."""

    dx: float
    dy: float

    def pair(self, p: XY) -> str:
        return f" 10\n{p[0] + self.dx:.4f}\n 20\n{p[1] + self.dy:.4f}\n"


def block_of(name: str, entities: Iterable[str]) -> str:
    """A block of entities whose lines end in CR LF already."""
    head = f"  0\nBLOCK\n  8\n0\n  2\n{name}\n 70\n64\n 10\n0.0000\n 20\n0.0000\n"
    tail = "  0\nENDBLK\n"
    return f"{crlf(head)}{''.join(entities)}{crlf(tail)}"


def text_entity(layer: int, x: float, y: float, height: float, words: str, angle_deg: float = 0.0) -> str:
    place = f" 10\n{x:.4f}\n 20\n{y:.4f}\n 40\n{height:.4f}\n 50\n{angle_deg:.4f}\n"
    return f"  0\nTEXT\n  8\n{layer}\n{place}  1\n{words}\n"


def line_entity(layer: int, place: Place, ends: Sequence[XY]) -> str:
    (ax, ay), (bx, by) = ends
    end = f" 11\n{bx + place.dx:.4f}\n 21\n{by + place.dy:.4f}\n"
    return f"  0\nLINE\n  8\n{layer}\n{place.pair((ax, ay))}{end}"


def polyline_entity(layer: int, pairs: Sequence[str], closed: bool) -> str:
    vertex = f"  0\nVERTEX\n  8\n{layer}\n"
    head = f"  0\nPOLYLINE\n  8\n{layer}\n 66\n1\n 70\n{int(closed)}\n"
    return f"{head}{vertex}{vertex.join(pairs)}  0\nSEQEND\n  8\n{layer}\n"


def sharp_vertices(points: Ring, closed: bool) -> list[bool]:
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


def quantity(piece: Piece) -> str:
    """`R,L`: how many are cut as drawn, how many mirrored. A half on the fold counts once, as the whole piece.

    A mirrored pair of quantity 1 or 2 is `1,1`, of 4 is `2,2`.
    """
    if not piece.mirrored_pair:
        return f"{piece.quantity},0"
    pairs = max(1, piece.quantity // 2)
    return f"{max(pairs, piece.quantity - pairs)},{pairs}"


def on_boundary(cut_line: Ring, spot: XY, notch: Notch, piece: str) -> XY:
    """The place of a notch on the cut line. Raises GeometryError where it lies off it."""
    on, off = nearest_on(cut_line, spot)
    if off > OFF_CUT:
        raise GeometryError(
            f"notch {notch.name!r} of {piece}.{notch.edge} lies {off:.1f} mm off the cut line, so no pattern "
            "room would find it; move the notch further from the corner"
        )
    return on


def notch_angle(kind: NotchKind, way: XY) -> float:
    """The direction of a notch, degrees from 0 to 360: inwards or, of a V that stands out, outwards (`way`)."""
    to = 1.0 if kind is NotchKind.V_OUT else -1.0
    return degrees(atan2(to * way[1], to * way[0])) % 360.0


def style_texts(
    pattern: Pattern, size: str, date: str, *, units: str = "METRIC", table: str = "", more: Sequence[str] = ()
) -> tuple[str, ...]:
    """What is said of the style as a whole (§6); `date` as YYYY-MM-DD is turned to dd-mm-yyyy."""
    title = ascii_text(pattern.title) or ascii_text(pattern.draft.garment)
    facts = (
        f"Style Name: {title[:NAME_LENGTH].strip().upper()}",
        f"Creation Date: {written_date(date)}",
        "Creation Time:",
        f"Author: {AUTHOR}",
        f"Sample Size: {size}",
        f"Grade Rule Table: {table}",
        f"Units: {units}",
        *(more or (f"ASTM/D13Proposal 1 Version: {VERSION}",)),
    )
    return tuple(fact.strip() for fact in facts)


def written_date(date: str) -> str:
    """YYYY-MM-DD as dd-mm-yyyy; anything else as it is.

    >>> written_date("2026-03-01"), written_date("")
    ('01-03-2026', '')
    """
    iso = re.fullmatch(r"(\d{4})-(\d\d)-(\d\d)", date.strip())
    return "-".join(reversed(iso.groups())) if iso else ascii_text(date)


def document(blocks: Mapping[str, str], facts: Sequence[str], scale: float = 1.0) -> bytes:
    """The whole file: blocks by name, whose lines end in CR LF, an INSERT of each, and the texts of the style.

    `scale`: units of the file in a mm.
    """
    head = "  0\nSECTION\n  2\nHEADER\n  0\nENDSEC\n  0\nSECTION\n  2\nBLOCKS\n"
    tail = ["  0\nENDSEC\n  0\nSECTION\n  2\nENTITIES\n"]
    y = -20.0
    for words in facts:
        tail.append(text_entity(CUT, 0.0, y * scale, LARGE * scale, words))
        y -= 8.0
    tail += [f"  0\nINSERT\n  8\n1\n  2\n{name}\n 10\n0.0000\n 20\n0.0000\n" for name in blocks]
    tail.append("  0\nENDSEC\n  0\nEOF\n")
    return "".join([crlf(head), *blocks.values(), crlf("".join(tail))]).encode("ascii")


def crlf(lines: str) -> str:
    """With CR LF at the ends of its lines."""
    return lines.replace("\n", "\r\n")
