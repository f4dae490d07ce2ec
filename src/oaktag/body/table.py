"""Tables as people keep them (CSV): text to cells, each with its line. What the cells mean is not known here.

Separated by commas, or by `;` throughout (as spreadsheets write them where the comma is the decimal sign); UTF-8 with
or without a mark at its start; lines that begin with `#` are remarks; blank lines and blank columns at the end are
passed over. A cell does not run over a line.
"""

from __future__ import annotations

import csv
import os
import re
import stat
from collections.abc import Sequence
from difflib import get_close_matches
from pathlib import Path
from typing import Final

from ..errors import InputError, InputErrors, Where
from ..values import dataclass
from .measurements import spoken

LARGEST_FILE: Final = 1_000_000
MOST_COLUMNS: Final = 300
MOST_ERRORS: Final = 40
_DECIMAL_COMMA: Final = re.compile(r"^\s*[-+]?\d+,\d+\s*[a-z\"]*\s*$")


@dataclass(frozen=True, slots=True)
class Line:
    """A line of the file: its number from 1, its cells without the blanks around them."""

    number: int
    cells: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Table:
    """What a file holds: remarks without their `#`, the head, and the lines below, each as wide as the head."""

    file: str
    separator: str
    remarks: tuple[str, ...]
    head: Line
    lines: tuple[Line, ...]

    def refuse_decimal_comma(self, cell: str, where: Where) -> None:
        """InputError for `84,5` where commas divide the columns; with `;` between them it is a number as any."""
        if self.separator == "," and _DECIMAL_COMMA.match(cell):
            raise InputError(
                f"{spoken(cell)} has a decimal comma",
                where=where,
                expected="a point, since commas divide the columns here",
                instead=f"Write {cell.replace(',', '.')}, or save the file with ; between the columns",
            )


def shown_path(path: Path) -> str:
    """The path as the maker gave it, fit to be printed."""
    text = os.fsencode(str(path)).decode("utf-8", "replace")
    return "".join(c if c.isprintable() else "\N{REPLACEMENT CHARACTER}" for c in text)


def read_file(path: Path, most: int = LARGEST_FILE) -> bytes:
    """What the file holds, at most 1 MB (or `most`); InputError, with the file as its place, if it cannot be had."""
    where = Where(shown_path(path))
    try:
        status = path.stat()
        if stat.S_ISDIR(status.st_mode):
            raise InputError("is a directory", where=where, expected="a CSV file")
        if not stat.S_ISREG(status.st_mode):
            raise InputError("is not an ordinary file", where=where, expected="a CSV file")
        if status.st_size > most:
            expected = f"a file of at most {most // 1_000_000} MB"
            raise InputError(f"is {status.st_size / 1e6:.1f} MB", where=where, expected=expected)
        with path.open("rb") as file:
            data = file.read(most + 1)
    except FileNotFoundError:
        near = _near_files(path)
        instead = f"Write {near}" if near else ""
        raise InputError("no such file", where=where, expected="a CSV file", instead=instead) from None
    except (OSError, ValueError) as error:  # ValueError: a null character in the path
        reason = getattr(error, "strerror", None) or "the path cannot be used"
        raise InputError(f"cannot be read: {reason}", where=where, expected="a file that you may read") from None
    if len(data) > most:
        limit = f"{most // 1_000_000} MB"
        raise InputError(f"is more than {limit}", where=where, expected=f"a file of at most {limit}")
    return data


def _near_files(path: Path) -> str:
    try:
        names = sorted(entry.name for entry in path.parent.iterdir() if entry.suffix.lower() == ".csv")
    except OSError:
        return ""
    near = get_close_matches(path.name, names, n=1)
    return shown_path(path.parent / near[0]) if near else ""


def read_table(data: bytes, file: str, example: str) -> Table:
    """The cells of a file; `example` is a head as it should be. InputErrors with every line that cannot be read."""
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        number = data.count(b"\n", 0, error.start) + 1
        instead = "Save the file as UTF-8 (in a spreadsheet: CSV UTF-8)"
        raise InputErrors([InputError("the text is not UTF-8", where=Where(file, number), instead=instead)]) from None
    physical = [(n, line) for n, line in enumerate(re.split("\r\n|\r|\n", text), 1) if line.strip(' \t,;"')]
    remarks = tuple(_remark(line) for _, line in physical if _is_remark(line))
    rest = [(n, line) for n, line in physical if not _is_remark(line)]
    if not rest:
        raise InputErrors([InputError("holds no table", where=Where(file), expected=f"a head such as {example}")])
    separator = _separator(rest[0][1], Where(file, rest[0][0]), example)
    lines: list[Line] = []
    errors: list[InputError] = []
    for number, line in rest:
        try:
            lines.append(Line(number, _cells(line, separator, Where(file, number))))
        except InputError as error:
            errors.append(error)
    if not lines or lines[0].number != rest[0][0]:
        raise InputErrors(first(errors))
    head = Line(lines[0].number, _without_tail(lines[0].cells))
    if len(head.cells) > MOST_COLUMNS:
        found = f"has {len(head.cells)} columns"
        raise InputErrors([InputError(found, where=Where(file, head.number), expected=f"at most {MOST_COLUMNS}")])
    fitted: list[Line] = []
    for line in lines[1:]:
        try:
            fitted.append(_fitted(line, len(head.cells), Where(file, line.number)))
        except InputError as error:
            errors.append(error)
    if errors:
        raise InputErrors(first(sorted(errors, key=lambda error: error.where.line if error.where else 0)))
    return Table(file, separator, remarks, head, tuple(fitted))


def first(errors: Sequence[InputError]) -> list[InputError]:
    """Not more mistakes than anyone reads; the last tells how many were left out."""
    if len(errors) <= MOST_ERRORS:
        return list(errors)
    more = InputError(f"{len(errors) - MOST_ERRORS} more mistakes like these", where=errors[-1].where)
    return [*errors[:MOST_ERRORS], more]


def _is_remark(line: str) -> bool:
    return line.lstrip(" \t\"'").startswith("#")


def _remark(line: str) -> str:
    """A remark's words; a spreadsheet may have put them in quotes, and separators behind them."""
    words = line.strip(" \t").rstrip(",; \t")
    if words.startswith('"') and words.endswith('"'):
        words = words[1:-1].replace('""', '"')
    words = words.lstrip(" \t\"'").removeprefix("#").strip()[:500]
    return "".join(c if c.isprintable() else "\N{REPLACEMENT CHARACTER}" for c in words)


def _separator(head: str, where: Where, example: str) -> str:
    plain = re.sub('"[^"]*"', "", head)
    if "," in plain or ";" not in plain:
        if "\t" in plain and "," not in plain:
            instead = "Save the file as CSV"
            raise InputErrors(
                [InputError("the columns are divided by tabs", where=where, expected="commas", instead=instead)]
            )
        if ";" in plain:
            raise InputErrors(
                [InputError("has both , and ; between the columns", where=where, expected=f"one, as in {example}")]
            )
        return ","
    return ";"


def _cells(line: str, separator: str, where: Where) -> tuple[str, ...]:
    try:
        (cells,) = csv.reader([line], delimiter=separator, strict=True, skipinitialspace=True)
    except csv.Error as error:
        if "unexpected end of data" in str(error):
            found, expected = "a quotation mark is not closed", "both on one line"
        elif "field limit" in str(error):
            found, expected = "a cell is far too long", "a number or a word"
        else:
            found, expected = "a quotation mark stands inside a cell", "cells such as 30 1/2 without any"
        raise InputError(found, where=where, expected=expected) from None
    if len(cells) == 1 and separator == ";" and "," in line:
        raise InputError("has commas between the columns", where=where, expected="; as in the head")
    if len(cells) == 1 and separator == "," and ";" in line:
        raise InputError("has ; between the columns", where=where, expected="commas as in the head")
    return tuple(cell.strip() for cell in cells)


def _without_tail(cells: tuple[str, ...]) -> tuple[str, ...]:
    kept = list(cells)
    while kept and not kept[-1]:
        kept.pop()
    return tuple(kept)


def _fitted(line: Line, width: int, where: Where) -> Line:
    """As wide as the head: blank cells are added or taken away at the end."""
    cells = _without_tail(line.cells)
    if len(cells) > width:
        instead = "A decimal comma? Write a point" if all(re.fullmatch(r"\d+", c) for c in cells[-2:]) else ""
        raise InputError(f"has {len(cells)} cells", where=where, expected=f"{width}, as in the head", instead=instead)
    return Line(line.number, cells + ("",) * (width - len(cells)))
