"""Whether cloth that was cut by the old pattern can take the new one: what is left of the allowance, edge by edge."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Final

from ..geometry.point import XY, Point, Ring, along, between, direction, distance, right_of
from ..geometry.polygon import Box, contains, distance_to_line, distance_to_segment, nearest_on, ray_out
from ..model.piece import piece_words
from ..units import Unit, show, show_at_least, show_at_most
from ..values import dataclass
from .laid import STILL, Laid
from .side import SideEdge, SidePiece, distance_to

KEEP: Final = 6.0
"""What must be left of an allowance that is let out, mm: 1/4 in (common practice, no source)."""
SLACK: Final = 0.1
"""How far the cut line may lie off its allowance, mm: the tolerance of finished pieces, with that of flattening."""
_STEP: Final = 1.0  # mm along the stitch line, from one place that is measured to the next
_ALONG: Final = 0.25  # mm: where what is left differs by less, it is the same all along
_NAMED: Final = 15.0  # mm: a named place this near is where it is
_OWN: Final = 0.35  # mm that a place on the cut line may be off its own edge's allowance
_MOSTLY: Final = 0.7  # of an edge's length: less of the cut line, and it is not told which of it is whose
_BEYOND: Final = 10.0  # mm by which a run of the cut line goes on, besides twice its allowance
_FAR: Final = 1e4


@dataclass(frozen=True, slots=True)
class EdgeFit:
    """What the cloth leaves outside of an edge of the new piece, mm.

    `left` is the least of it: below 0 the seam lies beyond the cloth by that; `most` the greatest. `of` is the
    allowance that was cut, None where the old piece has no such edge; `needed`, what has to be left. `at` is where the
    least is, `place` the nearest name and how far from it that is, "" where it is the same all along; `snips`: notches
    of the old piece that are cut in deeper.
    """

    piece: str
    title: str
    edge: str
    left: float
    most: float
    of: float | None
    needed: float
    at: XY
    place: tuple[str, float]
    snips: tuple[XY, ...]
    moved: float
    """How far the edge lies from where it was, at the most, mm."""

    @property
    def beyond(self) -> bool:
        """Whether there is no cloth at all where the seam should be."""
        return self.left < -SLACK

    @property
    def changed(self) -> bool:
        """Whether it lies elsewhere, or is new; or does not hold."""
        return self.moved >= STILL + SLACK or self.of is None or not self.held

    @property
    def held(self) -> bool:
        """Whether enough is left."""
        return self.left >= self.needed - SLACK

    def words(self, unit: Unit) -> str:
        """`12 mm of 25 mm left at the least, at the hip line`; `runs out at the waist: 4 mm beyond the cloth`."""
        name, far = self.place
        at = f", {'at' if far <= _NAMED else f'{show(far, unit)} from'} {name}" if name else " all along"
        snips = ""
        if self.snips:
            count = len(self.snips)
            snips = f"; {count} notch{'es were' if count > 1 else ' was'} snipped in deeper than that, and would show"
        if self.beyond:
            gone = f"{show_at_least(-self.left, unit)} beyond the cloth"
            return f"runs out{at.removeprefix(',')}: {gone}"
        left = show_at_most(max(0.0, self.left) + SLACK, unit)
        of = f" of {show(self.of, unit)}" if self.of is not None else ""
        if not self.held:
            only = f"only {left}" if left != show(0.0, unit) else "nothing"
            return f"{only}{of} is left{at}, and {show_at_least(self.needed, unit)} is needed{snips}"
        if self.of is not None and not self.changed:
            return f"as it was, {show(self.of, unit)} allowance{snips}"
        if self.of is not None and self.left >= self.of - _ALONG:
            return f"all of its {show(self.of, unit)} is left{_more(self.left - self.of, unit)}{snips}"
        return f"{left}{of} left at the least{at}{snips}"


def _more(mm: float, unit: Unit) -> str:
    more = show(mm, unit)
    return f", and {more} more at the least" if mm > SLACK and more != show(0.0, unit) else ""


@dataclass(frozen=True, slots=True)
class PieceFit:
    """What of a piece the cloth can take; `hindered` is why none of it can be, "" where that is not so."""

    name: str
    title: str
    edges: tuple[EdgeFit, ...]
    hindered: str = ""

    @property
    def held(self) -> bool:
        return not self.hindered and all(edge.held for edge in self.edges)


def fit_of(laid: Laid, keep: float = KEEP) -> PieceFit:
    """The new piece on cloth that was cut by the old one's cut line.

    Each place of an edge is measured to the cut line that belongs to the same edge of the old piece, or square to the
    edge where that cannot be told; on an edge that is new, to the nearest of the cut line. What is needed is `keep` mm,
    or no more than the edge's new allowance: one that is bound or meets an edge needs none.
    """
    old, new = laid.old, laid.new
    hindered = ""
    if new.cut_as != old.cut_as and "whole" in (new.cut_as, old.cut_as):
        hindered = "only one of both patterns has it in halves: lay it by hand"
    elif new.cut_as == "fold" and old.cut_as != "fold":
        hindered = "it is cut on the fold now, and the cloth was cut apart there: it would need a seam"
    elif new.quantity > old.quantity and new.cut_as == old.cut_as:
        hindered = f"{new.quantity} are cut now, and {old.quantity} were"
    elif new.material != old.material:
        hindered = f"it is cut from {new.material} now, and was from {old.material}"
    elif new.cut_as == "pair" and old.cut_as == "fold" and new.quantity > 2 * old.quantity:
        hindered = f"{new.quantity} are cut now, of {old.quantity} on the fold"
    cloth = old.cloth()
    runs = cut_runs(old)
    sewn = [edge for edge in new.edges if not edge.on_fold]
    edges = tuple(_edge_fit(laid, edge, cloth, runs, keep) for edge in sewn)
    if not any(edge.beyond for edge in edges) and any(_outside(cloth, old, p) > SLACK for p in new.stitch_line):
        edges = tuple(_edge_fit(laid, edge, cloth, {}, keep) for edge in sewn)  # nowhere its own edge: to the nearest
    return PieceFit(new.name, new.title, edges, hindered)


def _outside(cloth: Ring, old: SidePiece, p: XY) -> float:
    """How far p lies off the cloth, mm; 0 on it."""
    fold = old.fold
    if contains(cloth, p) or (fold is not None and distance_to(fold.points, p) <= STILL):
        return 0.0
    return nearest_on(cloth, p)[1]


def cut_runs(piece: SidePiece) -> dict[str, tuple[tuple[XY, XY], ...]]:
    """Of every edge the runs of the cut line that are its own: as far off it as its allowance, on its outside.

    They go straight on at their ends, so that a corner that is cut in a way of its own (mitred, faced) takes nothing
    off the allowance. An edge of which little is found has none: a cut line that was drawn otherwise.
    """
    ring = piece.cut_line
    found: dict[str, list[tuple[float, XY, XY]]] = {}
    reach = _BEYOND + 2 * max(edge.allowance for edge in piece.edges)
    boxes = {edge.name: Box.round(edge.points) for edge in piece.edges}
    for a, b in zip(ring, (*ring[1:], ring[0]), strict=True):
        if distance(a, b) < 1e-6:
            continue
        for edge in piece.edges:
            box = boxes[edge.name]
            if not (box.left - reach <= a[0] <= box.right + reach and box.bottom - reach <= a[1] <= box.top + reach):
                continue
            off = [_square_off(edge.points, p) for p in (a, between(a, b), b)]
            if edge.on_fold and all(abs(far) <= _OWN for far, _ in off):
                break
            if not edge.on_fold and all(abs(far - edge.width_at(on)) <= _OWN for far, on in off):
                found.setdefault(edge.name, []).append((off[1][1], a, b))
    kept: dict[str, tuple[tuple[XY, XY], ...]] = {}
    for edge in piece.edges:
        own = sorted(found.get(edge.name, ()))
        if sum(distance(a, b) for _, a, b in own) >= _MOSTLY * edge.drawn and own:
            runs = [(p, q) for _, p, q in own]
            kept[edge.name] = (*_onwards(edge, 0, runs[0][0]), *runs, *_onwards(edge, -1, runs[-1][1]))
    return kept


def _onwards(edge: SideEdge, end: int, reached: XY) -> list[tuple[XY, XY]]:
    """From where the cut line of an edge is reached first or last (`end` 0 or -1) to beside that end of the edge, where
    it is not beside it yet, and straight on."""
    line = [p for k, p in enumerate(edge.points) if not k or distance(p, edge.points[k - 1]) > 1e-6]
    way = direction(line[0], line[1]) if end == 0 else direction(line[-2], line[-1])
    width = edge.width_at(0.0 if end == 0 else edge.drawn)
    beside = along(line[end], right_of(way), width)
    ahead = (reached[0] - beside[0]) * way.x + (reached[1] - beside[1]) * way.y
    far = _BEYOND + 2 * edge.allowance
    if end == 0:
        start = beside if ahead > 0 else Point(*reached)
        return [(along(start, way, -far), start), *([(start, reached)] if ahead > 0 else [])]
    start = beside if ahead < 0 else Point(*reached)
    return [*([(reached, start)] if ahead < 0 else []), (start, along(start, way, far))]


def _square_off(line: Sequence[XY], p: XY) -> tuple[float, float]:
    """How far p lies outside of a line of a counter-clockwise outline (less than 0: inside), and how far along it, mm.

    The line goes straight on at its ends.
    """
    best, found, before = 1e300, (0.0, 0.0), 0.0
    last = len(line) - 2
    for i, (a, b) in enumerate(pairwise(line)):
        long = distance(a, b)
        if long < 1e-9:
            continue
        way = direction(a, b)
        on = (p[0] - a[0]) * way.x + (p[1] - a[1]) * way.y
        far = (p[0] - a[0]) * way.y - (p[1] - a[1]) * way.x
        over = max(0.0, -on if i > 0 else 0.0, on - long if i < last else 0.0)
        gap = over * over + far * far
        if gap < best:
            best = gap
            found = (gap**0.5 if far >= 0 else -(gap**0.5)), before + on
        before += long
    return found


def _edge_fit(
    laid: Laid, edge: SideEdge, cloth: Ring, runs: dict[str, tuple[tuple[XY, XY], ...]], keep: float
) -> EdgeFit:
    old = laid.old.edge(edge.name)
    own = runs.get(edge.name, ()) if old is not None and not old.on_fold else ()
    values: list[tuple[float, XY]] = []
    for p in _stations(edge.points):
        if own:
            values.append((_left_of(own, p), p))
        elif (outside := _outside(cloth, laid.old, p)) > 1e-3:
            values.append((-outside, p))
        elif old is not None and not old.on_fold:
            values.append((min(ray_out(cloth, p, outwards(edge, p)), _FAR), p))
        else:
            values.append((nearest_on(cloth, p)[1], p))
    left, at = min(values)
    most = max(values)[0]
    of = old.allowance if old is not None and not old.on_fold else None
    needed = min(keep, edge.allowance)
    tips = [
        tip for snip in laid.old.snips if snip.edge == edge.name for tip in snip.tips
        if contains(laid.new.stitch_line, tip) and nearest_on(laid.new.stitch_line, tip)[1] > SLACK
    ]  # fmt: skip
    place = ("", 0.0) if most - left < _ALONG else _place(laid, edge, at)
    moved = max((distance_to_line(p, old.points) for p in edge.points), default=0.0) if old is not None else 0.0
    return EdgeFit(
        laid.new.name, laid.new.title, edge.name, left, most, of, needed, at, place, tuple(tips), moved
    )  # fmt: skip


def _left_of(runs: Sequence[tuple[XY, XY]], p: XY) -> float:
    """From p to the nearest of runs of a counter-clockwise outline, mm: less than 0 on their outside."""
    each = [(distance_to_segment(p, *run), run) for run in runs]
    far = min(each)[0]
    nearest = [direction(a, b).x * (p[1] - a[1]) - direction(a, b).y * (p[0] - a[0]) for d, (a, b) in each if d <= far]
    return far if max(nearest, key=abs) >= 0 else -far  # at a corner of two runs the one that it is further off tells


def _stations(line: Sequence[XY]) -> Iterator[XY]:
    """Places along a line, none further from the next than a millimetre."""
    yield line[0]
    for a, b in pairwise(line):
        count = max(1, int(distance(a, b) / _STEP + 1))
        for k in range(1, count + 1):
            yield between(a, b, k / count) if k < count else Point(*b)


def _place(laid: Laid, edge: SideEdge, at: XY) -> tuple[str, float]:
    """The named place of the edge that is nearest, and how far that is, mm."""
    named = dict(laid.new.places_on(edge))
    before, after = (_beside(laid.new, edge.name, step) for step in (-1, 1))
    ends = [(f"the {piece_words(before)} end", edge.points[0]), (f"the {piece_words(after)} end", edge.points[-1])]
    for name, p in ends:
        if all(distance(p, q) > STILL for q in named.values()):
            named[name] = p
    name = min(named, key=lambda each: distance(named[each], at))
    return name, distance(named[name], at)


def _beside(piece: SidePiece, edge: str, step: int) -> str:
    names = [each.name for each in piece.edges]
    return names[(names.index(edge) + step) % len(names)]


def outwards(edge: SideEdge, at: XY) -> Point:
    """The direction out of the piece at a place of its edge."""
    runs = [(a, b) for a, b in pairwise(edge.points) if distance(a, b) > 1e-6]
    return right_of(direction(*min(runs, key=lambda run: distance_to_segment(at, *run)))) if runs else Point(0.0, 1.0)
