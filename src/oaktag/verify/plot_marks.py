"""The marks of pieces in a plot, which names none of its lines: is each drawn, and is every line that is drawn meant?

A plot draws dashes one by one. So a line that may be dashed is walked: something has to be drawn on it every few
millimetres, both its ends, and a third of its length.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any, Final

from ..geometry.point import XY
from ..geometry.polygon import Box
from ..values import dataclass, replace
from .compare import Lines, Placement, ends_of, off_runs
from .dashes import LEAST, WINDOW
from .drawing import Run, Runs
from .letters import Line, lines_of, misread
from .marks import DARTS, DRILLS, FOLD, GRAIN, INNER, LINES, NOTCHES, WORDS, Judged, Lettered, Mark

if TYPE_CHECKING:
    import numpy
    from numpy.typing import NDArray

    from .compare import Tree

    Floats = NDArray[numpy.float64]

STITCH: Final = "stitch line"
SOLID: Final = frozenset({NOTCHES, GRAIN})
_STEP: Final = 0.8
"""mm between two places at which a line is looked for: the shortest dashes are as long."""
_HOLE: Final = 1.5
_ARM: Final = 2.5
"""mm from the middle of a drill hole to its circle, and to the ends of its cross, which stand out by 1 mm."""
LETTER: Final = 12.0
"""mm: a line of lettering, and a sign on a line, is no larger than that either way (common practice, no source)."""
_BEYOND: Final = 12.0
"""mm that a part may reach beyond the cut line of its piece: notches that stand out, names beside lines."""


@dataclass(frozen=True, slots=True)
class OnSheet:
    """A piece as it lies on the sheet: what is meant of it, and where it lies."""

    label: str
    cut: Run
    stitch: Runs
    marks: Mapping[str, Sequence[Mark]]
    place: Placement
    words: int = 0
    """Letters of its label."""
    lettered: Sequence[Lettered] = ()
    """The lines of its label, and where they stand on the piece."""
    panel: bool = False
    """A part of a piece, or one of several sizes: its lines may end in a gap between dashes."""
    tabs: bool = False
    """Whether closed cuts have gaps."""


class Drawn:
    """All lines of a plot on the sheet, in their order, mm."""

    def __init__(self, lines: Sequence[Sequence[XY]]) -> None:
        import numpy as np

        counts = [len(line) for line in lines]
        self.points: Floats = np.array([p for line in lines for p in line], dtype=np.float64).reshape(-1, 2)
        self.line = np.repeat(np.arange(len(lines)), counts)
        joined = self.line[1:] == self.line[:-1]
        ends = np.stack((self.points[:-1], self.points[1:]), axis=1)[joined]
        longer = np.any(ends[:, 0] != ends[:, 1], axis=1)
        self.ends: Floats = ends[longer]
        self.owner = self.line[1:][joined][longer]

    def of(self, first: int, last: int) -> tuple[Floats, Any]:
        """The points of the lines from one to another, and of each its line."""
        import numpy as np

        low, high = np.searchsorted(self.line, (first, last))
        return self.points[low:high], self.line[low:high]

    def tree(self) -> Tree:
        """A search tree of all straight runs."""
        import shapely

        return shapely.STRtree(shapely.linestrings(self.ends)), self.ends

    def homes(self, spans: Sequence[tuple[str, int, int]]) -> dict[str, Box]:
        """Of each part by its name the box round its lines."""
        found: dict[str, Box] = {}
        for name, first, last in spans:
            points, _ = self.of(first, last)
            if len(points):
                (left, bottom), (right, top) = points.min(axis=0).tolist(), points.max(axis=0).tolist()
                known = found.get(name, Box(left, bottom, right, top))
                found[name] = Box(
                    min(known.left, left), min(known.bottom, bottom), max(known.right, right), max(known.top, top)
                )
        return found


def mark_facts(pieces: Sequence[OnSheet], tree: Tree, limit: float) -> Iterator[tuple[str, Judged]]:
    """For every piece and role: whether all marks are drawn, looked for in a tree of all that is drawn."""
    import numpy as np

    lines: list[_Line] = []
    for number, piece in enumerate(pieces):
        for role in LINES:
            for mark in piece.marks.get(role, ()):
                for run in _lines(mark):
                    solid = role in SOLID or (role == DRILLS and not (piece.tabs and len(run.points) > 2))
                    lines += _Line.of(number, piece, role, mark.name, (run,), solid=solid)
                lines += _Line.of(number, piece, role, mark.name, mark.dashes, solid=False, tips=False)
        lines += _Line.of(number, piece, STITCH, "the stitch line", piece.stitch, solid=False)
    if not lines:
        return
    points = np.concatenate([line.points for line in lines])
    off = np.minimum(off_runs(tree, points), 1e6)  # infinite where nothing at all is drawn
    told: dict[tuple[int, str], list[tuple[float, str]]] = {}
    at = 0
    for line in lines:
        own = off[at : at + len(line.points)]
        at += len(line.points)
        told.setdefault((line.piece, line.role), []).append(line.judged(own, limit))
    for (number, role), all_told in told.items():
        worst = max(value for value, _ in all_told)
        wrong = "; ".join(dict.fromkeys(words for _, words in all_told if words))
        yield f"{pieces[number].label}: {role}", Judged(worst, wrong)


def _chained(runs: Runs) -> Runs:
    """Straight parts of a line put together again where one ends and the next begins."""
    chains: list[list[XY]] = []
    for run in runs:
        if chains and chains[-1][-1] == run.points[0]:
            chains[-1] += run.points[1:]
        else:
            chains.append([*run.points])
    return tuple(Run(tuple(chain)) for chain in chains)


def _lines(mark: Mark) -> Runs:
    """The lines of a mark; those of a drill hole are a cross, and a circle as a device draws it, with many corners."""
    from math import cos, pi, sin

    if mark.spot is None:
        return mark.lines
    x, y = mark.spot
    ring = [(x + _HOLE * cos(pi * k / 12), y + _HOLE * sin(pi * k / 12)) for k in range(25)]
    return (Run(((x - _ARM, y), (x + _ARM, y))), Run(((x, y - _ARM), (x, y + _ARM))), Run(tuple(ring)))


@dataclass(frozen=True, slots=True)
class _Line:
    """A line that has to be drawn, as places on it."""

    piece: int
    role: str
    name: str
    solid: bool
    points: Floats
    place: Placement
    step: float
    tips: bool
    """Whether both ends have to be drawn."""

    @classmethod
    def of(
        cls, number: int, piece: OnSheet, role: str, name: str, runs: Runs, *, solid: bool, tips: bool = True
    ) -> Iterator[_Line]:
        """`tips`: not of the axis of a dart, whose dashes may end with a gap."""
        import numpy as np

        for run in _chained(runs) if piece.panel else runs:
            ring = np.array((*run.points, run.points[0]) if run.closed else run.points, dtype=np.float64)
            fars = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(ring, axis=0).T))))
            if piece.panel and not solid and fars[-1] < 2 * WINDOW:
                continue
            count = max(1, int(np.ceil(fars[-1] / _STEP)))
            steps = np.linspace(0.0, fars[-1], count + 1)
            points = np.stack([np.interp(steps, fars, ring[:, axis]) for axis in (0, 1)], axis=1)
            far = float(fars[-1]) / count
            yield cls(
                number, role, name, solid, piece.place.to_file(points), piece.place, far, tips and not piece.panel
            )

    def judged(self, off: Floats, limit: float) -> tuple[float, str]:
        """How far it is off, mm, and what is to be told of it."""
        import numpy as np

        if self.solid:
            worst, k = float(off.max()), int(off.argmax())
        else:
            count = min(len(off), max(1, round(WINDOW / max(self.step, 0.1))))
            least = np.lib.stride_tricks.sliding_window_view(off, count).min(axis=1)
            tips = max(float(off[0]), float(off[-1])) if self.tips else 0.0
            k = int(least.argmax()) + count // 2
            worst = float(least.max())
            if tips > worst:
                worst, k = tips, 0 if off[0] >= off[-1] else len(off) - 1
        if worst > limit:
            x, y = self.place.to_pattern(self.points[k : k + 1])[0]
            way = f"is not drawn within {worst:.2f} mm of" if float(off.min()) > limit else f"is {worst:.3f} mm off at"
            return worst, f"{self.name} {way} ({x:.1f}, {y:.1f}) of pattern.json"
        if not self.solid and float((off <= limit).mean()) < LEAST:
            return worst, f"{self.name} is drawn in dashes so far apart that it is no line"
        return worst, ""


def layer_facts(pieces: Sequence[OnSheet], by_role: Mapping[str, Runs], limit: float) -> Iterator[tuple[str, Judged]]:
    """As `mark_facts`, where lines lie on layers by their roles: each on its own, and nothing else there."""
    for role, runs in by_role.items():
        if role == WORDS:
            yield from _words(pieces, runs)
            continue
        own = [
            replace(
                piece, stitch=piece.stitch if role == STITCH else (),
                marks={role: piece.marks[role]} if role in piece.marks else {},
            )
            for piece in pieces
        ]  # fmt: skip
        drawn = Drawn([(*run.points, run.points[0]) if run.closed else run.points for run in runs])
        yield from mark_facts(own, drawn.tree(), limit)
        if not len(drawn.ends):
            continue
        known = Lines(
            Run(tuple(map(tuple, piece.place.to_file(np_points(run)).tolist())), run.closed)
            for piece in own
            for run in _all_lines(replace(piece, cut=Run(())))
        )
        yield f"all pieces: {role}", _stray(own, known, drawn.points, limit, role)


def _words(pieces: Sequence[OnSheet], runs: Runs) -> Iterator[tuple[str, Judged]]:
    """Whether there is as much lettering on each piece as its label needs."""
    import numpy as np
    import shapely

    middles = np.array([run.points[len(run.points) // 2] for run in runs]).reshape(-1, 2)
    for piece in pieces:
        if not piece.words:
            continue
        ring = shapely.Polygon(piece.place.to_file(np.array(piece.cut.points))).buffer(0)
        shapely.prepare(ring)
        held = int(shapely.contains_xy(ring, middles[:, 0], middles[:, 1]).sum()) if len(middles) else 0
        wrong = "" if held >= piece.words else f"its lettering has {held} strokes, and {piece.words} letters are meant"
        yield f"{piece.label}: {WORDS}", Judged(0.0, wrong)


def _stray(own: Sequence[OnSheet], known: Lines, points: Floats, limit: float, role: str) -> Judged:
    """Whether all points lie on lines that are meant, or where arrow heads and brackets are drawn."""
    import numpy as np

    off = np.full(len(points), 1e6) if known.empty else known.off(points)
    far = off > limit
    off = off[far]
    left = points[far]
    if not len(left):
        return Judged(0.0, "")
    for piece in own:
        for run, by in {room for marks in piece.marks.values() for mark in marks for room in mark.rooms}:
            placed = piece.place.to_file(ends_of((run,), points=True).reshape(-1, 2)).reshape(-1, 2, 2)
            off = np.minimum(off, np.maximum(_far(left, placed) - by, 0.0))
    worst = int(off.argmax())
    if off[worst] <= limit:
        return Judged(0.0, "")
    x, y = left[worst]
    return Judged(float(off[worst]), f"what is drawn at ({x:.1f}, {y:.1f}) of the file as {role} is not meant")


def np_points(run: Run) -> Floats:
    """The points of a line, (n, 2)."""
    import numpy as np

    return np.array(run.points, dtype=np.float64)


def strangers(
    pieces: Sequence[OnSheet], spans: Sequence[tuple[str, int, int]], drawn: Drawn, limit: float, *, nested: bool
) -> Iterator[tuple[str, Judged]]:
    """For every piece: whether what is drawn of it lies on it, is one of its lines or lettering, and is lettered.

    `spans`: of each part of the plot its name, and which lines it has: from, to.
    """
    import numpy as np
    import shapely

    by_name: dict[str, list[OnSheet]] = {}
    for piece in pieces:
        by_name.setdefault(piece.label, []).append(piece)
    labels: dict[str, tuple[Line, ...]] = {}
    lettered: dict[str, Judged] = {}
    for name, own in by_name.items():
        held = [drawn.of(first, last) for part, first, last in spans if part == name]
        if not held:
            continue
        points = np.concatenate([p for p, _ in held])
        if not len(points):
            yield f"{name}: {WORDS}", Judged(0.0, f"nothing of {name} is drawn where its lines should come")
            continue
        line = np.concatenate([n for _, n in held])
        rings = [shapely.Polygon(piece.place.to_file(np.array(piece.cut.points))).buffer(0) for piece in own]
        folds = [shapely.LineString(piece.place.to_file(np_points(run)))  # over the neck of what is cut on two folds
                 for piece in own for mark in piece.marks.get(FOLD, ()) for run in mark.lines]  # fmt: skip
        room = shapely.unary_union([*rings, *folds]).buffer(4 * _BEYOND if nested else _BEYOND, quad_segs=4)
        shapely.prepare(room)
        out = ~shapely.contains_xy(room, points[:, 0], points[:, 1])
        if out.any():
            x, y = own[0].place.to_pattern(points[out][:1])[0]
            far = float(shapely.distance(room, shapely.points(points[out])).max()) + _BEYOND
            yield (
                f"{name}: {WORDS}",
                Judged(far, f"a line of {name} lies {far:.1f} mm beyond it, at ({x:.1f}, {y:.1f}) of pattern.json"),
            )
            continue
        if nested:
            continue
        lettered[name] = _lettered(name, own, points, line, limit, labels)
    wrong = {label: said for label, said in misread(labels, any_way=True) if said}
    for name, judged in lettered.items():
        yield f"{name}: {WORDS}", Judged(0.0, wrong[name]) if name in wrong and not judged.wrong else judged


def _lettered(
    name: str, own: Sequence[OnSheet], points: Floats, line: Any, limit: float, labels: dict[str, tuple[Line, ...]]
) -> Judged:
    """Lines that are none of the piece's have to be small, as letters are, and as many as its label has letters.

    Its label is put into `labels`, as it is drawn.
    """
    import numpy as np

    starts = np.flatnonzero(np.concatenate(([True], line[1:] != line[:-1])))
    low, high = np.minimum.reduceat(points, starts), np.maximum.reduceat(points, starts)
    lengths = np.diff(np.concatenate((starts, [len(points)])))
    big = (high - low).max(axis=1) > LETTER
    middles = points[starts + lengths // 2]
    meant = [
        Run(tuple(map(tuple, piece.place.to_file(np.array(run.points)).tolist())), run.closed)
        for piece in own
        for run in _all_lines(piece)
    ]
    known = Lines(meant)
    off = known.off(middles)
    loose = np.flatnonzero(~big & (off > limit))
    if len(loose) < sum(piece.words for piece in own):
        return Judged(0.0, f"its lettering has {len(loose)} strokes, and {sum(p.words for p in own)} letters are meant")
    strokes = tuple(Run(tuple(map(tuple, points[starts[i] : starts[i] + lengths[i]].tolist()))) for i in loose)
    labels[name] = tuple(one for p in own for one in lines_of(p.lettered, strokes, p.place.to_pattern))
    asked = np.repeat(big, lengths)
    tested = points[asked]
    # half-way between points too, where both are of one line
    both = asked[1:] & asked[:-1] & (line[1:] == line[:-1])
    tested = np.concatenate((tested, (points[1:][both] + points[:-1][both]) / 2))
    if not len(tested):
        return Judged(0.0, "")
    off = known.off(tested)
    for piece in own:  # arrow heads, brackets
        rooms = {(run, by) for marks in piece.marks.values() for mark in marks for run, by in mark.rooms}
        for run, by in rooms:
            placed = piece.place.to_file(ends_of((run,), points=True).reshape(-1, 2)).reshape(-1, 2, 2)
            off = np.minimum(off, np.maximum(_far(tested, placed) - by, 0.0))
    worst = int(off.argmax())
    if off[worst] <= limit:
        return Judged(float(off[worst]), "")
    x, y = own[0].place.to_pattern(tested[worst : worst + 1])[0]
    return Judged(
        float(off[worst]), f"a line through ({x:.1f}, {y:.1f}) of pattern.json is none of {name}, and no lettering"
    )


def _far(points: Floats, ends: Floats) -> Floats:
    from .compare import far_from

    return far_from(points, ends)[0]


def _all_lines(piece: OnSheet) -> Iterator[Run]:
    if piece.cut.points:
        yield piece.cut
    yield from piece.stitch
    for role in (NOTCHES, DRILLS, DARTS, INNER, GRAIN, FOLD):
        for mark in piece.marks.get(role, ()):
            yield from _lines(mark)
            yield from mark.dashes
