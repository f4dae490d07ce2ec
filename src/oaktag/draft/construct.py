"""Constructions shared by drafts: what a dressmaker does with chalk, a curved ruler and a square."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from typing import Final

from ..geometry.curve import Cubic, Curve, Line
from ..geometry.path import Path
from ..geometry.point import XY, Point, direction, distance, left_of


def shoulder_square(neck_side: Point, shoulder_tip: Point) -> Point:
    """Unit vector square to the shoulder, upwards and outwards at the tip."""
    along_shoulder = direction(neck_side, shoulder_tip)
    return left_of(along_shoulder)


def neckline(neck_side: Point, shoulder_tip: Point, neck_centre: Point) -> Path:
    """From the neck side to the neck centre: square to the shoulder, then square to the centre line."""
    square = shoulder_square(neck_side, shoulder_tip)
    width, depth = neck_side.x - neck_centre.x, neck_side.y - neck_centre.y
    down = min((0.55 + 0.25 * max(0.0, 1 - depth / width)) * depth, 0.60 * width) / max(square.y, 0.2)
    leave = Point(-square.x * down, -square.y * down)
    across = (0.42 + 0.14 * min(1.0, depth / width)) * (width + leave.x)
    return (Cubic.leaving_and_arriving(neck_side, leave, neck_centre, (-across, 0.0)),)


def v_neckline(neck_side: Point, shoulder_tip: Point, neck_centre: Point) -> Path:
    """A short way square to the shoulder, rounded off into a straight run to the neck centre."""
    square = shoulder_square(neck_side, shoulder_tip)
    short = 0.12 * distance(neck_side, neck_centre)
    corner = Point(neck_side.x - square.x * short, neck_side.y - square.y * short)
    way = direction(corner, neck_centre)
    turned = Point(corner.x + way.x * short, corner.y + way.y * short)
    reach = 0.6 * short
    rounded = Cubic.leaving_and_arriving(
        neck_side, (-square.x * reach, -square.y * reach), turned, (way.x * reach, way.y * reach)
    )
    return (rounded, Line(turned, neck_centre))


def square_neckline(neck_side: Point, shoulder_tip: Point, neck_centre: Point) -> Path:
    """Straight down, square to the shoulder, to the level of the neck centre; then level."""
    square = shoulder_square(neck_side, shoulder_tip)
    depth = neck_side.y - neck_centre.y
    corner = Point(neck_side.x - square.x / square.y * depth, neck_centre.y)
    return (Line(neck_side, corner), Line(corner, neck_centre))


def sweetheart_neckline(neck_side: Point, shoulder_tip: Point, neck_centre: Point) -> Path:
    """Straight down, square to the shoulder; then over the bust in an arc that falls to the neck centre, in a dip
    (a third of the depth, or four tenths of the width if that is less; common practice, no source)."""
    square = shoulder_square(neck_side, shoulder_tip)
    depth = neck_side.y - neck_centre.y
    rise = min(0.36 * depth, 0.4 * (neck_side.x - neck_centre.x))
    down = depth - rise
    corner = Point(neck_side.x - 0.4 * square.x / square.y * down, neck_centre.y + rise)
    across, third = corner.x - neck_centre.x, down / 5
    above, beside = Point(corner.x, corner.y + 2 * third), Point(corner.x - 0.25 * across, corner.y + 0.04 * across)
    leave = (-square.x / square.y * third, -third)
    strap = Cubic.leaving_and_arriving(neck_side, leave, above, (0.0, -third))
    level, dip = (-0.35 * across, 0.056 * across), (-0.22 * across, -0.6 * rise)
    arc = Cubic.leaving_and_arriving(beside, level, neck_centre, dip)
    return (strap, Line(above, corner), Line(corner, beside), arc)


def armhole(
    underarm: Point, mid_armhole: Point, shoulder_tip: Point, neck_side: Point, side_slope: float = 0.0
) -> Path:
    """From the underarm to the shoulder tip: upright at mid armhole, square to the shoulder.

    Level at the underarm; or, trued, square to a side seam that leans in below it (dx/dy = `side_slope` above 0).
    """
    across, up = underarm.x - mid_armhole.x, mid_armhole.y - underarm.y
    leave = direction((0.0, 0.0), (-1.0, max(side_slope, 0.0)))  # never below the chest line
    lower = Cubic.leaving_and_arriving(
        underarm, (0.60 * across * leave.x, 0.60 * across * leave.y), mid_armhole, (0.0, 0.52 * up)
    )
    square = shoulder_square(neck_side, shoulder_tip)
    reach = 0.34 * distance(mid_armhole, shoulder_tip)
    upper = Cubic.leaving_and_arriving(mid_armhole, (0.0, reach), shoulder_tip, (square.x * reach, square.y * reach))
    return (lower, upper)


def level_curve(a: XY, b: XY, slope_a: float, slope_b: float) -> Cubic:
    """A curve whose x is a cubic in y, with dx/dy given at both ends (a and b at different levels)."""
    third = (b[1] - a[1]) / 3
    return Cubic(
        Point(*a), Point(a[0] + slope_a * third, a[1] + third), Point(b[0] - slope_b * third, b[1] - third), Point(*b)
    )


HOLLOW: Final = 1.35
"""How much steeper than its chord the side seam leaves the underarm: gently hollow (common practice, no source)."""


def flared_hem(centre: Point, hem_side: Point, side_way: XY) -> Path:
    """From the centre line, square to it, to the side, square to a side seam that arrives there along `side_way`."""
    square = left_of(side_way)
    reach = 0.36 * distance(centre, hem_side)
    return (Cubic.leaving_and_arriving(centre, (reach, 0.0), hem_side, (square.x * reach, square.y * reach)),)


def side_curve(points: Sequence[Point], *, straight_end: bool = False, flared: bool = False) -> Path:
    """Downwards through the points (falling y): hollow above the waist, round below it, no corner anywhere.

    Slopes by the monotone rule of Fritsch & Carlson (SIAM J. Numer. Anal. 17, 1980, from memory): upright where the
    seam turns (waist, hip), else the harmonic mean; the top leaves HOLLOW times as steep as its chord; the last
    point is reached upright, so that the hem is square to the side, or by a straight run (`straight_end`), or along
    its chord (`flared`).
    """
    chords = [(q.x - p.x) / (q.y - p.y) for p, q in itertools.pairwise(points)]
    inner = [0.0 if m * n <= 0 else 2 * m * n / (m + n) for m, n in itertools.pairwise(chords)]
    slopes = [chords[0] * HOLLOW, *inner, chords[-1] if flared else 0.0]
    curves: list[Curve] = []
    for i, (p, q) in enumerate(itertools.pairwise(points)):
        last = i == len(chords) - 1
        curves.append(Line(p, q) if last and straight_end else level_curve(p, q, slopes[i], slopes[i + 1]))
    return tuple(curves)


def x_at(path: Path, y: float) -> float:
    """The x of a side curve (curves by level, walked down or up) at the level y; its ends are held."""
    for curve in path:
        low, high = sorted((curve.start.y, curve.end.y))
        if low <= y <= high and high > low:
            return curve.at((y - curve.start.y) / (curve.end.y - curve.start.y)).x
    ends = (path[0].start, path[-1].end)
    return min(ends, key=lambda end: abs(end.y - y)).x


def trimmed(side: Path, top: float, bottom: float) -> Path:
    """The part of a side seam, walked down, between two levels (y)."""
    kept: list[Curve] = []
    for curve in side:
        high, low = curve.start.y, curve.end.y
        if low >= top or high <= bottom:
            continue
        if high > top:
            curve = curve.split((top - high) / (low - high))[1]
            high = top
        if low < bottom:
            curve = curve.split((bottom - high) / (low - high))[0]
        kept.append(curve)
    return tuple(kept)
