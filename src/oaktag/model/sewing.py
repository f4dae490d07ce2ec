"""What follows from the seams of a draft and from how its pieces are cut; it knows no garment.

Lengths all round the wearer, which way each edge of a seam is walked, the order of sewing, widths of allowances, runs
that go on smoothly across a seam, and notches that meet.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from itertools import pairwise, product
from typing import Final, Literal, NamedTuple, TypeAlias

from ..errors import DraftError
from ..geometry.curve import Curve, Line
from ..geometry.point import Point, distance
from ..values import dataclass, field, replace
from .piece import Corner, Edge, EdgeKind, Join, LineKind, NotchPlace, Piece, Seam, piece_words
from .ref import Place, Ref

SEAM_ALLOWANCE: Final = 10.0
HEM_ALLOWANCE: Final = 40.0
"""Widths of edges of which nothing is said, mm (1 cm, 3/8 in; 4 cm; common practice, no source)."""
APART: Final = 15.0
"""Notches that follow from a seam lie no nearer to each other or to a corner, mm (common practice, no source)."""
_ON: Final = 0.1
"""A point lies on an edge within this, mm."""
_MOST_EDGES: Final = 8
"""Of a seam of more edges than this the ways are not looked for: they must be said."""

PieceOf: TypeAlias = Callable[[str], Piece]
"""The piece of a name; KeyError if there is none."""


# ---------------------------------------------------------------- edges, places, lengths


def run_of(piece: Piece, name: str) -> Edge:
    """The edge of that name, else the line inside of it, as an edge; KeyError if there is neither."""
    for edge in piece.edges:
        if edge.name == name:
            return edge
    for line in piece.internal_lines:
        if line.name in (name, piece_words(name)):
            return Edge(name, EdgeKind.SEAM, tuple(Line(Point(*a), Point(*b)) for a, b in pairwise(line.points)))
    return piece.edge(name)


def along(piece: Piece, edge: Edge, at: str) -> float:
    """How far along the drawn edge the place so called lies, mm: `start`, `end`, a part of it as sewn, the edge that it
    has a corner with, one of its notches, or a named point of the piece on it.

    Raises DraftError for a place that the edge does not have.
    """
    if at in ("start", "end"):
        return 0.0 if at == "start" else edge.length()
    part, slash, whole = at.partition("/")
    if slash and part.isdigit() and whole.isdigit() and 0 <= int(part) <= int(whole) and int(whole):
        return drawn(edge, edge.sewn_length() * int(part) / int(whole))
    places = _named_places(piece, edge, at)
    if not places:
        raise DraftError(
            f"{piece.name}.{edge.name} has no place {at!r}: a place of an edge is start, end, a part such as 1/2, an "
            "edge that it has a corner with, one of its notches, or a named point on it."
        )
    return places[0]


def _named_places(piece: Piece, edge: Edge, at: str) -> list[float]:
    if edge in piece.edges:
        before, after = piece.beside(edge.name)
        if (at == before) != (at == after):
            return [0.0 if at == before else edge.length()]
    found = [notch.at for notch in piece.notches if notch.edge == edge.name and notch.name == at]
    if not found and at in piece.points:
        far = _far_along(edge, piece.points[at])
        found = [far] if far is not None else []
    return found


def _far_along(edge: Edge, point: Point) -> float | None:
    """How far along an edge a point on it lies, mm; None if it lies beside it."""
    walked = 0.0
    for curve in edge.curves:
        long = curve.length()
        if distance(curve.start, point) < _ON:
            return walked
        if _is_by(curve, point):
            t = _nearest(curve, point)
            if distance(curve.at(t), point) < _ON:
                return walked + (curve.split(t)[0].length() if 0 < t < 1 else long * t)
        walked += long
    return walked if distance(edge.end, point) < _ON else None


def _is_by(curve: Curve, point: Point) -> bool:
    """Whether a point lies in the box round the controls of a curve, in which all of it lies."""
    xs, ys = [p.x for p in curve.controls()], [p.y for p in curve.controls()]
    return min(xs) - _ON < point.x < max(xs) + _ON and min(ys) - _ON < point.y < max(ys) + _ON


def _nearest(curve: Curve, point: Point) -> float:
    """The parameter at which a curve comes nearest to a point."""
    near = min(range(65), key=lambda i: distance(curve.at(i / 64), point))
    low, high = max(0.0, (near - 1) / 64), min(1.0, (near + 1) / 64)
    for _ in range(60):
        a, b = low + (high - low) / 3, high - (high - low) / 3
        if distance(curve.at(a), point) <= distance(curve.at(b), point):
            high = b
        else:
            low = a
    return (low + high) / 2


def drawn(edge: Edge, sewn: float) -> float:
    """How far along the drawn edge a place of the sewn edge lies: the other way about than `Edge.sewn`."""
    for take in edge.takes:
        if sewn > take.start:
            sewn += take.end - take.start
    return sewn


def stretch_of(piece: Piece, ref: Ref) -> tuple[float, float]:
    """Where a run starts and ends, mm along its edge as sewn; the first is the greater where it is walked backwards."""
    edge = run_of(piece, ref.edge)
    if not ref.start:
        return 0.0, edge.sewn_length()
    return edge.sewn(along(piece, edge, ref.start)), edge.sewn(along(piece, edge, ref.end))


def sewn_length(piece: Piece, ref: Ref) -> float:
    """Length of an edge, or of that stretch of it, with its darts closed, as drawn, mm; of a slit, both lips.

    Raises KeyError for an edge that the piece does not have.
    """
    if ref.start:
        start, end = stretch_of(piece, ref)
        return abs(end - start)
    length = run_of(piece, ref.edge).sewn_length()
    return 2 * length if ref.lips else length


def times_sewn(piece: Piece, ref: Ref) -> int:
    """How often it is sewn round the wearer as its piece is cut: once where one side alone is meant."""
    return 1 if ref.side else piece.to_cut.around


class SeamLengths(NamedTuple):
    """Length of either side of a seam, mm; `all_round`: all round the wearer, else as drawn."""

    a: float
    b: float
    all_round: bool


def seam_lengths(piece_of: PieceOf, seam: Seam, *, by_hand: bool = False) -> SeamLengths:
    """Length of either side of a seam, darts closed, less what it leaves alone on side b.

    As drawn where all runs come round the wearer equally often, else all round the wearer. `by_hand`: a pattern that
    was drawn elsewhere does not say what is sewn on one side alone, so the reading nearer to the ease meant is taken.
    """
    sides = [
        [(sewn_length(piece := piece_of(ref.piece), ref), times_sewn(piece, ref)) for ref in run]
        for run in (seam.a, seam.b)
    ]
    a, b = (sum(length for length, _ in side) for side in sides)
    drawn_so = SeamLengths(a, b - seam.free, all_round=False)
    if len({times for side in sides for _, times in side}) == 1:
        return drawn_so
    a, b = (sum(length * times for length, times in side) for side in sides)
    found = SeamLengths(a, b - seam.free, all_round=True)
    return min(drawn_so, found, key=lambda both: abs(both.a - both.b - seam.ease)) if by_hand else found


# ---------------------------------------------------------------- which way an edge is walked


@dataclass(frozen=True, slots=True)
class Sewing:
    """Pieces by name, their seams in order, and which edges are sewn to each other or one after the other."""

    pieces: Mapping[str, Piece]
    seams: tuple[Seam, ...]
    together: frozenset[frozenset[Ref]] = field(default_factory=frozenset)

    @classmethod
    def of(cls, pieces: Iterable[Piece], seams: Iterable[Seam]) -> Sewing:
        """What is known of how those pieces are sewn together."""
        known = tuple(seams)
        found: set[frozenset[Ref]] = set()
        for seam in known:
            found.update(frozenset((one.whole, other.whole)) for one in seam.a for other in seam.b)
            for run in (seam.a, seam.b):
                found.update(frozenset((one.whole, other.whole)) for one, other in pairwise(run))
        return cls({piece.name: piece for piece in pieces}, known, frozenset(found))


Ways: TypeAlias = tuple[tuple[bool, ...], tuple[bool, ...]]
"""Of either side of a seam, for each of its edges, whether it is walked against its outline's direction."""


def ways_of(sewing: Sewing, seam: Seam) -> Ways | None:
    """Which way each edge of a seam is walked, from the side's first to its last; None where it cannot be known.

    It is known from what a stretch says, from the corners that meet (edges beside them that other seams join, folds, or
    edges of one name) and from the places that the seam says meet. Of one edge sewn to one, side a is walked forwards;
    so is one that goes once round the wearer where the other side is both halves, which mirror each other.
    """
    if seam.to_itself:
        both = tuple(_said(sewing, ref) or False for ref in seam.a)
        return both, both
    count = len(seam.a)
    refs = (*seam.a, *seam.b)
    said = [_said(sewing, ref) for ref in refs]
    times = [times_sewn(sewing.pieces[ref.piece], ref) for ref in refs]
    once = [run[0] for run in (range(count), range(count, len(refs))) if len(run) == 1 and times[run[0]] == 1]
    if len(refs) == 2 and said == [None, None]:
        said[0] = False
    elif once and max(times) > 1 and said[once[0]] is None:
        said[once[0]] = False
    if said.count(None) > _MOST_EDGES:
        return None
    scored: list[tuple[float, Ways]] = []
    for ways in product(*((False, True) if way is None else (way,) for way in said)):
        tried = ways[:count], ways[count:]
        scored.append((_agreement(sewing, seam, tried), tried))
    scored.sort(key=lambda pair: -pair[0])
    if len(scored) > 1 and scored[0][0] - scored[1][0] < 0.5:
        return None
    return scored[0][1]


def known_ways(sewing: Sewing, seam: Seam) -> Ways:
    """As `ways_of`; DraftError, which names the seam and what to write, where it cannot be known."""
    ways = ways_of(sewing, seam)
    if ways is None:
        edge = str(seam.a[0].whole)
        raise DraftError(
            f"{seam.name}: it does not follow from the other seams which way its edges lie. Say it of one of them: "
            f'"{edge} from start to end", or "from end to start", as its outline runs, counter-clockwise.'
        )
    return ways


def _said(sewing: Sewing, ref: Ref) -> bool | None:
    if not ref.start:
        return None
    start, end = stretch_of(sewing.pieces[ref.piece], ref)
    return start > end


def _agreement(sewing: Sewing, seam: Seam, ways: Ways) -> float:
    """How well it agrees with the other seams that the edges are walked so."""
    sides = [[_ends(sewing, ref, back) for ref, back in zip(run, own, strict=True)]
             for run, own in zip((seam.a, seam.b), ways, strict=True)]  # fmt: skip
    starts, ends = ([side[i][i] for side in sides] for i in (0, -1))
    found = float(_meet(sewing, *starts) + _meet(sewing, *ends))
    for side, run in zip(sides, (seam.a, seam.b), strict=True):
        for (one, other), (here, there) in zip(pairwise(side), pairwise(run), strict=True):
            beside = one[1] == there.whole and other[0] == here.whole
            found += 4 if beside else _meet(sewing, one[1], other[0])
    if seam.meets:
        walks = [_walk(sewing, run, own) for run, own in zip((seam.a, seam.b), ways, strict=True)]
        full = [_long(walk) for walk in walks]
        for pair in seam.meets:
            if len(pair) == 2:
                (_, on_a, _), (_, on_b, _) = _on_sides(seam, walks, pair)
                found -= 10 * min(abs(a / full[0] - b / full[1]) for a in on_a for b in on_b)
    return found


def _ends(sewing: Sewing, ref: Ref, back: bool) -> tuple[Ref | None, Ref | None]:
    """The edges beside a run at its start and at its end, as it is walked; None where it ends within its edge."""
    piece = sewing.pieces[ref.piece]
    edge = run_of(piece, ref.edge)
    if edge not in piece.edges:
        return None, None
    before, after = (Ref(piece.name, name) for name in piece.beside(ref.edge))
    if ref.start:
        places, full = stretch_of(piece, ref), edge.sewn_length()
        first, last = (before if at < _ON else after if at > full - _ON else None for at in places)
        return first, last
    return (after, before) if back else (before, after)


def _meet(sewing: Sewing, a: Ref | None, b: Ref | None) -> int:
    """How sure it is that two corners meet, by the edges that go on from them."""
    if a is None or b is None:
        return 0
    if frozenset((a, b)) in sewing.together:
        return 3
    folds = [sewing.pieces[ref.piece].edge(ref.edge).kind is EdgeKind.FOLD for ref in (a, b)]
    if a == b or all(folds):
        return 2
    return 1 if a.edge == b.edge and not any(folds) else 0


# ---------------------------------------------------------------- walking a side of a seam


@dataclass(frozen=True, slots=True)
class _Stretch:
    """A run of one edge, from `start` to `end` mm along it as sewn, and how far along its side it begins."""

    ref: Ref
    piece: Piece
    edge: Edge
    start: float
    end: float
    begins: float

    @property
    def length(self) -> float:
        return abs(self.end - self.start)


_Side: TypeAlias = tuple[_Stretch, ...]


def _walk(sewing: Sewing, run: Sequence[Ref], ways: Sequence[bool]) -> _Side:
    found: list[_Stretch] = []
    begins = 0.0
    for ref, back in zip(run, ways, strict=True):
        piece = sewing.pieces[ref.piece]
        start, end = stretch_of(piece, ref)
        if back and not ref.start:
            start, end = end, start
        found.append(_Stretch(ref, piece, run_of(piece, ref.edge), start, end, begins))
        begins += found[-1].length
    return tuple(found)


def _long(side: _Side) -> float:
    return side[-1].begins + side[-1].length


def _turned(side: _Side) -> _Side:
    """The same side, walked from its other end."""
    full = _long(side)
    return tuple(
        replace(part, start=part.end, end=part.start, begins=full - part.begins - part.length)
        for part in reversed(side)
    )


def _after(first: _Side, second: _Side) -> _Side:
    full = _long(first)
    return (*first, *(replace(part, begins=part.begins + full) for part in second))


def _sides(sewing: Sewing, seam: Seam) -> tuple[_Side, _Side] | None:
    """Both sides of a seam, walked, each as often as it comes round the wearer.

    None where one comes round more often, and it does not follow where it begins: at the end that is not on a fold.
    """
    ways = known_ways(sewing, seam)
    sides = [_walk(sewing, run, own) for run, own in zip((seam.a, seam.b), ways, strict=True)]
    times = [{times_sewn(part.piece, part.ref) for part in side} for side in sides]
    if times[0] == times[1] and len(times[0]) == 1:
        return sides[0], sides[1]
    if any(len(own) > 1 for own in times):
        return None
    if {2} not in times or {1} not in times:
        return None
    double = times.index({2})
    half = sides[double]
    ends = _ends(sewing, half[0].ref, ways[double][0])[0], _ends(sewing, half[-1].ref, ways[double][-1])[1]
    folds = [ref is not None and sewing.pieces[ref.piece].edge(ref.edge).kind is EdgeKind.FOLD for ref in ends]
    if folds[0] == folds[1]:
        return None
    sides[double] = _after(_turned(half), half) if folds[0] else _after(half, _turned(half))
    return sides[0], sides[1]


class Grown(NamedTuple):
    """A place of a side of a seam: how far along it, as sewn, it lay, and lies now; mm."""

    was: float
    now: float


def grown_along(before: Sewing, after: Sewing, seam: Seam, number: Literal[0, 1]) -> tuple[Grown, ...]:
    """Ends, corners and notches of one side of a seam, before and after its pieces were changed, as often as the side
    comes round the wearer; none where it does not follow which way they lie."""
    try:
        walks = [_sides(sewing, seam) for sewing in (before, after)]
    except DraftError:
        return ()
    if walks[0] is None or walks[1] is None:
        return ()
    found: list[Grown] = []
    for was, now in zip(walks[0][number], walks[1][number], strict=True):
        found += [Grown(was.begins, now.begins), Grown(was.begins + was.length, now.begins + now.length)]
        marks = zip(*([n for n in part.piece.notches if n.edge == part.edge.name] for part in (was, now)), strict=False)
        for one, other in marks:
            places = [abs(part.edge.sewn(n.at) - part.start) for part, n in ((was, one), (now, other))]
            if -_ON < places[0] < was.length + _ON and one.name == other.name:
                found.append(Grown(was.begins + places[0], now.begins + places[1]))
    return tuple(sorted(found))


def whole_way(before: Sewing, seam: Seam, number: Literal[0, 1]) -> tuple[float, float] | None:
    """From where to where the one edge of a side is walked, mm along it as sewn; None for one of more, or of halves."""
    try:
        sides = _sides(before, seam)
    except DraftError:
        return None
    if sides is None or len(sides[number]) != 1:
        return None
    return sides[number][0].start, sides[number][0].end


def _places(side: _Side, place: Place) -> list[float]:
    """How far along a side a place lies, mm, each time that the side comes by; more than once for a corner of two."""
    found: list[float] = []
    for part in side:
        if part.piece.name != place.piece or (place.at and part.edge.name != place.name):
            continue
        if not place.at and place.name not in part.piece.points:
            continue
        far = along(part.piece, part.edge, place.at) if place.at else _far_along(
            part.edge, part.piece.points[place.name]
        )  # fmt: skip
        if far is None:
            continue
        sewn = part.edge.sewn(far)
        low, high = sorted((part.start, part.end))
        if low - _ON <= sewn <= high + _ON:
            found.append(part.begins + abs(sewn - part.start))
    return found


def _on_sides(seam: Seam, sides: Sequence[_Side], pair: Sequence[Place]) -> list[tuple[int, list[float], Place]]:
    """On which side the places of a pair lie, 0 or 1, and how far along it; DraftError for one that lies on neither."""
    found: list[tuple[int, list[float], Place]] = []
    for i, place in enumerate(pair):
        homes = [_places(side, place) for side in sides]
        if not any(homes):
            raise DraftError(f"{seam.name}: {place} lies on neither side of it. Name a place of one of its edges.")
        number = i if all(homes) and len(pair) > 1 else 0 if homes[0] else 1
        found.append((number, homes[number], place))
    found.sort(key=lambda one: one[0])
    if len(found) > 1 and found[0][0] == found[1][0]:
        raise DraftError(f"{seam.name}: {pair[0]} and {pair[1]} lie on one side of it. Name a place of either side.")
    return found


# ---------------------------------------------------------------- notches


@dataclass(frozen=True, slots=True)
class _Mark:
    """A pair of notches: how far along side a and side b, how many, and its name."""

    a: float
    b: float
    count: int
    name: str


def derived_notches(pieces: Iterable[Piece], seams: Iterable[Seam]) -> dict[str, tuple[NotchPlace, ...]]:
    """The notches that follow from the seams, by piece: in pairs that meet when sewn.

    They lie where the seam says that places meet; where two edges of the other side meet; where a level (or a balance
    line of one name) ends on both sides; half way along a facing; and at the quarters of what is gathered or stretched.
    Each lies at the same part of both sides between two places that are known to meet, so that it has its share of the
    ease; what is eased has none below the first and above the last place that meets. One in front, two behind.
    Raises DraftError for a seam whose edges may lie either way, and for a place that is not on it.
    """
    sewing = Sewing.of(pieces, seams)
    found: dict[str, list[NotchPlace]] = {name: [] for name in sewing.pieces}
    for number, seam in enumerate(sewing.seams):
        if not _may_be_marked(sewing, seam):
            continue
        sides = _sides(sewing, seam)
        if sides is None:
            continue
        for mark in _marks(sewing, seam, sides, 2 if _is_second(sewing, number) else 1):
            for side, far in zip(sides, (mark.a, mark.b), strict=True):
                _add(found, side, far, mark)
    return {name: tuple(places) for name, places in found.items()}


def notched(pieces: Iterable[Piece], seams: Iterable[Seam]) -> tuple[Piece, ...]:
    """The pieces with the notches that follow from their seams, beside those that they have. Raises as above."""
    known = tuple(pieces)
    more = derived_notches(known, seams)
    return tuple(replace(piece, notches=(*piece.notches, *more[piece.name])) for piece in known)


def _may_be_marked(sewing: Sewing, seam: Seam) -> bool:
    """Whether there is anything to mark: not on a seam to itself, whose two notches would be one and the same."""
    if any(ref.lips for ref in (*seam.a, *seam.b)) or (seam.to_itself and not seam.meets):
        return False
    if seam.meets or len(seam.a) + len(seam.b) > 2 or seam.how in ("faced", "gathered", "stretched"):
        return True
    a, b = (_line_ends(sewing.pieces[run[0].piece], run[0]) for run in (seam.a, seam.b))
    return not a.keys().isdisjoint(b)


def _is_second(sewing: Sewing, number: int) -> bool:
    """Whether an earlier seam joins edges of the same names, one to one: front before back."""
    own = sewing.seams[number]
    return any(
        len(one.a) == len(one.b) == len(own.a) == len(own.b) == 1
        and (one.a[0].edge, one.b[0].edge) == (own.a[0].edge, own.b[0].edge)
        and {one.a[0].piece, one.b[0].piece}.isdisjoint((own.a[0].piece, own.b[0].piece))
        for one in sewing.seams[:number]
    )


def _marks(sewing: Sewing, seam: Seam, sides: tuple[_Side, _Side], count: int) -> list[_Mark]:
    known, found = _meeting(seam, sides)
    for number, far, name in () if seam.free else _usual(sewing, seam, sides):
        both = _both(known, number, far)
        if all(abs(both[0] - mark.a) >= APART and abs(both[1] - mark.b) >= APART for mark in found):
            found.append(_Mark(*both, count if name == "middle" else 1, name))
    return [
        replace(mark, count=mark.count or _count(sides, mark, count)) for mark in sorted(found, key=lambda mark: mark.a)
    ]


def _meeting(seam: Seam, sides: tuple[_Side, _Side]) -> tuple[list[tuple[float, float]], list[_Mark]]:
    """Which distances along side a and side b meet, in order, and the marks of what the seam and levels say meets."""
    long = _long(sides[0]), _long(sides[1])
    known: list[tuple[float, float]] = [(0.0, 0.0), long]
    found = [_Mark(on_a, on_b, 1, name) for name, on_a, on_b in _levels(sides)]
    told: list[tuple[int, float, str]] = []
    for pair in seam.meets:
        here = _on_sides(seam, sides, pair)
        if len(here) == 1:
            told += [(here[0][0], far, _called(here[0][2])) for far in here[0][1]]
            continue
        (_, on_a, first), (_, on_b, second) = here
        name = _called(first if first.at and not second.at else second)
        found += [_Mark(*both, 0, name) for both in dict.fromkeys(zip(on_a, on_b, strict=False))]
    known += [(mark.a, mark.b) for mark in found]
    if seam.how == "eased" and len(told) > 1:
        told.sort(key=lambda one: one[1] / long[one[0]])
        (_, low, _), (number, high, _) = told[0], told[-1]
        rest = long[number] - high
        known += [(low, low), (long[0] - rest, long[1] - rest)]
    known.sort()
    for number, far, name in told:
        both = _both(known, number, far)
        if all(abs(both[0] - mark.a) > _ON for mark in found):
            found.append(_Mark(*both, 0, name))
    return known, found


def _usual(sewing: Sewing, seam: Seam, sides: tuple[_Side, _Side]) -> Iterator[tuple[int, float, str]]:
    """On which side, how far along it, and what: where edges of one side meet; parts of what is faced or gathered."""
    for number, side in enumerate(sides):
        for before, after in pairwise(side):
            yield number, after.begins, _corner_name(sewing, before, after)
    if seam.how == "faced" and not seam.meets:
        yield 0, _long(sides[0]) / 2, "middle"
    if seam.how in ("gathered", "stretched") and not seam.meets:
        for quarter in (1, 2, 3):
            yield 0, _long(sides[0]) * quarter / 4, "quarter"


def _called(place: Place) -> str:
    """The name of the notch at a place: what the place is called, unless that is a part of the edge."""
    said = place.at or place.name
    return "balance" if "/" in said or said in ("start", "end") else piece_words(said)


def _both(known: Sequence[tuple[float, float]], number: int, far: float) -> tuple[float, float]:
    """A place of one side and where it meets the other: at the same part between two places that are known to meet."""
    one, other = next((pair for pair in pairwise(known) if far <= pair[1][number] + 1e-9), (known[-2], known[-1]))
    span = other[number] - one[number]
    part = (far - one[number]) / span if span > 1e-9 else 0.0
    there = one[1 - number] + part * (other[1 - number] - one[1 - number])
    return (far, there) if number == 0 else (there, far)


def _count(sides: tuple[_Side, _Side], mark: _Mark, count: int) -> int:
    """One in front, two behind: two on the second and later of several edges of one side, one at their corners."""
    for side, far in zip(sides, (mark.a, mark.b), strict=True):
        pieces = list(dict.fromkeys(part.piece.name for part in side))
        if len(pieces) > 1:
            part = next(p for p in side if far <= p.begins + p.length + 1e-6)
            at_corner = min(abs(far - part.begins), abs(far - part.begins - part.length)) < _ON
            return 1 if at_corner or part.piece.name == pieces[0] else 2
    return count


def _corner_name(sewing: Sewing, before: _Stretch, after: _Stretch) -> str:
    """What the corner of two edges of a side is called: by the edge that their pieces are joined at."""
    last = _ends(sewing, before.ref, before.start > before.end)[1]
    return piece_words(last.edge) if last is not None else "balance"


def _levels(sides: tuple[_Side, _Side]) -> Iterator[tuple[str, float, float]]:
    """Levels and balance lines of one name that end on both edges of a seam of one to one, and how far along each."""
    if len(sides[0]) == len(sides[1]) == 1:
        (part, other), (a, b) = (side[0] for side in sides), (_line_ends(side[0].piece, side[0].ref) for side in sides)
        for name in a:
            if name in b:
                yield name, abs(a[name] - part.start), abs(b[name] - other.start)


_CLEAR: Final = 20.0
"""A level that ends nearer to a corner wants no notch beside it, mm (common practice, no source)."""


def _line_ends(piece: Piece, ref: Ref) -> dict[str, float]:
    """Levels and balance lines that end on that stretch of an edge, and where, mm along it as sewn."""
    lines = [(level.name, level.points) for level in piece.levels if level.name]
    lines += [(n.name.removesuffix(" line"), n.points) for n in piece.internal_lines if n.kind is LineKind.BALANCE]
    if not lines:
        return {}
    edge = run_of(piece, ref.edge)
    low, high = sorted(stretch_of(piece, ref))
    found: dict[str, float] = {}
    for name, points in lines:
        for end in (points[0], points[-1]):
            far = _far_along(edge, Point(*end))
            if far is not None and low + _CLEAR < edge.sewn(far) < high - _CLEAR:
                found.setdefault(name, edge.sewn(far))
    return found


def _add(found: Mapping[str, list[NotchPlace]], side: _Side, far: float, mark: _Mark) -> None:
    """The notch at that place of a side, unless it is a corner of it or is there already."""
    part = next((p for p in side if far <= p.begins + p.length + 1e-6), side[-1])
    sewn = part.start + (far - part.begins) * (1 if part.end >= part.start else -1)
    full = part.edge.sewn_length()
    if part.edge not in part.piece.edges or sewn < _ON or sewn > full - _ON:
        return
    at = drawn(part.edge, sewn)
    own = found[part.piece.name]
    there = [*own, *part.piece.notches]
    if all(n.edge != part.edge.name or abs(part.edge.sewn(n.at) - sewn) > _ON for n in there):
        own.append(NotchPlace(part.edge.name, at, mark.count, mark.name))


# ---------------------------------------------------------------- order of sewing, widths, joins


Order: TypeAlias = Callable[[Piece], Mapping[str, int]]
"""Of the edges of a piece, when each is sewn: the lower number first. One that is not among them has no place."""


def order_of(pieces: Iterable[Piece], seams: Iterable[Seam], told: Sequence[str] = ()) -> Order:
    """The order of sewing: that of the list of seams, unless told by names of edges.

    An edge that no seam names goes by the first of its name in another piece. Before all seams go edges of a pair on
    its centre line that no seam names, which are sewn to the other side; after them hems and openings.
    """
    if told:
        ranks = {name: rank for rank, name in reversed([*enumerate(told)])}
        return lambda piece: ranks
    own: dict[Ref, int] = {}
    for rank, seam in enumerate(seams):
        for ref in (*seam.a, *seam.b):
            own.setdefault(ref.whole, rank)
    named: dict[str, int] = {}
    for ref, rank in own.items():
        named.setdefault(ref.edge, rank)
    for piece in pieces:
        for edge in piece.edges:
            if Ref(piece.name, edge.name) in own:
                continue
            if edge.kind is EdgeKind.SEAM and piece.mirrored_pair and _on_centre_line(edge):
                named[edge.name] = -1
            elif edge.kind in (EdgeKind.HEM, EdgeKind.OPENING):
                named.setdefault(edge.name, len(own))
    return lambda piece: named | {ref.edge: rank for ref, rank in own.items() if ref.piece == piece.name}


def _on_centre_line(edge: Edge) -> bool:
    return all(abs(end.x) < _ON for curve in edge.curves for end in (curve.start, curve.end))


def usual_allowance(edge: Edge) -> float:
    """Of an edge of that kind of which nothing is said, mm."""
    return {EdgeKind.FOLD: 0.0, EdgeKind.HEM: HEM_ALLOWANCE}.get(edge.kind, SEAM_ALLOWANCE)


def seam_widths(seams: Iterable[Seam]) -> dict[Ref, float | None]:
    """The allowance that each edge has from its seam, mm; None where its seams say none."""
    found: dict[Ref, float | None] = {}
    for seam in seams:
        for ref in (*seam.a, *seam.b):
            if found.get(ref.whole) is None:
                found[ref.whole] = seam.width
    return found


def derived_joins(pieces: Iterable[Piece], seams: Iterable[Seam]) -> Iterator[Join]:
    """Runs that must go on smoothly across a seam: edges of one name on both pieces, where the seam ends at them.

    Not across a facing, which ends there, nor along a fold; of seams of one edge to one.
    """
    by_name = {piece.name: piece for piece in pieces}
    for seam in seams:
        if len(seam.a) != 1 or len(seam.b) != 1 or seam.how == "faced" or seam.a[0].start or seam.b[0].start:
            continue
        one, other = seam.a[0].whole, seam.b[0].whole
        first, second = by_name[one.piece], by_name[other.piece]
        if seam.to_itself or not all(
            ref.edge in [e.name for e in p.edges] for ref, p in ((one, first), (other, second))
        ):
            continue
        (before_a, after_a), (before_b, after_b) = first.beside(one.edge), second.beside(other.edge)
        for run, there in ((before_a, after_b), (after_a, before_b), (before_a, before_b), (after_a, after_b)):
            smooth = run == there and run not in (one.edge, other.edge)
            if smooth and first.edge(run).kind is not EdgeKind.FOLD:
                yield Join(
                    f"{run} across {seam.name}", Corner(one.piece, run, one.edge), Corner(other.piece, run, other.edge)
                )
