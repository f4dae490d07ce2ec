"""SVG: one drawing in mm, full size, a group for each role and in it one path for each figure."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Final

from ..errors import GeometryError
from ..geometry.point import XY
from ..geometry.polygon import Box
from ..sheet.strokes import Alike, Role, Sheet, Stroke
from ..values import dataclass


@dataclass(frozen=True, slots=True)
class Style:
    """How a role is drawn: line width and dashes (on, off, on, off, …) in mm, colour as #rrggbb."""

    width: float
    colour: str
    dashes: tuple[float, ...] = ()
    round_ends: bool = False


STYLES: Final[Mapping[Role, Style]] = {  # our own choice; told apart by width and dashes, so that colour may be lost
    Role.CUT: Style(0.5, "#16181d"),
    Role.STITCH: Style(0.25, "#16181d", (3.0, 1.5)),
    Role.FOLD: Style(0.35, "#1f4e79", (12.0, 1.5, 1.5, 1.5)),
    Role.NOTCH: Style(0.4, "#16181d"),
    Role.DRILL: Style(0.3, "#7a2e1d"),
    Role.DART: Style(0.3, "#7a2e1d", (6.0, 1.5, 0.8, 1.5, 0.8, 1.5)),
    Role.INTERNAL: Style(0.2, "#2f5d3a", (0.8, 1.2)),
    Role.GRAIN: Style(0.25, "#1f4e79"),
    Role.LABEL: Style(0.3, "#3a3f4a", round_ends=True),
    Role.SCALE: Style(0.2, "#16181d"),
    Role.JOIN: Style(0.2, "#16181d", (2.0, 1.0, 0.5, 1.0)),
    Role.CODE: Style(0.6, "#16181d"),  # with square ends, so that rows of modules are filled: see rolls/code.py
}


def render(sheet: Sheet) -> bytes:
    """The sheet as SVG 1.1, UTF-8: width and height in mm, one user unit a mm, y turned over once, here.

    `<g id="cut-line">` holds `<path id="front.cut-line">`, and so on: all strokes of that role of that figure in one
    path. Where sizes are stacked, `front.cut-line.12` with `data-size="12"` holds those of one size in its line
    pattern, and `front.cut-line.corners.12` draws over what a pattern may leave out at corners. Where each size is
    drawn by itself, ids begin `front.12.`. Numbers to 1e-4 mm. Raises GeometryError if a stroke leaves the sheet (a
    reader would not show it).
    """
    refuse_outside(sheet)
    width, height = number(sheet.width), number(sheet.height)
    title = escaped(sheet.title)
    head = (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        f'<svg xmlns="http://www.w3.org/2000/svg" version="1.1" width="{width}mm" height="{height}mm" '
        f'viewBox="0 0 {width} {height}">\n<title>{title}</title>\n'
        f"<desc>Full size: one user unit is 1 mm, the whole sheet is {width} mm by {height} mm. "
        "Print or cut at 100 % and measure the scale block.</desc>\n"
    )
    out = [head]
    names = unique_ids(f"{figure.name}.{figure.size}" if figure.size else figure.name for figure in sheet.figures)
    by_role: dict[Role, list[str]] = {role: [] for role in Role}
    for name, figure in zip(names, sheet.figures, strict=True):
        for role, groups in figure.alike().items():
            by_role[role] += _paths(name, role, groups, sheet.height)
    for role, lines in by_role.items():
        if lines:
            style = STYLES[role]
            ends = ' stroke-linecap="round"' if style.round_ends else ""
            dashes = f' stroke-dasharray="{" ".join(f"{d:g}" for d in style.dashes)}"' if style.dashes else ""
            out.append(
                f'<g id="{_slug(role.value)}" fill="none" stroke="{style.colour}" stroke-width="{style.width:g}" '
                f'stroke-linejoin="round"{ends}{dashes}>\n{"".join(lines)}</g>\n'
            )
    out.append("</svg>\n")
    return "".join(out).encode("utf-8")


def _paths(figure: str, role: Role, groups: Sequence[Alike], height: float) -> list[str]:
    """The paths of one role of a figure: one for all, or one for each size and pattern."""
    ids = unique_ids(
        f"{figure}.{_slug(role.value)}.{own.size}" if own.strokes[0].size else f"{figure}.{_slug(role.value)}"
        for own in groups
    )
    lines = []
    for name, own in zip(ids, groups, strict=True):
        size = f' data-size="{_attribute(own.size)}"' if own.size else ""
        dashes = "" if own.dashes is None else f' stroke-dasharray="{_dash_list(own.dashes)}"'
        if own.phase:
            dashes += f' stroke-dashoffset="{number(own.phase)}"'
        lines.append(f'<path id="{name}"{size}{dashes} d="{path_data(own.strokes, height)}"/>\n')
        if own.corners:
            over = name.replace(f".{_slug(role.value)}", f".{_slug(role.value)}.corners", 1)
            strokes = [Stroke(role, line) for line in own.corners]
            lines.append(f'<path id="{over}"{size} stroke-dasharray="none" d="{path_data(strokes, height)}"/>\n')
    return lines


def _dash_list(dashes: Sequence[float]) -> str:
    return " ".join([number(part) for part in dashes]) or "none"


def refuse_outside(sheet: Sheet, slack: float = 0.01) -> None:
    """Raises GeometryError if a point lies outside the sheet, or is no number: it would be lost without a word."""
    for figure in sheet.figures:
        every_point = [point for stroke in figure.strokes for point in stroke.points]
        if all(stroke.points for stroke in figure.strokes) and _all_inside(every_point, sheet, slack):
            continue
        for stroke in figure.strokes:
            if not stroke.points:
                raise GeometryError(f"{figure.label}: a {stroke.role.value} without points")
            if not _all_inside(stroke.points, sheet, slack):
                box = Box.round(stroke.points)
                raise GeometryError(
                    f"{figure.label}: the {stroke.role.value} reaches from ({box.left:.1f}, {box.bottom:.1f}) to "
                    f"({box.right:.1f}, {box.top:.1f}) mm, outside the sheet of {sheet.width:.1f} by "
                    f"{sheet.height:.1f} mm. Arrange the pieces on a larger sheet."
                )


def _all_inside(points: Sequence[XY], sheet: Sheet, slack: float) -> bool:
    if not points:
        return True
    xs, ys = [x for x, _ in points], [y for _, y in points]
    total = sum(xs) + sum(ys)
    return (
        -slack <= min(xs)
        and max(xs) <= sheet.width + slack
        and -slack <= min(ys)
        and max(ys) <= sheet.height + slack
        and total - total == 0.0  # not so where any is infinite or no number
    )


def unique_ids(names: Iterable[str]) -> tuple[str, ...]:
    """An id for each name, in order; a name that comes again gets .2, .3 and so on.

    >>> unique_ids(["front", "centre back", "front", "12 sleeve"])
    ('front', 'centre-back', 'front.2', '_12-sleeve')
    """
    taken: set[str] = set()
    ids = []
    for name in names:
        base = _slug(name) or "figure"
        wanted, count = base, 1
        while wanted in taken:
            count += 1
            wanted = f"{base}.{count}"
        taken.add(wanted)
        ids.append(wanted)
    return tuple(ids)


def _slug(name: str) -> str:
    """Only what an XML id may hold: spaces become hyphens, the rest goes."""
    kept = "".join(c for c in "-".join(name.split()) if c in "-." or ("a" + c).isidentifier())
    return kept if not kept or kept[0].isidentifier() else f"_{kept}"


def path_data(strokes: Iterable[Stroke], height: float) -> str:
    """Their path data; all numbers are written at once, then the zeros after the last decimal go."""
    form = "".join(["M%.4f %.4f " + "L%.4f %.4f " * (len(s.points) - 1) + ("Z " if s.closed else "") for s in strokes])
    text = form % tuple([c for stroke in strokes for x, y in stroke.points for c in (x, height - y)])
    for _ in range(4):
        text = text.replace("0 ", " ")
    return text.replace(". ", " ").replace("-0 ", "0 ").rstrip()


def number(value: float) -> str:
    return f"{value:.4f}".rstrip("0").rstrip(".")


def _is_xml(c: str) -> bool:
    """Whether XML may hold that character (XML 1.0, production 2)."""
    return " " <= c <= "\ud7ff" or "\ue000" <= c <= "\ufffd" or c >= "\U00010000" or c in "\t\n\r"


def _attribute(text: str) -> str:
    return escaped(text).replace('"', "&quot;")


def escaped(text: str) -> str:
    text = "".join([c if _is_xml(c) else " " for c in text])
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
