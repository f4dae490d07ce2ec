"""Paper: tiles put together from the PDF alone, sheets of a copy shop, rolls, layers, corrections, names of people.

Read by PDFium and by poppler; sizes of paper by ISO 216 and ANSI/ASME Y14.1.
"""

from __future__ import annotations

import json
import math
import re
import subprocess
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from io import BytesIO
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from oaktag.errors import DeviceError
from oaktag.export import pdf, tiles
from oaktag.job import load_job
from oaktag.pipeline import Result, make
from oaktag.sheet.arrange import arrange_on_sheets
from oaktag.sheet.paper import PAPERS, Paper
from oaktag.sheet.roll import LONG, roll_sheet, roll_sheets
from oaktag.sheet.strokes import Figure, Role, Sheet, Stroke
from oaktag.verify.folder import verify
from test_pdf import MM, XY, drawn_on, largest_words, opened, reassembled, tree
from wardrobe import tool

DEMO = Path(__file__).parents[1] / "fixtures/choir/alto-3.toml"
SET = Path(__file__).parents[1] / "fixtures/choir/stage-dress.toml"
A4 = PAPERS["a4"]


@cache
def made(output: str, top: str = "", only: tuple[str, ...] = ("json", "pdf")) -> Result:
    """The demo dress with other lines in [output], and at the top."""
    import tempfile

    text = DEMO.read_text(encoding="utf-8").partition("[output]")[0]
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "job.toml"
        path.write_text(f"{top}\n{text}[output]\n{output}\n", encoding="utf-8")
        return make(load_job(path), only=only)


def texts(content: bytes) -> list[str]:
    return [" ".join(page.get_textpage().get_text_range().split()) for page in opened(content)]


def outline(points: Iterable[Iterable[float]]) -> Any:
    from shapely import LinearRing

    return LinearRing([tuple(p) for p in points])


# ---- tiles, from the PDF alone

# width and height of the paper less two margins of 10 mm, and less the overlap: by hand
PITCHES = {
    ("a4", "overlap"): (180.0, 267.0),
    ("a4", "butt"): (190.0, 277.0),
    ("letter", "overlap"): (185.9, 249.4),
    ("letter", "butt"): (195.9, 259.4),
    ("a4-letter", "overlap"): (180.0, 249.0),
    ("a4-letter", "butt"): (190.0, 259.0),  # the area that A4 and US Letter both hold within 10 mm
    ("a3", "overlap"): (267.0, 390.0),
    ("a2", "butt"): (400.0, 574.0),
    ("a0", "overlap"): (811.0, 1159.0),
    ("a0", "butt"): (821.0, 1169.0),
}


@pytest.mark.parametrize(("paper", "way"), PITCHES)
def test_tiles_of_the_demo_put_together_are_its_pattern(paper: str, way: str) -> None:
    """By printed names and register marks as PDFium reads them, against pattern.json: 0.05 mm (the contract)."""
    from shapely import Point as Spot
    from shapely import union_all
    from shapely.affinity import translate

    result = made(f'paper = "{paper}"\ntiles = "{way}"')
    content = result.files[f"pattern-{paper}.pdf"]
    pitch = PITCHES[paper, way]
    names = [name for page in list(opened(content))[1:] if re.fullmatch(r"\d[A-Z]", name := largest_words(page))]
    rows = max(ord(name[-1]) - 64 for name in names)
    pages = reassembled(content, Sheet("", 1.0, rows * pitch[1] - 1, ()), pitch)
    for piece in json.loads(result.files["pattern.json"])["pieces"]:
        meant = outline(piece["cut_line"])
        runs = [
            line for drawn in pages.values() for d in drawn
            if (d.piece, d.layer) == (piece["name"], "cut line") for line in d.lines
        ]  # fmt: skip
        assert runs
        points = [p for line in runs for p in line]
        box = (
            min(x for x, _ in points),
            min(y for _, y in points),
            max(x for x, _ in points),
            max(y for _, y in points),
        )
        wide, high = box[2] - box[0], box[3] - box[1]
        if abs(wide - (meant.bounds[2] - meant.bounds[0])) > 0.05:  # laid on its side, by a quarter turn
            runs = [[(y, -x) for x, y in line] for line in runs]
            box, wide, high = (box[1], -box[2], box[3], -box[0]), high, wide
        assert (wide, high) == pytest.approx(
            (meant.bounds[2] - meant.bounds[0], meant.bounds[3] - meant.bounds[1]), abs=0.05
        )
        placed = translate(meant, box[0] - meant.bounds[0], box[1] - meant.bounds[1])
        assert max(placed.distance(Spot(p)) for line in runs for p in line) <= 0.05  # nothing is added
        from shapely import LineString

        drawn_lines = union_all([LineString(line) for line in runs])
        assert placed.difference(drawn_lines.buffer(0.05)).length < 1e-6  # and nothing is lost


@pytest.mark.parametrize("paper", ["a4-letter", "a1", "letter"])
@pytest.mark.parametrize("way", ["overlap", "butt"])
def test_verify_reads_every_paper_and_both_ways(paper: str, way: str, tmp_path: Path) -> None:
    for name, content in made(f'paper = "{paper}"\ntiles = "{way}"').files.items():
        (tmp_path / name).write_bytes(content)
    rows = verify(tmp_path / f"pattern-{paper}.pdf")
    assert [row for row in rows if not row.passed] == []
    assert len(rows) > 10


def test_a_page_shifted_against_its_marks_is_found(tmp_path: Path) -> None:
    import pikepdf

    result = made('paper = "a4"\ntiles = "butt"')
    for name, content in result.files.items():
        (tmp_path / name).write_bytes(content)
    with pikepdf.open(BytesIO(result.files["pattern-a4.pdf"])) as document:
        page = document.pages[3]
        words = page.Contents.read_bytes()
        cut = words.index(b"/OC /cut-line BDC")  # all but the guide moves by 1 mm to the right, the marks do not
        marks = words.index(b"/OC /register-marks BDC")
        words = words[:cut] + b"q 1 0 0 1 2.8346 0 cm\n" + words[cut:marks] + b"Q\n" + words[marks:]
        page.Contents = document.make_stream(words)
        document.save(tmp_path / "pattern-a4.pdf")
    assert any(not row.passed and "cut line" in row.what for row in verify(tmp_path / "pattern-a4.pdf"))


def test_one_layout_prints_on_a4_and_letter_alike() -> None:
    content = made('paper = "a4-letter"').files["pattern-a4-letter.pdf"]
    document = tree(content)
    a4, letter = (210.0, 297.0), (215.9, 279.4)  # ISO 216; ANSI/ASME Y14.1 size A
    for page in document.pages:
        width, height = (float(c) * MM for c in page.MediaBox[2:])
        # at 100 % a page lies in the middle of the paper or in a corner; wherever, it is not larger than the paper
        assert width <= min(a4[0], letter[0]) + 1e-3
        assert height <= min(a4[1], letter[1]) + 1e-3
    assert not bool(document.Root.ViewerPreferences.PickTrayByPDFSize)  # no tray holds such paper
    first = texts(content)[0]
    assert "Load A4 or US Letter" in first
    assert "24 pages of pattern on A4 or US Letter" in first


def test_sheets_of_a_copy_shop_come_with_a_first_page_for_any_printer() -> None:
    content = made('paper = "a0"').files["pattern-a0.pdf"]
    sizes = [[float(c) * MM for c in page.MediaBox[2:]] for page in tree(content).pages]
    assert sizes[0] == pytest.approx([215.9, 279.4], abs=1e-3)  # the job is in inches: Letter, 8 1/2 by 11 in
    assert all(size == pytest.approx([841.0, 1189.0], abs=1e-3) for size in sizes[1:])
    first, *rest = texts(content)
    assert "This page is for any printer. Have the others printed on A0, at 100 %" in first
    assert "nothing has to be put together" in first
    assert all("no piece runs over its edges" in text for text in rest)
    assert not any("this strip" in text for text in rest)


def rectangle(name: str, width: float, height: float) -> Figure:
    return Figure(name, (Stroke(Role.CUT, ((0, 0), (width, 0), (width, height), (0, height)), closed=True),))


RECTANGLES = st.lists(st.tuples(st.floats(20, 700), st.floats(20, 1000)), min_size=1, max_size=12).map(
    lambda sizes: [rectangle(f"piece {i}", w, h) for i, (w, h) in enumerate(sizes)]
)


@settings(max_examples=60, deadline=None)
@given(RECTANGLES, st.sampled_from(["a0", "a1"]))
def test_only_pieces_larger_than_a_sheet_run_over_its_edge(figures: list[Figure], paper: str) -> None:
    across, along = tiles.tile_pitch(PAPERS[paper])
    sheet = arrange_on_sheets("t", figures, across, along, inset=6.0)
    assert len(sheet.figures) == len(figures)
    boxes = [figure.bounds() for figure in sheet.figures]
    for i, box in enumerate(boxes):
        assert box.left >= 5.99
        assert box.right <= sheet.width - 5.99
        if box.height <= along - 12:
            row = int(box.bottom // along)
            assert box.bottom >= row * along + 5.99
            assert box.top <= (row + 1) * along - 5.99
        for other in boxes[i + 1 :]:
            apart = max(box.left - other.right, other.left - box.right, box.bottom - other.top, other.bottom - box.top)
            assert apart >= 10 - 1e-6  # the gap


# ---- the order of taping

MARKS = st.sets(st.tuples(st.integers(0, 4), st.integers(0, 4)), min_size=1, max_size=12)


def with_marks(places: Iterable[tuple[int, int]], pitch: tuple[float, float] = (180.0, 267.0)) -> Sheet:
    """Five by five tiles; a short line in the middle of the tiles at (column, row from below)."""
    lines = tuple(
        Stroke(Role.CUT, (((i + 0.4) * pitch[0], (j + 0.5) * pitch[1]), ((i + 0.6) * pitch[0], (j + 0.5) * pitch[1])))
        for i, j in sorted(places)
    )
    return Sheet("Lighthouse choir", 5 * pitch[0], 5 * pitch[1], (Figure("front", lines),))


@settings(max_examples=40, deadline=None)
@given(MARKS, st.sampled_from([0.0, 10.0]))
def test_only_pages_that_hold_something_and_each_names_the_next(places: set[tuple[int, int]], overlap: float) -> None:
    sheet = with_marks(places)
    joined = Stroke(Role.CUT, ((1.0, 1.0), (899.0, 1.0)))  # along the lowest row, so that there is something to tape
    sheet = Sheet(sheet.title, 900.0, 1335.0, (*sheet.figures, Figure("band", (joined,))))
    paper = Paper("a4", "A4", 200.0 + overlap, 287.0 + overlap)
    content = pdf.render_tiles(sheet, paper, overlap=overlap)
    document = opened(content)
    names = [largest_words(page) for page in list(document)[1:]]
    wanted = {f"{i + 1}{'EDCBA'[j]}" for i, j in places} | {f"{i}E" for i in range(1, 6)}
    wanted = sorted(wanted, key=lambda name: (name[-1], name))
    assert names == wanted  # row by row, from the top
    for name, following, text in zip(names, [*names[1:], ""], texts(content)[1:], strict=True):
        if not following:
            assert "the last page" in text
        elif following[-1] != name[-1]:
            assert f"end of row {name[-1]}; next: {following}, begins row {following[-1]}" in text
        elif int(following[:-1]) == int(name[:-1]) + 1:
            assert f"next: {following}, at the right of this page" in text
        else:
            assert f"next: {following}, further right; {int(name[:-1]) + 1}{name[-1]}" in text


@settings(max_examples=40, deadline=None)
@given(MARKS)
def test_what_neighbours_say_of_their_common_edge_agrees(places: set[tuple[int, int]]) -> None:
    line = Stroke(Role.CUT, ((20.0, 20.0), (880.0, 1300.0)))
    sheet = with_marks(places)
    tiling = tiles.cut_into_tiles(Sheet("", 900.0, 1335.0, (*sheet.figures, Figure("band", (line,)))), A4)
    for tile in tiling.tiles:
        right, below = tiling.at(tile.row, tile.column + 1), tiling.at(tile.row + 1, tile.column)
        assert right is None or tile.reaches("right") == right.reaches("left")
        assert below is None or tile.reaches("bottom") == below.reaches("top")


def test_the_first_page_lists_the_rows_as_they_are_printed() -> None:
    def line(*points: XY) -> Stroke:
        return Stroke(Role.CUT, points)

    # top row: tiles 1, 2 and 4 of 4; below it only the last two
    strokes = (line((20, 400), (300, 400)), line((600, 400), (680, 400)), line((400, 100), (700, 100)))
    content = pdf.render_tiles(Sheet("", 720.0, 534.0, (Figure("front", strokes),)), A4)
    first, one, two, four, *_ = texts(content)
    assert "Row A, pages 2 to 4: 1A to 2A; 4A" in first
    assert "Row B, pages 5 to 6: 3B to 4B" in first
    assert "Page 2 of 6 next: 2A, at the right of this page" in one
    assert "next: 4A, further right; 3A is blank" in two
    assert "end of row A; next: 3B, begins row B" in four


def test_a_long_list_of_rows_moves_to_a_page_of_its_own_and_verify_passes_over_it(tmp_path: Path) -> None:
    from oaktag.verify.pdf import read_tiled_pdf

    strip = Figure("band", (Stroke(Role.CUT, ((20.0, 20.0), (20.0, 40 * 267.0 - 20.0))),))
    content = pdf.render_tiles(Sheet("t", 180.0, 40 * 267.0, (strip,)), A4, cautions=("Mind the blade.",))
    first, second, third, *_ = texts(content)
    assert "the list is on page 2" in first
    assert "Row A, page 3: 1A" in second
    assert "Row AN, page 42: 1AN" in second  # the 40th row
    assert "page 3 of 42" in third
    (tmp_path / "pattern-a4.pdf").write_bytes(content)
    drawing = read_tiled_pdf(tmp_path / "pattern-a4.pdf")
    (runs,) = drawing.cut.values()
    ys = [y for run in runs for _, y in run.points]
    assert max(ys) - min(ys) == pytest.approx(40 * 267.0 - 40.0, abs=0.05)


def test_butt_pages_meet_at_half_diamonds_and_put_nothing_in_the_margin() -> None:
    content = made('paper = "a4"\ntiles = "butt"').files["pattern-a4.pdf"]
    first, *rest = texts(content)
    assert "Lay the edges against each other" in first
    assert any("meets this edge" in text for text in rest)
    assert not any("strip" in text for text in rest)
    for page in list(opened(content))[1:]:
        points = [p for d in drawn_on(page) for line in d.lines for p in line]
        assert min(x for x, _ in points) >= 10 - 1e-3
        assert max(x for x, _ in points) <= 200 + 1e-3
        assert min(y for _, y in points) >= 10 - 1e-3
        assert max(y for _, y in points) <= 287 + 1e-3


# ---- words and bars keep clear of the pattern


@dataclass(frozen=True)
class Item:
    """Words or a bar of a tile page: the box round it, mm, and the words ("" for a bar)."""

    words: str
    box: tuple[float, float, float, float]


def items_on(page: Any) -> list[Item]:
    """Every line of words, and the bars: lines of more than 40 mm in the layer of the scale block, by pdfium."""
    import pypdfium2.raw as raw

    text = page.get_textpage()
    found = []
    for thing in page.get_objects(filter=[raw.FPDF_PAGEOBJ_TEXT]):
        left, bottom, right, top = (c * MM for c in thing.get_bounds())
        words = text.get_text_bounded(*(c / MM for c in (left - 0.1, bottom - 0.1, right + 0.1, top + 0.1)))
        found.append(Item(" ".join(words.split()) or "?", (left, bottom, right, top)))
    for drawn in drawn_on(page):
        if drawn.layer == "scale block" and drawn.piece is None:
            for (ax, ay), *_, (bx, by) in drawn.lines:
                if math.dist((ax, ay), (bx, by)) > 40:
                    found.append(Item("", (min(ax, bx), min(ay, by), max(ax, bx), max(ay, by))))
    return found


def pattern_on(page: Any) -> Any:
    """All that is drawn of the pattern, as shapely lines; each letter of its labels as its box, grown by 1 mm."""
    import shapely

    shapes = []
    for drawn in drawn_on(page):
        for line in drawn.lines if drawn.piece is not None else ():
            own = shapely.LineString(line if len(line) > 1 else [line[0], line[0]])
            shapes.append(shapely.box(*own.bounds).buffer(1.0) if drawn.layer == "lettering" else own)
    return shapely.union_all(shapes)


def a_free_window(pattern: Any, others: Iterable[Item], area: tuple[float, ...], wide: float, high: float) -> bool:
    """Whether a box of that size touches nothing anywhere in the area: every place by 1 mm, by sums of squares."""
    import shapely
    from numpy import arange, ones, pad

    left, bottom, right, top = area
    xs, ys = arange(left + 0.5, right, 1.0), arange(bottom + 0.5, top, 1.0)
    taken = ones((len(ys), len(xs)), bool)
    ink = shapely.union_all([pattern, *(shapely.box(*one.box) for one in others)])
    shapely.prepare(ink)
    grid = shapely.box(*(c.ravel() for c in (
        xs[None, :] - 0.5 + 0 * ys[:, None], ys[:, None] - 0.5 + 0 * xs[None, :],
        xs[None, :] + 0.5 + 0 * ys[:, None], ys[:, None] + 0.5 + 0 * xs[None, :],
    )))  # fmt: skip
    taken = shapely.intersects(ink, grid).reshape(taken.shape)
    sums = pad(taken.cumsum(0).cumsum(1), ((1, 0), (1, 0)))
    w, h = math.ceil(wide), math.ceil(high)
    if w > len(xs) or h > len(ys):
        return False
    inside = sums[h:, w:] - sums[:-h, w:] - sums[h:, :-w] + sums[:-h, :-w]
    return bool((inside == 0).any())


@pytest.mark.parametrize("job", ["alto-3", "conductor", "soloist", "stage-dress"])
def test_words_and_bars_keep_clear_of_the_pattern_where_there_is_room(job: str) -> None:
    """Read back from the PDF. What touches a line or a label of the pattern must have had nowhere else to stand, with
    4 mm of air on all sides (bars: the room that their ticks and words take; words at an edge: the band that two pages
    share, their arrows and 6 mm at either end); and words never lie on words."""
    import shapely

    result = make(load_job(DEMO.with_name(f"{job}.toml")), only=("pdf",))
    (content,) = (own for name, own in result.files.items() if name.startswith("pattern-") and "roll" not in name)
    for page in list(opened(content))[1:]:
        width, height = (side * MM for side in page.get_size())
        items, pattern = items_on(page), pattern_on(page)
        for i, item in enumerate(items):
            box = shapely.box(*item.box)
            for other in items[i + 1 :]:
                assert not (item.words and other.words and shapely.box(*other.box).intersects(box)), (item, other)
            if not pattern.intersects(box):
                continue
            wide, high = item.box[2] - item.box[0], item.box[3] - item.box[1]
            if not item.words or re.fullmatch(r"\d+ (mm|in)", item.words):
                wide, high = (max(wide, 50.8), high) if wide > high else (wide, max(high, 50.8))
                wide, high = (wide + 8.0, 11.0) if wide > high else (11.0, high + 8.0)
            area = (18.0, 18.0, width - 18.0, height - 18.0)
            if re.search(r"strip|not printed|runs on|·", item.words):  # along its edge
                near = min(item.box[0], item.box[1], width - item.box[2], height - item.box[3])
                area = (24.0, 10.0, width - 24.0, 15.0) if near == item.box[1] else area
                area = (24.0, height - 15.0, width - 24.0, height - 10.0) if near == height - item.box[3] else area
                area = (10.0, 30.0, 15.0, height - 30.0) if near == item.box[0] else area
                area = (width - 15.0, 30.0, width - 10.0, height - 30.0) if near == width - item.box[2] else area
                air = (22.0, 5.0 - high) if wide > high else (5.0 - wide, 22.0)
            else:
                air = (8.0, 8.0)
            others = [one for one in items if one is not item and one.box != item.box]
            free = a_free_window(pattern, others, area, wide + air[0], high + air[1])
            assert not free, (largest_words(page), item)


# ---- rolls


def squares(sheet: Sheet) -> list[tuple[str, float]]:
    """Of each figure, the bottom of its 100 mm square."""
    return [
        (figure.name, stroke.points[0][1])
        for figure in sheet.figures for stroke in figure.strokes
        if stroke.closed and len(stroke.points) == 4 and math.dist(*stroke.points[:2]) == pytest.approx(100.0)
    ]  # fmt: skip


@settings(max_examples=60, deadline=None)
@given(RECTANGLES, st.sampled_from([600.0, 904.0, 1820.0]))
def test_a_long_roll_has_a_scale_block_at_both_ends(figures: list[Figure], width: float) -> None:
    sheet = roll_sheet("t", figures, width) if width > 704 else roll_sheet("t", figures[:1], 904.0)
    blocks = [figure for figure in sheet.figures if figure.name.startswith("scale block")]
    if len(blocks) == 1:
        assert sheet.height <= LONG
    else:
        assert blocks[0].bounds().bottom == pytest.approx(2.0)  # the edge that is kept free
        assert blocks[0].bounds().left == pytest.approx(2.0)
        assert blocks[1].bounds().top == pytest.approx(sheet.height - 2.0)
        assert blocks[1].name == "scale block, far end"
    boxes = [figure.bounds() for figure in sheet.figures]
    for i, box in enumerate(boxes):
        for other in boxes[i + 1 :]:
            assert (
                max(box.left - other.right, other.left - box.right, box.bottom - other.top, other.bottom - box.top)
                > 9.99
            )


@settings(max_examples=30, deadline=None)
@given(st.lists(st.floats(300, 1400), min_size=1, max_size=30))
def test_a_roll_too_long_is_split_between_pieces(heights: list[float]) -> None:
    figures = [rectangle(f"piece {i}", 800.0, h) for i, h in enumerate(heights)]
    sheets = roll_sheets("t", figures, 904.0, 4990.0)
    names = [figure.name for sheet in sheets for figure in sheet.figures if not figure.name.startswith("scale")]
    assert sorted(names) == sorted(figure.name for figure in figures)
    for sheet in sheets:
        assert sheet.height <= 4990.0
        assert squares(sheet)
        assert len(squares(sheet)) == (2 if sheet.height > LONG else 1)


CURTAIN = Figure("curtain", (Stroke(Role.CUT, ((0, 0), (700, 0), (720, 6000), (650, 12000), (0, 12000)), closed=True),))


def test_a_piece_longer_than_a_page_is_cut_through_at_register_crosses() -> None:
    from shapely import LineString, union_all

    sheet = roll_sheet("Choir curtain", [CURTAIN], 904.0)
    content = pdf.render_roll(sheet, margin=5.0)
    heights = [float(page.MediaBox[3]) * MM for page in tree(content).pages]
    assert len(heights) == 3
    assert max(heights) <= 5000.0
    assert [re.findall(r"J\d joins page \d", text) for text in texts(content)] == [
        ["J1 joins page 2"], ["J1 joins page 1", "J2 joins page 3"], ["J2 joins page 2"],
    ]  # fmt: skip
    placed: list[Any] = []
    top: list[XY] = []
    for page in list(opened(content)):
        drawn = drawn_on(page)
        crosses = sorted(
            {
                (round(sum(x for x, _ in line) / 2, 2), round(sum(y for _, y in line) / 2, 2))
                for d in drawn if d.layer == "register marks" for line in d.lines
            },
            key=lambda p: (p[1], p[0]),
        )  # fmt: skip
        dx, dy = (top[0][0] - crosses[0][0], top[0][1] - crosses[0][1]) if top else (0.0, 0.0)
        top = [(x + dx, y + dy) for x, y in crosses[-2:]]
        placed += [
            LineString([(x + dx, y + dy) for x, y in line])
            for d in drawn if (d.piece, d.layer) == ("curtain", "cut line") for line in d.lines
        ]  # fmt: skip
        bars = [line for d in drawn if d.layer == "scale block" and d.piece is None for line in d.lines]
        assert sum(1 for line in bars if abs(math.dist(line[0], line[-1]) - 50.0) < 1e-3) == 2  # across and up
    got = union_all(placed)
    (figure,) = [f for f in sheet.figures if f.name == "curtain"]
    meant = outline(figure.strokes[0].points)
    from shapely.affinity import translate

    meant = translate(meant, got.bounds[0] - meant.bounds[0], got.bounds[1] - meant.bounds[1])
    assert meant.hausdorff_distance(got) <= 0.05
    assert got.hausdorff_distance(meant) <= 0.05


def test_one_page_has_a_user_unit_only_above_5080_mm_and_says_what_is_safer() -> None:
    """5,080 mm are 14,400 units (PDF Reference 1.7, appendix C)."""
    long = pdf.render_roll(roll_sheet("Choir curtain", [CURTAIN], 904.0), margin=5.0, one_page=True)
    document = tree(long)
    (page,) = document.pages
    unit = float(page.UserUnit)
    assert unit == 3.0  # 12.6 m are above twice 5.08 m
    assert float(page.MediaBox[2]) * MM * unit == pytest.approx(914.0, abs=1e-2)
    assert max(float(c) for c in page.MediaBox) <= 14_400
    (words,) = texts(long)
    assert 'roll = "split" is safer' in words
    short = pdf.render_roll(Sheet("", 904.0, 5060.0, (rectangle("band", 100, 5000),)), margin=10.0, one_page=True)
    document = tree(short)
    (page,) = document.pages
    assert "/UserUnit" not in page
    assert float(page.MediaBox[3]) * MM == pytest.approx(5080.0, abs=1e-3)


@pytest.mark.parametrize("way", ["split", "one-page"])
def test_a_job_that_fills_a_long_roll_is_written_and_verified_either_way(way: str, tmp_path: Path) -> None:
    text = SET.read_text(encoding="utf-8").replace('"nested"', '"apart"').partition("[output]")[0]
    job = tmp_path / "job.toml"
    job.write_text(f'{text}[output]\nlayout = "apart"\nroll = "{way}"\nsizes = ["8", "10", "12"]\n', encoding="utf-8")
    result = make(load_job(job), only=("json", "pdf"))
    files = result.files
    assert ['roll = "split", which is safer' in note for note in result.notes] == ([True] if way == "one-page" else [])
    for name, content in files.items():
        (tmp_path / name).write_bytes(content)
    rows = verify(tmp_path / "pattern-roll.pdf")
    assert [row for row in rows if not row.passed] == []
    document = tree(files["pattern-roll.pdf"])
    pages = document.pages
    assert len(pages) == (3 if way == "split" else 1)
    assert ("/UserUnit" in pages[0]) == (way == "one-page")
    (row,) = [row for row in rows if row.what == "scale block: 100 mm square"]
    assert row.message.startswith("6 squares" if way == "split" else "2 squares")


def test_verify_finds_a_block_that_is_off_at_one_end_alone(tmp_path: Path) -> None:
    sheet = roll_sheet("t", [rectangle("band", 700.0, 2000.0)], 904.0)
    figures = []
    for figure in sheet.figures:
        strokes = figure.strokes
        if figure.name == "scale block, far end":  # 0.5 % longer along the roll, as by a feed that slips
            strokes = tuple(Stroke(s.role, tuple((x, y * 0.995) for x, y in s.points), s.closed) for s in strokes)
        figures.append(Figure(figure.name, strokes))
    from oaktag.verify.drawing import worst_of_square
    from oaktag.verify.pdf import read_pdf

    (tmp_path / "pattern-roll.pdf").write_bytes(pdf.render_roll(Sheet("t", sheet.width, sheet.height, tuple(figures))))
    found = read_pdf(tmp_path / "pattern-roll.pdf").squares
    assert [len(of) for of in found.values()] == [2, 2]
    for nominal, of in found.items():
        assert max(worst_of_square(square, nominal) for square in of) == pytest.approx(nominal * 0.005, abs=0.01)


# ---- layers


@pytest.mark.parametrize("reader", ["pdfium", "poppler"])
def test_a_size_can_be_printed_alone(reader: str, tmp_path: Path) -> None:
    """What is switched off on the screen is not printed: PDFium in its printing mode, poppler making PostScript."""
    import pikepdf
    import pypdfium2

    lines = {"10": 100.0, "12": 150.0}
    strokes = tuple(Stroke(Role.CUT, ((20.0, y), (160.0, y)), size=size) for size, y in lines.items())
    content = pdf.render_tiles(Sheet("t", 180.0, 267.0, (Figure("front", strokes),)), A4)
    with pikepdf.open(BytesIO(content)) as document:
        config = document.Root.OCProperties.D
        assert "/AS" not in config
        (off,) = [group for group in document.Root.OCProperties.OCGs if str(group.Name) == "size 12"]
        config.ON = pikepdf.Array([group for group in document.Root.OCProperties.OCGs if group != off])
        config.OFF = pikepdf.Array([off])
        held = BytesIO()
        document.save(held)
    one = held.getvalue()
    if reader == "pdfium":
        picture = pypdfium2.PdfDocument(one)[1].render(scale=2, optimize_mode=None, prefer_bgrx=False).to_pil()
        printed = pypdfium2.PdfDocument(one)[1].render(scale=2, optimize_mode="print").to_pil().convert("L")
        pictures = [picture.convert("L"), printed]
    else:
        from PIL import Image

        tool("pdftops")
        (tmp_path / "one.pdf").write_bytes(one)
        subprocess.run(["pdftops", "-f", "2", "-l", "2", "one.pdf", "one.ps"], cwd=tmp_path, check=True)
        ps = (tmp_path / "one.ps").read_text(encoding="latin-1")
        (tmp_path / "all.pdf").write_bytes(content)
        subprocess.run(["pdftops", "-f", "2", "-l", "2", "all.pdf", "all.ps"], cwd=tmp_path, check=True)
        drawn = {
            size: f"{(y + 15.0) / MM:.2f}"[:-1]  # 10 mm of margin and half the overlap
            for size, y in lines.items()
        }
        whole = (tmp_path / "all.ps").read_text(encoding="latin-1")
        assert drawn["10"] in whole and drawn["12"] in whole
        assert drawn["10"] in ps and drawn["12"] not in ps
        command = ["pdftoppm", "-r", "144", "-f", "2", "-l", "2", "-gray", "-png", "-singlefile", "one.pdf", "one"]
        subprocess.run(command, cwd=tmp_path, check=True)
        pictures = [Image.open(tmp_path / "one.png").convert("L")]
    for picture in pictures:
        for size, y in lines.items():
            at = (100.0 + 15.0) / 25.4 * 144, picture.height - (y + 15.0) / 25.4 * 144
            box = picture.crop((int(at[0]) - 4, int(at[1]) - 4, int(at[0]) + 5, int(at[1]) + 5))
            assert (box.getextrema()[0] < 100) == (size == "10")


# ---- corrections

MATRIX = (1.004, 0.002, -0.001, 0.997)  # xx, xy, yx, yy: 0.4 % across, -0.3 % up, a little skew
SAID = "corrected for home-printer: 0.4 % across"


def corrected(points: Iterable[XY], width: float, height: float) -> list[XY]:
    """By hand, about the middle of the page."""
    xx, xy, yx, yy = MATRIX
    x0, y0 = width / 2, height / 2
    return [
        (x0 + xx * (x - x0) + xy * (y - y0), y0 + yx * (x - x0) + yy * (y - y0)) for x, y in points
    ]  # fmt: skip


def placed_points(content: bytes) -> list[list[XY]]:
    """Of every page all points of its paths in mm, their matrices applied, by PDFium."""
    import pypdfium2.raw as raw

    found = []
    for page in opened(content):
        points: list[XY] = []
        for thing in page.get_objects(filter=[raw.FPDF_PAGEOBJ_PATH]):
            matrix = thing.get_matrix()
            import ctypes

            for i in range(raw.FPDFPath_CountSegments(thing.raw)):
                x, y = ctypes.c_float(), ctypes.c_float()
                raw.FPDFPathSegment_GetPoint(
                    raw.FPDFPath_GetPathSegment(thing.raw, i), ctypes.byref(x), ctypes.byref(y)
                )
                px, py = matrix.on_point(x.value, y.value)
                points.append((px * MM, py * MM))
        found.append(points)
    return found


def test_all_of_a_page_is_drawn_through_the_matrix_about_its_middle() -> None:
    sheet = with_marks({(0, 0), (1, 0), (2, 3)})
    plain, bent = (pdf.render_tiles(sheet, A4, matrix=matrix) for matrix in (None, MATRIX))
    for before, after in zip(placed_points(plain), placed_points(bent), strict=True):
        assert before
        meant = corrected(before, 210.0, 297.0)
        assert max(math.dist(a, b) for a, b in zip(meant, after, strict=True)) < 0.002


def test_a_roll_is_corrected_about_the_middle_of_its_page_and_grows_along() -> None:
    sheet = Sheet("t", 900.0, 2000.0, (rectangle("band", 700.0, 2000.0),))
    (after,) = placed_points(pdf.render_roll(sheet, margin=5.0, matrix=(1.0, 0.0, 0.0, 1.02)))
    document = tree(pdf.render_roll(sheet, margin=5.0, matrix=(1.0, 0.0, 0.0, 1.02)))
    (page,) = document.pages
    height = float(page.MediaBox[3]) * MM
    assert height == pytest.approx(2000 * 1.02 + 10, abs=1e-3)
    assert max(y for _, y in after) - min(y for _, y in after) == pytest.approx(2040.0, abs=1e-2)
    assert min(y for _, y in after) == pytest.approx(5.0, abs=1e-2)


@pytest.mark.parametrize("paper", ["a4", "letter", "a4-letter", "legal", "a3", "tabloid"])
@pytest.mark.parametrize("matrix", [(1.03, 0.0, 0.0, 1.03), (0.97, 0.0, 0.0, 0.97), (1.0, 0.005, 0.0, 1.0)])
def test_corrections_of_three_hundredths_stay_on_home_paper(paper: str, matrix: tuple[float, ...]) -> None:
    xx, xy, yx, yy = matrix
    size = PAPERS[paper]
    content = pdf.render_tiles(with_marks({(0, 0), (4, 4)}), size, matrix=(xx, xy, yx, yy), said=SAID)
    for points in placed_points(content):
        assert min(x for x, _ in points) >= 3.0
        assert max(x for x, _ in points) <= size.width - 3.0
        assert min(y for _, y in points) >= 3.0
        assert max(y for _, y in points) <= size.height - 3.0
    for text in texts(content):
        assert SAID in text or f"{SAID[:1].upper()}{SAID[1:]}" in text
    (roll,) = texts(pdf.render_roll(Sheet("t", 400, 500, (rectangle("band", 200, 300),)), said=SAID))
    assert SAID in roll


def test_a_correction_that_leads_off_the_paper_is_refused() -> None:
    sheet = with_marks({(0, 0)})
    with pytest.raises(DeviceError, match=r"A0 would be drawn on to within -?\d+\.\d mm of the paper's edge"):
        pdf.render_tiles(sheet, PAPERS["a0"], matrix=(1.03, 0.0, 0.0, 1.03))
    with pytest.raises(DeviceError, match="a roll of this width"):
        pdf.render_roll(Sheet("t", 904.0, 300.0, (rectangle("band", 904, 300),)), margin=5.0, matrix=(1.03, 0, 0, 1.0))


# ---- names of people


def everything(content: bytes, name: str) -> str:
    """All that a file says: its bytes as text, and of a PDF the text of its pages and its unpacked streams."""
    import pikepdf

    held = content.decode("utf-8", "replace") + content.decode("utf-16-be", "replace")
    if name.endswith(".pdf"):
        held += " ".join(texts(content))
        with pikepdf.open(BytesIO(content)) as document:
            for thing in document.objects:
                if isinstance(thing, pikepdf.Stream):
                    held += thing.read_bytes().decode("latin-1")
            held += str(dict(document.docinfo))
    return held


def test_a_clients_name_is_in_no_file_unless_it_is_asked_for() -> None:
    client = 'client = "Ottoline Quillfeather"'  # invented
    plain = made('paper = "letter"', client, only=()).files
    assert len(plain) == 7
    for name, content in plain.items():
        assert "Quillfeather" not in everything(content, name), name
    asked = made('paper = "letter"\nprint_client = true', client, only=()).files
    for text in texts(asked["pattern-letter.pdf"]):
        assert "Lighthouse choir, alto 3, Ottoline Quillfeather" in text or "Ottoline" in text
    label = json.loads(asked["pattern.json"])["pieces"][0]["label"]
    assert "Ottoline Quillfeather" in " ".join(label)
    assert len(plain["pattern.plt"]) < len(asked["pattern.plt"])  # lettered with the name


# ---- lines told apart without colour


def test_every_kind_of_line_has_its_own_dashes_or_width() -> None:
    from oaktag.export.svg import STYLES

    looks = {role: (round(style.width, 3), style.dashes) for role, style in STYLES.items() if role is not Role.SCALE}
    lines = [role for role in looks if role not in (Role.NOTCH, Role.DRILL, Role.LABEL, Role.GRAIN)]  # those have forms
    for a, b in pairwise(sorted(looks[role] for role in lines)):
        assert a != b


# ---- clipping in parts

COORDINATES = st.floats(-50, 150, allow_subnormal=False).map(lambda v: round(v, 3))
LONG_LINES = st.lists(st.tuples(COORDINATES, COORDINATES), min_size=2, max_size=90).map(tuple)


@settings(max_examples=200, deadline=None)
@given(LONG_LINES, st.booleans(), st.sampled_from([None, (), (3.0, 1.0)]))
def test_parts_of_a_line_that_are_judged_together_change_nothing(
    line: tuple[XY, ...], closed: bool, dashes: tuple[float, ...] | None
) -> None:
    from oaktag.geometry.polygon import Box

    stroke = Stroke(Role.CUT, line, closed, "", dashes)
    points = (*line, line[0]) if closed else line
    bounds, box = Box.round(line), Box(0.0, 0.0, 100.0, 100.0)
    found = tiles.clip_stroke(stroke, bounds, box, tiles.walk(stroke), tiles.chunks_of(points))
    assert found == tiles.clip_stroke(stroke, bounds, box)


@settings(max_examples=100, deadline=None)
@given(st.lists(st.tuples(COORDINATES, COORDINATES), min_size=2, max_size=30, unique=True).map(tuple), st.booleans())
def test_dashes_go_on_where_a_run_begins(line: tuple[XY, ...], closed: bool) -> None:
    """How far along a run begins is measured on the line itself, by shapely; lines that cross themselves may differ."""
    from shapely import LineString, Point

    from oaktag.geometry.polygon import Box

    whole = LineString((*line, line[0]) if closed else line)
    stroke = Stroke(Role.CUT, line, closed, "", (7.0, 3.0), phase=2.0)
    for run in tiles.clip_stroke(stroke, Box.round(line), Box(0.0, 0.0, 100.0, 100.0)):
        if run is not stroke and whole.is_simple and not closed:
            wanted = (2.0 + whole.project(Point(run.points[0]))) % 10.0
            off = abs(run.phase - wanted)
            assert min(off, 10.0 - off) < 1e-6
