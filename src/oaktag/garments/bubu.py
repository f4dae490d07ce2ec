"""A bubu, the wide gown of West Africa: one cloth folded over the shoulder, closed by a line of stitches at each side.

          hem of the back            the cloth lies on two folds: along the centre line, and across at the shoulders
    ______________________            (y = 0); the back lies above that, the front below, alike but for the neck
    |          /          |
    )ns .  .  .  .  .  . .|  fold     ns: the neck's place at the shoulder; beyond it the fold is the top of the sleeve
    |          \\ open      |           the sides are joined from `open` down, on a line of stitches through front and
    |           | stitches  |           back; what lies outside it hangs free, as the sleeve's wing
    |__________/__________|
Rules as a dressmaker prints them for length 40, sleeve 20, bust 36, in inches (a sewing class, 2017): cloth 2 (length
+ 1) long and 2 (sleeve + 1) wide, folded to a quarter, no shoulder seam; neck 3 1/2 from the centre and 6 deep; sides
joined from 10 below the shoulder; at each level half of the girth and 1/2 to 1 across both folds. Proved on bodies
(worked rules 7): the neck is 6 1/2 deep for a head of 55 cm and 7 1/4 for 58, so it is as deep as the head asks for,
which is less with a back neck; a
closed waist is no narrower than the bust needs; levels are the body's, the bust at 0.66 of the waist line (medians 8.8
and 13.4 in), and the sides start 1 above it, but never closer to the arm than it needs (4 in and the arm). Back of the
neck 3/4 deep, hem 4 wider to a quarter than the hip (common practice, no source).
"""

from __future__ import annotations

from ..body.whom import GROWN
from ..claims.cloth import GoesOnCloth
from ..claims.girth import GirthAtLeast
from ..claims.openings import Passes
from ..claims.stride import Stride
from ..draft.board import Board
from ..draft.rulers import curve
from ..draft.signature import choice, garment, length
from ..draft.sketch import Sketch
from ..model.claim import Claim
from ..model.draft import Draft
from ..model.finding import Severity
from ..model.length import Length, cm, greatest, inch, mm
from ..model.piece import Cut, EdgeKind, LineKind, Seam, sew
from ..model.ref import refs
from .parts.overhead import BUST, HEAD_EASE, head_of, walk_below


@garment("bubu for women and men: wide gown of one folded cloth, closed by stitches at each side",
         for_whom=GROWN, noun="bubu")  # fmt: skip
def bubu(
    on: Board,
    *,
    long: Length = length("shoulder to hem", inch(40), least=inch(32), most=inch(60)),
    sleeve: Length = length("centre to the end of the sleeve", inch(20), least=inch(15), most=inch(32)),
    ease_half: Length = length("half of the gown wider than half the girth", inch(1), least=inch(0.5), most=inch(8)),
    open_to: Length | None = length("sides joined from here, below the shoulder", least=inch(7), most=inch(18),
                                    worked_out="{a} above the bust line, or as the arm asks for",
                                    where={"a": inch(1)}),
    hem_half: Length | None = length("stitches from the centre, at the hem", least=inch(10), most=inch(30),
                                     worked_out="{a} more than at the hip", where={"a": inch(4)}),
    neck_half: Length = length("neckline from the centre, at the shoulder", inch(3.5), least=inch(2.5), most=inch(6)),
    neck_front: Length | None = length("neckline, deep in front", least=inch(4), most=inch(11),
                                       worked_out="{a}, or as deep as the head asks for", where={"a": inch(6)}),
    neck_back: Length = length("neckline, deep in back", inch(0.75), least=inch(0.25), most=inch(6)),
    neck_finish: str = choice("how the neckline is finished", "facing", "binding"),
    cloth_wide: Length | None = length("width of the cloth, to be told if the gown does not go on it", least=inch(30),
                                       most=inch(130), worked_out="any", of_cloth=True),
) -> Draft:  # fmt: skip
    """The gown, and the facing of its neck."""
    body = on.body
    waist_line = body.waist_line.called("waist line")
    bust_line, hip_line = (waist_line * BUST).called("bust line"), (waist_line + body.waist_to_hip).called("hip line")
    for_arm = ((body.upper_arm_girth + inch(4)) / 2).called("half the arm and its ease")
    opened = (open_to or greatest(bust_line - inch(1), for_arm)).called("open sleeve")
    at_bust = ((body.bust_girth / 2 + ease_half) / 2).called("stitches at the bust")
    at_waist = greatest((body.waist_girth / 2 + ease_half) / 2, at_bust).called("stitches at the waist")
    at_hip = greatest((body.hip_girth / 2 + ease_half) / 2, at_bust).called("stitches at the hip")
    at_hem = (hem_half or at_hip + inch(4)).called("stitches at the hem")
    widest = greatest(at_waist, at_hip, at_hem)
    if widest > sleeve - inch(0.5):
        on.refuse(f"the stitches lie {on.say(widest)} from the centre, the cloth ends at {on.say(sleeve)}",
                  f"sleeve to {on.say(widest + inch(0.5))} or more, or hem_half")  # fmt: skip
    if hip_line > long - inch(4):
        on.refuse(f"the hip lies {on.say(hip_line)} below the shoulder, the hem {on.say(long)}",
                  f"long to {on.say(hip_line + inch(4))} or more; a shorter top is a buba")  # fmt: skip
    if opened > waist_line - inch(1):
        on.refuse(f"the sleeve is open down to {on.say(opened)}, the waist lies {on.say(waist_line)} down",
                  f"open_to to {on.say(waist_line - inch(1))} or less")  # fmt: skip
    head, known = head_of(on)
    places = [("bust", bust_line, at_bust), ("waist", waist_line, at_waist), ("hip", hip_line, at_hip),
              ("hem", long, at_hem)]  # fmt: skip

    def gown(neck: Length) -> Sketch:
        s = on.sketch("gown", Cut("fold"), worn="body")
        s.at("neck_side", right=neck_half)
        s.at("neck_front", down=neck)
        s.at("neck_back", up=neck_back)
        s.at("sleeve_top", right=sleeve)
        s.at("hem_centre", down=long)
        s.at("hem_end", right=sleeve, down=long)
        s.put("back_hem_centre", (0.0, long.mm))
        s.put("back_hem_end", (sleeve.mm, long.mm))
        s.fold("centre_front", "neck_front", "hem_centre")
        s.hem("hem_front", "hem_centre", "hem_end")
        s.hem("side_front", "hem_end", "sleeve_top")
        s.hem("side_back", "sleeve_top", "back_hem_end")
        s.hem("hem_back", "back_hem_end", "back_hem_centre")
        s.fold("centre_back", "back_hem_centre", "neck_back")
        s.edge("neck", "neck_back", curve("level", "upright"), "neck_side", curve("upright", "level"), "neck_front")
        s.line("shoulder fold", "neck_side", "sleeve_top", kind=LineKind.FOLD)
        s.at("open_front", right=at_bust, down=opened)
        s.put("open_back", (at_bust.mm, opened.mm))
        runs: dict[str, list[str]] = {"front": ["open_front"], "back": ["open_back"]}
        for name, deep, across in places:
            s.at(f"{name}_front", right=across, down=deep)
            s.put(f"{name}_back", (across.mm, deep.mm))
            s.put(f"{name}_centre_front", (0.0, -deep.mm))
            s.put(f"{name}_centre_back", (0.0, deep.mm))
            for way, run in runs.items():
                if name != "bust":  # the stitches run straight down there
                    run.append(f"{name}_{way}")
        for way, run in runs.items():
            s.line(f"stitches {way}", *run, kind=LineKind.PLACEMENT)
            for name, deep, _ in places:
                s.level(name, deep, f"{name}_centre_{way}", f"{name}_{way}")
        return s

    def short(neck: Length) -> float:
        return (head + HEAD_EASE).mm - 2 * gown(neck).long("neck").mm

    deep = neck_front or on.solve(inch(6), inch(10), lack=short, so_that="so that the head passes")
    sheet = gown(deep.called("neck, deep in front"))
    piece = sheet.piece()
    pieces = [piece]
    seams: list[Seam] = []
    if neck_finish == "facing":
        pieces.append(_facing(on, neck_half, deep, neck_back).piece())
        seams.append(sew("neck facing", "neck_facing.neck from start to end", to="gown.neck from start to end",
                         how="faced"))  # fmt: skip
    else:
        on.note("Bind the neckline with a bias strip; its allowance is cut away first.")
    seams.append(sew("side stitches", "gown.stitches front from start to end",
                     to="gown.stitches back from start to end", how="onto a line"))  # fmt: skip
    on.note("Front and back are cut as one through all four layers, then the front alone at the neck. What lies "
            "outside the stitches is not cut away: it hangs as the sleeve.")  # fmt: skip
    claims: list[Claim] = [
        Passes("entry.head", "make neck_front more, or neck_half; {more} is lacking round it.", "neckline",
               refs("gown.neck"), "head", head, known, cm(2).mm),
        *(GirthAtLeast(f"girth.{name}", "make ease_half half of {more} more.", name, girth, on.usual(inch(1)),
                       severity=severity)
          for name, girth, severity in (
              ("bust", body.bust_girth, Severity.ERROR), ("hip", body.hip_girth, Severity.WARNING))),
        GirthAtLeast("entry.waist", "it cannot be put on over the bust: make ease_half more.", "waist",
                     greatest(body.bust_girth, body.waist_girth), mm(0), severity=Severity.ERROR),
        Stride("walk", "Make hem_half {more} ÷ 4 more.", walk_below(on, long), "leave the sides open, {length} from "
               "the hem up", "make hem_half more", "", hobbled=Severity.WARNING),
    ]  # fmt: skip
    if cloth_wide is not None:
        claims.append(GoesOnCloth("cloth.wide", "make sleeve half of {more} less.", ("gown",), cloth_wide))
    return on.draft(pieces, seams=seams, claims=claims, widths={
        "hem_front": inch(1), "hem_back": inch(1), "side_front": inch(1), "side_back": inch(1), "neck": inch(0.375)},
        folding={"gown": ("crosswise", "lengthwise")})  # fmt: skip


def _facing(on: Board, half: Length, front: Length, back: Length) -> Sketch:
    """A ring round the neck, 2 in wide at the centre lines and the shoulder (common practice, no source)."""
    s, wide = on.sketch("neck_facing", Cut("fold")), on.usual(inch(2)).called("width of the facing")
    s.at("neck_side", right=half)
    s.at("neck_front", down=front)
    s.at("neck_back", up=back)
    s.at("outer_side", right=half + wide)
    s.at("outer_front", down=front + wide)
    s.at("outer_back", up=back + wide)
    s.fold("centre_front", "neck_front", "outer_front")
    s.edge("outer", "outer_front", curve("level", "upright"), "outer_side", curve("upright", "level"), "outer_back",
           kind=EdgeKind.OPENING)  # fmt: skip
    s.fold("centre_back", "outer_back", "neck_back")
    s.edge("neck", "neck_back", curve("level", "upright"), "neck_side", curve("upright", "level"), "neck_front")
    s.line("shoulder line", "neck_side", "outer_side")
    return s
