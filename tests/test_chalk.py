"""The chalk card: the printed numbers alone, chalked again, must give the piece; and the pages must be readable."""

from __future__ import annotations

import csv
import math
from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise

import numpy as np
import pytest
from wardrobe import ALTO, FIXTURES, IN, dress, dressed, finished, women

from oaktag.body.measurements import Measurements
from oaktag.draft.chalk import ROUNDED, ChalkPiece, Mark, MarkKind, chalk_pieces, printed
from oaktag.errors import OaktagError
from oaktag.model.pattern import Pattern
from oaktag.units import Unit

EIGHTH = IN / 8
"""1/8 in: what a chalk line is good for (common practice, no source)."""
XY = tuple[float, float]
STYLES: tuple[dict[str, object], ...] = (
    {},
    {"waist_seam": "yes", "bust_dart": "side"},
    {"neckline": "v", "sleeve": "none"},
    {"neckline": "square", "sleeve": "cap", "hem": "a-line"},
    {"zip": "side", "neckline": "boat"},
    {"sleeve": "long", "opening": "slit", "hem": "straight"},
)
PER: dict[str, float] = {"in": IN, "cm": 10.0, "mm": 1.0}


# ------------------------------------------------------------------------------ someone with chalk, a tape and a square


def measured(text: str, unit: Unit) -> float:
    """A printed distance in mm, signed: left, beyond and up are negative."""
    *number, side = text.removeprefix(ROUNDED).split()
    if not side.isalpha():
        number, side = [*number, side], ""
    assert side in ("", "left", "right", "beyond", "up"), text
    assert len(number) in (1, 2) and all(set(part) <= set("0123456789./") for part in number), text
    far = float(sum(Fraction(part) for part in number)) * PER[unit]
    return -far if side in ("left", "beyond", "up") else far


def places(mark: Mark, unit: Unit) -> list[XY]:
    """Where the printed numbers put its spots: across to the right, up positive, from the crossing of the two lines."""
    return [(measured(s.across, unit), -measured(s.down, unit)) for s in mark.spots]


def way_at_end(mark: Mark, end: int, edges: dict[str, list[Mark]], unit: Unit) -> XY | None:
    """The direction of the curve at its first (0) or last (1) spot, if the card says to what it is square there."""
    to = mark.square[end]
    p, q = (places(mark, unit)[i] for i in ((0, 1) if end == 0 else (-1, -2)))
    if not to:
        return None
    if to == "upright":
        way = (1.0, 0.0)
    elif to == "level":
        way = (0.0, 1.0)
    else:
        (a, b) = next(
            places(other, unit)
            for other in edges[to]
            if other.kind in (MarkKind.STRAIGHT, MarkKind.FOLD) and p in places(other, unit)
        )
        long = math.dist(a, b)
        way = ((a[1] - b[1]) / long, (b[0] - a[0]) / long)
    forth = (q[0] - p[0]) * way[0] + (q[1] - p[1]) * way[1]
    sign = math.copysign(1.0, forth) * (1 if end == 0 else -1)
    return (way[0] * sign, way[1] * sign)


def spline(points: Sequence[XY], first: XY | None, last: XY | None) -> list[XY]:
    """A cubic spline through the points over their chord lengths; natural at an end without a direction."""
    p = np.array(points)
    gaps = np.linalg.norm(np.diff(p, axis=0), axis=1)
    n = len(p)
    rows, right = np.zeros((n, n)), np.zeros((n, 2))
    for i in range(1, n - 1):
        rows[i, i - 1 : i + 2] = gaps[i], 2 * (gaps[i - 1] + gaps[i]), gaps[i - 1]
        right[i] = 3 * (gaps[i] / gaps[i - 1] * (p[i] - p[i - 1]) + gaps[i - 1] / gaps[i] * (p[i + 1] - p[i]))
    for i, j, way in ((0, 1, first), (n - 1, n - 2, last)):
        rows[i, i] = 1.0
        if way is None:
            rows[i, j] = 0.5
            right[i] = 1.5 * (p[max(i, j)] - p[min(i, j)]) / gaps[min(i, j)]
        else:
            right[i] = way
    speeds = np.linalg.solve(rows, right)
    return _hermite(p, speeds, gaps)


def rounded_run(points: Sequence[XY], first: XY | None, last: XY | None) -> list[XY]:
    """A Catmull-Rom run through the points (centripetal would differ little): half the way between neighbours."""
    p = np.array(points)
    gaps = np.linalg.norm(np.diff(p, axis=0), axis=1)
    speeds = np.zeros_like(p)
    for i in range(1, len(p) - 1):
        a, b = gaps[i - 1], gaps[i]
        speeds[i] = (b * (p[i] - p[i - 1]) / a + a * (p[i + 1] - p[i]) / b) / (a + b)
    for i, j, k, way in ((0, 1, 0, first), (len(p) - 1, len(p) - 2, -1, last)):
        chord = (p[max(i, j)] - p[min(i, j)]) / gaps[k]
        speeds[i] = way if way is not None else 1.5 * chord - 0.5 * (speeds[j] if len(p) > 2 else chord)
    return _hermite(p, speeds, gaps)


def _hermite(p: np.ndarray, speeds: np.ndarray, gaps: np.ndarray) -> list[XY]:
    out = [tuple(p[0])]
    for i, gap in enumerate(gaps):
        for t in np.linspace(0, 1, 13)[1:]:
            u = 1 - t
            at = u * u * (1 + 2 * t) * p[i] + t * t * (3 - 2 * t) * p[i + 1]
            at = at + gap * t * u * (u * speeds[i] - t * speeds[i + 1])
            out.append(tuple(at))
    return out


def chalked(piece: ChalkPiece, unit: Unit, draw: object) -> dict[str, list[list[XY]]]:
    """Edge -> the lines drawn for it, from the printed numbers alone."""
    edges: dict[str, list[Mark]] = {}
    for step in piece.steps:
        for mark in step.marks:
            if mark.kind in (MarkKind.STRAIGHT, MarkKind.CURVE, MarkKind.FOLD):
                edges.setdefault(mark.name, []).append(mark)
    drawn: dict[str, list[list[XY]]] = {}
    for name, marks in edges.items():
        for mark in marks:
            points = places(mark, unit)
            if mark.kind is MarkKind.CURVE:
                points = draw(points, way_at_end(mark, 0, edges, unit), way_at_end(mark, 1, edges, unit))  # type: ignore[operator]
            drawn.setdefault(name, []).append(points)
    return drawn


def apart(points: np.ndarray, lines: Sequence[np.ndarray]) -> float:
    """The greatest distance from the points to the nearest of the open lines."""
    nearest = np.full(len(points), np.inf)
    for line in lines:
        a, d = line[:-1], np.diff(line, axis=0)
        size = np.maximum((d * d).sum(axis=1), 1e-12)
        t = np.clip(((points[:, None, :] - a) * d).sum(axis=2) / size, 0, 1)
        far = np.linalg.norm(points[:, None, :] - (a + t[..., None] * d), axis=2)
        nearest = np.minimum(nearest, far.min(axis=1))
    return float(nearest.max())


def filled(line: Sequence[XY]) -> np.ndarray:
    """The line with points no more than 2 mm apart."""
    out = [line[0]]
    for a, b in pairwise(line):
        n = max(1, math.ceil(math.dist(a, b) / 2))
        out += [(a[0] + (b[0] - a[0]) * i / n, a[1] + (b[1] - a[1]) * i / n) for i in range(1, n + 1)]
    return np.array(out)


def worst(pattern: Pattern, draw: object) -> dict[str, float]:
    """Hausdorff distance of each edge, as chalked, to the edge of the pattern, both ways, mm."""
    found = {}
    for piece in chalk_pieces(pattern):
        cut = pattern.piece(piece.name).cut
        drawn = chalked(piece, pattern.unit, draw)
        assert set(drawn) == set(cut.lines)
        origin = np.array((piece.frame.x, piece.frame.y))
        for name, lines in drawn.items():
            true = filled(cut.lines[name]) - origin
            got = [np.array(line) for line in lines]
            there = apart(true, got)
            back = max(apart(filled([tuple(p) for p in line]), [true]) for line in got)
            found[f"{piece.name}.{name}"] = max(there, back)
        ends = [p for lines in drawn.values() for line in lines for p in (line[0], line[-1])]
        assert all(sum(math.dist(p, q) < 1e-6 for q in ends) == 2 for p in ends), f"{piece.name} is not closed"
    return found


def bodies() -> list[tuple[str, Measurements]]:
    """Every sixth of the first 60 women; their front waist length is asked for by some styles."""
    with (FIXTURES / "bodies" / "women_1988_60.csv").open() as file:
        rows = {row["id"]: row for row in csv.DictReader(file)}
    by_name = dict(women())
    return [(name, by_name[name]) for name in list(rows)[::6]]


@pytest.mark.parametrize("draw", [spline, rounded_run])
@pytest.mark.parametrize("unit", ["in", "cm"])
@pytest.mark.parametrize("style", STYLES, ids=str)
def test_the_printed_numbers_give_the_piece(style: dict[str, object], unit: Unit, draw: object) -> None:
    count = 0
    for name, body in (("alto", ALTO), *bodies()):
        if "bust_dart" in style:
            body = Measurements({**body, "front_waist_length": body["back_waist_length"] + 1.5 * IN})
        try:
            pattern = dressed(body, unit, **style)
        except OaktagError:
            continue
        count += 1
        far = worst(pattern, draw)
        edge = max(far, key=far.__getitem__)
        assert far[edge] <= EIGHTH, f"{name} {edge}: {far[edge]:.2f} mm"
    assert count >= 5
