"""Outlines, cut lines and marks of each piece by itself."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from math import cos, inf, pi, radians, sin, tan
from typing import Final

from ..geometry.offset import is_simple, outside
from ..geometry.point import XY, Point, along, direction, distance, mirrored, right_of, turn_deg
from ..geometry.polygon import area, contains, distance_to_segment, nearest_on, ray_out, touches
from ..model.finding import Finding, Severity
from ..model.pattern import CutPiece, MarkedPiece, Pattern
from ..model.piece import LineKind, piece_words
from ..units import show
from .rule import check, found

ABOVE, BELOW = 0.10, 0.05
"""Cut line to stitch line against the allowance, mm."""
LIE_FLAT = 0.5
"""How far a folded allowance may stand out, mm (common practice, no source)."""
_CUT_ACROSS: Final = ("mitred-hem", "faced")
"""The finishes that cut an allowance off slantwise, so that it is narrower than asked for beside the corner."""


@check(error="outline.stitch-line outline.cut-line")
def outlines(pattern: Pattern) -> Iterator[Finding]:
    """Closed, simple, counter-clockwise: stitch line and cut line of every piece."""
    for piece in pattern.pieces:
        for what, ring in (("stitch line", piece.cut.stitch_line), ("cut line", piece.cut.cut_line)):
            gap = _gap(piece.cut) if what == "stitch line" else 0.0
            sound = gap < 1e-3 and area(ring) > 0 and is_simple(ring)
            yield found(
                f"outline.{what.replace(' ', '-')}", Severity.ERROR, sound, gap, 0.0,
                f"{piece.name}: the {what} is closed, crosses nothing and runs counter-clockwise.",
                f"{piece.name}: the {what} crosses itself or is open. Check the measurements and style options "
                "that shape it: an extreme value has folded an edge over its neighbour.",
                digits=None,
            )  # fmt: skip


def _gap(cut: CutPiece) -> float:
    """The widest gap between the end of an edge and the start of the next, mm."""
    edges = cut.piece.edges
    return max(distance(a.end, b.start) for a, b in zip([edges[-1], *edges[:-1]], edges, strict=True))


@check(error="cut.allowance")
def allowances(pattern: Pattern) -> Iterator[Finding]:
    """The cut line lies outside the stitch line by the width of each edge, away from the corners."""
    for piece in pattern.pieces:
        if piece.cut.as_drawn:
            yield _outside(piece)
            continue
        worst, edge = max(((_deviation(piece.cut, name), name) for name in piece.cut.lines), key=lambda d: abs(d[0]))
        width = show(piece.cut.allowances[edge], pattern.unit)
        yield found(
            "cut.allowance", Severity.ERROR, -BELOW <= worst <= ABOVE, worst, ABOVE,
            f"{piece.name}: every edge has its allowance (worst {worst:+.3f} mm).",
            f"{piece.name}: the cut line is {worst:+.2f} mm off its allowance of {width} along {edge}, where the "
            f"curve is tighter than that. Give {piece.name}.{edge} a narrower allowance.",
            digits=4,
        )  # fmt: skip


def _outside(piece: MarkedPiece) -> Finding:
    """A cut line that was drawn elsewhere and kept: nowhere inside the stitch line, nor across it."""
    ring = piece.cut.cut_line
    inside = max((nearest_on(ring, p)[1] for left in outside(piece.cut.stitch_line, ring) for p in left), default=0.0)
    return found(
        "cut.allowance", Severity.ERROR, inside <= BELOW, inside, BELOW,
        f"{piece.name}: the cut line is kept as it was drawn, and lies nowhere inside the stitch line.",
        f"{piece.name}: the cut line that was drawn lies up to {inside:.2f} mm inside the stitch line. Mend the "
        "drawing, or say which of its lines is which.",
        digits=4,
    )  # fmt: skip


def _deviation(cut: CutPiece, name: str) -> float:
    """The worst signed deviation along one edge, at the vertices of the cut line that belong to it.

    Each is measured to the nearest place of the edge, and compared with the width asked for there. At a corner within
    the edge (a dart's cap) it may stand out as far as the mitre of that width, or less where the edge is nearer beside
    that corner (across a small dart's mouth).
    """
    line, run, width = cut.lines[name], cut.cut_edges[name], cut.allowances[name]
    even = name not in cut.profiles or cut.profiles[name].is_even
    on_cut = set(cut.cut_line)
    walked = [0.0, *itertools.accumulate(distance(a, b) for a, b in itertools.pairwise(line))]
    reaches = _reaches(cut, name)
    worst = _middle_off(cut, name, walked, reaches)
    for i in range(1, len(run) - 1):
        p = run[i]
        if p not in on_cut and not _on(cut.cut_line, p):
            at_start, at_end = (max(3 * width, reach) for reach in reaches)
            if distance(p, run[0]) < at_start or distance(p, run[-1]) < at_end or _turned_inside_out(run, i):
                continue
            _, off = nearest_on(cut.cut_line, p)
            off = off if contains(cut.cut_line, p) else -off
        else:
            off, near = _nearest(line, p, i, 1)
            if abs(off - width) > 0.02:  # the narrowest look has not found its own run: look further
                off, near = _nearest(line, p, i, 10)
            if even:
                off = _over(off, width, run, i)
            else:
                a, b = line[near], line[near + 1]
                size = distance(a, b) or 1.0
                far = walked[near] + ((p[0] - a[0]) * (b[0] - a[0]) + (p[1] - a[1]) * (b[1] - a[1])) / size
                widths = [cut.width_at(name, far, after=after) for after in (True, False)]
                off = min((_over(off, w, run, i) for w in widths), key=abs)
        if abs(off) > abs(worst):
            worst = off
    return worst


def _over(off: float, width: float, run: Sequence[XY], i: int) -> float:
    """How far a vertex stands off beyond its width; at a corner of the run itself, beyond the mitre of that width."""
    return off - width if off <= width else off - min(off, width * _mitre(run, i))


def _nearest(line: Sequence[XY], p: XY, i: int, reach: int) -> tuple[float, int]:
    """Distance from p to the runs of the line near its vertex i, and which of them is the nearest."""
    least, nearest = inf, 0
    for j in range(max(0, i - 1 - reach), min(len(line) - 1, i + reach)):
        off = distance_to_segment(p, line[j], line[j + 1])
        if off < least:
            least, nearest = off, j
    return least, nearest


def _middle_off(cut: CutPiece, name: str, walked: Sequence[float], reaches: tuple[float, float]) -> float:
    """The deviation square to the middle of an edge's longest straight run: what a straight edge is judged by.

    `walked` is how far along the edge each of its points lies. What a corner cuts off counts for nothing.
    """
    line, widest = cut.lines[name], cut.allowances[name]
    flaps = _flaps(cut, name)
    low, high = max(reaches[0], flaps[0]), walked[-1] - max(reaches[1], flaps[1])
    long, i = max((min(walked[i + 1], high) - max(walked[i], low), i) for i in range(len(line) - 1))
    if widest == 0 or long < max(10.0, widest / 2):
        return 0.0
    way = direction(line[i], line[i + 1])
    far = max(walked[i], low) + long / 2
    middle = along(line[i], way, far - walked[i])
    if _in_an_inner_corner(cut, name, middle):
        return 0.0
    off = ray_out(cut.cut_line, middle, right_of(way))
    return min((off - cut.width_at(name, far, after=after) for after in (True, False)), key=abs)


def _reaches(cut: CutPiece, name: str) -> tuple[float, float]:
    """How far along an edge, from its start and from its end, a corner there may cut its allowance off, mm.

    The line in which two turnings are mitred leaves the corner for where the turned edges cross: as far along one edge
    as the other's allowance is wide where they meet at right angles.
    """
    before, after = cut.piece.beside(name)
    own = cut.lines[name]

    def reach(first: Sequence[XY], second: Sequence[XY], neighbour: str, finish: str) -> float:
        turn = radians(turn_deg(direction(first[-2], first[-1]), direction(second[0], second[1])))
        if finish not in _CUT_ACROSS or sin(turn) <= 0.1:
            return 0.0
        return 1.1 * max(0.0, cut.allowances[neighbour] - cut.allowances[name] * cos(turn)) / sin(turn)

    return (
        reach(cut.lines[before], own, before, cut.corners[name]),
        reach(own, cut.lines[after], after, cut.corners[after]),
    )


def _flaps(cut: CutPiece, name: str) -> tuple[float, float]:
    """How far along an edge, from its start and from its end, the allowance of the edge beside it may stand out beyond
    its own, mm: squared where the two cross, after a corner that is hardly turned."""
    before, after = cut.piece.beside(name)

    def reach(first: Sequence[XY], second: Sequence[XY], finish: str) -> float:
        turn = radians(turn_deg(direction(first[-2], first[-1]), direction(second[0], second[1])))
        return 1.1 * cut.allowances[name] / tan(turn) if finish == "square" and 0.1 < turn < pi / 2 else 0.0

    own = cut.lines[name]
    return reach(cut.lines[before], own, cut.corners[name]), reach(own, cut.lines[after], cut.corners[after])


def _in_an_inner_corner(cut: CutPiece, name: str, p: XY) -> bool:
    """Whether p lies so near an inward corner that its neighbour's allowance covers its own there."""
    before, after = cut.piece.beside(name)
    own = cut.lines[name]
    for first, second in ((cut.lines[before], own), (own, cut.lines[after])):
        turn = turn_deg(direction(first[-2], first[-1]), direction(second[0], second[1]))
        neighbour = before if second is own else after
        if turn < -1.0 and distance(p, second[0]) < 1.5 * (cut.allowances[name] + cut.allowances[neighbour]):
            return True
    return False


def _mitre(run: Sequence[XY], i: int) -> float:
    """How many allowances a vertex may stand off where the run itself has an outward corner (a dart's cap)."""
    (x0, y0), (x1, y1), (x2, y2) = run[i - 1 : i + 2]
    ax, ay, bx, by = x1 - x0, y1 - y0, x2 - x1, y2 - y1
    if ax * by - ay * bx <= 0.1 * (ax * bx + ay * by):  # less than 5.8°, or inward
        return 1.0
    turn = turn_deg(direction(run[i - 1], run[i]), direction(run[i], run[i + 1]))
    return 1.0 / cos(radians(turn / 2)) if 6.0 < turn < 150.0 else 1.0


def _turned_inside_out(run: Sequence[XY], i: int) -> bool:
    """Whether a vertex lies near where the run doubles back: the engine took the envelope there, and it was told."""
    for k in range(max(1, i - 40), min(len(run) - 1, i + 41)):
        if abs(turn_deg(direction(run[k - 1], run[k]), direction(run[k], run[k + 1]))) > 90:
            return True
    return False


@check(warning="corner.lies-flat")
def corners_lie_flat(pattern: Pattern) -> Iterator[Finding]:
    """Folded over at its stitch line, an allowance lies within the cut line of what is sewn across it later."""
    for piece in pattern.pieces:
        if piece.cut.as_drawn:
            continue
        worst, where = 0.0, ""
        edges = piece.cut.piece.edges
        for before, after in zip([edges[-1], *edges[:-1]], edges, strict=True):
            folds = piece.cut.folds.get(after.name)
            if folds is None:
                continue
            out = _sticks_out(piece.cut, folds, folds == before.name)
            if out > worst:
                worst, where = out, f"{before.name}/{after.name}"
        yield found(
            "corner.lies-flat", Severity.WARNING, worst <= LIE_FLAT, worst, LIE_FLAT,
            f"{piece.name}: every allowance lies within the piece when it is folded over.",
            f"{piece.name}: folded over, the allowance at {where} sticks out by {show(worst, pattern.unit)}. "
            'Finish that corner with "square" or "turned-back", or make that allowance narrower.',
        )  # fmt: skip


def _sticks_out(cut: CutPiece, name: str, at_end: bool) -> float:
    """How far the corner of an allowance stands out of the piece once it is folded over, mm."""
    line = cut.lines[name]
    corner, way = (line[-1], direction(line[-2], line[-1])) if at_end else (line[0], direction(line[0], line[1]))
    reach = 1.2 * cut.allowances[name]
    ring = cut.cut_line
    worst = 0.0
    for p in ring:
        dx, dy = p[0] - corner[0], p[1] - corner[1]
        out, ahead = dx * way[1] - dy * way[0], (dx * way[0] + dy * way[1]) * (1 if at_end else -1)
        if 1e-6 < out < reach and -0.6 * reach < ahead < 3 * reach:
            folded = mirrored(p, corner, way)
            if not contains(ring, folded):
                worst = max(worst, nearest_on(ring, folded)[1])
    return worst


def _on(ring: tuple[XY, ...], p: XY) -> bool:
    return touches(ring, p, 0.002)


@check(error="marks.inside")
def marks(pattern: Pattern) -> Iterator[Finding]:
    """Grain line, drill holes and label lie inside the piece; notches on its cut line."""
    for piece in pattern.pieces:
        outside = list(_misplaced(piece))
        yield found(
            "marks.inside", Severity.ERROR, not outside, len(outside), 0,
            f"{piece.name}: grain line, drill holes, notches and label are where they belong.",
            f"{piece.name}: {', '.join(outside)} lies outside the piece. The piece is too small or oddly shaped "
            "for its marks; check the style options that shape it.",
            unit="marks",
        )  # fmt: skip


def _misplaced(piece: MarkedPiece) -> Iterator[str]:
    ring = piece.cut.stitch_line
    if not all(contains(ring, p) for p in piece.grain_line):
        yield "the grain line"
    if not all(contains(ring, p) for p in piece.drill_holes):
        yield "a drill hole"
    if not all(contains(ring, p) for p in label_ends(piece)):
        yield "the label"
    for line in piece.cut.piece.internal_lines:
        if line.kind is LineKind.PLACEMENT and not all(_on(ring, p) or contains(ring, p) for p in line.points):
            yield f"the place of the {piece_words(line.name)}"
    for notch in piece.notches:
        for spot in notch.spots:
            if not _on(piece.cut.cut_line, spot):
                yield f"the {notch.name} notch"


def label_ends(piece: MarkedPiece) -> tuple[Point, ...]:
    """The two ends of the middle of the label's box."""
    label = piece.label
    way = Point(cos(radians(label.angle_deg)), sin(radians(label.angle_deg)))
    half = label.width / 2
    return (
        Point(label.at.x - way.x * half, label.at.y - way.y * half),
        Point(label.at.x + way.x * half, label.at.y + way.y * half),
    )
