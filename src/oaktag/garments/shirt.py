"""A shirt with a yoke, a collar of stand and fall, cuffs with plackets, for women, men or boys.

Its draft and the rules of it: parts/shirt_body.py; of children of 92 to 152 cm there is school_shirt.py.
"""

from __future__ import annotations

from ..draft.board import Board
from ..draft.signature import choice, flag, garment, length
from ..model.draft import Draft
from ..model.length import Length, inch
from .parts.button_stand import BUTTON, METRIC_BUTTON
from .parts.shirt_body import EASE, LONG, shirt_draft


@garment("shirt with a yoke, stand and fall collar, cuffs and plackets", noun="shirt")  # fmt: skip
def shirt(
    on: Board,
    *,
    worn_by: str = choice("whom it is for: the ease, and which side laps over", "women", "boys", "men"),
    ease_chest: Length | None = length("wearing ease round the bust or chest", least=inch(3), most=inch(14),
                                       worked_out="{women} for women, {men} for men, {boys} for boys", where=EASE),
    long: Length | None = length("nape to hem", least=inch(14), most=inch(44), worked_out="{grown}; of boys 3/4 of the "
                                 "chest", where={"grown": LONG}),
    button: Length = length("diameter of the buttons", BUTTON, least=inch(0.375), most=inch(1), metric=METRIC_BUTTON,
                            group="buttons"),
    buttons: str = choice("how many down the front", "auto", *map(str, range(4, 13)), group="buttons"),
    upright_holes: bool = flag("buttonholes upright, on the centre line", True, group="buttons"),
    yoke_back: Length = length("yoke at the centre back", inch(3), least=inch(2), most=inch(5), group="yoke"),
    yoke_front: Length = length("yoke before the shoulder seam", inch(1), least=inch(0.5), most=inch(3), group="yoke"),
    back_pleat: Length = length("pleat at the centre back, in each half", inch(0.75), most=inch(2), group="yoke"),
    collar_kind: str = choice("collar", "stand and fall", "mandarin", "one-piece", "flat", "tie", group="collar"),
    collar_wide: Length | None = length("stand; of another collar its whole depth", least=inch(0.75), most=inch(5),
                                        worked_out="{stand}; 3 in flat, one-piece or tied", where={"stand": inch(1.25)},
                                        group="collar"),
    point_long: Length = length("collar point", inch(2.75), least=inch(1.5), most=inch(5), group="collar"),
    ease_biceps: Length | None = length("wearing ease round the upper arm", least=inch(0.75), most=inch(9),
                                        worked_out="{usual}; less where the cap would be flatter than a sixth of the "
                                        "armhole", where={"usual": inch(3.5)}, group="sleeve"),
    cuff_wide: Length = length("cuff", inch(2.5), least=inch(1), most=inch(4), group="sleeve"),
    ease_wrist: Length = length("cuff over the wrist, with its lap", inch(2), least=inch(1.5), most=inch(5),
                                group="sleeve"),
    breast_pocket: bool = flag("a breast pocket", True),
) -> Draft:  # fmt: skip
    """Back, front, yoke, sleeve, cuff, placket, stand, fall and pocket."""
    if worn_by != "women":
        on.worn_by("man" if worn_by == "men" else "child")
    elif on.body.wearer == "man":
        on.note('The wearer is a man, and the shirt is cut for a woman: for his write worn_by = "men".')
    return shirt_draft(
        on, worn_by=worn_by, laps="right over left" if worn_by == "women" else "left over right", ease_chest=ease_chest,
        long=long, button=button, upright_holes=upright_holes, yoke_back=yoke_back, yoke_front=yoke_front,
        back_pleat=back_pleat, collar_kind=collar_kind, collar_wide=collar_wide, point_long=point_long,
        ease_biceps=ease_biceps, cuff_wide=cuff_wide, ease_wrist=ease_wrist, breast_pocket=breast_pocket,
    )  # fmt: skip
