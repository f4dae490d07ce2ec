"""Where notches go: away from corners, in pairs that meet when sewn, and often enough on a long seam."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import pairwise
from math import ceil
from typing import Final, TypeAlias

from ..geometry.path import place_at, polyline_length
from ..geometry.point import distance, turn_deg
from ..model.draft import Draft
from ..model.piece import Edge, EdgeKind, NotchPlace, Piece, Seam, names_its_place, piece_words
from ..model.ref import Ref
from ..model.sewing import Sewing, drawn, times_sewn, ways_of
from ..units import Unit, show
from ..values import dataclass, replace

CORNER_CLEAR: Final = 15.0
"""No notch lies nearer to a corner, mm, unless it names its place (common practice, no source)."""
BALANCE_EVERY: Final = 300.0
"""Two edges are never sewn further than this without a mark that they meet at, mm (common practice, no source)."""
_APART: Final = 15.0
_CORNER_DEG: Final = 30.0
_MEET: Final = 1.0


def corners_of(edge: Edge) -> list[float]:
    """Its two ends and every corner between them (30° and more), mm along it; those of a dart's mouth do not count."""
    found, far = [0.0], 0.0
    for curve, following in pairwise(edge.curves):
        far += curve.length()
        if abs(turn_deg(curve.way(1.0), following.way(0.0))) >= _CORNER_DEG and not any(
            take.start - 0.1 <= far <= take.end + 0.1 for take in edge.takes
        ):
            found.append(far)
    return [*found, far + edge.curves[-1].length()]


# ---------------------------------------------------------------- away from corners


def off_corners(piece: Piece, unit: Unit) -> tuple[tuple[NotchPlace, ...], tuple[str, ...]]:
    """The piece's notches, none of them too near to a corner, and a note for each that was moved or left out.

    A notch that marks a level (an internal line ends there) is left out, since it would lie elsewhere; any other moves
    along its edge until it is clear. Its partner on the other edge is as near to the same corner, and moves as far.
    """
    kept: list[NotchPlace] = []
    notes: list[str] = []
    corners: dict[str, list[float]] = {}
    for place in piece.notches:
        if names_its_place(place.name) or place.out is not None:
            kept.append(place)
            continue
        edge = piece.edge(place.edge)
        if _surely_clear(edge, place.at):
            kept.append(place)
            continue
        if place.edge not in corners:
            corners[place.edge] = corners_of(edge)
        moved = _clear_of(corners[place.edge], place.at)
        if moved == place.at:
            kept.append(place)
            continue
        words = f"{piece_words(piece.name)}: the {place.name} notch of the {piece_words(place.edge)}"
        others = [n.at for n in piece.notches if n.edge == place.edge and n is not place]
        if moved is None or _marks_a_level(piece, edge, place.at) or any(abs(moved - at) < _APART for at in others):
            notes.append(f"{words} was left out: it lies less than {show(CORNER_CLEAR, unit)} from a corner.")
        else:
            notes.append(f"{words} was moved to {show(CORNER_CLEAR, unit)} from the corner.")
            kept.append(replace(place, at=moved))
    return tuple(kept), tuple(notes)


Kept: TypeAlias = tuple[tuple[NotchPlace, ...], tuple[str, ...]]
"""The notches of a piece that are kept, and a note for each that was moved or left out."""


def leave_out_together(sizes: Sequence[Mapping[str, Kept]]) -> list[dict[str, Kept]]:
    """Of every piece only the notches that all sizes keep; a note where one goes for another size's sake."""
    found: list[dict[str, Kept]] = [{} for _ in sizes]
    for name in sizes[0]:
        keys = [_numbered(size[name][0]) if name in size else {} for size in sizes]
        common = set(keys[0]).intersection(*keys)
        for size, own, into in zip(sizes, keys, found, strict=True):
            gone = [place for key, place in own.items() if key not in common]
            notes = tuple(
                f"{piece_words(name)}: the {place.name} notch of the {piece_words(place.edge)} was left out, as "
                "another size has no room for it."
                for place in gone
            )
            if name in size:
                into[name] = (tuple(place for key, place in own.items() if key in common), size[name][1] + notes)
    return found


def _numbered(places: Iterable[NotchPlace]) -> dict[tuple[str, str, int, int], NotchPlace]:
    """Notches by edge, name, count, and number among those alike."""
    found: dict[tuple[str, str, int, int], NotchPlace] = {}
    for place in places:
        number = 0
        while (place.edge, place.name, place.count, number) in found:
            number += 1
        found[place.edge, place.name, place.count, number] = place
    return found


def _surely_clear(edge: Edge, at: float) -> bool:
    """Told without measuring curves: chords are shorter, and an edge without corners has its ends alone."""
    chords = sum(distance(curve.start, curve.end) for curve in edge.curves)
    return CORNER_CLEAR <= at <= chords - CORNER_CLEAR and not any(
        abs(turn_deg(curve.way(1.0), following.way(0.0))) >= _CORNER_DEG for curve, following in pairwise(edge.curves)
    )


def _clear_of(corners: Sequence[float], at: float) -> float | None:
    """The place itself if it is clear of every corner, else the nearest one on its stretch; None if there is none."""
    for low, high in pairwise(corners):
        if at <= high or high == corners[-1]:
            if high - low < 2 * CORNER_CLEAR:
                return None
            if low + CORNER_CLEAR - 1e-6 <= at <= high - CORNER_CLEAR + 1e-6:
                return at
            return min(max(at, low + CORNER_CLEAR), high - CORNER_CLEAR)
    return None


def _marks_a_level(piece: Piece, edge: Edge, at: float) -> bool:
    spot, _ = place_at(edge.curves, at)
    return any(distance(end, spot) < 1.0 for line in piece.internal_lines for end in (line.points[0], line.points[-1]))


# ---------------------------------------------------------------- balance notches


def balance(
    pieces: Mapping[str, Piece], seams: Iterable[Seam], drafted: Iterable[Piece] | None = None
) -> dict[str, list[NotchPlace]]:
    """The notches to add, by piece, so that the two edges of a seam never run further than 300 mm without a pair.

    Both get theirs at the same sewn distance (in proportion where sewing ease is meant), 15 mm and more from corners
    and from other notches. An edge of a mirrored pair that no other edge is sewn to is sewn to its own mirror image,
    unless its cut line was drawn elsewhere: it then has the notches that were meant. `drafted` are the pieces with
    all of their notches, which a seam may name, if some were left out.
    """
    added: dict[str, list[NotchPlace]] = {name: [] for name in pieces}
    named: set[Ref] = set()
    sewing = Sewing.of(pieces.values() if drafted is None else drafted, seams)
    for seam in sewing.seams:
        if seam.to_itself:
            continue
        named.update(ref.whole for ref in (*seam.a, *seam.b))
        if len(seam.a) == 1 and len(seam.b) == 1 and _edge_to_edge(pieces, seam):
            a, b = _side(pieces, seam.a[0]), _side(pieces, seam.b[0])
            if a.is_long or b.is_long:
                ways = ways_of(sewing, seam)
                backwards = ways is not None and ways[0] != ways[1]
                if seam.a[0].side or seam.b[0].side:  # one piece is sewn to a left and to a right one
                    a, b = _as_for_other_side(a, b, added, backwards=backwards)
                _balance_seam(a, b, seam.ease, added, backwards=backwards)
    for piece in pieces.values():
        for edge in piece.edges:
            own = Ref(piece.name, edge.name)
            unnamed = edge.kind is EdgeKind.SEAM and own not in named
            if piece.mirrored_pair and unnamed and not piece.cut_line:
                side = _side(pieces, own)
                if side.is_long:
                    marks = side.marks()
                    added[piece.name] += [side.notch(at) for at in _missing(side.length(), marks, [])]
    return added


def balance_sizes(sizes: Sequence[tuple[Mapping[str, Piece], Draft]]) -> list[dict[str, list[NotchPlace]]]:
    """The notches to add in each size: on every edge as many as the size that needs the most, at the same part of it.

    One that would come within 15 mm of another notch in any size is left out of all.
    """
    each = [balance(pieces, draft.seams, draft.pieces) for pieces, draft in sizes]
    if len(each) == 1:
        return each
    for name in each[0]:
        for edge in dict.fromkeys(place.edge for added in each for place in added[name]):
            rows = [[place for place in added[name] if place.edge == edge] for added in each]
            leader = max(range(len(rows)), key=lambda i: len(rows[i]))
            drawn_edges = [pieces[name].edge(edge) for pieces, _ in sizes]
            lead = drawn_edges[leader]
            parts = [lead.sewn(place.at) / lead.sewn_length() for place in rows[leader]]
            same = all(len(row) == len(parts) for row in rows)
            places = [
                row if same else [NotchPlace(edge, drawn(e, e.sewn_length() * part), 1, "balance") for part in parts]
                for row, e in zip(rows, drawn_edges, strict=True)
            ]
            others = [[n.at for n in pieces[name].notches if n.edge == edge] for pieces, _ in sizes]
            clear = [
                all(abs(row[i].at - at) >= _APART for row, near in zip(places, others, strict=True) for at in near)
                for i in range(len(parts))
            ]
            for added, row in zip(each, places, strict=True):
                rest = [place for place in added[name] if place.edge != edge]
                added[name] = [*rest, *(place for place, held in zip(row, clear, strict=True) if held)]
    return each


@dataclass(frozen=True, slots=True)
class _Side:
    """One edge of a seam."""

    piece: Piece
    edge: Edge

    @property
    def is_long(self) -> bool:
        """Whether it may be longer than 300 mm: its control points' polygon is."""
        return sum(polyline_length(curve.controls()) for curve in self.edge.curves) > BALANCE_EVERY

    def length(self) -> float:
        """As sewn, mm."""
        return self.edge.sewn_length()

    def marks(self) -> list[float]:
        """Where its notches lie when sewn, mm along it."""
        return [self.edge.sewn(n.at) for n in self.piece.notches if n.edge == self.edge.name]

    def notch(self, sewn: float) -> NotchPlace:
        return NotchPlace(self.edge.name, drawn(self.edge, sewn), 1, "balance")


def _side(pieces: Mapping[str, Piece], ref: Ref) -> _Side:
    return _Side(pieces[ref.piece], pieces[ref.piece].edge(ref.edge))


def _edge_to_edge(pieces: Mapping[str, Piece], seam: Seam) -> bool:
    """Whether it joins one whole edge to another, each as often round the wearer; not a stretch, nor a line inside."""
    ends = [(pieces[ref.piece], ref) for ref in (seam.a[0], seam.b[0])]
    whole = all(not ref.start and any(edge.name == ref.edge for edge in piece.edges) for piece, ref in ends)
    return whole and len({times_sewn(piece, ref) for piece, ref in ends}) == 1


def _as_for_other_side(
    a: _Side, b: _Side, added: dict[str, list[NotchPlace]], *, backwards: bool
) -> tuple[_Side, _Side]:  # fmt: skip
    """Both edges with what was added already, for the seam of the wearer's other side; and each with what the other
    has of that."""

    def full(side: _Side) -> _Side:
        return _Side(replace(side.piece, notches=(*side.piece.notches, *added[side.piece.name])), side.edge)

    for one, other in ((full(a), full(b)), (full(b), full(a))):
        for n in [n for n in added[other.piece.name] if n.edge == other.edge.name]:
            at = other.length() - other.edge.sewn(n.at) if backwards else other.edge.sewn(n.at)
            if all(abs(at - mark) > _MEET for mark in one.marks()):
                added[one.piece.name].append(one.notch(at))
    return full(a), full(b)


def _balance_seam(a: _Side, b: _Side, ease: float, added: dict[str, list[NotchPlace]], *, backwards: bool) -> None:
    length_a, length_b = a.length(), b.length()
    marks_a, per_a = a.marks(), length_b / length_a if abs(ease) > 0.5 else 1.0
    marks_b = [(length_b - at if backwards else at) / per_a for at in b.marks()]
    met = [at for at in marks_a if any(abs(at - other) <= _MEET for other in marks_b)]
    every = BALANCE_EVERY / max(1.0, per_a)
    for at in _missing(length_a, met, [*marks_a, *marks_b], every):
        added[a.piece.name].append(a.notch(at))
        added[b.piece.name].append(b.notch(length_b - at * per_a if backwards else at * per_a))


def _missing(length: float, met: Sequence[float], near: Sequence[float], every: float = BALANCE_EVERY) -> list[float]:
    """Where pairs are wanted between the places that meet already: evenly, clear of every notch."""
    found: list[float] = []
    for low, high in pairwise([0.0, *sorted(met), length]):
        fewest = ceil((high - low) / every - 1e-9)
        for parts in range(fewest, fewest + 4) if fewest > 1 else ():
            places = [low + (high - low) * i / parts for i in range(1, parts)]
            if all(abs(place - other) >= _APART for place in places for other in near):
                found += places
                break
    return found
