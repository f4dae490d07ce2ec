"""Trousers for women: the basic block, with a fly or an elastic waist, darts, slant pockets and a waistband.

       wc──▽──ws       origin: the waist line on the crease; x towards the side, y up
      /        \\       hip line: the body's, no lower than 6 cm above the crotch line
    hc          hs     fork: on the crotch line; the front curve leaves the inseam at 96 degrees, the back one at 84
   fork         │
      \\         │      knee: half way from crotch line to floor, and 5 cm up
      kn       kn      hem: half of it less 1 cm on the front, 2 cm more on the back; a wide leg goes on straight
       hm─────hm
Rules: the basic trouser block of a textbook of English for the clothing trade, 3rd ed. (crease hip ÷ 12 + 1.5 cm from
the centre front; hip ÷ 4 + 0.5 and + 1.5 cm; fork hip ÷ 16 + 0.5 cm, the back half as much again); what it leaves open
and a longer crotch (1.5 cm below the seat, 3.5 cm up and 2 cm out at the back; then more, until the crotch seam is as
long as the body), by worked rules proved on 40 women of a survey. Pocket: a lesson on trousers (5 cm from the side, hip
÷ 6 down; bag hip ÷ 3 long). Zip: (hip less waist and 2 in) ÷ 2 or more (a sewing magazine). Fly 4 cm wide, the shield
0.5 cm wider, elastic 1 in shorter than the waist; the waist 1 cm up at the side, so that it runs on over the side seam
(common practice, no source).
"""

from __future__ import annotations

from math import inf

from ..body.whom import WOMEN
from ..claims.girth import Girth, GirthAtLeast, RunInRange
from ..claims.openings import Passes
from ..draft.board import Board
from ..draft.rulers import HIP_CURVE, STRAIGHT, Bevel, curve
from ..draft.signature import choice, flag, garment, length
from ..draft.sketch import Sketch
from ..model.claim import Claim
from ..model.draft import Draft, Notion
from ..model.length import Length, cm, found, greatest, inch, least, mm, total
from ..model.piece import Cut, LineKind, NotchPlace, sew
from ..model.ref import refs
from ..values import replace
from .parts.part import Part
from .parts.pockets import slant_pocket
from .parts.waist import straight_band


@garment(
    "trousers for women, with a fly or an elastic waist, darts and slant pockets",
    for_whom=WOMEN,
    noun="pair of trousers",
)
def trousers(
    on: Board,
    *,
    closure: str = choice("how it closes", "fly", "elastic"),
    lap: str = choice("which front laps over the other", "left", "right", when=("closure", "fly")),
    ease_waist: Length = length("wearing ease round the waist", inch(0.5), most=inch(4), when=("closure", "fly")),
    ease_hip: Length = length("wearing ease round the hip; an elastic waist has 2 in more", inch(1.5), least=inch(0.5),
                              most=inch(12)),
    long: Length | None = length("waist to hem", least=inch(12), most=inch(52), worked_out="{gap} above the floor",
                                 where={"gap": inch(1)}),
    hem_wide: Length | None = length("hem round the leg", least=inch(8), most=inch(28),
                                     worked_out="0.47 of the hip girth"),
    crotch_low: Length | None = length("crotch line below the seat", most=inch(4),
                                       worked_out="{a} to {b}: the crotch seam as long as total_crotch_length",
                                       where={"a": inch(0.625), "b": inch(1.25)}),
    fork_out: Length | None = length("back fork further out", most=inch(2),
                                     worked_out="{a} to {b}, first and for the same reason",
                                     where={"a": inch(0.75), "b": inch(1.25)}),
    zip_long: Length | None = length("zip, from the waist down", least=inch(4), most=inch(11), when=("closure", "fly"),
                                     worked_out="so that the hip passes, at the centre front above the curve"),
    fullness: str = choice("front waist is taken in by a", "dart", "pleat", when=("closure", "fly")),
    slant_pockets: bool = flag("slant pockets in the fronts", True),
    band_wide: Length = length("waistband or casing, finished", inch(1.25), least=inch(0.75), most=inch(3)),
    band_lap: Length = length("waistband lap beyond the fly", inch(1.5), most=inch(3), when=("closure", "fly")),
) -> Draft:  # fmt: skip
    """Front, back, band; fly facing and shield; pocket bags."""
    body, elastic = on.body, closure == "elastic"
    rise = body.get("body_rise")
    if rise is None:
        rise = (body.waist_height - body.crotch_height).called("rise")
        on.note(f"body_rise was not measured; taken as waist height less crotch height, {on.say(rise)}.")
    floor = body.get("waist_to_floor") or body.waist_height
    long = (long or floor - on.usual(inch(1))).called("hem line")
    ease = ease_hip + on.usual(inch(2)) if elastic else ease_hip
    hip = ((body.hip_girth + ease) / 4).called("quarter hip")
    waist = ((body.waist_girth + ease_waist) / 4).called("quarter waist")
    to_spare = hip - cm(1.5) - waist
    if to_spare < mm(8) and not elastic:
        on.refuse(f"the waist is {on.say(body.waist_girth)} round, the hip {on.say(body.hip_girth)}, which leaves too "
                  "little for darts", 'closure to "elastic", ease_hip to more, or ease_waist to less')  # fmt: skip
    front_dart = least(cm(2 if fullness == "dart" else 3), to_spare).called(f"front {fullness}")
    back_dart = least(cm(2), to_spare / 2).called("each back dart")
    crease = (body.hip_girth / 12 + cm(1.5)).called("crease from the centre front")
    front_fork = (body.hip_girth / 16 + cm(0.5)).called("front fork")
    at_hem = ((hem_wide or body.hip_girth * 0.47) / 4 - cm(0.5)).called("half the front hem")
    at_knee = least(at_hem + cm(1.3), (at_hem + crease + front_fork) / 2).called("half the front knee")

    def half(name: str, out: Length, low: Length) -> Sketch:
        back = name == "back"
        s = on.sketch(name, Cut("pair", 2), worn="leg")
        crotch = (rise + low).called("crotch line")
        hip_line = least(body.waist_to_hip, crotch - cm(6)).called("hip line")
        knee = (crotch + (floor - crotch) / 2 - cm(5)).called("knee line")
        if long < knee + cm(5):
            on.refuse(f"the knee line is {on.say(knee)} below the waist, and shorts are another draft",
                      f"long to {on.say(knee + cm(5))} or more")  # fmt: skip
        hem_half, knee_half = (at_hem + cm(1), at_knee + cm(1)) if back else (at_hem, at_knee)
        s.at("hem_in", left=hem_half, down=long)
        s.at("hem_out", right=hem_half, down=long)
        s.at("knee_in", left=knee_half, down=knee)
        s.at("knee_out", right=knee_half, down=knee)
        s.at("crease_top", down=hip_line)
        s.at("crease_hem", down=long)
        s.line("crease", "crease_top", "crease_hem", kind=LineKind.FOLD)
        if back:
            s.at("fork", left=crease + front_fork * 1.5 + out, down=crotch + cm(0.5))
            s.at("seat", left=crease * 0.75, down=crotch / 2)
            s.at("hip_side", right=hip + cm(0.5) - crease * 0.75, down=hip_line)
            s.at("waist_centre", left=crease * 0.75 - cm(2), up=cm(3.5))
        else:
            s.at("fork", left=crease + front_fork, down=crotch)
            s.at("seat", left=crease, down=hip_line)
            s.at("hip_side", right=hip - cm(0.5) - crease, down=hip_line)
            s.at("waist_centre", left=crease if elastic else crease - cm(1))
        if elastic:
            s.at("waist_side", right=hip + cm(0.5) - crease * 0.75 if back else hip - cm(0.5) - crease)
        elif back:
            s.at("waist_flat", of="waist_centre", down=cm(3.5), far=waist + back_dart * 2)
            s.at("waist_side", of="waist_flat", up=cm(1))
        else:
            s.at("waist_side", of="waist_centre", right=waist + front_dart, up=cm(1))
        s.edge("inseam", "fork", curve("free", "smooth"), "knee_in", "hem_in")
        s.edge("side", "hem_out", "knee_out", curve("smooth", "smooth"), "hip_side", HIP_CURVE, "waist_side")
        s.hem("hem", "hem_in", curve("square", "square"), "hem_out")
        s.edge("crotch", "waist_centre", "seat", curve("smooth", Bevel(84 if back else 96), share=0.8 if back else 0.6),
               "fork")  # fmt: skip
        if back and not elastic:
            s.between("waist_turn", "waist_flat", "waist_centre", 0.2)
            s.edge("waist", "waist_side", curve("square", "smooth"), "waist_turn", STRAIGHT, "waist_centre")
        else:
            s.edge("waist", "waist_side", STRAIGHT if elastic else curve("square", "square"), "waist_centre")
        for level, down in (("waist", mm(0)), ("hip", hip_line), ("crotch", crotch), ("knee", knee), ("hem", long)):
            s.level(level, down, beyond=10.0 if level in ("hip", "crotch") else 0.0)  # the side seams meet at the knee
        for edge, end in (("side", "knee_out"), ("inseam", "knee_in")):
            s.notch(edge, "knee", end, count=2 if back else 1)
        return s

    def legs(out: Length, low: Length) -> tuple[Sketch, Sketch]:
        front, back = half("front", out, low), half("back", out, low)
        back.fit("inseam", to=front.long("inseam"), move="fork", way="down", change="fork_out or crotch_low")
        return front, back

    def short(out: Length, low: Length) -> float:
        """How much longer the body is than the crotch seam, mm."""
        wanted = body.get("total_crotch_length")
        return -inf if wanted is None else (wanted - total(*(leg.long("crotch") for leg in legs(out, low)))).mm

    enough = "so that the crotch seam is as long as the body"
    out = fork_out or on.solve(cm(2), cm(3), lack=lambda out: short(out, crotch_low or cm(1.5)), so_that=enough)
    low = crotch_low or on.solve(cm(1.5), cm(3), lack=lambda low: short(out, low), so_that=enough)
    front, back = legs(out.called("back fork further out"), low.called("crotch line below the seat"))
    if not elastic:
        take, at = front.dart if fullness == "dart" else front.pleat, least(crease - cm(1), waist + front_dart - cm(8))
        take("waist", "waist", at=at, of="waist_centre", intake=front_dart, deep=cm(10))
        front.fit("waist", to=waist, move="waist_side", way="right", change="ease_waist or ease_hip")
        for k in (1, 2):
            back.dart(f"waist {k}", "waist", at=(waist + back_dart * 2) * k / 3, of="waist_centre", intake=back_dart,
                      deep=cm(14) - cm(2) * k)  # fmt: skip
    for _ in range(3):  # each moves the corner that the other runs to, ever less
        if not elastic:
            back.fit("waist", to=waist, move="waist_side", way="right", change="ease_waist or ease_hip")
        back.fit("side", to=front.long("side"), move="waist_side", way="up", change="ease_hip")
    first = back.long("waist") if elastic else front.long("waist")
    line = (total(front.long("waist"), back.long("waist")) * 2).called("waist line")

    band = straight_band(on, line, band_wide, mm(0) if elastic else band_lap)
    marks = (("side", first), ("centre front" if elastic else "centre back", line / 2), ("side", line - first))
    band = replace(band, notches=(*band.notches, *(NotchPlace("band_seam", at.mm, 1, name) for name, at in marks)))
    seams = [sew("front crotch seam", "front.crotch", to="front.crotch"),
             sew("back crotch seam", "back.crotch", to="back.crotch"),
             sew("inseam", "front.inseam", to="back.inseam")]  # fmt: skip
    sides: tuple[str, ...] = ("front.side",)
    waists: tuple[str, ...] = ("front.waist", "back.waist")
    seat: tuple[str, ...] = ("front.crotch", "back.crotch")
    fly = [] if elastic else _fly(on, front, waist, zip_long, lap)
    front_piece, pocket = slant_pocket(on, front.piece()) if slant_pockets else (front.piece(), Part())
    if slant_pockets:
        sides, waists = ("front.side", "pocket_back.side"), ("front.waist", "pocket_back.waist", "back.waist")
    seams += [*pocket.seams, sew("side seam", *sides, to="back.side")]
    ahead, back_again = (f"{{}} from {way}".format for way in ("end to start", "start to end"))
    if elastic:
        less = on.usual(inch(1))
        on.note(f"Cut the elastic {on.say(body.waist_girth - less)} long: {on.say(less)} less than the waist.")
        seams += [sew("casing join", "waistband.under_end", to="waistband.lap_end"),
                  sew("waist seam", "waistband.band_seam from start to end",
                      to=(ahead(waists[-1]), *map(back_again, waists[-2::-1])))]  # fmt: skip
    else:
        other = "right" if lap == "left" else "left"
        seams += [sew("fly facing seam", "fly_facing.fly from start to end", to=f"{lap} front.fly from start to end",
                      how="faced"),
                  sew("fly shield seam", "fly_shield.fly from start to end", to=f"{other} front.fly from start to end"),
                  sew("waist seam", "waistband.band_seam from start to lap",
                      to=(*map(ahead, waists[:-1]), back_again(waists[-1])))]  # fmt: skip
        seat = ("front.fly", *seat)
    claims: list[Claim] = [
        GirthAtLeast("girth.hip", "add {more} to ease_hip.", "hip", body.hip_girth, ease, "leg"),
        Passes("entry.hip", "make ease_hip more." if elastic else "make zip_long or ease_waist more.",
               "waist" if elastic else "waist with the fly open", refs(*waists, *(() if elastic else ("front.fly",))),
               "hip", body.hip_girth, "as measured", 0.0),
    ]  # fmt: skip
    if not elastic:
        claims.append(
            Girth("girth.waist", "Change ease_waist.", "waist", body.waist_girth, ease_waist, refs(*waists), "leg")
        )
    for part, level, room, change in (
        ("thigh", "crotch", cm(4), "add twice {more} to ease_hip."),
        ("knee", "knee", cm(5), "add {more} to hem_wide."),
    ):
        girth = body.get(f"{part}_girth")
        if girth is not None:
            claims.append(GirthAtLeast(f"girth.{part}", change, level, girth, room, "leg", 2))
    crotch = body.get("total_crotch_length")
    if crotch is not None:
        change = "change crotch_low by half of {off}, or fork_out; and try them on in cheap cloth."
        claims.append(RunInRange("run.crotch", change, refs(*seat), crotch, -20.0, 40.0))
    return on.draft(
        [front_piece, back.piece(), band, *pocket.pieces, *(sheet.piece() for sheet in fly)],
        seams=seams,
        claims=claims,
        notions=[] if elastic else [Notion("zip", front.long("fly").mm, "zip_long", "", "zip end")],
        widths={"hem": inch(1.5)},
    )


def _fly(on: Board, front: Sketch, waist: Length, zip_long: Length | None, lap: str) -> list[Sketch]:
    """The centre front is parted where the zip ends; a facing for the front that laps over, a shield for the other."""
    straight = found(-front.points["seat"].y, "hip line")
    enough = (on.body.hip_girth - waist * 4 + inch(2)) / 2
    zip_end = (zip_long or least(straight - cm(0.5), greatest(straight - cm(2), enough))).called("zip")
    if zip_end > straight - mm(4):
        on.refuse(f"a zip of {on.say(zip_end)} would run into the curve of the crotch",
                  f"zip_long to {on.say(straight - cm(0.5))} at most")  # fmt: skip
    if waist * 4 + zip_end * 2 < on.body.hip_girth:
        on.refuse(f"open, the waist is {on.say(waist * 4 + zip_end * 2)} round, the hip {on.say(on.body.hip_girth)}",
                  'zip_long or ease_waist to more, or closure to "elastic"')  # fmt: skip
    on.work("zip_long", zip_end)
    front.on("fly_end", "crotch", zip_end, "waist_centre")
    front.split("crotch", "fly_end", "fly")
    front.notch("fly", "zip end", "fly_end")
    facing = on.sketch("fly_facing", Cut("left" if lap == "left" else "right"))
    facing.at("top_fly")
    facing.at("fly_low", down=zip_end)
    facing.at("top_out", right=cm(4))
    facing.at("bend", right=cm(4), down=zip_end - cm(5))
    facing.edge("fly", "top_fly", "fly_low")
    facing.edge("outer", "fly_low", curve("level", "upright"), "bend", "top_out")
    facing.edge("waist", "top_out", "top_fly")
    facing.notch("fly", "zip end", "fly_low")
    shield = on.sketch("fly_shield", Cut("right" if lap == "left" else "left"))
    shield.box(cm(9), zip_end, ("fly", "fly_bottom", "fly_inside", "waist"))
    shield.notch("fly", "zip end", "bottom_left")
    shield.at("fold_top", right=cm(4.5))
    shield.at("fold_bottom", right=cm(4.5), down=zip_end)
    shield.line("fold", "fold_top", "fold_bottom", kind=LineKind.FOLD)
    return [facing, shield]
