"""The gored skirt: sums at waist, hip and hem, the old books' divisions by hand, seams that meet without a dent."""

from __future__ import annotations

from math import radians, tan

import pytest

from oaktag.body.measurements import Measurements
from oaktag.draft.options import defaults
from oaktag.errors import DraftError
from oaktag.garments.gored_skirt import gored_skirt
from oaktag.geometry.point import turn_deg
from oaktag.model.draft import Draft
from oaktag.model.piece import Piece
from wardrobe import women

IN = 25.4
BODY = Measurements({"waist_girth": 28 * IN, "hip_girth": 40 * IN, "waist_to_hip": 8 * IN})


def skirt(body: Measurements, **style: float | str) -> Draft:
    return gored_skirt.drafted(body, {**defaults(gored_skirt.options, "in"), **style}, "in")


def gores(draft: Draft) -> list[Piece]:
    return [piece for piece in draft.pieces if piece.levels]


def widths(draft: Draft, point: str) -> dict[str, float]:
    """The width of each gore, or of half of one on the fold, in."""
    found = {}
    for piece in gores(draft):
        x = piece.points[point].x / IN
        found[piece.name] = x if piece.on_fold else 2 * x
    return found


@pytest.mark.parametrize("many", range(4, 13))
@pytest.mark.parametrize("at", ["back", "side"])
def test_equal_gores_add_up(many: int, at: str) -> None:
    """So many gores are cut, and waist, hip and hem close (geometry)."""
    draft = skirt(BODY, gores=str(many), closes_at=at, hem_wide=64 * IN)
    assert sum(piece.quantity for piece in gores(draft)) == many
    for point, all_round in (("hip_side", 42.0), ("hem_side", 64.0)):
        assert sum(w * 2 for w in widths(draft, point).values()) == pytest.approx(all_round, abs=0.01)
    waist = sum(piece.to_cut.around * piece.edge("waist").sewn_length() for piece in gores(draft))
    assert waist == pytest.approx(28.5 * IN, abs=0.1)


@pytest.mark.parametrize(("many", "rows"), [
    # gw-023 to gw-029: hip 40, half bottom 80 in, of Baldt's Clothing for Women (1916), in the same proportions
    ("6", {"front": (3.333, 6.667), "side_1": (6.667, 13.333), "side_2": (6.667, 13.333), "back": (3.333, 6.667)}),
    ("7", {"front": (3.333, 5.0), "back": (4.333, 9.667)}),
    ("4", {"front": (3.333, 6.667), "side_1": (13.333, 26.667), "back": (3.333, 6.667)}),
])  # fmt: skip
def test_division_by_the_hip(many: str, rows: dict[str, tuple[float, float]]) -> None:
    at = "back" if many == "7" else "side"
    half = 40.0  # gw-026: (half bottom 40 - 4 x hip / 12) / 2 = 13.333; gw-029: (40 - 5) / 3 - 2 = 9.667
    draft = skirt(BODY, gores=many, division="by the hip", closes_at=at, ease_hip=0.0, hem_wide=2 * half * IN)
    hip, hem = widths(draft, "hip_side"), widths(draft, "hem_side")
    for name, (at_hip, at_hem) in rows.items():
        assert hip[name] == pytest.approx(at_hip, abs=0.005)
        assert hem[name] == pytest.approx(at_hem, abs=0.005)
    assert sum(hip.values()) == pytest.approx(20, abs=0.005)
    assert sum(hem.values()) == pytest.approx(half, abs=0.005)


def test_nine_gores_of_the_text_book() -> None:
    """gw-030 to gw-035: waist 24, hip 39 in (Text-Book on Domestic Art, nine-gored skirt)."""
    body = Measurements({"waist_girth": 24 * IN, "hip_girth": 39 * IN, "waist_to_hip": 8 * IN})
    draft = skirt(body, gores="9", division="by the hip", closes_at="back", ease_waist=0.0, ease_hip=0.0)
    waist = {p.name: p.edge("waist").sewn_length() / IN for p in gores(draft)}
    hip = widths(draft, "hip_side")
    assert waist == pytest.approx(
        {"front": 1.5, "side_1": 8 / 3, "side_2": 8 / 3, "side_3": 8 / 3, "back": 2.5}, abs=0.01
    )
    assert hip == pytest.approx({"front": 2.25, "side_1": 4, "side_2": 4, "side_3": 4, "back": 5.25}, abs=0.005)
    slim = Measurements({"waist_girth": 30 * IN, "hip_girth": 39 * IN, "waist_to_hip": 8 * IN})
    equal = skirt(slim, gores="9", division="by the hip", closes_at="back", ease_waist=0.0, ease_hip=0.0)
    assert any("so they are equal" in note for note in equal.notes)
    assert widths(equal, "hip_side") == pytest.approx(
        {"front": 39 / 18, **dict.fromkeys(("side_1", "side_2", "side_3", "back"), 39 / 9)}
    )


@pytest.mark.parametrize(("many", "least"), [("6", 40 * 4 / 3), ("7", 3 * 40 / 4 + 18)])
def test_a_hem_too_narrow_for_the_division_is_refused(many: str, least: float) -> None:
    """Six gores need half a hem of hip / 1.5, seven of 3 hip / 8 + 9 in (worked rules proved on a survey)."""
    at = {"division": "by the hip", "gores": many, "closes_at": "back" if many == "7" else "side", "ease_hip": 0.0}
    skirt(BODY, **at, hem_wide=(least + 0.1) * IN)
    with pytest.raises(DraftError, match="narrower at the hem"):
        skirt(BODY, **at, hem_wide=(least - 0.5) * IN)


def test_hem_and_waist_run_on_square_over_every_seam() -> None:
    """The hem is square to both edges, its middle half hem x tan(half the flare) lower: half hem 18.5, 8.53 degrees,
    40 long give 1.38 (worked rules proved; garments handbook, gored skirts)."""
    assert 18.5 * tan(radians(8.53 / 2)) == pytest.approx(1.38, abs=0.005)
    for style in ({}, {"gores": "7", "division": "by the hip", "closes_at": "back"}, {"flare_low": 6 * IN}):
        draft = skirt(BODY, **style)
        for piece in gores(draft):
            for a, b in zip(piece.edges, (*piece.edges[1:], piece.edges[0]), strict=True):
                if {a.name, b.name} & {"hem", "waist"} and "fold" not in (a.kind.value, b.kind.value):
                    corner = turn_deg(a.curves[-1].way(1.0), b.curves[0].way(0.0))
                    assert corner == pytest.approx(90, abs=0.6), piece.name
        side = next(p for p in gores(draft) if p.name == "side_1")
        drop = side.points["hem_side"].y - side.points["hem_centre"].y
        lean = radians(turn_deg((0, 1), side.edge("seam_2").curves[0].way(0.0)))
        assert drop == pytest.approx(side.points["hem_side"].x * tan(lean / 2), abs=0.1)


@pytest.mark.parametrize("style", [
    {"gores": "8", "closes_at": "back"},
    {"gores": "6"},
    {"gores": "7", "division": "by the hip", "closes_at": "back", "hem_wide": 2000.0},
])  # fmt: skip
def test_on_the_women_of_the_survey(style: dict[str, float | str]) -> None:
    """Seams are alike on both sides, the waist closes (300 women of the survey, each fifth)."""
    drafted = 0
    for name, body in list(women())[::5]:
        try:
            draft = skirt(body, **style)
        except DraftError as error:
            assert "ease_" in str(error) or "hem_wide" in str(error), (name, str(error))
            continue
        drafted += 1
        by_name = {piece.name: piece for piece in draft.pieces}
        for seam in draft.seams:
            if seam.name.count(" to ") and len(seam.a) == len(seam.b) == 1:
                a, b = (by_name[r.piece].edge(r.edge).length() for r in (seam.a[0], seam.b[0]))
                assert a == pytest.approx(b, abs=0.5), (name, seam.name)
        waist = sum(p.to_cut.around * p.edge("waist").sewn_length() for p in gores(draft))
        assert waist == pytest.approx(body["waist_girth"] + 0.5 * IN, abs=0.1)
    assert drafted >= 0.9 * len(list(women())[::5])
