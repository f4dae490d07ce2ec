"""One side of the wearer unlike the other: two drafts, one fitted as her left side is and one as her right, made one.

A piece that both have alike stays. Of a pair each side is a piece of its own, `front_left` and `front_right`; what was
cut on the fold is drawn whole, half of it from either draft; a strip is as long as the halves of both together.
Seams, claims and what else names a piece that is parted name both its sides.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import fields
from typing import Any, Final, Literal, TypeAlias

from ..draft.moves import copy, placed, turn, turned_over, unfold
from ..errors import DraftError
from ..geometry.affine import Move
from ..geometry.point import Point, between, direction, distance, turn_deg
from ..geometry.polygon import distance_to_line
from ..model.claim import Claim
from ..model.draft import Draft
from ..model.piece import Cut, Edge, EdgeKind, LevelLine, NotchPlace, Piece, Seam, sheets_of
from ..model.ref import Place, Ref
from ..model.sewing import derived_joins
from ..values import dataclass, replace
from .fitter import called, role_of

Half: TypeAlias = Literal["left", "right"]
SIDES: Final[tuple[Half, Half]] = ("left", "right")
_ALIKE: Final = 0.01
"""Outlines no further apart than this, mm, are one."""
_MEET: Final = 0.5
"""The two halves of a piece that is drawn whole are as long as each other where they meet, to this, mm."""


def sided(left: Draft, right: Draft) -> Draft:
    """One draft of the two. Raises DraftError for a piece that cannot be parted."""
    parted = _Parted(left, right)
    right = _at_one_depth(left, right)
    pieces = tuple(new for a, b in zip(left.pieces, right.pieces, strict=True) for new in parted.pieces(a, b))
    by_name = {piece.name: piece for piece in pieces}
    seams = tuple(new for seam in left.seams for new in parted.seam(seam))
    notes = dict.fromkeys((*left.notes, *right.notes))
    own = parted.origins(by_name)
    widths = {
        new: left.default_allowances[key]
        for new, old in own.items()
        for key in (old.partition(".")[2], old)
        if key in left.default_allowances and new not in left.default_allowances
    }
    return replace(
        left,
        pieces=pieces,
        seams=seams,
        joins=tuple(derived_joins(pieces, seams)),
        steps=(*left.steps, *(step for step in right.steps if step not in left.steps)),
        notes=(*notes, *parted.notes()),
        default_allowances={**left.default_allowances, **widths},
        claims=tuple(parted.claim(claim) for claim in left.claims if not parted.is_of_fold(claim)),
        notions=left.notions,
        folding={name: folds for name, folds in left.folding.items() if name not in parted.how},
        altered=(*left.altered, *(one for one in right.altered if one not in left.altered)),
        halves=own,
    )


def _at_one_depth(left: Draft, right: Draft) -> Draft:
    """The right draft with its levels as deep below the top as those of the left: on the body they are one line,
    however much higher one shoulder is drawn."""
    pieces = []
    for a, b in zip(left.pieces, right.pieces, strict=True):
        depths = [level.depth for level in a.levels]
        same = [level.name for level in a.levels] == [level.name for level in b.levels]
        levels = (replace(x, depth=depth) for x, depth in zip(b.levels, depths, strict=True)) if same else b.levels
        pieces.append(replace(b, levels=tuple(levels)))
    return replace(right, pieces=tuple(pieces))


def drawn_side(piece: Piece) -> Half:
    """The wearer's side of which a half or one of a pair is drawn, outside up: halves run from the centre outwards, the
    back's to the right of the wearer, the front's to her left; a sleeve with its front to the right is her right."""
    role = role_of(piece)
    inner, outer = ("underarm_back", "underarm_front") if role == "sleeve" else ("centre", "side")
    near, far = (called(piece, name) for name in (inner, outer))
    if not near:
        near = next((edge.name for edge in piece.edges if edge.kind is EdgeKind.FOLD), "") or called(piece, "crotch")
    outwards = _across(piece.edge(far)) > _across(piece.edge(near)) if near and far else True
    own: Half = "right" if role in ("back", "sleeve") or "back" in piece.name else "left"
    return own if outwards else _other(own)


def _other(side: Half) -> Half:
    return "left" if side == "right" else "right"


def _across(edge: Edge) -> float:
    return (edge.start.x + edge.end.x) / 2


def alike(a: Piece, b: Piece) -> bool:
    """Whether two pieces are one shape with the same marks, to a hundredth of a mm."""
    if [edge.name for edge in a.edges] != [edge.name for edge in b.edges] or len(a.notches) != len(b.notches):
        return False
    points = [
        (p, q)
        for one, other in zip(a.edges, b.edges, strict=True)
        for c, d in zip(one.curves, other.curves, strict=False)
        for p, q in zip(c.controls(), d.controls(), strict=False)
    ]
    same = all(len(one.curves) == len(other.curves) for one, other in zip(a.edges, b.edges, strict=True))
    marks = all(abs(m.at - n.at) <= _ALIKE and m.edge == n.edge for m, n in zip(a.notches, b.notches, strict=True))
    return same and marks and all(distance(p, q) <= _ALIKE for p, q in points)


@dataclass(frozen=True, slots=True)
class _How:
    """How a piece is parted: "pair", "fold" or "strip"; and which side of it is as it was drawn."""

    way: Literal["pair", "fold", "strip"]
    drawn: Half
    piece: Piece


class _Parted:
    """Which pieces are parted, and what their edges and places are called then."""

    def __init__(self, left: Draft, right: Draft) -> None:
        names = [[piece.name for piece in draft.pieces] for draft in (left, right)]
        if names[0] != names[1]:
            other = sorted(set(names[0]) ^ set(names[1]))
            raise DraftError(
                f"[fitting] the two sides would be made of other pieces ({', '.join(other)}), so they cannot be one "
                "garment. Pin it on both sides, or make it less."
            )
        self.around = {piece.name: piece.to_cut.around for piece in left.pieces}
        self.how: dict[str, _How] = {}
        for a, b in zip(left.pieces, right.pieces, strict=True):
            if not alike(a, b):
                self.how[a.name] = _How(_way(a), drawn_side(a), a)

    def pieces(self, a: Piece, b: Piece) -> Iterator[Piece]:
        """What a piece of the left and of the right draft become."""
        how = self.how.get(a.name)
        if how is None:
            yield a
        elif how.way == "fold":
            yield _whole(a, b, how.drawn)
        elif how.way == "strip":
            yield _strip(a, b)
        else:
            for side, piece in zip(SIDES, (a, b), strict=True):
                one = copy(piece if side == how.drawn else placed(piece, turned_over((0.0, 0.0), (0.0, 1.0))),
                           f"{a.name}_{side}")  # fmt: skip
                yield replace(one, to_cut=Cut(side, max(1, a.quantity // 2), a.material), sheets=sheets_of(a))

    def notes(self) -> Iterator[str]:
        for way, cut in (("pair", "once for either side"), ("fold", "whole, not on the fold")):
            names = [name.replace("_", " ") for name, how in self.how.items() if how.way == way]
            if names:
                yield f"Left and right are not alike, so cut {cut}, the cloth right side up: {', '.join(names)}."

    # ------------------------------------------------------------------------------------------------------ names

    def ref(self, ref: Ref, side: Half) -> Ref:
        """An edge on that side of the wearer."""
        how = self.how.get(ref.piece)
        if how is None or how.way == "strip":
            return ref._replace(side=side) if how is None and not self._is_strip(ref.piece) else ref
        if how.way == "pair":
            return ref._replace(piece=f"{ref.piece}_{side}", side="")
        places = (self.place_on(how, ref.edge, at, side) if at else "" for at in (ref.start, ref.end))
        start, end = places
        return ref._replace(edge=self.edge(how, ref.edge, side), start=start, end=end, side="")

    def edge(self, how: _How, name: str, side: Half) -> str:
        return name if side == how.drawn else f"{name}_{side}"

    def place_on(self, how: _How, edge: str, at: str, side: Half) -> str:
        """A place of an edge of a piece that is drawn whole: at the fold it begins or ends; other names are turned."""
        own = how.piece.edge(edge)
        fold = next(each for each in how.piece.edges if each.kind is EdgeKind.FOLD)
        if at == fold.name:
            at = "start" if distance(own.start, fold.end) < 1e-3 else "end"
        if side == how.drawn:
            return at
        turned = {"start": "end", "end": "start"}
        names = {each.name for each in how.piece.edges}
        names |= {name for name, p in how.piece.points.items() if distance_to_line(p, (fold.start, fold.end)) > _MEET}
        return turned.get(at, f"{at}_{side}" if at in names else at)

    def place(self, place: Place, side: Half) -> Place:
        how = self.how.get(place.piece)
        if how is None or how.way == "strip":
            return place
        if how.way == "pair":
            return place._replace(piece=f"{place.piece}_{side}")
        at = self.place_on(how, place.name, place.at, side) if place.at else ""
        return place._replace(name=self.edge(how, place.name, side), at=at)

    # ------------------------------------------------------------------------------------------------------ seams

    def seam(self, seam: Seam) -> Iterator[Seam]:
        """A seam none of whose pieces is parted stays; one of halves becomes two; one of the two sides to each other
        stays one; one that goes round the wearer names both sides."""
        pieces = {ref.piece for ref in (*seam.a, *seam.b)}
        if pieces.isdisjoint(self.how):
            yield seam
        elif seam.to_itself and not any(map(self._is_layered, pieces)):
            yield replace(
                seam, a=tuple(self.ref(r, "left") for r in seam.a), b=tuple(self.ref(r, "right") for r in seam.b)
            )
        elif any(ref.side in SIDES for ref in (*seam.a, *seam.b)) or any(map(self._is_strip, pieces)):
            yield self._round(seam)
        else:
            for side in SIDES:
                yield replace(
                    seam,
                    name=f"{seam.name}, {side}",
                    a=tuple(self.ref(ref, side) for ref in seam.a),
                    b=tuple(self.ref(ref, side) for ref in seam.b),
                    meets=tuple(tuple(self.place(place, side) for place in pair) for pair in seam.meets),
                )

    def _is_layered(self, name: str) -> bool:
        """Whether a seam of its edge to itself joins two layers, as of a collar, and not the wearer's two sides."""
        how = self.how.get(name)
        return how is not None and (how.way == "fold" or (how.way == "pair" and how.piece.quantity > 2))

    def _is_pair(self, name: str) -> bool:
        how = self.how.get(name)
        return how is not None and how.way == "pair"

    def _is_strip(self, name: str) -> bool:
        return self.around.get(name, 2) == 1

    def _round(self, seam: Seam) -> Seam:
        """All round the wearer: of what is told of one side, that; of halves, their left, and back over their right."""

        def run(refs: Sequence[Ref]) -> tuple[Ref, ...]:
            if len(set(refs)) < len(refs):  # a drawn pattern names it once for either side
                return tuple(self.ref(ref, SIDES[refs[:k].count(ref) % 2]) for k, ref in enumerate(refs))
            told = any(ref.side in SIDES for ref in refs)
            halves = [ref for ref in refs if ref.piece in self.how and self.how[ref.piece].way != "strip"]
            if told or not halves:
                return tuple(self.ref(r, r.side) if r.side in SIDES else r for r in refs)
            return (*(self.ref(ref, "left") for ref in refs), *(self.ref(ref, "right") for ref in reversed(refs)))

        return replace(seam, a=run(seam.a), b=run(seam.b), meets=())

    # ------------------------------------------------------------------------------------------------------ claims

    def is_of_fold(self, claim: Claim) -> bool:
        """Whether it measures the fold of a piece that has none any more."""
        values = [getattr(claim, each.name) for each in fields(claim)]
        named = (ref for v in values for ref in (v if isinstance(v, tuple) else (v,)) if isinstance(ref, Ref))
        return any(
            how.way == "fold" and how.piece.edge(ref.edge).kind is EdgeKind.FOLD
            for ref in named
            if (how := self.how.get(ref.piece)) is not None and any(e.name == ref.edge for e in how.piece.edges)
        )

    def claim(self, claim: Claim) -> Claim:
        """The claim with every edge of a parted piece on both sides, and its pieces by the name of the drawn side."""
        new: dict[str, Any] = {}
        for each in fields(claim):
            value = getattr(claim, each.name)
            if isinstance(value, Claim):
                new[each.name] = self.claim(value)
            elif isinstance(value, tuple) and value and all(isinstance(one, Ref) for one in value):
                new[each.name] = tuple(both for one in value for both in self._both(one))
            elif isinstance(value, Ref):
                new[each.name] = self._both(value)[0]
            elif isinstance(value, tuple) and any(isinstance(one, str) and self._is_pair(one) for one in value):
                new[each.name] = tuple(
                    name
                    for one in value
                    for name in ((f"{one}_left", f"{one}_right") if self._is_pair(one) else (one,))
                )
            elif each.name != "worn" and isinstance(value, str) and self._is_pair(value):
                new[each.name] = f"{value}_{self.how[value].drawn}"
        return replace(claim, **new) if new else claim

    def _both(self, ref: Ref) -> tuple[Ref, ...]:
        how = self.how.get(ref.piece)
        if how is None or how.way == "strip":
            return (ref,)
        if ref.side in SIDES:
            return (self.ref(ref, ref.side),)
        return tuple(self.ref(ref, side) for side in (how.drawn, _other(how.drawn)))

    def origins(self, pieces: Mapping[str, Piece]) -> dict[str, str]:
        """By each edge that has another name now, piece and edge, what it was called."""
        found = {}
        for name, how in self.how.items():
            for edge in how.piece.edges if how.way != "strip" else ():
                for side in SIDES:
                    new = self.ref(Ref(name, edge.name), side)
                    if new.piece in pieces and any(each.name == new.edge for each in pieces[new.piece].edges):
                        found[f"{new.piece}.{new.edge}"] = f"{name}.{edge.name}"
        return {new: old for new, old in found.items() if new != old}


def _way(piece: Piece) -> Literal["pair", "fold", "strip"]:
    if piece.mirrored_pair:
        return "pair"
    if piece.on_fold:
        return "fold"
    if piece.to_cut.side == "whole":
        return "strip"
    raise _refused(piece)


def _refused(piece: Piece) -> DraftError:
    return DraftError(
        f"[fitting] the {piece.name.replace('_', ' ')} is drawn in one for both sides, so it cannot follow one side "
        "alone. Pin it on both sides."
    )


def _whole(left: Piece, right: Piece, drawn: Half) -> Piece:
    """What was cut on the fold, half of it from either draft."""
    own, other = (left, right) if drawn == "left" else (right, left)
    fold, beyond = (next(edge for edge in piece.edges if edge.kind is EdgeKind.FOLD) for piece in (own, other))
    long = fold.length(), beyond.length()
    if abs(long[0] - long[1]) > _MEET:
        raise DraftError(
            f"[fitting] the centre of the {own.name.replace('_', ' ')} would be {abs(long[0] - long[1]):.1f} mm longer "
            "on one side than on the other. Pin at the centre what is of both sides."
        )
    swing = turn(beyond.end, turn_deg(direction(beyond.end, beyond.start), direction(fold.end, fold.start)))
    laid = placed(other, swing.then(Move.by(fold.end.x - beyond.end.x, fold.end.y - beyond.end.y)))
    whole = unfold(own, drawn, other=_led_to(own, laid))
    levels = tuple(replace(level, points=_over(level.points, fold.start.x)) for level in whole.levels)
    return replace(whole, sheets=sheets_of(own), levels=levels)


def _over(line: tuple[Point, ...], x: float) -> tuple[Point, ...]:
    """A level with a point at the centre, as those have that bend there."""
    a, b = line[0], line[-1]
    if len(line) != 2 or (a.x - x) * (b.x - x) >= 0:
        return line
    return a, between(a, b, (x - a.x) / (b.x - a.x)), b


def _led_to(own: Piece, other: Piece) -> Piece:
    """The other half with its levels led to where they lie at the centre of this one, so that each goes on over it."""
    at = {level.name: min(level.points, key=lambda p: abs(p.x)) for level in own.levels if level.name}

    def led(level: LevelLine) -> LevelLine:
        near = min(range(len(level.points)), key=lambda k: abs(level.points[k].x))
        points = (at[level.name] if k == near else p for k, p in enumerate(level.points))
        return replace(level, points=tuple(points)) if level.name in at else level

    return replace(other, levels=tuple(map(led, other.levels)))


def _strip(left: Piece, right: Piece) -> Piece:
    """A strip that goes round the wearer, from her left round to her right, half way between both drafts: as long as
    the half of either together. Its marks are, up to its middle, those of the left draft, and then of the right."""

    scale = 1.0

    def mean(p: Point, q: Point) -> Point:
        return Point((p.x + q.x) / 2 * scale, (p.y + q.y) / 2 * scale)

    if any(
        [len(curve.controls()) for curve in a.curves] != [len(curve.controls()) for curve in b.curves]
        for a, b in zip(left.edges, right.edges, strict=True)
    ):
        raise _refused(left)

    def drawn() -> tuple[Edge, ...]:
        return tuple(
            replace(a, curves=tuple(c.with_controls(tuple(map(mean, c.controls(), d.controls())))
                                    for c, d in zip(a.curves, b.curves, strict=True)))
            for a, b in zip(left.edges, right.edges, strict=True)
        )  # fmt: skip

    edge = max(left.edges, key=lambda edge: edge.length()).name
    wanted = (left.edge(edge).length() + right.edge(edge).length()) / 2
    scale = wanted / next(each for each in drawn() if each.name == edge).length()  # 1, where it is straight
    edges = drawn()
    long = {edge.name: edge.length() for edge in edges}
    was = {edge.name: edge.length() for edge in right.edges}

    def notch(a: NotchPlace, b: NotchPlace) -> NotchPlace:
        middle = long[a.edge] / 2
        return a if a.at <= middle else replace(b, at=long[b.edge] - (was[b.edge] - b.at))

    lines = zip(left.internal_lines, right.internal_lines, strict=True)
    levels = zip(left.levels, right.levels, strict=True)
    return replace(
        left,
        edges=edges,
        points={name: mean(p, right.points[name]) for name, p in left.points.items()},
        grain=(mean(left.grain[0], right.grain[0]), mean(left.grain[1], right.grain[1])),
        notches=tuple(notch(a, b) for a, b in zip(left.notches, right.notches, strict=True)),
        internal_lines=tuple(replace(a, points=tuple(map(mean, a.points, b.points))) for a, b in lines),
        levels=tuple(replace(a, points=tuple(map(mean, a.points, b.points))) for a, b in levels),
    )
