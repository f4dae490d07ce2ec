"""From where a piece is measured: the upright line, the level line, and the levels below it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from ...geometry.curve import Line
from ...geometry.polygon import Box
from ...model.pattern import MarkedPiece
from ...model.piece import Edge, EdgeKind, InternalLine, LevelLine, Piece, piece_words
from ...values import dataclass
from .marks import Frame
from .places import SAME
from .sheet import Sheet

_SHORT: Final = 60.0
"""A level line inside a piece that is no longer than this is no level to measure from, mm."""


@dataclass(frozen=True, slots=True)
class Level:
    """A line square across a piece; `point`: the place whose depth the draft has worked out for it, if it has."""

    y: float
    label: str
    point: str = ""


def frame_of(marked: MarkedPiece, sheet: Sheet) -> Frame:
    """The two lines of a piece. Upright: its fold, a long straight seam (the centre line of a half), its middle where
    the grain line lies there, else its left end. Level: the draft's top line or a line of the piece on y = 0,
    else the upper end of the upright edge, or of the piece."""
    piece, box = marked.cut.piece, Box.round(marked.cut.stitch_line)
    centre, middle = _centre(piece, box), _middle(piece, box)
    if centre is not None:
        x = centre.start.x
        upright = "the fold" if centre.kind is EdgeKind.FOLD else f"the {piece_words(centre.name)} line"
        both = box.right - x < x - box.left
    elif middle is not None:
        x, upright, both = middle, "the middle line", True
    else:
        x, upright, both = box.left, "the upright line", False
    y, level = _top(piece, box, centre, sheet)
    return Frame(x, y, upright, level, centre is not None and centre.kind is EdgeKind.FOLD, both)


def levels_of(marked: MarkedPiece, frame: Frame, sheet: Sheet) -> tuple[Level, ...]:
    """The level line to measure from, then those of the draft, of the body, and the long ones inside the piece,
    downwards; where two lie together the first is told."""
    piece = marked.cut.piece
    kept = [Level(frame.y, frame.level.removeprefix("the "))]
    for level in sorted(
        (*_drafted(piece, sheet), *_of_body(piece, sheet), *_inside(piece)), key=lambda level: -level.y
    ):
        if not level_at(tuple(kept), level.y):
            kept.append(level)
    return tuple(kept)


def level_at(levels: tuple[Level, ...], y: float) -> str:
    """What the level there is called, or ""."""
    return next((level.label for level in levels if abs(level.y - y) < SAME), "")


def is_upright(edge: Edge) -> bool:
    """Whether the edge is one straight upright line."""
    return abs(edge.start.x - edge.end.x) < 1e-6 and all(isinstance(curve, Line) for curve in edge.curves)


def is_level(line: InternalLine | LevelLine) -> bool:
    return max(p.y for p in line.points) - min(p.y for p in line.points) < SAME


def _centre(piece: Piece, box: Box) -> Edge | None:
    """The fold; or the longest upright seam, if it is the only one so long, and lies on x = 0, where halves have their
    centre line, or is at least half as long as the piece is high."""
    upright = [edge for edge in piece.edges if is_upright(edge)]
    folds = [edge for edge in upright if edge.kind is EdgeKind.FOLD]
    if folds:
        return folds[0]
    seams = sorted((edge for edge in upright if edge.kind is EdgeKind.SEAM), key=Edge.length)
    for edge in seams[-1:]:
        alone = len(seams) == 1 or seams[-2].length() < edge.length() - 1.0
        if alone and (abs(edge.start.x) < SAME or edge.length() >= box.height / 2):
            return edge
    return None


def _middle(piece: Piece, box: Box) -> float | None:
    """Where the grain line lies, if that is upright and near the middle."""
    a, b = piece.grain
    x = (a.x + b.x) / 2
    return x if abs(a.x - b.x) < SAME and abs(box.left + box.right - 2 * x) < 0.35 * box.width else None


def _top(piece: Piece, box: Box, centre: Edge | None, sheet: Sheet) -> tuple[float, str]:
    """The y of the level line, and what it is called."""
    if abs(box.top) < 1.0:
        return 0.0, "the top line"
    for line in piece.internal_lines:
        if is_level(line) and abs(line.points[0].y) < 0.005:
            return 0.0, f"the {piece_words(line.name)}"
    y = max(centre.start.y, centre.end.y) if centre is not None else box.top
    known = level_at((*_drafted(piece, sheet), *_of_body(piece, sheet)), y)
    return y, f"the {known or 'level line'}"


def _drafted(piece: Piece, sheet: Sheet) -> Iterator[Level]:
    for name, step in sheet.along("y"):
        if step.level and name in piece.points:
            yield Level(piece.points[name].y, step.label, name)


def _of_body(piece: Piece, sheet: Sheet) -> Iterator[Level]:
    """Levels of the body that lie level on the piece; with the named point whose depth was worked out for them."""
    for line in piece.levels:
        y = line.points[0].y
        if line.name and is_level(line) and _wide(line):
            found = (
                name for name, _ in sheet.along("y") if name in piece.points and abs(piece.points[name].y - y) < SAME
            )
            yield Level(y, f"{piece_words(line.name)} line", next(found, ""))


def _inside(piece: Piece) -> Iterator[Level]:
    for line in piece.internal_lines:
        if len(line.points) == 2 and is_level(line) and _wide(line):
            yield Level(line.points[0].y, piece_words(line.name))


def _wide(line: InternalLine | LevelLine) -> bool:
    return abs(line.points[0].x - line.points[-1].x) > _SHORT
