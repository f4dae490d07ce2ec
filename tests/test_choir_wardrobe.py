"""A demo job of every garment is made, read back, and judged."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from judge import judge
from oaktag.draft.garment import GARMENT_NAMES
from wardrobe import FIXTURES, oaktag

JOBS = FIXTURES / "choir" / "wardrobe"


def made_and_read_back(job: Path, folder: Path) -> None:
    made = oaktag("make", job, "-o", "out", cwd=folder)
    assert made.returncode == 0, made.stdout + made.stderr
    read = oaktag("verify", "out", cwd=folder)
    assert read.returncode == 0, read.stdout + read.stderr
    assert "all within their limits" in read.stdout
    pattern = json.loads((folder / "out" / "pattern.json").read_text(encoding="utf-8"))
    assert not [str(fault) for fault in judge(pattern)]


@pytest.mark.parametrize("job", sorted(JOBS.glob("*.toml")), ids=lambda path: path.stem)
def test_a_demo_job(job: Path, tmp_path: Path) -> None:
    text = job.read_text(encoding="utf-8")
    assert f'garment = "{job.stem}"' in text
    assert 'title   = "Lighthouse choir, ' in text
    assert "An invented body." in text
    made_and_read_back(job, tmp_path)


def test_every_garment_has_its_demo_job() -> None:
    assert {path.stem for path in JOBS.glob("*.toml")} == {*GARMENT_NAMES}
