"""Where each key of a TOML text stands: tomllib tells values alone."""

from __future__ import annotations

import re
import tomllib
from typing import Final

from ..values import dataclass


@dataclass(frozen=True, slots=True)
class Spot:
    """The line of a key or a table, from 1; and what stands behind the sign, as it was typed."""

    line: int
    raw: str = ""


_KEY: Final = re.compile(r"""[ \t]*("(?:\\.|[^"\\\n])*"|'[^'\n]*'|[A-Za-z0-9_-]+)[ \t]*""")
_PIECE: Final = re.compile(
    r'''"""(?:\\.|[^\\])*?"{3,5}|\'\'\'.*?\'{3,5}|"(?:\\.|[^"\\\n])*"|'[^'\n]*'|#[^\n]*|[\[{]|[\]}]|\n|[^"'#\[\]{}\n]+''',
    re.DOTALL,
)
_START: Final = re.compile(r"[ \t\r\n]*(\[*)")


def spots_of(text: str) -> dict[tuple[str, ...], Spot]:
    """The line of every key and table of a text that is known to be TOML; keys inside { } have the line of its key.

    >>> spots_of('units = "in"\\n[style]\\nlength = 36  # short')[("style", "length")]
    Spot(line=3, raw='36')
    """
    spots: dict[tuple[str, ...], Spot] = {}
    table: tuple[str, ...] = ()
    at, line, sound = 0, 1, True
    while sound and at < len(text):
        begin = _START.match(text, at)
        assert begin is not None  # it fits anything
        line += text.count("\n", at, begin.end())
        header = len(begin[1])
        keys, at = _keys(text, begin.end())
        if keys and header:
            table = keys
            spots.setdefault(table, Spot(line))
        end, after, sound = _rest(text, at, header)
        if keys and not header:
            spots.setdefault((*table, *keys), Spot(line, text[at + 1 : end].strip()))
            for deep in range(1, len(keys)):
                spots.setdefault((*table, *keys[:deep]), Spot(line))
        line += text.count("\n", at, after)
        at = after
    return spots


def _keys(text: str, at: int) -> tuple[tuple[str, ...], int]:
    """A key with dots in it, taken apart, and where it ends."""
    keys: list[str] = []
    while match := _KEY.match(text, at):
        keys.append(_plain(match[1]))
        at = match.end()
        if text[at : at + 1] != ".":
            break
        at += 1
    return tuple(keys), at


def _plain(text: str) -> str:
    if text[0] == "'":
        return text[1:-1]
    return str(tomllib.loads(f"key = {text}")["key"]) if text[0] == '"' else text


def _rest(text: str, at: int, depth: int) -> tuple[int, int, bool]:
    """To the end of the line, unless inside brackets: where the value ends, where the next line begins, and whether
    all between could be read."""
    end = -1
    while piece := _PIECE.match(text, at):
        at = piece.end()
        told = piece[0]
        last = told == "\n" and depth == 0
        if end < 0 and depth == 0 and (last or told[0] == "#"):
            end = piece.start()
        if last:
            return end, at, True
        if told[0] != "#":
            depth += (told in "[{") - (told in "]}")
    return end if end >= 0 else at, at, at >= len(text)
