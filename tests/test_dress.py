"""The dress: a bodice and a skirt that meet, in every way of joining them; raised waists, flared panels, the zip."""

from __future__ import annotations

from functools import cache
from math import hypot

import pytest

from by_the_tape import drafted, piece
from judge import judge
from oaktag.body.charts import shipped
from oaktag.body.measurements import Measurements
from oaktag.checks.run import check, standing_errors
from oaktag.draft.board import Board
from oaktag.draft.garment import find_garment
from oaktag.errors import DraftError
from oaktag.garments.blocks import METHODS, block
from oaktag.garments.dress import SKIRTS
from oaktag.garments.parts.flares import flared
from oaktag.garments.parts.waistline import raised
from oaktag.geometry.point import turn_deg
from oaktag.model.draft import Draft
from oaktag.model.finding import Finding
from oaktag.model.length import cm
from oaktag.model.pattern import Pattern
from oaktag.model.piece import Piece
from survey import read
from wardrobe import dense, failed, finished, sewn_tape, tape

DRESS = find_garment("dress")
CHART = dict(shipped("women").body("14"))
BODY = Measurements({**CHART, "front_waist_length": CHART["back_waist_length"] + 25.4 + 35.0})
"""With a front length, so that the quarter block has a bust dart too."""
PLAIN = {"ease_waist": 5, "ease_hip": 8}


@cache
def made(size: str = "", **style: object) -> tuple[Draft, Pattern]:
    body = BODY if not size else Measurements(shipped("women").body(size))
    draft = drafted(DRESS, body, "cm", **{**PLAIN, **style})
    return draft, finished(draft, "cm")


def wrong(pattern: Pattern) -> list[Finding]:
    """What stops it; that the one bust dart is wide is a warning, and said of the bodice."""
    return list(standing_errors(check(pattern)))


def long_sewn(of: Piece, name: str) -> float:
    """By the tape, the darts taken out."""
    edge = of.edge(name)
    return tape(dense(edge.curves, 200)) - sum(take.end - take.start for take in edge.takes)


def corners_when_sewn(of: Piece, name: str) -> list[float]:
    """Of each dart at an edge, by how much the edge turns there with the dart closed, degrees."""
    edge = of.edge(name)
    found = []
    for k, curve in enumerate(edge.curves):
        for dart in of.darts:
            a, tip, b = dart.points[0], dart.points[1], dart.points[-1]
            for leg, other in ((a, b), (b, a)):
                if hypot(curve.start.x - leg.x, curve.start.y - leg.y) > 0.01 or k == 0:
                    continue
                if hypot(curve.end.x - other.x, curve.end.y - other.y) > 0.01:
                    continue
                before, after = edge.curves[k - 1].way(1.0), edge.curves[k + 1].way(0.0)
                to_leg, to_other = (leg.x - tip.x, leg.y - tip.y), (other.x - tip.x, other.y - tip.y)
                found.append(abs(turn_deg(before, after) - turn_deg(to_leg, to_other)))
    return found


# ---------------------------------------------------------------- girths


@pytest.mark.parametrize("method", METHODS)
def test_a_dress_is_as_wide_as_body_and_ease(method):
    """Waist and hip are what was measured and the ease that was asked for: the definition of wearing ease."""
    _, pattern = made(method=method)
    assert sewn_tape(pattern, "front.waist", "back.waist") * 2 == pytest.approx(BODY["waist_girth"] + 50, abs=0.5)
    _, pattern = made(method=method, joined="hip", skirt="gathered")
    assert sewn_tape(pattern, "front.hem", "back.hem") * 2 == pytest.approx(BODY["hip_girth"] + 80, abs=0.5)
    for joined in ("waist", "empire", "hip", "one"):
        _, pattern = made(method=method, joined=joined, skirt="gathered")
        assert not wrong(pattern)


@pytest.mark.parametrize("size", ["8", "20"])
@pytest.mark.parametrize("skirt", SKIRTS)
def test_each_skirt_can_be_sewn_to_each_end_of_a_bodice(skirt, size):
    """Without a failed check, and with nothing found by the judge, who reads what is written alone."""
    for joined in ("waist", "empire", "hip"):
        draft, pattern = made(size, method="angle", joined=joined, skirt=skirt)
        assert not wrong(pattern), joined
        assert not [str(fault) for fault in judge(read(draft))], joined


# ---------------------------------------------------------------- bodice and skirt meet


@pytest.mark.parametrize("method", METHODS)
@pytest.mark.parametrize("skirt", ["circle", "straight", "A-line"])
def test_side_seams_of_bodice_and_skirt_meet(skirt, method):
    """The front of the skirt is as wide at the join as the front of the bodice, the back as the back (geometry)."""
    draft, _ = made(method=method, skirt=skirt)
    for half in ("front", "back"):
        bodice, below = long_sewn(piece(draft, half), "waist"), long_sewn(piece(draft, f"skirt_{half}"), "waist")
        assert below == pytest.approx(bodice, abs=0.5), half


def test_a_gathered_skirt_is_so_much_fuller_as_was_asked():
    draft, _ = made(skirt="gathered", fullness=2.5)
    (join,) = [seam for seam in draft.seams if seam.name == "waist seam"]
    cloth = 2 * sum(long_sewn(piece(draft, f"skirt_{half}"), "waist") for half in ("front", "back"))
    assert cloth == pytest.approx(2.5 * (BODY["waist_girth"] + 50), abs=1.0)
    assert 2 * join.ease == pytest.approx(1.5 * (BODY["waist_girth"] + 50), abs=1.0)


def test_a_fitted_skirt_under_the_bust_is_told_to_hang_loose():
    draft, _ = made(joined="empire", skirt="straight")
    assert any("hangs loose at the waist" in note for note in draft.notes)
    assert not any("hangs loose" in note for note in made(skirt="straight")[0].notes)
    assert not any("hangs loose" in note for note in made(joined="empire")[0].notes)


@pytest.mark.parametrize("joined", ["waist", "empire", "hip"])
def test_all_hangs_to_the_same_length(joined):
    """From the nape: back waist length, and from the waist to the hem (definitions of the measurements)."""
    draft, _ = made(joined=joined, skirt="straight", long=70)
    long = piece(draft, "back").edge("centre_back").length() + fall(piece(draft, "skirt_back"))
    plain, _ = made(joined="one", long=70)
    assert long == pytest.approx(piece(plain, "back").edge("centre_back").length(), abs=1.5)


def fall(skirt: Piece) -> float:
    """How deep a skirt hangs, from its waist at the centre line."""
    waist = skirt.edge("waist")
    top = min(waist.start, waist.end, key=lambda p: p.x)
    return top.y - min(p.y for edge in skirt.edges for p in (edge.start, edge.end))


# ---------------------------------------------------------------- the zip


@pytest.mark.parametrize("joined", ["waist", "empire", "hip", "one"])
def test_the_zip_reaches_from_the_neck_to_where_the_hip_passes(joined):
    """As long as the centre back of the bodice and the opening of the skirt below it: what is sewn in between them."""
    draft, _ = made(joined=joined, skirt="gathered")
    (zip_,) = [notion for notion in draft.notions if notion.name == "zip"]
    back = piece(draft, "back")
    tops = [notch for notch in back.notches if notch.name == "zip top"]
    assert [(notch.edge, notch.at) for notch in tops] == [("centre_back", 0.0)]
    if joined == "one":
        (end,) = [notch for notch in back.notches if notch.name == "zip end"]
        assert zip_.length == pytest.approx(end.at, abs=0.1)
        return
    (end,) = [notch for notch in piece(draft, "skirt_back").notches if notch.name == "zip end"]
    below = piece(draft, "skirt_back").edge("centre_back")
    down = min(end.at, below.length() - end.at)
    assert zip_.length == pytest.approx(back.edge("centre_back").length() + down, abs=0.5)


# ---------------------------------------------------------------- a raised waist


@pytest.mark.parametrize("method", METHODS)
def test_a_raised_waist_runs_on_over_closed_darts_and_side_seams(method):
    """No corner where a dart is closed, side seams alike, the darts' points where they were (geometry)."""
    on = Board("block", BODY, {}, "cm")
    halves = block(on, method, ease_bust=cm(10), ease_waist=cm(6), front_darts="auto")
    cut = [raised(half, 60.0) for half in halves]
    sides = [long_sewn(half, "side") for half in cut]
    assert sides[0] == pytest.approx(sides[1], abs=0.5)
    for old, new in zip(halves, cut, strict=True):
        assert old.edge("side").length() - new.edge("side").length() == pytest.approx(60, abs=1.5)
        assert long_sewn(new, "waist") > long_sewn(old, "waist")
        tips = {dart.name: dart.points[1] for dart in old.darts}
        assert [dart for dart in new.darts if dart.name.startswith("waist")]
        for dart in new.darts:
            assert dart.points[1] == tips[dart.name]
            if dart.name.startswith("waist"):
                legs = [hypot(p.x - dart.points[1].x, p.y - dart.points[1].y) for p in (dart.points[0], dart.points[2])]
                assert legs[0] == pytest.approx(legs[1], abs=0.01)
        corners = corners_when_sewn(new, "waist")
        assert len(corners) == sum(dart.name.startswith("waist") for dart in new.darts)
        assert max(corners) < 0.1


def test_a_waist_close_under_the_bust_is_refused_with_what_to_do():
    short = Measurements({**BODY, "back_waist_length": 360.0, "scye_depth": 230.0})
    with pytest.raises(DraftError, match='joined to "waist"'):
        drafted(DRESS, short, "cm", joined="empire")


# ---------------------------------------------------------------- flared panels


@pytest.mark.parametrize("by", [30.0, 90.0])
def test_a_flared_panel_keeps_its_seams_and_is_square_at_the_hem(by):
    """As long as before, so that it is sewn as before; no corner at the hip; the hem square to the seam (geometry)."""
    on = Board("block", BODY, {}, "cm")
    for half in block(on, "quarter", ease_bust=cm(10), ease_waist=cm(6), below=cm(65), ease_hip=cm(8)):
        hip = next(level.depth for level in half.levels if level.name == "hip")
        new = flared(half, ("side", "not there"), -hip, by)
        side, hem = new.edge("side"), new.edge("hem")
        assert side.length() == pytest.approx(half.edge("side").length(), abs=0.05)
        falls = side.end.y < side.start.y
        (low,) = [p for p in (hem.start, hem.end) if hypot(p.x - side.end.x, p.y - side.end.y) < 0.01
                  or hypot(p.x - side.start.x, p.y - side.start.y) < 0.01]  # fmt: skip
        old = half.edge("side").end if falls else half.edge("side").start
        assert low.x - old.x == pytest.approx(by, abs=0.01)
        seam = side.curves[-1].way(1.0) if falls else side.curves[0].way(0.0)
        along_hem = hem.curves[0].way(0.0) if low == hem.start else hem.curves[-1].way(1.0)
        assert abs(turn_deg(seam, along_hem)) == pytest.approx(90, abs=0.5)
        runs = list(zip(side.curves, side.curves[1:], strict=False))
        bends = [abs(turn_deg(a.way(1.0), b.way(0.0))) for a, b in runs if a.end.y < 1 - hip]  # below the darts
        assert len(bends) >= 2
        assert max(bends) < 1.0


@pytest.mark.parametrize("princess", ["none", "shoulder"])
def test_a_dress_in_one_is_flared_at_every_seam_to_the_hem(princess):
    """Each seam edge comes out by the flare at the hem: the straight hem is wider by that much an edge."""
    straight, _ = made(joined="one", princess=princess, flare=8)
    wide, pattern = made(joined="one", princess=princess, flare=10)
    edges = 4 if princess == "none" else 12

    def across(draft: Draft) -> float:
        return 2 * sum(
            abs(p.edge("hem").end.x - p.edge("hem").start.x)
            for p in draft.pieces
            if p.worn == "body" and any(edge.name == "hem" for edge in p.edges)
        )

    assert across(wide) - across(straight) == pytest.approx(20 * edges, abs=0.5)
    assert not wrong(pattern)


def test_a_hem_too_narrow_to_walk_in_is_told():
    _, pattern = made(joined="one", flare=0)
    assert [finding.id for finding in failed(pattern) if not finding.id.startswith("dart")] == ["hem.room"]


@pytest.mark.parametrize(
    "style",
    [{"method": method} for method in METHODS] + [{"method": "close", "princess": "armhole"}],
    ids=lambda style: " ".join(style.values()),
)
def test_the_darts_of_a_straight_skirt_meet_those_of_the_bodice(style: dict[str, str]) -> None:
    """Within 3 mm at the waist seam (trade checks, S3: dart positions within 0.3 cm), from the centre, as sewn."""
    draft, _ = made(skirt="straight", **style)

    def darts(name: str) -> list[float]:
        edge = piece(draft, name).edge("waist")
        fars = sorted(edge.sewn(take.start) for take in edge.takes)
        centre = min(edge.start, edge.end, key=lambda p: abs(p.x))
        return fars if edge.start == centre else sorted(edge.sewn_length() - far for far in fars)

    for half in ("front", "back"):
        whole = not style.get("princess")
        above = darts(half) if whole else [piece(draft, f"{half}_centre").edge("waist").sewn_length()]
        assert above
        below = darts(f"skirt_{half}")
        assert below[: len(above)] == pytest.approx(above[: len(below)], abs=3.0)


# ---------------------------------------------------------------- lowered, shaped, and at the hip


@pytest.mark.parametrize("skirt", SKIRTS)
@pytest.mark.parametrize("joined", ["hip", "lowered"])
def test_the_hip_of_the_skirt_is_that_of_the_body(joined, skirt):
    """From the waist down as deep as the body's hip (the definition of waist to hip): joined there, the skirt begins
    with it; joined above, it has the level so much below its upper edge."""
    draft, pattern = made(method="angle", joined=joined, skirt=skirt)
    body = piece(draft, "back")
    waist = next(level.depth for level in body.levels if level.name == "waist")
    hip = waist + Measurements(CHART)["waist_to_hip"]
    below = [each for each in draft.pieces if each.name.startswith("skirt_")]
    for each in below:
        depths = [level.depth for level in each.levels]
        if joined == "hip":
            assert depths[0] == pytest.approx(hip, abs=0.01)
            assert not any(abs(depth - hip - Measurements(CHART)["waist_to_hip"]) < 1 for depth in depths)
            assert not any(level.name == "hip" for level in each.levels), "that of the bodice counts"
        else:
            assert depths[0] == pytest.approx((waist + hip) / 2, abs=0.01)
            assert any(level.depth == pytest.approx(hip, abs=0.01) and level.name == "hip" for level in each.levels)
    assert not wrong(pattern)


def test_an_a_line_skirt_joined_at_the_hip_flares_from_there():
    straight, _ = made(joined="hip", skirt="straight")
    flared_out, _ = made(joined="hip", skirt="A-line", flare=6)
    wide = [abs(piece(each, "skirt_front").edge("hem").end.x - piece(each, "skirt_front").edge("hem").start.x)
            for each in (straight, flared_out)]  # fmt: skip
    assert wide[1] - wide[0] == pytest.approx(60, abs=0.5)


@pytest.mark.parametrize("shape", ["point", "curve"])
@pytest.mark.parametrize("joined", ["waist", "lowered"])
@pytest.mark.parametrize("skirt", ["circle", "gathered", "straight", "A-line"])
def test_a_join_that_falls_to_the_centre_is_as_long_on_both_sides(skirt, joined, shape):
    """The bodice falls as deep as asked; the skirt's edge is as long as sewn, half by half, or gathered to it; neither
    moves at the side (geometry)."""
    draft, pattern = made(method="angle", joined=joined, skirt=skirt, join_shape=shape, join_deep=5)
    level, _ = made(method="angle", joined=joined, skirt=skirt)
    edge = "waist" if joined == "waist" else "hem"
    front, below = piece(draft, "front"), piece(draft, "skirt_front")
    start = piece(level, "front").edge(edge).start.y
    assert start - front.edge(edge).start.y == pytest.approx(50, abs=0.1)
    assert hypot(front.edge(edge).end.x - piece(level, "front").edge(edge).end.x,
                 front.edge(edge).end.y - piece(level, "front").edge(edge).end.y) < 0.1  # fmt: skip
    if skirt != "gathered":
        assert long_sewn(below, "waist") == pytest.approx(long_sewn(front, edge), abs=0.5)
    assert fall(below) < fall(piece(level, "skirt_front")) - 5
    assert not wrong(pattern)
    assert not [str(fault) for fault in judge(read(draft))]


def test_a_gored_skirt_does_not_fall_at_the_join():
    with pytest.raises(DraftError, match="join_shape to level"):
        drafted(DRESS, BODY, "cm", skirt="gored", join_shape="point")


def test_a_join_near_the_hip_is_refused():
    with pytest.raises(DraftError, match="joined to hip"):
        drafted(DRESS, BODY, "cm", joined="lowered", join_low=19)


@pytest.mark.parametrize("method", METHODS)
def test_a_wrap_dress_is_sewn_to_its_skirt_up_to_the_centre(method):
    """All round the join is the waist and its ease, once: the upper layer lies on it."""
    draft, pattern = made(method=method, neckline="wrap", skirt="straight")
    (join,) = [seam for seam in draft.seams if seam.name == "waist seam"]
    below = 2 * sum(long_sewn(piece(draft, f"skirt_{half}"), "waist") for half in ("front", "back"))
    assert below == pytest.approx(BODY["waist_girth"] + 50, abs=1.0)
    assert "front.waist from centre front to side" in map(str, join.b)
    assert not wrong(pattern)


@pytest.mark.parametrize("joined", ["waist", "empire"])
def test_a_bust_dart_at_the_side_of_a_raised_waist(joined):
    """A raised bodice has a side to put the dart in."""
    draft, pattern = made(method="close", joined=joined, bust_dart="side", skirt="gathered")
    assert [take.kind for take in piece(draft, "front").edge("side").takes] == ["dart"]
    assert not wrong(pattern)


def test_a_yoked_dress_with_sleeves():
    draft, pattern = made(method="angle", yoke="both", bust_fold="gathers", sleeve_kind="plain", neckline="plain")
    assert {"front_yoke", "front_below", "back_yoke", "back_below"} <= {each.name for each in draft.pieces}
    assert not wrong(pattern)
