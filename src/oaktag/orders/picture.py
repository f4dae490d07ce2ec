"""The pieces of an order as one small picture: to be known by, not to be measured."""

from __future__ import annotations

from typing import Final

from ..geometry.polygon import Box, simplified
from ..model.pattern import Pattern

_WIDE: Final = 1600.0
"""Pieces stand in rows of this width, mm."""
_GAP: Final = 40.0
_WITHIN: Final = 6.0
"""What a line may leave out, mm: less than half a pixel of the picture."""
_PX: Final = 0.1


def picture(pattern: Pattern) -> str:
    """The cut lines as SVG, the tallest pieces first: 160 px wide, no styles but its own, no scripts."""
    lines = sorted(
        (piece.cut.cut_line for piece in pattern.pieces), key=lambda line: Box.round(line).height, reverse=True
    )
    x = y = row = wide = 0.0
    drawn = []
    for line in lines:
        box = Box.round(line)
        if x and x + box.width > _WIDE:
            x, y, row = 0.0, y + row + _GAP, 0.0
        points = simplified(line, _WITHIN)
        places = (f"{(x + px - box.left) * _PX:.0f},{(y + box.top - py) * _PX:.0f}" for px, py in points)
        drawn.append(f"M{' '.join(places)}z")
        x, row, wide = x + box.width + _GAP, max(row, box.height), max(wide, x + box.width)
    width, height = wide * _PX, (y + row) * _PX
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="-1 -1 {width + 2:.0f} {height + 2:.0f}" '
        f'width="{width + 2:.0f}" height="{height + 2:.0f}"><path d="{"".join(drawn)}" fill="none" '
        'stroke="#16181d"/></svg>'
    )
