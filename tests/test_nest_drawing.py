"""Nests as they are drawn: every size in its own line pattern, named beside its line, in a layer of its own."""

from __future__ import annotations

import subprocess
from itertools import accumulate, combinations, pairwise
from math import dist
from pathlib import Path

import pikepdf
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from oaktag.device.store import find_device
from oaktag.errors import InputError
from oaktag.export import hpgl, pdf, svg
from oaktag.geometry.affine import Move
from oaktag.model.nest import Nest
from oaktag.sheet.arrange import arrange
from oaktag.sheet.dashes import MOST, PATTERNS, SHARP_DEG, dashed_line, fitted, patterns_for
from oaktag.sheet.drawing import figure_of
from oaktag.sheet.nest import key_figure, nest_figures, size_figures
from oaktag.sheet.strokes import Figure, Role, Sheet, Stroke
from wardrobe import nested, tool

SIZES = ("8", "10", "12", "14", "16")


@pytest.fixture(scope="module")
def nest() -> Nest:
    return nested(SIZES, sleeve="elbow")


@pytest.fixture(scope="module")
def figures(nest: Nest) -> list[Figure]:
    return nest_figures(nest)


@pytest.fixture(scope="module")
def sheet(nest: Nest, figures: list[Figure]) -> Sheet:
    return arrange("Lighthouse choir", [*figures, key_figure(nest)], 900.0, margin=2.0)


def as_seen(pattern: tuple[float, ...]) -> frozenset[tuple[float, ...]]:
    """A pattern from wherever one begins to look at it, read from either end: dash and gap, dash and gap, …"""
    pairs = list(zip(pattern[::2], pattern[1::2], strict=True))
    turned = [(dash, gap) for dash, gap in reversed(pairs)]  # all gaps are equal, so turning keeps them
    return frozenset(
        tuple(x for pair in (*row[i:], *row[:i]) for x in pair) for row in (pairs, turned) for i in range(len(pairs))
    )


def test_no_pattern_is_another_one_begun_elsewhere_or_read_from_the_other_end() -> None:
    for a, b in combinations(PATTERNS, 2):
        assert not as_seen(a) & as_seen(b), (a, b)
    assert all(len(set(pattern[1::2])) == 1 for pattern in PATTERNS)


def test_twenty_sizes_have_a_pattern_each_and_more_are_refused() -> None:
    sizes = [str(i) for i in range(MOST)]
    assert MOST >= 20 and len(set(patterns_for(sizes, "3").values())) == MOST
    assert patterns_for(sizes, "3")["3"] == ()
    with pytest.raises(InputError) as caught:
        patterns_for([*sizes, "one more"], "3")
    assert "have every size drawn by itself" in str(caught.value)


@given(st.sampled_from(PATTERNS), st.floats(20.0, 5000.0))
def test_a_fitted_pattern_goes_a_whole_number_of_times(pattern: tuple[float, ...], length: float) -> None:
    period = sum(fitted(pattern, length))
    assert length / period == pytest.approx(round(length / period))
    assert 0.6 < period / sum(pattern) < 2.1 or length < 1.5 * sum(pattern)


RINGS = st.lists(st.tuples(st.integers(-300, 300), st.integers(-300, 300)), min_size=3, max_size=9, unique=True).filter(
    lambda ring: all(dist(a, b) > 8 for a, b in pairwise([*ring, ring[0]]))
)


@settings(deadline=None)
@given(RINGS, st.sampled_from(PATTERNS))
def test_dashes_lie_on_their_line_and_draw_every_corner(
    ring: list[tuple[int, int]], pattern: tuple[float, ...]
) -> None:
    dashes = dashed_line(ring, pattern, closed=True)
    line = shapely.LinearRing(ring)
    drawn = shapely.MultiLineString([dash for dash in dashes if len(dash) > 1])
    ink = drawn.buffer(1e-6)
    assert line.distance(shapely.points([p for dash in dashes for p in dash])).max() < 1e-6
    assert drawn.length <= line.length + 1e-6
    for before, corner, after in zip([ring[-1], *ring[:-1]], ring, [*ring[1:], ring[0]], strict=True):
        a, b = (
            shapely.LineString([corner, (corner[0] + (p[0] - corner[0]) * 2.5 / dist(p, corner),
                                         corner[1] + (p[1] - corner[1]) * 2.5 / dist(p, corner))])
            for p in (before, after)
        )  # fmt: skip
        cos = ((corner[0] - before[0]) * (after[0] - corner[0]) + (corner[1] - before[1]) * (after[1] - corner[1])) / (
            dist(before, corner) * dist(corner, after)
        )
        if cos < 0.9:  # above about 26 degrees, so above SHARP_DEG
            assert SHARP_DEG < 26 and drawn.distance(shapely.Point(corner)) < 1e-6
            assert all(shapely.difference(way, ink).length < 1e-3 for way in (a, b))


def test_every_size_is_drawn_where_it_is_stacked_in_its_own_pattern(nest: Nest, figures: list[Figure]) -> None:
    patterns = patterns_for(SIZES, nest.base)
    for figure in figures:
        cuts = {stroke.size: stroke for stroke in figure.strokes if stroke.role is Role.CUT}
        assert set(cuts) == set(SIZES)
        assert not any(stroke.role is Role.STITCH for stroke in figure.strokes)
        for size, stroke in cuts.items():
            ring = Move.by(*nest.shift(size, figure.name)).points(nest.of(size).piece(figure.name).cut.cut_line)
            assert stroke.closed
            assert shapely.LinearRing(stroke.points).hausdorff_distance(shapely.LinearRing(ring)) < 1e-6
            assert bool(stroke.dashes) == bool(patterns[size])


def is_straight(stroke: Stroke) -> bool:
    """Whether it may be a sign on a line (a bar at its end, a tooth of the zip): one straight run; few letters are."""
    return len(stroke.points) == 2


def test_every_size_is_named_on_every_piece_and_no_name_lies_on_a_cut_line_or_another(figures: list[Figure]) -> None:
    for figure in figures:
        cuts = shapely.MultiLineString(
            [[*s.points, s.points[0]] for s in figure.strokes if s.role is Role.CUT and s.closed]
        )
        names: dict[str, list[shapely.LineString]] = {}
        for stroke in figure.strokes:
            if stroke.role is Role.LABEL and stroke.size and not is_straight(stroke):
                names.setdefault(stroke.size, []).append(shapely.LineString(stroke.points))
        assert set(names) == set(SIZES), figure.name
        letters = {size: [line for line in lines if line.length < 14] for size, lines in names.items()}
        for a, b in combinations(SIZES, 2):
            one, other = shapely.MultiLineString(letters[a]), shapely.MultiLineString(letters[b])
            leaders = shapely.MultiLineString([line for size in (a, b) for line in names[size] if line.length >= 14])
            assert one.distance(other) > 0.1 or leaders.length, (figure.name, a, b)
        words = shapely.MultiLineString(
            [
                s.points
                for s in figure.strokes
                if s.role is Role.LABEL and not s.size and len(s.points) > 1 and not is_straight(s)
            ]
        )
        assert words.distance(cuts) > 0.1, figure.name


def test_one_size_of_a_nest_is_drawn_as_that_size_alone(nest: Nest) -> None:
    only = nest.only(("14",))
    assert nest_figures(only) == size_figures(only) == [figure_of(piece) for piece in only.base_pattern.pieces]
    assert any(stroke.role is Role.STITCH for stroke in nest_figures(only)[0].strokes)


def test_sizes_apart_are_whole_drawings_named_by_size(nest: Nest) -> None:
    apart = size_figures(nest)
    assert [(figure.size, figure.name) for figure in apart] == [
        (pattern.size, piece.name) for pattern in nest.patterns for piece in pattern.pieces
    ]
    assert all(any(stroke.role is Role.STITCH for stroke in figure.strokes) for figure in apart)


def test_svg_keeps_the_sizes_apart(sheet: Sheet) -> None:
    text = svg.render(sheet).decode()
    for size in SIZES:
        assert text.count(f'id="front.cut-line.{size}" data-size="{size}"') == 1
    assert text.count("stroke-dasharray") > len(SIZES)


def test_all_sizes_but_one_can_be_switched_off_in_the_pdf(sheet: Sheet, tmp_path: Path) -> None:
    """By poppler: with the layers of the other sizes off, less is drawn, and what is left was there before."""
    whole, one = tmp_path / "whole.pdf", tmp_path / "one.pdf"
    whole.write_bytes(pdf.render_roll(sheet))
    with pikepdf.open(whole) as document:
        groups = {str(group.Name): group for group in document.Root.OCProperties.OCGs}
        assert {f"size {size}" for size in SIZES} <= set(groups)
        off = [groups[f"size {size}"] for size in SIZES if size != "10"]
        document.Root.OCProperties.D.OFF = pikepdf.Array(off)
        document.Root.OCProperties.D.ON = pikepdf.Array([g for g in groups.values() if g not in off])
        document.save(one)
    pages = []
    for path in (whole, one):
        subprocess.run([tool("pdftoppm"), "-r", "40", "-gray", "-singlefile", path, path.with_suffix("")], check=True)
        with Image.open(path.with_suffix(".pgm")) as image:
            pages.append(image.point(lambda value: 255 if value < 160 else 0))
    ink = [sum(page.histogram()[255:]) for page in pages]
    assert 0 < ink[1] < 0.7 * ink[0]
    outside = sum(1 for a, b in zip(pages[0].tobytes(), pages[1].tobytes(), strict=True) if b and not a)
    assert outside < 0.02 * ink[1]  # a grey pixel may go over the limit where lines crossed


def test_a_plotter_draws_what_sizes_share_once(sheet: Sheet) -> None:
    """The fold of a half is one line in all sizes: the pen goes along it once as cut line, and once as fold line."""
    data = hpgl.render(sheet, find_device("roll-914")).decode()
    seen: dict[tuple[int, int], list[tuple[int, int]]] = {}
    at = (0, 0)
    for command in data.split(";"):
        command = command.strip()
        numbers = [int(n) for n in command[2:].split(",") if n] if command[:2] in ("PU", "PD") else []
        for x, y in zip(numbers[::2], numbers[1::2], strict=True):
            if command.startswith("PD") and y == at[1] and abs(x - at[0]) > 400:  # level, longer than 10 mm
                seen.setdefault((y, 0), []).append((min(x, at[0]), max(x, at[0])))
            at = (x, y)
    assert len(seen) > 10
    for level, runs in seen.items():
        ends = sorted([(low + 20, 1) for low, _ in runs] + [(high - 20, -1) for _, high in runs])
        assert max(accumulate(step for _, step in ends)) <= 2, (level, runs)
