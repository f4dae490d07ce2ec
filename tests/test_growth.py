"""Room to grow: the magazine's rows, the chart's steps, and tucks that leave a skirt as it is worn."""

from __future__ import annotations

import json
from itertools import pairwise
from statistics import fmean

import pytest

from by_the_tape import agrees, number, worked
from judge import judge
from oaktag.body.charts import shipped
from oaktag.body.measurements import Measurements
from oaktag.checks.run import check
from oaktag.draft.board import Board
from oaktag.errors import DraftError
from oaktag.export.pattern_json import render
from oaktag.garments.gathered_skirt import gathered_panels
from oaktag.garments.parts.growth import (
    LEG,
    LEG_HEM,
    SKIRT,
    SKIRT_HEM,
    SLEEVE,
    SLEEVE_HEM,
    STEP,
    grown,
    growth_hem,
    tell_growth,
    tucks,
)
from oaktag.model.length import cm, mm
from oaktag.model.nest import Nest
from oaktag.model.piece import Cut, LineKind
from oaktag.units import INCH
from wardrobe import finished

CHART = shipped("children")


def _board(unit: str = "cm") -> Board:
    body = Measurements(CHART.body("110"), wearer="child")
    return Board("frock", body, {}, unit)  # type: ignore[arg-type]


def test_how_much_longer_a_dress_gets() -> None:
    agrees("gw-224", grown(number(worked()["gw-224"], "sizes")).mm / INCH)
    agrees("gw-225", grown(number(worked()["gw-225"], "sizes"), to_floor=True).mm / INCH)


def test_the_shares_are_those_of_the_chart() -> None:
    """Of 6 cm in height: the leg by the waist's height, the sleeve by the arm; skirt 0.5 to 0.6 (the trade's rule)."""
    for share, name in ((LEG, "waist_height"), (SLEEVE, "arm_length")):
        row = CHART.rows[name]
        step = fmean(b - a for a, b in pairwise(row)) / STEP.mm
        assert share == pytest.approx(step, abs=0.01), name
    assert 0.5 <= SKIRT <= 0.6


@pytest.mark.parametrize(
    ("hem", "share", "least", "most"),
    [(SKIRT_HEM, SKIRT, 60, 80), (SLEEVE_HEM, SLEEVE, 38, 40), (LEG_HEM, LEG, 50, 51)],
)
def test_the_usual_hems_hold_a_size(hem: object, share: float, least: float, most: float) -> None:
    """6 to 8 cm of a skirt, 4 of a sleeve, 5 of a leg; each holds what one size takes, and is still turned."""
    on = _board()
    assert least <= hem.mm <= most  # type: ignore[attr-defined]
    assert growth_hem(on, share).mm < hem.mm - 9  # type: ignore[attr-defined]
    tell_growth(on, "skirt", hem, share)  # type: ignore[arg-type]
    assert "can be let down by" in on.draft([_square(on)]).notes[-1]


def _square(on: Board, flare: float = 0.0, low: float = 0.0):  # type: ignore[no-untyped-def]
    s = on.sketch("front", Cut("fold"), worn="body")
    s.at("waist_centre")
    s.at("hem_centre", down=mm(400 + low))
    s.at("hem_side", right=mm(300 + flare), down=mm(400))
    s.at("waist_side", right=mm(300))
    s.fold("centre_front", "waist_centre", "hem_centre")
    s.hem("hem", "hem_centre", "hem_side")
    s.edge("side", "hem_side", "waist_side")
    s.edge("waist", "waist_side", "waist_centre")
    s.level("hem", mm(400))
    return s.piece()


@pytest.mark.parametrize("flare", [0.0, 60.0, -40.0])
def test_a_tuck_takes_twice_its_depth_and_the_side_is_sewn_as_long_as_before(flare: float) -> None:
    on = _board()
    piece = _square(on, flare)
    made = tucks(on, piece, "hem", 3, cm(1), above=cm(8))
    assert made.points["hem_centre"].y == pytest.approx(-460.0)
    assert made.edge("centre_front").length() == pytest.approx(460.0)
    assert made.edge("side").sewn_length() == pytest.approx(piece.edge("side").length(), abs=0.01)
    assert [take.kind for take in made.edge("side").takes] == ["tuck"] * 3
    folds = sorted(line.points[0].y for line in made.internal_lines if line.kind is LineKind.FOLD)
    # the lowest, pressed down, ends 8 cm above the hem: its fold is drawn 1 cm higher than its lower line, 9 cm up
    assert folds == pytest.approx([-360.0, -320.0, -280.0])
    assert made.levels[0].depth == 400.0
    assert made.levels[0].points[0].y == pytest.approx(-460.0)


def test_a_skirt_with_tucks_passes_its_checks() -> None:
    on = _board()
    panels = gathered_panels(on, on.body.waist_girth + cm(6), long=cm(36), opening="none")
    pieces = [tucks(on, piece, "hem", 2, cm(1)) for piece in panels.pieces]
    draft = on.draft(pieces, seams=panels.seams, claims=panels.claims, widths=dict(panels.widths))
    pattern = finished(draft, "cm")
    findings = check(pattern)
    assert [f"{f.id} {f.message}" for f in findings if not f.passed] == []
    assert judge(json.loads(render(Nest.single(pattern), findings)), {}) == []
    assert sum("Tucks: 2 across" in note for note in draft.notes) == 2


def test_where_tucks_do_not_lie() -> None:
    on = _board()
    with pytest.raises(DraftError, match=r"does not lie on the front. Change tucks"):
        tucks(on, _square(on), "hem", 3, cm(1), above=cm(38))
    with pytest.raises(DraftError, match="bends by 3 cm"):
        tucks(on, _square(on, low=30.0), "hem", 3, cm(1))


def test_without_room_nothing_is_told() -> None:
    on, untold = _board(), _board()
    tell_growth(on, "leg", cm(0.5), LEG)
    assert on.draft([_square(on)]).notes == untold.draft([_square(untold)]).notes
