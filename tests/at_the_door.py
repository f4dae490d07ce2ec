"""The whole program in this process, from its words to its exit code: for tests that need it hundreds of times."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from wardrobe import oaktag

FORESEEN = (0, 1, 2, 3)
"""Exit codes that an input may end in (contract.md: 4 is a fault of the program)."""


@dataclass(frozen=True, slots=True)
class Ended:
    """What a run ended in."""

    code: int
    out: str
    err: str

    @property
    def foreseen(self) -> bool:
        return self.code in FORESEEN and "Traceback" not in self.out + self.err


def oaktag_here(*words: object, cwd: Path) -> Ended:
    """Runs `oaktag WORDS` in a folder, with a maker's devices kept there too, and nothing on standard input."""
    done = oaktag(*words, cwd=cwd, OAKTAG_DEVICES=str(cwd / ".devices"), OAKTAG_BOOK=str(cwd / ".clients.book"),
                  OAKTAG_TRACE="1")  # fmt: skip
    return Ended(done.returncode, done.stdout, done.stderr)
