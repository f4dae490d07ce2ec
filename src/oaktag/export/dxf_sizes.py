"""Sets of sizes as sewn-product pattern data (ASTM D6673-10): as a graded nest, or as base size and grade rule table.

- The nest holds every size of every piece as a block, laid on its zero point. All have the same entities in the same
  order with as many points; turn points, curve points and notches stand in the base size alone (§4.3.1.5).
- The base file holds the base size alone. At every point that carries a rule stands a tag, `# <number>`; the table says
  how far that rule moves it in each size. Between two tags points move evenly with the length walked along the line:
  as many points are tagged as it takes for that to give every size within 0.05 mm.
- The grade reference line lies level, along the drawing's X, at the zero point's level and is the same in all sizes: x
  of a rule is then what it is called by the standard (along that line) and by readers that go by the drawing. Laying
  the sizes on that line gives the nest.
- Validation curves: 87 is the exact stitch line at 0.01 mm. 84 is the cut line with points put between where a
  receiver's own curve may belly: in runs longer than 10 mm that end in a curve point. Between nearer points no smooth
  curve leaves the line by the tolerance, so none are added. 85 repeats the inner lines. They make a file 2.5 times as
  long. The older flavour has neither these layers nor those of special notches.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from math import cos, radians, sin
from typing import Final, Literal, TypeAlias

from ..geometry.point import XY
from ..grade.tags import ruled
from ..model.nest import Nest
from ..model.pattern import Notch
from ..units import INCH
from ..values import dataclass
from .dxf_entities import (
    AUTHOR,
    CURVE,
    CUT,
    MIRROR,
    NOTCH,
    NOTCH_LAYERS,
    SMALL,
    TURN,
    VERSION,
    WORDS,
    Place,
    ascii_text,
    block_name,
    block_of,
    crlf,
    document,
    notch_angle,
    style_texts,
    text_entity,
    written_date,
)
from .dxf_rows import Line, Row, rows_of
from .rul import Rules
from .rul import render as rule_table

Units: TypeAlias = Literal["metric", "english"]
Flavour: TypeAlias = Literal["astm", "aama"]

TABLE: Final = "PATTERN"
"""Name of the grade rule table: that of its file, pattern.rul."""
AAMA_VERSION: Final = "ANSI/AAMA-292-1993"
"""What files of the older flavour say in place of the standard's own version (from memory)."""
_TAG_HEIGHT: Final = 2.5
_APART: Final = 1.6
"""From line to line of text, in heights."""
_STACK: Final = 80.0
"""How far down the names of all sizes may reach, mm."""


@dataclass(frozen=True, slots=True)
class _Unit:
    """What METRIC and ENGLISH mean in the file; `scale`: units in a mm; `tolerance`: as files write it."""

    word: str
    scale: float
    tolerance: str
    rule_decimals: int


_UNITS: Final = {"metric": _Unit("METRIC", 1.0, ".152", 2), "english": _Unit("ENGLISH", 1.0 / INCH, ".006", 4)}


def render_nest(nest: Nest, *, date: str = "", units: Units = "metric", flavour: Flavour = "astm") -> bytes:
    """Every size of every piece as a block, as the bytes of a .dxf file: a graded nest.

    `date` (YYYY-MM-DD), or else the pattern's, is written as dd-mm-yyyy; without one the Creation Date stays blank.
    Raises GeometryError for a notch that lies off the cut line, or at another point of it than in the base size.
    """
    unit = _UNITS[units]
    blocks: dict[str, str] = {}
    for row in rows_of(nest, size_names(nest.sizes), dense="all" if flavour == "astm" else "none"):
        lines = (row.cut, *row.lines, *row.marks, *row.dense)
        form = crlf("".join([line.form() for line in lines]))
        for number in range(len(row.sizes)):
            key = _block_name(row, number, blocks)
            if number == row.base:
                body = _base_body(row, unit, flavour, None)
            else:
                body = form % tuple(_numbers(lines, number, row.places[number], unit.scale))
            blocks[key] = block_of(key, [crlf(_texts(row, number, unit, flavour, nested=True)), body])
    return document(blocks, _facts(nest, date, unit, flavour, ""), unit.scale)


def render_base(
    nest: Nest, *, date: str = "", units: Units = "metric", flavour: Flavour = "astm"
) -> tuple[bytes, bytes]:
    """The base size with its rule tags as the bytes of a .dxf file, and the grade rule table as those of a .rul file.

    Tags stand on the layer of their line; in the older flavour on that of a turn or curve point at the same place.
    `date` as for a nest, and the same errors.
    """
    unit = _UNITS[units]
    rules = Rules(len(nest.sizes), unit.rule_decimals)
    blocks: dict[str, str] = {}
    for row in rows_of(nest, size_names(nest.sizes), dense="base" if flavour == "astm" else "none"):
        key = _block_name(row, row.base, blocks)
        texts = crlf(_texts(row, row.base, unit, flavour, nested=False))
        blocks[key] = block_of(key, [texts, _base_body(row, unit, flavour, rules)])
    names = size_names(nest.sizes)
    key, version = _version(flavour)
    head = {
        key: version,
        "AUTHOR": AUTHOR,
        "CREATION DATE": written_date(date or nest.base_pattern.date),
        "CREATION TIME": "",
        "UNITS": unit.word,
        "GRADE RULE TABLE": TABLE,
    }
    table = rule_table(head, names, names[nest.sizes.index(nest.base)], rules)
    return document(blocks, _facts(nest, date, unit, flavour, TABLE), unit.scale), table


def size_names(sizes: Sequence[str]) -> tuple[str, ...]:
    """Names of sizes as both files write them: 7-bit, each one word, as the table's list is parted by blanks.

    Names that are so already stay; the others are made unlike them.

    >>> size_names(["10", "12 tall", "12-TALL", "é", "12-", "12"])
    ('10', '12-tall-2', '12-TALL', 'e', '12-2', '12')
    """
    words = [re.sub(r"[\s,;:]+", "-", ascii_text(size)).strip("-") or "SIZE" for size in sizes]
    names: list[str] = list(words)
    order = sorted(range(len(words)), key=lambda at: words[at] != sizes[at])
    taken: set[str] = set()
    for at in order:
        word = words[at]
        name, number = word, 2
        while name.upper() in taken:
            name, number = f"{word}-{number}", number + 1
        taken.add(name.upper())
        names[at] = name
    return tuple(names)


def _facts(nest: Nest, date: str, unit: _Unit, flavour: Flavour, table: str) -> tuple[str, ...]:
    base = nest.base_pattern
    sample = size_names(nest.sizes)[nest.sizes.index(nest.base)]
    tolerance = () if flavour == "aama" else (f"Curve Tolerance: {unit.tolerance}",)
    more = (*tolerance, ": ".join(_version(flavour)))
    return style_texts(base, sample, date or base.date, units=unit.word, table=table, more=more)


def _version(flavour: Flavour) -> tuple[str, str]:
    return ("ANSI/AAMA VERSION", AAMA_VERSION) if flavour == "aama" else ("ASTM/D13Proposal 1 Version", VERSION)


# ------------------------------------------------------------------------------------------------------------- blocks


def _block_name(row: Row, number: int, taken: Iterable[str]) -> str:
    if row.in_sizes:
        return block_name(row.name, row.sizes[number], taken)
    return block_name(row.name.replace(" ", "_"), "", taken)


def _numbers(lines: Sequence[Line], size: int, place: Place, scale: float) -> list[float]:
    """All coordinates of one size, as their forms take them."""
    dx, dy = place.dx, place.dy
    if scale == 1.0:
        return [c for line in lines for x, y in line.sizes[size] for c in (x + dx, y + dy)]
    return [c for line in lines for x, y in line.sizes[size] for c in ((x + dx) * scale, (y + dy) * scale)]


def _texts(row: Row, number: int, unit: _Unit, flavour: Flavour, *, nested: bool) -> str:
    """Name and size on layer 1, in the base the other facts too; on 15 what is plotted, in a nest with the sizes one
    below the other, so that they can be read."""
    k = unit.scale
    size = row.sizes[number]
    told = [(CUT, SMALL, f"Piece Name: {row.name}"), (CUT, SMALL, f"Size: {size}")]
    if number == row.base:
        count = sum(map(int, row.quantity.split(","))) if flavour == "aama" else row.quantity
        told.append((CUT, SMALL, f"Quantity: {count}"))
        told.append((CUT, SMALL, f"Material: {row.material}".strip()))
        told.append((CUT, SMALL, f"Annotation: {row.annotation}"))
    turn = radians(row.angle_deg)
    down = sin(turn), -cos(turn)
    rows = [(-_APART * SMALL * (5 - i), *fact) for i, fact in enumerate(told)]
    far = 0.0
    for words in row.words:
        rows.append((far, WORDS, SMALL, words))
        far += _APART * SMALL
    if row.in_sizes:
        far += number * min(_APART * SMALL, _STACK / len(row.sizes)) if nested else 0.0
        rows.append((far, WORDS, SMALL, f"SIZE {size}"))
    x, y = row.words_at
    return "".join(
        [
            text_entity(layer, (x + down[0] * far) * k, (y + down[1] * far) * k, height * k, words, row.angle_deg)
            for far, layer, height, words in rows
        ]
    )


def _base_body(row: Row, unit: _Unit, flavour: Flavour, rules: Rules | None) -> str:
    """The base size of a piece: its lines, their turn and curve points, the notches; and tags, if rules are kept."""
    place = row.places[row.base]

    def drawn(lines: Sequence[Line]) -> str:
        form = "".join([line.form() for line in lines])
        return form % tuple(_numbers(lines, row.base, place, unit.scale))

    lines = (row.cut, *row.lines, *row.marks)
    pairs = [_pairs(line.sizes[row.base], place, unit.scale) for line in lines]
    turns: dict[str, bool] = {}
    for line, own in zip(lines, pairs, strict=True):
        for pair, corner in zip(own, line.corners, strict=False):
            turns[pair] = corner or turns.get(pair, False)
    tags = "" if rules is None else _tags(row, zip(lines, pairs, strict=True), turns, rules, unit, flavour)
    turn, curve = (f"  0\nPOINT\n  8\n{layer}\n" for layer in (TURN, CURVE))
    points = "".join([(turn if corner else curve) + pair for pair, corner in turns.items()])
    notches = "".join([_notch(*notch, pairs[0], unit, flavour) for notch in row.notches])
    return crlf(drawn([row.cut]) + points + tags + drawn(row.lines) + notches + drawn((*row.marks, *row.dense)))


def _pairs(points: Sequence[XY], place: Place, scale: float) -> list[str]:
    return [f" 10\n{(x + place.dx) * scale:.4f}\n 20\n{(y + place.dy) * scale:.4f}\n" for x, y in points]


def _notch(notch: Notch, way: XY, at: int, pairs: Sequence[str], unit: _Unit, flavour: Flavour) -> str:
    """At its point of the boundary: 30 the depth, 39 the width (0 for a slit), 50 the direction."""
    layer = NOTCH if flavour == "aama" else NOTCH_LAYERS.get(notch.kind, NOTCH)
    depth, width = abs(notch.depth) * unit.scale, notch.width * unit.scale
    shape = f" 30\n{depth:.4f}\n 39\n{width:.4f}\n 50\n{notch_angle(notch.kind, way):.4f}\n"
    return f"  0\nPOINT\n  8\n{layer}\n{pairs[at]}{shape}"


def _tags(
    row: Row,
    lines: Iterable[tuple[Line, Sequence[str]]],
    turns: dict[str, bool],
    rules: Rules,
    unit: _Unit,
    flavour: Flavour,
) -> str:
    """Rule tags of every line that may carry them.

    In the older flavour each place has one tag, on the layer of its point, and ends of grain lines and drill holes are
    turn points too (they join `turns`); a second rule at the same place, if there is one, stays on its line's layer.
    """
    out: list[str] = []
    told: set[tuple[int, str, int]] = set()
    own = row.places[row.base]
    shifts = [(place.dx - own.dx, place.dy - own.dy) for place in row.places]
    placed: dict[str, int] = {}
    for line, pairs in lines:
        if line.layer == MIRROR:
            continue  # its ends are corners of the cut line
        base = line.sizes[row.base]
        moves = [
            [(x - bx + dx, y - by + dy) for (x, y), (bx, by) in zip(points, base, strict=True)]
            for points, (dx, dy) in zip(line.sizes, shifts, strict=True)
        ]
        for at in ruled(base, moves, line.must, closed=line.closed):
            steps = [c * unit.scale for size in moves for c in size[at]]
            number = rules.number(steps) if row.in_sizes else rules.still()
            pair, layer = pairs[at], line.layer
            if flavour == "aama" and placed.setdefault(pair, number) == number:
                layer = TURN if turns.setdefault(pair, True) else CURVE
            if (layer, pair, number) not in told:
                told.add((layer, pair, number))
                height = f" 40\n{_TAG_HEIGHT * unit.scale:.4f}\n 50\n0.0000\n"
                out.append(f"  0\nTEXT\n  8\n{layer}\n{pair}{height}  1\n# {number}\n")
    return "".join(out)
