"""Sheets of paper that home and office printers take."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final


@dataclass(frozen=True, slots=True)
class Paper:
    """A sheet, upright: width and height in mm."""

    name: str
    words: str
    width: float
    height: float


_PAPERS: Final = (
    Paper("a4", "A4", 210.0, 297.0),  # ISO 216
    Paper("a3", "A3", 297.0, 420.0),  # ISO 216
    Paper("letter", "US Letter", 215.9, 279.4),  # ANSI/ASME Y14.1 size A: 8 1/2 x 11 in
    Paper("legal", "US Legal", 215.9, 355.6),  # 8 1/2 x 14 in, common practice
    Paper("tabloid", "US Tabloid", 279.4, 431.8),  # ANSI/ASME Y14.1 size B: 11 x 17 in
)
PAPERS: Final[Mapping[str, Paper]] = MappingProxyType({paper.name: paper for paper in _PAPERS})
