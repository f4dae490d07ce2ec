"""Waist finishes and pockets on the straight skirt: bands that fit, openings that the hip passes, flare from darts."""

from __future__ import annotations

import pytest

from by_the_tape import drafted, measured_whole
from oaktag.body.charts import shipped
from oaktag.body.measurements import Measurements
from oaktag.draft.board import Board
from oaktag.draft.garment import find_garment
from oaktag.draft.options import defaults
from oaktag.errors import DraftError
from oaktag.garments.parts.pockets import slant_pocket
from oaktag.garments.parts.waist import _curved, opening_down
from oaktag.garments.straight_skirt import straight_panels, straight_skirt
from oaktag.geometry.point import distance
from oaktag.model.draft import Draft
from oaktag.model.finding import Severity
from oaktag.model.length import cm, inch, mm
from oaktag.model.piece import Piece
from oaktag.model.walking import EASY_STEP, SHORT_STEP
from wardrobe import failed, finished, found, women

BODY = Measurements({"waist_girth": 720.0, "hip_girth": 980.0, "waist_to_hip": 206.0})

WIDE = measured_whole("women_1988_300.csv")["A0658"]


def skirt(body: Measurements, **style: float | str) -> Draft:
    return straight_skirt.drafted(body, {**defaults(straight_skirt.options, "cm"), **style}, "cm")


def piece(draft: Draft, name: str) -> Piece:
    return next(piece for piece in draft.pieces if piece.name == name)


def board(body: Measurements = BODY) -> Board:
    return Board("skirt", body, {}, "cm")


def test_a_curved_band_is_a_ring_sector() -> None:
    """gw-059, gw-060: upper 70, lower 76, 4 deep: 1.5 rad, radius 46.667 (geometry)."""
    band = _curved(board(), cm(76), cm(70), cm(4), mm(0))
    pin = band.points["band_pin"]
    assert distance(pin, band.points["upper_start"]) == pytest.approx(466.67, abs=0.1)
    assert distance(pin, band.points["low_12"]) == pytest.approx(506.67, abs=0.1)
    assert band.edge("band_seam").length() == pytest.approx(760, abs=0.05)
    assert band.edge("upper_edge").length() == pytest.approx(700, abs=0.05)


def test_the_opening_lets_the_hip_through() -> None:
    """gw-151: hip less waist 14 in: 8 in or more (a sewing magazine, on flies)."""
    body = Measurements({"waist_girth": 660.4, "hip_girth": 1016.0, "waist_to_hip": 200.0})
    assert opening_down(board(body), None, inch(26), inch(25), inch(4)).mm == pytest.approx(8 * 25.4)


@pytest.mark.parametrize("form", ["straight", "A-line"])
def test_on_the_survey_a_curved_band_is_as_long_as_the_top_of_the_skirt(form: str) -> None:
    """The contour test: within 0.2 cm, darts closed (garments handbook, waistbands)."""
    for name, body in list(women())[::10]:
        try:
            draft = skirt(body, waist="curved band", form=form)
        except DraftError as error:
            assert "Change" in str(error), (name, str(error))
            continue
        top = sum(2 * piece(draft, half).edge("waist").sewn_length() for half in ("front", "back"))
        assert piece(draft, "waistband").edge("band_seam").length() - 30 == pytest.approx(top, abs=2.0)
        assert piece(draft, "waistband").edge("upper_edge").length() - 30 == pytest.approx(
            body["waist_girth"] + 15, abs=1
        )


def test_a_dart_closed_opens_the_hem() -> None:
    """gw-036 to gw-039: intake 2, dart 10, length 60: opening 10, side addition 5 (geometry; a sewing page)."""
    sums = ((2, 10, 60, 10.0), (2, 14, 60, 6.571))
    for intake, dart, long, opens in sums:
        assert intake * (long - dart) / dart == pytest.approx(opens, abs=0.001)
    plain, flared = skirt(BODY, opening="none", long=640.0), skirt(BODY, opening="none", long=640.0, form="A-line")
    opens, hems = 0.0, [0.0, 0.0]
    for half in ("front", "back"):
        dart = next(d for d in piece(plain, half).darts if d.name == "waist 1")
        tip, ends = dart.points[1], (dart.points[0], dart.points[2])
        deep = distance(tip, ((ends[0].x + ends[1].x) / 2, (ends[0].y + ends[1].y) / 2))
        opens += dart.intake * (640 - deep) / deep
        hems = [hem + piece(draft, half).edge("hem").length() for hem, draft in zip(hems, (plain, flared), strict=True)]
    # the halves of what both open are added alike to both sides of the side seam, so that these are of one shape
    assert hems[1] - hems[0] == pytest.approx(1.5 * opens, rel=0.04)
    assert [d.name for d in piece(flared, "front").darts] == ["waist 2"]
    side = [piece(flared, half).edge("side").length() for half in ("front", "back")]
    assert side[0] == pytest.approx(side[1], abs=0.5)


def test_a_third_dart_for_a_hip_of_27_cm_more() -> None:
    """Third dart when hip less waist is more than 27 cm (worked rules proved on a survey, 75 of 300)."""
    for hip, many in ((985.0, 2), (1000.0, 3)):
        draft = skirt(Measurements({"waist_girth": 720.0, "hip_girth": hip, "waist_to_hip": 206.0}))
        assert len(piece(draft, "back").darts) == many
        assert len(piece(draft, "front").darts) == 2


def test_elastic_is_pulled_on_and_a_closed_waist_is_refused() -> None:
    draft = skirt(BODY, waist="elastic")
    assert not piece(draft, "front").darts
    assert piece(draft, "waistband").edge("band_seam").length() == pytest.approx(980 + 50, abs=0.1)
    assert any(note.startswith("Elastic: cut it 69.5 cm long") for note in draft.notes)
    assert any(claim.id == "entry.hip" for claim in skirt(BODY, closure="none").claims)


def test_a_slant_pocket_is_cut_at_the_rule_s_places() -> None:
    """gw-127: hip 100: 16.667 down the side, 5 in at the waist (lesson 9 on trousers)."""
    body = Measurements({"waist_girth": 740.0, "hip_girth": 1000.0, "waist_to_hip": 206.0})
    on = board(body)
    panels = straight_panels(on, cm(75.5), long=cm(64), ease_hip=cm(5), side_rise=cm(1.5))
    front, pocket = slant_pocket(on, panels.pieces[0])
    under, bag = pocket.pieces  # the pocket's back and front
    assert under.edge("side").length() == pytest.approx(166.67, abs=0.1)
    assert under.edge("waist").length() == pytest.approx(50, abs=0.1)
    assert bag.edge("slant").length() == pytest.approx(front.edge("slant").length(), abs=0.01)
    side = bag.points["pocket_side"].y
    assert side - bag.points["bag_low"].y == pytest.approx(333.3 / 2, abs=0.1)  # and as far again down to it


@pytest.mark.parametrize("waist", ["band", "curved band", "elastic"])
def test_all_sizes_are_alike_in_each_finish(waist: str) -> None:
    chart = shipped("women")
    shapes = set()
    for size in chart.sizes[::4]:
        draft = skirt(chart.body(size), waist=waist, waist_darts="2")
        shapes.add(tuple((p.name, tuple((e.name, len(e.curves)) for e in p.edges)) for p in draft.pieces))
    assert len(shapes) == 1


def test_all_darts_closed_leave_no_level_on_the_waist_edge() -> None:
    """Of the waist line of the draft a bit was left, which ended on the waist edge and set a notch there."""
    odd = {"form": "A-line", "waist_darts": "3", "darts_closed": "3", "waist": "facing", "closure": "hook",
           "closes_at": "side", "pocket_kind": "in the side seams", "lining": "yes", "opening": "none"}  # fmt: skip
    draft = skirt(WIDE, **odd)
    for name in ("front", "back"):
        assert [n.name for n in piece(draft, name).notches if n.edge == "waist"] == ["middle"]
    assert not failed(finished(draft, "cm"))


SKIRTS = {
    "circle-skirt": ("band", "curved band", "facing", "elastic"),
    "gored-skirt": ("band", "curved band", "facing", "elastic"),
    "gathered-skirt": ("band", "curved band", "elastic"),
    "pleated-skirt": ("band", "curved band"),
}


@pytest.mark.parametrize(("name", "waist"), [(name, waist) for name, kinds in SKIRTS.items() for waist in kinds])
@pytest.mark.parametrize("closure", ["zip", "buttons"])
def test_every_skirt_in_each_finish(name: str, waist: str, closure: str) -> None:
    """Band or casing as long as the waist with its ease, or as the hip and what elastic needs; a curved band is so
    above, and its lower edge as long as the skirt's (contour test, within 0.2 cm; garments handbook, waistbands)."""
    garment = find_garment(name)
    draft = drafted(garment, BODY, waist=waist, closure=closure, closes_at="side")
    pattern = finished(draft, "cm")
    assert not failed(pattern)
    if waist == "facing":
        return
    band = piece(draft, "waistband")
    edge = band.edge("upper_edge" if waist == "curved band" else "band_seam")
    lap = next((edge.length() - n.at for n in band.notches if n.edge == "band_seam" and n.name == "lap"), 0.0)
    if waist == "elastic":
        assert edge.length() >= 980 + 25.4
        return
    past = 25.0 if name == "gathered-skirt" else 30.0
    assert edge.length() - past == pytest.approx(720 + 15, abs=1.0)
    if waist == "band":
        assert lap == pytest.approx(past, abs=0.1)
    assert ("placket" in [p.name for p in draft.pieces]) == (closure == "buttons")


@pytest.mark.parametrize(
    ("name", "kind", "pieces"),
    [
        ("straight-skirt", "slant", {"pocket_back", "pocket_front"}),
        ("gored-skirt", "slant", {"pocket_back", "pocket_front"}),
        ("gored-skirt", "in the side seams", {"pocket_bag"}),
        ("gathered-skirt", "patch", {"patch_pocket"}),
        ("circle-skirt", "in the side seams", {"pocket_bag"}),
        ("wrap-skirt", "in the side seams", {"pocket_bag"}),
    ],
)
def test_skirts_have_pockets(name: str, kind: str, pieces: set[str]) -> None:
    """The waist is as long as without; in a side seam, whichever way it runs, they open 6 in (School Needlework)."""
    garment = find_garment(name)
    plain, draft = (drafted(garment, BODY, pocket_kind=each) for each in ("none", kind))
    assert {p.name for p in draft.pieces} - {p.name for p in plain.pieces} == pieces
    assert not [f for f in failed(finished(draft, "cm")) if f.severity is not Severity.INFO]
    band = [piece(each, "waistband").edge("band_seam").length() for each in (plain, draft)]
    assert band[0] == pytest.approx(band[1], abs=0.1)
    if pieces == {"pocket_bag"}:
        mouth = piece(draft, "pocket_bag").edge("mouth")
        assert mouth.length() == pytest.approx(150.0, abs=0.5)  # 6 in, as a metric job has it
        assert mouth.start.x == pytest.approx(mouth.end.x, abs=0.01)


def test_slant_pockets_want_a_waistband() -> None:
    with pytest.raises(DraftError, match="pocket_kind"):
        skirt(BODY, pocket_kind="slant", waist="facing")


def test_a_narrow_skirt_warns_where_she_cannot_walk() -> None:
    """Hem 98 + 5 less 4 × 5 cm of peg: 83 cm, by hand. At the knee it allows less than 60 cm, longer less than 45;
    it is warned of as too narrow (facts on checks, section 3, H2), and of a skirt never more than that."""
    for long, least in ((600.0, SHORT_STEP), (900.0, 0.0)):
        told = found(finished(skirt(BODY, form="pegged", opening="none", peg=50.0, long=long), "cm"), "walk.stride")
        assert "hem 83" in told.message
        assert not told.passed
        assert told.severity is Severity.WARNING
        assert least <= told.measured < (EASY_STEP if least else SHORT_STEP)
    assert found(finished(skirt(BODY, form="pegged", vent_long=250.0), "cm"), "walk.stride").passed
