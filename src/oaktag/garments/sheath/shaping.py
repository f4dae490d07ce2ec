"""What takes the waist in: one or two double-ended darts in each half, and the side seam; and the bust dart."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import pairwise
from math import sqrt
from typing import Final

from ...body.measurements import Measurements
from ...draft.worksheet import Worksheet
from ...errors import DraftError
from ...geometry.point import Point
from ...model.piece import Dart
from ...units import INCH, Unit, rounded, show, show_at_least, show_at_most
from ...values import dataclass
from .style import Asked

BESIDE_DART: Final = 25.0
"""Between two waist darts, and between the waist dart and the side seam, at least, mm (common practice, no source)."""
BELOW_BUST_POINT: Final = 25.0
"""The front waist dart ends this far below the bust point, mm (2 to 3 cm: a drafting textbook's front dart, from
memory)."""
BELOW_BUST_DART: Final = 15.0
"""And this far below the point of a bust dart at least, mm (common practice, no source)."""
ABOVE_BUST_DART: Final = 20.0
UNDER_BUST_DART: Final = 40.0
"""From the chest line to a bust dart, and from there to the waist line, at the side, mm; half of it where there is no
room for both (common practice, no source)."""
BELOW_CHEST: Final = 1.5 * INCH
"""The back waist dart ends this far below the chest line, the front's where the bust point is not known, mm."""
ABOVE_WAIST: Final = 30.0
"""A waist dart that would be shorter than this above the waist is drawn up to here, mm (common practice, no source)."""
LEAST_DART: Final = INCH / 4
"""A narrower dart is not worth sewing, mm (common practice, no source)."""
WIDEST_DART: Final = 1.5 * INCH
"""One dart takes in no more than this, mm (common practice, no source; the check dart.intake)."""
SHORTER: Final = INCH
"""The second dart, towards the side, is shorter by this at either end, mm (common practice, no source)."""
MOST_AT_SIDE: Final = 40.0
"""A side seam takes in no more than this at one edge, mm (4 cm, the rule for skirts; common practice, no source)."""
_NEAR: Final = 1e-6
EASY_PEG: Final = INCH
"""A pegged hem is taken in by 15 to 25 mm at each side edge (common practice, no source)."""


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
    """Half widths at bust, waist (without darts) and hip, mm, and what the darts of a half take in together."""

    bust: float
    waist: float
    hip: float
    darts: float

    @property
    def waist_side(self) -> float:
        return self.waist + self.darts

    @property
    def at_side(self) -> float:
        """What the side seam takes in at the waist."""
        return max(self.bust, self.hip) - self.waist_side


WAIST_DART: Final = "waist dart"
SECOND_DART: Final = "second waist dart"
BUST_DART: Final = "bust dart"
"""What worked steps are about: see `Step.about`."""


def dart_count(asked: Asked) -> int:
    return int(asked.choice("waist_darts"))


def taken_in(asked: Asked, bust: float, waist: float, hip: float, unit: Unit, w: Worksheet, notes: list[str]) -> float:
    """What the waist darts of a half take in together, mm: as asked for; else 1 in each, less where the waist leaves
    no room: the side may not stand out beyond bust or hip."""
    given = asked.given("dart_intake")
    if given is not None:
        return w.about(WAIST_DART)("waist dart, intake", "as asked for", given)
    one = rounded(INCH, unit)
    usual = dart_count(asked) * one
    room = max(0.0, min(bust, hip) - waist)
    if room >= usual - _NEAR:
        words = "{usual} a dart" if usual > one else "{usual}"
        return w.about(WAIST_DART)("waist dart, intake", words, usual, usual=one)
    intake = w.about(WAIST_DART)(
        "waist dart, intake",
        "what the waist is narrower than bust line and hip line, no more than {usual}",
        room if room >= LEAST_DART - _NEAR else 0.0,
        usual=usual,
    )
    notes.append(
        f"The waist is nearly as wide as bust or hip: the waist darts take in {show(intake, unit)} in each half "
        f"instead of {show(usual, unit)}."
        if intake > 0
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


def bust_level(body: Mapping[str, float], bust_points: float, w: Worksheet) -> float | None:
    """How far the bust point lies below the top line, mm, so that the tape from the side neck point finds it there.

    The side neck point of the body is the method's own, bust ÷ 12 from the centre, whatever the neckline is.
    """
    height = body.get("bust_height")
    if height is None:
        return None
    across = bust_points / 2 - body["bust_girth"] / 12
    level = sqrt(max(0.0, height**2 - across**2))
    words = "bust height, slanting from bust girth ÷ 12 to bust point width ÷ 2"
    return w.about(WAIST_DART, BUST_DART)("bust point, down", words, level)


def upper_point(
    name: str,
    body: Measurements,
    asked: Asked,
    unit: Unit,
    points: Mapping[str, Point],
    level: float | None,
    bust_dart: BustDart | None,
    w: Worksheet,
    notes: list[str],
) -> float:
    """How far the upper point of the waist dart lies below the top line, as drawn on the piece, mm."""
    drop = bust_dart.drop if bust_dart else 0.0
    chest, waist = -points["underarm"].y, -points["waist_side"].y + drop
    lowered = 0.0  # what of it the bust dart adds, which the formula leaves out
    given = asked.given("dart_top_drop")
    if given is not None:
        return drop + w("dart, upper point, down", "chest line + {drop}", chest + given, "dart_top.y", drop=given)
    if name == "front" and level is not None:
        formula, least, lengths = "bust point + {below}", level + BELOW_BUST_POINT, {"below": BELOW_BUST_POINT}
        if least < chest:
            formula, least, lengths = "on the chest line, which lies lower than the bust point", chest, {}
    else:
        below = rounded(BELOW_CHEST, unit)
        formula, least, lengths = "chest line + {drop}", chest + below + drop, {"drop": below}
        lowered = drop
        if name == "front":
            notes.append(
                "bust_height was not measured: the front waist dart ends "
                f"{show(below, unit)} below the chest line, wherever the bust point is."
            )
    if bust_dart is not None and least < -bust_dart.tip.y + BELOW_BUST_DART:
        formula, lengths = "point of the bust dart + {below}", {"below": BELOW_BUST_DART}
        least, lowered = -bust_dart.tip.y + BELOW_BUST_DART, 0.0
    if least > waist - ABOVE_WAIST:
        notes.append(
            f"The {name} waist dart was shortened: its point lies {show(ABOVE_WAIST, unit)} above the waist line."
        )
        formula, least, lengths = "waist line − {above}", waist - ABOVE_WAIST, {"above": ABOVE_WAIST}
        lowered = drop
    return lowered + w("dart, upper point, down", formula, least - lowered, "dart_top.y", **lengths)


def waist_darts(
    places: tuple[tuple[float, float], ...],
    top: float,
    end: float,
    waist: float,
    chest: float,
    drop: float,
    w: Worksheet,
) -> tuple[Dart, ...]:
    """The waist darts as drawn on the piece, from upper and lower point of the first, mm below the top line.

    All but the upper point are given as on the body: a bust dart draws them `drop` lower.
    """
    end, waist, chest = end + drop, waist + drop, chest + drop
    darts: list[Dart] = []
    for number, (x, intake) in enumerate(places):
        if number:
            words = "half way between the first dart and the side"
            w.about(SECOND_DART)("second dart, across", words, x, "second_dart_top.x")
            top = min(max(top + SHORTER, chest + SHORTER), waist - ABOVE_WAIST)
            w(
                "second dart, upper point, down",
                "{less} lower, if there is room",
                top,
                "second_dart_top.y",
                less=SHORTER,
            )
            end = max(end - SHORTER, waist + ABOVE_WAIST)
            w("second dart, lower point, down", "{less} higher", end - drop, "second_dart_end.y", less=SHORTER)
        outer, inner = Point(x + intake / 2, -waist), Point(x - intake / 2, -waist)
        darts.append(
            Dart("second waist" if number else "waist", (Point(x, -top), outer, Point(x, -end), inner), intake)
        )
    return tuple(darts)


def named_points(darts: tuple[Dart, ...]) -> dict[str, Point]:
    """The ends of the waist darts by name."""
    names = {"waist": "dart", "second waist": "second_dart"}
    return {
        f"{names[dart.name]}_{end}": dart.points[number]
        for dart in darts
        for number, end in ((0, "top"), (2, "end"))
    }  # fmt: skip


def _fit(count: int, waist: float, intake: float, first: float) -> bool:
    """Whether so many darts, the first that far from the centre, have room on a half waist beside each other."""
    places = dart_places(count, intake, first, waist + intake)
    if not places:
        return True
    x, each = places[-1]
    gaps = [waist + intake - x - each / 2, *(b[0] - a[0] - each for a, b in pairwise(places))]
    return min(gaps) >= BESIDE_DART and first - each / 2 >= 10


def darts_fit(name: str, count: int, quarter: Quarter, first: float, unit: Unit) -> None:
    """Refuse waist darts that have no room beside each other or beside centre and side. Raises DraftError."""
    if _fit(count, quarter.waist, quarter.darts, first):
        return
    x = dart_places(count, quarter.darts, first, quarter.waist_side)[-1][0]
    first_of_all = "Set waist_darts = 1" if count > 1 else "Check bust_point_width"
    raise DraftError(
        f"{name}: the dart, {show(x, unit)} from the centre, does not fit into a waist of "
        f"{show(quarter.waist_side, unit)}. {first_of_all}, or change dart_intake."
    )


def bust_dart(
    body: Measurements,
    asked: Asked,
    unit: Unit,
    points: Mapping[str, Point],
    bust_points: float,
    level: float | None,
    length: str,
    w: Worksheet,
    notes: list[str],
) -> BustDart | None:
    """What the front is longer than the back, taken as a dart at the side, level with the bust point.

    Both from the side neck point to the waist. Derived (no published source): closed to the back's side seam.
    """
    if asked.choice("bust_dart") == "none":
        return None
    front_length, back_length = body.get("front_waist_length"), -points["waist_side"].y
    if front_length is None:
        raise DraftError(
            "front: the front length was not measured, so the bust dart cannot be worked out. Take front_waist_length "
            '(side neck point over the bust to the waist), or set bust_dart to "none".'
        )
    drop = front_length - back_length
    w.about(BUST_DART)("bust dart, intake at the side", "front waist length − waist line", drop)
    if drop < 5:
        notes.append(
            f"The front waist length, {show(front_length, unit)}, is hardly longer than the back's from the side neck "
            f"point to the waist, {show(back_length, unit)}: no bust dart was drafted."
        )
        return None
    if level is None:
        level = body["bust_girth"] / 5 + 83
        w.about(BUST_DART)("bust level, down", "bust girth ÷ 5 + {more}", level, more=83.0)
        notes.append(f"bust_height was not measured; assumed {show(level, unit)} = bust girth ÷ 5 + {show(83, unit)}.")
    chest, waist = -points["underarm"].y, -points["waist_side"].y
    share = min(1.0, (waist - chest - drop) / (ABOVE_BUST_DART + UNDER_BUST_DART))
    highest, lowest = chest + share * ABOVE_BUST_DART + drop / 2, waist - share * UNDER_BUST_DART - drop / 2
    if share < 0.5:
        raise DraftError(
            f"front: a bust dart of {show(drop, unit)} does not fit between the chest line and the waist line. Check "
            f"front_waist_length and {length}."
        )
    placed = max(min(level, lowest), highest)
    w.about(BUST_DART)("bust dart, level with the bust point, down", "bust point", placed)
    if abs(placed - level) > 0.5:
        notes.append(f"The bust dart was moved from {show(level, unit)} to {show(placed, unit)} below the top line.")
    tip_x = bust_points / 2 + 20
    w.about(BUST_DART)("bust dart point, across", "bust point width ÷ 2 + {short}", tip_x, short=20.0)
    return BustDart(placed - drop / 2, drop, Point(tip_x, -placed))


# ---------------------------------------------------------------- advice for the checks


def less_at_side(asked: Asked, quarter: Quarter, first: float, unit: Unit) -> str:
    """What brings the side seam at the waist within MOST_AT_SIDE: wider darts, a second one, more ease; numbers that
    are enough."""
    wanted = quarter.darts + quarter.at_side - MOST_AT_SIDE
    if wanted <= 0:
        return ""
    now, step = dart_count(asked), INCH / 8  # a length is rounded up by as much at most
    over = quarter.waist + wanted + step - quarter.bust
    more = show_at_least(4 * over, unit)
    bust = f" So that the side does not stand out above the waist, add {more} to ease_bust." if over > 0 else ""
    for count in range(now, 3):
        if wanted > count * WIDEST_DART - step or not _fit(count, quarter.waist, wanted + step, first):
            continue
        if count == now:
            return f"Let the waist darts take it: set dart_intake to {show_at_least(wanted, unit)}.{bust}"
        if asked.given("dart_intake") is None and wanted <= min(2 * INCH, quarter.bust - quarter.waist):
            return "Set waist_darts = 2."
        return f"Set waist_darts = 2 and dart_intake to {show_at_least(wanted, unit)}, for both together.{bust}"
    count = 2 if now == 2 or _fit(2, quarter.waist, 2 * WIDEST_DART, first) else 1
    most = count * WIDEST_DART
    second = "waist_darts = 2 and " if count > now else ""
    rest = show_at_least(4 * (wanted - most + step), unit)
    return f"Set {second}dart_intake to {show_at_most(most, unit)}, and add {rest} to ease_waist."


def less_at_hem(unit: Unit) -> str:
    """What brings a pegged hem within MOST_AT_SIDE."""
    easy = show_at_most(EASY_PEG, unit)
    return f'A hem is pegged by 5/8 to 1 in (15 to 25 mm) at each side: set peg to {easy}, or hem = "straight".'


def nearer_bust_point(asked: Asked, level: float, chest: float, drop: float, unit: Unit, length: str) -> str:
    """What brings the front waist dart near the bust point."""
    wanted = level + BELOW_BUST_POINT - chest - drop
    if asked.given("dart_top_drop") is not None:
        instead = f", or set it to {show(wanted, unit)}" if 0 <= wanted <= 150 else ""
        return f"Leave dart_top_drop out{instead}."
    return f"Check bust_height, front_waist_length and {length}."


def less_bulge(asked: Asked, quarter: Quarter, unit: Unit) -> str:
    """What keeps the side from standing out at the waist, below the underarm; empty where it does not."""
    over = quarter.waist_side - quarter.bust
    if over <= 0:
        return ""
    say = f"The side stands out at the waist, {show_at_least(over, unit)} beyond the bust line; no curve mends that. "
    if quarter.darts > 0 and asked.given("dart_intake") is not None and quarter.waist <= quarter.bust:
        return f'{say}Set dart_intake = "auto".'
    over = quarter.waist - quarter.bust
    none = 'set dart_intake = "auto" and ' if quarter.darts > 0 else ""
    return f"{say}To mend it, {none}add {show_at_least(4 * over, unit)} to ease_bust."
