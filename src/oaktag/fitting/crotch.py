"""Faults of the crotch of trousers."""

from __future__ import annotations

from typing import Final

from .fault import Fault

ROWS: Final[tuple[Fault, ...]] = ()
