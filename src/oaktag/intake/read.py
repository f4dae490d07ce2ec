"""A drawing from elsewhere, read in its true size: SVG, DXF, or pattern data in DXF, told apart by what is in them."""

from __future__ import annotations

import re
from difflib import get_close_matches
from math import isfinite
from pathlib import Path
from typing import Final

from ..errors import InputError, OaktagError, Where
from ..exchange.model import BOUNDARY
from ..exchange.pattern_data import FileUnit, parse_pattern_data
from ..exchange.records import records_of
from ..exchange.tokens import read_bytes, tokens_of
from ..geometry.path import path_length
from ..values import replace
from . import cad, svg
from .limits import FARTHEST, MOST_BYTES, MOST_POINTS, Budget, too_many
from .model import Drawing, DrawnPath, Known
from .sewn import drawing_of

UNITS: Final = ("mm", "cm", "in")
_WHAT: Final = "a drawing: SVG, DXF, or pattern data in DXF"
_OTHERS: Final = (
    (b"\x1f\x8b", "a packed file (gzip)", "Unpack it, or save it as plain SVG"),
    (b"PK\x03\x04", "a ZIP archive", "Give the drawing that is packed in it"),
    (b"%PDF", "a PDF", "Open it in a drawing program and save it as SVG"),
    (b"%!PS", "PostScript", "Open it in a drawing program and save it as SVG"),
    (b"AC10", "a DWG drawing", "Save it as DXF"),
    (b"\x89PNG", "a picture", "Draw its lines over in a drawing program"),
    (b"\xff\xd8\xff", "a picture", "Draw its lines over in a drawing program"),
)
_BINARY: Final = b"AutoCAD Binary DXF"
_ON_ONE: Final = re.compile(rb"[\r\n][ \t]*8[ \t]*\r?\n[ \t]*1[ \t]*\r?\n")
_PIECE: Final = re.compile(rb"piece\s+name\s*:", re.IGNORECASE)


def read_drawing(
    path: Path,
    *,
    scale: float | None = None,
    known: Known | None = None,
    unit: str | None = None,
    budget: Budget | None = None,
) -> Drawing:
    """All that a file draws, mm, y up. See parse_drawing. DeviceError if the file cannot be read."""
    try:
        size = path.stat().st_size
    except (OSError, ValueError):
        size = 0  # read_bytes says why
    if size > MOST_BYTES:
        raise InputError(f"it is longer than {MOST_BYTES // 1_000_000} MB", where=Where(str(path)), expected=_WHAT)
    data = read_bytes(path, MOST_BYTES, _WHAT)
    return parse_drawing(data, str(path), scale=scale, known=known, unit=unit, budget=budget)


def parse_drawing(
    data: bytes,
    name: str,
    *,
    scale: float | None = None,
    known: Known | None = None,
    unit: str | None = None,
    budget: Budget | None = None,
) -> Drawing:
    """All that a file draws, mm, y up; `name` stands in messages.

    `scale` is how many mm a unit of the drawing is (of an SVG's viewBox), `known` one of its lines and that line's true
    length, `unit` what its numbers are in: `mm`, `cm` or `in` (of an SVG: its bare width and height, else its viewBox).
    At most one of them may be told; without them the file must tell its size: absolute width and height, $INSUNITS.
    `budget` is the work that may be done on it, if more is to be done than reading it.
    Raises InputError or InputErrors: not a drawing, damaged, too much work, recursive, its true size not told.
    """
    _judge(scale, known, unit, name)
    try:
        drawing = _parsed(data, name, scale, known, unit, budget or Budget(name))
    except OaktagError:
        raise
    except RecursionError:
        raise InputError("things lie in each other without end", where=Where(name), expected=_WHAT) from None
    except MemoryError:
        raise too_many(name, MOST_POINTS, "points, or needs more memory than there is,") from None
    except Exception as error:  # damaged files may make a library raise anything
        said = " ".join(str(error).split()).rstrip(".")[:200]
        raise InputError(
            f"it is damaged, or not what it seems ({type(error).__name__}{': ' if said else ''}{said})",
            where=Where(name), expected=_WHAT, instead="Save it again",
        ) from None  # fmt: skip
    if not (drawing.paths or drawing.texts or drawing.points):
        told = f" ({drawing.notes[0].rstrip('.')})" if drawing.notes else ""
        raise InputError(f"nothing is drawn in it{told}", where=Where(name), expected="outlines of pieces")
    return drawing


def _judge(scale: float | None, known: Known | None, unit: str | None, name: str) -> None:
    told = [key for key, value in (("--scale", scale), ("--known", known), ("--unit", unit)) if value is not None]
    if len(told) > 1:
        raise InputError(f"{' and '.join(told)} are both told", where=Where(name), instead="Give one of them")
    if scale is not None and not (isfinite(scale) and 1e-6 <= scale <= 1e6):
        raise InputError(f"the scale is {scale:g} mm a unit", where=Where(name), expected="0.000001 to 1000000")
    if known is not None and not (isfinite(known.length) and 0.1 <= known.length <= FARTHEST):
        raise InputError(
            f"the length of {known.path!r} is {known.length:g} mm", where=Where(name), expected="0.1 mm to 1 km"
        )
    if unit is not None and unit not in UNITS:
        raise InputError(f"{unit!r} is not a unit of a drawing", where=Where(name), expected="mm, cm or in")


def _parsed(
    data: bytes, name: str, scale: float | None, known: Known | None, unit: str | None, budget: Budget
) -> Drawing:
    begin = data[:1024].removeprefix(b"\xef\xbb\xbf").lstrip(b" \t\r\n")
    if not data.strip(b"\0 \t\r\n\x1a"):
        raise InputError("it is empty", where=Where(name), expected=_WHAT)
    for mark, what, instead in _OTHERS:
        if begin.startswith(mark):
            raise InputError(f"this is {what}", where=Where(name), expected=_WHAT, instead=instead)
    if begin.startswith((b"<", b"\xff\xfe<", b"\xfe\xff\0<")):
        return _svg(data, name, scale, known, unit, budget)
    if data.startswith(_BINARY):
        return _cad(data, name, scale, known, unit, budget)
    words = data[:65_536].removeprefix(b"\xef\xbb\xbf").split(None, 400)
    at = next((i for i, word in enumerate(words) if word == b"SECTION"), 0)
    if not at or words[at - 1] != b"0" or (at != 1 and words[0] != b"999"):
        raise InputError(
            "it begins neither as an SVG (<svg) nor as a DXF does (0, SECTION)", where=Where(name), expected=_WHAT
        )
    if _is_pattern_data(data, name):
        return _pattern_data(data, name, scale, known, unit)
    return _cad(data, name, scale, known, unit, budget)


def _svg(data: bytes, name: str, scale: float | None, known: Known | None, unit: str | None, budget: Budget) -> Drawing:
    drawing, sized = svg.read_svg(data, name, svg.Told(scale, unit), budget)
    if known is not None:
        factor, words, note = _measured(drawing, known)
        if sized.unit and abs(factor - 1.0) > 0.001:
            note += f" By the file's own word ({sized.unit}) it would be {known.length / factor:.4g} mm."
        drawing, _ = svg.read_svg(data, name, svg.Told(sized.mm_per_unit * factor), budget)
        return replace(drawing, unit=words, notes=(note, *(n for n in drawing.notes if "what was told" not in n)))
    if not sized.unit:
        raise svg.size_needed(drawing, sized)
    return drawing


def _cad(data: bytes, name: str, scale: float | None, known: Known | None, unit: str | None, budget: Budget) -> Drawing:
    if unit is not None:
        return cad.read_cad(data, name, cad.Told(cad.ASKED[unit], f"{unit} (as told)"), budget)[0]
    if known is not None:
        drawing, _ = cad.read_cad(data, name, cad.Told(1.0), budget)
        factor, words, note = _measured(drawing, known)
        drawing, _ = cad.read_cad(data, name, cad.Told(factor, words), budget)
        return replace(drawing, notes=(note, *drawing.notes))
    drawing, is_known = cad.read_cad(data, name, cad.Told(scale), budget)
    if not is_known:
        raise cad.unit_needed(drawing)
    return drawing


def _is_pattern_data(data: bytes, name: str) -> bool:
    """Whether a block has lines on layer 1, and either says a piece's name or has layers that are all numbers."""
    if not _ON_ONE.search(data):
        return False
    try:
        records = records_of(tokens_of(data, name))
    except OaktagError:
        return bool(_PIECE.search(data))  # damaged: let the reader say how
    blocks = [block for block in records.blocks if any(line.layer == BOUNDARY for line in block.lines)]
    return bool(blocks) and (bool(_PIECE.search(data)) or all(line.layer >= 0 for b in blocks for line in b.lines))


def _pattern_data(data: bytes, name: str, scale: float | None, known: Known | None, unit: str | None) -> Drawing:
    asked: FileUnit | None = "in" if unit == "in" else "cm" if unit == "cm" else "mm" if unit == "mm" else None
    if scale is None and known is None:
        try:
            return drawing_of(parse_pattern_data(data, name, unit=asked), name)
        except InputError as error:
            if "does not say its units" not in error.found:
                raise
            instead = error.instead.replace("Say the unit", "Give the unit with --unit")
            raise InputError(error.found, where=error.where, expected=error.expected, instead=instead) from None
    read = parse_pattern_data(data, name, unit="mm")
    # what it says of units is about mm, which nobody meant
    read = replace(read, notes=tuple(n for n in read.notes if not n.startswith(("Read in ", "The file says "))))
    factor, words, note = scale or 1.0, f"{scale or 1.0:g} mm a unit (as told)", ""
    if known is not None:
        factor, words, note = _measured(drawing_of(read, name), known)
    scaled = replace(parse_pattern_data(data, name, unit="mm", scale=factor), notes=read.notes)
    drawing = drawing_of(scaled, name, unit=words)
    return replace(drawing, notes=(note, *drawing.notes)) if note else drawing


def _measured(drawing: Drawing, known: Known) -> tuple[float, str, str]:
    """By how much a drawing must be scaled so that one of its lines is as long as is told; that in words, and a note.

    The line is looked for by its id, then by its label, then by the group that it alone lies in.
    """
    where = Where(drawing.name)
    asked = " ".join(known.path.split())
    for key in (_ids, _labels, _groups):
        meant = [path for path in drawing.paths if asked in key(path)]
        if meant:
            break
    else:
        names = sorted({n for path in drawing.paths for key in (_ids, _labels, _groups) for n in key(path) if n})
        near = get_close_matches(asked, names, 3) or names[:3]
        raise InputError(
            f"no line is called {asked!r}", where=where, expected="the id or label of a line",
            instead=f"Write {' or '.join(near)}" if near else "",
        )  # fmt: skip
    if len(meant) > 1:
        raise InputError(
            f"{len(meant)} lines are called {asked!r}", where=where, expected="one line",
            instead=f"Write {' or '.join(p.id for p in meant[:3])}" if all(p.id for p in meant[:3]) else "",
        )  # fmt: skip
    found = path_length(meant[0].curves)
    if not found > 1e-9:
        raise InputError(f"{asked} has no length", where=where, expected="a line whose length is known")
    round_it = " (all the way round)" if meant[0].closed else ""
    words = f"{asked} = {known.length:g} mm"
    note = f"The size is taken from {asked}, told to be {known.length:g} mm long{round_it}."
    return known.length / found, words, note


def _ids(path: DrawnPath) -> tuple[str, ...]:
    return (path.id,)


def _labels(path: DrawnPath) -> tuple[str, ...]:
    return (path.label,)


def _groups(path: DrawnPath) -> tuple[str, ...]:
    return path.groups[-1:]
