"""Marks that are meant against marks that are drawn: each kind of each, in its place, its way, and nothing besides.

Drawn marks are the strokes of `sheet/`, which shares no code with what judges them; faults are made here.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import cos, pi, radians, sin

import pytest

from oaktag.geometry.point import Point
from oaktag.geometry.polygon import Box
from oaktag.model.pattern import Label, Notch
from oaktag.model.piece import Dart, NotchKind
from oaktag.sheet.drawing import _dart, arrow, drill_strokes, label_lines, label_strokes, notch_strokes
from oaktag.sheet.strokes import Role, Stroke
from oaktag.verify.compare import ends_of
from oaktag.verify.drawing import Run
from oaktag.verify.letters import lines_of, misread
from oaktag.verify.marks import (
    DARTS,
    DRILLS,
    GRAIN,
    NOTCHES,
    Judged,
    Lettered,
    Marks,
    NamedLine,
    NotchMark,
    judged,
    judged_words,
    meant_by_role,
)

LIMIT = 0.05
SQUARE = ((0.0, 0.0), (300.0, 0.0), (300.0, 400.0), (0.0, 400.0))


def runs(strokes: Sequence[Stroke]) -> list[Run]:
    return [Run(tuple(stroke.points), stroke.closed) for stroke in strokes]


def told(role: str, marks: Marks, strokes: Sequence[Stroke], box: Box | None = None) -> Judged:
    return judged(role, meant_by_role(marks, box)[role], ends_of(runs(strokes)), LIMIT)


def notch(kind: NotchKind, at: tuple[float, float] = (100.0, 0.0), angle: float = -90.0) -> Notch:
    way = Point(cos(radians(angle)), sin(radians(angle)))
    width = 0.0 if kind is NotchKind.SLIT else 4.0
    return Notch("hem", Point(*at), way, 1, "mark", (Point(*at),), 6.0, kind, width)


def mark(own: Notch) -> NotchMark:
    (spot, way), *_ = own.each()
    return NotchMark((spot.x, spot.y), own.kind.value, own.depth, own.width, (way.x, way.y), own.name)


@pytest.mark.parametrize("kind", NotchKind)
def test_a_notch_of_each_kind_is_known_and_taken_for_no_other(kind: NotchKind) -> None:
    drawn = list(notch_strokes(notch(kind, angle=-63.0)))
    for meant in NotchKind:
        found = told(NOTCHES, Marks(notches=(mark(notch(meant, angle=-63.0)),)), drawn)
        assert (found.wrong == "") == (meant is kind), (meant, found)


@pytest.mark.parametrize("kind", NotchKind)
@pytest.mark.parametrize(("at", "angle"), [((100.2, 0.0), -90.0), ((100.0, 0.2), -90.0), ((100.0, 0.0), -87.0)])
def test_a_notch_a_little_off_or_turned_is_told(kind: NotchKind, at: tuple[float, float], angle: float) -> None:
    """3° at a depth of 6 mm is 0.3 mm at its tip."""
    found = told(NOTCHES, Marks(notches=(mark(notch(kind)),)), list(notch_strokes(notch(kind, at, angle))))
    assert "'mark'" not in found.wrong
    assert "mark is" in found.wrong or "is drawn as notches" in found.wrong


def test_a_notch_of_two_is_missing_or_one_is_too_many() -> None:
    one, two = notch(NotchKind.SLIT), notch(NotchKind.SLIT, (108.0, 0.0))
    both = Marks(notches=(mark(one), mark(two)))
    assert told(NOTCHES, both, [*notch_strokes(one), *notch_strokes(two)]).wrong == ""
    assert "is not drawn" in told(NOTCHES, both, list(notch_strokes(one))).wrong
    assert "not meant" in told(NOTCHES, Marks(notches=(mark(one),)), [*notch_strokes(one), *notch_strokes(two)]).wrong
    assert "is not drawn" in told(NOTCHES, both, []).wrong


def test_what_of_a_mark_lies_on_a_panel_is_asked_for() -> None:
    own = notch(NotchKind.T)
    upper = Box(0.0, -5.0, 300.0, 400.0)  # a slit inwards from the hem at y = 0 goes up to y = 6
    assert told(NOTCHES, Marks(notches=(mark(own),)), list(notch_strokes(own)), upper).wrong == ""
    assert told(NOTCHES, Marks(notches=(mark(own),)), [], Box(0.0, 50.0, 300.0, 400.0)).wrong == ""
    assert told(NOTCHES, Marks(notches=(mark(own),)), [], upper).wrong != ""


@pytest.mark.parametrize(("off", "right"), [(0.0, True), (0.04, True), (0.06, False), (2.0, False), (60.0, False)])
def test_a_drill_hole_is_judged_by_its_middle(off: float, right: bool) -> None:
    found = told(DRILLS, Marks(drill_holes=((50.0, 60.0),)), drill_strokes(Point(50.0 + off, 60.0)))
    assert (found.wrong == "") is right


def test_two_drill_holes_of_which_one_is_drawn() -> None:
    marks = Marks(drill_holes=((50.0, 60.0), (50.0, 90.0)))
    assert "drill hole 2 is not drawn" in told(DRILLS, marks, drill_strokes(Point(50.0, 60.0))).wrong


@pytest.mark.parametrize("points", [((50, 0), (60, 90), (70, 0)), ((60, 200), (70, 100), (60, 20), (50, 100))])
def test_a_dart_open_or_double_ended(points: tuple[tuple[float, float], ...]) -> None:
    dart = Dart("waist", tuple(Point(float(x), float(y)) for x, y in points), 20.0)
    marks = Marks(darts=(NamedLine("waist", points),))
    strokes = list(_dart(dart))
    assert told(DARTS, marks, strokes).wrong == ""
    assert "limit 3.25 mm" in told(DARTS, marks, strokes[:1]).wrong  # without its axis, of which the ends are drawn
    assert "10." in told(DARTS, marks, strokes[1:]).wrong  # the axis alone, 10 mm from the legs
    moved = [replace(s, points=tuple((x + 0.2, y) for x, y in s.points)) for s in strokes]
    assert "off" in told(DARTS, marks, moved).wrong or "not drawn" in told(DARTS, marks, moved).wrong


def test_a_grain_line_by_its_arrow_heads() -> None:
    ends = Point(40.0, 300.0), Point(40.0, 100.0)
    both, one = Marks(grain_line=ends), Marks(grain_line=ends, one_way=True)
    assert told(GRAIN, both, arrow(Role.GRAIN, *ends)).wrong == ""
    assert told(GRAIN, one, arrow(Role.GRAIN, *ends, both=False)).wrong == ""
    assert "no arrow head" in told(GRAIN, both, arrow(Role.GRAIN, *ends, both=False)).wrong
    assert "not meant" in told(GRAIN, one, arrow(Role.GRAIN, *ends)).wrong
    assert "no arrow head" in told(GRAIN, one, arrow(Role.GRAIN, *reversed(ends), both=False)).wrong


@pytest.mark.parametrize("degrees", [1.0, 30.0, 90.0])
def test_a_grain_line_that_is_turned(degrees: float) -> None:
    ends = Point(40.0, 300.0), Point(40.0, 100.0)
    c, s = cos(degrees * pi / 180), sin(degrees * pi / 180)
    turned = [
        replace(stroke, points=tuple((40 + c * (x - 40) - s * (y - 200), 200 + s * (x - 40) + c * (y - 200))
                                     for x, y in stroke.points))
        for stroke in arrow(Role.GRAIN, *ends)
    ]  # fmt: skip
    assert told(GRAIN, Marks(grain_line=ends), turned).wrong != ""


def test_marks_on_both_halves_of_a_piece_that_is_unfolded() -> None:
    half = Marks(notches=(mark(notch(NotchKind.CHECK, angle=-80.0)),), drill_holes=((50.0, 60.0),))
    whole = half.unfolded((0.0, 0.0), (0.0, 1.0))
    assert whole.drill_holes == ((50.0, 60.0), (-50.0, 60.0))
    (ax, ay), (bx, by) = whole.notches[0].out, whole.notches[1].out
    assert (bx, by) == pytest.approx((-ax, ay))


# ---- lettering

TEXT = ("1 OF 5: FRONT", "size: 12", "cut 1 on the fold, shell")


def label(lines: tuple[str, ...] = TEXT, angle: float = 0.0) -> Label:
    return Label(lines, Point(150.0, 200.0), 6.0, 120.0, angle)


def read(meant: Label, drawn: Label) -> str:
    places = [
        Lettered(text, (at.x, at.y), size, meant.angle_deg)
        for (_, size, at), text in zip(label_lines(meant), meant.lines, strict=True)
    ]
    lines = lines_of(places, tuple(runs(list(label_strokes(drawn)))), lambda points: points)
    back = label(("2 OF 5: BACK", "size: 12", "cut 2 (a pair), shell"))
    beside = [Lettered(text, (at.x, at.y), size) for text, size, at in label_lines(back)]
    others = lines_of(beside, tuple(runs(list(label_strokes(back)))), lambda points: points)
    told = dict(misread({"front": lines, "back": others}))
    return told["front"] or told["back"]  # a sign that each has once may be the other's


@pytest.mark.parametrize("angle", [0.0, 90.0, 37.0])
def test_a_label_that_reads_as_it_should(angle: float) -> None:
    assert read(label(angle=angle), label(angle=angle)) == ""


@pytest.mark.parametrize(
    "lines",
    [
        ("1 OF 5: BACKX", *TEXT[1:]),  # as many signs, and others
        (TEXT[0], "size: 14", TEXT[2]),
        (TEXT[0], TEXT[1], "cut 2 on the fold, shell"),
        (TEXT[0], TEXT[1], "cut 1 on the fold"),
    ],
)
def test_a_label_that_reads_otherwise(lines: tuple[str, ...]) -> None:
    assert read(label(), label(lines)) != ""


def test_lettering_beyond_the_piece_or_too_little_of_it() -> None:
    drawn = ends_of(runs(list(label_strokes(label()))))
    assert judged_words(drawn, [SQUARE], TEXT, 3.0).wrong == ""
    assert "beyond the piece" in judged_words(drawn + 200.0, [SQUARE], TEXT, 3.0).wrong
    assert "not drawn" in judged_words(drawn[:20], [SQUARE], TEXT, 3.0).wrong
    assert "not drawn" in judged_words(drawn[:0], [SQUARE], TEXT, 3.0).wrong
