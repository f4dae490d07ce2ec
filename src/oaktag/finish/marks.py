"""Notches, drill holes, fold line, label: what a maker who sees only this one piece must know."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from math import inf
from typing import Final

from ..errors import GeometryError
from ..geometry.path import flatten, place_at
from ..geometry.point import XY, Point, along, direction, distance, right_of
from ..model.pattern import CutPattern, CutPiece, Label, MarkedPiece, Notch, Pattern
from ..model.piece import Dart, EdgeKind, NotchPlace, Piece
from ..units import INCH, Unit, show
from .labels import LabelBox, find_spot

NOTCH_DEPTH: Final = 4.0
"""Slit notch, mm (common practice, no source; 4.0 mm in public exchange files)."""
NOTCH_CLEAR: Final = 3.0
"""Kept between a notch and the stitch line, mm (1/8 in; common practice, no source)."""
DOUBLE_APART: Final = 8.0
"""Between the two slits of a double notch, mm (6 to 10; common practice, no source)."""
DRILL_INSIDE_POINT: Final = INCH / 2
"""A drill hole lies this far inside a dart point on its axis, mm (1/2 in; common practice, no source)."""
DRILL_INSIDE_LEG: Final = INCH / 8
"""And this far inside the legs at the widest place, mm (1/8 in; common practice, no source)."""
_NUMBER_GAP: Final = re.compile(r"(?<=\d) (?=\d|in\b|cm\b|mm\b)")
FOLD_CLEAR: Final = 24.0
"""Kept free for the fold bracket and its words, mm."""


def mark(
    cut: CutPattern, *, title: str, size: str, size_words: str, unit: Unit, label_box: LabelBox, date: str = ""
) -> Pattern:
    """Every piece with its marks. `label_box` measures a label (the lettering is the sheet's business)."""
    pieces = tuple(
        _mark_piece(piece, number, len(cut.pieces), title, size_words, unit, label_box, date)
        for number, piece in enumerate(cut.pieces, 1)
    )
    return Pattern(title=title, size=size, unit=unit, draft=cut.draft, pieces=pieces, date=date)


def _mark_piece(
    cut: CutPiece, number: int, of: int, title: str, size_words: str, unit: Unit, label_box: LabelBox, date: str
) -> MarkedPiece:
    piece = cut.piece
    outline = [p for edge in piece.edges for p in flatten(edge.curves, 0.6)[:-1]]
    obstacles: list[Sequence[XY]] = [[*dart.points, dart.points[0]] for dart in piece.darts]
    obstacles += [line.points for line in piece.internal_lines]
    obstacles.append(piece.grain)
    fold = _fold_line(cut)
    if fold is not None:
        obstacles.append([Point(fold[0].x + FOLD_CLEAR, fold[0].y), Point(fold[1].x + FOLD_CLEAR, fold[1].y)])
    spot = find_spot(outline, obstacles, _layouts(cut, number, of, title, size_words, unit, date), label_box)
    return MarkedPiece(
        cut=cut,
        number=number,
        notches=tuple(_notch(cut, place) for place in piece.notches),
        drill_holes=tuple(hole for dart in piece.darts for hole in drill_holes(dart)),
        grain_line=piece.grain,
        fold_line=fold,
        label=Label(spot.lines, spot.at, spot.height, spot.width, spot.angle_deg),
    )


def _notch(cut: CutPiece, place: NotchPlace) -> Notch:
    """Square to the stitch line at its place, run out to the cut line; a double notch has a slit either side."""
    edge = cut.piece.edge(place.edge)
    width = cut.allowances[place.edge]
    point, way = place_at(edge.curves, place.at)
    shifts = (0.0,) if place.count == 1 else (-DOUBLE_APART / 2, DOUBLE_APART / 2)
    spots = []
    for shift in shifts:
        from_point, from_way = place_at(edge.curves, place.at + shift)
        spots.append(_out_to(cut.cut_line, from_point, right_of(from_way), width))
    depth = min(NOTCH_DEPTH, max(width - NOTCH_CLEAR, width / 2, 1.0))
    return Notch(place.edge, point, right_of(way), place.count, place.name, tuple(spots), depth)


def _out_to(ring: Sequence[XY], start: Point, way: Point, width: float) -> Point:
    """Where a ray from the stitch line first meets the cut line; the width itself where the ray only grazes it."""
    nearest = inf
    x0, y0 = ring[-1]
    for x1, y1 in ring:
        ex, ey = x1 - x0, y1 - y0
        cross = way[0] * ey - way[1] * ex
        if abs(cross) > 1e-12:
            dx, dy = x0 - start[0], y0 - start[1]
            far = (dx * ey - dy * ex) / cross
            part = (dx * way[1] - dy * way[0]) / cross
            if -1e-9 <= part <= 1 + 1e-9 and -1e-6 < far < nearest:
                nearest = far
        x0, y0 = x1, y1
    if nearest is inf:
        raise GeometryError(f"a notch at {start[0]:.1f}, {start[1]:.1f} does not reach the cut line")
    return along(start, way, nearest if nearest < 3 * max(width, 1.0) else width)


def drill_holes(dart: Dart) -> tuple[Point, ...]:
    """Inside the dart, so that sewing hides them: short of each point on the axis, and inside each leg point."""
    upper, outer, lower, inner = dart.points
    holes = [
        along(upper, direction(upper, lower), min(DRILL_INSIDE_POINT, distance(upper, lower) / 6)),
        along(outer, direction(outer, inner), min(DRILL_INSIDE_LEG, dart.intake / 4)),
        along(lower, direction(lower, upper), min(DRILL_INSIDE_POINT, distance(upper, lower) / 6)),
        along(inner, direction(inner, outer), min(DRILL_INSIDE_LEG, dart.intake / 4)),
    ]
    return tuple(holes)


def _fold_line(cut: CutPiece) -> tuple[Point, Point] | None:
    """The fold from cut edge to cut edge, in the outline's direction."""
    for edge in cut.piece.edges:
        if edge.kind is EdgeKind.FOLD:
            way = direction(edge.start, edge.end)
            across = right_of(way)
            reach = [
                (p[0] - edge.start.x) * way.x + (p[1] - edge.start.y) * way.y
                for p in cut.cut_line
                if abs((p[0] - edge.start.x) * across.x + (p[1] - edge.start.y) * across.y) < 1e-4
            ] or [0.0, edge.length()]
            return along(edge.start, way, min(reach)), along(edge.start, way, max(reach))
    return None


# ---------------------------------------------------------------- words


def piece_words(name: str) -> str:
    """`facing_front` -> `facing front`."""
    return name.replace("_", " ")


def cut_words(piece: Piece) -> str:
    """How many to cut, of what: `cut 1 on the fold, shell`."""
    if piece.on_fold:
        return f"cut {piece.quantity} on the fold, {piece.material}"
    if piece.mirrored_pair:
        return f"cut {piece.quantity} (a pair), {piece.material}"
    return f"cut {piece.quantity}, {piece.material}"


def allowance_words(allowances: Mapping[str, float], piece: Piece, unit: Unit) -> str:
    """`allowances included: hem 2 in, side 1 1/2 in, armhole shoulder neckline 1/2 in`."""
    by_width: dict[float, list[str]] = {}
    for edge in piece.edges:
        if edge.kind is not EdgeKind.FOLD:
            by_width.setdefault(allowances[edge.name], []).append(piece_words(edge.name))
    parts = [
        f"{', '.join(names)} {show(width, unit) if width else 'none'}"
        for width, names in sorted(by_width.items(), reverse=True)
    ]
    return "allowances included: " + "; ".join(parts)


def _layouts(
    cut: CutPiece, number: int, of: int, title: str, size_words: str, unit: Unit, date: str
) -> list[tuple[str, ...]]:
    """The same words, wrapped from wide to narrow."""
    piece = cut.piece
    head = f"{number} of {of}: {piece_words(piece.name)}".upper()
    said = [title, f"size: {size_words}" + (f", {date}" if date else ""), cut_words(piece)]
    said.append(allowance_words(cut.allowances, piece, unit))
    return [(head, *(line for text in said for line in _wrapped(text, columns))) for columns in (46, 34, 26, 18)]


def _wrapped(text: str, columns: int) -> list[str]:
    lines: list[str] = []
    for word in _NUMBER_GAP.sub("\u00a0", text).split(" "):
        if lines and len(lines[-1]) + 1 + len(word) <= columns:
            lines[-1] += " " + word
        else:
            lines.append(word)
    return [line.replace("\u00a0", " ") for line in lines]
