"""Garments as fitted, for the tests of faults: drafted, finished, checked, and judged by a judge of its own."""

from __future__ import annotations

import json

import judge
from oaktag.body.measurements import Measurements
from oaktag.checks.run import check
from oaktag.draft.garment import find_garment
from oaktag.draft.options import defaults
from oaktag.export.pattern_json import render
from oaktag.fitting import drafts
from oaktag.geometry.path import flatten
from oaktag.model.draft import Draft
from oaktag.model.finding import Severity
from oaktag.model.fitted import Ask
from oaktag.model.nest import Nest
from oaktag.model.pattern import Pattern
from oaktag.model.piece import Piece
from wardrobe import ALTO, IN

BODY = Measurements(
    {**ALTO, "front_waist_length": 17.5 * IN, "bust_height": 10.5 * IN, "top_hip_girth": 38 * IN,
     "neck_base_girth": 14.5 * IN, "shoulder_length": 5.25 * IN, "scye_depth": 8 * IN,
     "across_back_width": 13.5 * IN}
)  # fmt: skip
"""An invented body of whom all is known that any garment of a woman asks for."""


def drafted(name: str, body: Measurements, *asks: Ask, **style: object) -> Draft:
    """The garment in its usual style but for `style`, options as mm or words."""
    garment = find_garment(name)
    return drafts.drafted(garment, body, {**defaults(garment.options, "cm"), **style}, "cm", asks)


def piece(draft: Draft, name: str) -> Piece:
    return next(each for each in draft.pieces if each.name == name)


def sewn(draft: Draft, *edges: str) -> float:
    """The edges, as `front.side`, together as they are sewn, mm."""
    pairs = (edge.split(".") for edge in edges)
    return sum(piece(draft, one).edge(edge).sewn_length() for one, edge in pairs)


def faults(pattern: Pattern) -> list[str]:
    """What the judge finds on it, who shares nothing with the program; and the checks of severity error that fail."""
    findings = check(pattern)
    errors = [f"{each.id}: {each.message}" for each in findings if not each.passed and each.severity is Severity.ERROR]
    return [*errors, *map(str, judge.judge(json.loads(render(Nest.single(pattern), findings))))]


def apart(a: Draft, b: Draft) -> float:
    """How far the outlines of two drafts lie apart at most, mm (Hausdorff distance of polylines; shapely)."""
    import shapely

    def ring(each: Piece) -> shapely.LinearRing:
        return shapely.LinearRing([p for edge in each.edges for p in flatten(edge.curves)[:-1]])

    return max(float(shapely.hausdorff_distance(ring(one), ring(piece(b, one.name)), 0.05)) for one in a.pieces)
