"""Sizes of one pattern made alike, node for node: every line has as many points in each size, in the same order.

Drafting every size gives the same edges and the same curves; flattening them into the same number of chords gives the
same points of the stitch line. Two things are left to do. An edge whose curves differ (a facing's inner edge, drawn
parallel to a neckline) is walked: its points in one size are matched with those of the others at the same part of the
way. And cut lines are cut short at their corners in one size a point sooner than in another: they are matched stretch
by stretch between landmarks that all sizes have: notches, corners, and the points beside those of the stitch line.
Points are only ever added, on the line itself: no outline changes its shape.
"""

from __future__ import annotations

from bisect import bisect
from collections.abc import Mapping, Sequence
from itertools import accumulate, pairwise
from typing import Final, TypeAlias

from ..errors import DraftError
from ..geometry.offset import GRID
from ..geometry.point import XY, between, distance
from ..geometry.polygon import distance_to_segment
from ..model.draft import Draft
from ..model.pattern import CutPiece, MarkedPiece, Pattern
from ..model.piece import Piece, piece_words
from ..values import replace

Chords: TypeAlias = dict[tuple[str, str], tuple[int, ...]]
Line: TypeAlias = tuple[XY, ...]

_AT_VERTEX: Final = 0.05
"""A notch this near to a point of the cut line takes that point's place, mm: no runs shorter than what can be cut."""


def refuse_unlike(drafts: Mapping[str, Draft], base: str) -> None:
    """DraftError, saying where, if the sizes do not have the same pieces, edges, darts and inner lines as the base."""
    told = [
        f"size {size}: {difference}"
        for size, draft in drafts.items()
        if size != base and (difference := _difference(draft, drafts[base]))
    ]
    if told:
        raise DraftError(
            "the sizes cannot be graded together, as they are not built alike. "
            + "; ".join(told)
            + f". Each must have what the base size {base} has: leave that size out, or choose an option for all"
        )


def _difference(draft: Draft, base: Draft) -> str:
    names, wanted = ([piece.name for piece in d.pieces] for d in (draft, base))
    if names != wanted:
        odd = [name for name in names if name not in wanted] or [name for name in wanted if name not in names]
        return f"it has {len(names)} pieces where the base has {len(wanted)} ({', '.join(odd) or 'in another order'})"
    for piece, like in zip(draft.pieces, base.pieces, strict=True):
        for what, a, b in (
            ("edges", _edges(piece), _edges(like)),
            (
                "darts",
                [f"{d.name} ({len(d.points)})" for d in piece.darts],
                [f"{d.name} ({len(d.points)})" for d in like.darts],
            ),
            ("inner lines", [n.name for n in piece.internal_lines], [n.name for n in like.internal_lines]),
        ):
            if a != b:
                return f"the {what} of the {piece_words(piece.name)} are {', '.join(a)} and not {', '.join(b)}"
    return ""


def _edges(piece: Piece) -> list[str]:
    return [f"{edge.name} ({edge.kind.value})" for edge in piece.edges]


def most_chords(sizes: Sequence[Mapping[tuple[str, str], tuple[int, ...]]]) -> list[Chords]:
    """Of every curve the most chords that any size needs; an edge whose curves differ in number keeps its own."""
    found: list[Chords] = []
    for own in sizes:
        chords: Chords = {}
        for key, counts in own.items():
            all_counts = [size[key] for size in sizes]
            same = all(len(other) == len(counts) for other in all_counts)
            chords[key] = tuple(map(max, zip(*all_counts, strict=True))) if same else counts
        found.append(chords)
    return found


def alike(patterns: Sequence[Pattern]) -> tuple[Pattern, ...]:
    """The same patterns with as many points on each line in every size; see above. They must have the same edges."""
    pieces = [_alike_pieces(row) for row in zip(*(pattern.pieces for pattern in patterns), strict=True)]
    return tuple(
        replace(pattern, pieces=tuple(row[number] for row in pieces)) for number, pattern in enumerate(patterns)
    )


def _alike_pieces(row: Sequence[MarkedPiece]) -> list[MarkedPiece]:
    cuts = [piece.cut for piece in row]
    lines: list[dict[str, Line]] = [{} for _ in row]
    for edge in cuts[0].lines:
        for into, line in zip(lines, matched([cut.lines[edge] for cut in cuts]), strict=True):
            into[edge] = line
    rings = _cut_lines(row)
    return [
        replace(
            piece,
            cut=replace(
                piece.cut,
                lines=own,
                stitch_line=tuple(p for line in own.values() for p in line[:-1]),
                cut_line=ring,
            ),
        )
        for piece, own, ring in zip(row, lines, rings, strict=True)
    ]


# ------------------------------------------------------------------------------------------------ matching open lines


def matched(lines: Sequence[Line]) -> list[Line]:
    """Open lines with as many points each, by adding points on them; the k-th points of all belong together.

    The line with the most points leads. In the others each point is given the leader's point that lies at the most
    similar part of the way, in order; the leader's remaining points are added between them.
    """
    most = max(map(len, lines))
    if all(len(line) == most for line in lines):
        return list(lines)
    leader = _parts(next(line for line in lines if len(line) == most))
    return [line if len(line) == most else _led(line, leader) for line in lines]


def _parts(line: Line) -> list[float]:
    """The part of the way at which each point lies, 0 to 1."""
    walked = [0.0, *accumulate(distance(a, b) for a, b in pairwise(line))]
    return [far / walked[-1] if walked[-1] else i / (len(line) - 1) for i, far in enumerate(walked)]


def _led(line: Line, leader: Sequence[float]) -> Line:
    parts = _parts(line)
    places = [0, *_pairs(parts[1:-1], leader[1:-1]), len(leader) - 1]
    points: list[XY] = [line[0]]
    for (a, b), (i, j) in zip(pairwise(line), pairwise(places), strict=True):
        span = leader[j] - leader[i]
        for k in range(i + 1, j):
            part = (leader[k] - leader[i]) / span if span else (k - i) / (j - i)
            points.append(between(a, b, part))
        points.append(b)
    return tuple(points)


def _pairs(own: Sequence[float], leader: Sequence[float]) -> list[int]:
    """For each own part the place (from 1) of the leader's that it is given: ascending, least sum of differences."""
    n, m = len(own), len(leader)
    best = [0.0] * (m + 1)
    taken: list[list[bool]] = []
    for i in range(1, n + 1):
        row, chosen = [float("inf")] * (m + 1), [False] * (m + 1)
        for j in range(i, m - (n - i) + 1):
            pair = best[j - 1] + abs(own[i - 1] - leader[j - 1])
            chosen[j] = pair < row[j - 1]
            row[j] = min(pair, row[j - 1])
        best = row
        taken.append(chosen)
    places: list[int] = []
    j = m
    for i in range(n, 0, -1):
        while not taken[i - 1][j]:
            j -= 1
        places.append(j)
        j -= 1
    return places[::-1]


# ------------------------------------------------------------------------------------------------ matching cut lines

Key: TypeAlias = tuple[str, str, int, int] | None
Vertex: TypeAlias = tuple[Key, XY]
"""A point of the cut line, with what it is: beside which point of which edge, or which notch; None of a corner."""


def _cut_lines(row: Sequence[MarkedPiece]) -> list[Line]:
    if all(piece.cut.as_drawn for piece in row) and (drawn := _drawn_cut_lines(row)) is not None:
        return drawn
    counts = {edge: {len(piece.cut.cut_edges[edge]) for piece in row} for edge in row[0].cut.cut_edges}
    alike_edges = frozenset(edge for edge, found in counts.items() if len(found) == 1)
    rings = _from_one_landmark([_keyed(piece, alike_edges, size) for size, piece in enumerate(row)])
    landmarks = _common(rings)
    if not landmarks:
        return [ring[:-1] for ring in matched([_closed([p for _, p in ring]) for ring in rings])]
    stretches = [_stretches(ring, landmarks) for ring in rings]
    joined: list[list[XY]] = [[] for _ in row]
    for parts in zip(*stretches, strict=True):
        for into, line in zip(joined, matched(parts), strict=True):
            into.extend(line[:-1])
    return [tuple(ring) for ring in joined]


def _drawn_cut_lines(row: Sequence[MarkedPiece]) -> list[Line] | None:
    """Cut lines that were drawn with as many points in every size, with their notches as points of them; None where
    they were not, or where a notch lies elsewhere in another size."""
    rings = [list(piece.cut.cut_line) for piece in row]
    if len({len(ring) for ring in rings}) > 1 or len({len(piece.notches) for piece in row}) > 1:
        return None
    for notches in zip(*(piece.notches for piece in row), strict=True):
        spots: list[XY] = [notch.spots[0] for notch in notches]
        near = min(range(len(rings[0])), key=lambda i: distance(rings[0][i], spots[0]))
        if all(distance(ring[near], spot) <= _AT_VERTEX for ring, spot in zip(rings, spots, strict=True)):
            continue
        at = min(range(len(rings[0])), key=lambda i: distance_to_segment(spots[0], rings[0][i - 1], rings[0][i]))
        for ring, spot in zip(rings, spots, strict=True):
            if distance_to_segment(spot, ring[at - 1], ring[at]) > _AT_VERTEX:
                return None
            ring.insert(at, spot)
    return [tuple(ring) for ring in rings]


def _from_one_landmark(rings: Sequence[list[Vertex]]) -> list[list[Vertex]]:
    """The rings begun at one landmark that all sizes have: in one of them a corner may have taken the first point."""
    shared = set.intersection(*({key for key, _ in ring if key is not None} for ring in rings))
    first = next((key for key, _ in rings[0] if key in shared), None)
    if first is None:
        return list(rings)
    starts = [next(i for i, (key, _) in enumerate(ring) if key == first) for ring in rings]
    return [ring[start:] + ring[:start] for ring, start in zip(rings, starts, strict=True)]


def _closed(ring: Sequence[XY]) -> Line:
    return (*ring, ring[0])


def _keyed(piece: MarkedPiece, alike_edges: frozenset[str], size: int) -> list[Vertex]:
    """The cut line from the first point beside its first edge on, with its notches as points of their own.

    Of an edge that has another number of points in another size, only its corners and notches are landmarks.
    """
    cut = piece.cut
    beside = _beside(cut, alike_edges, size)
    ring: list[Vertex] = _with_corners([(beside.get(_on_grid(p)), p) for p in cut.cut_line])
    for number, notch in enumerate(piece.notches):
        for which, (spot, _) in enumerate(notch.each()):
            _put_in(ring, ("notch", notch.edge, number, which), spot)
    first = {edge.name: i for i, edge in enumerate(cut.piece.edges)}
    start = min(
        ((first[key[1]], key[2], i) for i, (key, _) in enumerate(ring) if key is not None and key[0] == "beside"),
        default=(0, 0, 0),
    )[2]
    return ring[start:] + ring[:start]


def _on_grid(p: XY) -> tuple[int, int]:
    """The step of the offset engine's grid on which a point lies: it keeps points only so far."""
    return int(p[0] * GRID), int(p[1] * GRID)


def _beside(cut: CutPiece, alike_edges: frozenset[str], size: int) -> dict[tuple[int, int], Key]:
    """What lies beside which point of which edge, counted from its start; of the other edges told by size."""
    return {
        _on_grid(p): ("beside", edge, number, 0) if edge in alike_edges else ("along", edge, number, size)
        for edge, run in cut.cut_edges.items()
        for number, p in enumerate(run)
    }


def _with_corners(ring: list[Vertex]) -> list[Vertex]:
    """The points that join two edges told by the edge after them, and how many they are."""
    places = [i for i, (key, _) in enumerate(ring) if key is not None]
    if not places:
        return ring
    keyed = list(ring)
    for a, b in pairwise([*places, places[0] + len(ring)]):
        before, after = ring[a][0], ring[b % len(ring)][0]
        if before is not None and after is not None and before[1] != after[1]:
            for i in range(a + 1, b):
                keyed[i % len(ring)] = (("corner", after[1], i - a, b - a), ring[i % len(ring)][1])
    return keyed


def _put_in(ring: list[Vertex], key: Key, spot: XY) -> None:
    """The spot as a point of the ring, in the place of one that lies very near, else between two."""
    best, at = float("inf"), 0
    x, y = spot
    edge = key[1] if key is not None else ""
    others = [beside is not None and beside[1] != edge and beside[0] != "corner" for beside, _ in ring]
    before, (ax, ay) = others[-1], ring[-1][1]
    for i, (other, (_, (bx, by))) in enumerate(zip(others, ring, strict=True)):
        if not (other and before):  # both surely beside another edge
            dx, dy = bx - ax, by - ay
            size = dx * dx + dy * dy
            t = ((x - ax) * dx + (y - ay) * dy) / size if size else 0.0
            t = 0.0 if t < 0.0 else 1.0 if t > 1.0 else t
            off = (x - ax - t * dx) ** 2 + (y - ay - t * dy) ** 2
            if off < best:
                best, at = off, i
        before, ax, ay = other, bx, by
    if best > _AT_VERTEX**2:
        return  # stands off the cut line: a notch at a step of the allowance
    for i in (at - 1, at):
        if distance(ring[i][1], spot) <= _AT_VERTEX:
            ring[i] = (key, ring[i][1])
            return
    ring.insert(at, (key, spot))


def _common(rings: Sequence[list[Vertex]]) -> list[Key]:
    """The landmarks that all sizes have, in their order; one that comes at another place in a size is left out.

    Notches and corners go before points beside the stitch line, as each must be one point of the line in every size.
    """
    orders = [{key: i for i, (key, _) in enumerate(ring) if key is not None} for ring in rings]
    shared = set(orders[0]).intersection(*orders[1:])
    rank = {"notch": 0, "corner": 1}
    wanted = sorted(
        (key for key, _ in rings[0] if key is not None and key in shared), key=lambda key: rank.get(key[0], 2)
    )
    kept: list[Key] = []
    places: list[list[int]] = [[] for _ in rings]
    for key in wanted:
        at = {bisect(own, order[key]) for own, order in zip(places, orders, strict=True)}
        if len(at) == 1:
            (place,) = at
            kept.insert(place, key)
            for own, order in zip(places, orders, strict=True):
                own.insert(place, order[key])
    return kept


def _stretches(ring: list[Vertex], landmarks: Sequence[Key]) -> list[Line]:
    """The ring cut at the landmarks: from each to the next, both included."""
    order = {key: i for i, (key, _) in enumerate(ring)}
    points = [p for _, p in ring]
    places = [order[key] for key in landmarks]
    lines = [tuple(points[a : b + 1]) for a, b in pairwise(places)]
    return [*lines, (*points[places[-1] :], *points[: places[0] + 1])]
