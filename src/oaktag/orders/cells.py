"""What may stand in a cell of a spreadsheet."""

from __future__ import annotations


def cell(text: str) -> str:
    """The text as a spreadsheet shows it: one that it would take for a formula has an apostrophe before it.

    >>> cell("=1+1"), cell("alto 3")
    ("'=1+1", 'alto 3')
    """
    return f"'{text}" if text[:1] in ("=", "+", "-", "@", "\t", "\r") else text
