"""The saree blouse: a page's numbers, row by row; bust, edge, sleeve and side seams on women of a survey; strips."""

from __future__ import annotations

from math import hypot

import pytest

from by_the_tape import agrees, drafted, measured_whole, nodes, piece, worked
from oaktag.body.measurements import Measurements
from oaktag.checks.run import check, standing_errors
from oaktag.errors import DraftError
from oaktag.garments.saree_blouse import saree_blouse
from oaktag.model.draft import Draft
from wardrobe import finished, found

PAGES = Measurements(
    {"bust_girth": 920.0, "waist_girth": 760.0, "underbust_girth": 760.0, "shoulder_width": 360.0,
     "back_waist_length": 360.0, "front_waist_length": 415.0, "scye_depth": 170.0, "bust_height": 260.0,
     "bust_point_width": 185.0, "upper_arm_girth": 280.0, "arm_length": 560.0, "wrist_girth": 160.0}
)  # fmt: skip
"""Bust, waist, shoulder and back length are the page's; the others invented."""
AS_PRINTED = {"ease_waist": 0, "above_waist": 0}


def _sewn(draft: Draft, of: str) -> float:
    """An edge with its darts closed, mm."""
    name, edge = of.split(".")
    return piece(draft, name).edge(edge).sewn_length()


def test_the_worked_numbers() -> None:
    """In cm, as the page has them; its back waist has the dart in it, and its lengths start at the nape, which lies 1
    in below our top line (body/estimates.py)."""
    draft = drafted(saree_blouse, PAGES, **AS_PRINTED)
    back, front = piece(draft, "back"), piece(draft, "front")
    agrees("gw-250", (-back.points["low_centre"].y - 25.4) / 10)
    agrees("gw-251", back.points["shoulder_tip"].x / 10)
    agrees("gw-252", back.points["underarm"].x / 10)
    agrees("gw-255", front.points["underarm"].x / 10)
    (dart,) = back.darts
    assert dart.name == "waist"
    assert _sewn(draft, "back.lower_edge") / 10 + 2.5 == pytest.approx(float(worked()["gw-253"]["value"]), abs=0.05)
    assert hypot(dart.points[0].x - dart.points[2].x, dart.points[0].y - dart.points[2].y) == pytest.approx(25, abs=1)
    widths = draft.default_allowances
    assert (widths["back.lower_edge"], widths["back.side"]) == pytest.approx((35.0, 25.0))


def test_the_front_is_as_long_as_measured_and_its_side_as_the_backs() -> None:
    """Worked rules 7: measured front length + 1.2; the armhole 1.5 below the armpits; sides that meet."""
    draft = drafted(saree_blouse, PAGES, **AS_PRINTED)
    front = piece(draft, "front")
    assert front.points["low_centre"].y == pytest.approx(-(415.0 + 12.0))
    assert front.points["underarm"].y == pytest.approx(-(25.4 + 170.0 + 15.0))
    assert _sewn(draft, "front.side") == pytest.approx(_sewn(draft, "back.side"), abs=0.01)
    assert [dart.name for dart in front.darts] == ["side", "centre", "waist"]
    for dart in front.darts:
        tip = dart.points[1]
        away = hypot(tip.x - front.points["bust_point"].x, tip.y - front.points["bust_point"].y)
        assert 15.0 <= away <= 45.0, dart.name
    assert _sewn(draft, "hook_strip.strip_seam") == pytest.approx(_sewn(draft, "front.centre_front"), abs=0.01)
    sides = {str(ref) for seam in draft.seams for ref in seam.b if "strip" in seam.name}
    assert sides == {"right front.centre_front", "left front.centre_front"}


def test_on_women_of_the_survey() -> None:
    """Of every third woman: no check fails, bust and edge have their ease, the sleeve goes round the arm."""
    ways = set()
    for whom, body in list(measured_whole("women_1988_60.csv").items())[::3]:
        draft = drafted(saree_blouse, body)
        ways.add(nodes(draft))
        pattern = finished(draft, "cm")
        findings = check(pattern)
        assert not standing_errors(findings), whom
        room = found(pattern, "room.bust")
        assert body["bust_girth"] + 10.0 <= room.measured <= body["bust_girth"] + 80.0, whom
        round_it = 2 * (_sewn(draft, "front.lower_edge") + _sewn(draft, "back.lower_edge"))
        assert round_it >= body["waist_girth"] + 25.0 - 0.5, whom
        assert _sewn(draft, "front.side") == pytest.approx(_sewn(draft, "back.side"), abs=0.02)
        assert found(pattern, "sleeve.upper-arm").passed
    assert len(ways) == 1


def test_a_low_bust_makes_it_longer_and_its_edge_wider() -> None:
    slim = {**PAGES, "waist_girth": 660.0, "underbust_girth": 740.0}
    high, low = (drafted(saree_blouse, Measurements({**slim, "bust_height": far})) for far in (240.0, 320.0))
    assert high.worked["above_waist"] == pytest.approx(40.0)
    assert low.worked["above_waist"] < 20.0  # type: ignore[operator]
    assert any("The bust lies low" in note for note in low.notes)
    assert all("The bust lies low" not in note for note in high.notes)
    for draft in (high, low):
        assert not standing_errors(check(finished(draft, "cm")))


def test_what_was_not_measured_is_told() -> None:
    less = {name: mm for name, mm in PAGES.items() if name not in ("front_waist_length", "underbust_girth")}
    notes = " ".join(drafted(saree_blouse, Measurements(less)).notes)
    assert "front_waist_length was not measured" in notes
    assert "underbust_girth was not measured" in notes


@pytest.mark.parametrize(
    ("body", "style", "words"),
    [
        ({"front_waist_length": 480.0}, {}, "front_waist_length, if it was mistaken"),
        ({"scye_depth": 220.0}, {"above_waist": 10}, "Change above_waist or armhole_low to less"),
        ({"waist_girth": 920.0}, {"ease_waist": 6, "ease_bust": 4}, "Change ease_bust to more"),
        ({"bust_height": 225.0}, {"neck_front": 22.5}, "Change neck_front to"),
        ({}, {"shoulder_seam": 11}, "Change shoulder_seam to"),
    ],
)
def test_what_cannot_be_drafted_is_refused(body: dict[str, float], style: dict[str, object], words: str) -> None:
    with pytest.raises(DraftError, match=words):
        drafted(saree_blouse, Measurements({**PAGES, **body}), **style)


@pytest.mark.parametrize("style", [{"neckline": "square"}, {"neckline": "v", "sleeve_kind": "none"},
                                   {"sleeve_kind": "puff", "neck_back": 2.5}])  # fmt: skip
def test_other_styles_stand_too(style: dict[str, object]) -> None:
    pattern = finished(drafted(saree_blouse, PAGES, **style), "cm")
    assert [f.id for f in check(pattern) if not f.passed] == []
