"""Faults of the shoulders."""

from __future__ import annotations

from typing import Final

from .fault import Fault

ROWS: Final[tuple[Fault, ...]] = ()
