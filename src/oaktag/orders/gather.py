"""What was named on the command line, as orders, one after the other: however many there are, one is held at a time.

A path is a job file; a folder of job files; a table of orders (CSV: `table.py`); or `book:JOB`, that job for every
client of the measurement book by her last sitting.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Final, TypeAlias

from ..body.table import shown_path
from ..errors import InputError, OaktagError, Where
from ..units import Unit, natural
from ..values import replace
from .model import Order, Unread
from .names import Taken, folder_name
from .table import orders_in
from .toml_text import toml_text
from .whole import (
    Clients,
    is_of_book,
    lengths_of,
    sitting_of,
    still_named,
    wearer_said,
    whole,
    with_body,
    with_sitting,
)

Told: TypeAlias = Callable[[str], None]
"""What there is to say besides: a warning or a note, a sentence."""
BOOK: Final = "book:"
_MOST_TOLD: Final = 20
TABLES: Final = (".csv", ".tsv", ".txt")
SPREADSHEETS: Final = (".xls", ".xlsx", ".ods", ".numbers")


def unheard(words: str) -> None:
    """For whoever does not listen."""


def gather(
    paths: Sequence[Path], *, unit: Unit | None = None, book: Path | None = None, told: Told = unheard
) -> Iterator[Order | Unread]:
    """The orders in their order, each under a name that no other has. What cannot be read is an `Unread`; nothing is
    raised for it.

    `unit` is that of plain numbers in tables that do not say it, `book` the measurement book, if not the usual one.
    """
    clients, taken = Clients(book), Taken()
    again = 0
    try:
        for path in paths:
            for order, line in _from(path, unit, clients, told):
                name = taken.own(order.name, line)
                if name != order.name:
                    again += 1
                    if again <= _MOST_TOLD:
                        told(f"{order.source}: an order before it is called {order.name} too, so this one is {name}.")
                    elif again == _MOST_TOLD + 1:
                        told("More orders are called as one before them: the manifest tells their names.")
                yield order if name == order.name else replace(order, name=name)
    finally:
        clients.close()
        taken.close()


def _from(path: Path, unit: Unit | None, clients: Clients, told: Told) -> Iterator[tuple[Order | Unread, int]]:
    """With the line of each; 0: it has none."""
    try:
        named, folder = str(path), path.is_dir()
    except (OSError, ValueError):
        named, folder = "", False
    if named.startswith(BOOK) and not path.exists():
        yield from ((order, 0) for order in _for_every_client(Path(named.removeprefix(BOOK)), clients))
    elif folder:
        yield from ((order, 0) for order in _in_folder(path, clients, told))
    elif path.suffix.lower() in SPREADSHEETS:
        wrong = InputError("is a spreadsheet", where=Where(shown_path(path)), expected="a table as text (CSV)",
                           instead="Save it as CSV UTF-8, and name that")  # fmt: skip
        yield Unread(folder_name(path.stem), shown_path(path), str(wrong)), 0
    elif path.suffix.lower() in TABLES:
        yield from orders_in(path, unit, clients, told)
    else:
        yield _of_job(path, clients) or Unread(folder_name(path.stem), shown_path(path), "no job"), 0


def _in_folder(folder: Path, clients: Clients, told: Told) -> Iterator[Order | Unread]:
    shown = shown_path(folder)
    try:
        found = [path for path in folder.iterdir() if path.suffix.lower() == ".toml" and path.name[0] != "."]
    except OSError as error:
        yield Unread(folder_name(folder.name), shown, f"{shown}: cannot be read: {error.strerror}.")
        return
    passed: list[str] = []
    for path in sorted(found, key=lambda path: (natural(path.name), path.name)):
        order = _of_job(path, clients, passed_over=True)
        if order is None:
            passed.append(shown_path(Path(path.name)))
        else:
            yield order
    if passed:
        names = ", ".join(passed[:_MOST_TOLD]) + (f" and {more} more" if (more := len(passed) - _MOST_TOLD) > 0 else "")
        told(f"{shown}: passed over, since no garment and no drawing is named in them: {names}.")
    if len(passed) == len(found):
        none = InputError("holds no job", where=Where(shown), expected="job files (NAME.toml) in it")
        yield Unread(folder_name(folder.resolve().name), shown, str(none))


def _of_job(path: Path, clients: Clients, *, passed_over: bool = False) -> Order | Unread | None:
    """One job file; None, if such are `passed_over`, for a TOML file that is no job."""
    name, source = folder_name(path.stem), shown_path(path)
    try:
        job = whole(path)
        if passed_over and not {"garment", "drawing"} & set(job.values):
            return None
        if not is_of_book(job.values):
            return Order(name, source, job.file, job.all_files)
        sitting = sitting_of(job, clients)
        files = with_sitting(job, sitting)
        return Order(name, source, job.file, files, client=str(job.values["client"]), measured=sitting.day)
    except (OaktagError, OSError) as error:
        return Unread(name, source, str(error))


def _for_every_client(path: Path, clients: Clients) -> Iterator[Order | Unread]:
    """The job for each of the book, by her number in it: her name is told to the manifest alone."""
    stem, source = folder_name(path.stem), shown_path(path)
    try:
        job = whole(path)
        rows = clients.rows()
        if not rows:
            raise InputError("nobody is in the measurement book", where=Where(source), instead="Write oaktag book add")
        if "drawing" in job.values:
            found = "the job was drawn elsewhere, so it is for no client"
            raise InputError(found, where=job.document.where("drawing"), expected="a job with a garment")
    except OaktagError as error:
        yield Unread(stem, source, str(error))
        return
    for row in rows:
        name, columns = f"{stem}-{row.number}", {"client": row.name}
        at = f"client {row.number} of the measurement book, {source}"
        where = Where(source, 0, "client")
        try:
            if not row.sittings:
                found, instead = f"client {row.number} was not measured yet", "Write oaktag book measure"
                raise InputError(found, where=where, expected="a sitting", instead=instead)
            sitting = clients.sitting(row.name, "", where, where)
        except InputError as error:
            yield Unread(name, at, str(error), columns)
            continue
        lengths, unit, whose = lengths_of(sitting)
        values = with_body({**job.values, "title": name}, lengths, unit, whose or wearer_said(job))
        files = {f"{name}.toml": toml_text(values).encode(), **still_named(values, job.files)}
        yield Order(name, at, f"{name}.toml", files, columns=columns, client=row.name, measured=sitting.day)
