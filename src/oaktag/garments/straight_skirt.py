"""A straight skirt, from the waist, with a band, a zip and a vent at the centre back.

    wc────▽──▽─── ws       origin: the waist line on the centre line; x outwards, y up
    │             )        ws stands a little above it, where the side seam rises over the hip
    │              hs      two darts a half: half of what the hip has over the waist, the side seam takes the rest
    │              │
    hc──────────── he      the back: as the front, with a centre back seam
Rules: quarter measures; surplus half to the side, at most 4 cm there, the rest to the darts, the front's shorter
(common practice, no source; a Russian course splits it 0.5 / 0.3 / 0.2, drafting rules for women's blocks, skirts).
"""

from __future__ import annotations

from ..draft.board import Board
from ..draft.rulers import HIP_CURVE, curve
from ..draft.signature import choice, count, garment, length
from ..draft.sketch import Sketch
from ..model.draft import Draft
from ..model.length import Length, cm, inch, least, mm, total
from ..model.piece import Cut, EdgeKind, LineKind, sew


@garment("straight skirt with a waistband, darts, a centre back zip and a vent", order=(
    "vent_top", "centre_back", "pocket_edge", "side", "waist", "seam", "hem"))  # fmt: skip
def straight_skirt(
    on: Board,
    *,
    ease_waist: Length = length("wearing ease round the waist", inch(0.5), most=inch(6)),
    ease_hip: Length = length("wearing ease round the hip", inch(2), most=inch(12)),
    long: Length = length("waist to hem", inch(25), least=inch(12), most=inch(45)),
    darts: int = count("waist darts in each half", 2, least=1, most=2),
    side_rise: Length = length("side seam above the waist line", inch(0.5), most=inch(1)),
    peg: Length = length("taken in at each side seam at the hem", mm(0), most=inch(2)),
    opening: str = choice("centre back opening at the hem", "vent", "none"),
    vent_long: Length = length(
        "vent, from the hem up", inch(8), least=inch(4), most=inch(20), when=("opening", "vent")
    ),
    vent_wide: Length = length("vent extension", inch(2), least=inch(1), most=inch(4), when=("opening", "vent")),
    zip_long: Length | None = length(
        "zip, from the waist down", least=inch(4), most=inch(14), worked_out="down to the hip line"
    ),
    band_wide: Length = length("waistband, finished", inch(1.25), least=inch(0.75), most=inch(3)),
    band_lap: Length = length("waistband lap beyond the zip", inch(1.25), most=inch(3)),
) -> Draft:
    """Front, back and band."""
    body = on.body
    hip_line = body.waist_to_hip.called("hip line")
    hip = ((body.hip_girth + ease_hip) / 4).called("quarter hip")
    waist = ((body.waist_girth + ease_waist) / 4).called("quarter waist")
    if waist > hip:
        on.refuse("the waist is wider than the hip, and a skirt with darts needs the hip to be wider", "ease_hip")
    surplus = (hip - waist).called("surplus")
    at_side = least(surplus / 2, cm(4)).called("side seam takes in at the waist")
    intake = ((surplus - at_side) / darts).called("each dart takes in")
    zip_end = (zip_long or hip_line).called("zip")

    def panel(name: str, deep: Length, cut: Cut) -> Sketch:
        s = on.sketch(name, cut, worn="body")
        centre = f"centre_{name}"
        s.at("waist_centre")
        s.at("hip_side", right=hip, down=hip_line)
        s.at("hem_centre", down=long)
        s.at("hem_side", right=hip - peg if peg.mm else hip, down=long)
        s.at("waist_side", right=hip - at_side, up=side_rise)
        s.edge("side", "hem_side", "hip_side", HIP_CURVE, "waist_side")
        s.edge("waist", "waist_side", curve("square", "level"), "waist_centre")
        for k in range(darts):
            s.dart(f"waist {k + 1}", "waist", at=(hip - at_side) * ((k + 1) / (darts + 1)), of="waist_centre",
                   intake=intake, deep=deep - inch(1) * k)  # fmt: skip
        s.fit("waist", to=waist, move="waist_side", way="right", change="ease_waist or ease_hip")
        s.level("waist", mm(0))
        s.level("hip", hip_line)
        s.level("hem", long)
        s.notch("side", "hip", "hip_side", count=1 if name == "front" else 2)
        if cut.side == "fold":
            s.fold(centre, "waist_centre", "hem_centre")
            s.hem("hem", "hem_centre", "hem_side")
            return s
        s.at("vent_top", down=long - vent_long if opening == "vent" else long)
        s.edge(centre, "waist_centre", "vent_top")
        s.at("zip_end", down=zip_end)
        s.notch(centre, "zip end", "waist_centre", at=zip_end)
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

    front, back = panel("front", on.usual(inch(4)), Cut("fold")), panel("back", on.usual(inch(5.5)), Cut("pair", 2))
    band = on.sketch("waistband", Cut())
    seam = total(front.long("waist"), back.long("waist")) * 2
    band.box(seam + band_lap, band_wide * 2, ("under_end", "seam", "lap_end", "inside_edge"))
    return on.draft(
        [front.piece(), back.piece(), band.piece()],
        seams=[
            sew("centre back seam", "back.centre_back", to="back.centre_back"),
            sew("side seam", "front.side", to="back.side"),
            sew("waist seam", "waistband.seam", to=("front.waist", "back.waist")),
        ],
        widths={"side": inch(1), "centre_back": inch(1), "hem": inch(2), "vent_edge": inch(0.5)},
    )
