"""A sheet as a general CAD drawing (DXF R2010, mm) for laser cutters, routers and CAD programs: a layer a role.

It is drawn at full size in the order in which it is to be run: piece by piece, marks before cuts, inside before
outside. Where the device takes a kerf away, cut lines are moved out by half of it. Written by ezdxf.
"""

from __future__ import annotations

import io
from collections.abc import Iterator, Sequence
from typing import Final

from ..device.profile import DeviceProfile
from ..geometry.offset import grown
from ..geometry.point import XY
from ..geometry.polygon import Box
from ..sheet.strokes import Figure, Role, Sheet, Stroke
from . import knife

LAYERS: Final = {
    Role.CUT: ("CUT", 1, "CONTINUOUS"),
    Role.NOTCH: ("NOTCH", 6, "CONTINUOUS"),
    Role.DRILL: ("DRILL_HOLE", 4, "CONTINUOUS"),
    Role.STITCH: ("STITCH", 5, "DASHED"),
    Role.FOLD: ("FOLD", 5, "CENTER"),
    Role.DART: ("DART", 5, "DASHDOT"),
    Role.INTERNAL: ("INTERNAL", 5, "DOT"),
    Role.GRAIN: ("GRAIN", 3, "CONTINUOUS"),
    Role.LABEL: ("TEXT", 3, "CONTINUOUS"),
    Role.SCALE: ("SCALE", 8, "CONTINUOUS"),
    Role.JOIN: ("JOIN", 2, "PHANTOM"),
    Role.CODE: ("CODE", 8, "CONTINUOUS"),
}
"""Layer, colour number and line type of each role; our own choice, told apart by line type where colour is lost."""
_CUTS: Final = (Role.NOTCH, Role.CUT)


def render(sheet: Sheet, device: DeviceProfile) -> bytes:
    """The drawing; x to the right, y up, the sheet's lower left corner at (0, 0), corrected for the device.

    ezdxf's fixed dates and ids stand in place of today's: the same drawing gives the same bytes.
    """
    from ezdxf._options import options

    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        return _drawing(sheet, device)
    finally:
        options.write_fixed_meta_data_for_testing = before


def _drawing(sheet: Sheet, device: DeviceProfile) -> bytes:
    from ezdxf import units
    from ezdxf.filemanagement import new

    document = new("R2010", setup=["linetypes"], units=units.MM)
    document.header["$INSUNITS"] = units.MM
    document.header["$MEASUREMENT"] = 1
    document.header["$LTSCALE"] = 1.0
    for role, (name, colour, line_type) in LAYERS.items():
        document.layers.add(name, color=colour, linetype=line_type).description = role.value
    space = document.modelspace()
    left, bottom, _, _ = device.correction.bounds(sheet.width, sheet.height)
    for stroke in as_run(sheet, device):
        layer = LAYERS[stroke.role][0]
        points = [(x - left, y - bottom) for x, y in device.correction.points(stroke.points)]
        if len(points) == 1:
            space.add_point(points[0], dxfattribs={"layer": layer})
        else:
            space.add_lwpolyline(points, close=stroke.closed, dxfattribs={"layer": layer})
    for kind in sorted(document.entitydb.dxf_types_in_use()):
        document.classes.add_class(kind)  # ezdxf adds them in the order of a set, which is another in every process
    text = io.StringIO()
    document.write(text)
    return text.getvalue().encode("utf-8")


def as_run(sheet: Sheet, device: DeviceProfile) -> Iterator[Stroke]:
    """Every stroke in the order in which it is marked or cut; cut lines with the kerf, begun where it harms least."""
    kerf = device.laser.kerf if device.laser is not None else 0.0
    for figure in sheet.figures:
        strokes = [stroke for stroke in figure.strokes if device.pen(stroke.role.name.lower())]
        yield from (stroke for stroke in strokes if stroke.role not in _CUTS)
        yield from (stroke for stroke in strokes if stroke.role is Role.NOTCH)
        cuts = [stroke for stroke in strokes if stroke.role is Role.CUT]
        for stroke in sorted(cuts, key=lambda stroke: Box.round(stroke.points).width * Box.round(stroke.points).height):
            yield with_kerf(stroke, kerf)


def with_kerf(stroke: Stroke, kerf: float) -> Stroke:
    """A closed cut moved out by half the kerf, begun in the middle of its longest straight run; others as they are."""
    if not stroke.closed or len(stroke.points) < 3:
        return stroke
    ring: Sequence[XY] = grown(stroke.points, kerf / 2) if kerf else stroke.points
    return Stroke(stroke.role, tuple(knife.started(ring)), True, stroke.size, stroke.dashes)


def figure_as_run(figure: Figure, device: DeviceProfile) -> list[Stroke]:
    """The strokes of one figure; see `as_run`."""
    return list(as_run(Sheet("", 0.0, 0.0, (figure,)), device))
