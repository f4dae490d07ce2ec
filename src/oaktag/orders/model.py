"""An order: what one client, one job is to become; and how it ended."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal, TypeAlias

from ..values import dataclass, field, replace

Ending: TypeAlias = Literal["done", "refused", "failed"]
"""Refused: the input is wrong, or a check failed, and the reason says what to change. Failed: the machine or the
program did."""


@dataclass(frozen=True, slots=True)
class Order:
    """One order, whole: all that a worker needs is in it, so that it can be made on another machine.

    `files` are the job's own and all that it names (measurements, charts, drawings, devices), by the path that the job
    names them by; `job` is the name of the one to make. `columns` pass through to the manifest.
    """

    name: str
    """A folder's name, once in a batch: letters, figures, - and _."""
    source: str
    """Where it comes from, in words: `orders.csv, line 12`, `alto-3.toml`."""
    job: str
    files: Mapping[str, bytes] = field(default_factory=dict)
    quantity: int = 1
    due: str = ""
    columns: Mapping[str, str] = field(default_factory=dict)
    client: str = ""
    """Whom the measurement book is asked for; `measured`: the day of her sitting."""
    measured: str = ""

    @property
    def for_workers(self) -> Order:
        """What leaves this machine: neither a client's name nor what only the manifest tells."""
        return replace(self, columns={}, client="", measured="")


@dataclass(frozen=True, slots=True)
class Unread:
    """An order that could not be read: it is refused before any work."""

    name: str
    source: str
    reason: str
    columns: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Ended:
    """How an order ended."""

    name: str
    source: str
    ending: Ending
    reason: str = ""
    seconds: float = 0.0
    digest: str = ""
    """sha256 of what went in: its files, the program's version, the formats: the same goes in, the same comes out."""
    sums: Mapping[str, str] = field(default_factory=dict)
    """sha256 of each file written, by name."""
    quantity: int = 1
    due: str = ""
    columns: Mapping[str, str] = field(default_factory=dict)
    title: str = ""
    findings: tuple[str, ...] = ()
    """Warnings and errors of the checks, in words, worst first."""
    picture: str = ""
    """A small SVG of the pieces, made by whoever made the order; empty if it ended otherwise."""
