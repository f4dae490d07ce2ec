"""Faults of the neck."""

from __future__ import annotations

from typing import Final

from ..draft.stretches import cut_run
from ..errors import GeometryError
from ..geometry.curve import Line
from ..geometry.path import Path, path_length, pinned, reverse
from ..geometry.point import Point, along, distance
from ..model.fitted import Ask
from ..model.length import cm
from ..model.piece import Edge, Piece
from ..values import replace
from .cup import far_to
from .fault import Fault
from .fitter import Fitter, called

SHORTEST: Final = 40.0
"""A shoulder is so long at least, mm (judgement, no source)."""
_PLACES: Final = ("shoulder", "neck", "centre")


def thick_neck(on: Fitter, ask: Ask) -> None:
    """Cut the neck anew, that much further out all along it, front and back."""
    _recut(on, ask, ask.amount)


def thin_neck(on: Fitter, ask: Ask) -> None:
    """Draw the neck anew, that much further in all along it, front and back."""
    _recut(on, ask, -ask.amount)


def _recut(on: Fitter, ask: Ask, by: float) -> None:
    for role in ("front", "back"):
        left = on.piece(role, *_PLACES).edge(on.edge(role, "shoulder").name).sewn_length() - by
        if left < SHORTEST:
            on.refuse(ask, f"the {role} shoulder would be {on.say(left)} long", "Make it less")
    for role in ("front", "back"):
        on.change(role, lambda piece: recut(piece, by), *_PLACES)


def recut(half: Piece, by: float) -> Piece:
    """The half with shoulder and centre cut off by `by` mm at the neck, or led on, and the neck redrawn in between: it
    meets them as it did. Raises GeometryError where it does not run plainly from one to the other."""
    shoulder, neck, centre = (half.edge(called(half, name)) for name in _PLACES)
    last, first = shoulder.curves[-1], centre.curves[0]
    if distance(shoulder.end, neck.start) > 1e-3 or distance(neck.end, centre.start) > 1e-3 or neck.takes:
        raise GeometryError(f"{half.name}: its neck does not run plainly from the shoulder to the centre")
    drawn = _between(neck.curves, along(shoulder.end, last.way(1.0), -by), along(centre.start, first.way(0.0), by))
    made = {
        shoulder.name: reverse(_begun(reverse(shoulder.curves), drawn[0].start)),
        neck.name: drawn,
        centre.name: _begun(centre.curves, drawn[-1].end),
    }
    if any(take.end > path_length(made[shoulder.name]) - 5.0 for take in shoulder.takes):
        raise GeometryError(f"{half.name}: its shoulder dart lies where the neck would be cut")
    less = centre.length() - path_length(made[centre.name])
    share = path_length(drawn) / neck.length()
    ends = {neck.start: drawn[0].start, neck.end: drawn[-1].end}
    return replace(
        half,
        edges=tuple(_redrawn(edge, made[edge.name]) if edge.name in made else edge for edge in half.edges),
        notches=tuple(
            replace(n, at=n.at * share if n.edge == neck.name else n.at - less if n.edge == centre.name else n.at)
            for n in half.notches
        ),
        points={name: next((new for old, new in ends.items() if distance(p, old) < 0.01), p)
                for name, p in half.points.items()},
        cut_line=(),
    )  # fmt: skip


def _between(run: Path, a: Point, b: Point) -> Path:
    """A run drawn anew from a to b: one curve leaves and arrives as it did; several are scaled across and down."""
    start, end = run[0].start, run[-1].end
    share = distance(a, b) / distance(start, end)
    if len(run) == 1:
        _, *handles, _ = run[0].controls()
        moved = (Point(a.x + (p.x - start.x) * share, a.y + (p.y - start.y) * share) for p in handles[:1])
        back = (Point(b.x + (p.x - end.x) * share, b.y + (p.y - end.y) * share) for p in handles[1:])
        return (run[0].with_controls((a, *moved, *back, b)),)
    across, down = (b.x - a.x) / (end.x - start.x), (b.y - a.y) / (end.y - start.y)

    def placed(p: Point) -> Point:
        return Point(a.x + (p.x - start.x) * across, a.y + (p.y - start.y) * down)

    return tuple(curve.with_controls(tuple(map(placed, curve.controls()))) for curve in run)


def _begun(run: Path, p: Point) -> Path:
    """A run that begins at a point near its start: cut off there, or led straight on to it."""
    first = run[0]
    if isinstance(first, Line):
        return (Line(p, first.b), *run[1:])
    way, start = first.way(0.0), first.start
    far = far_to(run, lambda q: (q.x - p.x) * way.x + (q.y - p.y) * way.y)
    if (p.x - start.x) * way.x + (p.y - start.y) * way.y <= 0 or far is None:
        return (Line(p, start), *run)
    return pinned(cut_run(run, far)[1], start=p)


def _redrawn(edge: Edge, curves: Path) -> Edge:
    share = path_length(curves) / edge.length()
    return replace(edge, curves=curves, spans=tuple(replace(span, long=span.long * share) for span in edge.spans))


_KEEPS: Final = ("front.armhole", "back.armhole", "front.side", "back.side")
ROWS: Final[tuple[Fault, ...]] = (
    Fault(
        "thick_neck",
        sign="the neckline is tight, and cuts in at her neck",
        pin="snip into the allowance until it lies flat, chalk the line where neck and shoulder meet, and measure from "
            "the neckline to the chalk",
        change="neckline cut anew further out, all along it",
        stays="armholes and sides; collar and facings follow the neckline",
        way=thick_neck, most=cm(2), keeps=_KEEPS, usual="1/8 to 3/8 in (0.3 to 1 cm)",
    ),
    Fault(
        "thin_neck",
        sign="the neckline stands away from her neck all round",
        pin="measure from the neckline in to the line where neck and shoulder meet",
        change="neckline drawn anew further in, all along it",
        stays="armholes and sides; collar and facings follow the neckline",
        way=thin_neck, most=cm(2), keeps=_KEEPS, usual="1/8 to 3/8 in (0.3 to 1 cm)",
    ),
)  # fmt: skip
