"""What holds a set of files together: pattern.json and each lay.json are put in their place last, and list every file
that was written with them, by its SHA-256 (FIPS 180-4).

Who lists what: pattern.json all but the lay; the json of a lay the files of its stem, and the list of an order's lays;
both the copies of the job. So a lay may be laid again beside a pattern, and a pattern made again beside its lay.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Mapping
from hashlib import sha256
from typing import Final

PATTERN: Final = "pattern.json"
ORDERS: Final = "orders.html"
_LAY: Final = re.compile(r"lay[-.].+")
_KEY: Final = b',\n  "files": ['


def with_sums(files: Mapping[str, bytes], earlier: bytes = b"") -> dict[str, bytes]:
    """The files in the order in which they are put in their places: copies of the job, the files, what lists them.

    `earlier` is the pattern.json that lies there. If it lists the same copies of the job, and is not made anew with
    other pieces in it, then what it lists and is not written now is of the same set: one format may be written after
    another. It is among the files then, with the longer list, even if it was not given.
    """
    sums = {name: sha256(data).hexdigest() for name, data in files.items()}
    lays = [name for name in files if _LAY.fullmatch(name) and name.endswith(".json")]
    copies = [name for name in files if "/" in name]
    own = {name: sums[name] for name in files if name != PATTERN and name != ORDERS and not _LAY.fullmatch(name)}
    last: dict[str, bytes] = {}
    for lay in lays:
        stem = lay.removesuffix(".json")
        of_lay = [name for name in files if name != lay and name.startswith((f"{stem}-", f"{stem}."))]
        last[lay] = _listed(files[lay], {name: sums[name] for name in (*of_lay, *copies, ORDERS) if name in sums}, 1)
    body, held = _parted(earlier)
    made = files.get(PATTERN)
    alike = made is None or _pieces(made) == _pieces(body)
    same = bool(copies and held) and alike and all(held.get(name) == sums[name] for name in copies)
    if made is not None or (same and not own.items() <= held.items()):
        last[PATTERN] = _listed(body if made is None else made, {**held, **own} if same else own, 2)
    rest = [name for name in files if name not in last and name not in copies]
    return {**{name: files[name] for name in (*copies, *rest)}, **last}


def _listed(text: bytes, sums: Mapping[str, str], indent: int) -> bytes:
    """The JSON object with its last key, `files`, a file a line, by name."""
    inner = text.rstrip().removesuffix(b"}").rstrip()
    space = " " * indent
    rows = ",\n".join(f'{space * 2}{{"file": {json.dumps(name)}, "sha256": "{sums[name]}"}}' for name in sorted(sums))
    comma = b"" if inner.endswith(b"{") else b","
    return inner + comma + f'\n{space}"files": [\n{rows}\n{space}]\n}}\n'.encode()


def _pieces(text: bytes) -> bytes:
    """All but what the formats that were asked for add to a pattern.json."""
    return text[max(0, text.find(b'\n  "pieces": ')) :]


def _parted(text: bytes) -> tuple[bytes, dict[str, str]]:
    """A pattern.json without its list, and the list; empty where it has none that we have written."""
    at = text.rfind(_KEY)
    if at < 0:
        return b"", {}
    try:
        rows: Iterable[Mapping[str, str]] = json.loads(b"{" + text[at + 1 :])["files"]
        return text[:at] + b"\n}\n", {str(row["file"]): str(row["sha256"]) for row in rows}
    except (ValueError, KeyError, TypeError, RecursionError):
        return b"", {}
