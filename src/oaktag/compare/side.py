"""One of the two patterns that are compared: one size of it, as pattern.json tells it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise
from typing import Final

from ..claims.measure import ARM, BODY, girths_at
from ..errors import InputError, Where
from ..geometry.affine import Move
from ..geometry.point import XY, Point, Polyline, Ring, direction, distance
from ..geometry.polygon import Box, distance_to_line
from ..model.draft import Draft
from ..model.pattern import CutPiece, Label, MarkedPiece, Pattern
from ..model.piece import Cut, Dart, EdgeKind, LevelLine, Piece, piece_words
from ..values import dataclass
from ..verify.expected import Source, refuse_newer, unfolded_ring

MOST: Final = 1e6  # mm, of any length that is read
LARGEST: Final = 15_000.0
"""More, and a piece is no piece, mm (common practice, no source)."""
ON_LINE: Final = 0.05
"""Nearer to a line than lines are flattened, a place lies on it, mm (shared tolerance of flattened curves)."""

_NEAR_END, _IN_END = 2.0, 12.0
_STEADY: Final = 0.03
"""So far inside of an end a tape is laid twice, mm; where it reads otherwise by this part, it leaves the cloth."""


@dataclass(frozen=True, slots=True)
class SideEdge:
    """An edge of the stitch line: its length as drawn, and as sewn (darts closed, pleats laid), its allowance, mm."""

    name: str
    kind: str
    points: tuple[XY, ...]
    drawn: float
    sewn: float
    allowance: float
    widths: tuple[XY, ...] = ()
    """Where the allowance changes: mm from the start, and the width there; straight between."""

    def width_at(self, far: float) -> float:
        """The allowance that far along, mm."""
        before = next((w for w in reversed(self.widths) if w[0] <= far), None)
        after = next((w for w in self.widths if w[0] > far), None)
        if before is None or after is None:
            return before[1] if before is not None else after[1] if after is not None else self.allowance
        return before[1] + (after[1] - before[1]) * (far - before[0]) / (after[0] - before[0])

    @property
    def on_fold(self) -> bool:
        return self.kind == EdgeKind.FOLD.value


@dataclass(frozen=True, slots=True)
class Snip:
    """A notch: its place on the stitch line; how deep it goes into the cloth from the cut line: where that ends."""

    edge: str
    name: str
    at: XY
    tips: tuple[XY, ...]


@dataclass(frozen=True, slots=True)
class SidePiece:
    """A piece of one of the two patterns, mm."""

    name: str
    title: str
    material: str
    quantity: int
    cut_as: str
    """"fold", "pair" or "whole"."""
    worn: str
    around: int
    stitch_line: tuple[XY, ...]
    cut_line: tuple[XY, ...]
    edges: tuple[SideEdge, ...]
    darts: tuple[Dart, ...]
    snips: tuple[Snip, ...]
    levels: tuple[LevelLine, ...]
    grain: tuple[XY, XY]
    points: Mapping[str, XY]

    def edge(self, name: str) -> SideEdge | None:
        return next((edge for edge in self.edges if edge.name == name), None)

    @property
    def fold(self) -> SideEdge | None:
        """Its fold, where it is cut on one."""
        return next((edge for edge in self.edges if edge.on_fold), None) if self.cut_as == "fold" else None

    def cloth(self) -> tuple[XY, ...]:
        """What is cut: its cut line, unfolded where it is cut on the fold."""
        if (fold := self.fold) is None:
            return self.cut_line
        a, b = fold.points[0], fold.points[-1]
        return unfolded_ring(self.cut_line, a, direction(a, b)) or self.cut_line

    def moved(self, move: Move) -> SidePiece:
        """The same piece elsewhere."""

        def to(points: Polyline) -> tuple[Point, ...]:
            return tuple(map(move.point, points))

        return SidePiece(
            self.name, self.title, self.material, self.quantity, self.cut_as, self.worn, self.around,
            to(self.stitch_line), to(self.cut_line),
            tuple(SideEdge(e.name, e.kind, to(e.points), e.drawn, e.sewn, e.allowance, e.widths) for e in self.edges),
            tuple(Dart(d.name, to(d.points), d.intake) for d in self.darts),
            tuple(Snip(s.edge, s.name, move.point(s.at), to(s.tips)) for s in self.snips),
            tuple(LevelLine(level.name, level.depth, to(level.points)) for level in self.levels),
            (move.point(self.grain[0]), move.point(self.grain[1])),
            {name: move.point(p) for name, p in self.points.items()},
        )  # fmt: skip

    def places_on(self, edge: SideEdge) -> dict[str, XY]:
        """Places of an edge that have a name: points, its notches, where levels meet it; the first of each name."""
        found = {piece_words(name): p for name, p in self.points.items() if distance_to(edge.points, p) <= ON_LINE}
        for snip in self.snips:
            if snip.edge == edge.name and snip.name:
                found.setdefault(f"{piece_words(snip.name)} notch".replace("notch notch", "notch"), snip.at)
        for level in self.levels:
            if level.name and (p := _met(level.points, edge.points)) is not None:
                found.setdefault(level.name, p)
        return found


@dataclass(frozen=True, slots=True)
class SideSeam:
    """Edges sewn to each other: the lengths of both sides as sewn, and what side a is longer, mm."""

    name: str
    a: tuple[str, ...]
    b: tuple[str, ...]
    length_a: float
    length_b: float

    @property
    def ease(self) -> float:
        return self.length_a - self.length_b


@dataclass(frozen=True, slots=True)
class Side:
    """One size of a pattern."""

    title: str
    garment: str
    size: str
    pieces: tuple[SidePiece, ...]
    seams: tuple[SideSeam, ...]
    checked: Mapping[str, float]
    """The girths that its checks have measured, by their names, mm."""

    def piece(self, name: str) -> SidePiece | None:
        return next((piece for piece in self.pieces if piece.name == name), None)

    def girths(self) -> dict[tuple[str, str], float]:
        """The garment round at every level, darts closed, mm, by what goes round there and the level.

        First those that its checks have measured, as the garment promises them; then the others, through the cloth: of
        arms one of them, of legs both together, as they are above the crotch. A level at an end is left out where the
        edge is no straight line along it.
        """
        pattern = _measurable(self.pieces)
        found = {("", name): girth for name, girth in self.checked.items()}
        for worn in dict.fromkeys(piece.worn for piece in self.pieces if piece.worn and piece.levels):
            own = [piece for piece in self.pieces if piece.worn == worn]
            depths = {level.name: level.depth for piece in own for level in reversed(piece.levels) if level.name}
            ends = [f(level.depth for piece in own for level in piece.levels) for f in (min, max)]
            for name, depth in sorted(depths.items(), key=lambda each: each[1]):
                if name in self.checked:
                    continue
                into = 1 if depth == ends[0] else -1 if depth == ends[1] else 0
                near, on = girths_at(pattern, [depth + into * far for far in (_NEAR_END, _IN_END)], worn)
                if (
                    near > 0 and abs(near - on) <= _STEADY * on
                ):  # the last of it by how it goes on; inside, both are one
                    at = near + (near - on) * _NEAR_END / (_IN_END - _NEAR_END)
                    of = worn if worn in (BODY, ARM) else f"both {worn}s"
                    found[of, name] = at / 2 if worn == ARM else at
        return found


def _measurable(pieces: Sequence[SidePiece]) -> Pattern:
    """The pieces as far as a tape round a level needs them."""
    marked = []
    for number, p in enumerate(pieces, start=1):
        grain = (Point(*p.grain[0]), Point(*p.grain[1]))
        cut = Cut("whole", p.around, p.material, all_round=True)
        made = Piece(p.name, (), {}, grain, cut, darts=p.darts, worn=p.worn, levels=p.levels)
        flat = CutPiece(made, {}, p.stitch_line, p.cut_line, {}, {}, {})
        marked.append(MarkedPiece(flat, number, (), (), grain, None, Label((), Point(0.0, 0.0), 0.0, 0.0)))
    return Pattern("", "", "mm", Draft("", (), (), (), (), (), {}, {}, {}), tuple(marked))


def distance_to(line: Polyline, p: XY) -> float:
    """From p to an open line, mm."""
    return distance_to_line(p, line)


def _met(level: Sequence[XY], run: Sequence[XY]) -> Point | None:
    """Where a line crosses another first."""
    for c, d in pairwise(run):
        for a, b in pairwise(level):
            r, s = (b[0] - a[0], b[1] - a[1]), (d[0] - c[0], d[1] - c[1])
            cross = r[0] * s[1] - r[1] * s[0]
            if abs(cross) < 1e-9:
                continue
            t = ((c[0] - a[0]) * s[1] - (c[1] - a[1]) * s[0]) / cross
            u = ((c[0] - a[0]) * r[1] - (c[1] - a[1]) * r[0]) / cross
            slack = ON_LINE / max(distance(a, b), ON_LINE)
            if -slack <= t <= 1 + slack and -1e-9 <= u <= 1 + 1e-9:
                return Point(c[0] + u * s[0], c[1] + u * s[1])
    return None


# ------------------------------------------------------------------------------------------------------------ reading


def side_of(source: Source, size: str | None = None) -> Side:
    """One size of what pattern.json says: that one, else the base. Raises InputError with the place of a mistake."""
    refuse_newer(source, "Make the folder again with this Oaktag, or compare with the newer one")
    rows = source.parts("pieces")
    sizes = tuple(dict.fromkeys(row.text("size") for row in rows))
    base = source.text("base") if source.has("base") else sizes[0]
    if size is not None and len(sizes) > 1 and size not in sizes:
        raise InputError(
            f"--size {size}: it is not among the sizes", where=Where(source.file), expected=f"one of {', '.join(sizes)}"
        )
    chosen = size if size is not None and len(sizes) > 1 else base if base in sizes else sizes[0]
    several = len(sizes) > 1
    seams = source.parts("seams") if source.has("seams") else []
    pieces = tuple(_piece(row) for row in rows if row.text("size") == chosen)
    names = [piece.name for piece in pieces]
    for name in names:
        if names.count(name) > 1:
            found = f"two pieces are called {name}"
            raise InputError(found, where=Where(source.file), expected="a name for each piece")
    return Side(
        source.text("title") if source.has("title") else "",
        source.text("garment") if source.has("garment") else "",
        chosen if several else "",
        pieces,
        tuple(_seam(row) for row in seams if not several or row.text("size") == chosen),
        _checked(source, chosen),
    )


def _checked(source: Source, size: str) -> dict[str, float]:
    """The girths that were measured of a size: the checks `girth.NAME`."""
    found = {}
    for row in source.parts("checks") if source.has("checks") else []:
        family, _, name = row.text("id").partition(".")
        own = not row.has("size") or row.text("size") in ("", size)
        if family == "girth" and own and row.part("measured").value is not None:
            found[piece_words(name).replace("-", " ")] = row.part("measured").number(0.0, MOST)
    return found


def sizes_in(source: Source) -> tuple[str, ...]:
    """The sizes that a pattern has."""
    return tuple(dict.fromkeys(row.text("size") for row in source.parts("pieces")))


def _seam(row: Source) -> SideSeam:
    a, b = (tuple(ref.words() for ref in row.parts(key)) for key in ("a", "b"))
    length_a, length_b = (row.part(key).number(0.0, MOST) for key in ("length_a", "length_b"))
    return SideSeam(row.text("name"), a, b, length_a, length_b)


def _piece(row: Source) -> SidePiece:
    name = row.text("name")
    edges = tuple(_edge(edge) for edge in row.parts("edges"))
    names = [edge.name for edge in edges]
    if not edges or len(set(names)) < len(names):
        raise row.part("edges").wrong("edges, each with a name of its own")
    on_fold, pair = (row.has(key) and row.truth(key) for key in ("on_fold", "mirrored_pair"))
    grain = [point.point() for point in row.pair("grain_line")]
    around = row.count("around") if row.has("around") else 1 + (on_fold or pair)
    cut_line = row.points("cut_line", 3)
    box = Box.round(cut_line)
    if max(box.width, box.height) > LARGEST:
        raise row.part("cut_line").wrong(f"a piece of at most {LARGEST / 1000:g} m")
    points = row.part("points").value if row.has("points") else {}
    if not isinstance(points, dict):
        raise row.part("points").wrong("an object of points")
    return SidePiece(
        name,
        row.text("title") if row.has("title") else piece_words(name),
        row.text("material") if row.has("material") else "",
        row.count("quantity") if row.has("quantity") else 1,
        "fold" if on_fold else "pair" if pair else "whole",
        row.text("worn") if row.has("worn") else "",
        around,
        row.points("stitch_line", 3),
        cut_line,
        edges,
        tuple(_dart(dart) for dart in (row.parts("darts") if row.has("darts") else ())),
        tuple(_snip(notch) for notch in (row.parts("notches") if row.has("notches") else ())),
        tuple(_level(level) for level in (row.parts("levels") if row.has("levels") else ())),
        (grain[0], grain[1]),
        {key: row.part("points").part(key).point() for key in points} or _corners(edges),
    )


def _corners(edges: Sequence[SideEdge]) -> dict[str, XY]:
    """The corners by the edges that meet there, for a piece whose points have no names: one drawn elsewhere."""
    return {f"{a.name}/{b.name}": b.points[0] for a, b in zip(edges, (*edges[1:], edges[0]), strict=True)}


def _edge(row: Source) -> SideEdge:
    length = row.part("length").number(0.0, MOST)
    takes = row.parts("takes") if row.has("takes") else []
    taken = sum(take.part("end").number(0.0, MOST) - take.part("start").number(0.0, MOST) for take in takes)
    allowance = row.part("allowance").number(0.0, MOST)
    widths = row.points("allowance_stations", 1) if row.has("allowance_stations") else ()
    kind = row.text("kind")
    return SideEdge(row.text("name"), kind, row.points("points", 2), length, length - taken, allowance, widths)


def _dart(row: Source) -> Dart:
    points = row.points("points", 3)
    return Dart(row.text("name"), tuple(Point(*p) for p in points[:4]), row.part("intake").number(0.0, MOST))


def _snip(row: Source) -> Snip:
    """A notch that stands out of the cut line goes into no cloth."""
    at, way = row.part("point").point(), row.part("direction").point()
    spots = row.points("cut_points", 1) if row.has("cut_points") else ()
    ways = row.points("ways", len(spots)) if row.has("ways") else (way,) * len(spots)
    outwards = row.has("kind") and row.text("kind") == "V outwards"
    depth = row.part("depth").number(0.0, MOST) if row.has("depth") and not outwards else 0.0
    tips = tuple((x - depth * u, y - depth * v) for (x, y), (u, v) in zip(spots, ways, strict=False)) if depth else ()
    return Snip(row.text("edge"), row.text("name") if row.has("name") else "", at, tips)


def _level(row: Source) -> LevelLine:
    depth = row.part("depth").number(-MOST, MOST)
    return LevelLine(row.text("name"), depth, tuple(Point(*p) for p in row.points("points", 2)))


def middle_of(ring: Ring) -> Point:
    """The middle of the box round it."""
    xs, ys = zip(*ring, strict=True)
    return Point((min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2)
