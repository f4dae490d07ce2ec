"""A blouse: a bodice block that goes on to the hip, buttoned in front or behind, with a collar, sleeves, its bust dart
where the style wants it.

Block: one of three methods (garments/blocks), its waist darts double-ended or none. Buttons: parts/button_stand.py, 7.5
cm apart; collar: parts/collars.py, fitted to the neck with the block's bust dart out of its way; sleeve:
parts/sleeves.py, a set-in cap eased into the armhole. Without a collar the neck is bound on the bias. Eases as each
method has them, 1 in more at the bust and hip than in a bodice (common practice, no source).
"""

from __future__ import annotations

from typing import Final

from ..body.whom import WOMEN
from ..claims.girth import Girth, GirthAtLeast
from ..draft.board import Board
from ..draft.signature import choice, flag, garment, length
from ..errors import DraftError, GeometryError
from ..model.claim import Claim
from ..model.draft import Draft
from ..model.finding import Severity
from ..model.length import Length, found, inch, mm
from ..model.piece import sew
from ..values import replace
from .blocks import METHODS, block, bust_ease, bust_round, eased
from .parts.button_stand import BUTTON, FACINGS, METRIC_BUTTON, button_stand, extension
from .parts.collars import COLLARS, TO_CENTRE, bound, collar
from .parts.cuffs import DEEP as CUFF_DEEP
from .parts.cuffs import EASES, ENDS, ended
from .parts.part import Part, ruled, together
from .parts.sleeves import REACH, REACHES, SLEEVES, Says, sleeve
from .parts.style_darts import carried, placed, pulled_back, widened

MORE: Final = 1.0
"""Ease round the bust over that of a bodice, in (common practice, no source)."""
DEEP: Final = {"stand and fall": inch(1.25), "mandarin": inch(1.25), "flat": inch(2.5), "one-piece": inch(3),
               "tie": inch(2)}  # fmt: skip
"""How wide a collar is, or its stand (trade lists; a flat one and a tie common practice, no source)."""
ENDING: Final = tuple(kind for kind in SLEEVES if kind not in ("none", "cap"))
"""Sleeves that end in something; a cap sleeve ends on the armhole."""
PLACES: Final = ("auto", "side", "french", "armhole", "shoulder", "neck")


@garment(
    "blouse for women to the hip, buttoned in front or behind, with collar and sleeves", for_whom=WOMEN, noun="blouse"
)
def blouse(
    on: Board,
    *,
    method: str = choice("how the block is drafted", *METHODS),
    ease_bust: Length | None = bust_ease(MORE, least=inch(2), most=inch(14)),
    ease_waist: Length = length("wearing ease round the waist", inch(4), least=inch(1), most=inch(14)),
    ease_hip: Length = length("wearing ease round the hip", inch(3.5), least=inch(1), most=inch(14)),
    below_waist: Length = length("how far it goes on below the waist", inch(8), least=inch(3), most=inch(14)),
    waist_darts: bool = flag("waist darts"),
    bust_dart: str = choice("where the bust dart opens", *PLACES),
    dart_back: Length = length("point of the bust dart, back from the bust point", inch(0.75), most=inch(2)),
    opens: str = choice("where it is buttoned", "front", "back", group="buttons"),
    button: Length = length("diameter of the buttons", BUTTON, least=inch(0.375), most=inch(1), metric=METRIC_BUTTON,
                            group="buttons"),
    buttons: str = choice("how many", "auto", *map(str, range(4, 13)), group="buttons"),
    upright_holes: bool = flag("buttonholes upright, on the centre line", group="buttons"),
    front_facing: str = choice("facing of the button stand", *FACINGS, group="buttons"),
    facing_wide: Length = length("its width", inch(2.25), least=inch(1.25), most=inch(4), group="buttons"),
    collar_kind: str = choice("collar", "flat", *(kind for kind in COLLARS if kind != "flat"), group="collar"),
    collar_wide: Length | None = length(
        "stand; of another collar its whole depth", least=inch(0.75), most=inch(6), worked_out="{a}; {b} flat, {c} in "
        "one piece, {d} tied", where={"a": DEEP["mandarin"], "b": DEEP["flat"], "c": DEEP["one-piece"],
                                      "d": DEEP["tie"]}, group="collar"),
    collar_shape: str = choice("ends of a flat collar", "round", "pointed", when=("collar_kind", "flat"),
                               group="collar"),
    shoulder_lap: Length = length("shoulders lapped for a flat collar, at the armhole end", inch(0.5), most=inch(3),
                                  when=("collar_kind", "flat"), group="collar"),
    point_long: Length = length("collar point", inch(3), least=inch(1.5), most=inch(6), group="collar"),
    sleeve_kind: str = choice("sleeve", *SLEEVES, group="sleeve"),
    reach: str = choice("how far the sleeve reaches", *REACHES, group="sleeve"),
    ease_biceps: Length | None = length("wearing ease round the upper arm", least=inch(0.75), most=inch(9),
                                        worked_out="as the cap asks for", group="sleeve"),
    cuff: str = choice("what it ends in", *ENDS, when=("sleeve_kind", *ENDING), group="sleeve"),
    cuff_wide: Length | None = length("cuff or band, or the elastic's width", least=inch(0.25), most=inch(4),
                                      worked_out="{cuff}; {band} a band, {elastic} elastic", where=CUFF_DEEP,
                                      when=("cuff", *ENDS[1:]), group="sleeve"),
    ease_wrist: Length | None = length("cuff over the wrist, with its lap; band over the arm", least=inch(0.5),
                                       most=inch(5), worked_out="{cuff}; {band} of a band", where=EASES,
                                       when=("cuff", *ENDS[1:4]), group="sleeve"),
) -> Draft:  # fmt: skip
    """Front, back, sleeve, collar, and a facing where it is cut apart."""
    body = on.body
    asked = eased(on, method, ease_bust, MORE)
    front, back = block(on, method, ease_bust=asked, ease_waist=ease_waist, below=below_waist, ease_hip=ease_hip,
                        waist_darts=waist_darts, front_darts="one")  # fmt: skip
    have = bust_round(front, back)
    if have < body.bust_girth + inch(1):
        on.refuse(f"the block is {on.say(have)} round at the bust, and the body {on.say(body.bust_girth)}",
                  "ease_bust to more")  # fmt: skip
    wide = collar_wide or on.usual(DEEP.get(collar_kind, inch(1)))
    on.work("collar_wide", wide)
    over = collar_kind not in (*TO_CENTRE, "none")
    halves, opened = {"front": front, "back": back}, f"{opens}.stand_neck"
    try:
        has = any(dart.name == "bust" for dart in front.darts)
        plain = placed(front, "side") if has else front
        necks = ("back.neck", "front.neck") if opens == "front" else ("front.neck", "back.neck")
        neck = collar(
            on, collar_kind, plain, back, wide=wide, point=point_long, shape=collar_shape, lap=shoulder_lap,
            beyond=extension(button) if over else None, opens=opens, to=(*necks, *((opened,) if over else ())),
        )  # fmt: skip
        if has:
            styled = front if bust_dart == "auto" else placed(plain, bust_dart)
            halves["front"] = pulled_back(styled, "bust", dart_back.mm)
        halves[opens], stand = button_stand(
            on, halves[opens], button=button, level="bust", usual=on.usual(inch(3)),
            facing=front_facing, facing_wide=facing_wide, upright=upright_holes, on_stand=wide if over else None,
            laps="right over left",
        )  # fmt: skip
    except GeometryError as error:
        raise DraftError(f"{error}. Change bust_dart, front_facing or facing_wide.") from error
    front, back = (ruled(halves[name], "armhole") for name in ("front", "back"))
    if collar_kind == "none":
        neck = bound(on, front, back, on.usual(inch(0.375)), beyond="stand_neck", opens=opens)
    end = cuff if sleeve_kind in ENDING else "hem"
    cuff_wide = cuff_wide or on.usual(CUFF_DEEP.get(end, CUFF_DEEP["cuff"]))
    ease_wrist = ease_wrist or on.usual(EASES.get(end, EASES["cuff"]))
    on.work("cuff_wide", cuff_wide)
    on.work("ease_wrist", ease_wrist)
    arm = sleeve(on, sleeve_kind, front, back, reach=reach, ease_arm=ease_biceps,
                 cuff=cuff_wide if end in ENDS[1:4] else None,
                 says=Says(cap="bust_dart", depth="ease_bust", long="reach", wrist="reach"))  # fmt: skip
    arm = ended(on, arm, end, share=REACH[reach], wide=cuff_wide, ease=ease_wrist, button=button)
    shell = Part(
        (front, back),
        tuple(sew(f"{name} seam", f"front.{name}", to=f"back.{name}") for name in ("shoulder", "side")),
        _claims(on, have, ease_waist, ease_hip, below_waist, loose=widened(front, back),
                shaped=any(dart.name == "waist" for dart in (*front.darts, *back.darts))),
        widths={"hem": inch(1), "front_edge": inch(0.375)},
    )  # fmt: skip
    draft = together(on, [shell, stand, neck, arm])
    return replace(draft, advice={**draft.advice, **carried(on, bust_dart)})


def _claims(
    on: Board, have: Length, ease_waist: Length, ease_hip: Length, below: Length, *, shaped: bool, loose: bool
) -> tuple[Claim, ...]:
    """Bust, waist and hip all round."""
    body = on.body
    ease = found((have - body.bust_girth).mm, "what is left of the ease at the bust")
    bust: Claim = Girth("girth.bust", "Change ease_bust.", "bust", body.bust_girth, ease)
    if loose:
        bust = GirthAtLeast("girth.bust", "add {more} to ease_bust.", "bust", body.bust_girth, ease,
                            severity=Severity.ERROR)  # fmt: skip
    claims: list[Claim] = [bust]
    claims.append(
        Girth("girth.waist", "Change ease_waist.", "waist", body.waist_girth, ease_waist)
        if shaped
        else GirthAtLeast("girth.waist", "add {more} to ease_bust.", "waist", body.waist_girth, mm(0))
    )
    if below >= body.waist_to_hip:
        claims.append(Girth("girth.hip", "Change ease_hip.", "hip", body.hip_girth, ease_hip))
    return tuple(claims)
