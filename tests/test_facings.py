"""Facings over several pieces, and in one: they fit the run that they are drafted to, by rulers of this suite's own."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from blocks import BODY, bodices, is_closed, ring, sewn_tape, shoelace
from oaktag.draft.cuts import cut_through
from oaktag.draft.facings import facing
from oaktag.draft.moves import unfold
from oaktag.errors import GeometryError
from oaktag.geometry.curve import Cubic
from oaktag.geometry.point import Point, turn_deg
from oaktag.model.piece import Cut, Edge, EdgeKind, Piece
from test_strips import skirts
from wardrobe import dense, dress, tape


def shell(**style: str) -> dict[str, Piece]:
    return {piece.name: piece for piece in dress(BODY, sleeve="none", **style).pieces}


def apart(piece: Piece, run: str, free: str = "free_edge") -> list[float]:
    line = shapely.LineString(dense(piece.edge(run).curves, 200))
    return [line.distance(shapely.Point(p)) for p in dense(piece.edge(free).curves, 60)]


def test_a_waist_facing_over_front_and_back_is_one_piece_on_the_fold() -> None:
    """From the centre back seam to the fold of the front, darts closed, the back turned over."""
    front, back = skirts()
    made = facing((front, back), ["skirt_back.waist", "skirt_front.waist"], "waist_facing", 50.0)
    assert [edge.name for edge in made.edges] == ["centre_front", "free_edge", "centre_back", "waist"]
    sewn = [sewn_tape(back.edge("waist")), sewn_tape(front.edge("waist"))]
    assert tape(dense(made.edge("waist").curves)) == pytest.approx(sum(sewn), abs=0.05)
    assert made.to_cut == Cut("fold")
    assert is_closed(made) and shoelace(ring(made)) > 0
    assert apart(made, "waist") == pytest.approx([50.0] * len(apart(made, "waist")), abs=0.6)
    (seam,) = [n for n in made.notches if n.name == "seam"]
    assert seam.at == pytest.approx(sewn[0], abs=0.05)
    for a, b in pairwise(made.edge("waist").curves):
        assert abs(turn_deg(a.way(1.0), b.way(0.0))) < 3.0  # no corner where darts and side seam are closed
    one = facing(front, ["waist"], "front_facing", 50.0)
    assert tape(dense(one.edge("waist").curves)) == pytest.approx(sewn[1], abs=0.05)


def test_a_facing_follows_a_name_that_is_gone() -> None:
    """The front cut through its dart in two panels: its facing is that of the front with the dart closed."""
    front, _ = skirts()
    middle, side = cut_through(front, ("waist", ("hem", 95.0)), names=("side_front", "middle_front"))
    whole, parts = (facing(p, ["skirt_front.waist"], "facing", 45.0) for p in ((front,), (middle, side)))
    for edge in ("waist", "free_edge", "side", "centre_front"):
        assert parts.edge(edge).length() == pytest.approx(whole.edge(edge).length(), abs=0.2)


@pytest.mark.parametrize("neckline", ["round", "v", "square", "boat"])
def test_a_neck_facing_over_both_shoulders(neckline: str) -> None:
    """Front and back in one, whole, without a shoulder seam: half of it unfolded would be all round the neck."""
    pieces = shell(neckline=neckline, zip="side", opening="none", hem="a-line")
    made = facing(pieces.values(), ["back.neckline", "front.neckline"], "neck_facing", 60.0)
    halves = [facing(pieces[half], ["neckline"], half, 60.0) for half in ("back", "front")]
    for edge in ("neckline", "free_edge"):
        assert made.edge(edge).length() == pytest.approx(sum(h.edge(edge).length() for h in halves), abs=0.5)
    assert {made.edge(f"centre_{half}").kind for half in ("front", "back")} == {EdgeKind.FOLD}
    assert is_closed(unfold(halves[1]))


@given(bodices(), st.floats(20.0, 60.0), st.floats(40.0, 90.0))
@settings(max_examples=40)
def test_neck_and_armhole_in_one(piece: Piece, down: float, deep: float) -> None:
    """One curve, square to both edges, from so far down the side to so far below the neck; the side's dart closed."""
    made = facing(piece, ["armhole", "shoulder", "neckline"], "facing", (down, deep))
    assert is_closed(made)
    for name in ("armhole", "shoulder", "neckline"):
        assert made.edge(name).curves == piece.edge(name).curves
    assert tape(dense(made.edge("side").curves)) == pytest.approx(down, abs=0.01)
    assert tape(dense(made.edge("centre_front").curves)) == pytest.approx(deep, abs=0.01)
    (curve,) = made.edge("free_edge").curves
    for one, other in ((made.edge("centre_front").curves[-1].way(1.0), curve.way(0.0)),
                       (curve.way(1.0), made.edge("side").curves[0].way(0.0))):  # fmt: skip
        assert turn_deg(one, other) == pytest.approx(90.0, abs=0.5)


@given(bodices(), st.floats(1.0, 6.0), st.sampled_from(("neckline", "armhole", "waist")))
@settings(max_examples=40)
def test_the_turn_of_cloth_is_left_all_along(piece: Piece, cloth: float, name: str) -> None:
    """The sewn edge lies that far inside, the free edge where it was."""
    plain, made = facing(piece, [name], "facing", 30.0), facing(piece, [name], "facing", 30.0, inside=cloth)
    assert is_closed(made)
    was = shapely.LineString(dense(plain.edge(name).curves, 200))
    far = [was.distance(shapely.Point(p)) for p in dense(made.edge(name).curves, 40)]
    assert min(far) > cloth - 0.05 or piece.edge(name).takes
    assert made.edge("free_edge").curves == plain.edge("free_edge").curves


def buttoned() -> Piece:
    """A front with a button stand beyond the centre line."""
    a, b, c, d = Point(-20.0, -600.0), Point(250.0, -600.0), Point(250.0, -220.0), Point(190.0, -40.0)
    e, f, g = Point(75.0, 0.0), Point(0.0, -90.0), Point(-20.0, -90.0)
    armhole = Cubic.leaving_and_arriving(c, (-60.0, 0.0), d, (10.0, 90.0))
    neckline = Cubic.leaving_and_arriving(e, (-10.0, -60.0), f, (-45.0, 0.0))
    return Piece(
        "front",
        (
            Edge.straight("hem", a, b, EdgeKind.HEM),
            Edge.straight("side", b, c),
            Edge("armhole", EdgeKind.SEAM, (armhole,)),
            Edge.straight("shoulder", d, e),
            Edge("neckline", EdgeKind.SEAM, (neckline,)),
            Edge.straight("stand_neck", f, g),
            Edge.straight("front_edge", g, a, EdgeKind.OPENING),
        ),
        points={"neck_side": e},
        grain=(Point(60.0, -500.0), Point(60.0, -200.0)),
        to_cut=Cut("pair"),
    )


@pytest.mark.parametrize("rounded", [0.0, 30.0])
def test_a_front_facing_along_a_button_stand(rounded: float) -> None:
    """Wider than the stand: its inner corner lies beside the neckline itself, sharp or rounded."""
    front = buttoned()
    made = facing(front, ["neckline", "stand_neck", "front_edge"], "front_facing", 70.0, rounded=rounded)
    assert is_closed(made) and shoelace(ring(made)) > 0
    assert shapely.Polygon(ring(made)).is_valid
    assert shapely.Polygon(ring(front)).buffer(0.05).contains(shapely.Polygon(ring(made)))
    assert made.edge("hem").length() == pytest.approx(70.0)
    aslant = math.sin(math.atan2(-60.0, -10.0) - math.atan2(-40.0, 115.0))  # of the neckline to the shoulder
    assert made.edge("shoulder").length() == pytest.approx(70.0 / abs(aslant), abs=0.01)
    assert (made.edge("hem").kind, made.mirrored_pair) == (EdgeKind.HEM, True)
    run = shapely.LineString([p for name in ("neckline", "stand_neck", "front_edge")
                              for p in dense(made.edge(name).curves, 200)])  # fmt: skip
    line = made.edge("free_edge").curves
    far = [run.distance(shapely.Point(p)) for p in dense(line, 40)]
    assert min(far) > 69.9
    corners = [abs(turn_deg(a.way(1.0), b.way(0.0))) for a, b in pairwise(line)]
    assert (max(corners) > 60.0) == (rounded == 0.0)
    if rounded:
        assert max(corners) < 0.5


def test_a_free_edge_goes_on_over_a_curved_seam() -> None:
    """At the side the armhole facing is faired, so that front and back meet at equal lengths without a corner."""
    pieces = shell()
    ends = []
    for half in ("front", "back"):
        made = facing(pieces[half], ["armhole"], half, 75.0)
        ends.append(made.edge("side").length())
        side, free = made.edge("side").curves[0], made.edge("free_edge").curves[-1]
        at_armhole = turn_deg(made.edge("side").curves[-1].way(1.0), made.edge("armhole").curves[0].way(0.0))
        assert turn_deg(free.way(1.0), side.way(0.0)) == pytest.approx(180.0 - at_armhole, abs=0.25)
    assert ends[0] == pytest.approx(ends[1], abs=0.1)


def test_only_part_of_an_edge_is_refused() -> None:
    front, back = skirts()
    with pytest.raises(GeometryError, match="centre_front is shorter than the facing"):
        facing(front, ["waist"], "facing", (50.0, 5000.0))
    with pytest.raises(GeometryError, match=r"there is no edge skirt_front\.waste"):
        facing((front, back), ["skirt_front.waste"], "facing", 50.0)
