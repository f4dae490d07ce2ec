"""A table of any length, line by line: at most one line is held, and a bad one spoils no other.

UTF-8, with or without a mark at its start; lines end as any system ends them. `,`, `;` or a tab divides the cells. A
cell in quotes may run over a line's end (RFC 4180) where that makes the record whole; else its line is bad by itself.
"""

from __future__ import annotations

import csv
import os
import stat
from collections import deque
from collections.abc import Iterator
from pathlib import Path
from typing import BinaryIO, Final

from ..body.table import shown_path
from ..errors import InputError, Where
from ..values import dataclass

LONGEST: Final = 100_000
"""Bytes of a line, and of the lines that one record runs over; nobody types so many."""
_MOST_JOINED: Final = 50
_CHUNK: Final = 1 << 16
SEPARATORS: Final = (",", ";", "\t")
SEPARATOR_WORDS: Final = {",": "commas", ";": "semicolons", "\t": "tabs"}
AS_UTF8: Final = "Save the file as UTF-8 (in a spreadsheet: CSV UTF-8)"


@dataclass(frozen=True, slots=True)
class Record:
    """The cells of a line without the blanks around them, or what is wrong with it."""

    number: int
    """Of its first line, from 1."""
    cells: tuple[str, ...] = ()
    wrong: InputError | None = None


def opened(path: Path) -> BinaryIO:
    """The file, for reading; InputError where it is none. A pipe is refused: it may never end."""
    where = Where(shown_path(path))
    try:
        status = path.stat()
        if not stat.S_ISREG(status.st_mode):
            kind = "a directory" if stat.S_ISDIR(status.st_mode) else "not an ordinary file"
            raise InputError(f"is {kind}", where=where, expected="a table of orders (CSV)")
        return path.open("rb")
    except FileNotFoundError:
        raise InputError("no such file", where=where, expected="a table of orders (CSV)") from None
    except (OSError, ValueError) as error:  # ValueError: a null character in the path
        reason = getattr(error, "strerror", None) or "the path cannot be used"
        raise InputError(f"cannot be read: {reason}", where=where, expected="a file that you may read") from None


def raw_lines(file: BinaryIO) -> Iterator[tuple[int, bytes | None]]:
    """Each line with its number from 1, without its end; None for one that is too long to be held."""
    number, rest, over = 1, b"", False
    while chunk := file.read(_CHUNK):
        if chunk.endswith(b"\r"):  # whether a line feed follows
            chunk += file.read(1)
        parts = (rest + chunk).splitlines(keepends=True)
        rest = parts.pop() if not parts[-1].endswith((b"\n", b"\r")) else b""
        for part in parts:
            yield number, None if over or len(part) > LONGEST else part.rstrip(b"\r\n")
            number, over = number + 1, False
        if len(rest) > LONGEST:
            rest, over = b"", True
    if rest or over:
        yield number, None if over else rest


class Lines:
    """The lines of one table: the head first, then `records`."""

    def __init__(self, file: BinaryIO, name: str) -> None:
        self.name = name
        self._lines = raw_lines(file)
        self._ahead: deque[tuple[int, bytes | None]] = deque()
        self._separator = ","

    def where(self, number: int, key: str = "") -> Where:
        return Where(self.name, number, key)

    def head(self) -> tuple[int, str]:
        """The number and the text of the first line that is neither blank nor a remark. InputError for a file that is
        no text in UTF-8, or has no line."""
        first = True
        while (line := self._next()) is not None:
            number, data = line
            if first and data is not None:
                self._refuse_other_encodings(data)
                data = data.removeprefix(b"\xef\xbb\xbf")
            first = False
            text = self._text(number, data)
            if not _is_blank(text) and not text.lstrip(" \t\"'").startswith("#"):
                return number, text
        raise InputError("holds no table", where=Where(self.name), expected="a head, and a line for each order")

    def records(self, separator: str, width: int) -> Iterator[Record]:
        """Every line below the head, divided by `separator`; as many cells as the head, `width`, or wrong."""
        self._separator = separator
        while (line := self._next()) is not None:
            number, data = line
            try:
                text = self._text(number, data)
                if _is_blank(text) or _is_remark(text, separator):
                    continue
                cells = self._cells(number, text, width)
            except InputError as wrong:
                yield Record(number, wrong=wrong)
            else:
                yield Record(number, cells)

    def divided(self, number: int, text: str, separator: str) -> tuple[str, ...]:
        """The cells of one line; InputError where its quotes do not hold."""
        try:
            (cells,) = csv.reader([text], delimiter=separator, strict=True, skipinitialspace=True)
        except (csv.Error, ValueError) as error:
            if "unexpected end of data" in str(error):
                raise _Unclosed(self.where(number)) from None
            found, expected = "a quotation mark stands inside a cell", 'cells such as 30 1/2, or "30 1/2"""'
            if "field" in str(error):
                found, expected = "a cell is far too long", "a number or a few words"
            raise InputError(found, where=self.where(number), expected=expected) from None
        return tuple(cell.strip() for cell in cells)

    def _cells(self, number: int, text: str, width: int) -> tuple[str, ...]:
        try:
            cells = self.divided(number, text, self._separator)
        except _Unclosed:
            joined = self._joined(number, text, width)
            if joined is None:
                raise
            cells = joined
        last = max((k for k, cell in enumerate(cells, 1) if cell), default=0)
        if len(cells) < width or last > width:
            instead = ""
            if len(cells) == 1 and (others := [s for s in SEPARATORS if s != self._separator and s in text]):
                words = SEPARATOR_WORDS[self._separator]
                instead = f"It has {SEPARATOR_WORDS[others[0]]} between its cells, and the head has {words}"
            elif last > width and self._separator == ",":
                instead = 'If a cell has a comma in it, write it in quotes: "86,5"'
            raise InputError(
                f"has {max(last, len(cells)) if last > width else len(cells)} cells", where=self.where(number),
                expected=f"{width}, as in the head", instead=instead,
            )  # fmt: skip
        return cells[:width]

    def _joined(self, number: int, text: str, width: int) -> tuple[str, ...] | None:
        """The cells of a record that runs over several lines, which are then taken; None, and none is taken, where the
        lines up to the closing quote make no record as wide as the head."""
        ahead: list[tuple[int, bytes | None]] = []
        marks, length = text.count('"'), len(text)
        cells: tuple[str, ...] | None = None
        while marks % 2 and len(ahead) < _MOST_JOINED and length < LONGEST and (line := self._next()) is not None:
            ahead.append(line)
            try:
                more = self._text(*line)
            except InputError:
                break
            text, length, marks = f"{text}\n{more}", length + len(more), marks + more.count('"')
        if marks % 2 == 0 and ahead:
            try:
                parts = [f"{part}\n" for part in text.split("\n")]
                (found,) = csv.reader(parts, delimiter=self._separator, strict=True, skipinitialspace=True)
            except (csv.Error, ValueError):
                found = []
            if len(found) == width:
                cells = tuple(cell.strip() for cell in found)
        if cells is None:
            self._ahead.extendleft(reversed(ahead))
        return cells

    def _next(self) -> tuple[int, bytes | None] | None:
        return self._ahead.popleft() if self._ahead else next(self._lines, None)

    def _text(self, number: int, data: bytes | None) -> str:
        if data is None:
            expected = f"a line of at most {LONGEST:,} bytes"
            raise InputError("the line is far too long", where=self.where(number), expected=expected)
        if b"\0" in data:
            found = "holds a null character, so it is no text"
            raise InputError(found, where=self.where(number), expected="words and numbers", instead=AS_UTF8)
        try:
            return data.decode("utf-8")
        except UnicodeDecodeError:
            raise InputError("the text is not UTF-8", where=self.where(number), instead=AS_UTF8) from None

    def _refuse_other_encodings(self, data: bytes) -> None:
        if data.startswith((b"\xff\xfe", b"\xfe\xff")) or (b"\0" in data[:4] and data.strip(b"\0")):
            raise InputError("the text is UTF-16, not UTF-8", where=Where(self.name), instead=AS_UTF8)


class _Unclosed(InputError):  # noqa: N818 - a mistake of the table's
    def __init__(self, where: Where) -> None:
        super().__init__("a quotation mark is not closed", where=where, expected="one at each end of the cell")


def _is_blank(text: str) -> bool:
    return not text.strip(' \t,;"')


def _is_remark(text: str, separator: str) -> bool:
    """A line that begins with # and has nothing in other cells; `#12` may be the name of an order."""
    return text.lstrip(" \t\"'").startswith("#") and separator not in text.rstrip(f'{separator} \t"')


def stem_of(path: Path) -> str:
    """What lines without a name of their own are called after."""
    return os.fsencode(path.stem).decode("utf-8", "replace")
