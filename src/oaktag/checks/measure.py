"""Measuring finished pieces: walking edges, widths at a level, corners."""

from __future__ import annotations

from ..geometry.point import distance, turn_deg
from ..geometry.polygon import crossings
from ..model.draft import Level
from ..model.pattern import CutPiece, Pattern
from ..model.piece import Corner, Edge, Seam
from ..model.ref import Ref
from ..model.sewing import SeamLengths, seam_lengths, sewn_length


def edge_of(pattern: Pattern, ref: Ref) -> Edge:
    """The edge of that name; KeyError if there is none."""
    return pattern.piece(ref.piece).cut.piece.edge(ref.edge)


def run_length(pattern: Pattern, refs: tuple[Ref, ...]) -> float:
    """Length of several edges together, on the exact stitch line with its darts closed, as drawn, mm."""
    return sum(sewn_length(pattern.piece(ref.piece).cut.piece, ref) for ref in refs)


def seam_sides(pattern: Pattern, seam: Seam) -> SeamLengths:
    """Length of both sides of a seam, mm, as `seam_lengths` of sewing.py tells."""
    return seam_lengths(lambda name: pattern.piece(name).cut.piece, seam, by_hand=pattern.draft.by_hand > 0)


def width_at(cut: CutPiece, y: float) -> float:
    """Width of a half at the level y, from its centre line (x = 0) outwards, darts closed, mm."""
    found = [max(0.0, x) for x in crossings(cut.stitch_line, y)]
    width = sum(right - left for left, right in zip(found[::2], found[1::2], strict=False))
    return width - sum(dart.width_at(y) for dart in cut.piece.darts)


def girth_at(pattern: Pattern, depth: float) -> float:
    """The dress all round at a depth below the top line: twice the halves, darts closed, mm."""
    there = [part for part in pattern.draft.girths if part.top <= depth < part.bottom]
    return 2 * sum(width_at(pattern.piece(part.piece).cut, -depth - part.shift) for part in there)


def level_girth(pattern: Pattern, level: Level) -> float:
    """The dress all round at a level: measured along a seam that runs there, else through the cloth, mm."""
    return 2 * run_length(pattern, level.edges) if level.edges else girth_at(pattern, level.depth)


def corner_angle_deg(pattern: Pattern, corner: Corner) -> float:
    """Interior angle between the two edges of a corner, degrees."""
    piece = pattern.piece(corner.piece).cut.piece
    run, across = piece.edge(corner.run), piece.edge(corner.across)
    if distance(run.end, across.start) < 1e-6:
        arriving, leaving = run.curves[-1].way(1.0), across.curves[0].way(0.0)
    else:
        arriving, leaving = across.curves[-1].way(1.0), run.curves[0].way(0.0)
    return 180.0 - turn_deg(arriving, leaving)
