"""Faults of bust and chest."""

from __future__ import annotations

from math import asin, cos, sin
from typing import Final

from ..draft.stretches import place
from ..model.fitted import Ask
from ..model.length import inch
from ..model.piece import Piece
from ..units import show_at_most
from .cup import LEAST, bust_dart, cup_of, left_in, levelled, lower_edge, turned, with_dart_at_side
from .fault import Fault
from .fitter import Fitter

WIDEST: Final = 40.0
"""A bust dart in the side takes in no more than this, mm (common practice, no source)."""
_PLACES: Final = ("side", "armhole", "shoulder", "neck", "centre")


def full_bust(on: Fitter, ask: Ask) -> None:
    """Slash from the bust point to lower edge, armhole and side; spread by what each half must gain."""
    _turned(on, ask, ask.amount)


def small_bust(on: Fitter, ask: Ask) -> None:
    """The same slashes, lapped."""
    _turned(on, ask, -ask.amount)


def _turned(on: Fitter, ask: Ask, w: float) -> None:
    front = on.piece("front", *_PLACES)
    lower_edge(front)
    dart, side = bust_dart(front), on.edge("front", "side").name
    at_side = dart is None or side in [e.name for e in front.edges if any(t.tip == dart.points[1] for t in e.takes)]

    def change(piece: Piece, closed: float | None) -> Piece:
        cup = cup_of(piece, w, closed)
        v, u = (p := place(piece.edge(on.edge("front", "armhole").name), cup.hinge)).y - cup.apex.y, p.x - cup.apex.x
        angle = left_in(piece)

        def spread(t: float) -> float:
            return abs(v * sin(t) + u * (1 - cos(t)))

        if w < 0 and angle + cup.t < 2 * asin(LEAST / 2 / cup.arm):
            if not angle:
                on.refuse(
                    ask, f"the {front.name} has no bust dart to be made smaller", "Take it in at the side instead"
                )
            most = show_at_most(spread(2 * asin(LEAST / 2 / cup.arm) - angle), on.unit)
            on.refuse(ask, f"its bust dart is gone when {most} is lapped",
                      f"Make it {most} or less, and take the rest in at the side")  # fmt: skip
        if at_side and w > 0 and cup.intake > WIDEST + 0.1:
            room = 2 * asin(WIDEST / 2 / cup.arm) - angle
            most = show_at_most(spread(room), on.unit)
            say = f"its bust dart would take in {on.say(cup.intake)}, and one that takes in more than {on.say(WIDEST)}"
            less = f"Make it {most} or less, or draft" if room > 0 and most[0] != "0" else "Draft"
            on.refuse(ask, f"{say} puckers", f"{less} it anew on the girth and front_waist_length of this body")
        return turned(cup)

    on.change("front", lambda piece: levelled(with_dart_at_side(piece, w, change), piece, w), *_PLACES)


_CUP: Final = ("front.armhole", "front.shoulder", "front.neck", "front.side")
ROWS: Final[tuple[Fault, ...]] = (
    Fault(
        "full_bust",
        sign="cloth pulls in folds to the bust, and the front rides up; armhole or neck may gape",
        pin="cut the trial garment up from the waist to the bust point, across to the side and to the armhole, let it "
            "spread, and measure the gap at the bust point: half an inch for an inch of girth",
        change="slashed from the bust point to the waist, the side and the armhole, and spread at the bust point",
        stays="armhole, shoulder, neck, and the side with its dart closed",
        way=full_bust, most=inch(1.5), keeps=_CUP, usual="1/2 in (1.25 cm) in each half for an inch of girth",
    ),
    Fault(
        "small_bust",
        sign="cloth is slack over the bust, and folds hang there",
        pin="pinch the fold upright at the bust point until it is gone, and measure what one half loses",
        change="slashed from the bust point to the waist, the side and the armhole, and lapped at the bust point",
        stays="armhole, shoulder, neck, and the side with its dart closed",
        way=small_bust, most=inch(1), keeps=_CUP, usual="1/4 to 1/2 in (0.6 to 1.25 cm) in each half",
    ),
)  # fmt: skip
