"""A folder that jobs appear in: each is made when it is whole, and moved away last of all.

Killed at any moment, nothing is lost and nothing is done twice: a job that was made and not yet moved is found again,
seen to be made, and moved.
"""

from __future__ import annotations

import os
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Final

from ..errors import DeviceError, InputError
from ..job.document import LARGEST_FILE
from ..origin import known_in
from ..progress import Told
from .gather import gather
from .keep import Journal, Manifest
from .model import Ended, Order, Unread
from .run import TAKEN, Batch
from .stores import Folder, Store

EVERY: Final = 1.0
"""Between two looks, s (common practice, no source)."""
_SHARE: Final = 50
"""The manifest takes at most one part in so many of the time."""
DONE, REFUSED = TAKEN


def place_for(folder: Path, store: Store) -> Folder:
    """The folder that is written to; InputError where it cannot take the jobs of the folder that is watched."""
    if not isinstance(store, Folder):
        raise InputError("--watch moves the jobs into the folder that it writes to", expected="--out with a folder")
    if not folder.is_dir():
        raise InputError(f"{folder}: no such folder", expected="the folder that jobs appear in")
    if store.path.resolve() == folder.resolve():
        raise InputError(f"{folder}: is watched and written to", expected="two folders", instead="Write --out made")
    return store


def is_job(path: Path) -> bool:
    """Whether a TOML file is a job, or cannot be read and may be meant for one; not measurements, nor a device."""
    import tomllib

    try:
        if path.stat().st_size > LARGEST_FILE:
            return True
        return known_in(path.name, tomllib.loads(path.read_bytes().decode("utf-8-sig"))) is not None
    except (OSError, ValueError, RecursionError):
        return True


class Watch:
    """`folder` is looked at; what is made goes where the batch writes, the job itself to done/ or refused/ there."""

    def __init__(self, folder: Path, store: Store, journal: Journal, batch: Batch) -> None:
        self._folder, self._journal, self._batch = folder, journal, batch
        self._store = place_for(folder, store)
        self._looked: dict[Path, tuple[int, int]] = {}
        self._told = 0.0
        self._unwritten = True

    def run(self, *, once: bool, told: Told, every: float = EVERY) -> Iterator[Ended]:
        """How each job ended, when it has been moved; `once`: until there is none left."""
        while True:
            ready = self._ready()
            for path, ended in zip(ready, self._batch.run(map(self._order, ready)), strict=True):
                self._away(path, ended)
                self._unwritten = True
                yield ended
                told(f"watching {self._folder}, {self._batch.counts.ended:,} jobs made", 0, 0)
            if not ready:
                if once and not self._looked:
                    self._manifest(at_once=True)
                    return
                self._manifest()
                told(f"watching {self._folder}, {self._batch.counts.ended:,} jobs made", 0, 0)
                time.sleep(every if not self._looked else min(every, 0.25))

    def _ready(self) -> list[Path]:
        """The jobs that are whole: of the same size and time at two looks. A name a job: of several the first."""
        found: dict[Path, tuple[int, int]] = {}
        try:
            for path in sorted(self._folder.iterdir()):
                if path.suffix == ".toml" and not path.name.startswith(".") and path.is_file():
                    status = path.stat()
                    found[path] = status.st_size, status.st_mtime_ns
        except FileNotFoundError:
            return []  # moved away while we looked; the next look tells
        except OSError as error:
            raise DeviceError(f"{self._folder}: cannot be read: {error.strerror}.") from error
        same = [path for path, stamp in found.items() if self._looked.get(path) == stamp]
        jobs = [path for path in found if is_job(path)] if same or found else []
        self._looked = {path: found[path] for path in jobs if path not in same}
        return [path for path in same if path in jobs]

    def _order(self, path: Path) -> Order | Unread:
        (order,) = gather([path])
        return order

    def _away(self, path: Path, ended: Ended) -> None:
        """The reason first, the job last."""
        place = self._store.path / (DONE if ended.ending == "done" else REFUSED)
        told = place / f"{path.stem}.txt"
        try:
            place.mkdir(exist_ok=True)
            if ended.ending == "done":
                (place.parent / REFUSED / told.name).unlink(missing_ok=True)
            else:
                beside = told.with_name(f".{told.name}.part")
                beside.write_text(f"{ended.ending}: {ended.reason}\n", encoding="utf-8")
                beside.replace(told)
            _move(path, place / path.name)
        except FileNotFoundError:
            return  # whoever put it there has taken it back
        except OSError as error:
            raise DeviceError(f"{path}: cannot be moved to {place}: {error.strerror}.") from error

    def _manifest(self, *, at_once: bool = False) -> None:
        """Of all that was ever made here, when nothing waits: as often as its making is a small part of the time."""
        if not self._unwritten or (not at_once and time.monotonic() < self._told):
            return
        began = time.monotonic()
        manifest = Manifest(self._journal)
        try:
            for name in self._journal.names():
                if (kept := self._journal.kept(name)) is not None:
                    manifest.add(kept.ended)
            manifest.write(self._store)
        finally:
            manifest.close()
        self._unwritten = False
        self._told = time.monotonic() + _SHARE * (time.monotonic() - began)


def _move(path: Path, target: Path) -> None:
    """Renamed; onto another disk copied, and then taken away."""
    import errno
    import shutil

    try:
        os.replace(path, target)  # noqa: PTH105 - as the others of its kind
    except OSError as error:
        if error.errno != errno.EXDEV:
            raise
        beside = target.with_name(f".{target.name}.part")
        shutil.copyfile(path, beside)
        beside.replace(target)
        path.unlink()
