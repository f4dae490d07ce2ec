"""Outlines of 200 pieces of 500 points, run by hand: seconds of processor time, and against a floor in the same run.

usage: bench_outlines.py [RUNS]   whole polylines against shapely's is_simple and contains; single lines in any order
                                  against shapely.polygonize, which joins them but cleans, sorts and fits nothing
"""

from __future__ import annotations

import random
import statistics
import sys
import time
from collections.abc import Callable

import shapely

from oaktag.geometry.curve import Cubic, Line
from oaktag.geometry.point import XY, Point
from oaktag.intake.clean import outlines_of
from oaktag.intake.model import Drawing, DrawnPath


def piece(x: float, y: float) -> list[XY]:
    def at(dx: float, dy: float) -> Point:
        return Point(x + dx, y + dy)

    curves = (
        Line(at(0, 0), at(250, 0)),
        Cubic(at(250, 0), at(260, 100), at(240, 200), at(250, 300)),
        Cubic(at(250, 300), at(180, 320), at(170, 380), at(180, 480)),
        Line(at(180, 480), at(80, 500)),
        Cubic(at(80, 500), at(70, 430), at(30, 420), at(0, 420)),
        Line(at(0, 420), at(0, 0)),
    )
    points = [curve.at(i / 83) for curve in curves for i in range(83)]
    return [(round(px, 3), round(py, 3)) for px, py in points]


def seconds(work: Callable[[], object], runs: int) -> float:
    taken = []
    for _ in range(runs):
        start = time.process_time()
        work()
        taken.append(time.process_time() - start)
    return statistics.median(taken)


def main(runs: int) -> None:
    rings = [piece(400.0 * (i % 20), 600.0 * (i // 20)) for i in range(200)]
    whole, parts = [], []
    for number, ring in enumerate(rings):
        sides = [Line(Point(*a), Point(*b)) for a, b in zip(ring, [*ring[1:], ring[0]])]
        whole.append(DrawnPath(tuple(sides), True, id=str(number), polyline=True))
        parts += [DrawnPath((side,), False, id=f"{number}.{i}") for i, side in enumerate(sides)]
    random.Random(1).shuffle(parts)

    def judged() -> None:
        solids = [shapely.Polygon(ring) for ring in rings]
        assert all(solid.exterior.is_simple for solid in solids)
        shapely.STRtree(solids).query(solids, predicate="contains")

    def joined() -> None:
        assert len(shapely.polygonize([shapely.LineString(part.curves[0].controls()) for part in parts]).geoms) == 200

    for name, paths, floor in (("polylines", whole, judged), ("single lines", parts, joined)):
        drawing = Drawing("bench", "mm", tuple(paths))
        found = outlines_of(drawing)
        curves = sum(len(edge) for outline in found.outlines for edge in outline.edges)
        ours, bare = seconds(lambda d=drawing: outlines_of(d), runs), seconds(floor, runs)
        print(
            f"{name}: {sum(map(len, rings))} points, {len(found.outlines)} outlines, {curves} curves; "
            f"{ours:.2f} s, floor {bare:.2f} s, {ours / bare:.1f} ×"
        )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 5)
