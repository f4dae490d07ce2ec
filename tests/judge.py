"""An independent judge of a made pattern: reads pattern.json alone, with shapely for areas and distances, and says what
would not go together at the sewing table. It shares nothing with the program: no import of it, no formula of it.

    python tests/judge.py FOLDER/pattern.json        prints what it finds; exit code 1 if that is anything

What it asks of every piece, seam and check, with where the number comes from:

outline    stitch line and cut line are simple, counter-clockwise, of positive area; the edges are the stitch line
allowance  the cut line lies outside the stitch line, by the edge's allowance, +0.10/-0.05 mm (the project's limit)
fold       a half is folded on one straight edge
dart       legs alike to 0.5 mm (as edges of a seam), its intake between them, its point inside
seam       both sides, measured on the polylines with darts closed and pleats laid, differ by the ease that is told
girth      all round, at a level that the checks speak of, there is as much cloth as they tell: body and ease
corner     where two edges are sewn to each other, the edges beyond run on: angles add up to 180 to 3 degrees (common
           practice, no source), or a facing turned in lies on them with the same angle; or the checks tell of it
notch      on its edge; cut on the cut line; those of one name meet when sewn
inside     holes, grain line and lines inside lie on the cloth
"""

from __future__ import annotations

import json
import math
import re
import sys
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import Any, TypeAlias

import shapely

XY: TypeAlias = tuple[float, float]
Row: TypeAlias = Mapping[str, Any]

FLAT = 0.05
"""From chord to curve at most, mm (the contract)."""
SEAM = 0.1
"""A polyline is shorter than its curve by less than this, mm."""
LEGS = 0.5
"""mm; the legs of a dart are sewn to each other: the contract's limit for both edges of a seam."""
BEYOND = 5.0
"""mm; legs that were trued end so near the level at which their intake is meant (found: 4 mm at most)."""
GIRTH = 1.0
"""mm; a girth is a sum over pieces."""
SMOOTH_DEG = 3.0


@dataclass(frozen=True)
class Fault:
    """What was found, under which rule, where."""

    rule: str
    where: str
    words: str

    def __str__(self) -> str:
        return f"{self.rule}: {self.where}: {self.words}"


def judge(pattern: Row, body: Mapping[str, float] | None = None) -> list[Fault]:
    """All that is wrong with a pattern; `body` are girths in mm by level, `{"bust": 920}`, if they are known."""
    found: list[Fault] = []
    for size in pattern["sizes"]:
        pieces = {row["name"]: Piece(row) for row in pattern["pieces"] if row["size"] == size}
        seams = [row for row in pattern["seams"] if row.get("size", size) == size]
        checks = [row for row in pattern["checks"] if row["size"] in ("", size) or len(pattern["sizes"]) == 1]
        for piece in pieces.values():
            for rule in (_outline, _allowance, _fold, _dart, _notch, _inside):
                found += rule(piece)
        found += _seams(pieces, seams)
        found += _corners(pieces, seams, checks)
        found += _meet(pieces, seams)
        found += _girths(pieces, seams, checks, body or {})
    return found


# ---------------------------------------------------------------- rulers


def tape(line: Sequence[XY]) -> float:
    """Length of a polyline."""
    return sum(math.dist(a, b) for a, b in pairwise(line))


def far_along(line: Sequence[XY], point: XY, within: float = 0.06) -> float | None:
    """How far along a polyline a point on it lies; None if it lies beside it."""
    whole = shapely.LineString(line)
    at = shapely.Point(point)
    return float(whole.project(at)) if whole.distance(at) <= within else None


def area(ring: Sequence[XY]) -> float:
    """Of a closed line, positive where it runs counter-clockwise (shoelace)."""
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in pairwise([*ring, ring[0]])) / 2


def _way(a: XY, b: XY) -> float:
    return math.atan2(b[1] - a[1], b[0] - a[0])


def _turn(a: float, b: float) -> float:
    return (b - a + math.pi) % (2 * math.pi) - math.pi


def leaving(line: Sequence[XY], stops: Sequence[XY] = ()) -> float:
    """The way in which a flattened curve leaves its first point, radians: that of the cubic through its first four
    points, laid evenly along it; of fewer before a `stop` (the leg of a dart), a corner (where chords would stray from
    a curve), or where another run begins."""
    points = [line[0], line[1]]
    for c in line[2:4]:
        a, b = points[-2:]
        turned, uneven = abs(_turn(_way(a, b), _way(b, c))), not 2 / 3 < math.dist(b, c) / math.dist(a, b) < 1.5
        strays = turned * min(math.dist(a, b), math.dist(b, c)) / 8 > 2 * FLAT
        if strays or uneven or any(math.dist(b, stop) < 0.06 for stop in stops):
            break
        points.append(c)
    shares = {2: (-1, 1), 3: (-3, 4, -1), 4: (-11, 18, -9, 2)}[len(points)]
    x, y = (sum(k * p[axis] for k, p in zip(shares, points, strict=True)) for axis in (0, 1))
    return math.atan2(y, x)


class Edge:
    """A named run of a piece, with what is folded away along it: darts by their legs, pleats and gathers as told."""

    def __init__(self, row: Row, darts: Sequence[Row]) -> None:
        self.name, self.kind, self.allowance = str(row["name"]), str(row["kind"]), float(row["allowance"])
        self.even = "allowance_stations" not in row
        self.line: list[XY] = [(x, y) for x, y in row["points"]]
        self.told = float(row["length"])
        self.long = tape(self.line)
        told = [(t["kind"], float(t["start"]), float(t["end"])) for t in row.get("takes", ())]
        self.dart_takes = sum(kind == "dart" for kind, _, _ in told)
        self.darts = [span for dart in darts if (span := self._between_legs(dart))]
        self.takes = sorted([*self.darts, *((a, b) for kind, a, b in told if kind != "dart")])

    def _between_legs(self, dart: Row) -> tuple[float, float] | None:
        points = dart["points"]
        if len(points) != 3:
            return None
        legs = [far_along(self.line, points[i]) for i in (0, 2)]
        return (min(legs), max(legs)) if None not in legs else None  # type: ignore[type-var,return-value]

    def sewn(self, far: float) -> float:
        """How far along the sewn edge a place of the drawn one lies."""
        return far - sum(max(0.0, min(far, end) - start) for start, end in self.takes)

    def drawn(self, sewn: float) -> float:
        for start, end in self.takes:
            if sewn > start:
                sewn += end - start
        return sewn


class Piece:
    """A piece as the file has it."""

    def __init__(self, row: Row) -> None:
        self.row = row
        self.name = str(row["name"])
        self.stitch: list[XY] = [(x, y) for x, y in row["stitch_line"]]
        self.cut: list[XY] = [(x, y) for x, y in row["cut_line"]]
        self.edges = {str(edge["name"]): Edge(edge, row["darts"]) for edge in row["edges"]}
        self.around = int(row.get("around", 2 if row["on_fold"] or row["mirrored_pair"] else 1))
        self.notches: list[Row] = row["notches"]
        self.points: Mapping[str, XY] = {name: (x, y) for name, (x, y) in row["points"].items()}

    def run(self, name: str) -> Edge:
        """An edge, or a line inside."""
        if name in self.edges:
            return self.edges[name]
        line = next(line for line in self.row["internal_lines"] if line["name"] == name)
        return Edge({"name": name, "kind": "line", "allowance": 0, "points": line["points"], "length": 0}, ())

    def beside(self, name: str) -> tuple[Edge, Edge]:
        names = list(self.edges)
        at = names.index(name)
        return self.edges[names[at - 1]], self.edges[names[(at + 1) % len(names)]]

    def place(self, edge: Edge, at: str) -> float:
        """How far along a drawn edge a place lies that is named: an end, a part, a neighbour, a notch, a point."""
        if at in ("start", "end"):
            return 0.0 if at == "start" else edge.long
        if re.fullmatch(r"\d+/\d+", at):
            top, bottom = map(int, at.split("/"))
            return edge.drawn(edge.sewn(edge.long) * top / bottom)
        if edge.name in self.edges:
            before, after = self.beside(edge.name)
            if (at == before.name) != (at == after.name):
                return 0.0 if at == before.name else edge.long
        spots = [n["point"] for n in self.notches if n["edge"] == edge.name and n["name"] == at]
        if not spots and at in self.points:
            spots = [self.points[at]]
        far = far_along(edge.line, spots[0]) if spots else None
        if far is None:
            raise KeyError(f"{self.name}.{edge.name} has no place {at!r}")
        return far

    @property
    def seen(self) -> shapely.Polygon:
        """The cloth that is seen: within the stitch line, less what darts take."""
        cloth = shapely.Polygon(self.stitch)
        for dart in [dart for dart in self.row["darts"] if len(dart["points"]) > 2]:
            cloth = cloth.difference(shapely.Polygon(self._taken(dart)).buffer(0))
        return cloth

    def _taken(self, dart: Row) -> list[XY]:
        points = [(x, y) for x, y in dart["points"]]
        for edge in self.edges.values():
            legs = [far_along(edge.line, p) for p in (points[0], points[-1])]
            if len(points) == 3 and legs[0] is not None and legs[1] is not None:
                low, high = sorted((legs[0], legs[1]))
                cap, far = [edge.line[0]], 0.0
                inner = []
                for a, b in pairwise(edge.line):
                    far += math.dist(a, b)
                    cap.append(b)
                    if low < far < high:
                        inner.append(b)
                first, last = (points[0], points[2]) if legs[0] < legs[1] else (points[2], points[0])
                return [first, *inner, last, points[1]]
        return points


# ---------------------------------------------------------------- pieces, one by one


def _outline(piece: Piece) -> Iterator[Fault]:
    for what, ring in (("stitch line", piece.stitch), ("cut line", piece.cut)):
        if len(ring) < 3 or not shapely.Polygon(ring).is_valid:
            yield Fault("outline", piece.name, f"the {what} crosses itself")
        elif area(ring) <= 0:
            yield Fault("outline", piece.name, f"the {what} is of no area, or runs clockwise")
        if any(math.dist(a, b) < 1e-9 for a, b in pairwise([*ring, ring[0]])):
            yield Fault("outline", piece.name, f"the {what} has a point twice over")
    ring = [p for edge in piece.edges.values() for p in edge.line[:-1]]
    if len(ring) != len(piece.stitch) or max(map(math.dist, ring, piece.stitch)) > 1e-3:
        yield Fault("outline", piece.name, "its edges, laid end to end, are not the stitch line")
    for edge in piece.edges.values():
        if not edge.long - 1e-3 <= edge.told <= edge.long + 2 * FLAT + edge.long * 1e-3:
            yield Fault("outline", f"{piece.name}.{edge.name}", f"{edge.long:.4f} mm long, {edge.told:.4f} told")


def _allowance(piece: Piece) -> Iterator[Fault]:
    if not shapely.Polygon(piece.cut).buffer(FLAT).covers(shapely.Polygon(piece.stitch)):
        yield Fault("allowance", piece.name, "the stitch line comes out of the cut line")
        return
    cut, widest = shapely.LinearRing(piece.cut), max(edge.allowance for edge in piece.edges.values())
    ring = [*piece.stitch, piece.stitch[0], piece.stitch[1]]
    bends = [b for a, b, c in zip(ring, ring[1:], ring[2:], strict=False) if abs(_turn(_way(a, b), _way(b, c))) > 0.15]
    corners = shapely.MultiPoint([*bends, *(edge.line[0] for edge in piece.edges.values())])
    for edge in piece.edges.values():
        if not edge.even:
            continue
        line = shapely.LineString(edge.line)
        for part in range(1, 24):
            spot = line.interpolate(part / 24, normalized=True)
            if spot.distance(corners) < 3 * widest + 1:
                continue
            far = spot.distance(cut)
            if not edge.allowance - 0.05 - 1e-3 <= far <= edge.allowance + 0.10 + 1e-3:
                yield Fault("allowance", f"{piece.name}.{edge.name}", f"{far:.2f} mm wide, {edge.allowance:g} told")
                break


def _fold(piece: Piece) -> Iterator[Fault]:
    folds = [edge for edge in piece.edges.values() if edge.kind == "fold"]
    if not piece.row["on_fold"]:
        return
    if not folds:
        yield Fault("fold", piece.name, "no edge is a fold")
        return
    line = folds[0].line
    way = _way(line[0], line[-1])
    beside = [fold for fold in folds for x, y in fold.line
              if abs((x - line[0][0]) * math.sin(way) - (y - line[0][1]) * math.cos(way)) > 0.01]  # fmt: skip
    if beside:  # a neck may lie between two folds, on one straight line
        yield Fault("fold", piece.name, f"its fold {beside[0].name} is not straight")
        return
    for x, y in piece.row["fold_line"] or [(math.inf, math.inf)]:
        if not abs((x - line[0][0]) * math.sin(way) - (y - line[0][1]) * math.cos(way)) < 0.01:
            yield Fault("fold", piece.name, f"the fold line is not on {folds[0].name}")


def _dart(piece: Piece) -> Iterator[Fault]:
    inside = shapely.Polygon(piece.stitch).buffer(0.06)
    legs = 0
    for dart in piece.row["darts"]:
        where, points = f"{piece.name}, dart {dart['name']}", [(x, y) for x, y in dart["points"]]
        if len(points) not in (3, 4):
            yield Fault("dart", where, f"{len(points)} points: legs and point are 3, a double-ended dart has 4")
            continue
        pairs = [(points[1], points[0], points[2])]
        if len(points) == 4:
            pairs = [(points[0], points[1], points[3]), (points[2], points[1], points[3])]
        for tip, a, b in pairs:
            if abs(math.dist(tip, a) - math.dist(tip, b)) > LEGS:
                yield Fault("dart", where, f"one leg is {math.dist(tip, a):.2f} mm long, one {math.dist(tip, b):.2f}")
            off = abs(math.dist(a, b) - dart["intake"])
            if off > 0.1 and (len(points) == 4 or off / math.dist(a, b) * math.dist(tip, a) > BEYOND):
                yield Fault("dart", where, f"{math.dist(a, b):.2f} mm between its legs, {dart['intake']:.2f} told")
            if not inside.covers(shapely.Point(tip)):
                yield Fault("dart", where, "its point is not on the piece")
        if len(points) == 3:
            ends = sum(bool(edge._between_legs(dart)) for edge in piece.edges.values())
            legs += ends
            if not ends:
                yield Fault("dart", where, "its legs do not end on one edge")
    told = sum(edge.dart_takes for edge in piece.edges.values())
    if told != legs:
        yield Fault("dart", piece.name, f"{legs} darts open in its edges, {told} are taken away there")


def _notch(piece: Piece) -> Iterator[Fault]:
    cut = shapely.LinearRing(piece.cut)
    for notch in piece.notches:
        where = f"{piece.name}.{notch['edge']}, notch {notch['name']}"
        if notch["edge"] not in piece.edges:
            yield Fault("notch", where, "no such edge")
        elif far_along(piece.edges[notch["edge"]].line, notch["point"]) is None:
            yield Fault("notch", where, "not on its edge")
        if len(notch["cut_points"]) != notch["count"]:
            yield Fault("notch", where, f"{len(notch['cut_points'])} places, {notch['count']} told")
        if any(cut.distance(shapely.Point(p)) > 0.1 for p in notch["cut_points"]):
            yield Fault("notch", where, "not cut on the cut line")


def _inside(piece: Piece) -> Iterator[Fault]:
    cloth = shapely.Polygon(piece.cut).buffer(0.1)
    stitched = shapely.Polygon(piece.stitch).buffer(0.1)
    grain = shapely.LineString(piece.row["grain_line"])
    if grain.length < 1 or not cloth.covers(grain):
        yield Fault("inside", piece.name, "the grain line is not on the piece")
    if any(not stitched.covers(shapely.Point(p)) for p in piece.row["drill_holes"]):
        yield Fault("inside", piece.name, "a drill hole is not inside the stitch line")
    for line in piece.row["internal_lines"]:
        if any(not cloth.covers(shapely.Point(p)) for p in line["points"]):
            yield Fault("inside", piece.name, f"the line {line['name']} leaves the piece")


# ---------------------------------------------------------------- seams


_REF = re.compile(r"(?:(left|right|one) )?([^.]+)\.(.+?)(?: from (.+) to (.+?))?( both lips)?")


def _sewn(pieces: Mapping[str, Piece], ref: str) -> tuple[float, int]:
    """How long a run is as sewn, mm, and how often it comes round the wearer."""
    match = _REF.fullmatch(ref)
    assert match, ref
    side, name, edge_name, start, end, lips = match.groups()
    piece = pieces[name]
    edge = piece.run(edge_name)
    long = edge.sewn(edge.long)
    if start:
        long = abs(edge.sewn(piece.place(edge, end)) - edge.sewn(piece.place(edge, start)))
    return long * (2 if lips else 1), 1 if side else piece.around


def _sides(pieces: Mapping[str, Piece], seam: Row) -> tuple[float, float]:
    sides = [[_sewn(pieces, ref) for ref in seam[side]] for side in ("a", "b")]
    often = {times for side in sides for _, times in side}
    a, b = (sum(long * (times if len(often) > 1 else 1) for long, times in side) for side in sides)
    return a, b - seam.get("free", 0.0)


def _seams(pieces: Mapping[str, Piece], seams: Sequence[Row]) -> Iterator[Fault]:
    for seam in seams:
        try:
            a, b = _sides(pieces, seam)
        except (KeyError, StopIteration) as error:
            yield Fault("seam", seam["name"], f"a side that is not there: {error}")
            continue
        for word, found, told in (("a", a, seam["length_a"]), ("b", b, seam["length_b"])):
            if abs(found - told) > SEAM + 1e-4 * told:
                yield Fault("seam", seam["name"], f"side {word} is {found:.2f} mm as sewn, {told:.2f} told")
        if not seam["least"] - SEAM <= a - b <= seam["most"] + SEAM:
            words = f"{a:.2f} to {b:.2f} mm: ease {a - b:.2f}, told {seam['ease']:g}"
            yield Fault("seam", seam["name"], f"{words} ({seam['least']:g} to {seam['most']:g})")


def _single(pieces: Mapping[str, Piece], seams: Sequence[Row]) -> Iterator[tuple[Row, Piece, Edge, Piece, Edge]]:
    """The seams of one whole edge to one of another piece."""
    for seam in seams:
        refs = [*seam["a"], *seam["b"]]
        if len(seam["a"]) != 1 or len(seam["b"]) != 1 or any(" " in ref.partition(".")[2] for ref in refs):
            continue
        found = [_REF.fullmatch(ref) for ref in refs]
        (one, first), (other, second) = ((m[2], m[3]) for m in found if m)
        if one != other and first in pieces[one].edges and second in pieces[other].edges:
            yield seam, pieces[one], pieces[one].edges[first], pieces[other], pieces[other].edges[second]


def _angle_deg(piece: Piece, edge: Edge, *, at_start: bool) -> float:
    """The angle of cloth at an end of an edge."""
    before, after = piece.beside(edge.name)
    arriving, going = (before, edge) if at_start else (edge, after)
    legs = [(x, y) for dart in piece.row["darts"] for x, y in dart["points"]]
    back = leaving(arriving.line[::-1], legs) + math.pi
    return 180 - math.degrees(_turn(back, leaving(going.line, legs)))


def _corners(pieces: Mapping[str, Piece], seams: Sequence[Row], checks: Sequence[Row]) -> Iterator[Fault]:
    told = {check["id"] for check in checks if not check["passed"] and check["id"].startswith("corner.")}
    for seam, one, first, other, second in _single(pieces, seams):
        for at_start, beyond in ((True, one.beside(first.name)[0]), (False, one.beside(first.name)[1])):
            ends = [
                start
                for start, edge in zip((True, False), other.beside(second.name), strict=True)
                if edge.name == beyond.name
            ]
            if len(ends) != 1 or tuple(e.name for e in one.beside(first.name)).count(beyond.name) != 1:
                continue
            angles = _angle_deg(one, first, at_start=at_start), _angle_deg(other, second, at_start=ends[0])
            together, faced = sum(angles), bool(one.row.get("worn")) != bool(other.row.get("worn"))
            lies_on = faced and abs(angles[0] - angles[1]) <= SMOOTH_DEG
            if together < 360 and abs(together - 180) > SMOOTH_DEG and not lies_on and not told:
                # both reflex: no run, a gusset's corner
                words = f"{beyond.name} of {one.name} and {other.name} make {together:.1f} degrees"
                yield Fault("corner", seam["name"], words)


def _meet(pieces: Mapping[str, Piece], seams: Sequence[Row]) -> Iterator[Fault]:
    for seam, one, first, other, second in _single(pieces, seams):
        marks = []
        for piece, edge in ((one, first), (other, second)):
            own = [n for n in piece.notches if n["edge"] == edge.name]
            often = Counter(n["name"] for n in own)
            places = {n["name"]: far_along(edge.line, n["point"]) for n in own if often[n["name"]] == 1}
            marks.append({name: edge.sewn(far) for name, far in places.items() if far is not None})
        shared = marks[0].keys() & marks[1].keys()
        long = second.sewn(second.long)
        ways: tuple[Callable[[float], float], ...] = (lambda far: far, lambda far, long=long: long - far)  # type: ignore[misc]
        off = min(max((abs(marks[0][n] - way(marks[1][n])) for n in shared), default=0.0) for way in ways)
        if off > 0.5 + abs(seam["ease"]) + SEAM:
            yield Fault("notch", seam["name"], f"notches of one name lie {off:.2f} mm apart when sewn")


# ---------------------------------------------------------------- girths


_TOLD = re.compile(r"([\d ./]+) (in|cm) of body(?: and (-?[\d ./]+) (in|cm) of wearing ease)?")


def _mm(words: str, unit: str) -> float:
    value = sum(float(a) / float(b or 1) for a, _, b in (w.partition("/") for w in words.split()))
    return value * (25.4 if unit == "in" else 10)


def _cloth(pieces: Mapping[str, Piece], level: str) -> list[float]:
    """All round at a level, of what is worn on the body, on both legs or arms, on one of them, mm."""
    found = []
    for worn in sorted({str(piece.row["worn"]) for piece in pieces.values() if piece.row.get("worn")}):
        here = []
        for piece in pieces.values():
            levels = piece.row.get("levels", ()) if piece.row.get("worn") == worn else ()
            depths = [line["depth"] for line in levels]
            here += [(piece, line, min(depths), max(depths)) for line in levels if _id(line["name"]) == level]
        # where one piece ends at the level and the next starts there, the lower one is measured
        if any(line["depth"] == top for _, line, top, _ in here):
            here = [row for row in here if row[1]["depth"] != row[3]]
        girth = sum(piece.around * _within(line["points"], piece.seen) for piece, line, _, _ in here)
        found += [girth] * bool(here) + [girth / 2] * (bool(here) and worn != "body")
    return found


def _within(line: Sequence[XY], cloth: shapely.Polygon) -> float:
    """How much of a line lies on the cloth. One along a curved edge runs now inside, now outside of it, since both are
    told as chords, of other lengths: what is so near to the cloth counts, but not beyond where it leaves it."""
    whole = shapely.LineString(line)
    near = whole.intersection(cloth.buffer(FLAT))
    found = 0.0
    for part in shapely.get_parts(shapely.line_merge(near)):
        on = part.intersection(cloth.buffer(1e-6))
        places = [part.project(shapely.Point(p)) for p in shapely.get_coordinates(on)]
        found += max(places) - min(places) if places else 0.0
    return found


def _along(pieces: Mapping[str, Piece], seams: Sequence[Row], level: str) -> list[float]:
    """All round along what is sewn at a level: the side of what is worn of the seams that are called so (or the other,
    where it is gathered: its band is as long as the waist), or the edges that are called so, mm."""
    called = [seam for seam in seams if _id(seam["name"]).endswith(f"{level}-seam")]
    sides = [side for side in ("b", "a") if any(_is_worn(pieces, ref) for seam in called for ref in seam[side])]
    if any(abs(seam["ease"]) > 1 for seam in called):
        sides = ["a", "b"]
    runs = [[ref for seam in called for ref in seam[side]] for side in sides]
    worn = [p for p in pieces.values() if p.row.get("worn") and level in p.edges]
    halves = (level, f"{level}_left", f"{level}_right")  # a piece that is drawn whole has two of them
    runs.append([f"{p.name}.{name}" for p in worn for name in halves if name in p.edges])
    totals = [sum(long * times for long, times in (_sewn(pieces, ref) for ref in run)) for run in runs if run]
    return totals + [sum(p.around * _own(p, level) for p in worn)] * bool(worn)


def _own(piece: Piece, level: str) -> float:
    """How long the edge of that name is as sewn, from end to end of the level of that name where it ends on the edge: a
    front that crosses over is told up to the centre, mm."""
    edge = piece.edges[level]
    for line in piece.row.get("levels", ()):
        places = [far_along(edge.line, p, 0.1) for p in (line["points"][0], line["points"][-1])]
        if _id(line["name"]) == level and places[0] is not None and places[1] is not None:
            return abs(edge.sewn(places[1]) - edge.sewn(places[0]))
    return edge.sewn(edge.long)


def _is_worn(pieces: Mapping[str, Piece], ref: str) -> bool:
    match = _REF.fullmatch(ref)
    return bool(match and pieces[match[2]].row.get("worn"))


def _levels(pieces: Mapping[str, Piece]) -> set[str]:
    return {_id(line["name"]) for piece in pieces.values() for line in piece.row.get("levels", ()) if line["name"]}


def _id(name: str) -> str:
    return str(name).replace(" ", "-")


def _girths(
    pieces: Mapping[str, Piece], seams: Sequence[Row], checks: Sequence[Row], body: Mapping[str, float]
) -> Iterator[Fault]:
    for check in checks:
        kind, _, level = check["id"].partition(".")
        if kind != "girth" or check["unit"] != "mm":
            continue
        found = _cloth(pieces, level)
        if not found:  # a thigh may be measured at the crotch: then it is the cloth at one of the levels
            found = [girth for known in sorted(_levels(pieces)) for girth in _cloth(pieces, known)]
        found += _along(pieces, seams, level)
        if not found:
            yield Fault("girth", check["id"], "no piece has that level, no seam is called so")
            continue
        near = min(found, key=lambda girth: abs(girth - check["measured"]))
        if abs(near - check["measured"]) > GIRTH:
            yield Fault("girth", check["id"], f"{near:.1f} mm round, {check['measured']:g} told")
        match = _TOLD.search(check["message"])
        if not match:
            continue
        tape_mm = _mm(match[1], match[2])
        if level in body and abs(body[level] - tape_mm) > 1.6:
            yield Fault("girth", check["id"], f"told for {tape_mm:.0f} mm of body, which has {body[level]:.0f}")
        if match[3] and abs(near - tape_mm - _mm(match[3], match[4])) > GIRTH + 2 * 1.6:
            yield Fault("girth", check["id"], f"{near:.1f} mm round is not the body and the ease: {match[0]}")
        if not match[3] and check["passed"] and near < check["limit"] - GIRTH:
            yield Fault("girth", check["id"], f"{near:.1f} mm round, {check['limit']:g} wanted, and told to pass")


if __name__ == "__main__":
    faults = judge(json.loads(Path(sys.argv[1]).read_text(encoding="utf-8")))
    print(*faults, sep="\n")
    sys.exit(bool(faults))
