"""The sheet of paper beside the cutting table: every worked line is kept, in drafting order."""

from __future__ import annotations

from ..model.draft import Step
from ..values import replace


class Worksheet:
    """Local to one draft. `w(label, formula, value, **lengths)` keeps the step and hands the value back.

    The formula is in words, with `{name}` for each length (mm) so that it can be read in inches or centimetres.
    `w.level(...)` keeps the depth of a level line, `w.about("cap")(...)` a step that tells of that edge: see `Step`.
    """

    def __init__(self, piece: str, steps: list[Step] | None = None, about: tuple[str, ...] = ()) -> None:
        self.piece = piece
        self.steps: list[Step] = [] if steps is None else steps
        self.named = about

    def __call__(self, label: str, formula: str, value: float, at: str = "", **lengths: float) -> float:
        named = {name: mm for name, mm in lengths.items() if f"{{{name}}}" in formula}
        self.steps.append(Step(self.piece, label, formula, value, named, at, about=self.named))
        return value

    def level(self, label: str, formula: str, value: float, at: str, **lengths: float) -> float:
        """The depth of a line that is drawn square across, through the named point."""
        self(label, formula, value, at, **lengths)
        self.steps[-1] = replace(self.steps[-1], level=True)
        return value

    def about(self, *names: str) -> Worksheet:
        """The same sheet, for a step that tells of these."""
        return Worksheet(self.piece, self.steps, names)
