"""The pleated skirt: cloth, pleats and what they take in by the trade's numbers; on the women of the survey."""

from __future__ import annotations

from itertools import pairwise

import pytest

from by_the_tape import drafted, nodes, number, people, piece, worked
from oaktag.body.charts import shipped
from oaktag.body.measurements import Measurements
from oaktag.checks.run import check, standing_errors
from oaktag.draft.options import defaults
from oaktag.errors import DraftError
from oaktag.garments.pleated_skirt import Pleated, how_many, pleated_skirt
from oaktag.model.draft import Draft
from oaktag.model.piece import InternalLine, LineKind
from oaktag.values import replace
from wardrobe import finished, found


def skirt(waist: float, hip: float = 0.0, **raw: object) -> Draft:
    body = {"waist_girth": waist * 10} | ({"hip_girth": hip * 10, "waist_to_hip": 200.0} if hip else {})
    return drafted(pleated_skirt, Measurements(body), **{"ease_waist": 0, "cloth_wide": 150, **raw})


def cloth(draft: Draft) -> float:
    panel = piece(draft, "panel")
    return panel.to_cut.count * panel.edge("hem").length() / 10


def told(row: str) -> float:
    return float(worked()[row]["value"])


@pytest.mark.parametrize(("row", "seen"), [("gw-046", 4), ("gw-047", 2)])
def test_as_many_pleats_as_the_trade_lays(row: str, seen: float) -> None:
    """Waist 68 and 4 of ease; the pleats fit at the waist."""
    ease = number(worked()["gw-045"], "ease")
    draft = skirt(number(worked()["gw-045"], "waist"), ease_waist=ease, seen=seen)
    panel = piece(draft, "panel")
    assert panel.to_cut.around * panel.edge("waist").sewn_length() / 10 == pytest.approx(told("gw-045"), abs=0.02)
    assert draft.worked["pleats"] == str(int(told(row)))
    assert cloth(draft) == pytest.approx(told("gw-048"), abs=0.02)


@pytest.mark.parametrize(
    ("row", "style"),
    [
        ("gw-049", {"seen": 4, "deep": 2.5}),
        ("gw-050", {"pleat_kind": "box", "seen": 12, "deep": 4}),
        ("gw-050", {"pleat_kind": "inverted", "closes_at": "back", "seen": 12, "deep": 4}),
    ],
)
def test_the_cloth_of_the_trade(row: str, style: dict[str, object]) -> None:
    draft = skirt(number(worked()[row], "finished"), **style)
    assert draft.worked["pleats"] == str(int(number(worked()[row], "pleats")))
    assert cloth(draft) == pytest.approx(told(row), abs=0.02)


def test_what_a_pleat_takes_in_at_the_waist() -> None:
    """Hip 102, waist 72, 20 pleats: 1.5 cm each, half at either fold, to nothing at the hip (gw-051)."""
    draft = skirt(72, 99.5, ease_hip=2.5, seen=5.1, cloth_wide=330)
    assert draft.worked["pleats"] == "20"
    lines = [line for line in piece(draft, "panel").internal_lines if line.kind is LineKind.PLEAT]
    for left, right in zip(lines[::2], lines[1::2], strict=True):
        assert left.points[0].x - left.points[1].x == pytest.approx(5 * told("gw-051"), abs=0.1)
        assert right.points[1].x - right.points[0].x == pytest.approx(5 * told("gw-051"), abs=0.1)
        assert left.points[1].x == left.points[2].x


@pytest.mark.parametrize("kind", ["knife", "box", "inverted"])
@pytest.mark.parametrize("closes_at", ["side", "back"])
def test_on_the_women_of_the_survey(kind: str, closes_at: str) -> None:
    """Waist and hip as worn, by the lines alone; joins in an underlay; each width goes on the cloth."""
    refused = 0
    for body in people("women_1988_60.csv").values():
        try:
            draft = drafted(pleated_skirt, body, pleat_kind=kind, closes_at=closes_at, cloth_wide=150)
        except DraftError as error:
            assert "Change" in str(error)
            refused += 1
            continue
        panel = piece(draft, "panel")
        lines = sorted((ln for ln in panel.internal_lines if ln.kind is LineKind.PLEAT), key=lambda ln: ln.points[0].x)
        for place, girth in ((0, body["waist_girth"] + 15), (1, body["hip_girth"] + 50), (2, body["hip_girth"] + 50)):
            seen = [b.points[place].x - a.points[place].x for a, b in zip(lines[::2], lines[1::2], strict=True)]
            assert panel.to_cut.count * sum(seen) == pytest.approx(girth, abs=0.1)
            assert min(seen) > 5 if place == 0 else min(seen) >= 15
        wide = panel.edge("hem").length()
        assert 5 < lines[0].points[1].x == pytest.approx(wide - lines[-1].points[1].x)
        assert wide + 50.8 <= 1500
        pleats = int(str(draft.worked["pleats"]))
        half = pleats / (4 if closes_at == "side" else 2)
        assert kind == "knife" or (half % 1 == (0.5 if kind == "box" else 0.0))
        assert not standing_errors(check(finished(draft, "cm")))
    assert refused <= 3


def test_pleats_that_would_lie_over_each_other_are_refused_unless_they_may() -> None:
    with pytest.raises(DraftError, match="lap_over to yes"):
        skirt(72, 98, deep=9)
    assert skirt(72, 98, deep=9, lap_over="yes")


def test_more_at_the_waist_than_the_pleats_are_deep_is_refused() -> None:
    with pytest.raises(DraftError, match="deep to more"):
        skirt(60, 110, deep=1)


def test_a_pleat_line_out_of_place_is_found() -> None:
    pattern = finished(skirt(72, 98))
    claim = next(claim for claim in pattern.draft.claims if isinstance(claim, Pleated))
    wrong = replace(claim, girth=claim.girth * 1.02)
    pattern = replace(pattern, draft=replace(pattern.draft, claims=(wrong,)))
    assert not found(pattern, "pleats.hip").passed
    assert not found(pattern, "pleats.cloth").passed


def test_no_number_of_pleats_goes_on_a_ribbon() -> None:
    assert how_many("knife", "side", 1000, 40, None, 90) is None
    with pytest.raises(DraftError, match="Change seen, deep or cloth_wide"):
        skirt(72, 98, seen=30, pleat_kind="box", cloth_wide=52)


def test_all_sizes_of_the_chart_are_alike_node_for_node() -> None:
    chart = shipped("women")
    base = drafted(pleated_skirt, chart.body("14"))
    settled = {name: value for name, value in base.worked.items() if isinstance(value, str)}
    style = {**defaults(pleated_skirt.options), **base.style, **settled}
    assert len({nodes(pleated_skirt.draft(chart.body(size), style, "cm")) for size in chart.sizes}) == 1


@pytest.mark.parametrize("kind", ["knife", "box", "inverted"])
def test_pleats_are_stitched_down_on_their_folds(kind: str) -> None:
    """A line across each underlay, from fold to fold, 12 cm down; there it lies between its widths at waist and hip."""
    body = shipped("women").body("14")
    panel = piece(drafted(pleated_skirt, body, pleat_kind=kind, stitched=12), "panel")
    lines = [line for line in panel.internal_lines if line.name.startswith("stitched")]
    folds = [line for line in panel.internal_lines if line.kind is LineKind.PLEAT]
    assert len(lines) == len(folds) // 2 - 1  # the underlay in the join has its halves at both ends
    for line in lines:
        for end in line.points:
            assert end.y == pytest.approx(-120.0)
            assert min(abs(end.x - _at(fold, -120.0)) for fold in folds) < 0.01
    with pytest.raises(DraftError, match="stitched to"):
        drafted(pleated_skirt, body, pleat_kind=kind, stitched=35, long=45)


def _at(line: InternalLine, y: float) -> float:
    """How far right a line is at a height."""
    a, b = next(pair for pair in pairwise(line.points) if pair[0].y >= y >= pair[1].y)
    return a.x + (b.x - a.x) * (y - a.y) / (b.y - a.y)
