"""A T-shirt of knit cloth, for women or men: front, back, sleeve and neckband; round or V, set in or dropped.

    nc  ns             origin: the level of the side neck point on the centre line; x outwards, y up
     \\_/ \\_ st         the neck is scooped, the shoulder falls by 0.3 of its length
     |     (           ma: the armhole half way down, hollowed within the shoulder tip, the front more than the back
     |      ua         the sleeve: its cap is as long as the armhole, no ease; its height is solved for that
     |      |
    hc──────hs
Rules, from survey measures: half neck = neck base ÷ 6 + 2.5 cm, front drop 1 cm more, back drop 2 cm; shoulder 1 cm
shorter than the body's, no further than 1.5 cm within the side; armhole depth = scye depth + 6.2 cm (4.2 cm where it
fits closely); sleeve = upper arm + 6 cm (1 cm); cap height 0.20 to 0.36 of the armhole (worked rules, knits: proved on
40 women and 40 men of a survey; they hold the step from survey to drafting measures, scye + 2.5 cm). A dropped shoulder
goes on beyond its tip, to 0.5 cm within the side, the armhole 2 cm deeper and one shallow curve, the sleeve 0.95 of it
wide; a V is 3 in deeper (common practice, no source). A body smaller than she is loses length: a quarter of what it is
stretched by is added where the cloth stretches across alone (chosen). What the cloth lets be taken off, neckband and
cuffs: parts/knit.py.
"""

from __future__ import annotations

from typing import Final

from ..body.whom import GROWN
from ..claims.girth import Girth
from ..claims.openings import Passes
from ..claims.stretch import StretchUsed
from ..draft.board import Board
from ..draft.construct import v_neckline
from ..draft.rulers import Bevel, curve
from ..draft.signature import choice, flag, garment, length, share
from ..draft.sketch import Sketch
from ..model.claim import Claim
from ..model.draft import Draft
from ..model.length import Length, cm, found, greatest, inch, least, mm, total
from ..model.piece import Cut, sew
from ..model.ref import refs
from .parts.knit import TO_PASS, TOP, as_knit, hand_passes, least_passing, neckband, ribbed_cuff, taken_in, used_in_wear
from .parts.overhead import HEAD
from .parts.part import Part, long_of, together
from .parts.sleeves import flat_cap

SLOPE: Final = 0.3
"""How far a shoulder falls, as part of its length (worked rules, knits)."""
NECK_DEG: Final = {"front": 68.0, "back": 112.0}
"""The angle of neck and shoulder: together 180, so that the neckline runs on (worked rules for bodices, Bunka)."""
SQUARE: Final = 90.0
"""Either angle where the front is a V."""
HOLLOW: Final = {"front": cm(1.5), "back": cm(0.7)}
"""The armhole half way down, within the shoulder tip (common practice, no source)."""
DROPPED: Final = 0.95
"""A dropped sleeve is so wide, of its armhole (common practice, no source)."""


@garment("T-shirt of knit cloth for women and men, with a neckband", for_whom=GROWN, noun="T-shirt")
def t_shirt(
    on: Board,
    *,
    stretch: float = share("stretch of the cloth across, by the hand test", 0.4, least=0.1, most=2.0, group="cloth"),
    stretch_along: float = share("stretch of the cloth along", 0.2, most=2.0, group="cloth"),
    recovery: float = share("how far the cloth comes back", 0.95, least=0.5, group="cloth"),
    band_stretch: float = share("stretch of the cloth of neckband and cuffs, such as rib", 0.7, least=0.1, most=2.0,
                                group="cloth"),
    fitting: str = choice("how it fits", "loose", "body", "close", group="fit"),
    ease_bust: Length | None = length("ease round the bust or chest", least=inch(2), most=inch(16),
                                      worked_out="{a}; with a dropped shoulder {b}",
                                      where={"a": inch(4), "b": inch(8)}, when=("fitting", "loose"), group="fit"),
    reduce: float | None = share("taken off the girths of the body", None, most=0.3, when=("fitting", "close"),
                                 worked_out="by the class of the cloth: 0 to 10 %", group="fit"),
    long: Length | None = length("side neck point to hem", least=inch(14), most=inch(60),
                                 worked_out="down to the hip line", group="fit"),
    shoulder: str = choice("shoulder", "set in", "dropped", group="sleeve"),
    drop: Length = length("how far the shoulder drops beyond its tip", inch(2), least=inch(0.5), most=inch(6),
                          when=("shoulder", "dropped"), group="sleeve"),
    sleeve: str = choice("sleeve", "short", "long", group="sleeve"),
    sleeve_long: Length | None = length("sleeve, from the top of its cap to the hem", least=inch(4), most=inch(32),
                                        worked_out="{a} below its cap; of a long one to the wrist",
                                        where={"a": inch(3)}, group="sleeve"),
    cuffs: bool = flag("ribbed cuffs", when=("sleeve", "long"), group="sleeve"),
    cuff_wide: Length = length("cuff, finished", inch(2), least=inch(0.75), most=inch(4), when=("cuffs", "yes"),
                               group="sleeve"),
    neckline: str = choice("neckline", "round", "v", group="neckline"),
    neck_wider: Length | None = length("neckline wider, at each shoulder", most=inch(4), group="neckline",
                                       worked_out="0, and more until the head passes"),
    neck_deeper: Length = length("front neckline deeper", mm(0), most=inch(6), group="neckline"),
    band_wide: Length = length("neckband, finished", inch(0.75), least=inch(0.375), most=inch(2), group="neckline"),
    band_ratio: float | None = share("length of the neckband, of the neckline", None, least=0.6, most=1.0,
                                     group="neckline",
                                     worked_out="by its stretch, so that it lies flat and the head passes"),
) -> Draft:  # fmt: skip
    """Front, back, sleeve, neckband and cuffs."""
    body, loose, drops = on.body, fitting == "loose", shoulder == "dropped"
    off, off_lengths = 0.0, 0.0
    if fitting == "close":
        off, off_lengths = taken_in(on, reduce, stretch, stretch_along, recovery)
    part, used = 1 - off, used_in_wear(off)
    ease = (ease_bust or on.usual(inch(8 if drops else 4))) if loose else body.bust_girth * -off if off else mm(0)
    chest = ((body.bust_girth + ease) / 4 if loose else body.bust_girth * part / 4).called("quarter chest")
    hem = greatest(chest, body.hip_girth * part / 4).called("quarter hem")
    scye = body.get("scye_depth")
    depth = scye + cm(6.2 if loose else 4.2) if scye else body.bust_girth / 8 + cm(11 if loose else 10)
    depth = (depth + cm(2) if drops else depth).called("armhole line")
    whole = long or body.waist_line + body.waist_to_hip
    whole = (whole * ((1 - off_lengths) if off_lengths else (1 + used / 4))).called("hem line")
    side_hem = (whole - (hem - chest) * 0.6).called("hem line at the side")
    deeper = neck_deeper + on.usual(inch(3)) if neckline == "v" else neck_deeper
    in_side = cm(0.5 if drops else 1.5)

    def neck_at(wider: Length | None) -> tuple[Length, Length, Length]:
        """Half neck, the front's drop, and the shoulder, as far as it is no drop."""
        half_neck = body.neck_base_girth / 6 + cm(2.5)
        half_neck = (half_neck + wider if wider else half_neck).called("half neck")
        tip = body.shoulder_length - cm(1)
        return half_neck, half_neck + cm(1) + deeper, tip - wider if wider else tip

    def half(name: str, wider: Length | None) -> Sketch:
        half_neck, front_drop, own = neck_at(wider)
        across = least(own + drop if drops else own, chest - half_neck - in_side).called("shoulder")
        s = on.sketch(name, Cut("fold"), worn="body")
        s.at("neck_centre", down=front_drop if name == "front" else cm(2))
        s.at("neck_side", right=half_neck)
        s.at("shoulder_tip", down=across * SLOPE, of="neck_side", far=across)
        s.at("underarm", right=chest, down=depth)
        s.at("hem_centre", down=whole)
        s.at("hem_side", right=hem, down=side_hem)
        s.fold(f"centre_{name}", "neck_centre", "hem_centre")
        s.edge("side", "hem_side", curve("free", "upright"), "underarm")
        s.hem("hem", "hem_centre", curve("level", "square"), "hem_side")
        s.edge("shoulder", "shoulder_tip", "neck_side")
        if drops:
            s.edge("armhole", "underarm", curve("square", "square", share=0.45), "shoulder_tip")
        else:
            s.at("mid_armhole", left=HOLLOW[name], down=(depth - across * SLOPE) / 2, of="shoulder_tip")
            s.edge("armhole", "underarm", curve("square", "upright"), "mid_armhole", curve("upright", "square"),
                   "shoulder_tip")  # fmt: skip
        side, tip, centre = (s.points[point] for point in ("neck_side", "shoulder_tip", "neck_centre"))
        if neckline == "v" and name == "front":
            s.trace("neck", "neck_side", v_neckline(side, tip, centre), "neck_centre")
        else:
            angle = SQUARE if neckline == "v" else NECK_DEG[name]
            s.edge("neck", "neck_side", curve(Bevel(angle), "level"), "neck_centre")
        s.notch("armhole", name, "underarm", at=s.long("armhole") / 3, count=1 if name == "front" else 2)
        s.level("bust", depth)
        s.level("hem", side_hem)
        return s

    head, known = body.get("head_girth") or HEAD, "as measured"
    if head is HEAD:
        known = "assumed"
        on.note(f"head_girth was not measured; assumed {on.say(HEAD)} (common practice, no source).")

    def short(wider: Length) -> float:
        line = total(*(half(name, wider).long("neck") for name in ("front", "back"))) * 2
        gives = min(1 + TO_PASS * stretch, (band_ratio or 1.0) * (1 + TO_PASS * band_stretch))
        return head.mm + 1 - line.mm * gives

    wider = neck_wider
    if neck_wider is None and short(mm(0)) > 0:
        wider = on.solve(mm(0), inch(4), lack=short, so_that="so that the head passes").called("neckline wider")
        on.note(f"The neckline is {on.say(wider)} wider at each shoulder, so that the head passes.")
    half_neck, front_drop, own = neck_at(wider)
    dropped = least(drop, chest - half_neck - in_side - own).called("drop") if drops else mm(0)
    if min(own.mm, (chest - half_neck - in_side).mm) < 50.0:
        on.refuse(f"{on.say(least(own, chest - half_neck - in_side))} of shoulder is left beside the neck, and "
                  f"{on.say(cm(5))} is wanted", "neck_wider to less, or ease_bust to more")  # fmt: skip
    if drops and dropped < cm(1):
        on.refuse(f"the shoulder has room to drop by {on.say(greatest(dropped, mm(0)))} before it is beyond the side",
                  'ease_bust to more, fitting to "loose", or shoulder to "set in"')  # fmt: skip
    if drops and dropped < drop:
        on.note(f"The shoulder drops by {on.say(dropped)}, as far as the side lets it: for more, make ease_bust more.")
    if front_drop > (depth + cm(6) if neckline == "v" else depth) - cm(2):
        on.refuse(f"the front neckline is {on.say(front_drop)} deep and the armhole {on.say(depth)}",
                  "neck_deeper to less")  # fmt: skip
    front, back = on.fitted(*(half(name, wider).piece() for name in ("front", "back")))

    arm = on.sketch("sleeve", Cut("pair", 2), worn="arm")
    armhole = total(long_of(front, "armhole"), long_of(back, "armhole")).called("armhole")
    width = body.upper_arm_girth * part + cm(6 if loose else 1)
    width = (greatest(width, armhole * DROPPED) if drops else width).called("sleeve width")
    arm_long = sleeve_long
    if sleeve == "long":
        around = body.wrist_girth + cm(4 if loose else 1)
        cuff = least(width, around if cuffs else least_passing(around, body.hand_girth, stretch)).called("sleeve hem")
        arm_long = sleeve_long or body.arm_length + cm(1)
        arm_long = arm_long - dropped if drops and not sleeve_long else arm_long
        arm_long = (arm_long - cuff_wide if cuffs else arm_long).called("sleeve")
    else:
        cuff = (width - cm(2)).called("sleeve hem")
    if drops:
        arm.at("cap_top", up=armhole * 0.12)
        arm.at("underarm_front", right=width / 2)
        arm.at("underarm_back", left=width / 2)
        arm.between("cap_front", "underarm_front", "cap_top")
        arm.between("cap_back", "underarm_back", "cap_top")
        arm.edge("cap", "underarm_front", curve("square", "smooth"), "cap_front", curve("smooth", "level"), "cap_top",
                 curve("level", "smooth"), "cap_back", curve("smooth", "square"), "underarm_back")  # fmt: skip
    else:
        flat_cap(arm, width, armhole * 0.28, (0.25, 0.68), cm(1.2))
    arm.at("hem_centre", down=arm_long or on.usual(inch(3)), of="cap_top" if arm_long else "")
    arm.at("hem_front", right=cuff / 2, of="hem_centre")
    arm.at("hem_back", left=cuff / 2, of="hem_centre")
    arm.edge("underarm_front", "hem_front", "underarm_front")
    arm.edge("underarm_back", "underarm_back", "hem_back")
    (arm.edge if cuffs else arm.hem)("wrist_edge" if cuffs else "hem", "hem_back", curve("square", "square"),
                                     "hem_front")  # fmt: skip
    arm.fit("cap", to=armhole, move="cap_top", way="up", change="ease_bust, or upper_arm_girth if it was mistaken")
    height, below = found(arm.points["cap_top"].y, "cap height"), found(-arm.points["hem_front"].y, "underarm seam")
    if not drops and not 0.2 <= height.over(armhole) <= 0.36:
        on.note(f"The cap of the sleeve is {on.say(height)} high, and of an armhole of {on.say(armhole)} a fifth to a "
                "third is usual: look to upper_arm_girth and scye_depth.")  # fmt: skip
    if below < cm(3):
        on.refuse(f"the sleeve, {on.say(height + below)} long, is hardly longer than its cap of {on.say(height)}",
                  f"sleeve_long to {on.say(height + cm(3))} or more")  # fmt: skip
    arm.notch("cap", "shoulder", "underarm_front", at=long_of(front, "armhole"))
    arm.notch("cap", "front", "underarm_front", at=long_of(front, "armhole") / 3)
    arm.notch("cap", "back", "underarm_back", at=long_of(back, "armhole") / 3, count=2)
    arm.level("biceps", mm(0))

    wider_words = "add {more} round it with neck_wider or neck_deeper."
    band = neckband(on, front, back, band_wide, band_ratio, band_stretch, recovery, head, known,
                    change=wider_words if band_ratio is None else f"{wider_words[:-1]}, or by band_ratio.")  # fmt: skip
    ends = [band]
    claims: list[Claim] = [
        Girth("girth.bust", "Change fitting or ease_bust.", "bust", body.bust_girth, ease),
        Passes("entry.neckline", wider_words, "neckline", refs("front.neck", "back.neck"), "head", head, known, 0.0,
               TO_PASS * stretch),
    ]  # fmt: skip
    if off:
        wants = "add {more} round it: make reduce less, or take cloth that stretches more."
        reaches = [("hem", "hip", body.hip_girth)] if whole >= (body.waist_line + body.waist_to_hip) * 0.97 else []
        claims += [StretchUsed(f"stretch.{word}", wants, level, girth, TOP * stretch)
                   for level, word, girth in [("bust", "bust", body.bust_girth), *reaches]]  # fmt: skip
    if sleeve == "long":
        hand = "as measured" if body.get("hand_girth") else "estimated"
        if cuffs:
            ends.append(ribbed_cuff(on, arm.long("wrist_edge"), cuff_wide, band_stretch, body.hand_girth, hand))
        else:
            claims.append(hand_passes("sleeve hem", "sleeve.hem", body.hand_girth, hand, stretch))
    line = total(long_of(front, "neck"), long_of(back, "neck")) * 2
    on.note(f"The neckline is {on.say(line)} round and must stretch by {max(0.0, head.over(line) - 1):.0%} to pass the "
            f"head; the cloth may give {TO_PASS * stretch:.0%}.")  # fmt: skip
    seams = [
        sew("shoulder seam", "front.shoulder", to="back.shoulder"),
        *band.seams,
        sew("armhole seam", "sleeve.cap", to=("front.armhole", "back.armhole"),
            meets=[("sleeve.cap underarm_front", "front.armhole side")]),
        sew("side seam", "front.side", to="back.side"),
        sew("underarm seam", "sleeve.underarm_front", to="sleeve.underarm_back"),
    ]  # fmt: skip
    halves = as_knit(on, front, back, *on.fitted(arm.piece()), shoulder="shoulder seams")
    shell = Part(halves, tuple(seams), tuple(claims), widths=dict.fromkeys(
        ("neck", "armhole", "cap", "shoulder", "side", "underarm_front", "underarm_back"), on.usual(inch(0.25)))
        | {"hem": inch(1)})  # fmt: skip
    return together(on, [shell, Part(band.pieces, (), band.claims, widths=band.widths), *ends[1:]])
