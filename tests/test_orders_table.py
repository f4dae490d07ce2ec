"""Tables, folders and books as orders. The Lighthouse Choir and all of its numbers are invented."""

from __future__ import annotations

import csv
import io
import itertools
import os
import re
import shutil
import tomllib
import tracemalloc
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Literal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from oaktag.body.measurements import KINDS
from oaktag.book.people import Client, Sitting, Taken
from oaktag.book.store import Book
from oaktag.errors import InputError, Where
from oaktag.job import load_job
from oaktag.lay.words import Asked
from oaktag.laying import lay_files, lay_job, make_with_lay
from oaktag.orders import lines as lines_module
from oaktag.orders.cells import cell
from oaktag.orders.gather import gather
from oaktag.orders.lines import Lines
from oaktag.orders.model import Order, Unread
from oaktag.orders.names import folder_name, order_name
from oaktag.orders.toml_text import toml_text
from oaktag.origin import MEASURED, origin_of
from oaktag.units import Unit, parse_length
from wardrobe import FIXTURES

CHOIR = FIXTURES / "choir"
STAGE = CHOIR / "orders" / "stage.csv"
HEAD = "order,garment,unit,waist_girth,hip_girth,waist_to_hip"
MEZZO = "mezzo 2,straight-skirt,in,29,40 1/2,8 1/4"
"""An order of a skirt."""
SKIRT = "straight-skirt,in,29,40,8"
LONG = "a" * 37


def table(folder: Path, *lines: str, name: str = "orders.csv") -> Path:
    return saved(folder / name, "\n".join((*lines, "")).encode())


def saved(path: Path, data: bytes) -> Path:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(data)
    return path


def read(*paths: Path, unit: Unit | None = None, book: Path | None = None) -> tuple[list[Order | Unread], list[str]]:
    """The orders, and what was told."""
    told: list[str] = []
    return list(gather(paths, unit=unit, book=book, told=told.append)), told


def order(found: Order | Unread) -> Order:
    assert isinstance(found, Order), found.reason
    return found


def refused(found: Order | Unread) -> str:
    assert isinstance(found, Unread), found
    return found.reason


def one(*paths: Path, unit: Unit | None = None, book: Path | None = None) -> Order:
    (found,), told = read(*paths, unit=unit, book=book)
    assert told == []
    return order(found)


def values(found: Order | Unread) -> dict[str, object]:
    """What the job of an order says."""
    return tomllib.loads(order(found).files[order(found).job].decode())


def laid_out(found: Order, folder: Path) -> Path:
    """The job in a folder that holds the files of the order and no other."""
    for name, data in found.files.items():
        assert ".." not in Path(name).parts
        assert not Path(name).is_absolute()
        saved(folder / name, data)
    return folder / found.job


def everything(job: Path) -> Mapping[str, bytes]:
    """What `oaktag make` writes of a job, but for the pages and plots."""
    asked = load_job(job)
    copies = origin_of(job, made_by=asked.made_by, sitting=asked.sitting).copies
    made = make_with_lay(asked, only=("json", "report", "svg")).files
    return {**made, **{f"job/{name}": data for name, data in copies.items()}}


# ------------------------------------------------------------------------------------------- a job with all it names


@pytest.fixture
def room(tmp_path: Path) -> Path:
    """Jobs that name files below them and elsewhere."""
    skirt = 'title = "Lighthouse choir"\ngarment = "straight-skirt"\nunits = "in"\n'
    body = b'units = "in"\nwaist_girth = 29\nhip_girth = "40 1/2"\nwaist_to_hip = "8 1/4"\n'
    saved(tmp_path / "bodies/mezzo-2.toml", body)
    profile = (Path(load_job.__code__.co_filename).parents[1] / "device/devices/roll-914.toml").read_bytes()
    saved(tmp_path / "jobs/machines/wide.toml", profile)
    shutil.copy(FIXTURES / "charts/choir.csv", tmp_path / "choir.csv")
    away = f'{skirt}measurements = "../bodies/mezzo-2.toml"\n[output]\ndevice = "machines/wide.toml"\n'
    saved(tmp_path / "jobs/away.toml", away.encode())
    marked = f"{skirt.replace(chr(10), chr(13) + chr(10))}[measurements]\r\nwaist_girth = 29\r\nhip_girth = 41\r\n"
    saved(tmp_path / "jobs/marked.toml", b"\xef\xbb\xbf" + marked.encode() + b"waist_to_hip = 8\r\n")
    whole = f"{skirt}measurements = {str(tmp_path / 'bodies/mezzo-2.toml')!r}\n"
    saved(tmp_path / "jobs/by-its-whole-path.toml", whole.encode())
    sized = f'{skirt}[sizes]\nchart = "../choir.csv"\nmake = ["S", "M"]\nbase = "M"\n'
    saved(tmp_path / "jobs/sizes.toml", sized.encode())
    for name in ("skirt.svg", "skirt.toml", "skirt-rules.csv"):
        shutil.copy(FIXTURES / "drawings" / name, tmp_path / "jobs" / name)
    return tmp_path


@pytest.mark.parametrize("name", ["away", "by-its-whole-path", "marked", "sizes", "skirt"])
def test_an_order_holds_all_that_its_job_names(room: Path, tmp_path_factory: pytest.TempPathFactory, name: str) -> None:
    job = room / "jobs" / f"{name}.toml"
    found = one(job)
    assert (found.name, found.job, found.quantity, found.due) == (name, f"{name}.toml", 1, "")
    laid = laid_out(found, tmp_path_factory.mktemp("elsewhere"))
    assert everything(laid) == everything(job)


def test_a_kept_lay_goes_with_its_order(room: Path, tmp_path_factory: pytest.TempPathFactory) -> None:
    job = room / "jobs/away.toml"
    asked = load_job(job)
    laid = lay_job(asked, Asked(width=1500.0), None, seconds=0.0)
    saved(room / "lays/mezzo.json", lay_files(asked.output, asked.unit, laid.nest, laid.kept, ())["lay.json"])
    with job.open("a") as text:
        text.write('lay = "../lays/mezzo.json"\n')
    found = one(job)
    assert sorted(found.files) == ["away.toml", "lay/mezzo.json", "machines/wide.toml", "measurements/mezzo-2.toml"]
    here, there = everything(job), everything(laid_out(found, tmp_path_factory.mktemp("elsewhere")))
    assert there == here
    assert "lay.json" in here


def test_a_file_that_is_not_there_is_told_as_by_make(room: Path, tmp_path_factory: pytest.TempPathFactory) -> None:
    (room / "bodies/mezzo-2.toml").unlink()
    laid = laid_out(one(room / "jobs/away.toml"), tmp_path_factory.mktemp("elsewhere"))
    with pytest.raises(Exception, match=r'away.toml:4 measurements: "../bodies/mezzo-2.toml": no such file'):
        load_job(laid)


def test_a_path_that_is_written_oddly_is_refused_rather_than_lost(room: Path) -> None:
    odd = 'garment = "straight-skirt"\nunits = "in"\nmeasurements = """../bodies/mezzo-2.toml"""\n'
    (found,), _ = read(saved(room / "jobs/odd.toml", odd.encode()))
    assert "odd.toml:3 measurements: the name of the file is written in a way that cannot be followed" in refused(found)


def test_a_folder_gives_its_jobs_in_order_and_tells_what_it_passes_over(room: Path) -> None:
    saved(room / "jobs/body.toml", b'units = "in"\nwaist_girth = 29\n')
    saved(room / "jobs/broken.toml", b"garment = \n")
    saved(room / "jobs/.hidden.toml", b'garment = "trousers"\n')
    found, told = read(room / "jobs")
    assert [one.name for one in found] == ["away", "broken", "by-its-whole-path", "marked", "sizes", "skirt"]
    assert f"{room}/jobs/broken.toml:1: this is not TOML" in refused(found[1])
    assert told == [f"{room}/jobs: passed over, since no garment and no drawing is named in them: body.toml."]


@pytest.mark.parametrize(("count", "end"), [(20, "n20.toml."), (22, "n20.toml and 2 more.")])
def test_not_every_file_that_is_passed_over_is_told(tmp_path: Path, count: int, end: str) -> None:
    for k in range(1, count + 1):
        saved(tmp_path / f"n{k}.toml", b"units = 'cm'\n")
    (found,), (told,) = read(tmp_path)
    assert told.endswith(f"named in them: {', '.join(f'n{k}.toml' for k in range(1, 20))}, {end}")
    assert "holds no job" in refused(found)


def test_a_folder_that_may_not_be_read_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def denied(path: Path) -> Iterator[Path]:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "iterdir", denied)
    (found,), _ = read(tmp_path)
    assert refused(found) == f"{tmp_path}: cannot be read: Permission denied."


def test_what_is_not_there_is_one_refused_order(tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    paths = (tmp_path / "alto.toml", tmp_path / "empty", tmp_path / "a.csv", Path("a\0b"), tmp_path / "b.ods")
    missing, empty, csv_, odd, sheet = read(*paths)[0]
    assert refused(missing) == f"{tmp_path}/alto.toml: no such file; expected a TOML file."
    assert refused(empty) == f"{tmp_path}/empty: holds no job; expected job files (NAME.toml) in it."
    assert refused(csv_) == f"{tmp_path}/a.csv: no such file; expected a table of orders (CSV)."
    assert "the path cannot be used" in refused(odd)
    assert "b.ods: is a spreadsheet; expected a table as text (CSV). Save it as CSV UTF-8" in refused(sheet)


def test_two_orders_of_one_name_are_told_apart(room: Path) -> None:
    found, told = read(room / "jobs/away.toml", room / "jobs/away.toml", table(room, HEAD, MEZZO, MEZZO))
    assert [one.name for one in found] == ["away", "away-2", "mezzo-2", "mezzo-2-3"]
    assert told == [
        f"{room}/jobs/away.toml: an order before it is called away too, so this one is away-2.",
        f"{room}/orders.csv, line 3: an order before it is called mezzo-2 too, so this one is mezzo-2-3.",
    ]


def test_what_has_no_line_is_counted(room: Path) -> None:
    bad = saved(room / "orders.csv", b"")
    paths = (room / "jobs", room / "jobs", bad, bad, room / "a.ods", room / "a.ods", room / "a.csv")
    names = [one.name for one in read(*paths)[0]]
    jobs = ["away", "by-its-whole-path", "marked", "sizes", "skirt"]
    assert names == [*jobs, *(f"{name}-2" for name in jobs), "orders", "orders-2", "a", "a-2", "a-3"]


def test_names_that_some_systems_hold_for_one_are_told_apart(tmp_path: Path) -> None:
    rest = MEZZO.removeprefix("mezzo 2")
    found, _ = read(table(tmp_path, HEAD, MEZZO, f"MEZZO 2{rest}", f"mezzo 2 3{rest}", MEZZO))
    assert [one.name for one in found] == ["mezzo-2", "MEZZO-2-3", "mezzo-2-3-4", "mezzo-2-5"]


# -------------------------------------------------------------------------------------------------------------- a book


def sitting(day: str, unit: Unit, **typed: str) -> Sitting:
    taken = {name: Taken(parse_length(text, unit), text, day) for name, text in typed.items()}
    return Sitting(day, unit, "Ana", "woman", taken)


@pytest.fixture
def book(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Rosa was measured twice, Pia once, Nina never."""
    path = tmp_path / "kept/clients.book"
    monkeypatch.setenv("OAKTAG_BOOK", str(path))
    rosa = sitting("2026-01-05", "in", waist_girth="28", hip_girth="40", waist_to_hip="8 1/4")
    later = sitting("2026-03-01", "in", waist_girth="29", hip_girth="40 1/2", waist_to_hip="8 1/4")
    pia = sitting("2026-02-02", "cm", waist_girth="71", hip_girth="97,5", waist_to_hip="20.5")
    with Book(path, create=True) as own, own.changing():
        for name, sittings in (("Rosa Quill", (rosa, later)), ("Nina", ()), ("Pia", (pia,))):
            own.add(Client(name, "woman"))
            for each in sittings:
                own.put_sitting(name, each)
    return path


def test_a_job_of_the_book_is_made_without_the_book(
    book: Path, tmp_path: Path, tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch
) -> None:
    text = 'title = "Choir"\nclient = "rosa quill@2026-01-05"\ngarment = "straight-skirt"\nunits = "in"\n'
    job = saved(tmp_path / "rosa.toml", text.encode())
    found, here = one(job), everything(job)
    assert sorted(found.files) == [MEASURED, "rosa.toml"]
    monkeypatch.setenv("OAKTAG_BOOK", str(tmp_path / "nowhere.book"))
    assert everything(laid_out(found, tmp_path_factory.mktemp("elsewhere"))) == here


def test_who_is_not_in_the_book_is_refused_by_the_line(book: Path, tmp_path: Path) -> None:
    job = saved(tmp_path / "maria.toml", b'client = "maria"\ngarment = "straight-skirt"\nunits = "in"\n')
    (found,), _ = read(job)
    assert f'{job}:1 client: "maria" is not in the measurement book' in refused(found)
    where = tmp_path / "none.book"
    (found,), _ = read(job, book=where)
    assert f"{job}:1 client: {where}: there is no measurement book yet" in refused(found)


def test_a_book_that_is_damaged_is_told_by_every_line(book: Path, tmp_path: Path) -> None:
    book.write_bytes(b"no book, and long enough to be read as one " * 40)
    for found in read(table(tmp_path, "client,garment", *["rosa quill,straight-skirt"] * 2))[0]:
        assert f"client: {book}: the book is damaged" in refused(found)


def test_a_job_for_every_client_of_the_book(book: Path, tmp_path: Path) -> None:
    text = 'title = "Choir skirt"\nclient = "pia"\ngarment = "straight-skirt"\nunits = "in"\n[style]\nlong = 26\n'
    job = saved(tmp_path / "gown.toml", f"{text}[output]\nprint_client = true\n".encode())
    nina, pia, rosa = read(Path(f"book:{job}"))[0]
    assert [one.name for one in (nina, pia, rosa)] == ["gown-2", "gown-3", "gown-1"]
    assert [dict(one.columns) for one in (nina, pia, rosa)] == [{"client": n} for n in ("Nina", "Pia", "Rosa Quill")]
    assert refused(nina).startswith(f"{job} client: client 2 was not measured yet")
    assert values(rosa)["measurements"] == {
        "wearer": "woman", "waist_girth": "29", "hip_girth": "40 1/2", "waist_to_hip": "8 1/4"
    }  # fmt: skip
    assert values(pia)["measurements"] == {
        "wearer": "woman", "waist_girth": "71 cm", "hip_girth": "97,5 cm", "waist_to_hip": "20.5 cm"
    }  # fmt: skip
    assert values(pia)["title"] == "gown-3"
    for found in (pia, rosa):
        told = b"".join(order(found).files.values()).lower() + str((found.name, found.source)).lower().encode()
        assert not any(name in told for name in (b"rosa", b"quill", b"pia"))
        load_job(laid_out(order(found), tmp_path / found.name))


def test_what_cannot_be_made_for_every_client_is_one_refused_order(book: Path, tmp_path: Path) -> None:
    job = saved(tmp_path / "gown.toml", b'garment = "straight-skirt"\nunits = "in"\n')
    drawn = saved(tmp_path / "drawn.toml", b'drawing = "a.svg"\nunits = "in"\n')
    with Book(tmp_path / "empty.book", create=True):
        pass
    for path, own, told in (
        (tmp_path / "none.toml", book, f"{tmp_path}/none.toml: no such file; expected a TOML file"),
        (job, tmp_path / "none.book", f"{tmp_path}/none.book: there is no measurement book yet"),
        (job, tmp_path / "empty.book", f"{job}: nobody is in the measurement book"),
        (drawn, book, f"{drawn}:1 drawing: the job was drawn elsewhere, so it is for no client"),
    ):
        (found,), _ = read(Path(f"book:{path}"), book=own)
        assert refused(found).startswith(told)


def test_a_table_names_clients_of_the_book(book: Path, tmp_path: Path) -> None:
    orders = table(
        tmp_path, "order,client,garment,long (in),wearer", "a1,rosa quill,straight-skirt,26,",
        "a2,Rosa Quill@2026-01-05,straight-skirt,,", "a3,maria,straight-skirt,,", "a4,nina,straight-skirt,,",
        "a5,rosa quill@2026-09-09,straight-skirt,,", "a6,rosa quill,t-shirt,,man",
    )  # fmt: skip
    (a1, a2, a3, a4, a5, a6), _ = read(orders)
    assert values(a1)["measurements"]["waist_girth"] == "29"  # type: ignore[index]
    assert values(a1)["style"] == {"long": "26"}  # as the sitting, in inches
    assert values(a2)["measurements"]["waist_girth"] == "28"  # type: ignore[index]
    assert values(a2)["units"] == "in"
    assert values(a6)["measurements"]["wearer"] == "man"  # type: ignore[index]
    assert dict(a1.columns) == {"client": "rosa quill"}
    assert b"osa" not in b"".join(order(a1).files.values())
    assert refused(a3).startswith(f'{orders}:4 client: "maria" is not in the measurement book')
    assert refused(a4).startswith(f'{orders}:5 client: "Nina" was not measured yet.')
    assert refused(a5).startswith(f'{orders}:6 client: "Rosa Quill" was not measured on 2026-09-09; expected one of')


# ------------------------------------------------------------------------------------------------------ what it can say


def test_the_choirs_table_can_be_made(tmp_path: Path) -> None:
    found, told = read(STAGE)
    assert told == []
    assert [one.name for one in found] == ["alto-7", "alto-8", "alto-3", "soprano-2", "understudy", "mezzo-2"]
    for each in found:
        job = load_job(laid_out(order(each), tmp_path / each.name))
        assert job.title == each.name.replace("-", " ")
    assert dict(found[0].columns) == {"row": "2", "remark": "likes pockets"}
    assert [(order(one).quantity, order(one).due) for one in found[3:5]] == [(1, "2026-12-07"), (2, "2026-12-07")]


def test_an_order_is_the_job_that_would_be_written_by_hand(tmp_path: Path) -> None:
    """The choir's alto 3 as a line, and as a job file."""
    by_hand = 'title = "alto 3"\ngarment = "sheath-dress"\nunits = "in"\n[measurements]\n'
    by_hand += "bust_girth = 38\nwaist_girth = '30 1/2'\nhip_girth = '104 cm'\nshoulder_width = '15 1/2'\n"
    by_hand += "back_waist_length = 16\nupper_arm_girth = 12\nwaist_to_hip = 8\n"
    by_hand += '[style]\nlength = 40\nsleeve = "short"\ndart_intake = "1 3/8"\n'
    found = next(one for one in read(STAGE)[0] if one.name == "alto-3")
    here = load_job(saved(tmp_path / "alto-3.toml", by_hand.encode()))
    there = load_job(laid_out(order(found), tmp_path / "order"))
    assert (there.body, there.style, there.unit) == (here.body, here.style, here.unit)
    only = ("json", "report")
    assert make_with_lay(there, only=only).files == make_with_lay(here, only=only).files


def test_the_job_of_a_line_keeps_its_unit_and_the_line_has_its_own(tmp_path: Path) -> None:
    """The job is in inches, the line in centimetres: neither number changes its length."""
    shutil.copy(CHOIR / "wardrobe/straight-skirt.toml", tmp_path / "skirt.toml")
    found = one(table(tmp_path, "order,job,unit,waist_girth,hip_girth,waist_to_hip,long,style.peg (in),cloth (mm)",
                      "m,skirt.toml,cm,74,103,21,66,1/4,1500"))  # fmt: skip
    job = load_job(laid_out(found, tmp_path / "m"))
    assert job.unit == "in"
    assert {name: round(mm, 6) for name, mm in job.body.items()} == {
        "waist_girth": 740, "hip_girth": 1030, "waist_to_hip": 210
    }  # fmt: skip
    assert (job.style["long"], job.style["vent_long"], job.style["peg"]) == (660, 9 * 25.4, 25.4 / 4)
    assert job.cloth.of("shell").width == 1500


@pytest.mark.parametrize(
    ("head", "cells", "unit", "waist"),
    [
        ("waist_girth", "86cm", None, 860),
        ("waist_girth (cm)", "86", None, 860),
        ("Waist girth [cm]", "86,5", None, 865),
        ("waist_girth (cm)", "34 in", None, 863.6),
        ("waist_girth", "34 1/2", "in", 876.3),
        ("waist_girth,unit", "34 1/2,in", "cm", 876.3),
        ("waist_girth (cm),unit", "86,in", None, 860),
        ("unit,waist_girth", "mm,860", None, 860),
    ],
)
def test_a_unit_stands_in_the_cell_the_head_the_line_or_is_given(
    tmp_path: Path, head: str, cells: str, unit: Unit | None, waist: float
) -> None:
    divided = ";" if "86,5" in cells else ","
    lines = (f"garment,hip_girth (cm),{head}", f"circle-skirt,104,{cells}")
    if divided == ";":
        lines = (lines[0].replace(",", ";"), "circle-skirt;104;86,5")
    found = one(table(tmp_path, *lines), unit=unit)
    assert load_job(laid_out(found, tmp_path / "out")).body["waist_girth"] == pytest.approx(waist, abs=1e-9)


@pytest.mark.parametrize(
    ("head", "line", "told"),
    [
        ("garment,waist_girth,hip_girth", "circle-skirt,86 cm,104", 'hip_girth: "104" has no unit'),
        ("garment,waist_girth (cm),hip_girth", "circle-skirt,86,104", 'hip_girth: "104" has no unit'),
        ("garment,waist_girth (in),hip_girth", "circle-skirt,34,41½", 'hip_girth: "41½" has no unit'),
        ("garment,waist_girth (cm),hip_girth (cm),long", "circle-skirt,86,104,60", 'long: "60" has no unit'),
        ("garment,waist_girth (cm),hip_girth (cm),cloth", "circle-skirt,86,104,150", 'cloth: "150" has no unit'),
        ("garment,size", "circle-skirt,14", "unit: the unit of its numbers is not named"),
    ],
)
def test_a_number_without_any_unit_is_refused(tmp_path: Path, head: str, line: str, told: str) -> None:
    (found,), _ = read(table(tmp_path, head, line))
    assert refused(found).startswith(f"{tmp_path}/orders.csv:2 {told}; expected in, cm or mm.")


def test_a_garment_of_the_makers_own_goes_with_its_order(tmp_path: Path) -> None:
    shutil.copy(FIXTURES / "garments/smock.py", tmp_path / "smock.py")
    found = one(table(tmp_path, "order,garment,unit,bust_girth,style.gathers", "a,smock.py,in,38,2"))
    assert sorted(found.files) == ["a.toml", "smock.py"]
    assert found.files["smock.py"] == (FIXTURES / "garments/smock.py").read_bytes()
    assert (values(found)["garment"], values(found)["style"]) == ("smock.py", {"gathers": "2"})
    job = saved(tmp_path / "jobs/a.toml", b'garment = "../smock.py"\nunits = "in"\n')
    assert list(one(job).files) == ["a.toml"]  # a job may name one beside it or below alone


def test_a_job_is_in_the_first_unit_that_the_head_names(tmp_path: Path) -> None:
    found = one(table(tmp_path, "garment,waist_girth,hip_girth (in),bust_girth (mm)", "circle-skirt,74 cm,41,900"))
    assert values(found)["units"] == "in"
    body = load_job(laid_out(found, tmp_path / "out")).body
    assert {name: round(mm, 6) for name, mm in body.items()} == {
        "waist_girth": 740, "hip_girth": 1041.4, "bust_girth": 900
    }  # fmt: skip


def test_blank_columns_at_the_end_and_a_last_line_without_an_end(tmp_path: Path) -> None:
    """As spreadsheets leave them behind; and a price is not in a unit of length."""
    data = f"{HEAD},quantity,,price (EUR),,\n{MEZZO},1,,40,,\n{MEZZO},2,,,,".encode()
    found, told = read(saved(tmp_path / "orders.csv", data))
    assert told == [
        f"{tmp_path}/orders.csv, line 3: an order before it is called mezzo-2 too, so this one is mezzo-2-3."
    ]
    assert list(found[0].columns) == ["column 8", "price (EUR)"]
    assert [(order(one).quantity, one.columns["price (EUR)"]) for one in found] == [(1, "40"), (2, "")]


@given(st.lists(st.integers(0, 400), max_size=6), st.booleans(), st.sampled_from((b"\n", b"\r\n", b"\r")))
def test_lines_of_any_length_are_told_apart(lengths: list[int], ended: bool, end: bytes) -> None:
    """A thousandth of the size: lines of 0 to 400 bytes, chunks of 64, none held that is longer than 100."""
    parts = [b"x" * length for length in lengths]
    data = end.join(parts) + (end if ended and parts else b"")
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(lines_module, "LONGEST", 100)
        patched.setattr(lines_module, "_CHUNK", 64)
        got = list(lines_module.raw_lines(io.BytesIO(data)))
    parts = data.splitlines(keepends=True)
    assert got == [(k, part.rstrip(b"\r\n") if len(part) <= 100 else None) for k, part in enumerate(parts, 1)]


@pytest.mark.parametrize("separator", [",", ";", "\t"])
@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_tables_as_spreadsheets_save_them(tmp_path: Path, separator: str, mark: bytes, end: str) -> None:
    head = f"{HEAD},remark".split(",")
    line = [*MEZZO.split(","), f'a "quick" one{separator} or,two;three']
    text = io.StringIO(newline="")
    csv.writer(text, delimiter=separator, lineterminator=end).writerows([head, line])
    found = one(saved(tmp_path / "orders.csv", mark + text.getvalue().encode()))
    assert found.name == "mezzo-2"
    assert found.columns["remark"] == " ".join(line[-1].split())
    assert values(found)["measurements"] == {"waist_girth": "29", "hip_girth": "40 1/2", "waist_to_hip": "8 1/4"}


def test_sizes_of_a_chart(tmp_path: Path) -> None:
    shutil.copy(FIXTURES / "charts/choir.csv", tmp_path / "choir.csv")
    (tmp_path / "in").mkdir()
    orders = table(
        tmp_path / "in", "order,garment,unit,chart,size,sizes,quantity", "a,straight-skirt,in,,14,,2",
        "b,straight-skirt,in,../choir.csv,,S M;L,3", "c,straight-skirt,in,,14,16,", "d,straight-skirt,in,,99,,",
    )  # fmt: skip
    (a, b, c, d), _ = read(orders)
    job = load_job(laid_out(order(a), tmp_path / "a"))
    assert job.sizes is not None
    assert (job.sizes.make, job.sizes.base, dict(job.cloth.quantities)) == (("14",), "14", {"14": 2})
    job = load_job(laid_out(order(b), tmp_path / "b"))
    assert job.sizes is not None
    assert (job.sizes.make, job.sizes.base) == (("S", "M", "L"), "M")
    assert sorted(order(b).files) == ["b.toml", "chart/choir.csv"]
    assert "gives a size and sizes; expected one of the two in a line" in refused(c)
    with pytest.raises(Exception, match='"99" is not a size'):
        load_job(laid_out(order(d), tmp_path / "d"))


def test_the_base_size_of_a_job_holds_where_it_is_made(tmp_path: Path) -> None:
    shutil.copy(FIXTURES / "charts/choir.csv", tmp_path / "choir.csv")
    text = 'garment = "straight-skirt"\nunits = "in"\n[sizes]\nchart = "choir.csv"\nmake = ["S", "M"]\nbase = "S"\n'
    saved(tmp_path / "skirt.toml", text.encode())
    with_it, without = read(table(tmp_path, "job,sizes", 'skirt.toml,"S,M, L,"', "skirt.toml,M/L/XL"))[0]
    assert values(with_it)["sizes"] == {"chart": "choir.csv", "make": ["S", "M", "L"], "base": "S"}
    assert values(without)["sizes"] == {"chart": "choir.csv", "make": ["M", "L", "XL"]}


def test_what_a_job_names_lies_beside_the_job_and_not_beside_the_table(tmp_path: Path) -> None:
    """Each folder has a chart of that name."""
    text = 'garment = "straight-skirt"\nunits = "in"\n[sizes]\nchart = "choir.csv"\nmake = ["S"]\n'
    saved(tmp_path / "jobs/skirt.toml", text.encode())
    shutil.copy(FIXTURES / "charts/choir.csv", tmp_path / "jobs/choir.csv")
    saved(tmp_path / "choir.csv", b"of the table")
    own, lines = read(table(tmp_path, "job,size,chart", "jobs/skirt.toml,M,", "jobs/skirt.toml,M,choir.csv"))[0]
    assert order(own).files["choir.csv"] == (FIXTURES / "charts/choir.csv").read_bytes()
    assert order(lines).files["choir.csv"] == b"of the table"


def test_another_body_takes_nothing_of_the_one_before(tmp_path: Path) -> None:
    """Her measurements, her name and her file stay behind; what the job says of style and files is kept."""
    saved(tmp_path / "rosa.toml", b'units = "in"\nwaist_girth = 29\nhip_girth = 41\nwaist_to_hip = 8\nstature = 65\n')
    text = 'client = "Rosa"\nmeasurements = "rosa.toml"\ngarment = "straight-skirt"\nunits = "in"\ndate = 2026-03-01\n'
    saved(tmp_path / "skirt.toml", f"{text}[style]\nlong = 26\n[output]\nprint_client = true\n".encode())
    own, other = read(table(tmp_path, HEAD.replace("garment", "job"), "a,skirt.toml,,,,", "b,skirt.toml,cm,74,103,21"))[
        0
    ]
    assert sorted(order(own).files) == ["a.toml", "rosa.toml"]
    assert sorted(order(other).files) == ["b.toml"]
    assert b"Rosa" not in order(own).files["a.toml"] + order(other).files["b.toml"]
    assert set(load_job(laid_out(order(other), tmp_path / "b")).body) == {"waist_girth", "hip_girth", "waist_to_hip"}
    assert load_job(laid_out(order(own), tmp_path / "a")).body["stature"] == 65 * 25.4


@pytest.mark.parametrize("in_a_file", [False, True])
def test_a_job_for_men_stays_one(tmp_path: Path, in_a_file: bool) -> None:
    """Nobody writes `wearer` in each line: without it a T-shirt would be drafted as for a woman."""
    text = 'garment = "t-shirt"\nunits = "cm"\n'
    body = 'wearer = "man"\nbust_girth = 101\nhip_girth = 99\n'
    saved(tmp_path / "his.toml", f'units = "cm"\n{body}'.encode())
    saved(
        tmp_path / "shirt.toml",
        (text + ('measurements = "his.toml"\n' if in_a_file else f"[measurements]\n{body}")).encode(),
    )
    orders = table(tmp_path, "job,bust_girth,hip_girth,wearer", "shirt.toml,110,104,", "shirt.toml,90,98,woman")
    his, hers = read(orders)[0]
    assert values(his)["measurements"] == {"wearer": "man", "bust_girth": "110", "hip_girth": "104"}
    assert values(hers)["measurements"] == {"wearer": "woman", "bust_girth": "90", "hip_girth": "98"}


def test_how_the_cloth_stretches_is_said_once(tmp_path: Path) -> None:
    """It may stand in [cloth] of the job; the line goes before it, and the width stays."""
    text = 'garment = "t-shirt"\nunits = "cm"\n[cloth]\nwidth = 150\nstretch = "40 %"\n'
    body = "[measurements]\nbust_girth = 101\nhip_girth = 99\nshoulder_length = 15\nback_waist_length = 46\n"
    more = "upper_arm_girth = 33\nneck_base_girth = 43\nscye_depth = 23\nhead_girth = 58\nwaist_to_hip = 20\n"
    saved(tmp_path / "shirt.toml", f"{text}{body}{more}".encode())
    found = one(table(tmp_path, "job,stretch", "shirt.toml,50 %"))
    assert (values(found)["cloth"], values(found)["style"]) == ({"width": 150}, {"stretch": "50 %"})
    assert load_job(laid_out(found, tmp_path / "out")).style["stretch"] == 0.5


def test_sizes_are_those_of_whoever_wears_them(tmp_path: Path) -> None:
    orders = table(tmp_path, "garment,unit,size,wearer", "t-shirt,cm,14,", "t-shirt,cm,104,man", "childs-dress,cm,104,")
    charts = [values(found)["sizes"]["chart"] for found in read(orders)[0]]  # type: ignore[index]
    assert charts == ["women", "men", "children"]


def test_a_client_beside_measurements_is_a_label(tmp_path: Path) -> None:
    """As in a job; there is no book here."""
    orders = table(tmp_path, f"client,{HEAD},size", f"Rosa,{MEZZO},", "Rosa,b,straight-skirt,in,,,,14")
    found, _ = read(orders, book=tmp_path / "none.book")
    assert [dict(one.columns) for one in found] == [{"client": "Rosa"}] * 2
    assert not any(b"Rosa" in data for one in found for data in order(one).files.values())
    assert (values(found[0])["measurements"], values(found[1])["sizes"]) == (
        {"waist_girth": "29", "hip_girth": "40 1/2", "waist_to_hip": "8 1/4"}, {"chart": "women", "make": ["14"]}
    )  # fmt: skip


def test_choices_as_spreadsheets_spell_them(tmp_path: Path) -> None:
    found = one(table(tmp_path, HEAD + ",lining,form,vent_wide", MEZZO + ",TRUE,Pegged,"))
    assert values(found)["style"] == {"lining": "yes", "form": "pegged"}


# ------------------------------------------------------------------------------------------------ what is wrong with it


@pytest.mark.parametrize(
    ("head", "line", "told"),
    [
        (HEAD, "a,straight-skirt,in,29,103,8", '3 hip_girth: "103" is taken as inches, and no hip is 2616.2 mm; ex'),
        (HEAD, "a,straight-skirt,in,-29,40,8", '3 waist_girth: "-29" cannot be the waist girth'),
        (HEAD, "a,straight-skirt,in,=29,40,8", "3 waist_girth: '=29' is not a length"),
        (HEAD, "a,straight-skirt,ft,29,40,8", '3 unit: "ft" is not a unit; expected in, cm or mm'),
        (HEAD, "a,straight-skrit,in,29,40,8", '3 garment: "straight-skrit" is not a garment. Write "straight-skirt"'),
        (HEAD, "a,,in,29,40,8", "3 garment: says not what to make"),
        (HEAD, "a,straight-skirt,in,,,", "3: says not whom it is for"),
        (HEAD, "a,straight-skirt,in,29,40", "3: has 5 cells; expected 6, as in the head"),
        (HEAD, f"a,{SKIRT},9", "3: has 7 cells; expected 6, as in the head"),
        (HEAD, "a;straight-skirt;in;29;40;8", "3: has 1 cells; expected 6, as in the head. It has semicolons between"),
        (HEAD, 'a,"straight-skirt,in,29,40,8', "3: a quotation mark is not closed"),
        (HEAD, 'a,"straight"-skirt,in,29,40,8', "3: a quotation mark stands inside a cell"),
        (HEAD, f"a\0,{SKIRT}", "3: holds a null character, so it is no text"),
        (HEAD, f"../../x,{SKIRT}", '3 order: "../../x" is a path, and the name of an order is a folder\'s'),
        (HEAD, f"C:\\x,{SKIRT}", '3 order: "C:\\x" is a path'),
        (HEAD, f"con,{SKIRT}", '3 order: "con" is a name that some systems keep'),
        (HEAD, f"Lpt1.x,{SKIRT}", '3 order: "Lpt1.x" is a name that some systems keep'),
        (HEAD, f"a\x1b[2J,{SKIRT}", '3 order: "a�[2J" holds signs that cannot be printed'),
        (HEAD, f"???,{SKIRT}", '3 order: "???" cannot be the name of an order'),
        (HEAD, f"{'a' * 61},{SKIRT}", f'3 order: "{LONG}..." is too long for the name of an order'),
        (HEAD + ",quantity", f"a,{SKIRT},0", '3 quantity: "0" is not a number of garments; expected 1 to'),
        (HEAD + ",quantity", f"a,{SKIRT},1e3", '3 quantity: "1e3" is not a number of garments'),
        (HEAD + ",due", f"a,{SKIRT},24.12.2026", '3 due: "24.12.2026" is not a day; expected year-month-day'),
        (HEAD + ",wearer,job", "a,,in,,,,child,good.toml", "3 wearer: says who wears it, and gives no body"),
        (HEAD + ",cloth", f"a,{SKIRT},wide", "3 cloth: 'wide' is not a length"),
        (HEAD + ",wearer", f"a,{SKIRT},lady", '3 wearer: "lady" is no wearer'),
        (HEAD + ",long", f"a,{SKIRT},400", '3 long: "400", taken as inches, is too much for the'),
        (HEAD + ",form", f"a,{SKIRT},pegd", '3 form: "pegd" is not a choice of'),
        (HEAD + ",sleeve", f"a,{SKIRT},short", '3 sleeve: "sleeve" is not an option of straight-skirt'),
        (HEAD + ",formats", f"a,{SKIRT},pdf dfx", '3 formats: "dfx" is not a format; expected one of dxf, '),
        (HEAD + ",size", f"a,{SKIRT},14", "3: gives measurements and sizes; expected one of the two in a line"),
        (HEAD + ",job", f"a,{SKIRT},x.toml", '3 garment: names a job, "x.toml", and a garment, "straight-skirt"'),
        (HEAD + ",job", "a,,in,29,40,8,x.toml", '3 job: "x.toml": no such file; expected a TOML file'),
        (HEAD + ",job", "a,,in,29,40,8,/etc/passwd", '3 job: "/etc/passwd" is not a job file'),
        (HEAD + ",job", "a,,in,29,40,8,bad.toml", '3 job: "bad.toml":1: this is not TOML'),
    ],
)
def test_a_bad_line_is_named_and_the_rest_goes_on(tmp_path: Path, head: str, line: str, told: str) -> None:
    saved(tmp_path / "bad.toml", b"garment = \n")
    shutil.copy(CHOIR / "wardrobe/straight-skirt.toml", tmp_path / "good.toml")
    good = MEZZO + "," * (head.count(",") - MEZZO.count(","))
    orders = table(tmp_path, head, good, line, good.replace("mezzo 2", "mezzo 4"))
    (before, bad, after), _ = read(orders)
    assert (before.name, after.name) == ("mezzo-2", "mezzo-4")
    assert bad.source == f"{orders}, line 3"
    assert refused(bad).startswith(f"{orders}:{told}")
    assert bad.name in ("a", "orders-3")


@pytest.mark.parametrize(
    ("data", "told"),
    [
        (f"{HEAD}\n{MEZZO}\n".encode("utf-16"), "orders.csv: the text is UTF-16, not UTF-8. Save the file as UTF-8"),
        (f"{HEAD}\n{MEZZO}\n".encode("utf-16-le"), "orders.csv: the text is UTF-16, not UTF-8"),
        (f"{HEAD},Größe\n{MEZZO},1\n".encode("latin-1"), "orders.csv:1: the text is not UTF-8. Save the file as UTF-8"),
        (b"", "orders.csv: holds no table; expected a head, and a line for each order"),
        (b"# only a remark\n\n;;\n", "orders.csv: holds no table"),
        (b"a,b\n1,2\n", "orders.csv:1: has no column job and no column garment"),
        (b"order,garment,remark\n", "orders.csv:1: has no column that says whom the orders are for"),
        (f"{HEAD},Hip Girth (cm)\n{MEZZO},1\n".encode(), 'two columns, "hip_girth" and "Hip Girth (cm)"'),
        (f"{HEAD},remark,Remark\n{MEZZO},1,2\n".encode(), 'orders.csv:1 Remark: "Remark" has two columns'),
        (f"{HEAD},bust_girth (ft)\n{MEZZO},1\n".encode(), 'orders.csv:1 bust_girth (ft): "ft" is not a unit'),
        (HEAD.encode() + b"," * 400 + b"x\n", "columns; expected at most 300"),
        (b'order,"garment\n', "orders.csv:1: a quotation mark is not closed"),
        (b"x" * 200_000, "orders.csv:1: the line is far too long"),
    ],
)  # fmt: skip
def test_a_table_that_cannot_be_read_is_one_refused_order(tmp_path: Path, data: bytes, told: str) -> None:
    (found,), _ = read(saved(tmp_path / "orders.csv", data))
    assert told in refused(found)
    assert found.name == "orders"


def test_not_more_mistakes_of_a_line_are_told_than_anyone_reads(tmp_path: Path) -> None:
    names = list(KINDS)[:9]
    for count, more in ((6, False), (9, True)):
        head = ",".join(names[:count])
        (found,), _ = read(table(tmp_path, f"garment,unit,{head}", "dress,cm" + ",1" * count))
        assert refused(found).count("orders.csv:2") == 6
        assert refused(found).endswith(" And 3 more.") == more


def test_a_length_that_names_its_unit_is_judged_where_nothing_else_does(tmp_path: Path) -> None:
    (found,), _ = read(table(tmp_path, "garment,waist_girth,hip_girth,long", "circle-skirt,74 cm,104 cm,900 cm"))
    assert 'orders.csv:2 long: "900 cm" is too much for the' in refused(found)


def test_a_line_in_another_encoding_is_named(tmp_path: Path) -> None:
    data = f"{HEAD},remark\n{MEZZO},a\n".encode() + f"{MEZZO},schön\n".encode("latin-1") + f"{MEZZO},c\n".encode()
    (_, bad, last), _ = read(saved(tmp_path / "orders.csv", data))
    assert "orders.csv:3: the text is not UTF-8. Save the file as UTF-8 (in a spreadsheet: CSV UTF-8)." in refused(bad)
    assert order(last).columns["remark"] == "c"


def test_a_cell_of_ten_megabytes_is_a_bad_line_and_is_never_held(tmp_path: Path) -> None:
    path = table(tmp_path, HEAD, MEZZO, "b," + "x" * 10_000_000, MEZZO)
    read(path)
    tracemalloc.start()
    try:
        found, _ = read(path)
        peak = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
    assert [type(one).__name__ for one in found] == ["Order", "Unread", "Order"]
    assert refused(found[1]).endswith(
        "orders.csv:3: the line is far too long; expected a line of at most 100,000 bytes."
    )
    assert peak < 3_000_000


def test_a_column_that_is_nearly_known_is_told_and_passes_through(tmp_path: Path) -> None:
    found, told = read(table(tmp_path, HEAD + ",bust_girht,quantitiy,lenght,Colour", MEZZO + ",37,2,30,red"))
    assert order(found[0]).quantity == 1
    assert dict(found[0].columns) == {"bust_girht": "37", "quantitiy": "2", "lenght": "30", "Colour": "red"}
    known = ["bust_girth", "quantity", "length"]
    assert len(told) == 3
    for words, name in zip(told, known, strict=True):
        assert f"passes through as it is. If it is {name}, write that." in words


def test_a_cell_may_run_over_a_line_where_it_is_closed(tmp_path: Path) -> None:
    """RFC 4180: a line's end within quotes belongs to the cell."""
    found, _ = read(table(tmp_path, HEAD + ",remark,row", MEZZO + ',"wool,\nnot lined",2', "x" + MEZZO[5:] + ",,3"))
    assert [(one.source[-6:], dict(one.columns)) for one in found] == [
        ("line 2", {"remark": "wool, not lined", "row": "2"}), ("line 4", {"remark": "", "row": "3"})
    ]  # fmt: skip


@pytest.mark.parametrize(("lines", "orders"), [(51, 1), (52, 0)])
def test_a_cell_runs_over_fifty_line_ends_at_most(tmp_path: Path, lines: int, orders: int) -> None:
    found, _ = read(table(tmp_path, HEAD + ",remark", MEZZO + ',"' + "\n".join("x" * lines) + '"'))
    assert [isinstance(one, Order) for one in found].count(True) == orders
    assert len(found) == (1 if orders else lines)


def test_a_quote_never_closed_takes_no_other_line_with_it(tmp_path: Path) -> None:
    lines = [f'n{k}{MEZZO[7:]},"a, b"' for k in range(60)]
    lines[5] = f'n5{MEZZO[7:]},"never closed'
    found, _ = read(table(tmp_path, HEAD + ",remark", *lines))
    assert [one.name for one in found if isinstance(one, Unread)] == ["orders-7"]
    assert [one.name for one in found if isinstance(one, Order)] == [f"n{k}" for k in range(60) if k != 5]


def test_blank_lines_and_remarks_are_no_orders(tmp_path: Path) -> None:
    found, _ = read(
        table(tmp_path, "# stage", "", HEAD, "# first row", ",,,,,", MEZZO, "#12" + MEZZO[7:], "# end,,,,,")
    )
    assert [one.name for one in found] == ["mezzo-2", "12"]


# ------------------------------------------------------------------------------------------------------ a million lines


def test_a_long_table_is_read_as_it_is_asked_for(tmp_path: Path) -> None:
    """Whether one order was asked for or thousands, as much of the file is held."""
    path = tmp_path / "orders.csv"
    with path.open("w") as text:
        text.write(HEAD + "\n")
        for k in range(30_000):
            text.write(f"n{k}{MEZZO[7:]}\n")
    orders = gather([path])
    tracemalloc.start()
    try:
        next(orders)
        early = tracemalloc.get_traced_memory()[0]
        assert sum(1 for _ in itertools.islice(orders, 3_000)) == 3_000
        late = tracemalloc.get_traced_memory()[0]
    finally:
        tracemalloc.stop()
        orders.close()
    assert late - early < 200_000  # 3,000 orders are more than 1 MB


# ------------------------------------------------------------------------------------------------- whatever is in there

CELLS = st.text(
    st.one_of(st.sampled_from("=+-@\t\r\n\"';,| \0\x1b1aé＝−"), st.characters()), max_size=12
)  # fmt: skip
FORMULA = ("=", "+", "-", "@", "＝", "＋", "－", "＠", "−")


@settings(max_examples=400)
@given(st.lists(CELLS, min_size=1, max_size=4))
def test_no_cell_is_run_by_a_spreadsheet_whatever_divides_its_columns(texts: list[str]) -> None:
    """A spreadsheet takes `,`, `;` or tabs as its country has it, and trims blanks before a formula."""
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerow([cell(text) for text in texts])
    assert out.getvalue().count("\n") == 1
    for separator in (",", ";", "\t"):
        for row in csv.reader(io.StringIO(out.getvalue()), delimiter=separator):
            for each in row:
                assert not each.lstrip(' \t\r\n"').startswith(FORMULA), (texts, out.getvalue(), separator)
    for row in csv.reader(io.StringIO(out.getvalue())):
        assert not any(each[:1] in ("\t", "\r", "\n") for each in row)


@given(st.text(st.characters(categories=("L", "N", "Zs"), include_characters="-_().:/'"), max_size=40))
def test_plain_words_stand_in_a_cell_as_they_are(text: str) -> None:
    if text.strip() == text and not text.startswith("-") and text.isprintable():
        assert cell(text) == text


@given(st.text(max_size=80))
def test_every_name_is_a_folders_on_any_system(text: str) -> None:
    name = folder_name(text)
    assert 0 < len(name) <= 66
    assert len(name.encode()) < 200
    assert all(c.isalnum() or c in "-_" for c in name)
    assert name.split(".")[0].lower() not in ("con", "prn", "aux", "nul", "com1", "lpt9")
    assert os.path.basename(name) == name  # noqa: PTH119
    assert folder_name(name) == name
    try:
        assert order_name(text, Where("x")) == name
    except InputError as error:
        assert error.instead


@settings(max_examples=150)
@given(st.lists(st.lists(CELLS, min_size=0, max_size=8), max_size=6), st.sampled_from((",", ";", "\t")), st.booleans())
def test_whatever_stands_in_a_table_every_line_ends_as_one_order(
    tmp_path_factory: pytest.TempPathFactory, rows: list[list[str]], separator: str, quoted: bool
) -> None:
    head, good = HEAD.replace(",", separator), MEZZO.replace(",", separator)
    lines = [separator.join(csv_cell(text) if quoted else text for text in row) for row in rows]
    text = "\n".join((head, good, *lines, good.replace("mezzo 2", "mezzo 9"), ""))
    path = saved(tmp_path_factory.mktemp("any") / "orders.csv", text.encode("utf-8", "surrogatepass"))
    found, _ = read(path)
    assert order(found[0]).name == "mezzo-2"
    assert len({one.name.casefold() for one in found}) == len(found)
    for one in found:
        assert folder_name(one.name) == one.name
        assert isinstance(one, Order) or one.reason.startswith(f"{path}:")
    if text.count('"') % 2 == 0 and not quoted and '"' not in text:
        assert order(found[-1]).name.startswith("mezzo-9")


@settings(max_examples=300)
@given(
    st.lists(
        st.tuples(
            st.text("ab", min_size=1), *[st.text('ab",;\t\n \u2028\x0b#é', max_size=6)] * 2, st.text("xy", min_size=1)
        ),
        min_size=1, max_size=6,
    ),
    st.sampled_from((",", ";", "\t")), st.sampled_from((csv.QUOTE_MINIMAL, csv.QUOTE_ALL)),
)  # fmt: skip
def test_what_the_standard_library_writes_is_read_as_it_was(
    rows: list[tuple[str, ...]], separator: str, quoting: Literal[0, 1]
) -> None:
    """Cells with separators, quotes and ends of lines in them; blanks around a cell do not count."""
    out = io.StringIO(newline="")
    csv.writer(out, delimiter=separator, lineterminator="\n", quoting=quoting).writerows(rows)
    lines = Lines(io.BytesIO(b"head\n" + out.getvalue().encode()), "orders.csv")
    lines.head()
    got = [record.cells for record in lines.records(separator, 4)]
    assert got == [tuple(text.strip() for text in row) for row in rows]


def csv_cell(text: str) -> str:
    return '"{}"'.format(text.replace('"', '""'))


PLAIN = st.one_of(
    st.text(st.characters(exclude_categories=("Cs",))), st.integers(-(2**60), 2**60), st.booleans(),
    st.floats(allow_nan=False), st.dates(),
)  # fmt: skip
VALUES = st.recursive(
    PLAIN,
    lambda inner: st.one_of(
        st.lists(inner, max_size=3),
        st.dictionaries(st.text(st.characters(exclude_categories=("Cs",)), max_size=8), inner, max_size=3),
    ),
    max_leaves=12,
)


@settings(max_examples=200)
@given(st.dictionaries(st.text(st.characters(exclude_categories=("Cs",)), max_size=8), VALUES, max_size=5))
def test_what_is_written_as_toml_is_read_back(told: dict[str, object]) -> None:
    """tomllib, of the standard library, is the reader."""
    assert tomllib.loads(toml_text(told)) == told


def test_the_choirs_jobs_are_written_as_toml() -> None:
    for path in _jobs():
        told = tomllib.loads(path.read_text(encoding="utf-8"))
        assert tomllib.loads(toml_text(told)) == told


def _jobs() -> Iterator[Path]:
    yield from sorted(CHOIR.rglob("*.toml"))
    yield FIXTURES / "drawings/skirt.toml"


def test_the_documented_table_is_read_and_every_column_documented(tmp_path: Path) -> None:
    from oaktag.orders.columns import OWN

    text = (FIXTURES.parent / "docs/orders.md").read_text(encoding="utf-8")
    (example,) = re.findall(r"```text\n(.*?)```", text, re.DOTALL)
    found, told = read(saved(tmp_path / "orders.csv", example.encode()))
    assert told == []
    assert [load_job(laid_out(order(one), tmp_path / one.name)).title for one in found] == ["alto 3", "alto 8"]
    rows = re.findall(r"(?m)^\| ([^|]*) \|", text)
    assert {name for row in rows for name in re.findall(r"`(\w+)`", row)} == {*OWN}


def test_columns_are_named_as_in_a_job() -> None:
    """All measurements, and no two columns of an order are called as one of them."""
    from oaktag.orders.columns import OWN

    assert not set(OWN) & set(KINDS)
