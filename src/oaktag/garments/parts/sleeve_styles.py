"""Styles of a finished plain sleeve, as moves of it: flared from the cap, spread and gathered, its elbow darted.

The cap between its notches `front` and `back` is drawn anew where the moves have bent it; below them it stays.

Bell: hinged at the cap, n slashes add n times the spread at the hem and nothing to the cap. Puff: the cap and what is
put in are as long as its ratio of the armhole that they are gathered to (derived, garment rules 3.4).
"""

from __future__ import annotations

from math import atan2, degrees
from typing import Final

from ...draft.moves import placed, turn
from ...draft.pivots import pivot, spread
from ...draft.rulers import SHARE, curve, drawn_curve, drawn_run
from ...draft.sectors import Opening
from ...draft.stretches import cut_run
from ...geometry.curve import Cubic
from ...geometry.path import Path, path_length, place_at, solve
from ...geometry.point import Point, between, direction, left_of, right_of
from ...model.piece import Dart, Edge, EdgeKind, InternalLine, NotchPlace, Piece, Take
from ...values import replace

_SLASHES: Final = 12
_HINGED: Final = 4
_PLACES: Final = 6
_DEEP: Final = 40.0
"""The folds of a pleat are drawn so long, mm (common practice, no source)."""
_FROM_END: Final = 20.0
"""The notches that tell front from back lie so far from the ends of a cap sleeve, mm (common practice, no source)."""
_SAG: Final = 25.0
"""How far the hem of a cap sleeve hangs below its ends, mm (common practice, no source)."""


def notch_at(piece: Piece, name: str) -> float:
    """How far along the cap its notch of that name lies, mm as drawn."""
    return next(n.at for n in piece.notches if n.edge == "cap" and n.name == name)


# ---------------------------------------------------------------- fuller


def flared(piece: Piece, by: float, *, low: float = 0.0, at: float = 0.5) -> Piece:
    """The hem `by` mm longer, hinged at the cap between its notches; the cap as long, and as eased, as it was.

    It is slashed so often that the cap bends nowhere, and then drawn anew through what the slashes made of it. `low`:
    the hem is drawn so much lower at that part of it, mm. Raises GeometryError as `spread` does.
    """
    front, back = notch_at(piece, "front"), notch_at(piece, "back")
    hem = piece.edge("hem").length()
    fuller = piece
    for i in reversed(range(_SLASHES)):
        share = (i + 1) / (_SLASHES + 1)
        hinge = back - (back - front) * share
        fuller = spread(fuller, Opening("hem", hem * share, "flare"), ("cap", hinge), by / _SLASHES)
    return hemmed(_smoothed(_whole_lines(levelled(fuller)), front, back), low, at)


def puffed(
    piece: Piece, ratio: float, up: float, *, fore: float, aft: float, hinged: bool = False, low: float = 0.0
) -> Piece:
    """Spread along the middle, and its cap drawn `up` mm higher, so that between the notches it is `ratio` times the
    armhole that it is gathered to; `fore` and `aft` are the armhole's length in front and back, mm.

    `hinged`: at the hem, which stays as long as it is; else it is spread there as much. `low`: the hem is drawn so much
    lower in the middle, mm. Raises GeometryError as `spread` does.
    """
    whole = piece.edge("cap").length()
    front, back = notch_at(piece, "front"), whole - notch_at(piece, "back")
    seam = fore + aft - front - back
    wanted = front + back + ratio * seam
    hem, shoulder = piece.edge("hem").length(), notch_at(piece, "shoulder")

    def wider(by: float) -> Piece:
        if not hinged:
            return levelled(spread(piece, Opening("cap", shoulder, "flare"), ("hem", hem / 2), by, by))
        fuller = piece
        for i in reversed(range(_HINGED)):
            share = (i + 1) / (_HINGED + 1)
            far = front + (whole - back - front) * share
            fuller = spread(fuller, Opening("cap", far, "flare"), ("hem", hem * (1 - share)), by / _HINGED)
        return levelled(fuller)

    share = (shoulder - front) / (whole - back - front)
    high = piece.points["cap_top"].y - piece.edge("hem").start.y
    by = solve(lambda by: _domed(wider(by), share, up).edge("cap").length() - wanted, 5.0, high - 5.0, near=1e-4)
    fuller = _domed(wider(by), share, up)
    gathered = wanted - fore - aft
    cap = replace(fuller.edge("cap"), takes=(Take(fore, fore + gathered, "gathers"),))
    ends = {f"gathers_{end}": place_at(cap.curves, at)[0] for end, at in (("start", fore), ("end", fore + gathered))}
    fuller = replace(fuller, edges=tuple(cap if e.name == "cap" else e for e in fuller.edges),
                     points={**fuller.points, **ends})  # fmt: skip
    return hemmed(_with_shoulder(_whole_lines(fuller), fore + gathered * (fore - front) / seam), low)


def levelled(piece: Piece) -> Piece:
    """The sleeve turned so that both ends of its cap lie level, its grain upright below the top."""
    a, b = piece.edge("cap").start, piece.edge("cap").end
    tilt = degrees(atan2(a.y - b.y, a.x - b.x))
    straight = placed(piece, turn(b, -tilt))
    top = straight.points["cap_top"]
    low = straight.edge("hem").start.y
    high = straight.edge("cap").start.y
    return replace(straight, grain=(Point(top.x, (top.y + high) / 2), Point(top.x, low + (high - low) / 4)))


def _whole_lines(piece: Piece) -> Piece:
    """The piece with one line of each name: the parts that the slashes made of it, from end to end."""
    found: dict[str, InternalLine] = {}
    for line in piece.internal_lines:
        before = found.get(line.name)
        found[line.name] = replace(before, points=(*before.points, *line.points)) if before else line
    return replace(piece, internal_lines=tuple(found.values()))


def _domed(piece: Piece, share: float, up: float) -> Piece:
    """The cap drawn anew between its notches, its top at that part of the way, `up` mm higher than it is."""
    cap, front, back = piece.edge("cap"), notch_at(piece, "front"), notch_at(piece, "back")
    before, rest = cut_run(cap.curves, front)
    after = cut_run(rest, back - front)[1]
    a, b = before[-1].end, after[0].start
    top = Point(
        a.x + (b.x - a.x) * share, max(p.y for curve in cap.curves for p in map(curve.at, (0.0, 0.5, 1.0))) + up
    )
    level = Point(-1.0, 0.0)
    middle: Path = (
        drawn_curve(a, before[-1].way(1.0), top, level, SHARE),
        drawn_curve(top, level, b, after[0].way(0.0), SHARE),
    )
    return _recut(piece, before, middle, after)


def _smoothed(piece: Piece, front: float, back: float) -> Piece:
    """The cap drawn anew between its notches, as long as it is, through six places of it in its direction there."""
    cap = piece.edge("cap")
    before, rest = cut_run(cap.curves, front)
    run, after = cut_run(rest, back - front)
    places = [place_at(run, (back - front) * i / _PLACES) for i in range(_PLACES + 1)]
    turns = [direction(place_at(run, far - 1.0)[0], place_at(run, far + 1.0)[0])
             for far in ((back - front) * i / _PLACES for i in range(1, _PLACES))]  # fmt: skip
    ways = [before[-1].way(1.0), *turns, after[0].way(0.0)]

    def through(reach: float) -> Path:
        return tuple(
            Cubic.leaving_and_arriving(p, (v.x * reach, v.y * reach), q, (w.x * reach, w.y * reach))
            for (p, _), v, (q, _), w in zip(places, ways, places[1:], ways[1:], strict=False)
        )

    chord = (back - front) / _PLACES
    reach = solve(lambda reach: path_length(through(reach)) - (back - front), chord / 6, chord * 0.6, near=1e-7)
    smooth = _recut(piece, before, through(reach), after)
    return _with_shoulder(smooth, notch_at(piece, "shoulder"))


def _recut(piece: Piece, before: Path, middle: Path, after: Path) -> Piece:
    """The piece with a cap of these runs; its notch `back` where the last begins."""
    far = path_length(before) + path_length(middle)
    return replace(
        piece,
        edges=tuple(Edge("cap", e.kind, (*before, *middle, *after)) if e.name == "cap" else e for e in piece.edges),
        notches=tuple(replace(n, at=far) if (n.edge, n.name) == ("cap", "back") else n for n in piece.notches),
    )


def _with_shoulder(piece: Piece, at: float) -> Piece:
    """The piece with its shoulder notch so far along the cap, mm, and the cap's top there."""
    return replace(
        piece,
        notches=tuple(replace(n, at=at) if (n.edge, n.name) == ("cap", "shoulder") else n for n in piece.notches),
        points={**piece.points, "cap_top": place_at(piece.edge("cap").curves, at)[0]},
    )


def hemmed(piece: Piece, low: float = 0.0, at: float = 0.5) -> Piece:
    """The hem drawn anew, square to the underarm seams, through a place of it that is lowered by so much, mm."""
    edge = piece.edge("hem")
    before, after = (piece.edge(name) for name in piece.beside("hem"))
    ways = left_of(before.curves[-1].way(1.0)), right_of(after.curves[0].way(0.0))
    through = place_at(edge.curves, edge.length() * at)[0]
    through = Point(through.x, through.y - low)
    leave, arrive = (degrees(atan2(way.y, way.x)) for way in ways)
    rulers = (curve(leave, "level"), curve("level", arrive))
    curves = drawn_run((edge.start, through, edge.end), rulers, (None, None), (None, None))
    return replace(piece, edges=tuple(replace(e, curves=curves, spans=()) if e is edge else e for e in piece.edges))


# ---------------------------------------------------------------- fitted


def tip_only(piece: Piece) -> Piece:
    """The cap between its notches alone, with a hem hollowed a little: it covers the tip of the shoulder."""
    front, back = notch_at(piece, "front"), notch_at(piece, "back")
    run, _ = cut_run(cut_run(piece.edge("cap").curves, front)[1], back - front)
    a, b, top = run[0].start, run[-1].end, piece.points["cap_top"]
    third = Point((a.x - b.x) / 3, -_SAG)
    hem = Cubic.leaving_and_arriving(b, third, a, Point(third.x, -third.y)).split(0.5)
    places = (("front", _FROM_END, 1), ("shoulder", notch_at(piece, "shoulder") - front, 1),
              ("back", back - front - _FROM_END, 2))  # fmt: skip
    return replace(
        piece,
        edges=(Edge("cap", EdgeKind.SEAM, run), Edge("hem", EdgeKind.HEM, hem)),
        points={"cap_top": top, "front_notch": a, "back_notch": b},
        grain=(Point(top.x, top.y - 15.0), Point(top.x, min(a.y, b.y))),
        notches=tuple(NotchPlace("cap", far, count, name) for name, far, count in places),
        internal_lines=(),
        levels=(),
    )


def elbow_darted(piece: Piece, elbow: float, intake: float) -> Piece:
    """A dart at the back of the hem, `intake` mm wide there, closed and opened at the back underarm seam, `elbow` mm
    below the cap's top, half way between seam and middle: the arm bends there."""
    top, hem = piece.points["cap_top"], piece.edge("hem")
    level = top.y - elbow
    seam = piece.edge("underarm_back")
    far = solve(lambda far: place_at(seam.curves, far)[0].y - level, 0.0, seam.length(), near=1e-6)
    tip = between(place_at(seam.curves, far)[0], Point(top.x, level))
    low = tip.x - intake / 2 - hem.start.x
    ends = Point(tip.x - intake / 2, hem.start.y), Point(tip.x + intake / 2, hem.start.y)
    dart = Dart("elbow", (ends[0], tip, ends[1]), intake)
    take = Take(low, low + intake, "dart", tip, "start")
    with_dart = replace(
        piece,
        edges=tuple(replace(e, takes=(take,)) if e is hem else e for e in piece.edges),
        darts=(dart,),
    )
    return hemmed(pivot(with_dart, "elbow", Opening("underarm_back", far, pressed="end", name="elbow"), hold="cap"))
