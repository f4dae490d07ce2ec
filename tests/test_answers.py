"""What commands say when they have done their work: as words to read, and as JSON for a program."""

from __future__ import annotations

import csv
import json
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner

from oaktag.cli import verbs
from oaktag.device.store import find_device
from oaktag.errors import InputError
from wardrobe import FIXTURES

SINGERS = FIXTURES / "choir" / "singers.csv"


def said(*words: object) -> str:
    """What a command prints; what it raises is raised."""
    done = CliRunner().invoke(verbs, [str(word) for word in words])
    if done.exception is not None and not isinstance(done.exception, SystemExit):
        raise done.exception
    assert done.exit_code == 0, done.output
    return done.output


@pytest.fixture
def skirt(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("OAKTAG_DEVICES", str(tmp_path / "devices"))
    monkeypatch.chdir(tmp_path)
    for name in ("skirt.svg", "skirt.toml"):
        shutil.copy(FIXTURES / "drawings" / name, tmp_path)
    return tmp_path


def test_a_first_plan_is_told_with_its_picture(skirt: Path) -> None:
    told = json.loads(said("finish", "skirt.svg", "--propose", "first.toml", "--json"))
    assert "first.toml" in [Path(name).name for name in told["written"]]
    assert len(told["written"]) > 1 and all(Path(name).is_file() for name in told["written"])
    again = said("finish", "skirt.svg", "--propose", "second.toml")
    assert "second.toml" in again and not again.startswith("{")


def test_one_and_the_same_outline_may_be_said_twice_but_not_two(skirt: Path) -> None:
    twice = ("finish", "skirt.svg", "--propose", "first.toml", "--trace-allowance", "--outline")
    assert "first.toml" in said(*twice, "cut line")
    with pytest.raises(InputError, match="say two things"):
        said(*twice, "stitch line")
    assert "other.toml" in said("finish", "skirt.svg", "--propose", "other.toml", "--outline", "stitch line")


def test_a_device_is_told_with_its_own_words(skirt: Path) -> None:
    for name in ("roll-914", "knife-600"):
        assert said("devices", name).startswith(f"{name}: {find_device(name).words}\n")


def measured(cell: str) -> bool:
    return cell.strip() not in ("", "-", "?")


def test_the_lines_behind_a_proposed_chart_are_told(skirt: Path) -> None:
    """With how many of the choir were measured for each, and for bust and stature, on which the lines stand."""
    with SINGERS.open(encoding="utf-8") as file:
        rows = csv.DictReader(line for line in file if not line.startswith("#"))
        people = [row for row in rows if measured(row["bust_girth (cm)"]) and measured(row["stature (cm)"])]
    behind = said("sizes", "--from", SINGERS).partition("The lines behind it")[2].partition("note")[0]
    told = {row.split()[0]: int(row.split()[1]) for row in behind.splitlines()[1:] if row}
    assert {"waist_girth", "hip_girth", "shoulder_width"} <= set(told)
    for name, count in told.items():
        assert count == sum(measured(person[f"{name} (cm)"]) for person in people), name


def test_options_for_people_are_refused_where_there_are_none(skirt: Path) -> None:
    for option, words in (("--step", "is for a proposed chart"), ("--within", "is for people")):
        with pytest.raises(InputError, match=words):
            said("sizes", "women", option, "4cm")
    assert "waist_girth" in said("sizes", "--from", SINGERS, "--step", "6cm")
