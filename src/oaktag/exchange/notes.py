"""What is told of a file beside its pieces, and how long it may be looked at."""

from __future__ import annotations

from typing import Final

from ..values import dataclass, field
from .words import Encoding, readable

MOST_NOTES: Final = 300


@dataclass(slots=True)
class Notes:
    """What was odd, in the order in which it was met; each sentence once."""

    sentences: list[str]
    seen: set[str] = field(default_factory=set)

    def add(self, sentence: str) -> None:
        if sentence not in self.seen:
            self.seen.add(sentence)
            self.sentences.append(sentence)

    def told(self) -> tuple[str, ...]:
        kept = self.sentences[:MOST_NOTES]
        more = len(self.sentences) - len(kept)
        return (*kept, f"{more} more notes are left out.") if more else tuple(kept)


@dataclass(slots=True)
class Steps:
    """What is left of the steps that may be spent on a file."""

    left: int


@dataclass(frozen=True, slots=True)
class Texts:
    """Makes texts readable."""

    encoding: Encoding

    def plain(self, raw: str) -> str:
        if raw.isascii() and raw.isprintable() and len(raw) < 256 and "%%" not in raw and "\\" not in raw:
            return raw.strip()
        return readable(raw, self.encoding)


@dataclass(frozen=True, slots=True)
class Context:
    """What the pieces of one file have in common; `unit` is mm to a unit of the file."""

    unit: float
    texts: Texts
    notes: Notes
    steps: Steps
