"""The model of the stride: a hull of two legs, and the opening that it asks for."""

from __future__ import annotations

import math
import statistics
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from oaktag.model.walking import (
    TRADE_OPENING,
    VENT_STEP,
    Walk,
    hem_needed,
    leg_girth,
    legs_apart,
    opening_serves,
    shortest_opening,
    step_allowed,
)
from wardrobe import IN, women

# A woman of 160 cm: hip joint at 80 cm (half her height), knee at 43 cm and 36 cm round; the numbers of the model's own
# worked example, by hand: separation (860 - 360) / 2 = 250 mm; step 250 × 800 / 370 = 540.5 mm.
HIP_JOINT, KNEE_HEIGHT, KNEE_GIRTH = 800.0, 430.0, 360.0
PLAIN = Walk(
    stature=1600.0,
    top_height=1350.0,
    hem_depth=920.0,
    leg_girths=((60.0, 210.0), (310.0, 350.0), (430.0, 360.0), (750.0, 560.0)),
    opening="vent",
    opening_length=0.0,
    highest_opening_depth=600.0,
)


def test_a_knee_length_hem_of_86_cm_allows_a_step_of_54_cm() -> None:
    assert step_allowed(860, HIP_JOINT, KNEE_HEIGHT, KNEE_GIRTH) == pytest.approx(540.5, abs=0.1)


def test_where_the_leg_is_37_cm_round_it_is_53_cm() -> None:
    # By hand: (860 - 370) / 2 × 800 / 370 = 529.7 mm.
    assert step_allowed(860, HIP_JOINT, KNEE_HEIGHT, 370) == pytest.approx(529.7, abs=0.1)


def test_a_vent_top_at_55_cm_needs_a_girth_of_85_cm() -> None:
    # By hand: legs 670 × 250 / 800 = 209.4 mm apart, twice that and a leg of 43 cm is 848.8 mm.
    assert VENT_STEP == 670
    assert hem_needed(VENT_STEP, HIP_JOINT, 550, 430) == pytest.approx(848.75, abs=0.01)


def test_a_hem_pegged_to_the_waist_at_the_knee_allows_the_women_of_the_survey_a_step_of_43_cm() -> None:
    # A pegged hem is as wide as the waist line: waist girth and 1 in of ease. The median over all 2,208 women of the
    # survey is known to be 43 cm.
    steps = [
        step_allowed(b["waist_girth"] + IN, b["stature"] / 2, b["knee_height"], b["knee_girth"]) for _, b in women()
    ]
    assert len(steps) == 300
    assert statistics.median(steps) == pytest.approx(430, abs=15)


@given(st.floats(200, 900), st.floats(700, 1000), st.floats(50, 690), st.floats(150, 500))
def test_the_hem_that_a_step_needs_allows_that_step(step: float, hip: float, height: float, leg: float) -> None:
    assert step_allowed(hem_needed(step, hip, height, leg), hip, height, leg) == pytest.approx(step, rel=1e-9)


@given(st.floats(600, 1500), st.floats(150, 500), st.floats(50, 600), st.floats(1, 90))
def test_wider_or_higher_never_shortens_the_step(girth: float, leg: float, height: float, more: float) -> None:
    plain = step_allowed(girth, 800, height, leg)
    assert step_allowed(girth + more, 800, height, leg) >= plain
    assert step_allowed(girth, 800, height + more, leg) >= plain


def test_legs_stand_together_at_the_hip_joint_and_a_step_apart_on_the_floor() -> None:
    assert legs_apart(600, 800, 800) == 0
    assert legs_apart(600, 800, 900) == 0
    assert legs_apart(600, 800, 0) == 600
    assert math.isinf(step_allowed(900, 800, 800, 500))
    assert step_allowed(300, 800, 400, 500) == 0  # narrower than one leg: no step at all, and never a negative one


def test_the_leg_is_read_between_the_measured_heights_and_held_beyond() -> None:
    assert leg_girth(PLAIN, 0) == 210
    assert leg_girth(PLAIN, 60) == 210
    assert leg_girth(PLAIN, 370) == pytest.approx(355)  # half way from 350 to 360
    assert leg_girth(PLAIN, 590) == pytest.approx(460)  # half way from 360 to 560
    assert leg_girth(PLAIN, 1200) == 560


def test_the_heights_of_a_walk() -> None:
    assert PLAIN.hip_joint == 800
    assert PLAIN.hem_height == 430


def tapering(depth: float) -> float:
    """A dress 1000 mm round at 600 mm down, 80 mm less at every 100 mm further."""
    return 1000 - 0.8 * (depth - 600)


def test_the_shortest_opening_is_in_whole_inches_and_an_inch_less_does_not_serve() -> None:
    shortest = shortest_opening(PLAIN, tapering)
    assert shortest is not None
    # By hand: 6 in up, at 767.6 mm down and 582.4 mm high, legs 2 × 670 × 217.6 / 800 = 364.5 apart and a leg of 455.25
    # make 819.7 mm; the dress has 1000 - 0.8 × 167.6 = 865.9 mm there. So the trade's least is enough.
    assert shortest == pytest.approx(TRADE_OPENING)
    narrow = shortest_opening(PLAIN, lambda depth: tapering(depth) - 80)
    assert narrow is not None
    # By hand: 7 in up, 742.2 down and 607.8 high, legs 321.9 apart (twice) and a leg of 471.1 make 793.1 mm, and the
    # dress has 806.2 mm; at 6 in 819.7 mm are needed and 785.9 mm are there.
    assert narrow == pytest.approx(7 * 25.4)
    assert not opening_serves(PLAIN, lambda depth: tapering(depth) - 80, narrow - 25.4)


def test_no_opening_is_found_where_it_would_reach_zip_or_hip() -> None:
    assert shortest_opening(PLAIN, lambda depth: 500.0) is None
    assert shortest_opening(replace(PLAIN, highest_opening_depth=800.0), tapering) is None  # 6 in would start at 767.6


@given(st.floats(650, 1100), st.floats(0, 1.5), st.integers(0, 500))
def test_the_shortest_opening_is_the_shortest(top: float, taper: float, highest: int) -> None:
    walk = replace(PLAIN, highest_opening_depth=300.0 + highest)

    def girth(depth: float) -> float:
        return top - taper * (depth - 600)

    lengths = [inches * 25.4 for inches in range(6, 40) if walk.hem_depth - inches * 25.4 >= walk.highest_opening_depth]
    serving = [
        length
        for length in lengths
        if girth(920 - length) >= 2 * 670 * max(0, 800 - 430 - length) / 800 + leg_girth(walk, 430 + length) - 1e-6
    ]
    assert shortest_opening(walk, girth) == (pytest.approx(min(serving)) if serving else None)
