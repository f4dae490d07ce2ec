"""`oaktag fitting`: the list, one fault whole, its picture and page; and what it says to write in a job."""

from __future__ import annotations

import json
import re
import xml.etree.ElementTree as ET
from functools import cache
from html.parser import HTMLParser
from pathlib import Path

import pytest

from oaktag.draft.garment import GARMENT_NAMES, find_garment
from oaktag.export.fault_picture import changed, picture
from oaktag.export.fitting_page import render
from oaktag.fitting.in_words import in_the_job, reach, sample, table_of, usual_side
from oaktag.fitting.table import BY_NAME, GROUPS
from oaktag.fitting.tried import Tried, shown, tried
from oaktag.job import load_job
from oaktag.model.fitted import Ask
from oaktag.units import UNITS, Unit
from wardrobe import oaktag

JOB = """title = "Lighthouse choir"
garment = "bodice"
units = "in"
[measurements]
bust_girth = 38
waist_girth = 30
hip_girth = 41
shoulder_width = 15
back_waist_length = 16
upper_arm_girth = 12
"""


@cache
def first(name: str) -> Tried | None:
    """The fault on the first garment of the register that has it, the blocks before the others."""
    order = sorted(GARMENT_NAMES, key=lambda each: each not in ("bodice", "straight-skirt", "trousers", "shirt"))
    found = (tried((BY_NAME[name],), "cm", (find_garment(garment),))[name] for garment in order)
    return next((shown(rows, BY_NAME[name]) for rows in found if rows), None)


def asks_of(text: str, tmp_path: Path) -> tuple[Ask, ...]:
    (tmp_path / "job.toml").write_text(f"{JOB}{text}\n", encoding="utf-8")
    return load_job(tmp_path / "job.toml").fitting.asks


def test_all_faults_are_listed_in_the_order_of_fitting(tmp_path: Path) -> None:
    run = oaktag("fitting", cwd=tmp_path)
    assert run.returncode == 0
    named = re.findall(r"^  (\w+)$", run.stdout, re.MULTILINE)
    assert named == list(BY_NAME)
    for head in ("sign", "pin", "amount"):
        assert len(re.findall(rf"^    {head} ", run.stdout, re.MULTILINE)) == len(named)
    assert "caution Pins:" in run.stdout and "caution Iron:" in run.stdout
    told = json.loads(oaktag("fitting", "--json", cwd=tmp_path).stdout)
    assert [row["name"] for row in told] == list(BY_NAME)
    assert [row["group"] for row in told] == [group for group, rows in GROUPS.items() for _ in rows]


@pytest.mark.parametrize("name", BY_NAME)
def test_the_words_of_a_fault_read_alike(name: str) -> None:
    """As a dressmaker says it: small letters, no full stop at the end, and a hand's breadth of words."""
    fault = BY_NAME[name]
    for field in ("sign", "pin", "change", "stays"):
        words = getattr(fault, field)
        assert 5 <= len(words) <= 260, field
        assert words[0].islower(), field
        assert not words.endswith("."), field
        assert "  " not in words, field
        assert not re.search(r"\b\d+(\.\d+)? ?mm\b", words), field  # amounts stand in `usual`, in both units
    assert re.search(r"measure|amount|how much|difference", fault.pin), "what of it is measured"
    assert not re.search(r"\d", fault.usual) or re.search(r"\bin\b.*\b[cm]m\b", fault.usual)


@pytest.mark.parametrize("spelt", ["sway_back", "sway-back", "Sway Back", "SWAY BACK"])
def test_a_name_may_be_spelt_as_it_is_said(spelt: str, tmp_path: Path) -> None:
    run = oaktag("fitting", spelt, "-o", "one.txt", cwd=tmp_path)
    assert "one.txt: is no name of a picture" in run.stderr  # and not: no fault of fit


def test_one_fault_whole_and_its_picture(tmp_path: Path) -> None:
    run = oaktag("fitting", "sway", "back", "-o", "one.svg", cwd=tmp_path)
    assert run.returncode == 0, run.stderr
    assert run.stdout.endswith("wrote one.svg\n")
    ET.parse(tmp_path / "one.svg")
    fault = BY_NAME["sway_back"]
    flat = " ".join(run.stdout.split())
    for words in (fault.sign, fault.pin, fault.change, fault.stays, fault.usual):
        assert words in flat
    assert 'sway_back = "3/8 in"' in run.stdout
    assert re.search(r" in [a-z, -]*\bbodice\b", flat)
    assert "caution Blades:" in run.stdout


def test_which_garments_have_it_is_worked_out() -> None:
    # a skirt has no shoulders, a bodice no crotch (anatomy)
    tops, skirts = ("bodice", "shirt"), ("straight-skirt", "gathered-skirt")
    garments = tuple(map(find_garment, (*tops, *skirts, "trousers")))
    found = tried((BY_NAME["sloping_shoulder"], BY_NAME["crotch_depth"]), "cm", garments)
    assert [row.garment for row in found["sloping_shoulder"]] == list(tops)
    assert [row.garment for row in found["crotch_depth"]] == ["trousers"]


@pytest.mark.parametrize("name", GARMENT_NAMES)
def test_every_fault_on_every_garment_is_mended_or_refused_in_words(name: str) -> None:
    found = tried(tuple(BY_NAME.values()), "cm", (find_garment(name),))  # whatever else is raised is a fault of ours
    assert set(found) == set(BY_NAME)


@pytest.mark.parametrize("name", BY_NAME)
def test_a_garment_that_ships_has_the_fault_and_its_picture(name: str) -> None:
    best = first(name)
    assert best is not None
    svg = picture(best, "in")
    root = ET.fromstring(svg)
    assert "Not to scale" in root.findtext("{http://www.w3.org/2000/svg}title", "")
    rings = root.findall(".//{http://www.w3.org/2000/svg}circle")
    assert len(rings) == len(root.findall(".//{http://www.w3.org/2000/svg}text")) >= 1
    box = [float(x) for x in root.get("viewBox", "").split()]
    numbers = [float(x) for path in root.iter("{http://www.w3.org/2000/svg}path")
               for x in re.findall(r"-?[\d.]+", path.get("d", ""))]  # fmt: skip
    assert min(numbers) >= 0 and max(numbers) <= max(box)


def test_the_ring_is_where_it_was_pinned() -> None:
    # what is pinched at the centre back is what the centre back loses (common practice, no source)
    rows = tried((BY_NAME["sway_back"],), "cm", (find_garment("straight-skirt"),))["sway_back"]
    best = shown(rows, BY_NAME["sway_back"])
    assert best is not None
    (back, *_) = changed(best)
    assert back.after.name == "back"
    assert back.far == pytest.approx(best.ask.amount, rel=0.1)
    assert abs(back.at[0]) < 5 and abs(back.at[1]) < 30  # the centre, at the waist


@pytest.mark.parametrize("name", BY_NAME)
@pytest.mark.parametrize("unit", UNITS)
def test_what_it_says_to_write_is_read_as_it_was_meant(name: str, unit: Unit, tmp_path: Path) -> None:
    fault = BY_NAME[name]
    for side in ("", "left", "right"):
        (ask,) = asks_of(in_the_job(fault, unit, side), tmp_path)  # type: ignore[arg-type]
        assert (ask.fault, ask.side) == (name, side or usual_side(fault))
        assert ask.amount == pytest.approx(sample(fault, unit), abs=1e-6)
    assert reach(fault, unit).endswith(unit)


def test_a_table_of_many_is_read_as_it_was(tmp_path: Path) -> None:
    asks = (Ask("sway_back", 9.7), Ask("high_hip", 12.7, "left"), Ask("square_shoulder", 6.35, "left"),
            Ask("square_shoulder", 10.0, "right"))  # fmt: skip
    assert asks_of(table_of(asks, "in"), tmp_path) == asks
    let = BY_NAME["let_out"]
    two = tuple(Ask("let_out", 5.0 + k, seam=seam, level=let.levels[0]) for k, seam in enumerate(let.seams[:2]))
    assert asks_of(table_of(two, "cm"), tmp_path) == two


class Page(HTMLParser):
    """What stands on a page: headings, pictures, and what it would fetch or run."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.outside: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.outside += [value or "" for name, value in attrs
                         if name in ("src", "href") and not (value or "").startswith("#")]  # fmt: skip


def test_the_page_has_every_fault_with_its_figure_and_needs_nothing_from_outside() -> None:
    drawn = [rows[0].name for rows in GROUPS.values()]  # one of each group with its pieces
    text = render(GROUPS, {name: [one] for name in drawn if (one := first(name))}, "cm").decode()
    page = Page(text)
    assert page.tags.count("h3") == len(BY_NAME)
    assert page.tags.count("svg") == len(BY_NAME) + len(drawn)
    assert "script" not in page.tags and page.outside == []
    assert "Pins: point them away" in text and "Needles and irons." in text
    assert len(text) < 1_500_000


def test_a_page_of_one_has_its_name_once() -> None:
    text = render({"sway back": (BY_NAME["sway_back"],)}, {}, "in").decode()
    assert "<h1>Sway back</h1>" in text
    assert Page(text).tags.count("h3") == 0


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("qqqq",), '"qqqq" is in no sign of a fault'),
        (("sway_back", "-o", "one.txt"), "a name that ends in .svg or .html"),
        (("-o", "all.svg"), "one that ends in .html"),
        (("folds", "across", "-o", "a.svg"), "is not a fault of fit"),
        (("--answers", "1"), "nothing was asked"),
        (("sway_back", "--ask"), "--ask needs no name"),
    ],
)
def test_mistakes_are_told_and_nothing_is_written(words: tuple[str, ...], told: str, tmp_path: Path) -> None:
    run = oaktag("fitting", *words, cwd=tmp_path)
    assert run.returncode == 2 and told in run.stderr, run.stderr
    assert list(tmp_path.iterdir()) == []
