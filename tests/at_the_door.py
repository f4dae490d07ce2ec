"""The whole program in this process, from its words to its exit code: for tests that need it hundreds of times."""

from __future__ import annotations

import gc
import io
import os
import signal
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path

from oaktag.__main__ import main

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
    out, err = (io.TextIOWrapper(io.BytesIO(), encoding="utf-8", write_through=True) for _ in range(2))
    code = 0
    with _at(cwd), _streams(out, err, ["oaktag", *map(str, words)]):
        try:
            main()
        except SystemExit as end:
            code = end.code if isinstance(end.code, int) else 1
    return Ended(code, _text(out), _text(err))


def _text(stream: io.TextIOWrapper) -> str:
    raw = stream.buffer
    assert isinstance(raw, io.BytesIO)
    return raw.getvalue().decode("utf-8", "replace")


@contextmanager
def _at(cwd: Path) -> Iterator[None]:
    before, devices = Path.cwd(), os.environ.get("OAKTAG_DEVICES")
    os.environ |= {"OAKTAG_DEVICES": str(cwd / ".devices"), "OAKTAG_TRACE": "1"}
    os.chdir(cwd)
    try:
        yield
    finally:
        os.chdir(before)
        del os.environ["OAKTAG_TRACE"]
        if devices is None:
            del os.environ["OAKTAG_DEVICES"]
        else:
            os.environ["OAKTAG_DEVICES"] = devices


@contextmanager
def _streams(out: io.TextIOWrapper, err: io.TextIOWrapper, argv: list[str]) -> Iterator[None]:
    kept = sys.stdin, sys.stdout, sys.stderr, sys.argv
    heard = [(number, signal.getsignal(number)) for number in (signal.SIGTERM, signal.SIGINT)]
    sys.stdin, sys.stdout, sys.stderr, sys.argv = io.StringIO(), out, err, argv
    try:
        yield
    finally:
        sys.stdin, sys.stdout, sys.stderr, sys.argv = kept
        gc.enable()
        for number, handler in heard:
            with suppress(ValueError, TypeError):
                signal.signal(number, handler)
