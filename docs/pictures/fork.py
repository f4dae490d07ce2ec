"""The fork of trousers as it is sewn: front and back laid together at the inseam; the crotch curve runs through.

    python docs/pictures/fork.py OUT.svg [option=value ...]

For the middle of the women's chart. Look whether the curve runs under the fork without a corner.
"""

from __future__ import annotations

import sys
from math import atan2, cos, sin
from pathlib import Path

from oaktag.body.charts import shipped
from oaktag.draft.garment import find_garment
from oaktag.draft.options import validated
from oaktag.errors import Where
from oaktag.geometry.path import flatten, reverse
from oaktag.geometry.point import XY
from oaktag.model.draft import Draft
from oaktag.model.piece import Piece

ABOVE, BELOW = 380.0, 260.0
"""So much of the legs is shown above and below the fork, mm."""


def drafted(style: dict[str, str]) -> Draft:
    """Trousers in that style, as a job in centimetres has it."""
    garment, chart = find_garment("trousers"), shipped("women")
    told, errors = validated(garment.options, style, "cm", lambda key: Where("fork", 0, key))
    assert not errors, errors
    return garment.drafted(chart.body(chart.sizes[len(chart.sizes) // 2]), told, "cm")


def laid(piece: Piece, *, mirrored: bool) -> list[list[XY]]:
    """Its outline, edge by edge, the fork at the origin and the inseam straight down from it."""
    inseam, fork, side = piece.edge("inseam").curves, piece.points["fork"], -1.0 if mirrored else 1.0
    if abs(inseam[0].start.x - fork.x) + abs(inseam[0].start.y - fork.y) > 0.01:
        inseam = reverse(inseam)
    way = inseam[0].way(0.0)
    turn = atan2(-1.0, 0.0) - atan2(way.y, side * way.x)

    def at(p: XY) -> XY:
        x, y = side * (p[0] - fork.x), p[1] - fork.y
        return (x * cos(turn) - y * sin(turn), x * sin(turn) + y * cos(turn))

    return [[at(p) for p in flatten(edge.curves)] for edge in piece.edges]


def picture(draft: Draft) -> str:
    """Front to the right, the back mirrored to the left of the inseam."""
    pieces = {piece.name: piece for piece in draft.pieces}
    lines = []
    for name, mirrored in (("front", False), ("back", True)):
        names = [edge.name for edge in pieces[name].edges]
        for edge, points in zip(names, laid(pieces[name], mirrored=mirrored), strict=True):
            thick = 4 if edge in ("crotch", "fly") else 1.5
            shown = " ".join(f"{x:.1f},{-y:.1f}" for x, y in points)
            lines.append(f'<polyline points="{shown}" fill="none" stroke="black" stroke-width="{thick}"/>')
    box = f"-420 {-ABOVE:g} 780 {ABOVE + BELOW:g}"
    return f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{box}">\n' + "\n".join(lines) + "\n</svg>\n"


if __name__ == "__main__":
    asked = dict(word.split("=", 1) for word in sys.argv[2:])
    Path(sys.argv[1]).write_text(picture(drafted(asked)), encoding="utf-8")
