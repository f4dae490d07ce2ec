"""A small picture of a pattern for a notebook: every piece with its name below it, not to scale, to look at alone."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from math import hypot
from typing import Final

from ..geometry.point import XY
from ..geometry.polygon import Box
from ..model.pattern import MarkedPiece, Pattern
from ..model.piece import EdgeKind, cut_words, title_of
from .svg import escaped

WIDTH: Final = 800
"""Of the picture, pixels."""
_ROOM: Final = 1800.0
"""Pieces lie side by side up to this, mm, or up to the widest piece."""
_GAP: Final = 60.0
_BRACKET: Final = 22.0
"""How far the bracket of a fold stands off it, mm."""
_LETTER: Final = 12.0
"""Height of the letters, pixels."""
_WIDE: Final = 0.62
"""Width of a letter, as a part of its height, as a reader's own font has it at most (common practice, no source)."""
_SEEN: Final = {
    "cut": 'stroke="#16181d" stroke-width="1.4"',
    "stitch": 'stroke="#16181d" stroke-width="0.8" stroke-dasharray="5 3"',
    "inside": 'stroke="#2f5d3a" stroke-width="0.8" stroke-dasharray="2 2"',
    "grain": 'stroke="#1f4e79" stroke-width="0.8"',
}


def render(pattern: Pattern) -> str:
    """The pieces in rows as one SVG; no script, no link, nothing from outside; names are escaped."""
    boxes = [Box.round(piece.cut.cut_line) for piece in pattern.pieces]
    room = max(_ROOM, *(box.width for box in boxes)) + 2 * _GAP
    mm = room / WIDTH  # a pixel
    letter = _LETTER * mm
    rows: list[str] = []
    x = y = _GAP
    tall = 0.0
    for piece, box in zip(pattern.pieces, boxes, strict=True):
        told = (title_of(piece.cut.piece), cut_words(piece.cut.piece))
        wide = max(box.width, *(_WIDE * letter * len(line) for line in told))
        if x > _GAP and x + wide > room - _GAP:
            x, y, tall = _GAP, y + tall + _GAP, 0.0
        rows += _piece(piece, (x - box.left, y + box.top))
        for number, line in enumerate(told, start=1):
            at = f'x="{x:.0f}" y="{y + box.height + 1.5 * number * letter:.0f}"'
            rows.append(f'<text {at} font-size="{letter:.1f}" fill="#16181d">{escaped(line)}</text>')
        x += wide + _GAP
        tall = max(tall, box.height + 3.5 * letter)
    height = y + tall + _GAP
    title = escaped(f"{pattern.title}, {pattern.size}" if pattern.size else pattern.title)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{WIDTH}" height="{height / mm:.0f}" '
        f'viewBox="0 0 {room:.0f} {height:.0f}" role="img" font-family="sans-serif">\n<title>{title}</title>\n'
        f'<rect width="{room:.0f}" height="{height:.0f}" fill="#ffffff"/>\n' + "\n".join(rows) + "\n</svg>\n"
    )


def _piece(piece: MarkedPiece, by: XY) -> Iterator[str]:
    cut = piece.cut
    yield _path("cut", [cut.cut_line], by, closed=True)
    sewn = [e for e in cut.piece.edges if e.kind is not EdgeKind.FOLD and cut.allowances[e.name] > 0]
    yield from _paths("stitch", [cut.lines[edge.name] for edge in sewn], by)
    inside = [line.points for line in cut.piece.internal_lines]
    darts = [(*dart.points, dart.points[0]) if len(dart.points) > 3 else dart.points for dart in cut.piece.darts]
    yield from _paths("inside", [*inside, *darts], by)
    notches = [
        (spot, (spot.x - n.depth * out.x, spot.y - n.depth * out.y)) for n in piece.notches for spot, out in n.each()
    ]
    yield from _paths("cut", notches, by)
    yield _path("grain", [piece.grain_line], by)
    if piece.fold_line:
        yield _path("grain", [_bracket(*piece.fold_line, piece.grain_line[0])], by)


def _bracket(a: XY, b: XY, inside: XY) -> tuple[XY, ...]:
    """What marks a fold: a bracket along it, on the side of the piece."""
    along = (b[0] - a[0], b[1] - a[1])
    turned = along[0] * (inside[1] - a[1]) - along[1] * (inside[0] - a[0]) > 0
    deep = _BRACKET / hypot(*along) * (1 if turned else -1)
    feet = [(a[0] + part * along[0], a[1] + part * along[1]) for part in (0.15, 0.85)]
    heads = [(x - deep * along[1], y + deep * along[0]) for x, y in feet]
    return feet[0], heads[0], heads[1], feet[1]


def _paths(seen: str, lines: Sequence[Iterable[XY]], by: XY) -> Iterator[str]:
    if lines:
        yield _path(seen, lines, by)


def _path(seen: str, lines: Sequence[Iterable[XY]], by: XY, *, closed: bool = False) -> str:
    runs = (" ".join(f"{x + by[0]:.1f},{by[1] - y:.1f}" for x, y in line) for line in lines)
    data = " ".join(f"M{run}{'Z' * closed}" for run in runs)
    return f'<path d="{data}" fill="none" vector-effect="non-scaling-stroke" {_SEEN[seen]}/>'
