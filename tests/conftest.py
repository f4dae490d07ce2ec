"""Options and notes that every test may use; `--regold` rewrites the golden drawings and says what moved."""

from __future__ import annotations

import gc
import os
import sys
from collections.abc import Generator

import pytest
from hypothesis import HealthCheck, settings

# What is compiled is kept, by this process and by those that tests start, whatever the machine's habit: without it each
# start of the program would compile the program anew, and each worker every test.
sys.dont_write_bytecode = False
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)

# Patterns that tests share live to the end, thousands of points each, and hold no rings of references: they are gone
# through in vain less often. What is left in rings is still collected, and told if it was left open.
gc.set_threshold(50_000, 20, 20)

if not os.environ.get("CI"):  # there, hypothesis has such a profile of its own
    settings.register_profile("steady", deadline=None, suppress_health_check=[HealthCheck.too_slow])
    settings.load_profile("steady")  # how fast a machine is, busy or not, is for the benches

REGOLDED: pytest.StashKey[list[str]] = pytest.StashKey()


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--regold", action="store_true", help="rewrite tests/golden/*.strokes and say what moved, how far")


def pytest_configure(config: pytest.Config) -> None:
    config.stash[REGOLDED] = []


@pytest.hookimpl(hookwrapper=True)
def pytest_runtest_makereport(item: pytest.Item) -> Generator[None, pytest.TestReport, None]:
    """In CI a skipped test is a failed one: there, every independent reader is installed."""
    outcome = yield
    report = outcome.get_result()
    if report.skipped and os.environ.get("CI") and not hasattr(report, "wasxfail"):
        report.outcome = "failed"
        report.longrepr = f"{item.nodeid} was skipped, and in CI nothing may be: {report.longrepr}"


@pytest.fixture
def regolded(request: pytest.FixtureRequest) -> list[str] | None:
    """Where to note what a rewritten golden drawing changed; None without `--regold`."""
    return request.config.stash[REGOLDED] if request.config.getoption("--regold") else None


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter, config: pytest.Config) -> None:
    if config.getoption("--regold"):
        terminalreporter.section("golden drawings, rewritten")
        for line in config.stash[REGOLDED] or ["nothing moved"]:
            terminalreporter.line(line)
