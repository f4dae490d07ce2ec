"""People of the surveys with all that skirts, knit tops and trousers are drafted from; numbers of the trade."""

from __future__ import annotations

import csv
import math
from functools import cache

from oaktag.body.measurements import KINDS, Measurements
from oaktag.draft.garment import Garment
from oaktag.draft.options import validated
from oaktag.errors import Where
from oaktag.geometry.path import flatten
from oaktag.geometry.point import turn_deg
from oaktag.model.draft import Draft
from oaktag.model.piece import Edge, Piece
from oaktag.units import Unit
from wardrobe import FIXTURES

_TAKEN = (
    "stature", "bust_girth", "waist_girth", "hip_girth", "waist_to_hip", "neck_base_girth", "shoulder_length",
    "scye_depth", "upper_arm_girth", "wrist_girth", "hand_girth", "arm_length", "head_girth", "back_waist_length",
    "waist_height", "crotch_height", "knee_height", "thigh_girth", "knee_girth", "calf_girth", "ankle_girth",
)  # fmt: skip


@cache
def people(file: str) -> dict[str, Measurements]:
    """The people of a file of fixtures/bodies; what the survey calls otherwise is told by its README."""
    with (FIXTURES / "bodies" / file).open() as lines:
        rows = list(csv.DictReader(lines))
    renamed = {
        "body_rise": "body_rise_sitting",
        "total_crotch_length": "crotch_length",
        "across_back_width": "back_width_armpit",
    }
    return {
        row["id"]: Measurements(
            {name: float(row[name]) for name in _TAKEN} | {name: float(row[own]) for name, own in renamed.items()}
        )
        for row in rows
    }


_OWN_NAMES = {
    "body_rise": "body_rise_sitting", "total_crotch_length": "crotch_length", "across_back_width": "back_width_armpit",
    "underbust_girth": "under_bust_girth", "upper_chest_girth": "upper_bust_girth", "bust_height": "neck_to_bust_point",
}  # fmt: skip


_OF_CHILDREN = {
    "chest_girth": "bust_girth", "natural_waist_girth": "waist_girth", "arm_length_est": "arm_length",
    "upper_thigh_girth": "thigh_girth", "waist_girth": "", "waist_height": "",
}  # fmt: skip
"""What the survey of children calls otherwise; its own waist is at the navel: fixtures/bodies/README.md."""
CHILDREN = "children_1977_300.csv"


@cache
def measured_whole(file: str) -> dict[str, Measurements]:
    """The people of a file of fixtures/bodies with all that the survey knows of what jobs can name: for any garment; of
    the children those from 2 to 12 years whose chest, waist and hip were taken.

    Shoulder width is estimated as in wardrobe.py, and 70 mm are added to the front length, which starts at the front
    neck point there.
    """
    with (FIXTURES / "bodies" / file).open() as lines:
        rows = list(csv.DictReader(lines))
    found = {}
    if file == CHILDREN:
        for row in rows:
            own = {_OF_CHILDREN.get(name, name): value for name, value in row.items()}
            body = {name: float(own[name]) for name in KINDS if own.get(name)}
            if 2 <= float(row["age_years"]) < 13 and {"stature", "bust_girth", "waist_girth", "hip_girth"} <= {*body}:
                found[row["id"]] = Measurements(body, wearer="child")
        return found
    for row in rows:
        body = {name: float(row[_OWN_NAMES.get(name, name)]) for name in KINDS if _OWN_NAMES.get(name, name) in row}
        body["front_waist_length"] += 70.0
        body["shoulder_width"] = 2 * body["shoulder_length"] + body["neck_base_girth"] / math.pi
        found[row["id"]] = Measurements(body)
    return found


@cache
def worked() -> dict[str, dict[str, str]]:
    """fixtures/trade/worked_garments.csv, by id."""
    with (FIXTURES / "trade" / "worked_garments.csv").open(encoding="utf-8") as lines:
        return {row["id"]: row for row in csv.DictReader(lines)}


def number(row: dict[str, str], name: str) -> float:
    """One of its inputs, as it stands there."""
    return float(dict(entry.split("=") for entry in row["inputs"].split(";"))[name].split()[0])


def drafted(garment: Garment, body: Measurements, unit: Unit = "cm", **raw: object) -> Draft:
    """As a job would draft it: bare numbers are of that unit."""
    style, errors = validated(garment.options, raw, unit, lambda key: Where("test", 0, key))
    assert not errors, errors
    return garment.drafted(body, style, unit)


def piece(draft: Draft, name: str) -> Piece:
    return next(piece for piece in draft.pieces if piece.name == name)


def outline(of: Piece) -> list[tuple[float, float]]:
    return [(x, y) for edge in of.edges for x, y in flatten(edge.curves)[:-1]]


def nodes(draft: Draft) -> tuple[object, ...]:
    """All that must be alike in every size: pieces, edges and the kinds of their curves, darts, notches, points."""
    return tuple(
        (
            p.name,
            tuple((e.name, e.kind, tuple(type(c).__name__ for c in e.curves), len(e.takes)) for e in p.edges),
            tuple(d.name for d in p.darts),
            tuple((n.edge, n.name) for n in p.notches),
            tuple(p.points),
            tuple((level.name, len(level.points)) for level in p.levels),
        )
        for p in draft.pieces
    )


def worst_kink(edge: Edge) -> float:
    """The greatest corner between two runs of an edge, degrees."""
    return max(
        (abs(turn_deg(a.way(1.0), b.way(0.0))) for a, b in zip(edge.curves, edge.curves[1:], strict=False)), default=0.0
    )


def agrees(name: str, found: float) -> None:
    """What was found, in the row's unit, is what the row of that id has, within its tolerance."""
    row = worked()[name]
    wanted, within = float(row["value"]), float(row["tolerance"])
    assert abs(found - wanted) <= within, f"{name}, {row['quantity']}: {found:.4f}, and {wanted} ± {within} is told"
