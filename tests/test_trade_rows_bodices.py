"""Worked numbers of the trade through the blocks and the moves of darts: fixtures/trade/worked_garments.csv, by id.

Each number is measured on pieces as they were drafted for what the row is worked from; lengths here are cm.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest

from by_the_tape import agrees, number, worked
from oaktag.body.measurements import Measurements
from oaktag.draft.board import Board
from oaktag.draft.pivots import pivot, refold, shorten
from oaktag.draft.sectors import Opening
from oaktag.draft.sleeve import SleeveOrder, draft_sleeve
from oaktag.garments.parts.sleeves import Armhole
from oaktag.model.length import cm
from oaktag.model.piece import Dart, Piece
from test_blocks import DRAFTED_FOR, angle_of, by_angle, dart, drafted, point, sewn

Row = dict[str, str]
_MAPPED: dict[str, tuple[str, Callable[[float], float]]] = {
    "bust": ("bust_girth", lambda x: x), "waist": ("waist_girth", lambda x: x),
    "armscye_depth": ("scye_depth", lambda x: x - 2.5), "neck": ("neck_base_girth", lambda x: x - 3),
    "shoulder": ("shoulder_length", lambda x: x + 2.25), "back_width": ("across_back_width", lambda x: x),
    "chest": ("across_chest_width", lambda x: x), "dart": ("bust_girth", lambda x: (x + 6.2) / 0.15),
}  # fmt: skip
"""The measures of the page as those of a body: drafting measures less the step from a survey's (worked rules 0); the
dart by the bust, 7 cm at 88 and 0.6 more for every 4 cm."""


def given(row: Row) -> dict[str, float]:
    return {entry.split("=")[0]: number(row, entry.split("=")[0]) for entry in row["inputs"].split(";")}


# ---------------------------------------------------------------- the close-fitting block


def close(row: Row) -> tuple[Piece, Piece]:
    """Front and back of the close-fitting block for what the row tells, all else as size 12 has it."""
    body = dict(DRAFTED_FOR)
    for name, value in given(row).items():
        if name in _MAPPED:
            own, of = _MAPPED[name]
            body[own] = 10 * of(value)
    body["waist_girth"] = body["bust_girth"] - 200
    if "chest" not in given(row):
        del body["across_chest_width"]  # it is scaled by the bust
    front, back, _, _ = drafted("close", body)
    return front, back


def from_nape(back: Piece, name: str) -> float:
    return point(back, name)[1] - point(back, "neck_centre")[1]


def shoulder_of(back: Piece) -> float:
    return math.dist(point(back, "neck_side"), point(back, "shoulder_tip"))


def under(front: Piece, back: Piece) -> float:
    return point(front, "underarm")[0] + point(back, "underarm")[0]


CLOSE: dict[str, Callable[[Piece, Piece], float]] = {
    "we-001": lambda f, b: from_nape(b, "underarm"),
    "we-002": under,
    "we-003": lambda f, b: point(b, "neck_side")[0],
    "we-004": lambda f, b: shoulder_of(b),
    "we-005": lambda f, b: point(b, "armhole_corner")[0],
    "we-006": lambda f, b: point(f, "neck_side")[0],
    "we-009": lambda f, b: from_nape(b, "shoulder_tip"),
    "we-010": lambda f, b: point(f, "underarm")[1],
    "we-011": lambda f, b: under(f, b) - point(b, "armhole_corner")[0] - point(f, "armhole_corner")[0],
    "we-012": lambda f, b: point(f, "bust_point")[0],
    "we-013": lambda f, b: point(f, "armhole_corner")[1] - point(f, "pitch")[1],
    "we-014": lambda f, b: point(b, "underarm")[0],
    "we-015": under,
    "we-016": lambda f, b: point(f, "armhole_corner")[0],
    "we-017": lambda f, b: point(b, "neck_side")[0],
    "we-018": lambda f, b: from_nape(b, "underarm"),
    "we-023": lambda f, b: 2 * under(f, b) - 88,
    "gw-074": lambda f, b: 2 * point(f, "armhole_corner")[0] - chord_at_neck(f),
    "gw-075": lambda f, b: chord_at_neck(f),
}


def chord_at_neck(front: Piece) -> float:
    """The bust dart as the page has it, between 20 and 27: its chord where it reaches the neck."""
    far = math.dist(point(front, "neck_side"), point(front, "bust_point"))
    return 2 * far * math.sin(math.radians(angle_of(front, "bust") / 2))


@pytest.mark.parametrize("name", sorted(CLOSE))
def test_the_close_fitting_block(name: str) -> None:
    agrees(name, CLOSE[name](*close(worked()[name])))


# ---------------------------------------------------------------- the block by angle

ANGLE: dict[str, Callable[[Piece, Piece, float], float]] = {
    **dict.fromkeys(("we-055", "we-066", "we-072", "we-078"), lambda f, b, _: under(f, b)),
    **dict.fromkeys(("we-056", "we-067", "we-073", "we-079"), lambda f, b, _: from_nape(b, "underarm")),
    **dict.fromkeys(("we-057", "we-068", "we-074", "we-080"), lambda f, b, _: point(b, "armhole_corner")[0]),
    **dict.fromkeys(("we-059", "we-069", "we-075", "we-081"),
                    lambda f, b, arm: under(f, b) - arm - point(b, "armhole_corner")[0] - leg_beyond(f, b)),
    **dict.fromkeys(("we-061", "we-070", "we-076", "we-082"), lambda f, b, _: point(f, "neck_side")[0]),
    **dict.fromkeys(("we-063", "we-071", "we-077", "we-083"), lambda f, b, _: angle_of(f, "bust")),
    "we-058": lambda f, b, _: point(f, "underarm")[1],
    "we-060": lambda f, b, _: leg_beyond(f, b),
    "we-062": lambda f, b, _: point(f, "neck_centre")[1],
    "we-064": lambda f, b, _: point(b, "neck_side")[0],
    "we-065": lambda f, b, _: dart(b, "shoulder").intake / 10,
    "we-111": lambda f, b, _: math.dist(point(f, "bust_point"), point(f, "dart_low")),
    "we-112": lambda f, b, _: math.dist(*ends(dart(f, "bust"))) / 10,
    "we-113": lambda f, b, _: math.dist(*ends(dart(f, "bust"))) / 10,
    "we-114": lambda f, b, _: sewn(f, "shoulder"),
    "we-115": lambda f, b, _: shoulder_of(b),
    "we-116": lambda f, b, _: point(b, "underarm")[1] - point(b, "shoulder_tip")[1],
    "we-117": lambda f, b, _: tip_with_dart_closed(f),
    "we-118": lambda f, b, _: natural_cap(f, b),
    "we-119": lambda f, b, arm: arm,
}  # fmt: skip


def ends(of: Dart) -> tuple[tuple[float, float], tuple[float, float]]:
    first, last = of.points[0], of.points[-1]
    return (first.x, first.y), (last.x, last.y)


def leg_beyond(front: Piece, back: Piece) -> float:
    """How far the lower leg of the dart ends beyond the chest line, which lies twice the bust point less 0.7 cm out."""
    return point(front, "dart_low")[0] - 2 * (point(front, "bust_point")[0] - 0.7)


def tip_with_dart_closed(front: Piece) -> float:
    tip, turn = dart(front, "bust").points[1], math.radians(-angle_of(front, "bust"))
    x, y = front.points["shoulder_tip"].x - tip.x, front.points["shoulder_tip"].y - tip.y
    return (x * math.sin(turn) + y * math.cos(turn)) / 10


def natural_cap(front: Piece, back: Piece) -> float:
    """How high a cap stands that may widen its sleeve so as not to stand higher."""
    hole = Armhole.of(front, back)
    narrow = SleeveOrder(300.0, hole.front.mm, hole.back.mm, 30.0, 600.0, hole.high.mm, biceps_ease=25.0,
                         may_widen=200.0)  # fmt: skip
    return draft_sleeve(narrow, "cm", hole.deeper).cap_height / 10


@pytest.mark.parametrize("name", sorted(ANGLE))
def test_the_block_by_angle(name: str) -> None:
    row = worked()[name]
    front, back, _, steps = by_angle(number(row, "B"))
    agrees(name, ANGLE[name](front, back, steps["armhole width"] / 10))


def shares(total: float) -> dict[str, float]:
    """What the waist darts take in of a surplus, cm; c as it was worked, before the side was moved so that the waist is
    just so (by 0.02 cm)."""
    front, back, _, steps = by_angle(83, 2 * (83 / 2 + 6 - total) - 6)
    assert steps["the bust over the waist, in a half"] / 10 == pytest.approx(total)
    own = {"a": dart(front, "waist"), "b": dart(front, "waist_2"), "d": dart(back, "waist_2"), "e": dart(back, "waist")}
    centre = point(back, "waist_centre")[0]
    return {name: each.intake / 10 for name, each in own.items()} | {"c": steps["dart c"] / 10, "f": centre}


def test_the_bust_over_the_waist() -> None:
    row = worked()["we-100"]
    *_, steps = by_angle(number(row, "B"), number(row, "W"))
    agrees("we-100", steps["the bust over the waist, in a half"] / 10)


@pytest.mark.parametrize(("name", "which"), [
    ("we-101", "f"), ("we-102", "e"), ("we-103", "d"), ("we-104", "c"), ("we-105", "b"), ("we-106", "a"),
])  # fmt: skip
def test_what_each_waist_dart_takes_in(name: str, which: str) -> None:
    """Drafted for a surplus of 11 cm and told in proportion: of the rows' 12.5 the dart d would take more than 4 cm,
    and what is above that goes to e and c (worked rules 2.2)."""
    agrees(name, shares(11.0)[which] * number(worked()[name], "total") / 11)


def test_the_waist_darts_take_in_all_of_it() -> None:
    total = number(worked()["we-110"], "total")
    agrees("we-110", sum(shares(total).values()))
    front, back, _, _ = by_angle(83, 2 * (83 / 2 + 6 - total) - 6)
    agrees("we-110", under(front, back) - sewn(front, "waist") - sewn(back, "waist"))


# ---------------------------------------------------------------- darts, and what moves make of them


def panel(wide: float, high: float, *darts: tuple[str, str, float, float, float]) -> Piece:
    """A panel with a seam at each side, cm: darts by name, edge, how far along it, intake and depth."""
    s = Board("panel", Measurements({}), {}, "cm").sketch("panel")
    s.box(cm(wide), cm(high), ("left", "low", "right", "top"))
    for name, edge, at, intake, deep in darts:
        corner = {"top": "top_left", "right": "top_right", "low": "bottom_left"}[edge]
        s.dart(name, edge, at=cm(at), of=corner, intake=cm(intake), deep=cm(deep))
    return s.piece()


def leg_deep(intake: float, leg: float) -> float:
    """How deep a dart is whose legs are so long."""
    return math.sqrt(leg**2 - intake**2 / 4)


def wide_of(of: Piece, name: str) -> float:
    return math.dist(*ends(dart(of, name))) / 10


def test_the_side_dart_takes_what_the_front_has_over_the_back() -> None:
    row = worked()["gw-070"]
    lengths = {"side_neck_to_waist": 10 * number(row, "back"), "front_waist_length": 10 * number(row, "front")}
    body = {**DRAFTED_FOR, "shoulder_width": 390.0, "bust_point_width": 190.0, **lengths}
    front, _, _, _ = drafted("quarter", body)
    agrees("gw-070", wide_of(front, "bust"))


def test_the_angle_of_a_dart() -> None:
    """The angle by which the cloth turns when it is moved: that of the dart it becomes."""
    row = worked()["gw-071"]
    width, leg = number(row, "width"), number(row, "length")
    made = panel(30, 50, ("bust", "right", 20, width, leg_deep(width, leg)))
    agrees("gw-071", angle_of(pivot(made, "bust", Opening("top", 100.0, name="bust")), "bust"))


def shut(name: str, chord: float, radius: float, above: float) -> Piece:
    """A panel with a dart in its right edge whose legs are so long, its point so far below the top."""
    deep = leg_deep(chord, radius)
    return panel(deep + 20, above + 30, (name, "right", above, chord, deep))


def right_above(of: Piece, name: str) -> float:
    """How far along the top, from its right end, the place above a dart's point lies, mm."""
    return of.edge("top").start.x - dart(of, name).points[1].x


def test_a_dart_moved_to_another_radius() -> None:
    row = worked()["gw-076"]
    made = shut("bust", number(row, "old_chord"), number(row, "old_radius"), number(row, "new_radius"))
    agrees("gw-076", wide_of(pivot(made, "bust", Opening("top", right_above(made, "bust"), name="bust")), "bust"))


def test_what_is_left_of_a_dart_when_a_part_is_moved() -> None:
    row = worked()["gw-077"]
    made = shut("bust", number(row, "chord"), number(row, "radius"), 25)
    part = number(row, "moved_deg") / angle_of(made, "bust")
    parted = pivot(made, "bust", Opening("top", right_above(made, "bust"), share=part, name="shoulder"))
    assert angle_of(parted, "shoulder") == pytest.approx(number(row, "moved_deg"), abs=0.001)
    agrees("gw-077", wide_of(parted, "bust"))


def test_the_angle_grows_when_the_point_is_pulled_back() -> None:
    """The row's length is that of the legs; the point goes back along the middle, which makes 0.016 degrees less."""
    row = worked()["gw-078"]
    deep = leg_deep(number(row, "intake"), number(row, "length"))
    made = panel(40, 50, ("bust", "right", 25, number(row, "intake"), deep))
    shorter = shorten(made, "bust", 10 * number(row, "shorten"))
    agrees("gw-078", angle_of(shorter, "bust") - angle_of(made, "bust"))


def test_what_opens_below_a_yoke() -> None:
    """A shoulder dart closed about its point on the yoke line; what is below opens as a pleat, 10 cm further down."""
    row = worked()["gw-079"]
    deep = leg_deep(number(row, "intake"), number(row, "dart_length"))
    made = panel(30, deep + number(row, "below"), ("shoulder", "top", 15, number(row, "intake"), deep))
    opened = pivot(made, "shoulder", Opening("low", 150.0, "pleat", name="yoke"))
    (take,) = opened.edge("low").takes
    agrees("gw-079", (take.end - take.start) / 10)


def test_gathers_in_place_of_two_darts() -> None:
    row = worked()["gw-080"]
    made = panel(40, 30, ("one", "top", 10, number(row, "d1"), 12), ("two", "top", 25, number(row, "d2"), 12))
    gathered = refold(refold(made, "one", "gathers"), "two", "gathers")
    top = gathered.edge("top")
    assert {take.kind for take in top.takes} == {"gathers"}
    agrees("gw-080", sum(take.end - take.start for take in top.takes) / 10)
