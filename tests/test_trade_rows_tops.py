"""Worked numbers of the trade through shirts, collars, sleeves and knits: fixtures/trade/worked_garments.csv, by id.

Each number is measured on pieces as they were drafted for what the row is worked from.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import pytest

from by_the_tape import agrees, drafted, number, piece, worked
from oaktag.body.charts import shipped
from oaktag.body.measurements import Measurements
from oaktag.draft.board import Board
from oaktag.draft.options import defaults
from oaktag.draft.pivots import flare
from oaktag.errors import DraftError
from oaktag.garments.parts.collars import collar
from oaktag.garments.parts.sleeves import sleeve
from oaktag.garments.shirt import shirt
from oaktag.garments.t_shirt import t_shirt
from oaktag.geometry.path import solve
from oaktag.geometry.point import XY
from oaktag.model.draft import Draft
from oaktag.model.length import cm
from oaktag.units import Unit
from test_collars import _necks
from test_sleeves import chords, halves
from wardrobe import finished

IN = 25.4
CHART = dict(shipped("women").body("14"))


# ---------------------------------------------------------------- a man's shirt, from his chest


def mans(chest: float) -> Draft:
    """Of a man of whom neck, back and armhole were not measured; sleeve and hem as size 14 has them."""
    known = {name: CHART[name] for name in ("shoulder_length", "arm_length", "upper_arm_girth", "wrist_girth")}
    body = Measurements({**known, "bust_girth": 10 * chest, "upper_arm_girth": 330.0})
    return drafted(shirt, body, worn_by="men", back_pleat=0)


MANS: dict[str, Callable[[Draft], float]] = {
    "gw-173": lambda d: 2 * (piece(d, "back").points["mid_armhole"].x - 20) / 10,  # the back line is half of it + 2
    "gw-174": lambda d: 5 * (piece(d, "yoke").points["neck_side"].x + 2) / 10,  # half the neck is N/5 - 0.2
    "gw-175": lambda d: (-piece(d, "front").points["underarm"].y - 20) / 10,  # the nape lies 2 down
}


@pytest.mark.parametrize("name", sorted(MANS))
def test_what_of_a_man_is_worked_from_his_chest(name: str) -> None:
    agrees(name, MANS[name](mans(number(worked()[name], "chest"))))


# ---------------------------------------------------------------- collars


def test_a_one_piece_collar_is_as_long_as_half_the_neck() -> None:
    row = worked()["gw-093"]
    on = Board("trial", Measurements({}), {}, "cm")
    front, back = _necks(on, cm(number(row, "neck") / 2))
    made = collar(on, "one-piece", front, back, wide=cm(7), point=cm(8)).pieces[0]
    agrees("gw-093", chords(made.edge("neck")) / 10)


def test_a_flat_collar_is_cut_an_inch_wider_than_it_is_sewn() -> None:
    row = worked()["gw-097"]
    half = 0.5 * IN
    draft = drafted(shirt, Measurements(CHART), "in", collar_kind="flat", collar_wide=3)
    made = finished(draft, "in", {"collar.neck": half, "collar.collar_edge": half}).piece("collar").cut
    cut, sewn = (on_the_fold(line) for line in (made.cut_line, made.stitch_line))
    assert cut / IN == pytest.approx(number(row, "cut"), abs=0.02)
    agrees("gw-097", sewn / IN)


def on_the_fold(ring: Sequence[XY]) -> float:
    """How long a closed line is on x = 0, mm."""
    ys = [y for x, y in ring if abs(x) < 0.01]
    return max(ys) - min(ys)


# ---------------------------------------------------------------- fuller sleeves


def test_slashes_hinged_at_the_cap_add_their_spreads_at_the_hem() -> None:
    """The move that a bell is made by, on a sleeve of that hem; its hem is then drawn anew as a curve, 0.5 mm less."""
    row = worked()["gw-112"]
    many, each = number(row, "slashes"), number(row, "spread")
    front, back = halves("14")
    on = Board("test", shipped("women").body("14"), {}, "cm")
    plain = sleeve(on, "plain", front, back, hem=cm(number(row, "hem"))).pieces[0]
    fuller = flare(plain, "hem", 10 * many * each, to="cap", slashes=int(many))
    agrees("gw-112", chords(fuller.edge("hem")) / 10)
    assert chords(fuller.edge("cap")) == pytest.approx(chords(plain.edge("cap")), abs=0.01)


def test_a_puff_is_gathered_in_the_ratio_that_it_was_spread_by() -> None:
    """Between its notches, where the gathers are: 20 cm of cap and 12 put in, on 19 of armhole."""
    row = worked()["gw-113"]
    cap, more, seam = (number(row, name) for name in ("cap_part", "added", "seam_part"))
    front, back = halves("14")
    on = Board("test", shipped("women").body("14"), {}, "cm")
    arm = sleeve(on, "puff", front, back, reach="short", fullness=(cap + more) / seam).pieces[0]
    low, high = (next(n.at for n in arm.notches if n.edge == "cap" and n.name == word) for word in ("front", "back"))
    whole = chords(arm.edge("cap"))
    hole = chords(front.edge("armhole")) + chords(back.edge("armhole")) - low - (whole - high)
    agrees("gw-113", (high - low) / hole)


# ---------------------------------------------------------------- knits


def banded(line: float, ratio: float | None, unit: Unit = "cm", band_stretch: float = 2.0) -> Draft:
    """A T-shirt whose neckline measures so much all round, mm, for whom its neck is wide enough; nobody's head is in
    the way."""

    def of(base: float) -> Draft:
        body = Measurements({**CHART, "neck_base_girth": base, "head_girth": 300.0, "shoulder_length": 180.0})
        told = {} if ratio is None else {"band_ratio": ratio}
        return drafted(t_shirt, body, unit, band_stretch=band_stretch, stretch=1.0, recovery=1.0,
                       band_wide=1, **told)  # fmt: skip

    return of(solve(lambda base: neckline(of(base)) - line, 150.0, 700.0, near=1e-4))


def neckline(draft: Draft) -> float:
    return 2 * sum(chords(piece(draft, half).edge("neck")) for half in ("front", "back"))


@pytest.mark.parametrize(("name", "stretch", "unit"), [
    ("gw-177", 0.5, IN),  # in general
    ("gw-178", 0.65, 10.0),  # rib, 60 to 70 %
    ("gw-181", 0.35, 10.0),  # jersey, 30 to 40 %
])  # fmt: skip
def test_t_shirt_bands_against_published_ratios(name: str, stretch: float, unit: float) -> None:
    """What the T-shirt works out for a narrow band of cloth that stretches so; the fourth, which its page rounds, is
    the next."""
    draft = banded(number(worked()[name], "neckline") * unit, None, band_stretch=stretch)
    agrees(name, 2 * chords(piece(draft, "neckband").edge("neck")) / unit)


def test_a_t_shirt_band_of_stable_cloth_against_the_fourth() -> None:
    """A sewing teacher's band of cloth that stretches by 25 %: 10 % shorter, 66 to 59.4, which she cuts as 60."""
    draft = banded(660.0, None, band_stretch=0.25)
    long = 2 * chords(piece(draft, "neckband").edge("neck")) / 10
    assert long == pytest.approx(66 * 0.9, abs=0.02)
    assert abs(long - 60) <= 1.0


def test_a_neckband_is_cut_longer_by_its_joins() -> None:
    row = worked()["gw-179"]
    draft = banded(number(row, "neckline") * 10, 0.75)
    cut = finished(draft, "cm", {"neckband.join": 10.0}).piece("neckband").cut.cut_line
    agrees("gw-179", 2 * max(x for x, _ in cut) / 10)


def test_a_neckband_between_two_ratios() -> None:
    row = worked()["gw-181"]
    draft = banded(number(row, "neckline") * 10, (0.85 + 0.90) / 2)
    agrees("gw-181", 2 * chords(piece(draft, "neckband").edge("neck")) / 10)


@pytest.mark.parametrize("name", ["gw-186", "gw-187", "gw-188"])
def test_how_much_a_close_one_may_be_taken_in(name: str) -> None:
    """What more would go round no body is refused; how much of it wears well is claimed."""
    stretch = number(worked()[name], "stretch") / 100

    def serves(reduce: float) -> bool:
        style = {**defaults(t_shirt.options, "cm"), "fitting": "close", "reduce": reduce, "stretch": stretch}
        try:
            t_shirt.drafted(Measurements(CHART), style, "cm")
        except DraftError as error:
            return "stretched by" not in str(error).split("Change")[0] or "to pass the head" in str(error)
        return True

    low, high = 0.0, 0.6
    while high - low > 1e-5:
        middle = (low + high) / 2
        low, high = (middle, high) if serves(middle) else (low, middle)
    agrees(name, 100 * low)
