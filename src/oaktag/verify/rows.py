"""What was measured: a row a line of each piece in each file."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import asdict, dataclass


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the table. `worst` and `limit` in mm; `worst` is None where there was nothing to measure."""

    file: str
    reader: str
    what: str
    worst: float | None
    limit: float
    passed: bool
    message: str


def as_json(rows: Iterable[Row]) -> str:
    """The rows as JSON text: `passed` for all of them, and each row; lengths in mm, rounded to 1e-4.

    >>> as_json(())
    '{"passed": true, "unit": "mm", "rows": []}'
    """
    told = [asdict(row) for row in rows]
    for row in told:
        row["worst"] = None if row["worst"] is None else round(row["worst"], 4)
    return json.dumps({"passed": all(row["passed"] for row in told), "unit": "mm", "rows": told}, ensure_ascii=False)
