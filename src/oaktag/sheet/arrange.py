"""Figures placed on a strip of paper by their bounding boxes; they never overlap and never change their size."""

from __future__ import annotations

from collections.abc import Sequence
from math import inf
from typing import Final

from ..errors import DraftError
from ..geometry.affine import Move
from ..geometry.point import Polyline
from ..geometry.polygon import Box
from ..values import dataclass
from .strokes import Figure, Sheet

_NEAR: Final = 1e-9
_MOST_TILES_ACROSS: Final = 8
_POINTS_A_CHUNK: Final = 24


@dataclass(frozen=True, slots=True)
class Layout:
    """Where figures come to lie on a sheet. Of several ways to lay them only the one that is taken is drawn."""

    title: str
    width: float
    height: float
    figures: tuple[Figure, ...]
    moves: tuple[Move, ...]

    def sheet(self) -> Sheet:
        """The figures in their places."""
        moved = [figure.moved(move) for figure, move in zip(self.figures, self.moves, strict=True)]
        return Sheet(self.title, self.width, self.height, tuple(moved))


@dataclass(frozen=True, slots=True)
class _Placed:
    """A figure's box before it moves, and the move that brings it to its place."""

    index: int
    turns: int
    move: Move
    bottom: float
    top: float


def arrange(
    title: str,
    figures: Sequence[Figure],
    width: float,
    *,
    gap: float = 10.0,
    margin: float = 0.0,
    first: Figure | None = None,
    last: Figure | None = None,
) -> Sheet:
    """The figures on a strip `width` mm wide, `gap` mm apart, `margin` mm from the strip's edges.

    `first` lies in the lower left corner, where the strip begins; `last` reaches to its far end.

    Tallest first (then by name), each as low as it goes, then as far left (bottom-left on a skyline; common practice,
    no source). A figure stays upright, its grain along the strip, unless only a quarter turn makes it fit. The
    sheet's height is what is used. Raises DraftError where a figure is wider than the strip both ways.
    """
    return arranged(title, figures, width, gap=gap, margin=margin, first=first, last=last).sheet()


def arranged(
    title: str,
    figures: Sequence[Figure],
    width: float,
    *,
    gap: float = 10.0,
    margin: float = 0.0,
    first: Figure | None = None,
    last: Figure | None = None,
) -> Layout:
    """As `arrange`, not yet drawn."""
    ends = [figure for figure in (first, last) if figure is not None]
    figures = [*figures, *ends]
    boxes = [figure.bounds() for figure in figures]
    at = len(figures) - len(ends)
    placed = _place(
        figures, boxes, width, gap, margin,
        first=at if first is not None else None, last=len(figures) - 1 if last is not None else None,
    )  # fmt: skip
    return _layout(title, figures, placed, width, margin)


def arrange_on_sheets(
    title: str, figures: Sequence[Figure], tile_width: float, tile_height: float, *, inset: float, gap: float = 10.0
) -> Sheet:
    """The figures on large sheets, one above the other, so that only those run over an edge that are too large for one.

    Those that fit keep `inset` mm off the edges. For a figure wider than one sheet as many stand side by side as it
    needs. Raises DraftError where it is wider than 8 both ways.
    """
    boxes = [figure.bounds() for figure in figures]
    trouble: DraftError | None = None
    for across in range(1, _MOST_TILES_ACROSS + 1):
        width = across * tile_width
        try:
            placed = _place(figures, boxes, width, gap, inset, rows=tile_height)
        except DraftError as error:
            trouble = error.with_traceback(None)  # whose frames would hold all of this in a ring
            continue
        return _layout(title, figures, placed, width, 0.0).sheet()
    raise trouble or DraftError("there is no sheet to arrange on")


def arrange_for_tiles(
    title: str, figures: Sequence[Figure], tile_width: float, tile_height: float, *, gap: float = 10.0
) -> Sheet:
    """The figures on as many tiles across (1 to 8) as leave the fewest tiles with anything drawn on them.

    `tile_width` and `tile_height` are what one page adds to the poster, mm; tiles are counted from (0, 0). Of equal
    counts the narrower sheet is taken. Raises DraftError where a figure is wider than 8 tiles both ways.
    """
    boxes = [figure.bounds() for figure in figures]
    chunks: dict[tuple[int, int], list[_Chunk]] = {}
    tiles: dict[tuple[int, Move], set[tuple[int, int]]] = {}
    best: tuple[int, int, list[_Placed]] | None = None
    trouble: DraftError | None = None
    for across in range(1, _MOST_TILES_ACROSS + 1):
        width = across * tile_width
        try:
            placed = _place(figures, boxes, width, gap, 0.0)
        except DraftError as error:
            trouble = error.with_traceback(None)  # whose frames would hold all of this in a ring
            continue
        used: set[tuple[int, int]] = set()
        for item in placed:
            place = item.index, item.move
            if place not in tiles:  # often a figure keeps its place on a wider sheet
                key = item.index, item.turns
                if key not in chunks:
                    figure = figures[item.index]
                    chunks[key] = _chunks(figure.moved(Move.quarters(item.turns)) if item.turns else figure)
                tiles[place] = _drawn_on(chunks[key], item.move.dx, item.move.dy, tile_width, tile_height)
            used |= tiles[place]
        if best is None or len(used) < best[0]:
            best = len(used), across, placed
        if all(item.bottom == 0.0 and item.turns == 0 for item in placed):
            break  # one row of upright figures: a wider sheet looks the same
    if best is None:
        raise trouble or DraftError("there is no tile to arrange on")
    _, across, placed = best
    return _layout(title, figures, placed, across * tile_width, 0.0).sheet()


def _layout(title: str, figures: Sequence[Figure], placed: Sequence[_Placed], width: float, margin: float) -> Layout:
    height = max((item.top for item in placed), default=margin) + margin
    laid = tuple(figures[item.index] for item in placed)
    return Layout(title, width, height, laid, tuple(item.move for item in placed))


def _place(
    figures: Sequence[Figure],
    boxes: Sequence[Box],
    width: float,
    gap: float,
    margin: float,
    *,
    first: int | None = None,
    last: int | None = None,
    rows: float | None = None,
) -> list[_Placed]:
    """`first` and `last` are indices of the figures at the ends; with `rows` of so many mm no figure leaves its own."""
    usable = width - 2 * margin
    waiting: list[tuple[int, float, str, int, float, int]] = []
    for index, (figure, box) in enumerate(zip(figures, boxes, strict=True)):
        turn = 0 if index == first else 2 if index == last else 1
        if box.width <= usable + _NEAR:
            waiting.append((turn, -box.height, figure.name, index, box.width, 0))
        elif box.height <= usable + _NEAR:
            waiting.append((turn, -box.width, figure.name, index, box.height, 1))
        else:
            raise DraftError(
                f"{figure.label} is {box.width:.1f} mm wide and {box.height:.1f} mm long, and the strip has "
                f"{usable:.1f} mm between its margins: it fits neither upright nor turned. Take wider paper"
            )
    skyline = Skyline.flat(usable + gap)
    placed: list[_Placed] = []
    for _, minus_height, _, index, across, turns in sorted(waiting):
        room = rows - 2 * margin if rows is not None else 0.0
        x, y = skyline.lowest(across + gap, -minus_height, rows, room)
        if index == last:
            y = max([y, *(item.top - margin + minus_height for item in placed)])
        skyline = skyline.raised(x, across + gap, y - minus_height + gap)
        box = boxes[index]
        left, bottom = (box.left, box.bottom) if turns == 0 else (-box.top, box.left)
        move = Move.quarters(turns).then(Move.by(margin + x - left, margin + y - bottom))
        placed.append(_Placed(index, turns, move, margin + y, margin + y - minus_height))
    return sorted(placed, key=lambda item: item.index)


@dataclass(frozen=True, slots=True)
class Skyline:
    """How high a strip is taken, stretch by stretch: (left, right, height), from left to right."""

    stretches: tuple[tuple[float, float, float], ...]

    @classmethod
    def flat(cls, width: float) -> Skyline:
        """Nothing is taken."""
        return cls(((0.0, width, 0.0),))

    def lowest(
        self, across: float, along: float = 0.0, rows: float | None = None, room: float = 0.0
    ) -> tuple[float, float]:
        """The lowest, then leftmost place for a box of that size: x, y.

        With `rows`, a box that fits into the `room` of a row lies within it, or begins the next one.
        """
        end = self.stretches[-1][1]
        best = (inf, 0.0)
        for i, (left, _, _) in enumerate(self.stretches):
            if left + across > end + 2 * _NEAR:
                break
            height = 0.0
            for a, _, top in self.stretches[i:]:
                if a >= left + across - _NEAR:
                    break
                height = max(height, top)
            if rows is not None and along <= room + _NEAR:
                row = int((height + _NEAR) / rows)
                if height + along > row * rows + room + _NEAR:
                    height = (row + 1) * rows
            best = min(best, (height, left))
        return best[1], best[0]

    def raised(self, x: float, across: float, top: float) -> Skyline:
        """With a box of that width and top on it."""
        right = min(x + across, self.stretches[-1][1])
        before = [(a, min(b, x), h) for a, b, h in self.stretches if a < x - _NEAR]
        after = [(max(a, right), b, h) for a, b, h in self.stretches if b > right + _NEAR]
        return Skyline((*before, (x, right, top), *after))


@dataclass(frozen=True, slots=True)
class _Chunk:
    """Lines of a figure that lie near each other, and the box round them (left, bottom, right, top)."""

    box: tuple[float, float, float, float]
    lines: tuple[Polyline, ...]


def _chunks(figure: Figure) -> list[_Chunk]:
    """All lines of the figure, a few points together in the order drawn, so that most are judged by their box alone."""
    found: list[_Chunk] = []
    lines: list[Polyline] = []
    held = 0
    for stroke in figure.strokes:
        points = (*stroke.points, stroke.points[0]) if stroke.closed else stroke.points
        for start in range(0, max(1, len(points) - 1), _POINTS_A_CHUNK):
            line = points[start : start + _POINTS_A_CHUNK + 1]
            if lines and held + len(line) > _POINTS_A_CHUNK:
                found.append(_chunk(lines))
                lines, held = [], 0
            lines.append(line)
            held += len(line)
    return [*found, _chunk(lines)] if lines else found


def _chunk(lines: Sequence[Polyline]) -> _Chunk:
    xs, ys = [x for line in lines for x, _ in line], [y for line in lines for _, y in line]
    return _Chunk((min(xs), min(ys), max(xs), max(ys)), tuple(lines))


def _drawn_on(
    chunks: Sequence[_Chunk], dx: float, dy: float, tile_width: float, tile_height: float
) -> set[tuple[int, int]]:
    """Every (column, row) that the chunks, moved by (dx, dy), pass through; a border belongs to the tile below."""
    used: set[tuple[int, int]] = set()
    dx, dy = dx - _NEAR, dy - _NEAR
    for chunk in chunks:
        left, bottom, right, top = chunk.box
        column, row = int((left + dx) / tile_width), int((bottom + dy) / tile_height)
        if column == int((right + dx) / tile_width) and row == int((top + dy) / tile_height):
            used.add((column, row))
            continue
        for line in chunk.lines:
            x0, y0 = line[0][0] + dx, line[0][1] + dy
            column, row = int(x0 / tile_width), int(y0 / tile_height)
            used.add((column, row))
            for x, y in line:
                x1, y1 = x + dx, y + dy
                next_column, next_row = int(x1 / tile_width), int(y1 / tile_height)
                if next_column != column or next_row != row:
                    _count_run(used, x0, y0, x1, y1, tile_width, tile_height)
                x0, y0, column, row = x1, y1, next_column, next_row
    return used


def _count_run(
    used: set[tuple[int, int]], x0: float, y0: float, x1: float, y1: float, tile_width: float, tile_height: float
) -> None:
    """Adds every (column, row) that one straight run passes through."""
    if x0 > x1:
        x0, y0, x1, y1 = x1, y1, x0, y0
    first, last = int(x0 / tile_width), int(x1 / tile_width)
    for column in range(first, last + 1):
        ya, yb = y0, y1
        if first != last:
            slope = (y1 - y0) / (x1 - x0)
            ya = y0 + slope * (max(x0, column * tile_width) - x0)
            yb = y0 + slope * (min(x1, (column + 1) * tile_width) - x0)
        bottom, top = sorted((int(ya / tile_height), int(yb / tile_height)))
        used.update((column, row) for row in range(bottom, top + 1))
