"""A part of a garment: what it is cut from, how that is sewn, what is claimed of it; parts make up a draft.

A skirt is its panels and a waist finish; a blouse a bodice, sleeves, a collar and cuffs; a dress a bodice and a skirt.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import chain

from ...draft.board import Board
from ...geometry.point import distance
from ...model.claim import Claim
from ...model.cord import Cord
from ...model.draft import Draft, Notion
from ...model.length import Length, found
from ...model.piece import LevelLine, Piece, Seam, piece_words
from ...values import dataclass, field, replace


@dataclass(frozen=True, slots=True)
class Part:
    """Pieces, with their seams in the order in which they are sewn, and what is told and claimed of them."""

    pieces: tuple[Piece, ...] = ()
    seams: tuple[Seam, ...] = ()
    claims: tuple[Claim, ...] = ()
    notions: tuple[Notion, ...] = ()
    widths: Mapping[str, Length] = field(default_factory=dict)
    """Allowances, by edge or by piece and edge, as `Board.draft` takes them."""
    top: tuple[str, ...] = ()
    """The edges that are sewn to what is above it, as refs, from the opening round to the other end of the half."""
    gathers: float = 0.0
    """How much longer the top is than what it is gathered to, all round, mm."""
    cords: tuple[Cord, ...] = ()


def together(on: Board, parts: Sequence[Part], *, seams: Iterable[Seam] = (), claims: Iterable[Claim] = ()) -> Draft:
    """The parts as one draft: each part's seams in their order, then those that sew the parts to each other."""
    widths: dict[str, Length] = {}
    for part in parts:
        widths.update(part.widths)
    return on.draft(
        list(chain.from_iterable(part.pieces for part in parts)),
        seams=[*chain.from_iterable(part.seams for part in parts), *seams],
        claims=[*chain.from_iterable(part.claims for part in parts), *claims],
        notions=[*chain.from_iterable(part.notions for part in parts)],
        cords=[*chain.from_iterable(part.cords for part in parts)],
        widths=widths,
    )


def joined_at(prefix: str) -> tuple[str, ...]:
    """The edges of panels that were drafted as long as what they hang from: those called by a prefix hang from a
    bodice, and its waist is fitted already."""
    return ("waist",) if prefix else ()


def with_more(length: Length, by: Length) -> Length:
    """The length and some more, or less; itself, and no sum to be told, where that is nothing."""
    return length + by if by.mm else length


def long_of(piece: Piece, *edges: str) -> Length:
    """How long the edges of a piece are together as they are sewn: as `Sketch.long`, of a piece that was fitted."""
    which = " and ".join(f"{piece_words(piece.name)} {piece_words(edge)}" for edge in edges)
    return found(sum(piece.edge(edge).sewn_length() for edge in edges), which)


def slit_from_neck(half: Piece, line: str, top: str) -> Piece:
    """The half with the line of a slit begun at the neck, wherever this was fitted; its end stays where it is. `top` is
    the point at which it begins."""
    neck = half.points[top]._replace(y=half.edge(f"centre_{half.name}").start.y)
    lines = (replace(x, points=(neck, *x.points[1:])) if x.name == line else x for x in half.internal_lines)
    return replace(half, points={**half.points, top: neck}, internal_lines=tuple(lines))


def lowered(piece: Piece, by: Length) -> Piece:
    """The piece with its levels told from a top line that lies so far above its own: a skirt below a bodice."""
    return replace(piece, levels=tuple(_lower(level, by.mm) for level in piece.levels))


def _lower(level: LevelLine, by: float) -> LevelLine:
    return replace(level, depth=level.depth + by)


def ruled(piece: Piece, *edges: str) -> Piece:
    """The piece with the joints and the middles of the edges' curves named, so that a grade rules them closely."""
    for edge in edges:
        places = [p for curve in piece.edge(edge).curves for p in (curve.at(0.5), curve.end)][:-1]
        known = piece.points.values()
        new = {f"{edge}_{i}": p for i, p in enumerate(places, 1) if all(distance(p, q) > 0.01 for q in known)}
        piece = replace(piece, points={**piece.points, **new})
    return piece
