"""What a pattern is written as: a row a format.

The job file, the command line, the writers of `writing.py` and `laying.py`, the readers of `verify` and the documents
walk `FORMATS`. Writers and readers are named as "module:function", and imported when they are called.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from importlib import import_module
from typing import Any, Final, Literal

from .device.profile import PLOTTED
from .values import dataclass


@dataclass(frozen=True, slots=True)
class Reader:
    """How `verify` reads a kind of file, and how near it must be, mm (contract: tolerances)."""

    name: str
    read: str
    """A function of the path; of one that undoes a correction itself (`corrects`) also of the correction."""
    needs: str = ""
    """A library that need not be installed; without it the file is left to the other readers."""
    limit: float = 0.05
    scale_limit: float = 0.001
    turns: tuple[int, ...] = (0, 1, 2, 3)
    short_names: bool = False
    """Whether it is pattern data: names are cut short, pieces lie on no sheet and are not turned."""
    marks: bool = False
    """Whether the reader reads marks, so that each is compared; else others do."""
    layers: bool = False
    """Whether marks are told by the layer that they are drawn on."""
    stream: bool = False
    """Whether it is a plot, read as a stream of instructions (verify/plots.py)."""
    corrects: bool = False
    facts: bool = False
    """Whether it reads what pattern data says besides lines: rows of its own follow."""
    load: float = 0.0
    """About how long it takes to load the reader's library, ms; by this and the next the files are shared out."""
    pace: float = 0.2
    """About how long a kB of the file takes to read and compare, ms."""


@dataclass(frozen=True, slots=True)
class File:
    """A file of a format. In its name {paper} stands for the job's paper."""

    name: str
    readers: tuple[Reader, ...] = ()
    of_sets: bool = False
    """Whether it is written of several sizes alone."""
    holds: Literal["", "base", "all", "asked"] = ""
    """Which sizes of a set are drawn in it, as pattern.json tells."""
    printer: Literal["", "sheets", "roll"] = ""
    """By what printer it is printed, whose correction is then drawn into it."""
    numbered: bool = False
    """Whether it may come in several: pattern-1.plt, pattern-2.plt."""
    with_base: str = ""
    """The file that it is read together with, instead of by itself."""

    def named(self, paper: str = "", number: int = 0) -> str:
        """As it is written."""
        stem, dot, ending = self.name.format(paper=paper).rpartition(".")
        return f"{stem}{f'-{number}' if number else ''}{dot}{ending}"

    def is_named(self, name: str) -> bool:
        """Whether a file is of this kind, by its name."""
        stem, _, ending = self.name.rpartition(".")
        own = re.escape(stem).replace(r"\{paper\}", r"[^.]+") + (r"(-[^.]+)?" if self.numbered else "")
        return re.fullmatch(rf"{own}\.{ending}", name) is not None


@dataclass(frozen=True, slots=True)
class Format:
    """A word that is typed, and what it stands for.

    `write` gives files from a `writing.Making` ("" for what the line itself writes of all others), `render` the bytes
    of one sheet; for a lay it is handed what of the job it `takes`, by name.
    """

    word: str
    words: str
    files: tuple[File, ...] = ()
    write: str = ""
    render: str = ""
    takes: tuple[str, ...] = ()
    lay: str = ""
    """How the name of a lay's file in it ends; "" if no lay is written in it."""
    written: Literal["always", "usually", "asked", "never"] = "asked"
    """With a pattern: whether the job asks for it or not, where it says nothing else, or only where it says so."""
    beside: bool = False
    """Whether a second process may write it."""
    device: bool = False
    """Whether it is for the job's device: laid on its sheets, with its correction."""
    languages: tuple[str, ...] = ()
    """Of the devices that take it (device/profile.py)."""
    only_those: bool = False
    """Whether it may be asked for with devices of these languages alone."""
    stitch_lines: bool = True
    of_pieces: bool = True
    """Whether it may be written of single pieces."""

    @property
    def in_job(self) -> bool:
        """Whether `formats` may name it."""
        return self.written in ("usually", "asked")

    @property
    def lay_reader(self) -> Reader | None:
        """What reads a lay's file in it back."""
        readers = self.files[-1].readers if self.lay and self.files else ()
        return readers[0] if readers else None

    def names(self, paper: str, *, several: bool) -> tuple[str, ...]:
        """Its files, of one size or of `several`, if all are written."""
        return tuple(file.named(paper) for file in self.files if several or not file.of_sets)


_EZDXF: Final = Reader("ezdxf", "verify.dxf:read_dxf", turns=(0,), short_names=True, load=150.0, pace=0.45)
_GDAL: Final = Reader(
    "GDAL", "verify.gdal:read_dxf_with_gdal", needs="pyogrio", turns=(0,), short_names=True, load=40.0
)
OWN: Final = Reader("own reader", "verify.pattern_data:read_own", turns=(0,), short_names=True, facts=True)
"""Of pattern data; it reads rule tables, too."""
_CAD: Final = Reader("ezdxf", "verify.cad:read_cad", layers=True, load=150.0, pace=0.45)
_CAD_GDAL: Final = Reader("GDAL", "verify.cad:read_cad_with_gdal", needs="pyogrio", load=40.0)
_SVG: Final = Reader("svgelements", "verify.svg:read_svg", marks=True)
_ROLL: Final = Reader("PDFium", "verify.pdf:read_pdf", marks=True, corrects=True, load=70.0, pace=1.0)
_TILES: Final = Reader("PDFium", "verify.pdf:read_tiled_pdf", marks=True, corrects=True, load=70.0, pace=1.0)
_HPGL: Final = Reader("HP-GL reader", "verify.hpgl:read_hpgl", stream=True, limit=0.06, scale_limit=0.025, pace=0.6)

FORMATS: Final = (
    Format("json", "every point, seam and check, for programs", (File("pattern.json"),), written="always"),
    Format(
        "dxf", "pattern data for a pattern room (ASTM D6673); of sizes also the grade rules and the nest",
        (
            File("pattern.dxf", (_EZDXF, _GDAL, OWN), holds="base"),
            File("pattern.rul", (OWN,), of_sets=True, with_base="pattern.dxf"),
            File("pattern-nest.dxf", (_EZDXF, _GDAL, OWN), of_sets=True, holds="all"),
            File("grade-rules.csv", of_sets=True),
        ),
        write="writing:pattern_data", written="usually", beside=True,
    ),
    Format(
        "hpgl", "a plot for a roll plotter or a cutter",
        (File("pattern.plt", (_HPGL,), numbered=True),),
        write="writing:for_device", render="export.hpgl:plot", takes=("device",), lay=".plt",
        written="usually", device=True, languages=PLOTTED, only_those=True,
    ),
    Format(
        "pdf", "pages to print and tape, and one long page for a copy shop",
        (
            File("pattern-{paper}.pdf", (_TILES,), holds="asked", printer="sheets"),
            File("pattern-roll.pdf", (_ROLL,), holds="asked", printer="roll"),
        ),
        write="writing:pages", render="export.pdf:render_roll", takes=("margin", "one_page"), lay="-roll.pdf",
        written="usually", beside=True,
    ),
    Format(
        "svg", "the drawing in millimetres, to draw on further",
        (File("pattern.svg", (_SVG,), holds="asked"),),
        write="writing:on_one_sheet", render="export.svg:render", lay=".svg", written="usually", beside=True,
    ),
    Format(
        "cad", "a general CAD drawing, a layer for each kind of line: lasers, routers",
        (File("pattern-cad.dxf", (_CAD, _CAD_GDAL), numbered=True),),
        write="writing:for_device", render="export.cad:render", takes=("device",),
        lay="-cad.dxf", device=True, languages=("cad",),
    ),
    Format(
        "cuts", "an SVG with marks and cuts in two groups: hobby cutters",
        (File("pattern-cuts.svg", (_SVG,), numbered=True),),
        write="writing:for_device", render="export.cuts_svg:render", takes=("device",),
        lay="-cuts.svg", device=True, languages=("svg",), stitch_lines=False,
    ),
    Format(
        "project", "the projection page, of a lay; of a pattern `oaktag project` writes it",
        render="export.projection:render", takes=("unit", "start"), lay="-projection.html", written="never",
    ),
    Format(
        "report", "what to read first: checks, cut list, measurements, worked steps",
        (File("report.html"),), written="always", of_pieces=False,
    ),
)  # fmt: skip


FILES: Final = tuple((row, file) for row in FORMATS for file in row.files)
"""Every kind of file with its format."""
ALWAYS: Final = tuple(row.word for row in FORMATS if row.written == "always")


def words_of(*, job: bool = False, lay: bool = False) -> tuple[str, ...]:
    """The words that may be typed: of `--only`; of `formats` in a job; of a lay."""
    if lay:
        return tuple(row.word for row in FORMATS if row.lay)
    return tuple(row.word for row in FORMATS if row.written != "never" and (row.in_job or not job))


def usual(language: str = "") -> tuple[str, ...]:
    """What is written where a job does not say it, for a device of that language; "": a plotter."""
    device = taken_by(language).word
    return tuple(device if row.device else row.word for row in FORMATS if row.written == "usually")


def taken_by(language: str) -> Format:
    """What a device of that language takes; a plot where it is none that is drawn for."""
    rows = [row for row in FORMATS if row.device]
    return next((row for row in rows if language in row.languages), rows[0])


def asked_for(words: tuple[str, ...]) -> tuple[Format, ...]:
    """Their rows, in the order of the table."""
    return tuple(row for row in FORMATS if row.word in words)


def file_of(name: str) -> File | None:
    """Of which kind a file is, by its name; None for one of none."""
    named = [file for _, file in FILES if file.name == name] or [file for _, file in FILES if file.is_named(name)]
    return named[0] if named else None


def of_pattern(name: str) -> bool:
    """Whether a name is one that only the files of a pattern are given, beside pattern.json.

    >>> of_pattern("pattern-7.plt"), of_pattern("grade-rules.csv"), of_pattern("pattern.txt"), of_pattern("front.svg")
    (True, True, False, False)
    """
    rest = [file.name for row, file in FILES if row.word != "json"]
    ours = {own.rpartition(".")[2] for own in rest if own.startswith("pattern")}
    return name in rest or re.fullmatch(rf"pattern(-[\w-]+)?\.({'|'.join(sorted(ours))})", name) is not None


def of_lay(name: str) -> bool:
    """The same of a lay, beside lay.json.

    >>> of_lay("lay-shell-cad.dxf"), of_lay("orders.html"), of_lay("lay.txt")
    (True, True, False)
    """
    ours = {"html", "pdf", *(row.lay.rpartition(".")[2] for row in FORMATS if row.lay)}
    return name == "orders.html" or re.fullmatch(rf"lay(-.+)?\.({'|'.join(sorted(ours))})", name) is not None


def function(place: str) -> Callable[..., Any]:
    """What is named as "module:function" of this package."""
    module, _, name = place.partition(":")
    found: Callable[..., Any] = getattr(import_module(f"oaktag.{module}"), name)
    return found
