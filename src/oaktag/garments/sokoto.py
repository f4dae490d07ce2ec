"""A sokoto, the straight trousers worn under a buba: front and back alike but for 2 in, elastic or a cord at the waist.

    ws________wc       origin: waist line at the side; x towards the centre, y up
     \\        |       the side slants in towards the foot
      \\       \\_ fork  the back is as much wider as is told, all the way down: so both inseams are equally long
       \\      /
        \\____/
Rules as a dressmaker prints them for length 40, hip 40, thigh 27, bottom 15, in inches (a sewing class, 2017): cut
4 longer, hem and top turned 2 each; waist = hip ÷ 4, thigh ÷ 2, bottom ÷ 2; crotch 14 to 15 below the cut top; knee
8 to 8 1/2 at 22 to 24; side slanted 1 1/2 at the foot; back 2 wider. Wider at the fork alone it leaves the inseams
unequal (worked rules 7). Crotch and knee are taken from the body: rise and 3 in, or so much that the crotch seam is as
long as the body; a knee a fifth of the way from bottom to thigh, which come to the printed numbers for a man of that
size (chosen). Thigh = the body's and 3 in (chosen).
"""

from __future__ import annotations

from ..body.whom import MEN
from ..claims.girth import GirthAtLeast, RunInRange
from ..claims.openings import Passes
from ..draft.board import Board
from ..draft.rulers import curve
from ..draft.signature import choice, garment, length
from ..draft.sketch import Sketch
from ..model.claim import Claim
from ..model.draft import Draft
from ..model.length import Length, found, greatest, inch, least, mm
from ..model.piece import Cut, sew
from ..model.ref import refs
from ..values import replace
from .parts.part import Part, together
from .parts.pockets import IN_SEAM, pocket_kinds, pocketed
from .parts.stride import FOOT


@garment("sokoto for men: straight trousers, the back wider all the way down, elastic or a cord at the waist",
         for_whom=MEN, noun="sokoto")  # fmt: skip
def sokoto(
    on: Board,
    *,
    long: Length | None = length("waist to hem", least=inch(16), most=inch(50), worked_out="to the ankle"),
    thigh_round: Length | None = length("thigh of the leg, twice the front", least=inch(18), most=inch(45),
                                        worked_out="thigh and {a}", where={"a": inch(3)}),
    hem_round: Length = length("bottom of the leg, twice the front", inch(15), least=inch(11), most=inch(30)),
    crotch_low: Length | None = length("crotch below the body's", least=inch(1), most=inch(9),
                                       worked_out="{a}, and so much that the crotch seam is as long as the body",
                                       where={"a": inch(3)}),
    back_wider: Length = length("back wider than the front, all the way down", inch(2), least=inch(1), most=inch(4)),
    slant: Length = length("side further in at the foot", inch(1.5), most=inch(4)),
    closure: str = choice("what holds the waist", "elastic", "cord"),
    turned_in: Length = length("turned in at top and foot", inch(2), least=inch(1), most=inch(3)),
    pocket_kind: str = pocket_kinds(IN_SEAM),
) -> Draft:  # fmt: skip
    """Front and back."""
    body = on.body
    hem_line = (long or body.waist_height - body.ankle_height).called("hem line")
    rise = body.get("body_rise") or body.waist_height - body.crotch_height
    wanted = body.get("total_crotch_length")
    crotch = (rise + (crotch_low or inch(3))).called("crotch line")
    if hem_line < crotch + inch(3):
        on.refuse(f"the crotch lies {on.say(crotch)} below the waist, the hem {on.say(hem_line)}",
                  f"long to {on.say(crotch + inch(3))} or more")  # fmt: skip
    waist = (body.hip_girth / 4).called("quarter hip")
    thigh = ((thigh_round or body.thigh_girth + inch(3)) / 2).called("half the thigh")
    if thigh < waist + inch(1.5):
        on.note(f"The thigh line, {on.say(thigh)}, leaves no fork beside the waist, {on.say(waist)}: it is made "
                f"{on.say(inch(1.5))} longer than that (a chosen value).")  # fmt: skip
        thigh = (waist + inch(1.5)).called("thigh line")
    bottom = (hem_round / 2).called("half the bottom")
    knee_line = (body.waist_height - body.knee_height).called("knee line")
    through_knee = crotch + inch(3) < knee_line < hem_line - inch(2)
    knee = (bottom + (thigh - bottom) * 0.2).called("half the knee")
    hip = (greatest(body.waist_to_hip, mm(1)) if body.waist_to_hip < crotch - inch(1.5) else crotch - inch(1.5)).called(
        "hip line"
    )

    def leg(name: str, more: Length, crotch: Length) -> Sketch:
        s = on.sketch(name, Cut("pair"), worn="leg")
        s.at("waist_side")
        s.at("hem_side", right=slant, down=hem_line)
        s.at("waist_centre", right=waist + more if more.mm else waist)
        s.between("thigh_side", "waist_side", "hem_side", crotch.over(hem_line))
        s.at("fork", right=thigh + more if more.mm else thigh, of="thigh_side")
        s.at("hem_in", right=bottom + more if more.mm else bottom, of="hem_side")
        s.edge("side", "waist_side", "hem_side")
        s.hem("hem", "hem_side", curve("square", "square"), "hem_in")
        if through_knee:
            s.between("knee_side", "waist_side", "hem_side", knee_line.over(hem_line))
            s.at("knee_in", right=knee + more if more.mm else knee, of="knee_side")
            s.edge("inseam", "hem_in", "knee_in", curve("smooth", "free"), "fork")
            s.notch("inseam", "knee", "knee_in")
        else:
            s.edge("inseam", "hem_in", "fork")
        s.edge("crotch", "fork", curve("square", "upright"), "waist_centre")
        s.hem("waist", "waist_centre", curve("square", "square"), "waist_side")
        s.level("waist", mm(0))
        s.level("hip", hip)
        s.level("crotch", crotch)
        if through_knee:
            s.level("knee", knee_line)
        s.level("hem", hem_line)
        return s

    def short(low: Length) -> float:
        """How much the crotch seam lacks with the crotch so low, mm."""
        seam = sum(leg("front", more, rise + low).long("crotch").mm for more in (mm(0), back_wider))
        return 0.0 if wanted is None else wanted.mm - seam

    if crotch_low is None:
        low = on.solve(inch(3), least(inch(9), hem_line - rise - inch(3)), lack=short,
                       so_that="so that the crotch seam is as long as the body")  # fmt: skip
        crotch = (rise + low).called("crotch line")
    front, back = leg("front", mm(0), crotch), leg("back", back_wider, crotch)
    halves = on.fitted(front.piece(), back.piece())
    top = found(2 * sum(half.edge("waist").length() for half in halves), "waist line")
    if closure == "elastic":
        snug = body.waist_girth - on.usual(inch(1))
        on.note(f"Elastic: cut it {on.say(snug)} long, an inch less than the waist, for the casing of "
                f"{on.say(turned_in)}; it draws in {on.say(top)}.")  # fmt: skip
    else:
        on.note(f"A cord, waist and {on.say(on.usual(inch(24)))} long, runs in the casing of {on.say(turned_in)}; "
                "leave an opening for it at the centre front. Its ends are tucked in: a cord that hangs can "
                "catch.")  # fmt: skip
    claims: list[Claim] = [
        Passes("entry.hip", "make back_wider {more} more.", "waist", refs("front.waist", "back.waist"), "hip",
               body.hip_girth, "as measured", inch(1).mm),
        GirthAtLeast("girth.hip", "make back_wider more, {more} all round.", "hip", body.hip_girth, inch(2), "leg"),
        GirthAtLeast("girth.thigh", "make thigh_round {more} more.", "crotch", body.thigh_girth, inch(2), "leg", 2),
        RunInRange("run.hem", "make hem_round {off} more.", refs("front.hem", "back.hem"), body.ankle_girth * FOOT,
                   0.0, 5000.0),
    ]  # fmt: skip
    if wanted is not None:
        claims.append(RunInRange("run.crotch", "make crotch_low about half of {off} more.",
                                 refs("front.crotch", "back.crotch"), wanted, -0.5, 5000.0))  # fmt: skip
    panels = Part(
        halves,
        (
            sew("side seam", "front.side", to="back.side"),
            sew("inseam", "front.inseam", to="back.inseam"),
            sew("front crotch seam", "front.crotch", to="front.crotch"),
            sew("back crotch seam", "back.crotch", to="back.crotch"),
        ),
        tuple(claims),
        widths={"waist": turned_in, "hem": turned_in},
    )
    draft = together(on, [pocketed(on, panels, pocket_kind, front="front.side", back="back.side")])
    return replace(draft, folding={"front": ("lengthwise",), "back": ("lengthwise",)})
