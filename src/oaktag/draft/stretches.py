"""Edges cut and laid end to end, with all that rides on them: takes, notches, and where each stretch comes from."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Final

from ..errors import GeometryError
from ..geometry.affine import Move
from ..geometry.curve import Curve, Line
from ..geometry.path import Path, moved_path, parameter_at, path_length, pinned, place_at, reverse
from ..geometry.point import Point, distance
from ..model.piece import Edge, NotchPlace, Side, Span, Take
from ..model.spans import backwards, end_to_end, part, told
from ..values import dataclass, replace

NEAR: Final = 1e-6
"""Places this near to each other along an edge, mm, are one."""
_OTHER: Final[Mapping[Side, Side]] = {"start": "end", "end": "start", "": ""}
MEET: Final = 0.05
"""Ends of two runs this near to each other, mm, are laid on one point (the tolerance of curves drawn as chords)."""


def cut_run(path: Sequence[Curve], far: float) -> tuple[Path, Path]:
    """A run before and after a distance along it, mm; cut between two curves where there are two."""
    before: list[Curve] = []
    for i, curve in enumerate(path):
        length = curve.length()
        if far <= NEAR:
            return tuple(before), tuple(path[i:])
        if far < length - NEAR:
            head, tail = curve.split(parameter_at(curve, far, length, near=1e-7))
            return (*before, head), (tail, *path[i + 1 :])
        before.append(curve)
        far -= length
    return tuple(before), ()


@dataclass(frozen=True, slots=True)
class Stretch:
    """Part of an edge, from `start` mm along the one that it was cut from; below 0: cloth that was put in."""

    curves: Path
    takes: tuple[Take, ...]
    spans: tuple[Span, ...]
    start: float = 0.0

    @property
    def is_own(self) -> bool:
        return self.start >= 0.0

    @property
    def long(self) -> float:
        return path_length(self.curves)


def stretch_of(piece: str, edge: Edge, start: float, end: float) -> Stretch:
    """The edge from `start` to `end` mm along it; empty where the two are one.

    Raises GeometryError if it would cut a dart, a pleat or gathers asunder.
    """
    head, tail = cut_run(edge.curves, start)
    if head:
        tail = cut_run(tail, end - path_length(head))[0]
    elif end < edge.length() - NEAR:
        tail = cut_run(tail, end)[0]
    return with_marks(piece, edge, tail if end - start > NEAR else (), start, end)


def with_marks(piece: str, edge: Edge, curves: Path, start: float, end: float) -> Stretch:
    """A run of the edge that was cut out already, with its takes and spans."""
    takes = []
    for take in edge.takes:
        if take.start >= start - NEAR and take.end <= end + NEAR:
            takes.append(replace(take, start=take.start - start, end=take.end - start))
        elif take.start < end - NEAR and take.end > start + NEAR:
            raise GeometryError(f"{piece}: {edge.name} cannot be cut inside the {take.kind} that lies in it")
    return Stretch(curves, tuple(takes), part(told(piece, edge), start, end), start)


def moved(stretch: Stretch, move: Move) -> Stretch:
    """The stretch moved, not turned over."""
    if move == Move():
        return stretch
    takes = tuple(replace(take, tip=take.tip and move.point(take.tip)) for take in stretch.takes)
    return replace(stretch, curves=moved_path(stretch.curves, move), takes=takes)


def chained(edge: Edge, runs: Iterable[Stretch], *, within: float = MEET) -> tuple[Edge, list[float]]:
    """An edge made of stretches laid end to end, and where along it each of them starts, mm.

    Straight runs of the cloth itself that go on straight become one. Raises GeometryError where two ends lie further
    than `within` apart.
    """
    curves: list[Curve] = []
    takes: list[Take] = []
    offsets, walked, before_is_own = [], 0.0, False
    runs = list(runs)
    for run in runs:
        offsets.append(walked)
        takes += [replace(take, start=take.start + walked, end=take.end + walked) for take in run.takes]
        if run.curves:
            _append(curves, run.curves, edge.name, within, one=run.is_own and before_is_own)
            walked += run.long
            before_is_own = run.is_own
    spans = end_to_end(*(run.spans for run in runs))
    return replace(edge, curves=tuple(curves), takes=tuple(takes), spans=spans), offsets


def _append(curves: list[Curve], run: Path, name: str, within: float, *, one: bool) -> None:
    if not curves:
        curves.extend(run)
        return
    gap = distance(curves[-1].end, run[0].start)
    if gap > within:
        raise GeometryError(f"{name}: two parts of it lie {gap:.2f} mm apart, so they make no edge")
    first, *rest = pinned(run, curves[-1].end) if gap else run
    last = curves[-1]
    if one and isinstance(last, Line) and isinstance(first, Line) and _straight_on(last, first):
        curves[-1] = Line(last.a, first.b)
    else:
        curves.append(first)
    curves.extend(rest)


def _straight_on(a: Line, b: Line) -> bool:
    off = (a.b.x - a.a.x) * (b.b.y - b.a.y) - (a.b.y - a.a.y) * (b.b.x - b.a.x)
    ahead = (a.b.x - a.a.x) * (b.b.x - b.a.x) + (a.b.y - a.a.y) * (b.b.y - b.a.y)
    return ahead > 0 and abs(off) < 1e-9 * ahead


def turned_round(edge: Edge, move: Move) -> Edge:
    """The edge moved by a move that turns over, and walked the other way."""
    long = edge.length() if edge.takes else 0.0
    return replace(
        edge,
        curves=reverse(moved_path(edge.curves, move)),
        takes=tuple(
            replace(
                take,
                start=long - take.end,
                end=long - take.start,
                tip=take.tip and move.point(take.tip),
                pressed=_OTHER[take.pressed],
            )
            for take in reversed(edge.takes)
        ),
        spans=backwards(edge.spans),
    )


def ridden(
    notches: Iterable[NotchPlace], edge: Edge, runs: Sequence[Stretch], offsets: Sequence[float]
) -> list[NotchPlace]:
    """The notches of an edge where their cloth lies in the new one that its stretches were chained to; those of cloth
    that is gone go with it."""
    found = []
    for notch in notches:
        for run, offset in zip(runs, offsets, strict=True):
            if notch.edge == edge.name and -NEAR <= notch.at - run.start <= run.long + NEAR and run.is_own:
                found.append(replace(notch, at=offset + notch.at - run.start))
                break
    return found


def place(edge: Edge, far: float) -> Point:
    """The very point at which a stretch of the edge that starts or ends there does."""
    before, after = cut_run(edge.curves, far)
    return before[-1].end if before else after[0].start


def way(edge: Edge, far: float) -> Point:
    """The edge's direction there."""
    return place_at(edge.curves, far)[1]
