"""Sewn-product pattern data in DXF, read with ezdxf: blocks, layers 1 (cut line) and 14 (stitch line).

Layers and texts: ASTM D6673-10, 4.3, as used in practice (the clauses were read at second hand).
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from math import cos, radians, sin
from pathlib import Path
from typing import Any, Final

from ..geometry.point import XY
from ..units import INCH
from .drawing import Drawing, Named, Run, Runs, Square, UnreadableError, corners_of_square

SCALE_BLOCKS: Final = {"SCALE_100_MM": 100.0, "SCALE_4_IN": 101.6}
_TEXT: Final = re.compile(r"^\s*(piece name|size|size name|units)\s*:\s*(.*?)\s*$", re.IGNORECASE)
_NUMBERED: Final = re.compile(r"\\U\+([0-9A-Fa-f]{4})")


def texts_of(lines: Iterable[str]) -> dict[str, str]:
    """`Identifier: value` texts by identifier in small letters.

    Letters that are spelt by their number (`\\U+524D`) are spelt out.

    >>> texts_of(["Piece Name: FRONT", "SIZE:12", "a note"])
    {'piece name': 'FRONT', 'size': '12'}
    """
    matches = (_TEXT.match(_NUMBERED.sub(lambda m: chr(int(m[1], 16)), line)) for line in lines)
    return {m[1].lower(): m[2] for m in matches if m}


def joined(lines: list[tuple[XY, ...]]) -> Runs:
    """Chains of open lines made into one where the end of one is the start of the next (a boundary in parts)."""
    runs: list[list[XY]] = []
    for line in lines:
        if runs and abs(runs[-1][-1][0] - line[0][0]) < 1e-3 and abs(runs[-1][-1][1] - line[0][1]) < 1e-3:
            runs[-1].extend(line[1:])
        else:
            runs.append(list(line))
    return tuple(Run.of(run) for run in runs)


def need_end(path: Path) -> None:
    """Raises UnreadableError if a DXF stops before its EOF."""
    data = path.read_bytes()
    if not re.search(rb"(?:^|\n)\s*SECTION\s*\r?\n", data[:4096]):
        raise UnreadableError("it does not begin as a DXF does (0, SECTION)")
    if not data.rstrip().endswith(b"EOF"):
        raise UnreadableError("it stops before EOF, so its end is missing")


def read_dxf(path: Path) -> Drawing:
    """Each block's cut line and stitch line, in mm, with its INSERT's scale and turn. Raises UnreadableError."""
    from ezdxf.filemanagement import readfile

    need_end(path)
    document: Any = readfile(path)
    style = texts_of(t.dxf.text for t in document.modelspace().query("TEXT"))
    unit = INCH if style.get("units", "").upper() == "ENGLISH" else 1.0
    inserts = {insert.dxf.name.upper(): insert for insert in document.modelspace().query("INSERT")}
    cut: dict[Named, Runs] = {}
    stitch: dict[Named, Runs] = {}
    squares: dict[float, tuple[Square, ...]] = {}
    for block in document.blocks:
        if block.name.startswith(("*", "$")) or block.name.upper() not in inserts:
            continue
        place = inserts[block.name.upper()]
        outline, sewn = (_runs(block, layer, place, unit) for layer in ("1", "14"))
        if nominal := SCALE_BLOCKS.get(block.name.upper()):
            found = [c for run in outline if (c := corners_of_square(run))]
            if found:
                squares[nominal] = (found[0],)
            continue
        words = texts_of(t.dxf.text for t in block if t.dxftype() == "TEXT")
        named = Named(words.get("piece name", block.name), words.get("size", words.get("size name", "")))
        if named in cut:
            raise UnreadableError(f"two blocks are both piece {named.name} in size {named.size or '(none)'}")
        cut[named], stitch[named] = outline, sewn
    return Drawing(cut, stitch, squares=squares)


def _runs(block: Any, layer: str, insert: Any, unit: float) -> Runs:
    angle = radians(insert.dxf.rotation)
    c, s, sx, sy = cos(angle), sin(angle), insert.dxf.xscale, insert.dxf.yscale

    def placed(x: float, y: float) -> XY:
        x, y = x * sx * unit, y * sy * unit
        return x * c - y * s, x * s + y * c

    closed: list[Run] = []
    open_lines: list[tuple[XY, ...]] = []
    for entity in block:
        if entity.dxf.layer != layer or entity.dxftype() not in ("POLYLINE", "LWPOLYLINE", "LINE"):
            continue
        if entity.dxftype() == "LINE":
            points = [placed(p.x, p.y) for p in (entity.dxf.start, entity.dxf.end)]
        elif entity.dxftype() == "LWPOLYLINE":
            points = [placed(x, y) for x, y in entity.get_points("xy")]
        else:
            points = [placed(p.x, p.y) for p in entity.points()]
        if entity.dxftype() != "LINE" and entity.is_closed:
            closed.append(Run.of(points, closed=True))
        elif points:
            open_lines.append(tuple(points))
    return (*closed, *joined(open_lines))
