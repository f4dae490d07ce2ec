"""Rules of the house that a reader of one file does not see."""

from __future__ import annotations

import re
from pathlib import Path

SOURCE = Path(__file__).resolve().parents[1] / "src/oaktag"
PACKAGES = (
    "model",
    "finish",
    "checks",
    "grade",
    "lay",
    "garments",
    "sheet",
    "draft",
    "export",
    "pipeline.py",
    "writing.py",
    "job",
)


def files_of(names: tuple[str, ...]) -> list[Path]:
    return sorted(
        path for name in names for path in ([SOURCE / name] if "." in name else (SOURCE / name).rglob("*.py"))
    )


def test_the_name_of_an_edge_is_taken_apart_in_one_place() -> None:
    others = {
        "draft/chalk/sheet.py": "a point and its axis",
        "export/report_set.py": "the family of a finding",
    }
    found = {
        path.relative_to(SOURCE).as_posix()
        for path in files_of(PACKAGES)
        if re.search(r"""(split|partition)\(["']\.["']\)""", path.read_text(encoding="utf-8"))
    }
    assert found == {"model/ref.py", *others}
