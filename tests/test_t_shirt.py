"""The T-shirt: knit rules by hand, on women and men of the survey; cap and armhole, band and head."""

from __future__ import annotations

import math

import pytest
from shapely.geometry import Polygon

from by_the_tape import drafted, nodes, number, outline, people, piece, worked, worst_kink
from oaktag.body.charts import shipped
from oaktag.body.measurements import Measurements
from oaktag.checks.run import check, standing_errors
from oaktag.draft.options import defaults
from oaktag.errors import DraftError
from oaktag.garments.parts.knit import flat_ratio
from oaktag.garments.t_shirt import t_shirt
from oaktag.geometry.path import path_length
from oaktag.geometry.point import distance
from oaktag.lay.cloth import Cloth
from oaktag.lay.pieces import pieces_for
from oaktag.model.length import mm
from oaktag.model.nest import Nest
from oaktag.values import replace
from wardrobe import finished, found

WORKED = Measurements(
    {
        "bust_girth": 920.0, "hip_girth": 980.0, "neck_base_girth": 360.0, "shoulder_length": 140.0,
        "scye_depth": 190.0,
        "upper_arm_girth": 290.0, "head_girth": 570.0, "back_waist_length": 400.0, "waist_to_hip": 200.0,
        "arm_length": 560.0, "wrist_girth": 160.0, "hand_girth": 195.0,
    }
)  # fmt: skip
STYLES: dict[str, dict[str, object]] = {
    "loose": {},
    "body": {"fitting": "body"},
    "close-long": {"fitting": "close", "sleeve": "long", "stretch": "60 %"},
    "wide-neck": {"neck_wider": 2, "neck_deeper": 3, "sleeve": "long"},
    "v": {"neckline": "v"},
    "dropped": {"shoulder": "dropped", "sleeve": "long", "cuffs": "yes", "neckline": "v"},
}


def test_the_numbers_by_hand() -> None:
    """Worked rules, knits: neck 36 ÷ 6 + 2.5 = 8.5; chest (92 + 10) ÷ 4 = 25.5; shoulder 14 − 1; depth 19 + 6.2."""
    draft = drafted(t_shirt, WORKED)
    front, back, sleeve = (piece(draft, name) for name in ("front", "back", "sleeve"))
    assert front.points["neck_side"].x == pytest.approx(85.0)
    assert front.points["neck_centre"].y == pytest.approx(-95.0)
    assert back.points["neck_centre"].y == pytest.approx(-20.0)
    for half in (front, back):
        tip, neck = half.points["shoulder_tip"], half.points["neck_side"]
        assert distance(tip, neck) == pytest.approx(130.0)
        assert neck.y - tip.y == pytest.approx(39.0)
        assert half.points["underarm"] == pytest.approx((255.0, -252.0))
    assert sleeve.points["underarm_front"].x - sleeve.points["underarm_back"].x == pytest.approx(350.0)


def test_the_shoulder_stays_within_the_side() -> None:
    """15 beyond the neck lies outside the side of 10 of 40 women (worked rules, knits): quarter − neck − 1.5."""
    draft = drafted(t_shirt, Measurements({**WORKED, "shoulder_length": 190.0}))
    tip = piece(draft, "front").points["shoulder_tip"]
    assert distance(tip, piece(draft, "front").points["neck_side"]) == pytest.approx(255 - 85 - 15)


@pytest.mark.parametrize(("style", "wide", "depth"), [("body", 300.0, 232.0), ("close", 285.5, 232.0)])
def test_it_may_fit_closely(style: str, wide: float, depth: float) -> None:
    """Sleeve = arm + 1, depth = scye + 4.2; girths of the body, or 5 % less: 92 ÷ 4 = 23 or 21.85."""
    draft = drafted(t_shirt, WORKED, fitting=style, **({"reduce": "5 %"} if style == "close" else {}))
    sleeve, front = piece(draft, "sleeve"), piece(draft, "front")
    assert sleeve.points["underarm_front"].x * 2 == pytest.approx(wide)
    assert front.points["underarm"] == pytest.approx((230.0 if style == "body" else 218.5, -depth))


def test_girths_reduced_by_a_tenth() -> None:
    told = worked()["gw-190"]
    body = Measurements({**WORKED, "bust_girth": 10 * number(told, "body")})
    draft = drafted(t_shirt, body, fitting="close", reduce="10 %", stretch="80 %")
    assert 0.4 * piece(draft, "front").points["underarm"].x == pytest.approx(float(told["value"]), abs=0.02)


def test_stretch_used_in_wear() -> None:
    """88 on a body of 96 is stretched by 9.09 %: half of what the cloth has, so 18.2 % serves and 18.1 % is found; and
    no cloth goes round by more than all of its stretch (1 − 1 ÷ (1 + s), geometry)."""
    told = worked()["gw-189"]
    reduce = 1 - number(told, "garment") / number(told, "body")
    used = float(told["value"]) / 100
    style = {"fitting": "close", "reduce": reduce, "band_stretch": 2.0, "neck_wider": 2}
    for more in (0.01, -0.01):
        pattern = finished(drafted(t_shirt, WORKED, stretch=2 * used + more, **style), "cm")
        limit = WORKED["bust_girth"] * (1 - reduce) - WORKED["bust_girth"] / (1 + used + more / 2)
        finding = found(pattern, "stretch.bust")
        assert finding.passed is (limit > -1.0), limit  # 1 mm is what a girth may be off
        assert finding.measured - finding.limit == pytest.approx(limit, abs=0.6)
    assert drafted(t_shirt, WORKED, stretch=0.2, **{**style, "reduce": 0.1666})
    with pytest.raises(DraftError, match="Change reduce to less, or stretch"):
        drafted(t_shirt, WORKED, stretch=0.2, **{**style, "reduce": 0.1667})


def test_a_neckband_is_its_ratio_of_the_neckline() -> None:
    told = worked()["gw-178"]
    ratio = float(told["value"]) / number(told, "neckline")
    draft = drafted(t_shirt, WORKED, band_ratio=ratio, band_stretch=1.5)
    line = sum(piece(draft, half).edge("neck").length() for half in ("front", "back"))
    assert piece(draft, "neckband").edge("neck").length() == pytest.approx(ratio * line)


def test_the_head_passes_the_band_or_it_is_found() -> None:
    """Head 57 and stretch 60 % need a band of 35.625 (worked examples); here 0.8 of a stretch of 75 %, or 60 %."""
    told = worked()["gw-191"]
    assert number(told, "head") / float(told["value"]) == pytest.approx(1.6)
    style: dict[str, object] = {"stretch": 1.0, "band_stretch": 0.75, "neck_wider": 0}
    band = 2 * piece(drafted(t_shirt, WORKED, band_ratio=0.8, **style), "neckband").edge("neck").length()
    for head, passes in ((band * 1.6 - 0.5, True), (band * 1.6 + 0.5, False)):
        body = Measurements({**WORKED, "head_girth": head})
        finding = found(finished(drafted(t_shirt, body, band_ratio=0.8, **style), "cm"), "entry.neckband")
        assert finding.passed is passes
        assert passes or "with neck_wider or neck_deeper, or by band_ratio" in finding.message
        free = drafted(t_shirt, body, **style)  # worked out, it passes
        assert found(finished(free, "cm"), "entry.neckband").passed
    narrow = finished(drafted(t_shirt, WORKED, stretch=0.1, band_stretch=2.0, neck_wider=0), "cm")
    assert not found(narrow, "entry.neckline").passed
    assert "neck_wider or neck_deeper" in found(narrow, "entry.neckline").message


def test_the_neck_is_widened_until_the_head_passes() -> None:
    """Of cloth that gives 10 %: 57 ÷ 1.08 = 52.8 cm round at the least."""
    draft = drafted(t_shirt, WORKED, stretch=0.1, band_stretch=2.0)
    line = 2 * sum(piece(draft, half).edge("neck").length() for half in ("front", "back"))
    assert line == pytest.approx(571 / 1.08, abs=0.1)
    assert any("wider at each shoulder, so that the head passes" in note for note in draft.notes)
    assert piece(drafted(t_shirt, WORKED), "front").points["neck_side"].x == pytest.approx(85.0)


@pytest.mark.parametrize(("stretch", "along", "off", "longer"), [
    ("20 %", "10 %", 0.0, 1.0), ("40 %", "20 %", 0.025, 1 + (1 / 0.975 - 1) / 4), ("75 %", "20 %", 0.04, None),
    ("100 %", "20 %", 0.075, None), ("120 %", "20 %", 0.1, None), ("80 %", "70 %", 0.1, 0.95),
])  # fmt: skip
def test_taken_off_by_the_class_of_the_cloth(stretch: str, along: str, off: float, longer: float | None) -> None:
    """Stable nothing, moderate 2 to 3 %, stretchy 3 to 5, super 5 to 10, rib and both ways 10 and 5 of the lengths
    (a trade page on stretch: its classes from teachers, its amounts from memory); where cloth stretches across alone, a
    quarter of the stretch in wear is added to the length (chosen)."""
    draft = drafted(t_shirt, WORKED, fitting="close", stretch=stretch, stretch_along=along)
    front = piece(draft, "front")
    assert front.points["underarm"].x == pytest.approx(230.0 * (1 - off))
    if longer is not None:
        plain = piece(drafted(t_shirt, WORKED, fitting="body"), "front").points["hem_centre"].y
        assert front.points["hem_centre"].y == pytest.approx(plain * longer)
    assert off == 0 or "from memory" in " ".join(draft.notes)
    assert not standing_errors(check(finished(draft, "cm")))


def test_a_v_is_banded_by_geometry() -> None:
    """A point with two tangents to a circle, 28° either side of its axis; a band 2 cm wide lies flat within it: its
    middle is as long as the line 1 cm inside, by another library's offset."""
    half, radius, wide = math.radians(28), 120.0, 20.0
    arc = [(radius * math.cos(a), radius * math.sin(a))
           for a in (-half + (math.pi + 2 * half) * k / 4000 for k in range(4001))]  # fmt: skip
    line = Polygon([*arc, (0.0, -radius / math.sin(half))])
    inside = line.buffer(-wide / 2, join_style="mitre", mitre_limit=10.0)
    flat = flat_ratio(mm(wide), mm(line.length), math.pi + 2 * half)
    assert flat * line.length - wide / math.tan(half) == pytest.approx(inside.length, abs=0.05)


@pytest.mark.parametrize("recovery", ["100 %", "85 %"])
def test_the_mitre_of_a_v(recovery: str) -> None:
    """Half of the neckline's angle at its point; folded, both layers end on the centre line. Of cloth that comes back
    by 85 % what the band is shorter by is divided by that."""
    draft = drafted(t_shirt, WORKED, neckline="v", recovery=recovery)
    band, neck = piece(draft, "neckband"), piece(draft, "front").edge("neck")
    (dx, dy), at = neck.curves[-1].way(1.0), band.points
    half = math.atan2(abs(dx), abs(dy))
    fold, low, high = at["fold_end"], at["bottom_right"], at["top_right"]
    assert math.atan2(fold.y - low.y, low.x - fold.x) == pytest.approx(half)
    assert (high.x, high.y - fold.y) == pytest.approx((low.x, fold.y - low.y))
    line = sum(piece(draft, name).edge("neck").length() for name in ("front", "back"))
    short = (band.points["top_left"].y - fold.y) * (math.pi + 2 * half) / 4
    assert low.x == pytest.approx(line - short / (float(recovery[:-2]) / 100), rel=2e-4)
    assert not standing_errors(check(finished(draft, "cm")))


def test_a_dropped_shoulder() -> None:
    """So far beyond the tip, at most to 0.5 cm within the side; the cap is low, and as long as the armhole."""
    draft = drafted(t_shirt, WORKED, shoulder="dropped", drop=4)
    front, sleeve = piece(draft, "front"), piece(draft, "sleeve")
    tip, neck = front.points["shoulder_tip"], front.points["neck_side"]
    assert distance(tip, neck) == pytest.approx(130.0 + 40.0)
    assert front.points["underarm"] == pytest.approx(((920 + 200) / 4, -272.0))
    armhole = front.edge("armhole").length() + piece(draft, "back").edge("armhole").length()
    assert sleeve.points["underarm_front"].x * 2 == pytest.approx(0.95 * armhole)
    assert 0.05 < sleeve.points["cap_top"].y / armhole < 0.2
    far = drafted(t_shirt, WORKED, shoulder="dropped", drop=15)
    assert distance(piece(far, "front").points["shoulder_tip"], neck) == pytest.approx(280 - 85 - 5)
    assert any("as far as the side lets it" in note for note in far.notes)
    with pytest.raises(DraftError, match="Change ease_bust to more"):
        drafted(t_shirt, Measurements({**WORKED, "shoulder_length": 150.0}), shoulder="dropped", fitting="body")


def test_the_hand_passes_hem_and_cuff() -> None:
    """0.8 of the stretch: a hand of 19.5 and a cuff of 12.5 want 56 %, so 70 % serve; 0.85 of the hem, where more."""
    for style, edge in (({}, "sleeve.hem"), ({"cuffs": "yes"}, "cuff.cuff_seam")):
        draft = drafted(t_shirt, WORKED, sleeve="long", **style)
        name, run = edge.split(".")
        long = piece(draft, name).edge(run).length()
        gives = 0.7 if style else 0.4
        assert long * (1 + 0.8 * gives) > 195
        pattern = finished(draft, "cm")
        assert found(pattern, "entry.hand").passed
        assert found(pattern, "entry.hand").measured == pytest.approx(long * (1 + 0.8 * gives), abs=0.06)
        big = drafted(t_shirt, Measurements({**WORKED, "hand_girth": 260.0}), sleeve="long", **style)
        assert found(finished(big, "cm"), "entry.hand").passed
    cuff = piece(draft, "cuff").edge("cuff_seam").length()
    assert cuff == pytest.approx(0.85 * piece(draft, "sleeve").edge("wrist_edge").length(), abs=0.01)


@pytest.mark.parametrize("spread", ["open", "fold", "tubular"])
def test_bands_stretch_round_the_neck_and_the_hand(spread: str) -> None:
    """Knits stretch across: the grain of a band runs square to its length, along the fold that it is cut on."""
    draft = drafted(t_shirt, WORKED, neckline="v", sleeve="long", cuffs="yes")
    for name in ("neckband", "cuff"):
        (ax, ay), (bx, by) = piece(draft, name).grain
        assert ax == bx and ay != by
    pattern = finished(draft, "cm")
    laid = pieces_for(Nest.single(pattern), "shell", Cloth(1500.0, spread), {pattern.size: 1})
    assert {one.name for one in laid.spread} >= {"front", "back", "sleeve", "neckband"}


def test_how_a_knit_is_laid_and_sewn_is_told() -> None:
    draft = drafted(t_shirt, WORKED)
    assert [p.name for p in draft.pieces if p.one_way] == ["front", "back", "sleeve"]
    cloth = {m.cut.piece.name: " ".join(m.handling) for m in finished(draft, "cm").pieces}
    assert not any("clip" in words for words in cloth.values()), cloth
    woven = tuple(replace(p, gives=False) for p in draft.pieces)
    pattern = finished(replace(draft, pieces=woven), "cm")
    assert "clip the neck" in " ".join(pattern.piece("front").handling)
    said = " ".join(draft.notes)
    assert all(words in said for words in ("ball-point", "stitch that gives", "same way up", "tape into the shoulder"))
    assert len(t_shirt.options) <= 25 and all(option.group for option in t_shirt.options)


def test_what_was_not_measured_is_told() -> None:
    less = Measurements({name: mm for name, mm in WORKED.items() if name not in ("head_girth", "scye_depth")})
    draft = drafted(t_shirt, less)
    assert any("head_girth was not measured" in note for note in draft.notes)
    assert piece(draft, "front").points["underarm"].y == pytest.approx(-(920 / 8 + 110))
    assert set(t_shirt.needs(defaults(t_shirt.options))) == {
        "bust_girth", "neck_base_girth", "shoulder_length", "hip_girth", "upper_arm_girth", "back_waist_length",
    }  # fmt: skip


@pytest.mark.parametrize("style", STYLES)
@pytest.mark.parametrize("file", ["women_1988_60.csv", "men_1988_60.csv"])
def test_on_the_people_of_the_survey(file: str, style: str) -> None:
    refused = 0
    for name, body in people(file).items():
        try:
            draft = drafted(t_shirt, body, **STYLES[style])
        except DraftError as error:
            assert "Change " in str(error) and "_" in str(error), (name, str(error))
            refused += 1
            continue
        front, back, sleeve = (piece(draft, part) for part in ("front", "back", "sleeve"))
        armhole = front.edge("armhole").length() + back.edge("armhole").length()
        cap = sleeve.edge("cap")
        assert cap.length() == pytest.approx(armhole, abs=0.01), name
        assert worst_kink(cap) < 0.5, name
        assert max(worst_kink(half.edge("armhole")) for half in (front, back)) < 0.5, name
        assert 0.10 <= sleeve.points["cap_top"].y / armhole <= 0.42, name
        assert all(Polygon(outline(p)).is_valid for p in draft.pieces), name
        shoulder = next(n for n in sleeve.notches if n.name == "shoulder")
        assert shoulder.at == pytest.approx(front.edge("armhole").length(), abs=0.01)
        for half, at in ((front, "front"), (back, "back")):
            notch = next(n for n in half.notches if n.edge == "armhole")
            other = next(n for n in sleeve.notches if n.name == at)
            far = other.at if at == "front" else cap.length() - other.at
            assert notch.at == pytest.approx(far, abs=0.01), name
    assert refused <= 3


def test_the_cap_is_as_high_as_was_proved() -> None:
    """0.28 of the armhole, 0.20 to 0.36, on 40 women of the survey, loose (worked rules, knits): the armhole between
    its points is the maker's, so the middle is met within 0.04, and nine in ten lie in that range."""
    shares = []
    for body in people("women_1988_60.csv").values():
        draft = drafted(t_shirt, body, stretch=1.0, band_stretch=2.0, sleeve="long", ease_bust=8)
        armhole = sum(path_length(piece(draft, half).edge("armhole").curves) for half in ("front", "back"))
        shares.append(piece(draft, "sleeve").points["cap_top"].y / armhole)
    assert sorted(shares)[30] == pytest.approx(0.28, abs=0.04)
    assert sum(0.20 <= share <= 0.36 for share in shares) >= 54


@pytest.mark.parametrize("style", STYLES)
def test_all_sizes_of_the_chart_are_alike_node_for_node(style: str) -> None:
    chart = shipped("women")
    assert len({nodes(drafted(t_shirt, chart.body(size), **STYLES[style])) for size in chart.sizes}) == 1


@pytest.mark.parametrize("style", STYLES)
def test_no_check_fails(style: str) -> None:
    findings = check(finished(drafted(t_shirt, WORKED, **STYLES[style]), "cm"))
    assert not standing_errors(findings), [f.message for f in standing_errors(findings)]


def test_necks_run_on_over_the_shoulder() -> None:
    """68 and 112 degrees make 180 (worked rules for bodices)."""
    draft = drafted(t_shirt, WORKED)
    angles = []
    for half in ("front", "back"):
        neck, shoulder = piece(draft, half).edge("neck"), piece(draft, half).edge("shoulder")
        (ax, ay), (bx, by) = shoulder.curves[-1].way(1.0), neck.curves[0].way(0.0)
        angles.append(math.degrees(math.acos(-ax * bx - ay * by)))
    assert angles == pytest.approx([68.0, 112.0], abs=1e-6)
