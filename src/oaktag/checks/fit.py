"""Does the garment fit: what it claims of itself, its darts, and the measurement book."""

from __future__ import annotations

from collections.abc import Iterator

from ..body.sanity import plausible
from ..model.claim import Claim
from ..model.finding import Finding, Severity
from ..model.pattern import Pattern
from ..units import INCH, rounded, show
from ..values import replace
from .rule import check, found

LEG_LIMIT = 1.0
LARGEST_DART = 1.5 * INCH
"""`rounded` where metric is read."""
_MEASURES = ("girth.", "length.")


@check(error="girth.* length.*", warning="girth.* length.* girth.top-hip")
def measures(pattern: Pattern) -> Iterator[Finding]:
    """The girths and lengths that the garment claims to have."""
    for claim in pattern.draft.claims:
        if claim.id.startswith(_MEASURES):
            yield from _proved(claim, pattern)


@check(
    error="zip.reach entry.head entry.waist sleeve.upper-arm sleeve.cap-height sleeve.wrist walk.stride",
    warning="ease.* dart.bust-point side.waist armhole.scoop walk.stride walk.zip-clear "
    "sleeve.upper-arm sleeve.cap-ease sleeve.armhole",
    info="walk.everyday side.hem",
)
def claims(pattern: Pattern) -> Iterator[Finding]:
    """All else that it claims, in its own order."""
    for claim in pattern.draft.claims:
        if not claim.id.startswith(_MEASURES):
            yield from _proved(claim, pattern)


def _proved(claim: Claim, pattern: Pattern) -> Iterator[Finding]:
    """What a claim finds. An ease or a length that was asked for is overruled by what was pinned on the body: what is
    off then is told, and stops nothing."""
    overruled = claim.asked and bool(pattern.draft.altered)
    for finding in claim.check(pattern):
        if overruled and not finding.passed and finding.severity is Severity.ERROR:
            finding = replace(finding, severity=Severity.WARNING, message=f"As fitted: {finding.message}")
        yield finding


@check(error="dart.legs", warning="dart.legs dart.intake", info="dart.intake")
def darts(pattern: Pattern) -> Iterator[Finding]:
    """Legs that are sewn together are equally long; a dart is not wider than cloth can be pressed smooth."""
    by_hand = pattern.draft.by_hand
    for piece in pattern.pieces:
        for dart in piece.cut.piece.darts:
            one, other = max(dart.legs(), key=lambda legs: abs(legs[0] - legs[1]))
            off = abs(one - other)
            say = f"{piece.name}: the legs of the {dart.name} dart"
            yield found(
                "dart.legs", Severity.WARNING if by_hand else Severity.ERROR, off <= LEG_LIMIT, off, LEG_LIMIT,
                f"{say} are equally long.",
                f"{say} differ by {off:.1f} mm: {one:.1f} and {other:.1f} mm. {_equal_legs(off, by_hand)}",
                digits=3,
            )  # fmt: skip
            largest = rounded(LARGEST_DART, pattern.unit)
            smaller, note = _smaller(pattern, piece.name, dart.name)
            say = f"{piece.name}: the {dart.name} dart takes in {show(dart.intake, pattern.unit)}."
            above = f"Above {show(largest, pattern.unit)} " + (
                "one may pucker (common practice, no source), but this" if note else "it puckers:")  # fmt: skip
            yield found(
                "dart.intake", Severity.INFO if note else Severity.WARNING, dart.intake <= largest + 0.1, dart.intake,
                largest, say, f"{say} {above} {smaller}.", digits=None,
            )  # fmt: skip


def _smaller(pattern: Pattern, piece: str, dart: str) -> tuple[str, bool]:
    """What to do about a dart that takes in much, and whether that is no more than a note: of one that must."""
    advice = pattern.draft.advice
    for key in (f"note dart.intake {dart}", f"note dart.intake {piece} {dart}"):
        if key in advice:
            return advice[key], True
    return advice.get(f"dart.intake {dart}", "divide it into two darts"), False


def _equal_legs(off: float, by_hand: float) -> str:
    if off <= by_hand:
        return "Fold the dart and true the edge over it before you cut."
    return "Make them equal."


@check(warning="body.*")
def measurement_book(pattern: Pattern) -> Iterator[Finding]:
    """Measurements, of those that the method uses, that do not go together; doubts, never refusals."""
    draft = pattern.draft
    used = {name: mm for name, mm in draft.body.items() if not draft.uses or name in draft.uses}
    doubts = plausible(used, pattern.unit, getattr(draft.body, "wearer", ""))
    for doubt in doubts:
        yield Finding(doubt.id, Severity.WARNING, False, doubt.measured, doubt.limit, doubt.unit_text, doubt.message)
    if not doubts:
        yield Finding("body.plausible", Severity.WARNING, True, 0, 0, "doubts", "The measurements go together.")
