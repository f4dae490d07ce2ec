"""A job with all that it names, as bytes: whoever has these needs neither the folder that it lay in nor the book."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from pathlib import Path, PurePosixPath
from typing import TYPE_CHECKING, Any, Final

from ..body.measurements import WEARERS, spoken
from ..book.people import in_unit
from ..errors import InputError, OaktagError, Where
from ..job.document import Document
from ..job.measured import sitting_in
from ..origin import MEASURED, named_in, renamed, without_book
from ..units import Unit
from ..values import dataclass

if TYPE_CHECKING:
    from ..book.people import Sitting
    from ..book.store import Book, Row

LARGEST: Final = 50_000_000
"""Bytes of one file that a job names: as a kept lay may have (lay/file.py)."""


@dataclass(frozen=True, slots=True)
class Whole:
    """A job file and what it names: below it by the path that is written there, elsewhere by one that was put in its
    place, so that no path leads out of the folder that they are laid out in."""

    file: str
    data: bytes
    """The job itself: to the letter as it was, where no path in it leads elsewhere."""
    values: Mapping[str, Any]
    files: Mapping[str, bytes]
    """Without the job."""
    document: Document

    @property
    def all_files(self) -> dict[str, bytes]:
        return {self.file: self.data, **self.files}


def whole(path: Path) -> Whole:
    """Of the job file at `path`; the measurement book is not asked. InputError for what is no TOML.

    A file that cannot be had is left out: whoever reads the job says what is wrong with it, by its line."""
    document = Document.read(path)
    data = path.read_bytes()
    text = data.decode("utf-8-sig")
    files: dict[str, bytes] = {}
    moved: dict[tuple[str, str], str] = {}
    values: dict[str, Any] = dict(document.values)
    for table, key, value in named_in(document.values):
        found = content(path.parent / value)
        if found is None or (key == "garment" and leads_out(value)):
            continue
        name = value
        if leads_out(value):
            name = place_for(key, value, files)
            text, moved[table, key] = renamed(text, key, value, name), name
        files[name] = found
    if moved:
        data, values = text.encode(), tomllib.loads(text)
        told = {(table, key): value for table, key, value in named_in(values)}
        for at, name in moved.items():
            if told.get(at) != name:
                key = at[1]
                raise InputError(
                    "the name of the file is written in a way that cannot be followed to another machine",
                    where=document.where(*filter(None, at)), instead=f'Write {key} = "..." on a line of its own',
                )  # fmt: skip
    return Whole(path.name, data, values, files, document)


def leads_out(name: str) -> bool:
    """Whether a path is not plainly below the folder that it is told from."""
    path = PurePosixPath(name)
    return path.is_absolute() or Path(name).is_absolute() or ".." in path.parts


def place_for(key: str, name: str, files: Mapping[str, bytes]) -> str:
    """The path by which a file from elsewhere is named: it keeps its own name, which some files are known by."""
    last, folder = PurePosixPath(name).name, key
    while f"{folder}/{last}" in files:
        folder += "-"
    return f"{folder}/{last}"


def content(path: Path) -> bytes | None:
    """What an ordinary file holds; None where it cannot be had, or is too large to be anything that a job names."""
    try:
        if not path.is_file() or path.stat().st_size > LARGEST:
            return None
        with path.open("rb") as file:
            return file.read(LARGEST)
    except (OSError, ValueError):
        return None


class Clients:
    """The measurement book, opened when it is first asked for."""

    def __init__(self, path: Path | None = None) -> None:
        self._path = path
        self._book: Book | None = None

    def close(self) -> None:
        if self._book is not None:
            self._book.__exit__(None, None, None)
            self._book = None

    def book(self) -> Book:
        """Raises as the book itself does."""
        from ..book.store import Book, book_path

        if self._book is None:
            self._book = Book(self._path or book_path())
        return self._book

    def rows(self) -> tuple[Row, ...]:
        return self.book().rows()

    def sitting(self, said: str, day: str, client_at: Where, day_at: Where) -> Sitting:
        """That of a client; InputError at the place that names her, whatever is wrong with her or with the book."""
        try:
            return sitting_in(self.book(), said, day, client_at, day_at)
        except InputError as error:
            if error.where in (client_at, day_at):
                raise
            found = f"{error.where}: {error.found}" if error.where else error.found
            raise InputError(found, where=client_at, expected=error.expected, instead=error.instead) from None
        except OaktagError as error:
            raise InputError(str(error), where=client_at) from None


def is_of_book(values: Mapping[str, Any]) -> bool:
    """Whether a job takes its measurements from the book: it names a client, and has none."""
    named = values.get("client")
    others = any(key in values for key in ("measurements", "sizes", "drawing"))
    return isinstance(named, str) and bool(named.strip()) and not others


def with_sitting(job: Whole, sitting: Sitting) -> dict[str, bytes]:
    """All files of a job that names a client, with what was measured of her in one of them."""
    text, measured = without_book(job.data.decode("utf-8-sig"), job.values, sitting)
    return {job.file: text.encode(), **job.files, MEASURED: measured}


def sitting_of(job: Whole, clients: Clients) -> Sitting:
    """That of the client whom the job names. InputError by the job's line."""
    where, said = job.document.where, job.values["client"]
    if len(said) > 80 or not said.isprintable():
        raise InputError(f"{spoken(said)} is too long or holds unprintable signs", where=where("client"))
    day = job.values.get("measured", "")
    own = day if isinstance(day, str) else getattr(day, "isoformat", lambda: "")()
    return clients.sitting(said, own, where("client"), where("measured"))


def lengths_of(sitting: Sitting) -> tuple[dict[str, str], Unit, str]:
    """What was measured as it was typed, the unit of its plain numbers, and whose it is."""
    return {name: taken.typed for name, taken in sitting.lengths.items()}, sitting.unit, sitting.wearer


def with_body(values: Mapping[str, Any], lengths: Mapping[str, str], unit: Unit, wearer: str) -> dict[str, Any]:
    """The job for another body, in place of whatever it takes its own from; plain `lengths` are in `unit`. The unit of
    the job stays, since its other numbers are in it."""
    kept = without_body(values)
    own = kept.setdefault("units", unit)
    said = {"wearer": wearer} if wearer else {}
    kept["measurements"] = {
        **said, **{name: typed if own == unit else in_unit(typed, unit) for name, typed in lengths.items()}
    }  # fmt: skip
    return kept


def wearer_said(job: Whole) -> str:
    """Whose body the job says that its own is: a job for men stays one for whomever it is made.

    "" where it does not say, or says what is no wearer."""
    table = job.values.get("measurements")
    if isinstance(table, str):
        try:
            table = tomllib.loads(job.files.get(table, b"").decode("utf-8-sig"))
        except (ValueError, RecursionError):
            return ""
    said = table.get("wearer") if isinstance(table, Mapping) else None
    return next((wearer for wearer in WEARERS if wearer == said), "")


def without_body(values: Mapping[str, Any]) -> dict[str, Any]:
    """The job without client, body and sizes, and without what it says of them elsewhere: a lay is of one body."""
    kept = {key: value for key, value in values.items() if key not in ("measurements", "sizes", "client", "measured")}
    if isinstance(output := kept.get("output"), Mapping):
        kept["output"] = {key: value for key, value in output.items() if key not in ("print_client", "sizes", "lay")}
    return kept


def still_named(values: Mapping[str, Any], files: Mapping[str, bytes]) -> dict[str, bytes]:
    """Of the files those that the job names."""
    return {name: files[name] for _, _, name in named_in(values) if name in files}
