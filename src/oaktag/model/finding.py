"""What a check found."""

from __future__ import annotations

from enum import Enum

from ..values import dataclass


class Severity(Enum):
    """`error` stops the writing of files, `warning` and `info` are told."""

    ERROR = "error"
    WARNING = "warning"
    INFO = "info"


@dataclass(frozen=True, slots=True)
class Finding:
    """One rule measured on the finished pieces; `measured` and `limit` in `unit`."""

    id: str
    severity: Severity
    passed: bool
    measured: float
    limit: float
    unit: str
    message: str
    size: str = ""
