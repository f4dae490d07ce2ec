"""Texts of pattern-data files: their bytes made readable, and `Identifier: value` taken apart (D6673-10, 4.3.1)."""

from __future__ import annotations

import re
from typing import Final

from ..values import dataclass

LONGEST_TEXT: Final = 2_000
"""Characters of a text that are kept."""
_LONGEST_KEY: Final = 60
_TAG: Final = re.compile(r"\s*#\s*(\d{1,9})\s*(?:,\s*(\d{1,9})\s*)?")
_SIGNS: Final = {"%%d": "°", "%%c": "Ø", "%%p": "±", "%%%": "%", "%%u": "", "%%o": ""}


@dataclass(frozen=True, slots=True)
class Encoding:
    """How the bytes above 127 of a file are read; `name` is "" for one that has none."""

    codec: str = "ascii"
    name: str = ""


def encoding_of(data: bytes, code_page: str = "") -> Encoding:
    """What the texts of a file are written in, judged from all of it together. The standard asks for 7-bit ASCII.

    UTF-8 if the whole file can be; else what the header's $DWGCODEPAGE says; else Chinese (GBK), where bytes above 127
    only come in pairs; else Western Europe.

    >>> encoding_of(b"FRONT").name, encoding_of("Seitennähte".encode()).name
    ('', 'UTF-8')
    >>> encoding_of("前片, 棉".encode("gbk")).name, encoding_of("première".encode("latin-1")).name
    ('GBK', 'Windows-1252')
    """
    if data.isascii():
        return Encoding()
    tries = [Encoding("utf-8", "UTF-8")]
    page = re.fullmatch(r"(?:ansi_|dos)?(\d{3,4})", code_page.strip().lower())
    if page and page[1] != "1252":
        tries.append(Encoding("gbk" if page[1] == "936" else f"cp{page[1]}", f"code page {page[1]}"))
    if all(len(run) % 2 == 0 for run in re.findall(rb"[\x80-\xff]+", data[:1_000_000])):
        tries.append(Encoding("gbk", "GBK"))
    for encoding in (*tries, Encoding("cp1252", "Windows-1252")):
        try:
            data.decode(encoding.codec)
        except (UnicodeDecodeError, LookupError):
            continue
        return encoding
    return Encoding("latin-1", "Latin-1")


def readable(raw: str, encoding: Encoding) -> str:
    """A value's text on one line. `%%d`, `%%c`, `%%p`, `\\U+00E9` are spelt out as DXF means them.

    >>> readable("90%%d \\\\U+00C9tiquette", Encoding()), readable("premi\\xe8re", Encoding("cp1252"))
    ('90° Étiquette', 'première')
    """
    text = raw[:LONGEST_TEXT]
    if not text.isascii():
        text = text.encode("latin-1").decode(encoding.codec, "replace")
    if "%%" in text:
        text = re.sub(r"%%[dcpuoDCPUO%]", lambda m: _SIGNS[m[0].lower()], text)
    if "\\U+" in text:
        text = re.sub(r"\\U\+([0-9A-Fa-f]{4})", lambda m: _character(int(m[1], 16)), text)
    return re.sub(r"[\x00-\x1f\x7f]+", " ", text).strip()


def _character(number: int) -> str:
    return "" if 0xD800 <= number < 0xE000 else chr(number)


def fact_of(text: str) -> tuple[str, str] | None:
    """Identifier in small letters and value; None if the text is not of that form.

    >>> fact_of("PIECE NAME:FRONT"), fact_of("Size: 12 "), fact_of("cut 2"), fact_of("Sample Size:")
    (('piece name', 'FRONT'), ('size', '12'), None, ('sample size', ''))
    """
    key, colon, value = text.partition(":")
    key = " ".join(key.lower().split())
    return (key, value.strip()) if colon and len(key) <= _LONGEST_KEY and key[:1].isalpha() else None


def tag_of(text: str) -> tuple[int, int | None] | None:
    """Rule and alternate rule of a tag, `# 12` or `# 12,7`; None if the text is no tag.

    >>> tag_of("# 12"), tag_of("#12, 7"), tag_of("# twelve")
    ((12, None), (12, 7), None)
    """
    match = _TAG.fullmatch(text)
    return (int(match[1]), int(match[2]) if match[2] else None) if match else None


def quantity_of(text: str) -> tuple[int | None, int | None]:
    """How many are cut as drawn, and how many mirrored; None for what is not told.

    >>> quantity_of("1,1"), quantity_of("2"), quantity_of(" 2 , 0 "), quantity_of("a pair")
    ((1, 1), (2, None), (2, 0), (None, None))
    """
    match = re.fullmatch(r"\s*(\d{1,6})\s*(?:[,;/ ]\s*(\d{1,6})\s*)?", text)
    return (int(match[1]), int(match[2]) if match[2] is not None else None) if match else (None, None)
