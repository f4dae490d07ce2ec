"""Work in a second process beside this one, where the machine has a processor to spare for it."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, suppress
from typing import NoReturn, TypeAlias
from warnings import catch_warnings, simplefilter

Files: TypeAlias = Mapping[str, bytes]


@contextmanager
def beside(work: Callable[[], Files], whole: Callable[[], bool], *, worth: bool) -> Iterator[Callable[[], Files]]:
    """Begins `work` in a copy of this process; the function given waits for the files it made.

    Where that is not `worth` it, or there is one processor, or the system cannot copy a process, the work is done here
    when it is asked for; so too if the copy ended without a result, or what it made is not `whole`: whatever stood in
    its way is then met, and told, here. Whoever leaves early, by an error or Ctrl-C, ends the copy.
    """
    if not (worth and _spare_processor()):
        yield work
        return
    come, go = os.pipe()
    with catch_warnings():  # of threads: ours only tells how far the work is, and the copy needs none of its locks
        simplefilter("ignore", DeprecationWarning)
        child = os.fork()
    if not child:
        _give(work, whole, go)
    os.close(go)

    def taken() -> Files:
        import marshal

        with os.fdopen(os.dup(come), "rb") as told:
            found = told.read()
        try:
            files: Files = marshal.loads(found)
        except (EOFError, ValueError, TypeError):  # nothing, or not all of it
            return work()
        return files

    try:
        yield taken
    finally:
        import signal

        os.close(come)
        with suppress(ProcessLookupError):
            os.kill(child, signal.SIGKILL)  # done already, or not wanted any more
        os.waitpid(child, 0)


def _spare_processor() -> bool:
    """Whether this process can be copied and the copy has a processor; not while calls are counted: it hides its."""
    if not hasattr(os, "sched_getaffinity") or sys.getprofile() is not None or sys.gettrace() is not None:
        return False
    return len(os.sched_getaffinity(0)) > 1


def _give(work: Callable[[], Files], whole: Callable[[], bool], go: int) -> NoReturn:
    """The files, or nothing, through the pipe; then the end, without anything that a leaving process does."""
    try:
        import marshal
        import signal

        for number in (signal.SIGINT, signal.SIGTERM):
            signal.signal(number, signal.SIG_DFL)
        files = work()
        rest = memoryview(marshal.dumps(dict(files)) if whole() else b"")
        while rest:
            rest = rest[os.write(go, rest) :]
    finally:
        os._exit(0)
