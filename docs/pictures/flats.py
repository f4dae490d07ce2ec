"""Garments as worn, front and back, drawn from their drafts: the flat drawing that a dressmaker knows.

No garment is known by name. Every piece that goes round the body is laid out by its levels: how deep a point of it
hangs, and how much cloth lies between it and the centre, darts closed, panels beside their neighbours. Cloth that
flares falls into folds: it is drawn narrower than it is (chosen by eye). Sleeves hang from the shoulder tip; bands and
collars lie along the seam that joins them. What is only inside (facings, linings) is left out.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from math import atan2, cos, degrees, dist, exp, hypot, pi, radians, sin

from shapely.geometry import LineString, Polygon, box
from shapely.ops import unary_union

from oaktag.draft.cuts import cut
from oaktag.draft.moves import placed, turned_over
from oaktag.geometry.path import flatten, part, place_at
from oaktag.geometry.point import Point
from oaktag.model.draft import Draft
from oaktag.model.piece import Cut, Dart, Edge, EdgeKind, LineKind, Piece, Seam, piece_words, sew
from oaktag.model.ref import Ref
from oaktag.model.sewing import seam_lengths
from oaktag.values import replace

XY = tuple[float, float]
Line = list[XY]
VIEWS = ("front", "back")
_STEP = 12.0
"""Lines are bent at places no further apart, mm."""
_SOFT, _FULL = 0.3, 0.6
"""A half that widens by more than the first, mm per mm down, hangs in folds, by less and less up to the second."""
_PLEATED = 0.2
"""How much of the cloth laid in pleats springs open at the hem."""
_ARM_DEG = 48.0
"""How far a sleeve hangs out from the vertical at most."""


@dataclass(slots=True)
class Shape:
    """An outline that hides what is below it, and lines on it, in the plane of the picture, y up."""

    fill: list[Line] = field(default_factory=list)
    lines: list[tuple[str, Line]] = field(default_factory=list)
    colour: str = "#fff"

    def mirrored(self) -> Shape:
        turn = lambda line: [(-x, y) for x, y in line]  # noqa: E731
        return Shape([turn(ring) for ring in self.fill], [(seen, turn(line)) for seen, line in self.lines], self.colour)


def dense(points: Iterable[XY]) -> Line:
    """The same line with places no further apart than _STEP."""
    line = [(float(x), float(y)) for x, y in points]
    found = line[:1]
    for a, b in pairwise(line):
        count = max(1, int(dist(a, b) / _STEP + 0.999))
        found += [(a[0] + (b[0] - a[0]) * i / count, a[1] + (b[1] - a[1]) * i / count) for i in range(1, count + 1)]
    return found


def at(table: Sequence[XY], key: float) -> float:
    """What a table that rises says at a key; held at its ends."""
    i = bisect_left(table, (key, float("-inf")))
    if i == 0 or i == len(table):
        return table[min(i, len(table) - 1)][1]
    (a, low), (b, high) = table[i - 1], table[i]
    return low + (high - low) * (key - a) / (b - a) if b > a else high


def above(line: Sequence[XY], p: XY) -> XY:
    """How far a point lies above a line that goes on beyond its ends, and how far along the line that is."""
    best, far = (float("inf"), 0.0, 0.0), 0.0
    for i, (a, b) in enumerate(pairwise(line)):
        long = dist(a, b)
        if long < 1e-9:
            continue
        ux, uy = (b[0] - a[0]) / long, (b[1] - a[1]) / long
        t = (p[0] - a[0]) * ux + (p[1] - a[1]) * uy
        held = t if (i == 0 and t < 0) or (i == len(line) - 2 and t > long) else max(0.0, min(long, t))
        off = hypot(p[0] - a[0] - held * ux, p[1] - a[1] - held * uy)
        if off < best[0] - 1e-9:
            best = (off, off if ux * (p[1] - a[1]) - uy * (p[0] - a[0]) >= 0 else -off, far + held)
        far += long
    return best[1], best[2]


class Lie:
    """How a piece lies on the body: the depth of its points, and how far across they are, darts closed."""

    def __init__(self, piece: Piece, *, depth: float = 0.0) -> None:
        self.piece = piece
        found = [(level.depth, [tuple(p) for p in level.points]) for level in piece.levels]
        self.lines = [(d, line if line[0][0] <= line[-1][0] else line[::-1]) for d, line in found]
        bent = any(dist(line[0], line[-1]) < 0.75 * LineString(line).length for _, line in self.lines)
        count = min(17 if bent else 9, max((len(line) for _, line in self.lines), default=0))
        self.lines = [(d, _evenly(line, count) if count > 2 else line) for d, line in self.lines]
        self.depth = depth
        self.way = 1.0
        """Minus one where it is drawn with its inner seam to the right."""
        self.inner: list[XY] = []  # depth to how far along the level the inner seam lies
        self.base: list[XY] = [(0.0, 0.0)]  # depth to how far from the centre that is
        self.upright = [dart for dart in piece.darts if _is_upright(dart)]
        self.level_darts = [tuple(sorted((self.locate(p), p) for p in dart.points[::2])) + (self.locate(dart.points[1]), dart.points[1])
                            for dart in piece.darts if not _is_upright(dart)] if self.lines else []  # fmt: skip

    def level(self, depth: float) -> Line:
        if not self.lines:
            return [(-1000.0, self.depth - depth), (1000.0, self.depth - depth)]
        i = bisect_left([d for d, _ in self.lines], depth)
        if i == 0 or i == len(self.lines):
            d, line = self.lines[0 if i == 0 else -1]
            return [(x, y + d - depth) for x, y in line]
        (a, high), (b, low) = self.lines[i - 1], self.lines[i]
        t = (depth - a) / (b - a) if b > a else 0.0
        return [(p[0] + t * (q[0] - p[0]), p[1] + t * (q[1] - p[1])) for p, q in zip(high, low, strict=True)]

    def locate(self, p: XY) -> XY:
        """Depth, and how far along the level."""
        if not self.lines:
            return self.depth - p[1], p[0]
        first, last = self.lines[0], self.lines[-1]
        up, far = above(first[1], p)
        if up >= 0:
            return first[0] - up, far
        down, far = above(last[1], p)
        if down <= 0:
            return last[0] - down, far
        for (a, _), (b, low) in pairwise(self.lines):
            down, far = above(low, p)
            if b > a and down >= 0:
                up = above(self.level(a), p)[0]
                for _ in range(12):  # the depth at which it lies on the level: false position, the far end halved
                    middle = (up * b - down * a) / (up - down) if abs(up - down) > 1e-9 else b
                    found, far = above(self.level(middle), p)
                    if abs(found) < 0.02:
                        return middle, far
                    if found < 0:
                        a, up, down = middle, found, down / 2
                    else:
                        b, down, up = middle, found, up / 2
                return middle, far
        return last[0], far

    def place(self, p: XY) -> XY:
        """How far from the centre, and how deep."""
        depth, far = self.locate(p)
        line = self.level(depth)
        start = at(self.inner, depth) if self.inner else _at_centre(line)
        if not self.lines:
            start, far = (at(self.inner, depth) if self.inner else 0.0), p[0]
        taken = 0.0
        for dart in self.upright:
            met = LineString(line).intersection(_wedge(dart))
            if met.is_empty or met.geom_type != "LineString":
                continue
            low, high = sorted(above(line, end)[1] for end in (met.coords[0], met.coords[-1]))
            taken += max(0.0, min(high, max(far, start)) - max(low, min(far, start)))
        return at(self.base, depth) + self.way * (far - start - taken), self._closed(p, depth)

    def _closed(self, p: XY, depth: float) -> float:
        """The depth with darts closed that come from the side: what lies above and below them moves together."""
        for ((high, _), a), ((low, _), b), (at_tip, _), tip in self.level_darts:
            part_out = ((p[0] - tip[0]) / ((a[0] + b[0]) / 2 - tip[0])) if a[0] + b[0] != 2 * tip[0] else 0.0
            if part_out <= 0:
                continue
            part_out = min(1.0, part_out)
            upper, lower = at_tip + (high - at_tip) * part_out, at_tip + (low - at_tip) * part_out
            middle = (upper + lower) / 2
            depths = [d for d, _ in self.lines]
            top = max((d for d in depths if d < min(upper, high) - 5), default=upper - 150)
            bottom = min((d for d in depths if d > max(lower, low) + 5), default=lower + 150)
            if depth <= upper + 0.01:
                depth += (middle - upper) * max(0.0, (depth - top) / max(1.0, upper - top))
            elif depth >= lower - 0.01:
                depth -= (lower - middle) * max(0.0, (bottom - depth) / max(1.0, bottom - lower))
            else:
                depth = middle
        return depth


def _is_upright(dart: Dart) -> bool:
    if len(dart.points) != 3:
        return True
    (ax, ay), (x, y), (bx, by) = dart.points
    return abs((ax + bx) / 2 - x) < abs((ay + by) / 2 - y)


def _wedge(dart: Dart) -> Polygon:
    """What a dart takes away; of an open one, beyond its edge too."""
    if len(dart.points) != 3:
        return Polygon(dart.points)
    tip = dart.points[1]
    out = [(tip[0] + 1.5 * (p[0] - tip[0]), tip[1] + 1.5 * (p[1] - tip[1])) for p in dart.points]
    return Polygon(out)


def _evenly(line: Line, count: int) -> Line:
    whole = LineString(line)
    return [tuple(whole.interpolate(i / (count - 1), normalized=True).coords[0]) for i in range(count)]


def _at_centre(line: Line) -> float:
    """How far along a level the centre line, x = 0, lies."""
    far = 0.0
    for a, b in pairwise(line):
        if a[0] <= 0 <= b[0] and b[0] > a[0]:
            return far + dist(a, b) * -a[0] / (b[0] - a[0])
        far += dist(a, b)
    return -line[0][0] if line[0][0] > 0 else far


class Layer:
    """Pieces one beside the other, and how they hang: what flares falls into folds, what is gathered springs open."""

    def __init__(
        self,
        outer: Sequence[XY],
        top: float,
        bottom: float,
        drawn_in: float,
        low: float,
        pleats: bool,
        falls: bool,
        share: float,
    ) -> None:
        last = max(1, round((bottom - top) / _STEP))
        self.top, self.rows, shown, before = top, [], 0.0, 0.0
        for k in range(last + 1):
            wide = max(1.0, at(outer, top + k * _STEP)) if falls else 1.0
            part_down = k / last
            if drawn_in < 0.97:
                opened = _PLEATED if pleats else 1.0
                full = wide * (drawn_in + (1 - drawn_in) * opened * part_down)
            else:
                full = wide
            full *= 1 - (1 - low) * part_down
            grown = (full - before) / _STEP if k else 0.0
            if falls and grown > _SOFT:
                grown = _SOFT + (_FULL - _SOFT) * (1 - exp(-(grown - _SOFT) / 0.45))
            shown = shown + grown * _STEP if k else full * share
            before = full
            self.rows.append((k, (shown / wide if wide else 1.0, grown if k else 0.0, wide)))
        self.bottom, self.let_out = bottom, (0.0, 1.0)
        self.lean = (shown - self.rows[0][1][0] * self.rows[0][1][2]) / max(1.0, bottom - top) if falls else 0.0
        wides = [wide for _, (_, _, wide) in self.rows]
        self.folded = 1 - self.rows[-1][1][0] if wides[-1] > 0.98 * max(wides) else 0.0

    def wide(self, depth: float) -> float:
        """How wide the half is, as it is cut."""
        return at([(self.top + k * _STEP, wide) for k, (_, _, wide) in self.rows], depth)

    def hang(self, p: XY) -> XY:
        """Where what lies so far across, so deep, is seen."""
        x, depth = p
        k = max(0.0, min((depth - self.top) / _STEP, len(self.rows) - 1.0))
        i = int(k)
        (a, _, wide), (b, _, _) = self.rows[i][1], self.rows[min(i + 1, len(self.rows) - 1)][1]
        share = a + (b - a) * (k - i)
        if depth <= self.top:
            start, part_of = self.let_out
            if part_of < 1.0:
                share = part_of + (1.0 - part_of) * max(0.0, min(1.0, (depth - start) / (self.top - start)))
            return x * (share if part_of < 1.0 or share < 0.97 else 1.0), -depth
        lift = hypot(1.0, max(0.0, self.lean) * min(1.0, abs(x) / max(wide, 1.0))) if self.lean > 0.12 else 1.0
        y = self.top + (depth - self.top) / lift
        if self.folded > 0.15:  # the hem waves
            y += (
                9
                * self.folded
                * ((depth - self.top) / (self.bottom - self.top)) ** 3
                * cos(6 * pi * x / max(wide, 1.0))
            )
        return x * share, -y


@dataclass(slots=True)
class Worn:
    """A piece on the body as one view shows it."""

    piece: Piece
    lie: Lie
    layer: Layer | None = None
    fold: float | None = None
    """Upright line where the piece is folded under."""
    most: list[XY] = field(default_factory=list)
    """Depth to how far across this view goes: further on the piece lies in the other."""
    beyond: Polygon | None = None
    """Where the piece goes on in the other view, over the shoulder."""
    chain: str = ""
    """The piece at the centre of those that lie side by side with it."""
    times: float = 1.0
    """How often it comes round in this view, of several alike without a centre."""

    def at(self, p: XY) -> XY:
        """Across and depth, as far as this view goes."""
        x, depth = self.lie.place(p)
        x *= self.times
        if self.most:
            x = min(x, at(self.most, depth))
        return (max(x, 0.0) if self.piece.worn == "leg" else x), depth

    def seen(self, line: Iterable[XY]) -> Line:
        assert self.layer is not None
        return [self.layer.hang(self.at(p)) for p in dense(line)]


def edge_runs(edge: Edge) -> list[Line]:
    """An edge as lines: what a dart takes away is left out."""
    ends, runs = 0.0, []
    for take in (*(take for take in edge.takes if take.kind == "dart"), None):
        stop = take.start if take else edge.length()
        if stop - ends > 0.01:
            runs.append([tuple(p) for p in flatten(part(edge.curves, ends, stop), 0.3)])
        ends = take.end if take else stop
    return runs


def upright(piece: Piece, edge: Edge) -> bool:
    """Whether an edge runs down the body rather than across it."""
    line = flatten(edge.curves, 1.0)
    lie = Lie(piece)
    depths = [lie.locate(p)[0] for p in (line[0], line[len(line) // 2], line[-1])]
    return max(depths) - min(depths) > 0.7 * edge.length()


def with_halves(draft: Draft) -> Draft:
    """A leg in one piece as a front and a back: cut down its middle, or, where it is on the fold of its side or there
    are four alike, twice the same. Both are drawn as halves are, their centre to the left."""
    legs: dict[str, tuple[Piece, Piece]] = {}
    for piece in draft.pieces:
        names = (f"{piece.name}_front", f"{piece.name}_back")
        inseam = next((seam for seam in draft.seams if not seam.to_itself and
                       {r.piece for r in (*seam.a, *seam.b)} == {piece.name}), None)  # fmt: skip
        over = turned_over((0.0, 0.0), (0.0, 1.0))
        if piece.worn != "leg":
            continue
        if piece.to_cut.all_round:
            edges = tuple(replace(e, kind=EdgeKind.SEAM if e.kind is EdgeKind.FOLD else e.kind) for e in piece.edges)
            turned = _levelled(placed(replace(piece, edges=edges, to_cut=Cut("pair")), over))
            legs[piece.name] = (replace(turned, name=names[0]), replace(turned, name=names[1]))
        elif inseam is not None:
            top, low = (place_at(e.curves, e.length() / 2)[0] for e in piece.edges if e.kind is EdgeKind.HEM)
            front, back = cut(piece, top, low, names=names, edge="side", holding=inseam.a[0].edge)
            legs[piece.name] = (_levelled(placed(front, over)), _levelled(back))
    if not legs:
        return draft

    def both(run: Sequence[Ref]) -> tuple[Ref, ...]:
        return tuple(
            ref._replace(piece=half.name) for ref in run for half in legs.get(ref.piece, ())
            if any(e.name == ref.edge for e in half.edges)
        ) + tuple(ref for ref in run if ref.piece not in legs)  # fmt: skip

    seams = []
    for seam in draft.seams:
        a, b = both(seam.a), both(seam.b)
        fronts, backs = (tuple(r for r in a if r.piece in {pair[i].name for pair in legs.values()}) for i in (0, 1))
        if seam.to_itself and fronts and backs:  # an inseam joins both halves, a crotch each to the wearer's other leg
            inner = any("inseam" in ref.edge for ref in a)
            seams += [replace(seam, a=fronts, b=backs if inner else fronts, meets=())]
            seams += [] if inner else [replace(seam, name=f"{seam.name} 2", a=backs, b=backs, meets=())]
        else:
            seams.append(replace(seam, a=a, b=b, meets=()))
    seams += [Seam(f"{front.name} side", (Ref(front.name, edge),), (Ref(back.name, edge),))
              for front, back in legs.values() for edge in ("side", "side_fold")
              if any(e.name == edge for e in front.edges)]  # fmt: skip
    pieces = [half for piece in draft.pieces for half in legs.get(piece.name, (piece,))]
    return replace(draft, pieces=tuple(pieces), seams=tuple(seams))


def _levelled(piece: Piece) -> Piece:
    """Its levels drawn straight across, far beyond it."""
    return replace(piece, internal_lines=(), levels=tuple(
        replace(level, points=(Point(-1000.0, level.points[0].y), Point(1000.0, level.points[0].y)))
        for level in piece.levels))  # fmt: skip


def as_hung(draft: Draft) -> Draft:
    """The draft with front and back apart where one cloth is folded over the shoulder, at y = 0, and each leg drawn with
    its centre seam to the left."""
    pieces: list[Piece] = []
    parts: dict[str, tuple[Piece, Piece]] = {}
    own = {ref.piece: ref.edge for seam in draft.seams if seam.to_itself for ref in seam.a}
    for piece in draft.pieces:
        xs = [p[0] for edge in piece.edges for p in (edge.start, edge.end)]
        if "crosswise" in draft.folding.get(piece.name, ()):
            upper, lower = cut(piece, (0.0, 0.0), (1.0, 0.0), names=("upper", "lower"), edge="over")
            upper = placed(upper, turned_over((0.0, 0.0), (1.0, 0.0)))
            parts[piece.name] = replace(lower, name="front"), replace(upper, name="back")
            pieces += parts[piece.name]
        elif piece.worn == "leg" and piece.name in own and piece.edge(own[piece.name]).start.x > sum(xs) / len(xs):
            pieces.append(placed(piece, turned_over((0.0, 0.0), (0.0, 1.0))))
        else:
            pieces.append(piece)
    if not parts:
        return replace(draft, pieces=tuple(pieces))

    def of(ref: Ref) -> str:
        where = parts.get(ref.piece, [piece for piece in pieces if piece.name == ref.piece])
        return next((f"{part.name}.{ref.edge}" for part in where for e in part.edges if e.name == ref.edge), "")

    seams = [sew("shoulder seam", "front.over", to="back.over")]
    for seam in draft.seams:
        a, b = ([of(ref) for ref in run] for run in (seam.a, seam.b))
        if seam.how == "plain" and all(a) and all(b):
            seams.append(sew(seam.name, *a, to=tuple(b)))
    return replace(draft, pieces=tuple(pieces), seams=tuple(seams))


class Flat:
    """A draft as it is worn: `shapes` of each view, the lowest first."""

    def __init__(self, draft: Draft) -> None:
        self.draft = draft = as_hung(with_halves(draft))
        self.pieces = {piece.name: piece for piece in draft.pieces}
        self.sewn: dict[Ref, list[tuple[Seam, int]]] = {}
        for seam in draft.seams:
            for i, run in enumerate((seam.a, seam.b)):
                for ref in run:
                    self.sewn.setdefault(ref.whole, []).append((seam, i))
        self.body = {p.name: p for p in draft.pieces if p.worn in ("body", "leg")}
        self.upright = {(p.name, e.name) for p in self.body.values() for e in p.edges if upright(p, e)}
        self.centres = {name: self._side(p) for name, p in self.body.items() if self._is_centre(p)}
        self.over: dict[str, Polygon] = {}
        self.views = {view: self._view(view) for view in VIEWS}
        for name, beyond in self.over.items():
            for found in self.views.values():
                if name in found and found[name].beyond is None:
                    found[name].beyond = beyond
        self.shapes = {view: [*self._sleeves(view), *self._pieces(view), *self._bands(view)] for view in VIEWS}
        self.shapes["front"] = [*self._inside_back(), *self.shapes["front"]]

    def partners(self, piece: str, edge: str) -> list[Ref]:
        """The edges that it is sewn to."""
        met = self.sewn.get(Ref(piece, edge), [])
        return [other.whole for seam, i in met if seam.how != "faced" for other in (seam.b, seam.a)[i]]

    def drawn_in(self, piece: Piece, edge: Edge) -> tuple[float, str]:
        """Its length as sewn, as a part of that as drawn; and by what."""
        folds = [take for take in edge.takes if take.kind != "dart"]
        if folds:
            away = sum(take.end - take.start for take in folds)
            return 1 - away / edge.length(), "pleat" if folds[0].kind != "gathers" else "gathers"
        for seam, i in self.sewn.get(Ref(piece.name, edge.name), []):
            long = seam_lengths(lambda name: self.pieces[name], seam)
            if seam.how == "gathered" and i == 0 and long.a:
                return long.b / long.a, "gathers"
            if seam.how == "stretched" and i == 1 and long.b and long.a / long.b < 0.7:
                return long.a / long.b, "gathers"
        return 1.0, ""

    # ------------------------------------------------------------ which piece lies where

    def _is_centre(self, piece: Piece) -> bool:
        return any(edge.kind is EdgeKind.FOLD for edge in piece.edges) or self._centre_edge(piece) is not None

    def _centre_edge(self, piece: Piece) -> tuple[Edge, float] | None:
        """The upright edge that is sewn to nothing but itself, and on which side it is drawn: 1, the left; -1."""
        rest = [p[0] for e in piece.edges for p in (e.start, e.end)]
        found = []
        for edge in piece.edges:
            line = flatten(edge.curves, 1.0)
            others = [r for r in self.partners(piece.name, edge.name) if r.piece != piece.name]
            if (
                edge.kind is EdgeKind.HEM
                or any(self.pieces[r.piece].worn for r in others)
                or piece.to_cut.side == "whole"
                or (piece.name, edge.name) not in self.upright
            ):
                continue
            inner = sum(p[0] for p in line) / len(line) < (min(rest) + max(rest)) / 2
            if inner or self.partners(piece.name, edge.name):
                found.append((0 if inner else 1, edge.kind is not EdgeKind.SEAM, -edge.length(), edge))
        found.sort(key=lambda one: one[:3])
        return (found[0][3], -1.0 if found[0][0] else 1.0) if found else None

    def _side(self, piece: Piece) -> str:
        edges = sorted(piece.edges, key=lambda e: e.kind is not EdgeKind.FOLD)
        itself = [seam.name for seam in self.draft.seams if seam.to_itself and seam.a[0].piece == piece.name]
        names = [piece.name, *itself, *(edge.name for edge in edges)]
        words = [word for name in names for word in piece_words(name).split()]
        return next((word for word in words if word in VIEWS), "")

    def _named(self, name: str) -> str:
        return next((word for word in piece_words(name).split() if word in VIEWS), "")

    def _view(self, view: str) -> dict[str, Worn]:
        found: dict[str, Worn] = {}
        for name, side in self.centres.items():
            if self._goes_round(self.body[name]):
                found[name] = self._half(view, self.body[name])
            elif side == view:
                found.update(self._chain(view, name))
            elif not side and not self.partners_beside(name):
                found[name] = Worn(
                    self.body[name], Lie(self.body[name]), chain=name, times=self.body[name].to_cut.around / 4
                )
        for name, piece in self.body.items():
            if piece.to_cut.side == "whole" and name not in self.centres and not any(self.partners_beside(name)):
                found[name] = self._round(piece)
        for name in [*found]:
            found |= self._over_shoulder(view, name, found)
        heads = [
            [worn for worn in found.values() if worn.chain == head]
            for head in dict.fromkeys(w.chain for w in found.values())
        ]
        share: list[tuple[float, float]] = []
        for chain in sorted(heads, key=lambda chain: min((d for w in chain for d, _ in w.lie.lines), default=0.0)):
            self._hang(chain, share)
        lowest = max((worn.layer.bottom for worn in found.values() if worn.layer), default=0.0)
        for worn in found.values():
            if worn.layer and worn.layer.bottom < lowest - 20:
                worn.layer.lean = worn.layer.folded = 0.0
        return {**self._let_in(found), **found}

    def _let_in(self, found: dict[str, Worn]) -> dict[str, Worn]:
        """Pieces sewn in one run with a piece on the body, drawn where that lies: the back of a slant pocket."""
        more: dict[str, Worn] = {}
        for seam in self.draft.seams:
            for run in (seam.a, seam.b):
                for ref in run:
                    piece = self.pieces[ref.piece]
                    beside = next((found[r.piece] for r in run if r.piece in found), None)
                    if len({self.centres[r.piece] for r in run if r.piece in self.centres}) > 1:
                        continue
                    if (
                        beside is not None
                        and ref.piece not in self.body
                        and not piece.worn
                        and piece.material == "shell"
                    ):
                        more[ref.piece] = Worn(piece, beside.lie, beside.layer)
        return more

    def _over_shoulder(self, view: str, name: str, found: dict[str, Worn]) -> dict[str, Worn]:
        """A yoke that goes on over the shoulder line of its points: the part of it that this view shows."""
        for other in self.body.values():
            ends = [other.points.get(point) for point in ("neck_side", "shoulder_tip")]
            if None in ends or self.centres.get(other.name) == self.centres.get(name):
                continue
            if any({tuple(e.start), tuple(e.end)} == {tuple(p) for p in ends if p} for e in other.edges):
                continue
            for edge in other.edges:
                met = [r for r in self.partners(other.name, edge.name) if r.piece == name]
                if not met or self.centres.get(other.name) == view or (other.name, edge.name) in self.upright:
                    continue
                a, b = ((p[0], p[1]) for p in ends if p)
                way = (b[0] - a[0], b[1] - a[1])
                middle = place_at(edge.curves, edge.length() / 2)[0]
                left = 1 if way[0] * (middle[1] - a[1]) - way[1] * (middle[0] - a[0]) > 0 else -1
                beyond = _half_plane(a, way, -left)
                self.over[other.name] = _half_plane(a, way, left)
                its = self.body[name].edge(met[0].edge)
                lie = _Laid(other, (edge.start, edge.end), (its.start, its.end))
                worn = Worn(other, lie, beyond=beyond, chain=other.name)
                return {other.name: worn}
        return {}

    def partners_beside(self, name: str) -> list[tuple[str, Ref]]:
        """The pieces beside a piece on the body, and by which edge of it."""
        edges = [edge.name for edge in self.body[name].edges if (name, edge.name) in self.upright]
        beside = [(own, ref) for own in edges for ref in self.partners(name, own)]
        return [(own, ref) for own, ref in beside if ref.piece in self.body and ref.piece != name]

    def _chain(self, view: str, first: str) -> dict[str, Worn]:
        """From the centre outwards; panels that are called neither front nor back are shared by both views."""
        piece = self.body[first]
        lie = Lie(piece)
        centre = self._centre_edge(piece)
        folded = any(edge.kind is EdgeKind.FOLD for edge in piece.edges)
        if piece.worn == "leg":
            lie.inner, lie.base = self._leg(piece, lie)
        elif centre is not None and not folded and lie.lines:
            run = dense(flatten(centre[0].curves, 0.5))
            if centre[0].kind is EdgeKind.SEAM:
                lie.inner, lie.way = sorted(map(lie.locate, run)), centre[1]
        chain, shared = (
            {first: Worn(piece, lie, chain=first, fold=None if piece.worn == "leg" else folded_at(piece))},
            False,
        )
        reached = first
        while True:
            other_view = VIEWS[1 - VIEWS.index(view)]
            onward = [
                (own, ref) for own, ref in self.partners_beside(reached)
                if ref.piece not in chain and (shared or (other_view not in (self._named(ref.piece), self.centres.get(ref.piece))))
            ]  # fmt: skip
            if not onward or (reached != first and reached in self.centres):
                break
            own, ref = onward[0]
            near = chain[reached].lie
            beside = Lie(self.body[ref.piece])
            beside.inner = sorted(map(beside.locate, dense(flatten(self.body[ref.piece].edge(ref.edge).curves, 0.5))))
            ends = [beside.locate(p)[1] for e in self.body[ref.piece].edges for p in (e.start, e.end)]
            if sum(far for _, far in beside.inner) / len(beside.inner) > (min(ends) + max(ends)) / 2:
                beside.way = -1.0
            run = dense(flatten(self.body[reached].edge(own).curves, 0.5))
            beside.base = sorted((depth, x) for x, depth in map(near.place, run))
            chain[ref.piece] = Worn(self.body[ref.piece], beside, chain=first)
            shared = shared or not (self._named(ref.piece) or ref.piece in self.centres)
            reached = ref.piece
        if shared and len(chain) > 1:
            last = list(chain.values())[-1]
            runs = [sorted((d, x) for x, d in map(last.lie.place, dense(flatten(edge.curves, 0.5))))
                    for edge in last.piece.edges if (last.piece.name, edge.name) in self.upright]  # fmt: skip
            most = max(runs, key=lambda run: sum(x for _, x in run) / len(run))
            if reached in self.centres and reached != first:
                chain.pop(reached)
            for worn in chain.values():
                worn.most = [(d, x / 2) for d, x in most]
        return chain

    def _leg(self, piece: Piece, lie: Lie) -> tuple[list[XY], list[XY]]:
        """A leg: its centre seam lies on the centre line, down to the hip; from the crotch on the legs part."""
        own = [e for e in piece.edges if {r.piece for r in self.partners(piece.name, e.name)} == {piece.name}]
        own += [e for e in piece.edges if e not in own and any(e.name in piece.beside(o.name) for o in own)
                and (piece.name, e.name) in self.upright and not set(self.body) - {piece.name} & {
                    r.piece for r in self.partners(piece.name, e.name)}]  # fmt: skip
        run = sorted(lie.locate(p) for e in own for p in dense(flatten(e.curves, 0.5)))
        low, hem = run[-1][0], lie.lines[-1][0]
        turn = run[0][0] + 0.72 * (low - run[0][0])
        kept = [(d, far - _at_zero(lie, d)) for d, far in run if d <= turn]
        still = kept[-1][1]
        inner = [(d, x + _at_zero(lie, d)) for d, x in kept]
        inner += [(d, still + _at_zero(lie, d)) for d in _range(turn + 1, hem)]
        return inner, [(run[0][0], 0.0), (low, 0.0), (hem, 0.07 * (hem - low))]

    def _goes_round(self, piece: Piece) -> bool:
        """Whether one piece goes from the centre front to the centre back."""
        own = self._to_itself(piece) and not piece.to_cut.all_round and not self.partners_beside(piece.name)
        return bool(own) and any(e.kind is EdgeKind.FOLD for e in piece.edges)

    def _to_itself(self, piece: Piece) -> list[Edge]:
        """Upright edges that are sewn to themselves."""
        upright = [edge for edge in piece.edges if (piece.name, edge.name) in self.upright]
        return [e for e in upright if {r.piece for r in self.partners(piece.name, e.name)} == {piece.name}]

    def _half(self, view: str, piece: Piece) -> Worn:
        """Of a piece that goes from centre to centre, what one view shows."""
        fold = next(edge for edge in piece.edges if edge.kind is EdgeKind.FOLD)
        seam = self._to_itself(piece)[0]
        lie = Lie(piece)
        start, end = (fold, seam) if view in piece_words(fold.name).split() else (seam, fold)
        inner, outer = ([lie.locate(p) for p in dense(flatten(edge.curves, 0.5))] for edge in (start, end))
        lie.inner = sorted(inner)
        lie.way = 1.0 if sum(f for _, f in outer) > sum(f for _, f in inner) else -1.0
        most = sorted((depth, x / 2) for x, depth in map(lie.place, dense(flatten(end.curves, 0.5))))
        return Worn(piece, lie, chain=piece.name, most=most)

    def _round(self, piece: Piece) -> Worn:
        """One of several widths, alike all round, none of which has a centre: the middle of it is seen in front."""
        lie = Lie(piece)
        points = [p for e in piece.edges for p in flatten(e.curves, 0.5)]
        middle = (min(p[0] for p in points) + max(p[0] for p in points)) / 2
        lie.inner = [(d, above(lie.level(d), (middle, lie.level(d)[0][1]))[1]) for d, _ in lie.lines]
        worn = Worn(piece, lie, chain=piece.name, times=piece.to_cut.count / 2)
        return worn

    def _hang(self, chain: list[Worn], hung: list[XY]) -> None:
        """How pieces that lie side by side hang together, below what hangs already: its lower end, how much narrower."""
        runs = [
            (edge, sorted((d, x) for x, d in map(worn.at, dense(flatten(edge.curves, 0.5)))))
            for worn in chain for edge in worn.piece.edges if (worn.piece.name, edge.name) in self.upright
        ]  # fmt: skip
        depths = [d for worn in chain for d, _ in worn.lie.lines]
        outer = max((run for _, run in runs), key=lambda run: sum(x for _, x in run) / len(run), default=[])
        falls = bool(depths and outer)
        top, bottom = (max(min(depths), outer[0][0]), max(depths)) if falls else (0.0, 1.0)
        high, low, pleats, let_out = 1.0, 1.0, False, (0.0, 1.0)
        for worn in chain:
            for edge in worn.piece.edges:
                if (worn.piece.name, edge.name) in self.upright:
                    continue
                share, by = self.drawn_in(worn.piece, edge)
                middle = worn.lie.place(place_at(edge.curves, edge.length() / 2)[0])[1]
                from_centre = (
                    min(worn.lie.place(p)[0] for p in (edge.start, edge.end)) < 5 or worn.piece.to_cut.side == "whole"
                )
                if share < 0.97 and middle < (top + bottom) / 2 and from_centre:
                    if middle < top - 60:  # above where the sides start, as at a yoke: it is let out down to there
                        let_out = middle, share
                    else:
                        high, pleats = share, by == "pleat"
                elif share < 0.97 and abs(middle - bottom) < 60:
                    low = share
        above_it = next((part_of for end, part_of in hung if abs(end - top) < 20), 1.0)
        layer = Layer(outer, top, bottom, high, low, pleats, falls, above_it)
        layer.let_out = let_out
        if falls:
            hung.append((bottom, layer.rows[-1][1][0]))
        for worn in chain:
            worn.layer = layer

    def _pieces(self, view: str) -> list[Shape]:
        shapes = []
        for worn in self.views[view].values():
            shape = _of_piece(self, worn)
            if worn.piece.to_cut.side in ("fold", "pair"):
                shapes += [shape, shape.mirrored()]
            else:
                shapes.append(shape)
        for worn in self.views[view].values():
            if worn.piece.to_cut.all_round and worn.piece.on_fold:
                joins = Shape(lines=[("edge", line) for line in _joins(self, worn)])
                shapes += [joins, joins.mirrored()]
            zips = Shape(lines=[*self.zips(worn), *_vent(worn)])
            if sum(x for _, line in zips.lines for x, _ in line) < -1:  # at the side: the wearer's left
                zips = zips.mirrored()
            shapes.append(zips if view == "front" else zips.mirrored())
            layer = worn.layer
            if (
                layer is not None
                and layer.folded > 0.15
                and worn.piece.name in self.centres
                and worn.piece.worn != "leg"
            ):
                deep, long = layer.bottom, layer.bottom - layer.top
                folds = [
                    [layer.hang((part * layer.wide(d), d)) for d in (deep, deep - 0.2 * long, deep - 0.45 * long)]
                    for part in (1 / 6, 1 / 2, 5 / 6)
                ]
                shape = Shape(lines=[("fine", line) for line in folds])
                shapes += [shape, shape.mirrored()]
        return shapes

    def _inside_back(self) -> list[Shape]:
        """What is seen of the back through the neck of the front, or above its waist."""
        necks = [p for line in self._necks("front") for p in line]
        if not necks:
            return []
        low, wide = min(y for _, y in necks), max(x for x, _ in necks)
        seen = box(-wide, low, wide, 9000)
        found = []
        for shapes in (self._pieces("back"), self._bands("back")):
            rings = [Polygon(ring).buffer(0.5) for shape in shapes for ring in shape.fill if len(ring) > 3]
            whole = unary_union(rings).intersection(seen)
            parts = [
                list(one.exterior.coords) for one in getattr(whole, "geoms", [whole]) if one.geom_type == "Polygon"
            ]
            found.append(Shape(parts, [("edge", ring) for ring in parts], "#e4e4e4"))
        return found

    def _necks(self, view: str) -> list[Line]:
        """The edges at the top that neither hang from others nor are sewn to the other view: the neckline."""
        found = []
        for name, worn in self.views[view].items():
            for edge in worn.piece.edges:
                if edge.name.startswith("neck"):
                    found += self._runs(view, Ref(name, edge.name))
        return found

    def zips(self, worn: Worn) -> list[tuple[str, Line]]:
        """A zip along the edge that has the notch at its end."""
        found = []
        for notion in self.draft.notions:
            ends = {notch.edge: notch.at for notch in worn.piece.notches if notch.name == notion.end}
            tops = {notch.edge: notch.at for notch in worn.piece.notches if notion.top and notch.name == notion.top}
            for name in dict.fromkeys([*ends, *tops]) if not notion.count else ():
                edge = worn.piece.edge(name)
                x, depth = worn.lie.place(edge.start)
                if (found and worn.times != 1.0) or (worn.most and x > at(worn.most, depth) + 5):  # in the other view
                    continue
                down = depth < worn.lie.place(edge.end)[1]
                high, low = (0.0, edge.length()) if down else (edge.length(), 0.0)
                run = part(edge.curves, *sorted((tops.get(name, high), ends.get(name, low))))
                if run:
                    found.append(("zip", worn.seen(flatten(run, 0.5))))
        return found

    # ------------------------------------------------------------ sleeves

    def _runs(self, view: str, ref: Ref) -> list[Line]:
        worn = self.views[view].get(ref.piece)
        if worn is None or ref.edge not in {e.name for e in worn.piece.edges}:
            return []
        return _seen_edge(worn, worn.piece.edge(ref.edge))

    def _sleeves(self, view: str) -> list[Shape]:
        """What hangs from the armhole: folded in half lengthwise, its outer fold from the shoulder tip."""
        arms = [piece for piece in self.draft.pieces if piece.worn == "arm"]
        caps = [(seam, i) for seam in self.draft.seams for i, run in enumerate((seam.a, seam.b))
                if any(self.pieces[ref.piece].worn == "arm" for ref in run)
                and any(ref.piece in self.body for ref in (seam.b, seam.a)[i])]  # fmt: skip
        holes = [(line, seam, i) for seam, i in caps for ref in (seam.b, seam.a)[i] for line in self._runs(view, ref)]
        if not arms or not holes:
            return []
        points = [p for line, _, _ in holes for p in line]
        tip, under = max(points, key=lambda p: p[1]), min(points, key=lambda p: p[1])
        rows = _arm_rows(arms)
        top, hem = rows[0][0], rows[-1][0]
        biceps = at(rows, 0.0) if top < 0 else rows[0][1]
        dx, dy = under[0] - tip[0], under[1] - tip[1]
        rigid = degrees(atan2(dx, -dy) + atan2(biceps, -top)) if top < 0 else 90.0
        turn = radians(min(_ARM_DEG, max(20.0, rigid)))
        along, across = (sin(turn), -cos(turn)), (-cos(turn), -sin(turn))
        down, wide = dx * along[0] + dy * along[1], max(30.0, dx * across[0] + dy * across[1])
        seam, i = caps[0][0], caps[0][1]
        long = seam_lengths(lambda name: self.pieces[name], seam)
        sewn = [edge for ref in (seam.a, seam.b)[i] for edge in self.pieces[ref.piece].edges if edge.name == ref.edge]
        times = max((1 / self.drawn_in(arms[0], edge)[0] for edge in sewn if edge.takes), default=1.0)
        full = max(0.0, times * (long.a / long.b if i == 0 else long.b / long.a) - 1.08) if long.a and long.b else 0.0
        cuff, wrist, by = self._cuff(arms)
        outer, inner = [], []
        for u, w in rows:
            if wrist:
                drawn = wrist / max(2 * rows[-1][1], 1.0)
                w *= (
                    1 - (1 - drawn) * max(0.0, 1 - (hem - u) / min(90.0, 0.5 * (hem - top))) ** 2
                    if drawn < 0.97
                    else 1.0
                )
            t = max(0.0, min(1.0, u / 300.0))
            share = wide / biceps * (1 - t) + t if wide < biceps else 1.0
            seen = w * share
            s = down * (u - top) / -top if u < 0 < -top else down + u
            more = max(0.0, seen - wide) / 2
            puff = 160 * min(0.5, full) * sin(pi * max(0.0, min(1.0, s / (down * 1.3 + 1)))) if full else 0.0
            at_s = (tip[0] + s * along[0], tip[1] + s * along[1])
            outer.append((at_s[0] - (more + puff) * across[0], at_s[1] - (more + puff) * across[1]))
            if u >= 0:
                inner.append((at_s[0] + (seen - more) * across[0], at_s[1] + (seen - more) * across[1]))
        inner = [under, *inner[1:]] if inner else [under]
        shape = Shape([[tip, *outer, *inner[::-1]]])
        shape.lines = [("edge", [tip, *outer]), ("edge", [outer[-1], inner[-1]]), ("edge", inner)]
        if full > 0.05:
            shape.lines += _ticks(tip, outer, points)
        if by:
            shape.lines += [("fine", [between(outer[-1], inner[-1], k), between(between(outer[-1], inner[-1], k), between(outer[-3], inner[max(-3, -len(inner))], k), 1.0)])
                            for k in (0.2, 0.4, 0.6, 0.8)]  # fmt: skip
        shapes = [shape]
        if cuff:
            a, b = outer[-1], inner[-1]
            c, d = ((p[0] + cuff * along[0], p[1] + cuff * along[1]) for p in (a, b))
            ring = [a, c, d, b]
            shapes.append(Shape([ring], [("edge", [*ring, a])]))
        return [each for shape in shapes for each in (shape, shape.mirrored())]

    def _cuff(self, arms: list[Piece]) -> tuple[float, float, str]:
        """Depth of what is sewn to the lower edge of a sleeve, the length of that edge as sewn, and what draws it in."""
        for piece in arms:
            for edge in piece.edges:
                share, by = self.drawn_in(piece, edge)
                low = all(
                    p[1] <= min(q[1] for e in piece.edges for q in (e.start, e.end)) + 30
                    for p in (edge.start, edge.end)
                )
                others = [r for r in self.partners(piece.name, edge.name) if not self.pieces[r.piece].worn]
                if low and (others or by):
                    deep = _band(self.pieces[others[0].piece], others[0].edge)[0] if others else 0.0
                    return deep, edge.length() * share, by
        return 0.0, 0.0, ""

    # ------------------------------------------------------------ bands and collars

    def _bands(self, view: str) -> list[Shape]:
        shapes: list[Shape] = []
        stands: dict[str, tuple[Line, Line, float]] = {}
        both = [
            (seam, run, others) for seam in self.draft.seams for run, others in ((seam.a, seam.b), (seam.b, seam.a))
        ]
        on_body = [one for one in both if any(ref.piece in self.body for ref in one[2])]
        for seams in (on_body, [one for one in both if one not in on_body]):
            for seam, run, others in seams:
                band = self.pieces[run[0].piece]
                if (
                    len({r.piece for r in run}) > 1
                    or band.worn
                    or band.material != "shell"
                    or seam.how in ("faced", "onto a line")
                ):
                    continue
                if any(r.piece == band.name for r in others) or run[0].edge not in {e.name for e in band.edges}:
                    continue
                deep, ratio, point = _band(band, run[0].edge)
                if self._side(band) == view:
                    point = 0.0
                if others[0].piece in stands:
                    path, way, lift = stands[others[0].piece]
                    shapes += _both(_strip(path, way, lift, lift - deep, point))
                    continue
                path, way = self._path(view, others)
                if not path or any(self.pieces[r.piece].worn == "arm" for r in others):
                    continue
                spread = (
                    max(p[0] for p in path) - min(p[0] for p in path),
                    max(p[1] for p in path) - min(p[1] for p in path),
                )
                if spread[0] < 0.35 * spread[1]:
                    continue
                if ratio > 1.3:
                    shapes += _both(_strip(path, way, 0.0, -deep, point))
                elif ratio > 1.03:
                    shapes += _both(_strip(path, way, deep / 3, -deep / 3, point))
                else:
                    stands[band.name] = path, way, deep
                    shapes += _both(_strip(path, way, 0.0, deep, 0.0))
        return shapes

    def _path(self, view: str, refs: Sequence[Ref]) -> tuple[Line, Line]:
        """The run of a seam in a view from the centre outwards, and which way is out of the pieces at each place."""
        lines = []
        for ref in dict.fromkeys(r.whole for r in refs):
            runs_across = (ref.piece, ref.edge) not in self.upright or ref.edge.startswith("neck")
            if ref.piece in self.views[view] and runs_across:
                flip = self.views[view][ref.piece].lie.way
                lines += [(line, flip) for line in self._runs(view, ref) if len(line) > 1]
        path: Line = []
        way: Line = []
        while lines:
            here = path[-1] if path else (0.0, 0.0)
            key = (lambda p: abs(p[0])) if not path else (lambda p: dist(p, here))
            line, flip = min(lines, key=lambda one: min(key(one[0][0]), key(one[0][-1])))
            lines.remove((line, flip))
            back = key(line[-1]) < key(line[0])
            if path and min(dist(line[0], here), dist(line[-1], here)) > 40:
                break
            ordered = line[::-1] if back else line
            sign = -flip if back else flip
            for j, p in enumerate(ordered):
                a, b = ordered[max(0, j - 1)], ordered[min(len(ordered) - 1, j + 1)]
                long = dist(a, b) or 1.0
                path.append(p)
                way.append((sign * (b[1] - a[1]) / long, -sign * (b[0] - a[0]) / long))
        return path, way


class _Laid(Lie):
    """A piece of the other view turned over, so that an edge of it lies on that of another piece, and it beyond that."""

    def __init__(self, piece: Piece, own: tuple[XY, XY], on: tuple[XY, XY]) -> None:
        super().__init__(piece)
        self.lines, self.way = [], -1.0
        a, b = complex(*own[0]).conjugate(), complex(*own[1]).conjugate()
        c, d = complex(*on[0]), complex(*on[1])
        self.turn = (d - c) / abs(d - c) / ((b - a) / abs(b - a))
        self.move = (c + d) / 2 - self.turn * (a + b) / 2

    def place(self, p: XY) -> XY:
        z = self.turn * complex(*p).conjugate() + self.move
        return z.real, -z.imag


def _half_plane(a: XY, way: XY, side: int) -> Polygon:
    """What lies to the left (1) or right (-1) of a line."""
    far = 5000 / hypot(*way)
    ux, uy = way[0] * far, way[1] * far
    nx, ny = -uy * side, ux * side
    ends = [(a[0] - ux, a[1] - uy), (a[0] + ux, a[1] + uy)]
    return Polygon([*ends, *((x + nx, y + ny) for x, y in reversed(ends))])


def _at_zero(lie: Lie, depth: float) -> float:
    return _at_centre(lie.level(depth))


def _range(low: float, high: float) -> list[float]:
    return [low + i * (high - low) / 40 for i in range(41)]


def folded_at(piece: Piece) -> float | None:
    """Where it is folded under along an upright line at the centre or beyond: a facing cut on, a vent."""
    for line in piece.internal_lines:
        xs = [p[0] for p in line.points]
        if line.kind is LineKind.FOLD and max(xs) - min(xs) < 1.0 and max(xs) <= 1.0:
            return max(xs)
    return None


# ---------------------------------------------------------------- shapes


def _kept(line: Line, inside: Polygon | None) -> list[Line]:
    if inside is None or len(line) < 2:
        return [line]
    met = LineString(line).intersection(inside)
    parts = getattr(met, "geoms", [met])
    return [[(x, y) for x, y in part.coords] for part in parts if part.geom_type == "LineString" and part.length > 0.5]


def _inside(worn: Worn) -> Polygon | None:
    """What of a piece is to be seen, as it is drawn."""
    found = None
    if worn.fold is not None:
        found = box(worn.fold, -9000, 9000, 9000)
    if worn.beyond is not None:
        found = (
            box(-9000, -9000, 9000, 9000).difference(worn.beyond) if found is None else found.difference(worn.beyond)
        )
    return found


def _seen_edge(worn: Worn, edge: Edge) -> list[Line]:
    """An edge as one view shows it; with darts in it, straight: each of its parts would turn when they are sewn."""
    runs = [worn.seen(line) for run in edge_runs(edge) for line in _kept(run, _inside(worn))]
    if len(runs) < 2 or not any(take.kind == "dart" for take in edge.takes) or (runs[0][0][0] - runs[-1][-1][0]) == 0:
        return runs
    (ax, ay), (bx, by) = runs[0][0], runs[-1][-1]
    if abs(by - ay) > abs(bx - ax):
        return [_joined(runs)]
    (x0, y0), (x1, y1) = sorted([(ax, ay), (bx, by)], key=lambda p: abs(p[0]))
    if x0 * x1 < 0:  # beyond the centre line
        x0 = 0.0
    part = lambda x: max(0.0, (x - x0) / (x1 - x0))  # noqa: E731
    return [[(x, y0 + (y1 - y0) * part(x) ** 2) for run in runs for x, _ in run]]  # level at the centre


def _joined(runs: list[Line]) -> Line:
    """A side seam with darts in it: its parts meet where these are closed."""
    done = runs[0]
    for run in runs[1:]:
        x = (done[-1][0] + run[0][0]) / 2
        done = [(px + (x - done[-1][0]) * i / max(1, len(done) - 1), py) for i, (px, py) in enumerate(done)]
        last = len(run) - 1
        done += [(px + (x - run[0][0]) * (last - i) / max(1, last), py) for i, (px, py) in enumerate(run)]
    return done


def _of_piece(flat: Flat, worn: Worn) -> Shape:
    piece, inside = worn.piece, _inside(worn)
    runs = [(edge, run) for edge in piece.edges for run in edge_runs(edge)]
    ring = [p for _, run in runs for p in run]
    whole = Polygon(ring).buffer(0)
    seen = whole if inside is None else whole.intersection(inside)
    shape = Shape()
    for polygon in getattr(seen, "geoms", [seen]):
        if polygon.geom_type == "Polygon" and not polygon.is_empty:
            shape.fill.append(worn.seen(polygon.exterior.coords))
    for edge in piece.edges:
        at_the_side = worn.most and worn.at(place_at(edge.curves, edge.length() / 2)[0])[0] > 1
        if edge.kind is not EdgeKind.FOLD or at_the_side:
            shape.lines += [("edge", line) for line in _seen_edge(worn, edge)]
    if worn.beyond is not None:
        over = LineString([piece.points["neck_side"], piece.points["shoulder_tip"]]).intersection(whole)
        shape.lines.append(("edge", worn.seen(over.coords)))
    if worn.fold is not None:
        ys = [p[1] for line in piece.internal_lines if line.kind is LineKind.FOLD for p in line.points]
        shape.lines.append(("edge", worn.seen([(worn.fold, min(ys)), (worn.fold, max(ys))])))
    for dart in piece.darts:
        legs = dart.points[:2] if len(dart.points) == 3 else (*dart.points[:3],)
        shape.lines += [("fine", worn.seen(line)) for line in _kept([tuple(p) for p in legs], inside)]
    for line in piece.internal_lines:
        run = [tuple(p) for p in line.points]
        if line.name.startswith("buttonhole"):
            spots = worn.seen(run)
            shape.lines.append(("button", [(0.0, sum(y for _, y in spots) / len(spots))]))
        elif worn.piece.worn != "leg" and max(abs(x) for x, _ in run) < 1.0:
            continue
        elif line.kind in (LineKind.PLACEMENT, LineKind.PLAIN) or (line.kind is LineKind.FOLD and piece.worn == "leg"):
            shape.lines += [("fine", worn.seen(part)) for part in _kept(run, inside)]
    for edge in piece.edges:
        shape.lines += _marks(flat, worn, edge)
    return shape


def _vent(worn: Worn) -> list[tuple[str, Line]]:
    """What is folded under at a centre seam lower down lies to one side: its edges are drawn there."""
    piece = worn.piece
    folds = [
        p[1]
        for line in piece.internal_lines
        if line.kind is LineKind.FOLD
        for p in line.points
        if line.points[0][0] <= 1.0
    ]
    ends = [p[1] for edge in piece.edges for p in (edge.start, edge.end)]
    if worn.fold is None or not folds or max(folds) - min(folds) > 0.8 * (max(ends) - min(ends)):
        return []
    below = box(-9000, -9000, worn.fold - 0.5, 9000)
    found = []
    for edge in piece.edges:
        if edge.kind is not EdgeKind.HEM:
            for run in edge_runs(edge):
                found += [[(2 * worn.fold - x, y) for x, y in line] for line in _kept(run, below)]
    return [("fine", worn.seen(line)) for line in found]


def _joins(flat: Flat, worn: Worn) -> list[Line]:
    """The seams between several alike, of which the middle one is at the centre."""
    assert worn.layer is not None
    sides = [e for e in worn.piece.edges if e.kind is not EdgeKind.FOLD and (worn.piece.name, e.name) in flat.upright]
    found = []
    for edge in sides:
        run = [worn.lie.place(p) for p in dense(flatten(edge.curves, 0.5))]
        found += [
            [worn.layer.hang((k * x, d)) for x, d in run]
            for k in range(1, int(worn.times + 0.99), 2)
            if k < worn.times - 0.01
        ]
    return found


def _marks(flat: Flat, worn: Worn, edge: Edge) -> list[tuple[str, Line]]:
    """Gathers as short strokes; pleats as lines where they are folded, as far as they are drawn, else a hand long."""
    share, by = flat.drawn_in(worn.piece, edge)
    if share > 0.97 or not by:
        return []
    long = edge.length()
    if by == "gathers":
        count = max(4, int(long * share / 16))
        places = [(long * (i + 0.5) / count, (45.0, 25.0, 65.0)[i % 3]) for i in range(count)]
    else:
        deep = max(
            (
                dist(*line.points[:: len(line.points) - 1])
                for line in worn.piece.internal_lines
                if line.kind is LineKind.PLEAT
            ),
            default=90.0,
        )
        places = [(take.start, deep) for take in edge.takes]
        deep = 0.0
    found = []
    for far, deep in places:
        (x, y), (ux, uy) = place_at(edge.curves, far)
        a, b = worn.lie.place((x, y)), worn.lie.place((x - uy * deep, y + ux * deep))
        if worn.piece.to_cut.side != "whole":
            found.append(("fine", worn.seen([(x, y), (x - uy * deep, y + ux * deep)])))
            continue
        wide = worn.layer.rows[0][1][2] / worn.times * 2
        for i in range(-3, 4):
            if abs(a[0] + i * wide) < worn.times * wide / 2 - 2:
                found.append(("fine", [worn.layer.hang((x + i * wide, d)) for x, d in (a, b)]))
    return found


def between(a: XY, b: XY, part: float) -> XY:
    return a[0] + part * (b[0] - a[0]), a[1] + part * (b[1] - a[1])


def _arm_rows(arms: list[Piece]) -> list[XY]:
    """Half the width of what goes round the arm, by how far it lies below the biceps level, from the top down."""
    rings = []
    for piece in arms:
        zero = piece.levels[0].points[0][1] if piece.levels else 0.0
        ring = [(p[0], p[1] - zero) for edge in piece.edges for run in edge_runs(edge) for p in run]
        rings.append(Polygon(ring).buffer(0))
    top, low = max(ring.bounds[3] for ring in rings), min(ring.bounds[1] for ring in rings)
    depths = [
        -top,
        *(k * _STEP for k in range(int(-top // _STEP) + 1, int(-low // _STEP) + 1) if -top < k * _STEP < -low),
        -low,
    ]
    rows = []
    for u in depths:
        y = max(low + 1.0, min(top - 1.0, -u))
        rows.append((u, sum(ring.intersection(LineString([(-2000, y), (2000, y)])).length for ring in rings) / 2))
    kept = [row for row in rows if row[0] < -low - 25]  # the lower edge may be curved
    if len(kept) > 2:
        (a, v), (b, w) = kept[-2:]
        rows = [*kept, *((u, w + (w - v) / (b - a) * (u - b)) for u, _ in rows[len(kept) :])]
    return rows


def _band(piece: Piece, name: str) -> tuple[float, float, float]:
    """Of a band: how deep it is finished, its outer edge as a part of the one sewn on, and how long its end is."""
    edge = piece.edge(name)
    ring = Polygon([p for e in piece.edges for p in flatten(e.curves, 0.5)]).buffer(0)
    others = [e for e in piece.edges if e.name != name and e.kind is not EdgeKind.FOLD]
    outer = max(others, key=lambda e: e.length())
    ends = [e.length() for e in others if e is not outer]
    deep = ring.area / ((edge.length() + outer.length()) / 2)
    folded = any(
        line.kind is LineKind.FOLD and LineString(line.points).length > 0.6 * edge.length()
        for line in piece.internal_lines
    )
    return deep / 2 if folded else deep, outer.length() / edge.length(), min(ends, default=0.0)


def _offset(path: Line, way: Line, by: float) -> Line:
    """A line beside a run: straight above or below one that lies level, else square to it."""
    xs, ys = [x for x, _ in path], [y for _, y in path]
    if max(ys) - min(ys) < 0.12 * (max(xs) - min(xs)):
        up = by if sum(ny for _, ny in way) > 0 else -by
        return [(x, y + up) for x, y in path]
    return [
        (max(0.0, x + by * nx) if x > 0.5 else 0.0 if abs(x) < 0.5 else x + by * nx, y + by * ny)
        for (x, y), (nx, ny) in zip(path, way, strict=True)
    ]


def _strip(path: Line, way: Line, high: float, low: float, end: float) -> Shape:
    """A band between two lines beside a run; one that falls has a point at the front, as long as its end."""
    upper, lower = _offset(path, way, high), _offset(path, way, low)
    deep = abs(high - low)
    if low < high and end > deep:
        out = min(0.6 * (end**2 - deep**2) ** 0.5, 0.5 * LineString(path).length)
        kept = [p for p in lower if dist(p, lower[0]) > out]
        corner = (lower[0][0] + 0.8 * out, lower[0][1] - 0.35 * out)
        lower = [corner, *kept]
    closed = abs(path[0][0]) < 0.5 and lower[0] == _offset(path, way, low)[0]
    round_it = [lower[0], *lower[1:], *upper[::-1]] if closed else [upper[0], *lower, *upper[::-1]]
    return Shape([[*upper, *lower[::-1]]], [("edge", round_it)])


def _both(shape: Shape) -> list[Shape]:
    return [shape, shape.mirrored()]


def _ticks(tip: XY, outer: Line, points: Line) -> list[tuple[str, Line]]:
    """Gathers at a cap, fanning out from the top of the armhole."""
    high = sorted(points, key=lambda p: -p[1])[: max(4, len(points) // 3)]
    found = []
    for k in range(1, 5):
        start = high[min(len(high) - 1, k * len(high) // 5)]
        goal = outer[min(len(outer) - 1, 1 + 2 * k)]
        found.append(("fine", [start, between(start, goal, 0.45)]))
    return found


# ---------------------------------------------------------------- the picture

_SEEN = {
    "edge": 'stroke="#16181d" stroke-width="1.1"',
    "fine": 'stroke="#2f5d3a" stroke-width="0.7"',
    "zip": 'stroke="#1f4e79" stroke-width="3.4" stroke-dasharray="1 1.6"',
}


def shapes_svg(shapes: Iterable[Shape], by: XY, digits: int = 0, within: float = 0.6) -> list[str]:
    """Shapes of a view as paths, each hiding what lies below it."""
    rows = []
    for shape in shapes:
        rings = " ".join(_data(ring, by, digits, within) + "Z" for ring in shape.fill if len(ring) > 2)
        if rings:
            rows.append(f'<path d="{rings}" fill="{shape.colour}"/>')
        for seen, style in _SEEN.items():
            runs = " ".join(
                _data(line, by, digits, within) for kind, line in shape.lines if kind == seen and len(line) > 1
            )
            if runs:
                rows.append(f'<path d="{runs}" fill="none" vector-effect="non-scaling-stroke" {style}/>')
        for kind, line in shape.lines:
            if kind == "button":
                rows.append(
                    f'<circle cx="{line[0][0] + by[0]:.0f}" cy="{by[1] - line[0][1]:.0f}" r="6" fill="#fff" stroke="#16181d"/>'
                )
    return rows


def _data(line: Line, by: XY, digits: int, within: float) -> str:
    thin = LineString(line).simplify(within).coords
    return "M" + " ".join(f"{x + by[0]:.{digits}f},{by[1] - y:.{digits}f}" for x, y in thin)


def bounds(shapes: Iterable[Shape]) -> tuple[float, float, float, float]:
    points = [p for shape in shapes for ring in [*shape.fill, *(line for _, line in shape.lines)] for p in ring]
    return min(p[0] for p in points), min(p[1] for p in points), max(p[0] for p in points), max(p[1] for p in points)


def render(draft: Draft, title: str, *, tall: float = 380.0) -> str:
    """Front and back side by side, as one SVG."""
    flat = Flat(draft)
    views = [(view, flat.shapes[view], bounds(flat.shapes[view])) for view in VIEWS if flat.shapes[view]]
    high, low = max(b[3] for _, _, b in views), min(b[1] for _, _, b in views)
    mm = (high - low) / tall
    gap, letter = 30 * mm, 13 * mm
    rows: list[str] = []
    x = gap
    for view, shapes, (left, _, right, _) in views:
        rows += shapes_svg(shapes, (x - left, high + gap))
        rows.append(
            f'<text x="{x - left:.0f}" y="{high - low + gap + 1.6 * letter:.0f}" font-size="{letter:.0f}" '
            f'text-anchor="middle" fill="#16181d">{view}</text>'
        )
        x += right - left + gap
    height = high - low + gap + 2.2 * letter
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{x / mm:.0f}" height="{height / mm:.0f}" viewBox="0 0 {x:.0f} '
        f'{height:.0f}" role="img" font-family="sans-serif" stroke-linejoin="round">\n<title>{title}</title>\n'
        f'<rect width="{x:.0f}" height="{height:.0f}" fill="#fff"/>\n' + "\n".join(rows) + "\n</svg>\n"
    )
