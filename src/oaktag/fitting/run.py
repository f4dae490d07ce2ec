"""Faults mended on the halves that a garment is made from, and on a draft; with before and after told.

A garment hands its front and back to the board before it cuts them up (`Board.fitted`), so that what is made from them
follows: facings, linings, panels, sleeves, collars, bands. A fault whose places no such pieces have is mended on the
draft as it is (`fitting/drafts.py`).
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from ..errors import DraftError, GeometryError
from ..model.draft import Step
from ..model.fitted import Altered, Ask, EdgeFitted
from ..model.piece import Piece
from ..units import Unit, show
from ..values import dataclass
from .around import as_long_as
from .fault import Fault
from .fitter import Fitter, Followers, NotHere, called, role_of
from .table import fault_of, in_order

KEPT: Final = 0.5
"""What must stay as long stays so to this, mm (the limit of a plain seam)."""
CHANGED: Final = 0.05
"""An edge whose length differs by less than this, mm, is as it was."""


@dataclass(frozen=True, slots=True)
class Done:
    """The pieces with the faults mended whose places they have."""

    pieces: tuple[Piece, ...]
    altered: tuple[Altered, ...]
    lacked: dict[str, str]
    """By the fault that could not be mended here, what these pieces lack for it."""


def mended(
    pieces: Sequence[Piece], asks: Sequence[Ask], unit: Unit, followers: Followers | None = None,
    as_long: Sequence[str] = (),
) -> Done:  # fmt: skip
    """The pieces with each fault mended in its turn, and what lies on them with them; edges called as in `as_long` stay
    as long as they are.

    Raises DraftError that names the fault and the limit.
    """
    now = tuple(pieces)
    altered: list[Altered] = []
    lacked: dict[str, str] = {}
    for ask in in_order(tuple(asks)):
        fault, table = fault_of(ask.fault), Fitter(now, unit, followers)
        try:
            fault.way(table, ask)
            _kept(table, now, as_long)
        except NotHere as error:
            lacked[ask.words] = str(error)
            continue
        except GeometryError as error:
            raise DraftError(
                f"[fitting] {ask.fault}: {error}. Make it less than {show(abs(ask.amount), unit)}, either way."
            ) from error
        _refuse_changed(fault, ask, now, table.pieces)
        changed = tuple(new.name for old, new in zip(now, table.pieces, strict=True) if old is not new)
        altered.append(Altered(ask, changed, edges_changed(now, table.pieces)))
        now = table.pieces
    return Done(now, tuple(altered), lacked)


def _kept(table: Fitter, before: Sequence[Piece], edges: Sequence[str]) -> None:
    for index, old in enumerate(before):
        for edge in edges:
            if any(each.name == edge for each in old.edges):
                table.change_at(index, lambda new, old=old, edge=edge: as_long_as(old, new, edge))  # type: ignore[misc]


def _refuse_changed(fault: Fault, ask: Ask, before: Sequence[Piece], after: Sequence[Piece]) -> None:
    """DraftError where an edge that must stay as long does not."""
    for place in fault.keeps:
        role, _, name = place.partition(".")
        for old, new in zip(before, after, strict=True):
            own = called(old, name)
            if role_of(old) == role and own:
                by = new.edge(own).sewn_length() - old.edge(own).sewn_length()
                if abs(by) > KEPT:
                    raise DraftError(
                        f"[fitting] {ask.fault}: the {name} of the {old.name} would be {abs(by):.1f} mm "
                        f"{'longer' if by > 0 else 'shorter'}, and it must stay as it is. Make it less."
                    )


def edges_changed(before: Sequence[Piece], after: Sequence[Piece]) -> tuple[EdgeFitted, ...]:
    """Every edge that has another length now."""
    found = []
    for old, new in zip(before, after, strict=True):
        was = {edge.name: edge.sewn_length() for edge in old.edges}
        now = {edge.name: edge.sewn_length() for edge in new.edges}
        for name in dict.fromkeys((*was, *now)):
            if abs(was.get(name, 0.0) - now.get(name, 0.0)) > CHANGED:
                found.append(EdgeFitted(f"{new.name}.{name}", was.get(name, 0.0), now.get(name, 0.0)))
    return tuple(found)


def steps_of(altered: Sequence[Altered]) -> tuple[Step, ...]:
    """What was done, as worked steps of the piece that it was done to."""
    return tuple(
        Step(piece, f"fitting, {one.ask.words}", fault_of(one.ask.fault).change, one.ask.amount)
        for one in altered
        for piece in one.pieces
    )
