"""Skirt, T-shirt and trousers from a job to files that are read back, one size and a size set; no check fails."""

from __future__ import annotations

from pathlib import Path

import pytest

from by_the_tape import drafted, people
from oaktag.checks.run import check, standing_errors
from oaktag.draft.garment import find_garment
from oaktag.errors import DraftError
from wardrobe import finished, oaktag

BODY = """
waist_girth = 72
hip_girth = 98
waist_to_hip = 20
"""
MORE = {
    "circle-skirt": "",
    "gathered-skirt": "",
    "pleated-skirt": "",
    "wrap-skirt": "",
    "t-shirt": "bust_girth = 92\nback_waist_length = 40\nneck_base_girth = 36\nshoulder_length = 13.5\n"
    "scye_depth = 19\nupper_arm_girth = 29\nhead_girth = 56\n",
    "trousers": "body_rise = 27\nwaist_height = 104\ntotal_crotch_length = 72\nthigh_girth = 57\nknee_girth = 37\n",
}
STYLES: dict[str, tuple[dict[str, object], ...]] = {
    "circle-skirt": ({}, {"circle_part": "full", "cut_in": "one"}, {"circle_part": "quarter", "closes_at": "side"}),
    "t-shirt": ({}, {"fitting": "body", "sleeve": "long"}, {"fitting": "close", "stretch": "60 %"}),
    "trousers": ({}, {"closure": "elastic"}, {"fullness": "pleat", "pocket_kind": "none", "lap": "right"}),
}


@pytest.mark.parametrize("name", MORE)
def test_it_is_made_and_read_back(name: str, tmp_path: Path) -> None:
    job = f'title = "Lighthouse choir"\ngarment = "{name}"\nunits = "cm"\n[measurements]{BODY}{MORE[name]}'
    if name == "t-shirt":
        job = job.replace("waist_girth = 72\n", "")
    (tmp_path / "job.toml").write_text(job + '[output]\npaper = "a4"\n', encoding="utf-8")
    made = oaktag("make", "job.toml", "-o", "out", cwd=tmp_path)
    assert made.returncode == 0, made.stdout + made.stderr
    read = oaktag("verify", "out", cwd=tmp_path)
    assert read.returncode == 0, read.stdout + read.stderr
    assert "all within their limits" in read.stdout


@pytest.mark.parametrize("name", MORE)
def test_sizes_of_a_chart_are_made(name: str, tmp_path: Path) -> None:
    (tmp_path / "job.toml").write_text(
        f'garment = "{name}"\nunits = "in"\n[sizes]\nchart = "women"\nmake = ["10", "14"]\nbase = "14"\n'
        '[output]\nformats = ["dxf"]\n', encoding="utf-8",
    )  # fmt: skip
    made = oaktag("make", "job.toml", "-o", "out", cwd=tmp_path)
    assert made.returncode == 0, made.stdout + made.stderr


@pytest.mark.parametrize(("name", "k"), [(name, k) for name, styles in STYLES.items() for k in range(len(styles))])
def test_no_check_fails_on_the_women_of_the_survey(name: str, k: int) -> None:
    tried = 0
    for woman, body in list(people("women_1988_60.csv").items())[k::6]:
        try:
            draft = drafted(find_garment(name), body, **STYLES[name][k])
        except DraftError:  # why is told in the tests of each
            continue
        tried += 1
        wrong = standing_errors(check(finished(draft, "cm")))
        assert not wrong, (woman, [finding.message for finding in wrong])
    assert tried >= 8


def test_what_the_claims_find_is_told() -> None:
    """Each is tried on a body that it does not fit: an error of the draft would not be its own witness."""
    body = people("women_1988_60.csv")["A0003"]
    wide = drafted(find_garment("trousers"), body)
    ids = {claim.id for claim in wide.claims}
    assert ids == {
        "girth.hip", "girth.waist", "girth.thigh", "girth.knee", "entry.hip", "entry.foot", "run.crotch", "saddle.hip",
        "curve.fork",
    }  # fmt: skip
    short = drafted(find_garment("trousers"), body, crotch_low=0, fork_out=0)
    found = {f.id: f for f in check(finished(short, "cm"))}
    assert not found["run.crotch"].passed
    assert "crotch_low" in found["run.crotch"].message
    narrow = drafted(find_garment("trousers"), body, hem_wide=22)
    found = {f.id: f for f in check(finished(narrow, "cm"))}
    assert not found["girth.knee"].passed
    assert "hem_wide" in found["girth.knee"].message
    step = drafted(find_garment("circle-skirt"), body, circle_part="quarter", zip_long=11)
    found = {f.id: f for f in check(finished(step, "cm"))}
    assert not found["zip.reach"].passed
    assert "zip_long" in found["zip.reach"].message
