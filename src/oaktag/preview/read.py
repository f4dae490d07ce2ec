"""A written file as lines in mm, y up, by the readers that verify uses or by general-purpose libraries."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final

from ..device.profile import DeviceProfile, usable_length, usable_width
from ..errors import InputError, Where
from ..geometry.point import XY
from ..verify.drawing import UnreadableError
from ..verify.hpgl import UNIT, followed

_PEN_LOOKS: Final = ((0, 0.35), (70, 0.3), (110, 0.3), (50, 0.2), (90, 0.2), (120, 0.2), (30, 0.5), (80, 0.5))
"""Grey (0 black) and width in mm of pens 1 to 8, and over again: told apart, whatever ink is in them."""
_CHORD: Final = 0.05
_DXF: Final = re.compile(rb"\s*0\s*\r?\n\s*SECTION|\s*999\s*\r?\n|AutoCAD Binary")
"""How a DXF begins: a section, a comment, or in binary."""
LARGEST: Final = 100_000_000


@dataclass(frozen=True, slots=True)
class Line:
    """One line, mm, y up: its grey (0 black), width and dashes, mm; `up`: the pen is lifted there."""

    points: tuple[XY, ...]
    grey: int = 0
    width: float = 0.35
    dashes: tuple[float, ...] = ()
    up: bool = False


@dataclass(frozen=True, slots=True)
class Picture:
    """All lines of a file; `page`: the sheet it is drawn on (left, bottom, right, top), mm, where the file tells."""

    lines: tuple[Line, ...]
    page: tuple[float, float, float, float] | None = None
    pens: tuple[int, ...] = ()
    area: tuple[float, float, float, float] | None = None
    """What the device can reach, where one is named."""
    notes: tuple[str, ...] = field(default=())


def read_picture(path: Path, device: DeviceProfile | None) -> Picture:
    """The lines of a .plt, .dxf or .svg; InputError for what cannot be read."""
    where = Where(str(path))
    data = _bytes(path)
    try:
        if data.lstrip()[:1] == b"<":
            return _svg(path)
        if (
            re.match(rb"\s*0\s*\r?\n\s*SECTION", data)
            or re.match(rb"\s*999\r?\n", data)
            or data[:22].startswith(b"AutoCAD Binary")
        ):
            return _dxf(path)
        return _plot(data, device)
    except (InputError, UnreadableError) as error:
        raise InputError(f"cannot be drawn: {error}", where=where, expected="a .plt, .dxf, .pdf or .svg file") from None
    except MemoryError:
        raise InputError("is too large to be drawn", where=where, expected="a pattern") from None
    except Exception as error:  # a library may raise anything on a damaged file
        said = (str(error).splitlines() or [type(error).__name__])[0][:150]
        raise InputError(f"cannot be drawn: {said}", where=where, expected="a .plt, .dxf, .pdf or .svg file") from None


def _bytes(path: Path) -> bytes:
    where = Where(str(path))
    try:
        if path.is_file() and path.stat().st_size > LARGEST:
            raise InputError("is larger than 100 MB", where=where, expected="a pattern")
        return path.read_bytes()
    except FileNotFoundError:
        raise InputError("no such file", where=where, expected="a .plt, .dxf, .pdf or .svg file") from None
    except OSError as error:
        raise InputError(f"cannot be read: {error.strerror}", where=where, expected="a file") from None


def _plot(data: bytes, device: DeviceProfile | None) -> Picture:
    """As the interpreter of HP-GL follows it: units, frames and pens of the device, or the usual ones."""
    unit = device.unit if device is not None else UNIT
    step = (device.frame or 0.0) if device is not None else 0.0
    along = device is None or device.axis == "along"

    def on_paper(points: Iterable[XY], frame: int) -> tuple[XY, ...]:
        if along:  # X runs along the paper, which is shown upright: Y to the left
            return tuple((-y * unit, x * unit + frame * step) for x, y in points)
        return tuple((x * unit, y * unit + frame * step) for x, y in points)

    told = followed(data)
    lines: list[Line] = []
    for line in told.lines:
        grey, width = _PEN_LOOKS[(max(1, line.pen) - 1) % len(_PEN_LOOKS)]
        lines.append(Line(on_paper(line.points, line.frame), grey, width))
    lines += [Line(on_paper(points, frame), 130, 0.15, (1.5, 1.5), up=True) for points, frame in told.ups]
    pens = tuple(sorted({line.pen for line in told.lines}))
    area = _area(device, told.frame) if device is not None else None
    return Picture(tuple(lines), None, pens, area)


def _area(device: DeviceProfile, frames: int) -> tuple[float, float, float, float]:
    across, along = usable_width(device), usable_length(device)
    if device.frame is not None:
        along = device.frame * (frames + 1)
    left, bottom = (-across, 0.0) if device.axis == "along" else (0.0, 0.0)
    if device.origin == "centre":
        left, bottom = -across / 2, -along / 2 if device.length is not None else 0.0
    return left, bottom, left + across, bottom + along


def _svg(path: Path) -> Picture:
    import svgelements as svg

    document: Any = svg.SVG.parse(str(path), reify=True, ppi=25.4)
    width, height = float(document.width), float(document.height)
    return Picture(tuple(_svg_lines(document, height)), (0.0, 0.0, width, height))


def _svg_lines(document: Any, height: float) -> Iterator[Line]:
    import svgelements as svg

    for element in document.elements():
        if not isinstance(element, svg.Shape):
            continue
        stroke, fill = element.stroke, element.fill
        painted = stroke is not None and stroke.value is not None
        if not painted and (fill is None or fill.value is None):
            continue
        colour = stroke if painted else fill
        grey = round(0.299 * colour.red + 0.587 * colour.green + 0.114 * colour.blue)
        dashes = tuple(float(n) for n in re.findall(r"[\d.]+", str(element.values.get("stroke-dasharray") or "")))
        wide = float(element.stroke_width or 0.25) if painted else 0.1
        for part in svg.Path(element).as_subpaths():
            points = _flattened(svg.Path(part))
            if len(points) > 1:
                yield Line(tuple((x, height - y) for x, y in points), grey, wide, dashes)


def _flattened(path: Any) -> list[XY]:
    import svgelements as svg

    points: list[XY] = []
    for segment in path:
        if isinstance(segment, svg.Move):
            points.append((float(segment.end.x), float(segment.end.y)))
        elif isinstance(segment, (svg.Line, svg.Close)):
            if segment.end is not None:
                points.append((float(segment.end.x), float(segment.end.y)))
        else:
            count = max(4, min(400, int(float(segment.length(error=1e-2)) / 0.5)))
            points += [(float(p.x), float(p.y)) for p in (segment.point(k / count) for k in range(1, count + 1))]
    return points


_MM: Final = {1: 25.4, 2: 304.8, 4: 1.0, 5: 10.0, 6: 1000.0}


def _dxf(path: Path) -> Picture:
    """Every entity that has a shape, those of blocks where they are inserted; layers told apart by grey and width."""
    from ezdxf.filemanagement import readfile
    from ezdxf.path import make_path

    document: Any = readfile(path)
    unit = _MM.get(int(document.header.get("$INSUNITS", 0)), 0.0)
    english = any("ENGLISH" in text.dxf.text.upper() for text in document.modelspace().query("TEXT"))
    unit = unit or (25.4 if english else 1.0)
    layers: dict[str, int] = {}
    lines: list[Line] = []
    texts = 0
    for entity in _entities(document.modelspace(), 0):
        kind = entity.dxftype()
        if kind in ("TEXT", "MTEXT", "ATTRIB"):
            texts += 1
            continue
        number = layers.setdefault(entity.dxf.layer, len(layers))
        grey, width = _PEN_LOOKS[number % len(_PEN_LOOKS)]
        if kind == "POINT":
            x, y, _ = entity.dxf.location
            arm = 1.0 / unit
            crosses = (((x - arm, y), (x + arm, y)), ((x, y - arm), (x, y + arm)))
            lines += [Line(tuple((a * unit, b * unit) for a, b in cross), grey, width) for cross in crosses]
            continue
        try:
            vertices = list(make_path(entity).flattening(_CHORD / unit))
        except (TypeError, ValueError):
            continue
        if len(vertices) > 1:
            lines.append(Line(tuple((v.x * unit, v.y * unit) for v in vertices), grey, width))
    notes = (f"{texts} texts are not drawn: their letters are the reading program's",) if texts else ()
    return Picture(tuple(lines), notes=notes)


def _entities(place: Any, depth: int) -> Iterator[Any]:
    for entity in place:
        if entity.dxftype() == "INSERT" and depth < 8:
            yield from _entities(entity.virtual_entities(), depth + 1)
        else:
            yield entity
