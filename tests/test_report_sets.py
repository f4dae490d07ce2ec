"""The report of a size set: read by the HTML parser of the standard library, its numbers worked out again here."""

from __future__ import annotations

import re
from dataclasses import replace
from html.parser import HTMLParser
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from oaktag.checks.by_size import paragraphs, rows_by_size, worst
from oaktag.checks.run import check
from oaktag.cli.show import findings_as_text, summary
from oaktag.export.report_set import render_set
from oaktag.geometry.polygon import simplified
from oaktag.model.finding import Finding, Severity
from oaktag.model.nest import Nest
from oaktag.units import parse_length
from test_report import HOSTILE, Page
from wardrobe import CHROMIUM, IN, edge_tape, in_a_frame, nested

SVG = "{http://www.w3.org/2000/svg}"
EIGHT = ("8", "10", "12", "14", "16", "18", "20", "22")


class Tables(HTMLParser):
    """The rows of every table by its label: the words of each cell, those of a small line below after a bar."""

    def __init__(self, html: bytes) -> None:
        super().__init__()
        self.tables: dict[str, list[list[str]]] = {}
        self.label, self.inside = "", False
        self.feed(html.decode())
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag == "div":
            self.label = dict(attrs).get("aria-label") or ""
        elif tag == "tr":
            self.tables.setdefault(self.label, []).append([])
        elif tag in ("th", "td"):
            self.tables[self.label][-1].append("")
            self.inside = True
        elif tag in ("small", "br") and self.inside:
            self.tables[self.label][-1][-1] += "|"

    def handle_endtag(self, tag: str) -> None:
        if tag in ("th", "td"):
            self.inside = False

    def handle_data(self, data: str) -> None:
        if self.inside:
            self.tables[self.label][-1][-1] += data.replace("\xa0", " ")

    def row(self, label: str, head: str) -> list[str]:
        (row,) = (row[1:] for row in self.tables[label] if row[0].partition("|")[0] == head)
        return row


def findings_of(nest: Nest) -> tuple[Finding, ...]:
    return tuple(finding for pattern in nest.patterns for finding in check(pattern))


def value(cell: str) -> float:
    return float(cell.partition("|")[0].replace("−", "-"))


def in_unit(nest: Nest, unit: str) -> Nest:
    return replace(nest, patterns=tuple(replace(pattern, unit=unit) for pattern in nest.patterns))  # type: ignore[arg-type]


@pytest.fixture(scope="module")
def nest() -> Nest:
    return nested(EIGHT, "14")


@pytest.fixture(scope="module")
def whole(nest: Nest) -> bytes:
    return render_set(
        nest,
        findings_of(nest),
        files=("pattern.json", "pattern-nest.dxf", "report.html"),
        chart_title="The choir's own",
        chart_source="measured by the wardrobe room",
        extrapolated=("8", "22", "24"),
    )


def test_the_page_is_whole_and_in_its_order(whole: bytes, nest: Nest) -> None:
    page = Page(whole.decode())
    assert page.texts("h2") == [
        "Finished measurements",
        "The set",
        "Files written",
        "Chart of the sizes made",
        "Checks",
        "The pieces, stacked",
        "Grade",
        "Lengths of the edges",
        "Cut list",
        "Cloth to buy",
        "Sewing and style",
        "Cautions",
    ]
    for words in (
        "Lighthouse choir",
        "Sizes 8*, 10, 12, 14, 16, 18, 20, 22*; the base is 14.",
        "The choir's own",
        "measured by the wardrobe room",
        "The chart marks sizes 8 and 22 as extrapolated",
        "pattern-nest.dxf",
        *(f"size {size}" for size in EIGHT),
    ):
        assert words in page.words, words
    assert "24" not in page.texts("th")


def unclosed(html: str) -> list[str]:
    """Tags that are closed by another, or not at all, by the standard library's parser."""
    left: list[str] = []
    wrong: list[str] = []

    class Tags(HTMLParser):
        def handle_starttag(self, tag: str, attrs: object) -> None:
            if tag not in ("meta", "link", "br", "hr", "img", "input", "col"):
                left.append(tag)

        def handle_endtag(self, tag: str) -> None:
            if not left or left.pop() != tag:
                wrong.append(f"</{tag}> at {self.getpos()}")

        def handle_startendtag(self, tag: str, attrs: object) -> None:
            pass

    Tags().feed(html)
    return wrong or left


def test_every_tag_is_closed_and_the_steps_are_pointed_to(whole: bytes) -> None:
    html = whole.decode("utf-8")
    assert unclosed(html) == []
    assert unclosed("<p><b>x</p>") and unclosed("<section><p>x</p>")
    assert "oaktag steps --card" in re.sub(r"</?b>", "", " ".join(html.split()))


def test_every_table_has_a_column_for_each_size(whole: bytes) -> None:
    tables = Tables(whole).tables
    heads = [rows[0] for label, rows in tables.items() if rows[0][-1].startswith("22")]
    assert len(heads) >= 10
    for head in heads:
        assert head[-8:] == ["8*", "10", "12", "14|base", "16", "18", "20", "22*"]


def test_nothing_from_outside_and_no_script(whole: bytes) -> None:
    text = whole.decode().replace('xmlns="http://www.w3.org/2000/svg"', "")
    assert not re.search(r"https?:|//\w|@import|url\(|<script|javascript:", text)
    page = Page(whole.decode())
    anchors = {a["href"] for tag, a in page.elements if tag == "a"}
    ids = [a["id"] for _, a in page.elements if "id" in a]
    assert {f"#{name}" for name in ids} >= anchors and len(set(ids)) == len(ids)
    assert not {tag for tag, _ in page.elements} & {"script", "link", "img", "iframe", "object", "embed", "base"}
    assert not [name for _, a in page.elements for name in a if name == "src" or name.startswith("on")]


def test_small_and_the_same_each_time(whole: bytes, nest: Nest) -> None:
    assert len(whole) < 200_000
    assert render_set(nest, findings_of(nest)) == render_set(nest, findings_of(nest))


# ---------------------------------------------------------------- chart


def test_the_chart_in_the_makers_unit_with_its_steps(whole: bytes) -> None:
    """The choir's steps: bust 1 1/2 in a size, 38 in for size 14; so 33 1/2 in for size 8 (by hand)."""
    tables = Tables(whole)
    assert tables.row("Chart", "bust girth") == [
        "33 1/2", "35|+1 1/2", "36 1/2|+1 1/2", "38|+1 1/2", "39 1/2|+1 1/2", "41|+1 1/2", "42 1/2|+1 1/2",
        "44|+1 1/2",
    ]  # fmt: skip
    assert tables.row("Chart", "shoulder width")[:2] == ["14 3/8", "14 3/4|+3/8"]
    assert tables.row("Chart", "stature") == ["65 in every size"]
    assert "▸" not in "".join(cell for row in tables.tables["Chart"] for cell in row)
    assert "Where the interval changes" not in whole.decode()


def test_a_change_of_interval_is_marked_and_told() -> None:
    """Sizes 10, 12, 14, 18: the last step is that of two sizes, 3 in of bust and 1 in of upper arm."""
    nest = nested(("10", "12", "14", "18"), "14")
    html = render_set(nest, ())
    tables = Tables(html)
    assert tables.row("Chart", "bust girth") == ["35", "36 1/2|+1 1/2", "38|+1 1/2", "41|▸ +3"]
    assert tables.row("Chart", "upper arm girth")[-1] == "13|▸ +1"
    page = Page(html.decode())
    (told,) = (item for item in page.texts("li") if item.startswith("size 14: "))
    assert "bust girth +1 1/2 up to it, +3 after it" in told and "stature" not in told
    assert "No check was made" in page.words
    assert "Where the interval changes:" in page.words


def test_an_even_chart_has_no_changes_to_tell(whole: bytes) -> None:
    assert "Where the interval changes:" not in Page(whole.decode()).words


# ---------------------------------------------------------------- checks


def made_up(name: str, size: str, passed: bool, measured: float, message: str, severity: str = "warning") -> Finding:
    return Finding(name, Severity(severity), passed, measured, 2.0, "mm", message, size)


def test_rows_by_rule_and_place() -> None:
    findings = [
        made_up("dart.legs", "8", True, 0.1, "front: equally long."),
        made_up("dart.legs", "8", True, 0.2, "lining_back: equally long."),
        made_up("zip.reach", "8", True, 9.0, "zip: 20 in at the centre back."),
        made_up("dart.legs", "10", False, 3.0, "front: one leg is longer."),
        made_up("dart.legs", "10", True, 0.4, "lining_back: equally long."),
        made_up("zip.reach", "10", False, 5.0, "the zip is short."),
        made_up("grade.even", "", False, 5.0, "front: uneven."),
    ]
    rows = rows_by_size(findings)
    assert [(row.id, row.place, [f.measured for f in row.by_size.values()]) for row in rows] == [
        ("dart.legs", "front", [0.1, 3.0]),
        ("dart.legs", "lining back", [0.2, 0.4]),
        ("zip.reach", "", [9.0, 5.0]),
    ]
    assert [[f.size for f in row.failed] for row in rows] == [["10"], [], ["10"]]


def test_what_one_rule_finds_in_several_places_and_sizes_is_one_paragraph() -> None:
    """The worst in full, a row for each place and size; other advice is another paragraph."""
    sizes = ("8", "10", "12")
    found = [
        made_up("grade.x", "", False, 3.0, "front: the side is 3 mm short, though none is. Look at the chart."),
        made_up("grade.x", "", False, 9.0, "sleeve: the underarm is 9 mm short, though none is. Look at the chart."),
        made_up("grade.x", "", False, 4.0, "hem: it is 4 mm short. Ask for more."),
        *(made_up("body.y", size, False, 300.0, f"hip is {size} in; 9 is usual. Take it again.") for size in sizes[:2]),
        *(made_up("walk.z", size, False, 7.0, "mind the stairs") for size in sizes),
        made_up("walk.z", "8", True, 7.0, "fine"),
    ]
    one, hem, body, walk, fine = paragraphs(found)
    assert one.words(sizes).startswith("At 2 places; as told for the worst: sleeve: the underarm is 9 mm short, though")
    assert [(row.place, row.sizes, row.measured, row.limit, row.said) for row in one.rows] == [
        ("front", (), 3.0, 2.0, "the side is 3 mm short"),
        ("sleeve", (), 9.0, 2.0, "the underarm is 9 mm short"),
    ]
    assert (hem.words(sizes), hem.rows) == ("hem: it is 4 mm short. Ask for more.", ())
    assert body.words(sizes) == "Sizes 8 and 10; as told for size 8: hip is 8 in; 9 is usual. Take it again."
    assert body.rows == ()  # one number for both
    (tall,) = paragraphs([made_up("a", "8T", False, 1.0, "odd.")])
    assert tall.words(("8T", "10T")) == "Size 8T: odd."
    assert walk.words(sizes) == "Every size; as told for size 8: mind the stairs"
    assert fine.worst.passed


def test_the_command_line_prints_a_paragraph_and_its_table() -> None:
    found = [
        made_up("grade.x", "", False, 3.0, "front: the side is 3 mm short. Look."),
        made_up("grade.x", "", False, 9.0, "back: the side is 9 mm short. Look."),
        *(made_up("body.y", size, False, 250.0 + int(size), "hip is odd.") for size in ("8", "10")),
        made_up("body.y", "12", True, 1.0, "fine"),
    ]
    found = [replace(f, limit=400.0) if f.id == "body.y" else f for f in found]
    lines = findings_as_text(found, every=False, unit="in")
    assert [line.rstrip() for line in lines] == [
        "warning grade.x: At 2 places; as told for the worst: back: the side is 9 mm short. Look.",
        "        place  measured  limit",
        "        front  3 mm      2 mm",
        "        back   9 mm      2 mm",
        "warning body.y: Sizes 8 and 10; as told for size 8: hip is odd.",
        "        size  measured   limit",
        "        8     10 1/8 in  15 3/4 in",
        "        10    10 1/4 in  15 3/4 in",
    ]
    assert summary(found) == "5 checks: 1 passed, 2 warning(s) (from 4 checks)"


def test_the_gravest_of_several() -> None:
    error, warning = (made_up("a", "8", False, 1.0, "", severity) for severity in ("error", "warning"))
    assert worst([warning, error]) is Severity.ERROR and worst([warning]) is Severity.WARNING
    assert worst([replace(error, passed=True)]) is None and worst([]) is None


def test_what_failed_is_told_once_with_its_sizes() -> None:
    nest = nested(("8", "10", "12", "14", "16"))
    wrong = [
        made_up("dart.legs", size, size in ("8", "10", "12", "16"), 0.5, f"front: {size} longer.", "error")
        if size != "16"
        else made_up("dart.legs", size, False, 4.5, "front: a leg is longer.", "error")
        for size in nest.sizes
    ]
    wrong += [made_up("walk.everyday", size, False, 7.0, f"mind the stairs in {size}", "info") for size in nest.sizes]
    wrong.append(made_up("grade.even", "", False, 3.25, "sleeve: the cap grows unevenly."))
    wrong.append(made_up("grade.nodes", "", True, 0.0, "sleeve: all sizes agree."))
    html = render_set(nest, wrong)
    page, tables = Page(html.decode()), Tables(html)
    items = page.texts("li")
    assert any(
        "Error. Sizes 14 and 16; as told for size 16: front: a leg is longer." in item and "dart.legs" in item
        for item in items
    )
    assert any(
        "Remark. Every size; as told for size 8: mind the stairs in 8" in item
        and "measured 0.276 in, limit 0.079 in" in item
        for item in items
    )
    assert tables.tables["Where: dart.legs"] == [
        ["Place", "Size", "Measured", "Limit", "What"],
        ["front", "14", "0.02 in", "0.079 in", "14 longer"],
        ["front", "16", "0.177 in", "0.079 in", "a leg is longer"],
    ]
    at = [
        page.words.index(words) for words in ("Across the sizes", "grows unevenly", "In each size", "a leg is longer")
    ]
    assert at == sorted(at)
    assert page.texts("strong") == ["Do not cut yet: 1 error, 1 warning. 4 of 12 checks passed; 1 remark to read."]
    assert tables.row("Checks by size", "darts") == ["✓", "✓", "✓", "×", "×"]
    assert tables.row("Checks by size", "stride, hem, vent") == ["i"] * 5
    assert tables.row("Every check by size", "dart.legs") == [
        "0.079 in", "✓ 0.02", "✓ 0.02", "✓ 0.02", "× 0.02", "× 0.177",
    ]  # fmt: skip  # 2, 0.5 and 4.5 mm by 25.4
    assert "all sizes agree" in page.texts("details")[0]


def test_every_finding_is_on_the_page(whole: bytes, nest: Nest) -> None:
    """All that was measured, in the table of all checks: as many cells with a number as there are findings."""
    rows = Tables(whole).tables["Every check by size"][1:]
    cells = [cell for row in rows for cell in row[-8:] if cell != "–"]
    findings = findings_of(nest)
    assert len(cells) == len(findings)
    assert sum(cell.startswith("✓") for cell in cells) == sum(finding.passed for finding in findings)
    (waist,) = (row for row in rows if row[0].startswith("girth.waist"))
    # waist 30 1/2 in and 1 in of ease for size 14, 1 1/2 in less a size: 26 in + 1 in for size 8
    assert waist[2].partition("|of ")[2] == "27" and abs(value(waist[2].removeprefix("✓ ")) - 27) < 0.04


# ---------------------------------------------------------------- pictures


def numbers(path: str) -> list[tuple[float, float]]:
    return [(float(x), float(y)) for x, y in re.findall(r"(-?[\d.]+) (-?[\d.]+)", path)]


def pictures(html: bytes) -> list[ElementTree.Element]:
    return [ElementTree.fromstring(svg) for svg in re.findall(r"<figure>\n(<svg.*?</svg>)", html.decode(), re.DOTALL)]


def test_every_size_is_drawn_where_it_lies(whole: bytes, nest: Nest) -> None:
    """Against the cut lines: each drawn outline, moved back by the base's, lies on its size's."""
    found = pictures(whole)
    assert len(found) == len(nest.base_pattern.pieces)
    for svg, piece in zip(found, nest.base_pattern.pieces, strict=True):
        outlines = [path for path in svg.iter(f"{SVG}path") if "stroke-width" in path.attrib][: len(EIGHT)]
        drawn = {size: numbers(path.attrib["d"].partition("Z")[0]) for size, path in zip(EIGHT, outlines, strict=True)}
        base = piece.cut.cut_line
        x = min(p[0] for p in drawn["14"]) - min(p[0] for p in base)
        y = min(p[1] for p in drawn["14"]) + max(p[1] for p in base)
        for size, points in drawn.items():
            dx, dy = nest.shift(size, piece.name)
            meant = [(p + dx, q + dy) for p, q in nest.of(size).piece(piece.name).cut.cut_line]
            found_ring = shapely.LinearRing([(p - x, y - q) for p, q in points])
            # 0.15 mm left out, and each number rounded to 0.1 mm, here and in the base that it is moved back by
            assert found_ring.hausdorff_distance(shapely.LinearRing(meant)) < 0.15 + 2 * 0.08


def test_pictures_keep_to_their_frame_and_name_the_sizes(whole: bytes) -> None:
    for svg in pictures(whole):
        _, _, width, height = map(float, svg.attrib["viewBox"].split())
        points = [p for path in svg.iter(f"{SVG}path") for p in numbers(path.attrib["d"])]
        assert all(-0.1 <= x <= width + 0.1 and -0.1 <= y <= height + 0.1 for x, y in points)
        names = [(float(t.attrib["x"]), float(t.attrib["y"]), t.text) for t in svg.iter(f"{SVG}text")]
        assert sorted(name or "" for _, _, name in names) == sorted(EIGHT)
        ys = sorted(y for _, y, _ in names)
        size = float(next(g.attrib["font-size"] for g in svg.iter(f"{SVG}g")))
        assert all(b - a >= size for a, b in pairwise(ys)) and ys[0] >= size / 2 and ys[-1] <= height - size / 2


def test_neighbours_are_told_apart_without_colour(whole: bytes) -> None:
    key = re.findall(r'<li><svg width="60".*?</svg>(.*?)</li>', whole.decode())
    lines = re.findall(r'<li><svg width="60"[^>]*><path d="M2 6H58" (.*?)/></svg>size', whole.decode())
    assert key[:3] == ["size 8", "size 10", "size 12"] and key[3] == "size 14, the base"
    assert len({re.sub(r'stroke="#\w+"', "", line) for line in lines}) == len(EIGHT)


@settings(max_examples=80, deadline=None)
@given(
    st.lists(st.tuples(st.floats(-100, 100), st.floats(-100, 100)), min_size=3, max_size=60, unique=True),
    st.floats(0.01, 5.0),
)
def test_simplified_rings_stay_near(ring: list[tuple[float, float]], within: float) -> None:
    kept = simplified(ring, within)
    places = iter(ring)
    assert all(p in places for p in kept)  # in their order
    line = shapely.LineString([*kept, kept[0]])
    assert all(line.distance(shapely.Point(p)) <= within + 1e-9 for p in ring)


# ---------------------------------------------------------------- grade and lengths


def grade_rows(html: bytes, label: str) -> dict[str, list[list[str]]]:
    """Point -> its two rows (right, up), or the one that says that it stays."""
    found: dict[str, list[list[str]]] = {}
    at = ""
    for row in Tables(html).tables[label][1:]:
        if row[0] not in "→↑":
            at = row.pop(0)
        found.setdefault(at, []).append(row[1:])
    return found


def test_the_underarm_moves_by_a_quarter_of_the_girth(whole: bytes) -> None:
    """1 1/2 in a size: 3/8 in to the side, 0 up, stacked at centre front and bust line (grading-rules: q = 3/8 in)."""
    right, up = grade_rows(whole, "Grade of 1 front")["underarm"]
    assert [value(cell) for cell in right] == pytest.approx([0.375 * k for k in range(-3, 5)], abs=0.0006)
    assert [right[i].partition("|")[2] for i in (0, 7)] == ["−28.6", "+38.1"]  # 3 × 9.525 and 4 × 9.525 mm
    assert up == ["0"]


def test_the_waist_moves_by_a_quarter_and_the_hip_too(whole: bytes) -> None:
    rows = grade_rows(whole, "Grade of 2 back")
    for point in ("waist side", "hip side"):
        assert value(rows[point][0][4]) == pytest.approx(0.375, abs=0.0006)


@pytest.mark.parametrize("stack", ["", "shoulder_tip"])
@pytest.mark.parametrize(("unit", "per", "near"), [("in", IN, 0.0006), ("cm", 10.0, 0.006), ("mm", 1.0, 0.06)])
def test_every_point_of_the_grade_worked_out_again(nest: Nest, stack: str, unit: str, per: float, near: float) -> None:
    """The difference of the drafts, after both lie on the point of the stack (or on the bust line) at (0, 0)."""
    html = render_set(in_unit(replace(nest, stack=stack), unit), ())
    for label, name in (("Grade of 1 front", "front"), ("Grade of 2 back", "back")):
        rows = grade_rows(html, label)
        points = nest.base_pattern.piece(name).cut.piece.points
        for point in points:
            moves = []
            for size in nest.sizes:
                ends = []
                for of in (size, nest.base):
                    own = nest.of(of).piece(name).cut.piece.points
                    zero = own[stack] if stack else (0.0, own["underarm"].y)
                    ends.append((own[point].x - zero[0], own[point].y - zero[1]))
                moves.append((ends[0][0] - ends[1][0], ends[0][1] - ends[1][1]))
            told = rows[point.replace("_", " ")]
            if told == [["stays where it is"]]:
                assert max(abs(v) for move in moves for v in move) < 0.05
                continue
            for axis, row in enumerate(told):
                cells = row * len(moves) if len(row) == 1 else row
                expected = [move[axis] / per for move in moves]
                assert [value(cell) for cell in cells] == pytest.approx(expected, abs=max(near, 0.05 / per))


def test_corners_without_a_name_are_told_by_their_edges(whole: bytes) -> None:
    """The corner where vent top and vent edge meet has no name in the draft."""
    assert "vent top / vent edge" in grade_rows(whole, "Grade of 2 back")


def test_lengths_measured_with_a_tape(whole: bytes, nest: Nest) -> None:
    """Along the flattened lines (chords of 0.05 mm make them shorter by far less than 0.1 mm)."""
    rows = Tables(whole).tables["Seams"]
    names = [row[0].partition("|")[0] for row in rows]
    at = names.index("side seam")
    assert names[at : at + 4] == ["side seam", "front.side", "back.side", "sewing ease"]
    for row in rows[at + 1 : at + 3]:
        taped = [edge_tape(pattern, row[0]) / IN for pattern in nest.patterns]
        assert [value(cell) for cell in row[1:]] == pytest.approx(taped, abs=0.004)
    cap = names.index("sleeve cap")
    assert names[cap + 2] == "front.armhole + back.armhole"
    # the usual ease of the sleeve cap: 3/4 in, in every size
    assert [value(cell) for cell in rows[cap + 3][1:]] == pytest.approx([0.75] * 8, abs=0.002)
    assert rows[cap + 3][0] == "sewing ease|0.750 in meant"
    others = Tables(whole).row("Other edges", "front.hem")
    taped = [edge_tape(pattern, "front.hem") / IN for pattern in nest.patterns]
    assert [value(cell) for cell in others] == pytest.approx(taped, abs=0.004)


def test_every_edge_has_its_length(whole: bytes, nest: Nest) -> None:
    tables = Tables(whole).tables
    told = {ref for label in ("Seams", "Other edges") for row in tables[label] for ref in re.split(r" \+ |\|", row[0])}
    assert told >= {f"{p.name}.{edge.name}" for p in nest.base_pattern.pieces for edge in p.cut.piece.edges}


# ---------------------------------------------------------------- cutting and sewing


def test_cloth_of_the_front_in_each_size(whole: bytes, nest: Nest) -> None:
    """Its grain is upright: height and width of the cut line, rounded up to 1/8 in."""
    rows = Tables(whole).tables["Cut list"]
    at = next(i for i, row in enumerate(rows) if row[0].startswith("1 front|cut 1 on the fold, shell"))
    for axis, cells in ((1, rows[at][2:]), (0, rows[at + 1][1:])):
        for pattern, cell in zip(nest.patterns, cells, strict=True):
            line = [p[axis] for p in pattern.piece("front").cut.cut_line]
            size = (max(line) - min(line)) / IN
            whole_in, _, part = cell.partition(" ")
            told = float(whole_in) + (int(part.split("/")[0]) / int(part.split("/")[1]) if part else 0.0)
            assert 0 <= told - size + 1e-6 < 0.126


def test_handling_says_for_which_sizes(whole: bytes, nest: Nest) -> None:
    rows = Tables(whole).tables["Allowances and handling"]
    for row, piece in zip(rows[1:], nest.base_pattern.pieces, strict=True):
        lines = {line: None for pattern in nest.patterns for line in pattern.piece(piece.name).handling}
        for line in lines:
            some = [p.size for p in nest.patterns if line in p.piece(piece.name).handling]
            (told,) = (part for part in row[1].split("|") if part.startswith(line))
            assert (told == line) == (len(some) == len(EIGHT))
            if len(some) < len(EIGHT):
                words = re.search(r" \(sizes? (.*)\)$", told)
                assert words is not None
                named: list[str] = []
                for part in re.split(", | and ", words[1]):
                    first, _, last = part.partition(" to ")
                    named += EIGHT[EIGHT.index(first) : EIGHT.index(last or first) + 1]
                assert named == some


def test_what_differs_between_sizes_is_told_apart(whole: bytes, nest: Nest) -> None:
    lengths = [round(notion.length / IN * 8) / 8 for pattern in nest.patterns for notion in pattern.draft.notions]
    assert lengths
    words = Page(whole.decode()).words
    assert all(f"a zip, {int(mm)}" in words for mm in lengths)
    rows = Tables(whole).tables
    if len(set(lengths)) > 1:
        assert any("zip" in row[0] for row in rows["Worked out for each size"])
    assert not {row[0] for row in rows["Style"][1:]} & {
        row[0].partition("|")[0] for row in rows.get("Worked out for each size", [])[1:]
    }


# ---------------------------------------------------------------- any set


def test_many_sizes_stand_in_tables_that_a_page_holds() -> None:
    sizes = tuple(str(size) for size in range(2, 26, 2))
    html = render_set(nested(sizes, "12"), ())
    tables = Tables(html).tables
    assert [row[-1] for row in (tables["Chart, sizes 2 to 12"][0], tables["Chart, sizes 14 to 24"][0])] == [
        "12|base",
        "24",
    ]
    Page(html.decode())


def test_a_set_of_one_size_has_no_grade() -> None:
    nest = nested(("12",))
    page = Page(render_set(nest, findings_of(nest), extrapolated=("12",)).decode())
    assert "Grade" not in page.texts("h2") and "The chart marks size 12 as extrapolated" in page.words
    assert "Chart of the size" in page.words
    assert "in every size" not in page.words.partition("Chart of the size")[2].partition("Checks")[0]


@pytest.mark.parametrize("style", [{"lining": "full", "waist_seam": "yes"}, {"sleeve": "none", "facing": "all-in-one"}])
def test_other_styles(style: dict[str, object]) -> None:
    nest = nested(("10", "12", "14"), "12", **style)
    page = Page(render_set(nest, findings_of(nest)).decode())
    for piece in nest.base_pattern.pieces:
        assert f"{piece.number} {piece.name.replace('_', ' ')}" in page.words
        assert all(note in page.words for note in piece.cut.notes)
    assert all(note in page.words for note in nest.base_pattern.draft.notes)


def test_hostile_words_are_only_words() -> None:
    nest = nested(("10", "12"), "12")
    small, large = nest.patterns
    patterns = tuple(
        replace(p, title=HOSTILE, size=size, date=HOSTILE, draft=replace(p.draft, notes=(HOSTILE,), garment=HOSTILE))
        for p, size in ((small, HOSTILE), (large, "<i>"))
    )
    bad = Nest(patterns, "<i>", HOSTILE, {HOSTILE: {HOSTILE: 1.0}, "<i>": {HOSTILE: 2.0}})
    findings = [
        Finding(HOSTILE, severity, passed, 1.0, 2.0, HOSTILE, HOSTILE, size)
        for severity in Severity
        for passed in (True, False)
        for size in ("", HOSTILE, "<i>")
    ]
    html = render_set(
        bad,
        findings,
        files=(HOSTILE,),
        chart_title=HOSTILE,
        chart_source=HOSTILE,
        extrapolated=(HOSTILE,),
    ).decode()
    assert "<script" not in html and "<i>" not in html
    assert not re.search(r"[\x00-\x08\x0b-\x1f\x7f]", html)
    page = Page(html)
    plain = Page(render_set(nest, findings_of(nest), files=("x",)).decode())
    known = {tag for tag, _ in plain.elements}
    assert {tag for tag, _ in page.elements} <= known | {"h3", "ul", "mark", "small", "details", "summary"}
    assert page.texts("title")[0].startswith('<script>alert("1")</script>')


@pytest.mark.skipif(CHROMIUM is None, reason="needs Chromium")
def test_a_browser_keeps_the_page_within_a_phone(whole: bytes, tmp_path: Path) -> None:
    """Asks the browser itself: inside a frame of 420 px the page does not scroll sideways, nor do its pictures."""
    page, picture, many = in_a_frame(
        tmp_path,
        whole,
        420,
        "document.documentElement.scrollWidth",
        'Math.max(...[...document.querySelectorAll("figure svg")].map(s=>s.getBoundingClientRect().right))',
        'document.querySelectorAll("figure svg").length',
    )
    assert page <= 420 and picture <= 420 and many == 5
    (wider,) = in_a_frame(  # of what a maker reads first
        tmp_path,
        whole,
        390,
        '[...document.querySelectorAll("#finished .scroll,#set .scroll,#cut .scroll,#cloth .scroll")]'
        ".filter(d=>d.scrollWidth>d.clientWidth+1).length",
    )
    assert wider == 0


def test_finished_measurements_of_every_size(whole: bytes, nest: Nest) -> None:
    """Size 14 is ALTO: 38 in of bust and 2 in of ease, 1 1/2 in more or less a size; lengths laid off with a tape."""
    tables = Tables(whole)
    bust = [38 + 1.5 * (i - 3) for i in range(8)]
    for cell, inches in zip(tables.row("Finished measurements", "bust"), bust, strict=True):
        garment, body, ease = cell.split("|")
        assert [parse_length(words, "in") / IN for words in (garment, body)] == pytest.approx([inches + 2, inches])
        assert ease == "+ 2"
    for words, refs in (("side seam", ("front.side",)), ("armhole", ("front.armhole", "back.armhole"))):
        taped = [edge_tape(pattern, *refs) / IN for pattern in nest.patterns]
        told = [parse_length(cell, "in") / IN for cell in tables.row("Finished measurements", words)]
        assert told == pytest.approx(taped, abs=0.064)  # to 1/8 in
