"""A demo job of every garment is made, read back, and judged; one that has no job is made in a size of a chart."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from judge import judge
from oaktag.draft.garment import GARMENT_NAMES
from wardrobe import FIXTURES, oaktag

JOBS = FIXTURES / "choir" / "wardrobe"
OF_A_CHART = '\nunits = "in"\n[sizes]\nchart = "women"\nmake = ["14"]\nbase = "14"\n[output]\nformats = ["svg"]\n'
WITHOUT = sorted({*GARMENT_NAMES} - {path.stem for path in JOBS.glob("*.toml")})
"""Garments that have no demo job here; the sheath dress has those of fixtures/choir."""


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


@pytest.mark.parametrize("name", WITHOUT)
def test_a_garment_without_a_demo_job(name: str, tmp_path: Path) -> None:
    (tmp_path / "job.toml").write_text(f'garment = "{name}"{OF_A_CHART}', encoding="utf-8")
    made_and_read_back(tmp_path / "job.toml", tmp_path)
