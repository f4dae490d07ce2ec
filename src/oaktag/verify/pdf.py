"""PDF read through PDFium's page objects: path segments with their matrices, and the marks round them.

A piece's lines lie between marks `Piece` (parameter Name; of several sizes also Size) and `OC` (an optional content
group, by its Name; that of a size lies round that of the role). Marks `Corners` are round parts drawn a second time.
Units: ISO 32000-1, 8.3.2.3: 1/72 in, times UserUnit (table 30).
"""

from __future__ import annotations

import ctypes
import re
import zlib
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from typing import Any, Final, TypeAlias

from ..geometry.point import XY, distance
from ..geometry.polygon import Box
from ..values import dataclass, replace
from .drawing import Drawing, Measured, Named, Proved, Run, Runs, UnreadableError, inside_box, slug, squares_by_size
from .marks import ROLES

POINT: Final = 25.4 / 72.0
"""mm in a PDF unit."""
_SCALE: Final = "scale-block"
_CROSSES: Final = "register-marks"
_ROLES: Final = {slug(role): role for role in ROLES}
_CODE: Final = "code"
_LAYERS: Final = frozenset({"cut-line", "stitch-line", "joins", _CODE, _SCALE, _CROSSES, *_ROLES})
_CHORDS: Final = 64
_TILE: Final = re.compile(r"([1-9]\d{0,2})([A-Z]{1,2})")
_PAGE: Final = re.compile(r"[Pp]age (\d+) of (\d+)")
_NAME: Final = r"([1-9]\d{0,2}[A-Z]{1,2})"
_BESIDE: Final = tuple(
    re.compile(rf"\b{form}")
    for form in (
        f"{_NAME}: cut this strip off", f"{_NAME} lies on this strip", f"no line runs on to {_NAME}",
        f"cut here: {_NAME} meets this edge", f"{_NAME} is blank and not printed",
    )
)  # fmt: skip
_NEXT: Final = re.compile(rf"\bnext: {_NAME}")
_TITLED: Final = re.compile(rf"\xb7 {_NAME} \xb7 page")
_PAPERS: Final = {
    "a4": (210.0, 297.0), "a3": (297.0, 420.0), "a2": (420.0, 594.0), "a1": (594.0, 841.0), "a0": (841.0, 1189.0),
    "letter": (215.9, 279.4), "legal": (215.9, 355.6), "tabloid": (279.4, 431.8), "a4-letter": (210.0, 279.0),
}  # fmt: skip
"""mm (ISO 216; ANSI/ASME Y14.1 sizes A and B; legal and the paper that is both A4 and Letter: common practice)."""
_PAPER_LIMIT: Final = 0.02
"""mm by which a page may differ from its paper: units of a page have four digits, or three."""
_APART: Final = 100.0
_PALE: Final = 0.8
"""Relative luminance (0 black, 1 white; CSS Color 4, 10.1) above which a line does not show on paper (our own)."""
_THIN: Final = 0.01
"""Least width of a line that shows, mm."""
_COVER: Final = 1500.0
"""mm² that something filled may cover: the signs of page guides are smaller (our own)."""
_PITCH_LIMIT: Final = 0.01
"""mm; how far a page's register crosses may be from the pitch of the others (a page holds 0.001 pt or better)."""

Matrix = tuple[float, float, float, float, float, float]


Correction: TypeAlias = tuple[float, float, float, float]
STRAIGHT: Final = (1.0, 0.0, 0.0, 1.0)
"""No correction: (x, y) is printed at (xx x + xy y, yx x + yy y)."""


@dataclass(frozen=True, slots=True)
class _Stroke:
    """A path of a page: slugs of the piece and the layer that its marks name, its lines, mm, and its size."""

    piece: str
    layer: str
    runs: Runs
    size: str = ""
    wrong: str = ""
    """Why it does not show; "" if it does."""
    dashes: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class _Printed:
    """What a page says of itself in words, and its number, from 1."""

    number: int
    words: str


def read_pdf(path: Path, correction: Correction = STRAIGHT) -> Drawing:
    """The whole pattern on one page, on pages that are each whole, or on pages that go on at two register crosses.

    mm, y up. Raises UnreadableError.
    """
    with _Document(path, correction) as document:
        pages = [document.strokes(page) for page in range(document.pages)]
        numbered = [document.words(page) for page in range(document.pages)] if document.pages > 1 else []
        proved = (*document.proved(pages), *_numbers(numbered, len(numbered)))
    placed, joins = _joined(pages)
    return _drawing(placed, placed, _joins(joins), proved, in_tiles=bool(joins))


def _joined(pages: Sequence[tuple[_Stroke, ...]]) -> tuple[list[_Stroke], list[float]]:
    """Every page moved so that its lower crosses lie on the upper ones of the page before; how far they miss, mm.

    A page that begins anew is laid beside all that came before.
    """
    placed: list[_Stroke] = []
    misses: list[float] = []
    open_at: list[XY] = []
    for number, strokes in enumerate(pages, start=1):
        crosses = _crosses([run for stroke in strokes if stroke.layer == _CROSSES for run in stroke.runs])
        rows: dict[int, list[XY]] = defaultdict(list)
        for x, y in crosses:
            rows[round(y)].append((x, y))
        levels = [sorted(rows[y]) for y in sorted(rows)]
        if any(len(row) != 2 for row in levels) or len(levels) > 2 or (open_at and not levels):
            raise UnreadableError(f"page {number} has {len(crosses)} register crosses that make no pairs")
        ends = [x for stroke in placed for run in stroke.runs for x, _ in run.points]
        starts = [x for stroke in strokes for run in stroke.runs for x, _ in run.points]
        dx, dy = (max(ends) + _APART - min(starts) if ends and starts else 0.0), 0.0
        if open_at:
            dx, dy = open_at[0][0] - levels[0][0][0], open_at[0][1] - levels[0][0][1]
            misses.append(distance((levels[0][1][0] + dx, levels[0][1][1] + dy), open_at[1]))
            levels = levels[1:]
        placed += [_moved(stroke, dx, dy) for stroke in strokes]
        open_at = [(x + dx, y + dy) for x, y in levels[0]] if levels else []
    if open_at:
        raise UnreadableError("its last page goes on at register crosses, and no page follows")
    return placed, misses


def _joins(misses: Sequence[float]) -> tuple[Measured, ...]:
    if not misses:
        return ()
    worst, count = max(misses), len(misses)
    said = f"{count + 1} pages go on at {count} {'line' if count == 1 else 'lines'} of register crosses"
    return (Measured("register crosses", worst, _PITCH_LIMIT, said),)


def read_tiled_pdf(path: Path, correction: Correction = STRAIGHT) -> Drawing:
    """A cover with the scale block, then tiles, put together again by their printed names and register crosses.

    Pages between the cover and the first tile, which hold words alone, are passed over; tiles that lie edge to edge
    have corners in place of crosses.
    """
    with _Document(path, correction) as document:
        if document.pages < 2:
            raise UnreadableError("it has one page, where a cover and tiles should be")
        pages = [document.strokes(page) for page in range(document.pages)]
        cover, first = pages[0], 1
        while first < document.pages - 1 and not pages[first]:
            first += 1
        tiles = [_tile(document, page, pages[page]) for page in range(first, document.pages)]
        words = [document.words(page) for page in range(document.pages)]
        proved = (
            *document.proved(pages, paper=path.stem.removeprefix("pattern-"), covers=first),
            *_numbers(words, document.pages),
            *_neighbours(tiles, words[first:]),
        )
    if len({(tile.row, tile.column) for tile in tiles}) < len(tiles):
        raise UnreadableError("two of its pages print the same tile name")
    width, height = (_middle([getattr(tile.net, side) for tile in tiles]) for side in ("width", "height"))
    measured = _pitch(tiles, width, height)
    placed = [
        _moved(stroke, tile.column * width - tile.net.left, -tile.row * height - tile.net.bottom)
        for tile in tiles
        for stroke in tile.strokes
    ]
    return _drawing(placed, cover, measured, proved, in_tiles=True)


def _drawing(
    strokes: Sequence[_Stroke],
    scale: Sequence[_Stroke],
    measured: tuple[Measured, ...],
    proved: tuple[Proved, ...],
    *,
    in_tiles: bool = False,
) -> Drawing:
    roles: dict[str, dict[Named, list[Run]]] = {"cut-line": defaultdict(list), "stitch-line": defaultdict(list)}
    marks: dict[Named, dict[str, list[Run]]] = {}
    dashes: dict[Named, tuple[float, ...]] = {}
    for stroke in strokes:
        if stroke.piece and stroke.piece != _SCALE and stroke.layer in roles:
            roles[stroke.layer][Named(stroke.piece, stroke.size)].extend(stroke.runs)
            if stroke.layer == "cut-line":
                dashes[Named(stroke.piece, stroke.size)] = stroke.dashes
        elif stroke.piece and stroke.layer in _ROLES and not stroke.wrong:
            own = marks.setdefault(Named(stroke.piece, stroke.size), defaultdict(list))
            own[_ROLES[stroke.layer]].extend(stroke.runs)
    cut, stitch = ({n: tuple(runs) for n, runs in roles[role].items()} for role in ("cut-line", "stitch-line"))
    codes = tuple(run for stroke in strokes if stroke.layer == _CODE and not stroke.wrong for run in stroke.runs)
    squares = squares_by_size(run for stroke in scale if _SCALE in (stroke.piece, stroke.layer) for run in stroke.runs)
    held = {named: {role: tuple(runs) for role, runs in own.items()} for named, own in marks.items()}
    return Drawing(
        cut,
        stitch,
        squares=squares,
        measured=measured,
        marks=held,
        proved=proved,
        dashes=dashes,
        codes=codes,
        in_tiles=in_tiles,
    )


def _moved(stroke: _Stroke, dx: float, dy: float) -> _Stroke:
    runs = tuple(Run(tuple((x + dx, y + dy) for x, y in run.points), run.closed) for run in stroke.runs)
    return replace(stroke, runs=runs)


@dataclass(frozen=True, slots=True)
class _Marks:
    """What the marks round an object say; "" where they do not."""

    piece: str = ""
    layer: str = ""
    size: str = ""

    def inside(self, outer: _Marks) -> _Marks:
        """With what the marks round its form say, where its own say nothing."""
        return _Marks(self.piece or outer.piece, self.layer or outer.layer, self.size or outer.size)


@dataclass(frozen=True, slots=True)
class _Tile:
    """A page of the tiled pattern: its place (rows from the top, columns from the left), and its net tile, mm."""

    name: str
    row: int
    column: int
    net: Box
    strokes: tuple[_Stroke, ...]


def _tile(document: _Document, page: int, strokes: tuple[_Stroke, ...]) -> _Tile:
    name = document.largest_tile_name(page)
    if name is None:
        raise UnreadableError(f"page {page + 1} prints no tile name such as 3B")
    row, column = _place(name)
    crosses = _crosses([run for stroke in strokes if stroke.layer == _CROSSES for run in stroke.runs])
    if len(crosses) < 4:
        raise UnreadableError(f"page {page + 1} (tile {name}) has {len(crosses)} register crosses, where 4 should be")
    return _Tile(name, row, column, Box.round(crosses), strokes)


def _numbers(words: Sequence[_Printed], count: int) -> Iterator[Proved]:
    """Whether every page bears its own number, `page 3 of 12`, where pages are numbered."""
    said = [(page.number, _PAGE.findall(page.words)) for page in words]
    if not any(found for _, found in said):
        return
    wrong = [
        f"page {number} says that it is page {told} of {of}"
        for number, found in said
        for told, of in found
        if (int(told), int(of)) != (number, count)
    ]
    wrong += [f"page {number} of {count} bears no number" for number, found in said if not found]
    yield Proved("numbers of the pages", wrong[0] if wrong else "", f"{count} pages in their order")


def _neighbours(tiles: Sequence[_Tile], words: Sequence[_Printed]) -> Iterator[Proved]:
    """Whether what is printed at the edges of a page names the tiles that lie there, and the next page is the next."""
    wrong: list[str] = []
    for at, (tile, page) in enumerate(zip(tiles, words, strict=True)):
        beside = {(tile.row, tile.column + side) for side in (-1, 1)} | {
            (tile.row + side, tile.column) for side in (-1, 1)
        }
        named = {name for pattern in _BESIDE for name in pattern.findall(page.words)}
        wrong += [
            f"page {page.number}, tile {tile.name}, has {name} at its edge"
            for name in sorted(named)
            if _place(name) not in beside
        ]
        titles = _TITLED.findall(page.words)
        wrong += [f"page {page.number}, tile {tile.name}, calls itself {name}" for name in titles if name != tile.name]
        following = tiles[at + 1].name if at + 1 < len(tiles) else ""
        nexts = [name for name in _NEXT.findall(page.words) if name != following]
        wrong += [f"page {page.number} says that {name} comes next, and {following or 'none'} does" for name in nexts]
    yield Proved("words of the pages", wrong[0] if wrong else "", "every page names its neighbours")


def _place(name: str) -> tuple[int, int]:
    """Row from the top and column from the left of a tile's name."""
    match = _TILE.fullmatch(name)
    assert match is not None
    row = 0
    for letter in match[2]:
        row = row * 26 + ord(letter) - ord("A") + 1
    return row - 1, int(match[1]) - 1


def _crosses(runs: Iterable[Run]) -> list[XY]:
    """Where an upright short stroke crosses a level one."""
    level: list[tuple[float, float, float]] = []
    upright: list[tuple[float, float, float]] = []
    for run in runs:
        for (ax, ay), (bx, by) in zip(run.points, run.points[1:], strict=False):
            if abs(ay - by) < 1e-3 < abs(ax - bx):
                level.append((min(ax, bx), max(ax, bx), (ay + by) / 2))
            elif abs(ax - bx) < 1e-3 < abs(ay - by):
                upright.append((min(ay, by), max(ay, by), (ax + bx) / 2))
    return [
        (x, y) for low, high, x in upright for left, right, y in level if left - 1e-3 <= x <= right + 1e-3
        if low - 1e-3 <= y <= high + 1e-3
    ]  # fmt: skip


def _pitch(tiles: Sequence[_Tile], width: float, height: float) -> tuple[Measured, ...]:
    far = [(max(abs(tile.net.width - width), abs(tile.net.height - height)), tile) for tile in tiles]
    worst, tile = max(far, key=lambda pair: pair[0])
    said = f"{len(tiles)} tiles of {width:.2f} × {height:.2f} mm"
    if worst > _PITCH_LIMIT:
        own = f"{tile.net.width:.2f} × {tile.net.height:.2f} mm"
        said = f"tile {tile.name} is {own} between its register crosses, in the middle of {said}"
    return (Measured("register crosses", worst, _PITCH_LIMIT, said),)


def _middle(values: Iterable[float]) -> float:
    ordered = sorted(values)
    return ordered[len(ordered) // 2]


class _Document:
    """A PDF opened by PDFium; closes its pages and itself."""

    def __init__(self, path: Path, correction: Correction) -> None:
        import pypdfium2
        import pypdfium2.raw

        data = path.read_bytes()
        if b"%PDF-" not in data[:1024]:
            raise UnreadableError("it does not begin as a PDF does (%PDF-)")
        if b"%%EOF" not in data[-1024:]:
            raise UnreadableError("it stops before %%EOF, so its end is missing")
        self._raw: Any = pypdfium2.raw
        self._document: Any = pypdfium2.PdfDocument(data)
        self._data = data
        self._unit = POINT * user_unit(data)
        self._correction = correction
        self._point = ctypes.c_float(), ctypes.c_float()
        """Where PDFium writes the place of a segment."""
        self._sheets: dict[int, tuple[Box, list[float], int]] = {}
        """Of each page that was read: the part of it that is shown and printed, the whole of it, mm; its turn."""
        self._faults: list[str] = []
        """What may hide lines, or would show where nothing should be."""
        self.pages: int = len(self._document)
        xx, xy, yx, yy = correction
        det = xx * yy - xy * yx
        self._outer: Matrix = (yy / det, -yx / det, -xy / det, xx / det, 0.0, 0.0)
        """The correction of the printer undone, as a matrix of PDF."""

    def __enter__(self) -> _Document:
        return self

    def __exit__(self, *_: object) -> None:
        self._document.close()

    def strokes(self, page: int) -> tuple[_Stroke, ...]:
        """All paths of a page that a piece or a layer is named for, with what their clips leave of them."""
        opened = self._document[page]
        try:
            crop, media = ([part * self._unit for part in box] for box in (opened.get_cropbox(), opened.get_mediabox()))
            self._sheets[page] = Box(*crop), media, opened.get_rotation()
            raw, handle = self._raw, opened.raw
            objects = [raw.FPDFPage_GetObject(handle, i) for i in range(raw.FPDFPage_CountObjects(handle))]
            return tuple(self._walk(objects, self._outer, _Marks(), None, 0))
        finally:
            opened.close()

    def words(self, page: int) -> _Printed:
        """All text of a page, in its order."""
        opened = self._document[page]
        try:
            text = opened.get_textpage()
            try:
                said = str(text.get_text_range()) if text.count_chars() else ""
            finally:
                text.close()
        finally:
            opened.close()
        return _Printed(page + 1, " ".join(said.split()))

    def proved(self, pages: Sequence[Sequence[_Stroke]], *, paper: str = "", covers: int = 0) -> Iterator[Proved]:
        """Of the pages: their boxes (those of tiles on `paper`, but for the `covers` before them), what hides lines."""
        sizes = [self._sheets[page][0] for page in range(self.pages)]
        yield Proved("size of the pages", self._size_wrong(sizes, paper, covers), self._size_words(sizes))
        outside = [
            f"{stroke.piece or stroke.layer} ({stroke.layer}) leaves page {number}"
            for number, (strokes, box) in enumerate(zip(pages, sizes, strict=True), start=1)
            for stroke in strokes
            if not self._holds(box, stroke)
        ]
        yield Proved("inside the pages", outside[0] if outside else "", "every line lies on its page")
        hidden = [stroke.wrong for strokes in pages for stroke in strokes if stroke.wrong] + self._faults
        yield Proved(
            "lines that show", hidden[0] if hidden else "", "every line is drawn with a pen, in a colour that shows"
        )
        yield Proved("how it prints", self._print_wrong(), "at full size, with all its layers")

    def _size_wrong(self, sizes: Sequence[Box], paper: str, covers: int) -> str:
        for number, box in enumerate(sizes):
            _, media, turned = self._sheets[number]
            if turned:
                return f"page {number + 1} is turned by {turned}°"
            if max(abs(a - b) for a, b in zip(media, (box.left, box.bottom, box.right, box.top), strict=True)) > 0.01:
                return (
                    f"page {number + 1} shows {box.width:.1f} by {box.height:.1f} mm of its "
                    f"{media[2] - media[0]:.1f} by {media[3] - media[1]:.1f} mm"
                )
            if paper in _PAPERS:
                allowed = [_PAPERS[paper], *((_PAPERS["a4"], _PAPERS["letter"]) if number < covers else ())]
                off = min(max(abs(box.width - wide), abs(box.height - high)) for wide, high in allowed)
                if off > _PAPER_LIMIT:
                    return f"page {number + 1} is {box.width:.2f} by {box.height:.2f} mm, and no {paper} paper"
        return ""

    def _size_words(self, sizes: Sequence[Box]) -> str:
        told = dict.fromkeys(f"{box.width:.1f} by {box.height:.1f} mm" for box in sizes)
        return ", ".join(list(told)[:3])

    def _holds(self, box: Box, stroke: _Stroke) -> bool:
        xx, xy, yx, yy = self._correction
        for run in stroke.runs:
            printed = run.points
            if self._correction != STRAIGHT:
                printed = tuple((xx * x + xy * y, yx * x + yy * y) for x, y in printed)
            xs, ys = [x for x, _ in printed], [y for _, y in printed]
            if (
                min(xs) < box.left - 0.05
                or max(xs) > box.right + 0.05
                or min(ys) < box.bottom - 0.05
                or max(ys) > box.top + 0.05
            ):
                return False
        return True

    def _print_wrong(self) -> str:
        """Whether a program would print it smaller, or leave layers out (ISO 32000-1, table 150, and 8.11.4)."""
        import io

        import pikepdf

        with pikepdf.open(io.BytesIO(self._data)) as pdf:
            wishes: Any = pdf.Root.get("/ViewerPreferences", {})
            if wishes.get("/PrintScaling") != pikepdf.Name("/None"):
                return "it does not ask to be printed without scaling (PrintScaling None): programs fit it to the paper"
            if any(page.get("/Annots") for page in pdf.pages):
                return "it has annotations, which may cover lines"
            layers: Any = pdf.Root.get("/OCProperties", {})
            usual: Any = layers.get("/D", {})
            if usual.get("/BaseState", pikepdf.Name("/ON")) != pikepdf.Name("/ON") or len(usual.get("/OFF", [])):
                off = [str(group.get("/Name", "")) for group in usual.get("/OFF", [])]
                return f"it opens with layers switched off: {', '.join(off) or 'all'}"
            if len(usual.get("/AS", [])) or any("/Usage" in group for group in layers.get("/OCGs", [])):
                return "it switches layers by itself, on the screen or in print"
        return ""

    def largest_tile_name(self, page: int) -> str | None:
        """The word such as 3B that is set in the largest letters; None if there is none."""
        opened = self._document[page]
        try:
            text = opened.get_textpage()
            try:
                words: list[tuple[float, str]] = []
                raw = self._raw
                word, height = "", 0.0
                count = text.count_chars()
                for i in range(count + 1):
                    code = raw.FPDFText_GetUnicode(text.raw, i) if i < count else 32
                    _, bottom, _, top = text.get_charbox(i, loose=True) if 32 < code < 127 else (0.0, 0.0, 0.0, 0.0)
                    if word and (not 32 < code < 127 or abs(top - bottom - height) > 0.01 * height):
                        words.append((round(height, 2), word))
                        word = ""
                    word, height = (word + chr(code), top - bottom) if 32 < code < 127 else ("", 0.0)
            finally:
                text.close()
        finally:
            opened.close()
        names = [pair for pair in words if _TILE.fullmatch(pair[1])]
        return max(names)[1] if names else None

    def _walk(
        self, objects: Iterable[Any], outer: Matrix, marks: _Marks, clip: Box | None, depth: int
    ) -> Iterator[_Stroke]:
        raw = self._raw
        for item in objects:
            kind = raw.FPDFPageObj_GetType(item)
            if kind not in (raw.FPDF_PAGEOBJ_PATH, raw.FPDF_PAGEOBJ_FORM):
                if kind != raw.FPDF_PAGEOBJ_TEXT:
                    self._faults.append("it has a picture or a shading, which may cover lines")
                continue
            if kind == raw.FPDF_PAGEOBJ_PATH and self._covers(item):
                self._faults.append("it has something filled, which may cover lines")
            own = self._marks(item)
            if own is None:
                continue
            own = own.inside(marks)
            window = _both(clip, self._clip(item, outer))
            matrix = raw.FS_MATRIX()
            raw.FPDFPageObj_GetMatrix(item, matrix)
            inner = _after((matrix.a, matrix.b, matrix.c, matrix.d, matrix.e, matrix.f), outer)
            if kind == raw.FPDF_PAGEOBJ_FORM:
                if depth < 8:
                    count = raw.FPDFFormObj_CountObjects(item)
                    inside = [raw.FPDFFormObj_GetObject(item, i) for i in range(count)]
                    yield from self._walk(inside, inner, own, window, depth + 1)
            elif own.piece or own.layer in (_SCALE, _CROSSES):
                runs = self._runs(item, inner)
                if window is not None:
                    runs = tuple(part for run in runs for part in inside_box(run, window))
                if runs:
                    dashes = self._dashes(item)
                    wrong = self._unseen(item, own, inner, dashes)
                    yield _Stroke(own.piece, own.layer, runs, own.size, wrong, dashes)

    def _marks(self, item: Any) -> _Marks | None:
        """What the marks say; None round parts that are drawn a second time."""
        raw, piece, layer, size = self._raw, "", "", ""
        for i in range(raw.FPDFPageObj_CountMarks(item)):
            mark = raw.FPDFPageObj_GetMark(item, i)
            name = _text(lambda *a, m=mark: raw.FPDFPageObjMark_GetName(m, *a))
            if name == "Corners":
                return None
            if name in ("Piece", "OC"):
                held, of_size = (_text_string(mark, key) for key in (b"Name", b"Size"))
                if name == "Piece":
                    piece, size = slug(held), of_size
                elif layer not in _LAYERS:
                    layer = slug(held)
        return _Marks(piece, layer, size)

    def _covers(self, item: Any) -> bool:
        """Whether a path is filled, and large enough to hide more than a sign."""
        raw = self._raw
        fill, stroked = ctypes.c_int(), ctypes.c_int()
        raw.FPDFPath_GetDrawMode(item, fill, stroked)
        if not fill.value:
            return False
        sides = [ctypes.c_float() for _ in range(4)]
        raw.FPDFPageObj_GetBounds(item, *sides)
        left, bottom, right, top = (side.value * self._unit for side in sides)
        return (right - left) * (top - bottom) > _COVER

    def _dashes(self, item: Any) -> tuple[float, ...]:
        """The line pattern of a path, in units of its space; none where it is solid."""
        count = self._raw.FPDFPageObj_GetDashCount(item)
        if count <= 0:
            return ()
        dashes = (ctypes.c_float * count)()
        self._raw.FPDFPageObj_GetDashArray(item, dashes, count)
        return tuple(dashes)

    def _unseen(self, item: Any, marks: _Marks, matrix: Matrix, dashes: Sequence[float]) -> str:
        """Why a path does not show as a line; "" if it does."""
        raw = self._raw
        who = f"{marks.piece or marks.layer} ({marks.layer})"
        fill, stroked = ctypes.c_int(), ctypes.c_int()
        raw.FPDFPath_GetDrawMode(item, fill, stroked)
        if not stroked.value:
            return f"{who} is drawn without a pen"
        parts = [ctypes.c_uint() for _ in range(4)]
        raw.FPDFPageObj_GetStrokeColor(item, *parts)
        red, green, blue, covers = (part.value / 255 for part in parts)
        shade = (0.2126 * _linear(red) + 0.7152 * _linear(green) + 0.0722 * _linear(blue)) * covers + 1.0 - covers
        if shade > _PALE:
            return f"{who} is drawn in a colour that does not show on paper"
        if raw.FPDFPageObj_HasTransparency(item):
            return f"{who} is drawn transparent"
        width = ctypes.c_float()
        raw.FPDFPageObj_GetStrokeWidth(item, width)
        scale = abs(matrix[0] * matrix[3] - matrix[1] * matrix[2]) ** 0.5
        if width.value * scale * self._unit < _THIN:
            return f"{who} is drawn with a pen of no width"
        if sum(dashes) > 0 and sum(dashes[::2]) < 0.15 * sum(dashes):
            return f"{who} is drawn in dashes that hardly show"
        return ""

    def _clip(self, item: Any, outer: Matrix) -> Box | None:
        """The bounds of the clips round an object, mm; all of ours are upright rectangles."""
        raw = self._raw
        path = raw.FPDFPageObj_GetClipPath(item)
        box: Box | None = None
        for i in range(max(0, raw.FPDFClipPath_CountPaths(path)) if path else 0):
            count = raw.FPDFClipPath_CountPathSegments(path, i)
            points = [self._place(raw.FPDFClipPath_GetPathSegment(path, i, k), outer) for k in range(count)]
            if points:
                box = _both(box, Box.round(points))
        return box

    def _place(self, segment: Any, matrix: Matrix) -> XY:
        place_x, place_y = self._point
        self._raw.FPDFPathSegment_GetPoint(segment, place_x, place_y)
        x, y, unit = place_x.value, place_y.value, self._unit
        a, b, c, d, e, f = matrix
        return (a * x + c * y + e) * unit, (b * x + d * y + f) * unit

    def _runs(self, item: Any, matrix: Matrix) -> Runs:
        raw = self._raw
        runs: list[Run] = []
        points: list[XY] = []
        controls: list[XY] = []

        def finish(*, closed: bool) -> None:
            if len(points) > 1:
                runs.append(Run.of(points, closed=closed))
            points.clear()

        line_to, move_to = raw.FPDF_SEGMENT_LINETO, raw.FPDF_SEGMENT_MOVETO
        at, kind_of, closes = raw.FPDFPath_GetPathSegment, raw.FPDFPathSegment_GetType, raw.FPDFPathSegment_GetClose
        for i in range(raw.FPDFPath_CountSegments(item)):
            segment = at(item, i)
            kind, place = kind_of(segment), self._place(segment, matrix)
            if kind == line_to:
                points.append(place)
            elif kind == move_to:
                finish(closed=False)
                points.append(place)
            else:
                controls.append(place)
                if len(controls) == 3:
                    points.extend(_cubic(points[-1], *controls))
                    controls.clear()
            if closes(segment):
                start = points[0]
                finish(closed=True)
                points.append(start)
        finish(closed=False)
        return tuple(runs)


def _linear(value: float) -> float:
    """A part of a colour, 0 to 1, as light (CSS Color 4, 10.1)."""
    return value / 12.92 if value <= 0.04045 else float(((value + 0.055) / 1.055) ** 2.4)


def _text(call: Any) -> str:
    """What a call of PDFium's writes into a buffer of UTF-16."""
    import pypdfium2.raw as raw

    buffer, used = ctypes.create_string_buffer(1024), ctypes.c_ulong()
    if not call(ctypes.cast(buffer, ctypes.POINTER(raw.FPDF_WCHAR)), 1024, used) or used.value > 1024:
        return ""
    return buffer.raw[: used.value].decode("utf-16-le", "replace").rstrip("\0")


def _text_string(mark: Any, key: bytes) -> str:
    """A parameter of a mark, as a text string (ISO 32000-1 §7.9.2.2): PDFium itself loses letters of UTF-16 here."""
    import pypdfium2.raw as raw

    buffer, used = (ctypes.c_ubyte * 1024)(), ctypes.c_ulong()
    if not raw.FPDFPageObjMark_GetParamBlobValue(mark, key, buffer, 1024, used) or used.value > 1024:
        return ""
    data = bytes(buffer[: used.value])
    return data[2:].decode("utf-16-be", "replace") if data.startswith(b"\xfe\xff") else data.decode("latin-1")


def _after(inner: Matrix, outer: Matrix) -> Matrix:
    a, b, c, d, e, f = inner
    p, q, r, s, t, u = outer
    return a * p + b * r, a * q + b * s, c * p + d * r, c * q + d * s, e * p + f * r + t, e * q + f * s + u


def _both(one: Box | None, other: Box | None) -> Box | None:
    if one is None or other is None:
        return one or other
    return Box(
        max(one.left, other.left), max(one.bottom, other.bottom), min(one.right, other.right), min(one.top, other.top)
    )


def _cubic(a: XY, b: XY, c: XY, d: XY) -> list[XY]:
    points: list[XY] = []
    for i in range(1, _CHORDS + 1):
        t = i / _CHORDS
        s = 1.0 - t
        w = (s * s * s, 3 * s * s * t, 3 * s * t * t, t * t * t)
        points.append((sum(k * p[0] for k, p in zip(w, (a, b, c, d), strict=True)),
                       sum(k * p[1] for k, p in zip(w, (a, b, c, d), strict=True))))  # fmt: skip
    return points


def user_unit(data: bytes) -> float:
    """Of all pages; PDFium leaves it out, so it is read from their dictionaries, in the open or in packed streams.

    Raises UnreadableError for several, or one of 0.
    """
    found = set(re.findall(rb"/UserUnit\s+([\d.]+)", data))
    for match in re.finditer(rb"/ObjStm\b.{0,200}?stream\r?\n", data, re.DOTALL):
        try:
            packed = zlib.decompressobj().decompress(data[match.end() :], 10_000_000)
        except zlib.error:
            continue
        found.update(re.findall(rb"/UserUnit\s+([\d.]+)", packed))
    if len(found) > 1:
        raise UnreadableError("its pages have more than one UserUnit")
    unit = float(found.pop()) if found else 1.0
    if unit <= 0.0:
        raise UnreadableError("its UserUnit is 0")
    return unit
