"""Salwar: three dressmakers' numbers, row by row; belt, crotch and hem on women of the survey."""

from __future__ import annotations

import pytest

from by_the_tape import drafted, nodes, number, people, piece, worked
from oaktag.body.charts import shipped
from oaktag.body.measurements import Measurements
from oaktag.checks.run import check, standing_errors
from oaktag.errors import DraftError
from oaktag.garments.salwar import BY_HIP, PATIALA, PLAIN, salwar
from oaktag.geometry.path import path_length
from oaktag.model.draft import Draft
from oaktag.units import INCH
from wardrobe import finished, found

CUTS = (PLAIN, PATIALA, BY_HIP)


def _body(seat: float, full: float = 39.0) -> Measurements:
    """With that seat and full length to the ankle, in inches."""
    chart = shipped("women").body("12")
    return Measurements({**chart, "hip_girth": seat * INCH, "waist_height": full * INCH + 70.0, "ankle_height": 70.0,
                         "ankle_girth": 8.5 * INCH})  # fmt: skip


def _long(draft: Draft, of: str) -> float:
    """An edge as drawn, in inches."""
    name, edge = of.split(".")
    return path_length(next(e for e in piece(draft, name).edges if e.name == edge).curves) / INCH


ROWS = (
    ("gw-234", PLAIN, {}, lambda d: 2 * _long(d, "waist_piece.leg_edge")),
    ("gw-236", PLAIN, {"full": "full"}, lambda d: -piece(d, "leg").points["hem_side"].y / INCH),
    ("gw-237", PLAIN, {}, lambda d: _long(d, "leg.waist_edge")),
    ("gw-238", PLAIN, {}, lambda d: piece(d, "leg").points["hem_in"].x / INCH),
    ("gw-235", PLAIN, {}, lambda d: -piece(d, "leg").points["fork"].y / INCH),
    ("gw-241", PATIALA, {}, lambda d: 2 * _long(d, "belt.leg_edge")),
    ("gw-242", PATIALA, {}, lambda d: _long(d, "belt.centre_seam")),
    ("gw-243", PATIALA, {"full": "full"}, lambda d: -piece(d, "panel").points["hem_side"].y / INCH),
    ("gw-244", PATIALA, {}, lambda d: piece(d, "panel").points["hem_in"].x / INCH),
    ("gw-245", PATIALA, {}, lambda d: _long(d, "kali.crotch")),
    ("gw-246", BY_HIP, {"full": "length"}, lambda d: -piece(d, "panel").points["hem_side"].y / INCH),
    ("gw-248", BY_HIP, {}, lambda d: _long(d, "kali.waist_edge")),
    ("gw-249", BY_HIP, {}, lambda d: 2 * _long(d, "belt.leg_edge")),
)


@pytest.mark.parametrize(("name", "cut", "full", "measured"), ROWS, ids=[row[0] for row in ROWS])
def test_the_worked_numbers(name: str, cut: str, full: dict[str, str], measured: object) -> None:
    row = worked()[name]
    inputs = dict(entry.split("=") for entry in row["inputs"].split(";"))
    seat = float(inputs.get("seat") or inputs.get("hip") or 36)
    long = number(row, full["full"]) if full else 39.0
    style: dict[str, object] = {"form": cut, "hem_round": float(inputs.get("bottom") or inputs.get("leg") or 14)}
    if "cloth" in inputs:
        style["cloth_wide"] = float(inputs["cloth"])
    draft = drafted(salwar, _body(seat, long), "in", **style)
    assert measured(draft) == pytest.approx(float(row["value"]), abs=float(row["tolerance"]))  # type: ignore[operator]


def test_the_crotch_depth_of_both_patiala_cuts() -> None:
    """gw-240: seat ÷ 4 + 4 (the short side has 1 in more, to be sewn); gw-247: hip ÷ 3 + 4, a belt of 8 in it."""
    for name, cut, more, of in (("gw-240", PATIALA, 1.0, "seat"), ("gw-247", BY_HIP, 0.0, "hip")):
        row = worked()[name]
        draft = drafted(salwar, _body(number(row, of)), "in", form=cut)
        deep = _long(draft, "belt.centre_seam") + _long(draft, "kali.crotch")
        assert deep - more == pytest.approx(float(row["value"]), abs=0.02)


@pytest.mark.parametrize("cut", CUTS)
def test_on_women_of_the_survey(cut: str) -> None:
    """The ring passes the seat by 7.6 to 20 cm and the crotch lies 2 cm or more below the seat (worked rules 7)."""
    ways = set()
    for whom, body in list(people("women_1988_60.csv").items())[::3]:
        draft = drafted(salwar, body, form=cut)
        ways.add(nodes(draft))
        ring = 4 * INCH * _long(draft, "waist_piece.leg_edge" if cut == PLAIN else "belt.leg_edge")
        assert 76.0 <= ring - body["hip_girth"] <= 204.0, whom
        pattern = finished(draft, "cm")
        assert not standing_errors(check(pattern)), whom
        assert found(pattern, "run.crotch depth").passed, whom
    assert len(ways) == 1


def test_too_short_a_leg_is_refused() -> None:
    with pytest.raises(DraftError, match=r"its crotch lies .* Change long to"):
        drafted(salwar, _body(48), "in", form=BY_HIP, long=21)
