"""All the checks, in the order in which a cutter would look. A check measures and tells; it never prints or repairs."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Final, TypeAlias

from ..model.finding import Finding, Severity
from ..model.nest import Nest
from ..model.pattern import Pattern
from ..progress import Told, silent
from . import fit, marks, outline, seams, stride

Check: TypeAlias = Callable[[Pattern], Iterator[Finding]]

CHECKS: Final[tuple[Check, ...]] = (
    outline.outlines,
    outline.allowances,
    outline.corners_lie_flat,
    outline.marks,
    seams.seam_lengths,
    seams.notches_meet,
    marks.cap_ease,
    marks.off_corners,
    seams.corners_true,
    seams.darts_true,
    fit.quarter_sums,
    fit.body_lengths,
    fit.top_hip,
    fit.darts,
    fit.dart_points,
    fit.sides,
    fit.armhole_scoop,
    fit.zip_reach,
    fit.entry,
    fit.sleeve,
    fit.wearing_ease,
    stride.stride,
    fit.measurement_book,
)


def check(pattern: Pattern) -> tuple[Finding, ...]:
    """Every finding of every check, passed or not, with the pattern's size."""
    return tuple(
        Finding(f.id, f.severity, f.passed, f.measured, f.limit, f.unit, f.message, pattern.size)
        for rule in CHECKS
        for f in rule(pattern)
    )


def check_nest(nest: Nest, told: Told = silent) -> tuple[Finding, ...]:
    """Every finding of every size, then those across the sizes (size ""); of a single size there are none across."""
    each: tuple[Finding, ...] = ()
    count = len(nest.patterns)
    for k, pattern in enumerate(nest.patterns, start=1):
        told(f"checking size {pattern.size}" if count > 1 else "checking", k, count)
        each += check(pattern)
    if count < 2:
        return each
    told("checking across the sizes", 0, 0)
    from . import across

    return each + tuple(finding for rule in across.ACROSS for finding in rule(nest))


def standing_errors(findings: tuple[Finding, ...], despite: tuple[str, ...] = ()) -> tuple[Finding, ...]:
    """Failed errors that nobody has waved through by id."""
    return tuple(f for f in findings if not f.passed and f.severity is Severity.ERROR and f.id not in despite)
