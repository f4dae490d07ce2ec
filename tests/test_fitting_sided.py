"""A fault of one side of the wearer: left and right pieces, each as its own draft has it."""

from __future__ import annotations

from pathlib import Path

import pytest

from fitted import BODY, drafted, faults, piece, sewn
from oaktag.draft.moves import placed, turned_over
from oaktag.errors import DraftError
from oaktag.fitting import table
from oaktag.fitting.fault import Fault
from oaktag.fitting.fitter import Fitter
from oaktag.fitting.warp import Pin
from oaktag.model.fitted import Ask
from oaktag.model.length import inch
from wardrobe import finished

UPSIDE = turned_over((0.0, 0.0), (0.0, 1.0))


def raise_side(on: Fitter, ask: Ask) -> None:
    for role in ("front", "back"):
        waist, at = on.edge(role, "waist"), on.at(role, "waist", "side")
        on.shift(role, (Pin(waist.name, at, up=ask.amount),))


@pytest.fixture(autouse=True)
def raised(monkeypatch: pytest.MonkeyPatch) -> None:
    fault = Fault("raised", "", "", "", "", raise_side, inch(2))
    monkeypatch.setitem(table.BY_NAME, "raised", fault)  # type: ignore[arg-type]


GARMENTS = [
    ("straight-skirt", {}),
    ("straight-skirt", {"opening": "none", "closes_at": "side"}),
    ("straight-skirt", {"lining": "yes", "waist": "facing"}),
    ("straight-skirt", {"waist": "curved band", "closes_at": "side"}),
]


@pytest.mark.parametrize("name, style", GARMENTS)
def test_one_side_is_raised_and_the_other_is_as_it_was(name: str, style: dict[str, str]) -> None:
    plain = drafted(name, BODY, **style)
    both = drafted(name, BODY, Ask("raised", 12.0), **style)
    left = drafted(name, BODY, Ask("raised", 12.0, "left"), **style)
    back = piece(plain, "back")
    if back.mirrored_pair:  # drawn from the centre to the right: her right side, outside up
        assert piece(left, "back_right").edges == tuple(e for e in back.edges)
        assert placed(piece(left, "back_left"), UPSIDE).edge("side").length() == pytest.approx(
            sewn(both, "back.side"), abs=1e-6
        )
    front = piece(left, "front")
    assert front.to_cut.side == "whole"
    assert front.edge("side").length() == pytest.approx(sewn(both, "front.side"), abs=1e-6)
    assert front.edge("side_right").length() == pytest.approx(sewn(plain, "front.side"), abs=1e-6)
    assert faults(finished(left, "cm")) == faults(finished(plain, "cm"))


def test_what_lies_at_the_centre_is_of_both_sides() -> None:
    with pytest.raises(DraftError, match="centre"):
        drafted("straight-skirt", BODY, Ask("sway_back", 10.0, "left"), opening="none", closes_at="side")


@pytest.mark.parametrize("name", ["bodice", "dress", "shirt", "blouse", "t-shirt"])
def test_one_shoulder_slopes_more_and_what_is_sewn_to_it_follows_on_that_side(name: str) -> None:
    plain, fitted = drafted(name, BODY), drafted(name, BODY, Ask("sloping_shoulder", 6.0, "left"))
    told = {seam.name for seam in fitted.fitted}
    assert any(seam.endswith("left") for seam in told)
    assert faults(finished(fitted, "cm")) == faults(finished(plain, "cm"))


def test_left_and_right_pieces_are_read_back_and_laid(tmp_path: Path) -> None:
    """Names that are alike in the 20 characters that pattern data holds, and claims of pieces that are parted."""
    from wardrobe import oaktag

    lengths = "\n".join(f"{name} = {mm:.1f}" for name, mm in BODY.items())
    (tmp_path / "dress.toml").write_text(
        f'title = "Choir"\ngarment = "dress"\nunits = "mm"\n[measurements]\n{lengths}\n[fitting]\n'
        "sloping_shoulder = { right = 6 }\nhigh_hip = { left = 12 }\n"
    )
    made = oaktag("make", "dress.toml", "--only", "dxf", "--only", "json", "-o", "made", cwd=tmp_path)
    assert made.returncode == 0, made.stdout + made.stderr
    verified = oaktag("verify", "made", cwd=tmp_path)
    assert verified.returncode == 0, verified.stdout[-2000:]
    laid = oaktag("lay", "dress.toml", "--cloth-width", "150cm", "--fold", "--seconds", "0", cwd=tmp_path)
    assert laid.returncode == 0, laid.stdout + laid.stderr
