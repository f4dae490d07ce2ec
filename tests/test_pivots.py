"""Darts moved, parted, gathered; pieces slashed, spread, lapped, flared, widened: laws, tried on many pieces."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable

import pytest
import shapely
import shapely.affinity
from hypothesis import given, settings
from hypothesis import strategies as st

from blocks import (
    XY,
    any_block,
    edge_at,
    is_closed,
    sewn_tape,
    walked,
    wedge_deg,
)
from oaktag.draft.pivots import Opening, pivot
from oaktag.errors import GeometryError
from oaktag.model.piece import Dart, EdgeKind, Piece, Take

TRIED: Counter[str] = Counter()


def place_on(piece: Piece, share: float, without: str = "") -> tuple[str, float]:
    """A place that far round the outline, off its fold, and 1 mm and more from a corner."""
    edges = [e for e in piece.edges if e.kind is not EdgeKind.FOLD and e.name != without]
    far = share * sum(e.length() for e in edges)
    for edge in edges:
        if far <= edge.length():
            return edge.name, min(max(far, 1.0), edge.length() - 1.0)
        far -= edge.length()
    return edges[-1].name, edges[-1].length() / 2


def tried(law: str, move: Callable[[], Piece]) -> Piece | None:
    """What the move makes, or nothing if it is refused, by name of the piece; both are counted."""
    try:
        made = move()
    except GeometryError as refused:
        assert str(refused).startswith(("front", "back", "bodice", "skirt")), refused
        TRIED[f"{law}: refused"] += 1
        return None
    TRIED[law] += 1
    return made


# ---------------------------------------------------------------- darts


def test_a_moved_dart_keeps_its_angle_and_every_sewn_length() -> None:
    """Laws 1 and 4 of moving darts (garments.md 2.2: all darts to one point, the angles add up; lengths unchanged)."""

    @settings(max_examples=120)
    @given(any_block(), st.lists(st.floats(0.02, 0.98), min_size=1, max_size=3), st.floats(0.3, 1.0), st.booleans())
    def law(piece: Piece, places: list[float], given_away: float, start: bool) -> None:
        dart = next(d for d in piece.darts if d.is_open)
        pressed = "start" if start else "end"
        openings = [
            Opening(*place_on(piece, share), share=given_away / len(places), pressed=pressed, name=f"new {i}")
            for i, share in enumerate(places)
        ]
        made = tried("pivot", lambda: pivot(piece, dart.name, *openings))
        if made is None:
            return
        assert is_closed(made)
        assert [edge.name for edge in made.edges] == [edge.name for edge in piece.edges]
        for edge in piece.edges:
            assert sewn_tape(made.edge(edge.name)) == pytest.approx(sewn_tape(edge), abs=0.02), edge.name
        angles = {d.name: wedge_deg(d) for d in made.darts if d.is_open}
        others = sum(wedge_deg(d) for d in piece.darts if d.is_open)
        assert sum(angles.values()) == pytest.approx(others, abs=0.01)
        for opening in openings:
            assert angles[opening.name] == pytest.approx(opening.share * wedge_deg(dart), abs=0.01)
        for moved in made.darts:
            if moved.is_open and moved.name not in {d.name for d in piece.darts if d is not dart}:
                one, other = moved.legs()[0]
                assert one == pytest.approx(other, abs=0.5)
        fold = next(e for e in piece.edges if e.kind is EdgeKind.FOLD) if piece.on_fold else None
        assert fold is None or made.edge(fold.name).curves == fold.curves, "the fold stays where it is"

    law()
    assert TRIED["pivot"] >= 60, TRIED


def test_pivoting_is_slashing_and_closing() -> None:
    """Law 2: the same outline within 0.1 mm. By hand: the piece cut at the dart's legs and at the new place, one part
    turned about the point until the legs meet."""

    @settings(max_examples=100)
    @given(any_block(), st.floats(0.02, 0.98))
    def law(piece: Piece, share: float) -> None:
        dart = next(d for d in piece.darts if d.is_open)
        name, far = place_on(piece, share)
        made = tried("slash and close", lambda: pivot(piece, dart.name, Opening(name, far, name="new")))
        if made is None:
            return
        by_hand = slashed_and_closed(piece, dart, name, far)
        new = next(d for d in made.darts if d.name == "new")
        legs = new.points[::2]
        outline = [
            p
            for edge in made.edges
            for far, p in walked(edge)[:-1]
            if min(math.dist(p, leg) for leg in legs) < 1e-6
            or not any(is_new(take, new) and take.start - 0.01 < far < take.end for take in edge.takes)
        ]
        at = next(i for i, p in enumerate(outline) if math.dist(p, legs[0]) < 1e-6)
        outline.insert(at + 1, new.points[1])
        one, other = (shapely.segmentize(shapely.LinearRing(line), 1.0) for line in (outline, by_hand))
        assert one.hausdorff_distance(other) < 0.1, (piece.name, dart.name, name, far)

    law()
    assert TRIED["slash and close"] >= 50, TRIED


def is_new(take: Take, dart: Dart) -> bool:
    return take.tip is not None and math.dist(take.tip, dart.points[1]) < 1e-6


def slashed_and_closed(piece: Piece, dart: Dart, name: str, far: float) -> list[XY]:
    """The ring of the piece with the dart's wedge gone, and a slit where it is opened instead."""
    first, tip, second = dart.points
    home = next(e for e in piece.edges for t in e.takes if math.dist(edge_at(e, t.start), first) < 0.1)
    mouth = next(t for t in home.takes if math.dist(edge_at(home, t.start), first) < 0.1)
    start = [edge.name for edge in piece.edges].index(home.name)
    order = [*piece.edges[start:], *piece.edges[:start], home]
    rows: list[tuple[str, XY]] = [(home.name, second)]
    for i, edge in enumerate(order):
        low = mouth.end if i == 0 else -1.0
        high = mouth.start if i == len(order) - 1 else math.inf
        rows += [(edge.name, p) for f, p in walked(edge) if low + 0.02 < f < high - 0.02]
    rows.append((home.name, first))
    place = edge_at(piece.edge(name), far)

    def detour(i: int) -> float:
        (a, p), (b, q) = rows[i : i + 2]
        return math.dist(p, place) + math.dist(place, q) - math.dist(p, q) if name in (a, b) else math.inf

    gap = min(range(len(rows) - 1), key=detour)
    turning, staying = [*(p for _, p in rows[: gap + 1]), place], [place, *(p for _, p in rows[gap + 1 :])]
    angle = math.degrees(math.atan2(first.y - tip.y, first.x - tip.x) - math.atan2(second.y - tip.y, second.x - tip.x))
    fold = next((e.name for e in piece.edges if e.kind is EdgeKind.FOLD), None)
    held = [p for edge in piece.edges if edge.name == fold for p in (edge.start, edge.end)]
    if not held:
        held = [piece.grain[0], piece.grain[1]]
        region = shapely.Polygon([tip, *turning])
        first_turns = region.intersection(shapely.LineString(held)).length < math.dist(*held) / 2
    else:
        first_turns = min(math.dist(p, q) for p in turning[:-1] for q in held) > 1e-6
    swing = lambda line, by: list(shapely.affinity.rotate(shapely.LineString(line), by, origin=tuple(tip)).coords)  # noqa: E731
    one, other = (swing(turning, angle), staying) if first_turns else (turning, swing(staying, -angle))
    return [*one, tuple(tip), *other]
