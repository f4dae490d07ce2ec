"""Pattern data in the shape of pattern.json, as far as a DXF can carry it.

What it cannot carry is left out: edges and their allowances, seams, checks, steps, named points, names of darts and
lines. Names stay as the file has them (ASCII capitals, 20 characters). Coordinates are the file's: each piece lies
where its INSERT puts it.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import cos, radians, sin
from typing import Any

from ..geometry.point import XY, along, direction, distance, right_of
from ..geometry.polygon import area, contains, nearest_on
from .model import LineData, NotchData, PatternData, PieceData
from .outlines import joined, without_repeats


def as_pattern_json(data: PatternData) -> dict[str, Any]:
    """The keys of pattern.json with what the file says of them; closed lines counter-clockwise, mm, rounded to 1e-4.

    Pieces that prove the scale are left out. What only the base size's block carries in a graded nest (quantity,
    material, notches) is not repeated for the others, except quantity, material and whether a pair is mirrored.
    """
    told: dict[str, PieceData] = {}
    for piece in data.pieces:
        if piece.right is not None or piece.material:
            told.setdefault(piece.name, piece)
    return {
        "oaktag": 1,
        "title": data.style.name,
        "unit": "mm",
        "sizes": list(data.sizes),
        "base": data.style.sample_size or next(iter(data.sizes), ""),
        "pieces": [_piece(piece, told.get(piece.name, piece)) for piece in data.pieces if not piece.proves_scale],
    }


def _piece(piece: PieceData, told: PieceData) -> dict[str, Any]:
    """`told`: the block of the same piece that says how often it is cut and of what."""
    darts = [line for line in piece.internal_lines if _is_dart(line)]
    grain = piece.grain_lines or piece.grade_reference_lines
    return {
        "name": piece.name,
        "size": piece.size,
        "material": told.material,
        "quantity": (told.right or 0) + (told.left or 0),
        "on_fold": piece.mirror_line is not None,
        "mirrored_pair": bool(told.left),
        "stitch_line": _points(stitch_ring(piece)),
        "cut_line": _points(piece.boundary),
        "darts": [{"name": "", "points": _points(line.points), "intake": round(_intake(line), 4)} for line in darts],
        "notches": [_notch(notch, piece.boundary) for notch in piece.notches],
        "drill_holes": _points([hole.point for hole in piece.drill_holes]),
        "grain_line": _points(grain[0]) if grain else None,
        "fold_line": _points(piece.mirror_line) if piece.mirror_line else None,
        "internal_lines": [
            {"name": "", "points": _points(line.points)} for line in piece.internal_lines if line not in darts
        ],
        "label": [text.words for text in piece.annotations],
    }


def stitch_ring(piece: PieceData) -> tuple[XY, ...]:
    """The stitch line as a counter-clockwise ring: lines of layer 14 joined, the one round the largest area.

    Empty where layer 14 has no closed line.
    """
    runs = [run.points for run in joined([(line.points, line.closed) for line in piece.stitch_lines]) if run.closed]
    rings = [[run[i] for i in without_repeats(run, closed=True)] for run in runs]
    rings = [ring for ring in rings if len(ring) > 2]
    if not rings:
        return ()
    ring = max(rings, key=lambda ring: abs(area(ring)))
    return tuple(ring if area(ring) > 0 else [ring[0], *ring[:0:-1]])


def outward(notch: NotchData, boundary: Sequence[XY]) -> XY:
    """The unit vector from the notch's place out of the piece, square to the boundary unless the file has an angle.

    An angle may point in or out: readers and writers do not agree, so it is looked at which side is the piece's.
    """
    way: XY
    if notch.angle_deg is not None:
        way = cos(radians(notch.angle_deg)), sin(radians(notch.angle_deg))
    else:
        way = right_of(_way_along(notch.on, boundary))
    return way if not _goes_in(notch.on, way, boundary) else (-way[0], -way[1])


def stands_out(notch: NotchData, boundary: Sequence[XY]) -> bool:
    """Whether its direction, group 50, points out of the piece; False where the file has none."""
    if notch.angle_deg is None:
        return False
    way = cos(radians(notch.angle_deg)), sin(radians(notch.angle_deg))
    return not _goes_in(notch.on, way, boundary)


def _goes_in(at: XY, way: XY, boundary: Sequence[XY]) -> bool:
    """Whether a little way along `way` lies inside, and as far the other way does not; True if that cannot be told."""
    for far in (0.5, 0.05):
        there, back = contains(boundary, along(at, way, far)), contains(boundary, along(at, way, -far))
        if there != back:
            return there
    return True


def _way_along(at: XY, boundary: Sequence[XY]) -> XY:
    """The direction of the boundary at a place on it; at a corner, that of both sides together."""
    ends = list(zip(boundary, (*boundary[1:], boundary[0]), strict=True))
    near = [direction(a, b) for a, b in ends if nearest_on((a, b), at)[1] < 1e-3]
    return direction((0.0, 0.0), (sum(way[0] for way in near), sum(way[1] for way in near)))


def _notch(notch: NotchData, boundary: Sequence[XY]) -> dict[str, Any]:
    v_out = notch.kind == "V" and stands_out(notch, boundary)
    way = outward(notch, boundary)
    return {
        "point": _point(notch.on),
        "direction": _point(way),
        "count": 1,
        "cut_points": [_point(notch.on)],
        "kind": "V outwards" if v_out else notch.kind,
        "depth": round(notch.depth, 4),
        "width": round(notch.width, 4),
    }


def _is_dart(line: LineData) -> bool:
    """Nothing in the file tells a dart from another inner line; a closed one with three corners, or a kite that is at
    least twice as long as wide, is taken as one."""
    p = line.points
    return line.closed and (len(p) == 3 or (len(p) == 4 and 2 * distance(p[1], p[3]) < distance(p[0], p[2])))


def _intake(line: LineData) -> float:
    p = line.points
    return distance(p[0], p[2]) if len(p) == 3 else distance(p[1], p[3])


def _point(p: XY) -> list[float]:
    return [round(p[0], 4) + 0.0, round(p[1], 4) + 0.0]


def _points(line: Sequence[XY]) -> list[list[float]]:
    return [_point(p) for p in line]
