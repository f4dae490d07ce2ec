"""A circle skirt, or part of one, from the waist, with a band and a zip.

       pin          the compass stands at the pin; the waist is an arc about it, the hem another
      / | \\
     /  wc  \\      wc, hc: the waist and the hem on the centre line of a piece, straight below the pin
    ws  |    \\     ws, hs: the same at its seam, swung about the pin
        hc         hs
Rules: the waist is radius × angle, so radius = waist ÷ angle, and the hem is longer by length × angle (geometry). It
hangs before it is hemmed (common practice, no source).
"""

from __future__ import annotations

from math import pi
from typing import Final

from ..claims.girth import Girth, GirthAtLeast
from ..draft.board import Board
from ..draft.rulers import compass
from ..draft.signature import choice, garment, length
from ..draft.sketch import Sketch
from ..model.claim import Claim
from ..model.draft import Draft, Notion
from ..model.finding import Severity
from ..model.length import Length, cm, greatest, inch, least, mm
from ..model.piece import Cut, EdgeKind, LineKind, piece_words, sew
from ..model.ref import Ref, refs

ANGLES: Final = {"half": 180.0, "full": 360.0, "three-quarter": 270.0, "quarter": 90.0}
"""How much of a circle each choice is, degrees."""


@garment("circle skirt, or part of one, with a waistband and a zip", noun="skirt")  # fmt: skip
def circle_skirt(
    on: Board,
    *,
    circle_part: str = choice("how much of a circle", *ANGLES),
    cut_in: str = choice("what it is cut in", "halves", "one", "quarters"),
    zip_at: str = choice("where the zip is", "back", "side"),
    ease_waist: Length = length("wearing ease round the waist", inch(0.5), most=inch(6)),
    long: Length = length("waist to hem", inch(24), least=inch(8), most=inch(45)),
    zip_long: Length | None = length("zip, from the waist down", least=inch(4), most=inch(14),
                                     worked_out="so that the hip passes, {a} or more", where={"a": inch(7)}),
    cloth_wide: Length | None = length("width of the cloth, to be told if a part does not go on it", least=inch(20),
                                       most=inch(130), worked_out="any"),
    band_wide: Length = length("waistband, finished", inch(1.25), least=inch(0.75), most=inch(3)),
    band_lap: Length = length("waistband lap beyond the zip", inch(1.25), most=inch(3)),
) -> Draft:  # fmt: skip
    """One piece, or front and back, and a band."""
    turn = ANGLES[circle_part]
    waist = (on.body.waist_girth + ease_waist).called("waist line")
    radius = (waist / (turn * pi / 180)).called("radius of the waist")
    if zip_at == "side" and cut_in == "one":
        on.refuse("cut in one, it has its only seam at the centre back", 'zip_at to "back", or cut_in to "halves"')
    hip, hip_line = on.body.get("hip_girth"), on.usual(inch(8))
    if hip is not None:
        hip_line = on.body.waist_to_hip.called("hip line")
        room = (waist + hip_line * (turn * pi / 180)).called("skirt at the hip line")
        if room < hip + cm(3):
            on.refuse(f"at the hip it is {on.say(room)} round, the hip {on.say(hip)}, and "
                      f"{on.say(cm(3))} more is wanted",
                      f'circle_part to more of one than "{circle_part}", or ease_waist')  # fmt: skip
        reach = greatest((hip - on.body.waist_girth + inch(2)) / 2, (hip - waist) / (turn * pi / 180))
        zip_end = zip_long or greatest(on.usual(inch(7)), reach)
    else:
        zip_end = zip_long or on.usual(inch(7))
    zip_end = zip_end.called("zip")
    on.work("zip_long", zip_end)
    if zip_end > long - inch(1):
        on.refuse(f"a zip of {on.say(zip_end)} is too long for a skirt of {on.say(long)}", "long to more, or zip_long")

    def sector(name: str, deg: float, cut: Cut, centre: str, seam: str) -> Sketch:
        s = on.sketch(name, cut, worn="body")
        s.at("circle_pin", up=radius)
        for line, down in sorted((("waist", mm(0)), ("zip", zip_end), ("hip", hip_line), ("hem", long)), key=_depth):
            s.at(f"{line}_centre", down=None if line == "waist" else down)
            reach = radius if line == "waist" else (radius + down).called(f"radius of the {line}")
            s.swing(f"{line}_half", f"{line}_centre", about="circle_pin", deg=deg / 2, reach=reach)
            s.swing(f"{line}_side", f"{line}_half", about="circle_pin", deg=deg / 2, reach=reach)
            arc = compass("circle_pin")
            s.level(line, down, f"{line}_centre", arc, f"{line}_half", arc, f"{line}_side")
        s.edge(seam, "hem_side", "waist_side")
        s.edge("waist", "waist_side", compass("circle_pin"), "waist_half", compass("circle_pin"), "waist_centre")
        (s.fold if cut.side == "fold" else s.edge)(centre, "waist_centre", "hem_centre")
        s.hem("hem", "hem_centre", compass("circle_pin"), "hem_half", compass("circle_pin"), "hem_side")
        zipped = "centre_back" if zip_at == "back" else "side"
        if zipped in (seam, centre):
            s.notch(zipped, "zip end", "waist_side" if zipped == seam else "waist_centre", at=zip_end)
        narrow = least(*s.size()) + inch(2)
        if cloth_wide is not None and narrow > cloth_wide:
            on.refuse(f"the {name} needs cloth {on.say(narrow)} wide, and there is "
                      f"{on.say(cloth_wide)}",
                      'cut_in to "quarters", circle_part to less of one, or long')  # fmt: skip
        return s

    fold, pair = Cut("fold"), Cut("pair", 2)
    if cut_in == "one":
        skirt = [sector("skirt", turn / 2, fold, "centre_front", "centre_back")]
    else:
        halves = fold if cut_in == "halves" else pair
        back = halves if zip_at == "side" else pair
        skirt = [sector("front", turn / 4, halves, "centre_front", "side"),
                 sector("back", turn / 4, back, "centre_back", "side")]  # fmt: skip
    band = on.sketch("waistband")
    band.box(waist + band_lap, band_wide * 2, ("under_end", "waist", "lap_end", "inside_edge"))
    band.between("fold_start", "bottom_left", "top_left")
    band.between("fold_end", "bottom_right", "top_right")
    band.line("fold", "fold_start", "fold_end", kind=LineKind.FOLD)
    band.notch("waist", "band end", "bottom_right", at=band_lap)
    pieces = [sheet.piece() for sheet in skirt]
    centres = [f"{piece.name}.{edge.name}" for piece in pieces for edge in piece.edges
               if edge.name.startswith("centre") and edge.kind is EdgeKind.SEAM]  # fmt: skip
    on.note(
        "Let the skirt hang for 24 hours before it is hemmed, then level the hem from the floor: where it hangs on the "
        "bias it drops, by nothing in firm cotton to 2 in (5 cm) in long crepe (common practice, no source)."
    )
    if zip_at == "side":
        on.note("The zip is in the left side seam.")
    waists = ("skirt.waist",) if cut_in == "one" else ("back.waist", "front.waist")
    claims: list[Claim] = [
        Girth("girth.waist", "Change ease_waist.", "waist", on.body.waist_girth, ease_waist, refs(*waists))
    ]
    if hip is not None:
        claims += [
            GirthAtLeast("girth.hip", "choose more of a circle, or add {more} to ease_waist.", "hip", hip, cm(3)),
            GirthAtLeast("zip.reach", "it cannot be stepped into: make zip_long more.", "zip", hip, mm(0),
                         severity=Severity.ERROR),
        ]  # fmt: skip
    return on.draft(
        [*pieces, band.piece()],
        seams=[
            *(sew(f"{piece_words(Ref.of(ref).edge)} seam", ref, to=ref) for ref in centres),
            *([] if cut_in == "one" else [sew("side seam", "front.side", to="back.side")]),
            sew("waist seam", "waistband.waist from start to band end", to=waists),
        ],
        claims=claims,
        notions=[Notion("zip", zip_end.mm, "zip_long", "", "zip end")],
        widths={"hem": inch(0.5)},
    )


def _depth(line: tuple[str, Length]) -> float:
    return line[1].mm
