"""A page of PDF: lines and words in mm on it, and the file round the pages. What every PDF of ours is made of.

Content is built as text, one character a byte; 1 mm is 72/25.4 units (ISO 32000-1 §8.3.2.3).
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping, Sequence
from math import cos, radians, sin
from types import MappingProxyType
from typing import Final

from ..geometry.point import XY
from ..values import dataclass

PT: Final = 72 / 25.4
"""Units of a page in a millimetre."""
INK, GREY, LIGHT, PALE = 0.1, 0.35, 0.55, 0.88  # of paper white
_FONTS: Final = {"Regular": "/Helvetica", "Bold": "/Helvetica-Bold"}
_CALLED: Final = re.compile(r"/OC /(\S+) BDC")
_EFFORT: Final = 4  # of compression: half the time of the usual 6, and 3 % more bytes


@dataclass(frozen=True, slots=True)
class Page:
    """One page: its size in mm, and what is on it."""

    width: float  # mm
    height: float
    content: str  # one character a byte
    unit: int = 1  # UserUnit (ISO 32000-1, table 30): 1/72 in of the paper in a unit of the page; content knows none


def in_layer(layer: str, content: str) -> str:
    """Content in an optional content group (ISO 32000-1 §8.11)."""
    return f"/OC /{resource(layer)} BDC\nq\n{content}Q\nEMC\n"


def resource(layer: str) -> str:
    """The name by which a page's content calls a layer."""
    return layer.replace(" ", "-")


def pts(mm: float) -> str:
    """A length in the page's units, as it is written."""
    return f"{mm * PT:.4f}"


def draw_lines(lines: Sequence[Sequence[XY]], *, grey: float = GREY, width: float = 0.15, dashes: str = "") -> str:
    """Open lines through points in mm on the page."""
    form = "".join(["%.4f %.4f m" + " %.4f %.4f l" * (len(line) - 1) + "\n" for line in lines])
    flat = [c * PT for line in lines for point in line for c in point]
    return f"{grey} G {pts(width)} w [{dashes}] 0 d 1 j\n{form % tuple(flat)}S\n" if lines else ""


# ---- words, in the two fonts that every reader has

# Widths of the characters 32 to 126 in 1/1000 of the size: Adobe Core 14 font metrics, from memory.
_REGULAR_WIDTHS: Final = (
    "278 278 355 556 556 889 667 191 333 333 389 584 278 333 278 278 556 556 556 556 556 556 556 556 556 556 278 "
    "278 584 584 584 556 1015 667 667 722 722 667 611 778 722 278 500 667 556 833 722 778 667 778 722 667 611 722 "
    "667 944 667 667 611 278 278 278 469 556 333 556 556 500 556 556 278 556 556 222 222 500 222 833 556 556 556 "
    "556 333 500 278 556 500 722 500 500 500 334 260 334 584"
)
_BOLD_WIDTHS: Final = (
    "278 333 474 556 556 889 722 238 333 333 389 584 278 333 278 278 556 556 556 556 556 556 556 556 556 556 333 "
    "333 584 584 584 611 975 722 722 722 722 667 611 778 722 278 556 722 611 833 722 778 667 778 722 667 611 722 "
    "667 944 667 667 611 333 278 333 584 556 333 556 611 556 611 556 333 611 611 278 278 556 278 889 611 611 611 "
    "611 389 556 333 611 556 778 556 556 500 389 280 389 584"
)
_REGULAR, _BOLD = (
    {chr(code): int(width) for code, width in enumerate(table.split(), start=32)}
    for table in (_REGULAR_WIDTHS, _BOLD_WIDTHS)
)
_SPELT: Final = str.maketrans({"→": "->", "←": "<-", "−": "-", "″": '"', "′": "'", "⁄": "/", "≤": "<=", "≥": ">="})


def printable(text: str) -> str:
    """The text in the characters of WinAnsi: others lose their accents or become question marks."""
    if text.isascii() and text.isprintable():
        return text
    out = []
    for sign in text.translate(_SPELT):
        if sign < " " or "\x7f" <= sign <= "\xa0":
            out.append(" ")
            continue
        try:
            sign.encode("cp1252")
            out.append(sign)
        except UnicodeEncodeError:
            bare = unicodedata.normalize("NFKD", sign).translate(_SPELT).encode("ascii", "ignore").decode("ascii")
            out.append(bare or ("" if unicodedata.combining(sign) else "?"))
    return "".join(out)


def text_width(text: str, size: float, bold: bool = False) -> float:
    """mm, of printable text in `size` points."""
    widths = _BOLD if bold else _REGULAR
    return sum([widths.get(c, 556) for c in text]) / 1000 * size / PT


def draw_words(
    text: str, at: XY, size: float, *, bold: bool = False, grey: float = INK, part: float = 0.0, angle_deg: float = 0.0
) -> str:
    """One line of text; `part` of its width lies left of `at` (0 left, 0.5 centred, 1 right)."""
    text = printable(text)
    c, s = cos(radians(angle_deg)), sin(radians(angle_deg))
    back = text_width(text, size, bold) * part
    x, y = at[0] - back * c, at[1] - back * s
    coded = text.encode("cp1252").decode("latin-1")  # one character a byte
    escaped = coded.replace("\\", r"\\").replace("(", r"\(").replace(")", r"\)")
    return (
        f"BT {grey} g /{'Bold' if bold else 'Regular'} {size:.2f} Tf "
        f"{c:.4f} {s:.4f} {-s:.4f} {c:.4f} {pts(x)} {pts(y)} Tm ({escaped}) Tj ET\n"
    )


def wrapped(text: str, width: float, size: float, bold: bool = False) -> list[str]:
    """The text in lines of at most `width` mm; a longer word is broken."""
    lines, line, filled, space = [], "", 0.0, text_width(" ", size, bold)
    for word in printable(text).split():
        needed = text_width(word, size, bold) + (filled + space if line else 0.0)
        if needed <= width:
            line, filled = f"{line} {word}" if line else word, needed
            continue
        if line:
            lines.append(line)
        while text_width(word, size, bold) > width and len(word) > 1:
            fits = next(n for n in range(len(word) - 1, 0, -1) if n == 1 or text_width(word[:n], size, bold) <= width)
            lines.append(word[:fits])
            word = word[fits:]
        line, filled = word, text_width(word, size, bold)
    return [*lines, line] if line else lines


def shortened(text: str, width: float, size: float, bold: bool = False) -> str:
    """At most `width` mm of the text, printable; the rest becomes dots."""
    text = printable(text[:500])
    if text_width(text, size, bold) <= width:
        return text
    while text and text_width(text + "...", size, bold) > width:
        text = text[:-1]
    return text.rstrip() + "..."


# ---- the document


def document(
    title: str, pages: Sequence[Page], layers: Mapping[str, str] = MappingProxyType({}), *, tray: bool = True
) -> bytes:
    """The file round the pages' content: objects, then the table of where each begins (ISO 32000-1 §7.5).

    `layers` are the optional content groups in their order, the name that content calls them by and the one that people
    read; those that no page has content in are left out. They carry no print state and no automatic state (/Usage and
    /AS): a reader that heeded one would print again what was switched off on the screen (ISO 32000-1 §8.11.4.5).
    `tray` asks the print dialog to choose paper by the size of the pages. Content is packed lightly, for speed.
    """
    from zlib import compress

    bodies: list[bytes] = []

    def add(body: bytes) -> str:
        bodies.append(body)
        return f"{len(bodies)} 0 R"

    calls = [set(_CALLED.findall(page.content)) for page in pages]
    groups = {
        called: add(_dictionary(Type="/OCG", Name=text_string(words)))
        for called, words in layers.items()
        if any(called in names for names in calls)
    }
    fonts = {
        key: add(_dictionary(Type="/Font", Subtype="/Type1", BaseFont=face, Encoding="/WinAnsiEncoding"))
        for key, face in _FONTS.items()
        if any(f"/{key} " in page.content for page in pages)
    }
    tree = f"{len(bodies) + 2 * len(pages) + 1} 0 R"  # after every page's content and the page itself
    kids = []
    for page, names in zip(pages, calls, strict=True):
        content = page.content
        if page.unit != 1:
            content = f"q {1 / page.unit:.6f} 0 0 {1 / page.unit:.6f} 0 0 cm\n{content}Q\n"
        packed = compress(content.encode("latin-1"), _EFFORT)
        head = _dictionary(Length=len(packed), Filter="/FlateDecode")
        stream = add(b"%b\nstream\n%b\nendstream" % (head, packed))
        box = f"[0 0 {pts(page.width / page.unit)} {pts(page.height / page.unit)}]"
        used = "".join(f"/{called} {group} " for called, group in groups.items() if called in names)
        faces = "".join(f"/{key} {font} " for key, font in fonts.items())
        leaf = _dictionary(
            Type="/Page",
            Parent=tree,
            MediaBox=box,
            CropBox=box,
            TrimBox=box,
            Resources=f"<< /Properties << {used}>> " + (f"/Font << {faces}>> >>" if faces else ">>"),
            Contents=stream,
            **({"UserUnit": page.unit} if page.unit != 1 else {}),
        )
        kids.append(add(leaf))
    add(_dictionary(Type="/Pages", Kids=f"[{' '.join(kids)}]", Count=len(kids)))
    info = add(_dictionary(Title=text_string(title)))
    every = f"[{' '.join(groups.values())}]"
    shown = "true" if tray else "false"
    root = _dictionary(
        Type="/Catalog",
        Pages=tree,
        OCProperties=f"<< /OCGs {every} /D << /Name (layers) /Order {every} /ON {every} >> >>",
        ViewerPreferences=f"<< /PrintScaling /None /PickTrayByPDFSize {shown} /DisplayDocTitle true >>",
    )
    return _file(bodies, add(root), info)


def _dictionary(**entries: str | int) -> bytes:
    """A PDF dictionary (ISO 32000-1 §7.3.7) of values that are written already."""
    return f"<< {' '.join([f'/{key} {value}' for key, value in entries.items()])} >>".encode("latin-1")


def _file(bodies: Sequence[bytes], root: str, info: str) -> bytes:
    """Objects numbered from 1, each row of their table 20 bytes long, and an id that follows from what is in them."""
    from hashlib import sha256

    out = [b"%PDF-1.6\n%\xbf\xf7\xa2\xfe\n"]  # four bytes above 127 tell programs that it is no text
    rows = [b"0000000000 65535 f \n"]
    at, name = len(out[0]), sha256()
    for number, body in enumerate(bodies, start=1):
        rows.append(b"%010d 00000 n \n" % at)
        out.append(b"%d 0 obj\n%b\nendobj\n" % (number, body))
        at += len(out[-1])
        name.update(out[-1])
    own = name.hexdigest()[:32]
    trailer = _dictionary(Size=len(rows), Root=root, Info=info, ID=f"[<{own}> <{own}>]")
    tail = b"xref\n0 %d\n%btrailer\n%b\nstartxref\n%d\n%%%%EOF\n" % (len(rows), b"".join(rows), trailer, at)
    return b"".join([*out, tail])


def through(content: str, matrix: tuple[float, float, float, float], width: float, height: float) -> str:
    """All content of a page through (xx, xy, yx, yy): from the middle, (x, y) goes to (xx x + xy y, yx x + yy y).

    `cm` takes the columns of that one after the other (ISO 32000-1 §8.3.4).
    """
    xx, xy, yx, yy = matrix
    x, y = width / 2, height / 2
    return (
        f"q {xx:.8f} {yx:.8f} {xy:.8f} {yy:.8f} {pts(x - xx * x - xy * y)} {pts(y - yx * x - yy * y)} cm\n{content}Q\n"
    )


def text_string(text: str) -> str:
    """A PDF text string (ISO 32000-1 §7.9.2.2): plain where it is printable ASCII, else UTF-16 in hex."""
    if text.isascii() and text.isprintable():
        return "(" + text.replace("\\", r"\\").replace("(", r"\(").replace(")", r"\)") + ")"
    return f"<feff{text.encode('utf-16-be', 'replace').hex()}>"
