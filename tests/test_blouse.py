"""The blouse: every collar, opening and facing on a chart's sizes and women of the surveys, every check passed."""

from __future__ import annotations

import json
import math
from itertools import pairwise

import pytest
from shapely.geometry import LinearRing, LineString, Point, Polygon, box

from by_the_tape import measured_whole, people
from judge import judge
from oaktag.body.charts import shipped
from oaktag.body.measurements import Measurements
from oaktag.checks.run import check
from oaktag.draft.board import Board
from oaktag.draft.options import defaults
from oaktag.errors import DraftError
from oaktag.export.pattern_json import render
from oaktag.garments.blouse import blouse
from oaktag.garments.parts.button_stand import button_of, holes
from oaktag.garments.parts.cuffs import HandPasses, banded
from oaktag.garments.parts.part import Part, together
from oaktag.garments.parts.sleeves import sleeve
from oaktag.geometry.path import flatten, place_at
from oaktag.grade.nest import graded
from oaktag.grade.ruled import graded_by_rules
from oaktag.grade.rules import parse_rules, render_rules, rules_of
from oaktag.model.draft import Draft
from oaktag.model.finding import Severity
from oaktag.model.length import cm, mm
from oaktag.model.nest import Nest
from oaktag.model.pattern import Pattern
from oaktag.model.piece import Edge, Piece
from oaktag.sheet.drawing import label_box
from oaktag.units import show
from oaktag.values import replace
from wardrobe import finished

CHART = shipped("women")
WOMEN = {
    name: Measurements({**row, "shoulder_width": 2 * row["shoulder_length"] + row["neck_base_girth"] / math.pi})
    for name, row in people("women_1988_60.csv").items()
}
"""The survey's women; shoulder width estimated as elsewhere in these tests."""
STYLES: tuple[dict[str, str], ...] = (
    {},
    {"collar_kind": "stand and fall", "front_facing": "apart"},
    {"collar_kind": "mandarin", "opens": "back"},
    {"collar_kind": "one-piece", "opens": "back", "front_facing": "apart"},
    {"collar_kind": "tie", "method": "close", "bust_dart": "neck"},
    {"collar_kind": "none", "method": "angle", "bust_dart": "french", "sleeve_kind": "none"},
    {"method": "close", "waist_darts": "yes", "opens": "back"},
    {"collar_shape": "pointed", "method": "angle", "waist_darts": "yes", "bust_dart": "side", "front_facing": "apart"},
)


def sewn(body: Measurements, **style: float | str) -> Draft:
    return blouse.drafted(body, {**defaults(blouse.options, "cm"), **style}, "cm")


def ruler(edge: Edge) -> float:
    """How long an edge is by chords, mm."""
    return float(LineString(flatten(edge.curves, 0.001)).length)


def allowed(draft: Draft) -> Pattern:
    return finished(draft, "cm")


def piece(draft: Draft, name: str) -> Piece:
    return next(piece for piece in draft.pieces if piece.name == name)


@pytest.mark.parametrize("style", STYLES, ids=lambda style: " ".join(style.values()) or "usual")
def test_no_seam_or_girth_fails_in_any_style(style: dict[str, str]) -> None:
    for body in (CHART.body("8"), CHART.body("20"), *list(WOMEN.values())[::20]):
        findings = check(allowed(sewn(body, **style)))
        assert [f.message for f in findings if not f.passed and f.severity is Severity.ERROR] == []


def test_on_the_women_of_the_survey() -> None:
    drafted = 0
    for name, body in WOMEN.items():
        try:
            draft = sewn(body)
        except DraftError as error:
            assert "Change" in str(error), name
            continue
        drafted += 1
        for panel in draft.pieces:
            assert Polygon([p for edge in panel.edges for p in flatten(edge.curves)[:-1]]).is_valid, (name, panel.name)
    assert drafted >= 0.95 * len(WOMEN)


def test_a_neck_dart_that_crosses_the_bust_level_is_no_width_of_the_blouse() -> None:
    """Women of the survey whose bust point lies below that level: its width was counted, or twice taken off; the judge
    measures as the checks do."""
    women = measured_whole("women_1988_300.csv")
    for name in ("A0311", "A0758", "A0819", "A2121"):
        pattern = allowed(sewn(women[name], method="quarter", bust_dart="neck"))
        findings = check(pattern)
        assert [f.message for f in findings if f.severity is Severity.ERROR and not f.passed] == []
        assert not judge(json.loads(render(Nest.single(pattern), findings)))


@pytest.mark.parametrize("opens", ["front", "back"])
def test_a_facing_cut_on_folds_back_along_the_neck(opens: str) -> None:
    """Turned back at its fold it lies on the half, neck on neck (shapely, to a tenth of a millimetre)."""
    half = piece(sewn(CHART.body("14"), opens=opens), opens)
    fold = half.points["fold_neck"].x
    neck = LineString([p for name in ("neck", "stand_neck") for p in flatten(half.edge(name).curves)])
    turned = [(2 * fold - x, y) for x, y in flatten(half.edge("facing_neck").curves)]
    assert max(neck.distance(LineString(turned).interpolate(part, normalized=True)) for part in (0.1, 0.5, 0.9)) < 0.1


def test_a_facing_apart_is_the_front_itself_as_wide_as_was_asked() -> None:
    draft = sewn(CHART.body("14"), front_facing="apart", facing_wide=60.0)
    front, facing = piece(draft, "front"), piece(draft, "front_facing")
    strip = Polygon([p for edge in facing.edges for p in flatten(edge.curves, 0.001)[:-1]])
    whole = Polygon([p for edge in front.edges for p in flatten(edge.curves, 0.001)[:-1]])
    assert whole.buffer(0.01).contains(strip)
    assert strip.bounds[2] - strip.bounds[0] == pytest.approx(60.0, abs=0.01)
    assert facing.quantity == 2


def test_a_button_lies_on_the_bust_line_and_the_rest_in_gaps_alike() -> None:
    for size in CHART.sizes:
        front = piece(sewn(CHART.body(size)), "front")
        ys = [hole.points[0].y for hole in holes(front)]
        bust = next(level for level in front.levels if level.name == "bust").points[0].y
        assert min(abs(y - bust) for y in ys) < 0.01, size
        assert {round(ys[0] - ys[1], 6)} == {round(a - b, 6) for a, b in pairwise(ys)}


def test_all_sizes_of_the_chart_are_alike_node_for_node() -> None:
    count = str(len(holes(piece(sewn(CHART.body("14")), "front"))))  # as a set of sizes settles it on its base
    shapes = {
        str(
            [(p.name, [(e.name, len(e.curves), len(e.takes)) for e in p.edges], sorted(p.points)) for p in draft.pieces]
        )
        for draft in (sewn(CHART.body(size), buttons=count) for size in CHART.sizes)
    }
    assert len(shapes) == 1


@pytest.mark.parametrize(
    "style",
    [{}, {"method": "angle", "sleeve_kind": "bishop"}, {"method": "close", "sleeve_kind": "elbow dart"}],
    ids=str,
)
def test_sizes_graded_by_rules_fit_as_the_drafted_ones(style: dict[str, str]) -> None:
    """Size 18 graded by the rules of its own nest: cap and collar go into armhole and neck, notches meet."""
    sizes = ("14", "18", "22")
    drafts = {size: sewn(CHART.body(size), buttons="8", **style) for size in sizes}
    drafted = graded(drafts, "18", {}, {}, title="Lighthouse choir", unit="cm", label_box=label_box)
    rules = parse_rules(render_rules(rules_of(drafted), "mm").decode(), "rules.csv")
    for size, draft in graded_by_rules(drafts["18"], "18", rules).items():
        found = [f for f in check(finished(draft, "cm")) if f.id.startswith("seam.")]
        assert len(found) >= 5
        assert [f.message for f in found if not f.passed and f.severity is Severity.ERROR] == [], size


# ---------------------------------------------------------------- what a sleeve ends in


@pytest.mark.parametrize(
    ("cuff", "kind", "reach"),
    [
        ("pleated cuff", "plain", "long"), ("gathered cuff", "bishop", "long"), ("gathered cuff", "puff hem", "long"),
        ("band", "puff", "short"), ("band", "plain", "elbow"), ("band", "plain", "long"), ("elastic", "bishop", "long"),
        ("elastic", "puff", "short"),
    ],
)  # fmt: skip
def test_every_end_of_a_sleeve_fits_and_lets_the_hand_through(cuff: str, kind: str, reach: str) -> None:
    for body in (CHART.body("8"), CHART.body("20"), *list(WOMEN.values())[::30]):
        findings = check(allowed(sewn(body, cuff=cuff, sleeve_kind=kind, reach=reach)))
        assert [f.message for f in findings if not f.passed and f.severity is Severity.ERROR] == []
        passes = [f for f in findings if f.id in ("entry.hand", "sleeve.wrist")]
        assert len(passes) == (0 if cuff == "elastic" and reach == "short" else 1)


def test_a_cuff_is_wrist_and_ease_and_the_sleeve_goes_into_it() -> None:
    """Wrist + 4.5 cm, 2 of them lap; all that the hem has over it is laid in pleats (worked rules 4), by chords."""
    body = CHART.body("14")
    draft = sewn(body, cuff="pleated cuff")
    sleeve, cuff = piece(draft, "sleeve"), piece(draft, "cuff")
    assert cuff.edge("wrist_edge").length() == pytest.approx(body["wrist_girth"] + 45.0)
    hem = LineString(flatten(sleeve.edge("wrist_edge").curves, 0.001)).length
    folded = sum(take.end - take.start for take in sleeve.edge("wrist_edge").takes)
    assert hem - folded == pytest.approx(body["wrist_girth"] + 25.0, abs=0.1)
    assert len(sleeve.edge("wrist_edge").takes) in (1, 2, 3)


def test_the_button_of_a_cuff_lies_in_its_hole() -> None:
    """Lapped by 2 cm, the end with the hole lies over the other: the button 3 mm from the end of the hole."""
    cuff = piece(sewn(CHART.body("14"), cuff="gathered cuff"), "cuff")
    lines = {line.name: line.points for line in cuff.internal_lines}
    whole = Polygon([p for edge in cuff.edges for p in flatten(edge.curves)[:-1]])
    assert whole.buffer(-5.0).contains(LineString(lines["buttonhole"]))
    round_it = cuff.edge("wrist_edge").length() - 20.0
    hole = [x + round_it for x, _ in lines["buttonhole"]]
    assert lines["button"][0].x == pytest.approx(min(hole) + 3.0)
    assert max(hole) - min(hole) == pytest.approx(16.0)  # a button of 13 mm and 3 mm


def test_elastic_is_the_arm_and_its_lap_in_a_casing_of_its_width() -> None:
    body = CHART.body("14")
    for reach, arm in (("long", body["wrist_girth"]), ("short", body["upper_arm_girth"])):
        draft = sewn(body, cuff="elastic", sleeve_kind="puff hem", reach=reach, cuff_wide=10.0)
        (told,) = [note for note in draft.notes if note.startswith("Elastic")]
        assert f"{show(10.0, 'cm')} wide and {show(arm + 25.0, 'cm')} long" in told
        cut = next(marked.cut for marked in allowed(draft).pieces if marked.name == "sleeve")
        middle = Point(place_at(cut.piece.edge("hem").curves, cut.piece.edge("hem").length() / 2)[0])
        assert LinearRing(cut.cut_line).distance(middle) == pytest.approx(10.0 + 15.0, abs=0.1)


def test_what_does_not_go_at_the_end_of_a_sleeve_is_told() -> None:
    with pytest.raises(DraftError, match=r'goes round the wrist\. Change reach to "long"'):
        sewn(CHART.body("14"), cuff="pleated cuff", reach="elbow")
    with pytest.raises(DraftError, match="Change ease_wrist to less"):
        sewn(CHART.body("14"), cuff="pleated cuff", ease_wrist=120.0)
    draft = sewn(CHART.body("14"), cuff="band", sleeve_kind="cap")
    assert any(note.startswith("cuff counts only with") for note in draft.notes)


def test_a_band_that_the_hand_does_not_pass_is_told() -> None:
    body = CHART.body("14")
    on = Board("test", body, {}, "cm", "blouse")
    draft = sewn(body)
    front, back = piece(draft, "front"), piece(draft, "back")
    narrow = banded(on, sleeve(on, "plain", front, back), wide=cm(2.5), around=on.body.hand_girth + mm(9))
    claims = [claim for claim in narrow.claims if isinstance(claim, HandPasses)]
    pattern = allowed(together(on, [Part((front, back)), replace(narrow, claims=tuple(claims))]))
    assert [f.passed for f in check(pattern) if f.id == "entry.hand"] == [False]


# ---------------------------------------------------------------- collars and button stands


@pytest.mark.parametrize("opens", ["front", "back"])
@pytest.mark.parametrize("kind", ["stand and fall", "mandarin", "flat", "one-piece", "tie"])
def test_every_collar_is_as_long_as_the_neck_that_was_drafted(kind: str, opens: str) -> None:
    """By chords of a thousandth: half the neck, and the button stand where the collar goes on over it; what a tie has
    beyond its notch is its end."""
    for body in (CHART.body("8"), CHART.body("24"), *list(WOMEN.values())[::25]):
        draft = sewn(body, collar_kind=kind, opens=opens)
        front, back = piece(draft, "front"), piece(draft, "back")
        own = next(p for p in draft.pieces if p.name in ("stand", "collar", "tie"))
        collar = ruler(own.edge("neck"))
        neck = ruler(front.edge("neck")) + ruler(back.edge("neck"))
        if kind in ("stand and fall", "mandarin"):
            neck += 13.0  # the extension is the button's diameter (garments 3.2)
        if kind == "tie":
            collar = next(notch.at for notch in own.notches if notch.name == "tie")
        assert collar == pytest.approx(neck, abs=0.05), (kind, opens)


@pytest.mark.parametrize("opens", ["front", "back"])
@pytest.mark.parametrize("upright_holes", ["no", "yes"])
@pytest.mark.parametrize("button", [10.0, 13.0, 25.0])
def test_holes_and_buttons_lie_inside_the_button_stand(opens: str, upright_holes: str, button: float) -> None:
    """Every hole as worked and every button as sewn on lies within the half as it is worn, up to its fold; holes are as
    long as the button and 3 mm, the first the diameter and 6 mm below the neck, the last 10 cm above the hem."""
    draft = sewn(CHART.body("14"), opens=opens, upright_holes=upright_holes, button=button)
    half = piece(draft, opens)
    fold = half.points["fold_neck"].x
    whole = Polygon([p for edge in half.edges for p in flatten(edge.curves)[:-1]])
    worn = whole.intersection(box(fold, -2000.0, 2000.0, 2000.0)).buffer(0.01)
    marks = [LineString(hole.points) for hole in holes(half)]
    places = [Point(*button_of(hole)) for hole in holes(half)]
    assert len(marks) >= 4
    for mark, place in zip(marks, places, strict=True):
        assert worn.contains(mark)
        assert mark.length == pytest.approx(button + 3.0)
        assert place.x == pytest.approx(0.0)
        assert worn.contains(place.buffer(button / 2))
    neck = half.points["neck_centre"].y
    assert neck - places[0].y == pytest.approx(button + 6.0)
    assert places[-1].y - half.points["hem_centre"].y >= 100.0 - 1e-6


def test_the_usual_button_is_one_that_is_sold() -> None:
    """20 lines, 1/2 in; where metric is read 13 mm (lists of buttons: shirts and blouses 16 to 20 lines)."""
    assert [defaults(blouse.options, unit)["button"] for unit in ("in", "cm", "mm")] == [12.7, 13.0, 13.0]
    (option,) = [option for option in blouse.options if option.name == "button"]
    assert [option.usual_words(unit) for unit in ("in", "cm")] == ["1/2 in", "1.3 cm"]
