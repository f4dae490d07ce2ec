"""A card to print: rulers that read the stretch of knit cloth by themselves, and how far it must come back.

The hand test: cloth is folded across its width, two pins are set at "0" and "rest", and the second is pulled along the
scale until the cloth is taut and still flat: stretch = (pulled − rest) ÷ rest (three sewing teachers). Recovery =
(pulled − after) ÷ (pulled − rest) (geometry); 95 % is good, below 90 % nothing is made smaller than the body (common
practice, no source). The classes: sewing teachers for 0 to 25 and 25 to 50, the others from memory.
"""

from __future__ import annotations

from typing import Final

from ..geometry.point import XY
from ..sheet.paper import Paper
from ..units import INCH, Unit, show
from .pdf_page import Page, document, draw_lines, draw_words, wrapped

_LEFT: Final = 14.0
_CLASSES: Final = ((0, 25, "stable"), (25, 50, "moderate"), (50, 75, "stretchy"), (75, 100, "super"), (100, 150, "rib"))
_PULLED: Final = (10, 20, 30, 40, 50, 60, 75, 100, 125, 150)
_HOW: Final = (
    """Fold the cloth across its width, some 10 cm (4 in) from the cut edge. Lay the fold along the ruler and set pins
    at 0 and at rest. Hold 0, pull the other pin until the cloth is comfortable and still flat, not to its limit, and
    read the per cent. Do the same along the cloth. Then let go, and see where the pin lies at once and after a
    minute.""",
    """Write what you read into the job: [cloth] stretch = "40 %", stretch_along = "20 %", recovery = "95 %". Hands pull
    unlike each other, and laboratories agree poorly too: make a trial in the same cloth, and accept no delivery by this
    card.""",
)


def render(paper: Paper, unit: Unit) -> bytes:
    """The card on one page, lying; the same paper and unit, the same bytes. Raises nothing of its own."""
    width, height = paper.height, paper.width
    top = height - 14.0
    out = [draw_words("How much does this cloth stretch?", (_LEFT, top - 4), 18.0, bold=True)]
    told, y = _lines(_HOW[0], (_LEFT, top - 12), width)
    out.append(told)
    rest = 4 * INCH if unit == "in" else 100.0  # of the long ruler; the short one is for a scrap
    most = min(150, int((width - _LEFT * 2 - rest) / rest * 10) * 10)
    out.append(_ruler((_LEFT, y - 24), rest, most, unit, classes=True))
    out.append(_ruler((_LEFT, y - 56), rest / 2, 200, unit))
    table, y = _table((_LEFT, y - 74))
    out.append(table)
    told, _ = _lines(_HOW[1], (_LEFT, y - 2), width - 58)
    out.append(told)
    out.append(_proof((width - _LEFT - 4, 12.0), unit))
    return document("Stretch card", [Page(width, height, "".join(out))], tray=paper.tray)


def _lines(text: str, at: XY, width: float) -> tuple[str, float]:
    """A paragraph from `at` down, and where it ends."""
    out, y = "", at[1]
    for line in wrapped(text, width - _LEFT * 2, 10.5):
        out += draw_words(line, (at[0], y), 10.5)
        y -= 4.8
    return out, y


def _ruler(at: XY, rest: float, most: int, unit: Unit, *, classes: bool = False) -> str:
    """Its line lies at the height of `at`, 0 there; per cent above, classes of cloth below."""
    x, y = at
    end = x + rest * (1 + most / 100)
    thick = draw_lines([((x, y), (end, y)), ((x, y - 3), (x, y + 10)), ((x + rest, y - 3), (x + rest, y + 10))],
                       grey=0.0, width=0.5)  # fmt: skip
    step = 1 if classes else 2
    ticks = [
        (
            (x + rest * (1 + k / 100), y),
            (x + rest * (1 + k / 100), y + (6.0 if k % 10 == 0 else 4.0 if k % 5 == 0 else 2.2)),
        )
        for k in range(step, most + 1, step)
    ]
    words = draw_words("0", (x + 1.2, y + 6.5), 10.0, bold=True)
    words += draw_words(f"rest: {show(rest, unit)}", (x + rest - 1.2, y + 6.5), 10.0, bold=True, part=1.0)
    every = 10 if classes else 20
    words += "".join(
        draw_words(f"{k} %" if k == every else str(k), (x + rest * (1 + k / 100), y + 7.2), 9.0, part=0.5)
        for k in range(every, most + 1, every)
    )
    for low, high, name in _CLASSES if classes else ():
        if low >= most:
            break
        a, b = x + rest * (1 + low / 100), x + rest * (1 + min(high, most) / 100)
        thick += draw_lines(
            [((a + 0.6, y - 2), (a + 0.6, y - 4), (b - 0.6, y - 4), (b - 0.6, y - 2))], grey=0.3, width=0.25
        )
        words += draw_words(name, ((a + b) / 2, y - 8.2), 9.0, part=0.5)
    return thick + draw_lines(ticks, grey=0.0, width=0.2) + words


def _table(at: XY) -> tuple[str, float]:
    """How much may be left of what it was stretched; and where the table ends."""
    x, y = at
    out = draw_words("It has come back well if the pin, let go, lies at no more than this on the same ruler:", at, 10.5,
                     bold=True)  # fmt: skip
    rows = [("pulled to", [f"{p} %" for p in _PULLED])]
    for share, words in ((0.05, "comes back by 95 %: good"), (0.1, "by 90 %: just enough")):
        rows.append((words, [f"{p * share:g} %" for p in _PULLED]))
    for name, cells in rows:
        y -= 6.0
        out += draw_words(name, (x, y), 10.0, bold=name == "pulled to")
        for k, cell in enumerate(cells):
            out += draw_words(cell, (x + 64.0 + 18.0 * k, y), 10.0, part=1.0, bold=name == "pulled to")
    return out, y - 7.0


def _proof(at: XY, unit: Unit) -> str:
    """A square of 50 mm, or of 2 in, its corner at the bottom right: the scale both ways."""
    (x, y), side = at, 2 * INCH if unit == "in" else 50.0
    ring = [(x, y), (x - side, y), (x - side, y + side), (x, y + side), (x, y)]
    words = ("Proof of scale", f"each side {show(side, unit)}:", "measure it before", "you trust the rulers")
    return draw_lines([ring], grey=0.0, width=0.35) + "".join(
        draw_words(line, (x - side / 2, y + 36 - 6.5 * k), 10.0, part=0.5, bold=k == 0) for k, line in enumerate(words)
    )
