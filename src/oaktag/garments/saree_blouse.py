"""A saree blouse (choli): short and close, hooked down the front, with a short sleeve.

     ____ns__st        origin: the level of the side neck point on the centre line; x outwards, y up
    (        |         st: half the shoulder less 2.5 cm; ns: so far in along the shoulder as its seam is long
    nc       (         ua: the armhole line, 1.5 cm below the armpits; the side runs in alike in front and back
    |         \\__ua    front: longer than the back by what the front length has over it; that goes into the side dart
    |  *bp    >/       darts: waist and side towards the bust point, one at the centre front; back waist
    hc__/\\____/hs
Rules, in cm (a page on the women's saree blouse, bust 92, waist 76, shoulder 36): back length + 1.2, its hem 3.5; half
the shoulder − 2.5; back bust ÷ 4 + 1.2, front bust ÷ 4 + 2.5; back waist ÷ 4 + 2.5 for its dart, 12 long; side inlay
2.5. Worked rules 7: its front of bust ÷ 3 + 2.5 cannot meet the back, nor bust ÷ 6 the armpit: front = measured front
length + 1.2, armhole = scye depth + 1.5. Chosen (common practice, no source): the front's waist, whose dart takes 1.3
more than the back's; these are 2.5, and more where the side would run in by more than 4 or the bust lack room; a side
dart of 1.2 at least and one of 1.2 at the centre; points 2.5 from the bust point; neckline, shoulder seam and sleeve; 4
above the waist, and 2.5 of ease there. Of another cut, with a cup (katori), the page gives the back alone: it is not
offered.
"""

from __future__ import annotations

from typing import Final

from ..body.whom import WOMEN
from ..claims.girth import GirthAtLeast, RoundAsMeant, RunInRange
from ..draft.board import Board
from ..draft.construct import armhole
from ..draft.rulers import curve
from ..draft.signature import choice, garment, length
from ..draft.sketch import Sketch
from ..model.claim import Claim
from ..model.draft import Draft
from ..model.finding import Severity
from ..model.length import Length, cm, found, greatest, inch, least, mm
from ..model.piece import Cut, Piece, sew
from ..model.ref import refs
from .blocks.quarter import bust_level
from .parts.collars import bound
from .parts.part import Part, ruled, together
from .parts.sleeves import Says, sleeve
from .sheath.half import length_taken, natural_drop, waist_and_nape

EASE: Final = inch(3)
FULLER_FRONT: Final = cm(0.65)
"""A quarter of the front has so much more of it, and of the back less: 2.5 and 1.2 cm of 7.4."""
LONGER: Final = cm(1.2)
"""Than the length that was measured."""
BACK_DART: Final = cm(2.5)
BACK_DART_LONG: Final = cm(12)
MOST_AT_SIDE: Final = cm(4)
MOST_DART: Final = cm(4)
POINTED: Final = 0.6
"""A dart takes in no more than this part of its length (common practice, no source)."""
BUST_EASE: Final = cm(3)
"""What is left of the ease at the bust line, where the sides have run in so far."""
SMALL_DART: Final = cm(1.2)
FROM_BUST_POINT: Final = cm(2.5)
BELOW_BUST: Final = cm(9)
RIBS: Final = cm(10)
"""So far above the waist the body is as wide as below the bust (common practice, no source)."""
RIBS_SHARE: Final = 0.25
"""What the girth there has of bust over waist: the middle of 300 women of a survey (fixtures/bodies)."""
TRUED: Final = mm(6)
"""What the front edges lose to their truing at the centre darts, both together (common practice, no source)."""
LEAST_SIDE: Final = cm(5)
FRONT_MORE: Final = inch(1)
"""Front over back length where the front was not measured (common practice, no source)."""


@garment("saree blouse for women, short and close, hooked down the front", for_whom=WOMEN, noun="blouse")
def saree_blouse(
    on: Board,
    *,
    ease_bust: Length = length("wearing ease at the armhole line", EASE, least=inch(1.5), most=inch(6), metric=cm(7.4)),
    ease_waist: Length = length("wearing ease at the lower edge", inch(1), most=inch(4)),
    above_waist: Length | None = length("how far it ends above the waist", most=inch(4),
                                        worked_out="{a}, or so that {b} are left below the bust line",
                                        where={"a": inch(1.5), "b": BELOW_BUST}),
    armhole_low: Length = length("armhole line below the armpits", inch(0.625), most=inch(2), metric=cm(1.5)),
    shoulder_seam: Length = length("shoulder seam, from the armhole in", inch(2.5), least=inch(1.5), most=inch(4.5),
                                   group="neckline"),
    neckline: str = choice("neckline", "round", "square", "v", group="neckline"),
    neck_front: Length = length("neckline, deep in front", inch(6), least=inch(2.5), most=inch(9), group="neckline"),
    neck_back: Length = length("neckline, deep in back", inch(5), least=inch(1), most=inch(10), group="neckline"),
    sleeve_kind: str = choice("sleeve", "plain", "puff", "none", group="sleeve"),
    sleeve_long: Length = length("sleeve, from the shoulder down", inch(11), least=inch(8), most=inch(18),
                                 when=("sleeve_kind", "plain", "puff"), group="sleeve"),
    ease_biceps: Length | None = length("wearing ease round the upper arm", least=inch(0.75), most=inch(5),
                                        worked_out="as the cap asks for", when=("sleeve_kind", "plain", "puff"),
                                        group="sleeve"),
    cap_ease: Length = length("sewing ease of the cap", inch(0.75), most=inch(1.5), when=("sleeve_kind", "plain"),
                              group="sleeve"),
    hooks_wide: Length = length("strip for the hooks, and that for the eyes when folded", inch(1), least=inch(0.75),
                                most=inch(1.5), group="finish"),
    inlay: Length = length("cloth left in the side seams, to be let out", inch(1), least=inch(0.5), most=inch(2),
                           group="finish"),
    hem_deep: Length = length("lower edge turned up", inch(1.375), least=inch(0.5), most=inch(2), metric=cm(3.5),
                              group="finish"),
) -> Draft:  # fmt: skip
    """Front, back, sleeve, strips for hooks and eyes, and the binding of the neck."""
    body = on.body
    half_length, nape = waist_and_nape(body)
    side_neck, drop = (body.bust_girth / 12).called("side neck point, across"), natural_drop(on)
    chest = (nape + body.scye_depth + armhole_low).called("armhole line")
    level = greatest(bust_level(on, side_neck), chest + cm(1))
    if above_waist is None:
        above_waist = least(on.usual(inch(1.5)), greatest(half_length + LONGER - level - BELOW_BUST, mm(0)))
    on.work("above_waist", above_waist)
    depth = (half_length + LONGER - above_waist).called("back, to its lower edge")
    level = least(level, depth - cm(3)).called("bust line")
    if depth < chest + LEAST_SIDE:
        on.refuse(f"the lower edge, {on.say(depth)} down, leaves less than {on.say(LEAST_SIDE)} below the armhole "
                  f"line, {on.say(chest)} down", "above_waist or armhole_low to less, or "
                  f"{length_taken(body)} or scye_depth, if one was mistaken")  # fmt: skip
    longer = _longer(on, half_length)
    back_quarter = (body.bust_girth / 4 + ease_bust / 4 - FULLER_FRONT).called("back quarter")
    front_quarter = (body.bust_girth / 4 + ease_bust / 4 + FULLER_FRONT).called("front quarter")
    low = _low_girth(on, above_waist)
    share = (level - chest).over(depth - chest)
    most_at_side = least(MOST_AT_SIDE, (ease_bust - BUST_EASE) / (4 * share)).called("side takes in at most")
    quarter_low = ((low + ease_waist) / 4).called("quarter of the lower edge")
    most_dart = least(MOST_DART, (depth + longer - level - FROM_BUST_POINT) * POINTED)
    if (loose := front_quarter - most_at_side - most_dart) > quarter_low:
        on.note(f"The bust lies low: with a dart of {on.say(most_dart)} the lower edge is "
                f"{on.say((loose - quarter_low) * 4)} wider "
                "than asked for; with above_waist less it comes closer.")  # fmt: skip
        quarter_low = loose.called("quarter of the lower edge")
    surplus = back_quarter - quarter_low
    at_side = least(greatest(surplus - BACK_DART, mm(0)), most_at_side).called("side, in from the armhole line")
    back_dart = (surplus - at_side).called("back dart")
    if back_dart < cm(0.8):
        on.refuse(f"the lower edge, {on.say(quarter_low * 4)} round, is hardly less than the bust with its ease",
                  "ease_bust to more, or ease_waist or above_waist to less")  # fmt: skip
    front_dart = (front_quarter - at_side - quarter_low).called("front waist dart")

    tip = (body.shoulder_width / 2 - cm(2.5)).called("half shoulder")
    across = (body.bust_point_width / 2).called("half bust point width")
    slope = drop.over(body.shoulder_width / 2 - side_neck)
    half_neck = (tip - shoulder_seam).called("half neck")
    if half_neck < side_neck - cm(1):
        on.refuse(f"a shoulder seam {on.say(shoulder_seam)} long reaches into the neck",
                  f"shoulder_seam to {on.say(tip - side_neck + cm(1))} or less")  # fmt: skip
    tip_down = ((tip - side_neck) * slope).called("shoulder tip below the top")
    for name, deep, most in (("neck_front", neck_front, level - cm(1)), ("neck_back", neck_back, depth - cm(5))):
        if deep > most:
            on.refuse(f"{name}, {on.say(deep)} deep, lies too low on a blouse {on.say(depth)} long",
                      f"{name} to {on.say(most)} or less")  # fmt: skip

    def half(name: str, quarter: Length, neck_deep: Length, low_edge: Length, inner: Length, cut: Cut) -> Sketch:
        s = on.sketch(name, cut, worn="body")
        s.at("neck_centre", down=neck_deep)
        s.at("neck_side", right=half_neck, down=((half_neck - side_neck) * slope).called("neck side below the top"))
        s.at("shoulder_tip", right=tip, down=tip_down)
        s.at("mid_armhole", right=inner, down=(tip_down + chest) / 2)
        s.at("underarm", right=quarter, down=chest)
        s.at("low_centre", down=low_edge)
        s.at("low_side", right=quarter - at_side, down=low_edge)
        s.edge("side", "low_side", "underarm")
        s.edge("shoulder", "shoulder_tip", "neck_side")
        p, lean = s.points, at_side.over(low_edge - chest)
        scye = armhole(p["underarm"], p["mid_armhole"], p["shoulder_tip"], p["neck_side"], lean)
        s.trace("armhole", "underarm", scye, "shoulder_tip")
        if neckline == "round":
            s.edge("neck", "neck_side", curve("square", "level"), "neck_centre")
        elif neckline == "v":
            s.edge("neck", "neck_side", curve("square", "free"), "neck_centre")
        else:
            s.at("neck_corner", right=half_neck - cm(1), down=neck_deep)
            s.edge("neck", "neck_side", curve("square", "upright"), "neck_corner", "neck_centre")
        s.hem("lower_edge", "low_centre", curve("level", "square"), "low_side")
        s.level("bust", chest)
        s.level("bust line", level, beyond=5.0)
        return s

    back = half("back", back_quarter, neck_back, depth, tip, Cut("fold"))
    back.fold("centre_back", "neck_centre", "low_centre")
    back_deep = least(BACK_DART_LONG, greatest(depth - level, cm(5)), depth - chest - cm(1))
    back.dart(
        "waist", "lower_edge", at=(quarter_low + back_dart) / 2, of="low_centre", intake=back_dart, deep=back_deep
    )

    front = half("front", front_quarter, neck_front, depth + longer, tip - cm(1), Cut("pair"))
    front.edge("centre_front", "neck_centre", "low_centre")
    front.at("bust_point", right=across, down=level)
    front.at("waist_tip", down=FROM_BUST_POINT, of="bust_point")
    lean = at_side.over(depth + longer - chest)
    side_deep = (front_quarter - (level - chest) * lean - across - FROM_BUST_POINT).called("side dart, deep")
    side_at = greatest(level - chest + side_deep * lean, longer / 2 + cm(2))
    side_at = least(side_at, depth - chest + longer / 2 - cm(2)).called("side dart, down the side")
    inside = greatest(level, neck_front + cm(2)).called("centre dart, down")
    front.at("centre_tip", right=across - FROM_BUST_POINT, down=inside)
    front.dart("waist", "lower_edge", at=across, of="low_centre", intake=front_dart, tip="waist_tip")
    front.dart("side", "side", at=side_at, of="underarm", intake=longer, deep=side_deep, pressed="low_side")
    front.dart("centre", "centre_front", at=inside - neck_front, of="neck_centre", intake=SMALL_DART,
               tip="centre_tip", pressed="low_centre")  # fmt: skip
    for s in (back, front):
        s.fit("lower_edge", to=quarter_low, move="low_side", way="right", change="ease_waist")
    front.fit("side", to=back.long("side"), move="low_side", way="down", change="above_waist")
    fore, aft = on.fitted(*(ruled(s.piece(), "armhole") for s in (front, back)))

    on.note("The page's numbers are stitch lines here; where its own held the seams already, it is roomier by them.")
    on.note(f"Let {on.say(inlay)} stand in the side seams: they are let out or taken in after the first fitting.")
    claims: list[Claim] = [
        GirthAtLeast("girth.bust", "add {more} to ease_bust.", "bust", body.bust_girth, ease_bust - TRUED,
                     severity=Severity.ERROR),
        GirthAtLeast("room.bust", "add {more} to ease_bust.", "bust line", body.bust_girth, cm(1),
                     severity=Severity.ERROR),
        RoundAsMeant("round.edge", "change ease_waist by {off}.", refs("front.lower_edge", "back.lower_edge"),
                     quarter_low * 4),
    ]  # fmt: skip
    if sleeve_kind == "none":
        claims.append(RunInRange("arm.room", "set armhole_low {off} more.", refs("front.armhole", "back.armhole"),
                                 body.upper_arm_girth, cm(4).mm, 5000.0))  # fmt: skip
        on.note("Bind the armholes with a bias strip; their allowance is cut away first.")
    arm = sleeve(on, sleeve_kind, fore, aft, long=sleeve_long, ease_arm=ease_biceps,
                 ease_cap=on.usual(cap_ease), usual_ease=inch(2),
                 says=Says(cap="cap_ease", depth="armhole_low"))  # fmt: skip
    shell = Part(
        (fore, aft),
        tuple(sew(f"{edge} seam", f"front.{edge}", to=f"back.{edge}") for edge in ("shoulder", "side")),
        tuple(claims),
        widths={"front.side": inlay, "back.side": inlay, "front.lower_edge": hem_deep, "back.lower_edge": hem_deep,
                "sleeve.hem": inch(1)},
    )  # fmt: skip
    neck = bound(on, fore, aft, on.usual(inch(0.375)))
    return together(on, [shell, _hooked(on, fore, hooks_wide), neck, arm])


def _longer(on: Board, half_length: Length) -> Length:
    """What the front is longer than the back, and its side dart takes in: as measured, 1.2 cm at least."""
    front = on.body.get("front_waist_length")
    if front is None:
        on.note(f"front_waist_length was not measured; assumed the back's and {on.say(on.usual(FRONT_MORE))}.")
        return on.usual(FRONT_MORE).called("side dart takes in")
    if front - half_length > cm(8):
        on.refuse(f"the front waist length, {on.say(front)}, is longer than the back's, {on.say(half_length)}, by more "
                  "than a side dart takes in", "front_waist_length, if it was mistaken")  # fmt: skip
    return greatest(front - half_length, SMALL_DART).called("side dart takes in")


def _low_girth(on: Board, above: Length) -> Length:
    """The body where the blouse ends: the waist, and so much of the way from there to the ribs as it lies above."""
    body = on.body
    ribs = body.get("underbust_girth")
    if ribs is None:
        ribs = body.waist_girth + (body.bust_girth - body.waist_girth) * RIBS_SHARE
        on.note(f"underbust_girth was not measured; assumed {on.say(ribs)} = waist girth + a quarter of what the bust "
                "has over it.")  # fmt: skip
    share = min(1.0, above.over(RIBS))
    return (body.waist_girth + (ribs - body.waist_girth) * share).called("body at the lower edge")


def _hooked(on: Board, front: Piece, wide: Length) -> Part:
    """The strips of the front edges: of the right turned in for the hooks, of the left folded for the eyes."""
    long = found(front.edge("centre_front").sewn_length(), "front edge, its dart closed").called("front edge")
    strips, seams = [], []
    for name, side, times in (("hook_strip", "right", 1), ("eye_strip", "left", 2)):
        s = on.sketch(name, Cut("whole"))
        s.box(wide * times, long, ("strip_seam", "strip_low", "strip_edge", "strip_high"))
        strips.append(s.piece())
        seams.append(sew(f"{name.replace('_', ' ')} seam", f"{name}.strip_seam", to=f"{side} front.centre_front"))
    apart = on.usual(inch(1.25))
    many = int(long.over(apart)) + 1
    on.note(f"Hooks and eyes: {many}, {on.say(apart)} apart, the first at the neckline, the last at the lower edge; "
            "the right front laps over the left. Where the bust pulls, set them closer.")  # fmt: skip
    on.note("The strip for the eyes is folded lengthwise and stands out below the hooks, so that no skin shows.")
    return Part(tuple(strips), tuple(seams))
