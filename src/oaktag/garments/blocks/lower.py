"""What the blocks share: curves through printed points, and a half from the bust line down."""

from __future__ import annotations

from collections.abc import Sequence
from math import atan, degrees, hypot
from typing import Final

from ...draft.board import Board
from ...draft.construct import HOLLOW, side_curve, trimmed
from ...draft.moves import turn
from ...draft.rulers import curve, drawn_curve
from ...draft.sketch import Sketch
from ...geometry.curve import Line
from ...geometry.path import flatten, path_length, shifted, solve
from ...geometry.point import Point, between, direction, distance, left_of, meeting
from ...geometry.polygon import crossings
from ...model.length import Length, cm, found, least, mm
from ...model.piece import Dart, EdgeKind, Piece
from ...values import dataclass, replace

WIDEST: Final = cm(4)
"""One waist dart takes in no more than this (common practice, no source)."""
SHORTEST: Final = cm(5)
"""A waist dart is so long at least (judgement, no source)."""
LOWER_END: Final = {"front": cm(9), "back": cm(13)}
"""A double-ended dart ends so far below the waist line (8 to 10 cm, 12 to 14 cm; common practice, no source)."""
ABOVE_HEM: Final = cm(2)
_LEAST: Final = cm(2.5)
"""Where the bust has no more than this over the waist in a half, no waist darts are drafted (judgement, no source)."""
_EASY_SIDE: Final = cm(1.5)
"""What a side seam takes in at the waist where there are no waist darts (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Asked:
    """What is asked of a block."""

    ease_bust: Length
    ease_waist: Length
    below: Length | None
    ease_hip: Length | None
    waist_darts: bool
    front_darts: str
    seam: bool
    """Whether the centre back is a seam that is shaped."""
    prefix: str

    def hip(self, on: Board) -> Length:
        """Half the hip with its ease."""
        return (on.body.hip_girth + (self.ease_hip or cm(4))) / 2

    def shaped(self, on: Board, surplus: Length) -> bool:
        """Whether waist darts are drafted: asked for, and of use."""
        return self.waist_darts and on.settle("waist_shaped", "yes" if surplus > _LEAST else "no") == "yes"

    def front_count(self, on: Board, usual: int) -> int:
        """How many waist darts the front has."""
        words = {1: "one", 2: "two"}
        known = self.front_darts
        return 2 if (on.settle("front_darts", words[usual]) if known == "auto" else known) == "two" else 1


@dataclass(frozen=True, slots=True)
class WaistDart:
    """Where a waist dart lies: its middle from the centre line, what it takes in, its point below the top line as it
    lies on the sheet."""

    name: str
    across: Length
    intake: Length
    top: Length


@dataclass(frozen=True, slots=True)
class Half:
    """From the bust line down: depths on the body, half widths with all darts open, how much lower the sheet has it."""

    bust: Length
    waist: Length
    under: Length
    """The underarm, from the centre line."""
    at_side: Length
    """What the side seam takes in at the waist."""
    wanted: Length
    """The half waist as it is sewn."""
    darts: Sequence[WaistDart]
    centre: Length | None = None
    """What a shaped centre seam takes in at the waist; None: the centre is on the fold."""
    lower: tuple[Length, Length] = (mm(0), mm(0))
    """How much lower than on the body the bust line, and all from the waist down, lie on the sheet."""
    hip: Length | None = None
    """The half hip."""
    dart_depth: Length | None = None
    """Where a bust dart opens in the side."""

    def top(self, dart: WaistDart) -> Length:
        """How far down the upper point of a waist dart lies on the sheet."""
        return least(dart.top, self.waist + self.lower[1] - SHORTEST)


_SHARES: Final = 0.3, 0.95


# ---------------------------------------------------------------- curves through printed points


def share_through(
    a: Point,
    corner: Point,
    b: Point,
    far: Length,
    *,
    toward: Point | None = None,
    lean_deg: float = 0.0,
    inwards_deg: float = 0.0,
) -> float:
    """The share at which a curve from a to b, whose ends point at a corner, passes so far from that corner, on the line
    that halves it, or `toward` a point; where none does, that of 0.3 to 0.95 which passes nearest. `lean_deg`: so much
    it rises from the level at a, square to a side that leans; at b it leans in by `inwards_deg`."""
    leave = turn((0.0, 0.0), -lean_deg).point(direction(a, corner))
    arrive = turn((0.0, 0.0), inwards_deg).point(direction(corner, b))
    to_a, to_b = direction(corner, a), direction(corner, b)
    half = direction(corner, toward) if toward else direction((0.0, 0.0), (to_a.x + to_b.x, to_a.y + to_b.y))

    def over(share: float) -> float:
        drawn = drawn_curve(a, leave, b, arrive, share)

        def off(t: float) -> float:
            p = drawn.at(t)
            return half.x * (p.y - corner.y) - half.y * (p.x - corner.x)

        p = drawn.at(solve(off, 0.0, 1.0, near=1e-9))
        return hypot(p.x - corner.x, p.y - corner.y) - far.mm

    least, most = over(_SHARES[0]), over(_SHARES[1])
    if least * most >= 0:
        return _SHARES[0] if abs(least) < abs(most) else _SHARES[1]
    return solve(over, *_SHARES, near=1e-6)


def loose_side(surplus: Length) -> Length:
    """What the side seam takes in at the waist, both edges, where there are no waist darts."""
    return least(surplus, _EASY_SIDE * 2)


def lean_deg(at_side: Length, down: Length, asked: Asked) -> float:
    """How far a side seam leans in where it leaves the underarm, degrees."""
    return max(0.0, degrees(atan(at_side.over(down) * (1.0 if asked.below is None else HOLLOW))))


def up_to(s: Sketch, a: str, b: str, point: str = "bust_point") -> Length:
    """How deep a dart to that point with those leg ends is, whose legs are alike."""
    return found(distance(between(s.points[a], s.points[b]), s.points[point]), f"to the {point.replace('_', ' ')}")


def shoulder_dart(s: Sketch, sewn: Length) -> None:
    """The back's shoulder with a dart to the point `shoulder_dart`, square to the line from neck to tip above it, that
    takes in what the shoulder has over its length as sewn; drawn so that it is straight with the dart closed."""
    p = s.points
    tip, neck, end = p["shoulder_dart"], p["neck_side"], p["shoulder_tip"]

    def closed(deg: float) -> Point:
        return turn(tip, deg).point(end)

    deg = solve(lambda deg: distance(neck, closed(deg)) - sewn.mm, 0.0, 40.0, near=1e-9)
    leg = turn((0.0, 0.0), deg / 2).point(left_of(direction(neck, end)))
    met = meeting(neck, direction(neck, closed(deg)), tip, leg)
    assert met is not None
    outer = turn(tip, -deg).point(met)
    s.at("dart_outer", of="shoulder_tip", left=found(end.x - outer.x, "to the dart"),
         up=found(outer.y - end.y, "straight with the dart closed"))  # fmt: skip
    inner = s.swing("dart_inner", "dart_outer", about="shoulder_dart", deg=deg,
                    reach=found(distance(outer, tip), "from there to the point"))  # fmt: skip
    s.edge("shoulder", "shoulder_tip", "dart_outer", "dart_inner", "neck_side")
    wide = found(distance(outer, inner), "between the legs")
    s.dart("shoulder", "shoulder", at=found(distance(end, outer), "tip to the dart") + wide / 2, of="shoulder_tip",
           intake=wide, deep=up_to(s, "dart_outer", "dart_inner", "shoulder_dart"), pressed="neck_side")  # fmt: skip


# ---------------------------------------------------------------- from the bust line down


def finished(on: Board, s: Sketch, half: Half, asked: Asked, *, beside: Piece | None = None) -> Piece:
    """The piece, once neck, shoulder and armhole are drawn: centre, side, waist or hem, waist darts, levels. Its side
    is made as long as that of the half `beside` it."""
    front = s.name == "front"
    waist = (half.waist + half.lower[1]).called("front waist line") if half.lower[1].mm else half.waist
    s.at("waist_centre", right=half.centre or mm(0), down=waist)
    s.at("waist_side", right=half.under - half.at_side, down=waist)
    if asked.below is not None:
        s.at("hem_centre", down=waist + asked.below)
    _centre_line(on, s, "centre_front" if front else "centre_back", half, asked)
    doubled = _to_the_waist(s, half, beside) if asked.below is None else _below(on, s, half, asked, waist)
    own = set(s.points)
    _levels(on, s, half, asked)
    made = s.piece()
    return replace(
        made,
        name=f"{asked.prefix}{s.name}",
        darts=(*made.darts, *doubled),
        points={name: p for name, p in made.points.items() if name in own},
        sheets=(s.name,),
    )


def _centre_line(on: Board, s: Sketch, centre: str, half: Half, asked: Asked) -> None:
    end = "waist_centre" if asked.below is None else "hem_centre"
    if half.centre is None:
        s.fold(centre, "neck_centre", end)
    elif asked.below is None:
        s.edge(centre, "neck_centre", "blade_centre", curve("upright", "free"), "waist_centre")
    else:
        turn = curve("upright", "upright")
        past = asked.below > on.body.waist_to_hip + cm(1)
        if past:
            s.at("hip_centre", down=half.waist + on.body.waist_to_hip)
        s.edge(centre, "neck_centre", "blade_centre", turn, "waist_centre", turn,
               *(("hip_centre", "hem_centre") if past else ("hem_centre",)))  # fmt: skip


def _to_the_waist(s: Sketch, half: Half, beside: Piece | None) -> list[Dart]:
    opened = "side_dart_low" in s.points
    s.edge("side", "waist_side", *(("side_dart_low", "side_dart_high") if opened else ()), "underarm")
    if opened:
        p = s.points
        _open_side(s, found(distance(p["underarm"], p["side_dart_high"]), "underarm to the bust dart"))
    s.edge("waist", "waist_side", curve("square", "level" if half.centre is None else "square"), "waist_centre")
    for dart in half.darts:
        s.at(f"{dart.name}_dart", right=dart.across, down=half.top(dart))
        from_centre = dart.across - half.centre if half.centre else dart.across
        s.dart(dart.name, "waist", at=from_centre, of="waist_centre", intake=dart.intake, tip=f"{dart.name}_dart",
               change="ease_waist")  # fmt: skip
    change = "ease_waist or ease_bust"
    for _ in range(2 if beside else 1):
        if half.darts:
            s.fit("waist", to=half.wanted, move="waist_side", way="right", change=change)
        if beside is not None:
            long = found(beside.edge("side").sewn_length(), f"{beside.name} side")
            s.fit("side", to=long, move="waist_side", way="down", change=change)
    return []


def _open_side(s: Sketch, above: Length) -> None:
    """The bust dart in the side seam, to the bust point."""
    p = s.points
    wide = found(distance(p["side_dart_high"], p["side_dart_low"]), "bust dart, between its legs")
    deep = up_to(s, "side_dart_low", "side_dart_high")
    s.dart("bust", "side", at=above + wide / 2, of="underarm", intake=wide, deep=deep,
           change="front_waist_length, if it was mistaken")  # fmt: skip


def _below(on: Board, s: Sketch, half: Half, asked: Asked, waist: Length) -> list[Dart]:
    """Side and hem below the waist, and waist darts with two ends."""
    assert asked.below is not None and half.hip is not None
    hip_line = (waist + on.body.waist_to_hip).called("hip line")
    s.at("hip_side", right=half.hip, down=hip_line)
    p, deep = s.points, s.points["hem_centre"].y
    low = [Point(half.hip.mm, deep)] if deep < p["hip_side"].y - 1 else []
    lower = half.lower[1].mm if half.dart_depth is not None else 0.0
    on_body = [p["underarm"], *(Point(q.x, q.y + lower) for q in (p["waist_side"], p["hip_side"], *low))]
    path = trimmed(side_curve(on_body, straight_end=bool(low)), 0.0, deep + lower)
    if half.dart_depth is not None:
        high = trimmed(path, 0.0, -half.dart_depth.mm)
        rest = shifted(trimmed(path, -half.dart_depth.mm, deep + lower), 0.0, -lower)
        s.put("side_dart_high", high[-1].end)
        s.put("side_dart_low", rest[0].start)
        path = (*high, Line(high[-1].end, rest[0].start), *rest)
    s.trace("side", "underarm", path, "hem_side")
    if half.dart_depth is not None:
        _open_side(s, found(path_length(high), "underarm to the bust dart"))
    s.edge("hem", "hem_side", curve("square", "level"), "hem_centre", kind=EdgeKind.HEM)
    end, darts = least(LOWER_END[s.name], asked.below - ABOVE_HEM), []
    for dart in half.darts:
        words = f"{dart.name.replace('_', ' ')} dart"
        s.tell(dart.across, f"{words}, across")
        s.tell(dart.intake, f"{words}, takes in")
        s.tell(top := half.top(dart), f"{words}, upper point, down")
        s.tell(end, f"{words}, lower point, below the waist line")
        x, y, by = dart.across.mm, -waist.mm, dart.intake.mm / 2
        points = Point(x, -top.mm), Point(x + by, y), Point(x, y - end.mm), Point(x - by, y)
        darts.append(Dart(dart.name, points, dart.intake.mm))
    return darts


def _levels(on: Board, s: Sketch, half: Half, asked: Asked) -> None:
    """The levels of the body, as deep in front as in the back, wherever they lie on the sheet."""
    rows = [("bust", half.bust, half.lower[0]), ("waist", half.waist, half.lower[1])]
    if half.dart_depth is not None:
        rows[1:1] = [("", half.dart_depth, mm(0)), ("", half.dart_depth, half.lower[1])]
        rows.sort(key=lambda row: row[1].mm)
    if asked.below is not None:
        hip = on.body.waist_to_hip
        rows += [("hip", half.waist + hip, half.lower[1])] if asked.below.mm >= hip.mm - 1 else []
        rows.append(("hem", half.waist + asked.below, half.lower[1]))
    beyond = max(p.x for p in s.points.values()) + 20.0
    for number, (name, depth, lower) in enumerate(rows):
        for end, x in (("in", 0.0), ("out", beyond)):
            s.put(f"{end} {number}", Point(x, -(depth + lower).mm))
        s.level(name, depth, f"in {number}", f"out {number}")


def levelled(whole: Piece, part: Piece) -> Piece:
    """What a half, or a part of it, has become, with one line of every level of the half: the longest where moves and
    cuts left several; that of its lower edge, which is curved and leaves the level, from end to end of it."""
    lines = [line for line in part.levels if not line.name]
    edges = {edge.name: edge for edge in part.edges}
    for level in whole.levels:
        if level.name in edges:
            lines.append(replace(level, points=(edges[level.name].start, edges[level.name].end)))
        elif level.name:
            runs = [line for line in part.levels if line.name == level.name]
            longest = sorted(runs, key=lambda line: -distance(line.points[0], line.points[-1]))[:1]
            lines += [replace(line, points=_apart(line.points)) for line in longest]
    return replace(part, levels=tuple(sorted(lines, key=lambda line: (line.depth, -line.points[0].y))))


def _apart(points: Sequence[Point]) -> tuple[Point, ...]:
    """The ends, and what lies between them apart from them."""
    a, *inner, b = points
    return (a, *(p for p in inner if distance(a, p) > 0.1 and distance(b, p) > 0.1), b)


def bust_round(front: Piece, back: Piece) -> Length:
    """The block all round at the bust level, mm: less than on the frame by what the side and darts that reach above it
    take in there."""
    return found(sum(piece.to_cut.around * _width(piece) for piece in (front, back)), "the block at the bust")


def _width(piece: Piece) -> float:
    y = next(line.points[0].y for line in piece.levels if line.name == "bust")
    met = crossings([q for edge in piece.edges for q in flatten(edge.curves)[:-1]], y)
    wide = sum(b - a for a, b in zip(met[::2], met[1::2], strict=True))
    return wide - sum(dart.width_at(y) for dart in piece.darts)
