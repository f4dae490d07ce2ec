"""The same DXF by a second reader, GDAL, where pyogrio is installed."""

from __future__ import annotations

from collections import defaultdict
from pathlib import Path
from typing import Any, Final

from ..geometry.point import XY
from ..units import INCH
from .drawing import Drawing, Named, Run, Runs, Square, corners_of_square
from .dxf import SCALE_BLOCKS, joined, need_end, texts_of

_OPTIONS: Final = {"DXF_INLINE_BLOCKS": "FALSE", "DXF_MERGE_BLOCK_GEOMETRIES": "FALSE"}
"""Blocks as they are, each line with its layer."""


def read_dxf_with_gdal(path: Path) -> Drawing:
    """Each block's cut line and stitch line, in mm. Raises UnreadableError."""
    import pyogrio
    import pyogrio.raw
    import shapely

    need_end(path)
    before = {name: pyogrio.get_gdal_config_option(name) for name in _OPTIONS}
    pyogrio.set_gdal_config_options(_OPTIONS)
    try:
        meta, _, shapes, columns = pyogrio.raw.read(path, layer="blocks")
        style_meta, _, _, style_columns = pyogrio.raw.read(path, layer="entities")
    finally:
        pyogrio.set_gdal_config_options(before)
    style = _columns(style_meta, style_columns)
    units = texts_of(text for text in style["Text"] if text).get("units", "")
    unit = INCH if units.upper() == "ENGLISH" else 1.0
    table = _columns(meta, columns)
    lines: dict[tuple[str, str], list[tuple[XY, ...]]] = defaultdict(list)
    words: dict[str, list[str]] = defaultdict(list)
    geometries: Any = shapely.from_wkb(shapes)
    for block, layer, text, geometry in zip(table["Block"], table["Layer"], table["Text"], geometries, strict=True):
        words[block].extend([text] if text else [])
        if layer in ("1", "14") and geometry is not None and geometry.geom_type == "LineString":
            points = shapely.get_coordinates(geometry) * unit
            lines[block, layer].append(tuple((float(x), float(y)) for x, y in points))
    cut: dict[Named, Runs] = {}
    stitch: dict[Named, Runs] = {}
    squares: dict[float, tuple[Square, ...]] = {}
    for block in words:
        outline = _runs(lines[block, "1"])
        if nominal := SCALE_BLOCKS.get(block.upper()):
            found = [c for run in outline if (c := corners_of_square(run))]
            if found:
                squares[nominal] = (found[0],)
            continue
        told = texts_of(words[block])
        named = Named(told.get("piece name", block), told.get("size", told.get("size name", "")))
        cut[named], stitch[named] = outline, _runs(lines[block, "14"])
    return Drawing(cut, stitch, squares=squares)


def _runs(lines: list[tuple[XY, ...]]) -> Runs:
    closed = [run for line in lines if (run := Run.of(line)).closed]
    return (*closed, *joined([line for line in lines if not Run.of(line).closed]))


def _columns(meta: Any, columns: Any) -> dict[str, list[Any]]:
    return {str(name): list(column) for name, column in zip(meta["fields"], columns, strict=True)}
