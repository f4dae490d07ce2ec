"""Lines that run inside a piece, beside one of its edges: led on to where they meet its other edges."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress

from ..errors import GeometryError
from ..geometry.curve import Cubic, Line
from ..geometry.path import Path, pinned, solve
from ..geometry.point import Point, along, distance, right_of
from .construct import x_at


def widest(works: Callable[[float], object], low: float, high: float) -> float:
    """The greatest width between two with which a drawing works, found by trying, to 0.1 mm: it raises GeometryError
    where it does not."""
    while high - low > 0.1:
        middle = (low + high) / 2
        with suppress(GeometryError):
            works(middle)
            low = middle
            continue
        high = middle
    return low


def to_the_centre(run: Path) -> tuple[Path, Point]:
    """A run that starts near the centre line (x = 0), from there on: led straight to it, under a V say."""
    start = run[0].start
    if abs(start.x) < 0.02:
        return run, Point(0.0, start.y)
    way = run[0].way(0.0)
    low = Point(0.0, start.y - start.x * way.y / way.x)
    return (Line(low, start), *run), low


def to_the_side(run: Path, side: Path) -> tuple[Path, Point]:
    """A run that starts near the side seam, from the seam on: cut off where it crosses it, or led straight to it."""
    first = run[0]
    start, way = first.start, first.way(0.0)
    gap = start.x - x_at(side, start.y)
    if abs(gap) < 0.02:
        meet = Point(x_at(side, start.y), start.y)
        return pinned(run, meet), meet
    if gap < 0:

        def beyond(far: float) -> Point:
            return along(start, way, -far)

        far = solve(lambda far: beyond(far).x - x_at(side, beyond(far).y), 0.0, 4 * abs(gap) + 10, near=1e-9)
        return (Line(beyond(far), start), *run), beyond(far)
    t = solve(lambda t: first.at(t).x - x_at(side, first.at(t).y), 0.0, 1.0, near=1e-9)
    kept = first.split(t)[1]
    return (kept, *run[1:]), kept.start


def faired(run: Path, meet: Point, way: Point) -> Path:
    """The run from half way on, reached by one curve from the side seam, square to it (`way` leads down the seam)."""
    kept = run[len(run) // 2 :] if len(run) > 1 else (run[0].split(0.5)[1],)
    end, arrive, leave = kept[0].start, kept[0].way(0.0), right_of(way)
    reach = distance(meet, end) * 0.36
    leaving, arriving = (leave.x * reach, leave.y * reach), (arrive.x * reach, arrive.y * reach)
    return (Cubic.leaving_and_arriving(meet, leaving, end, arriving), *kept)
