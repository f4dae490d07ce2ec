"""The chalk card knows no garment: its order and its formulas come from the draft, its curves from the numbers."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import cache
from itertools import accumulate, pairwise
from pathlib import Path

import numpy as np
import pytest
from scipy.interpolate import CubicSpline

from oaktag.draft.chalk.card import chalk_pieces
from oaktag.draft.chalk.marks import ChalkPiece, ChalkStep
from oaktag.draft.chalk.smooth import led, spline
from oaktag.geometry.point import Point
from oaktag.job import load_job
from oaktag.model.corner_names import FINISHES
from oaktag.model.draft import Step
from oaktag.model.pattern import Pattern
from oaktag.model.piece import Edge, EdgeKind, LevelLine, piece_words
from oaktag.pipeline import pattern_of
from samples import sample_pattern
from test_chalk import EIGHTH, STYLES, rounded_run, worst
from test_chalk import spline as independent
from wardrobe import ALTO, DRESS, FIXTURES, dressed, finished, with_drafted

SOURCE = Path(__file__).resolve().parents[1] / "src/oaktag"


# ------------------------------------------------------------------------------------------------ it knows no garment


def constants(path: Path) -> Iterator[str]:
    """Every text in a module that is no docstring."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    told = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in told:
            yield node.value


def names_of_the_dress() -> set[str]:
    """Pieces, edges, points, darts, lines and options, but for what every garment has: the kinds of edges."""
    names = {*DRESS.pieces, *DRESS.edges, *(option.name for option in DRESS.options)}
    for style in ({}, *STYLES[2:], {"zip": "none", "lining": "full"}):
        for piece in dressed(ALTO, "in", **style).draft.pieces:
            names |= {piece.name, *piece.points, *(edge.name for edge in piece.edges)}
            names |= {f"{dart.name} dart" for dart in piece.darts} | {line.name for line in piece.internal_lines}
    return names - {kind.value for kind in EdgeKind}


def test_the_card_and_its_pages_name_no_part_of_the_dress() -> None:
    names = {word for name in names_of_the_dress() for word in (name, piece_words(name))}
    assert {"underarm", "neck centre", "vent_top", "waist dart", "sleeve"} <= names
    prose = names - {"side"}  # “on the other side of it” is no seam
    said = re.compile(rf"(?<![\w])({'|'.join(map(re.escape, prose))})(?![\w])")
    files = [path for path in SOURCE.rglob("*.py") if "chalk" in path.relative_to(SOURCE).as_posix()]
    assert len(files) > 10
    texts = [(path.name, text) for path in files for text in constants(path) if text not in FINISHES]
    assert [(name, text) for name, text in texts if text.strip() in names or said.search(text)] == []


# ------------------------------------------------------------------------------------------------------------ order


def titles(piece: ChalkPiece) -> list[str]:
    return [step.title for step in piece.steps]


def card_of(pattern: Pattern, name: str) -> ChalkPiece:
    return next(piece for piece in chalk_pieces(pattern) if piece.name == name)


def step_of(pattern: Pattern, name: str, title: str) -> ChalkStep:
    return next(step for step in card_of(pattern, name).steps if step.title == title)


def edges_told(pattern: Pattern, name: str) -> list[str]:
    edges = [piece_words(edge.name).capitalize() for edge in pattern.piece(name).cut.piece.edges]
    return [title for title in titles(card_of(pattern, name)) if title in edges]


def found(*places: str) -> tuple[Step, ...]:
    """Steps that find the places one after another."""
    return tuple(Step("front", f"{at} {axis}", "as drawn", 0.0, {}, f"{at}.{axis}") for at in places for axis in "xy")


@cache
def corners() -> Pattern:
    """The sample's front, all of its corners named."""
    named = {"low": Point(0, -600), "corner": Point(250, -600), "under": Point(245, -230), "tip": Point(180, -40)}
    named |= {"beside": Point(70, 0), "middle": Point(0, -80)}
    return with_drafted(sample_pattern(), "front", lambda piece: replace(piece, points=named))


ROUND = ["Neckline", "Shoulder", "Armhole", "Side", "Hem", "Centre front"]


def test_without_steps_a_piece_is_told_round_from_its_top_away_from_the_fold() -> None:
    assert edges_told(corners(), "front") == ROUND


def test_an_edge_comes_when_both_its_ends_are_found() -> None:
    """From the hem up; and what lies on the fold last, which is chalked already."""
    pattern = corners()
    steps = found("low", "corner", "under", "tip", "beside", "middle")
    upwards = replace(pattern, draft=replace(pattern.draft, steps=steps))
    assert edges_told(upwards, "front") == ["Hem", "Side", "Armhole", "Shoulder", "Neckline", "Centre front"]
    some = replace(pattern, draft=replace(pattern.draft, steps=found("low", "corner", "middle", "beside")))
    # armhole and side have an end that no step finds: they go where the outline brings them, after the shoulder
    assert edges_told(some, "front") == ["Hem", "Neckline", "Shoulder", "Armhole", "Side", "Centre front"]


def test_a_piece_to_the_left_of_its_centre_line_is_told_from_there_too() -> None:
    """The back of the rehearsal skirt, drawn with its centre back at the right: 28 cm wide, from the SVG."""
    pattern = skirt()
    back = card_of(pattern, "back")
    assert (back.frame.upright, back.frame.both_sides) == ("the centre back line", True)
    assert edges_told(pattern, "back") == ["Waist", "Side", "Hem", "Centre back"]
    assert any(row[2:] == ("28 left", "60.2") for step in back.steps for row in step.table)


def test_a_piece_with_two_like_sides_is_told_clockwise_from_its_top() -> None:
    assert edges_told(sample_pattern(), "pocket") == ["Top", "Right", "Bottom", "Left"]
    assert edges_told(dressed(ALTO), "sleeve") == ["Cap", "Underarm front", "Hem", "Underarm back"]


def test_points_of_an_edge_come_before_it_in_the_order_of_the_draft() -> None:
    order = titles(card_of(dressed(ALTO, "in", hem="a-line"), "front"))
    for before, after in (("Neck side", "Neck centre"), ("Neck centre", "Neckline"), ("Mid armhole", "Armhole")):
        assert order.index(before) < order.index(after)
    assert order.index("Hem side") == order.index("Side") - 1


@cache
def skirt() -> Pattern:
    return pattern_of(load_job(FIXTURES / "drawings" / "skirt.toml"))


@pytest.mark.parametrize("draw", [independent, rounded_run])
def test_a_drawn_pattern_can_be_chalked(draw: object) -> None:
    far = worst(skirt(), draw)  # type: ignore[arg-type]
    assert max(far.values()) <= EIGHTH, far


def test_the_longest_seam_of_a_piece_is_measured_from_only_if_it_is_the_one() -> None:
    """150 x 140 mm: with its left side slanted it has one upright seam, 140 mm high. A short one is no centre line."""
    left = Edge.straight("left", Point(0, 140), Point(20, 0))
    bottom = Edge.straight("bottom", Point(20, 0), Point(150, 0))

    def cut(edges: Sequence[Edge]) -> str:
        """The frame of a pocket with these in place of its own; its grain off the middle."""
        changed = {edge.name: edge for edge in edges}
        pattern = with_drafted(
            sample_pattern(),
            "pocket",
            lambda piece: replace(
                piece,
                edges=tuple(changed.get(edge.name, edge) for edge in piece.edges),
                grain=(Point(140, 20), Point(140, 120)),
            ),
        )
        return card_of(pattern, "pocket").frame.upright

    assert cut([]) == "the upright line"  # two upright sides, as long as each other
    assert cut([left, bottom]) == "the right line"
    low = Edge.straight("right", Point(150, 0), Point(150, 60))
    slanted = Edge("top", EdgeKind.HEM, Edge.straight("top", Point(150, 60), Point(0, 140)).curves)
    assert cut([left, bottom, low, slanted]) == "the upright line"  # 60 of 140 mm
    opening = replace(Edge.straight("right", Point(150, 0), Point(150, 140)), kind=EdgeKind.OPENING)
    assert cut([left, bottom, opening]) == "the upright line"


# --------------------------------------------------------------------------------------------------------- formulas


def test_a_level_is_called_as_the_draft_calls_it() -> None:
    """And a depth that is no level is a point's, whatever its label."""
    pattern = corners()
    steps = (
        Step("front", "brow", "as asked for", 230.0, {}, "under.y", level=True),
        Step("front", "cheek line", "as asked for", 40.0, {}, "tip.y"),
    )
    front = card_of(replace(pattern, draft=replace(pattern.draft, steps=steps)), "front")
    assert titles(front)[:2] == ["Fold and top line", "Brow"]
    assert "Cheek line" not in titles(front)
    under = next(step for step in front.steps if step.title == "Brow")
    assert under.formula == ("= as asked for",)


def test_a_level_of_the_body_is_a_line_to_measure_from_where_it_lies_level() -> None:
    """Not where it slants, nor for 5 cm, nor without a name; its formula is that of a point that lies on it."""
    level = LevelLine("seat", 230.0, (Point(0, -230), Point(245, -230)))
    slanted = LevelLine("knee", 400.0, (Point(0, -400), Point(245, -410)))
    short = LevelLine("brow", 60.0, (Point(0, -60), Point(50, -60)))
    nameless = LevelLine("", 300.0, (Point(0, -300), Point(245, -300)))
    given = (short, level, nameless, slanted)
    pattern = with_drafted(corners(), "front", lambda piece: replace(piece, levels=given))
    steps = (Step("front", "under, down", "as asked for", 230.0, {}, "under.y"),)
    front = card_of(replace(pattern, draft=replace(pattern.draft, steps=steps)), "front")
    assert titles(front)[:2] == ["Fold and top line", "Seat line"]
    assert {"Knee line", "Brow line"}.isdisjoint(titles(front))
    assert [step.title for step in front.steps if step.part == "lines"][2:] == ["Waist line"]  # a line of the piece
    assert front.steps[1].formula == ("= as asked for",)


def test_a_place_above_the_level_line_is_not_taken_for_a_moved_one() -> None:
    """Half an inch up, by a step that counts upwards: its value is 12.7 mm, as a depth it would be less than none."""
    pattern = with_drafted(corners(), "front", lambda piece: replace(piece, internal_lines=()))
    up = Edge.straight("shoulder", Point(180, -40), Point(70, 12.7))
    over = Edge.straight("neckline", Point(70, 12.7), Point(0, 0))
    fold = Edge.straight("centre_front", Point(0, 0), Point(0, -600), EdgeKind.FOLD)
    piece = pattern.piece("front").cut.piece
    edges = (*piece.edges[:3], up, over, fold)
    places = {**piece.points, "beside": Point(70, 12.7)}
    steps = (Step("front", "beside, up", "as asked for", 12.7, {}, "beside.y"),)
    draft = replace(pattern.draft, pieces=(replace(piece, edges=edges, points=places),), seams=(), steps=steps)
    raised = finished(draft, allowances={edge.name: 10.0 for edge in edges})
    front = card_of(raised, "front")
    assert step_of(raised, "front", "Beside").formula == ("= as asked for",)
    assert step_of(raised, "front", "Beside").words == ("1/2 in up from the level line, ~2 3/4 in from the fold.",)
    assert front.frame.y == 0.0


def test_what_is_not_measured_from_the_drafts_own_upright_has_no_formula_across() -> None:
    """A pocket is measured from its middle; its draft from its left end. 150 mm are 75 to the right."""
    pattern = with_drafted(sample_pattern(), "pocket", lambda piece: replace(piece, points={"far": Point(150, 140)}))
    steps = (
        Step("pocket", "far, across", "as asked for", 150.0, {}, "far.x"),
        Step("pocket", "far, down", "as asked for", 9.0, {}, "far.y"),
    )
    told = card_of(replace(pattern, draft=replace(pattern.draft, steps=steps)), "pocket")
    assert [formula for step in told.steps for formula in step.formula] == []
    assert "Far" not in titles(told)


def test_a_step_is_told_once_where_it_says_that_it_belongs() -> None:
    pattern = corners()
    names = ("armhole", "side")
    steps = (
        Step("front", "so much", "as asked for", 25.4, about=names),
        Step("front", "elsewhere", "as asked for", 25.4),
        Step("sleeve", "armhole", "as asked for", 25.4, about=names),
    )
    front = card_of(replace(pattern, draft=replace(pattern.draft, steps=steps)), "front")
    told = {step.title: step.formula for step in front.steps if step.formula}
    assert told == {"Armhole": ("so much = as asked for = 1 in",)}


def test_second_darts_zips_and_caps_have_their_formulas() -> None:
    """Each of a step of the draft, by its own words; half an inch each side of a dart of 1 in."""
    pattern = dressed(ALTO, "in", waist_darts=2, dart_intake=2, waist_seam="yes", zip="side")
    across = "second dart, across = half way between the first dart and the side"
    assert step_of(pattern, "skirt_front", "Second waist dart").formula[0].startswith(across)
    notches = step_of(dressed(ALTO, "in", zip="side"), "back", "Notches").formula
    assert notches[-1].startswith("zip end, down = 1 in below the underarm + zip")
    cap = step_of(pattern, "sleeve", "Cap").formula
    assert [line.partition(" = ")[0] for line in cap] == ["front armhole", "back armhole", "cap length", "cap height"]
    assert "dart, each side at the waist = 1 in ÷ 2 = 1/2 in" in step_of(dressed(ALTO), "front", "Waist dart").formula


def test_a_piece_that_is_cut_as_another_has_the_others_formulas() -> None:
    """Interfacing is told as the facing is, and may be traced from it."""
    pattern = dressed(ALTO, "in", interfacing="yes")
    ours, theirs = (step_of(pattern, name, "Outer edge") for name in ("interfacing_front", "facing_front"))
    assert ours.formula == theirs.formula and len(ours.formula) == 2
    assert "It is the facing front’s outer edge: trace that instead, if you like." in ours.words


def test_a_lining_is_told_how_its_hem_lies_to_the_shells() -> None:
    """1 in above the shell's, which lies 41 in below the top line; by hand."""
    pattern = dressed(ALTO, "in", lining="full", lining_hem_rise=1, length=41)
    (formula,) = step_of(pattern, "lining_front", "Hem centre").formula
    assert formula.startswith("= the shell's hem line − 1 in = 40 in; here ")


def test_a_hem_that_is_turned_back_is_told() -> None:
    """A pegged dress narrows to its hem, so below it the cut line widens again; a pocket's corners are mitred."""
    pattern = dressed(ALTO)
    assert "turned-back" in pattern.piece("front").cut.corners.values()
    told = [text for text in step_of(pattern, "front", "Allowances").words if "the other way" in text]
    assert len(told) == 1
    assert not any("the other way" in text for text in step_of(sample_pattern(), "pocket", "Allowances").words)


# ----------------------------------------------------------------------------------------------------- smooth curves

PLACES = (0 + 0j, 30 - 4j, 71 - 22j, 90 - 61j, 95 - 120j)
FIRST, LAST = 1 + 0j, 0.1 - 0.99j


@pytest.mark.parametrize("count", [2, 3, 5])
@pytest.mark.parametrize("first", [None, FIRST])
@pytest.mark.parametrize("last", [None, LAST])
def test_our_spline_is_scipys(count: int, first: complex | None, last: complex | None) -> None:
    """scipy's CubicSpline over the same chord lengths: second derivative 0 at a free end, else the first one given."""
    places = PLACES[:count]
    gaps = [abs(b - a) for a, b in pairwise(places)]
    far = [0.0, *accumulate(gaps)]
    ends = tuple((2, 0j) if way is None else (1, way) for way in (first, last))
    theirs = CubicSpline(far, places, bc_type=ends)(far, 1)
    assert spline(places, gaps, first, last) == pytest.approx(theirs.tolist(), abs=1e-12)


def test_a_curve_led_by_neighbours_is_a_parabola_through_each_three() -> None:
    """numpy's polynomial of degree 2 through a place and its neighbours; at an end, the second derivative is 0."""
    gaps = [abs(b - a) for a, b in pairwise(PLACES)]
    far = [0.0, *accumulate(gaps)]
    ways = led(PLACES, gaps)
    for i in range(1, len(PLACES) - 1):
        three = slice(i - 1, i + 2)
        for part in ("real", "imag"):
            values = [getattr(p, part) for p in PLACES[three]]
            slope = np.polyval(np.polyder(np.polyfit(far[three], values, 2)), far[i])
            assert getattr(ways[i], part) == pytest.approx(slope, abs=1e-9)
    for end, (i, j) in ((0, (0, 1)), (-1, (-1, -2))):
        chord = (PLACES[1] - PLACES[0]) / gaps[0] if end == 0 else (PLACES[-1] - PLACES[-2]) / gaps[-1]
        assert ways[i] == pytest.approx((3 * chord - ways[j]) / 2, abs=1e-12)
    assert led(PLACES[:2], gaps[:1]) == pytest.approx([PLACES[1] / gaps[0]] * 2)
