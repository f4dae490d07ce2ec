"""Packing by the clock: the shapes go to a strip-packing library (spyrrow), in a process that ends in time.

The strip's length runs along the cloth. Where pieces lie on a fold, they are stacked along it as one shape with a thin
mast across the cloth's whole width: so the packing cannot move them off the fold, and packs the others round them.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from queue import Empty, Queue
from typing import Final

from ..geometry.point import XY
from ..geometry.polygon import Box
from ..values import dataclass
from .cloth import Cloth
from .pieces import LayPiece, Variant
from .placed import Placement
from .shapes import clipped_at_fold, widened

LEAST_SECONDS: Final = 2.0
"""The library packs for a second and then presses for another, at the least."""
_MAST: Final = 0.5
_PLAY: Final = 0.1
"""What the library needs to see that the mast fits across the strip, mm; it is taken back on the fold."""
_OVER: Final = 0.3
"""How far the library may run over its time before it is stopped, s."""


@dataclass(frozen=True, slots=True)
class Strip:
    """What is packed: items with what they stand for, and the height of the strip (across the cloth), mm."""

    height: float
    items: tuple[_Item, ...]


@dataclass(frozen=True, slots=True)
class _Item:
    """A shape in strip coordinates (x along the cloth), and what it stands for: piece, variant and place."""

    shape: tuple[XY, ...]
    turns: tuple[float, ...]
    holds: tuple[tuple[tuple[LayPiece, Variant, XY], ...], ...]
    """As many as there are of it; of each, the pieces in it."""


def strip_of(cloth: Cloth, placements: Sequence[Placement]) -> Strip:
    """The pieces of a lay as items of a strip. Those on a fold keep their order along it and lie close together.

    Of pieces that may be mirrored, those stay mirrored that are so in the lay, since the library only turns.
    """
    left, right = cloth.room
    height = right - left
    items: list[_Item] = []
    for at_left in (True, False):
        stack = sorted(
            (placed for placed in placements if placed.piece.on_fold and placed.variant.on_left_fold is at_left),
            key=lambda placed: Box.round(placed.outline()).bottom,
        )
        if stack:
            items.append(_stacked(stack, cloth.gap, height, at_left=at_left))
    alike: dict[tuple[tuple[XY, ...], Variant, tuple[float, ...]], list[LayPiece]] = {}
    for placed in placements:
        piece, variant = placed.piece, placed.variant
        if not piece.on_fold:
            turns = tuple(sorted({v.turn % 360.0 for v in piece.variants if v.mirrored == variant.mirrored}))
            alike.setdefault((piece.outline, Variant(variant.mirrored, 0.0), turns), []).append(piece)
    for (outline, base, turns), own in alike.items():
        shape = base.move().points(widened(outline, cloth.gap))
        items.append(_Item(_along(shape), turns, tuple(((piece, base, (0.0, 0.0)),) for piece in own)))
    return Strip(height + (_PLAY if any(placed.piece.on_fold for placed in placements) else 0.0), tuple(items))


def packed(
    strip: Strip,
    cloth: Cloth,
    seconds: float,
    *,
    workers: int | None = None,
    seed: int = 1,
    on_better: Callable[[tuple[Placement, ...]], object] | None = None,
) -> tuple[Placement, ...] | None:
    """The best that was found in the time; None if nothing was. `on_better` hears of each; Ctrl-C goes on upwards."""
    task = {
        "height": strip.height,
        "items": [
            {"id": str(i), "shape": item.shape, "demand": len(item.holds), "turns": item.turns}
            for i, item in enumerate(strip.items)
        ],
        "seconds": seconds,
        "workers": workers,
        "seed": seed,
    }
    best: tuple[Placement, ...] | None = None
    for placed in _answers(task, seconds + _OVER):
        best = _placements(strip, cloth, placed)
        if on_better is not None:
            on_better(best)
    return best


Placed = list[tuple[str, float, float, float]]


def _answers(task: dict[str, object], seconds: float) -> Iterator[Placed]:
    """Every better answer as it comes; ends when the process does and when the time is over, and ends the process."""
    environment = dict(os.environ)
    root = str(Path(__file__).resolve().parents[2])
    environment["PYTHONPATH"] = os.pathsep.join(filter(None, (root, environment.get("PYTHONPATH"))))
    process = subprocess.Popen(
        [sys.executable, "-m", "oaktag.lay.packer"],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL,
        env=environment, text=True, start_new_session=True,
    )  # fmt: skip
    lines: Queue[str | None] = Queue()

    def read() -> None:
        assert process.stdout is not None
        for line in process.stdout:
            lines.put(line)
        lines.put(None)

    reader = threading.Thread(target=read, daemon=True)
    ends = time.monotonic() + seconds
    try:
        assert process.stdin is not None
        json.dump(task, process.stdin)
        process.stdin.close()
        reader.start()
        while (left := ends - time.monotonic()) > 0:
            try:
                line = lines.get(timeout=min(left, 0.2))
            except Empty:
                continue
            if line is None:
                return
            answer = json.loads(line)
            if "error" in answer:
                return
            yield [(str(i), float(turn), float(x), float(y)) for i, turn, x, y in answer["placed"]]
    except BrokenPipeError:
        return
    finally:
        process.kill()
        process.wait()
        if reader.ident is not None:
            reader.join(timeout=1.0)
        if process.stdout is not None:
            process.stdout.close()


def _placements(strip: Strip, cloth: Cloth, placed: Placed) -> tuple[Placement, ...]:
    """Strip coordinates back to cloth: (X, Y) of the strip is (left + height - Y, X) on the cloth."""
    left, start = cloth.room[0], cloth.ends - cloth.gap / 2
    found: list[Placement] = []
    used = [0] * len(strip.items)
    for name, turn, tx, ty in placed:
        number = int(name)
        used[number] += 1
        for piece, variant, (ax, ay) in strip.items[number].holds[used[number] - 1]:
            across = left + strip.height - ty + ax
            if piece.on_fold:  # the play of the mast
                across = left if variant.on_left_fold else cloth.right
            at = (across, tx + ay + start)
            found.append(Placement(piece, Variant(variant.mirrored, (variant.turn + turn) % 360.0), at))
    return tuple(found)


def _along(ring: Sequence[XY]) -> tuple[XY, ...]:
    """Cloth coordinates in those of the strip: a quarter turn clockwise."""
    return tuple((y, -x) for x, y in ring)


def _stacked(stack: Sequence[Placement], gap: float, height: float, *, at_left: bool) -> _Item:
    """One shape of all that lies on a fold, close together, with a spine along the fold and a mast across the cloth."""
    import shapely

    parts = []
    holds: list[tuple[LayPiece, Variant, XY]] = []
    top = _MAST
    edge = 0.0 if at_left else height
    for placed in stack:
        half = placed.variant.move().points(clipped_at_fold(widened(placed.piece.outline, gap + 2 * _PLAY)))
        bottom = Box.round(half).bottom
        moved = [(x + edge, y - bottom + top) for x, y in half]
        parts.append(shapely.Polygon(moved))
        holds.append((placed.piece, placed.variant, (edge, top - bottom)))
        top = Box.round(moved).top
    spine = (0.0, _MAST) if at_left else (height - _MAST, height)
    parts += [shapely.box(0.0, 0.0, height, _MAST), shapely.box(spine[0], 0.0, spine[1], top)]
    whole = shapely.union_all(parts)
    ring = [(float(x), float(y)) for x, y in whole.exterior.coords[:-1]]
    shape = _along(ring if whole.exterior.is_ccw else ring[::-1])
    return _Item(shape, (0.0,), (tuple(holds),))
