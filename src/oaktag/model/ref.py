"""The name of an edge among all pieces, `front.shoulder`: put together and taken apart here and nowhere else."""

from __future__ import annotations

from typing import NamedTuple


class Ref(NamedTuple):
    """An edge of a piece.

    >>> str(Ref("front", "shoulder")), Ref.of("front.shoulder").edge
    ('front.shoulder', 'shoulder')
    """

    piece: str
    edge: str

    def __str__(self) -> str:
        return f"{self.piece}.{self.edge}"

    @classmethod
    def of(cls, text: str) -> Ref:
        """What is written `piece.edge`; ValueError if it is not."""
        piece, dot, edge = text.partition(".")
        if not (piece and dot and edge) or "." in edge:
            raise ValueError(f"{text!r} is no edge of a piece, such as front.shoulder")
        return cls(piece, edge)


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
