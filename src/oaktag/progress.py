"""How far long work is: told by whoever does it, shown on a terminal, and nowhere else."""

from __future__ import annotations

import sys
import threading
import time
from collections.abc import Callable
from types import TracebackType
from typing import Final, TypeAlias

from .beside import CLOCK

Told: TypeAlias = Callable[[str, int, int], None]
"""What is being done now, the how manyth it is, and of how many: ("checking size 12", 3, 12); (…, 0, 0) where there is
nothing to count."""
_AFTER: Final = 0.5
"""Shorter work shows nothing, s (common practice, no source)."""
_EVERY: Final = 0.25


def silent(what: str, done: int = 0, of: int = 0) -> None:
    """For whoever does not listen."""


class Progress:
    """One line on stderr, if that is a terminal: what is being done, how far it is, and for how long it has been going.

    >>> with Progress() as told:
    ...     told("drafting size 12", 3, 12)
    """

    def __init__(self) -> None:
        self._line = "working"
        self._live = sys.stderr.isatty()
        self._over = threading.Event()
        self._shown = 0
        self._clock = threading.Thread(target=self._run, name=CLOCK, daemon=True)

    @property
    def live(self) -> bool:
        """Whether it is shown."""
        return self._live

    def __enter__(self) -> Progress:
        if self._live:
            self._clock.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._over.set()
        if self._live:
            self._clock.join()
            self._write("")

    def __call__(self, what: str, done: int = 0, of: int = 0) -> None:
        self._line = f"{what} ({done} of {of})" if of > 1 else what

    def _run(self) -> None:
        began = time.monotonic()
        wait = _AFTER
        while not self._over.wait(wait):
            self._write(f"{self._line}, {time.monotonic() - began:.0f} s")
            wait = _EVERY

    def _write(self, line: str) -> None:
        """In place of the line that is there; a terminal that is gone stops nothing."""
        import shutil

        line = line[: max(1, shutil.get_terminal_size().columns - 1)]
        if line or self._shown:
            end = "\r" if not line else ""
            try:
                sys.stderr.write(f"\r{line}{' ' * max(0, self._shown - len(line))}{end}")
                sys.stderr.flush()
            except (OSError, ValueError):
                self._over.set()
        self._shown = len(line)
