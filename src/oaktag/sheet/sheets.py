"""Figures on as many sheets as they need, or on one roll, with little waste; by their bounding boxes."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Final, TypeAlias

from ..errors import DraftError
from ..geometry.affine import Move
from ..geometry.point import XY
from ..geometry.polygon import Box
from ..values import dataclass
from .arrange import Layout, Skyline
from .strokes import Figure

_NEAR: Final = 1e-9
Order: TypeAlias = Callable[[Box], tuple[float, float]]

_ORDERS: Final[tuple[Order, ...]] = (
    lambda box: (-box.height, -box.width),
    lambda box: (-box.width * box.height, -box.height),
    lambda box: (-max(box.width, box.height), -min(box.width, box.height)),
    lambda box: (-box.width, -box.height),
)


@dataclass(frozen=True, slots=True)
class _Spot:
    sheet: int
    index: int
    turned: bool
    x: float
    y: float


def packed_on_sheets(
    title: str,
    figures: Sequence[Figure],
    width: float,
    length: float | None = None,
    *,
    gap: float = 10.0,
    margin: float = 0.0,
    each: Sequence[Figure] = (),
    last: Figure | None = None,
) -> tuple[Layout, ...]:
    """Figures on sheets `width` mm wide, at most `length` mm long; `gap` mm apart, `margin` mm from the edges.

    The first figure comes to the first sheet, since it is the scale block; any further sheet gets the figures of `each`
    first. `last` lies at the far end of the last sheet, if it is a roll. Several orders are tried, upright and with
    quarter turns (a pattern on paper has no grain to keep), and the one with the fewest sheets, then the least length
    is kept (bottom-left on a skyline; common practice, no source). Every sheet is as long as is used.
    Raises DraftError where a figure fits neither upright nor turned.
    """
    count = len(figures)
    figures = [*figures, *each]
    boxes = [figure.bounds() for figure in figures]
    room = width - 2 * margin, (float("inf") if length is None else length - 2 * margin)
    for figure, box in zip(figures, boxes, strict=True):
        if not _fits(box.width, box.height, room) and not _fits(box.height, box.width, room):
            long = "" if length is None else f" by {room[1]:.1f}"
            raise DraftError(
                f"{figure.label} is {box.width:.1f} mm wide and {box.height:.1f} mm long, and there are "
                f"{room[0]:.1f}{long} mm between the margins: it fits neither upright nor turned. Take a larger device"
            )
    best: list[_Spot] | None = None
    worth = (0, 0.0)
    for turning in (False, True):
        for order in _ORDERS:
            spots = _packed(boxes, count, room, gap, order, turning)
            if last is not None:
                spots.append(_at_far_end(spots, boxes, last.bounds(), room, gap))
            used = _used(spots, [*boxes, last.bounds()] if last is not None else boxes)
            found = (len(used), round(sum(used), 3))
            if best is None or found < worth:
                best, worth = spots, found
    assert best is not None
    if last is not None:
        figures, boxes = [*figures, last], [*boxes, last.bounds()]
    return tuple(
        _layout(title, figures, boxes, [spot for spot in best if spot.sheet == number], width, margin)
        for number in range(worth[0])
    )


def _fits(width: float, height: float, room: tuple[float, float]) -> bool:
    return width <= room[0] + _NEAR and height <= room[1] + _NEAR


def _packed(
    boxes: Sequence[Box], count: int, room: tuple[float, float], gap: float, order: Order, turning: bool
) -> list[_Spot]:
    """Where each of the first `count` boxes lies; those after them come to every sheet but the first."""
    skylines: list[Skyline] = []
    spots: list[_Spot] = []

    def lay(index: int, number: int, *, turn: bool) -> bool:
        box = boxes[index]
        ways = [(box.width, box.height, False), (box.height, box.width, True)]
        ways = [way for way in ways if _fits(way[0], way[1], room)]
        tried = []
        for across, along, turned in ways if turn else ways[:1]:
            x, y = skylines[number].lowest(across + gap)
            if y + along <= room[1] + _NEAR:
                tried.append((y + along, y, x, across, along, turned))
        if tried:
            _, y, x, across, along, turned = min(tried)
            skylines[number] = skylines[number].raised(x, across + gap, y + along + gap)
            spots.append(_Spot(number, index, turned, x, y))
        return bool(tried)

    for index in [0, *sorted(range(1, count), key=lambda i: (order(boxes[i]), i))] if count else []:
        if any(lay(index, number, turn=turning) for number in range(len(skylines))):
            continue
        skylines.append(Skyline.flat(room[0] + gap))
        for common in range(count, len(boxes)) if len(skylines) > 1 else ():
            lay(common, len(skylines) - 1, turn=False)
        if not lay(index, len(skylines) - 1, turn=turning):
            # With what every sheet has there is no room left: it gets a sheet to itself.
            spots[:] = [spot for spot in spots if spot.sheet < len(skylines) - 1]
            skylines[-1] = Skyline.flat(room[0] + gap)
            lay(index, len(skylines) - 1, turn=turning)
    return spots


def _at_far_end(spots: Sequence[_Spot], boxes: Sequence[Box], box: Box, room: XY, gap: float) -> _Spot:
    """A place where nothing lies farther along than the box."""
    skyline = Skyline.flat(room[0] + gap)
    top = 0.0
    for spot in sorted(spots, key=lambda spot: spot.y):
        across, along = boxes[spot.index].width, boxes[spot.index].height
        if spot.turned:
            across, along = along, across
        top = max(top, spot.y + along)
        skyline = skyline.raised(spot.x, across + gap, spot.y + along + gap)
    x, y = skyline.lowest(box.width + gap)
    return _Spot(0, len(boxes), False, x, max(y, top - box.height))


def _used(spots: Sequence[_Spot], boxes: Sequence[Box]) -> list[float]:
    tops: dict[int, float] = {}
    for spot in spots:
        box = boxes[spot.index]
        top = spot.y + (box.width if spot.turned else box.height)
        tops[spot.sheet] = max(tops.get(spot.sheet, 0.0), top)
    return [tops[number] for number in sorted(tops)]


def _layout(
    title: str, figures: Sequence[Figure], boxes: Sequence[Box], spots: Sequence[_Spot], width: float, margin: float
) -> Layout:
    moves: list[Move] = []
    top = 0.0
    spots = sorted(spots, key=lambda spot: spot.index)
    for spot in spots:
        box = boxes[spot.index]
        left, bottom = (-box.top, box.left) if spot.turned else (box.left, box.bottom)
        to = Move.by(margin + spot.x - left, margin + spot.y - bottom)
        moves.append(Move.quarters(int(spot.turned)).then(to))
        top = max(top, margin + spot.y + (box.width if spot.turned else box.height))
    return Layout(title, width, top + margin, tuple(figures[spot.index] for spot in spots), tuple(moves))
