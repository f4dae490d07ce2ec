"""A gathered skirt: straight widths of cloth drawn in to a band or a casing; in tiers, with a flounce.

Rules: the cloth is its fullness times the seam it is gathered to, and at least hip + 10 cm (derived, and proved on
forty women); fullness by cloth: heavy 1.5, medium 2, light 2.5, sheer 3 (chosen); widths of cloth = what is wanted ÷
the cloth less its selvedges and seams, rounded up; centre back waist lowered 1/4 in (Armstrong, as worked in a blog of
2011); flounce 1 1/3 to 1 1/2 times (books of 1907 to 1916); tiers: each longer as told, heights alike or each a tenth
higher than the one above (chosen).
"""

from __future__ import annotations

from math import ceil

from ..claims.edges import DrawnIn
from ..claims.girth import GirthAtLeast
from ..draft.board import Board
from ..draft.signature import choice, count, garment, length, share
from ..model.claim import Claim
from ..model.draft import Draft
from ..model.length import Length, cm, greatest, inch, least, mm
from ..model.piece import Cut, Piece, Seam, sew
from ..model.ref import refs
from .parts.part import Part, together, with_more
from .parts.pockets import IN_SEAM, pocket_kinds, pocketed
from .parts.waist import band, beyond, closing_at, closures, finishes, opens, waist_asked, waist_finished

FULLNESS = {"medium": 2.0, "heavy": 1.5, "light": 2.5, "sheer": 3.0}
"""Cloth to seam, by cloth (chosen)."""
SELVEDGE = inch(0.5)
"""Not used at either side of the cloth (common practice, no source)."""


@garment("gathered skirt, in one or in tiers, with a band or an elastic waist", noun="skirt")
def gathered_skirt(
    on: Board,
    *,
    weight: str = choice("the cloth, which tells how full it is", *FULLNESS, "other"),
    fullness: float = share("cloth to waist", 2.0, least=1.1, most=5.0, when=("weight", "other")),
    ease_waist: Length = length("wearing ease round the waist", inch(0.5), most=inch(6)),
    long: Length = length("waist to hem", inch(26), least=inch(8), most=inch(45)),
    tiers: int = count("tiers", 1, least=1, most=5, group="tiers"),
    tier_heights: str = choice("heights of the tiers", "alike", "growing", group="tiers"),
    tier_fullness: float = share("each tier to the one above", 1.5, least=1.1, most=3.0, group="tiers"),
    flounce: Length = length("height of a flounce at the hem, part of the length", mm(0), most=inch(20), group="tiers"),
    flounce_fullness: float = share("flounce to the edge above", 1.5, least=1.1, most=3.0, group="tiers"),
    cloth_wide: Length = length("width of the cloth", inch(54), least=inch(20), most=inch(130), of_cloth=True),
    waist: str = finishes("band", "curved band", "elastic"),
    closure: str = closures("zip", "buttons", "hook"),
    closes_at: str = closing_at("back", "side"),
    zip_long: Length | None = opens("so that the hip passes, {a} or more", a=inch(7)),
    band_wide: Length = band(inch(1.5)),
    band_lap: Length = beyond(inch(1)),
    pocket_kind: str = pocket_kinds(IN_SEAM, "patch"),
) -> Draft:  # fmt: skip
    """Front and back, or widths alike; tiers; flounce; waist finish."""
    asked = waist_asked(on, waist, closure, closes_at, zip_long, ease=ease_waist, wide=band_wide, lap=band_lap,
                        long=long)  # fmt: skip
    panels = gathered_panels(
        on, asked.upper, long=asked.long, opening=asked.at, fullness=FULLNESS.get(weight, fullness), tiers=tiers,
        growing=tier_heights == "growing", tier_fullness=tier_fullness, flounce=flounce,
        flounce_fullness=flounce_fullness, cloth_wide=cloth_wide, zip_end=asked.down, end=asked.end, above=asked.above,
    )  # fmt: skip
    panels = pocketed(on, panels, pocket_kind, front="front.side", back="back.side", right=inch(4))
    return together(on, waist_finished(on, panels, asked, hip=on.body.get("hip_girth")))


def gathered_panels(
    on: Board, waist: Length, *, long: Length, opening: str, prefix: str = "", fullness: float = 2.0, tiers: int = 1,
    growing: bool = False, tier_fullness: float = 1.5, flounce: Length = mm(0), flounce_fullness: float = 1.5,
    cloth_wide: Length | None = None, zip_end: Length | None = None, end: str = "zip end", above: Length = mm(0),
) -> Part:  # fmt: skip
    """The skirt without its band; its upper edge is longer than `waist`, to which it is gathered, by `Part.gathers`."""
    hip = on.body.get("hip_girth")
    hip_line = on.usual(inch(8)) if hip is None else with_more(on.body.waist_to_hip, above).called("hip line")
    cloth = (greatest(waist * fullness, hip + cm(10)) if hip else waist * fullness).called("cloth all round")
    if hip is not None and waist * fullness < hip + cm(10):
        on.note(f"For the hip the skirt is {on.say(cloth)} round, more than {fullness:g} times its upper edge.")
    room = None if cloth_wide is None else cloth_wide - (SELVEDGE + inch(0.5)) * 2
    if flounce > long - inch(4):
        on.refuse(f"a flounce of {on.say(flounce)} leaves too little of a skirt of {on.say(long)}", "flounce to less")
    shares = [1.1**k if growing else 1.0 for k in range(tiers)]
    heights = [((long - flounce) * (part / sum(shares))).called(f"height of tier {k + 1}" if tiers > 1 else "height")
               for k, part in enumerate(shares)]  # fmt: skip
    if zip_end is not None and zip_end > heights[0] - inch(0.5):
        on.refuse(f"an opening of {on.say(zip_end)} does not end within the upper tier, {on.say(heights[0])} high",
                  "tiers to fewer, or zip_long, or waist to elastic")  # fmt: skip

    def widths(name: str, around: Length) -> int:
        """Of how many widths of cloth a ring is; told, and alike in all sizes."""
        number = 1 if room is None else ceil(around.over(room) - 1e-9)
        return int(on.settle(f"widths_{name}", str(number)))

    def straight(
        name: str, wide: Length, high: Length, depth: Length, cut: Cut, *, last: bool, low: Length = mm(0)
    ) -> Piece:
        """A straight piece, its centre line or the middle of a width at the left."""
        s, centre = (
            on.sketch(prefix + name, cut, worn="body"),
            f"centre_{name}" if name in ("front", "back") else "centre_fold",
        )
        upper = depth.mm == 0
        s.at("waist_centre", down=low if low.mm else None)
        s.at("waist_side", right=wide)
        s.at("hem_centre", down=high)
        s.at("hem_side", right=wide, down=high)
        (s.fold if cut.side == "fold" else s.edge)(centre, "waist_centre", "hem_centre")
        (s.hem if last else s.edge)("hem" if last else "low", "hem_centre", "hem_side")
        s.edge("side", "hem_side", "waist_side")
        s.edge("waist", "waist_side", "waist_centre")
        s.level("waist" if upper else f"{name} top", depth, "waist_centre", "waist_side")
        if upper:
            s.level("hip" if hip_line < high - inch(1) else "upper tier", least(hip_line, high / 2))
        s.level("hem" if last else f"{name} low", depth + high, "hem_centre", "hem_side")
        if zip_end is not None and upper and not (name == "front" and opening == "back"):
            zipped = "side" if opening == "side" or name == "width" else centre
            s.notch(zipped, end, "waist_side" if zipped == "side" else "waist_centre", at=zip_end)
        return s.piece()

    def ring(name: str, around: Length, high: Length, depth: Length, number: int, *, last: bool) -> Piece:
        """One of `number` widths alike, its half on the fold."""
        half = (around / (2 * number)).called(f"half a width of the {name.replace('_', ' ')}")
        return straight(name, half, high, depth, Cut("fold", number, all_round=True), last=last)

    number, alone = widths("skirt", cloth), tiers == 1 and not flounce.mm
    low = on.usual(inch(0.25))
    if number <= 2:
        quarter = (cloth / 4).called("quarter of the cloth")
        back = Cut("pair") if opening == "back" else Cut("fold")
        pieces = [straight("back", quarter, heights[0], mm(0), back, last=alone, low=low),
                  straight("front", quarter, heights[0], mm(0), Cut("fold"), last=alone)]  # fmt: skip
        pieces = list(on.fitted(*pieces))
        seams: list[Seam] = [sew("side seam", f"{prefix}front.side", to=f"{prefix}back.side")]
        if opening == "back":
            seams.insert(0, sew("centre back seam", f"{prefix}back.centre_back", to=f"{prefix}back.centre_back"))
    else:
        pieces = [ring("width", cloth, heights[0], mm(0), number, last=alone)]
        seams = [sew("seam of the widths", f"{prefix}width.side", to=f"{prefix}width.side")]
        on.note(f"The skirt is {number} widths of cloth, alike. Lower its waist {on.say(low)} at the centre back, to "
                "nothing at the sides, before it is gathered.")  # fmt: skip
        if zip_end is not None:
            on.note("Of the seams of the widths one alone is left open.")
    said = "" if number <= 2 else " from start to end"
    top = tuple(f"{piece.name}.waist{said}" for piece in pieces)
    gathers = sum(piece.to_cut.around * piece.edge("waist").length() for piece in pieces) - waist.mm

    above, edges, depth = (
        cloth,
        tuple(f"{piece.name}.low{said and ' from end to start'}" for piece in pieces),
        heights[0],
    )
    rows = [(f"tier_{k + 2}", high, tier_fullness) for k, high in enumerate(heights[1:])]
    rows += [("flounce", flounce, flounce_fullness)] if flounce.mm else []
    for k, (name, high, times) in enumerate(rows):
        around = (above * times).called(f"{name.replace('_', ' ')} all round")
        count_of = widths(name, around)
        pieces.append(ring(name, around, high, depth, count_of, last=k == len(rows) - 1))
        own = f"{prefix}{name}"
        on.note(f"{name.replace('_', ' ').capitalize()}: {count_of} width{'s' if count_of > 1 else ''} of cloth.")
        seams.append(sew(f"seam of the {name.replace('_', ' ')}", f"{own}.side", to=f"{own}.side"))
        more = (
            around.mm - above.mm
            if k
            else around.mm - sum(p.to_cut.around * p.edge("low").length() for p in pieces[:-1])
        )
        seams.append(
            sew(
                f"{name.replace('_', ' ')} gathers",
                f"{own}.waist from start to end",
                to=edges,
                how="gathered",
                ease=more,
            )
        )
        above, edges, depth = around, (f"{own}.low from end to start",), depth + high
    if len(rows) or number > 2:
        on.note("Mark the quarters of both edges before you gather one to the other; they meet.")
    onto = waist.called("what it is gathered to")
    claims: list[Claim] = [DrawnIn("gathers.waist", "change fullness.", refs(*top), cloth, onto)]
    if hip is not None:
        level = next(each.name for each in pieces[0].levels if each.name in ("hip", "upper tier"))
        claims.append(GirthAtLeast("girth.hip", "choose a greater fullness.", level, hip, cm(10)))
    return Part(tuple(pieces), tuple(seams), tuple(claims), (), {"hem": inch(3) if alone else inch(1)}, top,
                gathers=gathers)  # fmt: skip
