"""What the checks of several sizes found, a row for each rule at each place."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Final

from ..model.finding import Finding, Severity
from ..model.piece import piece_words

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


def worst(findings: Iterable[Finding]) -> Severity | None:
    """The gravest severity of those that did not pass; None if all passed."""
    failed = {f.severity for f in findings if not f.passed}
    return next((severity for severity in Severity if severity in failed), None)
