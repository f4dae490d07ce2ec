"""The shirt: the trade's rules by hand, the people of the surveys, all sizes alike, every check passed."""

from __future__ import annotations

import csv

import pytest
from shapely.geometry import Polygon

from by_the_tape import people
from oaktag.body.charts import shipped
from oaktag.body.measurements import Measurements
from oaktag.checks.run import check
from oaktag.draft.options import defaults
from oaktag.errors import DraftError
from oaktag.garments.shirt import shirt
from oaktag.geometry.path import flatten, place_at
from oaktag.model.draft import Draft
from oaktag.model.finding import Severity
from oaktag.model.piece import Piece
from wardrobe import FIXTURES, finished

CHART = shipped("women")
EVERYBODY = [(name, body) for file in ("women", "men") for name, body in people(f"{file}_1988_60.csv").items()]


def sewn(body: Measurements, **style: float | str) -> Draft:
    return shirt.drafted(body, {**defaults(shirt.options, "cm"), **style}, "cm")


def piece(draft: Draft, name: str) -> Piece:
    return next(piece for piece in draft.pieces if piece.name == name)


def test_the_rules_by_hand() -> None:
    """Worked rules for shirts: half neck N/5 − 0.2; quarter (B + 14)/4; shoulder + 1.25; cap as long as the armhole;
    cuff wrist + 5; stand as long as the neckline and a button."""
    body = CHART.body("14")
    draft = sewn(body)
    front, back, yoke, sleeve = (piece(draft, name) for name in ("front", "back", "yoke", "sleeve"))
    assert front.points["underarm"].x == pytest.approx((body["bust_girth"] + 140) / 4)
    armhole = sum(p.edge("armhole").sewn_length() for p in (front, back, yoke))
    assert sleeve.edge("cap").length() == pytest.approx(armhole, abs=0.01)
    assert piece(draft, "cuff").edge("wrist_edge").length() == pytest.approx(body["wrist_girth"] + 50)
    assert sleeve.edge("wrist_edge").sewn_length() == pytest.approx(body["wrist_girth"] + 30, abs=0.01)
    neck = yoke.edge("neck").length() + front.edge("neck").length()
    assert piece(draft, "stand").edge("neck").length() == pytest.approx(neck + 13, abs=0.01)  # a button of 13 mm
    assert piece(draft, "fall").edge("fall_edge").length() == pytest.approx(
        piece(draft, "stand").edge("fall_edge").length(), abs=0.01
    )


def test_the_neckline_is_the_neck_and_a_centimetre() -> None:
    """Neck base and 0.9 cm on 80 of 80 bodies of surveys (worked rules for shirts); here the chart's sizes."""
    for size in CHART.sizes:
        body = CHART.body(size)
        draft = sewn(body)
        neck = 2 * (piece(draft, "yoke").edge("neck").length() + piece(draft, "front").edge("neck").length())
        assert neck - body["neck_base_girth"] == pytest.approx(9.0, abs=12.0)


def test_the_yoke_is_cut_of_both_halves_and_fits_them() -> None:
    draft = sewn(CHART.body("14"))
    front, back, yoke = (piece(draft, name) for name in ("front", "back", "yoke"))
    assert yoke.on_fold
    assert yoke.edge("yoke").length() == pytest.approx(back.edge("yoke").sewn_length(), abs=0.01)
    assert back.edge("yoke").length() - back.edge("yoke").sewn_length() == pytest.approx(20.0)
    assert yoke.edge("yoke_front_yoke").length() == pytest.approx(front.edge("yoke").length(), abs=0.01)
    assert yoke.edge("centre_back").length() == pytest.approx(75.0)


@pytest.mark.parametrize("size", ["8", "14", "20", "26"])
def test_no_check_fails(size: str) -> None:
    failed = [f.message for f in check(finished(sewn(CHART.body(size)), "cm")) if not f.passed]
    assert failed == []


def test_on_the_women_of_the_survey() -> None:
    drafted = 0
    for name, body in EVERYBODY:
        try:
            draft = sewn(body)
        except DraftError as error:
            assert any(word in str(error) for word in ("ease_", "Change")), (name, str(error))
            continue
        drafted += 1
        for panel in draft.pieces:
            assert Polygon([p for edge in panel.edges for p in flatten(edge.curves)[:-1]]).is_valid, (name, panel.name)
    assert drafted >= 0.9 * len(EVERYBODY)


def test_the_seams_fit_on_the_women_of_the_survey() -> None:
    for name, body in EVERYBODY[::9]:
        try:
            pattern = finished(sewn(body), "cm")
        except DraftError:
            continue
        wrong = [f.message for f in check(pattern) if not f.passed and f.severity is Severity.ERROR]
        assert wrong == [], name


def test_all_sizes_of_the_chart_are_alike_node_for_node() -> None:
    shapes = {
        str(
            [(p.name, [(e.name, len(e.curves), len(e.takes)) for e in p.edges], sorted(p.points)) for p in draft.pieces]
        )
        for draft in (sewn(CHART.body(size)) for size in CHART.sizes)
    }
    assert len(shapes) == 1


# ---------------------------------------------------------------- boys


def boys() -> list[tuple[str, float, dict[str, float]]]:
    """Boys up to 15 years of 300 children and youths measured in 1975-77, with a chest that the shirt is drafted for;
    the girth of their necks, mm, apart. Shoulders, which the survey lacks: 8 cm + 0.4 (height - 92) ÷ 6 (worked rules,
    children)."""
    found = []
    with (FIXTURES / "bodies" / "children_1977_300.csv").open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            own = [row[name] for name in ("stature", "chest_girth", "neck_girth", "upper_arm_girth", "wrist_girth",
                                          "arm_length_est")]  # fmt: skip
            if row["sex"] != "M" or float(row["age_years"]) > 15 or not all(own) or float(own[1]) < 600:
                continue
            stature, chest, neck, arm, wrist, long = map(float, own)
            shoulder = 80.0 + 4.0 * (stature - 920.0) / 60.0
            body = {"bust_girth": chest, "upper_arm_girth": arm, "wrist_girth": wrist, "arm_length": long,
                    "shoulder_length": shoulder, "stature": stature}  # fmt: skip
            found.append((row["id"], neck, body))
    return found


def test_a_boys_neck_follows_from_his_chest() -> None:
    """Chest ÷ 4 + 15 cm, which is printed for men, against the survey's neck girth and 3 cm (worked rules 0, which say
    that of the neck's base): all within 3 cm, half of them within 1.2."""
    off = sorted(abs(body["bust_girth"] / 4 + 150.0 - (neck + 30.0)) for _, neck, body in boys())
    assert len(off) >= 80
    assert off[-1] < 30.0
    assert off[len(off) // 2] < 12.0


def test_a_shirt_fits_the_boys_of_the_survey() -> None:
    """No check fails; the armhole over the arm by 8.7 cm or more, and about half the chest (worked rules 6)."""
    for name, _, body in boys():
        draft = sewn(Measurements(body), worn_by="boys")
        wrong = [f.message for f in check(finished(draft, "cm")) if not f.passed and f.severity is Severity.ERROR]
        assert wrong == [], name
        armhole = sum(piece(draft, part).edge("armhole").sewn_length() for part in ("front", "back", "yoke"))
        assert armhole - body["upper_arm_girth"] >= 87.0, name
        assert 0.45 <= armhole / body["bust_girth"] <= 0.63, name
        front = piece(draft, "front").points
        assert front["underarm"].x == pytest.approx((body["bust_girth"] + 100.0) / 4)


def test_a_boys_shirt_laps_as_a_mans_and_says_what_was_not_measured() -> None:
    name, _, body = boys()[0]
    notes = sewn(Measurements(body), worn_by="boys").notes
    assert any("left over right" in note for note in notes), name
    for lacking in ("neck_base_girth", "scye_depth", "across_back_width"):
        assert any(note.startswith(f"{lacking} was not measured") for note in notes)
    told = {**body, "neck_base_girth": 310.0, "scye_depth": 150.0, "across_back_width": 270.0}
    draft = sewn(Measurements(told), worn_by="boys")
    assert not any("neck_base_girth was not" in note or "scye_depth was not" in note for note in draft.notes)
    assert piece(draft, "front").points["neck_centre"].y == pytest.approx(-310.0 / 5)


def test_the_pleat_of_the_back_is_marked_where_it_is_laid() -> None:
    """A notch at the yoke, and a line down from it, both as far from the fold as the pleat is deep."""
    back = piece(sewn(CHART.body("14")), "back")
    (line,) = [line for line in back.internal_lines if line.name == "back pleat"]
    (notch,) = [notch for notch in back.notches if notch.name == "back pleat"]
    assert [p.x for p in line.points] == pytest.approx([20.0, 20.0])
    fold = back.edge("centre_back").start.x
    assert place_at(back.edge("yoke").curves, notch.at)[0].x - fold == pytest.approx(20.0)
    assert piece(sewn(CHART.body("14"), back_pleat=0.0), "back").internal_lines == ()


def test_a_back_broad_for_the_chest_adds_width() -> None:
    """A0577 of the survey: 4 cm lie beyond the back line (worked rules for shirts); ease that was asked for stays."""
    body = people("women_1988_300.csv")["A0577"]
    draft = sewn(body)
    front = piece(draft, "front").points
    back_line = body["across_back_width"] / 2 + 20.0
    assert front["underarm"].x == pytest.approx(back_line + 40.0, abs=0.1)
    assert any(note.startswith("The back is broad for the chest") for note in draft.notes)
    with pytest.raises(DraftError, match="leaves no room for an armhole"):
        sewn(body, ease_chest=100.0)
