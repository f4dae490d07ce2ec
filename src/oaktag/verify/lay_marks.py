"""Marks on the drawings of a lay: those of each piece where lay.json says that it lies."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any, Final

from ..geometry.point import XY
from .compare import ends_of
from .drawing import Drawing, Run, slug
from .expected import Expected
from .marks import BESIDE, FOLD, LINES, WORDS, Judged, Mark, judged, judged_words

if TYPE_CHECKING:
    from .compare import Floats

CLOTH: Final = "cloth"
"""The figure of the cloth's edges, fold and flaws."""


def lay_mark_facts(
    lay: Any,
    drawing: Drawing,
    pieces: Mapping[tuple[str, str], Expected],
    outlines: Sequence[Sequence[XY]],
    to_lay: Callable[[XY], XY],
    limit: float,
) -> Iterator[tuple[str, Judged]]:
    """Each role of the marks of all pieces of a lay together, in its coordinates; then their names.

    `pieces`: those of pattern.json by name and size ("" where there is one size); `to_lay`: from the file to the lay.
    """
    meant: dict[str, list[Mark]] = {role: [] for role in LINES}
    bottom = 0.0
    for stretch in lay["stretches"]:
        for placed in stretch["placements"]:
            piece = pieces.get((str(placed["piece"]), str(placed["size"])))
            if piece is None:
                return  # that is told of lay.json
            whole = bool(placed["unfolded"])
            shape = next((shape for shape in piece.shapes if shape.unfolded == whole), piece.shapes[0])
            through = _moved_by([float(part) for part in placed["matrix"]], bottom)
            for role, marks in piece.meant(shape).items():
                if role != FOLD or placed.get("on_fold", False):
                    meant[role] += [mark.through(through) for mark in marks]
        bottom += float(stretch["length"])
    for role in LINES:
        runs = _runs(drawing, role)
        if runs or meant[role]:
            yield role, judged(role, meant[role], _in_lay(runs, to_lay), limit)
    found = judged_words(_in_lay(_runs(drawing, WORDS), to_lay), outlines, (), BESIDE)
    nameless = [named.name for named in drawing.cut if not drawing.marks.get(named, {}).get(WORDS)]
    yield "names", Judged(0.0, f"the {nameless[0]} bears no name") if nameless else found


def _moved_by(matrix: Sequence[float], up: float) -> Callable[[XY], XY]:
    xx, xy, yx, yy, dx, dy = matrix
    return lambda p: (xx * p[0] + xy * p[1] + dx, yx * p[0] + yy * p[1] + dy + up)


def _runs(drawing: Drawing, role: str) -> list[Run]:
    return [run for named, own in drawing.marks.items() if slug(named.name) != CLOTH for run in own.get(role, ())]


def _in_lay(runs: Sequence[Run], to_lay: Callable[[XY], XY]) -> Floats:
    return ends_of(Run(tuple(map(to_lay, run.points)), run.closed) for run in runs)
