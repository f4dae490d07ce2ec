"""Drawn patterns finished by a plan: our own dress taken in again, the choir's rehearsal skirt, mistakes of plans."""

from __future__ import annotations

import json
import math
import random
import re
import shutil
import tomllib
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import ezdxf
import pytest
import shapely
from shapely import affinity

from oaktag.errors import InputErrors, OaktagError
from oaktag.geometry.path import flatten, path_length
from oaktag.intake.plan import Plan, Reading, read_plan
from oaktag.intake.propose import proposed
from oaktag.intake.take_in import outlines_in
from oaktag.job import load_job
from oaktag.lay.cloth import Cloth
from oaktag.lay.judge import judged
from oaktag.lay.pieces import pieces_for
from oaktag.lay.search import lay_of
from oaktag.model.pattern import MarkedPiece, Pattern
from oaktag.pipeline import make, nest_of, pattern_of
from wardrobe import FIXTURES, oaktag

DRAWINGS = FIXTURES / "drawings"
ALTO = FIXTURES / "choir/alto-3.toml"


@pytest.fixture(scope="module")
def alto() -> Pattern:
    return pattern_of(load_job(ALTO))


@pytest.fixture(scope="module")
def exported(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("exported")
    run = oaktag("make", str(ALTO), "-o", "alto", "--only", "svg", "--only", "dxf", cwd=folder)
    assert run.returncode == 0, run.stderr
    return folder / "alto"


# ---- our own dress, exported and taken in again

SEWN = [
    "centre_back",
    "shoulder",
    "side",
    "underarm_front",
    "underarm_back",
    "armhole",
    "cap",
    "neckline",
    "outer_edge",
]
"""The order of sewing as a maker would write it: nothing in a drawing tells it (common practice, no source)."""


def plan_of(pattern: Pattern, drawing: str, head: str, order: Callable[[MarkedPiece, int], Sequence[str]]) -> str:
    """A plan that says of every outline what the draft says of its piece."""
    rows = [f'drawing = "{drawing}"', 'units = "mm"', f"sewing_order = {SEWN}", head]
    rows.append("[allowances]")
    rows += [f'"{p.name}.{edge}" = {width!r}' for p in pattern.pieces for edge, width in p.cut.allowances.items()]
    rows.append("[corners]")
    for p in pattern.pieces:
        for edge, finish in p.cut.corners.items():
            if finish == "mitred-hem" or (finish == "mitre" and edge == "vent_edge"):
                rows.append(f'"{p.name}.{p.cut.piece.beside(edge)[0]}/{edge}" = "{finish}"')
    for number, p in enumerate(pattern.pieces, start=1):
        drafted = p.cut.piece
        rows += [f"[pieces.{p.name}]", f"outline = {number}", f"cut = {drafted.quantity}"]
        if drafted.on_fold:
            fold = next(edge.name for edge in drafted.edges if edge.kind.value == "fold")
            rows.append(f'fold = "{fold}"')
        if drafted.mirrored_pair:
            rows.append("pair = true")
        rows.append(f"edges = {list(order(p, number))}")
    for seam in pattern.draft.seams:
        rows += [
            "[[seams]]",
            f'name = "{seam.name}"',
            f"a = {list(map(str, seam.a))}",
            f"b = {list(map(str, seam.b))}",
            f"ease = {seam.ease}",
        ]
    return "\n".join(rows) + "\n"


def turned_to(p: MarkedPiece, lengths: Sequence[float], own: dict[str, float]) -> list[str]:
    """The names of its edges, beginning with that which the drawing begins with: by their lengths."""
    names = list(own)
    count = len(names)
    assert count == len(lengths), (p.name, lengths, own)
    start = min(range(count), key=lambda k: sum(abs(lengths[i] - own[names[(i + k) % count]]) for i in range(count)))
    return names[start:] + names[:start]


def line_length(points: Sequence[tuple[float, float]]) -> float:
    return float(shapely.LineString(points).length)


def grain_angle(p: MarkedPiece) -> float:
    """Of a line, degrees from 0 to 180: which end is its start does not matter."""
    a, b = p.cut.piece.grain
    return math.degrees(math.atan2(b.y - a.y, b.x - a.x)) % 180.0


def cut_lines_differ(taken: Pattern, draft: Pattern) -> dict[str, float]:
    """Hausdorff distance of the cut lines by shapely, mm, laid on each other at the start of one edge."""
    found = {}
    for p in draft.pieces:
        q = taken.piece(p.name)
        edge = p.cut.piece.edges[0]
        there = q.cut.piece.edge(edge.name).start
        turn = grain_angle(p) - grain_angle(q)  # pieces may lie turned on a sheet
        ring = shapely.Polygon(p.cut.cut_line).exterior
        far = []
        for angle in (turn, turn + 180.0):
            shape = affinity.rotate(shapely.Polygon(q.cut.cut_line), angle, origin=tuple(there))
            shape = affinity.translate(shape, edge.start.x - there.x, edge.start.y - there.y).exterior
            far.append(float(ring.hausdorff_distance(shape)))
        found[p.name] = min(far)
    return found


def test_the_dress_comes_back_from_its_pattern_data(alto: Pattern, exported: Path) -> None:
    """Its stitch lines (layer 14) are the outlines; allowances and corners come anew. At most 0.05 mm, as is asked."""
    head = '[reading]\nfit = 0\n[lines]\noutline = ["stitch line"]\nignore = ["boundary"]'
    plan, _ = read_plan(tomllib.loads(head), lambda *_: None, "mm")  # type: ignore[arg-type, return-value]
    _, outlines = outlines_in(exported / "pattern.dxf", plan)

    def order(p: MarkedPiece, number: int) -> Sequence[str]:
        own = {edge.name: edge.length() for edge in p.cut.piece.edges}
        return turned_to(p, [path_length(run) for run in outlines.outlines[number - 1].edges], own)

    path = exported / "from-dxf.toml"
    path.write_text(plan_of(alto, "pattern.dxf", head, order))
    assert max(cut_lines_differ(pattern_of(load_job(path)), alto).values()) <= 0.05
    smooth = path.with_name("smooth.toml")  # curves fitted to the points: corners follow the curves' own directions
    smooth.write_text(path.read_text().replace("fit = 0\n", ""))
    assert max(cut_lines_differ(pattern_of(load_job(smooth)), alto).values()) <= 0.12


def test_the_dress_comes_back_from_its_drawing(alto: Pattern, exported: Path) -> None:
    """Its cut lines are the outlines: the stitch lines are traced inwards, and the allowances put on again."""
    head = (
        '[reading]\nfit = 0\ntrace_allowance = true\n[lines]\noutline = ["cut-line"]\n'
        'ignore = ["stitch-line", "lettering", "scale-block", "fold-line", "notches", "drill-holes", "darts"]'
    )
    plan, _ = read_plan(tomllib.loads(head), lambda *_: None, "mm")  # type: ignore[arg-type, return-value]
    _, outlines = outlines_in(exported / "pattern.svg", plan)

    def order(p: MarkedPiece, number: int) -> Sequence[str]:
        own = {name: line_length(run) for name, run in p.cut.cut_edges.items()}
        return turned_to(p, [path_length(run) for run in outlines.outlines[number - 1].edges], own)

    text = plan_of(alto, "pattern.svg", head, order)
    # the mitred corner of vent and hem is cut off: an edge of the cut line that is none of the piece
    vent = next(p for p in alto.pieces if p.name == "back").cut
    ring = list(vent.cut_line)
    left = min(x for x, _ in ring)
    on_vent = [y for x, y in ring if abs(x - left) < 0.01]
    text = text.replace("'vent_edge']", f"'vent_edge', '/']\nsplit = {{ '8' = [{max(on_vent) - min(on_vent):.3f}] }}")
    path = exported / "from-svg.toml"
    path.write_text(text)
    taken = pattern_of(load_job(path))
    assert max(cut_lines_differ(taken, alto).values()) <= 0.05
    for p in alto.pieces:
        q = taken.piece(p.name)
        for edge in p.cut.piece.edges:
            assert q.cut.piece.edge(edge.name).length() == pytest.approx(edge.length(), abs=0.15)


# ---- the choir's rehearsal skirt: from the outline to the graded, laid, plotted, projected pattern


@pytest.fixture(scope="module")
def skirt(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("skirt")
    for path in DRAWINGS.glob("skirt*"):
        shutil.copy(path, folder)
    return folder


@pytest.mark.smoke
def test_the_skirt_is_finished_graded_laid_plotted_and_projected(skirt: Path) -> None:
    run = oaktag("finish", "skirt.svg", "--plan", "skirt.toml", "-o", "made", cwd=skirt)
    assert run.returncode == 0, run.stdout + run.stderr
    assert "sizes   S, M, L; base M" in run.stdout
    run = oaktag("verify", "made", cwd=skirt)
    assert run.returncode == 0, run.stdout
    run = oaktag("make", "skirt.toml", "-o", "again", cwd=skirt)
    assert (skirt / "again/pattern.json").read_bytes() == (skirt / "made/pattern.json").read_bytes()
    run = oaktag(
        "lay", "skirt.toml", "--cloth-width", "150cm", "--fold", "--quantity", "S=1,M=1", "--seconds", "0.3",
        "--as", "svg", "-o", "laid", cwd=skirt,
    )  # fmt: skip
    assert run.returncode == 0, run.stderr
    run = oaktag("project", "skirt.toml", "--size", "M", "-o", "page.html", cwd=skirt)
    assert run.returncode == 0, run.stderr


def test_the_skirts_lines_mean_what_the_plan_says(skirt: Path) -> None:
    """Against the numbers in the SVG: a dart of 20 mm, 97.5 mm deep; a notch 200 mm down the side seam."""
    pattern = pattern_of(load_job(skirt / "skirt.toml"))
    front = pattern.piece("front").cut.piece
    assert front.on_fold
    assert [e.kind.value for e in front.edges] == ["hem", "seam", "seam", "fold"]
    (dart,) = front.darts
    assert dart.intake == pytest.approx(20.0, abs=1e-3)
    assert dart.legs()[0] == pytest.approx((math.hypot(10, 97.5), math.hypot(10, 97.5)), abs=1e-3)
    waist = front.edge("waist")
    assert waist.length() - waist.sewn_length() == pytest.approx(20.0, abs=0.01)
    notch = next(n for n in pattern.piece("front").notches if n.name == "notch")
    assert notch.edge == "side"
    assert (notch.point.x, notch.point.y) == pytest.approx((250.0, -202.0), abs=0.01)  # its top is at y = -2 there
    band = pattern.piece("waistband").cut.piece
    assert band.internal_lines[0].kind.value == "fold"
    assert abs(band.grain[0].y - band.grain[1].y) < 1e-9  # as drawn, along the band
    assert pattern.piece("back").cut.piece.mirrored_pair


def test_the_skirts_cloth_has_the_band_along_its_grain(skirt: Path) -> None:
    nest = nest_of(load_job(skirt / "skirt.toml"))
    cloth = Cloth(1500.0)
    pieces = pieces_for(nest, "shell", cloth, {"M": 1})
    lay = lay_of("shell", pieces, cloth, 0.2)
    assert judged(lay, pieces).problems == ()
    (band,) = (p for p in pieces.spread if p.name == "waistband")
    ys = [y for _, y in band.outline]
    assert max(ys) - min(ys) > 700.0  # upright: along the cloth


def test_a_first_plan_can_be_used_as_it_is(skirt: Path) -> None:
    run = oaktag("finish", "skirt.svg", "--propose", "first.toml", cwd=skirt)
    assert run.returncode == 0, run.stderr
    text = (skirt / "first.toml").read_text()
    values = tomllib.loads(text)
    assert list(values["pieces"]) == ["front", "back", "waistband"]
    assert values["lines"]["dart"] == ["dart"]
    assert "seams" not in values  # guessed ones are remarks: see test_first_plan.py
    assert '# a = "front.e2"\n# b = "back.e3"' in text  # 608.6 mm each
    for length in re.findall(r"# \d+: .*\(([\d.]+) mm\)", text):
        assert float(length) > 0
    picture = (skirt / "first-numbers.svg").read_text()
    assert all(f">{number} {name}<" in picture for number, name in ((1, "front"), (2, "back"), (3, "waistband")))
    run = oaktag("finish", "skirt.svg", "--plan", "first.toml", "-o", "first", cwd=skirt)
    assert run.returncode == 0, run.stdout + run.stderr
    run = oaktag("finish", "skirt.svg", "-o", "quick", "--only", "json", cwd=skirt)
    assert run.returncode == 0, run.stderr
    assert {p["name"] for p in json.loads((skirt / "quick/pattern.json").read_text())["pieces"]} == {
        "front", "back", "waistband",
    }  # fmt: skip


def test_a_drawing_is_never_written_over(skirt: Path) -> None:
    before = (skirt / "skirt.svg").read_bytes()
    run = oaktag("finish", "skirt.svg", "--propose", "skirt.svg", cwd=skirt)
    assert run.returncode == 2
    assert "written over the drawing" in run.stderr
    assert (skirt / "skirt.svg").read_bytes() == before


def test_sides_that_differ_are_walked_and_told(skirt: Path) -> None:
    """The side of the back 4 mm longer: a seam of the plan that does not hold. (Up to 3 mm: see test_first_plan.py.)"""
    text = (skirt / "skirt.svg").read_text().replace("420,600 C510,608", "420,604 C510,608")
    assert text != (skirt / "skirt.svg").read_text()
    (skirt / "longer.svg").write_text(text)
    run = oaktag("finish", "longer.svg", "--plan", "skirt.toml", "-o", "longer", cwd=skirt)
    assert run.returncode == 1
    assert "side seam" in run.stdout
    assert not (skirt / "longer").exists()


# ---- other ways of drawing


def square(edges: str, more: str = "", head: str = "") -> str:
    return f"""
drawing = "square.svg"
units = "cm"
{head}
[pieces.patch]
outline = 1
edges = {edges}
{more}
"""


@pytest.fixture
def drawn(tmp_path: Path) -> Path:
    """A square of 200 mm with a grain line, a hole, a text and a pocket line."""
    (tmp_path / "square.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="300mm" height="300mm" viewBox="0 0 300 300">'
        '<rect x="50" y="50" width="200" height="200"/><g id="grain"><path d="M150,220 L150,80"/></g>'
        '<g id="drill"><circle cx="100" cy="100" r="1.5"/></g><path id="pocket" d="M80,200 h60"/>'
        '<text x="60" y="150">POCKET</text></svg>'
    )
    return tmp_path


def test_what_lies_inside_becomes_marks(drawn: Path) -> None:
    (drawn / "p.toml").write_text(square('["hem", "right", "top", "left"]', 'notches = { right = ["5 cm", "10 cm"] }'))
    piece = pattern_of(load_job(drawn / "p.toml")).piece("patch")
    assert [n.at for n in piece.cut.piece.notches if n.name == "notch"] == [50.0, 100.0]
    assert [round(h.x) for h in piece.drill_holes] == [-50]
    assert [line.name for line in piece.cut.piece.internal_lines] == ["pocket"]
    assert piece.cut.allowances == {"hem": 40.0, "right": 10.0, "top": 10.0, "left": 10.0}
    assert shapely.Polygon(piece.cut.cut_line).area == pytest.approx(220.0 * 250.0, rel=1e-6)


def test_edges_go_on_or_are_split(drawn: Path) -> None:
    (drawn / "p.toml").write_text(square('["hem", "side", "-", "left"]'))
    edges = pattern_of(load_job(drawn / "p.toml")).piece("patch").cut.piece.edges
    assert [(e.name, round(e.length())) for e in edges] == [("hem", 200), ("side", 400), ("left", 200)]
    (drawn / "p.toml").write_text(square('["hem", "a", "b", "top", "left"]', 'split = { 2 = ["7 cm"] }'))
    edges = pattern_of(load_job(drawn / "p.toml")).piece("patch").cut.piece.edges
    assert [(e.name, round(e.length())) for e in edges][1:3] == [("a", 70), ("b", 130)]


def test_the_stitch_line_of_a_square_is_a_smaller_square(drawn: Path) -> None:
    head = "[reading]\ntrace_allowance = true\n[allowances]\nhem = 4\nright = 1.5\n"
    (drawn / "p.toml").write_text(square('["hem", "right", "top", "left"]', head=head))
    cut = pattern_of(load_job(drawn / "p.toml")).piece("patch").cut
    assert shapely.Polygon(cut.stitch_line).area == pytest.approx((200 - 15 - 10) * (200 - 40 - 10), rel=1e-9)
    assert shapely.Polygon(cut.cut_line).area == pytest.approx(200.0 * 200.0, rel=1e-6)


def test_a_fold_may_be_drawn_at_any_slant(drawn: Path) -> None:
    """A half turned by 30°: the fold is x = 0 all the same, and nothing of its size changes."""
    text = (drawn / "square.svg").read_text().replace("<rect x", '<rect transform="rotate(30 150 150)" x')
    (drawn / "square.svg").write_text(text)
    (drawn / "p.toml").write_text(square('["e1", "e2", "e3", "e4"]', 'fold = "e2"'))
    piece = pattern_of(load_job(drawn / "p.toml")).piece("patch")
    assert shapely.Polygon(piece.cut.stitch_line).area == pytest.approx(40_000.0, rel=1e-9)
    assert {round(p.x, 9) for p in (piece.cut.piece.edge("e2").start, piece.cut.piece.edge("e2").end)} == {0.0}


@pytest.mark.parametrize("version", ["R12", "R2000", "R2004", "R2007", "R2010", "R2013", "R2018"])
def test_cad_drawings_of_every_version_finish_alike(version: str, tmp_path: Path) -> None:
    """The same outline with a bulge, by ezdxf in each version; area by hand. The arc ends smoothly: four edges."""
    document = ezdxf.new(version, setup=False)
    document.header["$INSUNITS"] = 4
    points = [(0, 0, 0), (300, 0, 0), (300, 200, 0), (200, 200, 1.0), (0, 200, 0)]
    space = document.modelspace()
    if version == "R12":
        space.add_polyline2d([(x, y) for x, y, _ in points], close=True)
        polyline = space[-1]
        for vertex, (_, _, bulge) in zip(polyline.vertices, points, strict=True):
            vertex.dxf.bulge = bulge
    else:
        space.add_lwpolyline([(x, y, b) for x, y, b in points], format="xyb", close=True)
    document.saveas(tmp_path / "yoke.dxf")
    unit = '[reading]\nunit = "mm"\n' if version == "R12" else ""
    (tmp_path / "p.toml").write_text(
        f'drawing = "yoke.dxf"\nunits = "cm"\n{unit}[allowances]\ne1 = 0\ne2 = 0\ne3 = 0\ne4 = 0\n'
        '[pieces.yoke]\noutline = 1\nedges = ["e1", "e2", "e3", "e4"]\n'
    )
    try:
        pattern = pattern_of(load_job(tmp_path / "p.toml"))
    except InputErrors as errors:
        raise AssertionError(str(errors)) from None
    area = shapely.Polygon(pattern.piece("yoke").cut.stitch_line).area
    assert area == pytest.approx(
        300 * 200 + 3.141592653589793 * 100**2 / 2, abs=120.0
    )  # 0.05 mm of chord along the arc


# ---- mistakes of a plan


@pytest.mark.parametrize(("change", "said"), [
    (("outline = 1", "outline = 9"), "there is no outline 9"),
    (("outline = 1", 'outline = "x"'), "no outlines are called 'x'"),
    (('["hem", "right", "top", "left"]', '["hem", "right", "top"]'), "3 edges are named, and its outline has 4"),
    (('["hem", "right", "top", "left"]', '["hem", "hem", "top", "left"]'), "two edges are called"),
    (("outline = 1", "outline = 1\nfold = 'side'"), "it has no such edge"),
    (("outline = 1", "outline = 1\nfolds = 'left'"), "is not a key of [pieces.patch]"),
    (("outline = 1", "outline = 1\npair = true"), "a pair is cut 1 times"),
    (("outline = 1", "outline = 1\nnotches = { top = ['50 cm'] }"), "a notch 50.0 cm along top"),
    (("outline = 1", "outline = 1\nnotches = { side = ['5 cm'] }"), "it has no such edge"),
    (("outline = 1", "outline = 1\nsplit = { 9 = ['5 cm'] }"), "there is no edge '9' to split"),
    (("outline = 1", "outline = 1\nsplit = { 1 = ['50 cm'] }"), "cannot be split there"),
    (("square.svg", "round.svg"), "no such file"),
    (("[pieces.patch]", "[allowances]\nside = 1\n[pieces.patch]"), "is not an edge of this garment"),
    (("[pieces.patch]", "[reading]\nscale = -1\n[pieces.patch]"), "is not a number that can be used"),
    (("[pieces.patch]", "[reading]\nknown = 'bar'\n[pieces.patch]"), "names no line with its length"),
    (("[pieces.patch]", "[lines]\nseam = ['x']\n[pieces.patch]"), "is not a key of [lines]"),
    (("[pieces.patch]", "[[seams]]\na = 'patch.top'\nb = 'patch.side'\n[pieces.patch]"), "there is no patch.side"),
    (("[pieces.patch]", "[[seams]]\na = 'patch.top'\n[pieces.patch]"), "seam 1 has no side b"),
    (("units", "garment = 'sheath-dress'\nunits"), "the pattern is drawn"),
    (("[pieces.patch]", "[sizes]\nmake = ['1']\n[pieces.patch]"), "need grade rules"),
])  # fmt: skip
def test_mistakes_of_a_plan_are_told_with_their_place(drawn: Path, change: tuple[str, str], said: str) -> None:
    good = square('["hem", "right", "top", "left"]')
    assert change[0] in good
    (drawn / "p.toml").write_text(good.replace(change[0], change[1], 1))
    run = oaktag("finish", "square.svg" if "round" not in change[1] else "round.svg", "--plan", "p.toml", cwd=drawn)
    assert run.returncode == 2, run.stdout + run.stderr
    assert said in run.stderr
    assert "Traceback" not in run.stderr
    assert not (drawn / "square-finished").exists()


@pytest.mark.parametrize(
    ("key", "good", "wrong"),
    [("corner_angle", (1, 120), (0.9, 121)), ("gap", (0, 5), (-0.1, 5.1)), ("fit", (0, 1), (-0.1, 1.1))],
)
def test_how_a_drawing_is_read_has_its_limits(
    drawn: Path, key: str, good: tuple[float, float], wrong: tuple[float, float]
) -> None:
    """Those of the options --corner-angle (1 to 120) and --gap (0 to 5); the fit is 1 mm at most."""
    plan = square('["hem", "right", "top", "left"]')
    for value in (*good, *wrong):
        said = plan.replace("[pieces.patch]", f"[reading]\n{key} = {value}\n[pieces.patch]", 1)
        (drawn / "p.toml").write_text(said)
        if value in wrong:
            with pytest.raises(InputErrors, match=f"{key}: "):
                load_job(drawn / "p.toml")
        else:
            try:
                load_job(drawn / "p.toml")
            except InputErrors as errors:  # a corner may be none at that angle: the limit is not what is wrong
                assert f"{key}: " not in str(errors)


def test_what_lies_in_no_piece_is_told(drawn: Path) -> None:
    text = (drawn / "square.svg").read_text().replace("</svg>", '<rect x="260" y="10" width="30" height="30"/></svg>')
    (drawn / "square.svg").write_text(text)
    (drawn / "p.toml").write_text(square('["hem", "right", "top", "left"]'))
    notes = pattern_of(load_job(drawn / "p.toml")).draft.notes
    assert any("Not used by the plan: outline 2" in note for note in notes)


def test_a_plan_is_a_job_for_every_verb(drawn: Path) -> None:
    (drawn / "p.toml").write_text(square('["hem", "right", "top", "left"]'))
    for words in (("check", "p.toml"), ("make", "p.toml", "-o", "made"), ("verify", "made")):
        run = oaktag(*words, cwd=drawn)
        assert run.returncode == 0, (words, run.stdout, run.stderr)
    run = oaktag("steps", "p.toml", cwd=drawn)
    assert run.returncode == 2
    assert "no steps of a draft" in run.stderr


def test_reading_twice_gives_the_same(drawn: Path) -> None:
    one = outlines_in(drawn / "square.svg", Plan())
    assert one == outlines_in(drawn / "square.svg", Plan(replace(Reading(), fit=Reading().fit)))


# ---- files that other programs saved


@pytest.mark.parametrize(("name", "reading"), [
    ("editor-own-in-turned.svg", ""),
    ("editor-plain-px.svg", 'known = "button=15.70796mm"'),
    ("editor-r12.dxf", 'unit = "mm"'),
    ("editor-r14.dxf", 'unit = "mm"'),
])  # fmt: skip
def test_what_other_programs_saved_finishes_to_the_same_piece(name: str, reading: str, tmp_path: Path) -> None:
    """One drawing saved by an editor in mm, px and inches, turned, and as DXF: the same piece within 0.05 mm.

    The button is 5 mm across, so 15.708 mm round. The programs and their versions: fixtures/drawings/README.md.
    """

    def outline(file: str, said: str) -> Any:
        shutil.copy(DRAWINGS / file, tmp_path)
        plan = tmp_path / f"{file}.toml"
        plan.write_text(
            f'drawing = "{file}"\nunits = "cm"\n[reading]\n{said}\n[allowances]\nhem = 4\nside = 1.5\n[pieces.front]\n'
            f"outline = 1\nfold = 'fold'\nedges = {edges_of(tmp_path / file, said)}\n"
        )
        piece = pattern_of(load_job(plan)).piece("front").cut.piece
        return shapely.Polygon([p for edge in piece.edges for p in flatten(edge.curves, 0.002)[:-1]])

    plain, other = outline("editor-plain-mm.svg", ""), outline(name, reading)
    assert plain.area > 200 * 340
    assert plain.exterior.hausdorff_distance(other.exterior) <= 0.05


def edges_of(file: Path, said: str) -> list[str]:
    """The names in the order in which this file's outline begins: by the edges' lengths."""
    plan, errors = read_plan(tomllib.loads(f"[reading]\n{said}\n"), lambda *_: None, "cm")  # type: ignore[arg-type, return-value]
    assert errors == []
    _, outlines = outlines_in(file, plan)
    lengths = [round(path_length(edge)) for edge in outlines.outlines[0].edges]
    return [{221: "hem", 352: "side", 180: "waist", 360: "fold"}[length] for length in lengths]


# ---- damaged on purpose


def damaged(text: str, dice: random.Random) -> str:
    """Numbers changed, letters left out, elements drawn twice."""
    for _ in range(dice.randint(1, 6)):
        numbers = list(re.finditer(r"-?\d+\.?\d*", text))
        chance, number = dice.random(), dice.choice(numbers)
        if chance < 0.6:
            value = float(number[0]) * dice.choice([0, 1, -1, 2, 0.5, 1.01]) + dice.uniform(-60, 60)
            text = text[: number.start()] + str(round(value, dice.randint(0, 3))) + text[number.end() :]
        elif chance < 0.8:
            start = dice.randrange(len(text))
            text = text[:start] + text[start + dice.randint(1, 30) :]
        else:
            elements = list(re.finditer(r"<(path|polyline|rect)[^>]*>", text))
            if elements:
                element = dice.choice(elements)
                text = text[: element.end()] + element[0] + text[element.end() :]
    return text


@pytest.mark.parametrize("seed", range(25))
def test_a_damaged_drawing_is_finished_or_told(seed: int, tmp_path: Path) -> None:
    """The whole way, from the file to the checks: nothing but the project's own errors."""
    dice = random.Random(seed)
    file = tmp_path / "x.svg"
    file.write_text(damaged((DRAWINGS / "skirt.svg").read_text(), dice))
    reading = Reading(outline="cut line" if dice.random() < 0.3 else "")
    try:
        drawing, outlines = outlines_in(file, Plan(reading))
        told = proposed(drawing, outlines, reading, title="x", file="x.svg", unit="cm", picture="p.svg")
        tomllib.loads(told.plan)
        (tmp_path / "p.toml").write_text(told.plan)
        make(load_job(tmp_path / "p.toml"), only=("json", "report"))
    except OaktagError as error:
        assert str(error).strip()
