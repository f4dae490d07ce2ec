"""The card of a pattern: the steps of every piece, told in order."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from functools import cache

from ...geometry.point import XY
from ...geometry.polygon import ring_below
from ...model.draft import Step
from ...model.pattern import MarkedPiece, Pattern
from ...model.piece import Dart, Edge, InternalLine, cut_words, piece_words
from ...units import Unit
from .frame import Level, frame_of, levels_of
from .marks import ChalkPiece, ChalkStep
from .order import Table, Task, formula_axes, tasks_of
from .ordinates import ordinates
from .places import lettered
from .runs import OrdinatesOf, runs_of
from .sheet import Sheet, formula_at, formula_of
from .tell import (
    Lettering,
    Words,
    tell_allowances,
    tell_dart,
    tell_inside,
    tell_level,
    tell_lines,
    tell_notches,
    tell_point,
)  # fmt: skip
from .tell_edge import tell_edge


def chalk_pieces(pattern: Pattern) -> tuple[ChalkPiece, ...]:
    """Every piece of the pattern in its order. The same pattern gives the same steps; raises nothing of its own."""
    ordinates_of = cache(ordinates)  # front and back have lines in common
    first: dict[tuple[XY, ...], tuple[str, str]] = {}
    out = []
    for marked in pattern.pieces:
        piece = marked.cut.piece
        copies = {edge.name: " ".join(first.get(marked.cut.lines[edge.name], ())) for edge in piece.edges}
        out.append(_piece(_table(marked, pattern, ordinates_of), pattern.unit, copies))
        for edge in piece.edges:
            first.setdefault(marked.cut.lines[edge.name], (f"{piece_words(piece.name)}’s", piece_words(edge.name)))
    return tuple(out)


def _table(marked: MarkedPiece, pattern: Pattern, ordinates_of: OrdinatesOf) -> Table:
    piece = marked.cut.piece
    sheet = Sheet.of(piece, pattern.draft.steps)
    frame = frame_of(marked, sheet)
    twice = "crosswise" in pattern.draft.folding.get(piece.name, ())
    return Table(
        marked, sheet, frame, levels_of(marked, frame, sheet), runs_of(piece, frame, pattern.unit, ordinates_of), twice
    )


def _piece(on: Table, unit: Unit, copies: Mapping[str, str]) -> ChalkPiece:
    cut = on.marked.cut
    return ChalkPiece(
        cut.piece.name, piece_words(cut.piece.name), cut_words(cut.piece), on.frame,
        ring_below(cut.stitch_line, on.top), ring_below(cut.cut_line, on.top),
        _steps(on, unit, copies),
    )  # fmt: skip


def _steps(on: Table, unit: Unit, copies: Mapping[str, str]) -> tuple[ChalkStep, ...]:
    """The two lines, the tasks in order, notches, allowances; each formula and each number told once."""
    piece, tasks = on.marked.cut.piece, tasks_of(on)
    by = Lettering(on, lettered((place for task in tasks for place in task.places), piece, on.frame, unit), unit)
    steps: list[ChalkStep] = []
    letters: set[str] = set()
    used: set[str] = set()

    def put(words: Words, part: str, names: Collection[str], formulas: Collection[tuple[Step, str]] = ()) -> None:
        used.update(step.label for step, _ in formulas)
        more = on.sheet.about(names, used)
        used.update(step.label for step in more)
        said = [*(text for _, text in formulas), *(formula_of(step, unit) for step in more)]
        steps.append(words.step(len(steps) + 1, piece.name, said, part, unit))
        letters.update(spot.letter for mark in words.marks for spot in mark.spots)

    put(tell_lines(on, unit), "lines", (on.levels[0].label,))
    for task in tasks:
        put(_told(task, by, letters, copies), task.part, _names(task), _formulas(task, by))
    if on.marked.notches:
        put(tell_notches(by), "finish", {notch.name for notch in on.marked.notches})
    put(tell_allowances(by), "finish", ())
    return tuple(steps)


def _told(task: Task, by: Lettering, told: Collection[str], copies: Mapping[str, str]) -> Words:
    match task.what:
        case Level():
            return tell_level(task.what, by)
        case str():
            return tell_point(task.what, by)
        case Edge():
            return tell_edge(task.what, by, told, copies[task.what.name])
        case Dart():
            return tell_dart(task.what, task.places, by, told)
        case InternalLine():
            return tell_inside(task.what, task.places, by, told)


def _names(task: Task) -> tuple[str, ...]:
    """Under which names steps of the draft may tell of it: see `Step.about`."""
    match task.what:
        case Level():
            return (task.what.label,)
        case str():
            return (task.what,)
        case Dart():
            return (f"{task.what.name} dart",)
        case _:
            return (task.what.name,)


def _formulas(task: Task, by: Lettering) -> list[tuple[Step, str]]:
    """The steps of the draft that give the coordinates of a point or a level, and how they are told."""
    name = task.what.point if isinstance(task.what, Level) else task.what
    if not isinstance(name, str) or not name:
        return []
    on = by.on
    p = on.marked.cut.piece.points[name]
    axes = "y" if isinstance(task.what, Level) else formula_axes(on, name)
    found = [step for axis in axes if (step := on.sheet.at.get(f"{name}.{axis}"))]
    return [(step, formula_at(step, p, on.frame, by.unit)) for step in found]
