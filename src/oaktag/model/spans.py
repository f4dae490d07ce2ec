"""Where the stretches of an edge come from, so that an edge that was cut up still goes by the name that it had."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise
from typing import NamedTuple

from ..errors import GeometryError
from ..values import replace
from .piece import Edge, Origin, Piece, Span
from .ref import Ref

_NEAR = 1e-6
"""Places this near to each other along an edge, mm, are one."""


def told(piece: str, edge: Edge) -> tuple[Span, ...]:
    """The spans of an edge of that piece, itself among the edges that it has been part of."""
    own = Ref(piece, edge.name)
    if not edge.spans:
        long = edge.length()
        return (Span(long, (Origin(own, 0.0, long),)),)
    if all(any(origin.edge == own for origin in span.of) for span in edge.spans):
        return edge.spans
    found, at = [], 0.0
    for span in edge.spans:
        older = tuple(origin for origin in span.of if origin.edge != own)
        found.append(Span(span.long, (*older, Origin(own, at, at + span.long))))
        at += span.long
    return tuple(found)


def part(spans: Iterable[Span], start: float, end: float) -> tuple[Span, ...]:
    """The spans of a stretch, mm along the edge; every origin loses its share."""
    found, at = [], 0.0
    for span in spans:
        low, high = max(start, at), min(end, at + span.long)
        if high - low > _NEAR:
            head, tail = (low - at) / span.long, (high - at) / span.long
            found.append(Span(high - low, tuple(_part(origin, head, tail) for origin in span.of)))
        at += span.long
    return tuple(found)


def _part(origin: Origin, head: float, tail: float) -> Origin:
    long = origin.end - origin.start
    if origin.turned:
        return replace(origin, start=origin.end - tail * long, end=origin.end - head * long)
    return replace(origin, start=origin.start + head * long, end=origin.start + tail * long)


def backwards(spans: Sequence[Span]) -> tuple[Span, ...]:
    """The spans of the same edge walked the other way."""
    return tuple(
        Span(span.long, tuple(replace(origin, turned=not origin.turned) for origin in span.of))
        for span in reversed(spans)
    )


def put_in(before: Sequence[Span], after: Sequence[Span], long: float) -> tuple[Span, ...]:
    """The span of cloth that is put in between two runs, one of which may be empty: there it has no length."""
    beside, at_end = (before[-1], True) if before else (after[0], False)
    places = [origin.end if at_end != origin.turned else origin.start for origin in beside.of]
    return (Span(long, tuple(replace(o, start=p, end=p) for o, p in zip(beside.of, places, strict=True))),)


def end_to_end(*runs: Sequence[Span]) -> tuple[Span, ...]:
    """Spans one after another; what was cut asunder and has come together again is one."""
    found: list[Span] = []
    for span in (span for run in runs for span in run):
        if found and (whole := _one(found[-1], span)):
            found[-1] = whole
        else:
            found.append(span)
    return tuple(found)


def _one(a: Span, b: Span) -> Span | None:
    if len(a.of) != len(b.of):
        return None
    origins = []
    for p, q in zip(a.of, b.of, strict=True):
        first, last = (q, p) if p.turned else (p, q)
        put = [origin.end - origin.start < _NEAR for origin in (p, q)]
        if p.edge != q.edge or p.turned != q.turned or put[0] != put[1] or abs(first.end - last.start) > 1e-3:
            return None
        origins.append(replace(p, start=first.start, end=last.end))
    return Span(a.long + b.long, tuple(origins))


class Stretch(NamedTuple):
    """Part of an edge that is, from `start` to `end` mm along it; `turned`: the name that was asked for runs on from
    its end to its start."""

    edge: Ref
    start: float
    end: float
    turned: bool = False


def resolve(pieces: Iterable[Piece], ref: Ref) -> tuple[Stretch, ...]:
    """What an edge's name stands for among these pieces, in its own order: the edge of that name if there is one, else
    all that came of it, whichever pieces it lies in now.

    Raises GeometryError for a name that nothing came of.
    """
    found: list[tuple[float, float, Stretch]] = []
    for piece in pieces:
        for edge in piece.edges:
            if (piece.name, edge.name) == ref[:2]:
                return (Stretch(ref, 0.0, edge.length()),)
            at = 0.0
            for span in edge.spans:
                found += [
                    (o.start, o.end, Stretch(Ref(piece.name, edge.name), at, at + span.long, o.turned))
                    for o in span.of
                    if o.edge == ref.whole
                ]
                at += span.long
    if not found:
        raise GeometryError(f"there is no edge {ref} among the pieces, and none that came of it")
    ordered = [stretch for *_, stretch in sorted(found, key=lambda row: row[:2])]
    kept = ordered[:1]
    for before, after in pairwise(ordered):
        first, last = (after, before) if after.turned else (before, after)
        if before.edge == after.edge and before.turned == after.turned and abs(first.end - last.start) < _NEAR:
            kept[-1] = Stretch(after.edge, min(kept[-1].start, after.start), max(kept[-1].end, after.end), after.turned)
        else:
            kept.append(after)
    return tuple(kept)
