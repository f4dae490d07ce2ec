"""Whether she can walk in a skirt: her legs below the hem, and the claim of a narrow one."""

from __future__ import annotations

from typing import Final

from ...claims.stride import Stride
from ...draft.board import Board
from ...model.finding import Severity
from ...model.length import Length, mm
from ...model.walking import Walk

LEGS: Final = (("ankle", "ankle"), ("knee", "knee"), ("crotch", "thigh"))
FOOT: Final = 1.55
"""Heel and instep round to the ankle (common practice, no source)."""


def walk_of(on: Board, long: Length, opening: str = "none", opens: Length = mm(0), rise: float = 0.0) -> Walk:
    """Her legs below a hem so `long` below the waist, opened by a vent or a slit that `opens` so far up, below the hip;
    a flared hem meets the side seam `rise` mm higher. What of her was not measured is estimated, and told."""
    taken, assumed = on.body.with_estimates("stature", "waist_height", "ankle_height", "ankle_girth", "knee_height",
                                            "knee_girth", "crotch_height", "thigh_girth")  # fmt: skip
    if assumed:
        on.note(f"For the stride was assumed: {'; '.join(assumed)}.")
    legs = tuple(sorted((taken[f"{name}_height"], taken[f"{girth}_girth"]) for name, girth in LEGS))
    hip_line = on.body.waist_to_hip.mm if opening != "none" else 0.0
    return Walk(taken["stature"], taken["waist_height"], long.mm, legs, opening, opens.mm, hip_line, rise)


def can_walk(
    walk: Walk, widen: str, open_by: str = "a wider hem", clear_by: str = "", zip_end: float | None = None
) -> Stride:
    """A narrow skirt's claim, a warning however short the step is: `widen` is what makes its hem wider, `open_by` what
    opens it, with `{kind}` and `{length}`; `zip_end`: how low a zip above it ends, kept clear by `clear_by`."""
    return Stride("walk", f"Widen the hem by {{more}}: {widen}; or open it: {{shortest}}.", walk, open_by,
                  f"no vent or slit that stays below the hip is enough; {widen}", clear_by, zip_end,
                  Severity.WARNING)  # fmt: skip
