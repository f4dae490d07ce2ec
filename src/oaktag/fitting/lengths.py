"""Faults of lengths."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import atan2, degrees
from typing import Final

from ..draft.stretches import cut_run
from ..errors import GeometryError
from ..geometry.curve import Line
from ..geometry.path import Path, flatten, parallel, path_length, pinned, reverse
from ..geometry.point import Point, along, direction, distance
from ..geometry.polygon import distance_to_line
from ..model.fitted import Ask
from ..model.length import inch
from ..model.piece import EdgeKind, InternalLine, NotchPlace, Piece
from ..units import show_at_most
from ..values import replace
from .fault import Fault
from .fitter import Fitter, NotHere, called, role_of
from .warp import Field

LEAST: Final = 15.0
"""So much of a length is left at least between what lies above and below the line on which it is changed, mm
(judgement, no source)."""

FLARED_DEG: Final = 6.0
"""Beside a hem that leans out more, all is lengthened along the hem, so that it goes on to flare (judgement)."""


def short_waist(on: Fitter, ask: Ask) -> None:
    """Lap front and back alike between bust and waist."""
    _waist(on, ask, -ask.amount)


def long_waist(on: Fitter, ask: Ask) -> None:
    """Spread front and back alike between bust and waist."""
    _waist(on, ask, ask.amount)


def _waist(on: Fitter, ask: Ask, by: float) -> None:
    halves = on.piece("front", "armhole", "side"), on.piece("back", "armhole", "side")
    lows = [max([on.level(role_of(half), "waist"), *_heights(half, "waist")]) for half in halves]
    bust = [on.level(role_of(half), "bust", "chest", "waist") for half in halves]
    down = max(line - _under(half) for half, line in zip(halves, bust, strict=True))  # alike, for the notches between
    rows = [(half, line - max(down, 0.0), low) for half, line, low in zip(halves, bust, lows, strict=True)]
    _lengthened(on, ask, by, rows, "waist")


def longer(on: Fitter, ask: Ask) -> None:
    """Spread all between hip, or waist, and hem."""
    _hem(on, ask, ask.amount)


def shorter(on: Fitter, ask: Ask) -> None:
    """Lap all between hip, or waist, and hem."""
    _hem(on, ask, -ask.amount)


def _hem(on: Fitter, ask: Ask, by: float) -> None:
    """In a band above the hem where all hangs straight, so that a vent stays as it is; flared, along the hem."""
    own = [piece for piece in on.pieces if piece.worn in ("body", "leg") and _is_hemmed(piece)]
    if not own:
        raise NotHere("there is no piece with a hem")
    if any(_lean_deg(piece) > FLARED_DEG for piece in own):
        for piece in own:
            on.change_at(on.pieces.index(piece), lambda each: hem_lowered(each, by))
        return
    found = []
    for piece in own:
        named = {line.name: line.points[0].y for line in piece.levels}
        high = next((named[name] for name in _DOWN_TO if name in named), None)
        if high is None:
            raise NotHere(f"the {piece.name} has no hip, waist or chest line")
        found.append((piece, max(high, min(p.y for p in _corners(piece))), _above_hem(piece, high)))
    _lengthened(on, ask, by, found, "hem")


def _lean_deg(piece: Piece) -> float:
    """How far the edges that end at a hem lean out from the upright there at most, degrees."""
    before, after = piece.beside("hem")
    ways = piece.edge(before).curves[-1].way(1.0), piece.edge(after).curves[0].way(0.0)
    return max(degrees(atan2(abs(way.x), abs(way.y))) for way in ways)


def hem_lowered(piece: Piece, by: float) -> Piece:
    """The piece with its hem that much further down all along it, the edges beside it led straight on, or cut off.

    Raises GeometryError where they are too short for that, or the hem bends too sharply."""
    hem, names = piece.edge("hem"), piece.beside("hem")
    before, after = (piece.edge(name) for name in names)
    if by < 0 and min(before.length(), after.length()) + by < LEAST:
        raise GeometryError(f"{piece.name}: the edges beside the hem are too short to be cut off")
    ends = [run[-1].end for run in (_led(before.curves, by), _led(reverse(after.curves), by))]
    drawn = parallel(hem.curves, by)  # to the right of the outline the cloth ends
    if max(distance(drawn[0].start, ends[0]), distance(drawn[-1].end, ends[1])) > 0.2 * abs(by):
        raise GeometryError(f"{piece.name}: the hem is not square to the edges beside it")
    new = {
        before.name: _led(before.curves, by),
        "hem": pinned(drawn, ends[0], ends[1]),
        after.name: reverse(_led(reverse(after.curves), by)),
    }
    moved = {hem.start: ends[0], hem.end: ends[1]}
    share = path_length(new["hem"]) / hem.length()

    low = flatten(hem.curves)

    def led_on(line: InternalLine) -> InternalLine:
        """A line that ends on the hem, up to where this is now."""
        points = list(line.points)
        for end, beside in ((0, 1), (-1, -2)):
            if len(points) > 1 and distance_to_line(line.points[end], low) < 0.2:
                points[end] = along(line.points[end], direction(line.points[beside], line.points[end]), by)
        return replace(line, points=tuple(points))

    def notch(each: NotchPlace) -> NotchPlace:
        if each.edge == "hem":
            return replace(each, at=each.at * share)
        if each.edge == after.name and each.at > 1.0:
            return replace(each, at=each.at + by)
        return replace(each, at=each.at + by) if each.edge == before.name and each.at > before.length() - 1.0 else each

    takes = tuple(replace(take, start=take.start + by, end=take.end + by) for take in after.takes)
    return replace(
        piece,
        edges=tuple(
            replace(edge, curves=new[edge.name], takes=takes if edge is after else edge.takes, spans=())
            if edge.name in new
            else edge
            for edge in piece.edges
        ),
        points={name: next((q for old, q in moved.items() if distance(p, old) < 0.01), p)
                for name, p in piece.points.items()},
        notches=tuple(map(notch, piece.notches)),
        internal_lines=tuple(map(led_on, piece.internal_lines)),
        levels=tuple(
            replace(line, points=tuple(Point(p.x, p.y - by) for p in line.points)) if line.name == "hem" else line
            for line in piece.levels
        ),
        cut_line=(),
    )  # fmt: skip


def _led(run: Path, by: float) -> Path:
    """A run led straight on at its end, or cut off there."""
    if by < 0:
        return cut_run(run, path_length(run) + by)[0]
    *rest, last = run
    end = along(last.end, last.way(1.0), by)
    return (*rest, Line(last.a, end)) if isinstance(last, Line) else (*run, Line(last.end, end))


def longer_sleeve(on: Fitter, ask: Ask) -> None:
    """Spread the sleeve between upper arm and lower edge."""
    _sleeve(on, ask, ask.amount)


def shorter_sleeve(on: Fitter, ask: Ask) -> None:
    """Lap the sleeve there."""
    _sleeve(on, ask, -ask.amount)


def _sleeve(on: Fitter, ask: Ask, by: float) -> None:
    own = [piece for piece in on.pieces if role_of(piece) == "sleeve" and called(piece, "cap")]
    if not own:
        raise NotHere("there is no sleeve with a cap")
    found = []
    for sleeve in own:
        cap = sleeve.edge("cap")
        found.append((sleeve, min(cap.start.y, cap.end.y), max(_lowest_run(sleeve))))
    _lengthened(on, ask, by, found, "sleeve")


# ---------------------------------------------------------------- the way


def _lengthened(on: Fitter, ask: Ask, by: float, rows: Sequence[tuple[Piece, float, float]], what: str) -> None:
    """Each piece longer by as much, in the widest band from one height down to another that is free of darts; what
    lies below goes along."""
    fields = {}
    for piece, high, low in rows:
        top, bottom = _free(piece, high, low)
        if top - bottom + min(by, 0.0) < LEAST:
            most = show_at_most(max(0.0, top - bottom - LEAST), on.unit)
            less = f"Make it {most} or less" if by < 0 else f"Draft it anew for its {what}"
            on.refuse(ask, f"the {piece.name} has {on.say(max(0.0, top - bottom))} of plain length there", less)
        fields[piece.name] = _stretched(top, bottom, by), (top, bottom)
    for piece, _, _ in rows:
        on.warp_at(on.pieces.index(piece), *fields[piece.name])


def _stretched(top: float, bottom: float, by: float) -> Field:
    def field(p: Point) -> Point:
        share = min(1.0, max(0.0, (top - p.y) / (top - bottom)))
        return Point(p.x, p.y - by * share)

    return field


def _free(piece: Piece, high: float, low: float) -> tuple[float, float]:
    """The widest band between two heights that no line or dart lies in; but for upright darts, lengthened with it."""
    busy = sorted(
        (
            (min(high, max(ys)), max(low, min(ys)))
            for ys in _lying(piece, high, low)
            if max(ys) > low and min(ys) < high
        ),
        reverse=True,
    )
    bands, top = [], high
    for upper, lower in busy:
        bands.append((top, upper))
        top = min(top, lower)
    bands.append((top, low))
    return max(bands, key=lambda band: band[0] - band[1])


def _lying(piece: Piece, high: float, low: float) -> Iterator[list[float]]:
    """The heights of darts that lie across, and so would be bent, and of lines such as a slit; not of a crease, which
    runs all through and is lengthened with it."""
    for line in piece.internal_lines:
        ys = [p.y for p in line.points]
        if min(ys) > low + 1.0 or max(ys) < high - 1.0:
            yield ys
    for dart in piece.darts:
        xs, ys = [p.x for p in dart.points], [p.y for p in dart.points]
        if max(xs) - min(xs) > max(ys) - min(ys):
            yield ys


def _heights(piece: Piece, name: str) -> list[float]:
    """The heights of an edge, if there is one."""
    return [y for edge in piece.edges if edge.name == name for _, y in flatten(edge.curves)]


def _is_hemmed(piece: Piece) -> bool:
    return any(edge.name == "hem" and edge.kind is EdgeKind.HEM for edge in piece.edges)


def _corners(piece: Piece) -> list[Point]:
    return [edge.start for edge in piece.edges]


def _under(half: Piece) -> float:
    """The underarm, or the bust point below it."""
    armhole = half.edge(called(half, "armhole"))
    high = min(armhole.start.y, armhole.end.y)
    return min(high, half.points["bust_point"].y) if "bust_point" in half.points else high


def _above_hem(half: Piece, high: float) -> float:
    """The highest place of the hem, or of a vent or slit above it: they are moved as they are."""
    ys = _heights(half, "hem")
    ys += [p.y for p in _corners(half) if p.y < high - LEAST]
    return max(ys)


def _lowest_run(sleeve: Piece) -> list[float]:
    """The heights of the edge at the lower end of a sleeve."""
    low = min(sleeve.edges, key=lambda edge: (edge.start.y + edge.end.y) / 2)
    return [y for _, y in flatten(low.curves)]


_DOWN_TO: Final = ("knee", "crotch", "hip", "waist", "chest", "bust")
"""The lowest of these levels that there is: what lies above it is not lengthened at the hem."""
_BOTH: Final = ("front.armhole", "back.armhole", "front.shoulder", "back.shoulder")
ROWS: Final[tuple[Fault, ...]] = (
    Fault(
        "short_waist",
        sign="the waist of the garment lies below hers, and cloth folds there",
        pin="pinch a level fold between bust and waist, all round, until the waist lies where hers is, and measure "
        "what is pinched, both layers",
        change="lapped level between bust and waist, front and back alike",
        stays="armholes, darts, and the waist as wide",
        way=short_waist, most=inch(3), keeps=_BOTH, usual="as pinned",
    ),
    Fault(
        "long_waist",
        sign="the waist of the garment lies above hers, and rides up",
        pin="tie a tape round her waist, and measure from the garment's waist line down to it",
        change="spread level between bust and waist, front and back alike",
        stays="armholes, darts, and the waist as wide",
        way=long_waist, most=inch(3), keeps=_BOTH, usual="as measured",
    ),
    Fault(
        "longer",
        sign="the hem hangs too high",
        pin="chalk the hem that is wanted, the same height from the floor all round, and measure down to it from "
        "the hem line",
        change="spread level above the hem, or led on along it where it flares",
        stays="all above the hip; a vent, unless it flares",
        way=longer, most=inch(12), usual="as wanted",
    ),
    Fault(
        "shorter",
        sign="the hem hangs too low",
        pin="pin the hem up all round, and measure how much of it is turned up beyond the hem line",
        change="lapped level above the hem, or cut off along it where it flares",
        stays="all above the hip; a vent, unless it flares",
        way=shorter, most=inch(12), usual="as wanted",
    ),
    Fault(
        "longer_sleeve",
        sign="the sleeve ends too high, with the arm bent a little",
        pin="bend her arm a little, and measure from the lower edge of the sleeve down to where it is to end",
        change="spread level between upper arm and lower edge",
        stays="cap, and the lower edge as wide",
        way=longer_sleeve, most=inch(6), keeps=("sleeve.cap",), usual="as wanted",
    ),
    Fault(
        "shorter_sleeve",
        sign="the sleeve ends too low, with the arm bent a little",
        pin="pinch a level fold across the sleeve until it ends where it is to end, and measure what is pinched, both "
        "layers",
        change="lapped level between upper arm and lower edge",
        stays="cap, and the lower edge as wide",
        way=shorter_sleeve, most=inch(6), keeps=("sleeve.cap",), usual="as wanted",
    ),
)  # fmt: skip
