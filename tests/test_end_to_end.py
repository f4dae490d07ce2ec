"""From the choir's job files to the files on the disk, read by programs that are not ours: hp2xx, poppler, GDAL, ezdxf,
Chromium. A missing program skips its tests, except in CI."""

from __future__ import annotations

import json
import math
import os
import re
import subprocess
from importlib import import_module
from pathlib import Path
from pkgutil import walk_packages
from types import ModuleType
from typing import Any
from xml.etree import ElementTree

import pytest

import oaktag
from oaktag.device.profile import usable_width
from oaktag.device.store import find_device
from wardrobe import FIXTURES, oaktag_alone, tool

JOBS = ("alto-3", "soprano-1")
PAPER_PT = {"letter": (612, 792), "a4": (595.28, 841.89)}
PAPER = {"alto-3": "letter", "soprano-1": "a4"}
pytestmark = pytest.mark.smoke


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """The folder of each job's pattern."""
    folders = {}
    for name in JOBS:
        base = tmp_path_factory.mktemp(name)
        run = oaktag_alone("make", FIXTURES / "choir" / f"{name}.toml", "-o", base / "out", cwd=base)
        assert run.returncode == 0, run.stdout + run.stderr
        folders[name] = base / "out"
    return folders


def library(name: str) -> ModuleType:
    try:
        return import_module(name)
    except ImportError:
        if os.environ.get("CI"):
            pytest.fail(f"{name} is not installed")
        pytest.skip(f"{name} is not installed")


def pieces_of(folder: Path) -> list[dict]:
    return json.loads((folder / "pattern.json").read_text(encoding="utf-8"))["pieces"]


def area(ring: list) -> float:
    return abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(ring, ring[1:] + ring[:1], strict=True))) / 2


every_job = pytest.mark.parametrize("name", JOBS)


def test_every_module_can_be_imported() -> None:
    """A warning is an error: what the next Python or library will no longer have shows here."""
    for module in walk_packages(oaktag.__path__, "oaktag."):
        if not module.name.endswith("__main__"):
            import_module(module.name)


@every_job
def test_the_files_verify(made: dict[str, Path], name: str) -> None:
    run = oaktag_alone("verify", made[name], "--json", cwd=made[name].parent)
    assert run.returncode == 0, run.stdout
    rows = json.loads(run.stdout)
    rows = rows["rows"] if isinstance(rows, dict) else rows
    assert {row["file"] for row in rows} == {
        "pattern.dxf", "pattern.svg", "pattern.plt", "pattern-roll.pdf", f"pattern-{PAPER[name]}.pdf",
        "pattern.json",
    }  # fmt: skip
    assert [row["what"] for row in rows if row["file"] == "pattern.json"] == ["the file is of this set"]
    rows = [row for row in rows if row["file"] != "pattern.json"]
    for row in rows:
        assert row["passed"], row
        words = row["what"].endswith(": words") and row["worst"] is None
        assert words or row["worst"] <= row["limit"]
    names = [piece["name"].replace("_", " ") for piece in pieces_of(made[name])]
    for file in {row["file"] for row in rows}:
        told = " ".join(row["what"] for row in rows if row["file"] == file).replace("_", " ")
        for piece in names:
            assert f"{piece}: cut line" in told, (file, piece)
        assert "100 mm square" in told


def test_verify_of_one_file_tells_a_table(made: dict[str, Path]) -> None:
    run = oaktag_alone("verify", made["alto-3"] / "pattern.svg", cwd=made["alto-3"])
    assert run.returncode == 0
    assert "100 mm square" in run.stdout
    assert "all within their limits" in run.stdout.splitlines()[-1]
    assert "pattern.dxf" not in run.stdout


def test_verify_finds_a_file_that_was_tampered_with(made: dict[str, Path], tmp_path: Path) -> None:
    for file in ("pattern.json", "pattern.svg", "pattern.plt"):
        (tmp_path / file).write_bytes((made["alto-3"] / file).read_bytes())
    written = json.loads((tmp_path / "pattern.json").read_text(encoding="utf-8"))
    written["pieces"][0]["cut_line"][3][0] += 1.0
    (tmp_path / "pattern.json").write_text(json.dumps(written), encoding="utf-8")
    run = oaktag_alone("verify", tmp_path, cwd=tmp_path)
    assert run.returncode == 1
    assert "front" in run.stdout
    assert "OFF" in run.stdout
    assert "Traceback" not in run.stderr


@every_job
def test_the_contents_of_pattern_json(made: dict[str, Path], name: str) -> None:
    written = json.loads((made[name] / "pattern.json").read_text(encoding="utf-8"))
    assert written["oaktag"] == 1
    assert written["unit"] == "mm"
    assert written["garment"] == "sheath-dress"
    for piece in written["pieces"]:
        ring = piece["stitch_line"]
        assert ring[0] != ring[-1]
        assert sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(ring, ring[1:] + ring[:1], strict=True)) > 0
        assert area(piece["cut_line"]) > area(ring)
        for edge in piece["edges"]:
            long = sum(math.dist(a, b) for a, b in zip(edge["points"], edge["points"][1:], strict=False))
            assert edge["length"] == pytest.approx(long, abs=0.05)
    for seam in written["seams"]:
        assert seam["length_a"] - seam["length_b"] == pytest.approx(seam["ease"], abs=0.5)
    assert not [c for c in written["checks"] if not c["passed"] and c["severity"] == "error"]


@every_job
def test_hp2xx_reads_the_plot_at_full_size(made: dict[str, Path], name: str, tmp_path: Path) -> None:
    program = tool("hp2xx")
    run = subprocess.run(
        [program, "-t", "-m", "eps", "-f", tmp_path / "plot.eps", made[name] / "pattern.plt"],
        capture_output=True, text=True, timeout=60,
    )  # fmt: skip
    assert run.returncode == 0, run.stderr
    told = run.stdout + run.stderr
    size = re.search(r"Width\s+x\s+height:\s*([\d.]+)\s*x\s*([\d.]+)\s*mm", told)
    assert size, told
    width, height = float(size[1]), float(size[2])
    # The plot is as large as the ink of the SVG, which holds the same sheet, and fits the roll across.
    across = usable_width(find_device("roll-914"))
    assert min(width, height) <= across + 0.1
    svg = (made[name] / "pattern.svg").read_text(encoding="utf-8")
    sheet = [float(v) for v in re.search(r'width="([\d.]+)mm" height="([\d.]+)mm"', svg).groups()]
    assert max(width, height) <= max(sheet) + 0.1
    assert max(width, height) >= max(sheet) - 60  # margins of the sheet
    longest = max(max(p[1] for p in q["cut_line"]) - min(p[1] for p in q["cut_line"]) for q in pieces_of(made[name]))
    assert max(width, height) >= longest


@every_job
def test_poppler_reads_the_pdfs(made: dict[str, Path], name: str) -> None:
    info, text = tool("pdfinfo"), tool("pdftotext")
    tiles, roll = made[name] / f"pattern-{PAPER[name]}.pdf", made[name] / "pattern-roll.pdf"
    for file in (tiles, roll):
        run = subprocess.run([info, file], capture_output=True, text=True, timeout=60)
        assert run.returncode == 0
        assert run.stderr == ""  # no syntax warnings
        pages = int(re.search(r"Pages:\s+(\d+)", run.stdout)[1])
        size = tuple(float(v) for v in re.search(r"Page size:\s+([\d.]+) x ([\d.]+) pts", run.stdout).groups())
        if file is tiles:
            assert pages > 10
            assert sorted(size) == pytest.approx(sorted(PAPER_PT[PAPER[name]]), abs=0.1)
        else:
            assert pages == 1
            assert min(size) / 72 * 25.4 <= 914.4  # no wider than the roll, or a printer would shrink it
        words = subprocess.run([text, file, "-"], capture_output=True, text=True, timeout=60)
        if file is tiles:  # lettering on the pieces is drawn as strokes; what stands on the pages is text
            assert "Lighthouse choir" in " ".join(words.stdout.split())
            assert f"page {pages} of {pages}" in " ".join(words.stdout.split())
            assert "100 mm square" in " ".join(words.stdout.split())


@every_job
def test_ezdxf_reads_the_dxf_and_finds_no_fault(made: dict[str, Path], name: str) -> None:
    ezdxf = library("ezdxf")
    document = ezdxf.readfile(made[name] / "pattern.dxf")
    auditor = document.audit()
    assert [str(error) for error in auditor.errors] == []
    blocks = {block.name for block in document.blocks if not block.name.startswith("*")}
    assert len(blocks) >= len(pieces_of(made[name]))


@every_job
def test_gdal_reads_the_dxf_at_full_size(made: dict[str, Path], name: str) -> None:
    pyogrio, shapely = library("pyogrio"), library("shapely")
    _, _, shapes, _ = pyogrio.raw.read(made[name] / "pattern.dxf", columns=[])
    blocks = [block for shape in shapes if (block := shapely.from_wkb(shape)).geom_type == "GeometryCollection"]

    def largest(block: Any) -> float:
        """Area of the largest closed line of a block."""
        lines = [line for line in block.geoms if line.geom_type == "LineString" and line.is_closed]
        return max(shapely.Polygon(line.coords).area for line in lines)

    drawn = sorted(largest(block) for block in blocks)
    pieces = sorted(area(piece["cut_line"]) for piece in pieces_of(made[name]))
    inch = 25.4 if drawn[-1] < pieces[-1] / 100 else 1.0  # ASTM D6673: ENGLISH or METRIC
    for outline in pieces:
        near = min(drawn, key=lambda found: abs(found * inch**2 - outline))
        assert near * inch**2 == pytest.approx(outline, rel=2e-4)


def photographed(page: Path, folder: Path) -> tuple[int, list[tuple[int, int, int]]]:
    """A screenshot by Chromium: the share of pixels (of 1000) that are not white, and its colours."""
    image_module = library("PIL.Image")
    picture = folder / "picture.png"
    run = subprocess.run(
        [tool("chromium"), "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
         "--disable-background-networking", "--disable-component-update", "--disable-sync",
         f"--user-data-dir={folder / 'profile'}", "--window-size=1200,900", "--hide-scrollbars",
         f"--screenshot={picture}", page.as_uri()],
        capture_output=True, text=True, timeout=90,
    )  # fmt: skip
    assert picture.exists(), run.stderr[-2000:]
    with image_module.open(picture) as image:
        small = image.convert("RGB")
        colours = small.getcolors(small.width * small.height) or []
        white = sum(count for count, colour in colours if min(colour) > 250)
        return round(1000 * (1 - white / (small.width * small.height))), [colour for _, colour in colours]


def test_chromium_shows_the_svg(made: dict[str, Path], tmp_path: Path) -> None:
    inked, colours = photographed(made["alto-3"] / "pattern.svg", tmp_path)
    assert inked >= 3  # thin lines on white
    assert len(colours) > 3


def test_chromium_shows_the_report(made: dict[str, Path], tmp_path: Path) -> None:
    inked, colours = photographed(made["alto-3"] / "report.html", tmp_path)
    assert inked >= 20
    assert len(colours) > 10


@every_job
def test_the_svg_and_the_report_are_well_formed_and_ask_nobody_for_anything(made: dict[str, Path], name: str) -> None:
    root = ElementTree.parse(made[name] / "pattern.svg").getroot()
    width, height = (float(root.attrib[side].removesuffix("mm")) for side in ("width", "height"))
    _, _, across, along = (float(v) for v in root.attrib["viewBox"].split())
    assert (across, along) == pytest.approx((width, height), abs=1e-3)
    report = (made[name] / "report.html").read_text(encoding="utf-8")
    assert report.lower().startswith("<!doctype html>")
    assert not re.findall(r'(?:src|href)="https?:', report)
    for piece in pieces_of(made[name]):
        assert piece["name"].replace("_", " ") in report
