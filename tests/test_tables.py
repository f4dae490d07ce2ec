"""Tables hold together: formats, the keys of the job file; what a row says is what the program does."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from oaktag.draft.garment import GARMENT_NAMES
from oaktag.errors import InputErrors
from oaktag.export.files import write_all
from oaktag.formats import FILES, FORMATS, asked_for, file_of, function, of_lay, of_pattern, taken_by, usual, words_of
from oaktag.job import KEYS, load_job
from oaktag.origin import origin_of
from oaktag.pipeline import make
from wardrobe import FIXTURES, oaktag

SETS = FIXTURES / "choir/stage-dress.toml"
JOB = f"""\
title = "Lighthouse choir, alto 3"
garment = "{GARMENT_NAMES[0]}"
units = "in"
measurements = "alto-3-tape.toml"
"""


# ------------------------------------------------------------------------------------------------------------- formats


def test_writers_and_readers_are_there() -> None:
    places = [place for row in FORMATS for place in (row.write, row.render) if place]
    places += [reader.read for _, file in FILES for reader in file.readers]
    assert len(places) > 15
    for place in places:
        assert callable(function(place)), place


def test_what_is_for_a_device_is_told_by_its_language() -> None:
    # HP-GL and its kin are streams of pens; a laser takes DXF, a hobby cutter SVG (docs/devices.md)
    assert {language: taken_by(language).word for language in ("hpgl", "hpgl2", "pe8", "pe7", "cad", "svg", "")} == {
        "hpgl": "hpgl", "hpgl2": "hpgl", "pe8": "hpgl", "pe7": "hpgl", "cad": "cad", "svg": "cuts", "": "hpgl",
    }  # fmt: skip
    assert usual() == ("dxf", "hpgl", "pdf", "svg")
    assert usual("svg") == ("dxf", "cuts", "pdf", "svg")


def test_every_file_that_is_written_is_of_a_format_and_known_as_ours() -> None:
    result = make(load_job(SETS))
    formats = {row.word for row in FORMATS for file in row.files if file_of("pattern.json") and file in row.files}
    assert formats >= {"json", "dxf", "hpgl", "pdf", "svg", "report"}
    for name in result.files:
        assert file_of(name) is not None, name
        assert of_pattern(name) or name == "pattern.json"
        assert not of_lay(name)
    told = [row.names("letter", several=True) for row in asked_for(("json", "dxf", "hpgl", "pdf", "svg", "report"))]
    assert set(result.files) == {name for names in told for name in names}


@pytest.mark.parametrize("word", [row.word for row in FORMATS if row.device])
def test_sheets_of_a_device_are_numbered(word: str) -> None:
    (row,) = asked_for((word,))
    stem, _, ending = row.files[0].name.rpartition(".")
    assert row.files[0].named(number=12) == f"{stem}-12.{ending}"
    assert file_of(f"{stem}-12.{ending}") is row.files[0]


def test_the_command_line_offers_the_words_of_the_table(tmp_path: Path) -> None:
    for verb, words in (("make", words_of()), ("finish", words_of()), ("lay", words_of(lay=True))):
        told = re.sub(r"\s+", "", oaktag(verb, "--help", cwd=tmp_path).stdout)
        assert f"[{'|'.join(words)}]" in told


# ---------------------------------------------------------------------------------------------------- keys of the job


def mistakes(folder: Path, text: str) -> str:
    tape = "units = 'in'\nbust_girth = 38\nwaist_girth = 30\nhip_girth = 41\nshoulder_width = 15\n"
    more = "back_waist_length = 16\nupper_arm_girth = 12\n"
    write_all(folder, {"alto-3-tape.toml": (tape + more).encode(), "job.toml": text.encode()})
    with pytest.raises(InputErrors) as told:
        load_job(folder / "job.toml")
    return str(told.value)


@pytest.mark.parametrize(("table", "key"), [(t, k) for t, keys in KEYS.items() if t for k in keys if k not in KEYS[""]])
def test_a_key_of_a_table_at_the_top_is_told_where_it_belongs(tmp_path: Path, table: str, key: str) -> None:
    assert f"Write it below [{table}]" in mistakes(tmp_path, f"{key} = 1\n{JOB}")


@pytest.mark.parametrize("table", [table for table in KEYS if table])
def test_a_key_that_a_table_has_not_is_refused_with_those_that_it_has(tmp_path: Path, table: str) -> None:
    told = mistakes(tmp_path, f"{JOB}[{table}]\nzzz = 1\n")
    assert f'"zzz" is not a key of [{table}]; expected one of {", ".join(KEYS[table])}' in told


def test_every_row_is_read_or_belongs_to_a_table_that_is() -> None:
    with_others = {"style", "allowances", "corners", "reading", "lines", "pieces", "seams", "sewing_order"}
    assert {key for key, row in KEYS[""].items() if row.read is None} == with_others
    of_cloth = {key for key, row in KEYS["cloth"].items() if row.read is None}
    assert of_cloth == set(KEYS["cloth"]) - {"quantity", "match"}
    assert all(row.read is not None for table in ("sizes", "output") for row in KEYS[table].values())


def test_a_copy_is_kept_of_every_file_that_a_key_names(tmp_path: Path) -> None:
    (tmp_path / "tape.toml").write_text("bust_girth = 38\n", encoding="utf-8")
    for name in ("cloth.py", "mine.csv", "rules.csv", "knife.toml", "home.toml", "kept.json"):
        (tmp_path / name).write_bytes(b"")
    job = tmp_path / "job.toml"
    job.write_text(
        'garment = "cloth.py"\nmeasurements = "tape.toml"\n[sizes]\nchart = "mine.csv"\nrules = "rules.csv"\n[output]\n'
        'device = "knife.toml"\nprinter = "home.toml"\nlay = "kept.json"\n', encoding="utf-8",
    )  # fmt: skip
    named = {"job.toml", "cloth.py", "tape.toml", "mine.csv", "rules.csv", "knife.toml", "home.toml", "kept.json"}
    assert set(origin_of(job).copies) == named
    assert sum(row.file is not None for keys in KEYS.values() for row in keys.values()) == len(named)  # and drawing
