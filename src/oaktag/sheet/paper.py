"""Sheets of paper: those that home and office printers take, and the large ones that a copy shop prints."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from ..units import Unit
from ..values import dataclass


@dataclass(frozen=True, slots=True)
class Paper:
    """A sheet, upright: width and height in mm. `tray` False: no tray holds paper of this size."""

    name: str
    words: str
    width: float
    height: float
    tray: bool = True

    @property
    def large(self) -> bool:
        """Whether it is too large for the printers that people have at home: larger than A3 and Tabloid."""
        return self.height > 450.0


_PAPERS: Final = (
    Paper("a4", "A4", 210.0, 297.0),  # ISO 216
    Paper("a3", "A3", 297.0, 420.0),  # ISO 216
    Paper("letter", "US Letter", 215.9, 279.4),  # ANSI/ASME Y14.1 size A: 8 1/2 x 11 in
    Paper("legal", "US Legal", 215.9, 355.6),  # 8 1/2 x 14 in, common practice
    Paper("tabloid", "US Tabloid", 279.4, 431.8),  # ANSI/ASME Y14.1 size B: 11 x 17 in
    # as wide as A4, as high as US Letter, to the whole millimetre: with margins of 10 mm it leaves 190 x 259 mm
    Paper("a4-letter", "A4 or US Letter", 210.0, 279.0, tray=False),
    Paper("a2", "A2", 420.0, 594.0),  # ISO 216
    Paper("a1", "A1", 594.0, 841.0),  # ISO 216
    Paper("a0", "A0", 841.0, 1189.0),  # ISO 216
)
PAPERS: Final[Mapping[str, Paper]] = MappingProxyType({paper.name: paper for paper in _PAPERS})


def usual_paper(unit: Unit) -> str:
    """The paper of whoever names none: US Letter where inches are read, else A4 (common practice, no source).

    >>> usual_paper("in"), usual_paper("cm")
    ('letter', 'a4')
    """
    return "letter" if unit == "in" else "a4"


def at_hand(paper: Paper, unit: Unit = "mm") -> Paper:
    """The paper for what lies beside the work: the usual one in place of the sheets that only a copy shop prints.

    >>> at_hand(PAPERS["a0"]).name, at_hand(PAPERS["a0"], "in").name, at_hand(PAPERS["a3"], "in").name
    ('a4', 'letter', 'a3')
    """
    return PAPERS[usual_paper(unit)] if paper.large else paper
