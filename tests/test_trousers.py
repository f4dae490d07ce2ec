"""Trousers: two drafts by hand, the crotch seam against the body, five shapes of leg, alike in all sizes."""

from __future__ import annotations

import math
import re
from collections.abc import Callable

import pytest
from shapely.geometry import Polygon

from by_the_tape import drafted, nodes, number, outline, people, piece, worked, worst_kink
from oaktag.body.charts import shipped
from oaktag.body.measurements import KINDS, Measurements
from oaktag.checks.run import check, standing_errors
from oaktag.draft.options import defaults
from oaktag.errors import DraftError
from oaktag.garments.trousers import trousers
from oaktag.geometry.curve import Cubic
from oaktag.geometry.point import Point, turn_deg
from oaktag.model.draft import Draft
from oaktag.model.piece import Edge
from oaktag.values import replace
from wardrobe import finished, found, with_edge

STYLES: dict[str, dict[str, object]] = {
    "fly": {},
    "elastic": {"closure": "elastic", "pocket_kind": "none"},
    "wide": {"hem_wide": 60, "ease_hip": 12, "lap": "right"},
    "narrow": {"hem_wide": 30, "pocket_kind": "none"},
    "pleat": {"fullness": "pleat"},
    "easy": {"draft": "easy", "back_pockets": "welt"},
    "easy elastic": {"draft": "easy", "closure": "elastic", "pocket_kind": "in the side seams"},
    "curved": {"closure": "side zip", "band_kind": "curved", "leg_shape": "tapered"},
    "shorts": {"draft": "easy", "leg_shape": "shorts", "turn_up": 4, "pocket_kind": "patch", "back_pockets": "patch"},
    "culottes": {"leg_shape": "culottes", "closure": "side zip"},
    "turned up": {"leg_shape": "wide", "turn_up": 4, "band_kind": "curved"},
}
WORKED = Measurements(
    {
        "waist_girth": 680.0, "hip_girth": 940.0, "body_rise": 280.0, "waist_to_hip": 206.0, "waist_to_floor": 1040.0,
    }
)  # fmt: skip


def block(hip: float = 94, waist: float = 68, **raw: object) -> Draft:
    """The block as printed, nothing added: bottom 22 (half of the hem), hip ease 4, waist ease 1."""
    body = Measurements({**WORKED, "hip_girth": 10 * hip, "waist_girth": 10 * waist})
    style: dict[str, object] = {
        "ease_hip": 4, "ease_waist": 1, "crotch_low": 0, "fork_out": 0, "hem_wide": 44, "pocket_kind": "none", **raw,
    }  # fmt: skip
    return drafted(trousers, body, **style)


def waist(draft: Draft) -> float:
    return sum(piece(draft, half).edge("waist").sewn_length() for half in ("front", "back"))


def x(draft: Draft, half: str, point: str) -> float:
    return piece(draft, half).points[point].x


BLOCK: dict[str, Callable[[Draft], float]] = {
    "we-040": lambda d: -x(d, "front", "seat"),
    "we-041": lambda d: x(d, "front", "hip_side") - x(d, "front", "seat"),
    "we-042": lambda d: x(d, "front", "seat") - x(d, "front", "fork"),
    "we-043": lambda d: piece(d, "front").edge("waist").sewn_length() + piece(d, "front").darts[0].intake,
    "we-044": lambda d: piece(d, "back").edge("waist").sewn_length() + 2 * piece(d, "back").darts[0].intake,
    "we-045": lambda d: x(d, "back", "hip_side") - x(d, "back", "seat"),
    "we-046": lambda d: x(d, "back", "seat") - x(d, "front", "seat"),
    "we-047": lambda d: x(d, "front", "fork") - x(d, "back", "fork"),
    "we-048": lambda d: x(d, "front", "hem_out"),
    "we-049": lambda d: x(d, "front", "knee_out"),
    "we-054": lambda d: 2 * waist(d) - 680.0,
    "gw-154": lambda d: 10 * (2 * x(d, "front", "seat") - x(d, "front", "fork") - x(d, "back", "fork")) / 940.0,
    "gw-152": lambda d: 2 * x(d, "front", "seat") - x(d, "front", "fork") - x(d, "back", "fork"),
    "gw-153": lambda d: 2 * x(d, "front", "seat") - x(d, "front", "fork") - x(d, "back", "fork"),
}


@pytest.mark.parametrize("row", BLOCK)
def test_the_basic_block_of_the_trade(row: str) -> None:
    """fixtures/trade/worked_garments.csv: the basic trouser block, hip 94, waist 68, bottom 22."""
    told = worked()[row]
    draft = block(number(told, "hip")) if "hip=" in told["inputs"] else block()
    assert BLOCK[row](draft) / 10 == pytest.approx(float(told["value"]), abs=float(told["tolerance"]))


def easy(hip: float = 100, waist: float = 72, **raw: object) -> Draft:
    """The short draft as printed: hip ease 4, no waist ease, depth as measured."""
    return block(hip, waist, draft="easy", **{"ease_waist": 0, **raw})


EASY: dict[str, Callable[[Draft], float]] = {
    "gw-155": lambda d: x(d, "front", "seat") - x(d, "front", "fork"),
    "gw-156": lambda d: -x(d, "front", "seat"),
    "gw-157": lambda d: piece(d, "front").edge("waist").sewn_length() + piece(d, "front").darts[0].intake,
    "gw-158": lambda d: x(d, "front", "hip_side") - x(d, "front", "seat"),
    "gw-159": lambda d: x(d, "front", "fork") - x(d, "back", "fork"),
    "gw-160": lambda d: x(d, "back", "waist_centre") - x(d, "front", "seat"),
    "gw-161": lambda d: piece(d, "back").edge("waist").sewn_length() + sum(p.intake for p in piece(d, "back").darts),
    "gw-162": lambda d: 2 * x(d, "front", "seat") - x(d, "front", "fork") - x(d, "back", "fork"),
    "gw-163": lambda d: 2 * waist(d),
}


@pytest.mark.parametrize("row", EASY)
def test_the_easy_draft_of_an_italian_page(row: str) -> None:
    """fixtures/trade/worked_garments.csv: hip 100, waist 72; its hip is told at half the crotch depth, and the back's
    waist 4 cm up."""
    told, draft = worked()[row], easy()
    assert EASY[row](draft) / 10 == pytest.approx(float(told["value"]), abs=float(told["tolerance"]))
    assert piece(draft, "front").points["hip_side"].y == pytest.approx(-140.0)
    assert piece(draft, "back").points["waist_centre"].y == pytest.approx(40.0)
    assert x(draft, "back", "hip_side") - x(draft, "front", "hip_side") == pytest.approx(20.0)


def test_a_welt_pocket_on_the_back_of_the_trade() -> None:
    """Twice hip ÷ 16 wide, 5 to 7 cm below the waist."""
    told = worked()["gw-129"]
    draft = easy(back_pockets="welt")
    (mouth,) = (line for line in piece(draft, "back").internal_lines if line.name == "welt pocket")
    wide = math.dist(mouth.points[0], mouth.points[1])
    assert wide / 10 == pytest.approx(float(told["value"]), abs=float(told["tolerance"]))
    assert piece(draft, "back_welt").edge("welt_seam").length() == pytest.approx(wide, abs=0.01)
    back = Polygon(outline(piece(draft, "back")))
    assert back.contains(Polygon(mouth.points))
    assert all(math.dist(dart.points[1], q) > 3 for dart in piece(draft, "back").darts for q in mouth.points)


def test_a_slant_pocket_of_the_trade() -> None:
    """5 cm from the side at the waist, and hip ÷ 6 down the side, no lower than 2 cm above the hip line."""
    told = worked()["gw-127"]
    body = Measurements({**WORKED, "hip_girth": 10 * number(told, "hip"), "waist_to_hip": 210.0})
    draft = drafted(trousers, body)
    bag = piece(draft, "pocket_back")
    assert bag.edge("waist").length() == pytest.approx(50.0, abs=0.01)
    assert bag.edge("side").length() / 10 == pytest.approx(float(told["value"]), abs=float(told["tolerance"]))


def test_the_levels_and_the_knee() -> None:
    """Crotch line at the rise; knee half way from there to the floor (104 cm) and 5 cm up; hip as measured."""
    levels = {level.name: level.depth for level in piece(block(), "front").levels}
    knee = 280 + (1040 - 280) / 2 - 50
    assert levels == pytest.approx({"waist": 0, "hip": 206, "crotch": 280, "knee": knee, "hem": 1040 - 25})
    low = drafted(trousers, Measurements({**WORKED, "waist_to_hip": 250.0}))
    named = {level.name: level.depth for level in piece(low, "front").levels}
    assert named["crotch"] - named["hip"] == pytest.approx(60.0)  # no less (worked rules)


def test_the_crotch_curves_meet_smoothly_and_hook_nowhere() -> None:
    """96 degrees and 84 at the fork, together 180; one sign of curvature (worked rules: to judge by)."""
    for style in STYLES.values():
        draft = drafted(trousers, people("women_1988_60.csv")["A0003"], **style)
        angles = []
        for half in ("front", "back"):
            crotch, inseam = piece(draft, half).edge("crotch"), piece(draft, half).edge("inseam")
            ends = [(c.at(0.0), c.way(0.0)) for c in (crotch.curves[0], inseam.curves[0])]
            ends += [(c.at(1.0), (-c.way(1.0).x, -c.way(1.0).y)) for c in (crotch.curves[-1], inseam.curves[-1])]
            fork = piece(draft, half).points["fork"]
            one, other = [way for at, way in ends if math.dist(at, fork) < 1e-6]
            angles.append(abs(turn_deg(one, other)))
            bends = [c.bend(t / 20) for c in crotch.curves if isinstance(c, Cubic) for t in range(21)]
            assert all(b > -1e-6 for b in bends) or all(b < 1e-6 for b in bends)
            assert worst_kink(crotch) < 0.5
        assert angles == pytest.approx([96.0, 84.0], abs=0.01)


def test_the_crotch_seam_is_made_as_long_as_the_body() -> None:
    """Longer where the body asks for it, first by the back fork, then by the depth; 26 of 40 reached 0 to 4 cm, the
    worst was 4.4 cm short (worked rules)."""
    over = []
    for name, body in list(people("women_1988_60.csv").items())[:40]:
        draft = drafted(trousers, body)
        run = [("front", "fly"), ("front", "crotch"), ("back", "crotch")]
        seam = sum(piece(draft, half).edge(edge).length() for half, edge in run)
        plain = sum(
            piece(drafted(trousers, body, crotch_low=1.5, fork_out=2), half).edge(edge).length() for half, edge in run
        )
        lack = body["total_crotch_length"] - plain
        assert seam >= plain - 0.5, name
        assert lack > 0 or seam == pytest.approx(plain, abs=0.01), name
        over.append(seam - body["total_crotch_length"])
    assert sum(-1 <= gap <= 40 for gap in over) >= 26
    assert min(over) > -70


@pytest.mark.parametrize("style", ["fly", "elastic", "wide", "narrow", "pleat", "easy"])
def test_on_the_women_of_the_survey(style: str) -> None:
    everyone = list(people("women_1988_60.csv").items())
    for name, body in everyone[20:] if style == "fly" else everyone[::3]:
        draft = drafted(trousers, body, **STYLES[style])
        front, back = piece(draft, "front"), piece(draft, "back")
        assert front.edge("inseam").length() == pytest.approx(back.edge("inseam").length(), abs=0.01), name
        sides = sum(p.edge("side").length() for p in draft.pieces if p.name in ("front", "pocket_back"))
        assert sides == pytest.approx(back.edge("side").length(), abs=0.5), name
        assert all(Polygon(outline(p)).is_valid for p in draft.pieces), name
        waists = sum(p.edge("waist").sewn_length() for p in draft.pieces if p.name in ("front", "back", "pocket_back"))
        band = piece(draft, "waistband").edge("band_seam").length()
        if style == "elastic":
            assert 2 * waists >= body["hip_girth"] + 20, name  # it is pulled over the hip
            assert band == pytest.approx(2 * waists, abs=0.01)
        else:
            assert 2 * waists == pytest.approx(body["waist_girth"] + 15, abs=0.6), name
            assert band == pytest.approx(2 * waists + 40, abs=0.01)
            fly = front.edge("fly").length()
            opening = (body["hip_girth"] - body["waist_girth"] - 15 + 50.8) / 2  # a sewing magazine's rule
            assert fly >= min(opening, -front.points["seat"].y - 5) - 0.01, name
            assert 2 * fly + body["waist_girth"] + 15 >= body["hip_girth"], name
            for made in ("fly_facing", "fly_shield"):
                assert piece(draft, made).edge("fly").length() == pytest.approx(fly, abs=0.01)
        sewn = back.edge("waist").sewn_length() if style == "elastic" else waists - back.edge("waist").sewn_length()
        marks = [n.at for n in piece(draft, "waistband").notches if n.name != "lap"]
        assert marks == pytest.approx([sewn, waists, 2 * waists - sewn], abs=0.01), name
        for half in (front, back):
            hip = next(level for level in half.levels if level.name == "hip")
            assert hip.points[-1].x == pytest.approx(half.points["hip_side"].x + 10, abs=0.01) or style in (
                "wide",
                "easy",
            )


@pytest.mark.parametrize("style", ["easy elastic", "curved", "shorts", "culottes", "turned up"])
def test_other_shapes_on_the_women_of_the_survey(style: str) -> None:
    """Nothing fails; inseams are alike, side seams within half a millimetre."""
    for name, body in list(people("women_1988_60.csv").items())[::8]:
        draft = drafted(trousers, body, **STYLES[style])
        front, back = piece(draft, "front"), piece(draft, "back")
        assert front.edge("inseam").length() == pytest.approx(back.edge("inseam").length(), abs=0.01), name
        sides = sum(p.edge("side").length() for p in draft.pieces if p.name in ("front", "pocket_back"))
        assert sides == pytest.approx(back.edge("side").length(), abs=0.5), name
        assert standing_errors(check(finished(draft, "cm"))) == (), name


def test_a_waist_that_leaves_no_darts_has_none_or_is_refused() -> None:
    """With less than 18.3 cm between waist and hip each back has one dart (worked rules); then none (chosen); a waist
    as wide as the hip is drafted with a side that goes out, a wider one is refused, and elastic serves."""
    for waist_girth, darts in ((750.0, 2), (770.0, 1), (915.0, 0)):
        draft = drafted(trousers, Measurements({**WORKED, "waist_girth": waist_girth}), pocket_kind="none")
        assert len(piece(draft, "back").darts) == darts, waist_girth
        assert 2 * waist(draft) == pytest.approx(waist_girth + 15, abs=0.6)
    stout = Measurements({**WORKED, "waist_girth": 1030.0})
    with pytest.raises(DraftError, match='Change closure to "elastic", ease_hip'):
        drafted(trousers, stout)
    assert drafted(trousers, stout, closure="elastic")


def test_elastic_trousers_have_no_dent_at_the_side_of_the_waist() -> None:
    """Sewn, the waist runs on over the side seam: both corners are 180 degrees together (18.5 were lacking)."""
    for form in ("block", "easy"):
        for body in list(people("women_1988_60.csv").values())[:10]:
            draft = drafted(trousers, body, draft=form, closure="elastic", pocket_kind="none")
            corners = []
            for half in ("front", "back"):
                at = piece(draft, half).points["waist_side"]
                ways = []
                for name in ("side", "waist"):
                    edge = piece(draft, half).edge(name)
                    first, last = edge.curves[0], edge.curves[-1]
                    back = last.way(1.0)
                    ways.append(first.way(0.0) if math.dist(first.at(0.0), at) < 1e-6 else (-back.x, -back.y))
                corners.append(abs(turn_deg(*ways)))
            assert sum(corners) == pytest.approx(180.0, abs=1.0)


def test_every_refusal_names_what_to_change() -> None:
    """Over bodies that none is: each is drafted, or refused with the name of an option or measurement."""
    names = [option.name for option in trousers.options] + list(KINDS)
    for waist_girth in (500.0, 700.0, 1000.0):
        for hip in (800.0, 1000.0, 1300.0):
            for rise in (180.0, 260.0, 400.0):
                body = Measurements({**WORKED, "waist_girth": waist_girth, "hip_girth": hip, "body_rise": rise})
                try:
                    draft = drafted(trousers, body)
                except DraftError as error:
                    assert any(re.search(rf"\b{name}\b", str(error)) for name in names), str(error)
                else:
                    assert all(Polygon(outline(p)).is_valid for p in draft.pieces), (waist_girth, hip, rise)


def test_a_zip_into_the_curve_is_refused() -> None:
    with pytest.raises(DraftError, match=r"Change zip_long to 20\.1 cm at most"):
        drafted(trousers, WORKED, zip_long=22)


def test_short_legs_are_shorts() -> None:
    with pytest.raises(DraftError, match='Change long to 67 cm or more, or leg_shape to "shorts"'):
        drafted(trousers, WORKED, long=50, crotch_low=2)
    assert drafted(trousers, WORKED, long=67, crotch_low=2)
    with pytest.raises(DraftError, match=r"shorts end below it\. Change long to 33 cm or more"):
        drafted(trousers, WORKED, leg_shape="shorts", long=30, crotch_low=2)
    shorts = drafted(trousers, WORKED, leg_shape="shorts", long=50, crotch_low=2)
    assert piece(shorts, "front").edge("inseam").length() == pytest.approx(200.0, abs=2.0)  # 50 − 28 − 2 straight down


def test_culottes_fall_straight_from_the_fork() -> None:
    draft = drafted(trousers, WORKED, leg_shape="culottes")
    for half in ("front", "back"):
        fork, hem = piece(draft, half).points["fork"], piece(draft, half).points["hem_in"]
        assert hem.x == pytest.approx(fork.x)
        assert piece(draft, half).points["hem_out"].x > piece(draft, half).points["hip_side"].x
    hem = sum(piece(draft, half).edge("hem").length() for half in ("front", "back"))
    asked = drafted(trousers, WORKED, leg_shape="culottes", hem_wide=90)
    assert hem < 900 < sum(piece(asked, half).edge("hem").length() for half in ("front", "back")) < 905
    with pytest.raises(DraftError, match=r'Change hem_wide to .* or more, or leg_shape to "wide"'):
        drafted(trousers, WORKED, leg_shape="culottes", hem_wide=50)


def test_a_turn_up_lies_on_the_leg_that_it_covers() -> None:
    """Turned up at the hem, and down again its own depth above: twice its depth more cloth, as wide as the leg."""
    draft = drafted(trousers, WORKED, turn_up=4, long=100)
    for half in ("front", "back"):
        p = piece(draft, half)
        assert min(y for _, y in outline(p)) == pytest.approx(-1080.0)
        folds = [line for line in p.internal_lines if line.name.startswith("turn-up")]
        assert [line.points[0].y for line in folds] == pytest.approx([-1000.0, -1040.0])
        wide = {round(abs(line.points[1].x - line.points[0].x), 6) for line in folds}
        wide |= {round(abs(p.points[f"{at}_out"].x - p.points[f"{at}_in"].x), 6) for at in ("hem", "low")}
        assert len(wide) == 1


def test_the_foot_passes_the_hem() -> None:
    """Where none is asked for the hem is 4 cm wider than heel and instep (worked rules); asked for too narrow, told."""
    body = Measurements({**WORKED, "heel_girth": 360.0})
    usual = drafted(trousers, body, leg_shape="tapered")
    assert sum(piece(usual, half).edge("hem").length() for half in ("front", "back")) >= 399.0
    assert found(finished(usual, "cm"), "entry.foot").passed
    narrow = found(finished(drafted(trousers, body, leg_shape="tapered", hem_wide=34), "cm"), "entry.foot")
    assert not narrow.passed
    assert "make hem_wide" in narrow.message


def test_what_is_promised_under_the_fork_can_fail() -> None:
    wide = found(finished(drafted(trousers, WORKED, fork_out=5), "cm"), "saddle.hip")
    assert not wide.passed
    assert "change fork_out" in wide.message
    assert found(finished(drafted(trousers, WORKED), "cm"), "saddle.hip").passed
    good = finished(drafted(trousers, WORKED), "cm")
    assert found(good, "curve.fork").passed

    def bent(edge: Edge) -> Edge:
        """The curve swapped end for end in its handles: it bends both ways."""
        last = edge.curves[-1] if isinstance(edge.curves[-1], Cubic) else edge.curves[0]
        assert isinstance(last, Cubic)
        a, b, c, d = last.controls()
        s = Cubic(a, Point(2 * a[0] - b[0], 2 * a[1] - b[1]), Point(*c), d)
        return replace(edge, curves=tuple(s if each is last else each for each in edge.curves))

    assert not found(with_edge(good, "back", "crotch", bent), "curve.fork").passed


def test_a_man_gets_a_bought_zip_and_laps_left_over_right() -> None:
    """Zips for men are 9 and 11 in long; women lap right over left, men left over right (an extension service)."""
    for body in list(people("men_1988_60.csv").values())[:10]:
        man = drafted(trousers, replace(body, wearer="man"))
        assert piece(man, "fly_facing").to_cut.side == "left"
        fly, start = piece(man, "front").edge("fly").length(), -piece(man, "front").points["seat"].y
        assert fly == pytest.approx(9 * 25.4, abs=0.5) or fly == pytest.approx(11 * 25.4, abs=0.5) or start < 249
    assert piece(drafted(trousers, WORKED), "fly_facing").to_cut.side == "right"


def test_pockets_and_a_zip_in_the_side_seam_exclude_each_other() -> None:
    assert not any(p.name.startswith("pocket") for p in drafted(trousers, WORKED, closure="side zip").pieces)
    for kind in ("slant", "in the side seams"):
        with pytest.raises(DraftError, match='Change pocket_kind to "patch" or "none"'):
            drafted(trousers, WORKED, closure="side zip", pocket_kind=kind)


@pytest.mark.parametrize("form", ["block", "easy"])
def test_on_the_men_of_the_survey(form: str) -> None:
    for name, body in list(people("men_1988_60.csv").items())[::5]:
        draft = drafted(trousers, replace(body, wearer="man"), draft=form)
        front, back = piece(draft, "front"), piece(draft, "back")
        assert front.edge("inseam").length() == pytest.approx(back.edge("inseam").length(), abs=0.01), name
        assert all(Polygon(outline(p)).is_valid for p in draft.pieces), name
        saddle = 2 * front.points["seat"].x - front.points["fork"].x - back.points["fork"].x
        assert 0.14 <= saddle / body["hip_girth"] <= 0.201, name


def test_one_front_has_the_fly() -> None:
    for lap, other in (("left", "right"), ("right", "left")):
        draft = drafted(trousers, WORKED, lap=lap)
        assert piece(draft, "fly_facing").to_cut.side == lap
        assert piece(draft, "fly_shield").to_cut.side == other


def test_what_it_needs_follows_from_the_style() -> None:
    usual = defaults(trousers.options)
    assert set(trousers.needs(usual)) == {"hip_girth", "waist_girth"}
    assert {"body_rise", "total_crotch_length", "waist_to_floor", "waist_to_hip"} <= set(trousers.uses)
    short = Measurements({name: mm for name, mm in WORKED.items() if name != "body_rise"} | {"waist_height": 1040.0})
    assert any("body_rise was not measured" in note for note in drafted(trousers, short).notes)


@pytest.mark.parametrize("style", STYLES)
def test_all_sizes_of_the_chart_are_alike_node_for_node(style: str) -> None:
    chart = shipped("women")
    base = drafted(trousers, chart.body("14"), **STYLES[style])
    settled = {name: value for name, value in base.worked.items() if isinstance(value, str)}
    assert (
        len({nodes(drafted(trousers, chart.body(size), **{**STYLES[style], **settled})) for size in chart.sizes}) == 1
    )
