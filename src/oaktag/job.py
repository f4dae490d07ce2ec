"""The job file (TOML) -> Job, with the place of every mistake; all mistakes of a file are told at once."""

from __future__ import annotations

import datetime
import os
import re
import stat
import tomllib
from collections.abc import Callable, Mapping
from contextlib import suppress
from difflib import get_close_matches
from pathlib import Path
from typing import TYPE_CHECKING, Final, Protocol

from .body.measurements import (
    KINDS,
    MeasurementKind,
    Measurements,
    carries_unit,
    in_another_unit,
    lacking,
    measured,
    near_names,
    range_words,
    spoken,
    typed_length,
)
from .body.whom import not_for
from .device.profile import PLOTTED, DeviceProfile
from .device.store import device_names, find_device
from .draft.garment import GARMENT_NAMES, Style, find_garment
from .draft.options import NO_WISHES, Option, served, unknown, validated
from .errors import InputError, InputErrors, Where
from .lay.words import KEYS as CLOTH_KEYS
from .lay.words import Asked, asked_of, counted
from .model.corner_names import FINISHES
from .model.ref import parted
from .model.widths import Allowance, Station
from .sheet.paper import PAPERS, usual_paper
from .units import UNITS, Unit
from .values import dataclass, field

if TYPE_CHECKING:
    from .body.charts import SizeChart
    from .grade.rules import GradeRules
    from .intake.take_in import TakenIn
    from .model.draft import Draft

FORMATS: Final = ("dxf", "hpgl", "pdf", "svg", "cad", "cuts")
"""What may be asked for; pattern.json and the report are always written."""
USUAL_FORMATS: Final = ("dxf", "hpgl", "pdf", "svg")
LARGEST_FILE: Final = 1_000_000
MOST_KEYS: Final = 2_000
DEEPEST_KEY: Final = 50  # dots; tomllib takes a time that grows with the square of them
WIDEST_ALLOWANCE: Final = 100.0  # mm; 25 mm side seams to let out and 50 mm hems are usual (common practice, no source)
DRAWING_TABLES: Final = ("reading", "lines", "pieces", "seams", "sewing_order")
"""What is said of a drawing that stands in place of a garment: see intake/plan.py."""
_TOP_KEYS: Final = (
    "title",
    "client",
    "garment",
    "drawing",
    "units",
    "date",
    "measurements",
    "sizes",
    "style",
    "allowances",
    "corners",
    "cloth",
    "output",
    *DRAWING_TABLES,
)
_TABLES: Final = ("measurements", "sizes", "style", "allowances", "corners", "cloth", "output")
DRAWING_KEYS: Final = ("drawing", *DRAWING_TABLES)
_SIZES_KEYS: Final = ("chart", "rules", "make", "base", "stack")
_OUTPUT_KEYS: Final = (
    "formats", "paper", "tiles", "roll", "device", "printer", "sizes", "layout", "dxf_units", "dxf_flavour",
    "print_client", "lay",
)  # fmt: skip
_CLOTH_KEYS: Final = (*CLOTH_KEYS, "quantity", "match")
LAYOUTS: Final = ("nested", "apart")
"""How the sizes are drawn: all of a piece on each other, or every size by itself."""
TILES: Final = ("overlap", "butt")
"""How the pages of a tiled PDF meet: one lies on a strip of the other, or edge to edge."""
ROLLS: Final = ("split", "one-page")
"""What becomes of a roll PDF that is longer than PDF readers show: several pages, or one with a larger unit."""
DXF_UNITS: Final = ("metric", "english")
DXF_FLAVOURS: Final = ("astm", "aama")


@dataclass(frozen=True, slots=True)
class SizeSet:
    """The sizes to make, in their order; `stack` names the point on which they are nested.

    `bodies` are those of a chart, one a size. With `rules` the base alone is drafted and the others are graded from it;
    without a chart the base then has the only body.
    """

    make: tuple[str, ...]
    base: str
    bodies: Mapping[str, Measurements]
    chart: SizeChart | None = None
    rules: GradeRules | None = None
    stack: str = ""
    drawn: Mapping[str, Draft] = field(default_factory=dict)
    """A draft of each size, where the file of the pattern has them all."""


@dataclass(frozen=True, slots=True)
class Output:
    """What to write. `sizes` by format, "" for every format that is not named; an empty mapping: all sizes in all."""

    formats: tuple[str, ...] = USUAL_FORMATS
    paper: str = "a4"
    tiles: str = "overlap"
    roll: str = "split"
    print_client: bool = False
    profile: DeviceProfile = field(default_factory=lambda: find_device("roll-914"))
    """The device that is plotted or cut on, with its correction."""
    printer: DeviceProfile | None = None
    """The printer of the pages, if one is named, with its correction."""
    sizes: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    layout: str = "nested"
    dxf_units: str = "metric"
    dxf_flavour: str = "astm"
    lay: Path | None = None
    """A lay that was kept, to be written with the pattern."""

    def sizes_of(self, form: str) -> tuple[str, ...]:
        """The sizes to draw in a format; none named: all."""
        return self.sizes.get(form, self.sizes.get("", ()))


@dataclass(frozen=True, slots=True)
class ClothWords:
    """What the job says of cloth: of all of it (""), and where a kind of cloth differs; how many garments, what meets.

    `matches`: at which notch each seam meets the repeat of a stripe or check.
    """

    by_material: Mapping[str, Asked] = field(default_factory=dict)
    quantities: Mapping[str, int] = field(default_factory=dict)
    matches: Mapping[str, str] = field(default_factory=dict)

    def of(self, material: str) -> Asked:
        """For one kind of cloth."""
        return self.by_material.get(material, Asked()).over(self.by_material.get("", Asked()))


@dataclass(frozen=True, slots=True)
class Job:
    """A body or a set of sizes, one garment, and what to make of it. Lengths in mm; `unit` is the maker's.

    `body` is the one measured, or that of the base size. `allowances` hold only what the file gives, by edge ("side")
    or by piece and edge ("front.side"). `date` is empty unless the file gives one: nothing is printed that would differ
    from run to run.
    """

    path: Path
    title: str
    garment: str
    unit: Unit
    body: Measurements
    style: Style
    allowances: Mapping[str, Allowance]
    corners: Mapping[str, str] = field(default_factory=dict)
    """Corner finishes by the two edges that meet: "side/hem" or "front.side/hem"."""
    output: Output = field(default_factory=Output)
    size: str = "measured"
    date: str = ""
    sizes: SizeSet | None = None
    cloth: ClothWords = field(default_factory=ClothWords)
    drawn: Draft | None = None
    """The pattern itself, where it was drawn elsewhere and nothing is to be drafted."""
    client: str = ""
    """Whom it is for: kept in the job file, and printed only where `output.print_client` asks for it."""

    @property
    def printed_title(self) -> str:
        """What is printed on pages and pieces: the title; with the client's name where the job asks for that."""
        return f"{self.title}, {self.client}" if self.client and self.output.print_client else self.title

    @property
    def formats(self) -> tuple[str, ...]:
        return self.output.formats

    @property
    def paper(self) -> str:
        return self.output.paper

    @property
    def device(self) -> str:
        return self.output.profile.name


class GarmentWords(Protocol):
    """What a job file must know of a garment; `draft.garment.Garment` is one."""

    @property
    def name(self) -> str: ...
    @property
    def needs(self) -> Callable[[Style], tuple[str, ...]]: ...
    @property
    def instead(self) -> Mapping[str, str]: ...
    @property
    def options(self) -> tuple[Option, ...]: ...
    @property
    def edges(self) -> tuple[str, ...]: ...
    @property
    def pieces(self) -> tuple[str, ...]: ...
    @property
    def for_whom(self) -> str: ...
    @property
    def wishes(self) -> Mapping[str, str]: ...


@dataclass(frozen=True, slots=True)
class _DrawnWords:
    """What a job file must know of a drawing: the names that allowances and corners may be given for."""

    edges: tuple[str, ...]
    pieces: tuple[str, ...]
    name: str = "drawn pattern"
    options: tuple[Option, ...] = ()
    for_whom: str = ""
    instead: Mapping[str, str] = field(default_factory=dict)
    wishes: Mapping[str, str] = field(default_factory=dict)

    def needs(self, style: Style) -> tuple[str, ...]:
        """No measurements."""
        return ()


def load_job(path: str | Path, *, drawing: Path | TakenIn | None = None) -> Job:
    """The job in the file at `path`; InputErrors with every mistake in it, and in a measurements file that it names.

    `drawing` is taken in place of the one that the file names.
    """
    return read_job(path, find=find_garment, garments=GARMENT_NAMES, devices=device_names(), drawing=drawing)


def read_job(
    path: str | Path,
    *,
    find: Callable[[str], GarmentWords],
    garments: tuple[str, ...],
    devices: tuple[str, ...],
    drawing: Path | TakenIn | None = None,
) -> Job:
    """As `load_job`, with the garments and devices that are known; `find` is only asked for one of `garments`."""
    try:
        document = _Document.read(Path(path))
    except InputError as error:
        raise InputErrors([error]) from None
    reader = _Reader(document)
    job = _job(reader, Path(path), find, garments, devices, drawing)
    if job is None or reader.errors:
        raise InputErrors(reader.in_order())
    return job


# ---------------------------------------------------------------------------------------------- text -> values, places


@dataclass(frozen=True, slots=True)
class _Spot:
    line: int
    raw: str = ""


@dataclass(frozen=True, slots=True)
class _Document:
    """A TOML file that was read: its name as the maker gave it, its values, the line of each key."""

    path: Path
    name: str
    values: Mapping[str, object]
    spots: Mapping[tuple[str, ...], _Spot]

    @classmethod
    def read(cls, path: Path) -> _Document:
        name = os.fsencode(str(path)).decode("utf-8", "replace") if "\0" not in str(path) else "the path"
        text = _text_of(path, name)
        if any(part.count(".") > DEEPEST_KEY for part in re.split("[=\n]", text)):
            raise InputError("keys are nested too deeply", where=Where(name), expected="a job file")
        if text.count("=") > MOST_KEYS:
            raise InputError(f"holds more than {MOST_KEYS} keys", where=Where(name), expected="a job file")
        try:
            values = tomllib.loads(text)
        except RecursionError:
            raise InputError("lists are nested too deeply", where=Where(name), expected="a job file") from None
        except ValueError as error:
            raise _syntax_error(name, text, str(error)) from None
        return cls(path, name, values, _spots(text))

    def where(self, *keys: str) -> Where:
        """The place of a key, or of the nearest table above it that has a line of its own."""
        dotted = ".".join(spoken(key)[1:-1] for key in keys)
        for depth in range(len(keys), 0, -1):
            if keys[:depth] in self.spots:
                return Where(self.name, self.spots[keys[:depth]].line, dotted)
        return Where(self.name, 0, dotted)

    def typed(self, value: object, *keys: str) -> str:
        """What the maker wrote for a key: a text's words, or a number as it stands in the file."""
        if isinstance(value, str):
            return value
        return self.spots[keys].raw if keys in self.spots and self.spots[keys].raw else str(value)


def _text_of(path: Path, name: str) -> str:
    where = Where(name)
    try:
        status = path.stat()
        if stat.S_ISDIR(status.st_mode):
            raise InputError("is a directory", where=where, expected="a file", instead=f"Write {name}/job.toml")
        if not stat.S_ISREG(status.st_mode):
            raise InputError("is not an ordinary file", where=where, expected="a TOML file")
        if status.st_size <= LARGEST_FILE:
            with path.open("rb") as file:
                data = file.read(LARGEST_FILE + 1)
        if status.st_size > LARGEST_FILE or len(data) > LARGEST_FILE:
            found = f"is {max(status.st_size, LARGEST_FILE + 1) / 1e6:.1f} MB"
            raise InputError(found, where=where, expected="a file of at most 1 MB")
    except FileNotFoundError:
        near = _near_files(path)
        raise InputError(
            "no such file", where=where, expected="a TOML file", instead=f"Write {near}" if near else ""
        ) from None
    except (OSError, ValueError) as error:  # ValueError: a null character in the path
        reason = getattr(error, "strerror", None) or "the path cannot be used"
        raise InputError(f"cannot be read: {reason}", where=where, expected="a file that you may read") from None
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise InputError("the text is not UTF-8", where=Where(name, line), instead="Save the file as UTF-8") from None


def _near_files(path: Path) -> str:
    try:
        names = sorted(entry.name for entry in path.parent.iterdir() if entry.suffix == ".toml")
    except OSError:
        return ""
    near = get_close_matches(path.name, names, n=1)
    return str(path.parent / near[0]) if near and near[0].isprintable() else ""


_AT: Final = re.compile(r"\s*\(at (?:line (\d+), column \d+|end of document)\)$")
_BARE_LENGTH: Final = re.compile(
    r"""=\s*(\d[\d.]*(?:[\s-]+\d+/\d+|/\d+|\s*[½¼¾⅛⅜⅝⅞])?\s*(?:in|cm|mm|inches|")?)\s*(?:#.*)?$"""
)
_QUOTED_INCHES: Final = re.compile(
    r"""=\s*(?:"(\d[^"']*)(?:""|"'|"\s*in\b|'')|'(\d[^"']*)(?:''|'"|'\s*in\b))\s*(?:#.*)?$"""
)
_BARE_WORDS: Final = re.compile(r"=\s*([^\W\d][\w -]*?)\s*(?:#.*)?$")


def _syntax_error(name: str, text: str, message: str) -> InputError:
    at = _AT.search(message)
    lines = text.split("\n")
    number = int(at[1]) if at and at[1] else len(lines) if at else 0
    line = lines[number - 1].strip() if 0 < number <= len(lines) else ""
    told = _AT.sub("", message)
    if told.startswith("Exceeds the limit"):
        told = "a number has too many digits"
    if told.startswith(("Cannot overwrite a value", "Cannot declare", "Duplicate inline table key", "Cannot mutate")):
        key = line.split("=")[0].strip(" []")
        what = f"{spoken(key)[1:-1]} is given twice" if key else "a key is given twice"
        return InputError(what, where=Where(name, number), expected="each key and each table once")
    found = f"this is not TOML: {told[:1].lower()}{told[1:80]}"
    bare = (_BARE_LENGTH.search(line) or _BARE_WORDS.search(line)) if len(line) < 200 else None
    instead = ""
    inches = _QUOTED_INCHES.search(line) if len(line) < 200 else None
    if inches:  # a text in quotes, and the sign for inches after it
        text = (inches[1] or inches[2]).strip()
        instead = f"Write {spoken(line.split('=')[0].strip())[1:-1]} = {spoken(f'{text} in')}, in quotes"
    elif bare:
        quoted = bare[1].strip().rstrip('"').strip() + (" in" if bare[1].endswith('"') else "")
        instead = f"Write {spoken(line.split('=')[0].strip())[1:-1]} = {spoken(quoted)}, in quotes"
    return InputError(found, where=Where(name, number), expected="lines such as key = 38", instead=instead)


_KEY: Final = re.compile(r"""[ \t]*("(?:\\.|[^"\\\n])*"|'[^'\n]*'|[A-Za-z0-9_-]+)[ \t]*""")
_PIECE: Final = re.compile(
    r'''"""(?:\\.|[^\\])*?"{3,5}|\'\'\'.*?\'{3,5}|"(?:\\.|[^"\\\n])*"|'[^'\n]*'|#[^\n]*|[\[{]|[\]}]|\n|[^"'#\[\]{}\n]+''',
    re.DOTALL,
)


def _spots(text: str) -> dict[tuple[str, ...], _Spot]:
    """The line of every key and table of a text that is known to be TOML; keys inside { } have the line of its key."""
    spots: dict[tuple[str, ...], _Spot] = {}
    table: tuple[str, ...] = ()
    at, line, size = 0, 1, len(text)
    while at < size:
        header = 0
        while at < size and text[at] in " \t\r\n":
            line += text[at] == "\n"
            at += 1
        while at < size and text[at] == "[":
            at, header = at + 1, header + 1
        keys: list[str] = []
        while match := _KEY.match(text, at):
            keys.append(_plain_key(match[1]))
            at = match.end()
            if text[at : at + 1] != ".":
                break
            at += 1
        if keys and header:
            table = tuple(keys)
            spots.setdefault(table, _Spot(line))
        start, depth, first = at + 1, header, line
        end = -1
        while piece := _PIECE.match(text, at):  # to the end of the line, unless inside brackets
            at = piece.end()
            if piece[0][0] == "#":
                end = piece.start() if end < 0 and depth == 0 else end
                continue
            if piece[0] == "\n" and depth == 0:
                end = piece.start() if end < 0 else end
                line += 1
                break
            line += piece[0].count("\n")
            depth += (piece[0] in "[{") - (piece[0] in "]}")
        if keys and not header:
            raw = text[start : end if end >= 0 else at].strip()
            spots.setdefault((*table, *keys), _Spot(first, raw))
            for deep in range(1, len(keys)):
                spots.setdefault((*table, *keys[:deep]), _Spot(first))
        if piece is None and at < size:
            break
    return spots


def _plain_key(text: str) -> str:
    if text[0] == "'":
        return text[1:-1]
    return str(tomllib.loads(f"key = {text}")["key"]) if text[0] == '"' else text


# ------------------------------------------------------------------------------------------------------ values -> job


class _Reader:
    """Takes values out of one document and gathers every mistake."""

    def __init__(self, document: _Document) -> None:
        self.document = document
        self.errors: list[InputError] = []

    def fault(self, found: str, *keys: str, expected: str = "", instead: str = "") -> None:
        self.errors.append(InputError(found, where=self.document.where(*keys), expected=expected, instead=instead))

    def in_order(self) -> list[InputError]:
        """In the file's order, other files last."""

        def place(error: InputError) -> tuple[bool, int]:
            where = error.where or Where("")
            return where.file != self.document.name, where.line

        return sorted(self.errors, key=place)

    def words(self, key: str, *, most: int) -> str:
        """A short text, "" where there is none."""
        value = self.document.values.get(key, "")
        if not isinstance(value, str):
            self.fault(
                f"{spoken(value)} is not a text", key, expected="a text in quotes", instead=f'Write {key} = "..."'
            )
        elif len(value) > most or not value.isprintable():
            self.fault(
                f"{spoken(value)} is too long or holds unprintable signs",
                key,
                expected=f"one line of at most {most} characters",
            )
        else:
            return value.strip()
        return ""

    def table(self, key: str) -> dict[str, object]:
        """A table, empty where there is none."""
        value = self.document.values.get(key, {})
        if isinstance(value, dict):
            return value
        self.fault(
            f"{spoken(value)} is not a table", key, expected="a table", instead=f"Write [{key}] on a line of its own"
        )
        return {}

    def one_of(self, value: object, known: tuple[str, ...], kind: str, *keys: str) -> bool:
        """Whether `value` is a known word; a fault with the near ones if not."""
        if isinstance(value, str) and value in known:
            return True
        text = value if isinstance(value, str) else ""
        where = self.document.where(*keys)
        self.errors.append(unknown(f"{spoken(value)} is not a {kind}", text, known, where, quote=True))
        return False


@dataclass(frozen=True, slots=True)
class _Sheet:
    """Where the measurements stand: the document, the keys that lead to them, and the entries."""

    document: _Document
    keys: tuple[str, ...]
    entries: Mapping[str, object]
    readable: bool = True

    def where(self, name: str) -> Where:
        return self.document.where(*self.keys, name)


def _job(
    reader: _Reader,
    path: Path,
    find: Callable[[str], GarmentWords],
    garments: tuple[str, ...],
    devices: tuple[str, ...],
    drawing: Path | TakenIn | None,
) -> Job | None:
    values = reader.document.values
    for key in values:
        if key not in _TOP_KEYS:
            _unknown_key(reader, key)
    title, client, date = reader.words("title", most=120), reader.words("client", most=60), _date(reader)
    sheet = _sheet(reader)
    unit = _unit(reader, sheet)
    named = values.get("garment")
    wishes = find(named).wishes if isinstance(named, str) and named in garments else NO_WISHES
    body = _body(reader, sheet, unit, wishes)
    is_drawn = drawing is not None or "drawing" in values
    found = _drawn(reader, path, drawing, unit) if is_drawn else None
    own = found.sizes if found is not None else {}
    sizes = None
    if ("sizes" in values and (found is not None or not is_drawn)) or len(own) > 1:
        sizes = _size_set(reader, path, body, found)
    output = _output(reader, path, devices, sizes, unit)
    cloth = _cloth(reader, unit, sizes)
    corners: Mapping[str, str]
    allowances: Mapping[str, Allowance]
    style: Style = {}
    drawn: Draft | None = None
    garment: GarmentWords
    size = "measured" if sizes is None else sizes.base
    if is_drawn:
        if found is None:
            return None
        drawn, garment, allowances = found.sizes[found.base], found.words, found.allowances
        size = size if sizes is not None else found.base or size
        corners = _corners(reader, garment)
    else:
        for key in DRAWING_TABLES:
            if key in values:
                reader.fault(
                    f"[{key}] is about a drawing, and the job names none", key, instead='Write drawing = "..."'
                )
        if "garment" not in values:
            reader.fault("no garment is named", "garment", expected=" or ".join(garments), instead=_example(garments))
            return None
        if not reader.one_of(values["garment"], garments, "garment", "garment"):
            return None
        garment = find(str(values["garment"]))
        raw = reader.table("style")
        style, errors = validated(garment.options, raw, unit, lambda name: reader.document.where("style", name), wishes)
        reader.errors.extend(errors)
        allowances = _allowances(reader, garment, unit)
        corners = _corners(reader, garment)
        if sizes is not None and sizes.chart is not None:
            _missing_of_chart(reader, sizes.chart, garment, style)
            body = sizes.bodies[sizes.base]
        elif sheet.readable and ("measurements" in values or "sizes" not in values):
            _missing(reader, sheet, garment, style)
            _not_for(reader, sheet, garment, unit)
    return Job(
        path=path,
        title=title or garment.name.replace("-", " "),
        garment=garment.name,
        unit=unit,
        body=body,
        style=style,
        allowances=allowances,
        corners=corners,
        output=output,
        size=size,
        date=date,
        sizes=sizes,
        cloth=cloth,
        drawn=drawn,
        client=client,
    )


@dataclass(frozen=True, slots=True)
class _Drawn:
    """What was drawn elsewhere, in its sizes; a single one goes by its name, or by ""."""

    sizes: Mapping[str, Draft]
    base: str
    words: GarmentWords
    allowances: Mapping[str, Allowance]


def _drawn(reader: _Reader, path: Path, drawing: Path | TakenIn | None, unit: Unit) -> _Drawn | None:
    """The drawing that the job names, read and parted as its tables say; None, and faults, where that cannot be."""
    from .intake.drawn import draft_of, drafts_of
    from .intake.plan import read_plan
    from .intake.take_in import outlines_in

    values = reader.document.values
    for key in ("garment", "measurements", "style"):
        if key in values:
            reader.fault(f"{key} is given, and the pattern is drawn", key, expected="a drawing or a garment, not both")
    name = values.get("drawing", "")
    if drawing is None and (not isinstance(name, str) or not name.strip() or not name.isprintable()):
        reader.fault(f"{spoken(name)} is not a file", "drawing", expected="an SVG or DXF file beside the job")
        return None
    plan, errors = read_plan(values, reader.document.where, unit)
    reader.errors.extend(errors)
    if not plan.pieces and not errors:
        reader.fault(
            "the plan names no pieces", "pieces", expected="[pieces.NAME] for each",
            instead="Write a first plan with oaktag finish DRAWING --propose FILE",
        )  # fmt: skip
    if reader.errors:
        return None
    try:
        read, outlines = outlines_in(drawing or path.parent / str(name), plan, _rule_table(reader, path))
        draft, _ = draft_of(read, outlines, plan)
        edges = tuple(dict.fromkeys(edge.name for piece in draft.pieces for edge in piece.edges))
        words = _DrawnWords(edges, tuple(piece.name for piece in draft.pieces))
        allowances = _allowances(reader, words, unit)
        return _Drawn(drafts_of(read, outlines, plan, allowances), outlines.base, words, allowances)
    except InputErrors as errors_:
        reader.errors.extend(errors_.errors)
    except InputError as error:
        reader.errors.append(error)
    return None


def _rule_table(reader: _Reader, path: Path) -> Path | None:
    """The table of rules of pattern data (.rul) that [sizes] names."""
    table = reader.document.values.get("sizes", {})
    name = table.get("rules") if isinstance(table, dict) else None
    return path.parent / name if isinstance(name, str) and name.lower().endswith(".rul") else None


def _example(garments: tuple[str, ...]) -> str:
    return f'Write garment = "{garments[0]}"' if garments else ""


def _unknown_key(reader: _Reader, key: str) -> None:
    found = f"{spoken(key)} is not a key of a job file"
    near = get_close_matches(key[:60].lower(), _TOP_KEYS, n=1)
    if key in KINDS:
        reader.fault(
            found, key, expected=f"{key} in the table of measurements", instead="Write it below [measurements]"
        )
    elif key in _SIZES_KEYS:
        reader.fault(found, key, expected=f"{key} in the table of sizes", instead="Write it below [sizes]")
    elif "drawing" in reader.document.values and key in _reading_keys():
        reader.fault(found, key, expected=f"{key} in the table of reading", instead="Write it below [reading]")
    elif key in _OUTPUT_KEYS:
        reader.fault(found, key, expected=f"{key} in the table of output", instead="Write it below [output]")
    else:
        word = f"[{near[0]}]" if near and near[0] in _TABLES else "".join(near)
        expected = f"one of {', '.join(_TOP_KEYS)}"
        reader.fault(found, key, expected=expected, instead=f"Write {word}" if word else "")


def _reading_keys() -> tuple[str, ...]:
    from .intake.plan import READING_KEYS

    return READING_KEYS


def _date(reader: _Reader) -> str:
    value = reader.document.values.get("date", "")
    if isinstance(value, (datetime.date, datetime.time)):  # a datetime is a date
        return value.isoformat()
    return reader.words("date", most=40)


def _sheet(reader: _Reader) -> _Sheet:
    value = reader.document.values.get("measurements", {})
    if not isinstance(value, str):
        return _Sheet(
            reader.document, ("measurements",), reader.table("measurements"), readable=isinstance(value, dict)
        )
    try:
        document = _Document.read(reader.document.path.parent / value)
    except InputError as error:
        if error.where and error.where.line:
            reader.errors.append(error)
        else:  # the file itself: the place to mend is the line that names it
            found = f"{spoken(value)}: {error.found}"
            reader.fault(found, "measurements", expected=error.expected, instead=error.instead)
        return _Sheet(reader.document, ("measurements",), {}, readable=False)
    return _Sheet(document, (), {name: entry for name, entry in document.values.items() if name != "units"})


def _unit(reader: _Reader, sheet: _Sheet) -> Unit:
    """The unit of the job file; where it names none, a fault, and the unit that its measurements look like."""
    value = reader.document.values.get("units")
    for unit in UNITS:
        if value == unit:
            return unit

    def fits(unit: Unit) -> int:
        numbers = [(KINDS[name], number) for name, number in sheet.entries.items() if name in KINDS]
        return sum(_fits(kind, number, unit) for kind, number in numbers)

    likely = max(UNITS, key=fits)
    if value is None:
        found = "the unit of its numbers is not named"
        reader.fault(found, "units", expected='"in", "cm" or "mm"', instead=f'Write units = "{likely}"')
    else:
        reader.one_of(value, UNITS, "unit", "units")
    return likely


def _fits(kind: MeasurementKind, value: object, unit: Unit) -> bool:
    try:
        measured(kind, value, unit, Where(""))
    except InputError:
        return False
    return True


def _body(reader: _Reader, sheet: _Sheet, unit: Unit, wishes: Mapping[str, str]) -> Measurements:
    """All measurements that could be read; a fault for each of the others."""
    if sheet.document is not reader.document and "units" in sheet.document.values:
        inner = _Reader(sheet.document)
        unit = _unit(inner, sheet)
        reader.errors.extend(inner.errors)
    values: dict[str, float] = {}
    typed: dict[str, str] = {}
    for name, value in sheet.entries.items():
        try:
            if name not in KINDS:
                raise _unknown_measurement(name, sheet.where(name), wishes)
            values[name] = measured(KINDS[name], value, unit, sheet.where(name))
            typed[name] = sheet.document.typed(value, *sheet.keys, name)
        except InputError as error:
            reader.errors.append(error)
    return Measurements(values, typed)


def _unknown_measurement(name: str, where: Where, wishes: Mapping[str, str]) -> InputError:
    serves = served(name, tuple(KINDS), wishes)
    if serves:
        return InputError(f"{spoken(name)} is not a measurement", where=where, instead=serves)
    near = near_names(name)
    return InputError(
        f"{spoken(name)} is not a measurement",
        where=where,
        expected="" if near else f"one of {', '.join(KINDS)}",
        instead=f"Write {' or '.join(near)}" if near else "",
    )


def _missing(reader: _Reader, sheet: _Sheet, garment: GarmentWords, style: Style) -> None:
    """One fault for all measurements that the garment needs and the file does not name, not even misspelt."""
    meant = {near_names(name)[0] for name in sheet.entries if name not in KINDS and near_names(name)}
    missing = lacking(garment.needs(style), garment.instead, {*sheet.entries, *meant})
    if missing:
        count = "1 measurement that is" if len(missing) == 1 else f"{len(missing)} measurements that are"
        lines = "".join(
            f"\n  {'or ' if kind is not kinds[0] else ''}{kind.name} = ...  {kind.how}"
            for kinds in missing
            for kind in kinds
        )
        where = sheet.document.where(*sheet.keys) if sheet.keys else Where(sheet.document.name)
        found = f"a {garment.name} needs {count} not given; add{lines}"
        reader.errors.append(InputError(found, where=where))


def _not_for(reader: _Reader, sheet: _Sheet, garment: GarmentWords, unit: Unit) -> None:
    """One fault for a body that the garment is not for, in place of those for each measurement that is too small."""
    own = sheet.document.values.get("units")
    unit = next((known for known in UNITS if known == own), unit)
    values = {}
    for name, value in sheet.entries.items():
        if name in KINDS:
            with suppress(InputError):
                values[name] = typed_length(value, unit, sheet.where(name))
    refused = not_for(garment.for_whom, values, unit)
    if not refused:
        return
    small = {str(sheet.where(name)) for name, mm in values.items() if 0 < mm < KINDS[name].least}
    reader.errors[:] = [e for e in reader.errors if str(e.where) not in small]
    where = sheet.document.where(*sheet.keys) if sheet.keys else Where(sheet.document.name)
    reader.errors.append(InputError(f"{garment.name} is {refused}", where=where))


def _missing_of_chart(reader: _Reader, chart: SizeChart, garment: GarmentWords, style: Style) -> None:
    missing = lacking(garment.needs(style), garment.instead, chart.rows)
    if missing:
        count = "a measurement" if len(missing) == 1 else f"{len(missing)} measurements"
        lines = "".join(
            f"\n  {'or ' if kind is not kinds[0] else ''}{kind.name},{chart.unit},...  {kind.how}"
            for kinds in missing
            for kind in kinds
        )
        found = f"a {garment.name} needs {count} that the chart {spoken(chart.name)} does not have; add{lines}"
        reader.errors.append(InputError(found, where=reader.document.where("sizes", "chart")))


def _size_set(reader: _Reader, path: Path, body: Measurements, file: _Drawn | None) -> SizeSet | None:
    """The sizes asked for with their bodies or rules, or those that the `file` of a pattern has; nothing, and faults,
    where they cannot be told."""
    table, before = reader.table("sizes"), len(reader.errors)
    for key in table:
        if key not in _SIZES_KEYS:
            where = reader.document.where("sizes", key)
            reader.errors.append(unknown(f"{spoken(key)} is not a key of [sizes]", key, _SIZES_KEYS, where))
    measured_too = "measurements" in reader.document.values
    drawn = file is not None
    own = file.sizes if file is not None and ("rules" not in table or _rule_table(reader, path) is not None) else {}
    unchartered = "chart" not in table and ((measured_too and "rules" in table) or drawn)
    chart = None if unchartered else _chart(reader, table, path)
    rules = _rules(reader, table, path) if "rules" in table and len(own) < 2 else None
    if measured_too and "chart" in table:
        reader.fault(
            "both [measurements] and a size chart are given", "sizes", expected="one body or a chart",
            instead="Remove one of the two",
        )  # fmt: skip
    known = rules.sizes if rules is not None else chart.sizes if chart is not None else tuple(own)
    if drawn and rules is None and len(own) < 2:
        reader.fault("sizes of a drawn pattern need grade rules", "sizes", expected='rules = "rules.csv"')
    if not known or (chart is None and not measured_too and not drawn):
        return None
    make = _size_names(reader, table.get("make", list(known)), known, "sizes", "make")
    base = _base(reader, table, known, make, rules, file.base if file is not None and len(own) > 1 else "")
    stack = table.get("stack", "")
    if not isinstance(stack, str):
        reader.fault(
            f"{spoken(stack)} is not the name of a point", "sizes", "stack", expected='a point such as "underarm"'
        )
    if chart is not None:
        for size in make:
            if size not in chart.sizes:
                reader.one_of(size, chart.sizes, "size of the chart", "sizes", "rules")
    if len(reader.errors) > before or not make:
        return None
    bodies = {base: body} if chart is None else {size: chart.body(size) for size in make}
    return SizeSet(make, base, bodies, chart, rules, str(stack), own if len(own) > 1 else {})


def _chart(reader: _Reader, table: Mapping[str, object], path: Path) -> SizeChart | None:
    from .body.charts import CHART_NAMES, load_chart

    name = table.get("chart")
    if not isinstance(name, str):
        found = "no size chart is named" if name is None else f"{spoken(name)} is not the name of a chart"
        expected = f"{', '.join(CHART_NAMES)}, or a CSV file"
        reader.fault(found, "sizes", "chart", expected=expected, instead='Write chart = "women"')
        return None
    try:
        return load_chart(name, path.parent, where=reader.document.where("sizes", "chart"))
    except InputErrors as errors:
        reader.errors.extend(errors.errors)
        return None


def _rules(reader: _Reader, table: Mapping[str, object], path: Path) -> GradeRules | None:
    from .grade.rules import read_rules

    name = table["rules"]
    if not isinstance(name, str) or not name.strip():
        reader.fault(
            f"{spoken(name)} is not the name of a file", "sizes", "rules", expected="a CSV file of grade rules"
        )
        return None
    try:
        return read_rules(path.parent / name)
    except InputErrors as errors:
        reader.errors.extend(errors.errors)
    except InputError as error:
        reader.fault(f"{spoken(name)}: {error.found}", "sizes", "rules", expected=error.expected, instead=error.instead)
    return None


def _base(
    reader: _Reader,
    table: Mapping[str, object],
    known: tuple[str, ...],
    make: tuple[str, ...],
    rules: GradeRules | None,
    own: str = "",
) -> str:
    """The base that the job names, else that of the rules or of the file itself, else the middle one."""
    if not make:
        return ""
    usual = rules.base if rules is not None else own if own in make else make[len(make) // 2]
    base = table.get("base", usual)
    if not reader.one_of(base, known, "size of the chart" if rules is None else "size of the rules", "sizes", "base"):
        return ""
    if rules is not None and base != rules.base:
        reader.fault(
            f"{spoken(base)} is the base, and the rules count from {rules.base}", "sizes", "base",
            instead=f'Write base = "{rules.base}"',
        )  # fmt: skip
    elif base not in make:
        listed = ", ".join(f'"{size}"' for size in known if size in make or size == base)
        reader.fault(
            f"{spoken(base)} is the base, and is not among the sizes to make", "sizes",
            "base" if "base" in table else "make",
            expected=f"one of {', '.join(make)}" if "base" in table else "the base among them",
            instead=f"Write make = [{listed}]",
        )  # fmt: skip
    return str(base)


def _size_names(reader: _Reader, value: object, known: tuple[str, ...], *keys: str) -> tuple[str, ...]:
    """The sizes that a list names, in the order of those known; faults for the others."""
    from .body.charts import MOST_SIZES

    if not isinstance(value, list) or not value or len(value) > MOST_SIZES:
        found = f"{spoken(value)} is not a list of sizes" if not isinstance(value, list) else "names no size"
        reader.fault(found, *keys, expected="a list", instead=f'Write {keys[-1]} = ["{known[0]}"]')
        return ()
    named: list[str] = []
    for entry in value:
        name = str(entry) if isinstance(entry, int) and not isinstance(entry, bool) and str(entry) in known else entry
        if not reader.one_of(name, known, "size", *keys):
            continue
        if name in named:
            reader.fault(f"the size {spoken(name)} is named twice", *keys, expected="each size once")
        named.append(str(name))
    return tuple(size for size in known if size in named)


def _allowances(reader: _Reader, garment: GarmentWords, unit: Unit) -> Mapping[str, Allowance]:
    """Allowances in mm by "edge" or "piece.edge"; `front.side = 10` and `"front.side" = 10` mean the same.

    A list of { at = …, width = … } changes along the edge: `at` is a length from its start, or the name of a notch.
    """
    flat: list[tuple[str, object, Where]] = []
    for name, value in reader.table("allowances").items():
        if isinstance(value, dict):
            flat += [
                (f"{name}.{edge}", inner, reader.document.where("allowances", name, edge))
                for edge, inner in value.items()
            ]
        else:
            flat.append((name, value, reader.document.where("allowances", name)))
    if not flat:
        return {}  # the names are worked out when they are asked for
    wishes = garment.wishes
    known = (*garment.edges, *(f"{piece}.{edge}" for piece in garment.pieces for edge in garment.edges))
    allowances: dict[str, Allowance] = {}
    for name, value, where in flat:
        try:
            if name not in known:
                expected = f"one of {', '.join(garment.edges)}, or a piece and an edge such as {known[-1]}"
                raise unknown(
                    f"{spoken(name)} is not an edge of this garment",
                    name,
                    known,
                    where,
                    expected=expected,
                    wishes=wishes,
                )
            allowances[name] = (
                _stations(value, unit, where) if isinstance(value, list) else _allowance(value, unit, where)
            )
        except InputError as error:
            reader.errors.append(error)
    return allowances


def _stations(value: list[object], unit: Unit, where: Where) -> tuple[Station, ...]:
    """`[{ at = "zip end", width = "2 in" }, { at = "zip end", width = "1/2 in" }]`, in the order of the edge."""
    example = 'Write [{ at = "start", width = "2 in" }, { at = "zip end", width = "1/2 in" }]'
    if not 1 <= len(value) <= 50:
        raise InputError(
            f"a list of {len(value)} places is no allowance", where=where, expected="1 to 50 places", instead=example
        )
    stations: list[Station] = []
    for entry in value:
        if not isinstance(entry, dict) or set(entry) != {"at", "width"}:
            raise InputError(
                f"{spoken(entry)} is not a place with its width",
                where=where,
                expected="{ at = …, width = … }",
                instead=example,
            )
        at = entry["at"]
        place: float | str
        try:
            place = typed_length(at, unit, where)
        except InputError:
            if not isinstance(at, str) or not at.strip() or len(at) > 60:
                raise
            place = at.strip()
        stations.append(Station(place, _allowance(entry["width"], unit, where)))
    return tuple(stations)


def _corners(reader: _Reader, garment: GarmentWords) -> Mapping[str, str]:
    """Finishes by "edge/edge" or "piece.edge/edge"."""
    corners: dict[str, str] = {}
    for key, value in reader.table("corners").items():
        where = reader.document.where("corners", key)
        piece, names = parted(key)
        edges = names.split("/")
        if len(edges) != 2 or (piece and piece not in garment.pieces):
            expected = 'two edges that meet, such as "side/hem" or "front.side/hem"'
            reader.errors.append(InputError(f"{spoken(key)} is not a corner", where=where, expected=expected))
            continue
        for edge in edges:
            if edge not in garment.edges:
                found = f"{spoken(edge)} is not an edge of this garment"
                reader.errors.append(unknown(found, edge, tuple(garment.edges), where))
        if reader.one_of(value, FINISHES, "corner finish", "corners", key):
            corners[key] = str(value)
    return corners


def _allowance(value: object, unit: Unit, where: Where) -> float:
    mm = typed_length(value, unit, where)
    if 0 <= mm <= WIDEST_ALLOWANCE:
        return mm
    elsewise = "" if carries_unit(value) else in_another_unit(value, unit, 0, WIDEST_ALLOWANCE)
    raise InputError(
        f"{spoken(value)} cannot be the width of an allowance",
        where=where,
        expected=range_words(0, WIDEST_ALLOWANCE, unit),
        instead=f"Write {elsewise}" if elsewise else "",
    )


def _output(reader: _Reader, path: Path, devices: tuple[str, ...], sizes: SizeSet | None, unit: Unit) -> Output:
    table = reader.table("output")
    for key in table:
        if key not in _OUTPUT_KEYS:
            where = reader.document.where("output", key)
            reader.errors.append(unknown(f"{spoken(key)} is not a key of [output]", key, _OUTPUT_KEYS, where))
    profile = _device(reader, table, "device", path, devices)
    printer = _device(reader, table, "printer", path, devices)
    chosen = _formats(reader, table, profile)
    known = {
        "paper": ("paper", tuple(PAPERS)),
        "tiles": ("way to join tiles", TILES),
        "roll": ("way to write a long roll", ROLLS),
        "layout": ("layout", LAYOUTS),
        "dxf_units": ("unit of the DXF", DXF_UNITS),
        "dxf_flavour": ("flavour of the DXF", DXF_FLAVOURS),
    }
    words = {"paper": usual_paper(unit)} | {
        key: str(table[key])
        for key, (kind, choices) in known.items()
        if key in table and reader.one_of(table[key], choices, kind, "output", key)
    }
    picked = _picked_sizes(reader, table["sizes"], sizes) if "sizes" in table else {}
    named = table.get("print_client", False)
    if not isinstance(named, bool):
        reader.fault(
            f"{spoken(named)} is neither true nor false", "output", "print_client", expected="true or false",
            instead="Write print_client = true",
        )  # fmt: skip
    elif named and not reader.document.values.get("client"):
        reader.fault(
            "the client's name is to be printed, and none is given", "output", "print_client",
            instead='Write client = "..." at the top of the file',
        )  # fmt: skip
    return Output(
        chosen,
        profile=profile or find_device("roll-914"),
        printer=printer,
        sizes=picked,
        print_client=named is True,
        lay=_lay_file(reader, table, path),
        **words,
    )


def _lay_file(reader: _Reader, table: Mapping[str, object], path: Path) -> Path | None:
    """The kept lay that is named, beside the job; it is read once the pattern is made."""
    name = table.get("lay")
    if name is None:
        return None
    if not isinstance(name, str) or not name.strip() or not name.isprintable():
        reader.fault(f"{spoken(name)} is not a file", "output", "lay", expected='lay = "lay.json"')
        return None
    found = path.parent / name
    if not found.is_file():
        reader.fault(
            f"{spoken(name)}: no such file", "output", "lay", expected="a lay that oaktag lay has written",
            instead="Write it with oaktag lay, or remove the line",
        )  # fmt: skip
        return None
    return found


def _cloth(reader: _Reader, unit: Unit, sizes: SizeSet | None) -> ClothWords:
    """[cloth], and a table in it for each kind of cloth that differs, [cloth.lining]."""
    table = reader.table("cloth")
    by_material: dict[str, Asked] = {}
    own = {key: value for key, value in table.items() if not isinstance(value, dict) or key in ("quantity", "match")}
    rest: dict[str, Mapping[str, object]] = {
        key: value for key, value in table.items() if key not in own and isinstance(value, dict)
    }
    for name, part, keys in (("", own, _CLOTH_KEYS), *((name, part, CLOTH_KEYS) for name, part in rest.items())):
        at = ("cloth", name) if name else ("cloth",)
        for key in part:
            if key not in keys:
                where = reader.document.where(*at, key)
                reader.errors.append(unknown(f"{spoken(key)} is not a key of [{'.'.join(at)}]", key, keys, where))
        known = {key: value for key, value in part.items() if key in CLOTH_KEYS}
        try:
            by_material[name] = asked_of(known, unit, {key: reader.document.where(*at, key) for key in known})
        except InputError as error:
            reader.errors.append(error)
    quantities: dict[str, int] = {}
    asked = table.get("quantity", {})
    if isinstance(asked, int) and not isinstance(asked, bool):
        asked = {"": asked}
    if not isinstance(asked, dict) or not all(isinstance(n, int) and not isinstance(n, bool) for n in asked.values()):
        reader.fault(
            "the quantity is not a number for each size", "cloth", "quantity",
            expected='{ "10" = 2, "12" = 3 }, or a number where the job has one body',
        )  # fmt: skip
    elif asked:
        made = sizes.make if sizes is not None else ("",)
        for size in asked:
            if size not in made:
                names = ", ".join(made) if sizes is not None else "no sizes: write quantity = 2"
                reader.fault(f"size {spoken(size)} is not made by this job", "cloth", "quantity", expected=names)
        try:
            quantities = counted(asked, reader.document.where("cloth", "quantity"))
        except InputError as error:
            reader.errors.append(error)
    match = table.get("match", {})
    if not isinstance(match, dict) or not all(isinstance(notch, str) for notch in match.values()):
        reader.fault("match is not a notch for each seam", "cloth", "match", expected='{ "side seam" = "waist" }')
        match = {}
    return ClothWords(by_material, quantities, {str(seam): str(notch) for seam, notch in match.items()})


def _device(
    reader: _Reader, table: Mapping[str, object], key: str, path: Path, devices: tuple[str, ...]
) -> DeviceProfile | None:
    """The profile that a key names, by its name or by a TOML file beside the job."""
    name = table.get(key)
    if name is None:
        return None
    if not (isinstance(name, str) and name.endswith(".toml")) and not reader.one_of(
        name, devices, "device", "output", key
    ):
        return None
    try:
        profile = find_device(str(name), beside=path.parent)
    except InputErrors as errors:
        reader.errors.extend(errors.errors)
        return None
    except InputError as error:
        reader.errors.append(error)
        return None
    if (profile.language == "pdf") != (key == "printer"):
        found = f"{spoken(name)} is {profile.words}"
        other = "a printer of pages" if key == "printer" else "a plotter or a cutter"
        instead = f'Write {"printer" if key == "device" else "device"} = "{name}"'
        reader.fault(found, "output", key, expected=other, instead=instead)
        return None
    return profile


def _formats(reader: _Reader, table: Mapping[str, object], profile: DeviceProfile | None) -> tuple[str, ...]:
    """What is asked for; else the usual, with what the device takes in place of HP-GL."""
    takes = {"cad": "cad", "svg": "cuts"}.get(profile.language, "hpgl") if profile is not None else "hpgl"
    usual = tuple(takes if form == "hpgl" else form for form in USUAL_FORMATS)
    formats = table.get("formats", list(usual))
    if not isinstance(formats, list) or len(formats) > 20:
        found = f"{spoken(formats)} is not a short list of formats"
        example = formats if isinstance(formats, str) and formats in FORMATS else "pdf"
        reader.fault(found, "output", "formats", expected="a list", instead=f'Write formats = ["{example}"]')
        return ()
    chosen = tuple(
        dict.fromkeys(str(form) for form in formats if reader.one_of(form, FORMATS, "format", "output", "formats"))
    )
    if profile is not None and "hpgl" in chosen and profile.language not in PLOTTED:
        listed = ", ".join(f'"{takes if form == "hpgl" else form}"' for form in chosen)
        reader.fault(
            f'"hpgl" is asked for, and {profile.name} takes {profile.language.upper()}', "output", "formats",
            expected=f'"{takes}"', instead=f"Write formats = [{listed}]",
        )  # fmt: skip
    return chosen


def _picked_sizes(reader: _Reader, value: object, sizes: SizeSet | None) -> Mapping[str, tuple[str, ...]]:
    """`sizes = ["10"]` for all formats, or `sizes = { pdf = ["12"] }` by format."""
    if sizes is None:
        if "sizes" not in reader.document.values:
            reader.fault("sizes are picked, and the job has one body", "output", "sizes", instead="Remove the line")
        return {}
    if not isinstance(value, dict):
        return {"": _size_names(reader, value, sizes.make, "output", "sizes")}
    return {
        form: _size_names(reader, names, sizes.make, "output", "sizes", form)
        for form, names in value.items()
        if reader.one_of(form, FORMATS, "format", "output", "sizes", form)
    }
