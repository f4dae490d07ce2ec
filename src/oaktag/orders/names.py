"""The name of an order: what its folder is called. Letters, figures, - and _, so that every system keeps it alike."""

from __future__ import annotations

import re
import sqlite3
import unicodedata
from typing import Final

from ..body.measurements import spoken
from ..errors import DeviceError, InputError, Where

LONGEST: Final = 60
_MOST_BYTES: Final = 180
"""Of a folder's name; file systems take 255, and files of a name of their own lie beside it."""
_KEPT: Final = re.compile(r"(?i)con|prn|aux|nul|com[0-9¹²³]|lpt[0-9¹²³]")
"""What some systems keep for devices (Microsoft, Naming Files, Paths, and Namespaces)."""
_LEADS_AWAY: Final = re.compile(r"(?:\A|[/\\])\s*\.+\s*(?:[/\\]|\Z)|\A\s*[/\\~]|\A\s*[A-Za-z]:")


def folder_name(text: str, other: str = "order") -> str:
    """The text as the name of a folder; `other` where nothing is left of it.

    >>> folder_name("alto 3"), folder_name("No. 12/2026"), folder_name("con"), folder_name("..."), folder_name("Adé")
    ('alto-3', 'No-12-2026', 'con-order', 'order', 'Adé')
    """
    kept = "".join(c if c.isalnum() or c == "_" else "-" for c in unicodedata.normalize("NFC", text))
    name = re.sub("-{2,}", "-", kept).strip("-")[:LONGEST]
    while len(name.encode("utf-8", "replace")) > _MOST_BYTES:
        name = name[:-1]
    name = name.strip("-")
    if not any(c.isalnum() for c in name):
        return other
    return f"{name}-order" if _KEPT.fullmatch(name) else name


def order_name(text: str, where: Where) -> str:
    """The name that a maker gave an order, as a folder's; InputError for what leads elsewhere, or can be none."""
    expected, instead = f"at most {LONGEST} letters and figures", 'Write a name such as "alto-3"'
    if not text.isprintable():
        found = f"{spoken(text)} holds signs that cannot be printed"
    elif _LEADS_AWAY.search(text):
        found = f"{spoken(text)} is a path, and the name of an order is a folder's"
    elif len(text) > LONGEST or len(text.encode("utf-8", "replace")) > _MOST_BYTES:
        found = f"{spoken(text)} is too long for the name of an order"
    elif not any(c.isalnum() for c in text):
        found = f"{spoken(text)} cannot be the name of an order"
    elif _KEPT.fullmatch(re.split(r"[.\s]", text.strip())[0]):
        found, instead = (
            f"{spoken(text)} is a name that some systems keep for themselves",
            f'Write "order-{text.strip()}"',
        )
    else:
        return folder_name(text)
    raise InputError(found, where=where, expected=expected, instead=instead)


class Taken:
    """The names of a batch; a million of them lie in a file of the system's own, which goes by itself."""

    def __init__(self) -> None:
        self._db = sqlite3.connect("", isolation_level=None, check_same_thread=False)
        self._db.execute("PRAGMA journal_mode=OFF")
        self._db.execute("PRAGMA synchronous=OFF")
        self._db.execute("CREATE TABLE name (name TEXT PRIMARY KEY) WITHOUT ROWID")
        self._db.execute("BEGIN")

    def close(self) -> None:
        self._db.close()

    def own(self, name: str, line: int) -> str:
        """The name, where no order before has it (upper and lower case are one on some systems); else with the line
        behind it, 0: of none, or another number."""
        tried, number = name, line or 2
        while not self._new(tried):
            tried, number = f"{name}-{number}", number + 1
        return tried

    def _new(self, name: str) -> bool:
        try:
            return self._db.execute("INSERT OR IGNORE INTO name VALUES (?)", (name.casefold(),)).rowcount == 1
        except sqlite3.Error as error:
            raise DeviceError(f"the names of the orders cannot be kept in the temporary folder: {error}.") from None
