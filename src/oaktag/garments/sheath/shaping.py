"""What takes the waist in: one or two double-ended darts in each half, and the side seam; and the bust dart."""

from __future__ import annotations

from collections.abc import Sequence
from math import sqrt
from typing import Final

from ...draft.board import Board
from ...draft.sketch import Sketch
from ...errors import DraftError
from ...geometry.point import Point
from ...model.length import Length, found, inch, least, mm
from ...model.piece import Dart
from ...units import INCH, Unit, show, show_at_least, show_at_most
from ...values import dataclass

BESIDE_DART: Final = 25.0
"""Between two waist darts, and between the waist dart and the side seam, at least, mm (common practice, no source)."""
BELOW_BUST_POINT: Final = mm(25)
"""The front waist dart ends this far below the bust point (2 to 3 cm: a drafting textbook's front dart, from
memory)."""
BELOW_BUST_DART: Final = mm(15)
"""And this far below the point of a bust dart at least (common practice, no source)."""
ABOVE_BUST_DART: Final = 20.0
UNDER_BUST_DART: Final = 40.0
"""From the chest line to a bust dart, and from there to the waist line, at the side, mm; half of it where there is no
room for both (common practice, no source)."""
BELOW_CHEST: Final = inch(1.5)
"""The back waist dart ends this far below the chest line, the front's where the bust point is not known."""
ABOVE_WAIST: Final = mm(30)
"""A waist dart that would be shorter than this above the waist is drawn up to here (common practice, no source)."""
LEAST_DART: Final = INCH / 4
"""A narrower dart is not worth sewing, mm (common practice, no source)."""
WIDEST_DART: Final = 1.5 * INCH
"""One dart takes in no more than this, mm (common practice, no source; the check dart.intake)."""
SHORTER: Final = inch(1)
"""The second dart, towards the side, is shorter by this at either end (common practice, no source)."""
MOST_AT_SIDE: Final = 40.0
"""A side seam takes in no more than this at the waist at one edge, mm (4 cm, the rule for skirts; common practice, no
source)."""
_NEAR: Final = 1e-6
EASY_PEG: Final = INCH
"""A knee-length hem is usually pegged by 15 to 25 mm at each side edge (common practice, no source). The method pegs to
the waist's width and opens the back for the step, which `walk.stride` proves: so more is a note."""


WAIST_DART: Final = "waist dart"
SECOND_DART: Final = "second waist dart"
BUST_DART: Final = "bust dart"
"""What worked steps are about: see `Step.about`."""


@dataclass(frozen=True, slots=True)
class BustDart:
    """A dart from the side seam, for the length that the front needs over the bust.

    All of the front below `depth` (its upper leg at the side, below the top line) is drawn `drop` lower.
    """

    depth: float
    drop: float
    tip: Point


@dataclass(frozen=True, slots=True)
class Quarter:
    """Half widths at bust, waist (without darts) and hip, and what the darts of a half take in together."""

    bust: Length
    waist: Length
    hip: Length
    darts: Length
    count: int = 1
    """How many waist darts are asked for."""

    @property
    def waist_side(self) -> Length:
        """The half width at the waist, the darts open."""
        label = "waist side, across the waist line"
        if self.darts.mm <= 0:
            return self.waist.called(label)
        words = "{} for the darts" if self.count > 1 else "{} for the dart"
        return (self.waist + self.darts.told(words, self.darts)).called(label)

    @property
    def at_side(self) -> float:
        """What the side seam takes in at the waist, mm."""
        return max(self.bust, self.hip).mm - self.waist.mm - self.darts.mm


def quarters(on: Board, eases: Sequence[Length], intake: Length | None, count: int) -> Quarter:
    """A quarter of bust, waist and hip, each with its wearing ease."""
    body = on.body
    bust, waist, hip = (
        (girth + ease) / 4
        for girth, ease in zip((body.bust_girth, body.waist_girth, body.hip_girth), eases, strict=True)
    )
    darts = _room_for_darts(on, least(bust, hip) - waist, count) if intake is None else intake.told("as asked for")
    return Quarter(
        bust.called("underarm, across the chest line"),
        waist,
        hip.called("hip side, across the hip line"),
        darts.called("waist dart, intake"),
        count,
    )


def _room_for_darts(on: Board, narrower: Length, count: int) -> Length:
    """What the waist darts of a half take in together: 1 in each, less where the waist leaves no room: the side may
    not stand out beyond bust or hip."""
    one = on.usual(inch(1))
    usual, room = one * count, max(0.0, narrower.mm)
    if room >= usual.mm - _NEAR:
        return usual.told("{} a dart", one) if count > 1 else one
    words = "what the waist is narrower than bust line and hip line, no more than {}"
    intake = found(room if room >= LEAST_DART - _NEAR else 0.0, words, usual)
    on.note(
        f"The waist is nearly as wide as bust or hip: the waist darts take in {on.say(intake)} in each half "
        f"instead of {on.say(usual)}."
        if intake.mm > 0
        else "The waist is as wide as bust or hip: no waist darts were drafted."
    )
    return intake


def dart_places(count: int, intake: float, first: float, side: float) -> tuple[tuple[float, float], ...]:
    """Of each waist dart how far it lies from the centre, and what it takes in, mm: the second half way to the side."""
    if intake <= 0:
        return ()
    if count == 1:
        return ((first, intake),)
    each = intake / 2
    return (first, each), ((first + each / 2 + side) / 2, each)


def bust_level(on: Board, s: Sketch) -> Length | None:
    """How far the bust point lies below the top line, so that the tape from the side neck point finds it there.

    The side neck point of the body is the method's own, bust ÷ 12 from the centre, whatever the neckline is.
    """
    height, body = on.body.get("bust_height"), on.body
    if height is None:
        return None
    across = (body.bust_point_width / 2 - body.bust_girth / 12).mm
    words = "bust height, slanting from bust girth ÷ 12 to bust point width ÷ 2"
    level = found(sqrt(max(0.0, height.mm**2 - across**2)), words).called("bust point, down")
    s.tell(level, about=(WAIST_DART, BUST_DART))
    return level


def usual_bust_level(on: Board) -> Length:
    """Where bust_height was not measured."""
    return on.body.bust_girth / 5 + mm(83)


def waist_darts(
    on: Board, s: Sketch, quarter: Quarter, end_rise: Length, top_drop: Length | None, side_dart: BustDart | None,
    level: Length | None, depths: tuple[Length, Length, Length],
) -> tuple[Dart, ...]:  # fmt: skip
    """The waist darts as drawn on the piece; `depths` are those of chest, waist and hip line.

    A bust dart draws all but their upper points `drop` lower. Raises DraftError for one with a point on or beyond the
    waist line.
    """
    if quarter.darts.mm <= 0:
        return ()
    chest, waist, hip = depths
    drop, first = side_dart.drop if side_dart else 0.0, on.body.bust_point_width / 2
    s.tell(first, "waist dart, across", "dart_top.x", about=WAIST_DART)
    top, lowered = _upper_point(on, s, top_drop, side_dart, level, chest, waist)
    s.tell(top, "dart, upper point, down", "dart_top.y")
    s.tell(hip - end_rise, "dart, lower point, down", "dart_end.y")
    s.tell((quarter.darts / quarter.count).plain / 2, "dart, each side at the waist", about=WAIST_DART)
    high, end, low = top.mm + lowered, (hip - end_rise).mm + drop, waist.mm + drop
    darts: list[Dart] = []
    for x, intake in dart_places(quarter.count, quarter.darts.mm, first.mm, quarter.waist_side.mm):
        if darts:
            high = min(max(high, chest.mm + drop) + SHORTER.mm, low - ABOVE_WAIST.mm)
            end = max(end - SHORTER.mm, low + ABOVE_WAIST.mm)
            half_way = found(x, "half way between the first dart and the side")
            s.tell(half_way, "second dart, across", "second_dart_top.x", about=SECOND_DART)
            lower, higher = found(high, "{} lower, if there is room", SHORTER), found(end - drop, "{} higher", SHORTER)
            s.tell(lower, "second dart, upper point, down", "second_dart_top.y")
            s.tell(higher, "second dart, lower point, down", "second_dart_end.y")
        if not high + 15 < low < end - 15:
            raise DraftError(
                f"{s.name}: the dart runs from {on.say(high)} to {on.say(end)} and does not reach over the waist line "
                f"at {on.say(low)}. Change dart_top_drop or dart_end_rise."
            )
        outer, inner = Point(x + intake / 2, -low), Point(x - intake / 2, -low)
        name = "second waist" if darts else "waist"
        darts.append(Dart(name, (Point(x, -high), outer, Point(x, -end), inner), intake))
    return tuple(darts)


def _upper_point(
    on: Board, s: Sketch, asked: Length | None, side_dart: BustDart | None, level: Length | None, chest: Length,
    waist: Length,
) -> tuple[Length, float]:  # fmt: skip
    """How far the upper point of the waist dart lies below the top line on the body, and how much lower it is drawn."""
    drop = side_dart.drop if side_dart else 0.0
    if asked is not None:
        return chest + asked, drop
    top, lowered = chest + on.usual(BELOW_CHEST), drop
    if s.name == "front" and level is not None:
        top, lowered = level.told("bust point") + BELOW_BUST_POINT, 0.0
        if top < chest:
            top = chest.told("on the chest line, which lies lower than the bust point")
    elif s.name == "front":
        on.note(
            f"bust_height was not measured: the front waist dart ends {on.say(on.usual(BELOW_CHEST))} below the chest "
            "line, wherever the bust point is."
        )
    if side_dart and top.mm + lowered < -side_dart.tip.y + BELOW_BUST_DART.mm:
        top, lowered = found(-side_dart.tip.y, "point of the bust dart") + BELOW_BUST_DART, 0.0
    if top.mm + lowered > waist.mm + drop - ABOVE_WAIST.mm:
        top, lowered = waist - ABOVE_WAIST, drop
        if s.name == "front":
            on.note(f"The front waist dart was shortened: its point lies {on.say(ABOVE_WAIST)} above the waist line.")
    return top, lowered


def named_points(darts: tuple[Dart, ...]) -> dict[str, Point]:
    """The ends of the waist darts by name."""
    names = {"waist": "dart", "second waist": "second_dart"}
    return {f"{names[d.name]}_{end}": d.points[number] for d in darts for number, end in ((0, "top"), (2, "end"))}


def _fit(count: int, waist: float, intake: float, first: float) -> bool:
    """Whether so many darts, the first that far from the centre, have room on a half waist beside each other."""
    places = dart_places(count, intake, first, waist + intake)
    if not places:
        return True
    edges = [x + side * each / 2 for x, each in places for side in (-1, 1)]
    gaps = [b - a for a, b in zip(edges[1::2], [*edges[2::2], waist + intake], strict=True)]
    return min(gaps) >= BESIDE_DART and edges[0] >= 10


def darts_fit(name: str, quarter: Quarter, first: float, unit: Unit) -> None:
    """Refuse waist darts that have no room beside each other or beside centre and side. Raises DraftError."""
    waist, intake, count = quarter.waist.mm, quarter.darts.mm, quarter.count
    if not _fit(count, waist, intake, first):
        x, first_of_all = first, "Check bust_point_width"
        if count > 1:
            x, first_of_all = dart_places(count, intake, first, waist + intake)[-1][0], "Set waist_darts = 1"
        raise DraftError(
            f"{name}: the dart, {show(x, unit)} from the centre, does not fit into a waist of "
            f"{show(waist + intake, unit)}. {first_of_all}, or change dart_intake."
        )


def bust_dart(on: Board, s: Sketch, level: Length | None, waist: Length, length: str) -> BustDart | None:
    """What the front is longer than the back, taken as a dart at the side, level with the bust point.

    Both from the side neck point to the waist. Derived (no published source): closed to the back's side seam.
    """
    body, front_length = on.body, on.body.front_waist_length
    more = front_length - waist
    drop, chest, low = more.mm, -s.points["underarm"].y, waist.mm
    s.tell(more, "bust dart, intake at the side", about=BUST_DART)
    if drop < 5:
        on.note(
            f"The front waist length, {on.say(front_length)}, is hardly longer than the back's from the side neck "
            f"point to the waist, {on.say(waist)}: no bust dart was drafted."
        )
        return None
    if level is None:
        level = usual_bust_level(on)
        s.tell(level, "bust level, down", about=BUST_DART)
        on.note(f"bust_height was not measured; assumed {on.say(level)} = bust girth ÷ 5 + {on.say(83)}.")
    share = min(1.0, (low - chest - drop) / (ABOVE_BUST_DART + UNDER_BUST_DART))
    if share < 0.5:
        raise DraftError(
            f"front: a bust dart of {on.say(drop)} does not fit between the chest line and the waist line. Check "
            f"front_waist_length and {length}."
        )
    highest, lowest = chest + share * ABOVE_BUST_DART + drop / 2, low - share * UNDER_BUST_DART - drop / 2
    placed = max(min(level.mm, lowest), highest)
    s.tell(found(placed, "bust point"), "bust dart, level with the bust point, down", about=BUST_DART)
    if abs(placed - level.mm) > 0.5:
        on.note(f"The bust dart was moved from {on.say(level)} to {on.say(placed)} below the top line.")
    tip = body.bust_point_width / 2 + mm(20)
    s.tell(tip, "bust dart point, across", about=BUST_DART)
    return BustDart(placed - drop / 2, drop, Point(tip.mm, -placed))


# ---------------------------------------------------------------- advice for the checks


def less_at_side(quarter: Quarter, first: float, intake_asked: bool, unit: Unit) -> str:
    """What brings the side seam at the waist within MOST_AT_SIDE: wider darts, a second one, more ease; numbers that
    are enough."""
    wanted = quarter.darts.mm + quarter.at_side - MOST_AT_SIDE
    if wanted <= 0:
        return ""
    now, step = quarter.count, INCH / 8  # a length is rounded up by as much at most
    bust, waist = quarter.bust.mm, quarter.waist.mm
    over = waist + wanted + step - bust
    more = show_at_least(4 * over, unit)
    wider = f" So that the side does not stand out above the waist, add {more} to ease_bust." if over > 0 else ""
    for count in range(now, 3):
        if wanted > count * WIDEST_DART - step or not _fit(count, waist, wanted + step, first):
            continue
        if count == now:
            return f"Let the waist darts take it: set dart_intake to {show_at_least(wanted, unit)}.{wider}"
        if not intake_asked and wanted <= min(2 * INCH, bust - waist):
            return "Set waist_darts = 2."
        return f"Set waist_darts = 2 and dart_intake to {show_at_least(wanted, unit)}, for both together.{wider}"
    count = 2 if now == 2 or _fit(2, waist, 2 * WIDEST_DART, first) else 1
    most = count * WIDEST_DART
    second = "waist_darts = 2 and " if count > now else ""
    rest = show_at_least(4 * (wanted - most + step), unit)
    return f"Set {second}dart_intake to {show_at_most(most, unit)}, and add {rest} to ease_waist."


def less_at_hem(unit: Unit) -> str:
    """What makes a pegged hem as wide as is usual."""
    return f'For a longer step without the opening set peg to {show_at_most(EASY_PEG, unit)}, or hem = "straight".'


def nearer_bust_point(wanted: float, top_drop_asked: bool, length: str, unit: Unit) -> str:
    """What brings the front waist dart near the bust point, for which it begins `wanted` mm below the chest line."""
    if top_drop_asked:
        instead = f", or set it to {show(wanted, unit)}" if 0 <= wanted <= 150 else ""
        return f"Leave dart_top_drop out{instead}."
    return f"Check bust_height, front_waist_length and {length}."


def less_bulge(quarter: Quarter, intake_asked: bool, unit: Unit) -> str:
    """What keeps the side from standing out at the waist, below the underarm; empty where it does not."""
    bust, waist, darts = quarter.bust.mm, quarter.waist.mm, quarter.darts.mm
    over = waist + darts - bust
    if over <= 0:
        return ""
    say = f"The side stands out at the waist, {show_at_least(over, unit)} beyond the bust line; no curve mends that. "
    if darts > 0 and intake_asked and waist <= bust:
        return f'{say}Set dart_intake = "auto".'
    none = 'set dart_intake = "auto" and ' if darts > 0 else ""
    return f"{say}To mend it, {none}add {show_at_least(4 * (waist - bust), unit)} to ease_bust."
