"""Where a part of a piece lies on the roll: `place.py FOLDER PIECE POINT LEFT UP WIDTH HEIGHT DPI`.

The part is WIDTH by HEIGHT mm; its upper left corner lies LEFT mm to the left of a named point of the piece (of a
size set in the base size), and UP mm above it. Prints left, top, width and height in pixels of pattern-roll.pdf.
"""

from __future__ import annotations

import json
import re
import sys
from pathlib import Path

MARGIN = 5.0
"""Of the roll beyond the drawing that pattern.svg holds, mm."""


def place(folder: Path, name: str, point: str, left: float, up: float) -> tuple[float, float]:
    """The corner's distance from the left and the upper edge of the roll, mm."""
    top = json.loads((folder / "pattern.json").read_text(encoding="utf-8"))
    piece = next(piece for piece in top["pieces"] if (piece["name"], piece["size"]) == (name, top["base"]))
    svg = (folder / "pattern.svg").read_text(encoding="utf-8")
    size = rf"\.{re.escape(top['base'])}" if len(top["sizes"]) > 1 else ""
    drawn = re.search(rf'id="{name}\.cut-line{size}"[^>]* d="([^"]*)"', svg)
    assert drawn is not None, f"{name} is not in pattern.svg"
    xs, ys = zip(*(map(float, pair) for pair in re.findall(r"([\d.]+) ([\d.]+)", drawn[1])), strict=True)
    x, y = piece["points"][point]
    from_left = x - min(px for px, _ in piece["cut_line"])
    from_top = max(py for _, py in piece["cut_line"]) - y
    return MARGIN + min(xs) + from_left - left, MARGIN + min(ys) + from_top - up


if __name__ == "__main__":
    folder, name, point, *numbers = sys.argv[1:]
    left, up, width, height, dpi = map(float, numbers)
    numbers_px = (round(mm / 25.4 * dpi) for mm in (*place(Path(folder), name, point, left, up), width, height))
    sys.stdout.write(" ".join(map(str, numbers_px)) + "\n")
