"""Reading back: files written here by hand, then damaged, and the damage must be seen.

Nothing of the exporters is used: every file is spelt out below. Tolerances are those of the contract: outlines
0.05 mm (HP-GL 0.06), the scale block to the format's unit (0.001 mm; 0.025 mm for HP-GL).
"""

from __future__ import annotations

import json
import math
import re
import subprocess
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import pytest

from oaktag.errors import InputError
from oaktag.verify import Row, as_json, verify, worst_distance
from oaktag.verify.compare import Lines, fits_of
from oaktag.verify.drawing import Run
from oaktag.verify.hpgl import read_hpgl

XY = tuple[float, float]
MM = 72 / 25.4
SHEET = {
    *("size of the sheet", "inside the sheet", "lines that show", "pieces apart"),
    *("size of the pages", "inside the pages", "how it prints", "words of the pages"),
    *("commands", "pens", "within the paper", "style"),
    *(f"{name}: {what}" for name in ("front", "centre back", "pocket") for what in ("facts", "turn and curve points")),
}
"""Rows about the sheet, the pages, the stream or what is said of them, which say nothing of the lines' size."""
FILES = ("pattern.dxf", "pattern.svg", "pattern-roll.pdf", "pattern-a4.pdf", "pattern.plt")


# What is drawn --------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Drawn:
    """A piece as the files below draw it, and as pattern.json has it: cut line, and edges of its stitch line."""

    name: str
    cut: tuple[XY, ...]
    edges: tuple[tuple[str, str, tuple[XY, ...]], ...]
    size: str = "38"

    def stitch(self) -> tuple[XY, ...]:
        return tuple(p for _, _, line in self.edges for p in line[:-1])

    def changed(self, how: Callable[[XY], XY], *, lines: str = "both") -> Drawn:
        cut = tuple(how(p) for p in self.cut) if lines in ("both", "cut") else self.cut
        edges = tuple(
            (n, k, tuple(how(p) for p in line) if lines in ("both", "stitch") else line) for n, k, line in self.edges
        )
        return replace(self, cut=cut, edges=edges)


def arc(centre: XY, radius: float, start: float, end: float) -> tuple[XY, ...]:
    steps = [math.radians(start + (end - start) * i / 12) for i in range(13)]
    return tuple((centre[0] + radius * math.cos(a), centre[1] + radius * math.sin(a)) for a in steps)


def half(name: str, width: float, length: float, armhole: float, size: str = "38") -> Drawn:
    """Half a bodice on the fold at x = 0: hem, side, a hollow armhole, top; 10 mm all round but the fold."""
    hollow = arc((width, length), armhole, 270, 180)
    edges = (
        ("hem", "hem", ((0.0, 0.0), (width, 0.0))),
        ("side", "seam", ((width, 0.0), (width, length - armhole))),
        ("armhole", "seam", hollow),
        ("top", "seam", ((width - armhole, length), (0.0, length))),
        ("centre_front", "fold", ((0.0, length), (0.0, 0.0))),
    )
    inner = arc((width, length), armhole - 10, 270, 180)
    cut = (
        (0.0, -10.0),
        (width + 10, -10.0),
        (width + 10, length - armhole + 10),
        *inner[1:],
        (width - armhole + 10, length + 10),
    )
    return Drawn(name, (*cut, (0.0, length + 10)), edges, size)


def pocket() -> Drawn:
    """A pocket with a deep hem on top, so that it is told from itself upside down only by its stitch line."""
    corners = ((0.0, 0.0), (120.0, 0.0), (120.0, 150.0), (0.0, 150.0))
    edges = tuple((f"edge_{i}", "hem" if i == 2 else "seam", (corners[i], corners[(i + 1) % 4])) for i in range(4))
    return Drawn("pocket", ((-10.0, -10.0), (130.0, -10.0), (130.0, 180.0), (-10.0, 180.0)), edges)


def pieces() -> list[Drawn]:
    return [half("front", 250, 400, 90), half("centre back", 235.5, 410, 80), pocket()]


def pattern_json(drawn: Sequence[Drawn]) -> str:
    return json.dumps(
        {
            "oaktag": 1,
            "unit": "mm",
            "pieces": [
                {
                    "name": piece.name,
                    "size": piece.size,
                    "on_fold": any(kind == "fold" for _, kind, _ in piece.edges),
                    "stitch_line": piece.stitch(),
                    "cut_line": piece.cut,
                    "edges": [{"name": n, "kind": k, "points": line} for n, k, line in piece.edges],
                }
                for piece in drawn
            ],
        }
    )


def turned(points: Sequence[XY], quarters: int, dx: float, dy: float) -> list[XY]:
    c, s = ((1, 0), (0, 1), (-1, 0), (0, -1))[quarters]
    return [(c * x - s * y + dx, s * x + c * y + dy) for x, y in points]


PLACES = ((1, 90.0, 20.0), (2, 650.0, 30.0), (0, 40.0, 600.0))
"""Where the sheet has the three pieces: quarter turns, and the lower left corner of the cut line's bounds."""


def on_sheet(drawn: Sequence[Drawn]) -> list[tuple[Drawn, list[XY], list[list[XY]]]]:
    """Cut line, and the edges of the stitch line without those on the fold, placed."""
    placed = []
    for piece, (quarters, left, bottom) in zip(drawn, PLACES, strict=False):
        xs, ys = zip(*turned(piece.cut, quarters, 0.0, 0.0), strict=True)
        shift = left - min(xs), bottom - min(ys)
        sewn = [turned(line, quarters, *shift) for _, kind, line in piece.edges if kind != "fold"]
        placed.append((piece, turned(piece.cut, quarters, *shift), sewn))
    return placed


def square(x: float, y: float, side: float) -> list[XY]:
    return [(x, y), (x + side, y), (x + side, y + side), (x, y + side)]


# How files are written ------------------------------------------------------------------------------------------


def write_dxf(path: Path, drawn: Sequence[Drawn], scale: float = 1.0) -> None:
    """Written line by line: group code, value; metric, in blocks, as the minimal file that CAD readers take."""
    out: list[str] = []

    def put(*pairs: object) -> None:
        out.extend(str(pair) for pair in pairs)

    def ring(layer: int, points: Sequence[XY]) -> None:
        put(0, "POLYLINE", 8, layer, 66, 1, 70, 1)
        for x, y in points:
            put(0, "VERTEX", 8, layer, 10, f"{x:.4f}", 20, f"{y:.4f}")
        put(0, "SEQEND", 8, layer)

    def text(words: str) -> None:
        put(0, "TEXT", 8, 1, 10, 0, 20, 0, 40, 5, 1, words)

    def kinds(*rings: Sequence[XY]) -> None:
        """Every vertex as a turn point or a curve point; one of both lines is the corner of either."""
        corners: dict[XY, bool] = {}
        for points in rings:
            for i, (x, y) in enumerate(points):
                (ax, ay), (bx, by) = points[i - 1], points[(i + 1) % len(points)]
                turn = math.atan2(by - y, bx - x) - math.atan2(y - ay, x - ax)
                corners[x, y] = corners.get((x, y), False) or abs(math.remainder(turn, 2 * math.pi)) > 0.3
        for (x, y), corner in corners.items():
            put(0, "POINT", 8, 2 if corner else 3, 10, f"{x:.4f}", 20, f"{y:.4f}")

    put(0, "SECTION", 2, "HEADER", 0, "ENDSEC", 0, "SECTION", 2, "BLOCKS")
    names: list[str] = []
    for i, piece in enumerate(drawn):
        names.append(piece.name.upper().replace(" ", "_") + "_" + piece.size)
        put(0, "BLOCK", 8, 0, 2, names[-1], 70, 64, 10, 0, 20, 0)
        text(f"Piece Name: {piece.name.upper()[:20]}")
        text(f"Size: {piece.size}")
        ring(1, turned(piece.cut, 0, 700.0 * i, 30.0))
        ring(14, turned(piece.stitch(), 0, 700.0 * i, 30.0))
        if piece.size == drawn[0].size:  # points stand in the base size alone
            kinds(turned(piece.cut, 0, 700.0 * i, 30.0), turned(piece.stitch(), 0, 700.0 * i, 30.0))
        put(0, "LINE", 8, 5, 10, 700 * i + 50, 20, 60, 11, 700 * i + 90, 21, 60)
        put(0, "ENDBLK", 8, 0)
    for name, side in (("SCALE_100_MM", 100.0), ("SCALE_4_IN", 101.6)):
        names.append(name)
        put(0, "BLOCK", 8, 0, 2, name, 70, 64, 10, 0, 20, 0)
        text(f"Piece Name: {name.replace('_', ' ')}")
        ring(1, square(0, -300, side * scale))
        put(0, "ENDBLK", 8, 0)
    put(0, "ENDSEC", 0, "SECTION", 2, "ENTITIES")
    text("Units: METRIC")
    text(f"Sample Size: {drawn[0].size}")
    text("ASTM/D13Proposal 1 Version: D 6673-04")
    for name in names:
        put(0, "INSERT", 8, 1, 2, name, 10, 0, 20, 0)
    put(0, "ENDSEC", 0, "EOF")
    path.write_text("\n".join(out) + "\n", encoding="ascii")


def write_svg(path: Path, drawn: Sequence[Drawn], scale: float = 1.0) -> None:
    def d(points: Sequence[XY], *, closed: bool) -> str:
        return "M" + "L".join(f"{x:.4f} {1000 - y:.4f}" for x, y in points) + ("Z" if closed else "")

    cut, stitch = [], []
    for piece, outline, edges in on_sheet(drawn):
        name = piece.name.replace(" ", "-")
        cut.append(f'<path id="{name}.cut-line" d="{d(outline, closed=True)}"/>')
        stitch.append(f'<path id="{name}.stitch-line" d="{"".join(d(edge, closed=False) for edge in edges)}"/>')
    scale_d = d(square(5, 5, 100 * scale), closed=True) + d(square(120, 5, 101.6 * scale), closed=True)
    path.write_text(
        '<?xml version="1.0" encoding="UTF-8"?>\n<svg xmlns="http://www.w3.org/2000/svg" width="1200mm" '
        f'height="1000mm" viewBox="0 0 1200 1000"><g stroke="#000" fill="none"><g id="cut-line">{"".join(cut)}</g>'
        f'<g id="stitch-line">{"".join(stitch)}</g><g id="scale-block"><path '
        f'id="scale-block.scale-block" d="{scale_d}M5 5L9 9"/></g></g></svg>\n',
        encoding="utf-8",
    )


def pdf(pages: Sequence[tuple[float, float, str]], layers: Sequence[str], user_unit: float = 1.0) -> bytes:
    """A PDF spelt out: pages (width, height, content; points), with layers /L0, /L1 … and a font /F."""
    count = len(pages)
    first_layer = 4 + 2 * count
    groups = " ".join(f"{first_layer + i} 0 R" for i in range(len(layers)))
    names = " ".join(f"/L{i} {first_layer + i} 0 R" for i in range(len(layers)))
    kids = " ".join(f"{3 + 2 * i} 0 R" for i in range(count))
    wish = "/ViewerPreferences << /PrintScaling /None >>"
    objects = [
        f"<< /Type /Catalog /Pages 2 0 R /OCProperties << /OCGs [{groups}] /D << /Order [{groups}] >> >> {wish} >>",
        f"<< /Type /Pages /Count {count} /Kids [{kids}] >>",
    ]
    for i, (width, height, content) in enumerate(pages):
        objects.append(
            f"<< /Type /Page /Parent 2 0 R /UserUnit {user_unit:g} /MediaBox [0 0 {width:.3f} {height:.3f}] /Contents "
            f"{4 + 2 * i} 0 R /Resources << /Font << /F {3 + 2 * count} 0 R >> /Properties << {names} >> >> >>"
        )
        objects.append(f"<< /Length {len(content)} >>\nstream\n{content}\nendstream")
    objects.append("<< /Type /Font /Subtype /Type1 /BaseFont /Helvetica >>")
    objects.extend(f"<< /Type /OCG /Name ({layer}) >>" for layer in layers)
    out, places = "%PDF-1.7\n", []
    for i, text in enumerate(objects, 1):
        places.append(len(out))
        out += f"{i} 0 obj\n{text}\nendobj\n"
    table = "".join(f"{place:010d} 00000 n \n" for place in places)
    out += (
        f"xref\n0 {len(objects) + 1}\n0000000000 65535 f \n{table}trailer << /Size {len(objects) + 1} /Root 1 0 R >>\n"
    )
    return f"{out}startxref\n{out.index('xref')}\n%%EOF\n".encode("latin-1")


LAYERS = ("cut line", "stitch line", "scale block", "register marks")


def path_of(points: Sequence[XY], *, closed: bool, unit: float = MM) -> str:
    moves = " ".join(f"{x * unit:.4f} {y * unit:.4f} {'l' if i else 'm'}" for i, (x, y) in enumerate(points))
    return f"{moves} {'h ' if closed else ''}S\n"


def marked(piece: str, layer: int, content: str) -> str:
    return f"/Piece << /Name ({piece}) >> BDC /OC /L{layer} BDC\n{content}EMC EMC\n"


def sheet_content(drawn: Sequence[Drawn], unit: float = MM) -> str:
    return "".join(
        marked(piece.name, 0, path_of(outline, closed=True, unit=unit))
        + marked(piece.name, 1, "".join(path_of(edge, closed=False, unit=unit) for edge in edges))
        for piece, outline, edges in on_sheet(drawn)
    )


def scale_content(scale: float, unit: float = MM) -> str:
    squares = (square(20, 20, 100 * scale), square(30, 140, 101.6 * scale))
    return marked("scale block", 2, "".join(path_of(points, closed=True, unit=unit) for points in squares))


def write_roll(path: Path, drawn: Sequence[Drawn], scale: float = 1.0, user_unit: float = 1.0) -> None:
    unit = MM / user_unit
    content = sheet_content(drawn, unit) + scale_content(scale, unit)
    path.write_bytes(pdf([(1200 * unit, 1000 * unit, content)], LAYERS, user_unit))


def write_tiles(path: Path, drawn: Sequence[Drawn], scale: float = 1.0, leave_out: str = "") -> None:
    """A cover, then tiles of 190 × 259 mm net, 10 mm of overlap clipped round each, on A4."""
    wide, high, columns, rows = 190.0, 259.0, 7, 4
    pages = [(595.276, 841.89, scale_content(scale))]
    for row in range(rows):
        for column in range(columns):
            name = f"{column + 1}{'ABCD'[row]}"
            if name == leave_out:
                continue
            left, bottom = column * wide, (rows - 1 - row) * high
            crosses = ""
            for x in (10.0, 10 + wide):
                for y in (10.0, 10 + high):
                    crosses += path_of([(x - 3, y), (x + 3, y)], closed=False)
                    crosses += path_of([(x, y - 3), (x, y + 3)], closed=False)
            at = f"1 0 0 1 {(10 - left) * MM:.4f} {(10 - bottom) * MM:.4f} cm\n"
            window = f"{5 * MM:.4f} {5 * MM:.4f} {(wide + 10) * MM:.4f} {(high + 10) * MM:.4f} re W n\n"
            words = f"BT /F 24 Tf 60 60 Td ({name}) Tj ET BT /F 7 Tf 90 60 Td (to B9 C9) Tj ET\n"
            content = f"q\n{window}{at}{sheet_content(drawn)}Q\n{words}/OC /L3 BDC\n{crosses}EMC\n"
            pages.append((595.276, 841.89, content))
    path.write_bytes(pdf(pages, LAYERS))


def write_plt(path: Path, drawn: Sequence[Drawn], scale: float = 1.0) -> None:
    """Turned by −90° as a whole, so that X is the feed; plotter units of 0.025 mm."""

    def line(points: Sequence[XY]) -> str:
        ring = [(round(y * 40), round((1300 - x) * 40)) for x, y in (*points, points[0])]
        return f"PU{ring[0][0]},{ring[0][1]};\nPD" + ",".join(f"{x},{y}" for x, y in ring[1:]) + ";\n"

    lines = [line(outline) for _, outline, _ in on_sheet(drawn)]
    lines += [line(square(5, 5, 100 * scale)), line(square(130, 5, 101.6 * scale))]
    path.write_text("IN;SP1;\n" + "".join(lines) + "PU;SP0;PG;\n", encoding="ascii")


WRITERS: dict[str, Callable[..., None]] = {
    "pattern.dxf": write_dxf,
    "pattern.svg": write_svg,
    "pattern-roll.pdf": write_roll,
    "pattern-a4.pdf": write_tiles,
    "pattern.plt": write_plt,
}


def rows_of(
    folder: Path, name: str, drawn: Sequence[Drawn], meant: Sequence[Drawn] | None = None, **how: float | str
) -> tuple[Row, ...]:
    (folder / "pattern.json").write_text(pattern_json(meant or pieces()), encoding="utf-8")
    WRITERS[name](folder / name, drawn, **how)
    return verify(folder)


def failed(rows: Sequence[Row]) -> set[str]:
    return {row.what for row in rows if not row.passed}


# What must pass -------------------------------------------------------------------------------------------------


def test_a_faithful_folder_passes_row_by_row(tmp_path: Path) -> None:
    for name, write in WRITERS.items():
        write(tmp_path / name, pieces())
    rows = rows_of(tmp_path, "pattern.svg", pieces())
    assert [row.message for row in rows if not row.passed] == []
    lines = {f"{piece.name}: {line}" for piece in pieces() for line in ("cut line", "stitch line")}
    squares = {"scale block: 100 mm square", "scale block: 4 in square"}
    told = {(row.file, row.reader, row.what) for row in rows}
    for name, reader in (("pattern.dxf", "ezdxf"), ("pattern.svg", "svgelements"), ("pattern-roll.pdf", "PDFium")):
        assert {what for file, by, what in told if (file, by) == (name, reader)} - SHEET == lines | squares
    tiled = lines | squares | {"register crosses"}
    assert {what for file, _, what in told if file == "pattern-a4.pdf"} - SHEET == tiled
    cuts = {f"{piece.name}: cut line" for piece in pieces()}
    assert {what for file, _, what in told if file == "pattern.plt"} - SHEET == cuts | squares
    assert {row.limit for row in rows if row.file == "pattern.plt" and row.what not in SHEET} == {0.06, 0.025}
    assert all(row.worst <= row.limit if row.worst is not None else row.what in SHEET for row in rows)


def test_gdal_reads_the_dxf_as_well_where_it_is_installed(tmp_path: Path) -> None:
    pytest.importorskip("pyogrio")
    rows = rows_of(tmp_path, "pattern.dxf", pieces())
    assert [(row.what, row.passed) for row in rows if row.reader == "GDAL"] == [
        (row.what, row.passed) for row in rows if row.reader == "ezdxf"
    ]


def unfolded(piece: Drawn) -> Drawn:
    """Both halves, by hand: the fold of the halves above is x = 0."""
    sewn = tuple(edge for edge in piece.edges if edge[1] != "fold")
    other = tuple((f"{n}_2", k, tuple((-x, y) for x, y in line)) for n, k, line in sewn)
    right = piece.cut[1:-1]
    ring = (*right, piece.cut[-1], *((-x, y) for x, y in reversed(right)), piece.cut[0])
    kept = tuple(p for p in ring if p[0] != 0.0)
    return replace(piece, cut=kept, edges=sewn + other)


@pytest.mark.parametrize("name", ["pattern.svg", "pattern-roll.pdf", "pattern-a4.pdf", "pattern.plt"])
def test_a_piece_on_the_fold_may_be_drawn_whole(tmp_path: Path, name: str) -> None:
    """Contract: such a piece is given as its half; exporters that need it whole unfold it."""
    meant = [half("front", 250, 400, 90)]
    assert failed(rows_of(tmp_path, name, [unfolded(meant[0])], meant)) == set()


def test_sizes_are_told_apart(tmp_path: Path) -> None:
    meant = [half("front", 250, 400, 90, "38"), half("front", 260, 405, 92, "40")]
    assert failed(rows_of(tmp_path, "pattern.dxf", meant, meant)) == set()
    swapped = [replace(meant[0], size="40"), replace(meant[1], size="38")]
    rows = rows_of(tmp_path, "pattern.dxf", swapped, meant)
    assert {"front, size 38: cut line", "front, size 40: cut line"} <= failed(rows)


@pytest.mark.parametrize("name", ["pattern-roll.pdf", "pattern-a4.pdf"])
def test_sizes_under_one_name_are_matched(tmp_path: Path, name: str) -> None:
    """A nest: all sizes lie in the same place under the piece's name, as the coordinates of pattern.json do."""
    meant = [half("front", 250, 400, 90, "38"), half("front", 260, 405, 92, "40")]
    places = ((0, 20.0, 30.0), (0, 20.0, 30.0))
    with pytest.MonkeyPatch.context() as patch:
        patch.setitem(on_sheet.__globals__, "PLACES", places)
        assert failed(rows_of(tmp_path, name, meant, meant)) == set()
        wrong = [meant[0], meant[1].changed(lambda p: (p[0] * 1.01, p[1]))]
        assert "front, size 40: cut line" in failed(rows_of(tmp_path, name, wrong, meant))


def test_a_page_in_user_units_is_measured_in_them(tmp_path: Path) -> None:
    """ISO 32000-1, table 30: UserUnit is the size of the page's unit in 1/72 in."""
    assert failed(rows_of(tmp_path, "pattern-roll.pdf", pieces(), user_unit=2.0)) == set()


def test_one_file_can_be_named_alone(tmp_path: Path) -> None:
    rows_of(tmp_path, "pattern.svg", pieces())
    write_plt(tmp_path / "pattern.plt", pieces())
    assert {row.file for row in verify(tmp_path / "pattern.plt")} == {"pattern.plt"}


# What must be seen ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", FILES)
def test_a_mirrored_piece_fails(tmp_path: Path, name: str) -> None:
    front, back, patch = pieces()
    rows = rows_of(tmp_path, name, [front.changed(lambda p: (-p[0], p[1])), back, patch])
    assert {"front: cut line"} <= failed(rows) <= {"front: cut line", "front: stitch line"}
    assert "mirrored" in next(row.message for row in rows if row.what == "front: cut line")


@pytest.mark.parametrize(
    ("name", "scale"), [*((name, 1.005) for name in FILES), ("pattern.svg", 0.995), ("pattern.plt", 0.995)]
)
def test_half_a_percent_of_scale_fails(tmp_path: Path, name: str, scale: float) -> None:
    """0.5 % of 420 mm is 2.1 mm; a shift can share that out at best to half, 1 mm, on either side."""
    drawn = [piece.changed(lambda p: (p[0] * scale, p[1] * scale)) for piece in pieces()]
    rows = rows_of(tmp_path, name, drawn, scale=scale)
    assert {row.what for row in rows if row.passed} <= {"register crosses", *SHEET}
    front = next(row for row in rows if row.what == "front: cut line")
    assert front.worst is not None and 1.0 < front.worst < 2.3
    assert f"{scale:.2%}" in front.message


def test_a_nearly_square_piece_too_large_and_turned_is_laid_as_it_was_turned() -> None:
    """102 x 100 mm at 102 %, by a quarter turn: its bounds, 102 x 104 mm, are as wide as if it were not turned."""
    meant = ((0.0, 0.0), (102.0, 0.0), (102.0, 30.0), (20.0, 30.0), (20.0, 100.0), (0.0, 100.0))
    drawn = tuple(turned([(1.02 * x, 1.02 * y) for x, y in meant], 1, 7.0, 7.0))
    fits = fits_of(Lines((Run(drawn, closed=True),)), Lines((Run(meant, closed=True),)))
    assert fits[0].placement.turns == 1 and fits[0].worst < 3.0


@pytest.mark.parametrize("side", [85.0, 110.0, 130.0])
def test_a_square_piece_is_no_square_of_a_scale_block(tmp_path: Path, side: float) -> None:
    """A plot names neither: they are told by their sides."""
    front, back, patch = pieces()
    patch = patch.changed(lambda p: ((p[0] + 10) * side / 140, (p[1] + 10) * side / 190))
    assert failed(rows_of(tmp_path, "pattern.plt", [front, back, patch], [front, back, patch])) == set()
    rows = rows_of(tmp_path, "pattern.plt", [front, back, patch], [front, back, patch], scale=1.0005)
    assert failed(rows) == {"scale block: 100 mm square", "scale block: 4 in square"}


@pytest.mark.parametrize("role", ["notches", "drill-holes", "internal-lines", "darts"])
def test_a_mark_on_a_piece_that_has_none_is_told(tmp_path: Path, role: str) -> None:
    rows_of(tmp_path, "pattern.svg", pieces())
    path = tmp_path / "pattern.svg"
    more = f'<g id="{role}"><path id="front.{role}" d="M300 800L306 800"/></g>'
    text = path.read_text(encoding="utf-8").replace('<g id="scale-block">', f'{more}<g id="scale-block">')
    path.write_text(text, encoding="utf-8")
    assert failed(verify(tmp_path)) == {f"front: {role.replace('-', ' ')}"}


@pytest.mark.parametrize("unit", ["px", ""])
def test_a_sheet_in_no_length_of_paper_is_told_as_it_prints(tmp_path: Path, unit: str) -> None:
    """96 px to the inch (CSS; SVG 1.1, 7.10: a bare number is px): what was meant as 1 mm is 0.2646 mm."""
    write_svg(tmp_path / "pattern.svg", pieces())
    path = tmp_path / "pattern.svg"
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace('1200mm"', f'1200{unit}"').replace('1000mm"', f'1000{unit}"'), encoding="utf-8")
    (tmp_path / "pattern.json").write_text(pattern_json(pieces()), encoding="utf-8")
    (row,) = (row for row in verify(tmp_path) if row.what == "size of the sheet")
    assert not row.passed and "prints at 26.5%" in row.message


@pytest.mark.parametrize(
    ("left", "top", "name"), [(50, 0, "pocket"), (-400, 0, "centre-back"), (0, 300, "pocket"), (0, -100, "front")]
)
def test_a_piece_that_crosses_an_edge_of_its_sheet_is_told(tmp_path: Path, left: int, top: int, name: str) -> None:
    """What is shown begins elsewhere, so that one edge of it after the other runs through a piece."""
    write_svg(tmp_path / "pattern.svg", pieces())
    path = tmp_path / "pattern.svg"
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace('viewBox="0 0 ', f'viewBox="{left} {top} '), encoding="utf-8")
    (tmp_path / "pattern.json").write_text(pattern_json(pieces()), encoding="utf-8")
    (row,) = (row for row in verify(tmp_path) if row.what == "inside the sheet")
    assert not row.passed and row.message.startswith(f"{name}.cut-line")


@pytest.mark.parametrize("name", FILES)
@pytest.mark.parametrize("corner", [1, 2, 15])
def test_a_corner_moved_by_a_tenth_of_a_millimetre_fails(tmp_path: Path, name: str, corner: int) -> None:
    front, back, patch = pieces()
    cut = list(front.cut)
    cut[corner] = (cut[corner][0] + 0.071, cut[corner][1] + 0.071)
    rows = rows_of(tmp_path, name, [replace(front, cut=tuple(cut)), back, patch])
    assert failed(rows) == {"front: cut line"}
    at = next(row for row in rows if row.what == "front: cut line")
    assert f"({cut[corner][0]:.0f}"[:3] in at.message


@pytest.mark.parametrize("name", [name for name in FILES if name != "pattern.plt"])
def test_pieces_swapped_with_each_other_fail(tmp_path: Path, name: str) -> None:
    """HP-GL names no piece, so that there is nothing to swap there."""
    front, back, patch = pieces()
    rows = rows_of(tmp_path, name, [replace(back, name="front"), replace(front, name="centre back"), patch])
    assert {"front: cut line", "centre back: cut line"} <= failed(rows)
    said = next(row.message for row in rows if row.what == "front: cut line")
    assert "what is drawn as front is the outline of centre back" in said


@pytest.mark.parametrize("name", [name for name in FILES if name != "pattern.plt"])
def test_a_stitch_line_shifted_against_its_cut_line_fails(tmp_path: Path, name: str) -> None:
    front, back, patch = pieces()
    rows = rows_of(tmp_path, name, [front.changed(lambda p: (p[0], p[1] + 0.1), lines="stitch"), back, patch])
    assert failed(rows) == {"front: stitch line"}


def test_a_pocket_whose_hem_is_at_the_wrong_end_fails(tmp_path: Path) -> None:
    """Its cut line is the same upside down; its stitch line is not: that needs one placement for both."""
    front, back, patch = pieces()
    wrong = patch.changed(lambda p: (p[0], 170.0 - p[1]), lines="stitch")
    assert failed(rows_of(tmp_path, "pattern.svg", [front, back, patch])) == set()
    # upside down on the sheet is no mistake: a turn of 180° puts it right
    assert failed(rows_of(tmp_path, "pattern.svg", [front, back, wrong])) == set()
    # but DXF blocks are not turned, nor is a stitch line that has the hem on a long side
    assert failed(rows_of(tmp_path, "pattern.dxf", [front, back, wrong])) >= {"pocket: stitch line"}


@pytest.mark.parametrize("name", FILES)
def test_a_missing_piece_fails(tmp_path: Path, name: str) -> None:
    rows = rows_of(tmp_path, name, pieces()[:2])
    assert {"pocket: cut line"} <= failed(rows) <= {"pocket: cut line", "pocket: stitch line"}
    assert all(row.worst is None for row in rows if not row.passed)


@pytest.mark.parametrize("name", [name for name in FILES if name != "pattern.plt"])
def test_an_unknown_piece_fails_by_name(tmp_path: Path, name: str) -> None:
    front, back, patch = pieces()
    rows = rows_of(tmp_path, name, [front, back, replace(patch, name="cuff")])
    said = " ".join(row.message for row in rows if not row.passed).lower()
    assert "no piece 'cuff'" in said and "front, centre back, pocket" in said


def test_a_tile_that_is_missing_leaves_a_gap(tmp_path: Path) -> None:
    rows = rows_of(tmp_path, "pattern-a4.pdf", pieces(), leave_out="2D")
    assert failed(rows) == {"front: cut line", "front: stitch line"}


def test_an_outline_drawn_twice_fails(tmp_path: Path) -> None:
    rows_of(tmp_path, "pattern.svg", pieces())
    path = tmp_path / "pattern.svg"
    text = path.read_text(encoding="utf-8")
    d = text.split('id="front.cut-line" d="')[1].split('"')[0]
    path.write_text(text.replace(f'd="{d}"', f'd="{d}{d}"'), encoding="utf-8")
    rows = verify(tmp_path)
    assert failed(rows) == {"front: cut line"}
    assert "twice" in next(row.message for row in rows if not row.passed)


@pytest.mark.parametrize("name", FILES)
def test_a_scale_block_off_by_its_unit_fails(tmp_path: Path, name: str) -> None:
    """0.05 % of 100 mm is 0.05 mm: two plotter units, fifty times the unit of the others."""
    rows = rows_of(tmp_path, name, pieces(), scale=1.0005)
    assert failed(rows) == {"scale block: 100 mm square", "scale block: 4 in square"}


@pytest.mark.parametrize(("side", "said"), [(50.0, set()), (49.5, {"small scale block: cut line"}), (0.0, None)])
def test_a_small_scale_block_that_is_off_or_missing_fails(tmp_path: Path, side: float, said: set[str] | None) -> None:
    """A sheet beside the first has a square of 50 mm, its diagonals and its numerals instead of the large block."""
    (tmp_path / "pattern.json").write_text(
        json.dumps(
            {
                **json.loads(pattern_json(pieces())),
                "drawn": [
                    {
                        "file": "pattern.svg",
                        "sizes": ["38"],
                        "layout": "apart",
                        "stitch_lines": False,
                        "small_block": True,
                    }
                ],
            }
        ),
        encoding="utf-8",
    )
    write_svg(tmp_path / "pattern.svg", pieces())
    path = tmp_path / "pattern.svg"
    a, b = 1100, 1100 + side
    top, low = 900, 900 + side
    ring = f"M{a} {top}L{b} {top}L{b} {low}L{a} {low}Z" if side else ""
    numerals = "M1110 905L1112 905M1114 905L1116 907L1118 905Z"
    small = f'<path id="small-scale-block.scale-block" d="{ring}M{a} {top}L{b} {low}{numerals}"/>'
    text = re.sub(r'<path id="scale-block.scale-block" d="[^"]*"/>', small, path.read_text(encoding="utf-8"))
    text = re.sub(r'<path id="[^"]*stitch-line"[^>]*>', "", text)
    path.write_text(text, encoding="utf-8")
    told = failed(verify(tmp_path))
    assert told == said if said is not None else any("small scale block" in what for what in told)


@pytest.mark.parametrize("name", FILES)
def test_a_truncated_file_is_one_failed_row(tmp_path: Path, name: str) -> None:
    rows_of(tmp_path, name, pieces())
    data = (tmp_path / name).read_bytes()
    for part in (0.3, 0.7, 0.97):
        (tmp_path / name).write_bytes(data[: int(len(data) * part)])
        rows = verify(tmp_path)
        assert rows and not any(row.passed for row in rows), part
        assert all(name in row.message and "Write it again" in row.message for row in rows)
        assert not any(str(tmp_path) in row.message or ".cpp" in row.message for row in rows)


@pytest.mark.parametrize("name", FILES)
@pytest.mark.parametrize(
    "junk", [b"", b"hello", b"\x00\xff" * 500, b"<svg>", b"IN;PD1,2", b"%PDF-1.7\n%%EOF", b"0\nSECTION\n0\nEOF\n"]
)
def test_a_foreign_file_is_a_failed_row_not_a_traceback(tmp_path: Path, name: str, junk: bytes) -> None:
    rows_of(tmp_path, name, pieces())
    (tmp_path / name).write_bytes(junk)
    rows = verify(tmp_path)
    assert rows and not any(row.passed for row in rows)


def test_coordinates_on_no_sheet_are_a_failed_row(tmp_path: Path) -> None:
    far = [pieces()[0].changed(lambda p: (p[0] * 1e9, p[1]))]
    rows = rows_of(tmp_path, "pattern.svg", far)
    assert [row.what for row in rows] == ["the file"] and "on no sheet" in rows[0].message


# HP-GL, by the vectors of the language's description ------------------------------------------------------------


@pytest.mark.parametrize(
    "plot",
    [
        b"IN;SP1;PU1000,1000;PD5000,1000,5000,3000,1000,3000,1000,1000;PU;SP0;",
        b"IN;SP1;PE7<=O]`O]`?Yf__?\\b@Yf__@\\b;PU;SP0;",
        bytes.fromhex("494e3b5350313b50453c3d4fde4fde3f7cc0bfbf5ffd407cc0bfbf60fd3b50553b5350303b"),
        b"\x1b%-12345X@PJL ENTER LANGUAGE=HPGL2\r\n\x1b%0BIN;SP1;PU1000 1000PD;PR4000,0,0,2000,-4000,0,0,-2000;PU;SP0;",
        b"\x1b.I81;;17:\x1b.N;19:in;sp1;LBnotch 3\x03;pu1000,1000;pd5000,1000;pa5000,3000,1000,3000,1000,1000;pu;sp0\n",
    ],
    ids=["plain", "encoded, 7 bits", "encoded, 8 bits", "relative, in a printer's job", "with a label"],
)
def test_the_same_rectangle_in_every_spelling(tmp_path: Path, plot: bytes) -> None:
    """100 × 50 mm from (25, 25) mm; the first three are byte-identical to the independent reader hp2xx 3.4.4."""
    path = tmp_path / "pattern.plt"
    path.write_bytes(plot)
    (run,) = read_hpgl(path).loose
    assert run.points == ((25.0, 25.0), (125.0, 25.0), (125.0, 75.0), (25.0, 75.0))


@pytest.mark.parametrize(
    ("plot", "said"),
    [
        (b"IN;SC0,1,0,1;SP1;PU0,0;PD9,0,9,9,0,0;SP0;", "SC"),
        (b"IN;SP1;PU0,0;PD9,0,9,9,0;SP0;", "pairs"),
        (b"IN;SP1;PU0,0;PD9,0,9,9,0,0;", "put away"),
        (b"IN;SP1;PE<=!!;SP0;", "digit"),
        (b"SP1;PU0,0;PD9,0,9,9,0,0;SP0;", "IN"),
    ],
)
def test_plots_that_cannot_be_followed_say_why(tmp_path: Path, plot: bytes, said: str) -> None:
    (tmp_path / "pattern.json").write_text(pattern_json(pieces()), encoding="utf-8")
    (tmp_path / "pattern.plt").write_bytes(plot)
    (row,) = verify(tmp_path)
    assert said in row.message and not row.passed


# Input, and what is told ----------------------------------------------------------------------------------------


def test_without_pattern_json_it_says_what_to_type(tmp_path: Path) -> None:
    for folder in (tmp_path, tmp_path / "nowhere"):
        with pytest.raises(InputError, match=r"Run oaktag make JOB -o FOLDER first, then oaktag verify FOLDER"):
            verify(folder)


def test_nothing_to_read_back_is_no_pass(tmp_path: Path) -> None:
    (tmp_path / "pattern.json").write_text(pattern_json(pieces()), encoding="utf-8")
    with pytest.raises(InputError, match="nothing to read back"):
        verify(tmp_path)


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ("{", "cannot be read"),
        ("[]", "holds no pieces"),
        ('{"pieces": []}', "holds no pieces"),
        ('{"pieces": [1]}', r"pieces\[0\]"),
        ('{"unit": "in", "pieces": [1]}', "'in'"),
        ('{"pieces": [{"name": "front", "size": "38", "cut_line": [[0, 0], [1, 0], [1, "x"]]}]}', r"cut_line\[2\]"),
        ('{"pieces": [{"name": "front", "size": "38", "cut_line": [[0, 0], [1, 0], [1, NaN]]}]}', r"cut_line\[2\]"),
    ],
)
def test_a_damaged_pattern_json_names_its_place(tmp_path: Path, text: str, place: str) -> None:
    (tmp_path / "pattern.json").write_text(text, encoding="utf-8")
    write_svg(tmp_path / "pattern.svg", pieces())
    with pytest.raises(InputError, match=place):
        verify(tmp_path)


def test_worst_distance_of_a_turned_and_shifted_ring_is_nothing() -> None:
    ring = half("front", 250, 400, 90).cut
    for quarters in range(4):
        placed = turned(ring, quarters, 17.3, -400.0)
        assert worst_distance([[*placed, placed[0]]], ring) < 1e-9


def test_worst_distance_by_hand() -> None:
    """A square 1 mm too wide: one side lies 1 mm off if the others are laid on, and a shift could hide half."""
    found = [(0.0, 0.0), (101.0, 0.0), (101.0, 100.0), (0.0, 100.0), (0.0, 0.0)]
    assert 0.5 - 1e-6 <= worst_distance([found], square(0, 0, 100.0)) <= 1.0 + 1e-6
    assert worst_distance([], square(0, 0, 100.0)) == math.inf


def test_a_gap_in_a_long_side_is_measured() -> None:
    """20 mm left out in a side, away from its middle: the gap's middle is 10 mm from what is drawn, less a step."""
    lines = [[(0.0, 0.0), (20.0, 0.0)], [(40.0, 0.0), (200.0, 0.0), (200.0, 100.0), (0.0, 100.0), (0.0, 0.0)]]
    worst = worst_distance(lines, [(0.0, 0.0), (200.0, 0.0), (200.0, 100.0), (0.0, 100.0)])
    assert 7.5 <= worst <= 10.0


def test_rows_as_json() -> None:
    rows = (
        Row("a.svg", "svgelements", "front: cut line", 0.00123456, 0.05, True, "within"),
        Row("a.svg", "svgelements", "back: cut line", None, 0.05, False, "not there"),
    )
    told = json.loads(as_json(rows))
    assert told["passed"] is False
    assert [row["worst"] for row in told["rows"]] == [0.0012, None]


def test_importing_it_loads_nothing_heavy() -> None:
    code = "import sys, oaktag.verify; print(*sys.modules)"
    loaded = set(
        subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout.split()
    )
    assert not loaded & {"numpy", "shapely", "ezdxf", "pyogrio", "pypdfium2", "svgelements", "pikepdf"}
    assert not {name for name in loaded if name.startswith("oaktag.export")}


# Distances ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("runs", [1, 40, 12_000], ids=["one", "some", "a scribble"])
def test_distances_to_drawn_lines_are_those_of_the_geometry_library(runs: int) -> None:
    """GEOS measures each point against all lines together; far points, near ones, and points on a line."""
    import numpy as np
    import shapely

    from oaktag.verify.compare import Lines
    from oaktag.verify.drawing import Run

    chance = np.random.default_rng(4)
    wide = 1.0 if runs > 10_000 else 200.0
    ends = chance.uniform(0.0, wide, (runs, 2, 2))
    points = np.concatenate((ends[:30].mean(axis=1), ends[:30, 0] + 0.01, chance.uniform(-wide, 2 * wide, (40, 2))))
    drawn = Lines(Run(((a[0], a[1]), (b[0], b[1]))) for a, b in ends.tolist())
    together = shapely.MultiLineString(ends.tolist())
    assert drawn.off(points) == pytest.approx(shapely.distance(shapely.points(points), together), abs=1e-9)


def test_where_nothing_is_drawn_everything_is_infinitely_far() -> None:
    import numpy as np

    from oaktag.verify.compare import Lines

    assert Lines(()).off(np.zeros((3, 2))).tolist() == [math.inf] * 3
