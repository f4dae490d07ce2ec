"""Reading size sets back: nests, sizes apart, base and rules; then damaged, and the damage must be seen.

The files are those that `make` writes for the stage dress in three sizes, one on either side of the base. Tolerances
are those of the contract: outlines 0.05 mm (HP-GL 0.06); a grade rule table in mm holds hundredths, one in inches
ten-thousandths (ASTM D6673-10, as practised), so that a move read from it is off by half of that at most.
"""

from __future__ import annotations

import json
import math
import re
import shutil
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from oaktag.errors import InputError
from oaktag.formats import asked_for
from oaktag.job import Job, load_job
from oaktag.model.nest import Nest
from oaktag.pipeline import make, nest_of
from oaktag.progress import silent
from oaktag.verify import Row, verify
from oaktag.verify.dashes import followed
from oaktag.verify.drawing import Run
from oaktag.verify.expected import read_expected, sizes_by_word
from oaktag.writing import Making
from oaktag.writing import written as rendered

XY = tuple[float, float]
SIZES = ("10", "12", "14")
BASE = "12"
NAMED = ("pattern-nest.dxf", "pattern.svg", "pattern-roll.pdf", "pattern-letter.pdf")
"""Files of a nest that name their sizes."""
FILES = (*NAMED, "pattern.plt")
SQUARES = {"scale block: 100 mm square", "scale block: 4 in square"}
JOB = """
title   = "Lighthouse choir, stage dress"
garment = "sheath-dress"
units   = "in"
[sizes]
chart = "{chart}"
make  = {make}
base  = "{base}"
[style]
length = 36
[output]
formats = {formats}
paper   = "letter"
device  = "{device}"
{output}
"""
STREAM = {"commands", "pens", "within the paper", "parts"}
"""Rows about a plot as a stream for its device."""
ALL = '["dxf", "hpgl", "pdf", "svg"]'


def job_in(folder: Path, output: str = "", *, chart: str = "women", make: Sequence[str] = SIZES, base: str = BASE,
           formats: str = ALL, device: str = "roll-914") -> Job:  # fmt: skip
    path = folder / "job.toml"
    made = json.dumps(list(make))
    path.write_text(
        JOB.format(chart=chart, make=made, base=base, formats=formats, output=output, device=device), encoding="utf-8"
    )
    return load_job(path)


def written(folder: Path, job: Job, sizes: tuple[str, ...] = ()) -> Path:
    for name, data in make(job, sizes=sizes).files.items():
        (folder / name).write_bytes(data)
    return folder


@pytest.fixture(scope="session")
def nested_set(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("nested")
    return written(folder, job_in(folder, 'layout = "nested"'))


@pytest.fixture(scope="session")
def apart_set(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("apart")
    return written(folder, job_in(folder, 'layout = "apart"', device="roll-1830"))


@pytest.fixture
def folder(nested_set: Path, tmp_path: Path) -> Path:
    """The nested set, to be damaged."""
    return Path(shutil.copytree(nested_set, tmp_path / "set"))


def off(rows: Sequence[Row]) -> set[str]:
    return {row.what for row in rows if not row.passed}


def pieces_of(folder: Path) -> tuple[str, ...]:
    told = json.loads((folder / "pattern.json").read_text(encoding="utf-8"))["pieces"]
    return tuple(dict.fromkeys(piece["name"] for piece in told))


def lines_of(pieces: Sequence[str], sizes: Sequence[str], *lines: str) -> set[str]:
    return {f"{piece}, size {size}: {line}" for piece in pieces for size in sizes for line in lines}


def told(rows: Sequence[Row], file: str, reader: str = "") -> set[str]:
    return {row.what for row in rows if row.file == file and reader in ("", row.reader)}


ABOUT = {
    *("size of the sheet", "inside the sheet", "lines that show", "pieces apart", "numbers of the pages"),
    *("size of the pages", "inside the pages", "how it prints", "words of the pages"),
}
"""Rows about the sheet or the pages."""
TOLD_APART = {"line patterns of the sizes", "names of the sizes", "key of the sizes"}


def marks_in(folder: Path, sizes: Sequence[str], *, nested: bool = False) -> set[str]:
    """A row for each role that a piece has marks of; what is drawn once in a nest is told of the base, or of all."""
    found: set[str] = set()
    for piece in json.loads((folder / "pattern.json").read_text(encoding="utf-8"))["pieces"]:
        if piece["size"] not in sizes:
            continue
        name = f"{piece['name']}, size {piece['size']}"
        roles = ("notches", "drill_holes", "darts", "internal_lines", "fold_line")
        found |= {f"{name}: {role.replace('_', ' ')}" for role in roles if piece[role]}
        found |= {f"{piece['name']}: lettering"} if nested else {f"{name}: lettering", f"{name}: words"}
        found |= {f"{name}: grain line"} if not nested or piece["size"] == BASE else set()
    return found


def edit_json(folder: Path, change: Callable[[dict[str, Any]], None]) -> None:
    path = folder / "pattern.json"
    data = json.loads(path.read_text(encoding="utf-8"))
    change(data)
    path.write_text(json.dumps(data), encoding="utf-8")


def piece_in(data: dict[str, Any], name: str, size: str) -> dict[str, Any]:
    found: dict[str, Any] = next(p for p in data["pieces"] if (p["name"], p["size"]) == (name, size))
    return found


# What must pass -------------------------------------------------------------------------------------------------


@pytest.mark.smoke
def test_a_nested_set_passes_row_by_row(nested_set: Path) -> None:
    rows = verify(nested_set)
    assert [row.message for row in rows if not row.passed] == []
    pieces = pieces_of(nested_set)
    stacked = {f"{piece}: sizes stacked" for piece in pieces}
    cut = lines_of(pieces, SIZES, "cut line")
    both = lines_of(pieces, SIZES, "cut line", "stitch line")
    for reader in ("ezdxf", "GDAL"):
        if reader == "ezdxf" or any(row.reader == reader for row in rows):
            assert told(rows, "pattern.dxf", reader) == lines_of(pieces, [BASE], "cut line", "stitch line") | SQUARES
            assert told(rows, "pattern-nest.dxf", reader) == both | stacked | SQUARES
    assert told(rows, "pattern-nest.dxf", "own reader") >= both | stacked | SQUARES
    assert told(rows, "pattern-nest.dxf", "own reader") >= lines_of(pieces, SIZES, "grain line", "words")
    drawn = cut | stacked | SQUARES | marks_in(nested_set, SIZES, nested=True) | TOLD_APART
    assert told(rows, "pattern.svg") - ABOUT == told(rows, "pattern-roll.pdf") - ABOUT == drawn
    assert told(rows, "pattern-letter.pdf") - ABOUT == drawn | {"register crosses"}
    assert told(rows, "pattern.plt") >= cut | SQUARES | STREAM
    ruled = lines_of(pieces, SIZES, "base + rules, ruled points", "base + rules, all lines")
    assert told(rows, "pattern.rul") == ruled | {"name of the table", "head of the table"}
    assert told(rows, "pattern.plt") >= lines_of(pieces, SIZES, "notches") | lines_of(pieces, [BASE], "grain line")
    assert max(Counter((row.file, row.reader, row.what) for row in rows).values()) == 1
    assert all(row.worst is None or row.worst <= row.limit for row in rows)


def test_sizes_apart_pass_row_by_row(apart_set: Path) -> None:
    rows = verify(apart_set)
    assert [row.message for row in rows if not row.passed] == []
    pieces = pieces_of(apart_set)
    both = lines_of(pieces, SIZES, "cut line", "stitch line")
    drawn = both | SQUARES | marks_in(apart_set, SIZES)
    assert told(rows, "pattern.svg") - ABOUT == told(rows, "pattern-roll.pdf") - ABOUT == drawn
    assert told(rows, "pattern.plt") >= lines_of(pieces, SIZES, "cut line") | SQUARES | STREAM


def test_a_file_that_drawn_does_not_list_holds_all_sizes_apart(apart_set: Path, tmp_path: Path) -> None:
    folder = Path(shutil.copytree(apart_set, tmp_path / "set"))
    edit_json(folder, lambda data: data["drawn"].clear())
    rows = verify(folder / "pattern.svg")
    lines = lines_of(pieces_of(folder), SIZES, "cut line", "stitch line")
    assert told(rows, "pattern.svg") - ABOUT == lines | SQUARES | marks_in(folder, SIZES) and not off(rows)


def test_files_of_some_sizes_are_asked_for_those_alone(tmp_path: Path) -> None:
    """In the HP-GL the base is not among the sizes, so that another one is drawn solid."""
    sizes = 'sizes = { pdf = ["14"], hpgl = ["10", "14"], svg = ["10", "14"] }'
    rows = verify(written(tmp_path, job_in(tmp_path, sizes)))
    pieces = pieces_of(tmp_path)
    assert [row.message for row in rows if not row.passed] == []
    single = lines_of(pieces, ["14"], "cut line", "stitch line") | SQUARES | marks_in(tmp_path, ["14"])
    assert told(rows, "pattern-roll.pdf") - ABOUT == single
    assert told(rows, "pattern.plt") >= lines_of(pieces, ["10", "14"], "cut line") | SQUARES | STREAM
    stacked = {f"{piece}: sizes stacked" for piece in pieces}
    marks = {what for what in told(rows, "pattern.svg") if what.endswith(("notches", "lettering"))}
    assert marks == {w for w in marks_in(tmp_path, ["10", "14"], nested=True) if w.endswith(("notches", "lettering"))}
    assert told(rows, "pattern.svg") >= lines_of(pieces, ["10", "14"], "cut line") | stacked | SQUARES | TOLD_APART


def test_a_single_size_picked_for_all_sheets(tmp_path: Path) -> None:
    rows = verify(written(tmp_path, job_in(tmp_path), sizes=("14",)))
    assert [row.message for row in rows if not row.passed] == []
    single = lines_of(pieces_of(tmp_path), ["14"], "cut line", "stitch line") | SQUARES | marks_in(tmp_path, ["14"])
    assert told(rows, "pattern.svg") - ABOUT == single


@pytest.mark.parametrize(("output", "limit"), [('dxf_units = "english"', 0.0015), ('dxf_flavour = "aama"', 0.0052)])
def test_other_spellings_of_pattern_data(tmp_path: Path, output: str, limit: float) -> None:
    rows = verify(written(tmp_path, job_in(tmp_path, output, formats='["dxf"]')))
    assert [row.message for row in rows if not row.passed] == []
    ruled = [row for row in rows if row.what.endswith("ruled points")]
    assert {row.limit for row in ruled} == {limit} and max(row.worst or 0.0 for row in ruled) > 0.0


ODD = """# title: The choir's own
measurement,unit,8.5,(M),L\\,12-,a+b
bust_girth,in,36,37,38,39,40
waist_girth,in,28 1/2,29 1/2,30 1/2,31 1/2,32 1/2
hip_girth,in,39,40,41,42,43
shoulder_width,in,15 1/4,15 3/8,15 1/2,15 5/8,15 3/4
back_waist_length,in,15 3/4,15 7/8,16,16 1/8,16 1/4
waist_to_hip,in,8,8,8,8,8
upper_arm_girth,in,11 1/2,11 3/4,12,12 1/4,12 1/2
arm_length,in,22 1/2,22 5/8,22 3/4,22 7/8,23
bust_point_width,in,7 1/4,7 3/8,7 1/2,7 5/8,7 3/4
"""


@pytest.mark.parametrize("layout", ["nested", "apart"])
def test_names_of_sizes_with_dots_and_signs(tmp_path: Path, layout: str) -> None:
    (tmp_path / "odd.csv").write_text(ODD, encoding="utf-8")
    sizes = ("8.5", "(M)", "L\\", "12-", "a+b")
    job = job_in(tmp_path, f'layout = "{layout}"', chart="odd.csv", make=sizes, base="(M)", device="roll-1830")
    rows = verify(written(tmp_path, job))
    assert [row.message for row in rows if not row.passed] == []
    assert told(rows, "pattern.svg") >= lines_of(pieces_of(tmp_path), sizes, "cut line")


def test_words_that_a_format_spells_in_its_own_way() -> None:
    assert sizes_by_word(["12", "12-2", "12+"], ["12", "12-", "12+"]) == {"12": "12", "12-2": "12-", "12+": "12+"}
    assert sizes_by_word(["10", "99"], ["10", "12", "14"]) == {"10": "10"}
    assert sizes_by_word(["10", "99"], ["10", "12"]) == {"10": "10"}
    assert sizes_by_word(["12", "?"], ["12", "大"]) == {"12": "12", "?": "大"}
    assert sizes_by_word(["12/14", "12-14"], ["12/14", "12-14"]) == {"12/14": "12/14", "12-14": "12-14"}


# What must be seen ----------------------------------------------------------------------------------------------


def cut_moved(nest: Nest, name: str, size: str, move: Callable[[int, XY], XY]) -> Nest:
    """The nest with other points in one cut line."""

    def changed(pattern: Any) -> Any:
        if pattern.size != size:
            return pattern
        pieces = [
            replace(p, cut=replace(p.cut, cut_line=tuple(move(i, q) for i, q in enumerate(p.cut.cut_line))))
            if p.name == name
            else p
            for p in pattern.pieces
        ]
        return replace(pattern, pieces=tuple(pieces))

    return replace(nest, patterns=tuple(changed(pattern) for pattern in nest.patterns))


def redrawn(folder: Path, change: Callable[[Nest], Nest]) -> None:
    """Every file but pattern.json from a changed nest."""
    job = job_in(folder, 'layout = "nested"')
    files, _ = rendered(Making(job, change(nest_of(job))), (), asked_for(("dxf", "hpgl", "pdf", "svg")), silent)
    for name, data in files.items():
        (folder / name).write_bytes(data)


def hem_corner(ring: Sequence[XY]) -> int:
    """The lowest point furthest to the right: the hem meets the side."""
    low = min(y for _, y in ring)
    return max((i for i, (_, y) in enumerate(ring) if y < low + 1.0), key=lambda i: ring[i][0])


@pytest.mark.parametrize("size", [BASE, "14"])
def test_a_corner_moved_by_a_fifth_of_a_millimetre(folder: Path, size: str) -> None:
    def change(nest: Nest) -> Nest:
        ring = nest.of(size).piece("front").cut.cut_line
        at = hem_corner(ring)
        return cut_moved(nest, "front", size, lambda i, p: (p[0] + 0.2 * (i == at), p[1]))

    redrawn(folder, change)
    for name in FILES:
        rows = verify(folder / name)
        assert f"front, size {size}: cut line" in off(rows), name
        # a plot's lines have other lengths then, and with a dash more those behind it are taken for others
        after = {what for what in off(rows) if what == "parts" or what.endswith(": lettering")}
        known = {f"front, size {size}: cut line", "front: sizes stacked"}
        assert off(rows) - (after if name == "pattern.plt" else set()) <= known, name


@pytest.mark.parametrize("name", FILES)
@pytest.mark.parametrize("size", [BASE, "14"])
def test_a_side_moved_by_a_fifth_of_a_millimetre(folder: Path, name: str, size: str) -> None:
    """All of a long run, so that no corner of the other lines tells."""

    def change(data: dict[str, Any]) -> None:
        ring = piece_in(data, "front", size)["cut_line"]
        right = max(x for x, _ in ring)
        side = [point for point in ring if point[0] > 0.75 * right]
        for point in side:
            point[0] += 0.2

    edit_json(folder, change)
    assert f"front, size {size}: cut line" in off(verify(folder / name))


@pytest.mark.parametrize("name", FILES)
def test_one_size_slipped_by_a_millimetre(folder: Path, name: str) -> None:
    def change(data: dict[str, Any]) -> None:
        piece_in(data, "front", "14")["shift"][1] += 1.0

    edit_json(folder, change)
    rows = verify(folder / name)
    if name == "pattern.plt":  # its lines have no names: those of that size lie elsewhere, marks and all
        assert "front, size 14: cut line" in off(rows)
        assert {what.partition(": ")[0] for what in off(rows)} == {"front, size 14"}
    else:
        assert off(rows) == {"front: sizes stacked"}
    assert name == "pattern.plt" or all(
        row.worst == pytest.approx(1.0, abs=0.01) and "size 14" in row.message for row in rows if not row.passed
    )


@pytest.fixture(scope="session")
def exchanged_set(nested_set: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Drawn with the names of two sizes exchanged."""
    folder = Path(shutil.copytree(nested_set, tmp_path_factory.mktemp("exchanged") / "set"))
    other = {"10": "14", "14": "10"}

    def change(nest: Nest) -> Nest:
        patterns = {other.get(p.size, p.size): replace(p, size=other.get(p.size, p.size)) for p in nest.patterns}
        return replace(nest, patterns=tuple(patterns[size] for size in SIZES))

    redrawn(folder, change)
    return folder


@pytest.mark.parametrize("name", NAMED)
def test_names_of_two_sizes_exchanged(exchanged_set: Path, name: str) -> None:
    """HP-GL names no size, so that there is nothing to exchange there."""
    rows = verify(exchanged_set / name)
    pieces = pieces_of(exchanged_set)
    assert lines_of(pieces, ["10", "14"], "cut line") <= off(rows)
    assert not lines_of(pieces, [BASE], "cut line") & off(rows)
    said = next(row.message for row in rows if row.what == "front, size 14: cut line")
    assert "what is drawn as front, size 14 is the outline of front, size 10" in said


@pytest.fixture(scope="session")
def lacking_set(nested_set: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Drawn without the largest size."""
    folder = Path(shutil.copytree(nested_set, tmp_path_factory.mktemp("lacking") / "set"))
    redrawn(folder, lambda nest: nest.only(("10", "12")))
    return folder


@pytest.mark.parametrize("name", FILES)
def test_a_missing_size(lacking_set: Path, name: str) -> None:
    rows = verify(lacking_set / name)
    assert lines_of(pieces_of(lacking_set), ["14"], "cut line") <= off(rows)
    assert not any("size 10" in what or "size 12" in what for what in off(rows))


def test_a_size_that_should_not_be_there(folder: Path) -> None:
    edit_json(folder, lambda data: [held["sizes"].remove("14") for held in data["drawn"] if "14" in held["sizes"]])
    for name in NAMED:
        said = [row.message for row in verify(folder / name) if not row.passed]
        assert any(
            "no piece 'front' in size '14'" in text.lower() or "in size 14 for this file" in text for text in said
        )


def scaled(path: Path, by: float) -> None:
    """The whole file, its scale block with it."""
    if path.suffix == ".pdf":
        import pikepdf

        with pikepdf.open(path, allow_overwriting_input=True) as pdf:
            for page in pdf.pages:
                page.contents_add(f"{by} 0 0 {by} 0 0 cm\n".encode(), prepend=True)
            pdf.save(path)
        return
    text = path.read_bytes().decode("utf-8")
    if path.suffix == ".plt":
        text = re.sub(r"(?<=[UD,])\d+", lambda m: str(round(int(m[0]) * by)), text)
    elif path.suffix == ".dxf":
        text = re.sub(r"(\n [12]0\r?\n)(-?[\d.]+)", lambda m: f"{m[1]}{float(m[2]) * by:.4f}", text)
    else:
        number = re.compile(r"\d[\d.]*")
        text = re.sub(
            r'(?<= d=")[^"]*', lambda d: number.sub(lambda m: f"{float(m[0].rstrip('.')) * by:.4f}", d[0]), text
        )
    path.write_bytes(text.encode("utf-8"))


@pytest.mark.parametrize("name", FILES)
def test_half_a_percent_of_scale(folder: Path, name: str) -> None:
    """0.5 % of a dress front 900 mm long is 4.5 mm; a shift can share that out at best to half."""
    scaled(folder / name, 1.005)
    rows = verify(folder / name)
    assert lines_of(["front", "back"], SIZES, "cut line") | SQUARES <= off(rows)
    assert min(row.worst or 9.9 for row in rows if row.what in lines_of(["front"], SIZES, "cut line")) > 1.0


# Base and rules -------------------------------------------------------------------------------------------------


def test_one_changed_rule_is_seen_wherever_it_is_used(folder: Path) -> None:
    """A tenth of a millimetre in one size of a rule; rules are named by number at the points of the base."""
    path = folder / "pattern.rul"
    text = path.read_text(encoding="ascii")
    rules = re.split(r"(?=RULE: DELTA)", text)
    for at in (1, len(rules) // 3, len(rules) - 1):
        numbers = rules[at].splitlines()
        first = re.search(r"-?\d+\.\d\d", numbers[1])
        assert first is not None
        numbers[1] = numbers[1][: first.start()] + f"{float(first[0]) + 0.1:.2f}" + numbers[1][first.end() :]
        path.write_text("".join([*rules[:at], "\r\n".join(numbers) + "\r\n", *rules[at + 1 :]]), encoding="ascii")
        rows = verify(folder / "pattern.dxf")
        assert {what.split(": ")[1] for what in off(rows)} >= {"base + rules, ruled points"}
        assert all("size 10" in what for what in off(rows))


@pytest.mark.parametrize(
    ("layer", "name"), [(8, "inner lines"), (13, "drill holes"), (7, "grain line"), (14, "stitch line")]
)
def test_a_line_or_mark_that_alone_is_ruled_wrongly_is_told_by_its_name(folder: Path, layer: int, name: str) -> None:
    """Every tag of one layer is sent to a rule that moves nothing; the lines of all other layers stay right."""
    path = folder / "pattern.dxf"
    text = path.read_bytes().decode("ascii")
    tag = re.compile(rf"(  0\r\nTEXT\r\n  8\r\n{layer}\r\n(?:(?!  0\r\n)[^\n]*\n)*?  1\r\n# )\d+\r\n")
    changed = tag.sub(r"\g<1>1\r\n", text)
    assert changed != text
    path.write_bytes(changed.encode("ascii"))
    wrong = [row for row in verify(folder / "pattern.rul") if not row.passed and row.what.endswith("all lines")]
    assert wrong and all(f"draw the {name} of" in row.message for row in wrong), [row.message for row in wrong][:3]


def test_a_missing_table_is_told_with_what_to_do(folder: Path) -> None:
    (folder / "pattern.rul").unlink()
    rows = [row for row in verify(folder / "pattern.dxf") if not row.passed]
    assert [(row.file, row.what) for row in rows] == [("pattern.rul", "the file")]
    assert "keep both files together, or write them again with oaktag make" in rows[0].message


def test_a_base_that_names_no_table_is_told(folder: Path) -> None:
    path = folder / "pattern.dxf"
    path.write_bytes(path.read_bytes().replace(b"Grade Rule Table: PATTERN", b"Grade Rule Table:"))
    assert off(verify(path)) == {"grade rule table"}


def test_a_size_of_a_wrong_name_is_not_taken_for_the_one_that_is_left(folder: Path) -> None:
    path = folder / "pattern-nest.dxf"
    path.write_bytes(path.read_bytes().replace(b"\r\nSize: 14\r\n", b"\r\nSize: 99\r\n"))
    rows = verify(path)
    for reader in {row.reader for row in rows}:
        assert "front, size 14: cut line" in off([row for row in rows if row.reader == reader]), reader


def test_a_damaged_table_is_told_by_its_line(folder: Path) -> None:
    path = folder / "pattern.rul"
    path.write_text(path.read_text(encoding="ascii").replace("RULE: DELTA 2", "RULE: DELTA two", 1), encoding="ascii")
    (row,) = (row for row in verify(folder / "pattern.rul") if not row.passed)
    assert row.file == "pattern.rul" and re.search(r"cannot be read: pattern\.rul:\d+", row.message)


def test_a_table_that_lacks_a_size(folder: Path) -> None:
    path = folder / "pattern.rul"
    text = path.read_text(encoding="ascii").replace("SIZE LIST: 10 12 14", "SIZE LIST: 10 12 99")
    path.write_text(text, encoding="ascii")
    (row,) = (row for row in verify(folder / "pattern.dxf") if not row.passed)
    assert "the table has no size 14" in row.message
    text = text.replace("SIZE LIST: 10 12 99", "SIZE LIST: 10 12").replace("OF SIZES: 3", "OF SIZES: 2")
    pairs = re.compile(r"((?:\s*-?\d+\.\d\d,\s*-?\d+\.\d\d){2})\s+-?\d+\.\d\d,\s*-?\d+\.\d\d")
    path.write_text(pairs.sub(r"\1", text), encoding="ascii")
    (row,) = (row for row in verify(folder / "pattern.dxf") if not row.passed)
    assert "the table has no size 14" in row.message


# Dashes, by hand ------------------------------------------------------------------------------------------------

SQUARE = ((0.0, 0.0), (100.0, 0.0), (100.0, 100.0), (0.0, 100.0))


def dashes(ring: Sequence[XY], on: float = 5.0, gap: float = 2.0) -> list[Run]:
    """Each side dash by dash, from corner to corner; the last dash of a side ends at its corner."""
    found = []
    for (ax, ay), (bx, by) in zip(ring, (*ring[1:], ring[0]), strict=True):
        long = math.dist((ax, ay), (bx, by))
        starts = [k * (on + gap) for k in range(math.ceil(long / (on + gap)))] + [long - on]
        for start in starts:
            ends = [start / long, min(long, start + on) / long]
            found.append(Run(tuple((ax + (bx - ax) * t, ay + (by - ay) * t) for t in ends)))
    return found


def test_dashes_that_follow_their_line() -> None:
    found = followed({"12": Run(SQUARE, closed=True)}, (), tuple(dashes(SQUARE)), 0.06)["12"]
    assert found.worst < 1e-9 and 0.7 < found.drawn < 0.8


@pytest.mark.parametrize(("side", "by"), [(0, 0.1), (0, 0.2), (0, 1.0), (1, 0.2), (2, 0.2), (3, 0.2)])
def test_dashes_of_a_side_that_lies_elsewhere(side: int, by: float) -> None:
    """Any of the four; the sides beside it stay, so that no corner tells."""
    lower, upper = sorted((SQUARE[side], SQUARE[(side + 1) % 4]))
    dx, dy = ((0.0, by), (by, 0.0))[side % 2]
    moved = [
        Run(tuple((x + dx, y + dy) for x, y in run.points))
        if all(lower[0] <= x <= upper[0] and lower[1] <= y <= upper[1] for x, y in run.points)
        else run
        for run in dashes(SQUARE)
    ]
    found = followed({"12": Run(SQUARE, closed=True)}, (), tuple(moved), 0.06)["12"]
    assert found.worst == pytest.approx(by)


def test_a_gap_longer_than_a_pattern_has() -> None:
    """12 mm of a side are left out: the middle of any 5 mm in it is at best 0.1 mm and more from what is drawn."""
    left = [run for run in dashes(SQUARE) if not all(40.0 <= x <= 60.0 and y == 0.0 for x, y in run.points)]
    found = followed({"12": Run(SQUARE, closed=True)}, (), tuple(left), 0.06)["12"]
    assert found.worst > 1.0 and 40.0 < found.at[0] < 60.0


def test_a_corner_that_is_not_drawn() -> None:
    near = [run for run in dashes(SQUARE) if (100.0, 100.0) not in run.points]
    found = followed({"12": Run(SQUARE, closed=True)}, (), tuple(near), 0.06)["12"]
    assert found.worst >= 2.0


def test_a_stroke_that_leaves_its_line_between_its_ends() -> None:
    """0.3 mm out in the middle of 5 mm: it is no longer than the line, within 2 %; a notch is, and does not count."""
    lines = [*dashes(SQUARE), Run(((50.0, 0.0), (52.5, 0.3), (55.0, 0.0)))]
    found = followed({"12": Run(SQUARE, closed=True)}, (), tuple(lines), 0.06)["12"]
    assert found.worst == pytest.approx(0.3)
    notch = [*dashes(SQUARE), Run(((47.0, 0.0), (50.0, 6.0), (53.0, 0.0)))]
    assert followed({"12": Run(SQUARE, closed=True)}, (), tuple(notch), 0.06)["12"].worst < 1e-9
    # the same stroke is right where another size runs that way
    other = Run((*SQUARE[:1], (50.0, 0.0), (52.5, 0.3), (55.0, 0.0), *SQUARE[1:]), closed=True)
    both = followed({"12": Run(SQUARE, closed=True), "14": other}, (), tuple(lines), 0.06)
    assert both["12"].worst < 1e-9


def test_dots_too_sparse_to_be_a_line() -> None:
    found = followed({"12": Run(SQUARE, closed=True)}, (), tuple(dashes(SQUARE, 0.5, 3.0)), 0.06)["12"]
    assert found.worst < 0.2 and found.drawn < 0.30


# Input ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("change", "place"),
    [
        (lambda data: data.update(drawn=3), r"drawn: found 3; expected a list"),
        (lambda data: data.update(base="99"), r"base: found '99'; expected one of 10, 12, 14"),
        (lambda data: data["drawn"][1].pop("sizes"), r"drawn\[1\]\.sizes: found None; expected a list"),
        (lambda data: data["drawn"][1].update(sizes=[]), r"drawn\[1\]\.sizes: found \[\]"),
        (lambda data: data["drawn"][1].update(sizes=["10", 12]), r"drawn\[1\]\.sizes\[1\]: found 12; expected one of"),
        (lambda data: data["drawn"][1].update(layout="heap"), r"layout: found 'heap'; expected one of nested, apart"),
        (lambda data: data["drawn"][1].update(stitch_lines=1), r"stitch_lines: found 1; expected true or false"),
        (lambda data: data["drawn"][1].update(file="pattern.dxf"), r"drawn\[1\]\.file: .* expected each file once"),
        (lambda data: data["pieces"][3].pop("shift"), r"pieces\[3\]\.shift: found None; expected a point"),
        (lambda data: data["pieces"][3].update(shift=[0, "1"]), r"pieces\[3\]\.shift: found \[0, '1'\]"),
    ],
)
def test_what_the_files_hold_is_read_strictly(folder: Path, change: Callable[[Any], None], place: str) -> None:
    edit_json(folder, change)
    with pytest.raises(InputError, match=place):
        read_expected(folder / "pattern.json")
