"""A TOML file that a person wrote, with the place of every key; and what is wrong where it is none."""

from __future__ import annotations

import os
import re
import stat
import tomllib
from collections.abc import Mapping
from difflib import get_close_matches
from pathlib import Path
from typing import Final

from ..body.measurements import spoken
from ..errors import InputError, Where
from ..values import dataclass
from .places import Spot, spots_of

LARGEST_FILE: Final = 1_000_000
MOST_KEYS: Final = 2_000
DEEPEST_KEY: Final = 50  # dots; tomllib takes a time that grows with the square of them


@dataclass(frozen=True, slots=True)
class Document:
    """A TOML file that was read: its name as the maker gave it, its values, the line of each key."""

    path: Path
    name: str
    values: Mapping[str, object]
    spots: Mapping[tuple[str, ...], Spot]

    @classmethod
    def read(cls, path: Path) -> Document:
        name = os.fsencode(str(path)).decode("utf-8", "replace") if "\0" not in str(path) else "the path"
        text = _text_of(path, name)
        if any(part.count(".") > DEEPEST_KEY for part in re.split("[=\n]", text)):
            raise InputError("keys are nested too deeply", where=Where(name), expected="a job file")
        if text.count("=") > MOST_KEYS:
            raise InputError(f"holds more than {MOST_KEYS} keys", where=Where(name), expected="a job file")
        try:
            values = tomllib.loads(text)
        except RecursionError:
            raise InputError("lists are nested too deeply", where=Where(name), expected="a job file") from None
        except ValueError as error:
            raise _syntax_error(name, text, str(error)) from None
        return cls(path, name, values, spots_of(text))

    def where(self, *keys: str) -> Where:
        """The place of a key, or of the nearest table above it that has a line of its own."""
        dotted = ".".join(spoken(key)[1:-1] for key in keys)
        for depth in range(len(keys), 0, -1):
            if keys[:depth] in self.spots:
                return Where(self.name, self.spots[keys[:depth]].line, dotted)
        return Where(self.name, 0, dotted)

    def typed(self, value: object, *keys: str) -> str:
        """What the maker wrote for a key: a text's words, or a number as it stands in the file."""
        if isinstance(value, str):
            return value
        return self.spots[keys].raw if keys in self.spots and self.spots[keys].raw else str(value)


def _text_of(path: Path, name: str) -> str:
    where = Where(name)
    try:
        status = path.stat()
        if stat.S_ISDIR(status.st_mode):
            raise InputError("is a directory", where=where, expected="a file", instead=f"Write {name}/job.toml")
        if not stat.S_ISREG(status.st_mode):
            raise InputError("is not an ordinary file", where=where, expected="a TOML file")
        if status.st_size <= LARGEST_FILE:
            with path.open("rb") as file:
                data = file.read(LARGEST_FILE + 1)
        if status.st_size > LARGEST_FILE or len(data) > LARGEST_FILE:
            found = f"is {max(status.st_size, LARGEST_FILE + 1) / 1e6:.1f} MB"
            raise InputError(found, where=where, expected="a file of at most 1 MB")
    except FileNotFoundError:
        near = _near_files(path)
        raise InputError(
            "no such file", where=where, expected="a TOML file", instead=f"Write {near}" if near else ""
        ) from None
    except (OSError, ValueError) as error:  # ValueError: a null character in the path
        reason = getattr(error, "strerror", None) or "the path cannot be used"
        raise InputError(f"cannot be read: {reason}", where=where, expected="a file that you may read") from None
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise InputError("the text is not UTF-8", where=Where(name, line), instead="Save the file as UTF-8") from None


def _near_files(path: Path) -> str:
    try:
        names = sorted(entry.name for entry in path.parent.iterdir() if entry.suffix == ".toml")
    except OSError:
        return ""
    near = get_close_matches(path.name, names, n=1)
    return str(path.parent / near[0]) if near and near[0].isprintable() else ""


_AT: Final = re.compile(r"\s*\(at (?:line (\d+), column \d+|end of document)\)$")
_BARE_LENGTH: Final = re.compile(
    r"""=\s*(\d[\d.]*(?:[\s-]+\d+/\d+|/\d+|\s*[½¼¾⅛⅜⅝⅞])?\s*(?:in|cm|mm|inches|")?)\s*(?:#.*)?$"""
)
_QUOTED_INCHES: Final = re.compile(
    r"""=\s*(?:"(\d[^"']*)(?:""|"'|"\s*in\b|'')|'(\d[^"']*)(?:''|'"|'\s*in\b))\s*(?:#.*)?$"""
)
_BARE_WORDS: Final = re.compile(r"=\s*([^\W\d][\w -]*?)\s*(?:#.*)?$")


def _syntax_error(name: str, text: str, message: str) -> InputError:
    at = _AT.search(message)
    lines = text.split("\n")
    number = int(at[1]) if at and at[1] else len(lines) if at else 0
    line = lines[number - 1].strip() if 0 < number <= len(lines) else ""
    told = _AT.sub("", message)
    if told.startswith("Exceeds the limit"):
        told = "a number has too many digits"
    if told.startswith(("Cannot overwrite a value", "Cannot declare", "Duplicate inline table key", "Cannot mutate")):
        key = line.split("=")[0].strip(" []")
        what = f"{spoken(key)[1:-1]} is given twice" if key else "a key is given twice"
        return InputError(what, where=Where(name, number), expected="each key and each table once")
    found = f"this is not TOML: {told[:1].lower()}{told[1:80]}"
    bare = (_BARE_LENGTH.search(line) or _BARE_WORDS.search(line)) if len(line) < 200 else None
    instead = ""
    inches = _QUOTED_INCHES.search(line) if len(line) < 200 else None
    if inches:  # a text in quotes, and the sign for inches after it
        text = (inches[1] or inches[2]).strip()
        instead = f"Write {spoken(line.split('=')[0].strip())[1:-1]} = {spoken(f'{text} in')}, in quotes"
    elif bare:
        quoted = bare[1].strip().rstrip('"').strip() + (" in" if bare[1].endswith('"') else "")
        instead = f"Write {spoken(line.split('=')[0].strip())[1:-1]} = {spoken(quoted)}, in quotes"
    return InputError(found, where=Where(name, number), expected="lines such as key = 38", instead=instead)
