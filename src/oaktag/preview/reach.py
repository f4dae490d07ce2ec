"""Where a device can draw, and what of a line lies there."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import hypot
from typing import Final

from ..device.profile import DeviceProfile, usable_length, usable_width
from ..geometry.point import XY
from ..geometry.polygon import Box

_TOUCHES: Final = 1e-3
"""mm: a line on the border is drawn, and files are rounded to about that."""


def plotted_reach(device: DeviceProfile) -> Box:
    """What a plotter reaches in its own axes, mm from its origin; of one that draws in frames, in each frame."""
    across, along = usable_width(device), usable_length(device)
    if device.frame is not None:
        along = round(device.frame / device.unit) * device.unit
    right, top = (along, across) if device.axis == "along" else (across, along)
    if device.origin == "centre":
        return Box(-right / 2, -top / 2, right / 2, top / 2)
    return Box(0.0, 0.0, right, top)


def bed_reach(device: DeviceProfile, width: float, height: float) -> Box:
    """What it reaches of a drawing that lies in the corner of the printable area, turned if it fits only so."""
    across, along = usable_width(device), usable_length(device)
    fits = width <= across + _TOUCHES and height <= along + _TOUCHES
    turned = not fits and width <= along + _TOUCHES and height <= across + _TOUCHES
    return Box(0.0, 0.0, along, across) if turned else Box(0.0, 0.0, across, along)


def page_reach(device: DeviceProfile, width: float, height: float) -> Box:
    """What it prints of a page. On sheets the page is the paper; on a roll the paper is as wide as the roll.

    A page that fits the roll only turned is turned, as printers do.
    """
    if device.length is not None:
        if width > height:
            return Box(device.start, device.side, width - device.end, height - device.side)
        return Box(device.side, device.start, width - device.side, height - device.end)
    if width > device.width + 0.1 >= height:  # a tenth of a millimetre: pages are rounded to points
        return Box(device.start, device.side, width - device.end, device.width - device.side)
    return Box(device.side, device.start, device.width - device.side, height - device.end)


def split(points: Sequence[XY], box: Box) -> list[tuple[bool, tuple[XY, ...]]]:
    """The parts of a line in their order, and whether each lies in the closed box.

    >>> split([(0, 0), (4, 0)], Box(-1, -1, 1, 1))
    [(True, ((0, 0), (1.0, 0.0))), (False, ((1.0, 0.0), (4, 0)))]
    """
    left, bottom = box.left - _TOUCHES, box.bottom - _TOUCHES
    right, top = box.right + _TOUCHES, box.top + _TOUCHES

    def inside(p: XY) -> bool:
        return left <= p[0] <= right and bottom <= p[1] <= top

    if all(map(inside, points)):
        return [(True, tuple(points))]
    if len(points) == 1:
        return [(False, tuple(points))]
    parts: list[tuple[bool, list[XY]]] = []
    for a, b in pairwise(points):
        dx, dy = b[0] - a[0], b[1] - a[1]
        cuts = [(x - a[0]) / dx for x in (box.left, box.right) if dx]
        cuts += [(y - a[1]) / dy for y in (box.bottom, box.top) if dy]
        stops = [0.0, *sorted(t for t in cuts if 0.0 < t < 1.0), 1.0]
        spots = [a, *((a[0] + dx * t, a[1] + dy * t) for t in stops[1:-1]), b]
        for p, q in pairwise(spots):
            within = inside(((p[0] + q[0]) / 2, (p[1] + q[1]) / 2))
            if parts and parts[-1][0] == within:
                parts[-1][1].append(q)
            else:
                parts.append((within, [p, q]))
    return [(within, tuple(part)) for within, part in parts]


def farthest(points: Sequence[XY], box: Box) -> float:
    """How far the farthest point lies outside the box, mm."""
    return max(hypot(max(box.left - x, 0.0, x - box.right), max(box.bottom - y, 0.0, y - box.top)) for x, y in points)


def ring_of(box: Box) -> tuple[XY, ...]:
    """Its four corners and the first again."""
    left, bottom, right, top = box.left, box.bottom, box.right, box.top
    return ((left, bottom), (right, bottom), (right, top), (left, top), (left, bottom))
