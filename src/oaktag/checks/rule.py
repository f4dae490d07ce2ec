"""What a check is: a function that measures, with the findings that it gives and how grave they are; and how a finding
is made."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Generic, TypeVar

from ..model.finding import Finding, Severity
from ..model.nest import Nest
from ..model.pattern import Pattern
from ..values import dataclass

Of = TypeVar("Of", Pattern, Nest)


@dataclass(frozen=True, slots=True)
class Rule(Generic[Of]):
    """A check of a pattern, or of a nest across its sizes. It measures and tells; it never prints, raises or repairs.

    `ids` are those of its findings, with the severities that they may have: `seam.*` for one a seam of the garment.
    """

    run: Callable[[Of], Iterator[Finding]]
    ids: Mapping[str, tuple[Severity, ...]]

    @property
    def measures(self) -> str:
        """In words."""
        return (self.run.__doc__ or "").strip().split("\n")[0]

    def __call__(self, subject: Of) -> Iterator[Finding]:
        return self.run(subject)


def check(
    *, error: str = "", warning: str = "", info: str = ""
) -> Callable[[Callable[[Of], Iterator[Finding]]], Rule[Of]]:
    """Makes a function a rule: the ids of its findings by their severity, in words with a space between them."""
    ids: dict[str, tuple[Severity, ...]] = {}
    for severity, words in ((Severity.ERROR, error), (Severity.WARNING, warning), (Severity.INFO, info)):
        for name in words.split():
            ids[name] = (*ids.get(name, ()), severity)
    return lambda run: Rule(run, ids)


def found(
    name: str,
    severity: Severity,
    held: bool,
    measured: float,
    limit: float,
    right: str,
    wrong: str,
    *,
    unit: str = "mm",
    digits: int | None = 2,
) -> Finding:
    """A finding, `measured` to so many digits; what it says where the rule holds, and what, with advice, where not."""
    told = measured if digits is None else round(measured, digits)
    return Finding(name, severity, held, told, limit, unit, right if held else wrong)
