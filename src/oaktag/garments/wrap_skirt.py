"""A wrap skirt: back on the fold, two fronts over each other, tied or buttoned; straight, A-line, or half a circle.

    we ─ wc ───▽─── ws     wc: the waist at the centre front; we: the end of the front, half the overlap beyond it
    │    │        )        one dart a half, two above 4 cm; the front's at 2/3 (chosen); half of what
    │    │         hs       the hip has over the waist is taken in at the side seam
    he ─ hc ─────── hs     half a circle: both lines are arcs about a pin above the waist
Rules: 3 in added at the centre front give 6 in of overlap (Smith); half a circle: radius = (waist + overlap) ÷ π, where
a handout takes 12 in and 3 for π; at the hem 15 cm still lap in a stride, ties of waist + 50 and waist + 90 cm, one of
which passes round, cut 2 in wide (chosen); darts as in the straight skirt.
"""

from __future__ import annotations

from math import pi
from typing import Final

from ..claims.girth import GirthAtLeast
from ..claims.walking import LEAST_LAP, LapInStride, wrapped
from ..draft.board import Board
from ..draft.rulers import HIP_CURVE, compass, curve
from ..draft.signature import choice, garment, length
from ..draft.sketch import Sketch
from ..model.claim import Claim
from ..model.cord import Cord
from ..model.draft import Draft
from ..model.length import Length, cm, found, greatest, inch, least, mm
from ..model.piece import Cut, EdgeKind, LineKind, Seam, sew
from ..model.ref import refs
from .parts.part import Part, together, with_more
from .parts.pockets import IN_SEAM, pocket_kinds, pocketed
from .parts.stride import walk_of
from .parts.waist import band, finishes, waist_asked, waist_finished

TIE_GAP: Final = inch(1.25)
"""The side seam is left open so far below the waist for the tie (common practice, no source)."""


@garment("wrap skirt with ties or buttons: straight, in an A-line, or half a circle", noun="skirt")
def wrap_skirt(
    on: Board,
    *,
    wrap_shape: str = choice("shape", "A-line", "straight", "half-circle"),
    ease_waist: Length = length("wearing ease round the waist", inch(0.5), most=inch(6)),
    ease_hip: Length = length("wearing ease round the hip", inch(2), most=inch(12),
                              when=("wrap_shape", "A-line", "straight")),
    flare: Length = length("further out at each side of the hem", inch(3), most=inch(8), when=("wrap_shape", "A-line")),
    long: Length = length("waist to hem", inch(26), least=inch(14), most=inch(42)),
    front_lap: Length | None = length(
        "how far the fronts lie over each other", least=inch(3), most=inch(30),
        worked_out="{a} or more: at the hem {b} still lap in a stride", where={"a": inch(6), "b": mm(150)}),
    waist: str = finishes("band", "curved band", "facing"),
    closure: str = choice("how it is held", "ties", "buttons", group="waist"),
    band_wide: Length = band(inch(1.5)),
    pocket_kind: str = pocket_kinds(IN_SEAM, "patch"),
) -> Draft:  # fmt: skip
    """Back, front, band or facings; two ties, or buttons; pockets."""
    line = (on.body.waist_girth + ease_waist).called("waist line")
    walk = walk_of(on, long)
    at_rest = line + long * round(pi, 5)
    if wrap_shape != "half-circle":
        at_rest = on.body.hip_girth + ease_hip + flare * (4 if wrap_shape == "A-line" else 0)
    at_rest = at_rest.called("hem without the overlap")
    stride = found(wrapped(walk), "what of the hem goes round both legs in a stride")
    lap = (front_lap or greatest(on.usual(inch(6)), stride + mm(LEAST_LAP) - at_rest)).called("overlap")
    on.work("front_lap", lap)
    asked = waist_asked(on, waist, closure, "front", None, ease=ease_waist + lap, wide=band_wide, lap=mm(0), long=long)
    panels = wrap_panels(
        on, asked.upper - lap, long=asked.long, opening="none", shape=wrap_shape, ease_hip=ease_hip, flare=flare,
        overlap=lap, tied=closure == "ties", above=asked.above,
    )  # fmt: skip
    panels = pocketed(on, panels, pocket_kind, front="front.side", back="back.side")
    held: tuple[Part, ...] = ()
    if closure == "ties":
        held = (_ties(on),)
    else:
        on.note("Buttons: work a hole in the end of the waist that lies over, and one in the end that lies under, "
                "for a button inside; lap the centre lines, and sew them on where the ends come to lie.")  # fmt: skip
    on.note("Try it sitting and on stairs before you hem it.")
    claim = LapInStride("walk.overlap", "add {more} to front_lap, or take a wider shape.", walk,
                        refs("back.hem", "front.hem"))  # fmt: skip
    return together(on, (*waist_finished(on, panels, asked), *held), claims=[claim])


def _ties(on: Board) -> Part:
    edges = ("tie_end", "tie_lower", "band_end", "tie_upper")
    beyond = {"tie_short": on.usual(cm(50)), "tie_long": on.usual(cm(90))}
    ties = [_strip(on, name, on.body.waist_girth + more, inch(1), edges) for name, more in beyond.items()]
    cords = tuple(Cord(name.replace("_", " "), "waist", "sash", more) for name, more in beyond.items())
    sewn = tuple(sew(tie.name.replace("_", " "), f"{tie.name}.tie_lower", to=f"{tie.name}.tie_upper") for tie in ties)
    on.note("Catch each tie in an end of the waist: the long one at the front that lies under. It comes out through a "
            f"side seam that is left open down to the notch, {on.say(on.usual(TIE_GAP))} below the waist: the right "
            "one, if the right front lies over.")  # fmt: skip
    return Part(tuple(tie.piece() for tie in ties), sewn, cords=cords)


def _strip(on: Board, name: str, wide: Length, high: Length, edges: tuple[str, ...]) -> Sketch:
    s = on.sketch(name)
    s.box(wide, high, edges)
    s.between("fold_start", "bottom_left", "top_left")
    s.between("fold_end", "bottom_right", "top_right")
    s.line("fold", "fold_start", "fold_end", kind=LineKind.FOLD)
    return s


def wrap_panels(
    on: Board, waist: Length, *, long: Length, opening: str, prefix: str = "", shape: str = "A-line",
    ease_hip: Length, flare: Length, overlap: Length, tied: bool = True, above: Length = mm(0),
) -> Part:  # fmt: skip
    """Back and fronts without waist finish or ties, `waist` round when they lie over each other by `overlap`. It opens
    at the fronts, so `opening` is "none". Raises DraftError for what cannot be drawn."""
    out = (overlap / 2).called("front beyond the centre")
    hip_line = with_more(on.body.waist_to_hip, above).called("hip line")
    if shape == "half-circle":
        drawn = _half_circle(on, prefix, waist, long, overlap, hip_line)
    else:
        drawn = _fitted(on, prefix, waist, long, out, hip_line, ease_hip, flare if shape == "A-line" else mm(0), above)
    for s in drawn if tied else ():
        s.notch("side", "tie gap end", "waist_side", at=on.usual(TIE_GAP))
    own = on.fitted(*(s.piece() for s in drawn))
    ease = cm(3) if shape == "half-circle" else ease_hip
    claims: tuple[Claim, ...] = (
        GirthAtLeast("girth.hip", "make front_lap, or ease_waist, {more} more.", "hip", on.body.hip_girth, ease),
    )
    seams: tuple[Seam, ...] = (sew("side seam", f"{prefix}front.side", to=f"{prefix}back.side"),)
    widths = {"hem": inch(1), "wrap_edge": inch(1)}
    return Part(own, seams, claims, (), widths, (f"{prefix}back.waist", f"{prefix}front.waist"))


def _fitted(
    on: Board,
    prefix: str,
    waist: Length,
    long: Length,
    out: Length,
    hip_line: Length,
    ease_hip: Length,
    flare: Length,
    above: Length,
) -> tuple[Sketch, Sketch]:
    hip = ((on.body.hip_girth + ease_hip) / 4).called("quarter hip")
    quarter = (waist / 4).called("quarter waist")
    if quarter > hip:
        on.refuse("the waist is wider than the hip, and darts need the hip to be wider", "ease_hip to more")
    surplus = (hip - quarter).called("surplus")
    at_side = least(surplus / 2, cm(4)).called("side seam takes in at the waist")
    darts = int(on.settle("waist_darts", "2" if surplus - at_side > cm(4) else "1"))
    intake = ((surplus - at_side) / darts).called("each dart takes in")
    place = ((hip - at_side) * (2 / 3)).called("front dart from the centre")
    if out > place - intake / 2 - inch(0.5):
        most = (place - intake / 2 - inch(0.5)) * 2
        on.refuse(f"an overlap of {on.say(out * 2)} would reach over the darts of the fronts",
                  f'front_lap to {on.say(most)} or less, flare to more, or wrap_shape to "half-circle"')  # fmt: skip

    def half(name: str, deep: Length) -> Sketch:
        s, front = (
            on.sketch(prefix + name, Cut("pair") if name == "front" else Cut("fold"), worn="body"),
            name == "front",
        )
        s.at("waist_centre")
        s.at("hip_side", right=hip, down=hip_line)
        s.at("hem_centre", down=long)
        s.at("hem_side", right=flare, of="hip_side", far=long - hip_line)
        s.at("waist_side", right=hip - at_side, up=on.usual(inch(0.5)))
        s.edge("side", "hem_side", "hip_side", HIP_CURVE, "waist_side")
        square = curve("level", "square")
        if front:
            s.at("waist_end", left=out)
            s.at("hem_end", left=out, down=long)
            s.edge("waist", "waist_side", curve("square", "level"), "waist_centre", "waist_end")
            s.edge("wrap_edge", "waist_end", "hem_end", kind=EdgeKind.OPENING)
            s.hem("hem", "hem_end", "hem_centre", square, "hem_side")
            s.line("centre front", "waist_centre", "hem_centre", kind=LineKind.PLACEMENT)
        else:
            s.edge("waist", "waist_side", curve("square", "level"), "waist_centre")
            s.fold("centre_back", "waist_centre", "hem_centre")
            s.hem("hem", "hem_centre", square, "hem_side")
        for k in range(darts):  # the second of the front half way from the first to the side
            at = place + out + (hip - at_side - place) / 2 * k if front else (hip - at_side) * ((k + 1) / (darts + 1))
            s.dart("waist" if k == 0 else f"waist {k + 1}", "waist", at=at, of="waist_end" if front else "waist_centre",
                   intake=intake, deep=deep - on.usual(inch(1)) * k if k else deep)  # fmt: skip
        s.fit("waist", to=quarter + out if front else quarter, move="waist_side", way="right",
              change="ease_waist or ease_hip")  # fmt: skip
        for level, down in (("waist", mm(0)), ("hip", hip_line)):
            s.level(level, down)
        s.level("hem", long, "hem_centre", square, "hem_side")
        return s

    return half("back", with_more(on.usual(inch(5.5)), above)), half("front", with_more(on.usual(inch(4)), above))


def _half_circle(
    on: Board, prefix: str, waist: Length, long: Length, overlap: Length, hip_line: Length
) -> tuple[Sketch, Sketch]:
    radius = ((waist + overlap) / pi).called("radius of the waist")
    turned = 45.0 * waist.over(waist + overlap)
    beyond = -90.0 * overlap.over(waist + overlap)
    arc = compass("circle_pin")

    def sector(name: str) -> Sketch:
        s, front = (
            on.sketch(prefix + name, Cut("pair") if name == "front" else Cut("fold"), worn="body"),
            name == "front",
        )
        s.at("circle_pin", up=radius)
        for line, down in (("waist", mm(0)), ("hip", hip_line), ("hem", long)):
            reach = (radius + down).called(f"radius of the {line}") if down.mm else radius
            s.at(f"{line}_centre", down=down if down.mm else None)
            s.swing(f"{line}_side", f"{line}_centre", about="circle_pin", deg=turned, reach=reach)
            if front and line != "hip":
                s.swing(f"{line}_end", f"{line}_centre", about="circle_pin", deg=beyond, reach=reach)
            s.level(line, down, f"{line}_centre", arc, f"{line}_side")
        s.edge("side", "hem_side", "waist_side")
        if front:
            s.edge("waist", "waist_side", arc, "waist_centre", arc, "waist_end")
            s.edge("wrap_edge", "waist_end", "hem_end", kind=EdgeKind.OPENING)
            s.hem("hem", "hem_end", arc, "hem_centre", arc, "hem_side")
            s.line("centre front", "waist_centre", "hem_centre", kind=LineKind.PLACEMENT)
        else:
            s.edge("waist", "waist_side", arc, "waist_centre")
            s.fold("centre_back", "waist_centre", "hem_centre")
            s.hem("hem", "hem_centre", arc, "hem_side")
        return s

    return sector("back"), sector("front")
