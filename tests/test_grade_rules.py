"""Grade rules: the table as it is typed, and drafts of other sizes made by it."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from oaktag.checks.across import ACROSS
from oaktag.checks.run import check
from oaktag.claims.girth import Girth
from oaktag.errors import InputError, InputErrors
from oaktag.geometry.curve import Cubic, Line
from oaktag.geometry.point import Point, turn_deg
from oaktag.geometry.polygon import distance_to_line
from oaktag.grade.nest import graded
from oaktag.grade.ruled import far_on, graded_by_rules
from oaktag.grade.rules import GradeRules, Rule, parse_rules, read_rules, render_rules, rules_of
from oaktag.grade.spread import moving, spread
from oaktag.model.draft import Draft
from oaktag.model.finding import Severity
from oaktag.model.nest import Nest
from oaktag.model.piece import Edge, EdgeKind, NotchPlace, Piece
from oaktag.model.places import places_of
from oaktag.sheet.drawing import label_box
from oaktag.units import INCH
from wardrobe import ALTO, IN, ROOT, dense, dress, finished, nested, zip_of

TABLE = """\
unit,in
sizes,10,12,14
base,12
# half a size of the choir's bodice
piece,place,10 dx,10 dy,14 dx,14 dy
front,underarm,-3/8,0,3/8,0

front,hem/side,-0.375,-1/8,"0,375",3.175 mm
front,side@8 1/2,-3/8,0,3/8,0
"""


@cache
def nest() -> Nest:
    return nested(opening="vent", opening_length=7, zip_length=21)


@cache
def base() -> Draft:
    return nest().base_pattern.draft


def read(text: str) -> GradeRules:
    return parse_rules(text, "rules.csv")


def mistakes(text: str) -> list[str]:
    with pytest.raises(InputErrors) as caught:
        read(text)
    return str(caught.value).splitlines()


# ------------------------------------------------------------------------------------------------------- the table


def test_a_table_is_read_as_it_is_typed() -> None:
    rules = read(TABLE)
    assert (rules.sizes, rules.base) == (("10", "12", "14"), "12")
    assert [(r.piece, r.place, r.far) for r in rules.rules] == [
        ("front", "underarm", None), ("front", "hem/side", None), ("front", "side", pytest.approx(8.5 * IN)),
    ]  # fmt: skip
    assert rules.rules[0].moves == {"10": (pytest.approx(-9.525), 0.0), "14": (pytest.approx(9.525), 0.0)}
    assert rules.rules[1].moves["14"] == (pytest.approx(9.525), pytest.approx(3.175))
    assert str(rules.rules[1].where) == "rules.csv:8"


def test_a_table_of_a_spreadsheet_with_semicolons_and_decimal_commas_is_read_too(tmp_path: Path) -> None:
    path = tmp_path / "rules.csv"
    path.write_text(
        "unit;cm\nsizes;36;38\nbase;36\npiece;place;38 dx;38 dy\nfront;underarm;1,0;0,25\n", encoding="utf-8-sig"
    )
    assert read_rules(path).rules[0].moves == {"38": (10.0, 2.5)}


@pytest.mark.parametrize(
    ("was", "instead", "told"),
    [
        ("unit,in", "unit,ell", "rules.csv:1: ell is not a unit; expected in, cm or mm. Write unit,in."),
        ("sizes,10,12,14", "sizes,12", "rules.csv:2: 12 cannot be the sizes"),
        ("base,12", "base,16", "rules.csv:5: the base 16 is not among the sizes 10, 12, 14. Write base,12."),
        ("base,12\n", "", "rules.csv:4: the base was not given above the column names"),
        ("14 dx,14 dy", "14 dx", "Write piece,place,10 dx,10 dy,14 dx,14 dy."),
        ("front,underarm,-3/8,0,3/8,0", "front,underarm,-3/8,0,3/8", "6: it has 5 cells; expected 6: piece, place"),
        ("front,underarm,-3/8", "front,underarm,-3/ell", "rules.csv:6 front underarm, 10 dx: '/ell' is not a unit"),
        ("front,underarm,-3/8", "front,underarm,", "rules.csv:6 front underarm, 10 dx: '' is not a length"),
        ("front,underarm,-3/8", "front,underarm,-300", "a move of -300 in; expected no more than 500 mm from"),
        ("front,underarm", ",underarm", "rules.csv:6: a row names its piece and its place"),
        ("side@8 1/2", "side@near", "rules.csv:9 front side@: 'near' is not a length"),
        ("front,side@8 1/2", "front,underarm", "9: front underarm was given already in line 6. Keep one"),
    ],
)  # fmt: skip
def test_a_mistake_is_told_with_its_line_and_what_to_type(was: str, instead: str, told: str) -> None:
    assert was in TABLE
    text = "\n".join(mistakes(TABLE.replace(was, instead)))
    assert told in text, text


def test_the_table_of_the_guide_to_grading_is_read_and_names_places_of_the_dress() -> None:
    page = (ROOT / "docs" / "grading.md").read_text(encoding="utf-8")
    table = page.split("```text\n")[1].split("```")[0]
    rules = read(table)
    assert len(rules.rules) == 7
    front = places_of(dress(ALTO).pieces[0])
    assert {r.place for r in rules.rules if r.far is None} <= set(front)


def test_all_mistakes_of_a_table_are_told_together() -> None:
    told = mistakes(TABLE.replace("-3/8,0,3/8,0", "x,y,3/8,0"))
    assert [line.split(":")[1].split()[0] for line in told] == ["6", "6", "9", "9"]


@pytest.mark.parametrize("text", ["", "unit,in\n", "unit,in\nsizes,1,2\nbase,1\npiece,place,2 dx,2 dy\n"])
def test_a_table_without_rules_is_refused(text: str) -> None:
    (told,) = mistakes(text)
    assert told.startswith("rules.csv: there is no")


def test_a_file_that_cannot_be_read_is_an_input_error(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"none\.csv: it cannot be read"):
        read_rules(tmp_path / "none.csv")
    (tmp_path / "bytes.csv").write_bytes(b"unit,in\n\xff\xfe")
    with pytest.raises(InputError, match="not UTF-8"):
        read_rules(tmp_path / "bytes.csv")


@pytest.mark.parametrize("unit", ["in", "cm", "mm"])
def test_a_table_that_was_written_is_read_back_to_a_thousandth(unit: str) -> None:
    rules = rules_of(nest())
    rules = replace(rules, rules=(*rules.rules, Rule("front", "side", dict(rules.rules[0].moves), far=123.456)))
    again = parse_rules(render_rules(rules, unit).decode(), "again.csv")  # type: ignore[arg-type]
    assert (again.sizes, again.base) == (rules.sizes, rules.base)
    for a, b in zip(rules.rules, again.rules, strict=True):
        assert (a.piece, a.place) == (b.piece, b.place)
        assert b.far == (None if a.far is None else pytest.approx(a.far, abs=0.001))
        for size, move in a.moves.items():
            assert b.moves[size] == pytest.approx(move, abs=0.001)
    assert render_rules(rules, unit) == render_rules(rules, unit)  # type: ignore[arg-type]


def test_the_rules_of_a_drafted_nest_are_those_of_its_formulas() -> None:
    # by hand, as in the tests of growth: a quarter of 1 1/2 in a size, in inches to five places
    text = render_rules(rules_of(nest()), "in").decode().splitlines()
    assert text[:4] == [
        "unit,in", "sizes,8,10,12,14,16", "base,12", "piece,place,8 dx,8 dy,10 dx,10 dy,14 dx,14 dy,16 dx,16 dy",
    ]  # fmt: skip
    assert "front,underarm,-0.75,0,-0.375,0,0.375,0,0.75,0" in text
    assert not [line for line in text if line.startswith("front,side/armhole,")], "told by its point already"


# ---------------------------------------------------------------------------------------- grading by an exported table


def by_rules(*, joints: bool = True, **raw: object) -> tuple[Nest, dict[str, Draft]]:
    drafted = nested(**{"opening": "vent", "opening_length": 7, "zip_length": 21, **raw})
    rules = parse_rules(render_rules(rules_of(drafted, joints=joints), "mm").decode(), "rules.csv")
    return drafted, graded_by_rules(drafted.base_pattern.draft, "12", rules, drafted.bodies)


STYLES: list[dict[str, object]] = [
    {},
    {"waist_seam": "yes", "sleeve": "long", "neckline": "v"},
    {"sleeve": "none", "neckline": "square", "hem": "a-line", "facing": "all-in-one"},
    {"sleeve": "cap", "lining": "full", "zip": "side", "facing_width": 2},  # the head needs a wide neck
]


@pytest.mark.parametrize("style", STYLES, ids=lambda style: "-".join(map(str, style.values())) or "plain")
def test_exported_rules_give_the_ruled_places_back_exactly(style: dict[str, object]) -> None:
    drafted, found = by_rules(**style)
    for size in drafted.sizes:
        for new, old in zip(found[size].pieces, drafted.of(size).draft.pieces, strict=True):
            dx, dy = drafted.shift(size, new.name)
            for name, p in old.points.items():
                assert math.dist(new.points[name], (p.x + dx, p.y + dy)) < 0.002, (size, new.name, name)
            for a, b in zip(new.darts, old.darts, strict=True):
                assert [math.dist(p, (q.x + dx, q.y + dy)) for p, q in zip(a.points, b.points, strict=True)] == (
                    pytest.approx([0.0] * len(a.points), abs=0.002)
                )
                # an open dart's intake is along the waist, its growth here between its legs
                assert a.intake == pytest.approx(b.intake, abs=0.02)
            for name, q in places_of(old).items():
                if name.endswith("notch"):
                    assert math.dist(places_of(new)[name], (q.x + dx, q.y + dy)) < 0.02, (size, new.name, name)


def worst_between(drafted: Nest, found: dict[str, Draft], sizes: tuple[str, ...]) -> dict[tuple[str, str], float]:
    """Of every edge the greatest distance of the graded line from the drafted one, mm."""
    worst: dict[tuple[str, str], float] = {}
    for size in sizes:
        for new, old in zip(found[size].pieces, drafted.of(size).draft.pieces, strict=True):
            dx, dy = drafted.shift(size, new.name)
            for a, b in zip(new.edges, old.edges, strict=True):
                mine, theirs = dense(a.curves, 120), [(x + dx, y + dy) for x, y in dense(b.curves, 120)]
                step = 10 if len(mine) > 100 else 1
                off = max(
                    *(distance_to_line(p, theirs) for p in mine[::step]),
                    *(distance_to_line(p, mine) for p in theirs[::step]),
                )
                worst[new.name, a.name] = max(worst.get((new.name, a.name), 0.0), off)
    return worst


SIZES = ("8", "16")


@pytest.mark.parametrize("style", STYLES, ids=lambda style: "-".join(map(str, style.values())) or "plain")
def test_between_the_rules_the_sizes_come_out_as_they_were_drafted(style: dict[str, object]) -> None:
    # half a millimetre is what two edges of a seam may differ by; this is two sizes away, with a rule at every joint
    worst = worst_between(*by_rules(**style), SIZES)
    assert {key: mm for key, mm in worst.items() if mm > 0.5} == {}


def test_by_points_corners_and_notches_alone_the_shell_comes_out_nearly_so() -> None:
    drafted, found = by_rules(joints=False)
    worst = worst_between(drafted, found, ("10", "14"))
    assert max(mm for key, mm in worst.items() if key[0] in ("front", "back")) < 0.1
    # a cap or a facing that is ruled at its ends and notches alone is not quite what was drafted
    assert {key for key, mm in worst.items() if mm > 0.5} <= {
        ("facing_front", "outer_edge"),
        ("facing_back", "outer_edge"),
    }
    assert max(worst.values()) < 1.0


def test_more_rules_along_an_edge_bring_it_nearer() -> None:
    few, more = (worst_between(*by_rules(joints=joints), SIZES) for joints in (False, True))
    for key in (("facing_front", "outer_edge"), ("facing_back", "outer_edge"), ("sleeve", "cap")):
        assert more[key] < few[key] / 2, key


def _part(edge: Edge, part: float) -> Point:
    from oaktag.geometry.path import place_at

    return place_at(edge.curves, part * edge.length())[0]


def test_sizes_graded_by_an_exported_table_pass_the_checks_of_their_pieces() -> None:
    drafted, found = by_rules()
    for size, draft in found.items():
        bad = [
            f.message
            for f in check(finished(draft))
            if not f.passed
            and f.id.split(".")[0] in ("outline", "cut", "seam", "notches", "corner", "girth", "dart", "marks")
        ]
        assert bad == [], size
    again = graded(found, "12", {}, {}, title="Lighthouse choir", unit="in", label_box=label_box)
    findings = [f for rule in ACROSS for f in rule(again)]
    errors = [f.message for f in findings if not f.passed and f.severity is Severity.ERROR]
    assert errors == []
    assert again.bodies["16"] == drafted.bodies["16"]


@pytest.mark.parametrize("style", STYLES, ids=lambda style: "-".join(map(str, style.values())) or "plain")
def test_girths_of_sizes_graded_by_rules_are_proved_against_their_bodies(style: dict[str, object]) -> None:
    _, found = by_rules(**style)
    for size, draft in found.items():
        girths = [f for f in check(finished(draft)) if f.id.startswith("girth.")]
        wanted = ["girth.bust", "girth.hip"] if style.get("waist_seam") else ["girth.bust", "girth.waist", "girth.hip"]
        assert [f.id for f in girths if f.id in wanted] == wanted
        assert [f.message for f in girths if not f.passed] == [], size


def test_without_bodies_no_girth_is_proved_and_that_is_said() -> None:
    found = graded_by_rules(base(), "12", rules_of(nest()))
    assert not [claim for claim in found["14"].claims if isinstance(claim, Girth)]
    assert "The girths of size 14 are not proved: its measurements were not given." in found["14"].notes
    assert found["12"].claims == base().claims


# ------------------------------------------------------------------------------------------- small pieces, by hand


def square(*, fold: bool = True, curved: bool = False) -> Draft:
    """A square of 100 mm, its left edge on the fold, with notches, a point on an edge, one inside, a dart, a line."""
    a, b, c, d = Point(0, 100), Point(0, 0), Point(100, 0), Point(100, 100)
    side: tuple[Line | Cubic, ...] = (Line(c, d),)
    if curved:
        side = (
            Cubic(c, Point(110, 20), Point(110, 30), Point(105, 50)),
            Cubic(Point(105, 50), Point(100, 70), Point(100, 80), d),
        )
    edges = (
        Edge.straight("centre", a, b, EdgeKind.FOLD if fold else EdgeKind.SEAM),
        Edge.straight("hem", b, c, EdgeKind.HEM),
        Edge("side", EdgeKind.SEAM, side),
        Edge.straight("top", d, a),
    )
    from oaktag.model.piece import Cut, Dart, InternalLine

    piece = Piece(
        "pocket", edges, {"heart": Point(50, 50), "hip": Point(100, 40) if not curved else Point(105, 50)},
        (Point(30, 20), Point(30, 80)), to_cut=Cut("fold" if fold else "whole"),
        darts=(Dart("waist", (Point(60, 80), Point(65, 50), Point(60, 20), Point(55, 50)), 10.0),),
        notches=(NotchPlace("side", 25.0, 1, "balance"), NotchPlace("hem", 50.0, 1, "mid")),
        internal_lines=(InternalLine("waist line", (Point(0, 50), Point(100, 50))),),
    )  # fmt: skip
    return Draft("pocket", (piece,), (), (), (), (), {}, {}, dict.fromkeys(("centre", "hem", "side", "top"), 10.0))


def ruled(draft: Draft, *rows: tuple[str, float, float], far: dict[str, float] | None = None) -> Piece:
    """The piece in size L by these moves from size M, mm."""
    return both(draft, *rows, far=far)["L"].pieces[0]


def both(draft: Draft, *rows: tuple[str, float, float], far: dict[str, float] | None = None) -> dict[str, Draft]:
    rules = tuple(Rule("pocket", place, {"L": (dx, dy)}, (far or {}).get(place)) for place, dx, dy in rows)
    return graded_by_rules(draft, "M", GradeRules(("M", "L"), "M", rules))


CORNERS = (("top/centre", 0, 10), ("centre/hem", 0, 0), ("hem/side", 20, 0), ("side/top", 20, 10))


def test_grading_to_the_base_is_the_identity() -> None:
    draft = square()
    assert both(draft, *CORNERS)["M"] is draft
    assert graded_by_rules(base(), "12", rules_of(nest()))["12"].seams == base().seams


def test_moves_of_nothing_change_nothing() -> None:
    still = tuple(replace(r, moves=dict.fromkeys(r.moves, (0.0, 0.0))) for r in rules_of(nest()).rules)
    found = graded_by_rules(base(), "12", GradeRules(nest().sizes, "12", still), nest().bodies)
    for piece, like in zip(found["16"].pieces, base().pieces, strict=True):
        assert all(piece.points[name] == pytest.approx(p) for name, p in like.points.items())
        for a, b in zip(piece.edges, like.edges, strict=True):
            assert a.length() == pytest.approx(b.length(), abs=1e-6)
            assert max(distance_to_line(p, dense(b.curves, 400)) for p in dense(a.curves, 7)) < 0.01


def test_a_square_is_made_larger_by_its_corners() -> None:
    piece = ruled(square(), *CORNERS)
    assert [edge.start for edge in piece.edges] == [(0, 110), (0, 0), (120, 0), (120, 110)]
    assert all(isinstance(c, Line) for edge in piece.edges for c in edge.curves)
    # the notches keep their part of the edge: 25 of 100 is 27.5 of 110, the middle stays the middle
    assert [n.at for n in piece.notches] == pytest.approx([27.5, 60.0])
    # the middle moves by half of what both sides do; the hip lies on the side, 2/5 up
    assert piece.points["heart"] == pytest.approx((60, 55))
    assert piece.points["hip"] == pytest.approx((120, 44))
    # the dart moves as a whole by its centre's 3/5 of 20 and half of 10, and keeps its intake
    assert piece.darts[0].points == tuple(
        pytest.approx((p[0] + 12, p[1] + 5)) for p in square().pieces[0].darts[0].points
    )
    assert piece.darts[0].intake == pytest.approx(10)
    # the grain line moves across by 3/10 of 20; its ends by their levels' 2 and 8 mm
    assert piece.grain == (pytest.approx((36, 22)), pytest.approx((36, 88)))
    assert piece.internal_lines[0].points == (pytest.approx((0, 55)), pytest.approx((120, 55)))


def test_a_corner_without_a_rule_moves_by_its_share() -> None:
    piece = ruled(square(), ("top/centre", 0, 0), ("centre/hem", 0, 0), ("side/top", 20, 10))
    # from the ruled hem corner at the centre, 100 mm along the hem, 100 up the side
    assert piece.edge("side").start == pytest.approx((110, 5))


def test_one_rule_moves_the_whole_piece() -> None:
    piece = ruled(square(fold=False), ("heart", 0, 7))
    assert [edge.start for edge in piece.edges] == [edge.start for edge in square().pieces[0].edges], (
        "not on the outline"
    )
    piece = ruled(square(fold=False), ("hem/side", 0, 7))
    assert [edge.start for edge in piece.edges] == [(0, 107), (0, 7), (100, 7), (100, 107)]
    assert piece.points["heart"] == pytest.approx((50, 57))


def test_a_rule_inside_a_straight_edge_bends_it_only_if_it_must() -> None:
    straight = ruled(square(), *CORNERS, ("hip", 20, 4))
    assert len(straight.edge("side").curves) == 1
    bent = ruled(square(), *CORNERS, ("hip", 30, 4))
    assert [type(c) for c in bent.edge("side").curves] == [Line, Line]
    assert bent.edge("side").curves[0].end == pytest.approx((130, 44))
    assert [len(d.pieces[0].edge("side").curves) for d in both(square(), *CORNERS, ("hip", 30, 4)).values()] == [2, 2]


def test_a_place_by_its_distance_is_ruled_like_any_other() -> None:
    piece = ruled(square(curved=True), *CORNERS, ("side", 25, 3), far={"side": 30.0})
    old = square(curved=True).pieces[0].edge("side")
    spot = _part(old, 30.0 / old.length())
    assert min(math.dist(c.end, (spot.x + 25, spot.y + 3)) for c in piece.edge("side").curves) < 1e-6
    assert [type(c) for c in piece.edge("side").curves] == [Cubic, Cubic, Cubic]


def test_a_ruled_notch_stands_where_it_was_moved() -> None:
    piece = ruled(square(), *CORNERS, ("hem mid notch", 4, 0))
    assert piece.notches[1].at == pytest.approx(54)
    assert len(piece.edge("hem").curves) == 1


def test_a_notch_that_lies_on_its_curve_leaves_the_curve_as_it_is() -> None:
    """A piece half as wide again and a tenth higher: its armhole is the cubic of the stretched handles (a cubic goes
    with its handles wherever these are stretched), though a notch inside it is ruled, too."""
    a, b, c, d = Point(0, 100), Point(0, 0), Point(100, 0), Point(60, 100)
    armhole = Cubic(c, Point(72, 0), Point(60, 45), d)
    edges = (
        Edge.straight("centre", a, b, EdgeKind.FOLD),
        Edge.straight("hem", b, c),
        Edge("side", EdgeKind.SEAM, (armhole,)),
        Edge.straight("top", d, a),
    )
    piece = replace(square().pieces[0], edges=edges, points={}, darts=(), internal_lines=(),
                    notches=(NotchPlace("side", 40.0, 1, "front"),))  # fmt: skip
    draft = replace(square(), pieces=(piece,))
    spot = places_of(piece)["side front notch"]
    graded = ruled(
        draft, ("top/centre", 0, 10), ("centre/hem", 0, 0), ("hem/side", 50, 0), ("side/top", 30, 10),
        ("side front notch", spot.x / 2, spot.y / 10),
    )  # fmt: skip
    stretched = Cubic(*(Point(1.5 * p.x, 1.1 * p.y) for p in armhole.controls()))
    assert graded.edge("side").length() == pytest.approx(stretched.length(), abs=1e-3)
    place = places_of(graded)["side front notch"]
    assert math.dist(place, (1.5 * spot.x, 1.1 * spot.y)) < 1e-3


def test_a_dart_whose_points_are_ruled_opens_by_them() -> None:
    piece = ruled(square(), *CORNERS, ("waist dart 2", 14, 0), ("waist dart 4", 10, 0))
    assert piece.darts[0].intake == pytest.approx(14)
    assert piece.darts[0].points[1] == pytest.approx((79, 50))


def test_a_ruled_grain_line_goes_where_it_is_sent() -> None:
    piece = ruled(square(), *CORNERS, ("grain 1", 1, 2), ("grain 2", 1, 3))
    assert piece.grain == (pytest.approx((31, 22)), pytest.approx((31, 83)))


def refused(draft: Draft, *rows: tuple[str, float, float], far: dict[str, float] | None = None) -> str:
    with pytest.raises(InputErrors) as caught:
        both(draft, *rows, far=far)
    return str(caught.value)


def test_a_fold_that_would_leave_its_line_is_refused() -> None:
    told = refused(square(), ("top/centre", 3, 0), ("centre/hem", 0, 0), ("hem/side", 0, 0), ("side/top", 0, 0))
    assert "pocket: the fold centre would not stay straight on its line in size L" in told
    assert "Give both the same dx" in told


def test_a_fold_that_moves_as_a_whole_is_laid_back_on_its_line() -> None:
    moved = ruled(square(), *((place, dx + 5, dy) for place, dx, dy in CORNERS))
    here = ruled(square(), *CORNERS)
    assert [e.start for e in moved.edges] == [pytest.approx(e.start) for e in here.edges]
    assert moved.points["heart"] == pytest.approx(here.points["heart"])
    assert moved.grain == (pytest.approx(here.grain[0]), pytest.approx(here.grain[1]))
    assert [moved.darts[0].points[i] for i in range(4)] == [pytest.approx(p) for p in here.darts[0].points]


def test_what_the_rules_get_wrong_is_told_with_its_place() -> None:
    where_all = [("hem/sid", 0, 0), *CORNERS]
    assert "pocket has no place 'hem/sid'" in refused(square(), *where_all)  # type: ignore[arg-type]
    assert "Write hem/side" in refused(square(), *where_all)  # type: ignore[arg-type]
    assert "pocket.side is 100.0 mm long, and no place lies 101.0 mm along it" in refused(
        square(), *CORNERS, ("side", 0, 0), far={"side": 101.0}
    )
    assert "pocket has no edge 'seam'" in refused(square(), *CORNERS, ("seam", 0, 0), far={"seam": 1.0})
    assert "is the same place as" in refused(
        square(curved=True),
        *CORNERS,
        ("hip", 1, 1),
        ("side", 9, 9),
        far={"side": far_on(square(curved=True).pieces[0].edge("side").curves, (105, 50)) or 0.0},
    )
    with pytest.raises(InputErrors) as caught:
        graded_by_rules(square(), "M", GradeRules(("M", "L"), "M", (Rule("bag", "x", {"L": (0, 0)}),)))
    assert "there is no piece 'bag'" in str(caught.value)
    assert "the pocket has no rule" in str(caught.value)
    with pytest.raises(InputError, match="the rules count from size M, the draft is size 12"):
        graded_by_rules(square(), "12", GradeRules(("M", "L"), "M", ()))


def test_a_seam_that_no_longer_fits_is_a_failed_check() -> None:
    rules = rules_of(nest())
    slipped = tuple(
        replace(r, moves={**r.moves, "14": (r.moves["14"][0] + 3, r.moves["14"][1])})
        if (r.piece, r.place) == ("front", "shoulder_tip") else r
        for r in rules.rules
    )  # fmt: skip
    found = graded_by_rules(base(), "12", replace(rules, rules=slipped), nest().bodies)
    assert "seam.shoulder-seam" in {f.id for f in check(finished(found["14"])) if not f.passed}
    assert "seam.shoulder-seam" not in {f.id for f in check(finished(found["10"])) if not f.passed}


def test_a_cap_sleeves_free_length_follows_its_notches() -> None:
    _, found = by_rules(sleeve="cap")
    for draft in found.values():
        (seam,) = [s for s in draft.seams if s.free]
        armholes = [p for p in draft.pieces if p.name in ("front", "back")]
        assert seam.free == pytest.approx(sum(n.at for p in armholes for n in p.notches if n.edge == "armhole"))


@pytest.mark.parametrize("style", [{}, {"waist_seam": "yes"}, {"waist_seam": "yes", "zip": "side"}], ids=str)
def test_a_zip_by_rules_is_as_long_as_the_drafted_one(style: dict[str, object]) -> None:
    """Above a waist seam too; half a mm, as for two sides of a seam."""
    drafted, found = by_rules(**style)
    for size in drafted.sizes:
        assert zip_of(found[size]).length == pytest.approx(zip_of(drafted.of(size).draft).length, abs=0.5)


def test_a_zip_grows_with_the_places_of_its_ends() -> None:
    rules = rules_of(nest())
    longer = tuple(
        replace(r, moves={size: (x, y - 20) for size, (x, y) in r.moves.items()}) if r.place == "zip_end" else r
        for r in rules.rules
    )
    found = graded_by_rules(base(), "12", replace(rules, rules=longer), nest().bodies)
    assert zip_of(found["14"]).length - zip_of(base()).length == pytest.approx(20, abs=1e-3)


# ----------------------------------------------------------------------------------------------------- zero points


def test_another_stacking_point_changes_nothing_but_the_place() -> None:
    rules = rules_of(nest())
    other = rules.stacked_on("shoulder_tip")
    assert next(r for r in other.of("front") if r.place == "shoulder_tip").moves["14"] == (0.0, 0.0)
    assert other.of("sleeve") == rules.of("sleeve"), "it has no shoulder tip"
    here = graded_by_rules(base(), "12", rules, nest().bodies)
    there = graded_by_rules(base(), "12", other, nest().bodies)
    for size in nest().sizes:
        for a, b in zip(here[size].pieces, there[size].pieces, strict=True):
            up = b.edges[0].start.y - a.edges[0].start.y
            for name, p in a.points.items():  # the centre stays on its line
                assert b.points[name] == pytest.approx((p.x, p.y + up), abs=1e-6)
            for e, f in zip(a.edges, b.edges, strict=True):
                assert f.length() == pytest.approx(e.length(), abs=1e-6)
        girths = {f.id: f.measured for f in check(finished(here[size])) if f.id.startswith("girth.")}
        assert {f.id: f.measured for f in check(finished(there[size])) if f.id.startswith("girth.")} == pytest.approx(
            girths, abs=0.02
        )


moves = st.floats(-15, 15).map(lambda mm: round(mm, 2))
vectors = st.tuples(moves, moves)


@settings(max_examples=40, deadline=None)
@given(st.lists(vectors, min_size=6, max_size=6), vectors)
def test_one_vector_added_to_all_moves_changes_nothing_but_the_place(
    some: list[tuple[float, float]], by: tuple[float, float]
) -> None:
    draft = square(fold=False, curved=True)
    rows = [(place, dx, dy) for (place, _, _), (dx, dy) in zip(CORNERS, some, strict=False)] + [
        ("hip", *some[4]),
        ("side balance notch", *some[5]),
    ]
    # the centre stands upright, so that both are laid back alike
    rows[0], rows[1] = (rows[0][0], 0.0, rows[0][2]), (rows[1][0], 0.0, rows[1][2])
    a = ruled(draft, *rows)
    b = ruled(draft, *((place, dx + by[0], dy + by[1]) for place, dx, dy in rows))
    for e, f in zip(a.edges, b.edges, strict=True):
        for c, d in zip(e.curves, f.curves, strict=True):
            for p, q in zip(c.controls(), d.controls(), strict=True):
                assert q == pytest.approx((p.x, p.y + by[1]), abs=1e-6)
    assert [n.at for n in a.notches] == pytest.approx([n.at for n in b.notches], abs=1e-6)


@settings(max_examples=60, deadline=None)
@given(st.lists(vectors, min_size=6, max_size=6))
def test_a_smooth_edge_stays_smooth_wherever_it_is_ruled(some: list[tuple[float, float]]) -> None:
    rows = [(place, dx, dy) for (place, _, _), (dx, dy) in zip(CORNERS, some, strict=False)] + [
        ("hip", *some[4]),
        ("side balance notch", *some[5]),
    ]
    piece = ruled(square(fold=False, curved=True), *rows)
    edge = piece.edge("side")
    assert [type(c) for c in edge.curves] == [Cubic, Cubic, Cubic]
    kinks = [abs(turn_deg(c.way(1.0), d.way(0.0))) for c, d in pairwise(edge.curves)]
    assert kinks == pytest.approx([0.0, 0.0], abs=1e-5), "as smooth as it was drawn"
    # every ruled place is exactly where it was sent (the centre may have been laid back as a whole)
    start = edge.start
    assert edge.end.x - start.x == pytest.approx(some[3][0] - some[2][0], abs=1e-6)


@given(st.lists(st.floats(5, 60), min_size=2, max_size=7), st.lists(vectors, min_size=8, max_size=8))
def test_moves_at_any_place_are_those_that_are_spread_over_points(
    gaps: list[float], some: list[tuple[float, float]]
) -> None:
    at = [0.0]
    for gap in gaps:
        at.append(at[-1] + gap)
    move = moving(at, some[: len(at)])
    line = [(x, 0.0) for x in at]
    ruled_points = dict(enumerate(some[: len(at)]))
    fine, numbers = [], {}
    for i, (p, q) in enumerate(pairwise(line)):
        numbers[len(fine)] = ruled_points[i]
        fine += [p, ((p[0] + q[0]) / 2, 0.0)]
    numbers[len(fine)] = ruled_points[len(at) - 1]
    fine.append(line[-1])
    for p, expected in zip(fine, spread(fine, numbers), strict=True):
        assert move(p[0]) == pytest.approx(expected, abs=1e-9)
    assert move(-5.0) == some[0]
    assert move(at[-1] + 5.0) == pytest.approx(some[len(at) - 1])


def test_places_have_the_names_that_are_typed() -> None:
    names = list(places_of(dress(ALTO).pieces[0]))
    assert len(names) == len(set(names))
    for name in ("underarm", "hem/side", "armhole sleeve notch", "waist dart 4", "hip line 2", "grain 1"):
        assert name in names
    assert places_of(dress(ALTO).pieces[0])["neckline/centre_front"] == dress(ALTO).pieces[0].points["neck_centre"]


def test_a_grade_of_three_eighths_is_nine_and_a_half_millimetres() -> None:
    # by hand: 3/8 × 25.4
    assert read(TABLE).rules[0].moves["14"][0] == pytest.approx(3 / 8 * INCH)
