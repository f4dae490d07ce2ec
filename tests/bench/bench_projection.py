"""How long the projection page takes to redraw 30 pieces of 600 points: by hand, never in the tests.

usage: PYTHONPATH=src:tests python tests/bench/bench_projection.py

The page measures itself; each redraw reads a dot back, so that the browser cannot put the work off. Chromium draws
without a graphics card here, which is the slow case.
"""

from __future__ import annotations

import math
import tempfile
from pathlib import Path
from statistics import median

from oaktag.export.projection import render
from oaktag.sheet.strokes import Figure, Role, Sheet, Stroke
from table import ASLANT, chromium, give_mat, press, square_up

FRAME = 16.0
PIECES, POINTS = 30, 600


def sheet(stitched: bool) -> Sheet:
    """30 leaves of 600 points; `stitched` gives half of the points to a dashed stitch line."""
    figures = []
    for index in range(PIECES):
        x, y = 60 + 100 * (index % 6), 45 + 80 * (index // 6)
        count = POINTS // 2 if stitched else POINTS
        turns = [2 * math.pi * i / count for i in range(count)]

        def ring(
            size: float, x: float = x, y: float = y, turns: list[float] = turns
        ) -> tuple[tuple[float, float], ...]:
            return tuple(
                (x + size * (44 + 4 * math.cos(5 * t)) * math.cos(t), y + size * 34 * math.sin(t)) for t in turns
            )

        strokes = [Stroke(Role.CUT, ring(1.0), closed=True)]
        if stitched:
            strokes.append(Stroke(Role.STITCH, ring(0.85), closed=True))
        figures.append(Figure(f"piece_{index + 1}", tuple(strokes)))
    return Sheet("thirty pieces", 620.0, 420.0, tuple(figures))


def main() -> None:
    with chromium() as browser, tempfile.TemporaryDirectory() as folder:
        for stitched in (False, True):
            path = Path(folder) / "page.html"
            path.write_bytes(render(sheet(stitched), "mm", start="lay"))
            for width, height in ((1280, 800), (1920, 1080)):
                context = browser.new_context(viewport={"width": width, "height": height})
                page = context.new_page()
                page.goto(path.as_uri())
                give_mat(page, "600", "400")
                square_up(page, ASLANT)
                press(page, "Enter")
                taken = page.evaluate("oaktag.timing(100)")[10:]
                usual, worst, over = median(taken), max(taken), sum(ms >= FRAME for ms in taken)
                words = "cut and dashed stitch lines" if stitched else "cut lines"
                print(
                    f"{PIECES} pieces × {POINTS} points, {words}, {width} × {height}: median {usual:.1f} ms, "
                    f"worst {worst:.1f} ms; {over} of {len(taken)} take {FRAME:g} ms or more"
                )
                context.close()


if __name__ == "__main__":
    main()
