"""Work that a second process does meanwhile, where there is a second core: by the same code, with the same result.

The second process is a copy of this one (fork), so nothing is sent to it. It writes no file, and nobody hears of it:
what it did not finish is done here, and fails here. Only on Linux, where a copy is made in 2 ms, and only where no
other thread runs that could hold a lock in the copy; elsewhere all is done here, one after the other.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any, Final, TypeVar

CLOCK: Final = "oaktag clock"
"""The name of the one thread that may run on: it shows how far the work is, and holds nothing that a copy needs."""

_T = TypeVar("_T")
"""Text, bytes, numbers, None, and tuples, lists and dicts of them."""


@contextmanager
def beside(work: Callable[[], _T | None], *, when: bool = True) -> Iterator[Callable[[], _T | None]]:
    """Begins the work, and gives what waits for its result: None where it was not (`when`) or could not be done beside.

    `work` changes nothing that anyone needs. It is ended if it is not waited for.
    """
    reads = child = -1
    if when and _may_copy():
        with suppress(OSError):  # no process or memory to spare
            reads, child = _begun(work)
    if child < 0:
        yield lambda: None
        return

    def wait() -> _T | None:
        nonlocal child
        with os.fdopen(reads, "rb", closefd=False) as pipe:
            told = pipe.read()
        _, status = os.waitpid(child, 0)
        child = -1
        if not told or status != 0:
            return None
        import marshal

        result: _T = marshal.loads(told)
        return result

    try:
        yield wait
    finally:
        os.close(reads)
        if child > 0:
            import signal

            os.kill(child, signal.SIGKILL)
            os.waitpid(child, 0)


def _may_copy() -> bool:
    """Whether a second core is free for us, and no thread but the clock runs, of ours or of a library's."""
    if sys.platform != "linux" or len(os.sched_getaffinity(0)) < 2:
        return False
    import threading

    others = [thread for thread in threading.enumerate() if thread is not threading.main_thread()]
    try:
        count = sum(1 for _ in Path("/proc/self/task").iterdir())
    except OSError:
        return False
    return count == 1 + len(others) and all(thread.name == CLOCK for thread in others)


def _begun(work: Callable[[], Any]) -> tuple[int, int]:
    """Where the copy tells what it made, and its number."""
    import warnings

    reads, writes = os.pipe()
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", DeprecationWarning)  # Python 3.12 and later warn of any second thread
            child = os.fork()
    except OSError:
        os.close(reads)
        os.close(writes)
        raise
    if child == 0:
        _work_in_copy(work, writes)
    os.close(writes)
    return reads, child


def _work_in_copy(work: Callable[[], Any], writes: int) -> None:
    """Never returns. Whatever goes wrong, the other process does it again, and tells of it."""
    status = 1
    try:
        import marshal
        import signal

        signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C reaches both; the other one ends this one
        signal.signal(signal.SIGTERM, signal.SIG_DFL)
        nowhere = os.open(os.devnull, os.O_RDWR)
        for stream in (0, 1, 2):
            os.dup2(nowhere, stream)
        result = work()
        if result is not None:
            with os.fdopen(writes, "wb") as pipe:
                marshal.dump(result, pipe)
            status = 0
    finally:
        os._exit(status)
