"""The plot, decoded by a little reader written from the language's description, and by hp2xx where it is installed."""

from __future__ import annotations

import re
import shutil
import subprocess
import tempfile
from dataclasses import replace
from functools import cache
from itertools import groupby, pairwise
from math import hypot
from pathlib import Path

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from oaktag.device.profile import ROLES, DeviceProfile, usable_length, usable_width
from oaktag.device.store import find_device, shipped_names
from oaktag.errors import InputError
from oaktag.export import hpgl
from oaktag.export.svg import STYLES
from oaktag.sheet.strokes import Figure, Role, Sheet, Stroke
from samples import sample_sheet, scale_figure

TOLERANCE = 0.06
"""Outline read back from HP-GL, mm (the project's tolerance; the language's unit is 0.025 mm)."""
STEP = 0.025 / 2 + 1e-9
"""Half a plotter unit, mm."""
WIDE = find_device("roll-1067")

Line = list[tuple[int, int]]


@cache
def written() -> bytes:
    return hpgl.render(sample_sheet(), WIDE)


def commands(data: bytes) -> list[tuple[str, list[int]]]:
    text = data.decode("ascii")
    parts = [part.strip() for part in text.split(";")]
    assert parts.pop() == ""
    found = []
    for part in parts:
        match = re.fullmatch(r"([A-Z]{2})(-?\d+(?:,-?\d+)*)?", part)
        assert match, part
        found.append((match[1], [int(n) for n in match[2].split(",")] if match[2] else []))
    return found


def runs(data: bytes) -> list[tuple[int, Line]]:
    """(pen, points) of every pen-down run, absolute plotter units."""
    drawn: list[tuple[int, Line]] = []
    pen, at, down = 0, (0, 0), False
    for name, numbers in commands(data):
        if name == "SP":
            assert not down
            pen = numbers[0] if numbers else 0
        if name in ("PU", "PD"):
            points = list(zip(numbers[::2], numbers[1::2], strict=True))
            if name == "PU":
                down = False
            elif not down:
                down = True
                drawn.append((pen, [at]))
            if down:
                drawn[-1][1].extend(points)
            at = points[-1] if points else at
    return drawn


def on_sheet(line: Line, sheet: Sheet) -> list[tuple[float, float]]:
    """Back from X along the roll, Y across it, to the sheet's mm."""
    return [(sheet.width - y / 40, x / 40) for x, y in line]


def sheet_of(*strokes: Stroke, width: float = 500.0, height: float = 700.0, name: str = "front") -> Sheet:
    return Sheet("", width, height, (Figure(name, strokes),))


def test_every_role_has_a_pen() -> None:
    assert {role.name.lower() for role in Role} == set(ROLES)
    assert {WIDE.pen(role) for role in ROLES} == {1, 2}


def test_the_stream_is_as_plain_as_it_gets() -> None:
    data = written()
    assert data == hpgl.render(sample_sheet(), WIDE)
    names = [name for name, _ in commands(data)]
    assert data.startswith(b"IN;") and names.count("IN") == 1
    # 958.337… mm and 664.950… mm, up to the next whole unit, along the roll first.
    sheet = sample_sheet()
    assert commands(data)[1] == ("PS", [int(sheet.height * 40) + 1, int(sheet.width * 40) + 1])
    assert data.endswith(b"PU;\nSP0;\nPG;")
    assert set(names) == {"IN", "PS", "PU", "SP", "PD", "PG"}
    for before, (name, _) in pairwise(commands(data)):
        if name == "SP":
            assert before == ("PU", [])
    assert all(len(line) < 200 for line in data.split(b"\n"))
    assert all(line.count(b";") == 1 for line in data.split(b"\n") if line)
    assert max(len(numbers) for _, numbers in commands(data)) <= 200


def test_old_devices_get_neither_page_size_nor_page_feed_nor_a_second_pen() -> None:
    device = find_device("roll-900-16bit")
    data = hpgl.render(Sheet("", 120.0, 120.0, (scale_figure(),)), device)
    assert data.startswith(b"IN;\n\nPU;\nSP1;\n") and data.endswith(b"PU;\nSP0;")
    narrow = sheet_of(Stroke(Role.STITCH, ((10, 10), (20, 20))), Stroke(Role.CUT, ((10, 10), (30, 20))))
    assert {pen for pen, _ in runs(hpgl.render(narrow, device))} == {1}


def test_a_100_mm_square_is_4000_units_and_turned_not_mirrored() -> None:
    # By hand: an L at (10, 30), (10, 10), (20, 10) on a sheet 50 mm wide; X = 40 y, Y = 40 (50 - x).
    ell = Stroke(Role.LABEL, ((10, 30), (10, 10), (20, 10)))
    data = hpgl.render(sheet_of(ell, width=50.0, height=60.0), find_device("roll-610"))
    ((pen, line),) = runs(data)
    assert pen == 1
    assert line in ([(1200, 1600), (400, 1600), (400, 1200)], [(400, 1200), (400, 1600), (1200, 1600)])

    square = runs(hpgl.render(Sheet("", 120.0, 120.0, (scale_figure(),)), WIDE))
    sides = {
        abs(x1 - x0) + abs(y1 - y0) for _, line in square if len(line) == 5 for (x0, y0), (x1, y1) in pairwise(line)
    }
    assert sides == {4000}


def test_every_solid_stroke_is_drawn_once_within_half_a_unit() -> None:
    sheet = sample_sheet()
    drawn = [on_sheet(line, sheet) for _, line in runs(written())]
    strokes = [stroke for figure in sheet.figures for stroke in figure.strokes]
    for stroke in strokes:
        if STYLES[stroke.role].dashes:
            continue
        points = list(stroke.points)
        for line in drawn:
            # a closed line may begin at any of its points
            if stroke.closed and line[0] == line[-1] and len(line) == len(points) + 1:
                ways = [line[k:-1] + line[:k] for k in range(len(points))]
                ways += [way[::-1] for way in ways]
            elif not stroke.closed and len(line) == len(points):
                ways = [line, line[::-1]]
            else:
                continue
            if any(
                all(abs(x - ex) <= STEP and abs(y - ey) <= STEP for (x, y), (ex, ey) in zip(way, points, strict=True))
                for way in ways
            ):
                drawn.remove(line)
                break
        else:
            pytest.fail(f"{stroke.role} at {stroke.points[0]} was not drawn")
    dashed = [s for s in strokes if STYLES[s.role].dashes]
    shapes = [shapely.LinearRing(s.points) if s.closed else shapely.LineString(s.points) for s in dashed]
    for line in drawn:
        assert any(shape.buffer(2 * STEP).contains(shapely.LineString(line)) for shape in shapes), line
    left = shapely.union_all([shapely.LineString(line) for line in drawn])
    for stroke, shape in zip(dashed, shapes, strict=True):
        part = shape.intersection(left.buffer(2 * STEP)).length / shape.length
        assert 0.35 < part <= 1.0, stroke.role  # the sparest pattern draws 0.8 of 2 mm
        for corner in (stroke.points[0], stroke.points[-1]):
            assert left.distance(shapely.Point(corner)) <= 2 * STEP


def drawn_along(stretches: list[tuple[float, float]], *, upright: bool) -> float:
    """How much of one straight line the pen goes over, units, where lines of several sizes lie on it."""
    strokes = [
        Stroke(Role.STITCH, ((100.0, a), (100.0, b)) if upright else ((a, 100.0), (b, 100.0)), False, str(i), ())
        for i, (a, b) in enumerate(stretches)
    ]
    drawn = runs(hpgl.render(sheet_of(*strokes), WIDE))
    return sum(hypot(bx - ax, by - ay) for _, line in drawn for (ax, ay), (bx, by) in pairwise(line))


@pytest.mark.parametrize("upright", [True, False])
@pytest.mark.parametrize(
    ("stretches", "union"),
    [
        ([(10, 20), (30, 40), (0, 50)], 50),  # two stretches apart, then a line over both
        ([(10, 20), (30, 40), (50, 0)], 50),  # the same drawn the other way
        ([(10, 20), (30, 40), (15, 35)], 30),  # from the middle of one to the middle of the other
        ([(10, 20), (30, 40), (12, 18)], 20),  # within one
        ([(30, 40), (10, 20), (20, 30)], 30),  # what lies between them
        ([(0, 50), (10, 20), (60, 45)], 60),
        ([(10, 20), (40, 30), (50, 60), (5, 55)], 55),
    ],
)
def test_a_straight_line_that_sizes_share_is_drawn_once(
    stretches: list[tuple[float, float]], union: float, upright: bool
) -> None:
    assert drawn_along(stretches, upright=upright) == 40 * union


@given(st.lists(st.tuples(st.integers(0, 30), st.integers(0, 30)), min_size=2, max_size=7), st.booleans())
def test_any_stretches_of_a_line_are_drawn_once(stretches: list[tuple[int, int]], upright: bool) -> None:
    lines = [(a * 10.0, b * 10.0) for a, b in stretches if a != b]
    cells = {cell for a, b in stretches for cell in range(min(a, b), max(a, b))}
    assert drawn_along(lines, upright=upright) == pytest.approx(400 * len(cells))


def test_marks_come_before_notches_and_cut_lines_last_piece_after_piece() -> None:
    sheet = sample_sheet()
    roles = {
        frozenset((round(y * 40), round((sheet.width - x) * 40)) for x, y in stroke.points): (figure.name, stroke.role)
        for figure in sheet.figures
        for stroke in figure.strokes
    }
    found = [(pen, roles.get(frozenset(line))) for pen, line in runs(written())]
    pens = [pen for pen, _ in found]
    assert pens == sorted(pens, reverse=True)
    known = [each for pen, each in found if each is not None and pen == 1]
    names = [name for name, _ in groupby(name for name, _ in known)]
    assert len(names) == len(set(names)) == 4  # one piece after the other, and the scale block
    for piece in set(names):
        kinds = [role for name, role in known if name == piece]
        order = [0 if role not in (Role.NOTCH, Role.CUT) else 1 if role is Role.NOTCH else 2 for role in kinds]
        assert order == sorted(order)
    assert sum(role is Role.CUT for _, role in known) == 3
    assert sum(role is Role.NOTCH for _, role in known) == 6


def test_travel_is_less_than_in_the_order_given() -> None:
    """A row of dashes given from right to left and each the wrong way round: the walk turns them."""
    dashes = [Stroke(Role.LABEL, ((x + 5.0, 20.0), (x, 20.0))) for x in range(400, 20, -10)]
    sheet = sheet_of(*dashes[::2], *dashes[1::2])
    drawn = [line for _, line in runs(hpgl.render(sheet, WIDE))]
    travel = sum(hypot(b[0][0] - a[-1][0], b[0][1] - a[-1][1]) for a, b in pairwise(drawn)) / 40
    assert travel == pytest.approx(37 * 5.0)  # 38 dashes, 5 mm from each to the next


def test_a_dot_is_a_dot_and_an_empty_sheet_is_empty() -> None:
    data = hpgl.render(sheet_of(Stroke(Role.DRILL, ((10.0, 10.0),)), width=50.0, height=60.0), WIDE)
    assert runs(data) == [(1, [(400, 1600), (400, 1600)])]
    assert hpgl.render(Sheet("", 50.0, 60.0, ()), WIDE) == b"IN;\nPS2400,2000;\nPU;\nSP0;\nPG;"


def test_long_contours_are_sent_in_short_commands() -> None:
    zigzag = Stroke(Role.CUT, tuple((10.0 + i % 2, 10.0 + i / 10) for i in range(5000)), closed=True)
    data = hpgl.render(sheet_of(zigzag), WIDE)
    ((_, line),) = runs(data)
    assert len(line) == 5001 and line[0] == line[-1]
    assert max(len(row) for row in data.split(b"\n")) < 200


# What does not fit is refused before a byte is made ---------------------------------------------------------------


@pytest.mark.parametrize(
    ("device", "words"),
    [
        ("roll-914", ["front is 950.0 mm across the roll", "at most 904.0 mm across", "roll-914", '"roll-1067"']),
        # 950 mm is 38,000 units; 16 bits end at 32,767 = 819.175 mm
        ("roll-900-16bit", ["reaches 960.0 mm across", "at most 819.2 mm", "32,767", '"roll-1067"']),
    ],
)
def test_too_wide_is_refused_with_what_to_choose(device: str, words: list[str]) -> None:
    sheet = sheet_of(Stroke(Role.CUT, ((10, 10), (960, 10), (960, 300)), closed=True), width=970.0)
    with pytest.raises(InputError) as caught:
        hpgl.render(sheet, find_device(device))
    assert not [each for each in words if each not in str(caught.value)], str(caught.value)
    assert hpgl.render(sheet, find_device("roll-1067"))


def test_too_long_for_16_bits_is_refused() -> None:
    sheet = sheet_of(Stroke(Role.CUT, ((10, 10), (100, 10), (100, 819.2)), closed=True), height=900.0, name="back")
    with pytest.raises(
        InputError, match=r"back is 90\.0 mm across the roll and 809\.2 mm along it, and reaches 819\.2"
    ):
        hpgl.render(sheet, find_device("roll-900-16bit"))
    fits = sheet_of(Stroke(Role.CUT, ((10, 10), (100, 10), (100, 819.17)), closed=True), height=900.0)
    assert max(x for _, line in runs(hpgl.render(fits, find_device("roll-900-16bit"))) for x, _ in line) == 32_767


def test_beyond_every_roll_and_off_the_sheet() -> None:
    vast = sheet_of(Stroke(Role.CUT, ((10, 10), (2500, 10))), width=2600.0)
    with pytest.raises(InputError, match=r"No device that Oaktag knows is that large; lay the pieces for 1820 mm"):
        hpgl.render(vast, find_device("roll-1830"))
    for stroke in (((-1, 10), (20, 10)), ((10, -1), (20, 10)), ((10, 10), (501, 10)), ((10, 10), (10, 701))):
        with pytest.raises(InputError, match=r"front is .* outside the sheet of 500\.0 by 700\.0 mm"):
            hpgl.render(sheet_of(Stroke(Role.CUT, stroke)), find_device("roll-610"))


def test_devices_say_what_they_take() -> None:
    for name in shipped_names():
        profile = find_device(name)
        assert profile.name == name
        assert str(round(profile.width)) in profile.words or "A0" in profile.words or profile.language == "pdf"
        assert 0 < usable_width(profile) < profile.width
        assert usable_length(profile) > 0
    widths = [find_device(f"roll-{width}").width for width in (610, 914, 1067, 1524, 1830)]
    # 24, 36, 42, 60 and 72 in
    assert all(abs(width - inches * 25.4) < 1.3 for width, inches in zip(widths, (24, 36, 42, 60, 72), strict=True))
    flat = DeviceProfile("flat", "a bed", 600.0, length=900.0, side=10.0, start=10.0, end=10.0)
    assert (usable_width(flat), usable_length(flat)) == (580.0, 880.0)


@given(
    st.lists(
        st.lists(st.tuples(st.floats(0, 500), st.floats(0, 700)), min_size=1, max_size=30),
        min_size=1,
        max_size=25,
    ),
    st.booleans(),
)
def test_any_drawing_stays_whole(lines: list[list[tuple[float, float]]], closed: bool) -> None:
    sheet = sheet_of(*(Stroke(Role.CUT, tuple(line), closed) for line in lines))
    data = hpgl.render(sheet, find_device("roll-610"))
    drawn = [line for _, line in runs(data)]
    assert len(drawn) == len(lines)
    assert all(0 <= x <= 28_000 and 0 <= y <= 20_000 for line in drawn for x, y in line)
    meant = {(round(y * 40), round((500 - x) * 40)) for line in lines for x, y in line}
    assert {p for line in drawn for p in line} == meant


@given(st.lists(st.lists(st.tuples(st.integers(0, 60), st.integers(0, 60)), min_size=2, max_size=3), max_size=30))
def test_the_walk_is_greedy_against_a_slow_one(lines: list[list[tuple[int, int]]]) -> None:
    """Each step goes to an end that is as near as any that a plain search over all of them finds."""
    left = [list(line) for line in lines]
    x, y = 30, 30
    for run in hpgl.in_order(lines, (x, y)):
        ends = [line[0] for line in left] + [line[-1] for line in left if line[0] != line[-1]]
        assert hypot(run[0][0] - x, run[0][1] - y) == min(hypot(ex - x, ey - y) for ex, ey in ends)
        left.remove(run if run in left else run[::-1])
        x, y = run[-1]
    assert left == []


def test_a_narrower_unit_is_the_devices_own() -> None:
    # 0.02 mm: 50 units a millimetre, by hand
    fine = replace(WIDE, unit=0.02)
    ((_, line),) = runs(hpgl.render(sheet_of(Stroke(Role.CUT, ((10, 10), (20, 10))), width=50.0), fine))
    assert sorted(line) == [(500, 1500), (500, 2000)]


@pytest.mark.skipif(shutil.which("hp2xx") is None, reason="hp2xx is not installed")
def test_hp2xx_draws_it_at_true_size() -> None:
    with tempfile.TemporaryDirectory() as place:
        plot, picture = Path(place) / "in.plt", Path(place) / "out.svg"
        plot.write_bytes(written())
        subprocess.run(["hp2xx", "-q", "-t", "-m", "svg", "-f", str(picture), str(plot)], check=True, timeout=60)
        text = picture.read_text("latin-1")
    # Points of 1/72 in, y down, from the drawing's own corner.
    paths = [
        [(float(x) * 25.4 / 72, float(y) * 25.4 / 72) for x, y in re.findall(r"[ML] (-?[\d.]+), (-?[\d.]+)", path)]
        for path in re.findall(r'<path d="([^"]*)"', text)
    ]
    points = [p for path in paths for p in path]
    along = max(x for x, _ in points) - min(x for x, _ in points)
    across = max(y for _, y in points) - min(y for _, y in points)
    strokes = [p for figure in sample_sheet().figures for stroke in figure.strokes for p in stroke.points]
    assert along == pytest.approx(max(y for _, y in strokes) - min(y for _, y in strokes), abs=TOLERANCE)
    assert across == pytest.approx(max(x for x, _ in strokes) - min(x for x, _ in strokes), abs=TOLERANCE)
    squares = [path for path in paths if len(path) == 5]
    sides = [[hypot(q[0] - p[0], q[1] - p[1]) for p, q in pairwise(path)] for path in squares]
    assert any(all(abs(side - 100.0) <= TOLERANCE for side in each) for each in sides)
