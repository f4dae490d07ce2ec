"""From a file to its picture: read by the reader of its format, laid into the device's reach, painted, told."""

from __future__ import annotations

from collections.abc import Iterable
from io import BytesIO
from pathlib import Path
from typing import Any, Final

from ..device.profile import DeviceProfile
from ..errors import DeviceError, InputError, Where
from ..geometry.point import XY
from ..geometry.polygon import Box
from ..progress import Told, silent
from ..units import natural
from ..values import dataclass, replace
from ..verify.drawing import FARTHEST, UnreadableError
from .marks import Area, Drawn, Ink, Line, Words, around, bounds
from .pages import Page, painted_page, read_page
from .paint import BEYOND, FRAME, RED, Canvas, painted
from .plots import MORE, read_plot
from .reach import bed_reach, farthest, page_reach, ring_of, split

SUFFIXES: Final = {
    ".plt": "HP-GL", ".hpgl": "HP-GL", ".hpg": "HP-GL", ".hgl": "HP-GL", ".pdf": "PDF", ".svg": "SVG", ".dxf": "DXF",
}  # fmt: skip
MOST_PIXELS: Final = 8000
"""A side of the picture."""
LARGEST_FILE: Final = 300_000_000
_EDGE: Final = 5.0
"""mm round a drawing that has no page."""


@dataclass(frozen=True, slots=True)
class Pen:
    """One pen, layer or colour: how many lines and dots, how long, mm, and how the picture shows it."""

    name: str
    lines: int
    dots: int
    drawn: float
    looks: str


@dataclass(frozen=True, slots=True)
class Preview:
    """The picture and what it shows; lengths in mm."""

    png: bytes
    pixels: tuple[int, int]
    dpi: float
    kind: str
    width: float
    """Of the page; of a format without pages, of all that is drawn."""
    height: float
    lines: int
    points: int
    pens: tuple[Pen, ...]
    drawn: float
    """With the pen down."""
    travel: float | None
    """With the pen up; None where a file does not say."""
    outside: float | None = None
    """How much of its lines the device cannot draw; None where only ink was looked at, or no device was named."""
    beyond: float = 0.0
    """How far the farthest lies outside; 0: all can be drawn."""
    page: int = 1
    pages: int = 1
    notes: tuple[str, ...] = ()


def preview(
    path: Path,
    *,
    dpi: float = 50.0,
    device: DeviceProfile | None = None,
    travel: bool = False,
    page: int = 1,
    told: Told = silent,
) -> Preview:
    """A picture of the file, from its bytes alone.

    Raises InputError for a file that is damaged, draws nothing, or is of no format that can be read.
    """
    kind = SUFFIXES.get(path.suffix.lower())
    where = Where(str(path))
    if kind is None:
        raise InputError(
            f'its name ends in "{path.suffix}"', where=where, expected="a file that ends in " + ", ".join(SUFFIXES)
        )
    told(f"reading {path.name}", 1, 2)
    data = _bytes(path, where)
    if page != 1 and kind != "PDF":
        raise InputError(f"--page {page}: {kind} has no pages", where=where, expected="a PDF, or no --page")
    try:
        if kind == "PDF":
            return _of_page(data, page, dpi, device)
        if kind == "HP-GL":
            drawn = read_plot(data, device)
        elif kind == "SVG":
            from .vectors import read_svg

            drawn = _laid(read_svg(data), device)
        else:
            from .drawings import read_dxf

            drawn = _laid(read_dxf(path), device)
        if not drawn.marks:
            raise UnreadableError("it draws nothing")
        told("painting the picture", 2, 2)
        return _of_lines(drawn, dpi, travel)
    except UnreadableError as error:
        raise InputError(str(error), where=where, expected=f"a whole {kind} file") from None


def _bytes(path: Path, where: Where) -> bytes:
    try:
        if path.stat().st_size > LARGEST_FILE:
            raise InputError(f"it has {path.stat().st_size:,} bytes", where=where, expected=f"at most {LARGEST_FILE:,}")
        return path.read_bytes()
    except FileNotFoundError:
        raise InputError("no such file", where=where, expected="a file to look at") from None
    except IsADirectoryError:
        raise InputError("this is a folder", where=where, expected="one file in it") from None
    except OSError as error:
        raise DeviceError(f"{path}: it cannot be read ({error.strerror or error})") from None


# ---- lines


def _laid(drawn: Drawn, device: DeviceProfile | None) -> Drawn:
    """On the bed of the device: what it cannot reach is noted, what its errors do to the lines is done."""
    if device is None or not drawn.marks:
        return drawn
    held = bounds(drawn)
    size = drawn.page or Box(0.0, 0.0, max(held.right, 0.0), max(held.top, 0.0))
    reach = bed_reach(device, size.width, size.height)
    if device.length is None:
        reach = replace(reach, top=min(reach.top, max(held.top, size.top) + MORE))
    back = device.correction.undone()

    def sent(points: Iterable[XY]) -> tuple[XY, ...]:
        return tuple(points) if device.correction.identity else tuple(back.points(points))

    outside: list[tuple[XY, ...]] = []
    beyond = 0.0
    marks: list[Line | Area | Words] = []
    for mark in drawn.marks:
        if isinstance(mark, Words):
            marks.append(replace(mark, at=sent([mark.at])[0]))
            continue
        rings = (mark.points,) if isinstance(mark, Line) else mark.rings
        for ring in rings:
            for within, part in split(ring, reach):
                if not within:
                    outside.append(sent(part))
                    beyond = max(beyond, farthest(part, reach))
        if isinstance(mark, Line):
            marks.append(Line(sent(mark.points), mark.ink))
        else:
            marks.append(replace(mark, rings=tuple(sent(ring) for ring in rings)))
    return replace(drawn, marks=tuple(marks), outside=tuple(outside), beyond=beyond, frame=(sent(ring_of(reach)),))


def _of_lines(drawn: Drawn, dpi: float, travel: bool) -> Preview:
    held = bounds(drawn)
    if max(abs(v) for v in (held.left, held.bottom, held.right, held.top)) > FARTHEST:
        raise UnreadableError("it has points more than a kilometre away, which are on no sheet")
    boxes = [drawn.page] if drawn.page is not None else [held]
    boxes += [Box.round(ring) for ring in drawn.frame]
    if travel:
        boxes += [Box.round(move) for move in drawn.moves]
    if drawn.outside:
        boxes.append(held)
    bare = drawn.page is not None and len(boxes) == 1
    canvas, notes = _canvas(around(boxes, 0.0 if bare else _EDGE), dpi)
    image = painted(drawn, canvas, travel=travel)
    lines = drawn.lines()
    shown = drawn.page or held
    return Preview(
        _png(image, canvas.dpi),
        image.size,
        canvas.dpi,
        drawn.kind,
        shown.width,
        shown.height,
        sum(len(line.points) > 1 for line in lines),
        sum(len(line.points) for line in lines),
        _pens(drawn.kind, lines),
        sum(line.length() for line in lines),
        sum(_long(move) for move in drawn.moves) if drawn.kind == "HP-GL" else None,
        outside=sum(_long(line) for line in drawn.outside) if drawn.frame else None,
        beyond=drawn.beyond,
        notes=(*drawn.notes, *notes),
    )


def _pens(kind: str, lines: Iterable[Line]) -> tuple[Pen, ...]:
    by_name: dict[str, list[Line]] = {}
    for line in lines:
        by_name.setdefault(line.ink.name, []).append(line)
    return tuple(
        Pen(
            name,
            sum(len(line.points) > 1 for line in held),
            sum(len(line.points) == 1 for line in held),
            sum(line.length() for line in held),
            held[0].ink.words() if kind != "SVG" else f"#{bytes(held[0].ink.rgb).hex()}, {held[0].ink.width:g} mm",
        )
        for name, held in (
            sorted(by_name.items(), key=lambda named: natural(named[0])) if kind != "SVG" else by_name.items()
        )
    )


def _long(points: tuple[XY, ...]) -> float:
    return Line(points, Ink("")).length()


# ---- pages


def _of_page(data: bytes, number: int, dpi: float, device: DeviceProfile | None) -> Preview:
    page = read_page(data, number)
    whole = Box(0.0, 0.0, page.width, page.height)
    reach = page_reach(device, page.width, page.height) if device is not None else None
    canvas, notes = _canvas(whole if reach is None else around([whole, reach], _EDGE), dpi)
    image = painted_page(data, number, canvas.dpi)
    beyond, ink = 0.0, False
    if reach is not None:
        image, beyond, ink = _on_paper(image, page, reach, canvas)
    if device is not None and not device.correction.identity:
        notes.append(f"the correction of {device.name} is left in the lines: {device.correction.words()}")
    return Preview(
        _png(image, canvas.dpi),
        image.size,
        canvas.dpi,
        "PDF",
        page.width,
        page.height,
        page.lines,
        page.points,
        (),
        page.drawn,
        None,
        beyond=beyond if ink else 0.0,
        page=page.number,
        pages=page.count,
        notes=tuple(notes),
    )


def _on_paper(image: Any, page: Page, reach: Box, canvas: Canvas) -> tuple[Any, float, bool]:
    """The page in its place, its ink outside of the reach in red; how far that lies outside, mm."""
    from PIL import Image, ImageDraw

    k = canvas.dpi / 25.4

    def px(x: float, y: float) -> tuple[int, int]:
        return round((x - canvas.box.left) * k), round((canvas.box.top - y) * k)

    window = (*px(reach.left, reach.top), *px(reach.right, reach.bottom))
    sheet = Image.new("RGB", (canvas.width, canvas.height), BEYOND)
    sheet.paste((255, 255, 255), window)
    corner = px(0.0, page.height)
    ground = sheet.copy()
    ImageDraw.Draw(ground).rectangle(window, outline=FRAME, width=2)
    ink = Image.new("L", sheet.size, 0)
    ink.paste(image.convert("L").point(lambda value: 255 - value), corner)
    ground.paste(image, corner, image.convert("L").point(lambda value: 255 if value < 250 else 0))
    lost = ink.copy()
    lost.paste(0, (window[0] - 1, window[1] - 1, window[2] + 1, window[3] + 1))  # a pixel is how exact a picture is
    ground.paste(RED, (0, 0), lost.point(lambda value: min(255, 2 * value)))
    found = lost.point(lambda value: 255 if value > 8 else 0).getbbox()
    if found is None:
        return ground, 0.0, False
    far = max(window[0] - found[0], window[1] - found[1], found[2] - window[2], found[3] - window[3])
    return ground, far / k, True


# ---- pixels


def _canvas(box: Box, dpi: float) -> tuple[Canvas, list[str]]:
    """At the resolution that was asked for, or at that at which no side is too long."""
    most = max(box.width, box.height)
    if most * dpi / 25.4 <= MOST_PIXELS:
        return Canvas(box, dpi), []
    lower = MOST_PIXELS * 25.4 / most * (1.0 - 1e-9)
    return Canvas(box, lower), [
        f"{dpi:g} dpi would make a picture of more than {MOST_PIXELS:,} pixels a side: drawn at {lower:.3g} dpi"
    ]


def _png(image: Any, dpi: float) -> bytes:
    stream = BytesIO()
    image.save(stream, "PNG", dpi=(dpi, dpi))
    return stream.getvalue()
