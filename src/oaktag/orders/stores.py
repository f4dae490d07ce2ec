"""Where the results of a batch go: a folder of this machine, or any store that fsspec knows.

In both the files of an order are there whole or not at all. In a folder they are written beside, and the folder of the
order is renamed. A store has no folders to rename: all files of an order are committed together, `pattern.json` last,
and the journal, which alone says that an order is done, is told of it after that.
"""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any, Final, Protocol, TypeAlias
from uuid import uuid4

from ..errors import DeviceError, InputError, OaktagError
from ..export.files import write_all
from ..values import dataclass

GOING: Final = ".going"
"""The folder in a batch's folder that holds what is needed to go on."""
JOURNAL: Final = "journal.jsonl"
Stamp: TypeAlias = "tuple[int, int]"
"""Size in bytes and time of change in ns; 0 where a store tells no time."""


class Store(Protocol):
    """What a batch asks of the place that its results go to. DeviceError where it fails."""

    def begin(self) -> None:
        """Makes it ready; InputError where something else lies there."""

    def clear(self) -> None:
        """Takes away what workers that are gone have left; by whoever has the journal, and nobody else."""

    def put(self, name: str, files: Mapping[str, bytes]) -> dict[str, Stamp]:
        """The files of an order, in place of what it had."""

    def stamps(self, name: str) -> dict[str, Stamp]:
        """What lies there of an order, by file; {} if nothing does."""

    def read(self, name: str, file: str) -> bytes:
        """A file of an order; OSError if it cannot be read."""

    def remove(self, name: str) -> None:
        """All of an order, if there is anything."""

    def write(self, name: str, parts: Iterable[bytes]) -> None:
        """A file of the batch itself, whole or not at all."""

    def where(self, name: str = "") -> str:
        """A place in it, in words."""


def store_of(out: str) -> Store:
    """The store of a path or a URL. InputError for a URL that nothing here can read."""
    return Remote(out) if "://" in out else Folder(Path(out))


@dataclass(frozen=True, slots=True)
class Folder:
    """A folder of this machine, or one that all machines share at the same path."""

    path: Path

    @property
    def going(self) -> Path:
        return self.path / GOING

    def begin(self) -> None:
        with _told(self.where()):
            if self.path.is_dir() and not self.going.is_dir() and any(self.path.iterdir()):
                raise InputError(
                    f"{self.path}: the folder holds files that no batch has made", expected="a new or an empty folder, "
                    "or that of an earlier batch", instead="Name another folder with --out",
                )  # fmt: skip
            self.going.mkdir(parents=True, exist_ok=True)

    def clear(self) -> None:
        for left in (*self.going.glob("new-*"), *self.going.glob("old-*")):
            shutil.rmtree(left, ignore_errors=True)

    def put(self, name: str, files: Mapping[str, bytes]) -> dict[str, Stamp]:
        beside = self.going / f"new-{uuid4().hex}"
        try:
            write_all(beside, files)
            with _told(self.where(name)):
                self.remove(name)
                beside.rename(self.path / name)
        finally:
            shutil.rmtree(beside, ignore_errors=True)
        return self.stamps(name)

    def stamps(self, name: str) -> dict[str, Stamp]:
        found: dict[str, Stamp] = {}
        folder = self.path / name
        with suppress(FileNotFoundError, NotADirectoryError):
            for below in ("", "job/"):
                with os.scandir(folder / below) as entries:
                    for entry in entries:
                        if entry.is_file(follow_symlinks=False):
                            status = entry.stat(follow_symlinks=False)
                            found[below + entry.name] = status.st_size, status.st_mtime_ns
        return found

    def read(self, name: str, file: str) -> bytes:
        return (self.path / name / file).read_bytes()

    def remove(self, name: str) -> None:
        gone = self.going / f"old-{uuid4().hex}"
        with suppress(FileNotFoundError):
            (self.path / name).rename(gone)
            shutil.rmtree(gone, ignore_errors=True)

    def write(self, name: str, parts: Iterable[bytes]) -> None:
        beside = self.going / f"{name}.part"
        with _told(self.where(name)):
            with beside.open("wb") as file:
                for part in parts:
                    file.write(part)
                file.flush()
                os.fsync(file.fileno())
            beside.replace(self.path / name)

    def where(self, name: str = "") -> str:
        return str(self.path / name)


@dataclass(frozen=True, slots=True)
class Remote:
    """A store that fsspec knows, by its URL: s3://bucket/choir, gs://, sftp://, file:///srv/choir, memory://."""

    url: str

    def _there(self) -> tuple[Any, str]:
        """The file system, and the path of this store in it."""
        try:
            import fsspec
        except ImportError:
            raise InputError(
                f"{self.url}: a store needs fsspec, which is not installed", expected="a folder, or fsspec",
                instead='Write pip install "oaktag[store]"',
            ) from None  # fmt: skip
        try:
            system, path = fsspec.core.url_to_fs(self.url)
        except (ImportError, ValueError) as error:
            raise InputError(f"{self.url}: {error}", expected="a store that fsspec knows, or a folder") from None
        return system, str(path).rstrip("/")

    def begin(self) -> None:
        system, path = self._there()
        with _told(self.url):
            if system.exists(path) and not system.exists(f"{path}/{GOING}") and system.ls(path, detail=False):
                raise InputError(
                    f"{self.url}: something lies there that no batch has made", expected="an empty place, or that of "
                    "an earlier batch", instead="Name another place with --out",
                )  # fmt: skip
            self._commit(system, {f"{path}/{GOING}/batch": b"oaktag batch\n"})

    def clear(self) -> None:
        """Nothing lies beside: what was not committed was never there."""

    def put(self, name: str, files: Mapping[str, bytes]) -> dict[str, Stamp]:
        system, path = self._there()
        with _told(self.where(name)):
            stale = self.stamps(name).keys() - files.keys()
            self._commit(system, {f"{path}/{name}/{file}": data for file, data in files.items()})
            for file in sorted(stale):
                system.rm_file(f"{path}/{name}/{file}")
            return self.stamps(name)

    def _commit(self, system: Any, files: Mapping[str, bytes]) -> None:
        for folder in dict.fromkeys(file.rpartition("/")[0] for file in files):
            system.makedirs(folder, exist_ok=True)
        with system.transaction:
            for file, data in files.items():
                with system.open(file, "wb") as target:
                    target.write(data)

    def stamps(self, name: str) -> dict[str, Stamp]:
        system, path = self._there()
        system.invalidate_cache()
        root = f"{path}/{name}/"
        try:
            found = system.find(root.rstrip("/"), detail=True)
        except FileNotFoundError:
            return {}
        return {file[file.index(root) + len(root) :]: (int(told["size"]), 0) for file, told in found.items()}

    def read(self, name: str, file: str) -> bytes:
        system, path = self._there()
        data: bytes = system.cat_file(f"{path}/{name}/{file}" if name else f"{path}/{file}")
        return data

    def remove(self, name: str) -> None:
        system, path = self._there()
        with suppress(FileNotFoundError):
            system.rm(f"{path}/{name}", recursive=True)

    def write(self, name: str, parts: Iterable[bytes]) -> None:
        system, path = self._there()
        with _told(self.where(name)), system.transaction, system.open(f"{path}/{name}", "wb") as target:
            for part in parts:
                target.write(part)

    def names(self, folder: str) -> Iterator[str]:
        """The files of a folder of the batch, sorted."""
        system, path = self._there()
        system.invalidate_cache()
        with suppress(FileNotFoundError):
            yield from sorted(str(one).rsplit("/", 1)[1] for one in system.ls(f"{path}/{folder}", detail=False))

    def where(self, name: str = "") -> str:
        return f"{self.url.rstrip('/')}/{name}" if name else self.url


@contextmanager
def _told(where: str) -> Iterator[None]:
    """A failure of the file system or of the store, whose library raises what it likes, as DeviceError."""
    try:
        yield
    except OaktagError:
        raise
    except Exception as error:
        what = (error.strerror if isinstance(error, OSError) else "") or f"{type(error).__name__}: {error}"
        raise DeviceError(f"{where}: cannot be written ({what}). Run the same again when it can.") from error
