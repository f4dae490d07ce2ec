"""What a garment promises of itself, as plain data that carries its own proof."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Iterator, Mapping
from dataclasses import fields
from typing import TYPE_CHECKING, Any

from ..units import Unit, show_at_least
from ..values import dataclass, replace
from .finding import Finding, Severity
from .length import Length

if TYPE_CHECKING:
    from .pattern import Pattern


@dataclass(frozen=True, slots=True)
class Claim(ABC):
    """A promise of a garment, proved on its finished pieces and worked again for another body.

    `id` is that of its findings, or what they start with: it stays, since jobs wave findings through by it. `change`
    says which of the garment's own options to change where it fails, with `{name}` for what the proof works out: a
    claim knows no option by name.
    """

    id: str
    change: str

    @property
    def asked(self) -> bool:
        """Whether it is of an ease or a length that was asked for, which a fitting on the body overrules."""
        return False

    @property
    def words(self) -> str:
        """What is claimed, in a note."""
        return self.id[self.id.find(".") + 1 :].replace("-", " ")

    @abstractmethod
    def check(self, pattern: Pattern) -> Iterator[Finding]:
        """The proof: what was measured, against what is wanted."""

    def finding(
        self,
        held: bool,
        measured: float,
        limit: float,
        say: str,
        do: str,
        severity: Severity = Severity.ERROR,
        part: str = "",
    ) -> Finding:
        """One of the claim's findings, mm, or of a part of it; what to do is told where it does not hold."""
        name = f"{self.id}.{part}" if part else self.id
        return Finding(name, severity, held, measured, limit, "mm", say if held else f"{say} {do}")

    def lengths(self) -> dict[str, Length]:
        """The lengths that are wanted, by the names of their fields."""
        each = ((one.name, getattr(self, one.name)) for one in fields(self))
        return {name: length for name, length in each if isinstance(length, Length)}

    @property
    def in_base_only(self) -> bool:
        """Whether one of its lengths was found on a piece, so that no other body's can be worked from it."""
        return any(leaf.op == "found" for length in self.lengths().values() for leaf in length.leaves())

    def again(self, body: Mapping[str, float], style: Mapping[str, object]) -> Claim | None:
        """The same for another body; None where it cannot be known."""
        worked = {name: (length, length.again(body, style)) for name, length in self.lengths().items()}
        new: dict[str, Any] = {n: replace(length, mm=mm) for n, (length, mm) in worked.items() if mm is not None}
        return replace(self, **new) if len(new) == len(worked) else None


def told(change: str, unit: Unit, **lengths: float) -> str:
    """What to change, its lengths (mm) rounded up to what the maker can read.

    >>> told("add {more} to the ease", "in", more=25.0)
    'add 1 in to the ease'
    """
    return change.format(**{name: show_at_least(mm, unit) for name, mm in lengths.items()})
