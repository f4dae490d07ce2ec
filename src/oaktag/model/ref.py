"""The name of an edge among all pieces, `front.shoulder`, or of a place: put together and taken apart here alone.

    front.side                            an edge, or a line inside a piece (`onto a line`)
    front.armhole from shoulder to notch  a stretch of it, walked in that way, between two places of it
    left front.fly                        on one side of the wearer alone: `left`, `right`, or `one` (whichever)
    sleeve.placket both lips              a slit (a line inside a piece that is cut open): both its lips
    front.shoulder 1/2                    a place: that part of the sewn edge, from its start in the outline's direction
    front.armhole notch                   a place: the notch, the corner, or the named point so called on that edge
    front.bust_point                      a place: a named point of the piece

A place of an edge is called `start`, `end`, a fraction, the edge that it has a corner with, one of its notches, or a
named point of the piece that lies on it; names with spaces (`from start to front notch`) need no quotes.
"""

from __future__ import annotations

from typing import Literal, NamedTuple, TypeAlias

OneSide: TypeAlias = Literal["", "left", "right", "one"]
"""Both sides of the wearer as the piece is cut; the left or right one alone; one of them, whichever."""


class Ref(NamedTuple):
    """An edge of a piece, or part of it.

    >>> str(Ref("front", "shoulder")), Ref.of("front.shoulder").edge
    ('front.shoulder', 'shoulder')
    >>> Ref.of("left front.fly").side, Ref.of("sleeve.placket both lips").lips
    ('left', True)
    >>> str(Ref.of("front.armhole from shoulder to front notch"))
    'front.armhole from shoulder to front notch'
    """

    piece: str
    edge: str
    start: str = ""
    """Where a stretch of it starts; it is walked from there to `end`. Empty: the whole edge, as its seam walks it."""
    end: str = ""
    side: OneSide = ""
    lips: bool = False
    """Whether it is both lips of a slit."""

    def __str__(self) -> str:
        words = f"{self.piece}.{self.edge}"
        if self.side:
            words = f"{self.side} {words}"
        if self.start:
            words += f" from {self.start} to {self.end}"
        return f"{words} both lips" if self.lips else words

    @classmethod
    def of(cls, text: str) -> Ref:
        """What is written so; ValueError if it is not."""
        words, side = text, _side_of(text)
        if side:
            words = words[len(side) + 1 :]
        lips = words.endswith(" both lips")
        words = words.removesuffix(" both lips") if lips else words
        name, stretch, places = words.partition(" from ")
        start, to, end = places.partition(" to ")
        piece, dot, edge = name.partition(".")
        wrong = not (piece and dot and edge) or "." in edge or edge != edge.strip()
        if wrong or (stretch and not (start and to and end)) or (stretch and lips):
            raise ValueError(f"{text!r} is no edge of a piece, such as front.shoulder")
        return cls(piece, edge, start, end, side, lips)

    @property
    def whole(self) -> Ref:
        """The edge itself, on both sides of the wearer."""
        return Ref(self.piece, self.edge) if self.start or self.side or self.lips else self


def _side_of(text: str) -> OneSide:
    first, space, _ = text.partition(" ")
    sides: tuple[OneSide, ...] = ("left", "right", "one")
    return next((side for side in sides if space and first == side), "")


class Place(NamedTuple):
    """A place of a piece: on an edge of it, at what `at` says; or, where that is empty, its point of that name.

    >>> Place.of("front.shoulder 1/2"), str(Place.of("front.bust_point"))
    (Place(piece='front', name='shoulder', at='1/2'), 'front.bust_point')
    """

    piece: str
    name: str
    at: str = ""

    def __str__(self) -> str:
        return f"{self.piece}.{self.name} {self.at}" if self.at else f"{self.piece}.{self.name}"

    @classmethod
    def of(cls, text: str) -> Place:
        """What is written so; ValueError if it is not."""
        where, _, at = text.partition(" ")
        piece, dot, name = where.partition(".")
        if not (piece and dot and name) or "." in name or at != at.strip() or (" " in text and not at):
            raise ValueError(f"{text!r} is no place of a piece, such as front.shoulder 1/2")
        return cls(piece, name, at)


def refs(*texts: str) -> tuple[Ref, ...]:
    """Several of them, in order."""
    return tuple(map(Ref.of, texts))


def words_of(run: tuple[Ref, ...]) -> str:
    """Edges that are sewn as one: `front.armhole + back.armhole`."""
    return " + ".join(map(str, run))


def parted(name: str) -> tuple[str, str]:
    """The piece and the edge of a name that may leave out the piece; "" then.

    >>> parted("front.side"), parted("side")
    (('front', 'side'), ('', 'side'))
    """
    piece, _, edge = name.rpartition(".")
    return piece, edge
