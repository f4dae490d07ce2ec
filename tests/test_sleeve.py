"""The sleeve: the cap is as long as was asked, measured with another tape; a sleeve that cannot be is refused."""

from __future__ import annotations

import math
import re
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from oaktag.body.measurements import Measurements
from oaktag.draft.sleeve import LEAST_CAP, Sleeve, SleeveOrder, draft_sleeve
from oaktag.errors import DraftError
from oaktag.geometry.path import part
from oaktag.model.piece import Edge
from oaktag.units import parse_length
from wardrobe import ALTO, IN, LENGTH, dense, dress, dressed, edge_tape, tape, with_edge

ORDER = SleeveOrder(
    biceps_line=355.6, front_armhole=222.0, back_armhole=228.0, cap_ease=19.05, length=250.0, hem_width=330.0,
    most_cap=200.0,
)  # fmt: skip


def drafted(order: SleeveOrder = ORDER) -> Sleeve:
    return draft_sleeve(order, "in", lambda extra: order.front_armhole + order.back_armhole + 2 * extra)


def fits(order: SleeveOrder) -> bool:
    try:
        drafted(order)
    except DraftError:
        return False
    return True


# Chords of a curve are short of it by a third of (chord to curve)² per chord and more: with 400 to a cubic nothing that
# counts. So 0.01 mm is the accuracy that draft_sleeve names.


@given(
    st.floats(250, 520), st.floats(0, 60), st.floats(0.9, 1.1), st.floats(1.05, 1.45), st.sampled_from([150, 320, 600])
)
@settings(max_examples=60, deadline=None)
def test_the_cap_is_as_long_as_the_armhole_and_its_ease(
    biceps: float, ease: float, uneven: float, armhole: float, length: float
) -> None:
    half = biceps * armhole / 2
    order = SleeveOrder(biceps, half * uneven, half * (2 - uneven), ease, length, biceps - 15, 0.55 * biceps)
    if not fits(order):
        return
    sleeve = drafted(order)
    front, back = tape(dense(sleeve.cap_front)), tape(dense(sleeve.cap_back))
    assert front + back == pytest.approx(biceps * armhole + ease, abs=0.02)
    assert front - order.front_armhole == pytest.approx(back - order.back_armhole, abs=0.02)  # ease alike on both sides
    assert LEAST_CAP <= sleeve.cap_height <= order.most_cap + 1e-6


@given(st.floats(1.1, 1.4), st.floats(0.9, 1.1))
@settings(max_examples=40, deadline=None)
def test_both_underarm_edges_are_equally_long_and_the_cap_is_level_at_the_top(armhole: float, uneven: float) -> None:
    half = 355.6 * armhole / 2
    order = replace(ORDER, front_armhole=half * uneven, back_armhole=half * (2 - uneven))
    if not fits(order):
        return
    sleeve = drafted(order)
    assert tape(dense(sleeve.underarm_front)) == pytest.approx(tape(dense(sleeve.underarm_back)), abs=1e-6)
    assert sleeve.cap_front[-1].way(1.0).y == pytest.approx(0, abs=1e-9)
    assert sleeve.cap_front[-1].end == pytest.approx(sleeve.top)
    # the cap starts square to the underarm seam, so that it goes on smoothly across it
    seam, cap = sleeve.underarm_front[-1].way(1.0), sleeve.cap_front[0].way(0.0)
    assert seam.x * cap.x + seam.y * cap.y == pytest.approx(0, abs=1e-9)


def test_the_front_of_the_cap_is_hollower_than_the_back() -> None:
    sleeve = drafted(replace(ORDER, front_armhole=225.0, back_armhole=225.0))

    def reach(points: list[tuple[float, float]], height: float) -> float:
        """From the middle of the sleeve to the cap, at a height above the biceps line."""
        return abs(min(points, key=lambda p: abs(p[1] - height))[0])

    for height in (20, 30, 40):
        front, back = (reach(dense(side), height) for side in (sleeve.cap_front, sleeve.cap_back))
        assert front < back - 3
        assert front < 177.8 - height  # hollow: well inside a straight line that rises as steeply as half the cap


def test_more_ease_makes_a_higher_cap_and_a_wider_sleeve_a_flatter_one() -> None:
    plain = drafted().cap_height
    assert drafted(replace(ORDER, cap_ease=30.0)).cap_height > plain + 1
    assert drafted(replace(ORDER, biceps_line=375.0)).cap_height < plain - 1


# ------------------------------------------------------------------------------------------------- in the dress


@pytest.mark.parametrize("sleeve", ["short", "elbow", "long"])
@pytest.mark.parametrize("cap_ease", [0.5, 0.75, 1.25])
def test_the_sleeve_of_a_dress_goes_into_its_armhole(sleeve: str, cap_ease: float) -> None:
    pattern = dressed(ALTO, sleeve=sleeve, cap_ease=cap_ease)
    cap, hole = edge_tape(pattern, "sleeve.cap"), edge_tape(pattern, "front.armhole", "back.armhole")
    assert cap - hole == pytest.approx(cap_ease * IN, abs=0.1)


@pytest.mark.parametrize("sleeve", ["short", "elbow", "long"])
def test_the_notches_of_the_cap_lie_as_far_from_the_underarm_as_those_of_the_armhole(sleeve: str) -> None:
    pattern = dressed(ALTO, sleeve=sleeve)
    cap = pattern.piece("sleeve").cut.piece
    at = {notch.name: notch for notch in cap.notches if notch.edge == "cap"}
    whole = cap.edge("cap").length()
    for half, walked in (("front", at["front armhole"].at), ("back", whole - at["back armhole"].at)):
        armhole = next(n for n in pattern.piece(half).cut.piece.notches if n.edge == "armhole")
        assert walked == pytest.approx(armhole.at, abs=0.2)
        assert at[f"{half} armhole"].count == armhole.count == (1 if half == "front" else 2)


def test_the_shoulder_notch_is_at_the_top_of_the_cap() -> None:
    pattern = dressed(ALTO)
    notch = next(n for n in pattern.piece("sleeve").notches if n.name == "shoulder")
    assert math.dist(notch.point, pattern.piece("sleeve").cut.piece.points["cap_top"]) < 0.01
    upper = max(y for _, y in pattern.piece("sleeve").cut.stitch_line)
    assert notch.point.y == pytest.approx(upper, abs=0.05)


@pytest.mark.parametrize(
    ("raw", "wide", "hem"),
    [
        ({"sleeve": "short"}, 14, 13.5),  # arm 12 + 2; hem 1/2 in less
        ({"sleeve": "elbow"}, 14, 13),  # 1 in less
        ({"sleeve": "long"}, 14, 9.375),  # wrist 6 3/8 + 3
        ({"sleeve": "long", "ease_wrist": 9}, 14, 14),  # never wider than the biceps line
        ({"sleeve": "short", "ease_biceps": 3}, 15, 14.5),
    ],
)
def test_the_widths_of_a_sleeve(raw: dict, wide: float, hem: float) -> None:
    points = next(p for p in dress(ALTO, **raw).pieces if p.name == "sleeve").points
    assert points["underarm_front"].x - points["underarm_back"].x == pytest.approx(wide * IN)
    assert points["hem_front"].x - points["hem_back"].x == pytest.approx(hem * IN)


@pytest.mark.parametrize(
    ("raw", "long"),
    [
        ({"sleeve": "short"}, 22.75 * 2 / 5),
        ({"sleeve": "elbow"}, 22.75 / 2 + 1),
        ({"sleeve": "long"}, 22.75),
        ({"sleeve": "long", "sleeve_length": 20}, 20),
        ({"sleeve": "long", "sleeve_length": "auto"}, 22.75),
    ],
)
def test_the_length_of_a_sleeve_from_the_top_of_its_cap(raw: dict, long: float) -> None:
    points = next(p for p in dress(ALTO, **raw).pieces if p.name == "sleeve").points
    assert points["cap_top"].y - points["hem_front"].y == pytest.approx(long * IN)


def test_the_wrist_that_is_told_is_the_wrist_that_is_drafted() -> None:
    # The hem is never wider than the biceps line, so what is asked for is not always what is there.
    draft = dress(ALTO, sleeve="long", ease_wrist=9)
    points = next(p for p in draft.pieces if p.name == "sleeve").points
    assert draft.sleeve is not None
    assert draft.sleeve.wrist_opening == pytest.approx(points["hem_front"].x - points["hem_back"].x)


# --------------------------------------------------------------------------------------- what cannot be, and advice


def advice(text: str) -> list[tuple[str, str, str]]:
    """(verb, length, option) of every way out that a refusal offers."""
    pattern = rf"([Aa]dd|[Tt]ake) ({LENGTH})(?: or more)? (?:to|from) (\w+)"
    return [(verb.lower(), length, option) for verb, length, option in re.findall(pattern, text)]


DEFAULTS = {"ease_biceps": 2 * IN, "armhole_depth_ease": 1.5 * IN}


def follow(body: Measurements, unit: str, raw: dict, verb: str, length: str, option: str) -> None:
    """Draft again as the advice says; raises DraftError if that is not enough."""
    now = parse_length(raw[option], unit) if option in raw else DEFAULTS[option]
    by = parse_length(length, unit)
    dress(body, unit, **{**raw, option: f"{now + by if verb == 'add' else now - by:.6f} mm"})


@pytest.mark.parametrize("unit", ["in", "cm"])
@pytest.mark.parametrize("arm", [8, 8.5, 9])
def test_an_arm_too_thin_for_the_armhole_is_refused_with_advice_that_works(unit: str, arm: float) -> None:
    body = Measurements({**ALTO, "upper_arm_girth": arm * IN, "bust_girth": 40 * IN})
    with pytest.raises(DraftError, match="too big for the arm") as refused:
        dress(body, unit)
    told = str(refused.value)
    assert "upper_arm_girth" in told
    assert {option for _, _, option in advice(told)} == {"ease_biceps"}
    for way in advice(told):
        follow(body, unit, {}, *way)


@pytest.mark.parametrize("unit", ["in", "cm"])
@pytest.mark.parametrize("arm", [17, 17.75, 18.6])
def test_an_arm_too_big_for_the_armhole_is_refused_with_advice_that_works(unit: str, arm: float) -> None:
    body = Measurements({**ALTO, "upper_arm_girth": arm * IN})
    raw = {"ease_biceps": "5 in"}
    with pytest.raises(DraftError, match="arm is too big for the armhole") as refused:
        dress(body, unit, **raw)
    told = str(refused.value)
    assert advice(told)
    for way in advice(told):
        follow(body, unit, raw, *way)


def test_the_advice_asks_for_no_more_than_is_needed() -> None:
    body = Measurements({**ALTO, "upper_arm_girth": 9 * IN, "bust_girth": 40 * IN})
    with pytest.raises(DraftError) as refused:
        dress(body, "cm")
    ((_, length, _),) = advice(str(refused.value))
    with pytest.raises(DraftError):
        dress(body, "cm", ease_biceps=f"{2 * IN + parse_length(length, 'cm') - 2.5:.6f} mm")


def test_a_cap_that_was_shortened_is_no_longer_the_cap_that_was_asked() -> None:
    pattern = dressed(ALTO)
    cut = with_edge(pattern, "sleeve", "cap", lambda e: Edge(e.name, e.kind, part(e.curves, 0, e.length() - 2)))
    assert cut.piece("sleeve").cut.piece.edge("cap").length() == pytest.approx(
        pattern.piece("sleeve").cut.piece.edge("cap").length() - 2, abs=1e-3
    )
