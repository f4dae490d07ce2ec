"""Children's trousers and shorts: the rules by hand, on the children of the survey, all sizes alike."""

from __future__ import annotations

import json

import pytest

from by_the_tape import CHILDREN, agrees, drafted, measured_whole, nodes, number, piece, worked
from judge import judge
from oaktag.body.charts import shipped
from oaktag.body.measurements import Measurements
from oaktag.checks.run import check
from oaktag.errors import DraftError
from oaktag.export.pattern_json import render
from oaktag.garments.childs_trousers import BOTH, ON_BACK, childs_trousers
from oaktag.garments.parts.pockets import IN_SEAM
from oaktag.geometry.point import turn_deg
from oaktag.model.draft import Draft
from oaktag.model.nest import Nest
from oaktag.units import INCH, show
from survey import girths
from wardrobe import finished

CHART = shipped("children")
STYLES: tuple[dict[str, object], ...] = (
    {},
    {"leg_kind": "shorts", "pocket_kind": BOTH},
    {"turn_up": 4, "pocket_kind": ON_BACK, "nappy": "yes"},
    {"leg_kind": "shorts", "turn_up": 3, "pocket_kind": "none"},
)


def of_size(size: str, **style: object) -> Draft:
    return drafted(childs_trousers, Measurements(CHART.body(size), wearer="child"), **style)


def test_the_rules_by_hand() -> None:
    """The crotch line 1.5 cm below the sitting rise, under a casing as wide as the elastic (handbook, garments 4);
    front fork hip ÷ 16 + 0.5 cm (a textbook's block, for trousers), from the centre front."""
    body = CHART.body("122")
    draft = of_size("122")
    front, back = piece(draft, "front"), piece(draft, "back")
    assert -front.points["fork"].y == pytest.approx(25.0 + body["body_rise"] + 15.0)
    assert front.points["seat"].x - front.points["fork"].x == pytest.approx(body["hip_girth"] / 16 + 5.0)
    assert front.points["waist_side"].x - front.points["waist_centre"].x == pytest.approx((body["hip_girth"] + 75) / 4)
    assert back.points["waist_centre"].y == pytest.approx(body["body_rise"] / 8)
    allowances = draft.default_allowances
    assert allowances["waist"] == pytest.approx(25.0 + 20.0)  # with the 2.5 cm above the waist: twice the elastic and 2
    assert allowances["hem"] == pytest.approx(50.0)


def test_the_elastic_is_an_inch_less_than_the_waist() -> None:
    """Cut as long as the waist, lapped 1 in."""
    waist = number(worked()["gw-195"], "waist")
    body = Measurements({**CHART.body("122"), "waist_girth": waist * INCH}, wearer="child")
    (note,) = [note for note in drafted(childs_trousers, body, "in").notes if note.startswith("Cut the elastic")]
    agrees("gw-195", waist - 1)
    assert f"the waist, {show(waist * INCH, 'in')}, and lap its ends 1 in: sewn it is 19 in round" in note


@pytest.mark.parametrize("size", ["92", "122", "152"])
def test_what_a_pair_of_trousers_must_be(size: str) -> None:
    """The saddle is 0.14 to 0.20 of the hip; fork angles sum to 180, the centre back stands 90 to 93 degrees on the
    waist within 3 (checks of crotches, handbook, garments 4); inseams are equal."""
    draft, hip = of_size(size), CHART.body(size)["hip_girth"]
    front, back = piece(draft, "front"), piece(draft, "back")
    saddle = sum(half.points["seat"].x - half.points["fork"].x for half in (front, back))
    assert 0.14 <= saddle / hip <= 0.20
    assert front.edge("inseam").length() == pytest.approx(back.edge("inseam").length(), abs=0.01)
    angles = []
    for half in (front, back):
        crotch, inseam = half.edge("crotch"), half.edge("inseam")
        into, out = (inseam, crotch) if inseam.end == crotch.start else (crotch, inseam)
        angles.append(180 - abs(turn_deg(into.curves[-1].way(1.0), out.curves[0].way(0.0))))
    assert sum(angles) == pytest.approx(180.0, abs=0.5)
    waist, crotch = back.edge("waist"), back.edge("crotch")
    into, out = (waist, crotch) if waist.end == crotch.start else (crotch, waist)
    assert 87 <= 180 - abs(turn_deg(into.curves[-1].way(1.0), out.curves[0].way(0.0))) <= 93


@pytest.mark.parametrize("style", STYLES, ids=[" ".join(map(str, style.values())) or "usual" for style in STYLES])
def test_on_the_children_of_the_survey(style: dict[str, object]) -> None:
    """None is refused, no check of the garment fails or warns, and the judge finds nothing."""
    bodies = list(measured_whole(CHILDREN).values())
    assert len(bodies) == 205
    for body in bodies[STYLES.index(style) :: 5]:
        pattern = finished(drafted(childs_trousers, body, **style), "cm")
        findings = check(pattern)
        said = [f"{f.id} {f.message}" for f in findings if not f.passed and not f.id.startswith("body.")]
        assert said == [], body["stature"]
        found = judge(json.loads(render(Nest.single(pattern), findings)), girths(body))
        assert found == [], body["stature"]


@pytest.mark.parametrize("style", STYLES, ids=[" ".join(map(str, style.values())) or "usual" for style in STYLES])
def test_all_sizes_are_alike_node_for_node(style: dict[str, object]) -> None:
    ways = set()
    for size in CHART.sizes:
        draft = of_size(size, **style)
        ways.add(nodes(draft))
        assert [f.message for f in check(finished(draft, "cm")) if not f.passed] == []
    assert len(ways) == 1


def test_a_turn_up_is_the_leg_mirrored_at_its_line() -> None:
    draft = of_size("128", turn_up=4)
    for half in (piece(draft, "front"), piece(draft, "back")):
        hem = half.points["hem_out"].x - half.points["hem_in"].x
        assert half.edge("turn_up").length() == pytest.approx(hem, abs=0.01)
        assert half.edge("turn_up").start.y == pytest.approx(half.points["hem_in"].y - 40.0)
        assert "turn-up fold" in {line.name for line in half.internal_lines}
    assert any(note.startswith("Turn the legs up 4 cm") for note in draft.notes)


def test_pockets() -> None:
    for kind, names in ((IN_SEAM, {"pocket_bag"}), (ON_BACK, {"patch_pocket"}), (BOTH, {"pocket_bag", "patch_pocket"}),
                        ("none", set())):  # fmt: skip
        draft = of_size("98", pocket_kind=kind)
        assert {each.name for each in draft.pieces} == names | {"front", "back"}
    lines = [
        line.points
        for line in piece(of_size("98", pocket_kind=ON_BACK), "back").internal_lines
        if line.name == "pocket"
    ]
    (corners,) = lines
    back = piece(draft, "back").points
    middle = (back["waist_side"].x + back["waist_centre"].x) / 2
    assert sum(p.x for p in corners[:4]) / 4 == pytest.approx(middle)


def test_a_rise_that_was_not_measured_is_asked_for() -> None:
    body = {name: mm for name, mm in CHART.body("122").items() if name != "body_rise"}
    told = drafted(childs_trousers, Measurements(body, wearer="child")).notes
    assert any(note.startswith("Measure body_rise, sitting") for note in told)
    assert any(note.startswith("body_rise was not measured; assumed") for note in told)
    assert not any("body_rise" in note for note in of_size("122").notes)


def test_a_nappy_has_room_and_small_children_are_asked() -> None:
    """Hip + 10 to 12 cm under 3 years, which is 98 cm (handbook, children)."""
    assert any('nappy = "yes"' in note for note in of_size("92").notes)
    assert not any("nappy" in note for note in of_size("98").notes)
    draft = of_size("92", nappy="yes")
    assert not any('nappy = "yes"' in note for note in draft.notes)
    front = piece(draft, "front").points
    ease = 4 * (front["waist_side"].x - front["waist_centre"].x) - CHART.body("92")["hip_girth"]
    assert 100.0 <= ease <= 120.0


@pytest.mark.parametrize(
    ("style", "told"),
    [
        ({"long": 30}, r"trousers that end 30 cm below the waist do not go: .* Change long, to .* or more"),
        ({"leg_kind": "shorts", "long": 60}, r'shorts that end 60 cm .* Change leg_kind to "trousers"'),
        ({"leg_kind": "shorts", "long": 20}, r"Change long, to 2\d.* cm or more"),
    ],
)
def test_lengths_that_do_not_go(style: dict[str, object], told: str) -> None:
    with pytest.raises(DraftError, match=told):
        of_size("122", **style)


def test_a_narrow_hem_does_not_pass_the_foot() -> None:
    found = {f.id: f for f in check(finished(of_size("122", hem_wide=20), "cm"))}
    assert not found["run.hem"].passed
    assert "make hem_wide" in found["run.hem"].message


def test_they_are_for_children() -> None:
    with pytest.raises(DraftError, match="drafted for children up to 12 years"):
        drafted(childs_trousers, Measurements(shipped("women").body("14")))
