"""A large or a thin arm, mended on the sleeve. Amounts and what stays: alterations of the trade."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fitted import BODY, drafted, faults, piece, sewn
from halves import fit, off
from oaktag.errors import DraftError
from oaktag.model.draft import Draft
from oaktag.model.fitted import Ask
from wardrobe import finished

STYLES = [
    ("dress", {"sleeve_kind": "plain"}), ("dress", {"sleeve_kind": "plain", "sleeve_reach": "short"}),
    ("dress", {"sleeve_kind": "bishop"}), ("dress", {"sleeve_kind": "puff"}), ("dress", {"sleeve_kind": "elbow dart"}),
    ("blouse", {}), ("shirt", {}), ("t-shirt", {}),
]  # fmt: skip


def biceps(draft: Draft) -> float:
    cap = piece(draft, "sleeve").edge("cap")
    return abs(cap.start.x - cap.end.x)


def high(draft: Draft) -> float:
    sleeve = piece(draft, "sleeve")
    return sleeve.points["cap_top"].y - sleeve.edge("cap").start.y


@pytest.mark.parametrize(("name", "style"), STYLES)
@pytest.mark.parametrize(("fault", "by"), [("large_upper_arm", 30.0), ("thin_arm", -15.0)])
def test_a_sleeve_is_as_wide_as_the_arm_wants_and_still_fits(
    name: str, style: dict[str, object], fault: str, by: float
) -> None:
    # alterations, large upper arm: cap as long, underarm seams equal
    plain, fitted = drafted(name, BODY, **style), drafted(name, BODY, Ask(fault, abs(by)), **style)
    assert faults(finished(fitted)) == faults(finished(plain))
    slashed = style.get("sleeve_kind") in ("bishop", "puff")  # and spread afterwards, which turns the ends of the cap
    assert biceps(fitted) - biceps(plain) == pytest.approx(by, abs=abs(by) * 0.12 if slashed else 0.3)
    assert sewn(fitted, "sleeve.cap") == pytest.approx(sewn(plain, "sleeve.cap"), abs=0.1)
    assert sewn(fitted, "sleeve.underarm_front") == pytest.approx(sewn(fitted, "sleeve.underarm_back"), abs=0.3)
    assert (high(fitted) < high(plain)) is (by > 0)


@pytest.mark.parametrize(("by", "falls"), [(20.0, 12.0), (50.0, 34.0)])
def test_the_cap_falls_as_the_rules_say(by: float, falls: float) -> None:
    # rules proved, 8: upper arm + 2 and + 5 cm, the cap falls 1.2 and 3.4; on another shirt's sleeve, so to a tenth
    plain, fitted = drafted("shirt", BODY), drafted("shirt", BODY, Ask("large_upper_arm", by))
    assert high(plain) - high(fitted) == pytest.approx(falls, rel=0.12)


def test_a_long_sleeve_keeps_its_wrist_and_its_length() -> None:
    plain, fitted = (
        drafted("dress", BODY, *asks, sleeve_kind="plain") for asks in ((), (Ask("large_upper_arm", 30.0),))
    )
    assert sewn(fitted, "sleeve.hem") == pytest.approx(sewn(plain, "sleeve.hem"), abs=0.01)
    long = [piece(d, "sleeve").points["cap_top"].y - piece(d, "sleeve").edge("hem").start.y for d in (plain, fitted)]
    assert long[1] == pytest.approx(long[0], abs=0.01)


def test_placket_and_pleats_at_a_wrist_stay_as_they_are() -> None:
    plain, fitted = drafted("shirt", BODY), drafted("shirt", BODY, Ask("large_upper_arm", 30.0))
    assert sewn(fitted, "sleeve.wrist_edge") == pytest.approx(sewn(plain, "sleeve.wrist_edge"), abs=0.01)
    lines = [next(x for x in piece(d, "sleeve").internal_lines if x.name == "placket").points for d in (plain, fitted)]
    shapes = [(b.x - a.x, b.y - a.y) for a, b in lines]
    assert shapes[0] == pytest.approx(shapes[1], abs=0.01)


def test_a_short_sleeve_is_wider_at_its_hem_too() -> None:
    asks = (Ask("large_upper_arm", 30.0),)
    plain, fitted = (drafted("dress", BODY, *a, sleeve_kind="plain", sleeve_reach="short") for a in ((), asks))
    assert 10.0 < sewn(fitted, "sleeve.hem") - sewn(plain, "sleeve.hem") < 30.0


@given(st.floats(5.0, 40.0))
@settings(max_examples=5, deadline=None)
def test_let_out_and_taken_in_again_a_sleeve_is_as_it_was(by: float) -> None:
    sleeve = (piece(drafted("dress", BODY, sleeve_kind="plain"), "sleeve"),)
    assert off(sleeve, fit(sleeve, Ask("large_upper_arm", by), Ask("thin_arm", by))) < 0.1


def test_the_sleeve_of_a_raised_armhole_is_let_out_as_well() -> None:
    asks = Ask("forward_shoulder", 8.0), Ask("large_upper_arm", 20.0)
    fitted = drafted("shirt", BODY, *asks)
    assert [one.ask.fault for one in fitted.altered] == ["forward_shoulder", "large_upper_arm"]
    assert faults(finished(fitted)) == faults(finished(drafted("shirt", BODY)))


def test_without_a_sleeve_it_is_refused() -> None:
    with pytest.raises(DraftError, match="there is no sleeve"):
        drafted("bodice", BODY, Ask("large_upper_arm", 20.0))
