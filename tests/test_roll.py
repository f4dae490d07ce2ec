"""One roll for many orders: what lies on it, what its codes say, and what is plotted again after a jam.

Codes are read by zxing-cpp from pictures that hp2xx and poppler make of the files at 200 dpi; outlines are judged by
shapely. Neither has a part in what is written.
"""

from __future__ import annotations

import csv
import json
import re
import shutil
import subprocess
from collections.abc import Callable, Iterator, Sequence
from hashlib import sha256
from math import hypot
from pathlib import Path
from typing import Any

import pytest

from oaktag.device.store import find_device
from oaktag.errors import InputError, InputErrors
from oaktag.export import hpgl
from oaktag.geometry.affine import Move
from oaktag.job import load_job
from oaktag.lay.bound import least_by_area
from oaktag.lay.cloth import Cloth
from oaktag.lay.pieces import LayPiece
from oaktag.pipeline import pattern_of
from oaktag.rolls import file
from oaktag.rolls.code import MODULES, QUIET, code_strokes, code_text, modules, side_of
from oaktag.rolls.orders import name_of, read_order, read_orders
from oaktag.rolls.pieces import TURNS, roll_pieces
from oaktag.sheet.drawing import figure_of
from oaktag.sheet.strokes import Figure, Role, Sheet, Stroke
from wardrobe import ROOT, oaktag, tool

CHOIR = ROOT / "fixtures" / "choir"
ORDERS = {
    "alto-3": CHOIR / "alto-3.toml",
    "childs-dress": CHOIR / "wardrobe" / "childs-dress.toml",
    "t-shirt": CHOIR / "wardrobe" / "t-shirt.toml",
}
DPI = 200
PER_MM = DPI / 25.4


@pytest.fixture(scope="session")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the three orders, made as a workshop makes them."""
    place = tmp_path_factory.mktemp("orders")
    for name, job in ORDERS.items():
        done = oaktag("make", job, "-o", name, "--only", "json", "--only", "svg", cwd=place)
        assert done.returncode == 0, done.stderr
    return place


@pytest.fixture(scope="session")
def rolled(made: Path) -> Path:
    """Their roll."""
    done = oaktag("roll", *ORDERS, "--seconds", 1, "-o", "monday", cwd=made)
    assert done.returncode == 0, done.stderr
    assert "pieces of 3 orders on" in done.stdout
    return made / "monday"


@pytest.fixture(scope="session")
def narrow(made: Path) -> Path:
    """A roll on narrow paper of two orders with codes of every size, and beside a piece."""
    names = ("bodice", "princess-slip")
    for name in names:
        oaktag("make", CHOIR / "wardrobe" / f"{name}.toml", "-o", name, "--only", "json", cwd=made)
    done = oaktag("roll", *names, "--device", "roll-610", "--seconds", 0, "-o", "narrow", "--as", "hpgl", cwd=made)
    assert done.returncode == 0, done.stderr
    return made / "narrow"


def told(folder: Path) -> Any:
    return json.loads((folder / "roll.json").read_text(encoding="utf-8"))


def cut_list(folder: Path) -> list[dict[str, str]]:
    with (folder / "roll-cuts.csv").open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))


def verified(folder: Path) -> list[Any]:
    """The rows that are off."""
    done = oaktag("verify", folder, "--json", cwd=folder if folder.is_dir() else folder.parent)
    rows = json.loads(done.stdout)["rows"]
    assert done.returncode == (0 if all(row["passed"] for row in rows) else 1)
    return [row for row in rows if not row["passed"]]


def read_in(picture: Any) -> list[str]:
    """The codes in a picture, or a part of one."""
    import numpy as np
    import zxingcpp

    formats = zxingcpp.BarcodeFormat.QRCode
    return [found.text for found in zxingcpp.read_barcodes(np.ascontiguousarray(picture), formats=formats)]


# ---- what lies on it


def test_every_piece_of_every_order_is_in_the_cut_list_once(made: Path, rolled: Path) -> None:
    rows = cut_list(rolled)
    assert [row["number"] for row in rows] == [str(number) for number in range(1, len(rows) + 1)]
    meant = set()
    for order in ORDERS:
        for piece in json.loads((made / order / "pattern.json").read_bytes())["pieces"]:
            words = piece.get("title", piece["name"].replace("_", " "))
            how = "on the fold" if piece["on_fold"] else "a pair" if piece["mirrored_pair"] else ""
            meant.add((order, words, str(piece["quantity"]), how, piece["material"]))
    assert {(row["order"], row["piece"], row["quantity"], row["how"], row["cloth"]) for row in rows} == meant
    assert len(rows) == len(meant)
    page = (rolled / "roll.html").read_text(encoding="utf-8")
    assert all(f">{row['piece']}<" in page and f">{row['order']}<" in page for row in rows)
    assert "Keep fingers, hair and cords clear" in page
    assert find_device("roll-914").cautions[0] in page


def test_pieces_lie_apart_on_the_paper_and_shorter_than_on_rolls_of_their_own(made: Path, rolled: Path) -> None:
    import shapely

    data = told(rolled)
    shapes = [shapely.Polygon(ring) for piece in data["pieces"] for ring in piece["cut_lines"]]
    paper = shapely.box(0, 0, data["lengths"][0]["width"], data["lengths"][0]["long"])
    assert all(paper.contains(shape) for shape in shapes)
    apart = min(a.distance(b) for i, a in enumerate(shapes) for b in shapes[:i])
    assert apart >= 5.0 - 0.02  # the usual gap
    alone = 0.0
    for order in ORDERS:
        oaktag("roll", order, "--seconds", 1, "--as", "svg", "-o", f"alone-{order}", cwd=made)
        alone += told(made / f"alone-{order}")["lengths"][0]["long"]
    assert data["lengths"][0]["long"] < alone


def test_by_order_keeps_each_orders_pieces_together(made: Path) -> None:
    done = oaktag("roll", *ORDERS, "--by", "order", "--seconds", 0, "-o", "by", "--as", "svg", cwd=made)
    assert done.returncode == 0, done.stderr
    assert list(dict.fromkeys(row["order"] for row in cut_list(made / "by"))) == list(ORDERS)
    orders = [row["order"] for row in cut_list(made / "by")]
    assert orders == sorted(orders, key=list(ORDERS).index)
    assert verified(made / "by") == []


def test_an_order_read_again_is_drawn_as_it_was(made: Path) -> None:
    """Every stroke of the pieces, signs of pleats and folds among them; pattern.json has four digits."""
    for order, job in ORDERS.items():
        again = read_order(made / order).nest.base_pattern.pieces
        first = pattern_of(load_job(job)).pieces
        for a, b in zip(again, first, strict=True):
            drawn, meant = figure_of(a).strokes, figure_of(b).strokes
            assert [(s.role, s.closed, len(s.points)) for s in drawn] == [
                (s.role, s.closed, len(s.points)) for s in meant
            ]
            off = max(
                hypot(p[0] - q[0], p[1] - q[1])
                for s, t in zip(drawn, meant, strict=True)
                for p, q in zip(s.points, t.points, strict=True)
            )
            assert off < 0.001, (order, a.name)


def test_nothing_is_drawn_where_a_tag_stands(made: Path) -> None:
    import shapely

    orders = read_orders([made / name for name in ORDERS])
    places = set()
    for piece in roll_pieces(orders, (900.0, 15_000.0)):
        tag = piece.tag
        places.add(tag.place)
        box = shapely.Polygon(tag.ring())
        lines = shapely.union_all([
            shapely.LineString((*s.points, s.points[0]) if s.closed else s.points) for s in piece.figure.strokes
        ])  # fmt: skip
        assert box.distance(lines) > 0.9, piece.key
        whole = shapely.Polygon(piece.rings[0])
        assert whole.contains(box) == (tag.place == "inside")
        held = shapely.Polygon(piece.outline).buffer(0.01)
        assert held.contains(box)
        for stroke in tag.strokes(len(ORDERS), "pen"):
            if stroke.points != tag.leader:
                assert box.buffer(0.01).contains(shapely.LineString(stroke.points)), piece.key
    assert places == {"inside", "beside"}


def test_the_plot_finishes_a_piece_before_the_next(rolled: Path) -> None:
    (plot,) = told(rolled)["plots"]
    names = [part["name"] for part in plot["parts"]]
    whole = list(dict.fromkeys(names))
    assert [name for name, before in zip(names, ["", *names], strict=False) if name != before] == whole
    numbers = [int(name.split()[0]) for name in whole if name[0].isdigit()]
    assert numbers == list(range(1, len(numbers) + 1))


def test_a_cutter_still_marks_everything_before_it_cuts() -> None:
    square = ((0.0, 0.0), (50.0, 0.0), (50.0, 50.0), (0.0, 50.0))
    figures = tuple(
        Figure(f"{n}", (Stroke(Role.CUT, square, True), Stroke(Role.GRAIN, ((20.0, 20.0), (30.0, 20.0))))).moved(
            Move.by(10.0, 10.0 + 60.0 * n)
        )
        for n in range(3)
    )
    sheet = Sheet("", 100.0, 200.0, figures)
    knife = hpgl.plot(sheet, find_device("knife-600"), in_order=True)
    assert [part.pen for part in knife.parts] == [1, 1, 1, 2, 2, 2]
    pens = hpgl.plot(sheet, find_device("roll-914"), in_order=True)
    assert [part.name for part in pens.parts] == ["0", "1", "2"]


# ---- codes


@pytest.mark.parametrize("module", MODULES)
@pytest.mark.parametrize("pen", [0.3, 0.4, 0.5])
def test_a_code_is_filled_by_every_pen_that_is_meant(module: float, pen: float) -> None:
    """Dark modules are inked to 0.6 and more, light ones to 0.4 at most: a scanner parts them at about a half (common
    practice, no source); by a round pen (geometry, by shapely)."""
    import shapely

    text = code_text("alto-3", "front", "14", "3f9ac2d1")
    assert text == "alto-3 front 14 3f9ac2d1"
    ink = shapely.union_all(
        [shapely.LineString(s.points).buffer(pen / 2) for s in code_strokes(text, module, (0.0, 0.0), "pen")]
    )
    covers = shapely.union_all(
        [
            shapely.LineString(s.points).buffer(0.3, cap_style="flat")
            for s in code_strokes(text, module, (0, 0), "filled")
        ]
    )
    rows = modules(text)
    side = side_of(text, module)
    for number, row in enumerate(rows):
        for column, dark in enumerate(row):
            x, y = (QUIET + column) * module, side - (QUIET + number) * module
            square = shapely.box(x, y - module, x + module, y)
            part = ink.intersection(square).area / module**2
            assert part > 0.6 if dark else part < 0.4
            assert covers.intersection(square).area / module**2 == pytest.approx(1.0 if dark else 0.0, abs=1e-6)


@pytest.mark.parametrize("pen", ["3", "5"])
def test_all_codes_are_read_from_the_plot(narrow: Path, tmp_path: Path, pen: str) -> None:
    """At 200 dpi, as drawn by pens of 0.3 and 0.5 mm: each where roll.json says that it is."""
    picture = tmp_path / "plot.png"
    subprocess.run(
        [tool("hp2xx"), "-q", "-t", "-m", "png", "-d", str(DPI), "-p", pen * 8, "-c", "1" * 8, "-f", str(picture),
         str(narrow / "roll.plt")],
        check=True, capture_output=True,
    )  # fmt: skip
    seen = opened(picture)
    assert {piece["code"]["module"] for piece in told(narrow)["pieces"]} == set(MODULES)
    # X of the plot runs along the roll, Y across it from the right: the picture has its left edge at the top
    for piece, crop in windows(narrow, lambda x, y: (y * PER_MM, x * PER_MM)):
        assert read_in(seen[crop]) == [piece["code"]["text"]], piece["number"]


def test_all_codes_are_read_from_the_pdf(rolled: Path, tmp_path: Path) -> None:

    subprocess.run(
        [tool("pdftoppm"), "-r", str(DPI), "-gray", str(rolled / "roll.pdf"), str(tmp_path / "page")], check=True
    )
    (page,) = tmp_path.glob("page*.pgm")
    seen = opened(page)
    high = seen.shape[0]
    for piece, crop in windows(rolled, lambda x, y: ((x + 5) * PER_MM, high - (y + 5) * PER_MM)):
        assert read_in(seen[crop]) == [piece["code"]["text"]], piece["number"]


def opened(path: Path) -> Any:
    """A grey picture, however large."""
    import numpy as np
    from PIL import Image

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Image, "MAX_IMAGE_PIXELS", None)
        with Image.open(path) as picture:
            return np.array(picture.convert("L"))


def windows(folder: Path, to_picture: Callable[[float, float], tuple[float, float]]) -> Iterator[tuple[Any, Any]]:
    """Each piece with the part of a picture in which its code lies, quiet zone included."""
    for piece in told(folder)["pieces"]:
        code = piece["code"]
        xx, xy, yx, yy, dx, dy = code["matrix"]
        quiet = QUIET * code["module"]
        low, high = -quiet, len(modules(code["text"])) * code["module"] + quiet
        corners = [(xx * x + xy * y + dx, yx * x + yy * y + dy) for x in (low, high) for y in (low, high)]
        at = [to_picture(*corner) for corner in corners]
        left, right = min(x for x, _ in at), max(x for x, _ in at)
        top, bottom = min(y for _, y in at), max(y for _, y in at)
        yield piece, (slice(max(0, int(top)), int(bottom) + 1), slice(max(0, int(left)), int(right) + 1))


def test_codes_say_what_the_folders_are(made: Path, rolled: Path) -> None:
    for piece in told(rolled)["pieces"]:
        digest = sha256((made / piece["order"] / "pattern.json").read_bytes()).hexdigest()
        assert piece["code"]["text"] == f"{piece['order']} {piece['piece']} - {digest[:8]}"


# ---- read back


def test_the_roll_is_read_back(rolled: Path) -> None:
    assert verified(rolled) == []


def changed(change: Callable[[Any], None]) -> Callable[[Path], None]:
    """roll.json with a change in it."""

    def spoil(folder: Path) -> None:
        data = told(folder)
        change(data)
        (folder / "roll.json").write_text(json.dumps(data), encoding="utf-8")

    return spoil


def _moved(data: Any) -> None:
    piece = data["pieces"][0]
    piece["y"] += 40.0
    piece["matrix"][5] += 40.0
    piece["code"]["matrix"][5] += 40.0
    for ring in (*piece["cut_lines"], piece["outline"]):
        ring[:] = [[x, y + 40.0] for x, y in ring]


def _without(name: str, text: bytes, other: bytes, *, last: bool = False) -> Callable[[Path], None]:
    def spoil(folder: Path) -> None:
        data = (folder / name).read_bytes()
        at = data.rindex(text) if last else data.index(text)
        (folder / name).write_bytes(data[:at] + other + data[at + len(text) :])

    return spoil


def _without_a_notch(folder: Path) -> None:
    """The lines of a plot that lie at a notch of the first piece, left out: runs of two points, a few mm long."""
    piece = told(folder)["pieces"][0]
    pattern = json.loads((folder / "orders" / f"{piece['order']}.json").read_bytes())
    (notch, *_) = next(p for p in pattern["pieces"] if p["name"] == piece["piece"])["notches"]
    xx, xy, yx, yy, dx, dy = piece["matrix"]
    x, y = notch["cut_points"][0]
    wide = told(folder)["lengths"][0]["width"]
    at = (yx * x + yy * y + dy) * 40, (wide - xx * x - xy * y - dx) * 40  # plotter units: 40 a mm
    lines = (folder / "roll.plt").read_bytes().decode().split("\n")
    kept: list[str] = []
    gone = 0
    for line in lines:
        before = kept[-1][2:-1].split(",") if kept and kept[-1].startswith("PU") and "," in kept[-1] else []
        if line.startswith("PD") and before and line.count(",") <= 9:
            numbers = [float(part) for part in (*before, *line[2:-1].split(","))]
            points = list(zip(numbers[::2], numbers[1::2], strict=True))
            if max(hypot(u - at[0], v - at[1]) for u, v in points) < 400.0:  # within 10 mm
                kept.pop()
                gone += 1
                continue
        kept.append(line)
    assert gone
    (folder / "roll.plt").write_text("\n".join(kept), encoding="utf-8")


SPOILED: dict[str, tuple[Callable[[Path], None], str, str]] = {
    "a piece lies elsewhere": (changed(_moved), "roll.svg", "cut lines"),
    "a code says another order": (
        changed(lambda d: d["pieces"][2]["code"].update(text="soloist front - 00000000")),
        "roll.json", "what its codes say",
    ),
    "two numbers change places": (changed(lambda d: d["pieces"][0].update(number=2)), "roll.json", "its cut list"),
    "a piece is gone from the list": (changed(lambda d: d["pieces"].pop()), "roll.svg", "notches"),
    "an outline is larger": (
        changed(lambda d: d["pieces"][0]["cut_lines"][0].__setitem__(0, [-50.0, -50.0])),
        "roll.json", "pieces as their orders",
    ),
    "the copy of an order is of another": (
        _without("orders/alto-3.json", b'"pieces"', b'"peices"'), "roll.json", "files are of",
    ),
    "another plot": (_without("roll.plt", b"PD", b"PU"), "roll.json", "files are of"),
    "a plot that draws less": (_without("roll.plt", b"\nPD", b"\nPU", last=True), "roll.plt", "parts"),
    "a plot without a notch": (_without_a_notch, "roll.plt", "notches"),
    "a page at another size": (_without("roll.svg", b'mm" height', b'cm" height'), "roll.svg", "size of the sheet"),
}  # fmt: skip


@pytest.mark.parametrize("what", SPOILED)
def test_what_is_wrong_with_a_roll_is_noticed(rolled: Path, tmp_path: Path, what: str) -> None:
    spoil, name, where = SPOILED[what]
    folder = tmp_path / "roll"
    shutil.copytree(rolled, folder)
    spoil(folder)
    off = verified(folder / name)
    assert any(where in row["what"] and row["file"] == name for row in off), off


@pytest.mark.parametrize(
    "change",
    [
        lambda d: d["pieces"][0].update(number=1e400),
        lambda d: d["lengths"][0]["files"][0].update(format="x"),
        lambda d: d["pieces"][0].update(cut_lines=[[[0, 0]]]),
        lambda d: d["files"][0].update(file="../../x"),
        lambda d: d.pop("orders"),
    ],
)
def test_a_damaged_roll_is_told_and_ends_nothing(rolled: Path, tmp_path: Path, change: Callable[[Any], None]) -> None:
    data = told(rolled)
    change(data)
    (tmp_path / "roll.json").write_text(json.dumps(data), encoding="utf-8")
    (row,) = verified(tmp_path / "roll.json")
    assert "roll.json cannot be read" in row["message"]


def test_a_code_that_was_drawn_otherwise_is_noticed(rolled: Path, tmp_path: Path) -> None:
    """One code moved by 1 mm, a module or more, in the drawing that is read by its layers."""
    folder = tmp_path / "roll"
    shutil.copytree(rolled, folder)
    text = (folder / "roll.svg").read_text(encoding="utf-8")
    before, sign, after = text.partition('.code" d="')
    path, quote, rest = after.partition('"')
    moved = re.sub(r"([ML])([\d.]+)", lambda m: f"{m[1]}{float(m[2]) + 1.0:.4f}", path)
    assert moved != path
    (folder / "roll.svg").write_text(f"{before}{sign}{moved}{quote}{rest}", encoding="utf-8")
    assert [row["what"] for row in verified(folder / "roll.svg")] == ["codes"]


def test_send_knows_the_parts_of_a_roll_and_sends_no_plot_of_another(rolled: Path, tmp_path: Path) -> None:
    listed = oaktag("send", rolled / "roll.plt", "--to", "roll-914", "--parts", cwd=tmp_path).stdout.splitlines()
    (plot,) = told(rolled)["plots"]
    assert [line[6:].rpartition("  (")[0] for line in listed] == [f"{p['name']}, pen {p['pen']}" for p in plot["parts"]]
    folder = tmp_path / "roll"
    shutil.copytree(rolled, folder)
    _without("roll.plt", b"PD", b"PU")(folder)
    done = oaktag("send", folder / "roll.plt", "--to", "roll-914", "--at", f"file:{tmp_path / 'sent'}", cwd=tmp_path)
    assert done.returncode == 2
    assert "is not the file that was written with the roll.json beside it" in done.stderr


# ---- after a jam


def test_from_a_piece_on_all_lies_as_it_lay(rolled: Path, tmp_path: Path) -> None:
    done = oaktag("roll", rolled, "--from", 7, "-o", tmp_path / "rest", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    before = {piece["number"]: piece for piece in told(rolled)["pieces"] if piece["number"] >= 7}
    after = {piece["number"]: piece for piece in told(tmp_path / "rest")["pieces"]}
    assert after.keys() == before.keys()
    shifts = {(round(after[n]["x"] - before[n]["x"], 3), round(after[n]["y"] - before[n]["y"], 3)) for n in after}
    assert len(shifts) == 1
    assert {n: piece["code"]["text"] for n, piece in after.items()} == {n: p["code"]["text"] for n, p in before.items()}
    assert told(tmp_path / "rest")["lengths"][0]["long"] <= told(rolled)["lengths"][0]["long"]
    assert verified(tmp_path / "rest") == []
    again = oaktag("roll", tmp_path / "rest", "--from", 9, "-o", tmp_path / "rest-2", cwd=tmp_path)
    assert again.returncode == 0, again.stderr
    assert [row["number"] for row in cut_list(tmp_path / "rest-2")] == [str(n) for n in sorted(after) if n >= 9]


def test_an_order_or_a_piece_once_more_keeps_its_number_and_code(rolled: Path, tmp_path: Path) -> None:
    wanted = ("--again", "t-shirt", "--again", "alto-3/facing_front", "--again", "1")
    done = oaktag("roll", rolled, *wanted, "--seconds", 0, "-o", tmp_path / "again", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    known = {
        piece["number"]: (piece["order"], piece["piece"], piece["code"]["text"]) for piece in told(rolled)["pieces"]
    }
    meant = {
        number for number, (order, piece, _) in known.items()
        if order == "t-shirt" or (order, piece) == ("alto-3", "facing_front") or number == 1
    }  # fmt: skip
    found = {p["number"]: (p["order"], p["piece"], p["code"]["text"]) for p in told(tmp_path / "again")["pieces"]}
    assert found == {number: known[number] for number in meant}
    assert verified(tmp_path / "again") == []


def test_a_roll_goes_with_the_orders_that_are_kept_in_it(rolled: Path, tmp_path: Path) -> None:
    folder = tmp_path / "roll"
    shutil.copytree(rolled, folder)
    assert len(file.read(folder).pieces) == len(told(rolled)["pieces"])
    copy = folder / "orders" / "t-shirt.json"
    copy.write_bytes(copy.read_bytes() + b" ")
    with pytest.raises(InputError, match=r"the copy of t-shirt was changed since the roll was made"):
        file.read(folder)
    copy.unlink()
    with pytest.raises(InputError, match=r"the copy of an order is not there"):
        file.read(folder)
    (folder / "roll.json").write_text('{"roll": 1}', encoding="utf-8")
    with pytest.raises(InputError, match=r"not a roll that oaktag has written"):
        file.read(folder)
    (folder / "roll.json").write_text('{"roll": 2}', encoding="utf-8")
    with pytest.raises(InputError, match=r"not a roll of this version"):
        file.read(folder)


# ---- mistakes


def test_an_order_is_called_as_its_folder() -> None:
    assert name_of(Path("alto-3-pattern")) == "alto-3"
    assert name_of(Path("somewhere/Alto 3")) == "Alto-3"


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("nowhere",), "nowhere: there is no such folder"),
        (("monday", "--from", "999"), "--from 999: there is no such piece; expected a number of its cut list: 1 to 17"),
        (("monday", "--from", "2", "--device", "roll-610"), "and roll-610 draws 600 mm"),
        (
            ("monday", "--again", "alto-3", "--device", "knife-200.toml"),
            "196 mm across can be drawn; expected wider paper",
        ),
        (("monday", "--again", "soloist"), "the roll has no such order or piece"),
        (("monday",), "it is a roll already"),
        (("alto-3", "--from", "2"), "there is no roll.json in it"),
        (("monday", "--from", "2", "--again", "1"), "--from and --again are both given"),
        (("monday", "--from", "2", "--gap", "1cm"), "--gap: the roll is made"),
        (("monday", "--from", "2", "-o", "monday"), "the roll itself lies there"),
        (("alto-3", "--device", "sheet-a0"), "sheet-a0 has sheets"),
        (("alto-3", "--device", "roll-900-16bit"), "draws 819 mm at once"),
        (("alto-3", "-o", "monday"), "the folder holds a roll of alto-3, childs-dress, t-shirt"),
        (("alto-3", "--gap", "9 cm"), "--gap 9 cm is out of range"),
        (("alto-3", "--size", "12"), "none of the orders is a set that has it"),
        (("alto-3", "--device", "laser-600x300", "--as", "hpgl"), "takes no hpgl"),
    ],
)
def test_mistakes_are_told_and_nothing_is_written(made: Path, rolled: Path, words: Sequence[str], said: str) -> None:
    (made / "knife-200.toml").write_text('words = "narrow"\nwidth = 210\n', encoding="utf-8")
    before = {path: path.stat().st_mtime_ns for path in rolled.rglob("*")}
    done = oaktag("roll", *words, "--seconds", 0, cwd=made)
    assert done.returncode == 2
    assert said in done.stderr
    assert not (made / "roll").exists()
    assert {path: path.stat().st_mtime_ns for path in rolled.rglob("*")} == before


def test_all_that_is_wrong_with_the_folders_is_told_at_once(made: Path, tmp_path: Path) -> None:
    for place in ("a", "b"):
        shutil.copytree(made / "alto-3", tmp_path / place / "alto-3")
    changed = tmp_path / "changed"
    shutil.copytree(made / "t-shirt", changed)
    (changed / "pattern.svg").write_text("<svg/>", encoding="utf-8")
    newer = tmp_path / "newer"
    newer.mkdir()
    pattern = (made / "t-shirt" / "pattern.json").read_text(encoding="utf-8")
    (newer / "pattern.json").write_text(pattern.replace('"oaktag": 1,', '"oaktag": 9,'), encoding="utf-8")
    (tmp_path / "empty").mkdir()
    folders = [tmp_path / name for name in ("a/alto-3", "b/alto-3", "changed", "newer", "empty")]
    with pytest.raises(InputErrors) as caught:
        read_orders(folders)
    said = [str(error) for error in caught.value.errors]
    assert len(said) == 4
    for words, line in zip(
        ("an order is called alto-3, and so is that in", "pattern.svg was changed since the folder was made",
         "it is of format 9, and this Oaktag reads up to 1", "there is no pattern.json in it"),
        said, strict=True,
    ):  # fmt: skip
        assert words in line
    assert oaktag("roll", *folders, cwd=tmp_path).returncode == 2
    assert not (tmp_path / "roll").exists()


# ---- wide pieces, other machines


def test_a_piece_wider_than_the_paper_comes_in_parts(tmp_path: Path) -> None:
    oaktag("make", CHOIR / "wardrobe" / "circle-skirt.toml", "-o", "skirt", "--only", "json", cwd=tmp_path)
    done = oaktag("roll", "skirt", "--device", "roll-610", "--seconds", 0, cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert "wider than the paper, so in parts" in done.stdout
    parts = [(row["piece"], row["number"]) for row in cut_list(tmp_path / "roll")]
    assert {name for name, _ in parts} == {
        "front, part 1 of 2", "front, part 2 of 2", "back, part 1 of 2", "back, part 2 of 2", "waistband"
    }  # fmt: skip
    assert verified(tmp_path / "roll") == []


@pytest.mark.parametrize(
    ("device", "forms"),
    [("roll-900-frames", "hpgl"), ("roll-914-coded", "hpgl"), ("knife-600", "hpgl"), ("roll-914", "cad")],
)
def test_what_other_machines_are_sent_is_read_back(made: Path, tmp_path: Path, device: str, forms: str) -> None:
    words = ("--device", device, "--as", forms, "--seconds", 0, "-o", tmp_path / "roll")
    done = oaktag("roll", "childs-dress", "t-shirt", *words, cwd=made)
    assert done.returncode == 0, done.stderr
    assert verified(tmp_path / "roll") == []
    if device == "roll-900-frames":  # frames of 800 mm
        for row in cut_list(tmp_path / "roll"):
            first, last = int(float(row["begins_mm"]) // 800) + 1, int(float(row["ends_mm"]) // 800) + 1
            assert row["frame"] == (f"{first} to {last}" if last > first else f"{first}")


def test_a_plotter_without_a_pen_for_words_has_its_codes_in_the_pages_alone(made: Path, tmp_path: Path) -> None:
    (tmp_path / "mute.toml").write_text('words = "a plotter"\nwidth = 914\n[pens]\nlabel = 0\n', encoding="utf-8")
    done = oaktag("roll", made / "t-shirt", "--device", "mute.toml", "--seconds", 0, cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert "mute has no pen for codes: they are only in PDF and SVG" in done.stdout
    assert verified(tmp_path / "roll") == []
    again = oaktag("roll", "roll", "--again", 1, "--seconds", 0, cwd=tmp_path)
    assert again.returncode == 2
    assert "the roll is for mute, which is not known here" in again.stderr


def test_a_corrected_plotter_says_so_and_is_read_back(
    made: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("OAKTAG_DEVICES", str(tmp_path / "kept"))
    measured = ("--across", "99.6", "--along", "100.2", "--diagonals", "141.1", "141.5")
    assert oaktag("calibrate", "roll-914", *measured, cwd=tmp_path).returncode == 0
    done = oaktag("roll", "t-shirt", "--as", "hpgl", "--seconds", 0, "-o", tmp_path / "roll", cwd=made)
    assert done.returncode == 0, done.stderr
    assert "corrected for roll-914" in done.stdout
    assert verified(tmp_path / "roll") == []


def test_a_roll_longer_than_the_machine_draws_comes_in_several_plots(made: Path, tmp_path: Path) -> None:
    (tmp_path / "short.toml").write_text(
        'words = "a plotter that draws two metres at once"\nwidth = 620\nrange = [-80000, 80000]\n', encoding="utf-8"
    )
    done = oaktag("roll", *(made / name for name in ORDERS), "--device", "short.toml", "--seconds", 0, cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    data = told(tmp_path / "roll")
    assert len(data["lengths"]) > 1
    assert all(length["long"] <= 2000.0 for length in data["lengths"])
    assert {row["plot"] for row in cut_list(tmp_path / "roll")} == {str(n + 1) for n in range(len(data["lengths"]))}
    assert {path.name for path in (tmp_path / "roll").glob("*.plt")} == {
        f"roll-{n + 1}.plt" for n in range(len(data["lengths"]))
    }
    assert verified(tmp_path / "roll") == []


# ---- the area bound, and several orders on cloth


def test_the_least_length_by_area_is_right_for_squares() -> None:
    """Four squares of 100 mm, 10 mm apart, on paper with 210 mm between its edges: two rows, 210 mm and both ends."""
    ring = ((0.0, 0.0), (100.0, 0.0), (100.0, 100.0), (0.0, 100.0))
    squares = [LayPiece(f"square {n}", "", 1, 1, ring, Move(), TURNS) for n in range(4)]
    cloth = Cloth(214.0, gap=10.0, selvedge=2.0, ends=2.0)
    assert 212.0 < least_by_area(squares, cloth) <= 214.0  # rounded corners take a little less
    assert least_by_area([], cloth) == 0.0


def test_orders_are_laid_together_on_one_cloth(made: Path, tmp_path: Path) -> None:
    words = ("--cloth-width", "150cm", "--seconds", 0, "--as", "svg", "-o", tmp_path / "lay")
    done = oaktag("lay", "alto-3", ORDERS["t-shirt"], *words, "--material", "shell", cwd=made)
    assert done.returncode == 0, done.stderr
    data = json.loads((tmp_path / "lay" / "lay.json").read_text(encoding="utf-8"))
    placed = [p for lay in data["lays"] for part in lay["stretches"] for p in part["placements"]]
    assert {p["order"] for p in placed} == {"alto-3", "t-shirt"}
    assert all(p["piece"].startswith(f"{p['order']} ") for p in placed)
    wanted = {
        (name, piece["name"]): piece["quantity"]
        for name in ("alto-3", "t-shirt")
        for piece in json.loads((made / name / "pattern.json").read_bytes())["pieces"]
        if piece["material"] == "shell"
    }
    found: dict[tuple[str, str], int] = {}
    for p in placed:
        key = p["order"], p["piece"].removeprefix(f"{p['order']} ")
        found[key] = found.get(key, 0) + 1
    assert found == wanted
    digest = sha256((made / "alto-3" / "pattern.json").read_bytes()).hexdigest()
    assert data["orders"] == [{"order": "alto-3", "sha256": digest}, {"order": "t-shirt"}]
    assert verified(tmp_path / "lay") == []
    other = oaktag("lay", "alto-3", "childs-dress", "--cloth-width", "150cm", "-o", tmp_path / "lay", cwd=made)
    assert other.returncode == 2
    assert "the folder holds" in other.stderr


def test_orders_of_different_cloth_are_not_laid_together(made: Path, tmp_path: Path) -> None:
    jobs = {}
    for name, cloth in {"wide": 'width = "150 cm"', "narrow": 'width = "140 cm"', "striped": 'repeat = "6 cm"'}.items():
        jobs[name] = tmp_path / f"{name}.toml"
        text = ORDERS["alto-3"].read_text(encoding="utf-8")
        jobs[name].write_text(f"{text}\n[cloth]\n{cloth}\n", encoding="utf-8")
    refused = oaktag("lay", jobs["wide"], jobs["narrow"], "--seconds", 0, cwd=tmp_path)
    assert refused.returncode == 2
    assert "not of one cloth: of the shell, the width is 59 in in wide and 55 1/8 in in narrow" in refused.stderr
    settled = oaktag("lay", jobs["wide"], jobs["narrow"], "--cloth-width", "140cm", "--seconds", 0, cwd=tmp_path)
    assert settled.returncode == 0, settled.stderr
    striped = oaktag("lay", jobs["wide"], jobs["striped"], "--seconds", 0, "-o", "other", cwd=tmp_path)
    assert "the shell has a repeat" in striped.stderr
    twice = oaktag("lay", jobs["wide"], jobs["wide"], "--seconds", 0, "-o", "other", cwd=tmp_path)
    assert "two orders are called wide" in twice.stderr
    idle = oaktag("lay", jobs["wide"], jobs["narrow"], "--quantity", "2", cwd=tmp_path)
    assert "--quantity: it is said of one job" in idle.stderr
