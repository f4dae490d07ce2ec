"""A table of orders (CSV): a line an order, made out as a job of its own.

Which column is what, its head says (`columns.py`). A line that cannot be read is refused by its number, and the others
go on. Of the file one line is held at a time, and of the jobs that lines are based on the last few.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import Any, Final

from ..body.measurements import carries_unit, measured, spoken
from ..body.measurements import kinds_of as kinds_for
from ..body.people import MISSING
from ..body.table import shown_path
from ..body.whom import said_wearer, wearer_of
from ..book.people import day_of, in_unit
from ..book.tables import unsafe
from ..draft.garment import GARMENT_NAMES, Garment, find_garment
from ..draft.options import ChoiceOption, LengthOption, Option, unknown
from ..errors import InputError, InputErrors, OaktagError, Where
from ..formats import words_of
from ..job.cloth import STRETCHES
from ..lay.words import asked_of
from ..origin import named_in
from ..units import UNITS, Unit
from ..units import whole as whole_number
from .cells import one_line
from .columns import Column, Head, head_of
from .lines import Lines, Record, opened, stem_of
from .model import Order, Unread
from .names import folder_name, order_name
from .toml_text import toml_text
from .whole import (
    Clients,
    Whole,
    content,
    is_of_book,
    leads_out,
    lengths_of,
    place_for,
    still_named,
    wearer_said,
    whole,
    with_body,
    without_body,
)

Told = Callable[[str], None]
MOST_GARMENTS: Final = 2_000
"""Of one order: as `oaktag lay` takes (lay/words.py)."""
_MOST_BASES: Final = 32
_MOST_MISTAKES: Final = 6
_TRUTH: Final = {"true": "yes", "false": "no"}
_PARTS: Final = re.compile(r"[\s,;/+]+")


def orders_in(path: Path, unit: Unit | None, clients: Clients, told: Told) -> Iterator[tuple[Order | Unread, int]]:
    """Each order with its line. A file whose head cannot be read is one `Unread`."""
    file = shown_path(path)
    try:
        with opened(path) as data:
            lines = Lines(data, file)
            number, text = lines.head()
            head = head_of(lines, number, text)
            for words in head.told:
                told(words)
            table = _Table(path, file, head, unit, clients)
            for record in lines.records(head.separator, len(head.columns)):
                yield table.order(record), record.number
    except InputErrors as errors:
        yield Unread(folder_name(stem_of(path)), file, " ".join(map(str, errors.errors))), 0
    except (OaktagError, OSError) as error:
        yield Unread(folder_name(stem_of(path)), file, str(error)), 0


class _Line:
    """One line as its columns tell it; mistakes are gathered."""

    def __init__(self, file: str, record: Record, head: Head) -> None:
        self.file, self.number, self.head = file, record.number, head
        self.cells = tuple(map(unsafe, record.cells))
        self.errors: list[InputError] = []
        self.sitting = ("", "")
        """The client whose measurements are taken from the book, and the day."""

    def where(self, column: Column | str) -> Where:
        return Where(self.file, self.number, column if isinstance(column, str) else column.shown)

    def of(self, name: str) -> str:
        """What stands in a column of that name; "" where there is none."""
        column = self.head.named.get(name)
        return self.cells[column.at] if column is not None else ""

    def given(self, kind: str) -> list[tuple[Column, str]]:
        """The columns of a kind in which something stands."""
        return [
            (column, self.cells[column.at])
            for column in self.head.columns
            if column.kind == kind and self.cells[column.at].lower() not in MISSING
        ]

    def fault(self, found: str, column: str, *, expected: str = "", instead: str = "") -> None:
        self.errors.append(InputError(found, where=self.where(column), expected=expected, instead=instead))


class _Table:
    """What all lines of a file have in common."""

    def __init__(self, path: Path, file: str, head: Head, unit: Unit | None, clients: Clients) -> None:
        self.path, self.file, self.head, self.unit, self.clients = path, file, head, unit, clients
        self.stem = folder_name(stem_of(path))
        self._bases: dict[str, Whole | InputError] = {}

    def order(self, record: Record) -> Order | Unread:
        source = f"{self.file}, line {record.number}"
        name = f"{self.stem}-{record.number}"
        columns: dict[str, str] = {}
        if record.wrong is not None:
            return Unread(name, source, str(record.wrong))
        line = _Line(self.file, record, self.head)
        for column in self.head.columns:
            if column.kind == "other" or column.name == "client":
                columns[column.shown] = one_line(line.cells[column.at])
        try:
            title = name
            if line.of("order"):
                title = line.of("order")
                name = order_name(title, line.where("order"))
            quantity, due = self._quantity(line), self._due(line)
            values, files = self._job(line, title, quantity)
        except InputError as error:
            line.errors.append(error)
        except InputErrors as errors:
            line.errors.extend(errors.errors)
        except OaktagError as error:
            return Unread(name, source, f"{line.where('job')}: {error}", columns)
        if line.errors:
            return Unread(name, source, _reason(line.errors), columns)
        job = f"{name}.toml"
        while job in files:  # one that the job names is called so
            job = f"order-{job}"
        files = {job: toml_text(values).encode(), **files}
        return Order(name, source, job, files, quantity, due, columns, *line.sitting)

    # ------------------------------------------------------------------------------------------------ what a line says

    def _quantity(self, line: _Line) -> int:
        if not (text := line.of("quantity")):
            return 1
        count = whole_number(text)
        if count is None or not 1 <= count <= MOST_GARMENTS:
            found = f"{spoken(text)} is not a number of garments"
            line.fault(found, "quantity", expected=f"1 to {MOST_GARMENTS:,}")
        return count or 1

    def _due(self, line: _Line) -> str:
        return day_of(line.of("due"), line.where("due")) if line.of("due") else ""

    def _job(self, line: _Line, title: str, quantity: int) -> tuple[dict[str, Any], dict[str, bytes]]:
        """The job of the line, and the files that it names."""
        base, garment = self._base(line)
        unit = self._unit(line, base)
        values: dict[str, Any] = {"title": title}
        if base is not None:
            values |= {key: value for key, value in base.values.items() if key != "title"}
        else:
            values["garment"] = line.of("garment")
        values, worn = self._worn(line, values, base, garment, unit)
        known = next((one for one in UNITS if one == values.get("units")), None) or unit or worn
        if known is None:
            line.fault(
                "the unit of its numbers is not named", "unit", expected="in, cm or mm",
                instead="Add a column unit, or --unit cm",
            )  # fmt: skip
        own: Unit = known or "cm"
        values["units"] = own
        self._style(line, values, garment, unit, own)
        self._rest(line, values, unit, own, quantity)
        return values, self._files(line, values, base)

    def _base(self, line: _Line) -> tuple[Whole | None, Garment | None]:
        """The job that it is based on, and the garment, where it is one that ships."""
        job, named = line.of("job"), line.of("garment")
        if job and named:
            found = f"names a job, {spoken(job)}, and a garment, {spoken(named)}"
            raise InputError(found, where=line.where("garment"), expected="one of the two")
        if not job and not named:
            raise InputError(
                "says not what to make", where=line.where("garment" if "garment" in self.head.named else "job"),
                expected="a garment, or a job file", instead="Write a garment that oaktag garments lists",
            )  # fmt: skip
        base = self._based(job, line.where("job")) if job else None
        garment = base.values.get("garment") if base is not None else named
        if garment in GARMENT_NAMES:
            return base, find_garment(str(garment))
        if named and not named.endswith(".py"):
            raise unknown(f"{spoken(named)} is not a garment", named, GARMENT_NAMES, line.where("garment"), quote=True)
        return base, None

    def _based(self, job: str, where: Where) -> Whole:
        """The job of that name, from where the table lies; the last few are held."""
        if job not in self._bases:
            if not job.endswith(".toml") or not job.isprintable() or len(job) > 500:
                found = f"{spoken(job)} is not a job file"
                raise InputError(found, where=where, expected="a TOML file, from where the table lies")
            while len(self._bases) >= _MOST_BASES:
                del self._bases[next(iter(self._bases))]
            try:
                self._bases[job] = whole(self.path.parent / job)
            except InputError as error:
                place = f":{error.where.line}" if error.where is not None and error.where.line else ""
                found = f"{spoken(job)}{place}: {error.found}"
                self._bases[job] = InputError(found, expected=error.expected, instead=error.instead)
            except OSError as error:
                self._bases[job] = InputError(f"{spoken(job)}: cannot be read: {error.strerror}")
        base = self._bases[job]
        if isinstance(base, InputError):
            raise InputError(base.found, where=where, expected=base.expected, instead=base.instead)
        return base

    def _unit(self, line: _Line, base: Whole | None) -> Unit | None:
        """That of plain numbers: the line's, else the one given for all tables, else that of the job."""
        text = line.of("unit").lower()
        for unit in UNITS:
            if text == unit:
                return unit
        if text:
            line.fault(f"{spoken(text)} is not a unit", "unit", expected="in, cm or mm")
        return self.unit or next((u for u in UNITS if base is not None and u == base.values.get("units")), None)

    def _worn(
        self, line: _Line, values: dict[str, Any], base: Whole | None, garment: Garment | None, unit: Unit | None
    ) -> tuple[dict[str, Any], Unit | None]:
        """The job with the body or the sizes of the line, if it has any; and the unit that the body was measured in.

        As in a job, a client is looked up in the book only where there is neither in the line."""
        client, lengths = line.of("client"), line.given("measure")
        sizes = next(((name, line.of(name)) for name in ("size", "sizes", "chart") if line.of(name)), None)
        if lengths and sizes:
            where = Where(self.file, line.number)
            raise InputError("gives measurements and sizes", where=where, expected="one of the two in a line")
        wearer = said_wearer(line.of("wearer"), line.where("wearer")) if line.of("wearer") else ""
        if wearer and not (lengths or client or sizes):
            found = "says who wears it, and gives no body"
            raise InputError(found, where=line.where("wearer"), expected="a client, measurements or a size in the line")
        usual = wearer_said(base) if base is not None else ""
        if lengths:
            typed, worn = self._lengths(line, lengths, garment, wearer or usual, unit)
            return with_body(values, typed, worn, wearer or usual), worn
        if sizes:
            return self._sized(line, values, garment, wearer), None
        if client:
            sitting = self.clients.sitting(client, "", line.where("client"), line.where("client"))
            line.sitting = client, sitting.day
            typed, worn, whose = lengths_of(sitting)
            return with_body(values, typed, worn, wearer or whose or usual), worn
        if base is not None and is_of_book(values):
            day = values.get("measured", "")
            sitting = self.clients.sitting(
                str(values["client"]), day if isinstance(day, str) else str(day), line.where("job"), line.where("job")
            )
            line.sitting = str(values["client"]), sitting.day
            typed, worn, whose = lengths_of(sitting)
            return with_body(values, typed, worn, whose), worn
        if base is None:
            raise InputError(
                "says not whom it is for", where=Where(self.file, line.number),
                expected="a client of the book, measurements, or a size",
            )  # fmt: skip
        kept = {key: value for key, value in values.items() if key not in ("client", "measured")}
        if isinstance(output := kept.get("output"), Mapping):
            kept["output"] = {key: value for key, value in output.items() if key != "print_client"}
        return kept, None

    def _lengths(
        self, line: _Line, lengths: list[tuple[Column, str]], garment: Garment | None, wearer: str, unit: Unit | None
    ) -> tuple[dict[str, str], Unit]:
        """What was measured, as it was typed, and the unit of plain numbers; a fault for each that no body has."""
        kinds = kinds_for(wearer_of(garment.for_whom if garment is not None else "", wearer))
        main = unit or next((column.unit for column, _ in lengths if column.unit is not None), None)
        typed: dict[str, str] = {}
        for column, text in lengths:
            own = column.unit or unit
            try:
                if own is None:
                    _refuse_without_unit(text, line.where(column))
                measured(kinds[column.name], text, own or "cm", line.where(column))
            except InputError as error:
                line.errors.append(error)
            typed[column.name] = text if own in (None, main) else in_unit(text, own or "cm")
        return typed, main or "cm"

    def _sized(self, line: _Line, values: Mapping[str, Any], garment: Garment | None, wearer: str) -> dict[str, Any]:
        """The job in the sizes of the line."""
        from ..body.charts import CHART_OF

        table = dict(old) if isinstance(old := values.get("sizes"), Mapping) else {}
        kept = without_body(values)
        if line.of("chart"):
            table["chart"] = line.of("chart")
        elif "chart" not in table:
            table["chart"] = CHART_OF[wearer_of(garment.for_whom if garment is not None else "", wearer)]
        names = [name for name in _PARTS.split(line.of("size") or line.of("sizes")) if name]
        if line.of("size") and line.of("sizes"):
            found = "gives a size and sizes"
            raise InputError(found, where=line.where("sizes"), expected="one of the two in a line")
        if line.of("size") and len(names) > 1:
            line.fault(f"{spoken(line.of('size'))} is more than one size", "size", instead="Write them below sizes")
        if names:
            table["make"] = names
            if table.get("base") not in names:
                table.pop("base", None)
        kept["sizes"] = table
        return kept

    def _style(
        self, line: _Line, values: dict[str, Any], garment: Garment | None, unit: Unit | None, own: Unit
    ) -> None:
        """The options of the line over those of the job; a fault for what the garment has not, or cannot be so."""
        given = line.given("style")
        if not given:
            return
        style = dict(old) if isinstance(old := values.get("style"), Mapping) else {}
        options = {option.name: option for option in garment.options} if garment is not None else {}
        for column, text in given:
            typed_in = column.unit or unit
            option = options.get(column.name)
            if garment is not None:
                try:
                    if option is None:
                        found = f"{spoken(column.name)} is not an option of {garment.name}"
                        raise unknown(found, column.name, tuple(options), line.where(column), wishes=garment.wishes)
                    text = _choice(option, text)
                    if isinstance(option, LengthOption) and typed_in is None:
                        _refuse_without_unit(text, line.where(column))
                    option.read(text, typed_in or own, line.where(column))
                except InputError as error:
                    line.errors.append(error)
            is_length = isinstance(option, LengthOption) or (option is None and column.unit is not None)
            if is_length and typed_in not in (None, own):
                text = in_unit(text, typed_in or own)
            style[column.name] = text
            if column.name in STRETCHES and isinstance(cloth := values.get("cloth"), Mapping):
                values["cloth"] = {key: value for key, value in cloth.items() if key != column.name}
        values["style"] = style

    def _rest(self, line: _Line, values: dict[str, Any], unit: Unit | None, own: Unit, quantity: int) -> None:
        """Cloth, how many, formats."""
        if text := line.of("cloth"):
            column = self.head.named["cloth"]
            typed_in = column.unit or unit
            if typed_in is None:
                _refuse_without_unit(text, line.where(column))
            asked_of({"width": text}, typed_in or own, {"width": line.where(column)})
            _put(values, "cloth", "width", text if typed_in in (None, own) else in_unit(text, typed_in or own))
        if quantity > 1:
            sizes = values.get("sizes")
            made = sizes.get("make") if isinstance(sizes, Mapping) else None
            if not isinstance(sizes, Mapping):
                _put(values, "cloth", "quantity", quantity)
            elif isinstance(made, list):
                _put(values, "cloth", "quantity", {str(size): quantity for size in made})
        if text := line.of("formats"):
            known, formats = words_of(job=True), [form.lower() for form in _PARTS.split(text) if form]
            for form in formats:
                if form not in known:
                    line.errors.append(
                        unknown(f"{spoken(form)} is not a format", form, known, line.where("formats"), quote=True)
                    )
            _put(values, "output", "formats", formats)

    def _files(self, line: _Line, values: dict[str, Any], base: Whole | None) -> dict[str, bytes]:
        """Those of the job that are still named; and what the line itself names, from where the table lies."""
        files = still_named(values, base.files) if base is not None else {}
        for table, key, name in list(named_in(values)):
            if not ((key == "chart" and line.of("chart")) or (key == "garment" and line.of("garment"))):
                continue
            data = content(self.path.parent / name)
            if data is None:
                continue  # a chart that ships; else whoever reads the job says what is wrong
            placed = name
            if leads_out(name) and key != "garment":
                placed = place_for(key, name, files)
                _put(values, table, key, placed)
            files[placed] = data
        return files


def _put(values: dict[str, Any], table: str, key: str, value: object) -> None:
    """Into a table of the job, of which the job that others are based on knows nothing."""
    if table:
        old = values.get(table)
        values[table] = {**(old if isinstance(old, Mapping) else {}), key: value}
    else:
        values[key] = value


def _refuse_without_unit(text: str, where: Where) -> None:
    if not carries_unit(text):
        instead = f"Write {spoken(f'{text} cm')}, add a column unit, or --unit cm"
        raise InputError(f"{spoken(text)} has no unit", where=where, expected="in, cm or mm", instead=instead)


def _choice(option: Option, text: str) -> str:
    """A choice as it is spelt, however a spreadsheet spelt it."""
    if not isinstance(option, ChoiceOption) or text in option.choices:
        return text
    spelt = _TRUTH.get(text.lower(), text.lower())
    return next((choice for choice in option.choices if choice.lower() == spelt), text)


def _reason(errors: list[InputError]) -> str:
    """Not more mistakes of a line than anyone reads."""
    more = f" And {len(errors) - _MOST_MISTAKES} more." if len(errors) > _MOST_MISTAKES else ""
    return " ".join(map(str, errors[:_MOST_MISTAKES])) + more
