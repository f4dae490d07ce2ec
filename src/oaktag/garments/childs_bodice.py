"""A child's bodice to the waist: sleeveless or with set-in sleeves; it opens at the back, as no head passes its neck.

Block: blocks/child.py. Opening: a faced slit 10 cm long or so long that the head and 2 cm pass (10 to 15 on measured
children: worked rules 6), held by a button and loop; or the whole back, by a zip or by buttons. Sleeve: parts/sleeves,
its cap eased by 1.5 cm (chosen; a child's armhole is two thirds as long as a woman's, and so is the ease). Collar:
parts/collars, flat. To let down: the waist's allowance 1/2 in wider (growing clothes, a magazine of 1976). Chest ease 6
to 10 cm (chosen).
"""

from __future__ import annotations

from typing import Final

from ..body.whom import CHILDREN
from ..claims.girth import EaseInRange, Girth, GirthAtLeast
from ..claims.openings import OpenedPasses, Passes
from ..draft.board import Board
from ..draft.signature import choice, garment, length
from ..errors import DraftError, GeometryError
from ..model.claim import Claim
from ..model.draft import Draft, Notion
from ..model.length import Length, cm, found, greatest, inch, mm
from ..model.piece import NotchPlace, Piece, sew
from ..model.ref import refs
from ..values import replace
from .blocks.child import EASE, EASE_WAIST, child_block
from .parts.button_stand import button_stand
from .parts.collars import bound, collar
from .parts.cuffs import DEEP as CUFF_DEEP
from .parts.cuffs import ended
from .parts.neckline import KEYHOLE_END, neck_round, with_keyhole
from .parts.part import Part, together
from .parts.sleeves import REACH, REACHES, Says, sleeve
from .parts.upper import Faced
from .parts.upper_facings import facings_of

SLEEVES: Final = ("none", "plain", "puff", "bell")
SLEEVE_ENDS: Final = ("hem", "band", "elastic")
CAP_EASE: Final = inch(0.625)
ARM_EASE: Final = inch(2)
HEAD_EASE: Final = cm(2)
"""A neck that is pulled on is the head and this round (worked rules for children)."""
USUAL_EASE: Final = (60.0, 100.0)
"""Wearing ease round the chest of a child's woven block, mm (chosen)."""
SLIT: Final = inch(4)
BUTTON: Final = inch(0.5)
METRIC_BUTTON: Final = mm(11)
"""Buttons of children's clothes: 14 to 20 lines (four lists)."""


@garment("bodice for children to the waist, open at the back, with or without sleeves", for_whom=CHILDREN,
         noun="bodice")  # fmt: skip
def childs_bodice(
    on: Board,
    *,
    ease_chest: Length = length("wearing ease round the chest", EASE, least=inch(1.5), most=inch(7)),
    ease_waist: Length | None = length("wearing ease round the waist", least=inch(1), most=inch(12), worked_out=
                                       "straight down from the chest, {a} at least", where={"a": EASE_WAIST}),
    opens: str = choice("how the back opens", "slit", "zip", "buttons", group="opening"),
    slit_deep: Length | None = length("its length", least=inch(2.5), most=inch(8), worked_out="{a}, or so that the "
                                      "head passes", where={"a": SLIT}, when=("opens", "slit"), group="opening"),
    button: Length = length("diameter of the buttons", BUTTON, least=inch(0.375), most=inch(0.875),
                            metric=METRIC_BUTTON, group="opening"),
    buttons: str = choice("how many", "auto", *map(str, range(3, 9)), when=("opens", "buttons"), group="opening"),
    collar_kind: str = choice("collar", "none", "flat", group="collar"),
    collar_wide: Length = length("its depth", inch(1.75), least=inch(1), most=inch(3), when=("collar_kind", "flat"),
                                 group="collar"),
    collar_shape: str = choice("its ends", "round", "pointed", when=("collar_kind", "flat"), group="collar"),
    sleeve_kind: str = choice("sleeve", *SLEEVES, group="sleeve"),
    reach: str = choice("how far the sleeve reaches", "short", *(r for r in REACHES if r != "short"), group="sleeve"),
    sleeve_end: str = choice("what it ends in", *SLEEVE_ENDS, when=("sleeve_kind", *SLEEVES[1:]), group="sleeve"),
    facing_wide: Length = length("facings, finished", inch(1.5), least=inch(1), most=inch(2.5)),
    let_down: Length = length("allowance of the waist wider, to let down", inch(0.5), most=inch(2)),
) -> Draft:  # fmt: skip
    """Front, back, sleeve, collar, facings."""
    front, back = child_block(on, ease_chest=ease_chest, ease_waist=ease_waist,
                              centre_back="seam" if opens == "zip" else "fold")  # fmt: skip
    back, opening = opened(on, front, back, opens, slit_deep, "waist_centre")
    neck = collared(on, front, back, collar_kind, collar_wide, collar_shape)
    arm = childs_sleeve(on, sleeve_kind, front, back, reach, sleeve_end)
    faced = Faced(front, back, front)
    stand = Part()
    if opens == "buttons":
        back, stand = button_stand(on, back, button=button, level="chest", usual=on.usual(inch(2.5)),
                                   facing_wide=on.usual(inch(1.5)), above_hem=cm(2.5),
                                   laps="girls' right over left, boys' left over right")  # fmt: skip
        binding = bound(on, front, back, on.usual(inch(0.25)), beyond="stand_neck", opens="back")
        neck = replace(neck, pieces=(*neck.pieces, *binding.pieces), seams=(*neck.seams, *binding.seams))
    elif opens == "slit":
        stand = Part(notions=(Notion("button", button.mm, "slit", "", "", 1),))
    shell = (front, back)
    try:
        faces = facings_of(shell, faced, facing_wide, necks=opens != "buttons", armholes=sleeve_kind == "none")
    except GeometryError as error:
        raise DraftError(f"{error}. Make facing_wide less.") from error
    waist = refs("front.waist", "back.waist")
    claims: list[Claim] = [*chest_claims(on, ease_chest), *opening]
    claims.append(GirthAtLeast("girth.waist", "add {more} to ease_waist.", "waist", on.body.waist_girth,
                               ease_waist or EASE_WAIST))  # fmt: skip
    if opens == "slit":
        claims.append(Passes("entry.chest", "add {more} to ease_waist, or set opens to zip.", "waist", waist, "chest",
                             on.body.bust_girth, "as measured", HEAD_EASE.mm))  # fmt: skip
    seams = tuple(sew(f"{edge} seam", f"front.{edge}", to=f"back.{edge}") for edge in ("shoulder", "side"))
    if opens == "zip":
        seams = (sew("centre back seam", "back.centre_back", to="back.centre_back"), *seams)
        stand = Part(notions=(Notion("zip", back.edge("centre_back").length(), "opens", "", "zip end"),))
        on.note("The zip opens the whole back: buy one that comes apart, if nothing is sewn to the waist.")
    if let_down.mm:
        on.note(f"The allowance of the waist is {on.say(let_down)} wider: sew it deep, and let the bodice down by that "
                "when the child has grown (1/2 in a size up to 6 years: a magazine of 1976).")  # fmt: skip
    own = Part(shell, seams, tuple(claims), widths={"waist": on.usual(inch(0.5)) + let_down})
    return together(on, [own, stand, arm, neck, faces])


def opened(
    on: Board, front: Piece, back: Piece, opens: str, slit_deep: Length | None, above: str
) -> tuple[Piece, tuple[Claim, ...]]:
    """The back with its slit, or a notch where its zip ends; and the claim that the head passes, undone."""
    head = on.body.head_girth
    if opens == "slit":
        lack = found((head.mm + HEAD_EASE.mm - neck_round(front, back)) / 2, "half of what the neck lacks for the head")
        deep = (slit_deep or greatest(on.usual(SLIT), lack)).called("back opening")
        on.work("slit_deep", deep)
        back = with_keyhole(on, back, "slit", deep, above=above, option="slit_deep")
        on.note("Face the slit before the neck: sew facing and back together on its line, cut it open to its end; a "
                "button and a loop of bias cut tube hold it at the neck.")  # fmt: skip
        end = KEYHOLE_END
    elif opens == "zip":
        end = "zip end"
        notch = NotchPlace("centre_back", back.edge("centre_back").length(), 1, end)
        back = replace(back, notches=(*back.notches, notch))
    else:
        return back, ()
    return back, (OpenedPasses("entry.neckline", "set slit_deep to {enough} or more.", "centre back",
                               refs("front.neck", "back.neck"), end, head, HEAD_EASE.mm),)  # fmt: skip


def collared(on: Board, front: Piece, back: Piece, kind: str, wide: Length, shape: str) -> Part:
    """A flat collar in two halves that end at the centre back, or none."""
    return collar(on, kind, front, back, wide=wide, point=wide * 1.2, shape=shape, lap=on.usual(inch(0.375)),
                  opens="back")  # fmt: skip


def childs_sleeve(
    on: Board, kind: str, front: Piece, back: Piece, reach: str, end: str, to: tuple[str, ...] = ()
) -> Part:  # fmt: skip
    """A sleeve with a child's eases, and what it ends in."""
    end = "hem" if kind == "none" else end
    wide = on.usual(CUFF_DEEP.get(end, inch(1)))
    says = Says("upper_arm_girth, if it was mistaken,", "ease_chest", "ease_chest", "reach", "reach")
    arm = sleeve(on, kind, front, back, reach=reach, ease_cap=on.usual(CAP_EASE), usual_ease=ARM_EASE, to=to, says=says,
                 cuff=wide if end == "band" else None)  # fmt: skip
    return ended(on, arm, end, share=REACH[reach], wide=wide, ease=on.usual(inch(1)))


def chest_claims(on: Board, ease: Length) -> tuple[Claim, ...]:
    """The chest and its ease all round, and that this is what a child's clothes have."""
    return (
        Girth("girth.chest", "Change ease_chest.", "chest", on.body.bust_girth, ease),
        EaseInRange("ease.chest", "ease_chest", "chest", ease, *USUAL_EASE, "a child's bodice in woven cloth"),
    )
