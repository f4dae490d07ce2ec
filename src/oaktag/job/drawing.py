"""A pattern that was drawn elsewhere, in place of a garment: see intake/plan.py."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from ..body.measurements import spoken
from ..draft.garment import Style
from ..draft.options import Option
from ..model.widths import Allowance
from ..values import dataclass, field
from .edges import allowances_on
from .model import GarmentWords
from .reader import Reader

if TYPE_CHECKING:
    from ..intake.plan import Plan
    from ..model.draft import Draft


@dataclass(frozen=True, slots=True)
class DrawnWords:
    """What a job file must know of a drawing: the names that allowances and corners may be given for."""

    edges: tuple[str, ...]
    pieces: tuple[str, ...]
    name: str = "drawn pattern"
    options: tuple[Option, ...] = ()
    for_whom: str = ""
    instead: Mapping[str, str] = field(default_factory=dict)
    wishes: Mapping[str, str] = field(default_factory=dict)

    def needs(self, style: Style) -> tuple[str, ...]:
        """No measurements."""
        return ()


@dataclass(frozen=True, slots=True)
class Drawn:
    """What was drawn elsewhere, in its sizes; a single one goes by its name, or by ""."""

    sizes: Mapping[str, Draft]
    base: str
    words: GarmentWords
    allowances: Mapping[str, Allowance]


def drawing_of(reader: Reader, key: str) -> Drawn | None:
    """The drawing that the job names, read and parted as its tables say; None, and faults, where that cannot be."""
    from ..intake.plan import read_plan

    if not reader.is_drawn:
        return None
    for other in ("garment", "measurements", "style"):
        if other in reader.values:
            found = f"{other} is given, and the pattern is drawn"
            reader.fault(found, other, expected="a drawing or a garment, not both")
    name, given = reader.values.get(key, ""), reader.known.drawing
    if given is None and (not isinstance(name, str) or not name.strip() or not name.isprintable()):
        reader.fault(f"{spoken(name)} is not a file", key, expected="an SVG or DXF file beside the job")
        return None
    plan, errors = read_plan(reader.values, reader.where, reader.of("units"))
    reader.errors.extend(errors)
    if not plan.pieces and not errors:
        reader.fault(
            "the plan names no pieces", "pieces", expected="[pieces.NAME] for each",
            instead="Write a first plan with oaktag finish DRAWING --propose FILE",
        )  # fmt: skip
    return None if reader.errors else reader.take(lambda: _taken_in(reader, str(name), plan))


def _taken_in(reader: Reader, name: str, plan: Plan) -> Drawn:
    from ..intake.drawn import draft_of, drafts_of
    from ..intake.take_in import outlines_in

    read, outlines = outlines_in(reader.known.drawing or reader.beside / name, plan, rule_table(reader))
    draft, _ = draft_of(read, outlines, plan)
    edges = tuple(dict.fromkeys(edge.name for piece in draft.pieces for edge in piece.edges))
    words = DrawnWords(edges, tuple(piece.name for piece in draft.pieces))
    allowances = allowances_on(reader, words)
    return Drawn(drafts_of(read, outlines, plan, allowances), outlines.base, words, allowances)


def rule_table(reader: Reader) -> Path | None:
    """The table of rules of pattern data (.rul) that [sizes] names."""
    table = reader.values.get("sizes", {})
    name = table.get("rules") if isinstance(table, dict) else None
    return reader.beside / name if isinstance(name, str) and name.lower().endswith(".rul") else None
