"""Size charts: measurements by size, those that ship and those of the maker's own; and what may be wrong with one.

A chart is a CSV: remarks (`# title: …`, `# source: …`, `# wearer: child`, `# extrapolated: 26 28`, any others), a head
`measurement,unit,<size>,<size>,…`, then one line a measurement. How those that ship were worked out: docs/charts.md.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from difflib import get_close_matches
from fractions import Fraction
from itertools import pairwise
from pathlib import Path
from types import MappingProxyType
from typing import Final, Literal

from ..errors import InputError, InputErrors, Where
from ..units import INCH, UNITS, Unit, show
from ..values import dataclass, field, replace
from .measurements import (
    KINDS,
    MeasurementKind,
    Measurements,
    Wearer,
    carries_unit,
    kinds_of,
    lacking,
    measured,
    near_names,
    spoken,
)
from .sanity import Doubt, bands_of, plausible
from .table import Line, Table, first, read_file, read_table, shown_path
from .whom import said_wearer

CHART_NAMES: Final = ("women", "women-short", "women-tall", "men", "children")
CHART_OF: Final[Mapping[str, str]] = MappingProxyType({"woman": "women", "man": "men", "child": "children"})
"""The chart in whose middle a standard figure of that wearer stands."""
MOST_SIZES: Final = 60
MOST_LINES: Final = 200  # more than there are measurements
LONGEST_SIZE: Final = 10  # characters
EXAMPLE: Final = "measurement,unit,10,12,14"
_SIZE: Final = re.compile(r"[!-+\--~]{1,10}")  # printable ASCII without blank and comma


@dataclass(frozen=True, slots=True)
class SizeChart:
    """Measurements in mm, one a size. `unit` is what the chart is printed in (that of its first line).

    `file` and `lines` say where each measurement stands, `typed` what was written there, with its unit.
    `extrapolated` are sizes that the chart itself marks as reaching beyond the people that were measured.
    """

    name: str
    title: str
    source: str
    unit: Unit
    sizes: tuple[str, ...]
    rows: Mapping[str, tuple[float, ...]]
    file: str = ""
    head: int = 0
    lines: Mapping[str, int] = field(default_factory=dict)
    typed: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    notes: tuple[str, ...] = ()
    extrapolated: tuple[str, ...] = ()
    wearer: Wearer | Literal[""] = ""
    """Whose measurements they are; "" where the chart does not say: a woman's."""

    def where(self, measurement: str = "", size: str = "") -> Where:
        """The place of a cell, a line (no size) or a column (no measurement: the head)."""
        line = self.lines.get(measurement, 0) if measurement else self.head if size else 0
        return Where(self.file or self.name, line, ".".join(filter(None, (measurement, size))))

    def body(self, size: str, where: Where | None = None) -> Measurements:
        """The measurements of one size; InputError at `where`, naming the sizes there are, for any other."""
        if size not in self.sizes:
            near = get_close_matches(size[:40], self.sizes, n=1)
            raise InputError(
                f"{spoken(size)} is not a size of {self.file or self.name}",
                where=where,
                expected=f"one of {', '.join(self.sizes)}",
                instead=f'Write "{near[0]}"' if near else "",
            )
        at = self.sizes.index(size)
        return Measurements(
            {name: row[at] for name, row in self.rows.items()},
            {name: row[at] for name, row in self.typed.items()},
            self.wearer,
        )


# ------------------------------------------------------------------------------------------------------------- reading


def load_chart(name: str, folder: Path, *, where: Where | None = None, wearer: Wearer | Literal[""] = "") -> SizeChart:
    """A chart that ships, by its name, or a CSV file: its path, from `folder`.

    A file wins: `women.csv` is the maker's if there is one, else the chart that ships. InputErrors with every mistake
    of the file; one that cannot be had is told at `where` (the line of the job that names it). The limits are
    those of `wearer` in a file that does not say whose measurements they are.
    """
    if name in CHART_NAMES:
        return shipped(name)
    path = folder / name
    if not name.strip() or not (path.suffix or path.name != name):
        near = get_close_matches(name[:60], CHART_NAMES, n=1)
        error = InputError(
            f"{spoken(name)} is not a size chart",
            where=where,
            expected=f"{', '.join(CHART_NAMES)}, or a CSV file",
            instead=f"Write {near[0]}" if near else "Write the file's name with .csv",
        )
        raise InputErrors([error])
    try:
        data = read_file(path)
    except InputError as error:
        if error.found == "no such file" and name.removesuffix(".csv") in CHART_NAMES:
            return shipped(name.removesuffix(".csv"))
        if where is not None:
            error = InputError(
                f"{spoken(name)}: {error.found}", where=where, expected=error.expected, instead=error.instead
            )
        raise InputErrors([error]) from None
    return read_chart(data, shown_path(path), wearer)


def shipped(name: str) -> SizeChart:
    """One of `CHART_NAMES`."""

    data = Path(__file__).with_name("charts").joinpath(f"{name}.csv").read_bytes()
    chart = read_chart(data, f"{name}.csv")
    return replace(chart, wearer=chart.wearer or "woman")


def read_chart(data: bytes, file: str, wearer: Wearer | Literal[""] = "") -> SizeChart:
    """The chart in a CSV; `file` is its name in messages. InputErrors with every mistake."""
    table = read_table(data, file, EXAMPLE)
    if len(table.lines) > MOST_LINES:
        found = f"has {len(table.lines)} lines below its head"
        raise InputErrors(
            [InputError(found, where=Where(file), expected=f"a line a measurement, at most {MOST_LINES}")]
        )
    errors: list[InputError] = []
    words = _words(table.remarks)
    said: Wearer | Literal[""] = ""
    if "wearer" in words:
        try:
            said = said_wearer(words["wearer"], Where(file, 0, "wearer"))
        except InputError as error:
            errors.append(error)
    sizes = _sizes(table, errors)
    kinds = kinds_of(said or wearer)
    rows: dict[str, tuple[float, ...]] = {}
    typed: dict[str, tuple[str, ...]] = {}
    lines: dict[str, int] = {}
    units: list[Unit] = []
    for line in table.lines:
        name = line.cells[0]
        where = Where(file, line.number, spoken(name)[1:-1])
        try:
            _judge_name(name, lines, where)
        except InputError as error:
            errors.append(error)
            continue
        lines[name] = line.number
        unit = _unit(line, where, errors)
        if unit is not None and sizes:
            units.append(unit)
            values = [
                _cell(table, kinds[name], line.cells[2 + at], unit, size, where, errors)
                for at, size in enumerate(sizes)
            ]
            rows[name] = tuple(values)
            cells = line.cells[2 : 2 + len(sizes)]
            typed[name] = tuple(cell if carries_unit(cell) else f"{cell} {unit}" for cell in cells)
    if not table.lines:
        errors.append(InputError("holds no measurement", where=Where(file), expected="a line for each measurement"))
    extrapolated = tuple(words.get("extrapolated", "").split())
    for size in extrapolated:
        if sizes and size not in sizes:
            found = f"marks {spoken(size)} as extrapolated, which is not one of its sizes"
            errors.append(InputError(found, where=Where(file), expected=f"some of {', '.join(sizes)}"))
    if errors:
        raise InputErrors(first(sorted(errors, key=lambda error: error.where.line if error.where else 0)))
    stem = Path(file).stem
    return SizeChart(
        name=stem,
        title=words.get("title", "") or stem.replace("-", " ").replace("_", " "),
        source=words.get("source", ""),
        unit=units[0],
        sizes=sizes,
        rows=rows,
        file=file,
        head=table.head.number,
        lines=lines,
        typed=typed,
        notes=tuple(remark for remark in table.remarks if remark and _key(remark) not in _KEYS),
        extrapolated=extrapolated,
        wearer=said,
    )


_KEYS: Final = ("title", "source", "wearer", "extrapolated")


def _key(remark: str) -> str:
    return remark.partition(":")[0].strip().lower() if ":" in remark else ""


def _words(remarks: Sequence[str]) -> dict[str, str]:
    return {_key(r): r.partition(":")[2].strip() for r in reversed(remarks) if _key(r) in _KEYS}


def _sizes(table: Table, errors: list[InputError]) -> tuple[str, ...]:
    """The sizes of the head; nothing, and a fault, if they cannot be told."""
    cells, where = table.head.cells, Where(table.file, table.head.number)
    if tuple(cell.lower() for cell in cells[:2]) != ("measurement", "unit"):
        found = f"the head begins {spoken(', '.join(cells[:2]))}"
        expected = "measurement, unit, then the sizes"
        raise InputErrors([InputError(found, where=where, expected=expected, instead=f"Write {EXAMPLE}")])
    sizes = cells[2:]
    before = len(errors)
    if not sizes:
        errors.append(InputError("the head names no size", where=where, expected=EXAMPLE))
    if len(sizes) > MOST_SIZES:
        errors.append(InputError(f"has {len(sizes)} sizes", where=where, expected=f"at most {MOST_SIZES}"))
        return ()
    for at, size in enumerate(sizes):
        if not _SIZE.fullmatch(size):
            found = f"{spoken(size)} cannot be the name of a size" if size else f"column {at + 3} of the head is blank"
            expected = f"1 to {LONGEST_SIZE} letters, digits or signs of ASCII, without blanks or commas"
            plain = re.sub(r"[^!-+\--~]", "-", size.strip())[:LONGEST_SIZE] if size else ""
            instead = f"Write {plain}" if plain.strip("-") else ""
            errors.append(InputError(found, where=where, expected=expected, instead=instead))
        elif size.lower() in (other.lower() for other in sizes[:at]):
            errors.append(InputError(f"the size {size} is given twice", where=where, expected="each size once"))
    return sizes if len(errors) == before else ()


def _judge_name(name: str, lines: Mapping[str, int], where: Where) -> None:
    if name in lines:
        raise InputError(f"{name} is given twice, first on line {lines[name]}", where=where, expected="each line once")
    if name in KINDS:
        return
    if not name:
        raise InputError("names no measurement", where=where, expected="a measurement such as bust_girth")
    near = near_names(name)
    raise InputError(
        f"{spoken(name)} is not a measurement",
        where=where,
        expected="" if near else "a measurement, such as bust_girth or back_waist_length",
        instead=f"Write {' or '.join(near)}" if near else "",
    )


def _unit(line: Line, where: Where, errors: list[InputError]) -> Unit | None:
    cell = line.cells[1].lower()
    for unit in UNITS:
        if cell == unit:
            return unit
    found = f"{spoken(line.cells[1])} is not a unit" if cell else "the unit is missing"
    errors.append(InputError(found, where=where, expected="in, cm or mm in the second column"))
    return None


def _cell(
    table: Table, kind: MeasurementKind, cell: str, unit: Unit, size: str, row: Where, errors: list[InputError]
) -> float:
    where = Where(row.file, row.line, f"{kind.name}.{size}")
    try:
        if not cell:
            raise InputError("is blank", where=where, expected=f"the {kind.words} of size {size}")
        table.refuse_decimal_comma(cell, where)
        return measured(kind, cell, unit, where)
    except InputError as error:
        errors.append(error)
        return 0.0


# ------------------------------------------------------------------------------------------------------------ checking


@dataclass(frozen=True, slots=True)
class ChartNote:
    """Something that a check of a chart found. An `error` is what a garment cannot do without, a `warning` what is
    likely a slip, an `info` what a grader will want to know. `sizes` are those it speaks of, all if empty."""

    id: str
    severity: Literal["error", "warning", "info"]
    message: str
    sizes: tuple[str, ...] = ()
    measurement: str = ""
    where: Where | None = None


def check_chart(
    chart: SizeChart,
    needs: Sequence[str] = (),
    unit: Unit | None = None,
    *,
    instead: Mapping[str, str] = MappingProxyType({}),
) -> tuple[ChartNote, ...]:
    """What may be wrong with a chart, lengths in `unit` (the chart's own, if not given).

    Measurements that are needed and missing (`instead`: what serves as well as one of them), sizes that do not grow,
    unusual proportions, and where intervals change.
    """
    unit = unit or chart.unit
    return (
        *_missing(chart, needs, instead, unit),
        *_unsteady(chart, unit),
        *_alike(chart),
        *_implausible(chart, unit),
        *_breaks(chart, unit),
        *_extrapolated(chart),
    )


def _missing(chart: SizeChart, needs: Sequence[str], instead: Mapping[str, str], unit: Unit) -> Iterator[ChartNote]:
    for kind, *others in lacking(needs, instead, chart.rows, kinds_of(chart.wearer)):
        say = f"{kind.words} is missing. Add a line {kind.name},{unit},… to the chart. {kind.how}"
        say += "".join(f" Or add {other.name},{unit},…: {other.how}" for other in others)
        yield ChartNote("chart.missing", "error", say, measurement=kind.name, where=chart.where())


def _unsteady(chart: SizeChart, unit: Unit) -> Iterator[ChartNote]:
    """Girths and widths never fall from size to size; a length or height may, all the way (larger women of one stature
    have a lower crotch), but never turns. Source: monotone nests, any textbook of grading."""
    falling = {name for name, row in chart.rows.items() if _drops(row)}
    growing = {name for name, row in chart.rows.items() if _drops(row[::-1])}
    if falling and not growing:
        say = "every size is smaller than the one before. Turn the columns round: the smallest size first."
        yield ChartNote("chart.order", "warning", say, where=chart.where(size=chart.sizes[0]))
        return
    for name in chart.rows:
        if name not in falling:
            continue
        words = kinds_of(chart.wearer)[name].words
        if name in growing or name.endswith(("_girth", "_width")):
            row = chart.rows[name]
            for at in _drops(row):
                a, b = chart.sizes[at : at + 2]
                say = (
                    f"{words} falls from size {a} ({show(row[at], unit)}) to size {b} ({show(row[at + 1], unit)})."
                    " Check both."
                )
                yield ChartNote("chart.steady", "warning", say, (a, b), name, chart.where(name, b))
        else:
            say = f"{words} falls as the sizes grow. That may be meant: check it."
            yield ChartNote("chart.falls", "info", say, (), name, chart.where(name))


def _drops(row: Sequence[float]) -> tuple[int, ...]:
    return tuple(at for at, (a, b) in enumerate(pairwise(row)) if b < a - 1e-6)


def _alike(chart: SizeChart) -> Iterator[ChartNote]:
    for at, (a, b) in enumerate(pairwise(chart.sizes)):
        if all(abs(row[at + 1] - row[at]) < 1e-6 for row in chart.rows.values()):
            say = f"size {b} is the same as size {a} in every measurement."
            yield ChartNote("chart.alike", "warning", say, (a, b), where=chart.where(size=b))


def _implausible(chart: SizeChart, unit: Unit) -> Iterator[ChartNote]:
    """The bands of `sanity`, size by size; told once for each band, with the first of its sizes."""
    doubts: dict[tuple[str, bool], list[tuple[str, Doubt]]] = {}
    for size in chart.sizes:
        for doubt in plausible(chart.body(size), unit, chart.wearer):
            doubts.setdefault((doubt.id, doubt.measured < doubt.limit), []).append((size, doubt))
    for (id_, _), found in doubts.items():
        sizes = tuple(size for size, _ in found)
        also = f" The same in size{'s' * (len(sizes) > 2)} {', '.join(sizes[1:])}." if len(sizes) > 1 else ""
        name = next(band.name for band in bands_of(chart.wearer) if band.id == id_)
        say = f"size {sizes[0]}: {found[0][1].found}{also}"
        yield ChartNote(id_, "warning", say, sizes, name, chart.where(name, sizes[0]))


ROUNDED: Final[Mapping[Unit, float]] = {"in": INCH / 16, "cm": 0.5, "mm": 0.5}
"""How far a value may lie off an even interval because it was rounded to 1/8 in or 1 mm, mm."""


def _breaks(chart: SizeChart, unit: Unit) -> Iterator[ChartNote]:
    """Where the interval from size to size changes by more than rounding does; told once for each size."""
    told: dict[int, list[str]] = {}
    for name, row in chart.rows.items():
        runs = even_runs(row, ROUNDED[chart.unit] + 1e-6)
        for (a, b), (_, c) in pairwise(runs):
            before, after = (row[b] - row[a]) / (b - a), (row[c] - row[b]) / (c - b)
            told.setdefault(b, []).append(
                f"{kinds_of(chart.wearer)[name].words} {_grown(before, unit)} → {_grown(after, unit)} {unit}"
            )
    for at in sorted(told):
        size = chart.sizes[at]
        say = f"the interval changes at size {size}: {', '.join(told[at])}."
        yield ChartNote("chart.interval", "info", say, (size,), where=chart.where(size=size))


def _grown(mm: float, unit: Unit) -> str:
    return "-" * (mm < 0) + written(abs(mm), unit)


def even_runs(row: Sequence[float], off: float) -> tuple[tuple[int, int], ...]:
    """The longest runs, first to last index, over which a row grows evenly: no value lies further than `off` from a
    straight line. A run begins where the one before it ended.

    >>> even_runs((76, 80, 84, 88, 94, 100), 0.05), even_runs((10, 10.1, 10.3, 10.4), 0.1)
    (((0, 3), (3, 5)), ((0, 3),))
    """
    runs: list[tuple[int, int]] = []
    start = 0
    while start < len(row) - 1:
        end = start + 1
        while end + 1 < len(row) and _even(row[start : end + 2], off):
            end += 1
        runs.append((start, end))
        start = end
    return tuple(runs)


def _even(values: Sequence[float], off: float) -> bool:
    """Whether a line passes every value within `off`: some slope is neither too flat nor too steep for any two."""
    pairs = [(j - i, values[j] - values[i]) for i in range(len(values)) for j in range(i + 1, len(values))]
    return max((rise - 2 * off) / run for run, rise in pairs) <= min((rise + 2 * off) / run for run, rise in pairs)


def _extrapolated(chart: SizeChart) -> Iterator[ChartNote]:
    if chart.extrapolated:
        sizes = f"size{'s' * (len(chart.extrapolated) > 1)} {', '.join(chart.extrapolated)}"
        say = f"few or none so small or so large as {sizes} were measured: the lines are drawn on, trust them less."
        yield ChartNote("chart.extrapolated", "info", say, chart.extrapolated, where=chart.where())


# ------------------------------------------------------------------------------------------------------------- writing


def written(mm: float, unit: Unit) -> str:
    """A length as it stands in a chart, without its unit: to 1/16 in, 0.05 cm or 0.5 mm.

    >>> written(876.3, "in"), written(320.675, "in"), written(880, "cm"), written(152.5, "cm"), written(152.5, "mm")
    ('34 1/2', '12 5/8', '88', '15.25', '152.5')
    """
    if unit != "in":
        halves = round(mm * 2) / 2
        return f"{halves / (10 if unit == 'cm' else 1):.2f}".rstrip("0").rstrip(".")
    whole, part = divmod(Fraction(round(mm / INCH * 16), 16), 1)
    return " ".join(str(number) for number in (whole, part) if number) or "0"


def chart_as_csv(chart: SizeChart) -> bytes:
    """The chart as a file that `read_chart` reads, in the chart's unit and to what `written` keeps."""
    remarks = [f"title: {chart.title}"]
    remarks += [f"source: {chart.source}"] if chart.source else []
    remarks += [f"wearer: {chart.wearer}"] if chart.wearer else []
    remarks += [f"extrapolated: {' '.join(chart.extrapolated)}"] if chart.extrapolated else []
    lines = [f"# {remark}" for remark in (*remarks, *chart.notes)]
    lines.append(",".join(("measurement", "unit", *chart.sizes)))
    lines += [
        ",".join((name, chart.unit, *(written(value, chart.unit) for value in row))) for name, row in chart.rows.items()
    ]
    return "\n".join([*lines, ""]).encode()
