"""Faults of the shoulders, mended: slope, seam forward, length. Amounts and what stays: alterations of the trade."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from by_the_tape import number, worked
from fitted import BODY, drafted, faults, piece, sewn
from halves import blocks, fit, off, plain_half, sharpest
from halves import sewn as length
from oaktag.errors import DraftError
from oaktag.geometry.path import place_at
from oaktag.geometry.point import Point
from oaktag.model.fitted import Ask
from oaktag.model.piece import Piece
from wardrobe import finished, women

SLEEVED = ("dress", {"sleeve_kind": "plain"})
GARMENTS = [
    ("bodice", {}), ("bodice", {"method": "close"}), ("bodice", {"method": "angle"}), SLEEVED, ("shirt", {}),
    ("blouse", {}),
]  # fmt: skip
METHODS = ("quarter", "close", "angle")
WOMEN = [body for _, body in women()[::25]]


def slope(half: Piece) -> float:
    a, b = half.edge("shoulder").end, half.edge("shoulder").start
    return math.degrees(math.atan2(a.y - b.y, b.x - a.x))


def sloping(deg: float, long: float) -> tuple[Piece, Piece]:
    """Two halves whose shoulders slope by that and are so long, mm."""
    tip = Point(70.0 + long * math.cos(math.radians(deg)), -long * math.sin(math.radians(deg)))
    return plain_half("front", tip), plain_half("back", tip)


# ---------------------------------------------------------------- slope


def test_a_shoulder_that_is_raised_slopes_as_the_worked_row_says() -> None:
    row = worked()["gw-278"]
    h = number(row, "raise_") * 10
    fitted = fit(sloping(number(row, "angle"), number(row, "length") * 10), Ask("square_shoulder", h))
    for half in fitted:
        assert slope(half) == pytest.approx(float(row["value"]), abs=float(row["tolerance"]))


@pytest.mark.parametrize(("fault", "up", "out"), [("square_shoulder", 10.0, 3.6), ("sloping_shoulder", -10.0, -4.6)])
def test_the_tip_goes_out_or_in_so_that_the_shoulder_is_as_long(fault: str, up: float, out: float) -> None:
    # alterations, square shoulder: 0.36 outwards for 1; rules proved, 8: 0.46 inwards where it is lowered
    before, after = sloping(22.0, 125.0), fit(sloping(22.0, 125.0), Ask(fault, 10.0))
    for old, new in zip(before, after, strict=True):
        a, b = old.edge("shoulder").start, new.edge("shoulder").start
        assert b.x - a.x == pytest.approx(out, abs=0.05)
        assert b.y - a.y == pytest.approx(up, abs=0.001)
        assert new.edge("shoulder").end == old.edge("shoulder").end
        assert length(new, "shoulder") == pytest.approx(length(old, "shoulder"), abs=0.001)
        assert length(new, "armhole") == pytest.approx(length(old, "armhole"), abs=0.001)
        assert new.edge("armhole").start.y - old.edge("armhole").start.y == pytest.approx(up, abs=0.001)


@pytest.mark.parametrize(("name", "style"), GARMENTS)
@pytest.mark.parametrize(("fault", "up"), [("square_shoulder", 10.0), ("sloping_shoulder", -10.0)])
def test_a_slope_is_mended_and_nothing_else_changes(name: str, style: dict[str, object], fault: str, up: float) -> None:
    plain, fitted = drafted(name, BODY, **style), drafted(name, BODY, Ask(fault, abs(up)), **style)
    assert faults(finished(fitted)) == faults(finished(plain))
    edges = {edge.name: edge for edge in fitted.altered[0].edges}
    assert not [edge for edge in edges if edge.split(".")[1] not in ("side",)]  # armhole, shoulder, neck, waist stay
    for edge in edges.values():
        assert edge.after - edge.before == pytest.approx(up, abs=0.25)  # the side leans a little: common practice


@pytest.mark.parametrize("method", METHODS)
@pytest.mark.parametrize("fault", ["square_shoulder", "sloping_shoulder", "forward_shoulder", "broad_shoulder",
                                   "narrow_shoulder"])  # fmt: skip
def test_armholes_stay_smooth(method: str, fault: str) -> None:
    before = blocks(method, BODY)
    for old, new in zip(before, fit(before, Ask(fault, 8.0)), strict=True):
        # chords of 3 mm: a curve of the radius of an armhole, 60 mm, turns by 3 degrees from one to the next
        assert sharpest(new, "armhole") < sharpest(old, "armhole") + 3.0


@given(st.sampled_from(WOMEN), st.sampled_from(["quarter", "angle"]), st.floats(2.0, 12.0))
@settings(max_examples=8, deadline=None)
def test_raised_and_lowered_again_it_is_as_it_was(body: object, method: str, h: float) -> None:
    before = blocks(method, body)  # type: ignore[arg-type]
    assert off(before, fit(before, Ask("square_shoulder", h), Ask("sloping_shoulder", h))) < 0.1
    assert off(before, fit(before, Ask("broad_shoulder", h / 2), Ask("narrow_shoulder", h / 2))) < 0.1


def test_an_underarm_is_not_lowered_into_the_bust_dart() -> None:
    with pytest.raises(DraftError, match=r"sloping_shoulder: the underarm .* can be lowered by .* at most"):
        drafted("bodice", BODY, Ask("sloping_shoulder", 25.0))


def test_a_slope_that_no_shoulder_has_is_told() -> None:
    # alterations, slope angle: 12 to 30 degrees
    front, back = fit(sloping(14.0, 125.0), Ask("square_shoulder", 12.0))
    assert [note for note in front.notes if "slopes by 8°" in note]
    assert not fit(sloping(20.0, 125.0), Ask("square_shoulder", 5.0))[1].notes
    assert back.notes


def test_without_shoulders_it_is_refused() -> None:
    with pytest.raises(DraftError, match="there is no front with neck and shoulder"):
        drafted("straight-skirt", BODY, Ask("square_shoulder", 10.0))


# ---------------------------------------------------------------- forward


@pytest.mark.parametrize(("name", "style"), GARMENTS)
def test_a_shoulder_seam_goes_forward(name: str, style: dict[str, object]) -> None:
    # alterations, forward shoulder: off the front at the tip, on to the back; armhole and shoulder as they were
    plain, fitted = drafted(name, BODY, **style), drafted(name, BODY, Ask("forward_shoulder", 10.0), **style)
    assert faults(finished(fitted)) == faults(finished(plain))
    by = {edge.name.split("_")[-1]: edge.after - edge.before for edge in fitted.altered[0].edges}
    assert by == {"front.armhole": pytest.approx(-10.0, abs=0.01), "back.armhole": pytest.approx(10.0, abs=0.01)}


@pytest.mark.parametrize(("name", "style"), [SLEEVED, ("shirt", {})])
def test_the_notch_at_the_top_of_the_sleeve_goes_along(name: str, style: dict[str, object]) -> None:
    # alterations, forward shoulder: the notch of the cap moves forward by as much
    plain, fitted = drafted(name, BODY, **style), drafted(name, BODY, Ask("forward_shoulder", 10.0), **style)
    at = [next(n.at for n in piece(d, "sleeve").notches if n.name == "shoulder") for d in (plain, fitted)]
    assert at[1] - at[0] == pytest.approx(-10.0, abs=0.1)
    assert sewn(fitted, "sleeve.cap") == pytest.approx(sewn(plain, "sleeve.cap"), abs=0.05)


# ---------------------------------------------------------------- length


@pytest.mark.parametrize(("name", "style"), GARMENTS)
@pytest.mark.parametrize(("fault", "by"), [("broad_shoulder", 8.0), ("narrow_shoulder", -8.0)])
def test_a_shoulder_is_longer_or_shorter_by_what_was_pinned(
    name: str, style: dict[str, object], fault: str, by: float
) -> None:
    plain, fitted = drafted(name, BODY, **style), drafted(name, BODY, Ask(fault, 8.0), **style)
    assert faults(finished(fitted)) == faults(finished(plain))
    changed = {edge.name.split("_")[-1]: edge.after - edge.before for edge in fitted.altered[0].edges}
    assert changed == {f"{half}.shoulder": pytest.approx(by, abs=0.01) for half in ("front", "back")}


def test_below_its_hinge_an_armhole_stays_where_it_was() -> None:
    # alterations, narrow or broad shoulder: a point about 3 in (7.5 cm) down the armhole; smoothed over 4.5 cm more
    before = blocks("quarter", BODY)
    for old, new in zip(before, fit(before, Ask("broad_shoulder", 10.0)), strict=True):
        paths = [half.edge("armhole").curves for half in (old, new)]
        for up in range(0, int(length(old, "armhole")) - 121, 10):
            a, b = (place_at(path, up)[0] for path in paths)
            assert (b.x, b.y) == pytest.approx((a.x, a.y), abs=0.01)
        a, b = (place_at(path, length(old, "armhole") - 60.0)[0] for path in paths)
        assert b.x > a.x + 1.0
