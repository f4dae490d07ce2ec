"""How findings and tables are printed."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import click

from ..checks.by_size import but_for_numbers
from ..model.finding import Finding

SIGNS = {"error": "ERROR", "warning": "warning", "info": "note"}


def findings_as_text(findings: Iterable[Finding], *, every: bool) -> list[str]:
    """One line a finding: those that failed, or all of them; what several sizes have in common is told once."""
    alike: dict[tuple[str, bool, str], list[Finding]] = {}
    for f in findings:
        if every or not f.passed:
            alike.setdefault((f.id, f.passed, but_for_numbers(f.message)), []).append(f)
    lines = []
    for first, *others in alike.values():
        sign = "ok" if first.passed else SIGNS[first.severity.value]
        sizes = [f.size for f in others if f.size != first.size]
        more = f" (Size {first.size}; likewise {', '.join(dict.fromkeys(sizes))}.)" if sizes else ""
        lines.append(f"{sign:8}{first.id}: {first.message}{more}")
        lines += [f"{sign:8}{f.id}: {f.message}" for f in others if f.size == first.size]
    return lines


def summary(findings: Sequence[Finding]) -> str:
    """`48 checks: 46 passed, 1 warning, 1 note`."""
    failed = [f.severity.value for f in findings if not f.passed]
    parts = [f"{len(findings) - len(failed)} passed"]
    for name, words in (("error", "failed"), ("warning", "warning(s)"), ("info", "note(s)")):
        if name in failed:
            parts.append(f"{failed.count(name)} {words}")
    return f"{len(findings)} checks: " + ", ".join(parts)


def finding_as_json(f: Finding) -> dict[str, object]:
    """As in pattern.json."""
    return {
        "id": f.id, "severity": f.severity.value, "passed": f.passed, "measured": f.measured, "limit": f.limit,
        "unit": f.unit, "size": f.size, "message": f.message,
    }  # fmt: skip


def table(rows: Sequence[Sequence[str]]) -> None:
    """Columns as wide as their widest cell."""
    widths = [max(len(cell) for cell in column) for column in zip(*rows, strict=True)]
    for row in rows:
        click.echo("  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip())
