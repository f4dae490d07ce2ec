"""What must be done to allowances once they are sewn, so that they lie flat when turned: clip, notch out, ease.

An allowance of width w along a curve of radius r is w/r shorter than its stitch line on a hollow edge, and as much
longer on a round one (exact for circles). From 4 % on a hollow one pulls; a round one bunches when it is turned, from
10 % on (common practice, no source). Cloth that gives does neither: its allowances stretch, and clips would cut the
seam that holds their edges (common practice, no source).
"""

from __future__ import annotations

from math import radians
from typing import Final

from ..geometry.curve import Line
from ..geometry.point import turn_deg
from ..model.pattern import CutPiece
from ..model.piece import Edge, EdgeKind, piece_words
from ..units import INCH, Unit, show

PULLS: Final = 0.04
"""The part by which a cut edge is shorter than its stitch line, from which on it is clipped."""
TIGHT: Final = 0.10
"""The same for close clips, and for notching out a round edge."""
_LEAST: Final = 3.0
"""A difference that cloth takes up by itself, mm."""
_CORNER_DEG: Final = 30.0


def handling(
    cut: CutPiece, eased: frozenset[str], unit: Unit, gathered: frozenset[str] = frozenset()
) -> tuple[str, ...]:
    """What to do, a note for each kind of work: `clip the neckline allowance every 1/2 in, nearly to the stitch line`.

    `eased` are the piece's edges that are sewn with ease, `gathered` those of them that are gathered.
    """
    close, wide = (show(mm, unit) for mm in ((INCH / 2, INCH) if unit == "in" else (12.0, 25.0)))
    corners: list[str] = []
    clip_close: list[str] = []
    clip_wide: list[str] = []
    notch_out: list[str] = []
    last: list[str] = []
    edges = cut.piece.edges
    for i, edge in enumerate(edges):
        width = cut.allowances[edge.name]
        if edge.kind is EdgeKind.FOLD or width <= 0:
            continue
        words = piece_words(edge.name)
        before, after = edges[i - 1], edges[(i + 1) % len(edges)]
        if _inner_corners(edge):
            corners.append(f"the corner of the {words}")
        elif _is_pointed(edge, before, after):
            corners.append(f"the point of the {words}")
        if after.kind is not EdgeKind.FOLD and _turn(edge, after) <= -_CORNER_DEG:
            corners.append(f"the corner of {words} and {piece_words(after.name)}")
        if edge.kind is EdgeKind.OPENING:
            continue
        hollow, hollow_length, round_, round_length = _bends(edge)
        if edge.name in eased:
            last.append(
                f"run two rows of gathering stitches along the {words}"
                if edge.name in gathered
                else f"run two rows of ease stitches along the {words} between the notches"
            )
        if cut.piece.gives:
            continue
        if hollow * width >= max(_LEAST, PULLS * hollow_length):
            (clip_close if hollow * width >= TIGHT * hollow_length else clip_wide).append(words)
        if edge.name in eased or round_ * width < _LEAST:
            continue
        if edge.kind is EdgeKind.HEM:
            last.append(f"ease in the fullness of the {words} allowance")
        elif round_ * width >= TIGHT * round_length:
            notch_out.append(words)
    return (
        *(f"clip into {place}, to a thread from the stitch line" for place in corners),
        *(
            f"clip the {_listed(names)} allowance every {spacing}, nearly to the stitch line"
            for names, spacing in ((clip_close, close), (clip_wide, wide))
            if names
        ),
        *([f"notch out the {_listed(notch_out)} allowance every {close}"] if notch_out else []),
        *last,
    )


def _listed(names: list[str]) -> str:
    return " and ".join([", ".join(names[:-1]), names[-1]]) if len(names) > 1 else names[0]


def _turn(before: Edge, after: Edge) -> float:
    return turn_deg(before.curves[-1].way(1.0), after.curves[0].way(0.0))


def _bends(edge: Edge) -> tuple[float, float, float, float]:
    """How far it turns where it is hollow, radians, and how long that is; the same where it is round."""
    hollow = hollow_length = round_ = round_length = 0.0
    for curve in edge.curves:
        if isinstance(curve, Line):
            continue
        ways = (curve.way(0.0), curve.way(0.5), curve.way(1.0))
        turns = radians(turn_deg(ways[0], ways[1])), radians(turn_deg(ways[1], ways[2]))
        if abs(turns[0]) + abs(turns[1]) < 0.02:
            continue
        middle = curve.at(0.5)
        chords = (
            ((middle.x - curve.a.x) ** 2 + (middle.y - curve.a.y) ** 2) ** 0.5,
            ((curve.d.x - middle.x) ** 2 + (curve.d.y - middle.y) ** 2) ** 0.5,
        )
        for turn, chord in zip(turns, chords, strict=True):
            if turn < 0:
                hollow, hollow_length = hollow - turn, hollow_length + chord
            else:
                round_, round_length = round_ + turn, round_length + chord
    return hollow, hollow_length, round_, round_length


def _inner_corners(edge: Edge) -> int:
    """Corners inside the edge that point into the piece; those of a dart's mouth do not count."""
    if edge.takes:
        return 0
    pairs = zip(edge.curves, edge.curves[1:], strict=False)
    return sum(turn_deg(a.way(1.0), b.way(0.0)) <= -_CORNER_DEG for a, b in pairs)


def _is_pointed(edge: Edge, before: Edge, after: Edge) -> bool:
    """Whether it comes to an inward point at a fold, once the piece is unfolded (a V neckline)."""
    if after.kind is EdgeKind.FOLD:
        return 90.0 - _turn(edge, after) >= _CORNER_DEG / 2
    return before.kind is EdgeKind.FOLD and 90.0 - _turn(before, edge) >= _CORNER_DEG / 2
