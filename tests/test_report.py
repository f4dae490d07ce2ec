"""The report, read by the HTML parser of the standard library; where Chromium is at hand, laid out by it too."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from oaktag.body.measurements import Measurements
from oaktag.checks.run import check
from oaktag.draft.garment import find_garment
from oaktag.draft.options import ChoiceOption, LengthOption, validated
from oaktag.draft.steps_words import step_line, step_lines
from oaktag.errors import Where
from oaktag.export.report import render
from oaktag.finish.allowances import allow
from oaktag.finish.marks import mark
from oaktag.model.draft import Notion, Step
from oaktag.model.finding import Finding, Severity
from oaktag.model.pattern import CutPiece, Pattern
from oaktag.model.piece import cut_words
from oaktag.sheet.drawing import label_box
from oaktag.sheet.scale_block import SENTENCE
from oaktag.units import Unit, show
from samples import sample_pattern
from wardrobe import CHROMIUM, edge_tape, in_a_frame, tape, with_cut

VOID = {"meta", "br", "link", "img", "hr", "input", "path", "circle"}
MEASURED = {
    "bust_girth": 965.2,
    "waist_girth": 774.7,
    "hip_girth": 1041.4,
    "shoulder_width": 393.7,
    "back_waist_length": 406.4,
    "front_waist_length": 431.8,
    "upper_arm_girth": 292.1,
}


class Page(HTMLParser):
    """Every element must be closed in its turn; keeps the words, the elements, and the words inside each kind."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.words, self.elements, self.open = "", list[tuple[str, dict[str, str | None]]](), list[str]()
        self.inside: dict[str, list[str]] = {}
        self.feed(html)
        self.close()
        assert self.open == []
        self.words = self._plain(self.words)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, dict(attrs)))
        self.inside.setdefault(tag, []).append("")
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if "style" in self.open:
            return
        self.words += data
        for tag in set(self.open):
            self.inside[tag][-1] += data

    @staticmethod
    def _plain(words: str) -> str:
        return re.sub(r"\s+", " ", words)

    def texts(self, tag: str) -> list[str]:
        return [self._plain(words).strip() for words in self.inside.get(tag, [])]


def dress(unit: Unit = "in", **style: object) -> tuple[Pattern, tuple[Finding, ...]]:
    garment = find_garment("sheath-dress")
    full, errors = validated(garment.options, style, "in", Where)
    assert not errors
    draft = garment.drafted(Measurements(MEASURED, typed={"hip_girth": "104.14 cm", "bust_girth": "38"}), full, unit)
    pattern = mark(
        allow(draft, {}),
        title="Lighthouse choir, alto 3",
        size="measured",
        size_words="made to measure",
        unit=unit,
        label_box=label_box,
        date="2031-05-04",
    )
    return pattern, check(pattern)


def page_of(pattern: Pattern, findings: tuple[Finding, ...], *, files: tuple[str, ...] = ()) -> Page:
    return Page(render(pattern, findings, size_words="made to measure", files=files).decode("utf-8"))


def in_inches(message: str) -> str:
    """What a check says in mm, in thousandths of an inch, idle zeros left out."""
    return re.sub(
        r"([-+]?)(\d+(?:\.\d+)?) mm\b",
        lambda m: (
            re.sub(r"[-+]?0\.000|(?<=\.)(\d*?)0+$", r"\1", f"{m[1]}{float(m[2]) / 25.4:.3f}").rstrip(".") + " in"
            if round(float(m[2]) / 25.4, 3)
            else "0 in"
        ),
        message,
    )


def told(severity: Severity, passed: bool, message: str = "words") -> Finding:
    return Finding("seam.side", severity, passed, 1.0, 0.5, "mm", message)


@pytest.fixture(scope="module")
def whole() -> tuple[Pattern, tuple[Finding, ...], bytes, Page]:
    pattern, findings = dress()
    html = render(pattern, findings, size_words="made to measure", files=("pattern.dxf", "report.html"))
    return pattern, findings, html, Page(html.decode("utf-8"))


def test_everything_that_was_found_and_drafted_is_told(
    whole: tuple[Pattern, tuple[Finding, ...], bytes, Page],
) -> None:
    pattern, findings, _, page = whole
    assert pattern.draft.assumed and pattern.draft.notes and findings and pattern.draft.steps
    for words in (
        SENTENCE,
        pattern.title,
        "sheath dress",
        "size: made to measure",
        "2031-05-04",
        "pattern.dxf",
        *(in_inches(finding.message) for finding in findings),
        *(finding.id for finding in findings),
        *pattern.draft.notes,
        *pattern.draft.assumed,
        *(note for piece in pattern.pieces for note in piece.cut.notes),
        *(piece.name.replace("_", " ") for piece in pattern.pieces),
        *(cut_words(piece.cut.piece) for piece in pattern.pieces),
        *(option.words for option in find_garment("sheath-dress").options),
    ):
        assert words in page.words, words


def test_the_sections_stand_in_the_order_in_which_a_cutter_needs_them(
    whole: tuple[Pattern, tuple[Finding, ...], bytes, Page],
) -> None:
    assert whole[3].texts("h2") == [
        "Finished measurements",
        "Before you cut",
        "Checks",
        "Cut list",
        "Cloth to buy",
        "Measurements and style",
        "Worked steps",
        "Chalk card",
        "Files written",
        "Cautions",
    ]


def test_the_steps_are_those_that_the_command_line_prints(
    whole: tuple[Pattern, tuple[Finding, ...], bytes, Page],
) -> None:
    pattern, _, _, page = whole
    lines = step_lines(pattern.draft.steps, "in")
    items = page.texts("li")
    at = items.index(lines[1].strip())
    indented = [line.strip() for line in lines if line.startswith("  ")]
    assert items[at : at + len(indented)] == indented
    headings = page.texts("h3")
    assert [heading for heading in headings if heading in lines] == [line for line in lines if line[0] != " "]
    assert page.words.count("Inches are rounded to the nearest 1/8") == 1


def test_step_lines_by_hand() -> None:
    """42 in ÷ 6 + 1 in + 1 1/2 in = 9 1/2 in = 241.3 mm; 101 mm = 3.976 in, about 4 in: all by hand."""
    steps = (
        Step("front", "chest line", "bust girth ÷ 6 + {a} + {b}", 241.3, {"a": 25.4, "b": 38.1}),
        Step("facing_front", "outer edge", "curve, so long", 101.0),
        Step("front", "waist line", "back waist length", 406.4),
    )
    assert step_lines(steps, "in") == [
        "front",
        "  chest line = bust girth ÷ 6 + 1 in + 1 1/2 in = 9 1/2 in",
        "  waist line = back waist length = 16 in",
        "facing front",
        "  outer edge = curve, so long = about 4 in",
    ]
    # 25.4 mm is 2.5 cm, 38.1 mm 3.8 cm, 241.3 mm 24.1 cm: moved by 0.3 mm
    assert step_line(steps[0], "cm") == "chest line = bust girth ÷ 6 + 2.5 cm + 3.8 cm = about 24.1 cm"
    assert step_line(steps[1], "mm") == "outer edge = curve, so long = 101 mm"
    assert step_lines((), "in") == []


@pytest.mark.parametrize(
    ("findings", "verdict"),
    [
        ((), "No check was made of this pattern."),
        ((told(Severity.ERROR, True),), "The one check passed."),
        ((told(Severity.ERROR, True), told(Severity.INFO, True)), "All 2 checks passed."),
        (
            (told(Severity.WARNING, False), told(Severity.ERROR, True)),
            "1 warning: read before you cut. 1 of 2 checks passed.",
        ),
        (
            (told(Severity.WARNING, False), told(Severity.ERROR, False), told(Severity.ERROR, False)),
            "Do not cut yet: 2 errors, 1 warning. 0 of 3 checks passed.",
        ),
        (
            (told(Severity.INFO, False), told(Severity.ERROR, True)),
            "No errors, no warnings. 1 of 2 checks passed; 1 remark to read.",
        ),
    ],
)
def test_verdict(findings: tuple[Finding, ...], verdict: str) -> None:
    page = page_of(sample_pattern(), findings)
    assert page.texts("strong") == [verdict]


def test_what_did_not_pass_stands_before_and_outside_the_folded_table() -> None:
    findings = (
        told(Severity.ERROR, True, "all is well"),
        told(Severity.INFO, False, "worth knowing"),
        told(Severity.WARNING, False, "worth mending"),
        told(Severity.ERROR, False, "must be mended"),
    )
    page = page_of(sample_pattern(), findings)
    at = [page.words.index(words) for words in ("must be mended", "worth mending", "worth knowing", "all is well")]
    assert at == sorted(at)
    assert [word for word in ("Error.", "Warning.", "Remark.") if word not in page.words] == []
    folded, *_ = page.texts("details")
    assert "all is well" in folded
    assert not any(words in folded for words in ("mended", "mending", "knowing"))


def test_numbers_of_the_checks_keep_their_sign() -> None:
    finding = Finding("seam.side", Severity.ERROR, True, -0.0625, -0.5, "mm", "short")
    never = Finding("walk.stride", Severity.ERROR, True, -0.0, float("inf"), "mm", "no limit")
    cells = page_of(replace(sample_pattern(), unit="mm"), (finding, never)).texts("td")
    assert cells[:5] == ["short", "−0.062", "−0.5", "mm", "seam.side"]  # halves go to the even digit
    assert cells[5:10] == ["no limit", "0", "none", "mm", "walk.stride"]


def test_checks_tell_an_inch_report_no_millimetres() -> None:
    """25.4 mm are an inch (1959): 152.4 mm are 6 in, 260 mm 10.236 in, 1.27 mm 0.05 in."""
    worn = Finding("walk.everyday", Severity.INFO, False, 152.4, 260.0, "mm", "the legs differ by 1.27 mm")
    fine = Finding("seam.side", Severity.ERROR, True, 0.0254, 0.508, "mm", "worst +0.254 mm")
    angle = Finding("corner.true", Severity.ERROR, True, 2.5, 8.0, "degrees", "it turns")
    page = page_of(sample_pattern(), (worn, fine, angle))
    assert "Remark. the legs differ by 0.05 inwalk.everyday: measured 6 in, limit 10.236 in" in page.texts("li")[0]
    assert page.texts("td")[:5] == ["worst +0.01 in", "0.001", "0.02", "in", "seam.side"]
    assert page.texts("td")[5:10] == ["it turns", "2.5", "8", "degrees", "corner.true"]
    in_cm = page_of(replace(sample_pattern(), unit="cm"), (worn,))
    assert "differ by 0.13 cmwalk.everyday: measured 15.24 cm, limit 26 cm" in in_cm.texts("li")[0]


def finished_rows(pattern: Pattern) -> dict[str, list[str]]:
    """Of the table of finished measurements: words -> body, ease, garment."""
    html = render(pattern, (), size_words="").decode("utf-8").replace("\xa0", " ")
    table = re.search(r'aria-label="Finished measurements".*?</table>', html, re.DOTALL)
    assert table is not None
    rows = re.findall(r'<tr><th scope="row">(.*?)</th>(.*?)</tr>', table[0])
    return {words: re.findall(r"<td[^>]*>(.*?)</td>", cells) for words, cells in rows}


def test_finished_measurements_by_hand() -> None:
    """Bust, waist and hip by the quarter method: the body and the ease that was asked for; the biceps likewise.

    A waist line 16 in below the top line; a dress of 40 in; the neck 1 in deep behind and 3 1/2 in (with the hem's
    2 in of allowance left out: a tape is laid on the stitch line) are read off the stitch line's own points.
    """
    pattern, _ = dress(ease_bust=3, sleeve="short", length=40)
    rows = finished_rows(pattern)
    assert rows["bust"] == ["38 in", "3 in", "41 in"]
    assert rows["waist"] == ["30 1/2 in", "1 in", "31 1/2 in"]
    assert rows["hip"] == ["41 in", "2 in", "43 in"]
    assert rows["biceps"] == ["11 1/2 in", "2 in", "13 1/2 in"]  # 292.1 mm = 11.5 in; 2 in is the usual ease
    front, back = (pattern.piece(name).cut for name in ("front", "back"))
    for cut, words in ((front, "centre front, neckline"), (back, "centre back, nape")):
        on_centre = [y for x, y in cut.stitch_line if abs(x) < 1e-6]
        assert rows[f"{words} to hem"][2] == show(max(on_centre) - min(on_centre), "in")
    taped = {
        "neckline": 2 * edge_tape(pattern, "front.neckline", "back.neckline"),
        "shoulder seam": edge_tape(pattern, "front.shoulder"),
        "side seam": edge_tape(pattern, "front.side"),
        "sleeve hem": edge_tape(pattern, "sleeve.hem"),
        "armhole": edge_tape(pattern, "front.armhole", "back.armhole"),
    }
    for words, mm in taped.items():
        assert rows[words][2] == show(mm, "in"), words


@pytest.mark.parametrize(
    "style",
    [
        {"waist_seam": "yes", "bust_dart": "side", "sleeve": "cap"},
        {"hem": "a-line", "opening": "slit"},
        {"zip": "side", "sleeve": "none", "lining": "full", "opening": "none", "hem": "a-line"},
    ],
    ids=str,
)
def test_finished_lengths_run_over_the_seams(style: dict[str, object]) -> None:
    """From the neck to the waist and from there to the hem make the whole, whatever the pieces are; and no girth is
    counted twice: a tape round the hem is twice both halves without what a vent lays behind."""
    pattern, _ = dress("mm", **style)
    rows = {
        words: [float(cell.split()[0]) if cell else None for cell in row]
        for words, row in finished_rows(pattern).items()
    }
    lower = ("skirt_front", "skirt_back") if style.get("waist_seam") else ("front", "back")
    hems = [pattern.piece(name).cut.lines["hem"] for name in lower]
    behind = sum(max(0.0, -min(x for x, _ in hem)) for hem in hems)
    assert rows["hem"][2] == pytest.approx(2 * (sum(map(tape, hems)) - behind), abs=0.2)
    for half, words in (("front", "centre front, neckline"), ("back", "centre back, nape")):  # 1 in down is the nape
        on_centre = {
            piece.name: [y for x, y in piece.cut.stitch_line if abs(x) < 1e-6]
            for piece in pattern.pieces
            if piece.name in (half, f"bodice_{half}", f"skirt_{half}")
        }
        whole = sum(max(ys) - min(ys) for ys in on_centre.values())
        assert rows[f"{words} to hem"][2] == pytest.approx(whole, abs=0.1)
        if f"bodice_{half}" in on_centre:
            above = on_centre[f"bodice_{half}"]
            assert rows[f"{words} to waist"][2] == pytest.approx(max(above) - min(above), abs=0.1)


def test_finished_measurements_are_those_of_the_pieces() -> None:
    """A bust let out 10 mm at every side seam is 40 mm more round, whatever was ordered."""
    pattern, _ = dress("mm")
    before = finished_rows(pattern)["bust"]

    def let_out(cut: CutPiece) -> CutPiece:
        return replace(cut, stitch_line=tuple((x + 10.0 if x > 1 else x, y) for x, y in cut.stitch_line))

    for name in ("front", "back"):
        pattern = with_cut(pattern, name, let_out)
    after = finished_rows(pattern)["bust"]
    assert [float(after[i].split()[0]) - float(before[i].split()[0]) for i in range(3)] == pytest.approx([0, 40, 40])


def test_a_pattern_that_tells_nothing_of_girths_has_no_such_table() -> None:
    assert "Finished measurements" not in page_of(sample_pattern(), ()).texts("h2")


def test_cloth_of_a_piece_worked_out_by_hand() -> None:
    """The pocket's cut line is 170 × 175 mm, its grain along the 175: 6.89 and 6.69 in, so 7 × 6 3/4 in, rounded up.

    The front is half on the fold and its grain is upright: no width below 250 + 15 mm, no height below 600 + 30 mm.
    """
    page = page_of(sample_pattern(), ())
    assert "7 in × 6 3/4 in" in page.texts("td")
    in_mm = page_of(replace(sample_pattern(), unit="mm"), ()).texts("td")
    assert "175 mm × 170 mm" in in_mm
    folded = [re.fullmatch(r"(\d+) mm × (\d+) mm, folded", cell) for cell in in_mm]
    ((high, wide),) = [(int(m[1]), int(m[2])) for m in folded if m]
    assert 265 <= wide < 275
    assert 630 <= high < 660


def test_a_turned_grain_line_turns_the_cloth() -> None:
    pattern = sample_pattern()
    pocket = pattern.pieces[2]
    a, b = pocket.grain_line
    turned = replace(pocket, grain_line=(a, a._replace(x=a.x + 50)))
    assert "170 mm × 175 mm" in page_of(replace(pattern, unit="mm", pieces=(turned,)), ()).texts("td")
    assert b != a


def test_totals_are_counted_by_cloth() -> None:
    """Front 1 and a pair of sleeves of shell, pocket 2 of lining, as samples.py has them."""
    cells = page_of(sample_pattern(), ()).texts("td")
    assert "3 pattern pieces; to cut from cloth: 3 of shell, 2 of lining" in cells


def test_measurements_say_where_they_are_from(whole: tuple[Pattern, tuple[Finding, ...], bytes, Page]) -> None:
    rows = whole[3].texts("tr")
    assert "bust girth38 ingiven" in rows  # 38 in as typed
    assert "hip girth41 ingiven as 104.14 cm" in rows  # 104.14 / 2.54 = 41
    assert "statureabout 64 1/4 inassumed" in rows  # 1631.9 mm, the survey's mean, is 64.248 in
    assert any(row.startswith("waist to hip") and row.endswith("assumed") for row in rows)


def test_style_says_what_was_chosen() -> None:
    rows = page_of(*dress(ease_bust=3, sleeve="none", opening="slit")).texts("tr")
    assert "wearing ease round the bust3 inchosen" in rows
    assert "wearing ease round the waist1 inusual" in rows
    assert "sleevenonechosen" in rows
    assert "centre back opening at the hemslitchosen" in rows


def test_a_zip_is_asked_for_where_there_is_one() -> None:
    pattern = sample_pattern()
    with_zip = replace(
        pattern, draft=replace(pattern.draft, notions=(Notion("zip", 533.4, "zip_length", "", "zip end"),))
    )  # 533.4 mm = 21 in
    assert "a zip, 21 in long" in page_of(with_zip, ()).words
    assert "zip" not in page_of(pattern, ()).words


def test_one_picture_a_piece_with_its_words(whole: tuple[Pattern, tuple[Finding, ...], bytes, Page]) -> None:
    pattern, _, html, _ = whole
    figures = re.findall(r"<figure>\n(<svg.*?</svg>)", html.decode("utf-8"), re.DOTALL)
    assert len(figures) == len(pattern.pieces)
    for svg, piece in zip(figures, pattern.pieces, strict=True):
        root = ElementTree.fromstring(svg)
        title = root.find("{http://www.w3.org/2000/svg}title")
        assert title is not None and title.text is not None and piece.name.replace("_", " ") in title.text
        _, _, width, height = map(float, root.attrib["viewBox"].split())
        numbers = [
            tuple(map(float, pair))
            for path in root.iter("{http://www.w3.org/2000/svg}path")
            for pair in re.findall(r"(-?[\d.]+) (-?[\d.]+)", path.attrib["d"])
        ]
        assert all(-0.01 <= x <= width + 0.01 and -0.01 <= y <= height + 0.01 for x, y in numbers)
        xs = [x for x, _ in piece.cut.cut_line]
        drawn = [float(x) for x, _ in re.findall(r"([\d.]+) ([\d.]+)", root[1].attrib["d"])]
        assert max(drawn) - min(drawn) == pytest.approx(max(xs) - min(xs), abs=0.011)  # mm, to 2 decimals


def test_lines_are_told_apart_without_colour(whole: tuple[Pattern, tuple[Finding, ...], bytes, Page]) -> None:
    key = re.search(r'<ul class="key">.*?</ul>', whole[2].decode("utf-8"), re.DOTALL)
    assert key is not None
    items = re.findall(r"<li>(.*?)</li>", key[0])
    assert len(items) == 8  # cut, stitch, fold, grain, notch, dart, drill hole, internal line: this dress has all
    grey = [re.sub(r'stroke="#\w+"', "", re.sub(r"</svg>.*", "", item)) for item in items]
    assert len(set(grey)) == len(items)


def test_nothing_from_outside_and_no_script(whole: tuple[Pattern, tuple[Finding, ...], bytes, Page]) -> None:
    _, _, html, page = whole
    text = html.decode("utf-8").replace('xmlns="http://www.w3.org/2000/svg"', "")
    assert not re.search(r"https?:|//\w|@import|url\(|<script|javascript:", text)
    for tag, attributes in page.elements:
        assert tag not in {"script", "link", "img", "iframe", "object", "embed", "base"}
        assert not [name for name in attributes if name == "src" or name.startswith("on")]
        assert (attributes.get("href") or "#").startswith("#")
    anchors = [a["href"] for tag, a in page.elements if tag == "a"]
    ids = [a["id"] for _, a in page.elements if "id" in a]
    assert {f"#{name}" for name in ids} >= set(anchors)
    assert len(set(ids)) == len(ids)


def test_letters_of_the_chalk_pictures_stand_apart() -> None:
    """A letter of 14 units stands 0.72 of that high and at most as wide; none lies on another."""
    pattern, _ = dress(waist_seam="yes", bust_dart="side")
    html = render(pattern, (), size_words="").decode("utf-8")
    seen = 0
    for size, letters in re.findall(r'font-size="([\d.]+)" font-weight="700">((?:<text x[^>]*>[A-Z]+</text>)+)', html):
        at = [(float(x), float(y)) for x, y in re.findall(r'<text x="([-\d.]+)" y="([-\d.]+)"', letters)]
        for i, (ax, ay) in enumerate(at):
            for bx, by in at[:i]:
                seen += 1
                assert max(abs(ax - bx), abs(ay - by)) > 0.72 * float(size)
    assert seen > 100


def test_letters_of_the_chalk_pictures_stand_outwards_of_their_places() -> None:
    """Where there is room, straight out from the middle of the piece; only those that would lie on another give way."""
    pattern, _ = dress()
    html = render(pattern, (), size_words="").decode("utf-8")
    outwards = []
    for wide, high, dots, letters in re.findall(
        r'viewBox="0 0 ([\d.]+) ([\d.]+)"[^>]*><title>[^<]*places lettered.*?<path d="([^"]*)" stroke="#16181d" '
        r'stroke-width="5"[^>]*/><g [^>]*>((?:<text x[^>]*>[A-Z]+</text>)+)',
        html,
    ):
        middle = (float(wide) / 2, float(high) / 2)
        places = [(float(x), float(y)) for x, y in re.findall(r"M([-\d.]+) ([-\d.]+)", dots)]
        at = [(float(x), float(y)) for x, y in re.findall(r'<text x="([-\d.]+)" y="([-\d.]+)"', letters)]
        for (ax, ay), (px, py) in zip(at, places, strict=True):
            way, out = math.atan2(ay - py, ax - px), math.atan2(py - middle[1], px - middle[0])
            outwards.append(abs(math.remainder(way - out, 2 * math.pi)) < math.radians(5))
    assert len(outwards) > 30
    assert sum(outwards) >= 0.8 * len(outwards)


HOSTILE = '<script>alert("1")</script>&amp;\' \x00\x1b[31m \ud800 </title><b>'


def hostile_pattern() -> tuple[Pattern, tuple[Finding, ...]]:
    pattern = sample_pattern()
    first = pattern.pieces[0]
    piece = replace(
        first.cut.piece, name=HOSTILE, to_cut=replace(first.cut.piece.to_cut, cloth=HOSTILE), notes=(HOSTILE,)
    )
    pieces = (replace(first, cut=replace(first.cut, piece=piece, notes=(HOSTILE,))), *pattern.pieces[1:])
    draft = replace(
        pattern.draft,
        garment=HOSTILE,
        notes=(HOSTILE,),
        steps=(Step(HOSTILE, HOSTILE, HOSTILE, 1.0),),
        body={HOSTILE: 1.0},
        style={HOSTILE: HOSTILE, "b" + HOSTILE: 2.0},
    )
    finding = Finding(HOSTILE, Severity.ERROR, False, 1.0, 2.0, HOSTILE, HOSTILE, HOSTILE)
    whole = replace(pattern, title=HOSTILE, size=HOSTILE, date=HOSTILE, draft=draft, pieces=pieces)
    return whole, (finding, replace(finding, passed=True))


def test_hostile_words_are_only_words() -> None:
    pattern, findings = hostile_pattern()
    html = render(pattern, findings, size_words=HOSTILE, files=(HOSTILE,)).decode("utf-8")
    assert "<script" not in html
    assert not re.search(r"[\x00-\x08\x0b-\x1f\x7f]", html)
    page = Page(html)
    assert '<script>alert("1")</script>&amp;\'' in page.words
    plain = page_of(sample_pattern(), (told(Severity.ERROR, False), told(Severity.ERROR, True)), files=("x",))
    assert {tag for tag, _ in page.elements} <= {tag for tag, _ in plain.elements} | {"h3", "ul"}
    assert page.texts("title")[0].startswith('<script>alert("1")</script>')


@settings(max_examples=40, deadline=None)
@given(st.text(st.characters(), max_size=60))
def test_any_title_comes_out_as_it_went_in(title: str) -> None:
    page = page_of(replace(sample_pattern(), title=title), ())
    kept = re.sub(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ud800-\udfff\ufffe\uffff]", "\ufffd", title.strip())
    wanted = re.sub(r"\s+", " ", kept).strip() if title.strip() else "sample dress"
    assert page.texts("h1") == [wanted]


def test_same_input_same_bytes() -> None:
    first, second = (render(*dress(), size_words="12", files=("a",)) for _ in range(2))
    assert first == second


@pytest.mark.parametrize("unit", ["in", "cm", "mm"])
def test_lengths_are_in_the_makers_unit(unit: Unit) -> None:
    page = page_of(*dress(unit))
    bust = {"in": "38 in", "cm": "about 96.5 cm", "mm": "965.2 mm"}[unit]
    row = next(row for row in page.texts("tr") if row.startswith("bust girth"))
    assert bust in row
    others = [other for other in ("in", "cm") if other != unit]
    steps = "\n".join(step_lines(dress(unit)[0].draft.steps, unit))
    assert not re.search(rf"\d ({'|'.join(others)})\b", steps)


def test_small(whole: tuple[Pattern, tuple[Finding, ...], bytes, Page]) -> None:
    _, _, html, _ = whole
    assert len(html) < 300_000


def every_style() -> Iterator[dict[str, object]]:
    for option in find_garment("sheath-dress").options:
        if isinstance(option, ChoiceOption):
            yield from ({option.name: choice} for choice in option.choices if option.name != "sleeve")
        elif isinstance(option, LengthOption) and option.auto:
            yield {option.name: "auto"}
    yield {"sleeve": "none"}


NEEDS: dict[str, dict[str, object]] = {"all-in-one": {"sleeve": "none"}}


@pytest.mark.parametrize("style", tuple(every_style()), ids=str)
def test_every_choice_can_be_told(style: dict[str, object]) -> None:
    needs = next((NEEDS[str(choice)] for choice in style.values() if choice in NEEDS), {})
    pattern, findings = dress(**style, **needs)
    page = page_of(pattern, findings)
    assert all(in_inches(finding.message) in page.words for finding in findings)
    assert not re.search(r"\d mm\b", " ".join(page.texts("table")))  # no millimetres beside inches


@pytest.mark.skipif(CHROMIUM is None, reason="needs Chromium")
def test_a_browser_keeps_the_page_within_a_phone(
    whole: tuple[Pattern, tuple[Finding, ...], bytes, Page], tmp_path: Path
) -> None:
    """Asks the browser itself: inside a frame of 400 px the page does not scroll sideways, and every row is there."""
    said = in_a_frame(
        tmp_path,
        whole[2],
        400,
        "document.documentElement.scrollWidth",
        'document.querySelectorAll("figure svg").length',
        'document.querySelectorAll("#steps li").length',
        'Math.max(...[...document.querySelectorAll("figure svg")].map(s=>s.getBoundingClientRect().right))',
    )
    pattern = whole[0]
    assert said[0] <= 400
    assert said[1] == len(pattern.pieces)
    assert said[2] == len(pattern.draft.steps)
    assert said[3] <= 400
    (wider,) = in_a_frame(  # of the tables that a maker reads, those that are folded apart
        tmp_path,
        whole[2],
        390,
        '[...document.querySelectorAll(".scroll")].filter(d=>!d.closest("details")&&d.scrollWidth>d.clientWidth).length',
    )
    assert wider == 0
