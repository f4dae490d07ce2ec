"""A drawing in its true size, cleaned and parted into outlines, as a plan says."""

from __future__ import annotations

from pathlib import Path

from .clean import outlines_of
from .drawn import names_of
from .model import Drawing, DrawnPath, Outlines
from .plan import Plan
from .read import read_drawing


def outlines_in(path: Path, plan: Plan) -> tuple[Drawing, Outlines]:
    """InputError for a file that cannot be read, has no size, or holds no closed outline."""
    reading = plan.reading
    drawing = read_drawing(path, scale=reading.scale, known=reading.known, unit=reading.unit)
    chosen = "outline" in plan.lines.by_meaning

    def is_outline(drawn: DrawnPath) -> bool:
        meaning = plan.lines.meaning(names_of(drawn))
        return meaning == "outline" if chosen else False

    def ignored(drawn: DrawnPath) -> bool:
        return plan.lines.meaning(names_of(drawn)) == "ignore"

    return drawing, outlines_of(
        drawing,
        gap=reading.gap,
        corner_deg=reading.corner_angle,
        fit=reading.fit,
        is_outline=is_outline if chosen else None,
        ignored=ignored,
    )
