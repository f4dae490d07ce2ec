"""The school shirt: a child's rules by hand, on the children of the survey, all sizes alike."""

from __future__ import annotations

import json

import pytest

from by_the_tape import CHILDREN, drafted, measured_whole, nodes, piece
from judge import judge
from oaktag.body.charts import shipped
from oaktag.body.measurements import Measurements
from oaktag.checks.run import check
from oaktag.errors import DraftError
from oaktag.export.pattern_json import render
from oaktag.garments.school_shirt import school_shirt
from oaktag.model.draft import Draft
from oaktag.model.nest import Nest
from survey import girths
from wardrobe import finished

CHART = shipped("children")
STYLES: tuple[dict[str, object], ...] = (
    {},
    {"sleeve": "long", "collar_kind": "stand and fall", "laps": "right over left", "breast_pocket": "no"},
)


def of_size(size: str, **style: object) -> Draft:
    return drafted(school_shirt, Measurements(CHART.body(size), wearer="child"), **style)


@pytest.mark.parametrize("size", ["92", "122", "152"])
def test_the_rules_by_hand(size: str) -> None:
    """Quarter (chest + 10) ÷ 4 (6 to 10 cm in a child's woven block); the shoulder's tip 2 cm within it at most; the
    armhole 0.45 to 0.63 of the chest and 8.7 cm or more over the arm (worked rules, children); the cap as long."""
    body, draft = CHART.body(size), of_size(size)
    front, back, yoke = (piece(draft, name) for name in ("front", "back", "yoke"))
    quarter = front.points["underarm"].x
    assert quarter == pytest.approx((body["bust_girth"] + 100.0) / 4)
    assert max(p.points["shoulder_tip"].x for p in (front, yoke) if "shoulder_tip" in p.points) <= quarter - 20 + 0.01
    armhole = sum(each.edge("armhole").sewn_length() for each in (front, back, yoke))
    assert 0.45 <= armhole / body["bust_girth"] <= 0.66
    assert armhole - body["upper_arm_girth"] >= 87.0
    assert piece(draft, "sleeve").edge("cap").length() == pytest.approx(armhole, abs=0.01)


def test_the_neck_is_the_childs() -> None:
    """Neck base and 0.9 cm (worked rules for shirts), within 1.2; and it may be measured."""
    for size in CHART.sizes:
        draft = of_size(size)
        neck = 2 * sum(piece(draft, name).edge("neck").length() for name in ("yoke", "front"))
        assert neck - CHART.body(size)["neck_base_girth"] == pytest.approx(9.0, abs=12.0)
    body = {name: mm for name, mm in CHART.body("122").items() if name != "neck_base_girth"}
    notes = drafted(school_shirt, Measurements(body, wearer="child")).notes
    assert sum(note.startswith("neck_base_girth was not measured; assumed") for note in notes) == 1


def test_a_short_sleeve_is_hemmed_to_be_let_down() -> None:
    draft = of_size("122")
    sleeve = piece(draft, "sleeve")
    assert draft.default_allowances["sleeve.hem"] == pytest.approx(40.0)
    assert sleeve.edge("underarm_front").length() == pytest.approx(sleeve.edge("underarm_back").length())
    assert {each.name for each in draft.pieces}.isdisjoint({"cuff", "placket"})
    assert any(note.startswith("To grow: the hem of the sleeves can be let down by 3 cm") for note in draft.notes)
    long = of_size("122", sleeve="long")
    assert {"cuff", "placket"} <= {each.name for each in long.pieces}
    assert not any(note.startswith("To grow") for note in long.notes)


@pytest.mark.parametrize("style", STYLES, ids=["usual", "long"])
def test_on_the_children_of_the_survey(style: dict[str, object]) -> None:
    """None is refused, no check of the garment fails or warns, and the judge finds nothing."""
    bodies = list(measured_whole(CHILDREN).values())
    for body in bodies[STYLES.index(style) :: 9]:
        pattern = finished(drafted(school_shirt, body, **style), "cm")
        findings = check(pattern)
        assert [
            f"{f.id} {f.message}" for f in findings if not f.passed and not f.id.startswith(("body.", "safety."))
        ] == []
        assert judge(json.loads(render(Nest.single(pattern), findings)), girths(body)) == [], body["stature"]


@pytest.mark.parametrize("style", STYLES, ids=["usual", "long"])
def test_all_sizes_are_alike_node_for_node(style: dict[str, object]) -> None:
    ways = set()
    for size in CHART.sizes:
        draft = of_size(size, **style)
        ways.add(nodes(draft))
        findings = check(finished(draft, "cm"))  # buttons below 3 years are warned of
        assert [f.message for f in findings if not f.passed and not f.id.startswith("safety.")] == []
    assert len(ways) == 1


def test_which_side_laps() -> None:
    for laps in ("left over right", "right over left"):
        assert any(f"Buttons lap {laps}:" in note for note in of_size("110", laps=laps).notes)


def test_it_is_for_children() -> None:
    with pytest.raises(DraftError, match="drafted for children up to 12 years"):
        drafted(school_shirt, Measurements(shipped("women").body("14")))
