"""From the stitch line to the cut line: a width along each edge, a finish at every corner, then one clean-up.

The cut line is built edge by edge, so that it is always known which run of it belongs to which edge:
each edge is moved outwards by its own width, neighbours are joined at the corners by their finish (corners.py), and
the ring goes once through the offset engine, which drops what an inner curve tighter than its allowance has turned
inside out.
"""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from difflib import get_close_matches
from math import sqrt
from typing import Final, TypeAlias

from ..errors import GeometryError, InputError
from ..geometry.curve import CHORD, Curve
from ..geometry.offset import outer
from ..geometry.point import XY, direction, distance
from ..model.corner_names import FINISHES
from ..model.draft import Draft
from ..model.pattern import CutPattern, CutPiece
from ..model.piece import Edge, EdgeKind, Piece, title_of
from ..model.ref import Ref, parted
from ..model.sewing import order_of, seam_widths, usual_allowance
from ..model.widths import Allowance, Profile, Station
from ..values import replace
from .corners import Beside, Corner, corner_between

_SAME: Final = 0.001
"""Points nearer than this are one, mm: ten steps of the grid on which the offset engine sees crossings."""
_STANDS_OUT: Final = 0.08
"""A mitre between two runs of one curve stands out no further than this, mm: within the project's +0.10."""


Chords: TypeAlias = Mapping[tuple[str, str], tuple[int, ...]]
"""Into how many chords each curve of an edge is flattened, by piece and edge."""


def allow(
    draft: Draft,
    asked: Mapping[str, Allowance],
    corners: Mapping[str, str] | None = None,
    *,
    chords: Chords | None = None,
) -> CutPattern:
    """Cut lines for every piece.

    `asked` overrides the draft's widths, by edge (`side`) or by one edge (`front.side`); `corners` names finishes by
    the two edges that meet (`side/hem`, `front.side/hem`). `chords` are those of `chords_of`, or more of them.
    Raises InputError for an edge that no piece has.
    """
    corners = corners or {}
    _all_known(draft, asked, corners)
    pieces: list[CutPiece] = []
    order = order_of(draft.pieces, draft.seams, draft.sewing_order)
    for piece in draft.pieces:
        own = {
            key.removeprefix(f"{piece.name}."): finish
            for key, finish in corners.items()
            if "." not in key or key.startswith(f"{piece.name}.")
        }
        profiles = profiles_for(piece, draft, asked)
        if piece.cut_line and not _has_corner(piece, own):
            pieces.append(_as_drawn(piece, profiles, chords or {}))
            continue
        made = allow_piece(piece, profiles, order=order(piece), corners=own, chords=chords)
        if piece.cut_line:
            words = (
                f"{title_of(piece)}: a corner finish is asked for, so its cut line is made anew from its allowances."
            )
            made = replace(made, notes=(*made.notes, words))
        pieces.append(made)
    return CutPattern(draft, tuple(pieces))


def _has_corner(piece: Piece, corners: Mapping[str, str]) -> bool:
    """Whether a finish is asked for at one of its corners."""
    names = [edge.name for edge in piece.edges]
    pairs = {pair for a, b in zip([names[-1], *names[:-1]], names, strict=True) for pair in (f"{a}/{b}", f"{b}/{a}")}
    return not pairs.isdisjoint(corners)


def _as_drawn(piece: Piece, profiles: Mapping[str, Profile], chords: Chords) -> CutPiece:
    """The piece with the cut line that was drawn for it, point for point."""
    lines = {
        edge.name: tuple(_flattened(edge, profiles[edge.name].most, chords.get((piece.name, edge.name), ())))
        for edge in piece.edges
    }
    return CutPiece(
        piece=piece,
        lines=lines,
        stitch_line=tuple(p for edge in piece.edges for p in lines[edge.name][:-1]),
        cut_line=piece.cut_line,
        cut_edges={edge.name: () for edge in piece.edges},
        allowances={name: profile.most for name, profile in profiles.items()},
        profiles=profiles,
        corners={edge.name: "as drawn" for edge in piece.edges},
        as_drawn=True,
    )


def _all_known(draft: Draft, asked: Mapping[str, Allowance], corners: Mapping[str, str]) -> None:
    edges = {edge.name for piece in draft.pieces for edge in piece.edges}
    edges |= {f"{piece.name}.{edge.name}" for piece in draft.pieces for edge in piece.edges}
    edges |= set(draft.halves.values()) | {parted(name)[1] for name in draft.halves.values()}
    known = edges | set(draft.default_allowances)
    for name in asked:
        if name not in known and parted(name)[1] not in draft.default_allowances:
            raise InputError(
                f"no piece has an edge {name!r}",
                expected="one of " + ", ".join(sorted(edges)),
                instead=_near(name, known),
            )
    for name, given in asked.items():
        piece_name, edge_name = parted(name)
        there = [
            (piece, edge)
            for piece in draft.pieces
            for edge in piece.edges
            if edge.name == edge_name and piece_name in ("", piece.name)
        ]
        if there and not any(_has_places(piece, edge, given) for piece, edge in there):
            notches = {n.name for piece, edge in there for n in piece.notches if n.edge == edge.name}
            raise InputError(
                f"the allowance of {name} names a notch that the edge does not have",
                expected="a length from its start, or one of " + ", ".join(sorted({"start", "end"} | notches)),
            )
    for key, finish in corners.items():
        for name in parted(key)[1].split("/"):
            if name not in known:
                raise InputError(
                    f"the corner {key!r} names an edge {name!r} that no piece has",
                    expected="two edges that meet, such as side/hem or front.side/hem",
                    instead=_near(name, known),
                )
        if finish not in FINISHES:
            raise InputError(
                f"{finish!r} is not a corner finish", expected=" or ".join(FINISHES), instead=_near(finish, FINISHES)
            )


def _near(name: str, known: Sequence[str] | set[str]) -> str:
    near = get_close_matches(name, sorted(known), n=1)
    return f"Write {near[0]}" if near else ""


def profiles_for(piece: Piece, draft: Draft, asked: Mapping[str, Allowance]) -> dict[str, Profile]:
    """The width along each edge: fold edges have none; `piece.edge` goes before `edge`, the job before the seam, the
    seam before the garment's table. An edge of no seam of which nothing is said has that of its kind.

    Raises InputError for an edge of a seam whose width nothing tells.
    """
    found: dict[str, Profile] = {}
    sewn = seam_widths(draft.seams)
    for edge in piece.edges:
        both = draft.halves.get(f"{piece.name}.{edge.name}", "")
        keys = (f"{piece.name}.{edge.name}", *((both,) if both else ()), edge.name, *parted(both)[1:])
        own = Ref(piece.name, edge.name)
        given: Allowance | None = None
        for table in (asked, draft.default_allowances):
            given = next((table[k] for k in keys if k in table and _has_places(piece, edge, table[k])), None)
            given = sewn.get(own) if given is None and table is asked else given
            if given is not None:
                break
        if given is None and own not in sewn:
            given = usual_allowance(edge)
        if edge.kind is EdgeKind.FOLD:
            given = 0.0
        if given is None:
            raise InputError(
                f"no allowance is known for {keys[0]}", instead=f"Give one under [allowances]: {edge.name}"
            )
        found[edge.name] = Profile.even(given) if isinstance(given, (int, float)) else _stationed(piece, edge, given)
    return found


def _has_places(piece: Piece, edge: Edge, given: Allowance) -> bool:
    """Whether every notch that the stations name is on this edge."""
    named = {"start", "end"} | {n.name for n in piece.notches if n.edge == edge.name}
    return isinstance(given, (int, float)) or all(not isinstance(s.at, str) or s.at in named for s in given)


def _stationed(piece: Piece, edge: Edge, stations: Sequence[Station]) -> Profile:
    """Stations named after notches, or `start` and `end`, put at their places along the edge."""
    long = edge.length()
    named = {"start": 0.0, "end": long} | {n.name: n.at for n in piece.notches if n.edge == edge.name and n.name}
    placed: list[tuple[float, float]] = []
    for station in stations:
        at = named[station.at] if isinstance(station.at, str) else station.at
        placed.append((min(max(at, 0.0), long), station.width))
    return Profile(tuple(sorted(placed, key=lambda place: place[0])))


def allow_piece(
    piece: Piece,
    widths: Mapping[str, float | Profile],
    *,
    order: Mapping[str, int] | None = None,
    corners: Mapping[str, str] | None = None,
    chords: Chords | None = None,
) -> CutPiece:
    """The cut line of one piece; `widths` in mm, or profiles, by edge name.

    `order` is when each edge is sewn (`order_of`), which decides which allowance is squared; `corners` are finishes
    asked for, by the two edges that meet (`shoulder/neckline`: squared to the first named).

    Raises GeometryError naming the piece.
    """
    asked = corners or {}
    profiles = {name: _profile(width) for name, width in widths.items()}
    given = chords or {}
    lines = {
        edge.name: tuple(_flattened(edge, profiles[edge.name].most, given.get((piece.name, edge.name), ())))
        for edge in piece.edges
    }
    beside = [Beside.of(edge.name, edge.kind, lines[edge.name], profiles[edge.name]) for edge in piece.edges]
    joined = _joined(beside, order or {}, asked)
    try:
        cut, changed = outer(_ring_of(beside, joined))
    except GeometryError as problem:
        raise GeometryError(f"{piece.name}: {problem}") from None
    notes: tuple[str, ...] = ()
    if changed:
        notes = (f"{piece.name}: an inner curve is tighter than its allowance; the cut line keeps to the envelope.",)
    return CutPiece(
        piece=piece,
        lines=lines,
        stitch_line=tuple(p for edge in piece.edges for p in lines[edge.name][:-1]),
        cut_line=tuple(cut),
        cut_edges={run.name: run.points for run in beside},
        allowances={name: profile.most for name, profile in profiles.items()},
        profiles=profiles,
        corners={run.name: corner.finish for run, corner in zip(beside, joined, strict=True)},
        folds={run.name: corner.folds for run, corner in zip(beside, joined, strict=True) if corner.folds},
        notes=notes,
    )


def chords_of(draft: Draft, asked: Mapping[str, Allowance]) -> dict[tuple[str, str], tuple[int, ...]]:
    """Into how many chords `allow` flattens each curve, by piece and edge: sizes that are to match take the most."""
    return {
        (piece.name, edge.name): tuple(_chords(curve, profile.most) for curve in edge.curves)
        for piece in draft.pieces
        for edge, profile in zip(piece.edges, profiles_for(piece, draft, asked).values(), strict=True)
    }


def _flattened(edge: Edge, width: float, chords: Sequence[int] = ()) -> list[XY]:
    """The edge within the usual chord, finer where the mitres between its moved runs would stand out too far."""
    counts = chords or [_chords(curve, width) for curve in edge.curves]
    points: list[XY] = [edge.start]
    for curve, count in zip(edge.curves, counts, strict=True):
        points.extend(curve.flat(chords=count))
    return points


def _chords(curve: Curve, width: float) -> int:
    count = curve.chords()
    if count > 1:
        out = width * _mitre_excess([curve.start, *curve.flat(chords=count)])
        count = curve.chords(CHORD * _STANDS_OUT / out) if out > _STANDS_OUT else count
    return count


def _mitre_excess(line: Sequence[XY]) -> float:
    """How much further than its width a mitre between two runs reaches, at the sharpest left turn; in widths."""
    ways = [direction(a, b) for a, b in itertools.pairwise(line)]
    sharpest = min(
        (ax * bx + ay * by for (ax, ay), (bx, by) in itertools.pairwise(ways) if ax * by > ay * bx), default=1
    )
    return sqrt(2 / (1 + min(1.0, max(-0.9, sharpest)))) - 1


def cut_line_of(lines: Sequence[tuple[str, EdgeKind, Sequence[XY]]], widths: Mapping[str, float | Profile]) -> list[XY]:
    """The cut line round an outline of polylines (name, kind, points; each ends where the next starts), mitred."""
    beside = [Beside.of(name, kind, line, _profile(widths[name])) for name, kind, line in lines]
    return outer(_ring_of(beside, _joined(beside, {}, {})))[0]


def _profile(width: float | Profile) -> Profile:
    return width if isinstance(width, Profile) else Profile.even(width)


def _joined(beside: Sequence[Beside], order: Mapping[str, int], asked: Mapping[str, str]) -> list[Corner]:
    """The corner at the start of each edge."""
    return [
        corner_between(a, b, order, *_asked_for(a.name, b.name, asked))
        for a, b in zip([beside[-1], *beside[:-1]], beside, strict=True)
    ]


def _ring_of(beside: Sequence[Beside], joined: Sequence[Corner]) -> list[XY]:
    """Corner, edge, corner, edge: the raw cut line, no point twice where they meet."""
    ring: list[XY] = []
    for i, run in enumerate(beside):
        start, end = joined[i], joined[(i + 1) % len(joined)]
        for p in start.points:
            if not ring or distance(ring[-1], p) > _SAME:
                ring.append(p)
        points = run.between(start.skip_after, end.skip_before)
        ring.extend(points[1:] if ring and points and distance(ring[-1], points[0]) <= _SAME else points)
    while len(ring) > 1 and distance(ring[0], ring[-1]) <= _SAME:
        ring.pop()
    return ring


def _asked_for(before: str, after: str, asked: Mapping[str, str]) -> tuple[str, str]:
    """The finish asked for at the corner of two edges, and the first named of them."""
    for key in (f"{before}/{after}", f"{after}/{before}"):
        if key in asked:
            return asked[key], key.split("/")[0] if asked[key] in ("square", "turned-back") else ""
    return "", ""
