"""Figures and scale blocks on a roll of paper: a block where the roll begins, on a long one also at its far end."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from ..values import replace
from .arrange import arranged
from .scale_block import NAME, scale_block
from .sheets import packed_on_sheets
from .strokes import Figure, Sheet

LONG: Final = 1500.0
"""A roll that is longer has a scale block at either end, mm: feed may change along it (common practice, no source)."""
FAR_END: Final = f"{NAME}, far end"
_EDGE: Final = 2.0
_BLOCK_WIDTH: Final = 290.0
_BLOCK_HEIGHT: Final = 300.0
_TALL_WIDTH: Final = 130.0


def roll_sheet(title: str, figures: Sequence[Figure], width: float, *, gap: float = 10.0, edge: float = _EDGE) -> Sheet:
    """The figures on a roll that can be drawn on `width` mm across, `gap` mm apart, `edge` mm off its edges.

    One scale block lies where there is room for it. If the sheet is longer than 1.5 m one lies where the roll begins
    and a second, named "scale block, far end", at the other; in its wide form or its tall one, whichever takes less of
    the roll. Raises DraftError for a figure wider than the roll, GeometryError for a roll too narrow for the block.
    """
    wide = scale_block(min(_BLOCK_WIDTH, width - 2 * edge), _BLOCK_HEIGHT)
    tall = scale_block(_TALL_WIDTH, _BLOCK_HEIGHT)
    short = [arranged(title, [*figures, wide], width, gap=gap, margin=edge)]
    short += [packed_on_sheets(title, [block, *figures], width, gap=gap, margin=edge)[0] for block in (wide, tall)]
    least = min(short, key=lambda laid: laid.height)
    if least.height <= LONG:
        return least.sheet()
    ways = []
    for block in (wide, tall):
        far = replace(block, name=FAR_END)
        ways += [
            arranged(title, figures, width, gap=gap, margin=edge, first=block, last=far),
            packed_on_sheets(title, [block, *figures], width, gap=gap, margin=edge, last=far)[0],
        ]
    return min(ways, key=lambda laid: laid.height).sheet()


def roll_sheets(
    title: str, figures: Sequence[Figure], width: float, longest: float, *, gap: float = 10.0, edge: float = _EDGE
) -> tuple[Sheet, ...]:
    """As `roll_sheet`, on as many sheets as keep each within `longest` mm, every one with scale blocks of its own.

    Figures go on in their order. A figure that is too long for any sheet is on one by itself, which then is longer.
    """
    sheets: list[Sheet] = []
    rest = list(figures)
    while rest:
        sheet = roll_sheet(title, rest, width, gap=gap, edge=edge)
        fits, beyond = len(rest), len(rest)
        if sheet.height > longest:
            fits, beyond = 1, len(rest)
            sheet = roll_sheet(title, rest[:1], width, gap=gap, edge=edge)
            while fits + 1 < beyond:  # `fits` figures are within it, or there is but one; `beyond` are not
                half = (fits + beyond) // 2
                more = roll_sheet(title, rest[:half], width, gap=gap, edge=edge)
                if more.height <= longest:
                    fits, sheet = half, more
                else:
                    beyond = half
        sheets.append(sheet)
        rest = rest[fits:]
    return tuple(sheets) or (roll_sheet(title, figures, width, gap=gap, edge=edge),)
