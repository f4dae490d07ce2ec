"""Whether the files of a folder are of one set: each has the SHA-256 that pattern.json or lay.json lists for it.

A file that is listed and not there may have been thrown away; one that is there and in no list may be the maker's own.
Both are told and fail nothing, but for files that only oaktag writes.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from hashlib import file_digest
from pathlib import Path
from typing import Final

from ..formats import of_lay, of_pattern
from ..values import dataclass
from .rows import Row

WHAT: Final = "the file is of this set"
BESIDE: Final = "what lies beside it"
"""Of rows that are remarks: they pass, and their message is for the maker."""
_PATTERN: Final = "pattern.json"
_ROLL: Final = "roll.json"
_READER: Final = "SHA-256"
_COPIES: Final = "job"
_ORDERS: Final = "orders"
"""Where a roll keeps what its orders are."""
_LEFT: Final = re.compile(r"\.(.+)\.\d+\.(?:part|keep)")
_MOST_NAMED: Final = 20
_LARGEST: Final = 200_000_000


@dataclass(frozen=True, slots=True)
class _List:
    """What one JSON file lists; `sums` is None where it has no list, or one that cannot be read."""

    file: str
    sums: Mapping[str, str] | None
    damaged: bool = False


def set_rows(folder: Path, only: str = "") -> Iterator[Row]:
    """A failing row for each file that is not of the set, or a row for each list that holds; then remarks.

    `only` names one file: its row alone, if it fails.
    """
    lists = _lists(folder)
    there = {path.name: path for path in sorted(folder.iterdir())}
    left = {found[1] for path in _walk(folder) if (found := _LEFT.fullmatch(path.name))}
    failed = dict[str, str]()
    for own in lists:
        if own.damaged:
            failed[own.file] = f"its list of files cannot be read. {_again(folder, own.file)}."
        gone = [name for name in own.sums or () if not (folder / name).is_file()]
        other = [name for name in own.sums or () if _is_other(folder, name, lists)]
        failed = {name: _sentence(folder, name, own.file) for name in other} | failed
        failed |= {name: f"{name} is missing: a run was ended while it wrote it. {_again(folder, own.file)}."
                   for name in gone if name.rpartition("/")[2] in left}  # fmt: skip
        if not only and own.sums:
            yield from _told_of(own, [name for name in gone if name not in failed], failed)
    failed |= {name: _sentence(folder, name, "") for name in there if _is_unlisted(name, lists)}
    for name, said in failed.items():
        if only in ("", name):
            yield Row(name, _READER, WHAT, None, 0.0, False, said)
    if not only:
        yield from _strangers(folder, there, lists, failed)


def age_rows(folder: Path) -> Iterator[Row]:
    """A remark on a pattern.json that was written before it listed the files beside it."""
    path = folder / _PATTERN
    if path.is_file() and (own := _list(path)).sums is None and not own.damaged:
        said = f"{_PATTERN} is older than its list of files: the lines alone say whether they are of one set"
        yield Row(_PATTERN, _READER, BESIDE, None, 0.0, True, f"{said}. Written again, it lists them.")


def stray(path: Path) -> str:
    """In words, how a file is not of the set that it lies in; "" if it is, or lies in none.

    >>> stray(Path("nowhere") / "pattern.plt")
    ''
    """
    folder, name = path.parent, path.name
    try:
        lists = _lists(folder)
        other = _is_other(folder, name, lists) or _is_unlisted(name, lists)
    except OSError:
        return ""
    return _is_not(name, "") if other else ""


def stray_files(folder: Path) -> tuple[str, ...]:
    """The files of a made folder that are not those which were written with its pattern.json: changed since, or of
    another body. What is gone, or in no list, is none of them."""
    own = [_list(folder / _PATTERN)]
    return tuple(name for name in own[0].sums or () if _is_other(folder, name, own))


def _lists(folder: Path) -> list[_List]:
    """That of pattern.json first, then those of the lays, then that of a roll."""
    lays = sorted(path for path in folder.glob("lay*.json") if re.fullmatch(r"lay([-].+)?\.json", path.name))
    return [_list(path) for path in (folder / _PATTERN, *lays, folder / _ROLL) if path.is_file()]


def _list(path: Path) -> _List:
    try:
        told = json.loads(path.read_bytes()) if path.stat().st_size <= _LARGEST else {}
    except (OSError, ValueError, RecursionError):
        return _List(path.name, None)  # whoever reads the rest of it says so
    if not isinstance(told, dict) or "files" not in told:
        return _List(path.name, None)
    rows = told["files"]
    if not isinstance(rows, list) or not all(
        isinstance(row, dict) and isinstance(row.get("file"), str) and isinstance(row.get("sha256"), str)
        for row in rows
    ):
        return _List(path.name, None, damaged=True)
    sums = {row["file"]: row["sha256"] for row in rows}
    plain = all(
        re.fullmatch(rf"(?:{_COPIES}/|{_ORDERS}/)?[^/\\\0]{{1,200}}", name) and name not in (".", "..") for name in sums
    )
    return _List(path.name, sums if plain else None, damaged=not plain)


def _walk(folder: Path) -> Iterator[Path]:
    """What lies in the folder, and among the copies of the job."""
    for place in (folder, folder / _COPIES):
        if place.is_dir():
            yield from sorted(place.iterdir())


def _is_other(folder: Path, name: str, lists: list[_List]) -> bool:
    """Whether a file has another sum than the list says that it belongs to: for a copy of the job, pattern.json's."""
    told = [own.sums[name] for own in lists if own.sums and name in own.sums]
    if "/" in name:
        told = told[:1]
    path = folder / name
    if not told or not path.is_file():
        return False
    with path.open("rb") as file:
        found = file_digest(file, "sha256").hexdigest()
    return any(found != said for said in told)


def _is_unlisted(name: str, lists: list[_List]) -> bool:
    """Whether it bears a name that only oaktag gives, and those that list such files do not list it."""
    own = [one for one in lists if (one.file == _PATTERN) == of_pattern(name) and one.sums is not None]
    if not own or not (of_pattern(name) or of_lay(name)):
        return False
    return not any(name in (one.file, *(one.sums or ())) for one in own)


def _told_of(own: _List, gone: list[str], failed: Mapping[str, str]) -> Iterator[Row]:
    listed = own.sums or {}
    if not any(name in failed for name in listed):
        said = f"{len(listed) - len(gone)} files are those that were written with {own.file}"
        yield Row(own.file, _READER, WHAT, None, 0.0, True, said)
    if gone:
        said = f"{own.file} lists what is not there any more: {_named(gone)}"
        yield Row(own.file, _READER, BESIDE, None, 0.0, True, f"{said}.")


def _strangers(folder: Path, there: Mapping[str, Path], lists: list[_List], failed: Mapping[str, str]) -> Iterator[Row]:
    """A row for each file that no list has, and one for those that a run has left which was ended from outside."""
    listed = {name for own in lists for name in (own.file, *(own.sums or ()))}
    if not any(own.sums is not None for own in lists):
        listed |= {name for name in there if of_pattern(name) or of_lay(name)} | {_COPIES}
    copies = [f"{_COPIES}/{path.name}" for path in _walk(folder) if path.parent != folder]
    if not any("/" in name for name in listed):
        copies = [name for name in copies if _LEFT.fullmatch(name.rpartition("/")[2])]
    beside = [*there, *copies]
    left = [name for name in beside if _LEFT.fullmatch(name.rpartition("/")[2])]
    others = [name for name in beside if name not in (*listed, *failed, *left) and name != _COPIES]
    for name in others[:_MOST_NAMED]:
        said = f"{name} is not of the set: your own, or of another command. It was not read."
        yield Row(name, _READER, BESIDE, None, 0.0, True, said)
    if len(others) > _MOST_NAMED:
        said = f"{len(others) - _MOST_NAMED} more are not of the set, and were not read."
        yield Row(str(folder), _READER, BESIDE, None, 0.0, True, said)
    for name in left:
        said = f"{name} is hidden, and left by a run that was ended from outside or is still writing"
        yield Row(name, _READER, BESIDE, None, 0.0, True, f"{said}. The next one into this folder clears it away.")


def _sentence(folder: Path, name: str, by: str) -> str:
    return f"{name} {_is_not(name, by)}. {_again(folder, by or name)}."


def _is_not(name: str, by: str) -> str:
    owner = by or ("lay.json" if of_lay(name) else _ROLL if name.startswith("roll") else _PATTERN)
    return f"is not the file that was written with the {owner} beside it: it is of another body, or was changed since"


def _again(folder: Path, name: str) -> str:
    if name == _ROLL:
        return f"Write the roll again: oaktag roll FOLDER… -o {folder}"
    verb = "lay" if name.startswith("lay") or name == "orders.html" else "make"
    return f"Write the folder again: oaktag {verb} JOB -o {folder}"


def _named(names: list[str]) -> str:
    more = f" and {len(names) - _MOST_NAMED} more" if len(names) > _MOST_NAMED else ""
    return ", ".join(names[:_MOST_NAMED]) + more
