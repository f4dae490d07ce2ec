"""A circle skirt, or part of one, from the waist, in any waist finish.

       pin          the compass stands at the pin; the waist is an arc about it, the hem another
      / | \\
     /  wc  \\      wc, hc: the waist and the hem on the centre line of a piece, straight below the pin
    ws  |    \\     ws, hs: the same at its seam, swung about the pin
        hc         hs
Rules: the waist is radius × angle, so radius = waist ÷ angle, and the hem is longer by length × angle; of n gores each
has an n-th of the angle and of the waist's arc, not of its chord (geometry). A radius below 5 cm is refused (chosen).
It hangs before it is hemmed (common practice, no source).
"""

from __future__ import annotations

from math import pi, radians, sin
from typing import Final

from ..claims.cloth import GoesOnCloth
from ..claims.girth import GirthAtLeast, RoundAsMeant
from ..draft.board import Board
from ..draft.rulers import compass
from ..draft.signature import choice, garment, length
from ..draft.sketch import Sketch
from ..model.claim import Claim
from ..model.draft import Draft
from ..model.finding import Severity
from ..model.length import Length, cm, inch, mm
from ..model.piece import Cut, EdgeKind, piece_words, sew
from ..model.ref import Ref, refs
from .parts.part import Part, joined_at, together, with_more
from .parts.pockets import IN_SEAM, pocket_kinds, pocketed
from .parts.waist import band, beyond, closing_at, closures, finishes, opens, waist_asked, waist_finished

ANGLES: Final = {"half": 180.0, "full": 360.0, "three-quarter": 270.0, "quarter": 90.0}
"""How much of a circle each choice is, degrees."""
GORED: Final = ("6 gores", "8 gores", "10 gores", "12 gores")


@garment("circle skirt, or part of one, in any waist finish", noun="skirt")  # fmt: skip
def circle_skirt(
    on: Board,
    *,
    circle_part: str = choice("how much of a circle", *ANGLES),
    cut_in: str = choice("what it is cut in", "auto", "one",
                         "halves", "quarters", *GORED),
    ease_waist: Length = length("wearing ease round the waist", inch(0.5), most=inch(6)),
    long: Length = length("waist to hem", inch(24), least=inch(8), most=inch(45)),
    cloth_wide: Length | None = length("width of the cloth, to be told if a part does not go on it", least=inch(20),
                                       most=inch(130), worked_out="any", of_cloth=True),
    waist: str = finishes("band", "curved band", "facing", "elastic"),
    closure: str = closures("zip", "buttons", "hook"),
    closes_at: str = closing_at("back", "side"),
    zip_long: Length | None = opens("so that the hip passes, {a} or more", a=inch(7)),
    band_wide: Length = band(),
    band_lap: Length = beyond(),
    pocket_kind: str = pocket_kinds(IN_SEAM),
) -> Draft:  # fmt: skip
    """One piece, or front and back, or gores; and the waist finish."""
    asked = waist_asked(on, waist, closure, closes_at, zip_long, ease=ease_waist, wide=band_wide, lap=band_lap,
                        long=long, slope=radians(ANGLES[circle_part]))  # fmt: skip
    panels = circle_panels(on, asked.upper, long=asked.long, opening=asked.at, circle_part=circle_part, cut_in=cut_in,
                           cloth_wide=cloth_wide, zip_end=asked.down, end=asked.end, above=asked.above)  # fmt: skip
    panels = pocketed(on, panels, pocket_kind, front="front.side", back="back.side")
    return together(on, waist_finished(on, panels, asked, hip=on.body.get("hip_girth")))


def circle_panels(
    on: Board, waist: Length, *, long: Length, opening: str, prefix: str = "", circle_part: str = "half",
    cut_in: str = "auto", cloth_wide: Length | None = None, zip_end: Length | None = None,
    end: str = "zip end", forward: Length = mm(0), above: Length = mm(0),
) -> Part:  # fmt: skip
    """The skirt without its band, its upper edge `waist` round; `opening`: "back", "side" or "none"; `forward`:
    the front is so much wider there, the back narrower; `above`: that edge lies so far above the waist. Raises
    DraftError for a radius below 5 cm, a hip that it does not go over, and parts that go on no cloth of that width."""
    angle = ANGLES[circle_part] * pi / 180
    radius = (waist / angle).called("radius of the waist")
    if radius < cm(5):
        on.refuse(f"the radius of the waist is {on.say(radius)}, and below {on.say(cm(5))} it cannot be sewn",
                  "circle_part to less of one")  # fmt: skip
    if opening == "side" and cut_in == "one":
        on.refuse("cut in one, it has its only seam at the centre back", 'closes_at to "back", or cut_in to "halves"')
    hip, hip_line = on.body.get("hip_girth"), on.usual(inch(8))
    claims: list[Claim] = []
    if hip is not None:
        hip_line = with_more(on.body.waist_to_hip, above).called("hip line")
        room = (waist + hip_line * angle).called("skirt at the hip line")
        if hip_line.mm > 0 and room < hip + cm(3):
            on.refuse(f"at the hip it is {on.say(room)} round, the hip {on.say(hip)}, and "
                      f"{on.say(cm(3))} more is wanted",
                      f'circle_part to more of one than "{circle_part}", or ease_waist')  # fmt: skip
        if hip_line <= long:
            change = "choose more of a circle, or add {more} to ease_waist."
            claims.append(GirthAtLeast("girth.hip", change, "hip", hip, cm(3)))
        if zip_end is not None:
            claims.append(GirthAtLeast("zip.reach", "it cannot be stepped into: make zip_long more.", "zip", hip, mm(0),
                                       severity=Severity.ERROR))  # fmt: skip

    ways = {way: widest(way, angle, radius + long) for way in ("halves", "quarters", *GORED)}
    fits = [way for way, wide in ways.items() if cloth_wide is None or wide <= cloth_wide.mm]
    if cut_in == "auto":
        cut_in = on.settle("cut_in", fits[0] if fits else GORED[-1])
        if cut_in in fits and cut_in != "halves":
            on.note(f"Cut in {cut_in}, since {'halves do' if cut_in == 'quarters' else 'quarters do'} not go on cloth "
                    f"{on.say(cloth_wide or long)} wide.")  # fmt: skip
    needed = widest(cut_in, angle, radius + long)
    if cloth_wide is not None and needed > cloth_wide.mm:
        on.refuse(f"cut in {cut_in} it needs cloth {on.say(needed)} wide, and there is {on.say(cloth_wide)}",
                  f'cut_in to "{fits[0]}"' if fits else "circle_part to less of one, or long to less")  # fmt: skip

    def sector(name: str, part: float, cut: Cut, centre: str, seam: str) -> Sketch:
        s, deg, arc = on.sketch(prefix + name, cut, worn="body"), ANGLES[circle_part] * part, compass("circle_pin")
        s.at("circle_pin", up=radius)
        levels = [("waist", mm(0)), ("hip", hip_line), ("hem", long), *([("zip", zip_end)] if zip_end else [])]
        for line, down in sorted(levels, key=lambda level: level[1].mm):
            if line == "hip" and hip_line > long:
                continue
            s.at(f"{line}_centre", down=None if line == "waist" else down)
            reach = radius if line == "waist" else (radius + down).called(f"radius of the {line}")
            s.swing(f"{line}_half", f"{line}_centre", about="circle_pin", deg=deg / 2, reach=reach)
            s.swing(f"{line}_side", f"{line}_half", about="circle_pin", deg=deg / 2, reach=reach)
            s.level(line, down, f"{line}_centre", arc, f"{line}_half", arc, f"{line}_side")
        s.edge(seam, "hem_side", "waist_side")
        s.edge("waist", "waist_side", arc, "waist_half", arc, "waist_centre")
        (s.fold if cut.side == "fold" else s.edge)(centre, "waist_centre", "hem_centre")
        s.hem("hem", "hem_centre", arc, "hem_half", arc, "hem_side")
        zipped = "centre_back" if opening == "back" and name != "gore" else "side"
        if zip_end is not None and zipped in (seam, centre):
            s.notch(zipped, end, "waist_side" if zipped == seam else "waist_centre", at=zip_end)
        return s

    fold, pair = Cut("fold"), Cut("pair")
    if cut_in == "one":
        skirt = [sector("skirt", 1 / 2, fold, "centre_front", "centre_back")]
    elif cut_in in GORED:
        count = int(cut_in.split()[0])
        skirt = [sector("gore", 1 / count / 2, Cut("fold", count, all_round=True), "centre_fold", "side")]
        if opening != "none":
            on.note(
                f"Of the gores' seams one alone is left open: at the {'back' if opening == 'back' else 'left side'}."
            )
    else:
        backs = pair if opening == "back" or cut_in == "quarters" else fold
        fronts, more = pair if cut_in == "quarters" else fold, forward.over(waist)
        skirt = [sector("back", 1 / 4 - more, backs, "centre_back", "side"),
                 sector("front", 1 / 4 + more, fronts, "centre_front", "side")]  # fmt: skip
    on.note(
        "Let the skirt hang for 24 hours before it is hemmed, then level the hem from the floor: where it hangs on the "
        "bias it drops, by nothing in firm cotton to 2 in (5 cm) in long crepe (common practice, no source)."
    )
    pieces = on.fitted(*(sheet.piece() for sheet in skirt), as_long=joined_at(prefix))
    own = ("centre_front", "centre_back", *(("side",) if cut_in in GORED else ()))
    alone = [f"{piece.name}.{edge.name}" for piece in pieces for edge in piece.edges
             if edge.kind is EdgeKind.SEAM and edge.name in own]  # fmt: skip
    seams = [sew(f"{piece_words(Ref.of(ref).edge)} seam", ref, to=ref) for ref in alone]
    if len(pieces) == 2:
        seams.append(sew("side seam", f"{prefix}front.side", to=f"{prefix}back.side"))
    top = tuple(f"{piece.name}.waist" for piece in pieces)
    hems = refs(*(f"{piece.name}.hem" for piece in pieces))
    around = (waist + long * round(angle, 6)).called("hem all round")
    claims.append(RoundAsMeant("girth.hem", "it is the waist, and the length by the angle.", hems, around))
    if cloth_wide is not None:
        claims.append(GoesOnCloth("cloth.wide", "cut it in more pieces with cut_in, or take cloth {more} wider.",
                                  tuple(piece.name for piece in pieces), cloth_wide))  # fmt: skip
    return Part(pieces, tuple(seams), tuple(claims), (), {"hem": inch(0.5)}, top)


def widest(way: str, angle: float, reach: Length) -> float:
    """How wide the cloth must be for the largest part of a skirt cut in that `way`, mm, with 1 in for an allowance at
    either side: its centre line lies along the grain. A part on the fold lies on both sides of it."""
    parts = {"one": 1, "halves": 2, "quarters": 4}.get(way) or int(way.split()[0])
    half = angle / parts if way == "quarters" else angle / parts / 2
    return reach.mm * sin(min(half, pi / 2)) * (1 if way == "quarters" else 2) + inch(2).mm
