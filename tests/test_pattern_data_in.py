"""Customers' pattern data through `oaktag finish`: what the file holds comes in, or is named as not taken.

Every file of fixtures/exchange is read by ezdxf, independently of our own reader, and compared with what was written:
layers are those of ASTM D6673-10, 4.3, as public notes quote it. Expected numbers of single tests stand in the
fixtures, which were written by hand.
"""

from __future__ import annotations

import json
import math
import random
import re
import shutil
import tomllib
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import cache
from io import StringIO
from itertools import pairwise
from pathlib import Path
from typing import Any

import ezdxf
import ezdxf.document
import ezdxf.filemanagement
import ezdxf.path
import pytest
import shapely
import shapely.affinity
from click.testing import CliRunner
from ezdxf.lldxf.tagger import ascii_tags_loader

from oaktag.cli import verbs
from oaktag.errors import InputError, InputErrors, OaktagError
from oaktag.grade.alike import alike
from oaktag.intake.plan import Reading, is_name, name_of
from oaktag.job import load_job
from oaktag.model.finding import CheckFailed
from oaktag.pipeline import nest_of
from wardrobe import FIXTURES

XY = tuple[float, float]
FILES = FIXTURES / "exchange"
REFUSED = {
    "no-blocks": "does not say its units",
    "no-boundary": "does not say its units",
    "no-units-small": "does not say its units",
    "crossing": "crosses or touches itself",
}
"""Files of which nothing can be made, and why: three do not say how large they are, one outline crosses itself."""
READ = sorted(path.stem for path in FILES.glob("*.dxf") if path.stem not in REFUSED)
ASKED = {"base", "base-aama", "nest", "insert-off-origin", "insert-turned"}
"""Files with a piece that has no line on layer 14."""
NOTCHES = {"4", "80", "81", "82", "83"}
TOLERANCE = 0.05
"""mm, the project's."""


# ---- what a file holds, by ezdxf


@dataclass
class Held:
    """One block, as ezdxf has it, mm, where its INSERT puts it."""

    texts: list[str] = field(default_factory=list)
    rings: dict[str, list[list[XY]]] = field(default_factory=lambda: defaultdict(list))
    lines: dict[str, list[list[XY]]] = field(default_factory=lambda: defaultdict(list))
    points: dict[str, list[tuple[XY, float, float]]] = field(default_factory=lambda: defaultdict(list))

    def fact(self, key: str) -> str:
        """The value of `key: value`, any case."""
        found = [re.match(rf"\s*{key}\s*:\s*(.*)", text, re.IGNORECASE) for text in self.texts]
        return next((m[1].strip() for m in found if m), "")

    def polygon(self, layer: str) -> Any:
        """The largest outline of a layer; chains are joined by shapely, and closed with a straight line if need be."""
        merged = shapely.line_merge(shapely.MultiLineString([line for line in self.lines[layer] if len(line) > 1]))
        chains = [list(line.coords) for line in getattr(merged, "geoms", [merged])]
        rings = [shapely.Polygon(ring) for ring in (*self.rings[layer], *chains) if len(ring) > 3]
        return max(rings, key=lambda p: p.area)


@cache
def held(name: str) -> tuple[dict[str, Held], Held]:
    """Every block that an INSERT places, and what stands outside of blocks."""
    data = (FILES / f"{name}.dxf").read_bytes()
    if name == "decimal-commas":  # ezdxf takes no commas
        data = re.sub(rb"(?m)^(-?\d+),(\d+)\s*$", rb"\1.\2", data)
    data = re.sub(rb"  0\r?\nSPLINE\r?\n.*?(?=  0\r?\n[A-Z])", b"", data, flags=re.DOTALL)  # without its points
    codec = {"chinese": "gbk", "latin": "cp1252"}.get(name, "utf-8")
    lines = data.decode(codec).replace("\r", "").split("\n")
    document = ezdxf.document.Drawing.load(ascii_tags_loader(StringIO("\n".join(lines))))
    outside = Held([t.dxf.text for t in document.modelspace().query("TEXT")])
    inserts = {i.dxf.name.upper(): i for i in document.modelspace().query("INSERT")}
    unit = 25.4 if outside.fact("units").upper() == "ENGLISH" else 1.0
    blocks: dict[str, Held] = {}
    for block in document.blocks:
        if block.name.startswith(("*", "$")) or block.name.upper() not in inserts:
            continue
        place = inserts[block.name.upper()].matrix44()
        one = Held()

        def at(x: float, y: float, place: Any = place) -> XY:
            p = place.transform((x, y, 0.0))
            return round(p.x * unit, 4), round(p.y * unit, 4)

        for entity in block:
            layer, kind = entity.dxf.layer, entity.dxftype()
            if kind == "TEXT" and entity.dxf.hasattr("text"):
                one.texts.append(entity.dxf.text)
            elif kind == "POINT":
                x, y, z = entity.dxf.location
                one.points[layer].append((at(x, y), abs(z) * unit, abs(entity.dxf.get("thickness", 0.0)) * unit))
            elif kind == "LINE":
                one.lines[layer].append([at(*entity.dxf.start.vec2), at(*entity.dxf.end.vec2)])
            elif kind in ("POLYLINE", "LWPOLYLINE"):
                if kind == "POLYLINE":
                    points = [at(v.dxf.location.x, v.dxf.location.y) for v in entity.vertices]
                else:
                    points = [at(p.x, p.y) for p in ezdxf.path.make_path(entity).flattening(0.002)]
                closed = entity.is_closed or math.dist(points[0], points[-1]) < 1e-3
                (one.rings if closed and len(points) > 3 else one.lines)[layer].append(points)
        blocks[block.name] = one
    return blocks, outside


def pieces_held(name: str) -> dict[tuple[str, str], Held]:
    """The blocks that are pieces, by name and size."""
    blocks, _ = held(name)
    whole = {key: one for key, one in blocks.items() if one.rings["1"] or one.lines["1"]}
    return {(one.fact("piece name") or key, one.fact("size")): one for key, one in whole.items()}


# ---- what came in


@dataclass(frozen=True)
class Made:
    folder: Path
    said: str

    @property
    def pieces(self) -> dict[tuple[str, str], dict[str, Any]]:
        told = json.loads((self.folder / "pattern.json").read_text(encoding="utf-8"))["pieces"]
        return {(piece.get("title", piece["name"]), piece["size"]): piece for piece in told}


@pytest.fixture(scope="module")
def finished(tmp_path_factory: pytest.TempPathFactory) -> Any:
    """Every file through the command, with the answer where one is asked for; its folder and what was printed."""
    root = tmp_path_factory.mktemp("finished")

    @cache
    def finish(name: str, *more: str) -> Made:
        asked = ("--outline", "cut line") if name in ASKED and "--outline" not in more else ()
        folder = root / "-".join([name, *more]).replace(" ", "")
        words = [
            "finish",
            str(FILES / f"{name}.dxf"),
            "-o",
            str(folder),
            "--only",
            "json",
            "--only",
            "dxf",
            "--only",
            "report",
        ]
        run = CliRunner().invoke(verbs, [*words, *asked, *more], catch_exceptions=False)
        assert run.exit_code == 0, run.output
        return Made(folder, run.output)

    return finish


def moved(ring: Sequence[XY], to: Any) -> Any:
    """A ring of ours laid on a polygon of the file by the corner of its box: pieces are moved, never turned."""
    ours, theirs = shapely.Polygon(ring), to.bounds
    own = ours.bounds
    return shapely.affinity.translate(ours, theirs[0] - own[0], theirs[1] - own[1])


def apart(ring: Sequence[XY], polygon: Any) -> float:
    return float(moved(ring, polygon).exterior.hausdorff_distance(polygon.exterior))


def offset_of(ring: Sequence[XY], polygon: Any) -> XY:
    own = shapely.Polygon(ring).bounds
    return polygon.bounds[0] - own[0], polygon.bounds[1] - own[1]


def paired(ours: Sequence[XY], theirs: Sequence[XY], by: XY) -> float:
    """As many points, each of ours near one of theirs: the worst distance."""
    assert len(ours) == len(theirs)
    return max((min(math.dist((x + by[0], y + by[1]), p) for p in theirs) for x, y in ours), default=0.0)


# ---- every file, line by line


@pytest.mark.parametrize("name", READ)
def test_every_file_comes_in_as_it_is(name: str, finished: Any) -> None:
    """Cut line, stitch line, notches, drill holes, grain, fold, lines inside, quantity, material, name: as ezdxf reads
    them, within 0.05 mm. One size here; the sizes have tests of their own."""
    made: Made = finished(name)
    there = pieces_held(name)
    sample = held(name)[1].fact("sample size")
    base = {key: one for key, one in there.items() if len({size for _, size in there}) == 1 or key[1] == sample}
    ours = {key: piece for key, piece in made.pieces.items() if key[1] == sample}
    assert sorted(ours) == sorted(base)
    for key, one in base.items():
        piece = ours[key]
        boundary = one.polygon("1")
        by = offset_of(piece["cut_line"], boundary)
        assert apart(piece["cut_line"], boundary) <= TOLERANCE, "the cut line stays as the file has it"
        if one.rings["14"]:
            sewn = shapely.affinity.translate(shapely.Polygon(piece["stitch_line"]), *by)
            assert sewn.exterior.hausdorff_distance(one.polygon("14").exterior) <= TOLERANCE
        notches = [p for layer in NOTCHES for p in one.points[layer]]
        spots = [p for notch in piece["notches"] for p in notch["cut_points"]]
        assert paired(spots, [at for at, _, _ in notches], by) <= 0.51, "every-layer has one 0.5 mm off its boundary"
        for want in ("depth", "width"):
            at = 1 if want == "depth" else 2
            assert sorted(notch[want] for notch in piece["notches"]) == pytest.approx(
                sorted(notch[at] for notch in notches), abs=1e-3
            )
        kinds = {"80": "T", "81": "castle", "82": "check", "83": "U"}
        for layer, kind in kinds.items():
            assert sum(n["kind"] == kind for n in piece["notches"]) == len(one.points[layer])
        if name != "release-2000":  # there a circle, which is no POINT
            assert paired(piece["drill_holes"], [at for at, _, _ in one.points["13"]], by) <= 0.01
        grain = [line for line in one.lines["7"] if math.dist(line[0], line[-1]) > 1.0]
        if grain:
            on = shapely.LineString([grain[0][0], grain[0][-1]])
            ours_ = shapely.affinity.translate(shapely.LineString(piece["grain_line"]), *by)
            inside = on.intersection(shapely.affinity.translate(shapely.Polygon(piece["stitch_line"]), *by))
            assert ours_.hausdorff_distance(inside) <= 0.51, "where it is drawn; 0.5 mm short where it runs out"
        assert piece["on_fold"] is bool(one.lines["6"])
        inside = sum(len(one.lines[layer]) + len(one.rings[layer]) for layer in ("8", "9", "10", "11"))
        assert len(piece["internal_lines"]) == inside + (name == "release-2000"), "and an arc, which is no line there"
        told = re.fullmatch(r"(\d+)(?:\s*,\s*(\d+))?", one.fact("quantity"))
        right, left = (int(told[1]), int(told[2] or 0)) if told else (1, 0)
        assert piece["quantity"] == right + left
        assert piece["mirrored_pair"] is (left > 0)
        material = one.fact("material") or one.fact("fabric") or "shell"
        assert piece["material"].lower() == material.lower()
        assert piece.get("title", piece["name"]).lower() == key[0].lower()


@pytest.mark.parametrize("name", READ)
def test_what_is_not_taken_is_named(name: str, finished: Any) -> None:
    """Every text of the file (as ezdxf reads it) is either in what was written or named in what was printed, and in
    the report; every block, and every entity that is no line of the standard."""
    made: Made = finished(name)
    report = re.sub(r"<[^>]+>", " ", (made.folder / "report.html").read_text(encoding="utf-8"))
    for sign, spelt in (
        ("\u00a0", " "),
        ("\u202f", " "),
        ("&#x27;", "'"),
        ("&amp;", "&"),
        ("&quot;", '"'),
        ("&lt;", "<"),
        ("&gt;", ">"),
    ):
        report = report.replace(sign, spelt)
    written = (made.folder / "pattern.json").read_text(encoding="utf-8").lower()
    blocks, outside = held(name)
    for block, one in blocks.items():
        assert block.lower() in made.said.lower()
        for text in one.texts:
            if not re.match(r"#|NM$", text) and re.search(r"\w", text):
                key, _, value = text.partition(":")
                words = (value if value.strip() and len(key) < 40 else text).strip()
                words = spelt_out(words).replace("%%d", "°")
                where = (made.said.lower(), written, report.lower())
                holds = [words.lower() in place for place in where]
                assert any(holds), (block, text)
    for text in outside.texts:
        value = text.partition(":")[2].strip() or text
        if re.fullmatch(r"\w[^:]*:\s*", text) or re.match(r"(?i)units", text):
            continue
        assert value.lower() in made.said.lower() or value.lower() in written, text
    for line in made.said.splitlines():
        if line.startswith("note") and "not taken" in line:
            assert line.removeprefix("note").strip() in report


@pytest.mark.parametrize("name", sorted(REFUSED))
def test_what_cannot_be_read_is_refused_and_nothing_is_written(name: str, tmp_path: Path) -> None:
    run = CliRunner().invoke(verbs, ["finish", str(FILES / f"{name}.dxf"), "-o", str(tmp_path / "x")])
    assert isinstance(run.exception, (InputError, InputErrors))
    assert REFUSED[name] in str(run.exception)
    assert not (tmp_path / "x").exists()


# ---- which line is which


def test_an_outline_without_a_word_is_asked_for(tmp_path: Path) -> None:
    """A boundary alone, 140 × 165 mm: nobody can tell whether allowances are in it. Nothing is written."""
    shutil.copy(FILES / "base.dxf", tmp_path)
    for more in (["-o", str(tmp_path / "x")], ["--propose", str(tmp_path / "first.toml")]):
        run = CliRunner().invoke(verbs, ["finish", str(tmp_path / "base.dxf"), *more])
        assert isinstance(run.exception, InputError)
        assert run.exception.exit_code == 2
        said = str(run.exception)
        assert "POCKET (140 × 165 mm)" in said
        assert '--outline "cut line"' in said
        assert '--outline "stitch line"' in said
        assert 'outline = "cut line"' in said
    assert [path.name for path in tmp_path.iterdir()] == ["base.dxf"]


@pytest.mark.parametrize(("outline", "size"), [("cut line", (140.0, 165.0)), ("stitch line", (160.0, 185.0))])
def test_the_answer_says_what_becomes_of_it(outline: str, size: XY, finished: Any) -> None:
    """Cut along: the cut line is the file's, the stitch line 1 cm inside it. Sewn along: 1 cm goes on all round."""
    made: Made = finished("base", "--outline", outline)
    piece = made.pieces["POCKET", "M"]
    ring = shapely.Polygon(piece["cut_line"])
    left, bottom, right, top = ring.bounds
    assert (right - left, top - bottom) == pytest.approx(size, abs=0.8)  # a mitre of the top's blunt corners
    boundary = pieces_held("base")["POCKET", "M"].polygon("1")
    sewn = shapely.Polygon(piece["stitch_line"])
    if outline == "cut line":
        assert apart(piece["cut_line"], boundary) <= 1e-4
        assert sewn.exterior.hausdorff_distance(ring.buffer(-10.0, join_style="mitre").exterior) <= 0.02
        assert "the stitch line is traced inside the cut line, which stays as it is drawn" in made.said
    else:
        assert apart(piece["stitch_line"], boundary) <= TOLERANCE


def test_a_plan_gives_the_answer_and_the_widths(tmp_path: Path) -> None:
    shutil.copy(FILES / "base.dxf", tmp_path)
    plan = (
        'drawing = "base.dxf"\nunits = "mm"\n[reading]\noutline = "cut line"\n[allowances]\nbottom = 20\n'
        '[pieces.pocket]\noutline = 1\ncut = 2\nedges = ["bottom", "right", "top", "left"]\n'
    )
    (tmp_path / "p.toml").write_text(plan)
    (piece,) = nest_of(load_job(tmp_path / "p.toml")).base_pattern.pieces
    assert piece.cut.allowances == {"bottom": 20.0, "right": 10.0, "top": 10.0, "left": 10.0}
    assert shapely.Polygon(piece.cut.cut_line).bounds[2:] == pytest.approx((70.0, 0.0))
    assert shapely.Polygon(piece.cut.cut_line).bounds[1] == pytest.approx(-165.0)
    assert min(y for _, y in piece.cut.stitch_line) == pytest.approx(-145.0)
    for wrong, said in (('"cutting line"', "is not what an outline may be"), ("7", "is not what an outline may be")):
        (tmp_path / "p.toml").write_text(plan.replace('"cut line"', wrong))
        with pytest.raises(InputErrors, match=said):
            load_job(tmp_path / "p.toml")
    (tmp_path / "p.toml").write_text(plan.replace('[reading]\noutline = "cut line"\n', ""))
    with pytest.raises(InputErrors, match="does not tell whether"):
        load_job(tmp_path / "p.toml")


def test_allowances_are_measured_edge_by_edge(finished: Any) -> None:
    """The pocket of closed-a: 10 mm at its bottom and sides, 20 mm at its top (160 less 140)."""
    edges = {edge["name"]: edge["allowance"] for edge in finished("closed-a").pieces["POCKET", "M"]["edges"]}
    assert edges == pytest.approx({"e1": 10.0, "e2": 10.0, "e3": 20.0, "e4": 10.0})


def test_widths_that_the_plan_gives_make_the_cut_line_anew(tmp_path: Path) -> None:
    """Both lines are in the file, and the plan wants 15 mm at the top: said, and only there."""
    shutil.copy(FILES / "closed-a.dxf", tmp_path)
    (tmp_path / "p.toml").write_text(
        'drawing = "closed-a.dxf"\nunits = "mm"\n[allowances]\n"pocket.e3" = 15\n[pieces.pocket]\noutline = 1\n'
    )
    pattern = nest_of(load_job(tmp_path / "p.toml")).base_pattern
    assert pattern.pieces[0].cut.allowances == pytest.approx({"e1": 10.0, "e2": 10.0, "e3": 15.0, "e4": 10.0})
    left, bottom, right, top = shapely.Polygon(pattern.pieces[0].cut.cut_line).bounds
    assert (right - left, top - bottom) == pytest.approx((140.0, 155.0))
    assert any("so its cut line is made anew" in note for note in pattern.draft.notes)


def test_a_cut_line_inside_its_stitch_line_stops_the_pattern(tmp_path: Path) -> None:
    """Layers 1 and 14 exchanged, as some writers do: told, and nothing is written."""
    text = (FILES / "closed-a.dxf").read_text()
    spot = text.index("POLYLINE")
    swapped = text[spot:].replace("\n  8\n1\n", "\n  8\nX\n").replace("\n  8\n14\n", "\n  8\n1\n")
    swapped = swapped.replace("\n  8\nX\n", "\n  8\n14\n")
    (tmp_path / "swapped.dxf").write_text(text[:spot] + swapped)
    run = CliRunner().invoke(verbs, ["finish", str(tmp_path / "swapped.dxf"), "-o", str(tmp_path / "x")])
    assert isinstance(run.exception, (CheckFailed, InputError)), run.output
    assert not (tmp_path / "x").exists()


def test_turn_points_are_corners_and_curve_points_are_none(tmp_path: Path) -> None:
    """A right angle tagged as curve point is a corner all the same; 8° are one only where they are tagged so."""
    text = (FILES / "base.dxf").read_text()
    plan = 'drawing = "base.dxf"\nunits = "mm"\n[reading]\noutline = "cut line"\n[pieces.pocket]\noutline = 1\n'
    (tmp_path / "p.toml").write_text(plan)

    def edges(text: str) -> int:
        (tmp_path / "base.dxf").write_text(text)
        return len(nest_of(load_job(tmp_path / "p.toml")).base_pattern.pieces[0].cut.piece.edges)

    assert edges(text) == 4
    point = re.search(r"POINT\r?\n +8\r?\n3\r?\n +10\r?\n70\.0000", text)
    assert point is not None, "the middle of the top is a curve point"
    assert edges(text[: point.start()] + point[0].replace("\n3\n", "\n2\n") + text[point.end() :]) == 5


def test_lines_of_pattern_data_are_what_the_file_says(tmp_path: Path) -> None:
    """A wedge in the boundary stays two edges, and two stripe lines that meet inside are no dart, as SVG's would be."""
    text = (FILES / "base.dxf").read_text()
    vertex = "  0\nVERTEX\n  8\n1\n 10\n{}\n 20\n{}\n"
    wedge = "".join(vertex.format(x, y) for x, y in (("90.0", "163.5"), ("80.0", "120.0"), ("70.0", "165.0")))
    text = text.replace(vertex.format("70.0000", "165.0000"), wedge)
    line = "  0\nLINE\n  8\n9\n 10\n{}\n 20\n0\n 11\n70\n 21\n50\n"
    text = text.replace("  0\nENDBLK", f"{line.format(60)}{line.format(80)}  0\nENDBLK")
    (tmp_path / "w.dxf").write_text(text)
    words = ["finish", str(tmp_path / "w.dxf"), "--outline", "stitch line"]
    run = CliRunner().invoke(verbs, [*words, "--propose", str(tmp_path / "w.toml")], catch_exceptions=False)
    assert run.exit_code == 0, run.output
    plan = (tmp_path / "w.toml").read_text()
    assert "close_darts" not in plan
    assert "looks like" not in plan
    assert "2 stripe lines" in plan
    for said in ("", "close_darts = true\n"):
        (tmp_path / "w.toml").write_text(plan.replace("[lines]", f"{said}[lines]"))
        words = ["finish", str(tmp_path / "w.dxf"), "--plan", str(tmp_path / "w.toml"), "-o", str(tmp_path / "x")]
        run = CliRunner().invoke(verbs, [*words, "--only", "json"], catch_exceptions=False)
        assert run.exit_code == 0, run.output
        assert ("No wedge is closed, though close_darts asks" in run.output) == bool(said)
        (piece,) = json.loads((tmp_path / "x/pattern.json").read_text())["pieces"]
        assert len(piece["edges"]) == 7  # four corners, two at the mouth, the point
        assert piece["darts"] == []


def test_a_cutout_stays_a_cutout_in_every_size(tmp_path: Path) -> None:
    """A square of 20 mm on layer 11, beside rules that do not move it: on layer 11 again, and verified."""
    square = "".join(f"  0\nVERTEX\n  8\n11\n 10\n{x}\n 20\n{y}\n" for x, y in ((40, 40), (60, 40), (60, 60), (40, 60)))
    text = (FILES / "base.dxf").read_text()
    spot = text.index("  0\nENDBLK")
    ring = f"  0\nPOLYLINE\n  8\n11\n 66\n1\n 70\n1\n{square}  0\nSEQEND\n  8\n11\n"
    (tmp_path / "base.dxf").write_text(text[:spot] + ring + text[spot:])
    shutil.copy(FILES / "base.rul", tmp_path)
    words = ["finish", str(tmp_path / "base.dxf"), "--outline", "cut line", "-o", str(tmp_path / "x")]
    run = CliRunner().invoke(verbs, words, catch_exceptions=False)
    assert run.exit_code == 0, run.output
    assert "1 cutout, drawn inside" in run.output
    document = ezdxf.filemanagement.readfile(tmp_path / "x/pattern-nest.dxf")
    pockets = [block for block in document.blocks if block.name.startswith("POCKET")]
    rings = [[e for e in block.query("POLYLINE") if e.dxf.layer == "11"] for block in pockets]
    assert [len(found) for found in rings] == [1, 1, 1]
    assert all(found[0].is_closed and len(found[0].vertices) == 4 for found in rings)
    assert CliRunner().invoke(verbs, ["verify", str(tmp_path / "x")]).exit_code == 0


# ---- sizes


@pytest.mark.smoke
@pytest.mark.parametrize("name", ["base", "base-aama"])
def test_a_base_and_its_rules_give_the_sizes_of_the_nest(name: str, finished: Any) -> None:
    """nest.dxf was written by hand: the same pocket in S, M and L, as base.rul makes it."""
    made: Made = finished(name)
    nest = pieces_held("nest")
    assert {size for _, size in made.pieces} == {"S", "M", "L"}
    for size in "SML":
        assert apart(made.pieces["POCKET", size]["cut_line"], nest["POCKET", size].polygon("1")) <= 0.01
    assert "sizes   S, M, L; base M" in made.said


def test_every_size_of_a_nest_comes_in(finished: Any) -> None:
    """Each as its block has it, its notch (which only M has) at the same part of the bottom edge: 60 of 140 mm."""
    made: Made = finished("nest")
    nest = pieces_held("nest")
    for size, wide in (("S", 136.0), ("M", 140.0), ("L", 144.0)):
        piece = made.pieces["POCKET", size]
        polygon = nest["POCKET", size].polygon("1")
        assert apart(piece["cut_line"], polygon) <= 1e-3
        (notch,) = piece["notches"]
        x, _ = offset_of(piece["cut_line"], polygon)
        assert notch["cut_points"][0][0] + x == pytest.approx(60.0 * wide / 140.0, abs=1e-3)
        assert (notch["depth"], notch["kind"]) == (4.0, "slit")
        assert piece["quantity"] == 2


def plan_of_nest(folder: Path, text: str) -> Path:
    (folder / "nest.dxf").write_text(text)
    plan = 'drawing = "nest.dxf"\nunits = "mm"\n[reading]\noutline = "cut line"\n[pieces.pocket]\noutline = 1\n'
    (folder / "p.toml").write_text(plan)
    return folder / "p.toml"


def test_a_notch_between_two_points_becomes_one_of_the_ring_that_was_drawn(tmp_path: Path) -> None:
    """The pocket without a vertex at its notch: it stands at 60 of 140 mm all the same, the others as in the file."""
    text = (FILES / "nest.dxf").read_text()
    for x in ("58.2857", "60.0000", "61.7143"):
        vertex = f"  0\nVERTEX\n  8\n1\n 10\n{x}\n 20\n0.0000\n"
        assert text.count(vertex) == 1
        text = text.replace(vertex, "")
    text = text.replace("  0\nPOINT\n  8\n3\n 10\n60.0000\n 20\n0.0000\n", "")
    nest = nest_of(load_job(plan_of_nest(tmp_path, text)))
    for pattern, wide, high in zip(nest.patterns, (136, 140, 144), (157, 160, 163), strict=True):
        ring = pattern.pieces[0].cut.cut_line
        meant = [(0, 0), (60 * wide / 140, 0), (wide, 0), (wide, high), (wide / 2, high + 5), (0, high)]
        moved = [(x - ring[0][0], y - ring[0][1]) for x, y in ring]
        assert moved == [pytest.approx(point, abs=1e-3) for point in meant]


def test_a_ring_with_a_point_more_gives_one_to_the_others(tmp_path: Path) -> None:
    """S has a vertex amid its right side: so have M and L afterwards, on lines that stay where they were."""
    nest = nest_of(load_job(plan_of_nest(tmp_path, (FILES / "nest.dxf").read_text())))
    small, *others = nest.patterns
    (piece,) = small.pieces
    a, b, *_ = (p for p in piece.cut.cut_line if p[0] == max(x for x, _ in piece.cut.cut_line))
    ring = list(piece.cut.cut_line)
    ring.insert(ring.index(b), ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2))
    changed = replace(small, pieces=(replace(piece, cut=replace(piece.cut, cut_line=tuple(ring))),))
    for before, after in zip(nest.patterns, alike([changed, *others]), strict=True):
        lines = [pattern.pieces[0].cut.cut_line for pattern in (before, after)]
        assert len(lines[1]) == len(ring)
        assert shapely.LinearRing(lines[0]).hausdorff_distance(shapely.LinearRing(lines[1])) <= 1e-6


def test_one_size_of_a_nest_is_drawn_alone(tmp_path: Path) -> None:
    words = ["finish", str(FILES / "nest.dxf"), "--outline", "cut line", "-o", str(tmp_path / "m"), "--size", "M"]
    run = CliRunner().invoke(verbs, [*words, "--only", "svg"], catch_exceptions=False)
    assert run.exit_code == 0, run.output
    drawn = (tmp_path / "m/pattern.svg").read_text()
    assert "size: M" not in run.output
    assert drawn.count('class="cut-line"') <= 2
    wrong = CliRunner().invoke(verbs, [*words[:-1], "XL"])
    assert isinstance(wrong.exception, InputError)
    assert "one of S, M, L" in str(wrong.exception)


def test_a_plan_may_make_some_of_the_sizes(tmp_path: Path) -> None:
    for file in ("base.dxf", "base.rul"):
        shutil.copy(FILES / file, tmp_path)
    (tmp_path / "p.toml").write_text(
        'drawing = "base.dxf"\nunits = "mm"\n[reading]\noutline = "cut line"\n[sizes]\nrules = "base.rul"\n'
        'make = ["M", "L"]\n[pieces.pocket]\noutline = 1\n'
    )
    nest = nest_of(load_job(tmp_path / "p.toml"))
    assert (nest.sizes, nest.base) == (("M", "L"), "M")


def test_a_table_that_does_not_fit_is_told_and_the_base_comes_in(tmp_path: Path) -> None:
    """Rule 4 is missing from the table beside the file: told by name. Named on the line, it is refused."""
    shutil.copy(FILES / "base.dxf", tmp_path)
    text = (FILES / "base.rul").read_text()
    (tmp_path / "base.rul").write_text(text[: text.index("RULE: DELTA 4")] + "END\n")
    words = ["finish", str(tmp_path / "base.dxf"), "--outline", "cut line", "--only", "json", "-o", str(tmp_path / "x")]
    run = CliRunner().invoke(verbs, words, catch_exceptions=False)
    assert run.exit_code == 0
    assert "Rule table base.rul, which lies beside it, is not taken" in run.output
    assert "rule 4" in run.output
    assert Made(tmp_path / "x", "").pieces.keys() == {("POCKET", "M")}
    wrong = CliRunner().invoke(verbs, [*words[:-1], str(tmp_path / "y"), "--rules", str(tmp_path / "base.rul")])
    assert isinstance(wrong.exception, (InputError, InputErrors))
    assert not (tmp_path / "y").exists()


def test_rules_of_a_grader_make_cut_lines_anew(tmp_path: Path) -> None:
    """A CSV of rules knows nothing of a drawn cut line: all sizes get theirs from the allowances, and that is said."""
    shutil.copy(FILES / "closed-a.dxf", tmp_path)
    (tmp_path / "r.csv").write_text(
        "unit,mm\nsizes,M,L\nbase,M\npiece,place,L dx,L dy\n"
        "pocket,e1/e2,4,0\npocket,e2/e3,4,0\npocket,e4/e1,0,0\npocket,e3/e4,0,0\n"
    )
    (tmp_path / "p.toml").write_text(
        'drawing = "closed-a.dxf"\nunits = "mm"\n[sizes]\nrules = "r.csv"\n[pieces.pocket]\noutline = 1\n'
    )
    nest = nest_of(load_job(tmp_path / "p.toml"))
    wide = {size: shapely.Polygon(nest.of(size).pieces[0].cut.cut_line).bounds for size in nest.sizes}
    assert {size: b[2] - b[0] for size, b in wide.items()} == pytest.approx({"M": 140.0, "L": 144.0})
    assert any("made anew" in note for note in nest.base_pattern.draft.notes)
    # it has no levels of a body, so that no girth is missed
    assert not any("are not proved" in note for size in nest.sizes for note in nest.of(size).draft.notes)


# ---- names


@pytest.mark.parametrize(
    ("words", "name"),
    [
        ("Pièce première", "pièce_première"), ("前片", "前片"), ("Вытачка 2", "вытачка_2"), ("סרט", "סרט"),
        ("कमीज़ आगे", "कमीज़_आगे"), ("FRONT.LEFT/2", "front_left_2"), ("E\u0301toile", "étoile"),
    ],
)  # fmt: skip
def test_names_keep_their_letters(words: str, name: str) -> None:
    """Small letters, what parts words as _; nothing is transliterated (Unicode's own letters, digits and marks)."""
    assert name_of(words) == name
    assert is_name(name)


@pytest.mark.parametrize(
    ("name", "words", "key"), [("latin", "Pièce première", "pièce_première"), ("chinese", "前片", "前片")]
)
def test_names_in_any_writing_go_through_every_file(name: str, words: str, key: str, tmp_path: Path) -> None:
    """The first plan names the piece, is a job for make, and verify finds it again in every file; `oaktag verify` reads
    with ezdxf, GDAL, PDFium and readers of its own."""
    shutil.copy(FILES / f"{name}.dxf", tmp_path)
    run = CliRunner().invoke(verbs, ["finish", str(tmp_path / f"{name}.dxf"), "--propose", str(tmp_path / "p.toml")])
    assert run.exit_code == 0, run.exception
    values = tomllib.loads((tmp_path / "p.toml").read_text(encoding="utf-8"))
    assert list(values["pieces"]) == [key]
    assert values["pieces"][key]["label"] == words
    made = CliRunner().invoke(verbs, ["make", str(tmp_path / "p.toml"), "-o", str(tmp_path / "made")])
    assert made.exit_code == 0, made.exception
    assert words in made.output
    assert ("cannot be lettered" in made.output) is (name == "chinese")
    proved = CliRunner().invoke(verbs, ["verify", str(tmp_path / "made")])
    assert proved.exit_code == 0, proved.output
    dxf = (tmp_path / "made/pattern.dxf").read_bytes()
    assert dxf.isascii()
    again = held_of(tmp_path / "made/pattern.dxf")
    assert any(name_of(title).replace("è", "e") == key.replace("è", "e") for title in again)


def spelt_out(text: str) -> str:
    """DXF's letters by number (`\\U+524D`) as letters."""
    return re.sub(r"\\U\+([0-9A-F]{4})", lambda m: chr(int(m[1], 16)), text)


def held_of(path: Path) -> list[str]:
    """The piece names of a DXF."""
    texts = [t.dxf.text for block in ezdxf.filemanagement.readfile(path).blocks for t in block.query("TEXT")]
    return [spelt_out(text).partition(":")[2].strip() for text in texts if text.startswith("Piece Name:")]


def test_two_pieces_of_one_name_have_names_of_their_own(tmp_path: Path) -> None:
    text = (FILES / "insert-off-origin.dxf").read_text().replace("Piece Name: TAB", "Piece Name: Pocket!")
    (tmp_path / "x.dxf").write_text(text)
    words = ["finish", str(tmp_path / "x.dxf"), "--outline", "cut line", "--propose", str(tmp_path / "p.toml")]
    assert CliRunner().invoke(verbs, words, catch_exceptions=False).exit_code == 0
    values = tomllib.loads((tmp_path / "p.toml").read_text())
    assert list(values["pieces"]) == ["pocket", "pocket_2"]


@pytest.mark.parametrize("turned", [0, 90, 180, 37])
def test_a_mirror_line_is_the_fold_wherever_the_piece_lies(turned: int, tmp_path: Path) -> None:
    """The block put 700 mm across, 300 mm down, turned; its stitch line, in the file, is 380 mm long at the fold."""
    text = (FILES / "every-layer.dxf").read_text()
    head, insert, tail = text.rpartition(" 10\n0.0000\n 20\n0.0000\n")
    assert insert
    (tmp_path / "x.dxf").write_text(f"{head} 10\n700.0000\n 20\n-300.0000\n 50\n{turned}.0\n{tail}")
    words = ["finish", str(tmp_path / "x.dxf"), "--only", "json", "-o", str(tmp_path / "x")]
    run = CliRunner().invoke(verbs, words, catch_exceptions=False)
    assert run.exit_code == 0 and "mirror line (6) as the fold" in run.output
    (piece,) = json.loads((tmp_path / "x/pattern.json").read_text(encoding="utf-8"))["pieces"]
    (fold,) = (edge for edge in piece["edges"] if edge["kind"] == "fold")
    assert piece["on_fold"]
    assert math.dist(fold["points"][0], fold["points"][-1]) == pytest.approx(380.0, abs=0.02)
    others = [edge for edge in piece["edges"] if edge["kind"] != "fold"]
    assert sum(math.dist(*pair) for edge in others for pair in pairwise(edge["points"])) == pytest.approx(
        240 + 240 + 2 * math.hypot(10, 190), abs=0.05
    )


@pytest.mark.parametrize("size", ["S", "L"])
@pytest.mark.parametrize(
    "more",
    ["  0\nPOINT\n  8\n13\n 10\n50.0\n 20\n50.0\n", "  0\nLINE\n  8\n8\n 10\n20.0\n 20\n50.0\n 11\n60.0\n 21\n50.0\n"],
    ids=["drill hole", "line inside"],
)
def test_a_size_with_a_mark_more_is_left_out_and_told(size: str, more: str, tmp_path: Path) -> None:
    before, block, after = (FILES / "nest.dxf").read_text().partition(f"\nPOCKET_{size}\n")
    own, end, rest = after.partition("  0\nENDBLK\n")
    assert block and end
    (tmp_path / "x.dxf").write_text(before + block + own + more + end + rest)
    words = ["finish", str(tmp_path / "x.dxf"), "--outline", "cut line", "--only", "json", "-o", str(tmp_path / "x")]
    run = CliRunner().invoke(verbs, words, catch_exceptions=False)
    assert run.exit_code == 0, run.output
    assert f"Size {size} is left out: POCKET_{size} has other lines or drill holes inside than POCKET_M" in run.output
    told = json.loads((tmp_path / "x/pattern.json").read_text(encoding="utf-8"))["pieces"]
    assert sorted(piece["size"] for piece in told) == sorted({"S", "M", "L"} - {size})


def test_pieces_that_name_sizes_of_their_own_are_one_size(tmp_path: Path) -> None:
    first, size, second = (FILES / "insert-off-origin.dxf").read_text().rpartition("\nSize: M\n")
    first, _, between = first.rpartition("\nSize: M\n")
    (tmp_path / "x.dxf").write_text(f"{first}\nSize: M\n{between}\nSize: L\n{second}")
    words = ["finish", str(tmp_path / "x.dxf"), "--outline", "cut line", "--only", "json", "-o", str(tmp_path / "x")]
    run = CliRunner().invoke(verbs, words, catch_exceptions=False)
    assert run.exit_code == 0 and size
    assert "mirror line" not in run.output
    assert re.search(r"each is there once \([^)]* M, [^)]* L\): taken as one size", run.output)
    assert len(json.loads((tmp_path / "x/pattern.json").read_text(encoding="utf-8"))["pieces"]) == 2


# ---- quantities


@pytest.mark.parametrize(
    ("said", "cut", "pair", "named"),
    [("1,1", 2, True, ""), ("2,2", 4, True, ""), ("3,0", 3, False, ""),
     ("2,1", 3, False, "that 1 of the 3 are mirrored"), ("0,0", 1, False, "quantity 0"),
     ("a pair", 1, False, "Quantity 'a pair' is not understood"), ("4", 4, False, "Quantity is one number")],
)  # fmt: skip
def test_quantities_come_in(said: str, cut: int, pair: bool, named: str, tmp_path: Path) -> None:
    """R,L of the standard: as drawn, mirrored (D6673-10, 4.3.1.2, as public notes quote it)."""
    text = (FILES / "closed-a.dxf").read_text().replace("Quantity: 2,0", f"Quantity: {said}")
    (tmp_path / "x.dxf").write_text(text)
    words = ["finish", str(tmp_path / "x.dxf"), "--only", "json", "-o", str(tmp_path / "x")]
    run = CliRunner().invoke(verbs, words, catch_exceptions=False)
    assert run.exit_code == 0, run.output
    piece = Made(tmp_path / "x", "").pieces["POCKET", "M"]
    assert (piece["quantity"], piece["mirrored_pair"]) == (cut, pair)
    assert named in run.output


# ---- damaged on purpose


def damaged(data: bytes, dice: random.Random) -> bytes:
    """Numbers and layers changed, entities left out or drawn twice, texts that say other things."""
    rows = data.split(b"\n")
    for _ in range(dice.randint(1, 8)):
        chance = dice.random()
        if chance < 0.5:
            at = dice.choice([k for k in range(1, len(rows), 2) if re.fullmatch(rb"-?\d+\.\d+\r?", rows[k])])
            rows[at] = b"%.4f" % (float(rows[at]) * dice.choice([0, 1, -1, 2, 0.5, 1.01]) + dice.uniform(-60, 60))
        elif chance < 0.7:
            at = dice.choice([k for k in range(0, len(rows) - 1, 2) if rows[k].strip() == b"8"])
            rows[at + 1] = str(dice.choice([1, 2, 3, 4, 5, 6, 7, 8, 9, 11, 13, 14, 15, 80, 84, 87])).encode()
        elif chance < 0.85:
            starts = [k for k in range(0, len(rows) - 1, 2) if rows[k].strip() == b"0"]
            starts = [k for k in starts if rows[k + 1].strip() in (b"VERTEX", b"POINT", b"TEXT", b"LINE")]
            a = dice.choice(starts)
            b = next((k for k in range(a + 2, len(rows) - 1, 2) if rows[k].strip() == b"0"), len(rows))
            rows[a:b] = [] if dice.random() < 0.5 else rows[a:b] * 2
        else:
            at = dice.choice([k for k in range(1, len(rows), 2) if b":" in rows[k]])
            said = dice.choice([b"", b"0,0", b"3,1", b"S", b"x.y", b"\xc7\xb0", b"-", b"a/b"])
            rows[at] = rows[at].split(b":")[0] + b": " + said
    return b"\n".join(rows)


@pytest.mark.parametrize("seed", range(20))
def test_a_damaged_file_is_finished_or_told(seed: int, tmp_path: Path) -> None:
    """The whole way, from the file to the checks: nothing but the project's own errors."""
    dice = random.Random(seed)
    file = dice.choice(sorted(FILES.glob("*.dxf")))
    (tmp_path / "x.dxf").write_bytes(damaged(file.read_bytes(), dice))
    if (table := file.with_suffix(".rul")).exists():
        shutil.copy(table, tmp_path / "x.rul")
    outline = dice.choice(["cut line", "stitch line"])
    words = ["finish", str(tmp_path / "x.dxf"), "--outline", outline, "-o", str(tmp_path / "x")]
    run = CliRunner().invoke(verbs, [*words, "--only", "json", "--only", "dxf", "--only", "svg"])
    assert run.exit_code == 0 or isinstance(run.exception, OaktagError), run.exception


def test_reading_keeps_the_older_word() -> None:
    from oaktag.intake.plan import read_plan

    plan, errors = read_plan(tomllib.loads("[reading]\ntrace_allowance = true\n"), lambda *_: None, "mm")  # type: ignore[arg-type, return-value]
    assert errors == []
    assert plan.reading == Reading(outline="cut line")
