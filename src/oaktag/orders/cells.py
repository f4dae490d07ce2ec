"""What may stand in a cell of a table that a spreadsheet opens.

A spreadsheet runs a cell that begins with `=`, `+`, `-` or `@` as a formula, and which columns there are hangs on the
machine it is opened on: where `;` or a tab divides columns, what follows one begins a cell, too.
"""

from __future__ import annotations

import re
from typing import Final

_SIGNS: Final = r"[=+\-@＝＋－−＠]"
_BEGINS: Final = re.compile(rf"(?:\A|(?<=[,;|])|(?<=[,;|][\"'\s])|(?<=\"))(?=[\"\s]*{_SIGNS})")
_CONTROL: Final = re.compile(r" *[\x00-\x1f\x7f-\x9f\u2028\u2029\ud800-\udfff]+[ \x00-\x1f]*")
LONGEST: Final = 4_000
"""Characters; a spreadsheet holds 32,767 in a cell."""


def cell(text: str) -> str:
    """The text as one line of printable signs, with an apostrophe before whatever would be run as a formula.

    >>> cell("=1+1"), cell("-5"), cell("a;=b"), cell("34 1/2"), cell("\\t=1"), cell("86-90 cm; slim")
    ("'=1+1", "'-5", "a;'=b", '34 1/2', "'=1", '86-90 cm; slim')
    """
    return _BEGINS.sub("'", one_line(text))


def one_line(text: str, longest: int = LONGEST) -> str:
    """Without control characters and ends of lines, and not endless.

    >>> one_line(" made\\r\\nof\\x00 wool ")
    'made of wool'
    """
    line = _CONTROL.sub(" ", text[: 2 * longest]).strip()
    return line if len(line) <= longest else f"{line[: longest - 3]}..."
