"""A sheet on the table: edges by rulers, darts with equal legs, runs fitted to each other."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from oaktag.draft.rulers import HIP_CURVE, compass, curve
from oaktag.draft.sketch import Sketch
from oaktag.errors import DraftError
from oaktag.geometry.path import path_length
from oaktag.geometry.point import Point, direction, distance, turn_deg
from oaktag.model.length import mm
from oaktag.model.piece import Cut, EdgeKind, Piece
from wardrobe import dense, tape


def sheet() -> Sketch:
    return Sketch("front", Cut("fold"), "body", "cm")


def square_of(points: list[tuple[float, float]]) -> float:
    """Twice the area, by the shoelace formula."""
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(points, points[1:] + points[:1], strict=True))


def ring(piece: Piece) -> list[tuple[float, float]]:
    return [p for edge in piece.edges for p in dense(edge.curves, 50)[:-1]]


def panel(wide: float = 240.0, long: float = 600.0, rise: float = 12.0) -> Sketch:
    s = sheet()
    s.at("waist_centre")
    s.at("hem_centre", down=mm(long))
    s.at("hem_side", right=mm(wide + 20), down=mm(long))
    s.at("hip_side", right=mm(wide + 20), down=mm(200))
    s.at("waist_side", right=mm(wide), up=mm(rise))
    s.fold("centre_front", "waist_centre", "hem_centre")
    s.hem("hem", "hem_centre", "hem_side")
    s.edge("side", "hem_side", "hip_side", HIP_CURVE, "waist_side")
    s.edge("waist", "waist_side", curve("square", "level"), "waist_centre")
    return s


@given(st.permutations(range(4)), st.lists(st.booleans(), min_size=4, max_size=4))
def test_edges_may_be_drawn_in_any_order_and_either_way(order: list[int], turned: list[bool]) -> None:
    s = sheet()
    corners = {"a": (0, 0), "b": (300, 0), "c": (300, 200), "d": (0, 200)}
    for name, (right, down) in corners.items():
        s.at(name, right=mm(right), down=mm(down))
    runs = [("top", "a", "b"), ("right", "b", "c"), ("bottom", "c", "d"), ("left", "d", "a")]
    for k in order:
        name, first, last = runs[k]
        s.edge(name, *((last, first) if turned[k] else (first, last)))
    piece = s.piece()
    assert square_of(ring(piece)) == pytest.approx(2 * 300 * 200)
    assert all(one.end == other.start for one, other in pairwise((piece.edges[-1], *piece.edges)))
    assert {edge.name for edge in piece.edges} == {"top", "right", "bottom", "left"}


@given(st.floats(50, 700), st.floats(10, 350))
def test_an_arc_is_as_long_as_its_angle_says(radius: float, degrees: float) -> None:
    """Length = radius × angle (geometry)."""
    assume(abs(degrees - 180) > 0.5)
    angle = math.radians(degrees if degrees < 180 else 360 - degrees)
    s = sheet()
    s.put("pin", (0, 0))
    s.put("a", (radius, 0))
    s.put("b", (radius * math.cos(math.radians(degrees)), radius * math.sin(math.radians(degrees))))
    s.edge("arc", "a", compass("pin"), "b")
    path = s.drawn("arc")[0].curves
    assert path_length(path) == pytest.approx(radius * angle, rel=1e-6)
    assert all(math.hypot(*p) == pytest.approx(radius, rel=1e-6) for p in dense(path, 20))


@given(
    st.floats(180, 320),
    st.floats(0, 25),
    st.floats(0.25, 0.75),
    st.floats(8, 30),
    st.floats(80, 160),
    st.booleans(),
)
def test_a_dart_has_equal_legs_and_the_edge_runs_smoothly_with_it_closed(
    wide: float, rise: float, share: float, intake: float, deep: float, outwards: bool
) -> None:
    s = panel(wide, rise=rise)
    plain = s.drawn("waist")[0].length()
    s.dart(
        "waist", "waist", at=mm(wide * share), of="waist_centre", intake=mm(intake), deep=mm(deep),
        pressed="waist_side" if outwards else "",
    )  # fmt: skip
    edge, (dart,) = s.drawn("waist")
    first, tip, last = dart.points
    assert distance(first, tip) == pytest.approx(distance(last, tip), abs=1e-6)
    assert distance(first, last) == pytest.approx(intake, abs=1e-5)
    assert edge.sewn_length() == pytest.approx(plain - intake, rel=0.01)  # bent runs; `fit` has it exact
    # closed: what lies after the dart turned about its point; no corner where the legs meet
    (take,) = edge.takes
    start, end = take.start, take.end
    points = dense(edge.curves, 400)
    walked = [0.0]
    for p, q in pairwise(points):
        walked.append(walked[-1] + math.dist(p, q))
    before = [p for p, far in zip(points, walked, strict=True) if far < start - 0.2][-2:]
    after = [p for p, far in zip(points, walked, strict=True) if far > end + 0.2][:2]
    closing = turn_deg(direction(tip, last), direction(tip, first))
    kink = turn_deg(direction(*before), direction(*after)) + closing
    assert (kink + 180) % 360 - 180 == pytest.approx(0.0, abs=1.5)


@given(st.floats(150, 260), st.floats(180, 280))
def test_a_run_is_fitted_to_another_or_refused(wide: float, wanted: float) -> None:
    s = panel(wide)
    s.dart("waist", "waist", at=mm(wide / 2), of="waist_centre", intake=mm(20), deep=mm(100))
    try:
        s.fit("waist", to=mm(wanted), move="waist_side", way="right", change="ease_waist")
    except DraftError as error:
        assert "ease_waist" in str(error)
        assert s.points["waist_side"] == Point(wide, 12.0)
        return
    edge = s.drawn("waist")[0]
    (take,) = edge.takes
    start, end = take.start, take.end
    assert tape(dense(edge.curves, 2000)) - (end - start) == pytest.approx(wanted, abs=0.01)
    assert abs(s.points["waist_side"].x - wide) <= 150


def test_square_corners_are_square() -> None:
    s = panel()
    side, waist = s.drawn("side")[0].curves, s.drawn("waist")[0].curves
    assert abs(turn_deg(side[-1].way(1.0), waist[0].way(0.0))) == pytest.approx(90.0, abs=1e-6)
    assert waist[-1].way(1.0) == pytest.approx((-1.0, 0.0), abs=1e-9)


def test_a_smooth_run_goes_on_as_the_straight_one_before_it() -> None:
    side = panel().drawn("side")[0].curves
    assert side[0].way(1.0) == pytest.approx(side[1].way(0.0), abs=1e-9)


def test_what_is_drawn_wrong_is_told() -> None:
    s = sheet()
    s.at("a")
    s.at("b", right=mm(100))
    with pytest.raises(DraftError, match="front: the edge side runs to c, which is not set"):
        s.edge("side", "a", "c")
    with pytest.raises(DraftError, match="no edges"):
        s.piece()
    s.edge("top", "a", "b")
    s.at("c", right=mm(100), down=mm(50))
    s.edge("side", "b", "c")
    with pytest.raises(DraftError, match="its edges do not close: c is not a"):
        s.piece()
    s.at("d", right=mm(500))
    s.at("e", right=mm(600))
    s.edge("far", "d", "e")
    with pytest.raises(DraftError, match="no edge goes on from c; far lie elsewhere"):
        s.piece()
    with pytest.raises(DraftError, match="do not reach"):
        s.at("f", right=mm(300), far=mm(200), of="a")


def test_each_number_is_told_once() -> None:
    s = sheet()
    hip = (mm(900) / 4).called("quarter hip")
    s.at("hip_side", right=hip, down=mm(200))
    s.at("hem_side", right=hip, down=mm(600))
    s.at("waist_side", right=hip - mm(20))
    assert [(step.label, step.at) for step in s.steps] == [
        ("quarter hip", "hip_side.x"),
        ("hip side, down", "hip_side.y"),
        ("hem side, down", "hem_side.y"),
        ("waist side, across", "waist_side.x"),
    ]
    assert s.steps[0].words("cm") == "90 cm ÷ 4"
    assert s.steps[3].words("cm") == "quarter hip − 2 cm"


def test_a_level_runs_from_the_centre_line_of_a_half_and_right_across_a_leg() -> None:
    s = panel()
    s.level("hip", mm(200))
    (level,) = s.piece().levels
    assert (level.depth, level.points) == (200.0, (Point(0.0, -200.0), Point(260.0, -200.0)))
    leg = Sketch("leg", Cut("pair", 2), "leg", "cm")
    leg.box(mm(300), mm(500), ("a", "b", "c", "d"))
    leg.level("knee", mm(250))
    leg.points = {name: Point(p.x - 100, p.y) for name, p in leg.points.items()}
    assert leg.piece().levels[0].points == (Point(-100.0, -250.0), Point(200.0, -250.0))


def test_notches_lie_where_they_were_told_whichever_way_the_edge_was_drawn() -> None:
    s = panel()
    s.notch("side", "hip", "hip_side")
    s.notch("side", "zip end", "waist_side", at=mm(150))
    piece = s.piece()
    side = piece.edge("side")
    hip, end = piece.notches
    assert hip.at == pytest.approx(400.0)
    assert side.length() - end.at == pytest.approx(150.0)
    assert piece.edge("hem").kind is EdgeKind.HEM
