"""Outlines as the placing sees them: wider by half the gap, and with few corners; never smaller than what is cut."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from ..geometry.point import XY
from ..geometry.polygon import simplified

SLACK: Final = 0.15
"""An outline with fewer corners stays within this of the true one, and outside of it, mm."""
_FINE_SLACK: Final = 0.01
"""The same where pieces lie edge to edge."""
_GAP: Final = 1.0


def widened(ring: Sequence[XY], gap: float) -> tuple[XY, ...]:
    """The ring, counter-clockwise, grown by half the gap and a little more, with few corners; holes do not occur."""
    import shapely

    slack = SLACK if gap >= _GAP else _FINE_SLACK
    grown = shapely.Polygon(ring).buffer(gap / 2 + 2 * slack, quad_segs=4, join_style="mitre", mitre_limit=1.5)
    outline = grown.exterior if grown.geom_type == "Polygon" else max(grown.geoms, key=lambda g: g.area).exterior
    points = [(float(x), float(y)) for x, y in outline.coords[:-1]]
    if outline.is_ccw is False:
        points.reverse()
    return tuple(simplified(points, slack))


def clipped_at_fold(ring: Sequence[XY]) -> tuple[XY, ...]:
    """What of it lies right of the fold, x ≥ 0."""
    import shapely

    box = shapely.box(0.0, -1e7, 1e7, 1e7)
    part = shapely.intersection(shapely.Polygon(ring), box)
    if part.geom_type != "Polygon":
        part = max(part.geoms, key=lambda g: g.area)
    points = [(float(x), float(y)) for x, y in part.exterior.coords[:-1]]
    return tuple(points if part.exterior.is_ccw else points[::-1])
