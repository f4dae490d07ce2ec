"""What once ended in a traceback, or did not end: every such input again, in tests/corpus/cases.toml."""

from __future__ import annotations

import re
import shutil
import tomllib
from pathlib import Path
from typing import Any

import pytest

from at_the_door import oaktag_here
from fuzzing import ended_by, stock

CASES: list[dict[str, Any]] = tomllib.loads((Path(__file__).parent / "corpus" / "cases.toml").read_text())["case"]


def spelt(text: str) -> str:
    """What TOML cannot spell: an endless number, and a byte that is no UTF-8."""
    return text.replace("@n", "9" * 5000).replace("\\xff", "\udcff")


@pytest.mark.parametrize("case", CASES, ids=lambda case: f"{case['words'][0]}: {case['did'][:60]}")
def test_it_ends_in_a_sentence(case: dict[str, Any], tmp_path: Path) -> None:
    room = Path(shutil.copytree(stock(), tmp_path / "room"))
    if "b\\xff.svg" in case["words"]:
        shutil.copy(room / "skirt.svg", room / "b\udcff.svg")
    for name, text in case.get("files", {}).items():
        (room / name).write_text(spelt(text), encoding="latin-1" if name.endswith(".dxf") else "utf-8")
    for name, (old, new) in case.get("edits", {}).items():
        text, count = re.subn(old, new, (room / name).read_text(encoding="utf-8"), count=1)
        assert count == 1, f"{name} has no {old}"
        (room / name).write_text(text, encoding="utf-8")
    run = oaktag_here(*map(spelt, case["words"]), cwd=room)
    assert run.foreseen and run.code in case.get("ends", [2]), run
    assert case["says"] in run.out + run.err and len(run.err) < 1000, run
    assert not (room / "wire").exists()


@pytest.mark.parametrize("seed", range(1, 17))
def test_odd_words_odd_files_and_odd_jobs_end_in_a_sentence(seed: int, tmp_path: Path) -> None:
    """A few of those that `python tests/fuzzing.py 1 10000` draws; that one is run by hand."""
    found = ended_by(seed, tmp_path / "room")
    assert found.good, found


READERS = (
    ("check", "F.toml"),
    ("devices", "./F.toml"),
    ("finish", "skirt.svg", "--plan", "F.toml", "--only", "json"),
    ("sizes", "F.csv"),
    ("sizes", "choir.csv", "--people", "F.csv"),
    ("sizes", "--from", "F.csv"),
    ("finish", "F.svg", "--only", "json"),
    ("finish", "F.dxf", "--only", "json"),
    ("finish", "base.dxf", "--rules", "F.rul", "--only", "json"),
    ("preview", "F.plt"),
    ("preview", "F.svg"),
    ("preview", "F.dxf"),
    ("preview", "F.pdf"),
    ("send", "F.plt", "--to", "roll-914", "--at", "file:wire"),
    ("lay", "soloist.toml", "--judge", "F.json"),
    ("verify", "F.json"),
)
"""Every reader of a file, with a file F."""


@pytest.mark.parametrize("kind", ["folder", "empty", "binary", "utf-16", "loop", "none", "below a file", "mark", "nul"])
def test_files_that_are_none_of_what_is_read(kind: str, tmp_path: Path) -> None:
    room = Path(shutil.copytree(stock(), tmp_path / "room"))
    for words in READERS:
        name = next(word for word in words if "F." in word)
        path = room / name.replace("F", "odd")
        if not (path.exists() or path.is_symlink()):
            _put(path, kind)
        said = [word.replace("F.", "empty.csv/F." if kind == "below a file" else "odd.") for word in words]
        (room / "empty.csv").touch()
        run = oaktag_here(*said, cwd=room)
        assert run.foreseen and run.code in (2, 3) and run.err, (words, run)
        assert len(run.err) < 1500 and "\0" not in run.err, (words, run)
    assert not (room / "wire").exists()


def _put(path: Path, kind: str) -> None:
    if kind == "folder":
        path.mkdir()
    elif kind == "loop":
        path.symlink_to(path.name)
    elif kind not in ("none", "below a file"):
        text = {"empty": b"", "binary": bytes(range(256)) * 20, "utf-16": "title = 'x'".encode("utf-16"),
                "mark": b"\xef\xbb\xbf", "nul": b"\0" * 1000}[kind]  # fmt: skip
        path.write_bytes(text)
