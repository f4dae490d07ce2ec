"""An edge in words: the straight lines and curves that it is drawn with, and what they are square to."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from ...geometry.point import XY, Point
from ...model.piece import Edge, EdgeKind, piece_words
from .frame import level_at
from .marks import Mark, MarkKind, Spot
from .numbers import printed_length
from .runs import Run, runs_on, square_to
from .tell import Lettering, Words, fresh


def tell_edge(edge: Edge, by: Lettering, told: Collection[str], copied: str) -> Words:
    """`copied`: the edge of an earlier piece that has the same line, in words, or ""."""
    label = piece_words(edge.name)
    if edge.kind is EdgeKind.FOLD:
        spots = (by.spot(edge.start), by.spot(edge.end))
        words = f"The fold itself, from {_place(spots[0])} to {_place(spots[1])}: no seam, never cut."
        mark = Mark(MarkKind.FOLD, edge.name, spots, (edge.start, edge.end))
        return Words(label, (words,), (mark,), fresh(spots, told))
    drawn = [_tell_run(run, by) for run in by.on.runs[edge.name]]
    marks = tuple(mark for mark, _ in drawn)
    said = [text for _, words in drawn for text in words]
    if any(mark.kind is MarkKind.CURVE for mark in marks):
        if copied:
            said.append(f"It is the {copied}: trace that instead, if you like.")
        closed = ", dart closed" if edge.takes else ""
        said.append(f"Check with the tape: {printed_length(edge.sewn_length(), by.unit)} long{closed}.")
    return Words(label, tuple(said), marks, fresh([spot for mark in marks for spot in mark.spots], told))


def _tell_run(run: Run, by: Lettering) -> tuple[Mark, list[str]]:
    start, end = run.ends
    if run.straight:
        a, b = by.spot(start), by.spot(end)
        return Mark(MarkKind.STRAIGHT, run.edge, (a, b), (start, end)), [f"Straight from {_place(a)} to {_place(b)}."]
    spots = tuple(by.spot(node.at) for node in run.nodes)
    line: list[XY] = [start]
    for curve in run.path:
        line.extend(curve.flat(0.2))
    square = (_square(run, start, by), _square(run, end, by))
    words = f"A curve from {_place(spots[0])} to {_place(spots[-1])}, through {_through(spots[1:-1])}."
    mark = Mark(MarkKind.CURVE, run.edge, spots, tuple(line), square)
    return mark, [words, *_at_ends(run, mark, by)]


def _through(spots: tuple[Spot, ...]) -> str:
    """`G, H and the rings`."""
    rings = sum(not spot.letter for spot in spots)
    by = [spot.letter for spot in spots if spot.letter]
    by += ["the rings" if rings > 1 else "the ring"] if rings else []
    return " and ".join(", ".join(by).rsplit(", ", 1))


def _at_ends(run: Run, mark: Mark, by: Lettering) -> Iterator[str]:
    ends = (mark.spots[0], mark.spots[-1])
    for spot, to in zip(ends, mark.square, strict=True):
        if to:
            level = level_at(by.on.levels, spot.at.y)
            what = {"upright": by.on.frame.upright, "level": f"the {level}"}.get(to, f"the {piece_words(to)}")
            yield f"Square to {what} at {spot.letter}."
    for spot, at in zip(ends, run.ends, strict=True):
        if runs_on(run, at, by.on.runs):
            yield f"It runs smoothly into the straight line at {spot.letter}."


def _square(run: Run, at: Point, by: Lettering) -> str:
    return square_to(run, at, by.on.runs, by.on.frame, level_at(by.on.levels, at.y))


def _place(spot: Spot) -> str:
    return f"{spot.letter} ({spot.words})" if spot.words else spot.letter
