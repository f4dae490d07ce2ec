"""Faults of lengths, mended: waist, hem and sleeve, longer and shorter."""

from __future__ import annotations

from collections.abc import Mapping
from math import pi

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fitted import BODY, drafted, faults, piece, sewn
from oaktag.body.measurements import Measurements
from oaktag.errors import DraftError
from oaktag.model.fitted import Ask
from oaktag.model.piece import EdgeKind
from test_fitting_bust import METHODS, apart, halves, mended
from wardrobe import finished, women

Style = Mapping[str, object]
WITH_WAIST: list[tuple[str, Style]] = [
    *(("bodice", {"method": method}) for method in METHODS),
    ("bodice", {"method": "close", "princess": "armhole"}),
    ("blouse", {"method": "angle", "collar_kind": "mandarin"}),
    ("dress", {"method": "close", "joined": "one"}),
    ("dress", {"joined": "lowered"}),
    ("sheath-dress", {"waist_seam": True}),
]
WITH_HEM: list[tuple[str, Style]] = [
    ("straight-skirt", {}),
    ("straight-skirt", {"form": "pegged", "opening": "slit"}),
    ("straight-skirt", {"form": "A-line", "lining": True}),
    ("blouse", {}),
    ("dress", {"joined": "one"}),
    ("dress", {"skirt": "straight"}),
    ("trousers", {}),
    ("sheath-dress", {}),
    ("circle-skirt", {}),
    ("gored-skirt", {}),
    ("gathered-skirt", {}),
    ("wrap-skirt", {}),
    ("dress", {"skirt": "pleated"}),
    ("t-shirt", {}),
    ("leggings", {}),
]


@pytest.mark.parametrize(("name", "style"), WITH_WAIST)
@pytest.mark.parametrize(("fault", "amount"), [("long_waist", 20.0), ("short_waist", 12.0)])
def test_a_waist_is_lowered_or_raised_front_and_back_alike(name: str, style: Style, fault: str, amount: float) -> None:
    plain, fitted = drafted(name, BODY, **style), drafted(name, BODY, Ask(fault, amount), **style)
    assert faults(finished(fitted)) == faults(finished(plain))
    assert [row.ask.fault for row in fitted.altered] == [fault]


@pytest.mark.parametrize("method", METHODS)
def test_centres_and_sides_are_longer_by_what_was_measured(method: str) -> None:
    # alterations of the trade: parallel on the lengthen line, front and back alike
    old, new = halves(method), mended(halves(method), Ask("long_waist", 20.0))
    for half, made in zip(old, new, strict=True):
        centre = next(edge.name for edge in half.edges if edge.name.startswith("centre"))
        assert made.edge(centre).length() - half.edge(centre).length() == pytest.approx(20.0, abs=0.1)
        for name in ("armhole", "shoulder", "neck", "waist"):
            assert made.edge(name).sewn_length() == pytest.approx(half.edge(name).sewn_length(), abs=0.05), name
        for dart in half.darts:
            if not dart.name.startswith("waist"):
                assert dart in made.darts
            else:
                assert next(d for d in made.darts if d.name == dart.name).intake == pytest.approx(dart.intake, abs=0.01)
    sides = [half.edge("side").sewn_length() for half in new]
    assert sides[0] == pytest.approx(sides[1], abs=0.3)


@settings(max_examples=8, deadline=None)
@given(st.sampled_from(women()[::12]), st.sampled_from(METHODS), st.floats(3.0, 40.0))
def test_a_longer_waist_is_shortened_again(woman: tuple[str, Measurements], method: str, amount: float) -> None:
    try:
        pieces = halves(method, Measurements({**BODY, **woman[1]}))
    except DraftError:
        return
    again = mended(pieces, Ask("long_waist", amount), Ask("short_waist", amount))
    for old, new in zip(pieces, again, strict=True):
        assert apart(old, new) < 0.1


def test_a_waist_without_room_is_refused() -> None:
    with pytest.raises(DraftError, match=r"short_waist: the front has .* cm of plain length there\. Make it .* less"):
        mended(halves("angle"), *[Ask("short_waist", 76.0)] * 3)


@pytest.mark.parametrize(("name", "style"), WITH_HEM)
@pytest.mark.parametrize(("fault", "amount"), [("longer", 25.0), ("shorter", 20.0)])
def test_a_hem_is_lowered_or_raised(name: str, style: Style, fault: str, amount: float) -> None:
    plain, fitted = drafted(name, BODY, **style), drafted(name, BODY, Ask(fault, amount), **style)
    assert faults(finished(fitted)) == faults(finished(plain))
    by = amount if fault == "longer" else -amount
    for old, new in zip(plain.pieces, fitted.pieces, strict=True):
        if old.worn in ("body", "leg") and any(edge.name == "hem" and edge.kind is EdgeKind.HEM for edge in old.edges):
            more = [new.edge(edge).length() - old.edge(edge).length() for edge in old.beside("hem")]
            assert max(more, key=abs) == pytest.approx(by, abs=0.4), old.name  # a side that leans is led along
            assert all(abs(each) < 0.01 or each == pytest.approx(by, abs=0.4) for each in more), old.name  # or a vent


def test_a_circle_goes_on_in_its_circle() -> None:
    # a quarter circle panel: its hem is longer by pi / 2 of what the radius is
    plain, fitted = (drafted("circle-skirt", BODY, *asks, circle_part="full") for asks in ((), (Ask("longer", 40.0),)))
    around = [piece(draft, "front").to_cut.around * sewn(draft, "front.hem")
              + piece(draft, "back").to_cut.around * sewn(draft, "back.hem") for draft in (plain, fitted)]  # fmt: skip
    assert around[1] - around[0] == pytest.approx(2 * pi * 40.0, abs=0.5)
    again = mended(fitted.pieces, Ask("shorter", 40.0))
    for old, new in zip(plain.pieces, again, strict=True):
        assert apart(old, new) < 0.05


def test_a_vent_and_its_hem_stay_as_they_are() -> None:
    plain, fitted = drafted("straight-skirt", BODY), drafted("straight-skirt", BODY, Ask("longer", 40.0))
    for edge in ("back.vent_edge", "back.vent_top", "back.hem", "front.hem", "back.waist"):
        assert sewn(fitted, edge) == pytest.approx(sewn(plain, edge), abs=0.01), edge
    assert sewn(fitted, "back.centre_back") - sewn(plain, "back.centre_back") == pytest.approx(40.0, abs=0.01)


def test_a_skirt_below_a_lowered_join_is_lengthened_once() -> None:
    plain, fitted = (drafted("dress", BODY, *asks, joined="lowered", skirt="straight") for asks in
                     ((), (Ask("longer", 30.0),)))  # fmt: skip
    assert sewn(fitted, "front.side") == pytest.approx(sewn(plain, "front.side"), abs=0.01)
    assert sewn(fitted, "skirt_front.side") - sewn(plain, "skirt_front.side") == pytest.approx(30.0, abs=0.1)


def test_what_ends_at_a_waist_seam_has_no_hem() -> None:
    with pytest.raises(DraftError, match="no piece with a hem"):
        drafted("bodice", BODY, Ask("longer", 20.0))


@pytest.mark.parametrize(("name", "style"), [("blouse", {"reach": "long"}), ("shirt", {}), ("t-shirt", {}),
                                            ("sheath-dress", {"sleeve": "long"})])  # fmt: skip
@pytest.mark.parametrize(("fault", "by"), [("longer_sleeve", 15.0), ("shorter_sleeve", -15.0)])
def test_a_sleeve_is_lengthened_and_its_cap_stays(name: str, style: Style, fault: str, by: float) -> None:
    plain, fitted = drafted(name, BODY, **style), drafted(name, BODY, Ask(fault, 15.0), **style)
    assert faults(finished(fitted)) == faults(finished(plain))
    assert sewn(fitted, "sleeve.cap") == pytest.approx(sewn(plain, "sleeve.cap"), abs=0.01)
    low = [min(edge.start.y for edge in piece(draft, "sleeve").edges) for draft in (plain, fitted)]
    assert low[1] - low[0] == pytest.approx(-by, abs=0.1)
