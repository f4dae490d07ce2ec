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
    r"trousers (?!\(lesson 9|sokoto)|leg fitting": "other drafts of trousers than ours",
    r"trousers \(lesson 9": "another draft of trousers; only its slant pocket is ours",
    r"crotch check": "of the block of drafting rules 8: ours where total_crotch_length was taken is longer",
    r"drawers|child|pinafore|girl|frock|baby|growth|preschool|Children": "children's garments: none is here",
    r"leggings": "leggings: none are here",
    r"Nigeria|iro wrapper|kaftan": "free-hand cutting of West Africa: none is here",
    r"saree|katori|kameez \(amina": "garments of South Asia: none is here",
    r"bust adjustment|sway back|shoulder slope|let out": "alterations of a pattern: none are here",
    r"thread|^cloth$|Cloth conversion": "thread and bought cloth are not worked out: a lay is laid",
    r"Cloth estimate": "a rule of thumb for cloth: tests/cloth.py lays the garments against such",
    r"Bunka old|Bunka tri|Russian|Mueller|Indonesian|WikiEducator|Sewing Lab": "another draft than ours, to compare",
    r"RetroGlam|Techno|School Sewing|Rosenfeld|quoted|Sleeve, overarm": "another draft than ours, to compare",
}
"""Groups of rows (a regular expression) that are wholly or mostly of what the program does not draft, and why."""

OURS = (
    "skirt circle", "skirt wrap", "skirt gored", "skirt A-line", "skirt gathered", "skirt pleated", "skirt pencil",
    "waistband", "bust dart", "dart manipulation", "shirt", "collar", "buttons", "sleeves, added fullness",
    "opening length", "salwar", "Neck opening", "neckband", "stretch", "elastic", "kimono gown",
    "Aldrich close-fitting bodice",    "Aldrich tailored skirt", "Basic trouser block", "Bunka new bodice", "Quarter-measure", "Circle skirts",
    "Cap ease", "Biceps line", "Back bodice", "Hem", "Tight-skirt", "Dart", "Grad", "Grade",
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


def why_not(group: str) -> str:
    """Why the rows of a group are not tried; empty where they could be."""
    return next((why for pattern, why in NOT_HERE.items() if re.search(pattern, group)), "")


def is_placed(group: str) -> bool:
    return bool(why_not(group)) or group.startswith(OURS)


def main() -> None:
    tried, everything = named_in_tests(), rows()
    groups = sorted({row["group"] for row in everything.values()}, key=lambda group: (bool(why_not(group)), group))
    print(f"{'topic':55s}{'rows':>6s}{'matched':>9s}  not covered")
    for group in groups:
        ids = [name for name, row in everything.items() if row["group"] == group]
        left = [name for name in ids if name not in tried]
        why = (why_not(group) or "no test yet") if left else ""
        print(f"{group[:54]:55s}{len(ids):6d}{len(ids) - len(left):9d}  {why}")
        if "--ids" in sys.argv and left:
            print(f"{'':70s}  {' '.join(left)}")
    missing = [name for name in everything if name not in tried]
    open_ids = [name for name in missing if not why_not(everything[name]["group"])]
    print(
        f"\n{len(everything)} rows: {len(everything) - len(missing)} matched, {len(open_ids)} no test yet, "
        f"{len(missing) - len(open_ids)} of what is not here"
    )


if __name__ == "__main__":
    main()
