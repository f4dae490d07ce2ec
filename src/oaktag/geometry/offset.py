"""The one place that imports pyclipper, the offset and clean-up engine. Its answers are judged here."""

from __future__ import annotations

import itertools
from typing import Final

from ..errors import GeometryError
from .point import XY, Ring
from .polygon import Box

GRID: Final = 10_000
"""Integer steps a millimetre."""
_ARC: Final = 100
"""Chord of round corners in steps: 0.01 mm."""


def _integers(ring: Ring) -> list[tuple[int, int]]:
    return [(round(x * GRID), round(y * GRID)) for x, y in ring]


def _floats(ring: list[list[int]]) -> list[XY]:
    return [(x / GRID, y / GRID) for x, y in ring]


def outer(ring: Ring, *, strict: bool = False) -> tuple[list[XY], bool]:
    """The ring without its crossings, and whether it had any; `strict` also parts it where it touches itself.

    Keeps what lies inside by positive winding, as an outward offset needs it: loops that run backwards are dropped.
    A ring without crossings comes back untouched, point for point.
    Raises GeometryError when nothing is left.
    """
    import pyclipper

    engine = pyclipper.Pyclipper()
    engine.PreserveCollinear = True
    engine.StrictlySimple = strict
    on_grid = [(x * GRID, y * GRID) for x, y in ring]  # the engine cuts the rest off
    try:
        engine.AddPath(on_grid, pyclipper.PT_SUBJECT, True)
    except pyclipper.ClipperException:
        raise GeometryError("an outline has no area") from None
    rings = engine.Execute(pyclipper.CT_UNION, pyclipper.PFT_POSITIVE, pyclipper.PFT_POSITIVE)
    areas = [pyclipper.Area(found) for found in rings]
    if not areas or max(areas) <= 0:
        raise GeometryError("an outline runs clockwise or has no area")
    kept = len(rings[0])
    same_area = len(rings) == 1 and areas[0] == pyclipper.Area(on_grid)  # of whole steps: the smallest loop tells
    if same_area and (kept == len(on_grid) or kept == len(_without_repeats(on_grid))):
        return list(ring), False
    return _floats(rings[areas.index(max(areas))]), True


def _without_repeats(ring: list[XY]) -> list[tuple[int, int]]:
    kept = [p for p, _ in itertools.groupby((int(x), int(y)) for x, y in ring)]
    return kept[:-1] if len(kept) > 1 and kept[0] == kept[-1] else kept


def is_simple(ring: Ring) -> bool:
    """Whether a counter-clockwise ring neither crosses itself nor runs along itself (to 0.0001 mm)."""
    try:
        return not outer(ring, strict=True)[1]
    except GeometryError:
        return False


def grown(ring: Ring, by: float, *, mitre_limit: float = 10.0) -> list[XY]:
    """The ring offset by one width all round with mitred corners, mm; negative shrinks it.

    Raises GeometryError when not exactly one outline is left.
    """
    import pyclipper

    engine = pyclipper.PyclipperOffset(mitre_limit, _ARC)
    engine.AddPath(_integers(ring), pyclipper.JT_MITER, pyclipper.ET_CLOSEDPOLYGON)
    rings = engine.Execute(by * GRID)
    if len(rings) != 1:
        raise GeometryError(f"offsetting by {by:g} mm leaves {len(rings)} outlines instead of 1")
    return _floats(rings[0])


def inside(ring: Ring, box: Box) -> list[list[XY]]:
    """What of the area of a ring lies in the box: closed rings that run as the ring does, to 0.0001 mm."""
    import pyclipper

    if all(box.left <= x <= box.right and box.bottom <= y <= box.top for x, y in ring):
        return [list(ring)]
    corners = ((box.left, box.bottom), (box.right, box.bottom), (box.right, box.top), (box.left, box.top))
    return _with(ring, corners, pyclipper.CT_INTERSECTION, keep_collinear=True)


def outside(ring: Ring, other: Ring) -> list[list[XY]]:
    """What of the area of a ring lies outside of another: closed rings, to 0.0001 mm."""
    import pyclipper

    return _with(ring, other, pyclipper.CT_DIFFERENCE)


def _with(ring: Ring, other: Ring, operation: int, *, keep_collinear: bool = False) -> list[list[XY]]:
    """What the operation makes of the areas of two rings; nothing where one of them has none."""
    import pyclipper

    engine = pyclipper.Pyclipper()
    engine.PreserveCollinear = keep_collinear
    try:
        engine.AddPath(_integers(ring), pyclipper.PT_SUBJECT, True)
        engine.AddPath(_integers(other), pyclipper.PT_CLIP, True)
    except pyclipper.ClipperException:
        return []
    rings = engine.Execute(operation, pyclipper.PFT_NONZERO, pyclipper.PFT_NONZERO)
    return [_floats(found) for found in sorted(rings)]
