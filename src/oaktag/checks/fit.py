"""Does the dress fit the body: quarter sums, wearing ease, darts, zip, sleeve, and the measurement book itself."""

from __future__ import annotations

from collections.abc import Iterator

from ..body.sanity import plausible
from ..model.finding import Finding, Severity
from ..model.pattern import Pattern
from ..units import INCH, show, show_at_least, show_at_most
from .measure import girth_at, level_girth, run_length

EASE_RANGE = {"bust": (1.5 * INCH, 2 * INCH), "waist": (0.75 * INCH, 1 * INCH), "hip": (2 * INCH, 2.75 * INCH)}
"""Wearing ease of a dress, whole garment (Central Washington University, costume text, ch. 16)."""
SUM_LIMIT = 1.0
LEG_LIMIT = 1.0
LARGEST_DART = 1.5 * INCH
LEAST_BICEPS_EASE, EASY_BICEPS_EASE = 1 * INCH, 2 * INCH
CAP_EASE = (15.0, 40.0)
ARMHOLE_OVER_ARM = 70.0
FIST_EASE = 10.0
HEAD_EASE = 30.0
"""The neckline over the head girth, mm (3 cm; common practice, no source)."""


def quarter_sums(pattern: Pattern) -> Iterator[Finding]:
    """Front and back together, darts closed, are the body's girth + the wearing ease."""
    for level in pattern.draft.levels:
        found = level_girth(pattern, level)
        meant = level.body + level.wearing_ease
        off = found - meant
        held = abs(off) <= SUM_LIMIT
        say = f"{level.name}: the dress is {show(found, pattern.unit)} round, {show(level.body, pattern.unit)} of body"
        yield Finding(
            f"girth.{level.name}",
            Severity.ERROR,
            held,
            round(found, 2),
            round(meant, 2),
            "mm",
            f"{say} and {show(level.wearing_ease, pattern.unit)} of wearing ease."
            if held
            else f"{say}; {show(meant, pattern.unit)} is meant. Dart intake and the width at the side must be equal.",
        )


def wearing_ease(pattern: Pattern) -> Iterator[Finding]:
    """Against the published range for a dress in woven cloth."""
    for level in pattern.draft.levels:
        if level.name not in EASE_RANGE:
            continue
        least, most = EASE_RANGE[level.name]
        ease = level.wearing_ease
        held = least - 0.1 <= ease <= most + 0.1
        span = f"{show(least, pattern.unit)} to {show(most, pattern.unit)}"
        advice = (
            f"Set ease_{level.name} to {show_at_least(least, pattern.unit)} or more, unless the cloth stretches."
            if ease < least
            else f"Set ease_{level.name} to {show_at_most(most, pattern.unit)} or less for a close fit."
        )
        yield Finding(
            f"ease.{level.name}",
            Severity.WARNING,
            held,
            ease,
            least if ease < least else most,
            "mm",
            f"{level.name}: wearing ease {show(ease, pattern.unit)}; a dress in woven cloth has {span}."
            + ("" if held else f" {advice}"),
        )


def darts(pattern: Pattern) -> Iterator[Finding]:
    """Legs that are sewn together are equally long; a dart is not wider than cloth can be pressed smooth."""
    by_hand = pattern.draft.by_hand
    for piece in pattern.pieces:
        for dart in piece.cut.piece.darts:
            one, other = max(dart.legs(), key=lambda legs: abs(legs[0] - legs[1]))
            off = abs(one - other)
            yield Finding(
                "dart.legs",
                Severity.WARNING if by_hand else Severity.ERROR,
                off <= LEG_LIMIT,
                round(off, 3),
                LEG_LIMIT,
                "mm",
                f"{piece.name}: the legs of the {dart.name} dart are equally long."
                if off <= LEG_LIMIT
                else f"{piece.name}: the legs of the {dart.name} dart differ by {off:.1f} mm: {one:.1f} and "
                f"{other:.1f} mm. {_equal_legs(off, by_hand)}",
            )
            small = dart.intake <= LARGEST_DART + 0.1
            yield Finding(
                "dart.intake",
                Severity.WARNING,
                small,
                dart.intake,
                LARGEST_DART,
                "mm",
                f"{piece.name}: the {dart.name} dart takes in {show(dart.intake, pattern.unit)}."
                + (
                    ""
                    if small
                    else f" Above {show(LARGEST_DART, pattern.unit)} it puckers: {_smaller(dart.name, by_hand)}."
                ),
            )


def _equal_legs(off: float, by_hand: float) -> str:
    if off <= by_hand:
        return "Fold the dart and true the edge over it before you cut."
    return "Make them equal."


def _smaller(dart: str, by_hand: float) -> str:
    if by_hand:
        return "divide it into two darts"
    if dart == "bust":
        return "check front_waist_length and back_waist_length, or divide it into two darts"
    return "make dart_intake smaller"


def zip_reach(pattern: Pattern) -> Iterator[Finding]:
    """The zip opens the dress down to where it is as wide as the hip."""
    zipper, hip = pattern.draft.zip, pattern.draft.body.get("hip_girth")
    if zipper is None or hip is None:
        return
    levels = {level.name: level.depth for level in pattern.draft.levels}
    end = min(zipper.end_depth, levels["hip"])
    below = [end + (levels["hip"] - end) * i / 12 for i in range(13)]
    narrowest = min(girth_at(pattern, depth) for depth in (*below, max(end, levels["waist"])))
    held = narrowest >= hip - SUM_LIMIT
    enough = zipper.length + max(0.0, levels["hip"] - zipper.end_depth)
    yield Finding(
        "zip.reach",
        Severity.ERROR,
        held,
        round(narrowest, 2),
        round(hip, 2),
        "mm",
        f"zip: {show(zipper.length, pattern.unit)} at the {zipper.place}; from its end to the hip line the "
        f"dress is {show(narrowest, pattern.unit)} round at least, the hip {show(hip, pattern.unit)}."
        + (
            ""
            if held
            else f" It cannot be stepped into: set zip_length to {show_at_least(enough, pattern.unit)} or more, or "
            '"auto".'
        ),
    )


def entry(pattern: Pattern) -> Iterator[Finding]:
    """Getting in without a zip to the neck: the head through the neckline; the body through the waist."""
    way_in = pattern.draft.entry
    if way_in is None:
        return
    unit = pattern.unit
    neck, wanted = 2 * run_length(pattern, way_in.neck_edges), way_in.head + HEAD_EASE
    held = neck >= wanted
    yield Finding(
        "entry.head",
        Severity.ERROR,
        held,
        round(neck, 1),
        round(wanted, 1),
        "mm",
        f"the neckline is {show(neck, unit)} round, the head {show(way_in.head, unit)} ({way_in.words})."
        + (
            ""
            if held
            else f" The head does not pass: make the neckline {show_at_least(wanted - neck, unit)} longer with "
            'neck_width or front_neck_depth, or set zip = "back".'
        ),
    )
    if way_in.through_waist is not None:
        narrowest, level = min((level_girth(pattern, level), level.name) for level in pattern.draft.levels)
        held = narrowest >= way_in.through_waist
        yield Finding(
            "entry.waist",
            Severity.ERROR,
            held,
            round(narrowest, 1),
            round(way_in.through_waist, 1),
            "mm",
            f"without a zip, {show(way_in.through_waist, unit)} of body must pass the dress where it is narrowest, at "
            f"the {level}: {show(narrowest, unit)} round."
            + ("" if held else ' It cannot in woven cloth: set zip = "back" or "side".'),
        )


def sleeve(pattern: Pattern) -> Iterator[Finding]:
    """Upper arm, armhole and cap, read together; and the fist through the wrist."""
    fit = pattern.draft.sleeve
    if fit is None:
        return
    unit = pattern.unit

    def finding(name: str, severity: Severity, held: bool, measured: float, limit: float, say: str, do: str) -> Finding:
        return Finding(
            name, severity, held, round(measured, 2), round(limit, 2), "mm", say + ("" if held else f" {do}")
        )

    ease = fit.biceps_line - fit.upper_arm
    severity = Severity.ERROR if ease < LEAST_BICEPS_EASE - 0.1 else Severity.WARNING
    yield finding(
        "sleeve.upper-arm",
        severity,
        ease >= EASY_BICEPS_EASE - 0.1,
        ease,
        EASY_BICEPS_EASE if severity is Severity.WARNING else LEAST_BICEPS_EASE,
        f"sleeve: {show(fit.biceps_line, unit)} wide at the biceps line, for an upper arm {show(fit.upper_arm, unit)} "
        "round.",
        f"Set ease_biceps to {show(EASY_BICEPS_EASE, unit)} to bend the arm easily; less than "
        f"{show(LEAST_BICEPS_EASE, unit)} binds.",
    )
    yield finding(
        "sleeve.cap-ease",
        Severity.WARNING,
        CAP_EASE[0] <= fit.cap_ease <= CAP_EASE[1],
        fit.cap_ease,
        CAP_EASE[0] if fit.cap_ease < CAP_EASE[0] else CAP_EASE[1],
        f"sleeve: the cap is {show(fit.cap_ease, unit)} longer than the armhole of {show(fit.armhole, unit)}.",
        f"A dress in woven cloth wants {show(CAP_EASE[0], unit)} to {show(CAP_EASE[1], unit)}: change cap_ease.",
    )
    yield finding(
        "sleeve.cap-height",
        Severity.ERROR,
        fit.cap_height <= fit.shoulder_height + 0.1,
        fit.cap_height,
        fit.shoulder_height,
        f"sleeve: cap height {show(fit.cap_height, unit)}; the shoulder is {show(fit.shoulder_height, unit)} above the "
        "underarm.",
        "Widen the sleeve with ease_biceps.",
    )
    room = fit.armhole - fit.upper_arm
    yield finding(
        "sleeve.armhole",
        Severity.WARNING,
        room >= ARMHOLE_OVER_ARM,
        room,
        ARMHOLE_OVER_ARM,
        f"sleeve: the armhole is {show(room, unit)} longer than the upper arm is round.",
        f"Less than {show(ARMHOLE_OVER_ARM, unit)} binds under the arm: raise armhole_depth_ease.",
    )
    if fit.wrist_opening is not None and fit.fist is not None:
        spare = fit.wrist_opening - fit.fist
        yield finding(
            "sleeve.wrist",
            Severity.ERROR,
            spare >= FIST_EASE,
            spare,
            FIST_EASE,
            f"sleeve: the wrist is {show(fit.wrist_opening, unit)} round, the hand {show(fit.fist, unit)}.",
            f"The hand does not pass: add {show_at_least(FIST_EASE - spare, unit)} or more to ease_wrist.",
        )


def measurement_book(pattern: Pattern) -> Iterator[Finding]:
    """Measurements that do not go together; doubts, never refusals."""
    doubts = plausible(pattern.draft.body, pattern.unit)
    for doubt in doubts:
        yield Finding(doubt.id, Severity.WARNING, False, doubt.measured, doubt.limit, doubt.unit_text, doubt.message)
    if not doubts:
        yield Finding("body.plausible", Severity.WARNING, True, 0, 0, "doubts", "The measurements go together.")
