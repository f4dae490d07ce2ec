"""Texts of pattern-data files: their bytes made readable, and `Identifier: value` taken apart (D6673-10, 4.3.1)."""

from __future__ import annotations

import re
from typing import Final

LONGEST_TEXT: Final = 2_000
"""Characters of a text that are kept."""
_LONGEST_KEY: Final = 60
_TAG: Final = re.compile(r"\s*#\s*(\d{1,9})\s*(?:,\s*(\d{1,9})\s*)?")
_SIGNS: Final = {"%%d": "°", "%%c": "Ø", "%%p": "±", "%%%": "%", "%%u": "", "%%o": ""}


def readable(raw: str, code_page: str = "") -> tuple[str, str]:
    """A value's text, and the encoding that it was taken as ("" for plain ASCII).

    Files should be ASCII. Bytes above 127 are UTF-8 if they can be; else what the header's $DWGCODEPAGE says; else
    Chinese (GB 2312) where they come in the pairs of that code; else those of Western Europe.
    `%%d`, `%%c`, `%%p`, `\\U+00E9` are spelt out as DXF means them.

    >>> readable("Seitenn\\xc3\\xa4hte 90%%d"), readable("\\xc7\\xb0\\xc6\\xac"), readable("premi\\xe8re")
    (('Seitennähte 90°', 'UTF-8'), ('前片', 'GB 2312'), ('première', 'Windows-1252'))
    """
    text, taken = raw[:LONGEST_TEXT], ""
    if not text.isascii():
        text, taken = _decoded(text.encode("latin-1"), code_page)
    if "%%" in text:
        text = re.sub(r"%%[dcpuoDCPUO%]", lambda m: _SIGNS[m[0].lower()], text)
    if "\\U+" in text:
        text = re.sub(r"\\U\+([0-9A-Fa-f]{4})", lambda m: _character(int(m[1], 16)), text)
    return re.sub(r"[\x00-\x1f\x7f]+", " ", text).strip(), taken


def _decoded(data: bytes, code_page: str) -> tuple[str, str]:
    tries = [("utf-8", "UTF-8")]
    page = re.fullmatch(r"(?:ansi_|dos)?(\d{3,4})", code_page.strip().lower())
    if page and page[1] not in ("1252",):
        tries.append(({"936": "gbk", "932": "cp932", "949": "cp949", "950": "cp950"}.get(page[1], f"cp{page[1]}"),
                      f"code page {page[1]}"))  # fmt: skip
    tries += [("gb2312", "GB 2312"), ("cp1252", "Windows-1252")]
    for codec, name in tries:
        try:
            return data.decode(codec), name
        except (UnicodeDecodeError, LookupError):
            continue
    return data.decode("latin-1"), "Latin-1"


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
