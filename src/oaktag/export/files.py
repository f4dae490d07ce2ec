"""Files appear whole or not at all: written beside their place, then renamed; a failure leaves the earlier ones.

Beside the files of a run that is under way lie `.NAME.PID.part`, a new file not yet in its place, and
`.NAME.PID.keep`, a second name of the earlier one. No part is left once all are in their places. A run that was killed
leaves both behind, and the next one into the same folder settles them (`_settle`).
"""

from __future__ import annotations

import errno
import os
import re
import stat
from collections.abc import Iterable, Mapping
from contextlib import suppress
from pathlib import Path
from typing import Final

from ..errors import DeviceError

_LEFT: Final = re.compile(r"\.(?P<name>.+)\.(?P<run>\d+)\.(?:part|keep)")
_OWN: Final = getattr(os, "O_CLOEXEC", 0) | getattr(os, "O_BINARY", 0)
_AT_ONCE: Final = 8
"""So many files are flushed at the same time."""
_NOT_SYNCED = (errno.EINVAL, errno.ENOTSUP, errno.ENOSYS)  # what file systems answer that cannot flush; not a failure


def write_all(folder: Path, files: Mapping[str, bytes], mode: int = 0o666) -> tuple[Path, ...]:
    """Writes all `files` (name -> content) into `folder`, or none; returns their paths in the given order.

    A name is plain, or has the plain name of a folder before it: `job/alto-3.toml`. `mode`: who may read them, less
    what the umask takes away.

    Every file is first written and flushed beside its place, then all are renamed. If anything fails, or the maker
    interrupts, the temporary files go, earlier files are as they were, and folders made on the way are removed.
    Raises DeviceError with what happened and what to do, ValueError for a name that is not a plain file name.
    """
    for name in files:
        parts_of = name.split("/")
        if len(parts_of) > 2 or any(part in ("", ".", "..") or os.sep in part or "\0" in part for part in parts_of):
            raise ValueError(f"{name!r} is not a plain file name")
    suffix = str(os.getpid())
    targets = {name: folder / name for name in files}
    parts = {name: path.with_name(f".{path.name}.{suffix}.part") for name, path in targets.items()}
    keeps = {name: path.with_name(f".{path.name}.{suffix}.keep") for name, path in targets.items()}
    folders = dict.fromkeys((folder, *(path.parent for path in targets.values())))
    made: list[Path] = []
    begun: list[str] = []  # names whose rename was begun, in order
    at = folder
    try:
        for own in folders:
            _make_folder(own, made)
        _settle(folders)
        for name, content in files.items():
            at = targets[name]
            _refuse_other_than_file(at)
            _write(parts[name], content, mode)
        for name, error in _flushed(parts).items():
            at = targets[name]
            raise error
        for name, target in targets.items():
            at = target
            begun.append(name)
            _keep(target, keeps[name])
            os.replace(parts[name], target)  # noqa: PTH105 - one call in one module, so that tests can fail it
    except BaseException as error:
        stranded = [kept for name in reversed(begun) if (kept := _put_back(targets[name], parts[name], keeps[name]))]
        _clear(parts.values())
        for path in reversed(made):
            with suppress(OSError):
                path.rmdir()
        if isinstance(error, OSError):
            raise DeviceError(_sentence(error, folder, at, stranded)) from error
        raise
    try:
        _clear(keeps.values())
        for own in folders:
            _flush_folder(own)
    except BaseException:  # stopped where all is in its place: nothing is taken back, and nothing is left lying about
        _clear(keeps.values())
        raise
    return tuple(targets.values())


def _refuse_other_than_file(path: Path) -> None:
    """A folder, a device or a pipe is not replaced by a file, whoever may; a link is."""
    try:
        mode = path.lstat().st_mode
    except OSError:
        return  # nothing there; or whatever stands in the way is told when it is written
    if stat.S_ISDIR(mode) or path.is_dir():
        raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR), str(path))
    if not (stat.S_ISREG(mode) or stat.S_ISLNK(mode)):
        raise OSError(errno.ENXIO, "it is a device or a pipe", str(path))


def _clear(paths: Iterable[Path]) -> None:
    for path in paths:
        with suppress(OSError):
            path.unlink(missing_ok=True)


def _make_folder(folder: Path, made: list[Path]) -> None:
    """The folder and those above it; every new one is added to `made`."""
    if folder.is_dir():
        return
    if folder != folder.parent:
        _make_folder(folder.parent, made)
    try:
        folder.mkdir()
    except FileExistsError:
        if not folder.is_dir():
            raise
    else:
        made.append(folder)


def _settle(folders: Iterable[Path]) -> None:
    """What runs that are gone have left: unfinished ones are taken back, finished ones lose their earlier files.

    A run is finished when no part of it is left in any of the folders. Earlier files are put back before the parts go,
    so that this may itself be cut short and begun again.
    """
    left: dict[str, list[Path]] = {}
    for path in (path for folder in folders for path in sorted(folder.iterdir())):
        if (found := _LEFT.fullmatch(path.name)) and not _runs(int(found["run"])):
            left.setdefault(found["run"], []).append(path.with_name(found["name"]))
    for run, targets in left.items():
        parts = [part for path in targets if os.path.lexists(part := path.with_name(f".{path.name}.{run}.part"))]
        for target in targets:
            keep = target.with_name(f".{target.name}.{run}.keep")
            if parts and os.path.lexists(keep):
                os.replace(keep, target)  # noqa: PTH105
            keep.unlink(missing_ok=True)  # two names of one file: rename does nothing then (POSIX rename)
        for part in parts:
            part.unlink(missing_ok=True)


def _runs(process: int) -> bool:
    """Whether another process of that number is there; where it cannot be asked, it may be."""
    if process == os.getpid():
        return False
    if os.name == "nt":
        return True
    try:
        os.kill(process, 0)
    except (ProcessLookupError, OverflowError):
        return False
    except OSError:
        return True
    return True


def _write(path: Path, content: bytes, mode: int) -> None:
    path.unlink(missing_ok=True)
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL | _OWN, mode)
    try:
        rest = memoryview(content)
        while rest:
            rest = rest[os.write(handle, rest) :]
    finally:
        os.close(handle)


def _flushed(parts: Mapping[str, Path]) -> dict[str, BaseException]:
    """Puts all on the disk, several at a time, which takes little longer than one; what failed, by name."""
    import threading

    failed: dict[str, BaseException] = {}

    def flush(own: Iterable[str]) -> None:
        for name in own:
            try:
                _flush(parts[name])
            except BaseException as error:
                failed[name] = error

    shares = [list(parts)[k::_AT_ONCE] for k in range(min(_AT_ONCE, len(parts)))]
    threads: list[threading.Thread] = []
    for own in shares:
        thread = threading.Thread(target=flush, args=(own,))
        try:
            thread.start()
            threads.append(thread)
        except RuntimeError:  # no thread to spare
            flush(own)
    for thread in threads:
        thread.join()
    return {name: failed[name] for name in parts if name in failed}


def _flush(path: Path) -> None:
    handle = os.open(path, os.O_RDWR | _OWN)
    try:
        os.fsync(handle)
    except OSError as error:
        if error.errno not in _NOT_SYNCED:
            raise
    finally:
        os.close(handle)


def _keep(target: Path, keep: Path) -> None:
    """A second name for an earlier file, so that it can be put back; moved aside where there are no hard links."""
    if not os.path.lexists(target):
        return
    try:
        os.link(target, keep, follow_symlinks=False)
    except (OSError, NotImplementedError):
        os.rename(target, keep)  # noqa: PTH104


def _put_back(target: Path, part: Path, keep: Path) -> Path | None:
    """Undoes one rename, judging by what is there; returns the kept file if it could not be put back."""
    try:
        if os.path.lexists(keep):
            os.replace(keep, target)  # noqa: PTH105
            keep.unlink(missing_ok=True)  # two names of one file: rename does nothing then (POSIX rename)
        elif not os.path.lexists(part):
            target.unlink(missing_ok=True)
    except OSError:
        return keep if os.path.lexists(keep) else None
    return None


def _flush_folder(folder: Path) -> None:
    with suppress(OSError):  # some systems open no folders; the files themselves are flushed
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _sentence(error: OSError, folder: Path, at: Path, stranded: list[Path]) -> str:
    other = "or choose another folder with -o"
    code = error.errno
    if code in (errno.ENOSPC, errno.EDQUOT):
        text = f"{at}: the disk is full. Free some space, {other}."
    elif code == errno.EROFS:
        text = f"{folder}: this disk can only be read. Choose another folder with -o."
    elif code in (errno.EACCES, errno.EPERM):
        text = f"{folder}: you may not write here. Change the folder's permissions, {other}."
    elif code in (errno.ENOTDIR, errno.EEXIST):
        blocking = next((p for p in (folder, *folder.parents) if os.path.lexists(p) and not p.is_dir()), folder)
        text = f"{blocking}: this is a file, and a folder is needed. Move it away, {other}."
    elif code == errno.EISDIR:
        text = f"{at}: a folder stands where this file should go. Move it away, {other}."
    elif code == errno.ENXIO:
        text = f"{at}: this is a device or a pipe, and no file is put in its place. Choose another name."
    elif code == errno.ENAMETOOLONG:
        text = f"{folder}: the name is too long for this disk. Choose a shorter folder with -o."
    else:
        text = f"{at}: cannot be written ({error.strerror or error}). Try again, {other}."
    if stranded:
        return f"{text} The earlier files could not be put back; they are kept as {', '.join(map(str, stranded))}."
    return f"{text} Nothing was changed."
