"""A drawing in its true size, cleaned and parted into outlines, as a plan says."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Final

from ..errors import InputError, InputErrors, Where
from ..exchange.model import PatternData
from ..exchange.rule_table import read_rule_table
from ..geometry.path import flatten
from ..geometry.point import XY
from ..values import dataclass, replace
from .clean import outlines_of
from .darts import wedges_closed
from .drawn import names_of
from .limits import Budget
from .model import Drawing, DrawnPath, Outline, Outlines
from .pieces import outlines_of as outlines_of_pieces
from .plan import Plan, Reading
from .read import read_drawing

_READ: Final = ("unit", "scale", "known", "corner_angle", "gap", "fit")
"""What a plan says of reading and cleaning; the rest is about what came of it."""
_CHORD: Final = 0.02
"""Chord of the curves of a cut line that is kept as it is drawn, mm."""


@dataclass(frozen=True, slots=True)
class TakenIn:
    """A drawing that was read and cleaned as a plan says; another plan that reads it alike may begin with it."""

    path: Path
    plan: Plan
    drawing: Drawing
    cleaned: Outlines | None
    """None for pattern data, whose pieces are taken as they are."""

    def serves(self, plan: Plan) -> bool:
        """Whether it is what that plan would read and clean."""
        if any(getattr(plan.reading, key) != getattr(self.plan.reading, key) for key in _READ):
            return False
        if any("outline" in lines.by_meaning for lines in (plan.lines, self.plan.lines)):
            return False
        names = {names_of(path) for path in self.drawing.paths}
        return all((plan.lines.meaning(n) == "ignore") == (self.plan.lines.meaning(n) == "ignore") for n in names)


def taken_in(path: Path, plan: Plan) -> TakenIn:
    """InputError for a file that cannot be read, has no size, holds no closed outline, or is too much work."""
    reading = plan.reading
    budget = Budget(str(path))
    drawing = read_drawing(path, scale=reading.scale, known=reading.known, unit=reading.unit, budget=budget)
    drawing = replace(drawing, paths=tuple(replace(one, number=n) for n, one in enumerate(drawing.paths, start=1)))
    chosen = "outline" in plan.lines.by_meaning
    if drawing.pattern is not None and not chosen:
        return TakenIn(path, plan, drawing, None)

    def is_outline(drawn: DrawnPath) -> bool:
        return plan.lines.meaning(names_of(drawn)) == "outline"

    def ignored(drawn: DrawnPath) -> bool:
        return plan.lines.meaning(names_of(drawn)) == "ignore"

    cleaned = outlines_of(
        drawing,
        gap=reading.gap,
        corner_deg=reading.corner_angle,
        fit=reading.fit,
        is_outline=is_outline if chosen else None,
        ignored=ignored,
        budget=budget,
    )
    return TakenIn(path, plan, drawing, cleaned)


def outlines_in(source: Path | TakenIn, plan: Plan, rules: Path | None = None) -> tuple[Drawing, Outlines]:
    """The drawing and its outlines; of pattern data in every size that it has, or that its table of rules makes.

    `rules` is that table; without it the one beside the file is taken, if there is one of the same name.
    InputError for a file that cannot be read, has no size, or holds no closed outline; for a table that does not fit.
    """
    path = source.path if isinstance(source, TakenIn) else source
    taken = source if isinstance(source, TakenIn) and source.serves(plan) else taken_in(path, plan)
    reading, drawing, found = plan.reading, taken.drawing, taken.cleaned
    if drawing.pattern is not None and found is None:
        found = _pattern_data(drawing.pattern, path, reading, rules)
        first = [note for note in drawing.notes if note not in drawing.pattern.notes]
        if reading.close_darts:
            first.append("no wedge is closed, though close_darts asks for it: pattern data keeps its lines as they are")
        return drawing, replace(found, notes=(*first, *found.notes))
    assert found is not None
    if rules is not None:
        raise InputError(
            f"{rules.name} holds rules of pattern data, and this is a drawing", where=Where(str(path)),
            expected="a CSV file of grade rules",
        )  # fmt: skip
    whole = tuple(_with_points(one, found.outlines, drawing) for one in found.outlines)
    if reading.close_darts:
        whole = tuple(wedges_closed(one)[0] for one in whole)
    if reading.outline == "cut line":
        whole = tuple(replace(one, cut=_ring(one), traced=True) for one in whole)
    elif not reading.outline:
        note = (
            'outlines are taken as stitch lines; where they are cut lines, say --outline "cut line", or so in the plan'
        )
        found = replace(found, notes=(*found.notes, note))
    return drawing, replace(found, outlines=whole)


def beside(path: Path) -> Path | None:
    """The table of rules that lies beside a file under the same name, if there is one."""
    for ending in (".rul", ".RUL", ".Rul"):
        if (found := path.with_suffix(ending)).is_file():
            return found
    return None


def _pattern_data(data: PatternData, path: Path, reading: Reading, rules: Path | None) -> Outlines:
    table = None
    if rules is not None:
        return outlines_of_pieces(data, reading, str(path), read_rule_table(rules, units=data.style.units))
    found = beside(path)
    if found is None:
        return outlines_of_pieces(data, reading, str(path))
    try:
        table = read_rule_table(found, units=data.style.units)
        return outlines_of_pieces(data, reading, str(path), table)
    except (InputError, InputErrors) as error:
        # whatever is wrong with the drawing itself is told here; what is wrong with the table alone, as a note
        alone = outlines_of_pieces(data, reading, str(path))
        first = error.errors[0] if isinstance(error, InputErrors) else error
        note = f"Rule table {found.name}, which lies beside it, is not taken: {str(first).rstrip('.')}."
        return replace(alone, notes=(*alone.notes, note))


def _ring(outline: Outline) -> tuple[XY, ...]:
    return tuple(p for edge in outline.edges for p in flatten(edge, _CHORD)[:-1])


def _with_points(outline: Outline, every: Sequence[Outline], drawing: Drawing) -> Outline:
    """With the points of its own group that lie outside of every outline: notches on the cut line of a stitch line."""
    if not outline.groups or sum(one.groups[:1] == outline.groups[:1] for one in every) != 1:
        return outline
    held = {point for one in every for point in one.points}
    own = [p for p in drawing.points if p.groups[:1] == outline.groups[:1] and p not in held]
    return replace(outline, points=(*outline.points, *own)) if own else outline
