"""Pieces of pattern data as drawn paths: what `exchange/` read, laid out under the names of its lines."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise
from typing import Final

from ..exchange.model import LineData, PatternData, PieceData
from ..geometry.curve import Curve, Line
from ..geometry.point import XY, Point
from .model import Drawing, DrawnPath, DrawnPoint, DrawnText

BOUNDARY: Final = "boundary"
STITCH: Final = "stitch line"
GRAIN: Final = "grain"
FOLD: Final = "fold"
INTERNAL: Final = "internal"
CUTOUT: Final = "cutout"
STRIPE: Final = "stripe line"
PLAID: Final = "plaid line"
NOTCH: Final = "notch"
DRILL: Final = "drill"
TEXT: Final = "text"


def drawing_of(data: PatternData, name: str, *, unit: str = "") -> Drawing:
    """All pieces, each where its INSERT puts it.

    A path's group is its piece's name (with its size, where the file has several), its id the block's name and what it
    is: `FRONT boundary`, `FRONT notch 2`. Notches (where they meet the
    boundary) and drill holes are points.
    """
    sizes = len(data.sizes) > 1
    paths: list[DrawnPath] = []
    texts: list[DrawnText] = []
    points: list[DrawnPoint] = []
    for piece in data.pieces:
        title = piece.name or piece.block
        groups = (f"{title} {piece.size}" if sizes and piece.size else title,)
        for layer, lines in _lines(piece):
            for number, line in enumerate(lines, 1):
                curves = _run(line.points, line.closed)
                key = f"{piece.block} {layer}" + (f" {number}" if len(lines) > 1 else "")
                if curves:
                    paths.append(DrawnPath(curves, line.closed, layer, key, groups, len(curves) > 1))
        for layer, places in (
            (NOTCH, [notch.on for notch in piece.notches]), (DRILL, [hole.point for hole in piece.drill_holes]),
        ):  # fmt: skip
            for number, place in enumerate(places, 1):
                points.append(DrawnPoint(_point(place), layer, f"{piece.block} {layer} {number}", groups))
        for text in (*piece.annotations, *piece.other_texts):
            texts.append(DrawnText(text.words, _point(text.point), text.height, TEXT, "", groups))
    told = unit or f"{data.unit} (pattern data)"
    return Drawing(name, told, tuple(paths), tuple(texts), tuple(points), data.notes, data)


def _lines(piece: PieceData) -> Iterable[tuple[str, Sequence[LineData]]]:
    yield BOUNDARY, (LineData(piece.boundary, True),)
    yield STITCH, piece.stitch_lines
    yield GRAIN, [LineData(line) for line in piece.grain_lines]
    yield FOLD, [LineData(piece.mirror_line)] if piece.mirror_line else []
    yield INTERNAL, (*piece.internal_lines, *piece.cutouts)


def _point(p: XY) -> Point:
    return Point(p[0], p[1])


def _run(points: Sequence[XY], closed: bool) -> tuple[Curve, ...]:
    placed = [_point(p) for p in points]
    if closed:
        placed += placed[:1]
    return tuple(Line(p, q) for p, q in pairwise(placed) if p != q)
