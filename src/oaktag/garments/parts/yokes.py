"""Yokes: a half cut level across, above the bust or at the blades; a dart that ends at the line goes into its seam.

Where the dart of a back ends off the line, its point is led along its middle to it. The bust dart of a front is turned
to the seam, to be sewn there as a dart, or gathered, below the yoke (garment rules, 2.2, 5 and 7). How far down the
armhole the line lies: common practice, no source.
"""

from __future__ import annotations

from typing import Final

from ...draft.cuts import cut, cut_through
from ...draft.darts import dart_cap
from ...draft.moves import turn
from ...draft.pivots import open_dart, pivot, spread
from ...draft.sectors import Opening
from ...errors import GeometryError
from ...geometry.curve import Line
from ...geometry.path import path_length, place_at, solve
from ...geometry.point import Point, along, between, direction, distance, turn_deg
from ...model.piece import Piece, Seam, sew
from ...values import replace
from .style_darts import at_level, placed

YOKES: Final = ("none", "front", "back", "both")
_EASED: Final = 0.3
"""Edges that differ by no more are one length, mm."""
_CLEAR: Final = 20.0
"""A line passes the end of the neck at the centre by so much, mm (judgement, no source)."""


def yoke_level(half: Piece, share: float) -> float:
    """The level of a yoke line, y: that share of the way from the shoulder tip down to the underarm; lower, where the
    neck would end at it."""
    high, low, neck = (half.points[name].y for name in ("shoulder_tip", "underarm", "neck_centre"))
    y = high + (low - high) * share
    return neck - _CLEAR if abs(neck - y) < _CLEAR else y


def level_yoke(half: Piece, y: float, *, names: tuple[str, str]) -> tuple[Piece, Piece]:
    """What lies above a level and what below it, cut at the edge `yoke`: from the centre, or from a neck that reaches
    below the level; a shoulder dart goes into the seam. Raises GeometryError where the line cuts another dart, or the
    neck ends at it."""
    centre = half.points["neck_centre"]
    if abs(centre.y - y) < _CLEAR - 0.01:
        raise GeometryError(f"{half.name}: the yoke line passes the end of the neckline at the centre")
    if any(dart.name == "shoulder" for dart in half.darts):
        return _through_dart(half, y, names)
    return cut(half, Point(0.0, y), Point(1.0, y), names=names, edge="yoke", holding="shoulder")


def back_yoke(back: Piece, y: float) -> tuple[Piece, Piece]:
    """The yoke of a back and what is below, cut level at y; a shoulder dart goes into the seam.

    Raises GeometryError where the line does not run from the centre to the armhole.
    """
    names = f"{back.name}_yoke", f"{back.name}_below"
    if any(dart.name == "shoulder" for dart in back.darts):
        return _through_dart(back, y, names)
    return level_yoke(back, y, names=names)


def _through_dart(back: Piece, y: float, names: tuple[str, str]) -> tuple[Piece, Piece]:
    """Cut at the level with the shoulder dart closed above it, and opened at the armhole, in the seam."""
    first, tip, second = open_dart(back, "shoulder").points
    way = direction(tip, between(first, second))
    led = _led_to(back, along(tip, way, (y - tip.y) / way.y)) if abs(tip.y - y) > 0.01 else back
    centre = at_level(back, "centre_back", y)
    moved = pivot(led, "shoulder", Opening("armhole", at_level(led, "armhole", y), name="shoulder"))
    return cut_through(moved, (("centre_back", centre), "shoulder"), names=names, edge="yoke", holding="neck")


def _led_to(back: Piece, point: Point) -> Piece:
    """The back with the point of its shoulder dart elsewhere; its shoulder straight with the dart closed, and as long
    as it is sewn."""
    dart, edge = open_dart(back, "shoulder"), back.edge("shoulder")
    (take,) = edge.takes
    tip, neck, long = edge.start, edge.end, edge.sewn_length()
    wide = turn_deg(direction(point, dart.points[0]), direction(point, dart.points[2]))

    def closed(deg: float) -> Point:
        return turn(point, deg).point(tip)

    deg = solve(lambda deg: distance(neck, closed(deg)) - long, 0.0, 3 * wide, near=1e-9)
    inner = along(neck, direction(neck, closed(deg)), edge.length() - take.end)
    outer = turn(point, -deg).point(inner)
    before, after = (Line(tip, outer),), (Line(inner, neck),)
    cap = dart_cap(before, point, after, pressed_to_start=take.pressed == "start")
    start = path_length(before)
    curves = (*before, *cap, *after)
    share = path_length(curves) / edge.length()
    laid = replace(
        edge,
        curves=curves,
        takes=(replace(take, start=start, end=start + path_length(cap), tip=point),),
        spans=tuple(replace(span, long=span.long * share) for span in edge.spans),
    )
    new = replace(dart, points=(outer, point, inner), intake=distance(outer, inner))
    return replace(
        back,
        edges=tuple(laid if each is edge else each for each in back.edges),
        darts=tuple(new if each is dart else each for each in back.darts),
    )


def front_yoke(front: Piece, y: float, *, turned: bool) -> tuple[Piece, Piece]:
    """The yoke of a front and what is below, cut level at y; with its bust dart `turned` to the seam, or where it was.

    Raises GeometryError where the line lies on another dart, below the bust point, or too near to it.
    """
    bust = any(dart.name == "bust" for dart in front.darts)
    if y - front.points["bust_point"].y < 25.0:
        raise GeometryError(f"{front.name}: the yoke line lies nearer than 25 mm to the bust point")
    whole = placed(front, "side") if turned and bust else front
    upper, below = level_yoke(whole, y, names=(f"{front.name}_yoke", f"{front.name}_below"))
    if not (turned and bust):
        return upper, below
    edge, x = below.edge("yoke"), front.points["bust_point"].x
    ends = sorted((edge.start.x, edge.end.x))
    x = min(max(x, ends[0] + 25.0), ends[1] - 25.0)
    at = solve(lambda far: place_at(edge.curves, far)[0].x - x, 0.0, edge.length(), near=1e-6)
    about = below.points["bust_point"]
    return upper, pivot(below, "bust", Opening("yoke", at, pressed="end", name="bust"), about=about)


def fuller(below: Piece, by: float, *, reach: float = 60.0) -> Piece:
    """What is below a yoke with `by` mm let in at the seam, to be gathered there, to nothing at the waist: slashed from
    a third of the seam down beside its centre line. Raises GeometryError where a dart lies across."""
    edge, low = below.edge("yoke"), "waist" if any(e.name == "waist" for e in below.edges) else "hem"
    to = below.edge(low)
    long, far = edge.length(), to.length()
    at_end = edge.end.x < edge.start.x
    at = long * (0.72 if at_end else 0.28)
    foot = far * (0.1 if to.start.x < to.end.x else 0.9)
    opening = Opening("yoke", at, "gathers", name="fullness", reach=min(reach, 0.25 * long))
    centre = next(each.name for each in below.edges if each.name.startswith("centre_"))
    return spread(below, opening, (low, foot), by, hold=centre)


def matched(upper: Piece, below: Piece) -> Piece:
    """The yoke with the notches that the seam has below it, between which it is gathered."""
    edge, long = below.edge("yoke"), upper.edge("yoke").length()
    own = [n for n in below.notches if n.edge == "yoke"
           and not any(t.kind != "gathers" and t.start <= n.at <= t.end for t in edge.takes)]  # fmt: skip
    found = (replace(n, at=long - edge.sewn(n.at)) for n in own)
    return replace(upper, notches=(*upper.notches, *found))


def yoke_seam(upper: Piece, below: Piece, name: str) -> Seam:
    """The seam of the two, with the little that one is longer than the other."""
    a, b = upper.edge("yoke").sewn_length(), below.edge("yoke").sewn_length()
    refs = f"{below.name}.yoke", f"{upper.name}.yoke"
    if abs(b - a) <= _EASED:
        return sew(name, refs[0], to=refs[1])
    return sew(name, refs[0], to=refs[1], ease=b - a) if b > a else sew(name, refs[1], to=refs[0], ease=a - b)
