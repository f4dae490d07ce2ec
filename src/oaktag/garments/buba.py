"""A buba, the loose top of the Yoruba: back turned forward over the shoulder, straight sleeves, round neck and slit.

      nc__ns        the back starts `turned` above the level of the shoulder (y = 0), the front as far below it:
    ________ \\__st   so the seam lies in front of the shoulder, and front and back hang to one hem
    |  y = 0    |    ns, nc: the neck's place in the seam, and on the centre line; st: the end of the shoulder seam
    |           ua   ua: underarm; from here the side runs straight down
    |___________|
Rules as a dressmaker prints them for length 32, shoulder 19, chest 40, in inches (a sewing class, 2017): cloth as wide
as the chest and 4, folded to a quarter of that; back 3 1/2 longer, which are turned forward, so the front is cut
3 1/2 shorter (worked rules 7); slope 1 1/2; end of the shoulder at shoulder ÷ 2 + 1/2; neck in front 3 wide and 2 deep,
in back 2 3/4 wide and 1 1/2 deep; a slit of about 5 at the centre front. Each number is taken where it stands: the
front's from the seam, the back's from the shoulder. Where the hip is larger than the chest it is taken for the chest
(chosen). The class prints no sleeve: underarm chest ÷ 4 below the shoulder, the arm and 6 in round or more; a sleeve
that is straight across at both ends (common practice, no source).
"""

from __future__ import annotations

from typing import Final

from ..body.whom import GROWN
from ..claims.girth import GirthAtLeast, RunInRange
from ..claims.openings import OpenedPasses
from ..draft.board import Board
from ..draft.facings import facing
from ..draft.rulers import curve
from ..draft.signature import garment, length
from ..draft.sketch import Sketch
from ..geometry.path import flatten
from ..geometry.polygon import crossings
from ..model.claim import Claim
from ..model.draft import Draft
from ..model.finding import Severity
from ..model.length import Length, cm, greatest, inch, mm
from ..model.piece import Cut, LineKind, Seam, sew
from ..model.ref import refs
from .parts.overhead import HEAD_EASE, head_of
from .parts.part import long_of, ruled, slit_from_neck

SLIT: Final = "slit end"


@garment("buba for women and men: loose top, back turned forward over the shoulder, straight sleeves",
         for_whom=GROWN, noun="buba")  # fmt: skip
def buba(
    on: Board,
    *,
    long: Length = length("shoulder to hem", inch(32), least=inch(20), most=inch(45)),
    ease_chest: Length = length("cloth wider than the chest, all round", inch(4), least=inch(3), most=inch(14)),
    turned: Length = length("back turned forward over the shoulder", inch(3.5), least=inch(1), most=inch(5)),
    slope: Length = length("slope of front and back at the shoulder", inch(1.5), most=inch(2.5)),
    neck_half: Length = length("neckline from the centre, at the shoulder seam", inch(3), least=inch(2.5),
                               most=inch(5), group="neck"),
    neck_front: Length = length("neckline, deep in the front below the seam", inch(2), least=inch(1), most=inch(5),
                                group="neck"),
    neck_back: Length = length("neckline, deep behind the shoulder", inch(1.5), least=inch(0.5), most=inch(4),
                               group="neck"),
    slit: Length = length("slit at the centre front", inch(5), least=inch(2), most=inch(10), group="neck"),
    armhole_deep: Length | None = length("underarm below the shoulder", least=inch(7), most=inch(18), group="sleeve",
                                         worked_out="chest ÷ 4, or as the arm asks for"),
    sleeve_long: Length | None = length("sleeve, from its seam", least=inch(3), most=inch(30), group="sleeve",
                                        worked_out="to the wrist"),
    sleeve_hem: Length | None = length("sleeve at its hem, laid flat", least=inch(4), most=inch(18), group="sleeve",
                                       worked_out="{a} less than at the armhole", where={"a": inch(1)}),
) -> Draft:  # fmt: skip
    """Front, back, sleeve and the facings of neck and slit."""
    body = on.body
    broad = greatest(body.bust_girth, body.hip_girth)
    wide = ((broad + ease_chest).called("width of the cloth") / 4).called("quarter of the cloth")
    tip = (body.shoulder_width / 2 + inch(0.5)).called("end of the shoulder")
    if tip > wide:
        on.refuse(f"the shoulder ends {on.say(tip)} from the centre, the cloth {on.say(wide)} from it",
                  f"ease_chest to {on.say((tip - wide) * 4 + ease_chest)} or more")  # fmt: skip
    for_arm = ((body.upper_arm_girth + inch(6)) / 2 + slope).called("half the arm and its ease")
    deep = (armhole_deep or greatest(body.bust_girth / 4, for_arm)).called("underarm line")
    if deep < turned + slope + inch(2) or deep > long - inch(4):
        on.refuse(f"the underarm lies {on.say(deep)} below the shoulder, the hem {on.say(long)}",
                  "armhole_deep, long or turned")  # fmt: skip
    if turned < slope + inch(0.5):
        on.refuse(f"the back is turned forward by {on.say(turned)}, and slopes by {on.say(slope)} there",
                  f"turned to {on.say(slope + inch(0.5))} or more, or slope")  # fmt: skip
    if neck_half > tip - inch(2):
        on.refuse(f"the neckline leaves less than {on.say(inch(2))} of shoulder", "neck_half to less")
    waist, hip = body.waist_line.called("waist line"), (body.waist_line + body.waist_to_hip).called("hip line")

    def half(name: str) -> Sketch:
        """Front or back; the level of the shoulder is y = 0."""
        s, front = on.sketch(name, Cut("fold"), worn="body"), name == "front"
        if front:
            s.at("neck_seam", right=neck_half, down=turned)
            s.at("neck_centre", down=turned + neck_front)
            s.at("seam_tip", right=tip, down=turned + slope)
        else:
            s.at("neck_seam", right=neck_half, up=turned)
            s.at("neck_side", right=neck_half - inch(0.25))
            s.at("neck_centre", down=neck_back)
            s.at("seam_tip", right=tip, up=turned - slope)
        s.at("underarm", right=wide, down=deep)
        s.at("hem_side", right=wide, down=long)
        s.at("hem_centre", down=long)
        s.fold(f"centre_{name}", "neck_centre", "hem_centre")
        s.hem("hem", "hem_centre", "hem_side")
        s.edge("side", "hem_side", "underarm")
        s.edge("armhole", "underarm", curve("square", "square"), "seam_tip")
        s.edge("shoulder", "seam_tip", "neck_seam")
        if front:
            s.edge("neck", "neck_seam", curve("square", "level"), "neck_centre")
            s.at("slit_end", down=slit, of="neck_centre")
            s.at("slit_top", right=mm(3), of="neck_centre")
            s.line("slit", "slit_top", "slit_end", kind=LineKind.PLACEMENT)
            s.notch("centre_front", SLIT, "neck_centre", at=slit)
        else:
            s.edge(
                "neck", "neck_seam", curve("square", "upright"), "neck_side", curve("upright", "level"), "neck_centre"
            )
            arm = flatten(s.drawn("armhole")[0].curves)
            s.put("shoulder_tip", (min(crossings(arm, 0.0)), 0.0))  # its chord lies further out
            s.line("shoulder fold", "neck_side", "shoulder_tip", kind=LineKind.FOLD)
        s.level("chest", deep)
        if waist > deep + cm(1) and waist < long - cm(2):
            s.level("waist", waist)
        if hip < long - cm(2):
            s.level("hip", hip)
        s.level("hem", long)
        return s

    front, back = half("front"), half("back")
    halves = on.fitted(*(ruled(sheet.piece(), "armhole", "neck") for sheet in (front, back)))
    halves = slit_from_neck(halves[0], "slit", "slit_top"), halves[1]
    around = long_of(halves[0], "armhole") + long_of(halves[1], "armhole")
    reach = (sleeve_long or body.arm_length - inch(0.5)).called("sleeve")
    end = (sleeve_hem or around / 2 - inch(1)).called("sleeve hem, laid flat")

    def tapered(top: Length) -> Sketch:
        """The sleeve, square to its underarm at both ends."""
        s = on.sketch("sleeve", Cut("pair"), worn="arm")
        s.at("top_front", right=top)
        s.at("top_back", left=top)
        s.at("hem_back", left=end, down=reach)
        s.at("hem_front", right=end, down=reach)
        s.edge("armhole", "top_front", curve("square", "square"), "top_back")
        s.edge("underarm_back", "top_back", "hem_back")
        s.hem("hem", "hem_back", curve("square", "square"), "hem_front")
        s.edge("underarm_front", "hem_front", "top_front")
        s.level("armhole", mm(0))
        s.level("hem", reach)
        return s

    half_top = on.solve(
        around / 2 - inch(1), around / 2, lack=lambda top: (around - tapered(top).long("armhole")).mm,
        so_that="so that the top of the sleeve is as long as the armhole")  # fmt: skip
    arm = tapered(half_top.called("half the top of the sleeve"))

    deeper = on.usual(inch(1.5))
    strip = on.usual(inch(2))
    faced = (facing(halves[0], ["neck"], "facing_front", (strip.mm, (slit + deeper).mm)),
             facing(halves[1], ["neck"], "facing_back", (strip.mm, strip.mm)))  # fmt: skip
    on.note(f"Face the neck and the slit before the sides are sewn: stitch round the neck, {on.say(mm(3))} beside the "
            "slit and to a point at its end; cut it open to there, turn and press.")  # fmt: skip
    on.note(f"The shoulder seam lies {on.say(turned)} in front of the shoulder.")
    seams: list[Seam] = [
        sew("shoulder seam", "front.shoulder", to="back.shoulder"),
        sew("facing seam", "facing_front.shoulder", to="facing_back.shoulder"),
        *(sew(f"{name} facing", f"facing_{name}.neck", to=f"{name}.neck", how="faced") for name in ("front", "back")),
        sew("sleeve seam", "sleeve.armhole", to=("front.armhole", "back.armhole"),
            meets=[("sleeve.armhole underarm_front", "front.armhole side")], within=2.0),
        sew("side seam", "front.side", to="back.side"),
        sew("sleeve underarm", "sleeve.underarm_front", to="sleeve.underarm_back"),
    ]  # fmt: skip
    pieces = [*halves, arm.piece(), *faced]
    head, _ = head_of(on)
    claims: list[Claim] = [
        GirthAtLeast("girth.chest", "make ease_chest {more} more.", "chest", body.bust_girth, inch(3),
                     severity=Severity.ERROR),
        OpenedPasses("entry.head", "set slit to {enough} or more.", "centre front", refs("front.neck", "back.neck"),
                     SLIT, head, HEAD_EASE.mm),
        RunInRange("arm.room", "make armhole_deep more by {off}.", refs("sleeve.armhole"), body.upper_arm_girth,
                   inch(4).mm, 5000.0),
        RunInRange("entry.hand", "make sleeve_hem half of {off} more.", refs("sleeve.hem"), body.hand_girth * 1.15, 0.0,
                   5000.0),
    ]  # fmt: skip
    if hip < long - cm(2):
        claims.append(GirthAtLeast("girth.hip", "make ease_chest {more} more.", "hip", body.hip_girth, inch(2)))
    return on.draft(
        pieces,
        seams=seams,
        claims=claims,
        widths={"hem": inch(1), "sleeve.hem": inch(1), "neck": inch(0.375)},
        folding={"front": ("lengthwise",), "back": ("lengthwise",)},
    )
