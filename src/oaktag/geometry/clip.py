"""What of a line lies in an upright box."""

from __future__ import annotations

from collections.abc import Sequence

from .point import XY
from .polygon import Box


def clip_line(points: Sequence[XY], box: Box) -> list[list[XY]]:
    """The runs of an open line inside a closed box, joined where they go on (Liang and Barsky, ACM TOG 3 (1984) 1-22).

    Points of the line are kept as they are, so that neighbouring pages repeat the same numbers.
    """
    left, bottom, right, top = box.left, box.bottom, box.right, box.top
    runs: list[list[XY]] = []
    run: list[XY] = []
    x0, y0 = points[0]
    in0 = left <= x0 <= right and bottom <= y0 <= top
    for point in points[1:]:
        x1, y1 = point
        in1 = left <= x1 <= right and bottom <= y1 <= top
        if in0 and in1:
            if not run:
                run = [(x0, y0)]
                runs.append(run)
            run.append(point)
        elif not (
            (x0 < left and x1 < left)
            or (x0 > right and x1 > right)
            or (y0 < bottom and y1 < bottom)
            or (y0 > top and y1 > top)
        ):
            dx, dy = x1 - x0, y1 - y0
            enter, leave = 0.0, 1.0
            for d, gap in ((-dx, x0 - left), (dx, right - x0), (-dy, y0 - bottom), (dy, top - y0)):
                if d < 0.0:
                    enter = max(enter, gap / d)
                elif d > 0.0:
                    leave = min(leave, gap / d)
            if enter < leave:
                start = (x0, y0) if in0 else (x0 + enter * dx, y0 + enter * dy)
                if not (in0 and run):
                    run = [start]
                    runs.append(run)
                run.append(point if in1 else (x0 + leave * dx, y0 + leave * dy))
        if not in1:
            run = []
        x0, y0, in0 = x1, y1, in1
    return runs
