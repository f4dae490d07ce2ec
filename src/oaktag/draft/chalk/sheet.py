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
    """The steps by which a piece was drawn, in their order."""

    at: Mapping[str, Step]
    """By the coordinate that they give: `underarm.x`."""
    places: Mapping[str, int]
    """Named points -> the number of the step with which they are found."""
    by_name: Mapping[str, Sequence[Step]]
    """By the names that they tell of, a level by its label."""

    @classmethod
    def of(cls, piece: Piece, steps: Sequence[Step]) -> Sheet:
        names = sheets_of(piece)
        own = [step for step in steps if step.piece in names]
        by_name: dict[str, list[Step]] = {}
        for step in own:
            for name in (*step.about, *((step.label,) if step.level else ())):
                by_name.setdefault(name, []).append(step)
        places = {step.at.rpartition(".")[0]: i for i, step in enumerate(own) if step.at}
        return cls({step.at: step for step in own if step.at}, places, by_name)

    def along(self, axis: str) -> Iterator[tuple[str, Step]]:
        """The named points with a step for that coordinate, in the order of the draft."""
        for at, step in self.at.items():
            name, _, given = at.rpartition(".")
            if given == axis:
                yield name, step

    def about(self, names: Collection[str], told: Collection[str]) -> list[Step]:
        """Steps that tell of one of these names, and whose labels were not told yet."""
        found = (step for name in names for step in self.by_name.get(name, ()) if step.label not in told)
        return list({step.label: step for step in found}.values())


def formula_at(step: Step, p: Point, frame: Frame, unit: Unit) -> str:
    """How the draft works out a coordinate; and how far from there the place lies on this piece, if it was moved."""
    here = p.x - frame.x if step.at.endswith(".x") else frame.y - p.y
    away = here - step.value
    words = f"= {step.words(unit)}"
    if min(abs(away), abs(here + step.value)) < EXACT:  # the draft may count upwards or to the left
        return words
    moved = f"here {printed_length(away, unit)} {'more' if away > 0 else 'less'}"
    return f"{words} = {printed_length(step.value, unit)}; {moved}"


def formula_of(step: Step, unit: Unit) -> str:
    """A step that tells of something else than the place in hand: with its label and its value."""
    return f"{step.label} = {step.words(unit)} = {printed_length(step.value, unit)}"
