"""Lines of a nest that a plot draws in dashes and names no size for: is each there, whole, and in its place?

A dash cannot say which size it belongs to. So every size's cut line is laid where it should be, and then looked for
among all that is drawn there: its corners, something on every few mm of it, a third of its length; and a stroke that
begins and ends on it may not leave it between.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any, Final

from ..values import dataclass
from .compare import Lines
from .drawing import Run, Runs

if TYPE_CHECKING:
    import numpy
    from numpy.typing import NDArray

    Floats = NDArray[numpy.float64]

CORNER_DEG: Final = 20.0
"""A turn above this is a corner, which has to be drawn."""
_FINE: Final = 0.4
"""mm from sample to sample along a line: the shortest dots are 1 mm."""
WINDOW: Final = 5.0
"""mm: in every stretch of this length something has to be drawn on the line; gaps of a pattern are 2 to 3 mm."""
LEAST: Final = 0.30
"""The part of its length that has to be drawn: the sparsest pattern draws a third."""


@dataclass(frozen=True, slots=True)
class Followed:
    """How a line is drawn: the worst distance, mm, where (of the plot), and the part of it that is drawn (0 to 1)."""

    worst: float
    at: tuple[float, float]
    drawn: float


def followed(meant: Mapping[str, Run], closed: Runs, strokes: Runs, limit: float) -> dict[str, Followed]:
    """Each line that is meant (closed, where it should lie in the plot, by size) against all that is drawn there."""
    import numpy as np

    ends = np.array([p for run in meant.values() for p in run.points])
    (left, bottom), (right, top) = ends.min(axis=0) - 1.0, ends.max(axis=0) + 1.0

    def near(run: Run) -> bool:
        return any(left <= x <= right and bottom <= y <= top for x, y in run.points)

    held = [run for run in strokes if near(run)]
    drawn = Lines((*held, *(run for run in closed if near(run))))
    lines = {size: _Line(run) for size, run in meant.items()}
    if drawn.empty:
        return {size: Followed(float("inf"), run.points[0], 0.0) for size, run in meant.items()}
    strays = _strays(lines, held, limit)
    found: dict[str, Followed] = {}
    for size, line in lines.items():
        points = line.every(_FINE)
        far = drawn.off(points)
        count = max(1, round(WINDOW / (line.length / len(points))))
        windows = np.lib.stride_tricks.sliding_window_view(np.concatenate((far, far[: count - 1])), count)
        best = windows.min(axis=1)
        gap = int(best.argmax())
        middle = points[(gap + count // 2) % len(points)]
        told = [(float(best[gap]), _pair(middle))]
        corners = line.corners()
        if len(corners):
            off = drawn.off(corners)
            told.append((float(off.max()), _pair(corners[int(off.argmax())])))
        told += strays.get(size, [])
        worst, at = max(told)
        found[size] = Followed(worst, at, float((far <= limit).mean()))
    return found


def _pair(point: Any) -> tuple[float, float]:
    return float(point[0]), float(point[1])


class _Line:
    """A closed line that is meant, walked round."""

    def __init__(self, run: Run) -> None:
        import numpy as np

        self.lines = Lines((run,))
        self.steps = self.lines.ends[:, 1] - self.lines.ends[:, 0]
        lengths = np.hypot(*self.steps.T)
        self.fars: Floats = np.concatenate(([0.0], np.cumsum(lengths)))
        self.length = float(self.fars[-1])

    def every(self, step: float) -> Floats:
        """(n, 2): points evenly along the line, at most `step` apart."""
        import numpy as np

        count = int(np.ceil(self.length / step))
        fars = np.arange(count) * (self.length / count)
        ring = np.vstack((self.lines.ends[:, 0], self.lines.ends[-1:, 1]))
        return np.stack([np.interp(fars, self.fars, ring[:, axis]) for axis in (0, 1)], axis=1)

    def corners(self) -> Floats:
        """(n, 2): points at which the line turns by more than CORNER_DEG."""
        import numpy as np

        before = np.roll(self.steps, 1, axis=0)
        cross = before[:, 0] * self.steps[:, 1] - before[:, 1] * self.steps[:, 0]
        turns = np.degrees(np.abs(np.arctan2(cross, (before * self.steps).sum(axis=1))))
        sharp: Floats = self.lines.ends[turns > CORNER_DEG, 0]
        return sharp

    def along(self, points: Floats) -> Floats:
        """Of each point how far along the line the nearest place on it is, mm."""
        import numpy as np

        _, index = self.lines.nearest(points)
        way = self.steps[index] / np.hypot(*self.steps[index].T)[:, None]
        far: Floats = self.fars[index] + ((points - self.lines.ends[index, 0]) * way).sum(axis=1)
        return far


def _strays(
    lines: Mapping[str, _Line], strokes: Sequence[Run], limit: float
) -> dict[str, list[tuple[float, tuple[float, float]]]]:
    """Strokes that begin and end on a line and go its way, but leave it between, and follow no other size either.

    A stroke longer than the line between its ends does not go its way: it is a notch, or a line across the piece.
    """
    import numpy as np

    if not strokes:
        return {}
    ends = np.array([(run.points[0], run.points[-1]) for run in strokes])
    lengths = np.array([run.length() for run in strokes])
    on: dict[str, Any] = {}
    for size, line in lines.items():
        on[size] = (line.lines.off(ends.reshape(-1, 2)).reshape(-1, 2) <= limit).all(axis=1)
        along = line.along(ends[on[size]].reshape(-1, 2)).reshape(-1, 2)
        between = np.abs(np.diff(along, axis=1))[:, 0]
        between = np.minimum(between, line.length - between)
        on[size][on[size]] = np.abs(lengths[on[size]] - between) <= 0.2 + 0.02 * between
    asked: list[int] = np.flatnonzero(np.any(list(on.values()), axis=0)).tolist()
    if not asked:
        return {}
    samples = [_points_of(strokes[i]) for i in asked]
    starts = np.cumsum([0, *(len(s) for s in samples[:-1])])
    points = np.concatenate(samples)
    by_point = {size: line.lines.off(points) for size, line in lines.items()}
    far = {size: np.maximum.reduceat(off, starts) for size, off in by_point.items()}
    astray = np.min(list(far.values()), axis=0) > limit
    found: dict[str, list[tuple[float, tuple[float, float]]]] = {}
    for size in lines:
        for k in np.flatnonzero(on[size][asked] & astray):
            own = samples[k]
            worst = int(by_point[size][starts[k] : starts[k] + len(own)].argmax())
            found.setdefault(size, []).append((float(far[size][k]), _pair(own[worst])))
    return found


def _points_of(run: Run) -> Floats:
    import numpy as np

    points = np.array(run.points)
    return np.concatenate((points, (points[1:] + points[:-1]) / 2))
