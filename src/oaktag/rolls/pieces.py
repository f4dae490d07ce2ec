"""The pieces of a roll of paper: each drawn once, as on a plot of its own; those larger than the paper in parts."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from ..errors import InputError
from ..geometry.affine import Move
from ..geometry.point import XY, Point
from ..geometry.polygon import Box, area
from ..lay.pieces import LayPiece, Variant
from ..model.pattern import Label, MarkedPiece
from ..model.piece import cut_words, title_of
from ..sheet.drawing import figure_of
from ..sheet.panels import panels_of
from ..sheet.strokes import Figure, Role
from ..values import dataclass
from .code import code_text
from .orders import Order
from .tag import Tag, tagged

TURNS: Final = tuple(Variant(False, turn) for turn in (0.0, 90.0, 180.0, 270.0))
"""A pattern on paper has no grain to keep; it is never turned over, so that its words can be read."""
_OUT: Final = 0.02
"""mm that a line may stand out of the cut line and still lie within it."""
_THICK: Final = 0.5
_NO_LABEL: Final = Label((), Point(0.0, 0.0), 1.0, 0.0)


@dataclass(frozen=True, slots=True)
class RollPiece:
    """One piece of one order as it is drawn, in its own coordinates, mm. `size` is "" where the order has one alone.

    `rings` are its closed cut lines (of a panel there may be several), `outline` all that it needs of the paper.
    """

    order: str
    marked: MarkedPiece
    size: str
    part: int
    parts: int
    figure: Figure
    rings: tuple[tuple[XY, ...], ...]
    tag: Tag
    outline: tuple[XY, ...]

    @property
    def name(self) -> str:
        return self.marked.name

    @property
    def key(self) -> tuple[str, str, str, int]:
        """Tells it from every other of the roll."""
        return self.order, self.name, self.size, self.part

    @property
    def words(self) -> str:
        """`front`, `front, part 1 of 2`."""
        part = f", part {self.part} of {self.parts}" if self.parts > 1 else ""
        return title_of(self.marked.cut.piece) + part

    @property
    def cut(self) -> str:
        """`cut 1 on the fold, shell`."""
        return cut_words(self.marked.cut.piece)

    def lay_piece(self) -> LayPiece:
        """As the packing sees it."""
        part = f", part {self.part}" if self.parts > 1 else ""
        return LayPiece(f"{self.order}/{self.name}{part}", self.size, 1, 1, self.outline, Move(), TURNS)


@dataclass(frozen=True, slots=True)
class _Drawn:
    order: Order
    marked: MarkedPiece
    size: str
    part: int
    parts: int
    figure: Figure
    label: Label


def roll_pieces(orders: Sequence[Order], room: XY) -> tuple[RollPiece, ...]:
    """Every piece of every order, in their order, for paper with `room` mm across and along.

    A piece that fits in no turn comes in panels that are joined again, as on a plot of one order. Raises InputError for
    paper too small for panels.
    """
    drawn = [one for order in orders for one in _drawn(order, room)]
    return tuple(_piece(one, len(drawn)) for one in drawn)


def _drawn(order: Order, room: XY) -> list[_Drawn]:
    found: list[_Drawn] = []
    for pattern in order.nest.patterns:
        size = pattern.size if order.several else ""
        for marked in pattern.pieces:
            figure = figure_of(marked)
            if min(room) < 100.0:
                raise InputError(
                    f"the paper leaves {min(room):.0f} mm between its edges", expected="100 mm at least",
                    instead="Take a larger device",
                )  # fmt: skip
            panels = panels_of(figure, [room])
            if not panels:
                found.append(_Drawn(order, marked, size, 1, 1, figure, marked.label))
            found += [_Drawn(order, marked, size, p.part, p.of, p.figure, _NO_LABEL) for p in panels]
    return found


def _piece(one: _Drawn, of: int) -> RollPiece:
    rings = tuple(stroke.points for stroke in one.figure.strokes if stroke.role is Role.CUT and stroke.closed)
    text = code_text(one.order.name, one.marked.name, one.size, one.order.mark)
    tag = tagged(one.figure, one.label, one.order.name, of, text)
    outline = _outline(one.figure, rings, tag)
    return RollPiece(one.order.name, one.marked, one.size, one.part, one.parts, one.figure, rings, tag, outline)


def _outline(figure: Figure, rings: Sequence[Sequence[XY]], tag: Tag) -> tuple[XY, ...]:
    """The cut line; wider where notches stand out of it or a tag stands beside it."""
    import shapely

    whole = shapely.union_all([shapely.Polygon(ring) for ring in rings])
    inner = whole.buffer(_OUT)
    shapely.prepare(inner)
    lines = [shapely.LineString(s.points) for s in figure.strokes if s.role is not Role.CUT and len(s.points) > 1]
    out = [line for line, held in zip(lines, shapely.contains(inner, lines), strict=True) if not held] if lines else []
    added = [line.buffer(_THICK) for line in out]
    if tag.place == "beside" and tag.leader is not None:
        added += [shapely.Polygon(tag.ring()), shapely.LineString(tag.leader).buffer(_THICK)]
    if not added and len(rings) == 1:
        ring = tuple(rings[0])
        return ring if area(ring) > 0 else ring[::-1]
    shape = shapely.union_all([whole, *added])
    if shape.geom_type != "Polygon":  # parts that do not touch are kept together
        shape = shape.convex_hull
    points = [(float(x), float(y)) for x, y in shape.exterior.coords[:-1]]
    return tuple(points if shape.exterior.is_ccw else points[::-1])


def box_piece(name: str, box: Box) -> LayPiece:
    """A rectangle that keeps its way up, such as the scale block."""
    ring = ((box.left, box.bottom), (box.right, box.bottom), (box.right, box.top), (box.left, box.top))
    return LayPiece(name, "", 1, 1, ring, Move(), TURNS[:1])
