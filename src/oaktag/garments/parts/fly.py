"""A fly at the centre front: the edge is parted where the zip ends, with a facing and a shield.

Zip: (hip less waist and 2 in) ÷ 2 or more (a sewing magazine), ending 2 cm above the curve, or 0.5 where the hip asks
for it; a man's 9 or 11 in, where that does (a state's extension service, 1973). Facing 4 cm wide, the shield 0.5 wider
(common practice, no source).
"""

from __future__ import annotations

from typing import Final

from ...draft.board import Board
from ...draft.rulers import curve
from ...draft.sketch import Sketch
from ...model.draft import Notion
from ...model.length import Length, cm, found, greatest, inch, least, mm
from ...model.piece import Cut, LineKind, Piece, sew
from .part import Part

_SAME: Final = 0.01
"""A fly that differs by less than this from the one that was drafted, mm, is that one."""


def fly_opening(on: Board, waist: Length) -> Length:
    """So far a fly opens for the hip to pass; `waist` is a quarter of the edge that it starts at."""
    return (on.body.hip_girth - waist * 4 + inch(2)) / 2


def fly_cut(on: Board, front: Sketch, waist: Length, zip_long: Length | None) -> Length:
    """The centre front is parted where the zip ends: how far down. Raises DraftError where the zip does not fit, or the
    hip does not pass."""
    straight = found(-front.points["seat"].y, "hip line")
    enough = fly_opening(on, waist)
    bought = (
        [size for size in (inch(11), inch(9)) if enough <= size <= straight - cm(2)] if on.body.wearer == "man" else []
    )
    usual = bought[0] if bought else least(straight - cm(0.5), greatest(straight - cm(2), enough))
    zip_end = (zip_long or usual).called("zip")
    if zip_end > straight - mm(4):
        on.refuse(f"a zip of {on.say(zip_end)} would run into the curve of the crotch",
                  f"zip_long to {on.say(straight - cm(0.5))} at most")  # fmt: skip
    if waist * 4 + zip_end * 2 < on.body.hip_girth:
        on.refuse(f"open, the waist is {on.say(waist * 4 + zip_end * 2)} round, the hip {on.say(on.body.hip_girth)}",
                  'zip_long or ease_waist to more, or closure to "elastic"')  # fmt: skip
    on.work("zip_long", zip_end)
    front.on("fly_end", "crotch", zip_end, "waist_centre")
    front.split("crotch", "fly_end", "fly")
    front.notch("fly", "zip end", "fly_end")
    return zip_end


def fly(on: Board, front: Piece, lap: str, drafted: Length) -> Part:
    """A facing for the front that laps over, "left" or "right", and a shield for the other, both as long as the fly of
    the front, which was `drafted` so long."""
    long = front.edge("fly").length()
    zip_end = drafted if abs(long - drafted.mm) < _SAME else found(long, "the fly as fitted").called("zip")
    facing = on.sketch("fly_facing", Cut("left" if lap == "left" else "right"))
    facing.at("top_fly")
    facing.at("fly_low", down=zip_end)
    facing.at("top_out", right=cm(4))
    facing.at("bend", right=cm(4), down=zip_end - cm(5))
    facing.edge("fly", "top_fly", "fly_low")
    facing.edge("outer", "fly_low", curve("level", "upright"), "bend", "top_out")
    facing.edge("waist", "top_out", "top_fly")
    facing.notch("fly", "zip end", "fly_low")
    shield = on.sketch("fly_shield", Cut("right" if lap == "left" else "left"))
    shield.box(cm(9), zip_end, ("fly", "fly_bottom", "fly_inside", "waist"))
    shield.notch("fly", "zip end", "bottom_left")
    shield.at("fold_top", right=cm(4.5))
    shield.at("fold_bottom", right=cm(4.5), down=zip_end)
    shield.line("fold", "fold_top", "fold_bottom", kind=LineKind.FOLD)
    other = "right" if lap == "left" else "left"
    ends = "from start to end"
    return Part(
        (facing.piece(), shield.piece()),
        (sew("fly facing seam", f"fly_facing.fly {ends}", to=f"{lap} front.fly {ends}", how="faced"),
         sew("fly shield seam", f"fly_shield.fly {ends}", to=f"{other} front.fly {ends}")),
        notions=(Notion("zip", long, "zip_long", "", "zip end"),),
    )  # fmt: skip
