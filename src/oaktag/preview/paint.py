"""Marks as pixels, with Pillow: mm and y up become pixels and y down."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import atan2, ceil, cos, floor, hypot, radians, sin
from typing import Any, Final

from ..geometry.point import XY
from ..geometry.polygon import Box, area
from ..values import dataclass
from .marks import RGB, Area, Drawn, Ink, Line, Words

WHITE: Final = (255, 255, 255)
RED: Final = (214, 0, 28)
"""What the device cannot draw."""
FRAME: Final = (150, 190, 226)
"""Border of what it can draw."""
BEYOND: Final = (238, 238, 240)
"""The ground outside of it."""
TRAVEL: Final = (64, 132, 190)
"""The lifted pen."""
_NOTHING: Final = 1e-6
"""Pixels: a dash shorter than this begins where the line ends."""
_ROOM: Final = 40_000_000
"""Pixels up to which a picture is painted at twice its size and made smaller, for smooth lines."""
_LARGEST_TYPE: Final = 400


@dataclass(frozen=True, slots=True)
class Canvas:
    """What part of the drawing the picture shows, mm, and its pixels."""

    box: Box
    dpi: float

    @property
    def width(self) -> int:
        return max(1, ceil(self.box.width * self.dpi / 25.4 - 1e-6))

    @property
    def height(self) -> int:
        return max(1, ceil(self.box.height * self.dpi / 25.4 - 1e-6))


def painted(drawn: Drawn, canvas: Canvas, *, travel: bool) -> Any:
    """The picture, RGB: the frame below all, the lifted pen over it, red on top."""
    from PIL import Image

    fine = 2 if canvas.width * canvas.height * 4 <= _ROOM else 1
    brush = _Brush(canvas, fine)
    if drawn.frame:
        brush.ground(drawn.frame)
    for mark in drawn.marks:
        if isinstance(mark, Line):
            brush.line(mark.points, mark.ink)
        elif isinstance(mark, Area):
            brush.area(mark)
        else:
            brush.words(mark)
    if travel:
        ink = Ink("travel", TRAVEL, pixel_dashes=(4, 4))
        for move in drawn.moves:
            brush.line(move, ink)
    red = Ink("outside", RED, least=2)
    for line in drawn.outside:
        brush.line(line, red)
    if fine == 1:
        return brush.image
    return brush.image.resize((canvas.width, canvas.height), Image.Resampling.BOX)


class _Brush:
    """A picture that is painted on, at `fine` times its size."""

    def __init__(self, canvas: Canvas, fine: int) -> None:
        from PIL import Image, ImageDraw

        self.image: Any = Image.new("RGB", (canvas.width * fine, canvas.height * fine), WHITE)
        self.draw: Any = ImageDraw.Draw(self.image)
        self.box, self.fine = canvas.box, fine
        self.per_mm = canvas.dpi / 25.4 * fine

    def spots(self, points: Sequence[XY]) -> list[XY]:
        left, top, k = self.box.left, self.box.top, self.per_mm
        return [((x - left) * k, (top - y) * k) for x, y in points]

    def ground(self, rings: Sequence[Sequence[XY]]) -> None:
        self.image.paste(BEYOND, (0, 0, *self.image.size))
        for ring in rings:
            self.draw.polygon(self.spots(ring), fill=WHITE)
        for ring in rings:
            self.line(ring, Ink("frame", FRAME, least=2))

    def line(self, points: Sequence[XY], ink: Ink) -> None:
        width = max(ink.least * self.fine, round(ink.width * self.per_mm))
        spots = self.spots(points)
        dashes = tuple(d * self.per_mm for d in ink.dashes) or tuple(float(d * self.fine) for d in ink.pixel_dashes)
        lines = dashed(spots, dashes) if dashes and sum(dashes) > 3 * self.fine else [spots]
        if ink.alpha < 0.999:
            self._through(lines, width, ink.rgb, ink.alpha)
            return
        for line in lines:
            self._stroke(self.draw, line, width, ink.rgb)

    def _stroke(self, draw: Any, line: Sequence[XY], width: int, colour: Any) -> None:
        if len(line) == 1 or (len(set(line)) == 1):
            (x, y), r = line[0], width / 2
            draw.ellipse((floor(x - r), floor(y - r), floor(x - r) + width, floor(y - r) + width), fill=colour)
        elif width == 1:
            draw.line([(floor(x), floor(y)) for x, y in line], fill=colour)
        else:
            half = 0.5  # Pillow's whole numbers are the middles of pixels
            draw.line([(x - half, y - half) for x, y in line], fill=colour, width=width, joint="curve")

    def _through(self, lines: Sequence[Sequence[XY]], width: int, rgb: RGB, alpha: float) -> None:
        from PIL import Image, ImageDraw

        spots = [p for line in lines for p in line]
        window = self._window(spots, width)
        if window is None:
            return
        mask = Image.new("L", (window[2] - window[0], window[3] - window[1]), 0)
        draw = ImageDraw.Draw(mask)
        for line in lines:
            moved = [(x - window[0], y - window[1]) for x, y in line]
            self._stroke(draw, moved, width, round(255 * alpha))
        self.image.paste(rgb, window, mask)

    def _window(self, spots: Sequence[XY], more: int) -> tuple[int, int, int, int] | None:
        box = Box.round(spots)
        wide, high = self.image.size
        left, top = max(0, floor(box.left) - more), max(0, floor(box.bottom) - more)
        right, bottom = min(wide, ceil(box.right) + more), min(high, ceil(box.top) + more)
        return (left, top, right, bottom) if right > left and bottom > top else None

    def area(self, mark: Area) -> None:
        """By even-odd rings are laid on one another, light on dark; else their windings are added."""
        from PIL import Image, ImageChops, ImageDraw

        rings = [self.spots(ring) for ring in mark.rings]
        window = self._window([p for ring in rings for p in ring], 1)
        if window is None:
            return
        size = (window[2] - window[0], window[3] - window[1])

        def filled(ring: Sequence[XY]) -> Any:
            layer = Image.new("1", size, 0)
            ImageDraw.Draw(layer).polygon([(x - window[0] - 0.5, y - window[1] - 0.5) for x, y in ring], fill=1)
            return layer

        if len(rings) == 1:
            mask = filled(rings[0])
        elif mark.even_odd:
            mask = filled(rings[0])
            for ring in rings[1:]:
                mask = ImageChops.logical_xor(mask, filled(ring))
        else:
            import numpy as np

            turns = np.zeros((size[1], size[0]), dtype=np.int16)
            for ring in rings:
                turns += np.asarray(filled(ring)).astype(np.int16) * (1 if area(ring) > 0 else -1)
            mask = Image.fromarray((turns != 0).astype(np.uint8) * 255)
        mask = mask.convert("L").point(lambda value: round(value * mark.alpha))
        self.image.paste(mark.rgb, window, mask)

    def words(self, mark: Words) -> None:
        """In Pillow's own type; a grey bar where it would be too small to be read."""
        from PIL import Image, ImageDraw, ImageFont

        high = mark.height * self.per_mm
        size = min(round(high / 0.7), _LARGEST_TYPE)
        turn = radians(mark.angle_deg)
        ((x, y),) = self.spots([mark.at])
        if size < 4 * self.fine:
            long = 0.8 * high * len(mark.text)
            back = {"l": 0.0, "m": 0.5, "r": 1.0}[mark.anchor[0]]
            start = (x - long * back * cos(turn), y + long * back * sin(turn))
            end = (start[0] + long * cos(turn), start[1] - long * sin(turn))
            self.draw.line([start, end], fill=(190, 190, 190), width=max(1, round(high * 0.6)))
            return
        font = ImageFont.load_default(size=size)
        text = mark.text[:300]
        left, top, right, bottom = font.getbbox(text, anchor=mark.anchor)
        reach = ceil(max(hypot(px, py) for px in (left, right) for py in (top, bottom))) + 2
        if reach > 4000:
            return
        layer = Image.new("L", (2 * reach, 2 * reach), 0)
        ImageDraw.Draw(layer).text((reach, reach), text, fill=255, font=font, anchor=mark.anchor)
        if mark.angle_deg:
            layer = layer.rotate(mark.angle_deg, resample=Image.Resampling.BILINEAR)
        self.image.paste(mark.rgb, (round(x) - reach, round(y) - reach), layer)


def dashed(line: Sequence[XY], dashes: Sequence[float]) -> list[list[XY]]:
    """The drawn parts of a line, the first dash from its start.

    >>> dashed([(0, 0), (10, 0)], (4, 2))
    [[(0, 0), (4.0, 0.0)], [(6.0, 0.0), (10, 0)]]
    """
    found: list[list[XY]] = []
    number, left, on = 0, dashes[0], True
    part: list[XY] = [line[0]]
    for a, b in pairwise(line):
        long = hypot(b[0] - a[0], b[1] - a[1])
        turn = atan2(b[1] - a[1], b[0] - a[0])
        gone = 0.0
        while long - gone > left:
            gone += left
            spot = (a[0] + gone * cos(turn), a[1] + gone * sin(turn))
            if on and left > _NOTHING:
                found.append([*part, spot])
            elif on and len(part) > 1:  # it ended just where the run before did
                found.append(part)
            number, on = (number + 1) % len(dashes), not on
            left, part = dashes[number], [spot]
        left -= long - gone
        if on:
            part.append(b)
    if on and len(part) > 1 and dashes[number] - left > _NOTHING:
        found.append(part)
    return found
