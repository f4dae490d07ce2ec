"""How far drawn lines are from the lines that are meant, mm; placed by quarter turns and shifts, never by scale."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import inf
from typing import TYPE_CHECKING, Any, Final

from ..geometry.polygon import Box
from ..values import dataclass
from .drawing import Run, Runs

if TYPE_CHECKING:
    import numpy
    from numpy.typing import NDArray

    Floats = NDArray[numpy.float64]
    Tree = tuple[Any, Floats]
    """A search tree, and the straight runs that are in it."""

_STEP: Final = 5.0
"""Besides corners and mid-points, a long straight run is measured at least this often, mm: a gap must not hide."""
_DENSE: Final = 60_000
"""Up to so many pairs of a point and a run every distance is taken; beyond, a search tree is quicker."""
_CLOSE: Final = 0.5
"""mm within which a run is looked for first."""
_CROWDED: Final = 10_000
"""More runs than this may be a scribble, where a hundredth of them lie close to every point."""
_EXACT: Final = 1e-3
"""mm; a placement this good needs no better."""
_FEW: Final = 24
"""About so many corners tell that a turn is hopeless."""
_HOPELESS: Final = 10.0
"""A turn that is so many times worse than the best, and a mm more, is not laid any nearer."""
_QUARTERS: Final = ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))
"""Cosine and sine of 0, 1, 2, 3 quarter turns counter-clockwise."""


@dataclass(frozen=True, slots=True)
class Placement:
    """From pattern.json to the file: `turns` quarter turns counter-clockwise, then a shift of (dx, dy) mm."""

    turns: int
    dx: float
    dy: float

    def to_file(self, points: Floats) -> Floats:
        """(n, 2) float, mm, of pattern.json → of the file."""
        import numpy as np

        c, s = _QUARTERS[self.turns]
        placed: Floats = points @ np.array([[c, s], [-s, c]]) + np.array([self.dx, self.dy])
        return placed

    def to_pattern(self, points: Floats) -> Floats:
        """(n, 2) float, mm, of the file → of pattern.json."""
        import numpy as np

        c, s = _QUARTERS[self.turns]
        back: Floats = (points - np.array([self.dx, self.dy])) @ np.array([[c, -s], [s, c]])
        return back


@dataclass(frozen=True, slots=True)
class Fit:
    """How drawn lines lie on those that are meant: the worst distance either way, and where (of pattern.json)."""

    worst: float
    at: tuple[float, float]
    placement: Placement


class Lines:
    """Straight runs with a search tree, for many distances to them at once."""

    def __init__(self, runs: Iterable[Run]) -> None:
        import shapely

        self.ends = ends_of(runs)
        self._tree: Any = shapely.STRtree(shapely.linestrings(self.ends))

    @property
    def empty(self) -> bool:
        return len(self.ends) == 0

    def box(self) -> Box:
        """Bounds of all runs."""
        low, high = self.ends.min(axis=(0, 1)), self.ends.max(axis=(0, 1))
        return Box(float(low[0]), float(low[1]), float(high[0]), float(high[1]))

    def samples(self) -> Floats:
        """(n, 2): every corner and mid-point, and long runs every 5 mm."""
        return samples_of(self.ends)[0]

    def off(self, points: Floats) -> Floats:
        """Distance of each point to the runs; infinite where there are none."""
        return off_runs((self._tree, self.ends), points)

    def nearest(self, points: Floats) -> tuple[Floats, Any]:
        """Distance of each point to the runs, and the index of the nearest run: several times slower than `off`."""
        import numpy as np
        import shapely

        found, far = self._tree.query_nearest(shapely.points(points), all_matches=False, return_distance=True)
        distances, index = np.empty(len(points)), np.zeros(len(points), dtype=int)
        distances[found[0]], index[found[0]] = far, found[1]
        return distances, index


def off_runs(tree: Tree, points: Floats) -> Floats:
    """Distance of each point to straight runs that are in a search tree; infinite where there are none.

    Nearly all points have a run close by: those are asked for by a small box, several times quicker than for the
    nearest of all, which is left for the rest.
    """
    import numpy as np
    import shapely

    search, ends = tree
    off: Floats = np.full(len(points), np.inf)
    boxes = shapely.box(*(points - _CLOSE).T, *(points + _CLOSE).T)
    some = boxes[:: 1 + len(boxes) // 32] if len(ends) > _CROWDED else boxes[:0]
    crowded = len(search.query(some)[0]) > _CROWDED // 100 * len(some)
    point, run = search.query(boxes[:0] if crowded else boxes)
    if len(point):
        a, way = ends[run, 0], ends[run, 1] - ends[run, 0]
        to = points[point] - a
        part = np.clip((to * way).sum(axis=1) / np.maximum((way * way).sum(axis=1), 1e-18), 0.0, 1.0)
        far = np.hypot(*(to - part[:, None] * way).T)
        starts = np.flatnonzero(np.concatenate(([True], point[1:] != point[:-1])))
        off[point[starts]] = np.minimum.reduceat(far, starts)
    left = np.flatnonzero(off > _CLOSE)
    if len(left):
        found, far = search.query_nearest(shapely.points(points[left]), all_matches=False, return_distance=True)
        off[left[found[0]]] = far
    return off


def ends_of(runs: Iterable[Run], *, points: bool = False) -> Floats:
    """(n, 2, 2): the two ends of every straight run; runs of no length are left out unless they are `points`."""
    import numpy as np

    lines = [(*run.points, run.points[0]) if run.closed else run.points for run in runs]
    corners = np.array([p for line in lines for p in line], dtype=np.float64).reshape(-1, 2)
    owner = np.repeat(np.arange(len(lines)), [len(line) for line in lines])
    all_ends: Floats = np.stack((corners[:-1], corners[1:]), axis=1)[owner[1:] == owner[:-1]]
    return all_ends if points else all_ends[np.any(all_ends[:, 0] != all_ends[:, 1], axis=1)]


def samples_of(ends: Floats) -> tuple[Floats, Any]:
    """(n, 2): every corner and mid-point of straight runs, and long ones every 5 mm; and of each the run's number."""
    import numpy as np

    a, b = ends[:, 0], ends[:, 1]
    lengths = np.hypot(*(b - a).T)
    counts = 2 * np.clip(np.ceil(lengths / (2 * _STEP)), 1, 500).astype(int)
    index = np.repeat(np.arange(len(a)), counts + 1)
    first = np.repeat(np.cumsum(counts + 1) - (counts + 1), counts + 1)
    part = (np.arange(len(index)) - first) / np.repeat(counts, counts + 1)
    points: Floats = a[index] + part[:, None] * (b - a)[index]
    return points, index


def far_from(points: Floats, ends: Floats) -> tuple[Floats, Any]:
    """Distance of each point to a few straight runs, and the index of the nearest; infinite where there are none."""
    import numpy as np
    import shapely

    if not len(ends):
        return np.full(len(points), np.inf), np.zeros(len(points), dtype=int)
    if len(points) * len(ends) > _DENSE:
        tree: Any = shapely.STRtree(shapely.linestrings(ends))
        found, far = tree.query_nearest(shapely.points(points), all_matches=False, return_distance=True)
        distances, index = np.empty(len(points)), np.zeros(len(points), dtype=int)
        distances[found[0]], index[found[0]] = far, found[1]
        return distances, index
    a, way = ends[:, 0], ends[:, 1] - ends[:, 0]
    long = np.maximum((way * way).sum(axis=1), 1e-18)
    x, y = points[:, 0, None] - a[:, 0], points[:, 1, None] - a[:, 1]
    part = np.clip((x * way[:, 0] + y * way[:, 1]) / long, 0.0, 1.0)
    off = np.hypot(x - part * way[:, 0], y - part * way[:, 1])
    nearest = off.argmin(axis=1)
    return off[np.arange(len(points)), nearest], nearest


def worst_distance(
    found_lines: Iterable[Run | Sequence[tuple[float, float]]], ring: Sequence[tuple[float, float]]
) -> float:
    """Worst distance, mm, between drawn lines and the ring that is meant, either way, once laid on each other.

    Laid by the best of four quarter turns and a shift; never mirrored, never scaled, so that such mistakes are
    seen. Measured from every corner and mid-point (and every 5 mm) of each to the other. Infinite if nothing is drawn.

    >>> square = [(0, 0), (100, 0), (100, 100), (0, 100)]
    >>> round(worst_distance([[(7, 7), (107, 7), (107, 107), (7, 107), (7, 7)]], square), 6)
    0.0
    """
    runs = tuple(run if isinstance(run, Run) else Run.of(run) for run in found_lines)
    fits = fits_of(Lines(runs), Lines((Run(tuple(ring), closed=True),)))
    return fits[0].worst if fits else float("inf")


def fits_of(drawn: Lines, meant: Lines, turns: Sequence[int] = (0, 1, 2, 3)) -> tuple[Fit, ...]:
    """The drawn lines laid on those that are meant, in each turn that their bounds allow, best first.

    Where the bounds allow none (wrong scale, another piece) every turn is tried, so that there is a number to tell.
    """
    if drawn.empty or meant.empty:
        return ()
    box, wanted = drawn.box(), meant.box()
    sizes = {turn: (wanted.height, wanted.width) if turn % 2 else (wanted.width, wanted.height) for turn in turns}
    near = [t for t, (w, h) in sizes.items() if abs(w - box.width) < 1.0 and abs(h - box.height) < 1.0]
    first = [_by_middles(drawn, meant, box, wanted, turn) for turn in near or turns]
    best = inf
    for k in sorted(range(len(first)), key=lambda k: first[k].worst):
        if first[k].worst <= _HOPELESS * best + 1.0:
            first[k] = measured(drawn, meant, first[k].placement)
            best = min(best, first[k].worst)
    fits = [fit if fit.worst > _HOPELESS * best + 1.0 else _by_offsets(drawn, meant, fit) for fit in first]
    return tuple(sorted(fits, key=lambda fit: fit.worst))


def _by_middles(drawn: Lines, meant: Lines, box: Box, wanted: Box, turn: int) -> Fit:
    """Laid by the middles of the bounds; a few points tell how far it is off at least."""
    import numpy as np

    middle = Placement(turn, 0.0, 0.0).to_file(
        np.array([[(wanted.left + wanted.right) / 2, (wanted.bottom + wanted.top) / 2]])
    )[0]
    placement = Placement(
        turn, float((box.left + box.right) / 2 - middle[0]), float((box.bottom + box.top) / 2 - middle[1])
    )
    points = meant.ends[:: -(-len(meant.ends) // _FEW), 0]
    far = drawn.off(placement.to_file(points))
    i = int(far.argmax())
    return Fit(float(far[i]), (float(points[i, 0]), float(points[i, 1])), placement)


def _by_offsets(drawn: Lines, meant: Lines, first: Fit) -> Fit:
    """From there by the least sum of the offsets square to the drawn lines.

    The sum, not the worst and not the squares: a moved corner must stand out, not be shared out by a shift.
    """
    if first.worst < _EXACT:
        return first
    placement = first.placement
    for _ in range(12):
        before, placement = placement, _nearer(drawn, meant, placement)
        if abs(placement.dx - before.dx) + abs(placement.dy - before.dy) < _EXACT / 10:
            break
    return measured(drawn, meant, placement)


def _nearer(drawn: Lines, meant: Lines, placement: Placement) -> Placement:
    """One step of least squares, weighted so that the steps come to the least sum of offsets."""
    import numpy as np

    points = placement.to_file(meant.samples())
    _, index = drawn.nearest(points)
    a, b = drawn.ends[index, 0], drawn.ends[index, 1]
    way = (b - a) / np.hypot(*(b - a).T)[:, None]
    square = np.stack((-way[:, 1], way[:, 0]), axis=1)
    gap = ((a - points) * square).sum(axis=1)
    weight = 1.0 / np.sqrt(np.abs(gap) + _EXACT)
    (dx, dy), *_ = np.linalg.lstsq(square * weight[:, None], gap * weight, rcond=1e-9)
    return Placement(placement.turns, placement.dx + float(dx), placement.dy + float(dy))


def measured(drawn: Lines, meant: Lines, placement: Placement, *, all_meant: Lines | None = None) -> Fit:
    """The worst distance either way in a given placement.

    `all_meant`: what drawn lines may lie on, where `meant` is only a part of what is drawn there.
    """
    import numpy as np

    wanted, back = meant.samples(), placement.to_pattern(drawn.samples())
    there = drawn.off(placement.to_file(wanted))
    home = (all_meant or meant).off(back)
    points, far = np.concatenate((wanted, back)), np.concatenate((there, home))
    i = int(far.argmax())
    return Fit(float(far[i]), (float(points[i, 0]), float(points[i, 1])), placement)


def length_of(runs: Runs) -> float:
    """All runs together, mm."""
    return sum(run.length() for run in runs)


def mirrored_run(run: Run) -> Run:
    """The run turned over."""
    return Run(tuple((-x, y) for x, y in run.points), run.closed)
