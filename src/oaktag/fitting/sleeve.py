"""Faults of the sleeve."""

from __future__ import annotations

from typing import Final

from .fault import Fault

ROWS: Final[tuple[Fault, ...]] = ()
