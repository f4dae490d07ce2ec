"""Long work shows on a terminal how far it is, and nothing in a pipe. Seen through a pseudo-terminal."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

FIXTURES = Path(__file__).parent.parent / "fixtures"
ALTO = FIXTURES / "choir" / "alto-3.toml"
SET = """title = "Lighthouse choir"
garment = "sheath-dress"
units = "in"
[sizes]
chart = "women"
make = ["10", "12"]
[style]
sleeve = "none"
"""
pytestmark = pytest.mark.skipif(not hasattr(os, "openpty"), reason="no pseudo-terminals")


def on_terminal(code: str, *words: object, cwd: Path, columns: int = 120) -> tuple[str, str]:
    """What a program that is run writes on stdout, a pipe, and on stderr, a terminal."""
    import fcntl
    import struct
    import termios

    ours, theirs = os.openpty()
    fcntl.ioctl(theirs, termios.TIOCSWINSZ, struct.pack("HHHH", 40, columns, 0, 0))
    command = [sys.executable, "-c", code, *map(str, words)]
    with subprocess.Popen(
        command, cwd=cwd, stdout=subprocess.PIPE, stderr=theirs, text=True, env={**os.environ, "COLUMNS": str(columns)}
    ) as run:
        os.close(theirs)
        seen = b""
        while True:
            try:
                part = os.read(ours, 65_536)
            except OSError:  # the other end is closed
                break
            if not part:
                break
            seen += part
        assert run.stdout is not None
        said = run.stdout.read()
    os.close(ours)
    return said, seen.decode("utf-8")


LOUD = """
import oaktag.progress as progress
quiet = progress.Progress.__call__
def loud(self, *words):
    quiet(self, *words)
    self._write(f"{self._line}, 0 s")
progress.Progress.__call__ = loud
progress._AFTER = 3600
import runpy
runpy.run_module("oaktag", run_name="__main__", alter_sys=True)
"""
"""Every stage is shown as it begins, however short: so that the tests depend on no clock."""


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a set, a drawing's plan, and files to look at."""
    place = tmp_path_factory.mktemp("made")
    (place / "set.toml").write_text(SET, encoding="utf-8")
    run = subprocess.run(
        [sys.executable, "-m", "oaktag", "make", "set.toml"], cwd=place, capture_output=True, text=True, check=False
    )
    assert run.returncode == 0, run.stderr
    assert run.stderr == ""  # in a pipe, nothing
    return place


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ("make set.toml -o again", r"drafting size 1\d \(\d of 2\), \d+ s.*checking.*writing the pages \(4 of 4\)"),
        ("check set.toml", r"checking size 1[02] \(\d of 2\)"),
        ("verify set-pattern", r"reading pattern[\w.-]+ with [\w -]+ \(\d+ of \d+\)"),
        ("preview set-pattern/pattern.plt -o seen.png", r"reading pattern.plt \(1 of 2\).*painting .* \(2 of 2\)"),
        ("project set.toml -o page.html", r"checking size 12 \(2 of 2\).*writing the page"),
        (f"steps {ALTO} --card card.pdf", r"drawing the card of [\w ]+ \(\d of 5\)"),
        (f"finish {FIXTURES / 'drawings' / 'skirt.svg'} --plan {FIXTURES / 'drawings' / 'skirt.toml'} -o skirt",
         r"reading the drawing"),
        ("lay set.toml --cloth-width 150cm --table 6m --quantity 10=4,12=6 --plies 10 --seconds 2",
         r"shell, a sample: [\d /]+in, \d\d\.\d %, found after \d of 2 s"),
        ("lay set.toml --cloth-width 150cm --seconds 1", r"shell: [\d /]+in, \d\d\.\d %, found after \d of 1 s"),
    ],
)  # fmt: skip
def test_each_verb_tells_how_far_it_is(made: Path, words: str, told: str) -> None:
    said, seen = on_terminal(LOUD, *words.split(), cwd=made)
    assert re.search(told, seen, re.DOTALL), seen
    assert not re.search(r" of \d+\), \d+ s", said)
    assert "\x1b" not in seen  # plain: no colours, no moves that a simple terminal does not know
    last = seen.rsplit("\r", 1)[-1]
    assert last.strip() in ("", *(line for line in last.splitlines() if line.startswith("wrote"))), last


SLOW = """
import time
from oaktag.progress import Progress
with Progress() as told:
    told("drafting size 12", 3, 12)
    time.sleep({seconds})
print("done")
"""


def test_short_work_shows_nothing_and_long_work_ticks_and_is_wiped(tmp_path: Path) -> None:
    assert on_terminal(SLOW.format(seconds=0), cwd=tmp_path) == ("done\n", "")
    said, seen = on_terminal(SLOW.format(seconds=1.3), cwd=tmp_path)
    assert said == "done\n"
    assert "\rdrafting size 12 (3 of 12), 1 s" in seen
    assert re.search(r"\r {20,}\r$", seen)  # wiped


def test_a_narrow_terminal_never_breaks_the_line(tmp_path: Path) -> None:
    _, seen = on_terminal(SLOW.format(seconds=0.8), cwd=tmp_path, columns=12)
    assert "\n" not in seen
    assert all(len(part) <= 11 for part in seen.split("\r"))


def test_an_error_is_told_on_a_clean_line(tmp_path: Path) -> None:
    code = SLOW.format(seconds="0.8); raise SystemExit('what went wrong'")
    _, seen = on_terminal(code, cwd=tmp_path)
    assert re.search(r"\r +\rwhat went wrong", seen)
