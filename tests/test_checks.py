"""Checks that really fail: a pattern is broken on purpose, one thing at a time, and the right check must say so."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import replace

import pytest

from oaktag.body.measurements import Measurements
from oaktag.checks.run import check, standing_errors
from oaktag.claims.measure import girth_at
from oaktag.errors import DraftError
from oaktag.geometry.curve import Cubic, Line
from oaktag.geometry.path import part
from oaktag.geometry.point import Point, along, distance, left_of
from oaktag.model.finding import Finding, Severity
from oaktag.model.pattern import CutPiece, Pattern
from oaktag.model.piece import Dart, Edge, Piece
from oaktag.units import Unit, parse_length
from wardrobe import (
    ALTO,
    IN,
    LENGTH,
    dense,
    dress,
    dressed,
    edge_tape,
    failed,
    finished,
    found,
    inches,
    level_of,
    tape,
    walk_of,
    with_cut,
    with_drafted,
    with_edge,
    with_piece,
    zip_of,
)

ERROR, WARNING, INFO = Severity.ERROR, Severity.WARNING, Severity.INFO


@pytest.fixture(scope="module")
def sound() -> Pattern:
    return dressed(ALTO, length=40)


def shows(finding: Finding, unit: Unit) -> bool:
    """Whether lengths are told in the maker's unit and in no other."""
    other = "cm" if unit == "in" else "in"
    return bool(re.search(rf"\d {unit}\b", finding.message)) and not re.search(rf"\d {other}\b", finding.message)


def broken(pattern: Pattern, name: str, severity: Severity = ERROR) -> Finding:
    """The finding of that id, which must have failed, be of that severity, and tell something."""
    finding = found(pattern, name)
    assert not finding.passed, finding
    assert finding.severity is severity
    assert finding.size == "measured"
    assert len(finding.message) > 20
    return finding


# ---------------------------------------------------------------------------------------------------- what is sound


def test_the_alto_passes_every_check_but_the_note_on_stairs(sound: Pattern) -> None:
    """With a dart and a peg for her narrow waist; else the side seam is told of, at waist and hem."""
    narrow = dressed(ALTO, length=40, dart_intake="1 3/8", peg=1)
    assert [(f.id, f.severity) for f in failed(narrow)] == [("walk.everyday", INFO)]
    assert standing_errors(check(narrow)) == ()
    assert [f.id for f in failed(sound)] == ["side.waist", "side.hem", "walk.everyday"]
    assert standing_errors(check(sound)) == ()


def test_every_kind_of_check_looks_at_the_pattern(sound: Pattern) -> None:
    ids = {finding.id for finding in check(sound)}
    assert ids >= {
        "outline.stitch-line", "outline.cut-line", "cut.allowance", "marks.inside", "seam.side-seam", "seam.sleeve-cap",
        "seam.shoulder-seam", "notches.meet", "corner.neckline", "corner.armhole", "corner.hem", "girth.bust",
        "girth.waist", "girth.hip", "dart.legs", "dart.intake", "zip.reach", "sleeve.upper-arm", "sleeve.cap-ease",
        "ease.bust", "ease.waist", "ease.hip", "walk.stride", "body.plausible",
    }  # fmt: skip


def test_an_error_stands_until_it_is_named(sound: Pattern) -> None:
    findings = (
        Finding("a.b", ERROR, False, 1, 0, "mm", "off"),
        Finding("a.c", ERROR, True, 0, 0, "mm", "on"),
        Finding("a.d", WARNING, False, 1, 0, "mm", "doubt"),
    )
    assert [f.id for f in standing_errors(findings)] == ["a.b"]
    assert standing_errors(findings, ("a.b",)) == ()
    assert [f.id for f in standing_errors(findings, ("a.c", "a.d", "a"))] == ["a.b"]


# ------------------------------------------------------------------------------------------------------- outlines


def moved(edge: Edge, end: str, by: tuple[float, float]) -> Edge:
    """The edge with its first or last point moved."""
    curves = list(edge.curves)
    i = 0 if end == "start" else len(curves) - 1
    points = list(curves[i].controls())
    j = 0 if end == "start" else len(points) - 1
    points[j] = Point(points[j].x + by[0], points[j].y + by[1])
    curves[i] = curves[i].with_controls(tuple(points))
    return Edge(edge.name, edge.kind, tuple(curves))


def test_an_open_outline_is_an_error(sound: Pattern) -> None:
    open_one = with_edge(sound, "front", "shoulder", lambda e: moved(e, "start", (0, 2)))
    finding = broken(open_one, "outline.stitch-line")
    assert finding.measured == pytest.approx(2)
    assert finding.message.startswith("front: the stitch line")


def crossed(cut: CutPiece, name: str) -> CutPiece:
    ring = list(getattr(cut, name))
    third = len(ring) // 3
    ring[third], ring[2 * third] = ring[2 * third], ring[third]
    return replace(cut, **{name: tuple(ring)})


@pytest.mark.parametrize("line", ["stitch_line", "cut_line"])
@pytest.mark.parametrize("piece", ["front", "sleeve", "facing_back"])
def test_an_outline_that_crosses_itself_is_an_error(sound: Pattern, piece: str, line: str) -> None:
    bad = with_cut(sound, piece, lambda cut: crossed(cut, line))
    finding = broken(bad, f"outline.{line.replace('_', '-')}")
    assert finding.message.startswith(f"{piece}: the {line.replace('_', ' ')}")
    assert "measurements" in finding.message


@pytest.mark.parametrize("line", ["stitch_line", "cut_line"])
def test_a_clockwise_outline_is_an_error(sound: Pattern, line: str) -> None:
    bad = with_cut(sound, "back", lambda cut: replace(cut, **{line: tuple(reversed(getattr(cut, line)))}))
    broken(bad, f"outline.{line.replace('_', '-')}")


# ------------------------------------------------------------------------------------------------------ allowances

EDGES = [
    (piece, edge)
    for piece, edges in {
        "front": ("hem", "side", "armhole", "shoulder", "neckline"),
        "back": ("centre_back", "vent_edge", "hem", "side", "armhole", "shoulder", "neckline"),
        "sleeve": ("hem", "underarm_front", "cap", "underarm_back"),
        "facing_front": ("outer_edge", "shoulder", "neckline"),
        "facing_back": ("centre_back", "outer_edge", "shoulder", "neckline"),
    }.items()
    for edge in edges
]


@pytest.mark.parametrize(("piece", "edge"), EDGES)
@pytest.mark.parametrize("by", [-3.0, -0.3, 0.3, 3.0])
def test_an_allowance_that_is_not_what_is_told_is_an_error(sound: Pattern, piece: str, edge: str, by: float) -> None:
    """The cut line is that of another width than the piece says, along any one edge."""
    said = sound.piece(piece).cut
    other = finished(sound.draft, allowances={f"{piece}.{edge}": said.allowances[edge] + by})
    bad = with_cut(other, piece, lambda cut: replace(cut, allowances=said.allowances, profiles=said.profiles))
    finding = broken(bad, "cut.allowance")
    assert finding.measured == pytest.approx(by, abs=0.1)
    assert finding.message.startswith(f"{piece}: ")
    assert edge in finding.message


def test_the_finding_of_an_allowance_is_told_in_the_makers_unit(sound: Pattern) -> None:
    for unit in ("in", "cm"):
        other = finished(sound.draft, unit, {"front.side": 30.0})
        said = sound.piece("front").cut
        bad = with_cut(
            other, "front", lambda cut, said=said: replace(cut, allowances=said.allowances, profiles=said.profiles)
        )
        finding = broken(bad, "cut.allowance")
        assert shows(finding, unit)
        assert "front.side" in finding.message


TURNED = [
    (hem, opening, lining, allowances)
    for hem in ("pegged", "straight", "a-line")
    for opening in ("vent", "slit")
    for lining in ("none", "full")
    for allowances in (
        {},
        {"vent_edge": 80.0, "slit": 80.0, "hem": 12.0},
        {"vent_edge": 12.0, "slit": 12.0, "hem": 90.0},
        {"vent_edge": 90.0, "slit": 90.0, "hem": 90.0},
    )
]


@pytest.mark.parametrize(("hem", "opening", "lining", "allowances"), TURNED)
def test_a_hem_mitred_at_the_opening_has_its_allowance(
    hem: str, opening: str, lining: str, allowances: dict[str, float]
) -> None:
    """The mitre takes from either allowance as far as the other's width from the corner, and that is no mistake."""
    pattern = finished(dress(ALTO, hem=hem, opening=opening, lining=lining), allowances=allowances)
    assert [f.message for f in failed(pattern) if f.id == "cut.allowance"] == []
    finishes = {finish for piece in pattern.pieces for finish in piece.cut.corners.values()}
    assert "mitred-hem" in finishes


@pytest.mark.parametrize("by", [-3.0, -0.3, 0.3, 3.0])
@pytest.mark.parametrize("edge", ["hem", "slit"])
def test_an_allowance_beside_a_mitre_that_is_not_what_is_told_is_an_error(edge: str, by: float) -> None:
    draft = dress(ALTO, hem="a-line", opening="slit", lining="full")
    for piece in ("back", "lining_back"):
        said = finished(draft).piece(piece).cut
        other = finished(draft, allowances={f"{piece}.{edge}": said.allowances[edge] + by})
        bad = with_cut(
            other, piece, lambda cut, said=said: replace(cut, allowances=said.allowances, profiles=said.profiles)
        )
        assert broken(bad, "cut.allowance").measured == pytest.approx(by, abs=0.1)


@pytest.mark.parametrize("intake", [5.1, 5.5, 6.0, 8.0])
@pytest.mark.parametrize("waist_seam", ["no", "yes"])
def test_the_peaks_of_a_small_dart_mouth_have_their_allowance(waist_seam: str, intake: float) -> None:
    """A mouth much smaller than the allowance: the peak over one leg is nearer to the other than its mitre is long."""
    body = Measurements({**ALTO, "front_waist_length": ALTO["back_waist_length"] + 25.4 + intake})
    draft = dress(body, bust_dart="side", waist_seam=waist_seam)
    pattern = finished(draft, allowances={"side": 80.0})
    assert [f.message for f in failed(pattern) if f.id == "cut.allowance"] == []
    piece = "bodice_front" if waist_seam == "yes" else "front"
    for by in (-0.6, 0.6):
        other = finished(draft, allowances={"side": 80.0, f"{piece}.side": 80.0 + by})
        said = pattern.piece(piece).cut
        bad = with_cut(
            other, piece, lambda cut, said=said: replace(cut, allowances=said.allowances, profiles=said.profiles)
        )
        assert abs(broken(bad, "cut.allowance").measured) >= 0.5


def test_a_cut_line_pushed_inside_is_an_error(sound: Pattern) -> None:
    """One vertex in the middle of the armhole, 1 mm too near to the stitch line."""

    def pushed(cut: CutPiece) -> CutPiece:
        run = cut.cut_edges["armhole"]
        p = run[len(run) // 2]
        i = min(range(len(cut.cut_line)), key=lambda i: distance(cut.cut_line[i], p))
        q = min(dense(cut.piece.edge("armhole").curves), key=lambda q: math.dist(p, q))
        near = Point(p[0] + (q[0] - p[0]) / 12.7, p[1] + (q[1] - p[1]) / 12.7)
        ring = list(cut.cut_line)
        ring[i] = near
        return replace(cut, cut_line=tuple(ring))

    finding = broken(with_cut(sound, "front", pushed), "cut.allowance")
    assert finding.measured == pytest.approx(-1, abs=0.1)


# ----------------------------------------------------------------------------------------------------------- marks


def test_marks_outside_the_piece_are_errors(sound: Pattern) -> None:
    out = Point(900, -300)

    def broken_by(change: Callable, words: str) -> None:
        finding = broken(with_piece(sound, "front", change), "marks.inside")
        assert words in finding.message
        assert finding.message.startswith("front: ")

    broken_by(lambda p: replace(p, grain_line=(out, p.grain_line[1])), "grain line")
    broken_by(lambda p: replace(p, grain_line=(p.grain_line[0], out)), "grain line")
    broken_by(lambda p: replace(p, drill_holes=(*p.drill_holes, out)), "drill hole")
    broken_by(lambda p: replace(p, drill_holes=(out, *p.drill_holes)), "drill hole")
    broken_by(lambda p: replace(p, label=replace(p.label, at=out)), "label")
    # its middle stays, and one of its ends at a time is out
    label = sound.piece("front").label
    broken_by(lambda p: replace(p, label=replace(label, at=Point(5.0, label.at.y), angle_deg=0.0)), "label")
    broken_by(lambda p: replace(p, label=replace(label, at=Point(5.0, label.at.y), angle_deg=180.0)), "label")
    notch = sound.piece("front").notches[0]
    inside = replace(notch, spots=(Point(100, -400),))
    broken_by(lambda p: replace(p, notches=(inside, *p.notches[1:])), "notch")


# ----------------------------------------------------------------------------------------------------------- seams


@pytest.mark.parametrize(
    ("piece", "edge", "seam", "sign"),
    [
        ("front", "side", "side-seam", 1),
        ("back", "side", "side-seam", -1),
        ("front", "shoulder", "shoulder-seam", 1),
        ("back", "armhole", "sleeve-cap", -1),
        ("sleeve", "cap", "sleeve-cap", 1),
        ("sleeve", "underarm_back", "underarm-seam", -1),
        ("facing_front", "neckline", "front-facing-to-neck", 1),
        ("back", "neckline", "back-facing-to-neck", -1),
        ("facing_back", "shoulder", "facing-shoulder-seam", -1),
    ],
)
@pytest.mark.parametrize("by", [0.7, 6.0])
def test_a_lengthened_edge_is_found_on_its_seam(
    sound: Pattern, piece: str, edge: str, seam: str, sign: int, by: float
) -> None:
    def longer(e: Edge) -> Edge:
        end = e.curves[-1].end
        way = e.curves[-1].way(1.0)
        return Edge(e.name, e.kind, (*e.curves, Line(end, Point(end.x + way.x * by, end.y + way.y * by))))

    bad = with_edge(sound, piece, edge, longer)
    finding = broken(bad, f"seam.{seam}")
    meant = 0.75 * IN if seam == "sleeve-cap" else 0
    assert finding.measured == pytest.approx(meant + sign * by, abs=0.02)
    assert finding.limit == pytest.approx(meant + sign * 0.5)
    assert f"{piece}.{edge}" in finding.message
    assert "True the longer edge" in finding.message
    assert shows(finding, "in")


def test_a_seam_within_half_a_millimetre_passes(sound: Pattern) -> None:
    near = with_edge(sound, "front", "side", lambda e: Edge(e.name, e.kind, part(e.curves, 0.4, e.length())))
    assert found(near, "seam.side-seam").passed


def test_the_sewing_ease_of_the_cap_is_measured_not_believed(sound: Pattern) -> None:
    short = with_edge(sound, "sleeve", "cap", lambda e: Edge(e.name, e.kind, part(e.curves, 0, e.length() - 12)))
    finding = broken(short, "seam.sleeve-cap")
    assert finding.measured == pytest.approx(0.75 * IN - 12, abs=0.02)


def test_findings_agree_with_another_tape(sound: Pattern) -> None:
    for seam in sound.draft.seams:
        a, b = (edge_tape(sound, *side) for side in (seam.a, seam.b))
        finding = found(sound, "seam." + seam.name.replace(" ", "-"))
        assert finding.passed
        assert finding.measured == pytest.approx(a - b, abs=0.1)


def shifted(pattern: Pattern, piece: str, edge: str, by: float, at: int = 0) -> Pattern:
    """One notch of an edge moved along it."""

    def change(drafted):
        places = list(drafted.notches)
        mine = [i for i, place in enumerate(places) if place.edge == edge]
        places[mine[at]] = replace(places[mine[at]], at=places[mine[at]].at + by)
        return replace(drafted, notches=tuple(places))

    return with_drafted(pattern, piece, change)


@pytest.mark.parametrize("by", [-5.0, 0.8])
def test_a_notch_out_of_place_is_an_error(sound: Pattern, by: float) -> None:
    finding = broken(shifted(sound, "front", "side", by, at=1), "notches.meet")
    assert finding.measured == pytest.approx(abs(by), abs=0.01)
    assert finding.message.startswith("side seam: ")
    assert "Move the notch" in finding.message


def test_a_notch_out_of_place_on_a_cap_is_an_error(sound: Pattern) -> None:
    """The front notch of the cap must meet that of the front armhole."""
    sleeve = sound.piece("sleeve")
    notch = next(n for n in sleeve.notches if n.edge == "cap")
    moved_on = replace(notch, point=along(notch.point, left_of(notch.direction), 6.0))
    notches = tuple(moved_on if n is notch else n for n in sleeve.notches)
    pieces = tuple(replace(p, notches=notches) if p is sleeve else p for p in sound.pieces)
    finding = next(f for f in check(replace(sound, pieces=pieces)) if f.id == "notches.ease" and not f.passed)
    assert finding.severity is ERROR


def test_a_notch_without_its_partner_is_an_error(sound: Pattern) -> None:
    lost = with_drafted(sound, "front", lambda p: replace(p, notches=tuple(n for n in p.notches if n.name != "waist")))
    finding = broken(lost, "notches.meet")
    assert "side" in finding.message


@pytest.mark.parametrize(("bare", "other"), [("front", "back"), ("back", "front")])
def test_an_edge_that_has_lost_all_its_notches_is_an_error(sound: Pattern, bare: str, other: str) -> None:
    lost = with_drafted(sound, bare, lambda p: replace(p, notches=tuple(n for n in p.notches if n.edge != "side")))
    held = sum(n.edge == "side" for n in sound.piece(other).cut.piece.notches)
    finding = broken(lost, "notches.meet")
    told = finding.message.replace(" has", "").replace(" notch(es)", "")
    assert f"{bare}.side 0" in told
    assert f"{other}.side {held}" in told


def test_a_seam_without_any_notch_has_none_to_meet(sound: Pattern) -> None:
    bare = sound
    for piece in ("front", "back"):
        bare = with_drafted(bare, piece, lambda p: replace(p, notches=tuple(n for n in p.notches if n.edge != "side")))
    assert not [f for f in check(bare) if f.id == "notches.meet" and f.message.startswith("side seam")]


@pytest.mark.parametrize("piece", ["front", "back"])
@pytest.mark.parametrize("by", [-4.0, 4.0])
def test_a_notch_out_of_place_on_either_side_is_an_error(sound: Pattern, piece: str, by: float) -> None:
    finding = broken(shifted(sound, piece, "side", by, at=1), "notches.meet")
    assert finding.measured == pytest.approx(4.0, abs=0.01)


@pytest.mark.parametrize("by", [-12, 12])
def test_a_corner_where_a_run_goes_on_is_told(sound: Pattern, by: float) -> None:
    """The neck side of the front raised or lowered: the neckline no longer meets the shoulder square."""
    peaked = with_edge(sound, "front", "shoulder", lambda e: moved(e, "end", (0, by)))
    finding = broken(peaked, "corner.neckline", WARNING)
    assert abs(finding.measured) > 3
    assert (finding.measured < 0) == (by > 0), "raised, the shoulder falls steeper, at less of an angle to the neckline"
    assert "curved ruler" in finding.message
    assert ("peak" in finding.message) == (finding.measured < 0)


# ------------------------------------------------------------------------------------------------- girths and darts


@pytest.mark.parametrize("open_", [0.5, 2.0])
def test_an_edge_with_a_corner_over_its_closed_dart_is_told(open_: float) -> None:
    """The point moved to half or twice as far from the mouth: closed, the edge turns by so much more or less."""
    body = Measurements({**ALTO, "front_waist_length": ALTO["back_waist_length"] + IN + 30.0})
    pattern = dressed(body, bust_dart="side")
    before = found(pattern, "corner.dart")
    assert before.passed

    def angle(a: Point, tip: Point, b: Point) -> float:
        return math.degrees(math.atan2(b.y - tip.y, b.x - tip.x) - math.atan2(a.y - tip.y, a.x - tip.x))

    def other(dart: Dart) -> Dart:
        if not dart.is_open:
            return dart
        a, tip, b = dart.points
        middle = Point((a.x + b.x) / 2, (a.y + b.y) / 2)
        far = Point(middle.x + (tip.x - middle.x) * open_, middle.y + (tip.y - middle.y) * open_)
        return replace(dart, points=(a, far, b))

    changed = with_drafted(pattern, "front", lambda p: replace(p, darts=tuple(map(other, p.darts))))
    (dart,) = (d for d in pattern.piece("front").cut.piece.darts if d.is_open)
    finding = broken(changed, "corner.dart", WARNING)
    turned = angle(*other(dart).points) - angle(*dart.points)
    assert finding.measured == pytest.approx(before.measured - turned, abs=0.1)
    assert f"a corner of {abs(finding.measured):.1f}°" in finding.message


@pytest.mark.parametrize("by", [-2, 2])
def test_a_corner_moved_at_the_underarm_changes_the_bust(sound: Pattern, by: float) -> None:
    narrow = with_cut(
        sound,
        "front",
        lambda c: replace(c, stitch_line=tuple((x + by, y) if x > 200 else (x, y) for x, y in c.stitch_line)),
    )
    for level in ("bust", "hip"):
        finding = broken(narrow, f"girth.{level}")
        assert finding.measured == pytest.approx(finding.limit + 2 * by, abs=0.1)  # 2 mm on both fronts
        assert shows(finding, "in")


@pytest.mark.parametrize("by", [-3, 3])
def test_a_dart_that_takes_out_more_or_less_than_the_side_added_is_an_error(sound: Pattern, by: float) -> None:
    def wider(piece: Piece) -> Piece:
        (dart,) = piece.darts
        high, right, low, left = dart.points
        points = high, Point(right.x + by / 2, right.y), low, Point(left.x - by / 2, left.y)
        return replace(piece, darts=(replace(dart, points=points, intake=dart.intake + by),))

    wide = with_drafted(sound, "back", wider)
    finding = broken(wide, "girth.waist")
    assert finding.measured == pytest.approx(finding.limit - 2 * by, abs=0.1)
    assert "Dart intake" in finding.message


@pytest.mark.parametrize("by", [-20, 20])
@pytest.mark.parametrize("end", ["upper", "lower"])
def test_legs_of_a_dart_that_differ_are_an_error(sound: Pattern, end: str, by: float) -> None:
    def leaning(dart: Dart) -> Dart:
        upper, outer, lower, inner = dart.points
        if end == "upper":
            return replace(dart, points=(Point(upper.x + by, upper.y), outer, lower, inner))
        return replace(dart, points=(upper, outer, Point(lower.x + by, lower.y), inner))

    bad = with_drafted(sound, "front", lambda p: replace(p, darts=tuple(map(leaning, p.darts))))
    upper, outer, lower, inner = bad.piece("front").cut.piece.darts[0].points
    tip = upper if end == "upper" else lower
    finding = broken(bad, "dart.legs")
    assert finding.measured == pytest.approx(abs(math.dist(tip, outer) - math.dist(tip, inner)), abs=0.01)


@pytest.mark.parametrize("unit", ["in", "cm"])
def test_a_very_wide_dart_is_doubted(unit: Unit) -> None:
    finding = broken(dressed(ALTO, unit, dart_intake="2 in"), "dart.intake", WARNING)
    assert finding.measured == pytest.approx(2 * IN)
    # single darts over 1 1/2 in, in a metric job over 4 cm, are split; common practice, no source
    assert finding.limit == pytest.approx(1.5 * IN if unit == "in" else 40)
    assert "dart_intake" in finding.message
    assert shows(finding, unit)


# --------------------------------------------------------------------------------------------------- ease and sleeve


@pytest.mark.parametrize("unit", ["in", "cm"])
@pytest.mark.parametrize(
    ("level", "ease", "limit", "metric"),  # CWU costume text, ch. 16: bust 1 1/2-2 in, waist 3/4-1, hip 2-2 3/4; in mm
    [("bust", 1.0, 1.5, 40), ("bust", 4, 2, 50), ("waist", 0.5, 0.75, 20), ("waist", 2, 1, 25), ("hip", 0, 2, 50),
     ("hip", 4, 2.75, 70)],
)  # fmt: skip
def test_wearing_ease_out_of_the_usual_is_doubted(
    unit: Unit, level: str, ease: float, limit: float, metric: float
) -> None:
    pattern = dressed(ALTO, unit, **{f"ease_{level}": f"{ease} in"})
    finding = broken(pattern, f"ease.{level}", WARNING)
    assert finding.measured == pytest.approx(ease * IN)
    assert finding.limit == pytest.approx(limit * IN if unit == "in" else metric)
    assert f"Set ease_{level} to" in finding.message
    assert ("more" in finding.message) == (ease < limit)
    assert shows(finding, unit)


@pytest.mark.parametrize("unit", ["in", "cm"])
def test_a_narrow_sleeve_is_doubted_and_a_binding_one_refused(unit: Unit) -> None:
    body = Measurements({**ALTO, "upper_arm_girth": 14 * IN})
    finding = broken(dressed(body, unit, ease_biceps="1 1/2 in"), "sleeve.upper-arm", WARNING)
    assert finding.measured == pytest.approx(1.5 * IN, abs=0.01)
    finding = broken(dressed(body, unit, ease_biceps="3/4 in"), "sleeve.upper-arm", ERROR)
    assert finding.measured == pytest.approx(0.75 * IN, abs=0.01)
    assert "ease_biceps" in finding.message
    assert shows(finding, unit)


@pytest.mark.parametrize("unit", ["in", "cm"])
@pytest.mark.parametrize(("ease", "limit"), [("1/4 in", 15.0), ("2 in", 40.0)])  # dress, woven: 1.5 to 4 cm
def test_cap_ease_out_of_the_usual_is_doubted(unit: Unit, ease: str, limit: float) -> None:
    finding = broken(dressed(ALTO, unit, cap_ease=ease), "sleeve.cap-ease", WARNING)
    assert finding.limit == limit
    assert "cap_ease" in finding.message
    assert shows(finding, unit)


def test_an_armhole_that_binds_is_doubted() -> None:
    body = Measurements({**ALTO, "upper_arm_girth": 16.25 * IN})
    finding = broken(dressed(body), "sleeve.armhole", WARNING)
    assert finding.limit == 70  # at least the upper arm and 7 cm (common practice, no source)
    assert finding.measured < 70
    assert "armhole_depth_ease" in finding.message


@pytest.mark.parametrize("unit", ["in", "cm"])
@pytest.mark.parametrize("ease", ["1 in", "1 1/3 in", "42 mm", "5 mm"])
def test_a_wrist_that_the_hand_cannot_pass_is_an_error_and_the_advice_works(unit: Unit, ease: str) -> None:
    pattern = dressed(ALTO, unit, sleeve="long", ease_wrist=ease)
    finding = broken(pattern, "sleeve.wrist")
    assert finding.limit == 10  # wrist >= hand girth + 1 cm
    assert finding.measured == pytest.approx(6.375 * IN + parse_length(ease, unit) - 8.25 * IN, abs=0.02)
    assert shows(finding, unit)
    more = re.search(rf"add ({LENGTH}) or more to ease_wrist", finding.message)
    assert more
    now = parse_length(ease, unit) + parse_length(more[1], unit)
    assert found(dressed(ALTO, unit, sleeve="long", ease_wrist=f"{now:.6f} mm"), "sleeve.wrist").passed


def test_a_wrist_no_wider_than_the_sleeve_is_measured_as_it_is_drafted() -> None:
    """A hand bigger than the whole sleeve: the wrist is as wide as the biceps line and no wider."""
    body = Measurements({**ALTO, "hand_girth": 13.75 * IN})
    finding = broken(dressed(body, sleeve="long", ease_wrist=9), "sleeve.wrist")
    assert finding.measured == pytest.approx(14 * IN - 13.75 * IN, abs=0.02)


# ------------------------------------------------------------------------------------------------------------- zip


@pytest.mark.parametrize("unit", ["in", "cm"])
@pytest.mark.parametrize("zip_length", ["16 in", "17 in", "18 1/2 in"])
def test_a_zip_that_is_too_short_is_an_error_and_the_advice_works(unit: Unit, zip_length: str) -> None:
    pattern = dressed(ALTO, unit, zip_length=zip_length)
    finding = broken(pattern, "zip.reach")
    assert finding.limit == pytest.approx(41 * IN)
    depth = parse_length(zip_length, unit) + (1 * IN if unit == "in" else 25)  # below the back neck depth
    depth = max(depth, level_of(pattern.draft, "waist"))  # the hip must pass the waist
    assert finding.measured == pytest.approx(girth_at(pattern, depth), abs=0.1)
    assert shows(finding, unit)
    enough = re.search(rf"set zip_length to ({LENGTH}) or more", finding.message)
    assert enough
    assert found(dressed(ALTO, unit, zip_length=enough[1]), "zip.reach").passed
    assert found(dressed(ALTO, unit, zip_length="auto"), "zip.reach").passed


@pytest.mark.parametrize("more", [0.0, 1.5, 2.9])
@pytest.mark.parametrize("unit", ["in", "cm"])
def test_the_zip_that_is_advised_is_long_enough_without_wearing_ease(unit: Unit, more: float) -> None:
    body = Measurements({**ALTO, "waist_to_hip": 8 * IN + more})
    finding = broken(dressed(body, unit, zip_length="17 in", ease_hip=0), "zip.reach")
    enough = re.search(rf"set zip_length to ({LENGTH}) or more", finding.message)
    assert enough
    assert found(dressed(body, unit, zip_length=enough[1], ease_hip=0), "zip.reach").passed


def test_a_zip_that_ends_above_the_waist_does_not_let_the_hip_through_the_waist() -> None:
    """A full bust over a narrow waist: where the zip ends the dress is wide enough, but below it the waist is not."""
    body = Measurements({**ALTO, "bust_girth": 46 * IN, "shoulder_width": 17 * IN, "upper_arm_girth": 15 * IN})
    pattern = dressed(body, zip_length=10, opening="none")
    assert girth_at(pattern, 11 * IN) > 41 * IN > girth_at(pattern, 17 * IN)
    finding = broken(pattern, "zip.reach")
    assert finding.measured == pytest.approx(girth_at(pattern, 17 * IN), abs=0.5)


# --------------------------------------------------------------------------------------------------------- walking


@pytest.mark.parametrize("unit", ["in", "cm"])
def test_a_hobbled_hem_is_an_error_that_names_the_shortest_opening(unit: Unit) -> None:
    pattern = dressed(ALTO, unit, opening="none", length="41 in")
    finding = broken(pattern, "walk.stride")
    # hem 31 1/2 in; the knee is 15 in round at 18 in, the hem 17 in high (41 + 17 - 41): so by hand with the calf
    # between, (31.5 - 14.9) / 2 × 32.5 / 15.5 = 17.4 in; 45 cm is hobbling.
    assert finding.measured == pytest.approx(17.4 * IN, abs=0.15 * IN)
    assert finding.limit == 450
    assert shows(finding, unit)
    # The opening that it names is the one that "auto" drafts.
    named = re.search(rf"the shortest vent that passes is ({LENGTH})", finding.message)
    assert named
    vent = dressed(ALTO, unit, opening="vent", length="41 in")
    assert parse_length(named[1], unit) == pytest.approx(walk_of(vent.draft).opening_length, abs=1.6)
    assert 'opening = "vent"' in finding.message
    assert found(vent, "walk.stride").passed


@pytest.mark.parametrize("unit", ["in", "cm"])
def test_a_hem_that_shortens_the_step_is_doubted_and_says_by_how_much_to_widen_it(unit: Unit) -> None:
    pattern = dressed(ALTO, unit, opening="none", hem="straight", ease_hip=0, length="44 in")
    finding = broken(pattern, "walk.stride", WARNING)
    assert 450 <= finding.measured < 600
    assert finding.limit == 600
    more = re.search(rf"Widen the hem by ({LENGTH})", finding.message)
    assert more
    widened = found(
        dressed(ALTO, unit, opening="none", hem="straight", length="44 in", ease_hip=more[1]), "walk.stride"
    )
    assert widened.passed
    assert widened.measured == pytest.approx(600, abs=8)  # rounded up to 1/8 in or 1 mm, no further


@pytest.mark.parametrize("unit", ["in", "cm"])
def test_an_opening_as_long_as_is_said_serves(unit: Unit) -> None:
    """With the opening typed as the message has it, not by "auto": no shorter than the whole inches that serve."""
    told = 0
    for length in ("38 in", "40 in", "42 in", "101.3 cm", "104.7 cm"):
        style = {"opening": "slit", "ease_waist": 0, "length": length}
        finding = found(dressed(ALTO, unit, **{**style, "opening": "none"}), "walk.stride")
        named = re.search(rf"the shortest vent that passes is ({LENGTH})", finding.message)
        assert not finding.passed
        if named is None:
            continue
        told += 1
        walk = walk_of(dressed(ALTO, unit, **style).draft)
        assert walk.opening_length - 1e-6 <= parse_length(named[1], unit) <= walk.opening_length + 1.0
        assert found(dressed(ALTO, unit, **style, opening_length=named[1]), "walk.stride").passed
    assert told >= 3


@pytest.mark.parametrize("unit", ["in", "cm"])
@pytest.mark.parametrize("level", ["bust", "waist", "hip"])
def test_ease_as_it_is_said_is_within_the_range(unit: Unit, level: str) -> None:
    """The range is in eighths of an inch; neither limit is a whole millimetre."""
    for asked in ("0", "9 cm"):
        finding = found(dressed(ALTO, unit, opening="slit", **{f"ease_{level}": asked}), f"ease.{level}")
        assert not finding.passed
        told = re.search(rf"Set ease_{level} to ({LENGTH})", finding.message)
        assert told
        followed = dressed(ALTO, unit, opening="slit", **{f"ease_{level}": told[1]})
        assert found(followed, f"ease.{level}").passed, finding.message


def test_without_any_zip_all_must_pass_where_the_dress_is_narrowest_and_it_says_where() -> None:
    """41 in of hip through a waist of 30 1/2 + 1 in, or through a bust of 38 + 2 in: not in woven cloth."""
    boat = {"hem": "straight", "neckline": "boat", "neck_width": "6 in", "zip": "none"}
    tight = broken(dressed(ALTO, **boat), "entry.waist")
    assert tight.limit == pytest.approx(41 * IN, abs=0.06)
    assert tight.measured == pytest.approx(31.5 * IN, abs=0.5)
    assert "41 in of body" in tight.message
    assert "at the waist: 31 1/2 in round" in tight.message
    assert 'zip = "back" or "side"' in tight.message
    bust = broken(dressed(ALTO, **boat, ease_waist="10 1/2 in"), "entry.waist")
    assert bust.measured == pytest.approx(40 * IN, abs=0.5)
    assert "at the bust: 40 in round" in bust.message
    assert "waist" not in bust.message
    assert found(dressed(ALTO, **boat, ease_bust="4 in", ease_waist="11 in"), "entry.waist").passed
    busty = Measurements({**ALTO, "bust_girth": 43 * IN, "shoulder_width": 16.5 * IN, "upper_arm_girth": 13.5 * IN})
    wide = broken(dressed(busty, **boat, ease_waist="11 in"), "entry.waist")
    assert wide.limit == pytest.approx(43 * IN, abs=0.06)  # the wider of bust and hip


@pytest.mark.parametrize("unit", ["in", "cm"])
@pytest.mark.parametrize("width", ["12.8 cm", "13.3 cm", "13.51 cm"])
def test_the_neck_is_to_be_made_longer_by_enough(unit: Unit, width: str) -> None:
    """3 cm more than the head (common practice, no source), by tape."""
    body = Measurements({**ALTO, "head_girth": 576.0})
    pattern = dressed(body, unit, zip="side", neckline="boat", neck_width=width, front_neck_depth="1.75 in")
    neck = 2 * edge_tape(pattern, "front.neckline", "back.neckline")
    finding = broken(pattern, "entry.head")
    assert finding.measured == pytest.approx(neck, abs=0.3)
    assert finding.limit == 606.0
    more = re.search(rf"make the neckline ({LENGTH}) longer", finding.message)
    assert more
    assert finding.limit - neck - 0.3 <= parse_length(more[1], unit) <= finding.limit - neck + 3.3  # 1/8 in or 1 mm
    assert shows(finding, unit)


def test_a_pinched_armhole_is_told_and_either_way_out_cures_it() -> None:
    """18 mm beyond mid armhole, the underarm (common practice, no source)."""
    wide = Measurements({**ALTO, "shoulder_width": 19 * IN})
    finding = broken(dressed(wide, armhole_hollow="5 mm", sleeve="none"), "armhole.scoop", WARNING)
    points = dressed(wide, armhole_hollow="5 mm", sleeve="none").piece("front").cut.piece.points
    assert finding.measured == pytest.approx(points["underarm"].x - points["mid_armhole"].x, abs=0.01)
    ways = re.search(rf"make armhole_hollow ({LENGTH}), or add ({LENGTH}) to ease_bust", finding.message)
    assert ways
    assert found(dressed(wide, armhole_hollow=ways[1], sleeve="none"), "armhole.scoop").passed
    more = 2 * IN + parse_length(ways[2], "in")
    cured = dressed(wide, armhole_hollow="5 mm", sleeve="none", ease_bust=f"{more:.4f} mm")
    assert found(cured, "armhole.scoop").passed


def test_shoulders_too_wide_for_the_chest_get_a_deeper_hollow_and_then_are_refused_with_a_number() -> None:
    """1/2 to 1 in are the hollows of the trade's lists (trade notes: quarter-measure method)."""
    for shoulder, hollow in ((17.0, 0.5), (18.75, 0.5), (19.75, None), (20.75, 1.0)):
        body = Measurements({**ALTO, "shoulder_width": shoulder * IN})
        points = next(p for p in dress(body, sleeve="none").pieces if p.name == "front").points
        drawn = points["shoulder_tip"].x - points["mid_armhole"].x
        assert drawn == pytest.approx(hollow * IN) if hollow else 0.5 * IN < drawn < 1 * IN
    wide = Measurements({**ALTO, "shoulder_width": 21 * IN})
    with pytest.raises(DraftError, match="leaves no room for an armhole") as refused:
        dress(wide, sleeve="none")
    way = re.search(rf"make armhole_hollow ({LENGTH}) or more", str(refused.value))
    assert way
    assert dress(wide, sleeve="none", armhole_hollow=way[1]).pieces


@pytest.mark.parametrize("unit", ["in", "cm"])
def test_a_belly_that_the_dress_is_too_narrow_for_is_told_at_its_level(unit: Unit) -> None:
    """10 cm below the waist, the lesser of the ease at waist and hip (1 in)."""
    plain = dressed(ALTO, unit)
    waist = level_of(plain.draft, "waist")
    assert not [f for f in check(plain) if f.id == "girth.top-hip"]  # not measured, not judged
    there = girth_at(plain, waist + 100)
    assert found(dressed(Measurements({**ALTO, "top_hip_girth": there - IN - 1}), unit), "girth.top-hip").passed
    round_belly = Measurements({**ALTO, "top_hip_girth": there + 5})
    finding = broken(dressed(round_belly, unit), "girth.top-hip", WARNING)
    assert finding.measured == pytest.approx(there, abs=0.05)
    assert finding.limit == pytest.approx(there + 5 + (IN if unit == "in" else 25), abs=0.05)
    more = re.search(rf"add ({LENGTH}) to ease_waist and to ease_hip", finding.message)
    rise = re.search(rf"make dart_end_rise ({LENGTH})", finding.message)
    assert more and rise
    by = parse_length(more[1], unit)
    cured = dressed(round_belly, unit, ease_waist=f"{IN + by} mm", ease_hip=f"{2 * IN + by} mm")
    assert girth_at(cured, waist + 100) == pytest.approx(there + by, abs=1)
    assert found(dressed(round_belly, unit, dart_end_rise=rise[1]), "girth.top-hip").passed


def test_an_opening_that_is_too_short_is_told() -> None:
    pattern = dressed(ALTO, opening="slit", opening_length=6, ease_waist=0.75, length=46)
    finding = broken(pattern, "walk.stride", WARNING)
    assert finding.limit == 670
    assert "shortest slit that passes" in finding.message
    assert 'opening_length = "auto"' in finding.message
    assert found(dressed(ALTO, opening="slit", ease_waist=0.75, length=46), "walk.stride").passed


def test_where_no_opening_is_enough_the_finding_says_to_widen_the_hem() -> None:
    finding = broken(dressed(ALTO, opening="none", length=36, zip_length=28), "walk.stride", WARNING)
    assert 'hem = "straight"' in finding.message
    assert "opening_length" not in finding.message


def test_an_opening_near_the_zip_is_told() -> None:
    pattern = dressed(ALTO, opening="slit", opening_length=16, length=40)
    finding = broken(pattern, "walk.zip-clear", WARNING)
    assert finding.limit == 100
    assert finding.measured == pytest.approx(24 * IN - zip_of(pattern.draft).end_depth, abs=0.1)
    assert "opening_length" in finding.message


def test_everyday_walking_is_a_note_and_never_an_error(sound: Pattern) -> None:
    finding = broken(sound, "walk.everyday", INFO)
    assert finding.limit == 260  # wearing trials: the pleat stops about 26 cm above the hem
    assert found(dressed(ALTO, opening="vent", opening_length="26 cm", length=44), "walk.everyday").passed


# ----------------------------------------------------------------------------------------------- measurement book


def test_measurements_that_do_not_go_together_are_doubts_only() -> None:
    body = Measurements({**ALTO, "shoulder_width": 13 * IN})
    pattern = dressed(body, sleeve="none")
    finding = broken(pattern, "body.shoulder-bust", WARNING)
    assert shows(finding, "in")
    assert standing_errors(check(pattern)) == ()
    assert not [f for f in check(pattern) if f.id == "body.plausible"]


@pytest.mark.parametrize("width", [2.0, 1.625])
@pytest.mark.parametrize("shoulder", [13, 13.5, 14, 14.5, 15, 15.5, 16, 17])
def test_armhole_facings_have_room_for_their_marks(shoulder: float, width: float) -> None:
    """Grain line and label lie inside, whatever the run of the armhole; 1 5/8 in is a usual width of a facing."""
    for bust in range(34, 52, 2):
        other = inches(waist_girth=0.8 * bust, hip_girth=1.07 * bust, bust_point_width=0.19 * bust)
        body = Measurements({**ALTO, **other, **inches(bust_girth=bust, shoulder_width=shoulder)})
        try:
            pattern = dressed(body, sleeve="none", armhole_facing_width=width)
        except DraftError:
            continue
        assert [f.message for f in failed(pattern) if f.id == "marks.inside"] == [], bust


def test_what_a_check_says_when_all_is_well_has_no_advice(sound: Pattern) -> None:
    for finding in check(sound):
        if finding.passed:
            assert not re.search(r"\b(Set|Make|Move|True|Widen|Raise|Take it again)\b", finding.message), (
                finding.message
            )


def test_tape_and_dense_are_rulers_that_can_be_trusted() -> None:
    assert tape([(0, 0), (3, 4), (3, 10)]) == 11
    assert dense((Line(Point(0, 0), Point(10, 0)),)) == [(0, 0), (10, 0)]
    quarter = 4 / 3 * (math.sqrt(2) - 1) * 100
    arc = Cubic(Point(100, 0), Point(100, quarter), Point(quarter, 100), Point(0, 100))
    assert tape(dense((arc,))) == pytest.approx(math.pi * 50, abs=0.05)  # a quarter circle, by 0.03 % of its radius


def test_helpers_break_only_what_they_are_told_to(sound: Pattern) -> None:
    assert with_piece(sound, "front", lambda p: p) == sound
    assert with_edge(sound, "front", "side", lambda e: e) == sound
