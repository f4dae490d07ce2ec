"""A page of the chalk card: its measures, and the ink of lines, dots and pictures."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final

from ..geometry.point import XY
from ..geometry.polygon import Box
from ..sheet.chalk.picture import Look, Picture
from ..sheet.paper import Paper
from ..values import dataclass
from .pdf_page import PT, draw_lines, draw_words, pts

SIZE: Final = 14.0
"""Points: capitals and numbers of Helvetica are 0.718 of it (Adobe Core 14 font metrics, from memory), 3.55 mm."""
CAPITAL: Final = SIZE * 0.718 / PT
LEAD: Final = 5.9  # mm from line to line
MARGIN: Final = 12.0
PICTURE: Final = 84.0  # width, mm
GUTTER: Final = 6.0
HEAD: Final = 12.0
_FOOT: Final = 9.0
_PENS: Final[dict[Look, tuple[float, float, str]]] = {  # grey (0 black), width mm, dashes mm
    Look.CLOTH: (0.45, 0.25, ""),
    Look.FOLD: (0.0, 1.1, "7 2"),
    Look.GUIDE: (0.4, 0.3, "1.2 1.2"),
    Look.BEFORE: (0.55, 0.45, ""),
    Look.NEW: (0.0, 0.9, ""),
    Look.MEASURE: (0.0, 0.22, ""),
    Look.CUT: (0.0, 0.5, "3 1.5"),
    Look.PIN: (0.0, 0.45, ""),
    Look.SQUARE: (0.0, 0.35, ""),
    Look.PLAN: (0.0, 0.5, ""),
}
_CLOTH: Final = 0.94


@dataclass(frozen=True, slots=True)
class Layout:
    """The page inside its margins, mm."""

    paper: Paper

    @property
    def left(self) -> float:
        return MARGIN

    @property
    def right(self) -> float:
        return self.paper.width - MARGIN

    @property
    def top(self) -> float:
        return self.paper.height - MARGIN

    @property
    def bottom(self) -> float:
        return MARGIN + _FOOT

    @property
    def room(self) -> float:
        """Height for boards."""
        return self.top - HEAD - self.bottom

    @property
    def column(self) -> float:
        """Width of the words beside a picture."""
        return self.right - self.left - PICTURE - GUTTER


def drawn(shown: Picture, at: XY) -> str:
    """A picture with its lower left corner at `at` on the page, mm."""
    dx, dy = at
    out = []
    if shown.cloth is not None:
        box = shown.cloth
        out.append(f"{_CLOTH} g {pts(dx + box.left)} {pts(dy + box.bottom)} {pts(box.width)} {pts(box.height)} re f\n")
    for look in Look:
        traces = [trace for trace in shown.traces if trace.look is look]
        if traces:
            out.append(draw_traces(look, [[(x + dx, y + dy) for x, y in trace.points] for trace in traces]))
    for dot in shown.dots:
        at_dot = (dot.at[0] + dx, dot.at[1] + dy)
        out.append(disc(at_dot, 0.85) if dot.full else ring(at_dot))
    for word in shown.words:
        box = word.box
        x, y = dx + (box.left + box.right) / 2, dy + (box.bottom + box.top) / 2
        if word.badge:
            out.append(disc((x, y), box.width / 2 - 0.2, grey=1.0, edge=0.3))
        else:
            corner = f"{pts(dx + box.left)} {pts(dy + box.bottom)}"
            out.append(f"{_under(box, shown)} g {corner} {pts(box.width)} {pts(box.height)} re f\n")
        out.append(draw_words(word.text, (x, y - CAPITAL / 2), SIZE, bold=True, grey=0.0, part=0.5))
    return "".join(out)


def _under(box: Box, shown: Picture) -> float:
    """The grey that lies under a word."""
    cloth = shown.cloth
    on = (
        cloth is not None
        and cloth.left <= (box.left + box.right) / 2 <= cloth.right
        and cloth.bottom <= (box.bottom + box.top) / 2 <= cloth.top
    )
    return _CLOTH if on else 1.0


def draw_traces(look: Look, lines: Sequence[Sequence[XY]]) -> str:
    grey, width, dashes = _PENS[look]
    out = draw_lines(lines, grey=grey, width=width, dashes=" ".join(pts(float(d)) for d in dashes.split()))
    if look is Look.PIN:
        out += "".join(disc(line[0], 0.75) for line in lines)
    return out


_ARC: Final = 0.5523  # a quarter circle as a cubic


def _circle(at: XY, radius: float) -> str:
    x, y = at
    k = _ARC * radius
    turns: Iterable[tuple[XY, XY, XY]] = (
        ((x + radius, y + k), (x + k, y + radius), (x, y + radius)),
        ((x - k, y + radius), (x - radius, y + k), (x - radius, y)),
        ((x - radius, y - k), (x - k, y - radius), (x, y - radius)),
        ((x + k, y - radius), (x + radius, y - k), (x + radius, y)),
    )
    parts = [f"{pts(x + radius)} {pts(y)} m\n"]
    for points in turns:
        parts.append(" ".join(f"{pts(px)} {pts(py)}" for px, py in points) + " c\n")
    return "".join(parts)


def disc(at: XY, radius: float, *, grey: float = 0.0, edge: float = 0.0) -> str:
    if edge:
        return f"{grey} g 0 G {pts(edge)} w [] 0 d\n{_circle(at, radius)}b\n"
    return f"{grey} g\n{_circle(at, radius)}f\n"


def ring(at: XY) -> str:
    return disc(at, 1.0, grey=1.0, edge=0.35)
