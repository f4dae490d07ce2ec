"""What the dress claims of itself: girths, lengths, darts, getting in, walking; with the options to change."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from ...body.measurements import Measurements
from ...claims.girth import EaseInRange, Girth, GirthBelow, LengthTo
from ...claims.openings import BodyPasses, OpensTo, Passes
from ...claims.places import ArmholeScoop, DartEnds, SideTakesIn
from ...claims.stride import Stride
from ...model.claim import Claim
from ...model.length import Length, found, greatest, least, mm
from ...model.ref import Ref, refs
from ...model.walking import Walk
from ...units import INCH, Unit, show
from .half import LEAST_SCOOP, Half, length_taken
from .openings import Zip
from .shaping import MOST_AT_SIDE, less_at_hem, less_at_side, nearer_bust_point
from .shell import lower_name, upper_name
from .style import HEAD, HEAD_EASE, Asked, measured

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
    front: Half,
    back: Half,
    body: Measurements,
    asked: Asked,
    unit: Unit,
    bust_points: float,
    zipper: Zip | None,
    walk: Walk,
    sleeve: Claim | None,
) -> Iterator[Claim]:
    """Every claim of the dress, in the order in which a cutter would look."""
    waist_seam = asked.choice("waist_seam") == "yes"
    (fu, bu), (fl, bl) = (
        tuple(name(half.name, waist_seam) for half in (front, back)) for name in (upper_name, lower_name)
    )
    eases = {level: asked.chosen(f"ease_{level}") for level in EASE_RANGE}
    for level, ease in eases.items():
        seam = refs(f"{fu}.waist", f"{bu}.waist") if waist_seam and level == "waist" else ()
        alike = "Dart intake and the width at the side must be equal."
        yield Girth(f"girth.{level}", alike, level, measured(body, f"{level}_girth"), ease, seam)
    back_length = measured(body, "back_waist_length") if "back_waist_length" in body else None
    yield LengthTo("length.centre-back", "", bu, "nape", "waist", back_length)
    if "top_hip_girth" in body:
        yield GirthBelow(
            "girth.top-hip",
            "add {more} to ease_waist and to ease_hip",
            "top hip",
            "waist",
            "hip",
            TOP_HIP_DEPTH,
            measured(body, "top_hip_girth"),
            least(eases["waist"], eases["hip"]),
            "let the waist darts end there: make dart_end_rise {rise}",
        )
    if front.bust_level is not None and front.darts:
        chest = -front.points["underarm"].y
        change = nearer_bust_point(asked, front.bust_level, chest, front.drop, unit, length_taken(body))
        below = found(front.bust_level, "bust point, down")
        yield DartEnds("dart.bust-point", change, fu, "waist", "bust point", below, *SHORT_OF_BUST)
    at_waist = (
        *((piece, "hip_side", "waist_side") for piece in (fl, bl)),
        *((piece, "underarm", "waist_side") for piece in (fu, bu)),
    )
    change = less_at_side(asked, front.quarter, bust_points / 2, unit)
    yield SideTakesIn("side.waist", change, at_waist, mm(MOST_AT_SIDE))
    if asked.choice("hem") == "pegged":
        at_hem = tuple((piece, "hip_side", "hem_side") for piece in (fl, bl))
        yield SideTakesIn("side.hem", less_at_hem(unit), at_hem, mm(MOST_AT_SIDE))
    yield ArmholeScoop(
        "armhole.scoop",
        "make armhole_hollow {hollow}, or add {girth} to ease_bust; and check shoulder_width.",
        (fu, bu),
        "underarm",
        "mid_armhole",
        "shoulder_tip",
        LEAST_SCOOP,
    )
    if zipper is not None:
        change = 'set zip_length to {enough} or more, or "auto".'
        yield OpensTo("zip.reach", change, "zip", zipper.place, "hip", "waist", measured(body, "hip_girth"))
    yield from _ways_in(body, asked, unit, (Ref(fu, "neckline"), Ref(bu, "neckline")))
    if sleeve is not None:
        yield sleeve
    for level, ease in eases.items():
        yield EaseInRange(f"ease.{level}", ease.name, level, ease, *EASE_RANGE[level], "a dress in woven cloth")
    yield Stride(
        "walk",
        "Widen the hem by {more}, or open the back: {shortest}.",
        walk,
        'the shortest {kind} that passes is {length} (opening = "{kind}", opening_length = "auto")',
        'no vent or slit that stays clear of zip and hip is enough; widen the hem (hem = "straight")',
        "shorten opening_length or zip_length.",
        zipper.end_depth if zipper is not None and zipper.place == "centre back" else None,
    )


def head_of(body: Measurements, unit: Unit) -> tuple[Length, str]:
    """The head girth, and how it is known."""
    if "head_girth" in body:
        return measured(body, "head_girth"), "as measured"
    return mm(HEAD), f"not measured, so taken as {show(HEAD, unit)} (mean of women, common practice, no source)"


def _ways_in(body: Measurements, asked: Asked, unit: Unit, necks: tuple[Ref, ...]) -> Iterator[Claim]:
    """Without a zip to the neck the head must pass the neckline; without any, bust and hip must pass the waist."""
    if asked.choice("zip") == "back":
        return
    head, known = head_of(body, unit)
    change = 'make the neckline {more} longer with neck_width or front_neck_depth, or set zip = "back".'
    yield Passes("entry.head", change, "neckline", necks, "head", head, known, HEAD_EASE)
    if asked.choice("zip") == "none":
        through = greatest(measured(body, "bust_girth"), measured(body, "hip_girth"))
        yield BodyPasses("entry.waist", 'set zip = "back" or "side".', through, "a zip")
