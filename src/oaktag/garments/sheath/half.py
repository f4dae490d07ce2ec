"""Front and back: one half each, from the top line down, as chalked on the fold."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from math import hypot
from typing import Final

from ...body.estimates import NAPE_DEPTH, SHOULDER_DROP, half_length
from ...body.measurements import Measurements
from ...draft.construct import armhole, flared_hem, neckline, side_curve, square_neckline, v_neckline, x_at
from ...draft.worksheet import Worksheet
from ...errors import DraftError
from ...geometry.curve import Line
from ...geometry.path import Path, path_length, solve
from ...geometry.point import Point, distance
from ...model.draft import Step
from ...model.piece import Dart
from ...units import INCH, Unit, rounded, show, show_at_least, show_at_most
from ...values import dataclass
from .shaping import (
    WAIST_DART,
    BustDart,
    Quarter,
    bust_dart,
    bust_level,
    dart_count,
    dart_places,
    darts_fit,
    named_points,
    taken_in,
    upper_point,
    waist_darts,
)
from .style import BOAT_DEPTH, BOAT_WIDER, HEAD, HEAD_EASE, SQUARE_DEEPER, WAIST_TO_HEM, Asked

_LEVEL_NECK: Final = 10.0
"""Half the level part of a square neck at least, mm (common practice, no source)."""
DROP: Final = 1 * INCH
"""The shoulder tip below the top line, as she has it (common practice, no source)."""
_LEAST_DROP, _MOST_DROP = INCH / 4, 2.5 * INCH
"""Square and sloping shoulders are followed so far (common practice, no source)."""
LEAST_SCOOP: Final = 18.0
"""The underarm beyond mid armhole, where the hollow is free to choose, mm (common practice, no source)."""
_SHOULDER_LEFT: Final = 31.0
"""A neck that is widened for the head leaves so much of the shoulder, mm (3 cm; common practice, no source)."""
_CLEAR: Final = 1.0
"""And so much of the neckline is to spare, mm."""
_MOST_HOLLOW: Final = 1.75 * INCH
"""No deeper hollow is advised (common practice, no source)."""
SCYE_LESS: Final = INCH / 2
"""What bust ÷ 6 may be at most: the scye depth less this, mm. The chest line then lies 1 in below the armpit: 1 in of
nape depth, the scye depth and 1 in of ease, of which shoulder drop and armhole_depth_ease are 2 1/2 in. The scye depth
of a body and 2.5 cm is the depth that blocks are drafted with (derived: a survey's against a textbook's chart)."""
DEEP_SCYE: Final = 0.561
"""Scye depth by back waist length: 95 of 100 women of the survey have less (fixtures/bodies; a test works it out)."""
_BELOW_HIP: Final = 50.0
"""The hem lies this far below the hip line at least, at the side as at the centre, mm (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Half:
    """A drafted half, front or back: its points, and the curves that other pieces are drawn to.

    All as on the body, front and back alike; what a bust dart adds in length is left to the pieces (`lowered`).
    """

    name: str
    points: Mapping[str, Point]
    darts: tuple[Dart, ...]
    """The waist darts, none to two, the first nearest the centre: these as drawn on the piece, lowered already."""
    quarter: Quarter
    neckline: Path
    armhole: Path
    side: Path
    """From the underarm down to the waist, the hip and the hem."""
    hem: Path
    """From the centre to the side."""
    hip_depth: float
    hem_depth: float
    side_slope: float
    """dx/dy of the side seam at the underarm, to which the armhole is trued."""
    bust_dart: BustDart | None = None
    bust_level: float | None = None
    """Depth of the bust point, where it was measured."""

    @property
    def drop(self) -> float:
        return self.bust_dart.drop if self.bust_dart else 0.0

    def lowered(self, p: Point) -> Point:
        """Where a point of the body lies on the piece."""
        return Point(p.x, p.y - self.drop) if self.bust_dart and p.y < -self.bust_dart.depth else p

    def drawn_points(self) -> dict[str, Point]:
        """Every named point where it lies on the piece."""
        return {name: self.lowered(p) for name, p in self.points.items()} | named_points(self.darts)

    def width_at(self, depth: float) -> float:
        """Half width at a depth below the top line, the darts closed."""
        y = self.lowered(Point(0.0, -depth)).y
        return x_at(self.side, -depth) - sum(dart.width_at(y) for dart in self.darts)

    @property
    def beside_centre(self) -> float:
        """Half way from the centre line to the first waist dart, where a grain line has room; mm."""
        return self.darts[0].points[3].x / 2 if self.darts else self.points["waist_side"].x / 3


def draft_half(
    name: str,
    body: Measurements,
    asked: Asked,
    unit: Unit,
    waist_to_hip: float,
    bust_points: float,
    notes: list[str],
) -> tuple[Half, list[Step]]:
    """One half, from the top line down, as it is chalked on the fold."""
    w = Worksheet(name)
    bust, waist, hip = body["bust_girth"], body["waist_girth"], body["hip_girth"]
    drop, depth_ease = shoulder_drop(body, asked, unit, w, notes), asked.length("armhole_depth_ease")
    count = dart_count(asked)
    chest = _chest_line(body, drop, depth_ease, unit, w, notes)
    waist_depth = waist_line(body, w)
    hip_depth = w.level(
        "hip line",
        "waist line + {waist_to_hip}",
        waist_depth + waist_to_hip,
        "hip_side.y",
        waist_to_hip=waist_to_hip,
    )
    length = asked.given("length")
    if length is None:
        below = rounded(WAIST_TO_HEM, unit)
        hem_depth = w.level("hem line", "waist line + {below}", waist_depth + below, "hem_centre.y", below=below)
    else:
        hem_depth = w.level("hem line", "length asked for", length, "hem_centre.y")

    neck_width, neck_depth = _neck(name, body, asked, unit, w, drop, chest, chest - drop - depth_ease)
    shoulder_x = w("shoulder tip, across", "shoulder width ÷ 2", body["shoulder_width"] / 2, "shoulder_tip.x")
    w("shoulder tip, down", "below the top line", drop, "shoulder_tip.y")
    hollow = _hollow(asked, unit, (bust + asked.length("ease_bust")) / 4 - shoulder_x)
    mid_x = w(
        "mid armhole, across", "shoulder width ÷ 2 − {hollow}", shoulder_x - hollow, "mid_armhole.x", hollow=hollow
    )
    mid_y = w("mid armhole, down", "half way between shoulder tip and chest line", (drop + chest) / 2, "mid_armhole.y")
    ease = asked.length("ease_bust")
    bust_x = w(
        "underarm, across the chest line", "(bust girth + {ease}) ÷ 4", (bust + ease) / 4, "underarm.x", ease=ease
    )
    ease, hip_ease = asked.length("ease_waist"), asked.length("ease_hip")
    intake = taken_in(asked, bust_x, (waist + ease) / 4, (hip + hip_ease) / 4, unit, w, notes)
    waist_x = w(
        "waist side, across the waist line",
        f"(waist girth + {{ease}}) ÷ 4 + {{dart}} for the dart{'s' if count > 1 else ''}"
        if intake > 0
        else "(waist girth + {ease}) ÷ 4",
        (waist + ease) / 4 + intake,
        "waist_side.x",
        ease=ease,
        dart=intake,
    )
    hip_x = w(
        "hip side, across the hip line", "(hip girth + {ease}) ÷ 4", (hip + hip_ease) / 4, "hip_side.x", ease=hip_ease
    )
    quarter = Quarter(bust_x, waist_x - intake, hip_x, intake)
    hem_side_y = hem_depth
    if asked.choice("hem") == "straight":
        hem_x = w("hem side, across the hem line", "as the hip line", hip_x, "hem_side.x")
    elif asked.choice("hem") == "a-line":
        flare = asked.length("flare")
        hem_x = w("hem side, across", "as the hip line + {flare}", hip_x + flare, "hem_side.x", flare=flare)
        below = hem_depth - hip_depth
        hem_side_y = w(
            "hem side, down",
            "so that the side is as long below the hip as the centre",
            hip_depth + (max(0.0, below**2 - flare**2)) ** 0.5,
            "hem_side.y",
        )
    elif (peg := asked.given("peg")) is not None:
        hem_x = w("hem side, across the hem line", "as the hip line − {peg}", hip_x - peg, "hem_side.x", peg=peg)
    elif waist_x - intake > hip_x:
        hem_x = w("hem side, across the hem line", "the hip line, since the waist is wider", hip_x, "hem_side.x")
        notes.append(
            f"The pegged hem would be wider than the hip line ({show((waist_x - intake) * 4, unit)} against "
            f"{show(hip_x * 4, unit)} all round): it was capped at the hip line."
        )
    else:
        ease = asked.length("ease_waist")
        hem_x = w(
            "hem side, across the hem line", "(waist girth + {ease}) ÷ 4", waist_x - intake, "hem_side.x", ease=ease
        )
    nape = {"nape": Point(0.0, -_nape(body, waist_depth, w))} if name == "back" else {}
    points = {
        "neck_side": Point(neck_width, 0.0),
        "neck_centre": Point(0.0, -neck_depth),
        "shoulder_tip": Point(shoulder_x, -drop),
        "mid_armhole": Point(mid_x, -mid_y),
        "underarm": Point(bust_x, -chest),
        "waist_side": Point(waist_x, -waist_depth),
        "hip_side": Point(hip_x, -hip_depth),
        "hem_side": Point(hem_x, -hem_side_y),
        "hem_centre": Point(0.0, -hem_depth),
        **nape,
    }
    _can_be_drafted(points, unit, name, length_taken(body))
    darts_fit(name, count, quarter, bust_points / 2, unit)
    level = bust_level(body, bust_points, w) if name == "front" else None
    side_dart = (
        bust_dart(body, asked, unit, points, bust_points, level, length_taken(body), w, notes)
        if name == "front"
        else None
    )
    darts: tuple[Dart, ...] = ()
    if intake > 0:
        w.about(WAIST_DART)("waist dart, across", "bust point width ÷ 2", bust_points / 2, "dart_top.x")
        top = upper_point(name, body, asked, unit, points, level, side_dart, w, notes)
        end_rise = asked.length("dart_end_rise")
        end = w("dart, lower point, down", "hip line − {rise}", hip_depth - end_rise, "dart_end.y", rise=end_rise)
        places = dart_places(count, intake, bust_points / 2, waist_x)
        w.about(WAIST_DART)("dart, each side at the waist", "{intake} ÷ 2", places[0][1] / 2, intake=places[0][1])
        darts = waist_darts(places, top, end, waist_depth, chest, side_dart.drop if side_dart else 0.0, w)
        _reaches_over_the_waist(darts, unit, name)
    shape = _NECK_SHAPES.get(asked.choice("neckline"), neckline) if name == "front" else neckline
    neck = shape(points["neck_side"], points["shoulder_tip"], points["neck_centre"])
    if shape is square_neckline:
        _square_neck_has_a_level_part(neck, points, unit)
    side = side_curve(
        [points[key] for key in ("underarm", "waist_side", "hip_side", "hem_side")],
        straight_end=asked.choice("hem") == "straight",
        flared=asked.choice("hem") == "a-line",
    )
    leaving = side[0].way(0.0)
    slope = leaving.x / leaving.y
    hole = armhole(points["underarm"], points["mid_armhole"], points["shoulder_tip"], points["neck_side"], slope)
    hem: Path = (Line(points["hem_centre"], points["hem_side"]),)
    if asked.choice("hem") == "a-line":
        hem = flared_hem(points["hem_centre"], points["hem_side"], side[-1].way(1.0))
    w("shoulder", "straight, neck side to shoulder tip", distance(points["neck_side"], points["shoulder_tip"]))
    w("neckline", _NECK_WORDS[asked.choice("neckline") if name == "front" else "round"], path_length(neck))
    w(
        "armhole",
        "curve square to the shoulder, through mid armhole, square to the side seam at the underarm, so long",
        path_length(hole),
    )
    w("side seam", "curve hollow above the waist and round below it, so long", path_length(side))
    half = Half(
        name, points, darts, quarter, neck, hole, side, hem, hip_depth, hem_depth, slope, side_dart, level
    )  # fmt: skip
    return half, w.steps


def _chest_line(
    body: Mapping[str, float], drop: float, depth_ease: float, unit: Unit, w: Worksheet, notes: list[str]
) -> float:
    """How far the chest line lies below the top line, mm: by the scye depth where it was measured, else by the bust.

    A depth that grows by a sixth of the bust lies above the armpit of a slender woman, and reaches towards the waist of
    a large one: no scye does, so it is bounded. In a chart, where a scye grows half as fast, an armhole by the bust
    makes the side seam, and the underarm of the sleeve, much shorter from size to size.
    """
    bust, scye = body["bust_girth"] / 6, body.get("scye_depth")
    ease = {"shoulder_drop": drop, "armhole_depth_ease": depth_ease}
    if scye is not None:
        most, formula = scye - SCYE_LESS, "scye depth − {less}"
    else:
        back = (half_length(body) or 0.0) - NAPE_DEPTH
        most = DEEP_SCYE * body.get("back_waist_length", back) - SCYE_LESS
        formula = f"back waist length × {DEEP_SCYE} − {{less}} (less than bust girth ÷ 6)"
    formula = f"{formula} + {{shoulder_drop}} + {{armhole_depth_ease}}"
    if scye is None and bust <= most:
        formula, most, less = "bust girth ÷ 6 + {shoulder_drop} + {armhole_depth_ease}", bust, {}
    else:
        less = {"less": SCYE_LESS}
    if bust > most:
        notes.append(
            f"The chest line by the bust would lie {show(bust - most, unit)} deeper than an armhole goes"
            + (" by scye_depth" if scye is not None else "; measure scye_depth to place it by the body")
            + ": it was raised."
        )
    return w.level("chest line", formula, most + drop + depth_ease, "underarm.y", **less, **ease)


def waist_line(body: Mapping[str, float], w: Worksheet) -> float:
    """How far the waist line lies below the top line, the level of the side neck point, mm.

    The method lays its verticals from the side neck point (trade lists: "half length"), so `side_neck_to_waist` is used
    as it stands. Where only the nape's length was taken, the nape lies `NAPE_DEPTH` below the top line, whatever the
    neckline is. Raises DraftError with neither.
    """
    depth = half_length(body)
    if depth is None:
        raise DraftError(
            "neither back_waist_length (nape to waist) nor side_neck_to_waist (side neck point over the back to the "
            "waist) was measured. Take one of them."
        )
    if "side_neck_to_waist" in body:
        return w.level("waist line", "side neck to waist, from the top line", depth, "waist_side.y")
    words = "back waist length + {nape} from the top line to the nape"
    return w.level("waist line", words, depth, "waist_side.y", nape=NAPE_DEPTH)


def length_taken(body: Mapping[str, float]) -> str:
    """The measurement that the waist line lies by."""
    return "side_neck_to_waist" if "side_neck_to_waist" in body else "back_waist_length"


def _nape(body: Mapping[str, float], waist_depth: float, w: Worksheet) -> float:
    """How far the nape lies below the top line, mm: above the waist line by what was measured, or else NAPE_DEPTH."""
    if "side_neck_to_waist" in body and "back_waist_length" in body:
        return w("nape, down", "waist line − back waist length", waist_depth - body["back_waist_length"], "nape.y")
    return w("nape, down", "the method's back neck depth", NAPE_DEPTH, "nape.y")


_NECK_SHAPES: Final = {"v": v_neckline, "square": square_neckline}
_NECK_WORDS: Final = {
    "round": "curve square to the shoulder and to the centre line, so long",
    "boat": "curve square to the shoulder and to the centre line, so long",
    "v": "straight to the centre, but rounded off square to the shoulder, so long",
    "square": "straight down square to the shoulder, then level to the centre, so long",
}


def shoulder_drop(body: Measurements, asked: Asked, unit: Unit, w: Worksheet, notes: list[str]) -> float:
    """How far the shoulder tip lies below the top line: as asked, or 1 in as the method has it.

    Where the heights of side neck point and shoulder point are known, so much more or less as her shoulders slope more
    or less than the mean of the survey: heights on a standing body are not a draft's, their difference from the mean
    is (a sloping shoulder is lowered by what it slopes more, and the armhole with it: common practice).
    """
    usual, given = rounded(DROP, unit), asked.given("shoulder_drop")
    if given is not None:
        return given
    if "side_neck_height" not in body or "shoulder_height" not in body:
        return usual
    sloped = body["side_neck_height"] - body["shoulder_height"] - SHOULDER_DROP
    drop = w(
        "shoulder drop",
        "{usual} + side neck height − shoulder height − {mean}",
        min(max(usual + sloped, _LEAST_DROP), _MOST_DROP),
        usual=usual,
        mean=SHOULDER_DROP,
    )
    if abs(drop - usual - sloped) > 0.5:
        notes.append(
            f"The shoulders slope by {show(sloped + SHOULDER_DROP, unit)}, the mean being {show(SHOULDER_DROP, unit)}: "
            f"they were drafted {show(drop, unit)} below the top line. Check side_neck_height and shoulder_height."
        )
    return drop


def _hollow(asked: Asked, unit: Unit, beyond_tip: float) -> float:
    """How far mid armhole lies inside the shoulder tip: as asked, or 1/2 in, up to 1 in for the scoop's sake.

    `beyond_tip` is the underarm beyond the shoulder tip, mm.
    """
    given = asked.given("armhole_hollow")
    return min(max(LEAST_SCOOP - beyond_tip, rounded(INCH / 2, unit)), INCH) if given is None else given


def _neck(
    name: str, body: Measurements, asked: Asked, unit: Unit, w: Worksheet, drop: float, chest: float, sixth: float
) -> tuple[float, float]:
    """Half neck width, alike in front and back, and the depth of this half.

    `sixth` is what of the bust went into the chest line: a V reaches no deeper by itself. Where no zip opens
    the neck, what was not asked for is as wide, then as deep, as the head needs.
    """
    style = asked.choice("neckline")
    bust, wider, deeper = body["bust_girth"], rounded(BOAT_WIDER, unit), rounded(SQUARE_DEEPER, unit)
    width_words, width = (
        ("bust girth ÷ 12 + {wider}", bust / 12 + wider) if style == "boat" else ("bust girth ÷ 12", bust / 12)
    )
    depth_words, depth, lengths = {
        "round": ("bust girth ÷ 12", bust / 12, {}),
        "v": ("bust girth ÷ 6" if sixth > bust / 6 - 1e-6 else "as the chest line, no ease added", sixth, {}),
        "square": ("bust girth ÷ 12 + {deeper}", bust / 12 + deeper, {"deeper": deeper}),
        "boat": ("below the top line", rounded(BOAT_DEPTH, unit), {}),
    }[style]
    own_width, own_depth, back = (
        asked.given("neck_width"),
        asked.given("front_neck_depth"),
        asked.length("back_neck_depth"),
    )
    tip = Point(body["shoulder_width"] / 2, -drop)
    if own_width is None and width > tip.x - _SHOULDER_LEFT:
        width_words, width = "shoulder width ÷ 2 − {left}, which must be left", max(tip.x - _SHOULDER_LEFT, 0.0)
    width, depth = own_width or width, own_depth or depth
    head = body.get("head_girth", HEAD)
    if asked.choice("zip") != "back":

        def lacks(width: float, depth: float) -> float:
            """By how much the neckline is too short for the head."""
            side = Point(width, 0.0)
            fronts = _NECK_SHAPES.get(style, neckline)(side, tip, Point(0.0, -depth))
            backs = neckline(side, tip, Point(0.0, -back))
            return head + HEAD_EASE + _CLEAR - 2 * (path_length(fronts) + path_length(backs))

        plain = (width, depth)
        widest, deepest = max(width, tip.x - _SHOULDER_LEFT), max(depth, chest - 2 * INCH)
        if style != "boat" and own_width is None and own_depth is None:
            more = _grown(lambda by: lacks(plain[0] + by, plain[1] + by), 0.0, min(widest - width, deepest - depth))
            width, depth = width + more, depth + more
        if own_width is None:
            width = _grown(lambda x: lacks(x, depth), width, widest)
        if own_depth is None:
            depth = _grown(lambda y: lacks(width, y), depth, deepest)
        if width > plain[0]:
            width_words = "so that a head of {head} passes the neckline"
        if depth > plain[1]:
            depth_words = "so that a head of {head} passes the neckline"
    asked_for = "as asked for"
    w(
        "neck width",
        asked_for if own_width is not None else width_words,
        width,
        "neck_side.x",
        wider=wider,
        head=head,
        left=_SHOULDER_LEFT,
    )
    if name == "back":
        return width, w("back neck depth", "below the top line", back, "neck_centre.y")
    words = asked_for if own_depth is not None else depth_words
    return width, w("front neck depth", words, depth, "neck_centre.y", **lengths, head=head)


def _grown(lacks: Callable[[float], float], value: float, most: float) -> float:
    """The value, or as much more as is lacking, `most` at most."""
    if lacks(value) <= 0:
        return value
    return most if lacks(most) >= 0 else solve(lacks, value, most, near=0.01)


def _square_neck_has_a_level_part(neck: Path, points: Mapping[str, Point], unit: Unit) -> None:
    """Refuse a square neck that runs into the centre line before it is as deep as asked. Raises DraftError."""
    side, level = points["neck_side"], neck[0].end.x
    if level < _LEVEL_NECK:
        slant = (side.x - level) / (side.y - points["neck_centre"].y)
        deepest = (side.x - _LEVEL_NECK) / slant
        raise DraftError(
            "front: square to a shoulder as steep as this, the neckline runs into the centre line before it is "
            f"{show(-points['neck_centre'].y, unit)} deep. Make front_neck_depth {show_at_most(deepest, unit)} or "
            "less, neck_width wider, or shoulder_drop less."
        )


def _reaches_over_the_waist(darts: tuple[Dart, ...], unit: Unit, name: str) -> None:
    """Refuse a waist dart with a point on or beyond the waist line. Raises DraftError."""
    for dart in darts:
        top, waist, end = (-dart.points[i].y for i in (0, 1, 2))
        if not top + 15 < waist < end - 15:
            raise DraftError(
                f"{name}: the dart runs from {show(top, unit)} to {show(end, unit)} and does not reach over the waist "
                f"line at {show(waist, unit)}. Change dart_top_drop or dart_end_rise."
            )


def _can_be_drafted(points: Mapping[str, Point], unit: Unit, name: str, length: str) -> None:
    """Refuse, with a reason, what the method cannot draw."""

    def refuse(text: str) -> None:
        raise DraftError(f"{name}: {text}")

    def say(mm: float) -> str:
        return show(mm, unit)

    p = points
    shoulder = p["shoulder_tip"].x - p["neck_side"].x
    if shoulder < 30:
        refuse(
            f"only {say(max(0.0, shoulder))} of shoulder is left beside the neck; at least {say(30)} is needed. "
            f"Make neck_width {show_at_most(p['shoulder_tip'].x - 30, unit)} or less, or check shoulder_width and "
            "bust_girth."
        )
    hole = p["underarm"].x - p["mid_armhole"].x
    if hole < 15:
        more = show_at_least(4 * (15 - hole), unit)
        hollow = p["shoulder_tip"].x - p["mid_armhole"].x + 15 - hole
        inside = f", or make armhole_hollow {show_at_least(hollow, unit)} or more" if hollow <= _MOST_HOLLOW else ""
        refuse(
            f"the quarter chest, {say(p['underarm'].x)}, leaves no room for an armhole beyond mid armhole at "
            f"{say(p['mid_armhole'].x)}. Add {more} or more to ease_bust{inside}, or check shoulder_width and "
            "bust_girth."
        )
    if -p["neck_centre"].y > -p["underarm"].y - 10:
        refuse(
            f"the neck, {say(-p['neck_centre'].y)} deep, reaches the chest line, {say(-p['underarm'].y)} down. Make "
            f"{name}_neck_depth {show_at_most(-p['underarm'].y - 10, unit)} or less."
        )
    if p["underarm"].y < p["waist_side"].y + 30:
        refuse(
            f"the chest line, {say(-p['underarm'].y)} down, is too near the waist line, {say(-p['waist_side'].y)} "
            f"down. Lower armhole_depth_ease, or check {length} and bust_girth."
        )
    flare = max(0.0, p["hem_side"].x - p["hip_side"].x)
    shortest = -p["hip_side"].y + hypot(_BELOW_HIP, flare)
    if -p["hem_centre"].y < shortest - 1e-6:
        flared = f", where it is flared by {say(flare)}" if flare > 0 else ""
        refuse(
            f"the hem, {say(-p['hem_centre'].y)} down, must lie at least {say(_BELOW_HIP)} below the hip line, "
            f"{say(-p['hip_side'].y)} down, at the side too{flared}. Make length {show_at_least(shortest, unit)} or "
            f"more{', or flare less' if flare > 0 else ''}."
        )
