"""Every kind of damage in `spoil_*.py` is noticed by `oaktag verify`, at the file it was done to; or told harmless."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from oaktag.verify import verify
from spoil import MADE, Kind, kinds, make_folder, read_back


@pytest.fixture(scope="session")
def made(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], Path]:
    """A folder of a name, made when it is first asked for."""
    folders: dict[str, Path] = {}

    def folder(name: str) -> Path:
        if name not in folders:
            folders[name] = make_folder(name, tmp_path_factory.mktemp("made") / name)
        return folders[name]

    return folder


@pytest.mark.parametrize("name", [*MADE, "lay"])
def test_what_is_not_damaged_is_wholly_clean(made: Callable[[str], Path], name: str) -> None:
    assert [row for row in verify(made(name)) if not row.passed] == []


@pytest.mark.parametrize("kind", kinds(), ids=str)
def test_damage_is_noticed(kind: Kind, made: Callable[[str], Path], tmp_path: Path) -> None:
    told = read_back(kind, made(kind.made), tmp_path)
    if kind.harmless:
        assert not told.rows, f"it is caught, and no longer harmless: {told.rows[0].message}"
        return
    assert told.caught_by(kind.file), f"nothing of {kind.file} is told: {told}"


def test_most_kinds_have_to_be_caught() -> None:
    asked = kinds()
    assert len({str(kind) for kind in asked}) == len(asked)
    assert sum(not kind.harmless for kind in asked) >= 0.9 * len(asked)
