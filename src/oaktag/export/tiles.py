"""A sheet cut into pages: which tiles there are, what lies on each, and the clipping. No page description here.

┌ live area ───────────┐   paper less its margins; geometry is clipped to it
│ ┼ net tile ──────┼   │   net tiles lie edge to edge: a net edge is the middle of the band that two pages share;
│ │                │   │   crosses stand on the corners of the net tile, so those of two neighbours are the same
│ ┼────────────────┼   │   points of the sheet
└──────────────────────┘
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import accumulate, pairwise
from math import ceil, hypot

from ..errors import InputError
from ..geometry.clip import CHUNK, Chunk, chunks_of, clip_line, runs_in
from ..geometry.point import XY, distance
from ..geometry.polygon import Box
from ..sheet.paper import Paper
from ..sheet.strokes import Figure, Sheet, Stroke
from ..values import dataclass

OVERLAP = 10.0
"""Breadth of the band that two neighbouring pages share, mm (common practice, no source)."""
_SLACK = 0.01  # mm: a line that is this near to a net edge belongs to the tile right of it, or above
_SMALLEST = 70.0  # mm: a tile must at least hold its 50 mm bar and its name


@dataclass(frozen=True, slots=True)
class Tile:
    """One page: its place in the grid (row 0 is the top), its areas in sheet mm, its strokes clipped to `live`."""

    row: int
    column: int
    net: Box
    live: Box
    figures: tuple[Figure, ...]
    blank: bool

    def reaches(self, edge: str) -> bool:
        """Whether anything is drawn in the band shared at the left, right, bottom or top edge, or on a bare edge."""
        left, bottom = 2 * self.net.left - self.live.left + _SLACK, 2 * self.net.bottom - self.live.bottom + _SLACK
        right, top = 2 * self.net.right - self.live.right - _SLACK, 2 * self.net.top - self.live.top - _SLACK
        boxes = [figure.bounds() for figure in self.figures]
        if edge == "left":
            return any(box.left <= left for box in boxes)
        if edge == "right":
            return any(box.right >= right for box in boxes)
        if edge == "bottom":
            return any(box.bottom <= bottom for box in boxes)
        return any(box.top >= top for box in boxes)

    @property
    def name(self) -> str:
        """Its place in the row, then the row's letter: 3B."""
        return tile_name(self.row, self.column)


@dataclass(frozen=True, slots=True)
class Tiling:
    """All tiles of a sheet, row by row from the top left; blank ones are there too, and are not printed."""

    rows: int
    columns: int
    tiles: tuple[Tile, ...]

    def strips(self, row: int) -> tuple[tuple[Tile, ...], ...]:
        """The printed tiles of a row that hang together from left to right, strip by strip."""
        strips: list[list[Tile]] = []
        for tile in self.tiles[row * self.columns : (row + 1) * self.columns]:
            if not tile.blank:
                if strips and strips[-1][-1].column == tile.column - 1:
                    strips[-1].append(tile)
                else:
                    strips.append([tile])
        return tuple(tuple(strip) for strip in strips)

    @property
    def joined(self) -> bool:
        """Whether any line runs from one tile to the next, so that tiles have to be put together."""
        return any(
            tile.reaches(edge) and (beside := self.at(tile.row + row, tile.column + column)) and not beside.blank
            for tile in self.tiles
            for edge, row, column in (("right", 0, 1), ("bottom", 1, 0))
        )

    def at(self, row: int, column: int) -> Tile | None:
        """The tile at a place of the grid; None outside it."""
        if 0 <= row < self.rows and 0 <= column < self.columns:
            return self.tiles[row * self.columns + column]
        return None


def tile_name(row: int, column: int) -> str:
    """Both counted from 0; after row Z comes AA. The number comes first: A4 and B5 are names of paper.

    >>> tile_name(1, 2), tile_name(25, 0), tile_name(26, 0)
    ('3B', '1Z', '1AA')
    """
    return f"{column + 1}{row_name(row)}"


def row_name(row: int) -> str:
    """The letters of a row, counted from 0 at the top."""
    letters, row = "", row + 1
    while row:
        row, rest = divmod(row - 1, 26)
        letters = chr(65 + rest) + letters
    return letters


def tile_pitch(paper: Paper, overlap: float = 10.0, margin: float = 10.0) -> tuple[float, float]:
    """From one tile to the next, mm across and up: the paper less two margins less the overlap.

    Raises InputError where that leaves less than 70 mm, or for a negative margin or overlap.

    >>> tile_pitch(Paper("a4", "A4", 210.0, 297.0))
    (180.0, 267.0)
    """
    if not (margin >= 0 and overlap >= 0):
        raise InputError(f"margin {margin:g} and overlap {overlap:g} mm", expected="0 or more", instead="Write 10")
    width, height = paper.width - 2 * margin - overlap, paper.height - 2 * margin - overlap
    if not min(width, height) >= _SMALLEST:
        raise InputError(
            f"paper of {paper.width:g} by {paper.height:g} mm with margins of {margin:g} mm and an overlap of "
            f"{overlap:g} mm leaves tiles of {width:g} by {height:g} mm",
            expected=f"{_SMALLEST:g} mm at least",
            instead="Choose larger paper or smaller margins",
        )
    return width, height


def cut_into_tiles(sheet: Sheet, paper: Paper, *, overlap: float = 10.0, margin: float = 10.0) -> Tiling:
    """The tiles of a sheet; the net tiles are counted from its lower left corner (0, 0), rows lettered from the top.

    A tile is blank if nothing lies in its net area; a line on the edge between two belongs to one of them.
    """
    across, up = tile_pitch(paper, overlap, margin)
    half = overlap / 2
    slack = min(_SLACK, half)
    columns = max(1, ceil((sheet.width - _SLACK) / across))
    rows = max(1, ceil((sheet.height - _SLACK) / up))
    clipped: dict[tuple[int, int], list[Figure]] = {}
    needed: set[tuple[int, int]] = set()
    nets = {
        (i, j): Box(j * across, i * up, (j + 1) * across, (i + 1) * up) for i in range(rows) for j in range(columns)
    }
    lives = {at: Box(n.left - half, n.bottom - half, n.right + half, n.top + half) for at, n in nets.items()}
    owned = {
        (i, j): Box(
            n.left - slack,
            n.bottom - slack,
            n.right + (half if j == columns - 1 else -slack),
            n.top + (half if i == rows - 1 else -slack),
        )
        for (i, j), n in nets.items()
    }
    for figure in sheet.figures:
        mine: dict[tuple[int, int], list[Stroke]] = {}
        for stroke in figure.strokes:
            xs, ys = zip(*stroke.points, strict=True)
            left, bottom, right, top = min(xs), min(ys), max(xs), max(ys)
            low, high = max(0, int((bottom - half) // up)), min(rows - 1, int((top + half) // up))
            first, last = max(0, int((left - half) // across)), min(columns - 1, int((right + half) // across))
            if low == high and first == last and (low, first) in needed:
                mine.setdefault((low, first), []).append(stroke)  # most strokes are short and lie on one page
                continue
            box = Box(left, bottom, right, top)
            walked = walk(stroke) if stroke.dashes else ()
            line = (*stroke.points, stroke.points[0]) if stroke.closed else stroke.points
            chunks = chunks_of(line) if len(line) > 2 * CHUNK else ()
            for i in range(low, high + 1):
                for j in range(first, last + 1):
                    runs = clip_stroke(stroke, box, lives[i, j], walked, chunks)
                    if runs:
                        mine.setdefault((i, j), []).extend(runs)
                        if (i, j) not in needed and any(_enters(run.points, owned[i, j]) for run in runs):
                            needed.add((i, j))
        for at, strokes in mine.items():
            clipped.setdefault(at, []).append(Figure(figure.name, tuple(strokes), figure.size))
    return Tiling(
        rows,
        columns,
        tuple(
            Tile(rows - 1 - i, j, nets[i, j], lives[i, j], tuple(clipped.get((i, j), ())), (i, j) not in needed)
            for i in reversed(range(rows))
            for j in range(columns)
        ),
    )


def clip_figure(figure: Figure, box: Box) -> Figure | None:
    """What of a figure lies in the box; None where nothing does."""
    runs = [run for stroke in figure.strokes for run in clip_stroke(stroke, Box.round(stroke.points), box)]
    return Figure(figure.name, tuple(runs), figure.size) if runs else None


def clip_stroke(
    stroke: Stroke, bounds: Box, box: Box, walked: Sequence[float] = (), chunks: Sequence[Chunk] = ()
) -> tuple[Stroke, ...]:
    """What of the stroke lies in the box; one that lies wholly inside is returned as it is, still closed.

    `walked` is how far along a dashed stroke each of its points is (`walk`), and `chunks` its parts with their boxes
    (`chunks_of` the line, which of a closed stroke ends where it began), where the caller has them.
    """
    if bounds.left >= box.left and bounds.right <= box.right and bounds.bottom >= box.bottom and bounds.top <= box.top:
        return (stroke,)
    if bounds.right < box.left or bounds.left > box.right or bounds.top < box.bottom or bounds.bottom > box.top:
        return ()
    points = (*stroke.points, stroke.points[0]) if stroke.closed else stroke.points
    starts: list[int] = []
    runs = runs_in(points, box, starts, chunks)
    if stroke.closed and len(runs) > 1 and runs[0][0] == points[0] == runs[-1][-1]:
        runs[0] = runs.pop() + runs[0][1:]  # the outline's first point is no end of a run
        starts[0] = starts.pop()
    if not stroke.dashes:
        return tuple([Stroke(stroke.role, tuple(run), False, stroke.size, stroke.dashes) for run in runs])
    walked, period = walked or walk(stroke), sum(stroke.dashes)
    phases = [
        (stroke.phase + walked[i] + distance(points[i], run[0])) % period for i, run in zip(starts, runs, strict=True)
    ]
    return tuple(
        [
            Stroke(stroke.role, tuple(run), False, stroke.size, stroke.dashes, phase)
            for run, phase in zip(runs, phases, strict=True)
        ]
    )


def walk(stroke: Stroke) -> list[float]:
    """How far along the stroke each point is, mm: dashes go on from page to page."""
    points = (*stroke.points, stroke.points[0]) if stroke.closed else stroke.points
    return [0.0, *accumulate([hypot(bx - ax, by - ay) for (ax, ay), (bx, by) in pairwise(points)])]


def _enters(points: tuple[XY, ...], box: Box) -> bool:
    left, bottom, right, top = box.left, box.bottom, box.right, box.top
    return any(left <= x <= right and bottom <= y <= top for x, y in points) or bool(clip_line(points, box))
