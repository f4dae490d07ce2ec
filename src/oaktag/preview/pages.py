"""PDF as it will be printed: a page drawn by PDFium, and its paths counted.

Units: ISO 32000-1, 8.3.2.3: 1/72 in, times UserUnit (table 30), which PDFium leaves out.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import pairwise
from math import hypot
from typing import Any, Final

from ..geometry.point import XY
from ..values import dataclass
from ..verify.drawing import UnreadableError
from ..verify.pdf import user_unit

_POINT: Final = 25.4 / 72.0
_CHORDS: Final = 24

Matrix = tuple[float, float, float, float, float, float]


@dataclass(frozen=True, slots=True)
class Page:
    """One page: mm, and its lines as far as they are paths; `number` from 1, of `count`."""

    number: int
    count: int
    width: float
    height: float
    lines: int
    points: int
    drawn: float
    """Length of all stroked paths, mm; what a clip hides is counted too."""


def read_page(data: bytes, number: int) -> Page:
    """What one page holds. Raises UnreadableError."""
    document, unit = _opened(data)
    try:
        if not 1 <= number <= len(document):
            raise UnreadableError(f"it has {len(document)} pages, and page {number} is asked for")
        page = document[number - 1]
        try:
            width, height = page.get_size()
            lines = list(_stroked(page))
        finally:
            page.close()
        return Page(
            number,
            len(document),
            width * unit,
            height * unit,
            len(lines),
            sum(len(line) for line in lines),
            sum(hypot(b[0] - a[0], b[1] - a[1]) for line in lines for a, b in pairwise(line)) * unit,
        )
    finally:
        document.close()


def painted_page(data: bytes, number: int, dpi: float) -> Any:
    """The page as a picture of Pillow's, RGB, as many pixels an inch. Raises UnreadableError."""
    document, unit = _opened(data)
    try:
        page = document[number - 1]
        try:
            bitmap = page.render(scale=dpi / 72.0 * unit / _POINT)
            try:
                return bitmap.to_pil().convert("RGB").copy()
            finally:
                bitmap.close()
        finally:
            page.close()
    finally:
        document.close()


def _opened(data: bytes) -> tuple[Any, float]:
    """The document, and mm in a unit of it."""
    import pypdfium2

    if b"%PDF-" not in data[:1024]:
        raise UnreadableError("it does not begin as a PDF does (%PDF-)")
    try:
        document: Any = pypdfium2.PdfDocument(data)
    except pypdfium2.PdfiumError as error:
        raise UnreadableError(f"it is no PDF that can be opened ({error})") from None
    try:
        if len(document) == 0:
            raise UnreadableError("it has no page")
        return document, _POINT * user_unit(data)
    except UnreadableError:
        document.close()
        raise


def _stroked(page: Any) -> Iterator[list[XY]]:
    """The lines of every stroked path, in units of the page."""
    import pypdfium2.raw as raw

    handle = page.raw
    objects = [raw.FPDFPage_GetObject(handle, i) for i in range(raw.FPDFPage_CountObjects(handle))]
    yield from _walk(raw, objects, (1.0, 0.0, 0.0, 1.0, 0.0, 0.0), 0)


def _walk(raw: Any, objects: Iterable[Any], outer: Matrix, depth: int) -> Iterator[list[XY]]:
    import ctypes

    for item in objects:
        kind = raw.FPDFPageObj_GetType(item)
        if kind not in (raw.FPDF_PAGEOBJ_PATH, raw.FPDF_PAGEOBJ_FORM):
            continue
        m = raw.FS_MATRIX()
        raw.FPDFPageObj_GetMatrix(item, m)
        inner = _after((m.a, m.b, m.c, m.d, m.e, m.f), outer)
        if kind == raw.FPDF_PAGEOBJ_FORM:
            if depth < 8:
                count = raw.FPDFFormObj_CountObjects(item)
                yield from _walk(raw, [raw.FPDFFormObj_GetObject(item, i) for i in range(count)], inner, depth + 1)
            continue
        mode, stroked = ctypes.c_int(), ctypes.c_int()
        if raw.FPDFPath_GetDrawMode(item, mode, stroked) and stroked.value:
            yield from _lines(raw, item, inner)


def _lines(raw: Any, item: Any, m: Matrix) -> Iterator[list[XY]]:
    import ctypes

    line: list[XY] = []
    controls: list[XY] = []
    x, y = ctypes.c_float(), ctypes.c_float()
    for i in range(raw.FPDFPath_CountSegments(item)):
        segment = raw.FPDFPath_GetPathSegment(item, i)
        raw.FPDFPathSegment_GetPoint(segment, x, y)
        p = (m[0] * x.value + m[2] * y.value + m[4], m[1] * x.value + m[3] * y.value + m[5])
        kind = raw.FPDFPathSegment_GetType(segment)
        if kind == raw.FPDF_SEGMENT_MOVETO:
            if len(line) > 1:
                yield line
            line = [p]
        elif kind == raw.FPDF_SEGMENT_BEZIERTO:
            controls.append(p)
            if len(controls) == 3:
                line += _cubic(line[-1], *controls)
                controls = []
        else:
            line.append(p)
        if raw.FPDFPathSegment_GetClose(segment) and line and line[-1] != line[0]:
            line.append(line[0])
    if len(line) > 1:
        yield line


def _cubic(a: XY, b: XY, c: XY, d: XY) -> list[XY]:
    found = []
    for i in range(1, _CHORDS + 1):
        t = i / _CHORDS
        u = 1.0 - t
        w = (u * u * u, 3 * u * u * t, 3 * u * t * t, t * t * t)
        found.append(
            (
                w[0] * a[0] + w[1] * b[0] + w[2] * c[0] + w[3] * d[0],
                w[0] * a[1] + w[1] * b[1] + w[2] * c[1] + w[3] * d[1],
            )
        )
    return found


def _after(m: Matrix, outer: Matrix) -> Matrix:
    """First m, then outer."""
    a, b, c, d, e, f = m
    p, q, r, s, t, u = outer
    return (a * p + b * r, a * q + b * s, c * p + d * r, c * q + d * s, e * p + f * r + t, e * q + f * s + u)
