"""What is told of each placed piece: its number and name, where they stand in a small picture, and where it lies."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from ..geometry.point import XY
from ..geometry.polygon import Box, crossings, simplified
from ..model.nest import Nest
from ..model.piece import piece_words
from ..values import dataclass
from .placed import Placement, Stretch

_WIDE: Final = 0.62
_HIGH: Final = 1.2
"""Of a letter and of a line, as parts of the size of the letters: of a wide face, so that others fit too."""
_LADDER: Final = 12
_NET: Final = 14
_SEEN: Final = 0.25


@dataclass(frozen=True, slots=True)
class Told:
    """One placed piece: its number in the picture, its words, its box on the cloth and where its grain line lies across
    it; of a folded cloth from the fold, else from the left selvedge, mm. `upright`: its grain points to the end."""

    number: int
    placed: Placement
    words: str
    box: Box
    grain: float
    upright: bool


@dataclass(frozen=True, slots=True)
class Name:
    """Lines of words with their middle on the cloth; `size` of the letters, mm; `along`: they run along the cloth."""

    lines: tuple[str, ...]
    at: XY
    size: float
    along: bool


def told(stretch: Stretch, nest: Nest) -> tuple[Told, ...]:
    """Every piece of a stretch, numbered from the start on, as they are chalked."""
    boxes = [Box.round(placed.outline()) for placed in stretch.placements]
    order = sorted(range(len(boxes)), key=lambda i: (round(boxes[i].bottom), boxes[i].left, boxes[i].top))
    found: list[Told] = []
    for number, i in enumerate(order, start=1):
        placed = stretch.placements[i]
        own = placed.piece
        move = placed.whole_move()
        start, end = (move.point(p) for p in nest.of(own.size or nest.base).piece(own.name).grain_line)
        words = piece_words(own.name) + (f" {own.size}" if own.size else "")
        across = 0.0 if own.on_fold else (start.x + end.x) / 2
        found.append(Told(number, placed, words, boxes[i], across, move.yy > 0))
    return tuple(found)


def arrow_of(one: Told, long: float) -> tuple[XY, XY] | None:
    """Tail and tip of an arrow along the grain, by that end of the piece which is its top; `long`, mm."""
    way = 1.0 if one.upright else -1.0
    ring = one.placed.outline()
    level = (one.box.top if one.upright else one.box.bottom) - way * long
    xs = crossings(ring, level)
    runs = sorted(((b - a, (a + b) / 2) for a, b in zip(xs[::2], xs[1::2], strict=False)), reverse=True)
    if not runs:
        return None
    x = runs[0][1]
    ys = crossings([(b, a) for a, b in ring], x)
    ends = [(a, b) for a, b in zip(ys[::2], ys[1::2], strict=False) if a <= level <= b]
    if not ends:
        return None
    end = ends[0][1] if one.upright else ends[0][0]
    return (x, end - way * 1.5 * long), (x, end - way * 0.5 * long)


def name_of(one: Told, part: Box, *, least: float, most: float, along_first: bool, arrow: float) -> Name | None:
    """The number and the words inside that part of the piece which is seen, and clear of its arrow: in one line or two,
    along the cloth or across it, as large as they fit; the number alone where they would be smaller than `least` (size
    of the letters, mm). None where little of the piece is seen, and it has its name elsewhere."""
    import shapely

    whole = shapely.Polygon(simplified(one.placed.outline(), 1.0))
    ring = shapely.intersection(whole, shapely.box(part.left, part.bottom, part.right, part.top))
    if ring.area < _SEEN * whole.area:
        return None
    small = ring.buffer(-2.0)
    ring = ring if small.is_empty else small
    line = arrow_of(one, arrow)
    if line is not None:
        clear = ring.difference(shapely.LineString(line).buffer(arrow / 3))
        ring = ring if clear.is_empty else clear
    centres = _centres(ring)
    first, *rest = f"{one.number} {one.words}".split()
    half = (len(rest) + 1) // 2
    words = [" ".join((first, *rest))], [" ".join((first, *rest[:half])), " ".join(rest[half:])]
    names: list[Name] = []
    for lines in words:
        for along in (along_first, not along_first):
            names.append(_largest(ring, centres, tuple(filter(None, lines)), along, most))
    best = max(names, key=lambda name: round(name.size, 3))
    if best.size >= least:
        return best
    return _largest(ring, centres, (str(one.number),), along_first, most)


def _centres(ring: object) -> list[tuple[float, XY]]:
    """Points inside on a net, the furthest from the edge first."""
    import shapely

    left, bottom, right, top = shapely.bounds(ring)
    net = [
        (left + (i + 0.5) * (right - left) / _NET, bottom + (j + 0.5) * (top - bottom) / _NET)
        for i in range(_NET)
        for j in range(_NET)
    ]
    points = shapely.points(net)
    inside = shapely.contains(ring, points)
    far = shapely.distance(shapely.boundary(ring), points)
    return sorted(
        ((round(float(d), 3), at) for d, at, is_in in zip(far, net, inside, strict=True) if is_in), reverse=True
    )


def _largest(
    ring: object, centres: Sequence[tuple[float, XY]], lines: tuple[str, ...], along: bool, most: float
) -> Name:
    import shapely

    wide, high = _WIDE * max(map(len, lines)), _HIGH * len(lines)
    x, y = (high / 2, wide / 2) if along else (wide / 2, high / 2)
    at = centres[0][1] if centres else tuple(shapely.centroid(ring).coords[0])
    shapely.prepare(ring)
    for step in range(_LADDER):
        size = most * 0.85**step
        boxes = [shapely.box(a - x * size, b - y * size, a + x * size, b + y * size) for _, (a, b) in centres]
        fits = shapely.contains(ring, boxes) if boxes else []
        for (_, here), fit in zip(centres, fits, strict=True):
            if fit:
                return Name(lines, here, size, along)
    return Name(lines, at, most * 0.85**_LADDER, along)
