"""The worked numbers of the trade are kept in order: each has a place, and tests name none that is not there."""

from __future__ import annotations

import subprocess
import sys

import cloth
from trade_rows import NOT_HERE, OURS, ROWS_NOT_HERE, is_placed, named_in_tests, rows, why_not
from wardrobe import ROOT


def test_every_id_that_a_test_names_is_a_row() -> None:
    assert named_in_tests().keys() <= rows().keys()


def test_every_row_names_its_source_and_a_number() -> None:
    for name, row in rows().items():
        assert row["source"] and float(row.get("value") or row["expected"]) is not None, name
        assert float(row["tolerance"]) > 0, name


def test_every_topic_is_ours_or_says_why_not() -> None:
    groups = {row["group"] for row in rows().values()}
    assert not [group for group in groups if not is_placed(group)]
    assert not [start for start in OURS if not any(group.startswith(start) for group in groups)]
    assert not [why for why in NOT_HERE.values() if not any(why_not(group) == why for group in groups)]


def test_a_row_that_is_not_tried_is_one_and_says_why() -> None:
    named = [name for names in ROWS_NOT_HERE for name in names.split()]
    assert len(named) == len(set(named))
    assert set(named) <= rows().keys() - named_in_tests().keys()
    assert all(why_not(rows()[name]["group"], name) == why for names, why in ROWS_NOT_HERE.items()
               for name in names.split())  # fmt: skip


def test_no_row_of_what_is_ours_waits() -> None:
    tried, everything = named_in_tests(), rows()
    assert [name for name, row in everything.items() if name not in tried and not why_not(row["group"], name)] == []


def test_the_list_adds_up() -> None:
    told = subprocess.run(
        [sys.executable, ROOT / "tests" / "trade_rows.py"], capture_output=True, text=True, encoding="utf-8", check=True
    ).stdout
    total, matched, left, elsewhere = (
        int(word) for word in told.splitlines()[-1].replace(":", "").split() if word.isdecimal()
    )
    assert total == len(rows()) == matched + left + elsewhere
    assert matched == len(named_in_tests())


def test_the_amounts_of_cloth_are_of_garments_that_are_here() -> None:
    """Read as tests/cloth.py reads them: a style that each garment has, an amount from half a metre to three."""
    for row in cloth.rows():
        job = cloth.job_of(row["garment"], cloth._pairs(row["style"]), cloth.BODY)
        assert 500 < cloth.amount_of(row, job) < 3000, row["what"]
        assert row["tag"] in ("S", "D", "P")
        assert row["source"]
        assert row["spread"] in ("fold", "open")
