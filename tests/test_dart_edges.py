"""Edges beside an open dart, trued: what runs on when the dart is closed stays, a corner is shared by both runs."""

from __future__ import annotations

import pytest
import shapely

from oaktag.draft.darts import trued_beside_dart
from oaktag.draft.moves import turn
from oaktag.geometry.curve import Cubic, Curve, Line
from oaktag.geometry.path import moved_path
from oaktag.geometry.point import Point, turn_deg
from wardrobe import dense, tape

P = Point
TIP = P(100, 90)
STRAIGHT = (Line(P(0, 0), P(100, 0)), Line(P(100, 0), P(180, 0)))
HOLLOW = Cubic(P(0, 30), P(30, 5), P(60, -2), P(100, 0)), Cubic(P(100, 0), P(130, 1.5), P(150, 10), P(180, 25))
"""Either runs smoothly through (100, 0), where a dart with its point above is cut open."""


def opened(
    curves: tuple[Curve, Curve], dart_deg: float, kink_deg: float
) -> tuple[tuple[Curve, ...], tuple[Curve, ...]]:
    """The second run swung about the dart's point, and bent off by a corner at its leg."""
    (after,) = moved_path((curves[1],), turn(TIP, dart_deg))
    return (curves[0],), moved_path((after,), turn(after.start, kink_deg))


@pytest.mark.parametrize("curves", [STRAIGHT, HOLLOW], ids=["straight", "hollow"])
@pytest.mark.parametrize("dart_deg", [5.0, 14.0])
def test_an_edge_that_runs_on_over_the_closed_dart_stays_as_it_is(curves: tuple[Curve, Curve], dart_deg: float) -> None:
    before, after = opened(curves, dart_deg, 0.0)
    for old, new in zip((before, after), trued_beside_dart(before, TIP, after), strict=True):
        assert shapely.LineString(dense(old)).hausdorff_distance(shapely.LineString(dense(new))) < 1e-3
        assert tape(dense(new)) == pytest.approx(tape(dense(old)), abs=1e-3)


@pytest.mark.parametrize("curves", [STRAIGHT, HOLLOW], ids=["straight", "hollow"])
@pytest.mark.parametrize("kink_deg", [-6.0, 6.0])
def test_a_corner_over_the_closed_dart_is_shared_and_the_seam_keeps_its_length(
    curves: tuple[Curve, Curve], kink_deg: float
) -> None:
    before, after = opened(curves, 10.0, kink_deg)
    first, second = trued_beside_dart(before, TIP, after)
    assert (first[0].start, first[-1].end) == (before[0].start, before[-1].end)
    assert (second[0].start, second[-1].end) == (after[0].start, after[-1].end)
    assert turn_deg(before[-1].way(1.0), first[-1].way(1.0)) == pytest.approx(kink_deg / 2, abs=0.01)
    assert turn_deg(after[0].way(0.0), second[0].way(0.0)) == pytest.approx(-kink_deg / 2, abs=0.01)
    # closed, both run the same way at the leg
    closed = moved_path(second, turn(TIP, -10.0))
    assert turn_deg(first[-1].way(1.0), closed[0].way(0.0)) == pytest.approx(0.0, abs=0.01)
    # at their other ends nothing turns, and neither run is longer or shorter, but for what no bend can keep
    assert turn_deg(before[0].way(0.0), first[0].way(0.0)) == pytest.approx(0.0, abs=0.01)
    assert turn_deg(after[-1].way(1.0), second[-1].way(1.0)) == pytest.approx(0.0, abs=0.01)
    for old, new in ((before, first), (after, second)):
        assert tape(dense(new)) == pytest.approx(tape(dense(old)), abs=0.06)
