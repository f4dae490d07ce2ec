"""The files of a lay, read back: every cut line where lay.json says that it lies, and lay.json against pattern.json."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import cos, radians, sin
from pathlib import Path
from typing import Any, Final

from ..errors import InputError, Where
from ..geometry.point import XY
from ..geometry.polygon import Box, area, distance_to_line
from .drawing import Drawing, Run, UnreadableError, mean_side
from .hpgl import read_hpgl
from .pdf import read_pdf
from .rows import Row
from .svg import read_svg

LAY: Final = "lay.json"
_NEAR: Final = 0.02
"""lay.json has outlines to 0.001 mm and matrices to six digits."""
_SQUARES: Final = {100.0: "100 mm square", 101.6: "4 in square"}
_AGAIN: Final = "Lay it again with oaktag lay"


@dataclass(frozen=True, slots=True)
class _Kind:
    """How one kind of file is read, and how near it must be, mm."""

    reader: str
    read: Callable[[Path], Drawing]
    limit: float


_KINDS: Final[Mapping[str, _Kind]] = {
    "{}.svg": _Kind("svgelements", read_svg, 0.05),
    "{}-roll.pdf": _Kind("PDFium", read_pdf, 0.05),
    "{}.plt": _Kind("HP-GL reader", read_hpgl, 0.06),
}


def lay_rows(folder: Path, cut_lines: Mapping[tuple[str, str], Sequence[XY]], only: str = "") -> Iterator[Row]:
    """A row for the outlines of each kind of cloth, and for each file of a lay; none without a lay.json.

    `cut_lines`: those of pattern.json by piece and size ("" where there is one size). `only` names one file. Plots that
    were corrected or made for a knife are passed over: `plain` is false then. Raises InputError for a lay.json that
    cannot be read.
    """
    path = folder / LAY
    if not path.is_file():
        return
    try:
        data = json.loads(path.read_bytes())
        lays = [(str(lay["material"]), list(_outlines(lay)), list(_as_placed(lay, cut_lines))) for lay in data["lays"]]
        plain = bool(data["plain"])
    except (OSError, ValueError, KeyError, TypeError, IndexError, RecursionError) as error:
        raise InputError(f"cannot be read: {error!r}"[:160], where=Where(str(path)), instead=_AGAIN) from None
    for material, outlines, off in lays:
        if only in ("", LAY):
            yield _row(LAY, "own reader", f"{material}: {len(outlines)} outlines", max(off, default=None), _NEAR)
        base = f"lay-{material}" if len(lays) > 1 else "lay"
        for form, kind in _KINDS.items():
            file = folder / form.format(base)
            if file.is_file() and only in ("", file.name) and (plain or file.suffix != ".plt"):
                yield from _file_rows(file, kind, outlines)


def _row(file: str, reader: str, what: str, worst: float | None, limit: float) -> Row:
    held = worst is not None and worst <= limit
    said = "was not found" if worst is None else f"is {worst:.3f} mm off; at most {limit:g} mm is allowed"
    return Row(file, reader, what, worst, limit, held, "" if held else f"{what} {said}. {_AGAIN}.")


def _outlines(lay: Any) -> Iterator[tuple[XY, ...]]:
    bottom = 0.0
    for stretch in lay["stretches"]:
        for placed in stretch["placements"]:
            yield tuple((float(x), float(y) + bottom) for x, y in placed["outline"])
        bottom += float(stretch["length"])


def _as_placed(lay: Any, cut_lines: Mapping[tuple[str, str], Sequence[XY]]) -> Iterator[float]:
    """How far each cut line of the pattern is off the outline of the lay once its matrix has moved it, mm."""
    for stretch in lay["stretches"]:
        for placed in stretch["placements"]:
            xx, xy, yx, yy, dx, dy = (float(v) for v in placed["matrix"])
            outline = [(float(x), float(y)) for x, y in placed["outline"]]
            closed = [*outline, outline[0]]
            ring = cut_lines[str(placed["piece"]), str(placed["size"])]
            moved = [(xx * x + xy * y + dx, yx * x + yy * y + dy) for x, y in ring]
            inner = [p for p in moved if not placed["unfolded"] or not _on_axis(p, placed)]
            yield max(distance_to_line(p, closed) for p in inner)


def _on_axis(p: XY, placed: Any) -> bool:
    """Whether a point of a half lies on the line about which it was unfolded: x = 0 before it was put down."""
    turn = radians(float(placed["turn"]))
    return abs(cos(turn) * (p[0] - float(placed["x"])) + sin(turn) * (p[1] - float(placed["y"]))) < _NEAR


def _file_rows(file: Path, kind: _Kind, outlines: Sequence[Sequence[XY]]) -> Iterator[Row]:
    try:
        drawing = kind.read(file)
    except UnreadableError as error:
        yield Row(file.name, kind.reader, "file", None, kind.limit, False, f"cannot be read: {error}. {_AGAIN}.")
        return
    runs = [run for group in (*drawing.cut.values(), (drawing.loose,)) for run in _flat(group) if run.closed]
    yield _row(file.name, kind.reader, f"{len(outlines)} cut lines", _worst(runs, outlines), kind.limit)
    for side, squares in drawing.squares.items():
        worst = max((abs(mean_side(square) - side) for square in squares), default=None)
        yield _row(file.name, kind.reader, _SQUARES[side], worst, kind.limit)


def _flat(group: Any) -> Iterator[Run]:
    for item in group:
        if isinstance(item, Run):
            yield item
        else:
            yield from _flat(item)


def _worst(runs: Sequence[Run], outlines: Sequence[Sequence[XY]]) -> float | None:
    """All outlines found among the runs, at one turn and shift for the whole drawing: the worst distance, mm."""
    if not runs or not outlines:
        return None
    largest = max(outlines, key=lambda ring: abs(area(ring)))
    best: float | None = None
    for turn in range(4):
        turned = [Run(tuple(_quarter(p, turn) for p in run.points), True) for run in runs]
        for run in turned:
            if abs(abs(area(run.points)) - abs(area(largest))) < 0.002 * abs(area(largest)):
                a, b = Box.round(run.points), Box.round(largest)
                shift = (b.left - a.left, b.bottom - a.bottom)
                if abs(a.width - b.width) < 1.0 and abs(a.height - b.height) < 1.0:
                    found = _off(turned, outlines, shift)
                    if found is not None and (best is None or found < best):
                        best = found
    return best


def _quarter(p: XY, turn: int) -> XY:
    for _ in range(turn):
        p = (-p[1], p[0])
    return p


def _off(runs: Sequence[Run], outlines: Sequence[Sequence[XY]], shift: XY) -> float | None:
    boxes = [(Box.round(run.points), run) for run in runs]
    worst = 0.0
    taken: set[int] = set()
    for outline in outlines:
        box = Box.round(outline)
        best: tuple[float, int] | None = None
        for i, (own, run) in enumerate(boxes):
            near = max(
                abs(own.left + shift[0] - box.left), abs(own.right + shift[0] - box.right),
                abs(own.bottom + shift[1] - box.bottom), abs(own.top + shift[1] - box.top),
            )  # fmt: skip
            if near < 1.0 and i not in taken:
                moved = [(x + shift[0], y + shift[1]) for x, y in run.points]
                off = max(_one_way(moved, outline), _one_way(outline, moved))
                if best is None or off < best[0]:
                    best = off, i
        if best is None:
            return None
        taken.add(best[1])
        worst = max(worst, best[0])
    return worst


def _one_way(points: Sequence[XY], ring: Sequence[XY]) -> float:
    closed = [*ring, ring[0]]
    return max(distance_to_line(p, closed) for p in points)
