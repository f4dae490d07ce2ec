"""Pictures of files, against those of hp2xx, poppler and Chromium, and against the geometry."""

from __future__ import annotations

import io
import re
import subprocess
from pathlib import Path

import pytest
from PIL import Image, ImageDraw, ImageFilter

from oaktag.device.store import find_device
from oaktag.export import cad, hpgl, svg
from oaktag.export.pdf import render_roll
from oaktag.preview.picture import draw, draw_pdf
from oaktag.preview.read import read_picture
from samples import sample_sheet
from wardrobe import oaktag, tool

DPI = 60.0
POINT = 25.4 / 72


def ink(image: Image.Image, *, below: int = 200) -> Image.Image:
    """Black where there is ink, as a mask of 0 and 255."""
    return image.convert("L").point(lambda value: 255 if value < below else 0)


def missed(a: Image.Image, b: Image.Image, reach: int = 2) -> float:
    """The part of a's ink that has no ink of b within some pixels."""
    near = b.filter(ImageFilter.MaxFilter(2 * reach + 1))
    total = lost = 0
    for x, y in zip(a.tobytes(), near.tobytes(), strict=True):
        if x:
            total += 1
            lost += not y
    assert total > 500
    return lost / total


def opened(png: bytes) -> Image.Image:
    return Image.open(io.BytesIO(png))


def test_a_plot_looks_as_hp2xx_draws_it(tmp_path: Path) -> None:
    path = tmp_path / "a.plt"
    path.write_bytes(hpgl.plot(sample_sheet(), find_device("roll-1067")).data)
    told = draw(read_picture(path, None), DPI, travel=False)
    ours = ink(opened(told.png), below=235)
    subprocess.run([tool("hp2xx"), "-q", "-t", "-m", "svg", "-f", tmp_path / "b.svg", path], check=True, timeout=60)
    text = (tmp_path / "b.svg").read_text("latin-1")
    lines = [
        [(float(x) * POINT, float(y) * POINT) for x, y in re.findall(r"[ML] (-?[\d.]+), (-?[\d.]+)", d)]
        for d in re.findall(r'<path d="([^"]*)"', text)
    ]
    # theirs lies with X to the right; ours is turned upright: X up, Y to the left
    turned = [[(y, x) for x, y in line] for line in lines]
    left, top = min(x for line in turned for x, _ in line), max(y for line in turned for _, y in line)
    right = max(x for line in turned for x, _ in line)
    k = DPI / 25.4
    theirs = Image.new("L", ours.size, 0)
    pen = ImageDraw.Draw(theirs)
    best = 1.0
    for flip in (False, True):
        theirs.paste(0, (0, 0, *theirs.size))
        for line in turned:
            spots = [((5 + (right - x if flip else x - left)) * k, (5 + top - y) * k) for x, y in line]
            pen.line(spots, fill=255, width=1)
        best = min(best, max(missed(ours, theirs), missed(theirs, ours)))
    assert best < 0.02
    assert told.width == pytest.approx(max(x for ln in turned for x, _ in ln) - left, abs=0.06)


def test_a_drawing_looks_as_chromium_shows_it(tmp_path: Path) -> None:
    path = tmp_path / "a.svg"
    path.write_bytes(svg.render(sample_sheet()))
    told = draw(read_picture(path, None), 96.0, travel=False)
    picture = opened(told.png)
    page = tmp_path / "page.html"
    page.write_text(
        f"<style>body{{margin:{5 / 25.4:.6f}in}}</style>{path.read_text('utf-8').split('?>', 1)[1]}", encoding="utf-8"
    )
    subprocess.run(
        [tool("chromium"), "--headless", "--no-sandbox", "--disable-gpu", "--hide-scrollbars",
         f"--user-data-dir={tmp_path / 'u'}",
         f"--screenshot={tmp_path / 'b.png'}", f"--window-size={picture.width},{picture.height}", page.as_uri()],
        check=True, timeout=120, capture_output=True,
    )  # fmt: skip
    theirs = Image.open(tmp_path / "b.png").convert("L").resize(picture.size)
    # below 200: not the pale frame round the page, which is the preview's own
    assert missed(ink(theirs), ink(picture, below=235)) < 0.02
    assert missed(ink(picture), ink(theirs, below=235)) < 0.02


def test_a_page_is_what_poppler_shows(tmp_path: Path) -> None:
    path = tmp_path / "a.pdf"
    path.write_bytes(render_roll(sample_sheet()))
    told = draw_pdf(path, 1, DPI)
    subprocess.run([tool("pdftoppm"), "-r", str(DPI), "-png", "-singlefile", path, tmp_path / "b"], check=True)
    ours, theirs = opened(told.png), Image.open(tmp_path / "b.png")
    theirs = theirs.convert("L").crop((0, 0, *ours.size))
    assert missed(ink(ours), ink(theirs, below=240)) < 0.01
    assert missed(ink(theirs), ink(ours, below=240)) < 0.01


def test_a_cad_drawing_is_drawn_where_its_lines_are(tmp_path: Path) -> None:
    sheet = sample_sheet()
    path = tmp_path / "a.dxf"
    path.write_bytes(cad.render(sheet, find_device("roll-1067")))
    picture = read_picture(path, None)
    strokes = [s for f in sheet.figures for s in f.strokes]
    assert len(picture.lines) == len(strokes)
    ours = {(round(x, 2), round(y, 2)) for line in picture.lines for x, y in line.points}
    meant = {(round(x, 2), round(y, 2)) for s in strokes for x, y in s.points}
    assert len(meant - ours) <= 0.001 * len(meant)
    assert draw(picture, DPI, travel=False).png.startswith(b"\x89PNG")


def test_blocks_and_inches_of_pattern_data_are_drawn(tmp_path: Path) -> None:
    from oaktag.export import dxf
    from samples import sample_pattern

    sizes = []
    for units in ("metric", "english"):
        path = tmp_path / f"{units}.dxf"
        path.write_bytes(dxf.render(sample_pattern(), units=units))
        told = draw(read_picture(path, None), 20.0, travel=False)
        sizes.append((told.width, told.height))
    assert sizes[0] == pytest.approx(sizes[1], rel=1e-3)
    assert max(sizes[0]) > 500


def run(tmp_path: Path, *arguments: object) -> subprocess.CompletedProcess[str]:
    return oaktag("preview", *arguments, cwd=tmp_path)


def test_what_a_device_cannot_reach_is_red_and_told(tmp_path: Path) -> None:
    (tmp_path / "a.plt").write_bytes(b"IN;SP1;PU0,0;PD8000,0,8000,20000,0,20000,0,0;PU;SP0;")
    told = run(tmp_path, "a.plt", "--for", "pen-1980s", "-o", "a.png", "--travel")
    assert told.returncode == 0, told.stderr
    assert "1 lines leave what pen-1980s can reach" in told.stderr
    assert "199.0 by 497.6" in told.stdout or "497.6 by 199.0" in told.stdout  # units of 0.02488 mm, by hand
    with Image.open(tmp_path / "a.png") as image:
        data = image.convert("RGB").tobytes()
    assert sum(r > 150 and g < 90 for r, g in zip(data[::3], data[1::3], strict=True)) > 100
    inside = run(tmp_path, "a.plt", "--for", "roll-914", "-o", "b.png")
    assert inside.returncode == 0 and "reach" not in inside.stderr


def test_travel_and_pens_are_told(tmp_path: Path) -> None:
    # drawn 3 × 100 mm, with the pen up 100 mm and 200 mm: by hand, 40 units a mm
    text = b"IN;SP1;PU4000,0;PD8000,0;SP2;PU0,0;PD4000,0,4000,4000;PU;SP0;"
    (tmp_path / "a.plt").write_bytes(text)
    told = run(tmp_path, "a.plt", "--json")
    assert told.returncode == 0
    import json

    answer = json.loads(told.stdout)
    assert answer["down"] == pytest.approx(300) and answer["up"] == pytest.approx(300)
    assert answer["pens"] == [1, 2] and answer["lines"] == 2
    assert (tmp_path / "a.plt.png").exists()


def test_a_picture_is_never_too_large(tmp_path: Path) -> None:
    (tmp_path / "a.plt").write_bytes(b"IN;SP1;PU0,0;PD400000,0,400000,400;PU;SP0;")
    told = run(tmp_path, "a.plt", "--dpi", "300", "-o", "a.png")
    assert told.returncode == 0 and "too large at 300 dpi" in told.stderr
    with Image.open(tmp_path / "a.png") as image:
        assert max(image.size) <= 8001


@pytest.mark.parametrize(
    ("name", "data"),
    [
        ("a.plt", b"PU0,0"),
        ("a.plt", b"IN;PU;SP0;"),
        ("a.plt", b"\x00\xff\xfe" * 50),
        ("a.svg", b"<svg xmlns='http://www.w3.org/2000/svg'>"),
        ("a.svg", b"<svg xmlns='http://www.w3.org/2000/svg' width='10mm' height='10mm'/>"),
        ("a.dxf", b"  0\nSECTION\n  2\nENT"),
        ("a.pdf", b"%PDF-1.4\nnothing"),
        ("a.pdf", b""),
    ],
)
def test_bad_files_are_told_and_leave_no_picture(tmp_path: Path, name: str, data: bytes) -> None:
    (tmp_path / name).write_bytes(data)
    told = run(tmp_path, name, "-o", "x.png")
    assert told.returncode == 2, (told.stdout, told.stderr)
    assert name in told.stderr and "Traceback" not in told.stderr
    assert not (tmp_path / "x.png").exists()


def test_no_file_and_no_page(tmp_path: Path) -> None:
    assert run(tmp_path, "gone.plt").returncode == 2
    (tmp_path / "a.pdf").write_bytes(render_roll(sample_sheet()))
    told = run(tmp_path, "a.pdf", "--page", "9")
    assert told.returncode == 2 and "has no page 9; expected 1 to 1" in told.stderr
