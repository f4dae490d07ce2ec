"""Lines, or a page of a PDF, as PNG."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import hypot, isfinite
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from ..errors import InputError, Where
from ..geometry.clip import clip_line
from ..geometry.point import XY
from ..geometry.polygon import Box
from ..sheet.dashes import dashed_line
from .read import Line, Picture

if TYPE_CHECKING:
    from PIL.Image import Image

LARGEST: Final = 8000
"""Pixels a side."""
_BORDER: Final = 5.0
_FINER: Final = 2
"""Drawn so many times larger, then made smaller: soft edges."""
_RED: Final = (200, 30, 30)


@dataclass(frozen=True, slots=True)
class Told:
    """What there is to say of a file; lengths in mm."""

    png: bytes
    dpi: float
    width: float
    height: float
    lines: int = 0
    points: int = 0
    down: float = 0.0
    up: float = 0.0
    beyond: int = 0
    """Lines that leave what the device can reach."""


def draw(picture: Picture, dpi: float, *, travel: bool) -> Told:
    """The picture with a border of 5 mm; the page or the device's reach as a pale frame, what leaves it in red."""
    from PIL import Image, ImageDraw

    drawn = [line for line in picture.lines if travel or not line.up]
    down = [line for line in picture.lines if not line.up]
    points = [p for line in drawn for p in line.points]
    frame = picture.area or picture.page
    if not down or not all(isfinite(x) and isfinite(y) for x, y in points):
        raise InputError("draws nothing", expected="lines")
    ink = Box.round(p for line in down for p in line.points)
    whole = Box.round(points) if frame is None else Box.round([*points, *_corners(_shown(frame, ink))])
    box = Box(whole.left - _BORDER, whole.bottom - _BORDER, whole.right + _BORDER, whole.top + _BORDER)
    dpi = min(dpi, LARGEST * 25.4 / max(box.width, box.height))
    k = dpi / 25.4 * _FINER
    image = Image.new("RGB", (max(1, round(box.width * k)), max(1, round(box.height * k))), "white")
    pen = ImageDraw.Draw(image)

    def place(line: Sequence[XY]) -> list[XY]:
        return [((x - box.left) * k, (box.top - y) * k) for x, y in line]

    if frame is not None:
        pen.line(
            place([*_corners(_shown(frame, ink)), _corners(_shown(frame, ink))[0]]),
            fill=(205, 205, 205),
            width=2 * _FINER,
        )
    beyond = 0
    reach = Box(*picture.area) if picture.area is not None else None
    for line in sorted(drawn, key=lambda line: not line.up):
        parts = dashed_line(line.points, line.dashes, closed=False) if line.dashes else [line.points]
        wide = max(1, round(line.width * k))
        for dash in parts:
            pen.line(place(dash), fill=(line.grey,) * 3, width=wide, joint="curve" if wide > 3 else None)
        if reach is not None and not line.up and not _within(line.points, reach):
            beyond += 1
            for part in _outside(line.points, reach):
                pen.line(place(part), fill=_RED, width=wide + _FINER)
    small = image.resize((max(1, image.width // _FINER), max(1, image.height // _FINER)), Image.Resampling.BOX)
    return Told(
        _png(small, dpi),
        dpi,
        ink.width,
        ink.height,
        len(down),
        sum(len(line.points) for line in down),
        sum(map(_length, down)),
        sum(_length(line) for line in picture.lines if line.up),
        beyond,
    )


def draw_pdf(path: Path, page: int, dpi: float) -> Told:
    """A page of a PDF (from 1), by PDFium. Raises InputError for one that is not there, or cannot be read."""
    import pypdfium2

    where = Where(str(path))
    try:
        document: Any = pypdfium2.PdfDocument(path.read_bytes())
    except pypdfium2.PdfiumError as error:
        raise InputError(f"cannot be read: {error}", where=where, expected="a whole PDF") from None
    try:
        if not 1 <= page <= len(document):
            raise InputError(f"has no page {page}", where=where, expected=f"1 to {len(document)}")
        opened = document[page - 1]
        width, height = (side * 25.4 / 72 for side in opened.get_size())
        dpi = min(dpi, LARGEST * 25.4 / max(width, height))
        image = opened.render(scale=dpi / 72).to_pil().convert("RGB")
        return Told(_png(image, dpi), dpi, width, height)
    finally:
        document.close()


def _png(image: Image, dpi: float) -> bytes:
    out = io.BytesIO()
    image.save(out, "PNG", dpi=(dpi, dpi))
    return out.getvalue()


def _shown(frame: tuple[float, float, float, float], ink: Box) -> Box:
    """The frame; of an endless roll no more than is drawn on."""
    left, bottom, right, top = frame
    return Box(left, bottom, right, min(top, max(ink.top, bottom + 100.0)) if top - bottom > 6000.0 else top)


def _corners(box: Box) -> list[XY]:
    return [(box.left, box.bottom), (box.right, box.bottom), (box.right, box.top), (box.left, box.top)]


def _within(points: Sequence[XY], box: Box, slack: float = 0.05) -> bool:
    return all(
        box.left - slack <= x <= box.right + slack and box.bottom - slack <= y <= box.top + slack for x, y in points
    )


def _outside(points: Sequence[XY], box: Box) -> list[list[XY]]:
    """The parts of a line beyond the box."""
    far = 1e6
    around = (
        Box(-far, -far, box.left, far), Box(box.right, -far, far, far),
        Box(box.left, -far, box.right, box.bottom), Box(box.left, box.top, box.right, far),
    )  # fmt: skip
    return [run for part in around for run in clip_line(points, part) if len(run) > 1]


def _length(line: Line) -> float:
    return sum(hypot(bx - ax, by - ay) for (ax, ay), (bx, by) in pairwise(line.points))
