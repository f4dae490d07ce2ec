"""Every garment drafts sixty people of a survey alike, node for node, so that any of them can be a size of a set."""

from __future__ import annotations

import pytest

from by_the_tape import CHILDREN, measured_whole, people
from oaktag.body.measurements import Measurements
from oaktag.draft.garment import GARMENT_NAMES, find_garment
from oaktag.draft.options import defaults
from oaktag.errors import DraftError
from oaktag.grade.nest import graded
from oaktag.model.draft import Draft
from oaktag.sheet.drawing import label_box
from wardrobe import women


@pytest.mark.parametrize("name", GARMENT_NAMES)
def test_sixty_women_are_drafted_alike(name: str) -> None:
    """As sizes of a set: what hangs on a number is settled on the one in the middle."""
    garment, told = find_garment(name), dict(women())
    bodies = {who: Measurements({**told[who], **taken}) for who, taken in people("women_1988_300.csv").items()}
    sixty = dict(list(bodies.items())[::5])
    if garment.for_whom == "children":
        sixty = dict(list(measured_whole(CHILDREN).items())[::3][:60])
    base = sorted(sixty, key=lambda who: sixty[who]["bust_girth"])[30]
    usual = defaults(garment.options, "cm")
    worked = garment.drafted(sixty[base], usual, "cm").worked
    settled = {**usual, **{option: value for option, value in worked.items() if isinstance(value, str)}}
    drafts: dict[str, Draft] = {}
    for who, body in sixty.items():
        try:
            drafts[who] = garment.drafted(body, settled, "cm")
        except DraftError as refused:
            assert "hange" in str(refused), "what is to be changed is told"
    assert len(drafts) >= 57, f"{60 - len(drafts)} of 60 are refused"
    nest = graded(drafts, base, {}, {}, title=name, unit="cm", label_box=label_box)
    for number, piece in enumerate(nest.patterns[0].pieces):
        sizes = [pattern.pieces[number].cut for pattern in nest.patterns]
        assert len({frozenset(of.piece.points) for of in sizes}) == 1, piece.name
        assert len({tuple((edge, len(line)) for edge, line in of.lines.items()) for of in sizes}) == 1, piece.name
        assert len({len(of.cut_line) for of in sizes}) == 1, piece.name
