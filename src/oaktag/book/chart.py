"""What has changed of a client, drawn: a small curve for each measurement, over time. No name stands on it unless it is
handed in."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Sequence
from html import escape
from typing import Final

from ..body.measurements import kinds_of
from ..units import Unit, show
from .change import Series, reach_of

WIDE: Final = 640
ROW: Final = 46
LEFT: Final = 190
RIGHT: Final = 170
TOP: Final = 44
_STYLE: Final = (
    "text{font:12px sans-serif;fill:#222}.small{font-size:10px;fill:#666}.odd{fill:#b00020;font-weight:bold}"
    "polyline{fill:none;stroke:#222;stroke-width:1.5}line{stroke:#ccc}"
)


def svg_of(series: Sequence[Series], unit: Unit, *, wearer: str = "", name: str = "", odd: Iterable[str] = ()) -> str:
    """One row a measurement: its words, a curve from the first day to the last, the last length and the change."""
    days = [datetime.date.fromisoformat(day).toordinal() for one in series for day in one.days]
    first, last = (min(days), max(days)) if days else (0, 0)
    span = max(1, last - first)
    high = TOP + ROW * max(1, len(series)) + 16
    kinds, marked = kinds_of(wearer), set(odd)
    title = "Measurements over time" + (f": {name}" if name else "")
    lines = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDE} {high}" width="{WIDE}" height="{high}">',
        f"<title>{escape(title)}</title><style>{_STYLE}</style>",
        f'<rect width="{WIDE}" height="{high}" fill="#fff"/><text x="12" y="20">{escape(title)}</text>',
    ]
    if days:
        begin, end = (datetime.date.fromordinal(day).isoformat() for day in (first, last))
        lines.append(f'<text class="small" x="{LEFT}" y="38">{begin}</text>')
        if last > first:
            lines.append(f'<text class="small" x="{WIDE - RIGHT}" y="38" text-anchor="end">{end}</text>')
    for k, one in enumerate(series):
        top = TOP + ROW * k
        low, span_mm = reach_of(one.values)
        places = []
        for day, value in zip(one.days, one.values, strict=True):
            along = (datetime.date.fromisoformat(day).toordinal() - first) / span if last > first else 0.0
            up = (value - low) / span_mm
            places.append((LEFT + along * (WIDE - LEFT - RIGHT), top + ROW - 10 - up * (ROW - 20)))
        css = ' class="odd"' if one.name in marked else ""
        change = one.values[-1] - one.values[0]
        told = "" if len(one.values) < 2 else f"{'+' if change > 0 else ''}{show(change, unit)} since {one.days[0]}"
        middle = top + ROW / 2
        lines += [
            f'<line x1="12" x2="{WIDE - 12}" y1="{top + ROW}" y2="{top + ROW}"/>',
            f'<text{css} x="12" y="{middle + 4:.0f}">{escape(kinds[one.name].words)}</text>',
            f'<polyline points="{" ".join(f"{x:.1f},{y:.1f}" for x, y in places)}"/>',
            *(f'<circle cx="{x:.1f}" cy="{y:.1f}" r="2.5"/>' for x, y in places),
            f'<text{css} x="{WIDE - RIGHT + 14}" y="{middle:.0f}">{show(one.values[-1], unit)}</text>',
            f'<text class="small" x="{WIDE - RIGHT + 14}" y="{middle + 13:.0f}">{told}</text>',
        ]
    if not series:
        lines.append(f'<text x="12" y="{TOP + 20}">nothing was measured yet</text>')
    return "\n".join([*lines, "</svg>\n"])


def page_of(svg: str, words: Sequence[str]) -> str:
    """The picture on a page of its own, with what is odd below it."""
    odd = "".join(f"<li>{escape(one)}</li>" for one in words)
    return (
        '<!doctype html>\n<html lang="en"><head><meta charset="utf-8"><title>Measurements over time</title>'
        "<style>body{font:14px sans-serif;max-width:660px;margin:20px auto;color:#222}svg{max-width:100%;height:auto}"
        f"</style></head><body>\n{svg}{f'<h2>To take again</h2><ul>{odd}</ul>' if odd else ''}</body></html>\n"
    )
