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
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final, TypeAlias

from ..geometry.point import XY, distance
from ..geometry.polygon import Box
from .drawing import Drawing, Measured, Named, Run, Runs, UnreadableError, inside_box, slug, squares_by_size

POINT: Final = 25.4 / 72.0
"""mm in a PDF unit."""
_SCALE: Final = "scale-block"
_CROSSES: Final = "register-marks"
_LAYERS: Final = frozenset({"cut-line", "stitch-line", _SCALE, _CROSSES})
_CHORDS: Final = 64
_TILE: Final = re.compile(r"([1-9]\d{0,2})([A-Z]{1,2})")
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


def read_pdf(path: Path, correction: Correction = STRAIGHT) -> Drawing:
    """The whole pattern on one page, on pages that are each whole, or on pages that go on at two register crosses.

    mm, y up. Raises UnreadableError.
    """
    with _Document(path, correction) as document:
        pages = [document.strokes(page) for page in range(document.pages)]
    placed, joins = _joined(pages)
    return _drawing(placed, placed, _joins(joins), in_tiles=bool(joins))


def _joined(pages: Sequence[tuple[_Stroke, ...]]) -> tuple[list[_Stroke], list[float]]:
    """Every page moved so that its lower crosses lie on the upper ones of the page before; how far they miss, mm."""
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
        dx = dy = 0.0
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
    if len({(tile.row, tile.column) for tile in tiles}) < len(tiles):
        raise UnreadableError("two of its pages print the same tile name")
    width, height = (_middle([getattr(tile.net, side) for tile in tiles]) for side in ("width", "height"))
    measured = _pitch(tiles, width, height)
    placed = [
        _moved(stroke, tile.column * width - tile.net.left, -tile.row * height - tile.net.bottom)
        for tile in tiles
        for stroke in tile.strokes
    ]
    return _drawing(placed, cover, measured, in_tiles=True)


def _drawing(
    strokes: Iterable[_Stroke], scale: Iterable[_Stroke], measured: tuple[Measured, ...], *, in_tiles: bool = False
) -> Drawing:
    roles: dict[str, dict[Named, list[Run]]] = {"cut-line": defaultdict(list), "stitch-line": defaultdict(list)}
    for stroke in strokes:
        if stroke.piece and stroke.piece != _SCALE and stroke.layer in roles:
            roles[stroke.layer][Named(stroke.piece, stroke.size)].extend(stroke.runs)
    cut, stitch = ({n: tuple(runs) for n, runs in roles[role].items()} for role in ("cut-line", "stitch-line"))
    squares = squares_by_size(run for stroke in scale if _SCALE in (stroke.piece, stroke.layer) for run in stroke.runs)
    return Drawing(cut, stitch, squares=squares, measured=measured, in_tiles=in_tiles)


def _moved(stroke: _Stroke, dx: float, dy: float) -> _Stroke:
    runs = tuple(Run(tuple((x + dx, y + dy) for x, y in run.points), run.closed) for run in stroke.runs)
    return _Stroke(stroke.piece, stroke.layer, runs, stroke.size)


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
    match = _TILE.fullmatch(name)
    assert match is not None
    row = 0
    for letter in match[2]:
        row = row * 26 + ord(letter) - ord("A") + 1
    crosses = _crosses([run for stroke in strokes if stroke.layer == _CROSSES for run in stroke.runs])
    if len(crosses) < 4:
        raise UnreadableError(f"page {page + 1} (tile {name}) has {len(crosses)} register crosses, where 4 should be")
    return _Tile(name, row - 1, int(match[1]) - 1, Box.round(crosses), strokes)


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
        self._unit = POINT * user_unit(data)
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
            raw, handle = self._raw, opened.raw
            objects = [raw.FPDFPage_GetObject(handle, i) for i in range(raw.FPDFPage_CountObjects(handle))]
            return tuple(self._walk(objects, self._outer, _Marks(), None, 0))
        finally:
            opened.close()

    def largest_tile_name(self, page: int) -> str | None:
        """The word such as 3B that is set in the largest letters; None if there is none."""
        opened = self._document[page]
        try:
            text = opened.get_textpage()
            try:
                words: list[tuple[float, str]] = []
                raw = self._raw
                word, height = "", 0.0
                for i in range(text.count_chars() + 1):
                    code = raw.FPDFText_GetUnicode(text.raw, i) if i < text.count_chars() else 32
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
                continue
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
                    yield _Stroke(own.piece, own.layer, runs, own.size)

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
        x, y = ctypes.c_float(), ctypes.c_float()
        self._raw.FPDFPathSegment_GetPoint(segment, x, y)
        a, b, c, d, e, f = matrix
        return (a * x.value + c * y.value + e) * self._unit, (b * x.value + d * y.value + f) * self._unit

    def _runs(self, item: Any, matrix: Matrix) -> Runs:
        raw = self._raw
        runs: list[Run] = []
        points: list[XY] = []
        controls: list[XY] = []

        def finish(*, closed: bool) -> None:
            if len(points) > 1:
                runs.append(Run.of(points, closed=closed))
            points.clear()

        for i in range(raw.FPDFPath_CountSegments(item)):
            segment = raw.FPDFPath_GetPathSegment(item, i)
            kind, place = raw.FPDFPathSegment_GetType(segment), self._place(segment, matrix)
            if kind == raw.FPDF_SEGMENT_MOVETO:
                finish(closed=False)
                points.append(place)
            elif kind == raw.FPDF_SEGMENT_LINETO:
                points.append(place)
            else:
                controls.append(place)
                if len(controls) == 3:
                    points.extend(_cubic(points[-1], *controls))
                    controls.clear()
            if raw.FPDFPathSegment_GetClose(segment):
                start = points[0]
                finish(closed=True)
                points.append(start)
        finish(closed=False)
        return tuple(runs)


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
