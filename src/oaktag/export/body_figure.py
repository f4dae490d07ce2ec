"""A sign of a fault on a figure, front or back: where folds and pulls lie. SVG; drawn by eye, in units of its own."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from math import hypot
from typing import Final

from ..fitting.ask import Seen, Sign
from ..geometry.point import XY
from .report_page import escaped

WIDE: Final = 190
HIGH: Final = 370
_MIDDLE: Final = WIDE / 2
_PLACES: Final[dict[str, XY]] = {  # half of the figure, from its middle line to the right and down
    "neck": (13, 63), "neck_centre": (0, 74), "below_neck": (0, 84), "shoulder_middle": (30, 72), "shoulder": (46, 78),
    "arm_top": (56, 92), "armhole": (39, 98), "underarm": (41, 118), "chest_centre": (0, 102), "chest": (28, 102),
    "blade_centre": (0, 102), "blade": (20, 112), "bust_centre": (0, 128), "bust": (19, 128), "bust_side": (40, 130),
    "above_bust": (19, 106),
    "below_bust": (19, 150), "above_waist": (32, 160), "waist_centre": (0, 178), "waist_middle": (17, 178),
    "waist": (31, 178), "below_waist_centre": (0, 198), "below_waist": (36, 196), "belly_centre": (0, 202),
    "belly": (18, 206), "high_hip": (39, 200), "hip": (44, 224), "seat_centre": (0, 226), "seat": (21, 224),
    "crotch": (4, 252), "thigh": (28, 266), "hem_centre": (0, 330), "above_hem": (0, 304), "hem": (42, 330),
    "above_hem_side": (42, 304), "upper_arm": (61, 122), "upper_arm_in": (46, 126), "elbow": (63, 172),
    "wrist": (72, 216),
}  # fmt: skip
"""Places that strokes are drawn between."""
_SIDE: Final[tuple[XY, ...]] = ((41, 118), (41, 132), (34, 158), (31, 178), (37, 198), (44, 224))
_SKIRT: Final[tuple[XY, ...]] = ((44, 224), (44, 270), (42, 330))
_BELOW: Final[tuple[tuple[XY, ...], ...]] = (((38, 330), (35, 350), (32, 368)), ((6, 330), (8, 350), (10, 368)))
_LEGS: Final[tuple[XY, ...]] = ((44, 224), (43, 270), (38, 320), (33, 366), (11, 366), (9, 310), (4, 262), (0, 252))
_ARM: Final[tuple[XY, ...]] = (
    (46, 78), (57, 92), (62, 120), (68, 172), (77, 222), (69, 226), (57, 176), (45, 130), (41, 118),
)  # fmt: skip
_ARMHOLE: Final[tuple[XY, ...]] = ((46, 78), (40, 92), (37, 104), (41, 118))
_NECK: Final[tuple[XY, ...]] = ((11, 44), (11, 56), (16, 64))
_BODY: Final = 'stroke="#80858f" stroke-width="1.2"'
_SEEN: Final = {
    "fold": 'stroke="#16181d" stroke-width="1.6"',
    "pull": 'stroke="#16181d" stroke-width="1.6"',
    "gap": 'stroke="#16181d" stroke-width="1.6" stroke-dasharray="3 2"',
    "arrow": 'stroke="#a3161a" stroke-width="1.8"',
}
_APART: Final = 5.0
"""How far loose folds lie apart."""


def drawn(sign: Sign) -> str:
    """The figure with the strokes of a sign, on both sides of it unless only one can have it."""
    ways = (1,) if sign.sides == "one" else (1, -1)
    strokes = "".join(_stroke(seen, way) for seen in sign.strokes for way in ways)
    where = "from the front" if sign.view == "front" else "from the back"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" role="img" width="{WIDE}" height="{HIGH}" '
        f'viewBox="0 0 {WIDE} {HIGH}"><title>{escaped(f"Seen {where}: {sign.words}.")}</title>'
        f'<g fill="none" stroke-linecap="round" stroke-linejoin="round"><g {_BODY}>{"".join(_figure(sign))}</g>'
        f"{strokes}</g></svg>"
    )


def _figure(sign: Sign) -> Iterator[str]:
    yield f'<ellipse cx="{_MIDDLE:g}" cy="25" rx="17" ry="21"/>'
    legs = (_LEGS,) if sign.where == "leg" else (_SKIRT, *_BELOW)
    low = _PLACES["neck_centre"][1] if sign.view == "front" else 67.0
    neck = (_PLACES["neck"], (8.0, low - 2), (0.0, low))
    for way in (1, -1):
        for line in (_NECK, _ARM, _SIDE, _ARMHOLE, neck, *legs):
            yield _path(_smooth(line), way)
        yield _path(_straight((_PLACES["neck"], _PLACES["shoulder"])), way)
    for wide, y in ((31.0, 178.0), *(() if sign.where == "leg" else ((42.0, 330.0),))):
        yield _path(_smooth(((-wide, y), (0.0, y + 3.5), (wide, y))), 1)


def _stroke(seen: Seen, way: int) -> str:
    a, b = _PLACES[seen.a], _PLACES[seen.b]
    across = a[0] == 0 and seen.kind in ("fold", "gap")  # over the middle, as one line
    if a[0] == 0 and way < 0 and (across or b[0] == 0):
        return ""
    along = hypot(b[0] - a[0], b[1] - a[1])
    ux, uy = (b[0] - a[0]) / along, (b[1] - a[1]) / along
    side = (-uy, ux)

    def at(share: float, off: float) -> XY:
        return a[0] + (b[0] - a[0]) * share + side[0] * off, a[1] + (b[1] - a[1]) * share + side[1] * off

    if seen.kind == "arrow":
        head = [(b[0] - 6 * ux + s * 3.2 * side[0], b[1] - 6 * uy + s * 3.2 * side[1]) for s in (1, -1)]
        lines = [_straight((a, b)), _straight((head[0], b, head[1]))]
    elif across:
        offs = (6.0,) if seen.kind == "gap" else (-_APART, 0.0, _APART)
        lines = [_smooth(((-b[0], b[1] + off), (0.0, a[1] + off + 2.5), (b[0], b[1] + off))) for off in offs]
    elif seen.kind == "gap":
        lines = [_smooth((a, at(0.5, 4.5), b)), _smooth((a, at(0.5, -4.5), b))]
    elif seen.kind == "pull":
        lines = [_straight((at(0.08, 0.6 * off), at(1.0 - 0.12 * abs(off), 4.0 * off))) for off in (-1, 0, 1)]
    else:
        lines = [_smooth((at(0.04, off), at(0.5, off + 1.0), at(0.96, off))) for off in (-_APART, 0.0, _APART)]
    return "".join(_path(line, way, _SEEN[seen.kind]) for line in lines)


def _straight(points: Sequence[XY]) -> list[XY]:
    """A line through the points, as a cubic that has its handles on it."""
    found = [points[0]]
    for p, q in pairwise(points):
        found += [p, q, q]
    return found


def _smooth(points: Sequence[XY]) -> list[XY]:
    """A smooth curve through the points, as cubics (Catmull and Rom, 1974)."""
    found = [points[0]]
    ends = [points[0], *points, points[-1]]
    for before, p, q, after in zip(ends, ends[1:], ends[2:], ends[3:], strict=False):
        found.append((p[0] + (q[0] - before[0]) / 6, p[1] + (q[1] - before[1]) / 6))
        found.append((q[0] - (after[0] - p[0]) / 6, q[1] - (after[1] - p[1]) / 6))
        found.append(q)
    return found


def _path(points: Sequence[XY], way: int, look: str = "") -> str:
    start, *rest = (f"{_MIDDLE + way * x:.1f} {y:.1f}" for x, y in points)
    return f'<path d="M{start}C{" ".join(rest)}"{" " + look if look else ""}/>'
