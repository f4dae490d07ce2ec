"""The sleeve of the dress."""

from __future__ import annotations

from math import inf
from typing import Final

from ...claims.sleeve import SleeveFits
from ...draft.board import Board
from ...draft.construct import HOLLOW, armhole
from ...draft.sleeve import LEAST_BICEPS_EASE, LEAST_UNDERARM, Sleeve, SleeveOrder, draft_sleeve
from ...geometry.curve import Cubic
from ...geometry.path import part, path_length
from ...geometry.point import Point
from ...model.claim import Claim
from ...model.length import Length, found, inch, mm
from ...model.piece import Cut, Edge, EdgeKind, InternalLine, LevelLine, LineKind, NotchPlace, Piece
from .half import Half

ELBOW_MORE: Final = inch(1)
BICEPS_EASE: Final = inch(2)
WIDENED_BICEPS_EASE: Final = inch(3.5)
"""What a sleeve to the elbow is longer, and the ease round the arm (common practice, no source). A biceps line that is
widened for the cap's sake gets no more than the last."""
HEMMED_UNDERARM: Final = inch(2.5)
"""A sleeve whose length is free has this much underarm seam: more than its hem is turned up (common practice, no
source)."""
TOLD: Final = 0.05
"""What was changed by less is not told, mm."""
CAP_SLEEVE_SAG: Final = 25.0
"""How far the hem of a cap sleeve hangs below its ends, mm (1 in; common practice, no source)."""


def draft_sleeve_of(
    on: Board, front: Half, back: Half, kind: str, *, ease_biceps: Length | None, cap_ease: Length, long: Length | None,
    ease_wrist: Length,
) -> tuple[Sleeve, Claim]:  # fmt: skip
    """Drafted to the armhole that was really drafted; see draft/sleeve.py."""
    s, body, arm = on.sketch("sleeve"), on.body, on.body.upper_arm_girth
    ease, to_wrist = ease_biceps or on.usual(BICEPS_EASE), kind == "long"
    asked = long if kind != "cap" else None
    length, hemmed = asked or _natural_length(on, kind), on.usual(HEMMED_UNDERARM)
    hem_less = mm(0) if to_wrist else on.usual(inch(1) if kind == "elbow" else inch(0.5))
    front_armhole, back_armhole = (
        found(path_length(half.armhole), "measured on the draft").called(f"{half.name} armhole")
        for half in (front, back)
    )
    shoulder = front.depth("underarm") - front.depth("shoulder_tip")
    order = SleeveOrder(
        (arm + ease).mm, front_armhole.mm, back_armhole.mm, cap_ease.mm, length.mm, shoulder, hem_less.mm,
        hem_most=(body.wrist_girth + ease_wrist).mm if to_wrist else inf,
        biceps_ease=ease.mm,
        may_widen=0.0 if ease_biceps else on.usual(WIDENED_BICEPS_EASE).mm - ease.mm,
        may_narrow=0.0 if ease_biceps else ease.mm - LEAST_BICEPS_EASE,
        may_lengthen=asked is None,
        least_underarm=hemmed.mm if asked is None else LEAST_UNDERARM,
        ease_by="ease_biceps", depth_by="armhole_depth_ease", length_by="sleeve_length",
    )  # fmt: skip
    sleeve = draft_sleeve(order, on.unit, lambda extra: _lowered(front, extra) + _lowered(back, extra))
    biceps = _biceps_line(on, sleeve, arm, ease).called("biceps line")
    s.tell(biceps, about="biceps line")
    s.tell(front_armhole, about="cap")
    s.tell(back_armhole, about="cap")
    s.tell(front_armhole + back_armhole + cap_ease, "cap length", about="cap")
    s.tell(_length_told(on, sleeve, length, asked is None and kind != "cap", hemmed), "sleeve length", about="hem")
    hem = found(sleeve.hem_width, "wrist girth + {}, no wider than the biceps line", ease_wrist)
    s.tell(hem if to_wrist else biceps - hem_less, "sleeve hem", about="hem")
    s.tell(found(sleeve.cap_height, "so that the cap is as long as that"), "cap height", about="cap")
    words = "from the middle, towards the front (towards the back if negative)"
    s.tell(found(sleeve.top.x, words), "shoulder notch")
    s.tell(found(path_length(sleeve.underarm_front), "hem to biceps line, so long"), "underarm seam")
    return sleeve, SleeveFits(
        "sleeve", "ease_biceps", "biceps", arm, found(biceps.mm, "biceps line"),
        found(front_armhole.mm + back_armhole.mm, "armhole"), cap_ease, found(sleeve.cap_height, "cap height"),
        found(shoulder, "shoulder height"),
        cap_by="cap_ease", armhole_by="armhole_depth_ease", wrist_by="ease_wrist",
        wrist=body.wrist_girth if to_wrist else None,
        wrist_opening=found(hem.mm, "sleeve hem") if to_wrist else None,
        fist=body.get("hand_girth") if to_wrist else None,
    )  # fmt: skip


def _natural_length(on: Board, kind: str) -> Length:
    """From the shoulder tip down the arm."""
    arm = on.body.arm_length
    if kind == "elbow":
        return arm / 2 + on.usual(ELBOW_MORE)
    return arm if kind == "long" else (arm * 0.4).told("arm length × 2/5")


def _lowered(half: Half, extra: float) -> float:
    """How long the armhole of a half were if the chest line lay so much lower, mm."""
    p = half.points
    lower = Point(p["underarm"].x, p["underarm"].y - extra)
    middle = Point(p["mid_armhole"].x, p["mid_armhole"].y - extra / 2)
    fall = lower.y - p["waist_side"].y or 1.0  # none where it is level with the waist: beyond what can be asked
    slope = HOLLOW * (lower.x - p["waist_side"].x) / fall
    return path_length(armhole(lower, middle, p["shoulder_tip"], p["neck_side"], slope))


def _biceps_line(on: Board, sleeve: Sleeve, arm: Length, ease: Length) -> Length:
    """As wide as was asked; or as the cap has made it, told so."""
    line, own = arm + ease, mm(sleeve.biceps_line) - arm
    if abs((own - ease).mm) <= TOLD:
        return line
    wider = own > ease
    on.note(
        f"The sleeve was drafted {'wider' if wider else 'narrower'}, with {on.say(own)} of wearing ease round the "
        f"upper arm: with {on.say(ease)} its cap would be too {'high' if wider else 'flat'} for the armhole."
    )
    if wider:
        return found(sleeve.biceps_line, "upper arm girth + {}, so that the cap stands no higher", own)
    words = "upper arm girth + {}, so that the cap is no flatter than {}"
    return found(sleeve.biceps_line, words, own, mm(sleeve.cap_height))


def _length_told(on: Board, sleeve: Sleeve, length: Length, free: bool, hemmed: Length) -> Length:
    """As long as was meant; or as the cap has made it, told so."""
    if not free or sleeve.length <= length.mm + TOLD:
        return length
    on.note(
        f"The sleeve was lengthened from {on.say(length)} to {on.say(sleeve.length)}, so that {on.say(hemmed)} of "
        f"underarm seam is left below a cap {on.say(sleeve.cap_height)} high."
    )
    formula, numbers = length.words()
    words = f"cap height + {{}}, since {formula.format(**dict.fromkeys(numbers, '{}'))} is too short for the cap"
    return found(sleeve.length, words, hemmed, *(mm(number) for number in numbers.values()))


def cap_sleeve_piece(sleeve: Sleeve, front: Half, back: Half) -> Piece:
    """The cap of a set-in sleeve from notch to notch, with a hem hollowed a little; the armhole below stays free."""
    whole = sleeve.cap_front + sleeve.cap_back
    under_front, under_back = front.under_notch, back.under_notch
    cap = part(whole, under_front, path_length(whole) - under_back)
    front_end, back_end = cap[0].start, cap[-1].end
    third = Point((front_end.x - back_end.x) / 3, -CAP_SLEEVE_SAG)
    hem = Cubic.leaving_and_arriving(back_end, third, front_end, Point(third.x, -third.y)).split(0.5)
    top = sleeve.top
    return Piece(
        "sleeve",
        (Edge("cap_hem", EdgeKind.HEM, hem), Edge("cap", EdgeKind.SEAM, cap)),
        points={"cap_top": top, "front_notch": front_end, "back_notch": back_end},
        grain=(Point(top.x, top.y - 15), Point(top.x, min(front_end.y, back_end.y))),
        to_cut=Cut("pair", 2),
        sheets=("sleeve",),
        worn="arm",
        notches=(
            NotchPlace("cap", 20.0, 1, "front"),
            NotchPlace("cap", path_length(sleeve.cap_front) - under_front, 1, "shoulder"),
            NotchPlace("cap", path_length(cap) - 20.0, 2, "back"),
        ),
    )


def sleeve_piece(sleeve: Sleeve, front: Half, back: Half) -> Piece:
    """A sleeve with its underarm seam, front to the right."""
    under_front, under_back = sleeve.underarm_front, sleeve.underarm_back
    hem_front, hem_back = under_front[0].start, under_back[-1].end
    biceps = (under_back[0].start, under_front[-1].end)
    cap = sleeve.cap_front + sleeve.cap_back
    return Piece(
        "sleeve",
        (
            Edge.straight("hem", hem_back, hem_front, EdgeKind.HEM),
            Edge("underarm_front", EdgeKind.SEAM, under_front),
            Edge("cap", EdgeKind.SEAM, cap),
            Edge("underarm_back", EdgeKind.SEAM, under_back),
        ),
        points={"cap_top": sleeve.top, "underarm_front": biceps[1], "underarm_back": biceps[0]}
        | {"hem_front": hem_front, "hem_back": hem_back},
        grain=(Point(0.0, sleeve.cap_height * 0.72), Point(0.0, hem_front.y * 0.75)),
        to_cut=Cut("pair", 2),
        sheets=("sleeve",),
        worn="arm",
        levels=(LevelLine("biceps", front.depth("underarm"), biceps),),
        notches=(
            NotchPlace("cap", front.under_notch, 1, "front armhole"),
            NotchPlace("cap", path_length(sleeve.cap_front), 1, "shoulder"),
            NotchPlace("cap", path_length(cap) - back.under_notch, 2, "back armhole"),
            NotchPlace("underarm_front", 0.0, 1, "hem fold"),
            NotchPlace("underarm_back", path_length(under_back), 1, "hem fold"),
        ),
        internal_lines=(InternalLine("biceps line", biceps, LineKind.BALANCE),),
    )
