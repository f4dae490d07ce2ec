"""A wrapper (iro): one cloth wrapped round from the waist, its ends over each other, tucked in or tied.

Rules (how iro and buba are cut, a Nigerian newspaper's page): 2 yards 9 in round, 2 yards 12 in and up by size; short,
as an oleku, to the knee. By size is taken to be twice the hip: 81 in for a hip of 40 1/2, 84 for 42 (chosen); so that
its ends lie over each other by as much as the hip. From the waist to the ankle, with the tuck at the top (common
practice, no source). In a stride its ends still lap by 15 cm (chosen).
"""

from __future__ import annotations

from ..body.whom import WOMEN
from ..claims.cloth import GoesOnCloth
from ..claims.girth import RunInRange
from ..claims.walking import LapInStride
from ..draft.board import Board
from ..draft.signature import choice, garment, length
from ..model.claim import Claim
from ..model.draft import Draft
from ..model.length import Length, greatest, inch
from ..model.piece import Cut, EdgeKind
from ..model.ref import refs
from .parts.stride import walk_of


@garment("wrapper (iro) for women: one cloth wrapped round from the waist, long, or short as an oleku",
         for_whom=WOMEN, noun="wrapper")  # fmt: skip
def wrapper(
    on: Board,
    *,
    reach: str = choice("how far it reaches", "to the ankle", "to the knee"),
    long: Length | None = length("waist to hem", least=inch(14), most=inch(50),
                                 worked_out="to the ankle, or below the knee"),
    round_long: Length | None = length("how long it is round", least=inch(50), most=inch(160),
                                   worked_out="2 yards 9 in, or twice the hip"),
    tuck: Length = length("folded over at the top, to be tucked in", inch(3), most=inch(8)),
    hem_deep: Length = length("hem, and at both ends", inch(0.5), least=inch(0.25), most=inch(3)),
    cloth_wide: Length | None = length("width of the cloth, from waist to hem", least=inch(20), most=inch(72),
                                       worked_out="any", of_cloth=True),
) -> Draft:  # fmt: skip
    """One rectangle."""
    body = on.body
    low = body.ankle_height if reach == "to the ankle" else body.knee_height - inch(2)
    hem_line = (long or body.waist_height - low).called("waist to hem")
    round_it = (round_long or greatest(inch(81), body.hip_girth * 2)).called("wrapper, round")
    if tuck > hem_line / 3:
        on.refuse(f"a tuck of {on.say(tuck)} is more than a third of {on.say(hem_line)}", "tuck to less")
    s = on.sketch("panel", Cut("whole"), worn="body")
    high = (hem_line + tuck).called("cut from waist to hem") if tuck.mm else hem_line
    s.at("top_left")
    s.at("low_left", down=high)
    s.at("low_right", right=round_it, down=high)
    s.at("top_right", right=round_it)
    s.hem("end_under", "top_left", "low_left")
    s.hem("hem", "low_left", "low_right")
    s.hem("end_over", "low_right", "top_right")
    s.edge("top", "top_right", "top_left", kind=EdgeKind.OPENING)
    s.grain("top_left", "top_right")
    if tuck.mm:
        s.at("waist_left", down=tuck)
        s.at("waist_right", right=round_it, down=tuck)
        s.line("waist line", "waist_left", "waist_right")
    s.level("waist", tuck)
    s.level("hem", high)
    on.note("Along the selvedges nothing need be hemmed: the cloth's length goes round.")
    on.note("Put it on over the left hip, wrap it round, and tuck or tie its upper corner at the waist.")
    claims: list[Claim] = [
        RunInRange("run.overlap", "make round_long {off} more.", refs("panel.hem"), body.hip_girth,
                   (body.hip_girth / 2).mm, 5000.0),
        LapInStride("walk.overlap", "make round_long {more} more.", walk_of(on, hem_line), refs("panel.hem")),
    ]  # fmt: skip
    if cloth_wide is not None:
        claims.append(GoesOnCloth("cloth.wide", "make long or tuck {more} less, or take wider cloth.", ("panel",),
                                  cloth_wide))  # fmt: skip
    return on.draft([s.piece()], claims=claims, widths={
        "hem": hem_deep, "end_under": hem_deep, "end_over": hem_deep, "top": hem_deep})  # fmt: skip
