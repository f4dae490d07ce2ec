"""A shirt with a yoke, a collar of stand and fall, cuffs with plackets, for women or men.

     nc  ns            origin: the level of the side neck point on the centre line; x outwards, y up
      \\_/ \\__ st       the nape lies 2 cm below it; chest line 2.5 cm below the armpit
     |       (         ma: the armhole at half its depth, on the back line (half the back's width and 2 cm),
     |        ua       the front 1 cm less
     hc──────hs
Rules: half neck = neck base ÷ 5 − 0.2 cm, front depth neck base ÷ 5, back rise 2 cm; shoulder + 1.25 cm, slopes 18°
and 22°; quarter chest = (girth + ease) ÷ 4 (worked rules for shirts: on 80 of 80 bodies the neckline is the neck and
0.9 cm). Sleeve: upper arm + 9 cm, its cap solved to the armhole, no ease, no flatter than a sixth of it; cuff = wrist
+ 5 cm with 2 cm of lap; two pleats; placket on the line half way from the back crease to the underarm, 12 cm. Ease at
the chest 14 cm for women, 20 cm for men; what of a man was not measured is estimated from his chest: neck and back
C/4 + 15, scye depth C/5 + 4.4 cm, which holds 2.8 cm of ease. Collar, buttons: parts/collars.py, button_stand.py.
"""

from __future__ import annotations

from typing import Final

from ..claims.girth import Girth
from ..draft.board import Board
from ..draft.cuts import cut
from ..draft.moves import join
from ..draft.pivots import widen
from ..draft.rulers import curve
from ..draft.signature import choice, flag, garment, length
from ..draft.sketch import Sketch
from ..errors import DraftError
from ..geometry.point import along, direction, left_of
from ..model.draft import Draft
from ..model.length import Length, cm, found, inch, mm, total
from ..model.piece import Cut, Piece, Take, sew
from ..values import replace
from .parts.button_stand import button_stand, extension
from .parts.collars import collar
from .parts.part import Part, together
from .parts.yokes import level_yoke

SLOPE_DEG: Final = {"front": 22.0, "back": 18.0}
NECK_DEG: Final = {"front": 68.0, "back": 112.0}
"""The angle of neck and shoulder: together 180, so that the neckline runs on (worked rules for bodices)."""
EASE: Final = {"women": inch(5.5), "men": inch(8)}


@garment("shirt with a yoke, stand and fall collar, cuffs and plackets", noun="shirt")  # fmt: skip
def shirt(
    on: Board,
    *,
    worn_by: str = choice("whom it is for: the ease, and which side laps over", "women", "men"),
    ease_chest: Length | None = length("wearing ease round the bust or chest", least=inch(3), most=inch(14),
                                       worked_out="{women} for women, {men} for men", where=EASE),
    long: Length = length("nape to hem", inch(30), least=inch(18), most=inch(44)),
    button: Length = length("diameter of the buttons", inch(0.5), least=inch(0.375), most=inch(1), group="buttons"),
    buttons: str = choice("how many down the front", "auto", *map(str, range(4, 13)), group="buttons"),
    upright_holes: bool = flag("buttonholes upright, on the centre line", True, group="buttons"),
    yoke_back: Length = length("yoke at the centre back", inch(3), least=inch(2), most=inch(5), group="yoke"),
    yoke_front: Length = length("yoke before the shoulder seam", inch(1), least=inch(0.5), most=inch(3), group="yoke"),
    back_pleat: Length = length("pleat at the centre back, in each half", inch(0.75), most=inch(2), group="yoke"),
    collar_kind: str = choice("collar", "stand and fall", "mandarin", "one-piece", "flat", "tie", group="collar"),
    collar_wide: Length | None = length("stand; of another collar its whole depth", least=inch(0.75), most=inch(5),
                                        worked_out="{stand}; 3 in flat, one-piece or tied", where={"stand": inch(1.25)},
                                        group="collar"),
    point_long: Length = length("collar point", inch(2.75), least=inch(1.5), most=inch(5), group="collar"),
    ease_biceps: Length | None = length("wearing ease round the upper arm", least=inch(0.75), most=inch(9),
                                        worked_out="{usual}; less where the cap would be flatter than a sixth of the "
                                        "armhole", where={"usual": inch(3.5)}, group="sleeve"),
    cuff_wide: Length = length("cuff", inch(2.5), least=inch(1), most=inch(4), group="sleeve"),
    ease_wrist: Length = length("cuff over the wrist, with its lap", inch(2), least=inch(1.5), most=inch(5),
                                group="sleeve"),
    breast_pocket: bool = flag("a breast pocket", True),
) -> Draft:  # fmt: skip
    """Back, front, yoke, sleeve, cuff, placket, stand, fall and pocket."""
    body = on.body
    ease_chest = ease_chest or on.usual(EASE[worn_by])
    on.work("ease_chest", ease_chest)
    neck_base, scye, across = _measured(on, worn_by)
    neck = (neck_base / 5 - mm(2)).called("half neck")
    chest = ((body.bust_girth + ease_chest) / 4).called("quarter chest")
    chest_line = (cm(2) + scye).called("chest line")
    back_line = (across / 2 + cm(2)).called("back line")
    shoulder = (body.shoulder_length + cm(1.25)).called("shoulder")
    hem = (long + cm(2)).called("hem line")
    if chest < back_line + cm(4):
        on.refuse(f"the quarter chest, {on.say(chest)}, leaves no room for an armhole beyond the back line, "
                  f"{on.say(back_line)}", "ease_chest to more")  # fmt: skip

    def half(name: str, cut: Cut) -> Sketch:
        s = on.sketch(f"whole_{name}", cut, worn="body")
        s.at("neck_centre", down=cm(2) if name == "back" else (neck_base / 5).called("front neck depth"))
        s.at("neck_side", right=neck)
        s.slant("shoulder_tip", of="neck_side", far=shoulder, deg=-SLOPE_DEG[name])
        s.at("underarm", right=chest, down=chest_line)
        line = back_line if name == "back" else back_line - cm(1)
        s.at("mid_armhole", right=line, down=(chest_line + (cm(4) if name == "back" else cm(5))) / 2)
        s.at("hem_centre", down=hem)
        s.at("hem_side", right=chest, down=hem - cm(3))
        s.edge("side", "hem_side", "underarm")
        s.edge("armhole", "underarm", curve("level", "upright"), "mid_armhole", curve("upright", "square"),
               "shoulder_tip")  # fmt: skip
        s.edge("shoulder", "shoulder_tip", "neck_side")
        s.edge("neck", "neck_side", curve(-SLOPE_DEG[name] - NECK_DEG[name], "level"), "neck_centre")
        s.level("chest", chest_line)
        s.level("hem", hem - cm(3))
        return s

    back, front = half("back", Cut("fold")), half("front", Cut("pair", 2))
    back.fold("centre_back", "neck_centre", "hem_centre")
    back.hem("hem", "hem_centre", curve("level", "square"), "hem_side")
    front.edge("centre_front", "neck_centre", "hem_centre")
    front.hem("hem", "hem_centre", curve("level", "square"), "hem_side")

    armhole = total(front.long("armhole"), back.long("armhole")).called("armhole")
    cuff_long = (body.wrist_girth + ease_wrist).called("cuff")
    fold = on.usual(inch(1))
    wrist = (cuff_long - cm(2) + fold * 2).called("sleeve hem, with its pleats")
    below = (body.arm_length - cuff_wide - cm(1.25)).called("sleeve, without its cuff")

    def sleeve(width: Length) -> Sketch:
        s = on.sketch("sleeve", Cut("pair", 2), worn="arm")
        s.at("cap_top", up=armhole / 5)
        s.at("underarm_front", right=width / 2)
        s.at("underarm_back", left=width / 2)
        s.between("hollow_front", "underarm_front", "cap_top", 0.28, left=mm(7))
        s.between("raised_front", "underarm_front", "cap_top", 0.7, right=cm(1))
        s.between("raised_back", "underarm_back", "cap_top", 0.7, left=cm(1.5))
        s.between("hollow_back", "underarm_back", "cap_top", 0.28, right=mm(5))
        s.at("wrist_front", right=wrist / 2, down=below, of="cap_top")
        s.at("wrist_back", left=wrist / 2, down=below, of="cap_top")
        s.edge("underarm_front", "wrist_front", "underarm_front")
        s.edge("underarm_back", "underarm_back", "wrist_back")
        s.edge("wrist_edge", "wrist_back", curve("square", "square"), "wrist_front")
        soft = curve("smooth", "smooth")
        s.edge("cap", "underarm_front", curve("square", "smooth"), "hollow_front", soft, "raised_front",
               curve("smooth", "level"), "cap_top", curve("level", "smooth"), "raised_back", soft, "hollow_back",
               curve("smooth", "square"), "underarm_back")  # fmt: skip
        s.fit("cap", to=armhole, move="cap_top", way="up", change="ease_biceps or ease_chest")
        return s

    def flat(less: Length) -> float:
        """By how much the cap is flatter than a sixth of the armhole, mm, of a sleeve so much narrower."""
        try:
            return armhole.mm / 6 - sleeve(body.upper_arm_girth + usual - less).points["cap_top"].y
        except DraftError:
            return armhole.mm

    usual = on.usual(inch(3.5))
    steep = "so that the cap stands a sixth of the armhole high"
    less = on.solve(mm(0), on.usual(inch(2.75)), lack=flat, so_that=steep)
    ease = ease_biceps or (usual - less if less.mm else usual)
    arm = sleeve((body.upper_arm_girth + ease).called("sleeve width"))
    height = found(arm.points["cap_top"].y, "cap height")
    if height.over(armhole) < 1 / 6 - 1e-4:
        on.refuse(f"the cap of the sleeve, {on.say(height)} high, is flatter than a sixth of the armhole",
                  "ease_biceps to less, or ease_chest to more")  # fmt: skip
    arm.on("placket_end", "wrist_edge", wrist / 4, "wrist_back")
    arm.at("placket_top", up=cm(12), of="placket_end")
    arm.line("placket", "placket_end", "placket_top")
    for k in (0, 1):
        arm.pleat(f"wrist {k + 1}", "wrist_edge", at=wrist / 4 + cm(2.5) + fold / 2 + (fold + cm(1)) * k,
                  of="wrist_back", intake=fold, deep=cm(4))  # fmt: skip
    arm.fit("wrist_edge", to=cuff_long - cm(2), move="wrist_front", way="left", change="ease_wrist")
    arm.fit("underarm_back", to=arm.long("underarm_front"), move="wrist_back", way="down", change="ease_wrist")
    arm.notch("cap", "shoulder", "underarm_front", at=front.long("armhole"))
    arm.level("biceps", mm(0))

    cuff = on.sketch("cuff", Cut("pair", 4))
    cuff.box(cuff_long, cuff_wide, ("cuff_end", "wrist_edge", "lap_end", "cuff_outer"))
    cuff.notch("wrist_edge", "lap", "bottom_right", at=cm(2))

    whole_front, whole_back = front.piece(), back.piece()
    stands = collar_kind in ("stand and fall", "mandarin")
    wide = collar_wide or on.usual(inch(1.25) if stands else inch(3))
    on.work("collar_wide", wide)
    buttoned, opening = button_stand(
        on, whole_front, button=button, level="chest", usual=on.usual(inch(3.375)), facing_wide=button * 2,
        upright=upright_holes, name="front", on_stand=wide if stands else None,
        laps="right over left" if worn_by == "women" else "left over right",
    )  # fmt: skip
    beyond = extension(button) if stands else mm(0)
    neckline = ("yoke.neck", "front.neck", *(("front.stand_neck",) if stands else ()))
    neckband = collar(on, collar_kind, whole_front, whole_back, wide=wide, point=point_long, beyond=beyond, to=neckline)

    placket = on.sketch("placket", Cut("pair", 2))
    placket.box(cm(24), cm(4), ("placket_start", "slit", "placket_end", "placket_inside"))
    yoked, whole, yoke = _yoked(buttoned, whole_back, yoke_front, yoke_back, back_pleat)
    pieces = [yoked, whole, yoke, *(sheet.piece() for sheet in (arm, placket, cuff))]
    if breast_pocket:
        patch = on.sketch("patch_pocket", Cut("whole"))
        patch.box(on.usual(inch(5)), on.usual(inch(5.5)), ("pocket_left", "pocket_low", "pocket_right", "pocket_mouth"))
        pieces.append(patch.piece())
    yokes = (
        sew("back yoke seam", "back.yoke", to="yoke.yoke"),
        sew("front yoke seam", "front.yoke", to="yoke.yoke_front_yoke"),
    )
    arms = (
        sew("placket seam", "placket.slit", to="sleeve.placket both lips"),
        sew(
            "armhole seam",
            "sleeve.cap",
            to=("front.armhole", "yoke.armhole", "back.armhole"),
            meets=[("sleeve.cap underarm_front", "front.armhole side")],
        ),
        sew("side seam", "front.side", to="back.side"),
        sew("underarm seam", "sleeve.underarm_front", to="sleeve.underarm_back"),
        sew("cuff seam", "cuff.wrist_edge from start to lap", to="sleeve.wrist_edge", within=1.0),
    )
    claims = (Girth("girth.chest", "Change ease_chest.", "chest", body.bust_girth, ease_chest + back_pleat * 2),)
    widths = {"hem": inch(0.5), "front_edge": inch(0.375)}
    return together(on, [Part(tuple(pieces), yokes, claims, widths=widths), opening, neckband], seams=arms)


def _measured(on: Board, worn_by: str) -> tuple[Length, Length, Length]:
    """The neck's base, the depth of the armhole below the nape, and the width of the back; of a man, from his chest
    where they were not measured."""
    body = on.body
    if worn_by == "women":
        return body.neck_base_girth, body.scye_depth + cm(2.5), body.across_back_width
    chest, taken = body.bust_girth, [body.get(n) for n in ("neck_base_girth", "scye_depth", "across_back_width")]
    guessed = (chest / 4 + cm(15), chest / 5 + cm(4.4), chest / 4 + cm(15))
    for name, measured, guess in zip(("neck_base_girth", "scye_depth", "across_back_width"), taken, guessed,
                                     strict=True):  # fmt: skip
        if measured is None:
            on.note(f"{name} was not measured; {on.say(guess)} stands for it, from the chest.")
    neck, scye, across = taken
    return neck or guessed[0], scye + cm(2.5) if scye else guessed[1], across or guessed[2]


def _yoked(front: Piece, back: Piece, forward: Length, down: Length, pleat: Length) -> tuple[Piece, Piece, Piece]:
    """Front and back cut along the yoke lines, what lies above joined at the shoulder; the back wider by its pleat."""
    tip, neck = front.points["shoulder_tip"], front.points["neck_side"]
    below = left_of(direction(tip, neck))
    upper, front = cut(front, along(neck, below, forward.mm), along(tip, below, forward.mm),
                       names=("front_yoke", "front"), edge="yoke", holding="shoulder")  # fmt: skip
    level = back.points["neck_centre"].y - down.mm
    upper_back, lower = level_yoke(back, level, names=("back_yoke", "back"))
    yoke = join(upper_back, "shoulder", upper, "shoulder", "yoke", over=True)
    return front, _pleated(lower, pleat) if pleat.mm else lower, yoke


def _pleated(back: Piece, deep: Length) -> Piece:
    """The back wider at its fold, laid in a pleat at the yoke again."""
    wider = widen(back, "centre_back", deep.mm)
    yoke = wider.edge("yoke")
    at_centre = 0.0 if wider.beside("yoke")[0] == "centre_back" else yoke.length() - deep.mm
    laid = replace(yoke, takes=(Take(at_centre, at_centre + deep.mm, "pleat"),))
    return replace(wider, edges=tuple(laid if edge.name == "yoke" else edge for edge in wider.edges))
