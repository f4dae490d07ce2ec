"""Seams let out and taken in."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Final

from ..geometry.point import Point, distance
from ..model.fitted import Ask
from ..model.length import inch
from ..model.piece import Edge, EdgeKind, NotchPlace, Piece
from ..values import replace
from .around import NONE, SIDE, WAIST, grown, level_on, settled, side_edges, square_out
from .crotch import let_out_inside
from .fault import Fault
from .fitter import Fitter, NotHere, called, role_of
from .warp import Way, eased, sewn_on

SEAMS: Final = ("side", "centre back", "centre front", "shoulder", "princess", "inside leg")
LEVELS: Final = ("bust", "waist", "hip", "hem")
_ALSO: Final = {"bust": ("bust", "chest")}
_MEET: Final = 0.5
"""Notches that meet do so to this, mm (the limit of a plain seam)."""
_LEAST: Final = 0.05
_OFF: Final = 45.0
"""An edge that ends this near to a level, mm, has that level at its end (judgement, no source)."""


def let_out(on: Fitter, ask: Ask) -> None:
    """Move each edge of a seam square out, of a side seam straight across, at a level, to nothing at the levels next to
    it; all along it where none is told (geometry: the girth grows by twice as much for each seam)."""
    _let(on, ask, ask.amount)


def take_in(on: Fitter, ask: Ask) -> None:
    """The reverse."""
    _let(on, ask, -ask.amount)


def _let(on: Fitter, ask: Ask, by: float) -> None:
    if ask.seam == "inside leg":
        if ask.level:
            raise NotHere(f"the inside leg is let out all along, not at the {ask.level} alone")
        let_out_inside(on, by)
        return
    found = list(_edges(on, ask))
    rows = []
    before = on.pieces
    for index, name in found:
        piece = on.pieces[index]
        way = _way(piece, piece.edge(name), ask.level, by)
        if way is not None:
            rows.append((index, name, way))
    if not rows or len(rows) < len(found):
        where = f"the {ask.seam} seam does not pass the {ask.level}" if found else f"there is no {ask.seam} seam"
        raise NotHere(where)
    for index, name, way in rows:
        on.change_at(index, lambda piece, name=name, way=way: _moved(piece, name, way, by))  # type: ignore[misc]
    for own in _partners(on, found):
        now = on.pieces
        changed = [now[k].edge(name).sewn_length() - before[k].edge(name).sewn_length() for k, name in own]
        if max(changed) - min(changed) > 1e-3:
            for index, name in own:
                long = before[index].edge(name).sewn_length() + sum(changed) / len(changed)
                on.change_at(index, lambda piece, name=name, long=long: _made(piece, name, long))  # type: ignore[misc]
        if len(own) == 2:
            _meeting(on, own, before)


def _partners(on: Fitter, found: Sequence[tuple[int, str]]) -> list[list[tuple[int, str]]]:
    """The edges by what is sewn together: a princess seam lies in one half, the others join front and back."""
    if not any("princess" in name.split("_") for _, name in found):
        return [list(found)]
    roles = dict.fromkeys(role_of(on.pieces[index]) for index, _ in found)
    return [[row for row in found if role_of(on.pieces[row[0]]) == role] for role in roles]


def _meeting(on: Fitter, pair: Sequence[tuple[int, str]], before: Sequence[Piece]) -> None:
    """Notches of two edges that met before meet again: each half way between both."""
    far = [{n.name: _down(on.pieces[k].edge(name), n.at) for n in _notches(on.pieces[k], name)} for k, name in pair]
    was = [{n.name: _down(before[k].edge(name), n.at) for n in _notches(before[k], name)} for k, name in pair]
    both = [name for name in far[0] if name in far[1] and abs(was[0][name] - was[1][name]) < _MEET]
    met = {name: (far[0][name] + far[1][name]) / 2 for name in both if abs(far[0][name] - far[1][name]) > _LEAST}
    for index, edge in pair if met else ():
        on.change_at(index, lambda piece, edge=edge: _renotched(piece, edge, met))  # type: ignore[misc]


def _notches(piece: Piece, edge: str) -> list[NotchPlace]:
    """The notches of an edge whose names tell of one place."""
    own = [notch for notch in piece.notches if notch.edge == edge]
    return [notch for notch in own if [other.name for other in own].count(notch.name) == 1]


def _down(edge: Edge, at: float) -> float:
    """How far below the upper end of an edge a place lies, mm as sewn."""
    far = edge.sewn(at)
    return far if edge.start.y > edge.end.y else edge.sewn_length() - far


def _renotched(piece: Piece, name: str, met: Mapping[str, float]) -> Piece:
    edge = piece.edge(name)
    own = {notch.name for notch in _notches(piece, name)} & met.keys()

    def placed(notch: NotchPlace) -> NotchPlace:
        if notch.edge != name or notch.name not in own:
            return notch
        by = met[notch.name] - _down(edge, notch.at)
        return replace(notch, at=notch.at + (by if edge.start.y > edge.end.y else -by))

    return replace(piece, notches=tuple(map(placed, piece.notches)))


def _made(piece: Piece, name: str, long: float) -> Piece:
    """The piece with an edge just so long, so that it meets its partner: at the waist, else at the hem or beyond."""
    beside = next((each for each in (WAIST, "hem") if each in piece.beside(name)), piece.beside(name)[0])
    return settled(piece, beside, name, piece.edge(beside).sewn_length(), long)


def _moved(piece: Piece, name: str, way: Way, by: float) -> Piece:
    """The piece with an edge moved; a waist beside it changes by as much, however it lies."""
    new = grown(piece, {name: way})
    edge = piece.edge(name)
    for beside, at in zip(piece.beside(name), (0.0, sewn_on(edge, edge.length())), strict=True):
        if beside == WAIST and distance(way.by(at), NONE) > 1e-6:
            long = piece.edge(WAIST).sewn_length() + by
            new = settled(new, WAIST, name, long, new.edge(name).sewn_length())
    return new


def _edges(on: Fitter, ask: Ask) -> Iterator[tuple[int, str]]:
    """The edges of a seam."""
    if ask.seam == "side":
        yield from side_edges(on)
        return
    role = {"centre back": "back", "centre front": "front"}.get(ask.seam, "")
    for index, piece in enumerate(on.pieces):
        if not piece.worn or (role and role_of(piece) != role):
            continue
        if role:
            name = called(piece, "centre") or (called(piece, "crotch") if piece.worn == "leg" else "")
            if name and piece.edge(name).kind is EdgeKind.FOLD:
                on.refuse(
                    ask, f"the {ask.seam} is on the fold, and has no seam", "Let the side seam out, or take it in"
                )
            names = [name] if name else []
        elif ask.seam == "princess":
            names = [edge.name for edge in piece.edges if "princess" in edge.name.split("_")]
        else:
            names = [own] if (own := called(piece, ask.seam)) and role_of(piece) in ("front", "back") else []
        for name in names:
            yield index, name


def _way(piece: Piece, edge: Edge, level: str, by: float) -> Way | None:
    """How an edge moves out: all of it, or at a level; None where it does not pass that."""
    long = sewn_on(edge, edge.length())
    if is_crotch(edge.name):
        return _leaning(edge, by) if level in ("", WAIST) else None
    out = _level_out(edge) if edge.name == SIDE else square_out(edge)
    if not level:
        return Way(lambda far: _times(out(far), by))
    places = {name: _snapped(at, long) for name in LEVELS for own in _ALSO.get(name, (name,))
              if (at := level_on(piece, edge, own, _OFF)) is not None}  # fmt: skip
    for beside, at in zip(piece.beside(edge.name), (0.0, long), strict=True):
        if beside == "hem":
            places["hem"] = at
    if level not in places:
        return None
    ends = (0.0, long)
    at = places[level]
    others = [far for name, far in places.items() if name != level]
    low = max([far for far in others if far < at - 1.0] + [ends[0]])
    high = min([far for far in others if far > at + 1.0] + [ends[1]])
    if not low - 1e-6 <= at <= high + 1e-6:
        return None

    def share(far: float) -> float:
        if (far <= low and at > low) or (far >= high and at < high):
            return 0.0
        return eased(low, at, far) if far < at else 1 - eased(at, high, far) if high > at else 1.0

    return Way(lambda far: _times(out(far), by * share(far)), (low, at, high))


def is_crotch(name: str) -> bool:
    """Whether an edge is a crotch seam, by its name."""
    return name.partition("_")[0] in ("crotch", "fork")


def _leaning(edge: Edge, by: float) -> Way:
    """The upper, straight run of a crotch seam moved out at the waist, to nothing where its curve begins, which it runs
    into as smoothly as before."""
    long = sewn_on(edge, edge.length())
    top_at_end = edge.end.y > edge.start.y
    run = edge.curves[-1 if top_at_end else 0]
    straight = run.length() if len(edge.curves) > 1 else long / 2
    rest = long - straight
    way = run.way(1.0 if top_at_end else 0.0)
    out = Point(way.y, -way.x)

    def move(far: float) -> Point:
        down = long - far if top_at_end else far
        if down <= straight:
            return _times(out, by * (1 - down / straight))
        t = (down - straight) / rest
        return _times(out, -by * rest / straight * t * (1 - t) ** 2)

    return Way(move, (long - straight if top_at_end else straight,))


def _snapped(far: float, long: float) -> float:
    """That end of an edge which is as good as at the level."""
    return 0.0 if far < _OFF else long if far > long - _OFF else far


def _level_out(edge: Edge) -> Callable[[float], Point]:
    """Straight across, as the girth is measured, out of the piece."""
    way = Point(1.0 if square_out(edge)(0.0).x > 0 else -1.0, 0.0)
    return lambda _: way


def _times(way: Point, by: float) -> Point:
    return Point(way.x * by, way.y * by)


_CLOTH: Final = "new pattern: as pinned; cloth that is cut has its allowance less 1/4 in (6 mm) to give"
ROWS: Final[tuple[Fault, ...]] = (
    Fault(
        "let_out",
        sign="a seam strains",
        pin="open the seam until the strain is gone; measure how far it gapes, and write half of it: what each "
        "edge gets",
        change="each edge of the seam moved out, square to it",
        stays="both edges of the seam as long as each other",
        way=let_out, most=inch(2), usual=_CLOTH, source="drafting rules, alterations: let out / take in",
        seams=SEAMS, levels=LEVELS,
    ),
    Fault(
        "take_in",
        sign="cloth stands off along a seam",
        pin="pinch at the seam what is too much, and measure from the seam to the pins: what each edge loses",
        change="each edge of the seam moved in, square to it",
        stays="both edges of the seam as long as each other",
        way=take_in, most=inch(2), usual="as pinned", source="drafting rules, alterations: let out / take in",
        seams=SEAMS, levels=LEVELS,
    ),
)  # fmt: skip
