"""Who stands in the measurement book, as values; and how names, days and lengths are read. Millimetres."""

from __future__ import annotations

import datetime
import re
import unicodedata
from collections.abc import Mapping
from typing import Final, Literal

from ..body.measurements import (
    KINDS,
    Measurements,
    Wearer,
    carries_unit,
    kinds_of,
    measured,
    near_names,
    spoken,
)
from ..errors import InputError, InputErrors, Where
from ..model.fitted import Ask
from ..units import Unit
from ..values import dataclass, replace

LONGEST_NAME: Final = 60
LONGEST_NOTE: Final = 500
_AT_DAY: Final = re.compile(r"(?P<name>[^@]*)@(?P<day>[^@]*)")


@dataclass(frozen=True, slots=True)
class Taken:
    """One length: mm, what was typed, and the day on which the tape was really laid on (`2026-03-01`)."""

    mm: float
    typed: str
    day: str


@dataclass(frozen=True, slots=True)
class Sitting:
    """What was measured of a client on one day: by whom, in which unit plain numbers were typed, and the lengths."""

    day: str
    unit: Unit
    by: str
    wearer: Wearer | Literal[""]
    lengths: Mapping[str, Taken]

    @property
    def body(self) -> Measurements:
        return Measurements(
            {name: taken.mm for name, taken in self.lengths.items()},
            {name: taken.typed for name, taken in self.lengths.items()},
            self.wearer,
        )


@dataclass(frozen=True, slots=True)
class Fitting:
    """What was found when it was tried on."""

    day: str
    words: str


@dataclass(frozen=True, slots=True)
class Made:
    """A garment that was made for her. `sha256` is that of the job file, `version` that of the program, `measured` the
    day of the sitting it was drafted from; all three are empty for one that was written in by hand. `asks` is what the
    job had below [fitting]."""

    day: str
    garment: str
    title: str = ""
    file: str = ""
    sha256: str = ""
    version: str = ""
    measured: str = ""
    fittings: tuple[Fitting, ...] = ()
    asks: tuple[Ask, ...] = ()


@dataclass(frozen=True, slots=True)
class Client:
    """One client, her sittings and her garments, the oldest first."""

    name: str
    wearer: Wearer | Literal[""] = ""
    note: str = ""
    sittings: tuple[Sitting, ...] = ()
    made: tuple[Made, ...] = ()

    def fitted(self, number: int = 0) -> int:
        """The number, from 1, of her last garment whose job had a [fitting], or that number if that has one; else 0."""
        numbers = [number] if number else range(len(self.made), 0, -1)
        return next((k for k in numbers if self.made[k - 1].asks), 0)

    def sitting(self, day: str = "") -> Sitting | None:
        """Her last, or that of the day."""
        found = [sitting for sitting in self.sittings if day in ("", sitting.day)]
        return found[-1] if found else None


# ----------------------------------------------------------------------------------------------------- names and days


def name_of(text: str, where: Where | None = None) -> str:
    """A client's name as it is kept: blanks made one; InputError for what cannot be one.

    >>> name_of("  Rosa   of the altos ")
    'Rosa of the altos'
    """
    name = " ".join(unicodedata.normalize("NFC", text).split()) if text.isprintable() else ""
    if not any(c.isalnum() for c in name) or len(name) > LONGEST_NAME or "@" in name or not _encodes(name):
        raise InputError(
            f"{spoken(text)} cannot be a client's name", where=where,
            expected=f"a line of letters, at most {LONGEST_NAME}, without @", instead='Write "rosa"',
        )  # fmt: skip
    return name


def key_of(name: str) -> str:
    """What two names have in common that are the same to a reader.

    >>> key_of("ROSA  Quill") == key_of("rosa quill")
    True
    """
    folded = unicodedata.normalize("NFC", unicodedata.normalize("NFC", name).casefold())
    return " ".join(folded.encode("utf-8", "replace").decode("utf-8").split())


def note_of(text: str, option: str) -> str:
    """A line of words that is kept as it is."""
    words = text.strip()
    if len(words) > LONGEST_NOTE or not words.isprintable() or not _encodes(words):
        raise InputError(
            f"{spoken(text)} is too long or holds unprintable signs", where=Where(option),
            expected=f"one line of at most {LONGEST_NOTE} characters",
        )  # fmt: skip
    return words


def _encodes(text: str) -> bool:
    return text == text.encode("utf-8", "ignore").decode("utf-8")


def day_of(text: str, where: Where, today: datetime.date | None = None) -> str:
    """A day as `2026-03-01`; InputError for what is none, or lies after `today`."""
    try:
        if not re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", text):
            raise ValueError
        day = datetime.date.fromisoformat(text)
    except ValueError:
        example = "2026-03-01" if today is None else today.isoformat()
        raise InputError(
            f"{spoken(text)} is not a day", where=where, expected="year-month-day", instead=f'Write "{example}"'
        ) from None
    if today is not None and day > today:
        raise InputError(
            f"{text} is still to come", where=where, expected=f"today ({today.isoformat()}) or a day before"
        )
    return text


def client_and_day(text: str) -> tuple[str, str]:
    """What a job's `client` says: a name, and the day behind an @.

    >>> client_and_day("rosa@2026-03-01"), client_and_day("rosa")
    (('rosa', '2026-03-01'), ('rosa', ''))
    """
    match = _AT_DAY.fullmatch(text)
    return (match["name"].strip(), match["day"].strip()) if match else (text.strip(), "")


# ------------------------------------------------------------------------------------------------------------ lengths


def length_of(name: str, value: object, unit: Unit, wearer: str, where: Where) -> float:
    """One measurement in mm; InputError for a name that is none, or a length that no body has."""
    if name not in KINDS:
        near = near_names(name)
        raise InputError(
            f"{spoken(name)} is not a measurement", where=where,
            expected="" if near else f"one of {', '.join(KINDS)}",
            instead=f"Write {' or '.join(near)}" if near else "",
        )  # fmt: skip
    return measured(kinds_of(wearer)[name], value, unit, where)


def merged(before: Sitting | None, new: Sitting, *, correct: bool, where: Where) -> Sitting:
    """A sitting with what was added to it on the same day; InputErrors where that would write over what stands there,
    unless it is to `correct` it."""
    if before is None:
        return new
    errors = []
    for name, taken in new.lengths.items():
        old = before.lengths.get(name)
        if old is not None and old.mm != taken.mm and old.day == before.day and not correct:
            found = f"{name} stands in the book as {in_unit(old.typed, before.unit)}, and is now {spoken(taken.typed)}"
            errors.append(_stands(found, where))
    if before.by and new.by and before.by != new.by and not correct:
        errors.append(_stands(f"the sitting of {before.day} was measured by {spoken(before.by)}", where))
    if before.wearer and new.wearer and before.wearer != new.wearer and not correct:
        errors.append(_stands(f"the sitting of {before.day} is of a {before.wearer}, not of a {new.wearer}", where))
    if errors:
        raise InputErrors(errors)
    kept = before.lengths
    if before.unit != new.unit:
        kept = {name: replace(taken, typed=in_unit(taken.typed, before.unit)) for name, taken in kept.items()}
    return replace(new, by=new.by or before.by, wearer=new.wearer or before.wearer, lengths={**kept, **new.lengths})


def _stands(found: str, where: Where) -> InputError:
    return InputError(found, where=where, expected="the same", instead="Add --correct to write over it")


def in_unit(typed: str, unit: Unit) -> str:
    """What was typed, with its unit.

    >>> in_unit("30 1/2", "in"), in_unit("104 cm", "in")
    ('30 1/2 in', '104 cm')
    """
    return typed if carries_unit(typed) else f"{typed} {unit}"


def with_rest(new: Sitting, last: Sitting | None) -> Sitting:
    """With what was not measured anew, as it was in her last sitting; every such length keeps its day."""
    if last is None:
        return new
    rest = {
        name: taken if last.unit == new.unit else replace(taken, typed=in_unit(taken.typed, last.unit))
        for name, taken in last.lengths.items()
        if name not in new.lengths
    }
    return replace(new, lengths={**rest, **new.lengths})
