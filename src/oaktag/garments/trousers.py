"""Trousers for women: the basic block, with a fly or an elastic waist, darts, slant pockets and a waistband.

       wc──▽──ws       origin: the waist line on the crease; x towards the side, y up
      /        \\       hip line: the body's, no lower than 6 cm above the crotch line
    hc          hs     fork: on the crotch line; the front curve leaves the inseam at 96 degrees, the back one at 84
   fork         │
      \\         │      knee: half way from crotch line to hem, and 5 cm up
      kn       kn      hem: half of it less 0.5 cm on the front, more by 2 cm on the back
       hm─────hm
Rules: the basic trouser block of a textbook of English for the clothing trade, 3rd ed. (crease hip ÷ 12 + 1.5 cm from
the centre front; hip ÷ 4 + 0.5 and + 1.5 cm; fork hip ÷ 16 + 0.5 cm, the back half as much again); what it leaves open
and a longer crotch (1.5 cm below the seat, 3.5 cm up and 2 cm out at the back; then more, until the crotch seam is as
long as the body), by worked rules proved on 40 women of a survey. Pocket: a lesson on trousers (5 cm from the side, hip
÷ 6 down; bag hip ÷ 3 long). Zip: (hip less waist and 2 in) ÷ 2 or more (a sewing magazine). Fly 4 cm wide, the shield
0.5 cm wider, elastic 1 in shorter than the waist (common practice, no source).
"""

from __future__ import annotations

from math import inf

from ..body.whom import WOMEN
from ..draft.board import Board
from ..draft.rulers import HIP_CURVE, STRAIGHT, Bevel, curve
from ..draft.signature import choice, garment, length
from ..draft.sketch import Sketch
from ..model.draft import Draft
from ..model.length import Length, cm, found, greatest, inch, least, mm, total
from ..model.piece import Cut, LineKind, sew

_PAIR = Cut("pair", 2)


@garment("trousers with a fly or an elastic waist, darts and slant pockets", for_whom=WOMEN, noun="trousers")  # fmt: skip
def trousers(
    on: Board,
    *,
    closure: str = choice("how it closes", "fly", "elastic"),
    lap: str = choice("which front laps over the other", "left", "right", when=("closure", "fly")),
    ease_waist: Length = length("wearing ease round the waist", inch(0.5), most=inch(4), when=("closure", "fly")),
    ease_hip: Length = length("wearing ease round the hip; an elastic waist has 2 in more", inch(1.5), least=inch(0.5),
                              most=inch(12)),
    long: Length | None = length("waist to hem", least=inch(12), most=inch(52), worked_out="1 in above the floor"),
    hem_wide: Length | None = length("hem round the leg", least=inch(8), most=inch(28),
                                     worked_out="0.47 of the hip girth"),
    crotch_low: Length | None = length("crotch line below the seat", most=inch(4),
                                       worked_out="1.5 to 3 cm: the crotch seam as long as total_crotch_length"),
    fork_out: Length | None = length("back fork further out", most=inch(2),
                                     worked_out="2 to 3 cm, for the same reason and first"),
    zip_long: Length | None = length("zip, from the waist down", least=inch(4), most=inch(11), when=("closure", "fly"),
                                     worked_out="so that the hip passes, at the centre front above the curve"),
    pockets: str = choice("pockets", "slant", "none"),
    band_wide: Length = length("waistband or casing, finished", inch(1.25), least=inch(0.75), most=inch(3)),
    band_lap: Length = length("waistband lap beyond the fly", inch(1.5), most=inch(3), when=("closure", "fly")),
) -> Draft:  # fmt: skip
    """Front, back, band; fly facing and shield; pocket bags."""
    body, elastic = on.body, closure == "elastic"
    rise = body.get("body_rise")
    if rise is None:
        rise = (body.waist_height - body.crotch_height).called("rise")
        on.note(f"body_rise was not measured; taken as waist height less crotch height, {on.say(rise)}.")
    long = long or (body.get("waist_to_floor") or body.waist_height) - inch(1)
    hip = ((body.hip_girth + ease_hip + (inch(2) if elastic else mm(0))) / 4).called("quarter hip")
    waist = ((body.waist_girth + ease_waist) / 4).called("quarter waist")
    to_spare = hip - cm(1.5) - waist
    if to_spare < mm(8) and not elastic:
        on.refuse(f"the waist is {on.say(body.waist_girth)} round, the hip {on.say(body.hip_girth)}, which leaves too "
                  "little for darts", 'closure to "elastic", ease_hip to more, or ease_waist to less')  # fmt: skip
    crease = (body.hip_girth / 12 + cm(1.5)).called("crease from the centre front")
    front_fork = (body.hip_girth / 16 + cm(0.5)).called("front fork")
    hem = ((hem_wide or body.hip_girth * 0.47) / 4).called("quarter hem")

    front_dart = least(cm(2), to_spare).called("front dart")
    back_dart = least(cm(2), to_spare / 2).called("each back dart")

    def half(name: str, low: Length, out: Length) -> Sketch:
        """The front or the back as a block; its crotch line so far below the seat, the back fork so far out."""
        back = name == "back"
        s = on.sketch(name, _PAIR, worn="leg")
        crotch = (rise + low).called("crotch line")
        hip_line = least(body.waist_to_hip, crotch - cm(6)).called("hip line")
        knee = crotch + (long - crotch) / 2 - cm(5)
        aside = cm(0.5) if back else mm(0)
        wide = hem + cm(0.5) if back else hem - cm(0.5)
        s.at("hem_in", left=wide, down=long)
        s.at("hem_out", right=wide, down=long)
        s.at("knee_in", left=wide + cm(1.3), down=knee)
        s.at("knee_out", right=wide + cm(1.3), down=knee)
        s.at("fork", left=crease + front_fork * 1.5 + out if back else crease + front_fork, down=crotch + aside)
        if back:
            s.at("seat", left=crease * 0.75, down=crotch / 2)
            s.at("hip_side", right=hip + cm(0.5) - crease * 0.75, down=hip_line)
            s.at("waist_centre", left=crease * 0.75 - cm(2), up=cm(3.5))
        else:
            s.at("seat", left=crease, down=hip_line)
            s.at("hip_side", right=hip - cm(0.5) - crease, down=hip_line)
            s.at("waist_centre", left=crease if elastic else crease - cm(1))
        if elastic:
            s.at("waist_side", right=hip + cm(0.5) - crease * 0.75 if back else hip - cm(0.5) - crease)
        elif back:
            s.at("waist_side", down=cm(3.5), of="waist_centre", far=waist + back_dart * 2)
        else:
            s.at("waist_side", right=waist + front_dart, of="waist_centre")
        s.edge("inseam", "fork", curve("free", "smooth"), "knee_in", "hem_in")
        s.hem("hem", "hem_in", "hem_out")
        s.edge("side", "hem_out", "knee_out", curve("smooth", "smooth"), "hip_side", HIP_CURVE, "waist_side")
        s.edge("crotch", "waist_centre", "seat", curve("smooth", Bevel(84 if back else 96), share=0.8 if back else 0.6),
               "fork")  # fmt: skip
        s.edge("waist", "waist_side", STRAIGHT if back else curve("square", "square"), "waist_centre")
        for level, down in (("waist", mm(0)), ("hip", hip_line), ("crotch", crotch), ("knee", knee), ("hem", long)):
            s.level(level, down)
        for edge, end in (("side", "knee_out"), ("inseam", "knee_in")):
            s.notch(edge, "knee", end, count=2 if back else 1)
        return s

    def crotch_short(out: Length, low: Length) -> float:
        wanted = body.get("total_crotch_length")
        seam = total(half("front", low, out).long("crotch"), half("back", low, out).long("crotch"))
        return -inf if wanted is None else (wanted - seam).mm

    out = fork_out or on.solve(cm(2), cm(3), lack=lambda out: crotch_short(out, crotch_low or cm(1.5)),
                               so_that="so that the crotch seam is long enough")  # fmt: skip
    low = crotch_low or on.solve(cm(1.5), cm(3), lack=lambda low: crotch_short(out, low),
                                 so_that="so that the crotch seam is long enough")  # fmt: skip
    front, back = half("front", low, out), half("back", low, out)
    if not elastic:
        front.dart("waist", "waist", at=crease - cm(1), of="waist_centre", intake=front_dart, deep=cm(10))
        front.fit("waist", to=waist, move="waist_side", way="right", change="ease_waist or ease_hip")
        for k in (1, 2):
            back.dart(f"waist {k}", "waist", at=(waist + back_dart * 2) * k / 3, of="waist_centre", intake=back_dart,
                      deep=cm(14) - cm(2) * k)  # fmt: skip
        back.fit("waist", to=waist, move="waist_side", way="right", change="ease_waist or ease_hip")
    back.fit("inseam", to=front.long("inseam"), move="fork", way="down", change="fork_out, or crotch_low")
    back.fit("side", to=front.long("side"), move="waist_side", way="up", change="ease_hip")
    if not elastic:
        back.fit("waist", to=waist, move="waist_side", way="right", change="ease_waist or ease_hip")
    sheets, seams, waists = [front, back], [], ["front.waist", "back.waist"]

    if not elastic:
        hip_line = found(-front.points["seat"].y, "hip line")
        opening = greatest(hip_line - cm(2), (body.hip_girth - body.waist_girth + inch(2)) / 2)
        zip_end = (zip_long or least(hip_line - cm(0.5), opening)).called("zip")
        if zip_end > hip_line - mm(4):
            on.refuse(f"a zip of {on.say(zip_end)} would run into the curve of the crotch",
                      f"zip_long to {on.say(hip_line - cm(0.5))} at most")  # fmt: skip
        front.on("fly_end", "crotch", zip_end, "waist_centre")
        front.split("crotch", "fly_end", "fly")
        facing = on.sketch("fly_facing", Cut("left" if lap == "left" else "right"))
        facing.at("top_fly")
        facing.at("end", down=zip_end)
        facing.at("top_out", right=cm(4))
        facing.at("bend", right=cm(4), down=zip_end - cm(5))
        facing.edge("fly", "top_fly", "end")
        facing.edge("outer", "end", curve("level", "upright"), "bend", "top_out")
        facing.edge("waist", "top_out", "top_fly")
        shield = on.sketch("fly_shield", Cut("right" if lap == "left" else "left"))
        shield.box(cm(9), zip_end, ("fly", "bottom", "fly_inside", "waist"))
        shield.at("fold_top", right=cm(4.5))
        shield.at("fold_bottom", right=cm(4.5), down=zip_end)
        shield.line("fold", "fold_top", "fold_bottom", kind=LineKind.FOLD)
        sheets += [facing, shield]
        seams += [sew("fly facing seam", "fly_facing.fly", to="front.fly"),
                  sew("fly shield seam", "fly_shield.fly", to="front.fly")]  # fmt: skip
    if pockets == "slant":
        front.on("pocket_top", "waist", cm(5), "waist_side")
        front.on(
            "pocket_side",
            "side",
            least(body.hip_girth / 6, found(-front.points["hip_side"].y, "hip line") - cm(2)),
            "waist_side",
        )
        at_waist, at_side = front.cut_off("pocket", "pocket_top", "pocket_side")
        for name, cloth in (("pocket_back", "shell"), ("pocket_front", "lining")):
            bag = on.sketch(name, Cut("pair", 2, cloth))
            if name == "pocket_back":
                bag.trace("waist", "pocket_top", at_waist, "waist_side")
                bag.trace("side", "waist_side", at_side, "pocket_side")
            else:
                bag.put("pocket_top", front.points["pocket_top"])
                bag.put("pocket_side", front.points["pocket_side"])
                bag.edge("pocket", "pocket_top", "pocket_side")
            bag.at("bag_low", left=body.hip_girth / 12, down=body.hip_girth / 6, of="pocket_side")
            bag.at("bag_in", left=body.hip_girth / 16, down=body.hip_girth / 6, of="pocket_top")
            bag.edge("bag", "pocket_side", curve(-90.0, "level"), "bag_low", curve("level", "upright"), "bag_in",
                     HIP_CURVE, "pocket_top")  # fmt: skip
            sheets.append(bag)
        seams += [sew("pocket seam", "pocket_front.pocket", to="front.pocket"),
                  sew("pocket bag", "pocket_front.bag", to="pocket_back.bag")]  # fmt: skip
        waists.insert(1, "pocket_back.waist")

    line = total(*(sheet.long("waist") for sheet in sheets if f"{sheet.name}.waist" in waists)) * 2
    band = on.sketch("waistband", Cut())
    band.box(line if elastic else line + band_lap, band_wide * 2, ("under_end", "seam", "lap_end", "inside_edge"))
    sheets.append(band)
    if elastic:
        seams.append(sew("casing join", "waistband.under_end", to="waistband.lap_end"))
        on.note(f"Cut the elastic {on.say(body.waist_girth - inch(1))} long: 1 in (2.5 cm) shorter than the waist.")
    sides = ("front.side", "pocket_back.side") if pockets == "slant" else ("front.side",)
    return on.draft(
        [sheet.piece() for sheet in sheets],
        seams=[
            *seams,
            sew("front crotch seam", "front.crotch", to="front.crotch"),
            sew("back crotch seam", "back.crotch", to="back.crotch"),
            sew("inseam", "front.inseam", to="back.inseam"),
            sew("side seam", *sides, to="back.side"),
            sew("waist seam", "waistband.seam", to=tuple(waists)),
        ],
        widths={"hem": inch(1.5), "back.crotch": inch(1)},
    )
