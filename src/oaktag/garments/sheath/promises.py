"""What the dress claims of itself: girths, lengths, darts, getting in, walking; with the options to change."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Final

from ...claims.girth import EaseInRange, Girth, GirthBelow, LengthTo
from ...claims.openings import BodyPasses, OpensTo, Passes
from ...claims.places import ArmholeScoop, DartEnds, SideTakesIn
from ...claims.stride import Stride
from ...draft.board import Board
from ...model.claim import Claim
from ...model.finding import Severity
from ...model.length import Length, found, greatest, least, mm
from ...model.ref import refs
from ...units import INCH
from .half import HEAD, HEAD_EASE, LEAST_SCOOP, Half, length_taken
from .openings import Opened
from .shaping import BELOW_BUST_POINT, EASY_PEG, MOST_AT_SIDE, less_at_hem, less_at_side, nearer_bust_point

EASE_RANGE: Final = {"bust": (1.5 * INCH, 2 * INCH), "waist": (0.75 * INCH, 1 * INCH), "hip": (2 * INCH, 2.75 * INCH)}
"""Wearing ease of a dress, whole garment (Central Washington University, costume text, ch. 16)."""
TOP_HIP_DEPTH: Final = 100.0
"""The top hip is measured so far below the waist, mm (10 cm, 4 in: common practice)."""
SHORT_OF_BUST: Final = (15.0, 35.0)
"""A waist dart ends 2 to 3 cm below the bust point (a drafting textbook's front dart, from memory), ± 5 mm."""
SMALLER_DART: Final = "make dart_intake smaller, or set waist_darts = 2"
ADVICE: Final = {
    "dart.intake bust": "check front_waist_length and the length of the back, or divide it into two darts",
    "dart.intake waist": SMALLER_DART,
    "dart.intake second waist": SMALLER_DART,
}
"""What helps where a check of any pattern fails."""


def promises(
    on: Board, front: Half, back: Half, eases: Mapping[str, Length], *, pegged: bool, intake_asked: bool,
    top_drop_asked: bool, way_in: str, opened: Opened, sleeve: Claim | None,
) -> Iterator[Claim]:  # fmt: skip
    """Every claim of the dress, in the order in which a cutter would look."""
    body, unit, uppers, lowers = on.body, on.unit, (front.upper, back.upper), (front.lower, back.lower)
    for level, ease in eases.items():
        seam = refs(*(f"{upper}.waist" for upper in uppers)) if front.cut_apart and level == "waist" else ()
        alike = "Dart intake and the width at the side must be equal."
        yield Girth(f"girth.{level}", alike, level, getattr(body, f"{level}_girth"), ease, seam)
    yield LengthTo("length.centre-back", "", back.upper, "nape", "waist", body.get("back_waist_length"))
    if (top_hip := body.get("top_hip_girth")) is not None:
        ease, change = least(eases["waist"], eases["hip"]), "add {more} to ease_waist and to ease_hip"
        shorter = "let the waist darts end there: make dart_end_rise {rise}"
        yield GirthBelow("girth.top-hip", change, "top hip", "waist", "hip", TOP_HIP_DEPTH, top_hip, ease, shorter)
    if front.bust_level is not None and front.darts:
        wanted = front.bust_level + BELOW_BUST_POINT.mm - front.depth("underarm") - front.drop
        change = nearer_bust_point(wanted, top_drop_asked, length_taken(body), unit)
        below = found(front.bust_level, "bust point, down")
        yield DartEnds("dart.bust-point", change, front.upper, "waist", "bust point", below, *SHORT_OF_BUST)
    ends = ("hip_side", lowers), ("underarm", uppers)
    at_waist = tuple((piece, end, "waist_side") for end, pieces in ends for piece in pieces)
    change = less_at_side(front.quarter, body.bust_point_width.mm / 2, intake_asked, unit)
    yield SideTakesIn("side.waist", change, at_waist, mm(MOST_AT_SIDE))
    if pegged:
        at_hem = tuple((piece, "hip_side", "hem_side") for piece in lowers)
        yield SideTakesIn("side.hem", less_at_hem(unit), at_hem, mm(EASY_PEG), Severity.INFO)
    change = "make armhole_hollow {hollow}, or add {girth} to ease_bust; and check shoulder_width."
    yield ArmholeScoop("armhole.scoop", change, uppers, "underarm", "mid_armhole", "shoulder_tip", LEAST_SCOOP.mm)
    if (zipper := opened.zipper) is not None:
        change = 'set zip_length to {enough} or more, or "auto".'
        yield OpensTo("zip.reach", change, "zip", zipper.place, "hip", "waist", body.hip_girth)
    yield from _ways_in(on, way_in, uppers)
    if sleeve is not None:
        yield sleeve
    for level, ease in eases.items():
        yield EaseInRange(f"ease.{level}", ease.name, level, ease, *EASE_RANGE[level], "a dress in woven cloth")
    yield Stride(
        "walk", "Widen the hem by {more}, or open the back: {shortest}.", opened.walk,
        'the shortest {kind} that passes is {length} (opening = "{kind}", opening_length = "auto")',
        'no vent or slit that stays clear of zip and hip is enough; widen the hem (hem = "straight")',
        "shorten opening_length or zip_length.", opened.back_end,
    )  # fmt: skip


def _ways_in(on: Board, way_in: str, uppers: tuple[str, str]) -> Iterator[Claim]:
    """Without a zip to the neck the head must pass the neckline; without any, bust and hip must pass the waist."""
    if way_in == "back":
        return
    head, known = on.body.get("head_girth"), "as measured"
    if head is None:
        taken = f"{on.say(HEAD)} (mean of women, common practice, no source)"
        head, known = HEAD, f"not measured, so taken as {taken}"
        on.note(f"head_girth was not measured; assumed {taken}.")
    change = 'make the neckline {more} longer with neck_width or front_neck_depth, or set zip = "back".'
    necks = refs(*(f"{upper}.neckline" for upper in uppers))
    yield Passes("entry.head", change, "neckline", necks, "head", head, known, HEAD_EASE)
    if way_in == "none":
        through = greatest(on.body.bust_girth, on.body.hip_girth)
        yield BodyPasses("entry.waist", 'set zip = "back" or "side".', through, "a zip")
