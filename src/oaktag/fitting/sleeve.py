"""Faults of the sleeve: an arm that is large or thin for it."""

from __future__ import annotations

from itertools import chain
from typing import Final

from ..draft.moves import turn
from ..geometry.path import Path, flatten, part, path_length, solve
from ..geometry.point import Point, distance, turn_deg
from ..model.fitted import Ask
from ..model.length import inch
from ..model.piece import Piece
from ..values import replace
from .fault import Fault
from .fitter import Fitter
from .laid import aimed, bracket, mapped
from .warp import Field, warped

_PLACES: Final = ("cap", "underarm_front", "underarm_back")
_FLATTEST: Final = 0.05
"""A cap stands this part of its width high at least (judgement, no source)."""
_LONG: Final = 0.75
"""A sleeve whose underarm is longer than this part of its width is a long one (judgement, no source)."""


def large_upper_arm(on: Fitter, ask: Ask) -> None:
    """Wider round the upper arm, to nothing at the wrist of a long sleeve."""
    on.change("sleeve", lambda piece: _wider(on, ask, piece, ask.amount), *_PLACES)


def thin_arm(on: Fitter, ask: Ask) -> None:
    """Narrower round the upper arm, to nothing at the wrist of a long sleeve."""
    on.change("sleeve", lambda piece: _wider(on, ask, piece, -ask.amount), *_PLACES)


def _wider(on: Fitter, ask: Ask, piece: Piece, by: float) -> Piece:
    """The sleeve so much wider at the biceps line, its cap lower, so that it is as long as it was, in front and back
    each; the lower edge lower by as much, so that the sleeve is as long. A long one stays as wide as it is at the
    wrist, with what lies there; a short one is wider at its hem too."""
    cap = piece.edge("cap")
    start, end, long = cap.start, cap.end, cap.length()
    wide, middle, low = distance(start, end), (start.x + end.x) / 2, (start.y + end.y) / 2
    high = max(p[1] for p in flatten(cap.curves)) - low
    if wide + by < wide / 2:
        on.refuse(ask, f"the sleeve is {on.say(wide)} wide", f"Make it less than {on.say(-by)}")
    front = next((notch.at for notch in piece.notches if notch.edge == "cap" and notch.name == "shoulder"), None)
    foot = _foot(piece, low)
    deep = low - min(p.y for edge in piece.edges for curve in edge.curves for p in (curve.start, curve.end))
    wrist = low - foot if deep > wide * _LONG else max(low - foot, wide)

    def field(flat: float, over: float) -> Field:
        """Of a cap `flat` times as high, its top so much further to the front."""

        def moved(p: Point) -> Point:
            down = max(0.0, low - max(p.y, foot))
            x = middle + (p.x - middle) * ((wide + by) / wide) ** ((1.0 - down / wrist) ** 2)
            if p.y < low:
                return Point(x, p.y - high * (1.0 - flat) * down / (low - foot))
            return Point(x + over * (p.y - low) / high, low + (p.y - low) * flat)

        return moved

    def capped(path: Path, flat: float, over: float) -> Path:
        """The cap, or its start, that meets the underarm seams as it did."""
        point = field(flat, over)
        new = list(mapped(path, point))
        for at, corner in ((0, path[0].start), (-1, path[-1].end)):
            for curve in (c for name in _PLACES[1:] for c in piece.edge(name).curves):
                for t, p in ((0.0, curve.start), (1.0, curve.end)):
                    if distance(p, corner) < 0.01:
                        by = turn_deg(curve.way(t), mapped((curve,), point)[0].way(t))
                        way = turn((0.0, 0.0), by).point(path[at].way(float(-at)))
                        new[at] = aimed(new[at], way, at_end=at == -1, as_far=path[at])
        return tuple(new)

    def flat_for(over: float) -> float:
        def more(flat: float) -> float:
            return path_length(capped(cap.curves, flat, over)) - long

        return solve(more, *bracket(more, 1.0, 0.1, 0.9 if by > 0 else 3.0), near=1e-7)

    def in_front(over: float) -> float:
        assert front is not None
        return path_length(capped(part(cap.curves, 0.0, front), flat_for(over), over)) - front

    over = 0.0 if front is None else solve(in_front, *bracket(in_front, 0.0, 5.0, 60.0), near=1e-6)
    flat = flat_for(over)
    if high * flat < (wide + by) * _FLATTEST:
        on.refuse(
            ask,
            f"the cap of the {piece.name} would stand {on.say(high * flat)} high over {on.say(wide + by)}",
            "Make it less, and let the armhole out at the side",
        )
    made = warped(piece, field(flat, over))
    drawn = replace(made.edge("cap"), curves=capped(cap.curves, flat, over), takes=cap.takes)
    kept = [notch for notch in piece.notches if notch.edge == "cap"]
    return replace(
        made,
        edges=tuple(drawn if edge.name == "cap" else edge for edge in made.edges),
        notches=(*kept, *(notch for notch in made.notches if notch.edge != "cap")),
    )


def _foot(piece: Piece, low: float) -> float:
    """The height of the lower edge, or of the highest mark that hangs on it, such as a placket."""
    ends = [p.y for edge in piece.edges if edge.name not in _PLACES for c in edge.curves for p in (c.start, c.end)]
    marks = [p.y for line in piece.internal_lines for p in line.points if all(q.y < low - 1.0 for q in line.points)]
    tips = [p.y for dart in piece.darts for p in dart.points]
    return max(chain(ends, (y for y in (*marks, *tips) if y < low - 20.0)))


ROWS: Final[tuple[Fault, ...]] = (
    Fault(
        "large_upper_arm",
        sign="the sleeve is tight round the upper arm: it wrinkles across, and rides up",
        pin="open the sleeve lengthwise at the middle of the upper arm until it lies with ease, and measure the "
        "gap: what is lacking round the arm",
        change="sleeve wider at the biceps line, to nothing at the wrist of a long one; its cap "
        "lower, so that it is as long as it was, and the sleeve as long",
        stays="cap, underarm seams to each other, and the wrist",
        way=large_upper_arm, most=inch(2.5), keeps=("sleeve.cap", "sleeve.wrist_edge"),
        usual="3/8 to 2 in of girth (1 to 5 cm)",
    ),
    Fault(
        "thin_arm",
        sign="the sleeve hangs in upright folds at the upper arm",
        pin="pinch a fold lengthwise at the middle of the upper arm, and measure all that is pinched, both layers: "
        "what is too much round the arm",
        change="sleeve narrower at the biceps line, to nothing at the wrist of a long one; its cap "
        "higher, so that it is as long as it was, and the sleeve as long",
        stays="cap, underarm seams to each other, and the wrist",
        way=thin_arm, most=inch(1.5), keeps=("sleeve.cap", "sleeve.wrist_edge"),
        usual="3/8 to 1 in of girth (1 to 2.5 cm)",
    ),
)  # fmt: skip
