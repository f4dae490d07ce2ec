"""The bodice: darts moved by the laws for that, princess lines, necklines, and its claims on women of a survey."""

from __future__ import annotations

import math
from functools import cache

import pytest
import shapely

from by_the_tape import drafted as draft_of
from by_the_tape import piece, worst_kink
from oaktag.body.charts import shipped
from oaktag.body.measurements import Measurements
from oaktag.checks.run import check
from oaktag.draft.board import Board
from oaktag.errors import DraftError, GeometryError
from oaktag.garments.blocks import METHODS, block
from oaktag.garments.bodice import bodice
from oaktag.garments.parts.neckline import STYLES, neck_round, new_neck
from oaktag.garments.parts.princess import back_princess, came_of, front_princess, princess_seam
from oaktag.garments.parts.style_darts import PLACES, folded, placed, pulled_back
from oaktag.garments.parts.waistline import shaped
from oaktag.garments.parts.yokes import back_yoke
from oaktag.geometry.point import turn_deg
from oaktag.model.length import cm
from oaktag.model.piece import Piece
from oaktag.values import replace
from test_blocks import SURVEY
from wardrobe import dense, failed, finished, found, tape

CHART = dict(shipped("women").body("14"))
BODY = Measurements({**CHART, "front_waist_length": CHART["back_waist_length"] + 25.4 + 35.0})
"""With a front length, so that the quarter block has a bust dart too."""
EASE = {"quarter": 8, "close": 10, "angle": 12}


@cache
def halves(method: str, one: bool = True) -> tuple[Piece, Piece]:
    on = Board("block", BODY, {}, "cm")
    return block(on, method, ease_bust=cm(EASE[method]), ease_waist=cm(6), front_darts="one" if one else "auto")


def sewn(of: Piece, name: str) -> float:
    edge = of.edge(name)
    return tape(dense(edge.curves, 200)) - sum(take.end - take.start for take in edge.takes)


def wedge(of: Piece, name: str) -> float:
    a, tip, b = next(dart for dart in of.darts if dart.name == name).points
    turn = math.atan2(a.y - tip.y, a.x - tip.x) - math.atan2(b.y - tip.y, b.x - tip.x)
    return abs(math.degrees(math.remainder(turn, math.tau)))


def apex_wedge(of: Piece, name: str) -> float:
    """The angle of a dart as it is seen from the bust point."""
    a, _, b = next(dart for dart in of.darts if dart.name == name).points
    tip = of.points["bust_point"]
    turn = math.atan2(a.y - tip.y, a.x - tip.x) - math.atan2(b.y - tip.y, b.x - tip.x)
    return abs(math.degrees(math.remainder(turn, math.tau)))


# ---------------------------------------------------------------- darts moved


@pytest.mark.parametrize("place", PLACES)
@pytest.mark.parametrize("method", METHODS)
def test_a_dart_moved_keeps_its_angle_and_all_lengths(method, place):
    """Laws 1, 3 and 4 of moving darts (garment rules, 2.2): the angle stays, legs are alike, no edge is longer sewn."""
    front, _ = halves(method)
    moved = placed(front, place)
    if place == "waist":
        assert wedge(moved, "waist") == pytest.approx(wedge(front, "bust") + apex_wedge(front, "waist"), abs=0.01)
    else:
        assert wedge(moved, "bust") == pytest.approx(wedge(front, "bust"), abs=0.01)
    for dart in moved.darts:
        (one, other), *_ = dart.legs()
        assert one == pytest.approx(other, abs=0.5)
    for edge in front.edges:
        assert sewn(moved, edge.name) == pytest.approx(sewn(front, edge.name), abs=0.05)
    assert shapely.Polygon([p for edge in moved.edges for p in dense(edge.curves, 40)[:-1]]).is_valid


@pytest.mark.parametrize("method", METHODS)
def test_a_dart_there_and_back_is_the_block(method):
    """Law 2: moved and moved back, the outline is the same to 0.1 mm."""
    front, _ = halves(method)
    home = {"quarter": "side", "close": "shoulder", "angle": "armhole"}[method]
    away = placed(front, "french" if home != "side" else "shoulder")
    first = next(take for take in front.edge(home).takes)
    from oaktag.draft.pivots import pivot
    from oaktag.draft.sectors import Opening

    back = pivot(away, "bust", Opening(home, first.start, pressed=first.pressed or "start", name="bust"))
    for edge in front.edges:
        a, b = (shapely.LineString(dense(of.edge(edge.name).curves, 60)) for of in (front, back))
        assert a.hausdorff_distance(b) < 0.1, edge.name


def test_a_point_pulled_back_leaves_the_ends():
    """gw-078: 3 cm wide, 14 long, 2 back: the angle grows by 2.06 degrees; at our dart by the same law."""
    front, _ = halves("close")
    dart = next(dart for dart in front.darts if dart.name == "bust")
    short = next(dart for dart in pulled_back(front, "bust", 20.0).darts if dart.name == "bust")
    for k in (0, 2):
        assert math.dist(short.points[k], dart.points[k]) < 0.05
    long = math.dist(
        dart.points[1], ((dart.points[0].x + dart.points[2].x) / 2, (dart.points[0].y + dart.points[2].y) / 2)
    )
    half = math.dist(dart.points[0], dart.points[2]) / 2
    grown = 2 * math.degrees(math.atan(half / (long - 20)) - math.atan(half / long))
    assert wedge(pulled_back(front, "bust", 20.0), "bust") - wedge(front, "bust") == pytest.approx(grown, abs=0.01)
    by_rule = 2 * math.degrees(math.asin(1.5 / 12) - math.asin(1.5 / 14))
    assert by_rule == pytest.approx(2.06, abs=0.02)


def test_a_dart_is_parted_in_two_and_gathered():
    """Law 1: the sum of the angles stays; law 5: gathers take what the dart took."""
    front, _ = halves("close")
    two = placed(front, "side", part=0.4)
    assert wedge(two, "bust") + wedge(two, "bust_2") == pytest.approx(wedge(front, "bust"), abs=0.01)
    gathered = folded(front, "gathers")
    assert not [dart for dart in gathered.darts if dart.name == "bust"]
    assert [take.kind for take in gathered.edge("shoulder").takes] == ["gathers"]
    assert sewn(gathered, "shoulder") < front.edge("shoulder").sewn_length() + 1


def test_a_cut_across_another_dart_is_refused():
    with pytest.raises(GeometryError, match="waist_2 dart"):
        placed(halves("angle", False)[0], "side")


# ---------------------------------------------------------------- princess lines and yokes


@pytest.mark.parametrize("start", ["shoulder", "armhole"])
@pytest.mark.parametrize("method", METHODS)
def test_a_princess_line_passes_the_bust_point_and_eases_the_side(method, start):
    """Law 8: within 1 cm of the bust point; the side panel 0 to 0.6 cm longer; what is sewn elsewhere stays."""
    front, back = halves(method)
    centre, side = front_princess(front, start)
    point = front.points["bust_point"]
    line = shapely.LineString(dense(centre.edge("princess").curves, 200))
    assert line.distance(shapely.Point(point)) < 10
    ease = sewn(side, "princess") - sewn(centre, "princess")
    assert -0.05 <= ease <= 6
    seam = princess_seam(centre, side, "front princess seam")
    assert seam.ease == pytest.approx(ease if ease > 0.3 else 0.0, abs=0.05)
    for panels, whole in (((centre, side), front), (back_princess(back, start), back)):
        for name in ("waist", "armhole", "shoulder"):
            parts = came_of(panels, f"{whole.name}.{name}")
            total = sum(
                sewn(next(p for p in panels if p.name == each.split(".")[0]), each.split(".")[1]) for each in parts
            )
            assert total == pytest.approx(sewn(whole, name), abs=0.1), (whole.name, name)
        for panel in panels:
            assert worst_kink(panel.edge("princess")) < 12  # where it ends at a dart of the block, unrounded


@pytest.mark.parametrize("method", METHODS)
def test_a_shoulder_dart_goes_into_the_yoke_seam(method):
    """Law 7: above the line nothing is left of it, and yoke and back are sewn to each other with less than 0.6 cm of
    ease where its point lies on the line."""
    _, back = halves(method)
    tip = back.points["shoulder_dart"].y if "shoulder_dart" in back.points else back.points["neck_centre"].y - 90
    yoke, below = back_yoke(back, tip)
    assert not [dart for dart in (*yoke.darts, *below.darts) if dart.name == "shoulder"]
    assert sewn(yoke, "yoke") == pytest.approx(sewn(below, "yoke"), abs=6)
    assert sewn(yoke, "shoulder") == pytest.approx(sewn(back, "shoulder"), abs=0.1)
    assert sewn(yoke, "armhole") + sewn(below, "armhole") == pytest.approx(sewn(back, "armhole"), abs=0.1)


# ---------------------------------------------------------------- necklines


@pytest.mark.parametrize("style", STYLES)
@pytest.mark.parametrize("method", METHODS)
def test_a_neckline_leaves_the_shoulders_equal_and_is_square_at_the_centre(method, style):
    on = Board("neck", BODY, {}, "cm")
    front, back = halves(method)
    front = placed(front, "side")
    new = new_neck(on, front, back, style)
    assert sewn(new[0], "shoulder") == pytest.approx(sewn(new[1], "shoulder"), abs=0.2)
    assert sewn(new[0], "shoulder") > 30
    for half in new:
        way = half.edge("neck").curves[-1].way(1.0)
        if style not in ("v", "sweetheart", "wrap") or half is new[1]:
            assert math.degrees(math.atan2(abs(way.y), abs(way.x))) < 0.1


def test_a_neckline_is_made_wide_enough_for_the_head():
    on = Board("neck", BODY, {}, "cm")
    front, back = halves("close")
    new = new_neck(on, placed(front, "side"), back, "round", head=cm(60))
    assert neck_round(*new) == pytest.approx(601.0, abs=0.5)


def test_a_neckline_that_leaves_no_shoulder_is_refused():
    on = Board("neck", BODY, {}, "cm")
    with pytest.raises(DraftError, match="neck_wider to"):
        new_neck(on, *halves("close"), "boat", wider=cm(11))


# ---------------------------------------------------------------- sweetheart, keyhole, wrap


def closed_line(of: Piece, name: str) -> list[tuple[float, float]]:
    return dense(of.edge(name).curves, 200)


def test_a_sweetheart_falls_to_a_dip_between_two_arcs():
    """The dip lies lowest, and the arcs beside it higher than the straight way to it (common practice, no source)."""
    on = Board("neck", BODY, {}, "cm")
    front, _ = new_neck(on, placed(halves("close")[0], "side"), halves("close")[1], "sweetheart")
    line = closed_line(front, "neck")
    low = min(line, key=lambda p: p[1])
    assert low[0] == pytest.approx(0.0, abs=0.01)
    corner = front.edge("neck").curves[1].end
    between = [p for p in line if 1 < p[0] < corner.x - 1 and p[1] < corner.y + 30]
    assert between
    for x, y in between:
        assert y > low[1] + (corner.y - low[1]) * x / corner.x


@pytest.mark.parametrize("half", ["front", "back"])
@pytest.mark.parametrize("shape", ["slit", "drop"])
def test_a_keyhole_lets_the_head_through(half, shape):
    """N1 of the worked checks: neckline and twice the slit are the head and 3 cm at least; and it is faced there."""
    body = Measurements({**BODY, "head_girth": 560.0})
    draft = draft_of(bodice, body, "mm", closure="none", waist_darts="no", keyhole=f"{half} {shape}")
    pattern = finished(draft, "cm")
    assert found(pattern, "entry.neckline").passed
    shell, facing = piece(draft, half), piece(draft, f"neck_facing_{half}")
    neck = 2 * sum(tape(closed_line(piece(draft, name), "neck")) for name in ("front", "back"))
    (line,) = [line for line in shell.internal_lines if line.name == "keyhole"]
    ys = [p[1] for p in line.points]
    assert neck + 2 * (max(ys) - min(ys)) >= 560 + 30 - 0.5
    cloth = shapely.Polygon([p for edge in facing.edges for p in dense(edge.curves, 60)[:-1]])
    assert cloth.buffer(0.5).covers(shapely.LineString(line.points))
    assert [each.points for each in facing.internal_lines] == [line.points]
    assert any(notion.name == "button" for notion in draft.notions)


def test_a_keyhole_too_shallow_for_the_head_is_told():
    body = Measurements({**BODY, "head_girth": 640.0})
    pattern = finished(draft_of(bodice, body, "cm", closure="none", waist_darts="no", keyhole="back slit",
                                keyhole_deep=4.0), "cm")  # fmt: skip
    assert not found(pattern, "entry.neckline").passed


@pytest.mark.parametrize(
    ("style", "words"),
    [({"keyhole": "back slit"}, "closure to none"), ({"keyhole": "front drop", "facings": "no"}, "facings to yes"),
     ({"keyhole": "front drop", "neckline": "v"}, "neckline to plain"),
     ({"neckline": "wrap", "princess": "shoulder"}, "princess or yoke to none"),
     ({"neckline": "wrap", "bust_dart": "neck"}, "bust_dart to side"),
     ({"neckline": "wrap", "below_waist": 180.0}, "neckline"),
     ({"waist_shape": "point", "below_waist": 180.0}, "below_waist to 0")],
)  # fmt: skip
def test_what_does_not_go_together_is_refused_with_what_to_change(style, words):
    with pytest.raises(DraftError, match=words):
        draft_of(bodice, BODY, "mm", **style)


@pytest.mark.parametrize("method", METHODS)
def test_a_wrap_front_reaches_the_other_side_seam(method):
    """As sewn, its waist is both halves of the front: what lies beyond the centre is as long as its own half, and its
    end as long as the stretch of the side seam that it is caught in (geometry)."""
    draft = draft_of(bodice, BODY, "cm", method=method, neckline="wrap")
    front, plain = piece(draft, "front"), piece(draft_of(bodice, BODY, "cm", method=method), "front")
    assert sewn(front, "waist") == pytest.approx(2 * sewn(plain, "waist"), abs=0.2)
    at = {(notch.edge, notch.name): notch.at for notch in front.notches}
    assert at["waist", "centre front"] == pytest.approx(sewn(plain, "waist"), abs=0.1)
    assert at["side", "wrap end"] == pytest.approx(tape(closed_line(front, "wrap_end")), abs=0.1)
    neck = closed_line(front, "neck")
    straight = shapely.LineString([neck[0], neck[-1]])
    assert max(straight.distance(shapely.Point(p)) for p in neck) < 30, "straight to lightly curved"
    assert sewn(piece(draft, "neck_facing_front"), "neck") == pytest.approx(tape(neck), abs=0.1)
    assert any("stay tape" in note for note in draft.notes)
    ring = shapely.Polygon([p for edge in front.edges for p in dense(edge.curves, 40)[:-1]])
    assert ring.is_valid


def test_a_tied_wrap_has_ties_that_go_round():
    """Waist and 50 cm, waist and 90 cm, of which the long one goes round (chosen, as of the wrap skirt)."""
    draft = draft_of(bodice, BODY, "cm", neckline="wrap", wrap_ends="ties", closure="none")
    long = {name: tape(closed_line(piece(draft, name), "tie_lower")) for name in ("tie_short", "tie_long")}
    assert long == {"tie_short": pytest.approx(BODY["waist_girth"] + 500, abs=0.5),
                    "tie_long": pytest.approx(BODY["waist_girth"] + 900, abs=0.5)}  # fmt: skip
    assert not any(seam.name == "wrap end" for seam in draft.seams)


# ---------------------------------------------------------------- yokes of the garment


@pytest.mark.parametrize("fold", ["dart", "gathers", "pleat"])
@pytest.mark.parametrize("method", METHODS)
def test_a_bust_dart_goes_into_the_seam_of_a_front_yoke(method, fold):
    """Laws 5 and 7: none of it is left above; below the yoke the seam is as long as the yoke when sewn; what the neck,
    armhole, side and waist measured they measure."""
    plain = piece(draft_of(bodice, BODY, "cm", method=method, front_darts="one"), "front")
    draft = draft_of(bodice, BODY, "cm", method=method, yoke="front", bust_fold=fold)
    upper, below = piece(draft, "front_yoke"), piece(draft, "front_below")
    assert not upper.darts
    assert [take.kind for take in below.edge("yoke").takes] == [fold]
    assert sewn(upper, "yoke") == pytest.approx(sewn(below, "yoke"), abs=0.3)
    assert sewn(upper, "armhole") + sewn(below, "armhole") == pytest.approx(sewn(plain, "armhole"), abs=0.3)
    for name in ("waist", "side"):
        assert sewn(below, name) == pytest.approx(sewn(plain, name), abs=0.3)


def test_a_yoke_line_lies_at_its_share_of_the_armhole_and_fullness_is_gathered_below_it():
    draft = draft_of(bodice, BODY, "cm", method="quarter", yoke="back", yoke_down=0.4, yoke_full=3.0)
    upper, below = piece(draft, "back_yoke"), piece(draft, "back_below")
    tip, under = upper.points["shoulder_tip"], below.points["underarm"]
    plain = piece(draft_of(bodice, BODY, "cm", method="quarter"), "back").points["underarm"]
    assert upper.edge("yoke").start.y == pytest.approx(tip.y + (plain.y - tip.y) * 0.4, abs=0.01)
    assert under.x > plain.x
    (take,) = below.edge("yoke").takes
    assert take.kind == "gathers"
    drawn = tape(closed_line(below, "yoke"))
    assert drawn - tape(closed_line(upper, "yoke")) == pytest.approx(30, abs=1.5)
    assert sewn(below, "yoke") == pytest.approx(sewn(upper, "yoke"), abs=0.3)
    assert len([n for n in upper.notches if n.edge == "yoke"]) == len([n for n in below.notches if n.edge == "yoke"])


# ---------------------------------------------------------------- a shaped waist


@pytest.mark.parametrize("shape", ["point", "curve"])
@pytest.mark.parametrize("method", METHODS)
def test_a_shaped_waist_falls_to_the_centre_and_runs_on_over_closed_darts(method, shape):
    """So deep as asked at the centre, where it was at the side, legs alike, no corner when sewn (geometry); no shorter
    than a straight line from centre to side, as sewn."""
    on = Board("block", BODY, {}, "cm")
    front, _ = block(on, method, ease_bust=cm(EASE[method]), ease_waist=cm(6))
    new = shaped(front, "waist", 50.0, shape)
    assert new.points["waist_centre"].y == pytest.approx(front.points["waist_centre"].y - 50, abs=0.01)
    assert math.dist(new.edge("waist").end, front.edge("waist").end) < 0.01
    for dart in new.darts:
        (one, other), *_ = dart.legs()
        assert one == pytest.approx(other, abs=0.01)
    assert sum(dart.name.startswith("waist") for dart in new.darts) == sum(
        dart.name.startswith("waist") for dart in front.darts
    )
    assert sewn(new, "waist") >= math.hypot(sewn(front, "waist") - 5, 50) - 5
    way = new.edge("waist").curves[0].way(0.0)
    assert math.degrees(math.atan2(way.y, way.x)) == pytest.approx(0.0 if shape == "curve" else 20.0, abs=12)
    assert shapely.Polygon([p for edge in new.edges for p in dense(edge.curves, 40)[:-1]]).is_valid


# ---------------------------------------------------------------- the garment


STYLES_TRIED = (
    [{"method": method, "princess": line} for method in METHODS for line in ("shoulder", "armhole")]
    + [{"method": method, "bust_dart": place} for method in ("close", "angle") for place in PLACES]
    + [{"method": "close", "bust_dart": "neck", "bust_fold": "gathers"}, {"method": "angle", "below_waist": 180.0},
       {"method": "quarter", "closure": "none", "waist_darts": "no", "neckline": "boat"},
       {"method": "angle", "neckline": "v", "princess": "armhole"}, {"method": "close", "front_darts": "two"},
     {"method": "close", "neckline": "sweetheart", "princess": "shoulder"},
     {"method": "angle", "yoke": "both", "bust_dart": "side", "yoke_full": 25.0},
     {"method": "close", "waist_shape": "point", "princess": "armhole"},
     {"method": "quarter", "waist_shape": "curve", "closure": "none", "keyhole": "front slit", "waist_darts": "no"}]
)  # fmt: skip


@pytest.mark.parametrize("style", STYLES_TRIED, ids=lambda style: " ".join(map(str, style.values())))
def test_every_style_passes_its_checks(style):
    """Bust and waist girth, style lines as walked, shoulders, facings: by the checks of every garment."""
    pattern = finished(draft_of(bodice, BODY, "mm", **style), "cm")
    errors = [finding for finding in failed(pattern) if finding.severity.value == "error"]
    assert errors == []


@pytest.mark.parametrize("method", METHODS)
def test_on_women_of_a_survey(method):
    """The claims hold, with princess lines too; none is refused."""
    for body in SURVEY[::5]:
        for line in ("none", "shoulder"):
            pattern = finished(draft_of(bodice, Measurements(body), "cm", method=method, princess=line), "cm")
            assert [f.message for f in failed(pattern) if f.severity.value == "error"] == []
            assert found(pattern, "girth.waist").passed and found(pattern, "girth.bust").passed


@pytest.mark.parametrize("line", ["none", "shoulder", "armhole"])
@pytest.mark.parametrize("method", METHODS)
def test_no_corner_is_left_where_seams_meet(method, line):
    """Trade checks S5, at necks, armholes, waists and facings, and with darts closed whose points were pulled back; a
    bust dart wider than 4 cm alone is told of (D8)."""
    for body in SURVEY[1::9]:
        pattern = finished(draft_of(bodice, Measurements(body), "cm", method=method, princess=line), "cm")
        told = [f.id for f in failed(pattern) if not f.id.startswith("body.")]
        assert set(told) <= ({"dart.intake"} if line == "none" else set())


@pytest.mark.parametrize("method", METHODS)
@pytest.mark.parametrize("neck", ["square", "boat", "round", "v"])
def test_a_back_neck_has_no_hook_at_its_ends(method, neck):
    """1 mm from its ends it still runs as it left there, to 4 degrees: as every edge of the blocks (judgement). With
    facings, none is refused (a square neck over a bust dart at the side was)."""
    for body in SURVEY[::4]:
        draft = draft_of(bodice, Measurements(body), "cm", method=method, neckline=neck, facing_wide=4)
        path = piece(draft, "back").edge("neck").curves
        for curve in (path[0], path[-1].reversed()):
            a, b = curve.way(0.0), curve.way(1.0 / curve.length())
            assert abs(turn_deg(a, b)) < 4


@pytest.mark.parametrize("place", ["auto", "waist"])
def test_a_bust_dart_over_4_cm_is_noted_and_one_at_the_waist_warned_of(place):
    """The published close-fitting block takes in 7 cm at bust 88, and 0.6 more for each 4 cm (worked garments 75); for
    4 cm as the most (trade checks D8) there is no source but common practice."""
    pattern = finished(draft_of(bodice, BODY, "cm", method="close", bust_dart=place), "cm")
    told = [f for f in check(pattern) if f.id == "dart.intake" and not f.passed]
    assert [f.severity.value for f in told] == ["info"]
    assert "7 cm there at a bust of 88 cm" in told[0].message and "split in two" in told[0].message
    wide = [replace(d, intake=50.0) if d.name == "waist" else d for d in pattern.piece("back").cut.piece.darts]
    cut = pattern.piece("back").cut
    other = replace(pattern.piece("back"), cut=replace(cut, piece=replace(cut.piece, darts=tuple(wide))))
    pieces = tuple(other if each.name == "back" else each for each in pattern.pieces)
    warned = [f for f in check(replace(pattern, pieces=pieces)) if f.id == "dart.intake" and not f.passed]
    assert sorted(f.severity.value for f in warned) == ["info", "warning"]


def test_princess_lines_lose_no_width_beside_the_bust_point():
    """Both sides of the line share its way through the bust point: the bust girth was 1 to 2 mm off on 8 of 300."""
    from by_the_tape import measured_whole

    women = measured_whole("women_1988_300.csv")
    for name, method in (("A0145", "quarter"), ("A0226", "quarter"), ("A0442", "quarter"), ("A1438", "angle")):
        line = "shoulder" if method == "angle" else "armhole"
        pattern = finished(draft_of(bodice, women[name], "cm", method=method, princess=line), "cm")
        assert [f.message for f in failed(pattern) if f.severity.value == "error"] == []


def test_what_is_from_memory_is_told():
    for method in ("close", "angle"):
        assert any("from memory" in note for note in draft_of(bodice, BODY, method=method).notes)
    assert not any("from memory" in note for note in draft_of(bodice, BODY).notes)


def test_without_a_zip_a_fitted_waist_does_not_pass_the_bust():
    pattern = finished(draft_of(bodice, BODY, closure="none"), "cm")
    assert not found(pattern, "entry.bust").passed
    assert found(pattern, "entry.neckline").passed


def test_a_waist_dart_is_asked_for_where_it_is_needed():
    with pytest.raises(DraftError, match="princess to none"):
        draft_of(bodice, BODY, princess="shoulder", waist_darts="no")
    with pytest.raises(DraftError, match="waist_darts to yes"):
        draft_of(bodice, BODY, bust_dart="waist", waist_darts="no")


def test_front_and_back_of_a_princess_bodice_are_panels():
    draft = draft_of(bodice, BODY, princess="armhole", facings="no")
    assert [each.name for each in draft.pieces] == ["front_centre", "front_side", "back_centre", "back_side"]
    assert piece(draft, "front_centre").on_fold and piece(draft, "back_centre").mirrored_pair
