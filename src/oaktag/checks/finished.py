"""What the finished garment measures, taken on its pieces as a tape would: girths, neckline, lengths, sleeve.

No garment is known by name here. Which pieces go round the body, and from which depth to which, their levels say; a
piece's centre line is x = 0; what is to be at a level, and where a tape is laid, the draft claims.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Final

from ..claims.girth import Girth, LengthTo
from ..claims.measure import (
    ARM,
    goes_round,
    level_depth,
    line_at,
    reach_of,
    round_length,
    run_length,
    width_along,
)
from ..claims.sleeve import SleeveFits
from ..geometry.path import flatten
from ..geometry.point import XY, distance
from ..geometry.polygon import Box
from ..model.pattern import MarkedPiece, Pattern
from ..model.piece import Edge, EdgeKind, Piece, Seam, piece_words
from ..model.ref import Ref
from ..values import dataclass

GIRTH: Final = "All round"
LENGTH: Final = "Lengths"
SLEEVE: Final = "Sleeve"
_CENTRE: Final = 0.01
"""A point this near to x = 0 lies on the centre line, mm."""
_SAME: Final = 0.5
"""Two places of a centre line nearer than this are one for a tape, mm."""


@dataclass(frozen=True, slots=True)
class Finished:
    """One measure of the finished garment, mm; the body's own where it has one to set beside it."""

    group: str
    words: str
    garment: float
    body: float | None = None

    @property
    def ease(self) -> float | None:
        """Wearing ease, mm: of girths only, since a length is a matter of style."""
        return None if self.body is None or self.group == LENGTH else self.garment - self.body


def finished(pattern: Pattern) -> tuple[Finished, ...]:
    """Every measure that the pattern's facts allow, girths first; () where it tells nothing of what goes round."""
    columns = _columns(pattern)
    return (
        *_girths(pattern, columns),
        *_lengths(pattern, columns),
        *_sleeve(pattern),
    )


# ---------------------------------------------------------------- what goes round the body


def _columns(pattern: Pattern) -> dict[str, list[MarkedPiece]]:
    """The pieces that go round the body from top to bottom, by the edge at their centre: front, back."""
    columns: dict[str, list[MarkedPiece]] = {}
    for piece in sorted(goes_round(pattern), key=lambda piece: reach_of(piece)[0]):
        centre = max((edge for edge in piece.cut.piece.edges if _on_centre(edge)), key=_height, default=None)
        if centre is not None:
            columns.setdefault(centre.name, []).append(piece)
    return columns


def _height(edge: Edge) -> float:
    return edge.start.y


def _on_centre(edge: Edge) -> bool:
    return abs(edge.start.x) < _CENTRE and abs(edge.end.x) < _CENTRE


def _top_edge(piece: Piece) -> Ref | None:
    """The edge that meets the top of the centre line: a neckline, or the upper edge of a skirt."""
    centre = max((edge for edge in piece.edges if _on_centre(edge)), key=_height)
    beside = (edge for edge in piece.edges if edge is not centre and distance(edge.end, centre.start) < _CENTRE)
    return next((Ref(piece.name, edge.name) for edge in beside), None)


def _girths(pattern: Pattern, columns: dict[str, list[MarkedPiece]]) -> Iterator[Finished]:
    claims = [claim for claim in pattern.draft.claims if isinstance(claim, Girth)]
    for claim in sorted(claims, key=lambda claim: level_depth(pattern, claim.level, claim.worn)):
        yield Finished(GIRTH, claim.level, claim.measured(pattern), claim.body.mm)
    hem = sum(
        piece.to_cut.around * _beyond(piece.levels[-1].points[0].x, flatten(edge.curves))
        for column in columns.values()
        for piece in (marked.cut.piece for marked in column)
        for edge in piece.edges
        if edge.kind is EdgeKind.HEM
    )
    if hem > 0:
        yield Finished(GIRTH, EdgeKind.HEM.value, hem)
    tops = [ref for ref in (_top_edge(column[0].cut.piece) for column in columns.values()) if ref]
    names = list(dict.fromkeys(ref.edge for ref in tops))
    if tops and not set(tops) & {ref for claim in claims for ref in claim.seam}:
        yield Finished(GIRTH, " and ".join(map(piece_words, names)), round_length(pattern, tuple(tops)))


def _beyond(start: float, points: Sequence[XY]) -> float:
    """Length of a line from where levels start: a vent's extension beyond it lies behind the other half, mm."""
    total = 0.0
    for (ax, ay), (bx, by) in pairwise(points):
        if max(ax, bx) <= start:
            continue
        part = 1.0 if min(ax, bx) >= start else (max(ax, bx) - start) / abs(bx - ax)
        total += part * distance((ax, ay), (bx, by))
    return total


# ---------------------------------------------------------------- lengths


def _lengths(pattern: Pattern, columns: dict[str, list[MarkedPiece]]) -> Iterator[Finished]:
    """To the level to which the draft lays a tape, from its named point where a piece has that; and to the hem."""
    tape = next((claim for claim in pattern.draft.claims if isinstance(claim, LengthTo)), None)
    for centre, column in columns.items():
        words, piece, end = piece_words(centre), column[0].cut.piece, reach_of(column[-1])[1]
        top = _centre_line(pattern, piece.name)[1]
        edge = _top_edge(piece)
        start = piece_words(edge.edge) if edge else "top"
        if tape is not None:
            depth, point = level_depth(pattern, tape.level), piece.points.get(tape.point)
            to_level = _down(pattern, column, depth)
            if point is not None and abs(point.y - top) < _SAME:
                start = tape.point
            if reach_of(column[0])[0] < depth <= end:
                if point is not None:
                    body = None if tape.body is None else tape.body.mm
                    yield Finished(LENGTH, f"{words}, {tape.point} to {tape.level}", to_level - top + point.y, body)
                if start != tape.point:
                    yield Finished(LENGTH, f"{words}, {start} to {tape.level}", to_level)
        yield Finished(LENGTH, f"{words}, {start} to hem", _down(pattern, column, end))
    for seam in pattern.draft.seams:
        if _side_by_side(pattern, seam):
            known = pattern.draft.body.get(f"{seam.a[0].edge}_length")  # of a shoulder: the body's own
            yield Finished(LENGTH, seam.name, run_length(pattern, seam.a), known)


def _centre_line(pattern: Pattern, name: str) -> tuple[float, float]:
    """Where a piece's centre line ends below and above, y in mm."""
    found = [y for x, y in pattern.piece(name).cut.stitch_line if abs(x) < _CENTRE]
    return min(found), max(found)


def _down(pattern: Pattern, column: Sequence[MarkedPiece], depth: float) -> float:
    """Along the centre line from its top to a depth of the body, over the seams between the pieces, mm."""
    total = 0.0
    for piece in column:
        top, bottom = reach_of(piece)
        if top >= depth:
            break
        low, high = _centre_line(pattern, piece.name)
        total += high - (line_at(piece.cut, depth)[0].y if bottom > depth else low)
    return total


def _side_by_side(pattern: Pattern, seam: Seam) -> bool:
    """Whether it joins two pieces that lie beside each other round the body: a shoulder, a side."""
    reaches = {piece.name: reach_of(piece) for piece in goes_round(pattern)}
    if len(seam.a) > 1 or len(seam.b) > 1 or not {seam.a[0].piece, seam.b[0].piece} <= reaches.keys():
        return False
    (a_top, a_bottom), (b_top, b_bottom) = reaches[seam.a[0].piece], reaches[seam.b[0].piece]
    return min(a_bottom, b_bottom) - max(a_top, b_top) > _SAME


# ---------------------------------------------------------------- sleeve


def _sleeve(pattern: Pattern) -> Iterator[Finished]:
    """Of the piece round the arm that is set into edges of several pieces of the shell at once."""
    fit = next((claim for claim in pattern.draft.claims if isinstance(claim, SleeveFits)), None)
    shell = {piece.name for piece in goes_round(pattern)}
    arms = {piece.name for piece in pattern.pieces if piece.cut.piece.worn == ARM}
    seam = next(
        (
            seam
            for seam in pattern.draft.seams
            if len(seam.b) > 1 and {ref.piece for ref in seam.b} <= shell and {ref.piece for ref in seam.a} <= arms
        ),
        None,
    )
    if seam is None:
        return
    cut = pattern.piece(seam.a[0].piece).cut
    for level in cut.piece.levels:
        arm = fit.upper_arm.mm if fit is not None and fit.level == level.name else None
        yield Finished(SLEEVE, level.name, width_along(cut, level.points), arm)
    hem = sum(edge.sewn_length() for edge in cut.piece.edges if edge.kind is EdgeKind.HEM)
    if hem > 0:
        yield Finished(SLEEVE, "sleeve hem", hem, fit.wrist.mm if fit is not None and fit.wrist is not None else None)
    yield Finished(SLEEVE, "sleeve length, top of the cap to hem", Box.round(cut.stitch_line).height)
    names = " and ".join(dict.fromkeys(piece_words(ref.edge) for ref in seam.b))
    yield Finished(SLEEVE, names, run_length(pattern, seam.b))
