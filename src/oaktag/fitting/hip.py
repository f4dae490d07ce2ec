"""Faults of the hip."""

from __future__ import annotations

from typing import Final

from ..geometry.point import Point
from ..model.fitted import Ask
from ..model.length import inch
from ..model.piece import Piece
from .around import has_waist, lifted, walk
from .fault import Fault
from .fitter import Fitter, NotHere
from .waist import out_to_side, raise_centre, sheared, wider
from .warp import led_by, trued_at, wedge


def large_seat(on: Fitter, ask: Ask) -> None:
    """Raise the centre back of what hangs from the waist, to nothing at the side, and make it half as much wider
    through longer, larger darts; a back in one is spread across instead (drafting rules)."""
    _seat(on, ask, ask.amount)


def flat_seat(on: Fitter, ask: Ask) -> None:
    """The reverse: lower the centre back, with shorter, smaller darts; lap a back in one."""
    _seat(on, ask, -ask.amount)


def _seat(on: Fitter, ask: Ask, by: float) -> None:
    if on.has("back", "waist", "armhole"):
        raise NotHere("the back ends at the waist, and what hangs below it is altered")
    if not has_waist(on, "back"):
        sheared(on, "back", -by)
        return
    raise_centre(on, "back", by)
    wider(on, "back", by / 2)


def high_hip(on: Fitter, ask: Ask) -> None:
    """Raise the top of one side, and the hip curve with it, to nothing at the centres; the hem stays level. Pieces in
    one from the shoulder are made longer there at the hem instead (drafting rules)."""
    if not ask.side:
        on.refuse(ask, "a high hip is of one side", f'Write high_hip = {{ left = "{on.say(ask.amount)}" }}, or right')
    if on.has("back", "waist", "armhole") or on.has("front", "waist", "armhole"):
        raise NotHere("the pieces end at the waist")
    if has_waist(on, "back") or has_waist(on, "front"):
        way, h = walk(on), ask.amount
        lifted(on, lambda far: h * (wedge(0.0, way.side, far) if far <= way.side else
                                    1 - wedge(way.side, way.whole, far)),
               (way.side, *trued_at(0.0, way.side), *trued_at(way.side, way.whole)), hip_too=True)  # fmt: skip
        return
    for role in ("front", "back"):
        _longer_at_the_side(on, role, ask.amount)


def _longer_at_the_side(on: Fitter, role: str, by: float) -> None:
    hip = on.level(role, "hip", "waist")

    def changed(piece: Piece) -> Piece:
        hem, out = piece.edge("hem"), out_to_side(piece)
        side = piece.edge("side")
        low = min(side.start.y, side.end.y)

        def field(p: Point) -> Point:
            down = min(1.0, max(0.0, (hip - p.y) / (hip - low)))
            return Point(p.x, p.y - by * down * out(p))

        return led_by(piece, field, (hip,), trued_at(*sorted((hem.start.x, hem.end.x))))

    on.change(role, changed, "side", "hem")


ROWS: Final[tuple[Fault, ...]] = (
    Fault(
        "large_seat",
        sign="the hem rises at the back, and folds run from the seat to the waist",
        pin="let the waist down at the centre back until the hem is level, and measure by how much it falls short "
        "of her waist there",
        change="centre back raised, to nothing at the side, and half as much wider through larger darts",
        stays="side seams, waist as sewn",
        way=large_seat, most=inch(1.5), keeps=("back.side", "back.waist"), usual="3/8 to 1 1/4 in (1 to 3 cm)",
        source="drafting rules, alterations: large seat",
    ),
    Fault(
        "flat_seat",
        sign="folds hang across the back below the waist, and the hem drops there",
        pin="pinch the fold below the waist at the centre back until the hem is level, to nothing at the sides, "
        "and measure all that is pinched, both layers",
        change="centre back lowered, to nothing at the side, and half as much narrower through smaller darts",
        stays="side seams, waist as sewn",
        way=flat_seat, most=inch(1), keeps=("back.side", "back.waist"), usual="1/4 to 3/4 in (0.6 to 2 cm)",
        source="drafting rules, alterations: flat seat",
    ),
    Fault(
        "high_hip",
        sign="on one side the hem is higher, and folds run from that hip to the waist",
        pin="let the waist down on that side until the hem is level, and measure by how much it falls short of her "
        "waist there; write her own left or right",
        change="top of that side and hip curve raised, to nothing at the centres; the hem as it was",
        stays="centres, waist as sewn, front side as long as back side",
        way=high_hip, most=inch(1.5), keeps=("front.waist", "back.waist"), usual="what her two sides differ by",
        source="drafting rules, alterations: one high hip",
    ),
)  # fmt: skip
