"""The pattern-data file against ASTM D6673 as quoted, read by ezdxf and by GDAL; neither is used to write it."""

from __future__ import annotations

import re
import tempfile
from dataclasses import replace
from functools import cache
from math import atan2, cos, degrees, hypot, radians, sin
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from oaktag.errors import GeometryError
from oaktag.export import dxf, dxf_entities
from oaktag.geometry.point import Point
from oaktag.geometry.polygon import nearest_on
from samples import sample_pattern

TOLERANCE = 0.05
"""Outline read back by an independent reader, mm (the project's tolerance)."""
ROUND = 0.00005 + 1e-9
"""Half of the last decimal that is written."""
GAPS = {"FRONT_12": "front", "SLEEVE_12": "sleeve", "POCKET_12": "pocket"}
SCALES = {"SCALE_100_MM": 100.0, "SCALE_4_IN": 101.6}


@cache
def written() -> bytes:
    return dxf.render(sample_pattern())


def read(data: bytes) -> Any:
    import ezdxf

    with tempfile.TemporaryDirectory() as place:
        path = Path(place) / "pattern.dxf"
        path.write_bytes(data)
        return ezdxf.readfile(path)


@cache
def blocks() -> dict[str, Any]:
    return {block.name: block for block in read(written()).blocks if not block.name.startswith("*")}


def of(block: Any, kind: str, layer: int) -> list[Any]:
    return list(block.query(f'{kind}[layer=="{layer}"]'))


def test_inches_are_the_millimetres_divided() -> None:
    """25.4 mm to the inch; 4 decimals (§4.3.1.1); angles are no lengths."""
    english = dxf.render(sample_pattern(), units="english")
    assert b"Units: ENGLISH" in english and b"Units: METRIC" not in english
    inches = {block.name: block for block in read(english).blocks if not block.name.startswith("*")}
    assert set(inches) == set(blocks())
    for name, block in blocks().items():
        for layer in (1, 14):
            for a, b in zip(of(block, "POLYLINE", layer), of(inches[name], "POLYLINE", layer), strict=True):
                assert [25.4 * c for p in ring(b) for c in p] == pytest.approx(
                    [c for p in ring(a) for c in p], abs=0.002
                )
        assert [t.dxf.rotation for t in of(inches[name], "TEXT", 15)] == [t.dxf.rotation for t in of(block, "TEXT", 15)]
    (notch, *_), (same, *_) = (
        re.findall(rb" 30\r\n([0-9.]+)\r\n 39\r\n[0-9.]+\r\n 50\r\n([0-9.]+)", data) for data in (written(), english)
    )
    assert float(same[0]) * 25.4 == pytest.approx(float(notch[0]), abs=0.002) and same[1] == notch[1]


def ring(polyline: Any) -> list[tuple[float, float]]:
    return [(v.dxf.location.x, v.dxf.location.y) for v in polyline.vertices]


def at(point: Any) -> tuple[float, float]:
    return point.dxf.location.x, point.dxf.location.y


def from_ring(p: tuple[float, float], points: list[tuple[float, float]]) -> float:
    """Distance of a point to a closed line, by shapely."""
    from shapely import LinearRing
    from shapely import Point as Place

    return float(LinearRing(points).distance(Place(p)))


def texts(block: Any) -> dict[str, str]:
    pairs = [text.dxf.text.split(":", 1) for text in of(block, "TEXT", 1)]
    return {key: value.strip() for key, value in pairs}


def shift(name: str, block: Any) -> tuple[float, float]:
    """How far the piece was moved for the drawing, from its grain line's first end."""
    line = of(block, "LINE", 7)[0]
    x, y = sample_pattern().piece(GAPS[name]).grain_line[0]
    return line.dxf.start.x - x, line.dxf.start.y - y


def test_bytes_are_ascii_pairs_with_cr_lf_and_codes_in_three_columns() -> None:
    lines = written().decode("ascii").split("\r\n")
    assert lines.pop() == "" and len(lines) % 2 == 0
    assert not any("\n" in line or "\r" in line for line in lines)
    assert all(re.fullmatch(r"[ \d]{2}\d", code) for code in lines[::2])
    # No handles (5), subclass markers (100) or line types (6): writers of this standard leave them out.
    assert not {"  5", "100", "  6", " 62"} & set(lines[::2])
    assert written() == dxf.render(sample_pattern())


def test_sections_are_header_blocks_entities_eof() -> None:
    lines = written().decode("ascii").split("\r\n")
    pairs = list(zip(lines[::2], lines[1::2], strict=False))
    sections = [pairs[i + 1][1] for i, pair in enumerate(pairs) if pair == ("  0", "SECTION")]
    assert sections == ["HEADER", "BLOCKS", "ENTITIES"]
    assert pairs[:3] == [("  0", "SECTION"), ("  2", "HEADER"), ("  0", "ENDSEC")]
    assert pairs[-1] == ("  0", "EOF")
    kinds = {value for code, value in pairs if code == "  0"}
    assert kinds == {
        *("SECTION", "ENDSEC", "BLOCK", "ENDBLK", "POLYLINE", "VERTEX", "SEQEND"),
        *("POINT", "LINE", "TEXT", "INSERT", "EOF"),
    }


def test_ezdxf_reads_release_12_without_an_error_or_a_repair() -> None:
    document = read(written())
    audit = document.audit()
    assert document.acad_release == "R12"
    assert audit.errors == [] and audit.fixes == []


def test_a_block_and_an_insert_for_every_piece_and_scale_piece() -> None:
    document = read(written())
    names = [block.name for block in document.blocks if not block.name.startswith("*")]
    assert names == [*GAPS, *SCALES]
    inserts = list(document.modelspace().query("INSERT"))
    assert [insert.dxf.name for insert in inserts] == names
    for insert in inserts:
        assert insert.dxf.layer == "1"
        assert tuple(insert.dxf.insert)[:2] == (0.0, 0.0)
        assert (insert.dxf.xscale, insert.dxf.yscale, insert.dxf.rotation) == (1.0, 1.0, 0.0)
    for block in blocks().values():
        assert not block.query("INSERT")
        assert {entity.dxf.layer for entity in block} <= {str(n) for n in (1, 2, 3, 4, 5, 6, 7, 8, 13, 14, 15)}
        assert not [e for e in block.query("POLYLINE") if e.dxf.layer in {"5", "6", "7", "9", "10", "13"}]


@pytest.mark.parametrize("name", GAPS)
def test_cut_and_stitch_line_are_those_of_the_piece(name: str) -> None:
    block = blocks()[name]
    cut = sample_pattern().piece(GAPS[name]).cut
    dx, dy = shift(name, block)
    for layer, expected in ((1, cut.cut_line), (14, cut.stitch_line)):
        (line,) = of(block, "POLYLINE", layer)
        assert line.is_closed
        found = ring(line)
        assert found[0] != found[-1]
        assert len(found) == len(expected)
        worst = max(hypot(x - dx - ex, y - dy - ey) for (x, y), (ex, ey) in zip(found, expected, strict=True))
        assert worst <= 2 * ROUND


@pytest.mark.parametrize("name", [*GAPS, *SCALES])
def test_every_vertex_has_exactly_one_turn_or_curve_point(name: str) -> None:
    block = blocks()[name]
    points = [at(point) for layer in (2, 3) for point in of(block, "POINT", layer)]
    assert len(points) == len(set(points))
    vertices = {p for layer in (1, 8, 11, 14) for line in of(block, "POLYLINE", layer) for p in ring(line)}
    for line in of(block, "LINE", 8):
        vertices |= {(line.dxf.start.x, line.dxf.start.y), (line.dxf.end.x, line.dxf.end.y)}
    assert set(points) == vertices


def test_corners_are_turn_points_and_curves_are_not() -> None:
    block = blocks()["POCKET_12"]
    dx, dy = shift("POCKET_12", block)
    # By hand: four corners of the stitch line and four of the cut line; the vertices between are curve points.
    corners = {(0, 0), (150, 0), (150, 140), (0, 140), (-10, -10), (160, -10), (160, 165), (-10, 165)}
    assert {(x - dx, y - dy) for x, y in map(at, of(block, "POINT", 2))} == corners

    block = blocks()["SLEEVE_12"]
    dx, dy = shift("SLEEVE_12", block)
    piece = sample_pattern().piece("sleeve")
    turns = [(x - dx, y - dy) for x, y in map(at, of(block, "POINT", 2))]
    ends = [edge.start for edge in piece.cut.piece.edges]
    assert all(min(hypot(x - ex, y - ey) for x, y in turns) <= 2 * ROUND for ex, ey in ends)
    # Four corners of each line and nothing on the smooth cap.
    assert len(turns) == 8


@pytest.mark.parametrize("name", ["FRONT_12", "SLEEVE_12"])
def test_notches_lie_on_the_boundary_and_point_inwards(name: str) -> None:
    block = blocks()[name]
    piece = sample_pattern().piece(GAPS[name])
    dx, dy = shift(name, block)
    (boundary,) = of(block, "POLYLINE", 1)
    found = of(block, "POINT", 4)
    meant = [(notch, spot) for notch in piece.notches for spot in notch.spots]
    assert len(found) == len(meant) == {"FRONT_12": 2, "SLEEVE_12": 4}[name]
    from shapely import Point as Place
    from shapely import Polygon

    inside = Polygon(ring(boundary))
    for point, (notch, (sx, sy)) in zip(found, meant, strict=True):
        x, y = at(point)
        assert from_ring((x, y), ring(boundary)) < 0.01
        assert hypot(x - dx - sx, y - dy - sy) < 0.01
        assert point.dxf.location.z == notch.depth == 4.0
        assert point.dxf.thickness == 0.0
        assert 0.0 <= point.dxf.angle < 360.0
        inwards = degrees(atan2(-notch.direction.y, -notch.direction.x)) % 360
        assert point.dxf.angle == pytest.approx(inwards, abs=0.001)
        # A step from the boundary in that direction is in the piece.
        turn = radians(point.dxf.angle)
        assert inside.contains(Place(x + cos(turn), y + sin(turn)))


def test_notches_always_give_width_and_angle() -> None:
    found = re.findall(
        rb"\n  8\r\n4\r\n 10\r\n\S+\r\n 20\r\n\S+\r\n 30\r\n(\S+)\r\n 39\r\n(\S+)\r\n 50\r\n(\S+)", written()
    )
    assert len(found) == 6
    assert {(depth, width) for depth, width, _ in found} == {(b"4.0000", b"0.0000")}


def test_a_notch_off_the_cut_line_is_refused_by_name() -> None:
    pattern = sample_pattern()
    front = pattern.piece("front")
    astray = replace(front.notches[0], spots=(Point(300.0, -400.0),))
    with pytest.raises(GeometryError, match=r"'waist' of front\.side lies 37\.\d mm off the cut line"):
        dxf.render(replace(pattern, pieces=(replace(front, notches=(astray,)),)))


def test_lines_and_holes_of_the_front() -> None:
    block = blocks()["FRONT_12"]
    piece = sample_pattern().piece("front")
    dx, dy = shift("FRONT_12", block)

    def ends(line: Any) -> list[tuple[float, float]]:
        return [(p.x - dx, p.y - dy) for p in (line.dxf.start, line.dxf.end)]

    (mirror,) = of(block, "LINE", 6)
    # Fold from the hem's cut line, 30 below -600, to the neckline's, 6 above -80: by hand.
    assert ends(mirror) == [pytest.approx((0, -630), abs=1e-4), pytest.approx((0, -74), abs=1e-4)]
    (grain,) = of(block, "LINE", 7)
    (grade,) = of(block, "LINE", 5)
    assert ends(grain) == ends(grade) == [pytest.approx(p, abs=1e-4) for p in piece.grain_line]
    (waist,) = of(block, "LINE", 8)
    assert ends(waist) == [pytest.approx((0, -400), abs=1e-4), pytest.approx((110, -400), abs=1e-4)]
    dart, facing = of(block, "POLYLINE", 8)
    assert dart.is_closed and not facing.is_closed
    assert len(ring(dart)) == 4 and len(ring(facing)) == 3
    # A dart's legs turn by 9.5 degrees only, and are corners all the same.
    assert set(ring(dart)) <= set(map(at, of(block, "POINT", 2)))
    holes = [(x - dx, y - dy) for x, y in map(at, of(block, "POINT", 13))]
    assert holes == [pytest.approx((120, -292.7), abs=1e-4), pytest.approx((120, -507.3), abs=1e-4)]
    assert not of(blocks()["SLEEVE_12"], "LINE", 6)


def test_piece_and_style_texts() -> None:
    found = {name: texts(block) for name, block in blocks().items()}
    assert {name: facts["Piece Name"] for name, facts in found.items()} == {
        "FRONT_12": "FRONT",
        "SLEEVE_12": "SLEEVE",
        "POCKET_12": "POCKET",
        "SCALE_100_MM": "SCALE 100 MM",
        "SCALE_4_IN": "SCALE 4 IN",
    }
    # Right, left: a half on the fold is one whole piece; a pair is one and one; scale pieces are not to be cut.
    assert [facts["Quantity"] for facts in found.values()] == ["1,0", "1,1", "2,0", "0,0", "0,0"]
    assert {facts["Size"] for facts in found.values()} == {"12"}
    assert [found[name]["Material"] for name in GAPS] == ["SHELL", "SHELL", "LINING"]
    assert found["FRONT_12"]["Annotation"] == "1 FRONT; size 12 - cut 1 on the fold; hem 1 1/2 in"
    assert [text.dxf.text for text in of(blocks()["FRONT_12"], "TEXT", 15)] == [
        *("1 FRONT", "size 12 - cut 1 on the fold", "hem 1 1/2 in")
    ]
    assert "DO NOT CUT" in found["SCALE_4_IN"]["Annotation"]
    model = read(written()).modelspace()
    assert texts(model) == {
        "Style Name": "LIGHTHOUSE CHOIR, AL",  # 20 characters
        "Creation Date": "",
        "Creation Time": "",
        "Author": f"Oaktag;oaktag;{dxf_entities.RELEASE}",
        "Sample Size": "12",
        "Grade Rule Table": "",
        "Units": "METRIC",
        "ASTM/D13Proposal 1 Version": "D 6673-04",
    }


@pytest.mark.parametrize(
    ("date", "shown"), [("2031-04-09", "09-04-2031"), ("09-04-2031", "09-04-2031"), ("", ""), ("été 2031", "ete 2031")]
)
def test_the_date_is_the_jobs_and_day_first(date: str, shown: str) -> None:
    found = texts(read(dxf.render(sample_pattern(), date=date)).modelspace())
    assert found["Creation Date"] == shown
    assert dxf.render(replace(sample_pattern(), date=date)) == dxf.render(sample_pattern(), date=date)


def test_release_is_the_packages() -> None:
    import tomllib

    project = Path(__file__).parents[1] / "pyproject.toml"
    assert tomllib.loads(project.read_text("utf-8"))["project"]["version"] == dxf_entities.RELEASE


@pytest.mark.parametrize(("name", "side"), SCALES.items())
def test_scale_pieces_are_exact_squares_with_diagonals(name: str, side: float) -> None:
    block = blocks()[name]
    (square,) = of(block, "POLYLINE", 1)
    a, b, c, d = ring(square)
    for p, q in ((a, b), (b, c), (c, d), (d, a)):
        assert hypot(q[0] - p[0], q[1] - p[1]) == pytest.approx(side, abs=1e-9)
    for line in of(block, "LINE", 8):
        long = (line.dxf.end - line.dxf.start).magnitude
        assert long == pytest.approx(side * 2**0.5, abs=1e-9)
    assert len(of(block, "LINE", 8)) == 2


def test_pieces_lie_side_by_side() -> None:
    from shapely import Polygon

    shapes = [Polygon(ring(of(block, "POLYLINE", 1)[0])) for block in blocks().values()]
    for i, one in enumerate(shapes):
        assert one.bounds[1] >= 0.0 and one.bounds[0] >= 0.0
        for other in shapes[i + 1 :]:
            assert one.distance(other) > 10.0


def test_gdal_finds_the_same_outlines() -> None:
    import shapely
    from pyogrio.raw import read as gdal_read

    with tempfile.TemporaryDirectory() as place:
        path = Path(place) / "pattern.dxf"
        path.write_bytes(written())
        meta, _, geometry, fields = gdal_read(path)
    assert "Text" in meta["fields"] and len(fields[0]) == len(geometry)
    # GDAL draws each block where it is inserted: one collection a piece; the cut line is its widest line.
    rings = []
    for shape in shapely.from_wkb(geometry):
        if shape.geom_type == "GeometryCollection":
            lines = [each for each in shape.geoms if each.geom_type == "LineString" and each.is_closed]
            rings.append(max((shapely.Polygon(line.coords) for line in lines), key=lambda each: each.area))
    assert len(rings) == 5
    pieces = sample_pattern().pieces
    for found, piece in zip(rings[:3], pieces, strict=True):
        meant = shapely.Polygon(piece.cut.cut_line)
        moved = shapely.affinity.translate(
            meant, round(found.bounds[0] - meant.bounds[0]), round(found.bounds[1] - meant.bounds[1])
        )
        # Both were moved by whole millimetres, or the shapes differ.
        near = [round(found.bounds[i] - moved.bounds[i], 3) for i in (0, 1)]
        assert near == [0.0, 0.0]
        assert found.exterior.hausdorff_distance(moved.exterior) <= TOLERANCE
    assert [round(found.bounds[2] - found.bounds[0], 6) for found in rings[3:]] == [100.0, 101.6]


def test_names_stay_apart_when_cut_short() -> None:
    taken: set[str] = set()
    names = [dxf_entities.unique("UPPER SLEEVE LINING PIECE", 20, taken) for _ in range(3)]
    assert names == ["UPPER SLEEVE LINING", "UPPER SLEEVE LININ 2", "UPPER SLEEVE LININ 3"]
    blocks_made: list[str] = []
    for _ in range(3):
        blocks_made.append(dxf_entities.block_name("A PIECE WITH A NAME THAT GOES ON", "12", blocks_made))
    assert len(set(blocks_made)) == 3 and max(map(len, blocks_made)) <= 31


@settings(max_examples=30, deadline=None)
@given(st.text(max_size=60), st.text(max_size=12), st.text(max_size=30))
def test_any_words_leave_a_file_that_reads(words: str, size: str, title: str) -> None:
    pattern = sample_pattern()
    pocket = pattern.piece("pocket")
    piece = replace(pocket.cut.piece, name=words, to_cut=replace(pocket.cut.piece.to_cut, cloth=title))
    label = replace(pocket.label, lines=(words, title))
    named = replace(pocket, cut=replace(pocket.cut, piece=piece), label=label)
    data = dxf.render(replace(pattern, title=title, size=size, pieces=(named, named)))
    assert max(data) < 0x80
    document = read(data)
    assert document.audit().errors == []
    names = [block.name for block in document.blocks if not block.name.startswith("*")]
    assert len(names) == 4
    assert all(re.fullmatch(r"[A-Z0-9_$-]{1,31}", name) for name in names)
    labels = [texts(document.blocks.get(name))["Piece Name"] for name in names]
    assert len(set(labels)) == 4 and max(map(len, labels)) <= 20


@given(st.lists(st.tuples(st.integers(-40, 40), st.integers(-40, 40)), min_size=3, max_size=30, unique=True))
def test_nearest_on_a_ring_agrees_with_shapely(points: list[tuple[int, int]]) -> None:
    (x, y), far = nearest_on([(float(a), float(b)) for a, b in points], (3.5, -1.25))
    assert far == pytest.approx(from_ring((3.5, -1.25), [(float(a), float(b)) for a, b in points]), abs=1e-9)
    assert hypot(x - 3.5, y + 1.25) == pytest.approx(far, abs=1e-9)
