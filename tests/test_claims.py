"""Claims carry their proof: widths along levels, data that can be sent and worked again, the garment's own advice."""

from __future__ import annotations

import pickle
import re
from dataclasses import fields, replace
from math import cos, radians, sin

import pytest

from oaktag.body.measurements import KINDS, Measurements
from oaktag.checks.fit import measurement_book
from oaktag.claims.girth import EaseInRange, Girth, RunAsLong
from oaktag.claims.measure import girth_at, level_depth, width_along
from oaktag.claims.openings import Passes
from oaktag.claims.places import DartEnds
from oaktag.claims.stride import Stride
from oaktag.draft.options import defaults
from oaktag.geometry.curve import Line
from oaktag.geometry.point import Point
from oaktag.grade.ruled import graded_by_rules
from oaktag.grade.rules import GradeRules, Rule
from oaktag.model.draft import Draft
from oaktag.model.length import Length, mm
from oaktag.model.pattern import Pattern
from oaktag.model.piece import Cut, Dart, Edge, EdgeKind, LevelLine, Piece
from oaktag.model.ref import refs
from test_names import BODY
from wardrobe import ALTO, DRESS, claimed, dress, dressed, finished, level_of, zip_of

STYLES: tuple[dict[str, str], ...] = (
    {}, {"waist_seam": "yes", "sleeve": "long"}, {"zip": "none", "opening": "none"},
    {"bust_dart": "side", "zip": "side"},
)  # fmt: skip


def leg(turned_deg: float = 0.0, dart: bool = False) -> Pattern:
    """Half a trouser leg's tube, 30 mm on one side of x = 0 and 200 mm on the other, 400 mm long: 230 mm all across.

    Cut as a pair, it goes once round either leg; `Cut("whole")` says so. It may lie turned on the paper.
    """

    def at(x: float, y: float) -> Point:
        a = radians(turned_deg)
        return Point(x * cos(a) - y * sin(a), x * sin(a) + y * cos(a))

    corners = [at(-30, 0), at(-30, -400), at(200, -400), at(200, 0)]
    names = ("inseam", "hem", "outseam", "top")
    edges = tuple(
        Edge(name, EdgeKind.HEM if name == "hem" else EdgeKind.SEAM, (Line(a, b),))
        for name, a, b in zip(names, corners, [*corners[1:], corners[0]], strict=True)
    )
    darts = (Dart("knee", (at(80, -100), at(100, -200), at(80, -300), at(60, -200)), 40.0),) if dart else ()
    piece = Piece(
        "leg", edges, {}, (at(50, -50), at(50, -350)), Cut("whole", 2), darts=darts, worn="leg",
        levels=(
            LevelLine("thigh", 800.0, (at(-60, -50), at(260, -50))),
            LevelLine("hem", 1150.0, (at(-60, -400), at(260, -400))),
        ),
    )  # fmt: skip
    draft = Draft("leg", (piece,), (), (), (), (), {"thigh_girth": 200.0}, {}, dict.fromkeys(names, 10.0))
    return finished(draft)


@pytest.mark.parametrize("turned_deg", [0.0, 17.0, 90.0, -123.0])
def test_a_leg_is_measured_on_both_sides_of_its_crease_however_it_lies(turned_deg: float) -> None:
    """By hand: 30 + 200 mm; half way down a dart of 40 mm is open by 20 mm and at its middle by all of it."""
    pattern = leg(turned_deg)
    assert girth_at(pattern, 800.0, "leg") == pytest.approx(230.0)
    assert girth_at(pattern, 1000.0, "leg") == pytest.approx(230.0)
    assert girth_at(pattern, 800.0) == 0.0  # nothing of it goes round the body
    darted = leg(turned_deg, dart=True)
    assert girth_at(darted, 950.0, "leg") == pytest.approx(190.0)
    assert girth_at(darted, 900.0, "leg") == pytest.approx(210.0)
    claim = Girth("girth.thigh", "Widen it.", "thigh", Length(200.0, "body", name="thigh_girth"), mm(30), worn="leg")
    (found,) = claim.check(pattern)
    assert found.passed and found.measured == 230.0
    (off,) = replace(claim, ease=mm(32)).check(pattern)
    assert not off.passed and off.message.endswith("Widen it.")


def test_between_two_levels_a_side_may_bulge() -> None:
    """Levels drawn from side to side, and by hand a side that stands out by 40 mm half way between them."""
    pattern = leg()
    (marked,) = pattern.pieces
    bulging = [*marked.cut.stitch_line[:-2], Point(200, -400), Point(240, -225), Point(200, -50), Point(200, 0)]
    levels = tuple(
        replace(v, points=(Point(-30, v.points[0].y), Point(200, v.points[1].y))) for v in marked.cut.piece.levels
    )
    cut = replace(marked.cut, piece=replace(marked.cut.piece, levels=levels), stitch_line=tuple(bulging))
    wide = replace(pattern, pieces=(replace(marked, cut=cut),))
    assert girth_at(wide, 800.0, "leg") == pytest.approx(230.0)
    assert girth_at(wide, 975.0, "leg") == pytest.approx(270.0)


def test_a_line_counts_only_as_far_as_it_is_drawn_and_what_lies_on_the_piece() -> None:
    cut = leg().pieces[0].cut
    assert width_along(cut, (Point(0, -10), Point(500, -10))) == pytest.approx(200.0)
    assert width_along(cut, (Point(0, -10), Point(50, -10))) == pytest.approx(50.0)
    assert width_along(cut, (Point(-500, -10), Point(-400, -10))) == 0.0
    bent = (Point(-100, -10), Point(0, -10), Point(0, -110), Point(500, -110))
    assert width_along(cut, bent) == pytest.approx(30 + 100 + 200)


def test_a_dart_that_opens_at_an_edge_is_taken_off_where_both_of_its_legs_are_crossed():
    """By similar triangles: 60 mm wide at its ends, 200 above its point, it takes in 15 at 50 above it; in a line that
    bends within it as well. A line along a dart, out by its mouth, loses nothing: the dart is pressed to one side."""
    cut = leg().pieces[0].cut
    upright = replace(
        cut, piece=replace(cut.piece, darts=(Dart("neck", (Point(130, 0), Point(100, -200), Point(70, 0)), 60.0),))
    )
    assert width_along(upright, (Point(-30, -150), Point(200, -150))) == pytest.approx(230 - 15)
    assert width_along(upright, (Point(-30, -150), Point(100, -150), Point(200, -150))) == pytest.approx(230 - 15)
    assert width_along(upright, (Point(-30, -250), Point(200, -250))) == pytest.approx(230)
    slanting = Dart("neck", (Point(150, -10), Point(60, -200), Point(60, 10)), 92.2)
    leant = replace(cut, piece=replace(cut.piece, darts=(slanting,)))
    assert width_along(leant, (Point(-30, -105), Point(200, -105))) == pytest.approx(230 - 45)
    lying = replace(
        cut,
        piece=replace(cut.piece, darts=(Dart("bust", (Point(200, -130), Point(100, -150), Point(200, -170)), 40.0),)),
    )
    assert width_along(lying, (Point(-30, -150), Point(200, -150))) == pytest.approx(230)


def test_a_vents_extension_does_not_go_round_the_body() -> None:
    """It lies behind the other half: with a vent the dress is as wide as with a slit."""
    vent, slit = (dressed(ALTO, opening=kind, opening_length="8 in") for kind in ("vent", "slit"))
    hem = level_depth(vent, "hem")
    assert min(x for x, _ in vent.piece("back").cut.stitch_line) < -40
    assert girth_at(vent, hem - 50) == pytest.approx(girth_at(slit, hem - 50))


def test_where_one_piece_ends_and_the_next_starts_the_lower_one_counts() -> None:
    whole, cut = (dressed(ALTO, waist_seam=seam) for seam in ("no", "yes"))
    waist = level_depth(cut, "waist")
    for depth in (waist - 1e-3, waist + 1e-3):
        assert girth_at(cut, depth) == pytest.approx(girth_at(whole, depth), abs=6)  # a waist seam is trued by some mm
    assert girth_at(cut, waist) == pytest.approx(girth_at(cut, waist + 1e-6), abs=0.1)


@pytest.mark.parametrize("style", STYLES, ids=str)
def test_claims_are_plain_data(style: dict[str, str]) -> None:
    claims, again = (DRESS.drafted(BODY, {**defaults(DRESS.options), **style}, "in").claims for _ in range(2))
    assert pickle.loads(pickle.dumps(claims)) == claims == again
    assert len({claim.id for claim in claims}) == len(claims)


@pytest.mark.parametrize("style", STYLES, ids=str)
def test_the_words_of_a_claim_name_options_that_the_garment_has(style: dict[str, str]) -> None:
    draft = dress(BODY, **style)
    known = {option.name for option in DRESS.options} | KINDS.keys()
    for claim in draft.claims:
        places = {name for piece in draft.pieces for name in (piece.name, *piece.points)}
        told = [value for one in fields(claim) if isinstance(value := getattr(claim, one.name), str)]
        named = set(re.findall(r"\b[a-z]+(?:_[a-z]+)+\b", " ".join(told))) - places
        assert named <= known, claim.id


def test_another_body_is_worked_from_the_same_formula() -> None:
    claim = claimed(dress(BODY), Girth)
    other = claim.again({"bust_girth": 1000.0}, {"ease_bust": 40.0})
    assert isinstance(other, Girth)
    assert (other.body.mm, other.ease.mm, (other.body + other.ease).mm) == (1000.0, 40.0, 1040.0)
    assert claim.again({"hip_girth": 1000.0}, {}) is None
    assert not claim.in_base_only
    assert claimed(dress(BODY), Stride).again(BODY, {}) is None and claimed(dress(BODY), Stride).in_base_only
    assert claimed(dress(BODY), DartEnds).again(BODY, {}) is None and claimed(dress(BODY), DartEnds).in_base_only


def test_a_size_graded_by_rules_has_the_claims_that_its_body_allows_and_tells_the_others() -> None:
    """The side moves out by 5 mm in front and back: 20 mm all round, as the body grows."""
    base = dress(BODY, sleeve="none", zip="side", opening="none")
    rules = tuple(
        Rule(piece.name, name, {"L": (5.0 if name.endswith("_side") or name == "underarm" else 0.0, 0.0)})
        for piece in base.pieces
        for name in piece.points
    )
    body = {name: value + 20.0 * name.endswith(("bust_girth", "waist_girth")) for name, value in BODY.items()}
    del body["hip_girth"]
    found = graded_by_rules(base, "M", GradeRules(("M", "L"), "M", rules), {"L": body})["L"]
    girths = {claim.level: claim for claim in found.claims if isinstance(claim, Girth)}
    assert girths.keys() == {"bust", "waist"}
    pattern = finished(found)
    assert [f.message for claim in girths.values() for f in claim.check(pattern) if not f.passed] == []
    assert [claim.level for claim in found.claims if isinstance(claim, EaseInRange)] == ["bust", "waist", "hip"]
    assert "The hip is not proved: its measurement was not given." in found.notes
    assert "Proved in size M only: end of the waist dart, stride." in found.notes


def test_a_skirt_hangs_from_its_bodice_where_rules_make_that_longer() -> None:
    """The bodice's waist 20 mm lower, the skirt as it was: waist and hip lie 20 mm lower, the zip is 20 mm longer."""
    base = dress(BODY, sleeve="none", waist_seam="yes", opening="none")
    rules = tuple(
        Rule(
            piece.name,
            name,
            {"L": (0.0, -20.0 if name.startswith("waist") and piece.name.startswith("bodice") else 0.0)},
        )
        for piece in base.pieces
        for name in piece.points
    )
    found = graded_by_rules(base, "M", GradeRules(("M", "L"), "M", rules), {"L": BODY})["L"]
    for level in ("waist", "hip"):
        assert level_of(found, level) == pytest.approx(level_of(base, level) + 20.0)
    assert zip_of(found).length == pytest.approx(zip_of(base).length + 20.0)
    assert zip_of(found).end_depth == pytest.approx(zip_of(base).end_depth + 20.0)


def test_cloth_that_stretches_lets_more_through() -> None:
    pattern = dressed(ALTO, sleeve="none")
    claim = Passes(
        "entry.foot", "widen it by {more}.", "hem", refs("front.armhole"), "foot", mm(400.0), "as measured", 10.0
    )
    (tight,) = claim.check(pattern)
    (wide,) = replace(claim, stretch=0.25).check(pattern)
    assert wide.measured == pytest.approx(1.25 * tight.measured, abs=0.1)
    assert "when stretched" in wide.message and "when stretched" not in tight.message


def test_a_run_of_edges_is_as_long_as_the_body() -> None:
    """The leg's inseam and half of its hem's 230 mm, by hand: 400 + 230."""
    claim = RunAsLong("run.crotch", "move it by {off}.", refs("leg.inseam", "leg.hem"), mm(600.0), mm(30.0))
    (found,) = claim.check(leg())
    assert found.passed and found.measured == 630.0 and found.message.startswith("crotch: ")
    (off,) = replace(claim, ease=mm(50.0)).check(leg())
    assert not off.passed and off.message.endswith("move it by 7/8 in.")  # 20 mm, rounded up to 1/8 in
    (both,) = replace(claim, body=mm(1230.0), each=2).check(leg())
    assert both.passed


def test_doubts_are_told_of_measurements_that_the_garment_uses() -> None:
    """The dress has no use for the across back width, so a strange one is nobody's business."""
    strange = Measurements({**ALTO, "across_back_width": 200.0})
    pattern = dressed(strange)
    assert [f.id for f in measurement_book(pattern)] == ["body.plausible"]
    everything = replace(pattern, draft=replace(pattern.draft, uses=()))
    assert "body.across-back-bust" in [f.id for f in measurement_book(everything)]
