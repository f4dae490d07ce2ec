"""Styles that are asked for: necklines, hems, cap sleeve, zips, waist seam, bust dart; corners by job.

Every style over the women of the survey: test_bodies.py.
"""

from __future__ import annotations

import math
import re
from dataclasses import replace
from itertools import pairwise
from math import atan, degrees
from pathlib import Path

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from oaktag.body.measurements import Measurements
from oaktag.checks.run import check
from oaktag.claims.measure import girth_at, run_length
from oaktag.draft.construct import square_neckline
from oaktag.errors import DraftError, InputError, InputErrors
from oaktag.finish.allowances import allow
from oaktag.geometry.path import place_at
from oaktag.geometry.point import Point, direction, distance, mirrored, turn_deg
from oaktag.job import load_job
from oaktag.model.finding import Severity
from oaktag.model.pattern import Pattern
from oaktag.model.piece import EdgeKind
from oaktag.model.ref import refs
from oaktag.pipeline import pattern_of
from oaktag.units import Unit, parse_length
from wardrobe import (
    ALTO,
    FIXTURES,
    LENGTH,
    dense,
    dress,
    dressed,
    eases_of,
    edge_tape,
    found,
    sewn_tape,
    tape,
    walk_of,
    women,
    zip_of,
)

IN = 25.4
BUSTY = Measurements(
    {**ALTO, "front_waist_length": ALTO["back_waist_length"] + 25.4 + 1.25 * IN, "bust_height": 10.75 * IN}
)


def errors(pattern: Pattern, *, but: tuple[str, ...] = ()) -> list[str]:
    return [f.message for f in check(pattern) if not f.passed and f.severity is Severity.ERROR and f.id not in but]


def test_a_square_neck_by_hand() -> None:
    """Down square to the shoulder, then level; bust 38: depth 38/12 + 1 in."""
    front = next(p for p in dress(ALTO, neckline="square").pieces if p.name == "front")
    down, level = front.edge("neckline").curves
    shoulder = direction(front.points["shoulder_tip"], front.points["neck_side"])
    assert abs(turn_deg(shoulder, down.way(0.0))) == pytest.approx(90, abs=1e-6)
    assert level.start.y == level.end.y == pytest.approx(-(38 / 12 + 1) * IN)
    assert level.end.x == 0


def test_a_v_neck_is_straight_but_for_its_start() -> None:
    front = next(p for p in dress(ALTO, neckline="v").pieces if p.name == "front")
    rounded, straight = front.edge("neckline").curves
    assert front.points["neck_centre"].y == pytest.approx(-38 / 6 * IN)
    assert straight.length() > 0.7 * front.edge("neckline").length()
    assert abs(turn_deg(rounded.way(1.0), straight.way(0.0))) < 1e-6
    assert found(dressed(ALTO, neckline="v"), "corner.neckline").passed


def test_a_v_neck_by_hand() -> None:
    """Neck side (38/12 in, 0), centre (0, -38/6 in): square to the shoulder at the one, straight to the other.

    The whole is no longer than the chord and the two short ways round its rounded start, 12 % of the chord each.
    """
    front = next(p for p in dress(ALTO, neckline="v").pieces if p.name == "front")
    neck = front.edge("neckline")
    assert (neck.start.x, neck.start.y) == pytest.approx((38 / 12 * IN, 0))
    assert (neck.end.x, neck.end.y) == pytest.approx((0, -38 / 6 * IN))
    shoulder = direction(front.points["shoulder_tip"], front.points["neck_side"])
    assert abs(turn_deg(shoulder, neck.curves[0].way(0.0))) == pytest.approx(90, abs=1e-6)
    chord = math.hypot(38 / 12 * IN, 38 / 6 * IN)
    assert chord < neck.length() < 1.24 * chord
    for x, y in dense(neck.curves):  # never beyond the upright through the neck side, nor below the centre
        assert -1e-9 <= x <= 38 / 12 * IN + 0.13 * chord
        assert -38 / 6 * IN - 1e-9 <= y <= 1e-9


@pytest.mark.parametrize("neckline", ["round", "v", "square", "boat"])
@pytest.mark.parametrize("unit", ["in", "cm"])
def test_a_neck_as_wide_and_deep_as_asked(neckline: str, unit: Unit) -> None:
    for draft in (dress(ALTO, unit, neckline=neckline, neck_width="11 cm", front_neck_depth="14 cm"),):
        front, back = (next(p for p in draft.pieces if p.name == half) for half in ("front", "back"))
        assert front.points["neck_side"].x == back.points["neck_side"].x == pytest.approx(110)
        assert front.points["neck_centre"].y == pytest.approx(-140)
        # the shape is the front's alone
        assert back.points["neck_centre"].y == pytest.approx(-IN if unit == "in" else -25)
        assert tape(dense(back.edge("neckline").curves)) < tape(dense(front.edge("neckline").curves))


@pytest.mark.parametrize(
    ("neckline", "width", "depth"),  # bust 38 in: 38/12 across; round 38/12, V 38/6, square 38/12 + 1, boat 1 3/4
    [
        ("round", 38 / 12, 38 / 12),
        ("v", 38 / 12, 38 / 6),
        ("square", 38 / 12, 38 / 12 + 1),
        ("boat", 38 / 12 + 2, 1.75),
    ],
)
def test_the_usual_neck_of_each_shape(neckline: str, width: float, depth: float) -> None:
    body = Measurements({**ALTO, "shoulder_width": 17 * IN})
    points = next(p for p in dress(body, neckline=neckline).pieces if p.name == "front").points
    assert points["neck_side"].x == pytest.approx(width * IN)
    assert points["neck_centre"].y == pytest.approx(-depth * IN)


def test_a_flared_hem_by_hand() -> None:
    """1 1/2 in of flare over 16 in below the hip: the side is as long as the centre there, and square to the hem."""
    front = next(p for p in dress(ALTO, hem="a-line", length="41 in").pieces if p.name == "front")
    hip, hem = front.points["hip_side"], front.points["hem_side"]
    assert hem.x - hip.x == pytest.approx(1.5 * IN)
    assert distance(hip, hem) == pytest.approx(16 * IN)
    side, edge = front.edge("side").curves[0], front.edge("hem").curves[-1]
    assert turn_deg(edge.way(1.0), side.way(0.0)) == pytest.approx(90, abs=1e-6)
    assert front.edge("hem").curves[0].way(0.0).y == pytest.approx(0, abs=1e-9)


@given(st.floats(5, 150), st.floats(980, 1300))
@settings(max_examples=40, deadline=None)
def test_a_flared_side_is_as_long_below_the_hip_as_the_centre(flare: float, length: float) -> None:
    """So that the hem hangs level; and it is square to both."""
    draft = dress(ALTO, "mm", hem="a-line", flare=flare, length=length, sleeve="none", opening="none")
    for half in ("front", "back"):
        drafted = next(p for p in draft.pieces if p.name == half)
        hip, hem_side, hem = drafted.points["hip_side"], drafted.points["hem_side"], drafted.edge("hem")
        assert math.dist(hip, hem_side) == pytest.approx(length - 25 * IN)  # 16 + 1 + 8 in down to the hip
        assert hem_side.x - hip.x == pytest.approx(flare)
        assert hem.curves[0].way(0.0).y == pytest.approx(0, abs=1e-9)
        assert turn_deg(hem.curves[-1].way(1.0), drafted.edge("side").curves[0].way(0.0)) == pytest.approx(90, abs=1e-6)
    front, back = (next(p for p in draft.pieces if p.name == half) for half in ("front", "back"))
    assert front.edge("hem").length() == pytest.approx(back.edge("hem").length())


def test_the_bust_dart_takes_what_the_front_is_longer() -> None:
    """Front length less back length at the side, legs equal, level with the bust point, smooth when it is closed."""
    pattern = dressed(BUSTY, bust_dart="side")
    piece = pattern.piece("front").cut.piece
    dart = next(d for d in piece.darts if d.name == "bust")
    low, tip, high = dart.points
    assert dart.intake == pytest.approx(1.25 * IN)
    assert high.y - low.y == pytest.approx(1.25 * IN)
    assert distance(low, tip) == pytest.approx(distance(high, tip), abs=0.01)
    # 10 3/4 in by the tape from the side neck point, 38 ÷ 12 in across, to 7 1/2 ÷ 2 in across
    assert math.hypot(tip.y, (7.5 / 2 - 38 / 12) * IN) == pytest.approx(10.75 * IN)
    assert run_length(pattern, refs("front.side")) == pytest.approx(run_length(pattern, refs("back.side")), abs=0.5)
    assert piece.points["waist_side"].y == pytest.approx(
        pattern.piece("back").cut.piece.points["waist_side"].y - 1.25 * IN
    )
    assert found(pattern, "corner.dart").passed
    assert girth_at(pattern, 17 * IN) == pytest.approx(ALTO["waist_girth"] + IN, abs=0.5)


def turned(p: tuple[float, float], about: tuple[float, float], by: float) -> tuple[float, float]:
    x, y = p[0] - about[0], p[1] - about[1]
    return about[0] + x * math.cos(by) - y * math.sin(by), about[1] + x * math.sin(by) + y * math.cos(by)


@pytest.mark.parametrize("more", [0.5, 1.25, 1.75])
@pytest.mark.parametrize("waist_seam", ["no", "yes"])
def test_a_closed_bust_dart_leaves_the_side_smooth(waist_seam: str, more: float) -> None:
    """By hand: all below the dart is turned about its point until the legs meet; the side then runs on."""
    body = Measurements({**BUSTY, "front_waist_length": ALTO["back_waist_length"] + 25.4 + more * IN})
    pattern = dressed(body, bust_dart="side", waist_seam=waist_seam)
    cut = pattern.piece("bodice_front" if waist_seam == "yes" else "front").cut
    low, tip, high = next(d for d in cut.piece.darts if d.name == "bust").points
    angle = math.atan2(high.y - tip.y, high.x - tip.x) - math.atan2(low.y - tip.y, low.x - tip.x)
    line = dense(cut.piece.edge("side").curves)
    first, second = (min(range(len(line)), key=lambda i: math.dist(line[i], leg)) for leg in (low, high))
    assert math.dist(line[first], low) < 0.02
    assert math.dist(line[second], high) < 0.02
    below = [turned(p, tip, angle) for p in line[first - 3 : first + 1]]
    above = line[second : second + 4]
    assert math.dist(below[-1], above[0]) < 0.02
    assert abs(turn_deg(direction(below[0], below[-1]), direction(above[0], above[-1]))) < 3
    # and the underlay, which is pressed down, ends with the side: folded over the lower leg it lies on the edge there
    below_it = shapely.LineString(line[: first + 1])
    middle = direction(tip, ((low.x + high.x) / 2, (low.y + high.y) / 2))
    under = [p for p in line[first : second + 1] if (p[0] - tip.x) * middle.y - (p[1] - tip.y) * middle.x >= -1e-6]
    assert len(under) > 3
    for p in under:
        assert below_it.distance(shapely.Point(mirrored(p, tip, direction(tip, low)))) < 0.05


@pytest.mark.parametrize("intake", ["25 mm", "60 mm", "85 mm", "97 mm"])
def test_the_side_keeps_its_length_beside_a_bust_dart_however_hollow_it_is(intake: str) -> None:
    """A wide waist dart draws the side far out at the waist; it must still walk along the back's, by tape."""
    body = Measurements({**ALTO, "bust_girth": 880.0, "waist_girth": 748.0, "hip_girth": 971.0, "waist_to_hip": 248.0,
                         "back_waist_length": 357.5, "bust_point_width": 200.0, "bust_height": 261.0,
                         "front_waist_length": 415.0, "shoulder_width": 430.0, "upper_arm_girth": 298.0})  # fmt: skip
    pattern = dressed(body, "mm", bust_dart="side", dart_intake=intake)
    assert sewn_tape(pattern, "front.side") == pytest.approx(sewn_tape(pattern, "back.side"), abs=0.1)
    assert found(pattern, "seam.side-seam").passed


def test_a_bust_dart_needs_a_front_length_that_is_longer() -> None:
    with pytest.raises(DraftError, match=r"not measured: front_waist_length\. Take"):
        dress(ALTO, bust_dart="side")
    level = Measurements({**BUSTY, "front_waist_length": ALTO["back_waist_length"] + 25.4 + 4.0})
    draft = dress(level, bust_dart="side")
    assert not [dart for piece in draft.pieces for dart in piece.darts if dart.name == "bust"]
    assert any("no bust dart was drafted" in note for note in draft.notes)
    far = Measurements({**BUSTY, "back_waist_length": 14 * IN, "front_waist_length": 21 * IN})
    with pytest.raises(DraftError, match="does not fit between the chest line and the waist line") as refused:
        dress(far, bust_dart="side", sleeve="none")
    assert "front_waist_length" in str(refused.value)


def test_the_bust_dart_is_not_guessed(tmp_path: Path) -> None:
    job = tmp_path / "a.toml"
    text = (FIXTURES / "choir/worked.toml").read_text(encoding="utf-8")
    job.write_text(text.replace("[style]", '[style]\nbust_dart = "side"'), encoding="utf-8")
    with pytest.raises(InputErrors, match="front_waist_length"):
        load_job(job)


def test_bodice_and_skirt_walk_and_their_darts_meet() -> None:
    """One dart intake at the waist, at the same place of both edges; the sewn waist is body and ease exactly."""
    pattern = dressed(ALTO, waist_seam="yes")
    for half in ("front", "back"):
        upper, lower = (pattern.piece(f"{part}_{half}").cut.piece.edge("waist") for part in ("bodice", "skirt"))
        assert upper.sewn_length() == pytest.approx(lower.sewn_length(), abs=0.01)
        start, end = upper.takes[0].start, lower.takes[0].end
        assert upper.sewn(start) == pytest.approx(lower.length() - end, abs=0.3)  # both from the centre
    sewn = 2 * run_length(pattern, refs("bodice_front.waist", "bodice_back.waist"))
    assert sewn == pytest.approx(ALTO["waist_girth"] + IN, abs=0.05)


@pytest.mark.parametrize("intake", ["1 in", "2 1/2 in"])
def test_a_waist_edge_runs_on_without_a_gap_over_its_dart(intake: str) -> None:
    """Every tenth woman, and one in whose bodice it once jumped by 0.011 mm: each curve starts where the last ended."""
    for name, body in women():
        if name != "A1985" and int(name[1:]) % 10:
            continue
        try:
            draft = dress(body, "cm", waist_seam="yes", sleeve="none", dart_intake=intake)
        except DraftError:
            continue
        for piece in draft.pieces:
            for edge in piece.edges:
                for before, after in pairwise(edge.curves):
                    assert distance(before.end, after.start) < 1e-7, (name, piece.name, edge.name)
            for dart in piece.darts:
                if len(dart.points) == 3:
                    ends = {p for curve in piece.edge("waist").curves for p in (curve.start, curve.end)}
                    assert {dart.points[0], dart.points[2]} <= ends


def test_a_cap_sleeve_lies_between_the_notches() -> None:
    pattern = dressed(ALTO, sleeve="cap")
    front, back = (pattern.piece(name).cut.piece.edge("armhole") for name in ("front", "back"))
    above = sum(edge.curves[1].length() for edge in (front, back))
    cap = pattern.piece("sleeve").cut.piece.edge("cap").length()
    assert cap - above == pytest.approx(0.75 * IN, abs=0.05)


def test_bodice_and_skirt_are_what_the_dress_was(tmp_path: Path) -> None:
    """Cut apart at the waist, the pieces keep hem, side, armhole and neck, and the side is as long as before."""
    whole, apart = dressed(BUSTY, bust_dart="side"), dressed(BUSTY, bust_dart="side", waist_seam="yes")
    assert {p.name for p in apart.pieces} - {p.name for p in whole.pieces} == {
        f"{part}_{half}" for part in ("bodice", "skirt") for half in ("front", "back")
    }
    for half in ("front", "back"):
        for part, edges in (("bodice", ("armhole", "neckline", "shoulder")), ("skirt", ("hem",))):
            for edge in edges:
                assert edge_tape(apart, f"{part}_{half}.{edge}") == pytest.approx(edge_tape(whole, f"{half}.{edge}"))
        sides = sewn_tape(apart, f"bodice_{half}.side") + sewn_tape(apart, f"skirt_{half}.side")
        assert sides == pytest.approx(sewn_tape(whole, f"{half}.side"), abs=0.05)
        bodice, skirt = (sewn_tape(apart, f"{part}_{half}.waist") for part in ("bodice", "skirt"))
        assert bodice == pytest.approx(skirt, abs=0.1)
        assert bodice == pytest.approx((ALTO["waist_girth"] + IN) / 4, abs=0.1)


def test_a_side_zip_leaves_the_back_on_the_fold() -> None:
    pattern = dressed(ALTO, zip="side", hem="straight", neckline="boat", neck_width="6 in")
    back = pattern.piece("back").cut.piece
    assert back.on_fold
    assert back.edge("centre_back").kind is EdgeKind.FOLD
    names = [n.name for n in pattern.piece("front").notches if n.edge == "side"]
    assert names.count("zip end") == names.count("zip top") == 1
    zipper = zip_of(pattern.draft)
    assert zipper.place == "side"
    assert girth_at(pattern, zipper.end_depth) >= ALTO["hip_girth"] - 0.5


def test_a_side_zip_starts_below_the_underarm_and_is_as_long_as_the_seam_between_its_notches() -> None:
    pattern = dressed(BUSTY, zip="side", hem="straight", neckline="boat", neck_width="6 in", bust_dart="side")
    zipper = zip_of(pattern.draft)
    assert zipper.length / (IN / 2) == pytest.approx(round(zipper.length / (IN / 2)))  # sold in half inches
    for half in ("front", "back"):
        marked = pattern.piece(half)
        top, end = (next(n.point for n in marked.notches if n.name == name) for name in ("zip top", "zip end"))
        underarm = marked.cut.piece.points["underarm"]
        assert top.y == pytest.approx(underarm.y - IN, abs=0.05)  # 1 in below the underarm
        line = marked.cut.lines["side"]
        first, last = (min(range(len(line)), key=lambda i: math.dist(line[i], p)) for p in (end, top))
        between = tape([end, *line[first + 1 : last], top])
        mouth = [d for d in marked.cut.piece.darts if d.name == "bust"]
        for dart in mouth:
            ends = [i for i, p in enumerate(line) if min(math.dist(p, q) for q in dart.points[::2]) < 0.05]
            between -= tape(line[min(ends) : max(ends) + 1])
        assert between == pytest.approx(zipper.length, abs=15)  # the nearest vertices stand for the notches
    seam = found(pattern, "notches.meet")
    assert seam.passed


def test_without_any_zip_nothing_is_marked() -> None:
    pattern = dressed(ALTO, zip="none", hem="straight", neckline="boat", neck_width="6 in")
    assert pattern.draft.notions == ()
    assert pattern.piece("back").cut.piece.on_fold
    assert not [n for piece in pattern.pieces for n in piece.notches if "zip" in n.name]
    assert "zip.reach" not in {f.id for f in check(pattern)}


def test_a_head_that_was_not_measured_is_assumed_and_told() -> None:
    bare = Measurements({name: mm for name, mm in ALTO.items() if name != "head_girth"})
    finding = found(dressed(bare, "cm", zip="side"), "entry.head")
    assert finding.limit == pytest.approx(580.0)  # 55 cm, the mean of women (common practice, no source), and 3 cm
    assert "not measured" in finding.message
    assert "entry.head" not in {f.id for f in check(dressed(ALTO))}  # a zip to the neck opens it


def test_without_a_zip_to_the_neck_the_head_must_pass() -> None:
    """Head 22 in: a round neck as wide and deep as asked for is too small, and the message says what to do."""
    body = Measurements({**ALTO, "head_girth": 22 * IN})
    finding = found(dressed(body, zip="side", neck_width=3, front_neck_depth=3), "entry.head")
    assert not finding.passed
    assert finding.limit == pytest.approx(22 * IN + 30)
    assert 'zip = "back"' in finding.message
    assert found(dressed(body, zip="side", neckline="boat", neck_width="6.25 in"), "entry.head").passed
    assert not found(dressed(body, zip="none"), "entry.waist").passed


@pytest.mark.parametrize("neckline", ["boat", "round", "v", "square"])
@pytest.mark.parametrize("head", [20.5, 22, 24])
def test_a_neck_without_a_zip_is_by_itself_as_large_as_the_head_needs(neckline: str, head: float) -> None:
    """3 cm more than the head, by tape, and 3 cm of shoulder left (both: common practice, no source)."""
    body = Measurements({**ALTO, "head_girth": head * IN})
    pattern = dressed(body, zip="side", neckline=neckline)
    assert found(pattern, "entry.head").passed
    assert 2 * edge_tape(pattern, "front.neckline", "back.neckline") >= head * IN + 30 - 0.1
    points = pattern.piece("front").cut.piece.points
    assert points["shoulder_tip"].x - points["neck_side"].x >= 30
    plain = dressed(body, neckline=neckline).piece("front").cut.piece.points
    (step,) = [s for s in pattern.draft.steps if s.piece == "front" and s.label == "neck width"]
    larger = points["neck_side"].x > plain["neck_side"].x + 0.1
    assert ("so that a head of" in step.formula) == larger
    assert larger or head < 22


def test_what_is_asked_for_a_neck_is_kept_and_the_rest_follows_the_head() -> None:
    body = Measurements({**ALTO, "head_girth": 22.5 * IN})
    wide = dressed(body, zip="side", neckline="boat", neck_width=5)
    assert wide.piece("front").cut.piece.points["neck_side"].x == pytest.approx(5 * IN)
    assert -wide.piece("front").cut.piece.points["neck_centre"].y > 2 * IN
    assert found(wide, "entry.head").passed
    deep = dressed(body, zip="side", neckline="boat", front_neck_depth=2)
    assert -deep.piece("front").cut.piece.points["neck_centre"].y == pytest.approx(2 * IN)
    assert found(deep, "entry.head").passed


def test_a_head_that_was_not_measured_is_assumed_in_so_many_words() -> None:
    notes = dress(ALTO, zip="side").notes
    assert [note for note in notes if note.startswith("head_girth was not measured; assumed 21 5/8 in")]
    assert not [note for note in dress(ALTO).notes if "head_girth" in note]


def test_a_boat_neck_leaves_three_centimetres_of_a_narrow_shoulder() -> None:
    body = Measurements({**ALTO, "bust_girth": 46 * IN, "upper_arm_girth": 15 * IN, "shoulder_width": 13 * IN})
    points = next(p for p in dress(body, neckline="boat").pieces if p.name == "front").points
    assert 30 <= points["shoulder_tip"].x - points["neck_side"].x < 32  # bust ÷ 12 + 2 in would leave 17 mm


def test_the_armhole_is_trued_and_says_how_far_it_was_off() -> None:
    pattern = dressed(ALTO)
    side = pattern.piece("front").cut.piece.edge("side").curves[-1].way(1.0)
    finding = found(pattern, "corner.underarm")
    assert finding.passed
    assert f"{-2 * degrees(atan(side.x / side.y)):+.1f}° as chalked" in finding.message


# --------------------------------------------------------------------------------------------- allowances of the job


def job_with(tmp_path: Path, text: str) -> Path:
    job = tmp_path / "job.toml"
    job.write_text((FIXTURES / "choir/alto-3.toml").read_text(encoding="utf-8") + text, encoding="utf-8")
    return job


def test_an_allowance_steps_at_the_zip_end_by_hand(tmp_path: Path) -> None:
    """2 in over the zip, 3/4 in below: the cut line stands 50.8 and 19.05 mm off the centre back."""
    text = """
[allowances]
centre_back = [
  { at = "start", width = 2 }, { at = "zip end", width = 2 }, { at = "zip end", width = "3/4" },
]
"""
    pattern = pattern_of(load_job(job_with(tmp_path, text)))
    cut = pattern.piece("back").cut
    end = cut.piece.points["zip_end"].y
    beside = {round(-x, 2) for x, y in cut.cut_line if abs(y - end) < 1e-6}
    assert beside == {50.8, 19.05}
    assert errors(pattern) == []
    assert pattern.piece("facing_back").cut.allowances["centre_back"] == pytest.approx(50.8)  # it has no zip end


def test_an_allowance_runs_out_to_nothing(tmp_path: Path) -> None:
    text = '\n[allowances]\nside = [{ at = "waist", width = 1 }, { at = "end", width = 0 }]\n'
    pattern = pattern_of(load_job(job_with(tmp_path, text)))
    cut = pattern.piece("front").cut
    edge = cut.piece.edge("side")
    waist, long = next(n.at for n in cut.piece.notches if n.name == "waist"), edge.length()
    outside = shapely.Polygon(cut.cut_line).exterior
    for left in (30.0, 60.0, 120.0):  # mm before the end: straight from 1 in at the waist to nothing
        place, _ = place_at(edge.curves, long - left)
        assert outside.distance(shapely.Point(place)) == pytest.approx(25.4 * left / (long - waist), abs=0.15)
    assert errors(pattern) == []


@pytest.mark.parametrize(
    ("table", "told"),
    [
        ('[allowances]\nside = [{ at = "zip", width = 1 }]', "names a notch that the edge does not have; expected"),
        ("[allowances]\nside = [{ at = 1 }]", ":39 allowances.side: a table is not a place with its width; expected {"),
        (
            '[corners]\n"side/hem" = "round"',
            ':39 corners.side/hem: "round" is not a corner finish; expected one of mitre',
        ),
        ('[corners]\n"side" = "mitre"', ':39 corners.side: "side" is not a corner; expected two edges that meet'),
        ('[corners]\n"side/hemm" = "mitre"', ':39 corners.side/hemm: "hemm" is not an edge of this garment'),
    ],
)
def test_mistakes_in_allowances_and_corners_are_told(tmp_path: Path, table: str, told: str) -> None:
    job = job_with(tmp_path, f"\n{table}\n")
    lines = job.read_text(encoding="utf-8").splitlines()
    with pytest.raises((InputError, InputErrors)) as caught:
        pattern_of(load_job(job))
    assert told.replace(":39", f":{len(lines)}") in str(caught.value)


def test_a_corner_is_finished_as_the_job_says_by_hand() -> None:
    """Shoulder and neckline meet square, both 1/2 in: mitred, the cut corner stands √2 × 1/2 in off.

    The curve is flattened, so its first run leaves a little beside the square: 0.6 mm on 18.
    """
    draft = dress(ALTO)
    for finish, reach in (("mitre", 2**0.5 * 12.7), ("faced", None)):
        cut = next(p for p in allow(draft, {}, {"front.shoulder/neckline": finish}).pieces if p.piece.name == "front")
        corner = cut.piece.points["neck_side"]
        assert cut.corners["neckline"] == finish
        nearest = shapely.Polygon(cut.cut_line).exterior.distance(shapely.Point(corner))
        if reach is None:
            assert nearest == pytest.approx(0.75 * 12.7, abs=0.01)
        else:
            assert any(distance(p, corner) == pytest.approx(reach, abs=0.6) for p in cut.cut_line)


def test_an_allowance_that_sticks_out_is_told() -> None:
    """The side mitred at a pegged hem of a flared piece: folded over, it stands out; turned back, it does not."""
    draft = dress(ALTO, hem="a-line", flare="4 in")
    sound = dressed(ALTO, hem="a-line", flare="4 in")
    assert found(sound, "corner.lies-flat").passed
    mitred = allow(draft, {}, {"front.side/hem": "mitre"})
    front = next(p for p in mitred.pieces if p.piece.name == "front")
    pieces = tuple(replace(p, cut=front) if p.name == "front" else p for p in sound.pieces)
    finding = next(f for f in check(replace(sound, pieces=pieces)) if f.id == "corner.lies-flat" and not f.passed)
    assert "side" in finding.message
    assert "turned-back" in finding.message


def test_metric_defaults_are_round_and_inches_stay_as_they_are() -> None:
    """Zips are sold by 5 cm; ease, allowances, vent in round centimetres (common practice, no source)."""
    metric, inch = dress(ALTO, "cm"), dress(ALTO, "in")
    assert zip_of(metric).length == 550
    assert walk_of(metric).opening_length in range(150, 190, 10)
    assert (zip_of(inch).length, walk_of(inch).opening_length) == pytest.approx((22 * IN, 7 * IN))
    assert eases_of(metric) == [50, 25, 50]
    wanted = {"side": 40, "hem": 50, "shoulder": 15, "outer_edge": 5, "centre_back": 50}
    assert {edge: metric.default_allowances[edge] for edge in wanted} == wanted
    assert inch.default_allowances["side"] == 1.5 * IN
    assert walk_of(metric).hem_depth == pytest.approx(ALTO["back_waist_length"] + IN + 640)  # 25 in, to the nearest cm


@pytest.mark.parametrize("unit", ["in", "cm"])
def test_a_neck_too_wide_for_the_shoulder_is_refused_with_the_width_that_works(unit: Unit) -> None:
    """3 cm of shoulder must be left beside the neck (common practice, no source); half of 13 in is 165.1 mm."""
    narrow = Measurements({**ALTO, "shoulder_width": 13 * IN})
    with pytest.raises(DraftError, match="of shoulder is left beside the neck") as caught:
        dress(narrow, unit, neck_width="6 in", sleeve="none")
    advised = re.search(rf"Make neck_width ({LENGTH}) or less", str(caught.value))
    assert advised is not None
    most = parse_length(advised[1], unit)
    assert 0 <= 6.5 * IN - 30.0 - most < IN / 8
    try:
        dress(narrow, unit, neck_width=advised[1], sleeve="none")
    except DraftError as error:  # something else may not fit so narrow a shoulder
        assert "of shoulder is left" not in str(error)


def test_a_square_neckline_by_hand() -> None:
    """A shoulder that falls 30 mm over 40 mm: square to it, 40 mm down is 30 mm inwards; then level to the centre."""
    path = square_neckline(Point(70.0, -5.0), Point(110.0, -35.0), Point(0.0, -85.0))
    assert [line.end for line in path] == [pytest.approx((70.0 - 60.0, -85.0)), (0.0, -85.0)]
    assert path[0].start == (70.0, -5.0)
    assert path[0].way(0.0)[0] * 40 + path[0].way(0.0)[1] * -30 == pytest.approx(0.0, abs=1e-9)
