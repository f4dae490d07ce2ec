"""Pictures of files, held against what others draw of them: hp2xx, poppler, Chromium; DXF against geometry."""

from __future__ import annotations

import io
import json
import re
import shutil
import subprocess
from dataclasses import replace
from itertools import pairwise
from math import cos, hypot, radians, sin
from pathlib import Path
from typing import Any

import ezdxf
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image, ImageFilter
from shapely import LineString, box

from oaktag.device.correction import Correction
from oaktag.device.profile import DeviceProfile
from oaktag.device.store import find_device
from oaktag.errors import InputError
from oaktag.export import hpgl, pdf, svg
from oaktag.geometry.polygon import Box
from oaktag.preview.paint import FRAME, RED, dashed
from oaktag.preview.picture import MOST_PIXELS, Preview, preview
from oaktag.preview.reach import split
from oaktag.verify.hpgl import followed, pen_lines
from samples import sample_sheet
from wardrobe import CHROMIUM, oaktag

WIDE = DeviceProfile("wide", "a plotter of 2 m", 2000.0)
NEAR = 2
"""Pixels that two pictures of one file may differ by: the rounding of either, and half a line."""


def needs(program: str) -> Any:
    return pytest.mark.skipif(shutil.which(program) is None, reason=f"{program} is not installed")


def picture(seen: Preview) -> Image.Image:
    return Image.open(io.BytesIO(seen.png)).convert("RGB")


def ink(image: Image.Image, below: int = 200) -> Image.Image:
    return image.convert("L").point(lambda value: 255 if value < below else 0)


def strays(ours: Image.Image, theirs: Image.Image) -> tuple[int, int]:
    """How many dark pixels of either have no dark one of the other within NEAR."""
    assert ours.size == theirs.size
    counts = []
    for a, b in ((ours, theirs), (theirs, ours)):
        near = b.filter(ImageFilter.MaxFilter(2 * NEAR + 1))
        counts.append(sum(x > 0 and y == 0 for x, y in zip(a.tobytes(), near.tobytes(), strict=True)))
    return counts[0], counts[1]


def written(folder: Path, name: str, data: bytes | str) -> Path:
    path = folder / name
    path.write_bytes(data if isinstance(data, bytes) else data.encode("latin-1"))
    return path


def colour_at(image: Image.Image, x: float, y: float) -> tuple[int, ...]:
    pixel = image.getpixel((int(x), int(y)))
    assert isinstance(pixel, tuple)
    return pixel


def reddish(image: Image.Image) -> tuple[int, int, int, int] | None:
    red, green, blue = image.split()
    both = Image.merge("RGB", (red, green, blue)).convert("RGB")
    mask = Image.new("L", both.size)
    mask.putdata([255 if r > 150 and g < 90 and b < 110 else 0 for r, g, b in pixels(both)])
    return mask.getbbox()


def pixels(image: Image.Image) -> list[tuple[int, int, int]]:
    raw = image.tobytes()
    return list(zip(raw[::3], raw[1::3], raw[2::3], strict=True))


# ---- against what others draw


@needs("hp2xx")
@pytest.mark.parametrize("language", ["hpgl2", "pe8", "pe7"])
def test_a_plot_is_drawn_as_hp2xx_draws_it(tmp_path: Path, language: str) -> None:
    path = written(tmp_path, "in.plt", hpgl.render(sample_sheet(), replace(WIDE, language=language)))
    command = ["hp2xx", "-q", "-t", "-N", "-m", "pbm", "-d", "50", "-p", "11111111", "-f", "out.pbm", "in.plt"]
    subprocess.run(command, cwd=tmp_path, check=True, timeout=60, capture_output=True)
    with Image.open(tmp_path / "out.pbm") as image:
        theirs = ink(image)
    ours = ink(picture(preview(path)))
    mine, its = ours.getbbox(), theirs.getbbox()  # either has its own margin: the middles are laid on each other
    assert mine and its
    assert (mine[2] - mine[0], mine[3] - mine[1]) == pytest.approx((its[2] - its[0], its[3] - its[1]), abs=NEAR)
    dx, dy = (round((mine[i] + mine[i + 2] - its[i] - its[i + 2]) / 2) for i in (0, 1))
    assert strays(ours.crop((dx, dy, dx + theirs.width, dy + theirs.height)), theirs) == (0, 0)


@needs("pdftoppm")
@pytest.mark.parametrize("dpi", [50, 80])
def test_a_page_is_drawn_as_poppler_draws_it(tmp_path: Path, dpi: int) -> None:
    path = written(tmp_path, "roll.pdf", pdf.render_roll(sample_sheet(), margin=5.0))
    subprocess.run(["pdftoppm", "-r", str(dpi), "-png", "-singlefile", path, tmp_path / "out"], check=True, timeout=60)
    with Image.open(tmp_path / "out.png") as image:
        theirs = image.convert("RGB")
    ours = picture(preview(path, dpi=dpi))
    assert ours.size == pytest.approx(theirs.size, abs=1)
    size = (min(ours.width, theirs.width), min(ours.height, theirs.height))
    ours, theirs = (each.crop((0, 0, *size)) for each in (ours, theirs))
    # what is faint in one may fall just under the limit in the other, so each is held against all ink of the other
    assert strays(ink(ours, 200), ink(theirs, 250))[0] == 0
    assert strays(ink(theirs, 200), ink(ours, 250))[0] == 0


DRAWING = """<svg xmlns="http://www.w3.org/2000/svg" width="120mm" height="90mm" viewBox="0 0 240 180">
<style>.sewn { stroke: #0a0; stroke-dasharray: 12 8 }</style>
<defs><rect id="patch" width="20" height="12"/><clipPath id="away"><rect width="200" height="100"/></clipPath></defs>
<symbol id="button"><circle r="6" cx="8" cy="8"/></symbol>
<g fill="none" stroke="#d00000" stroke-width="3" transform="translate(30 20) rotate(15)">
  <rect x="10" y="10" width="90" height="40" rx="12"/>
  <path d="M0 60 C 30 20 60 100 100 70 S 120 40 140 60 q 10 20 20 0 a 12 8 20 0 1 20 10"/>
  <use href="#patch" x="110" y="20"/></g>
<path class="sewn" fill="none" stroke-width="2" d="M20 150 H 200"/>
<path fill="#0000ff" fill-rule="evenodd" d="M150 90 h60 v40 h-60 z M165 100 h30 v20 h-30 z"/>
<path fill="#ff8800" d="M10 95 h50 v40 h-50 z M20 105 v20 h30 v-20 z"/>
<polygon fill="none" stroke="#000" points="220,10 235,40 205,40"/>
<line x1="5" y1="170" x2="235" y2="170" stroke="#888" stroke-width="4" stroke-dasharray="20 5 5"/>
<g display="none"><line x1="0" y1="0" x2="240" y2="180" stroke="#000"/></g>
<line visibility="hidden" x1="0" y1="180" x2="240" y2="0" stroke="#000"/></svg>"""


def screenshot(folder: Path, path: Path, width: int, height: int) -> Image.Image:
    subprocess.run(
        [
            str(CHROMIUM), "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
            "--disable-background-networking", "--disable-component-update", "--disable-sync", "--hide-scrollbars",
            f"--user-data-dir={folder / 'profile'}", f"--window-size={width},{height}",
            f"--screenshot={folder / 'shot.png'}", path.as_uri(),
        ],
        capture_output=True, timeout=60, check=True,
    )  # fmt: skip
    with Image.open(folder / "shot.png") as image:
        return image.convert("RGB")


@pytest.mark.skipif(CHROMIUM is None, reason="Chromium is not installed")
def test_an_svg_is_drawn_as_chromium_draws_it(tmp_path: Path) -> None:
    path = written(tmp_path, "in.svg", DRAWING)
    ours = picture(preview(path, dpi=96))  # CSS: 96 pixels an inch
    theirs = screenshot(tmp_path, path, 600, 600).crop((0, 0, *ours.size))
    assert strays(ink(ours, 230), ink(theirs, 230)) == (0, 0)
    scale = 96 / 25.4 / 2  # of a unit of the view box, which is half a millimetre
    for x, y in ((155, 95), (180, 110), (15, 100), (30, 115), (225, 30), (60, 170), (8, 8)):
        mine, its = (colour_at(image, x * scale, y * scale) for image in (ours, theirs))
        assert mine == pytest.approx(its, abs=30), (x, y)


@pytest.mark.skipif(CHROMIUM is None, reason="Chromium is not installed")
def test_our_own_svg_is_drawn_as_chromium_draws_it(tmp_path: Path) -> None:
    path = written(tmp_path, "in.svg", svg.render(sample_sheet()))
    ours = picture(preview(path, dpi=96))
    theirs = screenshot(tmp_path, path, ours.width + 50, ours.height + 200).crop((0, 0, *ours.size))
    assert strays(ink(ours, 200), ink(theirs, 252))[0] == 0
    assert strays(ink(theirs, 200), ink(ours, 252))[0] == 0


def test_words_are_drawn_where_they_stand(tmp_path: Path) -> None:
    """Upright words lie above their base line and to the right; turned by -90 degrees they run up from their place."""
    head = '<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="60mm" viewBox="0 0 60 60">'
    words = '<text x="30" y="30" font-size="6">ALTO <tspan>HEM</tspan></text>'
    found = ink(picture(preview(written(tmp_path, "a.svg", f"{head}{words}</svg>"), dpi=254))).getbbox()
    assert found is not None
    assert found[0] == pytest.approx(300, abs=8)
    assert found[3] == pytest.approx(300, abs=4)
    assert found[2] > 430  # seven capitals of 6 mm type, one after the other
    assert found[3] - found[1] == pytest.approx(0.7 * 60, abs=8)
    turned = words.replace("<text ", '<text transform="rotate(-90 30 30)" ')
    seen = preview(written(tmp_path, "b.svg", f"{head}{turned}</svg>"), dpi=254)
    up = ink(picture(seen)).getbbox()
    assert up is not None
    assert up == pytest.approx((found[1], 600 - found[2], found[3], 600 - found[0]), abs=4)
    assert any("another type" in note for note in seen.notes)


def test_an_svg_without_a_size_is_shown_whole(tmp_path: Path) -> None:
    text = '<svg xmlns="http://www.w3.org/2000/svg"><path d="M-96 0H96V48" stroke="red" fill="none"/></svg>'
    seen = preview(written(tmp_path, "in.svg", text))
    assert (seen.width, seen.height) == pytest.approx((2 * 25.4, 12.7))
    assert any("no size" in note for note in seen.notes)


# ---- DXF against geometry


def test_a_dxf_is_drawn_where_its_blocks_put_it(tmp_path: Path) -> None:
    """A line in a block in a block: turned, scaled, moved; in inches. Worked out by hand with cos and sin."""
    document = ezdxf.new("R2010")
    document.header["$INSUNITS"] = 1
    inner = document.blocks.new("INNER")
    inner.add_line((0, 0), (1, 0), dxfattribs={"layer": "CUT"})
    inner.add_circle((0, 2), 0.5, dxfattribs={"layer": "MARK"})
    outer = document.blocks.new("OUTER")
    outer.add_blockref("INNER", (1, 0), dxfattribs={"rotation": 90})
    space = document.modelspace()
    space.add_blockref("OUTER", (2, 1), dxfattribs={"xscale": 2, "yscale": 2, "rotation": 30})
    space.add_lwpolyline([(-2, -2), (6, -2), (6, 6), (-2, 6)], close=True, dxfattribs={"layer": "SHEET"})
    off = document.layers.add("OFF")
    off.off()
    space.add_line((0, 5.9), (6, 5.9), dxfattribs={"layer": "OFF"})
    path = tmp_path / "in.dxf"
    document.saveas(path)

    seen = preview(path, dpi=100)
    assert (seen.width, seen.height) == pytest.approx((8 * 25.4, 8 * 25.4), abs=0.01)
    # a square of 32 in, a line of 1 in at twice its size, a circle of 1 in across at twice its size
    assert seen.drawn == pytest.approx(25.4 * (32 + 2 + 2 * 3.14159265), rel=1e-3)
    assert {pen.name: pen.lines for pen in seen.pens} == {"layer CUT": 1, "layer MARK": 1, "layer SHEET": 1}
    assert len({pen.looks for pen in seen.pens}) == 3
    assert any("off" in note for note in seen.notes)
    image = picture(seen)

    def pixel(x: float, y: float) -> tuple[float, float]:  # inches of the drawing; 5 mm of edge, y down
        return ((x + 2) * 25.4 + 5) * 100 / 25.4, image.height - ((y + 2) * 25.4 + 5) * 100 / 25.4

    def placed(x: float, y: float) -> tuple[float, float]:
        x, y = 1 - y, x  # turned by 90 degrees, then moved by (1, 0)
        turn = radians(30)
        return 2 + 2 * (x * cos(turn) - y * sin(turn)), 1 + 2 * (x * sin(turn) + y * cos(turn))

    dark = ink(image).filter(ImageFilter.MaxFilter(3))
    ring = [(0.5 * cos(a), 2 + 0.5 * sin(a)) for a in (0.3, 1.7, 3.3, 5.1)]
    for spot in [placed(0, 0), placed(0.5, 0), placed(0.99, 0), *(placed(*p) for p in ring)]:
        assert dark.getpixel(pixel(*spot)) == 255
    assert dark.getpixel(pixel(3, 5.9)) == 0  # the layer that is off
    assert dark.getpixel(pixel(*placed(1.2, 0))) == 0


@pytest.mark.parametrize(("code", "mm"), [(4, 1.0), (5, 10.0), (1, 25.4), (0, 1.0)])
def test_a_dxf_is_drawn_in_its_unit(tmp_path: Path, code: int, mm: float) -> None:
    document = ezdxf.new("R2000")
    document.header["$INSUNITS"] = code
    document.modelspace().add_line((0, 0), (30, 40))
    document.saveas(tmp_path / "in.dxf")
    seen = preview(tmp_path / "in.dxf")
    assert seen.drawn == pytest.approx(50 * mm)
    assert any("no unit" in note for note in seen.notes) == (code == 0)


# ---- the pen


PLOT = "IN;SP1;PU400,400;PD4400,400;PU4400,3400;SP2;PD400,3400;PU;SP0;"
"""By hand: two lines of 100 mm in two pens, 10 and 85 mm up; the pen is lifted for 14.14 mm and for 75 mm."""


def test_lines_pens_and_the_ways_of_the_pen_are_told(tmp_path: Path) -> None:
    seen = preview(written(tmp_path, "in.plt", PLOT), travel=True, dpi=100)
    assert (seen.width, seen.height) == pytest.approx((100.0, 75.0))
    assert (seen.lines, seen.points) == (2, 4)
    assert seen.drawn == pytest.approx(200.0)
    assert seen.travel == pytest.approx(hypot(10, 10) + 75)
    assert [(pen.name, pen.lines, pen.drawn) for pen in seen.pens] == [("pen 1", 1, 100.0), ("pen 2", 1, 100.0)]
    assert seen.pens[0].looks != seen.pens[1].looks


def test_the_lifted_pen_is_drawn_only_when_asked(tmp_path: Path) -> None:
    path = written(tmp_path, "in.plt", PLOT)
    plain, travel = (picture(preview(path, travel=asked, dpi=100)) for asked in (False, True))
    # of the lifted pen's way on the right, from 10 to 85 mm up, the middle column; its dashes leave gaps
    column = [travel.getpixel((round((110 + 5) * 100 / 25.4) - 1, y)) for y in range(60, 240)]
    blue = sum(b > r + 40 for r, _, b in column)
    assert 0.25 * len(column) < blue < 0.75 * len(column)
    assert all(b - r < 40 for r, _, b in pixels(plain))


def test_the_pens_moves_join_its_lines() -> None:
    data = hpgl.render(sample_sheet(), WIDE)
    path = followed(data)
    assert list(path.lines) == pen_lines(data)
    stops = {line.points[-1] for line in path.lines} | {(0.0, 0.0)}
    starts = {line.points[0] for line in path.lines}
    assert all(a in stops and b in starts for a, b in (move.points for move in path.moves))


def test_encoded_lines_and_plain_ones_have_the_same_moves() -> None:
    plain, coded = (
        followed(hpgl.render(sample_sheet(), replace(WIDE, language=language))) for language in ("hpgl2", "pe8")
    )
    assert [move.points for move in plain.moves] == [move.points for move in coded.moves]


# ---- devices


def test_what_a_plotter_cannot_reach_is_red(tmp_path: Path) -> None:
    """X along the roll, Y across: a line from 0 to 700 mm across, on a roll that takes 600 mm (610 less 2 x 5)."""
    path = written(tmp_path, "in.plt", "IN;SP1;PU4000,0;PD4000,28000;PU0,8000;PD4000,8000;PU;SP0;")
    seen = preview(path, device=find_device("roll-610"), dpi=50.8)
    assert seen.outside == pytest.approx(100.0)
    assert seen.beyond == pytest.approx(100.0)
    assert (seen.width, seen.height) == pytest.approx((700.0, 100.0))  # the width of the paper lies across
    image = picture(seen)
    found = reddish(image)
    assert found is not None
    assert found[2] - found[0] == pytest.approx(200, abs=3)  # 100 mm at 2 pixels a mm
    assert found[0] <= 12  # to the left: Y counts from the right margin
    assert any(pixel == FRAME for pixel in pixels(image))


def test_what_lies_within_is_not_red(tmp_path: Path) -> None:
    for device in ("roll-914", "roll-900-frames", "pen-1980s", "sheet-a1-centre"):
        profile = find_device(device)
        along, across = (0, 0) if profile.origin == "corner" else (-4000, -4000)
        plot = f"IN;SP1;PU{along},{across};PD{along + 8000},{across + 8000};PU;SP0;"
        seen = preview(written(tmp_path, "in.plt", plot), device=profile)
        assert (seen.outside, seen.beyond) == (0.0, 0.0)
        assert reddish(picture(seen)) is None
        assert seen.width == pytest.approx(8000 * profile.unit)


def test_below_the_origin_a_corner_plotter_reaches_nothing(tmp_path: Path) -> None:
    path = written(tmp_path, "in.plt", "IN;SP1;PU-400,400;PD400,400;PU;SP0;")
    assert preview(path, device=find_device("roll-914")).outside == pytest.approx(10.0)
    assert preview(path, device=find_device("sheet-a1-centre")).outside == 0.0


def test_frames_lie_one_after_the_other(tmp_path: Path) -> None:
    """Frames of 800 mm: a line of 100 mm in each, from 10 mm on, so 910 mm from end to end of both."""
    plot = "IN;SP1;PU400,400;PD4400,400;PU;AF;PU400,400;PD4400,400;PU;SP0;"
    seen = preview(written(tmp_path, "in.plt", plot), device=find_device("roll-900-frames"))
    assert seen.height == pytest.approx(900.0)
    assert seen.outside == 0.0
    beyond = plot.replace("PD4400,400;PU;AF", "PD34000,400;PU;AF")
    seen = preview(written(tmp_path, "out.plt", beyond), device=find_device("roll-900-frames"))
    assert seen.outside == pytest.approx(50.0)  # 850 mm in a frame of 800


def test_the_devices_unit_is_used(tmp_path: Path) -> None:
    path = written(tmp_path, "in.plt", "IN;SP1;PU400,400;PD4400,400;PU;SP0;")
    assert preview(path, device=find_device("pen-1980s")).drawn == pytest.approx(4000 * 0.02488)
    assert preview(path).drawn == pytest.approx(4000 * 0.025)


def test_a_correction_is_undone_as_the_machine_undoes_it(tmp_path: Path) -> None:
    """A plotter that draws 1 % too long is sent 1 % less: on its paper the square is whole again."""
    device = replace(WIDE, correction=Correction(1.0, 0.0, 0.0, 1 / 1.01))
    path = written(tmp_path, "in.plt", hpgl.render(sample_sheet(), device))
    plain = written(tmp_path, "plain.plt", hpgl.render(sample_sheet(), WIDE))
    assert preview(path, device=device).height == pytest.approx(preview(plain, device=WIDE).height, abs=0.05)
    assert preview(path).width == pytest.approx(preview(plain).width / 1.01, abs=0.05)


def test_of_a_drag_knife_the_tip_is_drawn(tmp_path: Path) -> None:
    """Its tip trails by the offset: the straight cut that it makes ends that far before the holder's end."""
    device = find_device("knife-1600x1200")
    assert device.blade is not None
    path = written(tmp_path, "in.plt", "IN;SP2;PU4000,4000;PD8000,4000;PU;SP0;")
    seen = preview(path, device=device)
    assert seen.height == pytest.approx(100.0, abs=0.01)  # begun and ended half a millimetre behind
    turned = written(tmp_path, "turned.plt", "IN;SP2;PU4000,4000;PD8000,4000,8000,8000;PU;SP0;")
    lines = preview(turned, device=device)
    assert 200.0 - 2 * device.blade.offset < lines.drawn < 200.0  # the corner is cut round
    assert any("tip" in note for note in seen.notes)


def test_a_page_too_wide_for_a_roll_has_red_ink(tmp_path: Path) -> None:
    path = written(tmp_path, "roll.pdf", pdf.render_roll(sample_sheet(), margin=5.0))
    width, height = preview(path).width, preview(path).height
    narrow = replace(find_device("roll-914"), width=min(width, height) - 40.0)
    assert preview(path, device=replace(narrow, width=width)).beyond == 0.0
    seen = preview(path, device=narrow)
    assert 0.0 < seen.beyond <= max(width, height) - narrow.width + 5.0
    assert reddish(picture(seen)) is not None


def test_a_drawing_too_large_for_a_bed_is_red(tmp_path: Path) -> None:
    text = """<svg xmlns="http://www.w3.org/2000/svg" width="{0}mm" height="{1}mm" viewBox="0 0 {0} {1}">
        <path d="M0 0H{0}V{1}H0z" fill="none" stroke="red" stroke-width="0.1"/></svg>"""
    bed = find_device("laser-600x300")  # 590 by 290 mm within its margins
    fits, turned = (written(tmp_path, f"{w}.svg", text.format(w, h)) for w, h in ((290, 590), (590, 290)))
    assert preview(fits, device=bed).outside == preview(turned, device=bed).outside == 0.0
    large = preview(written(tmp_path, "l.svg", text.format(300, 500)), device=bed)
    assert large.outside == pytest.approx(500 + 2 * 10)  # one whole side and 10 mm of two
    assert large.beyond == pytest.approx(10.0)


# ---- the parts of a line

NUMBERS = st.floats(-50, 50).map(lambda value: round(value, 2))


@given(st.lists(st.tuples(NUMBERS, NUMBERS), min_size=2, max_size=12, unique=True))
def test_a_split_line_is_whole_and_its_inside_is_that_of_shapely(points: list[tuple[float, float]]) -> None:
    window = Box(-20.0, -10.0, 25.0, 15.0)
    parts = split(points, window)
    lengths = [sum(hypot(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(part)) for _, part in parts]
    assert sum(lengths) == pytest.approx(LineString(points).length)
    within = sum(long for (inside, _), long in zip(parts, lengths, strict=True) if inside)
    # what lies on the border to a thousandth of a mm counts as inside
    least, most = (
        sum(LineString(p).intersection(box(-20 - by, -10 - by, 25 + by, 15 + by)).length for p in pairwise(points))
        for by in (0.0, 1e-3)
    )
    assert least - 1e-4 <= within <= most + 1e-4
    assert all(before[1][-1] == after[1][0] for before, after in pairwise(parts))


@given(st.floats(0.5, 9), st.floats(0.5, 9), st.floats(1, 200))
def test_dashes_cover_their_share(on: float, off: float, long: float) -> None:
    """Worked out by whole periods and what is left."""
    drawn = sum(
        b[0] - a[0] for dash in dashed([(0, 0), (long / 3, 0), (long, 0)], (on, off)) for a, b in pairwise(dash)
    )
    whole, left = divmod(long, on + off)
    assert drawn == pytest.approx(whole * on + min(left, on), abs=1e-6)


# ---- bad input, and the command


BAD = {
    "empty.plt": b"",
    "words.plt": b"Dear wardrobe room,",
    "broken.plt": PLOT[:-12].encode(),
    "arc.plt": b"IN;SP1;PU0,0;AA100,100,90;PU;SP0;",
    "blank.plt": b"IN;SP1;PU0,0;SP0;",
    "empty.svg": b"",
    "broken.svg": DRAWING[:-30].encode(),
    "other.svg": b"<html/>",
    "blank.svg": b'<svg xmlns="http://www.w3.org/2000/svg" width="10mm" height="10mm"/>',
    "flat.svg": b'<svg xmlns="http://www.w3.org/2000/svg" width="0" height="10"><line x2="9" stroke="red"/></svg>',
    "path.svg": b'<svg xmlns="http://www.w3.org/2000/svg"><path stroke="red" d="M0 0 L1e12 9"/></svg>',
    "empty.dxf": b"",
    "words.dxf": b"Dear wardrobe room,",
    "broken.dxf": b"  0\nSECTION\n  2\nENTITIES\n  0\nLINE\n",
    "odd.dxf": b"  0\nSECTION\n  2\nENTITIES\n  0\nLINE\n 10\nabc\n  0\nENDSEC\n  0\nEOF\n",
    "empty.pdf": b"",
    "broken.pdf": b"%PDF-1.6\n1 0 obj\n",
    "words.txt": b"IN;SP1;",
    "noname": b"IN;SP1;",
}


@pytest.mark.parametrize("name", BAD)
def test_bad_files_are_told_and_nothing_is_written(name: str, tmp_path: Path) -> None:
    path = written(tmp_path, name, BAD[name])
    with pytest.raises(InputError) as told:
        preview(path)
    assert str(told.value).startswith(str(path))
    assert "expected" in str(told.value)


def test_the_command_ends_with_2_and_leaves_nothing(tmp_path: Path) -> None:
    written(tmp_path, "broken.plt", BAD["broken.plt"])
    for words in (("broken.plt",), ("missing.plt",), (".",), ("broken.plt", "-o", "x.jpg"), ("x.plt", "--for", "none")):
        run = oaktag("preview", *words, cwd=tmp_path)
        assert run.returncode == 2, run.stderr
        assert "Traceback" not in run.stderr
        assert run.stdout == ""
        assert [path.name for path in tmp_path.iterdir()] == ["broken.plt"]


def test_pages_are_asked_for_by_number(tmp_path: Path) -> None:
    plot = written(tmp_path, "in.plt", PLOT)
    with pytest.raises(InputError, match="no pages"):
        preview(plot, page=2)
    roll = written(tmp_path, "roll.pdf", pdf.render_roll(sample_sheet(), margin=5.0))
    with pytest.raises(InputError, match=r"1 pages?, and page 2"):
        preview(roll, page=2)


def test_a_plot_is_not_for_a_printer(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="home-printer takes PDF"):
        preview(written(tmp_path, "in.plt", PLOT), device=find_device("home-printer"))


@pytest.mark.parametrize("name", ["in.plt", "in.pdf"])
def test_a_picture_has_at_most_8000_pixels_a_side(tmp_path: Path, name: str) -> None:
    plot = "IN;SP1;PU0,0;PD40000,400;PU;SP0;"
    data = plot.encode() if name == "in.plt" else pdf.render_roll(sample_sheet(), margin=5.0)
    seen = preview(written(tmp_path, name, data), dpi=600)
    assert MOST_PIXELS - 2 <= max(seen.pixels) <= MOST_PIXELS == 8000
    assert seen.dpi < 600
    assert any("8,000 pixels" in note for note in seen.notes)


@pytest.mark.smoke
def test_the_command_writes_a_png_and_tells_what_it_shows(tmp_path: Path) -> None:
    written(tmp_path, "in.plt", PLOT)
    run = oaktag("preview", "in.plt", cwd=tmp_path)
    assert (run.returncode, run.stderr) == (0, "")
    assert "100.0 by 75.0 mm" in run.stdout
    assert "2, 4 points" in run.stdout
    with Image.open(tmp_path / "in-plt.png") as image:
        assert image.format == "PNG"
        assert image.size == pytest.approx((110 * 50 / 25.4, 85 * 50 / 25.4), abs=1)
        assert image.info["dpi"] == pytest.approx((50, 50), abs=0.1)
    # two lines of 100 mm, one in each pen
    assert re.search(r"^drawn +0\.2 m$", run.stdout, re.MULTILINE)
    assert len(re.findall(r"^pen [12] +1 lines, 0\.1 m; ", run.stdout, re.MULTILINE)) == 2
    assert re.search(r"^pen up +0\.1 m$", run.stdout, re.MULTILINE)
    told = json.loads(oaktag("preview", "in.plt", "-o", "sub/x.png", "--json", cwd=tmp_path).stdout)
    assert told["drawn"] == pytest.approx(200.0)
    assert told["travel"] == pytest.approx(89.142, abs=0.001)
    assert (tmp_path / told["picture"]).is_file()
    assert "png" not in told


def test_what_lies_outside_is_told_on_stderr(tmp_path: Path) -> None:
    written(tmp_path, "in.plt", "IN;SP1;PU4000,0;PD4000,28000;PU;SP0;")
    run = oaktag("preview", "in.plt", "--for", "roll-610", "-o", "x.png", cwd=tmp_path)
    assert run.returncode == 0
    assert "0.10 m of its lines lie outside of what roll-610 can reach, up to 100.0 mm" in run.stderr


def test_the_same_file_gives_the_same_bytes(tmp_path: Path) -> None:
    path = written(tmp_path, "in.plt", hpgl.render(sample_sheet(), WIDE))
    assert preview(path).png == preview(path).png
    assert RED not in pixels(picture(preview(path)))


def test_pens_are_told_by_number_and_colours_in_the_order_in_which_they_are_drawn(tmp_path: Path) -> None:
    plot = "IN;SP2;PU0,0;PD4000,0;PU;SP10;PU0,400;PD4000,400;PU;SP1;PU0,800;PD4000,800;PU;SP0;"
    assert [pen.name for pen in preview(written(tmp_path, "in.plt", plot)).pens] == ["pen 1", "pen 2", "pen 10"]
    lines = "".join(
        f'<path d="M0 {y}H90" stroke="{colour}" stroke-width="1" fill="none"/>'
        for y, colour in ((10, "#ff0000"), (20, "#0000ff"), (30, "#00aa00"), (40, "#ff0000"))
    )
    head = '<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 100 100">'
    pens = preview(written(tmp_path, "in.svg", f"{head}{lines}</svg>")).pens
    assert [pen.looks.split(",")[0] for pen in pens] == ["#ff0000", "#0000ff", "#00aa00"]
    assert [pen.lines for pen in pens] == [2, 1, 1]
