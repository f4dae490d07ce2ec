"""Nests drawn: patterns that can be told apart, names that can be read, and every size's outline in every format.

Outlines are read back by svgelements, PDFium, and a little HP-GL reader; hp2xx, poppler and PDFium draw them; shapely
measures. Tolerances are the project's: 0.05 mm, HP-GL 0.06 mm.
"""

from __future__ import annotations

import ctypes
import io
import math
import re
import subprocess
import warnings
from functools import cache
from itertools import combinations, pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely.ops import substring

from oaktag.device.store import find_device
from oaktag.export import hpgl, pdf, svg
from oaktag.export.tiles import clip_stroke, cut_into_tiles
from oaktag.geometry.polygon import Box
from oaktag.model.nest import Nest
from oaktag.sheet.arrange import arrange
from oaktag.sheet.dashes import (
    DOT,
    GAP,
    PATTERNS,
    SHARP_DEG,
    corner_strokes,
    dashed_line,
    fitted,
    patterns_for,
    ring_length,
)
from oaktag.sheet.drawing import dashed, figure_of
from oaktag.sheet.lettering import text_lines
from oaktag.sheet.nest import KEY, _corners_like, key_figure, nest_figures, size_figures
from oaktag.sheet.paper import PAPERS
from oaktag.sheet.strokes import Figure, Role, Sheet, Stroke
from wardrobe import nested, tool

XY = tuple[float, float]
OUTLINE = 0.05
PLOT = 0.06
MARGIN = 7.0
MM = 25.4 / 72  # of PDF's default user unit (ISO 32000-1 §8.3.2.3)
WIDE = find_device("roll-1067")
FIVE = ("8", "10", "12", "14", "16")
TEN = ("4", "6", "8", "10", "12", "14", "16", "18", "20", "22")
DRESSES: dict[str, tuple[tuple[str, ...], str, dict[str, str]]] = {
    "plain": (FIVE, "12", {}),
    "lined": (TEN, "12", {"lining": "full"}),
    "bodice and skirt": (TEN, "12", {"sleeve": "none", "neckline": "v", "waist_seam": "yes"}),
    "elbow sleeve": (TEN, "12", {"sleeve": "elbow", "length": "40", "lining": "full"}),
    "twenty": (tuple(str(n) for n in range(2, 42, 2)), "22", {}),
}


@cache
def nest_of(name: str) -> Nest:
    sizes, base, style = DRESSES[name]
    return nested(sizes, base, **style)


@cache
def drawn(name: str) -> tuple[Figure, ...]:
    return tuple(nest_figures(nest_of(name)))


@cache
def sheet() -> Sheet:
    return arrange("Lighthouse choir", [*drawn("plain"), key_figure(nest_of("plain"))], 1000.0, margin=5.0)


def ring_of(name: str, size: str, piece: str) -> tuple[XY, ...]:
    """The cut line of a size, laid on the base by hand."""
    nest = nest_of(name)
    dx, dy = nest.shift(size, piece)
    return tuple((x + dx, y + dy) for x, y in nest.of(size).piece(piece).cut.cut_line)


def placed(piece: str, size: str) -> Any:
    """The same on the sheet: moved as the base's cut line was (no piece of the plain dress is turned)."""
    (figure,) = [f for f in sheet().figures if f.name == piece]
    (base,) = [s.points for s in figure.strokes if s.role is Role.CUT and s.size == nest_of("plain").base]
    x, y = nest_of("plain").base_pattern.piece(piece).cut.cut_line[0]
    dx, dy = base[0][0] - x, base[0][1] - y
    return shapely.LinearRing([(px + dx, py + dy) for px, py in ring_of("plain", size, piece)])


# ---- patterns


def ink(dashes: tuple[float, ...], length: float, step: float = 0.25) -> list[bool]:
    """Whether each quarter millimetre of a line in that pattern is drawn."""
    if not dashes:
        return [True] * int(length / step)
    return [
        next(i for i, end in enumerate(ends(dashes)) if at % sum(dashes) < end) % 2 == 0
        for at in (k * step for k in range(int(length / step)))
    ]


def ends(dashes: tuple[float, ...]) -> list[float]:
    return [sum(dashes[: i + 1]) for i in range(len(dashes))]


def test_patterns_differ_in_their_ink_wherever_they_begin() -> None:
    """Over 150 mm, at least a fifteenth of the line is drawn in one and not in the other, at the best of all shifts."""
    length = 150.0
    for a, b in combinations((*PATTERNS, ()), 2):
        mine = np.array(ink(a, length))
        longer = np.array(ink(b, length + sum(b)))
        least = 1.0
        for shift in range(int(sum(b) / 0.25) + 1):
            for line in (longer[shift : shift + len(mine)], longer[shift : shift + len(mine)][::-1]):
                least = min(least, (mine != line).mean())
        assert least > 1 / 15, (a, b)


def test_a_pen_half_a_millimetre_wide_or_a_photocopier_leaves_every_dash_and_gap() -> None:
    assert min(DOT, GAP) >= 2 * 0.5
    assert all(part >= 1.0 for pattern in PATTERNS for part in pattern)


points = st.tuples(st.integers(-300, 300), st.integers(-300, 300))
rings = st.lists(points, min_size=3, max_size=9, unique=True)
patterns = st.sampled_from(PATTERNS)


def length_of(line: tuple[XY, ...] | list[XY]) -> float:
    return sum(math.dist(a, b) for a, b in pairwise(line))


@given(rings, patterns, st.booleans(), st.floats(0, 80))
def test_dashes_lie_on_their_line_in_its_order_and_draw_every_corner(
    ring: list[XY], pattern: tuple[float, ...], closed: bool, phase: float
) -> None:
    line = [*ring, ring[0]] if closed else ring
    dashes = dashed_line(ring, pattern, closed=closed, phase=phase)
    whole = shapely.LineString(line)
    assert all(whole.distance(shapely.Point(p)) < 1e-6 for dash in dashes for p in dash)
    assert dashes[0][0] == ring[0] and dashes[-1][-1] == line[-1]
    union = shapely.MultiLineString([dash for dash in dashes if len(dash) > 1])
    for before, corner, after in zip(line, line[1:], line[2:], strict=False):
        turn = abs(math.degrees(math.atan2(corner[1] - before[1], corner[0] - before[0])
                                - math.atan2(after[1] - corner[1], after[0] - corner[0])))  # fmt: skip
        if SHARP_DEG + 1 < turn < 360 - SHARP_DEG - 1:
            assert union.distance(shapely.Point(corner)) < 1e-6
    # what is left out between two dashes is never longer than a gap
    walked = 0.0
    for dash, following in pairwise(dashes):
        walked += length_of(dash)
        assert math.dist(dash[-1], following[0]) <= GAP + 1e-6
    assert walked + length_of(dashes[-1]) <= length_of(line) + 1e-6


@given(rings, patterns)
def test_what_is_drawn_is_the_pattern_and_the_corners(ring: list[XY], pattern: tuple[float, ...]) -> None:
    """The dashes one by one cover what a native pattern and the lines over corners cover, and hardly any more."""
    line = [*ring, ring[0]]
    own = sum(length_of(dash) for dash in dashed_line(ring, pattern, closed=True))
    native = dashed(line, pattern)
    corners = corner_strokes(ring, closed=True)
    assert own >= max(sum(map(length_of, native)), 0) - 1e-6
    closed_gaps = 0.4 * (2 * len(ring) + 2)  # where a corner nearly meets a dash
    assert own <= sum(map(length_of, native)) + sum(map(length_of, corners)) + closed_gaps


@given(rings, st.lists(st.floats(0.5, 20), min_size=2, max_size=6).filter(lambda parts: len(parts) % 2 == 0))
def test_plain_dashes_are_as_long_as_asked(ring: list[XY], pattern: list[float]) -> None:
    dashes = dashed(ring, pattern)
    lengths = [length_of(dash) for dash in dashes]
    for i, length in enumerate(lengths[:-1]):
        assert length == pytest.approx(pattern[2 * i % len(pattern)], abs=1e-6)
    total, full = length_of(ring), sum(pattern)
    left = total % full
    meant = total // full * sum(pattern[::2])
    for i, part in enumerate(pattern):
        meant += min(left, part) if i % 2 == 0 else 0.0
        left = max(0.0, left - part)
    assert sum(lengths) == pytest.approx(meant, abs=1e-4)


# ---- one size, sizes apart


def test_every_size_by_itself_keeps_its_stitch_lines_and_names_its_size() -> None:
    nest = nest_of("plain").only(("10", "14"))
    figures = size_figures(nest)
    assert {(f.name, f.size) for f in figures} == {(p.name, s) for s in ("10", "14") for p in nest.of(s).pieces}
    assert all(f.strokes == figure_of(nest.of(f.size).piece(f.name)).strokes for f in figures)
    laid = arrange("apart", figures, 2000.0, margin=5.0)
    ids = re.findall(r'id="([^"]*)"', svg.render(laid).decode())
    assert len(ids) == len(set(ids)) and {"front.10.cut-line", "front.14.stitch-line"} <= set(ids)
    sized = {(name, size) for _, name, size, _ in pdf_paths(pdf.render_roll(laid))}
    assert sized == {(f.name, f.size) for f in figures}


# ---- figures


@pytest.mark.parametrize("name", DRESSES)
def test_every_piece_is_one_figure_with_a_cut_line_for_each_size(name: str) -> None:
    nest = nest_of(name)
    assert [f.name for f in drawn(name)] == [p.name for p in nest.base_pattern.pieces]
    for figure in drawn(name):
        cut = [s for s in figure.strokes if s.role is Role.CUT]
        assert [s.size for s in cut] == list(nest.sizes)
        assert all(s.closed for s in cut) and not any(s.role is Role.STITCH for s in figure.strokes)
        assert [s.dashes for s in cut if s.size == nest.base] == [()]
        assert len({s.dashes for s in cut}) == len(cut)
        for stroke in cut:
            wanted = ring_of(name, stroke.size, figure.name)
            assert max(math.dist(a, b) for a, b in zip(stroke.points, wanted, strict=True)) < 1e-9
            if stroke.dashes:
                times = ring_length(stroke.points) / sum(stroke.dashes)
                assert times == pytest.approx(round(times), abs=1e-6)


@pytest.mark.parametrize("name", DRESSES)
def test_marks_of_every_size_are_drawn_where_they_lie(name: str) -> None:
    nest = nest_of(name)
    for figure in drawn(name):
        notches = shapely.MultiPoint([p for s in figure.strokes if s.role is Role.NOTCH for p in s.points])
        drills = [s.points for s in figure.strokes if s.role is Role.DRILL]
        darts = [s for s in figure.strokes if s.role is Role.DART]
        for size in nest.sizes:
            piece = nest.of(size).piece(figure.name)
            dx, dy = nest.shift(size, figure.name)
            for notch in piece.notches:
                for spot in notch.spots:
                    assert notches.distance(shapely.Point(spot.x + dx, spot.y + dy)) < 0.02
            for hole in piece.drill_holes:
                at = (hole.x + dx, hole.y + dy)
                assert any(all(math.dist(at, p) <= 1.51 for p in line) for line in drills if len(line) > 20)
            for dart in piece.cut.piece.darts:
                wanted = [(p.x + dx, p.y + dy) for p in dart.points]
                assert any(
                    len(s.points) == len(wanted) and s.size in (size, "")
                    and max(math.dist(a, b) for a, b in zip(s.points, wanted, strict=True)) < 0.02
                    for s in darts
                )  # fmt: skip


@pytest.mark.parametrize("name", ["plain", "lined"])
def test_the_fold_is_drawn_once_as_long_as_the_longest(name: str) -> None:
    nest = nest_of(name)
    for figure in drawn(name):
        folds = [s for s in figure.strokes if s.role is Role.FOLD and len(s.points) == 2]
        pieces = [(nest.of(size).piece(figure.name), nest.shift(size, figure.name)) for size in nest.sizes]
        if pieces[0][0].fold_line is None:
            assert not folds
            continue
        levels = [p.y + dy for piece, (_, dy) in pieces for p in piece.fold_line or ()]
        (fold,) = folds
        assert fold.size == "" and all(x == pytest.approx(0.0, abs=1e-9) for x, _ in fold.points)
        assert sorted(y for _, y in fold.points) == pytest.approx([min(levels), max(levels)])


def test_folds_that_do_not_lie_on_each_other_are_drawn_each() -> None:
    nest = nested(("10", "12", "14"))
    other = Nest(nest.patterns, nest.base, "underarm")
    front = nest_figures(other)[0]
    assert [s.size for s in front.strokes if s.role is Role.FOLD and len(s.points) == 2] == ["10", "12", "14"]


def says(strokes: list[Stroke], text: str) -> bool:
    """Whether the strokes hold a line of text, in any height and direction."""
    wanted = text_lines(text, 10.0)
    ends = [p for line in wanted for p in (line[0], line[-1])]
    for i in range(len(strokes) - len(wanted) + 1):
        run = strokes[i : i + len(wanted)]
        if [len(s.points) for s in run] == [len(line) for line in wanted]:
            found = [p for s in run for p in (s.points[0], s.points[-1])]
            scale = math.dist(found[0], found[-1]) / math.dist(ends[0], ends[-1])
            if all(
                math.dist(found[0], p) == pytest.approx(scale * math.dist(ends[0], q), abs=0.01)
                for p, q in zip(found, ends, strict=True)
            ):
                return True
    return False


@pytest.mark.parametrize("name", ["plain", "bodice and skirt"])
def test_the_label_names_all_sizes_and_the_allowances(name: str) -> None:
    nest = nest_of(name)
    sizes = f"{nest.sizes[0]} to {nest.sizes[-1]}"
    for figure in drawn(name):
        common = [s for s in figure.strokes if s.role is Role.LABEL and not s.size]
        assert says(common, f"sizes: {sizes}") and says(common, "allowances") and says(common, "Lighthouse")
        assert not says(common, f"size {nest.base}")
        assert sum(s.role is Role.GRAIN and len(s.points) == 2 for s in figure.strokes) == 1


# ---- names of sizes


def dots(figure: Figure) -> list[tuple[Stroke, Stroke]]:
    """The dot at the foot of each leader, and the leader."""
    return [
        (a, b) for a, b in pairwise(figure.strokes)
        if a.role is b.role is Role.LABEL and a.closed and len(a.points) == 6 and a.size and a.size == b.size
    ]  # fmt: skip


def names(figure: Figure) -> list[Stroke]:
    """Letters of the names of sizes, without leaders; signs at the ends of lines come before the words, not here."""
    leaders = {id(stroke) for pair in dots(figure) for stroke in pair}
    last = max(i for i, s in enumerate(figure.strokes) if s.role is not Role.LABEL)
    return [s for s in figure.strokes[last + 1 :] if s.size and id(s) not in leaders]


def lines_of(strokes: list[Stroke]) -> list[Any]:
    return [shapely.LineString([*s.points, *s.points[: s.closed]]) for s in strokes]


@pytest.mark.parametrize("name", DRESSES)
def test_names_touch_neither_lines_nor_each_other(name: str) -> None:
    for figure in drawn(name):
        letters = names(figure)
        own = lines_of(letters)
        solid = [s for s in figure.strokes if s.role in (Role.CUT, Role.NOTCH, Role.DART, Role.FOLD, Role.GRAIN)]
        tree = shapely.STRtree(lines_of(solid))
        assert tree.query(own, predicate="intersects").size == 0
        rest = [s for s in figure.strokes if s.role is Role.LABEL and s.size == ""]
        assert shapely.STRtree(lines_of(rest)).query(own, predicate="intersects").size == 0
        leaders = [stroke for pair in dots(figure) for stroke in pair]
        everything = [*letters, *leaders]
        met = shapely.STRtree(lines_of(everything)).query(lines_of(everything), predicate="intersects")
        assert all(everything[i].size == everything[j].size for i, j in met.T)


@pytest.mark.parametrize("moved", [0, 1, 8, 10, 19])
def test_every_corner_of_the_base_has_one_of_its_own_in_another_size(moved: int) -> None:
    """Four of a ring of 20 points; the other size has a small corner more, one square corner a point sooner, one two
    points and one a point later, and its ring begins elsewhere."""

    def ring(turns: dict[int, float]) -> list[float]:
        return [turns.get((i + moved) % 20, 1.0) for i in range(20)]

    base = ring({0: 90.0, 5: -60.0, 9: 81.0, 11: 85.0})
    other = ring({19: 88.0, 5: -62.0, 11: 83.0, 12: 90.0, 14: -24.0})
    corners = sorted((i - moved) % 20 for i in (0, 5, 9, 11))
    own = {(i - moved) % 20: (j - moved) % 20 for i, j in ((0, 19), (5, 5), (9, 11), (11, 12))}
    assert _corners_like(corners, base, other) == [own[i] for i in corners]
    back = {j: i for i, j in own.items()} | {(14 - moved) % 20: (13 - moved) % 20}  # a point behind, as 12 is now 11
    assert _corners_like(sorted(back), other, base) == [back[j] for j in sorted(back)]


@pytest.mark.parametrize("name", DRESSES)
def test_leaders_end_on_lines_of_their_size(name: str) -> None:
    for figure in drawn(name):
        for dot, leader in dots(figure):
            foot = shapely.Point(leader.points[0])
            own = [s for s in figure.strokes if s.size == dot.size and s.role in (Role.CUT, Role.DART, Role.INTERNAL)]
            assert min(line.distance(foot) for line in lines_of(own)) < 0.05


@pytest.mark.parametrize("name", DRESSES)
def test_names_beside_a_cut_line_are_nearest_to_their_own(name: str) -> None:
    """Letters within 1 mm of a cut line stand by that of their size; by a notch, by a notch of their size."""
    for figure in drawn(name):
        cut = {s.size: lines_of([s])[0] for s in figure.strokes if s.role is Role.CUT}
        notched = [(s.size, line) for s in figure.strokes if s.role is Role.NOTCH for line in lines_of([s])]
        tips = [shapely.Point(leader.points[-1]) for _, leader in dots(figure)]
        groups: dict[tuple[str, int], list[Any]] = {}
        letters = names(figure)
        for i, (stroke, line) in enumerate(zip(letters, lines_of(letters), strict=True)):
            before = i and letters[i - 1].size == stroke.size and groups
            key = next(reversed(groups)) if before else (stroke.size, i)
            groups.setdefault(key, []).append(line)
        for (size, _), parts in groups.items():
            word = shapely.MultiLineString(parts)
            if any(word.distance(tip) < 1.5 for tip in tips) or any(word.distance(line) < 1.5 for _, line in notched):
                continue
            near = min(cut, key=lambda s: cut[s].distance(word))
            if cut[near].distance(word) < 1.0:
                assert near == size


@pytest.mark.parametrize("name", DRESSES)
def test_every_size_is_named_on_every_piece(name: str) -> None:
    for figure in drawn(name):
        named = {s.size for s in names(figure)}
        assert named == set(nest_of(name).sizes)


@pytest.mark.parametrize("name", DRESSES)
def test_names_are_large_enough_to_read(name: str) -> None:
    """Capitals of 2.5 mm at least: the digits 0, 4, 6, 8 and 9 are as high; here the tallest letter of each size."""
    for figure in drawn(name):
        tallest: dict[str, float] = {}
        for stroke in names(figure):
            spans = [math.dist(a, b) for a, b in combinations(stroke.points, 2)]
            tallest[stroke.size] = max([tallest.get(stroke.size, 0.0), *spans])
        assert min(tallest.values()) >= 2.4


def test_the_key_shows_every_size_in_its_pattern() -> None:
    figure = key_figure(nest_of("lined"))
    assert figure.name == KEY and {s.role for s in figure.strokes} == {Role.LABEL}
    level: dict[float, list[Stroke]] = {}
    for stroke in figure.strokes:
        (x0, y0), *_, (x1, y1) = stroke.points
        if len(stroke.points) == 2 and y0 == y1 and x1 - x0 > 0.9:
            level.setdefault(y0, []).append(stroke)
    samples = [row for row in level.values() if sum(length_of(s.points) for s in row) > 15.0]
    drawn_parts = [[round(length_of(s.points), 3) for s in row] for row in samples]
    for pattern in patterns_for(TEN, "12").values():
        first = list(pattern[::2])
        assert any(row[: len(first)] == first for row in drawn_parts if first) or [45.0] in drawn_parts


# ---- SVG


def svg_paths(content: bytes) -> dict[str, tuple[str, list[list[XY]]]]:
    """Path id -> (data-size, subpaths in mm, y up)."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import svgelements

        drawing = svgelements.SVG.parse(io.BytesIO(content), ppi=25.4, reify=True)
        height = float(drawing.height)
        return {
            element.id: (
                element.values.get("data-size") or "",
                [
                    [(float(s.end.x), height - float(s.end.y)) for s in sub if s.end is not None]
                    for sub in element.as_subpaths()
                ],
            )
            for element in drawing.elements()
            if isinstance(element, svgelements.Path)
        }


def test_svg_holds_each_size_as_one_closed_path() -> None:
    found = svg_paths(svg.render(sheet()))
    for piece in nest_of("plain").base_pattern.pieces:
        for size in FIVE:
            told, ((*line,),) = found[f"{piece.name}.cut-line.{size}"]
            assert told == size and line[0] == pytest.approx(line[-1])
            wanted = placed(piece.name, size)
            assert shapely.LinearRing(line).hausdorff_distance(wanted) < OUTLINE
            assert shapely.LinearRing(line).length == pytest.approx(wanted.length, abs=OUTLINE)
            if size != "12":
                _, corners = found[f"{piece.name}.cut-line.corners.{size}"]
                assert all(wanted.distance(shapely.Point(p)) < OUTLINE for part in corners for p in part)


def test_svg_draws_each_cut_line_in_its_pattern() -> None:
    text = svg.render(sheet()).decode()
    dashes = dict(re.findall(r'<path id="front\.cut-line\.(\d+)" data-size="\d+" stroke-dasharray="([^"]*)"', text))
    assert set(dashes) == set(FIVE) and dashes["12"] == "none" and len(set(dashes.values())) == 5
    ids = re.findall(r'id="([^"]*)"', text)
    assert len(ids) == len(set(ids))


def test_odd_size_names_make_distinct_ids_and_layers() -> None:
    line = ((10.0, 10.0), (90.0, 10.0), (90.0, 90.0))
    sizes = ("1.5", "<L>", '"', "(a/b)", "#")
    strokes = tuple(Stroke(Role.CUT, line, True, size, PATTERNS[i]) for i, size in enumerate(sizes))
    odd = Sheet("odd", 100.0, 100.0, (Figure("front", strokes),))
    found = svg_paths(svg.render(odd))
    assert {size for size, _ in found.values()} == set(sizes)
    assert sum(".corners" not in name for name in found) == len(sizes)
    content = pdf.render_roll(odd)
    assert {size for _, _, size, _ in pdf_paths(content)} == set(sizes)
    assert layer_names(content) == ["cut line", *(f"size {size}" for size in sizes)]


# ---- PDF


def pdf_paths(content: bytes, page: int = 0) -> list[tuple[str, str, str, list[list[XY]]]]:
    """(layer of the role, piece, size, lines in mm) of every path marked /Piece, by PDFium."""
    import pypdfium2
    import pypdfium2.raw as raw

    def text(mark: Any, key: bytes) -> str:
        need = ctypes.c_ulong()
        if not raw.FPDFPageObjMark_GetParamBlobValue(mark, key, None, 0, ctypes.byref(need)):
            return ""
        held = (ctypes.c_ubyte * max(1, need.value))()
        raw.FPDFPageObjMark_GetParamBlobValue(mark, key, held, need.value, ctypes.byref(need))
        return bytes(held).decode("latin-1")[: need.value]

    def mark_name(mark: Any) -> str:
        held = (ctypes.c_ushort * 64)()
        raw.FPDFPageObjMark_GetName(mark, held, 128, ctypes.byref(ctypes.c_ulong()))
        return bytes(held).decode("utf-16-le").split("\0")[0]

    found = []
    document = pypdfium2.PdfDocument(content)
    for thing in document[page].get_objects(filter=[raw.FPDF_PAGEOBJ_PATH]):
        marks = [raw.FPDFPageObj_GetMark(thing.raw, i) for i in range(raw.FPDFPageObj_CountMarks(thing.raw))]
        pieces = [mark for mark in marks if mark_name(mark) == "Piece"]
        if not pieces:
            continue
        layer = [text(mark, b"Name") for mark in marks if mark_name(mark) == "OC"][-1]
        lines: list[list[XY]] = []
        for i in range(raw.FPDFPath_CountSegments(thing.raw)):
            segment = raw.FPDFPath_GetPathSegment(thing.raw, i)
            x, y = ctypes.c_float(), ctypes.c_float()
            assert raw.FPDFPathSegment_GetPoint(segment, ctypes.byref(x), ctypes.byref(y))
            if raw.FPDFPathSegment_GetType(segment) == raw.FPDF_SEGMENT_MOVETO:
                lines.append([])
            lines[-1].append((x.value * MM, y.value * MM))
            if raw.FPDFPathSegment_GetClose(segment) and lines[-1][0] != lines[-1][-1]:
                lines[-1].append(lines[-1][0])
        found.append((layer, text(pieces[0], b"Name"), text(pieces[0], b"Size"), lines))
    return found


def layer_names(content: bytes) -> list[str]:
    import pikepdf

    with pikepdf.open(io.BytesIO(content)) as document:
        return [str(group.Name) for group in document.Root.OCProperties.OCGs]


@cache
def roll() -> bytes:
    return pdf.render_roll(sheet(), margin=MARGIN)


def test_pdf_holds_each_size_as_one_closed_path() -> None:
    cut = {(piece, size): lines for layer, piece, size, lines in pdf_paths(roll()) if layer == "cut line"}
    assert set(cut) == {(p.name, size) for p in nest_of("plain").base_pattern.pieces for size in FIVE}
    for (piece, size), (line,) in cut.items():
        moved = shapely.LinearRing([(x - MARGIN, y - MARGIN) for x, y in line])
        assert line[0] == line[-1]
        assert moved.hausdorff_distance(placed(piece, size)) < OUTLINE


def with_only(content: bytes, size: str) -> bytes:
    """The same file with the layers of all other sizes off, as a viewer would leave it."""
    import pikepdf

    with pikepdf.open(io.BytesIO(content)) as document:
        settings = document.Root.OCProperties
        off = [g for g in settings.OCGs if str(g.Name).startswith("size ") and str(g.Name) != f"size {size}"]
        settings.D.OFF = pikepdf.Array(off)
        settings.D.ON = pikepdf.Array([g for g in settings.OCGs if g not in off])
        out = io.BytesIO()
        document.save(out)
    return out.getvalue()


def darkness(picture: Any, at: XY, dpi: float) -> int:
    """The darkest grey (0 black) within 0.5 mm of a point on the page, mm from its lower left corner."""
    x, y = at[0] / 25.4 * dpi, picture.height - at[1] / 25.4 * dpi
    reach = math.ceil(0.5 / 25.4 * dpi)
    box = picture.crop((int(x) - reach, int(y) - reach, int(x) + reach + 1, int(y) + reach + 1))
    return int(box.getextrema()[0])


@pytest.mark.parametrize("reader", ["poppler", "pdfium"])
def test_a_size_can_be_shown_alone(reader: str, tmp_path: Path) -> None:
    from PIL import Image

    dpi = 72
    for size, other in (("8", "16"), ("16", "8")):
        content = with_only(roll(), size)
        if reader == "poppler":
            (tmp_path / "one.pdf").write_bytes(content)
            subprocess.run(
                [tool("pdftoppm"), "-r", str(dpi), "-gray", "-singlefile", "-png", "one.pdf", "one"],
                cwd=tmp_path, check=True, timeout=120,
            )  # fmt: skip
            picture = Image.open(tmp_path / "one.png").convert("L")
        else:
            import pypdfium2

            picture = pypdfium2.PdfDocument(content)[0].render(scale=dpi / 72).to_pil().convert("L")
        kept = [
            (s.points, s.closed) for f in sheet().figures for s in f.strokes if s.size in ("", size)
        ]  # fmt: skip
        ink = shapely.MultiLineString([[*p, *p[:closed]] for p, closed in kept if len(p) > 1])
        shapely.prepare(ink)
        shown = hidden = 0
        for piece in ("front", "back", "sleeve"):
            for name, ring in ((size, placed(piece, size)), (other, placed(piece, other))):
                corners = list(ring.coords)
                places = [(q.x, q.y) for far in range(0, int(ring.length), 20) for q in [ring.interpolate(far)]]
                for place in (*corners, *places):
                    grey = darkness(picture, (place[0] + MARGIN, place[1] + MARGIN), dpi)
                    if name == size:
                        shown += grey < 160
                    elif ink.distance(shapely.Point(place)) > 2.0:
                        assert grey > 220, (piece, place)
                        hidden += 1
        assert shown > 100 and hidden > 100


def test_pdf_layers_are_roles_then_sizes() -> None:
    names = layer_names(roll())
    assert names[-5:] == [f"size {size}" for size in FIVE]
    assert "stitch line" not in names and names[0] == "cut line"


# ---- tiles


def test_tiles_keep_sizes_and_go_on_with_the_pattern() -> None:
    """The dashes of all tiles, net of their overlap, are those of the whole outline."""
    ring = Stroke(Role.CUT, ring_of("plain", "8", "front"), True, "8")
    left, bottom = min(x for x, _ in ring.points), min(y for _, y in ring.points)
    points = tuple((x - left, y - bottom) for x, y in ring.points)
    dashes = fitted(PATTERNS[0], ring_length(points))
    stroke = Stroke(Role.CUT, points, True, "8", dashes)
    whole = shapely.MultiLineString(dashed([*points, points[0]], dashes))
    bounds = Box.round(points)
    for i in range(7):
        for j in range(3):
            box = Box(j * 170.0, i * 190.0, (j + 1) * 170.0, (i + 1) * 190.0)
            meant = whole.intersection(shapely.box(box.left, box.bottom, box.right, box.top))
            runs = clip_stroke(stroke, bounds, box)
            assert all((run.size, run.dashes) == ("8", dashes) for run in runs)
            mine = [part for run in runs for part in begun(run)]
            total = shapely.unary_union(mine) if mine else shapely.LineString()
            assert total.length == pytest.approx(meant.length, abs=0.01)
            assert meant.difference(total.buffer(0.01)).length < 0.01


def begun(run: Stroke) -> list[Any]:
    """The dashes of a run that begins somewhere in its pattern."""
    assert run.dashes
    line = shapely.LineString([*run.points, *run.points[: run.closed]])
    at, found = -run.phase, []
    while at < line.length:
        for i, part in enumerate(run.dashes):
            if i % 2 == 0 and at + part > 0 and at < line.length:
                found.append(substring(line, max(0.0, at), min(line.length, at + part)))
            at += part
    return found


def test_every_size_is_on_the_pages() -> None:
    tiling = cut_into_tiles(sheet(), PAPERS["a4"])
    found = {
        (figure.name, stroke.size)
        for tile in tiling.tiles
        for figure in tile.figures
        for stroke in figure.strokes
        if stroke.role is Role.CUT
    }
    assert found == {(p.name, size) for p in nest_of("plain").base_pattern.pieces for size in FIVE}
    content = pdf.render_tiles(sheet(), PAPERS["a4"])
    assert [name for name in layer_names(content) if name.startswith("size ")] == [f"size {size}" for size in FIVE]


# ---- HP-GL


@cache
def plotted() -> tuple[tuple[XY, ...], ...]:
    """Every pen-down run of the plot, back on the sheet, mm."""
    found: list[list[XY]] = []
    at, down = (0.0, 0.0), False
    for command, numbers in re.findall(r"(PU|PD)([-\d,]*);", hpgl.render(sheet(), WIDE).decode("ascii")):
        values = [int(n) for n in numbers.split(",") if n]
        places = [(sheet().width - y / 40, x / 40) for x, y in zip(values[::2], values[1::2], strict=True)]
        if command == "PD":
            if not down:
                found.append([at])
            found[-1].extend(places)
        down = command == "PD"
        at = places[-1] if places else at
    return tuple(tuple(run) for run in found)


def test_the_plot_draws_every_outline_dash_by_dash_with_its_corners() -> None:
    runs = [shapely.LineString(run) for run in plotted()]
    tree = shapely.STRtree(runs)
    for piece in nest_of("plain").base_pattern.pieces:
        for size in FIVE:
            ring = placed(piece.name, size)
            corridor = ring.buffer(PLOT)
            on_it = [runs[i] for i in tree.query(corridor) if corridor.contains(runs[i])]
            near = shapely.unary_union(on_it)
            coords = list(ring.coords)
            for a, b, c in zip([coords[-2], *coords], coords, coords[1:], strict=False):
                turn = math.degrees(math.atan2(c[1] - b[1], c[0] - b[0]) - math.atan2(b[1] - a[1], b[0] - a[0]))
                if abs((turn + 180) % 360 - 180) > SHARP_DEG + 1:
                    assert tree.geometries[tree.nearest(shapely.Point(b))].distance(shapely.Point(b)) < PLOT
            part = ring.intersection(near.buffer(PLOT)).length / ring.length
            assert part > 0.99 if size == nest_of("plain").base else part > 0.3


def test_the_base_is_one_closed_run() -> None:
    for piece in nest_of("plain").base_pattern.pieces:
        ring = placed(piece.name, "12")
        closed = [run for run in plotted() if run[0] == run[-1] and len(run) > 20]
        assert any(shapely.LinearRing(run).hausdorff_distance(ring) < PLOT for run in closed)


def test_the_plot_goes_over_no_upright_line_twice_but_the_base_and_the_fold() -> None:
    """Sizes share the fold: a pen that went over it once a size would tear the paper."""
    (figure,) = [f for f in sheet().figures if f.name == "front"]
    (fold,) = [s for s in figure.strokes if s.role is Role.FOLD and len(s.points) == 2]
    x = fold.points[0][0]
    over = 0.0
    for run in plotted():
        over += sum(
            abs(b[1] - a[1]) for a, b in pairwise(run) if abs(a[0] - x) < 0.03 and abs(b[0] - x) < 0.03
        )  # fmt: skip
    assert over < 2.05 * length_of(fold.points)


def test_hp2xx_draws_all_dashes(tmp_path: Path) -> None:
    (tmp_path / "nest.plt").write_bytes(hpgl.render(sheet(), WIDE))
    subprocess.run(
        [tool("hp2xx"), "-q", "-t", "-m", "svg", "-f", "out.svg", "nest.plt"], cwd=tmp_path, check=True, timeout=120
    )
    drawn_lines = [
        [(float(x) * MM, float(y) * MM) for x, y in re.findall(r"[ML] (-?[\d.]+), (-?[\d.]+)", path)]
        for path in re.findall(r'<path d="([^"]*)"', (tmp_path / "out.svg").read_text("latin-1"))
    ]
    # hp2xx rounds to 0.01 of 1/72 in, so a stroke may gain or lose a little; the sum does not
    theirs, ours = sum(map(length_of, drawn_lines)), sum(map(length_of, plotted()))
    assert theirs == pytest.approx(ours, rel=2e-3)
