"""Darts as people draw them, and lines inside that are none; the drawings come from by_hand, not from the project."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace
from pathlib import Path

import pytest
import shapely

from by_hand import FRONT, KINDS, LEFT, NO_DARTS, RIGHT, TIP, XY, Hand, front_with_dart, no_dart
from oaktag.checks.run import check_nest, standing_errors
from oaktag.geometry.path import flatten
from oaktag.intake.darts import Stroke, darts_in
from oaktag.intake.plan import Plan, Reading
from oaktag.intake.propose import proposed
from oaktag.intake.take_in import outlines_in
from oaktag.job import load_job
from oaktag.model.finding import Finding, Severity
from oaktag.model.pattern import Pattern
from oaktag.pipeline import nest_of


def first_plan(drawing: Path) -> str:
    read, outlines = outlines_in(drawing, Plan(Reading()))
    return proposed(read, outlines, Reading(), title="x", file=drawing.name, unit="cm", picture="p.svg").plan


def finished(drawing: Path) -> Pattern:
    """By its own first plan, unchanged; no check may stop it."""
    plan = drawing.with_suffix(".toml")
    plan.write_text(first_plan(drawing))
    nest = nest_of(load_job(plan))
    assert [f.message for f in standing_errors(check_nest(nest))] == []
    return nest.base_pattern


def drawn(hand: Hand, kind: str, folder: Path) -> Path:
    return hand.svg(folder / "front.svg") if kind == "svg" else hand.dxf(folder / "front.dxf")


@pytest.mark.parametrize(("wobble", "file"), [(0.0, "dxf"), (0.4, "svg"), (1.0, "dxf"), (1.5, "svg")])
@pytest.mark.parametrize("kind", KINDS)
def test_a_dart_is_a_dart_however_it_is_drawn(kind: str, wobble: float, file: str, tmp_path: Path) -> None:
    """24 mm in the waist, 100 mm deep, as meant; within what the hand was off. Its legs end on the waist.

    Two strokes meet at a slant of 1 to 8, so that their point lies further off than they do.
    """
    pattern = finished(drawn(front_with_dart(kind, 7, wobble), file, tmp_path))
    (marked,) = pattern.pieces
    piece = marked.cut.piece
    (dart,) = piece.darts
    spread = 3.0 * wobble + 0.1
    assert dart.intake == pytest.approx(math.dist(LEFT, RIGHT), abs=spread)
    first, tip, second = dart.points
    middle = shapely.LineString([first, second]).centroid
    deep = 600 - TIP[1]
    assert math.dist(tip, (middle.x, middle.y)) == pytest.approx(deep, abs=spread + ("two" in kind) * 8 * wobble)
    (mouthed,) = (edge for edge in piece.edges if edge.takes)
    line = shapely.LineString(flatten(mouthed.curves, 0.001))
    assert max(line.distance(shapely.Point(p)) for p in (first, second)) < 0.01
    assert mouthed.length() - mouthed.sewn_length() == pytest.approx(dart.intake, abs=0.3 + wobble)
    assert len(piece.internal_lines) == ("middle" in kind)  # the dart's own middle stays a line
    area = shapely.Polygon(marked.cut.stitch_line).area
    assert area == pytest.approx(shapely.Polygon(FRONT).area, rel=0.01)


@pytest.mark.parametrize(("kind", "seed"), [
    ("legs and mouth in three strokes", 25), ("a triangle far over the edge", 75), ("a V that stops short", 3),
    ("two strokes that cross the edge", 4), ("a triangle in one stroke", 5), ("cut out of the outline", 6),
])  # fmt: skip
def test_a_dart_is_a_dart_whichever_way_the_piece_lies(kind: str, seed: int, tmp_path: Path) -> None:
    """Turned by any angle, and at the largest wobble."""
    file = front_with_dart(kind, seed, 1.5).turned(37.0 * seed).svg(tmp_path / "front.svg")
    (piece,) = (p.cut.piece for p in finished(file).pieces)
    assert [dart.intake for dart in piece.darts] == [pytest.approx(24.0, abs=4.6)]


@pytest.mark.parametrize("wobble", [0.0, 1.0])
@pytest.mark.parametrize("kind", NO_DARTS)
def test_other_lines_inside_are_no_darts(kind: str, wobble: float, tmp_path: Path) -> None:
    pattern = finished(drawn(no_dart(kind, 3, wobble), "dxf" if wobble else "svg", tmp_path))
    (piece,) = (p.cut.piece for p in pattern.pieces)
    assert piece.darts == ()
    assert not any(edge.takes for edge in piece.edges)


def test_a_wedge_is_cut_out_where_the_plan_does_not_close_it(tmp_path: Path) -> None:
    """The first plan says close_darts; without it the outline stays as it is drawn: seven edges, no dart."""
    file = front_with_dart("cut out of the outline", 1, 0.0).svg(tmp_path / "front.svg")
    plan = first_plan(file)
    assert "close_darts = true" in plan
    _, outlines = outlines_in(file, Plan(Reading()))
    assert [len(one.edges) for one in outlines.outlines] == [len(FRONT) - 1 + 3]  # the side's bend is no corner
    _, outlines = outlines_in(file, Plan(Reading(close_darts=True)))
    assert [len(one.edges) for one in outlines.outlines] == [len(FRONT) - 1]


def test_a_wedge_in_a_cut_line_is_closed_only_where_the_plan_says_so(tmp_path: Path) -> None:
    """Its legs lie an allowance away from where a dart is sewn; closed, the cut line goes straight across as well."""
    file = front_with_dart("cut out of the outline", 1, 0.0).svg(tmp_path / "front.svg")
    cut = Reading(outline="cut line")
    read, outlines = outlines_in(file, Plan(cut))
    assert "close_darts" not in proposed(read, outlines, cut, title="x", file="x", unit="cm", picture="p.svg").plan
    _, closed = outlines_in(file, Plan(Reading(outline="cut line", close_darts=True)))
    areas = [shapely.Polygon(found.outlines[0].cut).area for found in (outlines, closed)]
    wedge = shapely.Polygon([LEFT, TIP, RIGHT]).area
    assert areas == pytest.approx([shapely.Polygon(FRONT).area - wedge, shapely.Polygon(FRONT).area], abs=1.0)


def test_a_piece_full_of_strokes_has_the_darts_that_are_named(tmp_path: Path) -> None:
    """500 strokes that no name tells, as of a print: which of them is a leg nobody knows."""
    hand = Hand(1, 0.0)
    hand.outline(*FRONT)
    hand.stroke(LEFT, TIP, RIGHT)
    for i in range(500):
        x, y = 10.0 + i % 100, 60.0 + 80.0 * (i // 100)
        hand.stroke((x, y), (x, y + 40.0))
    file = hand.svg(tmp_path / "front.svg")
    file.write_text(file.read_text().replace("<polyline", '<polyline id="dart"', 1))
    _, outlines = outlines_in(file, Plan(Reading()))
    strokes = [Stroke(path.curves, path.closed, path.id == "dart") for path in outlines.outlines[0].paths]
    found = darts_in(outlines.outlines[0].edges, strokes)
    assert [round(dart.intake, 2) for dart in found] == [24.0]
    assert darts_in(outlines.outlines[0].edges, [replace(stroke, named=False) for stroke in strokes]) == []


@pytest.mark.parametrize("file", ["svg", "dxf"])
@pytest.mark.parametrize("mouth", [[[RIGHT, LEFT]], []], ids=["with its mouth", "left open"])
@pytest.mark.parametrize("legs", [[[LEFT, TIP], [RIGHT, TIP]], [[LEFT, TIP, RIGHT]]], ids=["two strokes", "a V"])
def test_a_dart_in_an_outline_of_many_strokes(
    legs: list[list[XY]], mouth: list[list[XY]], file: str, tmp_path: Path
) -> None:
    """All on one layer: the waist to either side of the dart, perhaps its mouth, the legs."""
    hand = Hand(1, 0.0)
    sides = [list(pair) for pair in itertools.pairwise([FRONT[4], *FRONT[:4]])]
    hand.strokes += [(stroke, False) for stroke in [*sides, [FRONT[3], RIGHT], [LEFT, FRONT[4]], *mouth, *legs]]
    (piece,) = (p.cut.piece for p in finished(drawn(hand, file, tmp_path)).pieces)
    assert [round(dart.intake, 2) for dart in piece.darts] == [24.0]
    assert len(piece.edges) == 4 and piece.internal_lines == ()


def test_what_looks_like_a_dart_is_none_where_the_plan_says_so(tmp_path: Path) -> None:
    """By the names that the note gives."""
    file = front_with_dart("two strokes", 1, 0.0).svg(tmp_path / "front.svg")
    plan = tmp_path / "front.toml"
    plan.write_text(first_plan(file))
    (note,) = (n for n in nest_of(load_job(plan)).base_pattern.draft.notes if "taken for a dart" in n)
    said = note[note.index("internal = [") :].split("]")[0] + "]"
    plan.write_text(plan.read_text().replace("[lines]", f"[lines]\n{said}\n#", 1))
    piece = nest_of(load_job(plan)).base_pattern.pieces[0].cut.piece
    assert piece.darts == ()
    assert len(piece.internal_lines) == 2


def test_named_strokes_are_darts_though_they_look_like_none(tmp_path: Path) -> None:
    """On a layer that is called so legs may be unlike each other; what opens at no edge is told and drawn."""
    hand = Hand(1, 0.0)
    hand.outline(*FRONT)
    hand.stroke((60, 600), (130, 530), (200, 600))  # at a right angle
    hand.stroke((100, 300), (110, 200))
    file = hand.svg(tmp_path / "front.svg")
    file.write_text(file.read_text().replace("<polyline", '<polyline class="x" id="dart"', 2))
    pattern = finished(file)
    piece = pattern.pieces[0].cut.piece
    assert [round(dart.intake) for dart in piece.darts] == [140]
    assert [line.name for line in piece.internal_lines] == ["dart"]
    assert any("is said to be a dart" in note for note in pattern.draft.notes)


@pytest.mark.parametrize(("longer", "said"), [(0.4, ""), (2.0, "Fold the dart and true"), (6.0, "Make them equal")])
def test_legs_that_differ_are_told_with_both_lengths_and_stop_nothing(longer: float, said: str, tmp_path: Path) -> None:
    """The waist runs askew over the dart, so that one leg is longer; both by Pythagoras."""
    hand = Hand(1, 0.0)
    slope = longer / 24.0
    hand.outline((0, 0), (280, 0), (280, 600 + 130 * slope), (0, 600 - 150 * slope))
    legs = [(x, 600 + (x - 150) * slope) for x in (138.0, 162.0)]
    hand.stroke(legs[0], TIP, legs[1])
    findings = [f for f in check_nest_of(hand.svg(tmp_path / "front.svg")) if f.id == "dart.legs"]
    (finding,) = findings
    lengths = [f"{math.dist(leg, TIP):.1f}" for leg in legs]
    assert finding.passed == (not said)
    assert said in finding.message
    if said:
        assert finding.severity is Severity.WARNING
        assert all(f"{length}" in finding.message for length in lengths)


def check_nest_of(drawing: Path) -> tuple[Finding, ...]:
    plan = drawing.with_suffix(".toml")
    plan.write_text(first_plan(drawing))
    return check_nest(nest_of(load_job(plan)))
