"""Allowances and corner finishes, by the edges of a garment or a drawing."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from ..body.measurements import carries_unit, in_another_unit, range_words, spoken, typed_length
from ..draft.options import unknown
from ..errors import InputError, Where
from ..model.corner_names import FINISHES
from ..model.ref import parted
from ..model.widths import Allowance, Station
from ..units import Unit
from .model import GarmentWords
from .reader import Reader

WIDEST_ALLOWANCE: Final = 100.0  # mm; 25 mm side seams to let out and 50 mm hems are usual (common practice, no source)


def allowances_on(reader: Reader, garment: GarmentWords) -> Mapping[str, Allowance]:
    """Allowances in mm by "edge" or "piece.edge"; `front.side = 10` and `"front.side" = 10` mean the same.

    A list of { at = …, width = … } changes along the edge: `at` is a length from its start, or the name of a notch.
    """
    unit: Unit = reader.of("units")
    flat: list[tuple[str, object, Where]] = []
    for name, value in reader.table("allowances").items():
        if isinstance(value, dict):
            flat += [(f"{name}.{edge}", inner, reader.where("allowances", name, edge)) for edge, inner in value.items()]
        else:
            flat.append((name, value, reader.where("allowances", name)))
    wishes = garment.wishes
    if not flat:
        return {}  # the names are worked out when they are asked for
    known = (*garment.edges, *(f"{piece}.{edge}" for piece in garment.pieces for edge in garment.edges))
    allowances: dict[str, Allowance] = {}
    for name, value, where in flat:
        try:
            if name not in known:
                expected = f"one of {', '.join(garment.edges)}, or a piece and an edge such as {known[-1]}"
                raise unknown(
                    f"{spoken(name)} is not an edge of this garment",
                    name,
                    known,
                    where,
                    expected=expected,
                    wishes=wishes,
                )
            allowances[name] = (
                _stations(value, unit, where) if isinstance(value, list) else _allowance(value, unit, where)
            )
        except InputError as error:
            reader.errors.append(error)
    return allowances


def _stations(value: list[object], unit: Unit, where: Where) -> tuple[Station, ...]:
    """`[{ at = "zip end", width = "2 in" }, { at = "zip end", width = "1/2 in" }]`, in the order of the edge."""
    example = 'Write [{ at = "start", width = "2 in" }, { at = "zip end", width = "1/2 in" }]'
    if not 1 <= len(value) <= 50:
        raise InputError(
            f"a list of {len(value)} places is no allowance", where=where, expected="1 to 50 places", instead=example
        )
    stations: list[Station] = []
    for entry in value:
        if not isinstance(entry, dict) or set(entry) != {"at", "width"}:
            raise InputError(
                f"{spoken(entry)} is not a place with its width",
                where=where,
                expected="{ at = …, width = … }",
                instead=example,
            )
        at = entry["at"]
        place: float | str
        try:
            place = typed_length(at, unit, where)
        except InputError:
            if not isinstance(at, str) or not at.strip() or len(at) > 60:
                raise
            place = at.strip()
        stations.append(Station(place, _allowance(entry["width"], unit, where)))
    return tuple(stations)


def corners_on(reader: Reader, garment: GarmentWords) -> Mapping[str, str]:
    """Finishes by "edge/edge" or "piece.edge/edge"."""
    corners: dict[str, str] = {}
    for key, value in reader.table("corners").items():
        where = reader.where("corners", key)
        piece, names = parted(key)
        edges = names.split("/")
        if len(edges) != 2 or (piece and piece not in garment.pieces):
            expected = 'two edges that meet, such as "side/hem" or "front.side/hem"'
            reader.errors.append(InputError(f"{spoken(key)} is not a corner", where=where, expected=expected))
            continue
        for edge in edges:
            if edge not in garment.edges:
                found = f"{spoken(edge)} is not an edge of this garment"
                reader.errors.append(unknown(found, edge, tuple(garment.edges), where))
        if reader.one_of(value, FINISHES, "corner finish", "corners", key):
            corners[key] = str(value)
    return corners


def _allowance(value: object, unit: Unit, where: Where) -> float:
    mm = typed_length(value, unit, where)
    if 0 <= mm <= WIDEST_ALLOWANCE:
        return mm
    elsewise = "" if carries_unit(value) else in_another_unit(value, unit, 0, WIDEST_ALLOWANCE)
    raise InputError(
        f"{spoken(value)} cannot be the width of an allowance",
        where=where,
        expected=range_words(0, WIDEST_ALLOWANCE, unit),
        instead=f"Write {elsewise}" if elsewise else "",
    )
