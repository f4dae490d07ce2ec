"""The sleeve: the cap is as long as was asked, measured with another tape; a sleeve that cannot be is refused."""

from __future__ import annotations

import itertools
import math
import re
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from oaktag.body.charts import shipped
from oaktag.body.measurements import KINDS, Measurements
from oaktag.checks.run import check
from oaktag.claims.sleeve import SleeveFits
from oaktag.draft.sleeve import LEAST_CAP, Sleeve, SleeveOrder, draft_sleeve
from oaktag.errors import DraftError
from oaktag.geometry.path import part
from oaktag.model.draft import Draft
from oaktag.model.finding import Severity
from oaktag.model.piece import Edge
from oaktag.units import parse_length
from wardrobe import ALTO, IN, LENGTH, claimed, dense, dress, dressed, edge_tape, tape, with_edge, women

ORDER = SleeveOrder(
    biceps_line=355.6, front_armhole=222.0, back_armhole=228.0, cap_ease=19.05, length=250.0, hem_less=25.6,
    shoulder_height=200.0,
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
    order = SleeveOrder(biceps, half * uneven, half * (2 - uneven), ease, length, 0.55 * biceps, 15)
    if not fits(order):
        return
    sleeve = drafted(order)
    front, back = tape(dense(sleeve.cap_front)), tape(dense(sleeve.cap_back))
    assert front + back == pytest.approx(biceps * armhole + ease, abs=0.02)
    assert front - order.front_armhole == pytest.approx(back - order.back_armhole, abs=0.02)  # ease alike on both sides
    assert LEAST_CAP <= sleeve.cap_height <= min(order.shoulder_height, length - 40) + 0.01


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
    told = claimed(draft, SleeveFits).wrist_opening
    assert told is not None
    assert told.mm == pytest.approx(points["hem_front"].x - points["hem_back"].x)


# --------------------------------------------------------------------------------------- what cannot be, and advice


def advice(text: str) -> list[tuple[str, str, str]]:
    """(verb, length, option) of every way out that a refusal offers: so much more, or so much in all."""
    more = re.findall(rf"([Aa]dd) ({LENGTH})(?: or more)? to (\w+)", text)
    whole = re.findall(rf"(ease_biceps|sleeve_length) ({LENGTH}) or (?:more|less)", text)
    return [("add", length, option) for _, length, option in more] + [("make", *way[::-1]) for way in whole]


def follow(body: Measurements, unit: str, raw: dict, verb: str, length: str, option: str) -> None:
    """Draft again as the advice says; raises DraftError if that is not enough."""
    now = {"armhole_depth_ease": 1.5 * IN if unit == "in" else 40.0}[option] if verb == "add" else 0.0
    dress(body, unit, **{**raw, option: f"{now + parse_length(length, unit):.6f} mm"})


@pytest.mark.parametrize("unit", ["in", "cm"])
@pytest.mark.parametrize("arm", [8, 8.5, 9])
def test_an_arm_too_thin_for_the_armhole_is_refused_with_advice_that_works(unit: str, arm: float) -> None:
    body = Measurements({**ALTO, "upper_arm_girth": arm * IN, "bust_girth": 44 * IN})
    raw = {"ease_biceps": "1/2 in"}
    with pytest.raises(DraftError, match=r"too big for the arm.* the shoulder is only") as refused:
        dress(body, unit, **raw)
    told = str(refused.value)
    assert "upper_arm_girth" in told
    assert {option for _, _, option in advice(told)} == {"ease_biceps"}
    for way in advice(told):
        follow(body, unit, raw, *way)


@pytest.mark.parametrize("unit", ["in", "cm"])
@pytest.mark.parametrize(
    ("long", "ease", "ways"),
    [
        ("15 cm", "2 in", {"sleeve_length", "ease_biceps"}),
        ("20 cm", "1 in", {"sleeve_length", "ease_biceps"}),
        ("17 cm", None, {"sleeve_length", "ease_biceps"}),  # as wide as it gets by itself
        ("9 cm", "2 in", {"sleeve_length"}),  # room for no cap at all
    ],
)
def test_a_sleeve_too_short_for_its_cap_is_refused_for_that_with_advice_that_works(
    unit: str, long: str, ease: str | None, ways: set[str]
) -> None:
    body = Measurements({**ALTO, "upper_arm_girth": 11 * IN, "bust_girth": 40 * IN})
    raw = {"sleeve_length": long} | ({"ease_biceps": ease} if ease else {})
    with pytest.raises(DraftError, match="the sleeve is too short for its cap") as refused:
        dress(body, unit, **raw)
    told = str(refused.value)
    assert {option for _, _, option in advice(told)} == ways
    for way in advice(told):
        follow(body, unit, raw, *way)


def test_where_width_and_length_are_both_too_little_both_are_named() -> None:
    body = Measurements({**ALTO, "upper_arm_girth": 8 * IN, "bust_girth": 44 * IN})
    with pytest.raises(DraftError, match="the sleeve is too short for its cap") as refused:
        dress(body, "cm", sleeve_length="12 cm", ease_biceps="0 in")
    ways = {option: length for _, length, option in advice(str(refused.value))}
    assert set(ways) == {"ease_biceps", "sleeve_length"}
    assert " or more and sleeve_length " in str(refused.value)
    dress(body, "cm", **ways)
    for one in ways:
        with pytest.raises(DraftError):
            dress(body, "cm", **{"sleeve_length": "12 cm", "ease_biceps": "0 in", one: ways[one]})


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
    body = Measurements({**ALTO, "upper_arm_girth": 9 * IN, "bust_girth": 44 * IN})
    with pytest.raises(DraftError) as refused:
        dress(body, "cm", ease_biceps="1/2 in")
    ((_, length, _),) = advice(str(refused.value))
    with pytest.raises(DraftError):
        dress(body, "cm", ease_biceps=f"{parse_length(length, 'cm') - 2.5:.6f} mm")


# ------------------------------------------------------------------------------ cap, width and length chosen together


def drafted_for(**measured: float) -> Draft:
    return dress(Measurements({**ALTO, **{name: value * IN for name, value in measured.items()}}), sleeve="short")


def shape(draft: Draft) -> tuple[float, float, float]:
    """Biceps line, cap height and underarm seam from level to level of the drafted sleeve, mm."""
    points = next(p for p in draft.pieces if p.name == "sleeve").points
    wide = points["underarm_front"].x - points["underarm_back"].x
    return wide, points["cap_top"].y - points["underarm_front"].y, points["underarm_front"].y - points["hem_front"].y


def test_a_usual_sleeve_has_two_inches_of_ease_and_nothing_is_told() -> None:
    wide, cap, underarm = shape(drafted_for())
    assert wide == pytest.approx(14 * IN)
    assert cap + underarm == pytest.approx(22.75 * IN * 2 / 5)
    assert not [note for note in drafted_for().notes if "leeve" in note]


def test_a_short_sleeve_gets_longer_where_its_cap_leaves_no_underarm_seam() -> None:
    draft = drafted_for(bust_girth=44, upper_arm_girth=14)
    wide, cap, underarm = shape(draft)
    assert wide == pytest.approx(16 * IN)
    assert cap + 2.5 * IN > 22.75 * IN * 2 / 5
    assert underarm == pytest.approx(2.5 * IN)
    (note,) = [note for note in draft.notes if "leeve" in note]
    assert note.startswith("The sleeve was lengthened from 9 1/8 in to ")
    step = next(step for step in draft.steps if step.label == "sleeve length")
    assert step.value == pytest.approx(cap + underarm)
    assert "too short for the cap" in step.formula


def test_a_cap_that_would_stand_too_high_gets_a_wider_sleeve_of_three_and_a_half_inches_at_most() -> None:
    """5/6 of the shoulder above the underarm: cap height of a Japanese block, from memory (trade notes)."""
    for arm, least in ((10.2, 2.0), (8.5, 3.5)):
        draft = drafted_for(bust_girth=40, upper_arm_girth=arm)
        wide, cap, _ = shape(draft)
        ease = wide / IN - arm
        assert least < ease <= 3.5 + 1e-6 or ease == pytest.approx(3.5) == pytest.approx(least)
        if ease < 3.49:
            assert cap == pytest.approx(claimed(draft, SleeveFits).shoulder_height.mm * 5 / 6, abs=0.02)
        assert [note for note in draft.notes if "drafted wider" in note]
        asked = dress(Measurements({**ALTO, "bust_girth": 40 * IN, "upper_arm_girth": arm * IN}), ease_biceps=2)
        assert shape(asked)[0] == pytest.approx((arm + 2) * IN)  # what is asked for is kept
        assert shape(asked)[1] > claimed(asked, SleeveFits).shoulder_height.mm * 5 / 6


def test_a_cap_that_would_be_too_flat_gets_a_narrower_sleeve_of_one_inch_at_least() -> None:
    draft = drafted_for(upper_arm_girth=17)
    wide, cap, _ = shape(draft)
    assert cap == pytest.approx(LEAST_CAP)
    assert 18 * IN < wide < 19 * IN
    assert [note for note in draft.notes if "drafted narrower" in note]


@pytest.mark.parametrize("chart", ["women", "women-short", "women-tall"])
@pytest.mark.parametrize("sleeve", ["short", "cap", "elbow", "long"])
def test_every_size_of_every_chart_that_ships_has_its_sleeve(chart: str, sleeve: str) -> None:
    for size in shipped(chart).sizes:
        pattern = dressed(shipped(chart).body(size), "cm", sleeve=sleeve)
        assert not [f for f in check(pattern) if not f.passed and f.severity is Severity.ERROR], size
        cap, hole = edge_tape(pattern, "sleeve.cap"), edge_tape(pattern, "front.armhole", "back.armhole")
        if sleeve != "cap":
            assert cap - hole == pytest.approx(20, abs=0.1), size  # 3/4 in, as metric jobs have it


def large_women() -> list[Measurements]:
    """60 of the women, every girth and the bust points by one factor, to busts from 110 to 140 cm."""
    found = []
    for i, (_, body) in enumerate(women()[::5]):
        factor = (1100 + 300 * i / 59) / body["bust_girth"]
        grown = {n: v * factor if "girth" in n or n == "bust_point_width" else v for n, v in body.items()}
        grown["shoulder_width"] = 2 * grown["shoulder_length"] + grown["neck_base_girth"] / math.pi
        found.append(Measurements({n: min(max(v, KINDS[n].least), KINDS[n].most) for n, v in grown.items()}))
    return found


def no_cap(bodies: list[Measurements], **raw: object) -> list[str]:
    """The refusals that are about the sleeve: what else stands in the way of a large body is judged elsewhere."""
    told = []
    for body in bodies:
        try:
            dress(body, "cm", **raw)
        except DraftError as refusal:
            told.append(str(refusal))
    return [text for text in told if "no cap fits" in text]


@pytest.mark.parametrize("sleeve", ["short", "cap", "elbow", "long"])
def test_hardly_any_woman_goes_without_a_sleeve(sleeve: str) -> None:
    """At most 2 of 100 women, and 5 of 100 whose bust is 110 cm and more."""
    assert len(no_cap([body for _, body in women()], sleeve=sleeve)) <= 6
    assert len(no_cap(large_women(), sleeve=sleeve)) <= 3


def _turns(points: list[tuple[float, float]]) -> list[float]:
    """Signed turn at each point of a polyline, radians."""
    ways = [math.atan2(q[1] - p[1], q[0] - p[0]) for p, q in itertools.pairwise(points)]
    return [(b - a + math.pi) % (2 * math.pi) - math.pi for a, b in itertools.pairwise(ways)]


def test_the_cap_of_every_size_is_smooth_and_each_side_turns_once() -> None:
    """Hollow below, round above: the way along one side changes its sense of turning once, and nowhere jumps."""
    bodies = [shipped(name).body(size) for name in ("women", "women-tall") for size in shipped(name).sizes]
    for body in [*bodies, *large_women()[::6]]:
        try:
            piece = dressed(body, "cm", sleeve="elbow").piece("sleeve").cut.piece
        except DraftError as refusal:
            assert "no cap fits" not in str(refusal)
            continue
        points = dense(piece.edge("cap").curves, 60)
        turns = _turns(points)
        for (a, b, c), turn in zip(zip(points, points[1:], points[2:], strict=False), turns, strict=True):
            assert abs(turn) * 30 < (math.dist(a, b) + math.dist(b, c)) / 2  # nowhere tighter than a curve of 30 mm
        senses = [turn > 0 for turn in turns if abs(turn) > 1e-4]
        assert sum(a != b for a, b in itertools.pairwise(senses)) == 2


def test_a_cap_that_was_shortened_is_no_longer_the_cap_that_was_asked() -> None:
    pattern = dressed(ALTO)
    cut = with_edge(pattern, "sleeve", "cap", lambda e: Edge(e.name, e.kind, part(e.curves, 0, e.length() - 2)))
    assert cut.piece("sleeve").cut.piece.edge("cap").length() == pytest.approx(
        pattern.piece("sleeve").cut.piece.edge("cap").length() - 2, abs=1e-3
    )
