"""Panels that go on below the hip, flared at their seams: each seam edge swung out about the hip, as long as it was.

It leaves the hip as it came, so that no corner shows, and the hem meets it square (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from ...draft.moves import turn
from ...draft.rulers import SHARE, drawn_curve
from ...geometry.curve import Line
from ...geometry.path import Path, part, path_length, pinned, reverse, solve
from ...geometry.point import Point, along, direction, distance
from ...model.piece import Edge, Piece
from ...values import replace
from .style_darts import at_level
from .waistline import onward

_TINY: Final = 1e-3
"""What is left of a curve where it is cut, mm, that is no curve."""
_BENT: Final = 0.4
"""So much of the way from the hip to the hem bends."""


def flared(piece: Piece, seams: Iterable[str], down: float, by: float) -> Piece:
    """The panel with those of its seams that reach the hem `by` mm further out there, from `down` on, the y at which
    they begin to leave their place. Raises GeometryError where a seam does not pass that level."""
    hem = piece.edge("hem")
    edges = {edge.name: edge for edge in piece.edges}
    for name in seams:
        edge = edges.get(name)
        if edge is None:
            continue
        falls = edge.end.y < edge.start.y
        run = edge.curves if falls else reverse(edge.curves)
        far = at_level(piece, name, down)
        far = far if falls else path_length(run) - far
        outwards = 1.0 if distance(run[-1].end, hem.end) < distance(run[-1].end, hem.start) else -1.0
        swung = _swung(run, far, by * outwards)
        edges[name] = replace(edge, curves=swung if falls else reverse(swung))
        hem = _hem_to(hem, run[-1].end, swung)
    edges["hem"] = hem
    return replace(piece, edges=tuple(edges[edge.name] for edge in piece.edges))


def _swung(run: Path, far: float, by: float) -> Path:
    """A run down to the hem, from `far` mm along it on swung out by `by` mm at its end, as long as before: first in an
    arc, then straight."""
    long = path_length(run)
    kept, rest = tuple(c for c in part(run, 0.0, far) if c.length() > _TINY), part(run, far, long)
    hip, leave, end = rest[0].start, rest[0].way(0.0), rest[-1].end
    bent = _BENT * (long - far)

    def drawn(deg: float) -> Path:
        half, whole = (turn((0.0, 0.0), angle).point(leave) for angle in (deg / 2, deg))
        q = along(hip, half, bent)
        arc = drawn_curve(hip, leave, q, whole, SHARE)
        return (arc, Line(q, along(q, whole, long - far - arc.length())))

    turned = solve(lambda deg: drawn(deg)[-1].end.x - end.x - by, -60.0, 60.0, near=1e-6)
    return (*pinned(kept, end=hip), *drawn(turned)) if kept else drawn(turned)


def _hem_to(hem: Edge, old: Point, seam: Path) -> Edge:
    """The hem, drawn anew to where a seam ends now, square to it, as it was at its other end."""
    at_start = distance(hem.start, old) < distance(hem.end, old)
    end = seam[-1].end
    ahead = direction(end, hem.end) if at_start else direction(hem.start, end)
    way = onward(seam[-1].way(1.0), ahead)
    a, b = (end, hem.end) if at_start else (hem.start, end)
    leave, arrive = (way, hem.curves[-1].way(1.0)) if at_start else (hem.curves[0].way(0.0), way)
    return replace(hem, curves=(drawn_curve(a, leave, b, arrive, SHARE),))
