"""Kinds of damage to written files: what `oaktag verify` has to notice, or why it need not.

Each module `spoil_*.py` beside this one has a tuple KINDS. `python tests/spoil.py` prints which are caught and by which
row; with words after it, only kinds whose name or file has one of them. Judged are the rows of geometry and marks
alone: that pattern.json also holds the sum of every file, which any damage breaks, is left out of account.
"""

from __future__ import annotations

import importlib
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from oaktag.errors import InputError
from oaktag.job import load_job
from oaktag.pipeline import make
from oaktag.verify import Row, verify

HERE = Path(__file__).parent
CHOIR = HERE.parent / "fixtures" / "choir"
SUMS = "the file is of this set"
"""What a row about the sum of a file is called."""


@dataclass(frozen=True)
class Kind:
    """One kind of damage, to one file of a made folder: its bytes changed, or the folder itself."""

    name: str
    file: str
    bytes: Callable[[bytes], bytes] | None = None
    folder: Callable[[Path], None] | None = None
    harmless: str = ""
    """Why nobody who cuts by the file is misled; "" if it has to be caught."""
    made: str = "dress"
    """Which folder is damaged, see MADE."""
    whole: bool = False
    """Whether the whole folder is read back, not this file alone."""

    def __str__(self) -> str:
        return f"{self.file}: {self.name}"


@dataclass(frozen=True)
class Told:
    """What verify said: rows that failed, or the words with which it refused to read."""

    rows: tuple[Row, ...]
    refused: str = ""

    def caught_by(self, file: str) -> str:
        """The first row (or refusal) that names the file; "" if none does."""
        if file in self.refused:
            return f"refused: {self.refused.splitlines()[0]}"
        return next((row.what for row in self.rows if row.file == file and file in f"{row.file} {row.message}"), "")


# ---- folders that are made to be damaged

DRESS = """
title   = "Lighthouse choir, alto 3"
garment = "sheath-dress"
units   = "in"
[measurements]
bust_girth = 38
waist_girth = "30 1/2"
hip_girth = "41"
shoulder_width = "15 1/2"
back_waist_length = 16
upper_arm_girth = 12
{more}
"""
NEST = """
title   = "Lighthouse choir, stage dress"
garment = "sheath-dress"
units   = "in"
[sizes]
chart = "women"
make  = ["10", "12", "14"]
base  = "12"
[style]
length = 36
[output]
formats = ["dxf", "hpgl", "pdf", "svg"]
paper   = "letter"
device  = "roll-914"
layout  = "{layout}"
"""
MADE: dict[str, str] = {
    "dress": DRESS.format(more='[output]\nformats = ["dxf", "hpgl", "pdf", "svg"]\npaper = "letter"'),
    "nest": NEST.format(layout="nested"),
    "apart": NEST.format(layout="apart"),
    "laser": DRESS.format(more='[output]\nformats = ["cad"]\ndevice = "laser-900x600"'),
    "knife": DRESS.format(more='[output]\nformats = ["hpgl", "cuts", "cad"]\ndevice = "knife-1600x1200"'),
    "frames": DRESS.format(more='[output]\nformats = ["hpgl"]\ndevice = "roll-900-frames"'),
}
"""Job files by name; "lay" is a lay of the dress, made by `oaktag lay`."""


def make_folder(name: str, folder: Path) -> Path:
    """Makes one of the folders."""
    folder.mkdir(parents=True, exist_ok=True)
    if name == "lay":
        job, kept = folder / "job.toml", folder / "kept"
        laid = ["lay", str(job), "--cloth-width", "60in", "--seconds", "0", "-o", str(kept)]
        named = MADE["dress"].replace("[output]", f'[output]\nlay = "{kept.name}/lay.json"')
        for words, text in ((laid, MADE["dress"]), (["make", str(job), "-o", str(folder / "made")], named)):
            job.write_text(text, encoding="utf-8")
            subprocess.run([sys.executable, "-m", "oaktag", *words], check=True, capture_output=True)
        return folder / "made"
    job = folder / "job.toml"
    job.write_text(MADE[name], encoding="utf-8")
    for file, data in make(load_job(job)).files.items():
        (folder / file).parent.mkdir(parents=True, exist_ok=True)
        (folder / file).write_bytes(data)
    return folder


# ---- damage


@cache
def kinds() -> tuple[Kind, ...]:
    """Of all modules `spoil_*.py`, in the order of their names."""
    found: list[Kind] = []
    for path in sorted(HERE.glob("spoil_*.py")):
        found += importlib.import_module(path.stem).KINDS
    return tuple(found)


def read_back(kind: Kind, made: Path, scratch: Path) -> Told:
    """Damages a copy of a made folder and reads it back."""
    copy = Path(shutil.copytree(made, scratch / "copy"))
    path = copy / kind.file
    if kind.bytes is not None:
        before = path.read_bytes()
        after = kind.bytes(before)
        assert after != before, f"{kind} changed nothing"
        path.write_bytes(after)
    if kind.folder is not None:
        kind.folder(copy)
    try:
        rows = verify(path if path.is_file() and not kind.whole else copy)
    except InputError as error:
        return Told((), str(error))
    return Told(tuple(row for row in rows if not row.passed and row.what != SUMS))


def main(words: list[str]) -> Iterator[str]:
    """A line for each kind, then how many of them were caught."""
    asked = [kind for kind in kinds() if not words or any(word in str(kind) for word in words)]
    count = dict.fromkeys(("caught", "harmless", "MISSED"), 0)
    with tempfile.TemporaryDirectory() as folder:
        made = {name: make_folder(name, Path(folder) / name) for name in dict.fromkeys(kind.made for kind in asked)}
        for number, kind in enumerate(asked):
            row = read_back(kind, made[kind.made], Path(folder) / f"copy-{number}").caught_by(kind.file)
            how = "caught" if row else "harmless" if kind.harmless else "MISSED"
            count[how] += 1
            yield f"{how:8}  {kind!s:75} {row or kind.harmless}"
    yield ", ".join(f"{number} {how}" for how, number in count.items()) + f", of {len(asked)}"


if __name__ == "__main__":
    sys.path.insert(0, str(HERE))
    for line in main(sys.argv[1:]):
        sys.stdout.write(f"{line}\n")
        sys.stdout.flush()
