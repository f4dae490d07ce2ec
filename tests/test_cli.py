"""The command line as a maker meets it: each test runs `python -m oaktag` in a process and a folder of its own."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from oaktag.cli import COMMANDS
from oaktag.draft.garment import GARMENT_NAMES, find_garment
from wardrobe import FIXTURES, ROOT, oaktag, oaktag_alone

ALTO = FIXTURES / "choir" / "alto-3.toml"
SOPRANO = FIXTURES / "choir" / "soprano-1.toml"
HEAVY = {"numpy", "shapely", "ezdxf", "pikepdf", "pypdfium2", "svgelements", "pyclipper", "pyogrio", "PIL"}


def job(folder: Path, text: str, name: str = "job.toml") -> Path:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def alto_with(folder: Path, style: str = "", **more: str) -> Path:
    """The alto's job with more lines in [style], in place of her own of those names."""
    text = ALTO.read_text(encoding="utf-8")
    for key in re.findall(r"^\w+(?= *=)", style, re.MULTILINE):
        text = re.sub(rf"^{key} *=.*\n", "", text, flags=re.MULTILINE)
    text = text.replace("[style]\n", f"[style]\n{style}\n")
    for old, new in more.items():
        assert old in text
        text = text.replace(old, new)
    return job(folder, text)


HOBBLED = 'opening = "none"\npeg = 3.5'
"""A pegged hem without an opening: check walk.stride fails."""


def no_traceback(run: subprocess.CompletedProcess[str]) -> None:
    assert "Traceback" not in run.stdout + run.stderr
    assert "Error:" not in run.stderr or "Usage" in run.stderr  # what click says of its own


# ------------------------------------------------------------------------------------------------------- the verbs


def test_the_help_lists_every_verb_with_an_example(tmp_path: Path) -> None:
    run = oaktag_alone("--help", cwd=tmp_path)
    assert run.returncode == 0
    for verb in COMMANDS:
        assert re.search(rf"^  {verb}  +\w", run.stdout, re.MULTILINE), verb
    assert "oaktag make dress.toml" in run.stdout


@pytest.mark.parametrize("verb", COMMANDS)
def test_the_help_of_a_verb_has_an_example(verb: str, tmp_path: Path) -> None:
    run = oaktag(verb, "--help", cwd=tmp_path)
    assert run.returncode == 0
    assert f"oaktag {verb}" in run.stdout.split("Example:")[1]


def test_the_console_script_is_the_same_program(tmp_path: Path) -> None:
    script = shutil.which("oaktag", path=str(Path(sys.executable).parent))
    if script is None:
        pytest.skip("oaktag is not installed as a script")
    run = subprocess.run([script, "garments"], cwd=tmp_path, capture_output=True, text=True)
    assert (run.returncode, run.stdout) == (0, oaktag("garments", cwd=tmp_path).stdout)


@pytest.mark.smoke
def test_the_version(tmp_path: Path) -> None:
    assert re.fullmatch(r"oaktag \d+\.\d+\.\d+\S*\n", oaktag("--version", cwd=tmp_path).stdout)


def test_garments_are_listed(tmp_path: Path) -> None:
    assert oaktag("garments", cwd=tmp_path).stdout.startswith("sheath-dress")
    told = json.loads(oaktag("garments", "--json", cwd=tmp_path).stdout)
    assert [entry["name"] for entry in told] == list(GARMENT_NAMES)


@pytest.mark.parametrize("unit", ["in", "cm"])
def test_a_garment_tells_its_measurements_and_options(unit: str, tmp_path: Path) -> None:
    run = oaktag("garment", "sheath-dress", "--units", unit, cwd=tmp_path)
    assert run.returncode == 0
    assert re.search(r"^  bust_girth \*  +Tape level", run.stdout, re.MULTILINE)
    ease = {"in": "2 in +0 in to 11 6/8 in|2 in +0 in to 11 3/4 in", "cm": "5 cm +0 cm to 30 cm"}[unit]
    assert re.search(rf"^  ease_bust +({ease})", run.stdout, re.MULTILINE)
    assert re.search(r"^  sleeve +short +short \| elbow \| long \| cap \| none", run.stdout, re.MULTILINE)


def test_a_garment_as_json(tmp_path: Path) -> None:
    told = json.loads(oaktag("garment", "sheath-dress", "--json", cwd=tmp_path).stdout)
    garment = find_garment("sheath-dress")
    assert [option["name"] for option in told["options"]] == [option.name for option in garment.options]
    ease = next(option for option in told["options"] if option["name"] == "ease_bust")
    assert ease["default"] == pytest.approx(50.8)
    metric = json.loads(oaktag("garment", "sheath-dress", "--json", "--units", "cm", cwd=tmp_path).stdout)
    assert next(option for option in metric["options"] if option["name"] == "ease_bust")["default"] == 50
    assert {m["name"] for m in told["measurements"] if m["needed"]} == set(garment.needs({"sleeve": "short"}))


def test_check_tells_every_finding_and_writes_nothing(tmp_path: Path) -> None:
    run = oaktag("check", ALTO, cwd=tmp_path)
    assert run.returncode == 0
    assert re.search(r"^ok +seam\.side-seam: ", run.stdout, re.MULTILINE)
    assert re.search(r"\d+ checks: \d+ passed", run.stdout.splitlines()[-1])
    assert list(tmp_path.iterdir()) == []


def test_check_as_json_is_what_pattern_json_holds(tmp_path: Path) -> None:
    told = json.loads(oaktag("check", ALTO, "--json", cwd=tmp_path).stdout)
    assert oaktag("make", ALTO, "-o", "out", "--only", "json", cwd=tmp_path).returncode == 0
    written = json.loads((tmp_path / "out" / "pattern.json").read_text(encoding="utf-8"))["checks"]
    assert [(c["id"], c["passed"], c["message"]) for c in told] == [
        (c["id"], c["passed"], c["message"]) for c in written
    ]


def test_steps_are_worked_in_the_makers_numbers(tmp_path: Path) -> None:
    run = oaktag("steps", ALTO, cwd=tmp_path)
    assert run.returncode == 0
    assert "bust girth ÷ 6 + 1 in + 1 1/2 in" in run.stdout
    assert "8 7/8 in" in run.stdout  # 38 ÷ 6 + 2 1/2 = 8.83
    front = oaktag("steps", ALTO, "--piece", "front", cwd=tmp_path)
    assert front.returncode == 0
    assert "biceps line" in run.stdout
    assert "biceps line" not in front.stdout
    told = json.loads(oaktag("steps", SOPRANO, "--json", cwd=tmp_path).stdout)
    chest = next(s for s in told if s["piece"] == "front" and s["label"] == "chest line")
    assert chest["value"] == pytest.approx(880 / 6 + 25 + 40, abs=1e-3)
    assert chest["formula"] == "bust girth ÷ 6 + 2.5 cm + 4 cm"


def test_steps_of_an_unknown_piece_name_the_pieces(tmp_path: Path) -> None:
    run = oaktag("steps", ALTO, "--piece", "sleev", cwd=tmp_path)
    assert run.returncode == 2
    assert "sleeve" in run.stderr
    no_traceback(run)


# -------------------------------------------------------------------------------------------------------- make


def test_make_writes_everything_into_a_folder_named_after_the_job(tmp_path: Path) -> None:
    run = oaktag("make", ALTO, cwd=tmp_path)
    assert run.returncode == 0, run.stderr
    folder = tmp_path / "alto-3-pattern"
    assert {path.name for path in folder.iterdir()} == {
        "pattern.json", "pattern.dxf", "pattern.plt", "pattern-letter.pdf", "pattern-roll.pdf", "pattern.svg",
        "report.html", "job",
    }  # fmt: skip
    for path in (path for path in folder.rglob("*") if path.is_file()):
        assert f"wrote {Path('alto-3-pattern') / path.relative_to(folder)}" in run.stdout
        assert path.stat().st_size > 500
    assert re.search(r"^\d+ checks: ", run.stdout, re.MULTILINE)


def test_only_the_formats_that_are_asked_for_are_written(tmp_path: Path) -> None:
    run = oaktag("make", ALTO, "-o", "out", "--only", "dxf", "--only", "json", cwd=tmp_path)
    assert run.returncode == 0
    assert {path.name for path in (tmp_path / "out").iterdir()} == {"pattern.dxf", "pattern.json", "job"}
    wrong = oaktag("make", ALTO, "-o", "out", "--only", "docx", cwd=tmp_path)
    assert wrong.returncode == 2
    assert "'dxf'" in wrong.stderr


def test_make_as_json_names_what_was_written(tmp_path: Path) -> None:
    run = oaktag("make", ALTO, "-o", "out", "--only", "svg", "--json", cwd=tmp_path)
    told = json.loads(run.stdout)
    assert [Path(path).name for path in told["written"]] == ["pattern.svg", "alto-3.toml"]
    assert all((tmp_path / path).exists() for path in told["written"])
    assert {"id", "severity", "passed", "measured", "limit", "unit", "size", "message"} == set(told["checks"][0])


def test_what_was_assumed_is_told(tmp_path: Path) -> None:
    run = oaktag("make", FIXTURES / "choir" / "worked.toml", "-o", "out", "--only", "json", cwd=tmp_path)
    assert run.returncode == 0
    assert re.search(r"^note +bust_point_width was not measured; assumed", run.stdout, re.MULTILINE)


def test_a_failed_check_stops_the_writing_with_exit_code_1(tmp_path: Path) -> None:
    path = alto_with(tmp_path, HOBBLED)
    run = oaktag("make", path, "-o", "out", cwd=tmp_path)
    assert run.returncode == 1
    assert not (tmp_path / "out").exists()
    assert "nothing was written" in run.stderr
    assert "walk.stride" in run.stderr
    assert re.search(r"^ERROR +walk\.stride: .*the shortest vent that passes is \d", run.stdout, re.MULTILINE)
    no_traceback(run)
    check = oaktag("check", path, cwd=tmp_path)
    assert check.returncode == 1
    told = json.loads(oaktag("make", path, "-o", "out", "--json", cwd=tmp_path).stdout)
    assert told["written"] == []
    assert [c["id"] for c in told["checks"] if not c["passed"] and c["severity"] == "error"] == ["walk.stride"]


def test_despite_lets_a_named_check_fail_and_no_other(tmp_path: Path) -> None:
    path = alto_with(tmp_path, HOBBLED)
    other = oaktag("make", path, "-o", "out", "--only", "json", "--despite", "zip.reach", cwd=tmp_path)
    assert other.returncode == 1
    assert not (tmp_path / "out").exists()
    run = oaktag("make", path, "-o", "out", "--only", "json", "--despite", "walk.stride", cwd=tmp_path)
    assert run.returncode == 0
    written = json.loads((tmp_path / "out" / "pattern.json").read_text(encoding="utf-8"))
    assert [c["id"] for c in written["checks"] if not c["passed"] and c["severity"] == "error"] == ["walk.stride"]
    assert oaktag("check", path, "--despite", "walk.stride", cwd=tmp_path).returncode == 0


def test_a_check_that_there_is_not_cannot_be_waved_through_unnoticed(tmp_path: Path) -> None:
    """A slip in --despite must not look as if it had been heeded."""
    path = alto_with(tmp_path, HOBBLED)
    run = oaktag("make", path, "-o", "out", "--only", "json", "--despite", "walk.strid", cwd=tmp_path)
    assert run.returncode in (1, 2)
    assert "walk.stride" in run.stderr


@pytest.mark.parametrize("style", ["", HOBBLED])
def test_the_chalk_card_too_is_written_despite_known_checks_only(style: str, tmp_path: Path) -> None:
    path = alto_with(tmp_path, style)
    slip = oaktag("steps", path, "--card", "card.pdf", "--despite", "walk.strid", cwd=tmp_path)
    assert slip.returncode == 2
    assert "--despite walk.strid: no check has this id" in slip.stderr
    assert "Write --despite walk.stride" in slip.stderr
    assert not (tmp_path / "card.pdf").exists()
    run = oaktag("steps", path, "--card", "card.pdf", "--despite", "walk.stride", cwd=tmp_path)
    assert run.returncode == 0
    assert (tmp_path / "card.pdf").read_bytes().startswith(b"%PDF")


# ------------------------------------------------------------------------------------------------- bad input


def test_an_unknown_command_offers_the_near_one(tmp_path: Path) -> None:
    run = oaktag("maek", ALTO, cwd=tmp_path)
    assert run.returncode == 2
    assert "Write oaktag make." in run.stderr
    far = oaktag("xyzzy", cwd=tmp_path)
    assert far.returncode == 2
    assert "oaktag --help" in far.stderr
    no_traceback(run)


BAD: list[tuple[str, str, str, tuple[str, ...]]] = [
    # what is changed in the alto's job, into what, the line and key that is told, words that must be there
    ('units   = "in"', 'units = "inch"', ":4 units", ('"in"',)),
    ('hip_girth          = "104 cm"', "hip_girth = 104", ":9 measurements.hip_girth", ("inches", '"104 cm"')),
    ("bust_girth         = 38", "bust_grith = 38", ":8 measurements.bust_grith", ("bust_girth",)),
    ('waist_girth        = "30 1/2"', "waist_girth = 30 1/2", ":9", ('waist_girth = "30 1/2"', "quotes")),
    ('sleeve = "short"', 'sleeve = "shirt"', "style.sleeve", ('"short"',)),
    ("length = 40", "lenght = 40", "style.lenght", ("length",)),
    ("length = 40", "length = 400", "style.length", ("too much", "length")),
    ('garment = "sheath-dress"', 'garment = "sheet-dress"', ":3 garment", ("sheath-dress",)),
    ("[output]", "[allowances]\nsid = 1\n\n[output]", "allowances.sid", ("side",)),
    ('paper   = "letter"', 'paper = "lettre"', "output.paper", ("letter",)),
    ('shoulder_width     = "15 1/2"', "", "measurements", ("shoulder_width = ...", "From shoulder point")),
    ("upper_arm_girth    = 12", "upper_arm_girth = -12", "measurements.upper_arm_girth", ("-12",)),
    ("length = 40", "length = 22", "front: the hem", ("Make length", "or more")),
]


@pytest.mark.parametrize(("old", "new", "place", "words"), BAD)
def test_bad_input_is_told_with_its_place_and_what_to_write(
    old: str, new: str, place: str, words: tuple[str, ...], tmp_path: Path
) -> None:
    text = ALTO.read_text(encoding="utf-8")
    assert old in text
    path = job(tmp_path, text.replace(old, new))
    run = oaktag("make", path.name, "-o", "out", cwd=tmp_path)
    assert run.returncode == 2, run.stdout + run.stderr
    assert not (tmp_path / "out").exists()
    assert run.stdout == ""
    assert place.lstrip(":0123456789") in run.stderr
    if not place.startswith("front"):
        assert "job.toml" in run.stderr
    for word in words:
        assert word in run.stderr
    no_traceback(run)


@pytest.mark.parametrize("path", sorted((FIXTURES / "bad").glob("*.toml")), ids=lambda path: path.stem)
def test_the_bad_fixtures_are_refused_without_a_traceback(path: Path, tmp_path: Path) -> None:
    run = oaktag("check", path, cwd=tmp_path)
    assert run.returncode == 2
    assert len(run.stderr) > 30
    assert run.stdout == ""
    no_traceback(run)


def test_every_mistake_of_a_file_is_told_at_once_in_its_order(tmp_path: Path) -> None:
    text = ALTO.read_text(encoding="utf-8").replace("bust_girth         = 38", 'bust_girth = "wide"')
    run = oaktag("make", job(tmp_path, text.replace("length = 40", "length = 4")).name, cwd=tmp_path)
    assert run.returncode == 2
    lines = [int(n) for n in re.findall(r"^job\.toml:(\d+) ", run.stderr, re.MULTILINE)]
    assert len(lines) == 2
    assert lines == sorted(lines)


def test_a_job_that_is_not_there_offers_the_near_name(tmp_path: Path) -> None:
    job(tmp_path, "", "alto-3.toml")
    run = oaktag("make", "alto3.toml", cwd=tmp_path)
    assert run.returncode == 2
    assert "no such file" in run.stderr
    assert "alto-3.toml" in run.stderr


@pytest.mark.parametrize("arguments", [("make",), ("garment",), ("garment", "sheet-dress"), ("verify", "nowhere")])
def test_wrong_arguments_are_exit_code_2(arguments: tuple[str, ...], tmp_path: Path) -> None:
    run = oaktag(*arguments, cwd=tmp_path)
    assert run.returncode == 2
    assert run.stderr
    no_traceback(run)


def test_names_that_a_shell_can_hold_are_no_trouble(tmp_path: Path) -> None:
    folder = tmp_path / "Ännchens Kleid (neu)"
    folder.mkdir()
    path = job(folder, ALTO.read_text(encoding="utf-8"), "größe 38.toml")
    run = oaktag("make", path, "--only", "json", cwd=folder)
    assert run.returncode == 0, run.stderr
    assert (folder / "größe 38-pattern" / "pattern.json").exists()


# ------------------------------------------------------------------------------------------------------------ init


def test_init_then_filled_in_then_made(tmp_path: Path) -> None:
    run = oaktag("init", "new.toml", "--units", "cm", cwd=tmp_path)
    assert run.returncode == 0
    path = tmp_path / "new.toml"
    text = path.read_text(encoding="utf-8")
    asked = re.findall(r'^(\w+) = "" +# ', text, re.MULTILINE)
    assert set(asked) == set(find_garment("sheath-dress").needs({"sleeve": "short"}))
    sizes = {"bust_girth": "96", "waist_girth": '"77,5"', "hip_girth": "104", "shoulder_width": '"15 1/2 in"',
             "back_waist_length": "41", "upper_arm_girth": "30"}  # fmt: skip
    for name, size in sizes.items():
        text = re.sub(rf'^{name} = ""', f"{name} = {size}", text, flags=re.MULTILINE)
    path.write_text(text, encoding="utf-8")
    made = oaktag("make", "new.toml", "--only", "json", cwd=tmp_path)
    assert made.returncode == 0, made.stderr
    written = json.loads((tmp_path / "new-pattern" / "pattern.json").read_text(encoding="utf-8"))
    front = next(piece for piece in written["pieces"] if piece["name"] == "front")
    assert front["points"]["shoulder_tip"][0] == pytest.approx(15.5 * 25.4 / 2, abs=1e-3)
    assert front["points"]["underarm"][0] == pytest.approx((960 + 50) / 4, abs=1e-3)


def test_init_as_it_is_says_what_to_fill_in(tmp_path: Path) -> None:
    oaktag("init", "new.toml", cwd=tmp_path)
    run = oaktag("make", "new.toml", cwd=tmp_path)
    assert run.returncode == 2
    for name in find_garment("sheath-dress").needs({"sleeve": "short"}):
        assert re.search(rf"^new\.toml:\d+ measurements\.{name}: ", run.stderr, re.MULTILINE)
    no_traceback(run)


@pytest.mark.parametrize("units", ["in", "cm", "mm"])
def test_every_default_that_init_shows_is_taken_when_it_is_uncommented(units: str, tmp_path: Path) -> None:
    oaktag("init", "new.toml", "--units", units, cwd=tmp_path)
    text = (tmp_path / "new.toml").read_text(encoding="utf-8")
    head, rest = text.split("[style]")
    for name, size in (("bust", 38), ("waist", 30.5), ("hip", 41)):
        head = re.sub(rf'^{name}_girth = ""', f'{name}_girth = "{size} in"', head, flags=re.MULTILINE)
    for name, size in (("shoulder_width", 15.5), ("back_waist_length", 16), ("upper_arm_girth", 12)):
        head = re.sub(rf'^{name} = ""', f'{name} = "{size} in"', head, flags=re.MULTILINE)
    rest = re.sub(r'^# (\w+ = ("[^"]|\[))', r"\1", rest, flags=re.MULTILINE)
    job(tmp_path, head + "[style]" + rest, "full.toml")
    run = oaktag("check", "full.toml", cwd=tmp_path)
    assert run.returncode == 0, run.stderr + run.stdout


def test_init_does_not_write_over_a_file_unless_told(tmp_path: Path) -> None:
    path = job(tmp_path, "mine", "new.toml")
    run = oaktag("init", "new.toml", cwd=tmp_path)
    assert run.returncode == 2
    assert "--force" in run.stderr
    assert path.read_text() == "mine"
    assert oaktag("init", "new.toml", "--force", cwd=tmp_path).returncode == 0
    assert "sheath-dress" in path.read_text(encoding="utf-8")


# -------------------------------------------------------------------------------------------- files and file systems


def test_a_file_in_the_way_is_exit_code_3_and_nothing_is_changed(tmp_path: Path) -> None:
    (tmp_path / "out").write_text("my notes")
    run = oaktag("make", ALTO, "-o", "out", cwd=tmp_path)
    assert run.returncode == 3
    assert "a folder is needed" in run.stderr
    assert "-o" in run.stderr
    assert (tmp_path / "out").read_text() == "my notes"
    no_traceback(run)


def test_earlier_output_stays_whole_when_a_later_run_cannot_write(tmp_path: Path) -> None:
    assert oaktag("make", ALTO, "-o", "out", "--only", "json", "--only", "svg", cwd=tmp_path).returncode == 0
    before = (tmp_path / "out" / "pattern.json").read_bytes()
    (tmp_path / "out" / "report.html").mkdir()  # a folder stands where a file should go
    run = oaktag("make", SOPRANO, "-o", "out", "--only", "json", "--only", "report", "--replace", cwd=tmp_path)
    assert run.returncode == 3
    assert "report.html" in run.stderr
    assert "Nothing was changed" in run.stderr
    assert (tmp_path / "out" / "pattern.json").read_bytes() == before
    assert sorted(path.name for path in (tmp_path / "out").iterdir()) == [
        "job", "pattern.json", "pattern.svg", "report.html",
    ]  # fmt: skip
    assert [path.name for path in (tmp_path / "out" / "job").iterdir()] == ["alto-3.toml"]
    no_traceback(run)


def test_init_into_a_file_is_exit_code_3(tmp_path: Path) -> None:
    (tmp_path / "notes").write_text("x")
    run = oaktag("init", "notes/new.toml", cwd=tmp_path)
    assert run.returncode == 3
    no_traceback(run)


@pytest.mark.skipif(sys.platform == "win32", reason="no /dev/full")
def test_a_full_terminal_is_exit_code_3(tmp_path: Path) -> None:
    with Path("/dev/full").open("w") as full:
        run = subprocess.run(
            [sys.executable, "-m", "oaktag", "check", str(ALTO)], cwd=tmp_path, stdout=full, stderr=subprocess.PIPE,
            text=True,
        )  # fmt: skip
    assert run.returncode == 3
    assert "Traceback" not in run.stderr


# ------------------------------------------------------------------------------------------ same input, same bytes


def files_of(folder: Path) -> dict[str, bytes]:
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


@pytest.mark.parametrize("name", ["alto-3", "soprano-1"])
def test_same_input_same_bytes(name: str, tmp_path: Path) -> None:
    """From two folders, with two seeds of Python's hashes, in two time zones, in two languages, under two paths."""
    here, there = tmp_path / "here", tmp_path / "there" / "deeper"
    here.mkdir()
    there.mkdir(parents=True)
    original = FIXTURES / "choir" / f"{name}.toml"
    copy = there / original.name
    shutil.copy(original, copy)
    first = oaktag_alone("make", original, "-o", "out", cwd=here, seed="1", TZ="UTC", LC_ALL="C.UTF-8")
    second = oaktag_alone("make", copy.name, "-o", "out", cwd=there, seed="4242", TZ="Asia/Tokyo", LC_ALL="de_DE.UTF-8")
    assert (first.returncode, second.returncode) == (0, 0), first.stderr + second.stderr
    a, b = files_of(here / "out"), files_of(there / "out")
    assert list(a) and set(a) == set(b)
    assert [file for file in a if a[file] != b[file]] == []
    for file, content in a.items():
        assert str(tmp_path).encode() not in content, file


def test_writing_again_changes_no_byte(tmp_path: Path) -> None:
    states = []
    for _ in range(2):
        assert oaktag("make", ALTO, "-o", "out", "--only", "json", "--only", "dxf", cwd=tmp_path).returncode == 0
        states.append(files_of(tmp_path / "out"))
    assert set(states[0]) == {"pattern.json", "pattern.dxf", "job/alto-3.toml"}
    assert states[0] == states[1]


def test_results_go_to_stdout_and_messages_to_stderr(tmp_path: Path) -> None:
    good = oaktag("check", ALTO, cwd=tmp_path)
    assert good.stderr == ""
    assert "\x1b" not in good.stdout  # no colours in a pipe
    bad = oaktag("check", "nothing.toml", cwd=tmp_path)
    assert bad.stdout == ""


# ------------------------------------------------------------------------------------------------- fast to start


def loaded_by(tmp_path: Path, *arguments: object) -> set[str]:
    """The modules that are there after a verb has run."""
    code = (
        "import sys\n"
        f"sys.argv = ['oaktag', *{[str(a) for a in arguments]!r}]\n"
        "from oaktag.__main__ import ended\n"
        "code = ended()\n"
        "print('LOADED', *sys.modules)\n"
        "print('CODE', code)\n"
    )
    run = subprocess.run([sys.executable, "-c", code], cwd=tmp_path, capture_output=True, text=True, env=os.environ)
    assert "CODE 0" in run.stdout, run.stdout + run.stderr
    line = next(line for line in run.stdout.splitlines() if line.startswith("LOADED "))
    return {name.split(".")[0] for name in line.split()[1:]} | set(line.split()[1:])


def test_help_loads_nothing_heavy(tmp_path: Path) -> None:
    loaded = loaded_by(tmp_path, "--help")
    assert not loaded & {*HEAVY, "tomllib", "json"}
    assert {name for name in loaded if name.startswith("oaktag.")} <= {
        "oaktag.__main__",
        "oaktag.cli",
        "oaktag.errors",
        "oaktag.values",
    }


def test_make_loads_no_large_library(tmp_path: Path) -> None:
    loaded = loaded_by(tmp_path, "make", ALTO, "-o", "out", "--only", "json", "--only", "dxf", "--only", "hpgl",
                       "--only", "svg", "--only", "report")  # fmt: skip
    assert not loaded & (HEAVY - {"pyclipper"})
    assert "oaktag.draft.garment" in loaded


def test_make_of_every_format_loads_no_numpy(tmp_path: Path) -> None:
    assert not loaded_by(tmp_path, "make", ALTO, "-o", "out") & {"numpy", "shapely", "ezdxf", "svgelements", "pyogrio"}


def test_nothing_of_this_machine_is_in_the_package() -> None:
    for path in (ROOT / "src").rglob("*.py"):
        text = path.read_text(encoding="utf-8")
        assert str(ROOT) not in text, path


# ------------------------------------------------------------------------------------------------ however it ends


def door(tmp_path: Path, body: str, **more: str) -> subprocess.CompletedProcess[str]:
    """The program with `body` in place of its verbs, in a process of its own."""
    code = (
        f"import sys, oaktag.cli\ndef run():\n    {body}\noaktag.cli.run = run\nimport oaktag.__main__ as d\nd.main()\n"
    )
    environment = {**os.environ, "TMPDIR": str(tmp_path), **more}
    return subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, env=environment)


def test_a_fault_of_the_program_is_one_sentence_and_its_details_a_file(tmp_path: Path) -> None:
    run = door(tmp_path, "raise KeyError('seat')")
    assert run.returncode == 4 and run.stdout == ""
    assert run.stderr.count("\n") == 1 and "a fault of the program, not of your file (KeyError)" in run.stderr
    (details,) = tmp_path.glob("oaktag-fault-*.txt")
    assert str(details) in run.stderr and details.stat().st_mode & 0o077 == 0
    assert "Traceback" in details.read_text(encoding="utf-8") and "KeyError: 'seat'" in details.read_text(
        encoding="utf-8"
    )


def test_oaktag_trace_shows_the_fault_at_once(tmp_path: Path) -> None:
    run = door(tmp_path, "raise KeyError('seat')", OAKTAG_TRACE="1")
    assert run.returncode == 4 and "Traceback" in run.stderr
    assert not list(tmp_path.glob("oaktag-fault-*"))


def test_used_up_memory_is_said_so(tmp_path: Path) -> None:
    run = door(tmp_path, "raise MemoryError")
    assert run.returncode == 4 and "the memory is used up" in run.stderr


@pytest.mark.parametrize(
    ("body", "code"),
    [
        ("raise KeyboardInterrupt", 130),
        ("import os, signal, time; os.kill(os.getpid(), signal.SIGINT); time.sleep(9)", 130),
        ("import os, signal, time; os.kill(os.getpid(), signal.SIGTERM); time.sleep(9)", 143),
    ],
)
def test_ctrl_c_and_sigterm_end_quietly(tmp_path: Path, body: str, code: int) -> None:
    run = door(tmp_path, body)
    assert (run.returncode, run.stderr, run.stdout) == (code, "stopped\n", "")


@pytest.mark.parametrize(
    "body",
    [
        "import atexit; atexit.register(print, 'the end'); return 3",
        "import threading; threading.Timer(0.2, print, ['the end']).start(); return 3",
    ],
    ids=["at the end", "a thread"],
)
def test_what_waits_for_the_end_has_its_turn(tmp_path: Path, body: str) -> None:
    run = door(tmp_path, body)
    assert (run.returncode, run.stdout, run.stderr) == (3, "the end\n", "")


def test_ctrl_c_during_the_imports_is_no_traceback(tmp_path: Path) -> None:
    (tmp_path / "click.py").write_text("raise KeyboardInterrupt\n", encoding="utf-8")
    run = oaktag_alone("--help", cwd=tmp_path)
    assert (run.returncode, run.stderr) == (130, "stopped\n")


def test_ctrl_c_inside_a_verb_is_130(tmp_path: Path) -> None:
    code = (
        "import oaktag.pipeline, oaktag.__main__ as d, sys\n"
        "def make(*a, **k): raise KeyboardInterrupt\n"
        "oaktag.pipeline.make = make\n"
        f"sys.argv = ['oaktag', 'make', {str(ALTO)!r}, '-o', 'out']\nd.main()\n"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, cwd=tmp_path)
    assert run.returncode == 130 and run.stderr.strip() == "stopped" and not (tmp_path / "out").exists()


def test_a_closed_pipe_ends_quietly(tmp_path: Path) -> None:
    command = f"{sys.executable} -m oaktag steps {ALTO}"
    run = subprocess.run(["bash", "-c", f"{command} | true; echo ${{PIPESTATUS[0]}}"], capture_output=True, text=True)
    assert run.stderr == "" and run.stdout in ("0\n", "3\n")


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no full device here")
def test_full_streams_are_no_traceback(tmp_path: Path) -> None:
    with Path("/dev/full").open("w") as full:
        run = subprocess.run([sys.executable, "-m", "oaktag", "steps", str(ALTO)], stdout=full, stderr=subprocess.PIPE)
        assert run.returncode == 3 and b"No space left" in run.stderr and b"Traceback" not in run.stderr
        told = [sys.executable, "-m", "oaktag", "make", "nowhere.toml"]
        assert subprocess.run(told, stdout=full, stderr=full, cwd=tmp_path).returncode == 2


NO_NUMBERS = (
    ("lay", ALTO, "--cloth-width", "60in", "--quantity", "0"),
    ("lay", ALTO, "--cloth-width", "60in", "--quantity", "2001"),
    ("lay", ALTO, "--cloth-width", "60in", "--quantity", "99999999"),
    ("lay", ALTO, "--cloth-width", "60in", "--quantity", "²"),
    ("lay", ALTO, "--cloth-width", "60in", "--quantity", "9" * 5000),
    ("lay", ALTO, "--cloth-width", "60in", "--seconds", "nan"),
    ("lay", ALTO, "--cloth-width", "60in", "--grain-tolerance", "inf"),
    ("finish", FIXTURES / "drawings" / "skirt.svg", "--gap", "nan"),
    ("finish", FIXTURES / "drawings" / "skirt.svg", "--corner-angle", "nan"),
    ("make", ALTO, "-o", ""),
    ("steps", ALTO, "--despite", "nonsense"),
)


@pytest.mark.parametrize("words", NO_NUMBERS, ids=lambda words: " ".join(map(str, (words[0], *words[-2:])))[:40])
def test_what_is_no_number_or_name_is_refused_before_any_work(words: tuple[object, ...], tmp_path: Path) -> None:
    run = oaktag(*words, cwd=tmp_path)
    assert run.returncode == 2 and run.stderr and not list(tmp_path.iterdir())
    no_traceback(run)


@pytest.mark.parametrize("closed", ["0<&-", "1>&-", "2>&-", "0<&- 1>&- 2>&-"])
@pytest.mark.skipif(os.name == "nt", reason="no such shell")
def test_closed_streams_are_no_fault(closed: str, tmp_path: Path) -> None:
    """As a timer or a service starts programs; a plot is not written into what should have been a message."""
    shutil.copy(ALTO, tmp_path / "alto.toml")
    (tmp_path / "a.plt").write_text("IN;SP1;PU0,0;PD400,0,400,400,0,0;PU;SP0;")
    (tmp_path / "wire").touch()
    verbs = "make alto.toml -o out --only json", "send a.plt --to roll-914 --at file:wire", "make nowhere.toml"
    for verb, ends in zip(verbs, (0, 0, 2), strict=True):
        run = subprocess.run(["bash", "-c", f"{sys.executable} -m oaktag {verb} {closed}"], cwd=tmp_path, check=False,
                             env=os.environ | {"OAKTAG_DEVICES": str(tmp_path / "devices")})  # fmt: skip
        assert run.returncode == ends, verb
    assert (tmp_path / "wire").read_text() == (tmp_path / "a.plt").read_text()


@pytest.mark.parametrize("typed", ["oaktag zz ", "oaktag 'x", "oaktag make --no", ""])
def test_a_shell_that_asks_what_could_come_next_is_told_of_no_fault(typed: str, tmp_path: Path) -> None:
    """As when the tabulator is pressed behind a verb that there is none of."""
    asked = {"_OAKTAG_COMPLETE": "bash_complete", "COMP_WORDS": typed, "COMP_CWORD": "2"} if typed else {
        "_OAKTAG_COMPLETE": "bash_complete"}  # fmt: skip
    run = subprocess.run([sys.executable, "-m", "oaktag"], cwd=tmp_path, capture_output=True, text=True, check=False,
                         env=os.environ | asked)  # fmt: skip
    assert run.returncode == 0 and run.stderr == ""
