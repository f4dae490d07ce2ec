"""Numbers that others printed, through our own functions: fixtures/trade/worked_examples.csv, a test a row."""

from __future__ import annotations

import csv
import math
from collections.abc import Callable

import pytest

from oaktag.body.measurements import Measurements
from oaktag.claims.stride import TRIAL_HEM, TRIAL_OPENING
from oaktag.draft.sleeve import SleeveOrder, draft_sleeve
from oaktag.finish.allowances import allow_piece
from oaktag.geometry.path import path_length
from oaktag.geometry.point import Point
from oaktag.model.draft import Draft
from oaktag.model.piece import Edge, EdgeKind, Piece
from oaktag.model.walking import EASY_STEP, SHORT_STEP, hem_needed, legs_apart, step_allowed
from oaktag.units import parse_length
from wardrobe import ALTO, FIXTURES, IN, dress

Row = dict[str, str]


def _rows() -> dict[str, Row]:
    with (FIXTURES / "trade" / "worked_examples.csv").open(encoding="utf-8") as file:
        return {row["id"]: row for row in csv.DictReader(file)}


ROWS = _rows()


def given(row: Row, name: str) -> float:
    """An input of the row in mm; a bare number (a count) as it is."""
    text = dict(entry.split("=") for entry in row["inputs"].split(";"))[name]
    return parse_length(text, "mm")


def body(**measured: float) -> Measurements:
    """The alto with some of her measurements replaced, mm."""
    return Measurements({**ALTO, **measured})


def point(draft: Draft, name: str, piece: str = "front") -> Point:
    return next(p for p in draft.pieces if p.name == piece).points[name]


def armhole_depth(bust: float) -> float:
    """Bust ÷ 6 + 1 in: the shoulder drop of 1 in, and nothing added to it."""
    return -point(dress(body(bust_girth=bust), sleeve="none", armhole_depth_ease=0), "underarm").y


def chest_line(bust: float, per_quarter: float) -> float:
    return point(dress(body(bust_girth=bust), "mm", ease_bust=4 * per_quarter, sleeve="none"), "underarm").x


def hip_line(hip: float, per_quarter: float) -> float:
    return point(dress(body(hip_girth=hip), "mm", ease_hip=4 * per_quarter, sleeve="none"), "hip_side").x


def half_shoulder(width: float) -> float:
    return point(dress(body(shoulder_width=width), sleeve="none"), "shoulder_tip").x


def dart_taken_in(intake: float) -> float:
    """The dart's width at the waist, between its two sides."""
    front = dress(ALTO, "mm", dart_intake=intake).pieces[0]
    return front.darts[0].points[1].x - front.darts[0].points[3].x


def addition_less_dart(intake: float) -> float:
    """What the waist line has more than a quarter of the waist, less the dart that takes it out again."""
    draft = dress(ALTO, "mm", dart_intake=intake, ease_waist=0)
    return point(draft, "waist_side").x - ALTO["waist_girth"] / 4 - dart_taken_in(intake)


def whole_bust_ease(bust: float) -> float:
    """Four quarters of bust ÷ 4 + 3/4 in, front and back, less the bust."""
    draft = dress(body(bust_girth=bust), ease_bust=3, sleeve="none")
    return 2 * (point(draft, "underarm").x + point(draft, "underarm", "back").x) - bust


def cap_length(front: float, back: float) -> float:
    order = SleeveOrder(
        biceps_line=355.6, front_armhole=front, back_armhole=back, cap_ease=0.75 * IN, length=250.0, hem_less=25.6,
        shoulder_height=200.0,
    )  # fmt: skip
    sleeve = draft_sleeve(order, "in", lambda extra: front + back + extra)
    return path_length(sleeve.cap_front) + path_length(sleeve.cap_back)


def biceps_line(arm: float) -> float:
    draft = dress(body(upper_arm_girth=arm), ease_biceps=2)
    return point(draft, "underarm_front", "sleeve").x - point(draft, "underarm_back", "sleeve").x


def hem_from_taper(hip: float, taper: float) -> float:
    """A dress whose waist is that much narrower at each of the four edges, pegged."""
    draft = dress(
        body(hip_girth=hip, waist_girth=hip - 4 * taper), ease_hip=0, ease_waist=0, sleeve="none", opening="slit"
    )
    return 2 * (point(draft, "hem_side").x + point(draft, "hem_side", "back").x)


def turned_back_width(half_width: float, taper: float, turn: float) -> float:
    """Width at the cut edge of the hem of a skirt that widens upwards; no allowance at the sides."""
    height = 300.0
    top = half_width + taper * height
    corners = (Point(0, height), Point(0, 0), Point(half_width, 0), Point(top, height))
    edges = (
        Edge.straight("centre", corners[0], corners[1]),
        Edge.straight("hem", corners[1], corners[2], EdgeKind.HEM),
        Edge.straight("side", corners[2], corners[3]),
        Edge.straight("waist", corners[3], corners[0]),
    )
    piece = Piece("skirt", edges, {}, (Point(50, 50), Point(50, 250)))
    cut = allow_piece(piece, {"centre": 0, "hem": turn, "side": 0, "waist": 0})
    return max(x for x, y in cut.cut_line if math.isclose(y, -turn, abs_tol=1e-3))


def dart_leg(intake: float, centre: float) -> float:
    """The upper leg of a dart whose point lies `centre` above the waist line."""
    chest = ALTO["bust_girth"] / 6 + 65  # 2 1/2 in, as metric jobs have them
    upper = ALTO["back_waist_length"] + IN - centre - chest
    upper_point, outer, _, _ = dress(ALTO, "mm", dart_intake=intake, dart_top_drop=upper).pieces[0].darts[0].points
    return math.dist(upper_point, outer)


FUNCTIONS: dict[str, Callable[[Row], float]] = {
    "we-130": lambda r: armhole_depth(given(r, "bust")),
    "we-131": lambda r: chest_line(given(r, "bust"), 0.75 * IN),
    "we-133": lambda r: half_shoulder(given(r, "shoulder")),
    "we-134": lambda r: point(dress(body(bust_point_width=given(r, "bust_distance"))), "dart_top").x,
    "we-140": lambda r: dart_taken_in(2 * given(r, "each_side")),
    "we-141": lambda r: -point(dress(ALTO, back_neck_depth="1 1/4"), "neck_centre", "back").y,
    "we-142": lambda r: whole_bust_ease(given(r, "bust")),
    "we-143": lambda r: armhole_depth(given(r, "chest")),
    "we-144": lambda r: chest_line(given(r, "chest"), given(r, "allowance")),
    "we-146": lambda r: hip_line(given(r, "hip"), given(r, "allowance")),
    "we-154": lambda r: chest_line(given(r, "chest"), 1.5 * IN),
    "we-157": lambda r: hip_line(given(r, "seat"), 1.5 * IN),
    "we-163": lambda r: chest_line(given(r, "chest"), 0.75 * IN),
    "we-164": lambda r: half_shoulder(given(r, "across_shoulder")),
    "we-166": lambda r: addition_less_dart(1.25 * IN),
    "we-237": lambda r: cap_length(given(r, "armhole_front"), given(r, "armhole_back")),
    "we-238": lambda r: biceps_line(given(r, "biceps")),
    "we-295": lambda r: legs_apart(given(r, "step"), given(r, "hip_height"), given(r, "hem_height")),
    # The row starts from the separation that its forerunner found: 60 cm of step, hip 80 cm, hem 43 cm high.
    "we-296": lambda r: hem_needed(600.0, 800.0, 430.0, given(r, "leg_girth")),
    "we-297": lambda r: step_allowed(
        given(r, "hem"), given(r, "hip_height"), given(r, "hem_height"), given(r, "leg_girth")
    ),
    "we-302": lambda r: hem_from_taper(given(r, "hip_girth"), given(r, "taper")),
    "we-314": lambda r: turned_back_width(given(r, "hem_half_width"), given(r, "taper_per_cm"), given(r, "turn")),
    "we-316": lambda r: dart_leg(given(r, "intake"), given(r, "centre")),
    "we-318": lambda r: TRIAL_HEM,
    "we-319": lambda r: TRIAL_OPENING,
}  # fmt: skip
OBSERVED = ("we-300", "we-301")
"""Steps that were counted, not computed: see the test of the limits."""


@pytest.mark.parametrize("name", sorted(FUNCTIONS))
def test_a_printed_number(name: str) -> None:
    row = ROWS[name]
    per = parse_length(f"1 {row['unit']}", "mm")
    assert FUNCTIONS[name](row) / per == pytest.approx(float(row["expected"]), abs=float(row["tolerance"])), row[
        "source"
    ]


def test_every_row_is_used() -> None:
    assert set(ROWS) == {*FUNCTIONS, *OBSERVED}
    assert all(row["source"] and row["seen_or_memory"] for row in ROWS.values())


def test_the_limits_of_a_step_lie_between_the_steps_that_were_counted() -> None:
    free, hobbled = (float(ROWS[name]["expected"]) * 10 for name in OBSERVED)
    assert hobbled < SHORT_STEP < EASY_STEP < free
