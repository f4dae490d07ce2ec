"""The PDFs, read back by pdfium, pikepdf (the object tree only) and poppler; the clipping against shapely."""

from __future__ import annotations

import ctypes
import math
import os
import re
import shutil
import subprocess
import sys
from dataclasses import dataclass
from io import BytesIO
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from oaktag.errors import DeviceError, GeometryError, InputError
from oaktag.export import pdf, tiles
from oaktag.geometry.polygon import Box
from oaktag.sheet.paper import PAPERS, Paper
from oaktag.sheet.strokes import Figure, Role, Sheet, Stroke

XY = tuple[float, float]
MM = 25.4 / 72  # of the default user unit (ISO 32000-1 §8.3.2.3)
A4 = Paper("a4", "A4", 210.0, 297.0)
needs_poppler = pytest.mark.skipif(shutil.which("pdftocairo") is None, reason="poppler is not installed")


def curved(cx: float, cy: float, rx: float, ry: float, count: int = 180) -> tuple[XY, ...]:
    turns = [2 * math.pi * i / count for i in range(count)]
    return tuple((cx + rx * math.cos(t) * (1 + 0.2 * math.sin(3 * t)), cy + ry * math.sin(t)) for t in turns)


SQUARE = ((20.0, 20.0), (120.0, 20.0), (120.0, 120.0), (20.0, 120.0))
FRONT = Figure(
    "front",
    (
        Stroke(Role.CUT, curved(330, 420, 150, 380), closed=True),
        Stroke(Role.STITCH, curved(330, 420, 140, 370)),
        Stroke(Role.FOLD, ((200.0, 100.0), (200.0, 700.0))),
        Stroke(Role.NOTCH, ((250.0, 300.0), (254.0, 300.0))),
        Stroke(Role.NOTCH, ((250.0, 310.0), (254.0, 310.0))),
        Stroke(Role.DRILL, curved(350, 267, 1.5, 1.5, 12), closed=True),  # on the edge between two rows of A4
        Stroke(Role.DART, ((350.0, 267.0), (360.0, 400.0), (370.0, 267.0))),
        Stroke(Role.INTERNAL, ((190.0, 400.0), (480.0, 405.0))),
        Stroke(Role.GRAIN, ((360.0, 100.0), (360.0, 700.0))),  # on the edge between two columns of A4
        Stroke(Role.LABEL, ((300.0, 500.0), (305.0, 515.0), (310.0, 500.0))),
    ),
)
BLOCK = Figure("scale block", (Stroke(Role.SCALE, SQUARE, closed=True), Stroke(Role.SCALE, (SQUARE[0], SQUARE[2]))))
FACING = Figure("neck facing (façade)", (Stroke(Role.CUT, curved(110, 760, 90, 40), closed=True),))
SHEET = Sheet("Lighthouse choir, alto 3", 560.0, 850.0, (FRONT, BLOCK, FACING))


# ---- an independent reading


@dataclass(frozen=True)
class Drawn:
    layer: str
    piece: str | None
    lines: tuple[tuple[XY, ...], ...]  # mm on the page; a closed one ends where it began


def mark_text(mark: object, key: bytes) -> str | None:
    import pypdfium2.raw as raw

    need = ctypes.c_ulong()
    if not raw.FPDFPageObjMark_GetParamBlobValue(mark, key, None, 0, ctypes.byref(need)):
        return None
    held = (ctypes.c_ubyte * need.value)()
    raw.FPDFPageObjMark_GetParamBlobValue(mark, key, held, need.value, ctypes.byref(need))
    text = bytes(held)  # a text string: ISO 32000-1 §7.9.2.2
    return text.decode("utf-16") if text.startswith(b"\xfe\xff") else text.decode("ascii")


def mark_name(mark: Any) -> str:
    import pypdfium2.raw as raw

    held = (ctypes.c_ushort * 64)()
    raw.FPDFPageObjMark_GetName(mark, held, 128, ctypes.byref(ctypes.c_ulong()))
    return bytes(held).decode("utf-16-le").split("\0")[0]


def drawn_on(page: Any) -> list[Drawn]:
    """All stroked paths of a page, by pdfium."""
    import pypdfium2.raw as raw

    found = []
    for thing in page.get_objects(filter=[raw.FPDF_PAGEOBJ_PATH]):
        marks = [raw.FPDFPageObj_GetMark(thing.raw, i) for i in range(raw.FPDFPageObj_CountMarks(thing.raw))]
        names = {mark_name(mark): mark_text(mark, b"Name") for mark in marks}
        lines: list[list[XY]] = []
        for i in range(raw.FPDFPath_CountSegments(thing.raw)):
            segment = raw.FPDFPath_GetPathSegment(thing.raw, i)
            x, y = ctypes.c_float(), ctypes.c_float()
            assert raw.FPDFPathSegment_GetPoint(segment, ctypes.byref(x), ctypes.byref(y))
            kind = raw.FPDFPathSegment_GetType(segment)
            assert kind in (raw.FPDF_SEGMENT_MOVETO, raw.FPDF_SEGMENT_LINETO)
            if kind == raw.FPDF_SEGMENT_MOVETO:
                lines.append([])
            lines[-1].append((x.value * MM, y.value * MM))
            if raw.FPDFPathSegment_GetClose(segment) and lines[-1][0] != lines[-1][-1]:
                lines[-1].append(lines[-1][0])
        found.append(Drawn(names["OC"] or "", names.get("Piece"), tuple(map(tuple, lines))))
    return found


def opened(content: bytes) -> Any:
    import pypdfium2

    return pypdfium2.PdfDocument(content)


def pages_of(content: bytes) -> list[list[Drawn]]:
    document = opened(content)
    return [drawn_on(page) for page in document]


def largest_words(page: Any) -> str:
    """The text in the largest letters on a page: a tile's own name."""
    import pypdfium2.raw as raw

    text = page.get_textpage()
    sizes = [raw.FPDFText_GetFontSize(text.raw, i) for i in range(text.count_chars())]
    return "".join(text.get_text_range(i, 1) for i, size in enumerate(sizes) if size == max(sizes))


def tree(content: bytes) -> Any:
    import pikepdf

    return pikepdf.open(BytesIO(content))


def line_strings(line: tuple[XY, ...], closed: bool) -> Any:
    from shapely import LineString

    return LineString((*line, line[0]) if closed else line)


# ---- one long page


def test_roll_has_the_size_of_the_sheet_and_its_margins() -> None:
    document = tree(pdf.render_roll(SHEET, margin=12.0))
    (page,) = document.pages
    for box in (page.MediaBox, page.CropBox, page.TrimBox):
        assert [float(c) * MM for c in box] == pytest.approx([0, 0, 584, 874], abs=1e-4)  # 560 + 24, 850 + 24


def test_the_100_mm_square_is_100_mm() -> None:
    ((*paths,),) = pages_of(pdf.render_roll(SHEET))
    (block,) = [d for d in paths if d.piece == "scale block"]
    square, diagonal = block.lines
    sides = [math.dist(a, b) for a, b in pairwise(square)]
    assert sides == pytest.approx([100.0] * 4, abs=1e-3)
    assert math.dist(diagonal[0], diagonal[-1]) == pytest.approx(141.4214, abs=1e-3)  # 100 times the root of 2


def test_every_stroke_is_there_under_its_piece_and_role() -> None:
    ((*paths,),) = pages_of(pdf.render_roll(SHEET, margin=10.0))
    found = {(d.piece, d.layer): d.lines for d in paths}
    assert len(found) == len(paths)  # one path for each piece and role
    for figure in SHEET.figures:
        for role in {s.role for s in figure.strokes}:
            strokes = [s for s in figure.strokes if s.role is role]
            lines = found.pop((figure.name, role.value))
            assert len(lines) == len(strokes)
            for stroke, line in zip(strokes, lines, strict=True):
                points = (*stroke.points, stroke.points[0]) if stroke.closed else stroke.points
                assert len(line) == len(points)
                assert max(math.dist((x + 10, y + 10), q) for (x, y), q in zip(points, line, strict=True)) < 1e-3
    assert not found


def test_layers_are_the_roles_in_their_order_and_all_on() -> None:
    document = tree(pdf.render_roll(SHEET))
    groups = document.Root.OCProperties
    names = [str(group.Name) for group in groups.OCGs]
    drawn = {stroke.role for figure in SHEET.figures for stroke in figure.strokes}
    assert len(drawn) == len(Role) - 2  # all but the joins of panels and the codes of rolls
    assert names == [role.value for role in Role if role in drawn]
    assert [str(g.Name) for g in groups.D.Order] == [str(g.Name) for g in groups.D.ON] == names
    assert "/OFF" not in groups.D


def test_only_used_layers_are_listed() -> None:
    document = tree(pdf.render_roll(Sheet("", 300, 300, (BLOCK,))))
    assert [str(group.Name) for group in document.Root.OCProperties.OCGs] == ["scale block"]


def test_asks_for_actual_size_and_tells_no_time() -> None:
    for content in (pdf.render_roll(SHEET), pdf.render_tiles(SHEET, A4)):
        assert content.startswith(b"%PDF-1.6")
        document = tree(content)
        wishes = document.Root.ViewerPreferences
        assert str(wishes.PrintScaling) == "/None"
        assert bool(wishes.PickTrayByPDFSize)
        assert dict(document.docinfo) == {"/Title": "Lighthouse choir, alto 3"}
        assert all("/UserUnit" not in page and "/Rotate" not in page for page in document.pages)


def test_streams_are_compressed() -> None:
    document = tree(pdf.render_tiles(SHEET, A4))
    for page in document.pages:
        assert str(page.Contents.Filter) == "/FlateDecode"


def test_same_sheet_same_bytes_in_another_process_too() -> None:
    script = (
        "import hashlib\n"
        "from oaktag.export import pdf\n"
        "from oaktag.sheet.paper import PAPERS\n"
        "from oaktag.sheet.strokes import *\n"
        "figures = tuple(Figure(name, tuple(Stroke(role, ((9., 9.), (99., 30.))) for role in Role)) for name in 'ab')\n"
        "sheet = Sheet('t', 500., 400., figures)\n"
        "print(hashlib.sha256(pdf.render_roll(sheet) + pdf.render_tiles(sheet, PAPERS['a4'])).hexdigest())\n"
    )
    seen = {
        subprocess.run(
            [sys.executable, "-c", script],
            env={**os.environ, "PYTHONHASHSEED": seed},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for seed in ("1", "2")
    }
    assert len(seen) == 1
    assert pdf.render_tiles(SHEET, A4) == pdf.render_tiles(SHEET, A4)


def test_a_roll_wider_than_readers_show_is_refused() -> None:
    with pytest.raises(
        DeviceError, match=r"^Choir robes: a page would be 6,020 mm wide, and PDF readers show 5,080 mm"
    ):
        pdf.render_roll(Sheet("Choir robes", 6000, 800.0, (BLOCK,)))


def test_a_stroke_outside_the_sheet_is_refused() -> None:
    sheet = Sheet("", 300, 100, (BLOCK,))
    with pytest.raises(GeometryError, match="scale block: the scale block reaches"):
        pdf.render_roll(sheet)
    with pytest.raises(GeometryError, match="scale block: the scale block reaches"):
        pdf.render_tiles(sheet, A4)


@pytest.mark.parametrize("name", ["front (left)", "a\\b", "façade", "前身頃", "line\nbreak"])
def test_any_piece_name_is_read_back(name: str) -> None:
    ((*paths,),) = pages_of(pdf.render_roll(Sheet("", 300, 300, (Figure(name, BLOCK.strokes),))))
    assert [d.piece for d in paths] == [name]


# ---- tiles


def reassembled(content: bytes, sheet: Sheet, pitch: tuple[float, float]) -> dict[str, list[Drawn]]:
    """Tile name -> its strokes in sheet mm. The place follows from the printed name and the register crosses alone."""
    rows = math.ceil(sheet.height / pitch[1])
    found = {}
    for page in list(opened(content))[1:]:
        name = largest_words(page)
        paths = drawn_on(page)
        if not found and not any(d.layer == "register marks" for d in paths):
            continue  # more words
        match = re.fullmatch(r"(\d+)([A-Z])", name)
        assert match
        row, column = ord(match[2]) - ord("A"), int(match[1]) - 1
        (marks,) = [d for d in paths if d.layer == "register marks"]
        level = [line for line in marks.lines if abs(line[0][1] - line[-1][1]) < 1e-3]
        upright = [line for line in marks.lines if abs(line[0][0] - line[-1][0]) < 1e-3]
        middles = sorted(
            (round(u[0][0], 4), round(v[0][1], 4))
            for u in upright
            for v in level
            if min(v[0][0], v[-1][0]) - 1e-3 <= u[0][0] <= max(v[0][0], v[-1][0]) + 1e-3
            and min(u[0][1], u[-1][1]) - 1e-3 <= v[0][1] <= max(u[0][1], u[-1][1]) + 1e-3
        )
        assert len(middles) == 4
        assert middles[2][0] - middles[0][0] == pytest.approx(pitch[0], abs=1e-3)
        assert middles[1][1] - middles[0][1] == pytest.approx(pitch[1], abs=1e-3)
        dx, dy = column * pitch[0] - middles[0][0], (rows - 1 - row) * pitch[1] - middles[0][1]
        found[name] = [
            Drawn(d.layer, d.piece, tuple(tuple((x + dx, y + dy) for x, y in line) for line in d.lines))
            for d in paths
            if d.piece is not None
        ]
    return found


@pytest.mark.parametrize("paper", sorted(PAPERS))
@pytest.mark.parametrize("overlap", [10.0, 15.0, 0.0])
def test_tiles_put_together_are_the_sheet(paper: str, overlap: float) -> None:
    from shapely import LineString, union_all

    size = PAPERS[paper]
    pitch = (size.width - 20 - overlap, size.height - 20 - overlap)  # by hand: two margins of 10 mm, one overlap
    assert tiles.tile_pitch(size, overlap, 10.0) == pytest.approx(pitch)
    pages = reassembled(pdf.render_tiles(SHEET, size, overlap=overlap, margin=10.0), SHEET, pitch)
    for figure in SHEET.figures:
        for role in {s.role for s in figure.strokes}:
            wanted = union_all([line_strings(s.points, s.closed) for s in figure.strokes if s.role is role])
            got = union_all(
                [
                    LineString(line)
                    for drawn in pages.values()
                    for d in drawn
                    if (d.piece, d.layer) == (figure.name, role.value)
                    for line in d.lines
                ]
            )
            assert wanted.difference(got.buffer(0.05)).length == 0.0  # nothing is lost
            assert got.difference(wanted.buffer(0.05)).length == 0.0  # nothing is added


def test_pattern_and_crosses_stay_off_the_margins() -> None:
    for page in pages_of(pdf.render_tiles(SHEET, A4, margin=12.0))[1:]:
        points = [p for d in page if d.piece or d.layer == "register marks" for line in d.lines for p in line]
        assert min(x for x, _ in points) >= 12 - 1e-3
        assert max(x for x, _ in points) <= 198 + 1e-3  # 210 - 12
        assert min(y for _, y in points) >= 12 - 1e-3
        assert max(y for _, y in points) <= 285 + 1e-3  # 297 - 12


def test_a_line_over_the_edge_is_on_both_pages_as_far_as_the_band() -> None:
    line = Figure("front", (Stroke(Role.CUT, ((100.0, 100.0), (300.0, 100.0))),))
    pages = reassembled(pdf.render_tiles(Sheet("", 360, 267, (line,)), A4), Sheet("", 360, 267, ()), (180.0, 267.0))
    spans = {name: sorted(x for x, _ in drawn[0].lines[0]) for name, drawn in pages.items()}
    assert spans["1A"] == pytest.approx([100, 185], abs=1e-3)  # the edge is at 180; half the band is 5
    assert spans["2A"] == pytest.approx([175, 300], abs=1e-3)


def test_blank_tiles_are_left_out_and_keep_their_names() -> None:
    marks = Figure("front", tuple(Stroke(Role.CUT, ((x, y), (x + 50, y))) for x, y in ((20.0, 20.0), (400.0, 300.0))))
    content = pdf.render_tiles(Sheet("", 540, 534, (marks,)), A4)  # 3 by 2 tiles of 180 by 267 mm
    document = opened(content)
    assert [largest_words(page) for page in list(document)[1:]] == ["3A", "1B"]
    first = document[0].get_textpage().get_text_range()
    on_map = first.partition("Page map")[2].replace("on A4", "")
    assert re.findall(r"\b\d[AB]\b", on_map) == ["1A", "2A", "3A", "1B", "2B", "3B"]
    assert "2 pages of pattern on A4" in first
    assert "page 1 of 3" in first


def test_pages_are_named_numbered_and_name_their_neighbours() -> None:
    document = opened(pdf.render_tiles(SHEET, A4, date="2 May 2031"))
    count = len(document)
    for number, page in enumerate(list(document), start=1):
        text = page.get_textpage().get_text_range()
        assert f"page {number} of {count}" in text
        assert "Lighthouse choir, alto 3" in text
        assert "2 May 2031" in text
        if number > 1:
            assert "50 mm" in text
    by_name = {largest_words(p): p.get_textpage().get_text_range() for p in list(document)[1:]}
    assert "1B: cut this strip off" in by_name["2B"]
    assert "2B: cut this strip off" in by_name["2C"]
    assert "3B lies on this strip" in by_name["2B"]
    assert "2C lies on this strip" in by_name["2B"]


def test_a_blank_neighbour_is_said_to_be_blank() -> None:
    marks = Figure("front", tuple(Stroke(Role.CUT, ((x, y), (x + 50, y))) for x, y in ((20.0, 20.0), (400.0, 300.0))))
    document = opened(pdf.render_tiles(Sheet("", 540, 534, (marks,)), A4))
    text = document[1].get_textpage().get_text_range()
    assert "2A is blank and not printed" in text
    assert "strip" not in text


def test_words_at_the_edges_stand_in_the_middle_of_the_band() -> None:
    """The strip beyond the line is 5 mm wide, and nothing else is drawn in it: so far to either side of the capital."""
    ticks = (Stroke(Role.CUT, ((x, y), (x + 5, y))) for x in (90.0, 270.0, 450.0) for y in (133.0, 400.0, 667.0))
    page = opened(pdf.render_tiles(Sheet("", 540, 801, (Figure("front", tuple(ticks)),)), A4))[5]
    assert largest_words(page) == "2B"
    text = page.get_textpage()
    found = text.get_text_range()
    for name, side, middle in (("1B", 0, 12.5), ("3B", 0, 210 - 12.5), ("2A", 1, 297 - 12.5), ("2C", 1, 12.5)):
        box = text.get_charbox(
            found.index(f"no line runs on to {name}") + 20
        )  # left, bottom, right, top, of the capital
        assert (box[side] + box[side + 2]) / 2 * MM == pytest.approx(middle, abs=0.15)


def test_a_page_without_any_room_has_its_name_and_its_words_all_the_same() -> None:
    """Lines 2 mm apart everywhere: the words lie on lines, but not on each other."""
    hatched = tuple(Stroke(Role.INTERNAL, ((1.0, y), (359.0, y))) for y in range(1, 266, 2))
    document = opened(pdf.render_tiles(Sheet("Choir", 360, 267, (Figure("front", hatched),)), A4))
    for page, name, words in zip(list(document)[1:], ("1A", "2A"), ("next: 2A", "last page"), strict=True):
        assert largest_words(page) == name
        text = page.get_textpage()
        assert words in text.get_text_range()
        boxes = [text.get_rect(i) for i in range(text.count_rects())]
        for i, (left, bottom, right, top) in enumerate(boxes):
            assert all(a >= right or c <= left or b >= top or d <= bottom for a, b, c, d in boxes[i + 1 :])


@pytest.mark.parametrize("paper", sorted(PAPERS))
def test_the_bar_and_the_scale_block_are_true(paper: str) -> None:
    first, *rest = pages_of(pdf.render_tiles(SHEET, PAPERS[paper]))
    (block,) = [d for d in first if d.layer == "scale block"]
    rings = [line for line in block.lines if len(line) == 5 and line[0] == line[-1]]
    sides = sorted(round(s, 2) for s in (math.dist(line[0], line[1]) for line in rings) if s > 20)  # not the letters
    assert sides == [100.0, 101.6]  # 10 cm and 4 in
    side = 100.0 if paper in ("a2", "a1", "a0") else 50.0
    for page in rest:
        bars = [line for d in page if d.layer == "scale block" and d.piece is None for line in d.lines]
        long = [(line[0], line[-1]) for line in bars if math.dist(line[0], line[-1]) > 40]
        across = sorted(math.dist(a, b) for a, b in long if a[1] == pytest.approx(b[1], abs=1e-3))
        up = sorted(math.dist(a, b) for a, b in long if a[0] == pytest.approx(b[0], abs=1e-3))
        inches = 101.6 if side == 100.0 else 50.8  # 4 in and 2 in
        assert across == pytest.approx([side, inches], abs=1e-3)
        assert up == pytest.approx([side, inches], abs=1e-3)
        assert len(long) == 4


@pytest.mark.parametrize("paper", sorted(PAPERS))
@pytest.mark.parametrize("cautions", [0, 2, 40])
def test_all_of_the_first_pages_lies_inside_the_margins_and_nothing_overlaps(paper: str, cautions: int) -> None:
    size = PAPERS["a4" if paper in ("a2", "a1", "a0") else paper]  # the first page of large sheets is for any printer
    said = tuple(f"Caution {i}: the sleeve cap has 31.0 mm of ease, 12 to 28 is meant." for i in range(cautions))
    sheet = Sheet("Lighthouse choir, alto 3" * (1 + cautions // 2), SHEET.width, SHEET.height, SHEET.figures)
    margin = 15.0 if cautions == 2 else 10.0
    document = opened(pdf.render_tiles(sheet, PAPERS[paper], cautions=said, margin=margin))
    seen = ""
    for page in list(document):
        text = page.get_textpage()
        if re.fullmatch(r"\d[A-Z]", largest_words(page)):
            break
        seen += " ".join(text.get_text_range().split()) + " "
        for i in range(text.count_rects()):
            left, bottom, right, top = (c * MM for c in text.get_rect(i))
            assert left >= 10 - 0.5
            assert bottom >= 10 - 0.5
            assert right <= size.width - 10 + 0.5
            assert top <= size.height - 10 + 0.5
        block = [p for d in drawn_on(page) if d.layer == "scale block" for line in d.lines for p in line]
        if block:
            box = Box.round(block)
            assert box.left >= 10 - 1e-3
            assert box.bottom >= 10 - 1e-3
            for i in range(text.count_rects()):
                left, bottom, right, top = (c * MM for c in text.get_rect(i))
                assert right <= box.left or left >= box.right or top <= box.bottom or bottom >= box.top
    assert all(f"Caution {i}:" in seen for i in range(cautions))
    assert ("Before you cut" in seen) == bool(cautions)


def test_a_line_on_an_edge_takes_one_page_only() -> None:
    sheet = Sheet("", 360, 267, (Figure("front", (Stroke(Role.FOLD, ((180.0, 20.0), (180.0, 200.0))),)),))
    tiling = tiles.cut_into_tiles(sheet, A4)
    assert [(tile.name, tile.blank) for tile in tiling.tiles] == [("1A", True), ("2A", False)]


def test_a_sheet_that_just_fits_needs_no_further_tile() -> None:
    whole = Figure("front", (Stroke(Role.CUT, ((0.0, 0.0), (360.0, 0.0), (360.0, 267.0), (0.0, 267.0)), closed=True),))
    tiling = tiles.cut_into_tiles(Sheet("", 360.0000001, 267.0, (whole,)), A4)
    assert [(tile.name, tile.blank) for tile in tiling.tiles] == [("1A", False), ("2A", False)]


@pytest.mark.parametrize(
    ("paper", "overlap", "margin"),
    [(Paper("card", "card", 90, 120), 10.0, 10.0), (A4, 10.0, -1.0), (A4, -1.0, 10.0), (A4, float("nan"), 10.0)],
)
def test_impossible_pages_are_refused(paper: Paper, overlap: float, margin: float) -> None:
    with pytest.raises(InputError):
        tiles.tile_pitch(paper, overlap, margin)


@settings(max_examples=40, deadline=None)
@given(st.text(max_size=200), st.text(max_size=40), st.lists(st.text(max_size=300), max_size=3))
def test_any_text_can_be_printed(title: str, date: str, cautions: list[str]) -> None:
    content = pdf.render_tiles(Sheet(title, 300, 300, (BLOCK,)), A4, date=date, cautions=tuple(cautions))
    assert len(opened(content)) >= 2


def test_letters_beyond_the_font_lose_their_accents_or_become_question_marks() -> None:
    document = opened(pdf.render_tiles(Sheet("“Zoë” Čapková (½) 北", 300, 300, (BLOCK,)), A4))
    assert "“Zoë” Capková (½) ?" in document[0].get_textpage().get_text_range()


# ---- clipping

NUMBERS = st.one_of(
    st.floats(-50, 150, allow_subnormal=False).map(lambda v: round(v, 3)),
    st.sampled_from([0.0, 100.0, 50.0, -1.0, 101.0]),
)
LINES = st.lists(st.tuples(NUMBERS, NUMBERS), min_size=2, max_size=12).map(tuple)
BOX = Box(0.0, 0.0, 100.0, 100.0)


def length(line: list[XY] | tuple[XY, ...]) -> float:
    return sum(math.dist(a, b) for a, b in pairwise(line))


@settings(max_examples=400)
@given(LINES)
def test_what_is_kept_is_what_lies_inside(line: tuple[XY, ...]) -> None:
    from shapely import LineString, box

    runs = tiles.clip_line(line, BOX)
    wanted = sum(LineString(pair).intersection(box(0, 0, 100, 100)).length for pair in pairwise(line))
    assert sum(map(length, runs)) == pytest.approx(wanted, abs=1e-6)
    for run in runs:
        assert len(run) >= 2
        assert all(-1e-9 <= c <= 100 + 1e-9 for p in run for c in p)


@settings(max_examples=200)
@given(LINES, st.booleans())
def test_tiles_edge_to_edge_lose_and_add_nothing(line: tuple[XY, ...], closed: bool) -> None:
    line = tuple((x * 0.999 + 0.01234, y * 0.999 + 0.02345) for x, y in line)  # off the edges, which two tiles share
    stroke = Stroke(Role.CUT, line, closed)
    bounds = Box.round(line)
    whole = length((*line, line[0]) if closed else line)
    parts = [
        tiles.clip_stroke(stroke, bounds, Box(x, y, x + 50.0, y + 50.0))
        for x in range(-100, 200, 50)
        for y in range(-100, 200, 50)
    ]
    total = sum(length((*s.points, s.points[0]) if s.closed else s.points) for part in parts for s in part)
    assert total == pytest.approx(whole, abs=1e-6)


def test_a_line_inside_stays_one_run_with_the_same_points() -> None:
    line = curved(50, 50, 30, 30)
    assert tiles.clip_line(line, BOX) == [list(line)]
    assert tiles.clip_stroke(Stroke(Role.CUT, line, True), Box.round(line), BOX) == (Stroke(Role.CUT, line, True),)


def test_an_outline_is_joined_at_its_first_point() -> None:
    square = Stroke(Role.CUT, ((50.0, 50.0), (150.0, 50.0), (150.0, 80.0), (50.0, 80.0)), closed=True)
    (run,) = tiles.clip_stroke(square, Box.round(square.points), BOX)
    assert run.points == ((100.0, 80.0), (50.0, 80.0), (50.0, 50.0), (100.0, 50.0))
    assert not run.closed


# ---- poppler


@needs_poppler
def test_poppler_draws_the_square_100_mm_wide(tmp_path: Path) -> None:
    from PIL import Image

    (tmp_path / "roll.pdf").write_bytes(
        pdf.render_roll(Sheet("", 140, 140, (Figure("b", BLOCK.strokes[:1]),)), margin=5.0)
    )
    command = ["pdftocairo", "-png", "-gray", "-r", "254", "-singlefile", "roll.pdf", "roll"]  # 10 pixels a mm
    subprocess.run(command, cwd=tmp_path, check=True)
    with Image.open(tmp_path / "roll.png") as picture:
        assert picture.size == pytest.approx((1500, 1500), abs=1)  # 140 + 2 * 5 mm
        dark = picture.convert("L").point(lambda v: 255 if v < 128 else 0).getbbox()
    assert dark is not None
    # 100 mm and half a line of 0.2 mm at either side; the square begins 20 + 5 mm from the left and from below
    assert dark == pytest.approx((249, 1500 - 1251, 1251, 1500 - 249), abs=1)


@needs_poppler
def test_poppler_reads_the_sizes_and_the_names(tmp_path: Path) -> None:
    (tmp_path / "a4.pdf").write_bytes(pdf.render_tiles(SHEET, A4))
    told = subprocess.run(["pdfinfo", "a4.pdf"], cwd=tmp_path, capture_output=True, text=True, check=True)
    assert re.search(r"^Page size: +595\.276 x 841\.89 pts \(A4\)$", told.stdout, re.M)
    assert re.search(r"^PDF version: +1\.6$", told.stdout, re.M)
    assert told.stderr == ""
    words = subprocess.run(["pdftotext", "a4.pdf", "-"], cwd=tmp_path, capture_output=True, text=True, check=True)
    for page in words.stdout.split("\f")[1:-1]:
        assert re.search(r"^[1-4][A-D]$", page, re.M)
