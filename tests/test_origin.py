"""A folder knows the job that it was made from; single pieces go into a folder of their own."""

from __future__ import annotations

import json
import re
import tomllib
from pathlib import Path

import pypdfium2 as pdfium
import pytest

from oaktag.errors import InputError
from oaktag.origin import COPIES, Origin, origin_of, refuse_another, write_made
from wardrobe import oaktag

FIXTURES = Path(__file__).parent.parent / "fixtures"
ALTO = (FIXTURES / "choir" / "alto-3.toml").read_text(encoding="utf-8")
QUICK = ("--only", "json")


def written(path: Path, text: str) -> Path:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, encoding="utf-8")
    return path


def files(folder: Path) -> dict[str, bytes]:
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


# --------------------------------------------------------------------------------------------------- another job


@pytest.fixture
def room(tmp_path: Path) -> Path:
    """Rosa's pattern, made; and the same dress for Maria, in a file of her own."""
    written(tmp_path / "rosa.toml", ALTO)
    written(tmp_path / "maria.toml", re.sub(r"(?m)^bust_girth .*", "bust_girth = 40", ALTO))
    assert oaktag("make", "rosa.toml", *QUICK, cwd=tmp_path).returncode == 0
    return tmp_path


def test_another_job_is_not_written_over_a_pattern(room: Path) -> None:
    before = files(room / "rosa-pattern")
    for verb in (("make",), ("lay", "--cloth-width", "60in", "--seconds", "0")):
        run = oaktag(verb[0], "maria.toml", "-o", "rosa-pattern", *verb[1:], cwd=room)
        assert run.returncode == 2
        assert run.stderr.strip() == (
            "rosa-pattern: the folder holds the pattern of another job, rosa.toml, “Lighthouse choir, alto 3”, and "
            "this is maria.toml; expected a folder of its own for each job. Name another folder with -o, or add "
            "--replace to write over it."
        )
        assert files(room / "rosa-pattern") == before


def test_a_job_that_was_edited_is_the_same_job(room: Path) -> None:
    written(room / "rosa.toml", re.sub(r"(?m)^bust_girth .*", "bust_girth = 39", ALTO))
    assert oaktag("make", "rosa.toml", *QUICK, cwd=room).returncode == 0
    assert "bust_girth = 39" in (room / "rosa-pattern" / COPIES / "rosa.toml").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("alto 3", "alto 4", "another job, rosa.toml, “Lighthouse choir, alto 3”, and this is rosa.toml"),
        ("title ", 'client = "Maria"\ntitle ', "rosa.toml, “Lighthouse choir, alto 3” for another client"),
    ],
)
def test_another_title_or_client_is_another_job(room: Path, old: str, new: str, told: str) -> None:
    written(room / "rosa.toml", ALTO.replace(old, new, 1))
    run = oaktag("make", "rosa.toml", *QUICK, cwd=room)
    assert (run.returncode, told in run.stderr) == (2, True), run.stderr


def test_replaced_nothing_of_the_other_job_stays_and_nothing_else_goes(room: Path) -> None:
    folder = room / "rosa-pattern"
    for name in ("pattern-a4.pdf", "report.html", "lay-shell.plt", "notes.txt", "pattern of hers.pdf"):
        written(folder / name, "Rosa")
    assert oaktag("make", "maria.toml", "-o", "rosa-pattern", "--replace", *QUICK, cwd=room).returncode == 0
    assert set(files(folder)) == {"pattern.json", "job/maria.toml", "notes.txt", "pattern of hers.pdf"}
    assert oaktag("make", "maria.toml", "-o", "rosa-pattern", *QUICK, cwd=room).returncode == 0  # now it is hers


def test_a_folder_made_before_copies_were_kept_is_known_by_its_title(room: Path) -> None:
    (room / "rosa-pattern" / COPIES / "rosa.toml").unlink()
    written(room / "other.toml", ALTO.replace("alto 3", "alto 4"))
    run = oaktag("make", "other.toml", "-o", "rosa-pattern", *QUICK, cwd=room)
    assert run.returncode == 2 and "another job, “Lighthouse choir, alto 3”" in run.stderr
    assert oaktag("make", "rosa.toml", *QUICK, cwd=room).returncode == 0


# ------------------------------------------------------------------------------------------- what lies in the folder


def test_the_folder_can_be_made_again_from_itself_byte_for_byte(tmp_path: Path) -> None:
    """With a measurements file elsewhere and a device beside it; no path of the machine is in the copies."""
    body = ALTO.split("[measurements]\n")[1].split("\n[")[0]
    rest = ALTO.replace(f"[measurements]\n{body}\n", "", 1)
    written(tmp_path / "clients" / "book.toml", f'units = "in"\n{body}')
    written(
        tmp_path / "jobs" / "mine.toml", (Path(FIXTURES).parent / "src/oaktag/device/devices/roll-610.toml").read_text()
    )
    job = 'measurements = "../clients/book.toml"\n' + rest.replace("[output]", "[output]\ndevice = 'mine.toml'")
    written(tmp_path / "jobs" / "rosa.toml", job)
    first = oaktag("make", "jobs/rosa.toml", "-o", "first", cwd=tmp_path)
    assert first.returncode == 0, first.stderr
    (tmp_path / "clients").rename(tmp_path / "gone")
    again = oaktag("make", "first/job/rosa.toml", "-o", "again", cwd=tmp_path)
    assert again.returncode == 0, again.stderr
    made = files(tmp_path / "first")
    assert files(tmp_path / "again") == made
    assert {name for name in made if name.startswith("job/")} == {"job/rosa.toml", "job/book.toml", "job/mine.toml"}
    assert not any(str(tmp_path).encode() in content for content in made.values())


def test_every_file_that_a_job_names_is_copied_under_one_name_each(tmp_path: Path) -> None:
    for name in ("a/x.csv", "b/x.csv", "c/lay.json", "p.toml"):
        written(tmp_path / name, name)
    text = (
        'garment = "sheath-dress"  # chart = "a/x.csv"\ntitle = "chart"\n[sizes]\nchart="a/x.csv"\n'
        "rules = 'b/x.csv'\n"
        '[output]\nlay = "c/lay.json"\nprinter = "./p.toml"\ndevice = "roll-914"\n'
    )
    origin = origin_of(written(tmp_path / "set.toml", text))
    assert dict(origin.copies) == {
        "set.toml": origin.copies["set.toml"], "x.csv": b"a/x.csv", "rules-x.csv": b"b/x.csv",
        "lay.json": b"c/lay.json", "p.toml": b"p.toml",
    }  # fmt: skip
    told = tomllib.loads(origin.copies["set.toml"].decode())
    assert told["sizes"] == {"chart": "x.csv", "rules": "rules-x.csv"}
    assert told["output"] == {"lay": "lay.json", "printer": "p.toml", "device": "roll-914"}
    plain = written(tmp_path / "plain.toml", '\ufeffgarment = "sheath-dress"\r\n[sizes]\r\nchart = "women"\r\n')
    assert dict(origin_of(plain).copies) == {"plain.toml": plain.read_bytes()}  # word for word


def test_a_drawing_that_was_finished_without_a_plan_can_be_made_again(tmp_path: Path) -> None:
    drawing = FIXTURES / "drawings" / "skirt.svg"
    plan = FIXTURES / "drawings" / "skirt.toml"
    done = oaktag("finish", drawing, "--plan", plan, "-o", "skirt", *QUICK, cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert oaktag("make", "skirt/job/skirt.toml", "-o", "again", *QUICK, cwd=tmp_path).returncode == 0
    assert files(tmp_path / "again") == files(tmp_path / "skirt")
    bare_skirt = oaktag("finish", drawing, "--outline", "stitch line", "-o", "first", *QUICK, cwd=tmp_path)
    assert bare_skirt.returncode == 0, bare_skirt.stderr
    again = oaktag("make", "first/job/skirt.toml", "-o", "second", *QUICK, cwd=tmp_path)
    assert again.returncode == 0, again.stderr
    made = files(tmp_path / "first")
    assert files(tmp_path / "second") == made
    assert b"../" not in made["job/skirt.toml"]  # no word of where the drawing lay
    plan = written(tmp_path / "x.toml", 'units = "cm"\ndrawing = "../../skirt.svg"\n')
    origin = origin_of(plan, drawing=drawing)
    assert tomllib.loads(origin.copies["x.toml"].decode())["drawing"] == "skirt.svg"
    assert origin.copies["skirt.svg"] == drawing.read_bytes()
    bare = origin_of(written(tmp_path / "x.toml", 'units = "cm"\n'), drawing=drawing)
    assert tomllib.loads(bare.copies["x.toml"].decode())["drawing"] == "skirt.svg"


def test_pattern_data_that_was_finished_with_its_table_of_rules_can_be_made_again(tmp_path: Path) -> None:
    for name in ("base.dxf", "base.rul"):
        written(tmp_path / "from" / name, (FIXTURES / "exchange" / name).read_text())
    done = oaktag("finish", "from/base.dxf", "--outline", "cut line", "-o", "apron", *QUICK, cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    told = tomllib.loads((tmp_path / "apron/job/base.toml").read_text())
    assert (told["drawing"], told["sizes"]["rules"]) == ("base.dxf", "base.rul")
    assert oaktag("make", "apron/job/base.toml", "-o", "again", *QUICK, cwd=tmp_path).returncode == 0
    made, again = files(tmp_path / "apron"), files(tmp_path / "again")
    assert made["job/base.rul"] == again["job/base.rul"]
    assert json.loads(made["pattern.json"])["pieces"] == json.loads(again["pattern.json"])["pieces"]


def test_files_and_copies_appear_together_or_not_at_all(tmp_path: Path) -> None:
    origin = origin_of(written(tmp_path / "rosa.toml", ALTO))
    folder = tmp_path / "made"
    written(folder / COPIES, "a file where the folder of the copies belongs")
    with pytest.raises(Exception, match="this is a file, and a folder is needed"):
        write_made(folder, {"pattern.json": b"{}"}, origin, stale=False)
    assert set(files(folder)) == {COPIES}


@pytest.mark.parametrize("held", ["", "not = [toml", "[[a]]\n" * 9, 'garment = 3\ntitle = ["x"]'])
def test_odd_things_in_the_folder_of_the_copies_stop_nobody(tmp_path: Path, held: str) -> None:
    origin = origin_of(written(tmp_path / "rosa.toml", ALTO))
    written(tmp_path / "made" / COPIES / "odd.toml", held)
    written(tmp_path / "made" / "pattern.json", "[1, 2")
    try:
        refuse_another(tmp_path / "made", origin, "Lighthouse choir, alto 3", replace=False)
    except InputError as error:
        assert "odd.toml" in str(error)  # it says that it is a job, of another name


# ------------------------------------------------------------------------------------------------- single pieces


def test_single_pieces_in_every_format_in_a_folder_of_their_own(tmp_path: Path) -> None:
    written(tmp_path / "rosa.toml", ALTO)
    assert oaktag("make", "rosa.toml", cwd=tmp_path).returncode == 0
    whole = json.loads((tmp_path / "rosa-pattern" / "pattern.json").read_text(encoding="utf-8"))
    before = files(tmp_path / "rosa-pattern")
    run = oaktag("make", "rosa.toml", "--piece", "sleeve", "--piece", "Facing front", cwd=tmp_path)
    assert run.returncode == 0, run.stderr
    folder = tmp_path / "rosa-sleeve-facing_front"
    assert set(files(folder)) == set(before) - {"report.html"}
    assert files(tmp_path / "rosa-pattern") == before
    made = json.loads((folder / "pattern.json").read_text(encoding="utf-8"))
    assert made["pieces"] == [p for p in whole["pieces"] if p["name"] in ("sleeve", "facing_front")]  # labels and all
    assert [seam["name"] for seam in made["seams"]] == ["underarm seam"]
    assert made["checks"] == whole["checks"]  # of the whole pattern
    proved = oaktag("verify", folder, cwd=tmp_path)
    assert proved.returncode == 0, proved.stdout
    assert {line.split(":")[0].split()[-1] for line in proved.stdout.splitlines() if ": " in line} >= {"sleeve"}
    assert "front: " not in proved.stdout.replace("facing_front: ", "")
    few, all_of_it = (
        len(pdfium.PdfDocument(place / "pattern-letter.pdf")) for place in (folder, tmp_path / "rosa-pattern")
    )
    assert few < all_of_it


def test_a_piece_of_a_set_keeps_every_size(tmp_path: Path) -> None:
    job = written(tmp_path / "set.toml", (FIXTURES / "choir" / "stage-dress.toml").read_text(encoding="utf-8"))
    text = job.read_text(encoding="utf-8").replace('"choir.csv"', f'"{FIXTURES / "charts" / "choir.csv"}"')
    job.write_text(text, encoding="utf-8")
    run = oaktag("make", "set.toml", "--piece", "facing_back", cwd=tmp_path)
    assert run.returncode == 0, run.stderr
    folder = tmp_path / "set-facing_back"
    made = json.loads((folder / "pattern.json").read_text(encoding="utf-8"))
    assert {p["name"] for p in made["pieces"]} == {"facing_back"}
    assert len(made["pieces"]) == len(made["sizes"]) > 1
    proved = oaktag("verify", folder, cwd=tmp_path)
    assert proved.returncode == 0, proved.stdout


def test_a_piece_that_there_is_not_and_a_folder_that_holds_more(room: Path) -> None:
    run = oaktag("make", "rosa.toml", "--piece", "sleave", cwd=room)
    assert run.returncode == 2
    assert run.stderr.strip() == (
        "--piece sleave: this pattern has no such piece; expected one of front, back, sleeve, facing_front, "
        "facing_back. Write --piece sleeve."
    )
    assert not (room / "rosa-sleave").exists()
    run = oaktag("make", "rosa.toml", "--piece", "sleeve", "-o", "rosa-pattern", *QUICK, cwd=room)
    assert run.returncode == 2
    assert "the folder holds back, facing_back, facing_front, front as well" in run.stderr
    run = oaktag("make", "rosa.toml", "--piece", "sleeve", "--only", "report", cwd=room)
    assert run.returncode == 2 and "Leave --piece out" in run.stderr


def test_a_failing_check_of_another_piece_still_stops_it(tmp_path: Path) -> None:
    written(tmp_path / "rosa.toml", ALTO.replace("[style]", '[style]\nzip_length = "12 in"'))
    run = oaktag("make", "rosa.toml", "--piece", "sleeve", cwd=tmp_path)
    assert run.returncode == 1 and "zip.reach" in run.stdout + run.stderr
    assert not (tmp_path / "rosa-sleeve").exists()


def test_a_folder_from_before_copies_were_kept_is_known_by_its_printed_title(tmp_path: Path) -> None:
    """It holds a pattern.json alone; a job of that title may be made anew there, another may not."""
    origin = Origin("gown.toml", "gown", "", {})
    written(tmp_path / "out/pattern.json", json.dumps({"title": "Gown for Rosa"}))
    assert not refuse_another(tmp_path / "out", origin, "Gown for Rosa", replace=False)
    with pytest.raises(InputError, match="another job, “Gown for Rosa”"):
        refuse_another(tmp_path / "out", origin, "Gown for Maria", replace=False)
    assert refuse_another(tmp_path / "out", origin, "Gown for Maria", replace=True)
    written(tmp_path / "out/pattern.json", json.dumps({"title": 7}))
    assert not refuse_another(tmp_path / "out", origin, "Gown for Maria", replace=False)
