"""The stretch card, read back by PDFium: its rulers read what a tape would, its square is true."""

from __future__ import annotations

from io import BytesIO

import pypdfium2 as pdfium
import pytest

from by_the_tape import number, worked
from oaktag.export.stretch_card import render
from oaktag.sheet.paper import PAPERS
from oaktag.units import INCH, Unit

MM = 25.4 / 72


def _lines(page: pdfium.PdfPage) -> list[tuple[tuple[float, float], ...]]:
    """Each stroke on the page, in mm, by its ends: what PDFium finds in the paths."""
    import ctypes

    import pypdfium2.raw as raw

    strokes = []
    for item in page.get_objects(filter=[raw.FPDF_PAGEOBJ_PATH]):
        points: list[tuple[float, float]] = []
        for k in range(raw.FPDFPath_CountSegments(item.raw)):
            part = raw.FPDFPath_GetPathSegment(item.raw, k)
            x, y = ctypes.c_float(), ctypes.c_float()
            raw.FPDFPathSegment_GetPoint(part, x, y)
            if raw.FPDFPathSegment_GetType(part) == raw.FPDF_SEGMENT_MOVETO and points:
                strokes.append(tuple(points))
                points = []
            points.append((x.value * MM, y.value * MM))
        strokes.append(tuple(points))
    return strokes


@pytest.mark.parametrize(
    ("unit", "paper", "rest"), [("cm", "a4", 100.0), ("in", "letter", 4 * INCH), ("cm", "a4-letter", 100.0)]
)
def test_its_rulers_read_the_stretch(unit: Unit, paper: str, rest: float) -> None:
    """gw-182 to 185: (stretched − rest) ÷ rest: 10 pulled to 14 reads 40. Each word stands over its own tick."""
    page = pdfium.PdfDocument(BytesIO(render(PAPERS[paper], unit)))[0]
    assert (page.get_width() * MM, page.get_height() * MM) == pytest.approx(
        (PAPERS[paper].height, PAPERS[paper].width), abs=0.1
    )
    strokes = _lines(page)
    upright = [s for s in strokes if len(s) == 2 and abs(s[0][0] - s[1][0]) < 0.01]
    posts = sorted(
        (s for s in upright if abs(s[1][1] - s[0][1]) == pytest.approx(13.0, abs=0.05)),
        key=lambda s: (-s[0][1], s[0][0]),
    )
    for (zero, mark), base in zip((posts[:2], posts[2:]), (rest, rest / 2), strict=True):
        assert mark[0][0] - zero[0][0] == pytest.approx(base, abs=0.05)
        low = zero[0][1] + 3
        ticks = {
            round((s[0][0] - zero[0][0]) / base * 100 - 100, 2)
            for s in upright
            if s[0][1] == pytest.approx(low, abs=0.05)
        }
        for row in (worked()[f"gw-{k}"] for k in (182, 185)):
            read = float(row["value"])
            at = number(row, "stretched") / number(row, "rest") * 100 - 100
            assert at == pytest.approx(read)
            assert any(abs(tick - read) <= (0.05 if base == rest or read % 2 == 0 else 1.05) for tick in ticks), (
                read,
                sorted(ticks),
            )
    square = next(s for s in strokes if len(s) == 5)
    side = 2 * INCH if unit == "in" else 50.0
    assert square[0][0] - square[1][0] == pytest.approx(side, abs=0.05)
    assert square[2][1] - square[1][1] == pytest.approx(side, abs=0.05)
    assert all(0 < x < PAPERS[paper].height and 0 < y < PAPERS[paper].width for s in strokes for x, y in s)


def test_nothing_lies_over_a_word() -> None:
    """Words that PDFium reads keep apart from each other."""
    for unit, paper in (("cm", "a4"), ("in", "letter"), ("in", "a4-letter")):
        page = pdfium.PdfDocument(BytesIO(render(PAPERS[paper], unit)))[0]
        text = page.get_textpage()
        boxes = [text.get_rect(k) for k in range(text.count_rects())]
        for k, a in enumerate(boxes):
            for b in boxes[k + 1 :]:
                apart = a[2] <= b[0] + 0.5 or b[2] <= a[0] + 0.5 or a[3] <= b[1] + 0.5 or b[3] <= a[1] + 0.5
                assert apart, (a, b)
