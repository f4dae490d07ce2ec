"""A general CAD drawing read with ezdxf, and again with GDAL: the lines of its layers, mm; and whether they show."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any, Final

from ..geometry.point import XY
from ..units import INCH
from ..values import replace
from .drawing import Drawing, Proved, Run, UnreadableError, squares_by_size
from .dxf import need_end
from .marks import DARTS, DRILLS, FOLD, GRAIN, INNER, NOTCHES, WORDS
from .plot_marks import STITCH

_ROLES: Final = {
    "NOTCH": NOTCHES, "DRILL_HOLE": DRILLS, "STITCH": STITCH, "FOLD": FOLD, "DART": DARTS, "INTERNAL": INNER,
    "GRAIN": GRAIN, "TEXT": WORDS,
}  # fmt: skip
"""What a layer holds, as docs/devices.md tells whoever sets the machine."""
_CODE: Final = "CODE"
_KNOWN: Final = ("CUT", *_ROLES, "SCALE", "JOIN", _CODE)
_WHITE: Final = 0xFFFFFF
_UNITS: Final = {4: 1.0, 5: 10.0, 6: 1000.0, 1: INCH}
"""mm of $INSUNITS (AutoCAD DXF Reference, header variables)."""


def read_cad(path: Path) -> Drawing:
    """By ezdxf. Raises UnreadableError, also for a drawing that does not say its unit."""
    from ezdxf.filemanagement import readfile

    need_end(path)
    document: Any = readfile(path)
    unit = _UNITS.get(document.header.get("$INSUNITS", 0))
    if unit is None:
        raise UnreadableError("its $INSUNITS names no unit that this reader knows")
    lines: list[tuple[str, tuple[XY, ...], bool]] = []
    for entity in document.modelspace().query("LWPOLYLINE"):
        points = tuple((x * unit, y * unit) for x, y in entity.get_points("xy"))
        lines.append((entity.dxf.layer, points, bool(entity.closed)))
    shown = Proved("layers", next(_hidden(document), ""), "all lines show")
    return replace(_drawing(lines), proved=(shown,))


def _hidden(document: Any) -> Iterator[str]:
    """What is drawn and does not show, or is no line of a layer that is known (AutoCAD DXF Reference, LAYER)."""
    used: set[str] = set()
    for entity in document.modelspace():
        kind, layer = entity.dxftype(), entity.dxf.layer
        used.add(layer)
        if kind not in ("LWPOLYLINE", "POINT"):
            yield f"it has a {kind} on layer {layer}, where lines are meant"
        if layer not in _KNOWN:
            yield f"it draws on layer {layer}, which is none of {', '.join(_KNOWN)}"
        if entity.dxf.get("invisible", 0):
            yield f"a line of layer {layer} is made invisible"
    for name in sorted(used):
        if not document.layers.has_entry(name):
            continue
        layer = document.layers.get(name)
        if layer.is_off() or layer.is_frozen():
            yield f"layer {name} is {'off' if layer.is_off() else 'frozen'}, so that its lines do not show"
        if not layer.dxf.get("plot", 1):
            yield f"layer {name} is not plotted"
        if layer.dxf.get("true_color", 0) == _WHITE:
            yield f"layer {name} is white, so that its lines do not show on paper"


def read_cad_with_gdal(path: Path) -> Drawing:
    """By GDAL, which tells no unit: mm are taken, as `read_cad` has proved. Raises UnreadableError."""
    import pyogrio.raw
    import shapely

    need_end(path)
    meta, _, shapes, columns = pyogrio.raw.read(path, layer="entities")
    layers = dict(zip(meta["fields"], columns, strict=True))["Layer"]
    geometries: Any = shapely.from_wkb(shapes)
    lines = []
    for layer, geometry in zip(layers, geometries, strict=True):
        if geometry is not None and geometry.geom_type in ("LineString", "Polygon"):
            points = [(float(x), float(y)) for x, y in shapely.get_coordinates(geometry)]
            lines.append((str(layer), tuple(points), points[0] == points[-1]))
    return _drawing(lines)


def _drawing(lines: Iterable[tuple[str, tuple[XY, ...], bool]]) -> Drawing:
    runs = [(layer, Run.of(points, closed=closed)) for layer, points, closed in lines]
    cut = tuple(run for layer, run in runs if layer == "CUT" and run.closed)
    if not cut:
        raise UnreadableError("its layer CUT has no closed line, so it holds no pattern")
    strokes = tuple(run for layer, run in runs if layer == "CUT" and not run.closed)
    scale = tuple(run for layer, run in runs if layer == "SCALE" and run.closed)
    by_role = {role: tuple(run for layer, run in runs if layer == name) for name, role in _ROLES.items()}
    codes = tuple(run for layer, run in runs if layer == _CODE)
    return Drawing(loose=(*cut, *scale), strokes=strokes, squares=squares_by_size(scale), by_role=by_role, codes=codes)
