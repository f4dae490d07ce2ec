"""A straight skirt, from the waist: straight, pegged or A-line, with darts, in any waist finish and closure.

    wc────▽──▽─── ws       origin: the waist line on the centre line; x outwards, y up
    │             )        ws stands a little above it, where the side seam rises over the hip
    │              hs      two darts a half: half of what the hip has over the waist, the side seam takes the rest
    │              │
    hc──────────── he      the back: as the front, with a centre back seam
Rules: quarter measures; surplus half to the side, at most 4 cm there, the rest to the darts, the front's shorter
(common practice, no source; a Russian course splits it 0.5 / 0.3 / 0.2, drafting rules for women's blocks, skirts).
Darts end 1 in above the hip line or higher (common practice, no source). A third back dart where the hip has more than
27 cm over the waist (worked rules proved on a survey). A-line: a dart closed opens the hem by intake × (its point to
the hem) ÷ its length, half of it is added at the side (geometry; a sewing page), front and back alike (chosen). Can she
walk: parts/stride.py; waist and pockets: parts/waist.py, parts/pockets.py.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import atan2, hypot, tan

from ..claims.girth import Girth, GirthAtLeast
from ..draft.board import Board
from ..draft.lined import lining as lining_of
from ..draft.pivots import pivot, straight_on
from ..draft.rulers import HIP_CURVE, STRAIGHT, Ruler, curve
from ..draft.sectors import Opening
from ..draft.signature import choice, count, flag, garment, length
from ..draft.sketch import Sketch
from ..geometry.curve import Cubic
from ..geometry.point import Point
from ..model.claim import Claim
from ..model.draft import Draft
from ..model.length import Length, cm, found, inch, least, mm
from ..model.piece import Cut, Edge, EdgeKind, LevelLine, LineKind, Piece, Seam, sew
from ..values import replace
from .parts.part import Part, joined_at, together, with_more
from .parts.pockets import IN_SEAM, pocket_kinds, pocketed
from .parts.stride import can_walk, walk_of
from .parts.waist import band, beyond, closing_at, closures, finishes, opens, waist_asked, waist_finished


def straight_panels(
    on: Board, waist: Length, *, long: Length, opening: str = "back", prefix: str = "", form: str = "straight",
    ease_hip: Length, waist_darts: int = 2, darts_closed: int = 1, side_rise: Length, peg: Length | None = None,
    hem_opening: str = "none", vent_long: Length | None = None, vent_wide: Length | None = None,
    down: Length | None = None, end: str = "zip end", forward: Length = mm(0), above: Length = mm(0),
    darts_at: Mapping[str, Sequence[Length]] | None = None,
) -> Part:  # fmt: skip
    """Front and back, halves; the back is a pair where it opens there or has a vent or slit, else on the fold.

    `waist`: all round, as sewn; where it is as wide as the hip no darts are drawn. `down`: how far it opens, to the
    notch `end`. `forward`: the front is so much wider than a quarter, the back narrower. `above`: the upper edge lies
    so far above the waist; less than nothing: below it, and the darts end where they would. `darts_at`: where the first
    darts of "front" and "back" lie along the sewn waist, from the centre, to meet those above.
    """
    hip_line = with_more(on.body.waist_to_hip, above).called("hip line")
    quarter = ((on.body.hip_girth + ease_hip) / 4).called("quarter hip")
    round_quarter = (waist / 4).called("quarter waist")
    if round_quarter > quarter + mm(0.05):
        on.refuse("the waist is wider than the hip, and darts need the hip to be wider", "ease_hip to more")
    surplus = (quarter - round_quarter).called("surplus")
    shaped = surplus.mm > 0.1
    at_side = least(surplus / 2, cm(4)).called("side seam takes in at the waist")
    pegged = peg if form == "pegged" else None
    hem, below = long.called("hem line"), (long - hip_line).called("hip to hem")
    seam_hem = hem - vent_long if hem_opening in ("vent", "slit") and vent_long is not None else hem
    deepest = (hip_line - on.usual(inch(1))).called("deepest dart")
    front_deep, back_deep = (_dart_deep(on.usual(inch(deep)), above, deepest) for deep in (4, 5.5))
    shapes = {"front": (min(waist_darts, 2), front_deep), "back": (waist_darts, back_deep)}
    flares = [((surplus - at_side) / darts).called("each dart takes in") * (long - tip).over(tip)
             for darts, deep in shapes.values() for k in range(min(darts_closed, darts))
             for tip in (deep - on.usual(inch(1)) if k else deep,)
             if form == "A-line" and shaped]  # fmt: skip
    # front and back alike, so that the side seams are; the hem is square to them: it rises at the side
    out = (sum(flares[1:], flares[0]) / 4).called("half of what the darts open at the hem") if flares else None
    turned = atan2(out.mm, below.mm) if out is not None else 0.0
    aslant = found(hypot(below.mm - quarter.mm * tan(turned / 2), below.mm * tan(turned)), "so that the hem is square")

    def panel(half: str) -> Piece:
        darts, deep = shapes[half]
        by = forward if half == "front" else mm(0) - forward
        hip, around = with_more(quarter, by), with_more(round_quarter, by)
        seamed = half == "back" and (opening == "back" or hem_opening != "none")
        s = on.sketch(f"{prefix}{half}", Cut("pair" if seamed else "fold"), worn="body")
        darts = darts if shaped else 0
        intake = ((surplus - at_side) / max(darts, 1)).called("each dart takes in")
        place = ((hip - at_side) / (darts + 1)).called("from dart to dart")
        places = [place * (k + 1) for k in range(darts)]
        for k, met in enumerate((darts_at or {}).get(half, ())[:darts]):
            places[k] = (met + intake * k + intake / 2).called("to meet the dart above")
            apart = ((hip - at_side - places[k]) / (darts - k)).called("from dart to dart")
            places[k + 1 :] = [places[k] + apart * (j + 1) for j in range(darts - k - 1)]
        depths = [deep - on.usual(inch(1)) * (k > 0) if k else deep for k in range(darts)]
        closed = min(darts_closed, darts) if form == "A-line" else 0
        s.at("waist_centre")
        s.at("hip_side", right=hip, down=hip_line)
        s.at("hem_centre", down=hem)
        if out is not None:
            s.at("hem_side", right=out, of="hip_side", far=aslant)
        else:
            turn = atan2(pegged.mm, below.mm) if pegged is not None else 0.0
            drop = found((hip - (pegged or mm(0))).mm * tan(turn / 2), "so that the hem is square to the side")
            s.at("hem_side", right=hip - pegged if pegged and pegged.mm else hip, down=hem + drop if turn else hem)
        _waist(s, hip - at_side if shaped else None, side_rise, [(intake, each) for each in depths], places)
        if shaped:
            s.fit("waist", to=around, move="waist_side", way="right", change="ease_waist or ease_hip")
        s.level("waist", mm(0))
        s.level("hip", hip_line)
        s.level("hem", hem)
        ruler = curve("level", "square") if out is not None or (pegged is not None and pegged.mm) else STRAIGHT
        centre = f"centre_{half}"
        if not seamed:
            s.fold(centre, "waist_centre", "hem_centre")
            s.hem("hem", "hem_centre", ruler, "hem_side")
        else:
            _centre_back(s, centre, ruler, seam_hem, hem_opening, vent_wide)
        edge = centre if opening == "back" else "side"
        if down is not None and (half == "back" or opening == "side"):
            s.notch(edge, end, "waist_centre" if edge == centre else "waist_side", at=down)
        piece = s.piece()
        for k in range(closed):
            to, far = straight_on(piece, f"waist {k + 1}")
            if to != "hem":  # it leans so that it would leave at the centre
                to, far = straight_on(piece, f"waist {k + 1}", Point(0.0, -1.0))
            piece = pivot(piece, f"waist {k + 1}", Opening(to, far, "flare"), hold=centre)
        if closed:  # parted by the flare, in a bit or wholly; a line from end to end of the edge serves, and is shorter
            upper, rest = piece.edge("waist"), [level for level in piece.levels if level.name != "waist"]
            piece = replace(piece, levels=(LevelLine("waist", 0.0, (upper.end, upper.start)), *rest),
                            edges=tuple(_eased_in(e) if e is upper else e for e in piece.edges))  # fmt: skip
        return piece

    front, back = on.fitted(panel("front"), panel("back"), as_long=joined_at(prefix))
    seams: list[Seam] = []
    if back.to_cut.side == "pair":
        seams.append(sew("centre back seam", f"{back.name}.centre_back", to=f"{back.name}.centre_back"))
    seams.append(sew("side seam", f"{front.name}.side", to=f"{back.name}.side"))
    return Part((front, back), tuple(seams), top=(f"{back.name}.waist", f"{front.name}.waist"),
                widths={"side": inch(1), "centre_back": inch(1), "slit": inch(1), "hem": inch(2)})  # fmt: skip


def _dart_deep(full: Length, above: Length, deepest: Length) -> Length:
    """How deep a dart is below the upper edge: as far as one from the waist goes down, but where that leaves less than
    2 in of it, as below a lowered join, the whole of it again (common practice, no source)."""
    left = with_more(full, above) if above.mm < 0 else full
    return least(left if left > inch(1.99) else full, deepest)


def _waist(
    s: Sketch, side: Length | None, rise: Length, darts: Sequence[tuple[Length, Length]], places: Sequence[Length]
) -> None:
    """The side and the waist with its darts; straight, where nothing is taken in."""
    if side is None:
        s.at("waist_side", of="waist_centre", right=mm(s.points["hip_side"].x))
        at_hip = abs(s.points["hip_side"].y - s.points["waist_side"].y) < 0.01
        s.edge("side", "hem_side", *(() if at_hip else ("hip_side",)), "waist_side")
        s.edge("waist", "waist_side", "waist_centre")
        return
    s.at("waist_side", right=side, up=rise, of="waist_centre")
    s.edge("side", "hem_side", "hip_side", HIP_CURVE, "waist_side")
    s.edge("waist", "waist_side", curve("square", "level"), "waist_centre")
    for k, (intake, deep) in enumerate(darts):
        s.dart(f"waist {k + 1}", "waist", at=places[k], of="waist_centre", intake=intake, deep=deep,
               change="ease_waist, or waist_darts to 1")  # fmt: skip


def _eased_in(waist: Edge) -> Edge:
    """A waist over closed darts, trued from the last of them to the centre, where it would bend sharply at its end."""
    last, third = waist.curves[-1], waist.curves[-1].length() / 3
    leave, arrive = ((way.x * third, way.y * third) for way in (last.way(0.0), last.way(1.0)))
    trued = Cubic.leaving_and_arriving(last.start, leave, last.end, arrive)
    return replace(waist, curves=(*waist.curves[:-1], trued))


def _centre_back(s: Sketch, centre: str, ruler: Ruler, above: Length, opening: str, wide: Length | None) -> None:
    """The centre back seam, with the vent or slit below it, and the hem."""
    s.at("vent_top", down=above)
    s.edge(centre, "waist_centre", "vent_top")
    if opening == "vent" and wide is not None:
        s.at("vent_out", left=wide, down=wide / 2, of="vent_top")
        s.at("vent_hem", left=wide, of="hem_centre")
        s.edge("vent_top", "vent_top", "vent_out")
        s.edge("vent_edge", "vent_out", "vent_hem", kind=EdgeKind.OPENING)
        s.hem("hem", "vent_hem", "hem_centre", ruler, "hem_side")
        s.line("vent fold", "vent_top", "hem_centre", kind=LineKind.FOLD)
        return
    if opening == "slit":
        s.edge("slit", "vent_top", "hem_centre", kind=EdgeKind.OPENING)
    s.hem("hem", "hem_centre" if opening == "slit" else "vent_top", ruler, "hem_side")


@garment("straight, pegged or A-line skirt with darts, in any waist finish, with a vent or slit", noun="skirt")
def straight_skirt(
    on: Board,
    *,
    form: str = choice("form", "straight", "pegged", "A-line"),
    ease_waist: Length = length("wearing ease round the waist", inch(0.5), most=inch(6)),
    ease_hip: Length = length("wearing ease round the hip", inch(2), most=inch(12)),
    long: Length = length("waist to hem", inch(25), least=inch(12), most=inch(45)),
    waist_darts: str = choice("waist darts in each half; auto: 2, and 3 in the back where the hip has more than 27 cm "
                              "over the waist", "auto", "1", "2", "3"),
    darts_closed: int = count("darts of each half closed into flare", 1, least=1, most=3, when=("form", "A-line")),
    side_rise: Length = length("side seam above the waist line", inch(0.5), most=inch(1)),
    peg: Length = length("taken in at each side seam at the hem", inch(0.75), most=inch(2), when=("form", "pegged")),
    opening: str = choice("centre back opening at the hem", "vent", "slit", "none"),
    vent_long: Length = length("vent or slit, from the hem up", inch(8), least=inch(4), most=inch(20),
                               when=("opening", "vent", "slit")),
    vent_wide: Length = length("vent extension", inch(2), least=inch(1), most=inch(4), when=("opening", "vent")),
    waist: str = finishes("band", "curved band", "facing", "elastic"),
    closure: str = closures("zip", "buttons", "hook", "none"),
    closes_at: str = closing_at("back", "side"),
    zip_long: Length | None = opens("down to the hip line, or so that the hip passes"),
    band_wide: Length = band(),
    band_lap: Length = beyond(),
    pocket_kind: str = pocket_kinds(IN_SEAM, "slant", "patch"),
    lining: bool = flag("a lining, with pleats for the darts"),
) -> Draft:  # fmt: skip
    """Front, back and waist finish; pockets; lining."""
    body, elastic = on.body, waist == "elastic"
    if elastic and form == "A-line":
        on.refuse("an elastic waist has no darts to close into flare", 'form to "straight", or waist')
    usual_darts = "3" if body.hip_girth - body.waist_girth > cm(27) else "2"
    asked = waist_asked(on, waist, closure, closes_at, zip_long, ease=ease_waist, wide=band_wide, lap=band_lap,
                        long=long, over_hip=ease_hip, at_least=body.waist_to_hip)  # fmt: skip
    darts = 0 if elastic else int(on.settle("waist_darts", usual_darts))
    panels = straight_panels(
        on, asked.upper, long=asked.long, opening=asked.at, form=form, ease_hip=ease_hip, waist_darts=darts,
        darts_closed=darts_closed, side_rise=side_rise, peg=peg, hem_opening=opening, vent_long=vent_long,
        vent_wide=vent_wide, down=asked.down, end=asked.end, above=asked.above,
    )  # fmt: skip
    outside = pocketed(on, panels, pocket_kind, front="front.side", back="back.side")
    lined = (_lined(on, panels, outside),) if lining else ()
    claims: list[Claim] = [GirthAtLeast("girth.hip", "add {more} to ease_hip.", "hip", body.hip_girth, ease_hip)]
    if form != "A-line":
        zip_end = (asked.down - asked.above).mm if asked.down and asked.at == "back" else None
        wider, clear = "make ease_hip more, or peg less", "make vent_long or zip_long less."
        vent = 'the shortest that passes is opening = "{kind}" with vent_long {length}'
        claims = [Girth("girth.hip", "Change ease_hip.", "hip", body.hip_girth, ease_hip),
                  can_walk(walk_of(on, long, opening, vent_long), wider, vent, clear, zip_end)]  # fmt: skip
    panels, finish = waist_finished(on, outside, asked, hip=body.hip_girth)
    return together(on, [panels, *lined, finish], claims=claims)


def _lined(on: Board, panels: Part, outside: Part) -> Part:
    """A lining, 1 in shorter, sewn into the waist of what lies outside."""
    on.note("Lining: lay its darts as pleats, the other way than those of the skirt are pressed.")
    lined = (lining_of(piece, f"lining_{piece.name}", short=on.usual(inch(1)).mm,
                       slit="" if piece.on_fold else "centre_back") for piece in panels.pieces)  # fmt: skip
    front, back = (replace(p, notches=tuple(n for n in p.notches if n.edge != "waist")) for p in lined)
    seams = [sew("lining side seam", f"{front.name}.side", to=f"{back.name}.side")]
    if not back.on_fold:
        seams.insert(0, sew("lining centre back seam", f"{back.name}.centre_back", to=f"{back.name}.centre_back"))
    tops = {"back": outside.top[:1], "front": outside.top[1:]}
    seams += [sew(f"{name} lining to waist", f"lining_{name}.waist", to=to, how="faced") for name, to in tops.items()]
    return Part((front, back), tuple(seams))
