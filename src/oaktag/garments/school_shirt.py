"""A school shirt for children: yoke, one-piece collar or stand and fall, short or long sleeves, a breast pocket.

     nc ns           the draft is that of a boy's shirt, which is drawn in parts/shirt_body.py: ease 10 cm (6 to 10 in a
     |_/ \\__st       child's woven block), the tip of the shoulder 2 cm and the back line 4 cm within the quarter
     |      (        (worked rules, children); what was not measured is estimated as of a child
Rules: armhole at half the back's length and 1.25 cm below the nape (half of shoulder to waist, a block for children,
and 2.5 cm as in the shirt); shoulder 8 cm + 0.4 (height - 92) / 6 where it was not measured (preschool chart); hem of a
short sleeve 4 cm, to be let down (trade notes on children's wear), its underarm seam a fifth of the arm; the hem 4 cm
below the hip line; yoke, collar and cuff smaller than those of the grown (common practice, no source).
"""

from __future__ import annotations

from ..body.whom import CHILDREN
from ..claims.girth import RunInRange
from ..draft.board import Board
from ..draft.signature import choice, flag, garment, length
from ..model.draft import Draft
from ..model.length import Length, cm, inch
from ..model.ref import refs
from ..values import replace
from .parts.button_stand import BUTTON, METRIC_BUTTON
from .parts.growth import SLEEVE, SLEEVE_HEM, tell_growth
from .parts.shirt_body import EASE, shirt_draft

STAND, WHOLE, BELOW_HIP = inch(1), inch(2.25), inch(1.5)


@garment("school shirt for children, short or long in the sleeve", for_whom=CHILDREN, noun="shirt")
def school_shirt(
    on: Board,
    *,
    ease_chest: Length = length("wearing ease round the chest", EASE["children"], least=inch(2.25), most=inch(10)),
    long: Length | None = length("nape to hem", least=inch(12), most=inch(36),
                                 worked_out="{low} below the hip line", where={"low": BELOW_HIP}),
    laps: str = choice("which side laps over: left over right is a boy's", "left over right", "right over left"),
    button: Length = length("diameter of the buttons", BUTTON, least=inch(0.375), most=inch(1), metric=METRIC_BUTTON,
                            group="buttons"),
    buttons: str = choice("how many down the front", "auto", *map(str, range(4, 11)), group="buttons"),
    upright_holes: bool = flag("buttonholes upright, on the centre line", True, group="buttons"),
    yoke_back: Length = length("yoke at the centre back", inch(1.75), least=inch(1), most=inch(4), group="yoke"),
    yoke_front: Length = length("yoke before the shoulder seam", inch(0.75), least=inch(0.5), most=inch(2),
                                group="yoke"),
    back_pleat: Length = length("pleat at the centre back, in each half", inch(0.5), most=inch(1.5), group="yoke"),
    collar_kind: str = choice("collar", "one-piece", "stand and fall", group="collar"),
    collar_wide: Length | None = length("stand; of a one-piece collar its whole depth", least=inch(0.75), most=inch(4),
                                        worked_out="{stand}; {whole} of a one-piece",
                                        where={"stand": STAND, "whole": WHOLE}, group="collar"),
    point_long: Length = length("collar point", inch(2.25), least=inch(1.5), most=inch(4), group="collar"),
    sleeve: str = choice("sleeve", "short", "long", group="sleeve"),
    ease_biceps: Length | None = length("wearing ease round the upper arm", least=inch(0.75), most=inch(7),
                                        worked_out="{usual}; less where the cap would be flatter than a sixth of the "
                                        "armhole", where={"usual": inch(3.5)}, group="sleeve"),
    sleeve_hem: Length = length("hem, to be let down", SLEEVE_HEM, least=inch(0.5), most=inch(2.5), group="sleeve",
                                when=("sleeve", "short")),
    cuff_wide: Length = length("cuff", inch(2), least=inch(1), most=inch(3), group="sleeve", when=("sleeve", "long")),
    ease_wrist: Length = length("cuff over the wrist, with its lap", inch(2), least=inch(1.5), most=inch(4),
                                group="sleeve", when=("sleeve", "long")),
    breast_pocket: bool = flag("a breast pocket", True),
) -> Draft:  # fmt: skip
    """Back, front, yoke, sleeve, collar, pocket; cuff and placket of a long sleeve."""
    short = sleeve == "short"
    long = long or on.body.back_waist_length + on.body.waist_to_hip + on.usual(BELOW_HIP)
    if short:
        tell_growth(on, "sleeves", sleeve_hem, SLEEVE)
    drawn = shirt_draft(
        on, worn_by="children", laps=laps, ease_chest=ease_chest, long=long, button=button, upright_holes=upright_holes,
        yoke_back=yoke_back, yoke_front=yoke_front, back_pleat=back_pleat, collar_kind=collar_kind,
        collar_wide=collar_wide or on.usual(WHOLE if collar_kind == "one-piece" else STAND), point_long=point_long,
        ease_biceps=ease_biceps, cuff_wide=cuff_wide, ease_wrist=ease_wrist, breast_pocket=breast_pocket,
        short=sleeve_hem if short else None,
    )  # fmt: skip
    neck = RunInRange("run.neck", "correct neck_base_girth: the neckline is {off} off.",
                      refs(*["yoke.neck", "front.neck"] * 2), on.body.neck_base_girth, 0.0, cm(4).mm)  # fmt: skip
    return replace(drawn, claims=(*drawn.claims, neck))
