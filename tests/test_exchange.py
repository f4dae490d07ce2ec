"""Pattern data of others (ASTM D6673 and its forerunner), read by our own reader.

The fixtures were written by hand from the standard as public notes quote it, one for each oddity that 37 exchange files
were seen to have; §4 to §8 below are those of the notes. Expected numbers are what stands in the fixture, converted by
hand. ezdxf, GDAL and shapely are what the reader is held to; files of our own must come back as pattern.json has them.
"""

from __future__ import annotations

import json
import re
import subprocess
import sys
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from functools import cache
from itertools import pairwise
from math import dist, hypot, isfinite
from pathlib import Path
from typing import Any

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from oaktag.errors import DeviceError, InputError, InputErrors, OaktagError
from oaktag.exchange import outlines
from oaktag.exchange.as_json import as_pattern_json, outward
from oaktag.exchange.graded import grade_boundary, grade_line, grade_point, grade_vertices, untagged
from oaktag.exchange.model import LineData, PatternData, PieceData, RuleTag
from oaktag.exchange.pattern_data import parse_pattern_data, read_pattern_data
from oaktag.exchange.rule_table import RuleTable, parse_rule_table, read_rule_table
from oaktag.export import dxf, dxf_sizes, pattern_json
from oaktag.export.dxf_sizes import Flavour, Units
from oaktag.model.nest import Nest
from wardrobe import ALTO, FIXTURES, ROOT, dressed, nested

XY = tuple[float, float]
FILES = FIXTURES / "exchange"
REFUSED = {"no-blocks", "no-boundary", "no-units-small"}
READ = sorted(path.stem for path in FILES.glob("*.dxf") if path.stem not in REFUSED)
POCKET = ((0.0, 0.0), (140.0, 0.0), (140.0, 160.0), (0.0, 160.0))
"""The pocket that most fixtures hold, counter-clockwise."""
SAME = 0.01
"""Round trip, mm: the finest step that the standard's two decimals can tell."""


@cache
def fixture(name: str) -> bytes:
    return (FILES / f"{name}.dxf").read_bytes()


@cache
def read(name: str) -> PatternData:
    return read_pattern_data(FILES / f"{name}.dxf")


def only(data: PatternData) -> PieceData:
    (piece,) = data.pieces
    return piece


def told(data: PatternData, *words: str) -> bool:
    """Whether one note has all the words."""
    return any(all(word in note for word in words) for note in data.notes)


def shoelace(ring: Sequence[XY]) -> float:
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in pairwise([*ring, ring[0]])) / 2


def written(*pairs: tuple[int, object]) -> bytes:
    return "".join(f"{code}\n{value}\n" for code, value in pairs).encode("latin-1")


def a_file(*entities: bytes, style: bytes = b"", block: str = "POCKET_M", before: bytes = b"") -> bytes:
    """A file of one block, METRIC unless `style` has its own texts."""
    said = style or written((0, "TEXT"), (8, 1), (10, 0), (20, 0), (40, 5), (1, "Units: METRIC"))
    return b"".join(
        [
            written((0, "SECTION"), (2, "BLOCKS")), before,
            written((0, "BLOCK"), (8, 0), (2, block), (70, 64), (10, 0), (20, 0)), *entities, written((0, "ENDBLK")),
            written((0, "ENDSEC"), (0, "SECTION"), (2, "ENTITIES")), said,
            written((0, "INSERT"), (8, 1), (2, block), (10, 0), (20, 0), (0, "ENDSEC"), (0, "EOF")),
        ]
    )  # fmt: skip


def polyline(points: Iterable[Sequence[object]], layer: int = 1, flags: object = 1) -> bytes:
    vertices = [written((0, "VERTEX"), (8, layer), (10, x), (20, y)) for x, y in points]
    return b"".join(
        [written((0, "POLYLINE"), (8, layer), (66, 1), (70, flags)), *vertices, written((0, "SEQEND"), (8, layer))]
    )


def point(layer: int, x: object, y: object, *more: tuple[int, object]) -> bytes:
    return written((0, "POINT"), (8, layer), (10, x), (20, y), *more)


def text(words: str, x: object = 0, y: object = 0, layer: int = 1) -> bytes:
    return written((0, "TEXT"), (8, layer), (10, x), (20, y), (40, 3.5), (1, words))


def refusal(data: bytes, name: str = "apron.dxf") -> str:
    with pytest.raises((InputError, InputErrors)) as caught:
        parse_pattern_data(data, name)
    return str(caught.value)


# ----------------------------------------------------------------------------------------------- §4 boundary and points


@pytest.mark.parametrize("name", ["closed-a", "closed-b", "closed-c"])
def test_three_ways_in_which_one_polyline_closes(name: str) -> None:
    piece = only(read(name))
    assert piece.boundary == piece.boundary_raw == POCKET
    assert piece.from_raw == (0, 1, 2, 3)
    assert read(name).notes == ()


def test_a_chain_of_open_lines_from_grade_point_to_grade_point() -> None:
    data = read("closed-d-chain")
    assert only(data).boundary == ((0, 0), (70, -2), (140, 0), (140, 160), (70, 161), (0, 160))
    assert data.notes == ("POCKET_M: boundary is a chain of 4 open lines; joined.",)


def test_a_chain_whose_lines_stand_in_any_order_and_direction() -> None:
    data = read("chain-in-any-order")
    assert set(only(data).boundary) == set(POCKET)
    assert shoelace(only(data).boundary) == 140 * 160
    assert told(data, "chain of 4 open lines", "3 of them turned round")


def test_a_clockwise_boundary_is_turned_and_its_vertices_keep_their_numbers() -> None:
    data = read("clockwise")
    piece = only(data)
    assert piece.clockwise
    assert piece.boundary == POCKET
    assert piece.boundary_raw == (POCKET[0], *POCKET[:0:-1])
    assert piece.from_raw == (0, 3, 2, 1)
    assert data.notes == (), "most files draw it so"


@pytest.mark.parametrize("name", READ)
def test_every_boundary_is_counter_clockwise_and_leads_back_to_the_file(name: str) -> None:
    for piece in read(name).pieces:
        assert piece.boundary == tuple(piece.boundary_raw[i] for i in piece.from_raw)
        assert all(a != b for a, b in pairwise((*piece.boundary, piece.boundary[0])))
        assert shoelace(piece.boundary) > 0
        assert (shoelace(piece.boundary_raw) < 0) == piece.clockwise


def test_an_open_boundary_is_closed_and_told() -> None:
    data = read("open-boundary")
    assert only(data).boundary == POCKET
    assert told(data, "open by 160 mm", "closed with a straight line")


@pytest.mark.parametrize(("gap", "closes"), [(0.04, True), (0.06, False)])
def test_ends_meet_within_the_tolerance_of_flattening(gap: float, closes: bool) -> None:
    data = parse_pattern_data(a_file(polyline([*POCKET, (0, gap)], flags=0)))
    assert told(data, "open by") != closes
    assert len(only(data).boundary) == (4 if closes else 5)


def test_repeated_vertices_lengthless_lines_points_on_layer_1_and_unknown_entities_are_told() -> None:
    data = read("points-and-texts")
    piece = only(data)
    assert piece.boundary == POCKET
    assert len(piece.boundary_raw) == 7 and piece.from_raw == (0, 2, 5, 6)
    assert piece.grain_lines == (((20.0, 20.0), (20.0, 140.0)),)
    for words in (
        "3 repeated vertices dropped", "a line of no length on layer 7", "POINT on layer 1", "SPLINE on layer 8",
        "ATTDEF on layer 1", "line on layer 12", "1 text without words (no group 1)",
        "layer 7 holds a line of many points", "1 line outside blocks",
    ):  # fmt: skip
        assert told(data, words), words
    assert piece.others["SPLINE on layer 8"] == piece.others["POINT on layer 1"] == 1


def test_a_boundary_that_crosses_itself_is_told_with_the_place() -> None:
    # (0, 0)-(160, 160) and (0, 160)-(140, 0) meet where 140 (160 - y) / 160 = y: y = 74.67, by hand.
    assert told(read("crossing"), "crosses itself at (74.7, 74.7)")


@given(st.lists(st.tuples(st.integers(0, 400), st.integers(0, 400)), min_size=4, max_size=9, unique=True))
def test_crossings_are_those_that_shapely_finds(points: list[XY]) -> None:
    import shapely

    ring = shapely.LinearRing(points)
    assume(abs(shoelace(points)) > 100 and max(x for x, _ in points) > 100)
    data = parse_pattern_data(a_file(polyline(points)))
    crosses = any("crosses itself" in note or "passes twice" in note for note in data.notes)
    if crosses:
        assert not ring.is_simple
    # A corner that only touches another side, or a side that runs back over another, does not cross it.
    elif not ring.is_simple:
        sides = [shapely.LineString(side) for side in pairwise([*points, points[0]])]
        assert not any(a.crosses(b) for i, a in enumerate(sides) for b in sides[i + 1 :])


def test_bulges_and_control_points_of_an_old_polyline() -> None:
    # A half circle of 70 mm radius to the right of the way up (bulge 1), and a vertex with flag 16, which is not on it.
    corners = [((0, 0), ()), ((140, 0), ((42, 1),)), ((140, 140), ()), ((999, 999), ((70, 16),)), ((0, 140), ())]
    vertices = [written((0, "VERTEX"), (8, 1), (10, x), (20, y), *more) for (x, y), more in corners]
    line = written((0, "POLYLINE"), (8, 1), (66, 1), (70, 1)) + b"".join(vertices) + written((0, "SEQEND"), (8, 1))
    ring = only(parse_pattern_data(a_file(line))).boundary
    assert max(x for x, _ in ring) == pytest.approx(210, abs=0.01) and max(y for _, y in ring) == 140
    assert shoelace(ring) == pytest.approx(140 * 140 + 3.14159265 * 70**2 / 2, rel=1e-4)


def test_of_several_loops_the_largest_is_the_boundary_and_blocks_without_one_are_no_pieces() -> None:
    data = read("several-loops")
    assert [piece.block for piece in data.pieces] == ["POCKET_M"]
    assert only(data).boundary == POCKET
    assert told(data, "POCKET_M", "2 more lines on layer 1", "largest area")
    assert told(data, "NOTE_M", "no piece") and told(data, "GUIDE_M", "no piece")


def test_a_boundary_of_single_lines_is_joined() -> None:
    sides = [
        written((0, "LINE"), (8, 1), (10, a[0]), (20, a[1]), (11, b[0]), (21, b[1]))
        for a, b in pairwise([*POCKET, POCKET[0]])
    ]
    data = parse_pattern_data(a_file(*sides))
    assert only(data).boundary == POCKET
    assert told(data, "chain of 4 open lines")


# ---------------------------------------------------------------------------------------------------- §5 notches, marks


def test_every_layer_is_read() -> None:
    data = read("every-layer")
    piece = only(data)
    assert (piece.name, piece.size, piece.right, piece.left, piece.material) == ("FRONT", "M", 1, 0, "SHELL")
    assert (piece.category, piece.annotation) == ("bodice", "on the fold")
    assert (piece.rotation, piece.flip, piece.tilt, piece.fold) == ("0..360", "X", "5", "N")
    assert piece.turn_points == ((0, 0), (250, 0), (250, 400), (0, 400))
    assert piece.curve_points == ((240, 200),)
    assert piece.grade_reference_lines == (((20, 50), (200, 50)), ((20, 60), (200, 90)))
    assert piece.mirror_line == ((0, 0), (0, 400))
    assert piece.grain_lines == (((100, 50), (100, 350)),)
    assert [line.points for line in piece.internal_lines] == [
        ((100, 150), (110, 200), (120, 150)), ((10, 200), (230, 200)),
    ]  # fmt: skip
    assert [line.closed for line in piece.internal_lines] == [True, False]
    assert piece.not_mirrored == ((10, 200),)
    assert [line.points for line in piece.stripe_lines] == [((0, 80), (240, 80)), ((0, 80),)]
    assert [line.points for line in piece.plaid_lines] == [((0, 90), (240, 90))]
    assert [line.points for line in piece.cutouts] == [((50, 300), (70, 300), (70, 320), (50, 320))]
    assert [(hole.point, hole.diameter, hole.kind) for hole in piece.drill_holes] == [
        ((110, 220), 3.0, "2"), ((110, 240), 0.0, ""),
    ]  # fmt: skip
    assert [line.points for line in piece.stitch_lines] == [((0, 10), (240, 10), (230, 200), (240, 390), (0, 390))]
    assert [(t.words, t.angle_deg) for t in piece.annotations] == [("FRONT", 90.0), ("CUT 1 ON FOLD", 0.0)]
    assert {of: len(lines[0].points) for of, lines in piece.validation.items()} == {1: 8, 8: 5, 11: 4, 14: 5}
    assert data.style.curve_tolerance == ".152"
    assert (data.style.date, data.style.time, data.style.version) == ("01-02-2026", "10:30", "D 6673-04")
    assert data.style.author == "Lighthouse Choir;by hand;1"


def test_notches_by_layer_and_width_with_depth_whatever_its_sign() -> None:
    data = read("every-layer")
    found = [(n.kind, n.depth, n.width, n.angle_deg, n.layer) for n in only(data).notches]
    assert found == [
        ("slit", 4.0, 0.0, None, 4), ("V", 3.998, 2.9998, None, 4), ("T", 2.5, 2.5, 0.0, 80),
        ("castle", 5.0, 4.0, 90.0, 81), ("check", 5.0, 4.0, 90.0, 82), ("U", 5.0, 4.0, 270.0, 83),
        ("slit", 7.0, 0.0, 270.0, 4),
    ]  # fmt: skip
    assert only(data).notches[1].signed_depth == -3.998
    assert told(data, "Depths of notches are negative")


def test_a_notch_off_the_boundary_is_measured_and_told() -> None:
    data = read("every-layer")
    last = only(data).notches[-1]
    assert last.off == pytest.approx(0.5) and last.on == pytest.approx((125.0, 400.0)) and last.point == (125.0, 400.5)
    assert all(notch.off < 1e-9 for notch in only(data).notches[:-1])
    assert told(data, "FRONT_M: 1 notch off the boundary, by up to 0.5 mm")


@pytest.mark.parametrize(
    ("at", "angle", "out"),
    [((70, 0), None, (0, -1)), ((140, 80), None, (1, 0)), ((70, 0), 90, (0, -1)), ((70, 0), 270, (0, -1)),
     ((0, 80), 180, (-1, 0)), ((0, 80), 0, (-1, 0))],
)  # fmt: skip
def test_a_notch_points_out_of_the_piece_however_the_file_writes_its_angle(
    at: XY, angle: float | None, out: XY
) -> None:
    more = [] if angle is None else [(50, angle)]
    piece = only(parse_pattern_data(a_file(polyline(POCKET), point(4, *at, (30, 4), (39, 0), *more))))
    assert outward(piece.notches[0], piece.boundary) == pytest.approx(out)


def test_notch_depths_of_another_unit_are_told() -> None:
    # Writer D: 0.7 where all else is in mm (§5).
    data = parse_pattern_data(a_file(polyline(POCKET), point(4, 70, 0, (30, 0.7), (38, 0.7), (39, 0.2), (50, 90))))
    assert only(data).notches[0].depth == 0.7
    assert told(data, "Notches are 0.7 to 0.7 mm deep, which is unlikely")


# -------------------------------------------------------------------------------------------------------- §6 texts


def test_capitals_no_blanks_and_identifiers_of_the_older_flavour() -> None:
    data = read("capitals-no-blanks")
    piece = only(data)
    assert (piece.name, piece.size, piece.material, piece.category) == ("POCKET", "M", "SHELL", "apron")
    assert piece.annotation == "patch pocket"
    assert (piece.right, piece.left) == (2, None)
    assert told(data, "Quantity is one number")
    assert piece.facts == {"shrink": "0"}
    style = data.style
    assert (style.name, style.sample_size, style.units, style.curve_tolerance) == ("APRON", "M", "metric", ".152")
    assert (style.author, style.version) == ("Lighthouse Choir", "ANSI/AAMA-292-1993")
    assert style.others == {"product": "by hand"} and style.texts == ("drawn for the alto section",)


def test_a_quantity_in_words_is_told() -> None:
    assert (only(read("quantity-words")).right, only(read("quantity-words")).left) == (None, None)
    assert told(read("quantity-words"), "Quantity 'a pair' is not understood")


def test_bytes_that_are_not_ascii() -> None:
    assert (only(read("chinese")).name, only(read("chinese")).material) == ("前片", "棉")
    assert told(read("chinese"), "not plain ASCII", "GBK")
    assert (only(read("latin")).name, only(read("latin")).material) == ("Pièce première", "Köper")
    assert told(read("latin"), "Windows-1252")
    utf = parse_pattern_data(a_file(text("placeholder").replace(b"placeholder", "Piece Name: Ärmel".encode()),
                                    polyline(POCKET)))  # fmt: skip
    assert only(utf).name == "Ärmel" and told(utf, "UTF-8")


def test_a_half_with_the_quantity_of_the_whole_is_told() -> None:
    fold = written((0, "LINE"), (8, 6), (10, 0), (20, 0), (11, 0), (21, 160))
    data = parse_pattern_data(a_file(text("Quantity: 1,1"), polyline(POCKET), fold))
    assert told(data, "a half (layer 6) of which 2 are cut")
    assert not told(parse_pattern_data(a_file(text("Quantity: 1,0"), polyline(POCKET), fold)), "a half")


def test_facts_on_a_wrong_layer_are_taken_and_told() -> None:
    data = parse_pattern_data(a_file(text("Piece Name: POCKET", layer=15), polyline(POCKET)))
    assert only(data).name == "POCKET" and told(data, "name stands on layer 15")


def test_rotated_words_and_words_of_a_newer_release() -> None:
    data = read("release-2000")
    piece = only(data)
    assert [t.words for t in piece.annotations] == ["POCKET CUT 2"]
    # A bulge of tan(90° / 4) is a quarter circle of 20 mm: the corner's area is 20² (1 - pi / 4) less than the square.
    assert shoelace(piece.boundary) == pytest.approx(140 * 160 - 400 * (1 - 3.14159265 / 4), abs=0.1)
    assert all(abs(dist(p, (120, 20)) - 20) < 0.003 for p in piece.boundary[1:-2])
    # A half circle of 20 mm round (70, 80), from right to left over the top.
    arc = piece.internal_lines[0].points
    assert arc[0] == pytest.approx((90, 80)) and arc[-1] == pytest.approx((50, 80)) and min(y for _, y in arc) > 79.99
    hole = piece.drill_holes[0]
    assert hole.point == pytest.approx((70, 60), abs=0.01) and hole.diameter == pytest.approx(3.0, abs=0.01)
    assert told(data, "mm is taken from the header's $INSUNITS")
    assert not told(data, "Model_Space")


# -------------------------------------------------------------------------------------------------------- §7 grading


def test_a_nest_keeps_its_sizes_and_the_order_of_vertices() -> None:
    data = read("nest")
    assert data.sizes == ("S", "M", "L")
    assert [len(piece.boundary_raw) for piece in data.pieces] == [6, 6, 6]
    assert [bool(piece.notches) for piece in data.pieces] == [False, True, False], "only in the base size"
    assert [piece.right for piece in data.pieces] == [None, 2, None]
    shaped = as_pattern_json(data)["pieces"]
    assert [(piece["quantity"], piece["material"]) for piece in shaped] == [(2, "SHELL")] * 3, "the base size's"


def test_sizes_that_differ_in_their_vertices_are_told() -> None:
    small = [*POCKET[:2], (100.0, 150.0), *POCKET[2:]]
    before = b"".join(
        [written((0, "BLOCK"), (8, 0), (2, "POCKET_S"), (70, 64), (10, 0), (20, 0)), text("Piece Name: POCKET"),
         text("Size: S"), polyline(small), written((0, "ENDBLK"))]
    )  # fmt: skip
    data = parse_pattern_data(a_file(text("Piece Name: POCKET"), text("Size: M"), polyline(POCKET), before=before))
    assert told(data, "POCKET: its sizes have from 4 to 5 vertices")


@pytest.mark.parametrize(("name", "layer"), [("base", 1), ("base-aama", 2)])
def test_base_and_rule_table_give_the_nest(name: str, layer: int) -> None:
    """The nest's numbers were worked by hand: rules along a grade reference line that stands upright, and between two
    ruled corners moves in proportion to the way walked (60 of 140 mm: 3/7; the mitred top: one half)."""
    piece, table = only(read(name)), read_rule_table(FILES / f"{name}.rul")
    assert table.sizes == ("S", "M", "L") and table.sample == "M"
    assert {tag.layer for tag in piece.rule_tags if tag.layer in (1, 2)} == {layer}
    nest = {p.size: p.boundary_raw for p in read("nest").pieces}
    close = 1e-4 if name == "base" else 2e-4  # the older flavour's table is in inches, six decimals
    for size, ring in grade_boundary(piece, table).items():
        assert max(dist(p, q) for p, q in zip(ring, nest[size], strict=True)) < close
    for size, vertices in grade_vertices(piece, table).items():
        assert set(vertices) == {0, 2, 3, 5}
        assert all(dist(p, nest[size][i]) < close for i, p in vertices.items())
    assert grade_boundary(piece, table)["M"] == piece.boundary_raw


def test_without_a_grade_reference_line_rules_run_along_the_drawing() -> None:
    piece = replace(only(read("base")), grade_reference_lines=())
    ring = grade_boundary(piece, read_rule_table(FILES / "base.rul"))["S"]
    assert ring[2] == pytest.approx((140.0, 4.0)) and ring[3] == pytest.approx((137.0, 164.0))


def test_tags_on_the_lines_own_layer_count_before_those_on_turn_points() -> None:
    piece = only(read("base"))
    doubled = replace(piece, rule_tags=(*piece.rule_tags, RuleTag(1, None, 2, (140.0, 0.0))))
    table = read_rule_table(FILES / "base.rul")
    assert grade_vertices(doubled, table) == grade_vertices(piece, table)


def test_alternate_rules_are_kept_in_the_tag() -> None:
    piece = only(parse_pattern_data(a_file(polyline(POCKET), text("# 3,7", 140, 160), text("#4", 0, 160))))
    assert [(tag.rule, tag.alternate) for tag in piece.rule_tags] == [(3, 7), (4, None)]


def test_tags_that_stand_nowhere_are_found() -> None:
    piece = only(parse_pattern_data(a_file(polyline(POCKET), text("# 1", 140, 160), text("# 2", 70, 70))))
    assert [tag.rule for tag in untagged(piece)] == [2]


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda p: replace(p, rule_tags=()), "no vertex of the boundary carries a rule"),
        (lambda p: replace(p, rule_tags=(RuleTag(99, None, 1, (0.0, 0.0)),)), "rule 99, which the table does not have"),
        (lambda p: replace(p, size="L"), "the piece is size 'L', the rules are measured from 'M'"),
    ],
)
def test_what_cannot_be_graded_is_refused(change: Callable[[PieceData], PieceData], words: str) -> None:
    with pytest.raises(InputError, match=words):
        grade_boundary(change(only(read("base"))), read_rule_table(FILES / "base.rul"))


# ------------------------------------------------------------------------------------------------- §7 the rule table


def test_both_heads_of_a_rule_table_say_the_same() -> None:
    """The second is in inches to six decimals, has blanks alone or commas between, wraps elsewhere, and no END."""
    first, second = (read_rule_table(FILES / f"{name}.rul") for name in ("base", "base-aama"))
    assert first.rules[3] == ((-3.0, 4.0), (0.0, 0.0), (3.0, -4.0)), "as written"
    assert (first.name, first.units, second.units) == ("BASE", "metric", "english")
    assert (first.version, second.version) == ("D 6673-10", "ANSI/AAMA-292-1993")
    assert first.rules.keys() == second.rules.keys()
    for number, moves in first.rules.items():
        assert all(dist(a, b) < 2e-5 for a, b in zip(moves, second.rules[number], strict=True))
    assert first.notes == () and second.notes == ("END is missing.",)
    assert first.move(2, "L") == (0.0, -4.0)


HEAD = "UNITS: METRIC\nNUMBER OF SIZES: 2\nSIZE LIST: 8 10\nSAMPLE SIZE: 10\n"
RULE = "RULE: DELTA 1\n -5, -2.5  0, 0\n"


@pytest.mark.parametrize(
    ("table", "line", "words"),
    [
        (HEAD + "RULE: DELTA 1\n -5, -2.5\nEND\n", 5, "rule 1 has 1 pairs"),
        (HEAD + "RULE: DELTA 1\n -5, -2.5 0\nEND\n", 5, "rule 1 has 3 numbers"),
        (HEAD + "RULE: DELTA 1\n -5,00, -2,50 0,00, 0,00\nEND\n", 5, "Write decimals with a point"),
        (HEAD + RULE + RULE + "END\n", 7, "rule 1 is given again, after line 5"),
        (HEAD + "RULE: DELTA 1\n -5, x  0, 0\nEND\n", 6, "'x' is not a number"),
        (HEAD + "RULE: DELTA 1\n -5, nan  0, 0\nEND\n", 6, "'nan' is not a number"),
        (HEAD + "RULE: DELTA 1\n -5, 1e400  0, 0\nEND\n", 6, "'1e400' is not a number"),
        (HEAD + "RULE: DELTA 1\n -50000, 1  0, 0\nEND\n", 5, "rule 1 moves a point by -50000 mm"),
        (HEAD + "RULE: DELTA one\n -5, 1  0, 0\nEND\n", 5, "RULE: DELTA and a whole number"),
        (HEAD + "RULE: CURVE 1\n -5, 1  0, 0\nEND\n", 5, "a rule is called 'CURVE 1'"),
        (HEAD.replace("SIZE: 10", "SIZE: 11") + RULE + "END\n", 4, "the sample size '11' is not in the size list"),
        (HEAD.replace("SIZES: 2", "SIZES: 3") + RULE + "END\n", 2, "NUMBER OF SIZES is '3', the size list has 2"),
        (HEAD.replace("SIZES: 2", "SIZES: -2") + RULE + "END\n", 2, "NUMBER OF SIZES is '-2'"),
        (HEAD.replace("8 10", "10 10") + RULE + "END\n", 3, "names a size twice"),
        (HEAD.replace("METRIC", "CUBITS") + RULE + "END\n", 1, "units are 'CUBITS'"),
        (HEAD.replace("SIZE LIST: 8 10\n", "") + RULE + "END\n", 0, "SIZE LIST is missing"),
        (HEAD.replace("SAMPLE SIZE: 10\n", "") + RULE + "END\n", 0, "SAMPLE SIZE is missing"),
        (HEAD + "END\n", 0, "it holds no rules"),
        (HEAD + "5, 5\n" + RULE + "END\n", 5, "numbers stand outside a rule"),
        (HEAD + "a stray line\n" + RULE + "END\n", 5, "neither a header line nor a rule"),
        ("", 0, "SIZE LIST is missing"),
    ],
)
def test_mistakes_of_a_rule_table_are_told_with_their_lines(table: str, line: int, words: str) -> None:
    with pytest.raises(InputErrors) as caught:
        parse_rule_table(table.encode(), "apron.rul")
    errors = [error for error in caught.value.errors if words in str(error)]
    assert errors, str(caught.value)
    assert all(error.where and error.where.file == "apron.rul" for error in errors)
    assert line in {0, *(error.where.line for error in errors if error.where)}
    assert "expected" in str(errors[0])


def test_all_mistakes_of_a_rule_table_are_told_at_once() -> None:
    with pytest.raises(InputErrors) as caught:
        parse_rule_table(
            (HEAD.replace("METRIC", "ELLS") + "RULE: DELTA 1\n x, 0 0, 0\nRULE: DELTA 2\n 1, 2\n").encode()
        )
    assert len(caught.value.errors) == 3


def test_what_a_rule_table_may_leave_open_is_noted() -> None:
    table = parse_rule_table((HEAD + "RULE: DELTA 0\n 1,2 3,4\nEND\nand more\n").encode())
    assert any("move the sample size itself" in note and "0" in note for note in table.notes)
    assert any("stand after END" in note for note in table.notes)
    silent = HEAD.replace("UNITS: METRIC\n", "") + "RULE: DELTA 1\n 1,0 0,0\nEND\n"
    assert parse_rule_table(silent.encode()).rules[1][0] == (1.0, 0.0)
    english = parse_rule_table(silent.encode(), units="english")
    assert english.rules[1][0] == (25.4, 0.0) and any("ENGLISH is taken" in note for note in english.notes)


@pytest.mark.parametrize("ends", ["\n", "\r\n", "\r"])
def test_a_rule_table_in_any_order_and_with_any_line_ends(ends: str) -> None:
    lines = (FILES / "base.rul").read_text().splitlines()
    head, rules = lines[:9], lines[9:]
    turned = ends.join([*reversed(head), *(line.replace(",", "  ") for line in rules), "", "\x1a"])
    table, meant = parse_rule_table(turned.encode()), read_rule_table(FILES / "base.rul")
    assert (table.rules, table.sizes, table.sample, table.name) == (meant.rules, meant.sizes, meant.sample, meant.name)


# ------------------------------------------------------------------------------------------------ §8 units and place


def test_english_is_inches() -> None:
    data = read("english")
    assert data.unit == "in"
    # 5.5118 × 6.2992 in, 0.1574 in deep, by hand
    assert only(data).boundary[2] == pytest.approx((139.99972, 159.99968), abs=1e-5)
    assert only(data).notches[0].depth == pytest.approx(3.99796, abs=1e-5)


def test_units_that_contradict_the_geometry_are_believed_and_told() -> None:
    data = read("english-over-centimetres")
    assert data.unit == "in"
    assert told(data, "Read in inches, as the file says ENGLISH", "3302 × 1067 mm", "in mm or cm it would be one")
    # The width of 42, by hand, in each unit; the maker has the last word.
    for unit, mm in (("mm", 42.0), ("cm", 420.0), ("in", 1066.8)):
        asked = read_pattern_data(FILES / "english-over-centimetres.dxf", unit=unit)  # type: ignore[arg-type]
        assert asked.pieces[0].boundary[1][0] == pytest.approx(mm)
    assert told(read_pattern_data(FILES / "english-over-centimetres.dxf", unit="cm"), "read in cm, as asked")


def test_a_file_without_units_is_in_mm_only_if_that_makes_a_garments_piece() -> None:
    assert read("no-units").unit == "mm" and told(read("no-units"), "No units are told; mm are taken", "400 × 250 mm")
    assert refusal(fixture("no-units-small"), "coat.dxf") == (
        "coat.dxf: it does not say its units, and its largest piece is 130 × 42 of them; expected a text Units: METRIC "
        "or Units: ENGLISH. Say the unit; it has the size of a garment's piece in mm or cm."
    )
    assert parse_pattern_data(fixture("no-units-small"), unit="cm").pieces[0].boundary[1][0] == 420.0


def test_a_unit_that_there_is_not_is_refused() -> None:
    with pytest.raises(InputError, match="'ell' is not a unit"):
        parse_pattern_data(fixture("closed-a"), unit="ell")  # type: ignore[arg-type]


def test_a_scale_piece_of_another_size_is_told() -> None:
    square = polyline([(0, 0), (50, 0), (50, 50), (0, 50)])
    data = parse_pattern_data(a_file(text("Piece Name: SCALE 100 MM"), square, block="SCALE_100_MM"))
    assert data.pieces[0].proves_scale and told(data, "SCALE_100_MM", "50.00 × 50.00 mm", "100 mm is meant")


def test_blocks_lie_where_their_insert_puts_them() -> None:
    data = read("insert-off-origin")
    pocket, tab = data.pieces
    assert pocket.boundary == ((500, 300), (640, 300), (640, 460), (500, 460))
    assert pocket.drill_holes[0].point == (570, 380)
    assert tab.boundary == ((800, 0), (850, 0), (850, 120), (800, 120)), "from the block's own base point (10, 10)"
    assert told(data, "INSERT of block 'LOST_M', which is not there")


def test_an_insert_that_turns_or_mirrors() -> None:
    data = read("insert-turned")
    pocket, tab = data.pieces
    # (x, y) → (500 - y, 300 + x)
    assert [tuple(map(round, p)) for p in pocket.boundary] == [(500, 300), (500, 440), (340, 440), (340, 300)]
    assert pocket.notches[0].point == pytest.approx((420, 440))
    assert pocket.notches[0].angle_deg == pytest.approx(270.0)
    assert tab.clockwise and set(tab.boundary) == {(800, 0), (660, 0), (660, 160), (800, 160)}
    assert told(data, "POCKET_M", "turns it by 90°") and told(data, "TAB_M", "scales it by -1 × 1")


def test_blocks_without_insert_twice_inserted_and_nested() -> None:
    before = b"".join(
        [written((0, "BLOCK"), (8, 0), (2, "TAB_M"), (70, 64), (10, 0), (20, 0)), polyline(POCKET),
         written((0, "INSERT"), (8, 1), (2, "POCKET_M"), (10, 0), (20, 0)), written((0, "ENDBLK"))]
    )  # fmt: skip
    again = text("Units: METRIC") + written((0, "INSERT"), (8, 1), (2, "pocket_m"), (10, 7), (20, 0))
    data = parse_pattern_data(a_file(polyline(POCKET), before=before, style=again))
    assert told(data, "TAB_M: no INSERT") and told(data, "TAB_M: blocks inserted in it are left out")
    assert told(data, "inserted more than once")
    assert [piece.boundary[0] for piece in data.pieces] == [(0, 0), (7, 0)]


def test_decimal_commas_are_read_and_told() -> None:
    data = read("decimal-commas")
    assert only(data).boundary == POCKET and told(data, "Numbers have decimal commas", "48 times")


def test_missing_stitch_lines_are_told() -> None:
    assert told(read("base"), "whether layer 1 has allowances is not told")


@pytest.mark.parametrize("name", sorted(REFUSED - {"no-units-small"}))
def test_files_without_pieces_are_refused_with_what_to_do(name: str) -> None:
    words = refusal(fixture(name), "apron.dxf")
    assert words.startswith("apron.dxf: ") and "expected a block for each piece, its boundary on layer 1" in words
    assert words.endswith("Export the pattern as sewn-product pattern data, not as a drawing.")


# ------------------------------------------------------------------------------------------ the same file otherwise put


def rewritten(data: bytes, end: str, pad: int, blank: str, bom: bool, tail: str) -> bytes:
    rows = data.decode("latin-1").replace("\r", "").rstrip("\n").split("\n")
    rows = [f"{row.strip():>{pad}}" if i % 2 == 0 else row + blank for i, row in enumerate(rows)]
    return (b"\xef\xbb\xbf" if bom else b"") + (end.join(rows) + end + tail).encode("latin-1")


@given(
    name=st.sampled_from([name for name in READ if name not in ("chinese", "latin")]),
    end=st.sampled_from(["\n", "\r\n", "\r"]),
    pad=st.integers(0, 6),
    blank=st.sampled_from(["", " ", "\t"]),
    bom=st.booleans(),
    tail=st.sampled_from(["", "\n\n", "\x1a", "\x1a\r\n", "  \n"]),
)
def test_line_ends_padding_byte_order_mark_and_what_follows_eof_change_nothing(
    name: str, end: str, pad: int, blank: str, bom: bool, tail: str
) -> None:
    again = parse_pattern_data(rewritten(fixture(name), end, pad, blank, bom, tail))
    assert replace(again, notes=()) == replace(read(name), notes=())
    assert set(again.notes) - set(read(name).notes) <= {
        "Texts are not plain ASCII, as the standard asks; read as UTF-8."
    }


@given(st.integers(-180, 180), st.floats(-2000, 2000), st.floats(-2000, 2000))
def test_an_insert_moves_and_turns_without_changing_shape(angle: int, x: float, y: float) -> None:
    plain = only(read("every-layer"))
    insert = f"2\nFRONT_M\n 10\n{x:.4f}\n 20\n{y:.4f}\n 50\n{angle}\n"
    head, _, tail = (
        fixture("every-layer").decode().replace("\r", "").rpartition("2\nFRONT_M\n 10\n0.0000\n 20\n0.0000\n")
    )
    assert head, "the INSERT of the fixture was found"
    piece = only(parse_pattern_data(f"{head}{insert}{tail}".encode()))
    assert shoelace(piece.boundary) == pytest.approx(shoelace(plain.boundary), abs=1e-3)
    for a, b in zip(plain.notches, piece.notches, strict=True):
        assert (a.kind, a.depth, a.width) == (b.kind, pytest.approx(b.depth), pytest.approx(b.width))
        assert a.off == pytest.approx(b.off, abs=1e-9)
        assert a.angle_deg is None or (b.angle_deg is not None and (b.angle_deg - a.angle_deg - angle + 180) % 360
                                       == pytest.approx(180, abs=1e-6))  # fmt: skip
    assert dist(*piece.grain_lines[0]) == pytest.approx(dist(*plain.grain_lines[0]))


# -------------------------------------------------------------------------------------------------- independent readers


def _faces(lines: list[Any]) -> list[Any]:
    import shapely

    noded = shapely.node(shapely.GeometryCollection(lines))
    return list(shapely.get_parts(shapely.polygonize(shapely.get_parts(noded))))


def largest(lines: Iterable[Any]) -> Any:
    """The largest polygon that lines enclose, by shapely; ends that miss each other by less than 0.01 meet."""
    import shapely

    lines = list(lines)
    faces = _faces(lines) or _faces([shapely.transform(line, lambda xy: xy.round(2)) for line in lines])
    return max((shapely.Polygon(face.exterior) for face in faces), key=lambda face: face.area)


def by_ezdxf(path: Path) -> dict[str, dict[str, list[Any]]]:
    """The lines of each block and layer, as shapely lines in units of the file; a flag that says closed is obeyed."""
    import ezdxf
    import shapely

    found: dict[str, dict[str, list[Any]]] = {}
    for block in ezdxf.readfile(path).blocks:
        layers = found.setdefault(block.name, {})
        for entity in block:
            if entity.dxftype() == "POLYLINE":
                points = [(v.dxf.location.x, v.dxf.location.y) for v in entity.vertices]
                points += points[:1] if entity.is_closed else []
            elif entity.dxftype() == "LINE":
                points = [(entity.dxf.start.x, entity.dxf.start.y), (entity.dxf.end.x, entity.dxf.end.y)]
            else:
                continue
            layers.setdefault(entity.dxf.layer, []).append(shapely.LineString(points))
    return {name: layers for name, layers in found.items() if "1" in layers}


def by_gdal(path: Path) -> dict[str, dict[str, list[Any]]]:
    pytest.importorskip("pyogrio")
    import pyogrio
    import shapely

    options = {"DXF_INLINE_BLOCKS": "FALSE", "DXF_MERGE_BLOCK_GEOMETRIES": "FALSE"}
    before = {name: pyogrio.get_gdal_config_option(name) for name in options}
    pyogrio.set_gdal_config_options(options)
    try:
        meta, _, shapes, columns = pyogrio.raw.read(path, layer="blocks", columns=["Block", "Layer"])
    finally:
        pyogrio.set_gdal_config_options(before)
    table = dict(zip(meta["fields"], columns, strict=True))
    found: dict[str, dict[str, list[Any]]] = {}
    for block, layer, shape in zip(table["Block"], table["Layer"], shapely.from_wkb(shapes), strict=True):
        if shape is not None and shape.geom_type == "LineString":
            found.setdefault(block, {}).setdefault(layer, []).append(shape)
    return {name: layers for name, layers in found.items() if "1" in layers}


def agree(data: PatternData, blocks: dict[str, dict[str, list[Any]]], unit: float, rounding: float = 1e-3) -> None:
    """Piece count, areas and lengths. `rounding`, mm: what lines may differ by."""
    import shapely

    assert {piece.block for piece in data.pieces} == set(blocks)
    for piece in data.pieces:
        layers = blocks[piece.block]
        theirs, ours = largest(layers["1"]), shapely.Polygon(piece.boundary)
        if ours.is_valid:
            assert ours.length == pytest.approx(theirs.length * unit, abs=rounding)
            assert ours.area == pytest.approx(theirs.area * unit * unit, abs=rounding * ours.length)
        for layer, lines in (("14", piece.stitch_lines), ("8", piece.internal_lines), ("11", piece.cutouts)):
            lengths = sorted(
                shapely.LinearRing(line.points).length if line.closed else shapely.LineString(line.points).length
                for line in lines
            )
            meant = sorted(line.length * unit for line in layers.get(layer, []))
            assert lengths == pytest.approx(meant, abs=rounding)


PLAIN = [
    name for name in READ if name not in ("release-2000", "decimal-commas", "crossing", "open-boundary", "chinese")
]
"""What other readers take too: ASCII or nearly, Release 12, no decimal commas, a boundary that encloses something."""


@pytest.mark.parametrize(
    ("reader", "name"),
    [(by_gdal, name) for name in PLAIN]
    # ezdxf takes no SPLINE in a file of Release 12.
    + [(by_ezdxf, name) for name in PLAIN if name != "points-and-texts"],
)
def test_other_readers_find_the_same_pieces_in_the_fixtures(name: str, reader: Callable[[Path], Any]) -> None:
    data = read(name)
    agree(data, reader(FILES / f"{name}.dxf"), {"mm": 1.0, "cm": 10.0, "in": 25.4}[data.unit])


@cache
def five() -> Nest:
    return nested()


@cache
def nest_bytes(units: Units, flavour: Flavour) -> bytes:
    return dxf_sizes.render_nest(five(), units=units, flavour=flavour)


@pytest.mark.parametrize("reader", [by_ezdxf, by_gdal], ids=["ezdxf", "GDAL"])
@pytest.mark.parametrize("units", ["metric", "english"])
def test_other_readers_find_the_same_pieces_in_a_nest(
    units: Units, reader: Callable[[Path], Any], tmp_path: Path
) -> None:
    path = tmp_path / "nest.dxf"
    path.write_bytes(nest_bytes(units, "astm"))
    data = read_pattern_data(path)
    assert len(data.pieces) == 5 * len(five().base_pattern.pieces) + 2
    agree(data, reader(path), 25.4 if units == "english" else 1.0)


# ------------------------------------------------------------------------------------------------------- round trips


def slug(name: str) -> str:
    return "".join(c if c.isalnum() else "-" for c in name.lower())


def off(a: Sequence[Sequence[float]], b: Sequence[Sequence[float]], by: XY) -> float:
    """The farthest that point i of b lies from point i of a moved by `by`; both must have as many."""
    assert len(a) == len(b)
    return max((hypot(q[0] - p[0] - by[0], q[1] - p[1] - by[1]) for p, q in zip(a, b, strict=True)), default=0.0)


def as_written(
    meant: dict[str, Any], found: dict[str, Any], *, notches: float | None = SAME, words: bool = True
) -> None:
    """A piece of pattern.json, and the same read from the DXF: equal within 0.01 mm, but for where it lies.

    `notches`: how far their places may be off; None where there are none.
    """
    by = (
        found["cut_line"][0][0] - meant["cut_line"][0][0],
        found["cut_line"][0][1] - meant["cut_line"][0][1],
    )
    for key in ("size", "on_fold"):
        assert found[key] == meant[key]
    assert slug(found["name"]) == slug(meant["name"])[:20] and slug(found["material"]) == slug(meant["material"])
    for key in ("cut_line", "stitch_line", "drill_holes"):
        assert off(meant[key], found[key], by) < SAME, key
    for key in ("grain_line", "fold_line"):
        assert (meant[key] is None) == (found[key] is None)
        assert off(meant[key] or (), found[key] or (), by) < SAME, key
    for key in ("internal_lines", "darts"):
        assert len(meant[key]) == len(found[key])
        for a, b in zip(meant[key], found[key], strict=True):
            assert off(a["points"], b["points"], by) < SAME, key
    for a, b in zip(meant["darts"], found["darts"], strict=True):
        assert abs(b["intake"] - from_leg_to_leg(a["points"])) < 2 * SAME
    if notches is None:
        assert found["notches"] == []
    else:
        spots = [(spot, notch) for notch in meant["notches"] for spot in notch["cut_points"]]
        assert off([spot for spot, _ in spots], [notch["point"] for notch in found["notches"]], by) < notches
        for (_, a), b in zip(spots, found["notches"], strict=True):
            assert a["kind"] == b["kind"]
            assert abs(a["depth"] - b["depth"]) < SAME and abs(a["width"] - b["width"]) < SAME
    if words:
        assert found["label"] == [ascii_words(line) for line in meant["label"]]


def from_leg_to_leg(dart: Sequence[XY]) -> float:
    """What a DXF can tell of a dart's intake: straight across, where the draft's own is measured along the waist."""
    return dist(dart[0], dart[2]) if len(dart) == 3 else dist(dart[1], dart[3])


def ascii_words(line: str) -> str:
    """Signs that a file of ASCII spells out."""
    for sign, spelt in (("×", "x"), ("–", "-"), ("−", "-")):
        line = line.replace(sign, spelt)
    return line


SINGLE = {
    "demo": {},
    "side zip": {"zip": "side", "hem": "a-line", "sleeve": "long", "neckline": "square"},
    "no sleeve": {"sleeve": "none", "facing": "all-in-one"},
    "lined": {"lining": "full", "waist_seam": "yes"},
}


@pytest.mark.parametrize("style", SINGLE)
def test_one_size_comes_back_as_pattern_json_has_it(style: str) -> None:
    pattern = dressed(ALTO, **SINGLE[style])
    meant = json.loads(pattern_json.render(Nest.single(pattern), ()))
    data = parse_pattern_data(dxf.render(pattern), "pattern.dxf")
    found = as_pattern_json(data)
    assert data.notes == ()
    assert found["base"] == meant["base"] and found["sizes"] == meant["sizes"]
    assert len(found["pieces"]) == len(meant["pieces"]) > 3
    for a, b in zip(meant["pieces"], found["pieces"], strict=True):
        as_written(a, b)
        assert b["quantity"] == a["quantity"] and b["mirrored_pair"] == a["mirrored_pair"]
    for marked, b in zip(pattern.pieces, found["pieces"], strict=True):
        ways = [way for notch in marked.notches for _, way in notch.each()]
        assert [notch["direction"] for notch in b["notches"]] == [pytest.approx(tuple(way), abs=2e-4) for way in ways]


@pytest.mark.parametrize("flavour", ["astm", "aama"])
@pytest.mark.parametrize("units", ["metric", "english"])
def test_a_nest_comes_back_as_pattern_json_has_it(units: Units, flavour: Flavour) -> None:
    meant = json.loads(pattern_json.render(five(), ()))
    data = parse_pattern_data(nest_bytes(units, flavour), "pattern-nest.dxf")
    found = as_pattern_json(data)
    assert found["sizes"] == meant["sizes"] and found["base"] == meant["base"]
    pieces = {(slug(piece["name"]), piece["size"]): piece for piece in found["pieces"]}
    assert len(pieces) == len(meant["pieces"]) == 5 * len(five().base_pattern.pieces)
    places: dict[str, list[XY]] = {}
    for piece in meant["pieces"]:
        again = pieces[slug(piece["name"])[:20], piece["size"]]
        base = piece["size"] == meant["base"]
        # A notch is the same vertex in all sizes: 0.05 mm, as any outline read back (contract: tolerances).
        as_written(piece, again, notches=0.05 if base else None, words=False)
        x, y = (again["cut_line"][0][axis] - piece["cut_line"][0][axis] - piece["shift"][axis] for axis in (0, 1))
        places.setdefault(piece["name"], []).append((x, y))
    for name, moves in places.items():
        assert max(dist(moves[0], move) for move in moves) < SAME, f"{name}: sizes are not laid on each other"


@pytest.mark.parametrize("flavour", ["astm", "aama"])
@pytest.mark.parametrize("units", ["metric", "english"])
def test_base_and_table_come_back_as_the_nest(units: Units, flavour: Flavour) -> None:
    base, table_bytes = dxf_sizes.render_base(five(), units=units, flavour=flavour)
    table = parse_rule_table(table_bytes, "pattern.rul")
    data = parse_pattern_data(base, "pattern.dxf")
    nest = {(p.name, p.size): p for p in parse_pattern_data(nest_bytes(units, flavour)).pieces if not p.proves_scale}
    assert table.sizes == five().sizes and table.sample == five().base and table.name == data.style.rule_table
    assert table.notes == ()
    # Half of the last decimal of rule (0.01 mm, 0.0001 in), base and nest (0.0001); 0.05 mm between tags is promised.
    last = 0.005 + 1e-4 if units == "metric" else 25.4 * 1.5e-4
    moved = 0
    for piece in data.pieces:
        if piece.proves_scale:
            continue
        assert untagged(piece) == ()
        vertices, rings = grade_vertices(piece, table), grade_boundary(piece, table)
        stitches = grade_line(piece, piece.stitch_lines[0], table)
        inner = [grade_line(piece, line, table) for line in piece.internal_lines]
        holes = [grade_point(piece, hole.point, 13, table) for hole in piece.drill_holes]
        ends = [grade_point(piece, end, 7, table) for end in piece.grain_lines[0]]
        for size in table.sizes:
            meant = nest[piece.name, size]
            for i, at in vertices[size].items():
                assert max(abs(at[k] - meant.boundary_raw[i][k]) for k in (0, 1)) < last
                moved += dist(at, piece.boundary_raw[i]) > 1.0
            for a, b in (
                (rings[size], meant.boundary_raw),
                (stitches[size], meant.stitch_lines[0].points),
                *((line[size], other.points) for line, other in zip(inner, meant.internal_lines, strict=True)),
                ([hole[size] for hole in holes], [hole.point for hole in meant.drill_holes]),
                ([end[size] for end in ends], meant.grain_lines[0]),
            ):
                assert off(a, b, (0.0, 0.0)) < 0.05 + 2 * last
    assert moved > 100


# -------------------------------------------------------------------------------------------------------- hostile files


def test_other_kinds_of_files_are_refused_by_name() -> None:
    for begin, words in (
        (b"AutoCAD Binary DXF\r\n\x1a\0", "a binary DXF"), (b"AC1015\0\0", "a DWG drawing"), (b"%PDF-1.7", "a PDF"),
        (b"PK\x03\x04", "a ZIP archive"), (b"\x1f\x8b\x08", "a gzip archive"), (b"\x89PNG\r\n", "a picture"),
        (b"<svg/>", "SVG"), ("0\nSECTION".encode("utf-16"), "UTF-16"), (b"", "it is empty"),
        (b"\0" * 50, "it is empty"),
        (b"hello", "does not begin as"), (b"0" * 1_000_000, "does not begin as a DXF does"),
    ):  # fmt: skip
        assert words in refusal(begin)


def test_files_that_are_not_there_or_cannot_be_read(tmp_path: Path) -> None:
    for read_it in (read_pattern_data, read_rule_table):
        with pytest.raises(InputError, match="there is no such file"):
            read_it(tmp_path / "lost")
        with pytest.raises(InputError, match="this is a folder"):
            read_it(tmp_path)
        with pytest.raises(OaktagError):
            read_it(tmp_path / ("x" * 5_000))
        with pytest.raises(InputError, match="no name of a file"):
            read_it("a\0b")


def test_a_file_that_cannot_be_opened_is_the_devices_fault(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def shut(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", shut)
    with pytest.raises(DeviceError, match="Permission denied"):
        read_pattern_data(tmp_path / "apron.dxf")


def test_files_that_are_too_long_are_refused(tmp_path: Path) -> None:
    path = tmp_path / "long.dxf"
    with path.open("wb") as file:
        file.truncate(100_000_001)
    with pytest.raises(InputError, match="longer than 100 MB"):
        read_pattern_data(path)
    with pytest.raises(InputError, match="longer than 20 MB"):
        read_rule_table(path)
    assert "longer than 100 MB" in refusal(path.read_bytes())


def test_too_many_lines_or_entities_are_refused() -> None:
    begin = written((0, "SECTION"), (2, "BLOCKS"))
    assert "has more than 12000000 lines" in refusal(begin + b"\n" * 12_000_001)
    assert "has 1000003 entities" in refusal(begin + b"0\nVERTEX\n" * 1_000_001 + written((0, "ENDSEC"), (0, "EOF")))


def test_a_boundary_of_very_many_vertices_is_read() -> None:
    # A saw of 50,000 teeth, 2 × 100 mm in all.
    teeth = [(i / 100_000 * 1500, 300 + i % 2) for i in range(100_000, 0, -1)]
    data = parse_pattern_data(a_file(polyline([(0, 0), (1500, 0), *teeth])))
    assert len(only(data).boundary) == 100_002
    assert not told(data, "crosses itself")


def test_an_outline_that_winds_and_winds_is_told_not_pondered() -> None:
    # 3,000 rows to and fro, all with the same slope: none meets another, but the bounds of each overlap all others'.
    rows = [(1500 * right, 0.2 * k + 300 * right) for k in range(3_000) for right in ((0, 1) if k % 2 == 0 else (1, 0))]
    data = parse_pattern_data(a_file(polyline([*rows, (-5, 600), (-5, 0)])))
    assert told(data, "winds so much that it was not looked at for crossings")


def test_very_many_notches_on_a_long_boundary_are_told_not_pondered() -> None:
    teeth = [(i / 4_000 * 1500, 300 + i % 2) for i in range(4_000, 0, -1)]
    notches = [point(4, 1 + i, -1) for i in range(1_000)]
    data = parse_pattern_data(a_file(polyline([(0, 0), (1500, 0), *teeth]), *notches))
    assert len(only(data).notches) == 1_000
    assert told(data, "notches were not measured to the boundary: there are too many")


def test_many_lines_that_meet_in_one_place_are_read() -> None:
    star = [
        written((0, "LINE"), (8, 1), (10, 0), (20, 0), (11, 100 + i % 50), (21, i)) for i in range(2_000)
    ]  # fmt: skip
    data = parse_pattern_data(a_file(polyline(POCKET), *star))
    assert shoelace(only(data).boundary) > 0


def test_a_line_without_end_is_refused() -> None:
    words = refusal(a_file(text("x" * 40_000), polyline(POCKET)))
    assert "a line is 40000 characters long" in words and "apron.dxf:" in words


@pytest.mark.parametrize("number", ["nan", "inf", "-inf", "1e400", "1e9", "1_0", "0x10", "", "twelve", "١٢"])
def test_what_is_no_finite_number_is_refused_with_its_line(number: str) -> None:
    data = a_file(text("Size: M"), polyline(POCKET)).replace(b"10\n140.0\n", f"10\n{number}\n".encode(), 1)
    line = data.decode().split("\n").index(number, 20) + 1
    words = refusal(data)
    assert f"apron.dxf:{line}: " in words
    assert "is not a number" in words or "farther than any pattern reaches" in words or "missing" in words


def test_all_bad_numbers_are_told_at_once_but_not_without_end() -> None:
    bad = [point(2, "x", 0) for _ in range(3)]
    assert refusal(a_file(polyline(POCKET), *bad)).count("'x' is not a number") == 3
    assert refusal(a_file(polyline(POCKET), *bad * 1_000)).count("'x' is not a number") == 20


@pytest.mark.parametrize(
    "entity",
    [
        written((0, "POLYLINE"), (8, 8), (66, -1), (70, -1), (71, -5), (72, -5), (0, "SEQEND")),
        written((0, "LWPOLYLINE"), (8, 8), (90, -4), (70, 1)),
        written((0, "ARC"), (8, 8), (10, 0), (20, 0), (40, -5), (50, 0), (51, 360)),
        written((0, "CIRCLE"), (8, 8), (10, 0), (20, 0), (40, 0)),
        written((0, "INSERT"), (8, 1), (2, "POCKET_M"), (10, 0), (20, 0), (70, -5), (71, -5)),
        written((0, "LWPOLYLINE"), (8, 8), (70, 1), (10, 0), (20, 0), (42, 1e6), (10, 9), (20, 9), (42, -1e-300)),
        polyline([(0, 0)], layer=8), polyline([], layer=8), polyline([(5, 5), (5, 5)], layer=11),
        point(4, 70, 0, (30, -4), (39, -3), (50, -90)),
    ],
)  # fmt: skip
def test_counts_and_sizes_below_nothing_do_no_harm(entity: bytes) -> None:
    data = parse_pattern_data(a_file(polyline(POCKET), entity))
    assert only(data).boundary == POCKET
    as_pattern_json(data)


def test_arcs_cannot_be_multiplied_without_end() -> None:
    circle = written((0, "CIRCLE"), (8, 8), (10, 0), (20, 0), (40, 9e6))
    assert "arcs come to more than 1000000 points" in refusal(a_file(polyline(POCKET), circle * 2_000))


def test_blocks_within_blocks_and_blocks_without_end() -> None:
    opened = b"".join(written((0, "BLOCK"), (8, 0), (2, f"B{i}"), (70, 64), (10, 0), (20, 0)) for i in range(5_000))
    data = parse_pattern_data(a_file(polyline(POCKET), before=opened))
    assert [piece.block for piece in data.pieces] == ["POCKET_M"]
    assert len(data.notes) <= 301 and told(data, "more notes are left out")


def test_a_file_cut_short_is_refused_with_what_to_do() -> None:
    whole = fixture("every-layer")
    assert "the file stops before EOF" in refusal(whole[: len(whole) // 2])
    assert "Fetch or export the file again" in refusal(whole[: len(whole) // 2])


def test_a_line_too_few_is_told_near_its_place() -> None:
    rows = fixture("every-layer").decode().replace("\r", "").split("\n")
    del rows[201]
    words = refusal("\n".join(rows).encode())
    place = int(words.split("apron.dxf:")[1].split(":")[0])
    assert 195 <= place <= 215, words


NOISE = st.sampled_from(
    [b"-1", b"0", b"1", b"70", b"999", b"1e400", b"nan", b"-1e7", b"99999999999999999999", b"", b"EOF", b"SECTION",
     b"ENDBLK", b"BLOCK", b"POLYLINE", b"VERTEX", b"SEQEND", b"LWPOLYLINE", b"ARC", b"MTEXT", b"\xff\xfe", b"\0",
     b"# 1", b"Units: ENGLISH", b"%%d\\U+D800\\U+00e9", b"1,5", b"x" * 300]
)  # fmt: skip


@st.composite
def damaged(draw: st.DrawFn, whole: bytes) -> bytes:
    """A valid file with some harm done to it."""
    data = whole
    for _ in range(draw(st.integers(1, 6))):
        rows = data.split(b"\n")
        at = draw(st.integers(0, max(len(rows) - 1, 0)))
        how = draw(st.sampled_from(["flip", "drop", "twice", "noise", "cut", "swap", "pairs", "insert"]))
        if how == "flip" and data:
            i = draw(st.integers(0, len(data) - 1))
            data = data[:i] + bytes([data[i] ^ draw(st.integers(1, 255))]) + data[i + 1 :]
        elif how == "cut":
            data = data[: draw(st.integers(0, len(data)))]
        else:
            if how == "drop":
                del rows[at : at + draw(st.integers(1, 3))]
            elif how == "twice":
                rows[at:at] = rows[at : at + draw(st.integers(1, 60))]
            elif how == "noise":
                rows[at] = draw(NOISE)
            elif how == "insert":
                rows[at:at] = [draw(NOISE), draw(NOISE)]
            elif how == "swap":
                to = draw(st.integers(0, len(rows) - 1))
                rows[at], rows[to] = rows[to], rows[at]
            elif how == "pairs":
                start = at & ~1
                del rows[start : start + 2 * draw(st.integers(1, 20))]
            data = b"\n".join(rows)
    return data


@st.composite
def odd(draw: st.DrawFn, whole: bytes) -> bytes:
    """A valid file whose pairs of code and value stay pairs, some of them changed, lost, doubled or moved."""
    rows = whole.replace(b"\r", b"").rstrip(b"\n").split(b"\n")
    pairs = list(zip(rows[::2], rows[1::2], strict=True))
    for _ in range(draw(st.integers(1, 8))):
        at = draw(st.integers(4, len(pairs) - 2))
        how = draw(st.sampled_from(["value", "number", "code", "lost", "doubled", "moved"]))
        if how == "value":
            pairs[at] = pairs[at][0], draw(NOISE)
        elif how == "number":
            pairs[at] = pairs[at][0], b"%.4f" % draw(st.floats(-1e6, 1e6))
        elif how == "code":
            pairs[at] = (
                b"%d" % draw(st.sampled_from([0, 1, 2, 8, 10, 11, 20, 21, 30, 39, 41, 42, 50, 70])),
                pairs[at][1],
            )
        elif how == "lost":
            del pairs[at : min(at + draw(st.integers(1, 12)), len(pairs) - 1)]
        elif how == "doubled":
            pairs[at:at] = pairs[at : min(at + draw(st.integers(1, 40)), len(pairs) - 1)]
        else:
            pairs.insert(draw(st.integers(4, len(pairs) - 2)), pairs.pop(at))
        assume(len(pairs) > 8)
    return b"\n".join(row for pair in pairs for row in pair)


def sound(data: PatternData) -> None:
    """What holds of anything that is read, however odd."""
    assert data.pieces
    for piece in data.pieces:
        assert len(piece.boundary) >= 3 and shoelace(piece.boundary) > 0
        assert piece.boundary == tuple(piece.boundary_raw[i] for i in piece.from_raw)
        lines = (*piece.stitch_lines, *piece.internal_lines, *piece.cutouts)
        everywhere = [*piece.boundary, *(p for line in lines for p in line.points), *(n.on for n in piece.notches)]
        assert all(isfinite(x) and isfinite(y) for x, y in everywhere)
        assert all(notch.depth >= 0 and notch.width >= 0 for notch in piece.notches)
    json.dumps(as_pattern_json(data), allow_nan=False).encode()
    assert all(len(note) < 6_000 for note in data.notes) and len(data.notes) <= 301


@settings(max_examples=300)
@given(st.data(), st.sampled_from(READ))
def test_a_damaged_file_is_read_or_refused_with_words(choose: st.DataObject, name: str) -> None:
    data = choose.draw(damaged(fixture(name)) | odd(fixture(name)))
    try:
        sound(parse_pattern_data(data, "apron.dxf"))
    except (InputError, InputErrors) as error:
        assert str(error).startswith("apron.dxf"), str(error)


@settings(max_examples=300)
@given(st.data(), st.sampled_from(["base", "base-aama"]))
def test_a_damaged_rule_table_is_read_or_refused_with_words(choose: st.DataObject, name: str) -> None:
    data = choose.draw(damaged((FILES / f"{name}.rul").read_bytes()))
    try:
        table = parse_rule_table(data, "apron.rul")
    except (InputError, InputErrors) as error:
        assert str(error).startswith("apron.rul"), str(error)
        return
    assert table.sample in table.sizes
    assert all(len(moves) == len(table.sizes) for moves in table.rules.values())
    assert all(isfinite(x) and isfinite(y) for moves in table.rules.values() for x, y in moves)
    try:
        rings = grade_boundary(only(read("base")), table)
    except InputError:
        return
    assert all(len(ring) == 6 and all(isfinite(x) and isfinite(y) for x, y in ring) for ring in rings.values())


@given(st.binary(max_size=400))
def test_any_bytes_are_refused_with_words(data: bytes) -> None:
    for whole in (data, written((0, "SECTION"), (2, "BLOCKS")) + data):
        with pytest.raises((InputError, InputErrors)):
            parse_pattern_data(whole, "apron.dxf")
    with pytest.raises((InputError, InputErrors)):
        parse_rule_table(data, "apron.rul")


@given(
    st.lists(st.tuples(st.integers(-3, 3), st.integers(-3, 3)), min_size=2, max_size=4, unique=True),
    st.lists(st.integers(0, 3), min_size=6, max_size=6),
)
def test_between_two_tags_moves_go_evenly(moves: list[XY], numbers: list[int]) -> None:
    """Of a straight run every point stays on its line and keeps its share of the way: affine, by definition."""
    piece = only(read("base"))
    rules = {i: ((0.0, 0.0), (float(x), float(y))) for i, (x, y) in enumerate(moves)}
    tags = tuple(
        RuleTag(n % len(moves), None, 1, p)
        for i, (n, p) in enumerate(zip(numbers, piece.boundary_raw, strict=True))
        if i not in (1, 4)
    )
    table = RuleTable("", "metric", ("M", "L"), "M", rules)
    ring = grade_boundary(replace(piece, rule_tags=tags, grade_reference_lines=()), table)["L"]
    for i, (before, after, part) in {1: (0, 2, 60 / 140), 4: (3, 5, 0.5)}.items():
        by = [tuple(q - p for p, q in zip(piece.boundary_raw[k], ring[k], strict=True)) for k in (before, i, after)]
        assert by[1] == pytest.approx([a + (b - a) * part for a, b in zip(by[0], by[2], strict=True)], abs=1e-9)


def test_the_example_of_the_page_runs(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    page = (ROOT / "docs/exchange.md").read_text(encoding="utf-8")
    (example,) = re.findall(r"^```python\n(.*?)^```", page, re.MULTILINE | re.DOTALL)
    monkeypatch.chdir(ROOT)
    exec(compile(example, "exchange.md", "exec"), {})
    said = capsys.readouterr().out
    assert said.startswith("POCKET M 6 ((0.0, 0.0), ") and "whether layer 1 has allowances is not told" in said


def test_the_limits_of_the_page_are_those_of_the_reader() -> None:
    from oaktag.exchange import notes, outlines, pattern_data, pieces, records, rule_table, tokens, words

    page = " ".join((ROOT / "docs/exchange.md").read_text(encoding="utf-8").split())
    for told_there in (
        f"longer than {tokens.MOST_BYTES // 1_000_000} MB (a table: {rule_table.MOST_BYTES // 1_000_000} MB)",
        f"more than {tokens.MOST_LINES // 1_000_000} million lines",
        f"a line of more than {tokens.LONGEST_LINE:,} characters",
        f"farther than {records.FARTHEST:,.0f} units",
        f"{records.MOST_TOLD} are; of notes, {notes.MOST_NOTES}",
        f"kept to {words.LONGEST_TEXT:,} characters",
        f"where ends are within {outlines.CLOSE:g} mm",
        f"notch more than {pieces.OFF_NOTCH:g} mm off",
        f"between {pattern_data.SMALLEST:g} mm and {pattern_data.LARGEST / 1000:g} m long",
        f"most {pattern_data.WIDEST / 1000:g} m wide",
        f"at least {pattern_data.SMALLEST_UNTOLD:g} mm long",
    ):
        assert told_there in page, told_there
    assert tokens.MOST_ENTITIES == 1_000_000 and "more than a million entities" in page


def test_reading_loads_no_heavy_library() -> None:
    code = (
        "import sys; from oaktag.exchange.pattern_data import read_pattern_data; "
        "from oaktag.exchange.rule_table import read_rule_table; "
        f"read_pattern_data({str(FILES / 'base.dxf')!r}); read_rule_table({str(FILES / 'base.rul')!r}); "
        "print(*sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True)
    assert not set(done.stdout.split()) & {"numpy", "ezdxf", "shapely", "pyogrio", "pyclipper"}


def test_a_tag_that_two_points_are_near_to_moves_the_nearer_one() -> None:
    """Both lie within the 0.011 mm in which a tag stands on a point (files write hundredths); by hand."""
    ring = ((0.0, 0.0), (100.0, 0.0), (100.0, 50.0), (0.0, 50.0))
    line = LineData(((0.0, 10.0), (0.01, 10.0), (40.0, 10.0)), layer=8)
    table = parse_rule_table(
        b"UNITS: METRIC\nGRADE RULE TABLE: T\nNUMBER OF SIZES: 2\nSIZE LIST: 10 12\nSAMPLE SIZE: 10\n"
        b"RULE: DELTA 1\n0.00,0.00 0.00,0.00\nRULE: DELTA 2\n0.00,0.00 5.00,0.00\nEND\n"
    )
    for at, nearer in ((0.003, 0), (0.007, 1)):
        tags = (RuleTag(2, None, 8, (at, 10.0)), RuleTag(1, None, 8, (40.0, 10.0)))
        piece = PieceData("P", "P", "10", ring, ring, (0, 1, 2, 3), False, internal_lines=(line,), rule_tags=tags)
        moved = grade_line(piece, line, table)["12"]
        assert moved[nearer] == pytest.approx((line.points[nearer][0] + 5.0, 10.0))
        assert moved[2] == (40.0, 10.0)
        if nearer == 1:  # before the first point that has a rule the others move as that one does
            assert moved[0] == pytest.approx((5.0, 10.0))
        else:  # behind it they move by what is left of the way
            assert moved[1][0] == pytest.approx(0.01 + 5.0 * (1 - 0.01 / 40.0), abs=1e-9)


@pytest.mark.parametrize(
    ("points", "closed", "left"),
    [
        ([(0, 0), (0, 0)], True, 1),
        ([(0, 0), (0, 0)], False, 2),
        ([(0, 0), (9, 0), (0, 0)], False, 3),  # there and back: an open line of two runs on each other
        ([(0, 0), (9, 0), (0, 0)], True, 2),
        ([(0, 0), (9, 0), (9, 9), (0, 0)], False, 3),
        ([(0, 0), (9, 0), (9, 9)], True, 3),
    ],
)
def test_the_last_point_of_a_closed_line_is_said_once(points: list[XY], closed: bool, left: int) -> None:
    joined = outlines.as_closed(points, closed)
    assert len(joined.points) == left
    assert joined.closed == (closed or left == len(points) - 1)
