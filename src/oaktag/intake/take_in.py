"""A drawing in its true size, cleaned and parted into outlines, as a plan says."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from .clean import outlines_of
from .darts import wedges_closed
from .drawn import names_of
from .model import Drawing, DrawnPath, Outline, Outlines
from .plan import Plan
from .read import read_drawing


def outlines_in(path: Path, plan: Plan) -> tuple[Drawing, Outlines]:
    """InputError for a file that cannot be read, has no size, or holds no closed outline."""
    reading = plan.reading
    drawing = read_drawing(path, scale=reading.scale, known=reading.known, unit=reading.unit)
    drawing = replace(drawing, paths=tuple(replace(one, number=n) for n, one in enumerate(drawing.paths, start=1)))
    chosen = "outline" in plan.lines.by_meaning

    def is_outline(drawn: DrawnPath) -> bool:
        return plan.lines.meaning(names_of(drawn)) == "outline"

    def ignored(drawn: DrawnPath) -> bool:
        return plan.lines.meaning(names_of(drawn)) == "ignore"

    found = outlines_of(
        drawing,
        gap=reading.gap,
        corner_deg=reading.corner_angle,
        fit=reading.fit,
        is_outline=is_outline if chosen else None,
        ignored=ignored,
    )
    held = tuple(_with_points(one, found.outlines, drawing) for one in found.outlines)
    if reading.close_darts:
        held = tuple(wedges_closed(one)[0] for one in held)
    return drawing, replace(found, outlines=held)


def _with_points(outline: Outline, every: Sequence[Outline], drawing: Drawing) -> Outline:
    """With the points of its own group that lie outside of every outline: notches on the cut line of a stitch line."""
    if not outline.groups or sum(one.groups[:1] == outline.groups[:1] for one in every) != 1:
        return outline
    held = {point for one in every for point in one.points}
    own = [p for p in drawing.points if p.groups[:1] == outline.groups[:1] and p not in held]
    return replace(outline, points=(*outline.points, *own)) if own else outline
