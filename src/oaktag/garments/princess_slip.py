"""A princess slip for girls, cut free-hand: front and back alike on the fold, in one from shoulder to flared hem.

     nc  ns___            origin: the level of the side neck point on the centre line; x outwards, y up
     |\\_/    \\_ st        st: half the shoulder's width out, 3/4 in down
     |        (           ua: the armhole line; the quarter chest there, 3/4 in less at the waist,
     |         ua          3 1/2 in more at the hem, which is square to the side and as deep there as at the centre
     |        )
     hc________\\hs
Rules, in inches (a page on drafting a princess petticoat, chest 26, shoulder 13): depth = length + 1/2, armhole line
chest ÷ 4 − 3/4, quarter chest + 1 1/4, waist that less 3/4, hem that and 3 1/2; neck chest ÷ 12 + 3/4 wide and,
"square", as deep at the back; front neck chest ÷ 12 + 1 1/2; slope 3/4, inlay 1 1/2, hem 1 1/4. Half the shoulder,
which the page leaves out: shoulder ÷ 2; of 40 children the neck passes the head and 2 cm on 9, so the back is slit 10
to 15 cm (both worked rules 6). Never less than the arm and 4 cm round the armhole, nor a shoulder of less than 4 cm; to
1 in above the knee unless told (common practice, no source).
"""

from __future__ import annotations

from math import asin, degrees
from typing import Final

from ..body.whom import CHILDREN
from ..claims.girth import Girth, GirthAtLeast, RunInRange
from ..claims.openings import OpenedPasses, Passes
from ..draft.board import Board
from ..draft.facings import facing
from ..draft.rulers import SHARE, curve, drawn_curve
from ..draft.signature import choice, garment, length
from ..draft.sketch import Sketch
from ..geometry.curve import Line
from ..geometry.point import Point
from ..model.claim import Claim
from ..model.draft import Draft
from ..model.finding import Severity
from ..model.length import Length, cm, greatest, inch, mm
from ..model.piece import Cut, LineKind, Piece, Seam, sew
from ..model.ref import refs
from ..values import replace
from .parts.part import slit_from_neck

HEAD_EASE: Final = cm(2)
"""The neckline over the head (worked rules 6)."""
LEAST_SHOULDER: Final = cm(4)
ARM_EASE: Final = cm(4)
WAIST_EASE: Final = cm(3)
"""Of a waist that is wider than the chest (common practice, no source)."""
SLIT: Final = inch(5)
"""Of the back (10 to 15 cm)."""
SLIT_END: Final = "slit end"
LEAN: Final = 1.3
"""How much more the side leans at the hem than the straight way down from the waist (common practice, no source)."""
_BESIDE: Final = mm(3)
"""The slit is sewn so far beside its line at the neck (common practice, no source)."""


@garment("princess slip for children, in one from the shoulder to a flared hem", for_whom=CHILDREN, noun="slip")
def princess_slip(
    on: Board,
    *,
    long: Length | None = length("side neck point to hem", least=inch(10), most=inch(44),
                                 worked_out="to {a} above the knee", where={"a": inch(1)}),
    flare: Length = length("each side seam further out at the hem than at the chest", inch(3.5), least=inch(1),
                           most=inch(8)),
    neckline: str = choice("neckline", "round", "square"),
    neck_deeper: Length = length("neckline deeper in front than the rule", mm(0), most=inch(3)),
    back_slit: str = choice("slit in the back; auto: where the head does not pass", "auto", "yes", "no"),
    slit_long: Length | None = length("the slit, from the neckline down", least=inch(2), most=inch(8),
                                      worked_out="{a}, or so that the head passes", where={"a": SLIT},
                                      when=("back_slit", "auto", "yes")),
    neck_finish: str = choice("how the neckline is finished", "facing", "binding"),
    inlay: Length = length("cloth left in the side seams, to be let out", inch(1.5), least=inch(0.5), most=inch(2)),
    hem_deep: Length = length("hem turned up", inch(1.25), least=inch(0.75), most=inch(4)),
) -> Draft:  # fmt: skip
    """Front, back, and the facings of the neck."""
    body = on.body
    chest = body.bust_girth
    quarter = (chest / 4 + inch(1.25)).called("chest line, across")
    at_waist = greatest(quarter - inch(0.75), (body.waist_girth + WAIST_EASE) / 4).called("waist line, across")
    half_neck = (chest / 12 + inch(0.75)).called("half neck")
    neck_front = (chest / 12 + inch(1.5) + neck_deeper).called("front neck depth")
    tip = (body.shoulder_width / 2).called("half shoulder")
    waist = body.waist_line.called("waist line")
    knee = waist + body.waist_height - body.knee_height - on.usual(inch(1))
    long = long or knee
    on.work("long", long)
    hem = (long + inch(0.5)).called("hem line")
    if quarter < tip + cm(1):
        on.refuse(f"the chest line, {on.say(quarter)} across, leaves no room for an armhole beyond half the shoulder, "
                  f"{on.say(tip)}", "shoulder_width or bust_girth, if one was mistaken")  # fmt: skip
    hip = (waist + body.waist_to_hip).called("hip line")
    if tip < half_neck + LEAST_SHOULDER:
        on.refuse(f"half the shoulder, {on.say(tip)}, leaves less than {on.say(LEAST_SHOULDER)} beyond the neck, "
                  f"{on.say(half_neck)}", "shoulder_width or bust_girth, if one was mistaken")  # fmt: skip
    if hem < waist + cm(8):
        on.refuse(f"the hem, {on.say(hem)} down, lies above the waist or hardly below it",
                  f"long to {on.say(waist + cm(8) - inch(0.5))} or more")  # fmt: skip

    lean = 90.0 + LEAN * degrees(asin((quarter - at_waist + flare).over(hem - waist)))

    def half(name: str, neck_deep: Length, deep: Length, slit: Length | None = None) -> Sketch:
        s = on.sketch(name, Cut("fold"), worn="body")
        s.at("neck_centre", down=neck_deep)
        s.at("neck_side", right=half_neck)
        s.at("shoulder_tip", right=tip, down=inch(0.75))
        s.at("underarm", right=quarter, down=deep)
        s.at("waist_side", right=at_waist, down=waist)
        s.at("hem_centre", down=hem)
        s.at("hem_side", right=quarter - at_waist + flare, of="waist_side", far=hem - waist)
        s.fold(f"centre_{name}", "neck_centre", "hem_centre")
        s.edge("side", "hem_side", curve(lean, "upright"), "waist_side", curve("upright", "upright"),
               "underarm")  # fmt: skip
        s.hem("hem", "hem_centre", curve("level", "square"), "hem_side")
        s.edge("shoulder", "shoulder_tip", "neck_side")
        s.edge("armhole", "underarm", curve("level", "square"), "shoulder_tip")
        if neckline == "round":
            s.edge("neck", "neck_side", curve("square", "level"), "neck_centre")
        else:
            s.at("neck_corner", right=half_neck, down=neck_deep)
            s.edge("neck", "neck_side", curve("square", "upright"), "neck_corner", "neck_centre")
        if slit:
            s.at("slit_side", right=_BESIDE, of="neck_centre")
            s.at("slit_low", down=slit, of="neck_centre")
            s.line("back slit", "slit_side", "slit_low", kind=LineKind.PLACEMENT)
            s.notch("centre_back", SLIT_END, "neck_centre", at=slit)
        s.level("chest", deep)
        s.level("waist", waist)
        if hip < hem - cm(4):
            s.level("hip", hip)
        return s

    def lack(deep: Length) -> float:
        return (body.upper_arm_girth + ARM_EASE - half("front", neck_front, deep).long("armhole") * 2).mm

    by_rule = (chest / 4 - inch(0.75)).called("chest ÷ 4 − 3/4 in")
    deep = on.solve(by_rule, by_rule + cm(6), lack=lack, so_that="so that it goes round the arm with some ease")
    if deep > by_rule:
        on.note(f"The armhole was lowered by {on.say(deep - by_rule)}, so that it goes round the arm.")
    deep = deep.called("armhole line")
    if deep > waist - cm(3):
        on.refuse(f"the armhole line, {on.say(deep)} down, is too near the waist line, {on.say(waist)} down",
                  "back_waist_length or upper_arm_girth, if one was mistaken")  # fmt: skip
    if neck_front > deep - cm(1):
        on.refuse(f"the front neckline, {on.say(neck_front)} deep, comes near the armhole line, {on.say(deep)} down",
                  f"neck_deeper to {on.say(neck_deeper - neck_front + deep - cm(1))} or less")  # fmt: skip
    front = half("front", neck_front, deep).piece()
    head = (body.head_girth + HEAD_EASE).called("head and its ease")
    least = on.solve(mm(0), cm(30), lack=lambda slit: _lack(head, slit, front, half("back", half_neck, deep)),
                     so_that="so that the head passes, with some ease")  # fmt: skip
    slit: Length | None = None
    if on.settle("back_slit", "yes" if least.mm else "no") == "yes":
        slit = (slit_long or greatest(on.usual(SLIT), least)).called("slit")
        on.work("slit_long", slit)
    front, back = on.fitted(front, half("back", half_neck, deep, slit).piece())
    back = slit_from_neck(back, "back slit", "slit_side") if slit else back

    claims: list[Claim] = [
        Girth("girth.chest", "correct bust_girth.", "chest", chest, inch(5)),
        GirthAtLeast("girth.waist", "correct waist_girth, or add {more} to bust_girth.", "waist", body.waist_girth,
                     WAIST_EASE, severity=Severity.ERROR),
        RunInRange("arm.room", "lower it by {off}: correct upper_arm_girth.", refs("front.armhole", "back.armhole"),
                   body.upper_arm_girth, ARM_EASE.mm - 0.5, 5000.0),
    ]  # fmt: skip
    if any(level.name == "hip" for level in front.levels):
        claims.append(GirthAtLeast("girth.hip", "add {more} with flare.", "hip", body.hip_girth, cm(4)))
    known = "as measured" if body.get("head_girth") else "assumed"
    necks = refs("front.neck", "back.neck")
    if slit:
        claims.append(OpenedPasses("entry.neckline", "set slit_long to {enough} or more.", "centre back", necks,
                                   SLIT_END, body.head_girth, HEAD_EASE.mm))  # fmt: skip
        how = (f"once it is faced: sew {on.say(_BESIDE)} beside the line, to a point at its end"
               if neck_finish == "facing" else
               "along its line and bind it first, both sides as one straight edge")  # fmt: skip
        on.note(f"Slit the back {how}. Close it with a button and a loop at the neck: no tie at a child's neck, and a "
                "button sewn on so that no pull takes it off.")  # fmt: skip
    else:
        claims.append(Passes("entry.neckline", 'add {more} round it: neck_deeper, or back_slit = "yes".', "neckline",
                             necks, "head", body.head_girth, known, HEAD_EASE.mm))  # fmt: skip
    on.note("The page's numbers are stitch lines here; where its own held the seams already, it is roomier by them.")
    on.note("Bind the armholes with a bias strip; their allowance is cut away first.")
    pieces: list[Piece] = [front, back]
    seams: list[Seam] = [sew(f"{edge} seam", f"front.{edge}", to=f"back.{edge}") for edge in ("shoulder", "side")]
    if neck_finish == "facing":
        wide = on.usual(inch(1.5)).mm
        pieces += [_faced(piece, wide, slit if piece is back else None) for piece in (front, back)]
        seams += [
            sew("facing seam", "facing_front.shoulder", to="facing_back.shoulder"),
            *(sew(f"{name} facing", f"facing_{name}.neck", to=f"{name}.neck", how="faced")
              for name in ("front", "back")),
        ]  # fmt: skip
    else:
        on.note("Bind the neckline with a bias strip; its allowance is cut away first.")
    return on.draft(
        pieces,
        seams=seams,
        claims=claims,
        widths={"front.side": inlay, "back.side": inlay, "hem": hem_deep, "armhole": inch(0.375),
                "neck": inch(0.375)},
    )  # fmt: skip


def _lack(head: Length, slit: Length, front: Piece, back: Sketch) -> float:
    """What the neckline and both sides of the slit lack for the head, mm."""
    return head.mm - 2 * (front.edge("neck").length() + back.long("neck").mm + slit.mm)


def _faced(half: Piece, wide: float, slit: Length | None) -> Piece:
    """The facing of a neck, its inner edge in one curve; below a slit, which is drawn on it too, it goes on by half its
    width. Round a corner it has one too."""
    name = f"facing_{half.name}"
    if slit is None:
        made = facing(half, ["neck"], name, (wide, wide))
        if "neck_corner" not in half.points:
            return made
        free, corner = made.edge("free_edge"), half.points["neck_corner"]
        rising = free.curves[-1].way(1.0)
        low = Point(corner.x + wide, corner.y - wide)
        side = drawn_curve(low, (0.0, 1.0), free.end, rising, SHARE)
        return replace(made, edges=tuple(replace(e, curves=(Line(free.start, low), side)) if e is free else e
                                         for e in made.edges))  # fmt: skip
    made = facing(half, ["neck"], name, (wide, slit.mm + wide / 2))
    marks = tuple(notch for notch in half.notches if notch.name == SLIT_END)
    return replace(made, internal_lines=half.internal_lines, notches=(*made.notches, *marks))
