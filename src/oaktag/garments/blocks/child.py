"""The block of a child's bodice: front and back alike but for neck and armhole; no darts.

    nc  ns            origin: the level of the side neck point on the centre line
     \\_/ \\_ st        neck a sixth of its girth and 0.5 cm wide, in front 1 cm deeper than wide, 1.5 cm in back
     |     (          shoulder tip 2.5 cm down; armhole half way from there to the waist
     |      ua        quarter chest = (chest + ease) / 4
    wc──────ws        waist 1.5 cm further down than the back is long; or on below it, to a hem
Rules: a published block for children (a sewing teacher, 2017), with what it lacks as worked rules 6 have it, proved on
40 children of a survey: 8 cm of ease in place of 4, shoulder 8 + 0.4 (stature - 92) / 6 cm where it was not measured,
its tip at most 2 cm within the quarter, half the back 0.7 cm within the tip and at most 4 within the quarter. The
front's armhole is hollowed 0.5 cm more (common practice, no source). A waist is let out where it asks for more than the
chest, and taken in at the side by 2 cm at most (common practice, no source).
"""

from __future__ import annotations

from typing import Final

from ...draft.board import Board
from ...draft.construct import armhole
from ...draft.rulers import curve
from ...draft.sketch import Sketch
from ...model.length import Length, cm, found, greatest, inch, least, mm
from ...model.piece import Piece, half_cut
from ..parts.part import ruled

EASE: Final = inch(3.125)
"""Wearing ease round the chest, 8 cm: 6 to 10 in woven cloth (a chosen value that worked)."""
EASE_WAIST: Final = inch(2.5)
"""And round the waist at least; 6 and more below 5 years (chosen)."""
SHOULDER_DOWN: Final = cm(2.5)
WITHIN: Final = cm(2)
"""The shoulder tip lies so far within the quarter at least, and the side of the waist at most."""
HOLLOW: Final = {"front": cm(1.2), "back": cm(0.7)}
UNDER: Final = cm(4)
"""The underarm lies so far beyond the middle of the armhole at least."""
BACK_NECK: Final = cm(1.5)


def child_block(
    on: Board, *, ease_chest: Length, ease_waist: Length | None = None, below: Length | None = None,
    flare: Length | None = None, centre_back: str = "fold",
) -> tuple[Piece, Piece]:  # fmt: skip
    """Front and back half of a child's bodice to its waist; or `below` the waist line to a hem, `flare` further out at
    each side there than the underarm.

    Edges `centre_front` or `centre_back`, `neck`, `shoulder`, `armhole`, `side`, `waist` or `hem`; levels `chest`,
    `waist`, `hem`; points as the blocks for women have them. `ease_waist`: None, and it hangs straight from the
    underarm, wider where the waist asks for it. `centre_back`: on the "fold", or a "seam". Raises DraftError where the
    chest leaves no shoulder.
    """
    body = on.body
    waist = _waist_line(on).called("waist line")
    chest = (SHOULDER_DOWN + (waist - SHOULDER_DOWN) / 2).called("chest line")
    quarter = ((body.bust_girth + ease_chest) / 4).called("quarter chest")
    neck = (body.neck_base_girth / 6 + cm(0.5)).called("neck width")
    full = body.shoulder_length
    reach = (quarter - WITHIN - neck).called("room for the shoulder")
    shoulder = least(full, found((reach.mm**2 + SHOULDER_DOWN.mm**2) ** 0.5, "2 cm within the quarter"))
    shoulder = shoulder.called("shoulder")
    if reach < cm(3):
        on.refuse(f"beside a neck of {on.say(body.neck_base_girth)} the quarter of the chest, {on.say(quarter)}, "
                  "leaves no shoulder", "ease_chest to more, or neck_base_girth, if it was mistaken")  # fmt: skip
    at_waist = ((body.waist_girth + on.usual(EASE_WAIST)) / 4) if ease_waist is None else (
        body.waist_girth + ease_waist) / 4  # fmt: skip
    at_waist = greatest(at_waist, quarter if ease_waist is None else quarter - WITHIN).called("quarter waist")
    halves: list[Piece] = []
    for name, deep in (("front", neck + cm(1)), ("back", BACK_NECK)):
        s = on.sketch(name, half_cut(name == "front" or centre_back == "fold"), worn="body")
        s.at("neck_centre", down=deep.called(f"{name} neck depth"))
        s.at("neck_side", right=neck)
        s.at("shoulder_tip", down=SHOULDER_DOWN, of="neck_side", far=shoulder)
        tip = found(s.points["shoulder_tip"].x, "shoulder tip, across")
        line = least(tip - HOLLOW[name], quarter - UNDER).called(f"half width of the {name}")
        s.at("mid_armhole", right=line, down=(SHOULDER_DOWN + chest) / 2)
        s.at("underarm", right=quarter, down=chest)
        s.edge("shoulder", "shoulder_tip", "neck_side")
        s.edge("neck", "neck_side", curve("square", "level"), "neck_centre")
        p = s.points
        s.trace("armhole", "underarm", armhole(p["underarm"], p["mid_armhole"], p["shoulder_tip"], p["neck_side"]),
                "shoulder_tip")  # fmt: skip
        s.level("chest", chest)
        _lower(on, s, name, (chest, waist), at_waist, quarter, below, flare)
        halves.append(ruled(s.piece(), "armhole"))
    front, back = on.fitted(*halves)
    return front, back


def _waist_line(on: Board) -> Length:
    """From the side neck point down to the waist: a child's nape lies 1.5 cm lower (`Body.waist_line` for others)."""
    taken = on.body.get("side_neck_to_waist")
    return taken or on.body.back_waist_length + BACK_NECK


def _lower(
    on: Board, s: Sketch, name: str, lines: tuple[Length, Length], at_waist: Length, quarter: Length,
    below: Length | None, flare: Length | None,
) -> None:  # fmt: skip
    """Side, centre and lower edge: straight down to the waist, or flared to a hem, square to both."""
    (chest, waist), centre = lines, f"centre_{name}"
    if below is None:
        s.at("waist_centre", down=waist)
        s.at("waist_side", right=at_waist, down=waist)
        s.edge("side", "waist_side", "underarm")
        s.edge("waist", "waist_centre", curve("level", "square"), "waist_side")
        ends = "waist_centre", "waist_side"
    else:
        hip = (waist + on.body.waist_to_hip).called("hip line")
        if below < on.body.waist_to_hip + cm(4):
            on.refuse(f"a hem {on.say(below)} below the waist does not cover the hip, {on.say(on.body.waist_to_hip)} "
                      "down", f"long to {on.say(on.body.waist_to_hip + cm(4))} or more")  # fmt: skip
        more = flare or mm(0)
        out = (quarter + more).called("quarter hem")
        hem = (waist + below).called("hem line")
        lean = (waist - chest) / 2
        s.at("hem_centre", down=hem)
        s.at("hem_side", right=out, down=(hem - more * (out.over(below + lean) / 2)).called("hem line at the side"))
        s.at("waist_side", right=(quarter + more * lean.over(below + lean)).called("quarter waist"), down=waist)
        s.edge("side", "hem_side", "waist_side", curve("smooth", "upright"), "underarm")
        s.hem("hem", "hem_centre", curve("level", "square"), "hem_side")
        ends = "hem_centre", "hem_side"
    (s.fold if s.cut.side == "fold" else s.edge)(centre, "neck_centre", ends[0])
    s.level("waist", waist, *(ends if below is None else ()))
    if below is not None:
        s.level("hip", hip)
        s.level("hem", found(-s.points["hem_side"].y, "hem at the side"))
