"""Does the dress fit the body: quarter sums, wearing ease, darts, zip, sleeve, and the measurement book itself."""

from __future__ import annotations

from collections.abc import Iterator

from ..body.sanity import plausible
from ..model.finding import Finding, Severity
from ..model.pattern import Pattern
from ..units import INCH, rounded, show, show_at_least, show_at_most
from .measure import girth_at, level_girth, run_length
from .rule import check

EASE_RANGE = {"bust": (1.5 * INCH, 2 * INCH), "waist": (0.75 * INCH, 1 * INCH), "hip": (2 * INCH, 2.75 * INCH)}
"""Wearing ease of a dress, whole garment (Central Washington University, costume text, ch. 16).

This and what follows in inches is `rounded` where metric is read: 4 to 5 cm for 1 1/2 to 2 in."""
SUM_LIMIT = 1.0
LEG_LIMIT = 1.0
LARGEST_DART = 1.5 * INCH
LEAST_SCOOP = 18.0
"""The underarm beyond mid armhole, mm (common practice, no source; shirt bodies on 40 women have 29 and more)."""
TOP_HIP_DEPTH = 100.0
"""The top hip is measured so far below the waist, mm (10 cm, 4 in: common practice)."""
SHORT_OF_BUST = (15.0, 35.0)
"""A waist dart ends 2 to 3 cm below the bust point (a drafting textbook's front dart, from memory), ± 5 mm."""
LEAST_BICEPS_EASE, EASY_BICEPS_EASE = 1 * INCH, 2 * INCH
CAP_EASE = (15.0, 40.0)
ARMHOLE_OVER_ARM = 70.0
FIST_EASE = 10.0
HEAD_EASE = 30.0
"""The neckline over the head girth, mm (3 cm; common practice, no source)."""


@check(error="girth.*")
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


@check(error="length.*")
def body_lengths(pattern: Pattern) -> Iterator[Finding]:
    """Lengths of the body on the finished pieces: the centre back from the nape to the waist line."""
    unit = pattern.unit
    for length in pattern.draft.lengths:
        points = pattern.piece(length.piece).cut.piece.points
        found = points[length.top].y - points[length.bottom].y
        held = abs(found - length.body) <= SUM_LIMIT
        say = f"{length.name}: {show(found, unit)} from the {length.top} to the waist line, {show(length.body, unit)}"
        yield Finding(
            f"length.{length.name.replace(' ', '-')}",
            Severity.ERROR,
            held,
            round(found, 2),
            round(length.body, 2),
            "mm",
            f"{say} by the tape." if held else f"{say} is measured. The waist line must lie that far below it.",
        )


@check(warning="ease.*")
def wearing_ease(pattern: Pattern) -> Iterator[Finding]:
    """Against the published range for a dress in woven cloth."""
    for level in pattern.draft.levels:
        if level.name not in EASE_RANGE:
            continue
        least, most = (rounded(limit, pattern.unit) for limit in EASE_RANGE[level.name])
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


@check(error="dart.legs", warning="dart.legs dart.intake")
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
            largest = rounded(LARGEST_DART, pattern.unit)
            small = dart.intake <= largest + 0.1
            yield Finding(
                "dart.intake",
                Severity.WARNING,
                small,
                dart.intake,
                largest,
                "mm",
                f"{piece.name}: the {dart.name} dart takes in {show(dart.intake, pattern.unit)}."
                + (
                    "" if small else f" Above {show(largest, pattern.unit)} it puckers: {_smaller(dart.name, by_hand)}."
                ),
            )


@check(warning="dart.bust-point")
def dart_points(pattern: Pattern) -> Iterator[Finding]:
    """The front waist dart ends a little below the bust point, neither on it nor far from it."""
    unit = pattern.unit
    least, most = SHORT_OF_BUST
    for place in pattern.draft.dart_points:
        darts = pattern.piece(place.piece).cut.piece.darts
        tip = next((d.points[1] if d.is_open else d.points[0] for d in darts if d.name == place.dart), None)
        if tip is None:
            continue
        short = place.bust_point.y - tip.y
        held = least - 0.1 <= short <= most + 0.1
        where = f"{show(abs(short), unit)} {'below' if short >= 0 else 'above'} the bust point"
        yield Finding(
            "dart.bust-point",
            Severity.WARNING,
            held,
            round(short, 2),
            least if short < least else most,
            "mm",
            f"{place.piece}: the {place.dart} dart ends {where}."
            + ("" if held else f" {show(least, unit)} to {show(most, unit)} below it is usual. {place.mend}"),
        )


@check(warning="side.*")
def sides(pattern: Pattern) -> Iterator[Finding]:
    """A side seam takes in no more at one edge than can be pressed smooth; darts take the rest."""
    unit = pattern.unit
    made = {piece.name for piece in pattern.pieces}
    for side in pattern.draft.sides:
        found = []
        for piece, outer, inner in side.places:
            if piece not in made:
                continue
            points = pattern.piece(piece).cut.piece.points
            found.append((points[outer].x - points[inner].x, piece, outer))
        if not found:
            continue
        taken, piece, outer = max(found)
        held = taken <= side.most + 0.1
        yield Finding(
            f"side.{side.name}",
            Severity.WARNING,
            held,
            round(taken, 2),
            side.most,
            "mm",
            f"{piece}: its side runs in by {show(max(0.0, taken), unit)} from {outer.split('_')[0]} to {side.name}."
            + ("" if held else f" At one edge {show_at_most(side.most, unit)} is the most. {side.mend}"),
        )


def _equal_legs(off: float, by_hand: float) -> str:
    if off <= by_hand:
        return "Fold the dart and true the edge over it before you cut."
    return "Make them equal."


def _smaller(dart: str, by_hand: float) -> str:
    if by_hand:
        return "divide it into two darts"
    if dart == "bust":
        return "check front_waist_length and the length of the back, or divide it into two darts"
    return "make dart_intake smaller, or set waist_darts = 2"


@check(warning="armhole.scoop")
def armhole_scoop(pattern: Pattern) -> Iterator[Finding]:
    """The armhole reaches far enough under the arm: the underarm beyond mid armhole, on every half of the shell."""
    unit = pattern.unit
    shell = {part.piece for part in pattern.draft.girths}
    for name in (piece.name for piece in pattern.pieces if piece.name in shell):
        points = pattern.piece(name).cut.piece.points
        if "underarm" not in points or "mid_armhole" not in points:
            continue
        wide = points["underarm"].x - points["mid_armhole"].x
        held = wide >= LEAST_SCOOP - 0.1
        lack = LEAST_SCOOP - wide
        hollow = points["shoulder_tip"].x - points["mid_armhole"].x if "shoulder_tip" in points else 0.0
        yield Finding(
            "armhole.scoop",
            Severity.WARNING,
            held,
            round(wide, 2),
            LEAST_SCOOP,
            "mm",
            f"{name}: the armhole is scooped {show(wide, unit)} beyond mid armhole, under the arm."
            + (
                ""
                if held
                else f" Less than {show(LEAST_SCOOP, unit)} is pinched and rubs: make armhole_hollow "
                f"{show_at_least(hollow + lack, unit)}, or add {show_at_least(4 * lack, unit)} to ease_bust; and check "
                "shoulder_width."
            ),
        )


@check(warning="girth.top-hip")
def top_hip(pattern: Pattern) -> Iterator[Finding]:
    """The belly, where it was measured: the dress 10 cm below the waist against the body and the lesser ease."""
    body, unit = pattern.draft.body.get("top_hip_girth"), pattern.unit
    levels = {level.name: level for level in pattern.draft.levels}
    if body is None or "waist" not in levels or "hip" not in levels:
        return
    waist, hip = levels["waist"], levels["hip"]
    depth = waist.depth + min(TOP_HIP_DEPTH, hip.depth - waist.depth)
    found = girth_at(pattern, depth)
    wanted = body + min(waist.wearing_ease, hip.wearing_ease)
    lack = wanted - found
    held = lack <= SUM_LIMIT
    darts = sum(
        2 * dart.width_at(-depth - part.shift)
        for part in pattern.draft.girths
        if part.top <= depth < part.bottom
        for dart in pattern.piece(part.piece).cut.piece.darts
    )
    ways = [f"add {show_at_least(lack, unit)} to ease_waist and to ease_hip"]
    if darts >= lack:
        ways.append(f"let the waist darts end there: make dart_end_rise {show_at_least(hip.depth - depth, unit)}")
    yield Finding(
        "girth.top-hip",
        Severity.WARNING,
        held,
        round(found, 2),
        round(wanted, 2),
        "mm",
        f"top hip: {show(depth - waist.depth, unit)} below the waist the dress is {show(found, unit)} round, the body "
        f"{show(body, unit)}."
        + ("" if held else f" {show(wanted, unit)} is wanted there, or it rides up: {' or '.join(ways)}."),
    )


@check(error="zip.reach")
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


@check(error="entry.head entry.waist")
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


@check(
    error="sleeve.upper-arm sleeve.cap-height sleeve.wrist", warning="sleeve.upper-arm sleeve.cap-ease sleeve.armhole"
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
    least, easy = rounded(LEAST_BICEPS_EASE, unit), rounded(EASY_BICEPS_EASE, unit)
    severity = Severity.ERROR if ease < least - 0.1 else Severity.WARNING
    yield finding(
        "sleeve.upper-arm",
        severity,
        ease >= easy - 0.1,
        ease,
        easy if severity is Severity.WARNING else least,
        f"sleeve: {show(fit.biceps_line, unit)} wide at the biceps line, for an upper arm {show(fit.upper_arm, unit)} "
        "round.",
        f"Set ease_biceps to {show(easy, unit)} to bend the arm easily; less than {show(least, unit)} binds.",
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


@check(warning="body.*")
def measurement_book(pattern: Pattern) -> Iterator[Finding]:
    """Measurements that do not go together; doubts, never refusals."""
    doubts = plausible(pattern.draft.body, pattern.unit)
    for doubt in doubts:
        yield Finding(doubt.id, Severity.WARNING, False, doubt.measured, doubt.limit, doubt.unit_text, doubt.message)
    if not doubts:
        yield Finding("body.plausible", Severity.WARNING, True, 0, 0, "doubts", "The measurements go together.")
