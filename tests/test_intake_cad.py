"""DXF from elsewhere against ezdxf's own curves, files of other programs and trigonometry by hand.

The releases are written by ezdxf, which the reader also reads with; what lies beyond one library is checked by hand
and with the files in fixtures/drawings, which other programs wrote.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Sequence
from io import BytesIO, StringIO
from itertools import pairwise
from pathlib import Path
from typing import Any

import ezdxf
import pytest
from ezdxf.math import BSpline
from hypothesis import given, settings
from hypothesis import strategies as st

from oaktag.errors import InputError, InputErrors
from oaktag.exchange.pattern_data import read_pattern_data
from oaktag.geometry.curve import Line
from oaktag.geometry.path import flatten, path_length
from oaktag.geometry.polygon import Box
from oaktag.intake.model import Drawing, DrawnPath, Known
from oaktag.intake.read import parse_drawing, read_drawing
from wardrobe import dense

FIXTURES = Path(__file__).parent.parent / "fixtures"
DRAWINGS = FIXTURES / "drawings"
RELEASES = ("R12", "R2000", "R2004", "R2007", "R2010", "R2013", "R2018")
MM, INCHES = 4, 1
"""$INSUNITS."""


def written(draw: Callable[[Any], object], release: str = "R2010", units: int = MM, *, binary: bool = False) -> bytes:
    document = ezdxf.new(release)
    if release != "R12":
        document.header["$INSUNITS"] = units
    draw(document)
    if binary:
        stream = BytesIO()
        document.write(stream, fmt="bin")
        return stream.getvalue()
    text = StringIO()
    document.write(text)
    return text.getvalue().encode(document.output_encoding, "dxfreplace")


def read(draw: Callable[[Any], object], release: str = "R2010", units: int = MM, **told: object) -> Drawing:
    return parse_drawing(written(draw, release, units), "in.dxf", **told)  # type: ignore[arg-type]


def complaint(data: bytes, **told: object) -> str:
    with pytest.raises((InputError, InputErrors)) as caught:
        parse_drawing(data, "in.dxf", **told)  # type: ignore[arg-type]
    assert str(caught.value).startswith("in.dxf")
    return str(caught.value)


def off(p: Sequence[float], line: Sequence[tuple[float, float]]) -> float:
    best = math.inf
    for (ax, ay), (bx, by) in pairwise(line):
        dx, dy = bx - ax, by - ay
        size = dx * dx + dy * dy
        t = max(0.0, min(1.0, ((p[0] - ax) * dx + (p[1] - ay) * dy) / size)) if size else 0.0
        best = min(best, math.hypot(p[0] - ax - t * dx, p[1] - ay - t * dy))
    return best


def apart(ours: DrawnPath, theirs: Sequence[Sequence[float]]) -> float:
    """The greatest distance from either line to the other, mm."""
    mine = flatten(ours.curves, 0.0005)
    other = [(float(p[0]), float(p[1])) for p in theirs]
    return max(*(off(p, mine) for p in other), *(off(p, other) for p in mine[:: max(1, len(mine) // 200)]))


# -------------------------------------------------------------------------------------------------------- all releases

FRONT = [(0.0, 0.0, 0.0), (300.0, 0.0, 0.25), (350.0, 500.0, 0.0), (150.0, 480.0, -0.4), (0.0, 450.0, 0.0)]
CURVE = [(50.0, 50.0), (120.0, 200.0), (200.0, 20.0), (260.0, 150.0), (280.0, 300.0)]


def pieces(document: Any) -> None:
    space = document.modelspace()
    old = document.dxfversion == "AC1009"
    if old:
        space.add_polyline2d(FRONT, format="xyb", close=True, dxfattribs={"layer": "FRONT"})
    else:
        space.add_lwpolyline(FRONT, format="xyb", close=True, dxfattribs={"layer": "FRONT"})
        space.add_open_spline([(*p, 0) for p in CURVE], degree=3)
    space.add_polyline2d(FRONT[:4], format="xyb", dxfattribs={"layer": "BACK"})
    space.add_arc((100, 100), 60, 30, 300)
    space.add_line((0, 0), (10, 20))
    space.add_circle((40, 40), 2)
    space.add_point((5, 6))
    space.add_text("FRONT", height=12).set_placement((20, 30))


def _release(name: str) -> Drawing:
    return read(pieces, name, unit="mm") if name == "R12" else read(pieces, name)


@pytest.mark.parametrize("release", RELEASES)
def test_every_release_holds_the_same_pieces(release: str) -> None:
    """By ezdxf's own curves for what was written: they lie up to 0.025 mm off an arc of 533 mm, ours 0.001 (below)."""
    from ezdxf.path import make_path

    drawing = _release(release)
    document = ezdxf.new(release)
    pieces(document)
    drawn = [entity for entity in document.modelspace() if entity.dxftype() not in ("POINT", "TEXT")]
    assert len(drawing.paths) == len(drawn)
    for ours, entity in zip(drawing.paths, drawn, strict=True):
        theirs = list(make_path(entity).flattening(0.0005, segments=64))
        assert apart(ours, theirs) < 0.03, entity.dxftype()
        assert ours.layer == entity.dxf.layer
    assert [tuple(point.at) for point in drawing.points] == [(40, 40), (5, 6)]
    assert [(t.words, tuple(t.at), t.height) for t in drawing.texts] == [("FRONT", (20, 30), 12)]
    front = drawing.paths[0]
    assert front.closed
    assert front.curves[0].start == front.curves[-1].end


@pytest.mark.parametrize("release", ["R2000", "R2018"])
def test_binary_dxf(release: str) -> None:
    drawing = parse_drawing(written(pieces, release, binary=True), "in.dxf")
    assert drawing.paths == parse_drawing(written(pieces, release), "in.dxf").paths


# ------------------------------------------------------------------------------------------------------------- by hand


@pytest.mark.parametrize("bulge", [1.0, -1.0, 0.5, math.tan(math.radians(45 / 4)), 2.5, -0.01, 0.1, 0.22, -0.23])
def test_a_bulge_is_the_tangent_of_a_quarter_of_the_angle(bulge: float) -> None:
    """Chord 100: angle 4 atan b, radius 50 / sin(angle / 2), rise 50 b; a positive bulge lies right of the chord."""
    drawing = read(lambda d: d.modelspace().add_lwpolyline([(0, 0, bulge), (100, 0, 0)], format="xyb"))
    angle = 4 * math.atan(abs(bulge))
    radius = 50 / abs(math.sin(angle / 2))
    assert path_length(drawing.paths[0].curves) == pytest.approx(radius * angle, abs=0.002)
    points = dense(drawing.paths[0].curves, 100)
    extreme = min(points, key=lambda p: p[1]) if bulge > 0 else max(points, key=lambda p: p[1])
    assert extreme == pytest.approx((50.0, -50 * bulge), abs=0.002)
    middle = (50.0, (radius - 50 * abs(bulge)) * (1 if bulge > 0 else -1))
    for p in points:
        assert math.dist(p, middle) == pytest.approx(radius, abs=0.001)


def test_arcs_and_circles_keep_their_radius() -> None:
    def draw(document: Any) -> None:
        document.modelspace().add_arc((10, 20), 800, 350, 40)
        document.modelspace().add_circle((10, 20), 800)

    arc, circle = read(draw).paths
    for path in (arc, circle):
        for p in dense(path.curves, 60):
            assert math.dist(p, (10, 20)) == pytest.approx(800, abs=0.001)
    assert path_length(arc.curves) == pytest.approx(800 * math.radians(50), abs=0.002)
    assert arc.curves[0].start == pytest.approx(
        (10 + 800 * math.cos(math.radians(350)), 20 + 800 * math.sin(math.radians(350)))
    )
    assert circle.closed
    assert not arc.closed


def test_an_ellipse_by_its_equation() -> None:
    def draw(document: Any) -> None:
        document.modelspace().add_ellipse((5, 7), (30, 40, 0), 0.3, 0.5, 4.0)
        document.modelspace().add_ellipse((5, 7), (30, 40, 0), 0.3)

    part, whole = read(draw).paths
    for p in dense(whole.curves, 60):
        x, y = (p[0] - 5) * 0.6 + (p[1] - 7) * 0.8, -(p[0] - 5) * 0.8 + (p[1] - 7) * 0.6
        assert math.hypot(x / 50, y / 15) == pytest.approx(1.0, abs=1e-4)
    t = 0.5
    start = (5 + 30 * math.cos(t) - 0.3 * 40 * math.sin(t), 7 + 40 * math.cos(t) + 0.3 * 30 * math.sin(t))
    assert part.curves[0].start == pytest.approx(start)
    assert whole.closed
    assert not part.closed


def test_what_is_seen_from_behind_is_mirrored() -> None:
    """An extrusion of (0, 0, -1) turns the plane about the y axis: x becomes -x (DXF reference, OCS)."""

    def draw(document: Any) -> None:
        behind = {"extrusion": (0, 0, -1)}
        document.modelspace().add_lwpolyline([(10, 0, 1), (30, 0, 0)], format="xyb", dxfattribs=behind)
        document.modelspace().add_arc((20, 0), 10, 0, 90, dxfattribs=behind)

    bulge, arc = read(draw).paths
    assert bulge.curves[0].start == pytest.approx((-10, 0))
    assert Box.round(dense(bulge.curves, 90)).bottom == pytest.approx(-10, abs=0.002)
    assert arc.curves[0].start == pytest.approx((-30, 0))
    assert arc.curves[-1].end == pytest.approx((-20, 10))


@pytest.mark.parametrize("height", [0.0, 50.0, -20.0])
@pytest.mark.parametrize("lean", [(0.0, 0.6, 0.8), (0.6, 0.0, 0.8), (0.0, 0.0, 1.0)])
def test_an_outline_in_a_slanting_plane_at_a_height_by_ezdxf(lean: tuple[float, float, float], height: float) -> None:
    """Seen from above; either kind of polyline, with its height said or left to be 0."""
    from ezdxf.path import make_path

    corners = [(0.0, 0.0), (200.0, 0.0), (220.0, 150.0), (0.0, 120.0)]
    theirs: list[list[tuple[float, float]]] = []

    def draw(document: Any) -> None:
        space = document.modelspace()
        said = {"extrusion": lean}
        drawn = [
            space.add_lwpolyline(corners, close=True, dxfattribs={**said, "elevation": height} if height else said),
            space.add_polyline2d(corners, close=True, dxfattribs=said),
        ]
        if height:
            drawn[1].dxf.elevation = (0, 0, height)
            for vertex in drawn[1].vertices:
                vertex.dxf.location = (*vertex.dxf.location.vec2, height)
        theirs.extend([(p.x, p.y) for p in make_path(entity).flattening(0.01)] for entity in drawn)

    paths = read(draw).paths
    assert len(paths) == 2
    for path, line in zip(paths, theirs, strict=True):
        assert apart(path, line) < 1e-6


# ------------------------------------------------------------------------------------------------------------- splines

_points = st.lists(st.tuples(st.integers(-400, 400), st.integers(-400, 400)), min_size=6, max_size=9)


@settings(max_examples=40, deadline=None)
@given(_points, st.integers(1, 5), st.sampled_from(["clamped", "open", "rational"]))
def test_splines_by_ezdxf_s_evaluation(points: list[tuple[int, int]], degree: int, kind: str) -> None:
    """Points of the spline by another program lie on ours; exactly where it is no more than cubic, else 0.002 mm."""
    controls = [(float(x), float(y), 0.0) for x, y in points]
    weights = [1.0 + (i % 3) for i in range(len(points))] if kind == "rational" else None
    count = len(points) + degree + 1
    knots = [float(i) for i in range(count)] if kind == "open" else None

    def draw(document: Any) -> None:
        spline = document.modelspace().add_spline()
        tool = BSpline(controls, order=degree + 1, knots=knots, weights=weights)
        spline.apply_construction_tool(tool)

    try:
        (path,) = read(draw).paths
    except InputError:
        assert len(set(points)) == 1  # no length
        return
    tool = BSpline(controls, order=degree + 1, knots=knots, weights=weights)
    low, high = tool.knots()[degree], tool.knots()[len(points)]
    line = flatten(path.curves, 0.0003)
    within = 0.0005 if degree <= 3 and kind != "rational" else 0.0025
    for i in range(41):
        t = low + (high - low) * i / 40 * (1 - 1e-12)
        assert off(tool.point(t), line) < within
    if degree <= 3 and kind != "rational":
        assert len(path.curves) <= len(points) - degree  # a curve a span of knots


def test_a_circle_as_a_rational_spline() -> None:
    """A quadratic NURBS quarter with weight cos 45° in its middle is an arc exactly (Piegl & Tiller 1997, 7.2)."""

    def draw(document: Any) -> None:
        spline = document.modelspace().add_rational_spline(
            [(500, 0, 0), (500, 500, 0), (0, 500, 0)], [1, math.sqrt(0.5), 1], degree=2
        )
        assert spline.dxf.degree == 2

    for p in dense(read(draw).paths[0].curves, 50):
        assert math.hypot(*p) == pytest.approx(500, abs=0.002)


# -------------------------------------------------------------------------------------------------------------- blocks


def test_blocks_are_taken_apart_as_ezdxf_takes_them_apart() -> None:
    """Nested, turned, scaled unevenly, mirrored, in rows and columns: against the library's own explosion."""
    from ezdxf.disassemble import recursive_decompose
    from ezdxf.path import make_path

    def draw(document: Any) -> None:
        inner = document.blocks.new("POCKET", base_point=(5, 5))
        inner.add_lwpolyline([(0, 0, 0.3), (40, 0, 0), (40, 30, -0.5), (0, 30, 0)], format="xyb", close=True)
        inner.add_circle((20, 15), 8, dxfattribs={"layer": "HOLES"})
        outer = document.blocks.new("FRONT")
        outer.add_blockref("POCKET", (60, 10), dxfattribs={"rotation": 30, "xscale": 2, "yscale": -1})
        outer.add_line((0, 0), (100, 0))
        outer.add_arc((50, 50), 20, 10, 200)
        space = document.modelspace()
        space.add_blockref("FRONT", (100, 50), dxfattribs={"rotation": -20, "xscale": 1.5, "yscale": 1.5, "layer": "L"})
        space.add_blockref("FRONT", (0, 0), dxfattribs={"extrusion": (0, 0, -1), "xscale": 0.5, "yscale": 0.5})
        space.add_blockref(
            "POCKET", (7, 9),
            dxfattribs={"rotation": 15, "row_count": 2, "column_count": 3, "row_spacing": 50, "column_spacing": -70},
        )  # fmt: skip

    drawing = read(draw)
    document = ezdxf.new("R2010")
    draw(document)
    theirs = [list(make_path(e).flattening(0.0005, segments=64)) for e in recursive_decompose(document.modelspace())]
    assert len(drawing.paths) == 20  # 4 in each FRONT, 2 in each of 6 POCKETs; theirs are more, for stretched bulges
    ours = [flatten(path.curves, 0.0005) for path in drawing.paths]
    for line in theirs:
        assert min(max(off(p, mine) for p in line[::5]) for mine in ours) < 0.02
    long = sum(math.dist(p, q) for line in theirs for p, q in pairwise(line))
    assert sum(path_length(path.curves) for path in drawing.paths) == pytest.approx(long, rel=1e-4)
    assert drawing.paths[0].groups == ("FRONT", "POCKET")
    assert drawing.paths[0].layer == "L"  # what lies on layer 0 of a block lies on its INSERT's layer
    assert drawing.paths[1].layer == "HOLES"
    assert len({path.id for path in drawing.paths}) == len(drawing.paths)


def test_a_turned_block_in_a_stretched_one_is_sheared() -> None:
    """By hand, which no single INSERT can show: (0, 0) less base (5, 5), times (2, -1), turned by 30°, moved, times
    (0.5, 3), seen from behind."""

    def draw(document: Any) -> None:
        document.blocks.new("POCKET", base_point=(5, 5)).add_line((0, 0), (40, 0))
        outer = document.blocks.new("FRONT")
        outer.add_blockref("POCKET", (60, 10), dxfattribs={"rotation": 30, "xscale": 2, "yscale": -1})
        stretched = {"extrusion": (0, 0, -1), "xscale": 0.5, "yscale": 3}
        document.modelspace().add_blockref("FRONT", (0, 0), dxfattribs=stretched)

    (path,) = read(draw).paths
    c, s = math.cos(math.radians(30)), 0.5
    for at, x in ((path.curves[0].start, 0.0), (path.curves[-1].end, 40.0)):
        u, v = 2 * (x - 5), 5.0
        assert at == pytest.approx((-0.5 * (u * c - v * s + 60), 3 * (u * s + v * c + 10)))


def test_blocks_that_hold_themselves_are_refused() -> None:
    def draw(document: Any) -> None:
        a, b = document.blocks.new("A"), document.blocks.new("B")
        a.add_blockref("B", (0, 0))
        b.add_blockref("A", (1, 1))
        document.modelspace().add_blockref("A", (0, 0))

    assert "inserted in itself" in complaint(written(draw))


def test_blocks_that_multiply_are_refused_soon() -> None:
    def draw(document: Any) -> None:
        document.blocks.new("B0").add_line((0, 0), (1, 1))
        for i in range(1, 8):
            block = document.blocks.new(f"B{i}")
            for k in range(10):
                block.add_blockref(f"B{i - 1}", (k, 0))
        document.modelspace().add_blockref("B7", (0, 0))

    assert "more than 200,000 elements" in complaint(written(draw))

    def array(document: Any) -> None:
        document.blocks.new("B").add_line((0, 0), (1, 1))
        many = {"row_count": 30_000, "column_count": 30_000, "row_spacing": 1, "column_spacing": 1}
        document.modelspace().add_blockref("B", (0, 0), dxfattribs=many)

    assert "more than 200,000 elements" in complaint(written(array))


def test_layers_that_are_off_or_frozen_are_left_out_and_told() -> None:
    def draw(document: Any) -> None:
        document.layers.add("OFF").off()
        document.layers.add("COLD").freeze()
        block = document.blocks.new("B")
        block.add_line((0, 0), (1, 0))
        block.add_line((0, 0), (2, 0), dxfattribs={"layer": "SEEN"})
        space = document.modelspace()
        for layer in ("OFF", "COLD", "SEEN"):
            space.add_line((0, 0), (9, 9), dxfattribs={"layer": layer})
            space.add_blockref("B", (0, 0), dxfattribs={"layer": layer})
        space.add_line((0, 0), (7, 7), dxfattribs={"invisible": 1})
        space.add_hatch()
        space.add_3dface([(0, 0), (1, 0), (1, 1)])
        document.layout("Layout1").add_line((0, 0), (1, 1))

    drawing = read(draw)
    # OFF hides what lies on it, and its INSERT's layer-0 lines; COLD hides its INSERT whole
    assert sorted(path_length(path.curves) for path in drawing.paths) == pytest.approx([1, 2, 2, math.hypot(9, 9)])
    told = "\n".join(drawing.notes)
    assert "0 (1), COLD (2), OFF (2)" in told
    assert "1 3DFACE, 1 HATCH" in told
    assert "sheets of paper" in told


# --------------------------------------------------------------------------------------------------------------- units


def square(side: float) -> Callable[[Any], object]:
    corners = [(0, 0), (side, 0), (side, side / 2), (0, side / 2)]
    return lambda d: d.modelspace().add_polyline2d(corners, close=True)


@pytest.mark.parametrize(
    ("code", "mm"), [(1, 25.4), (2, 304.8), (4, 1), (5, 10), (6, 1000), (14, 100), (10, 914.4), (9, 0.0254)]
)
def test_units_of_the_header(code: int, mm: float) -> None:
    """1 in = 25.4 mm, 1 ft = 12 in, 1 yd = 3 ft, 1 mil = 0.001 in; codes from the DXF reference (from memory)."""
    drawing = read(square(600 / mm), "R2010", code)
    assert path_length(drawing.paths[0].curves) == pytest.approx(1800)
    assert f"$INSUNITS {code}" in drawing.unit
    assert not drawing.notes


def test_units_that_are_not_told_are_asked_for() -> None:
    for said in (complaint(written(square(24), units=0)), complaint(written(square(24), "R12"))):
        assert "24 by 12 of them" in said
        assert "a garment's piece in cm or in" in said  # 24 cm or 24 in, not 24 mm
        assert "--unit mm, cm or in" in said
    assert path_length(read(square(24), units=0, unit="in").paths[0].curves) == pytest.approx(72 * 25.4)
    assert path_length(read(square(24), units=0, scale=2.0).paths[0].curves) == pytest.approx(144)
    drawing = read(square(24), units=0, unit="cm")
    name = drawing.paths[0].id
    assert path_length(read(square(24), units=0, known=Known(name, 720)).paths[0].curves) == pytest.approx(720)


@pytest.mark.parametrize(("side", "code", "would"), [(20, MM, "in in it would be 508 by 254 mm"),
                                                     (600, INCHES, "in mm it would be 600 by 300 mm")])  # fmt: skip
def test_units_that_no_garment_has_are_told(side: float, code: int, would: str) -> None:
    drawing = read(square(side), "R2010", code)
    assert "which no piece of a garment is" in drawing.notes[0]
    assert would in drawing.notes[0]


# -------------------------------------------------------------------------------------------- files of other programs


@pytest.mark.parametrize("name", ["editor-r14.dxf", "editor-r12.dxf"])
def test_what_an_editor_saved_as_dxf(name: str) -> None:
    """The square's four straight sides are 80 mm, the front's corners lie where the drawing says (README there)."""
    assert "--unit" in _refusal(DRAWINGS / name)
    drawing = read_drawing(DRAWINGS / name, unit="mm")
    ends = {(round(p[0], 2), round(p[1], 2)) for path in drawing.paths for c in path.curves for p in (c.start, c.end)}
    corners = {(20.0, 390.0), (200.0, 390.0), (240.0, 40.0), (20.0, 30.0), (60.0, 300.0), (140.0, 300.0)}
    assert corners <= ends
    lines = [c for path in drawing.paths for c in path.curves if isinstance(c, Line)]
    if name == "editor-r14.dxf":  # the other writer makes short runs of everything
        assert sum(1 for c in lines if c.length() == pytest.approx(80, abs=0.01)) >= 4


def test_what_another_library_wrote() -> None:
    drawing = read_drawing(DRAWINGS / "library.dxf", unit="mm")
    front = next(path for path in drawing.paths if path.layer == "FRONT")
    by_hand = 180 + math.hypot(40, 350) + math.hypot(220, 10) + 360
    assert path_length(front.curves) == pytest.approx(by_hand)
    assert tuple(drawing.points[0].at) == (30, 60)
    assert any("HATCH" in note for note in drawing.notes)
    assert "no piece of a garment" in read_drawing(DRAWINGS / "library.dxf").notes[0]


def _refusal(path: Path) -> str:
    with pytest.raises(InputError) as caught:
        read_drawing(path)
    return str(caught.value)


# -------------------------------------------------------------------------------------------------------- pattern data


def test_pattern_data_is_read_by_its_own_reader() -> None:
    path = FIXTURES / "exchange" / "every-layer.dxf"
    drawing, data = read_drawing(path), read_pattern_data(path)
    assert drawing.notes == data.notes
    piece = data.pieces[0]
    boundary = next(p for p in drawing.paths if p.layer == "boundary")
    assert [tuple(c.start) for c in boundary.curves] == [tuple(p) for p in piece.boundary]
    assert boundary.closed
    assert boundary.groups == (piece.name,)
    layers = {p.layer for p in drawing.paths} | {p.layer for p in drawing.points}
    assert layers >= {"boundary", "stitch line", "grain", "internal", "notch", "drill"}
    assert layers <= {"boundary", "stitch line", "grain", "fold", "internal", "notch", "drill"}
    assert len([p for p in drawing.points if p.layer == "notch"]) == sum(len(p.notches) for p in data.pieces)


def test_pattern_data_in_other_units() -> None:
    path = FIXTURES / "exchange" / "base.dxf"
    as_told = read_drawing(path)
    double = read_drawing(path, scale=2.0)
    first = next(p for p in as_told.paths if p.layer == "boundary")
    other = next(p for p in double.paths if p.layer == "boundary")
    assert path_length(other.curves) == pytest.approx(2 * path_length(first.curves))
    third = read_drawing(path, known=Known(first.id, path_length(first.curves) * 3))
    assert path_length(next(p for p in third.paths if p.id == first.id).curves) == pytest.approx(
        3 * path_length(first.curves)
    )
    said = _refusal(FIXTURES / "exchange" / "no-units-small.dxf")
    assert "--unit" in said
    assert read_drawing(FIXTURES / "exchange" / "no-units-small.dxf", unit="cm").paths


def test_a_general_drawing_with_a_layer_1_is_no_pattern_data() -> None:
    def draw(document: Any) -> None:
        block = document.blocks.new("B")
        block.add_line((0, 0), (100, 0), dxfattribs={"layer": "1"})
        block.add_circle((0, 0), 100, dxfattribs={"layer": "Outline"})
        block.add_line((0, 0), (0, 50), dxfattribs={"layer": "Outline"})
        document.modelspace().add_blockref("B", (0, 0))

    assert {path.layer for path in read(draw).paths} == {"1", "Outline"}


# ------------------------------------------------------------------------------------------------------------- refused


def _good() -> bytes:
    return written(pieces, "R2000")


BAD: dict[str, tuple[Callable[[], bytes], str]] = {
    "cut short": (lambda: _good()[:-400], "stops before EOF"),
    "cut in the middle": (lambda: _good()[: len(_good()) // 2], "stops before EOF"),
    "binary garbage": (lambda: b"AutoCAD Binary DXF\r\n\x1a\x00" + bytes(range(256)) * 20, "stops before EOF"),
    "binary garbage with an end": (lambda: b"AutoCAD Binary DXF\r\n\x1a\x00" + bytes(range(256)) * 9 + b"EOF\0",
                                   "no DXF that can be read"),
    "dwg": (lambda: b"AC1015" + bytes(100), "DWG"),
    "nan": (lambda: _good().replace(b"\n100.0\n", b"\nnan\n"), "on no table"),
    "inf": (lambda: _good().replace(b"\n100.0\n", b"\ninf\n"), "on no table"),
    "far": (lambda: _good().replace(b"\n100.0\n", b"\n1e12\n"), "on no table"),
    "a height without end": (lambda: _good().replace(b"\n12.0\n", b"\n1e999\n").replace(b"\n30.0\n", b"\n1e400\n"),
                             "on no table"),
    "a circle without place": (lambda: _good().replace(b"\n40.0\n", b"\n-1e999\n"), "on no table"),
    "nothing": (lambda: written(lambda d: None), "nothing is drawn"),
    "no section": (lambda: b"0\nSECTOR\n2\nHEADER\n0\nEOF\n", "begins neither"),
    "only an end": (lambda: b"0\nSECTION\n0\nEOF\n", ""),
    "too many lines": (lambda: b"0\nSECTION\n2\nENTITIES\n" + b"0\nPOINT\n10\n1.0\n20\n1.0\n" * 1_700_000
                       + b"0\nENDSEC\n0\nEOF\n", "elements"),
}  # fmt: skip


@pytest.mark.parametrize("case", sorted(BAD))
def test_bad_files_are_refused_in_words(case: str) -> None:
    make, words = BAD[case]
    assert words in complaint(make())


@pytest.mark.parametrize(("far", "told"), [((3e7, 12.0), r"\(3e\+07, 12\)"), ((12.0, -3e7), r"\(12, -3e\+07\)")])
@pytest.mark.parametrize("kind", ["point", "text", "line"])
def test_what_lies_on_no_table_is_told_with_its_place(kind: str, far: tuple[float, float], told: str) -> None:
    def draw(document: Any) -> None:
        space = document.modelspace()
        space.add_lwpolyline([(0, 0), (100, 0), (100, 100)], close=True)
        if kind == "text":
            space.add_text("x", height=5).set_placement(far)
        elif kind == "line":
            space.add_line((0, 0), far)
        else:
            space.add_point(far)

    assert re.search(rf"{kind.upper()} \w+: .* a point at {told} mm, which is on no table", complaint(written(draw)))
