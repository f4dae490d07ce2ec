"""What a roll adds to a piece: its order, its place in the cut list, and a code, where nothing else is drawn."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import hypot
from typing import TYPE_CHECKING, Any, Final, Literal

from ..geometry.affine import Move
from ..geometry.point import XY
from ..geometry.polygon import Box
from ..sheet.drawing import label_box
from ..sheet.lettering import DESCENDER, text_lines, text_width
from ..sheet.strokes import Figure, Role, Stroke
from ..values import dataclass
from .code import MODULES, Ink, code_strokes, side_of

if TYPE_CHECKING:
    from ..model.pattern import Label

Place = Literal["inside", "beside", "none"]
"""Where the code stands: in the piece; beside it on the paper, with a line that leads to it; or nowhere."""
_WORDS: Final = (5.0, 3.5)
"""Capitals of the words, mm; the smaller where there is no room for the larger."""
_AIR: Final = 1.0
"""Kept between the tag and all else that is drawn, mm."""
_BESIDE: Final = 4.0
"""From the piece to a tag beside it, mm."""
_LEAD: Final = 3.0
"""How far the leader goes into the piece, mm."""
_STEP: Final = 4.0
_MOST: Final = 6000
"""Places that are tried."""


@dataclass(frozen=True, slots=True)
class Tag:
    """A block of two lines of words, with a code or without, and where it stands: its lower left corner at the origin,
    then moved. `text` is what the code says; "" where there is none. The place in the cut list is filled in later."""

    order: str
    of: int
    text: str
    module: float
    size: float
    stacked: bool
    move: Move
    place: Place
    leader: tuple[XY, XY] | None = None

    @property
    def box(self) -> tuple[float, float]:
        """Width and height, mm."""
        return _box(self.order, self.of, self.text, self.module, self.size, stacked=self.stacked)

    def corner(self) -> XY:
        """The lower left one of the code with its quiet zone, before it is moved."""
        return 0.0, self.box[1] - side_of(self.text, self.module) if self.stacked else 0.0

    def strokes(self, number: int, ink: Ink) -> list[Stroke]:
        """With the piece's place in the cut list: `7 of 86`."""
        words: list[Stroke] = []
        code = side_of(self.text, self.module) if self.text else 0.0
        _, high = self.box
        lines = (self.order, f"{number} of {self.of}")
        x = 0.0 if self.stacked else code
        base = (high - code if self.stacked else (high + _high(self.size)) / 2) - self.size
        for row, line in enumerate(lines):
            at = (x, base - row * _PITCH * self.size)
            words += [Stroke(Role.LABEL, points) for points in text_lines(line, self.size, at)]
        if self.text:
            words += code_strokes(self.text, self.module, self.corner(), ink)
        moved = [stroke.moved(self.move) for stroke in words]
        if self.leader is not None:
            moved.append(Stroke(Role.LABEL, self.leader))
        return moved

    def ring(self) -> tuple[XY, ...]:
        """The box where it stands."""
        wide, high = self.box
        return self.move.points(((0.0, 0.0), (wide, 0.0), (wide, high), (0.0, high)))


_PITCH: Final = 1.6


def _high(size: float) -> float:
    return size * (1.0 + _PITCH + DESCENDER)


def _box(order: str, of: int, text: str, module: float, size: float, *, stacked: bool) -> tuple[float, float]:
    code = side_of(text, module) if text else 0.0
    words = max(text_width(order, size), text_width(f"{of} of {of}", size))
    if stacked:
        return max(code, words), code + _high(size)
    return code + words, max(code, _high(size))


def tagged(figure: Figure, label: Label, order: str, of: int, text: str) -> Tag:
    """Where the tag of a piece stands: in it, clear of everything that is drawn, as near as can be to its label; first
    with the code; where that has no room, beside the piece, by the place that makes it the least larger."""
    import shapely

    rings = [stroke.points for stroke in figure.strokes if stroke.role is Role.CUT and stroke.closed]
    piece = shapely.union_all([shapely.Polygon(ring) for ring in rings])
    lines = [_line(stroke) for stroke in figure.strokes]
    width, height = label_box(label.lines, label.height)
    block = Move.turned(label.angle_deg).then(Move.by(*label.at))
    corners = [(-width / 2, -height / 2), (width / 2, -height / 2), (width / 2, height / 2), (-width / 2, height / 2)]
    drawn = [*lines, *([shapely.Polygon(block.points(corners))] if label.lines else [])]
    tree = shapely.STRtree(drawn)
    near = label.at if label.lines else tuple(piece.centroid.coords[0])
    for module, size in ((m, s) for m in MODULES for s in _WORDS if s == _WORDS[0] or m < MODULES[0]):
        for stacked in (False, True):
            found = _free(piece, tree, _box(order, of, text, module, size, stacked=stacked), near)
            if found is not None:
                return Tag(order, of, text, module, size, stacked, found, "inside")
    module, size = MODULES[0], _WORDS[0]
    move, leader = _beside(piece, _box(order, of, text, module, size, stacked=False))
    return Tag(order, of, text, module, size, False, move, "beside", leader)


def _line(stroke: Stroke) -> Any:
    import shapely

    points = (*stroke.points, stroke.points[0]) if stroke.closed else stroke.points
    return shapely.LineString(points) if len(points) > 1 else shapely.Point(points[0])


def _free(piece: Any, tree: Any, box: XY, near: Sequence[float]) -> Move | None:
    """The place of a box, level or reading upwards, that is nearest to a point; None where there is none."""
    import numpy as np
    import shapely

    left, bottom, right, top = piece.bounds
    step = max(_STEP, (right - left) * (top - bottom) / _MOST / _STEP)
    best: tuple[float, Move] | None = None
    for turned in (False, True):
        wide, high = (box[1], box[0]) if turned else box
        xs = np.arange(left, right - wide, step)
        ys = np.arange(bottom, top - high, step)
        if not len(xs) or not len(ys):
            continue
        x, y = (part.ravel() for part in np.meshgrid(xs, ys))
        boxes = shapely.box(x - _AIR, y - _AIR, x + wide + _AIR, y + high + _AIR)
        shapely.prepare(piece)
        free = shapely.contains(piece, boxes)
        free[tree.query(boxes, predicate="intersects")[0]] = False
        places = np.flatnonzero(free)
        if not len(places):
            continue
        far = np.hypot(x[places] + wide / 2 - near[0], y[places] + high / 2 - near[1])
        k = int(far.argmin())
        at = float(x[places[k]]), float(y[places[k]])
        move = Move.quarters(1).then(Move.by(wide, 0.0)) if turned else Move()
        # a tag that reads upwards is only taken where it is much nearer
        worth = float(far[k]) + (40.0 if turned else 0.0)
        if best is None or worth < best[0]:
            best = worth, move.then(Move.by(*at))
    return best[1] if best is not None else None


def _beside(piece: Any, box: XY) -> tuple[Move, tuple[XY, XY]]:
    """A place near the piece and a line that leads into it."""
    import shapely
    from shapely.ops import nearest_points

    bounds = Box(*piece.bounds)
    shapely.prepare(piece)
    best: tuple[float, Box] | None = None
    for corner in _places_beside(bounds, box):
        own = Box(corner[0], corner[1], corner[0] + box[0], corner[1] + box[1])
        gap = float(piece.distance(shapely.box(own.left, own.bottom, own.right, own.top)))
        if gap < _BESIDE - 0.1:
            continue
        wide = max(bounds.right, own.right) - min(bounds.left, own.left)
        high = max(bounds.top, own.top) - min(bounds.bottom, own.bottom)
        worth = wide * high + 20.0 * gap
        if best is None or worth < best[0]:
            best = worth, own
    assert best is not None  # the corners of the bounds are free
    own = best[1]
    shape = shapely.box(own.left, own.bottom, own.right, own.top)
    a, b = (p.coords[0] for p in nearest_points(shape, piece))
    far = hypot(b[0] - a[0], b[1] - a[1])
    way = (b[0] - a[0]) / far, (b[1] - a[1]) / far
    end = b[0] + _LEAD * way[0], b[1] + _LEAD * way[1]
    return Move.by(own.left, own.bottom), ((a[0], a[1]), end)


def _places_beside(bounds: Box, box: XY) -> Iterator[XY]:
    """Lower left corners of a box round the bounds, and in them where the piece leaves room."""
    wide, high = box
    step = 5.0
    left, bottom = bounds.left - wide - _BESIDE, bounds.bottom - high - _BESIDE
    for i in range(int((bounds.right + _BESIDE - left) / step) + 2):
        for k in range(int((bounds.top + _BESIDE - bottom) / step) + 2):
            yield min(left + i * step, bounds.right + _BESIDE), min(bottom + k * step, bounds.top + _BESIDE)
