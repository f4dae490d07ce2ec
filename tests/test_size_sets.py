"""Jobs with a size chart: what is read, which sizes are made, and that sizes are alike node for node."""

from __future__ import annotations

import io
import json
from dataclasses import replace
from itertools import pairwise
from math import dist
from pathlib import Path

import pikepdf
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from oaktag.claims.girth import Girth
from oaktag.errors import DraftError, InputError, InputErrors
from oaktag.grade.alike import matched, refuse_unlike
from oaktag.grade.spread import spread
from oaktag.job import Job, load_job
from oaktag.model.nest import Nest
from oaktag.pipeline import make, nest_of, pattern_of
from oaktag.verify.folder import verify
from wardrobe import ALTO, FIXTURES, dress, dressed, nested, oaktag, singer

CHART = """# title: The choir's own
measurement,unit,S,M,L
bust_girth,in,36,38,40
waist_girth,in,28 1/2,30 1/2,32 1/2
hip_girth,in,39,41,43
shoulder_width,in,15 1/4,15 1/2,15 3/4
back_waist_length,in,15 3/4,16,16 1/4
upper_arm_girth,in,11 1/2,12,12 1/2
arm_length,in,22 1/2,22 3/4,23
waist_to_hip,in,8,8,8
bust_point_width,in,7 1/4,7 1/2,7 3/4
"""


def job_with(folder: Path, sizes: str, output: str = "", chart: str = CHART, style: str = "") -> Job:
    (folder / "choir.csv").write_text(chart)
    path = folder / "job.toml"
    path.write_text(f'garment = "sheath-dress"\nunits = "in"\n[style]\n{style}\n[sizes]\n{sizes}\n[output]\n{output}\n')
    return load_job(path)


def test_a_chart_gives_its_sizes_in_its_order(tmp_path: Path) -> None:
    job = job_with(tmp_path, 'chart = "choir.csv"\nmake = ["L", "S"]\nbase = "L"')
    assert job.sizes is not None
    assert (job.sizes.make, job.sizes.base, job.size) == (("S", "L"), "L", "L")
    assert job.sizes.bodies["S"]["bust_girth"] == 36 * 25.4 and job.body["bust_girth"] == 40 * 25.4


def test_all_sizes_are_made_and_the_middle_one_is_the_base_unless_told(tmp_path: Path) -> None:
    job = job_with(tmp_path, 'chart = "choir.csv"')
    assert job.sizes is not None and job.sizes.make == ("S", "M", "L") and job.size == "M"


def test_sizes_may_be_written_as_numbers(tmp_path: Path) -> None:
    job = job_with(tmp_path, 'chart = "women"\nmake = [12, "14"]')
    assert job.sizes is not None and job.sizes.make == ("12", "14")


NAMES = "expected women, women-short, women-tall, men, children, or a CSV file"
OWN = 'chart = "choir.csv"'
MISTAKES = (
    ("make = []", "", f'sizes.chart: no size chart is named; {NAMES}. Write chart = "women"'),
    ('chart = "womn"', "", 'sizes.chart: "womn" is not a size chart'),
    ('chart = "none.csv"', "", 'sizes.chart: "none.csv": no such file'),
    ("chart = 3", "", "sizes.chart: 3 is not the name of a chart"),
    (f'{OWN}\nmake = "M"', "", 'sizes.make: "M" is not a list of sizes; expected a list. Write make = ["S"]'),
    (f"{OWN}\nmake = []", "", "sizes.make: names no size"),
    (f'{OWN}\nmake = ["M", "M"]', "", 'sizes.make: the size "M" is named twice'),
    (f'{OWN}\nmake = ["m"]', "", 'sizes.make: "m" is not a size; expected one of S, M, L. Write "M"'),
    (f'{OWN}\nbase = "XL"', "", 'sizes.base: "XL" is not a size of the chart'),
    (f"{OWN}\nstack = 3", "", "sizes.stack: 3 is not the name of a point"),
    (OWN, 'sizes = ["XL"]', 'output.sizes: "XL" is not a size; expected one of S, M, L'),
    (OWN, 'sizes = { dxv = ["S"] }', 'output.sizes.dxv: "dxv" is not a format'),
    (f'{OWN}\nmake = ["S", "M"]', 'sizes = { pdf = ["L"] }', 'output.sizes.pdf: "L" is not a size; expected one of S'),
    (OWN, 'layout = "stacked"', 'output.layout: "stacked" is not a layout; expected one of nested, apart'),
)


@pytest.mark.parametrize(("sizes", "output", "told"), MISTAKES)
def test_mistakes_are_told_at_their_key(tmp_path: Path, sizes: str, output: str, told: str) -> None:
    with pytest.raises(InputErrors) as caught:
        job_with(tmp_path, sizes, output)
    assert told in str(caught.value)


def test_measurements_that_the_chart_does_not_have_are_named(tmp_path: Path) -> None:
    short = "".join(line for line in CHART.splitlines(keepends=True) if not line.startswith("hip_girth"))
    with pytest.raises(InputErrors) as caught:
        job_with(tmp_path, 'chart = "choir.csv"', chart=short)
    assert 'needs a measurement that the chart "choir" does not have; add\n  hip_girth,in,...' in str(caught.value)


def test_a_body_and_a_chart_are_one_too_many(tmp_path: Path) -> None:
    (tmp_path / "choir.csv").write_text(CHART)
    path = tmp_path / "job.toml"
    path.write_text(
        'garment = "sheath-dress"\nunits = "in"\n[measurements]\nbust_girth = 38\n[sizes]\nchart = "choir.csv"\n'
    )
    with pytest.raises(InputErrors) as caught:
        load_job(path)
    assert "both [measurements] and a size chart are given" in str(caught.value)


def test_a_point_to_stack_on_that_no_piece_has_is_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError) as caught:
        nest_of(job_with(tmp_path, 'chart = "choir.csv"\nstack = "underam"'))
    assert 'Write "underarm"' in str(caught.value)


def test_a_size_that_cannot_be_drafted_is_named(tmp_path: Path) -> None:
    thin = CHART.replace("36,38,40", "36,38,50")
    with pytest.raises(DraftError) as caught:
        nest_of(job_with(tmp_path, 'chart = "choir.csv"', chart=thin, style="sleeve_length = 8"))
    assert str(caught.value).startswith("size L: no cap fits: the sleeve is too short")


def test_one_size_of_a_chart_is_the_dress_of_that_body(tmp_path: Path) -> None:
    """Grading to the base is the identity: the base of a set is what its body alone would be given."""
    alone = dressed(ALTO)
    base = nested(("10", "12", "14")).base_pattern
    for piece, other in zip(base.pieces, alone.pieces, strict=True):
        assert piece.cut.piece.edges == other.cut.piece.edges and piece.cut.piece.points == other.cut.piece.points
        ring, lone = shapely.LinearRing(piece.cut.cut_line), shapely.LinearRing(other.cut.cut_line)
        # more chords may be needed for another size; both lie within 0.05 mm of the same curve
        assert ring.hausdorff_distance(lone) < 0.05


@pytest.mark.parametrize(
    "style",
    [
        {},
        {"lining": "full", "waist_seam": "yes"},
        {"sleeve": "none", "facing": "all-in-one"},
        {"sleeve": "cap", "neckline": "v", "opening": "slit"},
        {"length": 44, "hem": "straight", "sleeve": "long"},
        {"zip": "side", "hem": "a-line"},
    ],
)
def test_every_line_has_as_many_points_in_each_size(style: dict[str, object]) -> None:
    nest = nested(("6", "8", "10", "12", "14", "16", "18", "20"), **style)
    for row in zip(*(pattern.pieces for pattern in nest.patterns), strict=True):
        first = row[0]
        for piece in row[1:]:
            assert len(piece.cut.cut_line) == len(first.cut.cut_line)
            assert len(piece.cut.stitch_line) == len(first.cut.stitch_line)
            assert [len(line) for line in piece.cut.lines.values()] == [len(line) for line in first.cut.lines.values()]
            assert [(n.edge, n.name, n.count, len(n.spots)) for n in piece.notches] == [
                (n.edge, n.name, n.count, len(n.spots)) for n in first.notches
            ]
            ring = shapely.LinearRing(piece.cut.cut_line)
            assert all(ring.distance(shapely.Point(spot)) < 0.05 for n in piece.notches for spot in n.spots)


def test_points_of_the_same_number_move_little_by_little() -> None:
    """No point slips along the line: each step from size to size is near to those of its neighbours."""
    nest = nested(("8", "10", "12", "14", "16"))
    for name in ("front", "sleeve", "facing_front"):  # the back has a zip, which grows by whole inches
        for a, b in pairwise(pattern.piece(name) for pattern in nest.patterns):
            moves = [(q[0] - p[0], q[1] - p[1]) for p, q in zip(a.cut.stitch_line, b.cut.stitch_line, strict=True)]
            lengths = [dist(p, q) for p, q in pairwise(a.cut.stitch_line)]
            for (m, n), far in zip(pairwise(moves), lengths, strict=True):
                assert dist(m, n) < 0.15 * far + 0.5


def test_lines_only_gain_points() -> None:
    nest = nested(("8", "12", "16"))
    for size, pattern in zip((-2, 0, 2), nest.patterns, strict=True):
        alone = dressed(singer(size))
        for piece, other in zip(pattern.pieces, alone.pieces, strict=True):
            ours, lone = shapely.Polygon(piece.cut.cut_line), shapely.Polygon(other.cut.cut_line)
            assert ours.symmetric_difference(lone).area < 0.05 * lone.length


def test_sizes_built_unlike_are_refused_and_the_place_is_told() -> None:
    drafts = {"12": dress(ALTO), "14": dress(ALTO, sleeve="none")}
    with pytest.raises(DraftError) as caught:
        refuse_unlike(drafts, "12")
    assert "size 14: it has 6 pieces where the base has 5" in str(caught.value)
    drafts = {"12": dress(ALTO), "14": dress(ALTO, opening="none")}
    with pytest.raises(DraftError) as caught:
        refuse_unlike(drafts, "12")
    assert "size 14: the edges of the back are centre_back (seam), hem (hem)" in str(caught.value)


@given(st.lists(st.lists(st.floats(1.0, 50.0), min_size=1, max_size=12), min_size=2, max_size=5))
def test_matched_lines_keep_their_shape_and_their_points(steps: list[list[float]]) -> None:
    lines = []
    for row in steps:
        x, points = 0.0, [(0.0, 0.0)]
        for i, step in enumerate(row):
            x += step
            points.append((x, step * (i % 2)))
        lines.append(tuple(points))
    out = matched(lines)
    assert len({len(line) for line in out}) == 1
    for line, new in zip(lines, out, strict=True):
        assert set(line) <= set(new) and (new[0], new[-1]) == (line[0], line[-1])
        assert shapely.LineString(new).hausdorff_distance(shapely.LineString(line)) < 1e-9
        assert shapely.LineString(new).length == pytest.approx(shapely.LineString(line).length)


@settings(max_examples=60)
@given(st.lists(st.floats(-20, 20), min_size=2, max_size=6), st.booleans())
def test_moves_between_rules_stay_between_them(moves: list[float], smooth: bool) -> None:
    line = [(float(i), 0.0) for i in range(5 * (len(moves) - 1) + 1)]
    ruled = {5 * i: (move, -move) for i, move in enumerate(moves)}
    spreads = spread(line, ruled, smooth=smooth)
    for i, (a, b) in enumerate(pairwise(moves)):
        for dx, dy in spreads[5 * i : 5 * i + 6]:
            assert min(a, b) - 1e-9 <= dx <= max(a, b) + 1e-9 and dy == pytest.approx(-dx)
    assert [spreads[5 * i][0] for i in range(len(moves))] == pytest.approx(moves)


def test_even_moves_are_told_by_hand() -> None:
    line = [(0.0, 0.0), (1.0, 0.0), (1.0, 3.0), (5.0, 3.0)]  # 1, 3 and 4 mm: 8 in all
    moves = spread(line, {0: (0.0, 0.0), 3: (8.0, 16.0)}, smooth=False)
    assert [dx for dx, _ in moves] == pytest.approx([0, 1, 4, 8]) and [dy for _, dy in moves] == pytest.approx(
        [0, 2, 8, 16]
    )


def test_zero_points_lie_on_each_other_and_facings_move_with_their_shell() -> None:
    nest = nested(("8", "12", "16"))
    for size in nest.sizes:
        (fx, fy), (hx, hy) = nest.shift(size, "front"), nest.shift(size, "facing_front")
        assert (fx, fy) == pytest.approx((hx, hy))
        own, base = (nest.of(s).piece("front").cut.piece.points["underarm"].y for s in (size, "12"))
        assert fx == 0.0 and own + fy == pytest.approx(base)
    on_tip = replace(nest, stack="shoulder_tip")
    for size in nest.sizes:
        dx, dy = on_tip.shift(size, "back")
        own, base = (nest.of(s).piece("back").cut.piece.points["shoulder_tip"] for s in (size, "12"))
        assert (own.x + dx, own.y + dy) == pytest.approx(base)


def test_some_sizes_of_a_nest() -> None:
    nest = nested(("8", "10", "12"), base="12")
    assert nest.only(("8", "12")).sizes == ("8", "12") and nest.only(("8", "12")).base == "12"
    assert nest.only(("8", "10")).base == "10"
    assert Nest.single(nest.patterns[0]).base == "8"


def test_pattern_json_holds_every_size(tmp_path: Path) -> None:
    job = job_with(tmp_path, 'chart = "choir.csv"\nbase = "M"')
    result = make(job, only=("json",))
    top = json.loads(result.files["pattern.json"])
    assert (top["sizes"], top["base"]) == (["S", "M", "L"], "M")
    names = [(piece["size"], piece["name"]) for piece in top["pieces"]]
    assert len(names) == len(set(names)) == 15
    assert {seam["size"] for seam in top["seams"]} == {step["size"] for step in top["steps"]} == {"S", "M", "L"}
    assert {check["size"] for check in top["checks"]} >= {"S", "M", "L"}
    assert all(piece["shift"] == [0, 0] for piece in top["pieces"] if piece["size"] == "M")
    assert pattern_of(job).size == "M"


def test_sizes_apart_that_are_too_long_for_one_page_have_a_page_each(tmp_path: Path) -> None:
    style = 'lining = "full"\nopening_length = 8'
    job = job_with(tmp_path, f'{OWN}\nbase = "M"', 'layout = "apart"', style=style)
    result = make(job, only=("pdf",))
    with pikepdf.open(io.BytesIO(result.files["pattern-roll.pdf"])) as roll:
        assert len(roll.pages) == 3
        assert all(float(page.MediaBox[3]) <= 14_400 for page in roll.pages)
        names = {str(group.Name) for group in roll.Root.OCProperties.OCGs}
        assert {"size S", "size M", "size L"} <= names


@pytest.mark.parametrize("layout", ["apart", "nested"])
def test_a_plot_that_is_too_long_comes_in_sheets_and_panels(tmp_path: Path, layout: str) -> None:
    device = f'layout = "{layout}"\ndevice = "roll-900-16bit"'
    job = job_with(tmp_path, f'{OWN}\nbase = "M"', device, style="length = 40")
    made = make(job, only=("json", "hpgl"))
    plots = [name for name in made.files if name.endswith(".plt")]
    assert plots == [f"pattern-{n}.plt" for n in range(1, len(plots) + 1)]
    assert len(plots) > (2 if layout == "apart" else 1)
    assert any("too large for roll-900-16bit" in note for note in made.notes)
    for name, data in made.files.items():
        (tmp_path / name).write_bytes(data)
    rows = verify(tmp_path)
    asked = [row for row in rows if layout == "apart" or not row.what.endswith("notches")]
    assert [row.message for row in asked if not row.passed] == []
    lines = {row.what for row in rows if row.what.startswith("front, part ") and row.what.endswith("cut line")}
    assert {what.split(", size ")[1] for what in lines} == {"S: cut line", "M: cut line", "L: cut line"}
    assert len(lines) >= 6
    if layout == "nested":  # and where a size lies in the nest is held to, on every panel
        told = json.loads((tmp_path / "pattern.json").read_bytes())
        next(p for p in told["pieces"] if (p["name"], p["size"]) == ("front", "L"))["shift"][0] += 1.0
        (tmp_path / "pattern.json").write_text(json.dumps(told), encoding="utf-8")
        off = {row.what for row in verify(tmp_path) if not row.passed}
        assert {what for what in off if what.endswith("cut line")} == {what for what in lines if "size L" in what}


@pytest.mark.smoke
def test_the_command_line_makes_a_set(tmp_path: Path) -> None:
    (tmp_path / "choir.csv").write_text(CHART)
    (tmp_path / "job.toml").write_text('garment = "sheath-dress"\nunits = "in"\n[sizes]\nchart = "choir.csv"\n')
    run = oaktag("make", "job.toml", "-o", "out", "--only", "json", cwd=tmp_path)
    assert run.returncode == 0, run.stderr
    assert "sizes   S, M, L; base M. To cut of each size:" in run.stdout
    checked = oaktag("check", "job.toml", cwd=tmp_path)
    assert checked.returncode == 0 and "likewise M, L" in checked.stdout


MEASURED = """[measurements]
bust_girth = 38
waist_girth = "30 1/2"
hip_girth = 41
shoulder_width = "15 1/2"
back_waist_length = 16
waist_to_hip = 8
bust_point_width = "7 1/2"
[style]
sleeve = "none"
facing = "all-in-one"
lining = "none"
opening_length = 6
zip_length = 24
"""


def by_rules(folder: Path, sizes: str, measured: str = MEASURED) -> Job:
    path = folder / "by-rules.toml"
    path.write_text(f'garment = "sheath-dress"\nunits = "in"\n{measured}\n[sizes]\n{sizes}\n')
    return load_job(path)


def exported_rules(folder: Path) -> None:
    """The rules of the dress drafted for the chart, as `make` writes them."""
    style = 'sleeve = "none"\nfacing = "all-in-one"\nopening_length = 6\nzip_length = 24'
    files = make(job_with(folder, f'{OWN}\nbase = "M"', style=style), only=("dxf",)).files
    (folder / "rules.csv").write_bytes(files["grade-rules.csv"])


@pytest.mark.smoke
def test_a_measured_body_is_graded_by_the_rules_of_a_table(tmp_path: Path) -> None:
    exported_rules(tmp_path)
    job = by_rules(tmp_path, 'rules = "rules.csv"')
    assert job.sizes is not None and (job.sizes.make, job.sizes.base) == (("S", "M", "L"), "M")
    nest = nest_of(job)
    drafted = nest_of(job_with(tmp_path, f'{OWN}\nbase = "M"', style='sleeve = "none"\nfacing = "all-in-one"'))
    for size in ("S", "M", "L"):
        own, other = (n.of(size).piece("front").cut.piece.points for n in (nest, drafted))
        moved = nest.shift(size, "front"), drafted.shift(size, "front")
        for name in ("shoulder_tip", "underarm", "waist_side", "hip_side"):
            a, b = ((p.x + dx, p.y + dy) for p, (dx, dy) in zip((own[name], other[name]), moved, strict=True))
            assert a == pytest.approx(b, abs=0.01), (size, name)


@pytest.mark.parametrize(
    ("sizes", "measured", "told"),
    [
        ('rules = "none.csv"', MEASURED, 'sizes.rules: "none.csv": it cannot be read'),
        ("rules = 3", MEASURED, "sizes.rules: 3 is not the name of a file; expected a CSV file of grade rules"),
        ('rules = "rules.csv"\nbase = "S"', MEASURED, 'sizes.base: "S" is the base, and the rules count from M'),
        ('rules = "rules.csv"\nmake = ["S", "L"]', MEASURED, 'sizes.make: "M" is the base, and is not among'),
        ('rules = "rules.csv"', "", "sizes.chart: no size chart is named"),
    ],
)
def test_mistakes_about_rules_are_told(tmp_path: Path, sizes: str, measured: str, told: str) -> None:
    exported_rules(tmp_path)
    with pytest.raises(InputErrors) as caught:
        by_rules(tmp_path, sizes, measured)
    assert told in str(caught.value)


def test_rules_may_grade_the_base_of_a_chart(tmp_path: Path) -> None:
    exported_rules(tmp_path)
    (tmp_path / "choir.csv").write_text(CHART)
    style = '[style]\nsleeve = "none"\nfacing = "all-in-one"\nopening_length = 6\nzip_length = 24\n'
    job = by_rules(tmp_path, f'{OWN}\nrules = "rules.csv"', style)
    assert job.sizes is not None and set(job.sizes.bodies) == {"S", "M", "L"}
    levels = {c.level: c.body.mm for c in nest_of(job).of("L").draft.claims if isinstance(c, Girth)}
    assert levels["bust"] == pytest.approx(40 * 25.4)


def test_the_bad_job_is_refused() -> None:
    with pytest.raises(InputErrors):
        load_job(FIXTURES / "bad" / "sizes.toml")
