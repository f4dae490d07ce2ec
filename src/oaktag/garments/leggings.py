"""Leggings of stretch cloth, for women and men: one piece a leg without a side seam, elastic in a turned casing.

     wb───────wf        origin: the waist line on the centre of the leg, where a side seam would be; front to the right
     │         │        each girth lies half on either side of the centre, the waist half the front fork further forward
     /          \\       (with the waist centred the inseams differ)
    fb─────┼────ff      fork: a third of what the thigh has over the half waist in front, two thirds at the back
      \\    │   /
       kn──┼──kn        knee, ankle: the hem lies between them wherever it is
        hm─┼─hm
Rules: a sewing teacher's leggings by measure (half waist = waist less 1/2 in, halved; knee less, ankle plus 1/2 in;
the back waist 1 in higher), with the forks centred: worked rules, proved on 40 women of a survey, which raise the back
until the crotch seam stretched by 15 % is as long as the body. The curve leaves the inseam at 96 degrees in front and
84 at the back (the same worked rules, for trousers). Elastic 2 in shorter than the waist (two sewing teachers). What
the cloth lets be taken off: parts/knit.py.
"""

from __future__ import annotations

from ..body.whom import GROWN
from ..claims.openings import Passes
from ..claims.stretch import RunStretched, StretchUsed
from ..draft.board import Board
from ..draft.rulers import Bevel, curve
from ..draft.signature import garment, length, share
from ..draft.sketch import Sketch
from ..model.claim import Claim
from ..model.draft import Draft
from ..model.length import Length, cm, found, greatest, inch, least, mm
from ..model.piece import Cut, sew
from ..model.ref import refs
from .parts.knit import LEGS, TO_PASS, as_knit, taken_in

SEAM_GIVES = 0.15
"""How far a crotch seam stretches in wear (worked rules for leggings)."""


@garment("leggings of stretch cloth for women and men", for_whom=GROWN, noun="pair of leggings")
def leggings(
    on: Board,
    *,
    stretch: float = share("stretch of the cloth across, by the hand test", 0.6, least=0.2, most=2.0, group="cloth"),
    stretch_along: float = share("stretch of the cloth along", 0.3, most=2.0, group="cloth"),
    recovery: float = share("how far the cloth comes back", 0.95, least=0.5, group="cloth"),
    reduce: float | None = share("taken off the girths of the body", None, most=0.3, group="fit",
                                 worked_out="by the class of the cloth: 0 to 10 %"),
    long: Length | None = length("waist to hem", least=inch(12), most=inch(52), worked_out="to the ankle", group="fit"),
    crotch_low: Length = length("crotch line below the seat", mm(0), most=inch(2), group="fit"),
    back_high: Length | None = length("back waist above the front", most=inch(5), group="fit",
                                      worked_out="{a}, and more until the crotch seam is as long as the body",
                                      where={"a": inch(1)}),
    elastic_wide: Length = length("elastic at the waist", inch(1), least=inch(0.5), most=inch(3), group="finish"),
    hem_deep: Length = length("hem", inch(0.75), least=inch(0.375), most=inch(2), group="finish"),
) -> Draft:  # fmt: skip
    """One leg; elastic by a note."""
    body = on.body
    off, off_lengths = taken_in(on, reduce, stretch, stretch_along, recovery)
    rise = body.get("body_rise")
    if rise is None:
        rise = body.waist_height - body.crotch_height
        on.note(f"body_rise was not measured; taken as waist height less crotch height, {on.say(rise)}.")
    crotch = ((rise + crotch_low) * (1 - off_lengths)).called("crotch line")
    hip_line = least(body.waist_to_hip, crotch - cm(4)).called("hip line")
    knee_line = ((body.waist_height - body.knee_height) * (1 - off_lengths)).called("knee line")
    ankle_line = ((body.waist_height - body.ankle_height) * (1 - off_lengths)).called("ankle line")
    hem_line = (long or ankle_line).called("hem line")
    if hem_line < crotch + cm(3):
        on.refuse(f"the crotch line lies {on.say(crotch)} below the waist, which leaves no inside leg",
                  f"long to {on.say(crotch + cm(3))} or more")  # fmt: skip

    half_waist = ((body.waist_girth - on.usual(inch(0.5))) / 2 * (1 - off)).called("half waist")
    passing = (body.hip_girth / (1 + TO_PASS * stretch) / 2 + mm(1)).called("half waist")
    if passing > half_waist:
        on.note(f"The waist is cut {on.say(passing * 2)} round, so that the hip passes; the elastic takes it in.")
        half_waist = passing
    thigh = (body.thigh_girth * (1 - off)).called("thigh")
    knee = ((body.knee_girth - on.usual(inch(0.5))) * (1 - off)).called("knee")
    ankle = ((body.ankle_girth + on.usual(inch(0.5))) * (1 - off)).called("ankle")
    fork = ((greatest(thigh, half_waist + cm(6)) - half_waist) / 3).called("front fork")
    if thigh < half_waist + cm(6):
        on.note(f"The thigh, {on.say(thigh)}, is hardly wider than the half waist, {on.say(half_waist)}: the crotch "
                f"line is made {on.say(half_waist + fork * 3)} long, for a fork (a chosen value).")  # fmt: skip
        thigh = half_waist + fork * 3

    def wide_at(down: Length) -> Length:
        (top, upper), (low, lower) = (
            ((crotch, thigh), (knee_line, knee)) if down < knee_line else ((knee_line, knee), (ankle_line, ankle))
        )
        return upper + (lower - upper) * min(1.0, max(0.0, (down - top).over(low - top)))

    hem = wide_at(hem_line).called("hem")

    def leg(high: Length) -> Sketch:
        s = on.sketch("leg", Cut("pair", 2), worn="leg")
        s.at("waist_front", right=half_waist / 2 + fork / 2)
        s.at("waist_back", left=half_waist / 2 - fork / 2, up=high)
        s.at("fork_front", right=thigh / 2, down=crotch)
        s.at("fork_back", left=thigh / 2, down=crotch)
        s.at("seat_front", right=half_waist / 2 + fork / 2, down=crotch * 0.5)
        s.at("seat_back", left=half_waist / 2 - fork / 2 + fork * 0.5, down=crotch * 0.5)
        s.at("hem_front", right=hem / 2, down=hem_line)
        s.at("hem_back", left=hem / 2, down=hem_line)
        through_knee = hem_line > knee_line + cm(4)
        if through_knee:
            s.at("knee_front", right=knee / 2, down=knee_line)
            s.at("knee_back", left=knee / 2, down=knee_line)
            s.edge(
                "inseam_front",
                "fork_front",
                curve("free", "smooth"),
                "knee_front",
                curve("smooth", "free"),
                "hem_front",
            )
            s.edge(
                "inseam_back", "fork_back", curve("free", "smooth"), "knee_back", curve("smooth", "free"), "hem_back"
            )
        else:
            s.edge("inseam_front", "fork_front", "hem_front")
            s.edge("inseam_back", "fork_back", "hem_back")
        s.hem("waist", "waist_back", curve("square", "square"), "waist_front")
        s.edge("crotch_front", "waist_front", "seat_front", curve("smooth", Bevel(96), share=0.6), "fork_front")
        s.edge("crotch_back", "waist_back", "seat_back", curve("smooth", Bevel(84), share=0.8), "fork_back")
        s.hem("hem", "hem_front", curve("square", "square"), "hem_back")
        s.at("centre_top", down=hip_line)
        s.at("centre_low", down=hem_line)
        s.line("centre of the leg", "centre_top", "centre_low")
        for level, down in (
            ("waist", mm(0)),
            ("hip", hip_line),
            ("crotch", crotch),
            ("knee", knee_line),
            ("hem", hem_line),
        ):
            if level != "knee" or through_knee:
                s.level(level, down, beyond=10.0 if level in ("hip", "crotch") else 0.0)
        if through_knee:
            s.notch("inseam_front", "knee", "knee_front")
            s.notch("inseam_back", "knee", "knee_back", count=2)
        return s

    wanted = body.get("total_crotch_length")

    def short(high: Length) -> float:
        seam = leg(high).long("crotch_front", "crotch_back") * (1 + SEAM_GIVES)
        return 0.0 if wanted is None else (wanted - seam).mm

    high = back_high or on.solve(on.usual(inch(1)), on.usual(inch(5)), lack=short,
                                 so_that="so that the crotch seam, stretched, is as long as the body")  # fmt: skip
    sheet = leg(high.called("back waist above the front"))
    (piece,) = on.fitted(sheet.piece())
    top = found(2 * piece.edge("waist").length(), "waist line")
    elastic = (body.waist_girth - on.usual(inch(2))).called("elastic")
    on.note(f"Cut the elastic {on.say(elastic)} long and lap its ends; stretch it to the waist, {on.say(top)}, as it "
            "is sewn or run into the casing.")  # fmt: skip
    levels = [("hip", body.hip_girth, 1), ("crotch", body.thigh_girth, 2)]
    if hem_line > knee_line + cm(4):
        levels.append(("knee", body.knee_girth, 2))
    claims: list[Claim] = [
        *(StretchUsed(f"stretch.{level}", "add {more} round it: make reduce less, or take cloth that stretches more.",
                      level, girth, LEGS * stretch, "leg", each) for level, girth, each in levels),
        Passes("entry.waist", "make reduce less, or take cloth that stretches more.", "waist", refs("leg.waist"), "hip",
               body.hip_girth, "as measured", 0.0, TO_PASS * stretch),
    ]  # fmt: skip
    if wanted is not None:
        claims.append(RunStretched("stretch.crotch seam", "make back_high or crotch_low {more} more.",
                                   refs("leg.crotch_front", "leg.crotch_back"), wanted, SEAM_GIVES))  # fmt: skip
    return on.draft(
        as_knit(on, piece),
        seams=[
            sew("front crotch seam", "leg.crotch_front", to="leg.crotch_front"),
            sew("back crotch seam", "leg.crotch_back", to="leg.crotch_back"),
            sew("inseam", "leg.inseam_front", to="leg.inseam_back"),
        ],
        claims=claims,
        widths=dict.fromkeys(("crotch_front", "crotch_back", "inseam_front", "inseam_back"), on.usual(inch(0.25)))
        | {"waist": elastic_wide + on.usual(inch(0.375)), "hem": hem_deep},
    )
