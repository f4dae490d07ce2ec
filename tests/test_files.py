"""Whole or not at all: what is in the folder after every kind of failure."""

from __future__ import annotations

import errno
import os
import shutil
import signal
import subprocess
import sys
import threading
from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from oaktag.__main__ import _listen
from oaktag.errors import DeviceError
from oaktag.export.files import write_all
from oaktag.export.sums import with_sums
from oaktag.verify.together import BESIDE, set_rows

NEW = {"pattern.svg": b"new svg", "pattern-roll.pdf": b"new pdf" * 1000, "pattern.json": b""}
OLD = {"pattern.svg": b"old svg", "pattern.json": b"{}"}


def contents(folder: Path) -> dict[str, bytes]:
    return {p.name: p.read_bytes() for p in folder.iterdir()}


def fail_after(count: int, real: Callable[..., object], error: BaseException) -> Callable[..., object]:
    """The real call `count` times, then the error once, then the real call again."""
    calls = iter(range(10**6))

    def call(*args: object, **named: object) -> object:
        if next(calls) == count:
            raise error
        return real(*args, **named)

    return call


@pytest.fixture
def before(tmp_path: Path) -> Path:
    """A folder with the output of an earlier run."""
    folder = tmp_path / "out"
    folder.mkdir()
    for name, content in OLD.items():
        (folder / name).write_bytes(content)
    return folder


def test_writes_every_file_and_nothing_else(tmp_path: Path) -> None:
    folder = tmp_path / "new" / "deep"
    assert write_all(folder, NEW) == tuple(folder / name for name in NEW)
    assert contents(folder) == NEW


def test_replaces_earlier_files_and_leaves_strangers_alone(before: Path) -> None:
    (before / "notes.txt").write_bytes(b"mine")
    write_all(before, NEW)
    assert contents(before) == {**NEW, "notes.txt": b"mine"}


def test_takes_the_place_of_what_a_killed_run_left(before: Path) -> None:
    (before / f".pattern.svg.{os.getpid()}.part").write_bytes(b"half a fi")
    (before / f".pattern.svg.{os.getpid()}.keep").write_bytes(b"older")
    write_all(before, NEW)
    assert contents(before) == NEW


@pytest.fixture
def gone() -> int:
    """The number of a process that has ended."""
    child = subprocess.Popen(["true"])
    child.wait()
    return child.pid


def test_an_unfinished_run_that_was_killed_is_taken_back(before: Path, gone: int) -> None:
    """One file was in its place already, with the earlier one kept; the other was not."""
    (before / f".pattern.svg.{gone}.keep").write_bytes(b"old svg")
    (before / "pattern.svg").write_bytes(b"half of a set")
    (before / f".pattern.json.{gone}.part").write_bytes(b"{")
    write_all(before, {"report.html": b"page"})
    assert contents(before) == {**OLD, "report.html": b"page"}


def test_a_finished_run_that_was_killed_stands(before: Path, gone: int) -> None:
    (before / f".pattern.svg.{gone}.keep").write_bytes(b"older")
    write_all(before, {"report.html": b"page"})
    assert contents(before) == {**OLD, "report.html": b"page"}


def test_a_run_is_finished_in_all_its_folders_or_in_none(before: Path, gone: int) -> None:
    """Killed when the first folder was done and the job's own was not: both are taken back."""
    (before / "job").mkdir()
    (before / "job" / "alto.toml").write_bytes(b"old job")
    (before / f".pattern.svg.{gone}.keep").write_bytes(b"old svg")
    (before / "pattern.svg").write_bytes(b"new svg")
    (before / "job" / f".alto.toml.{gone}.part").write_bytes(b"new job")
    write_all(before, {"job/b.toml": b"b"})
    assert (before / "pattern.svg").read_bytes() == b"old svg"
    assert contents(before / "job") == {"alto.toml": b"old job", "b.toml": b"b"}


def test_a_run_beside_this_one_is_left_alone(before: Path) -> None:
    beside = subprocess.Popen(["sleep", "60"])
    try:
        (before / f".pattern.svg.{beside.pid}.part").write_bytes(b"half a fi")
        write_all(before, NEW)
        assert contents(before) == {**NEW, f".pattern.svg.{beside.pid}.part": b"half a fi"}
    finally:
        beside.kill()
        beside.wait()


CALLS = ("mkdir", "open", "write", "fsync", "close", "link", "replace", "rename", "unlink")


def a_set(body: str, *more: str) -> dict[str, bytes]:
    """The files of one making, in the order in which they are put in their places; each tells of its body."""
    names = ("pattern.svg", "pattern.plt", "report.html", *more)
    of_pattern = {name: f"{name} of {body}".encode() for name in names}
    of_lay = {"lay.svg": f"lay of {body}".encode(), "lay.json": f'{{"lay": 1, "title": "{body}"}}'.encode()}
    pattern = f'{{\n  "oaktag": 1,\n  "title": "{body}"\n}}\n'.encode()
    return with_sums({**of_pattern, **of_lay, "pattern.json": pattern, "job/dress.toml": body.encode()})


ROSA, MARIA = a_set("Rosa"), a_set("Maria", "pattern-a4.pdf")


def visible(folder: Path) -> dict[str, bytes]:
    """Every file, by its place; none of those that are hidden."""
    found = (path for path in folder.rglob("*") if path.is_file() and not path.name.startswith("."))
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in found}


def hidden(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.rglob(".*"))


def ended_at(folder: Path, files: dict[str, bytes], count: int, number: int) -> bool:
    """Writes in a process that gets the signal at its system call number `count`; whether it ended by it."""
    child = os.fork()
    if child == 0:  # nothing of pytest may run here
        calls = iter(range(10**6))

        def counted(real: Callable[..., object]) -> Callable[..., object]:
            def call(*args: object, **named: object) -> object:
                if next(calls) == count:
                    os.kill(os.getpid(), number)
                return real(*args, **named)

            return call

        for name in CALLS:
            setattr(os, name, counted(getattr(os, name)))
        _listen()  # as the program does: SIGTERM is heeded, SIGKILL cannot be
        try:
            write_all(folder, files)
        except KeyboardInterrupt:
            os._exit(143)
        os._exit(0)
    _, status = os.waitpid(child, 0)
    return os.WIFSIGNALED(status) or os.WEXITSTATUS(status) == 143


@pytest.mark.skipif(not hasattr(os, "fork"), reason="no fork on this system")
@pytest.mark.parametrize("number", [signal.SIGKILL, signal.SIGTERM])
def test_ended_at_every_system_call_a_folder_is_the_old_set_the_new_one_or_told_to_be_mixed(
    tmp_path: Path, number: int
) -> None:
    """What the walk ended in is printed with `pytest -s -k every_system_call`."""
    write_all(tmp_path / "before", ROSA)
    ends = Counter[str]()
    for count in range(1000):
        folder = Path(shutil.copytree(tmp_path / "before", tmp_path / f"walk-{count}"))
        if not ended_at(folder, MARIA, count, number):
            break
        after, rows = visible(folder), list(set_rows(folder))
        assert all(data in (ROSA.get(name), MARIA[name]) for name, data in after.items()), count
        told = [row for row in rows if not row.passed]
        end = "old" if after == ROSA else "new" if after == MARIA else "mixed"
        assert bool(told) == (end == "mixed"), (count, end, told)
        assert {row.file.rpartition("/")[2] for row in rows if row.what == BESIDE} >= set(hidden(folder)), count
        ends[end] += 1
        if number == signal.SIGTERM:
            assert end != "mixed" and not hidden(folder), count
        write_all(folder, MARIA)  # the next run settles it
        assert visible(folder) == MARIA and not hidden(folder), count
        assert all(row.passed for row in set_rows(folder)), count
    sys.stdout.write(f"\n{signal.Signals(number).name} at {count} points: {dict(ends)}\n")
    assert count > 60 and set(ends) == ({"old", "new", "mixed"} if number == signal.SIGKILL else {"old", "new"})


def test_files_are_readable_as_the_umask_says(tmp_path: Path) -> None:
    earlier = os.umask(0o027)
    try:
        (path,) = write_all(tmp_path / "out", {"pattern.svg": b"x"})
    finally:
        os.umask(earlier)
    assert path.stat().st_mode & 0o777 == 0o640  # 0o666 less 0o027, as any program's new file


@pytest.mark.parametrize("name", ["", ".", "..", "a/b/c", "a/..", "../b", "a/", "/etc/x", "a\0b"])
def test_only_plain_names(tmp_path: Path, name: str) -> None:
    with pytest.raises(ValueError, match="plain file name"):
        write_all(tmp_path, {name: b""})
    assert contents(tmp_path) == {}


def test_a_folder_within_is_made_and_taken_away_with_the_rest(tmp_path: Path) -> None:
    assert write_all(tmp_path / "out", {"a.txt": b"1", "job/b.toml": b"2"})[1] == tmp_path / "out" / "job" / "b.toml"
    assert contents(tmp_path / "out" / "job") == {"b.toml": b"2"}
    (tmp_path / "new" / "job" / "b.toml").mkdir(parents=True)  # a folder stands where a file should go
    with pytest.raises(DeviceError):
        write_all(tmp_path / "new", {"a.txt": b"1", "job/b.toml": b"2", "more/c.txt": b"3"})
    assert sorted(path.name for path in (tmp_path / "new").iterdir()) == ["job"]


@pytest.mark.parametrize("below", ["", "deeper", "deeper/still"])
def test_a_file_where_the_folder_should_be(tmp_path: Path, below: str) -> None:
    (tmp_path / "out").write_bytes(b"a file")
    with pytest.raises(DeviceError) as caught:
        write_all(tmp_path / "out" / below, NEW)
    assert str(caught.value) == (
        f"{tmp_path / 'out'}: this is a file, and a folder is needed. Move it away, or choose another folder with -o. "
        "Nothing was changed."
    )
    assert caught.value.exit_code == 3
    assert contents(tmp_path) == {"out": b"a file"}


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes on this system")
def test_a_device_or_a_pipe_is_not_replaced(before: Path) -> None:
    """`--card /dev/null`, by a superuser: no file takes the place of a device."""
    os.mkfifo(before / "pattern-roll.pdf")
    with pytest.raises(DeviceError, match=r"pattern-roll\.pdf: this is a device or a pipe, and no file is put in"):
        write_all(before, NEW)
    assert (before / "pattern-roll.pdf").is_fifo()
    (before / "pattern-roll.pdf").unlink()
    assert contents(before) == OLD


def test_a_folder_where_a_file_should_be(before: Path) -> None:
    (before / "pattern-roll.pdf").mkdir()
    with pytest.raises(
        DeviceError, match=r"pattern-roll\.pdf: a folder stands where this file should go\. Move it away"
    ):
        write_all(before, NEW)
    (before / "pattern-roll.pdf").rmdir()
    assert contents(before) == OLD


@pytest.mark.parametrize(
    ("code", "says"),
    [
        (errno.ENOSPC, "the disk is full. Free some space, or choose another folder with -o. Nothing was changed."),
        (errno.EROFS, "this disk can only be read. Choose another folder with -o. Nothing was changed."),
        (errno.EACCES, "you may not write here. Change the folder's permissions, or choose another folder with -o."),
        (errno.EIO, "cannot be written (Input/output error). Try again, or choose another folder with -o."),
    ],
)
@pytest.mark.parametrize(
    ("call", "which"),
    [
        (call, which)
        for call in ("open", "write", "fsync", "close", "replace")
        for which in (0, 1, 2)
        if (call, which) != ("write", 2)  # the third file is empty and needs no write
    ],
)
def test_a_failing_system_call(
    before: Path, monkeypatch: pytest.MonkeyPatch, code: int, says: str, call: str, which: int
) -> None:
    with monkeypatch.context() as patch:
        patch.setattr(os, call, fail_after(which, getattr(os, call), OSError(code, os.strerror(code))))
        with pytest.raises(DeviceError) as caught:
            write_all(before, NEW)
    assert says in str(caught.value)
    assert contents(before) == OLD


def test_no_hard_links_on_this_disk(before: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object, **__: object) -> None:
        raise OSError(errno.EPERM, os.strerror(errno.EPERM))

    monkeypatch.setattr(os, "link", refuse)
    write_all(before, NEW)
    assert contents(before) == NEW
    with monkeypatch.context() as patch:
        patch.setattr(os, "replace", fail_after(2, os.replace, OSError(errno.EIO, "Input/output error")))
        with pytest.raises(DeviceError):
            write_all(before, dict.fromkeys(NEW, b"newer"))
    assert contents(before) == NEW


def test_what_cannot_be_put_back_is_named(before: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    real = os.replace
    calls = iter(range(100))

    def replace(source: str, target: str) -> None:
        if next(calls) > 0:  # the first goes well; the second, and all putting back, fails
            raise OSError(errno.EIO, "Input/output error")
        real(source, target)

    with monkeypatch.context() as patch:
        patch.setattr(os, "replace", replace)
        with pytest.raises(DeviceError) as caught:
            write_all(before, NEW)
    kept = before / f".pattern.svg.{os.getpid()}.keep"
    assert str(caught.value).endswith(f"The earlier files could not be put back; they are kept as {kept}.")
    assert kept.read_bytes() == OLD["pattern.svg"]


@pytest.mark.parametrize("call", ["open", "write", "fsync", "close", "link", "replace"])
@pytest.mark.parametrize("which", [0, 1])
def test_an_interrupt_leaves_no_trace(before: Path, monkeypatch: pytest.MonkeyPatch, call: str, which: int) -> None:
    with monkeypatch.context() as patch:
        patch.setattr(os, call, fail_after(which, getattr(os, call), KeyboardInterrupt()))
        with pytest.raises(KeyboardInterrupt):
            write_all(before, NEW)
    assert contents(before) == OLD


def test_folders_made_on_the_way_go_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "there").mkdir()
    with monkeypatch.context() as patch:
        patch.setattr(os, "fsync", fail_after(1, os.fsync, OSError(errno.ENOSPC, "No space left on device")))
        with pytest.raises(DeviceError):
            write_all(tmp_path / "there" / "new" / "deep", NEW)
    assert list(tmp_path.rglob("*")) == [tmp_path / "there"]


def test_short_writes_are_finished(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    real = os.write
    monkeypatch.setattr(os, "write", lambda handle, data: real(handle, bytes(data[:7])))
    write_all(tmp_path / "out", NEW)
    assert contents(tmp_path / "out") == NEW


def test_without_a_thread_to_spare_all_is_flushed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(_: threading.Thread) -> None:
        raise RuntimeError("can't start new thread")

    flushed = []
    monkeypatch.setattr(threading.Thread, "start", refuse)
    monkeypatch.setattr(os, "fsync", flushed.append)
    write_all(tmp_path / "out", NEW)
    assert contents(tmp_path / "out") == NEW
    assert len(flushed) == len(NEW) + 1  # and the folder


def test_a_disk_that_cannot_flush_is_good_enough(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(_: int) -> None:
        raise OSError(errno.EINVAL, os.strerror(errno.EINVAL))

    monkeypatch.setattr(os, "fsync", refuse)
    write_all(tmp_path / "out", NEW)
    assert contents(tmp_path / "out") == NEW


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no /dev/full on this system")
def test_the_device_that_is_always_full(before: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    real = os.open

    def open_full(path: Path, flags: int, mode: int = 0o777) -> int:
        return real("/dev/full", os.O_WRONLY) if flags & os.O_CREAT else real(path, flags, mode)

    with monkeypatch.context() as patch:
        patch.setattr(os, "open", open_full)
        with pytest.raises(DeviceError, match=r"pattern\.svg: the disk is full"):
            write_all(before, NEW)
    assert contents(before) == OLD


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A real file system of 64 kB; mounting needs rights that few have."""
    place = tmp_path / "disk"
    place.mkdir()
    mount = shutil.which("mount")
    command = [mount or "mount", "-t", "tmpfs", "-o", "size=64k", "tmpfs", str(place)]
    if not mount or subprocess.run(command, capture_output=True, check=False).returncode:
        pytest.skip("no file system can be mounted here")
    yield place
    subprocess.run(["umount", str(place)], check=True)


def test_a_disk_that_is_really_full(small_disk: Path) -> None:
    write_all(small_disk / "out", OLD)
    with pytest.raises(DeviceError, match=r"pattern-roll\.pdf: the disk is full"):
        write_all(small_disk / "out", {"pattern.svg": b"new", "pattern-roll.pdf": b"x" * 100_000})
    assert contents(small_disk / "out") == OLD


def test_a_folder_without_the_right_to_write(before: Path) -> None:
    """The superuser may write anywhere, so as one the test acts as nobody for that call."""
    before.chmod(0o500)
    superuser = os.geteuid() == 0
    try:
        if superuser:
            os.seteuid(65534)
        with pytest.raises(DeviceError, match="you may not write here"):
            write_all(before, NEW)
    finally:
        if superuser:
            os.seteuid(0)
        before.chmod(0o700)
    assert contents(before) == OLD
