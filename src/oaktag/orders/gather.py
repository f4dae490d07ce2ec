"""Orders from what is named on the command line: job files, and folders of them."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any, Final

from ..errors import OaktagError
from ..origin import known_in, named_in, origin_of
from .model import Order, Unread

_LARGEST: Final = 50_000_000


def gather(paths: Sequence[Path]) -> Iterator[Order | Unread]:
    """Each as it is read, never all in memory. What cannot be read is told as such, in its place."""
    for path in paths:
        if path.is_dir():
            yield from (job_order(each) for each in sorted(path.glob("*.toml")) if is_job(each))
        else:
            yield job_order(path)


def is_job(path: Path) -> bool:
    """Whether a TOML file is a job, or cannot be read and may be meant for one; not measurements, nor a device."""
    try:
        return known_in(path.name, _values(path.read_bytes())) is not None
    except (OSError, ValueError, RecursionError):
        return True


def job_order(path: Path) -> Order | Unread:
    """The order of a job file, with all that it names."""
    name = re.sub(r"[^\w-]+", "-", path.stem).strip("-") or "order"
    source = path.name
    try:
        if not path.is_file():
            return Unread(name, source, f"{path}: no such file; expected a job file (TOML), or a folder of them.")
        raw = path.read_bytes()
        try:
            values = _values(raw)
        except (ValueError, RecursionError):
            return Order(name, source, path.name, {path.name: raw})
        if "client" in values and not {"measurements", "sizes", "drawing"} & values.keys():
            from ..job import load_job

            origin = origin_of(path, sitting=load_job(path).sitting)
            return Order(name, source, path.name, dict(origin.copies))
        files = {path.name: raw}
        for _, value, found in named_in(values, path.parent):
            if value is not None and found.is_file() and found.stat().st_size <= _LARGEST:
                files[value] = found.read_bytes()
    except OaktagError as error:
        return Unread(name, source, str(error))
    except OSError as error:
        return Unread(name, source, f"{path}: cannot be read: {error.strerror}.")
    return Order(name, source, path.name, files)


def _values(raw: bytes) -> dict[str, Any]:
    return tomllib.loads(raw.decode("utf-8-sig"))
