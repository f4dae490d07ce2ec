"""A sheet on the table: edges by rulers, darts with equal legs, runs fitted to each other."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from oaktag.body.measurements import Measurements
from oaktag.draft.board import Board
from oaktag.draft.rulers import HIP_CURVE, Bevel, compass, curve
from oaktag.draft.sketch import Sketch
from oaktag.errors import DraftError
from oaktag.geometry.path import path_length
from oaktag.geometry.point import Point, direction, distance, turn_deg
from oaktag.model.length import Length, mm
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


def test_points_go_with_the_point_they_were_measured_from() -> None:
    s = sheet()
    s.at("top", up=mm(100))
    s.at("foot", right=mm(80))
    s.between("middle", "foot", "top", right=mm(5))
    s.at("beside", right=mm(30), down=mm(10), of="top")
    s.edge("cap", "foot", curve("level", "smooth"), "middle", curve("smooth", "level"), "top")
    s.on("third", "cap", mm(40), "foot")
    s.fit("cap", to=mm(180), move="top", way="up", change="ease")
    top, foot = s.points["top"], s.points["foot"]
    assert top.x == 0 and top.y > 100
    assert s.points["beside"] == pytest.approx((30.0, top.y - 10))
    chord = direction(foot, top)
    assert s.points["middle"] == pytest.approx(((foot.x + top.x) / 2 + 5 * chord.y, (foot.y + top.y) / 2 - 5 * chord.x))
    points = dense(s.drawn("cap")[0].curves, 4000)
    assert min(math.dist(p, s.points["third"]) for p in points) < 0.02
    assert tape(points) == pytest.approx(180.0, abs=0.01)


def test_an_unfit_run_leaves_every_point_where_it_was() -> None:
    s = panel()
    s.at("beside", right=mm(10), of="waist_side")
    before = dict(s.points)
    with pytest.raises(DraftError, match="Change ease_waist"):
        s.fit("waist", to=mm(900), move="waist_side", way="right", change="ease_waist")
    assert s.points == before


def test_nothing_is_looked_for_beyond_a_place_that_cannot_be_drawn() -> None:
    """Moved inwards by 8.3 mm and more, the darts have no room; the waist that is wanted lies further out still."""
    s = panel(wide=100.0)
    for k in (1, 2, 3):
        s.dart(f"waist {k}", "waist", at=mm(22.0 * k), of="waist_centre", intake=mm(12), deep=mm(90))
    for wanted in range(20, 140, 5):
        try:
            s.fit("waist", to=mm(wanted), move="waist_side", way="right", change="ease_waist")
        except DraftError as error:
            assert "ease_waist" in str(error)
        else:
            assert s.drawn("waist")[0].sewn_length() == pytest.approx(wanted, abs=1e-3)


@given(st.floats(40, 140), st.booleans())
def test_a_bevel_is_the_angle_of_the_two_edges(deg: float, leaving: bool) -> None:
    s = sheet()
    s.put("a", (0, 0))
    s.put("b", (200, 30))
    s.put("c", (60, -150))
    s.edge("top", "a", "b")
    run = ("a", curve(Bevel(deg), "free"), "c") if leaving else ("c", curve("free", Bevel(deg)), "a")
    s.edge("slope", *run)
    path = s.drawn("slope")[0].curves
    way = path[0].way(0.0) if leaving else Point(-path[-1].way(1.0).x, -path[-1].way(1.0).y)
    assert turn_deg(direction((0, 0), (200, 30)), way) == pytest.approx(-deg, abs=1e-6)


@given(st.floats(5, 175), st.floats(50, 900))
def test_a_point_is_swung_about_another(deg: float, reach: float) -> None:
    s = sheet()
    s.at("pin", up=mm(reach))
    s.at("a")
    s.swing("b", "a", about="pin", deg=deg, reach=mm(reach))
    pin, b = s.points["pin"], s.points["b"]
    assert math.dist(pin, b) == pytest.approx(reach)
    assert turn_deg(direction(pin, s.points["a"]), direction(pin, b)) == pytest.approx(deg)
    assert s.steps[-1].value == pytest.approx(math.dist(s.points["a"], b), rel=1e-4)


def test_a_corner_is_cut_off_and_an_edge_parted() -> None:
    """The parts come to the whole; what was cut off ends where the new edge does."""
    s = panel()
    side, waist = (s.drawn(edge)[0].length() for edge in ("side", "waist"))
    corner = s.points["waist_side"]
    s.on("a", "waist", mm(50), "waist_side")
    s.on("b", "side", mm(160), "waist_side")
    over, down = s.cut_off("slant", "a", "b")
    s.on("c", "side", mm(100), "hem_side")
    s.split("side", "c", "side_low")
    piece = s.piece()
    assert [path_length(path) for path in (over, down)] == pytest.approx([50.0, 160.0])
    assert over[0].start == piece.edge("slant").end == s.points["a"]
    assert over[-1].end == pytest.approx(corner) and down[0].start == pytest.approx(corner)
    assert down[-1].end == pytest.approx(s.points["b"])
    assert piece.edge("waist").length() == pytest.approx(waist - 50)
    assert piece.edge("side_low").length() == pytest.approx(100.0)
    assert piece.edge("side").length() == pytest.approx(side - 160 - 100)
    assert "waist_side" not in piece.points


def test_a_level_may_be_an_arc() -> None:
    s = sheet()
    s.at("pin", up=mm(100))
    for name, down in (("waist", 0.0), ("hem", 300.0)):
        s.at(f"{name}_centre", down=mm(down))
        s.swing(f"{name}_side", f"{name}_centre", about="pin", deg=60, reach=mm(100 + down))
        s.level(name, mm(down), f"{name}_centre", compass("pin"), f"{name}_side")
    s.fold("centre", "waist_centre", "hem_centre")
    s.hem("hem", "hem_centre", compass("pin"), "hem_side")
    s.edge("side", "hem_side", "waist_side")
    s.edge("waist", "waist_side", compass("pin"), "waist_centre")
    waist, hem = s.piece().levels
    assert len(waist.points) == len(hem.points)
    for level, radius in ((waist, 100), (hem, 400)):
        assert all(math.dist(p, (0, 100)) == pytest.approx(radius, abs=1e-3) for p in level.points)
        assert tape(level.points) == pytest.approx(radius * math.radians(60), rel=2e-4)


def test_a_length_is_solved_on_sheets_that_are_thrown_away() -> None:
    on = Board("apron", Measurements({}), {}, "cm")

    def lack(long: Length) -> float:
        s = on.sketch("trial")
        s.at("a", right=long)
        on.note("tried")
        return 70.0 - s.points["a"].x

    found = on.solve(mm(20), mm(100), lack=lack, so_that="so that it is 7 cm")
    assert (found.mm, found.words()[0]) == (pytest.approx(70.0), "so that it is 7 cm")
    assert on.solve(mm(80), mm(100), lack=lack, so_that="") == mm(80)
    assert on.solve(mm(20), mm(60), lack=lack, so_that="") == mm(60)
    made = on.draft([])
    assert (made.steps, made.notes) == ((), ())


def test_a_pleat_takes_cloth_away_and_is_drawn_as_two_folds() -> None:
    s = panel(rise=0.0)
    s.edge("waist", "waist_side", "waist_centre")
    s.pleat("waist", "waist", at=mm(100), of="waist_centre", intake=mm(30), deep=mm(90))
    s.fit("waist", to=mm(220), move="waist_side", way="right", change="ease_waist")
    piece = s.piece()
    assert piece.edge("waist").length() == pytest.approx(250.0)
    assert piece.edge("waist").sewn_length() == pytest.approx(220.0)
    assert not piece.darts
    folds = [line.points for line in piece.internal_lines]
    assert sorted(folds) == [
        (pytest.approx((85.0, 0.0)), pytest.approx((85.0, -90.0))),
        (pytest.approx((115.0, 0.0)), pytest.approx((115.0, -90.0))),
    ]


def test_a_length_that_has_a_name_is_told_by_it_and_nothing_added_is_not_told() -> None:
    s = sheet()
    shoulder = (mm(140) - mm(10) - mm(0)).called("shoulder")
    s.at("neck_side", right=mm(85))
    s.at("shoulder_tip", of="neck_side", down=shoulder * 0.3, far=shoulder)
    assert [(step.label, step.words("cm")) for step in s.steps[1:]] == [
        ("shoulder", "14 cm − 1 cm"),
        ("shoulder tip, down of the neck side", "shoulder × 0.3"),
        ("shoulder tip, from the neck side", "shoulder"),
    ]


def test_what_is_measured_along_an_edge_starts_at_an_end_of_it() -> None:
    s = panel()
    with pytest.raises(DraftError, match="side is measured from hip_side, and has its ends at hem_side and waist_side"):
        s.on("a", "side", mm(20), "hip_side")
    s.notch("side", "zip end", "hip_side", at=mm(20))
    with pytest.raises(DraftError, match="side is measured from hip_side"):
        s.piece()
    other = panel()
    other.dart("waist", "waist", at=mm(80), of="hem_side", intake=mm(20), deep=mm(90))
    with pytest.raises(DraftError, match="waist is measured from hem_side"):
        other.piece()


def test_the_end_of_a_line_that_was_traced_or_cut_stays() -> None:
    s = panel()
    s.on("a", "waist", mm(50), "waist_side")
    s.split("waist", "a", "beside")
    for point in ("waist_side", "a", "waist_centre"):
        with pytest.raises(DraftError, match=f"{point} cannot be moved: (waist|beside), which ends there"):
            s.fit("side", to=mm(700), move=point, way="up", change="long")
    s.fit("side", to=mm(620), move="hem_side", way="down", change="long")
    edges = s.piece().edges
    assert all(one.end == pytest.approx(other.start) for one, other in pairwise((edges[-1], *edges)))
