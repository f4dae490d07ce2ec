"""A kimono gown: sleeves cut on with front and back, a square gusset at each underarm, over the head.

     ns___________se    origin: the level of the side neck point on the centre line; x outwards, y up
    (    over arm  |    the top line is level, so front and back may be cut as one with it laid on the fold
    nc    \\________|sl  the slash runs up and inwards from the underarm (ua); half of the gusset is sewn into it
    |     ua           the side runs out from there to the hem, which is square to it
    |______\\hs
Rules (Clothing for Women, 1916, kimono night-gown, and garment rules 5): underarm below the top = armhole ÷ 2 + 2 in;
width there = bust ÷ 4 + 2 in; neck 5 to 6 in from the centre, 4 to 5 deep in front and 3 to 4 in back; gusset a square
of 4 in, set in a slash as long, 10 cm or more (derived). Ease 16 to 20 cm round the arm (worked rules 7). An armhole
that was not measured is worked from the bust: a straight line through the chart `women`. Lengths of gown and sleeve,
the flare and the sleeve's hem: common practice, no source. The top stays level: taken down at the arm, it stops its
lifting.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import sqrt
from typing import Final

from ..body.whom import WOMEN
from ..claims.girth import GirthAtLeast, RunInRange
from ..claims.openings import Passes
from ..claims.stride import Stride
from ..draft.board import Board
from ..draft.facings import facing
from ..draft.rulers import curve
from ..draft.signature import choice, garment, length
from ..draft.sketch import Sketch
from ..model.claim import Claim, told
from ..model.draft import Draft
from ..model.finding import Finding, Severity
from ..model.length import Length, cm, found, greatest, inch, mm
from ..model.pattern import Pattern
from ..model.piece import Cut, Seam, sew
from ..model.ref import refs
from ..model.sewing import derived_joins
from ..units import show
from ..values import dataclass
from .parts.overhead import HEAD, walk_below

EASE: Final = inch(8)
"""Round the bust: 2 in a quarter (1916)."""
ARM_EASE: Final = cm(16)
"""The least round the arm at the underarm (worked rules 7)."""
UNDERARM: Final = inch(3)
"""The underarm seam of a sleeve whose length was not told, at least (common practice, no source)."""
AT_GUSSET: Final = {"side", "underarm_seam"}
"""They meet at the gusset, and not each other."""


@dataclass(frozen=True, slots=True)
class UnderarmDeep(Claim):
    """The underarm lies half the armhole and 2 in below the top, or lower, and the gusset is 10 cm square, or more.

    `change` has `{more}` for what the depth lacks; `gusset_by` for the gusset. Measured on front and back as finished.
    """

    armhole: Length
    gusset_by: str

    def check(self, pattern: Pattern) -> Iterator[Finding]:
        unit, wanted = pattern.unit, self.armhole.mm / 2 + inch(2).mm
        pieces = {piece.name: piece for piece in (marked.cut.piece for marked in pattern.pieces)}
        deep = min(pieces[half].edge("over_arm").end.y - pieces[half].edge("side").end.y for half in ("front", "back"))
        say = f"the underarm lies {show(deep, unit)} below the top, the armhole is {show(self.armhole.mm, unit)} round."
        do = f"The arm is not free: {told(self.change, unit, more=wanted - deep)}"
        yield self.finding(deep >= wanted - 1.0, round(deep, 1), round(wanted, 1), say, do, Severity.WARNING)
        side = min(edge.length() for edge in pieces["gusset"].edges)
        say = f"the gusset's side is {show(side, unit)} long."
        do = f"{show(100.0, unit)} is wanted: {told(self.gusset_by, unit, more=100.0 - side)}"
        yield self.finding(side >= 99.9, round(side, 1), 100.0, say, do, part="gusset")


@garment("kimono gown for women with gussets at the underarms, pulled over the head", for_whom=WOMEN, noun="gown")
def kimono_gown(
    on: Board,
    *,
    long: Length = length("side neck point to hem", inch(48), least=inch(32), most=inch(60)),
    flare: Length = length("each side seam further out at the hem", inch(6), least=inch(1), most=inch(16)),
    underarm_deep: Length | None = length("underarm below the top of shoulder and sleeve", least=inch(7), most=inch(18),
                                          worked_out="armhole ÷ 2 + {a}, as deep as the arm asks for",
                                          where={"a": inch(2)}),
    gusset: Length = length("side of the gusset, as long as its slash", inch(4), least=cm(10), most=inch(6)),
    sleeve_long: Length | None = length("sleeve, from the shoulder point to its hem", least=inch(4), most=inch(28),
                                        worked_out="{a}, or {b} beyond the side if that is more",
                                        where={"a": inch(10), "b": UNDERARM}),
    sleeve_hem: Length | None = length("sleeve at its hem, laid flat", least=inch(4), most=inch(18),
                                       worked_out="{a} less than the underarm is deep", where={"a": inch(1)}),
    neck_half: Length = length("neckline from the centre, at the shoulder", inch(5), least=inch(3), most=inch(7)),
    neck_front: Length = length("neckline, deep in front", inch(4), least=inch(2), most=inch(9)),
    neck_back: Length = length("neckline, deep in back", inch(3), least=inch(0.75), most=inch(7)),
    neck_finish: str = choice("how the neckline is finished", "facing", "binding"),
) -> Draft:  # fmt: skip
    """Front, back, gusset and the facings of the neck."""
    body = on.body
    wide = (body.bust_girth / 4 + on.usual(EASE / 4)).called("quarter bust and ease")
    armhole = (body.get("armscye_girth") or body.bust_girth * 0.275 + cm(12.2)).called("armhole")
    for_arm = ((body.upper_arm_girth + ARM_EASE) / 2).called("half the arm and its ease")
    deep = (underarm_deep or greatest(armhole / 2 + inch(2), for_arm)).called("underarm line")
    tip = (body.neck_base_girth / 6 + body.shoulder_length).called("shoulder point from the centre")
    far = greatest(on.usual(inch(10)), wide + on.usual(UNDERARM) - tip)
    reach = (tip + (sleeve_long or far)).called("sleeve hem from the centre")
    if reach < wide + cm(4):
        on.refuse(f"the sleeve ends {on.say(reach)} from the centre and the side lies {on.say(wide)} from it",
                  f"sleeve_long to {on.say(wide + cm(4) - tip)} or more")  # fmt: skip
    end = (sleeve_hem or deep - on.usual(inch(1))).called("sleeve hem, flat")
    if end > deep:
        on.refuse(f"the sleeve is {on.say(end)} wide at its hem and the underarm {on.say(deep)} deep",
                  "sleeve_hem to less, or underarm_deep to more")  # fmt: skip
    if neck_half > tip - inch(1):
        on.refuse(f"a neckline {on.say(neck_half)} from the centre slides off a shoulder that ends {on.say(tip)} from "
                  "it", f"neck_half to {on.say(tip - inch(1))} or less")  # fmt: skip
    aslant = gusset / sqrt(2)
    if aslant > deep - cm(8):
        on.refuse(f"the slash, {on.say(gusset)} long, leaves too little of an underarm {on.say(deep)} deep",
                  "gusset to less, or underarm_deep to more")  # fmt: skip
    hip = (body.waist_line + body.waist_to_hip).called("hip line")

    def half(name: str, neck_deep: Length) -> Sketch:
        s = on.sketch(name, Cut("fold"), worn="body")
        s.at("neck_centre", down=neck_deep)
        s.at("neck_side", right=neck_half)
        s.at("sleeve_end", right=reach)
        s.at("sleeve_low", right=reach, down=end)
        s.at("underarm", right=wide, down=deep)
        s.at("slash_tip", left=aslant, up=aslant, of="underarm")
        s.at("hem_centre", down=long)
        s.at("hem_side", right=flare, of="underarm", far=long - deep)
        s.fold(f"centre_{name}", "neck_centre", "hem_centre")
        s.hem("hem", "hem_centre", curve("level", "square"), "hem_side")
        s.edge("side", "hem_side", "underarm")
        s.edge("underarm_seam", "underarm", "sleeve_low")
        s.hem("sleeve_hem", "sleeve_low", curve("square", "upright"), "sleeve_end")
        s.edge("over_arm", "sleeve_end", "neck_side")
        s.edge("neck", "neck_side", curve("square", "level"), "neck_centre")
        s.line("gusset slash", "underarm", "slash_tip")
        s.level("bust", deep + cm(2))
        if hip < long - cm(4):
            s.level("hip", hip)
        s.level("hem", found(-s.points["hem_side"].y, "hem line at the side").called("hem line at the side"))
        return s

    halves = tuple(half(name, down).piece() for name, down in (("front", neck_front), ("back", neck_back)))
    rise = long + mm(halves[0].points["hem_side"].y)
    halves = on.fitted(*halves)
    square = on.sketch("gusset", Cut("pair", 2))
    square.box(gusset, gusset, ("front_arm", "front_body", "back_body", "back_arm"))
    pieces = [*halves, square.piece()]
    seams: list[Seam] = [
        sew("over-arm seam", "front.over_arm", to="back.over_arm"),
        *(sew(f"{name} gusset seam", f"gusset.{name}_arm", f"gusset.{name}_body", to=f"{name}.gusset slash both lips")
          for name in ("front", "back")),
        sew("side seam", "front.side", to="back.side"),
        sew("underarm seam", "front.underarm_seam", to="back.underarm_seam"),
    ]  # fmt: skip
    if neck_finish == "facing":
        pieces += [facing(piece, ["neck"], f"facing_{piece.name}", on.usual(inch(2)).mm) for piece in halves]
        seams += [
            sew("facing seam", "facing_front.over_arm", to="facing_back.over_arm"),
            *(sew(f"{name} facing", f"facing_{name}.neck", to=f"{name}.neck", how="faced")
              for name in ("front", "back")),
        ]  # fmt: skip
    else:
        on.note("Bind the neckline with a bias strip; its allowance is cut away first.")
    slits = on.usual(inch(0.25))
    on.note("The top of shoulder and sleeve is a straight line: where the cloth is wide and long enough, lay it on a "
            "fold and cut front and back as one, without that seam.")  # fmt: skip
    on.note(f"Stay each slash before it is cut: sew a scrap of cloth over its tip. Sew its lips to the gusset with "
            f"{on.say(slits)} at the underarm, and with nothing at the tip.")  # fmt: skip
    head = body.get("head_girth") or HEAD
    known = "as measured" if body.get("head_girth") else "assumed"
    walk = walk_below(on, long, rise.mm)
    claims: list[Claim] = [
        GirthAtLeast("girth.bust", "correct bust_girth, by {more}.", "bust", body.bust_girth, on.usual(EASE),
                     severity=Severity.ERROR),
        UnderarmDeep("underarm.deep", "make underarm_deep {more} more.", armhole, "make gusset {more} more."),
        RunInRange("arm.room", "widen it by {off}: set sleeve_hem.", refs("front.sleeve_hem", "back.sleeve_hem"),
                   body.upper_arm_girth, cm(4).mm, 5000.0),
        Passes("entry.head", "add {more} round it with neck_half or neck_front.", "neckline",
               refs("front.neck", "back.neck"), "head", head, known, 10.0),
        Stride("walk", "Make flare more ({more} is lacking all round), or {shortest}.", walk,
               "leave the side seams open, {length} from the hem up", "make flare more", ""),
    ]  # fmt: skip
    if hip < long - cm(4):
        claims.append(GirthAtLeast("girth.hip", "add {more} with flare.", "hip", body.hip_girth, cm(4)))
    return on.draft(
        pieces,
        seams=seams,
        joins=[join for join in derived_joins(pieces, seams) if {join.first.run, join.first.across} != AT_GUSSET],
        claims=claims,
        widths={"hem": inch(1.5), "sleeve_hem": inch(1), "neck": inch(0.375),
                **{f"gusset.{edge}": slits for edge in ("front_arm", "front_body", "back_body", "back_arm")}},
    )  # fmt: skip
