"""Faults of the crotch of trousers."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final, NamedTuple

from ..draft.moves import turn
from ..geometry.curve import Cubic
from ..geometry.path import solve
from ..geometry.point import Point, between, distance, meeting, turn_deg
from ..model.fitted import Ask
from ..model.length import inch, mm
from ..model.piece import Piece
from .around import WAIST, at_end, grown, level_y, outwards, settled
from .fault import Fault
from .fitter import Fitter, NotHere, called, role_of
from .warp import Way, eased, led, recurved, sewn_on, warped

LEG: Final = "leg"


class Fork(NamedTuple):
    """Where the crotch meets the inside leg: the piece by its number, and both edges."""

    number: int
    role: str
    """Front or back; "" where a piece is both alike."""
    crotch: str
    inside: str


def forks(on: Fitter) -> Iterator[Fork]:
    """Every fork on the table: of front and back, or both on one piece."""
    for index, piece in enumerate(on.pieces):
        if piece.worn != LEG:
            continue
        for edge in piece.edges:
            word, _, half = edge.name.partition("_")
            inside = next((name for name in piece.beside(edge.name) if name.startswith(("inseam", "inside"))), "")
            if word in ("crotch", "fork") and inside:
                yield Fork(index, half or role_of(piece), edge.name, inside)


def crotch_depth(on: Fitter, ask: Ask) -> None:
    """Spread, or lap, every piece of the legs across, in parallel, above the curve of the crotch (drafting rules)."""
    found = list(forks(on))
    if not found:
        raise NotHere("there is no crotch")
    places = []
    for fork in found:
        piece = on.pieces[fork.number]
        crotch = piece.edge(fork.crotch)
        low = crotch.end if at_end(piece, fork.crotch, fork.inside) else crotch.start
        waist = level_y(piece, "waist")
        top = waist if waist is not None else max(crotch.start.y, crotch.end.y)
        places.append((top, level_y(piece, "crotch") or low.y))
    upper, low_y = min(top for top, _ in places), max(low for _, low in places)
    half = (upper + low_y) / 2
    if half + ask.amount > upper - 20.0:
        on.refuse(ask, f"that leaves too little from the waist to the crotch, {on.say(upper - low_y)}", "Make it less")
    tips = [dart.points[1].y for piece in on.pieces if piece.worn == LEG for dart in piece.darts if dart.is_open]
    bend = max(half + (upper - half) / 4, min([*tips, upper - (upper - half) / 10]))

    def field(p: Point) -> Point:
        down = min(1.0, max(0.0, (bend - p.y) / (bend - half)))
        return Point(p.x, p.y - ask.amount * down)

    for index, piece in enumerate(on.pieces):
        if piece.worn == LEG:
            on.change_at(index, lambda piece: _deeper(piece, warped(piece, field), ask.amount))


def _deeper(old: Piece, new: Piece, by: float) -> Piece:
    """The side just so much longer, so that front and back are alike, and the waist as it was."""
    if {"side", WAIST} <= {edge.name for edge in old.edges}:
        waist, side = (old.edge(name).sewn_length() for name in (WAIST, "side"))
        return settled(new, WAIST, "side", waist, side + by)
    return new


def crotch_length(on: Fitter, ask: Ask) -> None:
    """Extend both forks; each goes down or up by what leaves its inside leg as long (drafting rules)."""
    _forked(on, ask, "front", "back")


def crotch_back(on: Fitter, ask: Ask) -> None:
    """Extend the back fork alone."""
    _forked(on, ask, "back")


def crotch_front(on: Fitter, ask: Ask) -> None:
    """Extend the front fork alone."""
    _forked(on, ask, "front")


def _forked(on: Fitter, ask: Ask, *roles: str) -> None:
    found = [fork for fork in forks(on) if fork.role in roles or (len(roles) > 1 and not fork.role)]
    if not found:
        raise NotHere(f"there is no {roles[0]} crotch")
    for fork in found:
        on.change_at(fork.number, lambda piece, fork=fork: forked(piece, fork, ask.amount))  # type: ignore[misc]


def forked(piece: Piece, fork: Fork, by: float) -> Piece:
    """The fork of a piece so much further out, the curve and the inside leg meeting in it as they did."""
    crotch, inside = piece.edge(fork.crotch), piece.edge(fork.inside)
    long = inside.length()
    end = at_end(piece, fork.crotch, fork.inside)
    fork_at = crotch.end if end else crotch.start
    far_end = crotch.start if end else crotch.end
    out = 1.0 if fork_at.x > far_end.x else -1.0

    def moved(up: float) -> Piece:
        move = Point(out * by, up)
        new = led(piece, {fork.crotch: _to_seat(piece, fork, move), fork.inside: _to_knee(piece, fork, move)})
        return _rounded_alike(piece, new, fork, end=end)

    def off(up: float) -> float:
        return moved(up).edge(fork.inside).length() - long

    return moved(solve(off, -2 * abs(by), 2 * abs(by), near=1e-7))


def _rounded_alike(old: Piece, new: Piece, fork: Fork, *, end: bool) -> Piece:
    """The curve of the crotch as it meets the inside leg by the angle that it did, and as round as it was: its handles
    the same shares of the way to where both point."""
    k = -1 if end else 0
    was, now = old.edge(fork.crotch).curves[k], new.edge(fork.crotch).curves[k]
    if not isinstance(was, Cubic) or not isinstance(now, Cubic):
        return new
    legs = [outwards(piece.edge(fork.inside), at_end(piece, fork.inside, fork.crotch)) for piece in (old, new)]
    turned = turn((0.0, 0.0), turn_deg(*legs))
    leave = was.way(0.0) if end else turned.point(was.way(0.0))
    arrive = turned.point(was.way(1.0)) if end else was.way(1.0)
    met = meeting(was.a, was.way(0.0), was.d, was.way(1.0)), meeting(now.a, leave, now.d, arrive)
    if met[0] is None or met[1] is None:
        return new
    first, last = (distance(was.a, was.b) / distance(was.a, met[0]), distance(was.d, was.c) / distance(was.d, met[0]))
    curve = Cubic(now.a, between(now.a, met[1], first), between(now.d, met[1], last), now.d)
    edge = new.edge(fork.crotch)
    return recurved(new, fork.crotch, (*edge.curves[:-1], curve) if end else (curve, *edge.curves[1:]))


def _to_seat(piece: Piece, fork: Fork, move: Point) -> Way:
    """The curve of the crotch moved with its fork, to nothing where its last bend begins."""
    crotch = piece.edge(fork.crotch)
    end = at_end(piece, fork.crotch, fork.inside)
    long = sewn_on(crotch, crotch.length())
    over = (crotch.curves[-1] if end else crotch.curves[0]).length()
    return _way(end, long, min(over, long * 0.97), move)


def let_out_inside(on: Fitter, by: float) -> None:
    """Every inside leg further out as it is, from the fork to the hem. Raises NotHere."""
    found = list(forks(on))
    if not found:
        raise NotHere("there is no inside leg")
    for fork in found:
        on.change_at(fork.number, lambda piece, fork=fork: _inside_out(piece, fork, by))  # type: ignore[misc]


def _inside_out(piece: Piece, fork: Fork, by: float) -> Piece:
    crotch = piece.edge(fork.crotch)
    end = at_end(piece, fork.crotch, fork.inside)
    out = 1.0 if (crotch.end.x > crotch.start.x) == end else -1.0
    move = Point(out * by, 0.0)
    return grown(piece, {fork.crotch: _to_seat(piece, fork, move), fork.inside: Way(lambda _: move)})


def _to_knee(piece: Piece, fork: Fork, move: Point) -> Way:
    """The inside leg moved with its fork, to nothing where its first curve ends, at the knee; else at the hem. It bends
    less and less towards there, as one that is drawn with its fork further out does."""
    inside = piece.edge(fork.inside)
    end = at_end(piece, fork.inside, fork.crotch)
    long = sewn_on(inside, inside.length())
    over = (inside.curves[-1] if end else inside.curves[0]).length()

    def by(far: float) -> Point:
        share = max(0.0, 1 - (long - far if end else far) / over) ** 2
        return Point(move.x * share, move.y * share)

    return Way(by, (long - over if end else over,))


def _way(end: bool, long: float, over: float, move: Point) -> Way:
    def by(far: float) -> Point:
        share = 1 - eased(0.0, over, long - far if end else far)
        return Point(move.x * share, move.y * share)

    return Way(by, (long - over if end else over,))


def tight_pull_on(on: Fitter, ask: Ask) -> None:
    """Let each edge of the side seam out alike from the waist to the hem, where nothing takes in the waist: the waist
    grows by four times that (a college's guide)."""
    legs = [(k, piece) for k, piece in enumerate(on.pieces) if piece.worn == LEG and called(piece, "side")]
    if not legs or not any(called(piece, "waist") for _, piece in legs):
        raise NotHere("there is no side seam of trousers")
    if any(take for _, piece in legs for edge in piece.edges if edge.name == "waist" for take in edge.takes):
        raise NotHere("the waist has darts or pleats, so it is not pulled on: use let_out")
    for index, piece in legs:
        side = piece.edge("side")
        way = outwards(piece.edge("waist"), at_end(piece, "waist", "side"))
        out = Point(ask.amount if way.x > 0 else -ask.amount, 0.0)
        long = piece.edge("waist").sewn_length() + ask.amount, side.length()
        on.change_at(
            index,
            lambda piece, out=out, long=long: settled(  # type: ignore[misc]
                grown(piece, {"side": Way(lambda _: out)}), "waist", "side", *long
            ),
        )


ROWS: Final[tuple[Fault, ...]] = (
    Fault(
        "crotch_depth",
        sign="when she sits the waist is pulled down, or the crotch cuts in; or the crotch hangs low",
        pin="let the waist rise or sink until the crotch sits right, and measure from there to where the waist "
        "belongs; write it with a minus if the crotch hung low",
        change="spread level above the crotch, front and back alike; lapped, where the amount is less than nothing",
        stays="inside leg, waist",
        way=crotch_depth, most=inch(2), least=mm(-50), keeps=("front.waist", "back.waist"),
        usual="what her body rise is more, or less, than the draft's",
        source="drafting rules, alterations: trouser crotch too short",
    ),
    Fault(
        "crotch_length",
        sign="the crotch seam pulls in front and at the back, with folds that run out from the fork",
        pin="open the crotch seam below the body until the folds are gone; measure the gap, and write half of it",
        change="both forks further out, each inside leg as long as it was",
        stays="inside leg, waist, side",
        way=crotch_length, most=inch(1), least=mm(-25), usual="1/4 to 1 in (0.5 to 2.5 cm)",
        source="drafting rules, alterations: crotch length short",
    ),
    Fault(
        "crotch_length_back",
        sign="folds run from the fork up to the seat, and the back waist is pulled down",
        pin="open the back of the inside leg at the fork until the folds are gone, and measure how far it gapes",
        change="back fork further out, the inside leg as long as it was",
        stays="inside leg, waist, side",
        way=crotch_back, most=inch(1), least=mm(-25), usual="1/4 to 1 in (0.5 to 2.5 cm)",
        source="drafting rules, alterations: crotch length short",
    ),
    Fault(
        "crotch_length_front",
        sign="folds run from the fork out over the front of the thigh",
        pin="open the front of the inside leg at the fork until the folds are gone, and measure how far it gapes",
        change="front fork further out, the inside leg as long as it was",
        stays="inside leg, waist, side",
        way=crotch_front, most=inch(1), least=mm(-25), usual="1/4 to 1 in (0.5 to 2.5 cm)",
        source="drafting rules, alterations: crotch length short",
    ),
    Fault(
        "tight_pull_on",
        sign="trousers without an opening are tight to pull on, or strain over the hip",
        pin="open both side seams until the trousers go over the hip; measure how far one of them gapes, and write "
        "half of it",
        change="each edge of the side seams further out from waist to hem",
        stays="crotch, inside leg, front side as long as back side",
        way=tight_pull_on, most=inch(1), keeps=("front.side", "back.side"),
        usual="1/2 in (1.25 cm) an edge, 2 in (5 cm) round",
        source="drafting rules, alterations: pull-on looser",
    ),
)  # fmt: skip
