"""What is sewn to an edge that was changed is made to fit it again: the cap of a sleeve, bands, strips, collars.

A cap is made higher or lower above the biceps line, and its top moved towards front or back, until both sides of it
have the ease that they had; a strip is lengthened where the edge that it is sewn to was. What is neither, and has no
dart or ease to take the difference, stops the fitting (laws of altering: common practice, no source).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from itertools import pairwise
from typing import Final, Literal

from ..draft.stretches import cut_run
from ..errors import DraftError, GeometryError
from ..geometry.path import flatten, path_length, place_at, solve
from ..geometry.point import Point, distance
from ..geometry.polygon import distance_to_segment
from ..model.draft import Draft
from ..model.piece import Edge, EdgeKind, Piece, Seam, piece_words
from ..model.ref import words_of
from ..model.sewing import Grown, SeamLengths, Sewing, drawn, grown_along, seam_lengths, sewn_length, whole_way
from ..units import Unit, show
from ..values import replace
from .fitter import role_of
from .warp import warped

SAME: Final = 0.05
"""A seam whose sides differ as they did, to this, mm, fits as it did."""
_BOWED: Final = 0.2
"""A facing's edge lies no further from its chord than this part of its length, or its shape matters (judgement)."""
TOLD: Final = 1.0
"""What was changed by less is not told, mm."""
_SEEN: Final = 1.5
"""Notches of both sides of a seam that lie so near to as far from its end, mm, meet (as the check of them has it)."""
_MARKED: Final = 0.2
"""A notch that lies elsewhere by less is left, mm."""
_ROUNDS: Final = 6
"""Strips are sewn to strips: a stand to a band, a fall to a stand."""
_NEAR: Final = 0.005


def refitted(draft: Draft, pieces: Sequence[Piece], words: str, unit: Unit) -> tuple[tuple[Piece, ...], list[str]]:
    """The changed pieces of a draft with all that is sewn to them made to fit, and notes of it.

    Raises DraftError for a seam that does not fit any more, naming it and both its lengths.
    """
    before = Sewing.of(draft.pieces, draft.seams)
    now = {piece.name: piece for piece in pieces}
    moved = {name for name, piece in now.items() if piece is not before.pieces[name]}
    notes: list[str] = []
    for _ in range(_ROUNDS):
        after = Sewing.of(now.values(), draft.seams)
        made: dict[str, Piece] = {}
        for seam, was, is_now in (*_off(draft, after), *_marks_off(before, after)):
            new = _made_to_fit(before, after, seam, is_now.a - is_now.b - was.a + was.b, moved)
            if new is not None and new.name not in made:
                made[new.name] = new
        if not made:
            break
        told = (_told(now[name], piece, unit) for name, piece in made.items())
        notes += [f"As fitted, {words}: {say}." for say in told if say]
        now |= made
        moved |= set(made)
    for seam, was, is_now in _off(draft, Sewing.of(now.values(), draft.seams)):
        _refuse_unless_near(draft, seam, was, is_now, words, unit)
    return tuple(now[piece.name] for piece in pieces), notes


def _off(draft: Draft, after: Sewing) -> Iterator[tuple[Seam, SeamLengths, SeamLengths]]:
    """The seams whose sides differ in length otherwise than they did, with both lengths before and now."""
    old = {piece.name: piece for piece in draft.pieces}
    for seam in draft.seams:
        if seam.to_itself:
            continue
        was, now = (seam_lengths(by.__getitem__, seam, by_hand=draft.by_hand > 0) for by in (old, after.pieces))
        if abs((now.a - now.b) - (was.a - was.b)) > SAME:
            yield seam, was, now


def _marks_off(before: Sewing, after: Sewing) -> Iterator[tuple[Seam, SeamLengths, SeamLengths]]:
    """The seams of caps that are as long as they were, but whose notches in the armhole lie elsewhere."""
    none = SeamLengths(0.0, 0.0, all_round=False)
    for seam in before.seams:
        if seam.how == "eased" and any(abs(g.now - g.was) > _MARKED for g in grown_along(before, after, seam, 1)):
            yield seam, none, none


def _refuse_unless_near(
    draft: Draft, seam: Seam, was: SeamLengths, now: SeamLengths, words: str, unit: Unit
) -> None:  # fmt: skip
    """DraftError where the ease is not what was meant, nor as near to it as it was."""
    off = now.a - now.b
    within = max((seam.most - seam.least) / 2, draft.by_hand)
    if seam.ease - within <= off <= seam.ease + within or abs(off - seam.ease) <= abs(was.a - was.b - seam.ease) + SAME:
        return
    raise DraftError(
        f"[fitting] {words}: the {seam.name} would not fit: {words_of(seam.a)} {show(now.a, unit)} (before "
        f"{show(was.a, unit)}), {words_of(seam.b)} {show(now.b, unit)} (before {show(was.b, unit)}), and neither can "
        "follow the other. Alter both by hand, or leave this fault out."
    )


def _told(old: Piece, new: Piece, unit: Unit) -> str:
    """What became of a piece, in words; "" where it is too little to be told."""
    name = piece_words(new.name)
    by = max((b.length() - a.length() for a, b in zip(old.edges, new.edges, strict=True)), key=abs)
    if abs(by) < TOLD:
        return ""
    if _is_sleeve(new):
        return (
            f"the cap of the {name} was made {show(abs(by), unit)} {'longer' if by > 0 else 'shorter'}, as the armhole"
        )
    return f"the {name} was made {show(abs(by), unit)} {'longer' if by > 0 else 'shorter'}, as the edge it is sewn to"


# ---------------------------------------------------------------- one seam


def _made_to_fit(before: Sewing, after: Sewing, seam: Seam, off: float, moved: set[str]) -> Piece | None:
    """The piece on the side that did not change, made to fit the side that did; None where none can be.

    `off` is how much longer side a is now, against side b, than it was."""
    sides: tuple[tuple[Literal[0, 1], Literal[0, 1]], ...] = ((0, 1), (1, 0))
    for own, other in sides:
        run = (seam.a, seam.b)[own]
        names = {ref.piece for ref in run}
        if len(run) != 1 or names & moved or not {ref.piece for ref in (seam.a, seam.b)[other]} & moved:
            continue
        piece = after.pieces[run[0].piece]
        edge = next((each for each in piece.edges if each.name == run[0].edge), None)
        if edge is None or run[0].lips:
            continue
        way = whole_way(before, seam, own)
        grown = grown_along(before, after, seam, other)
        low, high = (0.0, edge.sewn_length()) if way is None else way
        if way is None or not grown:
            times = _times(after, seam, own)
            by = (-off if own == 0 else off) / times
            grown = (Grown(0.0, 0.0), Grown(abs(high - low), abs(high - low) + by))
        try:
            marks = [edge.sewn(notch.at) for notch in piece.notches if notch.edge == edge.name]
            places = _places(edge, (low, high), grown, marks)
            return _cap(piece, edge, places) if _is_cap(piece, edge) else _strip(piece, edge, places)
        except GeometryError:
            return None
    return None


def _times(sewing: Sewing, seam: Seam, own: Literal[0, 1]) -> float:
    """How often the one edge of a side counts in the lengths that were compared."""
    ref = (seam.a, seam.b)[own][0]
    lengths = seam_lengths(sewing.pieces.__getitem__, seam)
    return max(1, round((lengths.a, lengths.b)[own] / sewn_length(sewing.pieces[ref.piece], ref)))


def _places(
    edge: Edge, way: tuple[float, float], grown: Sequence[Grown], marks: Sequence[float]
) -> list[tuple[float, float]]:  # fmt: skip
    """By how much longer the edge is to be up to places along it as drawn, ascending; from the places of the edge that
    it is sewn to: at those of its notches (`marks`, as sewn) that lie as far from an end, else at the same part of the
    way."""
    low, high = way
    long, sign = max(grown[-1].was, 1e-9), 1 if high > low else -1
    if abs(abs(high - low) / long - 1) > 0.25:
        raise GeometryError("the two sides of the seam are not as long as each other")

    def at(was: float) -> float:
        from_ends = low + sign * was, high - sign * (long - was)
        near = min(((abs(mark - place), mark) for mark in marks for place in from_ends), default=(_SEEN, 0.0))
        return near[1] if near[0] < _SEEN else low + (high - low) * was / long

    found = sorted(((at(g.was), g.now - g.was) for g in grown), key=lambda row: sign * row[0])
    if high < low:
        total = found[-1][1]
        found = [(at, total - by) for at, by in reversed(found)]
    return [(drawn(edge, at), by) for at, by in found]


def _by(places: Sequence[tuple[float, float]], at: float) -> float:
    """By how much longer up to a place, between those that are known."""
    if at <= places[0][0]:
        return places[0][1]
    for (low, a), (high, b) in pairwise(places):
        if at <= high:
            return a + (b - a) * (at - low) / (high - low) if high - low > 1e-9 else b
    return places[-1][1]


def _with_notches(old: Piece, new: Piece, edge: str, places: Sequence[tuple[float, float]]) -> Piece:
    """The notches of the edge as far along it as those that they meet are now."""
    start = places[0][1]
    notches = tuple(
        replace(made, at=was.at + _by(places, was.at) - start) if was.edge == edge else made
        for was, made in zip(
            sorted(old.notches, key=lambda n: n.edge), sorted(new.notches, key=lambda n: n.edge), strict=True
        )
    )
    return replace(new, notches=notches)


# ---------------------------------------------------------------- cap


def _is_sleeve(piece: Piece) -> bool:
    return role_of(piece) == "sleeve" or "sleeve" in piece.name.split("_")


def _is_cap(piece: Piece, edge: Edge) -> bool:
    """Whether the edge is the top of a sleeve: it rises from both its ends, which lie level."""
    long = edge.length()
    top = max(y for _, y in flatten(edge.curves))
    rise = top - max(edge.start.y, edge.end.y)
    return _is_sleeve(piece) and rise > long / 20 and abs(edge.start.y - edge.end.y) < rise


def _cap(piece: Piece, edge: Edge, places: Sequence[tuple[float, float]]) -> Piece:
    """The cap higher or lower above the biceps line, and its top moved across, so that it is longer by what is told, on
    either side of its shoulder notch. Raises GeometryError where no height serves."""
    base = max(edge.start.y, edge.end.y)
    top = max(y for _, y in flatten(edge.curves)) - base
    divide = next((n.at for n in piece.notches if n.edge == edge.name and n.name == "shoulder"), edge.length() / 2)
    more = places[-1][1] - places[0][1]
    whole, first = edge.length() + more, divide + _by(places, divide) - places[0][1]

    def field(high: float, across: float) -> Callable[[Point], Point]:
        def moved(p: Point) -> Point:
            above = p.y - base
            return p if above <= 0 else Point(p.x + across * above / top, base + above * high)

        return moved

    parts = cut_run(edge.curves, divide)

    def sides(high: float, across: float) -> tuple[float, float]:
        """Both sides of the cap, on either side of the place where it was divided."""
        by = field(high, across)
        a, b = (sum(c.with_controls(tuple(map(by, c.controls()))).length() for c in side) for side in parts)
        return a, b

    def height(across: float) -> float:
        return solve(lambda high: sum(sides(high, across)) - whole, 0.3, 2.5, near=_NEAR)

    def over(across: float) -> float:
        a, b = sides(height(across), across)
        return (a - first) - (b - (whole - first))

    reach = distance(edge.start, edge.end) / 5
    across = solve(over, -reach, reach, near=_NEAR)
    new = warped(piece, field(height(across), across), (base,))
    return _with_notches(piece, new, edge.name, places)


# ---------------------------------------------------------------- strips


def _strip(piece: Piece, edge: Edge, places: Sequence[tuple[float, float]]) -> Piece:
    """A band, strip or collar lengthened along an edge, where that is told: what lies beyond is moved along the edge's
    way there, so its depth stays. Raises GeometryError for a piece that is none, or whose fold would be bent."""
    if role_of(piece) or (piece.worn and _is_sleeve(piece)):
        raise GeometryError(f"{piece.name} is of the shell")
    start, end, long = edge.start, edge.end, edge.length()
    bowed = max(distance_to_segment(p, start, end) for p in flatten(edge.curves)) > _BOWED * long
    if bowed and "facing" in piece.name.split("_"):
        raise GeometryError(f"the shape of {piece.name} matters along its {edge.name}")
    ramps: list[tuple[Point, Point, float, float]] = []
    for (low, a), (high, b) in pairwise(places):
        if abs(b - a) > 1e-6 and high - low > 1e-3:
            middle, way = place_at(edge.curves, (low + high) / 2)
            ramps.append((middle, way, (high - low) / (4 if bowed else 2), b - a))
    fold = next((each for each in piece.edges if each.kind is EdgeKind.FOLD), None)
    more = places[-1][1] - places[0][1]

    def moved(p: Point, share: float) -> tuple[float, float]:
        x = y = 0.0
        for middle, way, half, by in ramps:
            far = ((p.x - middle.x) * way.x + (p.y - middle.y) * way.y) / half
            part = by * share * min(1.0, max(0.0, (far + 1) / 2))
            x, y = x + way.x * part, y + way.y * part
        return x, y

    def drawn_so(share: float) -> Piece:
        held = moved(fold.start if fold else start, share)

        def field(p: Point) -> Point:
            x, y = moved(p, share)
            return Point(p.x + x - held[0], p.y + y - held[1])

        return warped(piece, field)

    share = 1.0
    if abs(more) > _NEAR:
        share = solve(lambda s: path_length(drawn_so(s).edge(edge.name).curves) - long - more, 0.5, 2.0, near=_NEAR)
    new = drawn_so(share)
    if fold and distance(*(moved(p, share) for p in (fold.start, fold.end))) > _NEAR:
        raise GeometryError(f"the fold of {piece.name} would be bent")
    return _with_notches(piece, new, edge.name, places)
