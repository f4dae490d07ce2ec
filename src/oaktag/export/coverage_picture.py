"""Whom a chart serves, as a picture (SVG): every person as a mark, every size as a window, one girth against another.

Drawn in mm. Marks differ in shape, not in colour alone: a dot is served, a ring is outside the window, a cross is
inside it but off in a measurement that the picture does not show.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from html import escape
from typing import Final

from ..body.coverage import Coverage, Placed, share
from ..body.measurements import kinds_of
from ..errors import InputError
from ..units import INCH, Unit

WIDTH: Final = 260.0
HEIGHT: Final = 200.0
LEFT, RIGHT, TOP, BOTTOM = 20.0, 8.0, 34.0, 18.0
MARK: Final = 1.25
SERVED, NOT_SERVED, WINDOW = "#0b5c47", "#b02a1c", "#4a5a6a"
_EVERY: Final = {"in": (INCH, 2 * INCH, 5 * INCH), "cm": (20.0, 50.0, 100.0), "mm": (20.0, 50.0, 100.0)}
_PER: Final = {"in": INCH, "cm": 10.0, "mm": 1.0}


def render(cover: Coverage, title: str, unit: Unit) -> bytes:
    """The picture: the leading measurement to the right; upwards hip girth, or the next that was judged.

    Raises InputError if only one measurement was judged.
    """
    x = cover.judged[0]
    others = [name for name in ("hip_girth", *cover.judged[1:]) if name in cover.judged[1:]]
    if not others:
        raise InputError(
            f"the picture needs a second measurement beside the {kinds_of(cover.wearer)[x].words}",
            expected="hip_girth or waist_girth in both files",
        )
    return "\n".join([*_picture(cover, x, others[0], title, unit), ""]).encode()


def _picture(cover: Coverage, x: str, y: str, title: str, unit: Unit) -> Iterator[str]:
    xs, ys = ([*_reach(cover, name)] for name in (x, y))
    across, up = _Scale(min(xs), max(xs), LEFT, WIDTH - RIGHT), _Scale(min(ys), max(ys), HEIGHT - BOTTOM, TOP)
    served = f"{cover.served} of {len(cover.placed)} people served, {share(cover.served, len(cover.placed))}"
    yield (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{WIDTH:g}mm" height="{HEIGHT:g}mm" '
        f'viewBox="0 0 {WIDTH:g} {HEIGHT:g}" font-family="sans-serif" font-size="3.6" fill="#111">'
    )
    yield f"<title>{escape(title)}: {served}</title>"
    yield f'<rect width="{WIDTH:g}" height="{HEIGHT:g}" fill="#fff"/>'
    yield f'<text x="{LEFT:g}" y="9" font-size="5.4" font-weight="bold">{escape(title)}: {served}</text>'
    yield from _legend(cover, x, y)
    words = kinds_of(cover.wearer)
    yield from _axes(across, up, words[x].words, words[y].words, unit)
    for at, window in enumerate(cover.windows):
        left, right = across.of(window.low[x]), across.of(window.high[x])
        bottom, top = up.of(window.low[y]), up.of(window.high[y])
        fill = "#eef2f6" if at % 2 else "#dde5ec"
        yield (
            f'<rect x="{left:.2f}" y="{top:.2f}" width="{right - left:.2f}" height="{bottom - top:.2f}" '
            f'fill="{fill}" stroke="{WINDOW}" stroke-width="0.3"/>'
        )
    for person in cover.placed:
        yield _mark(across.of(person.values[x]), up.of(person.values[y]), _kind(person, x, y))
    yield f'<text x="{LEFT - 2:g}" y="{TOP - 2:g}" text-anchor="end" fill="{WINDOW}">size</text>'
    for window in cover.windows:
        left, right = across.of(window.low[x]), across.of(window.high[x])
        size = min(4.2, 1.7 * (right - left) / max(2, len(window.size)))
        yield (
            f'<text x="{(left + right) / 2:.2f}" y="{TOP - 2:g}" text-anchor="middle" font-weight="bold" '
            f'font-size="{size:.2f}" fill="{WINDOW}">{escape(window.size)}</text>'
        )
    yield "</svg>"


class _Scale:
    """Millimetres of a body to millimetres of the picture."""

    def __init__(self, least: float, most: float, start: float, end: float) -> None:
        pad = 0.03 * (most - least) + 5.0
        self.least, self.most, self.start, self.end = least - pad, most + pad, start, end

    def of(self, value: float) -> float:
        return self.start + (value - self.least) / (self.most - self.least) * (self.end - self.start)

    def ticks(self, unit: Unit) -> tuple[float, ...]:
        every = next((e for e in _EVERY[unit] if (self.most - self.least) / e <= 20), _EVERY[unit][-1] * 2)
        first, last = math.ceil(self.least / every), math.floor(self.most / every)
        return tuple(i * every for i in range(first, last + 1))


def _reach(cover: Coverage, name: str) -> Iterator[float]:
    for window in cover.windows:
        yield from (window.low[name], window.high[name])
    for person in cover.placed:
        yield person.values[name]


def _kind(person: Placed, x: str, y: str) -> str:
    if not person.misses:
        return "served"
    return "outside" if {x, y} & set(person.misses) else "inside"


def _mark(x: float, y: float, kind: str) -> str:
    if kind == "served":
        return f'<circle cx="{x:.2f}" cy="{y:.2f}" r="{MARK:g}" fill="{SERVED}"/>'
    if kind == "outside":
        return f'<circle cx="{x:.2f}" cy="{y:.2f}" r="{MARK:g}" fill="#fff" stroke="{NOT_SERVED}" stroke-width="0.5"/>'
    d = f"M{x - MARK:.2f} {y - MARK:.2f}l{2 * MARK:g} {2 * MARK:g}m0 {-2 * MARK:g}l{-2 * MARK:g} {2 * MARK:g}"
    return f'<path d="{d}" fill="none" stroke="{NOT_SERVED}" stroke-width="0.7"/>'


def _legend(cover: Coverage, x: str, y: str) -> Iterator[str]:
    served = [_kind(person, x, y) for person in cover.placed]
    kinds = kinds_of(cover.wearer)
    others = [kinds[name] for name in cover.judged if name not in (x, y)]
    unseen = [kind.words if len(others) == 1 else kind.part for kind in others]  # so that the line has room for two
    entries = [
        ("served", f"served ({served.count('served')})"),
        ("outside", f"not served: outside the window of the nearest size ({served.count('outside')})"),
    ]
    if unseen:
        entries.append(
            ("inside", f"not served: inside it, but {' or '.join(unseen)} is off ({served.count('inside')})")
        )
    at = LEFT + 2
    for kind, words in entries:
        yield _mark(at, 15.8, kind)
        yield f'<text x="{at + 3:.2f}" y="17">{escape(words)}</text>'
        at += 9 + 1.86 * len(words)
    yield (
        f'<text x="{LEFT:g}" y="24" fill="{WINDOW}">Shaded: what each size serves; its name stands above, at the top. '
        f"Nearest is meant in {kinds[x].words}.</text>"
    )


def _axes(across: _Scale, up: _Scale, x_words: str, y_words: str, unit: Unit) -> Iterator[str]:
    for value in across.ticks(unit):
        at = across.of(value)
        yield f'<path d="M{at:.2f} {TOP:g}V{HEIGHT - BOTTOM:g}" stroke="#d5d5d5" stroke-width="0.15"/>'
        yield f'<text x="{at:.2f}" y="{HEIGHT - BOTTOM + 5:g}" text-anchor="middle">{value / _PER[unit]:g}</text>'
    for value in up.ticks(unit):
        at = up.of(value)
        yield f'<path d="M{LEFT:g} {at:.2f}H{WIDTH - RIGHT:g}" stroke="#d5d5d5" stroke-width="0.15"/>'
        yield f'<text x="{LEFT - 2:g}" y="{at + 1.2:.2f}" text-anchor="end">{value / _PER[unit]:g}</text>'
    frame = f"M{LEFT:g} {TOP:g}V{HEIGHT - BOTTOM:g}H{WIDTH - RIGHT:g}"
    yield f'<path d="{frame}" fill="none" stroke="#111" stroke-width="0.4"/>'
    words = f"{x_words}, {unit}"
    yield f'<text x="{(LEFT + WIDTH - RIGHT) / 2:g}" y="{HEIGHT - 5:g}" text-anchor="middle">{words}</text>'
    middle = (TOP + HEIGHT - BOTTOM) / 2
    yield (
        f'<text x="6" y="{middle:g}" text-anchor="middle" transform="rotate(-90 6 {middle:g})">{y_words}, {unit}</text>'
    )
