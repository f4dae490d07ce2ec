"""The pictures of docs/wardrobe.md are those of the code; `python docs/pictures/pieces.py` makes them anew."""

from __future__ import annotations

import importlib.util
import re
from types import ModuleType
from xml.etree import ElementTree

import pytest

from oaktag.draft.garment import GARMENT_NAMES
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
_NUMBER = re.compile(r"-?\d+(?:\.\d+)?")


def test_every_garment_but_the_one_of_the_guide_has_its_section() -> None:
    assert {*PIECES.told(), "sheath-dress"} == set(GARMENT_NAMES)
    assert len(PIECES.told()) == len(set(PIECES.told()))


@pytest.mark.parametrize("name", PIECES.told())
def test_a_picture_is_that_of_the_code(name: str) -> None:
    path = PICTURES / f"pieces-{name}.svg"
    assert path.exists(), f"type {MAKE}"
    kept = path.read_text(encoding="utf-8")
    svg, words = PIECES.picture(name)
    assert _NUMBER.sub("#", svg) == _NUMBER.sub("#", kept), f"it has changed: look at it, and type {MAKE}"
    off = max(abs(float(a) - float(b)) for a, b in zip(_NUMBER.findall(svg), _NUMBER.findall(kept), strict=True))
    assert off <= 0.1001, f"a line lies {off:.1f} mm off; look at it, and type {MAKE}"  # written to 0.1 mm
    page = PIECES.PAGE.read_text(encoding="utf-8")
    assert PIECES.shown(page, name, words) == page, f"type {MAKE}"
    texts = [text.text or "" for text in ElementTree.fromstring(kept).iter("{http://www.w3.org/2000/svg}text")]
    assert texts[::2] == words.split(", ")


def test_no_picture_is_of_a_garment_that_is_not_here() -> None:
    assert {path.stem.removeprefix("pieces-") for path in PICTURES.glob("pieces-*.svg")} == set(PIECES.told())


@pytest.mark.parametrize("name", PIECES.told())
def test_every_half_has_the_bracket_of_its_fold(name: str) -> None:
    """Blue as the grain line, which has two points: four, both ends as far to the left (halves have x = 0 as their
    centre line), the others inside."""
    kept = (PICTURES / f"pieces-{name}.svg").read_text(encoding="utf-8")
    runs = [re.findall(r"([\d.]+),[\d.]+", run) for run in re.findall(r'd="M([^"]*)"[^>]*#1f4e79', kept)]
    brackets = [[float(x) for x in run] for run in runs if len(run) == 4]
    assert len(brackets) == len(re.findall(r">cut \d+ on the fold,", kept))
    assert all(a == d and b == c and b > a for a, b, c, d in brackets)
