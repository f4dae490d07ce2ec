"""Outlines, cut lines and marks of each piece by itself."""

from __future__ import annotations

from collections.abc import Iterator
from math import cos, radians, sin

from ..geometry.offset import is_simple
from ..geometry.point import XY, Point, distance
from ..geometry.polygon import area, contains, distance_to_line, distance_to_segment
from ..model.finding import Finding, Severity
from ..model.pattern import CutPiece, MarkedPiece, Pattern
from ..units import show

ABOVE, BELOW = 0.10, 0.05
"""Cut line to stitch line against the allowance, mm."""


def outlines(pattern: Pattern) -> Iterator[Finding]:
    """Closed, simple, counter-clockwise: stitch line and cut line of every piece."""
    for piece in pattern.pieces:
        for what, ring in (("stitch line", piece.cut.stitch_line), ("cut line", piece.cut.cut_line)):
            gap = _gap(piece.cut) if what == "stitch line" else 0.0
            sound = gap < 1e-3 and area(ring) > 0 and is_simple(ring)
            yield Finding(
                f"outline.{what.replace(' ', '-')}",
                Severity.ERROR,
                sound,
                gap,
                0.0,
                "mm",
                f"{piece.name}: the {what} is closed, crosses nothing and runs counter-clockwise."
                if sound
                else f"{piece.name}: the {what} crosses itself or is open. Check the measurements and style options "
                "that shape it: an extreme value has folded an edge over its neighbour.",
            )


def _gap(cut: CutPiece) -> float:
    """The widest gap between the end of an edge and the start of the next, mm."""
    edges = cut.piece.edges
    return max(distance(a.end, b.start) for a, b in zip([edges[-1], *edges[:-1]], edges, strict=True))


def allowances(pattern: Pattern) -> Iterator[Finding]:
    """The cut line lies outside the stitch line by the width of each edge, away from the corners."""
    for piece in pattern.pieces:
        worst, edge = max(((_deviation(piece.cut, name), name) for name in piece.cut.lines), key=lambda d: abs(d[0]))
        held = -BELOW <= worst <= ABOVE
        width = show(piece.cut.allowances[edge], pattern.unit)
        yield Finding(
            "cut.allowance",
            Severity.ERROR,
            held,
            round(worst, 4),
            ABOVE,
            "mm",
            f"{piece.name}: every edge has its allowance (worst {worst:+.3f} mm)."
            if held
            else f"{piece.name}: the cut line is {worst:+.2f} mm off its allowance of {width} along {edge}, where the "
            f"curve is tighter than that. Give {piece.name}.{edge} a narrower allowance.",
        )


def _deviation(cut: CutPiece, name: str) -> float:
    """The worst signed deviation along one edge, at the vertices of the cut line that belong to it."""
    line, run, width = cut.lines[name], cut.cut_edges[name], cut.allowances[name]
    on_cut = set(cut.cut_line)
    worst = 0.0
    for i in range(1, len(run) - 1):
        p = run[i]
        if p not in on_cut and not _on(cut.cut_line, p):
            if min(distance(p, run[0]), distance(p, run[-1])) < 3 * width:
                continue
            off = distance_to_line(p, [*cut.cut_line, cut.cut_line[0]])
        else:
            off = min(
                distance_to_segment(p, line[j], line[j + 1]) for j in range(max(0, i - 4), min(len(line) - 1, i + 4))
            )
            off -= width
        if abs(off) > abs(worst):
            worst = off
    return worst


def _on(ring: tuple[XY, ...], p: XY) -> bool:
    return distance_to_line(p, [*ring, ring[0]]) < 0.002


def marks(pattern: Pattern) -> Iterator[Finding]:
    """Grain line, drill holes and label lie inside the piece; notches on its cut line."""
    for piece in pattern.pieces:
        outside = list(_misplaced(piece))
        yield Finding(
            "marks.inside",
            Severity.ERROR,
            not outside,
            len(outside),
            0,
            "marks",
            f"{piece.name}: grain line, drill holes, notches and label are where they belong."
            if not outside
            else f"{piece.name}: {', '.join(outside)} lies outside the piece. The piece is too small or oddly shaped "
            "for its marks; check the style options that shape it.",
        )


def _misplaced(piece: MarkedPiece) -> Iterator[str]:
    ring = piece.cut.stitch_line
    if not all(contains(ring, p) for p in piece.grain_line):
        yield "the grain line"
    if not all(contains(ring, p) for p in piece.drill_holes):
        yield "a drill hole"
    if not all(contains(ring, p) for p in label_ends(piece)):
        yield "the label"
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
