"""A measurements file, or a job that holds a table of them, on its way into the measurement book."""

from __future__ import annotations

import datetime
from pathlib import Path
from typing import Literal

from ..body.measurements import KINDS, Wearer, spoken
from ..body.whom import said_wearer
from ..book.people import Client, Sitting, Taken, client_and_day, day_of, length_of, name_of
from ..book.tables import Entry
from ..errors import InputError, InputErrors, Where
from ..units import UNITS
from .document import Document


def read_toml(path: Path, name: str, day: str, by: str, today: datetime.date) -> Entry:
    """A measurements file, or a job with a table of them. The client is `name`, else whom the job is for, else the file
    is called by her; `day` is when it was measured, where the job does not say. InputErrors with every mistake."""
    document = Document.read(path)
    values, keys = document.values, ()  # type: tuple[object, tuple[str, ...]]
    table = document.values.get("measurements")
    if isinstance(table, dict):
        values, keys = table, ("measurements",)
    elif table is not None or not any(one in KINDS for one in document.values):
        raise InputErrors([InputError(
            "holds no measurements", where=Where(document.name), expected="lines such as bust_girth = 96",
            instead=f"Import {spoken(table)}, which it names" if isinstance(table, str) else "",
        )])  # fmt: skip
    assert isinstance(values, dict)
    errors: list[InputError] = []
    said, said_day = client_and_day(str(document.values.get("client", "")))
    who = name or said or path.stem
    when = day or said_day or str(document.values.get("measured", document.values.get("date", "")))
    where = Where(document.name)
    unit = next((one for one in UNITS if one == document.values.get("units")), None)
    try:
        who = name_of(who, where)
        if not when:
            raise InputError("does not say when it was measured", where=where, expected="a day",
                             instead=f"Add --date {today.isoformat()}")  # fmt: skip
        when = day_of(when, where, today)
        if unit is None:
            raise InputError(
                "the unit of its numbers is not named", where=document.where("units"), expected='"in", "cm" or "mm"',
                instead='Write units = "cm"',
            )  # fmt: skip
        known: Wearer | Literal[""] = ""
        if "wearer" in values:
            known = said_wearer(values["wearer"], document.where(*keys, "wearer"))
    except InputError as error:
        raise InputErrors([error]) from None
    lengths = {}
    for one, value in values.items():
        if one == "wearer" or (not keys and one == "units"):
            continue
        try:
            mm = length_of(one, value, unit, known, document.where(*keys, one))
            lengths[one] = Taken(mm, document.typed(value, *keys, one).strip(), when)
        except InputError as error:
            errors.append(error)
    if errors:
        raise InputErrors(errors)
    return Entry(Client(who, known, sittings=(Sitting(when, unit, by, known, lengths),)), where)
