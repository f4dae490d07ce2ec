"""Kinds of values on the command line, beside those of click. Every option that takes a number takes one of these."""

from __future__ import annotations

import os
import re
from pathlib import Path
from typing import Any, Final

import click

_NUMBER: Final = re.compile(r"[-+]?(?:\d{1,12}(?:[.,]\d{0,12})?|[.,]\d{1,12})(?:[eE][-+]?\d{1,2})?", re.ASCII)
_WHOLE: Final = re.compile(r"[-+]?\d{1,12}", re.ASCII)


class Number(click.FloatRange):
    """A number of a range, in plain digits: nan and infinity, which pass every comparison or none, are no numbers."""

    name = "number"
    _words = "a number"
    _spelt = _NUMBER
    _made: type[float] = float

    def __init__(self, least: float, most: float) -> None:
        super().__init__(least, most)
        self.least, self.most = least, most

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        text = str(value).strip()
        number = self._made(text.replace(",", ".")) if self._spelt.fullmatch(text) else None
        if number is None or not self.least <= number <= self.most:
            shown = repr(text if len(text) <= 40 else f"{text[:37]}...")
            self.fail(f"{shown} is not {self._words} from {self.least:,} to {self.most:,}.", param, ctx)
        return number


class Whole(Number):
    """A whole number of a range."""

    name = "whole number"
    _words = "a whole number"
    _spelt = _WHOLE
    _made = int


class Place(click.Path):
    """A file or folder to write; an empty name, as a script's empty variable gives it, is none.

    `file`: it is a file, named by its last part; the text is an example of such a name.
    """

    def __init__(self, file: str = "") -> None:
        super().__init__(path_type=Path)
        self.file = file

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        if self.file and (str(value).endswith(("/", os.sep)) or Path(value).name in ("", "..")):
            self.fail(f"{str(value)!r} is not the name of a file; write {self.file}.", param, ctx)
        if value == "":
            self.fail("the name is empty; write . for this folder.", param, ctx)
        return super().convert(value, param, ctx)


def spelt(name: str) -> bool:
    """Whether a name can be written down: an old disk may have names in letters that nobody can tell."""
    try:
        name.encode()
    except UnicodeEncodeError:
        return False
    return True
