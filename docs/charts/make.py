"""Works out the charts that ship from measured people and writes them; prints the lines for docs/charts.md.

    python docs/charts/make.py            writes src/oaktag/body/charts/*.csv
    python docs/charts/make.py --trends   prints each line: people, step, slope over stature, residual spread
    python docs/charts/make.py --children prints those of children: people, step for 6 cm, residual spread

Needs the project on the path (`.venv/bin/python`, or `PYTHONPATH=src`). The people are those of fixtures/bodies.
"""

from __future__ import annotations

import csv
import math
import sys
from pathlib import Path

from oaktag.body.charts import SizeChart, chart_as_csv
from oaktag.body.estimates import proportions
from oaktag.body.measurements import KINDS
from oaktag.body.proposed import Trend, extrapolated, grain, laid_out, trend

ROOT = Path(__file__).parent.parent.parent
BODIES = ROOT / "fixtures" / "bodies"
SURVEY = BODIES / "women_1988_300.csv"
CHARTS = ROOT / "src" / "oaktag" / "body" / "charts"

STEP = 40.0
BUSTS = tuple(760.0 + STEP * i for i in range(12))
SIZES = tuple(str(number) for number in range(6, 30, 2))
FURTHER = 80.0
"""How far the statures of the three charts lie apart, mm (common practice, no source; 1.25 standard deviations)."""

SAME = (
    "stature", "bust_girth", "waist_girth", "hip_girth", "neck_base_girth", "neck_girth", "head_girth",
    "shoulder_length", "bust_point_width", "back_waist_length", "scye_depth", "waist_to_hip", "waist_height",
    "hip_height", "crotch_height", "knee_height", "ankle_height", "side_neck_height", "armscye_girth",
    "upper_arm_girth", "elbow_girth", "wrist_girth", "arm_length", "thigh_girth", "lower_thigh_girth", "knee_girth",
    "calf_girth", "ankle_girth",
)  # fmt: skip
"""Columns of the survey that mean what the measurement of the same name means (caveats: docs/charts.md)."""
RENAMED = {
    "upper_chest_girth": "upper_bust_girth",
    "underbust_girth": "under_bust_girth",
    "across_back_width": "back_width_armpit",
    "bust_height": "neck_to_bust_point",
    "total_crotch_length": "crotch_length",
    "body_rise": "body_rise_sitting",
}
SOURCE = (
    "computed by the Oaktag project from 300 women drawn at random from the 2,208 of the 1988 Anthropometric Survey of"
    " U.S. Army Personnel (Gordon et al., NATICK/TR-89/044, 1989), a work of the US government, public domain"
)
NOTES = (
    "Method and limits: docs/charts.md. Written by docs/charts/make.py; do not edit.",
    "Young, fit soldiers; sizes are names, and no standard's. waist_girth is the natural waist.",
    "shoulder_width was not measured: 2 x shoulder_length + neck_base_girth / pi, woman by woman.",
    "arm_length is straight, on a hanging arm; waist_to_hip is vertical; across_back_width is at the armpits.",
)


MEN = "men_1988_150.csv"
MEN_SOURCE = SOURCE.replace("300 women", "150 men").replace("the 2,208", "the 1,774 men")
MEN_NOTES = (
    NOTES[0],
    "150 men are few: outside chest 92 to 108 cm trust it less. Young, fit soldiers; waist_girth is the natural waist.",
    NOTES[2].replace("woman by woman", "man by man"),
    NOTES[3],
)
NOT_OF_MEN = ("underbust_girth", "bust_point_width", "bust_height")
CHESTS = tuple(880.0 + STEP * i for i in range(9))

CHILDREN = "children_1977_300.csv"
CHILD_STEP = 60.0
CHILD_HEIGHTS = tuple(920.0 + CHILD_STEP * i for i in range(11))
"""Every 6 cm, 98 among them: EN 13402-3, from memory."""
BEND = 1160.0
"""Girths grow faster above: there each line may bend (a chosen size; 110 and 122 serve nearly as well)."""
UP_TO = 13.0
"""Children who have not yet had this birthday, years."""
CHILD_COLUMNS = {
    "stature": "stature", "bust_girth": "chest_girth", "waist_girth": "natural_waist_girth", "hip_girth": "hip_girth",
    "neck_girth": "neck_girth", "head_girth": "head_girth", "hip_height": "hip_height",
    "upper_arm_girth": "upper_arm_girth", "wrist_girth": "wrist_girth", "arm_length": "arm_length_est",
    "thigh_girth": "upper_thigh_girth", "calf_girth": "calf_girth", "ankle_girth": "ankle_girth",
}  # fmt: skip
CHILD_ESTIMATES = (
    "neck_base_girth", "shoulder_width", "shoulder_length", "back_waist_length", "waist_to_hip", "waist_height",
    "crotch_height", "body_rise",
)  # fmt: skip
"""What the survey has not, as the project estimates it: body/estimates.py."""
CHILD_SOURCE = (
    "computed by the Oaktag project from 205 children of 2 to 12 years among 300 drawn at random from the 3,900 of"
    " Snyder et al., Anthropometry of Infants, Children and Youths to Age 18 for Product Safety Design, UM-HSRI-77-17,"
    " 1977"
)
CHILD_NOTES = (
    "Method and limits: docs/charts.md. Written by docs/charts/make.py; do not edit.",
    "Sizes are heights in cm, every 6 cm as EN 13402-3 has them (from memory). Girls and boys together.",
    "bust_girth is the chest, waist_girth the natural waist; arm_length is straight, upper_arm_girth half way up.",
    "Not measured, but estimated: waist_height, back_waist_length, shoulder_length by a preschool chart, drawn on",
    "above 122 cm; waist_to_hip, body_rise, shoulder_width from these and the survey; crotch_height is the seat's;",
    "neck_base_girth is 1.097 x neck_girth, as women have it.",
)


def survey(file: str = SURVEY.name) -> list[dict[str, float]]:
    """The women of the survey, or the men, under the project's names, mm."""
    with (BODIES / file).open(encoding="utf-8", newline="") as opened:
        rows = list(csv.DictReader(opened))
    women = []
    for row in rows:
        woman = {name: float(row[RENAMED.get(name, name)]) for name in (*SAME, *RENAMED)}
        woman["shoulder_width"] = 2 * woman["shoulder_length"] + woman["neck_base_girth"] / math.pi
        women.append(woman)
    return women


def children() -> list[dict[str, float]]:
    """The children of the survey up to 12 years, under the project's names, mm; what was not measured is left out. And
    by how much each is taller than where the lines bend."""
    with (BODIES / CHILDREN).open(encoding="utf-8", newline="") as opened:
        rows = [row for row in csv.DictReader(opened) if float(row["age_years"]) < UP_TO]
    named = [{name: float(row[column]) for name, column in CHILD_COLUMNS.items() if row[column]} for row in rows]
    return [{**child, "above": max(0.0, child["stature"] - BEND)} for child in named]


def child_trends(people: list[dict[str, float]]) -> list[Trend]:
    """Every measurement over the stature, and over what of it is above the bend, where that can be told from none."""
    return [trend(name, ("stature", "above"), people) for name in KINDS if name in CHILD_COLUMNS and name != "stature"]


def _bent(line: Trend) -> tuple[float, ...]:
    """A line read off at the bend, rounded, and from there by its rounded steps, downwards and upwards, mm."""
    value_grain, step_grain = grain("cm")
    value = round(line.value({"stature": BEND, "above": 0.0}) / value_grain) * value_grain
    slope, more = (line.slopes.get(name, 0.0) for name in ("stature", "above"))
    below, above = (round(each * CHILD_STEP / step_grain) * step_grain for each in (slope, slope + more))
    steps = [(height - BEND) / CHILD_STEP for height in CHILD_HEIGHTS]
    return tuple(value + step * (below if step < 0 else above) for step in steps)


def _estimated(rows: dict[str, tuple[float, ...]], name: str) -> tuple[float, ...]:
    """A row that was not measured: by its rule from one that was, or from one before it; to 0.5 mm."""
    rule = proportions("child").ratios[name]
    return tuple(round((rule.ratio * mm + rule.plus) * 2) / 2 for mm in rows[rule.of])


def childrens_chart() -> SizeChart:
    """Sizes by height, of girls and boys."""
    people = children()
    rows = {"stature": CHILD_HEIGHTS, **{line.name: _bent(line) for line in child_trends(people)}}
    for name in CHILD_ESTIMATES:
        rows[name] = _estimated(rows, name)
    rows = {name: rows[name] for name in KINDS if name in rows}
    sizes = tuple(f"{height / 10:g}" for height in CHILD_HEIGHTS)
    beyond = extrapolated("stature", sizes, CHILD_HEIGHTS, CHILD_STEP, people)
    title = "Children measured in 1975-77, by height"
    return SizeChart(
        "children", title, CHILD_SOURCE, "cm", sizes, rows, notes=CHILD_NOTES, extrapolated=beyond, wearer="child"
    )


def mens_chart() -> SizeChart:
    """Sizes by chest girth at the mean stature."""
    men = [{name: mm for name, mm in man.items() if name not in NOT_OF_MEN} for man in survey(MEN)]
    means = {name: math.fsum(man[name] for man in men) / len(men) for name in ("bust_girth", "stature")}
    sizes = tuple(f"{chest / 10:g}" for chest in CHESTS)
    rows = laid_out("bust_girth", CHESTS, trends(men), means, "cm")
    rows = {"stature": (float(round(means["stature"])),) * len(sizes), **rows}
    beyond = extrapolated("bust_girth", sizes, CHESTS, STEP, men)
    title = "Men measured in 1988"
    return SizeChart("men", title, MEN_SOURCE, "cm", sizes, rows, notes=MEN_NOTES, extrapolated=beyond, wearer="man")


def trends(women: list[dict[str, float]]) -> list[Trend]:
    """Every measurement but the bust girth over bust girth and stature; the stature is held at its mean."""
    measured = [name for name in KINDS if name in women[0] and name not in ("bust_girth", "stature")]
    return [trend(name, ("bust_girth", "stature"), women) for name in measured]


def charts() -> dict[str, SizeChart]:
    """The charts that ship, by name."""
    women = survey()
    lines = trends(women)
    means = {name: math.fsum(woman[name] for woman in women) / len(women) for name in ("bust_girth", "stature")}
    made = {}
    for name, words, suffix, more in (
        ("women", "Women measured in 1988", "", 0.0),
        ("women-short", "Women measured in 1988, 8 cm shorter than the mean", "S", -FURTHER),
        ("women-tall", "Women measured in 1988, 8 cm taller than the mean", "T", FURTHER),
    ):
        sizes = tuple(f"{size}{suffix}" for size in SIZES)
        centre = {"bust_girth": means["bust_girth"], "stature": means["stature"] + more}
        rows = laid_out("bust_girth", BUSTS, lines, centre, "cm")
        rows = {"stature": (float(round(centre["stature"])),) * len(sizes), **rows}
        beyond = extrapolated("bust_girth", sizes, BUSTS, STEP, women)
        made[name] = SizeChart(name, words, SOURCE, "cm", sizes, rows, notes=NOTES, extrapolated=beyond)
    return {**made, "men": mens_chart(), "children": childrens_chart()}


def table() -> str:
    """The lines as docs/charts.md has them: mean, for 4 cm of bust, for 8 cm of stature, residual spread, all in mm."""
    rows = []
    for line in trends(survey()):
        bust, tall = (line.slopes.get(name, 0.0) * step for name, step in (("bust_girth", STEP), ("stature", FURTHER)))
        rows.append(f"| `{line.name}` | {line.mean:.1f} | {bust:+.1f} | {tall:+.1f} | {line.spread:.1f} |")
    return "\n".join(rows)


def childrens_table() -> str:
    """The lines of children as docs/charts.md has them: people, at 116 cm, for 6 cm below and above, spread, mm."""
    rows = []
    for line in child_trends(children()):
        slope, more = (line.slopes.get(name, 0.0) * CHILD_STEP for name in ("stature", "above"))
        bend = line.value({"stature": BEND, "above": 0.0})
        rows.append(
            f"| `{line.name}` | {line.people} | {bend:.1f} | {slope:+.1f} | {slope + more:+.1f} | {line.spread:.1f} |"
        )
    return "\n".join(rows)


def main(arguments: list[str]) -> None:
    if arguments == ["--trends"]:
        sys.stdout.write(table() + "\n")
        return
    if arguments == ["--children"]:
        sys.stdout.write(childrens_table() + "\n")
        return
    for name, chart in charts().items():
        (CHARTS / f"{name}.csv").write_bytes(chart_as_csv(chart))


if __name__ == "__main__":
    main(sys.argv[1:])
