"""Pattern data of size sets: a small reader of its own, written from ASTM D6673 as quoted, proves that the base size
and its grade rule table give the graded nest; ezdxf and GDAL read both files."""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from dataclasses import dataclass, field, replace
from functools import cache
from itertools import pairwise
from math import dist, hypot
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from oaktag.body.measurements import Measurements
from oaktag.errors import GeometryError
from oaktag.export import dxf_entities, dxf_sizes, rul
from oaktag.export.dxf_rows import _once
from oaktag.export.dxf_sizes import Flavour, Units
from oaktag.geometry.point import Point
from oaktag.grade.nest import graded
from oaktag.grade.spread import spread
from oaktag.grade.tags import ruled
from oaktag.model.nest import Nest
from oaktag.model.piece import NotchKind
from oaktag.model.widths import Allowance, Station
from oaktag.sheet.drawing import label_box
from wardrobe import dense, dress, nested, singer

XY = tuple[float, float]
FIVE = ("8", "10", "12", "14", "16")
STEPPED: dict[str, Allowance] = {
    "armhole": 10.0,
    "side": (Station("start", 38.0), Station("hip", 38.0), Station("hip", 12.0), Station("end", 12.0)),
    "neckline": (Station("start", 6.0), Station("end", 14.0)),
}
STYLES = ("default", "lined", "bust", "all-in-one", "stepped", "side zip")
WRITTEN = [(units, flavour) for units in ("metric", "english") for flavour in ("astm", "aama")]
MM = {"metric": 1.0, "english": 25.4}
BASE_ONLY = {"2", "3", "4", "80", "81", "82", "83"}
"""Layers of the base size alone (§4.3.1.5)."""


@cache
def nest_of(style: str) -> Nest:
    if style == "all-in-one":
        return nested(tuple(str(size) for size in range(4, 24, 2)), sleeve="none", facing="all-in-one")
    raw: dict[str, object] = {
        "lined": {"lining": "full", "waist_seam": "yes"},
        "bust": {"bust_dart": "side"},
        "side zip": {"zip": "side", "hem": "a-line", "sleeve": "long", "neckline": "square"},
    }.get(style, {})
    drafts = {}
    for size in FIVE if style == "default" else FIVE[::2]:  # as far apart, with fewer between
        body = singer((int(size) - 12) / 2)
        # 30 mm more in front than behind: a bust dart's worth (invented).
        drafts[size] = dress(
            Measurements({**body, "front_waist_length": body["back_waist_length"] + 25.4 + 30.0}), **raw
        )
    allowances = STEPPED if style == "stepped" else {}
    return graded(drafts, "12", allowances, {}, title="Lighthouse choir", unit="in", label_box=label_box)


@cache
def nest_file(style: str, units: Units, flavour: Flavour) -> bytes:
    return dxf_sizes.render_nest(nest_of(style), units=units, flavour=flavour)


@cache
def base_files(style: str, units: Units, flavour: Flavour) -> tuple[bytes, bytes]:
    return dxf_sizes.render_base(nest_of(style), units=units, flavour=flavour)


# ------------------------------------------------------------------------- a reader by the standard, for these tests


@dataclass
class Entity:
    kind: str
    codes: dict[int, str]
    points: list[XY] = field(default_factory=list)

    @property
    def layer(self) -> str:
        return self.codes.get(8, "")

    @property
    def at(self) -> XY:
        return float(self.codes[10]), float(self.codes[20])

    @property
    def text(self) -> str:
        return self.codes[1]


@dataclass
class File:
    sections: list[str]
    blocks: dict[str, list[Entity]]
    model: list[Entity]

    def facts(self, block: str) -> dict[str, str]:
        return facts_in(self.blocks[block])

    def pieces(self) -> dict[str, dict[str, list[Entity]]]:
        """Blocks by piece name and size; the pieces to prove the scale are left out."""
        found: dict[str, dict[str, list[Entity]]] = defaultdict(dict)
        for name, entities in self.blocks.items():
            if not name.startswith("SCALE"):
                facts = self.facts(name)
                assert facts["Size"] not in found[facts["Piece Name"]]
                found[facts["Piece Name"]][facts["Size"]] = entities
        return dict(found)


def facts_in(entities: list[Entity]) -> dict[str, str]:
    texts = [e.text for e in entities if e.kind == "TEXT" and e.layer == "1" and not e.text.startswith("#")]
    facts = [(key, value.strip()) for key, _, value in (text.partition(":") for text in texts)]
    assert len(facts) == len(dict(facts))
    return dict(facts)


@cache
def parsed(data: bytes) -> File:
    assert max(data) < 0x80
    rows = data.decode("ascii").split("\r\n")
    assert rows.pop() == "" and len(rows) % 2 == 0
    pairs = [(int(code), value) for code, value in zip(rows[::2], rows[1::2], strict=True)]
    file = File([], {}, [])
    entities: list[Entity] = []
    for code, value in pairs:
        if code == 0:
            entities.append(Entity(value, {}))
        else:
            assert code not in entities[-1].codes, "a group code twice"
            entities[-1].codes[code] = value
    into: list[Entity] = []
    for entity in entities:
        if entity.kind == "SECTION":
            file.sections.append(entity.codes[2])
            into = file.model if entity.codes[2] == "ENTITIES" else []
        elif entity.kind == "BLOCK":
            assert entity.codes[2] not in file.blocks
            into = file.blocks.setdefault(entity.codes[2], [])
        elif entity.kind == "VERTEX":
            assert entity.layer == into[-1].layer
            into[-1].points.append(entity.at)
        elif entity.kind not in ("ENDSEC", "ENDBLK", "SEQEND", "EOF"):
            into.append(entity)
            if entity.kind == "LINE":
                entity.points = [entity.at, (float(entity.codes[11]), float(entity.codes[21]))]
            elif entity.kind == "POINT":
                entity.points = [entity.at]
    assert entities[-1].kind == "EOF"
    return file


@dataclass
class Table:
    head: dict[str, str]
    rules: dict[int, list[XY]]

    @property
    def sizes(self) -> list[str]:
        return self.head["SIZE LIST"].split()


def parsed_table(data: bytes) -> Table:
    """By §7: header lines, then `RULE: DELTA n` and its pairs, and END."""
    lines = data.decode("ascii").split("\r\n")
    assert lines[-2:] == ["END", ""]
    table = Table({}, {})
    pairs: list[XY] = []
    for line in lines[:-2]:
        if rule := re.fullmatch(r"RULE: DELTA (\d+)", line):
            assert int(rule[1]) not in table.rules
            pairs = table.rules[int(rule[1])] = []
        elif ":" in line:
            key, _, value = line.partition(":")
            table.head[key.upper()] = value.strip()
        else:
            row = [tuple(map(float, pair)) for pair in re.findall(r"(-?\d+\.\d+),\s*(-?\d+\.\d+)", line)]
            assert 1 <= len(row) <= 4
            pairs += row  # type: ignore[arg-type]
    assert all(len(rule) == int(table.head["NUMBER OF SIZES"]) == len(table.sizes) for rule in table.rules.values())
    return table


def lines_of(entities: list[Entity], *layers: str) -> list[Entity]:
    return [e for e in entities if e.layer in layers and e.kind in ("POLYLINE", "LINE", "POINT")]


def ring(entities: list[Entity], layer: str = "1") -> list[XY]:
    (line,) = [e for e in entities if e.kind == "POLYLINE" and e.layer == layer]
    return line.points


def rules_on(entities: list[Entity]) -> dict[tuple[str, XY], int]:
    """The rule of each place, by layer."""
    found: dict[tuple[str, XY], int] = {}
    for e in entities:
        if e.kind == "TEXT" and (tag := re.fullmatch(r"# (\d+)", e.text)):
            assert found.setdefault((e.layer, e.at), int(tag[1])) == int(tag[1]), "two rules at one place"
    return found


def moved(line: Entity, rules: dict[tuple[str, XY], int], table: Table, size: int) -> tuple[list[XY], list[int]]:
    """The line's points in another size, and which carry a rule: those by it, the others evenly between."""
    points = line.points
    numbers = {
        i: rules.get((line.layer, p)) or rules.get(("2", p)) or rules.get(("3", p)) for i, p in enumerate(points)
    }
    known = {i: table.rules[number][size] for i, number in numbers.items() if number is not None}
    assert known, f"no rule on a line of layer {line.layer}"
    count = len(points)
    found: list[XY] = list(points)
    closed = line.codes.get(70) == "1"
    assert closed or {0, count - 1} <= set(known)
    stops = sorted(known)
    spans = list(pairwise(stops)) + ([(stops[-1], stops[0] + count)] if closed else [])
    for a, b in spans or [(0, 0)]:
        steps = [dist(points[i % count], points[(i + 1) % count]) for i in range(a, b)]
        walked = 0.0
        (ax, ay), (bx, by) = known[a % count], known[b % count]
        for i in range(a, b + 1):
            part = walked / sum(steps) if steps and sum(steps) else 0.0
            x, y = points[i % count]
            found[i % count] = (x + ax + (bx - ax) * part, y + ay + (by - ay) * part)
            walked += steps[i - a] if i < b else 0.0
    return found, stops


# ---------------------------------------------------------------------------------------------------------- the files


@pytest.mark.parametrize("style", STYLES)
@pytest.mark.parametrize(("units", "flavour"), WRITTEN)
def test_a_nest_has_every_piece_in_every_size_built_alike(style: str, units: Units, flavour: Flavour) -> None:
    nest = nest_of(style)
    file = parsed(nest_file(style, units, flavour))
    assert file.sections == ["HEADER", "BLOCKS", "ENTITIES"]
    inserts = [e.codes[2] for e in file.model if e.kind == "INSERT"]
    assert inserts == list(file.blocks)
    assert len(inserts) == len(nest.base_pattern.pieces) * len(nest.sizes) + 2
    assert all(e.at == (0.0, 0.0) and e.layer == "1" for e in file.model if e.kind == "INSERT")
    pieces = file.pieces()
    assert list(pieces) == [piece.name.upper()[:20] for piece in nest.base_pattern.pieces]
    for sizes in pieces.values():
        assert tuple(sizes) == nest.sizes
        base = sizes[nest.base]
        facts = facts_in(base)
        assert set(facts) == {"Piece Name", "Size", "Quantity", "Material", "Annotation"}
        built = [
            (e.kind, e.layer, len(e.points), e.codes.get(70))
            for e in base
            if e.layer not in BASE_ONLY and not (e.kind == "TEXT" and e.layer == "1")
        ]
        for size, entities in sizes.items():
            if size == nest.base:
                continue
            assert not {e.layer for e in entities} & BASE_ONLY
            assert set(facts_in(entities)) == {"Piece Name", "Size"}
            assert built == [
                (e.kind, e.layer, len(e.points), e.codes.get(70))
                for e in entities
                if not (e.kind == "TEXT" and e.layer == "1")
            ]


@pytest.mark.parametrize("style", STYLES)
@pytest.mark.parametrize(("units", "flavour"), WRITTEN)
@pytest.mark.parametrize("which", ["nest", "base"])
def test_layers_hold_what_they_may(style: str, units: Units, flavour: Flavour, which: str) -> None:
    data = nest_file(style, units, flavour) if which == "nest" else base_files(style, units, flavour)[0]
    allowed = {str(n) for n in (*range(1, 16), *range(80, 88))} - {"12"}
    base = nest_of(style).base
    file = parsed(data)
    for name, entities in file.blocks.items():
        assert {e.layer for e in entities} <= allowed
        assert not [e for e in entities if e.kind == "POLYLINE" and e.layer in {"5", "6", "7", "9", "10", "13"}]
        (cut,) = lines_of(entities, "1")
        assert cut.kind == "POLYLINE" and cut.codes[70] == "1" and cut.points[0] != cut.points[-1]
        assert len(lines_of(entities, "5")) == 1
        # No run without a length in any size: readers refuse those.
        for line in (e for e in entities if e.kind == "POLYLINE"):
            closing = line.points[:1] if line.codes[70] == "1" else []
            assert all(a != b for a, b in pairwise(line.points + closing))
        if name.startswith("SCALE") or file.facts(name)["Size"] == base:
            corners, curves = ([e.at for e in entities if e.kind == "POINT" and e.layer == n] for n in "23")
            vertices = {p for line in lines_of(entities, "1", "8", "11", "14") for p in line.points}
            assert len({*corners, *curves}) == len(corners) + len(curves)
            assert vertices <= {*corners, *curves}
            if which == "nest" or flavour == "astm":
                assert vertices == {*corners, *curves}
        else:
            assert which == "nest"


@pytest.mark.parametrize("style", STYLES)
@pytest.mark.parametrize("units", ["metric", "english"])
def test_the_nest_is_every_size_on_its_zero_point(style: str, units: Units) -> None:
    nest = nest_of(style)
    last = 0.5e-4 * MM[units] + 1e-9
    for name, sizes in parsed(nest_file(style, units, "astm")).pieces().items():
        piece = next(p.name for p in nest.base_pattern.pieces if p.name.upper()[:20] == name)
        places = []
        for size, entities in sizes.items():
            marked = nest.of(size).piece(piece)
            dx, dy = nest.shift(size, piece)
            for layer, meant in (("1", marked.cut.cut_line), ("14", marked.cut.stitch_line)):
                found = [(x * MM[units], y * MM[units]) for x, y in ring(entities, layer)]
                assert len(found) == len(meant)
                places += [(x - mx - dx, y - my - dy) for (x, y), (mx, my) in zip(found, meant, strict=True)]
        # One move of the whole piece on the page, the same for all sizes.
        for axis in (0, 1):
            values = [place[axis] for place in places]
            assert max(values) - min(values) <= 2 * last


def test_pieces_of_a_nest_lie_side_by_side() -> None:
    pieces = parsed(nest_file("lined", "metric", "astm")).pieces()
    spans = [
        (min(x for e in sizes.values() for x, _ in ring(e)), max(x for e in sizes.values() for x, _ in ring(e)))
        for sizes in pieces.values()
    ]
    assert all(b[0] - a[1] >= 49.0 for a, b in pairwise(spans))
    assert min(y for sizes in pieces.values() for e in sizes.values() for _, y in ring(e)) >= 0.0


@pytest.mark.parametrize("style", STYLES)
@pytest.mark.parametrize("flavour", ["astm", "aama"])
def test_every_notch_is_a_point_of_the_boundary_and_the_same_one_in_every_size(style: str, flavour: Flavour) -> None:
    from shapely import LinearRing
    from shapely import Point as Place

    nest = nest_of(style)
    for (name, sizes), marked in zip(
        parsed(nest_file(style, "metric", flavour)).pieces().items(), nest.base_pattern.pieces, strict=True
    ):
        base = ring(sizes[nest.base])
        notches = [e for e in sizes[nest.base] if e.kind == "POINT" and e.layer in {"4", "80", "81", "82", "83"}]
        assert len(notches) == sum(len(notch.spots) for notch in marked.notches)
        shift = base[0][0] - marked.cut.cut_line[0][0], base[0][1] - marked.cut.cut_line[0][1]
        meant = [(notch, which) for notch in marked.notches for which in range(len(notch.spots))]
        numbers = {notch: i for i, notch in enumerate(marked.notches)}
        for entity, (notch, which) in zip(notches, meant, strict=True):
            assert LinearRing(base).distance(Place(entity.at)) < 0.01
            at = base.index(entity.at)
            for size, entities in sizes.items():
                own = nest.of(size).piece(marked.name)
                spot = own.notches[numbers[notch]].spots[which]
                dx, dy = nest.shift(size, marked.name)
                x, y = ring(entities)[at]
                off = hypot(x - shift[0] - spot.x - dx, y - shift[1] - spot.y - dy)
                # A notch at a step of the allowance stands a little off the line itself.
                assert off <= (0.5 if style == "stepped" and notch.name in ("hip", "sleeve") else 0.051), name


@pytest.mark.parametrize("style", STYLES)
@pytest.mark.parametrize(("units", "flavour"), WRITTEN)
def test_base_and_rules_give_the_nest(style: str, units: Units, flavour: Flavour) -> None:
    nest = nest_of(style)
    data, rules = base_files(style, units, flavour)
    file, table = parsed(data), parsed_table(rules)
    assert facts_in(file.model)["Grade Rule Table"] == table.head["GRADE RULE TABLE"] == "PATTERN"
    assert tuple(table.sizes) == nest.sizes and table.head["SAMPLE SIZE"] == nest.base
    # Half of the last decimal: of the rule, of the base and of the nest.
    last = (0.005 if units == "metric" else 0.00005 * 25.4) + 2 * 0.00005 * MM[units] + 1e-9
    whole = parsed(nest_file(style, units, flavour)).pieces()
    used = set()
    count = 0
    for name, sizes in file.pieces().items():
        assert set(sizes) == {nest.base}
        base = sizes[nest.base]
        tags = rules_on(base)
        used |= set(tags.values())
        for size in nest.sizes:
            there = whole[name][size]
            for layer in ("1", "14", "8", "5", "7", "13"):
                for a, b in zip(lines_of(base, layer), lines_of(there, layer), strict=True):
                    found, tagged = moved(a, tags, table, table.sizes.index(size))
                    for i, (p, q) in enumerate(zip(found, b.points, strict=True)):
                        if i in tagged:
                            count += 1
                            assert max(abs(p[0] - q[0]), abs(p[1] - q[1])) * MM[units] <= last
                        assert dist(p, q) * MM[units] <= 0.05 + 0.01
    assert count > 100
    for name in ("SCALE_100_MM", "SCALE_4_IN"):
        tags = rules_on(file.blocks[name])
        used |= set(tags.values())
        assert {p for line in lines_of(file.blocks[name], "1", "8", "5") for p in line.points} <= {p for _, p in tags}
        assert all(table.rules[number] == [(0.0, 0.0)] * len(nest.sizes) for number in tags.values())
    assert used <= set(table.rules) and min(table.rules) == 1
    assert used | {1} == set(table.rules), "a rule that no point carries"
    for pairs in table.rules.values():
        assert pairs[table.sizes.index(nest.base)] == (0.0, 0.0)
    assert len({tuple(pairs) for pairs in table.rules.values()}) == len(table.rules), "a rule twice"


@pytest.mark.parametrize("style", STYLES)
def test_what_carries_a_rule_in_any_case(style: str) -> None:
    nest = nest_of(style)
    smooth: list[bool] = []
    file = parsed(base_files(style, "metric", "astm")[0])
    for sizes, marked in zip(file.pieces().values(), nest.base_pattern.pieces, strict=True):
        entities = sizes[nest.base]
        tags = rules_on(entities)
        on = {layer: {p for own, p in tags if own == layer} for layer in ("1", "8", "14", "5", "7", "13")}
        assert {layer for layer, _ in tags} <= set(on), "no tags on 2, 3, 6, 84 to 87"
        corners = {e.at for e in entities if e.layer == "2"}
        for layer in ("1", "14"):
            line = ring(entities, layer)
            assert corners & set(line) <= on[layer]
            smooth += [(layer, p) in tags for p in line if p not in corners]
        assert {e.at for e in entities if e.kind == "POINT" and e.layer in {"4", "80", "81", "82", "83"}} <= on["1"]
        for line_8 in lines_of(entities, "8"):
            assert {line_8.points[0], line_8.points[-1]} <= on["8"]
        for layer in ("5", "7", "13"):
            assert {p for e in lines_of(entities, layer) for p in e.points} == on[layer]
        # The mirror line may carry none: its ends are corners of the cut line, which do.
        for mirror in lines_of(entities, "6"):
            assert set(mirror.points) <= on["1"]
        x, y = ring(entities, "14")[0]
        sx, sy = marked.cut.stitch_line[0]
        for dart in marked.cut.piece.darts:
            for p in dart.points:
                assert min(hypot(p.x + x - sx - a, p.y + y - sy - b) for a, b in on["8"]) < 1e-3
    # Of curves few points: a rule on each would be a nest (two in five is our own bound).
    assert 0 < sum(smooth) < 0.4 * len(smooth)


def test_tags_of_the_older_flavour_stand_on_turn_and_curve_points() -> None:
    for style in STYLES:
        for entities in parsed(base_files(style, "metric", "aama")[0]).blocks.values():
            points = {(e.layer, e.at) for e in entities if e.kind == "POINT" and e.layer in "23"}
            tags = rules_on(entities)
            assert tags and set(tags) <= points
            assert not {e.layer for e in entities} & {str(n) for n in range(80, 88)}


def test_grade_reference_line_is_level_and_the_same_in_all_sizes() -> None:
    """x of a rule runs along it, so that a reader that goes by the drawing's X finds the same."""
    for style in STYLES:
        nest = nest_of(style)
        for sizes in parsed(nest_file(style, "metric", "astm")).pieces().values():
            places = [lines_of(entities, "5")[0].points for entities in sizes.values()]
            assert all(dist(a, b) < 1.5e-4 for line in places for a, b in zip(line, places[0], strict=True))
            (ax, ay), (bx, by) = places[nest.sizes.index(nest.base)]
            assert ay == by and bx - ax >= 10.0


# --------------------------------------------------------------------------------------------------- other libraries


@pytest.mark.parametrize(
    ("style", "units", "flavour"),
    [*((style, "metric", "astm") for style in STYLES), *(("default", *written) for written in WRITTEN[1:])],
)
def test_ezdxf_and_gdal_read_the_same_pieces_in_every_size(
    style: str, units: Units, flavour: Flavour, tmp_path: Path
) -> None:
    import ezdxf
    from shapely import Polygon

    from oaktag.verify.dxf import read_dxf
    from oaktag.verify.gdal import read_dxf_with_gdal

    pytest.importorskip("pyogrio")
    nest = nest_of(style)
    for name, data, sizes in (
        ("nest.dxf", nest_file(style, units, flavour), nest.sizes),
        ("base.dxf", base_files(style, units, flavour)[0], (nest.base,)),
    ):
        path = tmp_path / name
        path.write_bytes(data)
        document: Any = ezdxf.readfile(path)
        audit = document.audit()
        assert document.acad_release == "R12" and audit.errors == [] and audit.fixes == []
        one, two = read_dxf(path), read_dxf_with_gdal(path)
        assert len(one.cut) == len(two.cut) == len(nest.base_pattern.pieces) * len(sizes)
        assert set(one.cut) == set(two.cut) == set(one.stitch)
        assert one.squares.keys() == two.squares.keys() == {100.0, 101.6}
        for side, (square,) in one.squares.items():
            # Either end of a side is rounded to the last decimal.
            assert abs(Polygon(square).area - side**2) < 2 * side * 0.0001 * MM[units] + 1e-3
        written = {p.name.upper()[:20]: p.name for p in nest.base_pattern.pieces}
        for named, runs in one.cut.items():
            (cut,), (again,) = runs, two.cut[named]
            (stitch,), (stitched,) = one.stitch[named], two.stitch[named]
            meant = nest.of(named.size).piece(written[named.name]).cut
            for a, b, points in ((cut, again, meant.cut_line), (stitch, stitched, meant.stitch_line)):
                shapes = [Polygon(p) for p in (a.points, b.points, points)]
                # Area of a band of 0.05 mm round the outline, the project's tolerance for any outline read back.
                assert abs(shapes[0].area - shapes[1].area) < 1e-3
                assert abs(shapes[0].area - shapes[2].area) < 0.05 * shapes[2].length
                assert abs(shapes[0].length - shapes[1].length) < 1e-3
                assert abs(shapes[0].length - shapes[2].length) < 0.05


# ------------------------------------------------------------------------------------------------- validation curves


@pytest.mark.parametrize("style", STYLES)
def test_validation_curve_of_the_stitch_line_is_the_exact_curve(style: str) -> None:
    import shapely

    nest = nest_of(style)
    for sizes, marked in zip(
        parsed(nest_file(style, "metric", "astm")).pieces().values(), nest.base_pattern.pieces, strict=True
    ):
        for size, entities in sizes.items():
            cut = nest.of(size).piece(marked.name).cut
            fine, plain = ring(entities, "87"), ring(entities, "14")
            dx, dy = plain[0][0] - cut.stitch_line[0][0], plain[0][1] - cut.stitch_line[0][1]
            exact = [(x + dx, y + dy) for edge in cut.piece.edges for x, y in dense(edge.curves)]
            line = shapely.LinearRing(fine)
            # 0.01 mm as documented, 1e-4 for the last decimal. Its points lie on the curve itself, but where an edge
            # has more curves in one size than in another: there some lie on a chord of that line, and those of the
            # plain line on a chord of its own, 0.05 mm at most (the project's tolerance for curves).
            edges = zip(*(nest.of(size).piece(marked.name).cut.piece.edges for size in sizes), strict=True)
            alike = all(len({len(edge.curves) for edge in same}) == 1 for same in edges)
            assert shapely.distance(line, shapely.points(exact)).max() <= 0.01 + 1e-4
            on_curve, on_line = (0.001, 0.01) if alike else (0.01, 0.05)
            assert shapely.distance(shapely.LinearRing(exact), shapely.points(fine)).max() <= on_curve + 1e-4
            assert shapely.distance(line, shapely.points(plain)).max() <= on_line + 1e-4


def test_validation_curve_of_the_cut_line_lies_on_it_and_leaves_no_long_run_beside_a_curve() -> None:
    import shapely

    for style in STYLES:
        nest = nest_of(style)
        for sizes in parsed(nest_file(style, "metric", "astm")).pieces().values():
            corners = {e.at for e in sizes[nest.base] if e.layer == "2"}
            for size, entities in sizes.items():
                fine, plain = ring(entities, "84"), ring(entities)
                assert set(plain) <= set(fine)
                assert shapely.distance(shapely.LinearRing(plain), shapely.points(fine)).max() <= 1.1e-4
                if size == nest.base:
                    for i, (a, b) in enumerate(pairwise([*plain, plain[0]])):
                        if not {a, b} <= corners:
                            j = fine.index(a)
                            # At most 10 mm to the next, or the run is in eight parts.
                            assert dist(fine[j], fine[(j + 1) % len(fine)]) <= max(10.0, dist(a, b) / 8) + 1e-3, i


def test_validation_curves_are_told_with_their_tolerance() -> None:
    for units, told in (("metric", ".152"), ("english", ".006")):
        for data in (nest_file("default", units, "astm"), base_files("default", units, "astm")[0]):  # type: ignore[arg-type]
            file = parsed(data)
            assert facts_in(file.model)["Curve Tolerance"] == told
            layers = Counter(
                e.layer for entities in file.pieces()["FRONT"].values() for e in entities if e.kind != "TEXT"
            )
            blocks = len(file.pieces()["FRONT"])
            assert layers["84"] == layers["87"] == blocks and layers["85"] == layers["8"] == 3 * blocks
        assert "Curve Tolerance" not in facts_in(parsed(nest_file("default", units, "aama")).model)  # type: ignore[arg-type]


# -------------------------------------------------------------------------------------------------------------- words


def test_words_of_the_style_and_of_a_piece() -> None:
    facts = facts_in(parsed(dxf_sizes.render_nest(nest_of("default"), date="2026-03-01")).model)
    assert facts == {
        "Style Name": "LIGHTHOUSE CHOIR",
        "Creation Date": "01-03-2026",
        "Creation Time": "",
        "Author": f"Oaktag;oaktag;{dxf_entities.RELEASE}",
        "Sample Size": "12",
        "Grade Rule Table": "",
        "Units": "METRIC",
        "Curve Tolerance": ".152",
        "ASTM/D13Proposal 1 Version": "D 6673-04",
    }
    assert facts_in(parsed(nest_file("default", "english", "astm")).model)["Units"] == "ENGLISH"
    assert facts_in(parsed(nest_file("default", "metric", "astm")).model)["Creation Date"] == ""
    pieces = parsed(nest_file("default", "metric", "astm")).pieces()
    # `R,L` of ASTM, one number in the older flavour: a pair of sleeves.
    assert facts_in(pieces["SLEEVE"]["12"])["Quantity"] == "1,1"
    older = parsed(nest_file("default", "metric", "aama"))
    assert facts_in(older.pieces()["SLEEVE"]["12"])["Quantity"] == "2"
    assert "ASTM/D13Proposal 1 Version" not in facts_in(older.model)
    for size, entities in pieces["FRONT"].items():
        plotted = [e for e in entities if e.layer == "15"]
        assert [e.text for e in plotted] == [
            "FRONT", "Lighthouse choir", "cut 1 on the fold, shell", f"SIZE {size}"
        ]  # fmt: skip
    # In a nest the names of sizes do not lie on each other.
    heights = [
        next(e.at[1] for e in entities if e.codes.get(1) == f"SIZE {size}")
        for size, entities in pieces["FRONT"].items()
    ]
    assert all(a - b > 3.5 for a, b in pairwise(heights))


@pytest.mark.parametrize("units", ["metric", "english"])
def test_the_rule_table_is_laid_out_as_files_have_it(units: Units) -> None:
    lines = base_files("all-in-one", units, "astm")[1].decode("ascii").split("\r\n")
    assert lines[:9] == [
        "ASTM/D13Proposal 1 Version: D 6673-04",
        lines[1],
        "CREATION DATE:",
        "CREATION TIME:",
        f"UNITS: {units.upper()}",
        "GRADE RULE TABLE: PATTERN",
        "NUMBER OF SIZES: 10",
        "SIZE LIST: 4 6 8 10 12 14 16 18 20 22",
        "SAMPLE SIZE: 12",
    ]
    assert lines[1].startswith("AUTHOR: ")
    rows = [line for line in lines[9:-2] if not line.startswith("RULE")]
    number = r" *-?\d+\.\d{2}" if units == "metric" else r" *-?\d+\.\d{4}"
    assert all(re.fullmatch(rf"(?:{number},{number}){{1,4}}", row) for row in rows)
    assert [line for line in lines if line.startswith("RULE")] == [
        f"RULE: DELTA {n}" for n in range(1, sum(line.startswith("RULE") for line in lines) + 1)
    ]
    assert not re.search(r"-0\.0+(?!\d)", "".join(rows))


def test_a_rule_is_written_as_in_the_example_of_the_standard() -> None:
    rules = rul.Rules(3, 2)
    # The two rules of the example: sizes 8, 10 and 12 of the sample size 10, cumulative.
    assert rules.number([0, 0, 0, 0, 0, 0]) == 1
    assert rules.number([-5.0, -2.5, 0.0, 0.0, 5.0, 2.5]) == 2
    assert rules.number([-5.001, -2.499, 0.0, -0.004, 4.999, 2.5]) == 2
    assert rules.number([-0.004, 0.004, 0, 0, 0, 0]) == 1
    assert rules.number([-5.0, -2.5, 0.0, 0.0, 5.0, 2.51]) == 3
    lines = rul.render({"UNITS": "METRIC"}, ["8", "10", "12"], "10", rules).decode().split("\r\n")
    assert lines[:8] == [
        "UNITS: METRIC",
        "NUMBER OF SIZES: 3",
        "SIZE LIST: 8 10 12",
        "SAMPLE SIZE: 10",
        "RULE: DELTA 1",
        "     0.00,   0.00     0.00,   0.00     0.00,   0.00",
        "RULE: DELTA 2",
        "    -5.00,  -2.50     0.00,   0.00     5.00,   2.50",
    ]
    assert lines[-2:] == ["END", ""]


def test_names_of_sizes_are_single_words_and_differ() -> None:
    assert dxf_sizes.size_names(["XS petite", "XS-petite", "10,5", "ü", "…"]) == (
        "XS-petite-2", "XS-petite", "10-5", "u", "..."  # a name that is one word already stays
    )  # fmt: skip
    nest = nest_of("default")
    renamed = replace(
        nest,
        patterns=tuple(replace(p, size=f"no {p.size} tall", title="Größe 図 " + "x" * 40) for p in nest.patterns),
        base="no 12 tall",
    )
    data, table = dxf_sizes.render_base(renamed)
    assert parsed_table(table).sizes == [f"no-{size}-tall" for size in FIVE]
    file = parsed(dxf_sizes.render_nest(renamed))
    assert {size for sizes in file.pieces().values() for size in sizes} == set(parsed_table(table).sizes)
    assert facts_in(parsed(data).model)["Sample Size"] == parsed_table(table).head["SAMPLE SIZE"] == "no-12-tall"
    assert all(re.fullmatch(r"[A-Z0-9_$-]{1,31}", name) for name in file.blocks)
    assert len(facts_in(file.model)["Style Name"]) <= 20


def test_one_size_is_a_nest_too() -> None:
    nest = nest_of("default").only(("14",))
    data, table = dxf_sizes.render_base(nest)
    assert list(parsed(dxf_sizes.render_nest(nest)).pieces()["FRONT"]) == ["14"]
    assert parsed_table(table).rules == {1: [(0.0, 0.0)]}
    assert set(rules_on(parsed(data).pieces()["FRONT"]["14"]).values()) == {1}


def test_same_input_same_bytes() -> None:
    assert dxf_sizes.render_nest(nest_of("bust")) == nest_file("bust", "metric", "astm")
    assert dxf_sizes.render_base(nest_of("bust"), units="english", flavour="aama") == base_files(
        "bust", "english", "aama"
    )


# ------------------------------------------------------------------------------------------------------------ notches


def test_notches_of_special_kinds_have_layers_of_their_own() -> None:
    nest = nest_of("default")

    def castled(pattern: Any) -> Any:
        front = pattern.pieces[0]
        notches = (replace(front.notches[0], kind=NotchKind.CASTLE, width=3.0), *front.notches[1:])
        return replace(pattern, pieces=(replace(front, notches=notches), *pattern.pieces[1:]))

    changed = replace(nest, patterns=tuple(map(castled, nest.patterns)))
    for flavour, layer in (("astm", "81"), ("aama", "4")):
        file = parsed(dxf_sizes.render_nest(changed, units="english", flavour=flavour))  # type: ignore[arg-type]
        found = [e for e in file.pieces()["FRONT"]["12"] if e.kind == "POINT" and e.codes.get(39) == "0.1181"]
        assert [e.layer for e in found] == [layer]  # 3 mm wide: 0.1181 in
        assert float(found[0].codes[30]) == pytest.approx(nest.base_pattern.pieces[0].notches[0].depth / 25.4, abs=1e-4)


def test_points_that_lie_on_each_other_in_one_size_alone_are_kept() -> None:
    """The rules move each of them its own way; a point that is there twice in every size is there once."""
    small = [(0.0, 0.0), (30.0, 0.0), (30.0, 0.0), (30.0, 80.0), (30.0, 80.0), (0.0, 80.0)]
    large = [(0.0, 0.0), (30.0, 0.0), (34.0, 0.0), (34.0, 84.0), (34.0, 84.0), (0.0, 84.0)]
    assert _once([small, large]) == [[*small[:4], small[5]], [*large[:4], large[5]]]
    assert _once([large, small]) == [[*large[:4], large[5]], [*small[:4], small[5]]]


def test_a_notch_between_points_is_made_a_point_and_one_astray_is_refused() -> None:
    nest = nest_of("default")
    number = next(i for i, notch in enumerate(nest.base_pattern.pieces[0].notches) if notch.edge == "side")

    def beside(pattern: Any, by: float, only: str = "") -> Any:
        """The side notch moved along the cut line, half of the way to the next point, and `by` mm off it."""
        front = pattern.pieces[0]
        notch, line = front.notches[number], front.cut.cut_line
        at = min(range(len(line)), key=lambda i: dist(line[i], notch.spots[0]))
        (ax, ay), (bx, by_) = line[at], line[at + 1]
        long = dist(line[at], line[at + 1])
        off = by if only in ("", pattern.size) else 0.0
        spot = Point((ax + bx) / 2 + off * (by_ - ay) / long, (ay + by_) / 2 - off * (bx - ax) / long)
        notches = [replace(n, spots=(spot,)) if i == number else n for i, n in enumerate(front.notches)]
        return replace(pattern, pieces=(replace(front, notches=tuple(notches)), *pattern.pieces[1:]))

    moved_nest = replace(nest, patterns=tuple(beside(p, 0.3) for p in nest.patterns))
    sizes = parsed(dxf_sizes.render_nest(moved_nest)).pieces()["FRONT"]
    assert {len(ring(e)) for e in sizes.values()} == {len(nest.base_pattern.pieces[0].cut.cut_line) + 1}
    notches = [e for e in sizes["12"] if e.kind == "POINT" and e.layer == "4"]
    assert all(e.at in ring(sizes["12"]) for e in notches)
    data, _ = dxf_sizes.render_base(moved_nest)
    tags = rules_on(parsed(data).pieces()["FRONT"]["12"])
    assert all(("1", e.at) in tags for e in notches)

    with pytest.raises(GeometryError, match=r"of front\.side lies 0\.9 mm off the cut line"):
        dxf_sizes.render_nest(replace(nest, patterns=tuple(beside(p, 0.9) for p in nest.patterns)))
    with pytest.raises(GeometryError, match=r"of front\.side, size 8, lies 0\.9 mm from the point of the cut line"):
        dxf_sizes.render_base(replace(nest, patterns=tuple(beside(p, 0.9, "8") for p in nest.patterns)))


# ------------------------------------------------------------------------------------------------------- properties


@settings(max_examples=8, deadline=None)
@given(
    stack=st.sampled_from(
        ["", "shoulder", "neck_side", "neck_centre", "underarm", "hip_side", "waist_side", "hem_side"]
    ),
    base=st.sampled_from(FIVE),
    units=st.sampled_from(["metric", "english"]),
)
def test_base_and_rules_give_the_nest_on_any_stack_point(stack: str, base: str, units: Units) -> None:
    nest = replace(nest_of("default"), stack=stack, base=base)
    data, rules = dxf_sizes.render_base(nest, units=units)
    table, whole = parsed_table(rules), parsed(dxf_sizes.render_nest(nest, units=units)).pieces()
    for name, sizes in parsed(data).pieces().items():
        tags = rules_on(sizes[base])
        for number, size in enumerate(nest.sizes):
            for layer in ("1", "14", "7", "5", "8", "13"):
                for a, b in zip(lines_of(sizes[base], layer), lines_of(whole[name][size], layer), strict=True):
                    found, _ = moved(a, tags, table, number)
                    assert max(map(dist, found, b.points)) * MM[units] <= 0.05 + 0.01
    if stack:
        for piece in nest.base_pattern.pieces:
            if stack in piece.cut.piece.points:
                places = []
                for size in nest.sizes:
                    own = nest.of(size).piece(piece.name).cut
                    x, y = ring(whole[piece.name.upper()][size], "14")[0]
                    (sx, sy), p = own.stitch_line[0], own.piece.points[stack]
                    places.append(((x * MM[units] - sx + p.x), (y * MM[units] - sy + p.y)))
                assert all(dist(place, places[0]) < 0.01 for place in places)


coordinates = st.floats(-300, 300)


@given(
    line=st.lists(st.tuples(coordinates, coordinates), min_size=2, max_size=25),
    seeds=st.lists(st.lists(st.tuples(st.floats(-9, 9), st.floats(-9, 9)), min_size=25, max_size=25), max_size=4),
    must=st.sets(st.integers(0, 24), max_size=4),
    within=st.floats(0.01, 5.0),
)
def test_points_between_rules_come_near_enough_when_moved_evenly(
    line: list[XY], seeds: list[list[XY]], must: set[int], within: float
) -> None:
    moves = [seed[: len(line)] for seed in seeds]
    must = {i for i in must if i < len(line)}
    kept = ruled(line, moves, must, within=within)
    assert {0, len(line) - 1, *must} <= set(kept) and list(kept) == sorted(set(kept))
    for own in moves:
        found = spread(line, {i: own[i] for i in kept}, smooth=False)
        assert max(map(dist, found, own)) <= within + 1e-9


@given(
    seed=st.lists(st.tuples(st.floats(-9, 9), st.floats(-9, 9)), min_size=12, max_size=12),
    must=st.sets(st.integers(0, 11), max_size=3),
)
def test_a_ring_is_ruled_across_its_first_point(seed: list[XY], must: set[int]) -> None:
    from math import cos, pi, sin

    line = [(100 * cos(i * pi / 6), 100 * sin(i * pi / 6)) for i in range(12)]
    kept = ruled(line, [seed], must, closed=True, within=1.0)
    assert must <= set(kept)
    first = kept[0]
    order = [(first + i) % 12 for i in range(13)]
    found = spread([line[i] for i in order], {n: seed[i] for n, i in enumerate(order) if i in kept}, smooth=False)
    assert max(dist(p, seed[i]) for p, i in zip(found, order, strict=True)) <= 1.0 + 1e-9


def test_points_that_move_alike_need_no_rules_between() -> None:
    line = [(float(i), 0.0) for i in range(9)]
    assert ruled(line, [[(3.0, 1.0)] * 9, [(0.5 * i, 0.0) for i in range(9)]], ()) == (0, 8)
    bump = [(0.0, 0.2 if i == 5 else 0.0) for i in range(9)]
    # By hand: one point moves, so it and its neighbours are held.
    assert ruled(line, [bump], ()) == (0, 4, 5, 6, 8)
    assert ruled(line, [bump], (), within=0.25) == (0, 8)
