"""All the checks, in the order in which a cutter would look. A check measures and tells; it never prints or repairs."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final, TypeAlias

from ..beside import beside
from ..model.finding import Finding, Severity
from ..model.nest import Nest
from ..model.pattern import Pattern
from ..progress import Told, silent
from . import fit, marks, outline, seams
from .rule import Rule

CHECKS: Final[tuple[Rule[Pattern], ...]] = (
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
    fit.measures,
    fit.darts,
    fit.claims,
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
    """Every finding of every size, then those across the sizes (size ""); of a single size there are none across.

    Every second size is checked beside the others.
    """
    sizes, count = nest.sizes, len(nest.patterns)
    mine, others = nest.patterns[1 - count % 2 :: 2], nest.patterns[count % 2 :: 2]

    def of(patterns: Sequence[Pattern]) -> Iterator[Finding]:
        for pattern in patterns:
            k = sizes.index(pattern.size) + 1
            told(f"checking size {pattern.size}" if count > 1 else "checking", k, count)
            yield from check(pattern)

    with beside(lambda: [_row(finding) for finding in of(others)], when=count > 1) as checked_beside:
        found = list(of(mine))
        rows = checked_beside()
    found += of(others) if rows is None else map(_finding, rows)
    found.sort(key=lambda finding: sizes.index(finding.size))
    if count > 1:
        told("checking across the sizes", 0, 0)
        from . import across

        found += [finding for rule in across.ACROSS for finding in rule(nest)]
    return tuple(found)


_Row: TypeAlias = tuple[str, str, bool, float, float, str, str, str]
"""A finding as one process sends it to the other."""


def _row(f: Finding) -> _Row:
    return f.id, f.severity.value, f.passed, f.measured, f.limit, f.unit, f.message, f.size


def _finding(row: _Row) -> Finding:
    return Finding(row[0], Severity(row[1]), *row[2:])


def standing_errors(findings: tuple[Finding, ...], despite: tuple[str, ...] = ()) -> tuple[Finding, ...]:
    """Failed errors that nobody has waved through by id."""
    return tuple(f for f in findings if not f.passed and f.severity is Severity.ERROR and f.id not in despite)
