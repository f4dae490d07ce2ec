"""Bands, facings and casings: they fit the run that they are drafted to."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from blocks import BODY, bodices, is_closed, ring, sewn_tape, sheath, shoelace
from oaktag.draft.cuts import cut_through
from oaktag.draft.facings import closed_run, facing
from oaktag.draft.moves import unfold
from oaktag.draft.pivots import Opening, pivot
from oaktag.draft.strips import band, casing
from oaktag.errors import GeometryError
from oaktag.geometry.point import XY, turn_deg
from oaktag.model.piece import Cut, EdgeKind, Piece
from oaktag.model.ref import Ref, refs
from samples import front as sample_front
from samples import pocket, sleeve
from wardrobe import dense, dress


def skirts() -> tuple[Piece, Piece]:
    pieces = dress(BODY, waist_seam="yes").pieces
    return next(p for p in pieces if p.name == "skirt_front"), next(p for p in pieces if p.name == "skirt_back")


def test_a_waist_band_fits_the_waist_all_round() -> None:
    """BODY's waist and its ease are what is sewn, 30 1/2 in + 1 in; half of it on the fold; notches at the seams."""
    front, back = skirts()
    whole = band((front, back), refs("skirt_back.waist", "skirt_front.waist"), "band", 30.0, lap=25.0)
    round_her = 2 * (sewn_tape(front.edge("waist")) + sewn_tape(back.edge("waist")))
    assert round_her == pytest.approx(31.5 * 25.4, abs=0.1)
    assert whole.edge("seam").length() == pytest.approx(round_her + 25.0, abs=0.05)
    assert whole.edge("end").length() == 60.0
    quarter = sewn_tape(back.edge("waist"))
    ends = [quarter, round_her / 2, round_her - quarter, round_her]
    assert [n.at for n in whole.notches] == pytest.approx(ends, abs=0.05)
    half = band((front, back), refs("skirt_front.waist", "skirt_back.waist"), "band", 30.0, on_fold=True, doubled=False)
    assert half.to_cut == Cut("fold")
    assert half.edge("seam").length() == pytest.approx(round_her / 2, abs=0.05)
    assert [n.at for n in half.notches] == pytest.approx([sewn_tape(front.edge("waist"))], abs=0.05)
    assert half.edge("fold").kind is EdgeKind.FOLD
    knit = band((front, back), refs("skirt_front.waist", "skirt_back.waist"), "rib", 30.0, on_fold=True, ratio=0.9)
    assert knit.edge("seam").length() == pytest.approx(0.9 * round_her / 2, abs=0.05)


def test_a_band_follows_a_name_that_is_gone() -> None:
    """The front is cut in two through its dart: its waist is still told as the front's."""
    front, back = skirts()
    middle, side = cut_through(front, ("waist", ("hem", 95.0)), names=("side_front", "middle_front"))
    asked = refs("skirt_front.waist", "skirt_back.waist")
    before = band((front, back), asked, "band", 30.0, on_fold=True)
    after = band((middle, side, back), asked, "band", 30.0, on_fold=True)
    assert after.edge("seam").length() == pytest.approx(before.edge("seam").length(), abs=1e-3)
    assert len(after.notches) == len(before.notches) + 1


def test_a_band_for_halves_and_wholes_is_refused() -> None:
    front, back = skirts()
    asked = refs("skirt_front.waist", "skirt_back.waist")
    with pytest.raises(GeometryError, match="band: a strip fits either halves or whole pieces, but"):
        band((unfold(front), back), asked, "band", 30.0)
    with pytest.raises(GeometryError, match="band: a strip on the fold fits halves"):
        band((unfold(front),), (Ref("skirt_front", "waist"),), "band", 30.0, on_fold=True)


@given(bodices(), st.floats(15.0, 45.0), st.sampled_from(("neckline", "armhole", "waist")))
@settings(max_examples=60)
def test_a_facing_is_as_wide_as_asked_all_along(piece: Piece, wide: float, name: str) -> None:
    """Its run is as long as the sewn edge; its other edge lies that far inside it, by shapely's ruler."""
    made = facing(piece, [name], "facing", wide)
    assert is_closed(made)
    assert shoelace(ring(made)) > 0
    assert made.edge(name).length() == pytest.approx(piece.edge(name).sewn_length(), abs=0.02)
    run = shapely.LineString(dense(made.edge(name).curves, 200))
    inner = dense(made.edge("free_edge").curves, 40)
    far = [run.distance(shapely.Point(p)) for p in inner]
    assert max(far) < wide * 1.5  # at the ends it is led on
    led = 2 * wide if any(map(aslant, *corners(piece, name))) else 1e-6  # there it ends aslant too
    middle = [run.distance(shapely.Point(p)) for p in inner if far_from_ends(run, p, led)]
    if not piece.edge(name).takes:  # made up, such an edge has a corner where its dart is closed
        assert all(d == pytest.approx(wide, abs=0.05) for d in middle)
        assert shapely.Polygon(ring(piece)).buffer(0.1).contains(shapely.Polygon(ring(made)))
    assert made.on_fold == (name in ("neckline", "waist"))
    assert made.edge("free_edge").kind is EdgeKind.OPENING


def far_from_ends(run: shapely.LineString, p: tuple[float, float], by: float) -> bool:
    return by < run.project(shapely.Point(p)) < run.length - by


def corners(piece: Piece, name: str) -> tuple[tuple[XY, XY], tuple[XY, XY]]:
    """The ways in which the edges before and after an edge end and begin; and those of the edge there."""
    edge, (before, after) = piece.edge(name), map(piece.edge, piece.beside(name))
    return (before.curves[-1].way(1.0), after.curves[0].way(0.0)), (edge.curves[0].way(0.0), edge.curves[-1].way(1.0))


def aslant(a: XY, b: XY) -> bool:
    """By more than half a degree off the square."""
    return abs(a[0] * b[0] + a[1] * b[1]) > math.sin(math.radians(0.5))


def test_a_facing_over_a_closed_dart_runs_smoothly() -> None:
    """With the waist dart closed the edge has no corner above 3° (common practice, no source); the end is turned."""
    for words, piece in sheath()[:6]:
        for edge in piece.edges:
            if edge.takes:
                (path,), move = closed_run([edge])
                assert sum(c.length() for c in path) == pytest.approx(edge.sewn_length(), abs=0.02), words
                turns = [abs(turn_deg(a.way(1.0), b.way(0.0))) for a, b in pairwise(path)]
                assert max(turns, default=0.0) < 3.0, words
                angle = math.degrees(math.atan2(move.yx, move.xx))
                wedge = sum(abs(turn_of(piece, t)) for t in edge.takes)
                assert abs(angle) == pytest.approx(wedge, abs=0.01), words


def turn_of(piece: Piece, take: object) -> float:
    dart = next(d for d in piece.darts if d.is_open and d.points[1] == getattr(take, "tip", None))
    first, tip, second = dart.points
    return turn_deg((second.x - tip.x, second.y - tip.y), (first.x - tip.x, first.y - tip.y))


def test_a_facing_that_its_neighbours_are_too_short_for_is_refused() -> None:
    with pytest.raises(GeometryError, match=r"a facing 150\.0 mm wide does not end at shoulder"):
        facing(sample_front(), ["neckline"], "facing", 150.0)
    with pytest.raises(GeometryError, match="front: neckline, shoulder are not neighbours, counter-clockwise"):
        facing(sample_front(), ["neckline", "shoulder"], "facing", 30.0)


@pytest.mark.parametrize("deep", [12.0, 30.0])
def test_a_casing_folded_down_lies_on_the_sleeve(deep: float) -> None:
    """Folded at its line, its ends lie on the underarm edges: mirrored by hand about y = 0, where the hem is."""
    plain = sleeve()
    made = casing(plain, "hem", deep)
    assert is_closed(made)
    new = made.edge("hem_casing")
    assert (new.start.y, new.end.y) == (pytest.approx(-deep), pytest.approx(-deep))
    for point, name in ((new.start, "side_back"), (new.end, "side_front")):
        line = shapely.LineString(dense(plain.edge(name).curves))
        assert line.distance(shapely.Point(point.x, -point.y)) < 0.01
        slant = 60.0 / 400.0  # both underarm edges lean out by 60 mm on 400
        longer = made.edge(name).length() - plain.edge(name).length()
        assert longer == pytest.approx(deep * math.hypot(1, slant), abs=0.01)
    assert new.kind is EdgeKind.HEM
    folds = [n for n in made.notches if n.name == "casing fold"]
    assert [n.edge for n in folds] == ["side_back", "side_front"]
    assert [line.points for line in made.internal_lines if line.name == "casing fold"] == [((0, 0), (220, 0))]


def test_a_casing_needs_a_straight_edge_without_darts() -> None:
    with pytest.raises(GeometryError, match="folded at a straight edge without darts, and neckline is none"):
        casing(sample_front(), "neckline", 20.0)
    with pytest.raises(GeometryError, match=r"pocket: right is too short for a casing 150\.0 mm deep"):
        casing(pocket(), "top", 150.0)


def test_a_dart_let_out_as_gathers_is_drawn_in_by_the_band() -> None:
    front, back = skirts()
    loose = pivot(front, "waist", Opening("waist", 40.0, "gathers"))
    asked = refs("skirt_front.waist", "skirt_back.waist")
    one, other = (band((f, back), asked, "band", 30.0, on_fold=True) for f in (front, loose))
    assert one.edge("seam").length() == pytest.approx(other.edge("seam").length(), abs=0.01)
    assert replace(one, notches=()).notches == ()
