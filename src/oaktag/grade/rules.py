"""Grade rules as a grader types them: a table with a row for each place of a piece, and a dx and dy for each size.

    unit,in
    sizes,10,12,14
    base,12
    piece,place,10 dx,10 dy,14 dx,14 dy
    front,underarm,-3/8,0,3/8,0
    front,side/armhole,-3/8,0,3/8,0
    front,armhole sleeve notch,-3/16,-1/16,3/16,1/16
    front,side@8 1/2,-3/8,0,3/8,0

Moves are counted from the base size, x to the right and y up, lengths as everywhere (`3/8`, `0.375`, `9.5 mm`). A place
is named as in model/places.py, or by an edge and how far along it from its start. The file is comma-separated (or
semicolon-separated) UTF-8; empty lines and lines that start with # are passed over.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping
from difflib import get_close_matches
from pathlib import Path as FilePath
from typing import Final

from ..errors import InputError, InputErrors, Where
from ..geometry.point import XY
from ..model.nest import Nest
from ..model.places import places_of
from ..units import INCH, UNITS, Unit, parse_length
from ..values import dataclass, replace

_SAME_PLACE: Final = 0.001
"""Two names for one place, mm."""
LONGEST_MOVE: Final = 500.0
"""No place of a garment moves further from the base size, mm: a slip of the unit or the pen."""


@dataclass(frozen=True, slots=True)
class Rule:
    """How one place of a piece moves from the base size to the others, mm."""

    piece: str
    place: str
    """Its name (see model/places.py); of a place given by its distance, the edge's."""
    moves: Mapping[str, XY]
    far: float | None = None
    """mm along the edge from its start, for a place that is given so."""
    where: Where | None = None


@dataclass(frozen=True, slots=True)
class GradeRules:
    """The rules of a pattern: all sizes in their order, the base among them; it has no moves."""

    sizes: tuple[str, ...]
    base: str
    rules: tuple[Rule, ...]

    def of(self, piece: str) -> tuple[Rule, ...]:
        """The rules of one piece."""
        return tuple(rule for rule in self.rules if rule.piece == piece)

    def stacked_on(self, place: str) -> GradeRules:
        """The same growth, seen from another zero point: in each piece that has a rule for it, that place keeps still.

        One vector is taken from all moves of the piece: its sizes lie elsewhere, and are what they were
        (zero points for shift grading; common practice, no source). Pieces without such a rule are left as they are.
        """
        still = {rule.piece: rule.moves for rule in self.rules if rule.place == place and rule.far is None}
        return replace(
            self,
            rules=tuple(
                rule if rule.piece not in still else replace(rule, moves=_less(rule.moves, still[rule.piece]))
                for rule in self.rules
            ),
        )


def _less(moves: Mapping[str, XY], still: Mapping[str, XY]) -> dict[str, XY]:
    return {size: (dx - still[size][0], dy - still[size][1]) for size, (dx, dy) in moves.items()}


def rules_of(nest: Nest, *, joints: bool = True) -> GradeRules:
    """The rules of a pattern that was drafted in each size: every named place, moves counted after `nest.shift`.

    Places that have two names are told once: by the point's name, else the corner's, the notch's, the dart's. With
    `joints`, the places where two curves of an edge meet are told too, by their distance, if an edge has as many curves
    in every size: a curve between its ends and notches alone comes out a little off the drafted one.
    Raises InputError where a size lacks a place.
    """
    sizes = [size for size in nest.sizes if size != nest.base]
    found: list[Rule] = []
    for piece in nest.base_pattern.draft.pieces:
        others = {size: own for size in sizes for own in nest.of(size).draft.pieces if own.name == piece.name}
        places = {size: places_of(own) for size, own in others.items()}
        shifts = {size: nest.shift(size, piece.name) for size in others}
        told: list[XY] = []

        def is_new(p: XY, told: list[XY] = told) -> bool:
            new = all(abs(p[0] - q[0]) + abs(p[1] - q[1]) >= _SAME_PLACE for q in told)
            if new:
                told.append(p)
            return new

        def moves(p: XY, there: Mapping[str, XY], shifts: Mapping[str, XY] = shifts) -> dict[str, XY]:
            return {size: (q[0] + shifts[size][0] - p[0], q[1] + shifts[size][1] - p[1]) for size, q in there.items()}

        for place, p in places_of(piece).items():
            if not is_new(p):
                continue
            if missing := [size for size in sizes if place not in places.get(size, {})]:
                raise InputError(
                    f"size {missing[0]} has no {place} on its {piece.name}, which the base size {nest.base} has",
                    instead="Leave that size out, or choose an option for all sizes",
                )
            found.append(Rule(piece.name, place, moves(p, {size: places[size][place] for size in sizes})))
        for edge in piece.edges if joints else ():
            runs = {size: own.edge(edge.name).curves for size, own in others.items()}
            if any(len(run) != len(edge.curves) for run in runs.values()):
                continue
            far = 0.0
            for number, curve in enumerate(edge.curves[:-1]):
                far += curve.length()
                if is_new(curve.end):
                    there = {size: run[number].end for size, run in runs.items()}
                    found.append(Rule(piece.name, edge.name, moves(curve.end, there), far))
    return GradeRules(nest.sizes, nest.base, tuple(found))


# ----------------------------------------------------------------------------------------------------------- writing

_PER: Final = {"in": INCH, "cm": 10.0, "mm": 1.0}
_DECIMALS: Final = {"in": 5, "cm": 4, "mm": 3}
"""Finer than 0.001 mm."""


def render_rules(rules: GradeRules, unit: Unit) -> bytes:
    """The table as a CSV file, moves as decimals in that unit to 0.001 mm; `read_rules` reads it back."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    others = [size for size in rules.sizes if size != rules.base]
    writer.writerow(["unit", unit])
    writer.writerow(["sizes", *rules.sizes])
    writer.writerow(["base", rules.base])
    writer.writerow(["piece", "place", *(f"{size} {axis}" for size in others for axis in ("dx", "dy"))])
    for rule in rules.rules:
        place = rule.place if rule.far is None else f"{rule.place}@{_number(rule.far, unit)}"
        writer.writerow([rule.piece, place, *(_number(mm, unit) for size in others for mm in rule.moves[size])])
    return out.getvalue().encode()


def _number(mm: float, unit: Unit) -> str:
    text = f"{mm / _PER[unit]:.{_DECIMALS[unit]}f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


# ----------------------------------------------------------------------------------------------------------- reading


def read_rules(path: FilePath) -> GradeRules:
    """The rules of a CSV file (see above).

    Raises InputErrors, with the line of each mistake; InputError if the file cannot be read.
    """
    try:
        text = path.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError:
        raise InputError(
            "it is not UTF-8 text", where=Where(path.name), instead="Save the table as CSV UTF-8"
        ) from None
    except OSError as error:
        raise InputError(f"it cannot be read ({error.strerror})", where=Where(path.name)) from None
    return parse_rules(text, path.name)


@dataclass(slots=True)
class _Head:
    """What stands before the rows, as far as it was read."""

    unit: Unit | None = None
    sizes: tuple[str, ...] = ()
    base: str = ""
    columns: tuple[tuple[str, str], ...] = ()
    """The size and axis of each column after the second."""


def parse_rules(text: str, file: str) -> GradeRules:
    """As `read_rules`, from the text of a file of that name."""
    errors: list[InputError] = []
    head = _Head()
    rules: list[Rule] = []
    seen: dict[tuple[str, str, float | None], int] = {}
    for line, cells in _rows(text):
        where = Where(file, line)
        try:
            if not head.columns:
                _read_head(head, cells, where)
            elif rule := _read_rule(head, cells, file, line, errors):
                key = rule.piece, rule.place, rule.far
                if key in seen:
                    raise InputError(
                        f"{rule.piece} {cells[1]} was given already in line {seen[key]}",
                        where=where,
                        instead="Keep one of the two rows",
                    )
                seen[key] = line
                rules.append(rule)
        except InputError as error:
            errors.append(error)
            if not head.columns and cells[0].lower() == "piece":
                break  # the rows cannot be read without their header
    if not errors and not head.columns:
        errors.append(InputError("there is no row of column names", where=Where(file), expected=_HEADER))
    if not errors and not rules:
        errors.append(InputError("there is no rule in it", where=Where(file), expected="a row for each place"))
    if errors:
        raise InputErrors(errors)
    return GradeRules(head.sizes, head.base, tuple(rules))


_HEADER: Final = "unit, sizes and base, then piece,place and a dx and a dy for every size but the base"


def _rows(text: str) -> Iterable[tuple[int, list[str]]]:
    """The rows that hold anything, with their line."""
    lines = [line for line in text.splitlines() if line.strip() and not line.lstrip().startswith("#")]
    semicolons = bool(lines) and ";" in lines[0] and "," not in lines[0]
    reader = csv.reader(text.splitlines(), delimiter=";" if semicolons else ",")
    for row in reader:
        cells = [cell.strip() for cell in row]
        while cells and not cells[-1]:
            cells.pop()
        if cells and not cells[0].startswith("#"):
            yield reader.line_num, cells


def _read_head(head: _Head, cells: list[str], where: Where) -> None:
    word, values = cells[0].lower(), cells[1:]
    if word == "unit":
        unit = values[0].lower() if len(values) == 1 else ""
        if unit not in UNITS:
            raise InputError(
                f"{', '.join(values) or 'nothing'} is not a unit", where=where, expected="in, cm or mm",
                instead="Write unit,in",
            )  # fmt: skip
        head.unit = unit
    elif word == "sizes":
        if len(values) < 2 or len(set(values)) < len(values) or "" in values:
            raise InputError(
                f"{', '.join(values) or 'nothing'} cannot be the sizes", where=where,
                expected="two names or more, each once", instead="Write sizes,10,12,14",
            )  # fmt: skip
        head.sizes = tuple(values)
    elif word == "base":
        if len(values) != 1:
            raise InputError("there is one base size", where=where, instead="Write base,12")
        head.base = values[0]
    elif word == "piece":
        _read_columns(head, cells, where)
    else:
        raise InputError(f"{cells[0]!r} is not expected before the column names", where=where, expected=_HEADER)


def _read_columns(head: _Head, cells: list[str], where: Where) -> None:
    for name, given in (("unit", head.unit), ("sizes", head.sizes), ("base", head.base)):
        if not given:
            raise InputError(
                f"the {name} was not given above the column names", where=where, expected=_HEADER,
                instead={"unit": "Write unit,in", "sizes": "Write sizes,10,12,14", "base": "Write base,12"}[name],
            )  # fmt: skip
    if head.base not in head.sizes:
        raise InputError(
            f"the base {head.base} is not among the sizes {', '.join(head.sizes)}", where=where,
            instead=f"Write base,{head.sizes[len(head.sizes) // 2]}",
        )  # fmt: skip
    wanted = [(size, axis) for size in head.sizes if size != head.base for axis in ("dx", "dy")]
    columns = []
    for cell in cells[2:]:
        size, _, axis = cell.rpartition(" ")
        columns.append((size.strip(), axis.lower()))
    if cells[1:2] != ["place"] or sorted(columns) != sorted(wanted):
        raise InputError(
            f"the columns are {', '.join(cells)}", where=where,
            expected="the base has none, every other size two",
            instead="Write " + ",".join(["piece", "place", *(f"{size} {axis}" for size, axis in wanted)]),
        )  # fmt: skip
    head.columns = tuple(columns)


def _read_rule(head: _Head, cells: list[str], file: str, line: int, errors: list[InputError]) -> Rule | None:
    """The rule of a row; its mistakes, cell by cell, go to `errors`."""
    assert head.unit is not None
    unit = head.unit
    where = Where(file, line)
    if len(cells) != len(head.columns) + 2:
        raise InputError(
            f"it has {len(cells)} cells", where=where,
            expected=f"{len(head.columns) + 2}: piece, place and {len(head.columns)} moves",
            instead="Write 0 where a place does not move",
        )  # fmt: skip
    piece, place = cells[0], " ".join(cells[1].split())
    found: dict[str, dict[str, float]] = {}
    before = len(errors)
    for (size, axis), cell in zip(head.columns, cells[2:], strict=True):
        key = f"{piece} {place}, {size} {axis}"
        try:
            mm = parse_length(cell, unit, Where(file, line, key))
            if abs(mm) > LONGEST_MOVE:
                raise InputError(
                    f"a move of {cell} {'' if cell[-1:].isalpha() else unit}".rstrip(),
                    where=Where(file, line, key), expected=f"no more than {LONGEST_MOVE:g} mm from the base size",
                )  # fmt: skip
            found.setdefault(size, {})[axis] = mm
        except InputError as error:
            errors.append(error)
    far = None
    if "@" in place:
        place, _, at = place.partition("@")
        far = parse_length(at, unit, Where(file, line, f"{piece} {place}@"))
        place = place.strip()
    if not piece or not place:
        raise InputError("a row names its piece and its place", where=where, instead="Write front,underarm,…")
    if len(errors) > before:
        return None
    return Rule(piece, place, {size: (move["dx"], move["dy"]) for size, move in found.items()}, far, where)


def near(name: str, known: Iterable[str]) -> str:
    """What may have been meant, as advice."""
    found = get_close_matches(name, list(known), n=1, cutoff=0.5)
    return f"Write {found[0]}" if found else ""
