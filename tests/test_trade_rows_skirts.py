"""Worked numbers of the trade through the skirts and their waists: fixtures/trade/worked_garments.csv, by id.

Each number is measured on pieces as they were drafted for what the row is worked from, or told by a claim.
"""

from __future__ import annotations

import math
import re

import pytest

from by_the_tape import agrees, drafted, number, piece, worked
from oaktag.body.measurements import Measurements
from oaktag.claims.openings import OpenedPasses
from oaktag.draft.board import Board
from oaktag.draft.pivots import pivot
from oaktag.draft.sectors import Opening
from oaktag.garments.circle_skirt import circle_skirt
from oaktag.garments.gored_skirt import gored_skirt
from oaktag.garments.parts.part import Part, together
from oaktag.garments.parts.waist import _curved
from oaktag.garments.pleated_skirt import pleated_skirt
from oaktag.garments.straight_skirt import straight_panels, straight_skirt
from oaktag.garments.wrap_skirt import wrap_skirt
from oaktag.model.draft import Draft
from oaktag.model.length import cm, mm
from oaktag.model.piece import Cut, LineKind, NotchPlace, Piece
from oaktag.model.ref import refs
from oaktag.values import replace
from wardrobe import dense, finished, tape

IN = 25.4


def body(unit: float, **girths: float) -> Measurements:
    """Waist and hip in that unit, and how far the hip lies below the waist."""
    return Measurements({f"{name}_girth": girth * unit for name, girth in girths.items()} | {"waist_to_hip": 200.0})


# ---------------------------------------------------------------- circles


@pytest.mark.parametrize("name", ["gw-009", "we-259"])
def test_the_waist_that_a_quarter_of_it_as_a_radius_would_cut(name: str) -> None:
    """The rows have the hole that a radius of waist ÷ 4 makes by mistake: of the skirt that is drafted for a waist of
    that size a quarter of the right one is the radius."""
    row = worked()[name]
    unit = IN if row["unit"] == "in" else 10.0
    draft = drafted(circle_skirt, Measurements({"waist_girth": float(row["value"]) * unit}), circle_part="full",
                    ease_waist=0)  # fmt: skip
    radius = piece(draft, "front").points["circle_pin"].y / unit
    assert radius == pytest.approx(number(row, "waist") / 4, abs=float(row["tolerance"]) / (2 * math.pi))
    waist = sum(p.to_cut.around * tape(dense(p.edge("waist").curves, 200)) for p in draft.pieces if p.worn == "body")
    agrees(name, waist / unit)


def test_the_hem_of_a_half_circle_that_wraps() -> None:
    """A radius of 14 in, 20 in long, and the 1 1/2 in of hem that the page adds: the line that is cut."""
    row = worked()["gw-013"]
    radius, long = number(row, "radius"), number(row, "length")
    girth = (radius * math.pi - 12) * IN
    draft = drafted(wrap_skirt, Measurements({"waist_girth": girth, "hip_girth": girth + 200, "waist_to_hip": 200.0,
                                              "stature": 1680.0}), "in",
                    wrap_shape="half-circle", ease_waist=0, front_lap=12, long=long)  # fmt: skip
    back = piece(draft, "back")
    pin = back.points["circle_pin"]
    assert pin.y / IN == pytest.approx(radius, abs=0.001)
    cut = finished(draft, "in", {"hem": 1.5 * IN}).piece("back").cut.cut_line
    agrees("gw-013", max(math.dist(p, pin) for p in cut if abs(p[0]) < 100) / IN)


# ---------------------------------------------------------------- gores


def gored(waist: float, hip: float, **style: object) -> dict[str, dict[str, float]]:
    """Widths at waist, hip and hem of each gore divided by the hip, or of half of one on the fold, in."""
    draft = drafted(gored_skirt, body(IN, waist=waist, hip=hip), "in", division="by the hip", ease_hip=0, ease_waist=0,
                    **style)  # fmt: skip
    found: dict[str, dict[str, float]] = {"waist": {}, "hip": {}, "hem": {}}
    for gore in (each for each in draft.pieces if each.levels):
        times = 1 if gore.on_fold else 2
        found["waist"][gore.name] = gore.edge("waist").sewn_length() / IN
        found["hip"][gore.name] = times * gore.points["hip_side"].x / IN
        found["hem"][gore.name] = times * gore.points["hem_side"].x / IN
    return found


@pytest.mark.parametrize(("name", "gores", "level", "gore", "of"), [
    ("gw-023", 6, "hip", "front", 1), ("gw-023", 4, "hip", "back", 1), ("gw-024", 6, "hem", "front", 1),
    ("gw-024", 4, "hem", "back", 1), ("gw-025", 6, "hip", "side_1", 1), ("gw-026", 6, "hem", "side_2", 1),
    ("gw-027", 7, "hem", "front", 1), ("gw-028", 7, "hip", "back", 1), ("gw-029", 7, "hem", "back", 1),
])  # fmt: skip
def test_gores_divided_at_the_hip(name: str, gores: int, level: str, gore: str, of: int) -> None:
    row = worked()[name]
    hem = number(row, "bottom") if "bottom" in row["inputs"] else 80.0
    found = gored(28, number(row, "hip"), gores=gores, hem_wide=hem, closes_at="back" if gores == 7 else "side")
    agrees(name, found[level][gore] / of)


@pytest.mark.parametrize(("name", "level", "gore"), [
    ("gw-030", "waist", "front"), ("gw-031", "waist", "back"), ("gw-032", "waist", "side_2"),
    ("gw-033", "hip", "front"), ("gw-034", "hip", "side_1"), ("gw-035", "hip", "back"),
])  # fmt: skip
def test_nine_gores(name: str, level: str, gore: str) -> None:
    row = worked()[name]
    hip = number(row, "hip") if "hip" in row["inputs"] else 39.0
    agrees(name, gored(number(row, "waist"), hip, gores=9, closes_at="back")[level][gore])


# ---------------------------------------------------------------- a dart closed into flare


def dart_to_close(row: dict[str, str]) -> Piece:
    """A panel with a dart in its waist whose legs are as long as the row has it; its point as far above the hem."""
    intake, leg, long = (number(row, name) for name in ("intake", "dart_length", "skirt_length"))
    deep = math.sqrt(leg**2 - intake**2 / 4)
    s = Board("panel", Measurements({}), {}, "cm").sketch("panel")
    s.box(cm(30), cm(deep + long - leg), ("left", "hem", "right", "waist"))
    s.dart("waist", "waist", at=cm(15), of="top_left", intake=cm(intake), deep=cm(deep))
    return s.piece()


@pytest.mark.parametrize("name", ["gw-036", "gw-037"])
def test_a_dart_closed_opens_the_hem(name: str) -> None:
    """A slash straight down from its point, 50 or 46 cm above the hem: how much longer that is, closed."""
    plain = dart_to_close(worked()[name])
    tip, hem = plain.darts[0].points[1], plain.edge("hem")
    flared = pivot(plain, "waist", Opening("hem", tip.x - hem.start.x, "flare"))
    agrees(name, (flared.edge("hem").length() - hem.length()) / 10)


def flared_panels() -> tuple[Part, dict[str, float]]:
    """Front and back in an A-line, a dart of 2 cm, 10 long, closed in each half; hip and ease 97, waist 81."""
    on = Board("skirt", Measurements({"waist_girth": 810.0, "hip_girth": 970.0, "waist_to_hip": 125.0}), {}, "cm")
    part = straight_panels(on, cm(81), long=cm(60), opening="none", form="A-line", ease_hip=mm(0), waist_darts=1,
                           side_rise=mm(0))  # fmt: skip
    return part, {f"{s.piece} {s.label}": s.value for sheet in on._sheets for s in sheet.steps}


def test_half_of_it_is_added_at_the_side() -> None:
    row = worked()["gw-038"]
    _, steps = flared_panels()
    assert steps["front each dart takes in"] / 10 == pytest.approx(number(row, "intake"))
    agrees("gw-038", steps["front half of what the darts open at the hem"] / 10)


# ---------------------------------------------------------------- pleats


def conover() -> Draft:
    """Cloth 88 in round, waist 28, hip 40, sixteen pleats, in half 44, 14, 20 and eight."""
    return drafted(pleated_skirt, body(IN, waist=28, hip=39), "in", ease_waist=0, ease_hip=1, seen=2.5, deep=1.5,
                   pleat_kind="knife", cloth_wide=130)  # fmt: skip


@pytest.mark.parametrize(("name", "girth", "level"), [("gw-052", "half_waist", 0), ("gw-053", "half_hip", 1)])
def test_what_is_pleated_away(name: str, girth: str, level: int) -> None:
    """All that lies under, by the lines at which the pleats are laid, in one half of the wearer."""
    row, draft = worked()[name], conover()
    panel = piece(draft, "panel")
    assert draft.worked["pleats"] == "16"
    cloth = panel.to_cut.count * panel.edge("hem").length() / IN
    assert cloth / 2 == pytest.approx(number(row, "half_cloth"), abs=0.02)
    xs = sorted(line.points[level].x for line in panel.internal_lines if line.kind is LineKind.PLEAT)
    seen = panel.to_cut.count * sum(b - a for a, b in zip(xs[::2], xs[1::2], strict=True)) / IN
    assert seen / 2 == pytest.approx(number(row, girth), abs=0.02)
    agrees(name, (cloth - seen) / 2)


# ---------------------------------------------------------------- waists


def test_a_curved_band_is_a_ring_sector() -> None:
    row, on = worked()["gw-059"], Board("skirt", Measurements({}), {}, "cm")
    upper, lower, depth = (number(row, name) for name in ("upper", "lower", "depth"))
    band = _curved(on, cm(lower), cm(upper), cm(depth), mm(0))
    assert band.edge("band_seam").length() / 10 == pytest.approx(lower, abs=0.001)
    assert band.edge("upper_edge").length() / 10 == pytest.approx(upper, abs=0.001)
    ends = [band.edge(name) for name in ("under_end", "lap_end")]
    assert [end.length() / 10 for end in ends] == pytest.approx([depth, depth])
    pin = band.points["band_pin"]
    agrees("gw-060", math.dist(pin, band.points["upper_start"]) / 10)
    turned = [math.atan2(p.y - pin.y, p.x - pin.x) for p in (band.points["upper_start"], band.points["upper_12"])]
    agrees("gw-059", math.remainder(turned[1] - turned[0], math.tau))


def test_the_opening_that_the_hip_passes() -> None:
    """By the notch at which the zip ends, below the waist; the hip line lies higher."""
    row = worked()["gw-151"]
    girths = body(IN, waist=26.0, hip=26.0 + number(row, "difference"))
    draft = drafted(straight_skirt, Measurements({**girths, "waist_to_hip": 6 * IN}), "in", ease_waist=0)
    back = piece(draft, "back")
    (end,) = (notch for notch in back.notches if notch.name == "zip end")
    edge = back.edge(end.edge)
    agrees("gw-151", (end.at if edge.start.y > edge.end.y else edge.length() - end.at) / IN)


def test_elastic_an_inch_shorter_than_the_waist() -> None:
    row = worked()["gw-195"]
    draft = drafted(straight_skirt, body(IN, waist=number(row, "waist"), hip=number(row, "waist") + 8), "in",
                    waist="elastic", long=20)  # fmt: skip
    (told,) = (note for note in draft.notes if note.startswith("Elastic: cut it"))
    agrees("gw-195", float(re.search(r"cut it ([\d.]+) in", told).group(1)))  # type: ignore[union-attr]


def test_the_slit_that_lets_a_head_through() -> None:
    """A neckline of 38 cm and a slit that is long enough, a millimetre too short, or told by the claim."""
    row = worked()["we-304"]
    line, head, ease = (number(row, name) for name in ("neckline", "head", "ease"))

    def opened(down: float) -> tuple[bool, float]:
        on = Board("top", Measurements({}), {}, "cm")
        s = on.sketch("front", Cut("pair"))
        s.box(cm(line / 2), cm(50), ("centre_front", "hem", "side", "neck"))
        own = s.piece()
        own = replace(own, notches=(NotchPlace("centre_front", down * 10, 1, "slit end"),))
        claim = OpenedPasses("entry.head", "make it {enough} long.", "centre front", refs("front.neck"), "slit end",
                             cm(head), ease * 10)  # fmt: skip
        (told,) = claim.check(finished(together(on, [Part((own,))]), "cm"))
        words = re.search(r"make it ([\d.]+) cm", told.message)
        return told.passed, float(words.group(1)) if words else down

    enough = opened(float(row["value"]) - 1.0)[1]
    agrees("we-304", enough)
    assert opened(float(row["value"]))[0] and not opened(float(row["value"]) - 0.1)[0]


# ---------------------------------------------------------------- the straight skirt, with the eases of a printed block


def block_of(row: dict[str, str]) -> dict[str, float]:
    """Widths of the straight skirt with 1 cm round the waist and 3 round the hip, its back wider than its front by a
    quarter of that, cm. Its darts are its own."""
    asked = {entry.split("=")[0]: float(entry.split("=")[1]) for entry in row["inputs"].split(";")}
    hip = asked.get("hip") or asked["waist"] + 26
    waist = asked.get("waist") or asked["hip"] - 26
    on = Board("skirt", body(10.0, waist=waist, hip=hip), {}, "cm")
    panels = straight_panels(on, cm(waist + 1), long=cm(60), opening="none", ease_hip=cm(3), side_rise=cm(1),
                             forward=cm(-0.75))  # fmt: skip
    front, back = panels.pieces
    at_hip = {own.name: own.points["hip_side"].x / 10 for own in (front, back)}
    round_it = sum(2 * own.edge("waist").sewn_length() / 10 for own in (front, back))
    return {"half": sum(at_hip.values()), "back": at_hip["back"], "hip": 2 * sum(at_hip.values()), "waist": round_it}


@pytest.mark.parametrize(("name", "what"), [
    ("we-024", "half"), ("we-029", "half"), ("we-025", "back"), ("we-030", "back"), ("we-039", "hip"),
    ("we-028", "waist"), ("we-033", "waist"),
])  # fmt: skip
def test_the_widths_of_a_tailored_block(name: str, what: str) -> None:
    agrees(name, block_of(worked()[name])[what])
