"""First plans: they never stop their own drawing, guess seams by joints that fit, and come with a picture to print."""

from __future__ import annotations

import itertools
import math
import re
import shutil
import tomllib
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest
import shapely
from PIL import ImageFont

from by_hand import KINDS, NO_DARTS, Hand, front_with_dart, no_dart, skirt
from oaktag.checks.run import check, check_nest, standing_errors
from oaktag.intake.joints import joints_of
from oaktag.intake.plan import Plan, Reading
from oaktag.intake.propose import Proposal, proposed
from oaktag.intake.take_in import outlines_in
from oaktag.job import load_job
from oaktag.model.finding import Finding, Severity
from oaktag.pipeline import make, nest_of, pattern_of
from wardrobe import FIXTURES, oaktag

DRAWINGS = FIXTURES / "drawings"
UNTOLD = {
    "editor-plain-px.svg": Reading(scale=25.4 / 96), "editor-r12.dxf": Reading(unit="mm"),
    "editor-r14.dxf": Reading(unit="mm"),
}  # fmt: skip
"""Drawings that do not say their size, and what a maker says."""


def proposal_of(drawing: Path, reading: Reading = Reading()) -> Proposal:  # noqa: B008
    read, outlines = outlines_in(drawing, Plan(reading))
    return proposed(read, outlines, reading, title="x", file=drawing.name, unit="cm", picture="p.svg")


def said_yes(plan: str) -> str:
    """The plan with the remark signs taken away before every seam."""
    return re.sub(r"(?m)^# (?=\[\[seams\]\]|a = |b = )", "", plan)


# ---- a first plan never stops its own drawing


@pytest.mark.parametrize("name", sorted(p.name for p in DRAWINGS.iterdir() if p.suffix in (".svg", ".dxf")))
def test_a_first_plan_of_every_drawing_finishes_unchanged(name: str, tmp_path: Path) -> None:
    shutil.copy(DRAWINGS / name, tmp_path)
    (tmp_path / "first.toml").write_text(proposal_of(tmp_path / name, UNTOLD.get(name, Reading())).plan)
    assert "pattern.json" in make(load_job(tmp_path / "first.toml"), only=("json",)).files


@pytest.mark.parametrize("seed", range(12))
def test_a_first_plan_of_what_a_hand_drew_finishes_unchanged(seed: int, tmp_path: Path) -> None:
    """Skirts and fronts with darts, with other lines, with strokes anywhere, wobbling by up to 2.5 mm."""
    wobble = (0.3, 0.8, 1.5, 2.5)[seed % 4]
    hand = (
        lambda: skirt(seed, wobble, 1.2),
        lambda: front_with_dart(KINDS[seed], seed, wobble),
        lambda: no_dart(NO_DARTS[2 * seed], seed, wobble),
    )[seed % 3]()
    for _ in range(4):
        x, y = hand.dice.uniform(-20, 290), hand.dice.uniform(-20, 620)
        hand.stroke((x, y), (x + hand.dice.uniform(-60, 60), y + hand.dice.uniform(-60, 60)))
    drawing = hand.svg(tmp_path / "x.svg") if seed % 2 else hand.dxf(tmp_path / "x.dxf")
    (tmp_path / "x.toml").write_text(proposal_of(drawing).plan)
    findings = check_nest(nest_of(load_job(tmp_path / "x.toml")))
    assert [f.message for f in standing_errors(findings)] == []


def test_guessed_seams_are_remarks_until_a_maker_says_yes(tmp_path: Path) -> None:
    shutil.copy(DRAWINGS / "hand-skirt.svg", tmp_path)
    plan = proposal_of(tmp_path / "hand-skirt.svg").plan
    assert "seams" not in tomllib.loads(plan)
    seams = tomllib.loads(said_yes(plan))["seams"]
    assert {"a": "front.e2", "b": "back.e3"} in seams
    (tmp_path / "yes.toml").write_text(said_yes(plan))
    assert len(pattern_of(load_job(tmp_path / "yes.toml")).draft.seams) == len(seams)
    run = oaktag("finish", "hand-skirt.svg", "-o", "quick", "--only", "json", cwd=tmp_path)
    assert run.returncode == 0, run.stdout + run.stderr
    assert f"No seam is walked: {len(seams)} may be meant." in run.stdout


# ---- seams are guessed by joints that fit


def test_the_sides_of_a_hand_drawn_skirt_are_the_first_guess(tmp_path: Path) -> None:
    """Their lengths measured on the points of the SVG by hand: 57 cm, 1.2 mm apart, a notch on each."""
    tree = ET.parse(DRAWINGS / "hand-skirt.svg")
    front, back, _ = (
        [tuple(float(n) for n in pair.split(",")) for pair in polygon.attrib["points"].split()]
        for polygon in tree.iter("{http://www.w3.org/2000/svg}polygon")
    )

    def side(ring: list[tuple[float, ...]], a: tuple[float, float], b: tuple[float, float]) -> float:
        start, end = (min(range(len(ring)), key=lambda i: math.dist(ring[i], p)) for p in (a, b))
        run = ring[start : end + 1] if start <= end else [*ring[start:], *ring[: end + 1]]
        return sum(math.dist(p, q) for p, q in itertools.pairwise(run))

    long = side(front, (270, -12), (226, -581)), side(back, (374, -581), (330, -10.6))
    assert long[0] == pytest.approx(570, abs=3)
    assert long[1] - long[0] == pytest.approx(1.2, abs=0.05)
    plan = proposal_of(DRAWINGS / "hand-skirt.svg").plan
    first = plan[plan.index("# [[seams]]") :].split("\n\n")[0]
    assert "1.2 mm apart; 1 notch of each meet" in first
    assert '"front.e2"' in first and '"back.e3"' in first


@pytest.mark.parametrize("fold", [False, True])
def test_a_fold_is_no_seam(fold: bool, tmp_path: Path) -> None:
    """Both ends of the skirt's waistband are 7 cm long: one is guessed to be sewn to the other, but not on a fold."""
    for name in ("skirt.svg", "skirt-rules.csv"):
        shutil.copy(DRAWINGS / name, tmp_path)
    text = (DRAWINGS / "skirt.toml").read_text()
    own = "outline = 3\n"
    assert own in text
    (tmp_path / "x.toml").write_text(text.replace(own, f'{own}fold = "other_end"\n') if fold else text)
    job = load_job(tmp_path / "x.toml")
    assert job.drawn is not None
    likely, others = joints_of(job.drawn.pieces)
    found = [{joint.a, joint.b} for joint in (*likely, *others)]
    assert {"front.side", "back.side"} in found
    assert ({"waistband.end", "waistband.other_end"} in found) == (not fold)


def halves(side: float, other: float, notch: float | None, slant: float = 0.0) -> Hand:
    """Two pieces whose sides may be sewn: lengths, where the second one's notch lies, how its lower edge rises."""
    hand = Hand(1, 0.0)
    hand.outline((0, 0), (200, 0), (200, side), (0, side + 60))
    hand.outline((300, 0), (520, slant), (520, other - 66), (300, other))
    if notch is not None:
        hand.stroke((200, 100), (194, 100))
        hand.stroke((300, notch), (306, notch))
    return hand


@pytest.mark.parametrize(("hand", "guessed"), [
    (halves(400, 400, None), True),
    (halves(400, 402.9, None), True),
    (halves(400, 403.3, None), False),
    (halves(400, 400, 101.5), True),
    (halves(400, 400, 150), False),
    (halves(400, 400, None, slant=30), True),
    (halves(400, 400, None, slant=90), False),
])  # fmt: skip
def test_a_joint_fits_by_length_ends_and_notches(hand: Hand, guessed: bool, tmp_path: Path) -> None:
    """3 mm of length, 15° at the ends (30 : 220 is 8°, 90 : 220 is 22°), notches at one place."""
    plan = proposal_of(hand.svg(tmp_path / "x.svg")).plan
    assert ('a = "piece1.e2"\n# b = "piece2.e4"' in plan) == guessed, plan


# ---- what differs by a hand's breadth is told, and how to accept it


def seam_finding(tmp_path: Path, longer: float, ease: str = "") -> Finding:
    """Sides of 400 mm, the second so much longer."""
    halves(400, 400 + longer, None).svg(tmp_path / "x.svg")
    (tmp_path / "x.toml").write_text(
        'drawing = "x.svg"\nunits = "cm"\n[pieces.a]\noutline = 1\n[pieces.b]\noutline = 2\n'
        f'[[seams]]\nname = "side"\na = "a.e2"\nb = "b.e4"\n{ease}\n'
    )
    (finding,) = (f for f in check(pattern_of(load_job(tmp_path / "x.toml"))) if f.id == "seam.side")
    return finding


@pytest.mark.parametrize(("longer", "passed", "severity"), [
    (0.4, True, Severity.ERROR), (1.2, False, Severity.WARNING), (-2.9, False, Severity.WARNING),
    (3.2, False, Severity.ERROR), (-8.0, False, Severity.ERROR),
])  # fmt: skip
def test_up_to_3_mm_is_a_warning_and_more_an_error(
    longer: float, passed: bool, severity: Severity, tmp_path: Path
) -> None:
    finding = seam_finding(tmp_path, longer)
    assert (finding.passed, finding.severity) == (passed, severity)


@pytest.mark.parametrize("longer", [0.7, 1.2, -2.9])
def test_the_ease_that_the_warning_names_accepts_it(longer: float, tmp_path: Path) -> None:
    """Typed into the plan as it stands in the message."""
    said = re.search(r'write (ease = "[^"]*")', seam_finding(tmp_path, longer).message)
    assert said
    assert seam_finding(tmp_path, longer, said[1]).passed


# ---- the picture


SVG = "{http://www.w3.org/2000/svg}"


def looked_at(page: str) -> tuple[list[tuple[str, float, shapely.Polygon]], list[shapely.LineString]]:
    """Lettering with the height of its capitals and its box, by a typeface that is not the project's; and all lines
    but those that lead to lettering. On the page, mm."""
    root = ET.fromstring(page)
    assert root.attrib["width"].endswith("mm") and root.attrib["height"].endswith("mm")
    wide, high = (float(root.attrib[key].removesuffix("mm")) for key in ("width", "height"))
    assert root.attrib["viewBox"].split()[2:] == [f"{wide:g}", root.attrib["height"].removesuffix("mm")]
    assert wide <= 190 and high <= 259  # A4 is 210 × 297 and Letter 215.9 × 279.4 mm; 10 mm to each side stay free
    face = ImageFont.load_default(size=1000)
    words = []
    for text in root.iter(f"{SVG}text"):
        said, size = text.text or "", float(text.attrib["font-size"]) / 1000
        left, top, right, bottom = (n * size for n in face.getbbox(said, anchor="ms"))  # type: ignore[union-attr]
        x, y = float(text.attrib["x"]), float(text.attrib["y"])
        capital = -face.getbbox("H", anchor="ms")[1] * size  # type: ignore[union-attr]
        words.append((said, capital, shapely.box(x + left, y + top, x + right, y + bottom)))
    lines = []
    for path in root.iter(f"{SVG}path"):
        if path.attrib["class"] != "leader":
            numbers = [float(n) for n in re.findall(r"-?[\d.]+", path.attrib["d"])]
            points = list(zip(numbers[::2], numbers[1::2], strict=True))
            lines.append(shapely.LineString([*points, points[0]] if path.attrib["d"].endswith("Z") else points))
    return words, lines


def many(count: int) -> Hand:
    """Small pieces with short edges, in rows: more than one page has room for."""
    hand = Hand(5, 0.4)
    for i in range(count):
        x, y = i % 6 * 120.0, i // 6 * 120.0
        steps = ((0, 0), (90, 0), (90, 40), (82, 48), (30, 48), (30, 90), (0, 90))
        hand.outline(*((x + dx, y + dy) for dx, dy in steps))
        hand.stroke((x + 10, y + 10), (x + 10, y + 70))
    return hand


@pytest.mark.parametrize(("hand", "pages"), [
    (skirt(4, 0.5), 1), (front_with_dart("legs and middle in three strokes", 1, 0.5), 1),
    (no_dart("sunray pleats", 1, 0.5), 1), (many(14), 4), (halves(400, 400, 100), 1),
])  # fmt: skip
def test_lettering_of_the_picture_can_be_read_and_touches_nothing(hand: Hand, pages: int, tmp_path: Path) -> None:
    found = proposal_of(hand.svg(tmp_path / "x.svg"))
    assert len(found.pictures) == pages
    for page in found.pictures:
        words, lines = looked_at(page)
        assert min(capital for _, capital, _ in words) >= 3.0
        for said, _, box in words:
            assert not any(line.intersects(box) for line in lines), said
        for (said, _, box), (other, _, near) in itertools.combinations(words, 2):
            assert not box.intersects(near), (said, other)
    # every edge has its number and every line that is asked about its letter
    shown = [text for page in found.pictures[-1:] if pages == 1 for text, _, _ in looked_at(page)[0]]
    if pages == 1:
        edges = re.findall(r"# (\d+): .* mm\), goes", found.plan)
        assert sorted(t for t in shown if t.isdigit()) == sorted(edges)
        letters = re.findall(r'(?m)^# ([A-Z]+) +"line', found.plan)
        assert sorted(t for t in shown if t.isalpha() and t.isupper()) == letters


def test_all_pages_of_the_picture_are_written_and_named(tmp_path: Path) -> None:
    many(14).svg(tmp_path / "x.svg")
    run = oaktag("finish", "x.svg", "--propose", "first.toml", cwd=tmp_path)
    assert run.returncode == 0, run.stderr
    names = ["first-numbers.svg", *(f"first-numbers-{n}.svg" for n in (2, 3, 4))]
    assert sorted(p.name for p in tmp_path.glob("first-numbers*.svg")) == sorted(names)
    assert "first-numbers.svg and its 3 more pages" in (tmp_path / "first.toml").read_text()
    letters = {t for p in names for t, _, _ in looked_at((tmp_path / p).read_text())[0] if t.isalpha() and t.isupper()}
    asked = re.findall(r'(?m)^# ([A-Z]+) +"line', (tmp_path / "first.toml").read_text())
    assert set(asked) == letters and len(asked) == 14


def test_of_very_many_edges_the_longest_have_their_numbers(tmp_path: Path) -> None:
    """A comb of 80 teeth on a strip: its back and its two ends are told in the picture, whatever is left out."""
    teeth = "".join(f"V{0 if i % 2 else 8}H{(80 - i) * 10 - 10}" for i in range(80))
    path = f'<path d="M0 100H800V0{teeth}V100Z"/>'
    (tmp_path / "x.svg").write_text(
        f'<svg xmlns="http://www.w3.org/2000/svg" width="900mm" height="200mm" viewBox="0 0 900 200">{path}</svg>'
    )
    found = proposal_of(tmp_path / "x.svg")
    edges = {n: float(mm) for n, mm in re.findall(r"# (\d+): .*?\(?([\d.]+) mm\)?, goes", found.plan)}
    assert len(edges) > 150
    shown = {text for page in found.pictures for text, _, _ in looked_at(page)[0]}
    longest = sorted(edges, key=lambda n: -edges[n])[:3]
    assert [edges[n] for n in longest] == pytest.approx([800.0, 100.0, 92.0], abs=0.1)
    assert set(longest) <= shown
    assert len(shown & set(edges)) < len(edges)


@pytest.mark.parametrize("radius", [9.0, 300.0])
def test_round_lines_are_drawn_round_at_any_scale(radius: float, tmp_path: Path) -> None:
    """A circle in a square, small or large: on the page it lies nowhere further than 0.1 mm within its own circle."""
    side = 4 * radius
    inner = f'<rect width="{side}" height="{side}"/><circle cx="{side / 2}" cy="{side / 2}" r="{radius}"/>'
    (tmp_path / "x.svg").write_text(
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{side}mm" height="{side}mm" viewBox="0 0 {side} {side}">'
        f'<g fill="none" stroke="black">{inner}</g></svg>'
    )
    (page,) = proposal_of(tmp_path / "x.svg").pictures
    rounds = [line for line in looked_at(page)[1] if len(line.coords) > 12]
    assert rounds
    for line in rounds:
        round_it = shapely.minimum_bounding_circle(line)
        middles = shapely.points([line.interpolate(i / 997, normalized=True).coords[0] for i in range(997)])
        near = float(shapely.distance(round_it.centroid, middles).min())
        assert shapely.minimum_bounding_radius(line) - near < 0.11
