"""The marks of a piece: what pattern.json has of them, and how far those that are drawn are from that.

All in the coordinates of pattern.json, mm: a reader gives the strokes of a role, laid back there by the cut line of
their piece. Every line of a mark that is meant must be drawn, and every stroke that is drawn must be part of a mark.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from math import cos, hypot, pi, sin
from typing import TYPE_CHECKING, Any, Final

from ..geometry.point import XY
from ..values import dataclass, replace
from .compare import ends_of, far_from, samples_of
from .drawing import Run, Runs, inside_box

if TYPE_CHECKING:
    from ..geometry.polygon import Box
    from .compare import Floats

NOTCHES: Final = "notches"
DRILLS: Final = "drill holes"
DARTS: Final = "darts"
INNER: Final = "internal lines"
GRAIN: Final = "grain line"
FOLD: Final = "fold line"
WORDS: Final = "lettering"
LINES: Final = (NOTCHES, DRILLS, DARTS, INNER, GRAIN, FOLD)
"""The roles that are compared line by line."""
ROLES: Final = (*LINES, WORDS)

HEAD: Final = 9.0
"""mm from the end of a grain line: there its arrow head is drawn (8 mm long)."""
BRACKET: Final = 14.5
"""mm from a fold line: its bracket is drawn there, with arrow heads (14 mm deep at the most)."""
DASH: Final = 3.2
"""mm: the gaps between dashes of a dart's axis are 3 mm."""
_HOLE: Final = 4.0
"""mm round a drill hole in which its circle and cross lie (5 mm across)."""
_CROSS: Final = 1.0
"""mm that the drawing of a drill hole reaches from its middle at the least."""
_BEHIND: Final = 0.5
"""mm that an arrow head stands out to both sides of its line at the least."""
_LETTER: Final = 3.0
"""mm of stroke in a letter at the least, of the smallest lettering that is drawn (2 mm capitals; by hand)."""
BESIDE: Final = 3.0
"""mm that a bar across the end of a line may stand out beyond its piece."""
AROUND: Final = 30.0
"""mm that names of sizes may stand beyond the outermost line of a nest."""
_FAR: Final = 1e6


@dataclass(frozen=True, slots=True)
class NotchMark:
    """A notch of pattern.json, at the point where it meets the cut line; `out` is its unit vector outwards."""

    point: XY
    kind: str
    depth: float
    width: float
    out: XY = (0.0, 1.0)
    name: str = ""


@dataclass(frozen=True, slots=True)
class NamedLine:
    """A dart (three points from edge to edge, or four all round) or a line inside a piece."""

    name: str
    points: tuple[XY, ...]


@dataclass(frozen=True, slots=True)
class Lettered:
    """A line of a label: its text, the middle of its baseline, the height of its capitals, and the angle it runs at."""

    text: str
    at: XY
    height: float
    angle_deg: float = 0.0


@dataclass(frozen=True, slots=True)
class Marks:
    """The marks of one piece in pattern.json, and what is said of it."""

    notches: tuple[NotchMark, ...] = ()
    drill_holes: tuple[XY, ...] = ()
    grain_line: tuple[XY, ...] = ()
    fold_line: tuple[XY, ...] = ()
    darts: tuple[NamedLine, ...] = ()
    internal_lines: tuple[NamedLine, ...] = ()
    words: tuple[str, ...] = ()
    one_way: bool = False
    title: str = ""
    material: str = ""
    quantity: int = 0
    mirrored_pair: bool = False
    lettered: tuple[Lettered, ...] = ()
    """The lines of its label where they stand, if pattern.json tells that."""

    @property
    def inner(self) -> Runs:
        """Darts all round, and lines inside: what pattern data has on its layer of internal lines."""
        darts = [Run(dart.points, closed=True) for dart in self.darts]
        return (*darts, *(Run(line.points) for line in self.internal_lines))

    def unfolded(self, axis: XY, way: XY) -> Marks:
        """With every mark on both halves about the fold (a point of it and its unit vector), but for the grain line."""

        def flip(p: XY) -> XY:
            far = (p[0] - axis[0]) * way[0] + (p[1] - axis[1]) * way[1]
            foot = axis[0] + way[0] * far, axis[1] + way[1] * far
            return 2 * foot[0] - p[0], 2 * foot[1] - p[1]

        def over(notch: NotchMark) -> NotchMark:
            (ax, ay), (bx, by) = flip(notch.point), flip((notch.point[0] + notch.out[0], notch.point[1] + notch.out[1]))
            return replace(notch, point=(ax, ay), out=(bx - ax, by - ay))

        def lines(own: tuple[NamedLine, ...]) -> tuple[NamedLine, ...]:
            return (*own, *(replace(line, points=tuple(map(flip, line.points))) for line in own))

        return replace(
            self,
            notches=(*self.notches, *map(over, self.notches)),
            drill_holes=(*self.drill_holes, *map(flip, self.drill_holes)),
            darts=lines(self.darts),
            internal_lines=lines(self.internal_lines),
        )


NO_MARKS: Final = Marks()


# ---- what is to be drawn


@dataclass(frozen=True, slots=True)
class Mark:
    """One mark that is to be drawn: `lines` whole, `dashes` with small gaps, `spot` as a small sign round a point.

    Where `rooms` lie (a line, and so many mm round it) more of the mark may be drawn: arrow heads, brackets.
    """

    name: str
    lines: Runs = ()
    dashes: Runs = ()
    spot: XY | None = None
    rooms: tuple[tuple[Run, float], ...] = ()
    heads: tuple[tuple[XY, XY], ...] = ()
    """Arrow heads: the tip, and the unit vector from the line to it."""

    def moved(self, dx: float, dy: float) -> Mark:
        """The same mark elsewhere."""
        return self.through(lambda p: (p[0] + dx, p[1] + dy))

    def through(self, at: Callable[[XY], XY]) -> Mark:
        """The same mark elsewhere, turned or turned over."""

        def run(line: Run) -> Run:
            return Run(tuple(map(at, line.points)), line.closed)

        def head(tip: XY, way: XY) -> tuple[XY, XY]:
            (ax, ay), (bx, by) = at(tip), at((tip[0] + way[0], tip[1] + way[1]))
            return (ax, ay), (bx - ax, by - ay)

        return Mark(
            self.name,
            tuple(map(run, self.lines)),
            tuple(map(run, self.dashes)),
            at(self.spot) if self.spot is not None else None,
            tuple((run(line), by) for line, by in self.rooms),
            tuple(head(tip, way) for tip, way in self.heads),
        )


def meant_by_role(marks: Marks, box: Box | None = None, *, axes: bool = True) -> dict[str, tuple[Mark, ...]]:
    """The marks that are to be drawn, by role; of a panel, what of them lies in its box. `axes`: of darts too."""
    found = {
        NOTCHES: [_notch(notch) for notch in marks.notches],
        DRILLS: [Mark(f"drill hole {i}", spot=spot) for i, spot in enumerate(marks.drill_holes, start=1)],
        DARTS: [_dart(dart, axis=axes) for dart in marks.darts],
        INNER: [Mark(f"the line {line.name!r}", (Run(line.points),)) for line in marks.internal_lines],
        GRAIN: _grain(marks),
        FOLD: [],
    }
    if marks.fold_line:
        line = Run(marks.fold_line)
        found[FOLD].append(Mark("the fold line", (line,), rooms=((line, BRACKET),)))
    if box is not None:
        found = {role: [part for mark in own for part in _clipped(mark, box)] for role, own in found.items()}
    return {role: tuple(own) for role, own in found.items()}


def _notch(notch: NotchMark) -> Mark:
    """A notch as it is cut (ASTM D6673-10, layers 4 and 80 to 83): depth from the cut line, width at the cut line."""
    (x, y), (u, v), half = notch.point, notch.out, notch.width / 2

    def at(aside: float, out: float) -> XY:
        """`aside` to the left of the way out, `out` beyond the cut line."""
        return x + u * out - v * aside, y + v * out + u * aside

    d = notch.depth
    shapes: dict[str, list[list[XY]]] = {
        "slit": [[at(0, 0), at(0, -d)]],
        "V": [[at(-half, 0), at(0, -d), at(half, 0)]],
        "V outwards": [[at(-half, 0), at(0, d), at(half, 0)]],
        "T": [[at(0, 0), at(0, -d)], [at(-half, -d), at(half, -d)]],
        "castle": [[at(-half, 0), at(-half, -d), at(half, -d), at(half, 0)]],
        "check": [[at(0, 0), at(0, -d), at(notch.width, 0)]],
        "U": [[at(-half, 0), *(at(-half * cos(pi * i / 16), half - d - half * sin(pi * i / 16)) for i in range(17)),
               at(half, 0)]],
    }  # fmt: skip
    lines = tuple(Run(tuple(points)) for points in shapes.get(notch.kind, shapes["slit"]))
    return Mark(notch.name or "a notch", lines)


def _dart(dart: NamedLine, *, axis: bool) -> Mark:
    p = dart.points
    closed = len(p) > 3
    middle = (p[0], p[2]) if closed else (p[1], ((p[0][0] + p[-1][0]) / 2, (p[0][1] + p[-1][1]) / 2))
    return Mark(f"the dart {dart.name!r}", (Run(p, closed),), (Run(middle),) if axis else ())


def _grain(marks: Marks) -> list[Mark]:
    if not marks.grain_line:
        return []
    a, b = marks.grain_line
    long = hypot(b[0] - a[0], b[1] - a[1]) or 1.0
    way = (b[0] - a[0]) / long, (b[1] - a[1]) / long
    rooms = [(Run((end, end)), HEAD) for end in ((b,) if marks.one_way else (a, b))]
    heads = [(b, way), *([] if marks.one_way else [(a, (-way[0], -way[1]))])]
    if marks.fold_line:
        rooms.append((Run(marks.fold_line), BRACKET))
    return [Mark("the grain line", (Run((a, b)),), rooms=tuple(rooms), heads=tuple(heads))]


def _clipped(mark: Mark, box: Box) -> Iterable[Mark]:
    """What of a mark lies in the box; a sign at its very edge is left to the neighbour to prove."""

    def held(p: XY, by: float) -> bool:
        return box.left + by <= p[0] <= box.right - by and box.bottom + by <= p[1] <= box.top - by

    if mark.spot is not None:
        if held(mark.spot, _HOLE):
            yield mark
        elif held(mark.spot, -_HOLE):
            yield Mark(mark.name, rooms=((Run((mark.spot, mark.spot)), _HOLE),))
        return
    lines, dashes = (tuple(part for run in runs for part in inside_box(run, box)) for runs in (mark.lines, mark.dashes))
    heads = tuple(head for head in mark.heads if held(head[0], HEAD))
    yield Mark(mark.name, lines, dashes, None, mark.rooms, heads)


# ---- against what is drawn


@dataclass(frozen=True, slots=True)
class Judged:
    """How far drawn marks are from those that are meant, mm; `wrong` says what is the matter, "" if nothing is."""

    worst: float
    wrong: str


def judged(
    role: str,
    meant: Sequence[Mark],
    drawn: Floats,
    limit: float,
    *,
    gap: float = 0.0,
    own: Floats | None = None,
    others: Sequence[Mark] = (),
) -> Judged:
    """The marks of one role against what is drawn of them ((n, 2, 2), straight runs, in pattern.json's coordinates).

    `gap`: how long the gaps between dashes are, where a format draws lines in dashes itself. `own`: the part of what is
    drawn that has to be part of these marks, or of `others`, those of other sizes that may be drawn there too; all of
    it unless it is given.
    """
    asked = drawn if own is None else own
    if role == DRILLS:
        return _judged_spots(meant, [*meant, *others], drawn, asked, limit)
    told = _undrawn(meant, drawn, limit, gap)
    told += strangers_of(role, [*meant, *others], asked, limit)
    told += [head for mark in meant for head in _headless(mark, drawn)]
    worst = max((far for far, _ in told), default=0.0)
    return Judged(min(worst, _FAR), _several([words for _, words in told if words]))


def _several(wrong: Sequence[str]) -> str:
    """The first two of what is the matter, and how much more is."""
    own = list(dict.fromkeys(wrong))
    more = f"; and {len(own) - 2} more" if len(own) > 2 else ""
    return "; ".join(own[:2]) + more


def _named(marks: Sequence[Mark], *, dashes: bool) -> tuple[Floats, Any]:
    """The straight runs of all marks, and of each the number of its mark."""
    import numpy as np

    groups = [ends_of(mark.dashes if dashes else mark.lines) for mark in marks]
    numbers = np.repeat(np.arange(len(groups)), [len(group) for group in groups])
    return np.concatenate(groups) if groups else np.empty((0, 2, 2)), numbers


def _undrawn(meant: Sequence[Mark], drawn: Floats, limit: float, gap: float) -> list[tuple[float, str]]:
    """Marks that are not drawn, or not there: the worst distance of each that is off."""
    import numpy as np

    found: list[tuple[float, str]] = [(0.0, "")]
    for dashes, slack in ((False, gap), (True, max(DASH, gap))):
        ends, numbers = _named(meant, dashes=dashes)
        if not len(ends):
            continue
        points, index = samples_of(ends)
        far, _ = far_from(points, drawn)
        if slack == 0.0:
            found.append((float(far.max()) if far.max() <= limit else 0.0, ""))
        over = far > limit + slack
        for k in dict.fromkeys(numbers[index[over]].tolist()):
            own = numbers[index] == k
            worst = np.flatnonzero(own)[int(far[own].argmax())]
            found.append((float(far[worst]), _off_words(meant[k].name, far[own], points[worst], limit + slack)))
    return found


def _off_words(name: str, far: Floats, at: Floats, limit: float) -> str:
    where = f"({at[0]:.1f}, {at[1]:.1f}) of pattern.json"
    if float(far.min()) > limit:
        return f"{name} is not drawn at {where}"
    return f"{name} is {float(far.max()):.3f} mm off at {where}, limit {limit:g} mm"


def strangers_of(role: str, known: Sequence[Mark], drawn: Floats, limit: float) -> list[tuple[float, str]]:
    """What is drawn and is no part of a mark: how far it is from the nearest, and what is told."""
    import numpy as np

    if not len(drawn):
        return []
    points, _ = samples_of(drawn)
    lines = np.concatenate([_named(known, dashes=dashes)[0] for dashes in (False, True)])
    far, _ = far_from(points, lines)
    for mark in known:
        for run, round_it in mark.rooms:
            far = np.minimum(far, np.maximum(far_from(points, ends_of((run,), points=True))[0] - round_it, 0.0))
    worst = int(far.argmax())
    if far[worst] <= limit:
        return [(float(far[worst]), "")]
    x, y = points[worst]
    return [(float(far[worst]), f"something at ({x:.1f}, {y:.1f}) of pattern.json is drawn as {role} and is not meant")]


def _headless(mark: Mark, drawn: Floats) -> Iterable[tuple[float, str]]:
    """Arrow heads that are not drawn, or the wrong way round: they stand out to both sides, behind the tip."""
    import numpy as np

    points = drawn.reshape(-1, 2)
    for (x, y), (u, v) in mark.heads:
        along = (points[:, 0] - x) * u + (points[:, 1] - y) * v
        aside = (points[:, 1] - y) * u - (points[:, 0] - x) * v
        near = (along < 0.05) & (along > -HEAD) & (np.abs(aside) < HEAD)
        least = min(_BEHIND, 0.02 * max(1.0, float(np.abs(along).max(initial=1.0))))
        if not ((aside[near] > least).any() and (aside[near] < -least).any()):
            yield 0.0, f"{mark.name} has no arrow head at ({x:.1f}, {y:.1f}) of pattern.json"


def _judged_spots(meant: Sequence[Mark], known: Sequence[Mark], drawn: Floats, asked: Floats, limit: float) -> Judged:
    """Small signs, each by the middle of what is drawn round its point."""
    import numpy as np

    known_places = [
        place for mark in known for place in (mark.spot, *(run.points[0] for run, _ in mark.rooms)) if place is not None
    ]
    places = [mark.spot for mark in meant if mark.spot is not None]
    wrong: list[str] = []
    worst = 0.0
    points = drawn.reshape(-1, 2)
    nearest, far = _nearest_spots(points, places)
    for k, mark in enumerate(mark for mark in meant if mark.spot is not None):
        own = points[(nearest == k) & (far <= 2 * _HOLE)]
        x, y = places[k]
        where = f"({x:.1f}, {y:.1f}) of pattern.json"
        if not len(own) or float(np.ptp(own, axis=0).min()) < 2 * _CROSS:
            wrong.append(f"{mark.name} is not drawn at {where}")
            continue
        low, high = own.min(axis=0), own.max(axis=0)
        off = hypot(float(low[0] + high[0]) / 2 - x, float(low[1] + high[1]) / 2 - y)
        worst = max(worst, off)
        if off > limit:
            wrong.append(f"{mark.name} is {off:.3f} mm off at {where}, limit {limit:g} mm")
    points = asked.reshape(-1, 2)
    _, far = _nearest_spots(points, known_places)
    if (far > 2 * _HOLE).any():
        x, y = points[int(far.argmax())]
        wrong.append(f"something at ({x:.1f}, {y:.1f}) of pattern.json is drawn as {DRILLS} and is not meant")
        worst = max(worst, min(_FAR, float(far.max())))
    return Judged(worst, _several(wrong))


def _nearest_spots(points: Floats, places: Sequence[XY]) -> tuple[Any, Floats]:
    """Of each point which of the places is nearest, and how far it is; infinite where there are none."""
    import numpy as np

    if not len(points) or not places:
        return np.zeros(len(points), dtype=int), np.full(len(points), np.inf)
    at = np.array(places)
    apart = np.hypot(points[:, None, 0] - at[None, :, 0], points[:, None, 1] - at[None, :, 1])
    nearest = apart.argmin(axis=1)
    return nearest, apart[np.arange(len(points)), nearest]


def judged_words(
    drawn: Floats, room: Sequence[Sequence[XY]], words: Sequence[str], slack: float, *, panel: bool = False
) -> Judged:
    """Lettering that is drawn in strokes: as much as the words need, and on the piece, whose outlines `room` has.

    `slack`: mm that a name beside a line, or a bar across the end of one, may reach beyond them.
    """
    import numpy as np
    import shapely

    letters = sum(not sign.isspace() for line in words for sign in line)
    long = float(np.hypot(*(drawn[:, 1] - drawn[:, 0]).T).sum())
    if letters and not panel and long < letters * _LETTER:
        return Judged(0.0, "its lettering is not drawn" if long == 0.0 else "a part of its lettering is not drawn")
    if not len(drawn):
        return Judged(0.0, "")
    piece = shapely.unary_union([shapely.Polygon(ring).buffer(0) for ring in room])
    shapely.prepare(piece)
    points = drawn.reshape(-1, 2)
    out = points[~shapely.contains_xy(piece, points[:, 0], points[:, 1])]
    far = shapely.distance(piece, shapely.points(out)) if len(out) else np.zeros(1)
    worst = float(far.max())
    if worst <= slack:
        return Judged(0.0, "")
    x, y = out[int(far.argmax())]
    return Judged(worst, f"lettering lies {worst:.1f} mm beyond the piece, at ({x:.1f}, {y:.1f}) of pattern.json")
