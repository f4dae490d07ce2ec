"""The cut list of a roll, in the order in which its pieces are drawn: as a table for a spreadsheet, and in words."""

from __future__ import annotations

import csv
import io
from math import floor
from typing import Final

from ..book.tables import safe
from ..geometry.polygon import Box
from ..model.piece import Piece
from ..values import dataclass
from .file import Roll
from .pack import Put

COLUMNS: Final = (
    "number", "order", "piece", "size", "quantity", "how", "cloth", "plot", "frame", "begins_mm", "ends_mm", "code",
)  # fmt: skip
_NEAR: Final = 1e-6


@dataclass(frozen=True, slots=True)
class CutRow:
    """One line: `plot` is the length of the roll that it lies on, from 1; `frames` of a device that draws in them."""

    put: Put
    plot: int
    frames: tuple[int, ...]
    box: Box

    @property
    def drafted(self) -> Piece:
        return self.put.piece.marked.cut.piece

    @property
    def how(self) -> str:
        """`on the fold`, `a pair`, or nothing."""
        return "on the fold" if self.drafted.on_fold else "a pair" if self.drafted.mirrored_pair else ""

    @property
    def frame(self) -> str:
        """`2`, `2 to 3`; "" where the device draws in one go."""
        return " to ".join(dict.fromkeys(map(str, self.frames[:1] + self.frames[-1:])))


def rows_of(roll: Roll, frame: float | None) -> tuple[CutRow, ...]:
    """In the order in which they are drawn; `frame` is the length of a frame of the device, mm."""
    rows = []
    for plot, put in roll.puts:
        box = Box.round(put.placed.outline())
        frames: tuple[int, ...] = ()
        if frame is not None and roll.lengths[plot - 1].long > frame:
            frames = tuple(range(floor(box.bottom / frame) + 1, floor((box.top - _NEAR) / frame) + 2))
        rows.append(CutRow(put, plot, frames, box))
    return tuple(rows)


def as_csv(rows: tuple[CutRow, ...]) -> bytes:
    """UTF-8; lengths in mm from the start of the plot; a cell that a spreadsheet would work out is made a text."""
    text = io.StringIO()
    out = csv.writer(text, lineterminator="\n")
    out.writerow(COLUMNS)
    for row in rows:
        own = row.put.piece
        cells = (
            str(row.put.number), own.order, own.words, own.size, str(row.drafted.quantity), row.how,
            row.drafted.material, str(row.plot), row.frame, f"{row.box.bottom:.0f}", f"{row.box.top:.0f}", own.tag.text,
        )  # fmt: skip
        out.writerow([safe(cell) for cell in cells])
    return text.getvalue().encode()
