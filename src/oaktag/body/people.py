"""Measured people from a CSV: one line a person, one column a measurement. Who they are is not kept.

A column is a measurement if its name is one (`bust_girth`, with or without a unit behind it: `bust_girth (cm)`). All
other columns (names, numbers, remarks) are passed over unread and never printed.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path
from typing import Final

from ..errors import InputError, InputErrors, Where
from ..units import UNITS, Unit
from ..values import dataclass
from .measurements import KINDS, MeasurementKind, kinds_of, measured, near_names, spoken
from .table import Line, Table, first, read_file, read_table, shown_path

EXAMPLE: Final = "bust_girth (cm),waist_girth (cm),hip_girth (cm)"
MOST_MISTAKES: Final = 1000  # then the rest of the file is not read
MISSING: Final = ("", "-", "–", "—", "?", "n/a", "na")
_WITH_UNIT: Final = re.compile(r"(?P<name>.*?)\s*[(\[]\s*(?P<unit>[^)\]]*?)\s*[)\]]$")


@dataclass(frozen=True, slots=True)
class Row:
    """One person: the line in the file, and what was measured, mm."""

    line: int
    values: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class People:
    """All of a file: its measurements in the file's order, its people, the unit most of it is in, columns not read."""

    file: str
    columns: tuple[str, ...]
    rows: tuple[Row, ...]
    unit: Unit
    passed_over: int = 0


@dataclass(frozen=True, slots=True)
class _Column:
    at: int
    name: str
    unit: Unit


def load_people(path: Path, unit: Unit | None = None, wearer: str = "") -> People:
    """The people in a file; plain numbers under a head without a unit are taken in `unit`. They are all of the kind
    that `wearer` names: women where it is empty.

    InputErrors with every mistake: a column that is nearly a measurement, a unit that is not named, a number that no
    body has. A blank cell (or `-`, `?`, `n/a`) was not measured.
    """
    try:
        data = read_file(path)
    except InputError as error:
        raise InputErrors([error]) from None
    return read_people(data, shown_path(path), unit, wearer)


def read_people(data: bytes, file: str, unit: Unit | None = None, wearer: str = "") -> People:
    """As `load_people`, from the bytes of a file."""
    table = read_table(data, file, EXAMPLE)
    errors: list[InputError] = []
    columns = _columns(table, unit, errors)
    if errors:
        raise InputErrors(first(errors))
    rows = []
    for line in table.lines:
        values = _person(table, line, columns, kinds_of(wearer), errors)
        if values:
            rows.append(Row(line.number, values))
        if len(errors) > MOST_MISTAKES:
            break
    if not rows and not errors:
        errors.append(InputError("holds no measured people", where=Where(file), expected="a line for each person"))
    if errors:
        raise InputErrors(first(errors))
    return People(
        file,
        tuple(column.name for column in columns),
        tuple(rows),
        columns[0].unit,
        len(table.head.cells) - len(columns),
    )


def _columns(table: Table, unit: Unit | None, errors: list[InputError]) -> list[_Column]:
    found: list[_Column] = []
    nameless: list[str] = []
    for at, cell in enumerate(table.head.cells):
        match = _WITH_UNIT.fullmatch(cell)
        spelt, unit_word = (match["name"], match["unit"]) if match else (cell, "")
        near = near_names(spelt) if spelt else ()
        if not near:
            continue
        name = near[0]
        where = Where(table.file, table.head.number, name)
        if "_".join(spelt.lower().replace("_", " ").split()) not in KINDS:
            error = InputError(
                f"the column {spoken(spelt)} is not a measurement",
                where=where,
                instead=f"If it is {' or '.join(near)}, write that; else leave the column out",
            )
            errors.append(error)
        elif name in (column.name for column in found) or name in nameless:
            errors.append(InputError(f"{name} has two columns", where=where, expected="each measurement once"))
        elif unit_word and unit_word.lower() not in UNITS:
            errors.append(InputError(f"{spoken(unit_word)} is not a unit", where=where, expected="in, cm or mm"))
        else:
            own = next((known for known in UNITS if known == unit_word.lower()), unit)
            if own is None:
                nameless.append(name)
            else:
                found.append(_Column(at, name, own))
    head = Where(table.file, table.head.number)
    if nameless:
        instead = f"Write {nameless[0]} (cm) in the head, or --unit cm"
        errors.append(
            InputError(
                f"the unit of {', '.join(nameless)} is not named", where=head, expected="in, cm or mm", instead=instead
            )
        )
    if not found and not errors:
        errors.append(InputError("the head names no measurement", where=head, expected=f"a head such as {EXAMPLE}"))
    return found


def _person(
    table: Table, line: Line, columns: list[_Column], kinds: Mapping[str, MeasurementKind], errors: list[InputError]
) -> dict[str, float]:
    values: dict[str, float] = {}
    for column in columns:
        cell = line.cells[column.at]
        where = Where(table.file, line.number, column.name)
        if cell.lower() in MISSING:
            continue
        try:
            table.refuse_decimal_comma(cell, where)
            values[column.name] = measured(kinds[column.name], cell, column.unit, where)
        except InputError as error:
            errors.append(error)
    return values
