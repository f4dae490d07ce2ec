"""Notches, drill holes, fold lines and labels: single pieces by hand, then the real dress over measured bodies."""

from __future__ import annotations

import csv
from collections.abc import Iterator, Sequence
from functools import cache
from math import cos, hypot, pi, radians, sin
from pathlib import Path

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from oaktag.body.measurements import KINDS, Measurements
from oaktag.draft.garment import find_garment
from oaktag.draft.options import validated
from oaktag.errors import OaktagError
from oaktag.finish.allowances import allow, allow_piece
from oaktag.finish.labels import HEIGHTS, LARGE, Spot, find_spot
from oaktag.finish.marks import allowance_words, cut_words, drill_holes, mark, piece_words
from oaktag.geometry.curve import Cubic
from oaktag.geometry.path import flatten
from oaktag.geometry.point import XY, Point, distance
from oaktag.model.draft import Draft
from oaktag.model.pattern import CutPattern, Label, MarkedPiece, Pattern
from oaktag.model.piece import Dart, Edge, EdgeKind, InternalLine, NotchPlace, Piece
from oaktag.sheet.drawing import label_box

BODIES = Path(__file__).parents[1] / "fixtures" / "bodies" / "women_1988_60.csv"
CLEAR = 3.0
"""Least air between a label and any line, mm (own rule)."""
LEAST_TEXT = 2.2
"""Capitals of a label's first line, mm (own rule)."""
APART = 8.0
"""Between the slits of a double notch, on the stitch line, mm (6 to 10; common practice, no source)."""
INSIDE_POINT = 12.7
"""A drill hole lies this far inside a dart's point, mm (1/2 in; common practice, no source)."""

P = Point
SEAM, FOLD = EdgeKind.SEAM, EdgeKind.FOLD


def rectangle(**more: object) -> Piece:
    """200 × 300 mm, edges bottom, right, top, left; grain upright at x = 60."""
    corners = P(0, 0), P(200, 0), P(200, 300), P(0, 300)
    names = "bottom", "right", "top", "left"
    edges = tuple(
        Edge.straight(name, a, b) for name, a, b in zip(names, corners, (*corners[1:], corners[0]), strict=True)
    )
    return Piece("pocket_back", **({"edges": edges, "points": {}, "grain": (P(60, 40), P(60, 260))} | more))  # type: ignore[arg-type]


def marked(piece: Piece, widths: dict[str, float], **asked: str) -> MarkedPiece:
    draft = Draft("sample", (piece,), (), (), (), (), (), {}, {}, {})
    cut = CutPattern(draft, (allow_piece(piece, widths),))
    words = {"title": "Lighthouse choir", "size": "m", "size_words": "made to measure"} | asked
    return mark(cut, unit="cm", label_box=label_box, **words).pieces[0]  # type: ignore[arg-type]


WIDTHS = {"bottom": 30.0, "right": 15.0, "top": 10.0, "left": 6.0}


# ---------------------------------------------------------------- notches by hand


def test_a_notch_is_run_out_square_to_the_cut_line() -> None:
    piece = marked(rectangle(notches=(NotchPlace("right", 120.0, 1, "waist"),)), WIDTHS)
    (notch,) = piece.notches
    assert notch.point == (200, 120)
    assert notch.direction == (1, 0)
    assert notch.spots == (pytest.approx((215, 120)),)
    assert (notch.count, notch.name, notch.edge) == (1, "waist", "right")


def test_a_double_notch_has_a_slit_either_side() -> None:
    piece = marked(rectangle(notches=(NotchPlace("bottom", 50.0, 2, "back"),)), WIDTHS)
    assert piece.notches[0].spots == (pytest.approx((46, -30)), pytest.approx((54, -30)))


@pytest.mark.parametrize(("edge", "depth"), [("bottom", 4.0), ("right", 4.0), ("top", 4.0), ("left", 3.0)])
def test_a_notch_is_4_mm_deep_and_stays_3_mm_clear_of_the_stitch_line(edge: str, depth: float) -> None:
    piece = marked(rectangle(notches=(NotchPlace(edge, 50.0),)), WIDTHS)
    assert piece.notches[0].depth == depth


@given(st.floats(2.0, 60.0))
def test_no_notch_reaches_the_stitch_line(width: float) -> None:
    piece = marked(rectangle(notches=(NotchPlace("right", 50.0),)), WIDTHS | {"right": width})
    assert 1.0 <= piece.notches[0].depth <= width / 2 or piece.notches[0].depth <= width - 3.0


def test_a_notch_on_a_curve_is_square_to_it() -> None:
    """On a quarter circle of 100 mm, half way round: outwards at 45°, 12 mm beyond, to the flattening's 0.05 mm."""
    k = 100 * 0.5522847498
    arc = Cubic(P(100, 0), P(100, k), P(k, 100), P(0, 100))
    edges = (
        Edge.straight("bottom", P(0, 0), P(100, 0)),
        Edge("round", SEAM, (arc,)),
        Edge.straight("left", P(0, 100), P(0, 0)),
    )
    piece = Piece("fan", edges, {}, (P(20, 10), P(20, 70)), notches=(NotchPlace("round", arc.length() / 2),))
    (notch,) = marked(piece, {"bottom": 12.0, "round": 12.0, "left": 12.0}).notches
    assert notch.direction == pytest.approx((cos(pi / 4), sin(pi / 4)), abs=1e-6)
    assert hypot(*notch.spots[0]) == pytest.approx(112, abs=0.06)


# ---------------------------------------------------------------- drill holes, fold lines, words


def test_drill_holes_by_hand() -> None:
    """1/2 in inside both points on the axis; 1/8 in inside the leg points, where the dart is 20 mm wide."""
    dart = Dart("waist", (P(100, 300), P(110, 200), P(100, 80), P(90, 200)), 20.0)
    assert drill_holes(dart) == (
        pytest.approx((100, 300 - 12.7)),
        pytest.approx((110 - 3.175, 200)),
        pytest.approx((100, 80 + 12.7)),
        pytest.approx((90 + 3.175, 200)),
    )


@given(st.floats(10, 400), st.floats(10, 400), st.floats(1, 60), st.floats(-0.25, 0.25))
def test_drill_holes_lie_inside_the_dart_that_is_sewn_away(
    above: float, below: float, intake: float, lean: float
) -> None:
    dart = Dart("d", (P(lean * intake, above), P(intake / 2, 0), P(0, -below), P(-intake / 2, 0)), intake)
    shape = shapely.Polygon(dart.points)
    holes = drill_holes(dart)
    assert all(shape.contains(shapely.Point(hole)) for hole in holes)
    assert len(set(holes)) == 4


def test_the_fold_line_runs_from_cut_edge_to_cut_edge() -> None:
    left_fold = (*rectangle().edges[:3], Edge.straight("left", P(0, 300), P(0, 0), FOLD))
    piece = marked(rectangle(edges=left_fold, on_fold=True), WIDTHS | {"left": 0.0})
    assert piece.fold_line == (pytest.approx((0, 310)), pytest.approx((0, -30)))
    assert marked(rectangle(), WIDTHS).fold_line is None


def test_a_fold_on_another_side_is_found_as_well() -> None:
    edges = rectangle().edges
    right_fold = (edges[0], Edge.straight("right", P(200, 0), P(200, 300), FOLD), *edges[2:])
    piece = marked(rectangle(edges=right_fold, on_fold=True), WIDTHS | {"right": 0.0})
    assert piece.fold_line == (pytest.approx((200, -30)), pytest.approx((200, 310)))


def test_words_by_hand() -> None:
    piece = rectangle(quantity=2, mirrored_pair=True, material="lining")
    assert piece_words(piece.name) == "pocket back"
    assert cut_words(piece) == "cut 2 (a pair), lining"
    assert cut_words(rectangle(on_fold=True)) == "cut 1 on the fold, shell"
    assert cut_words(rectangle(quantity=4)) == "cut 4, shell"
    words = allowance_words({"bottom": 30.0, "right": 15.0, "top": 15.0, "left": 0.0}, piece, "cm")
    assert words == "allowances included: bottom 3 cm; right, top 1.5 cm; left none"


def test_the_label_says_what_a_maker_who_sees_only_this_piece_must_know() -> None:
    piece = marked(rectangle(quantity=2, mirrored_pair=True), WIDTHS, date="2024-05-01")
    text = " ".join(piece.label.lines)
    assert piece.label.lines[0] == "1 OF 1: POCKET BACK"
    for words in ("Lighthouse choir", "size: made to measure, 2024-05-01", "cut 2 (a pair), shell", "bottom 3 cm"):
        assert words in text


# ---------------------------------------------------------------- where a label goes


def box_of(spot: Spot | Label, size: tuple[float, float]) -> shapely.Polygon:
    """The label's box as it is drawn, mm."""
    c, s = cos(radians(spot.angle_deg)), sin(radians(spot.angle_deg))
    w, h = size[0] / 2, size[1] / 2
    corners = ((-w, -h), (w, -h), (w, h), (-w, h))
    return shapely.Polygon([(spot.at.x + c * x - s * y, spot.at.y + s * x + c * y) for x, y in corners])


def plain_box(lines: Sequence[str], height: float) -> tuple[float, float]:
    return max(map(len, lines)) * height * 0.8, len(lines) * height * 1.5


LAYOUTS = [("a line of about thirty letters", "and another"), ("a line of about", "thirty letters", "and another")]


@settings(max_examples=150)
@given(
    st.lists(st.tuples(st.floats(-0.4, 0.4), st.floats(30, 250)), min_size=3, max_size=9),
    st.lists(st.tuples(*[st.floats(-200, 200)] * 4), max_size=4),
)
def test_a_label_that_fits_is_clear_of_everything(
    corners: list[tuple[float, float]], lines: list[tuple[float, float, float, float]]
) -> None:
    n = len(corners)
    ring: list[XY] = [
        (r * cos(2 * pi * (k + lean) / n), r * sin(2 * pi * (k + lean) / n)) for k, (lean, r) in enumerate(corners)
    ]
    obstacles = [((x0, y0), (x1, y1)) for x0, y0, x1, y1 in lines]
    spot = find_spot(ring, obstacles, LAYOUTS, plain_box)
    assert spot.lines in LAYOUTS
    assert spot.height in (*LARGE, *HEIGHTS)
    box = box_of(spot, plain_box(spot.lines, spot.height))
    outline = shapely.Polygon(ring)
    if spot.height > HEIGHTS[-1]:
        assert outline.contains(box)
        assert outline.exterior.distance(box) >= 5 - 1e-6
        assert all(shapely.LineString(line).distance(box) >= 5 - 1e-6 for line in obstacles)


def test_an_empty_square_takes_the_largest_label_in_its_middle() -> None:
    spot = find_spot([(0, 0), (400, 0), (400, 400), (0, 400)], [], LAYOUTS, plain_box)
    assert (spot.height, spot.angle_deg, spot.lines) == (LARGE[0], 0.0, LAYOUTS[0])
    assert spot.at == pytest.approx((200, 200))


def test_a_narrow_piece_takes_a_turned_label() -> None:
    spot = find_spot([(0, 0), (40, 0), (40, 400), (0, 400)], [], LAYOUTS, plain_box)
    assert spot.angle_deg == -90.0
    assert shapely.box(5, 5, 35, 395).buffer(1e-6).contains(box_of(spot, plain_box(spot.lines, spot.height)))


def test_a_piece_too_small_for_any_label_still_gets_one_inside() -> None:
    spot = find_spot([(0, 0), (20, 0), (20, 20), (0, 20)], [], LAYOUTS, plain_box)
    assert spot.height == HEIGHTS[-1]
    assert 0 < spot.at.x < 20
    assert 0 < spot.at.y < 20


# ---------------------------------------------------------------- the dress, over measured bodies


STYLES: dict[str, dict[str, object]] = {
    "as it comes": {},
    "sleeveless": {"sleeve": "none"},
    "straight": {"hem": "straight"},
    "slit": {"opening": "slit"},
}


@cache
def dresses(style: str) -> tuple[tuple[str, Pattern], ...]:
    """The dress for each measured body that the method can serve, with the body's id."""
    garment = find_garment("sheath-dress")
    options, errors = validated(garment.options, STYLES[style], "cm", lambda key: None)
    assert not errors
    made = []
    with BODIES.open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            taken = {name: float(row[name]) for name in TAKEN}
            taken["shoulder_width"] = 2 * taken["shoulder_length"] + taken["neck_base_girth"] / pi
            try:
                draft = garment.draft(Measurements(taken), options, "cm")
            except OaktagError:
                continue
            pattern = mark(
                allow(draft, {}),
                title="Lighthouse choir, alto",
                size="m",
                size_words="made to measure",
                unit="cm",
                label_box=label_box,
            )
            made.append((row["id"], pattern))
    return tuple(made)


TAKEN = (
    "bust_girth", "waist_girth", "hip_girth", "back_waist_length", "waist_to_hip", "bust_point_width",
    "upper_arm_girth", "arm_length", "wrist_girth", "hand_girth", "stature", "waist_height", "knee_height",
    "crotch_height", "ankle_height", "knee_girth", "calf_girth", "ankle_girth", "thigh_girth", "shoulder_length",
    "neck_base_girth",
)  # fmt: skip
"""Columns of the survey that mean what the job file means by the same name."""


def pieces(style: str) -> Iterator[tuple[str, MarkedPiece]]:
    for body, pattern in dresses(style):
        for piece in pattern.pieces:
            yield f"{body} {piece.name}", piece


def fine(piece: MarkedPiece, edge: str) -> shapely.LineString:
    """An edge flattened so finely that chords do not matter."""
    return shapely.LineString(flatten(piece.cut.piece.edge(edge).curves, 1e-4))


each_style = pytest.mark.parametrize("style", STYLES)


@each_style
def test_most_bodies_are_served(style: str) -> None:
    assert set(TAKEN) <= set(KINDS)
    assert len(dresses(style)) >= 45, "too few dresses for the tests below to mean anything"


@each_style
def test_every_notch_is_on_the_cut_line_and_square_to_the_stitch_line(style: str) -> None:
    for where, piece in pieces(style):
        cut = piece.cut
        ring = shapely.LineString([*cut.cut_line, cut.cut_line[0]])
        assert piece.notches
        for notch in piece.notches:
            line = fine(piece, notch.edge)
            assert ring.distance(shapely.MultiPoint(notch.spots)) < 1e-6, f"{where}: {notch.name}"
            assert all(ring.distance(shapely.Point(spot)) < 1e-6 for spot in notch.spots), f"{where}: {notch.name}"
            assert hypot(*notch.direction) == pytest.approx(1)
            at = line.project(shapely.Point(notch.point))
            low, high = line.interpolate(max(0.0, at - 0.5)), line.interpolate(min(line.length, at + 0.5))
            run = (high.x - low.x, high.y - low.y)
            across = run[0] * notch.direction.x + run[1] * notch.direction.y
            assert abs(across) / hypot(*run) < 0.01, f"{where}: {notch.name} is not square to its edge"
            assert run[0] * notch.direction.y - run[1] * notch.direction.x < 0, f"{where}: {notch.name} points inwards"
            width = cut.allowances[notch.edge]
            if width > 0 and notch.count == 1 and 60 < at < line.length - 60:
                assert distance(notch.point, notch.spots[0]) == pytest.approx(width, abs=0.12), f"{where}: {notch.name}"


@each_style
def test_a_double_notch_is_8_mm_apart_on_the_stitch_line(style: str) -> None:
    doubles = 0
    for where, piece in pieces(style):
        for notch in piece.notches:
            if notch.count == 2:
                line = fine(piece, notch.edge)
                first, second = (line.project(shapely.Point(spot)) for spot in notch.spots)
                middle = line.project(shapely.Point(notch.point))
                assert second - first == pytest.approx(APART, abs=0.1), f"{where}: {notch.name}"
                assert (first + second) / 2 == pytest.approx(middle, abs=0.1), f"{where}: {notch.name}"
                doubles += 1
    assert doubles >= 2 * len(dresses(style)), "the back's armhole and neckline have double notches"


@each_style
def test_drill_holes_are_inside_what_is_sewn_away(style: str) -> None:
    darts = 0
    for where, piece in pieces(style):
        for number, dart in enumerate(piece.cut.piece.darts):
            shape = shapely.Polygon(dart.points)
            holes = piece.drill_holes[4 * number : 4 * number + 4]
            assert all(shape.contains(shapely.Point(hole)) for hole in holes), where
            for hole, tip in ((holes[0], dart.points[0]), (holes[2], dart.points[2])):
                assert distance(hole, tip) == pytest.approx(INSIDE_POINT, abs=1e-9), where
                axis = shapely.LineString([dart.points[0], dart.points[2]])
                assert axis.distance(shapely.Point(hole)) < 1e-9, where
            darts += 1
    assert darts >= 2 * len(dresses(style))


@each_style
def test_the_fold_line_is_the_whole_fold(style: str) -> None:
    """End to end of the cut piece along x = 0, downwards as the outline runs there."""
    folds = 0
    for where, piece in pieces(style):
        assert (piece.fold_line is not None) == piece.cut.piece.on_fold, where
        if piece.fold_line is not None:
            on_fold = shapely.Polygon(piece.cut.cut_line).intersection(shapely.LineString([(0, -3000), (0, 3000)]))
            low, high = sorted(y for _, y in on_fold.coords)
            assert piece.fold_line == (pytest.approx((0, high), abs=1e-6), pytest.approx((0, low), abs=1e-6)), where
            assert low < piece.cut.piece.edge("centre_front").end.y or low == pytest.approx(
                piece.cut.piece.edge("centre_front").end.y - piece.cut.allowances.get("hem", 0.0), abs=1e-6
            )
            folds += 1
    assert folds >= len(dresses(style))


@each_style
def test_labels_are_inside_clear_of_every_line_and_large_enough(style: str) -> None:
    for where, piece in pieces(style):
        cut, label = piece.cut, piece.label
        size = label_box(label.lines, label.height)
        assert size[0] == label.width
        box = box_of(label, size)
        stitch = shapely.Polygon(cut.stitch_line)
        assert stitch.contains(box), where
        assert stitch.exterior.distance(box) >= CLEAR, where
        lines = [*(line.points for line in cut.piece.internal_lines), piece.grain_line]
        assert all(shapely.LineString(line).distance(box) >= CLEAR for line in lines), where
        assert all(shapely.Polygon(dart.points).distance(box) >= CLEAR for dart in cut.piece.darts), where
        assert all(box.distance(shapely.Point(hole)) >= CLEAR for hole in piece.drill_holes), where
        assert label.height >= LEAST_TEXT, where
        if piece.fold_line is not None:
            assert shapely.LineString(piece.fold_line).distance(box) >= 20, f"{where}: in the fold's bracket"


@each_style
def test_cut_lines_are_sound_and_have_their_widths(style: str) -> None:
    """Away from the corners, by three widths: +0.10 / −0.05 mm (the project's tolerance)."""
    looked_at = 0
    for where, piece in pieces(style):
        cut = piece.cut
        outline = shapely.Polygon(cut.cut_line)
        assert outline.is_valid, where
        assert outline.buffer(1e-3).contains(shapely.Polygon(cut.stitch_line)), where
        corners = shapely.MultiPoint([edge.start for edge in cut.piece.edges])
        widest = max(cut.allowances.values())
        for name, line in cut.lines.items():
            run = shapely.LineString(line)
            for p in run.interpolate([0.3, 0.5, 0.7], normalized=True):
                if corners.distance(p) > 3 * widest:
                    off = outline.exterior.distance(p) - cut.allowances[name]
                    assert -0.05 <= off <= 0.10, f"{where}: {name} is {off:+.3f} mm off"
                    looked_at += 1
    assert looked_at > 5 * len(dresses(style))


def test_internal_lines_and_darts_are_what_labels_avoid() -> None:
    """A line through the middle of a plain piece moves its label off the middle."""
    free = marked(rectangle(grain=(P(10, 40), P(10, 260))), WIDTHS)
    crossed = marked(
        rectangle(
            grain=(P(10, 40), P(10, 260)), internal_lines=(InternalLine("waist line", (P(0, 150), P(200, 150))),)
        ),
        WIDTHS,
    )
    line = shapely.LineString([(0, 150), (200, 150)])
    assert box_of(free.label, label_box(free.label.lines, free.label.height)).intersects(line)
    assert box_of(crossed.label, label_box(crossed.label.lines, crossed.label.height)).distance(line) >= CLEAR
