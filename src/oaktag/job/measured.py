"""What a job is for: the garment, the unit and the body."""

from __future__ import annotations

import datetime
from collections.abc import Container, Mapping, Sequence
from contextlib import suppress
from functools import lru_cache
from typing import TYPE_CHECKING, Any, Final, Literal

from ..body.measurements import (
    KINDS,
    MeasurementKind,
    Measurements,
    Wearer,
    kinds_of,
    lacking,
    measured,
    near_names,
    spoken,
    typed_length,
)
from ..body.whom import child_signs, may_be, not_for, said_wearer, serving, wearer_of
from ..draft.garment import GARMENT_NAMES, Garment, Style, find_garment
from ..draft.options import NO_WISHES, served
from ..errors import InputError, Where
from ..units import UNITS, Unit
from ..values import dataclass, replace
from .document import Document
from .model import GarmentWords
from .reader import Reader

if TYPE_CHECKING:
    from ..book.people import Sitting
    from ..book.store import Book


@dataclass(frozen=True, slots=True)
class Sheet:
    """Where the measurements stand: the document, the keys that lead to them, the entries, and whose they are."""

    document: Document
    keys: tuple[str, ...]
    entries: Mapping[str, object]
    readable: bool = True
    wearer: Wearer | Literal[""] = ""
    sitting: Sitting | None = None
    """That of the measurement book."""

    @property
    def where_of_all(self) -> Where:
        return self.document.where(*self.keys) if self.keys else Where(self.document.name)

    def where(self, name: str) -> Where:
        return self.document.where(*self.keys, name)


def sheet_of(reader: Reader) -> Sheet:
    """Where the measurements stand: in the job, or in a file that it names."""
    return reader.once("the sheet", lambda: _with_wearer(reader, _sheet(reader)))


WEARER: Final = "wearer"
"""The one entry of a table of measurements that is no measurement."""


def _with_wearer(reader: Reader, sheet: Sheet) -> Sheet:
    if WEARER not in sheet.entries:
        return sheet
    said = reader.take(lambda: said_wearer(sheet.entries[WEARER], sheet.where(WEARER)))
    entries = {name: entry for name, entry in sheet.entries.items() if name != WEARER}
    return replace(sheet, entries=entries, wearer=said or "")


def wearer_in(reader: Reader) -> Wearer:
    """Whose proportions count in the job: whom it names, else whom its garment is for."""
    garment: GarmentWords | None = reader.of("garment")
    return wearer_of(garment.for_whom if garment is not None else "", sheet_of(reader).wearer)


def client_of(reader: Reader, key: str) -> str:
    """Whom it is for, without the day that may stand behind her name where she is looked up in the book."""
    if not _in_book(reader):
        return reader.words(key, most=60)
    from ..book.people import client_and_day

    return client_and_day(reader.words(key, most=80))[0]


def day_in(reader: Reader, key: str) -> str:
    """A day as it is written, as a text or as a date of TOML."""
    value = reader.values.get(key, "")
    if isinstance(value, (datetime.date, datetime.time)):  # a datetime is a date
        return value.isoformat()
    return reader.words(key, most=40)


def _in_book(reader: Reader) -> bool:
    """Whether the measurements are those of a client in the measurement book: the job names her, and has none."""
    named = reader.values.get("client")
    others = reader.is_drawn or "measurements" in reader.values or "sizes" in reader.values
    return isinstance(named, str) and bool(named.strip()) and not others


def _of_book(reader: Reader) -> Sheet:
    """Her last sitting in the measurement book, or that of the day that the job names. What is wrong with it is told at
    the line of the job that names her."""
    from ..book.store import Book, book_path

    nothing = Sheet(reader.document, ("client",), {}, readable=False)
    said = reader.words("client", most=80)
    if not said:
        return nothing
    own = day_in(reader, "measured")
    try:
        with Book(book_path()) as book:
            sitting = sitting_in(book, said, own, reader.where("client"), reader.where("measured"))
    except InputError as error:
        if error.where is not None and error.where.line:
            reader.errors.append(error)
        else:  # the book itself: the place to mend is the line that names her
            found = f"{error.where}: {error.found}" if error.where else error.found
            instead = error.instead or "Write [measurements] into the job"
            reader.fault(found, "client", expected=error.expected, instead=instead)
        return nothing
    values = {"units": sitting.unit}
    document = Document(reader.document.path, reader.document.name, values, reader.document.spots)
    lengths = {length: taken.typed for length, taken in sitting.lengths.items()}
    return Sheet(document, ("client",), lengths, wearer=sitting.wearer, sitting=sitting)


def sitting_in(book: Book, said: str, own: str, client_at: Where, day_at: Where) -> Sitting:
    """The last sitting of a client, or that of the day which stands behind her name, or is said on its `own`.

    InputError at `client_at` or `day_at`, where she and the day are named."""
    from ..book.people import client_and_day, day_of, name_of

    name, day = client_and_day(said)
    if day and own and day != own:
        expected = "the day of the sitting once"
        raise InputError(f"client says {spoken(day)}, and measured {spoken(own)}", where=client_at, expected=expected)
    at = client_at if day else day_at
    day = day_of(day or own, at) if day or own else ""
    client = book.client(name_of(name, client_at), client_at)
    sitting = client.sitting(day)
    if sitting is None:
        days = ", ".join(one.day for one in client.sittings[-5:])
        raise InputError(
            f"{spoken(client.name)} was not measured {f'on {day}' if day and days else 'yet'}",
            where=at if day and days else client_at, expected=f"one of {days}" if days else "",
            instead="" if days else f"Write oaktag book measure {spoken(client.name)} bust_girth=96 --unit cm",
        )  # fmt: skip
    return sitting


def _sheet(reader: Reader) -> Sheet:
    if _in_book(reader):
        return _of_book(reader)
    value = reader.values.get("measurements", {})
    if not isinstance(value, str):
        entries = reader.table("measurements")
        return Sheet(reader.document, ("measurements",), entries, readable=isinstance(value, dict))
    try:
        document = Document.read(reader.beside / value)
    except InputError as error:
        if error.where and error.where.line:
            reader.errors.append(error)
        else:  # the file itself: the place to mend is the line that names it
            found = f"{spoken(value)}: {error.found}"
            reader.fault(found, "measurements", expected=error.expected, instead=error.instead)
        return Sheet(reader.document, ("measurements",), {}, readable=False)
    return Sheet(document, (), {name: entry for name, entry in document.values.items() if name != "units"})


def unit_of(reader: Reader, key: str) -> Unit:
    """The unit of the job file; where it names none, a fault, and the unit that its measurements look like."""
    return _unit(reader, sheet_of(reader))


def _unit(reader: Reader, sheet: Sheet) -> Unit:
    value = reader.values.get("units")
    for unit in UNITS:
        if value == unit:
            return unit

    kinds = kinds_of(wearer_in(reader))

    def fits(unit: Unit) -> int:
        numbers = [(kinds[name], number) for name, number in sheet.entries.items() if name in KINDS]
        return sum(_fits(kind, number, unit) for kind, number in numbers)

    likely = max(UNITS, key=fits)
    if value is None:
        found = "the unit of its numbers is not named"
        reader.fault(found, "units", expected='"in", "cm" or "mm"', instead=f'Write units = "{likely}"')
    else:
        reader.one_of(value, UNITS, "unit", "units")
    return likely


def _fits(kind: MeasurementKind, value: object, unit: Unit) -> bool:
    try:
        measured(kind, value, unit, Where(""))
    except InputError:
        return False
    return True


def body_of(reader: Reader, key: str) -> Measurements:
    """All measurements that could be read; a fault for each of the others."""
    sheet, unit = sheet_of(reader), reader.of("units")
    garment: GarmentWords | None = reader.of("garment")
    wishes = garment.wishes if garment is not None else NO_WISHES
    if sheet.document is not reader.document and "units" in sheet.document.values:
        inner = Reader(sheet.document, reader.known)
        unit = _unit(inner, sheet)
        reader.errors.extend(inner.errors)
    values: dict[str, float] = {}
    typed: dict[str, str] = {}
    kinds = kinds_of(wearer_in(reader))
    for name, value in sheet.entries.items():
        try:
            if name not in KINDS:
                raise _unknown_measurement(name, sheet.where(name), wishes)
            values[name] = measured(kinds[name], value, unit, sheet.where(name))
            typed[name] = sheet.document.typed(value, *sheet.keys, name)
        except InputError as error:
            reader.errors.append(error)
    return Measurements(values, typed, sheet.wearer)


def _unknown_measurement(name: str, where: Where, wishes: Mapping[str, str]) -> InputError:
    serves = served(name, tuple(KINDS), wishes)
    if serves:
        return InputError(f"{spoken(name)} is not a measurement", where=where, instead=serves)
    near = near_names(name)
    return InputError(
        f"{spoken(name)} is not a measurement",
        where=where,
        expected="" if near else f"one of {', '.join(KINDS)}",
        instead=f"Write {' or '.join(near)}" if near else "",
    )


def needed(garment: GarmentWords, style: Style, wearer: str) -> tuple[str, ...]:
    """What must be measured of that wearer."""
    if not isinstance(garment, Garment):
        return garment.needs(style)
    if garment.name in GARMENT_NAMES and find_garment(garment.name) is garment:
        return _needed_of_ours(garment.name, tuple(sorted(style.items())), wearer)
    return garment.needs_for(style, wearer)


@lru_cache(maxsize=256)
def _needed_of_ours(name: str, style: tuple[tuple[str, Any], ...], wearer: str) -> tuple[str, ...]:
    """It is drafted to find out, which takes as long as the draft itself: of many orders in one style once."""
    return find_garment(name).needs_for(dict(style), wearer)


def refuse_missing(reader: Reader, garment: GarmentWords, style: Style) -> None:
    """One fault for all measurements that the garment needs and the file does not name, not even misspelt."""
    sheet = sheet_of(reader)
    meant = {near_names(name)[0] for name in sheet.entries if name not in KINDS and near_names(name)}
    kinds = kinds_of(wearer_in(reader))
    missing = lacking(needed(garment, style, sheet.wearer), garment.instead, {*sheet.entries, *meant}, kinds)
    if missing:
        count = "1 measurement that is" if len(missing) == 1 else f"{len(missing)} measurements that are"
        if sheet.sitting is not None:
            lines = lines_to_add(missing, "=...")
            found = f"a {garment.name} needs {count} not in her sitting of {sheet.sitting.day}:{lines}"
            instead = 'Write them in with oaktag book measure, or name another day of hers: measured = "2026-03-01"'
            reader.errors.append(InputError(found, where=sheet.where_of_all, instead=instead))
            return
        lines = lines_to_add(missing, " = ...")
        where = sheet.where_of_all
        found = f"a {garment.name} needs {count} not given; add{lines}"
        reader.errors.append(InputError(found, where=where))


def refuse_not_for(reader: Reader, garment: GarmentWords) -> bool:
    """One fault for a body that the garment is not for, in place of those for each measurement that is too small or too
    large; whether there is one."""
    sheet = sheet_of(reader)
    own = sheet.document.values.get("units")
    unit = next((known for known in UNITS if known == own), reader.of("units"))
    values = {}
    for name, value in sheet.entries.items():
        if name in KINDS:
            with suppress(InputError):
                values[name] = typed_length(value, unit, sheet.where(name))
    refused = refusal(reader, garment, Measurements(values, wearer=sheet.wearer), unit)
    kinds = kinds_of(wearer_in(reader))
    small = {str(sheet.where(name)) for name, mm in values.items() if 0 < mm < kinds[name].least}
    large = {str(sheet.where(name)) for name, mm in values.items() if mm > kinds[name].most}
    if not refused and not sheet.wearer and "child" in may_be(garment.for_whom) and _tells(reader, small):
        refused = _unsaid(values) if wearer_in(reader) != "child" else ""
    if not refused:
        return False
    reader.errors[:] = [e for e in reader.errors if str(e.where) not in small | large]
    where = sheet.where_of_all
    reader.errors.append(InputError(f"{garment.name} is {refused}", where=where))
    return True


def _tells(reader: Reader, places: Container[str]) -> bool:
    return any(str(error.where) in places for error in reader.errors)


def _unsaid(values: Mapping[str, float]) -> str:
    """For a garment for anybody, of which nobody said that it is a child's."""
    if not child_signs(values):
        return ""
    return (
        "drafted as for a woman where nobody says who wears it, and these are the measurements of a child. "
        'Write wearer = "child" below [measurements]'
    )


def refusal(reader: Reader, garment: GarmentWords, body: Measurements, unit: Unit) -> str:
    """Why the garment is not for that body, with the names of others that are; empty where it is."""
    known = reader.known
    return not_for(
        garment.for_whom, body, unit, body.wearer, lambda wearer: serving(wearer, map(known.find, known.garments))
    )


def lines_to_add(missing: Sequence[Sequence[MeasurementKind]], sign: str) -> str:
    """A line for each measurement that is lacking, and for each that may stand in its place."""
    return "".join(
        f"\n  {'or ' if kind is not kinds[0] else ''}{kind.name}{sign}  {kind.how}"
        for kinds in missing
        for kind in kinds
    )
