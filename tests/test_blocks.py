"""Blocks of a bodice by three methods: printed numbers, the proofs that the methods hold, and bodies of a survey.

Worked numbers are those of the collection of trade examples, by their ids (we-001 ... we-119): formulas of a metric
block for women (Metric Pattern Cutting for Women's Wear, read as class notes) and of a textbook block by angle
(Garment Design Textbook 1: Fundamentals of Garment Design, 2009, from memory). Lengths here are cm.
"""

from __future__ import annotations

import math
from functools import cache
from itertools import pairwise

import pytest

from oaktag.body.charts import shipped
from oaktag.body.measurements import Measurements
from oaktag.draft.board import Board
from oaktag.errors import DraftError
from oaktag.garments.blocks import METHODS, block, bust_round
from oaktag.model.length import cm, mm
from oaktag.model.piece import Piece
from wardrobe import dense, tape, women

EASE = {"quarter": 8, "close": 10, "angle": 12}
CHART = dict(shipped("women").body("14"))
DRAFTED_FOR = {  # the size 12 of the metric chart, bust 88; as a body of the survey would be measured
    "bust_girth": 880.0, "waist_girth": 680.0, "hip_girth": 940.0, "neck_base_girth": 340.0, "scye_depth": 185.0,
    "shoulder_length": 145.0, "across_back_width": 344.0, "across_chest_width": 324.0, "back_waist_length": 410.0,
    "waist_to_hip": 206.0,
}  # fmt: skip


@cache
def _drafted(method: str, items: tuple[tuple[str, float], ...], more: tuple[tuple[str, object], ...]):
    on = Board("block", Measurements(dict(items)), {}, "cm")
    asked = {"ease_bust": cm(EASE[method]), "ease_waist": cm(6), **dict(more)}
    return (
        *block(on, method, **asked),
        tuple(on._notes),
        {s.label: s.value for sheet in on._sheets for s in sheet.steps},
    )


def drafted(method: str, body: dict[str, float], **more: object):
    """Front, back, what was told, and the worked lines by their labels, mm."""
    return _drafted(method, tuple(body.items()), tuple(more.items()))


def by_angle(bust: float, waist: float = 64.0, back: float = 38.0, **more: object):
    taken = {"bust_girth": bust * 10, "waist_girth": waist * 10, "back_waist_length": back * 10}
    return drafted("angle", {**CHART, **taken}, centre_back="seam", **more)


def sewn(piece: Piece, *edges: str) -> float:
    """Edges by tape, their darts closed, cm."""
    total = 0.0
    for name in edges:
        edge = piece.edge(name)
        total += tape(dense(edge.curves, 200)) - sum(take.end - take.start for take in edge.takes)
    return total / 10


def point(piece: Piece, name: str) -> tuple[float, float]:
    """Across and down, cm."""
    p = piece.points[name]
    return p.x / 10, -p.y / 10


def dart(piece: Piece, name: str):
    return next(each for each in piece.darts if each.name == name)


def angle_of(piece: Piece, name: str) -> float:
    a, tip, b = dart(piece, name).points
    turn = math.atan2(a.y - tip.y, a.x - tip.x) - math.atan2(b.y - tip.y, b.x - tip.x)
    return abs(math.degrees(math.remainder(turn, math.tau)))


# ---------------------------------------------------------------- the close-fitting block


def test_the_close_block_has_the_numbers_of_its_method():
    """we-001 to we-006, we-009 to we-014 and we-023, bust 88; the shoulder line by the rule, 3.5, not by a misprint."""
    front, back, _, _ = drafted("close", DRAFTED_FOR)
    nape = 1.5
    assert point(back, "underarm")[1] - nape == pytest.approx(21.5, abs=0.05)  # we-001
    assert point(back, "underarm")[0] + point(front, "underarm")[0] == pytest.approx(49, abs=0.05)  # we-002
    assert point(back, "neck_side")[0] == pytest.approx(7.2, abs=0.05)  # we-003
    (ax, ay), (bx, by) = point(back, "neck_side"), point(back, "shoulder_tip")
    assert math.hypot(bx - ax, by - ay) == pytest.approx(13.25, abs=0.05)  # we-004
    assert by - nape == pytest.approx(3.5, abs=0.05)  # we-009
    assert point(back, "armhole_corner")[0] == pytest.approx(17.7, abs=0.05)  # we-005
    assert point(front, "neck_side")[0] == pytest.approx(6.7, abs=0.05)  # we-006
    assert point(front, "underarm")[1] == pytest.approx(23, abs=0.05)  # we-010
    assert 49 - 17.7 - point(front, "armhole_corner")[0] == pytest.approx(11.6, abs=0.05)  # we-011
    assert point(front, "bust_point")[0] == pytest.approx(9.85, abs=0.05)  # we-012
    assert point(front, "armhole_corner")[1] - point(front, "pitch")[1] == pytest.approx(5.267, abs=0.05)  # we-013
    assert point(back, "underarm")[0] == pytest.approx(23.5, abs=0.05)  # we-014


def test_the_close_block_at_bust_88_is_as_it_was_proved():
    """Worked rules: armhole 42.6, back 21.4, front 21.2 (square to the side here, 0.1 shorter); shoulders 12.25;
    dart 15.7 degrees, side neck to bust point 25.7, between the bust points 19.7, slopes 22.2 and 15.9."""
    front, back, _, _ = drafted("close", DRAFTED_FOR)
    assert sewn(front, "armhole") == pytest.approx(21.2, abs=0.11)
    assert sewn(back, "armhole") == pytest.approx(21.4, abs=0.11)
    assert sewn(front, "shoulder") == pytest.approx(12.25, abs=0.01)
    assert sewn(back, "shoulder") == pytest.approx(12.25, abs=0.02)
    assert angle_of(front, "bust") == pytest.approx(15.7, abs=0.1)
    (ax, ay), (bx, by) = point(front, "neck_side"), point(front, "bust_point")
    assert math.hypot(bx - ax, by - ay) == pytest.approx(25.7, abs=0.02)
    assert 2 * bx == pytest.approx(19.7, abs=0.01)
    (ax, ay), (bx, by) = point(back, "neck_side"), point(back, "shoulder_tip")
    assert math.degrees(math.atan2(by - ay, bx - ax)) == pytest.approx(22.2, abs=0.1)
    (ax, ay), (bx, by) = point(front, "neck_side"), point(front, "dart_inner")
    assert math.degrees(math.atan2(by - ay, bx - ax)) == pytest.approx(15.9, abs=0.1)


def test_the_close_dart_is_as_wide_at_the_neck_as_printed():
    """7 cm between 20 and 27 at bust 88 (printed); here it opens in the middle of the shoulder, at the same angle."""
    front, _, _, _ = drafted("close", DRAFTED_FOR)
    (ax, ay), (bx, by) = point(front, "neck_side"), point(front, "bust_point")
    chord = 2 * math.hypot(bx - ax, by - ay) * math.sin(math.radians(angle_of(front, "bust") / 2))
    assert chord == pytest.approx(7.0, abs=0.01)


@pytest.mark.parametrize(("bust", "chest", "width"), [(96, 34.8, 8.2)])
def test_chest_and_dart_are_scaled_where_the_chest_was_not_measured(bust, chest, width):
    """gw-074 and gw-075: 32.4 + 1.2 and 7 + 0.6 for every 4 cm from bust 88."""
    body = {**DRAFTED_FOR, "bust_girth": bust * 10.0, "waist_girth": 760.0}
    del body["across_chest_width"]
    front, _, _, _ = drafted("close", body)
    assert 2 * point(front, "armhole_corner")[0] == pytest.approx(chest + width, abs=0.02)


# ---------------------------------------------------------------- the block by angle

TABLE = {  # we-055 to we-083; half width, bust line to nape, half back, half chest, neck, angle
    77: (44.5, 20.117, 17.025, 15.825, 6.608, 16.75),
    83: (47.5, 20.617, 17.775, 16.575, 6.858, 18.25),
    95: (53.5, 21.617, 19.275, 18.075, 7.358, 21.25),
    104: (58.0, 22.367, 20.4, 19.2, 7.733, 23.5),
}


@pytest.mark.parametrize("bust", TABLE)
def test_the_block_by_angle_has_its_table(bust):
    front, back, _, _ = by_angle(bust)
    half, high, wide, chest, neck, deg = TABLE[bust]
    assert point(front, "underarm")[0] + point(back, "underarm")[0] == pytest.approx(half, abs=0.06)
    assert point(back, "underarm")[1] - point(back, "neck_centre")[1] == pytest.approx(high, abs=0.06)
    assert point(back, "armhole_corner")[0] == pytest.approx(wide, abs=0.06)
    assert point(front, "armhole_corner")[0] - bust / 32 == pytest.approx(chest, abs=0.06)
    assert point(front, "neck_side")[0] == pytest.approx(neck, abs=0.06)
    assert point(front, "neck_centre")[1] == pytest.approx(neck + 0.5, abs=0.06)
    assert angle_of(front, "bust") == pytest.approx(deg, abs=0.06)


def test_the_block_by_angle_at_bust_83_has_what_its_pages_give():
    """we-058, we-064, we-065, we-111, we-114 to we-117, we-119."""
    front, back, _, steps = by_angle(83)
    assert point(front, "underarm")[1] == pytest.approx(24.9, abs=0.06)
    assert point(back, "neck_side")[0] == pytest.approx(7.058, abs=0.06)
    assert dart(back, "shoulder").intake / 10 == pytest.approx(1.794, abs=0.06)
    (ax, ay), (bx, by) = point(front, "bust_point"), point(front, "dart_low")
    assert math.hypot(bx - ax, by - ay) == pytest.approx(11.722, abs=0.03)
    assert sewn(front, "shoulder") == pytest.approx(12.421, abs=0.05)
    (ax, ay), (bx, by) = point(back, "neck_side"), point(back, "shoulder_tip")
    assert math.hypot(bx - ax, by - ay) == pytest.approx(14.215, abs=0.05)
    assert point(back, "underarm")[1] - by == pytest.approx(18.577, abs=0.05)
    tip = dart(front, "bust").points[1]
    turn = math.radians(-angle_of(front, "bust"))
    x, y = front.points["shoulder_tip"].x - tip.x, front.points["shoulder_tip"].y - tip.y
    assert (x * math.sin(turn) + y * math.cos(turn)) / 10 == pytest.approx(16.289, abs=0.05)  # its dart closed
    assert steps["armhole width"] / 10 == pytest.approx(10.556, abs=0.05)


@pytest.mark.parametrize(("bust", "within"), [(77, 0.02), (83, 0.02), (89, 0.02), (100, 0.12), (113, 0.38)])
def test_the_dart_by_its_angle_is_the_dart_by_its_chord(bust, within):
    """Proof 1 of drafting rules 4.4: B/12 - 3.2; within 0.02 to bust 90, 0.11 at 100, 0.37 at 113 (we-112, we-113)."""
    front, _, _, _ = by_angle(bust, waist=bust - 18)
    assert dart(front, "bust").intake / 10 == pytest.approx(bust / 12 - 3.2, abs=within)


def test_the_waist_darts_share_the_surplus_by_percentages():
    """we-100 to we-106: T 12.5 is 0.875, 2.25, 4.375, 1.375, 1.875, 1.75; of d what is above 4 goes to e and c."""
    front, back, _, steps = by_angle(83, 64)
    assert steps["the bust over the waist, in a half"] / 10 == pytest.approx(12.5, abs=0.05)
    over = (4.375 - 4) / 2
    assert dart(front, "waist").intake / 10 == pytest.approx(1.75, abs=0.02)
    assert dart(front, "waist_2").intake / 10 == pytest.approx(1.875, abs=0.02)
    assert dart(back, "waist_2").intake / 10 == pytest.approx(4.0, abs=0.02)
    assert dart(back, "waist").intake / 10 == pytest.approx(2.25 + over, abs=0.02)
    assert point(back, "waist_centre")[0] == pytest.approx(0.875, abs=0.02)
    side = point(front, "underarm")[0] - point(front, "waist_side")[0]
    side += point(back, "underarm")[0] - point(back, "waist_side")[0]
    assert side == pytest.approx(1.375 + over, abs=0.05)  # the side is moved until the waist is just so


def test_the_shares_sum_to_all():
    """Proof 2 of drafting rules 4.4, and we-110."""
    from oaktag.garments.blocks.angle import SHARES
    from oaktag.garments.blocks.close import SPLIT

    assert sum(SHARES.values()) == pytest.approx(1.0)
    assert sum(SPLIT.values()) == pytest.approx(1.0)


@pytest.mark.parametrize("bust", [77, 83, 89, 95, 104])
def test_neck_shoulder_and_armhole_grow_as_the_worked_rules_found(bust):
    """Worked rules 2.2: neck 0.218 B + 19.83, shoulder 0.0899 B + 4.96, armhole 0.3225 B + 15.49 of which front
    0.182 B + 5.55, all within 0.05. The front's holds with handles of 0.4 and 0.3 above the dart (to 0.05); 0.3 and 0.2
    are drawn, as the same rules ask, since they never make an S: 0.1 to 0.2 shorter."""
    front, back, _, _ = by_angle(bust, waist=bust - 18)
    whole, fore = 0.3225 * bust + 15.49, 0.182 * bust + 5.55
    assert 2 * (sewn(front, "neck") + sewn(back, "neck")) == pytest.approx(0.218 * bust + 19.83, abs=0.05)
    assert sewn(front, "shoulder") == pytest.approx(0.0899 * bust + 4.96, abs=0.05)
    assert sewn(back, "shoulder") == pytest.approx(sewn(front, "shoulder"), abs=0.05)
    assert sewn(back, "armhole") == pytest.approx(whole - fore, abs=0.06)
    assert -0.21 < sewn(front, "armhole") - fore < -0.1


# ---------------------------------------------------------------- quarter measures


def test_the_quarter_block_has_the_printed_numbers():
    """we-131, we-133, we-134, we-140 to we-142 and we-166, all in inches: bust 36, shoulder 15, bust distance 7 1/2."""
    inch = 25.4
    body = {**CHART, "bust_girth": 36 * inch, "shoulder_width": 15 * inch, "bust_point_width": 7.5 * inch,
            "waist_girth": 28 * inch}  # fmt: skip
    on = Board("block", Measurements(body), {}, "in")
    front, back = block(on, "quarter", ease_bust=mm(3 * inch), ease_waist=mm(0))
    assert front.points["underarm"].x / inch == pytest.approx(9.75, abs=0.02)
    assert front.points["shoulder_tip"].x / inch == pytest.approx(7.5, abs=0.02)
    assert front.points["waist_dart"].x / inch == pytest.approx(3.75, abs=0.02)
    assert dart(front, "waist").intake / inch == pytest.approx(1.0, abs=0.2)  # as much more as the side has over 4 cm
    assert 4 * (sewn(front, "waist") + sewn(back, "waist")) / 2 == pytest.approx(28 * 2.54, abs=0.05)
    assert bust_round(front, back).mm / inch == pytest.approx(39, abs=0.02)


def test_the_side_dart_is_what_the_front_length_has_over_the_back():
    """gw-070 and drafting rules 1.3: 44 less 42 is 2 cm, closed to the back's side seam."""
    body = {**CHART, "side_neck_to_waist": 420.0, "front_waist_length": 440.0}
    front, back, _, _ = drafted("quarter", body)
    assert dart(front, "bust").intake == pytest.approx(20.0, abs=0.2)
    assert sewn(front, "side") == pytest.approx(sewn(back, "side"), abs=0.05)
    del body["front_waist_length"]
    front, _, notes, _ = drafted("quarter", body)
    assert [each.name for each in front.darts] == ["waist"]
    assert any("front_waist_length was not measured" in note for note in notes)


# ---------------------------------------------------------------- all three


def surveyed() -> list[dict[str, float]]:
    """Thirty women of the survey of 1988, as `wardrobe.women` measures them, with the back's width at the armpits."""
    import csv

    from wardrobe import FIXTURES

    with (FIXTURES / "bodies" / "women_1988_300.csv").open() as file:
        rows = {row["id"]: row for row in csv.DictReader(file)}
    found = []
    for name, body in women()[::10]:
        row = rows[name]
        more = {"across_back_width": float(row["back_width_armpit"]), "neck_base_girth": float(row["neck_base_girth"]),
                "scye_depth": float(row["scye_depth"]), "shoulder_length": float(row["shoulder_length"])}  # fmt: skip
        found.append({**dict(body), **more})
    return found


SURVEY = surveyed()


@pytest.mark.parametrize("method", METHODS)
def test_on_women_of_a_survey(method):
    """None is refused; shoulders and sides agree, the waist is just so, bust and armhole are wide enough."""
    for body in SURVEY:
        front, back, _, _ = drafted(method, body)
        waist = 2 * (sewn(front, "waist") + sewn(back, "waist"))
        assert waist == pytest.approx(body["waist_girth"] / 10 + 6, abs=0.1)
        assert sewn(front, "shoulder") == pytest.approx(sewn(back, "shoulder"), abs=0.05)
        assert sewn(front, "side") == pytest.approx(sewn(back, "side"), abs=0.05)
        ease = (bust_round(front, back).mm - body["bust_girth"]) / 10
        assert 4 < ease < EASE[method] + 0.01


@pytest.mark.parametrize("method", ["close", "angle"])
def test_an_armhole_makes_no_s(method):
    """One sign of curvature in every run of it (worked rules: the recipe of curves)."""
    for body in SURVEY:
        for piece in drafted(method, body)[:2]:
            edge = piece.edge("armhole")
            for curve in edge.curves:
                line = dense((curve,), 40)
                ways = [math.atan2(b[1] - a[1], b[0] - a[0]) for a, b in pairwise(line)]
                turns = [math.remainder(b - a, math.tau) for a, b in pairwise(ways)]
                assert min(turns) > -1e-4 or max(turns) < 1e-4, (method, piece.name)


@pytest.mark.parametrize("method", ["close", "angle"])
def test_a_back_shoulder_is_straight_with_its_dart_closed_and_neck_and_armhole_run_on(method):
    """Trade notes on the cap of a dart: the seam is drawn straight across it, folded; worked rules 2.1: the angles of
    the two necks with the shoulder sum to 180 degrees; checks S5: so do the armholes', within 3, on all but those whose
    shoulder is so long that both would make an S."""
    off = 0
    for body in SURVEY:
        front, back, _, _ = drafted(method, body)
        edge = back.edge("shoulder")
        (take,) = edge.takes
        _, tip, _ = dart(back, "shoulder").points
        shut = math.radians(angle_of(back, "shoulder"))
        ways = [math.atan2(w.y, w.x) for w in (edge.curves[0].way(0.0), edge.curves[-1].way(1.0))]
        assert abs(math.remainder(ways[0] + shut - ways[1], math.tau)) < 0.003
        assert take.tip == tip
        for at_neck in (True, False):
            total = 0.0
            for half in (front, back):
                shoulder, beyond = half.edge("shoulder"), half.edge("neck" if at_neck else "armhole")
                two = (shoulder, beyond) if at_neck else (beyond, shoulder)
                p, q = two[0].curves[-1].way(1.0), two[1].curves[0].way(0.0)
                total += 180 - math.degrees(math.remainder(math.atan2(q.y, q.x) - math.atan2(p.y, p.x), math.tau))
            if at_neck:
                assert total == pytest.approx(180.0, abs=0.1)
            off += not at_neck and abs(total - 180) > 3
    assert off <= 2


@pytest.mark.parametrize("darts", ["auto", "one"])
@pytest.mark.parametrize("seam", ["seam", "fold"])
@pytest.mark.parametrize("method", ["close", "angle"])
def test_no_waist_dart_takes_in_more_than_4_cm(method, seam, darts):
    """Worked rules 2.1, 2.2: one over 4 is split, or its rest given to others; trade checks D8."""
    for body in SURVEY:
        for half in drafted(method, body, front_darts=darts, centre_back=seam)[:2]:
            assert all(each.intake <= 40.2 for each in half.darts if each.name.startswith("waist"))


def test_a_short_waist_has_waist_darts_of_some_length():
    """A1183 of the survey: armpits 21.3 cm down the back, of 32.1 to the waist."""
    body = {**DRAFTED_FOR, "bust_girth": 910.0, "waist_girth": 745.0, "scye_depth": 213.0, "back_waist_length": 321.0,
            "across_back_width": 330.0, "neck_base_girth": 351.0, "shoulder_length": 160.0}  # fmt: skip
    del body["across_chest_width"]
    front, back, _, _ = drafted("close", body)
    for half in (front, back):
        for each in half.darts:
            if each.name.startswith("waist"):
                assert min(math.dist(each.points[1], each.points[k]) for k in (0, 2)) > 40


@pytest.mark.parametrize("method", METHODS)
def test_no_curve_has_a_hook_at_its_end(method):
    """1 mm from any end a curve still runs as it left there, to 4 degrees: more is a corner to the eye (judgement)."""
    for body in SURVEY:
        for piece in drafted(method, body)[:2]:
            for edge in piece.edges:
                for curve in (edge.curves[0], edge.curves[-1].reversed()):
                    near = curve.way(min(1.0, 1.0 / curve.length()))
                    a, b = curve.way(0.0), near
                    assert abs(math.degrees(math.atan2(a.x * b.y - a.y * b.x, a.x * b.x + a.y * b.y))) < 4, edge.name


def test_how_the_armhole_compares_with_the_arm():
    """Worked rules 2.1 and 2.2 on 40 women, armhole less armscye: 0.3/5.7/13 close, 4.7/7.8/10.4 by angle, cm. On all
    300 here -0.1/6.0/13.9 and 3.6/7.5/11.7."""
    import csv

    from wardrobe import FIXTURES

    with (FIXTURES / "bodies" / "women_1988_300.csv").open() as file:
        arms = {row["id"]: float(row["armscye_girth"]) / 10 for row in csv.DictReader(file)}
    names = [name for name, _ in women()[::10]]
    for method, median in (("close", 5.7), ("angle", 7.8)):
        over = sorted(
            sewn(front, "armhole") + sewn(back, "armhole") - arms[name]
            for name, body in zip(names, SURVEY, strict=True)
            for front, back, *_ in [drafted(method, body)]
        )
        assert over[len(over) // 2] == pytest.approx(median, abs=1.0)


@pytest.mark.parametrize("method", METHODS)
@pytest.mark.parametrize("shaped", [True, False])
def test_below_the_waist_it_meets_the_hip(method, shaped):
    from oaktag.geometry.path import flatten
    from oaktag.geometry.polygon import crossings

    front, back, _, _ = drafted(method, CHART, below=mm(250), ease_hip=cm(6), waist_darts=shaped, centre_back="seam")
    total = 0.0
    for piece in (front, back):
        y = next(level.points[0].y for level in piece.levels if level.name == "hip")
        met = crossings([q for edge in piece.edges for q in flatten(edge.curves)[:-1]], y)
        total += 2 * (met[1] - met[0])
        assert all(not each.is_open for each in piece.darts if each.name.startswith("waist"))
        assert bool([each for each in piece.darts if each.name == "waist"]) == shaped
    assert total == pytest.approx(CHART["hip_girth"] + 60, abs=1.0)
    assert sewn(front, "side") == pytest.approx(sewn(back, "side"), abs=0.05)


def test_a_flat_front_shoulder_is_told_and_none_at_all_is_refused():
    """Worked rules: front slope under 12 degrees on 6 of 40."""
    *_, notes, _ = drafted("close", {**DRAFTED_FOR, "shoulder_length": 175.0})
    assert any("front shoulder slopes by" in note for note in notes)
    with pytest.raises(DraftError, match="front shoulder would slope"):
        drafted("close", {**DRAFTED_FOR, "shoulder_length": 215.0})


def test_a_block_with_no_room_for_the_arm_is_refused():
    with pytest.raises(DraftError, match="for the arm"):
        drafted("close", {**DRAFTED_FOR, "across_back_width": 460.0})
