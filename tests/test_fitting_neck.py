"""Faults of the neck, mended: the neckline cut anew further out or in, collar and facings after it."""

from __future__ import annotations

from collections.abc import Mapping

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fitted import BODY, drafted, faults, sewn
from oaktag.body.measurements import Measurements
from oaktag.errors import DraftError
from oaktag.geometry.point import direction, turn_deg
from oaktag.model.fitted import Ask
from oaktag.model.piece import Piece
from test_fitting_bust import METHODS, apart, halves, mended
from wardrobe import finished, women

Style = Mapping[str, object]
GARMENTS: list[tuple[str, Style]] = [
    *(("bodice", {"method": method}) for method in METHODS),
    ("bodice", {"method": "angle", "princess": "shoulder"}),
    ("blouse", {"method": "close", "collar_kind": "mandarin"}),
    ("blouse", {"method": "angle", "collar_kind": "flat"}),
    ("shirt", {}),
    ("dress", {}),
]


@pytest.mark.parametrize(("name", "style"), GARMENTS)
@pytest.mark.parametrize(("fault", "amount"), [("thick_neck", 6.0), ("thin_neck", 5.0)])
def test_a_neckline_is_cut_anew_and_all_goes_together(name: str, style: Style, fault: str, amount: float) -> None:
    plain, fitted = drafted(name, BODY, **style), drafted(name, BODY, Ask(fault, amount), **style)
    assert faults(finished(fitted)) == faults(finished(plain))
    assert [row.ask.fault for row in fitted.altered] == [fault]


def corners(half: Piece) -> list[float]:
    """The angles of the neck with shoulder and centre, degrees."""
    neck, (before, after) = half.edge("neck"), half.beside("neck")
    return [turn_deg(half.edge(before).curves[-1].way(1.0), neck.curves[0].way(0.0)),
            turn_deg(neck.curves[-1].way(1.0), half.edge(after).curves[0].way(0.0))]  # fmt: skip


@pytest.mark.parametrize("method", METHODS)
@pytest.mark.parametrize(("fault", "by"), [("thick_neck", 8.0), ("thin_neck", -8.0)])
def test_shoulder_and_centre_are_shorter_by_what_was_measured(method: str, fault: str, by: float) -> None:
    old, new = halves(method), mended(halves(method), Ask(fault, 8.0))
    for half, made in zip(old, new, strict=True):
        centre = half.beside("neck")[1]
        for name in ("shoulder", centre):
            assert half.edge(name).sewn_length() - made.edge(name).sewn_length() == pytest.approx(by, abs=0.05), name
        for name in ("armhole", "side", "waist"):
            assert made.edge(name) == half.edge(name)
        assert corners(made) == pytest.approx(corners(half), abs=0.1)  # so that it runs smoothly over the seam
        # a curve further out by d is longer: between d and 2 d for a quarter turn (pi / 2 in a circle)
        assert 0.9 * abs(by) < abs(made.edge("neck").length() - half.edge("neck").length()) < 2 * abs(by)
        assert direction(half.edge("neck").end, made.edge("neck").end).y == pytest.approx(-by / abs(by), abs=0.01)


def test_a_collar_follows_the_neck() -> None:
    style = {"method": "close", "collar_kind": "mandarin"}
    plain, fitted = drafted("blouse", BODY, **style), drafted("blouse", BODY, Ask("thick_neck", 6.0), **style)
    neck = [sewn(draft, "front.neck", "back.neck") for draft in (plain, fitted)]
    assert neck[1] - neck[0] > 12.0
    refs = [ref for seam in plain.seams for ref in (*seam.a, *seam.b)]
    ref = next(ref for ref in refs if "collar" in ref.piece or "stand" in ref.piece)
    long = [sewn(draft, f"{ref.piece}.{ref.edge}") for draft in (plain, fitted)]
    assert long[1] - long[0] > 12.0


@settings(max_examples=10, deadline=None)
@given(st.sampled_from(women()[::12]), st.sampled_from(METHODS), st.floats(1.0, 12.0))
def test_a_neck_cut_out_is_filled_in_again(woman: tuple[str, Measurements], method: str, amount: float) -> None:
    try:
        pieces = halves(method, Measurements({**BODY, **woman[1]}))
    except DraftError:
        return
    for old, new in zip(pieces, mended(pieces, Ask("thick_neck", amount), Ask("thin_neck", amount)), strict=True):
        assert apart(old, new) < 0.1


def test_a_shoulder_is_left() -> None:
    narrow = Measurements({**BODY, "shoulder_width": 300.0})
    with pytest.raises(DraftError, match=r"\[fitting\] thick_neck: the front shoulder would be .* long\. Make it less"):
        drafted("bodice", narrow, *[Ask("thick_neck", 19.0)] * 2)


def test_what_has_no_neck_is_refused() -> None:
    with pytest.raises(DraftError, match="no front with shoulder and neck and centre"):
        drafted("straight-skirt", BODY, Ask("thick_neck", 6.0))
