"""The chalk card: the printed numbers alone, chalked again, must give the piece; and the pages must be readable."""

from __future__ import annotations

import csv
import math
import re
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import replace
from fractions import Fraction
from functools import cache
from io import BytesIO
from pathlib import Path
from typing import TypeAlias

import numpy as np
import pikepdf
import pypdfium2 as pdfium
import pypdfium2.raw as raw
import pytest
import shapely

from oaktag.body.measurements import Measurements
from oaktag.draft.chalk.card import chalk_pieces
from oaktag.draft.chalk.marks import ChalkPiece, Mark, MarkKind
from oaktag.draft.chalk.numbers import ROUNDED, printed
from oaktag.errors import DraftError
from oaktag.export import chalk_card
from oaktag.export.chalk_card import render
from oaktag.export.chalk_page import CAPITAL
from oaktag.geometry.polygon import Box
from oaktag.job import load_job
from oaktag.model.pattern import Pattern
from oaktag.pipeline import make
from oaktag.sheet.chalk.draw import picture
from oaktag.sheet.chalk.picture import Look, Picture
from oaktag.sheet.paper import PAPERS
from oaktag.units import Unit
from samples import sample_pattern
from wardrobe import ALTO, FIXTURES, IN, dressed, oaktag, women

EIGHTH = IN / 8
"""1/8 in: what a chalk line is good for (common practice, no source)."""
XY: TypeAlias = tuple[float, float]
Draw: TypeAlias = Callable[[Sequence[XY], XY | None, XY | None], list[XY]]
MM = 25.4 / 72
STYLES: tuple[dict[str, object], ...] = (
    {},
    {"waist_seam": "yes", "bust_dart": "side"},
    {"neckline": "v", "sleeve": "none"},
    {"neckline": "square", "sleeve": "cap", "hem": "a-line"},
    {"zip": "side", "neckline": "boat"},
    {"sleeve": "long", "opening": "slit", "hem": "straight"},
)
PER: dict[str, float] = {"in": IN, "cm": 10.0, "mm": 1.0}


# ------------------------------------------------------------------------------ someone with chalk, a tape and a square


def measured(text: str, unit: Unit) -> float:
    """A printed distance in mm, signed: left, beyond and up are negative."""
    *number, side = text.removeprefix(ROUNDED).split()
    if not side.isalpha():
        number, side = [*number, side], ""
    assert side in ("", "left", "right", "beyond", "up"), text
    assert len(number) in (1, 2) and all(set(part) <= set("0123456789./") for part in number), text
    far = float(sum(Fraction(part) for part in number)) * PER[unit]
    return -far if side in ("left", "beyond", "up") else far


def places(mark: Mark, unit: Unit) -> list[XY]:
    """Where the printed numbers put its spots: across to the right, up positive, from the crossing of the two lines."""
    return [(measured(s.across, unit), -measured(s.down, unit)) for s in mark.spots]


def way_at_end(mark: Mark, end: int, edges: dict[str, list[Mark]], unit: Unit) -> XY | None:
    """The direction of the curve at its first (0) or last (1) spot, if the card says to what it is square there."""
    to = mark.square[end]
    p, q = (places(mark, unit)[i] for i in ((0, 1) if end == 0 else (-1, -2)))
    if not to:
        return None
    if to == "upright":
        way = (1.0, 0.0)
    elif to == "level":
        way = (0.0, 1.0)
    else:
        (a, b) = next(
            places(other, unit)
            for other in edges[to]
            if other.kind in (MarkKind.STRAIGHT, MarkKind.FOLD) and p in places(other, unit)
        )
        long = math.dist(a, b)
        way = ((a[1] - b[1]) / long, (b[0] - a[0]) / long)
    forth = (q[0] - p[0]) * way[0] + (q[1] - p[1]) * way[1]
    sign = math.copysign(1.0, forth) * (1 if end == 0 else -1)
    return (way[0] * sign, way[1] * sign)


def spline(points: Sequence[XY], first: XY | None, last: XY | None) -> list[XY]:
    """A cubic spline through the points over their chord lengths; natural at an end without a direction."""
    p = np.array(points)
    gaps = np.linalg.norm(np.diff(p, axis=0), axis=1)
    n = len(p)
    rows, right = np.zeros((n, n)), np.zeros((n, 2))
    for i in range(1, n - 1):
        rows[i, i - 1 : i + 2] = gaps[i], 2 * (gaps[i - 1] + gaps[i]), gaps[i - 1]
        right[i] = 3 * (gaps[i] / gaps[i - 1] * (p[i] - p[i - 1]) + gaps[i - 1] / gaps[i] * (p[i + 1] - p[i]))
    for i, j, way in ((0, 1, first), (n - 1, n - 2, last)):
        rows[i, i] = 1.0
        if way is None:
            rows[i, j] = 0.5
            right[i] = 1.5 * (p[max(i, j)] - p[min(i, j)]) / gaps[min(i, j)]
        else:
            right[i] = way
    speeds = np.linalg.solve(rows, right)
    return _hermite(p, speeds, gaps)


def rounded_run(points: Sequence[XY], first: XY | None, last: XY | None) -> list[XY]:
    """A Catmull-Rom run through the points (centripetal would differ little): half the way between neighbours."""
    p = np.array(points)
    gaps = np.linalg.norm(np.diff(p, axis=0), axis=1)
    speeds = np.zeros_like(p)
    for i in range(1, len(p) - 1):
        a, b = gaps[i - 1], gaps[i]
        speeds[i] = (b * (p[i] - p[i - 1]) / a + a * (p[i + 1] - p[i]) / b) / (a + b)
    for i, j, k, way in ((0, 1, 0, first), (len(p) - 1, len(p) - 2, -1, last)):
        chord = (p[max(i, j)] - p[min(i, j)]) / gaps[k]
        speeds[i] = way if way is not None else 1.5 * chord - 0.5 * (speeds[j] if len(p) > 2 else chord)
    return _hermite(p, speeds, gaps)


def _hermite(p: np.ndarray, speeds: np.ndarray, gaps: np.ndarray) -> list[XY]:
    t = np.linspace(0, 1, 13)[1:, None]
    u = 1 - t
    out = [p[:1]]
    for i, gap in enumerate(gaps):
        at = u * u * (1 + 2 * t) * p[i] + t * t * (3 - 2 * t) * p[i + 1]
        out.append(at + gap * t * u * (u * speeds[i] - t * speeds[i + 1]))
    return [(x, y) for x, y in np.concatenate(out).tolist()]


def chalked(piece: ChalkPiece, unit: Unit, draw: Draw) -> dict[str, list[list[XY]]]:
    """Edge -> the lines drawn for it, from the printed numbers alone."""
    edges: dict[str, list[Mark]] = {}
    for step in piece.steps:
        for mark in step.marks:
            if mark.kind in (MarkKind.STRAIGHT, MarkKind.CURVE, MarkKind.FOLD):
                edges.setdefault(mark.name, []).append(mark)
    drawn: dict[str, list[list[XY]]] = {}
    for name, marks in edges.items():
        for mark in marks:
            points = places(mark, unit)
            if mark.kind is MarkKind.CURVE:
                points = draw(points, way_at_end(mark, 0, edges, unit), way_at_end(mark, 1, edges, unit))
            drawn.setdefault(name, []).append(points)
    return drawn


def apart(points: np.ndarray, lines: Sequence[np.ndarray]) -> float:
    """The greatest distance from the points to the nearest of the open lines, by shapely."""
    return float(shapely.distance(shapely.MultiLineString(list(lines)), shapely.points(points)).max())


def filled(line: Sequence[XY]) -> np.ndarray:
    """The line with points no more than 2 mm apart."""
    return shapely.get_coordinates(shapely.segmentize(shapely.LineString(line), 2.0))


def worst(pattern: Pattern, draw: Draw) -> dict[str, float]:
    """Hausdorff distance of each edge, as chalked, to the edge of the pattern, both ways, mm."""
    found = {}
    for piece in chalk_pieces(pattern):
        cut = pattern.piece(piece.name).cut
        drawn = chalked(piece, pattern.unit, draw)
        assert set(drawn) == set(cut.lines)
        origin = np.array((piece.frame.x, piece.frame.y))
        for name, lines in drawn.items():
            true = filled(cut.lines[name]) - origin
            got = [np.array(line) for line in lines]
            there = apart(true, got)
            back = max(apart(filled([tuple(p) for p in line]), [true]) for line in got)
            found[f"{piece.name}.{name}"] = max(there, back)
        ends = [p for lines in drawn.values() for line in lines for p in (line[0], line[-1])]
        assert all(sum(math.dist(p, q) < 1e-6 for q in ends) == 2 for p in ends), f"{piece.name} is not closed"
    return found


def bodies() -> list[tuple[str, Measurements]]:
    """Every sixth of the first 60 women; their front waist length is asked for by some styles."""
    with (FIXTURES / "bodies" / "women_1988_60.csv").open() as file:
        rows = {row["id"]: row for row in csv.DictReader(file)}
    by_name = dict(women())
    return [(name, by_name[name]) for name in list(rows)[::6]]


@pytest.mark.parametrize("draw", [spline, rounded_run])
@pytest.mark.parametrize("unit", ["in", "cm"])
@pytest.mark.parametrize("style", STYLES, ids=str)
def test_the_printed_numbers_give_the_piece(style: dict[str, object], unit: Unit, draw: Draw) -> None:
    count = 0
    for name, body in (("alto", ALTO), *bodies()):
        if "bust_dart" in style:
            body = Measurements({**body, "front_waist_length": body["back_waist_length"] + 25.4 + 1.5 * IN})
        try:
            pattern = dressed(body, unit, **style)
        except DraftError:
            continue
        count += 1
        far = worst(pattern, draw)
        edge = max(far, key=far.__getitem__)
        assert far[edge] <= EIGHTH, f"{name} {edge}: {far[edge]:.2f} mm"
    assert count >= 5


def test_an_ordinate_that_is_left_out_is_missed() -> None:
    """The ruler above can fail: without its ordinates an armhole is cut straight from place to place, and shows."""
    pattern = dressed(ALTO)
    front = chalk_pieces(pattern)[0]
    steps = tuple(
        replace(
            step,
            marks=tuple(
                replace(m, spots=(m.spots[0], m.spots[-1]), square=("", "")) if m.name == "armhole" and m.line else m
                for m in step.marks
            ),
        )
        for step in front.steps
    )
    lines = chalked(replace(front, steps=steps), "in", spline)["armhole"]
    true = filled(pattern.piece("front").cut.lines["armhole"])
    assert apart(true, [np.array(line) for line in lines]) > 2 * EIGHTH


def test_pieces_without_formulas_can_be_chalked() -> None:
    """A pattern made by hand: a front on the fold, a sleeve whose grain is off its middle, a square-cornered pocket."""
    for draw in (spline, rounded_run):
        far = worst(sample_pattern(), draw)
        assert max(far.values()) <= EIGHTH, far


def test_the_pocket_worked_out_by_hand() -> None:
    """150 x 140 mm with its grain in the middle: 7.5 cm left and right of it, 0 and 14 cm down from its top."""
    pattern = replace(sample_pattern(), unit="cm")
    pocket = next(piece for piece in chalk_pieces(pattern) if piece.name == "pocket")
    assert (pocket.frame.upright, pocket.frame.level) == ("the middle line", "the level line")
    spots = {(s.across, s.down) for step in pocket.steps for m in step.marks for s in m.spots if s.letter}
    assert spots == {("7.5 left", "0"), ("7.5 right", "0"), ("7.5 left", "14"), ("7.5 right", "14")}
    widths = next(step.table for step in pocket.steps if step.title == "Allowances")
    assert [row[1:3] for row in widths] == [("bottom", "1 cm"), ("right", "1 cm"), ("top", "2.5 cm"), ("left", "1 cm")]


@pytest.mark.parametrize(
    ("mm", "unit", "text"),
    [  # 1 in = 25.4 mm; by hand
        (25.4, "in", "1"), (41.275, "in", "1 5/8"), (42.0, "in", "~1 5/8"), (-9.525, "in", "3/8"),
        (123.0, "cm", "12.3"), (123.4, "cm", "~12.3"), (123.4, "mm", "~123"), (0.0, "in", "0"),
    ],
)  # fmt: skip
def test_numbers_as_printed(mm: float, unit: Unit, text: str) -> None:
    assert printed(mm, unit) == text


def test_every_rounded_number_is_marked_and_no_other() -> None:
    for unit in ("in", "cm"):
        for piece in chalk_pieces(dressed(ALTO, unit)):  # type: ignore[arg-type]
            for spot in (s for step in piece.steps for mark in step.marks for s in mark.spots):
                true = (spot.at.x - piece.frame.x, piece.frame.y - spot.at.y)
                for text, mm in zip((spot.across, spot.down), true, strict=True):
                    off = abs(measured(text, unit) - mm)  # type: ignore[arg-type]
                    assert (off > 0.05) == text.startswith(ROUNDED), (piece.name, spot)
                    assert off <= PER[unit] / (16 if unit == "in" else 20) + 1e-6


def test_the_steps_say_what_the_draft_says() -> None:
    """Formulas and values of the worked example in the draft's own words, for the alto: bust 38, waist 30 1/2 in."""
    front = chalk_pieces(dressed(ALTO))[0]
    told = {step.title: (step.words, step.formula) for step in front.steps}
    assert told["Waist line"] == (
        ("17 in down from the top line, square across.",),
        ("= back waist length + 1 in from the top line to the nape",),
    )
    assert told["Underarm"] == (("On the chest line, 10 in from the fold.",), ("= (bust girth + 2 in) ÷ 4",))
    assert told["Waist side"][0] == ("On the waist line, 8 7/8 in from the fold.",)  # (30 1/2 + 1) / 4 + 1
    titles = [step.title for step in front.steps]
    order = [
        "Fold and top line",
        "Chest line",
        "Hem line",
        "Underarm",
        "Neckline",
        "Shoulder",
        "Armhole",
        "Side",
        "Hem",
    ]
    order += ["Waist dart", "Notches", "Allowances"]
    places = [titles.index(title) for title in order]
    assert places == sorted(places)
    assert [step.number for step in front.steps] == list(range(1, len(front.steps) + 1))


def test_a_pair_of_notches_is_told_as_far_apart_as_it_is() -> None:
    """Both slits led back square to the stitch line, which is nearly straight between them."""
    pattern = dressed(ALTO, "mm")
    told = 0
    for piece, marked in zip(chalk_pieces(pattern), pattern.pieces, strict=True):
        words = [text for step in piece.steps for text in step.words if text.startswith("“Two”")]
        pairs = [notch for notch in marked.notches if notch.count == 2]
        assert len(words) == bool(pairs)
        told += len(words)
        for notch in pairs:
            wide = marked.cut.allowances[notch.edge]
            a, b = ((spot.x - wide * way.x, spot.y - wide * way.y) for spot, way in notch.each())
            assert words == [f"“Two”: a pair of snips, {round(math.dist(a, b), 1):g} mm apart."]
    assert told >= 2


def test_what_is_drawn_lower_for_a_bust_dart_says_so() -> None:
    body = Measurements({**ALTO, "front_waist_length": ALTO["back_waist_length"] + 25.4 + 1.5 * IN})
    bodice = chalk_pieces(dressed(body, "in", waist_seam="yes", bust_dart="side"))[0]
    waist = next(step for step in bodice.steps if step.title == "Waist line")
    assert waist.words == ("18 1/2 in down from the top line, square across.",)
    assert waist.formula == ("= back waist length + 1 in from the top line to the nape = 17 in; here 1 1/2 in more",)


@pytest.mark.parametrize("waist_seam", ["no", "yes"])
def test_where_the_legs_of_a_bust_dart_end_no_level_is_chalked(waist_seam: str) -> None:
    """A dart is chalked by its point and the ends of its legs, as a dart at the waist is (common practice, no source).
    The ends on the side are told from the top line, as a level would have told them."""
    body = Measurements({**ALTO, "front_waist_length": ALTO["back_waist_length"] + 25.4 + 1.5 * IN})
    front = chalk_pieces(dressed(body, "in", waist_seam=waist_seam, bust_dart="side"))[0]
    levels = ["Fold and top line", "Chest line", "Waist line", "Hip line", "Hem line"]
    assert [step.title for step in front.steps if step.part == "lines"] == levels[: 3 if waist_seam == "yes" else 5]
    dart = next(step for step in front.steps if step.title == "Bust dart")
    low, _, high = dart.marks[0].spots
    assert high.at.y - low.at.y == pytest.approx(1.5 * IN, abs=0.01)
    for spot in (low, high):
        assert measured(spot.down, "in") == pytest.approx(-spot.at.y, abs=IN / 16)  # rounded to 1/8 in


# ------------------------------------------------------------------------------------------------------ the pages


@cache
def card(unit: Unit, paper: str, *style: tuple[str, object]) -> bytes:
    return render(dressed(ALTO, unit, **dict(style)), PAPERS[paper])


CARDS: tuple[tuple[Unit, str, tuple[tuple[str, object], ...]], ...] = (
    ("in", "letter", ()),
    ("cm", "a4", (("sleeve", "cap"), ("neckline", "square"), ("hem", "a-line"))),
    ("in", "a4", (("waist_seam", "yes"), ("sleeve", "none"), ("neckline", "v"))),
)


@pytest.mark.parametrize("of", CARDS, ids=str)
def test_the_pages_can_be_read_at_arms_length(of: tuple[Unit, str, tuple[tuple[str, object], ...]]) -> None:
    """Read back with PDFium: every letter is set so that a capital is 3.5 mm high or more, and stands on the page."""
    pdf = pdfium.PdfDocument(BytesIO(card(of[0], of[1], *of[2])))
    paper = PAPERS[of[1]]
    for page in pdf:
        width, height = page.get_size()
        assert (width * MM, height * MM) == (
            pytest.approx(paper.width, abs=0.01),
            pytest.approx(paper.height, abs=0.01),
        )
        text = page.get_textpage()
        for i in range(text.count_chars()):
            if raw.FPDFText_GetUnicode(text.raw, i) <= 32:
                continue
            # 0.718: height of Helvetica's capitals (Adobe Core 14 font metrics, from memory)
            assert raw.FPDFText_GetFontSize(text.raw, i) * 0.718 * MM >= 3.5
            left, bottom, right, top = text.get_charbox(i)
            assert left >= 0 and right <= width and bottom >= 0 and top <= height
        for item in page.get_objects():
            left, bottom, right, top = item.get_bounds() if hasattr(item, "get_bounds") else item.get_pos()
            assert left * MM >= 8 and right * MM <= paper.width - 8
            assert bottom * MM >= 8 and top * MM <= paper.height - 8


def test_every_number_of_the_data_stands_on_the_pages() -> None:
    pattern = dressed(ALTO)
    pdf = pdfium.PdfDocument(BytesIO(card("in", "letter")))
    words = " ".join(page.get_textpage().get_text_range() for page in pdf).split()
    text = " ".join(words)
    for piece in chalk_pieces(pattern):
        assert f"{piece.title[0].upper()}{piece.title[1:]}: {piece.cut}" in text
        for step in piece.steps:
            assert f"{step.number} " in text and step.title in text
            for row in step.table:
                for number in filter(None, row[2:]):
                    assert number in text, (piece.name, step.title, row)
    assert f"page {len(pdf)} of {len(pdf)}" in text


@pytest.mark.parametrize("style", STYLES[:1] + STYLES[2:4], ids=str)
def test_words_on_the_pictures_keep_out_of_each_others_way(style: dict[str, object]) -> None:
    """No word covers another or leaves the picture; letters, which matter most, are all there."""
    for piece in chalk_pieces(dressed(ALTO, "in", **style)):
        for i in range(0, len(piece.steps), 3):
            steps = piece.steps[i : i + 3]
            shown = picture(piece, steps, 84.0, 110.0, capital=CAPITAL, text_width=lambda text: 2.6 * len(text))
            boxes = [word.box for word in shown.words]
            for n, a in enumerate(boxes):
                assert a.left >= 0 and a.right <= shown.width and a.bottom >= 0 and a.top <= shown.height
                for b in boxes[:n]:
                    assert a.left >= b.right or a.right <= b.left or a.bottom >= b.top or a.top <= b.bottom
            new = {s.letter for step in steps for m in step.marks for s in m.spots if s.letter}
            assert new <= {word.text for word in shown.words}
            for trace in shown.traces:
                for x, y in trace.points:
                    assert -0.01 <= x <= shown.width + 0.01 and -0.01 <= y <= shown.height + 0.01, trace.look
    assert any(trace.look is Look.PLAN or trace.points for trace in shown.traces)


def cards_shown() -> dict[str, Pattern]:
    """The demo jobs, and women of the survey in two styles."""
    demo = {
        path.stem: make(load_job(path), only=()).nest.base_pattern
        for path in sorted((FIXTURES / "choir").glob("*.toml"))
        if path.stem != "stage-dress"
    }
    styles: tuple[dict[str, object], ...] = ({}, {"waist_seam": "yes", "sleeve": "none", "neckline": "v"})
    for number, style, unit in ((0, 0, "in"), (60, 1, "cm"), (120, 1, "in"), (240, 0, "cm")):
        name, body = women()[number]
        demo[f"{name} {unit}"] = dressed(body, unit, **styles[style])  # type: ignore[arg-type]
    return demo


def test_numbers_on_the_card_collide_with_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of every picture as the card draws it: no word within 0.5 mm of another, and no number on a line but its own
    measure. Numbers that are left out for it are few: most measures are drawn."""
    shown: list[Picture] = []

    def kept(*given: object, **named: object) -> Picture:
        shown.append(picture(*given, **named))  # type: ignore[arg-type]
        return shown[-1]

    monkeypatch.setattr(chalk_card, "picture", kept)
    for pattern in cards_shown().values():
        chalk_card.render(pattern, PAPERS["letter"])
    numbers = 0
    for one in shown:
        lines = [(t.look, shapely.LineString(t.points)) for t in one.traces if t.look is not Look.PLAN]
        boxes = [shapely.box(*(getattr(w.box, side) for side in ("left", "bottom", "right", "top"))) for w in one.words]
        for n, (word, box) in enumerate(zip(one.words, boxes, strict=True)):
            near = np.flatnonzero(shapely.distance(box, boxes[:n]) <= 0.5)
            assert not near.size, (word.text, one.words[near[0]].text)
            if word.badge or not re.fullmatch(r"~?\d[\d/. ]*", word.text):
                continue
            numbers += 1
            ink = box.buffer(-0.4, join_style="mitre")  # the box keeps 0.4 mm round the number
            crossed = [look for look, line in lines if line.length > 4 and line.intersects(ink)]
            assert crossed in ([], [Look.MEASURE]), (word.text, crossed)
    assert numbers > 0.5 * len(shown)


def test_the_same_pattern_gives_the_same_bytes() -> None:
    pattern = dressed(ALTO)
    assert render(pattern, PAPERS["a4"]) == render(pattern, PAPERS["a4"])


def test_hostile_words_do_not_break_a_page() -> None:
    pattern = replace(sample_pattern(), title="(\\) ☂ " + "x" * 400, date="y" * 300)
    pdf = pdfium.PdfDocument(BytesIO(render(pattern, PAPERS["letter"])))
    for page in pdf:
        width, _ = page.get_size()
        assert all(item.get_bounds()[2] <= width for item in page.get_objects())


# ------------------------------------------------------------------------------------------------------ command line


def test_the_card_is_written_and_the_steps_are_told_as_before(tmp_path: Path) -> None:
    job = FIXTURES / "choir" / "alto-3.toml"
    plain = oaktag("steps", job, cwd=tmp_path)
    done = oaktag("steps", job, "--card", "cards/chalk-card.pdf", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert done.stdout == plain.stdout
    assert done.stderr.strip() == f"wrote {Path('cards') / 'chalk-card.pdf'}"
    pdf = pdfium.PdfDocument(BytesIO((tmp_path / "cards" / "chalk-card.pdf").read_bytes()))
    assert pdf[0].get_size()[0] * MM == pytest.approx(215.9, abs=0.01)  # the job's paper: letter, 8 1/2 in wide
    assert "chalk card" in pdf.get_metadata_dict()["Title"]


def test_the_card_of_one_piece(tmp_path: Path) -> None:
    job = FIXTURES / "choir" / "alto-3.toml"
    done = oaktag("steps", job, "--piece", "sleeve", "--card", "sleeve.pdf", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    text = " ".join(p.get_textpage().get_text_range() for p in pdfium.PdfDocument(tmp_path / "sleeve.pdf"))
    assert "Sleeve: cut 2" in text and "Front: cut" not in text


def test_no_card_can_be_written_onto_a_folder(tmp_path: Path) -> None:
    done = oaktag("steps", FIXTURES / "choir" / "alto-3.toml", "--card", ".", cwd=tmp_path)
    assert done.returncode == 2
    assert "'--card'" in done.stderr and "write chalk-card.pdf" in done.stderr


@pytest.mark.parametrize(("unit", "width"), [("in", 215.9), ("cm", 210.0)])  # 8 1/2 in; ISO 216
def test_a_card_of_a_job_without_a_paper_is_on_what_lies_in_the_makers_printer(
    unit: str, width: float, tmp_path: Path
) -> None:
    text = (FIXTURES / "choir" / ("alto-3.toml" if unit == "in" else "soprano-1.toml")).read_text(encoding="utf-8")
    for at, paper in enumerate(("", 'paper = "a0"')):
        job = tmp_path / f"job-{at}.toml"
        job.write_text(re.sub(r"(?m)^paper .*$", paper, text), encoding="utf-8")
        done = oaktag("steps", job, "--card", f"card-{at}.pdf", cwd=tmp_path)
        assert done.returncode == 0, done.stderr
        page = pdfium.PdfDocument(BytesIO((tmp_path / f"card-{at}.pdf").read_bytes()))[0]
        assert page.get_size()[0] * MM == pytest.approx(width, abs=0.01)


@pytest.mark.parametrize("of", CARDS, ids=str)
def test_every_line_of_the_card_can_be_seen(of: tuple[Unit, str, tuple[tuple[str, object], ...]]) -> None:
    """Grey 148 of 255 (#949494) is the lightest that stands 3 to 1 against white (WCAG 2.1, 1.4.11); and all are there.

    What is new is drawn broadest, in black; a line thinner than 0.1 mm is lost in photocopying (common practice).
    """
    drawn: Counter[tuple[float, float, str]] = Counter()
    with pikepdf.Pdf.open(BytesIO(card(of[0], of[1], *of[2]))) as pdf:
        for page in pdf.pages:
            grey, width, dashes, fill, held = 0.0, 0.0, "", 0.0, []
            for operands, operator in pikepdf.parse_content_stream(page):
                match str(operator):
                    case "q":
                        held.append((grey, width, dashes, fill))
                    case "Q":
                        grey, width, dashes, fill = held.pop()
                    case "g":
                        fill = float(operands[0])
                    case "Tj" | "TJ":
                        assert fill <= 118 / 255, operands  # #767676 stands 4.5 to 1: WCAG 2.1, 1.4.3, for words
                    case "G":
                        grey = float(operands[0])
                    case "w":
                        width = float(operands[0]) * 25.4 / 72
                    case "d":
                        dashes = " ".join(f"{float(n):.1f}" for n in operands[0])
                    case "S" | "s" | "B" | "b":
                        drawn[grey, round(width, 2), dashes] += 1
    assert drawn
    for grey, width, _ in drawn:
        assert 0.0 <= grey <= 148 / 255, drawn
        assert width >= 0.1, drawn
    black = [width for grey, width, dashes in drawn if grey == 0 and not dashes]
    assert max(black) == 0.9 and len(black) >= 3


def test_round_marks_of_the_card_are_round() -> None:
    """Four cubics that join and end where they began, all eight quarter points as far from the middle, to 0.1 %."""
    rounds = 0
    with pikepdf.Pdf.open(BytesIO(card("in", "letter"))) as pdf:
        for page in pdf.pages:
            run: list[list[tuple[float, float]]] = []
            for operands, operator in [*pikepdf.parse_content_stream(page), ([], "m")]:
                numbers = [float(n) for n in operands] if str(operator) in ("m", "l", "c") else []
                points = list(zip(numbers[::2], numbers[1::2], strict=True))
                if str(operator) == "c":
                    run.append(points)
                elif run and str(operator) != "h":
                    if len(run) == 5:
                        (start,), *curves = run
                        x, y = (sum(c[2][k] for c in curves) / 4 for k in (0, 1))
                        radius = math.dist(start, (x, y))
                        assert curves[-1][2] == pytest.approx(start, abs=0.01)
                        starts = [start, *(c[2] for c in curves)]
                        for a, (b, c, d) in zip(starts, curves, strict=False):
                            middle = [(p + 3 * q + 3 * r + s) / 8 for p, q, r, s in zip(a, b, c, d, strict=True)]
                            assert math.dist(middle, (x, y)) == pytest.approx(radius, rel=2e-3)
                            assert math.dist(d, (x, y)) == pytest.approx(radius, rel=2e-3)
                        rounds += 1
                    run = []
                if str(operator) == "m" and points:
                    run = [points]
                elif str(operator) == "l":
                    run = []
    assert rounds > 4


def test_notches_of_the_pictures_are_3_5_mm_long_on_paper_whatever_they_show() -> None:
    seen = 0
    for piece in chalk_pieces(dressed(ALTO, "in")):
        for step in piece.steps:
            marks = [mark for mark in step.marks if mark.kind is MarkKind.NOTCH]
            shown = picture(piece, [step], 84.0, 110.0, capital=CAPITAL, text_width=lambda text: 2.6 * len(text))
            strokes = [trace.points for trace in shown.traces if trace.look is Look.NEW and len(trace.points) == 2]
            short = [a for a in strokes if math.dist(*a) == pytest.approx(3.5, abs=0.01)]
            assert len(short) >= len(marks)
            seen += len(marks)
    assert seen > 5


def test_what_the_key_shows_as_new_is_drawn_level_or_upright() -> None:
    """Its samples lie in two columns: a line, a corner, and a notch that stands upright on its line."""
    new = 0
    with pikepdf.Pdf.open(BytesIO(card("in", "letter"))) as pdf:
        for page in pdf.pages:
            commands = list(pikepdf.parse_content_stream(page))
            said = b" ".join(bytes(operands[0]) for operands, operator in commands if str(operator) == "Tj")
            if b"distance to measure" not in said:
                continue
            width, at = 0.0, (0.0, 0.0)
            for operands, operator in commands:
                if str(operator) == "w":
                    width = float(operands[0]) * 25.4 / 72
                elif str(operator) in ("m", "l"):
                    x, y = (float(n) for n in operands)
                    if str(operator) == "l" and width == pytest.approx(0.9, abs=0.01):
                        new += 1
                        assert min(abs(x - at[0]), abs(y - at[1])) < 0.01
                    at = (x, y)
    assert new >= 3


def test_where_a_part_of_a_long_piece_is_shown_a_small_plan_shows_the_whole() -> None:
    """On the picture's right, where it is wide enough for one; a facing is seen whole, and has none."""
    pieces = {piece.title.lower(): piece for piece in chalk_pieces(dressed(ALTO, "in"))}
    front, facing = (next(p for name, p in pieces.items() if name.startswith(word)) for word in ("front", "facing"))

    def plans(piece: ChalkPiece, width: float) -> list[bool]:
        return [
            any(trace.look is Look.PLAN for trace in shown.traces)
            for step in piece.steps
            for shown in [picture(piece, [step], width, 110.0, capital=CAPITAL, text_width=lambda s: 2.6 * len(s))]
        ]

    assert any(plans(front, 84.0))
    assert not any(plans(front, 50.0))
    assert Box.round(facing.outline).height < 400
    assert not any(plans(facing, 84.0))
