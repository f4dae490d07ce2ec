"""What can go wrong, each class with its exit code.

OaktagError                      3 is never guessed: every leaf says its own code
├── InputError            2      one mistake in what the maker wrote, and where
│   └── GarmentFault      2      a fault of a garment from outside, not of the job
├── InputErrors           2      all the mistakes of one file, together
├── DraftError            2      the method cannot serve this body or style; says what to change
├── CheckFailed           1      a check of severity `error` failed and was not named in --despite (model/finding.py)
├── GeometryError         2      an outline that cannot be worked with
└── DeviceError           3      a device or a file system failed

Anything else is a fault of the program: 4, told by `__main__`, as are Ctrl-C (130) and SIGTERM (143).
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Final

from .values import dataclass

_ENDLESS: Final = re.compile(r"(\S{60})\S{60,}")


@dataclass(frozen=True, slots=True)
class Where:
    """A place in a file: name as the maker gave it, line from 1 (0: the whole file), dotted key."""

    file: str
    line: int = 0
    key: str = ""

    def __str__(self) -> str:
        place = f"{self.file}:{self.line}" if self.line else self.file
        return f"{place} {self.key}" if self.key else place


class OaktagError(Exception):
    """Root of the tree; `exit_code` is what the command line returns."""

    exit_code = 2


class InputError(OaktagError):
    """One mistake: what was found, where, what was expected, what to type instead."""

    def __init__(self, found: str, *, where: Where | None = None, expected: str = "", instead: str = "") -> None:
        self.found, self.where, self.expected, self.instead = _quotable(found), where, expected, instead
        super().__init__(str(self))

    def __str__(self) -> str:
        text = f"{self.where}: {self.found}" if self.where else self.found
        if self.expected:
            text += f"; expected {self.expected}"
        text = text.rstrip(".") + "."
        return f"{text} {self.instead.rstrip('.')}." if self.instead else text


class GarmentFault(InputError):  # noqa: N818 - it is the garment's
    """A garment from outside that cannot be used: the text begins with its file, and the line where there is one."""


def _quotable(text: str) -> str:
    r"""What was found, without signs that no terminal should be sent, and with endless words cut.

    >>> _quotable("--quantity " + "9" * 5000 + " is none"), _quotable("a\x1b[2J")
    ('--quantity 999999999999999999999999999999999999999999999999999999999999... is none', 'a\ufffd[2J')
    """
    text = _ENDLESS.sub(r"\1...", text)
    return text if text.isprintable() else "".join(c if c.isprintable() or c == "\n" else "\ufffd" for c in text)


class InputErrors(OaktagError):  # noqa: N818 - several of them
    """All the mistakes that were found in one file, in its order."""

    def __init__(self, errors: Iterable[InputError]) -> None:
        self.errors = tuple(errors)
        super().__init__("\n".join(str(error) for error in self.errors))


class DraftError(OaktagError):
    """The draft cannot be made from these measurements and this style; the text says what to change."""


class GeometryError(OaktagError):
    """An outline that cannot be offset, walked or flattened; the text names it."""


class DeviceError(OaktagError):
    """A device or the file system failed: cannot be written, full, gone."""

    exit_code = 3
