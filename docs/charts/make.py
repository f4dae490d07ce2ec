"""Works out the charts that ship from 300 measured women and writes them; prints the lines for docs/charts.md.

    python docs/charts/make.py            writes src/oaktag/body/charts/*.csv
    python docs/charts/make.py --trends   prints each line: people, step, slope over stature, residual spread

Needs the project on the path (`.venv/bin/python`, or `PYTHONPATH=src`). The people are those of fixtures/bodies.
"""

from __future__ import annotations

import csv
import math
import sys
from pathlib import Path

from oaktag.body.charts import SizeChart, chart_as_csv
from oaktag.body.measurements import KINDS
from oaktag.body.proposed import Trend, extrapolated, laid_out, trend

ROOT = Path(__file__).parent.parent.parent
SURVEY = ROOT / "fixtures" / "bodies" / "women_1988_300.csv"
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


def survey() -> list[dict[str, float]]:
    """The women of the survey, under the project's names, mm."""
    with SURVEY.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    women = []
    for row in rows:
        woman = {name: float(row[RENAMED.get(name, name)]) for name in (*SAME, *RENAMED)}
        woman["shoulder_width"] = 2 * woman["shoulder_length"] + woman["neck_base_girth"] / math.pi
        women.append(woman)
    return women


def trends(women: list[dict[str, float]]) -> list[Trend]:
    """Every measurement but the bust girth over bust girth and stature; the stature is held at its mean."""
    measured = [name for name in KINDS if name in women[0] and name not in ("bust_girth", "stature")]
    return [trend(name, ("bust_girth", "stature"), women) for name in measured]


def charts() -> dict[str, SizeChart]:
    """The three charts that ship, by name."""
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
    return made


def table() -> str:
    """The lines as docs/charts.md has them: mean, for 4 cm of bust, for 8 cm of stature, residual spread, all in mm."""
    rows = []
    for line in trends(survey()):
        bust, tall = (line.slopes.get(name, 0.0) * step for name, step in (("bust_girth", STEP), ("stature", FURTHER)))
        rows.append(f"| `{line.name}` | {line.mean:.1f} | {bust:+.1f} | {tall:+.1f} | {line.spread:.1f} |")
    return "\n".join(rows)


def main(arguments: list[str]) -> None:
    if arguments == ["--trends"]:
        sys.stdout.write(table() + "\n")
        return
    for name, chart in charts().items():
        (CHARTS / f"{name}.csv").write_bytes(chart_as_csv(chart))


if __name__ == "__main__":
    main(sys.argv[1:])
