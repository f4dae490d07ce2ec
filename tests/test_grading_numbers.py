"""Numbers of grading that others printed: fixtures/trade/grading_examples.csv, two charts, a published draft."""

from __future__ import annotations

import csv
import math
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from itertools import pairwise

import pytest

from oaktag.body.measurements import Measurements
from oaktag.draft.worksheet import Worksheet
from oaktag.geometry.curve import Line
from oaktag.geometry.point import Point
from oaktag.grade.growth import Growth, growth
from oaktag.grade.nest import graded
from oaktag.grade.ruled import graded_by_rules
from oaktag.grade.rules import GradeRules, Rule
from oaktag.model.draft import Draft
from oaktag.model.nest import Nest
from oaktag.model.piece import Edge, EdgeKind, Piece
from oaktag.sheet.drawing import label_box
from oaktag.units import INCH, parse_length
from wardrobe import ALTO, FIXTURES, dress, failed, finished

Row = dict[str, str]
CM = 10.0


def _rows() -> dict[str, Row]:
    with (FIXTURES / "trade" / "grading_examples.csv").open(encoding="utf-8") as file:
        return {row["id"]: row for row in csv.DictReader(file)}


ROWS = _rows()


def given(row: Row, name: str) -> float:
    text = dict(entry.split("=") for entry in row["inputs"].split(";"))[name]
    return parse_length(text, "mm")


def stacked(drafts: dict[str, Draft], base: str) -> Nest:
    return graded(drafts, base, {}, {}, title="Lighthouse choir", unit="cm", label_box=label_box)


def moves(nest: Nest, piece: str, size: str) -> dict[str, Point]:
    return {g.place: Point(*g.moves[size]) for g in growth(nest, piece)}


# ------------------------------------------------------------- a published draft in two sizes, graded by difference
# Aldrich W., Metric Pattern Cutting for Women's Wear, close-fitting bodice block and tailored skirt block: points and
# rules as worked in class notes; 27-30 and 22-31 from memory of the book. Half draft, lines instead of curves: the
# points are what is graded. Printed lengths in cm.

SIZE_12 = {
    "bust_girth": 88, "waist_girth": 68, "hip_girth": 94, "back_width": 34.4, "chest": 32.4, "shoulder_length": 12.25,
    "neck_base_girth": 37, "dart": 7, "back_waist_length": 41, "armscye_depth": 21, "waist_to_hip": 20.6,
}  # fmt: skip


def increments() -> dict[str, float]:
    """From size 12 to 14, mm: the chart's, as printed; waist, hip, chest and dart as the rows that add them."""
    rows = {
        "bust_girth": "we-268", "back_width": "we-269", "shoulder_length": "we-271", "back_waist_length": "we-272",
        "armscye_depth": "we-273", "neck_base_girth": "we-274",
    }  # fmt: skip
    found = {name: float(ROWS[row]["expected"]) * CM for name, row in rows.items()}
    chest = ROWS["we-281"]
    return {
        **found, "waist_girth": given(ROWS["we-285"], "waist_inc"), "hip_girth": given(ROWS["we-284"], "hip_inc"),
        "chest": given(chest, "chest_inc"), "dart": given(chest, "dart_inc"), "waist_to_hip": 0.0,
    }  # fmt: skip


def close_fitting(body: dict[str, float]) -> Draft:
    """Back (0 to 19) and front (3 to 31), each from its own centre line; y up from the bust line 2-3."""
    w = Worksheet("block")
    depth = w("1-2", "armscye depth + {more}", body["armscye_depth"] + 5, more=5.0)
    top = w("0-2", "1-2 + {nape}", depth + 15, nape=15.0)
    block = w("2-3", "bust ÷ 2 + {more}", body["bust_girth"] / 2 + 50, more=50.0)
    waist = depth - w("1-5", "nape to waist", body["back_waist_length"])
    hip = waist - w("5-7", "waist to hip", body["waist_to_hip"])
    line_10 = depth - w("1-10", "armscye depth ÷ 5 − {less}", body["armscye_depth"] / 5 - 7, less=7.0)
    p9 = Point(w("0-9", "neck ÷ 5 − {less}", body["neck_base_girth"] / 5 - 2, less=2.0), top)
    long = w("9-11", "shoulder + {dart}", body["shoulder_length"] + 10, dart=10.0)
    p11 = Point(p9.x + math.sqrt(long**2 - (top - line_10) ** 2), line_10)
    p14 = Point(w("2-14", "back width ÷ 2 + {ease}", body["back_width"] / 2 + 5, ease=5.0), 0.0)
    p16 = Point(p14.x, line_10 / 2)
    p22 = Point(w("3-22", "(chest + dart) ÷ 2", (body["chest"] + body["dart"]) / 2), 0.0)
    side = w("2-32", "half of 14-22", (p14.x + block - p22.x) / 2)
    p20 = Point(w("4-20", "neck ÷ 5 − {less}", body["neck_base_girth"] / 5 - 7, less=7.0), top)
    p21 = Point(0.0, top - w("4-21", "neck ÷ 5 − {less}", body["neck_base_girth"] / 5 - 2, less=2.0))
    p26 = Point(p22.x / 2, -25.0)
    p27 = Point(p20.x + body["dart"], top)
    line_28 = line_10 - 15
    p30 = Point(p27.x + math.sqrt(body["shoulder_length"] ** 2 - (top - line_28) ** 2), line_28)
    p31 = Point(p22.x, p21.y / 3)
    back = _panel(
        "back", [Point(0.0, depth), Point(0.0, hip), Point(side, hip), Point(side, 0.0)], [p16, p11], p9,
        {"1": Point(0.0, depth), "0": Point(0.0, top), "10": Point(0.0, line_10), "9": p9, "11": p11, "16": p16,
         "14": p14, "17": Point(p14.x / 2, 0.0), "32": Point(side, 0.0), "5": Point(0.0, waist)},
    )  # fmt: skip
    front = _panel(
        "front", [p21, Point(0.0, hip), Point(block - side, hip), Point(block - side, 0.0)], [p31, p30], p20,
        {"4": Point(0.0, top), "20": p20, "21": p21, "22": p22, "23": Point(p22.x / 2, 0.0), "27": p27, "26": p26,
         "31": p31, "32": Point(block - side, 0.0), "6": Point(0.0, waist)},
    )  # fmt: skip
    return _draft(w, (back, front), body)


def tailored_skirt(body: dict[str, float]) -> Draft:
    """The back: 1-9 along the waist, 5-7 along the hip."""
    w = Worksheet("skirt")
    hip = Point(w("5-7", "hip ÷ 4 + {ease}", body["hip_girth"] / 4 + 15, ease=15.0), -body["waist_to_hip"])
    waist = Point(w("1-9", "waist ÷ 4 + {more}", body["waist_girth"] / 4 + 42.5, more=42.5), 0.0)
    piece = _panel(
        "skirt_back", [Point(0.0, 0.0), Point(0.0, -580.0), Point(hip.x, -580.0), hip], [], waist,
        {"7": hip, "9": waist, "5": Point(0.0, hip.y)}, level="hip_side",
    )  # fmt: skip
    return _draft(w, (piece,), body)


def _panel(
    name: str, lower: list[Point], upper: list[Point], last: Point, points: dict[str, Point], level: str = "underarm"
) -> Piece:
    centre, bottom, corner, side = lower
    line = [side, *upper, last]
    edges = (
        Edge.straight("centre", centre, bottom),
        Edge.straight("hem", bottom, corner, EdgeKind.HEM),
        Edge.straight("side", corner, side),
        Edge("armhole", EdgeKind.SEAM, tuple(Line(a, b) for a, b in pairwise(line))),
        Edge.straight("neck", last, centre),
    )
    grain = Point(60.0, side.y - 20.0), Point(60.0, bottom.y + 40.0)
    return Piece(name, edges, {**points, level: side}, grain)


def _draft(w: Worksheet, pieces: tuple[Piece, ...], body: dict[str, float]) -> Draft:
    return Draft(
        "block", pieces, (), (), tuple(w.steps), (), body, {},
        dict.fromkeys(("centre", "hem", "side", "armhole", "neck"), 10.0),
    )  # fmt: skip


@cache
def difference(draft: Callable[[dict[str, float]], Draft], piece: str) -> dict[str, Point]:
    """The moves from size 12 to size 14, cm."""
    twelve = {name: cm * CM for name, cm in SIZE_12.items()}
    fourteen = {name: mm + increments()[name] for name, mm in twelve.items()}
    nest = stacked({"12": draft(twelve), "14": draft(fourteen)}, "12")
    return {name: Point(p.x / CM, p.y / CM) for name, p in moves(nest, piece, "14").items()}


ALDRICH = {
    # grading rules of the project's notes, section 4, by hand from the printed formulas and increments: (dx, dy), cm
    "back": {"1": (0, 0.4), "0": (0, 0.4), "9": (0.2, 0.4), "11": (0.44, 0.32), "16": (0.5, 0.16), "14": (0.5, 0),
             "10": (None, 0.32), "17": (0.25, 0), "32": (0.8, 0), "5": (0, 0)},
    "front": {"32": (1.2, 0), "22": (0.9, 0), "23": (0.45, 0), "20": (0.2, 0.4), "21": (0, 0.2), "27": (0.8, 0.4),
              "6": (0, 0)},
}  # fmt: skip


@pytest.mark.parametrize("piece", sorted(ALDRICH))
def test_a_published_draft_differs_by_the_moves_worked_out_by_hand(piece: str) -> None:
    found = difference(close_fitting, piece)
    for name, (dx, dy) in ALDRICH[piece].items():
        assert dx is None or found[name].x == pytest.approx(dx, abs=0.005), name
        assert found[name].y == pytest.approx(dy, abs=0.005), name


def test_the_published_block_is_drafted_as_the_book_prints_it() -> None:
    # class notes, size 12: 1-2 21.5, 2-3 49, 0-9 7.2, 2-14 17.7, 4-20 6.7, 3-23 9.85, 22-31 5.267, 2-32 23.5
    twelve = {name: cm * CM for name, cm in SIZE_12.items()}
    back, front = close_fitting(twelve).pieces
    at = {**{f"b{k}": p for k, p in back.points.items()}, **{f"f{k}": p for k, p in front.points.items()}}
    assert at["b1"].y == pytest.approx(215.0)
    assert at["b32"].x + at["f32"].x == pytest.approx(490.0)
    assert (at["b9"].x, at["b14"].x, at["f20"].x) == pytest.approx((72.0, 177.0, 67.0))
    assert (at["f23"].x, at["f31"].y, at["b32"].x) == pytest.approx((98.5, 52.67, 235.0), abs=0.01)


# ------------------------------------------------------------------------------------------------- the printed rows


def quarter_growth(girth: float) -> float:
    """What the side of the dress moves by when the bust grows by so much."""
    nest = stacked(
        {"a": dress(ALTO), "b": dress(Measurements({**ALTO, "bust_girth": ALTO["bust_girth"] + girth}))}, "a"
    )
    assert moves(nest, "front", "b")["underarm"].x == pytest.approx(moves(nest, "back", "b")["underarm"].x)
    return moves(nest, "front", "b")["underarm"].x


def bodice() -> Draft:
    """Front and back bodice of the choir's dress, without its skirt and facings."""
    whole = dress(ALTO, sleeve="none", waist_seam="yes")
    pieces = tuple(p for p in whole.pieces if p.name.startswith("bodice"))
    seams = tuple(s for s in whole.seams if s.name in ("shoulder seam", "bodice side seam"))
    return replace(
        whole, pieces=pieces, seams=seams, joins=(), claims=(), notions=(),
    )  # fmt: skip


def ruled_bodice(front: dict[str, tuple[float, float]], back: dict[str, tuple[float, float]]) -> dict[str, Draft]:
    """The bodice and its next size by rules in inches."""
    rules = [
        Rule(piece, place, {"14": (dx * INCH, dy * INCH)})
        for piece, table in (("bodice_front", front), ("bodice_back", back))
        for place, (dx, dy) in table.items()
    ]
    return graded_by_rules(bodice(), "12", GradeRules(("12", "14"), "12", tuple(rules)))


def cross_body(neck: float, shoulder: float, armhole: float) -> dict[str, tuple[float, float]]:
    """Rules that give so much to neck, shoulder and armhole, and no length, inches."""
    half, quarter = neck + shoulder, neck + shoulder + armhole
    return {
        "neck_centre": (0, 0), "waist_centre": (0, 0), "neck_side": (neck, 0), "shoulder_tip": (half, 0),
        "mid_armhole": (half, 0), "underarm": (quarter, 0), "waist_side": (quarter, 0),
    }  # fmt: skip


def measured_growth(table: dict[str, tuple[float, float]], place: str) -> float:
    """How far out a place of the graded front bodice lies, beyond that of the base."""
    sizes = ruled_bodice(table, table)
    base, larger = (sizes[size].pieces[0] for size in ("12", "14"))
    return larger.points[place].x - base.points[place].x


def by_rows(row: Row) -> tuple[float, float, float]:
    return tuple(given(row, name) / INCH for name in ("neck", "shoulder", "armhole"))  # type: ignore[return-value]


def half_chest(row: Row, names: str) -> float:
    """Of the same grade as the row that gives its parts: the front's width half way down the armhole."""
    neck, shoulder, armhole = by_rows(ROWS[names])
    assert given(row, "grade") == given(ROWS[names], "grade")
    return measured_growth(cross_body(neck, shoulder, armhole), "mid_armhole")


def girls(row: Row) -> Point:
    """Neck point measured from the scye line's back-width point, and the waist, for a girl's dress block, mm.

    M. Müller & Sohn: the neck point lies the neck width in from the back width; the waist lies the waist length below
    the nape, and the scye line the scye depth below it.
    """

    def block(back: float, neck: float, waist: float, scye: float) -> Draft:
        w = Worksheet("girls")
        neck_x = w("neck point", "back width − neck width", back - neck)
        top = w("nape", "scye depth", scye)
        low = top - w("waist", "waist length", waist)
        corners = [Point(0.0, top), Point(0.0, low), Point(back + 60.0, low), Point(back + 60.0, 0.0)]
        piece = _panel("back", corners, [Point(back, top / 2)], Point(neck_x, top), {"n": Point(neck_x, top)})
        return _draft(w, (piece,), {})

    inc = dict(entry.split("=") for entry in row["inputs"].split(";"))
    more = [parse_length(inc.get(k, "0"), "mm") for k in ("back_inc", "neck_inc", "waist_len_inc", "scye_inc")]
    base = [140.0, 55.0, 260.0, 150.0]
    nest = stacked({"98": block(*base), "116": block(*(a + b for a, b in zip(base, more, strict=True)))}, "98")
    found = moves(nest, "back", "116")
    return Point(found["n"].x, -found["centre/hem"].y)


ROSENFELD = {
    "neck_side": (1 / 8, 0.0), "shoulder_tip": (1 / 8, 1 / 8), "underarm": (3 / 8, 0.0), "waist_side": (3 / 8, 0.0),
    "neck_centre": (0.0, 0.0), "waist_centre": (0.0, 0.0),
}  # fmt: skip
"""Box coat, back, 36 to 38 in: A-N, E-L, F-K and G-J as printed, each from its own place."""


def rosenfeld(place: str) -> Point:
    sizes = ruled_bodice(ROSENFELD, ROSENFELD)
    a, b = (next(p for p in sizes[s].pieces if p.name == "bodice_back").points[place] for s in ("12", "14"))
    return Point(b.x - a.x, b.y - a.y)


def chart_step(step: str) -> float:
    """An increment of the chart, as it is drafted with: taken back from the points that it moves, mm."""
    b, f = difference(close_fitting, "back"), difference(close_fitting, "front")
    s = difference(tailored_skirt, "skirt_back")
    lines = {
        "bust": 2 * (b["32"].x + f["32"].x), "back width": 2 * b["14"].x, "neck": 5 * b["9"].x,
        "armscye depth": b["1"].y, "nape to waist": b["1"].y - b["5"].y, "hip": 4 * s["7"].x,
    }  # fmt: skip
    return lines[step] * CM


def shoulder_growth() -> float:
    """The back shoulder, 9-11, of both sizes, measured on the pieces, mm."""
    twelve = {name: cm * CM for name, cm in SIZE_12.items()}
    fourteen = {name: mm + increments()[name] for name, mm in twelve.items()}
    (a9, a11), (b9, b11) = (
        (d.pieces[0].points["9"], d.pieces[0].points["11"]) for d in map(close_fitting, (twelve, fourteen))
    )
    return math.dist(b9, b11) - math.dist(a9, a11)


def sleeve_growth(row: Row) -> float:
    """How much further a long sleeve's hem lies from the top of its cap when the arm is so much longer."""
    more = float(row["expected"]) * CM
    nest = stacked(
        {
            "12": dress(ALTO, sleeve="long"),
            "14": dress(Measurements({**ALTO, "arm_length": ALTO["arm_length"] + more}), sleeve="long"),
        },
        "12",
    )
    found = moves(nest, "sleeve", "14")
    return found["cap_top"].y - found["hem_front"].y


def half_block(name: str) -> float:
    return (difference(close_fitting, "back")[name].x + difference(close_fitting, "front")[name].x) * CM


FUNCTIONS: dict[str, Callable[[Row], float]] = {
    "we-261": lambda r: quarter_growth(given(r, "bust_grade")),
    "we-262": lambda r: measured_growth(cross_body(*by_rows(r)), "underarm"),
    "we-263": lambda r: half_chest(r, "we-262"),
    "we-264": lambda r: measured_growth(cross_body(*by_rows(r)), "underarm"),
    "we-265": lambda r: half_chest(r, "we-264"),
    "we-268": lambda r: chart_step("bust"),
    "we-269": lambda r: chart_step("back width"),
    "we-271": lambda r: shoulder_growth(),
    "we-272": lambda r: chart_step("nape to waist"),
    "we-273": lambda r: chart_step("armscye depth"),
    "we-274": lambda r: chart_step("neck"),
    "we-276": sleeve_growth,
    "we-278": lambda r: half_block("32"),
    "we-279": lambda r: difference(close_fitting, "back")["9"].x * CM,
    "we-280": lambda r: difference(close_fitting, "back")["14"].x * CM,
    "we-281": lambda r: difference(close_fitting, "front")["22"].x * CM,
    "we-284": lambda r: difference(tailored_skirt, "skirt_back")["7"].x * CM,
    "we-285": lambda r: difference(tailored_skirt, "skirt_back")["9"].x * CM,
    "we-287": lambda r: girls(r).x,
    "we-288": lambda r: girls(r).y,
    "we-290": lambda r: rosenfeld("neck_side").x,
    "we-291": lambda r: rosenfeld("shoulder_tip").x,
    "we-292": lambda r: rosenfeld("underarm").x,
    "we-294": lambda r: 4 * quarter_growth(given(r, "breast_8") - given(r, "breast_6")),
}  # fmt: skip


@pytest.mark.parametrize("name", sorted(FUNCTIONS))
def test_a_printed_number(name: str) -> None:
    row = ROWS[name]
    per = parse_length(f"1 {row['unit']}", "mm")
    assert FUNCTIONS[name](row) / per == pytest.approx(float(row["expected"]), abs=float(row["tolerance"])), row[
        "source"
    ]


def test_every_row_is_used() -> None:
    assert set(ROWS) == set(FUNCTIONS)
    assert all(row["source"] and row["seen_or_memory"] for row in ROWS.values())


def test_the_box_coat_grows_by_a_quarter_of_its_two_inches() -> None:
    # Rosenfeld p. 207: 1/8 at the neck and 3/8 at the side make the half inch of a quarter of 36 to 38 in
    assert rosenfeld("neck_side").x + rosenfeld("underarm").x == pytest.approx(2 * INCH / 4)


# ----------------------------------------------------------------------- cardinal points of a 1 1/2 in grade, inches
# From memory of Price & Zamkoff, Grading Techniques for Fashion Design, and Moore, Mullet & Young, Concepts of Pattern
# Grading: quarter 3/8 = neck 1/16 + shoulder 1/8 + armhole 3/16; 1/8 in of length above the bust line, 1/8 below.

_SHARED = {
    "neck_side": (1 / 16, 1 / 8), "shoulder_tip": (3 / 16, 1 / 8), "mid_armhole": (3 / 16, 1 / 16),
    "armhole sleeve notch": (3 / 16, 1 / 16), "underarm": (3 / 8, 0.0), "dart_top": (1 / 8, 0.0),
    "waist dart 1": (1 / 8, -1 / 8), "waist dart 3": (1 / 8, -1 / 8), "waist_side": (3 / 8, -1 / 8),
    "waist_centre": (0.0, -1 / 8),
}  # fmt: skip
FRONT = {**_SHARED, "neck_centre": (0.0, 1 / 16)}
BACK = {**_SHARED, "neck_centre": (0.0, 1 / 8)}


def test_the_identities_of_the_cardinal_points_hold_on_the_graded_bodice() -> None:
    sizes = ruled_bodice(FRONT, BACK)
    changes = []
    for old, new in zip(sizes["12"].pieces, sizes["14"].pieces, strict=True):
        a, b = old.points, new.points
        grown = {name: Point(b[name].x - a[name].x, b[name].y - a[name].y) for name in a}
        assert grown["shoulder_tip"].x - grown["neck_side"].x == pytest.approx(INCH / 8)
        assert grown["underarm"].x == pytest.approx(3 * INCH / 8)
        assert grown["waist_side"].x == pytest.approx(3 * INCH / 8)
        assert new.darts[0].intake == pytest.approx(old.darts[0].intake, abs=1e-9), "constant intake"
        shoulder = (
            (b["shoulder_tip"].x - b["neck_side"].x) - (a["shoulder_tip"].x - a["neck_side"].x),
            (b["shoulder_tip"].y - b["neck_side"].y) - (a["shoulder_tip"].y - a["neck_side"].y),
        )
        assert math.hypot(*shoulder) == pytest.approx(INCH / 8)
        side = new.edge("side").sewn_length() - old.edge("side").sewn_length()
        # the seam leans, so it takes a little less than the 1/8 in that it is let down
        assert side == pytest.approx(INCH / 8, abs=0.1)
        changes.append((side, new.edge("shoulder").length() - old.edge("shoulder").length()))
    assert changes[0] == pytest.approx(changes[1], abs=1e-6), "front and back alike"


def test_the_graded_bodice_can_be_sewn() -> None:
    for size, draft in ruled_bodice(FRONT, BACK).items():
        bad = {f.id for f in failed(finished(draft)) if f.id.startswith(("seam.", "notches.meet", "outline."))}
        assert not bad, size


# --------------------------------------------------------------------------------------------- charts of whole sizes


def chart(name: str) -> dict[str, dict[str, float]]:
    """Measurement -> size -> inches."""
    with (FIXTURES / "trade" / name).open(encoding="utf-8") as file:
        rows = csv.DictReader(line for line in file if not line.startswith("#"))
        return {
            row["measurement"]: {key: float(value) for key, value in row.items() if key not in ("measurement", "unit")}
            for row in rows
        }


@pytest.mark.parametrize(
    ("file", "measured", "place", "girth"),
    [
        ("women_astm_d5585_11.csv", "bust_girth", "underarm", "bust_girth"),
        ("women_astm_d5585_11.csv", "waist_girth_straight", "waist_side", "waist_girth"),
        ("women_us_misses.csv", "bust_girth", "underarm", "bust_girth"),
        ("women_us_misses.csv", "waist_girth", "waist_side", "waist_girth"),
        ("women_us_misses.csv", "hip_girth", "hip_side", "hip_girth"),
    ],
)
def test_the_dress_grows_by_a_quarter_of_the_charts_steps(file: str, measured: str, place: str, girth: str) -> None:
    table = chart(file)
    sizes = list(table["bust_girth"])
    drafts = {
        size: dress(
            Measurements(
                {
                    **ALTO,
                    "bust_girth": table["bust_girth"][size] * INCH,
                    "waist_girth": table.get("waist_girth", table.get("waist_girth_straight", {}))[size] * INCH,
                    "hip_girth": table.get("hip_girth", {}).get(size, table["bust_girth"][size] + 3) * INCH,
                    "shoulder_width": 14.5 * INCH,
                }
            ),
            sleeve="none", opening="none",
        )
        for size in sizes
    }  # fmt: skip
    nest = stacked(drafts, sizes[len(sizes) // 2])
    for piece in ("front", "back"):
        (found,) = [g for g in growth(nest, piece) if g.place == place]
        for size, following in pairwise(sizes):
            step = (table[measured][following] - table[measured][size]) * INCH
            assert _x(found, following) - _x(found, size) == pytest.approx(step / 4, abs=1e-9), (piece, size)
    assert girth in drafts[sizes[0]].body


def _x(found: Growth, size: str) -> float:
    return found.moves[size][0]
