"""The pieces on the table while a fault is mended: found by what they are on the body, moved in the trade's three ways.

    def sway_back(on: Fitter, ask: Ask) -> None:
        waist = on.edge("back", "waist")            # NotHere, where no back has a waist seam
        on.shift("back", (Pin(waist.name, waist.length(), up=ask.amount),))

An operation reads its places, moves the pieces of a role, and is done. What it must keep is told in the table.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Final, Protocol, TypeAlias

from ..draft.pivots import lap, spread
from ..draft.sectors import Opening
from ..errors import DraftError
from ..geometry.point import Point, distance
from ..model.fitted import Ask
from ..model.piece import Edge, NotchPlace, Piece
from ..units import Unit, show
from ..values import replace
from .warp import Field, Pin, shifted, warped, with_legs_alike

CALLED: Final[Mapping[str, tuple[str, ...]]] = {
    "neck": ("neck", "neckline"),
    "centre": ("centre_front", "centre_back"),
    "crotch": ("crotch", "fork", "crotch_front", "crotch_back"),
    "inside leg": ("inside_leg", "inseam", "inner_leg"),
}
"""The edges of a body's places where they go by another word than the place."""
Change: TypeAlias = Callable[[Piece], Piece]
ROLES: Final = ("front", "back", "sleeve")


class NotHere(DraftError):  # noqa: N818 - no fault yet: another of the pieces may have it
    """These pieces lack a place that the operation needs."""


class Followers(Protocol):
    """The pieces that lie on another, such as facings, and what becomes of them when that is moved: by number."""

    def changed(self, pieces: Sequence[Piece], index: int, change: Change) -> dict[int, Piece]: ...

    def warped(self, pieces: Sequence[Piece], index: int, change: Change) -> dict[int, Piece]: ...

    def slashed(
        self, pieces: Sequence[Piece], index: int, a: tuple[str, float], b: tuple[str, float], by: float, also: float
    ) -> dict[int, Piece]: ...


class Fitter:
    """Pieces by role, each replaced as it is moved, and what lies on it with it. Local to one fault."""

    def __init__(self, pieces: Sequence[Piece], unit: Unit, followers: Followers | None = None) -> None:
        self._pieces = list(pieces)
        self.unit = unit
        self._followers = followers

    # ------------------------------------------------------------------------------------------------------ places

    @property
    def pieces(self) -> tuple[Piece, ...]:
        return tuple(self._pieces)

    def _index(self, role: str, *edges: str) -> int:
        for index, piece in enumerate(self._pieces):
            if role_of(piece) == role and all(called(piece, edge) for edge in edges):
                return index
        lacks = f"no {role} with {' and '.join(edges)}" if edges else f"no {role}"
        raise NotHere(f"there is {lacks}")

    def piece(self, role: str, *edges: str) -> Piece:
        """The piece of that role, front, back or sleeve, which has all those edges. Raises NotHere."""
        return self._pieces[self._index(role, *edges)]

    def has(self, role: str, *edges: str) -> bool:
        return any(role_of(piece) == role and all(called(piece, e) for e in edges) for piece in self._pieces)

    def edge(self, role: str, place: str) -> Edge:
        """The edge at a place of the body: neck, shoulder, armhole, side, waist, hem, centre. Raises NotHere."""
        piece = self.piece(role, place)
        return piece.edge(called(piece, place))

    def corner(self, role: str, a: str, b: str) -> Point:
        """Where two edges of a piece meet. Raises NotHere."""
        piece = self.piece(role, a, b)
        one, other = (piece.edge(called(piece, name)) for name in (a, b))
        if distance(one.end, other.start) < 1e-3:
            return one.end
        if distance(one.start, other.end) < 1e-3:
            return one.start
        raise NotHere(f"{a} and {b} of the {role} do not meet")

    def level(self, role: str, *names: str) -> float:
        """The height y of a level on a piece, the first of those names that there is. Raises NotHere."""
        for piece in self._pieces:
            for name in names:
                for line in piece.levels:
                    if role_of(piece) == role and line.name == name:
                        return line.points[0].y
        raise NotHere(f"the {role} has no {names[0]} line")

    def at(self, role: str, place: str, end: str) -> float:
        """mm along an edge to that of its ends at which it meets the edge `end`: 0 or its length. Raises NotHere."""
        edge, corner = self.edge(role, place), self.corner(role, place, end)
        return 0.0 if distance(edge.start, corner) < 1e-3 else edge.length()

    # ------------------------------------------------------------------------------------------------------ the ways

    def change(self, role: str, change: Callable[[Piece], Piece], *edges: str) -> None:
        """Whatever else; of the piece of that role which has those edges."""
        index = self._index(role, *edges)
        self._put(index, change, lambda on: on.changed(self._pieces, index, change))

    def _put(self, index: int, change: Change, follow: Callable[[Followers], dict[int, Piece]]) -> None:
        """The piece changed, and what lies on it as it follows."""
        new = with_legs_alike(change(self._pieces[index]))
        found = follow(self._followers) if self._followers is not None else {}
        for number, piece in {**found, index: new}.items():
            self._pieces[number] = _in_order(self._pieces[number], piece)

    def shift(self, role: str, pins: Sequence[Pin]) -> None:
        """Redraw the outline through pinned places that move; pins tell edges by the names that they have."""
        self.change(role, lambda piece: shifted(piece, pins), *dict.fromkeys(pin.edge for pin in pins))

    def warp(self, role: str, field: Field, levels: Sequence[float] = (), *edges: str) -> None:
        """Redraw all of a piece by a rule, which has a bend at those heights."""
        index = self._index(role, *edges)

        def changed(piece: Piece) -> Piece:
            return warped(piece, field, levels)

        self._put(index, changed, lambda on: on.warped(self._pieces, index, changed))

    def slash(
        self, role: str, a: tuple[str, float], b: tuple[str, float], by: float, also: float = 0.0, *, hold: str = ""
    ) -> None:
        """Slash from a place on one edge, mm along it, to one on another, and spread by `by` mm at the first and `also`
        at the other; lap by it where it is negative, hinged at the other."""
        if by < 0 and also:
            raise ValueError("a parallel lap is redrawn: see warp")

        def changed(piece: Piece) -> Piece:
            if by < 0:
                return lap(piece, a, b, -by, hold=hold)
            return spread(piece, Opening(a[0], a[1], "flare"), b, by, also, hold=hold)

        if by:
            index = self._index(role, a[0], b[0])
            self._put(index, changed, lambda on: on.slashed(self._pieces, index, a, b, by, also))

    def index(self, role: str, *edges: str) -> int:
        """The number of the piece of that role which has those edges. Raises NotHere."""
        return self._index(role, *edges)

    def change_at(self, index: int, change: Callable[[Piece], Piece]) -> None:
        """Whatever else, of the piece of that number, whatever its role."""
        self._put(index, change, lambda on: on.changed(self._pieces, index, change))

    def warp_at(self, index: int, field: Field, levels: Sequence[float] = ()) -> None:
        """Redraw all of the piece of that number by a rule, whatever its role."""

        def changed(piece: Piece) -> Piece:
            return warped(piece, field, levels)

        self._put(index, changed, lambda on: on.warped(self._pieces, index, changed))

    def say(self, mm: float) -> str:
        """A length as the maker reads it."""
        return show(mm, self.unit)

    def refuse(self, ask: Ask, found: str, change: str) -> None:
        """Raises DraftError that names the limit."""
        raise DraftError(f"[fitting] {ask.fault}: {found.rstrip('.')}. {change.rstrip('.')}.")


def _in_order(old: Piece, new: Piece) -> Piece:
    """The changed piece with its notches in the order that they had, so that sizes stay alike; new ones last."""
    if [(n.edge, n.name) for n in old.notches] == [(n.edge, n.name) for n in new.notches]:
        return new
    left, found = list(new.notches), list[NotchPlace]()
    for notch in old.notches:
        same = next((n for n in left if (n.edge, n.name) == (notch.edge, notch.name)), None)
        if same is not None:
            left.remove(same)
            found.append(same)
    return replace(new, notches=(*found, *left))


def role_of(piece: Piece) -> str:
    """What a piece is on the body, by its name as the trade names pieces: front, back or sleeve; "" for any other."""
    words = piece.name.split("_")
    return next((role for role in ROLES if role in words), "") if piece.worn else ""


def called(piece: Piece, place: str) -> str:
    """The name of a piece's edge at a place of the body; "" where it has none."""
    names = {edge.name for edge in piece.edges}
    return next((name for name in (*CALLED.get(place, ()), place) if name in names), "")
