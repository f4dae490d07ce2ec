"""SVG, read with svgelements at 25.4 units to the inch: one unit is one millimetre."""

from __future__ import annotations

from collections import defaultdict
from math import ceil
from pathlib import Path
from typing import Any

from ..geometry.point import XY
from .drawing import Drawing, Named, Run, UnreadableError, slug, squares_by_size


def read_svg(path: Path) -> Drawing:
    """Paths with ids `piece.cut-line`, `piece.stitch-line`, `scale-block.…`; mm, y up. Raises UnreadableError.

    Of several sizes each path has its `data-size`; its id is `piece.cut-line.12` in a nest, `piece.12.cut-line` apart.
    In a nest `piece.cut-line.corners.12` repeats parts of the line.
    """
    import svgelements as svg

    if b"<svg" not in path.read_bytes()[:100_000]:
        raise UnreadableError("it has no <svg> element")
    document: Any = svg.SVG.parse(str(path), reify=True, ppi=25.4)
    roles: dict[str, dict[Named, list[Run]]] = {"cut-line": defaultdict(list), "stitch-line": defaultdict(list)}
    scale: list[Run] = []
    for element in document.elements():
        if not isinstance(element, svg.Shape) or not element.id or "." not in element.id:
            continue
        size = str(element.values.get("data-size") or "")
        name, role, more = _parted(element.id, size)
        role = slug(role)
        if role in roles and more.startswith("corners."):
            continue
        scales = slug(name).startswith("scale-block")
        small = slug(name) == "small-scale-block"
        if not scales and role not in roles and not small:
            continue
        runs = [run for part in svg.Path(element).as_subpaths() if len((run := _run(svg.Path(part))).points) > 1]
        if scales:
            scale.extend(runs)
        elif small:
            roles["cut-line"][Named(name)].extend(run for run in runs if run.closed and run.length() > 150.0)
        else:
            roles[role][Named(name, size)].extend(runs)
    cut, stitch = ({n: tuple(runs) for n, runs in roles[role].items()} for role in ("cut-line", "stitch-line"))
    return Drawing(cut, stitch, squares=squares_by_size(scale))


def _parted(id_: str, size: str) -> tuple[str, str, str]:
    """Piece, role, and what follows the role, of an id.

    >>> _parted("front.cut-line.corners.1.5", "1.5"), _parted("front.1.5.cut-line", "1.5"), _parted("a.b.cut-line", "")
    (('front', 'cut-line', 'corners.1.5'), ('front', 'cut-line', ''), ('a.b', 'cut-line', ''))
    """
    name, _, role = id_.rpartition(".")
    if not size:
        return name, role, ""
    name, _, rest = id_.partition(".")
    first, _, more = rest.partition(".")
    if first in ("cut-line", "stitch-line"):
        return name, first, more
    return name, role, ""


def _run(path: Any) -> Run:
    points: list[XY] = []
    closed = False
    for segment in path:
        kind = type(segment).__name__
        closed = closed or kind == "Close"
        if kind in ("Move", "Line"):
            points.append((segment.end.x, -segment.end.y))
        elif kind != "Close":
            points.extend(_curve(segment))
    return Run.of(points, closed=closed)


def _curve(segment: Any) -> list[XY]:
    """Curves as chords, near enough for 0.002 mm on any radius above 20 mm: half a millimetre each, 200 at most."""
    count = min(200, max(8, ceil(float(segment.length(error=1e-3)) / 0.5)))
    points = (segment.point(i / count) for i in range(1, count + 1))
    return [(p.x, -p.y) for p in points]
