"""The sheets that a device is given: pieces laid on them, those that are too large in panels, a scale block on each."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Final

from ..device.profile import DeviceProfile, usable_length, usable_width
from ..errors import InputError
from ..geometry.point import XY
from ..values import dataclass
from .lettering import text_lines
from .panels import Panel, panels_of
from .roll import roll_sheet
from .scale_block import SMALL_SQUARE, scale_block, small_scale_block
from .sheets import packed_on_sheets
from .strokes import Figure, Role, Sheet, Stroke

EDGE: Final = 2.0
"""Kept free along the edge of a sheet, mm, so that no line loses half its width there."""
BLOCK: Final = (290.0, 300.0)
"""The room that a scale block takes at most, mm."""
_BESIDE: Final = SMALL_SQUARE + 10.0
"""Kept free of pieces on a sheet, mm, so that the small scale block has its place on every one."""
NOTE: Final = "correction of the device"


@dataclass(frozen=True, slots=True)
class Laid:
    """One sheet, and the panels on it; the first has the scale block, any other a small one."""

    sheet: Sheet
    panels: tuple[Panel, ...]
    small_block: bool


def laid_on(
    device: DeviceProfile, title: str, figures: Sequence[Figure], on_roll: Callable[..., Sheet] = roll_sheet
) -> tuple[Laid, ...]:
    """As many sheets as the figures need on the device, the scale block on the first; `on_roll` lays those on a roll.

    Room is left for what the device's correction adds; a corrected sheet says so. Raises InputError for a device that
    is too small for the scale block, and for one that cuts where sizes lie on each other.
    """
    if device.cuts and any(figure.sizes() for figure in figures):
        raise InputError(
            f"{device.name} cuts, and the sizes lie on each other",
            expected="each size by itself",
            instead='Write layout = "apart" below [output], or name one size with --size',
        )
    width, length = usable_width(device), usable_length(device)
    endless = device.length is None and length >= device.longest
    across, along = width, length
    sheets: tuple[Sheet, ...] = ()
    panels: dict[tuple[str, str], Panel] = {}
    for _ in range(3):
        room = across - 2 * EDGE, along - 2 * EDGE
        rooms = [room] if endless else [(room[0], room[1] - _BESIDE), (room[0] - _BESIDE, room[1])]
        first = [scale_block(*_block_room(device, room)), *_note(device)]
        parts: list[Figure] = []
        panels = {}
        for figure in figures:
            split = panels_of(figure, rooms)
            panels |= {(panel.figure.name, panel.figure.size): panel for panel in split}
            parts += [panel.figure for panel in split] or [figure]
        if endless and along >= device.longest:
            sheets = (on_roll(title, [*first[1:], *parts], across, edge=EDGE),)
        if not endless or sheets[0].height > along:
            found = packed_on_sheets(title, [*first, *parts], across, along, margin=EDGE, each=(small_scale_block(),))
            sheets = tuple(layout.sheet() for layout in found)
        fitted = [_corrected_size(device, sheet) for sheet in sheets]
        over_across = max(w for w, _ in fitted) - width
        over_along = max(h for _, h in fitted) - length
        if over_across <= 1e-6 and (over_along <= 1e-6 or endless):
            break
        across -= max(0.0, over_across)
        along -= max(0.0, over_along)
    return tuple(
        Laid(sheet, tuple(panels[key] for f in sheet.figures if (key := (f.name, f.size)) in panels), number > 0)
        for number, sheet in enumerate(sheets)
    )


def _block_room(device: DeviceProfile, room: tuple[float, float]) -> tuple[float, float]:
    if min(room) < 128.0 or max(room) < 235.0:
        raise InputError(
            f"{device.name} has room for {room[0]:.0f} by {room[1]:.0f} mm",
            expected="128 by 235 mm at least, for the scale block",
            instead="Choose a larger device",
        )
    return min(BLOCK[0], room[0]), min(BLOCK[1], room[1])


def _corrected_size(device: DeviceProfile, sheet: Sheet) -> XY:
    left, bottom, right, top = device.correction.bounds(sheet.width, sheet.height)
    return right - left, top - bottom


def _note(device: DeviceProfile) -> list[Figure]:
    """What a corrected sheet says of itself."""
    if device.correction.identity:
        return []
    words = f"corrected for {device.name}: {device.correction.words()}"
    return [Figure(NOTE, tuple(Stroke(Role.LABEL, line) for line in text_lines(words, 3.0, (0.0, 0.0))))]
