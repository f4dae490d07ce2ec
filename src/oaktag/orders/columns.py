"""Which column of a table of orders is what, by its head."""

from __future__ import annotations

import re
from collections.abc import Mapping
from difflib import get_close_matches
from functools import cache
from typing import Final, Literal, TypeAlias

from ..body.measurements import KINDS, near_names, spoken
from ..body.table import MOST_COLUMNS
from ..draft.garment import GARMENT_NAMES, find_garment
from ..errors import InputError, InputErrors
from ..units import UNITS, Unit
from ..values import dataclass
from .cells import one_line
from .lines import SEPARATORS, Lines

Kind: TypeAlias = Literal["own", "measure", "style", "other"]
"""Of the order itself; a measurement; an option of the garment; anything else, which passes through."""
OWN: Final = (
    "order", "client", "job", "garment", "unit", "wearer", "chart", "size", "sizes", "quantity", "due", "cloth",
    "formats",
)  # fmt: skip
_ALSO: Final = {"units": "unit", "cloth_width": "cloth", "format": "formats"}
STYLE: Final = "style."
EXAMPLE: Final = "order,garment,unit,bust_girth,waist_girth,hip_girth"
_WITH_UNIT: Final = re.compile(r"(?P<name>.*?)\s*[(\[]\s*(?P<unit>[^()\[\]]{1,12}?)\s*[)\]]")
_LONGEST_SHOWN: Final = 60
_NEAR: Final = 0.82
"""As a part of one: `lenght` is a slip of `length`, `colour` is none of `closure`."""


@dataclass(frozen=True, slots=True)
class Column:
    """A column: what it is, its name as jobs spell it, how its head is written, and the unit that stands there."""

    at: int
    kind: Kind
    name: str
    shown: str
    unit: Unit | None = None


@dataclass(frozen=True, slots=True)
class Head:
    """The first line of a table."""

    separator: str
    columns: tuple[Column, ...]
    named: Mapping[str, Column]
    """Those of the order itself."""
    told: tuple[str, ...] = ()
    """What there is to say of it: columns that may be misspelt."""


@cache
def options() -> frozenset[str]:
    """The options of all garments that ship."""
    return frozenset(option.name for name in GARMENT_NAMES for option in find_garment(name).options)


def head_of(lines: Lines, number: int, text: str) -> Head:
    """By the one of `,`, `;` and tabs with which the most columns are known. InputErrors with every mistake."""
    known = {one: _known(lines, number, text, one) for one in SEPARATORS}
    separator = max(SEPARATORS, key=lambda one: (known[one], text.count(one))) if max(known.values()) > 0 else ","
    cells = list(lines.divided(number, text, separator))
    while cells and not cells[-1]:
        cells.pop()
    if len(cells) > MOST_COLUMNS:
        found = f"has {len(cells)} columns"
        raise InputErrors([InputError(found, where=lines.where(number), expected=f"at most {MOST_COLUMNS}")])
    columns, errors, told = [], [], []
    seen: dict[str, Column] = {}
    for at, cell in enumerate(cells):
        column = _column(at, cell)
        where = lines.where(number, column.shown)
        if column.kind != "other" and (match := _WITH_UNIT.fullmatch(cell)) and column.unit is None:
            errors.append(InputError(f"{spoken(match['unit'])} is not a unit", where=where, expected="in, cm or mm"))
        key = column.name if column.kind != "other" else column.shown.casefold()
        if key in seen:
            before = spoken(seen[key].shown)
            also = "" if seen[key].shown == column.shown else f", {before} and {spoken(column.shown)}"
            errors.append(InputError(f"{spoken(column.name)} has two columns{also}", where=where, expected="one"))
        seen[key] = column
        columns.append(column)
        if column.kind == "other" and (near := _near(column.shown)):
            told.append(
                f"{where}: the column is none that oaktag knows, and passes through as it is. If it is "
                f"{' or '.join(near)}, write that."
            )
    named = {column.name: column for column in columns if column.kind == "own"}
    errors += _lacking(lines, number, columns, named)
    if errors:
        raise InputErrors(errors)
    return Head(separator, tuple(columns), named, tuple(told))


def _lacking(lines: Lines, number: int, columns: list[Column], named: Mapping[str, Column]) -> list[InputError]:
    where = lines.where(number)
    if not {"job", "garment"} & set(named):
        found = "has no column job and no column garment"
        return [InputError(found, where=where, expected=f"one of them, in a head such as {EXAMPLE}")]
    worn = {"client", "size", "sizes", "chart", "job"} & set(named)
    if not worn and not any(column.kind == "measure" for column in columns):
        found = "has no column that says whom the orders are for"
        return [InputError(found, where=where, expected=f"client, size or measurements, in a head such as {EXAMPLE}")]
    return []


def _known(lines: Lines, number: int, text: str, separator: str) -> int:
    try:
        cells = lines.divided(number, text, separator)
    except InputError:
        return -1
    return sum(_column(0, cell).kind != "other" for cell in cells[:MOST_COLUMNS])


def _column(at: int, cell: str) -> Column:
    shown = one_line(cell, _LONGEST_SHOWN) or f"column {at + 1}"
    match = _WITH_UNIT.fullmatch(cell) if len(cell) <= _LONGEST_SHOWN else None
    unit = next((one for one in UNITS if match and one == match["unit"].lower()), None)
    spelt = _spelt(match["name"] if match else shown)
    spelt = _ALSO.get(spelt, spelt)
    if spelt in OWN:
        return Column(at, "own", spelt, shown, unit)
    if spelt in KINDS:
        return Column(at, "measure", spelt, shown, unit)
    if spelt.startswith(STYLE) and spelt != STYLE:
        return Column(at, "style", spelt.removeprefix(STYLE), shown, unit)
    if spelt in options():
        return Column(at, "style", spelt, shown, unit)
    return Column(at, "other", shown, shown)


def _spelt(text: str) -> str:
    return "_".join(text.lower().replace("_", " ").replace("-", " ").split())


def _near(shown: str) -> tuple[str, ...]:
    """What a column may have been meant for: by a slip of the pen, or by what the trade calls a measurement."""
    match = _WITH_UNIT.fullmatch(shown)
    spelt = _spelt(match["name"] if match else shown).removeprefix(STYLE)
    near = get_close_matches(spelt, [*KINDS, *OWN, *sorted(options())], n=1, cutoff=_NEAR)
    measurements = near_names(spelt)
    return tuple(near) or (measurements if len(measurements) == 1 else ())
