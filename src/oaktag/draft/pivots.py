"""Darts moved, parted or let out in gathers; pieces slashed and spread, lapped, flared, widened."""

from __future__ import annotations

from math import asin, degrees
from typing import Literal, TypeVar

from ..errors import GeometryError
from ..geometry.affine import Move
from ..geometry.curve import Line
from ..geometry.path import part, path_length, solve
from ..geometry.point import XY, Point, along, between, direction, distance, left_of, turn_deg
from ..model.piece import Dart, Edge, InternalLine, LevelLine, Piece
from ..values import replace
from .cuts import mouth_of, roots
from .darts import trued_beside_dart
from .moves import turn
from .sectors import APART, LEGS, TOUCH, Gap, Kind, Opening, Swing, index_of, place_of, swung
from .stretches import NEAR, cut_run, place

_Line = TypeVar("_Line", InternalLine, LevelLine)


# ---------------------------------------------------------------- darts


def pivot(piece: Piece, name: str, *to: Opening, about: Point | None = None, hold: str = "") -> Piece:
    """A dart closed, and the piece opened instead where asked, by the shares given; what is left stays in the dart.

    The cloth turns about the dart's point, or `about` another, such as the bust point: the dart is led on to it first.
    `hold` is an edge whose cloth stays where it is.
    Raises GeometryError for a dart that opens at no edge, for legs that are not alike, for cuts that leave the piece,
    lie across another dart or in one, and for a fold that would be bent.
    """
    dart = open_dart(piece, name)
    home, low, high = mouth_of(piece, dart)
    apex = about or dart.points[1]
    legs = distance(dart.points[0], apex), distance(dart.points[2], apex)
    if abs(legs[0] - legs[1]) > LEGS:
        raise GeometryError(
            f"{piece.name}: the legs of the {name} dart are {legs[0]:.1f} and {legs[1]:.1f} mm long, measured to the "
            f"point that it is to be closed about; make them alike first (within {LEGS} mm)"
        )
    given = sum(opening.share for opening in to)
    if not to or min(opening.share for opening in to) <= 0 or given > 1 + 1e-9:
        raise GeometryError(
            f"{piece.name}: {given:g} of the {name} dart is to be opened elsewhere, not more than 0 up to 1"
        )
    left = 1.0 - given if given < 1 - 1e-9 else 0.0
    edge = piece.edges[home]
    rest = Opening(edge.name, low, share=left, pressed=_pressed(edge, low), name=name) if left else None
    called = [o.name or (name if len(to) == 1 and not left else f"{name} {o.edge}") for o in to]
    cuts = [_cut_at(piece, replace(o, name=new), (home, low, high)) for o, new in zip(to, called, strict=True)]
    gaps = [Gap(home, low, high, rest), *sorted(cuts, key=lambda gap: _round_from(piece, home, high, gap))]
    closing = turn_deg(direction(apex, dart.points[2]), direction(apex, dart.points[0]))
    shares = [gap.fill.share for gap in gaps[1:] if gap.fill]
    moves = [turn(apex, closing * sum(shares[k:])) for k in range(len(gaps))]
    return swung(replace(piece, darts=_without(piece, dart)), Swing(gaps, moves, apex, hold), dart.name)


def refold(
    piece: Piece, name: str, kind: Kind, *, pressed: Literal["start", "end"] = "start", reach: float = 40.0
) -> Piece:
    """A dart made into a pleat, a tuck or gathers where it is, or left open as flare."""
    dart = open_dart(piece, name)
    home, low, high = mouth_of(piece, dart)
    fill = Opening(piece.edges[home].name, low, kind, 1.0, pressed, name, reach)
    swing = Swing([Gap(home, low, high, fill)], [Move()], dart.points[1])
    return swung(replace(piece, darts=_without(piece, dart)), swing, name)


def shorten(piece: Piece, name: str, by: float) -> Piece:
    """A dart's point pulled back by `by` mm along its middle: its ends stay, so the angle that is sewn grows."""
    dart = open_dart(piece, name)
    first, tip, second = dart.points
    middle = between(first, second)
    if by >= distance(tip, middle) - APART:
        raise GeometryError(
            f"{piece.name}: the {name} dart is {distance(tip, middle):.1f} mm long, so not {by:.1f} mm shorter"
        )
    return _with_point(piece, dart, along(tip, direction(tip, middle), by))


def trued(piece: Piece, name: str, point: Point) -> Piece:
    """A dart with its point elsewhere, and the edge bent beside it so that it runs smoothly with the dart closed: its
    ends stay, and the edge is as long, as near as a bend can be."""
    dart = open_dart(piece, name)
    home, low, high = mouth_of(piece, dart)
    edge = piece.edges[home]
    before, after = trued_beside_dart(cut_run(edge.curves, low)[0], point, cut_run(edge.curves, high)[1])
    by = path_length(before) - low
    takes = (replace(t, start=t.start + by, end=t.end + by) if t.start > low - NEAR else t for t in edge.takes)
    edge = replace(edge, curves=(*before, *part(edge.curves, low, high), *after), takes=tuple(takes))
    return _with_point(replace(piece, edges=(*piece.edges[:home], edge, *piece.edges[home + 1 :])), dart, point)


def _with_point(piece: Piece, dart: Dart, point: Point) -> Piece:
    home, low, high = mouth_of(piece, dart)
    edge = piece.edges[home]
    fill = Opening(edge.name, low, pressed=_pressed(edge, low), name=dart.name)
    swing = Swing([Gap(home, low, high, fill)], [Move()], point)
    return swung(replace(piece, darts=_without(piece, dart)), swing, dart.name)


def open_dart(piece: Piece, name: str) -> Dart:
    """The piece's dart of that name; GeometryError if it has none that opens at an edge."""
    dart = next((dart for dart in piece.darts if dart.name == name and dart.is_open), None)
    if dart is None:
        raise GeometryError(f"{piece.name} has no {name} dart that opens at an edge")
    return dart


def straight_on(piece: Piece, name: str, way: Point | None = None) -> tuple[str, float]:
    """Where a dart's middle, led on past its point, or a line from its point that `way`, first meets the outline: the
    edge, and mm along it."""
    first, tip, second = open_dart(piece, name).points
    way = way or direction(between(first, second), tip)

    def side(p: XY) -> float:
        return way[0] * (p[1] - tip[1]) - way[1] * (p[0] - tip[0])

    best: tuple[float, str, float] | None = None
    for edge in piece.edges:
        walked = 0.0
        for curve in edge.curves:
            for t in roots(curve, side):
                p = curve.at(t)
                far = (p[0] - tip[0]) * way[0] + (p[1] - tip[1]) * way[1]
                if far > NEAR and (best is None or far < best[0]):
                    best = (far, edge.name, walked + curve.split(t)[0].length())
            walked += curve.length()
    if best is None:
        raise GeometryError(f"{piece.name}: the {name} dart, led straight on, meets no edge")
    return best[1], best[2]


def _without(piece: Piece, dart: Dart) -> tuple[Dart, ...]:
    return tuple(other for other in piece.darts if other is not dart)


def _pressed(edge: Edge, low: float) -> Literal["start", "end"]:
    return next((take.pressed or "start" for take in edge.takes if abs(take.start - low) < 1e-3), "start")


def _cut_at(piece: Piece, opening: Opening, home: tuple[int, float, float]) -> Gap:
    """Where an opening is cut; not in the dart's own mouth, at an edge's end, or outside the edge."""
    index = index_of(piece, opening.edge)
    long = piece.edges[index].length()
    if not -NEAR <= opening.at <= long + NEAR:
        raise GeometryError(
            f"{piece.name}: {opening.edge} is {long:.1f} mm long, so it is not opened at {opening.at:.1f} mm"
        )
    if index == home[0] and home[1] - APART < opening.at < home[2] + APART:
        raise GeometryError(
            f"{piece.name}: a dart cannot be opened at {opening.edge}, {opening.at:.1f} mm along it, where it is"
        )
    return Gap(index, opening.at, opening.at, opening)


def _round_from(piece: Piece, home: int, high: float, gap: Gap) -> tuple[int, float]:
    """How far round the outline from a place a gap lies: edges, then mm."""
    count = len(piece.edges)
    return (count if gap.edge == home and gap.low < high else (gap.edge - home) % count), gap.low


# ---------------------------------------------------------------- slashed


def spread(piece: Piece, at: Opening, to: tuple[str, float], by: float, also: float = 0.0, *, hold: str = "") -> Piece:
    """A piece slashed from a place on one edge to a place on another, and spread by `by` mm at the first, measured
    straight across, and by `also` at the other: 0 makes it the hinge, the same as `by` spreads in parallel.

    Raises GeometryError where the slash leaves the piece, or lies across a dart.
    """
    if by <= 0 or also < 0:
        raise GeometryError(
            f"{piece.name}: spread by {by:g} and {also:g} mm; the first is more than 0, and neither is less"
        )
    if also and at.kind == "dart":
        raise GeometryError(f"{piece.name}: spread at both ends there is no dart, since it has no point")
    gap = _cut_at(piece, replace(at, name=at.name or at.kind), (-1, 0.0, 0.0))
    end = _cut_at(piece, Opening(*to, kind=at.kind, name=at.name or at.kind), (-1, 0.0, 0.0))
    a, b = place_of(piece, gap), place_of(piece, end)
    if distance(a, b) < max(by, also, APART):
        raise GeometryError(
            f"{piece.name}: a slash {distance(a, b):.1f} mm long cannot be spread by {max(by, also):.1f} mm"
        )
    if also <= 0:
        end, apex, move = replace(end, fill=None), b, turn(b, 2 * degrees(asin(by / 2 / distance(a, b))))
    else:
        apex, move = None, _apart_by(a, b, by, also)
    return swung(piece, Swing([gap, end], [move, Move()], apex, hold), "")


def _apart_by(a: Point, b: Point, by: float, also: float) -> Move:
    """The move of the cloth after a and before b on the outline that takes both so far from where they were, mm."""
    out = left_of(direction(a, b))
    shift = Move.by(-out.x * also, -out.y * also)
    about = shift.point(b)
    if abs(by - also) < NEAR:
        return shift

    def off(angle_deg: float) -> float:
        return distance(shift.then(turn(about, angle_deg)).point(a), a) - by

    most = 60.0 if by > also else -2 * degrees(asin(min(1.0, also / 2 / distance(a, b))))
    return shift.then(turn(about, solve(off, 0.0, most, near=1e-9)))


def lap(piece: Piece, at: tuple[str, float], to: tuple[str, float], by: float, *, hold: str = "") -> Piece:
    """A piece slashed from a place on one edge to a place on another, the hinge, and lapped by `by` mm at the first,
    measured straight across: the edge loses the cloth that lies between, half on either side of the place.

    Raises GeometryError where the slash meets the edge so aslant that the lapped edge would have a step.
    """
    index, hinge = index_of(piece, at[0]), _cut_at(piece, Opening(*to), (-1, 0.0, 0.0))
    edge, apex = piece.edges[index], place_of(piece, hinge)
    room = min(at[1], edge.length() - at[1])

    def ends(half: float) -> tuple[Point, Point]:
        return place(edge, at[1] - half), place(edge, at[1] + half)

    if by <= 0 or distance(*ends(room)) < by:
        raise GeometryError(
            f"{piece.name}: {edge.name} has no room to be lapped by {by:.1f} mm, {at[1]:.1f} mm along it"
        )
    half = solve(lambda half: distance(*ends(half)) - by, 0.0, room, near=1e-9)
    low, high = ends(half)
    step = abs(distance(apex, low) - distance(apex, high))
    if step > LEGS:
        raise GeometryError(
            f"{piece.name}: lapped by {by:.1f} mm there, {edge.name} would have a step of {step:.1f} mm; slash nearer "
            f"to square to the edge"
        )
    move = turn(apex, turn_deg(direction(apex, high), direction(apex, low)))
    gaps = [Gap(index, at[1] - half, at[1] + half), replace(hinge, fill=None)]
    return swung(piece, Swing(gaps, [move, Move()], apex, hold), "")


def flare(piece: Piece, edge: str, by: float, *, to: str, slashes: int = 1, hold: str = "") -> Piece:
    """An edge made `by` mm longer by slashes at equal distances, each hinged at the like place of the edge `to`, which
    stays as long as it is. Raises GeometryError as `spread` does."""
    long, far = piece.edge(edge).length(), piece.edge(to).length()
    for i in reversed(range(slashes)):
        share = (i + 1) / (slashes + 1)
        piece = spread(piece, Opening(edge, long * share, "flare"), (to, far * (1 - share)), by / slashes, hold=hold)
    return piece


def widen(piece: Piece, fold: str, by: float) -> Piece:
    """A piece made wider by `by` mm at a straight edge, such as the fold: this stays where it is, and all else moves
    away from it. The edges beside it, levels and lines that end at it are led on, square to it.

    Raises GeometryError if that edge is not straight.
    """
    edge = piece.edge(fold)
    if len(edge.curves) != 1 or not isinstance(edge.curves[0], Line):
        raise GeometryError(f"{piece.name} is widened at a straight edge; {fold} is none")
    index = index_of(piece, fold)
    way = direction(edge.start, edge.end)
    inwards = left_of(way)
    count = len(piece.edges)
    gaps = [
        Gap((index + 1) % count, 0.0, 0.0, Opening("", 0.0, "flare")),
        Gap((index - 1) % count, far := piece.edges[index - 1].length(), far, Opening("", far, "flare")),
    ]
    move = Move.by(inwards.x * by, inwards.y * by)
    wider = swung(piece, Swing(gaps, [move, Move()], None, fold), "")

    def led_on(line: _Line) -> _Line:
        """Those that end where the fold was, before all else moved away from it."""
        points = list(line.points)
        for p in (points[0], points[-1]):
            if _is_at(p, along(edge.start, inwards, by), way):
                points.insert(0 if p == points[0] else len(points), along(p, inwards, -by))
        return replace(line, points=tuple(points))

    return replace(
        wider,
        internal_lines=tuple(map(led_on, wider.internal_lines)),
        levels=tuple(map(led_on, wider.levels)),
    )


def _is_at(p: Point, a: Point, way: Point) -> bool:
    """Whether a point touches the line through a."""
    return abs(way.x * (p.y - a.y) - way.y * (p.x - a.x)) < TOUCH
