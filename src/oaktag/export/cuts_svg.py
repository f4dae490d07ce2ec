"""A sheet as SVG for a cutter: marks and cuts in two groups, hair lines, in the order in which they are to be run.

Full size: one user unit is 1 mm. Where the device takes a kerf away, cut lines are moved out by half of it.
"""

from __future__ import annotations

from typing import Final

from ..device.profile import DeviceProfile
from ..sheet.strokes import Role, Sheet, Stroke
from .cad import figure_as_run
from .svg import escaped, number, path_data, unique_ids

HAIR: Final = 0.05
"""Width of every line, mm; what a cutter takes for a line to follow (common practice, no source)."""
MARK: Final = "#0000ff"
CUT: Final = "#ff0000"
"""Blue is marked, red is cut (common practice, no source)."""


def render(sheet: Sheet, device: DeviceProfile) -> bytes:
    """`<g id="marks">`, then `<g id="cuts">`; in each a path for each role of each figure, ids as in pattern.svg."""
    left, bottom, right, top = device.correction.bounds(sheet.width, sheet.height)
    wide, high = right - left, top - bottom
    width, height = number(wide), number(high)
    marks: list[str] = []
    cuts: list[str] = []
    names = unique_ids(f"{figure.name}.{figure.size}" if figure.size else figure.name for figure in sheet.figures)
    for name, figure in zip(names, sheet.figures, strict=True):
        held: dict[Role, list[Stroke]] = {}
        for stroke in figure_as_run(figure, device):
            points = tuple([(x - left, y - bottom) for x, y in device.correction.points(stroke.points)])
            held.setdefault(stroke.role, []).append(Stroke(stroke.role, points, stroke.closed))
        for role, strokes in held.items():
            lines = cuts if role in (Role.CUT, Role.NOTCH) else marks
            slug = role.value.replace(" ", "-")
            lines.append(f'<path id="{name}.{slug}" class="{slug}" d="{path_data(strokes, high)}"/>\n')
    groups = "".join(
        f'<g id="{name}" fill="none" stroke="{colour}" stroke-width="{HAIR:g}">\n{"".join(lines)}</g>\n'
        for name, colour, lines in (("marks", MARK, marks), ("cuts", CUT, cuts))
    )
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        f'<svg xmlns="http://www.w3.org/2000/svg" version="1.1" width="{width}mm" height="{height}mm" '
        f'viewBox="0 0 {width} {height}">\n<title>{escaped(sheet.title)}</title>\n'
        f"<desc>Full size: one user unit is 1 mm. Blue is to be marked, then red to be cut. "
        f"For: {escaped(device.words)}.</desc>\n{groups}</svg>\n"
    ).encode()
