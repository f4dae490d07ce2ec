"""Notches, measured on the finished pieces: how the ease lies between them, and whether they keep clear of corners."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from math import cos, hypot, radians
from typing import Final

from ..geometry.path import polyline_length
from ..geometry.point import XY
from ..model.finding import Finding, Severity
from ..model.pattern import Pattern
from ..model.piece import Edge, Seam, names_its_place, piece_words
from ..model.ref import Ref
from ..units import show
from ..values import dataclass
from .rule import check, found

BELOW_LIMIT: Final = 0.5
"""Sleeve and armhole below their notches, mm: no ease there (the project's tolerance for edges that are sewn)."""
FRONT_SHARE: Final = (40.0, 60.0)
"""Part of the cap ease that lies in front of the shoulder, % (about half; common practice, no source)."""
FROM_CORNER: Final = 15.0
"""mm (common practice, no source)."""
_COS2: Final = cos(radians(30.0)) ** 2
"""A corner turns by 30° and more."""


@dataclass(frozen=True, slots=True)
class CapSpans:
    """Sleeve less armhole, mm, sewn lengths: below the notches (none on a cap sleeve), and from notch to shoulder."""

    front_below: float
    front: float
    back: float
    back_below: float


def cap_spans(pattern: Pattern, seam: Seam) -> CapSpans | None:
    """Of a seam of a sleeve cap eased, front first, to the front and back armhole; None for any other seam.

    The cap's notch that is named as an edge beside both armholes (the shoulder) meets their corner with it. On a cap
    sleeve the cap begins and ends at the armholes' notches.
    """
    if seam.how != "eased" or len(seam.a) != 1 or len(seam.b) != 2:
        return None
    cap = _Walk.of(pattern, seam.a[0])
    front, back = (_Walk.of(pattern, ref) for ref in seam.b)
    tops = [mark for mark in cap.marks if mark[1] in front.neighbours and mark[1] in back.neighbours]
    if len(tops) != 1 or not front.marks or not back.marks:
        return None
    top, corner = tops[0]
    front, back = front.from_far_end_of(corner), back.from_far_end_of(corner)
    front_notch, back_notch = front.marks[0][0], back.marks[0][0]
    before = [at for at, _ in cap.marks if at < top]
    after = [at for at, _ in cap.marks if at > top]
    if seam.free:
        first, last = 0.0, cap.length
        below = 0.0, 0.0
    elif before and after:
        first, last = before[-1], after[0]
        below = first - front_notch, cap.length - last - back_notch
    else:
        return None
    return CapSpans(
        below[0], top - first - (front.length - front_notch), last - top - (back.length - back_notch), below[1]
    )


@check(error="notches.ease", warning="notches.ease")
def cap_ease(pattern: Pattern) -> Iterator[Finding]:
    """The sleeve's ease lies between the notches, about half in front and half in the back, and none below them."""
    unit = pattern.unit
    for seam in pattern.draft.seams:
        spans = cap_spans(pattern, seam)
        if spans is None:
            continue
        worst = max(spans.front_below, spans.back_below, key=abs)
        yield found(
            "notches.ease", Severity.ERROR, abs(worst) <= BELOW_LIMIT, worst, BELOW_LIMIT,
            f"{seam.name}: no ease below the notches; sleeve and armhole are alike there.",
            f"{seam.name}: below the notches sleeve and armhole differ by {abs(worst):.1f} mm. Move the sleeve's "
            "notches to the armhole's distance from the underarm.",
            digits=3,
        )  # fmt: skip
        total = spans.front + spans.back
        if abs(total) < 1.0:
            continue
        share = 100.0 * spans.front / total
        least, most = FRONT_SHARE
        told = f"{show(spans.front, unit)} in front, {show(spans.back, unit)} in the back"
        yield found(
            "notches.ease", Severity.WARNING, least <= share <= most, share, least if share < 50 else most,
            f"{seam.name}: ease between the notches, {told}.",
            f"{seam.name}: the ease is split {told}. Move the shoulder notch towards the side that has more.",
            unit="%", digits=1,
        )  # fmt: skip


@check(warning="notches.corner")
def off_corners(pattern: Pattern) -> Iterator[Finding]:
    """A notch lies 15 mm and more from any corner, unless it names its place: a fold, a top, an end, a dart's leg."""
    for piece in pattern.pieces:
        nearest: tuple[float, str] | None = None
        for notch in piece.notches:
            if names_its_place(notch.name):
                continue
            line = piece.cut.lines[notch.edge]
            at = _along(line, notch.point)
            gap = min(abs(at - corner) for corner in _corners(line, piece.cut.piece.edge(notch.edge)))
            if nearest is None or gap < nearest[0]:
                nearest = gap, f"the {notch.name} notch of the {piece_words(notch.edge)}"
        if nearest is None:
            continue
        gap, words = nearest
        name = piece_words(piece.name)
        yield found(
            "notches.corner", Severity.WARNING, gap >= FROM_CORNER - 0.05, gap, FROM_CORNER,
            f"{name}: notches keep clear of the corners.",
            f"{name}: {words} lies only {gap:.1f} mm from a corner, where cutting it weakens the cloth. Move it.",
        )  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Walk:
    """A finished edge: its sewn length, and how far along it its notches lie, with their names, in order."""

    neighbours: tuple[str, str]
    length: float
    marks: tuple[tuple[float, str], ...]

    @classmethod
    def of(cls, pattern: Pattern, ref: Ref) -> _Walk:
        piece = pattern.piece(ref.piece)
        edge, line = piece.cut.piece.edge(ref.edge), piece.cut.lines[ref.edge]
        marks = sorted(
            (edge.sewn(_along(line, notch.point)), notch.name)
            for notch in piece.notches
            if notch.edge == ref.edge and not names_its_place(notch.name) and notch.name != "balance"
        )
        return cls(piece.cut.piece.beside(ref.edge), edge.sewn(polyline_length(line)), tuple(marks))

    def from_far_end_of(self, corner: str) -> _Walk:
        """Walked towards the corner that it has with that edge."""
        if self.neighbours[0] != corner:
            return self
        marks = tuple((self.length - at, name) for at, name in reversed(self.marks))
        return _Walk((self.neighbours[1], self.neighbours[0]), self.length, marks)


def _along(line: Sequence[XY], p: XY) -> float:
    """How far along an open line the place nearest to p lies, mm."""
    (px, py), best, found, walked = p, 1e300, 0.0, 0.0
    for (ax, ay), (bx, by) in pairwise(line):
        dx, dy = bx - ax, by - ay
        size = hypot(dx, dy)
        t = ((px - ax) * dx + (py - ay) * dy) / (size * size) if size else 0.0
        t = 0.0 if t < 0.0 else 1.0 if t > 1.0 else t
        gap = (px - ax - t * dx) ** 2 + (py - ay - t * dy) ** 2
        if gap < best:
            best, found = gap, walked + t * size
        walked += size
    return found


def _corners(line: Sequence[XY], edge: Edge) -> list[float]:
    """Its ends and the corners between them, mm along it; those of a dart's mouth do not count."""
    found, walked = [0.0], 0.0
    (px, py), *rest = line
    bx, by = 0.0, 0.0
    for x, y in rest:
        ax, ay, bx, by = bx, by, x - px, y - py
        dot, sizes = ax * bx + ay * by, (ax * ax + ay * ay) * (bx * bx + by * by)
        turns = sizes > 0 and (dot <= 0 or dot * dot < _COS2 * sizes)
        if turns and not any(take.start - 0.5 <= walked <= take.end + 0.5 for take in edge.takes):
            found.append(walked)
        px, py = x, y
        walked += hypot(bx, by)
    return [*found, walked]
