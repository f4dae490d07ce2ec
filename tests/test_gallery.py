"""The pictures of docs/wardrobe.md are those of the code; `python docs/pictures/pieces.py` makes them anew."""

from __future__ import annotations

import importlib.util
import re
from pathlib import Path
from types import ModuleType
from xml.etree import ElementTree

import pytest

from oaktag.draft.garment import GARMENT_NAMES, find_garment
from oaktag.draft.options import ChoiceOption
from wardrobe import ROOT

PICTURES = ROOT / "docs" / "pictures"
MAKE = "python docs/pictures/pieces.py"


def _pieces() -> ModuleType:
    spec = importlib.util.spec_from_file_location("pictures_of_pieces", PICTURES / "pieces.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


PIECES = _pieces()
TEXT = "{http://www.w3.org/2000/svg}text"
UNSEEN: dict[str, set[str]] = {
    "sheath-dress": {"bust_dart", "opening_length", "lining_pleat"},
    "circle-skirt": {"cloth_wide"},
    "gathered-skirt": {"flounce_fullness"},
    "pleated-skirt": {"lap_over"},
    "t-shirt": {"stretch_along"},
    "leggings": {"elastic_wide", "hem_deep"},
    "salwar": {"casing", "hem_deep"},
    "shirt": {"ease_biceps"},
    "trousers": {"lap"},
    "bodice": {"ease_hip"},
    "kimono-gown": {"sleeve_hem"},
    "princess-slip": {"inlay", "hem_deep"},
    "saree-blouse": {"inlay", "hem_deep"},
    "childs-bodice": {"let_down"},
    "childs-dress": {"button"},
    "pinafore": {"neck_deep", "hem_deep"},
    "sokoto": {"closure", "turned_in"},
    "bubu": {"cloth_wide", "hem_half"},
    "wrapper": {"cloth_wide", "hem_deep"},
    "childs-trousers": {"hem_deep"},
    "school-shirt": {"laps", "sleeve_hem"},
}
"""Options that change no line of the figure that is shown, or that it can be drafted without alone."""
REFUSED: dict[str, set[str]] = {"bodice": {"back drop", "back slit"}}
"""Words of choices that this figure cannot be drafted with."""
_NUMBER = re.compile(r"-?\d+(?:\.\d+)?")


def test_every_garment_has_its_section() -> None:
    assert set(PIECES.told()) == set(GARMENT_NAMES)
    assert len(PIECES.told()) == len(set(PIECES.told()))


def kept_as(name: str, drawn: str, kept: Path, within: float) -> None:
    """The picture that is kept is the one that is drawn now, but for the last digit."""
    assert kept.exists(), f"type {MAKE} {name}"
    text = kept.read_text(encoding="utf-8")
    assert _NUMBER.sub("#", drawn) == _NUMBER.sub("#", text), f"it has changed: look at it, and type {MAKE} {name}"
    off = max(abs(float(a) - float(b)) for a, b in zip(_NUMBER.findall(drawn), _NUMBER.findall(text), strict=True))
    assert off <= within, f"a line lies {off:.1f} mm off; look at it, and type {MAKE} {name}"


@pytest.mark.parametrize("name", PIECES.told())
def test_a_picture_is_that_of_the_code(name: str) -> None:
    path = PICTURES / f"pieces-{name}.svg"
    svg, words = PIECES.picture(name)
    kept_as(name, svg, path, 0.1001)  # written to 0.1 mm
    page = PIECES.PAGE.read_text(encoding="utf-8")
    assert PIECES.shown(page, name, words) == page, f"type {MAKE} {name}"
    texts = [text.text or "" for text in ElementTree.parse(path).getroot().iter(TEXT)]
    assert texts[::2] == words.split(", ")


@pytest.mark.parametrize("name", PIECES.told())
def test_a_garment_as_worn_is_that_of_the_code(name: str) -> None:
    kept_as(name, PIECES.worn(name), PICTURES / f"flat-{name}.svg", 1.001)  # written to 1 mm


@pytest.mark.parametrize("name", PIECES.told())
def test_a_garment_as_worn_is_seen_from_both_sides(name: str) -> None:
    """Two views, as wide as each other to a quarter: they hang on one body. No line leaves the picture."""
    root = ElementTree.parse(PICTURES / f"flat-{name}.svg").getroot()
    assert [text.text for text in root.iter(TEXT)] == ["front", "back"]
    wide, tall = (float(number) for number in root.attrib["viewBox"].split()[2:])
    middle = sum(float(text.attrib["x"]) for text in root.iter(TEXT)) / 2
    xs = []
    for path in root.iter("{http://www.w3.org/2000/svg}path"):
        places = [tuple(map(float, place.split(","))) for place in re.findall(r"-?\d+,-?\d+", path.attrib["d"])]
        assert all(0 <= x <= wide and 0 <= y <= tall for x, y in places)
        xs += [x for x, _ in places]
    views = [[x for x in xs if x < middle], [x for x in xs if x > middle]]
    front, back = (max(view) - min(view) for view in views)
    assert abs(front - back) <= 0.25 * max(front, back)


@pytest.mark.parametrize("name", PIECES.told())
def test_the_options_have_their_pictures(name: str) -> None:
    """Every choice with each of its words; a sheet is small enough for a page (80 kB)."""
    path = PICTURES / f"styles-{name}.svg"
    assert path.stat().st_size < 80_000
    texts = [text.text or "" for text in ElementTree.parse(path).getroot().iter(TEXT)]
    shown = [words.split(" (with ")[0].rpartition(": ")[2] for words in texts if ": " in words.split(" (with ")[0]]
    options = find_garment(name).options
    missing = {option.name for option in options} - set(shown)
    assert missing <= UNSEEN.get(name, set()), f"type {MAKE} {name}"
    for option in options:
        if isinstance(option, ChoiceOption) and option.name in shown and not option.choices[-1].isdigit():
            assert {*option.choices} - {*texts} <= {"auto", *REFUSED.get(name, ())}, option.name


@pytest.mark.parametrize("kind", ["flat", "pieces", "styles"])
def test_no_picture_is_of_a_garment_that_is_not_here(kind: str) -> None:
    assert {path.stem.removeprefix(f"{kind}-") for path in PICTURES.glob(f"{kind}-*.svg")} == set(PIECES.told())


@pytest.mark.parametrize("name", PIECES.told())
def test_every_half_has_the_bracket_of_its_fold(name: str) -> None:
    """Blue as the grain line, which has two points: four, both ends as far to the left (halves have x = 0 as their
    centre line), the others inside."""
    kept = (PICTURES / f"pieces-{name}.svg").read_text(encoding="utf-8")
    runs = [re.findall(r"([\d.]+),[\d.]+", run) for run in re.findall(r'd="M([^"]*)"[^>]*#1f4e79', kept)]
    brackets = [[float(x) for x in run] for run in runs if len(run) == 4]
    assert len(brackets) == len(re.findall(r">cut \d+ on the fold,", kept))
    assert all(a == d and b == c and b > a for a, b, c, d in brackets)
