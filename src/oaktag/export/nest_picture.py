"""Small pictures of a nest for a page: the sizes of a piece stacked, each line told by its dashes and its size."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import combinations, cycle, pairwise
from math import dist
from typing import Final

from ..geometry.point import XY, along
from ..geometry.polygon import Box, simplified
from ..model.nest import Nest, zero_point
from ..model.piece import piece_words
from ..sheet.dashes import PATTERNS
from ..sheet.strokes import Role
from .report_page import STEADY, arrow, escaped, stroke

_LARGEST: Final = (380.0, 620.0)
"""Greatest width and height of a picture, CSS px."""
_WITHIN: Final = 0.15
"""What a drawn line may leave out, mm; its numbers are rounded to 0.1 mm besides."""
_DASH_PX: Final = 0.55
"""Of the line patterns, CSS px to their mm: the patterns of the full-size drawings, smaller."""
_LINE_PX, _LABEL_PX, _PAD_PX = 14.0, 12.0, 10.0


def size_strokes(nest: Nest) -> dict[str, str]:
    """SVG attributes of each size's line: the base solid and wide, the others in their pattern of the sheets.

    Of very many sizes, more than a sheet can tell apart, patterns come again: each line has its name at the side.
    """
    found = {}
    patterns = cycle(PATTERNS)
    for size in nest.sizes:
        if size == nest.base:
            line = 'stroke-width="2.2"'
        else:
            dashes = " ".join(f"{part * _DASH_PX:.2g}" for part in next(patterns))
            line = f'stroke-width="1.2" stroke-dasharray="{dashes}"'
        found[size] = f'fill="none" stroke="#16181d" {line} stroke-linejoin="round"'
    return found


def size_key(nest: Nest) -> str:
    """What each line stands for, as a list; and the cross of the zero point."""
    lines = [
        (f'<path d="M2 6H58" {line}/>', f"size {size}{', the base' if size == nest.base else ''}")
        for size, line in size_strokes(nest).items()
    ]
    lines.append((f'<path d="M2 6H58M9 2 2 6 9 10M51 2 58 6 51 10" {stroke(Role.GRAIN)}/>', "grain line of the base"))
    lines.append(
        (
            f'<path d="M24 6H36M30 0V12" {stroke(Role.CUT)}/>',
            "zero point, where it lies in the piece: here all sizes lie on each other",
        )
    )
    items = "".join(
        f'<li><svg width="60" height="12" viewBox="0 0 60 12" aria-hidden="true">{drawn}</svg>{escaped(words)}</li>\n'
        for drawn, words in lines
    )
    return f'<ul class="key">\n{items}</ul>\n'


def nest_picture(nest: Nest, name: str) -> str:
    """The cut lines of a piece in every size, with notches and darts, laid on the base; viewBox in mm, y turned over.

    Each size is named at the right, a thin line from its name to its cut line. Lines keep their width in px.
    """
    rings = {size: _moved(nest.of(size).piece(name).cut.cut_line, nest.shift(size, name)) for size in nest.sizes}
    box = Box.round(p for ring in rings.values() for p in ring)
    column = 14.0 + max(7.5 * len(size) for size in nest.sizes)
    wide, high = _LARGEST[0] - column - 30 - 2 * _PAD_PX, _LARGEST[1] - 2 * _PAD_PX
    mm = max(box.width / wide, box.height / high, 0.05)  # a CSS px of this picture, in mm
    tall = max(box.height, (len(rings) * _LINE_PX) * mm)
    pad = _PAD_PX * mm
    left, top = box.left - pad, (box.top + box.bottom + tall) / 2 + pad
    width, height = box.width + 2 * pad + (column + 30) * mm, tall + 2 * pad

    def d(points: Iterable[XY], closed: bool = False) -> str:
        pairs = " ".join(f"{round(x - left, 1):g} {round(top - y, 1):g}" for x, y in points)
        return f"M{pairs}{'Z' if closed else ''}"

    drawn = []
    for size, line in size_strokes(nest).items():
        piece, shift = nest.of(size).piece(name), nest.shift(size, name)
        inside = "".join(d(_moved(dart.points, shift), True) for dart in piece.cut.piece.darts)
        outline = d(simplified(rings[size], _WITHIN), True)
        ticks = "".join(
            d(_moved((spot, along(spot, way, -6 * mm)), shift)) for notch in piece.notches for spot, way in notch.each()
        )
        drawn.append(f'<path d="{outline}{inside}" {line} {STEADY}/>')
        if ticks:
            drawn.append(f'<path d="{ticks}" fill="none" stroke="#16181d" {STEADY}/>')
    base = nest.base_pattern.piece(name)
    grain = "".join(d(line) for line in arrow(base.grain_line, 6 * mm))
    x, y = zero_point(nest.base_pattern, name, nest.stack)
    drawn.append(f'<path d="{grain}" {stroke(Role.GRAIN)} {STEADY}/>')
    if box.left <= x <= box.right and box.bottom <= y <= box.top:
        cross = d(((x - 6 * mm, y), (x + 6 * mm, y))) + d(((x, y - 6 * mm), (x, y + 6 * mm)))
        drawn.append(f'<path d="{cross}" {stroke(Role.CUT)} {STEADY}/>')
    leaders, labels = [], []
    spots = _spots(rings, box)
    foot = (box.right + 30 * mm, (top - pad) - tall)
    for size, at in _labels(spots, foot, tall, _LINE_PX * mm).items():
        leaders.append(d((spots[size], (at[0] - 3 * mm, at[1]))))
        weight = ' font-weight="700"' if size == nest.base else ""
        labels.append(
            f'<text x="{at[0] - left:.1f}" y="{top - at[1]:.1f}"{weight} dominant-baseline="central">'
            f"{escaped(size)}</text>"
        )
    first, last = escaped(nest.sizes[0]), escaped(nest.sizes[-1])
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" role="img" width="{width / mm:.0f}" height="{height / mm:.0f}" '
        f'viewBox="0 0 {width:.1f} {height:.1f}"><title>{base.number} {escaped(piece_words(name))}, sizes {first} to '
        f"{last} stacked. Not to scale.</title>{''.join(drawn)}"
        f'<path d="{"".join(leaders)}" fill="none" stroke="#6a6f7a" stroke-width=".6" {STEADY}/>'
        f'<g font-size="{_LABEL_PX * mm:.1f}" fill="#16181d">{"".join(labels)}</g></svg>\n'
    )


def _moved(points: Sequence[XY], by: XY) -> list[XY]:
    return [(x + by[0], y + by[1]) for x, y in points]


def _spots(rings: Mapping[str, Sequence[XY]], box: Box) -> dict[str, XY]:
    """The point of each cut line that its name points to: on the right, where the sizes lie furthest apart."""
    each = list(rings.values())
    count = min(len(ring) for ring in each)
    right = box.left + 0.6 * box.width

    def apart(i: int) -> tuple[float, float]:
        gap = min((dist(a[i], b[i]) for a, b in pairwise(each)), default=0.0)
        x = min(ring[i][0] for ring in each)
        return round(gap, 1) if x >= right else -1.0, x

    at = max(range(count), key=apart)
    return {size: ring[at] for size, ring in rings.items()}


def _labels(spots: Mapping[str, XY], foot: XY, tall: float, line: float) -> dict[str, XY]:
    """Where the names stand, one above another to the right: in the order and height that cross the fewest leaders."""
    sizes = list(spots)
    span = (len(sizes) - 1) * line
    middle = sum(y for _, y in spots.values()) / len(spots)
    best: tuple[int, float] | None = None
    found: dict[str, XY] = {}
    for order in (sizes, sizes[::-1]):
        for start in (middle - span, middle - span / 2, middle, middle + 2 * line, middle - span - 2 * line):
            low = min(max(start, foot[1] + line / 2), foot[1] + max(tall - span - line / 2, line / 2))
            places = {size: (foot[0], low + i * line) for i, size in enumerate(order)}
            pairs = list(combinations(sizes, 2))
            crossed = sum(_cross(spots[a], places[a], spots[b], places[b]) for a, b in pairs)
            score = crossed, sum(dist(spots[size], places[size]) for size in sizes)
            if best is None or score < best:
                best, found = score, places
    return found


def _cross(a: XY, b: XY, c: XY, d: XY) -> bool:
    def side(p: XY, q: XY, r: XY) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    return side(a, b, c) * side(a, b, d) < 0 and side(c, d, a) * side(c, d, b) < 0
