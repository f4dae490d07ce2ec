"""Seams let out and taken in: by how much the girth changes, and that both edges still meet."""

from __future__ import annotations

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from fitted import BODY, apart, drafted, faults, piece, sewn
from oaktag.claims.measure import girth_at, level_depth
from oaktag.errors import DraftError
from oaktag.fitting.fitter import Fitter
from oaktag.fitting.seams import let_out, take_in
from oaktag.model.draft import Draft
from oaktag.model.fitted import Ask
from oaktag.values import replace
from trade_rows import rows
from wardrobe import finished, women


def girth(draft: Draft, level: str) -> float:
    """All round at a level, darts closed, mm."""
    pattern = finished(draft)
    return girth_at(pattern, level_depth(pattern, level))


CASES = [
    ("straight-skirt", {}, "hip", "hip"),
    ("straight-skirt", {}, "", "hip"),
    ("gored-skirt", {}, "hip", "hip"),
    ("wrap-skirt", {}, "hip", "hip"),
    ("bodice", {}, "bust", "bust"),
    ("bodice", {"bust_dart": "armhole"}, "bust", "bust"),
    ("dress", {"joined": "one"}, "hip", "hip"),
    ("dress", {"joined": "one"}, "waist", "waist"),
    ("dress", {"skirt": "straight"}, "hip", "hip"),
    ("childs-trousers", {}, "hip", ""),
    ("trousers", {}, "hip", ""),
]


@pytest.mark.parametrize("name, style, at, level", CASES)
@pytest.mark.parametrize("fault, by", [("let_out", 9.0), ("take_in", -9.0)])
def test_the_girth_changes_by_four_times_an_edge(
    name: str, style: dict[str, object], at: str, level: str, fault: str, by: float
) -> None:
    # drafting rules, alterations: girth = 2 e x seams; here of two side seams
    from oaktag.body.charts import shipped
    from oaktag.body.measurements import Measurements

    child = Measurements(shipped("children").body("122"), wearer="child")
    body = child if name.startswith("childs") else BODY
    plain, fitted = drafted(name, body, **style), drafted(name, body, Ask(fault, abs(by), "", "side", at), **style)
    if level:
        assert girth(fitted, level) - girth(plain, level) == pytest.approx(4 * by, abs=0.6)
    if {"front", "back"} <= {each.name for each in plain.pieces} and name != "gored-skirt":
        ease = [sewn(draft, "front.side") - sewn(draft, "back.side") for draft in (plain, fitted)
                if any(edge.name == "side" for edge in piece(draft, "front").edges)]  # fmt: skip
        assert not ease or ease[1] == pytest.approx(ease[0], abs=0.1)
    assert faults(finished(fitted)) == faults(finished(plain))


def test_as_worked() -> None:
    # gw-279: half a centimetre let out at each edge of two side seams is 2 cm of girth
    row = rows()["gw-279"]
    told = dict(pair.split("=") for pair in row["inputs"].split(";"))
    asks = Ask("let_out", float(told["per_edge"]) * 10, "", "side")
    plain, fitted = drafted("straight-skirt", BODY), drafted("straight-skirt", BODY, asks)
    hems = [2 * sewn(draft, "front.hem", "back.hem") for draft in (plain, fitted)]
    assert (hems[1] - hems[0]) / 10 == pytest.approx(float(row["value"]), abs=float(row["tolerance"]))


@pytest.mark.parametrize("name, style", [("straight-skirt", {}), ("straight-skirt", {"waist": "curved band"}),
                                         ("gathered-skirt", {}), ("wrap-skirt", {"waist": "facing"})])  # fmt: skip
def test_band_and_facing_follow_the_waist(name: str, style: dict[str, object]) -> None:
    plain = drafted(name, BODY, **style)
    fitted = drafted(name, BODY, Ask("let_out", 6.0, "", "side", "waist"), **style)
    for half in ("front", "back"):
        assert sewn(fitted, f"{half}.waist") - sewn(plain, f"{half}.waist") == pytest.approx(6.0, abs=0.05)
        assert sewn(fitted, f"{half}.hem") == pytest.approx(sewn(plain, f"{half}.hem"), abs=1e-6)
    if any(each.name == "waistband" for each in plain.pieces) and not name.startswith("gathered"):
        more = sewn(fitted, "waistband.band_seam") - sewn(plain, "waistband.band_seam")
        assert more == pytest.approx(24.0, abs=0.2)
    assert faults(finished(fitted)) == faults(finished(plain))


def test_the_armhole_grows_by_what_is_let_out_at_the_underarm_and_the_sleeve_follows() -> None:
    # drafting rules, alterations: armhole + 2 e per side seam, the cap the same
    def cap(draft: Draft) -> float:
        return sum(e.length() for e in piece(draft, "sleeve").edges if e.name.startswith("cap"))

    plain, fitted = drafted("blouse", BODY), drafted("blouse", BODY, Ask("let_out", 6.0, "", "side", "bust"))
    armholes = [sewn(draft, "front.armhole", "back.armhole") for draft in (plain, fitted)]
    assert armholes[1] - armholes[0] == pytest.approx(12.0, abs=2.0)
    assert cap(fitted) - cap(plain) == pytest.approx(armholes[1] - armholes[0], abs=1.0)
    assert faults(finished(fitted)) == faults(finished(plain))


OTHERS = [
    ("straight-skirt", {}, "centre back", "waist"),
    ("bodice", {}, "centre back", "waist"),
    ("trousers", {}, "centre back", "waist"),
    ("trousers", {}, "inside leg", ""),
    ("leggings", {}, "inside leg", ""),
    ("bodice", {}, "shoulder", ""),
    ("bodice", {"method": "angle"}, "shoulder", ""),
    ("dress", {"skirt": "circle"}, "centre back", "waist"),
    ("gored-skirt", {}, "side", "hem"),
    ("bodice", {"princess": "shoulder"}, "princess", "bust"),
    ("dress", {"princess": "armhole", "joined": "one"}, "princess", ""),
]


@pytest.mark.parametrize("name, style, seam, level", OTHERS)
@pytest.mark.parametrize("fault", ["let_out", "take_in"])
def test_other_seams_still_meet(name: str, style: dict[str, object], seam: str, level: str, fault: str) -> None:
    plain, fitted = drafted(name, BODY, **style), drafted(name, BODY, Ask(fault, 6.0, "", seam, level), **style)
    assert fitted.altered
    assert faults(finished(fitted)) == faults(finished(plain))


def test_the_waist_of_a_dress_is_let_out_above_and_below_its_seam() -> None:
    ask = Ask("let_out", 6.0, "", "side", "waist")
    plain, fitted = drafted("dress", BODY, skirt="straight"), drafted("dress", BODY, ask, skirt="straight")
    for half in ("front", "back"):
        assert sewn(fitted, f"{half}.waist") - sewn(plain, f"{half}.waist") == pytest.approx(6.0, abs=0.05)
        assert sewn(fitted, f"skirt_{half}.waist") == pytest.approx(sewn(fitted, f"{half}.waist"), abs=0.1)


def test_a_centre_on_the_fold_has_no_seam_to_let_out() -> None:
    with pytest.raises(DraftError, match="on the fold"):
        drafted("wrap-skirt", BODY, Ask("take_in", 6.0, "", "centre back", "waist"))


def test_a_level_that_the_seam_does_not_pass_is_refused() -> None:
    with pytest.raises(DraftError, match="does not pass the bust"):
        drafted("straight-skirt", BODY, Ask("let_out", 6.0, "", "side", "bust"))


@settings(max_examples=6, deadline=None, phases=[Phase.generate])
@given(at=st.integers(0, len(women()) - 1), by=st.floats(1.0, 12.0), level=st.sampled_from(["waist", "hip", "hem", ""]))
def test_what_is_let_out_can_be_taken_in_again(at: int, by: float, level: str) -> None:
    plain = drafted("straight-skirt", women()[at][1])
    on = Fitter(plain.pieces, "cm")
    let_out(on, Ask("let_out", by, "", "side", level))
    take_in(on, Ask("take_in", by, "", "side", level))
    assert apart(plain, replace(plain, pieces=on.pieces)) < 0.25
