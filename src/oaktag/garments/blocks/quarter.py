"""The block of quarter measures: front and back alike but for neck and hollow; verticals from the side neck point.

Rules: drafting rules for women's blocks, 1 (four trade lists): chest line by a sixth of the bust or the scye, neck a
twelfth of the bust, half the shoulder width, a quarter of each girth and its ease, a dart of 1 in at half the bust
point width; levels and hollow as the sheath dress has them. A dart takes in more than 1 in where the side seam would
take more than 4 cm (common practice, no source). Bust dart: what the front length has over the back's, at the side, to
the bust point, where the front length was measured (1.3, derived); else none.
"""

from __future__ import annotations

from math import radians, tan
from typing import Final

from ...draft.board import Board
from ...draft.construct import armhole
from ...draft.rulers import curve
from ...draft.sketch import Sketch
from ...model.length import Length, cm, found, greatest, inch, least, mm
from ...model.piece import Piece, half_cut
from ..sheath.half import LEAST_SCOOP, length_taken, natural_drop, scye_part, waist_and_nape
from .lower import Asked, Half, WaistDart, finished, lean_deg, loose_side

DEPTH_EASE: Final = inch(1.5)
"""What the chest line has over bust ÷ 6 and the shoulder drop, as the sheath dress (common practice, no source)."""
MOST_AT_SIDE: Final = cm(4)
ABOVE_WAIST: Final = cm(4)
"""From a bust dart at the side down to the waist line at least (common practice, no source)."""
ROOM: Final = cm(2)
"""And from the chest line down to it."""
LEAST_DROP: Final = mm(5)
_LEFT: Final = cm(1.5)
"""An underarm is so far beyond the middle of the armhole at least (as the sheath dress)."""


def quarter_block(on: Board, asked: Asked) -> tuple[Piece, Piece]:
    """Front and back. Raises DraftError where the quarter leaves no room for an armhole."""
    body = on.body
    waist, _ = waist_and_nape(body)
    drop = natural_drop(on).called("shoulder drop")
    chest = (drop + scye_part(on, waist) + on.usual(DEPTH_EASE)).called("chest line")
    under = ((body.bust_girth + asked.ease_bust) / 4).called("quarter bust")
    shoulder = (body.shoulder_width / 2).called("half shoulder")
    hollow = least(greatest(LEAST_SCOOP - (under - shoulder), on.usual(inch(0.5))), inch(1))
    if under - shoulder + hollow < _LEFT:
        on.refuse(f"the quarter of the bust, {on.say(under)}, leaves no room for an armhole beyond the shoulder, "
                  f"{on.say(shoulder)}", "ease_bust to more, or check shoulder_width")  # fmt: skip
    if waist - chest < cm(6):
        on.refuse(f"the chest line, {on.say(chest)} down, is too near the waist line, {on.say(waist)} down",
                  f"{length_taken(body)} or scye_depth, if it was mistaken")  # fmt: skip
    surplus = (under - (body.waist_girth + asked.ease_waist) / 4).called("quarter surplus")
    shaped = asked.shaped(on, surplus * 2)
    dart = least(greatest(on.usual(inch(1)), surplus - MOST_AT_SIDE), surplus).called("each dart takes in")
    at_side = surplus - dart if shaped else loose_side(surplus * 2) / 2
    neck = (body.bust_girth / 12).called("neck width")
    longer = _longer(on, waist)
    level = bust_level(on, neck)
    highest, lowest = chest + (longer / 2 + ROOM if longer else mm(0)), waist - (ABOVE_WAIST - (longer or mm(0)) / 2)
    if not highest <= level <= lowest:
        where = least(greatest(level, highest), lowest)
        if longer:
            on.note(f"The bust dart was moved from {on.say(level)} to {on.say(where)} below the side neck point.")
        level = where
    level = level.called("bust point, down")
    slope = tan(radians(lean_deg(at_side, waist - chest, asked)))
    halves: list[Piece] = []
    for name, deep in (("front", neck), ("back", on.usual(inch(1)))):
        front = name == "front"
        s = on.sketch(name, half_cut(front or not asked.seam), worn="body")
        s.at("neck_centre", down=deep.called(f"{name} neck depth"))
        s.at("neck_side", right=neck)
        s.at("shoulder_tip", right=shoulder, down=drop)
        s.at("pitch", right=shoulder - hollow, down=(drop + chest) / 2)
        s.at("underarm", right=under, down=chest)
        s.edge("shoulder", "shoulder_tip", "neck_side")
        s.edge("neck", "neck_side", curve("square", "level"), "neck_centre")
        p = s.points
        scye = armhole(p["underarm"], p["pitch"], p["shoulder_tip"], p["neck_side"], slope)
        s.trace("armhole", "underarm", scye, "shoulder_tip")
        lower = longer if front and longer else mm(0)
        across = (body.bust_point_width / 2).called("half bust point width")
        if front:
            s.at("bust_point", right=across, down=level)
        else:
            s.at("blade_centre", down=chest / 2)
        if lower.mm:
            _side_dart(s, level, lower, at_side, waist)
        top = level + cm(2.5) if front else chest + on.usual(inch(1.5))
        darts = [WaistDart("waist", across, dart, top)] if shaped else []
        wanted = under - at_side - (dart if shaped else mm(0))
        half = Half(
            chest, waist, under, at_side, wanted, darts, mm(0) if asked.seam and not front else None,
            lower=(mm(0), lower), hip=None if asked.below is None else asked.hip(on) / 2,
            dart_depth=level - lower / 2 if lower.mm else None,
        )  # fmt: skip
        halves.append(finished(on, s, half, asked, beside=halves[0] if halves else None))
    return halves[0], halves[1]


def bust_level(on: Board, neck: Length) -> Length:
    """How far below the side neck point the bust point lies: by the tape that slants to it, else by the bust."""
    height, body = on.body.get("bust_height"), on.body
    if height is None:
        level = body.bust_girth / 5 + mm(83)
        on.note(f"bust_height was not measured; assumed {on.say(level)} = bust girth ÷ 5 + {on.say(83)}.")
        return level
    across = (body.bust_point_width / 2 - neck).mm
    return found(max(0.0, height.mm**2 - across**2) ** 0.5, "bust height, slanting to the bust point")


def _longer(on: Board, waist: Length) -> Length | None:
    """What the front is longer than the back, from the side neck point to the waist."""
    length = on.body.get("front_waist_length")
    if length is None:
        on.note("front_waist_length was not measured: no bust dart was drafted.")
        return None
    more = (length - waist).called("bust dart, intake at the side")
    if on.settle("side_dart", "yes" if more >= LEAST_DROP else "no") == "no":
        on.note(f"The front waist length, {on.say(length)}, is hardly longer than the back's, {on.say(waist)}: no bust "
                "dart was drafted.")  # fmt: skip
        return None
    if more < LEAST_DROP:
        on.refuse(f"the front waist length, {on.say(length)}, is hardly longer than the back's, {on.say(waist)}, and "
                  "the base size has a bust dart",
                  "front_waist_length, if it was mistaken, or leave this size out")  # fmt: skip
    return more


def _side_dart(s: Sketch, level: Length, more: Length, at_side: Length, waist: Length) -> None:
    """The dart in the side seam: all below it is drawn lower by what it takes in."""
    p = s.points
    high = level - more / 2
    share = (high.mm + p["underarm"].y) / (waist.mm + p["underarm"].y)
    s.at("side_dart_high", down=(high - found(-p["underarm"].y, "underarm")).called("underarm to the bust dart"),
         left=at_side * share, of="underarm")  # fmt: skip
    s.at("side_dart_low", down=more, of="side_dart_high")
