"""A pattern too wide for the paper: what can take it is written, and what cannot is told."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from wardrobe import oaktag


@pytest.fixture
def curtain(tmp_path: Path) -> Path:
    """A stage curtain of 1.27 by 3 m, drawn at true size: wider than a roll of 914 mm."""
    drawing = tmp_path / "curtain.svg"
    drawing.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="1400mm" height="3100mm" viewBox="0 0 1400 3100">'
        '<path id="curtain" d="M20 20 H1290 V3020 H20 Z"/></svg>'
    )
    return drawing


def test_formats_that_can_take_it_are_written_and_the_others_told(curtain: Path) -> None:
    cwd = curtain.parent
    run = oaktag("finish", curtain.name, cwd=cwd)
    assert run.returncode == 0, run.stderr
    (told,) = [line for line in run.stdout.splitlines() if line.startswith("warning not written")]
    assert told.startswith("warning not written: pattern-roll.pdf: curtain is ")
    assert 'Write device = "roll-1524" below [output]' in told  # 60 in: the narrowest roll that is wider than 1.27 m
    assert "are written: pattern.dxf, pattern.plt, pattern-a4.pdf, pattern.svg." in told
    folder = cwd / "curtain-finished"
    made = {path.name for path in folder.iterdir()}
    assert {"pattern.dxf", "pattern.plt", "pattern-a4.pdf", "pattern.svg", "report.html", "pattern.json"} <= made
    assert "pattern-roll.pdf" not in made
    assert oaktag("verify", folder, cwd=cwd).returncode == 0
    told_json = json.loads(oaktag("finish", curtain.name, "--json", cwd=cwd).stdout)
    assert len(told_json["not_written"]) == 1
    assert not any(path.endswith("roll.pdf") for path in told_json["written"])


def test_the_device_that_is_named_takes_it(curtain: Path) -> None:
    cwd = curtain.parent
    assert oaktag("finish", curtain.name, "--propose", "plan.toml", cwd=cwd).returncode == 0
    plan = cwd / "plan.toml"
    plan.write_text(plan.read_text(encoding="utf-8") + '\n[output]\ndevice = "roll-1524"\n', encoding="utf-8")
    run = oaktag("make", "plan.toml", "--only", "pdf", cwd=cwd)
    assert run.returncode == 0, run.stderr
    assert "not written" not in run.stdout
    assert (cwd / "plan-pattern" / "pattern-roll.pdf").exists()


def test_what_is_asked_for_by_name_and_cannot_be_is_refused(curtain: Path) -> None:
    cwd = curtain.parent
    plan = cwd / "plan.toml"
    assert oaktag("finish", curtain.name, "--propose", plan.name, cwd=cwd).returncode == 0
    run = oaktag("make", plan.name, "--only", "pdf", cwd=cwd)  # pages are a PDF, too
    assert run.returncode == 0 and "warning not written: pattern-roll.pdf" in run.stdout
    drawing = curtain.read_text().replace("V3020", "V12020").replace("H1290", "H9290")  # too wide for any pages
    curtain.write_text(drawing)
    run = oaktag("make", plan.name, "--only", "pdf", "-o", "none", cwd=cwd)
    assert run.returncode == 2
    assert not (cwd / "none").exists()
