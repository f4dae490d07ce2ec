"""The crotch of trousers: deeper, longer, and pull-on ones looser."""

from __future__ import annotations

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from fitted import BODY, apart, drafted, faults, piece, sewn
from oaktag.body.charts import shipped
from oaktag.body.measurements import Measurements
from oaktag.errors import DraftError
from oaktag.fitting.crotch import crotch_depth, crotch_length
from oaktag.fitting.fitter import Fitter
from oaktag.geometry.point import distance, turn_deg
from oaktag.model.draft import Draft
from oaktag.model.fitted import Ask
from oaktag.values import replace
from wardrobe import finished, women

CHILD = Measurements(shipped("children").body("122"), wearer="child")
MAN = Measurements(shipped("men").body(shipped("men").sizes[3]), wearer="man")
LEGS = [
    ("trousers", BODY, {}),
    ("trousers", BODY, {"closure": "elastic", "draft": "easy"}),
    ("trousers", MAN, {"leg_shape": "tapered"}),
    ("childs-trousers", CHILD, {}),
    ("childs-trousers", CHILD, {"leg_kind": "shorts", "turn_up": 25.4}),
    ("leggings", BODY, {}),
    ("sokoto", MAN, {}),
    ("salwar", BODY, {}),
    ("salwar", BODY, {"form": "Patiala"}),
]


def inseams(draft: Draft) -> dict[str, float]:
    return {f"{p.name}.{e.name}": e.length() for p in draft.pieces for e in p.edges if e.name.startswith("inseam")}


def crotches(draft: Draft) -> float:
    """Front and back together, a fly with them; of a piece that is both, once."""
    return sum(e.length() for p in draft.pieces for e in p.edges if p.worn == "leg"
               and (e.name.startswith("crotch") or e.name == "fly"))  # fmt: skip


@pytest.mark.parametrize("by", [16.0, -12.0])
@pytest.mark.parametrize("name, body, style", LEGS)
def test_the_crotch_is_deeper(name: str, body: Measurements, style: dict[str, object], by: float) -> None:
    # drafting rules, alterations: parallel on the rise line, front as back; inseam none
    plain, fitted = drafted(name, body, **style), drafted(name, body, Ask("crotch_depth", by), **style)
    assert inseams(fitted) == pytest.approx(inseams(plain), abs=0.01)
    for half in ("front", "back"):
        for draft in (plain, fitted):
            if not any(each.name == half for each in draft.pieces):
                return
        assert sewn(fitted, f"{half}.waist") == pytest.approx(sewn(plain, f"{half}.waist"), abs=0.05)
    assert faults(finished(fitted)) == faults(finished(plain))


def test_both_sides_are_longer_by_it() -> None:
    for name, body in (("childs-trousers", CHILD), ("sokoto", MAN)):
        style = {"pocket_kind": "none"}
        plain, fitted = drafted(name, body, **style), drafted(name, body, Ask("crotch_depth", 16.0), **style)
        for half in ("front", "back"):
            assert sewn(fitted, f"{half}.side") - sewn(plain, f"{half}.side") == pytest.approx(16.0, abs=0.05)


def test_the_seam_grows_with_the_depth_as_proved() -> None:
    # worked rules 1.1: per cm of depth the crotch seam grows by 1.76 where the whole draft is redrawn; spread above the
    # curve it grows by as much as each straight run does, which is more
    plain, fitted = drafted("trousers", BODY), drafted("trousers", BODY, Ask("crotch_depth", 10.0))
    assert 17.6 <= crotches(fitted) - crotches(plain) <= 20.0


@pytest.mark.parametrize("fault", ["crotch_length", "crotch_length_back", "crotch_length_front"])
@pytest.mark.parametrize("by", [12.0, -8.0])
@pytest.mark.parametrize("name, body, style", LEGS[:7])
def test_the_crotch_is_longer(name: str, body: Measurements, style: dict[str, object], by: float, fault: str) -> None:
    # drafting rules, alterations: fork points out, inseams as before, front and back apart
    plain, fitted = drafted(name, body, **style), drafted(name, body, Ask(fault, by), **style)
    assert (crotches(fitted) - crotches(plain)) * by > 0
    assert inseams(fitted) == pytest.approx(inseams(plain), abs=0.01)
    assert faults(finished(fitted)) == faults(finished(plain))


def test_the_back_fork_further_out_does_what_the_draft_does() -> None:
    # worked rules 1.1: + 1 at the back fork is + 0.62 of the seam as it was drawn, and what levels the inseams comes on
    # top: the draft with its own fork 1 cm further out is the outside judge
    plain, drawn = (drafted("trousers", BODY, fork_out=out, crotch_low=20.0) for out in (20.0, 30.0))
    fitted = drafted("trousers", BODY, Ask("crotch_length_back", 10.0), fork_out=20.0, crotch_low=20.0)
    own, told = (sewn(draft, "back.crotch") - sewn(plain, "back.crotch") for draft in (fitted, drawn))
    assert own == pytest.approx(told, abs=0.2)
    assert own == pytest.approx(6.2, abs=1.0)
    fork, other = (piece(draft, "back").points["fork"] for draft in (fitted, drawn))
    assert distance(fork, other) < 0.1


def test_under_the_fork_the_seam_runs_on_as_it_did() -> None:
    def corner(draft: Draft, half: str) -> float:
        crotch, inside = (piece(draft, half).edge(name) for name in ("crotch", "inseam"))
        return turn_deg(crotch.curves[-1].way(1.0), inside.curves[0].way(0.0))

    plain, fitted = drafted("trousers", BODY), drafted("trousers", BODY, Ask("crotch_length", 15.0))
    for half in ("front", "back"):
        assert corner(fitted, half) == pytest.approx(corner(plain, half), abs=0.01)


@pytest.mark.parametrize("name, body, style", [LEGS[1], LEGS[3], LEGS[6]])
def test_pull_on_trousers_are_looser(name: str, body: Measurements, style: dict[str, object]) -> None:
    # drafting rules, alterations: side seams out 1/2 in each: girth + 2 in; the band follows
    plain, fitted = drafted(name, body, **style), drafted(name, body, Ask("tight_pull_on", 12.7), **style)
    waists = [2 * sewn(draft, "front.waist", "back.waist") for draft in (plain, fitted)]
    if style.get("closure") == "elastic":  # pockets cut the front's waist short, not the band
        waists = [sewn(draft, "waistband.band_seam") for draft in (plain, fitted)]
    assert waists[1] - waists[0] == pytest.approx(50.8, abs=0.1)
    assert inseams(fitted) == pytest.approx(inseams(plain), abs=1e-6)
    assert faults(finished(fitted)) == faults(finished(plain))


def test_trousers_that_open_are_not_pulled_on() -> None:
    with pytest.raises(DraftError, match="use let_out"):
        drafted("trousers", BODY, Ask("tight_pull_on", 12.7))
    with pytest.raises(DraftError, match="no side seam of trousers"):
        drafted("leggings", BODY, Ask("tight_pull_on", 12.7))


def test_what_is_not_there_is_refused() -> None:
    with pytest.raises(DraftError, match="no crotch"):
        drafted("straight-skirt", BODY, Ask("crotch_depth", 12.0))
    with pytest.raises(DraftError, match="no back crotch"):
        drafted("salwar", BODY, Ask("crotch_length_back", 12.0))


@settings(max_examples=5, deadline=None, phases=[Phase.generate])
@given(at=st.integers(0, len(women()) - 1), by=st.floats(2.0, 12.0))
def test_there_and_back(at: int, by: float) -> None:
    plain = drafted("trousers", women()[at][1], closure="elastic", pocket_kind="none")
    for way, fault in ((crotch_depth, "crotch_depth"), (crotch_length, "crotch_length")):
        on = Fitter(plain.pieces, "cm")
        way(on, Ask(fault, by))
        way(on, Ask(fault, -by))
        assert apart(plain, replace(plain, pieces=on.pieces)) < 0.1, fault
