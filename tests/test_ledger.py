"""The ledger of work tells what rose, and by how much; what it counts is counted by `.ci/check`."""

import importlib.util
import tomllib
from pathlib import Path
from types import ModuleType

import pytest

ROOT = Path(__file__).parents[1]


@pytest.fixture(scope="module")
def ledger() -> ModuleType:
    spec = importlib.util.spec_from_file_location("ledger", ROOT / "tests/bench/ledger.py")
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


HELD = {"make": {"calls": 1000, "memory_mb": 10.0}}


@pytest.mark.parametrize(
    ("now", "holds", "told"),
    [
        ({"calls": 1030, "memory_mb": 11.0}, True, "make: calls 1,030, held 1,000 (+3.0 %)"),
        ({"calls": 1031, "memory_mb": 10.0}, False, "make: calls 1,031, held 1,000 (+3.1 %): more than 3 % above"),
        ({"calls": 500, "memory_mb": 11.1}, False, "make: memory_mb 11.1, held 10.0 (+11.0 %): more than 10 % above"),
        ({"calls": 500, "memory_mb": 1.0}, True, "make: calls 500, held 1,000 (-50.0 %)"),
        ({"calls": 500, "turns": 1}, False, "make: turns 1 is not held yet"),
    ],
)
def test_a_number_that_rose_is_named(ledger: ModuleType, now: dict[str, float], holds: bool, told: str) -> None:
    lines, held = ledger.judged(HELD, {"make": now})
    assert (held, told in lines) == (holds, True), lines


def test_what_is_written_is_what_is_read(ledger: ModuleType) -> None:
    work = {"make": {"calls": 5, "memory_mb": 1.5}, "ten sizes": {"calls": 7, "memory_mb": 2.0}}
    assert tomllib.loads(ledger.as_toml(work)) == work


def test_four_runs_are_held_and_checked() -> None:
    held = tomllib.loads((ROOT / "tests/bench/work.toml").read_text())
    assert list(held) == ["make", "ten sizes", "verify", "finish"]
    assert all(costs.keys() == {"calls", "memory_mb"} for costs in held.values())
    assert "tests/bench/ledger.py" in (ROOT / ".ci/check").read_text()
