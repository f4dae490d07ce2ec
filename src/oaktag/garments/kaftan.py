"""A kaftan: one cloth folded over the shoulder, as wide as it comes, its sides sewn up to the arms.

          hem of the back            the cloth lies on two folds: along the centre line, and across at the shoulders
    ______________________            (y = 0); the back lies above that, the front below, alike but for the neck
    |                    | side
    )ns .  .  .  .  .  . | arm        ns: the neck's place at the shoulder; in front it narrows straight to nb, and runs
     \\nb                 | opening   level from there to the centre
    |____________________| side
Rules in inches (how kaftans are measured and cut, 2017): cloth twice the length; 45 wide for small and medium, 65 for
large; neck 8 deep, 6 to each side at the top, 2 at the bottom; arms open for 10. The neck narrower where the shoulders
are: 1 1/2 of them stay covered (chosen). Back of the neck 3/4 deep, hems, and from which hip on the wider cloth is
meant (10 in of ease): common practice, no source.
"""

from __future__ import annotations

from ..body.whom import GROWN
from ..claims.cloth import GoesOnCloth
from ..claims.girth import GirthAtLeast, RunInRange
from ..claims.openings import Passes
from ..claims.stride import Stride
from ..draft.board import Board
from ..draft.facings import facing
from ..draft.rulers import curve
from ..draft.signature import choice, garment, length
from ..draft.sketch import Sketch
from ..model.claim import Claim
from ..model.draft import Draft
from ..model.finding import Severity
from ..model.length import Length, cm, inch, least
from ..model.piece import Cut, LineKind, Seam, sew
from ..model.ref import refs
from .parts.overhead import head_of, walk_below


@garment("kaftan for women and men: wide gown of one folded cloth, its sides sewn up to the arms",
         for_whom=GROWN, noun="kaftan")  # fmt: skip
def kaftan(
    on: Board,
    *,
    long: Length = length("shoulder to hem", inch(54), least=inch(30), most=inch(64)),
    cloth_wide: Length = length("width of the cloth, which the kaftan uses wholly", inch(45), least=inch(36),
                                most=inch(72), of_cloth=True),
    arm_open: Length = length("arm opening, below the shoulder", inch(10), least=inch(6), most=inch(18)),
    neck_half: Length | None = length("neckline from the centre, at the shoulder", least=inch(3), most=inch(8),
                                      worked_out="{a}, or {b} less than the shoulders reach",
                                      where={"a": inch(6), "b": inch(1.5)}),
    neck_low: Length = length("neckline from the centre, at its lower end", inch(2), least=inch(0.5), most=inch(5)),
    neck_front: Length = length("neckline, deep in front", inch(8), least=inch(4), most=inch(12)),
    neck_back: Length = length("neckline, deep in back", inch(0.75), least=inch(0.25), most=inch(6)),
    neck_finish: str = choice("how the neckline is finished", "facing", "binding"),
) -> Draft:  # fmt: skip
    """The gown, and the facing of its neck."""
    body = on.body
    wide = (cloth_wide / 2 - on.usual(inch(0.5)) * 2).called("half the cloth, less selvedge and seam")
    tip = (body.neck_base_girth / 6 + body.shoulder_length).called("shoulder from the centre")
    neck = (neck_half or least(inch(6), tip - inch(1.5))).called("neck, from the centre")
    if neck < neck_low + inch(0.5):
        on.refuse(f"the neckline is {on.say(neck)} from the centre at the shoulder, {on.say(neck_low)} at its end",
                  f"neck_low to {on.say(neck - inch(0.5))} or less")  # fmt: skip
    waist_line = body.waist_line.called("waist line")
    hip_line = (waist_line + body.waist_to_hip).called("hip line")
    if arm_open > waist_line - inch(1):
        on.refuse(f"the arms are open down to {on.say(arm_open)}, the waist lies {on.say(waist_line)} down",
                  f"arm_open to {on.say(waist_line - inch(1))} or less")  # fmt: skip
    if hip_line > long - inch(2):
        on.refuse(f"the hip lies {on.say(hip_line)} below the shoulder, the hem {on.say(long)}",
                  f"long to {on.say(hip_line + inch(2))} or more")  # fmt: skip

    def gown() -> Sketch:
        s = on.sketch("gown", Cut("fold"), worn="body")
        s.at("neck_side", right=neck)
        s.at("neck_bottom", right=neck_low, down=neck_front)
        s.at("neck_front", down=neck_front)
        s.at("neck_back", up=neck_back)
        s.at("shoulder_end", right=wide)
        s.at("arm_front", right=wide, down=arm_open)
        s.put("arm_back", (wide.mm, arm_open.mm))
        s.at("hem_centre", down=long)
        s.at("hem_side", right=wide, down=long)
        s.put("back_hem_centre", (0.0, long.mm))
        s.put("back_hem_side", (wide.mm, long.mm))
        s.fold("centre_front", "neck_front", "hem_centre")
        s.hem("hem_front", "hem_centre", "hem_side")
        s.edge("side_front", "hem_side", "arm_front")
        s.hem("arm_open_front", "arm_front", "shoulder_end")
        s.hem("arm_open_back", "shoulder_end", "arm_back")
        s.edge("side_back", "arm_back", "back_hem_side")
        s.hem("hem_back", "back_hem_side", "back_hem_centre")
        s.fold("centre_back", "back_hem_centre", "neck_back")
        s.edge("neck", "neck_back", curve("level", "free"), "neck_side", "neck_bottom", "neck_front")
        s.line("shoulder fold", "neck_side", "shoulder_end", kind=LineKind.FOLD)
        levels = [("bust", arm_open), ("waist", waist_line), ("hip", hip_line), ("hem", long)]
        for name, down in levels:
            s.put(f"{name}_front", (0.0, -down.mm))
            s.put(f"{name}_side_front", (wide.mm, -down.mm))
            s.put(f"{name}_back", (0.0, down.mm))
            s.put(f"{name}_side_back", (wide.mm, down.mm))
        for way in ("front", "back"):
            for name, down in levels:
                s.level(name, down, f"{name}_{way}", f"{name}_side_{way}")
        return s

    piece = gown().piece()
    pieces = [piece]
    seams: list[Seam] = [sew("side seam", "gown.side_front from start to end", to="gown.side_back from end to start")]
    if neck_finish == "facing":
        pieces.append(facing(piece, ["neck"], "neck_facing", on.usual(inch(2)).mm))
        seams.insert(0, sew("neck facing", "neck_facing.neck from start to end", to="gown.neck from start to end",
                            how="faced"))  # fmt: skip
    else:
        on.note("Bind the neckline with a bias strip; its allowance is cut away first.")
    on.note("Front and back are cut as one through all four layers, then the front alone at the neck.")
    head, known = head_of(on)
    arm, ease = body.upper_arm_girth, on.usual(inch(10))
    claims: list[Claim] = [
        Passes("entry.head", "make neck_front more, or neck_half; {more} is lacking round it.", "neckline",
               refs("gown.neck"), "head", head, known, cm(2).mm),
        RunInRange("arm.room", "make arm_open more by half of {off}.",
                   refs("gown.arm_open_front", "gown.arm_open_back"), arm, on.usual(inch(4)).mm, 5000.0),
        GirthAtLeast("girth.bust", "take wider cloth, 65 in, and set cloth_wide; {more} is lacking.", "bust",
                     body.bust_girth, ease, severity=Severity.ERROR),
        GirthAtLeast("girth.hip", "take wider cloth, 65 in, and set cloth_wide; {more} is lacking.", "hip",
                     body.hip_girth, ease),
        GoesOnCloth("cloth.wide", "it is as wide as its cloth: take cloth {more} wider.", ("gown",), cloth_wide),
        Stride("walk", "Take cloth {more} ÷ 2 wider.", walk_below(on, long), "leave the sides open, {length} from the "
               "hem up", "take wider cloth", "", hobbled=Severity.WARNING),
    ]  # fmt: skip
    return on.draft(
        pieces,
        seams=seams,
        claims=claims,
        widths={name: on.usual(inch(0.5)) for name in ("side_front", "side_back", "arm_open_front", "arm_open_back")}
        | {"hem_front": inch(1), "hem_back": inch(1), "neck": inch(0.375)},
        folding={"gown": ("crosswise", "lengthwise")},
    )
