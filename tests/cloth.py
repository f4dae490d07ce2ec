"""How much cloth each garment takes, against what the trade says: run by hand, minutes.

    PYTHONPATH=tests .venv/bin/python tests/cloth.py [SECONDS]

First every garment in its usual style, size 12 of the chart `women` or 110 of `children`, on cloth of 150 and 115 cm,
folded and open (SECONDS of search each, 2 unless said). Then the rows of fixtures/trade/cloth_amounts.csv: published
amounts are for a range of sizes, so they are upper limits; those that were derived lie as near as can be.
"""

from __future__ import annotations

import csv
import sys
from collections.abc import Mapping
from pathlib import Path

from oaktag.body.charts import shipped
from oaktag.body.measurements import Measurements
from oaktag.draft.garment import GARMENT_NAMES, find_garment
from oaktag.draft.options import validated
from oaktag.errors import InputError, OaktagError, Where
from oaktag.job import Job
from oaktag.lay.words import Asked
from oaktag.laying import lay_job
from oaktag.model.finding import CheckFailed
from oaktag.units import parse_length
from wardrobe import FIXTURES

Style = Mapping[str, object]
BODY = Measurements(shipped("women").body("12"))
CHILD = Measurements(shipped("children").body("110"), wearer="child")
WIDTHS = ("150 cm", "115 cm")


def job_of(name: str, style: Style, body: Measurements) -> Job:
    """A metric job of it."""
    garment = find_garment(name)
    read, errors = validated(garment.options, style, "cm", lambda key: Where("cloth", 0, key))
    assert not errors, errors
    return Job(Path("cloth.toml"), name, name, "cm", body, read, {})


def taken(job: Job, cloth: str, spread: str, seconds: float) -> tuple[float, str]:
    """How long the lay of its outer cloth is, mm; or why it cannot be laid."""
    asked = Asked(width=parse_length(cloth, "cm"), spread=spread)
    try:
        laid = lay_job(job, asked, None, materials=("shell",), seconds=seconds, workers=1)
    except InputError:
        return 0.0, "a piece is wider than the cloth"
    except (OaktagError, CheckFailed) as error:
        return 0.0, str(error).splitlines()[0][:60]
    return laid.kept.lays[0].length, ""


def waist_to_hem(job: Job) -> float:
    """L of the trade's rules, mm: how long the longest piece that goes round the wearer is."""
    from oaktag.pipeline import pattern_of

    ys = [[y for _, y in piece.cut.stitch_line] for piece in pattern_of(job).pieces if piece.cut.piece.worn]
    return max(max(line) - min(line) for line in ys)


def amount_of(row: Mapping[str, str], job: Job) -> float:
    """What the row says, mm: a number of its unit, or `2 L + 25`."""
    times, plus, more = row["amount"].partition(" L + " if row["amount"][0].isdecimal() else "L + ")
    if plus:
        return float(times or 1) * waist_to_hem(job) + 10 * float(more)
    return float(row["amount"]) * {"yd": 914.4, "cm": 10.0}[row["unit"]]


def _pairs(text: str) -> dict[str, str]:
    return dict(entry.split("=") for entry in text.split(";") if entry)


def rows() -> list[dict[str, str]]:
    with (FIXTURES / "trade" / "cloth_amounts.csv").open(encoding="utf-8") as lines:
        return list(csv.DictReader(lines))


def main() -> None:
    seconds = float(sys.argv[1]) if len(sys.argv) > 1 else 2.0
    columns = [(width, spread) for width in WIDTHS for spread in ("fold", "open")]
    print(f"{'size 12, cm':18s}" + "".join(f"{f'{width} {spread}':>14s}" for width, spread in columns), flush=True)
    for name in GARMENT_NAMES:
        told = []
        for width, spread in columns:
            body = CHILD if find_garment(name).for_whom == "children" else BODY
            long, why = taken(job_of(name, {}, body), width, spread, seconds)
            told.append(f"{'-' if why else f'{long / 10:.0f}':>14s}")
        print(f"{name:18s}{''.join(told)}", flush=True)
    print(f"\n{'of the trade':66s}{'cloth':>8s}{'says':>7s}{'takes':>7s}  of it")
    for row in rows():
        body = Measurements({**BODY, **{k: 10 * float(v) for k, v in _pairs(row["measured"]).items()}})
        job = job_of(row["garment"], _pairs(row["style"]), body)
        says = amount_of(row, job)
        long, why = taken(job, row["cloth"], row["spread"], seconds)
        part = why or f"{100 * long / says:.0f} % [{row['tag']}]"
        print(f"{row['what'][:64]:66s}{row['cloth']:>8s}{says / 10:7.0f}{long / 10:7.0f}  {part}", flush=True)


if __name__ == "__main__":
    main()
