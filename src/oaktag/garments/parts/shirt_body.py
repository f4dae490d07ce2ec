"""A shirt for women, men, boys and children: yoke, collar, sleeves with cuffs and plackets or short ones.

     nc  ns            origin: the level of the side neck point on the centre line; x outwards, y up
      \\_/ \\__ st       the nape lies 2 cm below it; chest line 2.5 cm below the armpit
     |       (         ma: the armhole at half its depth, on the back line (half the back's width and 2 cm),
     |        ua       the front 1 cm less
     hc──────hs
Rules: half neck = neck base ÷ 5 − 0.2 cm, front depth neck base ÷ 5, back rise 2 cm; shoulder + 1.25 cm, slopes 18° and
22°; quarter chest = (girth + ease) ÷ 4 (worked rules for shirts: on 80 of 80 bodies the neckline is the neck and 0.9
cm). Sleeve: upper arm + 9 cm, its cap solved to the armhole, no ease, no flatter than a sixth of it; cuff = wrist + 5
cm with 2 cm of lap; two pleats; placket on the line half way from the back crease to the underarm, 12 cm. Ease at the
chest 14 cm for women, 20 cm for men; what of a man was not measured is estimated from his chest: neck and back C/4 +
15, scye depth C/5 + 4.4 cm, which holds 2.8 cm of ease. Boys: there is no chart, so they are drafted from their own
measures, neck and scye depth from the chest by the same rules (of 90 boys of a survey up to 15 years the neck is within
3 cm, their armhole 0.48 to 0.59 of the chest); ease 10 cm (6 to 10 in a child's woven block), half the back = shoulder
tip less 0.7 cm, 4 cm within the quarter, the tip 2 cm within it (worked rules, children); 3/4 of the chest long (common
practice, no source). Collar, buttons: parts/collars.py, button_stand.py.
"""

from __future__ import annotations

from typing import Final

from ...claims.edges import PleatsFold
from ...claims.girth import Girth
from ...draft.board import Board
from ...draft.cuts import cut
from ...draft.moves import join
from ...draft.pivots import widen
from ...draft.rulers import curve
from ...draft.sketch import Sketch
from ...errors import DraftError
from ...geometry.path import place_at
from ...geometry.point import Point, along, direction, left_of
from ...model.draft import Draft
from ...model.length import Length, cm, found, inch, least, mm, total
from ...model.piece import Cut, InternalLine, LineKind, NotchPlace, Piece, Seam, Take, sew
from ...values import replace
from .button_stand import button_stand, extension
from .collars import collar
from .cuffs import LAP, SLIT, placket_and_cuff
from .part import Part, together
from .reach import over_hip
from .sleeves import flat_cap
from .yokes import level_yoke

SLOPE_DEG: Final = {"front": 22.0, "back": 18.0}
NECK_DEG: Final = {"front": 68.0, "back": 112.0}
"""The angle of neck and shoulder: together 180, so that the neckline runs on (worked rules for bodices)."""
FOLDS: Final = 40.0
"""The pleat of the back is drawn so long, mm (common practice, no source)."""
EASE: Final = {"women": inch(5.5), "men": inch(8), "boys": inch(4), "children": inch(4)}
YOUNG: Final = ("boys", "children")
APART: Final = (inch(3.375), inch(2.5))
"""Between two buttons; and of a child, whose front is shorter (common practice, no source)."""
LONG: Final = inch(30)
POCKET: Final = {
    "women": (inch(5), inch(5.5)),
    "men": (inch(5), inch(5.5)),
    "boys": (inch(4), inch(4.5)),
    "children": (inch(3.5), inch(4)),
}
"""How wide and deep a breast pocket is (class notes: 5 x 5 1/2 in; that of boys common practice, no source)."""


def shirt_draft(
    on: Board, *, worn_by: str, laps: str, ease_chest: Length | None, long: Length | None, button: Length,
    upright_holes: bool, yoke_back: Length, yoke_front: Length, back_pleat: Length, collar_kind: str,
    collar_wide: Length | None, point_long: Length, ease_biceps: Length | None, cuff_wide: Length, ease_wrist: Length,
    breast_pocket: bool, short: Length | None = None,
) -> Draft:  # fmt: skip
    """A whole shirt, of the options of that name; `worn_by` is a key of EASE. `short`: how deep the hem of a short
    sleeve is, which has no cuff. Raises DraftError that names the options."""
    body = on.body
    asked, ease_chest = ease_chest, ease_chest or on.usual(EASE[worn_by])
    long = long or (body.bust_girth * 0.75 if worn_by == "boys" else on.usual(LONG))
    on.work("long", long)
    chest = ((body.bust_girth + ease_chest) / 4).called("quarter chest")
    neck_base, scye, across = _measured(on, worn_by)
    back_line, shoulder = _lines(on, worn_by, neck_base, across, chest)
    neck = (neck_base / 5 - mm(2)).called("half neck")
    chest_line = (cm(2) + scye).called("chest line")
    back_line, shoulder = back_line.called("back line"), shoulder.called("shoulder")
    hem = (long + cm(2)).called("hem line")
    if asked is None and chest < back_line + cm(4):  # add width below 4 (worked rules for shirts)
        chest = (back_line + cm(4)).called("quarter chest")
        ease_chest = chest * 4 - body.bust_girth
        on.note(f"The back is broad for the chest: the shirt has {on.say(ease_chest)} of ease, for the armholes.")
    on.work("ease_chest", ease_chest)
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

    whole_front, whole_back = on.fitted(front.piece(), back.piece())
    armholes = (found(whole.edge("armhole").length(), "measured on the draft").called(f"{name} armhole")
                for name, whole in (("front", whole_front), ("back", whole_back)))  # fmt: skip
    arm = _sleeve(on, *armholes, ease_biceps=ease_biceps, cuff_wide=cuff_wide,
                  ease_wrist=ease_wrist, short=short is not None)  # fmt: skip
    stands = collar_kind in ("stand and fall", "mandarin")
    wide = collar_wide or on.usual(inch(1.25) if stands else inch(3))
    on.work("collar_wide", wide)
    buttoned, opening = button_stand(
        on, whole_front, button=button, level="chest", usual=on.usual(APART[worn_by == "children"]),
        facing_wide=button * 2, upright=upright_holes, name="front", on_stand=wide if stands else None, laps=laps,
    )  # fmt: skip
    beyond = extension(button) if stands else mm(0)
    neckline = ("yoke.neck", "front.neck", *(("front.stand_neck",) if stands else ()))
    neckband = collar(on, collar_kind, whole_front, whole_back, wide=wide, point=point_long, beyond=beyond, to=neckline)

    cuff = Part()
    lips: tuple[Seam, ...] = ()
    cuffs: tuple[Seam, ...] = ()
    folds: tuple[PleatsFold, ...] = ()
    if short is None:
        lip, cuff = placket_and_cuff(on, (body.wrist_girth + ease_wrist).called("cuff"), cuff_wide, button)
        lips = (lip,)
        cuffs = (sew("cuff seam", "cuff.wrist_edge from start to lap", to="sleeve.wrist_edge", within=1.0),)
        folds = (PleatsFold("pleats.wrist", "lay them as the notches say.", "sleeve", "wrist_edge", "pleat"),)
    if back_pleat.mm:
        on.note("Lay the back in its pleat before the yoke is sewn on: its two notches meet on the centre back.")
    yoked, whole, yoke = _yoked(buttoned, whole_back, yoke_front, yoke_back, back_pleat)
    pieces = [yoked, whole, yoke, *on.fitted(arm.piece()), *cuff.pieces]
    if breast_pocket:
        patch = on.sketch("patch_pocket", Cut("whole"))
        across, deep = map(on.usual, POCKET[worn_by])
        patch.box(across, deep, ("pocket_left", "pocket_low", "pocket_right", "pocket_mouth"))
        pieces.append(patch.piece())
    yokes = (
        sew("back yoke seam", "back.yoke", to="yoke.yoke"),
        sew("front yoke seam", "front.yoke", to="yoke.yoke_front_yoke"),
    )
    arms = (
        *lips,
        sew(
            "armhole seam",
            "sleeve.cap",
            to=("front.armhole", "yoke.armhole", "back.armhole"),
            meets=[("sleeve.cap underarm_front", "front.armhole side")],
        ),
        sew("side seam", "front.side", to="back.side"),
        sew("underarm seam", "sleeve.underarm_front", to="sleeve.underarm_back"),
        *cuffs,
    )
    claims = (
        Girth("girth.chest", "Change ease_chest.", "chest", body.bust_girth, ease_chest + back_pleat * 2),
        *folds,
        *over_hip(on, hem - cm(3), cm(3) + back_pleat * 2, level="hem", change="add {more} to ease_chest."),
    )  # fmt: skip
    widths = {"hem": inch(0.5), "front_edge": inch(0.375)} | ({"sleeve.hem": short} if short else {})
    own = Part(tuple(pieces), yokes, (*claims, *cuff.claims), cuff.notions, widths)
    return together(on, [own, opening, neckband], seams=arms)


def _sleeve(
    on: Board, front: Length, back: Length, *, ease_biceps: Length | None, cuff_wide: Length, ease_wrist: Length,
    short: bool,
) -> Sketch:  # fmt: skip
    """The sleeve of two armholes; down to its cuff, with two pleats and a placket, or short and hemmed."""
    body, armhole = on.body, total(front, back).called("armhole")
    cuff_long = (body.wrist_girth + ease_wrist).called("cuff")
    fold = on.usual(inch(1))
    wrist = (cuff_long - LAP + fold * 2).called("sleeve hem, with its pleats")
    below = (body.arm_length - cuff_wide - cm(1.25)).called("sleeve, without its cuff")
    if short:
        below = (body.arm_length / 5).called("underarm seam, a fifth of the arm")

    def sleeve(width: Length) -> Sketch:
        s = on.sketch("sleeve", Cut("pair", 2), worn="arm")
        flat_cap(s, width, armhole / 5, (0.28, 0.7), cm(1))
        low, half = ("hem", width / 2 - cm(1)) if short else ("wrist_edge", wrist / 2)
        s.at("wrist_front", right=half, down=below, of="" if short else "cap_top")
        s.at("wrist_back", left=half, down=below, of="" if short else "cap_top")
        s.edge("underarm_front", "wrist_front", "underarm_front")
        s.edge("underarm_back", "underarm_back", "wrist_back")
        (s.hem if short else s.edge)(low, "wrist_back", curve("square", "square"), "wrist_front")
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
    if not short:
        arm.on("placket_end", "wrist_edge", wrist / 4, "wrist_back")
        arm.at("placket_top", up=SLIT, of="placket_end")
        arm.line("placket", "placket_end", "placket_top")
        for k in (0, 1):
            arm.pleat(f"wrist {k + 1}", "wrist_edge", at=wrist / 4 + cm(2.5) + fold / 2 + (fold + cm(1)) * k,
                      of="wrist_back", intake=fold, deep=cm(4))  # fmt: skip
        arm.fit("wrist_edge", to=cuff_long - LAP, move="wrist_front", way="left", change="ease_wrist")
        arm.fit("underarm_back", to=arm.long("underarm_front"), move="wrist_back", way="down", change="ease_wrist")
    arm.notch("cap", "shoulder", "underarm_front", at=front)
    arm.level("biceps", mm(0))
    return arm


def _measured(on: Board, worn_by: str) -> tuple[Length, Length, Length | None]:
    """The neck's base, the depth of the armhole below the nape, and the width of the back; of men and boys from the
    chest where they were not measured (a boy's back is then None)."""
    body = on.body
    if worn_by == "women":
        return body.neck_base_girth, body.scye_depth + cm(2.5), body.across_back_width
    chest, child = body.bust_girth, worn_by == "children"
    by_chest = {"neck_base_girth": body.neck_base_girth if child else chest / 4 + cm(15),
                "scye_depth": body.back_waist_length / 2 + cm(1.25) if child else chest / 5 + cm(4.4),
                "across_back_width": None if worn_by in YOUNG else chest / 4 + cm(15)}  # fmt: skip
    taken = {name: body.get(name) for name in by_chest}
    for name, guess in by_chest.items():
        if taken[name] is None and guess is not None and guess.op != "body":
            of = "the length of the back" if child else "the chest"
            on.note(f"{name} was not measured; {on.say(guess)} stands for it, from {of}.")
    neck, scye, across = (taken[name] or by_chest[name] for name in by_chest)
    assert neck is not None
    assert scye is not None
    return neck, scye + cm(2.5) if taken["scye_depth"] else scye, across


def _lines(on: Board, worn_by: str, neck: Length, across: Length | None, chest: Length) -> tuple[Length, Length]:
    """The back line and the shoulder; of a boy no further out than a child's armhole leaves room for."""
    shoulder = on.body.shoulder_length + cm(1.25)
    if worn_by not in YOUNG:
        assert across is not None
        return across / 2 + cm(2), shoulder
    shoulder = least(shoulder, chest - cm(2) - neck / 5)
    half_back = across / 2 + cm(2) if across else neck / 5 + shoulder - cm(0.7)
    if across is None:
        on.note(f"across_back_width was not measured; {on.say(half_back * 2)} stands for it, from neck and shoulder.")
    return least(half_back, chest - cm(4)), shoulder


def _yoked(front: Piece, back: Piece, forward: Length, down: Length, pleat: Length) -> tuple[Piece, Piece, Piece]:
    """Front and back cut along the yoke lines, what lies above joined at the shoulder; the back wider by its pleat."""
    tip, neck = front.points["shoulder_tip"], front.points["neck_side"]
    below = left_of(direction(tip, neck))
    upper, front = cut(front, along(neck, below, forward.mm), along(tip, below, forward.mm),
                       names=("front_yoke", "front"), edge="yoke", holding="shoulder")  # fmt: skip
    level = back.points["neck_centre"].y - down.mm
    upper_back, lower = level_yoke(back, level, names=("back_yoke", "back"))
    yoke = join(upper_back, "shoulder", upper, "shoulder", "yoke", over=True)
    return front, _pleated(lower, pleat.mm) if pleat.mm else lower, yoke


def _pleated(back: Piece, deep: float) -> Piece:
    """The back wider at its fold, laid in a pleat at the yoke again: the notch and the line there come to the fold."""
    wider = widen(back, "centre_back", deep)
    yoke = wider.edge("yoke")
    first = wider.beside("yoke")[0] == "centre_back"
    start, line = (0.0, deep) if first else (yoke.length() - deep, yoke.length() - deep)
    p = place_at(yoke.curves, line)[0]
    laid = replace(yoke, takes=(Take(start, start + deep, "pleat"),))
    return replace(
        wider,
        edges=tuple(laid if edge.name == "yoke" else edge for edge in wider.edges),
        notches=(*wider.notches, NotchPlace("yoke", line, 1, "back pleat")),
        internal_lines=(
            *wider.internal_lines,
            InternalLine("back pleat", (p, Point(p.x, p.y - FOLDS)), LineKind.PLEAT),
        ),
    )
