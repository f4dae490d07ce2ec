"""What a batch keeps so that it can go on where it was: a journal, a line an order that ended; and the manifest of it.

The journal is only ever added to. A line that a kill cut short is left out, and its order is made again. The last line
of an order counts. So a batch holds in memory where each order's line stands, and no more.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from functools import cache
from hashlib import sha256
from pathlib import Path
from types import TracebackType
from typing import Any, Final

from ..errors import DeviceError
from ..values import dataclass, field
from .cells import cell
from .model import Ended, Order
from .stores import GOING, JOURNAL, Folder, Remote, Stamp, Store

MANIFEST: Final = "manifest.jsonl"
TABLE: Final = "manifest.csv"
SUMMARY: Final = "summary.html"
COLUMNS: Final = (
    "name", "source", "ending", "reason", "seconds", "title", "quantity", "due", "findings", "digest", "files",
)  # fmt: skip
"""Of manifest.csv, before those that came with the orders."""
_OURS: Final = frozenset({"ending", "seconds", "quantity", "digest", "files"})
"""Whatever is in these, nobody typed."""


@cache
def program() -> str:
    """sha256 of this program: its own files and the versions of the libraries that it names."""
    from importlib.metadata import PackageNotFoundError, requires, version

    total = sha256()
    root = Path(__file__).parents[1]
    for path in sorted(root.rglob("*")):
        if path.is_file() and path.suffix != ".pyc":
            _add(total, path.relative_to(root).as_posix().encode(), path.read_bytes())
    with suppress(PackageNotFoundError):
        for line in sorted(requires("oaktag") or ()):
            name = line.partition(";")[0].split(">")[0].split("=")[0].strip()
            if "extra" not in line:
                _add(total, name.encode(), version(name).encode())
    return total.hexdigest()


def digest_of(order: Order, settings: str, only: Iterable[str]) -> str:
    """sha256 of all that decides what an order becomes: its files, what the machine adds (`settings`), the formats."""
    total = sha256()
    _add(total, settings.encode(), *(word.encode() for word in sorted(set(only))), order.job.encode())
    for name in sorted(order.files):
        _add(total, name.encode(), order.files[name])
    return total.hexdigest()


def _add(total: Any, *parts: bytes) -> None:
    """Each part with its length before it, so that no two rows of parts are the same bytes."""
    for part in (len(parts).to_bytes(8), *parts):
        total.update(len(part).to_bytes(8))
        total.update(part)


@dataclass(frozen=True, slots=True)
class Kept:
    """How an order ended, and what its files were like when they were written."""

    ended: Ended
    stamps: Mapping[str, Stamp] = field(default_factory=dict)


def row_of(ended: Ended) -> dict[str, Any]:
    """An order's line in manifest.jsonl."""
    return {
        "name": ended.name, "source": ended.source, "ending": ended.ending, "reason": ended.reason,
        "seconds": ended.seconds, "title": ended.title, "quantity": ended.quantity, "due": ended.due,
        "findings": list(ended.findings), "digest": ended.digest, "files": dict(ended.sums),
        "columns": dict(ended.columns),
    }  # fmt: skip


def ended_of(row: Mapping[str, Any]) -> Ended:
    """The other way round; KeyError, TypeError or ValueError for what no batch has written."""
    if row["ending"] not in ("done", "refused", "failed"):
        raise ValueError(row["ending"])
    return Ended(
        row["name"], row["source"], row["ending"], row["reason"], row["seconds"], row["digest"], row["files"],
        row["quantity"], row["due"], row["columns"], row["title"], tuple(row["findings"]), row.get("picture", ""),
    )  # fmt: skip


class Journal:
    """The orders that have ended, on the disk; one batch at a time has it open."""

    def __init__(self, store: Store) -> None:
        import tempfile

        self._store = store
        self._temporary = None if isinstance(store, Folder) else tempfile.TemporaryDirectory(prefix="oaktag-batch-")
        self.folder = store.going if isinstance(store, Folder) else Path(self._temporary.name)  # type: ignore[union-attr]
        self._unsent: list[bytes] = []
        self._places: dict[str, int] = {}

    def __enter__(self) -> Journal:
        path = self.folder / JOURNAL
        self._lock = _locked(self.folder / "lock", self._store.where())
        self._store.clear()
        if isinstance(self._store, Remote):
            with path.open("wb") as file:
                for one in self._segments(self._store):
                    file.write(one[: one.rfind(b"\n") + 1])
        path.touch()
        self._file = path.open("r+b")
        self._index()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        try:
            self.send()
            self._store.clear()
        finally:
            self._file.close()
            self._lock.close()
            if self._temporary is not None:
                self._temporary.cleanup()

    def _segments(self, store: Remote) -> Iterator[bytes]:
        for name in store.names(GOING):
            if name.endswith(f"-{JOURNAL}"):
                yield store.read("", f"{GOING}/{name}")

    def _index(self) -> None:
        at = 0
        for line in self._file:
            if not line.endswith(b"\n"):
                break
            if (row := _parsed(line)) is not None:
                self._places[row["name"]] = at
            at += len(line)
        self._file.truncate(at)

    def __contains__(self, name: str) -> bool:
        return name in self._places

    def names(self) -> Sequence[str]:
        """Of all orders that have ended, the first made first."""
        return tuple(self._places)

    def kept(self, name: str) -> Kept | None:
        """What is kept of an order."""
        at = self._places.get(name)
        if at is None:
            return None
        self._file.seek(at)
        row = _parsed(self._file.readline())
        if row is None:
            return None
        try:
            return Kept(ended_of(row), {file: (size, time) for file, (size, time) in row["stamps"].items()})
        except (KeyError, TypeError, ValueError):
            return None

    def add(self, kept: Kept) -> None:
        """Another line. It is with the system when this returns: a kill of the program does not take it."""
        import orjson

        row = {**row_of(kept.ended), "picture": kept.ended.picture, "stamps": kept.stamps}
        line = orjson.dumps(row, option=orjson.OPT_APPEND_NEWLINE)
        try:
            self._places[kept.ended.name] = self._file.seek(0, io.SEEK_END)
            self._file.write(line)
            self._file.flush()
        except OSError as error:
            raise DeviceError(f"{self._store.where()}: the journal cannot be written ({error.strerror}).") from error
        if isinstance(self._store, Remote):
            self._unsent.append(line)
            if len(self._unsent) >= _AT_ONCE:
                self.send()

    def send(self) -> None:
        """To a store that is no folder, the lines that it has not got: as a file of their own, it adds to none."""
        if self._unsent:
            import time

            self._store.write(f"{GOING}/{time.time_ns():020d}-{JOURNAL}", list(self._unsent))
            self._unsent.clear()


_AT_ONCE: Final = 50
"""Orders whose lines are sent to a store together: so many are made again at most after a kill."""


def _parsed(line: bytes) -> dict[str, Any] | None:
    import orjson

    try:
        row = orjson.loads(line)
    except ValueError:
        return None
    return row if isinstance(row, dict) and isinstance(row.get("name"), str) else None


def _locked(path: Path, where: str) -> io.BufferedWriter:
    """Held as long as it is open, by this process alone; DeviceError if another one has it."""
    file = path.open("wb")
    try:
        import fcntl

        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except ImportError:  # no such locks on this system
        pass
    except OSError:
        file.close()
        raise DeviceError(f"{where}: another batch is under way there. Wait for its end, or stop it.") from None
    return file


class Manifest:
    """The manifest, an order after the other in the order of the input; three files are made of it at the end."""

    def __init__(self, journal: Journal) -> None:
        self._path = journal.folder / "manifest.part"
        self._file = self._path.open("wb")
        self._columns: dict[str, None] = {}

    def add(self, ended: Ended) -> None:
        import orjson

        self._columns.update(dict.fromkeys(ended.columns))
        row = {**row_of(ended), "picture": ended.picture}
        self._file.write(orjson.dumps(row, option=orjson.OPT_APPEND_NEWLINE))

    def close(self) -> None:
        self._file.close()
        self._path.unlink(missing_ok=True)

    def write(self, store: Store) -> None:
        """manifest.jsonl, manifest.csv and the summary, each whole or not at all."""
        from .page import page

        self._file.flush()
        store.write(MANIFEST, (_line(row_of(ended)) for ended in self._all()))
        store.write(TABLE, self._table())
        store.write(SUMMARY, [page(self._all(), "Orders")])

    def _all(self) -> Iterator[Ended]:
        import orjson

        with self._path.open("rb") as file:
            for line in file:
                yield ended_of(orjson.loads(line))

    def _table(self) -> Iterator[bytes]:
        """RFC 4180, UTF-8; a column of the orders that is named as one of ours has `(order)` behind its name."""
        own = {name: f"{name} (order)" if name in COLUMNS else name for name in self._columns}
        yield _csv([*COLUMNS, *map(cell, own.values())])
        for ended in self._all():
            row = row_of(ended)
            told = {
                **row, "findings": " | ".join(ended.findings),
                "files": " ".join(f"{name}:{value}" for name, value in ended.sums.items()),
            }  # fmt: skip
            ours = (str(told[name]) if name in _OURS else cell(str(told[name])) for name in COLUMNS)
            yield _csv([*ours, *(cell(str(ended.columns.get(name, ""))) for name in own)])


def _line(row: Mapping[str, Any]) -> bytes:
    import orjson

    return orjson.dumps(row, option=orjson.OPT_APPEND_NEWLINE)


def _csv(cells: Sequence[str]) -> bytes:
    line = io.StringIO()
    csv.writer(line).writerow(cells)
    return line.getvalue().encode()
