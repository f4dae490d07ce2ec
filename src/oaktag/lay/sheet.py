"""A lay as a sheet for the exporters: every piece where it lies, with what cutting needs, and the cloth's edges."""

from __future__ import annotations

from typing import Final

from ..geometry.affine import Move
from ..geometry.polygon import Box
from ..model.nest import Nest
from ..model.pattern import MarkedPiece
from ..model.piece import piece_words
from ..sheet.drawing import figure_of, label_box, reading_angle, way_of, words_at
from ..sheet.lettering import text_width
from ..sheet.scale_block import scale_block
from ..sheet.strokes import Figure, Role, Sheet, Stroke
from ..values import dataclass
from .placed import Lay, Placement, Stretch

_KEPT: Final = (Role.CUT, Role.NOTCH, Role.DRILL, Role.DART, Role.INTERNAL, Role.GRAIN)
_WORDS: Final = 5.0
_BESIDE: Final = 2.0
_BLOCK: Final = (290.0, 300.0)
_ABOVE: Final = 15.0
_LEAST_WORDS: Final = 3.0
CLOTH: Final = "cloth"
"""The figure of the cloth's edges, fold and flaws."""


@dataclass(frozen=True, slots=True)
class Splice:
    """Where a ply may end and the next begin, `overlap` mm before, so that no piece is cut through."""

    at: float
    overlap: float


def lay_sheet(lay: Lay, nest: Nest, title: str) -> Sheet:
    """The stretches one above the other, the first at the bottom, and the scale block beyond the end; full size, mm."""
    figures: list[Figure] = []
    bottom, width = 0.0, max(stretch.cloth.spread_width for stretch in lay.stretches)
    for stretch in lay.stretches:
        up = Move.by(0.0, bottom)
        figures.append(_cloth(stretch).moved(up))
        figures += [_placed(placed, nest).moved(up) for placed in stretch.placements]
        bottom += stretch.length
    block = scale_block(min(_BLOCK[0], width), _BLOCK[1])
    box = block.bounds()
    figures.append(block.moved(Move.by(-box.left, bottom + _ABOVE - box.bottom)))
    return Sheet(title, max(width, box.width), bottom + _ABOVE + box.height, tuple(figures))


def _placed(placed: Placement, nest: Nest) -> Figure:
    piece = nest.of(placed.piece.size or nest.base).piece(placed.piece.name)
    move = placed.whole_move()
    strokes: list[Stroke] = []
    kept = (*_KEPT, Role.FOLD) if placed.piece.on_fold else _KEPT
    # the half of a whole piece is mirrored in its home place, about the fold
    halves = [move]
    if placed.piece.unfolded:
        halves.append(placed.piece.home.then(Move(xx=-1.0)).then(placed.variant.move()).then(Move.by(*placed.at)))
    for number, half in enumerate(halves):
        for stroke in figure_of(piece).strokes:
            if stroke.role in kept and stroke.role is not Role.CUT and not (number and stroke.role is Role.GRAIN):
                strokes.append(stroke.moved(half))
    outline = Stroke(Role.CUT, placed.outline(), closed=True)
    return Figure(placed.piece.name, (outline, *strokes, *_name(placed, piece, move)), placed.piece.size)


def _name(placed: Placement, piece: MarkedPiece, move: Move) -> list[Stroke]:
    """Which piece, of which size, of which garment: in the room of the pattern's own label, upright to read."""
    own = placed.piece
    lines = [piece_words(own.name).upper()]
    lines += [f"size {own.size}"] if own.size else []
    lines += [f"garment {own.garment}"] if own.garment > 1 or own.size else []
    room = label_box(piece.label.lines, piece.label.height)
    wide, high = label_box(tuple(lines), 10.0)
    size = max(_LEAST_WORDS, min(12.0, 10.0 * room[0] / wide, 10.0 * room[1] / high))
    way = way_of(piece.label.angle_deg)
    origin, along = move.point((0.0, 0.0)), move.point(way)
    angle = reading_angle((along.x - origin.x, along.y - origin.y))
    at = move.point(piece.label.at)
    down = way_of(angle - 90.0)
    strokes: list[Stroke] = []
    heights = [size] + [0.7 * size] * (len(lines) - 1)
    total = sum(heights) + 0.6 * 0.7 * size * (len(lines) - 1)
    fall = -total / 2
    for line, height in zip(lines, heights, strict=True):
        middle = (at.x + down.x * (fall + height / 2), at.y + down.y * (fall + height / 2))
        strokes += words_at(line, height, middle, angle)
        fall += height + 0.6 * 0.7 * size
    return strokes


def _cloth(stretch: Stretch) -> Figure:
    """Its edges, with what each is; flaws crossed out."""
    cloth, width, length = stretch.cloth, stretch.cloth.spread_width, stretch.length
    folds = {"open": (False, False), "fold": (True, False), "tubular": (True, True)}[cloth.spread]
    strokes = [Stroke(Role.JOIN, ((0.0, y), (width, y))) for y in (0.0, length)]
    for x, fold in ((0.0, folds[0]), (width, folds[1])):
        strokes.append(Stroke(Role.FOLD if fold else Role.JOIN, ((x, 0.0), (x, length))))
        words = "fold" if fold else "selvedge"
        half = text_width(words, _WORDS) / 2 + _BESIDE
        for y in (_BESIDE + _WORDS / 2, length - _BESIDE - _WORDS / 2):
            if cloth.ends >= _WORDS + 2 * _BESIDE:
                strokes += words_at(words, _WORDS, (x + half if x == 0.0 else x - half, y), 0.0)
    for flaw in cloth.flaws:
        a, b, c, d = (
            (flaw.left, flaw.bottom),
            (flaw.right, flaw.bottom),
            (flaw.right, flaw.top),
            (flaw.left, flaw.top),
        )
        strokes += [Stroke(Role.JOIN, (a, b, c, d), closed=True), Stroke(Role.JOIN, (a, c)), Stroke(Role.JOIN, (b, d))]
    return Figure(CLOTH, tuple(strokes))


def splices(stretch: Stretch, *, every: float = 1000.0) -> tuple[Splice, ...]:
    """In each metre of the lay the place where two plies overlap least if one ends there (our own rule)."""
    boxes = [Box.round(placed.outline()) for placed in stretch.placements]
    ends = sorted({box.top for box in boxes if box.top < stretch.length - stretch.cloth.ends - 1.0})
    found: dict[int, Splice] = {}
    for y in ends:
        crossing = [box.bottom for box in boxes if box.bottom < y - 1e-6 and box.top > y + 1e-6]
        splice = Splice(y, y - min(crossing, default=y))
        number = int(y // every)
        if number not in found or splice.overlap < found[number].overlap:
            found[number] = splice
    return tuple(found[number] for number in sorted(found))
