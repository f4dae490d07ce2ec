"""Values as a TOML text: what tomllib reads back as the same values."""

from __future__ import annotations

import datetime
import json
import re
from collections.abc import Iterator, Mapping
from typing import Final

_BARE: Final = re.compile(r"[A-Za-z0-9_-]+")


def toml_text(values: Mapping[str, object]) -> str:
    """Plain keys first, then each table with its head; tables in lists stand in the line of their key.

    >>> print(toml_text({"title": "alto 3", "style": {"long": 27, "front.dart": [1.5, True]}}), end="")
    title = "alto 3"
    <BLANKLINE>
    [style]
    long = 27
    "front.dart" = [1.5, true]
    """
    return "\n".join(_lines(values, ())).lstrip("\n") + "\n"


def _lines(values: Mapping[str, object], table: tuple[str, ...]) -> Iterator[str]:
    plain = {key: value for key, value in values.items() if not isinstance(value, Mapping)}
    if table and (plain or not values):
        yield ""
        yield f"[{'.'.join(map(_key, table))}]"
    for key, value in plain.items():
        yield f"{_key(key)} = {_value(value)}"
    for key, value in values.items():
        if isinstance(value, Mapping):
            yield from _lines(value, (*table, key))


def _key(key: str) -> str:
    return key if _BARE.fullmatch(key) else _text(key)


def _text(text: str) -> str:
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def _value(value: object) -> str:
    if isinstance(value, str):
        return _text(value)
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, (int, float)):
        return repr(value)  # inf and nan are TOML, too
    if isinstance(value, (datetime.datetime, datetime.date, datetime.time)):
        return value.isoformat()
    if isinstance(value, Mapping):
        return f"{{ {', '.join(f'{_key(key)} = {_value(own)}' for key, own in value.items())} }}" if value else "{}"
    if isinstance(value, list):
        return f"[{', '.join(map(_value, value))}]"
    raise TypeError(f"{type(value).__name__} is no value of TOML")
