"""Where the name of a placed piece stands in a small picture: inside it, as large as its room allows."""

from __future__ import annotations

from dataclasses import dataclass

from ..geometry.point import XY
from ..geometry.polygon import Box, contains, crossings
from ..model.piece import piece_words
from .placed import Placement


@dataclass(frozen=True, slots=True)
class Name:
    """Words and their middle on the cloth; `across` and `along`: the room there, mm."""

    words: str
    at: XY
    across: float
    along: float


def name_of(placed: Placement) -> Name:
    """Of seven levels in the piece's height the one that is widest, nearer to the middle first."""
    ring = placed.outline()
    box = Box.round(ring)
    best: tuple[float, XY, float] | None = None
    for part in (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8):
        y = box.bottom + part * box.height
        xs = crossings(ring, y)
        runs = [(b - a, (a + b) / 2) for a, b in zip(xs[::2], xs[1::2], strict=False)]
        if runs:
            width, x = max(runs)
            score = width * (1.1 - abs(part - 0.5))
            if best is None or score > best[0]:
                best = score, (x, y), width
    at, across = (best[1], best[2]) if best is not None else (((box.left + box.right) / 2, box.bottom), 0.0)
    up = down = 0.0
    step = max(1.0, box.height / 60)
    while contains(ring, (at[0], at[1] + up + step)):
        up += step
    while contains(ring, (at[0], at[1] - down - step)):
        down += step
    words = piece_words(placed.piece.name) + (f" {placed.piece.size}" if placed.piece.size else "")
    return Name(words, (at[0], at[1] + (up - down) / 2), across, up + down)
