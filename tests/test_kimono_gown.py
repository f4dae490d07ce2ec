"""The kimono gown: the book's numbers, its gusset in the slashes, neck, underarm and hem proved; women of a survey."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from by_the_tape import drafted, measured_whole, nodes, number, piece, worked
from oaktag.body.measurements import Measurements
from oaktag.checks.run import check, standing_errors
from oaktag.errors import DraftError
from oaktag.garments.kimono_gown import kimono_gown
from oaktag.geometry.point import distance
from oaktag.model.draft import Draft
from oaktag.model.finding import Finding
from wardrobe import finished, oaktag

INCH = 25.4
WOMAN = Measurements(
    {
        "bust_girth": 38 * INCH, "armscye_girth": 17 * INCH, "upper_arm_girth": 12 * INCH, "hip_girth": 41 * INCH,
        "neck_base_girth": 15 * INCH, "shoulder_length": 5.25 * INCH, "back_waist_length": 16 * INCH,
        "waist_to_hip": 8 * INCH, "head_girth": 22 * INCH, "stature": 65 * INCH,
    }
)  # fmt: skip
"""Bust and armhole of the worked rows; the others invented."""


def found(draft: Draft) -> dict[str, Finding]:
    return {finding.id: finding for finding in check(finished(draft, "in"))}


def test_no_check_fails_in_its_usual_style() -> None:
    findings = check(finished(drafted(kimono_gown, WOMAN, "in"), "in"))
    assert not [finding.message for finding in findings if not finding.passed and finding.severity != "info"]
    ids = {finding.id for finding in findings}
    assert {"underarm.deep", "underarm.deep.gusset", "entry.head", "walk.stride", "girth.bust", "girth.hip"} <= ids


@pytest.mark.parametrize("half", ["front", "back"])
def test_the_underarm_is_half_the_armhole_and_2_in_below_the_top(half: str) -> None:
    told = worked()["gw-272"]
    assert number(told, "armhole") == 17
    p = piece(drafted(kimono_gown, WOMAN, "in"), half).points
    assert (p["sleeve_end"].y - p["underarm"].y) / INCH == pytest.approx(float(told["value"]), abs=0.02)


@pytest.mark.parametrize("half", ["front", "back"])
def test_the_body_is_a_quarter_of_the_bust_and_2_in(half: str) -> None:
    told = worked()["gw-273"]
    assert number(told, "bust") == 38
    p = piece(drafted(kimono_gown, WOMAN, "in"), half).points
    assert p["underarm"].x / INCH == pytest.approx(float(told["value"]), abs=0.02)


def test_the_neck_is_the_books() -> None:
    """5 to 6 in from the centre, 4 to 5 deep in front, 3 to 4 in back (Clothing for Women, 1916)."""
    draft = drafted(kimono_gown, WOMAN, "in")
    for half, least, most in (("front", 4, 5), ("back", 3, 4)):
        p = piece(draft, half).points
        assert 5 <= round(p["neck_side"].x / INCH, 3) <= 6
        assert least <= round(-p["neck_centre"].y / INCH, 3) <= most


def test_each_side_of_the_gusset_is_as_long_as_a_lip_of_its_slash() -> None:
    draft = drafted(kimono_gown, WOMAN, "in", gusset=5)
    square = piece(draft, "gusset")
    assert square.to_cut.count == 2
    for half in ("front", "back"):
        own = piece(draft, half)
        (slash,) = [line.points for line in own.internal_lines if line.name == "gusset slash"]
        assert distance(*slash) == pytest.approx(5 * INCH)
        assert slash[0] == pytest.approx(own.points["underarm"])
        assert [square.edge(f"{half}_{lip}").length() for lip in ("arm", "body")] == pytest.approx([5 * INCH] * 2)


def test_front_and_back_may_be_cut_as_one() -> None:
    """Their tops are one straight level line."""
    draft = drafted(kimono_gown, WOMAN, "in")
    tops = [piece(draft, half).edge("over_arm") for half in ("front", "back")]
    assert tops[0].curves == tops[1].curves
    assert tops[0].start.y == tops[0].end.y == 0


@pytest.mark.parametrize(
    ("style", "of", "by"),
    [
        ({"underarm_deep": 9.5}, "underarm.deep", "make underarm_deep 1 in more"),
        ({"neck_half": 3, "neck_front": 2, "neck_back": 1}, "entry.head", "round it with neck_half or neck_front"),
        ({"flare": 1, "long": 56}, "walk.stride", "Make flare"),
        ({"sleeve_hem": 6}, "arm.room", "widen it by"),
    ],
)
def test_what_does_not_serve_is_told(style: dict[str, object], of: str, by: str) -> None:
    finding = found(drafted(kimono_gown, WOMAN, "in", **style))[of]
    assert not finding.passed
    assert by in finding.message


def test_a_head_that_passes_is_let_through_and_one_that_is_larger_is_not() -> None:
    """The neckline all round less 10 mm passes, by the sum of both halves."""
    draft = drafted(kimono_gown, WOMAN, "in")
    line = 2 * sum(piece(draft, half).edge("neck").length() for half in ("front", "back"))
    for head, passes in ((line - 10.5, True), (line - 9.5, False)):
        own = replace(draft, claims=_draft_for(head).claims)
        assert found(own)["entry.head"].passed is passes


def _draft_for(head: float) -> Draft:
    return drafted(kimono_gown, Measurements({**WOMAN, "head_girth": head}), "in")


@pytest.mark.parametrize(
    ("style", "words"),
    [
        ({"sleeve_long": 4}, "sleeve_long to"),
        ({"sleeve_hem": 12}, "sleeve_hem to less"),
        ({"neck_half": 7, "underarm_deep": 11}, "neck_half to"),
        ({"underarm_deep": 7, "gusset": 6}, "gusset to less"),
    ],
)
def test_what_cannot_be_drawn_is_refused(style: dict[str, object], words: str) -> None:
    body = WOMAN if "neck_half" not in style else Measurements({**WOMAN, "shoulder_length": 4 * INCH})
    with pytest.raises(DraftError, match=words):
        drafted(kimono_gown, body, "in", **style)


def test_an_armhole_that_was_not_measured_is_worked_from_the_bust() -> None:
    """Chart `women`, bust 88 and 112: armhole 36.4 and 43 cm; the line is within 4 mm of both."""
    for bust, armhole in ((880.0, 364.0), (1120.0, 430.0)):
        less = {name: mm for name, mm in WOMAN.items() if name != "armscye_girth"}
        draft = drafted(kimono_gown, Measurements({**less, "bust_girth": bust, "upper_arm_girth": 250.0}))
        deep = -piece(draft, "front").points["underarm"].y
        assert deep == pytest.approx(armhole / 2 + 2 * INCH, abs=2.0)


def test_women_of_the_survey_are_all_drafted_alike() -> None:
    women = list(measured_whole("women_1988_60.csv").items())[::6]
    made = set()
    for woman, body in women:
        draft = drafted(kimono_gown, body)
        wrong = standing_errors(check(finished(draft, "cm")))
        assert not wrong, (woman, [finding.message for finding in wrong])
        made.add(nodes(draft))
    assert len(made) == 1


def test_a_square_gusset_is_read_back_in_the_turn_in_which_it_is_drawn(tmp_path: Path) -> None:
    """Of one size in all sizes, and alike in each quarter turn: only its grain line tells how it lies."""
    (tmp_path / "gown.toml").write_text(
        'garment = "kimono-gown"\nunits = "in"\n[sizes]\nchart = "women"\nmake = ["6", "18"]\nbase = "18"\n'
        '[output]\nformats = ["svg"]\n', encoding="utf-8",
    )  # fmt: skip
    made = oaktag("make", "gown.toml", "-o", "out", cwd=tmp_path)
    assert made.returncode == 0, made.stdout + made.stderr
    read = oaktag("verify", "out", cwd=tmp_path)
    assert "all within their limits" in read.stdout, read.stdout
