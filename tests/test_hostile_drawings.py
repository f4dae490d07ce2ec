"""Drawings that mean no good: read, or refused with a reason, in bounded time and memory; work counted, not points.

The drawings are a tester's, written anew by the functions below. No test looks at a clock: a child that uses more than
its seconds of processor time is ended by the system, which is the only guard against hanging.
"""

from __future__ import annotations

import math
import random
import shutil
import subprocess
import sys
from collections.abc import Callable, Sequence
from io import StringIO
from pathlib import Path
from typing import Any

import ezdxf
import numpy as np
import pytest
import shapely
from click.testing import CliRunner

from oaktag.cli.finish import command as finish
from oaktag.errors import InputError, InputErrors
from oaktag.geometry.curve import Cubic, Line
from oaktag.geometry.path import Path as Curves
from oaktag.geometry.path import flatten
from oaktag.geometry.point import XY, Point
from oaktag.intake.cad import Told, read_cad
from oaktag.intake.clean import outlines_of
from oaktag.intake.limits import MOST_WORK, PAIR, POINT, Budget
from oaktag.intake.loops import flat_ring, meetings, untangled
from oaktag.intake.model import Drawing, DrawnPath, Outlines
from oaktag.intake.plan import Lines, Plan, Reading
from oaktag.intake.read import parse_drawing
from oaktag.intake.take_in import taken_in
from wardrobe import FIXTURES

SECONDS = 20
"""Of processor time, after which a child is ended: twice what is aimed at, for machines that are slow or busy."""
MOST_MB = 500

HEAD = '<svg xmlns="http://www.w3.org/2000/svg" width="300mm" height="300mm" viewBox="0 0 300 300">'


def svg(body: str) -> str:
    return f"{HEAD}{body}</svg>"


def curls(count: int) -> str:
    """Each curve crosses itself and its neighbours."""
    return svg('<path d="M0 0' + "c1 9 9 1 1 1" * count + 'z"/>')


def scribble(count: int) -> str:
    at = random.Random(1).uniform
    return svg('<path d="M' + "L".join(f"{at(0, 300):.2f} {at(0, 300):.2f}" for _ in range(count)) + 'z"/>')


def squares(count: int) -> str:
    return svg("".join(f'<path d="M{i % 200} {i // 200}h.9v.9h-.9z"/>' for i in range(count)))


def nested(count: int) -> str:
    return svg(
        "".join(
            f'<rect x="{i * 0.07}" y="{i * 0.07}" width="{300 - i * 0.14}" height="{300 - i * 0.14}"/>'
            for i in range(count)
        )
    )


def star(count: int) -> str:
    """Lines from one point to anywhere."""
    at = random.Random(1).uniform
    return svg("".join(f'<line x1="150" y1="150" x2="{at(0, 300):.2f}" y2="{at(0, 300):.2f}"/>' for _ in range(count)))


def hatched(count: int) -> str:
    """A piece with short lines all over it."""
    at = random.Random(1).uniform
    rows = (f'<path d="M{at(5, 290):.2f} {at(5, 290):.2f}l3 2"/>' for _ in range(count))
    return svg('<rect x="1" y="1" width="298" height="298"/>' + "".join(rows))


def dxf(entities: str, blocks: str = "") -> str:
    header = "0\nSECTION\n2\nHEADER\n9\n$ACADVER\n1\nAC1009\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n"
    blocks = f"0\nSECTION\n2\nBLOCKS\n{blocks}0\nENDSEC\n" if blocks else ""
    return f"{header}{blocks}0\nSECTION\n2\nENTITIES\n{entities}0\nENDSEC\n0\nEOF\n"


def old_polyline(points: Sequence[XY], bulge: float = 0.0, head: str = "", vertex: str = "") -> str:
    rows = "".join(
        f"0\nVERTEX\n8\n0\n10\n{x:.4f}\n20\n{y:.4f}\n{vertex}" + (f"42\n{bulge}\n" if bulge else "") for x, y in points
    )
    return f"0\nPOLYLINE\n8\n0\n66\n1\n70\n1\n{head}{rows}0\nSEQEND\n8\n0\n"


def circle(count: int, radius: float = 200.0) -> list[XY]:
    turns = [2 * math.pi * i / count for i in range(count)]
    return [(radius * math.cos(t), radius * math.sin(t)) for t in turns]


def empty_nest() -> str:
    """40^9 copies of nothing."""
    insert = "0\nINSERT\n8\n0\n2\nB{}\n10\n0\n20\n0\n"
    block = "0\nBLOCK\n8\n0\n2\nB{}\n70\n0\n10\n0\n20\n0\n{}0\nENDBLK\n8\n0\n"
    blocks = block.format(0, "") + "".join(block.format(i, insert.format(i - 1) * 40) for i in range(1, 10))
    return dxf(insert.format(9) + old_polyline(circle(4)), blocks)


def lines_anywhere(count: int) -> str:
    at = random.Random(1).uniform
    row = "0\nLINE\n8\n0\n10\n{:.2f}\n20\n{:.2f}\n11\n{:.2f}\n21\n{:.2f}\n"
    return dxf("".join(row.format(*(at(0, 300) for _ in range(4))) for _ in range(count)))


FILES: dict[str, tuple[Callable[[], str], str]] = {
    "curls.svg": (lambda: curls(3_000), ""),
    "curves.svg": (lambda: curls(150_000), "chords of its curves"),
    "scribble.svg": (lambda: scribble(3_000), "crosses or touches itself"),
    "long-scribble.svg": (lambda: scribble(20_000), "places where outlines cross themselves"),
    "squares.svg": (lambda: squares(20_000), "20,000 outlines of pieces"),
    "nested.svg": (lambda: nested(2_000), ""),
    "star.svg": (lambda: star(40_000), "too much to be worked through"),
    "hatched.svg": (lambda: hatched(4_000), ""),
    "bulges.dxf": (lambda: dxf(old_polyline(circle(30_000), 1e-3)), ""),
    "vertices.dxf": (lambda: dxf(old_polyline(circle(950_000))), "lines of DXF text"),
    "empty-nest.dxf": (empty_nest, "more than 200,000 elements"),
    "lines.dxf": (lambda: lines_anywhere(120_000), "too much to be worked through"),
}
"""Each drawing, and what it is refused with; those that are read come with nothing."""


MEASURED = """
import pathlib, resource, subprocess, sys
seconds = int(sys.argv[1])
resource.setrlimit(resource.RLIMIT_CPU, (seconds, seconds + 1))
code = subprocess.run(sys.argv[2:]).returncode
pathlib.Path("peak").write_text(str(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss))
sys.exit(code if code >= 0 else 99)
"""
"""Runs a command within so many seconds of processor time and writes its peak of memory, KB, into `peak`. A process of
its own, since a child's peak begins with that of whoever started it."""


@pytest.mark.parametrize("name", FILES)
def test_a_hostile_drawing_is_read_or_refused_soon(name: str, tmp_path: Path) -> None:
    draw, refused = FILES[name]
    (tmp_path / name).write_text(draw(), encoding="utf-8")
    finish = [sys.executable, "-m", "oaktag", "finish", name, "-o", "out", "--only", "json"]
    run = subprocess.run(
        [sys.executable, "-c", MEASURED, str(SECONDS), *finish], cwd=tmp_path, capture_output=True, text=True
    )
    words = run.stdout + run.stderr
    assert run.returncode in ((2,) if refused else (0, 1)), words[-2_000:]
    assert "Traceback" not in words
    assert int((tmp_path / "peak").read_text()) / 1024 < MOST_MB
    if refused:
        assert refused in words
        assert words.startswith(name)
        assert len(words) < 600 and words.count("\n") == 1, words
        assert not (tmp_path / "out").exists()


# --- what is worked with in place of loops: judged by shapely, and by counting ---


def ragged(count: int, by: float, seed: int) -> list[XY]:
    at = random.Random(seed).uniform
    return [(200 * x + at(-by, by), 300 * y + at(-by, by)) for x, y in circle(count, 1.0)]


def closed(points: Sequence[XY]) -> Curves:
    return tuple(Line(Point(*a), Point(*b)) for a, b in zip(points, [*points[1:], points[0]], strict=True))


@pytest.mark.parametrize("seed", range(8))
def test_all_meetings_of_a_ring_with_itself_are_found(seed: int) -> None:
    """As many as there are pairs of sides, not neighbours, of which shapely says that they meet; each where it says."""
    ring = ragged(70, 30.0, seed)
    sides = [shapely.LineString([a, b]) for a, b in zip(ring, [*ring[1:], ring[0]], strict=True)]
    n = len(sides)
    pairs = [(i, k) for i in range(n) for k in range(i + 2, n) if (i, k) != (0, n - 1)]
    expected = [(i, k) for i, k in pairs if sides[i].intersects(sides[k])]
    budget = Budget("ring")
    found = meetings(ring, budget)
    assert sorted(zip(found.first.astype(int).tolist(), found.second.astype(int).tolist(), strict=True)) == expected
    for at, i, k in zip(found.at, found.first.astype(int), found.second.astype(int), strict=True):
        assert shapely.intersection(sides[i], sides[k]).distance(shapely.Point(at)) < 1e-9
    assert len(expected) <= budget.done[PAIR] <= len(pairs)


def test_sides_on_one_line_meet_as_well() -> None:
    """A square with a slit whose two sides run in one place for 10 mm, other than end to end."""
    ring = [(0.0, 0.0), (50.0, 0.0), (50.0, 30.0), (50.0, 0.0), (60.0, -20.0), (60.0, 50.0), (0.0, 50.0)]
    found = meetings([*ring[:2], (50.0, 20.0), (55.0, 30.0), (50.0, 15.0), (50.0, 10.0), *ring[4:]], Budget("slit"))
    assert {(int(i), int(k)) for i, k in zip(found.first, found.second, strict=True)} >= {(1, 4)}


@pytest.mark.parametrize("seed", range(12))
def test_loops_are_cut_off_until_the_outline_is_simple(seed: int) -> None:
    """Nothing is left of the loops, and no more is gone than they and what lay doubly within them."""
    rng = random.Random(seed)
    points = ragged(rng.choice((20, 60, 150, 400)), rng.choice((1.0, 4.0, 6.0)), seed)
    found = untangled(closed(points))
    if found.large is not None:
        pytest.skip("too large a loop, which is refused")
    ring = flat_ring(found.path)[0]
    assert shapely.LinearRing(ring).is_simple
    assert all(a.end == b.start for a, b in zip(found.path, [*found.path[1:], found.path[0]], strict=True))
    before = np.array(points)
    after = np.roll(before, -1, axis=0)
    signed = float((before[:, 0] * after[:, 1] - after[:, 0] * before[:, 1]).sum() / 2)
    assert abs(abs(shapely.Polygon(ring).area) - abs(signed)) <= sum(loop.size for loop in found.loops) + 1e-6


def test_thousands_of_loops_are_cut_off_in_one_go() -> None:
    """A row of 3,000 curls: each is a small loop. Its points are gone through a few times, not once for each loop."""
    path = parse_drawing(curls(3_000).encode(), "curls").paths[0].curves
    budget = Budget("curls")
    found = untangled(path, budget)
    assert found.large is None and len(found.loops) >= 2_900
    assert shapely.LinearRing(flat_ring(found.path)[0]).is_simple
    chords = sum(curve.chords(0.01) for curve in path)
    assert MOST_WORK - budget.work < 20 * chords


def work_of(text: str) -> float:
    budget = Budget("work")
    drawing = parse_drawing(text.encode(), "work", budget=budget)
    outlines_of(drawing, budget=budget)
    return MOST_WORK - budget.work


@pytest.mark.parametrize("draw", [nested, hatched])
def test_twice_as_many_lines_are_twice_the_work(draw: Callable[[int], str]) -> None:
    assert work_of(draw(800)) < 2.2 * work_of(draw(400))


def test_work_is_one_sum_and_its_greatest_part_is_told() -> None:
    budget = Budget("skirt.svg", work=1_000.0)
    budget.spend(PAIR, 100)
    budget.take_points(200)
    with pytest.raises(InputError, match=r"skirt\.svg: it is too much to be worked through: 250 points") as told:
        budget.spend(POINT, 50)
    assert "Simplify its lines" in str(told.value)


def test_reading_and_cleaning_draw_on_one_budget() -> None:
    text = nested(100).encode()
    budget = Budget("nested")
    drawing = parse_drawing(text, "nested", budget=budget)
    left = budget.work
    outlines_of(drawing, budget=budget)
    assert budget.work < left < MOST_WORK
    with pytest.raises(InputError, match="too much to be worked through"):
        parse_drawing(text, "nested", budget=Budget("nested", work=500.0))


def test_many_gaps_are_counted_not_listed() -> None:
    """Thirty lines end to end, 2 mm apart, that come round to the first: twenty gaps are told, the others counted."""
    spots = circle(30)
    paths = []
    for a, b in zip(spots, [*spots[1:], spots[0]], strict=True):
        off = 1.0 / math.dist(a, b)
        start, end = (
            Point(a[0] + (b[0] - a[0]) * off, a[1] + (b[1] - a[1]) * off),
            Point(b[0] + (a[0] - b[0]) * off, b[1] + (a[1] - b[1]) * off),
        )
        paths.append(DrawnPath((Line(start, end),), False))
    with pytest.raises(InputError, match="and 10 more") as told:
        outlines_of(Drawing("gaps", "mm", tuple(paths)))
    assert str(told.value).count(" mm between ") == 20


def test_no_more_than_twenty_crossed_outlines_are_told() -> None:
    """Thirty bow ties of 100 by 100 mm, side by side: two triangles of 2,500 mm² each."""
    body = "".join(f'<path d="M{150 * i} 0l100 100v-100l-100 100z"/>' for i in range(30))
    with pytest.raises(InputErrors) as told:
        outlines_of(parse_drawing(svg(body).encode(), "ties"))
    assert len(told.value.errors) == 20
    assert all("2500 mm²" in str(error) for error in told.value.errors)


def test_very_short_curves_are_fitted_as_chords_are() -> None:
    """2,000 cubics, 0.6 mm each, round a circle of 200 mm: a few curves, which lie on it within 0.05 mm (the fit)."""
    points, by = circle(2_000), 2 * math.pi / 2_000
    handle = 4 / 3 * math.tan(by / 4)  # Goldapp 1991, from memory: as in intake/runs.py, tested against circles there
    curves = tuple(
        Cubic.leaving_and_arriving(a, (-handle * a[1], handle * a[0]), b, (-handle * b[1], handle * b[0]))
        for a, b in zip(points, [*points[1:], points[0]], strict=True)
    )
    (outline,) = outlines_of(Drawing("circle", "mm", (DrawnPath(curves, True),))).outlines
    found = [curve for edge in outline.edges for curve in edge]
    assert len(found) < 40
    assert max(abs(math.hypot(*p) - 200.0) for p in flatten(tuple(found), 0.01)) < 0.06


# --- old polylines of DXF, read in short ---

OLD = {
    "plain": old_polyline(circle(5)),
    "bulges": old_polyline(circle(5), 0.3),
    "heights of zero": old_polyline(circle(5), head="10\n0.0\n20\n0.0\n30\n0.0\n", vertex="30\n0.0\n70\n0\n"),
    "at a height": old_polyline(circle(5), head="10\n0.0\n20\n0.0\n30\n7.0\n"),
    "widths": old_polyline(circle(5), 0.3, vertex="40\n1.0\n41\n2.0\n"),
    "from above": old_polyline(circle(5), 0.3, head="210\n0\n220\n0\n230\n-1\n"),
    "on a layer called POLYLINE": old_polyline(circle(5), head="6\nPOLYLINE\n"),
}


@pytest.mark.parametrize("kind", OLD)
@pytest.mark.parametrize("ending", ["\n", "\r\n"])
def test_old_polylines_are_where_ezdxf_says(kind: str, ending: str) -> None:
    text = dxf(OLD[kind] + old_polyline([(0, 0), (50, 0), (50, 50)]))
    space = ezdxf.read(StringIO(text)).modelspace()
    found = read_cad(text.replace("\n", ending).encode(), "old", Told(1.0))[0]
    assert len(found.paths) == 2
    for entity, path in zip(space, found.paths, strict=True):
        expected = [tuple(p)[:2] for p in entity.points_in_wcs()]
        starts = [curve.start for curve in path.curves]
        assert np.allclose([p for p in starts if any(math.dist(p, q) < 1e-9 for q in expected)], expected, atol=1e-9)
        assert path.closed
        bulges = [vertex.dxf.get("bulge", 0.0) for vertex in entity.vertices]
        assert any(isinstance(curve, Cubic) for curve in path.curves) == any(bulges)


# --- one reading of a drawing, where there is no plan ---


def test_without_a_plan_a_drawing_is_read_and_cleaned_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """And what is written is what the first plan, kept and given again, makes of it."""
    from oaktag.intake import take_in

    cleaned: list[str] = []
    clean = take_in.outlines_of

    def counted(drawing: Drawing, **how: Any) -> Outlines:
        cleaned.append(drawing.name)
        return clean(drawing, **how)

    monkeypatch.setattr(take_in, "outlines_of", counted)
    monkeypatch.chdir(tmp_path)
    shutil.copy(FIXTURES / "drawings/skirt.svg", "skirt.svg")
    run = CliRunner()
    assert run.invoke(finish, ["skirt.svg", "-o", "one", "--only", "dxf"]).exit_code == 0
    assert len(cleaned) == 1
    assert run.invoke(finish, ["skirt.svg", "--propose", "skirt.toml"]).exit_code == 0
    assert run.invoke(finish, ["skirt.svg", "--plan", "skirt.toml", "-o", "two", "--only", "dxf"]).exit_code == 0
    assert len(cleaned) == 3
    assert Path("one/pattern.dxf").read_bytes() == Path("two/pattern.dxf").read_bytes()


@pytest.mark.parametrize(
    ("plan", "serves"),
    [
        (Plan(), True),
        (Plan(Reading(close_darts=True), Lines({"grain": ("grain*",)})), True),
        (Plan(Reading(gap=2.0)), False),
        (Plan(lines=Lines({"ignore": ("front*",)})), False),
        (Plan(lines=Lines({"outline": ("front*",)})), False),
    ],
)
def test_a_drawing_serves_a_plan_that_reads_it_alike(plan: Plan, serves: bool) -> None:
    assert taken_in(FIXTURES / "drawings/skirt.svg", Plan()).serves(plan) is serves
