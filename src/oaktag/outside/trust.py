"""The folders whose garment files may be run, kept in one list with the maker's own devices (`device/store.py`).

A garment file is a program, and is run with all that the maker may do. So a folder is trusted by a command of its own,
and nothing in a job, or in what came with one, can do it. A folder counts by its real path and by itself, without the
folders in it: what is unpacked into one of its own is not trusted with it. What the files hold is not pinned: whoever
writes a garment changes it twenty times a day, and a question that comes twenty times a day is answered unread. The
SHA-256 of the bytes that were run stands in every pattern.json instead. For the same reason a folder that everybody on
the machine may write to is never trusted.
"""

from __future__ import annotations

import json
import os
import shlex
import stat
from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path
from typing import Final

from ..device.store import folder as own_folder
from ..errors import DeviceError, InputError, Where

LIST: Final = "trusted-folders.json"
_LARGEST: Final = 1_000_000


def trusted_folders(place: Path | None = None) -> tuple[str, ...]:
    """The folders of the list, as real paths; InputError for a list that was damaged, or that others may write to."""
    path = (place or own_folder()) / LIST
    where = Where(str(path))
    try:
        if path.stat().st_size > _LARGEST or writable_by_all(path):
            raise InputError(
                "is larger than 1 MB, or may be written by everybody", where=where, expected="a list of your own",
                instead="Remove it, then trust your folders again",
            )  # fmt: skip
        listed = json.loads(path.read_text(encoding="utf-8"))["folders"]
    except FileNotFoundError:
        return ()
    except OSError as error:
        raise InputError(f"cannot be read: {error.strerror}", where=where, expected="a list of your own") from None
    except (ValueError, KeyError, TypeError, RecursionError):
        listed = None
    if not isinstance(listed, list) or not all(isinstance(one, str) and one for one in listed):
        raise InputError(
            "is not a list of folders", where=where, expected='{"folders": ["/home/you/garments"]}',
            instead="Remove it, then trust your folders again",
        )  # fmt: skip
    return tuple(listed)


def is_trusted(folder: Path, place: Path | None = None) -> bool:
    """Whether the files of that very folder may be run."""
    real = os.path.realpath(folder)
    return real in trusted_folders(place) and not writable_by_all(Path(real))


def trust(folder: Path, place: Path | None = None) -> Path:
    """Adds the folder to the list, and gives its real path. InputError for what is no folder, or may be written by
    everybody; DeviceError where the list cannot be kept."""
    shown = where_of(folder)
    if folder.is_file():
        raise InputError(
            "is a file, and trust is given to a folder", where=shown, expected="the folder that it lies in",
            instead=f"Write oaktag trust {command_word(folder.parent)} instead",
        )  # fmt: skip
    if not folder.is_dir():
        raise InputError("there is no such folder", where=shown, expected="the folder that a garment file lies in")
    real = Path(os.path.realpath(folder))
    if writable_by_all(real):
        raise InputError(
            "everybody on this machine may write to this folder, so it cannot be trusted", where=shown,
            expected="a folder that is yours alone", instead="Move your garment files to one, or take the right away",
        )  # fmt: skip
    known = trusted_folders(place)
    if str(real) not in known:
        _keep((*known, str(real)), place)
    return real


def withdraw(folder: Path, place: Path | None = None) -> bool:
    """Takes the folder off the list, whether it is still there or not; whether it was on it."""
    known = trusted_folders(place)
    names = {os.path.realpath(folder), str(folder)}
    left = [one for one in known if one not in names]
    if len(left) < len(known):
        _keep(left, place)
    return len(left) < len(known)


def writable_by_all(path: Path) -> bool:
    """Whether any user of the machine may write there, as far as the system tells it in that way."""
    return os.name == "posix" and bool(path.stat().st_mode & stat.S_IWOTH)


def command_word(path: Path) -> str:
    """A path as it is typed behind a command; a dot where it cannot be shown: it is typed in that folder then."""
    text = str(path)
    return shlex.quote(text) if text.isprintable() else "."


def where_of(path: Path) -> Where:
    """The path as a place in a message; signs that no terminal should be sent are left out."""
    return Where("".join(c if c.isprintable() else "\ufffd" for c in str(path)))


def _keep(folders: Iterable[str], place: Path | None) -> None:
    path = (place or own_folder()) / LIST
    beside = path.with_name(f".{LIST}.new")
    text = json.dumps({"folders": sorted(folders)}, indent=1) + "\n"
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with suppress(FileNotFoundError):
            beside.unlink()
        with os.fdopen(os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "w", encoding="utf-8") as file:
            file.write(text)
        beside.replace(path)
    except OSError as error:
        with suppress(OSError):
            beside.unlink(missing_ok=True)
        raise DeviceError(f"{path}: the list of trusted folders cannot be kept: {error.strerror or error}") from None
