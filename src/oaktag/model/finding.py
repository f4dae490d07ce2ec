"""What a check found."""

from __future__ import annotations

from enum import Enum

from ..errors import OaktagError
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


class CheckFailed(OaktagError):  # noqa: N818 - reads as what happened
    """A check of severity `error` failed; nothing was written. `findings` are those of every check."""

    exit_code = 1

    def __init__(self, text: str, findings: tuple[Finding, ...] = ()) -> None:
        self.findings = findings
        super().__init__(text)
