"""A T-shirt of knit cloth, for women or men: front, back, sleeve and neckband.

    nc  ns             origin: the level of the side neck point on the centre line; x outwards, y up
     \\_/ \\_ st         the neck is scooped, the shoulder falls by 0.3 of its length
     |     (           ma: the armhole half way down, hollowed within the shoulder tip, the front more than the back
     |      ua         the sleeve: its cap is as long as the armhole, no ease; its height is solved for that
     |      |
    hc──────hs
Rules, from survey measures: half neck = neck base ÷ 6 + 2.5 cm, front drop 1 cm more, back drop 2 cm; shoulder 1 cm
shorter than the body's, no further than 1.5 cm within the side; armhole depth = scye depth + 6.2 cm (4.2 cm where it
fits closely); sleeve = upper arm + 6 cm (1 cm); cap height 0.20 to 0.36 of the armhole (worked rules, knits: proved on
40 women and 40 men of a survey; they hold the step from survey to drafting measures, scye + 2.5 cm). A band is 0.85 of
the neckline (four sewing teachers); of the stretch of the cloth half may be used in wear, 0.8 to pass the head.
"""

from __future__ import annotations

from math import pi
from typing import Final

from ..body.whom import GROWN
from ..claims.girth import Girth
from ..claims.openings import Passes
from ..draft.board import Board
from ..draft.options import percent
from ..draft.rulers import Bevel, curve
from ..draft.signature import choice, garment, length, share
from ..draft.sketch import Sketch
from ..model.draft import Draft
from ..model.length import Length, cm, found, greatest, inch, least, mm, total
from ..model.piece import Cut, LineKind, sew
from ..model.ref import refs
from .parts.sleeves import flat_cap

SLOPE: Final = 0.3
"""How far a shoulder falls, as part of its length (worked rules, knits)."""
NECK_DEG: Final = {"front": 68.0, "back": 112.0}
"""The angle of neck and shoulder: together 180, so that the neckline runs on (worked rules for bodices, Bunka)."""
HOLLOW: Final = {"front": cm(1.5), "back": cm(0.7)}
"""The armhole half way down, within the shoulder tip (common practice, no source)."""
USED: Final = 0.5
"""Of the stretch that cloth has, so much may be used in wear (worked rules)."""
TO_PASS: Final = 0.8
"""And so much to pull it over the head, or a cuff over the hand (worked rules)."""
HEAD: Final = cm(58)
"""Stands for a head that was not measured: few are larger (common practice, no source)."""


@garment("T-shirt of knit cloth for women and men, with a neckband", for_whom=GROWN, noun="T-shirt")
def t_shirt(
    on: Board,
    *,
    fitting: str = choice("how it fits", "loose", "body", "close"),
    ease_bust: Length = length("ease round the bust or chest", inch(4), least=inch(2), most=inch(12),
                               when=("fitting", "loose")),
    reduce: float = share("taken off the girths of the body", 0.05, most=0.2, when=("fitting", "close")),
    stretch: float = share("stretch of the cloth across, by the hand test", 0.4, least=0.1, most=2.0),
    long: Length | None = length("side neck point to hem", least=inch(14), most=inch(60),
                                 worked_out="down to the hip line"),
    sleeve: str = choice("sleeve", "short", "long"),
    sleeve_long: Length | None = length("sleeve, from the top of its cap to the hem", least=inch(4), most=inch(32),
                                        worked_out="{a} below its cap; of a long one to the wrist",
                                        where={"a": inch(3)}),
    neck_wider: Length = length("neckline wider, at each shoulder", mm(0), most=inch(4)),
    neck_deeper: Length = length("front neckline deeper", mm(0), most=inch(6)),
    band_wide: Length = length("neckband, finished", inch(0.75), least=inch(0.375), most=inch(2)),
    band_ratio: float = share("length of the neckband, of the neckline", 0.85, least=0.6, most=1.0),
    band_stretch: float = share("stretch of the neckband's cloth, such as rib", 0.7, least=0.1, most=2.0),
) -> Draft:  # fmt: skip
    """Front, back, sleeve and neckband."""
    body, loose = on.body, fitting == "loose"
    used = 1 / (1 - reduce) - 1 if fitting == "close" else 0.0
    if used > USED * stretch:
        on.refuse(f"taken in by {percent(reduce)}, it is stretched by {used:.0%} in wear, and cloth that gives "
                  f"{percent(stretch)} serves for {USED * stretch:.0%}",
                  "reduce to less, or stretch for a cloth that has more")  # fmt: skip
    part = 1 - reduce if fitting == "close" else 1.0
    chest = ((body.bust_girth + ease_bust) / 4 if loose else body.bust_girth * part / 4).called("quarter chest")
    hem = greatest(chest, body.hip_girth * part / 4).called("quarter hem")
    half_neck = (body.neck_base_girth / 6 + cm(2.5) + neck_wider).called("half neck")
    shoulder = least(body.shoulder_length - cm(1) - neck_wider, chest - half_neck - cm(1.5)).called("shoulder")
    if shoulder < cm(5):
        on.refuse(f"{on.say(shoulder)} of shoulder is left beside the neck, and {on.say(cm(5))} is wanted",
                  "neck_wider to less, or ease_bust to more")  # fmt: skip
    scye = body.get("scye_depth")
    depth = scye + cm(6.2 if loose else 4.2) if scye else body.bust_girth / 8 + cm(11 if loose else 10)
    depth = depth.called("armhole line")
    long = ((long or body.waist_line + body.waist_to_hip) * (1 + used / 4)).called("hem line")
    side_hem = (long - (hem - chest) * 0.6).called("hem line at the side")
    if half_neck + cm(1) + neck_deeper > depth - cm(2):
        on.refuse(f"the front neckline is {on.say(half_neck + cm(1) + neck_deeper)} deep and the armhole "
                  f"{on.say(depth)}", "neck_deeper to less")  # fmt: skip
    drops = {"front": (half_neck + cm(1) + neck_deeper), "back": cm(2)}

    def half(name: str) -> Sketch:
        s = on.sketch(name, Cut("fold"), worn="body")
        s.at("neck_centre", down=drops[name])
        s.at("neck_side", right=half_neck)
        s.at("shoulder_tip", down=shoulder * SLOPE, of="neck_side", far=shoulder)
        s.at("underarm", right=chest, down=depth)
        s.at("hem_centre", down=long)
        s.at("hem_side", right=hem, down=side_hem)
        s.at("mid_armhole", left=HOLLOW[name], down=(depth - shoulder * SLOPE) / 2, of="shoulder_tip")
        s.fold(f"centre_{name}", "neck_centre", "hem_centre")
        s.edge("side", "hem_side", curve("free", "upright"), "underarm")
        s.hem("hem", "hem_centre", curve("level", "square"), "hem_side")
        s.edge("shoulder", "shoulder_tip", "neck_side")
        s.edge("armhole", "underarm", curve("square", "upright"), "mid_armhole", curve("upright", "square"),
               "shoulder_tip")  # fmt: skip
        s.edge("neck", "neck_side", curve(Bevel(NECK_DEG[name]), "level"), "neck_centre")
        s.notch("armhole", name, "underarm", at=s.long("armhole") / 3, count=1 if name == "front" else 2)
        s.level("bust", depth)
        s.level("hem", side_hem)
        return s

    front, back = half("front"), half("back")
    arm = on.sketch("sleeve", Cut("pair", 2), worn="arm")
    width = (body.upper_arm_girth * part + cm(6 if loose else 1)).called("sleeve width")
    armhole = total(front.long("armhole"), back.long("armhole")).called("armhole")
    arm_long = sleeve_long
    if sleeve == "long":
        hand = body.hand_girth / (1 + TO_PASS * stretch)
        cuff = least(width, greatest(body.wrist_girth + cm(4 if loose else 1), hand)).called("sleeve hem")
        arm_long = sleeve_long or body.arm_length + cm(1)
    else:
        cuff = (width - cm(2)).called("sleeve hem")
    flat_cap(arm, width, armhole * 0.28, (0.25, 0.68), cm(1.2))
    arm.at("hem_centre", down=arm_long or on.usual(inch(3)), of="cap_top" if arm_long else "")
    arm.at("hem_front", right=cuff / 2, of="hem_centre")
    arm.at("hem_back", left=cuff / 2, of="hem_centre")
    arm.edge("underarm_front", "hem_front", "underarm_front")
    arm.edge("underarm_back", "underarm_back", "hem_back")
    arm.hem("hem", "hem_back", curve("square", "square"), "hem_front")
    arm.fit("cap", to=armhole, move="cap_top", way="up", change="ease_bust, or upper_arm_girth if it was mistaken")
    height, below = found(arm.points["cap_top"].y, "cap height"), found(-arm.points["hem_front"].y, "underarm seam")
    if not 0.2 <= height.over(armhole) <= 0.36:
        on.note(f"The cap of the sleeve is {on.say(height)} high, and of an armhole of {on.say(armhole)} a fifth to a "
                "third is usual: look to upper_arm_girth and scye_depth.")  # fmt: skip
    if below < cm(3):
        on.refuse(f"the sleeve, {on.say(height + below)} long, is hardly longer than its cap of {on.say(height)}",
                  f"sleeve_long to {on.say(height + cm(3))} or more")  # fmt: skip
    arm.notch("cap", "shoulder", "underarm_front", at=front.long("armhole"))
    arm.notch("cap", "front", "underarm_front", at=front.long("armhole") / 3)
    arm.notch("cap", "back", "underarm_back", at=back.long("armhole") / 3, count=2)
    arm.level("biceps", mm(0))

    half_line = total(front.long("neck"), back.long("neck")).called("half neckline")
    half_band = (half_line * band_ratio).called("half neckband")
    head = _head_passes(on, half_line * 2, half_band * 2, stretch, band_stretch)
    band = on.sketch("neckband", Cut("fold"))
    band.box(half_band, band_wide * 2, ("centre_front", "neck", "join", "neck_inside"), fold="centre_front")
    band.at("fold_start", down=band_wide)
    band.at("fold_end", right=half_band, down=band_wide)
    band.line("fold", "fold_start", "fold_end", kind=LineKind.FOLD)
    flat = 1 - band_wide.over(half_line * 2) * pi
    if band_ratio > flat + 0.05:
        on.note(f"A neckband {on.say(band_wide)} wide lies flat at {flat:.0%} of the neckline, and "
                f"{percent(band_ratio)} may gape: make band_ratio less, or band_wide.")  # fmt: skip
    ease = ease_bust if loose else body.bust_girth * -reduce if fitting == "close" else mm(0)
    known = "as measured" if body.get("head_girth") else "assumed"
    return on.draft(
        [front.piece(), back.piece(), arm.piece(), band.piece()],
        seams=[
            sew("shoulder seam", "front.shoulder", to="back.shoulder"),
            sew("band join", "neckband.join", to="neckband.join"),
            sew("neck seam", "neckband.neck from start to end", to=("front.neck", "back.neck"), how="stretched",
                ease=(half_band - half_line).mm),
            sew("side seam", "front.side", to="back.side"),
            sew("underarm seam", "sleeve.underarm_front", to="sleeve.underarm_back"),
            sew("armhole seam", "sleeve.cap", to=("front.armhole", "back.armhole"),
                meets=[("sleeve.cap underarm_front", "front.armhole side")]),
        ],
        claims=[
            Girth("girth.bust", "Change fitting or ease_bust.", "bust", body.bust_girth, ease),
            *(Passes(f"entry.{name}", "add {more} round it with neck_wider or neck_deeper.", name, refs(*edges), "head",
                     head, known, 0.0, TO_PASS * gives)
              for name, edges, gives in (("neckline", ("front.neck", "back.neck"), stretch),
                                         ("neckband", ("neckband.neck",), band_stretch))),
        ],
        widths={name: inch(0.25) for name in ("neck", "neck_inside", "join", "armhole", "cap", "shoulder", "side",
                                              "underarm_front", "underarm_back")} | {"hem": inch(1)},
    )  # fmt: skip


def _head_passes(on: Board, line: Length, band: Length, stretch: float, band_stretch: float) -> Length:
    """The head that is to pass neckline and band, and how far they stretch; refused where the cloth gives less."""
    head = on.body.get("head_girth") or HEAD
    if head is HEAD:
        on.note(f"head_girth was not measured; assumed {on.say(HEAD)} (common practice, no source).")
    for name, long, gives, change in (
        ("neckline", line, stretch, "neck_wider or neck_deeper to more"),
        ("neckband", band, band_stretch, "neck_wider or neck_deeper to more, band_ratio to more, or band_stretch"),
    ):
        wanted = head.over(long) - 1
        say = f"the {name} is {on.say(long)} round and must stretch by {max(wanted, 0):.0%} to pass the head"
        if wanted > TO_PASS * gives + 1e-9:
            on.refuse(f"{say}, and cloth that gives {percent(gives)} serves for {TO_PASS * gives:.0%}", change)
        on.note(f"{say[0].upper()}{say[1:]}.")
    return head
