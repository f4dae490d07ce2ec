"""A straight skirt, from the waist: straight, pegged or A-line, with darts, in any waist finish and closure.

    wc────▽──▽─── ws       origin: the waist line on the centre line; x outwards, y up
    │             )        ws stands a little above it, where the side seam rises over the hip
    │              hs      two darts a half: half of what the hip has over the waist, the side seam takes the rest
    │              │
    hc──────────── he      the back: as the front, with a centre back seam
Rules: quarter measures; surplus half to the side, at most 4 cm there, the rest to the darts, the front's shorter
(common practice, no source; a Russian course splits it 0.5 / 0.3 / 0.2, drafting rules for women's blocks, skirts).
Darts end 1 in above the hip line or higher (common practice, no source). A third back dart where the hip has more than
27 cm over the waist (worked rules proved on a survey). A-line: a dart
closed opens the hem by intake × (its point to the hem) ÷ its length, half of it is added at the side (geometry; a
sewing page). Curved band: the draft is cut off as deep as the band, its darts and side as they are there (geometry).
In-seam pocket: opening 6 in, its top 3 in below the waist (School Needlework, and a sewing blog: 5 to 6 1/2 in).
"""

from __future__ import annotations

from collections.abc import Sequence
from math import atan2, hypot, tan

from ..claims.girth import Girth, GirthAtLeast
from ..draft.board import Board
from ..draft.construct import x_at
from ..draft.pivots import pivot, straight_on
from ..draft.rulers import HIP_CURVE, STRAIGHT, Ruler, curve
from ..draft.sectors import Opening
from ..draft.signature import choice, count, flag, garment, length
from ..draft.sketch import Sketch
from ..geometry.point import Point
from ..model.claim import Claim
from ..model.draft import Draft
from ..model.length import Length, cm, found, inch, least, mm, total
from ..model.piece import Cut, EdgeKind, LevelLine, LineKind, Piece, Seam, sew
from ..values import replace
from .parts.part import Part, together, with_more
from .parts.pockets import in_seam_pockets, patch_pocket
from .parts.waist import opening_down, opening_end, waist_finish


def straight_panels(
    on: Board,
    waist: Length,
    *,
    long: Length,
    opening: str = "back",
    prefix: str = "",
    form: str = "straight",
    ease_hip: Length,
    waist_darts: int = 2,
    darts_closed: int = 1,
    side_rise: Length,
    peg: Length | None = None,
    hem_opening: str = "none",
    vent_long: Length | None = None,
    vent_wide: Length | None = None,
    down: Length | None = None,
    end: str = "zip end",
    top: Length | None = None,
    lined: bool = False,
    forward: Length = mm(0),
    above: Length = mm(0),
) -> Part:
    """Front and back, halves; the back is a pair where it opens there or has a vent or slit, else on the fold.

    `waist`: all round, as sewn; where it is as wide as the hip no darts are drawn. `down`: how far it opens, to the
    notch `end`. `top`: how far below the waist the skirt starts, under a curved band: its darts and its side are those
    of the draft from the waist there. `forward`: the front is so much wider than a quarter, the back narrower. `above`:
    the upper edge lies so far above the waist. `lined`: a lining, 1 in shorter, without a vent's extension.
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
    start = top or mm(0)
    hem = (long - on.usual(inch(1)) if lined else long).called("hem line")
    seamed = opening == "back" or hem_opening != "none"
    seam_hem = hem - vent_long if hem_opening in ("vent", "slit") and vent_long is not None else hem

    def flared(darts: int, deep: Length) -> Length | None:
        """Half of what its closed darts open at the hem: so much comes out at the side."""
        each = ((surplus - at_side) / max(darts, 1)).called("each dart takes in")
        tips = [deep - on.usual(inch(1)) if k else deep for k in range(min(darts_closed, darts))]
        opens = [each * (long - tip).over(tip) for tip in tips if form == "A-line" and shaped]
        out = (sum(opens[1:], opens[0]) / 2).called("half of what the darts open at the hem") if opens else None
        return out * (hem - hip_line).over(long - hip_line) if out is not None and lined else out

    deepest = (hip_line - on.usual(inch(1))).called("deepest dart")
    shapes = {"front": (min(waist_darts, 2), least(on.usual(inch(4)), deepest)),
              "back": (waist_darts, least(on.usual(inch(5.5)), deepest))}  # fmt: skip
    outs = {half: flared(*shape) for half, shape in shapes.items()}
    below = (hem - hip_line).called("hip to hem")
    # The hem is square to the side: an arc rises by its width × the tangent of half the angle; both sides are as long,
    # of which the curve over the hip is its chord × (1 + bend² ÷ 24).
    chord, lean = hypot(at_side.mm, (hip_line + side_rise).mm), atan2(at_side.mm, (hip_line + side_rise).mm)
    turns = {half: atan2(out.mm, below.mm) for half, out in outs.items() if out}
    over = {half: chord * (1 + (2 * (lean - turn)) ** 2 / 24) for half, turn in turns.items()}
    sides = [
        over[half] + hypot(below.mm - quarter.mm * tan(turn / 2), below.mm * tan(turn)) for half, turn in turns.items()
    ]
    aslant = {
        half: found(sum(sides) / len(sides) - over[half], "so that the hem is square to the side") for half in over
    }

    def panel(half: str) -> Piece:
        darts, deep = shapes[half]
        by = forward if half == "front" else mm(0) - forward
        hip, around = with_more(quarter, by), with_more(round_quarter, by)
        cut = Cut("pair" if half == "back" and seamed else "fold", 0, "lining" if lined else "shell")
        s = on.sketch(f"{prefix}{half}", cut, worn="" if lined else "body")
        darts = darts if shaped else 0
        intake = ((surplus - at_side) / max(darts, 1)).called("each dart takes in")
        place = ((hip - at_side) / (darts + 1)).called("from dart to dart")
        depths = [deep - on.usual(inch(1)) * (k > 0) if k else deep for k in range(darts)]
        closed = min(darts_closed, darts) if form == "A-line" else 0
        out = outs[half]
        line, drawn, lower = around, [(intake, each) for each in depths], top if shaped else None
        _upper(s, None, hip, hip_line, hem, (out, aslant.get(half, below)), pegged)
        _waist(s, hip - at_side if shaped else None, side_rise, drawn, place)
        if shaped:
            s.fit("waist", to=line, move="waist_side", way="right", change="ease_waist or ease_hip")
        if lower is not None:  # drawn anew, from where the band ends
            side = x_at(s.drawn("side")[0].curves, s.points["waist_side"].y - lower.mm)
            drawn = [(each * (deep - lower).over(deep), deep - lower) for each, deep in drawn]
            line = (found(side, "side below the band") - total(*(each for each, _ in drawn))).called("quarter below it")
            s = on.sketch(s.name, cut, worn=s.worn)
            _upper(s, lower, hip, hip_line, hem, (out, aslant.get(half, below)), pegged)
            _waist(s, found(side, "side below the band"), side_rise, drawn, place)
            s.fit("waist", to=line, move="waist_side", way="right", change="band_wide")
        s.level("waist", start)
        s.level("hip", hip_line)
        s.level("hem", hem)
        ruler = curve("level", "square") if out is not None or (pegged is not None and pegged.mm) else STRAIGHT
        centre = f"centre_{half}"
        if cut.side == "fold":
            s.fold(centre, "waist_centre", "hem_centre")
            s.hem("hem", "hem_centre", ruler, "hem_side")
        else:
            _centre_back(s, centre, ruler, seam_hem, hem_opening, vent_wide, lined)
        edge = centre if opening == "back" else "side"
        if down is not None and (half == "back" or opening == "side") and not lined:
            s.notch(edge, end, "waist_centre" if edge == centre else "waist_side", at=down)
        piece = s.piece()
        for k in range(closed):
            to, far = straight_on(piece, f"waist {k + 1}")
            if to != "hem":  # it leans so that it would leave at the centre
                to, far = straight_on(piece, f"waist {k + 1}", Point(0.0, -1.0))
            piece = pivot(piece, f"waist {k + 1}", Opening(to, far, "flare"), hold=centre)
        if closed:  # parted by the flare, in a bit or wholly; a line from end to end of the edge serves, and is shorter
            upper, rest = piece.edge("waist"), [level for level in piece.levels if level.name != "waist"]
            piece = replace(piece, levels=(LevelLine("waist", start.mm, (upper.end, upper.start)), *rest))
        return piece

    front, back = panel("front"), panel("back")
    seams: list[Seam] = []
    words = "lining " if lined else ""
    if back.to_cut.side == "pair":
        seams.append(sew(f"{words}centre back seam", f"{back.name}.centre_back", to=f"{back.name}.centre_back"))
    seams.append(sew(f"{words}side seam", f"{front.name}.side", to=f"{back.name}.side"))
    return Part((front, back), tuple(seams), top=(f"{back.name}.waist", f"{front.name}.waist"),
                low=(f"{back.name}.hem", f"{front.name}.hem"),
                widths={"side": inch(1), "centre_back": inch(1), "slit": inch(1), "hem": inch(2)})  # fmt: skip


def _upper(
    s: Sketch,
    start: Length | None,
    hip: Length,
    hip_line: Length,
    hem: Length,
    flare: tuple[Length | None, Length],
    peg: Length | None,
) -> None:
    """The points of a half: its waist on the centre line, its hip, its hem."""
    s.at("waist_centre", down=start)
    s.at("hip_side", right=hip, down=hip_line)
    s.at("hem_centre", down=hem)
    out, aslant = flare
    if out is not None:
        s.at("hem_side", right=out, of="hip_side", far=aslant)
    else:
        turn = atan2(peg.mm, (hem - hip_line).mm) if peg is not None else 0.0
        drop = found((hip - (peg or mm(0))).mm * tan(turn / 2), "so that the hem is square to the side")
        s.at("hem_side", right=hip - peg if peg is not None and peg.mm else hip, down=hem + drop if turn else hem)


def _waist(s: Sketch, side: Length | None, rise: Length, darts: Sequence[tuple[Length, Length]], place: Length) -> None:
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
        s.dart(f"waist {k + 1}", "waist", at=place * (k + 1), of="waist_centre", intake=intake, deep=deep,
               change="ease_waist, or waist_darts to 1")  # fmt: skip


def _centre_back(
    s: Sketch, centre: str, ruler: Ruler, above: Length, opening: str, wide: Length | None, lined: bool
) -> None:
    """The centre back seam, with the vent or slit below it, and the hem."""
    s.at("vent_top", down=above)
    s.edge(centre, "waist_centre", "vent_top")
    low = "hem_centre" if opening in ("vent", "slit") else "vent_top"
    if opening == "slit" or (lined and opening == "vent"):
        s.edge("slit", "vent_top", "hem_centre", kind=EdgeKind.OPENING)
    if opening == "vent" and not lined and wide is not None:
        s.at("vent_out", left=wide, down=wide / 2, of="vent_top")
        s.at("vent_hem", left=wide, of="hem_centre")
        s.edge("vent_top", "vent_top", "vent_out")
        s.edge("vent_edge", "vent_out", "vent_hem", kind=EdgeKind.OPENING)
        s.hem("hem", "vent_hem", "hem_centre", ruler, "hem_side")
        s.line("vent fold", "vent_top", "hem_centre", kind=LineKind.FOLD)
    else:
        s.hem("hem", low, ruler, "hem_side")


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
    waist: str = choice("waist finish", "band", "curved band", "facing", "elastic", group="waist"),
    closure: str = choice("how it closes; elastic closes nothing", "zip", "buttons", "hook", "none", group="waist"),
    closes_at: str = choice("where it closes", "back", "side", group="waist"),
    zip_long: Length | None = length("zip or placket, from the waist down", least=inch(4), most=inch(14), group="waist",
                                     worked_out="down to the hip line, or so that the hip passes"),
    band_wide: Length = length("waistband, finished", inch(1.25), least=inch(0.75), most=inch(3), group="waist"),
    band_lap: Length = length("waistband lap beyond the closure", inch(1.25), most=inch(3), group="waist"),
    pocket_kind: str = choice("pockets", "none", "in the side seams", "patch"),
    lining: bool = flag("a lining, with pleats for the darts"),
) -> Draft:  # fmt: skip
    """Front, back and waist finish; pockets; lining."""
    body, elastic, curved = on.body, waist == "elastic", waist == "curved band"
    if elastic and form == "A-line":
        on.refuse("an elastic waist has no darts to close into flare", 'form to "straight", or waist')
    open_at = "none" if elastic or closure == "none" else closes_at
    hip = body.hip_girth + ease_hip
    round_waist = (hip if elastic else body.waist_girth + ease_waist).called("waist all round")
    least_darts = "3" if body.hip_girth - body.waist_girth > cm(27) else "2"
    darts = 0 if elastic else int(on.settle("waist_darts", least_darts))
    down = None
    if open_at != "none":
        down = opening_down(on, zip_long, round_waist, body.waist_to_hip)
        on.work("zip_long", down)
    panels = straight_panels(
        on, round_waist, long=long, opening=open_at, form=form, ease_hip=ease_hip, waist_darts=darts,
        darts_closed=darts_closed, side_rise=side_rise, peg=peg, hem_opening=opening, vent_long=vent_long,
        vent_wide=vent_wide, down=down, end=opening_end(closure), top=band_wide if curved else None,
    )  # fmt: skip
    front, back = panels.pieces
    extra: list[Part] = []
    if pocket_kind == "in the side seams":
        front, back, bags = in_seam_pockets(on, front, back)
        extra.append(bags)
    elif pocket_kind == "patch":
        front, patch = patch_pocket(on, front, right=on.usual(inch(2)), down=on.usual(inch(5)))
        extra.append(patch)
    panels = replace(panels, pieces=(front, back))
    if lining:
        extra.append(_lining(on, panels, straight_panels(
            on, round_waist, long=long, opening=open_at, prefix="lining_", form=form, ease_hip=ease_hip,
            waist_darts=darts, darts_closed=darts_closed, side_rise=side_rise, peg=peg, hem_opening=opening,
            vent_long=vent_long, top=band_wide if curved else None, lined=True,
        )))  # fmt: skip
    finish = waist_finish(
        on, panels, waist, closure, closes_at, down=down,
        opened=("back.centre_back",) if open_at == "back" else ("back.side", "front.side"),
        ease=ease_waist, wide=band_wide if waist != "facing" else on.usual(inch(2.5)), lap=band_lap,
        hip=body.hip_girth, upper=round_waist,
    )  # fmt: skip
    girth: Claim = Girth("girth.hip", "Change ease_hip.", "hip", body.hip_girth, ease_hip)
    if form == "A-line":
        girth = GirthAtLeast("girth.hip", "add {more} to ease_hip.", "hip", body.hip_girth, ease_hip)
    return together(on, [*extra[:1], panels, *extra[1:], finish], claims=[girth])


def _lining(on: Board, panels: Part, lining: Part) -> Part:
    on.note("Lining: lay its darts as pleats, the other way than those of the skirt are pressed.")
    faced = [sew(f"{name} lining to waist", f"lining_{name}.waist", to=f"{name}.waist", how="faced")
             for name in ("front", "back")]  # fmt: skip
    return replace(lining, seams=(*lining.seams, *faced))
