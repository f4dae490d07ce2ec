"""Checks across the sizes of a nest: do they agree node for node, fit each other, and grow evenly.

A size can be right by itself and wrong among its neighbours. Limits are those of published practice for testing a nest
(common practice, no source, where none is named beside them); the sizes are compared as they are stacked.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise
from math import hypot
from typing import Final

from ..claims.girth import Girth
from ..claims.measure import seam_sides
from ..claims.safety import YOUNG, OfCords
from ..geometry.path import polyline_length
from ..geometry.point import XY, direction, distance, turn_deg
from ..model.finding import Finding, Severity
from ..model.nest import Nest
from ..model.pattern import MarkedPiece, Notch
from ..model.piece import LineKind, piece_words
from ..model.places import places_of
from ..model.ref import words_of
from ..units import INCH, show
from ..values import dataclass, replace
from .rule import Rule, check, found

SEAM_LIMIT: Final = 0.5
"""Sewing ease of a seam, size against base, mm (the project's tolerance for edges that are sewn)."""
CAP_LIMIT: Final = 2.5
"""Change of cap length less change of armhole length from one size to the next, mm (0.1 in; common US practice for
grading sleeves, from memory)."""
GIRTH_LIMIT: Final = 2.0
"""Wearing ease, size against base, mm (0.2 cm; common practice, no source)."""
SHORTER_LIMIT: Final = 0.5
"""A length may fall short of a smaller size's by this, mm (what two edges of a seam may differ by)."""
TAKEN_OVER: Final = INCH / 4
"""And by so much a size where the edge beside it gets as much longer, their corner having moved along both, mm: what a
sleeve's underarm loses to its cap in a size of published grades (US practice, from memory)."""
EVEN_LIMIT: Final = INCH / 16
"""By how much a point may move further than in the step before, mm: 1/16 in is the smallest move of published grade
tables (Handford, Professional Pattern Grading, 1980, errata; Price & Zamkoff, from memory)."""
CROSS_LIMIT: Final = 0.1
"""Outlines of neighbouring sizes cross by no more, mm (two flattened curves, 0.05 mm each)."""
CROSS_AT_NECK: Final = 2.0
"""At shoulder and neck they may cross by this, mm (0.2 cm; common practice, no source)."""
ANGLE_LIMIT: Final = 1.0
"""A corner or the slope of a straight edge changes less from one size to the next, degrees (common practice, no
source)."""
GRAIN_LIMIT: Final = 0.1
"""The grain line keeps its direction, degrees (what can be drawn)."""

_QUARTERS: Final = ("bust_girth", "waist_girth", "hip_girth", "underbust_girth", "upper_chest_girth")
"""Girths of which a quarter goes to each half piece (Fasanella, "How to create grade rules 2"); of an arm's, half."""
_FLOOR: Final = ("stature", "waist_height", "knee_height", "crotch_height", "ankle_height")
"""Heights above the floor, which move no point of a bodice."""
_NOT_GRADED: Final = {LineKind.ZIP.value, LineKind.BALANCE.value, "grain"}
"""In the names of places that are no part of the shape."""
_SAME: Final = 0.05


@dataclass(frozen=True, slots=True)
class _Row:
    """A piece in every size, built alike."""

    name: str
    pieces: tuple[MarkedPiece, ...]

    @property
    def words(self) -> str:
        return piece_words(self.name)


def _rows(nest: Nest) -> list[_Row]:
    """The pieces that every size has with the same edges; the others are told by `grade.nodes` alone."""
    found = []
    for base in nest.base_pattern.pieces:
        row = _in_all(nest, base.name)
        if row is not None and len({tuple((e.name, e.kind) for e in p.cut.piece.edges) for p in row}) == 1:
            found.append(_Row(base.name, row))
    return found


def _in_all(nest: Nest, name: str) -> tuple[MarkedPiece, ...] | None:
    row = tuple(piece for pattern in nest.patterns for piece in pattern.pieces if piece.name == name)
    return row if len(row) == len(nest.patterns) else None


def _body(nest: Nest, number: int) -> Mapping[str, float]:
    pattern = nest.patterns[number]
    return nest.bodies.get(pattern.size) or pattern.draft.body


# --------------------------------------------------------------------------------------------------------- structure


@check(error="grade.nodes")
def nodes_agree(nest: Nest) -> Iterator[Finding]:
    """Every size has the same pieces, edges, darts and inner lines, and as many points on every line."""
    names = {p.name: None for pattern in (nest.base_pattern, *nest.patterns) for p in pattern.pieces}
    base = nest.base_pattern
    for name in names:
        like = next((piece for piece in base.pieces if piece.name == name), None)
        told = []
        for pattern in nest.patterns:
            own = next((piece for piece in pattern.pieces if piece.name == name), None)
            if own is like:
                continue
            if like is None or own is None:
                told.append(f"size {base.size if like is None else pattern.size} has no such piece")
            elif difference := _unlike(own, like):
                told.append(f"size {pattern.size}: {difference}")
        words = piece_words(name)
        yield found(
            "grade.nodes", Severity.ERROR, not told, len(told), 0, f"{words}: all sizes agree, node for node.",
            f"{words}: {'; '.join(dict.fromkeys(told))}, against the base size {base.size}. Leave that size out, or "
            "choose the option that shapes the piece for all sizes alike.",
            unit="sizes",
        )  # fmt: skip


def _unlike(own: MarkedPiece, like: MarkedPiece) -> str:
    """The first thing in which two sizes of a piece are not built alike."""
    a, b = own.cut.piece, like.cut.piece
    for what, mine, theirs in (
        ("edges", [f"{e.name} ({e.kind.value})" for e in a.edges], [f"{e.name} ({e.kind.value})" for e in b.edges]),
        ("darts", [f"{d.name} ({len(d.points)})" for d in a.darts], [f"{d.name} ({len(d.points)})" for d in b.darts]),
        (
            "inner lines",
            [f"{n.name} ({len(n.points)})" for n in a.internal_lines],
            [f"{n.name} ({len(n.points)})" for n in b.internal_lines],
        ),
        ("points", sorted(a.points), sorted(b.points)),
    ):
        if mine != theirs:
            odd = [word for word in mine if word not in theirs], [word for word in theirs if word not in mine]
            told = [f"{verb} {', '.join(words)}" for verb, words in zip(("has", "lacks"), odd, strict=True) if words]
            return f"{what}: it {' and '.join(told) or 'has them in another order'}"
    for edge, line in own.cut.lines.items():
        if len(line) != len(like.cut.lines[edge]):
            return f"the {edge} has {len(line)} points and not {len(like.cut.lines[edge])}"
    if len(own.cut.cut_line) != len(like.cut.cut_line):
        return f"the cut line has {len(own.cut.cut_line)} points and not {len(like.cut.cut_line)}"
    return ""


@check(error="grade.allowances", warning="grade.allowances")
def allowances_kept(nest: Nest) -> Iterator[Finding]:
    """Seams are not graded: every edge has the same allowance in every size (Rosenfeld, Practical Designer, p. 204)."""
    base = nest.sizes.index(nest.base)
    for row in _rows(nest):
        worst, where = 0.0, ""
        like = row.pieces[base].cut
        for size, piece in zip(nest.sizes, row.pieces, strict=True):
            for edge in like.allowances:
                off = _widths_differ(_widths(piece, edge), _widths(row.pieces[base], edge))
                if off > worst:
                    worst, where = off, f"the {edge} of size {size}"
        severity = Severity.WARNING if like.as_drawn else Severity.ERROR
        yield found(
            "grade.allowances", severity, worst < _SAME, worst, 0.0, f"{row.words}: the same allowances in every size.",
            f"{row.words}: {where} differs from that of size {nest.base} by {worst:.1f} mm. Give all sizes the same "
            "allowance: seams are not graded.",
        )  # fmt: skip


def _widths(piece: MarkedPiece, edge: str) -> tuple[float, ...]:
    profile = piece.cut.profiles.get(edge)
    return (piece.cut.allowances[edge],) if profile is None else tuple(width for _, width in profile.stations)


def _widths_differ(a: Sequence[float], b: Sequence[float]) -> float:
    if len(a) != len(b):
        return max(abs(max(a) - max(b)), abs(min(a) - min(b)), 2 * _SAME)
    return max(abs(x - y) for x, y in zip(a, b, strict=True))


@check(error="grade.notches")
def notches_kept(nest: Nest) -> Iterator[Finding]:
    """The same notches in every size: number, edge, name, kind, depth and width."""
    for row in _rows(nest):
        like = next(p for p, size in zip(row.pieces, nest.sizes, strict=True) if size == nest.base)
        wanted = [_notch(n) for n in like.notches]
        told = []
        for size, piece in zip(nest.sizes, row.pieces, strict=True):
            mine = [_notch(n) for n in piece.notches]
            if mine != wanted:
                pairs = [f"{a[0]} {a[1]}".strip() for a, b in zip(mine, wanted, strict=False) if a != b]
                what = f"{len(mine)} and not {len(wanted)}" if len(mine) != len(wanted) else ", ".join(pairs)
                told.append(f"size {size} ({what})")
        yield found(
            "grade.notches", Severity.ERROR, not told, len(told), 0,
            f"{row.words}: the same notches in every size, cut alike.",
            f"{row.words}: the notches are not those of size {nest.base} in {', '.join(told)}. Give every size the "
            "same notches, of one kind, depth and width.",
            unit="sizes",
        )  # fmt: skip


def _notch(notch: Notch) -> tuple[str, str, int, str, float, float]:
    return notch.edge, notch.name, notch.count, notch.kind.value, round(notch.depth, 2), round(notch.width, 2)


# ------------------------------------------------------------------------------------------------- seams and girths


@check(error="grade.seams")
def seams_kept(nest: Nest) -> Iterator[Finding]:
    """Every seam has the sewing ease of the base size in all sizes, but for what the draft declares otherwise."""
    for seam in nest.base_pattern.draft.seams:
        if seam.how == "eased":
            continue
        eases = _eases(nest, seam.name)
        if eases is None:
            continue
        declared, measured = eases
        base = nest.sizes.index(nest.base)
        each = [(m - measured[base]) - (d - declared[base]) for m, d in zip(measured, declared, strict=True)]
        off, size = max(zip(each, nest.sizes, strict=True), key=lambda at: abs(at[0]))
        limit = max(SEAM_LIMIT, seam.most - seam.ease)
        yield found(
            "grade.seams", Severity.ERROR, abs(off) <= limit, off, limit,
            f"{seam.name}: both sides grow alike in every size.",
            f"{seam.name}: from size {nest.base} to size {size} {words_of(seam.a)} grows {abs(off):.1f} mm "
            f"{'more' if off > 0 else 'less'} than {words_of(seam.b)}. Give the points of both sides the same moves.",
            digits=3,
        )  # fmt: skip


@check(warning="grade.cap-ease")
def cap_ease_kept(nest: Nest) -> Iterator[Finding]:
    """What is eased in grows with what it is eased to, as a sleeve's cap with the armhole: its ease is that of the size
    before it, or changes as it is declared."""
    unit = nest.base_pattern.unit
    for seam in nest.base_pattern.draft.seams:
        eases = _eases(nest, seam.name) if seam.how == "eased" else None
        if eases is None:
            continue
        declared, measured = eases
        steps = zip(pairwise(measured), pairwise(declared), pairwise(nest.sizes), strict=True)
        each = [((m1 - m0) - (d1 - d0), sizes) for (m0, m1), (d0, d1), sizes in steps]
        off, (one, next_one) = max(each, key=lambda at: abs(at[0]))
        eased, to = (piece_words(run[0].edge) for run in (seam.a, seam.b))
        yield found(
            "grade.cap-ease", Severity.WARNING, abs(off) <= CAP_LIMIT, off, CAP_LIMIT,
            f"{seam.name}: {show(min(measured), unit)} to {show(max(measured), unit)} of ease; {eased} and {to} grow "
            "alike.",
            f"{seam.name}: from size {one} to size {next_one} the ease changes by {off:+.1f} mm. Shape the {eased} "
            f"again for that {to} (of a sleeve, solve the cap's height); do not stretch the curve.",
            digits=3,
        )  # fmt: skip


def _eases(nest: Nest, name: str) -> tuple[list[float], list[float]] | None:
    """Sewing ease of a seam in every size, as declared and as measured, mm; None where a size lacks it."""
    declared, measured = [], []
    for pattern in nest.patterns:
        seam = next((seam for seam in pattern.draft.seams if seam.name == name), None)
        if seam is None:
            return None
        try:
            a, b, _ = seam_sides(pattern, seam)
        except KeyError:
            return None  # a size without that edge or piece: grade.nodes tells it
        measured.append(a - b)
        declared.append(seam.ease)
    return declared, measured


def _girths(nest: Nest) -> Iterator[tuple[str, list[tuple[float, float]]]]:
    """(girth of the garment, girth of the body) of every size at each level that all sizes claim, mm."""
    for claim in nest.base_pattern.draft.claims:
        if not isinstance(claim, Girth):
            continue
        own = [next((c for c in p.draft.claims if c.id == claim.id), None) for p in nest.patterns]
        pairs = [(c, pattern) for c, pattern in zip(own, nest.patterns, strict=True) if isinstance(c, Girth)]
        try:
            girths = [(c.measured(pattern), c.body.mm) for c, pattern in pairs]
        except KeyError:
            continue  # a size without a piece or edge that goes round there: grade.nodes tells it
        if len(girths) == len(nest.patterns):
            yield claim.level, girths


@check(error="grade.girths")
def girths_kept(nest: Nest) -> Iterator[Finding]:
    """Garment less body is the same at each level in every size."""
    unit = nest.base_pattern.unit
    base = nest.sizes.index(nest.base)
    for level, girths in _girths(nest):
        eases = [garment - body for garment, body in girths]
        at = max(range(len(eases)), key=lambda i: abs(eases[i] - eases[base]))
        off = eases[at] - eases[base]
        yield found(
            "grade.girths", Severity.ERROR, abs(off) <= GIRTH_LIMIT, off, GIRTH_LIMIT,
            f"{level}: {show(eases[base], unit)} of wearing ease in every size.",
            f"{level}: size {nest.sizes[at]} has {show(eases[at], unit)} of wearing ease, size {nest.base} "
            f"{show(eases[base], unit)}. The side must move by a quarter of what the girth grows.",
        )  # fmt: skip


# ------------------------------------------------------------------------------------------------------------ growth


@check(warning="grade.monotone")
def monotone(nest: Nest) -> Iterator[Finding]:
    """No girth and no edge is shorter in a larger size, unless a measurement of the body is.

    But where an armhole deepens and the waist stays, the side below it is shorter, and rightly: an edge may lose what
    the one beside it gains, TAKEN_OVER a size at most.
    """
    bodies = [_body(nest, i) for i in range(len(nest.patterns))]
    smaller = [
        [
            all(bodies[i].get(key, mm) >= mm - _SAME for key, mm in bodies[j].items() if key not in _FLOOR)
            for j in range(i)
        ]
        for i in range(len(bodies))
    ]
    lengths = [(level, [garment for garment, _ in girths]) for level, girths in _girths(nest)]
    yield _monotone_finding(nest, f"the {nest.base_pattern.draft.noun} all round", lengths, smaller, beside=False)
    for row in _rows(nest):
        edges = [
            (edge.name, [p.cut.piece.edge(edge.name).sewn(polyline_length(p.cut.lines[edge.name])) for p in row.pieces])
            for edge in row.pieces[0].cut.piece.edges
        ]
        yield _monotone_finding(nest, row.words, edges, smaller)


def _monotone_finding(
    nest: Nest,
    words: str,
    lengths: Sequence[tuple[str, list[float]]],
    smaller: Sequence[Sequence[bool]],
    *,
    beside: bool = True,
) -> Finding:
    worst, limit, told = 0.0, SHORTER_LIMIT, ""
    short: dict[str, None] = {}
    for at, (name, own_lengths) in enumerate(lengths):
        for i, length in enumerate(own_lengths):
            for j in range(i):
                if not smaller[i][j]:
                    continue
                own = SHORTER_LIMIT + (_taken_over(lengths, at, i, j) if beside else 0.0)
                less = own_lengths[j] - length
                if less > own:
                    short[name] = None
                if less - own > worst - limit:
                    worst, limit = less, own
                    told = f"the {piece_words(name)} of size {nest.sizes[i]} is {worst:.1f} mm shorter than that of "
                    told += f"size {nest.sizes[j]}"
    if len(short) > 1:
        told += f" ({', '.join(piece_words(name) for name in short)} get shorter)"
    return found(
        "grade.monotone", Severity.WARNING, worst <= limit, worst, round(limit, 2),
        f"{words}: nothing is shorter in a larger size, but for what the edge beside it takes over.",
        f"{words}: {told}, though no measurement is smaller. Look at the chart's steps for the measurements that shape "
        "it, one grows faster than the other that it is taken from; a length that was left to be chosen (a vent) is "
        "kept by giving it for all sizes.",
    )  # fmt: skip


def _taken_over(lengths: Sequence[tuple[str, list[float]]], at: int, i: int, j: int) -> float:
    """What an edge may lose from size j to size i to the edges beside it, mm."""
    near = (lengths[at - 1][1], lengths[(at + 1) % len(lengths)][1])
    return min(TAKEN_OVER * (i - j), max(0.0, *(edge[i] - edge[j] for edge in near)))


@check(warning="grade.even")
def even(nest: Nest) -> Iterator[Finding]:
    """Every named place moves as far in each step as in the one before it, where the chart's steps are alike.

    Where they change, the place may move further by a quarter of what the girths' steps change and by what the
    lengths' steps do: more no place is moved by one measurement. Ends of zips are not judged, since zips come in
    lengths, nor are balance notches, which divide the seam of each size anew, nor where on a piece its grain line is
    drawn (its direction is: see `angles`).
    """
    steps = _steps(nest)
    for row in _rows(nest):
        worst, limit, told = 0.0, EVEN_LIMIT, ""
        for name, run in _stacked(nest, row).items():
            if not _graded(name):
                continue
            moves = [(q[0] - p[0], q[1] - p[1]) for p, q in pairwise(run)]
            for i, ((ax, ay), (bx, by)) in enumerate(pairwise(moves)):
                for off, slack in ((abs(bx - ax), steps[i][0]), (abs(by - ay), steps[i][1])):
                    if off - slack - EVEN_LIMIT > worst - limit:
                        worst, limit = off, EVEN_LIMIT + slack
                        told = (
                            f"{piece_words(name)} moves by {off:.1f} mm more or less from size {nest.sizes[i + 1]} to "
                            f"{nest.sizes[i + 2]} than from {nest.sizes[i]} to {nest.sizes[i + 1]}"
                        )
        yield found(
            "grade.even", Severity.WARNING, worst <= limit, worst, round(limit, 2),
            f"{row.words}: every point grows evenly.",
            f"{row.words}: {told}; the chart's steps account for {limit:.1f} mm. Look for a slip in the chart or the "
            "rules; a length that is chosen in whole inches (a vent) is made even by giving it for all sizes.",
        )  # fmt: skip


def _graded(name: str) -> bool:
    return not _NOT_GRADED & set(name.replace("_", " ").split())


def _steps(nest: Nest) -> list[tuple[float, float]]:
    """By how much a place may move further in a step than in the one before, across and up, as the chart's steps do."""
    found = []
    for i in range(len(nest.patterns) - 2):
        a, b, c = (_body(nest, i + k) for k in range(3))
        change = {key: abs((c[key] - b[key]) - (b[key] - a[key])) for key in a if key in b and key in c}
        girth = max(
            (mm / (4 if key in _QUARTERS else 2) for key, mm in change.items() if key.endswith(("_girth", "_width"))),
            default=0.0,
        )
        length = sum(mm for key, mm in change.items() if not key.endswith(("_girth", "_width")) and key not in _FLOOR)
        found.append((girth, girth + length))
    return found


def _stacked(nest: Nest, row: _Row) -> dict[str, list[XY]]:
    """Each named place in every size, laid on the base."""
    each = []
    for size, marked in zip(nest.sizes, row.pieces, strict=True):
        dx, dy = nest.shift(size, row.name)
        own = places_of(marked.cut.piece, [notch.point for notch in marked.notches])
        each.append({name: (p.x + dx, p.y + dy) for name, p in own.items()})
    return {name: [own[name] for own in each] for name in each[0] if all(name in own for own in each)}


# ------------------------------------------------------------------------------------------------------------- shape


@check(warning="grade.crossing")
def crossing(nest: Nest) -> Iterator[Finding]:
    """No edge of a size crosses the same edge of the next size, as they are stacked."""
    for row in _rows(nest):
        shifts = [nest.shift(size, row.name) for size in nest.sizes]
        worst, limit, told = 0.0, CROSS_LIMIT, ""
        for edge in row.pieces[0].cut.lines:
            own_limit = CROSS_AT_NECK if edge in nest.base_pattern.draft.neck_edges else CROSS_LIMIT
            lines = [
                [(x + dx, y + dy) for x, y in p.cut.lines[edge]]
                for p, (dx, dy) in zip(row.pieces, shifts, strict=True)
            ]  # fmt: skip
            for i, (a, b) in enumerate(pairwise(lines)):
                if _clearly_apart(a, b):
                    continue
                depth = crossing_depth(a, b)
                if depth - own_limit > worst - limit:
                    worst, limit = depth, own_limit
                    told = f"the {piece_words(edge)} of size {nest.sizes[i]} crosses that of size {nest.sizes[i + 1]}"
        yield found(
            "grade.crossing", Severity.WARNING, worst <= limit, worst, limit,
            f"{row.words}: no size crosses its neighbour.",
            f"{row.words}: {told} and stands {worst:.1f} mm out on the other side. Look at both drawn on each other: "
            "its ends grow different ways. Stacked on another point they may not cross.",
        )  # fmt: skip


def _clearly_apart(a: Sequence[XY], b: Sequence[XY]) -> bool:
    """Whether each run of b lies on one and the same side of the run of a that belongs to it."""
    if len(a) != len(b):
        return False
    side = 0
    for ((ax, ay), (bx, by)), (p, q) in zip(pairwise(a), pairwise(b), strict=True):
        ux, uy = bx - ax, by - ay
        near = _SAME * (abs(ux) + abs(uy))
        for x, y in (p, q):
            cross = ux * (y - ay) - uy * (x - ax)
            if -near < cross < near:
                continue
            if side == 0:
                side = 1 if cross > 0 else -1
            elif (cross > 0) != (side > 0):
                return False
    return True


def crossing_depth(a: Sequence[XY], b: Sequence[XY]) -> float:
    """How far two open lines that cross stand out on the lesser of both sides, mm; 0 if they do not cross.

    Measured from the points of either to the other line, where they lie beside it and not beyond its ends.
    """
    left, right = _stands_out(a, b)
    other_right, other_left = _stands_out(b, a)
    return min(max(left, other_left), max(right, other_right))


def _stands_out(line: Sequence[XY], points: Sequence[XY]) -> tuple[float, float]:
    """How far points that lie beside an open line, not beyond its ends, stand off it at most: left and right, mm."""
    runs = []
    for (ax, ay), (bx, by) in pairwise(line):
        ux, uy = bx - ax, by - ay
        if long := hypot(ux, uy):
            runs.append((ax, ay, ux, uy, long))
    last = len(runs) - 1
    left = right = 0.0
    near = 0  # the run that was nearest to the point before is looked at first
    for x, y in points:
        reach, side = 1e300, 0.0
        for i in (near, *range(near), *range(near + 1, last + 1)):
            ax, ay, ux, uy, long = runs[i]
            dx, dy = x - ax, y - ay
            if abs(dx) > reach + long or abs(dy) > reach + long:
                continue
            t = (dx * ux + dy * uy) / (long * long)
            beyond = (i == 0 and t < 0) or (i == last and t > 1)
            t = 0.0 if t < 0 else 1.0 if t > 1 else t
            gap = hypot(dx - t * ux, dy - t * uy)
            if gap < reach:
                reach, near = gap, i
                side = 0.0 if beyond else gap if ux * dy - uy * dx > 0 else -gap
        left, right = max(left, side), max(right, -side)
    return left, right


@check(warning="grade.angles")
def angles(nest: Nest) -> Iterator[Finding]:
    """Corners and the slopes of straight edges change by less than a degree a size; the grain line keeps its way."""
    base = nest.sizes.index(nest.base)
    for row in _rows(nest):
        worst, told = 0.0, ""
        each = [_angles(piece) for piece in row.pieces]
        for i, (a, b) in enumerate(pairwise(each)):
            for name in a:
                off = abs((b[name] - a[name] + 180) % 360 - 180) if name in b else 0.0
                if off > worst:
                    worst, told = off, f"{name} changes by {off:.1f}° from size {nest.sizes[i]} to {nest.sizes[i + 1]}"
        yield found(
            "grade.angles", Severity.WARNING, worst < ANGLE_LIMIT, worst, ANGLE_LIMIT,
            f"{row.words}: corners and slopes keep their angles.",
            f"{row.words}: {told}. Let its two ends move alike, or accept that the shape changes with the size.",
            unit="deg",
        )  # fmt: skip
        ways = [direction(*piece.grain_line) for piece in row.pieces]
        turns = [turn_deg(ways[base], way) for way in ways]
        turn, size = max(zip(turns, nest.sizes, strict=True), key=lambda at: abs(at[0]))
        yield found(
            "grade.angles", Severity.WARNING, abs(turn) <= GRAIN_LIMIT, turn, GRAIN_LIMIT,
            f"{row.words}: the grain line lies alike in every size.",
            f"{row.words}: the grain line of size {size} is turned by {abs(turn):.1f}° against size {nest.base}. Move "
            "both of its ends by the same dx.",
            unit="deg",
        )  # fmt: skip


def _angles(piece: MarkedPiece) -> dict[str, float]:
    """Every corner's turn, and the slope of every straight edge, degrees."""
    edges = piece.cut.piece.edges
    found = {}
    for before, after in zip([edges[-1], *edges[:-1]], edges, strict=True):
        name = f"the corner of {piece_words(before.name)} and {piece_words(after.name)}"
        found[name] = turn_deg(before.curves[-1].way(1.0), after.curves[0].way(0.0))
    for edge in edges:
        if len(edge.curves) == 1 and len(edge.curves[0].controls()) == 2 and distance(edge.start, edge.end) > _SAME:
            found[f"the slope of the {piece_words(edge.name)}"] = turn_deg((1.0, 0.0), edge.curves[0].way(0.0))
    return found


@check(info="grade.zip")
def notions(nest: Nest) -> Iterator[Finding]:
    """Which length of a zip, or of what else is bought so long, goes with which size."""
    unit = nest.base_pattern.unit
    named = {notion.name: notion.option for pattern in nest.patterns for notion in pattern.draft.notions}
    for name, option in named.items():
        lengths = [next((n.length for n in p.draft.notions if n.name == name), None) for p in nest.patterns]
        known = [length for length in lengths if length is not None]
        held = len(known) == len(lengths) and max(known) - min(known) < _SAME
        by_length: dict[str, list[str]] = {}
        for size, length in zip(nest.sizes, lengths, strict=True):
            by_length.setdefault("none" if length is None else show(length, unit), []).append(size)
        words = "; ".join(
            f"{length} for {'sizes' if len(s) > 1 else 'size'} {', '.join(s)}" for length, s in by_length.items()
        )
        yield found(
            f"grade.{name}", Severity.INFO, held, max(known) - min(known), 0.0,
            f"{name}: {show(known[0], unit)} in every size.",
            f"{name}: {words}. Buy them so, or give {option} for all sizes.",
            digits=1,
        )  # fmt: skip


@check(error="grade.youngest", warning="grade.youngest")
def youngest_kept(nest: Nest) -> Iterator[Finding]:
    """Where sizes for children begin below 7 years and end above, the cords of all keep to the rule of the youngest."""
    bound = [(p, claim) for p in nest.patterns for claim in p.draft.claims if isinstance(claim, OfCords)]
    statures = {claim.stature.mm: claim.stature for _, claim in bound}
    if not statures or not min(statures) <= YOUNG < max(statures):
        return
    youngest, unit = statures[min(statures)], nest.base_pattern.unit
    wrong: list[tuple[str, Finding]] = []
    for pattern, claim in bound:
        own = {(f.id, f.severity) for f in claim.check(pattern) if not f.passed}
        as_young = replace(claim, stature=youngest).check(pattern)
        wrong += [(pattern.size, f) for f in as_young if not f.passed and (f.id, f.severity) not in own]
    grave = [each for each in wrong if each[1].severity is Severity.ERROR]
    size, first = next(iter(grave or wrong), ("", None))
    from_to = f"from {show(min(statures), unit)} to {show(max(statures), unit)} of stature"
    yield found(
        "grade.youngest", Severity.ERROR if grave else Severity.WARNING, first is None, len(wrong), 0,
        f"The sizes go {from_to}: the cords of all keep to the rule for children to 7 years.",
        f"The sizes go {from_to}, across 7 years, and all keep to the rule for the younger (EN 14682, by a summary of "
        f"2007). Size {size}: {first.message if first else ''} Or make the taller sizes by themselves.",
        unit="cords", digits=0,
    )  # fmt: skip


ACROSS: Final[tuple[Rule[Nest], ...]] = (
    nodes_agree,
    allowances_kept,
    notches_kept,
    seams_kept,
    cap_ease_kept,
    girths_kept,
    monotone,
    even,
    crossing,
    angles,
    notions,
    youngest_kept,
)
