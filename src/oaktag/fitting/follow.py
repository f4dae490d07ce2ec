"""What lies on a piece of the shell goes along when that is changed: facings, linings, interfacings.

They lie on it as they are drawn, or are laid on it by the edge that a seam joins to it; then they are moved in the same
way: the same pins, the same rule, the same slash as far as it crosses them.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from ..draft.cuts import roots
from ..draft.inside import far_along
from ..draft.moves import placed, turn, turned_over
from ..draft.pivots import lap, spread
from ..draft.sectors import Opening, undone
from ..draft.stretches import NEAR, cut_run, place
from ..errors import DraftError, GeometryError
from ..geometry.affine import Move
from ..geometry.path import Path, flatten, pinned, place_at
from ..geometry.point import XY, Point, direction, distance, turn_deg
from ..geometry.polygon import contains, distance_to_line
from ..model.piece import Edge, Piece, Seam
from ..model.ref import Ref
from ..model.sewing import drawn
from ..values import dataclass, replace
from .fitter import ROLES, Change, role_of
from .warp import Pin, shifted, with_legs_alike

FITS: Final = 1.0
"""An edge of a facing lies on that of the shell within this, mm (a hand drew it; judgement, no source)."""
_INSIDE: Final = 0.9
"""So much of its outline lies on the shell, or it is no facing (judgement, no source)."""
_BEYOND: Final = 2.0
SAME: Final = 0.1
"""A piece that is changed by less is left as it is, mm."""
_PLACES: Final = 8
"""Places along an edge that are looked at."""


@dataclass(frozen=True, slots=True)
class Lying:
    """What lies on what, by the seams of a draft; `as_drawn`: pieces of one place of the body are drawn on each other,
    as those of a garment are."""

    seams: tuple[Seam, ...]
    as_drawn: bool

    def changed(self, pieces: Sequence[Piece], index: int, change: Change) -> dict[int, Piece]:
        """What lies on a piece that is changed in a way of its own: as that, where it has the very edges; else its
        outline is laid on the new one."""
        shell = pieces[index]
        new = with_legs_alike(change(shell))
        return self.warped(
            pieces, index, lambda piece: change(piece) if _alike(piece, shell) else _onto(piece, shell, new)
        )

    def warped(self, pieces: Sequence[Piece], index: int, change: Change) -> dict[int, Piece]:
        """What lies on a piece, changed by the same rule of places, where it has the places for it."""
        found = {}
        for number, move in self._lying(pieces, index):
            on_it = pieces[number] if move == Move() else placed(pieces[number], move)
            try:
                new = with_legs_alike(change(on_it))
            except (GeometryError, DraftError, KeyError, ValueError):
                continue  # it has no such place; whether its seams still fit is looked at afterwards
            if new.name == on_it.name and not _is_as_it_was(on_it, new):
                found[number] = new if move == Move() else placed(new, undone(move))
        return found

    def slashed(
        self, pieces: Sequence[Piece], index: int, a: tuple[str, float], b: tuple[str, float], by: float, also: float
    ) -> dict[int, Piece]:
        """What lies on a piece that is slashed and spread, or lapped, as far as the slash crosses it."""
        ends = tuple(place(pieces[index].edge(name), far) for name, far in (a, b))
        return self.warped(pieces, index, lambda piece: _slashed(piece, (ends[0], ends[1]), by, also))

    def _lying(self, pieces: Sequence[Piece], index: int) -> Iterator[tuple[int, Move]]:
        """The pieces that lie on one, by number, and how each is laid on it."""
        shell = pieces[index]
        ring = [p for edge in shell.edges for p in flatten(edge.curves)[:-1]]
        for number, piece in enumerate(pieces):
            if number == index or role_of(piece):
                continue
            found = [Move()] if self.as_drawn and _named_alike(piece, shell) and _lies_so(piece, shell) else []
            found += [move for own, other in self._sewn(piece, shell) for move in _laid(own, other)]
            rated = [(_share_on(piece, move, ring), -k, move) for k, move in enumerate(found)]
            best = max(rated, key=lambda row: row[:2], default=None)
            if best is not None and best[0] >= _INSIDE:
                yield number, best[2]

    def _sewn(self, piece: Piece, shell: Piece) -> Iterator[tuple[Edge, Edge]]:
        """The edges of both that are sewn to each other, whole to whole."""
        for seam in self.seams:
            if len(seam.a) == len(seam.b) == 1:
                for one, other in ((seam.a[0], seam.b[0]), (seam.b[0], seam.a[0])):
                    if (one.piece, other.piece) == (piece.name, shell.name):
                        pair = _edge_of(piece, one), _edge_of(shell, other)
                        if pair[0] is not None and pair[1] is not None:
                            yield pair[0], pair[1]


def _edge_of(piece: Piece, ref: Ref) -> Edge | None:
    return next((edge for edge in piece.edges if edge.name == ref.edge and not ref.lips), None)


def _named_alike(piece: Piece, shell: Piece) -> bool:
    """Whether both are called by one place of the body: `facing_front` and `bodice_front`."""
    words = piece.name.split("_")
    return role_of(shell) in [role for role in ROLES if role in words]


def _lies_so(piece: Piece, shell: Piece) -> bool:
    """Whether two edges of it lie on the outline of the other as they are drawn."""
    count = 0
    for edge in piece.edges:
        spots = [place_at(edge.curves, edge.length() * k / 4)[0] for k in range(5)]
        count += any(all(far_along(other.curves, p)[1] < FITS for p in spots) for other in shell.edges)
    return count >= 2


def _laid(own: Edge, other: Edge) -> Iterator[Move]:
    """How an edge is laid on another: as it is, or turned over, if it fits there."""
    if abs(own.length() - other.length()) > FITS:
        return
    over = turned_over((0.0, 0.0), (0.0, 1.0))
    for first in (Move(), over):
        ends = [first.point(p) for p in (own.start, own.end)]
        if first is over:
            ends.reverse()
        if distance(*ends) < NEAR or distance(other.start, other.end) < NEAR:
            continue
        swing = turn(ends[0], turn_deg(direction(*ends), direction(other.start, other.end)))
        move = first.then(swing).then(Move.by(other.start.x - ends[0].x, other.start.y - ends[0].y))
        long = own.length(), other.length()
        pairs = []
        for k in range(_PLACES + 1):
            far = 1 - k / _PLACES if first is over else k / _PLACES
            pairs.append((place_at(own.curves, long[0] * far)[0], place_at(other.curves, long[1] * k / _PLACES)[0]))
        if all(distance(move.point(p), q) < FITS for p, q in pairs):
            yield move


def _share_on(piece: Piece, move: Move, ring: Sequence[XY]) -> float:
    """How much of a piece's outline lies on another piece."""
    spots = [
        move.point(place_at(edge.curves, edge.length() * k / _PLACES)[0])
        for edge in piece.edges
        for k in range(_PLACES)
    ]
    closed = (*ring, ring[0])
    return sum(contains(ring, p) or distance_to_line(p, closed) < _BEYOND for p in spots) / len(spots)


# ---------------------------------------------------------------- the same move


def _slashed(piece: Piece, ends: tuple[Point, Point], by: float, also: float) -> Piece:
    """The piece with the slash from one point to another, as far as it crosses it; as it is, if it does not."""
    crossed = _crossed(piece, ends)
    if len(crossed) < 2:
        return piece
    (t, *_), (u, *_) = crossed[0], crossed[-1]
    first, second = by + (also - by) * t, by + (also - by) * u
    a, b = crossed[0][1:], crossed[-1][1:]
    if abs(second) < 1e-6 < abs(first) and first < 0:
        return lap(piece, a, b, -first)
    if first < 0 or second < 0:
        raise GeometryError(f"{piece.name} is lapped from edge to edge")
    return spread(piece, Opening(*a, "flare"), b, first, second if second > 1e-6 else 0.0)


def _crossed(piece: Piece, ends: tuple[Point, Point]) -> list[tuple[float, str, float]]:
    """Where a straight cut crosses an outline: at what part of the cut, on which edge, how far along it."""
    a, b = ends
    way, long = direction(a, b), distance(a, b)

    def side(p: XY) -> float:
        return way.x * (p[1] - a.y) - way.y * (p[0] - a.x)

    found: list[tuple[float, str, float]] = []
    for edge in piece.edges:
        walked = 0.0
        spots = [(edge.start, 0.0)] if abs(side(edge.start)) < NEAR else []
        for curve in edge.curves:
            spots += [(curve.at(t), walked + curve.split(t)[0].length()) for t in roots(curve, side)]
            walked += curve.length()
        spots += [(p, far) for p in ends for far, off in [far_along(edge.curves, p)] if off < FITS]
        for p, far in spots:
            t = ((p.x - a.x) * way.x + (p.y - a.y) * way.y) / long
            if -FITS / long <= t <= 1 + FITS / long:
                found.append((min(1.0, max(0.0, t)), edge.name, far))
    return sorted(found)


# ---------------------------------------------------------------- onto a new outline


def _alike(piece: Piece, shell: Piece) -> bool:
    """Whether a piece has all its edges in common with the one that it lies on: interfacing, the lining of a sleeve."""
    return all(_under(edge, shell) and abs(edge.length() - shell.edge(edge.name).length()) < FITS
               if any(own.name == edge.name for own in shell.edges) else False for edge in piece.edges)  # fmt: skip


def _under(edge: Edge, shell: Piece) -> Edge | None:
    """The edge of the shell that another lies on."""
    spots = [place_at(edge.curves, edge.length() * k / 4)[0] for k in range(5)]
    return next((own for own in shell.edges if all(far_along(own.curves, p)[1] < FITS for p in spots)), None)


def _onto(piece: Piece, old: Piece, new: Piece) -> Piece:
    """A piece whose edges lie on another, laid on that as it is now; what lies in it stays.

    Raises GeometryError where a dart lies now that did not."""
    runs: dict[str, tuple[Edge, float, float]] = {}
    for edge in piece.edges:
        under = _under(edge, old)
        if under is None:
            continue
        now = new.edge(under.name)
        ends = [far_along(under.curves, p)[0] for p in (edge.start, edge.end)]
        low, high = (_moved_along(under, now, far) for far in ends)
        if any(take.start < high - NEAR and take.end > low + NEAR for take in now.takes):
            raise GeometryError(f"{piece.name}: a dart lies in {now.name} where it lies")
        runs[edge.name] = now, low, high
    pins, made = list[Pin](), dict[str, Path]()
    for edge in piece.edges:
        if edge.name not in runs:
            continue
        now, low, high = runs[edge.name]
        made[edge.name] = cut_run(cut_run(now.curves, low)[1], high - low)[0]
        for at, p, q in ((0.0, edge.start, made[edge.name][0].start),
                         (edge.length(), edge.end, made[edge.name][-1].end)):  # fmt: skip
            pins.append(Pin(edge.name, at, q.x - p.x, q.y - p.y))
    led = shifted(piece, (*pins, *_beside(piece, pins)))
    edges = [
        replace(edge, curves=pinned(made[edge.name], edge.start, edge.end)) if edge.name in made else edge
        for edge in led.edges
    ]
    now_long = {edge.name: edge.length() for edge in edges}
    notches = tuple(replace(n, at=n.at * now_long[n.edge] / led.edge(n.edge).length()) for n in led.notches)
    return replace(led, edges=tuple(edges), notches=notches)


def _beside(piece: Piece, pins: Sequence[Pin]) -> Iterator[Pin]:
    """Corners that do not lie on the other's outline, as where a facing runs over a dart that is sewn: each goes along
    with the corner at the other end of the shorter edge beside it."""
    by = {(pin.edge, pin.at < NEAR): pin for pin in pins}
    for before, edge, after in zip(
        (piece.edges[-1], *piece.edges), piece.edges, (*piece.edges[1:], piece.edges[0]), strict=False
    ):
        if (before.name, False) in by or (edge.name, True) in by:
            continue
        at_start, at_end = by.get((piece.beside(before.name)[0], False)), by.get((after.name, True))
        found = [(each.length(), pin) for each, pin in ((before, at_start), (edge, at_end)) if pin is not None]
        if found:
            _, near = min(found, key=lambda row: row[0])
            yield Pin(edge.name, 0.0, near.right, near.up)


def _moved_along(was: Edge, now: Edge, far: float) -> float:
    """Where a place of an edge lies, mm along it, when it has another length: as far from the nearer corner as before,
    so that a facing keeps its width."""
    sewn, long = was.sewn(far), was.sewn_length()
    return drawn(now, sewn if sewn < long / 2 else now.sewn_length() - (long - sewn))


def _is_as_it_was(old: Piece, new: Piece) -> bool:
    """Whether a change has left a piece alone, but for how its numbers are rounded."""
    edges = zip(old.edges, new.edges, strict=False)
    marks = zip(old.notches, new.notches, strict=False)
    return (
        len(old.edges) == len(new.edges)
        and len(old.darts) == len(new.darts)
        and all(distance(a.start, b.start) < SAME and abs(a.length() - b.length()) < SAME for a, b in edges)
        and all(abs(a.at - b.at) < SAME for a, b in marks)
    )
