"""Trousers and shorts for children, pulled on: elastic in a turned casing, a deep hem to grow or a turn-up.

     wc───────ws        origin: the edge of the casing on the crease, half way between fork and side; x towards the side
     │         │        the waist line lies below it by as much as the elastic is wide; the back rises to its centre
     st        │        hip: three quarters of the way from the waist to the crotch line
    fork──────ts        the side runs straight down to it; the front curve leaves the inseam at 96°, the back one at 84°
      kn     kn         knee: trousers alone
       hm───hm          front hem 1 cm narrower than the back one, and half of it to either side of the crease
Rules: waist as wide as the hip and its ease, casing twice the elastic and 2 cm above the waist line (a drafting page on
pyjamas); crotch line = the child's sitting rise + 1.5 cm; elastic cut as long as the waist and lapped 1 in (two
sewing pages). Fork hip ÷ 16 + 0.5 cm, the back half as much again (a textbook's block); curves by worked rules for
trousers. Ease 7.5 cm at the hip, 11 with a nappy (10 to 12, to 3 years); the back higher by an eighth of the rise, its
centre in by as much; hem half the hip and so that the foot passes, 1.55 times the ankle; leg of shorts to 0.6 of
the way to the knee, their hem 0.94 of the leg at the crotch; patches 0.55 of the quarter wide (common practice, no
source). Growth: parts/growth.py.
"""

from __future__ import annotations

from ..body.whom import CHILDREN
from ..claims.girth import EaseInRange, GirthAtLeast, LengthTo, RunInRange
from ..claims.openings import Passes
from ..draft.board import Board
from ..draft.rulers import STRAIGHT, Bevel, Ruler, curve
from ..draft.signature import choice, flag, garment, length
from ..draft.sketch import Sketch
from ..draft.strips import casing
from ..model.claim import Claim
from ..model.draft import Draft
from ..model.length import Length, cm, greatest, inch, mm
from ..model.piece import Cut, LineKind, Piece, sew
from ..model.ref import refs
from ..values import replace
from .parts.growth import LEG, LEG_HEM, tell_growth
from .parts.part import Part, together
from .parts.pockets import IN_SEAM, in_seam_pockets, patch_pocket
from .parts.stride import FOOT

ON_BACK, BOTH = "patches on the back", "both"


@garment("pull-on trousers or shorts for children", for_whom=CHILDREN, noun="pair of trousers")
def childs_trousers(
    on: Board,
    *,
    leg_kind: str = choice("trousers or shorts", "trousers", "shorts"),
    ease_hip: Length | None = length("wearing ease round the hip", least=inch(2), most=inch(10),
                                     worked_out="{usual}, {nappy} over a nappy",
                                     where={"usual": inch(3), "nappy": inch(4.25)}, group="fit"),
    nappy: bool = flag("worn over a nappy", group="fit"),
    crotch_low: Length = length("crotch line below the seat", inch(0.625), most=inch(2.5), metric=cm(1.5), group="fit"),
    back_high: Length | None = length("back waist above the front", most=inch(3),
                                      worked_out="an eighth of the sitting rise", group="fit"),
    long: Length | None = length("waist to hem", least=inch(7), most=inch(44), group="leg",
                                 worked_out="{gap} above the floor; of shorts 0.6 of the way from crotch to knee",
                                 where={"gap": inch(1)}),
    hem_wide: Length | None = length("hem round the leg", least=inch(7), most=inch(30), group="leg",
                                     worked_out="half the hip girth, and wide enough for the foot; of shorts 0.94 of "
                                     "the leg at the crotch"),
    hem_deep: Length = length("hem turned in, to be let down as the child grows", LEG_HEM, least=inch(0.5),
                              most=inch(4), group="leg"),
    turn_up: Length = length("turn-up, in place of a deep hem", mm(0), most=inch(3), group="leg"),
    elastic_wide: Length = length("elastic at the waist", inch(1), least=inch(0.5), most=inch(2), group="waist"),
    pocket_kind: str = choice("pockets", IN_SEAM, ON_BACK, BOTH, "none"),
) -> Draft:  # fmt: skip
    """Front and back; pocket bags and patches; elastic by a note."""
    body, shorts = on.body, leg_kind == "shorts"
    if body.get("body_rise") is None:
        on.note("Measure body_rise, sitting: what is estimated comes out 2 to 3 cm less than textbooks have "
                "(from memory), and the crotch hangs on it.")  # fmt: skip
    rise = body.body_rise
    if not nappy and (body.get("stature") or cm(98)) < cm(98):
        on.note('Of this height children may wear a nappy: write nappy = "yes" for more room.')
    ease = ease_hip or on.usual(inch(4.25 if nappy else 3))
    on.work("ease_hip", ease)
    top = elastic_wide.called("casing above the waist")
    crotch = (top + rise + crotch_low).called("crotch line")
    hip_line = (top + (rise + crotch_low) * 0.75).called("hip line")
    quarter = ((body.hip_girth + ease) / 4).called("quarter hip")
    fork = (body.hip_girth / 16 + cm(0.5)).called("front fork")
    forks = {"front": fork, "back": (fork * 1.5).called("back fork")}
    floor = body.get("waist_to_floor") or body.waist_height
    knee_line = (top + floor - body.knee_height).called("knee line")
    if shorts:
        hem_line = (top + long if long else crotch + (knee_line - crotch) * 0.6).called("hem line")
    else:
        hem_line = (top + (long or floor - on.usual(inch(1)))).called("hem line")
    low, high = (crotch + turn_up + cm(4), knee_line) if shorts else (knee_line + cm(5), hem_line)
    if not low <= hem_line <= high:
        on.refuse(f"{leg_kind} that end {on.say(hem_line - top)} below the waist do not go: the crotch line is "
                  f"{on.say(crotch - top)} below it, the knee {on.say(knee_line - top)}",
                  f"long, to {on.say(low - top)} or more" if hem_line < low else 'leg_kind to "trousers"')  # fmt: skip
    leg_round = total_round(quarter, forks)
    foot = (body.ankle_girth * FOOT).called("foot")
    least_round = greatest(body.hip_girth / 2, foot + cm(2), *((body.knee_girth + cm(5),) if turn_up.mm else ()))
    hem_round = hem_wide or (leg_round * 0.94 if shorts else least_round)
    on.work("hem_wide", hem_round)
    high_back = (back_high or rise / 8).called("back waist above the front")

    def half(name: str) -> Sketch:
        back = name == "back"
        s = on.sketch(name, Cut("pair", 2), worn="leg")
        wide = ((quarter + forks[name]) / 2).called("half the leg at the crotch")
        hem = (hem_round / 4 + cm(0.5) if back else hem_round / 4 - cm(0.5)).called("half the hem")
        centre = (wide - forks[name]).called("crease from the centre")
        s.at("fork", left=wide, down=crotch)
        s.at("thigh_side", right=wide, down=crotch)
        s.at("waist_side", right=wide)
        s.at("seat", left=centre, down=top + (crotch - top) / 2 if back else hip_line)
        if back:
            s.at("waist_centre", left=centre - high_back, up=high_back)
        else:
            s.at("waist_centre", left=centre)
        s.at("hem_in", left=hem, down=hem_line)
        s.at("hem_out", right=hem, down=hem_line)
        runs: tuple[list[str | Ruler], list[str | Ruler]] = ([], [curve("free", "upright")])
        if not shorts or turn_up.mm:  # a leg that is turned up runs straight down where it is
            knee = hem if turn_up.mm else (hem + (wide - hem) * 0.4).called("half the knee")
            down = hem_line - turn_up - cm(0.5) if shorts else knee_line
            s.at("knee_in", left=knee, down=down)
            s.at("knee_out", right=knee, down=down)
            runs = [curve("free", "smooth"), "knee_in"], ["knee_out", curve("smooth", "upright")]
        s.edge("inseam", "fork", *runs[0], "hem_in")
        s.edge("side", "hem_out", *runs[1], "thigh_side", "waist_side")
        s.hem("hem", "hem_in", STRAIGHT if turn_up.mm else curve("square", "square"), "hem_out")
        s.edge("crotch", "waist_centre", "seat", curve("smooth", Bevel(84 if back else 96), share=0.8 if back else 0.6),
               "fork")  # fmt: skip
        s.at("waist_turn", left=centre / 4 - wide * 0.75, up=high_back * 0.15 if back else None)
        s.hem("waist", "waist_side", curve("square", "smooth") if back else STRAIGHT, "waist_turn", "waist_centre")
        s.at("crease_top", down=hip_line)
        s.at("crease_hem", down=hem_line)
        s.line("crease", "crease_top", "crease_hem", kind=LineKind.FOLD)
        for level, down in (("casing", mm(0)), ("waist", top), ("hip", hip_line), ("crotch", crotch),
                            ("thigh", crotch + cm(2)), ("knee", knee_line), ("hem", hem_line)):  # fmt: skip
            if not (shorts and level == "knee"):
                s.level(level, down, beyond=0.0 if level in ("casing", "knee", "hem") else 10.0)
        if not shorts:
            s.notch("side", "knee", "knee_out", count=2 if back else 1)
            s.notch("inseam", "knee", "knee_in", count=2 if back else 1)
        return s

    front, back = half("front"), half("back")
    back.fit("inseam", to=front.long("inseam"), move="fork", way="down", change="hem_wide or ease_hip")
    back.fit("side", to=front.long("side"), move="waist_side", way="up", change="hem_wide or ease_hip")
    pieces, parts = on.fitted(front.piece(), back.piece()), [Part()]
    if turn_up.mm:
        pieces = (_turned_up(pieces[0], turn_up), _turned_up(pieces[1], turn_up))
        on.note(f"Turn the legs up {on.say(turn_up)} at the line, to the right side; catch the turn-up at the seams.")
    if pocket_kind in (IN_SEAM, BOTH):
        *both, more = in_seam_pockets(on, *pieces, top=top + on.usual(inch(1.5)), wide=on.usual(inch(4.5)),
                                      deep=quarter * 0.6)  # fmt: skip
        pieces, parts = (both[0], both[1]), [more]
    if pocket_kind in (ON_BACK, BOTH):
        wide = (quarter * 0.55).called("pocket")
        middle = (pieces[1].points["waist_side"].x + pieces[1].points["waist_centre"].x) / 2
        sewn_on, more = patch_pocket(on, pieces[1], right=mm(middle) - wide / 2, down=top + on.usual(inch(2)),
                                     wide=wide, high=wide + on.usual(inch(0.5)))  # fmt: skip
        pieces, parts = (pieces[0], sewn_on), [*parts, more]
    hem = "turn_up" if turn_up.mm else "hem"
    inside = on.usual(inch(0.75)) if turn_up.mm else hem_deep
    tell_growth(on, "legs", turn_up + inside if turn_up.mm else hem_deep, LEG)
    on.note(f"Cut the elastic as long as the waist, {on.say(body.waist_girth)}, and lap its ends {on.say(inch(1))}: "
            f"sewn it is {on.say(body.waist_girth - inch(1))} round.")  # fmt: skip
    claims: list[Claim] = [
        GirthAtLeast("girth.hip", "add {more} to ease_hip.", "hip", body.hip_girth, ease, "leg"),
        LengthTo("length.crotch depth", "", "front", "waist_side", "crotch", top + rise + crotch_low),
        EaseInRange("ease.crotch", "crotch_low", "crotch", crotch_low, 10.0, 50.0 if nappy else 35.0,
                    "a child's pair of trousers"),
        Passes("entry.hip", "make ease_hip {more} more, or back_high less.", "waist", refs("front.waist", "back.waist"),
               "hip", body.hip_girth, "as measured", inch(1).mm),
        GirthAtLeast("girth.thigh", "add twice {more} to ease_hip.", "thigh", body.thigh_girth, cm(4), "leg", 2),
        RunInRange("run.hem", "make hem_wide {off} more.", refs(f"front.{hem}", f"back.{hem}"), foot, 0.0, 5000.0),
    ]  # fmt: skip
    if not shorts:
        claims.append(GirthAtLeast("girth.knee", "add {more} to hem_wide.", "knee", body.knee_girth, cm(4), "leg", 2))
    crotch_long = body.get("total_crotch_length")
    if crotch_long is not None:
        claims.append(RunInRange("run.crotch", "change crotch_low by half of {off}, or back_high.",
                                 refs("front.crotch", "back.crotch"), crotch_long, -20.0, 80.0))  # fmt: skip
    legs = Part(pieces, claims=tuple(claims), widths={"waist": elastic_wide + on.usual(inch(0.75)), hem: inside})
    return together(on, [*parts, legs], seams=[
        sew("side seam", "front.side", to="back.side"),
        sew("inseam", "front.inseam", to="back.inseam"),
        sew("front crotch seam", "front.crotch", to="front.crotch"),
        sew("back crotch seam", "back.crotch", to="back.crotch"),
    ])  # fmt: skip


def total_round(quarter: Length, forks: dict[str, Length]) -> Length:
    """Both halves of a leg at the crotch line."""
    return (quarter * 2 + forks["front"] + forks["back"]).called("leg at the crotch")


def _turned_up(piece: Piece, deep: Length) -> Piece:
    """The leg going on below its hem as it lies above it, to be folded to the outside there."""
    longer = casing(piece, "hem", deep.mm)
    name = {"casing fold": "turn-up fold"}
    return replace(
        longer,
        edges=tuple(replace(each, name="turn_up") if each.name == "hem_casing" else each for each in longer.edges),
        notches=tuple(replace(each, name=name.get(each.name, each.name)) for each in longer.notches),
        internal_lines=tuple(replace(each, name=name.get(each.name, each.name)) for each in longer.internal_lines),
    )
