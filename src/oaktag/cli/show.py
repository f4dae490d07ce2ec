"""How findings and tables are printed."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import click

from ..checks.by_size import Paragraph, but_for_numbers, paragraphs, row_lengths
from ..model.finding import Finding
from ..units import Unit

SIGNS = {"error": "ERROR", "warning": "warning", "info": "note"}


def findings_as_text(findings: Iterable[Finding], *, every: bool, unit: Unit = "in") -> list[str]:
    """What failed, a paragraph a rule with a table of places and sizes; and (`every`) a line for what passed.

    What several sizes have in common is told once; lengths in tables are in `unit`.
    """
    told = list(findings)
    sizes = tuple(dict.fromkeys(f.size for f in told if f.size))
    lines = []
    for paragraph in paragraphs(f for f in told if every or not f.passed):
        if paragraph.worst.passed:
            lines += _passed(paragraph.findings)
            continue
        sign = SIGNS[paragraph.worst.severity.value]
        lines.append(f"{sign:8}{paragraph.worst.id}: {paragraph.words(sizes)}")
        lines += [f"{'':8}{line}" for line in _table_of(paragraph, unit)]
    return lines


def _passed(findings: Iterable[Finding]) -> list[str]:
    alike: dict[str, list[Finding]] = {}
    for f in findings:
        alike.setdefault(but_for_numbers(f.message), []).append(f)
    lines = []
    for first, *others in alike.values():
        sizes = [f.size for f in others if f.size != first.size]
        more = f" (Size {first.size}; likewise {', '.join(dict.fromkeys(sizes))}.)" if sizes else ""
        lines.append(f"{'ok':8}{first.id}: {first.message}{more}")
        lines += [f"{'ok':8}{f.id}: {f.message}" for f in others if f.size == first.size]
    return lines


def _table_of(paragraph: Paragraph, unit: Unit) -> list[str]:
    """The rows below a paragraph; columns that say nothing are left out."""
    if not paragraph.rows:
        return []
    rows = [("place", "size", "measured", "limit", "what")]
    rows += [(row.place, ", ".join(row.sizes), *row_lengths(row, unit), row.said) for row in paragraph.rows]
    kept = [i for i in range(5) if any(row[i] for row in rows[1:])]
    widths = {i: max(len(row[i]) for row in rows) for i in kept}
    return ["  ".join(row[i].ljust(widths[i]) for i in kept).rstrip() for row in rows]


def summary(findings: Sequence[Finding]) -> str:
    """`48 checks: 46 passed, 1 warning(s), 1 note(s)`; what one paragraph tells is one, with its checks counted."""
    failed = [paragraph for paragraph in paragraphs(findings) if not paragraph.worst.passed]
    count = sum(len(paragraph.findings) for paragraph in failed)
    parts = [f"{len(findings) - count} passed"]
    for name, words in (("error", "failed"), ("warning", "warning(s)"), ("info", "note(s)")):
        own = [len(paragraph.findings) for paragraph in failed if paragraph.worst.severity.value == name]
        if own:
            places = f" (from {sum(own)} checks)" if sum(own) > len(own) else ""
            parts.append(f"{len(own)} {words}{places}")
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
