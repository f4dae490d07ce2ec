"""What is claimed of a garment for the upper body that reaches the hip: it goes over it."""

from __future__ import annotations

from ...claims.girth import GirthAtLeast
from ...draft.board import Board
from ...model.length import Length


def over_hip(on: Board, low: Length, ease: Length, *, level: str, change: str) -> tuple[GirthAtLeast, ...]:
    """At a level that lies so far below the top line the garment is the hip and that ease round, where the hip was
    taken and the garment reaches it; 3 cm in woven cloth are little (fit checks of the trade, E2)."""
    hip, waist, below = (on.body.get(name) for name in ("hip_girth", "back_waist_length", "waist_to_hip"))
    if hip is None or waist is None or below is None or low < waist + below:
        return ()
    return (GirthAtLeast("girth.hip", change, level, hip, ease),)
