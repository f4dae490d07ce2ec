"""Garments from outside: whose file is run, and when; how a faulty one is told; the wrap apron in every verb.

Bodies and garments here are invented; numbers of the apron are worked by hand.
"""

# ruff: noqa: E501 - a garment's fault and what is told of it stand on one line

from __future__ import annotations

import hashlib
import json
import os
import random
import re
import shutil
import signal
import subprocess
import sys
import time
import warnings
import zipfile
from pathlib import Path
from typing import Any

import pytest

from oaktag.device.store import device_names
from oaktag.draft.garment import GARMENT_NAMES, Garment
from oaktag.draft.options import validated
from oaktag.errors import DeviceError, GarmentFault, InputError, InputErrors, Where
from oaktag.job import load_job
from oaktag.outside.file import garment_in
from oaktag.outside.find import garment_named, hidden_names, offered_names
from oaktag.outside.trust import LIST, is_trusted, trust, trusted_folders, withdraw
from oaktag.pipeline import pattern_of
from wardrobe import FIXTURES, oaktag, oaktag_alone

APRON = FIXTURES / "garments" / "wrap_apron.py"
JOB = """\
title   = "Lighthouse choir, wardrobe room"
garment = "wrap_apron.py"
units   = "in"
[measurements]
waist_girth = "30 1/2"
hip_girth   = 41
"""
MINIMAL = """\
from oaktag import Cut, Draft, Edge, EdgeKind, Garment, Names, Piece, Point

def cloth(body, style, unit):
    a, b, c, d = Point(0, 0), Point(0, -300), Point(200, -300), Point(200, 0)
    piece = Piece("cloth", (
        Edge.straight("left", a, b), Edge.straight("low", b, c), Edge.straight("right", c, d),
        Edge.straight("top", d, a)), points={}, grain=(Point(100, -50), Point(100, -250)))
    return Draft("tea-cloth", (piece,), (), (), (), (), body, {}, dict.fromkeys(EDGES, 10.0))

EDGES = ("left", "low", "right", "top")
GARMENT = Garment("tea-cloth", "a cloth to dry cups", cloth, lambda style: (), (), lambda: Names((), EDGES, ("cloth",)))
"""


@pytest.fixture(autouse=True)
def kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Where the maker's devices and trusted folders are kept: outside of every job."""
    place = tmp_path / "kept"
    monkeypatch.setenv("OAKTAG_DEVICES", str(place))
    monkeypatch.setenv("OAKTAG_TRACE", "1")
    return place


@pytest.fixture
def room(tmp_path: Path) -> Path:
    """A folder with a job and the apron beside it; not trusted."""
    folder = tmp_path / "room"
    folder.mkdir()
    shutil.copy(APRON, folder)
    (folder / "apron.toml").write_text(JOB, encoding="utf-8")
    return folder


def spy(room: Path, name: str = "wrap_apron.py") -> Path:
    """The apron, which leaves a mark when it is run: the path of the mark."""
    mark = room / "it-was-run"
    source = APRON.read_text(encoding="utf-8") + f"\nimport pathlib\npathlib.Path({str(mark)!r}).touch()\n"
    (room / name).write_text(source, encoding="utf-8")
    return mark


def source_with(old: str, new: str) -> str:
    assert old in MINIMAL
    return MINIMAL.replace(old, new)


def faulty(room: Path, source: str | bytes, *words: object) -> str:
    """What is told of a job with that garment: exit code 2, no traceback, nothing written."""
    data = source if isinstance(source, bytes) else source.encode()
    (room / "my_cloth.py").write_bytes(data)
    (room / "cloth.toml").write_text(
        'title = "t"\ngarment = "my_cloth.py"\nunits = "in"\n[measurements]\nwaist_girth = 30\n'
    )
    trust(room)
    done = oaktag("make", "cloth.toml", *words, cwd=room)
    assert (done.returncode, done.stdout) == (2, "")
    assert "Traceback" not in done.stderr
    assert not (room / "cloth-pattern").exists()
    assert not (room / "__pycache__").exists()
    return done.stderr.strip()


# ------------------------------------------------------------------------------------------------------------- trust


VERBS = [
    "make apron.toml", "check apron.toml", "steps apron.toml", "steps apron.toml --card card.pdf",
    "lay apron.toml --cloth-width 150cm", "project apron.toml", "garment wrap_apron.py", "garments wrap_apron.py",
    "sizes women --garment wrap_apron.py", "init new.toml --garment wrap_apron.py",
    "finish skirt.svg --plan apron.toml",
]  # fmt: skip


@pytest.mark.parametrize("words", VERBS)
def test_no_verb_runs_a_file_whose_folder_is_not_trusted(room: Path, words: str) -> None:
    mark = spy(room)
    shutil.copy(FIXTURES / "drawings" / "skirt.svg", room)
    before = {path.name for path in room.iterdir()}
    done = oaktag(*words.split(), cwd=room)
    assert done.returncode == 2
    assert not mark.exists()
    assert {path.name for path in room.iterdir()} == before
    if "finish" not in words:  # there a garment and a drawing are one too many
        assert '"wrap_apron.py" is a program, and is not run' in done.stderr
        assert "with all your rights" in done.stderr
        assert f"type oaktag trust {room} " in done.stderr


def test_what_is_told_to_type_lets_the_job_be_made(room: Path) -> None:
    told = oaktag("make", "apron.toml", cwd=room).stderr
    assert told.startswith("apron.toml:2 garment: ")
    words = re.search(r"type oaktag (trust .+) and try", told)
    assert words is not None
    assert oaktag(*words[1].split(), cwd=room).stdout == f"trusted: {room}\nmay be run now: wrap_apron.py\n"
    assert oaktag("check", "apron.toml", cwd=room).returncode == 0
    assert oaktag("trust", cwd=room).stdout == f"{room}\n"
    assert json.loads(oaktag("trust", "--json", cwd=room).stdout) == {"folders": [str(room)]}
    assert oaktag("trust", ".", "--withdraw", cwd=room).returncode == 0
    assert oaktag("check", "apron.toml", cwd=room).returncode == 2
    assert oaktag("trust", cwd=room).stdout == "no folder is trusted: no garment file is run\n"


def test_trust_is_kept_with_the_makers_devices_and_is_none_of_them(room: Path, kept: Path) -> None:
    before = device_names()
    trust(room)
    assert [path.name for path in kept.iterdir()] == [LIST]
    assert device_names() == before
    assert (kept / LIST).stat().st_mode & 0o777 == 0o600
    assert {path.name for path in room.iterdir()} == {"wrap_apron.py", "apron.toml"}


def test_a_folder_in_a_trusted_one_is_not_trusted_with_it(room: Path) -> None:
    inner = room / "unpacked"
    inner.mkdir()
    mark = spy(inner)
    trust(room)
    job = room / "inner.toml"
    job.write_text(JOB.replace("wrap_apron.py", "unpacked/wrap_apron.py"))
    assert oaktag("check", "inner.toml", cwd=room).returncode == 2
    assert not mark.exists()
    trust(inner)
    assert oaktag("check", "inner.toml", cwd=room).returncode == 0
    assert mark.exists()


def test_what_cannot_be_trusted_is_told(room: Path, tmp_path: Path) -> None:
    def told(*words: str) -> str:
        done = oaktag("trust", *words, cwd=room)
        assert (done.returncode, done.stdout) == (2, "")
        return done.stderr

    assert "is a file, and trust is given to a folder" in told("wrap_apron.py")
    assert "there is no such folder" in told("nowhere")
    assert "this folder is not trusted" in told(".", "--withdraw")
    assert "no folder is named" in told("--withdraw")
    room.chmod(0o777)
    assert "everybody on this machine may write to this folder" in told(".")
    assert trusted_folders() == ()


def test_a_folder_or_file_that_everybody_may_write_to_is_not_run(room: Path) -> None:
    mark = spy(room)
    trust(room)
    room.chmod(0o777)
    assert not is_trusted(room)
    assert oaktag("check", "apron.toml", cwd=room).returncode == 2
    assert "everybody may write there" in oaktag("trust", cwd=room).stdout
    room.chmod(0o700)
    (room / "wrap_apron.py").chmod(0o666)
    assert "may be written by everybody on this machine" in oaktag("check", "apron.toml", cwd=room).stderr
    assert not mark.exists()


@pytest.mark.parametrize("text", ["", "[]", '{"folders": "/"}', '{"folders": [1]}', "{" * 2000, "\udcff"])
def test_a_damaged_list_trusts_nobody_and_is_told(room: Path, kept: Path, text: str) -> None:
    kept.mkdir()
    (kept / LIST).write_bytes(text.encode("utf-8", "surrogateescape"))
    done = oaktag("check", "apron.toml", cwd=room)
    assert done.returncode == 2
    assert "is not a list of folders" in done.stderr


def test_a_list_that_everybody_may_write_to_trusts_nobody(room: Path, kept: Path) -> None:
    trust(room)
    (kept / LIST).chmod(0o666)
    with pytest.raises(InputError, match="may be written by everybody"):
        is_trusted(room)


def test_a_list_that_cannot_be_kept_is_a_failure_of_the_file_system(room: Path, kept: Path) -> None:
    kept.write_text("a file in the folder's place")
    with pytest.raises((DeviceError, InputError)):
        trust(room)


def test_trust_can_be_withdrawn_from_a_folder_that_is_gone(room: Path) -> None:
    trust(room)
    shutil.rmtree(room)
    assert oaktag("trust", cwd=room.parent).stdout == f"{room}   (is not there)\n"
    assert withdraw(room)
    assert trusted_folders() == ()


def test_a_link_to_a_folder_trusts_the_folder_itself(room: Path, tmp_path: Path) -> None:
    link = tmp_path / "link"
    link.symlink_to(room)
    assert trust(link) == room
    assert is_trusted(room)
    assert is_trusted(link)
    assert withdraw(link)


def test_a_folder_whose_name_no_terminal_should_be_sent_is_told_by_a_dot(tmp_path: Path) -> None:
    odd = tmp_path / "a\x1b[2Jb"
    odd.mkdir()
    shutil.copy(APRON, odd)
    (odd / "apron.toml").write_text(JOB)
    told = oaktag("check", "apron.toml", cwd=odd).stderr
    assert "type, in its folder, oaktag trust . and" in told
    done = oaktag("trust", ".", cwd=odd)
    assert done.returncode == 0
    assert "\x1b" not in told + done.stdout + oaktag("trust", cwd=odd).stdout
    assert oaktag("check", "apron.toml", cwd=odd).returncode == 0


def test_a_folder_with_blanks_is_told_as_it_is_typed(tmp_path: Path) -> None:
    odd = tmp_path / "my garments; rm -rf x"
    odd.mkdir()
    shutil.copy(APRON, odd)
    with pytest.raises(InputError, match=re.escape(f"oaktag trust '{odd}' and")):
        garment_in(odd / "wrap_apron.py")


# ------------------------------------------------------------------------------------------------ which file is meant


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("../wrap_apron.py", "lies elsewhere"),
        ("a/../../wrap_apron.py", "lies elsewhere"),
        ("a/../wrap_apron.py", "lies elsewhere"),
        ("/etc/wrap_apron.py", "lies elsewhere"),
        ("linked_file.py", "lies elsewhere"),
        ("linked_folder/wrap_apron.py", "lies elsewhere"),
        ("a\\\\wrap_apron.py", "cannot be the name of a garment file"),
        ("C:wrap_apron.py", "cannot be the name of a garment file"),
        ("a/wrap_apron", "cannot be the name of a garment file"),
        ("wrap_apron.py\\u0000.py", "cannot be the name of a garment file"),
        ("\\u001b[2J.py", "cannot be the name of a garment file"),
        ("nrope\\u202eyp.py", "cannot be the name of a garment file"),
        ("wrap\\napron.py", "cannot be the name of a garment file"),
        (f"{'a' * 400}.py", "cannot be the name of a garment file"),
        ("gone.py", "no such file"),
        ("apron.toml/x.py", "no such file"),
        ("aprons.zip/wrap_apron.py", "no such file"),
        ("loop.py", "no such file"),
        ("folder.py", "is not an ordinary file"),
        ("pipe.py", "is not an ordinary file"),
        ("large.py", "is larger than 1 MB"),
    ],
)
def test_only_a_file_beside_the_job_or_below_it_is_read(room: Path, tmp_path: Path, name: str, words: str) -> None:
    mark = spy(tmp_path)
    (room / "a").mkdir()
    (room / "linked_file.py").symlink_to(tmp_path / "wrap_apron.py")
    (room / "linked_folder").symlink_to(tmp_path)
    (room / "loop.py").symlink_to(room / "loop.py")
    (room / "folder.py").mkdir()
    os.mkfifo(room / "pipe.py")
    (room / "large.py").write_bytes(b"#" * 1_000_001)
    with zipfile.ZipFile(room / "aprons.zip", "w") as held:
        held.writestr("wrap_apron.py", (tmp_path / "wrap_apron.py").read_bytes())
    for folder in (room, room / "a", tmp_path):
        trust(folder)
    (room / "odd.toml").write_text(JOB.replace("wrap_apron.py", name))
    done = oaktag("check", "odd.toml", cwd=room)
    assert done.returncode == 2
    assert "Traceback" not in done.stderr
    assert "odd.toml:2 garment: " in done.stderr
    assert words in done.stderr
    assert done.stderr.isprintable() or done.stderr.strip().isprintable()
    assert not mark.exists()


def test_hostile_names_of_an_unpacked_archive_are_not_run_and_not_echoed(room: Path) -> None:
    """An archive may hold any names; what is unpacked into a trusted folder's own folder is not trusted."""
    names = ["\x1b]0;x\x07.py", "a\nb.py", "-rf.py", "json.py", "oaktag.py", "nrope\u202e.py", " .py"]
    with zipfile.ZipFile(room / "gift.zip", "w") as held:
        for name in names:
            held.writestr(name, f"import pathlib\npathlib.Path({str(room / 'it-was-run')!r}).touch()\n")
    with zipfile.ZipFile(room / "gift.zip") as held:
        held.extractall(room / "gift")
    trust(room)
    assert oaktag("check", "apron.toml", cwd=room).returncode == 0
    for name in names:
        (room / "gift.toml").write_text(JOB.replace('"wrap_apron.py"', json.dumps(f"gift/{name}")))
        done = oaktag("check", "gift.toml", cwd=room)
        assert done.returncode == 2
        assert done.stderr.strip().isprintable()
    told = oaktag("trust", "gift", cwd=room).stdout  # it names them, and runs none
    assert all(c.isprintable() or c == "\n" for c in told)
    assert not (room / "it-was-run").exists()


def test_a_link_within_the_jobs_folder_is_followed(room: Path) -> None:
    (room / "linked.py").symlink_to(room / "wrap_apron.py")
    (room / "apron.toml").write_text(JOB.replace("wrap_apron.py", "linked.py"))
    trust(room)
    assert oaktag("check", "apron.toml", cwd=room).returncode == 0


def test_a_file_that_is_changed_after_the_folder_was_trusted_is_run_and_told_by_its_sum(room: Path) -> None:
    """Trust is given to a folder, not to what a file holds: whoever writes a garment changes it all day."""
    trust(room)
    sums = []
    for more in ("", "\n# changed\n"):
        source = APRON.read_bytes() + more.encode()
        (room / "wrap_apron.py").write_bytes(source)
        assert oaktag("make", "apron.toml", "--only", "json", cwd=room).returncode == 0
        told = json.loads((room / "apron-pattern" / "pattern.json").read_text(encoding="utf-8"))
        assert told["garment_file"] == {"name": "wrap_apron.py", "sha256": hashlib.sha256(source).hexdigest()}
        assert (room / "apron-pattern" / "job" / "wrap_apron.py").read_bytes() == source
        sums.append(told["garment_file"]["sha256"])
    assert len(set(sums)) == 2


def test_the_copy_that_is_kept_is_what_was_run_even_if_the_file_changes_meanwhile(room: Path) -> None:
    from oaktag.origin import origin_of

    trust(room)
    asked = load_job(room / "apron.toml")
    (room / "wrap_apron.py").write_text("something else")
    assert origin_of(room / "apron.toml", made_by=asked.made_by).copies["wrap_apron.py"] == APRON.read_bytes()


def test_nothing_that_lies_beside_the_file_is_imported(room: Path) -> None:
    """However the program is started: with -m its own folder is the first that Python looks in."""
    (room / "helper_of_mine.py").write_text("WIDTH = 1\n")
    (room / "my_cloth.py").write_text("import helper_of_mine\n" + MINIMAL)
    (room / "cloth.toml").write_text('title = "t"\ngarment = "my_cloth.py"\nunits = "in"\n[measurements]\n')
    trust(room)
    done = oaktag_alone("check", "cloth.toml", cwd=room)
    assert done.returncode == 2
    assert "my_cloth.py line 1: ModuleNotFoundError: No module named 'helper_of_mine'" in done.stderr
    assert "what lies beside it is not imported" in done.stderr
    assert not (room / "__pycache__").exists()
    late = MINIMAL.replace("    a, b, c", "    import helper_of_mine\n    a, b, c", 1)
    (room / "my_cloth.py").write_text(late)
    assert "my_cloth.py line 4: ModuleNotFoundError" in oaktag_alone("check", "cloth.toml", cwd=room).stderr


def test_the_way_of_imports_is_as_before(room: Path) -> None:
    trust(room)
    before = list(sys.path)
    pattern_of(load_job(room / "apron.toml"))
    assert sys.path == before


# ----------------------------------------------------------------------------------------------------- a faulty garment


FAULTS: list[tuple[str, str | bytes, str]] = [
    ("syntax", MINIMAL + "def f(:\n", "my_cloth.py line 12: SyntaxError: invalid syntax"),
    ("tabs", MINIMAL + "if 1:\nx\n", "my_cloth.py line 13: IndentationError: expected an indented block"),
    ("not Python's letters", MINIMAL.encode() + b"x = '\xff'\n", "my_cloth.py line 12: SyntaxError: (unicode error)"),
    ("null", MINIMAL.encode() + b"\0", "my_cloth.py: "),
    ("import", "import no_such_module_at_all\n" + MINIMAL, "my_cloth.py line 1: ModuleNotFoundError: No module"),
    ("name", MINIMAL.replace("import Cut, ", "import Cut, Cuff, "), "my_cloth.py line 1: ImportError: cannot import"),
    ("none", "x = 1\n", "my_cloth.py: there is no garment in it; expected GARMENT = Garment(...)"),
    ("empty", "", "my_cloth.py: there is no garment in it"),
    (
        "two",
        MINIMAL.replace("GARMENT =", "ONE =") + 'from dataclasses import replace\nTWO = replace(ONE, name="tea-towel")\n',
        "my_cloth.py: there are 2 garments in it (ONE, TWO); expected one garment a file",
    ),
    ("exit", "raise SystemExit(0)\n", "my_cloth.py line 1: SystemExit: 0"),
    ("raised", "\n\n1 / 0\n", "my_cloth.py line 3: ZeroDivisionError: division by zero. The garment is faulty, not the job."),
    ("endless", "def f(): f()\nf()\n", "my_cloth.py line 1: RecursionError"),
    ("memory", "x = bytearray(1 << 60)\n", "my_cloth.py line 1: MemoryError"),
    ("our name", MINIMAL.replace('"tea-cloth"', '"sheath-dress"'), "'sheath-dress' is the name of a garment that ships"),
    ("odd name", MINIMAL.replace('"tea-cloth"', '"<b>tea</b>"'), "cannot be the name of a garment"),
    ("measurement", source_with("Names(()", 'Names(("wasit_girth",)'), "uses 'wasit_girth', which is no measurement"),
    ("needs", source_with("lambda style: ()", 'lambda style: ("waist_girth",)'), "needs gives 'waist_girth', which it does not list in uses"),
    ("needs raises", source_with("lambda style: ()", "lambda style: style['x']"), "my_cloth.py line 11: KeyError: 'x'"),
    ("option", source_with("(), (), lambda", "(), (1,), lambda"), "options.1: 1 is no LengthOption or ChoiceOption or ShareOption"),
    ("edges", source_with("EDGES, (", "list(EDGES), ("), "names_of.edges: ['left', 'low', 'right', 'top'] is no tuple: write tuple("),
    ("drafts", source_with("    a, b, c", "    1 / 0\n    a, b, c"), "my_cloth.py line 4: ZeroDivisionError: division by zero"),
    ("drafts badly", source_with("Edge.straight(\"left\", a, b)", "Edge.straight(\"left\", a)"), "my_cloth.py line 6: TypeError"),
    ("not a draft", source_with("    return Draft", "    return piece\n    return Draft"), "draft gives Piece back, and no Draft"),
    ("another", source_with('Draft("tea-cloth"', 'Draft("tea-towel"'), "the draft is of 'tea-towel', and the garment is 'tea-cloth'"),
    ("a gap", source_with('"low", b, c', '"low", Point(9, -300), c'), "cloth: left ends 9.00 mm from where low begins"),
    ("clockwise", source_with("Point(0, -300), Point(200, -300), Point(200, 0)", "Point(200, 0), Point(200, -300), Point(0, -300)"), "its edges run clockwise"),
    ("not a number", source_with("Point(200, 0)", 'Point(float("nan"), 0)'), "pieces.cloth.edges.right.curves.1.b: nan is no length of a garment"),
    ("no width", source_with("EDGES, 10.0", '("left",), 10.0'), "cloth.low has no width in default_allowances"),
    ("unlisted", source_with('EDGES, ("cloth",)', 'EDGES, ("towel",)'), "the garment does not list it among its pieces"),
    ("lost seam", "from oaktag import sew\n" + source_with("(piece,), (), ()", '(piece,), (sew("side", "cloth.left", to="cloth.rigth"),), ()'), "seams names cloth.rigth, which is no edge of a piece"),
    ("lost notch", "from oaktag import NotchPlace\n" + source_with("points={}", 'notches=(NotchPlace("low", 500.0),), points={}'), "a notch at 500 mm of 'low' lies on no edge"),
    ("lost hole", source_with("points={}", 'holes=("eye",), points={}'), "the drill hole 'eye' is none of its points"),
    ("a text for a point", source_with("points={}", 'points={"eye": "left"}'), "pieces.cloth.points.eye: 'left' is no Point"),
    ("a text for a cut", source_with("points={}", 'to_cut=("fold"), points={}'), "pieces.cloth.to_cut: 'fold' is no Cut"),
    ("another side", source_with("points={}", 'to_cut=Cut("folded"), points={}'), "pieces.cloth.to_cut.side: 'folded' is none of 'whole', 'fold'"),
    ("one piece", source_with("(piece,), ()", "piece, ()"), "is no tuple: write (Piece("),
    ("a mile", source_with("Point(200, -300)", "Point(1.6e6, -300)"), "1600000.0 is no length of a garment"),
    ("a control sign", source_with('"tea-cloth", (piece', '"tea\x1bcloth", (piece'), "garment: 'tea\\x1bcloth' is not one line of text"),
    ("a line of one point", "from oaktag import InternalLine\n" + source_with("points={}", 'internal_lines=(InternalLine("fold", (Point(9, -9),)),), points={}'), "cloth: the line 'fold' needs two points"),
    ("no length", source_with('Edge.straight("top", d, a)', 'Edge.straight("top", d, a), Edge.straight("dot", a, a)').replace('"right", "top")', '"right", "top", "dot")'), "cloth: dot: an edge, or a curve of it, without a length"),
    ("formula", "from oaktag import Worksheet\nW = Worksheet('cloth')\nW('width', '{cm} + {more}', 9.0, cm=1.0)\n" + source_with("(), (), (), (), body", "(), (), tuple(W.steps), (), body"), "the step 'width': its formula '{cm} + {more}' names a length that is not given"),
    ("default", "from oaktag import LengthOption\n" + source_with("(), (), lambda", "(), (LengthOption('width', 'w', 5.0, 10.0, 20.0),), lambda"), "the option width: its default lies outside 10 to 20"),
    ("choice", "from oaktag import ChoiceOption\n" + source_with("(), (), lambda", "(), (ChoiceOption('loop', 'a loop', 'yes', ('on', 'off')),), lambda"), "the option loop: its default 'yes' is none of its choices"),
    ("widths", source_with("EDGES, 10.0", "EDGES, -1.0"), "default_allowances of left: -1.0 is no width"),
    ("no places", source_with("EDGES, 10.0", "EDGES, ()"), "default_allowances of left: () is no width"),
    ("no grain", source_with("Point(100, -250))", "Point(100, -50))"), "its grain line has no length"),
]  # fmt: skip


@pytest.mark.parametrize(("source", "words"), [row[1:] for row in FAULTS], ids=[row[0] for row in FAULTS])
def test_a_faulty_garment_is_told_by_its_file_and_line(room: Path, source: str | bytes, words: str) -> None:
    told = faulty(room, source)
    assert words in told
    assert "my_cloth.py" in told


WORDS = re.compile(r"[A-Za-z_]\w*|\d+(?:\.\d+)?|[-+*/]|\"[^\"\n]*\"")
"""Words, numbers, signs and texts of a garment file."""


@pytest.mark.parametrize("seed", range(60))
def test_a_garment_with_one_word_wrong_is_told_or_made(room: Path, seed: int) -> None:
    """Another word, a number that is none, or nothing in its place: never a fault of the program."""
    dice = random.Random(seed)
    source = APRON.read_text(encoding="utf-8")
    words = list(WORDS.finditer(source, source.index("HIP_DEPTH =")))
    at = dice.choice(words)
    odd = ("0", "-1", "1e9", "1e308", "float('nan')", "None", "''", "()", "(1,)", "")
    new = dice.choice((dice.choice(words)[0], dice.choice(odd)))
    (room / "wrap_apron.py").write_text(source[: at.start()] + new + source[at.end() :], encoding="utf-8")
    trust(room)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # Python's own, of what the garment writes
        done = oaktag("make", "apron.toml", "--only", "json", "--only", "report", cwd=room)
    assert done.returncode in (0, 1, 2), (at[0], new, done.stderr)
    assert "Traceback" not in done.stderr


def test_nothing_is_wrong_with_the_drafts_of_ours() -> None:
    from oaktag.outside.faults import faults_of_draft, faults_of_garment
    from wardrobe import DRESS, women

    told = list(faults_of_garment(DRESS))
    assert told == ["name = 'sheath-dress' is the name of a garment that ships: give it another"]
    styles: list[dict[str, object]] = [
        {},
        {"sleeve": "none", "facing": "all-in-one"},
        {"lining": "full", "waist_seam": "yes"},
    ]
    for style in styles:
        asked, _ = validated(DRESS.options, style, "in", lambda key: Where("", 0, key))
        for _, body in women()[:100:10]:
            assert list(faults_of_draft(DRESS.draft(body, asked, "in"), DRESS)) == []


def test_what_the_garment_itself_refuses_is_told_as_it_says_it(room: Path) -> None:
    refusing = "from oaktag import DraftError\n" + source_with(
        "    a, b, c", '    raise DraftError("No cups today. Write another day.")\n    a, b, c'
    )
    assert faulty(room, refusing) == "No cups today. Write another day."


def test_a_fault_in_one_size_of_a_set_is_told_too(room: Path) -> None:
    trust(room)
    (room / "my_cloth.py").write_text(source_with("    a, b, c", '    assert body["waist_girth"] < 700\n    a, b, c'))
    (room / "cloth.toml").write_text('title = "t"\ngarment = "my_cloth.py"\nunits = "in"\n[sizes]\nchart = "women"\n')
    done = oaktag("check", "cloth.toml", cwd=room)
    assert (done.returncode, done.stderr) == (
        2, "my_cloth.py line 4: AssertionError. The garment is faulty, not the job.\n",
    )  # fmt: skip


def test_a_dataclass_of_ones_own_and_a_garment_of_any_name_are_taken(room: Path) -> None:
    trust(room)
    own = (
        "from __future__ import annotations\nfrom dataclasses import dataclass\n@dataclass\nclass A:\n    x: int = 1\n"
    )
    (room / "my_cloth.py").write_text(own + MINIMAL.replace("GARMENT =", "TEA_CLOTH ="))
    assert garment_in(room / "my_cloth.py").name == "tea-cloth"


def test_a_garment_named_garment_goes_before_one_that_it_is_made_from(room: Path) -> None:
    trust(room)
    made_from = "from oaktag.garments.sheath_dress import sheath_dress as BASE\n"
    (room / "my_cloth.py").write_text(made_from + MINIMAL)
    assert garment_in(room / "my_cloth.py").name == "tea-cloth"


BY_SIGNATURE = """\
from oaktag import Board, Cut, Draft, EdgeKind, Length, garment, inch, length


@garment("half an apron: as wide as a quarter of the waist and a hand more")
def half_apron(on: Board, *, long: Length = length("waist to hem", inch(20), least=inch(8), most=inch(36))) -> Draft:
    wide = (on.body.waist_girth / 4 + inch(3)).called("half width")
    s = on.sketch("apron", Cut("fold"), worn="body")
    s.at("waist_centre")
    s.at("hem_centre", down=long)
    s.at("hem_side", right=wide, down=long)
    s.at("waist_side", right=wide)
    s.fold("centre_front", "waist_centre", "hem_centre")
    s.hem("hem", "hem_centre", "hem_side")
    s.edge("side", "hem_side", "waist_side", kind=EdgeKind.OPENING)
    s.edge("waist", "waist_side", "waist_centre")
    return on.draft([s.piece()], widths={"hem": inch(1), "side": inch(0.5), "waist": inch(0.5)})
"""


def test_a_garment_whose_signature_is_its_interface_may_be_a_file(room: Path) -> None:
    trust(room)
    job = 'title = "t"\ngarment = "half.py"\nunits = "in"\n[measurements]\nwaist_girth = 30\n[style]\nlong = 22\n'
    (room / "half.toml").write_text(job)
    (room / "half.py").write_text(BY_SIGNATURE)
    assert oaktag("make", "half.toml", "-o", "half", cwd=room).returncode == 0
    assert oaktag("verify", "half", cwd=room).returncode == 0
    assert "half width = waist girth ÷ 4 + 3 in = 10 1/2 in" in oaktag("steps", "half.toml", cwd=room).stdout
    (room / "half.py").write_text(BY_SIGNATURE.replace("waist_girth / 4", "wasit_girth / 4"))
    told = oaktag("make", "half.toml", "-o", "half", cwd=room)
    assert told.returncode == 2
    assert told.stderr.startswith("half.py line 6: AttributeError: no measurement is called wasit_girth.")


def test_ctrl_c_stops_a_draft_that_never_ends(room: Path, kept: Path) -> None:
    trust(room)
    mark = room / "begun"
    (room / "my_cloth.py").write_text(
        source_with("    a, b, c", f"    open({str(mark)!r}, 'w').close()\n    while True: pass\n    a, b, c")
    )
    (room / "cloth.toml").write_text('title = "t"\ngarment = "my_cloth.py"\nunits = "in"\n[measurements]\n')
    run = subprocess.Popen(
        [sys.executable, "-m", "oaktag", "make", "cloth.toml"], cwd=room, stderr=subprocess.PIPE, text=True
    )
    for _ in range(600):
        if mark.exists():
            break
        time.sleep(0.05)
    run.send_signal(signal.SIGINT)
    _, told = run.communicate(timeout=60)
    assert (run.returncode, told) == (130, "stopped\n")
    assert not (room / "cloth-pattern").exists()


# ------------------------------------------------------------------------------------------------- installed packages


def install(place: Path, name: str, points: dict[str, str], version: str = "1.2") -> None:
    """What pip leaves of a package that offers garments."""
    info = place / f"{name}-{version}.dist-info"
    info.mkdir(parents=True)
    (info / "METADATA").write_text(f"Metadata-Version: 2.1\nName: {name}\nVersion: {version}\n")
    rows = "\n".join(f"{key} = {value}" for key, value in points.items())
    (info / "entry_points.txt").write_text(f"[oaktag.garments]\n{rows}\n")


@pytest.fixture
def installed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    place = tmp_path / "site"
    place.mkdir()
    monkeypatch.syspath_prepend(str(place))
    (place / "choir_aprons.py").write_bytes(APRON.read_bytes())
    yield place
    sys.modules.pop("choir_aprons", None)


def test_a_garment_of_an_installed_package_is_named_like_one_of_ours(room: Path, installed: Path) -> None:
    install(installed, "choir-aprons", {"wrap-apron": "choir_aprons:GARMENT", "sheath-dress": "choir_aprons:GARMENT"})
    (room / "apron.toml").write_text(JOB.replace("wrap_apron.py", "wrap-apron"))
    assert oaktag("make", "apron.toml", "-o", "out", cwd=room).returncode == 0  # no trust is asked for
    told = json.loads((room / "out" / "pattern.json").read_text(encoding="utf-8"))
    assert told["garment_package"] == "choir-aprons 1.2"
    assert "garment_file" not in told
    assert offered_names() == ("wrap-apron",)
    assert hidden_names() == ("sheath-dress",)
    done = oaktag("garments", cwd=room)
    assert re.search(r"^wrap-apron .*choir-aprons 1.2$", done.stdout, re.MULTILINE)
    assert "sheath-dress of an installed package is not listed" in done.stderr
    assert garment_named("sheath-dress").package == ""
    assert oaktag("init", "new.toml", "--garment", "wrap-apron", cwd=room).returncode == 0
    assert 'garment = "wrap-apron"' in (room / "new.toml").read_text(encoding="utf-8")


def test_packages_that_are_at_fault_are_told_by_name(room: Path, installed: Path) -> None:
    (installed / "broken_aprons.py").write_text("1 / 0\n")
    install(installed, "one", {"twice": "choir_aprons:GARMENT", "broken": "broken_aprons:GARMENT"})
    install(
        installed,
        "two",
        {"twice": "choir_aprons:long", "other": "choir_aprons:GARMENT", "no": "choir_aprons:HIP_DEPTH"},
    )

    def told(name: str) -> str:
        with pytest.raises(InputError) as caught:
            garment_named(name)
        return str(caught.value)

    assert "offered by several installed packages (one 1.2, two 1.2)" in told("twice")
    assert "broken (installed package one 1.2): it cannot be imported: ZeroDivisionError" in told("broken")
    assert "its garment is called 'wrap-apron'" in told("other")
    assert "it is no Garment" in told("no")
    ours = ", ".join(GARMENT_NAMES)
    assert told("wrap-appron") == f'"wrap-appron" is not a garment; expected one of {ours}, broken, no, other, twice.'
    done = oaktag("garments", cwd=room)
    assert done.returncode == 0
    assert done.stdout.startswith("sheath-dress")
    assert "broken (installed package one 1.2)" in done.stderr


def test_packages_are_not_looked_through_for_a_garment_of_ours(monkeypatch: pytest.MonkeyPatch) -> None:
    def never(**_: Any) -> None:
        raise AssertionError("looked through")

    monkeypatch.setattr("importlib.metadata.entry_points", never)
    assert load_job(FIXTURES / "choir" / "alto-3.toml").made_by is None
    with pytest.raises(AssertionError, match="looked through"):
        garment_named("half-apron")


# ----------------------------------------------------------------------------------------------------------- every verb


@pytest.fixture
def made(room: Path) -> Path:
    """A room that is trusted, in which the apron was made."""
    spy(room).unlink(missing_ok=True)
    trust(room)
    assert oaktag("make", "apron.toml", "-o", "out", cwd=room).returncode == 0
    return room


def test_the_apron_by_hand(room: Path) -> None:
    # 30 1/2 in of waist and 12 in of overlap: half is 21 1/4 in; the hem is 5 in wider at each end. At the hip, 8 in
    # down an edge that falls 25.515 in (the root of 26² − 5²), 2 × (21.25 + 5 × 8 / 25.515) − 41 = 4.635 in lie over
    # each other. Ties: half the waist and 18 in. Band and ties: twice 2 in.
    trust(room)
    pattern = pattern_of(load_job(room / "apron.toml"))
    steps = {step.label: step.value / 25.4 for step in pattern.draft.steps}
    assert steps["half width"] == pytest.approx(21.25)
    assert steps["overlap at the hip"] == pytest.approx(4.635, abs=0.001)
    assert steps["tie"] == pytest.approx(33.25)
    apron, tie = (pattern.piece(name).cut.piece for name in ("apron", "tie"))
    assert apron.points["hem_corner"].x / 25.4 == pytest.approx(26.25)
    assert apron.edge("wrap_edge").length() / 25.4 == pytest.approx(26.0)
    assert tie.points["tie_tip"].x / 25.4 == pytest.approx(33.25)
    assert tie.edge("tie_start").length() / 25.4 == pytest.approx(4.0)


def test_every_verb_works_with_a_garment_file(made: Path) -> None:
    def said(*words: str) -> str:
        done = oaktag(*words, cwd=made)
        assert (done.returncode, done.stderr) == (0, "") or "--card" in words, done.stderr
        assert done.returncode == 0
        return done.stdout

    assert "31 checks: 31 passed" in said("check", "apron.toml")
    assert "half width = (waist girth + 12 in) ÷ 2 = 21 1/4 in" in said("steps", "apron.toml")
    said("steps", "apron.toml", "--card", "card.pdf")
    assert (made / "card.pdf").read_bytes().startswith(b"%PDF")
    said("lay", "apron.toml", "--cloth-width", "150cm", "--seconds", "0", "--workers", "1", "-o", "lay")
    assert (made / "lay" / "job" / "wrap_apron.py").is_file()
    said("project", "apron.toml")
    assert "wrap-apron: wrap apron" in said("garment", "wrap_apron.py")
    assert re.search(r"^wrap-apron .* wrap_apron.py$", said("garments", "wrap_apron.py"), re.MULTILINE)
    assert json.loads(said("garments", "wrap_apron.py", "--json"))[-1]["file"] == "wrap_apron.py"
    said("sizes", "women", "--garment", "wrap_apron.py")
    said("verify", "out")
    said("verify", "lay")
    said("init", "new.toml", "--garment", "wrap_apron.py", "--units", "cm")
    text = (made / "new.toml").read_text(encoding="utf-8")
    for name, value in (("waist_girth", "76"), ("hip_girth", "101")):
        text = text.replace(f'{name} = ""', f"{name} = {value}")
    text = re.sub(r"^# (hem = )", r"\1", text, flags=re.MULTILINE)  # what it offers as an example can be used
    (made / "new.toml").write_text(text, encoding="utf-8")
    assert "checks" in said("check", "new.toml")


def test_a_size_set_and_its_rules_work_with_a_garment_file(made: Path) -> None:
    job = re.sub(r"\[measurements\][^\[]*", '[sizes]\nchart = "women"\nmake = ["10", "12", "14"]\n', JOB)
    (made / "set.toml").write_text(job)
    assert oaktag("make", "set.toml", "-o", "set", cwd=made).returncode == 0
    assert oaktag("verify", "set", cwd=made).returncode == 0
    shutil.copy(made / "set" / "grade-rules.csv", made / "rules.csv")
    (made / "ruled.toml").write_text(job.replace("make =", 'rules = "rules.csv"\nmake ='))
    assert oaktag("make", "ruled.toml", "-o", "ruled", cwd=made).returncode == 0
    assert {path.name for path in (made / "ruled" / "job").iterdir()} == {"ruled.toml", "wrap_apron.py", "rules.csv"}


def test_a_job_is_written_for_a_file_below_it_and_for_no_other(room: Path, tmp_path: Path) -> None:
    trust(room)
    assert oaktag("init", "apron.toml", "--garment", "room/wrap_apron.py", cwd=tmp_path).returncode == 0
    assert 'garment = "room/wrap_apron.py"' in (tmp_path / "apron.toml").read_text(encoding="utf-8")
    done = oaktag("init", "elsewhere/apron.toml", "--garment", "room/wrap_apron.py", cwd=tmp_path)
    assert done.returncode == 2
    assert "lies elsewhere" in done.stderr
    assert not (tmp_path / "elsewhere").exists()


def test_the_copies_make_the_same_again_once_their_folder_is_trusted(room: Path, tmp_path: Path) -> None:
    (room / "garments").mkdir()
    shutil.move(room / "wrap_apron.py", room / "garments")
    (room / "apron.toml").write_text(JOB.replace("wrap_apron.py", "garments/wrap_apron.py"))
    trust(room / "garments")
    assert oaktag("make", "apron.toml", "-o", "out", cwd=room).returncode == 0
    copy = room / "out" / "job"
    assert 'garment = "wrap_apron.py"' in (copy / "apron.toml").read_text(encoding="utf-8")
    shutil.copytree(copy, tmp_path / "again")
    assert oaktag("make", "apron.toml", cwd=tmp_path / "again").returncode == 2
    trust(tmp_path / "again")
    assert oaktag("make", "apron.toml", "-o", "out", cwd=tmp_path / "again").returncode == 0
    for path in (room / "out").glob("pattern*"):
        if path.name != "pattern.json":  # it lists the copy of the job, which names the file in another way
            assert path.read_bytes() == (tmp_path / "again" / "out" / path.name).read_bytes(), path.name


def test_reading_finished_files_never_runs_the_garment(made: Path) -> None:
    """With the file there and its folder trusted, with its folder no longer trusted, and with the file gone."""
    mark = made / "it-was-run"
    assert (
        oaktag("lay", "apron.toml", "--cloth-width", "150cm", "--seconds", "0", "-o", "lay", cwd=made).returncode == 0
    )
    reading = [
        "verify out", "verify lay", "verify out/pattern.dxf", "preview out/pattern.plt -o p.png",
        "preview lay/lay-small.pdf -o l.png", "send out/pattern.plt --to roll-914 --at file:sent.plt --yes",
        "calibrate roll-914 --across 99.6 --along 100.2 --dry-run", "finish out/pattern.dxf -o again --replace",
        "garments",
    ]  # fmt: skip
    for state in ("trusted", "no longer trusted", "gone"):
        if state == "no longer trusted":
            withdraw(made)
        if state == "gone":
            (made / "wrap_apron.py").unlink()
        mark.unlink(missing_ok=True)
        for words in reading:
            done = oaktag(*words.split(), cwd=made)
            assert done.returncode == 0, (state, words, done.stderr)
            assert not mark.exists(), (state, words)


def test_the_garment_file_is_not_kept_compiled(made: Path) -> None:
    assert not list(made.rglob("__pycache__"))
    assert not list(made.rglob("*.pyc"))


def test_a_fault_of_the_garment_is_an_input_error_of_its_own_kind(room: Path) -> None:
    (room / "wrap_apron.py").write_text("1 / 0")
    trust(room)
    with pytest.raises(InputErrors) as caught:
        load_job(room / "apron.toml")
    assert isinstance(caught.value.errors[0], GarmentFault)
    assert isinstance(garment_named("sheath-dress"), Garment)
