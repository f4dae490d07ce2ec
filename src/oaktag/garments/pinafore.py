"""A pinafore for children: front and back alike but for the neck, on straps, flared to a hem or a gathered ruffle.

    sb__sa          origin: shoulder level on the centre line; b of the strap S/2 - 1/4 in out, the strap 1 1/2 in wide
     | | |          armhole C/4 deep; quarter chest C/4 + 3/4 in
     |  \\_ ua       hem C/4 + 2 in wide, 3/4 in higher at the side
     |    \\         (less where it would not be square to the side); ruffle twice as long as the hem
    hc─────hs
Rules: a pinafore draft of a sewing teacher, S the shoulder width, C the chest; its strap and hem pass on 40 children
(worked rules 6). The neck is so deep that a head passes where the straps are sewn
(derived); else it is half as deep as the armhole, a third in back (common practice, no source). Straps that are
buttoned lap over, with two buttons 3 to 4 cm apart for the child to grow (chosen). To the knee (common practice, no
source).
"""

from __future__ import annotations

from typing import Final

from ..body.whom import CHILDREN
from ..claims.buttons import HolesKept
from ..claims.edges import DrawnIn
from ..claims.girth import Girth, GirthAtLeast
from ..claims.openings import BodyPasses, Passes
from ..draft.board import Board
from ..draft.facings import facing
from ..draft.rulers import curve
from ..draft.signature import choice, flag, garment, length, share
from ..draft.sketch import Sketch
from ..errors import DraftError, GeometryError
from ..model.claim import Claim
from ..model.draft import Draft, Notion
from ..model.length import Length, cm, greatest, inch, least, mm, total
from ..model.piece import Cut, LineKind, Piece, Seam, sew
from ..model.ref import refs
from .childs_bodice import BUTTON, HEAD_EASE, METRIC_BUTTON
from .parts.button_stand import hole_long
from .parts.growth import SKIRT, SKIRT_HEM, tell_growth
from .parts.part import Part, long_of, together
from .parts.pockets import patch_pocket

BEYOND: Final = cm(3.5)
"""A buttoned strap goes on beyond the shoulder; its hole or outer button lies 1.5 cm from the end (chosen)."""
FROM_END: Final = cm(1.5)
NECKS: Final = {"front": 0.5, "back": 1 / 3}
"""How deep the necks are, of the armhole (common practice, no source)."""
FACED: Final = cm(4)
"""The facing ends so far below neck and underarm (common practice, no source)."""


@garment("pinafore for children on straps, flared, with or without a ruffle", for_whom=CHILDREN, noun="pinafore")
def pinafore(
    on: Board,
    *,
    ease_chest: Length = length("ease round the chest", inch(3), least=inch(2), most=inch(8)),
    long: Length | None = length("shoulder to lower edge, with the ruffle", least=inch(13), most=inch(50),
                                 worked_out="to the knee"),
    flare: Length = length("quarter of the hem, wider than the chest's", inch(1.25), least=inch(0.5), most=inch(5)),
    straps: str = choice("straps", "buttoned", "sewn", group="straps"),
    strap_wide: Length = length("width of a strap", inch(1.5), least=inch(1), most=inch(3), group="straps"),
    button: Length = length("diameter of the buttons", BUTTON, least=inch(0.375), most=inch(0.875),
                            metric=METRIC_BUTTON, when=("straps", "buttoned"), group="straps"),
    buttons_apart: Length = length("the two buttons apart", inch(1.375), least=inch(1.125), most=inch(1.625),
                                   metric=cm(3.5), when=("straps", "buttoned"), group="straps"),
    neck_deep: Length | None = length("front neck", least=inch(1.5), most=inch(9), worked_out="half as deep as the "
                                      "armhole; of sewn straps so that the head passes"),
    ruffle: Length = length("height of the ruffle; 0 for none", inch(3), most=inch(10), group="ruffle"),
    ruffle_full: float = share("ruffle to hem", 2.0, least=1.3, most=3.0, group="ruffle"),
    patch_pockets: bool = flag("patch pockets"),
    hem_deep: Length | None = length("hem", least=inch(0.5), most=inch(5), worked_out="{a}; {b} of a ruffle",
                                     where={"a": SKIRT_HEM, "b": inch(1)}),
) -> Draft:  # fmt: skip
    """Front, back, facings, ruffle, pocket."""
    body, waist = on.body, (on.body.get("side_neck_to_waist") or on.body.back_waist_length + cm(1.5))
    whole = long or waist + (body.waist_height - body.knee_height)
    on.work("long", whole)
    hem_line = (whole - ruffle if ruffle.mm else whole).called("hem line")
    deep = (body.bust_girth / 4).called("armhole depth")
    chest = ((body.bust_girth + ease_chest) / 4).called("quarter chest")
    outer = (body.shoulder_width / 2 - inch(0.25)).called("strap, outer edge")
    inner = (outer - strap_wide).called("strap, inner edge")
    hip_line = (waist + body.waist_to_hip).called("hip line")
    if outer > chest - cm(1):
        on.refuse(f"the straps lie {on.say(outer)} from the centre, and the quarter of the chest is {on.say(chest)}: "
                  "no armhole is left", "ease_chest to more")  # fmt: skip
    if inner < cm(4):
        on.refuse(f"between straps {on.say(strap_wide)} wide no neck is left", "strap_wide to less")
    if hem_line < hip_line + cm(3):
        on.refuse(f"its hem, {on.say(hem_line)} down, does not cover the hip, {on.say(hip_line)} down",
                  "long to more, or ruffle to less")  # fmt: skip
    leans = flare.over((hem_line - deep) * 7 / 8)
    rise = least(inch(0.75), (chest + flare) * (leans / 2)).called("hem higher at the side")
    buttoned, beyond = straps == "buttoned", BEYOND if straps == "buttoned" else mm(0)

    def half(name: str, neck: Length) -> Sketch:
        s = on.sketch(name, Cut("fold"), worn="body")
        s.at("neck_centre", down=neck.called(f"{name} neck depth"))
        s.at("strap_in", right=inner, up=beyond if buttoned else None)
        s.at("strap_out", right=outer, up=beyond if buttoned else None)
        s.at("shoulder_in", right=inner)
        s.at("shoulder_out", right=outer)
        s.at("underarm", right=chest, down=deep)
        s.at("hem_centre", down=hem_line)
        s.at("hem_side", right=chest + flare, down=hem_line - rise)
        s.at("side_bend", right=chest + flare / 7, down=deep + (hem_line - deep) / 4)
        s.fold(f"centre_{name}", "neck_centre", "hem_centre")
        (s.edge if ruffle.mm else s.hem)("hem", "hem_centre", curve("level", "square"), "hem_side")
        s.edge("side", "hem_side", "side_bend", curve("smooth", "upright"), "underarm")
        ends = ("shoulder_out", "strap_out") if buttoned else ("shoulder_out",)
        s.edge("armhole", "underarm", curve("square", "upright"), *ends)
        s.edge("strap_end", ends[-1], "strap_in" if buttoned else "shoulder_in")
        ends = ("strap_in", "shoulder_in") if buttoned else ("shoulder_in",)
        s.edge("neck", *ends, curve("upright", "level"), "neck_centre")
        s.level("chest", deep)
        s.level("waist", waist)
        s.level("hip", hip_line)
        return s

    def neck_line(front: Length) -> Length:
        return total(half("front", front).long("neck"), half("back", front * 2 / 3).long("neck")) * 2

    head = body.head_girth
    front_deep = deep * NECKS["front"]
    if not buttoned:
        wanted = head + HEAD_EASE + mm(5)
        front_deep = on.solve(front_deep, deep - cm(1), lack=lambda down: (wanted - neck_line(down)).mm,
                              so_that="so that the head passes")  # fmt: skip
    front_deep = neck_deep or front_deep
    on.work("neck_deep", front_deep)
    if front_deep > deep:
        on.refuse(f"the front neck is {on.say(front_deep)} deep, and the armhole {on.say(deep)}", "neck_deep to less")
    sheets = half("front", front_deep), half("back", greatest(front_deep * 2 / 3, deep * NECKS["back"]))
    parts: list[Part] = []
    if buttoned:
        parts.append(_buttons(on, sheets, inner, strap_wide, beyond, button, buttons_apart))
    front, back = on.fitted(*(s.piece() for s in sheets))
    hem = hem_deep or on.usual(inch(1) if ruffle.mm else SKIRT_HEM)
    on.work("hem_deep", hem)
    tell_growth(on, "ruffle" if ruffle.mm else "skirt", hem, SKIRT)
    if patch_pockets:
        front, patch = patch_pocket(on, front, right=cm(3), down=waist + cm(3), wide=body.bust_girth / 6,
                                    high=body.bust_girth / 6)  # fmt: skip
        parts.append(patch)
    claims: list[Claim] = [
        Girth("girth.chest", "Change ease_chest.", "chest", body.bust_girth, ease_chest),
        GirthAtLeast("girth.hip", "add {more} to flare, each quarter of it.", "hip", body.hip_girth, cm(4)),
        BodyPasses("entry.chest", "make ease_chest more.", body.bust_girth, "an opening below the straps"),
    ]
    if not buttoned:
        known = "as measured" if body.get("head_girth") else "assumed"
        claims.append(Passes("entry.neckline", "button the straps, or make neck_deep more.", "neckline",
                             refs("front.neck", "back.neck"), "head", head, known, HEAD_EASE.mm))  # fmt: skip
    if ruffle.mm:
        parts.append(_ruffled(on, (front, back), hem_line, ruffle, ruffle_full))
    seams = [sew("shoulder seam", "front.strap_end", to="back.strap_end")] * (not buttoned)
    shell = Part((front, back), (*seams, sew("side seam", "front.side", to="back.side")), tuple(claims),
                 widths={"ruffle.hem" if ruffle.mm else "hem": hem})  # fmt: skip
    return together(on, [shell, *parts, _faced(front, back, sewn=not buttoned)])


def _buttons(
    on: Board, sheets: tuple[Sketch, Sketch], inner: Length, wide: Length, beyond: Length, button: Length,
    apart: Length,
) -> Part:  # fmt: skip
    """Two buttons on a front strap and a hole in a back one; worn short the lower button is used."""
    front, back = sheets
    hole = hole_long(button)
    if wide < button + cm(1):
        on.refuse(f"buttons of {on.say(button)} do not lie on straps of {on.say(wide)}", "strap_wide to more")
    back.at("hole_end", right=inner + wide / 2, up=beyond - FROM_END + mm(3))
    back.at("hole_start", down=hole, of="hole_end")
    back.line("strap hole", "hole_end", "hole_start", kind=LineKind.PLACEMENT)
    for number, up in ((1, mm(0) - (beyond - FROM_END)), (2, apart - (beyond - FROM_END))):
        front.at(f"button_{number}", right=inner + wide / 2, up=up)
        front.at(f"button_{number}_end", down=mm(4), of=f"button_{number}")
        front.line(f"button {number}", f"button_{number}", f"button_{number}_end", kind=LineKind.PLACEMENT)
    on.note(f"The back straps lap over the front ones. Worn now, button 1 is used; the straps are {on.say(apart)} "
            "longer at button 2, when the child has grown. Sew buttons on firmly, through both layers: loose ones are "
            "swallowed.")  # fmt: skip
    kept = HolesKept("buttons", "change button.", "back", button, "strap hole")
    return Part(claims=(kept,), notions=(Notion("button", button.mm, "button", "", "", 4),))


def _ruffled(on: Board, halves: tuple[Piece, Piece], depth: Length, high: Length, full: float) -> Part:
    """A ruffle of two widths, gathered to the hem."""
    hems = total(*(long_of(half, "hem") for half in halves)).called("half the hem")
    half = (hems * full / 2).called("half a width of the ruffle")
    s = on.sketch("ruffle", Cut("fold", 2, all_round=True), worn="body")
    s.at("top_centre")
    s.at("top_side", right=half)
    s.at("hem_centre", down=high)
    s.at("hem_side", right=half, down=high)
    s.fold("ruffle_fold", "top_centre", "hem_centre")
    s.hem("hem", "hem_centre", "hem_side")
    s.edge("side", "hem_side", "top_side")
    s.edge("top", "top_side", "top_centre")
    s.level("ruffle top", depth, "top_centre", "top_side")
    s.level("hem", depth + high, "hem_centre", "hem_side")
    gathers = (hems * (full - 1) * 2).mm
    return Part(
        (s.piece(),),
        (sew("ruffle ends", "ruffle.side", to="ruffle.side"),
         sew("ruffle seam", "ruffle.top from start to end", to=("front.hem", "back.hem"), how="gathered",
             ease=gathers)),
        (DrawnIn("gathers.ruffle", "change ruffle_full.", refs("ruffle.top"), half * 4, hems * 2),),
    )  # fmt: skip


def _faced(front: Piece, back: Piece, *, sewn: bool) -> Part:
    """Facings of neck, straps and armholes in one."""
    run = ("armhole", "strap_end", "neck")
    try:
        made = [facing(piece, run, f"{piece.name}_facing", (FACED.mm, FACED.mm)) for piece in (front, back)]
    except GeometryError as error:
        raise DraftError(f"{error}. Change neck_deep.") from error
    seams: list[Seam] = [sew("facing side seam", "front_facing.side", to="back_facing.side")]
    if sewn:
        seams.append(sew("facing shoulder seam", "front_facing.strap_end", to="back_facing.strap_end"))
    for name in ("front", "back"):
        for edge in run if not sewn else ("armhole", "neck"):
            seams.append(sew(f"{name} {edge.replace('_', ' ')} facing", f"{name}_facing.{edge}", to=f"{name}.{edge}",
                             how="faced"))  # fmt: skip
    return Part(tuple(made), tuple(seams))
