"""The story of docs/fitting.md happens as it is told: its files are written, its commands run, in their order, and what
it shows of their answers is what they say. Its pictures are those of the code."""

from __future__ import annotations

import importlib.util
import re
import shlex
import shutil
from pathlib import Path
from types import ModuleType

import pytest

from oaktag.job import load_job
from wardrobe import ROOT, oaktag

PAGE = ROOT / "docs" / "fitting.md"
PICTURES = ROOT / "docs" / "pictures"
BLOCK = re.compile(r"^```(\w+)\n(.*?)^```", re.MULTILINE | re.DOTALL)
MAKE = "python docs/pictures/fittings.py"


def _fittings() -> ModuleType:
    spec = importlib.util.spec_from_file_location("pictures_of_fittings", PICTURES / "fittings.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


FITTINGS = _fittings()


def flat(text: str) -> str:
    return " ".join(text.split())


def command_of(line: str) -> tuple[list[str], str]:
    """The words behind `oaktag`, and the file that its answer is added to."""
    words = shlex.split(line, comments=True)
    assert words[0] == "oaktag", line
    if ">>" in words:
        return words[1 : words.index(">>")], words[-1]
    return words[1:], ""


def test_the_story_happens_as_it_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("OAKTAG_BOOK", str(tmp_path / "choir.book"))
    shutil.copytree(ROOT / "fixtures/choir", tmp_path / "fixtures/choir")
    told, commands, shown = "", 0, 0
    story = PAGE.read_text(encoding="utf-8").partition("\n## Three singers")[2]
    for language, block in BLOCK.findall(story):
        if language == "toml":
            name = re.match(r"# (\S+\.toml)", block)
            assert name is not None, block
            (tmp_path / name[1]).write_text(block, encoding="utf-8")
        elif language == "bash":
            told = ""
            for line in filter(None, block.splitlines()):
                words, target = command_of(line)
                if words[:1] == ["--ask"]:
                    continue
                run = oaktag(*words, cwd=tmp_path)
                assert run.returncode == 0, (line, run.stdout[-1500:], run.stderr)
                commands += 1
                told += run.stdout
                if target:
                    with (tmp_path / target).open("a", encoding="utf-8") as out:
                        out.write(run.stdout)
        else:
            assert language == "text"
            for line in block.splitlines():
                if line.strip() not in ("", "…"):
                    assert flat(line) in flat(told), line
                    shown += 1
    assert commands >= 10
    assert shown >= 10
    asks = [ask for path in sorted(tmp_path.glob("*.toml")) for ask in load_job(path).fitting.asks]
    assert len({ask.fault for ask in asks}) == 5
    assert len({load_job(path).client for path in tmp_path.glob("*.toml")}) == 3


def test_the_commands_for_one_who_does_not_know_the_name_work(tmp_path: Path) -> None:
    first = PAGE.read_text(encoding="utf-8").partition("\n## Three singers")[0]
    for line in first.splitlines():
        if line.startswith("oaktag fitting ") and "--ask" not in line and ".html" not in line:
            words, _ = command_of(line)
            assert oaktag(*words, cwd=tmp_path).returncode == 0, line


@pytest.mark.parametrize("name", FITTINGS.told())
def test_the_pictures_are_those_of_the_code(name: str) -> None:
    assert (PICTURES / f"fitting-{name}.svg").read_text(encoding="utf-8") == FITTINGS.render(name), MAKE


def test_no_picture_is_left_over() -> None:
    assert {path.stem.removeprefix("fitting-") for path in PICTURES.glob("fitting-*.svg")} == set(FITTINGS.told())
    assert all(path.stat().st_size < 60_000 for path in PICTURES.glob("fitting-*.svg"))
