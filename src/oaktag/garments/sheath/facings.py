"""Neck and armhole facings, copied from the shell's own edges."""

from __future__ import annotations

from ...draft.construct import x_at
from ...draft.worksheet import Worksheet
from ...errors import GeometryError
from ...geometry.curve import Line
from ...geometry.path import Path, parallel, part, path_length, reverse, solve
from ...geometry.point import Point, along, direction, distance
from ...model.draft import Step
from ...model.piece import Edge, EdgeKind, NotchPlace, Piece
from ...units import INCH, Unit, show
from .half import Half
from .style import Asked


def _facing_width(half: Half, asked: Asked, option: str, unit: Unit, notes: list[str]) -> float:
    """As asked for, but 1/4 in short of the far end of a shoulder that is shorter."""
    shoulder = distance(half.points["neck_side"], half.points["shoulder_tip"])
    width = asked.length(option)
    if width > shoulder - INCH / 4:
        if half.name == "front":
            notes.append(
                f"The shoulder is {show(shoulder, unit)} long: {option} was cut down from {show(width, unit)} to stop "
                f"{show(INCH / 4, unit)} short of its end."
            )
        return shoulder - INCH / 4
    return width


def neck_facing(half: Half, asked: Asked, unit: Unit, on_fold: bool, notes: list[str]) -> tuple[Piece, list[Step]]:
    """Parallel to the neckline; neckline, shoulder and centre are those of the shell."""
    name = f"facing_{half.name}"
    w = Worksheet(name)
    p = half.points
    width = w(
        "facing width",
        "at the shoulder, and parallel to the neckline",
        _facing_width(half, asked, "facing_width", unit, notes),
    )
    outer = reverse(parallel(half.neckline, -width))
    low, far = (
        Point(0.0, p["neck_centre"].y - width),
        along(p["neck_side"], direction(p["neck_side"], p["shoulder_tip"]), width),
    )
    outer = _pinned(outer, low, far)
    w("facing depth at the centre", "neck depth + facing width", -low.y)
    w("outer edge", "curve, so long", path_length(outer))
    centre = ("centre_front", EdgeKind.FOLD) if on_fold else ("centre_back", EdgeKind.SEAM)
    middle = half.neckline[0].at(0.5)
    inside = outer[len(outer) // 2].start
    grain_x = min(middle.x, inside.x) * 0.35
    piece = Piece(
        name,
        (
            Edge.straight(centre[0], p["neck_centre"], low, centre[1]),
            Edge("outer_edge", EdgeKind.OPENING, outer),
            Edge.straight("shoulder", far, p["neck_side"]),
            Edge("neckline", EdgeKind.SEAM, half.neckline),
        ),
        points={key: p[key] for key in ("neck_side", "neck_centre")} | {"facing_centre": low, "facing_shoulder": far},
        grain=(Point(grain_x, p["neck_centre"].y - 0.12 * width), Point(grain_x, low.y + 0.12 * width)),
        quantity=1 if on_fold else 2,
        on_fold=on_fold,
        mirrored_pair=not on_fold,
        notches=(NotchPlace("neckline", path_length(half.neckline) / 2, 1 if on_fold else 2, "neck"),),
    )  # fmt: skip
    return piece, w.steps


def _pinned(path: Path, start: Point, end: Point) -> Path:
    """The run with its ends laid exactly on the points they meet (they are within 0.01 mm of them)."""
    first, last = path[0], path[-1]
    fixed = first.with_controls((start, *first.controls()[1:]))
    if len(path) == 1:
        return (fixed.with_controls((*fixed.controls()[:-1], end)),)
    return (fixed, *path[1:-1], last.with_controls((*last.controls()[:-1], end)))


def armhole_facing(half: Half, asked: Asked, unit: Unit, notes: list[str]) -> tuple[Piece, list[Step]]:
    """Parallel to the armhole, down to the side seam; armhole, shoulder and side are those of the shell."""
    name = f"armhole_facing_{half.name}"
    w = Worksheet(name)
    p = half.points
    width = w(
        "facing width", "parallel to the armhole", _facing_width(half, asked, "armhole_facing_width", unit, notes)
    )
    inner = along(p["shoulder_tip"], direction(p["shoulder_tip"], p["neck_side"]), width)
    outer = _pinned(parallel(half.armhole, -width), Point(p["underarm"].x, p["underarm"].y - width), inner)
    outer, meet = _to_the_side(outer, half.side)
    side = part(half.side, 0.0, _length_to(half.side, meet.y))
    w("facing depth at the side", "along the side seam", path_length(side))
    w("outer edge", "curve, so long", path_length(outer))
    middle = outer[len(outer) // 2].start
    hollow = half.armhole[0].end
    grain_x = (middle.x + hollow.x) / 2
    top, bottom = inner.y - 25, p["mid_armhole"].y - 10
    piece = Piece(
        name,
        (
            Edge("side", EdgeKind.SEAM, _pinned(reverse(side), meet, p["underarm"])),
            Edge("armhole", EdgeKind.SEAM, half.armhole),
            Edge.straight("shoulder", p["shoulder_tip"], inner),
            Edge("outer_edge", EdgeKind.OPENING, reverse(outer)),
        ),
        points={key: p[key] for key in ("shoulder_tip", "mid_armhole", "underarm")}
        | {"facing_shoulder": inner, "facing_side": meet},
        grain=(Point(grain_x, top), Point(grain_x, bottom)),
        quantity=2,
        mirrored_pair=True,
        notches=(NotchPlace("armhole", half.armhole[0].length(), 1 if half.name == "front" else 2, "armhole"),),
    )  # fmt: skip
    return piece, w.steps


def _to_the_side(outer: Path, side: Path) -> tuple[Path, Point]:
    """The parallel run, from the side seam on: cut off where it crosses the seam, or led straight to it."""
    start = outer[0].start
    gap = start.x - x_at(side, start.y)
    if gap <= 1e-9:
        meet = Point(x_at(side, start.y), start.y)
        return ((Line(meet, start), *outer) if gap < -1e-6 else outer), meet
    for i, curve in enumerate(outer):
        if curve.end.x - x_at(side, curve.end.y) <= 0:
            t = solve(lambda t: curve.at(t).x - x_at(side, curve.at(t).y), 0.0, 1.0, near=1e-7)  # noqa: B023
            kept = curve.split(t)[1]
            return (kept, *outer[i + 1 :]), kept.start
    raise GeometryError("an armhole facing does not reach the side seam")


def _length_to(side: Path, y: float) -> float:
    """Length of the side seam from the underarm down to the level y."""
    walked = 0.0
    for curve in side:
        if y >= curve.end.y:
            t = (y - curve.start.y) / (curve.end.y - curve.start.y)
            return walked + curve.split(t)[0].length()
        walked += curve.length()
    return walked
