"""The catalogue, the estimates and the plausibility of measurements, against measured women (fixtures/bodies)."""

import csv
import math
from itertools import pairwise
from pathlib import Path
from statistics import fmean

import pytest

from oaktag.body.charts import shipped
from oaktag.body.estimates import MEAN_STATURE, RATIOS, SHOULDER_DROP, WAIST_TO_HIP, estimate, known
from oaktag.body.measurements import KINDS, Measurements, in_another_unit, measured, near_names, range_words, spoken
from oaktag.body.sanity import BANDS, plausible
from oaktag.body.whom import child_signs, not_for
from oaktag.errors import DraftError, InputError, Where
from oaktag.units import show

BODIES = Path(__file__).parent.parent / "fixtures" / "bodies"
# survey columns that mean something else than the measurement of the same name: fixtures/bodies/README.md
OTHER_MEANING = {"bust_height", "front_waist_length"}


def women(name="women_1988_300.csv"):
    with (BODIES / name).open(encoding="utf-8", newline="") as file:
        found = [{key: float(value) for key, value in row.items() if key != "id"} for row in csv.DictReader(file)]
    return [{**row, "heel_girth": row["heel_ankle_girth"]} for row in found]


def as_body(row):
    body = {name: value for name, value in row.items() if name in KINDS and name not in OTHER_MEANING}
    # from the side neck point over the bust point, and from there straight down
    front = row["neck_to_bust_point"] + row["bust_height"] - row["waist_height"]
    return {
        **body, "bust_height": row["neck_to_bust_point"], "across_back_width": row["back_width_armpit"],
        "front_waist_length": front,
    }  # fmt: skip


WOMEN = women()


# ---------------------------------------------------------------------------------------------------------- catalogue


def test_the_small_file_is_the_head_of_the_large_one():
    assert len(WOMEN) == 300
    assert women("women_1988_60.csv") == WOMEN[:60]


def test_every_measured_woman_is_inside_the_hard_limits():
    outside = [
        (name, value)
        for row in WOMEN
        for name, value in as_body(row).items()
        if not KINDS[name].least <= value <= KINDS[name].most
    ]
    assert outside == []


@pytest.mark.parametrize("kind", KINDS.values(), ids=str)
def test_every_kind_can_be_read_by_a_maker(kind):
    assert KINDS[kind.name] is kind
    assert kind.words == kind.name.replace("_", " ")
    assert kind.how.endswith(".")
    assert kind.how[0].isupper()
    assert 0 < kind.least < kind.most
    assert near_names(kind.name) == (kind.name,)


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("half_length", "side_neck_to_waist"),
        ("half length", "side_neck_to_waist"),
        ("shoulder-to-waist", "side_neck_to_waist"),
        ("nape_to_waist", "back_waist_length"),
        ("bust", "bust_girth"),
        ("hips", "hip_girth"),
        ("Hip Girth", "hip_girth"),
        ("hip-girth", "hip_girth"),
        ("nipple to nipple", "bust_point_width"),
        ("round_sleeve", "upper_arm_girth"),
        ("waist_grith", "waist_girth"),
        ("sholder_width", "shoulder_width"),
        ("inseam", "crotch_height"),
    ],
)
def test_near_names(typed, meant):
    assert near_names(typed)[0] == meant


def test_no_near_name_for_what_is_not_of_a_body():
    assert near_names("price") == ()
    assert near_names("") == ()


def test_limits_are_rounded_inwards_so_that_both_may_be_typed():
    hip = KINDS["hip_girth"]  # 600 to 1900 mm = 23.62 to 74.80 in
    assert range_words(hip.least, hip.most, "in") == "23 5/8 to 74 3/4 in"
    for kind in KINDS.values():
        low, high = range_words(kind.least, kind.most, "in").removesuffix(" in").split(" to ")
        assert measured(kind, low, "in", Where("")) >= kind.least
        assert measured(kind, high, "in", Where("")) <= kind.most


@pytest.mark.parametrize(
    ("value", "unit", "told"),
    [
        (104, "in", '104 is taken as inches, and no hip is 2641.6 mm; expected 23 5/8 to 74 3/4 in. Write "104 cm".'),
        (38, "cm", '38 is taken as centimetres, and no hip is 380 mm; expected 60 to 190 cm. Write "38 in".'),
        (38, "mm", '38 is taken as millimetres, less than any hip; expected 600 to 1900 mm. Write "38 in".'),
        ("104 in", "cm", '"104 in" is 2641.6 mm, more than any hip; expected 60 to 190 cm. Write "104 cm".'),
        (9999, "mm", "9999 is taken as millimetres, more than any hip; expected 600 to 1900 mm. Measure again."),
        (-41, "in", "-41 cannot be the hip girth; expected 23 5/8 to 74 3/4 in. Tape level"),
        (0, "in", "0 cannot be the hip girth"),
        ("1/2", "mm", '"1/2" is taken as millimetres, less than any hip'),
        (True, "in", "true is not a length; expected a number or a text. Write hip_girth = 38"),
        ({}, "in", "a table is not a length"),
        pytest.param(10**5000, "in", "a number of very many digits is absurdly large", id="huge"),
        ("3" * 5000, "in", "is not a length"),
        ("  ", "in", "is not a length"),
    ],
)
def test_what_no_hip_can_be(value, unit, told):
    with pytest.raises(InputError) as caught:
        measured(KINDS["hip_girth"], value, unit, Where("alto-3.toml", 7, "measurements.hip_girth"))
    assert str(caught.value).startswith("alto-3.toml:7 measurements.hip_girth: ")
    assert told in str(caught.value)


def test_both_ends_of_the_hard_limits_are_allowed():
    hip = KINDS["hip_girth"]
    assert measured(hip, 600, "mm", Where("")) == 600
    assert measured(hip, 1900, "mm", Where("")) == 1900
    for value in (599.9, 1900.1):
        with pytest.raises(InputError):
            measured(hip, value, "mm", Where(""))


def test_another_unit_is_only_offered_where_the_number_fits():
    assert in_another_unit(104, "in", 600, 1900) == '"104 cm"'
    assert in_another_unit("41 1/2", "cm", 600, 1900) == '"41 1/2 in"'
    assert in_another_unit(3, "in", 600, 1900) == ""
    assert in_another_unit([3], "in", 600, 1900) == ""
    assert in_another_unit("cm", "in", 600, 1900) == ""


def test_quoted_text_cannot_play_tricks():
    assert spoken("a\x1b[31m\nb") == '"a\N{REPLACEMENT CHARACTER}[31m\N{REPLACEMENT CHARACTER}b"'
    assert spoken("x" * 100) == '"' + "x" * 37 + '..."'


def test_measurements_are_a_mapping_that_does_not_change():
    given = {"bust_girth": 965.2}
    body = Measurements(given, {"bust_girth": "38"})
    given["bust_girth"] = 1.0
    assert body == {"bust_girth": 965.2}
    assert body.get("hip_girth") is None
    assert dict(body.typed) == {"bust_girth": "38"}
    with pytest.raises((AttributeError, TypeError)):
        body.typed = {}
    with pytest.raises(KeyError):
        body["hip_girth"]


# ---------------------------------------------------------------------------------------------------------- estimates


@pytest.mark.parametrize("name", RATIOS)
def test_ratios_are_the_means_of_the_survey(name):
    rule = RATIOS[name]
    assert rule.ratio == pytest.approx(fmean(row[name] / row[rule.of] for row in WOMEN), abs=0.0005)


def test_mean_stature_is_that_of_the_survey():
    assert pytest.approx(fmean(row["stature"] for row in WOMEN), abs=0.05) == MEAN_STATURE


@pytest.mark.parametrize("name", ["waist_height", "knee_height", "side_neck_height", "hip_height", "crotch_height"])
def test_heights_from_stature_are_near_for_single_women(name):
    """The survey's own scatter: 2.5 standard deviations of the ratio are at most 0.04 of the stature."""
    far = [
        row
        for row in WOMEN
        if abs(estimate(name, {"stature": row["stature"]}, "mm").value - row[name]) > 0.04 * row["stature"]
    ]
    assert len(far) <= 0.02 * len(WOMEN)


def test_an_estimate_says_what_was_assumed_in_the_makers_unit():
    # by hand: 0.6476 × 1651.0 mm = 1069.19 mm = 42.09 in, shown to 1/8 in
    told = estimate("waist_height", {"stature": 1651.0}, "in")
    assert told.value == pytest.approx(1069.19, abs=0.01)
    assert told.words == "waist height 42 1/8 in = 0.648 × stature 65 in (mean of 300 women of a 1988 survey)"


def test_what_rests_on_an_estimate_says_both():
    told = estimate("hand_girth", {"upper_arm_girth": 300.0}, "cm")
    # by hand: 300 × 0.5234 = 157.02; × 1.2318 = 193.42
    assert told.value == pytest.approx(193.42, abs=0.01)
    assert "hand girth 19.3 cm = 1.232 × wrist girth 15.7 cm" in told.words
    assert "a fist is more), with wrist girth 15.7 cm = 0.523 × upper arm girth 30 cm" in told.words
    assert show(MEAN_STATURE, "cm") in estimate("knee_height", {}, "cm").words


def test_waist_to_hip_is_eight_inches_by_common_practice():
    assert estimate("waist_to_hip", {}, "in").words == "waist to hip 8 in (common practice, no source)"
    assert pytest.approx(8 * 25.4) == WAIST_TO_HIP


@pytest.mark.parametrize("name", ["upper_arm_girth", "bust_girth", "waist_girth", "hip_girth", "shoulder_width"])
def test_what_is_never_estimated(name):
    everything = {kind.name: kind.least for kind in KINDS.values() if kind.name != name}
    with pytest.raises(DraftError, match=f"was not measured and is never estimated.*Add {name} to the job"):
        estimate(name, everything, "in")


def test_wrist_without_upper_arm_asks_for_the_upper_arm():
    with pytest.raises(DraftError, match="Add upper_arm_girth to the job"):
        estimate("wrist_girth", {"bust_girth": 900.0}, "in")


def test_known_prefers_what_was_measured():
    assert known("wrist_girth", {"wrist_girth": 160.0}, "in").value == 160.0
    assert known("wrist_girth", {"wrist_girth": 160.0}, "in").words == ""
    assert known("stature", {}, "in").words != ""


# ------------------------------------------------------------------------------------------------------- plausibility

ALTO = {"bust_girth": 965.2, "waist_girth": 774.7, "hip_girth": 1040.0, "shoulder_width": 393.7, "waist_to_hip": 203.2}


def test_an_ordinary_body_raises_no_doubt():
    assert plausible(ALTO, "in") == ()


def test_few_measured_women_raise_a_doubt():
    """A soft warning that real bodies trip is noise: at most 3 in 100 for any one band."""
    doubts = [doubt.id for row in WOMEN for doubt in plausible(as_body(row), "in")]
    assert {band.id: doubts.count(band.id) for band in BANDS if doubts.count(band.id) > 9} == {}


@pytest.mark.parametrize(
    ("id_", "body", "limit"),
    [
        # hip at least waist + 5 cm, at most + 40 cm; bust at least waist − 5 cm, at most + 30 cm: common practice
        ("body.hip-waist", {"hip_girth": 749, "waist_girth": 700}, 750),
        ("body.hip-waist", {"hip_girth": 1101, "waist_girth": 700}, 1100),
        ("body.bust-waist", {"bust_girth": 849, "waist_girth": 900}, 850),
        ("body.bust-waist", {"bust_girth": 1001, "waist_girth": 700}, 1000),
        ("body.hip-bust", {"hip_girth": 779, "bust_girth": 900}, 780),
        ("body.back-waist", {"back_waist_length": 461}, 460),
        ("body.shoulder-bust", {"shoulder_width": 344, "bust_girth": 1000}, 345),  # 265 + 0.08 × 1000
        ("body.shoulder-bust", {"shoulder_width": 461, "bust_girth": 1000}, 460),  # 365 + 0.095 × 1000
        ("body.shoulder-drop", {"shoulder_height": 1300, "side_neck_height": 1400}, 1305),
        ("body.shoulder-drop", {"shoulder_height": 1375, "side_neck_height": 1400}, 1370),
        ("body.bust-height", {"bust_height": 410, "bust_girth": 1000}, 328),  # 1000 ÷ 5 + 83 + 45
        ("body.bust-point-width", {"bust_point_width": 232, "bust_girth": 1000}, 231),  # 1000 ÷ 8 + 76 + 30
        ("body.waist-to-hip", {"waist_to_hip": 130}, 140),
        ("body.half-length", {"side_neck_to_waist": 490}, 485),
        ("body.nape-depth", {"side_neck_to_waist": 402, "back_waist_length": 400}, 405),  # drafting books: 15 to 32 mm
        ("body.nape-depth", {"side_neck_to_waist": 447, "back_waist_length": 400}, 445),
        # both from the side neck point; of the nape's length 1 in more, the method's back neck depth
        ("body.front-back-length", {"front_waist_length": 364, "back_waist_length": 400}, 365.4),
        ("body.front-back-length", {"front_waist_length": 487, "back_waist_length": 400}, 485.4),
        ("body.front-back-length", {"front_waist_length": 487, "side_neck_to_waist": 425}, 485),
        ("body.upper-arm-bust", {"upper_arm_girth": 250, "bust_girth": 1000}, 260),
        ("body.upper-arm-bust", {"upper_arm_girth": 390, "bust_girth": 1000}, 380),
        ("body.back-waist-stature", {"back_waist_length": 440, "stature": 1600}, 432),  # 0.27 × 1600
        ("body.scye-back-waist", {"scye_depth": 240, "back_waist_length": 400}, 232),  # 0.58 × 400
        ("body.shoulder-length", {"shoulder_length": 100}, 105),
        ("body.neck-base-bust", {"neck_base_girth": 324, "bust_girth": 1000}, 325),  # 225 + 0.1 × 1000
        ("body.neck-base-bust", {"neck_base_girth": 470, "bust_girth": 1000}, 450),  # 160 + 0.29 × 1000
        ("body.across-back-bust", {"across_back_width": 470, "bust_girth": 1000}, 460),
    ],
)
def test_a_doubt_for_each_band(id_, body, limit):
    (doubt,) = plausible(body, "cm")
    name = next(iter(body))
    assert doubt.id == id_
    assert doubt.measured == body[name]
    assert doubt.limit == pytest.approx(limit)
    assert doubt.unit_text == "mm"
    assert KINDS[name].words in doubt.message.lower()


SIZE_GROUPS = (0, 820, 880, 940, 1000, 1050, 5000)
"""Busts between which women are of one size group, mm."""


@pytest.mark.parametrize("name", ["body.shoulder-bust", "body.shoulder-length", "body.neck-base-bust"])
def test_shoulders_and_necks_are_doubted_in_two_of_a_hundred_of_any_size_at_most(name):
    """At either end, among the women of 1988 and of 2012 together; shoulder width as the survey's README says."""
    band = next(band for band in BANDS if band.id == name)
    everyone = [
        {**row, "shoulder_width": 2 * row["shoulder_length"] + row["neck_base_girth"] / math.pi}
        for row in (*WOMEN, *women("women_2012_300.csv"))
    ]
    for least, most in pairwise(SIZE_GROUPS):
        group = [row for row in everyone if least <= row["bust_girth"] < most]
        assert len(group) > 25
        doubts = [d for row in group for d in plausible({k: row[k] for k in {band.name, "bust_girth"}}, "cm")]
        below = [d for d in doubts if d.id == name and d.measured < d.limit]
        above = [d for d in doubts if d.id == name and d.measured > d.limit]
        assert max(len(below), len(above)) <= 0.02 * len(group), (least, len(below), len(above), len(group))


def test_no_size_of_a_chart_that_ships_is_doubted():
    for chart in ("women", "women-short", "women-tall"):
        assert [d.message for size in shipped(chart).sizes for d in plausible(shipped(chart).body(size), "cm")] == []


def test_shoulder_slopes_of_the_women_are_inside_the_band_and_their_mean_is_that_of_the_draft():
    drops = [row["side_neck_height"] - row["acromion_height"] for row in WOMEN]
    assert fmean(drops) == pytest.approx(SHOULDER_DROP, abs=0.05)
    band = next(band for band in BANDS if band.id == "body.shoulder-drop")
    assert sum(drop > -band.least for drop in drops) <= 6
    assert sum(drop < -band.most for drop in drops) <= 6


# ------------------------------------------------------------------------------------------------------------ children


def children():
    """Those up to 10 years of 300 children and youths measured in 1975-77, named as a job names it."""
    named = {"chest_girth": "bust_girth", "natural_waist_girth": "waist_girth", "arm_length_est": "arm_length"}
    kept = ("stature", "hip_girth", "upper_arm_girth", "wrist_girth", "head_girth")
    with (BODIES / "children_1977_300.csv").open(encoding="utf-8", newline="") as file:
        rows = [row for row in csv.DictReader(file) if float(row["age_years"]) <= 10]
    return [
        {named.get(key, key): float(value) for key, value in row.items() if (key in kept or key in named) and value}
        for row in rows
    ]


def test_nearly_every_child_is_known_as_one_with_or_without_its_stature():
    small = children()
    assert len(small) > 140
    assert sum(bool(child_signs(child)) for child in small) >= 0.95 * len(small)
    unknown = [{key: mm for key, mm in child.items() if key != "stature"} for child in small]
    assert sum(bool(child_signs(child)) for child in unknown) >= 0.95 * len(small)


def test_no_woman_is_taken_for_a_child():
    everyone = [*WOMEN, *women("women_2012_300.csv")]
    assert [row for row in everyone if child_signs(row)] == []
    for chart in ("women", "women-short", "women-tall"):
        assert not any(child_signs(shipped(chart).body(size)) for size in shipped(chart).sizes)


@pytest.mark.parametrize("body", [{}, {"bust_girth": 635}, {"bust_girth": 635, "hip_girth": 900},
                                  {"bust_girth": 950, "hip_girth": 990, "stature": 1350},
                                  {"bust_girth": 250, "hip_girth": 300}])  # fmt: skip
def test_who_may_be_grown_is_no_child(body):
    """Too little is known; or larger than any child of the survey; or so small that it is another unit."""
    assert child_signs(body) == ()
    assert not_for("women", body, "in") == ""


def test_a_child_is_refused_with_what_told_it_in_the_makers_unit():
    child = {"bust_girth": 635.0, "hip_girth": 685.8}
    told = not_for("women", child, "in")
    assert "for grown women" in told and "a child" in told
    assert "bust_girth 25 in, hip_girth 27 in" in told
    assert not_for("", child, "in") == ""
    told = not_for("women", {"bust_girth": 800, "hip_girth": 860, "stature": 1390}, "cm")
    assert "stature 139 cm" in told
    assert 'write wearer = "woman"' in told  # a small woman is not turned away without a way in
    assert not_for("women", child, "in", "woman") == ""


# -------------------------------------------------------------------------------------------------- a stature not taken


def off(name):
    """Standard error of the stature that is estimated from that measurement alone, mm."""
    errors = [estimate("stature", {name: row[name]}, "cm").value - row["stature"] for row in WOMEN]
    return math.sqrt(fmean(error**2 for error in errors))


def test_stature_is_estimated_from_what_was_measured_better_than_by_the_mean():
    plain = math.sqrt(fmean((row["stature"] - MEAN_STATURE) ** 2 for row in WOMEN))
    assert plain == pytest.approx(64, abs=1)
    for name in ("side_neck_height", "waist_height", "crotch_height", "knee_height"):
        assert off(name) < 0.86 * plain, name
    assert off("arm_length") < plain


def test_a_short_arm_makes_a_small_woman_and_a_long_one_no_tall_one():
    small = estimate("stature", {"arm_length": 480.0}, "in")
    assert small.value == pytest.approx(480 / RATIOS["arm_length"].ratio)
    assert "arm length 18 7/8 in" in small.words and "56 1/2 in" in small.words
    assert estimate("stature", {"arm_length": 620.0}, "cm").value == MEAN_STATURE
    by_knee = estimate("stature", {"arm_length": 480.0, "knee_height": 420.0}, "cm")
    assert by_knee.value == pytest.approx(420 / RATIOS["knee_height"].ratio)
    assert "knee height 42 cm" in by_knee.words


def test_every_band_has_a_test_of_its_own():
    marks = test_a_doubt_for_each_band.pytestmark[0].args[1]
    assert {band.id for band in BANDS} == {id_ for id_, _, _ in marks}


def test_a_doubt_speaks_the_makers_unit_and_says_what_to_take_again():
    (doubt,) = plausible({"hip_girth": 990.6, "waist_girth": 965.2}, "in")
    assert doubt.message == (
        "hip girth is 39 in; with waist girth 38 in, 40 to 53 5/8 in is usual. Take both again. "
        f"Hip girth: {KINDS['hip_girth'].how} Waist girth: {KINDS['waist_girth'].how}"
    )
