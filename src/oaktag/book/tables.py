"""The book as tables: CSV with a line a sitting, and the measurements files (TOML) that jobs name. Both ways.

A CSV is opened in spreadsheets, which run a cell that begins with `=`, `+`, `-` or `@` as a formula: such a cell gets
an apostrophe before it, which is taken off again when it is read.
"""

from __future__ import annotations

import csv
import datetime
import io
import json
import re
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Final

from ..body.measurements import KINDS, near_names, spoken
from ..body.people import MISSING
from ..body.table import Line, Table, first, read_file, read_table, shown_path
from ..body.whom import said_wearer
from ..errors import InputError, InputErrors, Where
from ..units import UNITS, Unit
from ..values import dataclass, replace
from .people import Client, Sitting, Taken, day_of, in_unit, length_of, merged, name_of, note_of
from .store import Book

LARGEST_CSV: Final = 50_000_000
COLUMNS: Final = ("date", "client", "unit", "wearer", "measured_by", "note")
EXAMPLE: Final = "date,client,unit,bust_girth,waist_girth,hip_girth"
_FORMULA: Final = re.compile(r"'*[=+\-@＝＋－＠]")
_OF_DAY: Final = re.compile(r"(?P<typed>.*\S) of (?P<day>[0-9]{4}-[0-9]{2}-[0-9]{2})")
_WITH_UNIT: Final = re.compile(r"(?P<name>.*?)\s*[(\[]\s*(?P<unit>in|cm|mm)\s*[)\]]$", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Entry:
    """What a line or a file says of one client, and where."""

    client: Client
    """Her name, and one sitting at most."""
    where: Where


@dataclass(frozen=True, slots=True)
class TakenIn:
    """What became of entries: new clients, sittings that are new or changed, and those that were in the book."""

    clients: int
    sittings: int
    known: int


# ---------------------------------------------------------------------------------------------------------------- out


def safe(cell: str) -> str:
    """A cell that no spreadsheet runs as a formula.

    >>> safe("=1+1"), safe("'t Hart"), safe("'=1")
    ("'=1+1", "'t Hart", "''=1")
    """
    return f"'{cell}" if _FORMULA.match(cell) else cell


def unsafe(cell: str) -> str:
    """The cell as it was before `safe`."""
    return cell[1:] if cell.startswith("'") and _FORMULA.match(cell) else cell


def as_csv(clients: Iterable[Client]) -> str:
    """A line for each sitting, lengths as they were typed; clients who were never measured have one without a date."""
    rows = [(client, sitting) for client in clients for sitting in client.sittings or (None,)]
    names = [name for name in KINDS if any(sitting is not None and name in sitting.lengths for _, sitting in rows)]
    text = io.StringIO()
    out = csv.writer(text, lineterminator="\n")
    out.writerow([*COLUMNS, *names])
    for client, sitting in rows:
        note = client.note if sitting is None or sitting is client.sittings[0] else ""
        if sitting is None:
            out.writerow([safe(cell) for cell in ("", client.name, "", client.wearer, "", note, *("" for _ in names))])
            continue
        cells = [sitting.day, client.name, sitting.unit, sitting.wearer, sitting.by, note]
        out.writerow([safe(cell) for cell in (*cells, *(_typed(sitting, name) for name in names))])
    return text.getvalue()


def _typed(sitting: Sitting, name: str) -> str:
    taken = sitting.lengths.get(name)
    if taken is None:
        return ""
    return taken.typed if taken.day == sitting.day else f"{taken.typed} of {taken.day}"


def as_toml(sitting: Sitting) -> str:
    """A measurements file, which a job may name: `measurements = "rosa.toml"`. No client's name stands in it."""
    lines = [f"# measured on {sitting.day}", f'units = "{sitting.unit}"']
    if sitting.wearer:
        lines.append(f'wearer = "{sitting.wearer}"')
    lines += [f"{name} = {json.dumps(taken.typed, ensure_ascii=False)}" for name, taken in sitting.lengths.items()]
    return "\n".join([*lines, ""])


# ----------------------------------------------------------------------------------------------------------------- in


def read_csv(path: Path, unit: Unit | None, by: str, today: datetime.date) -> tuple[tuple[Entry, ...], tuple[str, ...]]:
    """What stands in a CSV, and the columns that were passed over; InputErrors with every bad line.

    `unit` is that of plain numbers, and `by` who measured, where the file does not say.
    """
    file = shown_path(path)
    table = read_table(read_file(path, LARGEST_CSV), file, EXAMPLE)
    errors: list[InputError] = []
    columns, passed = _columns(table, errors)
    if errors:
        raise InputErrors(first(errors))
    entries = []
    for line in table.lines:
        try:
            entries.append(_entry(table, line, columns, unit, by, today))
        except InputError as error:
            errors.append(error)
        except InputErrors as several:
            errors.extend(several.errors)
    if errors:
        raise InputErrors(first(errors))
    return tuple(entries), passed


def _columns(table: Table, errors: list[InputError]) -> tuple[dict[str, tuple[int, Unit | None]], tuple[str, ...]]:
    found: dict[str, tuple[int, Unit | None]] = {}
    passed = []
    for at, cell in enumerate(table.head.cells):
        match = _WITH_UNIT.fullmatch(cell)
        spelt = "_".join((match["name"] if match else cell).lower().replace("_", " ").split())
        unit = next((one for one in UNITS if match and one == match["unit"].lower()), None)
        where = Where(table.file, table.head.number, spoken(cell)[1:-1])
        if spelt in (*COLUMNS, *KINDS):
            if spelt in found:
                errors.append(InputError(f"{spelt} has two columns", where=where, expected="each column once"))
            found[spelt] = (at, unit)
        elif near := near_names(spelt):
            errors.append(
                InputError(
                    f"the column {spoken(cell)} is not a measurement", where=where,
                    instead=f"If it is {' or '.join(near)}, write that; else leave the column out",
                )
            )  # fmt: skip
        elif cell:
            passed.append(spoken(cell))
    head = Where(table.file, table.head.number)
    for name in ("client", "date"):
        if name not in found and not errors:
            errors.append(InputError(f"has no column {name}", where=head, expected=f"a head such as {EXAMPLE}"))
    return found, tuple(passed)


def _entry(
    table: Table, line: Line, columns: dict[str, tuple[int, Unit | None]], unit: Unit | None, by: str,
    today: datetime.date,
) -> Entry:  # fmt: skip
    where = Where(table.file, line.number)

    def cell(name: str) -> str:
        return unsafe(line.cells[columns[name][0]]) if name in columns else ""

    name = name_of(cell("client"), Where(table.file, line.number, "client"))
    wearer = said_wearer(cell("wearer"), Where(table.file, line.number, "wearer")) if cell("wearer") else ""
    client = Client(name, wearer, note_of(cell("note"), f"{where} note"))
    typed = {one: cell(one) for one in columns if one in KINDS and cell(one).lower() not in MISSING}
    if not cell("date"):
        if typed:
            raise InputError("has measurements and no date", where=where, expected="a day such as 2026-03-01")
        return Entry(client, where)
    day = day_of(cell("date"), Where(table.file, line.number, "date"), today)
    spelt = cell("unit").lower()
    own = next((one for one in UNITS if one == spelt), None)
    if spelt and own is None:
        at = Where(table.file, line.number, "unit")
        raise InputError(f"{spoken(spelt)} is not a unit", where=at, expected="in, cm or mm")
    main = own or next((columns[one][1] for one in typed if columns[one][1]), None) or unit
    if main is None:
        raise InputError(
            "the unit of its numbers is not named", where=where, expected="in, cm or mm",
            instead="Add a column unit, or --unit cm",
        )  # fmt: skip
    lengths, errors = {}, []
    for one, text in typed.items():
        at = Where(table.file, line.number, one)
        match = _OF_DAY.fullmatch(text)
        said, column_unit = (match["typed"] if match else text), columns[one][1] or main
        try:
            taken = day_of(match["day"], at, today) if match else day
            mm = length_of(one, said, column_unit, wearer, at)
            lengths[one] = Taken(mm, said if column_unit == main else in_unit(said, column_unit), taken)
        except InputError as error:
            errors.append(error)
    if errors:
        raise InputErrors(errors)
    who = note_of(cell("measured_by"), f"{where} measured_by") or by
    return Entry(replace(client, sittings=(Sitting(day, main, who, wearer, lengths),)), where)


def take_in(book: Book, entries: Sequence[Entry], *, correct: bool) -> TakenIn:
    """All entries into the book, or none. InputErrors with each that says otherwise than the book, unless it is to
    `correct` it."""
    clients = sittings = known = 0
    errors: list[InputError] = []
    with book.changing():
        for entry in entries:
            told = entry.client
            if not book.has(told.name):
                book.add(told)
                clients += 1
            now = book.client(told.name)
            for one in told.sittings:
                sitting = one if one.wearer else replace(one, wearer=now.wearer)
                before = now.sitting(sitting.day)
                try:
                    new = merged(before, sitting, correct=correct, where=entry.where)
                except InputErrors as several:
                    errors.extend(several.errors)
                    continue
                if new == before:
                    known += 1
                    continue
                book.put_sitting(told.name, new)
                sittings += 1
                last = now.sitting()
                if told.wearer and told.wearer != now.wearer and (last is None or last.day <= sitting.day):
                    book.put_client(replace(now, wearer=told.wearer))
        if errors:
            raise InputErrors(first(errors))
    return TakenIn(clients, sittings, known)
