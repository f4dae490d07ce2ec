"""What mending a fault does to the pieces: each before, thin, and after, bold; the place ringed. SVG, not to scale."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from ..draft.moves import mirror, unfold
from ..fitting.fitter import role_of
from ..fitting.tried import Tried
from ..geometry.path import flatten
from ..geometry.point import XY, distance
from ..geometry.polygon import Box, nearest_on
from ..model.piece import Piece, piece_words, title_of
from ..units import Unit, show
from ..values import dataclass
from .report_page import STEADY, escaped

_MOST: Final = 2
"""So many pieces are drawn, those that change most."""
_MOVED: Final = 0.5
"""A piece whose outline moves by less, mm, is as it was."""
_HIGH: Final = 300.0
"""Greatest height of a piece, pixels; and its greatest width."""
_WIDE: Final = 210.0
_PAD: Final = 16.0
_RING: Final = 9.0
_BEFORE: Final = 'stroke="#80858f" stroke-width="1.1"'
_AFTER: Final = 'stroke="#16181d" stroke-width="2.2" stroke-linejoin="round"'
_DIFFERENCE: Final = 'fill="#f0c9b8" fill-rule="evenodd" stroke="none"'
_PLACE: Final = 'stroke="#a3161a" stroke-width="1.8"'


@dataclass(frozen=True, slots=True)
class Changed:
    """A piece before and after, and where its outline moves most: how far, mm, and the place on the new one."""

    before: Piece
    after: Piece
    far: float
    at: XY


def changed(tried: Tried) -> list[Changed]:
    """The pieces whose outlines move, those that move most first."""
    old = {piece.name: piece for piece in tried.plain.pieces}
    found = []
    for piece in tried.fitted.pieces:
        before = old.get(piece.name) or old.get(piece.name.removesuffix("_left").removesuffix("_right"))
        if before is not None and before is not piece:
            nearest = min((_between(one, piece) for one in _as_drawn(before, piece)), key=lambda one: one.far)
            if nearest.far >= _MOVED:
                found.append(nearest)
    return sorted(found, key=lambda one: (not role_of(one.after), one.after.material != "shell", -one.far))


def _as_drawn(before: Piece, after: Piece) -> list[Piece]:
    """The piece as it may be drawn after a fitting of one side: whole, or for the other side."""
    if before.on_fold and not after.on_fold:
        return [unfold(before)]
    return [before] if before.name == after.name else [before, mirror(before, after.name)]


def _between(before: Piece, after: Piece) -> Changed:
    """Where the outline, or else a dart, moves most."""
    a, b = _ring(before), _ring(after)
    moved = [(nearest_on(a, p)[1], p) for p in b]
    moved += [(far, on) for on, far in (nearest_on(b, p) for p in a)]
    far, at = max(moved)
    if far < _MOVED:
        pairs = zip(before.darts, after.darts, strict=False)
        darts = [(distance(p, q), q) for old, new in pairs for p, q in zip(old.points, new.points, strict=False)]
        far, at = max([(far, at), *((far, (q.x, q.y)) for far, q in darts)])
    return Changed(before, after, far, (at[0], at[1]))


def picture(tried: Tried, unit: Unit) -> str:
    """The pieces that change most, side by side; "" where no outline moves."""
    rows = changed(tried)
    rows = [one for one in rows if role_of(one.after) or one is rows[0]][:_MOST]
    if not rows:
        return ""
    boxes = [Box.round((*_ring(one.before), *_ring(one.after))) for one in rows]
    mm = max(max(box.height for box in boxes) / _HIGH, max(box.width for box in boxes) / _WIDE)
    pad, text = _PAD * mm, 13.0 * mm
    high = max(box.height for box in boxes) + 2 * pad + 2.2 * text
    drawn, x = list[str](), pad
    for one, box in zip(rows, boxes, strict=True):
        wide = max(box.width, 90.0 * mm)
        drawn += _piece(one, (x + (wide - box.width) / 2 - box.left, pad + box.top), mm)
        drawn.append(
            f'<text x="{x + wide / 2:.1f}" y="{high - text:.1f}" font-size="{text:.1f}" text-anchor="middle" '
            f'fill="#16181d" stroke="none">{escaped(title_of(one.after))}</text>'
        )
        x += wide + 1.5 * pad
    wide = x - 0.5 * pad
    names = " and ".join(piece_words(one.after.name) for one in rows)
    title = f"{tried.ask.words}, {show(tried.ask.amount, unit)}: {names} before, thin, and after, bold. Not to scale."
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" role="img" width="{wide / mm:.0f}" height="{high / mm:.0f}" '
        f'viewBox="0 0 {wide:.0f} {high:.0f}" font-family="sans-serif"><title>{escaped(title)}</title>'
        f'<g fill="none">{"".join(drawn)}</g></svg>'
    )


def _piece(one: Changed, by: XY, mm: float) -> Iterator[str]:
    def d(points: Sequence[XY], closed: bool) -> str:
        return f"M{' '.join(f'{x + by[0]:.1f} {by[1] - y:.1f}' for x, y in points)}{'Z' * closed}"

    both = d(_ring(one.before), True), d(_ring(one.after), True)
    yield f'<path d="{"".join(both)}" {_DIFFERENCE}/>'
    for outline, piece, look in zip(both, (one.before, one.after), (_BEFORE, _AFTER), strict=True):
        darts = "".join(d(dart.points, len(dart.points) > 3) for dart in piece.darts)
        yield f'<path d="{outline}{darts}" {look} {STEADY}/>'
    x, y = one.at
    yield f'<circle cx="{x + by[0]:.1f}" cy="{by[1] - y:.1f}" r="{_RING * mm:.1f}" {_PLACE} {STEADY}/>'


def _ring(piece: Piece) -> list[XY]:
    return [(p[0], p[1]) for edge in piece.edges for p in flatten(edge.curves)[:-1]]
