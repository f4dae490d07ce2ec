"""The SVG, read by two others: the XML parser of the standard library, and svgelements at 25.4 pixels an inch."""

from __future__ import annotations

import io
import re
import warnings
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from oaktag.errors import GeometryError
from oaktag.export import svg
from oaktag.sheet.strokes import Figure, Role, Sheet, Stroke

SVG = "{http://www.w3.org/2000/svg}"

SQUARE = Stroke(Role.SCALE, ((20, 30), (120, 30), (120, 130), (20, 130)), closed=True)
BLOCK = Figure("scale block", (SQUARE, Stroke(Role.SCALE, ((20, 30), (120, 130)))))
FRONT = Figure(
    "front",
    (
        Stroke(Role.CUT, ((150, 10), (400.12345, 10), (390, 590.5), (150, 600)), closed=True),
        Stroke(Role.GRAIN, ((200, 100), (200, 500))),
        Stroke(Role.NOTCH, ((400, 300), (394, 300))),
        Stroke(Role.NOTCH, ((400, 320), (394, 320))),
    ),
)
SHEET = Sheet("Lighthouse choir, alto 3", 420.0, 610.5, (FRONT, BLOCK))


def root_of(sheet: Sheet) -> ElementTree.Element:
    return ElementTree.fromstring(svg.render(sheet))


def paths(sheet: Sheet) -> dict[str, list[list[tuple[float, float]]]]:
    """Path id -> its subpaths in mm with y up, read by svgelements; a closed one ends where it began."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import svgelements

        drawing = svgelements.SVG.parse(io.BytesIO(svg.render(sheet)), ppi=25.4, reify=True)
        found = {}
        for element in drawing.elements():
            if isinstance(element, svgelements.Path):
                found[element.id] = [
                    [
                        (float(s.end.x), sheet.height - float(s.end.y))
                        for s in sub
                        if s.end is not None and (not isinstance(s, svgelements.Close) or s.end != s.start)
                    ]
                    for sub in element.as_subpaths()
                ]
        return found


def test_every_role_has_a_style() -> None:
    assert set(svg.STYLES) == set(Role)


def test_lines_are_told_apart_without_colour() -> None:
    long_lines = (Role.CUT, Role.STITCH, Role.FOLD, Role.DART, Role.INTERNAL, Role.GRAIN)
    dashes = [svg.STYLES[role].dashes for role in long_lines]
    assert len(set(dashes)) == len(long_lines) - 1  # the cut line and the grain line alone are both unbroken
    assert svg.STYLES[Role.CUT].width >= 2 * svg.STYLES[Role.GRAIN].width
    assert svg.STYLES[Role.SCALE].dashes == () == svg.STYLES[Role.LABEL].dashes


def test_colours_are_dark_on_white() -> None:
    for style in svg.STYLES.values():
        red, green, blue = (int(style.colour[i : i + 2], 16) / 255 for i in (1, 3, 5))
        linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in (red, green, blue)]
        luminance = 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]
        assert 1.05 / (luminance + 0.05) >= 7  # contrast for text, level AAA: WCAG 2.1, 1.4.6


def test_size_and_scale_are_stated_in_mm() -> None:
    root = root_of(SHEET)
    assert root.attrib["width"] == "420mm"
    assert root.attrib["height"] == "610.5mm"
    assert root.attrib["viewBox"] == "0 0 420 610.5"
    title, desc = root.find(f"{SVG}title"), root.find(f"{SVG}desc")
    assert title is not None
    assert title.text == "Lighthouse choir, alto 3"
    assert desc is not None
    assert "one user unit is 1 mm" in (desc.text or "")


def test_a_group_for_each_role_in_use_and_a_path_for_each_figure() -> None:
    groups = {g.attrib["id"]: [p.attrib["id"] for p in g.findall(f"{SVG}path")] for g in root_of(SHEET)[2:]}
    assert groups == {
        "cut-line": ["front.cut-line"],
        "notches": ["front.notches"],
        "grain-line": ["front.grain-line"],
        "scale-block": ["scale-block.scale-block"],
    }


def test_geometry_read_by_another() -> None:
    found = paths(SHEET)
    square = found["scale-block.scale-block"][0]
    for got, want in zip(square, [(20, 30), (120, 30), (120, 130), (20, 130)], strict=False):
        assert got == pytest.approx(want, abs=1e-3)
    assert square[-1] == pytest.approx((20, 30), abs=1e-3)  # closed
    outline = [(150, 10), (400.12345, 10), (390, 590.5), (150, 600), (150, 10)]
    for got, want in zip(found["front.cut-line"][0], outline, strict=True):
        assert got == pytest.approx(want, abs=1e-3)  # svgelements takes 1 mm for 0.0393701 in
    assert len(found["front.notches"]) == 2


def test_y_is_turned_over_once() -> None:
    (path,) = [p for p in root_of(SHEET).iter(f"{SVG}path") if p.attrib["id"] == "front.grain-line"]
    assert path.attrib["d"] == "M200 510.5 L200 110.5"  # 610.5 - 100, 610.5 - 500


def test_numbers_have_four_decimals_at_most_and_no_exponent() -> None:
    sheet = Sheet("", 10, 10, (Figure("f", (Stroke(Role.CUT, ((1e-9, 10 + 1e-9), (1 / 3, 2 / 3), (10, 5.10))),)),))
    (path,) = root_of(sheet).iter(f"{SVG}path")
    assert path.attrib["d"] == "M0 0 L0.3333 9.3333 L10 4.9"


def test_ids_are_unique_for_pieces_of_one_name() -> None:
    figures = tuple(Figure(name, (SQUARE,)) for name in ("front", "front", "front.2", "side front", "side-front", "+"))
    ids = [e.attrib["id"] for e in root_of(Sheet("", 200, 200, figures)).iter() if "id" in e.attrib]
    assert len(ids) == len(set(ids)) == 7
    assert "side-front.scale-block" in ids


@given(st.text(), st.lists(st.text(), max_size=4))
def test_any_text_makes_a_well_formed_file(title: str, names: list[str]) -> None:
    root = root_of(Sheet(title, 200, 200, tuple(Figure(name, (SQUARE,)) for name in names)))
    ids = [p.attrib["id"] for p in root.iter(f"{SVG}path")]
    assert len(ids) == len(set(ids)) == len(names)
    assert all(re.fullmatch(r"[^\s]+\.scale-block", i) for i in ids)


@pytest.mark.parametrize("point", [(-1, 5), (5, 201), (float("nan"), 5), (float("inf"), 5)])
def test_what_would_not_be_seen_is_refused(point: tuple[float, float]) -> None:
    sheet = Sheet("", 200, 200, (Figure("front", (Stroke(Role.CUT, ((5, 5), point)),)),))
    with pytest.raises(
        GeometryError, match=r"^front: the cut line reaches .* outside the sheet of 200\.0 by 200\.0 mm"
    ):
        svg.render(sheet)


def test_same_sheet_same_bytes() -> None:
    assert svg.render(SHEET) == svg.render(SHEET)
