"""A child's bodice, the dress from a yoke, the pinafore: worked rows, children of a survey, sizes, what passes."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from statistics import median

import pytest

from by_the_tape import CHILDREN, agrees, drafted, measured_whole, number, piece, worked, worst_kink
from oaktag.body.charts import shipped
from oaktag.body.measurements import Measurements
from oaktag.checks.run import check, standing_errors
from oaktag.draft.garment import GARMENT_NAMES, find_garment
from oaktag.errors import DraftError
from oaktag.garments.childs_bodice import childs_bodice
from oaktag.garments.childs_dress import childs_dress
from oaktag.garments.parts.neckline import neck_round
from oaktag.garments.pinafore import pinafore
from oaktag.model.draft import Draft
from oaktag.units import INCH
from wardrobe import finished, found, oaktag

CHART = shipped("children")
OURS = (childs_bodice, childs_dress, pinafore)
CHILD = Measurements(CHART.body("110"), wearer="child")
EVERY_FIFTH = list(measured_whole(CHILDREN).items())[::5]


def child(**mm: float) -> Measurements:
    """The middle of the chart, but for these."""
    return Measurements({**CHILD, **mm}, wearer="child")


@cache
def usual(name: str, whom: str = "") -> Draft:
    body = measured_whole(CHILDREN)[whom] if whom else CHILD
    return drafted(find_garment(name), body, "cm")


# ---------------------------------------------------------------- worked rows


def test_the_block_has_the_numbers_of_the_teaching_page() -> None:
    """With the page's own ease of 4 cm; ours has 8 (worked rules 6: with 4 the underarm is too narrow on 34 of 40)."""
    inputs = [number(worked()[row], name) * 10
              for row, name in (("gw-197", "chest"), ("gw-198", "back_length"), ("gw-199", "neck"))]  # fmt: skip
    chest, back_length, neck = inputs
    body = child(bust_girth=chest, back_waist_length=back_length, neck_base_girth=neck)
    draft = drafted(childs_bodice, body, "cm", ease_chest=4)
    front, back = piece(draft, "front"), piece(draft, "back")
    agrees("gw-197", (front.points["underarm"].x + back.points["underarm"].x) / 10)
    agrees("gw-198", -back.points["waist_centre"].y / 10)
    agrees("gw-199", front.points["neck_side"].x / 10)
    agrees("gw-200", -front.points["neck_centre"].y / 10)
    assert back.points["neck_centre"].y == pytest.approx(-15)  # the page: 1.5 cm
    assert front.points["shoulder_tip"].y == pytest.approx(-25)  # the page: 2.5 cm


def test_a_shoulder_that_was_not_measured_is_that_of_the_preschool_chart() -> None:
    stature = number(worked()["gw-233"], "height") * 10
    body = {k: v for k, v in CHILD.items() if k != "shoulder_length"} | {"stature": stature}
    draft = drafted(childs_bodice, Measurements(body, wearer="child"), "cm", ease_chest=10)
    agrees("gw-233", piece(draft, "front").edge("shoulder").length() / 10)


def test_the_pinafore_has_the_numbers_of_its_page() -> None:
    chest, shoulder = (number(worked()[row], name) for row, name in (("gw-202", "chest"), ("gw-201", "shoulder")))
    body = child(bust_girth=chest * INCH, shoulder_width=shoulder * INCH)
    draft = drafted(pinafore, body, "in", strap_wide=1)  # the page's shoulder is that of a small child
    front, ruffle = piece(draft, "front"), piece(draft, "ruffle")
    agrees("gw-201", front.points["strap_out"].x / INCH)
    agrees("gw-202", -front.points["underarm"].y / INCH)
    agrees("gw-203", front.points["underarm"].x / INCH)
    agrees("gw-204", front.points["hem_side"].x / INCH)
    hems = sum(piece(draft, name).edge("hem").length() for name in ("front", "back"))
    assert ruffle.edge("top").length() * 2 == pytest.approx(2 * hems)
    row = worked()["gw-205"]  # of the page's straight quarter; ours goes along the curve of the hem
    assert ruffle.points["top_side"].x / INCH == pytest.approx(float(row["value"]), rel=0.005)


# ---------------------------------------------------------------- children of the survey, and sizes


@pytest.mark.parametrize("garment", OURS, ids=lambda garment: garment.name)
def test_no_check_fails_on_measured_children(garment: object) -> None:
    refused = []
    for whom, _ in EVERY_FIFTH:
        try:
            draft = usual(garment.name, whom)  # type: ignore[attr-defined]
        except DraftError as error:
            refused.append(str(error))
            continue
        assert standing_errors(check(finished(draft, "cm"))) == (), whom
    assert len(refused) <= 1, refused  # 2 in 100


@pytest.mark.parametrize("garment", OURS, ids=lambda garment: garment.name)
def test_the_sizes_of_the_chart_are_drafted_as_a_set(garment: object, tmp_path: Path) -> None:
    (tmp_path / "job.toml").write_text(
        f'garment = "{garment.name}"\nunits = "cm"\n[sizes]\nchart = "children"\nbase = "122"\n'  # type: ignore[attr-defined]
        'make = ["92", "104", "122", "140", "152"]\n', encoding="utf-8",
    )  # fmt: skip
    told = oaktag("check", "job.toml", cwd=tmp_path)
    assert told.returncode == 0, told.stdout + told.stderr


def test_the_block_fits_children_as_it_was_proved() -> None:
    """Worked rules 6: a head never passes the neck, an opening of 10 to 15 cm lets it; the neck is the neck's base and
    -0.7 to 1.6 cm (here within 1.6); an armhole is 0.51 to 0.63 of the chest in the middle, and longer than the arm by
    more than the 7 cm below which it binds (claims on sleeves)."""
    parts = []
    for whom, body in EVERY_FIFTH:
        draft = usual("childs-bodice", whom)
        front, back = piece(draft, "front"), piece(draft, "back")
        assert neck_round(front, back) < body.get("head_girth", 500.0) - 100
        assert 100 <= draft.worked["slit_deep"] <= 150  # type: ignore[operator]
        if "neck_girth" in body:
            assert abs(neck_round(front, back) - 1.0972 * body["neck_girth"]) <= 16
        armhole = front.edge("armhole").length() + back.edge("armhole").length()
        parts.append(armhole / body["bust_girth"])
        assert armhole - body.get("upper_arm_girth", 0.0) >= 70
        assert all(worst_kink(each.edge("armhole")) < 0.1 for each in (front, back))
    assert 0.51 <= median(parts) <= 0.63


# ---------------------------------------------------------------- what passes, and what grows


@pytest.mark.parametrize("opens", ["slit", "zip"])
def test_a_head_passes_an_opening_that_is_long_enough(opens: str) -> None:
    assert found(finished(drafted(childs_bodice, CHILD, opens=opens), "cm"), "entry.neckline").passed
    assert found(finished(drafted(childs_dress, CHILD, opens=opens), "cm"), "entry.neckline").passed


def test_a_short_slit_is_refused_by_the_check_with_the_length_that_serves() -> None:
    told = found(finished(drafted(childs_bodice, CHILD, slit_deep=8), "cm"), "entry.neckline")
    assert not told.passed
    enough = usual("childs-bodice").worked["slit_deep"]
    assert f"set slit_deep to {enough / 10:.1f} cm or more" in told.message  # type: ignore[operator]


def test_a_wide_head_has_a_longer_opening() -> None:
    """Half of what the head is larger is added to the slit (both its edges open the neck)."""
    more = drafted(childs_bodice, child(head_girth=CHILD["head_girth"] + 20)).worked["slit_deep"]
    assert more - usual("childs-bodice").worked["slit_deep"] == pytest.approx(10)  # type: ignore[operator]


def test_sewn_straps_leave_a_neck_that_the_head_passes() -> None:
    pattern = finished(drafted(pinafore, CHILD, straps="sewn"), "cm")
    assert found(pattern, "entry.neckline").passed
    shallow = found(finished(drafted(pinafore, CHILD, straps="sewn", neck_deep=4), "cm"), "entry.neckline")
    assert not shallow.passed
    assert "neck_deep" in shallow.message


def test_straps_let_out_by_what_the_buttons_are_apart() -> None:
    """Worn at button 1 the shoulder lies at the level of the top line; at button 2 the strap is longer by the gap."""
    draft = drafted(pinafore, CHILD, buttons_apart=4)
    front, back = piece(draft, "front"), piece(draft, "back")
    hole = back.points["hole_end"].y - 3  # the button lies 3 mm from the end of its hole
    first, second = front.points["button_1"].y, front.points["button_2"].y
    assert hole + first == pytest.approx(0)
    assert second - first == pytest.approx(40)
    assert front.points["strap_in"].y - second >= 10
    assert sum(notion.count for notion in draft.notions if notion.name == "button") == 4


def test_the_skirt_is_longer_by_what_the_yoke_lacks() -> None:
    draft = drafted(childs_dress, CHILD, long=35, fullness="150 %", flare=0)
    yoke, skirt = piece(draft, "front_yoke"), piece(draft, "front_skirt")
    waist = CHILD["back_waist_length"] + 15
    assert yoke.edge("centre_front").length() + skirt.edge("centre_front").length() == pytest.approx(
        waist + 350 + yoke.points["neck_centre"].y
    )
    assert skirt.edge("yoke").length() == pytest.approx(1.5 * yoke.edge("yoke").length())


def test_tucks_lengthen_the_skirt_by_twice_their_depth_each() -> None:
    plain, tucked = drafted(childs_dress, CHILD), drafted(childs_dress, CHILD, tuck_count=3, tuck_deep=1)
    for name in ("front_skirt", "back_skirt"):
        centre = f"centre_{name.partition('_')[0]}"
        longer = piece(tucked, name).edge(centre).length() - piece(plain, name).edge(centre).length()
        assert longer == pytest.approx(60)
    assert standing_errors(check(finished(tucked, "cm"))) == ()
    assert any("To grow: the hem of the skirt can be let down" in note for note in plain.notes)


@pytest.mark.parametrize("style", [
    {"sleeve_kind": "plain", "reach": "long", "collar_kind": "flat"},
    {"sleeve_kind": "puff", "sleeve_end": "band", "opens": "buttons"},
    {"sleeve_kind": "bell", "opens": "zip", "collar_kind": "flat", "collar_shape": "pointed"},
    {"opens": "buttons", "buttons": "5", "ease_waist": 6},
])  # fmt: skip
@pytest.mark.parametrize("size", ["92", "122", "152"])
def test_no_check_fails_in_other_styles(style: dict[str, object], size: str) -> None:
    body = Measurements(CHART.body(size), wearer="child")
    assert standing_errors(check(finished(drafted(childs_bodice, body, **style), "cm"))) == ()


def test_what_cannot_be_drafted_is_told_with_what_to_change() -> None:
    for garment, size, style, words in (
        (childs_bodice, "92", {"slit_deep": 20}, "slit_deep to"),
        (childs_dress, "110", {"opening_deep": 8}, "opening_deep to"),
        (childs_dress, "152", {"long": 18}, "long to"),
        (pinafore, "110", {"long": 40}, "long to more"),
        (pinafore, "110", {"strap_wide": 2.5, "button": 2}, "strap_wide to more"),
    ):
        with pytest.raises(DraftError, match=words):
            drafted(garment, Measurements(CHART.body(size), wearer="child"), **style)
    with pytest.raises(DraftError, match="no shoulder"):
        drafted(childs_bodice, child(neck_base_girth=450, bust_girth=420))


def test_they_are_for_children() -> None:
    assert {find_garment(name).for_whom for name in GARMENT_NAMES if name in ("childs-bodice", "childs-dress",
                                                                              "pinafore")} == {"children"}  # fmt: skip
