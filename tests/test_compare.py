"""`oaktag compare`: both outlines against shapely, what is said of the allowance against the geometry, and files."""

from __future__ import annotations

import json
import tomllib
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from shapely import LinearRing, LineString, MultiLineString, Point, Polygon
from shapely.affinity import rotate, translate
from shapely.ops import unary_union

from oaktag.compare.fits import EdgeFit, PieceFit
from oaktag.compare.laid import lay_on, moved_words
from oaktag.compare.side import Side, SidePiece, side_of
from oaktag.compare.table import Comparison, compare
from oaktag.comparing import taken_from
from oaktag.geometry.affine import Move
from oaktag.verify.drawing import Named
from oaktag.verify.expected import Source
from oaktag.verify.pdf import read_tiled_pdf
from wardrobe import CHROMIUM, FIXTURES, IN, oaktag

CHOIR = FIXTURES / "choir"
SKIRT = """
title = "Lighthouse choir, mezzo 2"
garment = "straight-skirt"
units = "mm"
measurements = {{ waist_girth = 740, hip_girth = 1030, waist_to_hip = 210 }}
[style]
ease_hip = {hip}
ease_waist = {waist}
[allowances]
side = 25
"""
HIP, WAIST = 90, 25  # wearing ease of the old skirt, mm


def job_of(more: float, folder: Path) -> Path:
    """The skirt with so much let out at each of its four side edges, mm."""
    path = folder / f"skirt{more:g}.toml"
    path.write_text(SKIRT.format(hip=HIP + 4 * more, waist=WAIST + 4 * more))
    return path


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("compare")


@cache
def _side(path: Path) -> Side:
    return taken_from(path).side


def skirts(more: float, folder: Path) -> Comparison:
    return compare(_side(job_of(0, folder)), _side(job_of(more, folder)))


def fitted(compared: Comparison, piece: str, edge: str) -> EdgeFit:
    (fit,) = (fit for fit in compared.fits if fit.name == piece)
    return next(each for each in fit.edges if each.edge == edge)


def cloth_of(piece: SidePiece) -> Polygon:
    """What is cut, by shapely: a half on the fold is unfolded about x = 0, where drafts have it."""
    own = Polygon(piece.cut_line)
    if piece.cut_as != "fold":
        return own
    return unary_union([own, Polygon([(-x, y) for x, y in piece.cut_line])]).buffer(0)


# ---------------------------------------------------------------------------------------- allowance against geometry


@pytest.mark.parametrize(("more", "held"), [(0, True), (6, True), (12, True), (19, True), (20, False), (30, False)])
def test_what_is_left_of_a_side_is_what_shapely_measures(more: float, held: bool, folder: Path) -> None:
    """The side has 25 mm, so 25 less what is let out is left below the hip, where both lines run alike; 6 mm (1/4 in,
    common practice) have to be. By shapely: from the new side seam to the old cut line, beyond the cloth counted below
    nothing."""
    compared = skirts(more, folder)
    for laid in compared.laid:
        if laid.old.edge("side") is None:
            continue
        fit = fitted(compared, laid.old.name, "side")
        cloth = cloth_of(laid.old)
        side = laid.new.edge("side")
        assert side is not None
        far = []
        top = max(y for _, y in side.points) - 40  # the waist's own allowance cuts in above, the hem's below
        low = min(y for _, y in side.points) + 60
        for k in range(2001):
            p = LineString(side.points).interpolate(k / 2000, normalized=True)
            if low < p.y < top:
                far.append(p.distance(cloth.exterior) * (1 if cloth.contains(p) else -1))
        assert fit.left == pytest.approx(min(far), abs=0.1), laid.old.name
        assert fit.left == pytest.approx(25 - more, abs=0.3)  # by hand; the hip curve is let out less than square to it
        assert fit.held == held
        assert fit.beyond == (more > 25)


def test_words_of_a_side_that_is_let_out(folder: Path) -> None:
    told = {more: fitted(skirts(more, folder), "front", "side").words("mm") for more in (0, 12, 22, 30)}
    assert told[0] == "as it was, 25 mm allowance"
    assert told[12].startswith("13") and " of 25 mm left at the least" in told[12]
    assert told[22].startswith("only 3") and "6 mm is needed" in told[22] and "snipped in deeper" in told[22]
    assert told[30].startswith("runs out at ") and told[30].endswith(": 5 mm beyond the cloth")


def test_a_side_that_is_taken_in_leaves_all(folder: Path) -> None:
    fit = fitted(skirts(-5, folder), "front", "side")
    assert fit.held and fit.left > 25 + 4
    assert "all of its 25 mm is left" in fit.words("mm")
    assert skirts(-5, folder).held


def test_notches_show_where_the_new_seam_lies_outside_of_their_ends(folder: Path) -> None:
    """By shapely: from the cut line a notch goes in by its depth, and shows where its end lies inside the new seam."""
    source = json.loads(_written(job_of(0, folder), folder).read_text())
    front = next(piece for piece in source["pieces"] if piece["name"] == "front")
    for more in (6, 22):
        compared = skirts(more, folder)
        laid = next(one for one in compared.laid if one.old.name == "front")
        sewn, shows = Polygon(laid.new.stitch_line), 0
        for notch in front["notches"]:
            if notch["edge"] == "side":
                for (x, y), (u, v) in zip(
                    notch["cut_points"], notch.get("ways", [notch["direction"]] * 2), strict=False
                ):
                    tip = Point(x - notch["depth"] * u, y - notch["depth"] * v)
                    shows += sewn.contains(tip) and tip.distance(sewn.exterior) > 0.1
        assert len(fitted(compared, "front", "side").snips) == shows
        assert bool(shows) == (more == 22)


@cache
def _written(job: Path, folder: Path) -> Path:
    out = folder / f"{job.stem}-made"
    done = oaktag("make", job, "-o", out, "--only", "json", cwd=folder)
    assert done.returncode == 0, done.stderr
    return out / "pattern.json"


def test_the_statement_holds_for_every_place_of_every_piece(folder: Path) -> None:
    """A piece is said to fit only where every place of its new stitch line lies on the cloth, by shapely; and one where
    some place lies off it is said not to."""
    for more in (-5, 6, 12, 30):
        compared = skirts(more, folder)
        for laid, fit in zip(compared.laid, compared.fits, strict=True):
            cloth = cloth_of(laid.old)
            off = max(Point(p).distance(cloth) for p in laid.new.stitch_line)
            assert any(edge.beyond for edge in fit.edges) == (off > 0.15), (more, fit.name, off)


@pytest.mark.parametrize("job", ["alto-3", "conductor", "wardrobe/t-shirt", "wardrobe/blouse"])
def test_cloth_takes_the_pattern_that_it_was_cut_by(job: str) -> None:
    """Corners that are mitred, faced or cut on, necks that end steeply, widths that change along an edge: nothing is
    taken off any allowance, and what is left is what was cut; the least of it where that changes."""
    side = _side(CHOIR / f"{job}.toml")
    compared = compare(side, side)
    assert compared.held and not compared.told("mm")
    for piece, fit in zip(side.pieces, compared.fits, strict=True):
        for edge in fit.edges:
            own = piece.edge(edge.edge)
            assert own is not None
            least = min([own.allowance, *(width for _, width in own.widths)])
            assert least - 0.2 <= edge.left <= own.allowance + 0.2, (piece.name, edge.edge)


def test_an_edge_that_is_bound_needs_nothing_left() -> None:
    """A square with an allowance of 10 at three edges and none at one, let out by nothing: all of it fits."""
    square = _square(100.0, {"left": 10.0, "top": 0.0})
    assert compare(square, square).held
    wider = compare(square, _square(104.0, {"left": 10.0, "top": 0.0}))
    assert fitted(wider, "square", "right").left == pytest.approx(10 - 4, abs=1e-6)  # 10 cut, 4 let out
    assert fitted(wider, "square", "top").held


def _square(wide: float, widths: dict[str, float] | None = None, **more: Any) -> Side:
    """A square of 100 high with the corner on (0, 0), as pattern.json tells it; allowances of 10 unless told."""
    corners = [(0.0, 0.0), (wide, 0.0), (wide, 100.0), (0.0, 100.0)]
    names = ("low", "right", "top", "left")
    own = {name: (widths or {}).get(name, 10.0) for name in names}
    cut = [
        (-own["left"], -own["low"]), (wide + own["right"], -own["low"]),
        (wide + own["right"], 100 + own["top"]), (-own["left"], 100 + own["top"]),
    ]  # fmt: skip
    edges = [
        {
            "name": name, "kind": "seam", "points": [corners[k], corners[(k + 1) % 4]],
            "length": 100.0 if k % 2 else wide, "allowance": own[name],
        }
        for k, name in enumerate(names)
    ]  # fmt: skip
    piece = {
        "name": "square", "size": "measured", "stitch_line": corners, "cut_line": cut, "edges": edges, "darts": [],
        "notches": [], "grain_line": [[wide / 2, 10], [wide / 2, 90]],
        "points": {"corner": [0, 0], "far": [wide, 100]}, "quantity": 1, "material": "shell", **more,
    }  # fmt: skip
    data = json.loads(json.dumps({"oaktag": 1, "unit": "mm", "title": "square", "pieces": [piece]}))
    return side_of(Source(data, "square", ""))


def test_a_corner_that_leaves_the_cloth_where_an_edge_is_gone_is_found() -> None:
    """A triangle of 130 by 100 on the square: none of its edges leaves the cut line of its own old edge, but its corner
    lies off the cloth, by shapely as far as is told; each of the two edges there says so."""
    old = _square(100.0)
    square = old.pieces[0]
    corners = ((0.0, 0.0), (130.0, 0.0), (0.0, 100.0))
    low, top, left = (square.edge(name) for name in ("low", "top", "left"))
    assert low is not None and top is not None and left is not None
    edges = tuple(
        replace(edge, points=(corners[k], corners[(k + 1) % 3])) for k, edge in enumerate((low, top, left))
    )  # fmt: skip
    triangle = replace(square, stitch_line=corners, edges=edges, points={"corner": (0.0, 0.0)})
    compared = compare(old, replace(old, pieces=(triangle,)))
    far = Point(130.0, 0.0).distance(Polygon(square.cut_line))
    assert not compared.held
    for edge in ("low", "top"):
        assert fitted(compared, "square", edge).left == pytest.approx(-far)


def test_what_was_cut_apart_cannot_be_cut_on_the_fold() -> None:
    fold = _square(100.0, on_fold=True)
    assert not compare(_square(100.0, mirrored_pair=True, quantity=2), fold).held
    assert "on the fold now" in compare(_square(100.0, mirrored_pair=True), fold).fits[0].hindered


# ------------------------------------------------------------------------------------------- two outlines, by shapely


@pytest.fixture(scope="module")
def singers() -> Comparison:
    """Two of the choir, in sheath dresses of different styles and units."""
    return compare(_side(CHOIR / "alto-3.toml"), _side(CHOIR / "soprano-1.toml"))


def test_outlines_of_two_singers_lie_on_each_other_as_shapely_lays_them(singers: Comparison) -> None:
    """The new outline, moved by shapely from the point to the point, has the same symmetric difference to the old one
    as the comparison's own; and its points lie as far from the old ones."""
    assert len(singers.laid) >= 4
    new = _side(CHOIR / "soprano-1.toml")
    for laid in singers.laid:
        raw = new.piece(laid.old.name)
        assert raw is not None and laid.at and laid.turned == 0
        a, b = laid.old.points[laid.at], raw.points[laid.at]
        dx = 0.0 if laid.old.cut_as == "fold" else a[0] - b[0]  # both have the fold on x = 0
        moved = translate(Polygon(raw.cut_line), dx, a[1] - b[1])
        old = Polygon(laid.old.cut_line)
        assert Polygon(laid.new.cut_line).symmetric_difference(moved).area < 1.0
        assert old.symmetric_difference(Polygon(laid.new.cut_line)).area == pytest.approx(
            old.symmetric_difference(moved).area, abs=1.0
        )
        for move in laid.moves:
            x, y = raw.points[move.name]
            far = Point(laid.old.points[move.name]).distance(Point(x + dx, y + a[1] - b[1]))
            assert move.far == pytest.approx(far, abs=1e-6)
        assert Point(laid.moves[0].new).distance(Point(laid.moves[0].old)) == pytest.approx(laid.moves[0].far)


def test_cut_lines_of_two_singers_are_as_far_apart_as_edges_say(singers: Comparison) -> None:
    """No place of a new edge is further from its old cut line than shapely measures to that whole cut line."""
    for laid, fit in zip(singers.laid, singers.fits, strict=True):
        cloth = cloth_of(laid.old)
        for edge in fit.edges:
            assert edge.beyond <= (Polygon(laid.new.stitch_line).difference(cloth.buffer(0.1)).area > 0)
            run = laid.new.edge(edge.edge)
            assert run is not None
            if cloth.contains(LineString(run.points)) and edge.of is not None:
                assert edge.left >= LineString(run.points).distance(cloth.exterior) - 0.05


def test_levels_before_and_after_are_what_the_checks_measured(singers: Comparison) -> None:
    """By the jobs: hip 41 in and 96 cm, with the wearing ease that each check tells of."""
    rows = {row.name: row for row in singers.levels}
    for side, name in ((0, "before"), (1, "after")):
        path = (CHOIR / "alto-3.toml", CHOIR / "soprano-1.toml")[side]
        girths = {f.id: f.measured for f in taken_from(path).findings if f.id.startswith("girth.")}
        assert girths
        for level, girth in girths.items():
            assert getattr(rows[level.removeprefix("girth.").replace("-", " ")], name) == pytest.approx(girth)
    assert {laid.at for laid in singers.laid if laid.old.name in ("front", "back")} == {"neck_centre"}  # laid alike
    hip = rows["hip"]
    assert hip.before is not None and hip.after is not None
    assert hip.before > 41 * IN and hip.after > 960


def test_edges_before_and_after_are_those_of_both_patterns(singers: Comparison) -> None:
    """By shapely, along the points of pattern.json: to what flattening takes off."""
    for row in singers.edges:
        for side, drawn in ((singers.old, row.drawn_before), (singers.new, row.drawn_after)):
            piece = side.piece(row.of)
            edge = piece.edge(row.name) if piece is not None else None
            assert (edge is None) == (drawn is None)
            if edge is not None:
                assert drawn == pytest.approx(LineString(edge.points).length, abs=0.5)


def test_a_turned_piece_is_laid_straight_by_its_grain() -> None:
    """A piece drawn at 30 degrees, its grain turned with it, lies on itself again; by shapely."""
    (old,) = _square(100.0).pieces
    (new,) = (piece.moved(Move.turned(30.0).then(Move.by(70.0, -20.0))) for piece in _square(100.0).pieces)
    laid = lay_on(old, new)
    assert laid.turned == pytest.approx(-30.0)
    assert Polygon(laid.new.cut_line).symmetric_difference(Polygon(old.cut_line)).area < 1e-6
    assert rotate(Polygon(new.cut_line), -30).area == pytest.approx(Polygon(old.cut_line).area)


def test_a_named_point_is_where_the_pieces_are_laid() -> None:
    old, new = _square(100.0), _square(104.0)
    by_corner, by_far = compare(old, new, ("corner",)), compare(old, new, ("square.far",))
    assert by_corner.laid[0].at == "corner" and by_far.laid[0].at == "far"
    assert fitted(by_corner, "square", "right").left == pytest.approx(6)
    assert fitted(by_far, "square", "left").left == pytest.approx(6)
    assert fitted(by_far, "square", "right").left == pytest.approx(10)


def test_a_drawn_pattern_is_laid_by_its_corners() -> None:
    """Its points have no names: its corners are called by their edges, in the outline's direction."""
    old, new = _square(100.0, points={}), _square(104.0, points={})
    compared = compare(old, new, ("left/low",))
    assert compared.laid[0].at == "left/low"
    assert {move.name: round(move.dx, 6) for move in compared.laid[0].moves} == {
        "low/right": 4, "right/top": 4, "top/left": 0, "left/low": 0,
    }  # fmt: skip
    assert fitted(compared, "square", "right").left == pytest.approx(6)
    drawn = FIXTURES / "drawings" / "skirt.toml"
    done = oaktag("compare", drawn, drawn, "--fits", cwd=FIXTURES)
    assert done.returncode == 0 and "middle on middle" not in done.stdout


def test_a_check_that_fails_in_the_new_pattern_stops_and_in_the_old_one_does_not(folder: Path) -> None:
    """A pegged hem without an opening fails walk.stride; the cloth of an old pattern is cut already."""
    alto = (CHOIR / "alto-3.toml").read_text()
    start = alto.index("[style]")
    bad = folder / "bad.toml"
    bad.write_text(f'{alto[:start]}[style]\nopening = "none"\nhem = "pegged"\n')
    checked = oaktag("check", bad, cwd=folder)
    assert checked.returncode == 1, checked.stdout + checked.stderr
    for old, new, more, code in (
        (bad, CHOIR / "alto-3.toml", (), 0),
        (CHOIR / "alto-3.toml", bad, (), 1),
        (CHOIR / "alto-3.toml", bad, ("--despite", "walk.stride"), 0),
        (CHOIR / "alto-3.toml", bad, ("--despite", "walk.strid"), 2),
    ):
        done = oaktag("compare", old, new, *more, "-o", f"checked{code}", cwd=folder)
        assert done.returncode == code, (more, done.stderr)
        assert (folder / f"checked{code}").exists() == (code == 0)


def test_a_move_in_words() -> None:
    """3/8 in is 9.525 mm, 1/4 in 6.35 mm."""
    assert moved_words(9.525, 6.35, 1, "in") == "3/8 in out, 1/4 in up"
    assert moved_words(9.525, -6.35, -1, "in") == "3/8 in in, 1/4 in down"


# --------------------------------------------------------------------------------------------- the command, its files


def test_a_folder_and_its_own_job_do_not_differ(folder: Path) -> None:
    job = job_of(0, folder)
    made = _written(job, folder)
    for old, new in ((made.parent, job), (job, made), (made, made.parent)):
        done = oaktag("compare", old, new, "--fits", cwd=folder)
        assert done.returncode == 0, done.stderr
        assert "no length changes" in done.stdout and "can take the new one" in done.stdout
        assert "NO" not in done.stdout.split()
    told = json.loads(oaktag("compare", made, job, "--json", cwd=folder).stdout)
    assert told["fits"] and all(abs(row["change"]) < 0.001 for row in told["edges"] + told["levels"] + told["seams"])


def test_cloth_that_cannot_take_it_exits_with_1_only_if_asked(folder: Path) -> None:
    old, new = job_of(0, folder), job_of(30, folder)
    usual, asked = (oaktag("compare", old, new, *more, cwd=folder) for more in ((), ("--fits",)))
    assert (usual.returncode, asked.returncode) == (0, 1)
    assert usual.stdout == asked.stdout and "NO      front, side: runs out" in usual.stdout
    assert oaktag("compare", old, job_of(12, folder), "--keep", "14", "--at", "waist_centre", cwd=folder).stdout.count(
        "NO"
    )


def test_a_job_on_other_measurements(folder: Path) -> None:
    spring = folder / "spring.toml"
    spring.write_text('units = "cm"\nwaist_girth = 74\nhip_girth = 107\nwaist_to_hip = 21\n')
    done = oaktag("compare", job_of(0, folder), "--measurements", "spring.toml", cwd=folder)
    assert done.returncode == 0, done.stderr
    assert "new measures" in done.stdout
    row = next(line for line in done.stdout.splitlines() if " hip " in line)
    assert row.split("  ")[-1].strip() == "+40 mm"  # 107 cm less 103 cm, the ease as it was
    assert "client" not in done.stdout


def test_files_hold_the_same_and_are_of_full_size(folder: Path) -> None:
    """The PDF read back by PDFium: both cut lines, in tiles put together, are those of compare.json, to 0.05 mm."""
    done = oaktag("compare", job_of(0, folder), job_of(12, folder), "-o", "out", "--paper", "a4", cwd=folder)
    assert done.returncode == 0, done.stderr
    told = json.loads((folder / "out/compare.json").read_text())
    page = (folder / "out/compare.html").read_text()
    assert told["statement"] in page.replace("\N{NO-BREAK SPACE}", " ")
    drawing = read_tiled_pdf(folder / "out/compare.pdf")
    assert drawing.squares  # the scale block
    pieces = {piece["name"]: piece for piece in told["pieces"]}
    drawn = {named.name for named in drawing.cut}
    assert {"front", "back"} <= drawn <= pieces.keys()
    for name in sorted(drawn):
        lines = {
            size: MultiLineString([
                [*run.points, run.points[0]] if run.closed else run.points for run in drawing.cut[Named(name, size)]
            ])
            for size in ("old", "new")
        }  # fmt: skip
        meant = {size: LinearRing(pieces[name][f"{size}_cut_line"]) for size in lines}
        both = unary_union(list(meant.values())).bounds
        found = unary_union(list(lines.values())).bounds
        assert found[2] - found[0] == pytest.approx(both[2] - both[0], abs=0.05) or name == "waistband"
        if name == "waistband":  # it is turned to lie on the pages
            continue
        for size, line in lines.items():
            back = translate(line, both[0] - found[0], both[1] - found[1])
            assert back.hausdorff_distance(meant[size]) < 0.05
    again = oaktag("compare", job_of(0, folder), job_of(12, folder), "-o", "again", "--paper", "a4", cwd=folder)
    assert again.returncode == 0
    for name in ("compare.html", "compare.pdf", "compare.json"):
        assert (folder / "out" / name).read_bytes() == (folder / "again" / name).read_bytes()


@pytest.mark.skipif(CHROMIUM is None, reason="chromium is not installed")
def test_the_page_has_a_picture_of_each_piece_that_changed(folder: Path) -> None:
    import subprocess

    oaktag("compare", job_of(0, folder), job_of(30, folder), "-o", "seen", cwd=folder)
    dom = subprocess.run(
        [str(CHROMIUM), "--headless", "--no-sandbox", "--dump-dom", f"file://{folder}/seen/compare.html"],
        capture_output=True, text=True, timeout=120, check=True,
    ).stdout  # fmt: skip
    for words in ("front, old and new on each other", "back, old and new on each other", "runs out"):
        assert words in dom
    assert "<script" not in dom and "http://" not in dom.replace("http://www.w3.org/2000/svg", "")


def test_no_client_is_named(folder: Path) -> None:
    job = folder / "client.toml"
    job.write_text('client = "Ada Invented"\n' + job_of(0, folder).read_text())
    done = oaktag("compare", job, job_of(6, folder), "-o", "quiet", cwd=folder)
    told = done.stdout + "".join(p.read_text(errors="replace") for p in sorted((folder / "quiet").iterdir()))
    assert done.returncode == 0 and "Ada" not in told


def test_sizes_of_a_set(folder: Path) -> None:
    sizes = folder / "set.toml"
    body = tomllib.loads(SKIRT.format(hip=HIP, waist=WAIST))
    assert body["garment"] == "straight-skirt"
    text = SKIRT.format(hip=HIP, waist=WAIST)
    start, end = text.index("measurements"), text.index("[style]")
    sizes.write_text(f'{text[:start]}[sizes]\nchart = "women"\nmake = ["12", "14"]\nbase = "12"\n{text[end:]}')
    done = oaktag("compare", sizes, sizes, "--size", "14", "--json", cwd=folder)
    if done.returncode == 2 and "chart" in done.stderr:
        pytest.fail(done.stderr)
    told = json.loads(done.stdout)
    assert told["old"]["size"] == "14" and told["fits"]
    assert json.loads(oaktag("compare", sizes, sizes, "--json", cwd=folder).stdout)["old"]["size"] == "12"
    assert oaktag("compare", sizes, sizes, "--size", "99", cwd=folder).returncode == 2
    idle = oaktag("compare", job_of(0, folder), job_of(6, folder), "--size", "14", cwd=folder)
    assert idle.returncode == 2 and "neither pattern has several sizes" in idle.stderr


# ------------------------------------------------------------------------------------------------------- what is wrong


def spoilt(folder: Path, **change: Any) -> Path:
    data = json.loads(_written(job_of(0, folder), folder).read_text()) | change
    path = folder / f"spoilt-{len(list(folder.iterdir()))}.json"
    path.write_text(json.dumps(data))
    return path


def test_what_cannot_be_compared_is_told(folder: Path) -> None:
    job = job_of(0, folder)
    (folder / "text.json").write_text("no JSON")
    (folder / "list.json").write_text("[1, 2]")
    (folder / "deep.json").write_text("[" * 100_000)
    (folder / "empty").mkdir()
    (folder / "drawing.svg").write_text("<svg/>")
    pieces = json.loads(_written(job, folder).read_text())["pieces"]
    bad = {**pieces[0], "cut_line": [[0, 0], [1, "x"], [2, 2]]}
    endless = {**pieces[0], "stitch_line": [[0, 0], [10**400, 0], [2, 2]]}
    vast = {**pieces[0], "cut_line": [[0, 0], [20_000, 0], [0, 20_000]]}
    for arguments, said in (
        ((job, "text.json"), "it cannot be read"),
        ((job, "list.json"), "it holds no pieces"),
        ((job, "deep.json"), "it cannot be read"),
        ((job, "empty"), "there is no such file"),
        ((job, "none.json"), "there is no such file"),
        ((job, "none.toml"), "no such file"),
        ((job, "drawing.svg"), "it is a drawing"),
        ((job, spoilt(folder, oaktag=2)), "it is of format 2"),
        ((job, spoilt(folder, oaktag="1")), "where the format is told"),
        ((job, spoilt(folder, unit="in")), "unit is 'in'"),
        ((job, spoilt(folder, pieces=[bad])), "pieces[0].cut_line[1]"),
        ((job, spoilt(folder, pieces=[endless])), "pieces[0].stitch_line[1]"),
        ((job, spoilt(folder, pieces=[vast])), "a piece of at most 15 m"),
        ((job, spoilt(folder, pieces=[pieces[0], pieces[0]], title="x")), "two pieces are called"),
        ((job,), "only one pattern is named"),
        ((job, job, "--measurements", job), "both NEW and --measurements"),
        ((_written(job, folder), "--measurements", job), "only a job can be drafted"),
        ((job, _written(job, folder), "--despite", "walk.stride"), "no check is made of a pattern that is finished"),
        ((job, "--measurements", "none.toml"), "none.toml"),
        ((job, job, "--at", "waist_centr"), "Write --at waist_centre"),
        ((job, job, "--keep", "much"), "is not a length"),
        ((job, job, "--keep", "-1"), "so much is left of no allowance"),
        ((job, job, "--paper", "napkin"), "no such paper"),
    ):
        done = oaktag("compare", *arguments, "-o", "never", cwd=folder)
        assert done.returncode == 2, (said, done.stderr)
        assert said in done.stderr and "Traceback" not in done.stderr
    assert not (folder / "never").exists()


def test_patterns_without_a_piece_in_common(folder: Path) -> None:
    other = spoilt(
        folder, pieces=[{**json.loads(_written(job_of(0, folder), folder).read_text())["pieces"][0], "name": "x"}]
    )
    done = oaktag("compare", job_of(0, folder), other, cwd=folder)
    assert done.returncode == 0 and "nothing could be laid on each other" in done.stdout
    files = oaktag("compare", job_of(0, folder), other, "-o", "nothing", cwd=folder)
    assert files.returncode == 2 and "nothing to draw" in files.stderr
    assert not (folder / "nothing").exists()


def test_a_piece_fit_of_no_edges_holds() -> None:
    assert PieceFit("a", "a", ()).held and not PieceFit("a", "a", (), "why").held
