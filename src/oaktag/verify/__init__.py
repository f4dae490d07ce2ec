"""Reads the written files back and proves their scale and geometry; shares no code with what wrote them.

Read in this order: rows (what is told), expected (pattern.json), drawing (what a reader finds), compare (how far
apart), then a module a format (dxf, gdal, pattern_data, svg, pdf, hpgl; dashes for nests in HP-GL, rules for base and
grade rule table), and folder, which puts them together.
"""

from __future__ import annotations

from .compare import worst_distance
from .folder import verify
from .rows import Row, as_json

__all__ = ["Row", "as_json", "verify", "worst_distance"]
