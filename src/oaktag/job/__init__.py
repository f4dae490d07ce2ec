"""The job file (TOML) -> Job.

Read in this order: places (where keys stand), document (a file), model (a job as values), reader (takes values by the
rows of a table), a module a part (measured, edges, drawing, sizes, output, cloth), keys (the table), read (the door).
"""

from __future__ import annotations

from .keys import KEYS
from .model import ClothWords, GarmentWords, Job, Output, SizeSet
from .read import load_job, read_job

__all__ = ["KEYS", "ClothWords", "GarmentWords", "Job", "Output", "SizeSet", "load_job", "read_job"]
