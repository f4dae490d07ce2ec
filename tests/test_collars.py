"""Collars and button stands: numbers that others printed, laws of geometry, and the necks of surveys.

fixtures/trade/worked_garments.csv, by id; lengths by rulers of shapely over chords, not by the draft's own.
"""

from __future__ import annotations

import csv
from itertools import pairwise

import pytest
from shapely.geometry import LineString, Polygon

from by_the_tape import number, people, worked
from oaktag.body.charts import shipped
from oaktag.body.measurements import Measurements
from oaktag.checks.run import check
from oaktag.draft.board import Board
from oaktag.draft.options import defaults
from oaktag.garments.blocks import block
from oaktag.garments.parts.button_stand import BELOW_NECK, LIGNE, extension, hole_long, holes, places
from oaktag.garments.parts.collars import COLLARS, collar
from oaktag.garments.shirt import shirt
from oaktag.geometry.path import flatten
from oaktag.model.draft import Draft
from oaktag.model.length import Length, cm, found, inch, mm
from oaktag.model.piece import Edge, Piece
from wardrobe import FIXTURES, finished

CHART = shipped("women")
WOMEN = people("women_1988_60.csv")


def sewn(body: Measurements, **style: float | str) -> Draft:
    return shirt.drafted(body, {**defaults(shirt.options, "cm"), **style}, "cm")


def piece(draft: Draft, name: str) -> Piece:
    return next(piece for piece in draft.pieces if piece.name == name)


def ruled(edge: Edge) -> float:
    """How long an edge is by chords, mm."""
    return float(LineString(flatten(edge.curves, 0.001)).length)


def halves(on: Board) -> tuple[Piece, Piece]:
    """A close-fitting block: necks as a block has them."""
    return block(on, "close", ease_bust=cm(12), ease_waist=cm(8), below=cm(20), ease_hip=cm(8), waist_darts=False)


def flat(lap: Length, *, wide: Length = cm(6), shape: str = "round") -> tuple[Piece, float]:
    """A flat collar with its shoulders lapped so far, and how long the shoulder is, mm."""
    on = Board("trial", CHART.body("14"), {}, "cm")
    front, back = halves(on)
    part = collar(on, "flat", front, back, wide=wide, point=cm(7), lap=lap, shape=shape)
    return part.pieces[0], back.edge("shoulder").sewn_length()


# ------------------------------------------------------------------------------------------- printed numbers


@pytest.mark.parametrize("name", ["gw-100", "gw-101"])
def test_a_flat_button_has_a_hole_3_mm_longer(name: str) -> None:
    row = worked()[name]
    assert hole_long(mm(number(row, "diameter"))).mm == pytest.approx(float(row["value"]), abs=float(row["tolerance"]))


def test_a_thick_button_has_a_hole_longer_by_its_thickness() -> None:
    row = worked()["gw-102"]
    long = hole_long(mm(number(row, "diameter")), mm(number(row, "thickness")))
    assert long.mm == pytest.approx(float(row["value"]), abs=float(row["tolerance"]))


@pytest.mark.parametrize("name", ["gw-105", "gw-106"])
def test_the_stand_goes_on_by_the_diameter(name: str) -> None:
    row = worked()[name]
    assert extension(mm(number(row, "diameter"))).mm == pytest.approx(float(row["value"]), abs=0.02)


def test_the_first_hole_lies_the_diameter_and_6_mm_below_the_neck() -> None:
    row = worked()["gw-104"]
    assert number(row, "diameter") + BELOW_NECK.mm == pytest.approx(float(row["value"]))
    draft = sewn(CHART.body("14"), collar_kind="flat", button=number(row, "diameter"), upright_holes="no")
    front = piece(draft, "front")
    first = holes(front)[0].points[0].y
    assert front.points["neck_centre"].y - first == pytest.approx(float(row["value"]), abs=float(row["tolerance"]))


def test_buttons_lie_apart_alike() -> None:
    """gw-107: seven from 18 to 522 mm, 84 mm apart; here with the bust line on the third."""
    row = worked()["gw-107"]
    first, last, gap = number(row, "first"), number(row, "last"), float(row["value"])
    laid = places(first, first + 2 * gap, last, 85.0)
    assert laid == pytest.approx([first + i * gap for i in range(int(number(row, "count")))], abs=0.02)


@pytest.mark.parametrize("name", ["gw-108", "gw-109", "gw-110"])
def test_lines_by_which_buttons_are_sold(name: str) -> None:
    row = worked()[name]
    assert number(row, "ligne") * LIGNE.mm == pytest.approx(float(row["value"]), abs=float(row["tolerance"]))


@pytest.mark.parametrize("name", ["gw-098", "gw-099"])
def test_the_outer_edge_of_a_flat_collar_loses_lap_by_width_over_shoulder(name: str) -> None:
    """The law, on a shoulder as it is drafted: the row has 12.5 cm; a lap of 7.5 is more than shoulders take well."""
    row = worked()[name]
    lap, wide, shoulder = (10 * number(row, n) for n in ("overlap", "collar_width", "shoulder"))
    assert lap * wide / shoulder == pytest.approx(10 * float(row["value"]), abs=10 * float(row["tolerance"]))
    (plain, own), (lapped, _) = flat(mm(0), wide=mm(wide)), flat(mm(lap), wide=mm(wide))
    lost = ruled(plain.edge("collar_edge")) - ruled(lapped.edge("collar_edge"))
    assert lost == pytest.approx(lap * wide / own, rel=0.15)


def test_a_fall_is_half_an_inch_deeper_than_its_stand() -> None:
    """gw-094: band 1 3/8, blade 1 7/8."""
    row = worked()["gw-094"]
    draft = sewn(CHART.body("14"), collar_wide=inch(number(row, "band")).mm)
    assert ruled(piece(draft, "fall").edge("centre_back")) == pytest.approx(inch(float(row["value"])).mm, abs=0.1)


def test_the_top_of_a_stand_is_three_sixteenths_shorter() -> None:
    """gw-095, of a half neck of 7 in: the bend is the same whatever the neck."""
    row = worked()["gw-095"]
    less = inch(number(row, "half_neck")).mm - inch(float(row["value"])).mm
    on = Board("trial", CHART.body("14"), {}, "cm")
    front, back = halves(on)
    stand, _ = collar(on, "stand and fall", front, back, wide=inch(1.25), point=cm(7)).pieces
    assert ruled(stand.edge("neck")) - ruled(stand.edge("fall_edge")) == pytest.approx(less, abs=0.2)
    rise = stand.points["front_low"].y - stand.points["centre_low"].y
    assert 13.0 <= rise <= 16.5  # worked rules 4: 1.33 to 1.57 cm


# ------------------------------------------------------------------------------------------- laws


@pytest.mark.parametrize("kind", [kind for kind in COLLARS if kind != "none"])
@pytest.mark.parametrize("opens", ["front", "back"])
def test_a_collar_is_as_long_as_the_neck(kind: str, opens: str) -> None:
    for size in ("8", "14", "26"):
        on = Board("trial", CHART.body(size), {}, "cm")
        front, back = halves(on)
        neck = ruled(front.edge("neck")) + ruled(back.edge("neck"))
        part = collar(on, kind, front, back, wide=cm(3), point=cm(7), opens=opens)
        low = next(each for each in part.pieces if "neck" in {edge.name for edge in each.edges})
        long = ruled(low.edge("neck")) - (on.usual(inch(28)).mm if kind == "tie" else 0.0)
        assert long == pytest.approx(neck, abs=0.02), (size, kind)
        for each in part.pieces:
            assert Polygon([p for edge in each.edges for p in flatten(edge.curves)[:-1]]).is_valid


def test_a_fall_is_as_long_as_the_top_of_its_stand_and_its_outer_edge_longer() -> None:
    on = Board("trial", CHART.body("14"), {}, "cm")
    stand, fall = collar(on, "stand and fall", *halves(on), wide=cm(3), point=cm(7)).pieces
    assert ruled(fall.edge("fall_edge")) == pytest.approx(ruled(stand.edge("fall_edge")), abs=0.02)
    at_depth = ruled(fall.edge("collar_edge")) - ruled(fall.edge("fall_edge"))
    assert at_depth > 9.5  # three spreads of 1/8 in, and what the point goes on (worked rules 4)


def test_a_flat_collar_is_as_wide_everywhere_as_was_asked() -> None:
    """Measured straight from its outer edge to its neck, from the fold to before its rounded end."""
    made, _ = flat(cm(1.2))
    neck = LineString(flatten(made.edge("neck").curves))
    outer = LineString(flatten(made.edge("collar_edge").curves))
    if abs(outer.coords[0][0]) > 0.01:  # from the fold on
        outer = outer.reverse()
    wide = [neck.distance(outer.interpolate(part, normalized=True)) for part in (0.0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6)]
    assert wide == pytest.approx([60.0] * 7, abs=4.0)


def test_a_flat_collar_meets_at_the_centre_front() -> None:
    """Its neck ends where the neck of the garment does, square to the end, so the two halves meet without a gap."""
    for shape in ("round", "pointed"):
        made, _ = flat(cm(1.2), shape=shape)
        assert made.beside("collar_end")[0 if made.edge("collar_end").start == made.points["front_high"] else 1] in (
            "neck", "collar_edge")  # fmt: skip
        assert made.points["front_high"] in (made.edge("neck").start, made.edge("neck").end)


def test_a_mandarin_collar_passes_the_necks_of_a_survey() -> None:
    """Its top edge is no less than the neck as measured above its base, and 0.5 cm (trade lists; survey of 1988)."""
    with (FIXTURES / "bodies" / "women_1988_60.csv").open() as lines:
        necks = {row["id"]: float(row["neck_girth"]) for row in csv.DictReader(lines)}
    tight = []
    for name, body in WOMEN.items():
        on = Board("trial", body, {}, "cm")
        half = found(body["neck_base_girth"] / 2 + 4.5, "half neck")
        stand = collar(on, "mandarin", *_necks(on, half), wide=cm(3), point=cm(3)).pieces[0]
        if 2 * ruled(stand.edge("top_edge")) < necks[name] + 5:
            tight.append(name)
    assert tight == []


def _necks(on: Board, half: Length) -> tuple[Piece, Piece]:
    """Two boxes whose necks come to that half neckline (the neck and 0.9 cm, as worked rules for shirts have it)."""
    made = []
    for name in ("front", "back"):
        s = on.sketch(name)
        s.box(half / 2, cm(10), ("centre", "hem", "side", "neck"))
        made.append(s.piece())
    return made[0], made[1]


# ------------------------------------------------------------------------------------------- buttons on a shirt


@pytest.mark.parametrize("upright", ["yes", "no"])
@pytest.mark.parametrize("kind", ["stand and fall", "flat"])
def test_holes_as_the_trade_lays_them(kind: str, upright: str) -> None:
    """An upright hole lies on the centre line, another starts 3 mm beyond it; one on the bust line; gaps alike; the
    last 10 cm above the hem (trade lists, garments 3.2)."""
    draft = sewn(CHART.body("14"), collar_kind=kind, upright_holes=upright)
    front = piece(draft, "front")
    marks = holes(front)
    if upright == "yes":
        assert all(p.x == pytest.approx(0.0) for mark in marks for p in mark.points)
    else:
        assert {round(mark.points[0].x, 6) for mark in marks} == {-3.0}
    ys = [mark.points[0].y - (3.0 if upright == "yes" else 0.0) for mark in marks]
    gaps = [a - b for a, b in pairwise(ys)]
    assert gaps == pytest.approx([gaps[0]] * len(gaps))
    assert 60 <= gaps[0] <= 100
    chest = next(level for level in front.levels if level.name == "chest")
    assert min(abs(y - chest.points[0].y) for y in ys) < 0.01
    assert ys[-1] - front.points["hem_centre"].y >= 100 - 1e-6
    assert all(mark.points[0].x > front.points["fold_neck"].x for mark in marks)
    (buttons,) = [notion for notion in draft.notions if notion.name == "button"]
    assert buttons.count == len(marks) + (1 if kind == "stand and fall" else 0)


def test_a_number_of_buttons_that_was_asked_for() -> None:
    draft = sewn(CHART.body("14"), buttons="10", collar_kind="flat")
    assert len(holes(piece(draft, "front"))) == 10
    assert [each for each in finished_checks(draft) if each.startswith("buttons.")] == []


def finished_checks(draft: Draft) -> list[str]:
    return [f.id for f in check(finished(draft, "cm")) if not f.passed]


@pytest.mark.parametrize("kind", ["stand and fall", "mandarin", "one-piece", "flat", "tie"])
def test_no_check_fails_with_any_collar(kind: str) -> None:
    assert finished_checks(sewn(CHART.body("14"), collar_kind=kind)) == []


@pytest.mark.parametrize("count", range(4, 13))
@pytest.mark.parametrize("bust", [150.0, 210.0, 260.0])
def test_asked_for_in_any_number_they_end_above_the_hem(count: int, bust: float) -> None:
    """One on the bust line, gaps alike; of all gaps with which the last ends 10 cm above the hem or higher, at `last`,
    the widest: all are tried here."""
    first, last = 19.0, 560.0
    laid = places(first, bust, last, 85.0, count)
    assert len(laid) == count
    assert min(abs(far - bust) for far in laid) < 1e-6
    assert laid[-1] <= last + 1e-6
    ends = [first + (count - 1) * (bust - first) / steps for steps in range(1, 30)]
    assert laid[-1] == pytest.approx(max(end for end in ends if end <= last + 1e-6))
