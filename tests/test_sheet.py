"""Lettering, scale block, drawing of a piece, arrangement on paper."""

from __future__ import annotations

import string
from dataclasses import replace
from itertools import combinations, pairwise
from math import ceil, dist, hypot

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from oaktag.errors import DraftError, GeometryError
from oaktag.geometry.point import XY, Point
from oaktag.geometry.polygon import Box
from oaktag.model.pattern import CutPiece, Label, MarkedPiece, Notch
from oaktag.model.piece import Cut, Dart, Edge, EdgeKind, InternalLine, Piece
from oaktag.sheet.arrange import arrange, arrange_for_tiles
from oaktag.sheet.drawing import dashed, figure_of, label_box
from oaktag.sheet.lettering import text_lines, text_width, wrapped
from oaktag.sheet.scale_block import SENTENCE, scale_block
from oaktag.sheet.strokes import Figure, Role, Sheet, Stroke

# ---------------------------------------------------------------- lettering


@pytest.mark.parametrize("sign", sorted(set(string.printable) - set(string.whitespace)))
def test_every_printable_ascii_sign_has_strokes_and_is_not_the_box(sign: str) -> None:
    assert text_lines(sign, 5.0)
    assert text_lines(sign, 5.0) != text_lines("\u65e5", 5.0)


@pytest.mark.parametrize("sign", "½¼¾⅛⅜⅝⅞×÷·•–—−°′″“”‘’…ßÆæØøŁł£€ñÉàîÃüÅčçō")
def test_signs_of_sizes_and_of_latin_languages_are_known(sign: str) -> None:
    assert text_lines(sign, 5.0)
    assert text_lines(sign, 5.0) != text_lines("\u65e5", 5.0)


@pytest.mark.parametrize("letter", "AHEaeox")
def test_an_accent_adds_strokes_above_the_letter_and_no_width(letter: str) -> None:
    plain, accented = text_lines(letter, 7.0), text_lines(letter + "\u0301", 7.0)
    assert accented[: len(plain)] == plain
    assert min(y for line in accented[len(plain) :] for _, y in line) > max(y for line in plain for _, y in line)
    assert text_width(letter + "\u0301", 7.0) == text_width(letter, 7.0)


def test_composed_and_decomposed_spelling_draw_the_same() -> None:
    assert text_lines("Größe é", 4.0) == text_lines("Gro\u0308ße e\u0301", 4.0)


def test_an_unknown_sign_is_a_box_and_not_left_out() -> None:
    (box,) = text_lines("\u65e5", 21.0)
    assert len(set(box)) == 4
    assert box[0] == box[-1]


words = st.text(st.characters(exclude_categories=("M", "Cs")), max_size=30)


@given(words, words)
def test_widths_add_up(a: str, b: str) -> None:
    joined = text_width(f"{a} {b}", 5.0)
    assert joined == pytest.approx(text_width(f"{a} ", 5.0) + text_width(b, 5.0))


@given(st.text(alphabet=string.ascii_letters + string.digits, min_size=1, max_size=20))
def test_text_stays_within_its_width(text: str) -> None:
    xs = [x for line in text_lines(text, 5.0) for x, _ in line]
    assert min(xs) >= 0.0
    assert max(xs) <= text_width(text, 5.0)


@pytest.mark.parametrize("letter", "ABEFHIKLMNTXZ")
def test_capitals_are_as_high_as_they_are_said_to_be(letter: str) -> None:
    ys = [y for line in text_lines(letter, 10.0) for _, y in line]
    assert (min(ys), max(ys)) == pytest.approx((0.0, 10.0))


def test_anchors_put_the_same_letters_elsewhere() -> None:
    left = text_lines("front", 5.0, (0.0, 0.0))
    for anchor, share in (("centre", 0.5), ("right", 1.0)):
        moved = text_lines("front", 5.0, (text_width("front", 5.0) * share, 0.0), anchor=anchor)  # type: ignore[arg-type]
        assert [p for line in moved for p in line] == [pytest.approx(p) for line in left for p in line]


def test_a_quarter_turn_maps_x_to_y() -> None:
    level, turned = text_lines("Ga", 5.0), text_lines("Ga", 5.0, angle_deg=90.0)
    assert [p for line in turned for p in line] == [pytest.approx((-y, x)) for line in level for x, y in line]


def test_wrapping_keeps_every_word_and_the_width() -> None:
    lines = wrapped(SENTENCE, 4.0, 80.0)
    assert " ".join(lines) == SENTENCE
    assert max(text_width(line, 4.0) for line in lines) <= 80.0


# ---------------------------------------------------------------- scale block


@pytest.mark.parametrize(("width", "height"), [(270.0, 300.0), (190.0, 277.0), (277.0, 190.0), (180.0, 244.0)])
def test_the_scale_block_is_exact_and_fits(width: float, height: float) -> None:
    block = scale_block(width, height)
    box = block.bounds()
    assert block.name == "scale block"
    assert box.left >= 0.0
    assert box.bottom >= 0.0
    assert box.right <= width
    assert box.top <= height
    assert {stroke.role for stroke in block.strokes} == {Role.SCALE}
    metric, inch = (stroke.points for stroke in block.strokes if stroke.closed)
    for square, side in ((metric, 100.0), (inch, 101.6)):  # by hand; 4 in = 101.6 mm
        assert len(square) == 4
        assert [dist(square[i], square[(i + 1) % 4]) for i in range(4)] == pytest.approx([side] * 4, abs=1e-9)
        assert dist(square[0], square[2]) == pytest.approx(dist(square[1], square[3]))
    pairs = {frozenset(stroke.points) for stroke in block.strokes if len(stroke.points) == 2}
    assert {frozenset((metric[0], metric[2])), frozenset((metric[1], metric[3]))} <= pairs
    assert dist(metric[0], metric[2]) == pytest.approx(141.42, abs=0.005)  # 100 mm times the root of 2


def test_the_rulers_are_as_long_as_they_say() -> None:
    combs = [stroke.points for stroke in scale_block(270.0, 300.0).strokes if len(stroke.points) > 100]
    along_x = sorted(c[-1][0] - c[0][0] for c in combs if c[0][1] == c[-1][1])
    along_y = sorted(c[-1][1] - c[0][1] for c in combs if c[0][0] == c[-1][0])
    assert along_x == pytest.approx([250.0, 254.0])  # 25 cm, 10 in
    assert along_y == pytest.approx([250.0, 254.0])


def test_a_ruler_on_a4_keeps_whole_centimetres_and_inches() -> None:
    combs = [stroke.points for stroke in scale_block(190.0, 277.0).strokes if len(stroke.points) > 100]
    along_x = sorted(c[-1][0] - c[0][0] for c in combs if c[0][1] == c[-1][1])
    assert along_x == pytest.approx([177.8, 180.0])  # 7 in, 18 cm: the most below 190 mm less the numerals


@pytest.mark.parametrize(("width", "height"), [(100.0, 300.0), (220.0, 200.0), (150.0, 150.0)])
def test_a_page_too_small_for_both_squares_is_refused(width: float, height: float) -> None:
    with pytest.raises(GeometryError, match=rf"{width:.1f} × {height:.1f} mm.*Take larger paper"):
        scale_block(width, height)


def test_the_sentence_says_what_to_measure_and_what_to_do() -> None:
    for words in ("100 mm square", "diagonals", "steel rule", "141.4 mm", "0.5 mm", "do not cut", "100 %"):
        assert words in SENTENCE


# ---------------------------------------------------------------- drawing

CORNERS = {
    "neck": Point(0.0, 500.0),
    "foot": Point(0.0, 0.0),
    "side_foot": Point(200.0, 0.0),
    "side_top": Point(200.0, 500.0),
}


def half_front(*internal: InternalLine, label: Label | None = None) -> MarkedPiece:
    """A plain half: 200 × 500 mm, fold on x = 0, 10 mm at the side and the hem, nothing at the top (faced)."""
    neck, foot, side_foot, side_top = CORNERS.values()
    edges = (
        Edge.straight("centre_front", neck, foot, EdgeKind.FOLD),
        Edge.straight("hem", foot, side_foot, EdgeKind.HEM),
        Edge.straight("side", side_foot, side_top),
        Edge.straight("top", side_top, neck),
    )
    piece = Piece(
        "front",
        edges,
        dict(CORNERS),
        (Point(150.0, 50.0), Point(150.0, 450.0)),
        to_cut=Cut("fold"),
        darts=(Dart("waist", (Point(80, 400), Point(90, 300), Point(80, 200), Point(70, 300)), 20.0),),
        internal_lines=internal,
    )
    cut = CutPiece(
        piece,
        {edge.name: (edge.start, edge.end) for edge in edges},
        (neck, foot, side_foot, side_top),
        (neck, Point(0, -10), Point(210, -10), Point(210, 500)),
        {},
        {"centre_front": 0.0, "hem": 10.0, "side": 10.0, "top": 0.0},
        {},
    )
    notch = Notch("side", Point(200, 250), Point(1, 0), 2, "hip", (Point(210, 246), Point(210, 254)), 6.0)
    return MarkedPiece(
        cut,
        1,
        (notch,),
        (Point(80.0, 385.0),),
        piece.grain,
        (neck, foot),
        label or Label(("FRONT", "size 12"), Point(100.0, 120.0), 8.0, 60.0),
    )


def of_role(figure: Figure, role: Role) -> list[Stroke]:
    return [stroke for stroke in figure.strokes if stroke.role is role]


def test_cut_line_and_stitch_line_of_a_piece() -> None:
    figure = figure_of(half_front())
    assert figure.name == "front"
    assert of_role(figure, Role.CUT) == [Stroke(Role.CUT, ((0, 500), (0, -10), (210, -10), (210, 500)), closed=True)]
    # The fold is drawn as the fold, and the top without allowance lies on the cut line.
    assert [s.points for s in of_role(figure, Role.STITCH)] == [((0, 0), (200, 0)), ((200, 0), (200, 500))]
    assert not any(s.closed for s in of_role(figure, Role.STITCH))


def test_the_fold_bracket_points_at_the_fold_from_inside() -> None:
    figure = figure_of(half_front())
    line, *bracket = of_role(figure, Role.FOLD)
    heads = [s for s in of_role(figure, Role.GRAIN) if s.points[1][0] == 0.0]  # solid, so that dashes leave them whole
    bracket += heads
    assert line.points == ((0, 500), (0, 0))
    points = [p for stroke in bracket for p in stroke.points]
    assert min(x for x, _ in points) == pytest.approx(0.0)
    assert max(x for x, _ in points) <= 20.0
    assert sum(1 for stroke in bracket for x, _ in stroke.points[1:2] if x == pytest.approx(0.0)) >= 2  # two tips
    assert len(heads) == 2


def test_notches_are_cut_inwards_from_the_cut_line() -> None:
    assert [s.points for s in of_role(figure_of(half_front()), Role.NOTCH)] == [
        ((210, 246), (204, 246)),
        ((210, 254), (204, 254)),
    ]


def test_a_dart_has_its_outline_and_a_dashed_axis() -> None:
    outline, *axis = of_role(figure_of(half_front()), Role.DART)
    assert outline.closed
    assert len(outline.points) == 4
    assert {x for dash in axis for x, _ in dash.points} == {80.0}
    assert sum(dist(*dash.points) for dash in axis) == pytest.approx(200.0 * 6 / 9, abs=6.0)  # 6 mm drawn of every 9


def test_a_dart_to_an_edge_is_open() -> None:
    piece = half_front()
    dart = Dart("side", (Point(200, 380), Point(120, 400), Point(200, 400)), 20.0)
    drafted = replace(piece.cut.piece, darts=(dart,))
    outline, *axis = of_role(figure_of(replace(piece, cut=replace(piece.cut, piece=drafted))), Role.DART)
    assert not outline.closed
    assert axis[0].points[0] == (120, 400)


def test_a_drill_hole_is_a_circle_of_3_mm_with_a_cross() -> None:
    circle, *cross = of_role(figure_of(half_front()), Role.DRILL)
    assert {round(hypot(x - 80.0, y - 385.0), 9) for x, y in circle.points} == {1.5}
    assert len(cross) == 2
    assert all(((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) == (80.0, 385.0) for a, b in (s.points for s in cross))


def test_the_grain_line_has_a_head_at_each_end() -> None:
    line, *heads = of_role(figure_of(half_front()), Role.GRAIN)
    assert line.points == ((150, 50), (150, 450))
    assert {head.points[1] for head in heads if head.points[1][0] != 0.0} == set(line.points)


def clusters(figure: Figure) -> list[Box]:
    """Boxes round groups of lettering that lie within 6 mm of each other."""
    boxes: list[Box] = []
    for stroke in of_role(figure, Role.LABEL):
        box = Box.round(stroke.points)
        near = [b for b in boxes if gap_between(b, box) < 6.0]
        boxes = [b for b in boxes if b not in near]
        corners = [(b.left, b.bottom) for b in (*near, box)] + [(b.right, b.top) for b in (*near, box)]
        boxes.append(Box.round(corners))
    return boxes


def gap_between(a: Box, b: Box) -> float:
    return max(a.left - b.right, b.left - a.right, a.bottom - b.top, b.bottom - a.top)


def crosses(box: Box, a: XY, b: XY) -> bool:
    """Whether a level or upright run passes through the box."""
    return (
        min(a[0], b[0]) < box.right
        and max(a[0], b[0]) > box.left
        and min(a[1], b[1]) < box.top
        and max(a[1], b[1]) > box.bottom
    )


def test_words_keep_clear_of_every_line_and_of_each_other() -> None:
    # A line across the middle of the fold and of the grain, where the words would stand.
    internal = (InternalLine("waist line", (Point(0, 250), Point(200, 250))),)
    figure = figure_of(half_front(*internal))
    words = clusters(figure)
    assert len(words) == 4  # label, PLACE ON FOLD, GRAIN, waist line
    for a, b in combinations(words, 2):
        assert gap_between(a, b) > 0.0
    for box in words:
        assert not crosses(box, (0, 250), (200, 250))
        assert not crosses(box, (150, 50), (150, 450))
        assert not crosses(box, (0, 0), (0, 500))
        assert 0.0 < box.left < box.right < 200.0


def test_the_name_of_a_short_line_stands_beyond_its_end() -> None:
    # The line crosses the bracket of the fold, so there is no room above it; 25 mm, the name is wider than the rest.
    internal = (InternalLine("end of the zip", (Point(0, 470), Point(25, 470))),)
    with_name, without = figure_of(half_front(*internal)), figure_of(half_front())
    name = [s for s in of_role(with_name, Role.LABEL) if s not in of_role(without, Role.LABEL)]
    box = Box.round(p for stroke in name for p in stroke.points)
    assert 25.0 < box.left < 35.0
    assert box.bottom < 470.0 < box.top


def test_a_label_is_centred_on_its_place_within_its_box() -> None:
    lines = ("1 HHH", "HHHH HHHH", "size H")
    figure = figure_of(half_front(label=Label(lines, Point(100.0, 120.0), 8.0, 60.0)))
    width, height = label_box(lines, 8.0)
    # By hand: 8 + 2 lines of 0.7 × 8 at a pitch of 1.6, and descenders of 7 units in 21 of the last line.
    assert height == pytest.approx(8.0 + 2 * 1.6 * 5.6 + 5.6 / 3)
    box = max(clusters(figure), key=lambda b: b.width)
    assert box.top == pytest.approx(120.0 + height / 2)
    assert abs((box.left + box.right) / 2 - 100.0) < 1.0  # side bearings differ a little
    assert box.width <= width


@given(
    st.lists(st.tuples(st.integers(0, 100), st.integers(0, 100)), min_size=2, max_size=8, unique=True),
    st.sampled_from([(6.0, 3.0), (10.0,), (8.0, 2.0, 1.0, 2.0)]),
)
def test_dashes_lie_on_the_line_and_have_the_pattern_s_share(points: list[XY], pattern: tuple[float, ...]) -> None:
    total = sum(dist(a, b) for a, b in pairwise(points))
    drawn, index, left = 0.0, 0, total
    while left > 0:  # the pattern laid end to end on a straight line of that length
        step = min(left, pattern[index % len(pattern)])
        drawn += step if index % 2 == 0 else 0.0
        left -= step
        index += 1
    dashes = dashed(points, pattern)
    assert sum(dist(a, b) for d in dashes for a, b in pairwise(d)) == pytest.approx(drawn, abs=1e-6)
    assert dashes[0][0] == points[0]


# ---------------------------------------------------------------- arrangement


def rectangle(name: str, width: float, height: float, x: float = 0.0, y: float = 0.0) -> Figure:
    ring = ((x, y), (x + width, y), (x + width, y + height), (x, y + height))
    return Figure(name, (Stroke(Role.CUT, ring, closed=True),))


rectangles = st.lists(
    st.builds(
        rectangle,
        st.sampled_from(["front", "back", "sleeve", "collar"]),
        st.floats(5.0, 600.0),
        st.floats(5.0, 1500.0),
        st.floats(-300.0, 300.0),
        st.floats(-1500.0, 300.0),
    ),
    max_size=9,
)


@given(rectangles, st.floats(600.0, 2000.0), st.sampled_from([0.0, 10.0]), st.sampled_from([0.0, 15.0]))
def test_figures_never_overlap_and_stay_on_the_strip(
    figures: list[Figure], width: float, gap: float, margin: float
) -> None:
    sheet = arrange("t", figures, width + 2 * margin, gap=gap, margin=margin)
    boxes = [figure.bounds() for figure in sheet.figures]
    assert [figure.name for figure in sheet.figures] == [figure.name for figure in figures]
    for box in boxes:
        assert box.left >= margin - 1e-6
        assert box.bottom >= margin - 1e-6
        assert box.right <= sheet.width - margin + 1e-6
    assert sheet.height == pytest.approx(max((box.top for box in boxes), default=margin) + margin)
    for a, b in combinations(boxes, 2):
        assert gap_between(a, b) >= gap - 1e-6
    for before, after in zip(figures, boxes, strict=True):  # full size, and upright since all fit upright
        assert (after.width, after.height) == pytest.approx((before.bounds().width, before.bounds().height))


@given(rectangles)
def test_the_same_figures_give_the_same_sheet(figures: list[Figure]) -> None:
    assert arrange("t", figures, 914.0) == arrange("t", list(figures), 914.0)


def test_the_order_in_which_figures_come_does_not_change_their_places() -> None:
    figures = [rectangle("b", 100, 300), rectangle("a", 200, 300), rectangle("c", 50, 700)]
    places = {f.name: f.bounds() for f in arrange("t", figures, 400.0).figures}
    assert places == {f.name: f.bounds() for f in arrange("t", figures[::-1], 400.0).figures}
    assert (places["c"].left, places["a"].left, places["b"].left) == (0.0, 60.0, 270.0)  # by hand, 10 mm between


def test_what_is_too_wide_is_turned_a_quarter() -> None:
    sheet = arrange("t", [rectangle("waistband", 900.0, 60.0)], 500.0)
    box = sheet.figures[0].bounds()
    assert (box.left, box.bottom, box.width, box.height) == pytest.approx((0.0, 0.0, 60.0, 900.0))


def test_what_is_too_wide_both_ways_is_refused_with_its_name_and_sizes() -> None:
    with pytest.raises(DraftError, match=r"cape is 900\.0 mm wide and 800\.0 mm long.*580\.0 mm.*Take wider paper"):
        arrange("t", [rectangle("cape", 900.0, 800.0)], 600.0, margin=10.0)


def drawn_tiles(sheet: Sheet, width: float, height: float) -> int:
    """Tiles that a line passes through, by shapely; a line along a border alone does not count."""
    from shapely.geometry import LineString, box

    lines = [LineString([*s.points, s.points[0]] if s.closed else s.points) for f in sheet.figures for s in f.strokes]
    tiles = [
        box(c * width + 1e-6, r * height + 1e-6, (c + 1) * width - 1e-6, (r + 1) * height - 1e-6)
        for c in range(ceil(sheet.width / width))
        for r in range(ceil(sheet.height / height))
    ]
    return sum(any(line.intersects(tile) for line in lines) for tile in tiles)


outlines = st.lists(
    st.lists(st.tuples(st.integers(0, 500), st.integers(0, 900)), min_size=3, max_size=12, unique=True).filter(
        lambda ring: len({x for x, _ in ring}) > 1 and len({y for _, y in ring}) > 1
    ),
    min_size=1,
    max_size=4,
)


@settings(max_examples=40)
@given(outlines)
def test_the_fewest_tiles_are_used(rings: list[list[XY]]) -> None:
    width, height = 190.37, 277.41  # odd sizes, so that no line lies on a border
    figures = [Figure(f"piece {i}", (Stroke(Role.CUT, tuple(ring), closed=True),)) for i, ring in enumerate(rings)]
    counts = []
    for across in range(1, 9):
        try:
            counts.append(drawn_tiles(arrange("t", figures, across * width), width, height))
        except DraftError:
            continue
    assert drawn_tiles(arrange_for_tiles("t", figures, width, height), width, height) == min(counts)


def test_a_piece_of_exactly_one_tile_takes_one_tile() -> None:
    sheet = arrange_for_tiles("t", [rectangle("square", 190.0, 277.0)], 190.0, 277.0)
    assert (sheet.width, sheet.height) == (190.0, 277.0)


def test_a_piece_wider_than_eight_tiles_both_ways_is_refused() -> None:
    with pytest.raises(DraftError, match="cape"):
        arrange_for_tiles("t", [rectangle("cape", 2000.0, 2000.0)], 190.0, 277.0)
