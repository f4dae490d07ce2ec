"""The waist of one half of the wearer, walked over her pieces from one centre to the other; and what is done along it.

Back and front meet at the side; gores at their seams, which are called alike on both pieces.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Final, NamedTuple

from ..draft.cuts import roots
from ..draft.darts import dart_cap, trued_beside_dart
from ..draft.stretches import cut_run
from ..errors import GeometryError
from ..geometry.curve import Line
from ..geometry.path import flatten, place_at
from ..geometry.point import Point, between, distance
from ..model.piece import Edge, Piece
from ..values import replace
from .fitter import Fitter, NotHere, called, role_of
from .warp import Pin, Way, drawn_on, eased, led, remouthed, sewn_on, shifted, straight_way, with_legs_alike

WAIST: Final = "waist"
SIDE: Final = "side"
FADE: Final = 113.7
"""Over so much of an edge a move of its end fades, mm: no round number, since an edge is cut at such (judgement, no
source)."""
_SMOOTH: Final = 25.0
"""The way square out of an edge is smoothed over so much to either side, mm (judgement, no source)."""
NONE: Final = Point(0.0, 0.0)
_NEAR: Final = 1e-3
_SEEN: Final = 1.0
"""A straight edge that is led off by less, mm, looks straight."""
_LEAST: Final = 0.01
"""So little an edge may be longer than it was, mm."""


class Top(NamedTuple):
    """One piece's part of the walk: its number, the edges beside its waist where the walk comes to it and leaves it,
    and from where to where of the walk it reaches, mm as sewn."""

    number: int
    near: str
    far: str
    start: float
    end: float


class Walk(NamedTuple):
    """The tops from the centre back to the centre front, as far as the pieces go; and where the side lies."""

    tops: tuple[Top, ...]
    side: float
    whole: float


def walk(on: Fitter) -> Walk:
    """The waist seam of the pieces on the table. Raises NotHere where no front or back has one."""
    rows = {k: piece for k, piece in enumerate(on.pieces) if piece.worn and called(piece, WAIST)}
    beside = {k: piece.beside(WAIST) for k, piece in rows.items()}
    both = [k for k in rows if has_both(rows[k])]
    at = both[0] if both else on.index("back" if on.has("back", WAIST) else "front", WAIST)
    shared = [name for k, names in beside.items() for name in names if k != at]
    ends = [name for name in beside[at] if name not in shared and name != SIDE]
    if at in both:
        ends = [name for name in beside[at] if name.endswith("_back")]
    near = ends[0] if ends else next(name for name in beside[at] if name != SIDE)
    tops: list[Top] = []
    far, done, index, side = "", 0.0, at, -1.0
    while True:
        a, b = beside[index]
        far = b if a == near else a
        edge = rows[index].edge(WAIST)
        long = sewn_on(edge, edge.length())
        if near == SIDE:
            side = done
        tops.append(Top(index, near, far, done, done + long))
        done += long
        if far == SIDE:
            side = done
        visited = {top.number for top in tops}
        index = next((k for k, names in beside.items() if k not in visited and far in names), -1)
        if index < 0:
            break
        near = far
    return Walk(tuple(tops), done / 2 if side < 0 else side, done)


def has_both(piece: Piece) -> bool:
    """Whether a piece goes from the centre back to the centre front, as a leg without a side seam does."""
    names = {edge.name for edge in piece.edges}
    return WAIST in names and all(
        any(name.endswith(end) for name in piece.beside(WAIST)) for end in ("_back", "_front")
    )


def has_waist(on: Fitter, role: str) -> bool:
    """Whether the front or the back ends above at a waist."""
    return on.has(role, WAIST) or any(piece.worn and has_both(piece) for piece in on.pieces)


# ---------------------------------------------------------------- along edges


def at_end(piece: Piece, edge: str, other: str) -> bool:
    """Whether an edge meets the one beside it at its end."""
    return distance(piece.edge(edge).end, piece.edge(other).start) < _NEAR


def outwards(edge: Edge, end: bool) -> Point:
    """The direction in which an edge would go on beyond one of its ends."""
    way = edge.curves[-1].way(1.0) if end else edge.curves[0].way(0.0)
    return way if end else Point(-way.x, -way.y)


def faded(edge: Edge, end: bool, move: Point, over: float = FADE) -> Way:
    """An edge whose one end moves, to nothing further along: an edge that is straight there is led on, or cut off;
    one that is straight all along stays so."""
    long = sewn_on(edge, edge.length())
    out = outwards(edge, end)
    size = distance(NONE, move)
    curve = edge.curves[-1 if end else 0]
    if isinstance(curve, Line) and abs(out.x * move.y - out.y * move.x) < 0.01 * size:
        over = min(2 * size + 2.0, curve.length() * 0.95)
        if over < size * 1.05:
            over = curve.length()
        return _from(end, long, over, lambda far: Point(move.x * (1 - far / over), move.y * (1 - far / over)))
    if len(edge.curves) == 1 and isinstance(curve, Line) and size > _SEEN:  # it stays straight
        return straight_way(NONE, move, long) if end else straight_way(move, NONE, long)
    over = min(max(over, 6 * size), long * 0.95)
    free = _mouth(edge, end)
    if free < over:
        over = free
    return _from(end, long, over, lambda far: _times(move, 1 - eased(0.0, over, far)))


def _from(end: bool, long: float, over: float, by: Callable[[float], Point]) -> Way:
    """A way told from one end of an edge, nothing from `over` on."""
    return Way(
        lambda far: NONE if (long - far if end else far) >= over else by(long - far if end else far),
        (long - over if end else over,),
    )


def _mouth(edge: Edge, end: bool) -> float:
    """How far from an end the nearest dart or pleat is, as sewn; or the other end."""
    long = sewn_on(edge, edge.length())
    at = [sewn_on(edge, take.start) for take in edge.takes if take.kind != "gathers"]
    return min([long - far if end else far for far in at] + [long])


def _times(p: Point, by: float) -> Point:
    return Point(p.x * by, p.y * by)


def settled(piece: Piece, edge: str, beside: str, long: float, beside_long: float) -> Piece:
    """The corner of two edges moved until both are as long as told, as sewn. Raises GeometryError where none serves."""
    first, move = piece, NONE
    for _ in range(8):
        one, other = piece.edge(edge), piece.edge(beside)
        end = at_end(piece, edge, beside)
        a, b = outwards(one, end), outwards(other, not end)
        more, beside_more = long - one.sewn_length(), beside_long - other.sewn_length()
        if abs(more) < 1e-4 and abs(beside_more) < 1e-4:
            return piece
        across = a.x * b.y - a.y * b.x
        if abs(across) < 0.2:
            raise GeometryError(f"{piece.name}: {edge} and {beside} meet in too blunt a corner to be kept as long")
        move = Point(
            move.x + (more * b.y - beside_more * a.y) / across, move.y + (beside_more * a.x - more * b.x) / across
        )
        piece = led(
            first, {edge: faded(first.edge(edge), end, move), beside: faded(first.edge(beside), not end, move)}
        )  # fmt: skip
    return piece


# ---------------------------------------------------------------- levels


def level_y(piece: Piece, *names: str) -> float | None:
    """The height of the first of those levels that there is."""
    for name in names:
        for line in piece.levels:
            if line.name == name:
                return line.points[0].y
    return None


def crossing(edge: Edge, y: float, off: float = 40.0) -> float | None:
    """Where an edge crosses a height, mm along it as sewn; that end of it which lies nearest, no further off than
    told; None where it does neither."""
    walked = 0.0
    for curve in edge.curves:
        if walked and abs(curve.start.y - y) < 1e-3:
            return sewn_on(edge, walked)
        for t in roots(curve, lambda p: p[1] - y):
            return sewn_on(edge, walked + curve.split(t)[0].length())
        walked += curve.length()
    ends = {0.0: abs(edge.start.y - y), sewn_on(edge, edge.length()): abs(edge.end.y - y)}
    near = min(ends, key=lambda at: ends[at])
    return near if ends[near] <= off else None


def level_on(piece: Piece, edge: Edge, name: str, off: float = 40.0) -> float | None:
    """Where an edge crosses a level of its piece, which may lie aslant: by that of its ends which is nearest."""
    line = next((line for line in piece.levels if line.name == name), None)
    if line is None:
        return None
    outline = flatten(edge.curves, 1.0)
    end = min((line.points[0], line.points[-1]), key=lambda p: min(distance(p, q) for q in outline))
    return crossing(edge, end.y, off)


# ---------------------------------------------------------------- the waist lifted


def lifted(on: Fitter, profile: Callable[[float], float], stops: Sequence[float], *, hip_too: bool = False) -> None:
    """The waist raised, by as much as `profile` says of each place of the walk round it; the waist stays as long, and
    seams change alike on both pieces. `stops` are where the profile bends. `hip_too`: the hip curve goes up with it.

    At a centre that leans it goes along with that.
    """
    way = walk(on)
    before = on.pieces
    first, last = way.tops[0], way.tops[-1]
    lean = {
        0.0: _up(before[first.number], first.near),
        way.whole: _up(before[last.number], last.far) if last.far != SIDE else Point(0.0, 1.0),
    }
    if first.near == SIDE:
        lean[0.0] = Point(0.0, 1.0)

    def move(far: float) -> Point:
        a, b, t = (lean[0.0], Point(0.0, 1.0), far / way.side if way.side else 0.0)
        if far > way.side:
            a, b, t = Point(0.0, 1.0), lean[way.whole], (far - way.side) / (way.whole - way.side)
        mixed = Point(a.x + (b.x - a.x) * t, a.y + (b.y - a.y) * t)
        return _times(mixed, profile(far))

    for top in way.tops:
        piece = before[top.number]
        if not any(abs(profile(top.start + (top.end - top.start) * k / 8)) > 1e-9 for k in range(9)):
            continue
        edge, end = piece.edge(WAIST), at_end(piece, WAIST, top.far)
        long = sewn_on(edge, edge.length())

        def by(far: float, top: Top = top, end: bool = end, long: float = long) -> Point:
            return move(top.start + (far if end else long - far))

        bends = tuple(stop - top.start if end else long - (stop - top.start) for stop in stops)
        ways = {WAIST: Way(by, bends)}
        for name, place, at in ((top.near, top.start, not end), (top.far, top.end, end)):
            if abs(profile(place)) > 1e-9:
                beside = piece.edge(name)
                ways[name] = (
                    _with_hip(piece, beside, not at, move(place)) if hip_too and not _is_centre(way, place)
                    else faded(beside, not at, move(place))
                )  # fmt: skip
        gives = [
            (name, piece.edge(name).sewn_length() + profile(place))
            for name, place in ((top.near, top.start), (top.far, top.end))
            if not _is_centre(way, place)
        ]
        if abs(top.start - way.side) < abs(top.end - way.side):
            gives.reverse()
        if not gives:  # it goes from centre to centre
            off = top.far if abs(profile(top.end)) < abs(profile(top.start)) else top.near
            gives = [(off, piece.edge(off).sewn_length() + profile(top.end if off == top.far else top.start))]

        def made(p: Piece, ways: Mapping[str, Way] = ways, long: float = edge.sewn_length(),
                 gives: Sequence[tuple[str, float]] = gives) -> Piece:  # fmt: skip
            p = smoothed(led(p, ways))
            for name, wanted in gives:
                p = settled(p, WAIST, name, long, wanted)
            return p

        on.change_at(top.number, made)


def _is_centre(way: Walk, place: float) -> bool:
    return place in (0.0, way.whole)


def _up(piece: Piece, edge: str) -> Point:
    """The upward direction of an edge beside the waist, where it meets it."""
    way = outwards(piece.edge(edge), not at_end(piece, WAIST, edge))
    return way if way.y > 0 else Point(-way.x, -way.y)


def _with_hip(piece: Piece, edge: Edge, end: bool, move: Point) -> Way:
    """A side moved from the waist to the hip alike, to nothing at the next level below it."""
    long = sewn_on(edge, edge.length())
    hip = level_on(piece, edge, "hip", 1.0)
    if hip is None:
        return faded(edge, end, move)
    from_top = long - hip if end else hip
    places = (level_on(piece, edge, line.name, 1.0) for line in piece.levels)
    below = [long - at if end else at for at in places if at is not None]
    zero = min([far for far in below if far > from_top + 1.0] + [long])

    def by(far: float) -> Point:
        down = long - far if end else far
        return move if down <= from_top else _times(move, max(0.0, 1 - (down - from_top) / (zero - from_top)))

    return Way(by, tuple(long - far if end else far for far in (from_top, zero)))


# ---------------------------------------------------------------- darts and sides


def waist_darts(piece: Piece) -> list[str]:
    """The names of the darts that open at the waist."""
    tips = [take.tip for edge in piece.edges if edge.name == WAIST for take in edge.takes if take.kind == "dart"]
    opened = [dart for dart in piece.darts if dart.is_open]
    return [dart.name for dart in opened if any(tip and distance(tip, dart.points[1]) < _NEAR for tip in tips)]


def smoothed(piece: Piece) -> Piece:
    """The waist bent beside its darts so that it runs smoothly with them closed as they are now, their mouths anew."""
    piece = with_legs_alike(piece)
    for name in waist_darts(piece):
        tip = next(dart.points[1] for dart in piece.darts if dart.name == name)
        take = next(take for take in piece.edge(WAIST).takes if take.tip and distance(take.tip, tip) < _NEAR)
        before, rest = cut_run(piece.edge(WAIST).curves, take.start)
        _, after = cut_run(rest, take.end - take.start)
        if before and after:
            bent = trued_beside_dart(before, tip, after, as_long=False)
            cap = dart_cap(bent[0], tip, bent[1], pressed_to_start=take.pressed != "end")
            piece = remouthed(piece, WAIST, take, (before, after), (*bent, cap))
    return piece


def with_tip(piece: Piece, name: str, tip: Point) -> Piece:
    """A dart that opens at an edge, its point elsewhere."""
    old = next(dart for dart in piece.darts if dart.name == name)

    def taken(edge: Edge) -> Edge:
        own = (take.tip is not None and distance(take.tip, old.points[1]) < _NEAR for take in edge.takes)
        takes = (replace(take, tip=tip) if mine else take for take, mine in zip(edge.takes, own, strict=True))
        return replace(edge, takes=tuple(takes))

    new = replace(old, points=(old.points[0], tip, old.points[2]))
    return replace(
        piece,
        edges=tuple(map(taken, piece.edges)),
        darts=tuple(new if dart is old else dart for dart in piece.darts),
    )


def retaken(piece: Piece, name: str, by: float) -> Piece:
    """A dart that takes in so much more, half at either leg; less, where it is less than nothing."""
    dart = next(dart for dart in piece.darts if dart.name == name)
    edge = next(e for e in piece.edges for t in e.takes if t.tip and distance(t.tip, dart.points[1]) < _NEAR)
    pins = []
    for take in edge.takes:
        own = take.tip is not None and distance(take.tip, dart.points[1]) < _NEAR
        a, b = dart.points[0], dart.points[2]
        wide = distance(a, b)
        half = by / 2 if own else 0.0
        for at, sign in ((take.start, -1.0), (take.end, 1.0)):
            pins.append(Pin(edge.name, at, (b.x - a.x) / wide * half * sign, (b.y - a.y) / wide * half * sign))
    return shifted(piece, pins, mouths_as_one=False)


def moved_out(piece: Piece, edge: str, move: Point) -> Piece:
    """A whole edge moved as it is; what is beside it is led along, up to the next dart."""
    ways: dict[str, Way] = {edge: Way(lambda _: move)}
    for name, end in zip(piece.beside(edge), (True, False), strict=True):
        ways[name] = led_along(piece.edge(name), end, move)
    return led(piece, ways)


def led_along(edge: Edge, end: bool, move: Point) -> Way:
    """An edge whose one end moves, evenly up to the next dart or pleat in it, or to its other end."""
    long, free = sewn_on(edge, edge.length()), _mouth(edge, end)
    if free > long - _NEAR:
        return straight_way(NONE, move, long) if end else straight_way(move, NONE, long)
    return _from(end, long, free, lambda far: _times(move, 1 - far / free))


def side_edges(on: Fitter) -> list[tuple[int, str]]:
    """The edges of the side seam: those of that name, else that seam of gores which lies nearest to the side."""
    found = [(k, SIDE) for k, piece in enumerate(on.pieces) if piece.worn and any(e.name == SIDE for e in piece.edges)]
    if found:
        return found
    if not any(piece.worn and called(piece, WAIST) and role_of(piece) in ("front", "back") for piece in on.pieces):
        raise NotHere("there is no side seam")
    way = walk(on)
    seams = way.tops[:-1]
    if not seams:
        raise NotHere("there is no side seam")
    near = min(seams, key=lambda top: abs(top.end - way.side))
    return [(k, near.far) for k, piece in enumerate(on.pieces) if any(e.name == near.far for e in piece.edges)]


def square_out(edge: Edge) -> Callable[[float], Point]:
    """The direction square out of the piece at each place of an edge, mm along it as sewn, smooth over darts and
    corners."""
    long = sewn_on(edge, edge.length())
    count = max(8, int(long / 8))
    ways = [place_at(edge.curves, drawn_on(edge, long * k / count))[1] for k in range(count + 1)]
    reach = max(1, int(_SMOOTH / long * count))
    smooth = []
    for k in range(count + 1):
        near = ways[max(0, k - min(reach, k, count - k)) : k + min(reach, k, count - k) + 1]
        x, y = sum(way.x for way in near), sum(way.y for way in near)
        size = distance(NONE, Point(x, y))
        smooth.append(Point(y / size, -x / size))

    def out(far: float) -> Point:
        t = min(max(far / long * count, 0.0), count - 1e-9)
        a, b = smooth[int(t)], smooth[int(t) + 1]
        return between(a, b, t - int(t))

    return out


def grown(piece: Piece, edges: Mapping[str, Way]) -> Piece:
    """Edges led, and what is beside their ends along with them: a hem or a waist evenly, any other in a blend."""
    ways = dict(edges)
    for name, way in edges.items():
        edge = piece.edge(name)
        for beside, end, move in ((piece.beside(name)[0], True, way.by(0.0)),
                                  (piece.beside(name)[1], False, way.by(sewn_on(edge, edge.length())))):  # fmt: skip
            if beside in ways or distance(NONE, move) < 1e-9:
                continue
            other = piece.edge(beside)
            straight = len(other.curves) == 1 and isinstance(other.curves[0], Line)
            ways[beside] = led_along(other, end, move) if straight else faded(other, end, move, other.length() / 4)
    return led(piece, ways)


def as_long_as(old: Piece, new: Piece, edge: str) -> Piece:
    """The piece with an edge as long again as it was, given back at that of its ends which was moved."""
    long = old.edge(edge).sewn_length()
    if abs(new.edge(edge).sewn_length() - long) < _LEAST:
        return new
    beside = new.beside(edge)
    moved = [distance(old.edge(edge).start, new.edge(edge).start), distance(old.edge(edge).end, new.edge(edge).end)]
    give = SIDE if SIDE in beside else beside[moved[1] > moved[0]]
    return settled(new, edge, give, long, new.edge(give).sewn_length())
