"""Faults of fit, mended: what they keep, what they tell, what they refuse."""

from __future__ import annotations

from pathlib import Path

import pytest

from fitted import BODY, drafted, faults, sewn
from oaktag.errors import DraftError, InputErrors
from oaktag.job import load_job
from oaktag.model.fitted import Ask
from wardrobe import finished

SKIRT = "[measurements]\nwaist_girth = 28\nhip_girth = 40\n"


@pytest.mark.parametrize("name", ["bodice", "straight-skirt"])
def test_a_sway_back_is_taken_out_at_the_waist_seam_and_the_sides_stay(name: str) -> None:
    # common practice, no source: centre back shorter by what was pinched, side seams as they were
    plain, fitted = drafted(name, BODY), drafted(name, BODY, Ask("sway_back", 10.0))
    assert sewn(plain, "back.centre_back") - sewn(fitted, "back.centre_back") == pytest.approx(10.0, abs=0.1)
    assert sewn(fitted, "back.side") == pytest.approx(sewn(plain, "back.side"), abs=0.05)
    assert faults(finished(fitted)) == faults(finished(plain))


def test_what_a_garment_has_no_place_for_is_refused() -> None:
    with pytest.raises(DraftError, match="no waist line"):
        drafted("t-shirt", BODY, Ask("sway_back", 10.0))


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ("sway_back = []", "a list tells nothing of it; expected one amount, as pinned."),
        ('sway_back = ["1/4", "1/4"]', "a list tells nothing of it; expected one amount, as pinned."),
        ("sway_back = 5", "more than can be mended; expected more than 0, up to 1 in, as pinned. Draft it anew"),
        ("sway_back = 0", "less than can be mended; expected more than 0, up to 1 in, as pinned."),
        ('let_out = "1/4"', 'nothing says at which seam it is let out. Write let_out = { seam = "side", amount'),
        ("let_out = []", 'a list tells nothing of it; expected seams and amounts. Write let_out = { seam = "side"'),
        ('let_out = { seam = "sid", amount = 1 }', '"sid" is no seam that can be let out; expected seam = one of side'),
        ("dart_level = -3", "less than can be mended; expected -1 in, up to 1 in, as pinned."),
    ],
)
def test_what_cannot_be_pinned_is_told_by_its_line(typed: str, told: str, tmp_path: Path) -> None:
    job = tmp_path / "job.toml"
    job.write_text(f'title = "T"\ngarment = "straight-skirt"\nunits = "in"\n{SKIRT}[fitting]\n{typed}\n')
    with pytest.raises(InputErrors) as faults_told:
        load_job(job)
    assert f"job.toml:8 fitting.{typed.split(' ')[0]}" in str(faults_told.value)
    assert told in str(faults_told.value)
