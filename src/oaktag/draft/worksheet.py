"""The sheet of paper beside the cutting table: every worked line is kept, in drafting order."""

from __future__ import annotations

from ..model.draft import Step


class Worksheet:
    """Local to one draft. `w(label, formula, value, **lengths)` keeps the step and hands the value back.

    The formula is in words, with `{name}` for each length (mm) so that it can be read in inches or centimetres.
    """

    def __init__(self, piece: str) -> None:
        self.piece = piece
        self.steps: list[Step] = []

    def __call__(self, label: str, formula: str, value: float, at: str = "", **lengths: float) -> float:
        named = {name: mm for name, mm in lengths.items() if f"{{{name}}}" in formula}
        self.steps.append(Step(self.piece, label, formula, value, named, at))
        return value
