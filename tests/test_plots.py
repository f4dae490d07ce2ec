"""Plots for every device that ships, read by hp2xx (or ezdxf, svgelements), against the sheets by hand-made maps."""

from __future__ import annotations

import os
import re
import subprocess
import sys
import tempfile
from dataclasses import replace
from functools import cache
from itertools import pairwise
from math import atan2, cos, degrees, exp, hypot, radians, sin
from pathlib import Path
from typing import Any

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from oaktag.device.correction import Correction
from oaktag.device.profile import PLOTTED, Blade, DeviceProfile, usable_length, usable_width
from oaktag.device.store import find_device, shipped_names
from oaktag.errors import InputError
from oaktag.export import cad, cuts_svg, hpgl, knife
from oaktag.export.route import shortened, tour, travel, walk
from oaktag.geometry.point import XY
from oaktag.job import load_job
from oaktag.pipeline import make, nest_of
from oaktag.sheet.drawing import figure_of
from oaktag.sheet.on_device import Laid, laid_on
from oaktag.sheet.panels import panels_of
from oaktag.sheet.sheets import packed_on_sheets
from oaktag.sheet.strokes import Figure, Role, Sheet, Stroke
from oaktag.verify.folder import verify
from oaktag.verify.knife import tip_path
from samples import sample_sheet
from wardrobe import tool

ROOT = Path(__file__).resolve().parents[1]
TOLERANCE = 0.06
"""Outline read back from HP-GL, mm (the project's tolerance)."""
POINT = 25.4 / 72
"""mm in one of hp2xx's units."""
PLOTTERS = [name for name in shipped_names() if find_device(name).language in PLOTTED]


@cache
def figures() -> tuple[Figure, ...]:
    return tuple(
        figure_of(piece) for piece in nest_of(load_job(ROOT / "fixtures/choir/alto-3.toml")).base_pattern.pieces
    )


@cache
def sheets_for(name: str) -> tuple[Laid, ...]:
    return laid_on(find_device(name), "alto 3", figures())


def read_by_hp2xx(data: bytes) -> list[list[XY]]:
    """Every line as hp2xx draws it, in units of 0.025 mm.

    It moves a drawing to its own corner, so that two far marks are added, whose places are known.
    """
    start = data.index(b"IN;") + 3
    marks = b"PU;SP1;PU-4000,-4000;PD-4000,-3999;PU400000,400000;PD400000,399999;PU;"
    with tempfile.TemporaryDirectory() as place:
        plot, picture = Path(place) / "in.plt", Path(place) / "out.svg"
        plot.write_bytes(data[:start] + marks + data[start:])
        subprocess.run([tool("hp2xx"), "-q", "-t", "-m", "svg", "-f", picture, plot], check=True, timeout=60)
        text = picture.read_text("latin-1")
    lines = [
        [(float(x) * POINT * 40, float(y) * POINT * 40) for x, y in re.findall(r"[ML] (-?[\d.]+), (-?[\d.]+)", path)]
        for path in re.findall(r'<path d="([^"]*)"', text)
    ]
    (left, bottom), (right, top) = lines[0][0], lines[1][0]
    # y runs down there; the scale is theirs, and is proved by the two marks
    assert right - left == pytest.approx(404_000, abs=40) and bottom - top == pytest.approx(404_000, abs=40)
    return [[(x - left - 4000, bottom - y - 4000) for x, y in line] for line in lines[2:]]


def plotted(name: str, laid: Laid) -> list[list[XY]]:
    """What hp2xx draws, back on the sheet, mm, by what the profile says."""
    device = find_device(name)
    data = hpgl.plot(laid.sheet, device).data
    frames = [data]
    if device.frame is not None:
        head, *rest = data.split(device.frame_advance.encode())
        frames = [head, *(b"IN;SP1;" + frame for frame in rest)]
    across, along = usable_width(device), laid.sheet.height if device.length is None else usable_length(device)
    found = []
    for k, frame in enumerate(frames):
        for line in read_by_hp2xx(frame):
            points = [(x * device.unit + k * (device.frame or 0.0), y * device.unit) for x, y in line]
            if device.origin == "centre":
                points = [(x + along / 2, y + across / 2) for x, y in points]
            found.append([(laid.sheet.width - y, x) for x, y in points])
    return found


def samples_of(line: list[XY] | tuple[XY, ...]) -> list[XY]:
    points = list(line)
    for (ax, ay), (bx, by) in pairwise(line):
        steps = int(hypot(bx - ax, by - ay) / 5.0)
        points += [(ax + (bx - ax) * k / (steps + 1), ay + (by - ay) * k / (steps + 1)) for k in range(1, steps + 1)]
    return points


def far_from(tree: shapely.STRtree, points: list[XY] | tuple[XY, ...]) -> Any:
    """How far each point is from the nearest line of the tree, mm."""
    spots = shapely.points(points)
    return shapely.distance(tree.geometries[tree.nearest(spots)], spots)


@pytest.mark.parametrize("name", [n for n in PLOTTERS if find_device(n).blade is None])
def test_hp2xx_draws_every_flavour_within_tolerance(name: str) -> None:
    """The cut lines all round, and nothing that is not on the sheet; frames are laid one after the other."""
    device = find_device(name)
    for laid in sheets_for(name):
        drawn = plotted(name, laid)
        lines = shapely.STRtree([shapely.LineString(line) for line in drawn if len(line) > 1])
        for figure in laid.sheet.figures:
            for stroke in figure.strokes:
                if stroke.role is Role.CUT:
                    points = samples_of((*stroke.points, stroke.points[0]))
                    far = far_from(lines, points)
                    assert max(far) <= TOLERANCE, (name, figure.name, points[far.argmax()])
        meant = shapely.STRtree(
            [
                shapely.LineString((*s.points, s.points[0]) if s.closed else s.points)
                for figure in laid.sheet.figures
                for s in figure.strokes
                if len(s.points) > 1
            ]
        )
        marks = 0
        for line in drawn:
            if max(far_from(meant, line)) > TOLERANCE:  # the crosses at joins of frames are the plot's own
                assert device.frame is not None and shapely.LineString(line).length <= 6.1
                marks += 1
        if device.frame is None:
            assert marks == 0
        else:
            joins = int(laid.sheet.height / device.frame)
            assert joins >= 1 and marks >= 4 * joins  # two crosses of two strokes, each in two halves or one


def test_shipped_flavours_are_all_there() -> None:
    assert {find_device(name).language for name in PLOTTERS} == set(PLOTTED)


# ---- coded lines (HP PCL 5 Technical Reference, part II, PE; vectors of the handbook's own algorithm)


def test_the_makers_own_number_is_coded_as_in_the_book() -> None:
    # 10,525 is 121 71 196 in base 64 (the book's worked example)
    data = hpgl._coded([[(10525, 0), (10525, 1)]], find_device("roll-914-coded"))
    assert data.startswith(b"PE<=" + bytes((121, 71, 196, 191)))


def test_a_rectangle_in_three_spellings() -> None:
    """100 × 50 mm from (25, 25), byte for byte as hp2xx 3.4.4 was seen to take it."""
    ring = [(1000, 1000), (5000, 1000), (5000, 3000), (1000, 3000), (1000, 1000)]
    eight, seven = find_device("roll-914-coded"), find_device("roll-914-serial")
    coded = bytes.fromhex("50453c3d4fde4fde3f7cc0bfbf5ffd407cc0bfbf60fd3b")
    assert hpgl._coded([ring], eight) == coded + b"\n"
    assert hpgl._coded([ring], seven) == b"PE7<=O]`O]`?Yf__?\\b@Yf__@\\b;\n"
    assert all(byte < 128 for byte in hpgl.plot(sheets_for("roll-914-serial")[0].sheet, seven).data)


@given(st.lists(st.tuples(st.integers(-(2**22), 2**22), st.integers(-(2**22), 2**22)), min_size=1, max_size=40))
def test_any_line_is_decoded_as_it_was(points: list[tuple[int, int]]) -> None:
    """By a decoder written here from the description, digit by digit."""
    for name, bits, last in (("roll-914-coded", 6, 191), ("roll-914-serial", 5, 95)):
        data = hpgl._coded([points], find_device(name))
        body = data.removeprefix(b"PE7<=").removeprefix(b"PE<=").removesuffix(b";\n")
        numbers, value, shift = [], 0, 0
        for byte in body:
            end = byte >= last
            value |= (byte - (last if end else 63)) << shift
            shift += bits
            if end:
                numbers.append(-(value >> 1) if value & 1 else value >> 1)
                value = shift = 0
        pairs = list(zip(numbers[::2], numbers[1::2], strict=True))
        x, y = pairs[0]
        decoded = [(x, y)]
        for dx, dy in pairs[1:]:
            x, y = x + dx, y + dy
            decoded.append((x, y))
        assert decoded == (points if len(points) > 1 else points * 2)


def test_a_big_plot_has_the_bytes_of_a_small_one(monkeypatch: pytest.MonkeyPatch) -> None:
    device = find_device("roll-914")
    # What no tour can change: one figure of one open line, and one of a closed line after it.
    lines = (
        Stroke(Role.CUT, tuple((10.0 + i * 0.05, 10.0 + (i * 7 % 13)) for i in range(3000))),
        Stroke(Role.CUT, ((200.0, 20.0), (260.0, 20.0), (260.0, 80.0)), closed=True),
        Stroke(Role.CUT, ((300.0, 20.0),)),
    )
    sheet = Sheet("", 800.0, 400.0, (Figure("a", lines),))
    small = hpgl.plot(sheet, device)
    monkeypatch.setattr(hpgl, "BIG", 1)
    monkeypatch.setattr(hpgl, "MANY", 0)
    big = hpgl.plot(sheet, device)
    assert len(big.data) == len(small.data)
    assert big.drawn == pytest.approx(small.drawn)
    numbers = [re.findall(rb"-?\d+", data) for data in (big.data, small.data)]
    assert sorted(numbers[0]) == sorted(numbers[1])


# ---- what the device can take


def test_coordinates_stay_in_the_range_on_every_device() -> None:
    for name in PLOTTERS:
        device = find_device(name)
        for laid in sheets_for(name):
            data = hpgl.plot(laid.sheet, replace(device, language="hpgl")).data.decode("ascii")
            numbers = [int(n) for nums in re.findall(r"P[UD](-?\d[\d,-]*);", data) for n in nums.split(",")]
            assert device.least <= min(numbers) and max(numbers) <= device.most
            if device.origin == "corner":
                assert min(numbers) >= 0
            else:
                assert min(numbers) < 0


def test_a_coordinate_beyond_the_range_is_refused_before_a_byte(tmp_path: Path) -> None:
    sheet = Sheet("", 500.0, 900.0, (Figure("back", (Stroke(Role.CUT, ((10, 10), (20, 850))),)),))
    odd = replace(find_device("roll-914"), most=20_000, longest=5_000.0)
    with pytest.raises(InputError, match=r"back is .* reaches 850\.0 mm along"):
        hpgl.plot(sheet, odd)


def test_a_correction_is_on_every_point_and_told_on_the_sheet() -> None:
    device = replace(find_device("roll-914"), correction=Correction(1.01, 0.002, 0.0, 0.99))
    laid = laid_on(device, "alto 3", figures())
    (note,) = [f for one in laid for f in one.sheet.figures if f.name == "correction of the device"]
    assert note.strokes
    plain = Sheet("", 500.0, 700.0, (Figure("a", (Stroke(Role.CUT, ((100, 100), (200, 100), (200, 300)), True),)),))
    data = hpgl.plot(plain, device).data.decode()
    points = {tuple(map(int, p)) for p in re.findall(r"(\d+),(\d+)", data.split("PS")[1].split(";", 1)[1])}
    # by hand: u = 1.01 x + 0.002 y, v = 0.99 y; X = 40 v, Y = 40 (W - u), W = 1.01 * 500 + 0.002 * 700
    wide = 1.01 * 500 + 0.002 * 700
    for x, y in ((100, 100), (200, 100), (200, 300)):
        assert (round(40 * 0.99 * y), round(40 * (wide - 1.01 * x - 0.002 * y))) in points
    for one in laid:
        left, bottom, right, top = device.correction.bounds(one.sheet.width, one.sheet.height)
        assert right - left <= usable_width(device) + 1e-6 and top - bottom <= usable_length(device) + 1e-6


# ---- order


def test_pen_up_travel_is_much_less_than_in_the_sheets_order() -> None:
    for name in ("roll-914", "pen-1980s"):
        plots = [hpgl.plot(laid.sheet, find_device(name)) for laid in sheets_for(name)]
        assert sum(p.travel for p in plots) < 0.62 * sum(p.travel_as_given for p in plots)
        data = plots[0].data.decode()
        at, up = (0, 0), 0.0
        for code, numbers in re.findall(r"(P[UD])(-?\d[\d,-]*);", data):
            for x, y in re.findall(r"(-?\d+),(-?\d+)", numbers):
                to = int(x), int(y)
                up += hypot(to[0] - at[0], to[1] - at[1]) if code == "PU" else 0.0
                at = to
        assert plots[0].travel == pytest.approx(up * find_device(name).unit, rel=1e-6)


spots = st.tuples(st.integers(0, 500), st.integers(0, 500))


@given(st.lists(st.tuples(spots, spots), min_size=1, max_size=25), spots)
def test_a_tour_visits_every_run_once_and_is_no_longer_than_the_walk(
    ends: list[tuple[tuple[int, int], tuple[int, int]]], at: tuple[int, int]
) -> None:
    greedy = walk(ends, at)
    better = tour(ends, at)
    assert sorted(number for number, _ in better) == list(range(len(ends)))
    assert travel(ends, better, at) <= travel(ends, greedy, at) + 1e-6
    given_order = [(number, False) for number in range(len(ends))]
    assert travel(ends, shortened(ends, given_order, at), at) <= travel(ends, given_order, at) + 1e-6


@given(st.lists(spots, min_size=2, max_size=7, unique=True))
def test_a_short_tour_is_nearly_the_best(points: list[tuple[int, int]]) -> None:
    """Against all orders: within 25 % and 60 units (2-opt and or-opt give no more surety)."""
    from itertools import permutations

    ends = [(p, p) for p in points]
    best = min(
        travel(ends, [(number, False) for number in order], (0, 0)) for order in permutations(range(len(points)))
    )
    assert travel(ends, tour(ends, (0, 0)), (0, 0)) <= 1.25 * best + 60


# ---- the drag knife


def trailing(holder: list[XY], offset: float, facing: float) -> list[XY]:
    """The tip, stepped in 0.02 mm: it is drawn straight towards the holder and stays at its distance."""
    x, y = holder[0]
    tip = (x - offset * cos(facing), y - offset * sin(facing))
    tips = [tip]
    for (ax, ay), (bx, by) in pairwise(holder):
        steps = max(1, int(hypot(bx - ax, by - ay) / 0.02))
        for k in range(1, steps + 1):
            hx, hy = ax + (bx - ax) * k / steps, ay + (by - ay) * k / steps
            gap = hypot(hx - tip[0], hy - tip[1])
            tip = (hx + (tip[0] - hx) * offset / gap, hy + (tip[1] - hy) * offset / gap)
            tips.append(tip)
    return tips


def outline(name: str) -> list[XY]:
    (figure,) = [f for f in figures() if f.name == name]
    (cut,) = [s for s in figure.strokes if s.role is Role.CUT]
    return list(cut.points)


@pytest.mark.parametrize("name", ["front", "sleeve", "facing_back"])
@pytest.mark.parametrize("offset", [0.25, 0.5, 1.0])
def test_the_trailing_tip_stays_on_the_cut_line(name: str, offset: float) -> None:
    """Within 0.05 mm outside corners (and at corners within the offset), from a blade that faces any way before."""
    ring = outline(name)
    blade = Blade(offset, overcut=1.0, swivel_deg=20.0)
    (way,) = knife.tips(ring, blade)
    for facing in (0.0, 180.0):
        path, _ = knife.holder(way, blade, facing)
        tips = trailing(path, offset, radians(facing))
        line = shapely.LinearRing(ring)
        far = shapely.distance(shapely.points(tips[::4]), line)
        assert far.max() <= 0.05, (offset, facing, far.max())
        # and the whole line is cut
        spots = shapely.STRtree(shapely.points(tips))
        gaps = spots.query_nearest(shapely.points(samples_of([*ring, ring[0]])), return_distance=True)[1]
        assert gaps.max() <= 0.05
        # the simulation that verify uses is the same curve
        ours, _ = tip_path(path, offset, radians(facing))
        assert spots.query_nearest(shapely.points(ours), return_distance=True)[1].max() <= 0.05


def test_without_compensation_corners_would_be_lost() -> None:
    """The test above can fail: a holder that is led along the line itself leaves it at every corner."""
    ring = outline("front")
    tips = trailing([*ring, ring[0]], 0.5, 0.0)
    assert shapely.distance(shapely.points(tips), shapely.LinearRing(ring)).max() > 0.2


def test_a_tractrix_by_hand() -> None:
    # Blade square to the way, offset 1: after a way s the angle is 2 atan(exp(-s)) (tan 45° = 1).
    tips, facing = tip_path([(0.0, 0.0), (2.0, 0.0)], 1.0, radians(90))
    assert tips[0] == pytest.approx((0.0, -1.0), abs=1e-12)
    from math import atan

    assert facing == pytest.approx(2 * atan(exp(-2.0)), abs=1e-9)


def test_cuts_begin_in_the_middle_of_the_longest_straight_run() -> None:
    # a 40 × 30 mm rectangle with a bend-free point on its long side: the middle of the run of 40 mm
    ring = [(0.0, 0.0), (25.0, 0.0), (40.0, 0.0), (40.0, 30.0), (0.0, 30.0)]
    assert knife.started(ring)[0] in ((20.0, 0.0), (20.0, 30.0))
    assert shapely.Polygon(knife.started(ring)).equals(shapely.Polygon(ring))


def test_overcut_and_tabs() -> None:
    square = [(0.0, 0.0), (100.0, 0.0), (100.0, 100.0), (0.0, 100.0)]
    (way,) = knife.tips(square, Blade(0.3, overcut=2.0))
    assert shapely.LineString(way).length == pytest.approx(402.0)
    parts = knife.tips(square, Blade(0.3, tabs=4, tab_width=0.6))
    assert len(parts) == 4
    assert sum(shapely.LineString(part).length for part in parts) == pytest.approx(400 - 4 * 0.6)
    for part, after in zip(parts, [*parts[1:], parts[0]], strict=True):
        assert hypot(after[0][0] - part[-1][0], after[0][1] - part[-1][1]) == pytest.approx(0.6)
        assert min(hypot(part[-1][0] - x, part[-1][1] - y) for x, y in square) > 2.0  # away from corners


def test_a_knife_turns_in_the_waste_first_and_cuts_last() -> None:
    device = find_device("knife-600")
    (laid,) = sheets_for("knife-600")
    plot = hpgl.plot(laid.sheet, device)
    assert plot.data.startswith(b"IN;\nPU;\nSP2;\nVS15;\nPU40,40;\nPD200,40;\n\nPU;\nSP1;\nVS30;\n")
    pens = [part.pen for part in plot.parts]
    assert pens == sorted(pens)
    assert plot.data.count(b"\n\n") == len(plot.parts)


def test_a_cad_drawing_has_the_same_bytes_in_every_process() -> None:
    """Sets of words come in another order in every process, by the seed of their hashes (Python, PYTHONHASHSEED)."""
    code = (
        "from hashlib import sha256\n"
        "from oaktag.device.store import find_device\n"
        "from oaktag.export import cad\n"
        "from oaktag.sheet.strokes import Sheet\n"
        "print(sha256(cad.render(Sheet('', 100.0, 100.0, ()), find_device('knife-600'))).hexdigest())"
    )
    runs = [
        subprocess.run(
            [sys.executable, "-c", code], env={**os.environ, "PYTHONHASHSEED": seed}, capture_output=True, check=True
        )
        for seed in ("1", "4", "7")
    ]
    assert len({run.stdout for run in runs}) == 1


def test_frames_and_a_knife_do_not_go_together() -> None:
    from oaktag.device.store import read_profile
    from oaktag.errors import InputErrors

    with pytest.raises(InputErrors, match="cannot cut over a join"):
        read_profile('language = "hpgl"\nwidth = 600\nframe = 500\n[blade]\noffset = 0.2\n', "odd", "odd.toml")


# ---- sheets and panels


@given(
    st.lists(st.tuples(st.floats(20, 900), st.floats(20, 1500)), min_size=1, max_size=12),
    st.floats(300, 1000),
    st.one_of(st.none(), st.floats(300, 1400)),
)
@settings(deadline=None)
def test_any_boxes_on_any_sheets_neither_overlap_nor_leave_them(
    sizes: list[tuple[float, float]], width: float, length: float | None
) -> None:
    most = length or 1e9
    sizes = [(w, h) for w, h in sizes if min(w, h) <= min(width, most) and max(w, h) <= max(width, most)] or [(50, 50)]
    boxes = [
        Figure(f"p{i}", (Stroke(Role.CUT, ((0, 0), (w, 0), (w, h), (0, h)), True),)) for i, (w, h) in enumerate(sizes)
    ]
    sheets = [layout.sheet() for layout in packed_on_sheets("", boxes, width, length)]
    placed = [(n, f) for n, sheet in enumerate(sheets) for f in sheet.figures]
    assert sorted(f.name for _, f in placed) == sorted(f.name for f in boxes)
    for i, (n, a) in enumerate(placed):
        box = a.bounds()
        assert box.left >= -1e-6 and box.bottom >= -1e-6
        assert box.right <= width + 1e-6 and box.top <= min(most, sheets[n].height) + 1e-6
        for m, b in placed[:i]:
            other = b.bounds()
            apart = max(box.left - other.right, other.left - box.right, box.bottom - other.top, other.bottom - box.top)
            assert n != m or apart >= 10 - 1e-6


def test_pieces_lie_closer_than_in_one_order_upright() -> None:
    from oaktag.sheet.arrange import arrange

    one = arrange("", [*figures()], 904.0)
    best = [layout.sheet() for layout in packed_on_sheets("", [*figures()], 904.0)]
    assert len(best) == 1 and best[0].height <= one.height


@pytest.mark.parametrize("room", [(567.0, 793.0), (271.0, 398.0), (817.0, 817.0), (290.0, 590.0)])
def test_panels_make_the_piece_again(room: tuple[float, float]) -> None:
    """All panels laid on each other's strips are the piece, and no more; each fits, and has its register marks."""
    split = 0
    for figure in figures():
        panels = panels_of(figure, [room])
        if not panels:
            box = figure.bounds()
            assert min(box.width, box.height) <= min(room) and max(box.width, box.height) <= max(room)
            continue
        split += 1
        (whole,) = [shapely.Polygon(s.points) for s in figure.strokes if s.role is Role.CUT]
        parts = [
            shapely.Polygon(s.points)
            for panel in panels
            for s in panel.figure.strokes
            if s.role is Role.CUT and s.closed
        ]
        assert shapely.union_all(parts).symmetric_difference(whole).area < 0.5
        assert sum(part.area for part in parts) > whole.area  # strips are there twice
        crosses: dict[tuple[float, float], int] = {}
        for panel in panels:
            box = panel.figure.bounds()
            assert min(box.width, box.height) <= min(room) + 1e-6 and max(box.width, box.height) <= max(room) + 1e-6
            joins = [shapely.LineString(s.points) for s in panel.figure.strokes if s.role is Role.JOIN]
            assert joins
            marks = {
                (round(p.x, 3), round(p.y, 3))
                for i, a in enumerate(joins)
                for b in joins[:i]
                if (p := a.intersection(b)).geom_type == "Point" and max(a.length, b.length) < 13
            }
            for mark in marks:
                crosses[mark] = crosses.get(mark, 0) + 1
        # a cross on a join is on the panels at both its sides
        assert crosses and sum(count >= 2 for count in crosses.values()) >= 0.9 * len(crosses)
    assert split


# ---- CAD drawings and cutting SVG


@pytest.mark.parametrize("name", ["laser-900x600", "knife-1600x1200"])
def test_a_cad_drawing_has_units_layers_and_no_fault(name: str, tmp_path: Path) -> None:
    import ezdxf

    device = find_device(name)
    for laid in sheets_for(name):
        path = tmp_path / "x.dxf"
        path.write_bytes(cad.render(laid.sheet, device))
        assert path.read_bytes() == cad.render(laid.sheet, device)  # no dates, no chance
        document = ezdxf.readfile(path)
        assert document.dxfversion == "AC1024"  # R2010
        assert document.header["$INSUNITS"] == 4  # mm
        assert not document.audit().errors
        layers = {layer.dxf.name: layer for layer in document.layers}
        looks = {(layers[name].dxf.color, layers[name].dxf.linetype.upper()) for name, _, _ in cad.LAYERS.values()}
        assert layers["CUT"].dxf.color == 1 and len(looks) >= 8
        kinds = {entity.dxf.layer for entity in document.modelspace()}
        assert {"CUT", "TEXT"} <= kinds <= set(layers)
        order = [e.dxf.layer for e in document.modelspace()]
        first = order.index("CUT")
        assert "TEXT" in order[:first] or "SCALE" in order[:first]  # marks are made before the first cut


def test_kerf_is_half_all_round() -> None:
    device = find_device("laser-900x600")
    (laid, *_) = sheets_for("laser-900x600")
    meant = [s for f in laid.sheet.figures for s in f.strokes if s.role is Role.CUT]
    drawn = [s for s in cad.as_run(laid.sheet, device) if s.role is Role.CUT]
    assert len(meant) == len(drawn) > 0
    for stroke in drawn:
        grown = shapely.Polygon(stroke.points)
        own = next(shapely.Polygon(m.points) for m in meant if grown.contains(shapely.Polygon(m.points)))
        wanted = own.buffer(0.1, join_style="mitre", mitre_limit=10)
        assert grown.symmetric_difference(wanted).area < 0.02 * own.length * 0.1 + 0.05


def test_marks_and_cuts_are_apart_in_svg(tmp_path: Path) -> None:
    import xml.etree.ElementTree as ET

    device = find_device("laser-600x300")
    for laid in sheets_for("laser-600x300"):
        root = ET.fromstring(cuts_svg.render(laid.sheet, device))
        groups = {g.get("id"): g for g in root if g.tag.endswith("}g")}
        assert list(groups) == ["marks", "cuts"]
        assert groups["cuts"].get("stroke") != groups["marks"].get("stroke")
        assert {p.get("class") for p in groups["cuts"]} <= {"cut-line", "notches"}
        assert not {"cut-line", "notches"} & {p.get("class") for p in groups["marks"]}
        assert root.get("width", "").endswith("mm") and float(root.get("width", "0mm")[:-2]) <= 290.0


# ---- the whole line: made, read back, and measured with what was done for the device undone


@pytest.mark.parametrize("name", [*PLOTTERS, "laser-900x600", "laser-600x300"])
def test_verify_undoes_what_was_done_for_the_device(name: str, tmp_path: Path) -> None:
    job = load_job(ROOT / "fixtures/choir/alto-3.toml")
    device = replace(find_device(name), correction=Correction(1.004, 0.0021, 0.0, 0.9985))
    form = {"cad": "cad", "svg": "cuts"}.get(device.language, "hpgl")
    result = make(replace(job, output=replace(job.output, profile=device)), only=("json", form))
    for file, data in result.files.items():
        (tmp_path / file).write_bytes(data)
    rows = verify(tmp_path)
    assert [row.message for row in rows if not row.passed] == []
    names = {row.what.split(":")[0].split(",")[0] for row in rows}
    assert {"front", "back", "sleeve", "facing_front", "facing_back"} <= names
    assert any("corrected for" in note for note in result.notes)


def test_verify_sees_a_plot_that_was_not_corrected(tmp_path: Path) -> None:
    job = load_job(ROOT / "fixtures/choir/alto-3.toml")
    device = find_device("roll-914")
    asked = replace(job, output=replace(job.output, profile=replace(device, correction=Correction(1.004, 0, 0, 1.0))))
    told = make(asked, only=("json", "hpgl")).files["pattern.json"]
    plain = make(job, only=("json", "hpgl")).files["pattern.plt"]
    (tmp_path / "pattern.json").write_bytes(told)
    (tmp_path / "pattern.plt").write_bytes(plain)
    assert not all(row.passed for row in verify(tmp_path))


def test_sizes_on_each_other_are_not_cut() -> None:
    stacked = Figure("front", tuple(replace(s, size="12") for s in figures()[0].strokes))
    with pytest.raises(InputError, match="the sizes lie on each other"):
        laid_on(find_device("knife-600"), "", [stacked])


def test_a_device_too_small_for_the_scale_block_is_refused() -> None:
    with pytest.raises(InputError, match="for the scale block"):
        laid_on(DeviceProfile("stamp", "a stamp", 120.0, length=200.0), "", figures())


def test_a_sample_sheet_turns_with_the_axis() -> None:
    sheet = sample_sheet()
    device = replace(find_device("roll-1067"), axis="across")
    data = hpgl.plot(sheet, device).data.decode()
    xs = [int(x) for x in re.findall(r"PU(\d+),\d+;", data)]
    assert max(xs) <= sheet.width * 40 + 1


def test_angles_are_told_in_degrees() -> None:
    path, facing = knife.holder([(0.0, 0.0), (10.0, 0.0), (10.0, 10.0)], Blade(0.5), 0.0)
    assert facing == pytest.approx(90.0)
    assert degrees(atan2(path[-1][1] - path[-2][1], path[-1][0] - path[-2][0])) == pytest.approx(90.0)
