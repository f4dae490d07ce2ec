"""What the finished garment measures, taken on its pieces as a tape would: girths, neckline, lengths, sleeve.

No garment is known by name here. Which pieces go round the body, and from which depth to which, is the draft's
`girths`; a piece's centre line is x = 0; what stands at a level of the body is the draft's `levels`.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Final

from ..geometry.path import flatten
from ..geometry.point import XY, distance
from ..geometry.polygon import Box
from ..model.draft import GirthPiece
from ..model.pattern import Pattern
from ..model.piece import Edge, EdgeKind, Seam, piece_words
from ..model.ref import Ref
from ..values import dataclass
from .measure import edge_of, level_girth, run_length

GIRTH: Final = "All round"
LENGTH: Final = "Lengths"
SLEEVE: Final = "Sleeve"
_CENTRE: Final = 0.01
"""A point this near to x = 0 lies on the centre line, mm."""
_WAIST: Final = "waist"
"""The level to which the tape is laid from the neck."""
_NAPE: Final = "nape"
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


def _columns(pattern: Pattern) -> dict[str, list[GirthPiece]]:
    """The halves that go round the body from top to bottom, by the edge at their centre: front, back."""
    columns: dict[str, list[GirthPiece]] = {}
    for part in sorted(pattern.draft.girths, key=lambda part: part.top):
        piece = pattern.piece(part.piece).cut.piece
        centre = max((edge for edge in piece.edges if _on_centre(edge)), key=lambda edge: edge.start.y, default=None)
        if centre is not None:
            columns.setdefault(centre.name, []).append(part)
    return columns


def _on_centre(edge: Edge) -> bool:
    return abs(edge.start.x) < _CENTRE and abs(edge.end.x) < _CENTRE


def _top_edge(pattern: Pattern, column: Sequence[GirthPiece]) -> Ref | None:
    """The edge that meets the top of the centre line: a neckline, or the upper edge of a skirt."""
    piece = pattern.piece(column[0].piece).cut.piece
    centre = max((edge for edge in piece.edges if _on_centre(edge)), key=lambda edge: edge.start.y)
    beside = (edge for edge in piece.edges if edge is not centre and distance(edge.end, centre.start) < _CENTRE)
    return next((Ref(piece.name, edge.name) for edge in beside), None)


def _girths(pattern: Pattern, columns: dict[str, list[GirthPiece]]) -> Iterator[Finished]:
    for level in sorted(pattern.draft.levels, key=lambda level: level.depth):
        yield Finished(GIRTH, level.name, level_girth(pattern, level), level.body)
    shell = dict.fromkeys(part.piece for column in columns.values() for part in column)
    hem = sum(
        _beyond_centre(flatten(edge.curves))
        for name in shell
        for edge in pattern.piece(name).cut.piece.edges
        if edge.kind is EdgeKind.HEM
    )
    if hem > 0:
        yield Finished(GIRTH, "hem", 2 * hem)
    tops = [ref for ref in (_top_edge(pattern, column) for column in columns.values()) if ref]
    names = list(dict.fromkeys(ref.edge for ref in tops))
    if tops and not set(tops) & {ref for level in pattern.draft.levels for ref in level.edges}:
        yield Finished(GIRTH, " and ".join(map(piece_words, names)), 2 * run_length(pattern, tuple(tops)))


def _beyond_centre(points: Sequence[XY]) -> float:
    """Length of a line outwards of the centre line: a vent's extension lies behind the other half, mm."""
    total = 0.0
    for (ax, ay), (bx, by) in pairwise(points):
        if max(ax, bx) <= 0:
            continue
        part = 1.0 if min(ax, bx) >= 0 else max(ax, bx) / abs(bx - ax)
        total += part * distance((ax, ay), (bx, by))
    return total


# ---------------------------------------------------------------- lengths


def _lengths(pattern: Pattern, columns: dict[str, list[GirthPiece]]) -> Iterator[Finished]:
    body = pattern.draft.body
    waist = next((level.depth for level in pattern.draft.levels if level.name == _WAIST), None)
    for centre, column in columns.items():
        words, top = piece_words(centre), _centre_line(pattern, column[0].piece)[1]
        edge = _top_edge(pattern, column)
        start = piece_words(edge.edge) if edge else "top"
        nape = pattern.piece(column[0].piece).cut.piece.points.get(_NAPE)
        if nape is not None and abs(nape.y - top) < _SAME:
            start = _NAPE
        if waist is not None and column[0].top < waist <= column[-1].bottom:
            to_waist = _down(pattern, column, waist)
            if nape is not None:
                long = to_waist - top + nape.y
                yield Finished(LENGTH, f"{words}, {_NAPE} to {_WAIST}", long, body.get("back_waist_length"))
            if start != _NAPE:
                yield Finished(LENGTH, f"{words}, {start} to {_WAIST}", to_waist)
        yield Finished(LENGTH, f"{words}, {start} to hem", _down(pattern, column, column[-1].bottom))
    for seam in pattern.draft.seams:
        if _side_by_side(pattern, seam):
            known = body.get(f"{seam.a[0].edge}_length")  # of a shoulder: the body's own
            yield Finished(LENGTH, seam.name, run_length(pattern, seam.a), known)


def _centre_line(pattern: Pattern, name: str) -> tuple[float, float]:
    """Where a piece's centre line ends below and above, y in mm."""
    found = [y for x, y in pattern.piece(name).cut.stitch_line if abs(x) < _CENTRE]
    return min(found), max(found)


def _down(pattern: Pattern, column: Sequence[GirthPiece], depth: float) -> float:
    """Along the centre line from its top to a depth of the body, over the seams between the pieces, mm."""
    total = 0.0
    for name in dict.fromkeys(part.piece for part in column):
        own = [part for part in column if part.piece == name]
        if own[0].top >= depth:
            break
        low, high = _centre_line(pattern, name)
        if own[-1].bottom > depth:
            shift = next(part.shift for part in own if depth < part.bottom)
            low = -depth - shift
        total += high - low
    return total


def _side_by_side(pattern: Pattern, seam: Seam) -> bool:
    """Whether it joins two pieces that lie beside each other round the body: a shoulder, a side."""
    spans = []
    for run in (seam.a, seam.b):
        own = [part for part in pattern.draft.girths if any(ref.piece == part.piece for ref in run)]
        if not own or len(run) > 1:
            return False
        spans.append((min(part.top for part in own), max(part.bottom for part in own)))
    (a_top, a_bottom), (b_top, b_bottom) = spans
    return min(a_bottom, b_bottom) - max(a_top, b_top) > _SAME


# ---------------------------------------------------------------- sleeve


def _sleeve(pattern: Pattern) -> Iterator[Finished]:
    """Of the piece that is set into edges of several pieces of the shell at once."""
    fit = pattern.draft.sleeve
    shell = {part.piece for part in pattern.draft.girths}
    set_in = [
        seam
        for seam in pattern.draft.seams
        if len(seam.b) > 1 and {ref.piece for ref in seam.b} <= shell and not {ref.piece for ref in seam.a} & shell
    ]
    if fit is None or not set_in:
        return
    seam = set_in[0]
    name = seam.a[0].piece
    piece = pattern.piece(name).cut
    closed = any({ref.piece for ref in (*other.a, *other.b)} == {name} for other in pattern.draft.seams)
    if closed:  # it goes round the arm: the ends of the cap lie on the biceps line
        ends = edge_of(pattern, seam.a[0]).start, edge_of(pattern, seam.a[-1]).end
        yield Finished(SLEEVE, "biceps", distance(*ends), fit.upper_arm)
    hem = sum(edge.sewn_length() for edge in piece.piece.edges if edge.kind is EdgeKind.HEM)
    if hem > 0:
        wrist = pattern.draft.body.get("wrist_girth") if fit.wrist_opening is not None else None
        yield Finished(SLEEVE, "sleeve hem", hem, wrist)
    yield Finished(SLEEVE, "sleeve length, top of the cap to hem", Box.round(piece.stitch_line).height)
    yield Finished(SLEEVE, "armhole", run_length(pattern, seam.b))
