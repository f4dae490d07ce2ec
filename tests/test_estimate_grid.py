"""Pieces on the grid of the estimate, against the plain way: cell by cell, level by level, place by place."""

from hypothesis import given, settings
from hypothesis import strategies as st

from oaktag.geometry.affine import Move
from oaktag.lay.cloth import Cloth
from oaktag.lay.estimate import _cells, _Grid, _turned
from oaktag.lay.pieces import LayPiece, Variant

Cells = set[tuple[int, int]]
WAYS = (Variant(False, 0.0), Variant(False, 180.0), Variant(True, 0.0), Variant(True, 180.0))


@st.composite
def pieces(draw: st.DrawFn) -> LayPiece:
    """An outline with a notch cut into it, in up to four ways, perhaps on the fold."""
    wide, high = draw(st.integers(20, 300)), draw(st.integers(20, 400))
    a, b = sorted(draw(st.tuples(st.integers(0, wide), st.integers(0, wide))))
    deep = draw(st.integers(0, high - 10))
    ring = [(0, 0), (wide, 0), (wide, high), (b, high), ((a + b) / 2, high - deep), (a, high), (0, high)]
    ring = [p for p, q in zip(ring, [*ring[1:], ring[0]], strict=True) if p != q]
    on_fold = draw(st.booleans())
    ways = draw(st.sampled_from([WAYS[:1], WAYS[:2], WAYS[::2], WAYS]))
    return LayPiece("piece", "", 1, 1, tuple((float(x), float(y)) for x, y in ring), Move(), ways, on_fold, False, ())


def plain(
    order: list[tuple[LayPiece, bool]], cloth: Cloth, across: int, most: int
) -> list[tuple[int, int, int]] | None:
    """The way, column and row of each piece: it ends lowest, then lies lowest, then farthest to its side."""
    taken: Cells = set()
    found = []
    for piece, right in order:
        places = []
        for way, cells in enumerate(_turned(_cells(piece, cloth.gap), piece.variants)):
            own = {(x, y) for y, row in enumerate(cells.rows) for x in range(cells.wide) if row >> x & 1}
            columns = range(1) if piece.on_fold else range(across - cells.wide + 1)
            if piece.on_fold and not columns:
                continue
            for y in range(most - len(cells.rows) + 1):
                free = [x for x in columns if not any((x + i, y + j) in taken for i, j in own)]
                if free:
                    x = free[-1] if right else free[0]
                    places.append((y + len(cells.rows), y, -x if right else x, way, x, own))
                    break
        if not places:
            return None
        _, y, _, way, x, own = min(places, key=lambda place: place[:4])
        taken |= {(x + i, y + j) for i, j in own}
        found.append((way, x, y))
    return found


@given(st.data(), st.floats(320, 600), st.integers(12, 40))
@settings(max_examples=60, deadline=None)
def test_each_piece_lies_where_the_plain_way_lays_it(data: st.DataObject, width: float, most: int) -> None:
    made = data.draw(st.lists(pieces(), min_size=1, max_size=4))
    cloth = Cloth(width, "open")
    grid = _Grid.of(cloth, {})
    for _ in range(3):  # later orders begin as earlier ones did, and have less room
        order = [(made[i], data.draw(st.booleans())) for i in data.draw(st.permutations(range(len(made))))]
        put = grid.put(order, most)
        expected = plain(order, cloth, grid.across, most)
        if put is None:
            assert expected is None
        else:
            ways = [piece.variants.index(variant) for piece, variant, _ in put.placed]
            boxes = [box for _, _, box in put.placed]
            assert [(w, b.left, b.bottom) for w, b in zip(ways, boxes, strict=True)] == expected
            assert put.rows == max(box.top for box in boxes)
            most = put.rows


@given(
    st.integers(60, 400),
    st.integers(60, 400),
    st.floats(0.1, 0.4),
    st.floats(0.6, 0.9),
    st.floats(0.0, 80.0),
    st.booleans(),
)
@settings(max_examples=60, deadline=None)
def test_a_cell_is_taken_where_its_middle_is_in_the_piece_or_half_the_gap_beside_it(
    wide: int, high: int, first: float, last: float, gap: float, on_fold: bool
) -> None:
    """A trapeze, its sides worked out by hand; cells of about 6 by 20 mm fill it and half the gap all round it."""
    ring = ((0.0, 0.0), (float(wide), 0.0), (last * wide, float(high)), (first * wide, float(high)))
    cells = _cells(LayPiece("piece", "", 1, 1, ring, Move(), WAYS[:1], on_fold, False, ()), gap)
    left, right = 0.0 if on_fold else -gap / 2, wide + gap / 2
    across, along = (right - left) / cells.wide, (high + gap) / len(cells.rows)
    assert cells.wide == max(1, round((right - left) / 6)) and len(cells.rows) == max(1, round((high + gap) / 20))
    for level, row in enumerate(cells.rows):
        y = (level + 0.5) * along - gap / 2
        if not 0.1 <= y <= high - 0.1:
            continue
        a, b = first * wide * y / high - gap / 2, wide - (1 - last) * wide * y / high + gap / 2
        for i in range(cells.wide):
            middle = left + (i + 0.5) * across
            if min(abs(middle - a), abs(middle - b)) > 1e-6:
                assert bool(row >> i & 1) == (a < middle < b), (level, i)
