"""Which worked numbers of the trade (fixtures/trade) the tests try, and why not the others: run by hand for the list.

    PYTHONPATH=tests .venv/bin/python tests/trade_rows.py [--ids]

A row is matched when a test names its id as a string, "gw-001", in its source; tests/test_trade_rows.py sees to it that
each such id is a row, and that each topic has its place below.
"""

from __future__ import annotations

import csv
import re
import sys
from collections.abc import Mapping
from pathlib import Path

HERE = Path(__file__).parent
TRADE = HERE.parent / "fixtures" / "trade"
TABLES = {"worked_garments.csv": "group", "worked_examples.csv": "system", "grading_examples.csv": "system"}
_ID = re.compile(r"""["']((?:gw|we)-\d{3})["']""")

NOT_HERE: Mapping[str, str] = {
    r"trousers (?!\(lesson 9|\(Italian|sokoto)": "a draft without a back or a fork, to compare; ours are the block and "
    "the Italian one",
    r"leg fitting": "tight-fitting drawers of 1918: a leg without room",
    r"trousers \(lesson 9": "a draft whose fork cannot be read, to compare; its slant and back pockets are ours",
    r"drawers": "a crotch at 2/3 of the side, legs as wide as the hip less 4 in: ours go by the sitting rise",
    r"skirt, child|baby matinee": "other garments of children than ours, or other drafts of them",
    r"child (?:under)?waist|frock": "another block of children than ours, which goes by worked rules 6",
    r"preschool": "the chart runs over measured children by chest 5, waist 6, hip 8 cm (worked rules 6): no estimate; "
    "of its numbers the shoulder is ours (gw-233)",
    r"skirt pencil, free-hand": "its cut holds seam and ease in one number; ours is the straight skirt, pegged",
    r"katori|kameez \(amina": "other garments of South Asia than ours; of the katori the page gives the back alone",
    r"thread|^cloth$|Cloth conversion": "thread and bought cloth are not worked out: a lay is laid",
    r"Cloth estimate": "a rule of thumb for cloth: tests/cloth.py lays the garments against such",
    r"Bunka old|Bunka tri|Russian|Mueller|Indonesian|WikiEducator|Sewing Lab": "another draft than ours, to compare",
    r"RetroGlam|Techno|School Sewing|Rosenfeld|Sleeve, overarm": "another draft than ours, to compare",
}
"""Groups of rows (a regular expression) that are wholly or mostly of what the program does not draft, and why."""

ROWS_NOT_HERE: Mapping[str, str] = {
    "gw-008": "allowances are added to the stitch line, not to the waist before it is divided: another cut line",
    "we-253": "no third of a circle is offered",
    "gw-012": "with 3 for pi the waist is 4.7 % too long; ours has pi (gw-013 is tested)",
    "gw-014 gw-015 gw-016 gw-017 gw-018": "wrap skirts of four panels alike, or of a trapezoid: ours is a back on the "
    "fold and two fronts",
    "gw-019 gw-020 gw-021": "the circular foundation of 1916: our gores are drawn each for itself",
    "gw-022": "a skirt of two gores: ours has four or more",
    "gw-039": "our hem is an arc square to the sides, 156.8 cm; the row's 157 adds straight widths (its terms are "
    "tested: gw-036, gw-038)",
    "gw-054 gw-055 gw-056 gw-057 gw-058": "pleats that differ from each other and from hip to hem: ours are alike, and "
    "run straight down from the hip",
    "gw-072 gw-073": "a waist dart by the ratio of its length to the bust height: ours is dealt out of the surplus",
    "gw-081 gw-082 gw-083 gw-084 gw-085 gw-086 gw-087 gw-088": "the shirt of 1916 has no shoulder tip on its page; "
    "ours is the body that was proved instead (worked rules 4)",
    "gw-089 gw-090 gw-091 gw-092": "the class notes' shirt has 30 cm of ease and a fixed neck; ours is the body that "
    "was proved instead (worked rules 4)",
    "gw-096": "two spreads are too few for a fall by the worked rules (4); ours has three",
    "gw-103": "no ball buttons: a hole is that of a flat or a thick button",
    "gw-169 gw-171 gw-172": "with its printed slants the cap is 0.3 cm longer than the armhole (worked rules 4); ours "
    "is solved to be as long",
    "gw-176": "a cap of a third of the armhole is too narrow for 29 of 40 men (worked rules 4); ours is solved for the "
    "arm",
    "gw-254 gw-256": "a front of a third of the bust cannot meet the back, an armhole of a sixth lies above the armpit "
    "(worked rules 7); ours are as measured",
    "gw-257": "a rule of thumb for cloth: a lay is laid",
    "gw-218 gw-219": "a baby's gown: no garment here is for a baby",
    "gw-274": "cup sizes are those of bought brassieres: what the trial garment lacks is measured instead",
    "gw-180": "the page rounds 59.4 to whole centimetres; ours does not",
    "gw-182 gw-183 gw-184 gw-185": "the stretch of a cloth is worked out by the maker, and told as an option",
    "gw-239": "the waist piece of a child's salwar: ours is for women",
    "we-026 we-027 we-031 we-032": "waist darts of 2 cm each: ours take half of what the hip has over the waist",
    "we-132 we-153 we-155 we-156": "other fractions for neck, scye and shoulder than our quarter block's (bust / 12, "
    "bust / 6, half the shoulder)",
    "we-320 we-321 we-322": "limits that a study found: no garment is drafted by them",
}
"""Rows, one or more, of groups that are else ours, which no garment here drafts, and why."""

OURS = (
    "skirt circle", "skirt wrap", "skirt gored", "skirt A-line", "skirt gathered", "skirt pleated", "skirt pencil",
    "waistband", "bust dart", "dart manipulation", "shirt", "collar", "buttons", "sleeves, added fullness",
    "opening length", "leggings", "salwar", "Neck opening", "neckband", "stretch", "elastic", "kimono gown",
    "princess petticoat", "saree blouse", "trousers (Italian", "crotch check", "Aldrich close-fitting bodice",
    "Aldrich tailored skirt", "Basic trouser block", "Bunka new bodice", "Quarter-measure", "Circle skirts",
    "Cap ease", "Biceps line", "Back bodice", "Hem", "Tight-skirt", "Dart", "Grad", "Grade", "growth", "child bodice",
    "bust adjustment", "pinafore", "shoulder slope", "trousers sokoto", "bubu", "buba", "kaftan", "iro wrapper",
    "baby gown (Nigeria)", "sway back", "let out / take in",
)  # fmt: skip
"""Groups of what the program drafts, or is about to: their first words."""


def rows() -> dict[str, Mapping[str, str]]:
    """Every row by id, with its `group`; the tables share no id."""
    found: dict[str, Mapping[str, str]] = {}
    for name, group in TABLES.items():
        with (TRADE / name).open(encoding="utf-8") as lines:
            for row in csv.DictReader(lines):
                assert row["id"] not in found, row["id"]
                found[row["id"]] = {**row, "group": row[group]}
    return found


def named_in_tests() -> dict[str, list[str]]:
    """The ids that tests name, and where."""
    found: dict[str, list[str]] = {}
    for path in sorted(HERE.glob("test_*.py")):
        for name in _ID.findall(path.read_text(encoding="utf-8")):
            found.setdefault(name, []).append(path.name)
    return found


def why_not(group: str, row: str = "") -> str:
    """Why the rows of a group, or that row of it, are not tried; empty where they could be."""
    own = (why for names, why in ROWS_NOT_HERE.items() if row and row in names.split())
    return next(own, next((why for pattern, why in NOT_HERE.items() if re.search(pattern, group)), ""))


def is_placed(group: str) -> bool:
    return bool(why_not(group)) or group.startswith(OURS)


def main() -> None:
    tried, everything = named_in_tests(), rows()
    groups = sorted({row["group"] for row in everything.values()}, key=lambda group: (bool(why_not(group)), group))
    print(f"{'topic':55s}{'rows':>6s}{'matched':>9s}  not covered")
    for group in groups:
        ids = [name for name, row in everything.items() if row["group"] == group]
        left = [name for name in ids if name not in tried]
        reasons: dict[str, list[str]] = {}
        for name in left:
            reasons.setdefault(why_not(group, name) or "no test yet", []).append(name)
        first = f"{group[:54]:55s}{len(ids):6d}{len(ids) - len(left):9d}"
        for why, names in reasons.items() or [("", [])]:
            print(f"{first:70s}  {why}".rstrip())
            first = ""
            if "--ids" in sys.argv and names:
                print(f"{'':70s}    {' '.join(names)}")
    missing = [name for name in everything if name not in tried]
    open_ids = [name for name in missing if not why_not(everything[name]["group"], name)]
    print(
        f"\n{len(everything)} rows: {len(everything) - len(missing)} matched, {len(open_ids)} no test yet, "
        f"{len(missing) - len(open_ids)} of what is not here"
    )


if __name__ == "__main__":
    main()
