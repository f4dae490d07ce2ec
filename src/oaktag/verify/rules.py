"""Base size and grade rule table together: do they give every size that pattern.json has?

The base is read from pattern.dxf, the rules from the table beside it, and exchange.graded makes the sizes, as whoever
receives the two files does.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Final

from ..errors import InputError, InputErrors, OaktagError
from ..exchange.graded import grade_boundary, grade_line, grade_point
from ..exchange.model import (
    BOUNDARY,
    CURVE,
    DRILL,
    GRADE,
    GRAIN,
    INTERNAL,
    STITCH,
    TURN,
    LineData,
    PieceData,
    StyleData,
)
from ..exchange.rule_table import RuleTable, read_rule_table
from ..geometry.point import XY, distance
from ..values import dataclass
from .compare import Lines, Placement, fits_of, measured
from .drawing import Named, Run, UnreadableError
from .expected import Expected, Meant, pieces_named, sizes_by_word
from .marks import Marks
from .pattern_data import READER, data_of
from .rows import Row

RULED: Final = {"metric": 0.0052, "english": 0.0015}
"""mm in x and in y, for the move of a point that carries a rule: half a step of the table (0.01 mm; 0.0001 in), and
0.0002 mm for the roundings of pattern.json (a point of the base, one of the size, its shift: 0.00005 mm each)."""
LINES: Final = 0.06
"""mm, for whole lines: between rules the sizes are good to 0.05 mm, and the table's own roundings are added."""
_AT: Final = 0.011
"""mm: a point of the file and one of pattern.json this near are the same."""
_AGAIN: Final = "Write it again with oaktag make"


def rule_rows(dxf: Path, rul: Path, meant: Meant) -> Iterator[Row]:
    """Two rows for every size of each piece of the base file: at points with a rule, and all its lines and marks.

    Nothing where the file names no table and none lies beside it, nor for a file that cannot be read: that is told
    elsewhere.
    """
    try:
        data = data_of(dxf)
    except UnreadableError:
        return
    held = meant.drawn.get(dxf.name)
    if held and len(held.sizes) == 1 < len(meant.sizes) and not data.style.rule_table:
        said = f"{dxf.name} names no grade rule table, so that whoever gets it can make one size alone. {_AGAIN}"
        yield _row(dxf.name, "grade rule table", None, LINES, said)
        return
    if not rul.exists():
        if data.style.rule_table:
            said = (
                f"{dxf.name} names the grade rule table {data.style.rule_table!r}, and there is no {rul.name} beside "
                "it. Without it only the base size can be made: keep both files together, or write them again with "
                "oaktag make"
            )
            yield _row(rul.name, "the file", None, LINES, said)
        return
    try:
        table = read_rule_table(rul, units=data.style.units)
    except (InputError, InputErrors) as error:
        first = str(error).splitlines()[0].replace(str(rul), rul.name)
        yield _row(rul.name, "the file", None, LINES, f"{rul.name} cannot be read: {first.rstrip('.')}. {_AGAIN}")
        return
    named = sizes_by_word(table.sizes, meant.sizes)
    if lacking := [size for size in meant.sizes if size not in named.values()]:
        said = f"the table has no size {', '.join(lacking)}; it has {', '.join(table.sizes)}. {_AGAIN}"
        yield _row(rul.name, "sizes of the table", None, LINES, said)
    same = table.name.casefold() == data.style.rule_table.casefold() != ""
    wrong = "" if same else f"the table is called {table.name!r}, and the base file names {data.style.rule_table!r}"
    for file in (dxf.name, rul.name):
        yield _row(file, "name of the table", None if wrong else 0.0, LINES, f"{wrong}. {_AGAIN}" if wrong else "")
    wrong = _wrong_table(table, data.style, named.get(table.sample, ""), meant.base)
    yield _row(rul.name, "head of the table", None if wrong else 0.0, LINES, f"{wrong}. {_AGAIN}" if wrong else "")
    for piece in data.pieces:
        if not piece.proves_scale:
            yield from _piece_rows(rul.name, piece, table, named, meant)


def _wrong_table(table: RuleTable, style: StyleData, sample: str, base: str) -> str:
    """What the table says of itself that is not so: it belongs to the file that names it (D6673-10, 4.3.1.4)."""
    if table.notes:
        return table.notes[0].rstrip(".")
    if table.units != style.units:
        return f"the table is in {table.units.upper() or 'no units'}, and the base file in {style.units.upper()}"
    if sample != base:
        return f"the table is measured from size {table.sample}, {base} is meant"
    if table.version != style.version:
        return f"the table is of version {table.version!r}, and the base file of {style.version!r}"
    if table.others:
        return f"the table says {next(iter(table.others))!r}, which is none of the standard's facts"
    return ""


def _row(file: str, what: str, worst: float | None, limit: float, wrong: str, right: str = "") -> Row:
    said = f"{wrong}." if wrong else right
    return Row(file, READER, what, worst, limit, not wrong, said)


@dataclass(frozen=True, slots=True)
class _Size:
    """One size of a piece as pattern.json has it, laid on the base."""

    piece: Expected
    marks: Marks
    dx: float
    dy: float

    def laid(self, points: Sequence[XY]) -> list[XY]:
        return [(x + self.dx, y + self.dy) for x, y in points]

    def groups(self, piece: PieceData) -> dict[int, list[XY]]:
        """Points that may carry a rule, by layer, in an order that is the same in every size.

        The grade reference line is the file's own: all sizes are laid on it.
        """
        shape, marks = self.piece.shapes[0], self.marks
        sewn = [p for runs in shape.stitch for run in runs for p in run.points]
        return {
            BOUNDARY: self.laid([*shape.cut.points, *(notch.point for notch in marks.notches)]),
            STITCH: self.laid(sewn),
            INTERNAL: self.laid([p for run in marks.inner for p in run.points]),
            DRILL: self.laid(marks.drill_holes),
            GRAIN: self.laid(marks.grain_line),
            GRADE: [end for line in piece.grade_reference_lines for end in line],
        }


def _piece_rows(
    file: str,
    piece: PieceData,
    table: RuleTable,
    named: Mapping[str, str],
    meant: Meant,
) -> Iterator[Row]:
    found = {p.size: p for p in pieces_named(Named(piece.name), meant.pieces, short=True)}
    base = found.get(meant.base)
    if base is None:
        return
    drawn = Run.of(piece.boundary, closed=True)
    place = fits_of(Lines((drawn,)), Lines((base.shapes[0].cut,)), turns=(0,))[0].placement
    sizes = {
        size: _Size(
            one, one.marks,
            place.dx + one.shift[0] - base.shift[0], place.dy + one.shift[1] - base.shift[1],
        )
        for size, one in found.items()
    }  # fmt: skip
    try:
        tags, lines = _Tags.of(piece, table), _Graded.of(piece, table)
    except OaktagError as error:
        said = " ".join(str(error).split()).rstrip(".")
        yield _row(file, f"{base.name}: base + rules", None, LINES, f"{said}. {_AGAIN}")
        return
    at_base = sizes[meant.base].groups(piece)
    limit = RULED[table.units or "metric"]
    for word, size in named.items():
        if size not in sizes:
            continue
        one, label = sizes[size], f"{base.name}, size {size}"
        worst, at = tags.worst(word, at_base, one.groups(piece))
        wrong = "" if worst <= limit else (
            f"the rule at ({at[0]:.1f}, {at[1]:.1f}) of the base moves {label} {worst:.4f} mm wrongly in x "
            f"or y, limit {limit:g} mm. {_AGAIN}"
        )  # fmt: skip
        what = f"{label}: base + rules, ruled points"
        yield _row(file, what, worst, limit, wrong, f"within {worst:.4f} mm of pattern.json")
        far, line = lines.worst(word, one)
        wrong = "" if far <= LINES else (
            f"base and rules draw the {line} of {label} up to {far:.3f} mm off, limit {LINES:g} mm. {_AGAIN}"
        )  # fmt: skip
        what = f"{label}: base + rules, all lines"
        yield _row(file, what, far, LINES, wrong, f"within {far:.3f} mm of pattern.json")


@dataclass(frozen=True, slots=True)
class _Tags:
    """Every point that carries a rule: its layer, its place in the base, and that in each size by the table."""

    points: tuple[tuple[int, XY], ...]
    moved: Mapping[str, tuple[XY, ...]]

    @classmethod
    def of(cls, piece: PieceData, table: RuleTable) -> _Tags:
        points: list[tuple[int, XY]] = []
        moved: dict[str, list[XY]] = {size: [] for size in table.sizes}
        for layer in dict.fromkeys(tag.layer for tag in piece.rule_tags):
            own = tuple(dict.fromkeys(tag.point for tag in piece.rule_tags if tag.layer == layer))
            points += [(layer, point) for point in own]
            for size, places in grade_line(piece, LineData(own, layer=layer), table).items():
                moved[size] += places
        return cls(tuple(points), {size: tuple(places) for size, places in moved.items()})

    def worst(self, size: str, base: Mapping[int, Sequence[XY]], meant: Mapping[int, Sequence[XY]]) -> tuple[float, XY]:
        """The most that a move is off in x or in y, and where in the base.

        Compared with that of the same point of pattern.json. Where it has no such point, or not as many in both sizes,
        the point should lie on the line.
        """
        found = [(0.0, (0.0, 0.0))]
        spots = {layer: _Cells(points) for layer, points in base.items()}
        for (layer, point), moved in zip(self.points, self.moved[size], strict=True):
            layers = tuple(meant) if layer in (TURN, CURVE) else (layer,) if layer in meant else ()
            offs = [
                max(abs(moved[k] - point[k] - meant[one][i][k] + base[one][i][k]) for k in (0, 1))
                for one in layers
                if len(base[one]) == len(meant[one])
                for i in spots[one].near(point)
            ]
            if offs:
                found.append((min(offs), point))
            elif nearest := [Lines((Run(tuple(meant[one])),)) for one in layers if len(meant[one]) > 1]:
                found.append((min(_off(lines, moved) for lines in nearest), point))
        return max(found)


def _off(lines: Lines, point: XY) -> float:
    import numpy as np

    return float(lines.off(np.array([point]))[0])


class _Cells:
    """Points by cell, to be found again."""

    def __init__(self, points: Sequence[XY]) -> None:
        self.points = points
        self.cells: dict[tuple[int, int], list[int]] = {}
        for i, (x, y) in enumerate(points):
            self.cells.setdefault((round(x / 0.1), round(y / 0.1)), []).append(i)

    def near(self, point: XY) -> list[int]:
        x, y = round(point[0] / 0.1), round(point[1] / 0.1)
        around = [i for a in (-1, 0, 1) for b in (-1, 0, 1) for i in self.cells.get((x + a, y + b), ())]
        return [i for i in around if distance(self.points[i], point) <= _AT]


@dataclass(frozen=True, slots=True)
class _Graded:
    """Every line and mark of a piece in every size, made by the rules."""

    cut: Mapping[str, tuple[XY, ...]]
    stitch: tuple[tuple[bool, Mapping[str, tuple[XY, ...]]], ...]
    inner: tuple[tuple[bool, Mapping[str, tuple[XY, ...]]], ...]
    drill_holes: tuple[Mapping[str, XY], ...]
    grain: tuple[Mapping[str, XY], ...]

    @classmethod
    def of(cls, piece: PieceData, table: RuleTable) -> _Graded:
        return cls(
            grade_boundary(piece, table),
            tuple((line.closed, grade_line(piece, line, table)) for line in piece.stitch_lines),
            tuple((line.closed, grade_line(piece, line, table)) for line in (*piece.internal_lines, *piece.cutouts)),
            tuple(grade_point(piece, hole.point, DRILL, table) for hole in piece.drill_holes),
            tuple(grade_point(piece, end, GRAIN, table) for line in piece.grain_lines[:1] for end in line),
        )

    def worst(self, word: str, size: _Size) -> tuple[float, str]:
        """The most that a line or a mark is off, either way, and which of them."""
        place = Placement(0, size.dx, size.dy)
        shape, marks = size.piece.shapes[0], size.marks

        def far(lines: Sequence[tuple[bool, Mapping[str, tuple[XY, ...]]]], wanted: Sequence[Run]) -> float:
            drawn = Lines(Run.of(points[word], closed=closed) for closed, points in lines)
            asked = Lines(wanted)
            if drawn.empty or asked.empty:
                return 0.0 if drawn.empty == asked.empty else float("inf")
            return measured(drawn, asked, place).worst

        found = [(far(((True, self.cut),), (shape.cut,)), "cut line")]
        if shape.stitch:
            found.append((min(far(self.stitch, runs) for runs in shape.stitch), "stitch line"))
        if marks.inner:
            found.append((far(self.inner, marks.inner), "inner lines"))
        for points, wanted, name in (
            (self.drill_holes, marks.drill_holes, "drill holes"), (self.grain, marks.grain_line, "grain line")
        ):  # fmt: skip
            made, asked = [point[word] for point in points], size.laid(wanted)
            if len(made) == len(asked):  # a missing mark is told with the marks of the base
                offs = [min(distance(p, q) for q in made) for p in asked]
                found.append((max(offs, default=0.0), name))
        return max(found)
