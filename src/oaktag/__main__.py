"""The door of the program: `oaktag`, and `python -m oaktag`.

Whatever happens ends in a sentence and an exit code (`errors`), never in a traceback, imports included; that is why
this module imports next to nothing by itself. `OAKTAG_TRACE=1` shows the traceback of a fault of the program.
"""

from __future__ import annotations

import os
import sys
from contextlib import suppress
from typing import TYPE_CHECKING, Final, TextIO

if TYPE_CHECKING:
    from types import FrameType

NOT_WRITTEN: Final = 3
FAULT: Final = 4
STOPPED: Final = 130
ENDED: Final = 143
"""Exit codes: output that could not be written; a fault of the program; Ctrl-C and SIGTERM, as a shell counts them."""

_WATCHERS: Final = frozenset({"cProfile", "coverage"})


class Ended(KeyboardInterrupt):
    """SIGTERM: whoever asked wants what Ctrl-C does, files whole or not at all."""


def main() -> None:
    """Run a verb and leave with its exit code.

    At once: all is written, and to take down every object that was made, as Python does at its end, takes as long as to
    make the plot. Not where a thread still runs, or where somebody watches the run and has to come to an end, too.
    """
    code = ended()
    threads = sys.modules.get("threading")
    watched = sys.gettrace() or sys.getprofile() or not _WATCHERS.isdisjoint(sys.modules)
    if watched or (threads is not None and threads.active_count() > 1):
        sys.exit(code)
    import atexit

    try:
        atexit._run_exitfuncs()
    finally:
        os._exit(code)


def ended() -> int:
    """Run a verb, and give its exit code; standard output and error are flushed, or given up."""
    code = FAULT
    try:
        try:
            _lead_nowhere()
            _listen()
            from .cli import run

            code = run()
        except KeyboardInterrupt as error:
            code = _stopped(error)
        except BrokenPipeError:  # whoever read the output has closed it: `oaktag steps job.toml | head`
            code = NOT_WRITTEN
        except OSError as error:
            _say(f"the file system failed: {error}")
            code = NOT_WRITTEN
        except Exception as error:
            code = _fault(error)
        if not _flushed(sys.stdout):
            code = code or NOT_WRITTEN
        _flushed(sys.stderr)
    except KeyboardInterrupt as error:  # a second one, while the first was being told
        code = _stopped(error)
    return code


def _lead_nowhere() -> None:
    """Standard streams that whoever started us has closed, as a timer does, are None to Python: they lead nowhere."""
    for name, mode in (("stdin", "r"), ("stdout", "w"), ("stderr", "w")):
        if getattr(sys, name) is None:
            setattr(sys, name, open(os.devnull, mode, encoding="utf-8"))  # noqa: PTH123, SIM115 - to the very end


def _listen() -> None:
    """SIGTERM ends a run as Ctrl-C does: what was begun is taken back on the way out."""
    import signal

    def end(number: int, frame: FrameType | None) -> None:
        raise Ended

    with suppress(ValueError):  # not the main thread: whoever runs us there has its own
        signal.signal(signal.SIGTERM, end)


def _stopped(error: BaseException) -> int:
    cause = error.__cause__ if error.__cause__ is not None else error
    _say("stopped")
    return ENDED if isinstance(cause, Ended) else STOPPED


def _fault(error: Exception) -> int:
    """One sentence; what a programmer needs goes into a file of its own, which no run writes over."""
    import traceback

    if os.environ.get("OAKTAG_TRACE") == "1":
        _say("".join(traceback.format_exception(error)).rstrip())
        return FAULT
    what = "the memory is used up" if isinstance(error, MemoryError) else f"{type(error).__name__}"
    where = _written("".join(traceback.format_exception(error)))
    details = f"the details are in {where}" if where else "OAKTAG_TRACE=1 shows the details"
    _say(
        f"a fault of the program, not of your file ({what}): {details}; look through them, then send them, with the "
        "file that you ran it on, to whoever gave you oaktag."
    )
    return FAULT


def _written(trace: str) -> str:
    """The path of a new file, for its owner alone, with what happened; empty where none can be written."""
    import platform
    import tempfile
    from importlib.metadata import PackageNotFoundError, version

    try:
        release = version("oaktag")
    except PackageNotFoundError:
        release = "not installed"
    with suppress(OSError):
        handle, path = tempfile.mkstemp(prefix="oaktag-fault-", suffix=".txt")
        with os.fdopen(handle, "w", encoding="utf-8", errors="backslashreplace") as file:
            file.write(f"oaktag {release}, Python {platform.python_version()} on {platform.platform()}\n")
            file.write(f"oaktag {' '.join(map(repr, sys.argv[1:]))}\n\n{trace}")
        return path
    return ""


def _say(text: str) -> None:
    """On stderr, where anyone listens there."""
    with suppress(OSError, ValueError):
        print(text, file=sys.stderr, flush=True)  # noqa: T201 - click may be what could not be imported


def _flushed(stream: TextIO | None) -> bool:
    """All is written; else the stream leads nowhere from now on, so that Python does not complain of it at the end."""
    if stream is None:
        return True
    try:
        stream.flush()
    except (OSError, ValueError):
        with suppress(OSError, ValueError):
            os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())
        return False
    return True


if __name__ == "__main__":
    main()
