"""A sheet as a stream of pen moves: plain HP-GL that plotters, cutters and their clones take alike, or coded (PE).

Integers in plotter units, no scaling, no labels, no line types, arcs flattened before. One contour a pen-down run,
`line_end` after every command, lines shorter than 200 bytes; an empty line stands before every part (one piece with one
pen), where a plot that was broken off can be taken up again. Nothing is written before every coordinate is proved to
lie within the device's range. Sources: HP-GL and HP-GL/2 command lists of printer and cutter makers; HP PCL 5 Technical
Reference, part II, for PE; what breaks on machines is common practice.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Iterator, Sequence
from functools import cache
from itertools import accumulate, chain, islice, pairwise
from math import ceil, hypot
from operator import eq, itemgetter
from typing import Any, Final, NamedTuple, TypeAlias

from ..device.correction import Correction
from ..device.profile import Blade, DeviceProfile, usable_length, usable_width
from ..errors import InputError
from ..geometry.clip import clip_line
from ..geometry.point import XY
from ..geometry.polygon import Box
from ..sheet.dashes import dashed_line
from ..sheet.strokes import Figure, Role, Sheet, Stroke
from ..values import dataclass, replace
from . import knife
from .route import Ends, Spot, ends_of, grouped, tour, travel, walk
from .svg import STYLES

Run: TypeAlias = Any
"""One pen-down run: a list of (x, y) in plotter units, or an (n, 2) int32 array where the plot is a big one; a closed
one ends where it starts. Of a cutter, the tip's way in mm until it is written."""

NEXT: Final = 6.0
"""mm: a stroke that starts this near to the end of the one before, as letters and dashes do, is drawn after it."""
_BATCH: Final = 100_000
BIG: Final = 60_000
"""Points from which arrays are worth the import of numpy, if strokes have MANY of them on average:
with shorter ones, such as letters and dashes, lists are faster at any number (measured)."""
MANY: Final = 20
_CROSS: Final = 3.0
"""Arms of the match marks at a join of frames, mm."""
_LEAD: Final = 4.0
"""Length of the first cut, in the waste, by which a drag knife comes to face a known way, mm."""


@dataclass(frozen=True, slots=True)
class Part:
    """What is drawn of one figure with one pen, in one frame (from 1; 1 where there are none): in so many lines, mm."""

    name: str
    pen: int
    frame: int = 1
    lines: int = 0
    drawn: float = 0.0


@dataclass(frozen=True, slots=True)
class Plot:
    """A stream, its parts in their order, and the ways of the pen, mm; `page` is how long and how wide it is, mm."""

    data: bytes
    page: tuple[float, float]
    parts: tuple[Part, ...]
    drawn: float
    travel: float
    """With the pen up."""
    travel_as_given: float
    """The same if every stroke were drawn in the order of the sheet."""


def render(sheet: Sheet, device: DeviceProfile) -> bytes:
    """The bytes of `plot`."""
    return plot(sheet, device).data


def plot(sheet: Sheet, device: DeviceProfile, *, in_order: bool = False) -> Plot:
    """The whole sheet at full size, marks before cuts, piece after piece, by a short way; or `in_order` of the sheet,
    each finished before the next, so that after a jam all before one are whole (a cutter still marks everything first).

    With the axis "along" X is the sheet's y and Y its width less x (a turn); with "across" they are x and y. A
    correction of the device is applied to every point. Raises InputError, before a byte is made, when a figure lies
    outside what the device can reach; it names the figure, its size and the device's.
    """
    place = _Place.of(sheet, device)
    counts = [len(stroke.points) for figure in sheet.figures for stroke in figure.strokes]
    plain = device.blade is None and device.frame is None and not any(figure.sizes() for figure in sheet.figures)
    convert = _arrays if plain and sum(counts) >= max(BIG, MANY * len(counts)) else _lists
    drawn = [_of_figure(figure, device, place, convert) for figure in sheet.figures]
    _within_reach(sheet, drawn, place, device)
    given = [ends for one in drawn for ends in one.given]
    as_given = travel(given, [(number, False) for number in range(len(given))], (0, 0)) * device.unit
    frames = _frames(drawn, place, device)
    stream = _Stream(device, place, in_order=in_order)
    stream.head()
    for number, figures in enumerate(frames, start=1):
        if number > 1:
            stream.next_frame()
        one_by_one = in_order and not device.cuts
        for together in [[figure] for figure in figures] if one_by_one else [figures]:
            for pen, roles in _passes(device):
                stream.draw(together, pen, roles, number)
    stream.tail()
    page = place.height, place.width
    return Plot(stream.bytes(), page, tuple(stream.parts), stream.down * device.unit, stream.up * device.unit, as_given)


# ---- from the sheet to the device


@dataclass(frozen=True, slots=True)
class _Place:
    """How the sheet lies on the device: the correction, then shifts (mm), then the axes; origin in plotter units."""

    correction: Correction
    dx: float
    dy: float
    width: float
    height: float
    per_mm: float
    along: bool
    origin: Spot

    @classmethod
    def of(cls, sheet: Sheet, device: DeviceProfile) -> _Place:
        along = device.axis == "along"
        left, bottom, right, top = device.correction.bounds(sheet.width, sheet.height)
        width, height = right - left, top - bottom
        origin = (0, 0)
        if device.origin == "centre":
            long = height if device.length is None else usable_length(device)
            half = (round(long / device.unit / 2), round(usable_width(device) / device.unit / 2))
            origin = half if along else half[::-1]
        return cls(device.correction, -left, -bottom, width, height, 1 / device.unit, along, origin)

    def mm(self, points: Sequence[XY]) -> Sequence[XY]:
        """Points of the sheet as they are sent, X and Y in mm from the corner."""
        if not self.correction.identity:
            points = [(x + self.dx, y + self.dy) for x, y in self.correction.points(points)]
        return [(y, self.width - x) for x, y in points] if self.along else points

    def units(self, points: Sequence[XY]) -> list[Spot]:
        """The same in plotter units."""
        per_mm, width = self.per_mm, self.width
        if self.along and self.correction.identity:
            return [(round(y * per_mm), round((width - x) * per_mm)) for x, y in points]
        return [(round(x * per_mm), round(y * per_mm)) for x, y in self.mm(points)]

    def across_and_along(self, runs: Sequence[Run]) -> tuple[float, float, float, float]:
        """Bounds: least and most across the paper, least and most along it; plotter units."""
        if all(isinstance(run, list) for run in runs):
            flat = list(chain.from_iterable(chain.from_iterable(runs)))
            xs, ys = flat[::2], flat[1::2]
            low_x, high_x, low_y, high_y = min(xs), max(xs), min(ys), max(ys)
        else:
            import numpy as np

            batches = [np.concatenate(batch).T for batch in _batches(runs)]
            low_x, low_y = (min(int(batch[axis].min()) for batch in batches) for axis in (0, 1))
            high_x, high_y = (max(int(batch[axis].max()) for batch in batches) for axis in (0, 1))
        return (low_y, high_y, low_x, high_x) if self.along else (low_x, high_x, low_y, high_y)


class _Line(NamedTuple):
    """What the pen is to follow of a stroke: the whole of it, or one dash, which is open."""

    stroke: Stroke
    points: Sequence[XY]
    dash: bool

    @property
    def closed(self) -> bool:
        """Whether it goes back to its first point, which it does not repeat."""
        return self.stroke.closed and not self.dash


def _apart(whole: list[Spot]) -> list[Spot]:
    """Without spots that fall on the one before."""
    if any(map(eq, whole, islice(whole, 1, None))):
        return whole[:1] + [q for p, q in pairwise(whole) if p != q]
    return whole


def _lists(lines: Sequence[_Line], place: _Place) -> list[Run]:
    points = [(*line, line[0]) if s.closed and not dash else line for s, line, dash in lines]
    whole = place.units(list(chain.from_iterable(points)))
    limits = [0, *accumulate(map(len, points))]
    return [_apart(whole[start:end]) for start, end in pairwise(limits)]


def _arrays(lines: Sequence[_Line], place: _Place) -> list[Run]:
    """As `_lists`, many points in one go: (n, 2) int32 arrays."""
    found: list[Run] = []
    first = count = 0
    for i, line in enumerate(lines):
        count += len(line.points)
        if count >= _BATCH or i == len(lines) - 1:
            found += _arrays_at_once(lines[first : i + 1], place)
            first, count = i + 1, 0
    return found


def _arrays_at_once(lines: Sequence[_Line], place: _Place) -> list[Run]:
    import numpy as np

    points = [(*line.points, line.points[0]) if line.closed else line.points for line in lines]
    ends = np.cumsum([len(line) for line in points])
    flat = np.fromiter(chain.from_iterable(chain.from_iterable(points)), np.float64, 2 * int(ends[-1])).reshape(-1, 2)
    if not place.correction.identity:
        xx, xy, yx, yy = place.correction.matrix
        flat = flat @ np.array([[xx, yx], [xy, yy]]) + np.array([place.dx, place.dy])
    if place.along:
        flat = np.stack((flat[:, 1], place.width - flat[:, 0]), axis=1)
    flat *= place.per_mm
    whole = np.rint(flat, out=flat).astype(np.int32)
    new = np.ones(len(whole), dtype=bool)
    spots = whole.view(np.int64)[:, 0]  # both numbers of a point as one
    np.not_equal(spots[1:], spots[:-1], out=new[1:])
    new[ends[:-1]] = True  # where the next run begins
    if not new.all():
        ends = np.cumsum(new)[ends - 1]
        whole = whole[new]
    limits = [0, *ends.tolist()]
    return [whole[start:end] for start, end in pairwise(limits)]


def _ends(run: Run) -> Ends:
    """Its first and its last point."""
    if isinstance(run, list):
        return run[0], run[-1]
    first, *_, last = run[:: max(1, len(run) - 1)].tolist() * 2
    return (first[0], first[1]), (last[0], last[1])


# ---- figures, passes, frames


@dataclass(frozen=True, slots=True)
class _Drawn:
    """The runs of a figure: by role; stacked cut lines, size by size, are kept together. `given`: the sheet's order."""

    label: str
    of_size: bool
    by_role: dict[Role, list[Run]]
    nest: list[Run]
    given: list[Ends]

    def all(self) -> Iterator[Run]:
        yield from chain.from_iterable(self.by_role.values())
        yield from self.nest


def _of_figure(
    figure: Figure, device: DeviceProfile, place: _Place, convert: Callable[[Sequence[_Line], _Place], list[Run]]
) -> _Drawn:
    pens = {role: device.pen(role.name.lower()) for role in Role}
    lines = _dashed([stroke for stroke in figure.strokes if pens[stroke.role]])
    if device.cuts:  # what lies inside another is smaller, and is cut first
        lines.sort(key=lambda line: _extent(line.points) if line.stroke.role is Role.CUT else 0.0)
    runs = convert(lines, place)
    given = [_ends(run) for run in runs]
    stacked = bool(figure.sizes())
    parts = _once(lines, runs) if stacked else [[run] for run in runs]
    by_role: dict[Role, list[Run]] = {role: [] for role in dict.fromkeys(line.stroke.role for line in lines)}
    nest: list[Run] = []
    for line, part in zip(lines, parts, strict=True):
        role = line.stroke.role
        if stacked and role is Role.CUT:
            nest += part
        elif device.blade is not None and pens[role] == pens[Role.CUT]:
            by_role[role] += _tips(line, device.blade)
        else:
            by_role[role] += part
    return _Drawn(figure.label, bool(figure.size), by_role, nest, given)


def _tips(line: _Line, blade: Blade) -> list[Run]:
    """The ways of the knife's tip for a line, mm on the sheet."""
    if line.closed and len(line.points) > 2:
        return [list(way) for way in knife.tips(line.points, blade)]
    return [list(line.points)]


def _extent(points: Sequence[XY]) -> float:
    box = Box.round(points)
    return box.width * box.height


def _dashed(strokes: Sequence[Stroke]) -> list[_Line]:
    """The strokes, dashed ones dash by dash in the order of their line; sizes come in their order.

    The roles are told apart by their dashes here too, as one pen may draw them all.
    """
    found: list[_Line] = []
    for stroke in strokes:
        dashes = STYLES[stroke.role].dashes if stroke.dashes is None else stroke.dashes
        if not dashes or len(stroke.points) < 2:
            found.append(_Line(stroke, stroke.points, False))
            continue
        lines = dashed_line(stroke.points, dashes, closed=stroke.closed, phase=stroke.phase)
        found += [_Line(stroke, dash, True) for dash in lines]
    return found


def _passes(device: DeviceProfile) -> list[tuple[int, tuple[tuple[Role, ...], ...]]]:
    """Pen by pen, the one that cuts last: what it draws of a piece, in that order.

    Where one tool marks and cuts, all marks are made first, since a piece moves once it is free.
    """
    by_pen: dict[int, list[Role]] = {}
    for role in Role:
        by_pen.setdefault(device.pen(role.name.lower()), []).append(role)
    last = device.pen("cut")
    found: list[tuple[int, tuple[tuple[Role, ...], ...]]] = []
    for pen in sorted(by_pen, key=lambda pen: (pen == last, -pen)):
        if pen == 0:
            continue
        marks = tuple(role for role in by_pen[pen] if role not in (Role.NOTCH, Role.CUT))
        cuts = tuple((role,) for role in (Role.NOTCH, Role.CUT) if role in by_pen[pen])
        if device.cuts and pen == last and marks:
            found += [(pen, (marks,)), (pen, cuts)]
        else:
            found.append((pen, (marks, *cuts)))
    return found


def _frames(drawn: Sequence[_Drawn], place: _Place, device: DeviceProfile) -> list[list[_Drawn]]:
    """The figures by frame, each from its own origin; one frame where the device draws in one go."""
    long = place.height * place.per_mm
    if device.frame is None or place.height <= device.frame:
        return [list(drawn)]
    step = round(device.frame * place.per_mm)
    count = ceil(long / step)
    marks = [_join_marks(drawn, place, k * step) for k in range(1, count)]
    joins = _Drawn("joins of frames", False, {Role.JOIN: [run for each in marks for run in each]}, [], [])
    frames: list[list[_Drawn]] = []
    for k in range(count):
        frames.append([_within(one, k * step, (k + 1) * step, place) for one in (*drawn, joins)])
    return frames


def _within(one: _Drawn, low: int, high: int, place: _Place) -> _Drawn:
    """What of a figure lies between two places along the paper, counted from the first; no frames have a knife."""
    far = 1 << 40
    box = Box(low, -far, high, far) if place.along else Box(-far, low, far, high)
    shift = (low, 0) if place.along else (0, low)

    def clipped(run: Run) -> list[Run]:
        if len(run) == 1:
            inside = box.left <= run[0][0] < box.right and box.bottom <= run[0][1] < box.top
            parts = [list(run)] if inside else []
        else:
            parts = clip_line(run, box)
        kept = [_apart([(round(x) - shift[0], round(y) - shift[1]) for x, y in part]) for part in parts]
        return [part for part in kept if len(part) > 1 or len(run) == 1]

    by_role = {role: [part for run in runs for part in clipped(run)] for role, runs in one.by_role.items()}
    return replace(one, by_role=by_role, nest=[part for run in one.nest for part in clipped(run)])


def _join_marks(drawn: Sequence[_Drawn], place: _Place, at: int) -> list[Run]:
    """Two crosses on a join of frames, where the least is drawn, as far from each other as may be."""
    arm = round(_CROSS * place.per_mm)
    near = 2 * arm
    taken: list[tuple[float, float]] = []
    for one in drawn:
        for run in one.all():
            for (ax, ay), (bx, by) in pairwise(run):
                a, b, c, d = (ax, bx, ay, by) if place.along else (ay, by, ax, bx)
                if min(a, b) <= at + near and max(a, b) >= at - near:
                    taken.append((min(c, d), max(c, d)))
    width = round(place.width * place.per_mm)
    spots = [arm + k * arm for k in range(max(1, width // arm - 1))]
    free = [s for s in spots if all(high < s - arm or low > s + arm for low, high in taken)] or spots
    marks: list[Run] = []
    for spot in dict.fromkeys((free[0], free[-1])):
        lines = [[(at - arm, spot), (at + arm, spot)], [(at, spot - arm), (at, spot + arm)]]
        marks += lines if place.along else [[(x, y) for y, x in line] for line in lines]
    return marks


# ---- the stream


class _Stream:
    """Commands as they are written, the pen's place, and what it has gone."""

    def __init__(self, device: DeviceProfile, place: _Place, *, in_order: bool) -> None:
        self.device, self.place, self.in_order = device, place, in_order
        self.out: list[str | bytes] = []
        self.parts: list[Part] = []
        self.at: Spot = (0, 0)
        self.pen = 0
        self.facing = 0.0
        self.up = self.down = 0.0
        self.lines = 0

    def command(self, text: str) -> None:
        self.out.append(text + self.device.line_end)

    def head(self) -> None:
        self.command("IN;")
        per_mm = self.place.per_mm
        if self.device.sends_page_size:
            self.command(f"PS{_whole(self.place.height, per_mm)},{_whole(self.place.width, per_mm)};")
        if self.device.cuts_off:
            self.command("EC;")
        if self.device.blade is not None:
            # A first cut along X in the waste beside the pieces: from then on it is known which way the blade faces.
            self.take(self.device.pen("cut"), "")
            beside, end = round(per_mm), round((1.0 + _LEAD) * per_mm)
            self.write([[(beside, beside), (end, beside)]])

    def tail(self) -> None:
        self.command("PU;")
        self.command("SP0;")
        if self.device.advance:
            self.command(self.device.advance)

    def next_frame(self) -> None:
        self.command("PU;")
        self.command(self.device.frame_advance)
        self.at = (0, 0)

    def bytes(self) -> bytes:
        self.out[-1] = self.out[-1][: -len(self.device.line_end) or None]  # of a command, behind the last one
        return b"".join([piece if isinstance(piece, bytes) else piece.encode("latin-1") for piece in self.out])

    def draw(self, figures: Sequence[_Drawn], pen: int, roles: Sequence[Sequence[Role]], frame: int) -> None:
        """What the pen draws of each figure, the nearest figure next, or in their order."""
        waiting: list[tuple[Box, _Drawn]] = []
        for one in figures:
            runs = [run for group in roles for role in group for run in one.by_role.get(role, ())]
            runs += one.nest if any(Role.CUT in group for group in roles) else []
            if runs:
                waiting.append((self.box(runs), one))
        while waiting:
            number = 0
            if not self.in_order:
                number = min(range(len(waiting)), key=lambda i: (_gap(waiting[i][0], self.at), i))
            _, one = waiting.pop(number)
            self.take(pen, self.device.line_end or "\n\n")
            lines, down = self.lines, self.down
            for group in roles:
                runs = [run for role in group for run in one.by_role.get(role, ())]
                nest = [one.nest] if Role.CUT in group and one.nest else []
                kept = self.device.cuts and Role.CUT in group
                self.write(runs if kept else self.ordered(runs, nest))
            drawn = (self.down - down) * self.device.unit
            self.parts.append(Part(one.label, pen, frame, self.lines - lines, drawn))

    def box(self, runs: Sequence[Run]) -> Box:
        ends = [spot for run in runs for spot in self.ends(run)]
        return Box.round(ends)

    def ends(self, run: Run) -> Ends:
        if self.device.blade is not None and isinstance(run[0][0], float):
            (ax, ay), (bx, by) = self.place.mm([run[0], run[-1]])
            per_mm = self.place.per_mm
            return (round(ax * per_mm), round(ay * per_mm)), (round(bx * per_mm), round(by * per_mm))
        return _ends(run)

    def take(self, pen: int, gap: str) -> None:
        """A new part: an empty line, and the pen if it is another one."""
        self.out.append(gap)
        if pen == self.pen:
            return
        self.command("PU;")
        self.command(f"SP{pen};")
        for code, table in (("VS", self.device.speed), ("FS", self.device.force)):
            value = table.get(pen, table.get(0))
            if value is not None:
                self.command(f"{code}{value:g};")
        self.pen = pen

    def ordered(self, runs: Sequence[Run], nests: Sequence[list[Run]]) -> list[Run]:
        """The runs by a short way from where the pen is; runs that follow one another stay together, as nests do."""
        all_runs = [*runs, *(run for nest in nests for run in nest)]
        ends = [self.ends(run) for run in all_runs]
        groups = grouped(ends[: len(runs)], NEXT * self.place.per_mm)
        at = len(runs)
        for nest in nests:
            groups.append(list(range(at, at + len(nest))))
            at += len(nest)
        steps = tour(ends_of(groups, ends), self.at)
        found: list[Run] = []
        for number, turned in steps:
            own = [all_runs[i] for i in groups[number]]
            found += [run[::-1] for run in reversed(own)] if turned else own
        return self.begun(found)

    def begun(self, runs: list[Run]) -> list[Run]:
        """Closed runs begun at that of their points which costs the least way; of a big plot as they are."""
        if self.device.cuts:
            return runs
        x, y = self.at
        begun: list[Run] = []
        for i, run in enumerate(runs):
            if len(run) > 4 and isinstance(run, list) and run[0] == run[-1]:
                nx, ny = runs[i + 1][0] if i + 1 < len(runs) else (x, y)
                k = min(
                    range(len(run) - 1),
                    key=lambda k: hypot(run[k][0] - x, run[k][1] - y) + hypot(run[k][0] - nx, run[k][1] - ny),
                )
                if k:
                    run = run[k:-1] + run[: k + 1]
            begun.append(run)
            x, y = run[-1]
        return begun

    def write(self, runs: Sequence[Run]) -> None:
        if not runs:
            return
        sent = runs if self.device.blade is None else [self.sent(run) for run in runs]
        x, y = self.at
        for (ax, ay), (bx, by) in [_ends(run) for run in sent]:
            self.up += hypot(ax - x, ay - y)
            x, y = bx, by
        self.at = (x, y)
        self.down += _length_of(sent)
        self.lines += len(sent)
        ox, oy = self.place.origin
        if (ox, oy) != (0, 0):
            sent = [[(x - ox, y - oy) for x, y in run] if isinstance(run, list) else run - (ox, oy) for run in sent]
        _prove(sent, self.device)
        if self.device.language in ("pe8", "pe7"):
            self.out.append(_coded(sent, self.device))
        elif all(isinstance(run, list) for run in sent):
            self.out.append(_plain(sent, self.device))
        else:
            self.out += [_plain_of_arrays(batch, self.device) for batch in _batches(sent)]

    def sent(self, run: Run) -> Run:
        """A run in plotter units; of a knife, its holder's path, after a first cut in the waste that turns it."""
        blade = self.device.blade
        if blade is None or not isinstance(run[0][0], float):
            return run
        path, self.facing = knife.holder(self.place.mm(run), blade, self.facing)
        return _apart([(max(0, round(x * self.place.per_mm)), max(0, round(y * self.place.per_mm))) for x, y in path])


def _once(lines: Sequence[_Line], runs: Sequence[Run]) -> list[list[Run]]:
    """Each run, or what is left of a dash or of a line of one size where it would go over a line drawn already.

    Sizes share whole stretches, such as the fold: an upright or level run is not drawn a second time, as paper and
    knives do not bear it. Solid outlines stay whole.
    """
    covered: dict[tuple[int, int], list[tuple[int, int]]] = {}
    whole = [not line.stroke.size or (line.closed and not line.stroke.dashes) for line in lines]
    straight = [[(a, b) for a, b in pairwise(run) if a[0] == b[0] or a[1] == b[1]] for run in runs]  # upright or level
    for legs, stays in zip(straight, whole, strict=True):
        if stays:
            for a, b in legs:
                _cover(covered, a, b)
    left: list[list[Run]] = []
    for run, legs, stays in zip(runs, straight, whole, strict=True):
        if stays or not legs:
            left.append([run])
            continue
        parts: list[Run] = []
        for a, b in pairwise(run):
            upright_or_level = a[0] == b[0] or a[1] == b[1]
            for start, end in _uncovered(covered, a, b) if upright_or_level else [(a, b)]:
                if parts and parts[-1][-1] == start:
                    parts[-1].append(end)
                else:
                    parts.append([start, end])
        for a, b in legs:
            _cover(covered, a, b)
        left.append(parts)
    return left


def _cover(covered: dict[tuple[int, int], list[tuple[int, int]]], a: tuple[int, int], b: tuple[int, int]) -> None:
    """Notes an upright or level run; the stretches of a line are kept in order and apart."""
    axis = 0 if a[1] == b[1] else 1
    low, high = (a[axis], b[axis]) if a[axis] <= b[axis] else (b[axis], a[axis])
    held = covered.setdefault((axis, a[1 - axis]), [])
    if not held:
        held.append((low, high))
        return
    first = bisect_left(held, low, key=itemgetter(1))
    last = bisect_right(held, high, lo=first, key=itemgetter(0))
    if first < last:
        low, high = min(low, held[first][0]), max(high, held[last - 1][1])
    held[first:last] = [(low, high)]


def _uncovered(
    covered: dict[tuple[int, int], list[tuple[int, int]]], a: tuple[int, int], b: tuple[int, int]
) -> list[Ends]:
    """The parts of an upright or level run that no line lies on yet, in its direction."""
    axis = 0 if a[1] == b[1] else 1
    held = covered.get((axis, a[1 - axis]))
    if held is None:
        return [(a, b)]
    at, end = sorted((a[axis], b[axis]))
    free: list[tuple[int, int]] = []
    for low, high in islice(held, bisect_left(held, at, key=itemgetter(1)), None):
        if low >= end:
            break
        if low > at:
            free.append((at, min(low, end)))
        at = max(at, high)
        if at >= end:
            break
    if at < end:
        free.append((at, end))
    back = a[axis] > b[axis]
    level = a[1 - axis]
    parts = [((u, level), (v, level)) if axis == 0 else ((level, u), (level, v)) for u, v in free if v > u]
    return [(v, u) for u, v in reversed(parts)] if back else parts


def in_order(runs: Sequence[list[Spot]], at: Spot) -> list[list[Spot]]:
    """The runs in the order of a greedy walk from `at`: always the nearest end next, a closed one from its start."""
    return [runs[number][::-1] if turned else runs[number] for number, turned in walk([_ends(run) for run in runs], at)]


def _whole(mm: float, per_mm: float) -> int:
    return ceil(mm * per_mm - 1e-6)


def _gap(box: Box, at: Spot) -> float:
    dx = max(box.left - at[0], 0.0, at[0] - box.right)
    dy = max(box.bottom - at[1], 0.0, at[1] - box.top)
    return hypot(dx, dy)


def _length_of(runs: Sequence[Run]) -> float:
    """All runs together, without the ways between them, plotter units."""
    if all(isinstance(run, list) for run in runs):
        return sum([hypot(bx - ax, by - ay) for run in runs for (ax, ay), (bx, by) in pairwise(run)])
    import numpy as np

    total = 0.0
    for batch in _batches(runs):
        steps = np.diff(np.concatenate([np.asarray(run, dtype=np.int32) for run in batch]), axis=0).astype(np.float64)
        ways = np.sqrt(np.einsum("ij,ij->i", steps, steps))
        between = np.cumsum([len(run) for run in batch])[:-1] - 1
        total += float(ways.sum() - ways[between].sum())
    return total


def _prove(runs: Sequence[Run], device: DeviceProfile) -> None:
    """Every number lies within the device's range; `_within_reach` has told in words what does not."""
    for batch in _batches(runs):
        low, high = _range_of(batch)
        if low < device.least or high > device.most:
            raise InputError(
                f"a coordinate of {low if low < device.least else high:,} plotter units",
                expected=f"{device.least:,} to {device.most:,} on {device.name}, {device.words}",
                instead="Choose a device with a wider range, or lay the pieces for a narrower one",
            )


def _range_of(runs: Sequence[Run]) -> tuple[int, int]:
    if all(isinstance(run, list) for run in runs):
        flat = list(chain.from_iterable(chain.from_iterable(runs)))
        return min(flat), max(flat)
    import numpy as np

    whole = np.concatenate([np.asarray(run) for run in runs])
    return int(whole.min()), int(whole.max())


def _plain(runs: Sequence[list[Spot]], device: DeviceProfile) -> str:
    """The commands of all the runs: their form first, then every number in one go."""
    lines = [run if len(run) > 1 else run * 2 for run in runs]  # a dot is a line to where it starts
    form = "".join([_form(len(line), device.points_a_command, device.line_end) for line in lines])
    return form % tuple(chain.from_iterable(chain.from_iterable(lines)))


@cache
def _form(count: int, most: int, end: str) -> str:
    """The commands of one run of that many points, all numbers left open."""
    rest = [min(most, count - i) for i in range(1, count, most)]
    return f"PU%d,%d;{end}" + "".join(f"PD{','.join(['%d,%d'] * points)};{end}" for points in rest)


def _batches(runs: Sequence[Run]) -> Iterator[Sequence[Run]]:
    """The runs in their order, some _BATCH points together, so that no copy of the whole plot is made."""
    first = count = 0
    for i, run in enumerate(runs):
        count += len(run)
        if count >= _BATCH:
            yield runs[first : i + 1]
            first, count = i + 1, 0
    if first < len(runs):
        yield runs[first:]


def _plain_of_arrays(runs: Sequence[Run], device: DeviceProfile) -> bytes:
    """The bytes that `_plain` makes, all runs in one go: numbers by orjson, then commands put in at their commas."""
    import numpy as np
    import orjson

    arrays = [np.asarray(run, dtype=np.int32) for run in runs]
    arrays = [run if len(run) > 1 else np.concatenate((run, run)) for run in arrays]
    counts = np.array([len(run) for run in arrays])
    text = orjson.dumps(np.concatenate(arrays).reshape(-1), option=orjson.OPT_SERIALIZE_NUMPY)
    buffer = np.frombuffer(text, np.uint8).copy()
    commas = np.flatnonzero(buffer == ord(","))
    starts = np.concatenate(([0], np.cumsum(counts)[:-1]))
    points = np.arange(int(counts.sum()))
    place = points - np.repeat(starts, counts)  # of a point in its run
    begins = commas[2 * points[(place >= 1) & ((place - 1) % device.points_a_command == 0)] - 1]
    buffer[begins] = ord("|")
    buffer[commas[2 * starts[1:] - 1]] = ord("^")
    buffer[0], buffer[-1] = ord("^"), ord(" ")
    end = device.line_end.encode("ascii")
    body = buffer.tobytes()[1:-1].replace(b"|", b";" + end + b"PD").replace(b"^", b";" + end + b"PU")
    return b"PU" + body + b";" + end


def _coded(runs: Sequence[Run], device: DeviceProfile) -> bytes:
    """PE: a coded line for every run, its first point absolute with the pen up, the others relative with it down.

    Base 64 in 8 bits, low digit first, the last digit of a number in the upper half; or base 32 in 7 bits
    (HP PCL 5 Technical Reference, part II, "PE, polyline encoded").
    """
    import numpy as np

    seven = device.language == "pe7"
    bits, last = (5, 95) if seven else (6, 191)
    arrays = [np.asarray(run if len(run) > 1 else list(run) * 2, dtype=np.int64) for run in runs]
    moves = np.concatenate([np.concatenate((run[:1], np.diff(run, axis=0))) for run in arrays]).reshape(-1)
    value = np.where(moves < 0, 2 * -moves + 1, 2 * moves)
    digits = np.ones(len(value), dtype=np.int64)
    for more in range(1, 7):
        digits += value >= 1 << (bits * more)
    places = np.arange(int(digits.max()))
    shown = (value[:, None] >> (bits * places)[None, :]) & ((1 << bits) - 1)
    shown += np.where(places[None, :] == digits[:, None] - 1, last, 63)
    body = shown[places[None, :] < digits[:, None]].astype(np.uint8).tobytes()
    lengths = np.add.reduceat(digits, np.concatenate(([0], 2 * np.cumsum([len(run) for run in arrays])[:-1])))
    head = b"PE7<=" if seven else b"PE<="
    end = b";" + device.line_end.encode("ascii")
    out, at = [], 0
    for length in lengths.tolist():
        out.append(head + body[at : at + length] + end)
        at += length
    return b"".join(out)


def _within_reach(sheet: Sheet, drawn: Sequence[_Drawn], place: _Place, device: DeviceProfile) -> None:
    """InputError for a figure that the device cannot reach, or that does not lie on the sheet."""
    across_most, along_most = (int(usable(device) / device.unit + 1e-6) for usable in (usable_width, usable_length))
    across_sheet, along_sheet = _whole(place.width, place.per_mm), _whole(place.height, place.per_mm)
    boxes: list[tuple[str, float, float, float, float]] = []
    for one in drawn:
        runs = list(one.all())
        if device.blade is not None:
            runs = [_apart(place.units(run)) if isinstance(run[0][0], float) else run for run in runs]
        if runs:
            boxes.append((one.label, *place.across_and_along(runs)))
    across_need = max((box[2] for box in boxes), default=0) * device.unit
    along_need = max((box[4] for box in boxes), default=0) * device.unit
    for name, low_u, high_u, low_v, high_v in boxes:
        across, along = (high_u - low_u) * device.unit, (high_v - low_v) * device.unit
        size = f"{name} is {across:.1f} mm across the roll and {along:.1f} mm along it"
        if high_u > across_most:
            found = f"{size}, and reaches {high_u * device.unit:.1f} mm across"
        elif high_v > along_most:
            found = f"{size}, and reaches {high_v * device.unit:.1f} mm along"
        elif min(low_u, low_v) < 0 or high_v > along_sheet or high_u > across_sheet:
            raise InputError(
                f"{size}, and lies partly outside the sheet of {sheet.width:.1f} by {sheet.height:.1f} mm",
                expected="every figure on the sheet, as the device cuts off the rest",
            )
        else:
            continue
        raise InputError(
            found,
            expected=f"at most {usable_width(device):.1f} mm across and {usable_length(device):.1f} mm along on "
            f"{device.name}, {device.words}",
            instead=_other_device(across_need, along_need, device, by_size=any(f.size for f in sheet.figures)),
        )


def _other_device(across: float, along: float, device: DeviceProfile, *, by_size: bool) -> str:
    from ..device.store import find_device, shipped_names

    parts = "plot some sizes at a time (--size)" if by_size else "plot the pieces in parts"
    otherwise = parts if along > usable_length(device) else f"lay the pieces for {usable_width(device):.0f} mm"
    others = [find_device(name) for name in shipped_names()]
    for other in sorted(others, key=lambda profile: (profile.width, profile.name)):
        fits = usable_width(other) >= across and usable_length(other) >= along
        if fits and other.language == "hpgl2" and not other.cuts:
            return f'Choose device = "{other.name}" or a wider one, or {otherwise}'
    return f"No device that Oaktag knows is that large; {otherwise}"
