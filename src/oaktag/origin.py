"""A folder knows the job that it was made from: copies of the job file, and of the files that it names, lie in `job/`.

A job is known by the name of its file, its title and its client: whatever else is changed in it, it stays the same job
and may be written over what it made before. Another job is written there only if the maker says so.
"""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from .errors import InputError, Where
from .export.files import write_all
from .export.sums import PATTERN, with_sums
from .formats import of_lay, of_pattern
from .values import dataclass

if TYPE_CHECKING:
    from .book.people import Made, Sitting
    from .draft.garment import Garment
    from .job import Job

COPIES: Final = "job"
"""The folder within a made folder where the copies lie."""
MEASURED: Final = "measured-in-the-book.toml"
"""The copy of what was taken from the measurement book; no client's name is in it."""
_LARGEST: Final = 1_000_000


@dataclass(frozen=True, slots=True)
class Origin:
    """What a folder is made from; by `copies`, the job file and what it names, it can be made again."""

    file: str
    title: str
    client: str
    copies: Mapping[str, bytes]

    @property
    def known_by(self) -> tuple[str, str, str]:
        return self.file, self.title, self.client


def origin_of(
    path: Path, *, drawing: Path | None = None, made_by: Garment | None = None, sitting: Sitting | None = None
) -> Origin:
    """Of a job file that was read without a mistake.

    `drawing` is taken in place of the one that it names; of the file of `made_by` the very bytes that were run. In the
    copy every file is named as it lies beside the copy. A `sitting` of the measurement book becomes such a file: the
    book goes on, and what was made is made again from the folder alone.
    """
    raw = path.read_bytes()
    source = raw.decode("utf-8-sig")
    values = tomllib.loads(source)
    copies: dict[str, bytes] = {path.name: raw}
    told = source
    named: list[tuple[str, str | None, Path]] = [
        (key, value, path.parent / value) for _, key, value in named_in(values) if key != "drawing" or drawing is None
    ]
    if drawing is not None:
        named.insert(0, ("drawing", values.get("drawing"), drawing))
    for key, value, found in named:
        run = made_by.file if made_by is not None and key == "garment" else None
        content = found.read_bytes() if run is None else run.source
        name = found.name if copies.get(found.name, content) == content else f"{key}-{found.name}"
        copies[name] = content
        if value is None:
            told = f"{key} = {_quoted(name)}\n{told}"
        elif value != name:
            told = renamed(told, key, value, name)
    if sitting is not None:
        told, copies[MEASURED] = without_book(told, values, sitting)
    if told != source:
        copies[path.name] = told.encode()
    return Origin(path.name, _words(values, "title"), _client(values), copies)


def named_in(values: Mapping[str, Any]) -> Iterator[tuple[str, str, str]]:
    """Every file that a job names: the table ("" for the top), the key, and the name as it is written there."""
    from .job.keys import KEYS

    for table, keys in KEYS.items():
        typed = values.get(table, {}) if table else values
        for key, row in keys.items() if isinstance(typed, Mapping) else ():
            value = typed.get(key)
            if row.file is not None and isinstance(value, str) and row.file(value):
                yield table, key, value


def without_book(source: str, values: Mapping[str, Any], sitting: Sitting) -> tuple[str, bytes]:
    """A job whose measurements are in the measurement book, as one that names a file of them, `MEASURED`; and that."""
    from .book.tables import as_toml

    told = renamed(source, "client", values["client"], _client(values))
    return f"measurements = {_quoted(MEASURED)}\n{told}", as_toml(sitting).encode()


def renamed(source: str, key: str, value: str, name: str) -> str:
    """The text with another name of a file behind its key."""

    def put(match: re.Match[str]) -> str:
        same = tomllib.loads(f"x = {match[2]}")["x"] == value
        return match[1] + (_quoted(name) if same else match[2])

    literal = r""""(?:[^"\\\n]|\\.)*"|'[^'\n]*'"""
    return re.sub(rf"""((?<![\w-])["']?{key}["']?\s*=\s*)({literal})""", put, source)


def _quoted(name: str) -> str:
    return json.dumps(name, ensure_ascii=False)


def _words(values: Mapping[str, Any], key: str) -> str:
    return str(values.get(key, "")).strip()


def _client(values: Mapping[str, Any]) -> str:
    """Whom it is for; the day of her sitting does not make it another job."""
    return re.sub(r"\s*@\s*\d{4}-\d\d-\d\d$", "", _words(values, "client"))


def refuse_another(
    folder: Path, origin: Origin, printed_title: str, *, replace: bool, pieces: tuple[str, ...] = ()
) -> bool:
    """Whether another job's files lie in the folder; InputError unless it may `replace` them.

    With `pieces` the same is asked where more than those of this job lie there. To be asked before any long work.
    """
    found = _other(folder, origin, printed_title)
    add = "or add --replace to write over it"
    if found and not replace:
        raise InputError(
            f"the folder holds the pattern of {found}, and this is {origin.file}", where=Where(str(folder)),
            expected="a folder of its own for each job", instead=f"Name another folder with -o, {add}",
        )  # fmt: skip
    more = _pieces_in(folder) - set(pieces) if pieces and not found else set()
    if more and not replace:
        raise InputError(
            f"the folder holds {', '.join(sorted(more))} as well", where=Where(str(folder)),
            expected="a folder of their own for single pieces", instead=f"Leave -o out, {add}",
        )  # fmt: skip
    return bool(found or more)


def files_of(files: Mapping[str, bytes], origin: Origin, earlier: bytes = b"") -> dict[str, bytes]:
    """All files of a folder in the order in which they are put in their places: with the copies of the job, and
    pattern.json, which lists them (`export.sums`), last. `earlier` is the pattern.json that lies there."""
    return with_sums(_with_copies(files, origin), earlier)


def _with_copies(files: Mapping[str, bytes], origin: Origin) -> dict[str, bytes]:
    return {**files, **{f"{COPIES}/{name}": data for name, data in origin.copies.items()}}


def write_made(folder: Path, files: Mapping[str, bytes], origin: Origin, *, stale: bool) -> tuple[Path, ...]:
    """Writes the files and the copies of the job, all or none; if it is `stale`, what was written there before goes.

    pattern.json and lay.json list what was written with them, and come last (`export.sums`).
    """
    write_all(folder, files_of(files, origin, b"" if stale else _bytes(folder / PATTERN)))
    written = tuple(folder / name for name in _with_copies(files, origin))
    if stale:
        ours = [path for path in folder.iterdir() if _ours(path.name)]
        for path in (*ours, *(folder / COPIES).iterdir()):
            if path not in written and path.is_file():
                path.unlink()
    return written


def _ours(name: str) -> bool:
    """Whether `make`, `finish` and `lay` write files of that name."""
    told = re.fullmatch(r"(pattern|lay)(-[\w-]+)?\.json", name) is not None
    return told or of_pattern(name) or (of_lay(name) and re.fullmatch(r"[\w.-]+", name) is not None)


def _other(folder: Path, origin: Origin, printed_title: str) -> str:
    """In words, the other job that the folder was made from; "" where there is none, or the same."""
    held = _held(folder)
    if held is not None:
        file, title, client = held
        if held == origin.known_by:
            return ""
        who = " for another client" if (file, title) == (origin.file, origin.title) and client != origin.client else ""
        return f"another job, {file}{f', “{title}”' if title else ''}{who}"
    told = _json(folder).get("title") or _lay_of_orders(folder)  # without copies: made before, or a lay of orders
    return f"another job, “{told}”" if isinstance(told, str) and told != printed_title else ""


def _held(folder: Path) -> tuple[str, str, str] | None:
    for path in sorted((folder / COPIES).glob("*.toml")):
        try:
            values = tomllib.loads(path.read_bytes()[:_LARGEST].decode("utf-8-sig"))
        except (OSError, ValueError, RecursionError):
            continue
        if (known := known_in(path.name, values)) is not None:
            return known
    return None


def known_in(file: str, values: Mapping[str, Any]) -> tuple[str, str, str] | None:
    """What a job file is known by; None for another file."""
    if "garment" in values or "drawing" in values:
        return file, _words(values, "title"), _client(values)
    return None


def _json(folder: Path) -> dict[str, Any]:
    try:
        told = json.loads((folder / "pattern.json").read_text(encoding="utf-8"))
    except (OSError, ValueError, RecursionError):
        return {}
    return told if isinstance(told, dict) else {}


def _lay_of_orders(folder: Path) -> str | None:
    """The title of a lay of several orders, which has no job of its own."""
    try:
        told = json.loads((folder / "lay.json").read_bytes())
        return str(told["title"]) if told.get("orders") else None
    except (OSError, ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return None


def _bytes(path: Path) -> bytes:
    try:
        return path.read_bytes() if path.is_file() else b""
    except OSError:
        return b""


def _pieces_in(folder: Path) -> set[str]:
    rows = _json(folder).get("pieces")
    return {
        str(row["name"]) for row in (rows if isinstance(rows, list) else ()) if isinstance(row, dict) and "name" in row
    }


def made_of(job: Job, file: str, data: bytes, measured: str) -> Made:
    """What the measurement book holds of a garment that was made today from that job file, on the measurements of a
    day."""
    import datetime
    import hashlib
    from importlib.metadata import PackageNotFoundError, version

    from .book.people import Made

    try:
        release = version("oaktag")
    except PackageNotFoundError:
        release = ""
    today = datetime.date.today().isoformat()
    own = hashlib.sha256(data).hexdigest()
    return Made(today, job.garment, job.title, file, own, release, measured, asks=job.fitting.asks)
