"""What the checks found, told shortly: a row for each rule at each place, a paragraph for what several say alike."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from itertools import takewhile
from typing import Final

from ..model.finding import Finding, Severity
from ..model.piece import piece_words
from ..units import INCH, Unit, show
from ..values import dataclass

_NUMBERS: Final = re.compile(r"[+−-]?\d[\d ./,]*")


def but_for_numbers(text: str) -> str:
    """A message or note without what may differ between sizes when they say the same thing.

    >>> but_for_numbers("hem: 24 1/2 in is too narrow") == but_for_numbers("hem: 25 in is too narrow")
    True
    """
    return _NUMBERS.sub("#", text)


@dataclass(frozen=True, slots=True)
class CheckRow:
    """One rule at one place, in the sizes that it was measured in. `place` is empty where a rule looks at one alone."""

    id: str
    place: str
    by_size: Mapping[str, Finding]

    @property
    def failed(self) -> tuple[Finding, ...]:
        return tuple(f for f in self.by_size.values() if not f.passed)


def rows_by_size(findings: Iterable[Finding]) -> tuple[CheckRow, ...]:
    """The findings of each size (not those across the sizes, whose size is "") by rule and place, in their order.

    Where a rule is told more than once in a size, its place is what stands before the colon of its message; where that
    is the same too, the first in one size goes with the first in the others, since sizes are built alike.
    """
    each = [f for f in findings if f.size]
    often = Counter((f.id, f.size) for f in each)
    repeated = {name for (name, _), count in often.items() if count > 1}
    seen = Counter[tuple[str, str, str]]()
    found: dict[tuple[str, str, int], dict[str, Finding]] = {}
    for f in each:
        head, colon, _ = f.message.partition(":")
        place = piece_words(head) if colon and f.id in repeated else ""
        found.setdefault((f.id, place, seen[f.id, place, f.size]), {})[f.size] = f
        seen[f.id, place, f.size] += 1
    return tuple(CheckRow(name, place, by_size) for (name, place, _), by_size in found.items())


@dataclass(frozen=True, slots=True)
class ParagraphRow:
    """One line of the table below a paragraph: a place, the sizes that agree there, its words where others differ."""

    place: str
    sizes: tuple[str, ...]
    measured: float
    limit: float
    unit: str
    said: str


@dataclass(frozen=True, slots=True)
class Paragraph:
    """What one rule found, at several places or in several sizes, told once: the worst of it in full, and a table.

    `rows` are empty where there is nothing that the words leave out.
    """

    worst: Finding
    findings: tuple[Finding, ...]
    rows: tuple[ParagraphRow, ...]

    def words(self, sizes: Sequence[str]) -> str:
        """Its message, with the sizes and the number of places that it is for; `sizes` are all that there are."""
        some = tuple(dict.fromkeys(f.size for f in self.findings if f.size))
        places = len({row.place for row in self.rows})
        parts = []
        if some and len(sizes) > 1:
            words = sizes_words(sizes, some)
            parts.append("Every size" if len(some) == len(sizes) else f"{words[0].upper()}{words[1:]}")
        if places > 1:
            parts.append(f"{'at ' if parts else 'At '}{places} places")
        if not parts:
            return self.worst.message
        more = ""
        if len(self.findings) > 1:
            more = f"; as told for size {self.worst.size}" if len(some) > 1 else "; as told for the worst"
        return f"{', '.join(parts)}{more}: {self.worst.message}"


def paragraphs(findings: Iterable[Finding]) -> tuple[Paragraph, ...]:
    """Findings by rule, those of one rule with the same advice together, in the order in which each is first met."""
    alike: dict[tuple[str, bool, Severity, str], list[Finding]] = {}
    for f in findings:
        alike.setdefault((f.id, f.passed, f.severity, but_for_numbers(_parts(f.message)[2])), []).append(f)
    return tuple(_paragraph(tuple(group)) for group in alike.values())


def _paragraph(group: tuple[Finding, ...]) -> Paragraph:
    worst_of = max(group, key=lambda f: abs(f.measured - f.limit))
    parts = [_parts(f.message) for f in group]
    differ = len({but_for_numbers(said) for _, said, _ in parts}) > 1
    alike = _alike_at_the_end([said for _, said, _ in parts]) if differ else 0
    rows: dict[tuple[str, float, float, str, str], list[str]] = {}
    for f, (place, said, _) in zip(group, parts, strict=True):
        rows.setdefault((place, f.measured, f.limit, f.unit, said[: len(said) - alike] if differ else ""), []).append(
            f.size
        )
    lines = [
        ParagraphRow(place, tuple(s for s in dict.fromkeys(sizes) if s), measured, limit, unit, said)
        for (place, measured, limit, unit, said), sizes in rows.items()
    ]
    return Paragraph(worst_of, group, tuple(lines) if len(lines) > 1 else ())


_LONGEST_PLACE: Final = 40


def _alike_at_the_end(texts: Sequence[str]) -> int:
    """How many characters all texts end with alike, from a comma or semicolon on: what need not be told again.

    >>> _alike_at_the_end(["a is short, though none is", "the b is short, though none is"])
    16
    """
    alike = list(takewhile(lambda same: len(set(same)) == 1, zip(*(text[::-1] for text in texts), strict=False)))
    back = "".join(same[0] for same in alike)
    return max(back.rfind(","), back.rfind(";")) + 1


def _parts(message: str) -> tuple[str, str, str]:
    """Place (what stands before a colon), first sentence, and the rest.

    >>> _parts("front: the side is short. Make it longer.")
    ('front', 'the side is short', 'Make it longer.')
    """
    head, colon, tail = message.partition(": ")
    at_place = bool(colon) and len(head) <= _LONGEST_PLACE and ". " not in head
    said, _, advice = (tail if at_place else message).partition(". ")
    return piece_words(head) if at_place else "", said.removesuffix("."), advice


def sizes_words(every: Sequence[str], some: Iterable[str]) -> str:
    """`size 12`, `sizes 8 to 16`, `sizes 8, 10 and 14 to 18`, in the order of the set.

    >>> sizes_words(("8", "10", "12", "14"), ("8", "12", "14")), sizes_words(("8", "10"), ("10",))
    ('sizes 8, 12 and 14', 'size 10')
    """
    wanted = set(some)
    runs: list[list[str]] = [[]]
    for size in every:
        if size in wanted:
            runs[-1].append(size)
        elif runs[-1]:
            runs.append([])
    words: list[str] = []
    for run in runs:
        words += [f"{run[0]} to {run[-1]}"] if len(run) > 2 else run
    listed = " and ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)
    return f"size{'s' if len(wanted) > 1 else ''} {listed}"


def row_lengths(row: ParagraphRow, unit: Unit) -> tuple[str, str]:
    """What was measured and its limit, in the maker's unit where that tells them apart, else as they were measured.

    >>> row_lengths(ParagraphRow("", (), 393.7, 437.0, "mm", ""), "in")
    ('15 1/2 in', '17 1/4 in')
    >>> row_lengths(ParagraphRow("", (), 64.1, 0.5, "mm", ""), "in")
    ('64.1 mm', '0.5 mm')
    """
    both = (row.measured, row.limit)
    if row.unit == "mm" and min(map(abs, both)) >= INCH / 4 and abs(row.measured - row.limit) >= INCH / 8:
        return show(row.measured, unit), show(row.limit, unit)
    plain = [f"{round(value, 2) + 0.0:.2f}".rstrip("0").rstrip(".").replace("-", "−") for value in both]
    return f"{plain[0]} {row.unit}", f"{plain[1]} {row.unit}"


def worst(findings: Iterable[Finding]) -> Severity | None:
    """The gravest severity of those that did not pass; None if all passed."""
    failed = {f.severity for f in findings if not f.passed}
    return next((severity for severity in Severity if severity in failed), None)
