"""Whether a lay can be cut: judged on the true cut lines by a geometry library, not by what placed them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from itertools import chain
from typing import Any, Final

from ..geometry.point import XY
from ..geometry.polygon import Box
from ..values import dataclass
from .matching import SeamSide
from .pieces import Pieces
from .placed import Lay, Placement, Stretch

LEAST_OVERLAP: Final = 0.01
"""mm²; less is rounding."""
_NEAR: Final = 0.01
PHASE: Final = 0.5
"""How far a matched point may be off its repeat, mm."""


@dataclass(frozen=True, slots=True)
class Verdict:
    """What was wrong, in words; the worst overlap, mm², the least gap between two pieces and the worst phase, mm."""

    problems: tuple[str, ...]
    overlap: float
    gap: float | None
    phase: float | None

    @property
    def holds(self) -> bool:
        return not self.problems


def judged(lay: Lay, pieces: Pieces) -> Verdict:
    """No overlap, the gap kept, all on the cloth, none on a flaw, grain and fold kept, repeat met, each placed once."""
    problems = list(_counted(lay, pieces))
    overlap, phase = 0.0, None
    gaps: list[float] = []
    for stretch in lay.stretches:
        shapes = _shapes(stretch.placements)
        found, worst, least = _apart(stretch, shapes)
        problems += [*found, *_on_cloth(stretch), *_off_flaws(stretch, shapes), *_as_allowed(stretch)]
        overlap = max(overlap, worst)
        gaps += [least] if least is not None else []
        if stretch.cloth.matched:
            off = worst_phase(stretch)
            phase = max(phase or 0.0, off)
            if off > PHASE:
                problems.append(f"a matched point is {off:.1f} mm off its repeat; at most {PHASE} mm is meant")
    return Verdict(tuple(problems), overlap, min(gaps, default=None), phase)


def _shapes(placements: Sequence[Placement]) -> list[Any]:
    import shapely

    return [shapely.Polygon(placed.outline()) for placed in placements]


def _counted(lay: Lay, pieces: Pieces) -> Iterable[str]:
    placed = Counter(p.piece.key for stretch in lay.stretches for p in stretch.placements)
    wanted = Counter(piece.key for piece in chain(pieces.spread, pieces.opened))
    for key in wanted | placed:
        if placed[key] != wanted[key]:
            yield f"{key} is placed {placed[key]} times; {wanted[key]} is meant"


def _apart(stretch: Stretch, shapes: Sequence[Any]) -> tuple[list[str], float, float | None]:
    import shapely

    cloth, found, worst = stretch.cloth, [], 0.0
    least: float | None = None
    tree = shapely.STRtree(shapes)
    for i, shape in enumerate(shapes):
        near = shapely.box(*shape.bounds).buffer(cloth.gap + 1.0)
        for j in tree.query(near):
            if j <= i:
                continue
            shared = float(shape.intersection(shapes[j]).area)
            worst = max(worst, shared)
            names = f"{stretch.placements[i].piece.key} and {stretch.placements[j].piece.key}"
            if shared > LEAST_OVERLAP:
                found.append(f"{names} overlap by {shared:.2f} mm²")
                continue
            gap = float(shape.distance(shapes[j]))
            least = gap if least is None else min(least, gap)
            if gap < cloth.gap - _NEAR:
                found.append(f"{names} are {gap:.2f} mm apart; {cloth.gap:g} mm is meant")
    return found, worst, least


def _on_cloth(stretch: Stretch) -> Iterable[str]:
    cloth = stretch.cloth
    for placed in stretch.placements:
        box = Box.round(placed.outline())
        over = max(
            cloth.left - box.left, box.right - cloth.right,
            cloth.ends - box.bottom, box.top - (stretch.length - cloth.ends),
        )  # fmt: skip
        if over > _NEAR:
            yield f"{placed.piece.key} lies {over:.2f} mm off the cloth, its selvedge or end allowance counted"


def _off_flaws(stretch: Stretch, shapes: Sequence[Any]) -> Iterable[str]:
    import shapely

    for flaw in stretch.cloth.flaws:
        box = shapely.box(flaw.left, flaw.bottom, flaw.right, flaw.top)
        for placed, shape in zip(stretch.placements, shapes, strict=True):
            if float(shape.intersection(box).area) > LEAST_OVERLAP:
                yield f"{placed.piece.key} lies on a flaw"


def _as_allowed(stretch: Stretch) -> Iterable[str]:
    for placed in stretch.placements:
        piece, variant = placed.piece, placed.variant
        turns = [v.turn for v in piece.variants if v.mirrored == variant.mirrored]
        if not any(abs((variant.turn - turn + 180.0) % 360.0 - 180.0) < 1e-6 for turn in turns):
            yield f"{piece.key} is turned by {variant.turn:g}°{' and mirrored' if variant.mirrored else ''}"
        if piece.on_fold:
            box = Box.round(placed.outline())
            off = abs(box.left) if variant.on_left_fold else abs(box.right - stretch.cloth.right)
            if off > _NEAR:
                yield f"{piece.key} is {off:.2f} mm off the fold"


def worst_phase(stretch: Stretch) -> float:
    """How far two points that meet in a seam are off the same place of the repeat, mm, the worst of the stretch."""
    cloth = stretch.cloth
    meets: dict[tuple[tuple[str, int], SeamSide], list[XY]] = {}
    for placed in stretch.placements:
        for key, point in placed.matched_points(cloth):
            meets.setdefault((placed.piece.garment_key, key), []).append(point)
    worst = 0.0
    for points in meets.values():
        x0, y0 = points[0]
        for x, y in points[1:]:
            worst = max(worst, _off(y - y0, cloth.repeat_along), _off(x - x0, cloth.repeat_across))
    return worst


def _off(apart: float, repeat: float) -> float:
    return abs(apart - round(apart / repeat) * repeat) if repeat > 0 else 0.0
