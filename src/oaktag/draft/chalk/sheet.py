"""The worked steps of the draft as the card needs them: which gives a coordinate, which tells of what."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence

from ...geometry.point import Point
from ...model.draft import Step
from ...model.piece import Piece, sheets_of
from ...units import Unit
from ...values import dataclass
from .marks import Frame
from .numbers import EXACT, printed_length


@dataclass(frozen=True, slots=True)
class Sheet:
    """The steps by which a piece was drawn, in their order; `at`: by the coordinate that they give, `underarm.x`."""

    steps: tuple[Step, ...]
    at: Mapping[str, Step]

    @classmethod
    def of(cls, piece: Piece, steps: Sequence[Step]) -> Sheet:
        own = tuple(step for step in steps if step.piece in sheets_of(piece))
        return cls(own, {step.at: step for step in own if step.at})

    def coordinates(self) -> Iterator[tuple[str, str, Step]]:
        """Name of the place, axis, step; in the order of the draft."""
        for at, step in self.at.items():
            name, _, axis = at.partition(".")
            yield name, axis, step

    def found(self, name: str) -> int | None:
        """The number of the step with which a place is found; None if no step tells of it."""
        order = list(self.at)
        return max((order.index(at) for at in (f"{name}.x", f"{name}.y") if at in self.at), default=None)

    def about(self, names: Collection[str], told: Collection[Step]) -> Iterator[Step]:
        """Steps that tell of one of these names, and that were not told yet."""
        for step in self.steps:
            of_it = any(name in names for name in step.about) or (step.level and step.label in names)
            if of_it and not any(step is other for other in told):
                yield step


def formula_at(step: Step, p: Point, frame: Frame, unit: Unit) -> str:
    """How the draft works out a coordinate; and how far from there the place lies on this piece, if it was moved."""
    here = p.x - frame.x if step.at.endswith(".x") else frame.y - p.y
    away = here - step.value
    words = f"= {step.words(unit)}"
    if abs(away) < EXACT:
        return words
    moved = f"here {printed_length(away, unit)} {'more' if away > 0 else 'less'}"
    return f"{words} = {printed_length(step.value, unit)}; {moved}"


def formula_of(step: Step, unit: Unit) -> str:
    """A step that tells of something else than the place in hand: with its label and its value."""
    return f"{step.label} = {step.words(unit)} = {printed_length(step.value, unit)}"
