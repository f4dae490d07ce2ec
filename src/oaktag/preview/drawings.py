"""DXF as it will be drawn: every entity of the model space, blocks at their INSERTs, layers told apart.

Read with ezdxf. Units: $INSUNITS (AutoCAD DXF Reference, header variables), else what the text `Units: METRIC` or
`ENGLISH` of pattern data says (ASTM D6673-10, 4.3, read at second hand), else mm.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from math import cos, radians, sin
from pathlib import Path
from typing import Any, Final

from ..geometry.point import XY
from ..units import INCH, natural
from ..verify.drawing import FARTHEST, UnreadableError
from ..verify.dxf import texts_of
from .marks import Drawn, Ink, Line, Mark, Words, nth_ink

_UNITS: Final = {1: INCH, 2: 12 * INCH, 4: 1.0, 5: 10.0, 6: 1000.0, 14: 100.0}
_CHORD: Final = 0.05
"""mm that chords may lie off a curve."""
_MOST: Final = 1_000_000
"""Entities of all blocks at all their INSERTs, beyond which a drawing is refused: blocks within blocks grow fast."""
_BINARY: Final = b"AutoCAD Binary DXF"


def read_dxf(path: Path) -> Drawn:
    """Lines, points and words in the order of the file; layers that are off or frozen are left out.

    Raises UnreadableError.
    """
    document = _opened(path)
    space = document.modelspace()
    unit, notes = _unit(document, space)
    marks: list[Mark] = []
    inks: dict[str, Ink] = {}
    unknown: dict[str, int] = {}
    dark = {layer.dxf.name.lower() for layer in document.layers if layer.is_off() or layer.is_frozen()}
    hidden = texts = 0
    for entity in _entities(space):
        layer, kind = str(entity.dxf.get("layer", "0")), entity.dxftype()
        if layer.lower() in dark or entity.dxf.get("invisible", 0):
            hidden += 1
            continue
        if kind in ("TEXT", "MTEXT", "ATTRIB"):
            marks += _words(entity, kind, unit)
            texts += 1
            continue
        if kind in ("ATTDEF", "VIEWPORT"):
            continue
        lines = _lines(entity, kind, unit)
        if lines is None:
            unknown[kind] = unknown.get(kind, 0) + 1
            continue
        ink = inks.setdefault(layer, nth_ink(f"layer {layer}", 0))
        marks += [Line(line, ink) for line in lines]
    looks = {name: nth_ink(f"layer {name}", number) for number, name in enumerate(sorted(inks, key=natural))}
    marks = [Line(m.points, looks[m.ink.name.removeprefix("layer ")]) if isinstance(m, Line) else m for m in marks]
    marks.sort(key=lambda m: not (isinstance(m, Line) and len(m.points) == 1))  # dots below the lines that they lie on
    if texts:
        notes.append(f"{texts} texts are drawn in another type than the device's")
    if hidden:
        notes.append(f"{hidden} entities lie on layers that are off or are hidden, and are not drawn")
    if unknown:
        told = ", ".join(f"{count} {kind}" for kind, count in sorted(unknown.items()))
        notes.append(f"not drawn, as this reader does not follow them: {told}")
    return Drawn("DXF", tuple(marks), notes=tuple(notes))


def _opened(path: Path) -> Any:
    from ezdxf.filemanagement import readfile
    from ezdxf.lldxf.const import DXFError

    data = path.read_bytes()
    if not data.startswith(_BINARY):
        if not re.search(rb"(?:^|\n)\s*SECTION\s*\r?\n", data[:4096]):
            raise UnreadableError("it does not begin as a DXF does (0, SECTION)")
        if not data.rstrip(b"\0\x1a \t\r\n").endswith(b"EOF"):
            raise UnreadableError("it stops before EOF, so its end is missing")
    try:
        return readfile(str(path))
    except (OSError, DXFError, ValueError, KeyError, TypeError, AttributeError, IndexError, AssertionError) as error:
        said = " ".join(str(error).split()).rstrip(".") or type(error).__name__
        raise UnreadableError(f"it is no DXF that can be read ({said})") from None


def _unit(document: Any, space: Any) -> tuple[float, list[str]]:
    """mm of a unit of the drawing."""
    code = document.header.get("$INSUNITS", 0)
    if code in _UNITS:
        return _UNITS[code], []
    said = texts_of(str(text.dxf.text) for text in space.query("TEXT")).get("units", "").upper()
    if said in ("METRIC", "ENGLISH"):
        return (INCH if said == "ENGLISH" else 1.0), []
    return 1.0, ["it names no unit that this reader knows: mm are taken"]


def _entities(space: Any) -> Iterator[Any]:
    """What is left when every block is taken apart. Raises UnreadableError for more than can be drawn."""
    from ezdxf.disassemble import recursive_decompose
    from ezdxf.lldxf.const import DXFError

    try:
        for count, entity in enumerate(recursive_decompose(space)):
            if count >= _MOST:
                raise UnreadableError(f"its blocks hold more than {_MOST:,} entities")
            yield entity
    except (DXFError, RecursionError) as error:
        raise UnreadableError(f"its blocks cannot be taken apart ({error or type(error).__name__})") from None


def _lines(entity: Any, kind: str, unit: float) -> list[tuple[XY, ...]] | None:
    """Its lines, mm; a point is a line of one point. None for what is no line."""
    from ezdxf import path as paths
    from ezdxf.lldxf.const import DXFError

    if kind == "POINT":
        return [_mm([entity.dxf.location], unit)]
    try:
        if kind in ("HATCH", "MPOLYGON"):
            made = [part for part in paths.from_hatch(entity) if len(part)]
        else:
            made = [paths.make_path(entity)]
        flat = [_mm(part.flattening(_CHORD / unit), unit) for whole in made for part in whole.sub_paths() if len(part)]
    except (TypeError, ValueError, ZeroDivisionError, DXFError):
        return None
    return flat


def _mm(points: Iterable[Any], unit: float) -> tuple[XY, ...]:
    found = tuple((float(p[0]) * unit, float(p[1]) * unit) for p in points)
    for x, y in found:
        if not (abs(x) < FARTHEST and abs(y) < FARTHEST):
            raise UnreadableError(f"it has a point at ({x:g}, {y:g}) mm, which is on no sheet")
    return found


def _words(entity: Any, kind: str, unit: float) -> list[Mark]:
    dxf = entity.dxf
    if kind == "MTEXT":
        rows = str(entity.plain_text()).split("\n")
        high, turn, at, anchor = float(dxf.get("char_height", 2.5)), float(dxf.get("rotation", 0.0)), dxf.insert, "ls"
        if dxf.hasattr("text_direction"):
            turn = float(dxf.text_direction.angle_deg)
    else:
        rows, high, turn = [str(entity.plain_text())], float(dxf.get("height", 2.5)), float(dxf.get("rotation", 0.0))
        anchor = {1: "ms", 2: "rs", 4: "mm"}.get(int(dxf.get("halign", 0)), "ls")
        at = dxf.align_point if anchor != "ls" and dxf.hasattr("align_point") else dxf.insert
    ((x, y),) = _mm([at], unit)
    down = _down(turn)
    first = 0.0 if kind != "MTEXT" else high  # the top line hangs from the place of a MTEXT
    return [
        Words(
            row.strip(),
            (x + down[0] * (first + 1.6 * high * number) * unit, y + down[1] * (first + 1.6 * high * number) * unit),
            high * unit,
            turn,
            anchor=anchor,
        )
        for number, row in enumerate(rows)
        if row.strip()
    ]


def _down(angle_deg: float) -> XY:
    return sin(radians(angle_deg)), -cos(radians(angle_deg))
