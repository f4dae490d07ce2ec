"""A sheet as HP-GL, so plain that HP-GL/2 plotters, cutters and their clones take it alike.

Absolute integers in plotter units (0.025 mm), no scaling, no labels, no line types, arcs flattened before. One contour
a pen-down run, a line feed after every command, lines shorter than 200 bytes; nothing that only some machines read.
Sources: HP-GL and HP-GL/2 command lists of printer and cutter makers; what breaks on machines is common practice.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from functools import cache
from itertools import chain, islice, pairwise
from math import ceil, inf
from operator import itemgetter
from typing import Final, TypeAlias

from ..device.profile import DEVICES, DeviceProfile, usable_length, usable_width
from ..errors import InputError
from ..sheet.dashes import dashed_line
from ..sheet.strokes import Figure, Role, Sheet, Stroke

Run: TypeAlias = list[tuple[int, int]]
"""One pen-down run in plotter units; a closed one ends where it starts."""
Ends: TypeAlias = tuple[tuple[int, int], tuple[int, int]]

PENS: Final = {
    Role.STITCH: 2,
    Role.DART: 2,
    Role.INTERNAL: 2,
    Role.SCALE: 1,
    Role.LABEL: 1,
    Role.GRAIN: 1,
    Role.FOLD: 1,
    Role.DRILL: 1,
    Role.NOTCH: 1,
    Role.CUT: 1,
}
"""The pen of each role. Two pens, as pens 1 and 2 are dark on every palette (3 and above are often yellow or cyan)."""

_GROUPS: Final = (
    tuple(role for role, pen in PENS.items() if pen == 2),
    tuple(role for role, pen in PENS.items() if pen == 1 and role is not Role.NOTCH and role is not Role.CUT),
    (Role.NOTCH,),
    (Role.CUT,),
)
"""What is drawn before what: marks, then notches, then cut lines, since on a cutter a piece moves once it is free."""

POINTS: Final = 12
"""Points in one PD: keeps a line below 200 bytes even with the largest numbers."""

NEXT: Final = 6.0
"""mm: a stroke that starts this near to the end of the one before, as letters and dashes do, is drawn after it."""


def render(sheet: Sheet, device: DeviceProfile) -> bytes:
    """The whole sheet at full size: X along the roll is the sheet's y, Y across it is its width less x (a turn).

    Raises InputError, before a byte is made, when a figure lies outside what the device can reach; it names the
    figure, its size and the device's.
    """
    per_mm = 1 / device.unit
    strokes = [_drawn(figure) for figure in sheet.figures]
    figures = [[_run(stroke, sheet.width, per_mm) for stroke in drawn] for drawn in strokes]
    _within_reach(sheet, figures, device)
    by_role: dict[Role, list[Run]] = {role: [] for role in Role}
    nests: list[list[Run]] = []
    for figure, drawn, runs in zip(sheet.figures, strokes, figures, strict=True):
        stacked = bool(figure.sizes())
        parts = _once(drawn, runs) if stacked else [[run] for run in runs]
        cut = [run for stroke, part in zip(drawn, parts, strict=True) if stroke.role is Role.CUT for run in part]
        if stacked and cut:
            nests.append(cut)  # size by size, in their order
        for stroke, part in zip(drawn, parts, strict=True):
            if not (stacked and stroke.role is Role.CUT):
                by_role[stroke.role] += part

    out = ["IN;\n"]
    if device.sends_page_size:
        out.append(f"PS{_whole(sheet.height, per_mm)},{_whole(sheet.width, per_mm)};\n")
    at, pen = (0, 0), 0
    for roles in _GROUPS:
        groups = _groups([run for role in roles for run in by_role[role]], NEXT * per_mm)
        groups += nests if Role.CUT in roles else ()
        runs = [run for group in groups_in_order(groups, at) for run in group]
        if not runs:
            continue
        wanted = min(PENS[roles[0]], device.pens)
        if wanted != pen:
            out.append(f"PU;\nSP{wanted};\n")
            pen = wanted
        for run in runs:
            line = run if len(run) > 1 else run * 2  # a dot is a line to where it starts
            out.append(_form(len(line)) % tuple(chain.from_iterable(line)))
        at = runs[-1][-1]
    out.append(f"PU;\nSP0;\n{device.advance}")
    return "".join(out).removesuffix("\n").encode("ascii")


def _drawn(figure: Figure) -> list[Stroke]:
    """Its strokes, dashed ones dash by dash in the order of their line; sizes come in their order."""
    if not figure.sizes():
        return list(figure.strokes)
    return [
        Stroke(stroke.role, tuple(dash), size=stroke.size, dashes=stroke.dashes) if stroke.dashes else stroke
        for stroke in figure.strokes
        for dash in (dashed_line(stroke.points, stroke.dashes, closed=stroke.closed) if stroke.dashes else ((),))
    ]


def _once(strokes: Sequence[Stroke], runs: Sequence[Run]) -> list[list[Run]]:
    """Each run, or what is left of a dash or of a line of one size where it would go over a line drawn already.

    Sizes share whole stretches, such as the fold: an upright or level run is not drawn a second time, as paper and
    knives do not bear it. Solid outlines stay whole.
    """
    covered: dict[tuple[int, int], list[tuple[int, int]]] = {}
    whole = [not stroke.size or (stroke.closed and not stroke.dashes) for stroke in strokes]
    for run, stays in zip(runs, whole, strict=True):
        if stays:
            for a, b in pairwise(run):
                if a[0] == b[0] or a[1] == b[1]:
                    _cover(covered, a, b)
    left: list[list[Run]] = []
    for run, stays in zip(runs, whole, strict=True):
        if stays or len(run) < 2 or not any(a[0] == b[0] or a[1] == b[1] for a, b in pairwise(run)):
            left.append([run])
            continue
        parts: list[Run] = []
        for a, b in pairwise(run):
            for start, end in _uncovered(covered, a, b):
                if parts and parts[-1][-1] == start:
                    parts[-1].append(end)
                else:
                    parts.append([start, end])
        for a, b in pairwise(run):
            _cover(covered, a, b)
        left.append(parts)
    return left


def _axis(a: tuple[int, int], b: tuple[int, int]) -> int | None:
    """Along which axis a run goes: 0 or 1, None where it slants."""
    return 0 if a[1] == b[1] else 1 if a[0] == b[0] else None


def _cover(covered: dict[tuple[int, int], list[tuple[int, int]]], a: tuple[int, int], b: tuple[int, int]) -> None:
    """Notes a run; the stretches of a line are kept in order and apart."""
    axis = _axis(a, b)
    if axis is None:
        return
    low, high = min(a[axis], b[axis]), max(a[axis], b[axis])
    held = covered.setdefault((axis, a[1 - axis]), [])
    first = bisect_left(held, low, key=itemgetter(1))
    last = bisect_right(held, high, lo=first, key=itemgetter(0))
    if first < last:
        low, high = min(low, held[first][0]), max(high, held[last - 1][1])
    held[first:last] = [(low, high)]


def _uncovered(
    covered: dict[tuple[int, int], list[tuple[int, int]]], a: tuple[int, int], b: tuple[int, int]
) -> list[Ends]:
    """The parts of a run that no line lies on yet, in its direction."""
    axis = _axis(a, b)
    if axis is None:
        return [(a, b)]
    at, end = sorted((a[axis], b[axis]))
    free: list[tuple[int, int]] = []
    held = covered.get((axis, a[1 - axis]), [])
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


def in_order(runs: Sequence[Run], at: tuple[int, int]) -> list[Run]:
    """The runs in the order of least travel as far as a greedy walk finds it, from `at`: always the nearest end next.

    An open run may be drawn from either end; a closed one starts at the point it was given.
    """
    walk = _walk([(run[0], run[-1]) for run in runs], at)
    return [runs[number][::-1] if turned else runs[number] for number, turned in walk]


def groups_in_order(groups: Sequence[list[Run]], at: tuple[int, int]) -> list[list[Run]]:
    """The same for groups of runs, each drawn as it was given or from its last end to its first."""
    walk = _walk([(group[0][0], group[-1][-1]) for group in groups], at)
    return [[run[::-1] for run in reversed(groups[number])] if turned else groups[number] for number, turned in walk]


def _groups(runs: Sequence[Run], near: float) -> list[list[Run]]:
    """The runs in the order given, those together that follow one another within `near` units."""
    groups: list[list[Run]] = []
    x, y = inf, inf
    for run in runs:
        if abs(run[0][0] - x) <= near and abs(run[0][1] - y) <= near:
            groups[-1].append(run)
        else:
            groups.append([run])
        x, y = run[-1]
    return groups


def _walk(ends: Sequence[Ends], at: tuple[int, int]) -> list[tuple[int, bool]]:
    """Number, and whether it is turned, of the nearest pair of ends each time.

    Ends are kept sorted along X and linked, so that a search looks only at those nearer in X than the best so far.
    """
    entries = sorted(
        (pair[end][0], pair[end][1], number, end)
        for number, pair in enumerate(ends)
        for end in ((0,) if pair[0] == pair[1] else (0, 1))
    )
    count = len(entries)
    xs = [entry[0] for entry in entries]
    ys = [entry[1] for entry in entries]
    places = {(number, end): i for i, (_, _, number, end) in enumerate(entries)}
    # Slot `count` closes the chain at both ends.
    after = [*range(1, count + 1), 0]
    before = [count, *range(count)]
    right = bisect_left(xs, at[0])
    left = right - 1 if right else count
    x, y = at
    walk: list[tuple[int, bool]] = []
    for _ in ends:
        best, nearest = 1 << 80, count
        for i, beyond in ((right, after), (left, before)):
            while i != count:
                dx = xs[i] - x
                if dx * dx >= best:
                    break
                dy = ys[i] - y
                if dx * dx + dy * dy < best:
                    best, nearest = dx * dx + dy * dy, i
                i = beyond[i]
        _, _, number, end = entries[nearest]
        walk.append((number, end == 1))
        last = places.get((number, 1 - end), nearest)
        for i in (nearest, last) if last != nearest else (nearest,):
            after[before[i]], before[after[i]] = after[i], before[i]
        x, y, left, right = xs[last], ys[last], before[last], after[last]
    return walk


def _whole(mm: float, per_mm: float) -> int:
    return ceil(mm * per_mm - 1e-6)


def _run(stroke: Stroke, width: float, per_mm: float) -> Run:
    points = [(round(y * per_mm), round((width - x) * per_mm)) for x, y in stroke.points]
    if stroke.closed:
        points.append(points[0])
    kept = points[:1]
    kept += [q for p, q in pairwise(points) if p != q]
    return kept


@cache
def _form(count: int) -> str:
    """The commands of one run of that many points, all numbers left open."""
    rest = [min(POINTS, count - i) for i in range(1, count, POINTS)]
    return "PU%d,%d;\n" + "".join(f"PD{','.join(['%d,%d'] * points)};\n" for points in rest)


def _within_reach(sheet: Sheet, drawn: Sequence[Sequence[Run]], device: DeviceProfile) -> None:
    per_mm = 1 / device.unit
    across_most, along_most = (int(usable(device) * per_mm + 1e-6) for usable in (usable_width, usable_length))
    across_sheet, along_sheet = _whole(sheet.width, per_mm), _whole(sheet.height, per_mm)
    boxes: list[tuple[str, int, int, int, int]] = []
    for figure, runs in zip(sheet.figures, drawn, strict=True):
        if runs:
            xs = [p[0] for run in runs for p in run]
            ys = [p[1] for run in runs for p in run]
            boxes.append((figure.label, min(xs), max(xs), min(ys), max(ys)))
    along_need = max((box[2] for box in boxes), default=0) * device.unit
    across_need = max((box[4] for box in boxes), default=0) * device.unit
    for name, least_x, most_x, least_y, most_y in boxes:
        across, along = (most_y - least_y) * device.unit, (most_x - least_x) * device.unit
        size = f"{name} is {across:.1f} mm across the roll and {along:.1f} mm along it"
        if most_y > across_most:
            found = f"{size}, and reaches {most_y * device.unit:.1f} mm across"
        elif most_x > along_most:
            found = f"{size}, and reaches {most_x * device.unit:.1f} mm along"
        elif min(least_x, least_y) < 0 or most_x > along_sheet or most_y > across_sheet:
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
    parts = "plot some sizes at a time (--size)" if by_size else "plot the pieces in parts"
    otherwise = parts if along > usable_length(device) else f"lay the pieces for {usable_width(device):.0f} mm"
    for other in sorted(DEVICES.values(), key=lambda profile: profile.width):
        if usable_width(other) >= across and usable_length(other) >= along:
            return f'Choose device = "{other.name}" or a wider one, or {otherwise}'
    return f"No device that Oaktag knows is that large; {otherwise}"
