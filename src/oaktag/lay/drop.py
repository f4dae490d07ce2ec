"""Placing in order: each piece slides down the cloth onto what lies there, at the place and in the way that suit best.

The cloth is seen in columns some millimetres wide, with how far each is taken. A piece has the lowest and the highest
point in each of its columns, so the place where it comes to rest is found exactly along and by columns across. It is
quick (thousands of placings a second) and keeps to everything that binds: the fold, flaws, the repeat of a stripe.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil, floor, isfinite
from typing import TYPE_CHECKING, Final, TypeAlias

from ..errors import InputError
from ..geometry.point import XY
from ..geometry.polygon import Box
from ..values import dataclass, field
from .cloth import Cloth
from .matching import SeamSide
from .pieces import LayPiece, Variant
from .placed import Placement
from .shapes import clipped_at_fold, widened

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

_COLUMNS: Final = 300
"""About so many across the cloth."""
_NARROWEST: Final = 2.0
_NEAR: Final = 1e-9
_LONGEST: Final = 1e6
"""mm; no lay is a kilometre long."""
Phases: TypeAlias = dict[SeamSide, XY]
"""Where the repeat is at the seams of a garment, once a piece of each is placed."""


@dataclass(frozen=True, slots=True)
class _Profile:
    """A variant of a piece in columns; its lower left corner (of the widened outline) is (0, 0) of `low` and `high`.

    `corner` is where that corner lies when the piece is put down at (0, 0); `left` is how far into its first column.
    """

    variant: Variant
    low: Floats
    high: Floats
    corner: XY
    left: float
    width: float
    top: float


@dataclass(slots=True)
class Placer:
    """Places pieces on one cloth. It keeps what it works out about each shape: made once, asked often."""

    cloth: Cloth
    step: float = 0.0
    rooms: dict[tuple[tuple[XY, ...], Variant, bool, float], _Profile] = field(default_factory=dict)

    def __post_init__(self) -> None:
        cloth = self.cloth
        room = cloth.right - cloth.left + cloth.gap
        self.step = max(_NARROWEST, room / _COLUMNS)
        if cloth.repeat_across > 0:  # so that places one repeat apart lie alike in their columns
            self.step = cloth.repeat_across / ceil(cloth.repeat_across / self.step)

    @property
    def left(self) -> float:
        """Where widened outlines may begin."""
        return self.cloth.room[0]

    @property
    def right(self) -> float:
        """Where they must end."""
        return self.cloth.room[1]

    def place(self, order: Sequence[LayPiece]) -> tuple[tuple[Placement, ...], float]:
        """All of them in that order, and how long the lay is without its ends, mm (from the first end's allowance on).

        With a repeat, a piece that leads others is placed before them. Raises InputError for one that is wider than the
        cloth.
        """
        import numpy as np

        columns = ceil((self.right - self.left) / self.step - _NEAR)
        taken = np.full(columns, self.cloth.ends - self.cloth.gap / 2)
        phases: dict[tuple[str, int], Phases] = {}  # by garment
        placed: list[Placement] = []
        for piece in _leaders_first(order) if self.cloth.matched else order:
            own = phases.setdefault(piece.garment_key, {})
            placement, profile, column, y = self._best(piece, taken, own)
            part = slice(column, column + len(profile.low))
            taken[part] = np.maximum(taken[part], y + profile.high)
            placed.append(placement)
            for key, point in placement.matched_points(self.cloth):
                own.setdefault(key, point)
        return tuple(placed), float(taken.max()) - self.cloth.gap / 2

    def _best(self, piece: LayPiece, taken: Floats, phases: Phases) -> tuple[Placement, _Profile, int, float]:
        best: tuple[float, float, int] | None = None
        answer: tuple[Placement, _Profile, int, float] | None = None
        for variant in piece.variants:
            found = self._place_of(piece, variant, taken, phases)
            if found is None:
                continue
            profile, column, y = found
            rank = (y + profile.top, y, column)
            if best is None or rank < best:
                x = self.left + column * self.step + profile.left - profile.corner[0]
                best = rank
                answer = Placement(piece, variant, (x, y - profile.corner[1])), profile, column, y
        if answer is None:
            box = Box.round(piece.outline)
            raise InputError(
                f"{piece.name.replace('_', ' ')} is {box.width:.0f} mm wide, and the cloth has "
                f"{self.cloth.right - self.cloth.left:.0f} mm between its edges",
                expected="wider cloth",
                instead="Give a larger --cloth-width" + (", or lay it --open" if self.cloth.layers == 2 else ""),
            )
        return answer

    def _place_of(
        self, piece: LayPiece, variant: Variant, taken: Floats, phases: Phases
    ) -> tuple[_Profile, int, float] | None:
        """The column where it comes to rest lowest, and how low; None where it cannot lie so."""
        import numpy as np

        along, across = _bound(piece, variant, phases)
        left = 0.0
        if self.cloth.repeat_across > 0 and across is not None:
            first = self._profile(piece, variant, 0.0)
            # x = self.left + column * step + left - corner must be `across` modulo the repeat
            left = (across - self.left + first.corner[0]) % self.step
            if left > self.step - _NEAR:
                left = 0.0
        profile = self._profile(piece, variant, left)
        count = len(taken) - len(profile.low) + 1
        if count < 1 or profile.width > self.right - self.left + _NEAR:
            return None
        windows = np.lib.stride_tricks.sliding_window_view(taken, len(profile.low))
        ys = (windows - profile.low).max(axis=1)
        columns = np.arange(count)
        rights = self.left + columns * self.step + profile.left + profile.width
        ys = np.where(rights > self.right + _NEAR, np.inf, ys)
        if piece.on_fold:
            fold = 0 if variant.on_left_fold else count - 1
            ys = np.where(columns == fold, ys, np.inf)
        if self.cloth.repeat_across > 0 and across is not None:
            xs = self.left + columns * self.step + profile.left - profile.corner[0] - across
            off = np.abs(xs / self.cloth.repeat_across - np.round(xs / self.cloth.repeat_across))
            ys = np.where(off * self.cloth.repeat_across < 0.01, ys, np.inf)
        repeat = self.cloth.repeat_along
        wait = None if along is None or repeat <= 0 else (along + profile.corner[1], repeat)
        ys = _next_phase(ys, wait)
        for _ in range(4 * len(self.cloth.flaws)):
            moved = self._past_flaws(ys, profile)
            if moved is None:
                break
            ys = _next_phase(moved, wait)
        best = int(np.argmin(ys))
        y = float(ys[best])
        return (profile, best, y) if isfinite(y) and y < _LONGEST else None

    def _past_flaws(self, ys: Floats, profile: _Profile) -> Floats | None:
        """The places moved up beyond every flaw that they lie on; None if there is none."""
        import numpy as np

        moved = ys.copy()
        half = self.cloth.gap / 2
        for flaw in self.cloth.flaws:
            first = max(0, floor((flaw.left - half - self.left) / self.step))
            last = min(len(ys) + len(profile.low) - 2, floor((flaw.right + half - self.left) / self.step))
            for column in range(max(0, first - len(profile.low) + 1), min(len(ys) - 1, last) + 1):
                part = slice(max(0, first - column), min(len(profile.low), last - column + 1))
                low, high = float(profile.low[part].min()), float(profile.high[part].max())
                y = float(moved[column])
                if isfinite(y) and y + low < flaw.top + half - _NEAR and y + high > flaw.bottom - half + _NEAR:
                    moved[column] = flaw.top + half - low
        return None if np.array_equal(moved, ys) else moved

    def _profile(self, piece: LayPiece, variant: Variant, left: float) -> _Profile:
        key = (piece.outline, variant, piece.on_fold, round(left, 6))
        found = self.rooms.get(key)
        if found is None:
            found = _profile_of(piece, variant, self.cloth.gap, self.step, left, self._at_right(piece, variant))
            self.rooms[key] = found
        return found

    def _at_right(self, piece: LayPiece, variant: Variant) -> float | None:
        """For a piece whose fold lies on the right fold of a tube: the x of that fold."""
        return None if not piece.on_fold or variant.on_left_fold else self.right - self.left


def _profile_of(
    piece: LayPiece, variant: Variant, gap: float, step: float, left: float, right_fold: float | None
) -> _Profile:
    import numpy as np

    ring = widened(piece.outline, gap)
    if piece.on_fold:
        ring = clipped_at_fold(ring)
    ring = tuple(variant.move().points(ring))
    box = Box.round(ring)
    if right_fold is not None:  # its right side lies on the last column's end
        left = (right_fold - box.width) % step
        left = 0.0 if left > step - 1e-7 else left
    columns = max(1, ceil((left + box.width) / step - 1e-7))
    low, high = np.full(columns, np.inf), np.full(columns, -np.inf)
    ax, ay = ring[-1][0] - box.left + left, ring[-1][1] - box.bottom
    for x, y in ring:
        bx, by = x - box.left + left, y - box.bottom
        first, last = sorted((ax, bx))
        i, j = max(0, floor(first / step - 1e-9)), min(columns - 1, floor(last / step + 1e-9))
        edges = np.clip(np.arange(i, j + 2) * step, first, last)
        ys = np.full(len(edges), ay) if bx == ax else ay + (edges - ax) * ((by - ay) / (bx - ax))
        a, b = np.minimum(ys[:-1], ys[1:]), np.maximum(ys[:-1], ys[1:])
        if bx == ax:
            a, b = np.minimum(a, by), np.maximum(b, by)
        low[i : j + 1] = np.minimum(low[i : j + 1], a)
        high[i : j + 1] = np.maximum(high[i : j + 1], b)
        ax, ay = bx, by
    return _Profile(variant, low, high, (box.left, box.bottom), left, box.width, box.height)


def _next_phase(ys: Floats, wait: tuple[float, float] | None) -> Floats:
    """Each y at once or later at which it is `wait[0]` modulo `wait[1]`."""
    if wait is None:
        return ys
    import numpy as np

    phase, repeat = wait
    with np.errstate(invalid="ignore"):
        return phase + np.ceil((ys - phase) / repeat - 1e-7) * repeat


def _leaders_first(order: Sequence[LayPiece]) -> list[LayPiece]:
    """The same order, but the piece that leads others of its garment comes before them."""
    leaders: dict[tuple[tuple[str, int], str], LayPiece] = {}
    for piece in order:
        leaders.setdefault((piece.garment_key, piece.name), piece)
    done: dict[int, None] = {}
    found: list[LayPiece] = []

    def add(piece: LayPiece) -> None:
        if id(piece) in done:
            return
        done[id(piece)] = None
        for name in dict.fromkeys(match.leads for match in piece.matches if match.leads):
            leader = leaders.get((piece.garment_key, name))
            if leader is not None:
                add(leader)
        found.append(piece)

    for piece in order:
        add(piece)
    return found


def _bound(piece: LayPiece, variant: Variant, phases: Phases) -> tuple[float | None, float | None]:
    """Where the piece must be put down, modulo the repeat: y and x, from the first of its points that is bound."""
    for match in piece.matches:
        fixed = phases.get(variant.side_of(match))
        if fixed is not None:
            point = variant.move().point(match.at)
            return fixed[1] - point.y, fixed[0] - point.x
    return None, None
