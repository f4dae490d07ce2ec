"""The bytes of a DXF as pairs of group code and value.

An ASCII DXF is two lines a pair: a whole number, which says what kind of value follows, and the value. The file is
split once and group codes are looked up once for each spelling, so that millions of lines take no time to speak of.

Taken as they come: CR LF, LF or CR, blanks round codes and values, a UTF-8 byte order mark, blank lines, ^Z and other
text after EOF. Whatever leaves it open what was meant is refused, with its line.
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import Final, NoReturn

from ..errors import DeviceError, InputError, Where
from ..values import dataclass

MOST_BYTES: Final = 100_000_000
MOST_LINES: Final = 12_000_000
MOST_ENTITIES: Final = 1_000_000
LONGEST_LINE: Final = 32_767
"""Characters; the longest string of any DXF release (from memory). Texts of pattern data have 250 at most."""
OTHER_CODE: Final = 255

_CODE: Final = re.compile(r"\s*-?\d{1,4}\s*")
_OTHERS: Final = (
    (b"AutoCAD Binary DXF", "a binary DXF", "the same drawing saved as ASCII (text) DXF"),
    (b"AC10", "a DWG drawing", "the same drawing saved as ASCII DXF"),
    (b"\xff\xfe", "text in UTF-16", "the same file saved as plain ASCII"),
    (b"\xfe\xff", "text in UTF-16", "the same file saved as plain ASCII"),
    (b"%PDF", "a PDF", "a DXF"),
    (b"PK\x03\x04", "a ZIP archive", "the DXF and the rule table that are packed in it"),
    (b"\x1f\x8b", "a gzip archive", "the DXF that is packed in it"),
    (b"\x89PNG", "a picture", "a DXF"),
    (b"\xff\xd8\xff", "a picture", "a DXF"),
    (b"<", "XML or SVG text", "a DXF"),
)


@dataclass(frozen=True, slots=True)
class Tokens:
    """Pairs in the file's order, EOF not among them. Values are as written, a byte a character, blanks included.

    A code is a byte: those below 0 or above 254, which mean nothing in pattern data, are all 255. So whole runs of
    codes are compared at once, and the garbage collector has no lists of a million to walk through.
    """

    name: str
    codes: bytes
    values: tuple[str, ...]
    notes: tuple[str, ...] = ()
    has_underscores: bool = False
    """Whether a digit, an underscore and a digit follow each other anywhere: Python alone reads that as a number."""

    def where(self, index: int) -> Where:
        """The place of a value."""
        return Where(self.name, 2 * index + 2)


def read_bytes(path: Path, most: int, what: str) -> bytes:
    """A whole file. Raises InputError if it is not there or too long, DeviceError if it cannot be read."""
    where = Where(str(path))
    try:
        with path.open("rb") as file:
            data = file.read(most + 1)
    except (FileNotFoundError, IsADirectoryError, NotADirectoryError):
        found = "this is a folder" if path.is_dir() else "there is no such file"
        raise InputError(found, where=where, expected=what) from None
    except ValueError:
        raise InputError("this is no name of a file", where=where, expected=what) from None
    except OSError as error:
        raise DeviceError(f"{path}: it cannot be read ({error.strerror or error})") from None
    if len(data) > most:
        raise InputError(f"it is longer than {most // 1_000_000} MB", where=where, expected=what)
    return data


def plain_lines(data: bytes) -> list[str]:
    """The lines of a text file, a byte a character; without byte order mark and what follows the last full line.

    >>> plain_lines(bytes([0xEF, 0xBB, 0xBF]) + b"END" + bytes([13, 10, 26, 10]))
    ['END']
    """
    text = data.removeprefix(b"\xef\xbb\xbf").decode("latin-1").rstrip("\x1a\0 \t\r\n")
    if "\r" in text:
        text = text.replace("\r\r\n", "\n").replace("\r\n", "\n").replace("\r", "\n")
    return text.split("\n")


def tokens_of(data: bytes, name: str) -> Tokens:
    """All pairs up to EOF. Raises InputError with its line: not an ASCII DXF, damaged, cut short, too big."""
    where = Where(name)
    if len(data) > MOST_BYTES:
        raise InputError(f"it is longer than {MOST_BYTES // 1_000_000} MB", where=where, expected="pattern data in DXF")
    _need_dxf(data, name)
    if max(data.count(b"\n"), data.count(b"\r")) > MOST_LINES:
        raise InputError(f"it has more than {MOST_LINES} lines", where=where, expected="pattern data in DXF")
    rows = plain_lines(data)
    notes: tuple[str, ...] = ()
    if rows[-1].strip() != "EOF":
        rows, notes = _up_to_the_end(rows, name)
    elif len(rows) % 2 == 0:
        rows = rows[:-2]
    if _has_long_line(data) and len(max(rows, key=len, default="")) > LONGEST_LINE:
        line = next(i for i, row in enumerate(rows) if len(row) > LONGEST_LINE)
        raise InputError(
            f"a line is {len(rows[line])} characters long", where=Where(name, line + 1),
            expected=f"at most {LONGEST_LINE}",
        )  # fmt: skip
    spelt, values = rows[0::2], tuple(rows[1::2])
    table = _Codes()
    try:
        codes = bytes(map(table.__getitem__, spelt))
    except ValueError:
        _no_code(spelt, table, name)
    if len(codes) != len(values):
        raise InputError(
            "an odd number of lines stands before EOF", where=Where(name, len(rows) + 1),
            expected="a value for every group code", instead="Export the file again: a line is missing",
        )  # fmt: skip
    return Tokens(name, codes, values, notes, _has_underscores(data))


def _need_dxf(data: bytes, name: str) -> None:
    begin = data[:65_536].removeprefix(b"\xef\xbb\xbf")
    for mark, what, instead in _OTHERS:
        if begin.startswith(mark):
            raise InputError(
                f"this is {what}", where=Where(name), expected="pattern data in ASCII DXF", instead=f"Give {instead}"
            )
    if not begin.strip(b"\0 \t\r\n\x1a"):
        raise InputError("it is empty", where=Where(name), expected="pattern data in ASCII DXF")
    first = [line.strip() for line in plain_lines(begin)]
    at = 0
    while first[at : at + 1] == ["999"]:  # comments
        at += 2
    if first[at : at + 2] != ["0", "SECTION"]:
        raise InputError(
            "it does not begin as a DXF does", where=Where(name, at + 1), expected="0, SECTION on its first two lines",
            instead="Give a pattern-data file exported as ASCII DXF",
        )  # fmt: skip


class _Codes(dict[str, int]):
    """Group codes by their spelling, each looked into when it first comes."""

    def __missing__(self, text: str) -> int:
        if not _CODE.fullmatch(text):
            raise ValueError
        code = int(text)
        self[text] = code if 0 <= code < OTHER_CODE else OTHER_CODE
        return self[text]


def _has_long_line(data: bytes) -> bool:
    """Whether a line may be too long: one that is covers a whole window of half that length."""
    window = LONGEST_LINE // 2
    end = b"\n" if b"\n" in data else b"\r"
    return any(data.find(end, at, at + window) < 0 for at in range(0, len(data) - window, window))


def _has_underscores(data: bytes) -> bool:
    at = data.find(b"_")
    for _ in range(10_000):
        if at < 0:
            return False
        if data[at - 1 : at].isdigit() and data[at + 1 : at + 2].isdigit():
            return True
        at = data.find(b"_", at + 1)
    return True


def _up_to_the_end(rows: list[str], name: str) -> tuple[list[str], tuple[str, ...]]:
    """The lines before EOF where it is not the last of them."""
    for i in range(len(rows) - 1, 0, -1):
        if rows[i].strip() == "EOF" and rows[i - 1].strip() == "0" and i % 2:
            return rows[: i - 1], ("What stands after EOF is left out.",)
    pair = [row.strip() for row in rows[-2:]]
    if len(rows) % 2 == 0 and pair == ["0", "ENDSEC"]:
        return rows, ("EOF is missing; the last section is whole.",)
    raise InputError(
        "the file stops before EOF, so its end is missing", where=Where(name, len(rows)),
        expected="0, EOF on its last two lines", instead="Fetch or export the file again",
    )  # fmt: skip


def _no_code(spelt: list[str], table: dict[str, int], name: str) -> NoReturn:
    index = next(i for i, text in enumerate(spelt) if text not in table)
    found = spelt[index].strip()
    raise InputError(
        f"{found[:40]!r} stands where a group code is due"
        if found
        else "a blank line stands where a group code is due",
        where=Where(name, 2 * index + 1),
        expected="a whole number",
        instead="Export the file again: a line is missing, or one too many, here or shortly before",
    )
