"""Work in a second process: its files, its failures and its end, against the same work done here."""

from __future__ import annotations

import os
import signal
import time
from pathlib import Path

import pytest

from oaktag import beside as module
from oaktag.beside import beside


@pytest.fixture(params=["two processors", "one processor"])
def processors(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> bool:
    two = request.param == "two processors"
    monkeypatch.setattr(module, "_spare_processor", lambda: two)
    return two


def no_child_is_left() -> bool:
    """Whether this process has no child that is dead or alive (POSIX waitpid)."""
    try:
        return os.waitpid(-1, os.WNOHANG) == (0, 0)
    except ChildProcessError:
        return True


@pytest.mark.parametrize("size", [0, 1, 3_000_000])  # more than a pipe holds (64 KiB on Linux, pipe(7))
def test_the_files_come_as_they_were_made(processors: bool, size: int) -> None:
    made = {"a.bin": os.urandom(size), "ä.txt": b"two"}
    with beside(lambda: made, lambda: True, worth=True) as written:
        assert written() == made
    assert no_child_is_left()


def test_what_is_worth_it_is_done_in_another_process(processors: bool) -> None:
    with beside(lambda: {"pid": str(os.getpid()).encode()}, lambda: True, worth=True) as written:
        own = written()["pid"] == str(os.getpid()).encode()
    assert own is not processors
    with beside(lambda: {"pid": str(os.getpid()).encode()}, lambda: True, worth=False) as written:
        assert written()["pid"] == str(os.getpid()).encode()


def test_an_error_is_raised_here_when_the_files_are_asked_for(processors: bool) -> None:
    def fails() -> dict[str, bytes]:
        raise ValueError("the sleeve is too wide")

    with pytest.raises(ValueError, match="too wide"), beside(fails, lambda: True, worth=True) as written:
        begun = True
        written()
    assert begun
    assert no_child_is_left()


def test_what_the_copy_could_not_tell_is_met_here(processors: bool) -> None:
    told: list[str] = []

    def leaves_one_out() -> dict[str, bytes]:
        told.append("b.pdf does not fit")
        return {"a.pdf": b"1"}

    with beside(leaves_one_out, lambda: not told, worth=True) as written:
        assert written() == {"a.pdf": b"1"}
    assert told == ["b.pdf does not fit"]


def test_a_copy_that_is_killed_is_made_good_here(processors: bool, tmp_path: Path) -> None:
    here = os.getpid()

    def killed_in_the_copy() -> dict[str, bytes]:
        if os.getpid() != here:
            os.kill(os.getpid(), signal.SIGKILL)
        return {"a.pdf": b"1"}

    with beside(killed_in_the_copy, lambda: True, worth=True) as written:
        assert written() == {"a.pdf": b"1"}
    assert no_child_is_left()


@pytest.mark.parametrize("error", [KeyboardInterrupt, RuntimeError])
def test_whoever_leaves_early_ends_the_copy(processors: bool, error: type[BaseException]) -> None:
    def slow() -> dict[str, bytes]:
        time.sleep(60)
        return {}

    start = time.monotonic()
    with pytest.raises(error), beside(slow, lambda: True, worth=True):
        raise error
    assert time.monotonic() - start < 30
    assert no_child_is_left()
