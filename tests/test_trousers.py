"""Trousers: the basic block by hand, the crotch seam against the body, alike in all sizes."""

from __future__ import annotations

import math
import re
from collections.abc import Callable

import pytest
from shapely.geometry import Polygon

from by_the_tape import drafted, nodes, number, outline, people, piece, worked, worst_kink
from oaktag.body.charts import shipped
from oaktag.body.measurements import KINDS, Measurements
from oaktag.draft.options import defaults
from oaktag.errors import DraftError
from oaktag.garments.trousers import trousers
from oaktag.geometry.curve import Cubic
from oaktag.geometry.point import turn_deg
from oaktag.model.draft import Draft

STYLES: dict[str, dict[str, object]] = {
    "fly": {},
    "elastic": {"closure": "elastic", "slant_pockets": "no"},
    "wide": {"hem_wide": 60, "ease_hip": 12, "lap": "right"},
    "narrow": {"hem_wide": 30, "slant_pockets": "no"},
    "pleat": {"fullness": "pleat"},
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
        "ease_hip": 4, "ease_waist": 1, "crotch_low": 0, "fork_out": 0, "hem_wide": 44, "slant_pockets": "no", **raw,
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
    "gw-152": lambda d: 2 * x(d, "front", "seat") - x(d, "front", "fork") - x(d, "back", "fork"),
    "gw-153": lambda d: 2 * x(d, "front", "seat") - x(d, "front", "fork") - x(d, "back", "fork"),
}


@pytest.mark.parametrize("row", BLOCK)
def test_the_basic_block_of_the_trade(row: str) -> None:
    """fixtures/trade/worked_garments.csv: the basic trouser block, hip 94, waist 68, bottom 22."""
    told = worked()[row]
    draft = block(number(told, "hip")) if "hip=" in told["inputs"] else block()
    assert BLOCK[row](draft) / 10 == pytest.approx(float(told["value"]), abs=float(told["tolerance"]))


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


@pytest.mark.parametrize("style", STYLES)
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
            assert hip.points[-1].x == pytest.approx(half.points["hip_side"].x + 10, abs=0.01) or style == "wide"


def test_a_waist_that_leaves_no_darts_is_refused_or_elastic() -> None:
    stout = Measurements({**WORKED, "waist_girth": 930.0})
    with pytest.raises(DraftError, match='Change closure to "elastic", ease_hip'):
        drafted(trousers, stout)
    assert drafted(trousers, stout, closure="elastic")


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


def test_shorts_are_refused() -> None:
    with pytest.raises(DraftError, match="Change long to 67 cm or more"):
        drafted(trousers, WORKED, long=50, crotch_low=2)
    assert drafted(trousers, WORKED, long=67, crotch_low=2)


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
    assert len({nodes(drafted(trousers, chart.body(size), **STYLES[style])) for size in chart.sizes}) == 1
