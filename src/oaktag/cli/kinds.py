"""Kinds of values on the command line, beside those of click."""

from __future__ import annotations

from math import isfinite
from pathlib import Path
from typing import Any

import click


class Number(click.FloatRange):
    """A number of a range; nan and infinity, which pass every comparison or none, are no numbers here."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        number = super().convert(value, param, ctx)
        if not isfinite(number):
            self.fail(f"{value!r} is not a number from {self.min:g} to {self.max:g}.", param, ctx)
        return number


class Place(click.Path):
    """A file or folder to write; an empty name, as a script's empty variable gives it, is none."""

    def __init__(self) -> None:
        super().__init__(path_type=Path)

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        if value == "":
            self.fail("the name is empty; write . for this folder.", param, ctx)
        return super().convert(value, param, ctx)
