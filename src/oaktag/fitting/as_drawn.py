"""Pieces that were drawn elsewhere, laid and named so that operations find their way on them, and laid back again.

A half is laid as halves are drafted: its grain upright, its centre on x = 0, its side to the right. Pieces and edges go
by the names of the job, or as `[fitting.places]` says: front.armhole = "edge 4", front.piece = "outline 2".
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import atan2, degrees
from types import MappingProxyType
from typing import Final, TypeAlias

from ..draft.moves import placed, turn, turned_over
from ..draft.sectors import undone
from ..errors import DraftError
from ..geometry.affine import Move
from ..geometry.path import flatten
from ..geometry.point import Point
from ..model.draft import Draft
from ..model.fitted import Altered
from ..model.piece import EdgeKind, LevelLine, Piece, Seam, title_of
from ..model.ref import Place, Ref
from ..values import dataclass, replace
from .fitter import ROLES, called

Places: TypeAlias = Mapping[str, Mapping[str, str]]
NO_PLACES: Final[Places] = MappingProxyType({})
PIECE: Final = "piece"
"""The key of a role that names its piece."""
_NOT_SHELL: Final = frozenset(
    ("facing", "interfacing", "lining", "pocket", "collar", "cuff", "band", "waistband", "binding", "placket", "yoke",
     "strip", "belt", "interlining", "underlining")
)  # fmt: skip
"""Words of a name that tell of no front, back or sleeve of the shell."""
_LEVELS: Final = ("bust", "chest", "waist", "hip", "biceps", "across back", "crotch", "knee")
"""Lines inside a piece that are levels of the body by their names."""
HIP_DOWN: Final = 200.0
"""The hip lies so far below the waist where no line tells it, mm (20 cm, 8 in; common practice, no source)."""
_UPRIGHT_DEG: Final = 0.01


@dataclass(frozen=True, slots=True)
class Laid:
    """A draft that was drawn elsewhere as it is worked on, and how each of its pieces was laid for it."""

    draft: Draft
    own: Draft
    moves: tuple[Move, ...]
    names: tuple[Mapping[str, str], ...]
    """Of each piece the names of its edges as the operations know them, and as they were."""

    def back(self, pieces: Sequence[Piece]) -> tuple[Draft, tuple[str, ...]]:
        """The draft with its pieces as they are now, laid and named as they were; and which of them had a cut line."""
        found, cut = [], []
        rows = zip(pieces, self.draft.pieces, self.own.pieces, self.moves, self.names, strict=True)
        for piece, was, own, move, names in rows:
            if piece is was:
                found.append(own)
                continue
            named = _renamed(placed(piece, undone(move)), names)
            found.append(replace(named, name=own.name, worn=own.worn, levels=own.levels))
            cut += [title_of(own)] if own.cut_line else []
        return replace(self.own, pieces=tuple(found)), tuple(cut)

    @property
    def hip_taken(self) -> bool:
        """Whether the hip line of a piece is a guess: none is drawn on it."""
        return any(
            level.name == "hip" and not own.levels and all(level.points != line.points for line in piece.internal_lines)
            for piece, own in zip(self.draft.pieces, self.own.pieces, strict=True)
            for level in piece.levels
        )

    def told(self, altered: Altered) -> Altered:
        """What was changed, by the names of the job."""
        names = {new.name: own.name for new, own in zip(self.draft.pieces, self.own.pieces, strict=True)}
        edges = {
            f"{new.name}.{a}": f"{own.name}.{b}"
            for new, own, known in zip(self.draft.pieces, self.own.pieces, self.names, strict=True)
            for a, b in ({edge.name: edge.name for edge in own.edges} | dict(known)).items()
        }
        rows = tuple(replace(row, name=edges.get(row.name, row.name)) for row in altered.edges)
        return replace(altered, pieces=tuple(names[name] for name in altered.pieces), edges=rows)


def laid(draft: Draft, places: Places = NO_PLACES) -> Laid:
    """The draft as operations want it. Raises DraftError for places that it does not have."""
    roles = _roles(draft, places)
    pieces, moves, names = [], [], []
    for piece in draft.pieces:
        role = roles.get(piece.name, "")
        known = _known(piece, role, places.get(role, {})) if role else {}
        own = _renamed(piece, {old: new for new, old in known.items()})
        own = replace(own, cut_line=(), notches=tuple(replace(n, out=None) for n in own.notches))
        if role:
            name = own.name if role in own.name.split("_") else f"{role}_{own.name}"
            own = replace(own, name=name, worn="arm" if role == "sleeve" else "body")
        move = _as_drafted(own) if role else Move()
        own = placed(own, move) if move != Move() else own
        pieces.append(replace(own, levels=_levels(own)) if role else own)
        moves.append(move)
        names.append(known)
    called_so = {
        (piece.name, old): (new_piece.name, new)
        for piece, new_piece, known in zip(draft.pieces, pieces, names, strict=True)
        for old, new in ({edge.name: edge.name for edge in piece.edges} | {b: a for a, b in known.items()}).items()
    }
    piece_names = {piece.name: new.name for piece, new in zip(draft.pieces, pieces, strict=True)}
    seams = tuple(_seam(seam, called_so, piece_names) for seam in draft.seams)
    return Laid(replace(draft, pieces=tuple(pieces), seams=seams), draft, tuple(moves), tuple(names))


def _roles(draft: Draft, places: Places) -> dict[str, str]:
    """By piece, which place of the body it is for."""
    known = {piece.name: piece for piece in draft.pieces}
    found: dict[str, str] = {}
    for role in ROLES:
        told = places.get(role, {}).get(PIECE, "")
        if told:
            name = next((n for n, piece in known.items() if told in (n, title_of(piece), piece.label)), "")
            if not name:
                raise DraftError(
                    f"[fitting.places] {role}.piece: no piece is called {told!r}. Expected one of {', '.join(known)}."
                )
            found[name] = role
            continue
        for name in known:
            words = name.lower().replace("-", "_").replace(" ", "_").split("_")
            if role in words and not _NOT_SHELL & set(words):
                found.setdefault(name, role)
    return found


def _known(piece: Piece, role: str, told: Mapping[str, str]) -> dict[str, str]:
    """The edges that the job names for it: what operations call them, and what they are called."""
    own = [edge.name for edge in piece.edges]
    found: dict[str, str] = {}
    for place, edge in told.items():
        if place == PIECE:
            continue
        if edge not in own:
            raise DraftError(
                f"[fitting.places] {role}.{place}: the {piece.name} has no edge {edge!r}. Expected one of "
                f"{', '.join(own)}."
            )
        name = f"centre_{role}" if place == "centre" else place
        found[name] = edge
        if name in own and name != edge:
            found[f"other_{name}"] = name
    return found


def _renamed(piece: Piece, names: Mapping[str, str]) -> Piece:
    return replace(
        piece,
        edges=tuple(replace(edge, name=names.get(edge.name, edge.name)) for edge in piece.edges),
        notches=tuple(replace(notch, edge=names.get(notch.edge, notch.edge)) for notch in piece.notches),
    )


def _seam(seam: Seam, called_so: Mapping[tuple[str, str], tuple[str, str]], pieces: Mapping[str, str]) -> Seam:
    """The seam with its edges by the new names."""

    def ref(one: Ref) -> Ref:
        piece, edge = called_so.get((one.piece, one.edge), (pieces.get(one.piece, one.piece), one.edge))
        start, end = (called_so.get((one.piece, at), ("", at))[1] for at in (one.start, one.end))
        return one._replace(piece=piece, edge=edge, start=start, end=end)

    def spot(one: Place) -> Place:
        piece, name = called_so.get((one.piece, one.name), (pieces.get(one.piece, one.piece), one.name))
        return one._replace(piece=piece, name=name, at=called_so.get((one.piece, one.at), ("", one.at))[1])

    meets = tuple(tuple(map(spot, pair)) for pair in seam.meets)
    return replace(seam, a=tuple(map(ref, seam.a)), b=tuple(map(ref, seam.b)), meets=meets)


def _levels(piece: Piece) -> tuple[LevelLine, ...]:
    """The levels that a piece has; else those that its lines tell of by their names, and, where none does, that of the
    bust at the underarm, of the waist at its waist edge, and of the hip of a skirt `HIP_DOWN` below that."""
    if piece.levels:
        return piece.levels
    top = max(p[1] for edge in piece.edges for p in flatten(edge.curves))
    found = []
    for line in piece.internal_lines:
        name = line.name.lower().replace("_", " ").removesuffix(" line")
        if name in _LEVELS:
            found.append(LevelLine(name, top - line.points[0].y, line.points))
    told = {level.name for level in found}
    right = max(p[0] for edge in piece.edges for p in flatten(edge.curves))
    for name, edge in (("bust", called(piece, "armhole")), ("waist", called(piece, "waist"))):
        if edge and name not in told and not (name == "bust" and "chest" in told):
            ends = piece.edge(edge).start, piece.edge(edge).end
            y = min(p.y for p in ends) if name == "bust" or _is_skirt(piece) else max(ends).y
            found.append(LevelLine(name, top - y, (Point(0.0, y), Point(right, y))))
    if _is_skirt(piece) and "hip" not in told:
        y = next(level.points[0].y for level in found if level.name == "waist") - HIP_DOWN
        low = min(p.y for edge in piece.edges for p in (edge.start, edge.end))
        if y > low + HIP_DOWN / 2:
            found.append(LevelLine("hip", top - y, (Point(0.0, y), Point(right, y))))
    return tuple(found)


def _is_skirt(piece: Piece) -> bool:
    return bool(called(piece, "waist") and called(piece, "hem")) and not called(piece, "armhole")


def _as_drafted(piece: Piece) -> Move:
    """How a piece is laid as halves are drafted: grain upright, right way up, centre on x = 0, side to the right."""
    a, b = piece.grain
    lean = degrees(atan2(b.y - a.y, b.x - a.x)) % 180.0 - 90.0
    move = turn((0.0, 0.0), -lean) if abs(lean) > _UPRIGHT_DEG else Move()
    if called(piece, "hem") and _middle(piece, "hem", move)[1] > _middle(piece, "", move)[1]:
        move = move.then(Move.quarters(2))
    centre = next((e.name for e in piece.edges if e.kind is EdgeKind.FOLD), "") or called(piece, "centre")
    if not centre:
        return move
    if _middle(piece, centre, move)[0] > _middle(piece, "", move)[0]:
        move = move.then(turned_over((0.0, 0.0), (0.0, 1.0)))
    ends = [move.point(p) for p in (piece.edge(centre).start, piece.edge(centre).end)]
    return move.then(Move.by(-max(ends, key=lambda p: p.y).x, 0.0))


def _middle(piece: Piece, edge: str, move: Move) -> tuple[float, float]:
    """The middle of the box round an edge, or round the piece, laid so."""
    points = [move.point(p) for e in piece.edges if edge in ("", e.name) for p in flatten(e.curves)]
    xs, ys = [p.x for p in points], [p.y for p in points]
    return (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2


def places_told(draft: Draft) -> str:
    """What the pieces have, and how a place is told, for one whose drawing calls it otherwise."""
    rows = "; ".join(f"{piece.name}: {', '.join(edge.name for edge in piece.edges)}" for piece in draft.pieces)
    return (
        f"The pieces have the edges {rows}. Where one is called otherwise, write it below [fitting.places]: "
        'front.armhole = "NAME", or front.piece = "NAME".'
    )
