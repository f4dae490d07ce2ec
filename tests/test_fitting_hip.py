"""Large and flat seat, a high hip: what is raised or lowered, and what stays."""

from __future__ import annotations

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from fitted import BODY, apart, drafted, faults, piece, sewn
from oaktag.body.charts import shipped
from oaktag.body.measurements import Measurements
from oaktag.errors import DraftError
from oaktag.fitting.around import walk
from oaktag.fitting.fitter import Fitter
from oaktag.fitting.hip import flat_seat, high_hip, large_seat
from oaktag.model.fitted import Ask
from oaktag.model.piece import Piece
from oaktag.values import replace
from wardrobe import finished, women

CHILD = Measurements(shipped("children").body("122"), wearer="child")
SEATS = [("straight-skirt", {}), ("straight-skirt", {"form": "A-line", "waist": "facing"}), ("gored-skirt", {}),
         ("wrap-skirt", {}), ("dress", {"skirt": "straight"}), ("trousers", {}), ("childs-trousers", {}),
         ("leggings", {})]  # fmt: skip


def back_of(name: str) -> str:
    return {"dress": "skirt_back", "leggings": "leg"}.get(name, "back")


def centre_of(each: Piece) -> str:
    """The edge at the centre back."""
    return next(name for name in each.beside("waist") if name in ("centre_back", "crotch", "crotch_back"))


@pytest.mark.parametrize("fault, by", [("large_seat", 16.0), ("flat_seat", -12.0)])
@pytest.mark.parametrize("name, style", SEATS)
def test_a_seat(name: str, style: dict[str, object], fault: str, by: float) -> None:
    # drafting rules, alterations: centre back raised, or lowered, to nothing at the side; darts longer and larger, or
    # the reverse; side seam and the sum of the waist stay
    body = CHILD if name.startswith("childs") else BODY
    plain, fitted = drafted(name, body, **style), drafted(name, body, Ask(fault, abs(by)), **style)
    old, new = piece(plain, back_of(name)), piece(fitted, back_of(name))
    centre = centre_of(old)
    assert new.edge(centre).length() - old.edge(centre).length() == pytest.approx(by, abs=0.1)
    assert new.edge("waist").sewn_length() == pytest.approx(old.edge("waist").sewn_length(), abs=0.1)
    if any(edge.name == "side" for edge in old.edges):
        assert new.edge("side").length() == pytest.approx(old.edge("side").length(), abs=0.1)
    opened = [(was, now) for was, now in zip(old.darts, new.darts, strict=True) if was.is_open]
    for was, now in opened:
        assert (now.intake - was.intake) * by > 0
        assert (now.legs()[0][0] - was.legs()[0][0]) * by > 0
        assert abs(now.legs()[0][0] - now.legs()[0][1]) < 0.1
    assert faults(finished(fitted)) == faults(finished(plain))


def test_darts_take_in_the_width_up_to_four_centimetres() -> None:
    # drafting rules, alterations: dart intake over 4 cm is not sewn in one
    for style, least in (({}, 7.9), ({"waist_darts": 1}, 0.0)):
        plain = drafted("straight-skirt", BODY, **style)
        fitted = drafted("straight-skirt", BODY, Ask("large_seat", 16.0), **style)
        more = sum(dart.intake for dart in piece(fitted, "back").darts) - sum(
            dart.intake for dart in piece(plain, "back").darts
        )
        assert least <= more <= 8.1
        assert max(dart.intake for dart in piece(fitted, "back").darts) < 40.5


HIPS = [("straight-skirt", {}), ("gored-skirt", {"gores": 7, "closes_at": "back"}), ("wrap-skirt", {}),
        ("trousers", {"pocket_kind": "none"})]  # fmt: skip


@pytest.mark.parametrize("name, style", HIPS)
def test_a_high_hip(name: str, style: dict[str, object]) -> None:
    # drafting rules, alterations: top of that side raised, 0 at the centres; hem level; front side as back side
    plain = drafted(name, BODY, **style)
    on = Fitter(plain.pieces, "cm")
    high_hip(on, Ask("high_hip", 14.0, "left"))
    for old, new in zip(plain.pieces, on.pieces, strict=True):
        if old.worn and any(edge.name == "waist" for edge in old.edges) and old.name != "waistband":
            assert new.edge("waist").sewn_length() == pytest.approx(old.edge("waist").sewn_length(), abs=0.1)
            for edge in ("centre_front", "centre_back", "crotch", "fly", "hem", "wrap_edge"):
                if any(each.name == edge for each in old.edges):
                    assert new.edge(edge).length() == pytest.approx(old.edge(edge).length(), abs=0.05), edge
            if any(each.name == "side" for each in old.edges):
                assert new.edge("side").length() - old.edge("side").length() == pytest.approx(14.0, abs=0.1)
    way = walk(on)
    for before, after in zip(way.tops, way.tops[1:], strict=False):
        a, b = (on.pieces[top.number].edge(before.far).length() for top in (before, after))
        was = [plain.pieces[top.number].edge(before.far).length() for top in (before, after)]
        assert a - b == pytest.approx(was[0] - was[1], abs=0.1)


@pytest.mark.parametrize("name, style", [("straight-skirt", {}), ("wrap-skirt", {}), ("circle-skirt", {})])
def test_one_side_is_higher_and_fits_together(name: str, style: dict[str, object]) -> None:
    plain, fitted = drafted(name, BODY, **style), drafted(name, BODY, Ask("high_hip", 14.0, "left"), **style)
    assert faults(finished(fitted)) == faults(finished(plain))


def test_the_hip_curve_goes_up_with_it() -> None:
    plain = drafted("straight-skirt", BODY)
    on = Fitter(plain.pieces, "cm")
    high_hip(on, Ask("high_hip", 14.0, "left"))
    for role in ("front", "back"):
        hip = on.piece(role).points["hip_side"].y - piece(plain, role).points["hip_side"].y
        assert hip == pytest.approx(14.0, abs=0.1)


def test_a_dress_in_one_is_longer_at_that_side() -> None:
    plain = drafted("dress", BODY, joined="one")
    on = Fitter(plain.pieces, "cm")
    high_hip(on, Ask("high_hip", 14.0, "left"))
    for role in ("front", "back"):
        was, now = piece(plain, role), on.piece(role)
        assert now.edge("side").length() - was.edge("side").length() == pytest.approx(14.0, abs=0.3)
    front, back = (on.piece(role).edge("side").sewn_length() for role in ("front", "back"))
    assert front - back == pytest.approx(sewn(plain, "front.side") - sewn(plain, "back.side"), abs=0.3)


def test_a_high_hip_is_of_one_side() -> None:
    with pytest.raises(DraftError, match=r"of one side.*left"):
        drafted("straight-skirt", BODY, Ask("high_hip", 10.0))


@settings(max_examples=4, deadline=None, phases=[Phase.generate])
@given(at=st.integers(0, len(women()) - 1), by=st.floats(2.0, 10.0))
def test_a_flat_seat_undoes_a_large_one(at: int, by: float) -> None:
    plain = drafted("straight-skirt", women()[at][1])
    on = Fitter(plain.pieces, "cm")
    large_seat(on, Ask("large_seat", by))
    flat_seat(on, Ask("flat_seat", by))
    for old, new in zip(plain.pieces, on.pieces, strict=True):
        assert all(abs(a.sewn_length() - b.sewn_length()) < 0.1 for a, b in zip(old.edges, new.edges, strict=True))
    assert apart(plain, replace(plain, pieces=on.pieces)) < 0.3  # the waist is trued over the darts, each time
