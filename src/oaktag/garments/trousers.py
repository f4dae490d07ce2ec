"""Trousers for women and men: two drafts, five shapes of leg, with a fly, a side zip or an elastic waist.

The halves, their rules and whose these are: parts/trouser_block.py. Where the total crotch length was taken, the back
fork goes out and the crotch line down until the crotch seam is as long as the body (culottes 5 cm longer), within what
worked rules proved, and no further out than a saddle of 0.20 of the hip. Pockets: parts/pockets.py; the fly:
parts/fly.py. Women lap right over left, men left over right (a state's extension service, 1973). The waist 1 cm up at
the side, so that it runs on over the side seam; turn-ups (common practice, no source).
"""

from __future__ import annotations

from math import inf

from ..body.whom import GROWN
from ..claims.girth import GirthAtLeast, RunInRange
from ..claims.openings import Passes
from ..draft.board import Board
from ..draft.signature import choice, garment, length
from ..draft.sketch import Sketch
from ..model.claim import Claim
from ..model.draft import Draft
from ..model.length import Length, cm, found, greatest, inch, least, mm, total
from ..model.piece import NotchPlace, Piece, sew
from ..model.ref import refs
from ..values import replace
from .parts.fly import fly, fly_cut, fly_opening
from .parts.part import Part, together, with_more
from .parts.pockets import IN_SEAM, patch_pocket, pocketed, welt_pocket
from .parts.trouser_block import (
    BLOCK,
    CULOTTES,
    EASY,
    SHORTS,
    STRAIGHT_LEG,
    TAPERED,
    WIDE,
    Leg,
    Numbers,
    half,
    numbers,
    usual_long,
)
from .parts.trouser_claims import MOST_SADDLE, Saddle, UnderTheFork
from .parts.waist import band, beyond, waist_asked, waist_finished

_SHAPE, _WAIST, _POCKETS = "shape", "waist", "pockets"


@garment(
    "trousers for women and men in two drafts: straight, tapered, wide, shorts, culottes; fly, side zip or elastic",
    for_whom=GROWN,
    noun="pair of trousers",
)
def trousers(
    on: Board,
    *,
    draft: str = choice("draft: the trouser block, or an easier one", BLOCK, EASY, group=_SHAPE),
    leg_shape: str = choice("shape of the leg", STRAIGHT_LEG, TAPERED, WIDE, SHORTS, CULOTTES, group=_SHAPE),
    ease_hip: Length = length("wearing ease round the hip; an elastic waist has 2 in more", inch(1.5), least=inch(0.5),
                              most=inch(12), group=_SHAPE),
    long: Length | None = length(
        "waist to hem", least=inch(10), most=inch(52), group=_SHAPE,
        worked_out="{gap} above the floor; shorts {short} below the rise, culottes {calf} below the middle of the leg",
        where={"gap": inch(1), "short": inch(5), "calf": inch(4)}),
    hem_wide: Length | None = length(
        "hem round the leg", least=inch(8), most=inch(60), group=_SHAPE,
        worked_out="0.47 of the hip girth straight, 0.4 tapered, 0.62 wide, 0.66 of shorts; the foot passes"),
    turn_up: Length = length("turn-up, finished; 0 for none", mm(0), most=inch(3), group=_SHAPE),
    crotch_low: Length | None = length("crotch line below the seat", most=inch(4), group=_SHAPE,
                                       worked_out="{a} to {b}, of culottes to {c}: the crotch seam as long as "
                                       "total_crotch_length",
                                       where={"a": inch(0.625), "b": inch(1.25), "c": inch(2)}),
    fork_out: Length | None = length("back fork further out", most=inch(2), group=_SHAPE,
                                     worked_out="{a} to {b}, by the easy draft 0 to {c}, first and for the same reason",
                                     where={"a": inch(0.75), "b": inch(1.25), "c": inch(0.375)}),
    closure: str = choice("how it closes", "fly", "side zip", "elastic", group=_WAIST),
    lap: str = choice("which front laps over the other; auto: a woman's right, a man's left", "auto", "left", "right",
                      when=("closure", "fly"), group=_WAIST),
    ease_waist: Length = length("wearing ease round the waist", inch(0.5), most=inch(4),
                                when=("closure", "fly", "side zip"), group=_WAIST),
    fullness: str = choice("front waist is taken in by a; auto: a dart, where there is anything to take in", "auto",
                           "dart", "pleat", "none", when=("closure", "fly", "side zip"), group=_WAIST),
    back_darts: str = choice("darts in each back; auto: 2 in the block, 1 where the hip has less than 18.3 cm over the "
                             "waist and in the easy draft", "auto", "1", "2", "none",
                             when=("closure", "fly", "side zip"), group=_WAIST),
    zip_long: Length | None = length("zip, from the waist down", least=inch(4), most=inch(11),
                                     when=("closure", "fly", "side zip"), group=_WAIST,
                                     worked_out="so that the hip passes, at the centre front above the curve"),
    band_kind: str = choice("waistband", "straight", "curved", when=("closure", "fly", "side zip"), group=_WAIST),
    band_wide: Length = band(),
    band_lap: Length = beyond(inch(1.5)),
    pocket_kind: str = choice("pockets in the fronts; auto: slant, and none beside a side zip", "auto", "slant",
                              IN_SEAM, "patch", "none", group=_POCKETS),
    back_pockets: str = choice("pockets on the backs", "none", "patch", "welt", group=_POCKETS),
) -> Draft:  # fmt: skip
    """Front, back, band; fly facing and shield; pockets."""
    body, elastic, opens_front = on.body, closure == "elastic", closure == "fly"
    kind = "elastic" if elastic else "curved band" if band_kind == "curved" else "band"
    rise = body.get("body_rise")
    if rise is None:
        rise = (body.waist_height - body.crotch_height).called("rise")
        on.note(f"body_rise was not measured; taken as waist height less crotch height, {on.say(rise)}.")
    floor = body.get("waist_to_floor") or body.waist_height
    long = (
        long or with_more(usual_long(on, leg_shape, rise, floor), turn_up if leg_shape == SHORTS else mm(0))
    ).called("hem line")
    ease = ease_hip + on.usual(inch(2)) if elastic else ease_hip
    asked = waist_asked(on, kind, *(("fly", "front") if opens_front else ("zip", "side")), zip_long, ease=ease_waist,
                        wide=band_wide, lap=band_lap, long=long, over_hip=ease)  # fmt: skip
    above = mm(0) - asked.above if asked.above.mm else None  # so far below the waist a curved band leaves the legs
    hip = ((body.hip_girth + ease) / 4).called("quarter hip")
    waist = (asked.upper / 4).called("quarter waist")
    n = numbers(draft, body.hip_girth)
    taken, front_take, darts, each = _taken_in(on, draft, n, hip, waist) if not elastic else ("none", mm(0), 0, mm(0))
    leg = Leg(
        draft, leg_shape, elastic,
        rise=_below(rise, above, "rise"), hip_line=_below(body.waist_to_hip, above, "waist to hip"),
        floor=_below(floor, above, "waist to floor"), long=asked.long.called("hem line"), turn_up=turn_up, hip=hip,
        waist=waist, front_take=front_take, back_take=each * darts if darts else mm(0), hem=hem_wide,
        heel=body.heel_girth, opening=fly_opening(on, waist) if opens_front else mm(0),
    )  # fmt: skip

    def legs(out: Length, low: Length) -> tuple[Sketch, Sketch]:
        front, back = half(on, "front", leg, out, low), half(on, "back", leg, out, low)
        back.fit("inseam", to=front.long("inseam"), move="fork", way="down", change="fork_out or crotch_low")
        return front, back

    crotch = body.get("total_crotch_length")
    if crotch is not None and above is not None:
        crotch = crotch - above * 2
    looser = cm(5) if leg_shape == CULOTTES else mm(0)

    def short(out: Length, low: Length) -> float:
        """How much longer the body is than the crotch seam, mm."""
        if crotch is None:
            return -inf
        return (crotch + looser - total(*(each.long("crotch") for each in legs(out, low)))).mm

    enough = "so that the crotch seam is as long as the body"
    saddle = n.front_fork * 2 + n.back_fork
    furthest = greatest(n.out[0], least(n.out[1], body.hip_girth * MOST_SADDLE - saddle))
    lowest = cm(5) if leg_shape == CULOTTES else cm(3)
    out = fork_out or on.solve(n.out[0], furthest, lack=lambda out: short(out, crotch_low or cm(1.5)), so_that=enough)
    low = crotch_low or on.solve(cm(1.5), lowest, lack=lambda low: short(out, low), so_that=enough)
    front, back = legs(out.called("back fork further out"), low.called("crotch line below the seat"))
    shallow = (lambda deep: greatest(cm(4), deep - above)) if above else (lambda deep: deep)
    if taken != "none":
        take = front.dart if taken == "dart" else front.pleat
        at = least(n.crease - n.front_in, waist + front_take - cm(8))
        take("waist", "waist", at=at, of="waist_centre", intake=front_take, deep=shallow(cm(10)))
    if not elastic:
        front.fit("waist", to=waist, move="waist_side", way="right", change="ease_waist or ease_hip")
    for k in range(1, darts + 1):
        deep = cm(7) if back_pockets == "welt" else shallow(cm(14) - cm(2) * k)
        back.dart(f"waist {k}", "waist", at=(waist + each * darts) * k / (darts + 1), of="waist_centre", intake=each,
                  deep=deep)  # fmt: skip
    for _ in range(8):  # each moves the corner that the other runs to, ever less
        if not elastic:
            back.fit("waist", to=waist, move="waist_side", way="right", change="ease_waist or ease_hip")
        back.fit("side", to=front.long("side"), move="waist_side", way="up", change="ease_hip")

    lapping = on.settle("lap", "left" if body.wearer == "man" else "right") if opens_front else ""
    zip_end = fly_cut(on, front, waist, zip_long) if opens_front else None
    if asked.down is not None and not opens_front:
        for one in (front, back):
            one.notch("side", asked.end, "waist_side", at=asked.down)
    legs_sewn = [sew("front crotch seam", "front.crotch", to="front.crotch"),
                 sew("back crotch seam", "back.crotch", to="back.crotch"),
                 sew("inseam", "front.inseam", to="back.inseam"),
                 sew("side seam", "front.side", to="back.side")]  # fmt: skip
    halves = on.fitted(front.piece(), back.piece())
    flap = fly(on, halves[0], lapping, zip_end) if zip_end is not None else Part()
    panels = Part(halves, tuple(legs_sewn), top=("back.waist", "front.waist"),
                  widths={"hem": inch(1) if turn_up.mm else inch(1.5)})  # fmt: skip
    panels = _pocketed(on, panels, pocket_kind, back_pockets, closure)
    along, marks = _walked(panels.top, halves[0], halves[1], closure)
    panels, finish = waist_finished(on, panels, asked, hip=None if opens_front else body.hip_girth,
                                    along=along)  # fmt: skip
    finish = replace(finish, pieces=tuple(_marked(piece, marks) for piece in finish.pieces))
    return together(
        on,
        [panels, flap, finish],
        claims=_claims(on, panels.top, ease, opens_front, leg_shape, crotch, looser),
    )


def _below(depth: Length, above: Length | None, name: str) -> Length:
    """The depth from where the legs start."""
    return depth if above is None else (depth - above).called(f"{name}, below the band")


def _taken_in(on: Board, draft: str, n: Numbers, hip: Length, waist: Length) -> tuple[str, Length, int, Length]:
    """What the front is taken in by, and how much; how many darts each back has, and how much each takes in."""
    body, spare, behind = (
        on.body,
        hip - n.wider - n.front_in - waist,
        hip + n.wider - n.back_seat + n.back_waist - waist,
    )
    if least(spare, behind) < mm(-25):
        on.refuse(f"the waist is {on.say(body.waist_girth)} round, the hip {on.say(body.hip_girth)}, which is too "
                  "little for a waist that stays up",
                  'closure to "elastic", ease_hip to more, or ease_waist to less')  # fmt: skip
    one = draft == EASY or body.hip_girth - body.waist_girth < cm(18.3)
    taken = on.settle("fullness", "dart" if spare > mm(8) else "none")
    told = on.settle("back_darts", "none" if behind < mm(8) else "1" if one else "2")
    darts = 0 if told == "none" else int(told)
    front_take = mm(0)
    if taken != "none":
        most = cm(3) if taken == "pleat" else n.front_dart
        front_take = greatest(mm(6), least(most, spare)).called(f"front {taken}")
    both = n.back_darts / 2 if draft == BLOCK and darts == 1 else n.back_darts
    return taken, front_take, darts, greatest(mm(6), least(both, behind) / max(darts, 1)).called("each back dart")


def _pocketed(on: Board, panels: Part, front: str, back: str, closure: str) -> Part:
    """The pockets of the fronts and the backs."""
    if front == "auto":
        front = "none" if closure == "side zip" else "slant"
    if closure == "side zip" and front in ("slant", IN_SEAM):
        on.refuse(f"pockets {'in' if front == IN_SEAM else 'by'} the side seam and a zip in it do not go together",
                  'pocket_kind to "patch" or "none", or closure to "fly"')  # fmt: skip
    pieces = {piece.name: piece for piece in panels.pieces}
    more: list[Part] = []
    wide, gap = on.usual(inch(5)), on.usual(inch(0.5))
    if front == "patch":
        right = found(pieces["front"].points["hip_side"].x, "hip side") - wide - gap * 3
        pieces["front"], part = patch_pocket(on, pieces["front"], right=right, down=on.usual(inch(3)))
        more.append(part)
    if back == "patch":
        right = found(pieces["back"].points["hip_side"].x, "hip side") - wide - gap * 4
        pieces["back"], part = patch_pocket(on, pieces["back"], right=right, down=on.usual(inch(3)), name="back_pocket")
        more.append(part)
    elif back == "welt":
        pieces["back"], part = welt_pocket(on, pieces["back"], wide=on.body.hip_girth / 8)
        more.append(part)
    widths = dict(panels.widths)
    for part in more:
        widths.update(part.widths)
    panels = replace(panels, pieces=(*pieces.values(), *(p for part in more for p in part.pieces)), widths=widths,
                     seams=(*(seam for part in more for seam in part.seams), *panels.seams))  # fmt: skip
    return panels if front == "patch" else pocketed(on, panels, front, front="front.side", back="back.side")


def _walked(
    top: tuple[str, ...], front: Piece, back: Piece, closure: str
) -> tuple[tuple[str, ...], list[tuple[str, float]]]:
    """What the band is sewn to, half of it from where it starts, and where on it the seams come to lie, mm. Elastic
    starts at the centre back, a fly at the centre front; of a side zip the tops say it."""
    ahead, again = (f"{{}} from {way}".format for way in ("end to start", "start to end"))
    elastic = closure == "elastic"
    first = (back if elastic else front).edge("waist").sewn_length()
    whole = 2 * (front.edge("waist").sewn_length() + back.edge("waist").sewn_length())
    marks = [("side", first), ("centre front" if elastic else "centre back", whole / 2), ("side", whole - first)]
    if elastic:
        return (ahead(top[0]), *map(again, top[1:])), marks
    return ((*map(ahead, top[:0:-1]), again(top[0])), marks) if closure == "fly" else ((), [])


def _marked(piece: Piece, marks: list[tuple[str, float]]) -> Piece:
    """The band with a notch at each seam of the legs."""
    if piece.name != "waistband":
        return piece
    return replace(piece, notches=(*piece.notches, *(NotchPlace("band_seam", at, 1, name) for name, at in marks)))


def _claims(
    on: Board, top: tuple[str, ...], ease: Length, opens_front: bool, shape: str, crotch: Length | None, looser: Length
) -> list[Claim]:
    """What the legs promise; the waist's own is told with its finish."""
    body = on.body
    claims: list[Claim] = [GirthAtLeast("girth.hip", "add {more} to ease_hip.", "hip", body.hip_girth, ease, "leg")]
    if opens_front:
        claims.append(Passes("entry.hip", "make zip_long or ease_waist more.", "waist with the fly open",
                             refs(*top, "front.fly"), "hip", body.hip_girth, "as measured", 0.0))  # fmt: skip
    known = "as measured" if body.get("heel_girth") else "estimated"
    claims.append(Passes("entry.foot", "make hem_wide {more} more.", "hem", refs("front.hem", "back.hem"), "foot",
                         body.heel_girth, known, on.usual(inch(0.5)).mm, each=2))  # fmt: skip
    for part, level, room, change in (
        ("thigh", "crotch", cm(4), "add twice {more} to ease_hip."),
        ("knee", "knee", cm(5), "add {more} to hem_wide."),
    ):
        girth = body.get(f"{part}_girth")
        if girth is not None and shape != CULOTTES and (part == "thigh" or shape != SHORTS):
            claims.append(GirthAtLeast(f"girth.{part}", change, level, girth, room, "leg", 2))
    claims += [Saddle("saddle.hip", "change fork_out by {off}.", body.hip_girth),
               UnderTheFork("curve.fork", "change fork_out, crotch_low or hem_wide.")]  # fmt: skip
    if crotch is not None:
        change = "change crotch_low by half of {off}, or fork_out; and try them on in cheap cloth."
        seat = refs(*(["front.fly"] if opens_front else []), "front.crotch", "back.crotch")
        claims.append(RunInRange("run.crotch", change, seat, crotch, -20.0, 40.0 + looser.mm))
    return claims
