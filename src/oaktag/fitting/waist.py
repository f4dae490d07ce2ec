"""Faults at the waist."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import pairwise
from typing import Final

from ..geometry.path import flatten
from ..geometry.point import XY, Point, along, between, direction, distance
from ..model.fitted import Ask
from ..model.length import inch
from ..model.piece import EdgeKind, Piece
from .around import has_waist, lifted, moved_out, retaken, settled, smoothed, waist_darts, walk, with_tip
from .fault import Fault
from .fitter import Fitter, NotHere, called
from .warp import led_by, trued_at, wedge

MOST_INTAKE: Final = 40.0
"""A dart takes in no more, mm (alterations: dart intake over 4 cm is parted)."""
SHORTEST: Final = 50.0
"""A dart is left so long at least, mm (judgement, no source)."""
LEAST_INTAKE: Final = 5.0
"""A dart takes in no less, mm (judgement, no source)."""
_ABOVE: Final = 60.0
"""What is taken out at the waist of a piece in one is taken out of so much above it, mm (judgement, no source)."""


def sway_back(on: Fitter, ask: Ask) -> None:
    """Take the centre back down at a waist seam, bodice and skirt alike, to nothing at the side; of a back in one lap
    it across at the waist (drafting rules).

    Lapped rigidly the centre below would swing out by what is lapped x length / width, which straightening it takes off
    and the side is given back: what comes of both is that each place below the waist goes straight up.
    """
    if on.has("back", "waist", "armhole"):
        raise_centre(on, "back", ask.amount)
    elif has_waist(on, "back"):
        raise_centre(on, "back", -ask.amount)
    else:
        sheared(on, "back", ask.amount)


def large_abdomen(on: Fitter, ask: Ask) -> None:
    """Raise the centre front of what hangs from the waist, to nothing at the side, half as much wider through the
    dart, which ends sooner; a front in one is spread across at the waist instead (drafting rules)."""
    _rounder(on, "front", ask)


def _rounder(on: Fitter, role: str, ask: Ask) -> None:
    if on.has(role, "waist", "armhole"):
        raise NotHere(f"the {role} ends at the waist, and what hangs below it is let out")
    if not has_waist(on, role):
        sheared(on, role, -ask.amount)
        return
    plain = on.pieces
    raise_centre(on, role, ask.amount)
    wider(on, role, ask.amount / 2)
    if on.has(role, "waist"):
        before = {dart.name: _long(dart.points) for dart in plain[on.index(role, "waist")].darts if dart.is_open}
        on.change(role, lambda piece: _ending_sooner(piece, before, ask.amount), "waist")


def raise_centre(on: Fitter, role: str, by: float) -> None:
    """The centre of a waist up, or down where it is less than nothing, to nothing at the side."""
    if not has_waist(on, role):
        raise NotHere(f"the {role} has no waist seam")
    if on.has(role, "waist", "centre"):
        on.corner(role, "waist", "centre")
    way = walk(on)
    if role == "back":
        lifted(on, lambda far: by * (1 - wedge(0.0, way.side, far)), (*trued_at(0.0, way.side), way.side))
    else:
        bends = (way.side, *trued_at(way.side, way.whole))
        lifted(on, lambda far: by * wedge(way.side, way.whole, far), bends)


def wider(on: Fitter, role: str, by: float) -> None:
    """A half wider by so much from the waist to the hem, at the side, which is moved as it is; its waist darts take it
    in, each up to 4 cm. Nothing where there are none: what falls free has the room."""
    if not on.has(role, "waist", "side"):
        return
    darts = waist_darts(on.piece(role, "waist", "side"))
    if not darts:
        return

    def more(piece: Piece, name: str) -> float:
        intake = next(dart.intake for dart in piece.darts if dart.name == name)
        return min(max(intake, MOST_INTAKE), max(min(intake, LEAST_INTAKE), intake + by / len(darts))) - intake

    def changed(piece: Piece) -> Piece:
        long = piece.edge("waist").sewn_length()
        for name in darts:
            piece = retaken(piece, name, more(piece, name))
        way = 1.0 if piece.edge("side").start.x > piece.grain[0].x else -1.0
        for _ in range(4):
            off = long - piece.edge("waist").sewn_length()
            piece = smoothed(moved_out(piece, "side", Point(off * way, 0.0)))
        return piece

    on.change(role, changed, "waist", "side")


def _ending_sooner(piece: Piece, before: dict[str, float], by: float) -> Piece:
    """The waist darts so much shorter than they were, if as much as is least is left of them."""
    if not waist_darts(piece):
        return piece
    for name in waist_darts(piece):
        dart = next(dart for dart in piece.darts if dart.name == name)
        long = _long(dart.points)
        wanted = max(before[name] - by, min(SHORTEST, before[name]))
        if long - wanted > 0.5:
            middle = between(dart.points[0], dart.points[2])
            piece = with_tip(piece, name, along(middle, direction(middle, dart.points[1]), wanted))
    waist, side = (piece.edge(name).sewn_length() for name in ("waist", "side"))
    return settled(smoothed(piece), "waist", "side", waist, side)


def _long(points: tuple[Point, ...]) -> float:
    return distance(points[1], between(points[0], points[2]))


# ---------------------------------------------------------------- pieces in one


def sheared(on: Fitter, role: str, by: float) -> None:
    """A half in one from above the waist down: all from the waist down goes up by so much at the centre, to nothing at
    the side, and down where it is less than nothing; what lies between is taken out, or put in, just above the waist.
    The centre stays straight and the side as it is. Raises NotHere."""
    if not on.has(role, "side", "hem"):
        raise NotHere(f"the {role} has no side and hem")
    waist = on.level(role, "waist")

    def changed(piece: Piece) -> Piece:
        hem = piece.edge("hem")
        bends = trued_at(*sorted((hem.start.x, hem.end.x)))
        return led_by(piece, shear(piece, waist, by), (waist, waist + _ABOVE), bends)

    on.change(role, changed, "side", "hem")


def shear(piece: Piece, waist: float, by: float) -> Callable[[Point], Point]:
    """The rule: where the cloth comes to lie."""
    out = out_to_side(piece)

    def field(p: Point) -> Point:
        down = 1.0 - min(1.0, max(0.0, (p.y - waist) / _ABOVE))
        return Point(p.x, p.y + by * down * (1 - out(p))) if down else p

    return field


def out_to_side(piece: Piece) -> Callable[[Point], float]:
    """How far out a place of a half lies: from 0 at the centre to 1 at the side, as a wedge that is trued at both."""
    side = flatten(piece.edge("side").curves)
    fold = next((edge.name for edge in piece.edges if edge.kind is EdgeKind.FOLD), called(piece, "centre"))
    centre = flatten(piece.edge(fold).curves) if fold else [Point(0.0, 0.0)]

    def across(line: Sequence[XY], y: float) -> float:
        ordered = sorted(line, key=lambda p: p[1])
        if y <= ordered[0][1]:
            return ordered[0][0]
        for (x0, y0), (x1, y1) in pairwise(ordered):
            if y <= y1:
                return x0 + (x1 - x0) * ((y - y0) / (y1 - y0) if y1 - y0 > 1e-9 else 0.0)
        return ordered[-1][0]

    return lambda p: wedge(across(centre, p.y), across(side, p.y), p.x)


ROWS: Final[tuple[Fault, ...]] = (
    Fault(
        "sway_back",
        sign="folds lie across the back at the waist",
        pin="pinch the fold at the centre back until it is gone, to nothing at the sides, and measure all that is "
        "pinched at the centre, both layers",
        change="taken out across the back at the waist, at the centre back",
        stays="side seams, armhole, waist seam",
        way=sway_back, most=inch(1), keeps=("back.side", "back.armhole"), usual="1/4 to 1 in (0.6 to 2.5 cm)",
        source="drafting rules, alterations: sway back",
    ),
    Fault(
        "large_abdomen",
        sign="the waist is pulled down in front, the hem rises there, and pulls point to the stomach",
        pin="let the waist down at the centre front until the hem is level, and measure by how much it falls short "
        "of her waist there",
        change="centre front raised, to nothing at the side, and half as much wider through the waist dart",
        stays="side seams, waist as sewn",
        way=large_abdomen, most=inch(1.5), keeps=("front.side", "front.waist"), usual="1/4 to 1 in (0.6 to 2.5 cm)",
        source="drafting rules, alterations: large abdomen",
    ),
)  # fmt: skip
