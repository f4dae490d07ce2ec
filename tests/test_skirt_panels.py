"""The skirts without their bands, as a dress has them: named with a prefix, nothing opens, and the top is its waist."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from by_the_tape import drafted
from oaktag.body.charts import shipped
from oaktag.checks.run import check, standing_errors
from oaktag.draft.board import Board
from oaktag.draft.signature import garment
from oaktag.garments.circle_skirt import circle_panels
from oaktag.garments.gathered_skirt import gathered_panels
from oaktag.garments.parts.part import Part, together
from oaktag.garments.pleated_skirt import pleated_panels
from oaktag.garments.wrap_skirt import wrap_panels
from oaktag.model.draft import Draft
from oaktag.model.length import Length, cm, inch
from oaktag.model.ref import refs
from oaktag.model.sewing import sewn_length
from wardrobe import finished

WAIST = 760.0
Panels = Callable[[Board, Length], Part]
PANELS: dict[str, tuple[Panels, float]] = {
    "circle": (lambda on, w: circle_panels(on, w, long=cm(60), opening="none", prefix="low_"), 0.0),
    "gores": (
        lambda on, w: circle_panels(on, w, long=cm(60), opening="none", prefix="low_", cut_in="8 gores"),
        0.0,
    ),
    "gathered": (lambda on, w: gathered_panels(on, w, long=cm(60), opening="none", prefix="low_"), WAIST),
    "tiers": (
        lambda on, w: gathered_panels(on, w, long=cm(60), opening="none", prefix="low_", tiers=3, cloth_wide=cm(90)),
        WAIST,
    ),
    "pleated": (
        lambda on, w: pleated_panels(
            on, w, long=cm(60), opening="none", prefix="low_", seen=inch(2), ease_hip=inch(2), cloth_wide=cm(150)
        ),
        0.0,
    ),
    "wrap": (
        lambda on, w: wrap_panels(
            on, w, long=cm(60), opening="none", prefix="low_", ease_hip=inch(2), flare=inch(3), overlap=cm(16)
        ),
        160.0,
    ),
}


@pytest.mark.parametrize("name", PANELS)
def test_a_dress_gets_its_panels(name: str) -> None:
    panels, more = PANELS[name]
    parts: list[Part] = []

    @garment("panels alone", noun="skirt")
    def alone(on: Board) -> Draft:
        parts.append(panels(on, Length(WAIST)))
        return together(on, parts[-1:])

    draft = drafted(alone, shipped("women").body("14"))
    by_name = {piece.name: piece for piece in draft.pieces}
    assert all(piece.startswith("low_") for piece in by_name)
    assert not any(notch.name == "zip end" for piece in draft.pieces for notch in piece.notches)
    top = sum(by_name[ref.piece].to_cut.around * sewn_length(by_name[ref.piece], ref) for ref in refs(*parts[-1].top))
    assert top == pytest.approx(WAIST + more, abs=0.5)
    assert parts[-1].gathers == pytest.approx(more if name in ("gathered", "tiers") else 0.0, abs=0.5)
    assert not standing_errors(check(finished(draft)))
