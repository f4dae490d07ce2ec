"""A straight skirt, from the waist, with a band, a zip and a vent at the centre back.

    wc────▽──▽─── ws       origin: the waist line on the centre line; x outwards, y up
    │             )        ws stands a little above it, where the side seam rises over the hip
    │              hs      two darts a half: half of what the hip has over the waist, the side seam takes the rest
    │              │
    hc──────────── he      the back: as the front, with a centre back seam
Rules: quarter measures; surplus half to the side, at most 4 cm there, the rest to the darts, the front's shorter
(common practice, no source; a Russian course splits it 0.5 / 0.3 / 0.2, drafting rules for women's blocks, skirts).
In-seam pocket: opening 6 in, its top 3 in below the waist (School Needlework, and a sewing blog: 5 to 6 1/2 in).
"""

from __future__ import annotations

from ..claims.girth import Girth
from ..claims.openings import OpensTo
from ..draft.board import Board
from ..draft.lined import lining as lined
from ..draft.rulers import HIP_CURVE, curve
from ..draft.signature import choice, count, flag, garment, length
from ..draft.sketch import Sketch
from ..model.draft import Draft, Notion
from ..model.length import Length, cm, inch, least, mm, total
from ..model.piece import Cut, EdgeKind, LineKind, sew
from ..model.ref import refs


@garment("straight skirt with a waistband, darts, a centre back zip and a vent", noun="skirt")
def straight_skirt(
    on: Board,
    *,
    ease_waist: Length = length("wearing ease round the waist", inch(0.5), most=inch(6)),
    ease_hip: Length = length("wearing ease round the hip", inch(2), most=inch(12)),
    long: Length = length("waist to hem", inch(25), least=inch(12), most=inch(45)),
    waist_darts: int = count("waist darts in each half", 2, least=1, most=2),
    side_rise: Length = length("side seam above the waist line", inch(0.5), most=inch(1)),
    peg: Length = length("taken in at each side seam at the hem", mm(0), most=inch(2)),
    opening: str = choice("centre back opening at the hem", "vent", "none"),
    vent_long: Length = length("vent, from the hem up", inch(8), least=inch(4), most=inch(20),
                               when=("opening", "vent")),
    vent_wide: Length = length("vent extension", inch(2), least=inch(1), most=inch(4), when=("opening", "vent")),
    zip_long: Length | None = length("zip, from the waist down", least=inch(4), most=inch(14),
                                     worked_out="down to the hip line"),
    band_wide: Length = length("waistband, finished", inch(1.25), least=inch(0.75), most=inch(3)),
    band_lap: Length = length("waistband lap beyond the zip", inch(1.25), most=inch(3)),
    side_pockets: bool = flag("pockets in the side seams"),
    lining: bool = flag("a lining, with pleats for the darts"),
) -> Draft:  # fmt: skip
    """Front, back and band; pocket bags; lining."""
    body = on.body
    hip_line = body.waist_to_hip.called("hip line")
    hip = ((body.hip_girth + ease_hip) / 4).called("quarter hip")
    waist = ((body.waist_girth + ease_waist) / 4).called("quarter waist")
    if waist > hip:
        on.refuse("the waist is wider than the hip, and darts need the hip to be wider", "ease_hip to more")
    surplus = (hip - waist).called("surplus")
    at_side = least(surplus / 2, cm(4)).called("side seam takes in at the waist")
    intake = ((surplus - at_side) / waist_darts).called("each dart takes in")
    place = ((hip - at_side) / (waist_darts + 1)).called("from dart to dart")
    zip_end = (zip_long or hip_line).called("zip")

    def panel(half: str, deep: Length, cut: Cut) -> Sketch:
        s, hem = on.sketch(half, cut, worn="body"), long.called("hem line")
        s.at("waist_centre")
        s.at("hip_side", right=hip, down=hip_line)
        s.at("hem_centre", down=hem)
        s.at("hem_side", right=hip - peg if peg.mm else hip, down=hem)
        s.at("waist_side", right=hip - at_side, up=side_rise)
        s.edge("side", "hem_side", "hip_side", HIP_CURVE, "waist_side")
        s.edge("waist", "waist_side", curve("square", "level"), "waist_centre")
        for k, shorter in enumerate((mm(0), on.usual(inch(1)))[:waist_darts]):
            s.dart(f"waist {k + 1}", "waist", at=place * (k + 1), of="waist_centre", intake=intake,
                   deep=deep - shorter if k else deep, change="ease_waist, or waist_darts to 1")  # fmt: skip
        s.fit("waist", to=waist, move="waist_side", way="right", change="ease_waist or ease_hip")
        s.level("waist", mm(0))
        s.level("hip", hip_line)
        s.level("hem", hem)
        if side_pockets:
            s.on("pocket_top", "side", on.usual(inch(3)), "waist_side")
            s.on("pocket_end", "side", on.usual(inch(9)), "waist_side")
            s.notch("side", "pocket top", "waist_side", at=on.usual(inch(3)))
            s.notch("side", "pocket end", "waist_side", at=on.usual(inch(9)))
        if cut.side == "fold":
            s.fold(f"centre_{half}", "waist_centre", "hem_centre")
            s.hem("hem", "hem_centre", "hem_side")
            return s
        s.at("vent_top", down=long - vent_long if opening == "vent" else hem)
        s.edge(f"centre_{half}", "waist_centre", "vent_top")
        s.notch(f"centre_{half}", "zip end", "waist_centre", at=zip_end)
        if opening == "none":
            s.hem("hem", "vent_top", "hem_side")
            return s
        s.at("vent_out", left=vent_wide, down=vent_wide / 2, of="vent_top")
        s.at("vent_hem", left=vent_wide, of="hem_centre")
        s.edge("vent_top", "vent_top", "vent_out")
        s.edge("vent_edge", "vent_out", "vent_hem", kind=EdgeKind.OPENING)
        s.hem("hem", "vent_hem", "hem_centre", "hem_side")
        s.line("vent fold", "vent_top", "hem_centre", kind=LineKind.FOLD)
        return s

    front = panel("front", on.usual(inch(4)), Cut("fold"))
    back = panel("back", on.usual(inch(5.5)), Cut("pair", 2))
    band = on.sketch("waistband")
    line = (total(front.long("waist"), back.long("waist")) * 2).called("waist line")
    band.box(line + band_lap, band_wide * 2, ("under_end", "band_seam", "lap_end", "inside_edge"))
    band.between("fold_start", "bottom_left", "top_left")
    band.between("fold_end", "bottom_right", "top_right")
    band.line("fold", "fold_start", "fold_end", kind=LineKind.FOLD)
    if band_lap.mm:
        band.notch("band_seam", "lap", "bottom_right", at=band_lap)
    on.work("zip_long", zip_end)
    sheets, seams = [front, back, band], [sew("centre back seam", "back.centre_back", to="back.centre_back")]
    if side_pockets:
        sheets.append(_bag(on, front))
        seams += [sew(f"{half} pocket seam", "pocket_bag.mouth", to=f"{half}.side from pocket end to pocket top")
                  for half in ("front", "back")]  # fmt: skip
        seams.append(sew("pocket bag", "pocket_bag.bag", to="pocket_bag.bag"))
        on.note("Leave the side seams open between the pocket notches.")
    seams.append(sew("side seam", "front.side", to="back.side"))
    pieces = [sheet.piece() for sheet in sheets]
    if lining:
        short, pocket = on.usual(inch(1)).mm, ("pocket top", "pocket end")
        pieces += [lined(pieces[0], "lining_front", short=short, without=pocket),
                   lined(pieces[1], "lining_back", short=short, without=pocket, slit="centre_back")]  # fmt: skip
        seams += [sew("lining centre back seam", "lining_back.centre_back", to="lining_back.centre_back"),
                  sew("lining side seam", "lining_front.side", to="lining_back.side"),
                  sew("front lining to waist", "lining_front.waist", to="front.waist", how="faced"),
                  sew("back lining to waist", "lining_back.waist", to="back.waist", how="faced")]  # fmt: skip
        on.note("Lining: lay its darts as pleats, the other way than those of the skirt are pressed.")
    stretch = "from start to lap" if band_lap.mm else "from start to end"
    seams.append(sew("waist seam", f"waistband.band_seam {stretch}", to=("back.waist", "front.waist")))
    return on.draft(
        pieces,
        seams=seams,
        claims=[
            Girth("girth.waist", "Change ease_waist.", "waist", body.waist_girth, ease_waist,
                  refs("front.waist", "back.waist")),
            Girth("girth.hip", "Change ease_hip.", "hip", body.hip_girth, ease_hip),
            OpensTo("zip.reach", "set zip_long to {enough} or more.", "zip", "centre back", "hip", "waist",
                    body.hip_girth),
        ],
        notions=[Notion("zip", zip_end.mm, "zip_long", "", "zip end")],
        widths={"side": inch(1), "centre_back": inch(1), "slit": inch(1), "hem": inch(2)},
    )  # fmt: skip


def _bag(on: Board, front: Sketch) -> Sketch:
    """A bag as long at its mouth as the side is open, a hand and a half wide, and deeper than its mouth."""
    bag = on.sketch("pocket_bag", Cut("pair", 4))
    bag.trace("mouth", "pocket_end", front.run("side", "pocket_end", "pocket_top"), "pocket_top")
    bag.at("bag_low", of="pocket_end", left=on.usual(inch(3)), down=on.usual(inch(2)))
    bag.at("bag_in", of="pocket_end", left=on.usual(inch(6)), up=on.usual(inch(1)))
    bag.edge("bag", "pocket_end", curve(-90.0, "level"), "bag_low", curve("level", "upright"), "bag_in",
             curve("upright", "level"), "pocket_top")  # fmt: skip
    return bag
