"""The sleeve of the dress."""

from __future__ import annotations

from collections.abc import Callable
from math import inf
from typing import Final

from ...body.measurements import Measurements
from ...draft.construct import HOLLOW, armhole
from ...draft.sleeve import LEAST_BICEPS_EASE, LEAST_UNDERARM, Sleeve, SleeveOrder, draft_sleeve
from ...draft.worksheet import Worksheet
from ...geometry.curve import Cubic
from ...geometry.path import part, path_length
from ...geometry.point import Point
from ...model.draft import SleeveFit, Step
from ...model.piece import Cut, Edge, EdgeKind, InternalLine, LineKind, NotchPlace, Piece
from ...units import INCH, Unit, rounded, show
from .half import Half
from ...model.length import inch
from .style import Asked
BICEPS_EASE = inch(2)
ELBOW_MORE=inch(1)
WIDENED_BICEPS_EASE=inch(3.5)

HEMMED_UNDERARM: Final = 2.5 * INCH
"""A sleeve whose length is free has this much underarm seam: more than its hem is turned up (common practice, no
source)."""
TOLD: Final = 0.05
"""What was changed by less is not told, mm."""
CAP_SLEEVE_SAG: Final = 25.0
"""How far the hem of a cap sleeve hangs below its ends, mm (1 in; common practice, no source)."""


def draft_sleeve_of(
    body: Measurements,
    asked: Asked,
    unit: Unit,
    front: Half,
    back: Half,
    taken_or_assumed: Callable[[str], float],
    notes: list[str],
) -> tuple[Sleeve, SleeveFit, list[Step]]:
    """Drafted to the armhole that was really drafted; see draft/sleeve.py."""
    w = Worksheet("sleeve")
    kind = asked.choice("sleeve")
    arm = body["upper_arm_girth"]
    own_ease, cap_ease = asked.given("ease_biceps"), asked.length("cap_ease")
    ease = rounded(BICEPS_EASE.mm, unit) if own_ease is None else own_ease
    ahf, ahb = path_length(front.armhole), path_length(back.armhole)
    own_length = asked.given("sleeve_length") if kind != "cap" else None
    length_words, more = {
        "short": ("arm length × 2/5", 0.0),
        "cap": ("arm length × 2/5", 0.0),
        "elbow": ("arm length ÷ 2 + {more}", rounded(ELBOW_MORE.mm, unit)),
        "long": ("arm length", 0.0),
    }[kind]
    if own_length is not None:
        length = own_length
    elif kind in ("short", "cap"):
        length = taken_or_assumed("arm_length") * 0.4
    else:
        length = body["arm_length"] / 2 + more if kind == "elbow" else body["arm_length"]
    wrist_ease, hemmed = asked.length("ease_wrist"), rounded(HEMMED_UNDERARM, unit)
    shoulder_height = front.points["shoulder_tip"].y - front.points["underarm"].y

    def armhole_with(extra: float) -> float:
        def longer(half: Half) -> float:
            p = half.points
            lower = Point(p["underarm"].x, p["underarm"].y - extra)
            middle = Point(p["mid_armhole"].x, p["mid_armhole"].y - extra / 2)
            waist = p["waist_side"]
            fall = lower.y - waist.y or 1.0  # none where it is level with the waist: beyond what can be asked
            slope = HOLLOW * (lower.x - waist.x) / fall
            return path_length(armhole(lower, middle, p["shoulder_tip"], p["neck_side"], slope))

        return longer(front) + longer(back)

    order = SleeveOrder(
        biceps_line=arm + ease,
        front_armhole=ahf,
        back_armhole=ahb,
        cap_ease=cap_ease,
        length=length,
        shoulder_height=shoulder_height,
        hem_less=rounded({"long": 0.0, "elbow": INCH}.get(kind, INCH / 2), unit),
        hem_most=body["wrist_girth"] + wrist_ease if kind == "long" else inf,
        biceps_ease=ease,
        may_widen=rounded(WIDENED_BICEPS_EASE.mm, unit) - ease if own_ease is None else 0.0,
        may_narrow=ease - LEAST_BICEPS_EASE if own_ease is None else 0.0,
        may_lengthen=own_length is None,
        least_underarm=LEAST_UNDERARM if own_length is not None else hemmed,
    )
    sleeve = draft_sleeve(order, unit, armhole_with)
    biceps, hem = sleeve.biceps_line, sleeve.hem_width
    changed = biceps - arm - ease
    if abs(changed) > TOLD:
        words = (
            "upper arm girth + {ease}, so that the cap stands no higher"
            if changed > 0
            else "upper arm girth + {ease}, so that the cap is no flatter than {cap}"
        )
        w("biceps line", words, biceps, ease=biceps - arm, cap=sleeve.cap_height)
        notes.append(
            f"The sleeve was drafted {'wider' if changed > 0 else 'narrower'}, with {show(biceps - arm, unit)} of "
            f"wearing ease round the upper arm: with {show(ease, unit)} its cap would be too "
            f"{'high' if changed > 0 else 'flat'} for the armhole."
        )
    else:
        w("biceps line", "upper arm girth + {ease}", biceps, ease=ease)
    w("front armhole", "measured on the draft", ahf)
    w("back armhole", "measured on the draft", ahb)
    wanted = w("cap length", "front armhole + back armhole + {ease}", order.cap_length, ease=cap_ease)
    if own_length is not None:
        w("sleeve length", "as asked for", own_length)
    elif kind != "cap" and sleeve.length > length + TOLD:
        w(
            "sleeve length",
            f"cap height + {{underarm}}, since {length_words} is too short for the cap",
            sleeve.length,
            underarm=hemmed,
            more=more,
        )
        notes.append(
            f"The sleeve was lengthened from {show(length, unit)} to {show(sleeve.length, unit)}, so that "
            f"{show(hemmed, unit)} of underarm seam is left below a cap {show(sleeve.cap_height, unit)} high."
        )
    else:
        w("sleeve length", length_words, length, more=more)
    wrist_opening = fist = None
    if kind == "long":
        wrist_opening = w("sleeve hem", "wrist girth + {ease}, no wider than the biceps line", hem, ease=wrist_ease)
        fist = body.get("hand_girth")
    else:
        w("sleeve hem", "biceps line − {less}", hem, less=order.hem_less)
    w("cap height", "so that the cap is as long as that", sleeve.cap_height)
    w("shoulder notch", "from the middle, towards the front (towards the back if negative)", sleeve.top.x)
    w("underarm seam", "hem to biceps line, so long", path_length(sleeve.underarm_front))
    fit = SleeveFit(
        arm, biceps - arm, biceps, ahf + ahb, wanted, cap_ease, sleeve.cap_height, shoulder_height, wrist_opening, fist
    )
    return sleeve, fit, w.steps


def cap_sleeve_piece(sleeve: Sleeve, front: Half, back: Half) -> Piece:
    """The cap of a set-in sleeve from notch to notch, with a hem hollowed a little; the armhole below stays free."""
    whole = sleeve.cap_front + sleeve.cap_back
    under_front, under_back = front.armhole[0].length(), back.armhole[0].length()
    cap = part(whole, under_front, path_length(whole) - under_back)
    front_end, back_end = cap[0].start, cap[-1].end
    third = Point((front_end.x - back_end.x) / 3, -CAP_SLEEVE_SAG)
    hem = Cubic.leaving_and_arriving(back_end, third, front_end, Point(third.x, -third.y)).split(0.5)
    top = path_length(sleeve.cap_front) - under_front
    grain_x = sleeve.top.x
    return Piece(
        "sleeve",
        (Edge("cap_hem", EdgeKind.HEM, hem), Edge("cap", EdgeKind.SEAM, cap)),
        points={"cap_top": sleeve.top, "front_notch": front_end, "back_notch": back_end},
        grain=(Point(grain_x, sleeve.top.y - 15), Point(grain_x, min(front_end.y, back_end.y))),
        to_cut=Cut("pair", 2),
        notches=(
            NotchPlace("cap", 20.0, 1, "front"),
            NotchPlace("cap", top, 1, "shoulder"),
            NotchPlace("cap", path_length(cap) - 20.0, 2, "back"),
        ),
    )


def sleeve_piece(sleeve: Sleeve, front: Half, back: Half) -> Piece:
    hem_front, hem_back = sleeve.underarm_front[0].start, sleeve.underarm_back[-1].end
    cap = sleeve.cap_front + sleeve.cap_back
    cap_length = path_length(cap)
    under_front, under_back = front.armhole[0].length(), back.armhole[0].length()
    return Piece(
        "sleeve",
        (
            Edge.straight("hem", hem_back, hem_front, EdgeKind.HEM),
            Edge("underarm_front", EdgeKind.SEAM, sleeve.underarm_front),
            Edge("cap", EdgeKind.SEAM, cap),
            Edge("underarm_back", EdgeKind.SEAM, sleeve.underarm_back),
        ),
        points={
            "cap_top": sleeve.top,
            "underarm_front": sleeve.underarm_front[-1].end,
            "underarm_back": sleeve.underarm_back[0].start,
            "hem_front": hem_front,
            "hem_back": hem_back,
        },
        grain=(Point(0.0, sleeve.cap_height * 0.72), Point(0.0, hem_front.y * 0.75)),
        to_cut=Cut("pair", 2),
        notches=(
            NotchPlace("cap", under_front, 1, "front armhole"),
            NotchPlace("cap", path_length(sleeve.cap_front), 1, "shoulder"),
            NotchPlace("cap", cap_length - under_back, 2, "back armhole"),
            NotchPlace("underarm_front", 0.0, 1, "hem fold"),
            NotchPlace("underarm_back", path_length(sleeve.underarm_back), 1, "hem fold"),
        ),
        internal_lines=(
            InternalLine(
                "biceps line", (sleeve.underarm_back[0].start, sleeve.underarm_front[-1].end), LineKind.BALANCE
            ),
        ),
    )
