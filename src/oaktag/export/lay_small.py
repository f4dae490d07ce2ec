"""lay-small.pdf: the lays at a tenth of their size, on A4 or Letter pages, to hang up beside the cutting table."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from ..geometry.polygon import Box
from ..lay.names import name_of
from ..lay.placed import Lay, Stretch
from ..sheet.paper import PAPERS, usual_paper
from ..units import Unit
from .cloth_table import width_words
from .pdf_page import GREY, INK, LIGHT, Page, document, draw_lines, draw_words

_SCALE: Final = 0.1
_MARGIN: Final = 15.0
_HEAD: Final = 22.0


def _paper(unit: Unit) -> tuple[float, float]:
    """Width and height of a page in a job of that unit, mm."""
    paper = PAPERS[usual_paper(unit)]
    return paper.width, paper.height


def render(lays: Sequence[Lay], title: str, unit: Unit) -> bytes:
    """As many pages as it takes at 1 : 10, each with a bar of one metre of cloth; cloth wider than 1.8 m is smaller."""
    pages: list[Page] = []
    for lay in lays:
        for number, stretch in enumerate(lay.stretches):
            opened = ", opened out" if number else ""
            pages += _stretch(stretch, f"{title}: {lay.material}, {stretch.cloth.words()}{opened}", unit)
    return document(f"{title}, lay", pages, {})


def _stretch(stretch: Stretch, title: str, unit: Unit) -> list[Page]:
    scale = min(_SCALE, (_paper(unit)[0] - 2 * _MARGIN) / stretch.cloth.spread_width)
    room = (_paper(unit)[1] - 2 * _MARGIN - _HEAD) / scale
    count = max(1, -(-stretch.length // room))
    return [_page(stretch, title, unit, scale, i * room, room, i + 1, int(count)) for i in range(int(count))]


def _page(
    stretch: Stretch, title: str, unit: Unit, scale: float, start: float, room: float, number: int, count: int
) -> Page:
    cloth, end = stretch.cloth, min(stretch.length, start + room)

    def at(x: float, y: float) -> tuple[float, float]:
        return _MARGIN + x * scale, _MARGIN + (y - start) * scale

    bar = _paper(unit)[1] - _MARGIN - 14.0
    out = [
        draw_words(title, (_MARGIN, _paper(unit)[1] - _MARGIN - 4.0), 11.0, bold=True),
        draw_words(
            f"1 : {1 / scale:.3g}, not for cutting. Cloth {width_words(cloth.width, unit)} wide; from "
            f"{start / 1000:.2f} to {end / 1000:.2f} m of {stretch.length / 1000:.2f} m; page {number} of {count}",
            (_MARGIN, _paper(unit)[1] - _MARGIN - 10.0), 8.5,
        ),
        draw_lines([[(_MARGIN, bar), (_MARGIN + 1000 * scale, bar)]], grey=INK),
        draw_words("1 m of cloth", (_MARGIN + 1000 * scale + 2.0, bar - 1.0), 8.5),
    ]  # fmt: skip
    edges = []
    for x, fold in ((0.0, cloth.spread != "open"), (cloth.spread_width, cloth.spread == "tubular")):
        line = [at(x, start), at(x, end)]
        out.append(draw_lines([line], grey=INK, width=0.6 if fold else 0.2, dashes="9 3 1.5 3" if fold else ""))
    edges += [[at(0.0, y), at(cloth.spread_width, y)] for y in (start, end)]
    out.append(draw_lines(edges, grey=GREY))
    window = Box(-1.0, start, cloth.spread_width + 1.0, end)
    for placed in stretch.placements:
        ring = placed.outline()
        box = Box.round(ring)
        if not box.overlaps(window):
            continue
        out.append(draw_lines([[at(x, y) for x, y in run] for run in _clipped(ring, window)], grey=INK, width=0.25))
        name = name_of(placed)
        if start < name.at[1] < end:
            size = min(9.0, max(4.0, 2.2 * name.across * scale / max(1, len(name.words)) * 2.2))
            middle = at(*name.at)
            out.append(draw_words(name.words, (middle[0], middle[1] - size * 0.12), size, part=0.5))
            way = 1.0 if placed.whole_move().yy > 0 else -1.0
            arrow = min(12.0, name.along * scale * 0.25)
            x, y = middle[0], middle[1] - size * 0.3 - arrow - 1.0
            tip = y + arrow if way > 0 else y
            out.append(
                draw_lines(
                    [[(x, y), (x, y + arrow)], [(x - 1, tip - 1.6 * way), (x, tip), (x + 1, tip - 1.6 * way)]],
                    grey=GREY,
                )
            )
    for flaw in cloth.flaws:
        corners = [
            at(flaw.left, flaw.bottom),
            at(flaw.right, flaw.top),
            at(flaw.left, flaw.top),
            at(flaw.right, flaw.bottom),
        ]
        if flaw.bottom < end and flaw.top > start:
            out.append(draw_lines([corners[:2], corners[2:]], grey=LIGHT, width=0.4))
    return Page(*_paper(unit), "".join(out))


def _clipped(ring: Sequence[tuple[float, float]], window: Box) -> list[list[tuple[float, float]]]:
    from ..geometry.clip import clip_line

    return [list(run) for run in clip_line([*ring, ring[0]], window) if len(run) > 1]
