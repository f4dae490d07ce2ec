"""Zip, vent and slit: getting in, and walking."""

from __future__ import annotations

from typing import Final

from ...draft.board import Board
from ...draft.construct import trimmed
from ...errors import DraftError
from ...geometry.path import path_length, solve
from ...model.length import Length, found, inch, mm
from ...model.walking import VENT_STEP, Walk, shortest_opening
from ...units import INCH, show_at_most
from ...values import dataclass, replace
from .half import Half

ZIP_END: Final = "zip end"
"""What worked steps are about: see `Step.about`."""
METRIC_ZIPS: Final = 50.0
"""Zips are sold in lengths that differ by 5 cm, mm (common practice, no source)."""
_CALF: Final = 0.72
"""How high the calf is, by the height of the knee (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Zip:
    """A zip from one depth to another below the top line, mm; `length` is measured along its seam."""

    top_depth: float
    end_depth: float
    length: float
    place: str = "centre back"


@dataclass(frozen=True, slots=True)
class Opened:
    """How the dress opens: a zip to get in, if any, and the hem to walk in."""

    zipper: Zip | None
    walk: Walk

    @property
    def back_end(self) -> float | None:
        """How far down a zip at the centre back ends, mm; None without one."""
        return self.zipper.end_depth if self.zipper is not None and self.zipper.place == "centre back" else None

    @property
    def side_zip(self) -> Zip | None:
        return self.zipper if self.back_end is None else None

    @property
    def nowhere_at_back(self) -> bool:
        """Whether the back needs no centre seam: no zip there, and no vent or slit."""
        return self.back_end is None and self.walk.opening == "none"


def girth_at(front: Half, back: Half, depth: float) -> float:
    return 2 * (front.width_at(depth) + back.width_at(depth))


def draft_zip(
    on: Board, place: str, asked: Length | None, front: Half, back: Half, *, told: bool = True
) -> Zip | None:  # fmt: skip
    """The zip opens the dress down to where it is as wide as the hip, rounded up to 1/2 in of zip, or to 5 cm.

    At the centre back it starts at the neck, at the side 1 in (2.5 cm) below the underarm. `told`: in the worked steps.
    """
    if place == "none":
        return None
    at_side, below, s = place == "side", on.usual(inch(1)), back.sheet
    seam, start = ("side", f"{on.say(below)} below the underarm") if at_side else ("centre back", "back neck")
    top = front.depth("underarm") + below.mm if at_side else back.depth("neck_centre")
    waist, hip, deepest = front.depth("waist_side"), front.depth("hip_side"), front.depth("hem_side") - 50

    def along(depth: float) -> float:
        """Length of zip from its top down to a depth."""
        return path_length(trimmed(front.side, -top, -depth)) if at_side else depth - top

    def spare(depth: float) -> float:
        """The dress all round over the hip girth."""
        return girth_at(front, back, depth) - on.body.hip_girth.mm

    if asked is None:
        reach = waist
        if spare(waist) < 0:
            reach = hip if spare(hip) <= 1e-6 else solve(spare, waist, hip, near=1e-4)
        step = INCH / 2 if on.unit == "in" else METRIC_ZIPS
        words = f"{start} to where the dress is as wide as the hip, up to the next {{}}"
        length = found(-(-(along(reach) - 1e-6) // step) * step, words, mm(step))
        if told:
            s.tell(length, "zip", about=ZIP_END)
    elif asked.mm > along(deepest):
        raise DraftError(
            f"back: a zip of {on.say(asked)} at the {seam} would reach the hem. Make zip_length "
            f"{show_at_most(along(deepest), on.unit)} or less."
        )
    else:
        length = asked
    end = solve(lambda depth: along(depth) - length.mm, top, deepest, near=1e-4) if at_side else top + length.mm
    down = found(end, f"{start} + zip") if asked is None else found(end, f"{start} + {{}} as asked for", asked)
    if told:
        s.tell(down, "zip end, down", about=ZIP_END)
    on.work("zip_length", mm(length.mm))
    return Zip(top, end, length.mm, seam)


def draft_walk(
    on: Board, kind: str, asked: Length | None, vent_width: Length, hem: str, front: Half, back: Half,
    zipper: Zip | None,
) -> tuple[Opened, tuple[str, ...]]:  # fmt: skip
    """Vent, slit or none, and how long: the shortest that lets her walk, in whole inches from 6 in, or cm from 15; and
    what was assumed of her legs."""
    taken, assumed = on.body.with_estimates(
        "stature", "waist_height", "ankle_height", "ankle_girth", "knee_height", "calf_girth", "knee_girth",
        "crotch_height", "thigh_girth",
    )  # fmt: skip
    legs = [(taken[f"{at}_height"], taken[f"{leg}_girth"])
            for at, leg in (("ankle", "ankle"), ("knee", "knee"), ("crotch", "thigh"))]  # fmt: skip
    if kind == "auto":
        kind = "vent" if hem == "pegged" else "none"
    hem_depth = front.depth("hem_centre")
    zip_end = zipper.end_depth if zipper is not None and zipper.place == "centre back" else 0.0
    walk = Walk(
        stature=taken["stature"],
        top_height=taken["waist_height"] + front.depth("waist_side"),
        hem_depth=hem_depth,
        leg_girths=tuple(sorted((*legs, (_CALF * taken["knee_height"], taken["calf_girth"])))),
        opening=kind,
        opening_length=0.0,
        highest_opening_depth=max(zip_end + 100, front.depth("hip_side")),
        flare_rise=hem_depth - front.depth("hem_side"),
    )
    if kind != "none":
        walk = _opened(on, walk, asked, front, back)
    on.work("opening", walk.opening)
    if walk.opening != "none":
        on.work("opening_length", mm(walk.opening_length))
    if walk.opening == "vent":
        back.sheet.tell(vent_width.told("beyond the centre back"), "vent extension", about="vent_top")
    return Opened(zipper, walk), assumed


def _opened(on: Board, walk: Walk, asked: Length | None, front: Half, back: Half) -> Walk:
    """With a vent or slit as long as was asked for, or as she needs; without one where there is no room for it."""
    kind, highest = walk.opening, walk.highest_opening_depth
    room = walk.hem_depth - highest
    if asked is not None and asked.mm > room + 80:
        raise DraftError(
            f"back: the {kind}, {on.say(asked)}, would reach too near the zip or the hip, {on.say(highest)} down. "
            f"Make opening_length {on.say(room)} or less."
        )
    shortest = None if asked else shortest_opening(walk, lambda depth: girth_at(front, back, depth), unit=on.unit)
    if asked is not None:
        length = asked
    elif shortest is not None:
        length = found(shortest, "the shortest that allows a step of {}", mm(VENT_STEP))
    else:
        step = INCH if on.unit == "in" else 10.0
        length = found(room // step * step, "the longest that stays clear of zip and hip")
        if length < on.usual(inch(4)):
            on.note(
                f"There is no room for a {kind} between the zip and the hem, so none was drafted. Lengthen the dress, "
                'or choose hem = "straight".'
            )
            return replace(walk, opening="none")
    back.sheet.tell(length, f"{kind}, from the hem up", about="vent_top" if kind == "vent" else "slit")
    return replace(walk, opening_length=length.mm)
