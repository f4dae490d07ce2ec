"""What was done to a drawing for its device, undone: unit, axes, frames, knife (offset, overcut, tabs), correction.

Only what pattern.json says is undone; the lines come from the file alone.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise
from math import hypot
from typing import Final

from ..geometry.point import XY
from ..values import dataclass, replace
from .drawing import Drawing, Run, UnreadableError, squares_by_size
from .hpgl import UNIT, PenLine, Plotter
from .knife import tip_path

_STEADY: Final = 0.03
"""mm: about a plotter unit."""
_MEETS: Final = 0.12
"""mm: ends at a join of frames, and at the end of a closed cut, that are this near to each other meet."""


@dataclass(frozen=True, slots=True)
class Sent:
    """As in pattern.json; lengths in mm. `knife`: offset, pen, width of a tab (0: none)."""

    unit: float = UNIT
    axis: str = "along"
    frame: float | None = None
    correction: tuple[float, float, float, float] = (1.0, 0.0, 0.0, 1.0)
    knife: tuple[float, int, float] | None = None
    kerf: float = 0.0


def plot_undone(plotter: Plotter, sent: Sent) -> Drawing:
    """The plot as the sheet was before it was sent; closed and open lines, mm. Raises UnreadableError."""
    lines = _in_mm(plotter.lines, sent)
    runs = [line.points for line in lines if not _is_knifes(line, sent)]
    cut = [line.points for line in lines if _is_knifes(line, sent)]
    if sent.frame is not None:
        runs, cut = _joined(runs, sent), _joined(cut, sent)
    if sent.knife is not None:
        cut = [_steady(_without_overcut(line)) for line in _over_tabs(cut, sent.knife[2])]
    near = max(sent.unit * 1.5, _MEETS if sent.knife is not None or sent.frame is not None else 0.0)
    found = [Run.of(_on_sheet(points, sent), near=near if points in cut else sent.unit * 1.5) for points in cut + runs]
    loose = tuple(run for run in found if run.closed)
    if not loose:
        raise UnreadableError("it draws no closed line, so it holds no pattern")
    strokes = tuple(run for run in found if not run.closed and len(run.points) > 1)
    return Drawing(loose=loose, strokes=strokes, squares=squares_by_size(loose))


def undone(drawing: Drawing, sent: Sent) -> Drawing:
    """A drawing of a format that needs no more than its correction undone."""
    if sent.correction == (1.0, 0.0, 0.0, 1.0):
        return drawing

    def back(runs: Iterable[Run]) -> tuple[Run, ...]:
        return tuple(Run(tuple(_back(run.points, sent)), run.closed) for run in runs)

    return replace(
        drawing,
        cut={name: back(runs) for name, runs in drawing.cut.items()},
        stitch={name: back(runs) for name, runs in drawing.stitch.items()},
        loose=back(drawing.loose),
        strokes=back(drawing.strokes),
        codes=back(drawing.codes),
        by_role={role: back(runs) for role, runs in drawing.by_role.items()},
        marks={name: {role: back(runs) for role, runs in own.items()} for name, own in drawing.marks.items()},
        squares={
            side: tuple(tuple(_back(corners, sent)) for corners in squares) for side, squares in drawing.squares.items()
        },
    )


def lines_on_sheet(plotter: Plotter, sent: Sent) -> list[tuple[XY, ...]]:
    """Every line as the sheet had it, in the order in which it is drawn, mm; those of frames in their parts."""
    return [tuple(_on_sheet(line.points, sent)) for line in _in_mm(plotter.lines, sent)]


def _is_knifes(line: PenLine, sent: Sent) -> bool:
    return sent.knife is not None and line.pen == sent.knife[1]


def _in_mm(lines: Sequence[PenLine], sent: Sent) -> list[PenLine]:
    """In mm, every frame laid after the one before; of a knife the tip's way, the blade facing as it was left."""
    facing = 0.0
    found: list[PenLine] = []
    for line in lines:
        points = [(x * sent.unit, y * sent.unit) for x, y in line.points]
        if sent.knife is not None and line.pen == sent.knife[1]:
            points, facing = tip_path(points, sent.knife[0], facing)
        if sent.frame is not None:
            step = round(sent.frame / sent.unit) * sent.unit * line.frame
            points = [(x + step, y) if sent.axis == "along" else (x, y + step) for x, y in points]
        found.append(PenLine(tuple(points), line.pen, line.frame))
    return found


def _joined(lines: Sequence[Sequence[XY]], sent: Sent) -> list[tuple[XY, ...]]:
    """Lines that end at a join of frames, put together with those that go on there."""
    assert sent.frame is not None
    step = round(sent.frame / sent.unit) * sent.unit
    axis = 0 if sent.axis == "along" else 1

    def at_join(p: XY) -> bool:
        k = round(p[axis] / step)
        return k > 0 and abs(p[axis] - k * step) <= _MEETS

    done = [tuple(line) for line in lines if not (at_join(line[0]) or at_join(line[-1]))]
    open_lines = sorted(
        (list(line) for line in lines if at_join(line[0]) or at_join(line[-1])), key=lambda line: -_length(line)
    )  # the longest first: a dash may end on the very point where an outline crosses
    while open_lines:
        line = open_lines.pop(0)
        grown = True
        while grown:
            grown = False
            for end in (-1, 0):
                tip = line[end]
                if not at_join(tip) or _meets(line):
                    continue
                near = [
                    (round(hypot(other[e][0] - tip[0], other[e][1] - tip[1]), 2), i, e)
                    for i, other in enumerate(open_lines)
                    for e in (0, -1)
                ]
                if near and min(near)[0] <= _MEETS:
                    _, i, e = min(near)
                    other = open_lines.pop(i)
                    if end == -1:
                        line = line + (other if e == 0 else other[::-1])
                    else:
                        line = (other if e == -1 else other[::-1]) + line
                    grown = True
        done.append(tuple(line))
    return done


def _length(line: Sequence[XY]) -> float:
    return sum(hypot(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(line))


def _meets(line: Sequence[XY]) -> bool:
    """Whether a line ends where it begins."""
    return len(line) > 3 and hypot(line[0][0] - line[-1][0], line[0][1] - line[-1][1]) <= _MEETS


def _over_tabs(lines: Sequence[Sequence[XY]], tab: float) -> list[tuple[XY, ...]]:
    """Cuts that go on beyond a tab, put together straight across it."""
    if not tab:
        return [tuple(line) for line in lines]
    done: list[tuple[XY, ...]] = []
    for line in lines:
        before = done[-1] if done else None
        if before is not None and abs(hypot(line[0][0] - before[-1][0], line[0][1] - before[-1][1]) - tab) <= _MEETS:
            done[-1] = (*before, *line)
        else:
            done.append(tuple(line))
    closed = [hypot(line[0][0] - line[-1][0], line[0][1] - line[-1][1]) for line in done]
    return [
        (*line, line[0]) if len(line) > 8 and abs(gap - tab) <= _MEETS else line
        for line, gap in zip(done, closed, strict=True)
    ]


def _steady(line: Sequence[XY]) -> tuple[XY, ...]:
    """Without the steps of less than a plotter unit that the tip makes while it turns in its place."""
    from shapely import LineString

    if len(line) < 3:
        return tuple(line)
    return tuple((float(x), float(y)) for x, y in LineString(line).simplify(_STEADY).coords)


def _without_overcut(line: Sequence[XY]) -> tuple[XY, ...]:
    """A cut that comes back to its start and goes on: as far as its start."""
    total = _length(line)
    gone, (sx, sy) = 0.0, line[0]
    for i, (a, b) in enumerate(pairwise(line)):
        long = hypot(b[0] - a[0], b[1] - a[1])
        if gone + long > total / 2 and long > 0:
            part = max(0.0, min(1.0, ((sx - a[0]) * (b[0] - a[0]) + (sy - a[1]) * (b[1] - a[1])) / long**2))
            near = (a[0] + (b[0] - a[0]) * part, a[1] + (b[1] - a[1]) * part)
            if hypot(near[0] - sx, near[1] - sy) <= _MEETS / 2 and gone + part * long > total / 2:
                return (*line[: i + 1], line[0])
        gone += long
    return tuple(line)


def _on_sheet(points: Sequence[XY], sent: Sent) -> list[XY]:
    """From the device's axes to those of the sheet, but for a shift, and without the correction."""
    return _back([(-y, x) for x, y in points] if sent.axis == "along" else list(points), sent)


def _back(points: Iterable[XY], sent: Sent) -> list[XY]:
    xx, xy, yx, yy = sent.correction
    if sent.correction == (1.0, 0.0, 0.0, 1.0):
        return list(points)
    det = xx * yy - xy * yx
    return [((yy * x - xy * y) / det, (xx * y - yx * x) / det) for x, y in points]
