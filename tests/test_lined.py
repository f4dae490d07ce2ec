"""Linings made from finished pieces: as wide as these at every level, shorter, cut away beyond their facings."""

from __future__ import annotations

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from blocks import BODY, bodices, is_closed, ring, sewn_tape, shoelace
from oaktag.draft.facings import facing
from oaktag.draft.lined import lining, pleated
from oaktag.errors import GeometryError
from oaktag.model.piece import EdgeKind, Piece
from test_strips import skirts
from wardrobe import dress, tape


def halves(**style: str) -> dict[str, Piece]:
    return {piece.name: piece for piece in dress(BODY, sleeve="none", **style).pieces}


def polygon(piece: Piece) -> shapely.Polygon:
    return shapely.Polygon(ring(piece))


@given(bodices(), st.floats(5.0, 40.0))
@settings(max_examples=40)
def test_a_lining_is_the_piece_without_what_its_hem_is_shorter(piece: Piece, short: float) -> None:
    """Here the waist is turned up: a strip of it is left off, as wide as was asked, and nothing else."""
    if piece.edge("waist").takes:
        return
    made = lining(piece, "lining", short=short, hem="waist", sewn=("bust",))
    assert is_closed(made) and shoelace(ring(made)) > 0
    assert (made.material, made.worn, made.name) == ("lining", "", "lining")
    strip = polygon(piece).difference(polygon(made).buffer(0.01))
    assert strip.area == pytest.approx(piece.edge("waist").length() * short, rel=0.2)
    assert polygon(piece).buffer(0.02).contains(polygon(made))
    new = made.edge("waist")
    for p in (new.start, new.end):
        assert p.y - piece.edge("waist").start.y == pytest.approx(short, abs=0.01)
    assert made.edge("side").sewn_length() < piece.edge("side").sewn_length()
    for name in ("armhole", "shoulder", "neckline"):
        assert made.edge(name).curves == piece.edge(name).curves
        assert [n for n in made.notches if n.edge == name] == [n for n in piece.notches if n.edge == name]


@given(bodices(), st.floats(15.0, 45.0))
@settings(max_examples=40)
def test_facing_and_lining_are_the_piece(piece: Piece, wide: float) -> None:
    """Laid side by side they cover it, without a gap and without an overlap; sewn edge to sewn edge, by a tape."""
    faced = facing(piece, ["neckline"], "facing", wide)
    made = lining(piece, "lining", facings={"top_edge": faced})
    assert is_closed(made)
    assert polygon(faced).union(polygon(made)).symmetric_difference(polygon(piece)).area < 1.0
    assert polygon(faced).intersection(polygon(made)).area < 1.0
    assert made.edge("top_edge").length() == pytest.approx(faced.edge("free_edge").length(), abs=1e-3)
    assert made.edge("side").sewn_length() == pytest.approx(piece.edge("side").sewn_length(), abs=0.05)


@pytest.mark.parametrize("wide", [30.0, 55.0])
def test_a_skirt_lining_below_a_waist_facing_has_its_darts_in_pleats(wide: float) -> None:
    """The facing was drawn with the darts closed: the lining, its pleats laid, fits it, and is the skirt below."""
    for skirt in skirts():
        faced = facing(skirt, ["waist"], "facing", wide)
        made = lining(skirt, "lining", short=25.0, facings={"top_edge": faced})
        assert is_closed(made)
        edge = made.edge("top_edge")
        assert sewn_tape(edge) == pytest.approx(tape_of(faced, "free_edge"), abs=0.05)
        assert [take.kind for take in edge.takes] == ["pleat"] * len(skirt.edge("waist").takes)
        assert made.darts == ()
        assert made.edge("hem").length() == pytest.approx(skirt.edge("hem").length(), rel=0.02)
        level = skirt.points["hip_side"].y
        for piece in (skirt, made):
            assert width_at(piece, level) == pytest.approx(skirt.points["hip_side"].x, abs=0.02)


def width_at(piece: Piece, y: float) -> float:
    low, _, high, _ = polygon(piece).intersection(shapely.LineString([(-999, y), (999, y)])).bounds
    return high - max(low, 0.0)


def tape_of(piece: Piece, edge: str) -> float:
    return tape([p for curve in piece.edge(edge).curves for p in (curve.start, *curve.flat(0.001))])


def test_without_a_facing_the_waist_is_sewn_as_long_as_the_skirts() -> None:
    for skirt in skirts():
        made = lining(skirt, "lining", short=25.0)
        assert made.edge("waist").sewn_length() == pytest.approx(skirt.edge("waist").sewn_length(), abs=0.05)
        assert {take.kind for take in made.edge("waist").takes} == {"pleat"}
        kept = lining(skirt, "lining", sewn=[dart.name for dart in skirt.darts])
        assert kept.darts == skirt.darts


@pytest.mark.parametrize("opening", ["vent", "slit", "none"])
def test_a_lining_is_slit_where_the_back_opens(opening: str) -> None:
    """Half an inch above the opening, straight down the centre back line, with no extension."""
    back = halves(opening=opening, hem="straight")["back"]
    made = lining(back, "lining_back", short=25.0, slit="centre_back", above=12.7)
    assert is_closed(made)
    assert polygon(made).bounds[0] == pytest.approx(0.0, abs=1e-6)
    if opening == "none":
        assert "slit" not in {edge.name for edge in made.edges}
        return
    slit, top = made.edge("slit"), back.points[f"{opening}_top"]
    assert slit.kind is EdgeKind.OPENING
    assert slit.start.y == pytest.approx(top.y + 12.7)
    assert slit.end.y == pytest.approx(back.points["hem_centre"].y + 25.0)


def test_a_pleat_at_the_centre_back_is_laid_at_the_top() -> None:
    pieces = halves(opening="none", hem="straight", zip="side", neckline="boat")
    faced = facing(pieces["back"], ["neckline"], "facing_back", 60.0)
    back = lining(pieces["back"], "lining", facings={"top_edge": faced})
    made = pleated(back, "centre_back", 25.0, tack=80.0)
    assert is_closed(made)
    assert made.edge("top_edge").sewn_length() == pytest.approx(back.edge("top_edge").length(), abs=1e-6)
    assert polygon(made).area == pytest.approx(polygon(back).area + 25.0 * back.edge("centre_back").length(), abs=0.5)
    seam = halves(opening="vent", hem="straight", zip="side", neckline="boat")["back"]
    tapered = pleated(lining(seam, "lining", slit="centre_back"), "centre_back", 25.0, full=200.0, gone=400.0)
    assert is_closed(tapered)
    added = polygon(tapered).area - polygon(seam).intersection(shapely.box(0, -9999, 9999, 9999)).area
    assert added == pytest.approx(25.0 * 300.0, abs=1.0)


def test_a_facing_of_another_piece_is_refused() -> None:
    front, back = skirts()
    with pytest.raises(GeometryError, match="facing was drawn to another piece"):
        lining(back, "lining", facings={"top_edge": facing(front, ["waist"], "facing", 40.0)})
    long = facing(front, ["waist"], "facing", 170.0)
    with pytest.raises(GeometryError, match="reaches beyond a dart's point"):
        lining(front, "lining", facings={"top_edge": long})
