"""Files that were written together, and what a maker is told where one of them is of another set."""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Callable
from hashlib import sha256
from pathlib import Path

import pytest

from at_the_door import Ended, oaktag_here
from oaktag.verify.folder import verify
from oaktag.verify.rows import Row
from oaktag.verify.together import BESIDE, WHAT, set_rows, stray
from wardrobe import FIXTURES

ALTO = (FIXTURES / "choir" / "alto-3.toml").read_text(encoding="utf-8")
QUICK = ("--only", "json", "--only", "svg", "--only", "hpgl", "--only", "report")
LAID = ("--cloth-width", "60in", "--seconds", "0", "--as", "svg")


@pytest.fixture(scope="module")
def room(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Rosa's dress and Maria's, who is larger, from job files of the same name; and a lay beside Rosa's."""
    folder = tmp_path_factory.mktemp("room")
    for who, bust in (("rosa", "38"), ("maria", "40")):
        (folder / who).mkdir()
        (folder / who / "dress.toml").write_text(re.sub(r"(?m)^bust_girth .*", f"bust_girth = {bust}", ALTO))
        assert oaktag_here("make", "dress.toml", "-o", "made", *QUICK, cwd=folder / who).code == 0
    assert oaktag_here("lay", "dress.toml", "-o", "made", *LAID, cwd=folder / "rosa").code == 0
    return folder


@pytest.fixture
def copy(room: Path, tmp_path: Path) -> Path:
    """All of that, to be spoilt; Rosa's folder is `rosa/made`."""
    return Path(shutil.copytree(room, tmp_path / "room"))


def failing(folder: Path) -> dict[str, str]:
    return {row.file: row.message for row in set_rows(folder) if not row.passed}


def remarks(folder: Path) -> list[Row]:
    return [row for row in set_rows(folder) if row.what == BESIDE]


def test_every_file_is_listed_with_its_sum(room: Path) -> None:
    """The sums are those that FIPS 180-4 defines; hashlib computes them here from what lies on the disk."""
    made = room / "rosa" / "made"
    there = {p.relative_to(made).as_posix(): sha256(p.read_bytes()).hexdigest() for p in made.rglob("*") if p.is_file()}
    listed = dict[str, str]()
    for name in ("pattern.json", "lay.json"):
        listed |= {row["file"]: row["sha256"] for row in json.loads((made / name).read_text())["files"]}
    assert listed == {name: found for name, found in there.items() if name not in ("pattern.json", "lay.json")}
    assert len(listed) == 7
    assert list(json.loads((made / "pattern.json").read_text()))[-1] == "files"


def test_a_set_holds(room: Path) -> None:
    rows = list(set_rows(room / "rosa" / "made"))
    assert [(row.file, row.what, row.passed) for row in rows] == [
        ("pattern.json", WHAT, True),
        ("lay.json", WHAT, True),
    ]


@pytest.mark.parametrize(
    "name", ["pattern.svg", "pattern.plt", "report.html", "job/dress.toml", "lay.svg", "lay.html", "lay-small.pdf"]
)
def test_a_file_that_was_changed_is_told_with_what_to_type(copy: Path, name: str) -> None:
    made = copy / "rosa" / "made"
    with (made / name).open("ab") as file:
        file.write(b"\n")  # harmless to every reader but this
    (row,) = [row for row in set_rows(made) if not row.passed]
    verb = "lay" if name.startswith("lay") else "make"
    assert (row.file, row.what) == (name, WHAT) and f"oaktag {verb} JOB -o {made}" in row.message


def test_verify_tells_it_as_well(copy: Path) -> None:
    with (copy / "rosa" / "made" / "report.html").open("ab") as file:
        file.write(b"\n")
    run = oaktag_here("verify", "rosa/made", cwd=copy)
    assert run.code == 1 and "OFF     report.html: report.html is not the file that was written with the" in run.out


@pytest.mark.parametrize("name", ["pattern.svg", "pattern.plt", "report.html"])
def test_a_file_of_another_body_is_told(copy: Path, name: str) -> None:
    shutil.copy(copy / "maria" / "made" / name, copy / "rosa" / "made" / name)
    assert set(failing(copy / "rosa" / "made")) == {name}


def test_the_geometry_file_of_another_body_is_told_by_all_the_others(copy: Path) -> None:
    shutil.copy(copy / "maria" / "made" / "pattern.json", copy / "rosa" / "made" / "pattern.json")
    assert set(failing(copy / "rosa" / "made")) == {"pattern.svg", "pattern.plt", "report.html", "job/dress.toml"}


def test_one_file_alone_is_told_too(copy: Path) -> None:
    made = copy / "rosa" / "made"
    assert all(row.what != WHAT for row in verify(made / "pattern.svg"))
    with (made / "pattern.svg").open("ab") as file:
        file.write(b"\n")
    assert [row.file for row in verify(made / "pattern.svg") if row.what == WHAT] == ["pattern.svg"]
    assert all(row.passed for row in verify(made / "pattern.plt"))


def test_what_lies_beside_is_named_and_fails_nothing(copy: Path) -> None:
    made = copy / "rosa" / "made"
    for name in ("notes.txt", ".pattern.svg.99999999.part", "job/fitting.txt"):
        (made / name).write_text("let out at the hip")
    (made / "pattern.dxf.d").mkdir()
    assert [row.file for row in remarks(made)] == [
        "notes.txt", "pattern.dxf.d", "job/fitting.txt", ".pattern.svg.99999999.part",
    ]  # fmt: skip
    run = oaktag_here("verify", "rosa/made", cwd=copy)
    assert run.code == 0 and "note    notes.txt is not of the set" in run.out
    assert "note    .pattern.svg.99999999.part is hidden" in run.out


def test_a_crowd_beside_it_is_counted(copy: Path) -> None:
    for number in range(50):
        (copy / "rosa" / "made" / f"photo-{number}.jpg").touch()
    rows = remarks(copy / "rosa" / "made")
    assert len(rows) == 21 and rows[-1].message == "30 more are not of the set, and were not read."


def test_what_was_thrown_away_is_told_and_fails_nothing(copy: Path) -> None:
    (copy / "rosa" / "made" / "pattern.plt").unlink()
    (row,) = remarks(copy / "rosa" / "made")
    assert row.passed and row.message == "pattern.json lists what is not there any more: pattern.plt."


def test_a_file_that_only_we_write_and_no_list_has_is_of_another_making(copy: Path) -> None:
    shutil.copy(copy / "maria" / "made" / "pattern.svg", copy / "rosa" / "made" / "pattern-cuts.svg")
    assert set(failing(copy / "rosa" / "made")) == {"pattern-cuts.svg"}


def test_a_folder_of_an_earlier_version_verifies_with_a_remark(copy: Path) -> None:
    made = copy / "rosa" / "made"
    for name in ("pattern.json", "lay.json"):
        text = (made / name).read_text(encoding="utf-8")
        (made / name).write_text(re.sub(r',\n *"files": \[[^\]]*\]', "", text), encoding="utf-8")
    assert not list(set_rows(made))
    run = oaktag_here("verify", "rosa/made", cwd=copy)
    assert run.code == 0 and "note    pattern.json is older than its list of files" in run.out


@pytest.mark.parametrize(
    "files", ["3", "null", "[3]", '[{"file": "x"}]', '[{"file": 3, "sha256": ""}]', '[{"file": "../x", "sha256": ""}]']
)
def test_a_damaged_list_is_told(copy: Path, files: str) -> None:
    made = copy / "rosa" / "made"
    told = json.loads((made / "pattern.json").read_text(encoding="utf-8")) | {"files": json.loads(files)}
    (made / "pattern.json").write_text(json.dumps(told), encoding="utf-8")
    assert failing(made).keys() == {"pattern.json"}


# -------------------------------------------------------------------------------------- which verb writes what


def again(*words: str) -> Callable[[Path], Ended]:
    return lambda folder: oaktag_here(*words, cwd=folder / "rosa")


@pytest.mark.parametrize(
    "verb",
    [
        again("make", "dress.toml", "-o", "made", *QUICK),
        again("make", "dress.toml", "-o", "made", "--only", "svg"),
        again("make", "dress.toml", "-o", "made", "--only", "cuts"),
        again("make", "dress.toml", "-o", "made", "--only", "json"),
        again("lay", "dress.toml", "-o", "made", "--cloth-width", "58in", "--seconds", "0", "--as", "svg"),
        again("lay", "dress.toml", "-o", "made", "--judge", "made/lay.json", "--as", "svg"),
        again("project", "dress.toml", "-o", "made"),
        again("make", "made/job/dress.toml", "-o", "made", "--only", "cuts"),
    ],
)
def test_another_verb_of_the_same_job_leaves_one_set(copy: Path, verb: Callable[[Path], Ended]) -> None:
    run = verb(copy)
    assert run.code == 0, run.err
    assert failing(copy / "rosa" / "made") == {}


def test_a_format_written_later_is_listed_and_the_list_is_told_as_written_once(copy: Path) -> None:
    run = oaktag_here("make", "dress.toml", "-o", "made", "--only", "cuts", cwd=copy / "rosa")
    assert "pattern.json" not in run.out  # it holds the same pattern, with a longer list
    assert {row.file for row in set_rows(copy / "rosa" / "made") if row.what == BESIDE} == set()
    listed = json.loads((copy / "rosa" / "made" / "pattern.json").read_text(encoding="utf-8"))["files"]
    assert [row["file"] for row in listed] == [
        "job/dress.toml", "pattern-cuts.svg", "pattern.plt", "pattern.svg", "report.html",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("make", "--only", "svg"), {"pattern.svg", "job/dress.toml"}),
        (("make", "--only", "json"), {"pattern.svg", "pattern.plt", "report.html"}),
        (("lay", *LAID), {"job/dress.toml"}),
    ],
)
def test_part_of_a_changed_job_does_not_pass_for_the_whole(copy: Path, words: tuple[str, ...], told: set[str]) -> None:
    """Rosa has been measured anew, and only some of the files are written again."""
    job = copy / "rosa" / "dress.toml"
    job.write_text(re.sub(r"(?m)^bust_girth .*", "bust_girth = 39", job.read_text(encoding="utf-8")), encoding="utf-8")
    run = oaktag_here(words[0], "dress.toml", "-o", "made", *words[1:], cwd=copy / "rosa")
    assert run.code == 0, run.err
    assert set(failing(copy / "rosa" / "made")) == told


def test_a_lay_by_itself_is_held_to_its_job(copy: Path) -> None:
    run = oaktag_here("lay", "dress.toml", "-o", "laid", *LAID, cwd=copy / "rosa")
    assert run.code == 0, run.err
    assert [row.passed for row in set_rows(copy / "rosa" / "laid")] == [True]
    shutil.copy(copy / "maria" / "dress.toml", copy / "rosa" / "laid" / "job" / "dress.toml")
    assert set(failing(copy / "rosa" / "laid")) == {"job/dress.toml"}


def test_the_lays_of_an_order_are_sets_of_their_own(copy: Path) -> None:
    words = ("--cloth-width", "60in", "--seconds", "0", "--quantity", "4", "--table", "3m", "--plies", "2")
    run = oaktag_here("lay", "dress.toml", "-o", "order", *words, cwd=copy / "rosa")
    assert run.code == 0, run.err
    rows = list(set_rows(copy / "rosa" / "order"))
    assert len(rows) >= 1 and all(row.passed and row.what == WHAT for row in rows)
    (copy / "rosa" / "order" / "orders.html").write_text("another order")
    assert set(failing(copy / "rosa" / "order")) == {"orders.html"}


# ------------------------------------------------------------------------------------------------ verbs that read


def test_a_plot_of_another_body_is_not_sent(copy: Path) -> None:
    made = copy / "rosa" / "made"
    shutil.copy(copy / "maria" / "made" / "pattern.plt", made)
    words = ("--to", "roll-914", "--at", f"file:{copy / 'wire'}")
    run = oaktag_here("send", "rosa/made/pattern.plt", *words, cwd=copy)
    assert run.code == 2 and not (copy / "wire").exists()
    assert run.err.strip() == (
        "rosa/made/pattern.plt: it is not the file that was written with the pattern.json beside it: it is of another "
        "body, or was changed since; expected a plot of the set it lies in. Write the folder again; if you mean this "
        "plot, copy it into a folder of its own, and send that."
    )
    (copy / "alone").mkdir()
    (copy / "wire").touch()
    shutil.copy(made / "pattern.plt", copy / "alone")
    assert oaktag_here("send", "alone/pattern.plt", *words, cwd=copy).code == 0


def test_a_plot_of_the_set_is_sent_and_so_is_the_makers_own(copy: Path) -> None:
    (copy / "wire").touch()
    shutil.copy(copy / "maria" / "made" / "pattern.plt", copy / "rosa" / "made" / "test-square.plt")
    for name in ("pattern.plt", "test-square.plt"):
        words = ("--to", "roll-914", "--at", f"file:{copy / 'wire'}")
        run = oaktag_here("send", f"rosa/made/{name}", *words, cwd=copy)
        assert run.code == 0, run.err


def test_a_preview_of_a_file_of_another_body_warns(copy: Path) -> None:
    shutil.copy(copy / "maria" / "made" / "pattern.svg", copy / "rosa" / "made")
    run = oaktag_here("preview", "rosa/made/pattern.svg", "-o", "a.png", "--dpi", "10", cwd=copy)
    assert run.code == 0
    assert run.err.startswith("warning rosa/made/pattern.svg is not the file that was written with the pattern.json")
    assert oaktag_here("preview", "rosa/made/pattern.plt", "-o", "b.png", "--dpi", "10", cwd=copy).err == ""


def test_what_cannot_be_read_is_no_stray(tmp_path: Path) -> None:
    (tmp_path / "pattern.json").write_text("[" * 100_000)
    (tmp_path / "pattern.plt").write_text("IN;")
    assert stray(tmp_path / "pattern.plt") == "" and stray(tmp_path / "none.plt") == ""
