"""Faults of seams: let out, taken in."""

from __future__ import annotations

from typing import Final

from .fault import Fault

ROWS: Final[tuple[Fault, ...]] = ()
